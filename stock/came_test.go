package stock_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/stock"
	"brothrun/stock/kettle"
	"brothrun/stock/quantity"
	"brothrun/stock/remark"
	"brothrun/stock/runfile"
	"brothrun/stock/settle"
)

// setupOf is the demo, changed.
func setupOf(t testing.TB, change func(*runfile.Kitchen, *runfile.Run)) settle.Setup {
	t.Helper()
	kitchen, run := demo()
	if change != nil {
		change(&kitchen, &run)
	}
	setup, err := settle.Run(kitchen, run)
	require.NoError(t, err)
	return setup
}

func measured(c kettle.Came) stock.Came { return stock.Came{Came: c} }

// TestAMeasuredVolumeTakesThePlaceOfTheEstimate: strained within 3 %, ready within 2 %,
// eight times in ten (own choice, no source; see kettle.Came).
func TestAMeasuredVolumeTakesThePlaceOfTheEstimate(t *testing.T) {
	setup := setupOf(t, nil)
	for _, row := range []struct {
		name, source    string
		came            kettle.Came
		strained, ready float64 // quarts; 0: not measured
		within          float64
	}{
		{"strained", "own choice, no source", kettle.Came{Strained: 11 * quantity.Quart}, 11, 0, 0.03},
		{"ready", "own choice, no source", kettle.Came{Ready: 10.5 * quantity.Quart}, 0, 10.5, 0.02},
		{"both", "own choice, no source", kettle.Came{Strained: 11 * quantity.Quart, Ready: 10.5 * quantity.Quart}, 11, 10.5, 0.02},
		{"more than went in", "own choice, no source", kettle.Came{Strained: 20 * quantity.Quart}, 20, 0, 0.03},
		{"hardly any", "own choice, no source", kettle.Came{Strained: 1 * quantity.Cup}, 0.25, 0, 0.03},
		{"topped up besides", "own choice, no source", kettle.Came{Strained: 11 * quantity.Quart, ToppedUp: 2 * quantity.Quart}, 11, 0, 0.03},
		{"more ready than strained", "own choice, no source", kettle.Came{Strained: 10 * quantity.Quart, Ready: 11 * quantity.Quart}, 0, 11, 0.02},
	} {
		b, err := stock.PlanFrom(setup, measured(row.came))
		require.NoError(t, err, row.name)
		closed(t, b)
		band := b.Yield.ReadyToFill
		if row.strained > 0 {
			assert.InDelta(t, row.strained, b.Yield.Strained.Likely.Quarts(), 1e-9, row.name)
		}
		if row.ready > 0 {
			assert.InDelta(t, row.ready, band.Likely.Quarts(), 1e-9, row.name)
			assert.InDelta(t, row.within, float64((band.High-band.Low)/2/band.Likely), 0.002, row.name)
		} else {
			y := b.Yield.Strained
			assert.InDelta(t, row.within, float64((y.High-y.Low)/2/y.Likely), 0.003, row.name)
		}
	}
	before, err := stock.Plan(setup)
	require.NoError(t, err)
	topped, err := stock.PlanFrom(setup, measured(kettle.Came{ToppedUp: 2 * quantity.Quart}))
	require.NoError(t, err)
	closed(t, topped)
	assert.InDelta(t, 2, (topped.Yield.Strained.Likely - before.Yield.Strained.Likely).Quarts(), 1e-9, "poured in, and not boiled away")
	none, err := stock.PlanFrom(setupOf(t, func(_ *runfile.Kitchen, r *runfile.Run) { r.TopUp = "never" }), measured(kettle.Came{NoTopUp: true}))
	require.NoError(t, err)
	assert.Equal(t, before.Yield, none.Yield, "none was poured in, as planned")
}

