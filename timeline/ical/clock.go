package ical

import (
	"errors"
	"slices"
	"sort"
	"strings"
	"time"

	"brothrun/timeline"
)

// longestName is the longest name of a zone that is looked up, in bytes: four times
// the longest there is. Own choice.
const longestName = 255

// Clock tells how far east of UTC a place's clock stands at an instant.
type Clock func(time.Time) time.Duration

func clockOf(location *time.Location) Clock {
	return func(t time.Time) time.Duration {
		_, east := t.In(location).Zone()
		return time.Duration(east) * time.Second
	}
}

// Floating is the clock of floating times and whole days.
func (r *Reader) Floating() Clock { return clockOf(r.zone) }

// instant returns when the clock shows wall, a time on its face written as UTC.
// A time shown twice is the first pass, and one that is skipped is read with the
// offset from before the change [RFC 5545 3.3.5].
func (c Clock) instant(wall time.Time) time.Time {
	// No clock is a day away from UTC, so one instant lies before a change that
	// concerns wall and the other after it. Two changes within two days are
	// not known.
	before, after := c(wall.Add(-day)), c(wall.Add(day))
	first := wall.Add(-before)
	if before == after || c(first) == before {
		return first
	}
	if second := wall.Add(-after); c(second) == after {
		return second
	}
	return first
}

// clock resolves a TZID. A name the world shares comes first, since the rules
// files carry for it are often of another year; then what the file itself says,
// and last the name at the end of a globally unique one, such as
// "/citadel.org/20210210_1/America/New_York".
func (r *Reader) clock(line int, name string) (Clock, error) {
	if c, known := r.clocks[name]; known {
		return c, nil
	}
	c, err := r.resolve(line, name)
	if err == nil {
		r.clocks[name] = c
	}
	return c, err
}

// vague is the clock of a zone that nobody knows, for who takes it so.
var vague = clockOf(time.UTC)

// Vague widens a span in a zone that is not known to all it may be: clocks stand from 12 h
// behind UTC to 14 h ahead of it (tz database).
func Vague(from, to time.Time) (earliest, latest time.Time) {
	return from.Add(-14 * time.Hour), to.Add(12 * time.Hour)
}

// inTheWorld looks a zone up by a name that is not the file's own; nil when there
// is none.
func (r *Reader) inTheWorld(line int, name string) (Clock, error) {
	if c, known := r.world[name]; known || len(name) > longestName {
		return c, nil
	}
	if len(r.world) == mostZones {
		return nil, r.Pass(line, Fewer,
			"up to this line there are more than %d names of time zones, the most that are read", mostZones)
	}
	location, err := timeline.LoadZone(name)
	if err != nil {
		location, _ = timeline.LoadZone(fromWindows(name))
	}
	r.world[name] = nil
	if location != nil {
		r.world[name] = clockOf(location)
	}
	return r.world[name], nil
}

func (r *Reader) resolve(line int, name string) (Clock, error) {
	if c, err := r.inTheWorld(line, name); c != nil || err != nil {
		return c, err
	}
	if own := r.timezones[name]; len(own) > 0 {
		c, err := r.described(own)
		if odd := (*Error)(nil); r.Unknown == nil || !errors.As(err, &odd) || odd.Limit {
			return c, err
		}
		r.Unknown(err)
		return nil, nil
	}
	if len(name) <= longestName && (strings.HasPrefix(name, "/") || strings.Contains(name, "://")) {
		for tail := name; ; {
			_, rest, found := strings.Cut(tail, "/")
			if !found {
				break
			}
			tail = rest
			if strings.EqualFold(tail, "UTC") {
				return clockOf(time.UTC), nil
			}
			if c, err := r.inTheWorld(line, tail); c != nil || err != nil {
				return c, err
			}
		}
	}
	err := r.Fail(line, "name an IANA zone, such as America/Denver, or export the calendar with its time zones",
		"time zone %s is not known and the file does not describe it", Quote(name))
	if r.Unknown != nil {
		r.Unknown(err)
		return nil, nil
	}
	return nil, err
}

