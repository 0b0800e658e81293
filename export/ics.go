package export

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"io"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"
	"unicode"
	"unicode/utf8"

	ics "github.com/arran4/golang-ical"
	"github.com/google/uuid"

	"brothrun/stock"
	"brothrun/stock/quantity"
	"brothrun/timeline"
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

const productID = "-//brothrun//kitchen plan//EN"

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

// ICS writes one plan as Calendar does.
func ICS(w io.Writer, plan timeline.Plan, options Options) error {
	return Calendar(w, []timeline.Plan{plan}, options)
}

// Calendar writes the steps of plans as one iCalendar file [RFC 5545]: one event
// a step, titled as the step, with what to do in its description, one reminder
// before its start, and busy only while someone works.
//
// Events are keyed by the plan's RunID and the step's ID, and carry its Revision
// as their sequence, so importing a later revision moves the same events wherever
// the program honours that. With options.Former, an event that changed since has
// a higher sequence than it had, and one that is gone is written once more as
// cancelled, in UTC and without a reminder; it is left out when it was cancelled
// already and ended more than 30 days before options.Now. Events of runs that are
// not among plans are not carried over.
//
// A reminder is rounded up to whole minutes and held between 1 minute and 23 h
// 59 min; a step that asks for one at its start is reminded a minute ahead. Times
// are cut to whole seconds. With ZoneInFile an instant whose wall clock time comes
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
	calendar, err := build(plans, options)
	if err != nil {
		return fmt.Errorf("calendar: %w", err)
	}
	return serialise(w, calendar)
}

// serialise writes a calendar. The library drops the errors of its first and last
// write, so it writes to memory, where there are none.
func serialise(w io.Writer, calendar *ics.Calendar) error {
	const octetsAnEvent = 600 // of a step with a sentence or two
	var file bytes.Buffer
	file.Grow(octetsAnEvent * len(calendar.Components))
	if err := calendar.SerializeTo(&file, ics.WithNewLineWindows); err != nil {
		return fmt.Errorf("calendar: %w", err)
	}
	_, err := w.Write(file.Bytes())
	return err
}

// build makes the calendar of plans.
func build(plans []timeline.Plan, options Options) (*ics.Calendar, error) {
	entries, err := entriesOf(plans, options)
	if err != nil {
		return nil, err
	}
	entries = options.Former.settle(entries, plans, options.Now)

	calendar := ics.NewCalendar()
	calendar.SetProductId(productID)
	calendar.SetCalscale("GREGORIAN")
	if name := calendarName(plans); name != "" {
		calendar.SetName(name)
	}
	zones, err := zonesOf(entries)
	if err != nil {
		return nil, err
	}
	for _, zone := range zones {
		calendar.AddVTimezone(zone)
	}
	now := calendarUTC(options.Now)
	for _, entry := range entries {
		calendar.AddVEvent(entry.event(now))
	}
	return calendar, nil
}

// calendarName is what programs that name a calendar by its file call it.
func calendarName(plans []timeline.Plan) string {
	if len(plans) == 1 {
		return oneLine(plans[0].Batch.Name)
	}
	return fmt.Sprintf("%d broth runs", len(plans))
}

