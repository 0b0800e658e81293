package timeline

import (
	"fmt"
	"strconv"
	"strings"
	"sync"
	"time"
)

// Hours are a part of the day, as times on the kitchen's clock: in which the cook
// can be asked to do something, or a canner outdoors may run. An Until at or
// before From is after midnight: 14:00-02:00 is an evening cook's day.
type Hours struct {
	From, Until time.Duration // since midnight on the clock's face, 0 to 24 h
}

// DefaultAwake is assumed when nobody says: 06:30 to 22:00. Common practice, no
// source.
func DefaultAwake() Hours { return Hours{From: 6*time.Hour + 30*time.Minute, Until: 22 * time.Hour} }

// ParseAwake reads awake hours such as "06:30-22:00" on a 24-hour clock. The
// window must be at least 4 h long; one that ends before it begins runs past
// midnight.
func ParseAwake(text string) (Hours, error) { return parseHours("awake hours", "06:30-22:00", text) }

// ParseHours reads the hours in which a canner outdoors may run, such as
// "08:00-19:00", the way ParseAwake reads its own.
func ParseHours(text string) (Hours, error) { return parseHours("hours", "08:00-19:00", text) }

func parseHours(what, example, text string) (Hours, error) {
	from, until, found := strings.Cut(strings.ReplaceAll(text, "–", "-"), "-")
	if !found {
		return Hours{}, fmt.Errorf("%s %q are not readable: write them on a 24-hour clock, such as %s", what, text, example)
	}
	var clock [2]time.Duration
	for i, face := range []string{from, until} {
		d, ok := readFace(strings.TrimSpace(face))
		if !ok {
			return Hours{}, fmt.Errorf("%s %q: %q is no time of day on a 24-hour clock; write 00:00 to 24:00, such as %s", what,
				text, face, example)
		}
		clock[i] = d
	}
	hours := Hours{clock[0], clock[1]}
	if hours.always() {
		return Hours{0, 24 * time.Hour}, nil
	}
	if hours.Length() < 4*time.Hour {
		return Hours{}, fmt.Errorf("%s %q are too short: at least 4 h, such as %s", what, text, example)
	}
	return hours, nil
}

// readFace reads a time of day such as 6:30 or 24:00.
func readFace(text string) (d time.Duration, ok bool) {
	hours, minutes, found := strings.Cut(text, ":")
	if !found || len(minutes) != 2 {
		return 0, false
	}
	hour, err1 := strconv.ParseUint(hours, 10, 8)
	minute, err2 := strconv.ParseUint(minutes, 10, 8)
	d = time.Duration(hour)*time.Hour + time.Duration(minute)*time.Minute
	return d, err1 == nil && err2 == nil && minute < 60 && d <= 24*time.Hour
}

// always reports whether the window is the whole day, without an edge at which
// anything would have to end.
func (a Hours) always() bool { return a.From == a.Until || a.Length() == 24*time.Hour }

// The civil hours: nobody is asked for anything outside them where that costs neither a
// day nor a night. Common practice, no source.
const (
	civilFrom  = 7 * time.Hour
	civilUntil = 21 * time.Hour
)

// civil is the civil part of awake hours; narrower is false where all of them are. Who
// is up all day, past midnight or from later than latestMorning keeps hours of their own.
func (a Hours) civil() (hours Hours, narrower bool) {
	if a.always() || a.Until <= a.From || a.From > latestMorning {
		return a, false
	}
	hours = Hours{max(a.From, civilFrom), min(a.Until, civilUntil)}
	return hours, hours != a && hours.From < hours.Until
}

// String writes the window the way ParseAwake reads it.
func (a Hours) String() string { return ClockFace(a.From) + "-" + ClockFace(a.Until) }

// ClockFace writes a time since midnight as a 24-hour clock shows it: "06:30".
func ClockFace(d time.Duration) string {
	return fmt.Sprintf("%02d:%02d", int(d.Hours()), int(d.Minutes())%60)
}

// Length is the window on the clock's face.
func (a Hours) Length() time.Duration {
	if a.Until <= a.From {
		return a.Until + 24*time.Hour - a.From
	}
	return a.Until - a.From
}

