package export

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"slices"
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
	Asked
	// Former is the calendar this one takes the place of; nil for none.
	Former *Former
	// Others carries the events of runs that are not among the plans on from Former, as
	// they are.
	Others bool
	// Refresh is how often programs are to ask for the calendar again; 0 says nothing of it.
	Refresh time.Duration
}

// uidSpace is the UUID version 5 name space of this project's events: a random
// UUID, made once. Changing it would double every event on import.
var uidSpace = uuid.MustParse("6f0c2d0e-7f43-4c1b-9a52-3d1b8f6f5a27")

// leastReminder is the shortest lead of a reminder: one of nothing is read differently
// from program to program. mostReminder is the longest that may be asked for, written in
// minutes, which no change of the clock makes ambiguous.
const (
	leastReminder = time.Minute
	mostReminder  = timeline.LongestLead
)

// useByReminder rings at 9 in the morning of the day before an all-day event,
// which starts at midnight; at 8 or 10 when the clock changes in between.
const useByReminder = 15 * time.Hour

// Calendar writes the steps of plans as one iCalendar file [RFC 5545]: one event
// a step, titled for a phone (words.Brief), with what to do in its description, one reminder
// before its start, and busy only while someone works or a load needs the cook. What asks
// nothing of anybody, such as the night in the fridge, takes whole days and does not ring;
// options.NoWaiting leaves it out. The checks of a plan, and with options.Phases the
// phases of its loads, are events that ring when they are due.
//
// Events are keyed by the plan's RunID and the step's ID, and carry its Revision
// as their sequence, so importing a later revision moves the same events wherever
// the program honours that. With options.Former, an event that changed since has
// a higher sequence than it had, and one that is gone is written once more as
// cancelled, in UTC and without a reminder; it is left out when it was cancelled
// already and ended more than 400 days before options.Now. Events of runs that are
// not among plans are carried over with options.Others, in UTC, and else are not; what
// somebody else put there is carried over as it was.
//
// A reminder is rounded up to whole minutes and held between 1 minute and 3 days; a step
// that asks for one at its start is reminded a minute ahead, and no two ring in one
// minute. Times are cut to whole minutes; a step that by its notes took no time is a minute long, and
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
	options.Asked = options.Asked.Or(options.Former.Asked())
	events, err := eventsOf(plans, options)
	if err != nil {
		return ical.File{}, err
	}
	name := fmt.Sprintf("%d broth runs", options.runs(plans))
	if options.runs(plans) == 1 {
		name = ical.OneLine(plans[0].Batch.Name)
	}
	calendar := ical.Calendar{Name: name, Refresh: options.Refresh, Events: options.Former.settle(events, plans, options)}
	if options.Former != nil {
		calendar.Kept = options.Former.kept
	}
	return calendar.Compose(options.Now)
}

// runs is how many runs stand in the calendar of plans.
func (o Options) runs(plans []timeline.Plan) int {
	if o.Others {
		return len(plans) + o.Former.Others(plans)
	}
	return len(plans)
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

// uidOf is the UID of what id names in a run.
func uidOf(runID, id string) string { return uuid.NewSHA1(uidSpace, []byte(runID+"/"+id)).String() }

// likenessKey is RunKey for one of what a run is known by.
func likenessKey(likeness string) string {
	return uuid.NewSHA1(uidSpace, []byte("alike\x00"+likeness)).String()
}

func likenessKeys(likenesses []string) string {
	var keys []string
	for _, likeness := range likenesses {
		keys = append(keys, likenessKey(likeness))
	}
	return strings.Join(keys, " ")
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
		run := runEvents{plan: plan, key: key, alike: likenessKeys(plan.Likeness), set: options.Asked.String(),
			seen: seen, events: events}
		if options.runs(plans) > 1 {
			// "Reheat to a full boil" does not say whose.
			run.name = fmt.Sprintf(" (%s)", cmp.Or(ical.OneLine(plan.Batch.Name), ical.OneLine(plan.RunID)))
		}
		if options.ZoneInFile && plan.Location != time.UTC {
			run.place = plan.Location
		}
		err := run.addSteps(is(options.NoWaiting))
		if err == nil {
			err = run.addChecks(is(options.Phases))
		}
		if err == nil && (options.UseBy || options.Former.dated(key)) {
			err = run.addUseBys()
		}
		if err != nil {
			return nil, err
		}
		events = run.events
	}
	var others []ical.Event
	if options.Others && options.Former != nil {
		for _, was := range options.Former.events {
			if !seen[was.Run] {
				others = append(others, was)
			}
		}
	}
	apart(events, others)
	return events, nil
}

