package timeline

import (
	_ "embed"
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"

	"brothrun/stock/fault"
)

//go:embed zones.tsv
var zonesTable string

// zoneOrders are the zones of the world by name, each with which of day and month is
// written first there: "day first", "month first" or "-". The file says its sources.
var zoneOrders = sync.OnceValue(func() map[string]string {
	orders := map[string]string{}
	for line := range strings.Lines(zonesTable) {
		if zone, order, found := strings.Cut(strings.TrimSpace(line), "\t"); found {
			orders[zone] = order
		}
	}
	return orders
})

// FindZone is LoadZone that also takes a zone by its city, "Denver" or "new york" for
// America/New_York, upper and lower case alike. One that is not known is an error that
// names what is near.
func FindZone(name string) (*time.Location, error) {
	location, err := LoadZone(name)
	if err == nil {
		return location, nil
	}
	written := strings.Join(strings.Fields(strings.ToLower(name)), "_")
	zones := map[string]string{} // by city, and by name
	var cities []string
	for zone := range zoneOrders() {
		city := zone[strings.LastIndexByte(zone, '/')+1:]
		zones[strings.ToLower(city)], zones[strings.ToLower(zone)] = zone, zone
		cities = append(cities, city)
	}
	if zone := zones[written]; zone != "" {
		return LoadZone(zone)
	}
	slices.Sort(cities)
	return nil, fmt.Errorf("%w%s", err, fault.DidYouMean(written[strings.LastIndexByte(written, '/')+1:], cities))
}

// writtenDate is a date and time as the words of it come: a day by its date, its weekday or
// how far off it is, and a time of day. A zero is not said.
type writtenDate struct {
	year, day  int
	month      time.Month
	a, b       int // of a date in figures alone, in the order written
	weekday    string
	ahead      int // days from today, when there is near
	near       bool
	time       time.Duration
	timeSaid   bool
	unreadable bool
	next       bool // "next Sat": this week's to some, the week after's to others
}

// ReadDate reads a date and time as a cook writes them, beside the forms of ParseLocal:
// "Sat 8am", "tomorrow 8:00", "28 Nov 6pm", "Saturday, November 28, 2026 8:00 am",
// "12/5/2026 8:00". It returns it in a form of ParseLocal; moves tells that the words mean
// another day later on. now has the place by which they are taken: a weekday is the next
// one whose time is to come, a date without a year today or the next, and figures are in
// the order of the custom there. What is not said in full, and figures whose order nobody
// can know, are errors.
func ReadDate(text string, now time.Time) (local string, moves bool, err error) {
	for _, layout := range clockLayouts {
		if _, err := time.Parse(layout, strings.TrimSpace(text)); err == nil {
			return text, false, nil
		}
	}
	var w writtenDate
	words := strings.FieldsFunc(strings.ToLower(text), func(r rune) bool { return r == ' ' || r == ',' || r == '\t' })
	w.unreadable = len(words) == 0
	for i := 0; i < len(words); i++ {
		word := words[i]
		if i+1 < len(words) && halfOfDay[words[i+1]] {
			i++
			word += words[i]
		}
		w.unreadable = !w.take(word) || w.unreadable
	}
	day, err := w.on(now)
	switch {
	case err != nil:
		return "", false, fmt.Errorf("date and time %q %w", text, err)
	case day.Year() < 1970 || day.Year() > 2200:
		return "", false, fmt.Errorf("date and time %q: the year must be from 1970 to 2200", text)
	}
	return day.Format(time.DateOnly) + " " + ClockFace(w.time), w.moves(), nil
}

// halfOfDay are the words after an hour of a 12-hour clock.
var halfOfDay = map[string]bool{"am": true, "pm": true, "a.m.": true, "p.m.": true}

var (
	inFigures = sync.OnceValue(func() *regexp.Regexp {
		return regexp.MustCompile(`^(\d{1,2})[/.](\d{1,2})(?:[/.](\d{4}))?$`)
	})
	hourOfDay = sync.OnceValue(func() *regexp.Regexp {
		return regexp.MustCompile(`^(\d{1,2})(?::(\d\d))?(am|pm|a\.m\.|p\.m\.)?$`)
	})
	dayOfMonth = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`^(\d{1,2})(?:st|nd|rd|th)?$`) })
	yearAlone  = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`^\d{4}$`) })
)

// take takes one word; ok is false for one that says nothing, or something twice.
func (w *writtenDate) take(word string) (ok bool) {
	number := func(digits string) int {
		n, _ := strconv.Atoi(digits)
		return n
	}
	once := func(taken bool) bool { return !taken }
	if day, err := time.Parse(time.DateOnly, word); err == nil {
		ok = once(w.dated())
		w.year, w.month, w.day = day.Date()
		return ok
	}
	if month := prefixed(word, time.January, time.December); month > 0 {
		ok = once(w.month > 0)
		w.month = month
		return ok
	}
	if weekday := prefixed(word, time.Sunday, time.Saturday); weekday >= 0 {
		ok = once(w.weekday != "")
		w.weekday = weekday.String()
		return ok
	}
	switch word {
	case "at", "on", "the", "of", "this":
		return true
	case "today", "tomorrow":
		ok = once(w.near)
		if w.near = true; word == "tomorrow" {
			w.ahead = 1
		}
		return ok
	case "next":
		w.next = true
		return true
	case "noon":
		word = "12:00"
	}
	if parts := inFigures().FindStringSubmatch(word); parts != nil {
		ok = once(w.dated())
		w.a, w.b, w.year = number(parts[1]), number(parts[2]), number(parts[3])
		return ok
	}
	if parts := hourOfDay().FindStringSubmatch(word); parts != nil && parts[2]+parts[3] != "" {
		ok = once(w.timeSaid)
		w.timeSaid = true
		return w.setTime(number(parts[1]), number(parts[2]), strings.ReplaceAll(parts[3], ".", "")) && ok
	}
	if parts := dayOfMonth().FindStringSubmatch(word); parts != nil {
		ok = once(w.day > 0)
		w.day = number(parts[1])
		return ok && w.day > 0
	}
	if yearAlone().MatchString(word) {
		ok = once(w.year > 0)
		w.year = number(word)
		return ok && w.year > 0
	}
	return false
}

