package stock_test

import (
	"fmt"
	"math"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/stock"
	"brothrun/stock/fault"
	"brothrun/stock/quantity"
	"brothrun/stock/remark"
	"brothrun/stock/runfile"
	"brothrun/stock/settle"
)

// own is a jar of the cook's with the outside of a regular pint, unless changed.
func own(name string, fluidOunces quantity.Volume, change func(*runfile.OwnJar)) runfile.OwnJar {
	j := runfile.OwnJar{Name: name, Brimful: to(fluidOunces * quantity.FluidOunce),
		Bore: to(2.375 * quantity.Inch), Diameter: to(3.25 * quantity.Inch), Height: to(5.13 * quantity.Inch)}
	if change != nil {
		change(&j)
	}
	return j
}

func TestOwnJarsTakeTheTimeOfTheirClass(t *testing.T) {
	for _, row := range []struct {
		source      string
		fluidOunces quantity.Volume
		minutes     time.Duration // 0 for refused
	}{
		{"up to a pint 20 min (USDA, Guide 5; jars.csv 17.1 fl oz to the rim)", 17.1, 20},
		{"above a pint the quart's 25 min (NCHFP, jar size choices)", 17.2, 25},
		{"up to the largest quart, 33.8 fl oz to the rim", 33.8, 25},
		{"nothing above a quart (NCHFP)", 33.9, 0},
	} {
		b := plan(t, func(k *runfile.Kitchen, r *runfile.Run) {
			k.OwnJars, r.Jars = []runfile.OwnJar{own("tall", row.fluidOunces, nil)}, "Talls"
		})
		closed(t, b)
		if row.minutes == 0 {
			assert.Equal(t, []string{"jar-too-large"}, codes(b.Refusals), row.source)
			continue
		}
		require.NotEmpty(t, b.Loads, row.source)
		assert.Equal(t, row.minutes*time.Minute, b.Loads[0].Process, row.source)
		assert.Equal(t, "tall", b.Jars[0].Jar)
		assert.Empty(t, b.Jars[0].Mouth)
		// To zero 30 min for pints, 45 min for quarts (Michigan State University Extension).
		depressurise := 30 * time.Minute
		if row.minutes == 25 {
			depressurise = 45 * time.Minute
		}
		// At the demo's altitude and pressure it is the least, and likely more.
		assert.Equal(t, depressurise, b.Loads[0].Cycle.Depressurise.Low)
	}
}

// A pint of the catalogue measured by the cook fills, stands and is timed as the
// catalogue's own.
func TestAnOwnPintIsAPint(t *testing.T) {
	catalogue := plan(t, func(k *runfile.Kitchen, r *runfile.Run) { k.Jars, r.Jars = nil, "pint" })
	mine := plan(t, func(k *runfile.Kitchen, r *runfile.Run) {
		k.Jars, k.OwnJars, r.Jars = nil, []runfile.OwnJar{own("mine", 17.1, nil)}, "mine"
	})
	closed(t, mine)
	assert.InDelta(t, catalogue.Jars[0].Fill.Litres(), mine.Jars[0].Fill.Litres(), 1e-12)
	assert.Equal(t, catalogue.Jars[0].Count, mine.Jars[0].Count)
	assert.Equal(t, len(catalogue.Loads), len(mine.Loads))
	for i, load := range mine.Loads {
		assert.Equal(t, catalogue.Loads[i].Cycle, load.Cycle)
		assert.Equal(t, catalogue.Loads[i].Jars(), load.Jars())
	}
}

