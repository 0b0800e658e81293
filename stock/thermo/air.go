package thermo

import (
	"fmt"
	"math"

	"brothrun/stock/quantity"
)

// airConstant is the specific gas constant of dry air, J/(kg·K) [ICAO]. Exact by
// convention.
const airConstant = 287.05287

// The troposphere of [ICAO]. Exact by convention. Air in balance, dp/dh = −ρ g
// with ρ = p/(R T) and T = T₀ − L h, has p = p₀ (1 − L h/T₀) to the power
// g/(R L): 101,325 Pa · (1 − 2.25577e-5 h/m) to the power 5.25588.
const (
	seaLevelPressure    = 101325.0                            // Pa, p₀
	seaLevelTemperature = 288.15                              // K, T₀
	lapseRate           = 0.0065                              // K/m, L
	barometricExponent  = 9.80665 / (airConstant * lapseRate) // g = 9.80665 m/s²
)

// The altitudes accepted, in metres: from below the lowest dwellings to the top
// of the troposphere, where the formula ends.
const (
	lowestPlace  = -500
	highestPlace = 11000
)

// StandardAtmosphere returns the absolute air pressure on a standard day at an
// altitude of −500 m to 11,000 m above sea level; other values are an error.
// Altitude is taken as geopotential, which puts the pressure 0.02 % off at
// 3000 m. Accuracy: exact by definition of the standard day; real weather moves
// it by about ±2 kPa. Source: [ICAO].
func StandardAtmosphere(altitude quantity.Length) (quantity.Pressure, error) {
	metres := altitude.Metres()
	if !(metres >= lowestPlace && metres <= highestPlace) {
		return 0, outside("altitude", fmt.Sprintf("%.6g m", metres), "from -500 m to 11000 m (-1640 ft to 36089 ft)")
	}
	return quantity.Pressure(seaLevelPressure * math.Pow(1-lapseRate*metres/seaLevelTemperature, barometricExponent)), nil
}

// BoilingPoint returns the temperature at which water boils at an altitude on a
// standard day. Range and errors are those of StandardAtmosphere. Accuracy:
// within 0.02 K of the standard day; weather moves it by about ±0.5 K.
func BoilingPoint(altitude quantity.Length) (quantity.Temperature, error) {
	pressure, err := StandardAtmosphere(altitude)
	if err != nil {
		return 0, err
	}
	return SaturationTemperature(pressure)
}

// vapourOverAir is the molar mass of water over that of dry air, 18.015268 over
// 28.966; ±0.001 % [ASHRAE]. Older tables print 0.62198.
const vapourOverAir = 0.621945

// HumidityRatio returns the mass of vapour per mass of dry air when vapour is
// the part of the absolute pressure total that water vapour exerts. vapour must
// be at least 0 and less than total; other values are an error. Accuracy: that
// of ideal gases, 1 % up to 60 °C and 2 % near the boil. Source: [ASHRAE].
func HumidityRatio(vapour, total quantity.Pressure) (float64, error) {
	if !(vapour >= 0 && vapour < total) || math.IsInf(float64(total), 0) {
		return 0, outside("vapour pressure", fmt.Sprintf("%.6g kPa", vapour.Kilopascals()),
			fmt.Sprintf("at least 0 kPa and less than the total, %.6g kPa", total.Kilopascals()))
	}
	return vapourOverAir * float64(vapour) / float64(total-vapour), nil
}

// Air is the air of a room.
type Air struct {
	Temperature      quantity.Temperature // 0 °C to 60 °C
	RelativeHumidity float64              // 0 to 1
	Pressure         quantity.Pressure    // absolute, 20 kPa to 120 kPa; StandardAtmosphere gives it
}

// moist returns the humidity ratio and the mass of dry air in a cubic metre of
// moist air at t with the given vapour pressure.
func moist(t quantity.Temperature, vapour, total quantity.Pressure) (ratio, dryAir float64, err error) {
	ratio, err = HumidityRatio(vapour, total)
	return ratio, float64(total-vapour) / (airConstant * t.Kelvins()), err
}

// Evaporation returns what still water at a temperature loses to still air
// above it. water must be from 0 °C to below the boiling point at air.Pressure:
// at the boil the heat supplied, not the air, sets the rate, and this formula
// has no answer. air must be in the range of its fields. It is never below 0: air
// so damp that it would condense on the water, or so cold a surface that the air
// on it does not rise, gives 0.
//
// Assumed: no draught, and a surface that stays as warm as the water. Accuracy:
// 18 % mean deviation on pools of 7 to 94 °C by its author; published tank
// tables differ from it by up to 25 % below 95 °C and 29 % at 99 °C, and from one
// another by 25 to 35 %. A few kelvins above the room, where the coefficient
// changes, it steps down by one eighth, as published.
// Source: [SHAH], E = C ρw (ρr − ρw)^⅓ (Ww − Wr) in kg/(m²·h): ρ the dry air in
// a cubic metre of moist air and W the humidity ratio, of the room (r) and
// saturated at the water's temperature (w); C = 35, or 40 where ρr − ρw is less
// than 0.02 kg/m³.
func Evaporation(water quantity.Temperature, air Air) (quantity.MassFlux, error) {
	switch {
	case !(air.Pressure >= 20*quantity.Kilopascal && air.Pressure <= 120*quantity.Kilopascal):
		return 0, outside("air pressure", fmt.Sprintf("%.6g kPa", air.Pressure.Kilopascals()),
			"from 20 kPa to 120 kPa, absolute")
	case !(air.RelativeHumidity >= 0 && air.RelativeHumidity <= 1):
		return 0, outside("relative humidity", fmt.Sprintf("%.6g", air.RelativeHumidity), "from 0 to 1")
	case !(air.Temperature.Celsius() >= -1e-9 && air.Temperature.Celsius() <= 60):
		return 0, outside("air temperature", fmt.Sprintf("%.6g °C", air.Temperature.Celsius()), "from 0 °C to 60 °C")
	}
	surface, err := SaturationPressure(water)
	if err != nil {
		return 0, err
	}
	if surface >= air.Pressure {
		boiling, err := SaturationTemperature(air.Pressure)
		if err != nil {
			return 0, err
		}
		return 0, fmt.Errorf("water temperature %.6g °C is out of range: must be from 0 °C to below %.6g °C, where water "+
			"boils at %.6g kPa; at the boil evaporation is the heat supplied over the heat of vaporisation",
			water.Celsius(), boiling.Celsius(), air.Pressure.Kilopascals())
	}
	room := quantity.Pressure(air.RelativeHumidity) * saturationPressure(max(air.Temperature, lowestSaturation))
	wetRatio, wetAir, err := moist(water, surface, air.Pressure)
	if err != nil {
		return 0, err
	}
	roomRatio, roomAir, err := moist(air.Temperature, room, air.Pressure)
	if err != nil {
		return 0, err
	}
	if wetRatio <= roomRatio {
		return 0, nil
	}
	const strong, weak, boundary = 35, 40, 0.02
	coefficient := float64(strong)
	lift := roomAir - wetAir
	if lift < boundary {
		// Without lift only diffusion is left, which the formula leaves out.
		coefficient, lift = weak, max(lift, 0)
	}
	return quantity.MassFlux(coefficient*wetAir*math.Cbrt(lift)*(wetRatio-roomRatio)) * quantity.KilogramPerSquareMetreHour, nil
}