// on returns the window that opens on the day of t, shifted by days. Both ends
// are times on the clock's face, so they stay right across a clock change.
func (a Hours) on(t time.Time, days int) (from, until time.Time) {
	year, month, day := t.Date()
	face := func(d time.Duration, day int) time.Time {
		return time.Date(year, month, day, int(d.Hours()), int(d.Minutes())%60, 0, 0, t.Location())
	}
	from = face(a.From, day+days)
	switch {
	case a.always():
		return from, face(a.Until, day+days+7)
	case a.Until <= a.From:
		return from, face(a.Until, day+days+1)
	}
	return from, face(a.Until, day+days)
}

// around returns the window that holds t, or the next one to open after it.
func (a Hours) around(t time.Time) (from, until time.Time) {
	for days := -1; ; days++ {
		if from, until = a.on(t, days); until.After(t) {
			return from, until
		}
	}
}

// Clock writes t as its own clock shows it, in layout, and with the zone's name
// where that clock shows the same twice: "01:40 MDT".
func Clock(t time.Time, layout string) string { return face(t, layout, ComesTwice(t)) }

// ClockSpan writes both ends of a span, each in its layout, and each with its zone's
// name where the clock is changed in between or shows one of them twice: a span
// never looks as if it ended before it began.
func ClockSpan(from, to time.Time, first, second string) (begin, end string) {
	_, before := from.Zone()
	_, after := to.Zone()
	named := before != after || ComesTwice(from) || ComesTwice(to)
	return face(from, first, named), face(to, second, named)
}

func face(t time.Time, layout string, named bool) string {
	text := t.Format(layout)
	if !named {
		return text
	}
	zone, _ := t.Zone()
	if strings.HasPrefix(zone, "+") || strings.HasPrefix(zone, "-") { // a zone without letters
		zone = "UTC" + zone
	}
	return text + " " + zone
}

// ComesTwice reports whether the clock of t's place shows what it shows at t at
// another instant too, as in the hour when clocks go back.
func ComesTwice(t time.Time) bool { return len(Passes(t)) > 1 }

// Passes are the instants at which the clock of t's place shows what it shows at t, in
// order: t alone, or two in the hour when clocks go back.
// Assumption: no place leaves an offset and comes back to it within a day.
func Passes(t time.Time) []time.Time {
	_, here := t.Zone()
	for _, near := range []time.Duration{-24 * time.Hour, 24 * time.Hour} {
		_, other := t.Add(near).Zone()
		then := t.Add(time.Duration(here-other) * time.Second)
		if _, offset := then.Zone(); other == here || offset != other {
			continue
		}
		if then.Before(t) {
			return []time.Time{then, t}
		}
		return []time.Time{t, then}
	}
	return []time.Time{t}
}

// clockLayouts are the ways a local date and time may be written.
var clockLayouts = []string{"2006-01-02 15:04", "2006-01-02T15:04", "2006-01-02 15:04:05", "2006-01-02T15:04:05"}

// Typed is the layout of a time as ParseLocal reads it.
const Typed = "2006-01-02 15:04"

// ParseLocal reads a date and time such as "2026-11-28 08:00" on the clock of
// location. Repeated tells that the clock shows this time twice that night (a
// change back to winter time); the result is then the first pass. A time the
// clock skips, a date the calendar lacks and a year outside 1970 to 2200 are
// errors.
func ParseLocal(text string, location *time.Location) (at time.Time, repeated bool, err error) {
	text = strings.TrimSpace(text)
	var face time.Time
	for _, layout := range clockLayouts {
		if face, err = time.Parse(layout, text); err == nil {
			break
		}
	}
	if err != nil {
		return time.Time{}, false, fmt.Errorf("date and time %q cannot be read or do not exist: write year-month-day "+
			"hour:minute on a 24-hour clock, such as 2026-11-28 08:00", text)
	}
	if face.Year() < 1970 || face.Year() > 2200 {
		return time.Time{}, false, fmt.Errorf("date and time %q: the year must be from 1970 to 2200", text)
	}
	at = time.Date(face.Year(), face.Month(), face.Day(), face.Hour(), face.Minute(), face.Second(), face.Nanosecond(), location)
	sameFace := func(t time.Time) bool {
		_, offset := t.Zone()
		return t.Unix()+int64(offset) == face.Unix()
	}
	if !sameFace(at) {
		_, offset := at.Add(-24 * time.Hour).Zone()
		after := time.Unix(face.Unix()-int64(offset), 0).In(location)
		return time.Time{}, false,
			fmt.Errorf("date and time %q do not exist in %s: the clock is put forward over it; %s comes in its place",
				text, location, after.Format("15:04"))
	}
	passes := Passes(at)
	return passes[0], len(passes) > 1, nil
}

