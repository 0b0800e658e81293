package ical

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"sync"
	"time"

	ics "github.com/arran4/golang-ical"
)

// zoneName is what may stand as a TZID: names like those of the tz database and
// nothing that would need quoting, since the library quotes parameters wrongly.
var zoneName = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`^[A-Za-z][A-Za-z0-9_+-]*(/[A-Za-z0-9_+-]+)*$`)
})

// zonesOf is the clock of each place whose local time is written, over the time
// its events take, in the order of first use. Places of one name keep one clock.
func zonesOf(events []Event) ([]*ics.VTimezone, error) {
	type use struct {
		place    *time.Location
		from, to time.Time
	}
	var uses []*use
	byName := map[string]*use{}
	for _, e := range events {
		if e.Place == nil || e.AllDay {
			continue
		}
		u := byName[e.Place.String()]
		if u == nil {
			u = &use{e.Place, e.Start, e.End}
			uses, byName[e.Place.String()] = append(uses, u), u
		}
		if e.Start.Before(u.from) {
			u.from = e.Start
		}
		if e.End.After(u.to) {
			u.to = e.End
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
	changes, rules := onsets(place, from, to), []string(nil)
	// From a year before, where that has the rule too: some readers fail where either of
	// the two has not come yet.
	for _, years := range []int{-1, 0} {
		yearly, found := steady(onsets(place, from.AddDate(years, 0, 0), latest(from, to).AddDate(steadyYears, 0, 0)))
		if found != nil {
			changes, rules = yearly, found
			break
		}
	}
	for i, onset := range changes {
		observance := ics.ComponentBase{}
		local := onset.at.UTC().Add(onset.before)
		observance.AddProperty(ics.ComponentPropertyDtStart, local.Format(timeLayout))
		observance.AddProperty("TZOFFSETFROM", offsetText(onset.before))
		observance.AddProperty("TZOFFSETTO", offsetText(onset.after))
		if onset.name != "" {
			observance.AddProperty("TZNAME", onset.name)
		}
		if rules != nil {
			observance.AddProperty(ics.ComponentPropertyRrule, rules[i])
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

// steadyYears is for how many years after the last step a rule has to hold to be one;
// own choice: some places know their changes for decades and have no rule.
const steadyYears = 12

// steady finds two changes of the clock that come again each year on the nth or last
// weekday of a month, at one time of day, in onsets of more than steadyYears: the first
// of each, and its rule [RFC 5545 3.3.10]. There are none where a place has no such rule,
// or has it only later or up to some year.
func steady(found []onset) (first []onset, rules []string) {
	if len(found) < 2*steadyYears {
		return nil, nil
	}
	for _, of := range [][]onset{every(found, 0), every(found, 1)} {
		rule := ruleOf(of)
		if rule == "" {
			return nil, nil
		}
		first, rules = append(first, of[0]), append(rules, rule)
	}
	return first, rules
}

// every is every other onset, from one on.
func every(found []onset, from int) (of []onset) {
	for i := from; i < len(found); i += 2 {
		of = append(of, found[i])
	}
	return of
}

// ruleOf is the rule of onsets that come once a year; empty where they follow none.
func ruleOf(of []onset) string {
	wall := func(o onset) time.Time { return o.at.UTC().Add(o.before) }
	first := wall(of[0])
	for _, n := range []int{-1, 1, 2, 3, 4} {
		holds := true
		for i, o := range of {
			date, ok := nthWeekday(first.Year()+i, first.Month(), n, first.Weekday())
			hour, minute, second := first.Clock()
			day := time.Date(first.Year()+i, first.Month(), date, hour, minute, second, 0, time.UTC)
			holds = holds && ok && wall(o).Equal(day) && o.before == of[0].before && o.after == of[0].after && o.name == of[0].name
		}
		if holds {
			return fmt.Sprintf("FREQ=YEARLY;BYMONTH=%d;BYDAY=%d%s", first.Month(), n, strings.ToUpper(first.Weekday().String()[:2]))
		}
	}
	return ""
}

func latest(a, b time.Time) time.Time {
	if a.After(b) {
		return a
	}
	return b
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
			next := onset{at: change, before: before, after: offsetAt(place, last), name: OneLine(name)}
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
	return onset{at: time.Unix(0, 0).Add(-offset), before: offset, after: offset, name: OneLine(name)}
}

func offsetAt(place *time.Location, unix int64) time.Duration {
	_, seconds := time.Unix(unix, 0).In(place).Zone()
	return time.Duration(seconds) * time.Second
}

// offsetText writes an offset from UTC [RFC 5545 3.3.14]: seconds only when
// there are any, and never a negative zero.
func offsetText(offset time.Duration) string {
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
