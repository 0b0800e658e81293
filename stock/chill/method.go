package chill

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"brothrun/stock/quantity"
)

// Method is a way of cooling a pot. Two methods joined by "+" follow one
// another: the first until the broth is at SwitchTemperature, then the second.
type Method string

// The methods.
const (
	Fridge         Method = "fridge"           // the pot as it is, in still fridge air
	Counter        Method = "counter"          // the pot left in the room
	Outdoors       Method = "outdoors"         // the pot on a cold porch
	Freezer        Method = "freezer"          // the pot in still freezer air
	ColdWater      Method = "cold-water"       // tap water round the pot, renewed before it warms
	IceBath        Method = "ice-bath"         // ice and water round the pot, ice always floating
	IceBathStirred Method = "ice-bath-stirred" // the same, broth and bath stirred
	ShallowPans    Method = "shallow-pans"     // 2 in deep open pans in the fridge
	IceAdded       Method = "ice-added"        // part of the measured water, stirred in as ice
	FrozenBottles  Method = "frozen-bottles"   // clean bottles of ice standing in the broth

	ColdWaterThenFridge         Method = "cold-water+fridge"
	ColdWaterThenIceBathStirred Method = "cold-water+ice-bath-stirred"
	IceBathThenFridge           Method = "ice-bath+fridge"
	IceBathStirredThenFridge    Method = "ice-bath-stirred+fridge"
	IceAddedThenFridge          Method = "ice-added+fridge"
	FrozenBottlesThenFridge     Method = "frozen-bottles+fridge"
)

// Methods returns every method Cool knows, single ones first.
func Methods() []Method {
	return []Method{
		Fridge, Counter, Outdoors, Freezer, ColdWater, IceBath, IceBathStirred, ShallowPans, IceAdded, FrozenBottles,
		ColdWaterThenFridge, ColdWaterThenIceBathStirred, IceBathThenFridge, IceBathStirredThenFridge,
		IceAddedThenFridge, FrozenBottlesThenFridge,
	}
}

// easiest lists what Propose may answer, least work first. Left out are the
// counter, which no rule allows; a still ice bath, because the published advice
// stirs and water near 4 °C hardly convects; and ice added and frozen bottles,
// whose times are guesses. Cold water first comes before ice alone because it
// leaves a fifth of the ice to be bought and carried.
var easiest = [...]Method{
	Fridge, Outdoors, Freezer, ColdWater, ColdWaterThenFridge, IceBathThenFridge, IceBathStirredThenFridge,
	ColdWaterThenIceBathStirred, IceBathStirred, ShallowPans,
}

// ParseMethod returns the method written as text, such as "ice-bath" or
// "ice-bath-stirred+fridge"; upper case and surrounding blanks do not matter.
// Any other text is an error that lists the methods.
func ParseMethod(text string) (Method, error) {
	m := Method(strings.ToLower(strings.TrimSpace(text)))
	if !slices.Contains(Methods(), m) {
		names := make([]string, 0, len(Methods()))
		for _, known := range Methods() {
			names = append(names, string(known))
		}
		return "", fmt.Errorf("chill method %q is not known: use one of %s", text, strings.Join(names, ", "))
	}
	return m, nil
}

// parts splits a sequence; a single method has no second part.
func (m Method) parts() (first, second Method) {
	a, b, _ := strings.Cut(string(m), "+")
	return Method(a), Method(b)
}

// needsOutdoors reports whether m cannot be worked out without Surroundings.Outdoors.
func (m Method) needsOutdoors() bool { return m == Outdoors }

// side picks one end of an uncertain heat flow.
type side int

const (
	slow side = iota
	likely
	fast
	sides
)

// coefficients is an overall heat transfer coefficient, slow, likely and fast.
type coefficients [sides]quantity.HeatTransferCoefficient

// Overall heat transfer coefficients from broth to surroundings, W/(m²·K).
// Sources, by tag: [HT] free convection (Churchill-Chu) and radiation worked out
// for a pot side 0.25 m high, [REP] coefficients backed out of home brewers'
// reports of wort cooled in ice, pot sizes assumed.
var (
	// [HT] convection 5.9 at a 57 °C wall falling to 3.9 at 15 °C, with radiation
	// 7–11 in all at 57 °C. The slow side is the bright pot at 15 °C: 3.9 + 1.5.
	stillAir = coefficients{5.5, 8, 11}
	// From still air to a light wind; 25 is where textbooks start forced
	// convection of gases (Çengel, course note). The likely value is a guess.
	porchAir = coefficients{5.5, 10, 25}
	// [HT] water film 900 inside and 330–500 outside give 200–250; [REP] 150–240.
	// The slow side is a guess below both: near 4 °C water hardly expands, so the
	// last degrees convect little.
	stillWater = coefficients{100, 150, 250}
	// [REP] at least 320 with both sides stirred. The slow side is the still bath's
	// likely figure, for a cook who stirs every 10 minutes only; the fast side is a
	// guess.
	stirredWater = coefficients{150, 350, 500}
	// A guess, wide: bottle walls and the melted layer inside hinder the heat, and
	// the bottles' own area is not known, so the pot's stands for it.
	bottles = coefficients{20, 60, 150}
)

