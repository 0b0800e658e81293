package stock_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/stock"
	"brothrun/stock/fault"
	"brothrun/stock/process"
	"brothrun/stock/quantity"
	"brothrun/stock/remark"
	"brothrun/stock/runfile"
	"brothrun/stock/settle"
)

func to[T any](value T) *T { return &value }

// demo is the demo run without its files.
func demo() (runfile.Kitchen, runfile.Run) {
	kitchen := runfile.Kitchen{
		Altitude: to(3200 * quantity.Foot), Gauge: "weighted", Mouth: "regular",
		Canner:      runfile.Canner{Width: to(12.25 * quantity.Inch), Height: to(11.5 * quantity.Inch), Racks: 1},
		Jars:        map[string]int{"quart": 14, "pint": 24},
		Pots:        []runfile.Pot{{Name: "big pot", Volume: to(22 * quantity.Quart), Width: to(12 * quantity.Inch)}},
		Fridge:      to(quantity.Fahrenheit(38)),
		FreezeDryer: runfile.FreezeDryer{Trays: 4, TrayLength: to(18 * quantity.Inch), TrayWidth: to(7.5 * quantity.Inch)},
	}
	run := runfile.Run{
		ID: "harvest-supper-2026", Kind: "turkey-frames", Bones: to(9 * quantity.Pound), Vegetables: to(3 * quantity.Pound),
		Fit: true, Simmer: to(4 * time.Hour), Lid: "ajar", TopUp: "never", Jars: "quart,pint",
	}
	return kitchen, run
}

// planOf settles a kitchen and a run and plans them.
func planOf(kitchen runfile.Kitchen, run runfile.Run) (stock.Batch, error) {
	setup, err := settle.Run(kitchen, run)
	if err != nil {
		return stock.Batch{}, err
	}
	return stock.Plan(setup)
}

func plan(t testing.TB, change func(*runfile.Kitchen, *runfile.Run)) stock.Batch {
	t.Helper()
	kitchen, run := demo()
	if change != nil {
		change(&kitchen, &run)
	}
	batch, err := planOf(kitchen, run)
	require.NoError(t, err)
	return batch
}

func codes(notes []remark.Note) []string {
	var all []string
	for _, note := range notes {
		all = append(all, note.Code)
	}
	return all
}

// closed asserts what must add up in every batch.
func closed(t *testing.T, b stock.Batch) {
	t.Helper()
	y := b.Yield
	assert.InDelta(t, y.Strained.Likely.Litres(), (y.Water + y.GivenOff - y.Evaporated + y.ToppedUp - y.HeldBySolids + y.IceMelted).Litres(), 1e-9)
	assert.InDelta(t, y.ReadyToFill.Likely.Litres(), (y.Strained.Likely - y.Fat - y.Lost).Litres(), 1e-9)

	filled, inJars := quantity.Volume(0), 0
	for _, j := range b.Jars {
		filled += quantity.Volume(j.Count) * j.Fill
		inJars += j.Count
		assert.LessOrEqual(t, j.Low, j.Count)
		assert.LessOrEqual(t, j.Count, j.High)
		assert.GreaterOrEqual(t, j.Wash, j.Count)
	}
	inLoads := 0
	for i, load := range b.Loads {
		assert.Equal(t, i+1, load.Number)
		inLoads += load.Jars()
	}
	assert.Equal(t, inJars, inLoads, "every jar planned is in a load")
	if !b.EndsAtStraining() {
		assert.InDelta(t, y.ReadyToFill.Likely.Litres(), (filled + b.Leftover.Volume.Likely).Litres(), 1e-9, "jars and leftover are all there is")
	}
	assert.NotEmpty(t, b.Cautions)
	if b.Refused() {
		assert.Empty(t, b.Loads)
		assert.Empty(t, b.Jars)
	}
}

