// Package busy reads when somebody is busy out of calendar files.
//
// It reads its lines itself: the calendar library of this house accepts files
// cut short, junk and dates that are none, reads no VTIMEZONE and takes floating
// times as the machine's own, so it serves here for its table of Windows zone
// names only. Recurrence rules go through the RRULE library, which knows no
// bounds: repeat.go keeps it within them.
//
// Sources: RFC 5545 (iCalendar), RFC 6868 (carets in parameters), the Unicode
// CLDR's windowsZones table (Windows zone names), and MS-OXCICAL
// (X-MICROSOFT-CDO-BUSYSTATUS).
package busy

import (
	"cmp"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"
	"unicode"

	"brothrun/timeline"
)

// The limits of all files of a Reader together. They are far above ten years of a
// large household's calendars, and low enough that no file, whatever is in it, takes
// more than 2 s of one core or 300 MB. Own choice, no source.
const (
	largest      = 32 << 20 // bytes of files
	longestLine  = 2 << 20  // bytes of one line about times, unfolded; others are dropped anyway
	mostLines    = 400_000  // lines about times: some 60,000 events
	mostDates    = 100_000  // dates and periods in EXDATE, RDATE and FREEBUSY, and what EXRULE takes out
	mostZones    = 1000     // names of time zones, each looked up among the world's
	mostBookings = 100_000
)

// Error is something in a calendar file that cannot be used.
type Error struct {
	File   string
	Line   int // from 1
	Reason string
	Hint   string // the next step; may be empty
}

// Error returns "work.ics:14: " and the reason.
func (e *Error) Error() string { return fmt.Sprintf("%s:%d: %s", e.File, e.Line, e.Reason) }

// RunProperty holds the key of the run an event of ours belongs to.
const RunProperty = "X-BROTHRUN-RUN"

// Reader reads calendar files one after another, and gathers the times they mark as
// busy.
type Reader struct {
	zone        *time.Location
	from, until time.Time
	own         []string // keys of runs whose steps do not count
	bookings    []timeline.Booking

	// What was spent so far of the limits.
	size, lines, listed, work int
	world                     map[string]clock // names of zones looked up; nil for those unknown

	file      string                  // being read
	timezones map[string][]*component // of this calendar, by TZID
	clocks    map[string]clock        // of these, what was worked out already
}

// NewReader returns a reader of the times that overlap [from, until). zone and own
// are those of Read.
func NewReader(zone *time.Location, from, until time.Time, own ...string) *Reader {
	return &Reader{zone: zone, from: from, until: until, own: own, world: map[string]clock{}}
}

// fail returns an *Error about a line.
func (r *Reader) fail(line int, hint, format string, values ...any) error {
	return &Error{File: r.file, Line: line, Reason: fmt.Sprintf(format, values...), Hint: hint}
}

// Read returns the times a calendar file (RFC 5545) marks as busy and that
// overlap [from, until), whole, on the clock of zone, sorted by start;
// overlapping ones are kept. What is the event's SUMMARY on one line. zone is
// where floating times and all-day events are read. name stands in errors.
//
// Events and VFREEBUSY periods count, recurring ones with their exceptions;
// transparent and cancelled events and those of no length do not. Where RFC 5545
// leaves a choice, the busier reading is taken: DTSTART is an instance also when
// its rule misses it, and an instance the clock skips (3.8.5.3 and 3.3.10 say
// different things) falls as late as the clock was put forward.
//
// An *Error names the line when the file is cut short, larger than 32 MiB, not
// UTF-8 or no calendar, when a date, zone, duration or rule cannot be read, when
// an event lacks DTSTART, when RANGE=THISANDFUTURE is used, or when a limit of
// this package is passed. Errors of in are wrapped.
//
// own are the keys (RunProperty) of runs that are being planned: their steps of an
// earlier plan do not stand in their way.
func Read(in io.Reader, name string, zone *time.Location, from, until time.Time, own ...string) ([]timeline.Booking, error) {
	r := NewReader(zone, from, until, own...)
	if err := r.Add(in, name); err != nil {
		return nil, err
	}
	return r.Bookings(), nil
}

