package whatif

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/stock"
	"brothrun/stock/fault"
	"brothrun/stock/quantity"
	"brothrun/stock/runfile"
	"brothrun/stock/settle"
)

func levers(t testing.TB, change func(*runfile.Kitchen, *runfile.Run)) []stock.Lever {
	t.Helper()
	kitchen, run := demo(t)
	if change != nil {
		change(&kitchen, &run)
	}
	all, err := leversOf(kitchen, run)
	require.NoError(t, err)
	require.NotNil(t, all)
	return all
}

// lever returns the one of a code; its Code is empty when there is none.
func lever(all []stock.Lever, code string) stock.Lever {
	for _, l := range all {
		if l.Code == code {
			return l
		}
	}
	return stock.Lever{}
}

func leverCodes(all []stock.Lever) []string {
	var codes []string
	for _, l := range all {
		codes = append(codes, l.Code)
	}
	return codes
}

// What must be so needs no source: the direction of each change is that of the
// liquid balance.
func TestLeversMoveTheBrothTheRightWay(t *testing.T) {
	openPot := func(_ *runfile.Kitchen, r *runfile.Run) { r.Lid, r.Simmer = "off", to(6*time.Hour) }
	for _, row := range []struct {
		code   string
		change func(*runfile.Kitchen, *runfile.Run)
		more   bool
	}{
		{"lid-on", openPot, true},
		{"lid-ajar", openPot, true},
		{"lid-off", nil, false},
		{"simmer-less", openPot, true},
		{"simmer-more", openPot, false},
		{"top-up", openPot, true},
		{"fuller-pot", nil, true},
		{"bones-less", nil, true}, // they make room for water in a pot filled to its line
		{"bones-more", nil, false},
		{"water-to-line", func(_ *runfile.Kitchen, r *runfile.Run) { r.Fit, r.Water = false, to(9*quantity.Quart) }, true},
	} {
		l := lever(levers(t, row.change), row.code)
		require.NotEmpty(t, l.Code, row.code)
		assert.NotEmpty(t, l.What)
		assert.Equal(t, row.more, l.StrainedChange > 0, "%s: %+v", row.code, l)
	}
}

func TestALeverIsTheDifferenceOfTwoPlans(t *testing.T) {
	base := plan(t, nil)
	changed := plan(t, func(_ *runfile.Kitchen, r *runfile.Run) { r.Jars = "pint" })
	l := lever(levers(t, nil), "jars-pint")
	assert.Equal(t, "pints only", l.What)
	assert.Equal(t, changed.JarCounts(), l.Jars)
	assert.Equal(t, changed.Jars[0].Count-base.Jars[0].Count, l.JarsChange)
	assert.Equal(t, len(changed.Loads), l.Loads)
	assert.Equal(t, len(changed.Loads)-len(base.Loads), l.LoadsChange)
	assert.Equal(t, changed.Yield.Strained.Likely, l.Strained)
	assert.Zero(t, l.StrainedChange)
	assert.Equal(t, changed.StoveTime()-base.StoveTime(), l.HoursChange)
	assert.Equal(t, changed.Leftover.Volume.Likely, l.Leftover)
}

// Thirteen pints take two loads on one rack, 9 and 4, and one on two.
func TestASecondRackIsALeverWhereTheCannerIsHighEnough(t *testing.T) {
	pints := func(height quantity.Length) func(*runfile.Kitchen, *runfile.Run) {
		return func(k *runfile.Kitchen, r *runfile.Run) {
			r.Jars, k.Canner.Height = "pint=13", to(height)
		}
	}
	high := levers(t, pints(11.5*quantity.Inch))
	assert.Equal(t, "rack", high[0].Code, "it saves a load: %v", leverCodes(high))
	assert.Equal(t, "a second rack", high[0].What)
	assert.Equal(t, -1, high[0].LoadsChange)
	// Two layers of pints take 11.0 to 11.25 in (testdata/published, canners).
	assert.Empty(t, lever(levers(t, pints(10*quantity.Inch)), "rack").Code)
}