// entry is one event of a calendar, its texts cleaned.
type entry struct {
	uid, run, alike       string         // UUIDs; alike may be empty
	title, text, category string         // a title is never empty: calcurse 4.7 crashes without
	start, end            time.Time      // of a whole day: midnight UTC of its date
	place                 *time.Location // whose local time is written; nil for UTC
	allDay, busy          bool
	cancelled             bool
	sequence              int
	reminder              time.Duration
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

// entriesOf makes the events of plans, and finds what would make a file that
// calendar programs refuse or misread.
func entriesOf(plans []timeline.Plan, options Options) ([]entry, error) {
	if options.Now.IsZero() {
		return nil, errors.New("no present instant given to stamp the events with")
	}
	var entries []entry
	seen := map[string]bool{}
	for _, plan := range plans {
		switch {
		case plan.RunID == "":
			return nil, errors.New("the plan has no run ID, so its events could not be told from another run's")
		case plan.Revision < 0:
			return nil, fmt.Errorf("revision %d: must be 0 or more", plan.Revision)
		}
		run, alike := RunKey(plan.RunID), likenessKey(plan.Likeness)
		if seen[run] {
			return nil, fmt.Errorf("run %q is there twice: each run needs an ID of its own, id in its file", plan.RunID)
		}
		seen[run] = true
		name := ""
		if len(plans) > 1 {
			// "Reheat the broth" does not say whose.
			name = cmp.Or(oneLine(plan.Batch.Name), oneLine(plan.RunID)) + ": "
		}
		var place *time.Location
		if options.ZoneInFile && plan.Location != time.UTC {
			place = plan.Location
		}
		for _, step := range plan.Steps {
			if err := fitForCalendar(step); err != nil {
				return nil, err
			}
			entries = append(entries, entry{
				uid: uuid.NewSHA1(uidSpace, []byte(plan.RunID+"/"+step.ID)).String(), run: run, alike: alike,
				title: name + cmp.Or(oneLine(step.Title), "Next step"), text: describe(step), category: oneLine(string(step.Kind)),
				start: step.Start, end: step.End, place: place, busy: step.Kind == timeline.HandsOn,
				sequence: plan.Revision, reminder: reminder(step),
			})
			if last := entries[len(entries)-1]; seen[last.uid] {
				return nil, fmt.Errorf("step %q is there twice: each step needs an ID of its own", step.ID)
			}
			seen[entries[len(entries)-1].uid] = true
		}
		if !options.UseBy && !options.Former.dated(run) {
			continue
		}
		for _, date := range plan.UseBy {
			if date.What == stock.InTheFridge && plan.Batch.Leftover.Route != "fridge" {
				continue // by then it is canned, frozen or dried
			}
			use := useByEntry(plan, date)
			use.run, use.alike = run, alike
			switch {
			case use.start.Year() < 1970 || use.end.Year() > 9998:
				return nil, fmt.Errorf("use-by date %s: must lie in the years 1970 to 9998", date.By.Format(time.DateOnly))
			case seen[use.uid]:
				return nil, fmt.Errorf("use-by date of %q is there twice", date.What)
			}
			seen[use.uid] = true
			entries = append(entries, use)
		}
	}
	return entries, nil
}

// useByEntry is the day by which broth in one form is best used.
func useByEntry(plan timeline.Plan, date timeline.UseBy) entry {
	year, month, day := date.By.Date()
	start := time.Date(year, month, day, 0, 0, 0, 0, time.UTC)
	name := oneLine(plan.Batch.Name)
	if name == "" {
		name = "broth"
	}
	text := strings.TrimSpace(cleanText(date.Why))
	if text != "" {
		first, size := utf8.DecodeRuneInString(text)
		text = string(unicode.ToUpper(first)) + text[size:] + "."
	}
	title := fmt.Sprintf("Use by: %s, %s", name, date.What)
	if date.What == timeline.GaugeCheck {
		title = "The canner's dial gauge is due for its check"
	}
	return entry{
		uid:   uuid.NewSHA1(uidSpace, []byte(plan.RunID+"/use-by-"+date.What)).String(),
		title: oneLine(title), text: text, category: "use-by",
		start: start, end: start.AddDate(0, 0, 1), allDay: true, sequence: plan.Revision, reminder: useByReminder,
	}
}

// fitForCalendar finds what would make an event that calendar programs refuse or
// misread.
func fitForCalendar(step timeline.Step) error {
	switch {
	case step.ID == "":
		return fmt.Errorf("step %q has no ID", step.Title)
	case step.Start.UTC().Year() < 1970 || step.End.UTC().Year() > 9998:
		return fmt.Errorf("step %q from %s to %s: must lie in the years 1970 to 9998", step.ID,
			step.Start.Format(time.RFC3339), step.End.Format(time.RFC3339))
	case step.End.Unix() <= step.Start.Unix():
		return fmt.Errorf("step %q ends at %s: must be at least 1 s after its start at %s", step.ID,
			step.End.Format(time.RFC3339), step.Start.Format(time.RFC3339))
	}
	return nil
}

// runProperty says which run an event belongs to, so that a later file can tell
// a step of the same run that is gone. Readers must ignore what they do not know
// [RFC 5545 3.8.8.2].
const runProperty ics.ComponentProperty = "X-BROTHRUN-RUN"

// alikeProperty says what a run without an ID of the cook's is known by.
const alikeProperty ics.ComponentProperty = "X-BROTHRUN-ALIKE"

// event writes the entry as an event stamped with now.
func (e entry) event(now string) *ics.VEvent {
	event := &ics.VEvent{}
	event.Properties = make([]ics.IANAProperty, 0, 12)
	// The library's setters look for each property in all that came before and make
	// a map of parameters for each.
	put := func(property ics.ComponentProperty, value string) {
		event.Properties = append(event.Properties, ics.IANAProperty{BaseProperty: ics.BaseProperty{IANAToken: string(property), Value: value}})
	}
	put(ics.ComponentPropertyUniqueId, e.uid)
	put(ics.ComponentPropertyDtstamp, now)
	put(ics.ComponentPropertyLastModified, now)
	put(ics.ComponentPropertySequence, strconv.Itoa(e.sequence))
	put(runProperty, e.run)
	if e.alike != "" {
		put(alikeProperty, e.alike)
	}
	if e.allDay {
		event.AddProperty(ics.ComponentPropertyDtStart, e.start.Format(calendarDate), ics.WithValue("DATE"))
		event.AddProperty(ics.ComponentPropertyDtEnd, e.end.Format(calendarDate), ics.WithValue("DATE"))
	} else {
		e.instant(event, ics.ComponentPropertyDtStart, e.start)
		e.instant(event, ics.ComponentPropertyDtEnd, e.end)
	}
	put(ics.ComponentPropertySummary, e.title)
	if e.text != "" {
		put(ics.ComponentPropertyDescription, e.text)
	}
	if e.category != "" {
		put(ics.ComponentPropertyCategories, e.category)
	}
	status, transparency := ics.ObjectStatusConfirmed, ics.TransparencyTransparent
	if e.cancelled {
		status = ics.ObjectStatusCancelled
	} else if e.busy {
		transparency = ics.TransparencyOpaque
	}
	put(ics.ComponentPropertyStatus, string(status))
	put(ics.ComponentPropertyTransp, string(transparency))
	if e.cancelled {
		return event
	}

	alarm := event.AddAlarm()
	alarm.SetAction(ics.ActionDisplay)
	alarm.SetDescription(e.title)
	alarm.SetTrigger(fmt.Sprintf("-PT%dM", e.reminder/time.Minute))
	return event
}

// instant writes an instant: in the local time of the entry's place or, without
// one and where the wall clock shows a time twice, in UTC. The library's own
// setters of times cannot: with a zone they write local and UTC at once.
func (e entry) instant(event *ics.VEvent, property ics.ComponentProperty, t time.Time) {
	if e.place == nil || timeline.ComesTwice(t.In(e.place)) {
		event.AddProperty(property, calendarUTC(t))
		return
	}
	event.AddProperty(property, t.In(e.place).Format(calendarLocal), ics.WithTZID(e.place.String()))
}

// reminder is how long before its start a step is announced.
func reminder(step timeline.Step) time.Duration {
	ahead := (step.Remind + time.Minute - 1).Truncate(time.Minute)
	return min(max(ahead, leastReminder), mostReminder)
}

// describe is what to do and the numbers to watch, a line each, when it may begin
// and how long it may take.
func describe(step timeline.Step) string {
	var lines []string
	for _, detail := range step.Detail {
		if text := strings.TrimSpace(cleanText(detail)); text != "" {
			lines = append(lines, text)
		}
	}
	if step.Latest.Sub(step.Earliest) >= 10*time.Minute {
		from, to := timeline.ClockSpan(step.Earliest, step.Latest, "Mon 15:04", "Mon 15:04")
		lines = append(lines, fmt.Sprintf("May begin from %s to %s, as the steps before it run short or long.", from, to))
	}
	if span := step.Span; span.Low < span.High {
		lines = append(lines, fmt.Sprintf("Takes %s to %s, most likely %s.", quantity.FormatDuration(span.Low),
			quantity.FormatDuration(span.High), quantity.FormatDuration(span.Likely)))
	}
	return strings.Join(lines, "\n")
}

// cleanText makes text fit for a calendar value: valid UTF-8, line ends as \n,
// and no control characters but the tab. The calendar library passes carriage
// returns and controls through raw, and strict readers refuse the whole file
// for one.
func cleanText(text string) string {
	text = strings.ReplaceAll(strings.ToValidUTF8(text, "\uFFFD"), "\r\n", "\n")
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\r', r == '\u2028', r == '\u2029', r == '\u0085':
			return '\n'
		case r == '\n', r == '\t':
			return r
		case r < 0x20, r >= 0x7f && r < 0xa0:
			return -1
		}
		return r
	}, text)
}