// apart moves reminders so that no two ring in one minute: those of checks stay, and of
// the others the later event's rings a minute or more closer to its start or, where there
// is no room, before the other. Those of others stay too.
func apart(events, others []ical.Event) {
	var ringing []*ical.Event
	for i := range events {
		if events[i].Reminder > 0 && !events[i].AllDay {
			ringing = append(ringing, &events[i])
		}
	}
	slices.SortStableFunc(ringing, func(a, b *ical.Event) int {
		first := func(e *ical.Event) int {
			if e.Category == checkCategory {
				return 0
			}
			return 1
		}
		return cmp.Or(first(a)-first(b), a.Start.Compare(b.Start), cmp.Compare(a.UID, b.UID))
	})
	taken := map[int64]bool{}
	rings := func(e *ical.Event, ahead time.Duration) int64 { return e.Start.Add(-ahead).Unix() / 60 }
	for i := range others {
		if e := &others[i]; e.Reminder > 0 && !e.AllDay && !e.Cancelled {
			taken[rings(e, e.Reminder)] = true
		}
	}
	for _, e := range ringing {
		ahead := e.Reminder
		for taken[rings(e, ahead)] && ahead > leastReminder {
			ahead -= time.Minute
		}
		for ahead = max(ahead, leastReminder); taken[rings(e, ahead)]; {
			ahead += time.Minute
		}
		e.Reminder = ahead
		taken[rings(e, ahead)] = true
	}
}

// runEvents gathers the events of a plan behind those of others.
type runEvents struct {
	plan       timeline.Plan
	key, alike string
	set        string
	place      *time.Location // whose local time is written; nil for UTC
	name       string         // behind each title, where it hides nothing
	seen       map[string]bool
	events     []ical.Event
}

// add adds the event that id names within the run; twice is what to say of name
// where it is there already.
func (r *runEvents) add(e ical.Event, id, twice, name string) error {
	e.UID = uidOf(r.plan.RunID, id)
	if r.seen[e.UID] {
		return fmt.Errorf(twice, name)
	}
	r.seen[e.UID] = true
	e.Run, e.Alike, e.Set, e.Sequence = r.key, r.alike, r.set, r.plan.Revision
	r.events = append(r.events, e)
	return nil
}

func (r *runEvents) addSteps(noWaiting bool) error {
	form := words.Form{Units: r.plan.Batch.Units}
	for _, step := range r.plan.Steps {
		if step.State == timeline.Skipped || noWaiting && idle(step) {
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
			Text:  describe(r.plan, step, form), Category: ical.OneLine(string(step.Kind)),
			Busy:  step.Kind == timeline.HandsOn || step.Role == timeline.Load && slices.Contains(step.Needs, timeline.Cook),
			Start: minute(step.Start), End: minute(step.End), Place: r.place,
			Reminder: reminder(step.Remind), Takes: r.takes(step),
		}
		if !event.End.After(event.Start) {
			event.End = event.Start.Add(time.Minute)
		}
		if idle(step) {
			event = wholeDays(event, step)
		}
		if err := r.add(event, step.ID, "step %q is there twice: each step needs an ID of its own", step.ID); err != nil {
			return err
		}
	}
	return nil
}

// minute is t cut to a whole minute.
func minute(t time.Time) time.Time {
	return t.Add(-time.Duration(t.Unix()%60) * time.Second).Truncate(time.Second)
}

// idle reports whether a step asks nothing of anybody from its beginning to its end. A
// simmer that is left alone is turned down as it begins.
func idle(step timeline.Step) bool {
	return step.Kind == timeline.Waiting && step.Role != timeline.Simmer
}

