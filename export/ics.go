package export

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"github.com/google/uuid"

	"brothrun/export/words"
	"brothrun/stock"
	"brothrun/stock/quantity"
	"brothrun/stock/settle"
	"brothrun/timeline"
	"brothrun/timeline/ical"
)

// Options are what a calendar file needs beside the plans.
type Options struct {
	// Now is stamped on every event (DTSTAMP and LAST-MODIFIED). The caller takes
	// it once, so that the same input gives the same bytes.
	Now time.Time
	// ZoneInFile writes local times with the zone's rules in the file. Without it
	// every time is in UTC, the only form that every calendar program reads alike.
	ZoneInFile bool
	// UseBy adds the dates by which what comes of a run is best used.
	UseBy bool
	// Former is the calendar this one takes the place of; nil for none.
	Former *Former
}

// uidSpace is the UUID version 5 name space of this project's events: a random
// UUID, made once. Changing it would double every event on import.
var uidSpace = uuid.MustParse("6f0c2d0e-7f43-4c1b-9a52-3d1b8f6f5a27")

// The bounds of a reminder. A trigger of nothing is read differently from
// program to program and one of a day or more is ambiguous over a clock change,
// so a reminder comes at least a minute and less than a day ahead.
const (
	leastReminder = time.Minute
	mostReminder  = 24*time.Hour - time.Minute
)

// useByReminder rings at 9 in the morning of the day before an all-day event,
// which starts at midnight; at 8 or 10 when the clock changes in between.
const useByReminder = 15 * time.Hour

// Calendar writes the steps of plans as one iCalendar file [RFC 5545]: one event
// a step, titled for a phone (words.Brief), with what to do in its description, one reminder
// before its start, and busy only while someone works.
//
// Events are keyed by the plan's RunID and the step's ID, and carry its Revision
// as their sequence, so importing a later revision moves the same events wherever
// the program honours that. With options.Former, an event that changed since has
// a higher sequence than it had, and one that is gone is written once more as
// cancelled, in UTC and without a reminder; it is left out when it was cancelled
// already and ended more than 400 days before options.Now. Events of runs that are
// not among plans are not carried over.
//
// A reminder is rounded up to whole minutes and held between 1 minute and 23 h
// 59 min; a step that asks for one at its start is reminded a minute ahead. Times
// are cut to whole seconds; a step that by its notes took no time is a minute long, and
// one that was skipped is left out. With ZoneInFile an instant whose wall clock time comes
// twice is still written in UTC, and each zone's rules stand in the file once.
// With UseBy each date is an all-day event, announced at 9 the morning before; a
// calendar that had them keeps them.
//
// It is an error, and nothing is written, when options.Now is not set, two plans
// share a run ID, a plan has none or a negative revision, a step has no ID or
// shares one, starts before 1970 or ends after 9998, or does not end after it
// starts, or when ZoneInFile asks for a place without a name. Other errors are
// those of w.
func Calendar(w io.Writer, plans []timeline.Plan, options Options) error {
	file, err := build(plans, options)
	if err != nil {
		return fmt.Errorf("calendar: %w", err)
	}
	return file.Write(w)
}

// build makes the calendar of plans.
func build(plans []timeline.Plan, options Options) (ical.File, error) {
	events, err := eventsOf(plans, options)
	if err != nil {
		return ical.File{}, err
	}
	name := fmt.Sprintf("%d broth runs", len(plans))
	if len(plans) == 1 {
		name = ical.OneLine(plans[0].Batch.Name)
	}
	calendar := ical.Calendar{Name: name, Events: options.Former.settle(events, plans, options.Now)}
	return calendar.Compose(options.Now)
}

// RunKey is what the calendar entries of a run carry as X-BROTHRUN-RUN: it names
// the run in the file without its text, which may be anything. A key is its own, so
// that what is read back from a file can be a run ID again.
func RunKey(runID string) string {
	if len(runID) == 36 && uuid.Validate(runID) == nil {
		return runID
	}
	return uuid.NewSHA1(uidSpace, []byte("run\x00"+runID)).String()
}

// likenessKey is RunKey for what a run is known by; empty for nothing.
func likenessKey(likeness string) string {
	if likeness == "" {
		return ""
	}
	return uuid.NewSHA1(uidSpace, []byte("alike\x00"+likeness)).String()
}

// eventsOf makes the events of plans, and finds what would make a file that
// calendar programs refuse or misread.
func eventsOf(plans []timeline.Plan, options Options) ([]ical.Event, error) {
	if options.Now.IsZero() {
		return nil, errors.New("no present instant given to stamp the events with")
	}
	var events []ical.Event
	seen := map[string]bool{} // keys and UIDs
	for _, plan := range plans {
		key := RunKey(plan.RunID)
		switch {
		case plan.RunID == "":
			return nil, errors.New("the plan has no run ID, so its events could not be told from another run's")
		case plan.Revision < 0:
			return nil, fmt.Errorf("revision %d: must be 0 or more", plan.Revision)
		case seen[key]:
			return nil, fmt.Errorf("run %q is there twice: each run needs an ID of its own, id in its file", plan.RunID)
		}
		seen[key] = true
		run := runEvents{plan: plan, key: key, alike: likenessKey(plan.Likeness), seen: seen, events: events}
		if len(plans) > 1 {
			// "Reheat to a full boil" does not say whose.
			run.name = fmt.Sprintf(" (%s)", cmp.Or(ical.OneLine(plan.Batch.Name), ical.OneLine(plan.RunID)))
		}
		err := run.addSteps(options.ZoneInFile)
		if err == nil && (options.UseBy || options.Former.dated(key)) {
			err = run.addUseBys()
		}
		if err != nil {
			return nil, err
		}
		events = run.events
	}
	return events, nil
}