// Bookings returns the busy times of all files so far as Read does.
func (r *Reader) Bookings() []timeline.Booking {
	slices.SortFunc(r.bookings, func(a, b timeline.Booking) int {
		return cmp.Or(a.From.Compare(b.From), a.To.Compare(b.To), cmp.Compare(a.What, b.What))
	})
	return r.bookings
}

// Add reads one file more, called name in errors. Errors are those of Read, after
// which the reader is of no use.
func (r *Reader) Add(in io.Reader, name string) error {
	r.file = name
	data, err := io.ReadAll(io.LimitReader(in, int64(largest-r.size)+1))
	if err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	if r.size += len(data); r.size > largest {
		what := "the file is"
		if r.size > len(data) {
			what = "the calendar files together are"
		}
		return r.fail(1, fewer, "%s larger than 32 MiB, the most that is read", what)
	}
	calendars, err := r.parse(data)
	if err != nil {
		return err
	}
	data = nil // what is kept of it is copied
	for i, calendar := range calendars {
		if err := r.calendar(calendar); err != nil {
			return err
		}
		calendars[i] = nil
	}
	return nil
}

// fewer is what to do where files ask for too much.
const fewer = "export fewer years or fewer calendars"

// spend counts n against the limit most of a tally; what names it in an error.
func (r *Reader) spend(tally *int, n, most, line int, what string) error {
	if *tally += n; *tally > most {
		return r.fail(line, fewer, "up to this line there are more than %d %s, the most that are read", most, what)
	}
	return nil
}

// date counts a date of a list.
func (r *Reader) date(line int) error {
	return r.spend(&r.listed, 1, mostDates, line, "dates and periods in lists")
}

// calendar adds the bookings of one VCALENDAR.
func (r *Reader) calendar(c *component) error {
	version, err := r.one(c, "VERSION")
	if err != nil {
		return err
	}
	if version == nil || version.value != "2.0" {
		line, got := c.line, ""
		if version != nil {
			line, got = version.line, version.value
		}
		return r.fail(line, "export it as iCalendar, .ics", "VERSION is %s; only calendars of VERSION:2.0 can be read", quote(got))
	}
	if method, err := r.one(c, "METHOD"); err != nil || method != nil && strings.EqualFold(method.value, "CANCEL") {
		return err
	}
	r.timezones, r.clocks = map[string][]*component{}, map[string]clock{}
	for _, child := range c.children {
		if child.name != "VTIMEZONE" {
			continue
		}
		id, err := r.one(child, "TZID")
		if err != nil {
			return err
		}
		if id == nil {
			return r.fail(child.line, "", "VTIMEZONE has no TZID")
		}
		r.timezones[id.value] = append(r.timezones[id.value], child)
	}

	var events []event
	moved := map[string]*exceptions{} // by UID: the instances that events of their own replace
	for _, child := range c.children {
		switch child.name {
		case "VFREEBUSY":
			if err := r.freeBusy(child); err != nil {
				return err
			}
		case "VEVENT":
			e, err := r.event(child)
			if err != nil {
				return err
			}
			if moved[e.uid] == nil {
				moved[e.uid] = &exceptions{}
			}
			if e.replaces != nil {
				moved[e.uid].add(*e.replaces)
			}
			events = append(events, e)
		}
	}
	for _, e := range events {
		if e.free {
			continue
		}
		var away *exceptions
		if e.replaces == nil {
			away = moved[e.uid]
		}
		if err := r.book(e, away); err != nil {
			return err
		}
	}
	return nil
}

// event is a VEVENT with its times read.
type event struct {
	line     int
	uid      string
	what     string
	free     bool // transparent or cancelled: its times were not looked at
	replaces *moment
	first    instance
	rules    []rule
	more     []instance // RDATE
	except   exceptions // EXDATE
	exrules  []rule     // of RFC 2445, still written by old programs
}

