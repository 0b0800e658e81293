package canner

import (
	"fmt"
	"math"

	"brothrun/stock/fault"
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
	power := x[burnerPower] * x[flameKept]
	if in.known {
		power *= x[burnerShare]
	}
	return model{
		power: power, loss: x[wallFilm] * in.area, couple: x[jarsFilm] * in.side,
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

// spread puts one input after another to its ends and returns what the results
// come to low and high: deviations from likely added by root sum of squares, of
// their logarithms where a result cannot be 0.
func (in *prepared) spread(likely [results]float64) (low, high [results]float64) {
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
	return low, high
}

// tooWeak is the error of a burner that takes longer than slowest to bring the load
// to pressure; of one nobody described, than is worked out.
func (l Load) tooWeak(in *prepared, likely [results]float64) error {
	limit := slowest.Seconds()
	soon := func(r [results]float64) bool { return r[heatUp]+r[pressurise] <= limit }
	if !in.known {
		// A huge load, on whatever it stands on.
		soon = func(r [results]float64) bool { return max(r[heatUp], r[pressurise]) < warming.Seconds() }
	}
	if soon(likely) {
		return nil
	}
	if !in.known {
		return fault.New("burner", lookAtRating, "a usual burner is not likely to bring this load to pressure within three "+
			"hours: give the burner's power, or can a smaller load or with less water")
	}
	least := quantity.Power(math.Ceil(in.powerWhere(soon)/10) * 10)
	return fault.New("burner", lookAtRating, "burner of %.0f W (%.0f BTU/h) is too weak to bring this load to pressure "+
		"within two hours: it takes at least %.0f W (%.0f BTU/h), or a smaller load, less water or a warmer place",
		in.likely[burnerPower], quantity.Power(in.likely[burnerPower]).BTUPerHour(), least.Watts(), least.BTUPerHour())
}

// powerWhere is the least power at which something holds that holds of all above it.
func (in *prepared) powerWhere(holds func(r [results]float64) bool) float64 {
	weak, strong := 0.0, 1e5
	for range 40 {
		x := in.likely
		x[burnerPower] = (weak + strong) / 2
		if holds(in.run(&x)) {
			strong = x[burnerPower]
		} else {
			weak = x[burnerPower]
		}
	}
	return strong
}

// nearDry is the share of the water put in, or of the usual where that is more, below
// which a canner is too near to running dry; common practice, no source.
const nearDry = 1.0 / 3

// mostWater is how many times the usual water is still advised: 2.5 in are usual and 3
// published (Alaska Extension); much more would stand about the jars. Rounded up from 1.2.
const mostWater = 1.5

// boilsDry is the error of a load that likely leaves no water: a canner
// run dry is a danger. What it names leaves a third.
func (l Load) boilsDry(in *prepared, likely [results]float64) error {
	water := in.likely[waterMass]
	if likely[lost] < water {
		return nil
	}
	enough := func(r [results]float64, of float64) bool { return r[lost] <= (1-nearDry)*of }
	advice := ""
	more, most := water, mostWater*in.usualWater.CubicMetres()*warmWater
	for more < most {
		more *= 1.02
		x := in.likely
		x[waterMass] = more
		if enough(in.run(&x), more) {
			put := quantity.Volume(math.Ceil(more/warmWater*1e4) / 1e4) // to a tenth of a litre
			if put <= mostWater*in.usualWater && put < l.Vessel.Room(l.Jars) {
				advice = fmt.Sprintf(": at least %.1f l (%.1f qt) of water would do, if the canner's manual allows it",
					put.Litres(), math.Ceil(put.Quarts()*10)/10)
			}
			break
		}
	}
	if !in.known {
		return fault.New("canner.water", "",
			"water of %.3g l (%.3g qt) is likely boiled away before the end of this load, and a canner run dry is a danger%s",
			in.putIn.Litres(), in.putIn.Quarts(), advice)
	}
	strongest := math.Floor(in.powerWhere(func(r [results]float64) bool { return !enough(r, water) })/10-1) * 10
	x := in.likely
	x[burnerPower] = strongest
	if r := in.run(&x); strongest > 0 && r[heatUp]+r[pressurise] <= slowest.Seconds() {
		join := ": "
		if advice != "" {
			join = "; or "
		}
		advice += fmt.Sprintf("%sat most %.0f W (%.0f BTU/h) would do", join, strongest,
			math.Floor(quantity.Power(strongest).BTUPerHour()))
	}
	return fault.New("burner", lookAtRating, "burner of %.0f W (%.0f BTU/h), never turned down, likely boils the canner "+
		"dry, which is a danger: none of %.3g l (%.3g qt) of water is left%s",
		in.likely[burnerPower], quantity.Power(in.likely[burnerPower]).BTUPerHour(), in.putIn.Litres(), in.putIn.Quarts(),
		advice)
}