// wholeDays lets a step that asks nothing stand above the days it falls on, where it does
// not ring; when it is stands in its text.
func wholeDays(e ical.Event, step timeline.Step) ical.Event {
	date := func(t time.Time) time.Time {
		year, month, day := t.Date()
		return time.Date(year, month, day, 0, 0, 0, 0, time.UTC)
	}
	from, to := timeline.ClockSpan(step.Start, step.End, "Mon 15:04", "Mon 15:04")
	e.Text = strings.TrimSpace(fmt.Sprintf("From %s to %s.\n%s", from, to, e.Text))
	e.Start, e.End = date(step.Start), date(step.End.Add(-time.Second)).AddDate(0, 0, 1)
	e.AllDay, e.Place, e.Reminder = true, nil, 0
	return e
}

// takes is what a step keeps of the kitchen from other runs, were all to run long: the
// canner, until it is unloaded, and the dryer, until its trays are out.
func (r *runEvents) takes(step timeline.Step) ical.Takes {
	var what timeline.Resource
	long := func(s timeline.Step) time.Time {
		if end := s.Latest.Add(s.Span.High); end.After(s.End) {
			return end
		}
		return s.End
	}
	until := long(step)
	goesOn := func(role timeline.Role, of func(timeline.Step) bool) {
		for _, s := range r.plan.Steps {
			if s.Role == role && of(s) && long(s).After(until) {
				until = long(s)
			}
		}
	}
	switch {
	case step.Role == timeline.Load && len(step.Loads) > 0:
		what = timeline.Canner
		goesOn(timeline.Unload, func(s timeline.Step) bool {
			return len(s.Loads) > 0 && s.Loads[0].Number == step.Loads[0].Number
		})
	case step.Role == timeline.DryLoad:
		what = timeline.FreezeDryer
		for _, role := range []timeline.Role{timeline.Dry, timeline.DryCheck} {
			goesOn(role, func(s timeline.Step) bool { return s.DryerBatch == step.DryerBatch })
		}
	default:
		return ical.Takes{}
	}
	return ical.Takes{What: what, From: minute(step.Start), To: minute(until.Add(time.Minute - time.Second))}
}

const (
	checkCategory = "check"
	useByCategory = "use-by"
)

// addChecks adds the checks of the plan and, where they are asked for, the phases of its
// loads.
func (r *runEvents) addChecks(phases bool) error {
	checks := r.plan.Checks
	if phases {
		checks = append(slices.Clip(checks), r.plan.Phases()...)
	}
	for _, c := range checks {
		title, detail := words.Check(r.plan, c, words.Form{Units: r.plan.Batch.Units})
		event := ical.Event{
			Title: ical.OneLine(title) + r.name, Text: ical.Clean(strings.Join(detail, "\n")), Category: checkCategory,
			Start: minute(c.At), End: minute(c.End()), Place: r.place, Reminder: leastReminder,
		}
		if c.AllDay {
			event = aheadOf(event, c.At)
		}
		if c.Quiet {
			event.Reminder = 0
		}
		if event.Start.UTC().Year() < 1970 || event.End.UTC().Year() > 9998 {
			return fmt.Errorf("check %q at %s: must lie in the years 1970 to 9998", c.ID, c.At.Format(time.RFC3339))
		}
		if err := r.add(event, c.ID, "check %q is there twice", c.ID); err != nil {
			return err
		}
	}
	return nil
}

// aheadOf makes of an event one of a whole day, announced at 9 the morning before.
func aheadOf(e ical.Event, on time.Time) ical.Event {
	year, month, day := on.Date()
	e.Start = time.Date(year, month, day, 0, 0, 0, 0, time.UTC)
	e.End = e.Start.AddDate(0, 0, 1)
	e.AllDay, e.Place, e.Reminder = true, nil, useByReminder
	return e
}

// useByIDs are all IDs of use-by dates.
func useByIDs() (ids []string) {
	for _, what := range []string{stock.InTheFridge, stock.Canned, stock.Frozen, stock.Powder,
		stock.PickedMeat, timeline.GaugeCheck} {
		ids = append(ids, "use-by-"+what)
	}
	return ids
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
			Title: ical.OneLine(title), Text: text, Category: useByCategory,
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
func reminder(asked time.Duration) time.Duration {
	ahead := (asked + time.Minute - 1).Truncate(time.Minute)
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