// event reads a VEVENT.
func (r *Reader) event(c *component) (event, error) {
	e := event{line: c.line}
	once := map[string]*property{}
	for _, name := range []string{"UID", "DTSTART", "DTEND", "DURATION", "TRANSP", "STATUS", "RECURRENCE-ID", "X-MICROSOFT-CDO-BUSYSTATUS", RunProperty} {
		p, err := r.one(c, name)
		if err != nil {
			return e, err
		}
		once[name] = p
	}
	is := func(name, value string) bool {
		return once[name] != nil && strings.EqualFold(strings.TrimSpace(once[name].value), value)
	}
	if once["DTSTART"] == nil || once["DTSTART"].value == "" {
		return e, r.fail(c.line, "export the calendar again", "this event has no DTSTART")
	}
	switch {
	case once["UID"] != nil:
		e.uid = once["UID"].value
	case once["RECURRENCE-ID"] != nil:
		return e, r.fail(c.line, "export the calendar again", "this event changes an instance of another, and has no UID to tell which")
	}
	if i := slices.IndexFunc(c.properties, func(p property) bool { return p.name == "SUMMARY" }); i >= 0 {
		e.what = oneLine(c.properties[i].value)
	}
	if run := once[RunProperty]; run != nil && slices.Contains(r.own, run.value) {
		e.free = true
		return e, nil
	}
	e.free = is("TRANSP", "TRANSPARENT") || is("STATUS", "CANCELLED") || is("X-MICROSOFT-CDO-BUSYSTATUS", "FREE")

	if e.free && once["RECURRENCE-ID"] == nil {
		return e, nil
	}
	start, err := r.moment(*once["DTSTART"], once["DTSTART"].value, r.local())
	if err != nil {
		return e, err
	}
	if p := once["RECURRENCE-ID"]; p != nil {
		if _, ranged := p.params["RANGE"]; ranged {
			return e, r.fail(p.line, "change the instances one by one and export again",
				"RECURRENCE-ID with RANGE, a change to all later instances at once, is not read")
		}
		replaced, err := r.moment(*p, p.value, start.clock)
		if err != nil {
			return e, err
		}
		e.replaces = &replaced
	}
	if e.free {
		return e, nil
	}
	if e.first, err = r.withLength(start, once["DTSTART"].line, once["DTEND"], once["DURATION"]); err != nil {
		return e, err
	}
	for _, p := range c.properties {
		switch p.name {
		case "RRULE", "EXRULE":
			repeats, err := r.rule(p, start)
			if err != nil {
				return e, err
			}
			if p.name == "RRULE" {
				e.rules = append(e.rules, repeats)
			} else {
				e.exrules = append(e.exrules, repeats)
			}
		case "RDATE":
			more, err := r.dates(p, e.first)
			if err != nil {
				return e, err
			}
			e.more = append(e.more, more...)
		case "EXDATE":
			except, err := r.dates(p, e.first)
			if err != nil {
				return e, err
			}
			for _, at := range except {
				e.except.add(at.moment)
			}
		}
	}
	return e, nil
}

// withLength reads how long an event lasts: DTEND, DURATION, or by RFC 5545
// 3.6.1 one day from a date and no time at all from a time.
func (r *Reader) withLength(start moment, line int, end, duration *property) (instance, error) {
	first := instance{moment: start}
	switch {
	case end != nil && duration != nil:
		return first, r.fail(end.line, "keep one of them", "this event has both DTEND and DURATION")
	case end != nil:
		until, err := r.moment(*end, end.value, start.clock)
		if err != nil {
			return first, err
		}
		if !start.date && until.at.Before(start.at) && !until.wall.Before(start.wall) {
			// Both in an hour that the clock skips, or one of them: no time at all.
			until.at = start.at
		}
		if until.date != start.date {
			return first, r.fail(end.line, "write both as dates or both as times", "DTEND %s does not go with DTSTART: one is a date, the other a time", quote(end.value))
		}
		if start.date {
			// One that ends on the day it starts, against the RFC, is meant as
			// that day.
			first.days = max(1, int(until.wall.Sub(start.wall)/day))
		} else {
			first.exact = until.at.Sub(start.at)
		}
		if until.wall.Before(start.wall) && start.date || first.exact < 0 {
			return first, r.fail(end.line, "", "DTEND %s is before DTSTART", quote(end.value))
		}
	case duration != nil:
		var err error
		if first.length, err = r.duration(*duration, duration.value); err != nil {
			return first, err
		}
		if start.date && first.exact != 0 {
			return first, r.fail(duration.line, "write days or weeks, such as P1D", "DURATION %s has hours, but DTSTART is a date", quote(duration.value))
		}
	case start.date:
		first.days = 1
	}
	if first.longest() > longestEvent {
		return first, r.fail(line, "", "this event is longer than 100 years")
	}
	return first, nil
}

