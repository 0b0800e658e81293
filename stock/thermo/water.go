// Package thermo holds the properties of water, steam and air a kitchen needs:
// saturation, density, heat of vaporisation, ice, the standard atmosphere, the
// boiling point at an altitude, and evaporation into still air.
//
// Sources, by tag:
//
//	[IF97]   IAPWS Industrial Formulation 1997 for water and steam, region 4,
//	         equations 30 and 31, table 34.
//	[SR1-86] IAPWS supplementary release on saturation properties of ordinary
//	         water (1992), equations 2 and 3: liquid and vapour density.
//	[ICAO]   ICAO Standard Atmosphere, Doc 7488, troposphere.
//	[SHAH]   M. M. Shah, HVAC&R Research 8(1), 2002, pp. 125-131.
//	[ASHRAE] ASHRAE Handbook Fundamentals, chapter 1, psychrometrics.
//	[MK05]   D. M. Murphy and T. Koop, Q. J. R. Meteorol. Soc. 131, 2005,
//	         pp. 1539-1565: ice.
package thermo

import (
	"fmt"
	"math"

	"brothrun/stock/quantity"
)

// The range of [IF97] region 4, from 0 °C to the critical point, and what its
// equations are scaled by. Exact by convention. The pressures at its ends are
// printed 611.213 Pa and 22.064 MPa; equation 30 gives 611.21268 Pa and a third of
// a millipascal more than 22.064 MPa, and both must come back as the ends.
// ColdBroth is the density of broth as volumes of it are told, cold: that of water at
// 20 °C, 998.2 kg/m³ by any handbook; up to 1018 for a rich one (USDA SR28).
const ColdBroth = 998.2 * quantity.KilogramPerCubicMetre

const (
	lowestSaturation  = 273.15      // K
	criticalPoint     = 647.096     // K
	lowestPressure    = 611.2126    // Pa
	criticalPressure  = 22.064001e6 // Pa
	criticalDensity   = 322.0       // kg/m³
	referencePressure = 1e6         // Pa, p* of [IF97]
)

// saturation is table 34 of [IF97], n1 to n10.
var saturation = [11]float64{
	0, 0.11670521452767e4, -0.72421316703206e6, -0.17073846940092e2, 0.12020824702470e5, -0.32325550322333e7,
	0.14915108613530e2, -0.48232657361591e4, 0.40511340542057e6, -0.23855557567849, 0.65017534844798e3,
}

// outside makes the error of a value outside a formula's range.
func outside(what, value, allowed string) error {
	return fmt.Errorf("%s %s is out of range: must be %s", what, value, allowed)
}

// checkSaturation rejects temperatures outside [IF97] region 4.
func checkSaturation(t quantity.Temperature) error {
	if k := t.Kelvins(); !(k >= lowestSaturation && k <= criticalPoint) {
		return outside("temperature", fmt.Sprintf("%.6g °C", t.Celsius()), "from 0 °C to 373.946 °C")
	}
	return nil
}

// SaturationPressure returns the absolute pressure at which water boils at t.
// t must be from 0 °C to the critical point, 373.946 °C; other values are an
// error. Accuracy: within 0.03 %. Source: [IF97] equation 30.
func SaturationPressure(t quantity.Temperature) (quantity.Pressure, error) {
	if err := checkSaturation(t); err != nil {
		return 0, err
	}
	return saturationPressure(t), nil
}

func saturationPressure(t quantity.Temperature) quantity.Pressure {
	n, k := &saturation, t.Kelvins()
	theta := k + n[9]/(k-n[10])
	a := theta*theta + n[1]*theta + n[2]
	b := n[3]*theta*theta + n[4]*theta + n[5]
	c := n[6]*theta*theta + n[7]*theta + n[8]
	x := 2 * c / (-b + math.Sqrt(b*b-4*a*c))
	return quantity.Pressure(referencePressure * x * x * x * x)
}