func TestOwnJarsAreCounted(t *testing.T) {
	b := plan(t, func(k *runfile.Kitchen, r *runfile.Run) {
		k.OwnJars = []runfile.OwnJar{own("jam-glass", 12, func(j *runfile.OwnJar) { j.OnHand, j.Holds = to(8), 4 })}
		r.Jars = "jam glass,quart"
	})
	closed(t, b)
	assert.Equal(t, 8, b.Jars[0].Count)
	assert.Equal(t, 8, b.Jars[0].Wash, "no more are washed than there are")
	assert.Equal(t, 4, b.Loads[0].Jars(), "as many as the cook counted in a layer")
	assert.Equal(t, "4 jam-glasses", b.Loads[0].Contents())
	assert.Equal(t, "quart", b.Jars[1].Jar)

	flagged := plan(t, func(k *runfile.Kitchen, r *runfile.Run) {
		k.OwnJars = []runfile.OwnJar{own("jam-glass", 12, func(j *runfile.OwnJar) { j.OnHand, j.Holds = to(5), 4 })}
		k.Canner.Holds, r.Jars = map[string]int{"jam-glass": 5}, "jam-glass"
	})
	assert.Equal(t, 5, flagged.Loads[0].Jars(), "a count for the canner goes before the jar's own")

	none := plan(t, func(k *runfile.Kitchen, r *runfile.Run) {
		k.OwnJars, r.Jars = []runfile.OwnJar{own("a", 12, func(j *runfile.OwnJar) { j.OnHand = to(0) })}, "a"
	})
	assert.Contains(t, codes(none.Warnings), "no-jars")
}

func TestOwnJarErrorsNameTheirJar(t *testing.T) {
	shallow := own("saucer", 2, func(j *runfile.OwnJar) { j.Bore, j.Height = to(3*quantity.Inch), to(1.5*quantity.Inch) })
	kitchen, run := demo()
	kitchen.OwnJars, run.Jars = []runfile.OwnJar{own("tall", 12, nil), shallow}, "saucer"
	_, err := planOf(kitchen, run)
	var input *fault.Fault
	require.ErrorAs(t, err, &input)
	assert.Equal(t, "jar[1]", input.Key)
	assert.EqualError(t, err, "headspace 1 in leaves nothing in a saucer: give less")

	run.Jars = "saucers,bucket"
	_, err = planOf(kitchen, run)
	require.ErrorAs(t, err, &input)
	assert.Equal(t, "jars", input.Key)
	assert.Equal(t, "or a jar of your own: tall, saucer", input.Hint)

	kitchen.OwnJars, run.Jars = []runfile.OwnJar{{Name: "unmeasured"}}, "unmeasured"
	_, err = planOf(kitchen, run)
	require.ErrorAs(t, err, &input)
	assert.Equal(t, "jar[0]", input.Key)
}

// A refused pot stays refused for what is in it, whatever the jar.
func TestATooLargeJarHidesNoOtherRefusal(t *testing.T) {
	b := plan(t, func(k *runfile.Kitchen, r *runfile.Run) {
		k.OwnJars, r.Jars, r.Kind = []runfile.OwnJar{own("bucket", 40, nil)}, "bucket", "pork"
	})
	assert.Equal(t, []string{"no-tested-process"}, codes(b.Refusals))
}

// pot is the demo with several kinds in its pot.
func pot(portions ...runfile.Portion) func(*runfile.Kitchen, *runfile.Run) {
	return func(_ *runfile.Kitchen, r *runfile.Run) {
		r.Kind, r.Bones, r.Portions = "", nil, portions
	}
}

func portion(kind string, pounds quantity.Mass) runfile.Portion {
	return runfile.Portion{Kind: kind, Weight: to(pounds * quantity.Pound)}
}

