package export

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"regexp"
	"strings"
	"sync"
	"time"

	ics "github.com/arran4/golang-ical"
	"github.com/google/uuid"

	"brothrun/stock/quantity"
	"brothrun/timeline"
)

// Options are what a calendar file needs beside the plan.
type Options struct {
	// Now is stamped on every event (DTSTAMP and LAST-MODIFIED). The caller takes
	// it once, so that the same input gives the same bytes.
	Now time.Time
	// ZoneInFile writes local times with the zone's rules in the file. Without it
	// every time is in UTC, the only form that every calendar program reads alike.
	ZoneInFile bool
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

// ICS writes the steps of plan as an iCalendar file [RFC 5545]: one event a
// step, titled as the step, with what to do in its description, one reminder
// before its start, and busy only while someone works.
//
// Events are keyed by plan.RunID and the step's ID, and carry plan.Revision as
// their sequence, so importing a later revision moves the same events wherever
// the program honours that. A reminder is rounded up to whole minutes and held
// between 1 minute and 23 h 59 min; a step that asks for one at its start is
// reminded a minute ahead. Times are cut to whole seconds. With ZoneInFile an
// instant whose wall clock time comes twice is still written in UTC.
//
// It is an error, and nothing is written, when options.Now is not set, the plan
// has no run ID or a negative revision, a step has no ID or shares one, starts
// before 1970 or ends after 9998, or does not end after it starts, or when ZoneInFile
// asks for a place without a name. Other errors are those of w.
func ICS(w io.Writer, plan timeline.Plan, options Options) error {
	if err := fitForCalendar(plan, options); err != nil {
		return fmt.Errorf("calendar: %w", err)
	}
	now := calendarUTC(options.Now)
	when := instantsInUTC
	calendar := ics.NewCalendar()
	calendar.SetProductId(productID)
	calendar.SetCalscale("GREGORIAN")
	if name := oneLine(plan.Batch.Name); name != "" {
		calendar.SetName(name)
	}
	if options.ZoneInFile && len(plan.Steps) > 0 && plan.Location != nil && plan.Location != time.UTC {
		zone, err := zoneFor(plan)
		if err != nil {
			return fmt.Errorf("calendar: %w", err)
		}
		calendar.AddVTimezone(zone)
		when = instantsIn(plan.Location)
	}

	for _, step := range plan.Steps {
		event := ics.NewEvent(uuid.NewSHA1(uidSpace, []byte(plan.RunID+"/"+step.ID)).String())
		event.SetProperty(ics.ComponentPropertyDtstamp, now)
		event.SetProperty(ics.ComponentPropertyLastModified, now)
		event.SetSequence(plan.Revision)
		when(event, ics.ComponentPropertyDtStart, step.Start)
		when(event, ics.ComponentPropertyDtEnd, step.End)
		summary := oneLine(step.Title)
		if summary != "" {
			event.SetSummary(summary)
		}
		if text := describe(step); text != "" {
			event.SetDescription(text)
		}
		if category := oneLine(string(step.Kind)); category != "" {
			event.AddCategory(category)
		}
		event.SetStatus(ics.ObjectStatusConfirmed)
		if step.Kind == timeline.HandsOn {
			event.SetTimeTransparency(ics.TransparencyOpaque)
		} else {
			event.SetTimeTransparency(ics.TransparencyTransparent)
		}

		alarm := event.AddAlarm()
		alarm.SetAction(ics.ActionDisplay)
		if summary == "" {
			summary = "Next step"
		}
		alarm.SetDescription(summary)
		alarm.SetTrigger(fmt.Sprintf("-PT%dM", reminder(step)/time.Minute))
		calendar.AddVEvent(event)
	}

	// The library drops the errors of its first and last write, so it writes to
	// memory, where there are none.
	var file bytes.Buffer
	if err := calendar.SerializeTo(&file, ics.WithNewLineWindows); err != nil {
		return fmt.Errorf("calendar: %w", err)
	}
	_, err := w.Write(file.Bytes())
	return err
}

// fitForCalendar finds what would make a file that calendar programs refuse or
// misread.
func fitForCalendar(plan timeline.Plan, options Options) error {
	switch {
	case options.Now.IsZero():
		return errors.New("no present instant given to stamp the events with")
	case plan.RunID == "":
		return errors.New("the plan has no run ID, so its events could not be told from another run's")
	case plan.Revision < 0:
		return fmt.Errorf("revision %d: must be 0 or more", plan.Revision)
	}
	seen := map[string]bool{}
	for _, step := range plan.Steps {
		switch {
		case step.ID == "":
			return fmt.Errorf("step %q has no ID", step.Title)
		case seen[step.ID]:
			return fmt.Errorf("step %q is there twice: each step needs an ID of its own", step.ID)
		case step.Start.UTC().Year() < 1970 || step.End.UTC().Year() > 9998:
			return fmt.Errorf("step %q from %s to %s: must lie in the years 1970 to 9998", step.ID,
				step.Start.Format(time.RFC3339), step.End.Format(time.RFC3339))
		case step.End.Unix() <= step.Start.Unix():
			return fmt.Errorf("step %q ends at %s: must be at least 1 s after its start at %s", step.ID,
				step.End.Format(time.RFC3339), step.Start.Format(time.RFC3339))
		}
		seen[step.ID] = true
	}
	return nil
}

// reminder is how long before its start a step is announced.
func reminder(step timeline.Step) time.Duration {
	ahead := (step.Remind + time.Minute - 1).Truncate(time.Minute)
	return min(max(ahead, leastReminder), mostReminder)
}

// describe is what to do and the numbers to watch, a line each, and how long it
// may take.
func describe(step timeline.Step) string {
	var lines []string
	for _, detail := range step.Detail {
		if text := strings.TrimSpace(cleanText(detail)); text != "" {
			lines = append(lines, text)
		}
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

// setInstant writes an instant as a property of an event.
type setInstant func(event *ics.VEvent, property ics.ComponentProperty, t time.Time)

func instantsInUTC(event *ics.VEvent, property ics.ComponentProperty, t time.Time) {
	event.SetProperty(property, calendarUTC(t))
}

// instantsIn writes local times of a place. The library's own setters of times
// cannot: with a zone they write local and UTC at once.
func instantsIn(place *time.Location) setInstant {
	return func(event *ics.VEvent, property ics.ComponentProperty, t time.Time) {
		if comesTwice(t, place) {
			instantsInUTC(event, property, t)
			return
		}
		event.SetProperty(property, t.In(place).Format(calendarLocal), ics.WithTZID(place.String()))
	}
}

// calendarLocal is the layout of a DATE-TIME [RFC 5545 3.3.5].
const calendarLocal = "20060102T150405"

func calendarUTC(t time.Time) string { return t.UTC().Format(calendarLocal + "Z") }

// zoneName is what may stand as a TZID: names like those of the tz database and
// nothing that would need quoting, since the library quotes parameters wrongly.
var zoneName = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`^[A-Za-z][A-Za-z0-9_+-]*(/[A-Za-z0-9_+-]+)*$`) })

