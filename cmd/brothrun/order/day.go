package order

import (
	"cmp"
	"path/filepath"
	"strings"
	"time"

	"brothrun/export"
	"brothrun/export/words"
	"brothrun/stock"
	"brothrun/stock/fault"
	"brothrun/stock/record"
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

// today plans a run from what came.
func (r *Request) today(clock Clock) (Day, error) {
	batches, err := Batches([]*Request{r}, Extras{})
	if err != nil {
		return Day{}, err
	}
	plans, _, err := Schedule([]*Request{r}, batches, clock)
	if err != nil {
		return Day{}, err
	}
	day := Day{r, plans[0], r.planned}
	day.Plan.Location = r.place()
	return day, nil
}

// AsOf is the day as it was at an instant, without the notes after it.
func (d Day) AsOf(at time.Time, clock Clock) (Day, error) {
	if len(d.record) == 0 || !d.record[len(d.record)-1].At.After(at) {
		return d, nil
	}
	d.until = at
	return d.Request.today(clock)
}

// Note settles what a note is about where that is not said, the load or the step that
// is on at its instant, and checks that it can be what happened. What it cannot be is a
// *fault.Fault that says what would be right.
func (d Day) Note(note runfile.Note, at time.Time) (runfile.Note, record.Entry, error) {
	note.At = written(at.In(d.Plan.Location))
	d.fill(&note, at)
	notes := append(append([]runfile.Note{}, d.Run.Notes...), note)
	if record.What(note.What) != record.Undo {
		notes = notes[len(notes)-1:]
	}
	entries, err := record.Read(notes, d.noteClock())
	if err != nil {
		return note, record.Entry{}, fault.Of("", err, "")
	}
	if record.What(note.What) == record.Undo {
		return note, record.Entry{ID: note.ID, At: at, What: record.Undo, Text: note.Value}, nil
	}
	if refusal, ok := d.Plan.May(d.Planned, d.record, entries[0]); !ok {
		return note, entries[0], fault.New("", "", "%s", words.Note(refusal, words.Form{Units: d.Plan.Batch.Units, Flags: true}))
	}
	return note, entries[0], nil
}

// fill is what a note is about where the cook did not say.
func (d Day) fill(note *runfile.Note, at time.Time) {
	what, now := record.What(note.What), d.Plan.Now(at)
	switch {
	case what.OfLoad() && note.Load == 0:
		note.Load = d.Plan.LoadFor(what, d.record, at)
	case note.Load > 0 || note.Step != "":
	case what == record.Done || what == record.Late && len(now.On) > 0 && now.On[0].Kind != timeline.Waiting:
		if len(now.On) > 0 {
			note.Step = now.On[0].ID
		}
	case what == record.Began || what == record.Skipped || what == record.Late:
		if len(now.Next) > 0 {
			note.Step = now.Next[len(now.Next)-1].ID
		}
	}
}

// written is an instant as a run file has it: with the offset where the clock shows
// the hour twice.
func written(at time.Time) string {
	if timeline.ComesTwice(at) {
		return at.Format(time.RFC3339)
	}
	return at.Format("2006-01-02T15:04:05")
}

// Moment reads when something was: a time of day, the last that is not after now, or a
// date and time, with an offset where the clock shows it twice; without text it is now.
func (d Day) Moment(text string, now time.Time) (time.Time, error) {
	now = now.In(d.Plan.Location)
	full := strings.TrimSpace(text)
	if full == "" {
		return now, nil
	}
	ofDay := len(full) <= len("15:04:05")
	if ofDay {
		full = now.Format(time.DateOnly) + " " + full
	}
	at, err := timeline.ParseMoment(full, d.Plan.Location)
	if err != nil {
		return at, fault.Of("at", err, `--at 10:54, or --at "2026-11-28 10:54"`)
	}
	if ofDay && at.After(now) {
		return timeline.ParseMoment(now.AddDate(0, 0, -1).Format(time.DateOnly)+full[len(time.DateOnly):], d.Plan.Location)
	}
	return at, nil
}

// place is where the kitchen's clock hangs; UTC where nobody says.
func (r *Request) place() *time.Location {
	if location, err := timeline.LoadZone(cmp.Or(r.Kitchen.Zone, r.machine.Zone)); err == nil {
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

// Keep lets the run be the one it was in calendars that are about to be replaced, as
// Keep of several requests does.
func (d *Day) Keep(formers []*export.Former, now time.Time) {
	Keep([]*Request{d.Request}, formers, now)
	d.Plan.RunID, d.Plan.Likeness = d.runID(), d.likeness()
}
