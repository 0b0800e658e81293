package chill

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/stock/quantity"
)

// lump is a leg with one coefficient against surroundings that do not warm: one
// joule a kelvin, one watt a kelvin, so that a time constant is a second.
func lump(base float64) leg {
	return leg{heat: 1, area: 1, overall: 1, base: base, step: workingStep, least: math.Inf(1)}
}

func seconds(t *testing.T, l leg, from, to float64) float64 {
	t.Helper()
	var passed track
	y := state{broth: from, other: l.base}
	require.True(t, l.fall(&y, &passed, to, longest))
	return passed.seconds
}

func TestConstantCoefficientIsExponential(t *testing.T) {
	tests := []struct {
		source   string
		from, to float64 // °C, against 0 °C
		want     float64 // in time constants
	}{
		{"lumped capacitance, exp(-t/tau) (any heat transfer text): 1/e", 100, 100 / math.E, 1},
		{"half-life is ln 2 time constants", 80, 40, math.Ln2},
		{"three halvings", 80, 10, 3 * math.Ln2},
		{"already there", 10, 10, 0},
	}
	for _, tt := range tests {
		// What is left of a step of 0.3 time constants.
		assert.InDelta(t, tt.want, seconds(t, lump(0), tt.from, tt.to), 1e-4*max(tt.want, 1), tt.source)
		exact := lump(0)
		exact.step = 0.01
		assert.InDelta(t, tt.want, seconds(t, exact, tt.from, tt.to), 1e-9, tt.source)
	}
}

// Two bodies in a closed box: the difference falls with both heat capacities in
// series, and both end at the mixing temperature.
func TestBathWithoutIceIsTwoBodies(t *testing.T) {
	const source = "two lumped bodies, closed form: rate UA(1/C1 + 1/C2)"
	l := lump(0)
	l.bath, l.step = 3, 0.02
	var passed track
	y := state{broth: 80, other: 20}
	require.True(t, l.fall(&y, &passed, 50, longest))
	difference := 60 * math.Exp(-passed.seconds*(1+1.0/3))
	assert.InDelta(t, difference, y.broth-y.other, 1e-6, source)
	assert.InDelta(t, (80+3*20.0)/4, (y.broth+3*y.other)/4, 1e-6, source)
}

func TestPaceThatJustKeepsTheRule(t *testing.T) {
	const source = "two-point model of Hedeen, Schaffner & Brown, J. Environ. Health 2022, with the Food Code's times: pace in log10 per hour"
	tests := []struct {
		source     string
		surrounds  float64 // °F
		stage1     float64 // 135→70 °F in 2 h
		bothStages float64 // 135→41 °F in 6 h
	}{
		{source, 32, 0.217, 0.176},
		{source, 34, 0.224, 0.193},
		{source, 36, 0.232, 0.216},
		{source, 37, 0.236, 0.232},
		{source, 38, 0.241, 0.252},
		{source, 40, 0.250, 0.330},
	}
	for _, tt := range tests {
		hours := func(pace float64, to quantity.Temperature) float64 {
			l := lump(quantity.Fahrenheit(tt.surrounds).Celsius())
			return seconds(t, l, clockStarts.Celsius(), to.Celsius()) * math.Log10(math.E) / pace
		}
		// The pace is printed to 0.0005, so the time is good to that share of it.
		assert.InDelta(t, 2, hours(tt.stage1, firstStage), 2*0.0005/tt.stage1, "%v °F stage 1: %s", tt.surrounds, tt.source)
		assert.InDelta(t, 6, hours(tt.bothStages, secondStage), 6*0.0005/tt.bothStages, "%v °F both: %s", tt.surrounds, tt.source)
	}
}

