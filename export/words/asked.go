package words

import (
	"fmt"
	"time"

	"brothrun/stock/remark"
	"brothrun/timeline"
)

// Asked says back when a run was asked for, in full, since it may have been written in
// words or in figures; nothing where no time was asked for.
func Asked(plan timeline.Plan) string {
	when := plan.Asked
	switch {
	case !when.Start.IsZero():
		return "Begins " + inFull(when.Start)
	case !when.FinishBy.IsZero():
		return "To be done by " + inFull(when.FinishBy)
	case !when.From.IsZero():
		return "Between " + inFull(when.From) + ", and " + inFull(when.Until)
	}
	return ""
}

// inFull writes an instant as one would say it: "Saturday 28 November 2026, 8 in the
// morning". When a morning ends is common practice, no source.
func inFull(t time.Time) string {
	hour, part := t.Hour(), "at night"
	switch {
	case hour >= 17 && hour < 21:
		part = "in the evening"
	case hour >= 12 && hour < 17:
		part = "in the afternoon"
	case hour >= 5 && hour < 12:
		part = "in the morning"
	}
	if hour > 12 {
		hour -= 12
	}
	clock := fmt.Sprintf("%d %s", hour, part)
	switch minute := t.Minute(); {
	case t.Hour() == 12 && minute == 0:
		clock = "at noon"
	case t.Hour() == 0:
		clock = fmt.Sprintf("0:%02d, as the day begins", minute)
	case minute > 0:
		clock = fmt.Sprintf("%d:%02d %s", hour, minute, part)
	}
	if timeline.ComesTwice(t) {
		clock += t.Format(" (MST)")
	}
	return t.Format("Monday 2 January 2006, ") + clock
}

// OnTheClock heads the steps of a plan; a zone that nobody named is told to be, since every
// time goes by it.
func OnTheClock(plan timeline.Plan, place *time.Location, f Form) string {
	if len(remark.Noted(plan.Batch.Assumed, timeline.ZoneAssumed)) > 0 {
		return f.say("Steps, on the ASSUMED clock of %s{ (--zone)}", place.String())
	}
	return "Steps, on the clock of " + place.String()
}