// zoneFor is the clock of the plan's place over the time its steps take.
func zoneFor(plan timeline.Plan) (*ics.VTimezone, error) {
	name := plan.Location.String()
	if name == "Local" || !zoneName().MatchString(name) {
		return nil, fmt.Errorf("zone %q cannot be written into the file: give a name such as America/Denver (--zone)", name)
	}
	from, to := plan.Steps[0].Start, plan.Steps[0].End
	for _, step := range plan.Steps {
		if step.Start.Before(from) {
			from = step.Start
		}
		if step.End.After(to) {
			to = step.End
		}
	}
	zone := ics.NewTimezone(name)
	for _, onset := range onsets(plan.Location, from, to) {
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
		offset := offsetAt(place, from.Unix())
		name, _ := from.In(place).Zone()
		always := onset{at: time.Unix(0, 0).Add(-offset), before: offset, after: offset, name: oneLine(name)}
		found = append([]onset{always}, found...)
	}
	return found
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

// comesTwice reports whether the wall clock of place shows the reading it shows
// at t at another instant too, as in the hour when clocks go back. RFC 5545
// means the first of the two, but programs in use take the second.
func comesTwice(t time.Time, place *time.Location) bool {
	const day = 24 * 60 * 60
	unix := t.Unix()
	here := offsetAt(place, unix)
	for _, near := range []int64{unix - day, unix + day} {
		other := offsetAt(place, near)
		if other != here && offsetAt(place, unix+int64((here-other)/time.Second)) == other {
			return true
		}
	}
	return false
}