func TestTheDemo(t *testing.T) {
	b := plan(t, nil)
	closed(t, b)
	require.Len(t, b.Loads, 2)
	// 3,200 ft, weighted gauge, quarts: 15 psi, 25 min (USDA Complete Guide,
	// Guide 5; testdata/published/process_stock.csv).
	for _, load := range b.Loads {
		assert.InDelta(t, 15, load.Pressure.PSI(), 1e-9)
		assert.Equal(t, 25*time.Minute, load.Process)
		// Quarts 105 to 110 min a load (published steps added up, canner_times.csv) are
		// the least: at this pressure the canner has farther to fall.
		assert.GreaterOrEqual(t, load.Cycle.Total().Low, 105*time.Minute)
		assert.Positive(t, load.Fuel.Low)
		assert.Less(t, load.WaterLeft.High, load.WaterPutIn)
	}
	// An ordinary canner holds 7 quarts (Michigan State University Extension).
	assert.Equal(t, 7, b.Loads[0].Jars())
	assert.Contains(t, codes(b.Warnings), "long-simmer", "4 h is outside the 30 to 45 min of the tested directions")
	assert.True(t, b.Chill.Passes)
}

func TestEveryInputAddsUp(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	between := func(low, high float64) float64 { return low + random.Float64()*(high-low) }
	pick := func(all ...string) string { return all[random.IntN(len(all))] }
	kinds := settle.Kinds()
	refused, planned := 0, 0
	for range 400 {
		kitchen, run := demo()
		run.Kind = string(kinds[random.IntN(len(kinds))])
		kitchen.Pots[0].Volume = to(quantity.Volume(between(4, 60)) * quantity.Quart)
		kitchen.Pots[0].Width = nil
		run.Bones = to(quantity.Mass(between(0.5, 12)) * quantity.Pound)
		run.Vegetables = to(quantity.Mass(between(0, 3)) * quantity.Pound)
		run.Simmer = to(time.Duration(between(20, 900)) * time.Minute)
		run.Lid, run.TopUp = pick("on", "ajar", "off"), pick("never", "level")
		run.Jars = pick("quart", "pint", "half-pint", "pint-and-half,pint", "quart=3,pint", "pint=5,half-pint", "quart,half-gallon")
		run.Mouth, run.Route = pick("regular", "wide"), pick("", "freezer", "fridge", "freeze-dry")
		kitchen.Jars = nil
		kitchen.Canner.Racks = 1 + random.IntN(3)
		kitchen.Gauge = pick("weighted", "dial")
		kitchen.Altitude = to(quantity.Length(between(-300, 11000)) * quantity.Foot)
		b, err := planOf(kitchen, run)
		if err != nil {
			// The only thing that may be wrong with these is that it does not fit.
			assert.Contains(t, err.Error(), "does not fit", "%+v", run)
			continue
		}
		closed(t, b)
		planned++
		if b.Refused() {
			refused++
		}
		again, err := planOf(kitchen, run)
		require.NoError(t, err)
		assert.Equal(t, b, again, "the same input gives the same batch")
	}
	assert.Greater(t, planned, 200)
	assert.Greater(t, refused, 50)
}

func TestWhatHasNoTestedProcessIsNotCanned(t *testing.T) {
	for _, row := range []struct {
		source string
		change func(*runfile.Kitchen, *runfile.Run)
		code   string
	}{
		{"no USDA process for pork stock", func(_ *runfile.Kitchen, r *runfile.Run) { r.Kind = "pork" }, "no-tested-process"},
		{"none for fish stock (University of Maryland Extension)", func(_ *runfile.Kitchen, r *runfile.Run) { r.Kind = "fish" }, "no-tested-process"},
		{"none for vegetable stock", func(_ *runfile.Kitchen, r *runfile.Run) { r.Kind = "vegetable" }, "no-tested-process"},
		{"dial table stops at 8,000 ft", func(k *runfile.Kitchen, _ *runfile.Run) { k.Gauge, k.Altitude = "dial", to(8001*quantity.Foot) }, "altitude-dial"},
		{"weighted stops at 10,000 ft here", func(k *runfile.Kitchen, _ *runfile.Run) { k.Altitude = to(10001 * quantity.Foot) }, "altitude-weighted"},
		{"quart is the largest jar (NCHFP)", func(_ *runfile.Kitchen, r *runfile.Run) { r.Jars = "quart,half-gallon" }, "jar-too-large"},
	} {
		b := plan(t, row.change)
		closed(t, b)
		assert.Equal(t, []string{row.code}, codes(b.Refusals), row.source)
		assert.Positive(t, b.Yield.Strained.Likely, "the yield is still worked out")
		assert.NotEmpty(t, b.Chill.Method, "and the chill")
		assert.Equal(t, b.Yield.ReadyToFill.Likely, b.Leftover.Volume.Likely, "and all of it has another route")
	}
}

