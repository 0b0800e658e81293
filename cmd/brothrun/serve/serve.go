// Package serve puts the page of runs on a home network: routes, who may ask, and when the
// files have changed. It reads no clock and writes no file by itself: both are given.
package serve

import (
	"context"
	"crypto/sha256"
	"crypto/subtle"
	"fmt"
	"io"
	"io/fs"
	"net/http"
	"strconv"
	"strings"
	"sync"
	"time"

	"brothrun/cmd/brothrun/order"
	"brothrun/export"
	"brothrun/export/page"
	"brothrun/stock/fault"
	"brothrun/timeline"
)

// Config is what a server is given.
type Config struct {
	Runs    []string // the run files
	Machine order.Machine
	Now     func() time.Time
	// Note makes a note, which is in the file for good once it returns without error.
	Note func(path string, noting order.Noting) (order.Noted, error)
	// Former is the calendar file of a run; nil where there is none.
	Former func(path string) *export.Former
	// Stamp tells whether a file changed, and when.
	Stamp      func(path string) (mark string, changed time.Time)
	Cook, View string   // the words of the two links
	Names      []string // this machine's, beside its addresses
	Secure     bool     // it is asked over TLS
	// Ring calls the cook at the laptop; it may be nil.
	Ring  func(at time.Time, text string)
	NewID func() string // names the press of a form
	// Planner is the folder of the planner for a browser; nil where there is none.
	Planner fs.FS
}

// Server answers for runs that go on.
type Server struct {
	Config
	guard  http.Handler
	allow  *allowance
	mutex  sync.Mutex
	runs   []*run
	rung   time.Time // until when it was looked whom to call
	gone   chan struct{}
	leaves sync.Once
}

// New reads the runs and answers for them. Its errors are those of order.Today, and a
// *fault.Fault of a run without a time.
func New(config Config) (*Server, error) {
	s := &Server{Config: config, allow: newAllowance(config.Now), rung: config.Now(), gone: make(chan struct{})}
	for _, path := range config.Runs {
		r := &run{path: path, changes: map[chan struct{}]string{}}
		if err := s.read(r); err != nil {
			return nil, err
		}
		if len(r.day.Plan.Steps) == 0 && !r.day.Plan.Batch.Spoilt() {
			return nil, fault.New("", `start = "2026-11-28 08:00" in the run file`,
				"%s does not say when it begins or is done", path)
		}
		s.runs = append(s.runs, r)
	}
	cross := http.NewCrossOriginProtection()
	s.guard = s.guarded(cross.Handler(http.HandlerFunc(s.route)))
	return s, nil
}

// ServeHTTP answers one request.
func (s *Server) ServeHTTP(w http.ResponseWriter, r *http.Request) { s.guard.ServeHTTP(w, r) }

// Close ends the streams that are open.
func (s *Server) Close() { s.leaves.Do(func() { close(s.gone) }) }

// Watch looks once a second whether files have changed and whether the cook is to be
// called, until the context is over.
func (s *Server) Watch(ctx context.Context) {
	ticker := time.NewTicker(time.Second)
	defer ticker.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-ticker.C:
			s.Look()
		}
	}
}

// asked is a request whose link is ours.
type asked struct {
	run  *run
	site page.Site
	file string // behind the run: "now"
}

// same compares a word of a link with one of ours, in a time that does not tell how much
// of it is right.
func same(word, ours string) bool {
	a, b := sha256.Sum256([]byte(word)), sha256.Sum256([]byte(ours))
	return subtle.ConstantTimeCompare(a[:], b[:]) == 1
}

// find is what is asked for: /WORD/ is the first run, /WORD/2/now is of the second.
func (s *Server) find(r *http.Request) (asked, bool) {
	parts := strings.Split(strings.TrimPrefix(r.URL.Path, "/"), "/")
	cook, view := same(parts[0], s.Cook), same(parts[0], s.View)
	if !cook && !view || len(parts) < 2 || len(parts) > 3 {
		return asked{}, false
	}
	number, file := 1, parts[len(parts)-1]
	if len(parts) == 3 {
		n, err := strconv.Atoi(parts[1])
		if err != nil || n < 1 || n > len(s.runs) || strconv.Itoa(n) != parts[1] {
			return asked{}, false
		}
		number = n
	}
	if len(parts) == 2 && file != "" {
		return asked{}, false
	}
	a := asked{run: s.runs[number-1], file: file}
	day := s.day(a.run)
	a.site = page.Site{
		Title: title(day), Base: fmt.Sprintf("/%s/%d/", parts[0], number), Zone: day.Plan.Location.String(),
		Buttons: cook, Secure: s.Secure, Host: r.Host, Reader: fmt.Sprintf("/%s/%d/", s.View, number),
		Calendar: fmt.Sprintf("/%s/%d/run.ics", s.View, number),
	}
	for i, other := range s.runs {
		if i != number-1 {
			path := fmt.Sprintf("/%s/%d/", parts[0], i+1)
			a.site.Others = append(a.site.Others, page.Link{Path: path, Title: title(s.day(other))})
		}
	}
	return a, true
}

