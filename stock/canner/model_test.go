package canner

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/stock/quantity"
)

// anyModel is a model from all over the spreads.
func anyModel(random *rand.Rand) model {
	between := func(low, high float64) float64 { return low + random.Float64()*(high-low) }
	return model{
		power: between(1200, 4000), loss: between(2, 9), couple: between(10, 200),
		pot: between(2000, 9000), water: between(0.5, 5), jars: between(3000, 60000),
		start: between(40, 90), jarStart: between(55, 92), air: between(-20, 35),
	}
}

// A second route: the same two lumps by Runge and Kutta's fourth-order steps.
func TestReachAgreesWithSmallSteps(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 9))
	reached := 0
	for range 300 {
		m := anyModel(random)
		canner := m.pot + m.water*waterHeat
		for _, way := range []struct{ power, from, jars, to float64 }{{m.power, m.start, m.jarStart, 97}, {0, 116, 114, 97}} {
			seconds, jars := m.reach(way.power, way.from, way.jars, way.to, 7200, 0)
			if seconds >= 7200 {
				continue
			}
			reached++
			slope := func(x, j float64) (dx, dj float64) {
				return (way.power - m.loss*(x-m.air) - m.couple*(x-j)) / canner, m.couple * (x - j) / m.jars
			}
			const steps = 400
			h := seconds / steps
			x, j := way.from, way.jars
			for range steps {
				a, p := slope(x, j)
				b, q := slope(x+h/2*a, j+h/2*p)
				c, r := slope(x+h/2*b, j+h/2*q)
				d, s := slope(x+h*c, j+h*r)
				x += h / 6 * (a + 2*b + 2*c + d)
				j += h / 6 * (p + 2*q + 2*r + s)
			}
			assert.InDelta(t, way.to, x, 1e-4)
			assert.InDelta(t, jars, j, 1e-4)
		}
	}
	assert.Greater(t, reached, 400)
}

// What the burner gives is what is stored and what the wall loses: the loss by
// Simpson's rule over the canner's temperatures on the way.
func TestHeatIsKept(t *testing.T) {
	random := rand.New(rand.NewPCG(4, 9))
	for range 100 {
		m := anyModel(random)
		seconds, jars := m.reach(m.power, m.start, m.jarStart, 97, 7200, 0)
		if seconds >= 7200 {
			continue
		}
		canner := m.pot + m.water*waterHeat
		const panels = 200
		sum := 0.0
		for i := 0; i <= panels; i++ {
			weight := 2.0 + 2*float64(i%2)
			if i == 0 || i == panels {
				weight = 1
			}
			x, _ := m.after(seconds * float64(i) / panels)
			sum += weight * (x - m.air)
		}
		lost := m.loss * sum * seconds / panels / 3
		end, _ := m.after(seconds)
		stored := canner*(end-m.start) + m.jars*(jars-m.jarStart)
		assert.InEpsilon(t, m.power*seconds, stored+lost, 1e-6)
	}
}

// after is both temperatures after s seconds of full power, by the matrix
// exponential's series in halved steps: apart from reach.
func (m model) after(s float64) (canner, jars float64) {
	c := m.pot + m.water*waterHeat
	steady := m.air + m.power/m.loss
	a := [2][2]float64{{-(m.loss + m.couple) / c, m.couple / c}, {m.couple / m.jars, -m.couple / m.jars}}
	const halvings = 12
	h := s / (1 << halvings)
	e := [2][2]float64{{1, 0}, {0, 1}}
	term := e
	for k := 1; k < 12; k++ {
		term = times(term, a, h/float64(k))
		for i := range e {
			for j := range e[i] {
				e[i][j] += term[i][j]
			}
		}
	}
	for range halvings {
		e = times(e, e, 1)
	}
	x, y := m.start-steady, m.jarStart-steady
	return steady + e[0][0]*x + e[0][1]*y, steady + e[1][0]*x + e[1][1]*y
}