func TestARunOverridesItsKitchen(t *testing.T) {
	b := plan(t, func(_ *runfile.Kitchen, r *runfile.Run) {
		r.Altitude, r.Gauge = to(5000*quantity.Foot), "dial"
	})
	assert.InDelta(t, 13, b.Loads[0].Pressure.PSI(), 1e-9) // dial, 4,001 to 6,000 ft: 13 psi (USDA, Guide 5)
	assert.Equal(t, process.Dial, b.Loads[0].Gauge)
}

// Thirteen pints take two loads without the extra rack, and one with it. Of eleven,
// two would be too small a load without, and are left out.
func TestAnExtraRackSavesALoad(t *testing.T) {
	pints := func(racks int, jars string) stock.Batch {
		return plan(t, func(k *runfile.Kitchen, r *runfile.Run) {
			k.Canner.Racks, r.Jars = racks, jars
		})
	}
	secondRack := func(b stock.Batch) string {
		for _, note := range b.Warnings {
			if note.Code == "second-rack" {
				return told(note)
			}
		}
		return ""
	}
	for _, row := range []struct {
		jars         string
		loads, count int
		says         string
	}{
		{"pint=13", 2, 13, "second-rack; pints; second-rack fewer"},
		{"pint=11", 1, 9, "second-rack; pints; second-rack more"},
		{"pint=9", 1, 9, ""},
	} {
		one, two := pints(1, row.jars), pints(2, row.jars)
		assert.Equal(t, row.count, one.Jars[0].Count, row.jars)
		assert.Len(t, one.Loads, row.loads, row.jars)
		assert.Equal(t, row.says, secondRack(one), row.jars)
		assert.Equal(t, row.jars, fmt.Sprintf("pint=%d", two.Jars[0].Count))
		assert.Len(t, two.Loads, 1, row.jars)
		assert.Empty(t, secondRack(two), row.jars)
	}
	assert.Len(t, pints(2, "pint=13").Loads[0].Layers, 2)
}

func TestJarsOnHandAreTheLimit(t *testing.T) {
	b := plan(t, func(k *runfile.Kitchen, _ *runfile.Run) { k.Jars = map[string]int{"quart": 7, "pint": 24} })
	closed(t, b)
	require.Len(t, b.Jars, 2)
	assert.Equal(t, 7, b.Jars[0].Count)
	assert.Equal(t, 7, b.Jars[0].Wash, "no more are washed than there are")
	assert.Equal(t, "pint", b.Jars[1].Jar)
}

func TestTooLittleIsNotCanned(t *testing.T) {
	b := plan(t, func(k *runfile.Kitchen, r *runfile.Run) {
		k.Pots[0].Volume, k.Pots[0].Width = to(1.3*quantity.Quart), to(5*quantity.Inch)
		r.Bones, r.Vegetables, r.Jars = to(quantity.Pound/4), nil, "quart"
	})
	closed(t, b)
	assert.Empty(t, b.Loads)
	assert.Contains(t, codes(b.Warnings), "too-little-to-can")
}