// TestLoadsThatHaveBegunStay: and what was in one that was not processed is there again.
func TestLoadsThatHaveBegunStay(t *testing.T) {
	setup := setupOf(t, nil)
	before, err := stock.Plan(setup)
	require.NoError(t, err)
	require.Len(t, before.Loads, 2)
	came := stock.Came{Begun: []stock.BegunLoad{{Load: before.Loads[0]}}}
	came.Ready = 9 * quantity.Quart
	fewer, err := stock.PlanFrom(setup, came)
	require.NoError(t, err)
	addsUp(t, "fewer", fewer)
	assert.Equal(t, before.Loads[0], fewer.Loads[0])
	assert.Less(t, filledJars(fewer), filledJars(before))

	came.Begun[0].Unprocessed = true
	again, err := stock.PlanFrom(setup, came)
	require.NoError(t, err)
	addsUp(t, "again", again)
	require.NotEmpty(t, again.Loads)
	assert.True(t, again.Loads[0].Unprocessed)
	assert.Greater(t, len(again.Loads), 1, "its broth is canned again, as a load of its own")
	jars := 0
	for _, load := range again.Loads[1:] {
		assert.False(t, load.Unprocessed)
		jars += load.Jars()
	}
	assert.Equal(t, filledJars(again), jars, "its jars count once")

	other := stock.Came{Begun: []stock.BegunLoad{{Load: before.Loads[0].Filled([]stock.JarCount{{Jar: "pint", Count: 6}})}}}
	pints, err := stock.PlanFrom(setup, other)
	require.NoError(t, err)
	addsUp(t, "pints", pints)
	assert.Equal(t, 6, pints.Loads[0].Jars())
	assert.Equal(t, 20*time.Minute, pints.Loads[0].Process, "pints take 20 min (process_stock.csv)")
}

func TestBrokenJarsAreNotThere(t *testing.T) {
	setup := setupOf(t, func(k *runfile.Kitchen, r *runfile.Run) { k.Jars, r.Jars = map[string]int{"quart": 8}, "quart" })
	b, err := stock.PlanFrom(setup, stock.Came{Broken: map[string]int{"quart": 1}})
	require.NoError(t, err)
	addsUp(t, "one broken", b)
	assert.LessOrEqual(t, filledJars(b), 7)
	n, _ := setup.Shelf.Count("quart")
	assert.Equal(t, 8, n, "the setup that was given is as it was")
	// Those of a load that has begun are of the eight.
	b, err = stock.PlanFrom(setup, stock.Came{Begun: []stock.BegunLoad{{Load: b.Loads[0]}}, Broken: map[string]int{"quart": 1}})
	require.NoError(t, err)
	assert.LessOrEqual(t, filledJars(b), 7)
}

// TestNoJarIsPlannedFromSpoiltBroth: FDA Food Code 3-501.14(A), holding_limits.csv.
func TestNoJarIsPlannedFromSpoiltBroth(t *testing.T) {
	b, err := stock.PlanFrom(setupOf(t, nil), stock.Came{Spoilt: true})
	require.NoError(t, err)
	assert.Contains(t, codes(b.Refusals), remark.BrothSpoilt)
	assert.Empty(t, b.Loads)
	assert.Empty(t, b.Jars)
	assert.True(t, b.EndsAtStraining(), "nor is it kept or dried")
	assert.Zero(t, b.Leftover.Route)
}

// addsUp asserts that jars and leftover are all there is.
func addsUp(t *testing.T, what string, b stock.Batch) {
	t.Helper()
	if b.EndsAtStraining() {
		return
	}
	filled := b.Leftover.Volume.Likely
	for _, j := range b.Jars {
		filled += quantity.Volume(j.Count) * j.Fill
	}
	require.InDelta(t, b.Yield.ReadyToFill.Likely.Litres(), filled.Litres(), 1e-6, what)
}