func TestOneTermRoots(t *testing.T) {
	const slabs = "one-term coefficients of the plane wall (table of any heat transfer text, as remembered; roots recomputed)"
	tests := []struct {
		source          string
		biot            float64
		solve           func(float64) (float64, float64)
		root, amplitude float64
	}{
		{slabs, 0.1, slabRoot, 0.3111, 1.0161},
		{slabs, 0.5, slabRoot, 0.6533, 1.0701},
		{slabs, 1, slabRoot, 0.8603, 1.1191},
		{slabs, 2, slabRoot, 1.0769, 1.1785},
		{slabs, 5, slabRoot, 1.3138, 1.2402},
		{slabs, 10, slabRoot, 1.4289, 1.2620},
		{slabs, 100, slabRoot, 1.5552, 1.2731},
		{"same, cylinder", 1, cylinderRoot, 1.2558, 1.2071},
	}
	for _, tt := range tests {
		root, amplitude := tt.solve(tt.biot)
		assert.InDelta(t, tt.root, root, 0.00006, "Bi %v: %s", tt.biot, tt.source)
		assert.InDelta(t, tt.amplitude, amplitude, 0.00006, "Bi %v: %s", tt.biot, tt.source)
	}
	for _, biot := range []float64{1e-9, 1e-4, 3e3, 1e7} {
		for _, solve := range []func(float64) (float64, float64){slabRoot, cylinderRoot} {
			root, amplitude := solve(biot)
			assert.Positive(t, root)
			assert.False(t, math.IsNaN(amplitude))
			assert.Less(t, root, 2.41) // the first zero of J0, 2.4048: any handbook table
		}
	}
}

// The conduction bound, as the lump sees it, against the product solution it was
// made from, and that against published cooling.
func TestSetBrothIsAFiniteCylinder(t *testing.T) {
	tests := []struct {
		source        string
		gallons, wide float64 // wide as high, in
		from, to      float64 // °F, against 40 °F
		hours         float64 // of the middle
		tolerance     float64
	}{
		{"Dickerson & Read: 8 gal of white sauce 105→57 °F in 25 h", 8, 13.3, 105, 57, 25, 1},
		{"worked conduction model of the 14 gal of stew, k 0.52, h 8: 46 h (84 h were seen)", 14, 16, 115, 50, 46, 2},
	}
	for _, tt := range tests {
		pot := Pot{Volume: quantity.Volume(tt.gallons) * quantity.Gallon, Width: quantity.Length(tt.wide) * quantity.Inch}
		const k, diffusivity, h = 0.52, 1.35e-7, 8.0
		radius, half := pot.Width.Metres()/2, pot.depth().Metres()/2
		across, a := cylinderRoot(h * radius / k)
		down, b := slabRoot(h * half / k)
		rate := diffusivity * (across*across/radius/radius + down*down/half/half)
		middle := math.Log(a*b*(tt.from-40)/(tt.to-40)) / rate / 3600
		assert.InDelta(t, tt.hours, middle, tt.tolerance, tt.source)

		// The lump with the resistance falls as fast as that, but for k and ρc.
		end, wall := pot.faces()
		resistance := pot.setting(h, true)
		overall := 1 / (1/h + resistance)
		decay := overall * (wall + 2*end).SquareMetres() / (pot.Volume.CubicMetres() * conductivity)
		withOwnK := func(l float64) float64 { return h * l / conductivity }
		across, _ = cylinderRoot(withOwnK(radius))
		down, _ = slabRoot(withOwnK(half))
		assert.InEpsilon(t, across*across/radius/radius+down*down/half/half, decay, 1e-9, tt.source)
	}

	// Square law: without an outer film double the size takes four times as long.
	const none = 1e6
	small, large := Pot{Volume: quantity.Litre, Width: 10 * quantity.Centimetre}, Pot{Volume: 8 * quantity.Litre, Width: 20 * quantity.Centimetre}
	tau := func(p Pot) float64 {
		end, wall := p.faces()
		return p.setting(none, true) * p.Volume.CubicMetres() / (wall + 2*end).SquareMetres()
	}
	assert.InEpsilon(t, 4, tau(large)/tau(small), 0.001, "Dickerson & Read: time goes with the square of the shortest dimension")
	assert.InEpsilon(t, 2, float64(slabSetting(10*quantity.Centimetre, none)/slabSetting(5*quantity.Centimetre, none)), 0.001, "resistance goes with depth, heat with depth again")
}