// oneLine is text cleaned, with every run of blanks and line ends as one blank.
func oneLine(text string) string {
	return strings.Join(strings.Fields(cleanText(text)), " ")
}

// calendarLocal is the layout of a DATE-TIME [RFC 5545 3.3.5].
const calendarLocal = "20060102T150405"

// calendarDate is the layout of a DATE [RFC 5545 3.3.4].
const calendarDate = "20060102"

func calendarUTC(t time.Time) string { return t.UTC().Format(calendarLocal + "Z") }

// zoneName is what may stand as a TZID: names like those of the tz database and
// nothing that would need quoting, since the library quotes parameters wrongly.
var zoneName = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`^[A-Za-z][A-Za-z0-9_+-]*(/[A-Za-z0-9_+-]+)*$`) })

// zonesOf is the clock of each place whose local time is written, over the time
// its entries take, in the order of first use. Places of one name keep one clock.
func zonesOf(entries []entry) ([]*ics.VTimezone, error) {
	type use struct {
		place    *time.Location
		from, to time.Time
	}
	var uses []*use
	byName := map[string]*use{}
	for _, e := range entries {
		if e.place == nil || e.allDay {
			continue
		}
		u := byName[e.place.String()]
		if u == nil {
			u = &use{e.place, e.start, e.end}
			uses, byName[e.place.String()] = append(uses, u), u
		}
		if e.start.Before(u.from) {
			u.from = e.start
		}
		if e.end.After(u.to) {
			u.to = e.end
		}
	}
	var zones []*ics.VTimezone
	for _, u := range uses {
		zone, err := zoneFor(u.place, u.from, u.to)
		if err != nil {
			return nil, err
		}
		zones = append(zones, zone)
	}
	return zones, nil
}

