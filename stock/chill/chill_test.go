package chill

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/stock/quantity"
)

var stockPot = Pot{Volume: 22 * quantity.Quart * 0.6, Width: 30 * quantity.Centimetre}

func pointer(t quantity.Temperature) *quantity.Temperature { return &t }

func withOutdoors(t quantity.Temperature) Surroundings {
	s := DefaultSurroundings()
	s.Outdoors = pointer(t)
	return s
}

func TestFallMatchesClosedForm(t *testing.T) {
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
		got := fall(time.Hour, quantity.Celsius(0), quantity.Celsius(tt.from), quantity.Celsius(tt.to))
		require.False(t, got.Never, tt.source)
		assert.InDelta(t, tt.want, got.After.Hours(), 1e-9, tt.source)
	}
}

// An 8 l pot whose width is not printed. All six times fit one area, 0.176 m²
// at 1018 kg/m³ and 4.0 kJ/(kg·K), which is the bottom and wetted side of a pot
// 26.2 cm wide.
func TestCoolMatchesWorkedLumpedTimes(t *testing.T) {
	const source = "worked lumped times, 8 l pot, fridge 3 °C U 8, ice 1 °C U 150, stirred U 350 (own hand calculation before the code)"
	pot := Pot{Volume: 8 * quantity.Litre, Width: 26.2 * quantity.Centimetre}
	require.InDelta(t, 0.176, pot.area().SquareMetres(), 0.0005)

	tests := []struct {
		source     string
		method     Method
		to70, more float64 // h; 135→70 °F and 70→41 °F
		tolerance  float64 // half a unit of the last printed digit
	}{
		{source, Fridge, 7.0, 14.2, 0.05},
		{source, IceBath, 0.35, 0.55, 0.005},
		{source, IceBathStirred, 0.15, 0.24, 0.005},
	}
	for _, tt := range tests {
		r, err := Cool(pot, DefaultSurroundings(), tt.method)
		require.NoError(t, err, tt.method)
		assert.InDelta(t, tt.to70, r.To70F.After.Hours(), tt.tolerance, "%s: %s", tt.method, tt.source)
		assert.InDelta(t, tt.more, (r.To41F.After - r.To70F.After).Hours(), tt.tolerance, "%s: %s", tt.method, tt.source)
	}
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
	constant := func(pace float64) time.Duration {
		return time.Duration(math.Log10(math.E) / pace * float64(time.Hour))
	}
	for _, tt := range tests {
		medium := quantity.Fahrenheit(tt.surrounds)
		// The pace is printed to 0.0005, so the time is good to that share of it.
		first := fall(constant(tt.stage1), medium, clockStarts, firstStage).After.Hours()
		assert.InDelta(t, 2, first, 2*0.0005/tt.stage1, "%v °F stage 1: %s", tt.surrounds, tt.source)
		whole := fall(constant(tt.bothStages), medium, clockStarts, secondStage).After.Hours()
		assert.InDelta(t, 6, whole, 6*0.0005/tt.bothStages, "%v °F both: %s", tt.surrounds, tt.source)
	}
}