func TestFilms(t *testing.T) {
	tests := []struct {
		source         string
		got, low, high float64
	}{
		{"Churchill-Chu worked for a side 0.25 m high, 57 °C in 4 °C air: 5.9", float64(stillAirFilm(53, 0.25)), 5.75, 5.95},
		{"same, 40 °C: 5.4", float64(stillAirFilm(36, 0.25)), 5.2, 5.45},
		{"same, 15 °C: 3.9", float64(stillAirFilm(11, 0.25)), 3.85, 3.95},
		{"same with radiation, 57 °C, emissivity 0.3: 7", float64(stillAirFilm(53, 0.25) + radiated(0.3, quantity.Celsius(57), quantity.Celsius(4))), 7, 8},
		{"same, emissivity 0.85: 11", float64(stillAirFilm(53, 0.25) + radiated(0.85, quantity.Celsius(57), quantity.Celsius(4))), 10.5, 11.5},
		{"Churchill-Chu, water 60/40 °C: about 900", waterFilms[7].free() * math.Cbrt(20), 850, 1050},
		{"Churchill-Chu, 15→1 °C on the ice side: about 330", math.Pow(hindranceAt(quantity.Celsius(8)), -4.0/3) * math.Cbrt(14), 260, 360},
		{"both films in series, worked: 200–250 unstirred; as the films stand, before layers hinder them", float64(waterToWater(quantity.Celsius(40), quantity.Celsius(1))), 200, 260},
	}
	for _, tt := range tests {
		assert.GreaterOrEqual(t, tt.got, tt.low, tt.source)
		assert.LessOrEqual(t, tt.got, tt.high, tt.source)
	}
	// Second route for the two films in series: the wall's temperature, bisected.
	hot, cold := quantity.Celsius(60), quantity.Celsius(5)
	inner, outer := math.Pow(hindranceAt(quantity.Celsius(46.25)), -4.0/3), math.Pow(hindranceAt(quantity.Celsius(18.75)), -4.0/3)
	wall := firstRoot(55, func(x float64) float64 { return inner*math.Pow(x, 4.0/3) - outer*math.Pow(55-x, 4.0/3) })
	assert.InEpsilon(t, inner*math.Pow(wall, 4.0/3)/55, float64(waterToWater(hot, cold)), 1e-9)
	assert.Zero(t, waterToWater(cold, hot))
}

func every(t *testing.T, each func(pot Pot, around Surroundings, method Method, s side)) {
	t.Helper()
	little := withOutdoors(quantity.Celsius(-4))
	little.Ice = 3 * quantity.Kilogram
	for _, around := range []Surroundings{withOutdoors(quantity.Celsius(-4)), little} {
		for _, pot := range []Pot{stockPot.with(t), Pot{Volume: quantity.Litre, Width: 15 * quantity.Centimetre}.with(t)} {
			for _, m := range Methods() {
				for s := range sides {
					each(pot, around, m, s)
				}
			}
		}
	}
}

func TestEnergyIsKept(t *testing.T) {
	every(t, func(pot Pot, around Surroundings, method Method, s side) {
		first, second := method.Parts()
		for _, m := range []Method{first, second} {
			if m == "" || m.medium(around).melts {
				continue
			}
			medium := m.medium(around)
			l := medium.leg(pot, around, s)
			y, passed := state{broth: pot.From.Celsius()}, track{}
			y.other = medium.begin(around, &l, &y)
			before, bathBefore := y, l.bath
			l.fall(&y, &passed, max(secondStage.Celsius(), l.base)+3, longest)

			lost := l.heat * (before.broth - y.broth)
			out := y.out - before.out
			assert.InEpsilon(t, lost, out, 1e-6, "%s side %d: the broth's heat goes out", method, s)
			var stored float64
			switch {
			case l.cabinet:
				stored = l.food * (y.other - before.other)
			case l.bath > 0 || y.melted > before.melted:
				stored = (y.melted-before.melted)*perMelted + l.bath*y.other - bathBefore*before.other
				if !l.ice && l.bath > bathBefore {
					// The ice that melted joined the bath at the bath's temperature.
					stored -= (l.bath - bathBefore) * iceBathTemperature.Celsius()
				}
			}
			assert.InDelta(t, 0, (out-stored-(y.removed-before.removed))/lost, 1e-6, "%s side %d: and into what is round it", method, s)
		}
	})
}