func TestWarningsNameTheirCause(t *testing.T) {
	for _, row := range []struct {
		code   string
		change func(*runfile.Kitchen, *runfile.Run)
	}{
		{"bones-not-covered", func(_ *runfile.Kitchen, r *runfile.Run) { r.Fit, r.Water = false, to(4*quantity.Quart) }},
		{"near-overflow", func(_ *runfile.Kitchen, r *runfile.Run) { r.Fit, r.Water = false, to(15.5*quantity.Quart) }},
		{"boils-dry", func(_ *runfile.Kitchen, r *runfile.Run) {
			r.Fit, r.Water, r.Simmer, r.Lid = false, to(4*quantity.Quart), to(60*time.Hour), "off"
		}},
		{"reduced-hard", func(k *runfile.Kitchen, r *runfile.Run) {
			k.Pots[0].Evaporation, r.Simmer = to(1*quantity.QuartPerHour), to(10*time.Hour)
		}},
		{"small-load", func(_ *runfile.Kitchen, r *runfile.Run) { r.Jars, r.SmallLoads = "quart=8", true }},
	} {
		assert.Contains(t, codes(plan(t, row.change).Warnings), row.code)
	}
	short := plan(t, func(_ *runfile.Kitchen, r *runfile.Run) { r.Simmer = to(45 * time.Minute) })
	assert.NotContains(t, codes(short.Warnings), "long-simmer")
}

// Within 24 h of the canner an unsealed jar may be kept: Nebraska Extension, "Saving
// Home-canned Food: Jars that did not Seal" (testdata/published/holding_limits.csv).
func TestCautionsTellAJarFoundAtOnceFromOneThatFailedLater(t *testing.T) {
	const atOnce, later = "seals-in-24-h", "failed-seal"
	canned := codes(plan(t, nil).Cautions)
	assert.Contains(t, canned, atOnce)
	assert.Contains(t, canned, later)
	refused := codes(plan(t, func(_ *runfile.Kitchen, r *runfile.Run) { r.Kind = "fish" }).Cautions)
	assert.NotContains(t, refused, atOnce)
	assert.Contains(t, refused, later)
}

// The pressure goes by the altitude, so another one than the kitchen's is told; a foot
// is what metres are rounded to.
func TestAnAltitudeThatIsNotTheKitchensIsTold(t *testing.T) {
	for _, row := range []struct {
		run  quantity.Length
		told bool
	}{
		{3200 * quantity.Foot, false}, {3200.9 * quantity.Foot, false}, {3199.1 * quantity.Foot, false},
		{3202 * quantity.Foot, true}, {3198 * quantity.Foot, true}, {0, true},
	} {
		b := plan(t, func(_ *runfile.Kitchen, r *runfile.Run) { r.Altitude = &row.run })
		assert.Equal(t, row.told, slices.Contains(codes(b.Warnings), "altitude-differs"), "%v ft", row.run.Feet())
		assert.Equal(t, row.run, b.Altitude, "planned for the run's own")
	}
}

func TestAssumptionsAreSaid(t *testing.T) {
	b, err := planOf(runfile.Kitchen{}, runfile.Run{
		Kind: "turkey-frames", Pot: "22qt", Bones: to(9 * quantity.Pound), Altitude: to(3200 * quantity.Foot),
	})
	require.NoError(t, err)
	closed(t, b)
	for _, code := range []string{"pot-width", "simmer", "lid", "gauge", "mouth", "canner", "fridge", "route"} {
		assert.Contains(t, codes(b.Assumed), code)
	}
	all := plan(t, func(_ *runfile.Kitchen, r *runfile.Run) { r.Chill = "ice-bath-stirred" })
	assert.Empty(t, all.Assumed, "nothing is assumed where all is given")
}