// SaturationTemperature returns the temperature at which water boils at p, the
// absolute pressure: a gauge reading plus that of the air. p must be from
// 611.213 Pa to 22.064 MPa; other values are an error. Accuracy: within 0.01 K.
// Source: [IF97] equation 31.
func SaturationTemperature(p quantity.Pressure) (quantity.Temperature, error) {
	if pa := p.Pascals(); !(pa >= lowestPressure && pa <= criticalPressure) {
		return 0, outside("pressure", fmt.Sprintf("%.6g kPa", p.Kilopascals()),
			"from 0.611213 kPa to 22064 kPa, absolute (gauge reading plus the air's pressure)")
	}
	n := &saturation
	beta := math.Pow(p.Pascals()/referencePressure, 0.25)
	e := beta*beta + n[3]*beta + n[6]
	f := n[1]*beta*beta + n[4]*beta + n[7]
	g := n[2]*beta*beta + n[5]*beta + n[8]
	d := 2 * g / (-f - math.Sqrt(f*f-4*e*g))
	sum := n[10] + d
	k := (sum - math.Sqrt(sum*sum-4*(n[9]+n[10]*d))) / 2
	// At the ends rounding may put k outside what SaturationPressure takes back,
	// by 4 µK at most.
	return quantity.Kelvin(min(max(k, lowestSaturation), criticalPoint)), nil
}

// LiquidDensity returns the density of water at its boiling pressure at t, from
// 0 °C to 373.946 °C; other values are an error. At kitchen pressures it is
// that of water in an open pot to 0.01 %. Accuracy: within 0.01 % below 100 °C.
// Source: [SR1-86] equation 2.
func LiquidDensity(t quantity.Temperature) (quantity.Density, error) {
	if err := checkSaturation(t); err != nil {
		return 0, err
	}
	tau := 1 - t.Kelvins()/criticalPoint
	third := math.Cbrt(tau)
	ratio := 1 + 1.99274064*third + 1.09965342*math.Pow(third, 2) - 0.510839303*math.Pow(third, 5) -
		1.75493479*math.Pow(third, 16) - 45.5170352*math.Pow(third, 43) - 6.74694450e5*math.Pow(third, 110)
	return quantity.Density(criticalDensity * ratio), nil
}

// VapourDensity returns the density of steam at its boiling pressure at t, from
// 0 °C to 373.946 °C; other values are an error. Accuracy: within 0.1 % below
// 125 °C. Source: [SR1-86] equation 3.
func VapourDensity(t quantity.Temperature) (quantity.Density, error) {
	if err := checkSaturation(t); err != nil {
		return 0, err
	}
	tau := 1 - t.Kelvins()/criticalPoint
	sixth := math.Pow(tau, 1.0/6)
	logRatio := -2.03150240*math.Pow(sixth, 2) - 2.68302940*math.Pow(sixth, 4) - 5.38626492*math.Pow(sixth, 8) -
		17.2991605*math.Pow(sixth, 18) - 44.7586581*math.Pow(sixth, 37) - 63.9201063*math.Pow(sixth, 71)
	return quantity.Density(criticalDensity * math.Exp(logRatio)), nil
}

// HeatOfVaporisation returns the heat that turns boiling water at t to steam,
// from 0.01 °C to 370 °C; other values are an error. It is Clapeyron's equation,
// h = T (dp/dT) (1/ρ″ − 1/ρ′), on this package's own curves. Accuracy: within
// 0.1 % from 0 to 200 °C.
func HeatOfVaporisation(t quantity.Temperature) (quantity.SpecificEnergy, error) {
	if !(t.Celsius() >= 0.01-1e-9 && t.Celsius() <= 370) {
		return 0, outside("temperature", fmt.Sprintf("%.6g °C", t.Celsius()), "from 0.01 °C to 370 °C")
	}
	const half = 0.005 // K, half the central difference; the curve is smooth far below
	slope := float64(saturationPressure(t+half)-saturationPressure(t-half)) / (2 * half)
	liquid, err := LiquidDensity(t)
	if err != nil {
		return 0, err
	}
	vapour, err := VapourDensity(t)
	if err != nil {
		return 0, err
	}
	return quantity.SpecificEnergy(t.Kelvins() * slope * (1/float64(vapour) - 1/float64(liquid))), nil
}