func TestStepHalving(t *testing.T) {
	worst := 0.0
	every(t, func(pot Pot, around Surroundings, method Method, s side) {
		first, _ := method.Parts()
		medium := first.medium(around)
		if medium.melts {
			return
		}
		after := func(share float64) float64 {
			l := medium.leg(pot, around, s)
			l.step *= share
			y := state{broth: pot.From.Celsius()}
			y.other = medium.begin(around, &l, &y)
			var passed track
			target := max(secondStage.Celsius(), l.base+3)
			if !l.fall(&y, &passed, target, longest) {
				return math.NaN()
			}
			return passed.seconds
		}
		whole, half, eighth := after(1), after(0.5), after(0.125)
		if math.IsNaN(whole) {
			assert.True(t, math.IsNaN(eighth), "%s side %d: never, whatever the step", method, s)
			return
		}
		worst = max(worst, math.Abs(whole/eighth-1))
		// Corners (thermostat, gelling) cost the rule its order, so that halving is
		// asked for only where there is something to gain.
		assert.InEpsilon(t, eighth, whole, 0.01, "%s side %d", method, s)
		assert.InEpsilon(t, eighth, half, 0.005, "%s side %d", method, s)
	})
	t.Logf("largest error of a working step: %.2g", worst)
}

// Food colder than its freezer is a step too long for it.
func TestBigPotsDoNotSwingTheFood(t *testing.T) {
	around := DefaultSurroundings()
	for _, m := range []Method{Freezer, Fridge, ShallowPans} {
		for s := range sides {
			medium := m.medium(around)
			l := medium.leg(Pot{Volume: 100 * quantity.Litre, Width: 20 * quantity.Inch}.with(t), around, s)
			y, passed := state{broth: 95, other: l.base}, track{}
			for _, target := range []float64{57.2, 40, 21.1, 12, 6} {
				require.True(t, l.fall(&y, &passed, target, longest))
				require.GreaterOrEqual(t, y.other, l.base-1e-9, "%s side %d at %v °C", m, s, target)
				require.LessOrEqual(t, y.other, 95.0)
			}
		}
	}
}

// A bath that has lost its ice warms, and broth that nears it creeps.
func TestStepsAreBounded(t *testing.T) {
	for _, ounces := range []float64{0, 1, 4, 40} {
		for _, pot := range []Pot{{Volume: 0.1 * quantity.Litre, Width: 50 * quantity.Centimetre}, {Volume: 2 * quantity.Gallon, Width: 10 * quantity.Inch}, {Volume: 200 * quantity.Litre, Width: 50 * quantity.Centimetre}} {
			for _, cold := range []float64{3, 4.99} {
				around := withOutdoors(quantity.Celsius(cold))
				around.Fridge, around.Tap, around.Ice = quantity.Celsius(cold), quantity.Celsius(cold), quantity.Mass(ounces*0.02835)
				for _, m := range Methods() {
					for s := range sides {
						c := follow(pot.with(t), around, m, s, switchFor(pot.with(t), around, m), longest)
						assert.Less(t, c.steps, 2500, "%s side %d, %v oz of ice", m, s, ounces)
					}
				}
			}
		}
	}
}

func TestMoreIceIsQuicker(t *testing.T) {
	for _, m := range []Method{IceBath, IceBathStirred, FrozenBottles} {
		around := DefaultSurroundings()
		last := Reach{Never: true}
		for kilograms := 0.5; kilograms <= 40; kilograms *= 1.3 {
			around.Ice = quantity.Mass(kilograms)
			r, err := Cool(stockPot, around, m)
			require.NoError(t, err)
			if !last.Never {
				require.False(t, r.To41F.Never, "%s, %v kg", m, kilograms)
				assert.LessOrEqual(t, r.To41F.After.Seconds(), last.After.Seconds()*1.0001, "%s, %v kg", m, kilograms)
			}
			last = r.To41F
			assert.Equal(t, r.To41F.Never, kilograms < r.Ice.Kilograms() && r.To41F.Never)
		}
		around.Ice = 0
		enough, err := Cool(stockPot, around, m)
		require.NoError(t, err)
		assert.Equal(t, enough.To41F, last, "more than enough is enough")
		around.Ice = enough.Ice / 3
		short, err := Cool(stockPot, around, m)
		require.NoError(t, err)
		assert.Equal(t, Fail, short.Verdict, "a third of the ice")
		assert.InEpsilon(t, enough.Ice.Kilograms(), short.Ice.Kilograms(), 1e-9, "the ice to buy is what it takes")
	}
}