func times(a, b [2][2]float64, by float64) (c [2][2]float64) {
	for i := range c {
		for j := range c[i] {
			c[i][j] = (a[i][0]*b[0][j] + a[i][1]*b[1][j]) * by
		}
	}
	return c
}

// Jars that follow at once are one lump with the canner: its time is an exponential's
// by hand.
func TestWithoutLagItIsOneLump(t *testing.T) {
	random := rand.New(rand.NewPCG(5, 9))
	for range 100 {
		m := anyModel(random)
		m.couple, m.jarStart = 1e9, m.start
		whole := m.pot + m.water*waterHeat + m.jars
		steady := m.air + m.power/m.loss
		want := whole / m.loss * math.Log((m.start-steady)/(97-steady))
		seconds, _ := m.reach(m.power, m.start, m.jarStart, 97, 20000, 0)
		if steady > 98 && want < 19000 {
			require.InEpsilon(t, want, seconds, 1e-5)
		}
		seconds, _ = m.reach(0, 116, 116, 97, 1e6, 0)
		require.InEpsilon(t, whole/m.loss*math.Log((116-m.air)/(97-m.air)), seconds, 1e-5)
	}
	// And one lump without a wall's loss is heat over power: the 1367 kJ of 7 quarts to
	// the boil (canner_energy.csv) at 1.6 kW.
	m := model{power: 1600, loss: 1e-6, couple: 1e9, pot: 4500, water: 2.81, jars: 7 * (0.45*glassHeat + 0.8825*waterHeat), start: 60, jarStart: 75}
	// The lumps meet at once at their mean, which keeps the heat.
	seconds, _ := m.reach(m.power, m.start, m.jarStart, 100, 7200, 0)
	assert.InDelta(t, 1367.0/1.6, seconds, 1)
}

// What the published spans ask of the model, at a net power of 1.6 to 2.2 kW, for 7
// quarts in a standard canner at the sea. To pressure it meets them: 3 to 5 min
// (Michigan State University Extension 01600948, 01600949). To steam it does not:
// 12 to 15 min are published, and it says 7 to 11, because the jars are not yet hot
// when the steam comes. The published span holds as the least, so the miss is on
// record here and in no plan. To zero it says 41 min where 45 are published.
func TestWhatThePublishedSpansAskOfTheModel(t *testing.T) {
	of := func(watts quantity.Power, pints, quarts int) [results]float64 {
		l := Load{Vessel: Vessel{Width: 12.25 * quantity.Inch, Height: 10.5 * quantity.Inch}, Weighted: true,
			Burner: Burner{watts, quantity.Spread(1, 1, 1)}, Pressure: 10 * quantity.PSI, Process: 25 * time.Minute}
		if pints > 0 {
			l.Jars = []Jars{{pints, 0.4265, 0.29}}
		} else {
			l.Jars = []Jars{{quarts, 0.8825, 0.45}}
		}
		in, err := l.prepare()
		require.NoError(t, err)
		r := in.run(&in.likely)
		for k := range r {
			r[k] /= 60
		}
		return r
	}
	for _, watts := range []quantity.Power{1600, 1900, 2200} {
		toPressure := of(watts, 0, 7)[pressurise]
		assert.GreaterOrEqual(t, toPressure, 2.85, "3 min to the printed minute, at %v W", watts)
		assert.LessOrEqual(t, toPressure, 5.05, "5 min to the printed minute, at %v W", watts)
		assert.Less(t, of(watts, 0, 7)[heatUp], 12.0, "the miss, on record")
	}
	// 12 to 15 min want 1.3 to 1.5 kW.
	assert.GreaterOrEqual(t, of(1500, 0, 7)[heatUp], 11.5)
	assert.LessOrEqual(t, of(1300, 0, 7)[heatUp], 15.5)
	// To zero, 30 min with pints and 45 with quarts (same source): within 10 %.
	assert.InDelta(t, 30, of(1900, 9, 0)[depressurise], 3)
	assert.InDelta(t, 45, of(1900, 0, 7)[depressurise], 4.5)
}