func TestPublishedCooling(t *testing.T) {
	// What the model is known to miss, each on the safe side: it is slower than seen.
	misses := map[string]string{
		"2": "model slower than viscous chili: a fridge held at 40 °F makes 41 °F very slow, so the one seen was likely colder",
		"4": "model fails 2 in pans at 40 °F where chili kept the rule; row 10 fails them as the model does",
	}

	file, err := os.Open("../../testdata/published/cooling_observed.csv")
	require.NoError(t, err)
	defer file.Close()
	reader := csv.NewReader(file)
	reader.Comment = '#'
	rows, err := reader.ReadAll()
	require.NoError(t, err)
	require.Len(t, rows, 17)

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
			around := DefaultSurroundings()
			if text("medium_f") != "" {
				around.Fridge = quantity.Fahrenheit(number("medium_f", 0))
			}
			method := Method(text("medium"))
			if method == "shallow-pans-freezer" {
				around.Fridge, method = around.Freezer, ShallowPans
			}
			m := method.medium(around)
			volume := quantity.Volume(number("volume_gal", 1)) * quantity.Gallon
			pot := Pot{Volume: volume, Width: quantity.Length(number("width_in", 12)) * quantity.Inch}
			area := pot.area()
			if m.pans {
				area = panArea(volume, quantity.Length(number("depth_in", 2))*quantity.Inch)
			}
			hours := func(s side, from, to quantity.Temperature) float64 {
				r := fall(timeConstant(volume, area, m.overall[s]), m.temperature, from, to)
				require.False(t, r.Never)
				return r.After.Hours()
			}

			from, to := quantity.Fahrenheit(number("from_f", 135)), quantity.Fahrenheit(number("to_f", 41))
			quick, middle, slowest := hours(fast, from, to), hours(likely, from, to), hours(slow, from, to)
			keeps := hours(likely, clockStarts, firstStage) <= 2 && hours(likely, clockStarts, secondStage) <= 6

			met := true
			switch text("kind") {
			case "bound":
				met = middle <= number("hours_high", math.Inf(1))
			case "match":
				met = quick <= number("hours_high", 0) && slowest >= number("hours_low", 0)
				factor := max(middle/number("hours_high", 0), number("hours_low", 0)/middle)
				assert.LessOrEqual(t, factor, 1.65, "the accuracy sentence of Cool: %s", text("source"))
			case "rule":
				met = text("rule") != "keep" || keeps
			default:
				require.Fail(t, "unknown kind", text("kind"))
			}
			t.Logf("%s: model %.2f h (%.2f–%.2f), keeps the rule: %v; seen %s–%s h, rule %q", text("kind"), middle, quick, slowest, keeps, text("hours_low"), text("hours_high"), text("rule"))

			if reason, known := misses[text("row")]; known {
				assert.False(t, met, "row %s is listed as missed but is met: strike it from the list", text("row"))
				t.Logf("MISSED: %s", reason)
				return
			}
			assert.True(t, met, "%s: %s", text("note"), text("source"))
		})
	}
}

func TestRowsNoRuleKeeperMayPass(t *testing.T) {
	// The chili of these rows missed the rule in still air; a model that passes broth there with margin would be too kind.
	tests := []struct {
		source string
		pot    Pot
		fridge float64
	}{
		{"North Dakota State University Extension: 5 gal bucket, not cold after 20 h", Pot{Volume: 5 * quantity.Gallon, Width: 11.5 * quantity.Inch}, 40},
		{"Olds & Sneed 2005: 3 gal pot in a walk-in", Pot{Volume: 3 * quantity.Gallon, Width: 10 * quantity.Inch}, 38},
	}
	for _, tt := range tests {
		around := DefaultSurroundings()
		around.Fridge = quantity.Fahrenheit(tt.fridge)
		r, err := Cool(tt.pot, around, Fridge)
		require.NoError(t, err)
		assert.Equal(t, Fail, r.Verdict, tt.source)
	}
}

func TestIce(t *testing.T) {
	oneKilogram := Pot{Volume: quantity.Mass(1).At(brothDensity), Width: 20 * quantity.Centimetre, From: quantity.Celsius(57.3)}
	tests := []struct {
		source    string
		method    Method
		want      float64 // kg per kg of broth
		tolerance float64
	}{
		{"worked ice balance m·cp·ΔT/334 kJ/kg: about 0.65 kg a kg from 57 to 5 °C (printed with water's heat capacity, 4 % above broth's)", IceBath, 0.65, 0.03},
		{"same", IceBathStirred, 0.65, 0.03},
		{"same", FrozenBottles, 0.65, 0.03},
		{"own heat balance, second route below", IceAdded, 0.3696, 0.002},
	}
	for _, tt := range tests {
		r, err := Cool(oneKilogram, DefaultSurroundings(), tt.method)
		require.NoError(t, err)
		assert.InDelta(t, tt.want, r.Ice.Kilograms(), tt.tolerance, "%s: %s", tt.method, tt.source)
	}

	// Second route: heat the broth gives up equals what the ice takes up.
	r, err := Cool(oneKilogram, DefaultSurroundings(), IceAdded)
	require.NoError(t, err)
	ice := r.Ice.Kilograms()
	assert.InDelta(t, (1-ice)*4.0*(57.3-5), ice*(334+4.2*5), 1e-6)

	r, err = Cool(oneKilogram, DefaultSurroundings(), Fridge)
	require.NoError(t, err)
	assert.Zero(t, r.Ice)
}