// described is the clock of the zone that a calendar describes.
func (r *Reader) described(own []*Component) (Clock, error) {
	if len(own) > 1 {
		return nil, r.Fail(own[1].Line, "", "VTIMEZONE %s stands twice in this calendar", Quote(value(own[1], "TZID")))
	}
	return r.observances(own[0])
}

// observances evaluates a VTIMEZONE [RFC 5545 3.6.5].
func (r *Reader) observances(c *Component) (Clock, error) {
	var all []onset
	for _, child := range c.Children {
		if child.Name != "STANDARD" && child.Name != "DAYLIGHT" {
			continue
		}
		onsets, err := r.observance(child)
		if err != nil {
			return nil, err
		}
		all = append(all, onsets...)
	}
	if len(all) == 0 {
		return nil, r.Fail(c.Line, "", "this VTIMEZONE has neither STANDARD nor DAYLIGHT")
	}
	slices.SortStableFunc(all, func(a, b onset) int { return a.at.Compare(b.at) })
	return func(t time.Time) time.Duration {
		next := sort.Search(len(all), func(i int) bool { return all[i].at.After(t) })
		if next == 0 {
			return all[0].before
		}
		return all[next-1].after
	}, nil
}

// observance evaluates a STANDARD or DAYLIGHT.
func (r *Reader) observance(c *Component) ([]onset, error) {
	var offsets [2]time.Duration
	for i, name := range []string{"TZOFFSETFROM", "TZOFFSETTO"} {
		p, err := r.need(c, name)
		if err != nil {
			return nil, err
		}
		if offsets[i], err = r.offset(p); err != nil {
			return nil, err
		}
	}
	p, err := r.need(c, "DTSTART")
	if err != nil {
		return nil, err
	}
	if p.Params["TZID"] != nil || strings.HasSuffix(p.Value, "Z") {
		return nil, r.Fail(p.Line, "", "DTSTART %s of %s must be a local time", Quote(p.Value), c.Name)
	}
	start, err := r.Moment(p, p.Value, func(time.Time) time.Duration { return offsets[0] })
	if err != nil {
		return nil, err
	}
	if start.Date {
		return nil, r.Fail(p.Line, "", "DTSTART %s of %s must be a time", Quote(p.Value), c.Name)
	}
	list := []Instance{{Moment: start}}
	for _, p := range c.Properties {
		var more []Instance
		switch {
		case p.Name == "RRULE" && r.Repeat == nil:
			return nil, r.Fail(p.Line, "", "a rule of %s is not read here", c.Name)
		case p.Name == "RRULE":
			more, err = r.Repeat(p, start)
		case p.Name == "RDATE" && p.Params["TZID"] != nil: // its own zone would be asked for for ever
			return nil, r.Fail(p.Line, "", "RDATE of %s must be a local time", c.Name)
		case p.Name == "RDATE":
			more, err = r.Dates(p, list[0])
		}
		if err != nil {
			return nil, err
		}
		list = append(list, more...)
	}
	var onsets []onset
	for _, i := range list {
		onsets = append(onsets, onset{at: i.At, before: offsets[0], after: offsets[1]})
	}
	return onsets, nil
}

// offset reads +0100 or -053000.
func (r *Reader) offset(p Property) (time.Duration, error) {
	for _, layout := range []string{"150405", "1504"} {
		if len(p.Value) != len(layout)+1 || p.Value[0] != '+' && p.Value[0] != '-' {
			continue
		}
		face, err := time.Parse(layout, p.Value[1:])
		if err != nil {
			continue
		}
		east := face.Sub(face.Truncate(day))
		if p.Value[0] == '-' {
			east = -east
		}
		return east, nil
	}
	return 0, r.Fail(p.Line, "write hours and minutes, such as -0500",
		"%s %s is no offset from UTC", p.Name, Quote(p.Value))
}
