package export

import (
	"cmp"
	"fmt"
	"io"
	"slices"
	"time"

	"github.com/google/uuid"

	"brothrun/timeline"
	"brothrun/timeline/ical"
)

// Former is what a calendar of ours said before: its events, so that the next
// calendar can say which of them changed and which are gone.
type Former struct{ events []ical.Event }

// cancelledFor is how long after its end a cancelled event is still written: for
// longer than a year, so that its sequence goes on where a run's ID comes again.
const cancelledFor = 400 * 24 * time.Hour

// ReadFormer reads the calendar that another is about to take the place of. It is
// nil, without an error, when r holds a calendar of another program. It is an
// error when what r holds is no calendar, is damaged or passes a limit of ical.
func ReadFormer(r io.Reader) (*Former, error) {
	events, ours, err := ical.Read(r, "former calendar")
	if err != nil || !ours {
		return nil, err
	}
	for _, e := range events {
		for _, key := range []string{e.UID, e.Run, cmp.Or(e.Alike, e.Run)} {
			if id, err := uuid.Parse(key); err != nil || id.String() != key {
				return nil, fmt.Errorf("former calendar: %.60q is no key of an event", key)
			}
		}
	}
	return &Former{events}, nil
}

// says reports whether two events show the same.
func says(e, other ical.Event) bool {
	return e.Start.Unix() == other.Start.Unix() && e.End.Unix() == other.End.Unix() && e.AllDay == other.AllDay &&
		e.Title == other.Title && e.Text == other.Text && e.Cancelled == other.Cancelled
}

// Others is how many runs stood in the calendar that are not among plans.
func (f *Former) Others(plans []timeline.Plan) int {
	if f == nil {
		return 0
	}
	known := map[string]bool{}
	for _, plan := range plans {
		known[RunKey(plan.RunID)] = true
	}
	others := 0
	for _, was := range f.events {
		if !known[was.Run] && !was.Cancelled {
			known[was.Run] = true
			others++
		}
	}
	return others
}

// Kept is what a run planned again goes by in a calendar; the zero value is a run
// that is not in it.
type Kept struct {
	RunID  string
	Begins time.Time
}

// Kept finds the run that a run of this likeness was before: the only one so alike,
// whatever its start was then, unless runID itself stands in the calendar. A run
// that is over by now stays what it was when the other falls on a day after its
// end; day may be zero.
func (f *Former) Kept(runID, likeness string, day, now time.Time) Kept {
	if f == nil || likeness == "" {
		return Kept{}
	}
	var kept Kept
	var ends time.Time
	for _, was := range f.events {
		switch {
		case was.Run == RunKey(runID):
			return Kept{}
		case was.Cancelled || was.AllDay || was.Alike != likenessKey(likeness):
			continue
		case kept.RunID != "" && kept.RunID != was.Run:
			return Kept{}
		}
		if kept.RunID == "" || was.Start.Before(kept.Begins) {
			kept = Kept{was.Run, was.Start}
		}
		if was.End.After(ends) {
			ends = was.End
		}
	}
	if ends.Before(now) && day.After(ends) {
		return Kept{}
	}
	return kept
}

// dated reports whether the calendar held use-by dates of a run.
func (f *Former) dated(run string) bool {
	return f != nil && slices.ContainsFunc(f.events, func(was ical.Event) bool {
		return was.Run == run && was.AllDay // called off or not: a refused plan in between has none
	})
}

// settle gives events their sequences and adds, after them, the former events of
// the same runs that are gone, and those of other runs where they are asked for. f may be
// nil.
func (f *Former) settle(events []ical.Event, plans []timeline.Plan, options Options) []ical.Event {
	if f == nil {
		return events
	}
	revisions := map[string]int{}
	for _, plan := range plans {
		revisions[RunKey(plan.RunID)] = plan.Revision
	}
	at := map[string]int{}
	for i, e := range events {
		at[e.UID] = i
	}
	settled := map[string]bool{}
	for _, was := range f.events {
		revision, same := revisions[was.Run]
		if !same && !options.Others || settled[was.UID] {
			continue
		}
		settled[was.UID] = true
		dead := was.Cancelled && was.End.Before(options.Now.Add(-cancelledFor))
		i, still := at[was.UID]
		switch {
		case still && says(events[i], was):
			events[i].Sequence = max(events[i].Sequence, was.Sequence)
		case still:
			events[i].Sequence = max(events[i].Sequence, was.Sequence+1)
		case same && !was.Cancelled:
			events = append(events, cancel(was, max(revision, was.Sequence+1)))
		case !dead:
			events = append(events, was)
		}
	}
	return events
}

// cancel is the event called off. Its title says so too, for programs that show a
// cancelled event as any other.
func cancel(e ical.Event, sequence int) ical.Event {
	e.Cancelled, e.Sequence = true, sequence
	e.Title = "Cancelled: " + e.Title
	return e
}
