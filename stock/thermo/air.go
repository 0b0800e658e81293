package thermo

import (
	"fmt"
	"math"

	"brothrun/stock/quantity"
)

// The troposphere of [ICAO]: sea-level pressure and temperature, lapse rate,
// and the exponent g·M/(R·L) of its barometric formula. Exact by convention.
const (
	seaLevelPressure    = 101325.0 // Pa
	seaLevelTemperature = 288.15   // K
	lapseRate           = 0.0065   // K/m
	barometricExponent  = 9.80665 / (287.05287 * lapseRate)
)

// lowest and highest are where people live, with room; metres.
const (
	lowestPlace  = -500
	highestPlace = 11000
)

// StandardAtmosphere returns the air pressure on a standard day at an altitude
// of −500 m to 11,000 m; other values are an error. Accuracy: exact by
// definition of the standard day; real weather moves it by about ±2 kPa.
// Source: [ICAO].
func StandardAtmosphere(altitude quantity.Length) (quantity.Pressure, error) {
	metres := altitude.Metres()
	if !(metres >= lowestPlace && metres <= highestPlace) {
		return 0, outside("altitude", fmt.Sprintf("%.6g m", metres), "-500 m to 11000 m (-1640 ft to 36089 ft)")
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
// 28.966: exact to 0.001 %.
const vapourOverAir = 0.621945

// airConstant is the specific gas constant of dry air, J/(kg·K) [ICAO].
const airConstant = 287.05287

// HumidityRatio returns the mass of vapour per mass of dry air when vapour is
// the part of the pressure total that water vapour exerts. vapour must be at
// least 0 and less than total; other values are an error. Accuracy: 0.5 %, that
// of ideal gases.
func HumidityRatio(vapour, total quantity.Pressure) (float64, error) {
	if !(vapour >= 0 && vapour < total) || math.IsInf(float64(total), 0) {
		return 0, outside("vapour pressure", fmt.Sprintf("%.6g kPa", vapour.Kilopascals()), fmt.Sprintf("0 kPa to less than the total, %.6g kPa", total.Kilopascals()))
	}
	return vapourOverAir * float64(vapour) / float64(total-vapour), nil
}

// Air is the air of a room.
type Air struct {
	Temperature      quantity.Temperature // 0 °C to 60 °C
	RelativeHumidity float64              // 0 to 1
	Pressure         quantity.Pressure    // absolute, 20 kPa to 120 kPa
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
// has no answer. air must be in the range of its fields. Air that would rather
// condense on the water than take vapour up gives 0.
//
// Assumed: no draught, and a surface that stays as warm as the water. Accuracy:
// 18 % mean deviation on pools of 7 to 94 °C by its author; published tank
// tables near boiling differ from it, and from one another, by 25 to 35 %.
// Source: [SHAH], E = C ρw (ρr − ρw)^⅓ (Ww − Wr) in kg/(m²·h), C = 35, or 40
// where the densities of dry air differ by less than 0.02 kg/m³.
func Evaporation(water quantity.Temperature, air Air) (quantity.MassFlux, error) {
	switch {
	case !(air.Pressure >= 20*quantity.Kilopascal && air.Pressure <= 120*quantity.Kilopascal):
		return 0, outside("air pressure", fmt.Sprintf("%.6g kPa", air.Pressure.Kilopascals()), "20 kPa to 120 kPa, absolute")
	case !(air.RelativeHumidity >= 0 && air.RelativeHumidity <= 1):
		return 0, outside("relative humidity", fmt.Sprintf("%.6g", air.RelativeHumidity), "0 to 1")
	case !(air.Temperature.Celsius() >= -1e-9 && air.Temperature.Celsius() <= 60):
		return 0, outside("air temperature", fmt.Sprintf("%.6g °C", air.Temperature.Celsius()), "0 °C to 60 °C")
	}
	surface, err := SaturationPressure(water)
	if err != nil {
		return 0, err
	}
	if surface >= air.Pressure {
		return 0, fmt.Errorf("water at %.6g °C boils at %.6g kPa: below the boil is needed; at the boil the burner sets what evaporates",
			water.Celsius(), air.Pressure.Kilopascals())
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
		// Water colder than the room still evaporates, by diffusion alone;
		// without lift the formula gives none.
		coefficient, lift = weak, max(lift, 0)
	}
	return quantity.MassFlux(coefficient*wetAir*math.Cbrt(lift)*(wetRatio-roomRatio)) * quantity.KilogramPerSquareMetreHour, nil
}
