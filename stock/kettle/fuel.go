package kettle

import (
	"math"
	"time"

	"brothrun/stock/quantity"
	"brothrun/stock/thermo"
)

// Fuel returns what the heat under the pot takes in until it is strained: warming it, melting
// what went in frozen, what boils off, and what the wall loses to the room. in and e are
// those of one Balance. Accuracy: a factor of two, mostly the hob's share and the boil-off.
// Errors are those of thermo for the altitude.
func Fuel(in Input, e Estimate) (quantity.Band[quantity.Energy], error) {
	boiling, err := thermo.BoilingPoint(in.Altitude)
	if err != nil {
		return quantity.Band[quantity.Energy]{}, err
	}
	latent, err := thermo.HeatOfVaporisation(boiling)
	if err != nil {
		return quantity.Band[quantity.Energy]{}, err
	}
	rate := stillness.Band.Times(1 / stillness.Likely)
	if in.Evaporation > 0 {
		rate = measuredRate.Band
	}
	gone := latent.Times(cold().Times(e.Evaporated))
	useful := in.heating(e.Water).Plus(in.lost())
	useful = useful.Plus(quantity.Of(quantity.Energy(rate.Low)*gone, gone, quantity.Energy(rate.High)*gone))
	return takenIn(useful, in.Hob), nil
}

// ReheatFuel is Fuel of the skimmed broth, from the fridge to a full boil.
func ReheatFuel(broth quantity.Volume, hob string) quantity.Band[quantity.Energy] {
	return takenIn(reheating(broth), hob)
}

// takenIn is what a hob takes in for the heat that reaches the pot.
func takenIn(useful quantity.Band[quantity.Energy], hob string) quantity.Band[quantity.Energy] {
	share := HobShare(hob)
	return quantity.Of(useful.Low/quantity.Energy(share.High), useful.Likely/quantity.Energy(share.Likely),
		useful.High/quantity.Energy(share.Low))
}

// lost is what the side of the pot loses to the room while it simmers.
func (in Input) lost() quantity.Band[quantity.Energy] {
	width := in.PotWidth.Metres()
	side := math.Pi * width * in.Pot.CubicMetres() / (math.Pi / 4 * width * width)
	of := func(film float64) quantity.Energy {
		return quantity.Power(film * side * (simmersAt - roomTemperature.Likely)).Over(max(time.Minute, in.Simmer))
	}
	return quantity.Of(of(wallFilm.Low), of(wallFilm.Likely), of(wallFilm.High))
}
