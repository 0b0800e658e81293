package ical

import (
	"regexp"
	"strconv"
	"time"
)

// yearlyRule is the one rule of a clock that File writes, and most programs do: the nth
// or nth last weekday of a month, every year, until an instant or for ever.
var yearlyRule = regexp.MustCompile(
	`^FREQ=YEARLY;BYMONTH=(\d{1,2});BYDAY=(-?[1-5])(SU|MO|TU|WE|TH|FR|SA)(?:;UNTIL=(\d{8}T\d{6}Z))?$`)

var weekdays = map[string]time.Weekday{"SU": 0, "MO": 1, "TU": 2, "WE": 3, "TH": 4, "FR": 5, "SA": 6}

// yearlyUntil is the last year for which an endless rule is worked out.
const yearlyUntil = 2200

// yearly works out a rule of a VTIMEZONE in that form; others are an error.
func (r *Reader) yearly(p Property, start Moment) ([]Instance, error) {
	parts := yearlyRule.FindStringSubmatch(p.Value)
	if parts == nil {
		return nil, r.Fail(p.Line, "export the calendar with times in UTC",
			"%s %s of a time zone is not read here", p.Name, Quote(p.Value))
	}
	month, _ := strconv.Atoi(parts[1])
	nth, _ := strconv.Atoi(parts[2])
	until := time.Date(yearlyUntil, 1, 1, 0, 0, 0, 0, time.UTC)
	if parts[4] != "" {
		var err error
		if until, err = time.Parse(timeLayout+"Z", parts[4]); err != nil {
			return nil, r.Fail(p.Line, "", "UNTIL of %s %s is no time", p.Name, Quote(p.Value))
		}
	}
	var found []Instance
	hour, minute, second := start.Wall.Clock()
	for year := start.Wall.Year(); year < yearlyUntil; year++ {
		date, ok := nthWeekday(year, time.Month(month), nth, weekdays[parts[3]])
		wall := time.Date(year, time.Month(month), date, hour, minute, second, 0, time.UTC)
		if !ok || !wall.After(start.Wall) {
			continue
		}
		m := On(wall, start.Clock, false)
		if m.At.After(until) {
			break
		}
		found = append(found, Instance{Moment: m})
	}
	return found, nil
}

// nthWeekday is the date of the nth weekday of a month, counted from its end where n is
// negative.
func nthWeekday(year int, month time.Month, n int, weekday time.Weekday) (date int, ok bool) {
	if n > 0 {
		first := time.Date(year, month, 1, 0, 0, 0, 0, time.UTC).Weekday()
		date = 1 + int(weekday-first+7)%7 + 7*(n-1)
	} else {
		last := time.Date(year, month+1, 0, 0, 0, 0, 0, time.UTC)
		date = last.Day() - int(last.Weekday()-weekday+7)%7 + 7*(n+1)
	}
	return date, date >= 1 && date <= time.Date(year, month+1, 0, 0, 0, 0, 0, time.UTC).Day()
}