// book adds the instances of e that overlap the window, but for those away.
func (r *Reader) book(e event, away *exceptions) error {
	out := e.except
	late := r.until.Add(slack)
	early := r.from.Add(-e.first.longest() - slack)
	for _, never := range e.exrules {
		except, err := r.instances(never, e.first, early, late)
		if err != nil {
			return err
		}
		for _, at := range except {
			if err := r.date(never.line); err != nil {
				return err
			}
			out.add(at.moment)
		}
	}
	seen := map[int64]bool{}
	take := func(i instance) error {
		if seen[i.at.Unix()] || out.has(i.moment) || away != nil && away.has(i.moment) {
			return nil
		}
		seen[i.at.Unix()] = true
		return r.add(e.line, i.at, i.end(), e.what)
	}
	for _, i := range append([]instance{e.first}, e.more...) {
		if err := take(i); err != nil {
			return err
		}
	}
	for _, repeats := range e.rules {
		again, err := r.instances(repeats, e.first, early, late)
		if err != nil {
			return err
		}
		for _, i := range again {
			if !r.overlaps(i.at, i.end()) {
				continue // not even kept as seen: there may be millions
			}
			if err := take(i); err != nil {
				return err
			}
		}
	}
	return nil
}

// overlaps reports whether a span has a length and lies in the window with a part.
func (r *Reader) overlaps(from, to time.Time) bool {
	return to.After(from) && from.Before(r.until) && to.After(r.from)
}

// add adds one booking if it overlaps the window.
func (r *Reader) add(line int, from, to time.Time, what string) error {
	if !r.overlaps(from, to) {
		return nil
	}
	if len(r.bookings) == mostBookings {
		return r.fail(line, "export fewer calendars, or plan for fewer days", "more than 100000 busy times fall into the time planned for")
	}
	r.bookings = append(r.bookings, timeline.Booking{From: from.In(r.zone), To: to.In(r.zone), What: what})
	return nil
}

// freeBusy adds the busy periods of a VFREEBUSY. Every FBTYPE but FREE is busy:
// RFC 5545 3.2.9 has unknown ones treated so.
func (r *Reader) freeBusy(c *component) error {
	for _, p := range c.properties {
		if p.name != "FREEBUSY" || len(p.params["FBTYPE"]) == 1 && strings.EqualFold(p.params["FBTYPE"][0], "FREE") {
			continue
		}
		for text := range strings.SplitSeq(p.value, ",") {
			if err := r.date(p.line); err != nil {
				return err
			}
			period, err := r.period(p, text, r.local())
			if err != nil {
				return err
			}
			if err := r.add(p.line, period.at, period.end(), ""); err != nil {
				return err
			}
		}
	}
	return nil
}

// one returns the only property of that name, or nil; a second is an error.
func (r *Reader) one(c *component, name string) (*property, error) {
	var found *property
	for i := range c.properties {
		if c.properties[i].name != name {
			continue
		}
		if found != nil {
			return nil, r.fail(c.properties[i].line, "", "%s stands twice in this %s", name, c.name)
		}
		found = &c.properties[i]
	}
	return found, nil
}

// oneLine is TEXT (RFC 5545 3.3.11) unescaped, without control characters and on
// one line.
func oneLine(text string) string {
	text = strings.Map(func(c rune) rune {
		if unicode.IsControl(c) || c == '\u2028' || c == '\u2029' {
			return ' '
		}
		return c
	}, escapes.Replace(text))
	return strings.Join(strings.Fields(text), " ")
}

var escapes = strings.NewReplacer(`\\`, `\`, `\n`, " ", `\N`, " ", `\;`, ";", `\,`, ",")

// quote is text for an error, in quotes and not too long.
func quote(text string) string {
	const longest = 60
	letters := 0
	for at := range text {
		if letters++; letters > longest {
			text = text[:at] + "…"
			break
		}
	}
	return fmt.Sprintf("%q", text)
}