func TestVerdict(t *testing.T) {
	at := func(h float64) Reach { return Reach{After: time.Duration(h * float64(time.Hour))} }
	const source = "FDA Food Code 3-501.14(A): 2 h to 70 °F, 6 h in all to 41 °F"
	tests := []struct {
		source                     string
		to70, to41, slow70, slow41 Reach
		want                       Verdict
	}{
		{source, at(1), at(3), at(2), at(6), Pass},
		{source, at(1), at(3), at(2.001), at(6), Narrow},
		{source, at(1), at(3), at(2), at(6.001), Narrow},
		{source, at(2.001), at(3), at(3), at(4), Fail},
		{source, at(1), at(6.001), at(1), at(7), Fail},
		{source, at(1), Reach{Never: true}, at(1), Reach{Never: true}, Fail},
	}
	for i, tt := range tests {
		got := verdict(Result{To70F: tt.to70, To41F: tt.to41, SlowTo70F: tt.slow70, SlowTo41F: tt.slow41})
		assert.Equal(t, tt.want, got, "row %d: %s", i, tt.source)
	}
}

// Own rule, on the safe side: no published time stands behind these two.
func TestGuessedTimesNeverPassWithMargin(t *testing.T) {
	for _, m := range []Method{IceAdded, FrozenBottles} {
		r, err := Cool(Pot{Volume: quantity.Litre, Width: 20 * quantity.Centimetre}, DefaultSurroundings(), m)
		require.NoError(t, err)
		assert.True(t, r.SlowTo70F.Within(WithinTo70F) && r.SlowTo41F.Within(WithinTo41F), m)
		assert.Equal(t, Narrow, r.Verdict, m)
	}
}

func TestNever(t *testing.T) {
	warmFridge := DefaultSurroundings()
	warmFridge.Fridge = quantity.Fahrenheit(42)
	exactFridge := DefaultSurroundings()
	exactFridge.Fridge = quantity.Fahrenheit(41)
	hotTap := DefaultSurroundings()
	hotTap.Tap = quantity.Fahrenheit(75)
	tests := []struct {
		source       string
		around       Surroundings
		method       Method
		no70F, no41F bool
	}{
		{"nothing cools below its surroundings", warmFridge, Fridge, false, true},
		{"an exponential only nears its surroundings", exactFridge, Fridge, false, true},
		{"the fridge ends the sequence", warmFridge, IceBathStirredThenFridge, false, true},
		{"pans stand in the fridge too", warmFridge, ShallowPans, false, true},
		{"tap water is warmer than 41 °F", DefaultSurroundings(), ColdWater, false, true},
		{"tap water is warmer than 70 °F", hotTap, ColdWaterThenFridge, true, true},
		{"room at 21 °C, 69.8 °F", DefaultSurroundings(), Counter, false, true},
	}
	for _, tt := range tests {
		r, err := Cool(stockPot, tt.around, tt.method)
		require.NoError(t, err)
		assert.Equal(t, tt.no70F, r.To70F.Never, "%s: %s", tt.method, tt.source)
		assert.Equal(t, tt.no41F, r.To41F.Never, "%s: %s", tt.method, tt.source)
		assert.Equal(t, Fail, r.Verdict, "%s: %s", tt.method, tt.source)
		assert.Contains(t, r.Advice, "5 °C")
	}
}

func TestSequenceIsItsParts(t *testing.T) {
	around := DefaultSurroundings()
	ice, err := Cool(stockPot, around, IceBathStirred)
	require.NoError(t, err)
	fridge, err := Cool(stockPot, around, Fridge)
	require.NoError(t, err)
	both, err := Cool(stockPot, around, IceBathStirredThenFridge)
	require.NoError(t, err)

	assert.Equal(t, ice.To70F, both.To70F)
	// Each leg is rounded to a nanosecond.
	assert.InDelta(t, float64(fridge.To41F.After-fridge.To70F.After), float64(both.To41F.After-both.To70F.After), 10)
	assert.Equal(t, Fail, both.Verdict)
	assert.Contains(t, both.Advice, "stay with the ice until 41 °F")
	assert.Less(t, both.Ice, ice.Ice)
	assert.Less(t, both.Attended.Likely, ice.Attended.Likely)
	assert.Greater(t, both.Attended.Likely, both.To70F.After, "straining is hotter than 135 °F")
	assert.Zero(t, fridge.Attended)
}

