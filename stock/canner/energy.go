package canner

import "brothrun/stock/quantity"

// EnergyBand is an uncertain energy.
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

// Heat returns the likely heat a load takes up when all of it comes to the boil,
// and from there to its pressure: canner, water, glass and broth, before steam,
// wall and hob. Errors are those of Cycle, but for a weak burner.
func Heat(l Load) (toBoil, toPressure quantity.Energy, err error) {
	in, err := l.prepare()
	if err != nil {
		return 0, 0, err
	}
	m := in.model(&in.likely)
	canner := m.pot + m.water*waterHeat
	toBoil = quantity.Energy(canner*(in.boil-m.start) + m.jars*(in.boil-m.jarStart))
	return toBoil, quantity.Energy((canner + m.jars) * (in.steam - in.boil)), nil
}