func TestSeveralKindsInOnePot(t *testing.T) {
	for _, row := range []struct {
		source   string
		portions []runfile.Portion
		refused  []string
		what     string
		kind     settle.Kind
	}{
		{"USDA Guide 5: chicken or turkey", []runfile.Portion{portion("chicken-frames", 5), portion("Turkey necks", 4)}, nil, "chicken frames and turkey necks", "chicken-frames+turkey-necks"},
		{"beef with beef", []runfile.Portion{portion("beef", 5), portion("beef-shank", 4)}, nil, "beef bones and beef shank", "beef+beef-shank"},
		{"the same kind twice is one kind", []runfile.Portion{portion("beef", 5), portion("beef", 4)}, nil, "beef bones", "beef"},
		{"three", []runfile.Portion{portion("chicken", 3), portion("chicken-feet", 3), portion("turkey", 3)}, nil, "chicken pieces, chicken feet and turkey pieces", "chicken+chicken-feet+turkey"},
		{"no published directions for poultry with beef", []runfile.Portion{portion("chicken", 5), portion("beef", 4)}, []string{"mixed-kinds"}, "chicken pieces and beef bones", "chicken+beef"},
		{"no tested process for pork stock", []runfile.Portion{portion("chicken", 8), portion("pork", 1)}, []string{"no-tested-process"}, "chicken pieces and pork bones", "chicken+pork"},
		{"none for fish", []runfile.Portion{portion("fish", 1), portion("beef", 8)}, []string{"no-tested-process"}, "fish bones and beef bones", "fish+beef"},
	} {
		b := plan(t, pot(row.portions...))
		closed(t, b)
		assert.Equal(t, row.refused, codes(b.Refusals), row.source)
		assert.Equal(t, row.what, b.What, row.source)
		assert.Equal(t, row.kind, b.Kind, row.source)
		assert.InDelta(t, 9, b.Weight.Pounds(), 1e-9)
		assert.Positive(t, b.Yield.ReadyToFill.Likely)
	}
}

// Two portions of one kind are one of both weights, and two halves of different
// kinds lie between one pot of either.
func TestPortionsAddUp(t *testing.T) {
	yield := func(portions ...runfile.Portion) stock.Yield { return plan(t, pot(portions...)).Yield }
	whole, halves := yield(portion("chicken", 9)), yield(portion("chicken", 4), portion("chicken", 5))
	assert.InDelta(t, whole.Strained.Likely.Litres(), halves.Strained.Likely.Litres(), 1e-9)
	assert.InDelta(t, whole.Strained.Low.Litres(), halves.Strained.Low.Litres(), 1e-9)

	frames, mix := yield(portion("turkey-frames", 9)), yield(portion("chicken", 4.5), portion("turkey-frames", 4.5))
	assert.InDelta(t, (whole.Fat+frames.Fat).Litres()/2, mix.Fat.Litres(), 1e-9)
	assert.InDelta(t, (whole.Water+frames.Water).Litres()/2, mix.Water.Litres(), 1e-9)
}

func TestTheStricterSimmerCounts(t *testing.T) {
	// Chicken 30 to 45 min, beef 3 to 4 h (USDA, Guide 5).
	kitchen, run := demo()
	run.Simmer = nil
	for _, row := range []struct {
		portions []runfile.Portion
		usual    time.Duration
	}{
		{[]runfile.Portion{portion("chicken", 3), portion("turkey", 3)}, 45 * time.Minute},
		{[]runfile.Portion{portion("beef", 3), portion("beef-shank", 3)}, 3*time.Hour + 30*time.Minute},
		{[]runfile.Portion{portion("beef", 3), portion("chicken", 3)}, 45 * time.Minute},
		{[]runfile.Portion{portion("pork", 3), portion("beef", 3)}, 3 * time.Hour},
	} {
		pot(row.portions...)(&kitchen, &run)
		b, err := planOf(kitchen, run)
		require.NoError(t, err)
		assert.Equal(t, row.usual, b.Simmer, b.What)
		assert.NotContains(t, codes(b.Warnings), "long-simmer")
	}
	b := plan(t, func(k *runfile.Kitchen, r *runfile.Run) {
		pot(portion("beef", 3), portion("chicken", 3))(k, r)
		r.Simmer = to(time.Hour)
	})
	assert.True(t, b.Refused())
	assert.NotContains(t, codes(b.Warnings), "long-simmer", "no directions cover the two together")
}

func TestBadPortionsNameTheirKey(t *testing.T) {
	for _, row := range []struct {
		key    string
		change func(*runfile.Kitchen, *runfile.Run)
	}{
		{"bones[1].kind", pot(portion("chicken", 3), portion("gravel", 3))},
		{"bones", pot(portion("chicken", 3), runfile.Portion{Kind: "turkey"})},
		{"bones", func(_ *runfile.Kitchen, r *runfile.Run) { r.Portions = []runfile.Portion{portion("chicken", 3)} }},
	} {
		kitchen, run := demo()
		row.change(&kitchen, &run)
		_, err := planOf(kitchen, run)
		var input *fault.Fault
		require.ErrorAs(t, err, &input, row.key)
		assert.Equal(t, row.key, input.Key, err)
	}
}

