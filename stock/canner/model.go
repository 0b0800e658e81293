package canner

import (
	"fmt"
	"math"
	"time"

	"brothrun/stock/quantity"
)

// Specific heats, J/(kg·K), handbook values: water from 4 to 121 °C (4.18 to 4.25,
// broth alike), jar glass, aluminium.
const (
	waterHeat     = 4200.0
	glassHeat     = 840.0
	aluminiumHeat = 900.0
)

// The results of one run of the model, by their place.
const (
	heatUp       = iota // s
	pressurise          // s
	depressurise        // s
	fuel                // J the burner takes in
	lost                // kg of steam let off
	results
)

// model is one load as two lumps: the canner, its lid, water and steam at one
// temperature, the jars with their broth at another, and a conductance between.
//
//	canner·dT/dt = power − loss·(T − air) − couple·(T − J)
//	jars·dJ/dt   = couple·(T − J)
//
// Within a phase the coefficients are constant and the solution is two
// exponentials; what boils off while venting and at pressure is taken off the
// water between phases. Left out: jars that cool in steam lose heat more slowly
// than they gained it, so a canner loses its pressure somewhat sooner than this
// says; the heat of the steam itself, a hundredth of the water's; the ring of
// burner gases along the wall.
type model struct {
	power, loss, couple  float64 // W, W/K, W/K
	pot, water, jars     float64 // J/K, kg, J/K
	start, jarStart, air float64 // °C
	letOff               float64 // kg/s
}

func (in *prepared) model(x *[inputs]float64) model {
	film := x[wallFilm]
	if forced := x[windFilm]; forced > 0 {
		// Free and forced convection join by the cubes, as is usual where neither rules.
		free := freeShare * film
		film += math.Cbrt(free*free*free+forced*forced*forced) - free
	}
	power := x[burnerPower] * x[flameKept]
	if in.known {
		power *= x[burnerShare]
	}
	return model{
		power: power, loss: film * in.area, couple: x[jarsFilm] * in.side,
		pot: x[potMass] * aluminiumHeat, water: x[waterMass], jars: (in.glass + in.broth) * x[jarsMass],
		start: x[potStart], jarStart: x[jarsStart], air: x[airHeat], letOff: x[steamOff] / 3600,
	}
}

// run works the phases out for one vector of inputs.
func (in *prepared) run(x *[inputs]float64) [results]float64 {
	return in.runNear(x, &[results]float64{})
}

// runNear is run where the results are expected near guess.
func (in *prepared) runNear(x *[inputs]float64, guess *[results]float64) [results]float64 {
	m := in.model(x)
	var r [results]float64
	most := warming.Seconds()

	seconds, jars := m.reach(m.power, m.start, m.jarStart, in.boil, most, guess[heatUp])
	r[heatUp] = seconds
	energy := m.power * seconds

	// Venting: the canner stays at the boil, the jars come after it.
	vent := venting.Seconds()
	after := in.boil - (in.boil-jars)*math.Exp(-m.couple/m.jars*vent)
	steam := max(0, (m.power-m.loss*(in.boil-m.air))*vent-m.jars*(after-jars)) / in.vapour
	jars = after
	energy += m.power * vent
	m.boilOff(steam)
	r[lost] = steam

	seconds, jars = m.reach(m.power, in.boil, jars, in.steam, most, guess[pressurise])
	r[pressurise] = seconds
	energy += m.power * seconds

	// At pressure the burner is turned down to what wall, jars and steam take.
	after = in.steam - (in.steam-jars)*math.Exp(-m.couple/m.jars*in.process)
	held := m.loss*(in.steam-m.air)*in.process + m.jars*(after-jars)
	off := min(m.letOff*in.process, max(0, m.power*in.process-held)/in.hotVapour)
	jars = after
	energy += held + off*in.hotVapour
	m.boilOff(off)
	r[lost] += off

	r[depressurise], _ = m.reach(0, in.steam, jars, in.boil, 2*most, guess[depressurise])
	share := x[burnerShare] * x[flameKept]
	r[fuel] = energy / share
	return r
}

func (m *model) boilOff(steam float64) { m.water = max(0, m.water-steam) }

// reach returns the seconds until a canner at t, with jars at j, comes to target,
// and the jars' temperature then; most where it takes longer or never does.
// guess is where to look first, 0 for anywhere.
func (m *model) reach(power, t, j, target, most, guess float64) (seconds, jars float64) {
	const within = 0.05 // s; the last step leaves less than a millisecond
	canner := m.pot + m.water*waterHeat
	steady := m.air + power/m.loss
	x, y, goal := t-steady, j-steady, target-steady

	// x is a·exp(−fast·t) + b·exp(−slow·t), and y follows each mode in proportion.
	g := m.couple / m.jars
	sum := (m.loss+m.couple)/canner + g
	product := m.loss * g / canner
	fast := (sum + math.Sqrt(sum*sum-4*product)) / 2
	slow := product / fast
	ofFast, ofSlow := g/(g-fast), g/(g-slow)
	b := (y - ofFast*x) / (ofSlow - ofFast)
	a := x - b

	sign := 1.0
	if target < t {
		sign = -1
	}
	ends := func(s float64) float64 {
		return steady + ofFast*a*math.Exp(-fast*s) + ofSlow*b*math.Exp(-slow*s)
	}
	if sign*goal >= 0 {
		return most, ends(most) // never: the wall loses all the burner gives
	}

	// From a guess, Newton's steps within a bracket: the curve bends one way, so that
	// three or four do.
	low, high := 0.0, most
	s := guess
	if !(s > 0 && s < most) {
		one := (canner*x + m.jars*y) / (canner + m.jars) // as if both were one
		s = max(1, math.Log(one/goal)/slow)
	}
	if !(s < most) {
		s = most / 2
	}
	for range 100 {
		p, q := a*math.Exp(-fast*s), b*math.Exp(-slow*s)
		over := sign * (p + q - goal)
		if over < 0 {
			low = s
		} else {
			high = s
		}
		next := s + sign*over/(fast*p+slow*q)
		if !(next > low && next < high) {
			next = (low + high) / 2
		}
		done := math.Abs(next-s) < within
		s = next
		if done {
			break
		}
	}
	if s >= most-1 {
		return most, ends(most)
	}
	return s, ends(s)
}

