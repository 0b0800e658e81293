package busy

import (
	"slices"
	"sort"
	"strconv"
	"strings"
	"time"

	ics "github.com/arran4/golang-ical"

	"brothrun/timeline"
)

const (
	day = 24 * time.Hour
	// slack is more than any clock is away from UTC, both ways together.
	slack = 2 * day
	// longestEvent keeps spans far within what a time.Duration holds; own choice.
	longestEvent = 100 * 366 * day
	// longestName is the longest name of a zone that is looked up, in bytes: four times
	// the longest there is. Own choice.
	longestName = 255
)

// clock tells how far east of UTC a place's clock stands at an instant.
type clock func(time.Time) time.Duration

func clockOf(location *time.Location) clock {
	return func(t time.Time) time.Duration {
		_, east := t.In(location).Zone()
		return time.Duration(east) * time.Second
	}
}

// local is the clock of floating times and whole days.
func (r *Reader) local() clock { return clockOf(r.zone) }

// instant returns when the clock shows wall, a time on its face written as UTC.
// A time shown twice is the first pass, and one that is skipped is read with the
// offset from before the change (RFC 5545 3.3.5).
func (c clock) instant(wall time.Time) time.Time {
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

// moment is a date or a time as the file gives it.
type moment struct {
	wall  time.Time // on the clock's face, written as UTC
	clock clock
	date  bool
	at    time.Time // the instant
}

func on(wall time.Time, c clock, date bool) moment {
	return moment{wall: wall, clock: c, date: date, at: c.instant(wall)}
}

// length is a span: days on the calendar, then exact time (RFC 5545 3.3.6).
type length struct {
	days  int
	exact time.Duration
}

func (l length) longest() time.Duration { return time.Duration(l.days)*day + l.exact }

// instance is one time an event takes place.
type instance struct {
	moment
	length
}

func (i instance) end() time.Time {
	if i.days == 0 {
		return i.at.Add(i.exact)
	}
	return i.clock.instant(i.wall.AddDate(0, 0, i.days)).Add(i.exact)
}

// exceptions are instances that do not take place. A whole day takes out every
// instance on it.
type exceptions struct {
	days     map[time.Time]bool
	instants map[int64]bool
}

func (e *exceptions) add(m moment) {
	if m.date {
		if e.days == nil {
			e.days = map[time.Time]bool{}
		}
		e.days[m.wall] = true
		return
	}
	if e.instants == nil {
		e.instants = map[int64]bool{}
	}
	e.instants[m.at.Unix()] = true
}

func (e *exceptions) has(m moment) bool {
	return e.days[m.wall.Truncate(day)] || e.instants[m.at.Unix()]
}

const timeHint = "write a date such as 20261128 or a time such as 20261128T090000"

// moment reads one date or time of p. One without zone is read on floating.
func (r *Reader) moment(p property, text string, floating clock) (moment, error) {
	kind, err := r.parameter(p, "VALUE")
	if err != nil {
		return moment{}, err
	}
	date := strings.EqualFold(kind, "DATE")
	if kind == "" && len(text) == len("20060102") {
		date = true // VALUE=DATE forgotten; it can mean nothing else
	}
	period := strings.EqualFold(kind, "PERIOD") && (p.name == "RDATE" || p.name == "FREEBUSY")
	if kind != "" && !date && !period && !strings.EqualFold(kind, "DATE-TIME") {
		return moment{}, r.fail(p.line, timeHint, "%s of VALUE=%s is not read", p.name, kind)
	}
	digits, utc := strings.CutSuffix(text, "Z")
	layout, want := "20060102T150405", "date or time"
	if date {
		digits, utc = text, false
		layout, want = "20060102", "date"
	}
	// A leap second is read as the second before it (RFC 5545 3.3.12).
	if !date && len(digits) == len(layout) && strings.HasSuffix(digits, "60") {
		digits = strings.TrimSuffix(digits, "60") + "59"
	}
	wall, err := time.Parse(layout, digits)
	if err != nil || len(digits) != len(layout) { // Parse takes fractions of seconds
		return moment{}, r.fail(p.line, timeHint, "%s %s is no %s", p.name, quote(text), want)
	}
	zone, err := r.parameter(p, "TZID")
	switch {
	case err != nil:
		return moment{}, err
	case date:
		return on(wall, r.local(), true), nil
	case utc && zone != "":
		return moment{}, r.fail(p.line, "drop one of them", "%s %s has a TZID and ends with Z: it is unclear which clock it means", p.name, quote(text))
	case utc:
		return on(wall, clockOf(time.UTC), false), nil
	case zone != "":
		c, err := r.clock(p.line, zone)
		if err != nil {
			return moment{}, err
		}
		return on(wall, c, false), nil
	}
	return on(wall, floating, false), nil
}

// parameter returns the one value of a parameter, or "".
func (r *Reader) parameter(p property, name string) (string, error) {
	values := p.params[name]
	if len(values) > 1 {
		return "", r.fail(p.line, "", "parameter %s of %s has more than one value", name, p.name)
	}
	if len(values) == 0 {
		return "", nil
	}
	return values[0], nil
}

// dates reads the instances of RDATE or EXDATE. They last as long as like, but
// for periods.
func (r *Reader) dates(p property, like instance) ([]instance, error) {
	kind, err := r.parameter(p, "VALUE")
	if err != nil {
		return nil, err
	}
	var list []instance
	if strings.TrimSpace(p.value) == "" {
		return nil, nil // some programs write an empty list
	}
	for text := range strings.SplitSeq(p.value, ",") {
		if err := r.date(p.line); err != nil {
			return nil, err
		}
		if strings.EqualFold(kind, "PERIOD") && p.name == "RDATE" {
			period, err := r.period(p, text, like.clock)
			if err != nil {
				return nil, err
			}
			list = append(list, period)
			continue
		}
		m, err := r.moment(p, text, like.clock)
		if err != nil {
			return nil, err
		}
		if p.name == "RDATE" && m.date != like.date {
			return nil, r.fail(p.line, "write both as dates or both as times", "RDATE %s does not go with DTSTART: one is a date, the other a time", quote(text))
		}
		list = append(list, instance{m, like.length})
	}
	return list, nil
}

// period reads "start/end" or "start/duration".
func (r *Reader) period(p property, text string, floating clock) (instance, error) {
	from, to, found := strings.Cut(text, "/")
	if !found {
		return instance{}, r.fail(p.line, "write a start and an end or a duration, such as 20261128T090000Z/PT1H", "%s %s is no period", p.name, quote(text))
	}
	start, err := r.moment(p, from, floating)
	if err != nil {
		return instance{}, err
	}
	i := instance{moment: start}
	if strings.HasPrefix(to, "P") || strings.HasPrefix(to, "+P") {
		i.length, err = r.duration(p, to)
		return i, err
	}
	end, err := r.moment(p, to, floating)
	if err != nil {
		return i, err
	}
	if end.at.Before(start.at) || end.at.Sub(start.at) > longestEvent {
		return i, r.fail(p.line, "", "%s %s ends before it starts, or more than 100 years after", p.name, quote(text))
	}
	i.exact = end.at.Sub(start.at)
	return i, nil
}

// duration reads P15DT5H0M20S or P7W. Weeks and days are nominal: as many days
// on the calendar, whatever the clock does.
func (r *Reader) duration(p property, text string) (length, error) {
	var l length
	broken := func() (length, error) {
		return length{}, r.fail(p.line, "write such as PT1H30M, P1D or P2W", "%s %s is no duration of at most 100 years", p.name, quote(text))
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
		if number > int64(longestEvent/unit) {
			return broken()
		}
		if clockPart {
			l.exact += time.Duration(number) * unit
		} else {
			l.days += int(number) * int(unit/day)
		}
		if l.longest() > longestEvent {
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

// clock resolves a TZID. A name the world shares comes first, since the rules
// files carry for it are often of another year; then what the file itself says,
// and last the name at the end of a globally unique one, such as
// "/citadel.org/20210210_1/America/New_York".
func (r *Reader) clock(line int, name string) (clock, error) {
	if c, known := r.clocks[name]; known {
		return c, nil
	}
	c, err := r.resolve(line, name)
	if err == nil {
		r.clocks[name] = c
	}
	return c, err
}

// inTheWorld looks a zone up by a name that is not the file's own; nil when there
// is none.
func (r *Reader) inTheWorld(line int, name string) (clock, error) {
	if c, known := r.world[name]; known || len(name) > longestName {
		return c, nil
	}
	if len(r.world) == mostZones {
		return nil, r.fail(line, fewer, "up to this line there are more than %d names of time zones, the most that are read", mostZones)
	}
	location, err := timeline.LoadZone(name)
	if err != nil {
		location = ics.WindowsTimezoneToIANA(name)
	}
	r.world[name] = nil
	if location != nil {
		r.world[name] = clockOf(location)
	}
	return r.world[name], nil
}

func (r *Reader) resolve(line int, name string) (clock, error) {
	if c, err := r.inTheWorld(line, name); c != nil || err != nil {
		return c, err
	}
	switch own := r.timezones[name]; len(own) {
	case 0:
	case 1:
		return r.observances(own[0])
	default:
		return nil, r.fail(own[1].line, "", "VTIMEZONE %s stands twice in this calendar", quote(name))
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
	return nil, r.fail(line, "name an IANA zone, such as America/Denver, or export the calendar with its time zones",
		"time zone %s is not known and the file does not describe it", quote(name))
}

// observances evaluates a VTIMEZONE up to the end of the window (RFC 5545 3.6.5).
func (r *Reader) observances(c *component) (clock, error) {
	type onset struct {
		at       time.Time
		from, to time.Duration
	}
	var onsets []onset
	// Nothing that began earlier lasts into the window.
	early, late := r.from.Add(-longestEvent-slack), r.until.Add(slack)
	for _, child := range c.children {
		if child.name != "STANDARD" && child.name != "DAYLIGHT" {
			continue
		}
		var offsets [2]time.Duration
		for i, name := range []string{"TZOFFSETFROM", "TZOFFSETTO"} {
			p, err := r.one(child, name)
			if err != nil {
				return nil, err
			}
			if p == nil {
				return nil, r.fail(child.line, "", "%s has no %s", child.name, name)
			}
			if offsets[i], err = r.offset(*p); err != nil {
				return nil, err
			}
		}
		before := func(time.Time) time.Duration { return offsets[0] }
		p, err := r.one(child, "DTSTART")
		if err != nil {
			return nil, err
		}
		if p == nil {
			return nil, r.fail(child.line, "", "%s has no DTSTART", child.name)
		}
		if p.params["TZID"] != nil || strings.HasSuffix(p.value, "Z") {
			return nil, r.fail(p.line, "", "DTSTART %s of %s must be a local time", quote(p.value), child.name)
		}
		start, err := r.moment(*p, p.value, before)
		if err != nil {
			return nil, err
		}
		if start.date {
			return nil, r.fail(p.line, "", "DTSTART %s of %s must be a time", quote(p.value), child.name)
		}
		first := instance{moment: start}
		list := []instance{first}
		for _, p := range child.properties {
			var more []instance
			switch p.name {
			case "RRULE":
				repeats, err := r.rule(p, start)
				if err != nil {
					return nil, err
				}
				if more, err = r.instances(repeats, first, early, late); err != nil {
					return nil, err
				}
			case "RDATE":
				if p.params["TZID"] != nil { // its own zone would be asked for for ever
					return nil, r.fail(p.line, "", "RDATE of %s must be a local time", child.name)
				}
				if more, err = r.dates(p, first); err != nil {
					return nil, err
				}
			}
			list = append(list, more...)
		}
		for _, i := range list {
			onsets = append(onsets, onset{i.at, offsets[0], offsets[1]})
		}
	}
	if len(onsets) == 0 {
		return nil, r.fail(c.line, "", "this VTIMEZONE has neither STANDARD nor DAYLIGHT")
	}
	slices.SortStableFunc(onsets, func(a, b onset) int { return a.at.Compare(b.at) })
	return func(t time.Time) time.Duration {
		next := sort.Search(len(onsets), func(i int) bool { return onsets[i].at.After(t) })
		if next == 0 {
			return onsets[0].from
		}
		return onsets[next-1].to
	}, nil
}

// offset reads +0100 or -053000.
func (r *Reader) offset(p property) (time.Duration, error) {
	for _, layout := range []string{"150405", "1504"} {
		if len(p.value) != len(layout)+1 || p.value[0] != '+' && p.value[0] != '-' {
			continue
		}
		face, err := time.Parse(layout, p.value[1:])
		if err != nil {
			continue
		}
		east := time.Duration(face.Hour())*time.Hour + time.Duration(face.Minute())*time.Minute + time.Duration(face.Second())*time.Second
		if p.value[0] == '-' {
			east = -east
		}
		return east, nil
	}
	return 0, r.fail(p.line, "write hours and minutes, such as -0500", "%s %s is no offset from UTC", p.name, quote(p.value))
}
