package busy

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"github.com/teambition/rrule-go"

	"brothrun/timeline/ical"
)

const (
	// mostInstances is how often one rule may fall into the window: every five
	// minutes for a month. Own choice, no source.
	mostInstances = 10_000
	// mostWork bounds the work on the rules of all files, counted in days looked at,
	// of which a core does some 70 million a second. It is enough for 500 daily
	// rules with a count, 27 years after they began; a weekly one without takes
	// a few thousand. Own choice, no source.
	mostWork = 50_000_000
	// What else is done, in days looked at that take as long; measured.
	ruleWork = 500 // to read a rule, or to begin with it
	timeWork = 10  // to give one time
	stepWork = 3   // to pass over an hour, minute or second
	// mostTimes is how many times of day one rule may name.
	mostTimes = 1440
	// mostInterval keeps the library's sums in range.
	mostInterval = 1_000_000
)

// rule is an RRULE or EXRULE.
type rule struct {
	line   int
	name   string
	option rrule.ROption // without UNTIL
	until  *ical.Moment  // inclusive; a date includes its day
}

// ruleParts are the parts RFC 5545 knows, and the frequencies they go with
// (3.3.10); nil is all. The library takes more and ignores some of it.
var ruleParts = map[string][]rrule.Frequency{
	"FREQ": nil, "UNTIL": nil, "COUNT": nil, "INTERVAL": nil, "WKST": nil,
	"BYSECOND": nil, "BYMINUTE": nil, "BYHOUR": nil, "BYDAY": nil, "BYMONTH": nil,
	"BYMONTHDAY": {rrule.YEARLY, rrule.MONTHLY, rrule.DAILY, rrule.HOURLY, rrule.MINUTELY, rrule.SECONDLY},
	"BYYEARDAY":  {rrule.YEARLY, rrule.HOURLY, rrule.MINUTELY, rrule.SECONDLY},
	"BYWEEKNO":   {rrule.YEARLY},
	// Also for shorter ones by the RFC, where nobody was seen to use it.
	"BYSETPOS": {rrule.YEARLY, rrule.MONTHLY, rrule.WEEKLY, rrule.DAILY},
}

// rule reads a rule of an event that starts at start. It refuses what would make
// the library panic, run for ever or ignore a part.
func (r *Reader) rule(p ical.Property, start ical.Moment) (rule, error) {
	made := rule{line: p.Line, name: p.Name}
	broken := func(reason string) error {
		return r.in.Fail(p.Line, "write such as FREQ=WEEKLY;BYDAY=MO,WE",
			"%s %s cannot be read: %s", p.Name, ical.Quote(p.Value), reason)
	}
	if err := r.toil(ruleWork, p.Line); err != nil {
		return made, err
	}
	var kept []string
	given := map[string]bool{}
	for part := range strings.SplitSeq(strings.TrimSuffix(strings.ToUpper(strings.TrimSpace(p.Value)), ";"), ";") {
		key, value, _ := strings.Cut(part, "=")
		if _, known := ruleParts[key]; !known {
			return made, broken(ical.Quote(key) + " is no part of a rule")
		}
		if given[key] {
			return made, broken(key + " stands twice")
		}
		given[key] = true
		if key != "UNTIL" {
			kept = append(kept, part)
			continue
		}
		until, err := r.in.Moment(ical.Property{Line: p.Line, Name: "UNTIL"}, value, start.Clock)
		if err != nil {
			return made, err
		}
		made.until = &until
	}
	read, err := rrule.StrToROption(strings.Join(kept, ";"))
	if err != nil {
		return made, broken(err.Error())
	}
	o, reason := sound(*read, given, start)
	if reason != "" {
		return made, broken(reason)
	}
	if _, err := rrule.NewRRule(o); err != nil {
		return made, broken(err.Error())
	}
	made.option = o
	return made, nil
}

