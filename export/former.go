package export

import (
	"io"
	"slices"
	"strings"
	"time"

	"brothrun/timeline"
	"brothrun/timeline/ical"
)

// Former is what a calendar of ours said before: its events, so that the next
// calendar can say which of them changed and which are gone, and what somebody else put
// into it, which the next takes along.
type Former struct {
	events []ical.Event
	kept   []ical.Kept
}

// cancelledFor is how long after its end a cancelled event is still written: for
// longer than a year, so that its sequence goes on where a run's ID comes again.
const cancelledFor = 400 * 24 * time.Hour

// ReadFormer reads the calendar that another is about to take the place of, whichever
// program saved it last: an event is of a run by its UID, and runIDs are the runs that
// are planned, for events that lost what says so. It is nil, without an error, when r
// holds a calendar of another program and no event of ours. It is an error when what r
// holds is no calendar, when an event of ours is damaged, or when it passes a limit of
// ical.
func ReadFormer(r io.Reader, runIDs ...string) (*Former, error) {
	var known map[string]string // the runs, by UIDs
	former, err := ical.Read(r, "former calendar", func(uid string, runs []string) (string, bool) {
		if known == nil {
			known = map[string]string{}
			for _, id := range append(slices.Clone(runs), runIDs...) {
				for _, step := range append(timeline.StepIDs(), useByIDs()...) {
					known[uidOf(id, step)] = RunKey(id)
				}
			}
		}
		run, ok := known[uid]
		return run, ok
	})
	if err != nil || !former.Ours {
		return nil, err
	}
	return &Former{former.Events, former.Kept}, nil
}

// says reports whether two events show the same.
func says(e, other ical.Event) bool {
	return e.Start.Unix() == other.Start.Unix() && e.End.Unix() == other.End.Unix() && e.AllDay == other.AllDay &&
		e.Title == other.Title && e.Text == other.Text && e.Cancelled == other.Cancelled && e.Reminder == other.Reminder
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

// Kept finds the run that a run of these likenesses was before: the only one alike by the
// first of them or, where none is, by the next, whatever its start was then, unless runID
// itself stands in the calendar. A run that is over by now stays what it was when the
// other falls on a day after its end; day may be zero.
func (f *Former) Kept(runID string, likenesses []string, day, now time.Time) Kept {
	if f == nil || slices.ContainsFunc(f.events, func(was ical.Event) bool { return was.Run == RunKey(runID) }) {
		return Kept{}
	}
	for _, likeness := range likenesses {
		if kept, found := f.alike(likenessKey(likeness), day, now); found {
			return kept
		}
	}
	return Kept{}
}

// alike is Kept for the key of one likeness; found tells of any run, several too.
func (f *Former) alike(likeness string, day, now time.Time) (kept Kept, found bool) {
	var ends time.Time
	for _, was := range f.events {
		switch {
		case was.Cancelled || was.AllDay || was.Category == checkCategory,
			!slices.Contains(strings.Fields(was.Alike), likeness):
			continue
		case kept.RunID != "" && kept.RunID != was.Run:
			return Kept{}, true
		}
		if kept.RunID == "" || was.Start.Before(kept.Begins) {
			kept = Kept{was.Run, was.Start}
		}
		if was.End.After(ends) {
			ends = was.End
		}
	}
	found = kept.RunID != ""
	if ends.Before(now) && day.After(ends) {
		kept = Kept{}
	}
	return kept, found
}

// dated reports whether the calendar held use-by dates of a run.
func (f *Former) dated(run string) bool {
	return f != nil && slices.ContainsFunc(f.events, func(was ical.Event) bool {
		// Called off or not: a refused plan in between has none.
		return was.Run == run && was.Category == useByCategory
	})
}

// Asked is how the calendar was asked for; the zero value where nothing says so.
func (f *Former) Asked() Asked {
	if f != nil {
		for _, was := range f.events {
			if asked, ok := parseAsked(was.Set); ok {
				return asked
			}
		}
	}
	return Asked{}
}

// sequenceFrom is where sequences count from, in minutes: without a former calendar, or
// for what it does not know, that is later than any sequence there was.
var sequenceFrom = time.Date(2020, 1, 1, 0, 0, 0, 0, time.UTC)

// settle gives events their sequences and adds, after them, the former events of
// the same runs that are gone, and those of other runs where they are asked for. What is
// new or changed has the minutes since 2020 at least, so that a sequence never falls,
// whatever became of the former calendar. f may be nil.
func (f *Former) settle(events []ical.Event, plans []timeline.Plan, options Options) []ical.Event {
	fresh := max(0, int(options.Now.Sub(sequenceFrom)/time.Minute))
	planned := map[string]bool{}
	for _, plan := range plans {
		planned[RunKey(plan.RunID)] = true
	}
	at := map[string]int{}
	for i, e := range events {
		at[e.UID] = i
		events[i].Sequence = max(e.Sequence, fresh)
	}
	if f == nil {
		return events
	}
	settled := map[string]bool{}
	for _, was := range f.events {
		same := planned[was.Run]
		if !same && !options.Others || settled[was.UID] {
			continue
		}
		settled[was.UID] = true
		dead := was.Cancelled && was.End.Before(options.Now.Add(-cancelledFor))
		i, still := at[was.UID]
		switch {
		case still && was.Sequence > 0 && says(events[i], was):
			events[i].Sequence = was.Sequence
		case still:
			events[i].Sequence = max(events[i].Sequence, was.Sequence+1)
		case same && !was.Cancelled:
			events = append(events, cancel(was, max(fresh, was.Sequence+1)))
		case !dead:
			events = append(events, was)
		}
	}
	return events
}

// cancel is the event called off. Its title says so too, for programs that show a
// cancelled event as any other.
func cancel(e ical.Event, sequence int) ical.Event {
	e.Cancelled, e.Sequence, e.Reminder, e.Takes = true, sequence, 0, ical.Takes{}
	e.Title = "Cancelled: " + e.Title
	return e
}
