package order

import (
	"cmp"
	"fmt"
	"path/filepath"
	"sort"
	"strings"
	"time"

	"brothrun/export"
	"brothrun/stock"
	"brothrun/stock/ask"
	"brothrun/stock/fault"
	"brothrun/stock/runfile"
	"brothrun/timeline"
)

// Day is a run while it goes on: its plan with the notes there are.
type Day struct {
	*Request
	Plan    timeline.Plan
	Planned stock.Batch // before any note
}

// Today reads a run file and plans it from what came. A run without a time has no
// steps. Errors are those of Read, Batches and Schedule.
func Today(m Machine, path, kitchen string, clock Clock) (Day, error) {
	r, err := Read(m, path, kitchen)
	if err != nil {
		return Day{}, err
	}
	return r.today(clock)
}

// today plans a run from what came. The error of a run that a note spoils names it.
func (r *Request) today(clock Clock) (Day, error) {
	day, err := r.followed(clock)
	return day, r.blamed(err, func(r *Request) error {
		_, err := r.followed(clock)
		return err
	})
}

func (r *Request) followed(clock Clock) (Day, error) {
	if err := r.Date(clock.Now); err != nil {
		return Day{}, err
	}
	batch, err := r.batch(Extras{})
	if err != nil {
		return Day{}, r.Locate(err)
	}
	plans, _, err := Schedule([]*Request{r}, []stock.Batch{batch}, clock)
	if err != nil {
		return Day{}, err
	}
	day := Day{r, plans[0], r.planned}
	day.Plan.Location = r.place()
	return day, nil
}

// Drawn is its plan with the layers of the loads drawn, as a sheet shows it.
func (d Day) Drawn() (timeline.Plan, error) {
	plan := d.Plan
	var err error
	plan.Batch.Drawings, err = ask.Layout(d.Setup, plan.Batch)
	return plan, err
}

// Again is the day on another clock.
func (d Day) Again(clock Clock) (Day, error) { return d.Request.followed(clock) }

// with is the request of the same run and kitchen with other notes.
func (r *Request) with(notes []runfile.Note) *Request {
	other := *r
	other.Run.Notes = notes
	return &other
}

// blamed finds the note from which on a run cannot be planned, which fails with err, and
// says how it is taken back; plan plans it. An error that is no note's, and none, come
// back as they are.
func (r *Request) blamed(err error, plan func(*Request) error) error {
	notes := r.Run.Notes
	if err == nil || len(notes) == 0 {
		return err
	}
	n := sort.Search(len(notes), func(n int) bool { return plan(r.with(notes[:n:n])) != nil })
	if n == 0 {
		return err
	}
	where, hint := r.Run.At(fmt.Sprintf("note[%d]", n-1)), "correct the note in the file"
	if id := notes[n-1].ID; id != "" {
		hint = r.undoing(id)
	}
	blamed := fault.Of("", err, hint)
	if blamed.Hint = hint; !strings.HasPrefix(blamed.Key, "note[") { // its line is told already
		blamed.Reason = where + ": with this note the run cannot be planned: " + blamed.Reason
	}
	return blamed
}

// undoing is the command that takes a note back.
func (r *Request) undoing(id string) string { return r.noting() + "undo " + id }

// noting is the beginning of a command that notes something of the run.
func (r *Request) noting() string {
	file := r.RunFile
	if strings.ContainsAny(file, " '()&;$") {
		file = fmt.Sprintf("%q", file)
	}
	return "brothrun note " + file + " "
}

// AsOf is the day as it was at an instant, without the notes after it.
func (d Day) AsOf(at time.Time, clock Clock) (Day, error) {
	if len(d.record) == 0 || !d.record[len(d.record)-1].At.After(at) {
		return d, nil
	}
	d.until = at
	return d.Request.today(clock)
}

// place is where the kitchen's clock hangs; UTC where nobody says.
func (r *Request) place() *time.Location {
	if location, err := timeline.FindZone(cmp.Or(r.Kitchen.Zone, r.machine.Zone)); err == nil {
		return location
	}
	return time.UTC
}

// noteClock reads when a note was on that clock, which is looked up once.
func (r *Request) noteClock() func(text string) (time.Time, error) {
	place := r.place()
	return func(text string) (time.Time, error) { return timeline.ParseMoment(text, place) }
}

// BusyFiles are the calendar files of when the cook is out that the run names.
func (r *Request) BusyFiles() (paths []string) {
	for path := range strings.SplitSeq(r.Run.Busy, ",") {
		if path = strings.TrimSpace(path); path != "" {
			paths = append(paths, r.beside(path))
		}
	}
	return paths
}

// CalendarFile is the calendar file that notes move; empty where the run names none.
func (r *Request) CalendarFile() string {
	if r.Run.Calendar == "" {
		return ""
	}
	return r.beside(r.Run.Calendar)
}

// beside is a path that the run file names, from its folder.
func (r *Request) beside(path string) string {
	if filepath.IsAbs(path) {
		return path
	}
	return filepath.Join(filepath.Dir(r.RunFile), path)
}

// As is the plan of the run as the one it was in a calendar. The day stays as it is.
func (d Day) As(former *export.Former, now time.Time) timeline.Plan {
	own := *d.Request
	d.Request = &own
	d.Keep([]*export.Former{former}, now)
	return d.Plan
}

// Keep lets the run be the one it was in calendars that are about to be replaced, as
// Keep of several requests does.
func (d *Day) Keep(formers []*export.Former, now time.Time) {
	Keep([]*Request{d.Request}, formers, now)
	d.Plan.RunID, d.Plan.Likeness = d.runID(), d.likeness()
}