func TestPropose(t *testing.T) {
	porch := func(f float64) Surroundings { return withOutdoors(quantity.Fahrenheit(f)) }
	tests := []struct {
		source string
		pot    Pot
		around Surroundings
		want   Method
	}{
		{"Food Code 3-501.15 names stirring in an ice water bath; the fridge cannot do the last part of a stock pot; cold water first saves ice: common practice, no source", stockPot, DefaultSurroundings(), ColdWaterThenIceBathStirred},
		{"a mild porch is no better", stockPot, porch(35), ColdWaterThenIceBathStirred},
		// By hand, slow side U 5.5: 135→70 °F in 2 h needs volume/area of 8.9 mm or less at 3 °C, 14.9 mm at −18 °C.
		{"closed form by hand: 8.7 mm", Pot{Volume: 0.5 * quantity.Litre, Width: 25 * quantity.Centimetre}, DefaultSurroundings(), Fridge},
		{"closed form by hand: 12.9 mm", Pot{Volume: 0.8 * quantity.Litre, Width: 25 * quantity.Centimetre}, DefaultSurroundings(), Freezer},
		{"closed form by hand: 15.2 mm", Pot{Volume: quantity.Litre, Width: 25 * quantity.Centimetre}, DefaultSurroundings(), ColdWaterThenIceBathStirred},
	}
	for _, tt := range tests {
		got, err := Propose(tt.pot, tt.around)
		require.NoError(t, err, tt.source)
		assert.Equal(t, tt.want, got.Method, tt.source)
		assert.Equal(t, Pass, got.Verdict, tt.source)
	}
}

func TestProposePassesWithMarginEverywhere(t *testing.T) {
	for _, litres := range []float64{0.1, 0.5, 1, 4, 12, 20, 50, 100} {
		for _, width := range []float64{10, 20, 30, 50, 80} {
			for _, fridge := range []float64{1, 3, 4.4, 8} {
				if width == 10 && litres >= 50 {
					continue // a pot six metres deep
				}
				around := DefaultSurroundings()
				around.Fridge = quantity.Celsius(fridge)
				pot := Pot{Volume: quantity.Volume(litres) * quantity.Litre, Width: quantity.Length(width) * quantity.Centimetre}
				r, err := Propose(pot, around)
				require.NoError(t, err, "%v l, %v cm, %v °C", litres, width, fridge)
				assert.True(t, r.SlowTo70F.Within(WithinTo70F) && r.SlowTo41F.Within(WithinTo41F))
				assert.NotContains(t, []Method{Counter, IceAdded, FrozenBottles}, r.Method)
			}
		}
	}
}

func TestCoolIsMonotone(t *testing.T) {
	no := func(a, b Reach, what string, m Method) {
		t.Helper()
		if b.Never {
			return
		}
		require.False(t, a.Never, "%s: %s", m, what)
		assert.LessOrEqual(t, a.After, b.After+time.Microsecond, "%s: %s", m, what)
	}
	for _, m := range Methods() {
		var smaller *Result
		for _, litres := range []float64{0.1, 0.4, 1, 3, 8, 12.5, 30, 100} {
			r, err := Cool(Pot{Volume: quantity.Volume(litres) * quantity.Litre, Width: 30 * quantity.Centimetre}, withOutdoors(quantity.Celsius(-4)), m)
			require.NoError(t, err)
			for _, reach := range []Reach{r.To70F, r.To41F, r.SlowTo70F, r.SlowTo41F} {
				assert.GreaterOrEqual(t, reach.After, time.Duration(0))
			}
			no(r.To70F, r.To41F, "70 °F comes before 41 °F", m)
			no(r.To70F, r.SlowTo70F, "slow side is slower", m)
			no(r.To41F, r.SlowTo41F, "slow side is slower", m)
			assert.LessOrEqual(t, r.Attended.Low, r.Attended.Likely)
			assert.LessOrEqual(t, r.Attended.Likely, r.Attended.High)
			assert.False(t, math.IsNaN(r.Ice.Kilograms()) || r.Ice < 0)
			if smaller != nil {
				no(smaller.To70F, r.To70F, "less broth is quicker", m)
				no(smaller.To41F, r.To41F, "less broth is quicker", m)
				assert.LessOrEqual(t, smaller.Ice, r.Ice)
			}
			smaller = &r
		}

		var colder *Result
		for c := -30.0; c <= 30; c += 2.5 {
			around := Surroundings{Fridge: quantity.Celsius(c), Freezer: quantity.Celsius(c), Room: quantity.Celsius(c), Tap: quantity.Celsius(c), Outdoors: pointer(quantity.Celsius(c))}
			r, err := Cool(stockPot, around, m)
			require.NoError(t, err)
			if colder != nil {
				no(colder.To70F, r.To70F, "colder surroundings are quicker", m)
				no(colder.To41F, r.To41F, "colder surroundings are quicker", m)
			}
			colder = &r
		}
	}
}