// A gauge nobody named carries the settings of both at every altitude, each that
// of its row: USDA Complete Guide, Guide 5 (testdata/published/process_stock.csv).
func TestAGaugeNobodyNamedCarriesBoth(t *testing.T) {
	for _, row := range []struct {
		feet quantity.Length
		want string
	}{
		{0, "10 psi weighted, 11 psi dial"},
		{1000, "10 psi weighted, 11 psi dial"},
		{1001, "15 psi weighted, 11 psi dial"},
		{2000, "15 psi weighted, 11 psi dial"},
		{2001, "15 psi weighted, 12 psi dial"},
		{4001, "15 psi weighted, 13 psi dial"},
		{8000, "15 psi weighted, 14 psi dial"},
		{8001, "15 psi weighted (dial: none tested)"},
		{10000, "15 psi weighted (dial: none tested)"},
	} {
		b := plan(t, func(k *runfile.Kitchen, r *runfile.Run) {
			k.Altitude, k.Gauge = to(row.feet*quantity.Foot), ""
			r.Jars, r.Simmer = "quart,pint", to(45*time.Minute)
		})
		require.NotEmpty(t, b.Loads)
		for _, load := range b.Loads {
			assert.Equal(t, row.want, b.Pressures(load, quantity.Pressure.Format), "%.0f ft", float64(row.feet))
		}
		assert.Contains(t, codes(b.Assumed), "gauge")
		for _, gauge := range []string{"weighted", "dial"} {
			if gauge == "dial" && row.feet > 8000 {
				continue
			}
			named := plan(t, func(k *runfile.Kitchen, r *runfile.Run) {
				k.Altitude, k.Gauge = to(row.feet*quantity.Foot), gauge
			})
			assert.Nil(t, named.OtherGauge)
			assert.Contains(t, row.want, named.Pressures(named.Loads[0], quantity.Pressure.Format)+" "+gauge)
		}
	}
}

func TestInputErrorsNameTheirKey(t *testing.T) {
	for _, row := range []struct {
		key    string
		change func(*runfile.Kitchen, *runfile.Run)
	}{
		{"kind", func(_ *runfile.Kitchen, r *runfile.Run) { r.Kind = "" }},
		{"kind", func(_ *runfile.Kitchen, r *runfile.Run) { r.Kind = "gravel" }},
		{"altitude", func(k *runfile.Kitchen, _ *runfile.Run) { k.Altitude = nil }},
		{"altitude", func(k *runfile.Kitchen, _ *runfile.Run) { k.Altitude = to(40000 * quantity.Foot) }},
		{"gauge", func(k *runfile.Kitchen, _ *runfile.Run) { k.Gauge = "round" }},
		{"bones", func(_ *runfile.Kitchen, r *runfile.Run) { r.Bones = nil }},
		{"bones", func(_ *runfile.Kitchen, r *runfile.Run) { r.Bones = to(60 * quantity.Pound) }},
		{"water", func(_ *runfile.Kitchen, r *runfile.Run) { r.Fit, r.Water = false, to(22*quantity.Quart) }},
		{"pot", func(_ *runfile.Kitchen, r *runfile.Run) { r.Pot = "the red one" }},
		{"pot", func(k *runfile.Kitchen, _ *runfile.Run) { k.Pots = nil }},
		{"simmer", func(_ *runfile.Kitchen, r *runfile.Run) { r.Simmer = to(time.Minute) }},
		{"lid", func(_ *runfile.Kitchen, r *runfile.Run) { r.Lid = "half" }},
		{"top_up", func(_ *runfile.Kitchen, r *runfile.Run) { r.TopUp = "often" }},
		{"jars", func(_ *runfile.Kitchen, r *runfile.Run) { r.Jars = "bucket" }},
		{"jars", func(_ *runfile.Kitchen, r *runfile.Run) { r.Jars = "quart=many" }},
		{"mouth", func(_ *runfile.Kitchen, r *runfile.Run) { r.Mouth = "open" }},
		{"chill", func(_ *runfile.Kitchen, r *runfile.Run) { r.Chill = "wishing" }},
		{"chill", func(_ *runfile.Kitchen, r *runfile.Run) { r.Chill = "outdoors" }},
		{"route", func(_ *runfile.Kitchen, r *runfile.Run) { r.Route = "sea" }},
		{"canner.width", func(k *runfile.Kitchen, _ *runfile.Run) { k.Canner.Width = to(3 * quantity.Inch) }},
		{"canner.holds", func(k *runfile.Kitchen, _ *runfile.Run) { k.Canner.Holds = map[string]int{"quart": 0} }},
		{"units", func(k *runfile.Kitchen, _ *runfile.Run) { k.Units = "imperial" }},
	} {
		kitchen, run := demo()
		row.change(&kitchen, &run)
		_, err := planOf(kitchen, run)
		var input *fault.Fault
		require.ErrorAs(t, err, &input, row.key)
		assert.Equal(t, row.key, input.Key, err)
		assert.Equal(t, strings.ToLower(err.Error()[:1]), err.Error()[:1], "errors begin in lower case")
	}
}