// prefixed is the one from first to last of whose name a word is at least three letters;
// -1 for none.
func prefixed[D ~int](word string, first, last D) D {
	for one := first; one <= last; one++ {
		if len(word) >= 3 && strings.HasPrefix(strings.ToLower(fmt.Sprint(one)), strings.TrimSuffix(word, ".")) {
			return one
		}
	}
	return -1
}

// dated reports whether a date is said.
func (w *writtenDate) dated() bool { return w.a > 0 || w.month > 0 || w.day > 0 }

// setTime sets an hour of a 24-hour clock or, with a half of the day, of a 12-hour one;
// 12 pm is noon.
func (w *writtenDate) setTime(hour, minute int, half string) bool {
	if half != "" {
		if hour < 1 || hour > 12 {
			return false
		}
		if hour %= 12; half == "pm" {
			hour += 12
		}
	}
	w.time = time.Duration(hour)*time.Hour + time.Duration(minute)*time.Minute
	return hour < 24 && minute < 60
}

// moves reports whether another day is meant later on.
func (w *writtenDate) moves() bool { return w.near || w.year == 0 }

// on is the day that is meant.
func (w *writtenDate) on(now time.Time) (time.Time, error) {
	if w.unreadable {
		return now, errors.New("cannot be read or do not exist: write year-month-day hour:minute on a 24-hour clock, " +
			"such as 2026-11-28 08:00, or Sat 8am, 28 Nov 6pm, tomorrow 8:00")
	}
	if w.next {
		return now, errors.New("may be this week or the week after: write the weekday alone for the first to come, " +
			"or its date")
	}
	if !w.timeSaid {
		return now, errors.New("say no time of day: write 08:00 or 8am with it")
	}
	today := time.Date(now.Year(), now.Month(), now.Day(), 0, 0, 0, 0, time.UTC)
	day := today
	switch {
	case w.near && (w.dated() || w.year > 0):
		return now, errors.New("say two days: write one")
	case w.near:
		day = today.AddDate(0, 0, w.ahead)
	case w.dated():
		if w.a > 0 {
			if err := w.order(now.Location().String()); err != nil {
				return now, err
			}
		}
		var ok bool
		if day, ok = w.date(today); !ok {
			return now, errors.New("name no day of the calendar: write one such as 28 Nov 2026")
		}
	case w.weekday != "" && w.year == 0:
		gone := time.Duration(now.Hour())*time.Hour + time.Duration(now.Minute())*time.Minute
		if w.time <= gone {
			day = day.AddDate(0, 0, 1)
		}
		for day.Weekday().String() != w.weekday {
			day = day.AddDate(0, 0, 1)
		}
	default:
		return now, errors.New("say no day: write today, Sat or 28 Nov with it")
	}
	if w.weekday != "" && day.Weekday().String() != w.weekday {
		return now, fmt.Errorf("go against each other: %s %d is a %s", day.Format("2 January"), day.Year(), day.Weekday())
	}
	return day, nil
}

// order settles which of two figures is the day and which the month, by the custom of a
// zone where both may be either.
func (w *writtenDate) order(zone string) error {
	custom := zoneOrders()[zone]
	if strings.HasPrefix(zone, "US/") {
		custom = "month first"
	}
	switch a, b := w.a, w.b; {
	case b > 12 || a <= 12 && (custom == "month first" || a == b):
		w.month, w.day = time.Month(a), b
	case a > 12 || custom == "day first":
		w.month, w.day = time.Month(b), a
	default:
		return fmt.Errorf("may be %d %s or %d %s, and the custom of the zone %s does not tell: write the month by its name",
			a, time.Month(b), b, time.Month(a), zone)
	}
	return nil
}

// date is a day by its month, in the year said or else the first from today on that has
// it; ok is false where there is none.
func (w *writtenDate) date(today time.Time) (day time.Time, ok bool) {
	years := []int{w.year}
	if w.year == 0 {
		for year := range 9 { // a leap day may be 8 years off
			years = append(years, today.Year()+year)
		}
	}
	for _, year := range years {
		day = time.Date(year, w.month, w.day, 0, 0, 0, 0, time.UTC)
		exists := w.month >= time.January && w.month <= time.December && day.Month() == w.month && day.Day() == w.day
		if exists && (w.year > 0 || !day.Before(today)) {
			return day, true
		}
	}
	return day, false
}