func TestFridgeWarms(t *testing.T) {
	at := func(power quantity.Power, food quantity.Mass, m Method) Result {
		around := DefaultSurroundings()
		around.FridgePower, around.FridgeFood = power, food
		r, err := Cool(stockPot, around, m)
		require.NoError(t, err)
		return r
	}
	weak, strong := at(30, 20, Fridge), at(3000, 20, Fridge)
	assert.Greater(t, weak.To70F.After, strong.To70F.After)
	assert.Greater(t, weak.Other.Peak, strong.Other.Peak)
	assert.Greater(t, weak.Other.Above41F, strong.Other.Above41F)
	assert.Less(t, strong.Other.Peak.Celsius(), 4.0, "a walk-in hardly feels it")
	assert.Greater(t, at(100, 5, Fridge).Other.Peak, at(100, 50, Fridge).Other.Peak)
	assert.Greater(t, at(0, 0, ShallowPans).Other.Peak, at(0, 0, Fridge).Other.Peak, "pans give their heat faster")
	assert.Equal(t, Freezer, at(0, 0, Freezer).Other.In)
	assert.Empty(t, at(0, 0, IceBath).Other.In)
	// A bound by hand: all of the broth's heat into 20 kg of food that nothing cools;
	// 3.5 and 4.1 kJ/(kg·K), from memory.
	assert.Less(t, at(5, 20, ShallowPans).Other.Peak.Celsius(), (3*20*3.5e3+95*13.2*4.1e3)/(20*3.5e3+13.2*4.1e3))
}

func TestShallowerPansAreQuicker(t *testing.T) {
	last := 0.0
	for _, inches := range []float64{0.5, 1, 2, 2.5, 3, 4, 6} {
		around := DefaultSurroundings()
		around.FridgePower = 5 * quantity.Kilowatt
		pot := stockPot
		pot.PanDepth = quantity.Length(inches) * quantity.Inch
		r, err := Cool(pot, around, ShallowPans)
		require.NoError(t, err)
		assert.Greater(t, r.SlowTo41F.After.Hours(), last)
		last = r.SlowTo41F.After.Hours()
		if inches >= 3 {
			assert.NotEqual(t, Pass, r.Verdict, "CDC study of restaurants (Igo, Hedeen & Schaffner): 3 in deep and more is more likely too slow")
		}
	}
}

