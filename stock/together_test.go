package stock_test

import (
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

// pots is a run of several pots in a kitchen that has four.
func pots(change func(*runfile.Kitchen, *runfile.Run)) (runfile.Kitchen, runfile.Run) {
	kitchen, run := demo()
	kitchen.Pots = append(kitchen.Pots,
		runfile.Pot{Name: "roaster", Volume: to(18 * quantity.Quart), Width: to(14 * quantity.Inch), Heat: "own", Power: to(1.4 * quantity.Kilowatt)},
		runfile.Pot{Name: "third pot", Volume: to(20 * quantity.Quart), Width: to(12.5 * quantity.Inch), FillLine: to(0.8)},
		runfile.Pot{Name: "tub", Volume: to(20 * quantity.Quart), Width: to(13 * quantity.Inch)})
	kitchen.Jars = nil
	run.Vegetables, run.Simmer, run.Bones = nil, to(45*time.Minute), to(24*quantity.Pound)
	run.SetPots([]string{"big pot", "roaster", "third pot"})
	run.StrainInto = "tub"
	change(&kitchen, &run)
	return kitchen, run
}

func same(*runfile.Kitchen, *runfile.Run) {}

func TestThreePotsAreOneRun(t *testing.T) {
	kitchen, run := pots(same)
	b, err := planOf(kitchen, run)
	require.NoError(t, err)
	require.Len(t, b.Pots, 3)
	assert.Equal(t, []string{"big pot", "roaster", "third pot"}, []string{b.Pots[0].Pot, b.Pots[1].Pot, b.Pots[2].Pot})
	assert.Equal(t, "turkey-frames", string(b.Kind))

	// Divided by what fits, on a tenth of a pound: 19.8, 16.2 and 16 qt of fill.
	for i, want := range []float64{9.1, 7.5, 7.4} {
		assert.InDelta(t, want, b.Pots[i].Weight.Pounds(), 1e-6)
	}
	assert.InDelta(t, 24, b.Weight.Pounds(), 1e-6)

	// Jars and leftover are what is ready, and the balance closes, in all and in each pot.
	jars := b.Leftover.Volume.Likely
	for _, j := range b.Jars {
		jars += quantity.Volume(j.Count) * j.Fill
	}
	assert.InDelta(t, b.Yield.ReadyToFill.Likely.Litres(), jars.Litres(), 1e-9, "jars and leftover")
	var strained, ready quantity.Volume
	for _, pot := range append([]stock.Batch{b}, b.Pots...) {
		y := pot.Yield
		sum := y.Water + y.GivenOff - y.Evaporated + y.ToppedUp - y.HeldBySolids + y.IceMelted
		assert.InDelta(t, sum.Litres(), y.Strained.Likely.Litres(), 1e-9)
		assert.InDelta(t, (y.Strained.Likely - y.Fat - y.Lost).Litres(), y.ReadyToFill.Likely.Litres(), 1e-9)
	}
	var ice quantity.Mass
	for _, pot := range b.Pots {
		strained, ready, ice = strained+pot.Yield.Strained.Likely, ready+pot.Yield.ReadyToFill.Likely, ice+pot.Chill.IceToHave
		assert.True(t, pot.Chill.Passes)
		assert.Empty(t, pot.Jars)
		assert.LessOrEqual(t, pot.Chill.SlowTo41F.After, b.Chill.SlowTo41F.After, "the slowest decides")
	}
	assert.InDelta(t, strained.Litres(), b.Yield.Strained.Likely.Litres(), 1e-9)
	assert.InDelta(t, ready.Litres(), b.Yield.ReadyToFill.Likely.Litres(), 1e-9)
	assert.InDelta(t, ice.Kilograms(), b.Chill.IceToHave.Kilograms(), 1e-9)
	assert.Equal(t, "tub", b.Pots[1].Into)

	// Each pot is what a run of it alone would be, as far as its sample goes.
	for i, pot := range b.Pots {
		run := run
		run.Pots, run.Pot, run.StrainInto, run.Bones = nil, pot.Pot, pot.Into, to(pot.Weight)
		alone, err := planOf(kitchen, run)
		require.NoError(t, err)
		assert.InEpsilon(t, alone.Yield.Strained.Likely.Litres(), pot.Yield.Strained.Likely.Litres(), 0.01, i)
		assert.Equal(t, alone.HeatUp, pot.HeatUp)
		assert.Equal(t, alone.Chill.Method, pot.Chill.Method)
	}
}

func TestPotsGivenByFill(t *testing.T) {
	filled := func(change func(*runfile.Kitchen, *runfile.Run)) (stock.Batch, error) {
		return planOf(pots(func(k *runfile.Kitchen, r *runfile.Run) {
			r.Pot, r.Pots, r.StrainInto = "", nil, ""
			r.Fills = []runfile.Fill{{Pot: "big pot", Bones: to(10 * quantity.Pound)}, {Pot: "roaster", StrainInto: "tub"}, {Pot: "16 qt"}}
			change(k, r)
		}))
	}
	b, err := filled(same)
	require.NoError(t, err)
	assert.InDelta(t, 10, b.Pots[0].Weight.Pounds(), 1e-6)
	assert.InDelta(t, 24, b.Weight.Pounds(), 1e-6)
	assert.InDelta(t, 7.4, b.Pots[1].Weight.Pounds(), 1e-6, "14 lb between 16.2 and 14.4 qt")
	assert.Equal(t, "16 qt pot", b.Pots[2].Pot)

	// Kinds of their own: poultry in two pots is one stock; the jars hold the mix.
	b, err = filled(func(_ *runfile.Kitchen, r *runfile.Run) { r.Fills[1].Kind = "chicken-frames" })
	require.NoError(t, err)
	assert.Equal(t, "turkey-frames+chicken-frames", string(b.Kind))
	assert.Equal(t, "chicken frames", b.Pots[1].What)
	assert.NotEmpty(t, b.Loads)
	b, err = filled(func(_ *runfile.Kitchen, r *runfile.Run) { r.Fills[1].Kind = "beef" })
	require.NoError(t, err)
	assert.Equal(t, []string{process.MixedKinds}, codes(b.Refusals))
	// Own water, and vegetables divided.
	b, err = filled(func(_ *runfile.Kitchen, r *runfile.Run) {
		r.Fills[0].Water, r.Vegetables = to(9*quantity.Quart), to(3*quantity.Pound)
	})
	require.NoError(t, err)
	assert.InDelta(t, 9, b.Pots[0].Yield.Water.Quarts(), 1e-6)
	assert.False(t, b.Yield.WaterFits)
	assert.InDelta(t, 24, b.Weight.Pounds(), 1e-6)
	// More vegetables than bones in one pot: a jar may be filled from it alone.
	b, err = filled(func(_ *runfile.Kitchen, r *runfile.Run) {
		r.Fills[1].Bones, r.Fills[1].Vegetables = to(2*quantity.Pound), to(3*quantity.Pound)
	})
	require.NoError(t, err)
	require.Equal(t, []string{process.MostlyVegetables}, codes(b.Refusals))
	assert.Equal(t, "roaster", b.Refusals[0].Pot)
	// Several kinds are divided kind by kind.
	b, err = filled(func(_ *runfile.Kitchen, r *runfile.Run) {
		r.Kind, r.Bones, r.Fills[0].Bones = "", nil, nil
		r.Portions = []runfile.Portion{{Kind: "chicken-frames", Weight: to(12 * quantity.Pound)}, {Kind: "turkey-necks", Weight: to(6 * quantity.Pound)}}
	})
	require.NoError(t, err)
	assert.InDelta(t, 18, b.Weight.Pounds(), 1e-6)
	assert.Equal(t, "chicken-frames+turkey-necks", string(b.Pots[2].Kind))
	// One pot in a list is a run of one pot.
	b, err = filled(func(_ *runfile.Kitchen, r *runfile.Run) { r.Fills, r.Bones = r.Fills[:1], nil })
	require.NoError(t, err)
	assert.Empty(t, b.Pots)
	assert.InDelta(t, 10, b.Weight.Pounds(), 1e-6)
}

func TestOnePotOfSeveralRefusesTheChill(t *testing.T) {
	b, err := planOf(pots(func(_ *runfile.Kitchen, r *runfile.Run) { r.Chill = "ice-bath" }))
	require.NoError(t, err)
	narrow := remark.Noted(b.Warnings, remark.ChillNarrow)
	require.NotEmpty(t, narrow)
	for _, note := range narrow {
		assert.NotEmpty(t, note.Pot)
	}
	b, err = planOf(pots(func(_ *runfile.Kitchen, r *runfile.Run) { r.Chill = "fridge" }))
	require.NoError(t, err)
	assert.True(t, b.EndsAtStraining())
	assert.Empty(t, b.Loads)
	assert.Equal(t, []string{"big pot", "roaster", "third pot"}, func() (of []string) {
		for _, note := range b.Refusals {
			of = append(of, note.Pot)
		}
		return of
	}())
	b, err = planOf(pots(func(k *runfile.Kitchen, r *runfile.Run) { k.Fridge = to(quantity.Fahrenheit(45)) }))
	require.NoError(t, err)
	require.Len(t, b.Refusals, 1, "one fridge")
	assert.Empty(t, b.Refusals[0].Pot)
	// Ice stirred in is counted once for each.
	b, err = planOf(pots(func(_ *runfile.Kitchen, r *runfile.Run) {
		r.Chill, r.Bones = "ice-added", to(6*quantity.Pound)
		fillsOf(r, 5)
	}))
	require.NoError(t, err)
	assert.Positive(t, b.Yield.IceMelted)
	sum := b.Yield.Water + b.Yield.GivenOff - b.Yield.Evaporated - b.Yield.HeldBySolids + b.Yield.IceMelted
	assert.InDelta(t, sum.Litres(), b.Yield.Strained.Likely.Litres(), 1e-9)
	assert.InDelta(t, (b.Yield.Strained.Likely - b.Yield.Fat - b.Yield.Lost).Litres(), b.Yield.ReadyToFill.Likely.Litres(), 1e-9)
}

// fillsOf pours so many quarts into each pot of a run.
func fillsOf(r *runfile.Run, quarts quantity.Volume) {
	pots := r.Pots
	r.Pot, r.Pots, r.Fills, r.StrainInto = "", nil, nil, ""
	for _, pot := range pots {
		r.Fills = append(r.Fills, runfile.Fill{Pot: pot, Water: to(quarts * quantity.Quart)})
	}
}

// What was measured is of all pots together: each has its share of it.
func TestMeasuredBrothOfSeveralPots(t *testing.T) {
	kitchen, run := pots(same)
	setup, err := settle.Run(kitchen, run)
	require.NoError(t, err)
	planned, err := stock.Plan(setup)
	require.NoError(t, err)
	var came stock.Came
	came.Strained = 30 * quantity.Quart
	b, err := stock.PlanFrom(setup, came)
	require.NoError(t, err)
	assert.InDelta(t, 30, b.Yield.Strained.Likely.Quarts(), 1e-6)
	assert.InDelta(t, 30.9, b.Yield.Strained.High.Quarts(), 0.05, "within 3 %, as one reading")
	assert.InDelta(t, 30*float64(planned.Pots[1].Yield.Strained.Likely/planned.Yield.Strained.Likely),
		b.Pots[1].Yield.Strained.Likely.Quarts(), 1e-6)
	jars := b.Leftover.Volume.Likely
	for _, j := range b.Jars {
		jars += quantity.Volume(j.Count) * j.Fill
	}
	assert.InDelta(t, b.Yield.ReadyToFill.Likely.Litres(), jars.Litres(), 1e-9)
	came.Ready = 27 * quantity.Quart
	b, err = stock.PlanFrom(setup, came)
	require.NoError(t, err)
	assert.InDelta(t, 27, b.Yield.ReadyToFill.Likely.Quarts(), 1e-6)
}

func TestTheReheatOfSeveralPotsTakesTheLargestFirst(t *testing.T) {
	b, err := planOf(pots(same))
	require.NoError(t, err)
	assert.Equal(t, 2, b.PotsToReheat(b.Loads), "36 qt into the 22 and a 20-quart pot, hot")
	assert.Equal(t, 1, b.PotsToReheat(b.Loads[:1]))
	assert.Empty(t, remark.Noted(b.Warnings, remark.ReheatPots), "there are as many")
}

func TestWhatIsWrongWithSeveralPotsIsToldByItsOwnKey(t *testing.T) {
	fill := func(fills ...runfile.Fill) func(*runfile.Kitchen, *runfile.Run) {
		return func(_ *runfile.Kitchen, r *runfile.Run) { r.Pot, r.Pots, r.Fills, r.StrainInto = "", nil, fills, "" }
	}
	big, roaster := runfile.Fill{Pot: "big pot"}, runfile.Fill{Pot: "roaster"}
	with := func(f runfile.Fill, change func(*runfile.Fill)) runfile.Fill { change(&f); return f }
	for _, row := range []struct {
		why, key, reason string
		change           func(*runfile.Kitchen, *runfile.Run)
	}{
		{"both ways", "pot", `goes against \[\[fill\]\]`, func(k *runfile.Kitchen, r *runfile.Run) { fill(big, roaster)(k, r); r.Pot = "big pot" }},
		{"a width", "pot_width", "several pots is not one", func(_ *runfile.Kitchen, r *runfile.Run) { r.PotWidth = to(12 * quantity.Inch) }},
		{"a water", "water", "several pots is not one", func(_ *runfile.Kitchen, r *runfile.Run) { r.Fit, r.Water = false, to(12*quantity.Quart) }},
		{"into which", "strain_into", "which of them is strained into the tub is not said", func(_ *runfile.Kitchen, r *runfile.Run) { r.SetPots([]string{"big pot", "third pot"}) }},
		{"no such pot", "pot", `^pot "roster" is neither`, func(_ *runfile.Kitchen, r *runfile.Run) { r.StrainInto = ""; r.SetPots([]string{"big pot", "roster"}) }},
		{"no such pot in a fill", "fill[1].pot", `pot "roster" is neither`, fill(big, runfile.Fill{Pot: "roster"})},
		{"twice", "pot", "roaster: it is given twice", func(_ *runfile.Kitchen, r *runfile.Run) { r.StrainInto = ""; r.SetPots([]string{"roaster", "roaster"}) }},
		{"too many", "pot", "7 pots in one run: at most 6", func(_ *runfile.Kitchen, r *runfile.Run) {
			r.SetPots([]string{"8 qt", "8 qt", "8 qt", "8 qt", "8 qt", "8 qt", "8 qt"})
		}},
		{"too much", "fill[0].bones", "big pot: a pot load .* does not fit this pot", fill(with(big, func(f *runfile.Fill) { f.Bones = to(23 * quantity.Pound) }), roaster)},
		{"nothing left", "bones", "nothing of 24 lb .* is left for pot 2", fill(with(big, func(f *runfile.Fill) { f.Bones = to(24 * quantity.Pound) }), roaster)},
		{"too much in all", "bones", "roaster: a pot load|third pot: a pot load|big pot: a pot load", func(_ *runfile.Kitchen, r *runfile.Run) { r.Bones = to(80 * quantity.Pound) }},
		{"no weight", "bones", "how much goes into pot 2 is not given", func(k *runfile.Kitchen, r *runfile.Run) {
			fill(with(big, func(f *runfile.Fill) { f.Bones = to(9 * quantity.Pound) }), roaster)(k, r)
			r.Bones = nil
		}},
		{"a sum that is none", "bones", "the bones of the pots do not come to the 24 lb", fill(with(big, func(f *runfile.Fill) { f.Bones = to(9 * quantity.Pound) }),
			with(roaster, func(f *runfile.Fill) { f.Bones = to(9 * quantity.Pound) }))},
		{"a kind beside kinds", "fill[1].kind", `goes against \[\[bones\]\]`, func(k *runfile.Kitchen, r *runfile.Run) {
			fill(big, with(roaster, func(f *runfile.Fill) { f.Kind = "chicken" }))(k, r)
			r.Kind, r.Bones, r.Portions = "", nil, []runfile.Portion{{Kind: "chicken", Weight: to(9 * quantity.Pound)}}
		}},
		{"whole birds", "kind", "whole chickens go into one pot of a run", func(_ *runfile.Kitchen, r *runfile.Run) { r.Kind = "whole-chicken" }},
		{"whole birds in one", "fill[1].kind", "whole turkeys go into one pot of a run", fill(big, with(roaster, func(f *runfile.Fill) { f.Kind = "whole turkey" }))},
		{"thawed in water", "thaw", "cooked at once, and several pots are lit one after another", func(_ *runfile.Kitchen, r *runfile.Run) { r.Thaw = "cold-water" }},
		{"counted vegetables", "vegetables", "counted for one pot, and the run has 3", func(_ *runfile.Kitchen, r *runfile.Run) {
			r.Counted = []runfile.VegetableCount{{Name: "onion", Count: 4}}
		}},
		{"no kind", "kind", "what goes into pot 2 is not given", func(k *runfile.Kitchen, r *runfile.Run) {
			fill(with(big, func(f *runfile.Fill) { f.Kind = "chicken" }), roaster)(k, r)
			r.Kind = ""
		}},
		{"no such kind", "fill[1].kind", `^kind "gravel" is not known`, fill(big, with(roaster, func(f *runfile.Fill) { f.Kind = "gravel" }))},
		{"into a pot in use", "fill[1].strain_into", "roaster: the big pot has the broth of big pot by then", fill(big, with(roaster, func(f *runfile.Fill) { f.StrainInto = "big pot" }))},
		{"water over the brim", "fill[1].water", "roaster: water of 30 qt", fill(big, with(roaster, func(f *runfile.Fill) { f.Water = to(30 * quantity.Quart) }))},
	} {
		_, err := planOf(pots(row.change))
		var input *fault.Fault
		require.ErrorAs(t, err, &input, row.why)
		assert.Equal(t, row.key, input.Key, row.why)
		assert.Regexp(t, row.reason, input.Reason, row.why)
		assert.NotEmpty(t, input.Hint, row.why)
	}
}
