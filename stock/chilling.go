package stock

import (
	"math"
	"strings"
	"time"

	"brothrun/stock/chill"
	"brothrun/stock/fault"
	"brothrun/stock/kettle"
	"brothrun/stock/quantity"
	"brothrun/stock/remark"
	"brothrun/stock/settle"
)

// PublishedFreezer is the freezer that the published storage times are for: 0 °F
// (-18 °C), USDA; freezerSlack is what a thermometer misreads, 0.5 °C, common
// practice, no source.
var PublishedFreezer = quantity.Fahrenheit(0)

const freezerSlack = 0.5

// freezerHalves is the warming of a freezer that halves how long frozen food keeps its
// quality: 5 °F (2.8 K), from memory of storage trials; 4 to 8 °F for other foods.
const freezerHalves = 5.0

// chill works out how the strained broth is cooled, and refuses what is too slow.
func (p *planner) chill() error {
	b := &p.batch
	around := p.Around
	p.assumed(remark.FridgeAssumed)
	// Less broth than the model knows cools faster than its least.
	pot := chill.Pot{Volume: max(b.Yield.BeforeIce().Likely, 200*quantity.Millilitre), Width: p.Pot.PotWidth}
	p.warmFridge(around)
	p.spoilt()

	proposed, ok, err := chill.Propose(pot, around)
	if err != nil {
		return fault.Of("chill", err, "")
	}
	result := proposed
	if p.Setup.Chill == "" {
		b.Chill.Proposed = true
		if !ok {
			p.refuse(remark.Of(remark.ChillTooSlow, divide(pot, around)).In("none"))
			b.Chill.Verdict = chill.Fail
			return nil
		}
	} else {
		chilled := pot
		chilled.Volume, chilled.Jar = chilled.Volume+b.Yield.IceMelted, p.ChillJar()
		if result, err = chill.Cool(chilled, around, p.Setup.Chill); err != nil {
			return fault.Of("chill", err, "")
		}
	}
	p.take(result, around)
	switch {
	case p.came != nil && p.came.Cooled:
		b.Chill.Passes = true
	case result.Verdict == chill.Fail && ok:
		use := remark.Of(remark.ChillTooSlow, proposed.Method, proposed.Method,
			chillTimes(proposed.To70F, proposed.To41F)).In("use")
		p.refuse(remark.Of(remark.ChillTooSlow, tooSlow(result), use))
	case result.Verdict == chill.Fail:
		p.refuse(remark.Of(remark.ChillTooSlow, tooSlow(result), divide(pot, around)))
	case result.Verdict == chill.Narrow && p.ice > 0 && b.Chill.To41F == b.Chill.To70F:
		p.warn(remark.Of(remark.ChillNarrow, b.Chill.To41F).In("melts"))
	case result.Verdict == chill.Narrow:
		p.warn(remark.Of(remark.ChillNarrow, chillTimes(b.Chill.To70F, b.Chill.To41F)))
	}
	return nil
}

// take puts a chill's result into the batch.
func (p *planner) take(result chill.Result, around chill.Surroundings) {
	b := &p.batch
	b.Chill.Method = result.Method
	b.Chill.To70F, b.Chill.To41F = result.To70F, result.To41F
	b.Chill.SlowTo70F, b.Chill.SlowTo41F = result.SlowTo70F, result.SlowTo41F
	b.Chill.HandsOn = result.Attended
	// What needs no hands, or never gets there, is looked after all the same,
	// unless the fridge does it.
	if result.Attended == (quantity.Band[time.Duration]{}) && !result.Method.EndsInFridge() {
		b.Chill.Watched = true
		b.Chill.HandsOn = watched(result)
	}
	b.Chill.Passes, b.Chill.Verdict = result.Verdict != chill.Fail, result.Verdict
	b.Chill.Ice, b.Chill.Result = result.Ice, result
	b.Chill.IceToHave = result.IceToHave.Up(b.Units)
	if p.ice > 0 {
		b.Chill.Ice, b.Chill.IceToHave = p.ice, p.ice // measured, as it becomes broth
	}
	if !b.Chill.Passes {
		return // what it asks for and warms does not matter any more
	}
	if p.ice > 0 {
		b.Chill.Notes = append(b.Chill.Notes, remark.Of(remark.IceCounted, b.Yield.IceMelted))
	}
	if strings.HasPrefix(string(b.Chill.Method), string(chill.ColdWater)) && !p.TapGiven {
		p.assume(remark.Of(remark.TapAssumed, around.Tap))
	}
	if other, used, warm := OtherFood(result.Other); warm {
		p.warn(other)
	} else if used {
		b.Chill.Notes = append(b.Chill.Notes, other)
	}
}

