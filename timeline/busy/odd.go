package busy

import (
	"errors"
	"slices"
	"strings"
	"time"

	"github.com/teambition/rrule-go"

	"brothrun/timeline/ical"
)

// odd notes what is wrong with a part of a file; false, where it is an error of the whole:
// a limit that was passed will be passed again by what matters.
func (r *Reader) odd(err error, widest bool) bool {
	var wrong *Error
	if !errors.As(err, &wrong) || wrong.Limit {
		return false
	}
	r.oddities = append(r.oddities, Oddity{Err: wrong, Widest: widest})
	return true
}

// instead is what an event is taken for that cannot be read for err: nothing where it
// cannot matter or does not say when it is at all; else its own times without exceptions,
// every day where its rule cannot be read, and where its times cannot, all from the first to
// the last that it names. An event that repeats and does not say when is the error it was.
func (r *Reader) instead(c *ical.Component, err error) (e event, counts bool, _ error) {
	if r.harmless(c) {
		if !r.odd(err, false) {
			return e, false, err
		}
		return e, false, nil
	}
	e, counts, readable := r.widest(c)
	if !readable || !r.odd(err, counts) {
		return e, false, err
	}
	return e, counts, nil
}

// longAgo is how long before the window an event that does not repeat is over by, whatever
// its end says that cannot be read; own choice.
const longAgo = 31 * day

// repeatedly are the properties by which an event is there more than once.
var repeatedly = []string{"RRULE", "RDATE"}

// harmless reports whether an event cannot matter, whatever is wrong with it: one without a
// start, and one that begins after the window, or so long before it, once, that it is over.
func (r *Reader) harmless(c *ical.Component) bool {
	once, repeated := r.in.Once(c, eventParts...)
	if repeated != nil {
		return false
	}
	start := once["DTSTART"]
	if start == nil || start.Value == "" {
		return true
	}
	begins, err := r.in.Moment(*start, start.Value, r.in.Floating())
	if err != nil || once["RECURRENCE-ID"] != nil || has(c, repeatedly...) {
		return false
	}
	return begins.At.After(r.until.Add(slack)) || begins.At.Before(r.from.Add(-longAgo))
}

func has(c *ical.Component, names ...string) bool {
	return slices.ContainsFunc(c.Properties, func(p ical.Property) bool { return slices.Contains(names, p.Name) })
}

// parts are an event with the properties of these names alone, the first of each but for
// rules and dates.
func parts(c *ical.Component, names ...string) *ical.Component {
	less := &ical.Component{Line: c.Line, Name: c.Name}
	for _, p := range c.Properties {
		if slices.Contains(names, p.Name) && (slices.Contains(repeatedly, p.Name) || !has(less, p.Name)) {
			less.Properties = append(less.Properties, p)
		}
	}
	return less
}

// widest is the longest an event may be that cannot be read as it is: counts is false where
// it does not say when at all, and readable where nothing can be made of it. Exceptions that
// cannot be read are none; a rule that cannot be is every day.
func (r *Reader) widest(c *ical.Component) (e event, counts, readable bool) {
	again := has(c, repeatedly...) || slices.ContainsFunc(c.Properties, func(p ical.Property) bool {
		return p.Name == "RECURRENCE-ID" && p.Params["RANGE"] != nil
	})
	times := []string{"SUMMARY", "DTSTART", "DTEND", "DURATION"}
	twice := func(name string) bool { _, err := r.in.Once(c, name); return err != nil }
	if e, err := r.event(parts(c, times...)); err == nil && !slices.ContainsFunc(times[1:], twice) {
		if !again {
			return e, true, true
		}
		if whole, err := r.event(parts(c, append(times, repeatedly...)...)); err == nil && has(c, repeatedly...) {
			return whole, true, true
		}
		daily := rrule.ROption{Freq: rrule.DAILY, Interval: 1, Dtstart: e.first.Wall}
		e.rules = []rule{{line: c.Line, name: "RRULE", option: daily, until: r.last(c, e.first.Clock)}}
		return e, true, true
	}
	if again {
		return e, false, false
	}
	first, named := r.whole(c)
	return event{line: c.Line, what: title(c), first: first}, named, true
}

// unsaid is how long an event may last whose end cannot be read; own choice.
const unsaid = day

// whole is from the first to the last of the times and days that the bounds of an event
// name, at least a day; named is false where they name none.
func (r *Reader) whole(c *ical.Component) (_ ical.Instance, named bool) {
	var from, to time.Time
	begun := false
	for _, p := range c.Properties {
		if p.Name != "DTSTART" && p.Name != "DTEND" {
			continue
		}
		begins, ends, ok := r.days(p, p.Value)
		if at, err := r.in.Moment(p, p.Value, r.in.Floating()); err == nil && !at.Date && !at.Vague {
			begins, ends, ok = at.At, at.At, true
		}
		if !ok {
			continue
		}
		if !named || begins.Before(from) {
			from = begins
		}
		if !named || ends.After(to) {
			to = ends
		}
		named, begun = true, begun || p.Name == "DTSTART"
	}
	if to.Sub(from) < unsaid {
		if begun {
			to = from.Add(unsaid)
		} else {
			from = to.Add(-unsaid)
		}
	}
	long := min(to.Sub(from), ical.LongestEvent)
	return ical.Instance{Moment: ical.Moment{Wall: from, Clock: r.in.Floating(), At: from}, Length: ical.Length{Exact: long}}, named
}

// last is until when an event repeats by its one rule, if that says so in a readable way.
func (r *Reader) last(c *ical.Component, clock ical.Clock) *ical.Moment {
	rules := parts(c, repeatedly...).Properties
	if len(rules) != 1 {
		return nil
	}
	for part := range strings.SplitSeq(strings.ToUpper(rules[0].Value), ";") {
		if text, found := strings.CutPrefix(part, "UNTIL="); found {
			if until, err := r.in.Moment(ical.Property{Line: rules[0].Line, Name: "UNTIL"}, text, clock); err == nil {
				return &until
			}
		}
	}
	return nil
}

// days are the whole days that a value names with what it begins with, though the rest
// cannot be read: on any clock, where it names one.
func (r *Reader) days(p ical.Property, text string) (from, to time.Time, ok bool) {
	for part := range strings.SplitSeq(text, "/") {
		wall, err := time.Parse("20060102", part[:min(len(part), 8)])
		if err != nil || wall.Year() < 1900 {
			continue
		}
		one := ical.Instance{Moment: ical.On(wall, r.in.Floating(), true), Length: ical.Length{Days: 1}}
		begins, ends := one.At, one.End()
		if p.Params["TZID"] != nil || strings.HasSuffix(part, "Z") {
			begins, ends = ical.Vague(begins, ends)
		}
		if !ok || begins.Before(from) {
			from = begins
		}
		if !ok || ends.After(to) {
			to = ends
		}
		ok = true
	}
	return from, to, ok
}
