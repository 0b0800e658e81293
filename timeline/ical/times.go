package ical

import (
	"strconv"
	"strings"
	"time"
)

const (
	day = 24 * time.Hour
	// LongestEvent keeps spans far within what a time.Duration holds; own choice.
	LongestEvent = 100 * 366 * day
)

// Moment is a date or a time as the file gives it.
type Moment struct {
	Wall  time.Time // on the clock's face, written as UTC
	Clock Clock
	Date  bool
	At    time.Time // the instant
	Vague bool      // its clock is not known: At is as if it were that of UTC
}

// On is the moment when a clock shows wall.
func On(wall time.Time, c Clock, date bool) Moment {
	return Moment{Wall: wall, Clock: c, Date: date, At: c.instant(wall)}
}

// Length is a span: days on the calendar, then exact time [RFC 5545 3.3.6].
type Length struct {
	Days  int
	Exact time.Duration
}

// Longest is the span where every day has 24 h.
func (l Length) Longest() time.Duration { return time.Duration(l.Days)*day + l.Exact }

// Instance is one time an event takes place.
type Instance struct {
	Moment
	Length
}

// End is the instant at which it is over.
func (i Instance) End() time.Time {
	if i.Days == 0 {
		return i.At.Add(i.Exact)
	}
	return i.Clock.instant(i.Wall.AddDate(0, 0, i.Days)).Add(i.Exact)
}

// What to do about a time.
const (
	timeHint  = "write a date such as 20261128 or a time such as 20261128T090000"
	bothAlike = "write both as dates or both as times"
)

// Moment reads one date or time of p. One without zone is read on floating; it is an
// error where that is nil.
func (r *Reader) Moment(p Property, text string, floating Clock) (Moment, error) {
	kind, err := r.parameter(p, "VALUE")
	if err != nil {
		return Moment{}, err
	}
	date := strings.EqualFold(kind, "DATE")
	if kind == "" && len(text) == len(dateLayout) {
		date = true // VALUE=DATE forgotten; it can mean nothing else
	}
	period := strings.EqualFold(kind, "PERIOD") && (p.Name == "RDATE" || p.Name == "FREEBUSY")
	if kind != "" && !date && !period && !strings.EqualFold(kind, "DATE-TIME") {
		return Moment{}, r.Fail(p.Line, timeHint, "%s of VALUE=%s is not read", p.Name, kind)
	}
	digits, utc := strings.CutSuffix(text, "Z")
	layout, want := timeLayout, "date or time"
	if date {
		digits, utc = text, false
		layout, want = dateLayout, "date"
	}
	// A leap second is read as the second before it [RFC 5545 3.3.12].
	if !date && len(digits) == len(layout) && strings.HasSuffix(digits, "60") {
		digits = strings.TrimSuffix(digits, "60") + "59"
	}
	wall, err := time.Parse(layout, digits)
	if err != nil || len(digits) != len(layout) { // Parse takes fractions of seconds
		return Moment{}, r.Fail(p.Line, timeHint, "%s %s is no %s", p.Name, Quote(text), want)
	}
	zone, err := r.parameter(p, "TZID")
	switch {
	case err != nil:
		return Moment{}, err
	case date:
		return On(wall, r.Floating(), true), nil
	case utc && zone != "" && !strings.EqualFold(zone, "UTC"):
		return Moment{}, r.Fail(p.Line, "drop one of them",
			"%s %s has a TZID and ends with Z: it is unclear which clock it means", p.Name, Quote(text))
	case utc:
		return On(wall, clockOf(time.UTC), false), nil
	case zone != "":
		c, err := r.clock(p.Line, zone)
		if err != nil {
			return Moment{}, err
		}
		if c == nil {
			m := On(wall, vague, false)
			m.Vague = true
			return m, nil
		}
		return On(wall, c, false), nil
	case floating == nil:
		return Moment{}, r.Fail(p.Line, "",
			"%s %s has neither a TZID nor a Z: it is unclear which clock it means", p.Name, Quote(text))
	}
	return On(wall, floating, false), nil
}

// parameter returns the one value of a parameter, or "".
func (r *Reader) parameter(p Property, name string) (string, error) {
	values := p.Params[name]
	if len(values) > 1 {
		return "", r.Fail(p.Line, "", "parameter %s of %s has more than one value", name, p.Name)
	}
	if len(values) == 0 {
		return "", nil
	}
	return values[0], nil
}

// Dates reads the instances of RDATE or EXDATE. They last as long as like, but
// for periods.
func (r *Reader) Dates(p Property, like Instance) ([]Instance, error) {
	kind, err := r.parameter(p, "VALUE")
	if err != nil {
		return nil, err
	}
	var list []Instance
	if strings.TrimSpace(p.Value) == "" {
		return nil, nil // some programs write an empty list
	}
	for text := range strings.SplitSeq(p.Value, ",") {
		if err := r.CountDate(p.Line); err != nil {
			return nil, err
		}
		if strings.EqualFold(kind, "PERIOD") && p.Name == "RDATE" {
			period, err := r.Period(p, text, like.Clock)
			if err != nil {
				return nil, err
			}
			list = append(list, period)
			continue
		}
		m, err := r.Moment(p, text, like.Clock)
		if err != nil {
			return nil, err
		}
		if p.Name == "RDATE" && m.Date != like.Date {
			return nil, r.Fail(p.Line, bothAlike,
				"RDATE %s does not go with DTSTART: one is a date, the other a time", Quote(text))
		}
		list = append(list, Instance{m, like.Length})
	}
	return list, nil
}

