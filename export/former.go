package export

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"time"

	ics "github.com/arran4/golang-ical"
	"github.com/google/uuid"

	"brothrun/timeline"
)

// Former is what a calendar of ours said before: its events, so that the next
// calendar can say which of them changed and which are gone.
type Former struct{ entries []entry }

const (
	// formerMost is the most octets read of a former calendar: over 20,000 steps.
	formerMost = 16 << 20
	// sequenceMost keeps a sequence that rises by one within what RFC 5545 3.3.8
	// allows.
	sequenceMost = 1_000_000_000
	// cancelledFor is how long after its end a cancelled event is still written: for
	// longer than a year, so that its sequence goes on where a run's ID comes again.
	cancelledFor = 400 * 24 * time.Hour
)

// ReadFormer reads the calendar that another is about to take the place of. It is
// nil, without an error, when r holds a calendar of another program. It is an
// error when what r holds is no calendar, is damaged or is over 16 MiB.
func ReadFormer(r io.Reader) (*Former, error) {
	file, err := io.ReadAll(io.LimitReader(r, formerMost+1))
	switch {
	case err != nil:
		return nil, fmt.Errorf("former calendar: %w", err)
	case len(file) > formerMost:
		return nil, fmt.Errorf("former calendar: over %d MiB", formerMost>>20)
	case !bytes.HasSuffix(bytes.TrimSpace(file), []byte("END:VCALENDAR")): // which the library would not miss
		return nil, errors.New("former calendar: it does not end as a calendar does")
	}
	calendar, err := ics.ParseCalendar(bytes.NewReader(file))
	if err != nil {
		return nil, fmt.Errorf("former calendar: %w", err)
	}
	ours := slices.ContainsFunc(calendar.CalendarProperties, func(p ics.CalendarProperty) bool {
		return p.IANAToken == string(ics.PropertyProductId) && p.Value == productID
	})
	if !ours {
		return nil, nil
	}
	former := &Former{}
	zones := map[string]*time.Location{}
	for _, event := range calendar.Events() {
		e, err := formerEntry(event, zones)
		if err != nil {
			return nil, fmt.Errorf("former calendar: %w", err)
		}
		former.entries = append(former.entries, e)
	}
	return former, nil
}

// formerEntry reads an event. zones holds the zones loaded so far, by name.
func formerEntry(event *ics.VEvent, zones map[string]*time.Location) (entry, error) {
	value := func(property ics.ComponentProperty) string {
		if p := event.GetProperty(property); p != nil {
			return p.Value
		}
		return ""
	}
	e := entry{
		uid: value(ics.ComponentPropertyUniqueId), run: value(runProperty), alike: value(alikeProperty),
		title:     cmp.Or(oneLine(value(ics.ComponentPropertySummary)), "Next step"),
		text:      strings.TrimSpace(cleanText(value(ics.ComponentPropertyDescription))),
		category:  oneLine(value(ics.ComponentPropertyCategories)),
		cancelled: value(ics.ComponentPropertyStatus) == string(ics.ObjectStatusCancelled),
	}
	for _, key := range []string{e.uid, e.run, cmp.Or(e.alike, e.run)} {
		if uuid.Validate(key) != nil || len(key) != 36 {
			return e, fmt.Errorf("%.60q is no key of an event", key)
		}
	}
	var err error
	if text := value(ics.ComponentPropertySequence); text != "" {
		if e.sequence, err = strconv.Atoi(text); err != nil || e.sequence < 0 || e.sequence > sequenceMost {
			return e, fmt.Errorf("event %s: sequence %.20q: must be 0 to %d", e.uid, text, sequenceMost)
		}
	}
	var endsAllDay bool
	if e.start, e.allDay, err = formerInstant(event.GetProperty(ics.ComponentPropertyDtStart), zones); err == nil {
		e.end, endsAllDay, err = formerInstant(event.GetProperty(ics.ComponentPropertyDtEnd), zones)
	}
	switch {
	case err != nil:
		return e, fmt.Errorf("event %s: %w", e.uid, err)
	case e.allDay != endsAllDay || !e.end.After(e.start) || e.start.UTC().Year() < 1970 || e.end.UTC().Year() > 9998:
		return e, fmt.Errorf("event %s: its end does not go with its start", e.uid)
	}
	return e, nil
}