// sound returns a rule of an event that starts at start as the library can take it,
// or why it cannot; given are its parts.
func sound(o rrule.ROption, given map[string]bool, start ical.Moment) (made rrule.ROption, reason string) {
	for key := range given {
		if with := ruleParts[key]; with != nil && !slices.Contains(with, o.Freq) {
			return o, key + " does not go with FREQ=" + o.Freq.String()
		}
	}
	switch {
	case given["INTERVAL"] && (o.Interval < 1 || o.Interval > mostInterval):
		return o, "INTERVAL must be from 1 to 1000000"
	case given["COUNT"] && o.Count < 1:
		return o, "COUNT must be at least 1"
	case start.Date && o.Freq > rrule.DAILY:
		return o, "DTSTART is a date, which cannot repeat within a day"
	}
	o.Interval = max(1, o.Interval)
	if start.Date { // "MUST be ignored", 3.3.10
		o.Byhour, o.Byminute, o.Bysecond = nil, nil, nil
	}
	for _, weekday := range o.Byweekday {
		n := max(weekday.N(), -weekday.N())
		weeks := 0
		switch {
		case o.Freq == rrule.MONTHLY, o.Freq == rrule.YEARLY && given["BYMONTH"]:
			weeks = 5
		case o.Freq == rrule.YEARLY && !given["BYWEEKNO"]:
			weeks = 53
		}
		if n > weeks {
			return o, "BYDAY counts weekdays that are not there, or where nothing is counted"
		}
	}
	for _, list := range []*[]int{
		&o.Bysecond, &o.Byminute, &o.Byhour, &o.Bymonth, &o.Bymonthday, &o.Byyearday, &o.Byweekno, &o.Bysetpos,
	} {
		// A value twice would be an instance twice.
		slices.Sort(*list)
		*list = slices.Compact(*list)
	}
	slices.SortFunc(o.Byweekday, func(a, b rrule.Weekday) int { return cmp.Or(a.Day()-b.Day(), a.N()-b.N()) })
	o.Byweekday = slices.Compact(o.Byweekday)
	if max(1, len(o.Byhour))*max(1, len(o.Byminute))*max(1, len(o.Bysecond)) > mostTimes {
		return o, "it names more than 1440 times of day"
	}
	o.Dtstart = start.Wall
	return o, ""
}

// ends reports whether m lies after the rule's UNTIL.
func (u rule) ends(m ical.Moment) bool {
	switch {
	case u.until == nil:
		return false
	case u.until.Date:
		return !m.Wall.Before(u.until.Wall.Add(day))
	}
	return m.At.After(u.until.At)
}

// instances returns those of a rule from early to late on the clock's face, each
// as long as first. Rules are worked out on the face of the clock and each face
// then read as RFC 5545 3.3.5 reads a time, so that 09:00 stays 09:00 across a
// change of the clock.
func (r *Reader) instances(u rule, first ical.Instance, early, late time.Time) ([]ical.Instance, error) {
	var found []ical.Instance
	left := u.option.Count
	each := func(wall time.Time) (more bool, err error) {
		if wall.Before(first.Wall) {
			return true, nil
		}
		m := ical.On(wall, first.Clock, first.Date)
		if wall.After(late) || u.ends(m) {
			return false, nil
		}
		if !wall.Before(early) {
			if len(found) == mostInstances {
				return false, r.in.Pass(u.line, "drop that event from the file, or make it repeat less often",
					"%s repeats too often: more than 10000 times in the time planned for", u.name)
			}
			found = append(found, ical.Instance{Moment: m, Length: first.Length})
		}
		left--
		return left != 0, nil
	}
	if first.Wall.After(late) {
		return nil, nil
	}
	var falls bool
	var err error
	o, start := leap(u.option, first.Wall, early)
	if o.Freq > rrule.DAILY {
		falls, err = r.withinDays(o, start, late, u.line, each)
	} else {
		falls, err = r.walk(o, start, late, u.line, each)
	}
	if err == nil && !falls {
		err = r.in.Fail(u.line, "", "%s never falls on any date", u.name)
	}
	return found, err
}

// ruleUnits are the frequencies that are as long every time on the clock's face.
var ruleUnits = map[rrule.Frequency]time.Duration{
	rrule.WEEKLY: 7 * day, rrule.DAILY: day, rrule.HOURLY: time.Hour,
	rrule.MINUTELY: time.Minute, rrule.SECONDLY: time.Second,
}

// toil counts work, in days looked at.
func (r *Reader) toil(work, line int) error {
	if r.work += work; r.work > mostWork {
		return r.in.Pass(line, "drop what repeats by the minute or with a count since long ago, or "+ical.Fewer,
			"up to this line repeating events take more than %d steps, the most that are worked out", mostWork)
	}
	return nil
}

// leap returns a rule and a start as near before early as give the same times from
// early on, so that an old one is not walked through.
func leap(o rrule.ROption, start, early time.Time) (rrule.ROption, time.Time) {
	if o.Count > 0 {
		return o, start
	}
	if unit, fixed := ruleUnits[o.Freq]; fixed {
		// In seconds: a Duration ends at 292 years.
		step := int64(unit/time.Second) * int64(o.Interval)
		if n := (early.Unix()-start.Unix())/step - 1; n > 0 {
			start = time.Unix(start.Unix()+n*step, 0).UTC()
		}
		return o, start
	}
	months := o.Interval
	if o.Freq == rrule.YEARLY {
		months *= 12
	}
	n := (monthOf(early)-monthOf(start))/months - 1
	if n <= 0 {
		return o, start
	}
	// Its day may not be in that month, so what the rule takes of it is written down.
	if len(o.Byweekno)+len(o.Byyearday)+len(o.Bymonthday)+len(o.Byweekday) == 0 {
		o.Bymonthday = []int{start.Day()}
		if o.Freq == rrule.YEARLY && len(o.Bymonth) == 0 {
			o.Bymonth = []int{int(start.Month())}
		}
	}
	month := time.Month(1)
	if o.Freq == rrule.MONTHLY {
		month = start.Month()
	}
	hour, minute, second := start.Clock()
	return o, time.Date(start.Year(), month+time.Month(n*months), 1, hour, minute, second, 0, time.UTC)
}

