package canner

import "brothrun/stock/quantity"

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