// formerInstant reads a time as event writes it: in UTC, local with a zone, or a
// date, which is told as midnight UTC.
func formerInstant(p *ics.IANAProperty, zones map[string]*time.Location) (t time.Time, allDay bool, err error) {
	if p == nil {
		return t, false, errors.New("it lacks a start or an end")
	}
	if slices.Equal(p.ICalParameters["VALUE"], []string{"DATE"}) {
		t, err = time.Parse(calendarDate, p.Value)
		return t, true, err
	}
	place := time.UTC
	layout := calendarLocal + "Z"
	if names := p.ICalParameters["TZID"]; len(names) == 1 {
		layout = calendarLocal
		var loaded bool
		if place, loaded = zones[names[0]]; !loaded {
			if place, err = timeline.LoadZone(names[0]); err != nil {
				return t, false, err
			}
			zones[names[0]] = place
		}
	}
	t, err = time.ParseInLocation(layout, p.Value, place)
	return t, false, err
}

// says reports whether two events show the same.
func (e entry) says(other entry) bool {
	return e.start.Unix() == other.start.Unix() && e.end.Unix() == other.end.Unix() && e.allDay == other.allDay &&
		e.title == other.title && e.text == other.text && e.cancelled == other.cancelled
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
	for _, was := range f.entries {
		if !known[was.run] && !was.cancelled {
			known[was.run] = true
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
	for _, was := range f.entries {
		switch {
		case was.run == RunKey(runID):
			return Kept{}
		case was.cancelled || was.allDay || was.alike != likenessKey(likeness):
			continue
		case kept.RunID != "" && kept.RunID != was.run:
			return Kept{}
		}
		if kept.RunID == "" || was.start.Before(kept.Begins) {
			kept = Kept{was.run, was.start}
		}
		if was.end.After(ends) {
			ends = was.end
		}
	}
	if ends.Before(now) && day.After(ends) {
		return Kept{}
	}
	return kept
}

// dated reports whether the calendar held use-by dates of a run.
func (f *Former) dated(run string) bool {
	return f != nil && slices.ContainsFunc(f.entries, func(was entry) bool {
		return was.run == run && was.allDay && !was.cancelled
	})
}

// settle gives entries their sequences and adds, after them, the former events of
// the same runs that are gone. f may be nil.
func (f *Former) settle(entries []entry, plans []timeline.Plan, now time.Time) []entry {
	if f == nil {
		return entries
	}
	revisions := map[string]int{}
	for _, plan := range plans {
		revisions[RunKey(plan.RunID)] = plan.Revision
	}
	at := map[string]int{}
	for i, e := range entries {
		at[e.uid] = i
	}
	settled := map[string]bool{}
	for _, was := range f.entries {
		revision, same := revisions[was.run]
		if !same || settled[was.uid] {
			continue
		}
		settled[was.uid] = true
		i, still := at[was.uid]
		switch {
		case still && entries[i].says(was):
			entries[i].sequence = max(entries[i].sequence, was.sequence)
		case still:
			entries[i].sequence = max(entries[i].sequence, was.sequence+1)
		case !was.cancelled:
			entries = append(entries, was.cancel(max(revision, was.sequence+1)))
		case !was.end.Before(now.Add(-cancelledFor)):
			entries = append(entries, was)
		}
	}
	return entries
}

// cancel is the event called off. Its title says so too, for programs that show a
// cancelled event as any other.
func (e entry) cancel(sequence int) entry {
	e.cancelled, e.sequence = true, sequence
	e.title = "Cancelled: " + e.title
	return e
}
