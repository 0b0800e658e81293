package canner

import (
	"fmt"
	"time"

	"brothrun/stock/quantity"
)

// heat is one number of the energy of a load, with its spread, unit and source.
type heat struct{ low, likely, high float64 }

// The constants of LoadEnergy. Specific heats are handbook values; what has no
// source is marked, and its spread is wide.
var (
	waterHeat     = heat{4.18, 4.2, 4.25} // kJ/(kg·K), 4 to 121 °C; broth alike
	glassHeat     = heat{0.84, 0.84, 0.84}
	aluminiumHeat = heat{0.90, 0.90, 0.90}

	pintGlass  = heat{0.25, 0.29, 0.33}   // kg a jar; from memory
	quartGlass = heat{0.40, 0.45, 0.50}   // kg a jar; from memory
	pintBroth  = heat{0.38, 0.4265, 0.44} // kg a jar: 14.6 fl oz hot at 1 in headspace; brimful from memory
	quartBroth = heat{0.86, 0.8825, 0.92} // kg a jar: 30.9 fl oz hot; brimful from memory
	potMass    = heat{3.0, 5.0, 7.5}      // kg with lid: thin, heavy, tall and heavy; from memory
	waterMass  = heat{2.4, 2.81, 3.8}     // kg: 3 qt hot, 2 to 3 in (Alaska Extension: 2 to 3 in is about 3 qt)
	waterStart = heat{80, 60, 50}         // °C: warm when the jars go in
	jarStart   = heat{90, 75, 65}         // °C: hot-packed; common practice, no source
	steam      = heat{114.5, 116, 121}    // °C: at pressure, over the tested settings and their altitude bands
	vented     = heat{0.32, 0.43, 0.58}   // kg of steam in 10 min at 1.2, 1.6 and 2.2 kW net
	wallLoss   = heat{7.4, 10, 14}        // W/(m²·K): 9 to 10 gives the published 30 and 45 min to zero
	wallArea   = heat{0.30, 0.33, 0.45}   // m² of wall and lid; derived, tall last
	hob        = heat{0.84, 0.50, 0.40}   // of the fuel reaches the canner: induction, not known, gas (US DOE figures)
)

const (
	boiling        = 100.0  // °C: altitude takes off a few, the spread of steam covers it
	room           = 22.0   // °C
	vaporisingHeat = 2256.6 // kJ/kg at 100 °C, IAPWS-IF97
)

// EnergyBand is an uncertain energy. Its ends take every doubt the same way, so
// the truth lies outside less often than outside a VolumeBand.
type EnergyBand struct{ Low, Likely, High quantity.Energy }

// Plus returns the energy of both. Adding the ends assumes that the two go high
// together, so the band is on the wide side.
func (b EnergyBand) Plus(c EnergyBand) EnergyBand {
	return EnergyBand{b.Low + c.Low, b.Likely + c.Likely, b.High + c.High}
}

// Times returns the energy of so many, a share of one included.
func (b EnergyBand) Times(n float64) EnergyBand {
	times := quantity.Energy(n)
	return EnergyBand{times * b.Low, times * b.Likely, times * b.High}
}

// LoadEnergy returns what a burner takes in for one canner load, from lid on to
// heat off: canner, water, glass and broth brought to a boil and on to pressure,
// ten minutes of steam let off, what the wall loses meanwhile, and the share of
// the fuel that never reaches the canner. pints are the jars that take the pint
// time and quarts those that take the quart time, 1 to 200 together; process is
// the tested time at pressure, up to 4 h.
//
// Accuracy: heat to the boil and to pressure to 1 kJ of a reckoning apart from
// the program (testdata/published/canner_energy.csv), the whole a factor of two
// or so, mostly the hob's, and the band is as wide. Left out, and so on the low side,
// is steam a rocking weight lets off; a later load starts from a warmer canner,
// which is on the high side. Half-pints count as pints and pint-and-halves as
// quarts.
//
// Numbers out of range are a *RangeError.
func LoadEnergy(pints, quarts int, process time.Duration) (EnergyBand, error) {
	if n := pints + quarts; pints < 0 || quarts < 0 || n < 1 || n > 200 {
		return EnergyBand{}, &RangeError{"jars", fmt.Sprintf("%d pints and %d quarts in a load: must be from 1 to 200 together", pints, quarts)}
	}
	if process <= 0 || process > 4*time.Hour {
		return EnergyBand{}, &RangeError{"process", fmt.Sprintf("%s at pressure is out of range: above 0 and up to 4 h", process)}
	}
	cycle := Cycle(quarts > 0, process)
	total := func(at func(heat) float64, span func(quantity.DurationBand) time.Duration) quantity.Energy {
		toBoil, toPressure := content(pints, quarts, at)
		venting := quantity.Energy(at(vented)*vaporisingHeat) * quantity.Kilojoule

		// The wall is warm for half of the heating up and hot from then on.
		hot := span(cycle.HeatUp)/2 + span(cycle.Vent) + span(cycle.Pressurise) + process
		lost := quantity.Power(at(wallLoss) * at(wallArea) * (at(steam) - room)).Over(hot)
		return (toBoil + toPressure + venting + lost) / quantity.Energy(at(hob))
	}
	return EnergyBand{
		Low:    total(func(h heat) float64 { return h.low }, func(b quantity.DurationBand) time.Duration { return b.Low }),
		Likely: total(likely, func(b quantity.DurationBand) time.Duration { return b.Likely }),
		High:   total(func(h heat) float64 { return h.high }, func(b quantity.DurationBand) time.Duration { return b.High }),
	}, nil
}

func likely(h heat) float64 { return h.likely }

// Heat returns the likely heat that canner, water, glass and broth of a load take
// up to a boil at sea level, and from there to pressure at 116 °C: what LoadEnergy
// counts before steam, wall and hob. pot is the canner with its lid, 0 for the
// likely 5 kg; pints and quarts are as for LoadEnergy, and are not checked.
func Heat(pints, quarts int, pot quantity.Mass) (toBoil, toPressure quantity.Energy) {
	return content(pints, quarts, func(h heat) float64 {
		if h == potMass && pot > 0 {
			return pot.Kilograms()
		}
		return h.likely
	})
}

func content(pints, quarts int, at func(heat) float64) (toBoil, toPressure quantity.Energy) {
	canner := at(potMass)*at(aluminiumHeat) + at(waterMass)*at(waterHeat) // kJ/K
	jars := float64(pints)*(at(pintGlass)*at(glassHeat)+at(pintBroth)*at(waterHeat)) +
		float64(quarts)*(at(quartGlass)*at(glassHeat)+at(quartBroth)*at(waterHeat))
	boil := canner*(boiling-at(waterStart)) + jars*(boiling-at(jarStart))
	pressure := (canner + jars) * (at(steam) - boiling)
	return quantity.Energy(boil) * quantity.Kilojoule, quantity.Energy(pressure) * quantity.Kilojoule
}
