package thermo

import (
	"fmt"
	"math"

	"brothrun/stock/quantity"
)

// The range of [MK05] taken here: its pressure curve, by which TestSublimationHeatIsTheSlopeOfThePressure
// checks the heat, holds above 110 K and ends at the triple point.
const (
	coldestIce  = 110.0  // K
	triplePoint = 273.16 // K

	waterMolarMass = 18.01528e-3 // kg/mol, within 0.002 % whatever the water; standard atomic weights
)

// FusionHeat is the heat that melts ice at 0 °C: 333.4 kJ/kg, handbook, from memory;
// TestIceMeetsWaterAtTheTriplePoint has it from the two heats it is the difference of.
const FusionHeat = 333.4 * quantity.KilojoulePerKilogram

func checkIce(t quantity.Temperature) error {
	if k := t.Kelvins(); !(k >= coldestIce && k <= triplePoint) {
		return outside("temperature of ice", fmt.Sprintf("%.6g °C", t.Celsius()), "from -163.15 °C to 0.01 °C")
	}
	return nil
}

// SublimationHeat returns the heat that turns ice at t to vapour, from 110 K to
// the triple point, 0.01 °C; other values are an error. Accuracy: within 0.1 %
// above 180 K, where it agrees so far with the slope of the pressure over ice. Source:
// [MK05] equation 5, from memory.
func SublimationHeat(t quantity.Temperature) (quantity.SpecificEnergy, error) {
	if err := checkIce(t); err != nil {
		return 0, err
	}
	k := t.Kelvins()
	molar := 46782.5 + 35.8925*k - 0.07414*k*k + 541.5*math.Exp(-(k/123.75)*(k/123.75)) // J/mol
	return quantity.SpecificEnergy(molar / waterMolarMass), nil
}
