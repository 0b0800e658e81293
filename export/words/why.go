package words

import (
	"fmt"
	"strings"

	"brothrun/timeline"
)

// reasons are the reasons why one step follows another as it does.
var reasons = map[timeline.Reason]string{
	timeline.RawBones:       "raw bones do not stand about",
	timeline.ThawedCooks:    "what thawed in water is cooked at once",
	timeline.ChillAtOnce:    "chilling starts as soon as it is strained",
	timeline.MeatWithin2H:   "cooked meat is not out of the fridge for more than 2 h",
	timeline.HandsFree:      "once the broth needs no hands; the meat waits cold",
	timeline.MeatKeeps:      "cooked meat keeps 3 days cold",
	timeline.UntilSkimmed:   "after the chill, until the skimming",
	timeline.UntilPacked:    "after the chill, until it is packed",
	timeline.ColdThrough:    "the broth has to be cold through",
	timeline.ColdAndFirm:    "the broth has to be cold through and its fat firm",
	timeline.KeepsThreeDays: "cold broth keeps 3 days",
	timeline.StaysCold:      "what is not canned stays cold",
	timeline.UntilWatched:   "until somebody can stay by the canner",
	timeline.BrothHeats:     "while the broth heats",
	timeline.FullBoil:       "jars are filled at a full boil",
	timeline.HotJars:        "into the canner while the jars are hot",
	timeline.JarsNeverCool:  "full jars never stand and cool, so each load waits for the one before",
	timeline.JarsRest:       "the jars rest 12 h first",
	timeline.SealsSet:       "12 to 24 h, so that the seals set",
	timeline.TraysFrozen:    "the trays have to be frozen through",
	timeline.UntilDryerFree: "until the trays are solid and the freeze dryer is free",
	timeline.DryerLoaded:    "as soon as it is loaded",
	timeline.MayBeDry:       "as soon as the dryer may be done",
}

// parts are what steps are called within a sentence.
var parts = map[timeline.Role]string{
	timeline.Thaw:      "thawing",
	timeline.Prepare:   "getting ready",
	timeline.HeatUp:    "heating up",
	timeline.Simmer:    "the simmer",
	timeline.Strain:    "straining",
	timeline.Chill:     "the chill",
	timeline.Pick:      "picking the meat",
	timeline.Skim:      "skimming",
	timeline.Leftover:  "keeping back the leftover",
	timeline.Pack:      "packing",
	timeline.Reheat:    "the reheat",
	timeline.WashJars:  "washing jars",
	timeline.Fill:      "filling load",
	timeline.Load:      "load",
	timeline.Unload:    "unloading load",
	timeline.CleanUp:   "wiping down",
	timeline.SealCheck: "the seal check",
	timeline.DryLoad:   "loading the freeze dryer",
	timeline.Dry:       "the freeze dryer",
	timeline.DryCheck:  "the check of the dryer",
}

func part(p timeline.Part) string {
	if p.Load > 0 {
		return fmt.Sprintf("%s %d", parts[p.Role], p.Load)
	}
	return parts[p.Role]
}

// Why says what keeps a step where it stands: "you are out Sat 09:00 to Sat 14:00".
// It is empty of a step that nothing holds.
func Why(why timeline.Why, f Form) string {
	reason := reasons[why.Reason]
	switch why.Kind {
	case timeline.Asked:
		return "the start you gave"
	case timeline.SpanBegins:
		return "as early as the span you gave allows"
	case timeline.Morning:
		return "at the time of day the run began, 10:00 at the latest"
	case timeline.Deadline:
		return f.say("as late as an end by %v allows, were every step to run long", why.At)
	case timeline.Ruled:
		return f.say("%s and what it follows leave no room for one another", part(why.Before))
	case timeline.Because:
		return reason
	case timeline.RightAfter:
		return strings.TrimSuffix(f.say("right after %s: %s", part(why.After), reason), ": ")
	case timeline.LongAfter:
		return f.say("%v after %s: %s", why.Gap, part(why.After), reason)
	case timeline.SoonAfter:
		return f.say("%s at most %v after %s: %s", part(why.Before), why.Gap, part(why.After), reason)
	case timeline.ComesAfter:
		return "after " + part(why.After)
	case timeline.ComesBefore:
		return f.say("before %s at %v", part(why.Before), why.At)
	case timeline.Asleep:
		reason = f.say("you are up %v", why.Hours)
	case timeline.OddHours:
		reason = f.say("nobody is asked outside %v where that gains nothing", why.Hours)
	case timeline.Chosen:
		return "on the day you chose"
	case timeline.Shut:
		reason = f.say("the canner may run %v", why.Hours)
	case timeline.Away:
		reason = "you are out " + spanOf(why)
	case timeline.Taken:
		reason = whatIsTaken(why) + " " + spanOf(why)
		if why.Overnight {
			reason += ", and the broth stays in its pot to the last jar"
		}
	}
	if why.So.Role != 0 {
		return f.say("so that %s fits: %s", part(why.So), reason)
	}
	return reason
}

func whatIsTaken(why timeline.Why) string {
	switch {
	case why.What == timeline.Cook:
		return "your hands are full"
	case why.What == timeline.Attention:
		return "a load is in the canner"
	case why.What == timeline.FreezeDryer:
		return "the freeze dryer is taken"
	case why.Places > 1:
		return "the stove has no two places"
	}
	return fmt.Sprintf("the %s is taken", why.What)
}

// spanOf is when something cannot be had, and what for.
func spanOf(why timeline.Why) string {
	from, to := timeline.ClockSpan(why.Span.From, why.Span.To, clock, clock)
	what := why.Span.What
	switch {
	case why.Own:
		what = "this run"
	case why.Span.More:
		what += " and more"
	}
	if what != "" {
		what = " (" + what + ")"
	}
	return from + " to " + to + what
}