func TestPublishedCooling(t *testing.T) {
	// What the model is known to miss, each on the safe side: it is slower than seen.
	misses := map[string]string{
		"2": "a cooler held at 40 °F makes 41 °F very slow, so the one seen was likely colder",
		"4": "fails 2 in pans at 40 °F where chili kept the rule; row 10 fails them as the model does",
	}

	file, err := os.Open("../../testdata/published/cooling_observed.csv")
	require.NoError(t, err)
	defer file.Close()
	reader := csv.NewReader(file)
	reader.Comment = '#'
	rows, err := reader.ReadAll()
	require.NoError(t, err)
	require.Len(t, rows, 19)

	columns := map[string]int{}
	for i, name := range rows[0] {
		columns[name] = i
	}
	for _, row := range rows[1:] {
		text := func(name string) string { return row[columns[name]] }
		number := func(name string, missing float64) float64 {
			if text(name) == "" {
				return missing
			}
			x, err := strconv.ParseFloat(text(name), 64)
			require.NoError(t, err, "row %s %s", text("row"), name)
			return x
		}
		t.Run(text("row")+" "+text("food")+" "+text("medium"), func(t *testing.T) {
			// These were coolers of the trade, which one pot does not warm.
			around := DefaultSurroundings()
			around.FridgePower, around.FridgeFood = 5*quantity.Kilowatt, 500*quantity.Kilogram
			if text("medium_f") != "" {
				around.Fridge = quantity.Fahrenheit(number("medium_f", 0))
			}
			method := Method(text("medium"))
			if method == "shallow-pans-freezer" {
				around.Fridge, method = around.Freezer, ShallowPans
			}
			pot := Pot{Volume: quantity.Volume(number("volume_gal", 1)) * quantity.Gallon, Width: quantity.Length(number("width_in", 12)) * quantity.Inch}
			if text("depth_in") != "" && method == ShallowPans {
				pot.PanDepth = quantity.Length(number("depth_in", 2)) * quantity.Inch
			}
			pot = pot.with(t)
			hours := func(s side, from, to quantity.Temperature) float64 {
				m := method.medium(around)
				l := m.leg(pot, around, s)
				if text("kind") == "match" {
					l.setting = 0 // wort does not set
				}
				y := state{broth: from.Celsius()}
				y.other = m.begin(around, &l, &y)
				var passed track
				require.True(t, l.fall(&y, &passed, to.Celsius(), longest))
				return passed.seconds / 3600
			}

			from, to := quantity.Fahrenheit(number("from_f", 135)), quantity.Fahrenheit(number("to_f", 41))
			quick, middle, slowest := hours(fast, from, to), hours(likely, from, to), hours(slow, from, to)
			keeps := hours(likely, clockStarts, firstStage) <= 2 && hours(likely, clockStarts, secondStage) <= 6

			met, off := true, 0.0
			switch text("kind") {
			case "bound":
				off = middle / number("hours_high", math.Inf(1))
				met = off <= 1
			case "match":
				met = quick <= number("hours_high", 0) && slowest >= number("hours_low", 0)
				off = max(middle/number("hours_high", 0), number("hours_low", 0)/middle)
				assert.LessOrEqual(t, off, 1.65, "the accuracy sentence of Cool: %s", text("source"))
			case "rule":
				off = max(hours(likely, clockStarts, firstStage)/2, hours(likely, clockStarts, secondStage)/6)
				met = text("rule") != "keep" || keeps
			default:
				require.Fail(t, "unknown kind", text("kind"))
			}
			t.Logf("%s: model %.2f h (%.2f–%.2f), keeps the rule: %v; seen %s–%s h, rule %q; model over what was seen or allowed: %.2f", text("kind"), middle, quick, slowest, keeps, text("hours_low"), text("hours_high"), text("rule"), off)

			if reason, known := misses[text("row")]; known {
				assert.False(t, met, "row %s is listed as missed but is met: strike it from the list", text("row"))
				t.Logf("MISSED by a factor of %.2f: %s", off, reason)
				return
			}
			assert.True(t, met, "%s: %s", text("note"), text("source"))
		})
	}
}

func FuzzCool(f *testing.F) {
	f.Add(12.5, 30.0, 95.0, 3.0, -18.0, 15.0, -4.0, 0.0, 5.0)
	f.Add(0.1, 10.0, 57.3, 4.9, -40.0, 50.0, 50.0, 0.01, 1.0)
	f.Add(200.0, 10.0, 105.0, -40.0, 0.0, 0.0, -40.0, 900.0, 20.0)
	f.Fuzz(func(t *testing.T, litres, width, from, fridge, freezer, tap, outdoors, ice, depth float64) {
		around := DefaultSurroundings()
		around.Fridge, around.Freezer, around.Tap = quantity.Celsius(fridge), quantity.Celsius(freezer), quantity.Celsius(tap)
		around.Outdoors, around.Ice = pointer(quantity.Celsius(outdoors)), quantity.Mass(ice)
		pot := Pot{quantity.Volume(litres) * quantity.Litre, quantity.Length(width) * quantity.Centimetre, quantity.Celsius(from), quantity.Length(depth) * quantity.Centimetre, Jar{}}
		results, err := Compare(pot, around)
		if err != nil {
			return
		}
		for _, r := range results {
			for _, reach := range []Reach{r.FastTo70F, r.FastTo41F, r.To70F, r.To41F, r.SlowTo70F, r.SlowTo41F} {
				require.False(t, reach.After < 0 || reach.After.Seconds() > longest, "%s: %v", r.Method, reach)
			}
			require.True(t, r.Ice >= 0 && r.Ice < 10000, "%s: %v", r.Method, r.Ice)
			require.False(t, math.IsNaN(float64(r.Other.Peak)))
			require.GreaterOrEqual(t, r.Attended.Low.Seconds(), 0.0)
		}
	})
}

func BenchmarkCompareWithTooLittleIce(b *testing.B) {
	around := DefaultSurroundings()
	around.Ice = 28 * quantity.Gram
	for b.Loop() {
		if _, err := Compare(stockPot, around); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkPropose(b *testing.B) {
	for b.Loop() {
		if _, _, err := Propose(stockPot, DefaultSurroundings()); err != nil {
			b.Fatal(err)
		}
	}
}
