package serve

import (
	"net/http"
	"regexp"
	"time"
)

// plannerPath is where the planner for a browser is, if there is one.
const plannerPath = "/planner/"

// built are the names that the builder of the planner gives: whatever else lies in its
// folder is handed to nobody.
var built = regexp.MustCompile(`^` + plannerPath + `(day\.html|sw\.js|[a-z0-9_-]+-[0-9a-f]{24}(\.[a-z]+)+)?$`)

// handOut answers with a file of the planner. It needs no word of a link: it is the same for
// all, and holds nothing of the runs here. What it may load, its pages say.
func (s *Server) handOut(w http.ResponseWriter, r *http.Request) {
	if s.Planner == nil || !built.MatchString(r.URL.Path) {
		http.Error(w, "404", http.StatusNotFound)
		return
	}
	// By then 3.5 MB are through the weakest wifi; of the machine's clock, whatever Now says.
	_ = http.NewResponseController(w).SetWriteDeadline(time.Now().Add(5 * time.Minute))
	w.Header().Set("Content-Security-Policy", "frame-ancestors 'none'")
	w.Header().Set("Cache-Control", "no-cache")
	http.StripPrefix(plannerPath, http.FileServerFS(s.Planner)).ServeHTTP(w, r)
}
