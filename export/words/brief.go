package words

import (
	"fmt"
	"slices"
	"strings"

	"brothrun/stock/canner"
	"brothrun/stock/quantity"
	"brothrun/timeline"
)

// Brief is Title for a phone that rings: what to do, the number and the minutes stand in
// its first 30 characters. What depends on a reading asks for it first, since the clock
// is a guess: read alone, no title opens a canner or takes a limit as kept.
func Brief(plan timeline.Plan, step timeline.Step, f Form) string {
	return toldOf(&plan, &step, f).brief()
}

func (t told) brief() string {
	b, step := t.b, t.step
	ends := t.ends()
	switch step.Role {
	case timeline.Thaw, timeline.Prepare:
		if ends {
			return "DO NOT START: no safe chill yet"
		}
		if step.Role == timeline.Thaw {
			return t.say("Thaw %s: cold water %v", b.Weight, b.Thaw.Takes.Likely)
		}
	case timeline.HeatUp:
		if step.Pot > 1 {
			return "Fill " + t.pot() + ", heat to a simmer"
		}
		return "Heat " + t.pot() + " to a simmer"
	case timeline.Simmer:
		if b.Pot != "" {
			return t.say("Bubbles? Simmer %v: %s", b.Simmer, t.pot())
		}
		return t.say("Bubbles? Simmer %v", b.Simmer)
	case timeline.Strain:
		if ends {
			return "No safe chill: read first, then strain"
		}
		return t.ifPicked("%s? ", safePoultry) + chillReady(b.Chill) + "? Strain " + t.broth() + t.into()
	case timeline.Pick:
		if step.Cold {
			return t.say("Pick the meat: about %s", b.Meat.Likely)
		}
		return t.say("Pick the meat by %s: %s", t.meatBy(), b.Meat.Likely)
	case timeline.Chill:
		cold, _, _ := strings.Cut(quantity.Fahrenheit(41).Format(t.Units), " ")
		if b.Pot != "" {
			return t.say("Chill %s: %s by 2 h, %s by 6 h (%s)", t.pot(), quantity.Fahrenheit(70), cold, b.Chill.Words())
		}
		return t.say("Chill: %s by 2 h, %s by 6 h (%s)", quantity.Fahrenheit(70), cold, b.Chill.Words())
	case timeline.Skim:
		return t.say("%s or below? Skim the fat", quantity.Fahrenheit(41))
	case timeline.Pack:
		if b.NoFatCap {
			return t.say("%s or below? %s", quantity.Fahrenheit(41), t.leftoverTitle())
		}
	case timeline.BackInFridge:
		return "Broth waits in the fridge"
	case timeline.Reheat:
		return t.briefReheat()
	case timeline.WashJars:
		return "Wash, keep hot: " + t.washList()
	case timeline.Fill:
		if len(step.Loads) > 0 {
			return t.say("Full boil? Fill %d: %s", step.Loads[0].Number, contents(step.Loads))
		}
	case timeline.Load:
		return t.briefLoad()
	case timeline.Unload:
		if len(step.Loads) > 0 {
			return t.say("Zero + %v? Unload %d", canner.Published(false, 0).Wait.Likely, step.Loads[0].Number)
		}
	case timeline.SealCheck:
		return t.briefSeals()
	case timeline.DryLoad:
		return "Frozen solid? Dry" + t.ofBatches(" batch %d of %d", " the trays")
	case timeline.Dry:
		return t.say("Freeze dryer%s: %s", t.ofBatches(" %[1]d", ""), t.firstLook("look %s on"))
	case timeline.DryCheck:
		return "Dry through? Pack" + t.ofBatches(" batch %d of %d", " it")
	}
	return t.title()
}

func (t told) briefReheat() string {
	title := "Reheat to a full boil"
	if loads := t.step.Loads; len(loads) < len(t.b.Loads) {
		title = "Reheat for " + loadNames(loads) + " to a full boil"
	}
	if pots := t.b.PotsToReheat(t.step.Loads); pots > 1 {
		title += fmt.Sprintf(", in %d pots", pots)
	}
	return title
}

// briefLoad keeps pressure and time within what a phone shows. Where it has to be
// looked up which of two pressures it is, neither is shown without the other.
func (t told) briefLoad() string {
	if len(t.step.Loads) == 0 {
		return t.step.ID
	}
	load, at := t.step.Loads[0], "at"
	if t.b.OtherGauge != nil {
		at = "by your gauge:"
	}
	return t.say("Load %d: %v "+at+" %s, %s", load.Number, load.Process, t.b.Pressures(load, quantity.Pressure.Stamped),
		load.Contents())
}

func (t told) briefSeals() string {
	step, which := t.step, ""
	if t.checkedApart() {
		which = ", " + loadNames(step.Loads)
	}
	switch {
	case step.Seals.SaveBy.IsZero():
		return "Late seals" + which + ": throw away any jar not sealed"
	case step.Seals.LookOnly:
		return "Check seals" + which + "; labels can wait"
	}
	return "Check seals" + which + ": rings off, label the jars"
}

// checkedApart reports whether other jars of the session are checked another time.
func (t told) checkedApart() bool {
	return slices.ContainsFunc(t.plan.Steps, func(s timeline.Step) bool {
		return s.Role == timeline.SealCheck && s.Session == t.step.Session && s.ID != t.step.ID
	})
}

// ofBatches says which dryer batch it is, or only where there is one.
func (t told) ofBatches(which, only string) string {
	if t.b.Leftover.Batches == 1 {
		return only
	}
	return fmt.Sprintf(which, t.step.DryerBatch, t.b.Leftover.Batches)
}