// ParseMoment reads when something was: a date and time as ParseLocal reads it, or with
// an offset, "2026-11-01T01:40:00-06:00". Without one, a time that the clock shows twice
// is a *TwoMoments.
func ParseMoment(text string, location *time.Location) (time.Time, error) {
	for _, layout := range []string{time.RFC3339, "2006-01-02T15:04Z07:00"} {
		if at, err := time.Parse(layout, strings.Replace(strings.TrimSpace(text), " ", "T", 1)); err == nil {
			return at.In(location), nil
		}
	}
	at, twice, err := ParseLocal(text, location)
	if twice {
		first, second := Passes(at)[0], Passes(at)[1]
		return at, &TwoMoments{first, second, fmt.Errorf("date and time %q come twice that night: write %s or %s", text,
			first.Format(time.RFC3339), second.Format(time.RFC3339))}
	}
	return at, err
}

// TwoMoments is a date and time that a clock shows twice, where one is meant. Its error
// names both, each as it is written with its offset.
type TwoMoments struct {
	First, Second time.Time
	error
}

// LoadZone returns the named IANA zone. Empty, "Local" and unknown names are
// errors, and so are the copies of the zone database with leap seconds
// ("right/...") or without them ("posix/...") that some machines hold: a
// reminder an hour off is worse than none.
func LoadZone(name string) (*time.Location, error) {
	directory, _, _ := strings.Cut(strings.ToLower(name), "/")
	switch directory {
	case "", "local", "right", "posix", "posixrules", "factory", "localtime":
		return nil, fmt.Errorf("zone %q names no place: write an IANA zone, such as America/Denver or Europe/Berlin", name)
	}
	if known, ok := zones.Load(name); ok {
		return known.(*time.Location), nil
	}
	location, err := time.LoadLocation(name)
	if err != nil {
		return nil, fmt.Errorf("zone %q is not known: write an IANA zone, such as America/Denver or Europe/Berlin", name)
	}
	zones.Store(name, location)
	return location, nil
}

// zones are those that were found, by their names: the library looks for one anew each time.
var zones sync.Map

// ParseBooking reads a span between two local dates and times, as ParseLocal
// reads them. One that does not end after it begins is an error.
func ParseBooking(from, to string, location *time.Location) (Booking, error) {
	begin, _, err := ParseLocal(from, location)
	if err != nil {
		return Booking{}, err
	}
	end, _, err := ParseLocal(to, location)
	if err != nil {
		return Booking{}, err
	}
	if !end.After(begin) {
		return Booking{}, fmt.Errorf("booking from %s to %s does not end after it begins", from, to)
	}
	return Booking{From: begin, To: end}, nil
}

// ParseDay reads a day such as "2026-05-01" and returns its noon on the clock of
// location, so that no clock change moves its date.
func ParseDay(text string, location *time.Location) (time.Time, error) {
	day, err := time.Parse(time.DateOnly, strings.TrimSpace(text))
	if err != nil || day.Year() < 1970 || day.Year() > 2200 {
		return time.Time{}, fmt.Errorf("day %q cannot be read or does not exist: write year-month-day from 1970 to 2200, "+
			"such as 2026-05-01", text)
	}
	return time.Date(day.Year(), day.Month(), day.Day(), 12, 0, 0, 0, location), nil
}

// DayStart returns the first instant of a date on the clock of location. Where a
// clock change skips midnight that is later than 0:00, and where it skips the
// date, that of the next; a day outside the month counts on, as for time.Date.
func DayStart(year int, month time.Month, day int, location *time.Location) time.Time {
	wanted := time.Date(year, month, day, 0, 0, 0, 0, time.UTC)
	start := time.Date(year, month, day, 0, 0, 0, 0, location)
	// Every clock change at midnight was of whole quarters of an hour.
	for dayNumber(start, location) < int(wanted.Unix()/86400) {
		start = start.Add(15 * time.Minute)
	}
	return start
}
