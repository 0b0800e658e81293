package stock

import (
	"fmt"
	"math"
	"strings"
	"time"

	"brothrun/stock/chill"
	"brothrun/stock/kettle"
	"brothrun/stock/quantity"
)

// The refusals that end a plan at the straining: broth that cannot be made cold in
// time, or be kept cold, is not food, so nothing that follows is planned.
const (
	ChillTooSlow  = "chill-too-slow"
	FridgeTooWarm = "fridge-too-warm"
)

// ChillNarrow is the warning of a chill that keeps the limits only if all goes well.
const ChillNarrow = "chill-narrow"

// warmestFridge is the warmest a fridge may be to hold broth: 41 °F (5 °C), FDA Food
// Code 3-501.16(A)(2).
var warmestFridge = quantity.Fahrenheit(41)

// warmestFreezer is the warmest freezer that broth freezes through in: 23 °F (-5 °C),
// from memory: unsalted broth begins to freeze at about -0.4 °C, and a twelfth of its
// water is still liquid at -5 °C.
var warmestFreezer = quantity.Celsius(-5)

// publishedFreezer is the freezer that the published storage times are for: 0 °F
// (-18 °C), USDA; freezerSlack is what a thermometer misreads, 0.5 °C, common
// practice, no source.
var publishedFreezer = quantity.Fahrenheit(0)

const freezerSlack = 0.5

// freezerHalves is the warming of a freezer that halves how long frozen food keeps its
// quality: 5 °F (2.8 K), from memory of storage trials; 4 to 8 °F for other foods.
const freezerHalves = 5.0

// chill works out how the strained broth is cooled, and refuses what is too slow.
func (p *planner) chill() error {
	b := &p.batch
	around := p.Around
	p.assumed("fridge")
	// Less broth than the model knows cools faster than its least.
	pot := chill.Pot{Volume: max(b.Yield.BeforeIce().Likely, 200*quantity.Millilitre), Width: p.Pot.PotWidth}
	p.warmFridge(around)

	proposed, ok, err := chill.Propose(pot, around)
	if err != nil {
		return chillError("chill", err)
	}
	result := proposed
	if p.Setup.Chill == "" {
		b.Chill.Proposed = true
		if !ok {
			p.refuseChill(p.divide(pot, around))
			b.Chill.Verdict = string(chill.Fail)
			return nil
		}
	} else {
		chilled := pot
		chilled.Volume, chilled.Jar = chilled.Volume+b.Yield.IceMelted, p.chillJar()
		if result, err = chill.Cool(chilled, around, p.Setup.Chill); err != nil {
			return chillError("chill", err)
		}
	}
	p.take(result, around)
	switch {
	case result.Verdict == chill.Fail && ok:
		p.refuseChill(fmt.Sprintf("%s Use %s instead (--chill %s): %s.", p.tooSlow(result),
			Chill{Method: string(proposed.Method)}.Words(), proposed.Method, chillTimes(proposed.To70F, proposed.To41F, b.Units)))
	case result.Verdict == chill.Fail:
		p.refuseChill(p.tooSlow(result) + " " + p.divide(pot, around))
	case result.Verdict == chill.Narrow && p.ice > 0 && b.Chill.To41F == b.Chill.To70F:
		p.warn(ChillNarrow, "How long the ice takes to melt, about %s, is a guess; no data: keep a thermometer in the broth, and more ice at hand.", b.Chill.To41F)
	case result.Verdict == chill.Narrow:
		p.warn(ChillNarrow, "This chill keeps the limits only if all goes well (%s): keep a thermometer in it, and ice at hand.",
			chillTimes(b.Chill.To70F, b.Chill.To41F, b.Units))
	}
	return nil
}

// take puts a chill's result into the batch.
func (p *planner) take(result chill.Result, around chill.Surroundings) {
	b, u := &p.batch, p.batch.Units
	b.Chill.Method = string(result.Method)
	b.Chill.To70F, b.Chill.To41F = result.To70F, result.To41F
	b.Chill.SlowTo70F, b.Chill.SlowTo41F = result.SlowTo70F, result.SlowTo41F
	b.Chill.HandsOn = result.Attended
	// What needs no hands, or never gets there, is looked after all the same,
	// unless the fridge does it.
	if result.Attended == (quantity.Band[time.Duration]{}) && !result.Method.EndsInFridge() {
		b.Chill.Watched = true
		b.Chill.HandsOn = watched(result)
	}
	b.Chill.Passes, b.Chill.Verdict = result.Verdict != chill.Fail, string(result.Verdict)
	b.Chill.Ice, b.Chill.Advice = result.Ice, result.Advice
	if p.ice > 0 {
		b.Chill.Ice = p.ice
	}
	if !b.Chill.Passes {
		return // what it asks for and warms does not matter any more
	}
	if p.ice > 0 {
		b.Chill.Advice += fmt.Sprintf(" The ice melts into the broth and is counted as %s of it.", b.Yield.IceMelted.Both(u))
	}
	if strings.HasPrefix(b.Chill.Method, string(chill.ColdWater)) && !p.TapGiven {
		p.assume("tap", "The tap runs at %s or colder. In summer it may not: go to the ice as soon as the broth stops falling, and have two or three times as much of it.",
			around.Tap.Both(u))
	}
	if text, warm := OtherFood(result.Other, u); warm {
		p.warn("fridge-warms", "%s", text)
	} else if text != "" {
		b.Chill.Advice += " " + text
	}
}