// What the cook measured takes the place of the guess, vegetables included, and
// narrows the band. Its ±20 % is common practice, no source.
func TestMeasuredHeld(t *testing.T) {
	held := func(share float64) stock.Yield {
		return plan(t, func(k *runfile.Kitchen, _ *runfile.Run) {
			if share > 0 {
				k.Pots[0].Held = &share
			}
			k.Pots[0].Evaporation = to(0.5 * quantity.QuartPerHour)
		}).Yield
	}
	guess, twelve := held(0), held(0.12)
	// 12 % of 9 lb of bones and 3 lb of vegetables, at 998.2 kg/m³ (water at 20 °C).
	assert.InDelta(t, 0.12*12*0.45359237/0.9982, twelve.HeldBySolids.Litres(), 1e-9)
	width := func(y stock.Yield) float64 { return (y.Strained.High - y.Strained.Low).Litres() }
	assert.Less(t, width(twelve), width(guess))
	assert.Greater(t, twelve.Strained.Likely, held(0.3).Strained.Likely)

	for _, share := range []float64{-0.1, 0.61, math.NaN()} {
		kitchen, run := demo()
		kitchen.Pots[0].Held = &share
		_, err := planOf(kitchen, run)
		var input *fault.Fault
		require.ErrorAs(t, err, &input, "%v", share)
		assert.Equal(t, "held", input.Key)
	}
}

// Iowa State Extension calls 2 quarts or 4 pints a sensible least load.
func TestLessThanALoad(t *testing.T) {
	for _, row := range []struct {
		quarts quantity.Volume // water
		jars   string
		less   string
	}{
		{3, "quart,pint", ""},
		{1.7, "quart", "less-than-a-load"},
		{1.7, "pint", "less-than-a-load"},
		{1.7, "quart,pint", "less-than-a-load"},
		{1.7, "half-pint", ""},                   // more than four of these
		{1.7, "half-pint,quart", ""},             // the first size makes one
		{1.7, "quart,half-pint", ""},             // and so does the second
		{12, "quart=1", "less-than-a-load jars"}, // little in the jars, plenty in the pot
		{12, "quart=1,pint=3", "less-than-a-load jars"},
		{12, "quart=1,pint=4", ""},
	} {
		for _, prefer := range []string{"jars", "loads", "leftover"} {
			for _, small := range []bool{false, true} {
				b := plan(t, func(k *runfile.Kitchen, r *runfile.Run) {
					k.Pots[0].Evaporation = to(0.1 * quantity.QuartPerHour)
					r.Bones, r.Vegetables, r.Simmer = to(quantity.Pound/2), nil, to(45*time.Minute)
					r.Fit, r.Water, r.Jars = false, to(row.quarts*quantity.Quart), row.jars
					r.Prefer, r.SmallLoads = prefer, small
				})
				closed(t, b)
				about := fmt.Sprintf("%+v, for %s, small loads %v", row, prefer, small)
				at := slices.IndexFunc(b.Warnings, func(n remark.Note) bool { return n.Code == "less-than-a-load" })
				if row.less == "" {
					require.NotEmpty(t, b.Loads, about)
					assert.Negative(t, at, about)
					continue
				}
				assert.Equal(t, small, len(b.Loads) > 0, about)
				if small && at < 0 {
					assert.Contains(t, codes(b.Warnings), "small-load", about)
					continue
				}
				require.GreaterOrEqual(t, at, 0, about)
				assert.NotContains(t, codes(b.Warnings), "small-load", "said once")
				if small {
					continue
				}
				assert.Equal(t, row.less, told(b.Warnings[at]), about)
				assert.InDelta(t, b.Yield.ReadyToFill.Likely.Litres(), b.Leftover.Volume.Likely.Litres(), 1e-9, "the leftover takes all: %s", about)
				last := b.Rivals[len(b.Rivals)-1]
				assert.True(t, last.SmallLoads && last.Loads > 0, "the other way is shown: %s", about)
			}
		}
	}
}