// TestWhateverCameOfThePot draws 600 kitchens and what came in them.
func TestWhateverCameOfThePot(t *testing.T) {
	d := rand.New(rand.NewPCG(1129, 4))
	begun := 0
	for n := range 600 {
		kitchen, run := demo()
		volume := quantity.Volume(8*math.Exp(2*d.Float64())) * quantity.Quart
		kitchen.Pots[0].Volume, kitchen.Pots[0].Width = &volume, nil
		run.Bones, run.Vegetables = to(quantity.Mass(0.35*volume.Quarts())*quantity.Pound), nil
		run.Kind = []string{"turkey-frames", "chicken-frames", "pork", "beef"}[d.IntN(4)]
		run.Jars = []string{"quart,pint", "quart", "pint", "quart=5,pint=9", "pint,half-pint"}[d.IntN(5)]
		run.Mix, run.TopUp = d.IntN(4) == 0, []string{"never", "level"}[d.IntN(2)]
		kitchen.Jars = map[string]int{"quart": d.IntN(40), "pint": d.IntN(60)}
		kitchen.Canner.Racks = 1 + d.IntN(2)
		setup, err := settle.Run(kitchen, run)
		if err != nil {
			continue
		}
		what := fmt.Sprintf("run %d: %s %s in %.1f qt, jars %v", n, run.Kind, run.Jars, volume.Quarts(), kitchen.Jars)
		before, err := stock.Plan(setup)
		if err != nil {
			continue
		}
		nothing, err := stock.PlanFrom(setup, stock.Came{})
		require.NoError(t, err, what)
		require.Equal(t, before, nothing, "nothing known is as planned: %s", what)

		came := stock.Came{Broken: map[string]int{"quart": d.IntN(3)}}
		switch d.IntN(4) {
		case 0:
			came.Strained = before.Yield.Strained.Likely * quantity.Volume(0.5+d.Float64())
		case 1:
			came.Ready = before.Yield.ReadyToFill.Likely * quantity.Volume(0.5+d.Float64())
		case 2:
			came.ToppedUp = quantity.Volume(3*d.Float64()) * quantity.Quart
		}
		for i := range before.Loads {
			if d.IntN(2) == 0 {
				break
			}
			begun++
			came.Begun = append(came.Begun, stock.BegunLoad{Load: before.Loads[i], Unprocessed: d.IntN(4) == 0})
		}
		after, err := stock.PlanFrom(setup, came)
		if err != nil {
			continue
		}
		y := after.Yield
		require.InDelta(t, y.Strained.Likely.Litres(),
			(y.Water + y.GivenOff - y.Evaporated + y.ToppedUp - y.HeldBySolids + y.IceMelted).Litres(), 1e-9, what)
		if run.Kind == "pork" {
			require.True(t, after.Refused(), what)
			require.Empty(t, after.Loads, what)
			continue
		}
		goesOnAsFilled(t, what, kitchen, before, after, came)
	}
	assert.Greater(t, begun, 100)
}

// goesOnAsFilled asserts that what has begun stays, and that nothing is filled twice.
func goesOnAsFilled(t *testing.T, what string, kitchen runfile.Kitchen, before, after stock.Batch, came stock.Came) {
	t.Helper()
	taken := quantity.Volume(0)
	for _, load := range came.Begun {
		if load.Unprocessed {
			continue
		}
		for _, layer := range load.Layers {
			for _, j := range layer.Jars {
				taken += quantity.Volume(j.Count) * fillOf(before, j.Jar)
			}
		}
	}
	if taken <= after.Yield.ReadyToFill.Likely {
		addsUp(t, what, after)
	}
	inJars := map[string]int{}
	for i, load := range after.Loads {
		if i < len(came.Begun) {
			require.Equal(t, came.Begun[i].Layers, load.Layers, what)
			require.Equal(t, came.Begun[i].Unprocessed, load.Unprocessed, what)
			require.Equal(t, came.Begun[i].Process, load.Process, what)
		}
		require.Equal(t, i+1, load.Number, what)
		for _, layer := range load.Layers {
			for _, j := range layer.Jars {
				if !load.Unprocessed {
					inJars[j.Jar] += j.Count
				}
			}
		}
	}
	for _, j := range after.Jars {
		require.Equal(t, inJars[j.Jar], j.Count, "%s of the loads: %s", j.Jar, what)
		require.LessOrEqual(t, j.Low, j.Count, what)
		require.GreaterOrEqual(t, j.High, j.Count, what)
	}
	for name, onHand := range kitchen.Jars {
		if inJars[name] > max(0, onHand-came.Broken[name]) {
			already := 0
			for _, load := range came.Begun {
				if !load.Unprocessed {
					already += countOf(load.Load, name)
				}
			}
			require.Equal(t, already, inJars[name], "no more %ss than are left: %s", name, what)
		}
	}
}

// filledJars is how many jars a batch fills.
func filledJars(b stock.Batch) (n int) {
	for _, j := range b.Jars {
		n += j.Count
	}
	return n
}

func fillOf(b stock.Batch, name string) quantity.Volume {
	for _, j := range b.Jars {
		if j.Jar == name {
			return j.Fill
		}
	}
	return 0
}

func countOf(load stock.Load, name string) (n int) {
	for _, layer := range load.Layers {
		for _, j := range layer.Jars {
			if j.Jar == name {
				n += j.Count
			}
		}
	}
	return n
}