// monthOf counts months.
func monthOf(t time.Time) int { return 12*t.Year() + int(t.Month()) }

// period is how many days lie between the periods of a rule of days or longer, and
// the work to look at one of them.
func period(o rrule.ROption) (days, work int) {
	length := map[rrule.Frequency]int{rrule.YEARLY: 365, rrule.MONTHLY: 30, rrule.WEEKLY: 7, rrule.DAILY: 1}[o.Freq]
	// The library goes through the lists for each day, and through the days for each
	// position.
	lists := len(o.Bymonth) + len(o.Bymonthday) + len(o.Byyearday) + len(o.Byweekno) + len(o.Byweekday)
	return o.Interval * length, length * (1 + lists/4 + len(o.Bysetpos))
}

// walk gives the times of a rule of days or longer, in order and from start on,
// to each, until that has enough. It reports whether there was any.
//
// The library looks for a rule that never falls, such as 30 February, up to the
// year 9999. The calendar repeats after 400 years, weekdays included, so the rule
// is walked as late as there is room for.
func (r *Reader) walk(
	o rrule.ROption, start, late time.Time, line int, each func(time.Time) (more bool, err error),
) (falls bool, err error) {
	if err := r.toil(ruleWork, line); err != nil {
		return false, err
	}
	const cycle = 400
	later := max(0, (9998-late.Year())/cycle) * cycle
	o.Dtstart = start.AddDate(later, 0, 0)
	o.Until = time.Date(9999, 12, 31, 0, 0, 0, 0, time.UTC) // each knows when to stop
	o.Count = 0
	rules, err := rrule.NewRRule(o)
	if err != nil {
		return false, err
	}
	next := rules.Iterator()
	days, work := period(o)
	seen := -1 // the period that was looked at last
	for {
		at, ok := next()
		if !ok {
			return falls, nil
		}
		falls = true
		passed := int((at.Unix()-o.Dtstart.Unix())/86400) / days
		if err := r.toil(timeWork+(passed-seen)*work, line); err != nil {
			return true, err
		}
		seen = passed
		if more, err := each(at.AddDate(-later, 0, 0)); err != nil || !more {
			return true, err
		}
	}
}

// withinDays gives the times of a rule of hours, minutes or seconds. The library
// has the days; within them it would step for ever where interval and times of
// day never meet, so the steps are taken here.
func (r *Reader) withinDays(
	o rrule.ROption, start, late time.Time, line int, each func(time.Time) (more bool, err error),
) (falls bool, err error) {
	step := int64(ruleUnits[o.Freq]/time.Second) * int64(o.Interval)
	in := func(list []int, value int) bool { return len(list) == 0 || slices.Contains(list, value) }
	or := func(expands bool, list []int, value int) []int {
		if expands && len(list) > 0 {
			return list
		}
		return []int{value}
	}
	days := rrule.ROption{
		Freq: rrule.DAILY, Interval: 1,
		Bymonth: o.Bymonth, Bymonthday: o.Bymonthday, Byyearday: o.Byyearday, Byweekday: o.Byweekday,
	}
	return r.walk(days, start.Truncate(day), late, line, func(today time.Time) (bool, error) {
		at := start.Unix()
		if behind := today.Unix() - at; behind > 0 {
			at += (behind + step - 1) / step * step
		}
		for ; at < today.Add(day).Unix(); at += step {
			if err := r.toil(stepWork, line); err != nil {
				return false, err
			}
			hour, minute, second := time.Unix(at, 0).UTC().Clock()
			if !in(o.Byhour, hour) ||
				o.Freq >= rrule.MINUTELY && !in(o.Byminute, minute) ||
				o.Freq == rrule.SECONDLY && !in(o.Bysecond, second) {
				continue
			}
			for _, minute := range or(o.Freq == rrule.HOURLY, o.Byminute, minute) {
				for _, second := range or(o.Freq < rrule.SECONDLY, o.Bysecond, second) {
					wall := today.Add(time.Duration(hour*3600+minute*60+second) * time.Second)
					if err := r.toil(timeWork, line); err != nil {
						return false, err
					}
					if more, err := each(wall); err != nil || !more {
						return false, err
					}
				}
			}
		}
		return true, nil
	})
}
