// Package busy reads when somebody is busy out of calendar files: timeline/ical gives
// their events, and here they become times.
//
// Recurrence rules go through the RRULE library, which knows no bounds: repeat.go
// keeps it within them. With the limits of ical, no file, whatever is in it, takes
// more than 2 s of one core or 300 MB.
//
// Sources: RFC 5545 (iCalendar) and MS-OXCICAL (X-MICROSOFT-CDO-BUSYSTATUS).
package busy

import (
	"cmp"
	"io"
	"slices"
	"strings"
	"time"

	"brothrun/timeline"
	"brothrun/timeline/ical"
)

const (
	// mostBookings is the most times that are returned: a hundred a day for half a year,
	// which is as far as two months to choose from reach. Own choice, no source.
	mostBookings = 20_000
	day          = 24 * time.Hour
	// slack is more than any clock is away from UTC, both ways together.
	slack = 2 * day
)

// Error is something in a calendar file that cannot be used.
type Error = ical.Error

// Oddity is something in a file that is not as it should be, and did no harm.
type Oddity struct {
	Err    *Error
	Widest bool // taken as busy for as long as it may be; else left out
}

// Reader reads calendar files one after another, and gathers the times they mark as
// busy.
type Reader struct {
	zone        *time.Location
	from, until time.Time
	own         []string // keys of runs whose steps do not count
	bookings    []timeline.Booking
	taken       map[timeline.Resource][]timeline.Booking
	oddities    []Oddity

	in   *ical.Reader
	work int // spent so far of mostWork
}

// NewReader returns a reader of the times that calendar files (RFC 5545) mark as busy and
// that overlap [from, until). zone is where floating times and all-day events are read.
// own are the keys (ical.RunProperty) of runs that are being planned: their steps of an
// earlier plan do not stand in their way.
func NewReader(zone *time.Location, from, until time.Time, own ...string) *Reader {
	r := &Reader{zone: zone, from: from, until: until, own: own}
	wanted := []string{"METHOD", "VEVENT", "SUMMARY", "EXRULE", "EXDATE", "VFREEBUSY", "FREEBUSY"}
	r.in = ical.NewReader(zone, append(wanted, eventParts...)...)
	r.taken = map[timeline.Resource][]timeline.Booking{}
	r.in.Unknown = func(why error) { r.odd(why, true) }
	r.in.Repeat = func(p ical.Property, start ical.Moment) ([]ical.Instance, error) {
		repeats, err := r.rule(p, start)
		if err != nil {
			return nil, err
		}
		// Nothing that began earlier lasts into the window.
		early := r.from.Add(-ical.LongestEvent - slack)
		return r.instances(repeats, ical.Instance{Moment: start}, early, r.until.Add(slack))
	}
	return r
}

// Bookings returns the busy times of all files so far, whole, on the clock of the
// reader's zone, sorted by start; overlapping ones are kept. What is the event's SUMMARY
// on one line.
func (r *Reader) Bookings() []timeline.Booking { return sorted(r.bookings) }

// Taken returns when something of the kitchen is taken by runs in other calendars of
// ours, as Bookings has it.
func (r *Reader) Taken(what timeline.Resource) []timeline.Booking { return sorted(r.taken[what]) }

// Oddities returns what was odd in the files so far, in their order.
func (r *Reader) Oddities() []Oddity { return r.oddities }

func sorted(bookings []timeline.Booking) []timeline.Booking {
	slices.SortFunc(bookings, func(a, b timeline.Booking) int {
		return cmp.Or(a.From.Compare(b.From), a.To.Compare(b.To), cmp.Compare(a.What, b.What))
	})
	return bookings
}

// Add reads one file more, called name in errors, after one of which the reader is of no use.
//
// Events and VFREEBUSY periods count, recurring ones with their exceptions;
// transparent and cancelled events and those of no length do not. Where RFC 5545
// leaves a choice, the busier reading is taken: DTSTART is an instance also when
// its rule misses it, and an instance the clock skips (3.8.5.3 and 3.3.10 say
// different things) falls as late as the clock was put forward.
//
// Of another calendar of ours the canner and the freeze dryer are taken too (Taken). A
// zone that nobody knows is taken for every one there is. An odd event that cannot
// matter is left out, another is taken for as long as it may be (instead), and Oddities
// tells of both.
//
// An *Error names the line when the file is cut short, larger than 32 MiB, not
// UTF-8 or no calendar, when the time of what repeats cannot be read, or when a limit of
// this package is passed. Errors of in are wrapped.
func (r *Reader) Add(in io.Reader, name string) error {
	calendars, err := r.in.Read(in, name)
	if err != nil {
		return err
	}
	for i, calendar := range calendars {
		if err := r.calendar(calendar); err != nil {
			return err
		}
		calendars[i] = nil // what is kept of the file goes with it
	}
	return nil
}