// refuseChill adds the refusal of a chill.
func (p *planner) refuseChill(text string) {
	p.batch.Refusals = append(p.batch.Refusals, Note{Code: ChillTooSlow, Text: text + " Nothing after the straining is planned."})
}

// warmFridge refuses to hold broth in a fridge that is too warm.
func (p *planner) warmFridge(around chill.Surroundings) {
	if around.Fridge <= warmestFridge {
		return
	}
	p.batch.Refusals = append(p.batch.Refusals, Note{Code: FridgeTooWarm, Text: fmt.Sprintf(
		"The fridge is at %s, and broth waits in it from the chill to the canner: it has to be at %s or colder. Turn it down, wait a day and read a thermometer in it before you begin. Nothing after the straining is planned.",
		around.Fridge.Both(p.batch.Units), warmestFridge.Both(p.batch.Units))})
}

// tooSlow says why a chill fails.
func (p *planner) tooSlow(r chill.Result) string {
	if r.To70F.Within(chill.WithinTo70F) && r.To41F.Within(chill.WithinTo41F) {
		return fmt.Sprintf("This chill (%s) is not safe: both published trials of ice in a closed vessel in the pot missed the limits.", ChillWords(r.Method))
	}
	return fmt.Sprintf("This chill (%s) is too slow to be safe: %s from %s; the limits are 2 h and 6 h.",
		ChillWords(r.Method), chillTimes(r.To70F, r.To41F, p.batch.Units), quantity.Fahrenheit(135).Both(p.batch.Units))
}

// chillTimes reads "1 h 2 min to 70 °F (21 °C) and 3 h to 41 °F (5 °C)".
func chillTimes(to70F, to41F chill.Reach, u quantity.System) string {
	return fmt.Sprintf("%s to %s and %s to %s", to70F, quantity.Fahrenheit(70).Both(u), to41F, quantity.Fahrenheit(41).Both(u))
}

// mostPots is into how many pots a batch is divided at most before that is no help.
const mostPots = 12

// divide says what to do with a pot that no method cools in time with margin.
func (p *planner) divide(pot chill.Pot, around chill.Surroundings) string {
	u := p.batch.Units
	text := fmt.Sprintf("No way to chill %s of broth in one pot %s wide keeps the limits of 2 h to %s and 6 h to %s with something to spare.",
		pot.Volume.Both(u), pot.Width.Both(u), quantity.Fahrenheit(70).Both(u), quantity.Fahrenheit(41).Both(u))
	for n := 2; n <= mostPots; n++ {
		part := chill.Pot{Volume: pot.Volume / quantity.Volume(n)}
		part.Width = kettle.PotWidth(part.Volume)
		if r, ok, err := chill.Propose(part, around); err == nil && ok {
			return text + fmt.Sprintf(" Divide it between %d pots of %s, and cool each by itself: %s keeps them.", n, part.Volume.Both(u), ChillWords(r.Method))
		}
	}
	return text + " Divide it between more pots, or make less."
}

// watched is how long a pot is looked after that stands in a freezer, on a porch
// or on the counter: until it is cold, or until the rule's 6 h are over.
func watched(r chill.Result) quantity.Band[time.Duration] {
	until := func(reach chill.Reach) time.Duration {
		if !reach.Within(chill.WithinTo41F) {
			return chill.WithinTo41F
		}
		return reach.After
	}
	return quantity.Band[time.Duration]{Low: until(r.To41F), Likely: until(r.To41F), High: until(r.SlowTo41F)}
}

// tooWarm reports whether a freezer is warmer than the published times are for.
func tooWarm(freezer quantity.Temperature) bool {
	return freezer.Celsius() > publishedFreezer.Celsius()+freezerSlack
}

// frozenKeeps is how long frozen broth keeps its taste in a freezer: as published at
// 0 °F and below, and in a warmer one half as long for every freezerHalves.
func frozenKeeps(freezer quantity.Temperature, published Keeps) Keeps {
	if !tooWarm(freezer) {
		return published
	}
	over := freezer.Fahrenheit() - publishedFreezer.Fahrenheit()
	days := float64(published.Years*365 + published.Months*30 + published.Days)
	return Keeps{Days: int(days * math.Exp2(-over/freezerHalves))}
}

// warmFreezer warns of a freezer in which broth keeps shorter than is published, or
// freezes more slowly.
func (p *planner) warmFreezer() error {
	b := &p.batch
	frozen, _ := b.Holding(Frozen)
	if published, _ := HoldingOf(Frozen); b.Leftover.Splash || frozen.Least == published.Least {
		return nil
	}
	given, wanted := b.Freezer.Both(b.Units), publishedFreezer.Both(b.Units)
	switch b.Leftover.Route {
	case "freezer":
		p.warn("freezer-warm", "The freezer is at %s. At %s frozen broth keeps its taste for 2 months, in this one for about %s, as far as is known: turn it down.", given, wanted, frozen.Least)
	case "freeze-dry":
		p.warn("freezer-warm", "The freezer is at %s, and not at %s: trays take longer to freeze than said. Check that they are solid through before they go into the dryer.", given, wanted)
	}
	return nil
}