// iceBathTemperature is what a bath with floating ice holds at the pot's wall:
// a degree above melting, an assumption, no source.
var iceBathTemperature = quantity.Celsius(1)

// melting is how long stirred-in ice takes to melt and bring the broth down,
// by side: a guess, no source.
var melting = [sides]time.Duration{30 * time.Minute, 15 * time.Minute, 10 * time.Minute}

// medium is what takes the heat from the broth.
type medium struct {
	temperature quantity.Temperature
	overall     coefficients
	pans        bool // poured out 2 in deep instead of left in the pot
	attended    bool // the cook stirs, renews or empties something
	ice         bool // the heat goes into ice outside the broth
	melts       bool // the ice is stirred into the broth itself
	guessed     bool // no measurement stands behind the time
}

// medium returns what a single method cools with. m must be a known single method.
func (m Method) medium(around Surroundings) medium {
	switch m {
	case Fridge:
		return medium{temperature: around.Fridge, overall: stillAir}
	case Counter:
		return medium{temperature: around.Room, overall: stillAir}
	case Outdoors:
		return medium{temperature: *around.Outdoors, overall: porchAir}
	case Freezer:
		return medium{temperature: around.Freezer, overall: stillAir}
	case ColdWater:
		return medium{temperature: around.Tap, overall: stillWater, attended: true}
	case IceBath:
		return medium{temperature: iceBathTemperature, overall: stillWater, attended: true, ice: true}
	case IceBathStirred:
		return medium{temperature: iceBathTemperature, overall: stirredWater, attended: true, ice: true}
	case ShallowPans:
		return medium{temperature: around.Fridge, overall: stillAir, pans: true}
	case IceAdded:
		return medium{temperature: iceBathTemperature, attended: true, melts: true, guessed: true}
	default: // FrozenBottles
		return medium{temperature: iceBathTemperature, overall: bottles, attended: true, ice: true, guessed: true}
	}
}

// advice is what to do, by single method.
var advice = map[Method]string{
	Fridge:         "Set the pot in the fridge on a rack, lid ajar, with air on all sides and nothing warm or perishable beside it.",
	Counter:        "A pot left in the room stays warm for hours; use another way.",
	Outdoors:       "Set the covered pot on a shaded porch where animals cannot reach it, and look in every hour: the weather decides.",
	Freezer:        "Set the pot in the freezer away from frozen food, and take it out at 41 °F (5 °C) before it freezes at the wall.",
	ColdWater:      "Stand the pot in cold tap water up to the level of the broth; stir both often, at least every 10 minutes, and change the water as soon as it feels warm.",
	IceBath:        "Stand the pot in ice and water up to the level of the broth, and add ice before the last of it has melted.",
	IceBathStirred: "Stand the pot in ice and water up to the level of the broth; stir broth and bath often, at least every 10 minutes, and add ice before the last of it has melted.",
	ShallowPans:    "Pour the broth 2 in (5 cm) deep into open pans and set them apart in the fridge.",
	IceAdded:       "Leave this much of the measured water out of the pot, and stir it in as ice, made from drinking water, right after straining. How long it takes to melt is a guess.",
	FrozenBottles:  "Stand clean, food-safe bottles of ice in the broth; stir every 10 minutes and swap in fresh ones when the ice has gone. The time is a guess.",
}

const (
	thenAt70 = " At 70 °F (21 °C) go on: "
	check    = " Check with a thermometer: 70 °F (21 °C) within 2 hours of 135 °F (57 °C), 41 °F (5 °C) within 6. " +
		"If it is not at 70 °F by 2 hours, reheat it to 165 °F (74 °C) and start again a faster way."
	stayInIce = " The fridge is too slow for the last part: stay with the ice until 41 °F (5 °C)."
	neverCold = " It will not get to 41 °F (5 °C) this way."
)