func TestLeversThatDoNothingAreLeftOut(t *testing.T) {
	for _, row := range []struct {
		why    string
		codes  []string
		change func(*runfile.Kitchen, *runfile.Run)
	}{
		{"it is so already", []string{"lid-ajar", "jars-quart-pint", "water-to-line"}, nil},
		{"it is so already", []string{"top-up"}, func(_ *runfile.Kitchen, r *runfile.Run) { r.TopUp = "level" }},
		{"a lid does not matter where the level is kept", []string{"lid-on", "lid-off", "top-up"}, func(_ *runfile.Kitchen, r *runfile.Run) { r.TopUp = "level" }},
		{"what boils off was measured with this lid", []string{"lid-on", "lid-off"}, func(k *runfile.Kitchen, _ *runfile.Run) {
			k.Pots[0].Evaporation = to(0.7 * quantity.QuartPerHour)
		}},
		{"the cook gave the water", []string{"fuller-pot"}, func(_ *runfile.Kitchen, r *runfile.Run) { r.Fit, r.Water = false, to(9*quantity.Quart) }},
		{"the line is not below it", []string{"water-to-line"}, func(_ *runfile.Kitchen, r *runfile.Run) { r.Fit, r.Water = false, to(15*quantity.Quart) }},
		{"the pot is that full already", []string{"fuller-pot"}, func(k *runfile.Kitchen, _ *runfile.Run) { k.Pots[0].FillLine = to(0.98) }},
		{"all fits the first size, as in the plan of that size alone", []string{"jars-pint-quart", "jars-quart-pint"}, func(k *runfile.Kitchen, r *runfile.Run) {
			k.Jars, r.Jars = nil, "half-pint"
		}},
		{"9 min are no simmer", []string{"simmer-less"}, func(_ *runfile.Kitchen, r *runfile.Run) { r.Simmer = to(39 * time.Minute) }},
		{"there are no pints", []string{"jars-pint", "jars-quart-pint", "jars-pint-quart"}, func(_ *runfile.Kitchen, r *runfile.Run) { r.Jars = "quart,pint=0" }},
		{"more bones do not fit", []string{"bones-more"}, func(k *runfile.Kitchen, r *runfile.Run) { k.Pots[0].Volume = to(14.2 * quantity.Quart) }},
	} {
		got := leverCodes(levers(t, row.change))
		for _, code := range row.codes {
			assert.NotContains(t, got, code, row.why)
		}
	}
	shortest := levers(t, func(_ *runfile.Kitchen, r *runfile.Run) { r.Simmer = to(40 * time.Minute) })
	assert.Equal(t, "half an hour less simmer", lever(shortest, "simmer-less").What)
}

func TestARefusedPlanShowsOnlyWhatChangesTheBroth(t *testing.T) {
	all := levers(t, func(_ *runfile.Kitchen, r *runfile.Run) { r.Kind, r.Lid, r.Simmer = "fish", "off", to(4*time.Hour) })
	require.Contains(t, leverCodes(all), "lid-on")
	strained := plan(t, func(_ *runfile.Kitchen, r *runfile.Run) { r.Kind, r.Lid, r.Simmer = "fish", "off", to(4*time.Hour) }).Yield.Strained.Likely
	for _, l := range all {
		assert.Regexp(t, "^(lid|simmer|top-up|fuller|water|bones)", l.Code)
		assert.Greater(t, math.Abs(float64(l.StrainedChange/strained)), 0.01, l.Code)
		assert.Empty(t, l.Jars)
		assert.Zero(t, l.Loads)
	}
	// A refusal for the jar asked is not a lever to get round.
	big := levers(t, func(_ *runfile.Kitchen, r *runfile.Run) { r.Jars = "half-gallon" })
	for _, l := range big {
		assert.NotRegexp(t, "^(jars|mouth|rack)", l.Code)
	}
}

func TestALeverSaysWhatItMakesLessSafe(t *testing.T) {
	atLimit := func(_ *runfile.Kitchen, r *runfile.Run) { r.Simmer = to(45 * time.Minute) }
	for _, row := range []struct {
		why, code, warning string
		change             func(*runfile.Kitchen, *runfile.Run)
	}{
		// Poultry: 30 to 45 min (USDA Complete Guide to Home Canning, Guide 5).
		{"gets outside the tested directions", "simmer-more", "long-simmer", atLimit},
		{"gets further outside them", "simmer-more", "long-simmer", nil},
		{"less room to boil", "fuller-pot", "near-overflow", nil},
		{"more than half boils away", "simmer-more", "reduced-hard", func(k *runfile.Kitchen, r *runfile.Run) {
			r.Kind = "fish" // of a broth that is canned it is refused
			r.Fit, r.Water = false, to(9.6*quantity.Quart)
			k.Pots[0].Evaporation = to(quantity.QuartPerHour)
		}},
		{"more bones, the same water", "bones-more", "bones-not-covered", func(_ *runfile.Kitchen, r *runfile.Run) { r.Fit, r.Water = false, to(5*quantity.Quart) }},
		{"a narrow chill has more to cool", "fuller-pot", "chill-narrow", func(_ *runfile.Kitchen, r *runfile.Run) { r.Chill = "ice-bath" }},
	} {
		l := lever(levers(t, row.change), row.code)
		require.NotEmpty(t, l.Code, row.code)
		assert.Contains(t, l.Warnings, row.warning, row.why)
	}
	assert.NotContains(t, lever(levers(t, nil), "simmer-less").Warnings, "long-simmer", "it gets better, if not good")
}