// runEvents gathers the events of a plan behind those of others.
type runEvents struct {
	plan       timeline.Plan
	key, alike string
	name       string // behind each title, where it hides nothing
	seen       map[string]bool
	events     []ical.Event
}

// add adds the event that id names within the run; twice is what to say of name
// where it is there already.
func (r *runEvents) add(e ical.Event, id, twice, name string) error {
	e.UID = uuid.NewSHA1(uidSpace, []byte(r.plan.RunID+"/"+id)).String()
	if r.seen[e.UID] {
		return fmt.Errorf(twice, name)
	}
	r.seen[e.UID] = true
	e.Run, e.Alike, e.Sequence = r.key, r.alike, r.plan.Revision
	r.events = append(r.events, e)
	return nil
}

func (r *runEvents) addSteps(zoneInFile bool) error {
	var place *time.Location
	if zoneInFile && r.plan.Location != time.UTC {
		place = r.plan.Location
	}
	form := words.Form{Units: r.plan.Batch.Units}
	for _, step := range r.plan.Steps {
		if step.State == timeline.Skipped {
			continue
		}
		if step.State == timeline.Ended && step.End.Equal(step.Start) {
			step.End = step.Start.Add(time.Minute) // it was done, so it is not called off
		}
		if err := fitForCalendar(step); err != nil {
			return err
		}
		event := ical.Event{
			Title: cmp.Or(ical.OneLine(words.Brief(r.plan, step, form)), "Next step") + r.name,
			Text:  describe(r.plan, step, form), Category: ical.OneLine(string(step.Kind)), Busy: step.Kind == timeline.HandsOn,
			Start: step.Start, End: step.End, Place: place, Reminder: reminder(step),
		}
		if err := r.add(event, step.ID, "step %q is there twice: each step needs an ID of its own", step.ID); err != nil {
			return err
		}
	}
	return nil
}

// addUseBys adds the days by which broth in each form is best used.
func (r *runEvents) addUseBys() error {
	name := cmp.Or(ical.OneLine(r.plan.Batch.Name), "broth")
	for _, date := range r.plan.UseBy {
		if date.What == stock.InTheFridge && r.plan.Batch.Leftover.Route != settle.Fridge {
			continue // by then it is canned, frozen or dried
		}
		year, month, day := date.By.Date()
		start := time.Date(year, month, day, 0, 0, 0, 0, time.UTC)
		end := start.AddDate(0, 0, 1)
		if start.Year() < 1970 || end.Year() > 9998 {
			return fmt.Errorf("use-by date %s: must lie in the years 1970 to 9998", date.By.Format(time.DateOnly))
		}
		text := strings.TrimSpace(ical.Clean(words.UseBy(r.plan.Batch, date, words.Form{Units: r.plan.Batch.Units})))
		if text != "" {
			first, size := utf8.DecodeRuneInString(text)
			text = string(unicode.ToUpper(first)) + text[size:] + "."
		}
		title := fmt.Sprintf("Use by: %s, %s", name, date.What)
		if date.What == timeline.GaugeCheck {
			title = "The canner's dial gauge is due for its check"
		}
		event := ical.Event{
			Title: ical.OneLine(title), Text: text, Category: "use-by",
			Start: start, End: end, AllDay: true, Reminder: useByReminder,
		}
		if err := r.add(event, "use-by-"+date.What, "use-by date of %q is there twice", date.What); err != nil {
			return err
		}
	}
	return nil
}

// fitForCalendar finds what would make an event that calendar programs refuse or
// misread.
func fitForCalendar(step timeline.Step) error {
	switch {
	case step.ID == "":
		return fmt.Errorf("the step at %s has no ID", step.Start.Format(time.RFC3339))
	case step.Start.UTC().Year() < 1970 || step.End.UTC().Year() > 9998:
		return fmt.Errorf("step %q from %s to %s: must lie in the years 1970 to 9998", step.ID,
			step.Start.Format(time.RFC3339), step.End.Format(time.RFC3339))
	case step.End.Unix() <= step.Start.Unix():
		return fmt.Errorf("step %q ends at %s: must be at least 1 s after its start at %s", step.ID,
			step.End.Format(time.RFC3339), step.Start.Format(time.RFC3339))
	}
	return nil
}

// reminder is how long before its start a step is announced.
func reminder(step timeline.Step) time.Duration {
	ahead := (step.Remind + time.Minute - 1).Truncate(time.Minute)
	return min(max(ahead, leastReminder), mostReminder)
}

// describe is what to do and the numbers to watch, a line each, when it may begin
// and how long it may take.
func describe(plan timeline.Plan, step timeline.Step, form words.Form) string {
	var lines []string
	for _, detail := range words.Detail(plan, step, form) {
		if text := strings.TrimSpace(ical.Clean(detail)); text != "" {
			lines = append(lines, text)
		}
	}
	if step.Latest.Sub(step.Earliest) >= 10*time.Minute {
		from, to := timeline.ClockSpan(step.Earliest, step.Latest, "Mon 15:04", "Mon 15:04")
		lines = append(lines, fmt.Sprintf("May begin from %s to %s, as the steps before it run short or long.", from, to))
	}
	if span := step.Span; span.Low < span.High {
		lines = append(lines, fmt.Sprintf("Takes %s, most likely %s.", quantity.FormatSpan(span),
			quantity.FormatDuration(span.Likely)))
	}
	return strings.Join(lines, "\n")
}