// warmFridge refuses to hold broth in a fridge that is too warm.
func (p *planner) warmFridge(around chill.Surroundings) {
	if around.Fridge > settle.WarmestFridge {
		p.refuse(remark.Of(remark.FridgeTooWarm, settle.FridgePast(around.Fridge), settle.WarmestFridge))
	}
}

// tooSlow says why a chill fails.
func tooSlow(r chill.Result) remark.Note {
	if r.To70F.Within(chill.WithinTo70F) && r.To41F.Within(chill.WithinTo41F) {
		return remark.Of(remark.ChillTooSlow, r.Method).In("trials")
	}
	return remark.Of(remark.ChillTooSlow, r.Method, chillTimes(r.To70F, r.To41F), quantity.Fahrenheit(135)).In("slow")
}

// chillTimes is the clause of "1 h 2 min to 70 °F (21 °C) and 3 h to 41 °F (5 °C)".
func chillTimes(to70F, to41F chill.Reach) remark.Note {
	return remark.Of(remark.ChillTooSlow, to70F, quantity.Fahrenheit(70), to41F, quantity.Fahrenheit(41)).In("times")
}

// mostPots is into how many pots a batch is divided at most before that is no help.
const mostPots = 12

// divide says what to do with a pot that no method cools in time with margin.
func divide(pot chill.Pot, around chill.Surroundings) remark.Note {
	instead := remark.Of(remark.ChillTooSlow).In("less")
	for n := 2; n <= mostPots; n++ {
		part := chill.Pot{Volume: pot.Volume / quantity.Volume(n)}
		part.Width = kettle.PotWidth(part.Volume)
		if r, ok, err := chill.Propose(part, around); err == nil && ok {
			instead = remark.Of(remark.ChillTooSlow, n, part.Volume, r.Method).In("divide")
			break
		}
	}
	first, second := quantity.Fahrenheit(70), quantity.Fahrenheit(41)
	return remark.Of(remark.ChillTooSlow, pot.Volume, pot.Width, first, second, instead).In("one-pot")
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

// TooWarm reports whether a freezer is warmer than the published times are for.
func TooWarm(freezer quantity.Temperature) bool {
	return freezer.Celsius() > PublishedFreezer.Celsius()+freezerSlack
}

// frozenKeeps is how long frozen broth keeps its taste in a freezer: as published at
// 0 °F and below, and in a warmer one half as long for every freezerHalves.
func frozenKeeps(freezer quantity.Temperature, published Keeps) Keeps {
	if !TooWarm(freezer) {
		return published
	}
	over := freezer.Fahrenheit() - PublishedFreezer.Fahrenheit()
	days := float64(published.Years*365 + published.Months*30 + published.Days)
	return Keeps{Days: int(days * math.Exp2(-over/freezerHalves))}
}

// warmFreezer warns of a freezer in which broth keeps shorter than is published, or
// freezes more slowly.
func (p *planner) warmFreezer() {
	b := &p.batch
	frozen, _ := b.Holding(Frozen)
	if published, _ := HoldingOf(Frozen); b.Leftover.Splash || frozen.Least == published.Least {
		return
	}
	switch b.Leftover.Route {
	case settle.Freezer:
		p.warn(remark.Of(remark.FreezerWarm, *b.Freezer, PublishedFreezer, frozen.Least))
	case settle.FreezeDry:
		p.warn(remark.Of(remark.FreezerWarm, *b.Freezer, PublishedFreezer).In("trays"))
	}
}

// OtherFood says what the other food in the fridge or freezer would feel; used is false
// for a method that uses neither. warm reports whether that is a danger to it.
func OtherFood(w chill.Warming) (other remark.Note, used, warm bool) {
	limit := quantity.Fahrenheit(41)
	other = remark.Of(remark.FridgeWarms, w.Peak, w.SlowPeak)
	switch {
	case w.In == "":
		return remark.Note{}, false, false
	case w.In == chill.Freezer && w.SlowPeak > settle.WarmestFreezer:
		return other.In("thaws"), true, true
	case w.In == chill.Freezer:
		return other.In("freezer"), true, false
	case w.SlowPeak <= limit:
		return other, true, false
	}
	likely := remark.Of(remark.FridgeWarms, limit, w.Above41F).In("for")
	if w.Above41F < time.Minute {
		likely = remark.Of(remark.FridgeWarms, limit).In("never")
	}
	slow := remark.Of(remark.FridgeWarms, limit, w.SlowAbove41F).In("for")
	return remark.Of(remark.FridgeWarms, w.Peak, likely, w.SlowPeak, slow).In("above"), true, true
}