func TestCompare(t *testing.T) {
	without, err := Compare(stockPot, DefaultSurroundings())
	require.NoError(t, err)
	assert.Len(t, without, len(Methods())-1)
	for _, r := range without {
		assert.NotEqual(t, Outdoors, r.Method)
		alone, err := Cool(stockPot, DefaultSurroundings(), r.Method)
		require.NoError(t, err)
		assert.Equal(t, alone, r)
		assert.Contains(t, r.Advice, "165 °F")
	}
	with, err := Compare(stockPot, withOutdoors(quantity.Celsius(-4)))
	require.NoError(t, err)
	assert.Len(t, with, len(Methods()))
}

func TestParseMethod(t *testing.T) {
	for _, m := range Methods() {
		got, err := ParseMethod(" " + string(m) + "\n")
		require.NoError(t, err)
		assert.Equal(t, m, got)
	}
	for _, bad := range []string{"", "icebath", "fridge+", "+fridge", "fridge+fridge", "ice-bath+fridge+freezer"} {
		_, err := ParseMethod(bad)
		require.Error(t, err, bad)
		assert.ErrorContains(t, err, "ice-bath-stirred+fridge")
	}
}

func TestCoolRefusesBadInput(t *testing.T) {
	good := DefaultSurroundings()
	with := func(change func(*Pot, *Surroundings)) (Pot, Surroundings) {
		p, s := stockPot, good
		change(&p, &s)
		return p, s
	}
	tests := []struct {
		name   string
		change func(*Pot, *Surroundings)
		method Method
		want   string
	}{
		{"no volume", func(p *Pot, _ *Surroundings) { p.Volume = 0 }, Fridge, "0.1 to 200 l"},
		{"negative volume", func(p *Pot, _ *Surroundings) { p.Volume = -2 * quantity.Litre }, Fridge, "-2 l"},
		{"volume one step too small", func(p *Pot, _ *Surroundings) {
			p.Volume = quantity.Volume(math.Nextafter(float64(0.1*quantity.Litre), 0))
		}, Fridge, "0.1 to 200 l"},
		{"volume NaN", func(p *Pot, _ *Surroundings) { p.Volume = quantity.Volume(math.NaN()) }, Fridge, "NaN"},
		{"volume infinite", func(p *Pot, _ *Surroundings) { p.Volume = quantity.Volume(math.Inf(1)) }, Fridge, "+Inf"},
		{"width too small", func(p *Pot, _ *Surroundings) { p.Width = 9 * quantity.Centimetre }, Fridge, "10 to 100 cm"},
		{"width too large", func(p *Pot, _ *Surroundings) { p.Width = 101 * quantity.Centimetre }, Fridge, "10 to 100 cm"},
		{"width NaN", func(p *Pot, _ *Surroundings) { p.Width = quantity.Length(math.NaN()) }, Fridge, "10 to 100 cm"},
		{"start below the clock", func(p *Pot, _ *Surroundings) { p.From = quantity.Celsius(50) }, Fridge, "135 °F"},
		{"start NaN", func(p *Pot, _ *Surroundings) { p.From = quantity.Temperature(math.NaN()) }, Fridge, "135 °F"},
		{"fridge not given", func(_ *Pot, s *Surroundings) { s.Fridge = 0 }, Freezer, "fridge temperature"},
		{"tap NaN", func(_ *Pot, s *Surroundings) { s.Tap = quantity.Temperature(math.NaN()) }, Fridge, "tap water temperature"},
		{"outdoors infinite", func(_ *Pot, s *Surroundings) { s.Outdoors = pointer(quantity.Temperature(math.Inf(1))) }, Fridge, "outdoor temperature"},
		{"outdoors unknown", func(*Pot, *Surroundings) {}, Outdoors, "needs the outdoor temperature"},
		{"unknown method", func(*Pot, *Surroundings) {}, "snow", "use one of"},
	}
	for _, tt := range tests {
		pot, around := with(tt.change)
		_, err := Cool(pot, around, tt.method)
		require.Error(t, err, tt.name)
		assert.ErrorContains(t, err, tt.want, tt.name)
	}
	_, err := Compare(Pot{}, good)
	require.Error(t, err)
	_, err = Propose(stockPot, Surroundings{})
	require.Error(t, err)
}

func BenchmarkCompare(b *testing.B) {
	around := withOutdoors(quantity.Celsius(-4))
	for b.Loop() {
		if _, err := Compare(stockPot, around); err != nil {
			b.Fatal(err)
		}
	}
}
