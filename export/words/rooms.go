package words

import (
	"math"

	"brothrun/stock/chill"
	"brothrun/stock/freezedry"
	"brothrun/stock/kettle"
	"brothrun/stock/quantity"
)

// chillSteps is what to do, by single method.
var chillSteps = map[chill.Method]string{
	chill.Fridge:         "Set the pot in the fridge on a rack, lid ajar, with air on all sides and nothing perishable beside it.",
	chill.Counter:        "A pot left in the room stays warm for hours; use another way.",
	chill.Outdoors:       "Set the covered pot on a shaded porch where animals cannot reach it, and look in every hour: the weather decides.",
	chill.Freezer:        "Set the pot in the freezer away from frozen food, and take it out at 41 °F (5 °C) before it freezes at the wall.",
	chill.ColdWater:      "Stand the pot in cold tap water up to the level of the broth. Every 5 minutes at first, every 10 at the latest: stir both, feel the water and change it when it is warm.",
	chill.IceBath:        "Stand the pot in ice and water up to the level of the broth. Every 10 minutes: add ice before the last of it has melted, and stir once.",
	chill.IceBathStirred: "Stand the pot in ice and water up to the level of the broth. Stir broth and bath often, at least every 10 minutes, read the thermometer, and add ice before the last of it has melted.",
	chill.ShallowPans:    "Pour the broth into open pans and set them apart in the fridge; stir each every 10 minutes for the first hour.",
	chill.JarsInFridge:   "Ladle the broth, off the boil, into warm jars that stand on a towel, since cold glass cracks under hot broth. Leave them open or loosely covered and set them on a towel in the fridge, a hand apart, nothing perishable beside them. These jars are not canned: what is to be canned goes back into the pot and is boiled before it is filled. No measurement of jars was found: the time is a guess.",
	chill.IceAdded:       "Stir in ice made from drinking water right after straining, and go on until the last of it has melted. How long that takes is a guess.",
	chill.FrozenBottles:  "Both published trials of ice in a closed vessel in the pot missed the limits, so use another way. As a help beside an ice bath: clean, food-safe bottles of ice, a fifth of the pot full; every 10 minutes: stir, and swap in fresh ones when the ice has gone. The time is a guess.",
}

// tending is what the cook does every ten minutes, by single method.
var tending = map[chill.Method]string{
	chill.Fridge:         "nothing; leave the door shut",
	chill.Counter:        "nothing that would help: use another way",
	chill.Outdoors:       "nothing; look in every hour, and bring it in at 41 °F (5 °C)",
	chill.Freezer:        "nothing; look in every hour, and take it out at 41 °F (5 °C)",
	chill.ColdWater:      "stir broth and water; change the water when it is warm",
	chill.IceBath:        "stir once; add ice before the last of it has melted",
	chill.IceBathStirred: "stir broth and bath; add ice before the last has melted",
	chill.ShallowPans:    "stir each pan, for the first hour",
	chill.JarsInFridge:   "nothing; leave the door shut",
	chill.IceAdded:       "stir until the last of the ice has melted",
	chill.FrozenBottles:  "stir; swap in fresh bottles when their ice has gone",
}

const (
	// thenJars is what jars-in-fridge asks of broth that is no longer hot.
	thenJars = "ladle the broth into jars, leave them open or loosely covered and set them in the fridge, a hand apart. These jars are not canned. No measurement of jars was found: the time is a guess."

	checkChill = " Check with a thermometer: 70 °F (21 °C) within 2 hours of 135 °F (57 °C), 41 °F (5 °C) within 6. " +
		"If it is not at 70 °F by 2 hours, reheat it to 165 °F (74 °C) and start again a faster way."
	stayInIce = " The fridge is too slow for the last part: stay with the ice until 41 °F (5 °C)."
	neverCold = " It will not get to 41 °F (5 °C) this way."
)

// ChillSteps is what a chill asks of the cook.
func ChillSteps(r chill.Result) string {
	first, second := r.Method.Parts()
	text := chillSteps[first]
	if r.Pans > 0 {
		text += Form{}.say(" 13 by 9 in (33 by 23 cm), %v deep: %d.", r.PanDepth, r.Pans)
	}
	if second != "" {
		then := lowerFirst(chillSteps[second])
		if second == chill.JarsInFridge {
			then = thenJars
		}
		// In whole degrees, down rather than up.
		text += Form{}.say(" At %v go on: %s", quantity.Fahrenheit(math.Floor(r.SwitchAt.Fahrenheit()+1e-9)), then)
	}
	if r.Jars > 0 {
		text += Form{}.say(" Jars of %v: %d.", r.JarFill, r.Jars)
	}
	switch {
	case r.StayInIce:
		text += stayInIce
	case r.To41F.Never:
		text += neverCold
	}
	return text + checkChill
}

// EveryTenMinutes says in a few words what a single method asks while it cools;
// nothing for a sequence, which asks first for the one, then for the other.
func EveryTenMinutes(m chill.Method) string { return tending[m] }

func lowerFirst(s string) string {
	b := []byte(s)
	if len(b) > 0 && b[0] >= 'A' && b[0] <= 'Z' {
		b[0] += 'a' - 'A'
	}
	return string(b)
}

// DryingSteps is what freeze-drying asks of the cook.
func DryingSteps(d freezedry.Drying) string {
	spoons := "tablespoons"
	if d.Spoon.Tablespoons == 1 {
		spoons = "tablespoon"
	}
	text := Form{}.say("Skim off all the fat: it does not dry, and turns rancid. No figure was found for how little is little enough. "+
		"Fill the trays level and below the rim, and freeze them solid before the dryer, 24 to 48 h in a home freezer. "+
		"Dry until no spot feels cold or damp. Seal the powder in dry jars, one 300 cc oxygen absorber in each; "+
		"about %.0f g (%d %s; %d to %d, as the powder lies) in a cup of hot water make a cup of broth. "+
		"Freeze-drying does not kill germs: broth made from the powder is fresh food, to be kept cold and eaten soon.",
		d.Spoon.Grams.Grams(), d.Spoon.Tablespoons, spoons, d.Spoon.Fewest, d.Spoon.Most)
	if d.TraysAssumed {
		text += " The trays are assumed, not measured: measure yours."
	}
	return text
}

const measureBoilOff = "measure what your pot boils off in an hour (evaporation in the kitchen file)"

// causes are what makes the estimate uncertain, and what the cook can do about it.
var causes = map[string]struct{ what, measure string }{
	"stillness":  {"how hard it simmers", measureBoilOff},
	"lid":        {"the lid", measureBoilOff},
	"held":       {"what the drained bones hold", "weigh them drained once (held in the kitchen file)"},
	"pot-width":  {"the width of the pot", "measure it{ (--pot-width)}"},
	"below-boil": {"how close to the boil it simmers", measureBoilOff},
	"topped-up":  {"whether it is topped up", "say so{ (--top-up never)}"},
	"given-off":  {"what the bones give off", ""},
	"fill-line":  {"how truly the pot is filled", "measure the water in with a jug{ (--water)}"},
	"displaced":  {"the room the bones take", "measure the water in with a jug{ (--water)}"},
	"lost":       {"what is lost in straining and reheating", ""},
	"fat":        {"the fat", ""},
}

// Cause names what makes the estimate uncertain, and says what the cook can do about
// it; nothing where that is nothing.
func Cause(cause kettle.Cause, f Form) (what, measure string) {
	if cause.Measured {
		return "the boil-off you measured", "measure it over a longer simmer"
	}
	one := causes[cause.Code]
	return one.what, f.flags(one.measure)
}
