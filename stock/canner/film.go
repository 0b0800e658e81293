package canner

import (
	"math"

	"brothrun/stock/quantity"
)

// crossFlow returns the mean film of wind across a cylinder, which stands for all
// of a canner, lid included: S. W. Churchill and M. Bernstein, J. Heat Transfer 99,
// 1977, pp. 300-306, good to 20 % or so where Re·Pr is above 0.2. film is the mean
// of wall and air, -40 °C to 130 °C; air its absolute pressure.
//
// Properties of air at 101.325 kPa from 250 to 400 K by power laws through
// handbook values at 300 K (15.9e-6 m²/s, 0.0263 W/(m·K), 0.707), good to 2 %.
func crossFlow(width quantity.Length, wind quantity.Speed, film quantity.Temperature, air quantity.Pressure) float64 {
	const prandtl = 0.705
	warm := film.Kelvins() / 300
	viscosity := 15.9e-6 * math.Pow(warm, 1.75) * 101325 / air.Pascals()
	conductivity := 0.0263 * math.Pow(warm, 0.86)
	reynolds := wind.MetresPerSecond() * width.Metres() / viscosity
	return churchillBernstein(reynolds, prandtl) * conductivity / width.Metres()
}

// churchillBernstein returns the mean Nusselt number of a cylinder in cross-flow.
func churchillBernstein(reynolds, prandtl float64) float64 {
	return 0.3 + 0.62*math.Sqrt(reynolds)*math.Cbrt(prandtl)/math.Pow(1+math.Pow(0.4/prandtl, 2.0/3), 0.25)*
		math.Pow(1+math.Pow(reynolds/282000, 5.0/8), 4.0/5)
}

// windKeeps is the share of its heat a burner still gives the canner in a wind up
// to so many m/s. No data: from all of it behind a good screen to less than half in
// a fresh breeze.
func windKeeps(wind float64) spreadOf {
	return spreadOf{1 / (1 + wind/4), 1 / (1 + wind/20), 1}
}