// calendar adds the bookings of one VCALENDAR.
func (r *Reader) calendar(c *ical.Component) error {
	if err := r.in.Open(c); err != nil {
		return err
	}
	method, err := r.in.Once(c, "METHOD")
	if err != nil || method["METHOD"] != nil && strings.EqualFold(method["METHOD"].Value, "CANCEL") {
		return err
	}
	var events []event
	moved := map[string]*exceptions{} // by UID: the instances that events of their own replace
	for _, child := range c.Children {
		switch child.Name {
		case "VFREEBUSY":
			if err := r.freeBusy(child); err != nil {
				return err
			}
		case "VEVENT":
			e, err := r.event(child)
			if err != nil {
				var counts bool
				if e, counts, err = r.instead(child, err); err != nil {
					return err
				}
				if !counts {
					continue
				}
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
		if err := r.book(e, away); err != nil && !r.odd(err, false) {
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
	replaces *ical.Moment
	first    ical.Instance
	rules    []rule
	more     []ical.Instance // RDATE
	except   exceptions      // EXDATE
	exrules  []rule          // of RFC 2445, still written by old programs
}

// exceptions are instances that do not take place. A whole day takes out every
// instance on it.
type exceptions struct {
	days     map[time.Time]bool
	instants map[int64]bool
}

func (e *exceptions) add(m ical.Moment) {
	if m.Date {
		if e.days == nil {
			e.days = map[time.Time]bool{}
		}
		e.days[m.Wall] = true
		return
	}
	if e.instants == nil {
		e.instants = map[int64]bool{}
	}
	e.instants[m.At.Unix()] = true
}

func (e *exceptions) has(m ical.Moment) bool {
	return e.days[m.Wall.Truncate(day)] || e.instants[m.At.Unix()]
}

// eventParts may stand once in an event.
var eventParts = []string{
	"UID", "DTSTART", "DTEND", "DURATION", "RECURRENCE-ID", "TRANSP", "STATUS",
	"X-MICROSOFT-CDO-BUSYSTATUS", ical.RunProperty, ical.TakesProperty,
}

// event reads a VEVENT.
func (r *Reader) event(c *ical.Component) (event, error) {
	e := event{line: c.Line}
	once, err := r.in.Once(c, eventParts...)
	if err != nil {
		return e, err
	}
	is := func(name, value string) bool {
		return once[name] != nil && strings.EqualFold(strings.TrimSpace(once[name].Value), value)
	}
	if once["DTSTART"] == nil || once["DTSTART"].Value == "" {
		return e, r.in.Fail(c.Line, "export the calendar again", "this event has no DTSTART")
	}
	switch {
	case once["UID"] != nil:
		e.uid = once["UID"].Value
	case once["RECURRENCE-ID"] != nil:
		return e, r.in.Fail(c.Line, "export the calendar again",
			"this event changes an instance of another, and has no UID to tell which")
	}
	e.what = title(c)
	if run := once[ical.RunProperty]; run != nil && slices.Contains(r.own, run.Value) {
		e.free = true
		return e, nil
	}
	if p := once[ical.TakesProperty]; p != nil && !is("STATUS", "CANCELLED") {
		takes, ok := ical.ParseTakes(p.Text())
		if at, err := r.in.Moment(*once["DTSTART"], once["DTSTART"].Value, r.in.Floating()); err == nil && !at.Date && !at.Vague {
			// Moved by hand, it takes the same span from then on.
			takes.From, takes.To = at.At, takes.To.Add(at.At.Sub(takes.From))
		}
		if ok && r.overlaps(takes.From, takes.To) && len(r.taken[takes.What]) < mostBookings {
			r.taken[takes.What] = append(r.taken[takes.What],
				timeline.Booking{From: takes.From.In(r.zone), To: takes.To.In(r.zone), What: e.what})
		}
		if ok && takes.What == timeline.Canner {
			e.free = true // whoever is beside it is at home
			return e, nil
		}
	}
	e.free = is("TRANSP", "TRANSPARENT") || is("STATUS", "CANCELLED") || is("X-MICROSOFT-CDO-BUSYSTATUS", "FREE")

	if e.free && once["RECURRENCE-ID"] == nil {
		return e, nil
	}
	start, err := r.in.Moment(*once["DTSTART"], once["DTSTART"].Value, r.in.Floating())
	if err != nil {
		return e, err
	}
	if p := once["RECURRENCE-ID"]; p != nil {
		if _, ranged := p.Params["RANGE"]; ranged {
			return e, r.in.Fail(p.Line, "change the instances one by one and export again",
				"RECURRENCE-ID with RANGE, a change to all later instances at once, is not read")
		}
		replaced, err := r.in.Moment(*p, p.Value, start.Clock)
		if err != nil {
			return e, err
		}
		e.replaces = &replaced
	}
	if e.free {
		return e, nil
	}
	if e.first, err = r.in.Lasts(start, once["DTSTART"].Line, once["DTEND"], once["DURATION"]); err != nil {
		return e, err
	}
	return e, r.repeats(c, &e)
}

// title is what an event is called, on one line.
func title(c *ical.Component) string {
	i := slices.IndexFunc(c.Properties, func(p ical.Property) bool { return p.Name == "SUMMARY" })
	if i < 0 {
		return ""
	}
	return ical.OneLine(c.Properties[i].Text())
}

// repeats reads when e takes place besides its first time, and when it does not.
func (r *Reader) repeats(c *ical.Component, e *event) error {
	for _, p := range c.Properties {
		switch p.Name {
		case "RRULE", "EXRULE":
			repeats, err := r.rule(p, e.first.Moment)
			if err != nil {
				return err
			}
			if p.Name == "RRULE" {
				e.rules = append(e.rules, repeats)
			} else {
				e.exrules = append(e.exrules, repeats)
			}
		case "RDATE":
			more, err := r.in.Dates(p, e.first)
			if err != nil {
				return err
			}
			e.more = append(e.more, more...)
		case "EXDATE":
			except, err := r.in.Dates(p, e.first)
			if err != nil {
				return err
			}
			for _, at := range except {
				e.except.add(at.Moment)
			}
		}
	}
	return nil
}

// book adds the instances of e that overlap the window, but for those away.
func (r *Reader) book(e event, away *exceptions) error {
	out := e.except
	late := r.until.Add(slack)
	early := r.from.Add(-e.first.Longest() - slack)
	for _, never := range e.exrules {
		except, err := r.instances(never, e.first, early, late)
		if err != nil {
			return err
		}
		for _, at := range except {
			if err := r.in.CountDate(never.line); err != nil {
				return err
			}
			out.add(at.Moment)
		}
	}
	seen := map[int64]bool{}
	take := func(i ical.Instance) error {
		if seen[i.At.Unix()] || out.has(i.Moment) || away != nil && away.has(i.Moment) {
			return nil
		}
		seen[i.At.Unix()] = true
		from, to := e.span(i)
		return r.add(e.line, from, to, e.what)
	}
	for _, i := range append([]ical.Instance{e.first}, e.more...) {
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
			if from, to := e.span(i); !r.overlaps(from, to) {
				continue // not even kept as seen: there may be millions
			}
			if err := take(i); err != nil {
				return err
			}
		}
	}
	return nil
}

// span is when an instance of e takes place, or may, where its clock is not known.
func (e event) span(i ical.Instance) (from, to time.Time) {
	if e.first.Vague && i.End().After(i.At) {
		return ical.Vague(i.At, i.End())
	}
	return i.At, i.End()
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
		return r.in.Pass(line, "export fewer calendars, or plan for fewer days",
			"more than %d busy times fall into the time planned for", mostBookings)
	}
	r.bookings = append(r.bookings, timeline.Booking{From: from.In(r.zone), To: to.In(r.zone), What: what})
	return nil
}

// freeBusy adds the busy periods of a VFREEBUSY. Every FBTYPE but FREE is busy:
// RFC 5545 3.2.9 has unknown ones treated so.
func (r *Reader) freeBusy(c *ical.Component) error {
	for _, p := range c.Properties {
		if p.Name != "FREEBUSY" || len(p.Params["FBTYPE"]) == 1 && strings.EqualFold(p.Params["FBTYPE"][0], "FREE") {
			continue
		}
		for text := range strings.SplitSeq(p.Value, ",") {
			if err := r.in.CountDate(p.Line); err != nil {
				return err
			}
			period, err := r.in.Period(p, text, r.in.Floating())
			from, to := event{first: period}.span(period)
			if err != nil {
				var named bool
				from, to, named = r.days(p, text)
				if !r.odd(err, named) {
					return err
				}
			}
			if err := r.add(p.Line, from, to, ""); err != nil {
				return err
			}
		}
	}
	return nil
}
