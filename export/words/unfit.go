package words

import (
	"fmt"
	"strings"
	"time"

	"brothrun/timeline"
)

// nearby writes a time as the cook would say it: with its date where the weekday
// might be taken for that of another week than the one asked for.
func nearby(asked timeline.When, t time.Time) string {
	near := asked.Start
	for _, other := range []time.Time{asked.FinishBy, asked.From} {
		if other.After(near) {
			near = other
		}
	}
	if away := t.Sub(near); away < -2*24*time.Hour || away > 5*24*time.Hour {
		return timeline.Clock(t, dayAndClock)
	}
	return timeline.Clock(t, clock)
}

// Unfit says why a run finds no place on the calendar.
func Unfit(e *timeline.Unfit, f Form) string {
	reason := unfit(e, f)
	if e.Name != "" {
		return e.Name + ": " + reason
	}
	return reason
}

func unfit(e *timeline.Unfit, f Form) string {
	at := func(t time.Time) string { return nearby(e.Asked, t) }
	switch e.Kind {
	case timeline.DayTooShort:
		what := "the first day, from its first step to the end of the attended chill,"
		if e.From.Role != 0 {
			what = f.say("what follows without a pause, from %s to %s,", part(e.From), part(e.To))
		}
		return f.say("%s takes %v; your awake hours %v hold %v", what, e.Takes, e.Hours, e.Hours.Length())
	case timeline.DryerTaken:
		return f.say("the freeze dryer is booked, or nobody is there to load it, for the next %d days", e.Days)
	}

	asked := f.say("the run does not fit between %s and %s", at(e.Asked.From), at(e.Asked.Until))
	switch {
	case !e.Asked.Start.IsZero():
		asked = f.say("a start at %s does not fit", at(e.Asked.Start))
	case !e.Asked.FinishBy.IsZero():
		asked = f.say("nothing fits in the %d days before %s", e.Days, at(e.Asked.FinishBy))
	}
	switch e.Kind {
	case timeline.EndsTooLate:
		return f.say("%s: begun as early as it can, it ends at %s if every step runs long", asked, at(e.At))
	case timeline.WaitsTooLong:
		return f.say("%s: the broth would wait longer than %v before %s, and %s",
			asked, e.Takes, part(e.Of), reasons[timeline.KeepsThreeDays])
	case timeline.EndsInTheNight:
		return f.say("%s: preparing to the end of the attended chill takes %v and would end at %s; your awake "+
			"hours are %v", asked, e.Takes, at(e.At), e.Hours)
	case timeline.BlockedFirstDay:
		return f.say("%s: %s falls between %s and %s, if steps run long, and %s",
			asked, part(e.Of), at(e.FromTime), at(e.UntilTime), Why(e.Why, f))
	case timeline.NoPlaceFor:
		return f.say("%s: there is no place for %s; %s", asked, part(e.Of), Why(e.Why, f))
	}
	return fmt.Sprintf("%s: %s", asked, Why(e.Why, f))
}

// typed is a time as the flag of a run takes it or, of several, its file; nothing of one
// that the clock shows twice, which would be taken for the other.
func typed(e *timeline.Unfit, flag string, t time.Time, f Form) string {
	switch {
	case !f.Flags || timeline.ComesTwice(t):
		return ""
	case e.Name != "":
		return fmt.Sprintf(` (%s = "%s" in its file)`, strings.ReplaceAll(flag, "-", "_"), t.Format(timeline.Typed))
	}
	return fmt.Sprintf(` (--%s "%s")`, flag, t.Format(timeline.Typed))
}

// WayOut says what would make a run fit.
func WayOut(e *timeline.Unfit, way timeline.WayOut, f Form) string {
	at := nearby(e.Asked, way.At)
	switch way.Kind {
	case timeline.StartBy:
		key := "start"
		if !e.Asked.From.IsZero() {
			key = "between"
		}
		return "start by " + at + typed(e, key, way.At, f)
	case timeline.StartFrom:
		return f.say("start at %s or later%s", at, typed(e, "start", way.At, f))
	case timeline.FinishBy:
		return "finish by " + at + typed(e, "and", way.At, f)
	case timeline.FinishByLater:
		return f.say("finish by %s instead%s", at, typed(e, "finish-by", way.At, f))
	case timeline.LeaveAlone:
		return f.flags("let the simmer go on with nobody up or at home, if its heat may run unattended{ " +
			"(--unattended)}")
	case timeline.UpUntil:
		return f.say("be up until %s%s", timeline.ClockFace(way.Hours.Until), f.flag(" (--awake %v)", way.Hours))
	case timeline.UpFrom:
		return f.say("be up from %s%s", timeline.ClockFace(way.Hours.From), f.flag(" (--awake %v)", way.Hours))
	case timeline.BeAtHome:
		text := f.say("be at home %s to %s", nearby(e.Asked, way.Span.From), nearby(e.Asked, way.Span.To))
		if way.Span.What != "" {
			text += " (" + way.Span.What + ")"
		}
		return text
	case timeline.ShorterSimmer:
		return f.say("shorten the simmer to %v", way.Takes)
	case timeline.CannerAnytime:
		return f.say("let the canner run at other hours than %v, or indoors", way.Hours)
	case timeline.FreezeAll:
		return f.flags("freeze the broth instead of canning it{ (--jars quart=0,pint=0)}")
	case timeline.FewerLoads:
		loads := "1 load"
		if way.Loads > 1 {
			loads = f.say("%d loads", way.Loads)
		}
		return f.say("can %s and freeze the rest%s", loads, f.flag(" (--jars %s)", way.Jars))
	case timeline.FreeTheDryer:
		return f.say("free the dryer for %v", way.Takes)
	case timeline.ThawBefore:
		return f.say("thaw it in the fridge, %v before{ (--thaw fridge)}", way.Takes)
	case timeline.LeftoverFrozen:
		return f.flags("send the leftover to the freezer{ (--route freezer)}")
	}
	return "plan it for other days, or in a smaller pot"
}
