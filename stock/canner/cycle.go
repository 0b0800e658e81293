package canner

import (
	"time"

	"brothrun/stock/quantity"
)

// Phases is one load from lid on to lid off, in order.
type Phases struct {
	HeatUp, Vent, Pressurise, Process, Depressurise, Wait quantity.DurationBand
}

// Total returns the whole cycle.
func (p Phases) Total() quantity.DurationBand {
	return p.HeatUp.Plus(p.Vent).Plus(p.Pressurise).Plus(p.Process).Plus(p.Depressurise).Plus(p.Wait)
}

// Cycle returns the phases of one load. quartClass says that the jars take the
// quart time; process is the tested time at pressure.
//
// Spans are the published ones for a heavy-walled canner [EXT]: 12 to 15 min to
// steady steam, 10 min vent, 3 to 5 min to pressure, 30 min to zero with pints
// and 45 min with quarts, all but the vent lengthened by a small burner. The
// wait after zero is 10 min by the 2015 revision of the USDA guide (from
// memory; older texts say 2 min). None of them is a reason to cut one short.
func Cycle(quartClass bool, process time.Duration) Phases {
	depressurise := 30 * time.Minute
	if quartClass {
		depressurise = 45 * time.Minute
	}
	return Phases{
		HeatUp:       quantity.DurationBand{Low: 12 * time.Minute, Likely: 14 * time.Minute, High: 15 * time.Minute},
		Vent:         quantity.Exactly(10 * time.Minute),
		Pressurise:   quantity.DurationBand{Low: 3 * time.Minute, Likely: 4 * time.Minute, High: 5 * time.Minute},
		Process:      quantity.Exactly(process),
		Depressurise: quantity.Exactly(depressurise),
		Wait:         quantity.Exactly(10 * time.Minute),
	}
}
