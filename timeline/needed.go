package timeline

import (
	"slices"
	"time"
)

// Day is one day of a plan on which somebody is needed.
type Day struct {
	Spans   []Booking     // with hands on or watching, joined where they meet, in order
	HandsOn time.Duration // of all that
}

// Needed returns the days on which the steps of p that are not over ask for somebody, and
// when: from
// the first that does to the last, split at midnight of p.Location. Pauses under
// shortPause count as within.
func (p Plan) Needed() []Day {
	place := p.Location
	if place == nil {
		place = time.UTC
	}
	attended := joined(p.Steps, shortPause, func(s Step) bool { return s.Kind != Waiting && s.toCome() })
	handsOn := joined(p.Steps, 0, func(s Step) bool { return s.Kind == HandsOn && s.toCome() })
	var days []Day
	for i := 0; i < len(attended); {
		first := attended[i].From.In(place)
		midnight := DayStart(first.Year(), first.Month(), first.Day()+1, place)
		var day Day
		for ; i < len(attended) && attended[i].From.Before(midnight); i++ {
			span := attended[i]
			if span.To.After(midnight) {
				attended[i].From, span.To = midnight, midnight
				day.Spans = append(day.Spans, span)
				break
			}
			day.Spans = append(day.Spans, span)
		}
		for _, span := range handsOn {
			from, to := latestOf(span.From, day.Spans[0].From), span.To
			if to.After(midnight) {
				to = midnight
			}
			day.HandsOn += max(0, to.Sub(from))
		}
		days = append(days, day)
	}
	return days
}

// toCome reports whether a step is not over.
func (s Step) toCome() bool { return s.State == ToCome || s.State == Begun }

// shortPause is a pause that gives nobody their day back. Common practice, no source.
const shortPause = 15 * time.Minute

// joined are the spans of some steps, those with less than pause between them as one.
func joined(steps []Step, pause time.Duration, takes func(Step) bool) []Booking {
	var spans []Booking
	for _, step := range steps {
		if takes(step) {
			spans = append(spans, Booking{From: step.Start, To: step.End})
		}
	}
	slices.SortFunc(spans, func(a, b Booking) int { return a.From.Compare(b.From) })
	var all []Booking
	for _, span := range spans {
		if n := len(all); n > 0 && !span.From.After(all[n-1].To.Add(pause)) {
			all[n-1].To = latestOf(all[n-1].To, span.To)
			continue
		}
		all = append(all, span)
	}
	return all
}