// zoneFor is the clock of a place from one instant to another.
func zoneFor(place *time.Location, from, to time.Time) (*ics.VTimezone, error) {
	name := place.String()
	if name == "Local" || !zoneName().MatchString(name) {
		return nil, fmt.Errorf("zone %q cannot be written into the file: give a name such as America/Denver (--zone)", name)
	}
	zone := ics.NewTimezone(name)
	for _, onset := range onsets(place, from, to) {
		observance := ics.ComponentBase{}
		local := onset.at.UTC().Add(onset.before)
		observance.AddProperty(ics.ComponentPropertyDtStart, local.Format(calendarLocal))
		observance.AddProperty("TZOFFSETFROM", calendarOffset(onset.before))
		observance.AddProperty("TZOFFSETTO", calendarOffset(onset.after))
		if onset.name != "" {
			observance.AddProperty("TZNAME", onset.name)
		}
		// By direction, not by the database's daylight flag, which some places use
		// the other way round.
		if onset.after > onset.before {
			zone.Components = append(zone.Components, &ics.Daylight{ComponentBase: observance})
		} else {
			zone.Components = append(zone.Components, &ics.Standard{ComponentBase: observance})
		}
	}
	return zone, nil
}

// onset is an instant from which a place keeps another offset from UTC.
type onset struct {
	at            time.Time
	before, after time.Duration // offsets, east of UTC positive
	name          string        // of the time kept from then on: "MST"
}

// lookBack is how far before the first step the onset then in force is looked
// for: more than the year that a yearly rule takes.
const lookBack = 400 * 24 * time.Hour

// onsets returns the change of clock in force at from and every one after it up
// to to. A place that had none for so long gets one in 1970 that changes nothing.
//
// The offset is sampled once a day and each change bisected to the second. The
// bounds that Time.ZoneBounds gives are no use for this: where the database
// states a rule for the years to come, they include the ends of years, and
// stepping from bound to bound never gets past the end of a leap year.
// Assumption: no place leaves an offset and comes back to it within a day.
func onsets(place *time.Location, from, to time.Time) []onset {
	const day = 24 * 60 * 60
	found := []onset{}
	for t := from.Add(-lookBack).Unix(); t < to.Unix(); t += day {
		low, high := t, min(t+day, to.Unix())
		before := offsetAt(place, low)
		for offsetAt(place, low) != offsetAt(place, high) {
			first, last := low, high
			for last-first > 1 {
				if middle := first + (last-first)/2; offsetAt(place, middle) == before {
					first = middle
				} else {
					last = middle
				}
			}
			change := time.Unix(last, 0)
			name, _ := change.In(place).Zone()
			next := onset{at: change, before: before, after: offsetAt(place, last), name: oneLine(name)}
			if !change.After(from) {
				found = found[:0]
			}
			found = append(found, next)
			low, before = last, next.after
		}
	}
	if len(found) == 0 || found[0].at.After(from) {
		found = append([]onset{always(place, from)}, found...)
	}
	// Some readers refuse a zone that never keeps standard time, as one does in the
	// file of a run in summer.
	if !slices.ContainsFunc(found, func(o onset) bool { return o.after <= o.before }) {
		found = append([]onset{always(place, found[0].at.Add(-time.Second))}, found...)
	}
	return found
}

// always is an onset in 1970, which changes nothing, of what place keeps at t.
func always(place *time.Location, t time.Time) onset {
	offset := offsetAt(place, t.Unix())
	name, _ := t.In(place).Zone()
	return onset{at: time.Unix(0, 0).Add(-offset), before: offset, after: offset, name: oneLine(name)}
}

func offsetAt(place *time.Location, unix int64) time.Duration {
	_, seconds := time.Unix(unix, 0).In(place).Zone()
	return time.Duration(seconds) * time.Second
}

// calendarOffset writes an offset from UTC [RFC 5545 3.3.14]: seconds only when
// there are any, and never a negative zero.
func calendarOffset(offset time.Duration) string {
	sign := "+"
	if offset < 0 {
		sign, offset = "-", -offset
	}
	seconds := int(offset / time.Second)
	text := fmt.Sprintf("%s%02d%02d", sign, seconds/3600, seconds/60%60)
	if seconds%60 != 0 {
		text += fmt.Sprintf("%02d", seconds%60)
	}
	return text
}