// Period reads "start/end" or "start/duration".
func (r *Reader) Period(p Property, text string, floating Clock) (Instance, error) {
	from, to, found := strings.Cut(text, "/")
	if !found {
		return Instance{}, r.Fail(p.Line, "write a start and an end or a duration, such as 20261128T090000Z/PT1H",
			"%s %s is no period", p.Name, Quote(text))
	}
	start, err := r.Moment(p, from, floating)
	if err != nil {
		return Instance{}, err
	}
	i := Instance{Moment: start}
	if strings.HasPrefix(to, "P") || strings.HasPrefix(to, "+P") {
		i.Length, err = r.duration(p, to)
		return i, err
	}
	end, err := r.Moment(p, to, floating)
	if err != nil {
		return i, err
	}
	if end.At.Before(start.At) || end.At.Sub(start.At) > LongestEvent {
		return i, r.Fail(p.Line, "", "%s %s ends before it starts, or more than 100 years after", p.Name, Quote(text))
	}
	i.Exact = end.At.Sub(start.At)
	return i, nil
}

// duration reads P15DT5H0M20S or P7W. Weeks and days are nominal: as many days
// on the calendar, whatever the clock does.
func (r *Reader) duration(p Property, text string) (Length, error) {
	var l Length
	broken := func() (Length, error) {
		return Length{}, r.Fail(p.Line, "write such as PT1H30M, P1D or P2W",
			"%s %s is no duration of at most 100 years", p.Name, Quote(text))
	}
	rest, found := strings.CutPrefix(strings.TrimPrefix(text, "+"), "P")
	if !found {
		return broken()
	}
	units, clockPart := "WD", false
	for rest != "" {
		if rest[0] == 'T' && !clockPart && len(rest) > 1 {
			units, clockPart, rest = "HMS", true, rest[1:]
			continue
		}
		end := strings.IndexFunc(rest, func(c rune) bool { return c < '0' || c > '9' })
		if end < 1 {
			return broken()
		}
		number, err := strconv.ParseInt(rest[:end], 10, 64)
		place := strings.IndexByte(units, rest[end])
		if err != nil || place < 0 {
			return broken()
		}
		unit := durationUnits[rest[end]]
		if number > int64(LongestEvent/unit) {
			return broken()
		}
		if clockPart {
			l.Exact += time.Duration(number) * unit
		} else {
			l.Days += int(number) * int(unit/day)
		}
		if l.Longest() > LongestEvent {
			return broken()
		}
		units, rest = units[place+1:], rest[end+1:]
	}
	if strings.HasSuffix(text, "P") {
		return broken()
	}
	return l, nil
}

var durationUnits = map[byte]time.Duration{'W': 7 * day, 'D': day, 'H': time.Hour, 'M': time.Minute, 'S': time.Second}

// Lasts reads how long an event of this line lasts: DTEND, DURATION, or by RFC 5545
// 3.6.1 one day from a date and no time at all from a time.
func (r *Reader) Lasts(start Moment, line int, end, duration *Property) (Instance, error) {
	first := Instance{Moment: start}
	switch {
	case end != nil && duration != nil:
		return first, r.Fail(end.Line, "keep one of them", "this event has both DTEND and DURATION")
	case end != nil:
		until, err := r.Moment(*end, end.Value, start.Clock)
		if err != nil {
			return first, err
		}
		if !start.Date && until.At.Before(start.At) && !until.Wall.Before(start.Wall) {
			// Both in an hour that the clock skips, or one of them: no time at all.
			until.At = start.At
		}
		if until.Date != start.Date {
			return first, r.Fail(end.Line, bothAlike,
				"DTEND %s does not go with DTSTART: one is a date, the other a time", Quote(end.Value))
		}
		if start.Date {
			// One that ends on the day it starts, against the RFC, is meant as
			// that day.
			first.Days = max(1, int(until.Wall.Sub(start.Wall)/day))
		} else {
			first.Exact = until.At.Sub(start.At)
		}
		if until.Wall.Before(start.Wall) && start.Date || first.Exact < 0 {
			return first, r.Fail(end.Line, "", "DTEND %s is before DTSTART", Quote(end.Value))
		}
	case duration != nil:
		var err error
		if first.Length, err = r.duration(*duration, duration.Value); err != nil {
			return first, err
		}
		if start.Date && first.Exact != 0 {
			return first, r.Fail(duration.Line, "write days or weeks, such as P1D",
				"DURATION %s has hours, but DTSTART is a date", Quote(duration.Value))
		}
	case start.Date:
		first.Days = 1
	}
	if first.Longest() > LongestEvent {
		return first, r.Fail(line, "", "this event is longer than 100 years")
	}
	return first, nil
}