// leverRuns are runs of every kind and shape, some of which cannot be planned.
func leverRuns(t testing.TB, n int, each func(runfile.Kitchen, runfile.Run)) {
	random := rand.New(rand.NewPCG(4, 2))
	between := func(low, high float64) float64 { return low + random.Float64()*(high-low) }
	pick := func(all ...string) string { return all[random.IntN(len(all))] }
	kinds := settle.Kinds()
	for range n {
		kitchen, run := demo(t)
		run.Kind = string(kinds[random.IntN(len(kinds))])
		kitchen.Pots[0].Volume, kitchen.Pots[0].Width = to(quantity.Volume(between(4, 60))*quantity.Quart), nil
		run.Bones, run.Vegetables = to(quantity.Mass(between(0.5, 12))*quantity.Pound), nil
		if random.IntN(2) == 0 {
			run.Fit, run.Water = false, to(quantity.Volume(between(2, 20))*quantity.Quart)
		}
		run.Simmer = to(time.Duration(between(10, 900)) * time.Minute)
		run.Lid, run.TopUp = pick("", "on", "ajar", "off"), pick("", "never", "level")
		run.Jars = pick("", "quart", "pint", "half-pint", "quart=3,pint", "pint,quart", "quart,half-gallon")
		run.Mouth, kitchen.Mouth = pick("", "regular", "wide"), pick("", "wide")
		kitchen.Canner.Racks = random.IntN(4)
		if random.IntN(3) == 0 {
			run.Portions = []runfile.Portion{{Kind: "chicken", Weight: run.Bones}, {Kind: "turkey-frames", Weight: run.Bones}}
			run.Kind, run.Bones = "", nil
		}
		each(kitchen, run)
	}
}

func TestLeversOfAnyRun(t *testing.T) {
	seen := 0
	leverRuns(t, 150, func(kitchen runfile.Kitchen, run runfile.Run) {
		before, err := json.Marshal([]any{kitchen, run})
		require.NoError(t, err)
		all, err := leversOf(kitchen, run)
		after, marshalErr := json.Marshal([]any{kitchen, run})
		require.NoError(t, marshalErr)
		assert.Equal(t, string(before), string(after), "the inputs are as they were")
		base, planErr := settled(kitchen, run, stock.Plan)
		assert.Equal(t, planErr, err)
		if err != nil {
			return
		}
		seen++
		again, err := leversOf(kitchen, run)
		require.NoError(t, err)
		assert.Equal(t, all, again, "the same input gives the same levers in the same order")

		codes := leverCodes(all)
		slices.Sort(codes)
		assert.Equal(t, len(codes), len(slices.Compact(codes)), "each stands once")
		for i, l := range all {
			jars := 0
			for _, j := range base.Jars {
				jars -= j.Count
			}
			for _, j := range l.Jars {
				jars += j.Count
			}
			assert.Equal(t, jars, l.JarsChange)
			assert.InDelta(t, (base.Yield.Strained.Likely + l.StrainedChange).Litres(), l.Strained.Litres(), 1e-9)
			assert.Equal(t, len(base.Loads)+l.LoadsChange, l.Loads)
			assert.Equal(t, base.StoveTime()+l.HoursChange, l.Hours)
			if i == 0 {
				continue
			}
			better := all[i-1]
			quarter := func(l stock.Lever) time.Duration { return l.HoursChange.Truncate(15 * time.Minute) }
			assert.LessOrEqual(t, better.LoadsChange, l.LoadsChange, "loads saved come first")
			if better.LoadsChange == l.LoadsChange {
				assert.LessOrEqual(t, quarter(better), quarter(l), "then hours saved")
				if quarter(better) == quarter(l) {
					assert.GreaterOrEqual(t, math.Abs(float64(better.StrainedChange)), math.Abs(float64(l.StrainedChange)), "then broth")
				}
			}
		}
	})
	assert.Greater(t, seen, 80)
}

func TestLeversOfARunThatCannotBePlannedAreItsError(t *testing.T) {
	kitchen, run := demo(t)
	kitchen.Altitude = nil
	_, err := leversOf(kitchen, run)
	var input *fault.Fault
	require.ErrorAs(t, err, &input)
	assert.Equal(t, "altitude", input.Key)
}

func BenchmarkLevers(b *testing.B) {
	kitchen, run := demo(b)
	for b.Loop() {
		if _, err := leversOf(kitchen, run); err != nil {
			b.Fatal(err)
		}
	}
}