func BenchmarkPlan(b *testing.B) {
	kitchen, run := demo()
	for b.Loop() {
		if _, err := planOf(kitchen, run); err != nil {
			b.Fatal(err)
		}
	}
}

// A canner load of two thimbles, 1,500 times, ended in "out of memory".
func TestTooManyLoadsAreRefusedByTheirNumber(t *testing.T) {
	for _, mix := range []bool{false, true} {
		kitchen, run := demo()
		kitchen.OwnJars = []runfile.OwnJar{{Name: "thimble", Brimful: to(40 * quantity.Millilitre),
			Bore: to(3 * quantity.Centimetre), Diameter: to(4 * quantity.Centimetre), Height: to(4.5 * quantity.Centimetre)}}
		kitchen.Canner.Holds = map[string]int{"quart": 4, "thimble": 1}
		run.Jars, run.Mix = "thimble", mix
		_, err := planOf(kitchen, run)
		var input *fault.Fault
		require.ErrorAs(t, err, &input)
		assert.Equal(t, "jars", input.Key)
		assert.Regexp(t, `^the broth would fill \d+ canner loads of thimbles, \d to a load: at most 100 loads are planned$`, input.Reason)
		assert.Equal(t, "take larger jars, or count how many of them you fill (--jars quart,thimble=12)", input.Hint)

		run.Jars = "thimble=90"
		b, err := planOf(kitchen, run)
		require.NoError(t, err)
		assert.LessOrEqual(t, len(b.Loads), stock.MostLoads)

		kitchen.Canner.Holds = map[string]int{"quart": 4, "pint": 1, "half-pint": 1, "pint-and-half": 1}
		kitchen.Canner.Height, kitchen.Canner.Racks, kitchen.Jars = to(15*quantity.Inch), 2, nil
		run.Jars, run.Pot = "half-pint,pint,quart,pint-and-half", "40 qt"
		b, err = planOf(kitchen, run)
		require.NoError(t, err)
		assert.Equal(t, mix, slices.Contains(codes(b.Assumed), "kinds"), "fewer sizes can share loads than stand apart")
	}
}

// told is what a note tells whoever words it: its code, its case and its facts.
func told(note remark.Note) string {
	all := []string{strings.TrimSpace(note.Code + " " + note.Case)}
	for _, fact := range note.Facts {
		switch fact := fact.(type) {
		case remark.Note:
			all = append(all, told(fact))
		case interface{ Both(quantity.System) string }:
			all = append(all, fact.Both(quantity.US))
		case float64, quantity.Power:
			all = append(all, fmt.Sprintf("%.0f", fact))
		default:
			all = append(all, fmt.Sprint(fact))
		}
	}
	return strings.Join(all, "; ")
}

func TestStoveTimeAddsUpWhatStandsOnTheStove(t *testing.T) {
	b := plan(t, nil)
	want := b.HeatUp.Likely + 4*time.Hour + b.Reheat.Likely
	for _, load := range b.Loads {
		want += load.Cycle.Total().Likely
	}
	assert.Equal(t, want, b.StoveTime())
	assert.Zero(t, stock.Batch{}.StoveTime())
}