// noted scales what the cook noted of a usual first load to this one, by what the
// model says of both.
func (in *prepared) noted(l Load, likely [results]float64) Noted {
	usual := *in
	jars := []Jars{{9, 0.4265 * quantity.Kilogram, GlassOf(17.1 * quantity.FluidOunce)}} // pints
	if l.QuartTime {
		jars = []Jars{{7, 0.8825 * quantity.Kilogram, GlassOf(33.4 * quantity.FluidOunce)}} // quarts
	}
	usual.hold(jars)
	if in.later {
		usual.likely[potStart] = min(coldStart.likely, in.boil-2)
	}
	first := usual.run(&usual.likely)
	scaled := func(noted time.Duration, phase int) time.Duration {
		return part(noted, likely[phase]/first[phase])
	}
	return Noted{scaled(l.Noted.HeatUp, heatUp), scaled(l.Noted.Pressurise, pressurise), scaled(l.Noted.Depressurise, depressurise)}
}

// spread puts one input after another to its ends and returns what the results
// come to low and high: deviations from likely added by root sum of squares, of
// their logarithms where a result cannot be 0.
func (in *prepared) spread(likely [results]float64) (low, high [results]float64, mayFail bool) {
	var down, up [results]float64
	var logs [results]float64
	for k := range likely {
		logs[k] = math.Log(likely[k])
	}
	add := func(r [results]float64, down, up *[results]float64) {
		for k := range r {
			change := r[k] - likely[k]
			if k != lost {
				change = math.Log(r[k]) - logs[k]
			}
			if change < 0 {
				down[k] = max(down[k], -change)
			} else {
				up[k] = max(up[k], change)
			}
		}
		mayFail = mayFail || r[heatUp] >= warming.Seconds() || r[pressurise] >= warming.Seconds()
	}
	for i := range in.likely {
		var lesser, greater [results]float64
		for _, end := range [2]float64{in.low[i], in.high[i]} {
			if end == in.likely[i] {
				continue
			}
			x := in.likely
			x[i] = end
			r := likely
			if i == burnerShare && !in.known {
				r[fuel] *= in.likely[i] / end // what reaches the canner is the same
			} else {
				r = in.runNear(&x, &likely)
			}
			// Steam let off counts against what was put in.
			r[lost] *= in.likely[waterMass] / x[waterMass]
			add(r, &lesser, &greater)
		}
		for k := range likely {
			down[k] += lesser[k] * lesser[k]
			up[k] += greater[k] * greater[k]
		}
	}
	for k := range likely {
		if k == lost {
			low[k], high[k] = max(0, likely[k]-math.Sqrt(down[k])), likely[k]+math.Sqrt(up[k])
			continue
		}
		low[k], high[k] = likely[k]*math.Exp(-math.Sqrt(down[k])), likely[k]*math.Exp(math.Sqrt(up[k]))
	}
	for _, k := range [...]int{heatUp, pressurise} {
		high[k] = min(high[k], warming.Seconds())
	}
	return low, high, mayFail
}

// fails is the error of a load that is not brought to pressure within slowest, or
// that boils its canner dry; nil for one that does neither.
func (in *prepared) fails(likely [results]float64) error {
	if likely[lost] >= in.likely[waterMass]-1e-9 {
		if !in.known {
			return &RangeError{"water", fmt.Sprintf("water of %.3g l boils away before the load is done: a canner run dry is ruined and unsafe; it takes about %.3g l (%.3g qt)",
				in.putIn.Litres(), in.usual.Litres(), in.usual.Quarts())}
		}
		return &RangeError{"burner", fmt.Sprintf("burner of %.0f W (%.0f BTU/h) boils the canner's %.3g l (%.3g qt) of water away before the load is done: a canner run dry is ruined and unsafe; turn it down and give the power it is turned to, or put in more water",
			in.likely[burnerPower], quantity.Power(in.likely[burnerPower]).BTUPerHour(), in.putIn.Litres(), in.putIn.Quarts())}
	}
	limit := slowest.Seconds()
	if likely[heatUp]+likely[pressurise] <= limit || !in.known && in.likely[windFilm] == 0 {
		return nil
	}
	if !in.known {
		return &RangeError{"wind", "a burner nobody described does not bring this load to pressure within two hours in such wind and cold: shield it or can inside, or give the burner's power"}
	}
	weak, strong := in.likely[burnerPower], 1e5
	for range 40 {
		x := in.likely
		x[burnerPower] = (weak + strong) / 2
		if r := in.run(&x); r[heatUp]+r[pressurise] > limit {
			weak = x[burnerPower]
		} else {
			strong = x[burnerPower]
		}
	}
	least := quantity.Power(math.Ceil(strong/10) * 10)
	return &RangeError{"burner", fmt.Sprintf("burner of %.0f W (%.0f BTU/h) is too weak to bring this load to pressure within two hours: it takes at least %.0f W (%.0f BTU/h), or a smaller load, less water or a place out of the wind",
		in.likely[burnerPower], quantity.Power(in.likely[burnerPower]).BTUPerHour(), least.Watts(), least.BTUPerHour())}
}
