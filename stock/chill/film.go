package chill

import (
	"math"

	"brothrun/stock/quantity"
)

const (
	// stefanBoltzmann in W/(m²·K⁴): 5.670374419e-8, exact (CODATA 2018).
	stefanBoltzmann = 5.670374419e-8
	// conductivity of broth that has set, W/(m·K): 0.55, 0.50–0.60; water is 0.58 at
	// 10 °C, from memory.
	conductivity = 0.55
	// airConvection is C in h = C·(ΔT/L)^¼ W/(m²·K), laminar free convection of air
	// on an upright wall: 1.42 in textbooks' short forms; 1.52 meets Churchill-Chu
	// for a wall 0.25 m high at 57, 40 and 15 °C in 4 °C air [HT] to 2 %.
	airConvection = 1.52
)

// waterFilm is one row of the properties of water along its liquid line, from
// memory of handbook tables, good to 2 %.
type waterFilm struct {
	celsius      float64
	conductivity float64 // W/(m·K)
	viscosity    float64 // kinematic, 1e-6 m²/s
	diffusivity  float64 // 1e-7 m²/s
	expansion    float64 // 1e-4 1/K, its size only
}

// Expansion changes sign at 4 °C. There 0.3e-4 stands for it, a guess, since the
// water along a wall is never all at 4 °C.
var waterFilms = []waterFilm{
	{0, 0.561, 1.792, 1.33, 0.3}, {5, 0.571, 1.519, 1.355, 0.3}, {10, 0.580, 1.307, 1.38, 0.88},
	{15, 0.589, 1.139, 1.41, 1.51}, {20, 0.598, 1.004, 1.43, 2.07}, {30, 0.615, 0.801, 1.48, 3.03},
	{40, 0.631, 0.658, 1.52, 3.85}, {60, 0.654, 0.474, 1.59, 5.23}, {80, 0.670, 0.365, 1.64, 6.41},
	{100, 0.679, 0.294, 1.68, 7.50},
}

// free returns F in h = F·ΔT^⅓: Churchill and Chu's turbulent limit for an upright
// wall, Nu = 0.13·Ra^⅓ at the Prandtl number of water.
func (w waterFilm) free() float64 {
	return 0.13 * w.conductivity * math.Cbrt(9.81*w.expansion*1e-4/(w.viscosity*1e-6*w.diffusivity*1e-7))
}

// tableStep is the spacing of hindrance in K.
const tableStep = 2.5

// hindrance is F^-¾ every 2.5 K from 0 to 105 °C, which is what two films in
// series need.
var hindrance = func() (table [43]float64) {
	row := 0
	for i := range table {
		t := float64(i) * tableStep
		for row+2 < len(waterFilms) && t > waterFilms[row+1].celsius {
			row++
		}
		a, b := waterFilms[row], waterFilms[row+1]
		f := a.free() + (b.free()-a.free())*(t-a.celsius)/(b.celsius-a.celsius)
		table[i] = 1 / math.Sqrt(f*math.Sqrt(f))
	}
	return table
}()

func hindranceAt(t quantity.Temperature) float64 {
	x := min(max(t.Celsius()/tableStep, 0), float64(len(hindrance)-1))
	i := min(int(x), len(hindrance)-2)
	return hindrance[i] + (hindrance[i+1]-hindrance[i])*(x-float64(i))
}

// waterToWater returns the overall coefficient of free convection on both sides
// of a thin wall, broth within and water without. With h = F·ΔT^⅓ on each side the
// wall's temperature drops out. Each film is taken a quarter of the way in from
// its own side.
func waterToWater(broth, bath quantity.Temperature) quantity.HeatTransferCoefficient {
	difference := broth.Above(bath).Kelvins()
	if difference <= 0 {
		return 0
	}
	quarter := quantity.TemperatureChange(difference / 4)
	both := hindranceAt(broth.Plus(-quarter)) + hindranceAt(bath.Plus(quarter))
	return quantity.HeatTransferCoefficient(math.Cbrt(difference/both) / both)
}

// stillAirFilm returns free convection from a wall of a height to air.
func stillAirFilm(difference quantity.TemperatureChange, height quantity.Length) quantity.HeatTransferCoefficient {
	x := max(difference.Kelvins(), 0) / height.Metres()
	return quantity.HeatTransferCoefficient(airConvection * math.Sqrt(math.Sqrt(x)))
}

// radiated returns the linearised radiation from a wall into a cabinet.
func radiated(emissivity float64, wall, cabinet quantity.Temperature) quantity.HeatTransferCoefficient {
	middle := (wall + cabinet).Kelvins() / 2
	return quantity.HeatTransferCoefficient(4 * emissivity * stefanBoltzmann * middle * middle * middle)
}

// slabRoot returns the first root of λ·tan λ = Bi and the amplitude at the middle
// of the one-term solution of a slab cooled on both faces, Bi over half its
// thickness, > 0.
func slabRoot(biot float64) (root, amplitude float64) {
	root = firstRoot(math.Pi/2, func(x float64) float64 { return x*math.Sin(x) - biot*math.Cos(x) })
	return root, 4 * math.Sin(root) / (2*root + math.Sin(2*root))
}

// cylinderRoot returns the first root of λ·J1(λ)/J0(λ) = Bi and the amplitude at
// the axis of the one-term solution of a long cylinder, Bi over its radius, > 0.
func cylinderRoot(biot float64) (root, amplitude float64) {
	const firstZero = 2.404825557695773 // of J0
	root = firstRoot(firstZero, func(x float64) float64 { return x*math.J1(x) - biot*math.J0(x) })
	j0, j1 := math.J0(root), math.J1(root)
	return root, 2 * j1 / (root * (j0*j0 + j1*j1))
}

// firstRoot finds where a function that rises from below zero at 0 to above zero
// at end crosses, to 1e-12 of end: false position in Illinois form.
func firstRoot(end float64, f func(float64) float64) float64 {
	low, high := 0.0, end
	below, above := f(low), f(high)
	last := 0
	for range 100 {
		x := high - above*(high-low)/(above-below)
		at := f(x)
		if at == 0 || high-low < 1e-12*end {
			return x
		}
		if at < 0 {
			low, below = x, at
			if last < 0 {
				above /= 2
			}
			last = -1
		} else {
			high, above = x, at
			if last > 0 {
				below /= 2
			}
			last = 1
		}
	}
	return (low + high) / 2
}