func (s *Server) route(w http.ResponseWriter, r *http.Request) {
	a, ours := s.find(r)
	reading := r.Method == http.MethodGet || r.Method == http.MethodHead
	switch {
	case reading && strings.HasPrefix(r.URL.Path, plannerPath):
		s.handOut(w, r)
	case ours && reading && a.file == "":
		s.kept(w, r, "text/html; charset=utf-8", a.site.Shell)
	case ours && reading && a.file == "page.css":
		s.kept(w, r, "text/css; charset=utf-8", bytesOf(page.Style()))
	case ours && reading && a.file == "page.js":
		s.kept(w, r, "text/javascript; charset=utf-8", bytesOf(page.Script()))
	case ours && reading && a.file == "now":
		s.now(w, r, a, http.StatusOK, page.Answer{})
	case ours && reading && a.file == "plain":
		s.plain(w, a, http.StatusOK, page.Answer{})
	case ours && reading && a.file == "events":
		s.events(w, r, a)
	case ours && reading && a.file == "run.ics":
		s.calendar(w, r, a)
	case ours && reading && a.file == "sheet":
		s.sheet(w, a)
	case ours && reading && a.file == "timer.ics" && a.site.Buttons:
		s.timer(w, r, a)
	case ours && r.Method == http.MethodPost && a.file == "press" && a.site.Buttons:
		s.press(w, r, a)
	default:
		http.Error(w, "404", http.StatusNotFound)
	}
}

func bytesOf(data []byte) func(io.Writer) error {
	return func(w io.Writer) error {
		_, err := w.Write(data)
		return err
	}
}

// kept answers with what a phone keeps for a day.
func (s *Server) kept(w http.ResponseWriter, r *http.Request, kind string, write func(io.Writer) error) {
	s.tagged(w, r, kind, "private, max-age=86400", time.Time{}, write)
}

// tagged answers with what is named by its own sum, and with nothing to who has it.
func (s *Server) tagged(
	w http.ResponseWriter, r *http.Request, kind, keep string, changed time.Time, write func(io.Writer) error,
) {
	var body strings.Builder
	if err := write(&body); err != nil {
		http.Error(w, err.Error(), http.StatusInternalServerError)
		return
	}
	text := body.String()
	h := w.Header()
	h.Set("Content-Type", kind)
	h.Set("Cache-Control", keep)
	h.Set("ETag", fmt.Sprintf(`"%s"`, sum(text)))
	http.ServeContent(w, r, "", changed, strings.NewReader(text))
}

func sum(text string) string {
	sum := sha256.Sum256([]byte(text))
	return fmt.Sprintf("%x", sum[:9])
}

// now answers with what is on, or that nothing is new to who has it.
func (s *Server) now(w http.ResponseWriter, r *http.Request, a asked, status int, answer page.Answer) {
	var body strings.Builder
	if err := page.Now(&body, a.site, page.See(s.seen(a.run, answer), s.Now())); err != nil {
		http.Error(w, err.Error(), http.StatusInternalServerError)
		return
	}
	text := body.String()
	h := w.Header()
	h.Set("Content-Type", "text/html; charset=utf-8")
	h.Set("Cache-Control", "no-store")
	if answer == (page.Answer{}) {
		h.Set("X-View", sum(text))
		if r.URL.Query().Get("have") == sum(text) {
			w.WriteHeader(http.StatusNoContent)
			return
		}
	}
	w.WriteHeader(status)
	io.WriteString(w, text)
}

// plain answers with the whole page for who has no script.
func (s *Server) plain(w http.ResponseWriter, a asked, status int, answer page.Answer) {
	var body strings.Builder
	if err := page.Plain(&body, a.site, page.See(s.seen(a.run, answer), s.Now()), s.NewID); err != nil {
		http.Error(w, err.Error(), http.StatusInternalServerError)
		return
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.Header().Set("Cache-Control", "no-store")
	w.WriteHeader(status)
	io.WriteString(w, body.String())
}

// streamsOfOne is how many streams of one peer are open at once: a browser opens six
// connections to one host (common practice, no source), and each page has one stream.
const streamsOfOne = 4

// beat is how often something is written to a stream, so that a phone that is gone is
// found; deadline is how long a write may take. Own choice.
const (
	beat     = 20 * time.Second
	deadline = 10 * time.Second
)

// events tells of each new revision, until the page closes it.
func (s *Server) events(w http.ResponseWriter, r *http.Request, a asked) {
	peer := peerOf(r)
	changes, revision, ok := s.listen(a.run, peer)
	if !ok {
		w.WriteHeader(http.StatusNoContent) // it does not ask again: the plain check goes on
		return
	}
	defer s.leave(a.run, changes)
	h := w.Header()
	h.Set("Content-Type", "text/event-stream")
	h.Set("Cache-Control", "no-store")
	control := http.NewResponseController(w)
	tell := func(text string) bool {
		// Deadlines are of the machine's clock, whatever Now says.
		return control.SetWriteDeadline(time.Now().Add(deadline)) == nil && wrote(w, text) && control.Flush() == nil
	}
	ticker := time.NewTicker(beat)
	defer ticker.Stop()
	for going := tell("data: " + revision + "\n\n"); going; {
		select {
		case <-r.Context().Done():
			return
		case <-s.gone:
			return
		case <-changes:
			going = tell("data: " + s.seen(a.run, page.Answer{}).Revision + "\n\n")
		case <-ticker.C:
			going = tell(":\n\n")
		}
	}
}

func wrote(w io.Writer, text string) bool {
	_, err := io.WriteString(w, text)
	return err == nil
}

// calendar answers with the run as a calendar that can be subscribed to: it is stamped
// with the last change, so that it is the same until the next.
func (s *Server) calendar(w http.ResponseWriter, r *http.Request, a asked) {
	day, changed := s.day(a.run), s.changed(a.run)
	options, plan := export.Options{Now: changed, Refresh: refresh}, day.Plan
	if path := day.CalendarFile(); path != "" {
		options.Former = s.Former(path)
	}
	if options.Former != nil {
		plan = day.As(options.Former, changed)
	}
	w.Header().Set("Content-Disposition", `attachment; filename="run.ics"`)
	s.tagged(w, r, "text/calendar; charset=utf-8", "private, no-cache", changed, func(w io.Writer) error {
		return export.Feed(w, plan, options)
	})
}

// sheet answers with the run as it stands now on paper, whose style is in the page.
func (s *Server) sheet(w http.ResponseWriter, a asked) {
	var body strings.Builder
	plan, err := s.day(a.run).Drawn()
	if err == nil {
		var paper export.Paper
		if paper, err = export.ParsePaper("", plan.Batch.Units); err == nil {
			err = export.Sheet(&body, []timeline.Plan{plan}, paper)
		}
	}
	if err != nil {
		http.Error(w, err.Error(), http.StatusInternalServerError)
		return
	}
	w.Header().Set("Content-Security-Policy",
		"default-src 'none'; style-src 'unsafe-inline'; form-action 'none'; base-uri 'none'; frame-ancestors 'none'")
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.Header().Set("Cache-Control", "no-store")
	io.WriteString(w, body.String())
}

// refresh is how often a subscribed calendar is asked for again; own choice.
const refresh = 15 * time.Minute

// timer answers with the clock that is on as one calendar event that rings.
func (s *Server) timer(w http.ResponseWriter, r *http.Request, a asked) {
	var body strings.Builder
	if err := export.Timer(&body, s.day(a.run).Plan, s.Now()); err != nil {
		http.Error(w, "404", http.StatusNotFound)
		return
	}
	w.Header().Set("Content-Type", "text/calendar; charset=utf-8")
	w.Header().Set("Content-Disposition", `attachment; filename="timer.ics"`)
	w.Header().Set("Cache-Control", "no-store")
	io.WriteString(w, body.String())
}
