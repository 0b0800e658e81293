package stock_test

import (
	"errors"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/stock"
	"brothrun/stock/fault"
	"brothrun/stock/loading"
	"brothrun/stock/quantity"
	"brothrun/stock/runfile"
)

// twoRacks is a canner in which a layer of pints and one of quarts stand on one
// another, and no two of quarts.
func twoRacks(k *runfile.Kitchen, r *runfile.Run) {
	k.Canner.Height, k.Canner.Racks = to(13.5*quantity.Inch), 2
	k.Jars = nil
}

func TestRivalsAreWhatTheyAreCalled(t *testing.T) {
	for _, jars := range []string{"quart,pint", "pint,quart", "quart", "pint", "quart=3,pint", "quart,pint-and-half,pint,half-pint"} {
		for _, mix := range []bool{false, true} {
			for _, prefer := range []string{"", "jars", "loads", "leftover"} {
				b := plan(t, func(k *runfile.Kitchen, r *runfile.Run) {
					twoRacks(k, r)
					r.Jars, r.Mix, r.Prefer = jars, mix, prefer
				})
				closed(t, b)
				require.NotEmpty(t, b.Rivals)
				chosen := b.Rivals[0]
				assert.True(t, chosen.Chosen)
				assert.Len(t, b.Loads, chosen.Loads)
				assert.Equal(t, b.StoveTime(), chosen.StoveTime)
				assert.InDelta(t, b.Leftover.Volume.Likely.Litres(), chosen.Leftover.Litres(), 1e-9)
				require.Len(t, chosen.Jars, len(b.Jars))
				for i, j := range b.Jars {
					assert.Equal(t, j.JarCount, chosen.Jars[i])
				}
				for i, plan := range b.Rivals {
					assert.Equal(t, i == 0, plan.Chosen)
					for _, other := range b.Rivals {
						if plan.Prefer == loading.PreferLoads && other.Prefer == loading.PreferLeftover {
							assert.LessOrEqual(t, plan.Loads, other.Loads)
							assert.GreaterOrEqual(t, plan.Leftover, other.Leftover)
						}
					}
					for _, other := range b.Rivals[:i] {
						assert.False(t, slices.Equal(plan.Jars, other.Jars), "%s and %s are one plan", plan.Prefer, other.Prefer)
					}
				}
				again := plan(t, func(k *runfile.Kitchen, r *runfile.Run) {
					twoRacks(k, r)
					r.Jars, r.Mix, r.Prefer = jars, mix, prefer
				})
				assert.Equal(t, b, again)
			}
		}
	}
}

// Eleven pints where nine stand in a layer, and the same of quarts and seven: the
// last load would be too small, so its broth is left over and the other way is
// shown. 2 quarts or 4 pints: Iowa State Extension calls the advice sensible.
func TestALastLoadTooSmallIsLeftOver(t *testing.T) {
	for _, row := range []struct {
		jars          string
		prefer        string
		loads, loaded []int // without small loads, and with
	}{
		{"pint=11", "", []int{9}, []int{9, 2}},
		{"pint=12", "", []int{9}, []int{9, 3}},
		{"pint=13", "", []int{9, 4}, []int{9, 4}},
		{"pint=20", "", []int{9, 9}, []int{9, 9, 2}},
		{"pint=9", "", []int{9}, []int{9}},
		{"pint=3", "", nil, []int{3}},
		{"quart=8", "", []int{7}, []int{7, 1}},
		{"quart=9", "", []int{7, 2}, []int{7, 2}},
		{"quart=1", "", nil, []int{1}},
		{"quart=8,pint=3", "", []int{7}, []int{7, 1}}, // a later size asks for a load of its own
		{"quart=8,pint=4", "", []int{7, 4}, []int{7, 1, 4}},
		{"quart=1,pint=3", "", nil, []int{1}},
		{"quart=1,pint=3", "leftover", nil, []int{1, 3}},
		{"quart=1,pint=3", "loads", nil, []int{1, 3}},
		{"pint=11", "loads", []int{9}, []int{7, 4}}, // no broth for another load is left behind
		{"pint=11", "leftover", []int{7, 4}, []int{7, 4}},
		{"pint=3", "leftover", nil, []int{3}},
		{"pint-and-half=1,half-pint=4", "leftover", []int{4}, []int{1, 4}},
	} {
		for _, small := range []bool{false, true} {
			want := row.loads
			if small {
				want = row.loaded
			}
			b := plan(t, func(_ *runfile.Kitchen, r *runfile.Run) { r.Jars, r.Prefer, r.SmallLoads = row.jars, row.prefer, small })
			closed(t, b)
			var got []int
			for _, load := range b.Loads {
				got = append(got, load.Jars())
			}
			assert.Equal(t, want, got, "%+v, small loads %v", row, small)
			assert.Equal(t, !small && !slices.Equal(row.loads, row.loaded) && row.prefer != "leftover" || !small && jarTotal(row.loads) < jarTotal(row.loaded),
				slices.ContainsFunc(b.Rivals, func(p stock.LoadPlan) bool { return p.SmallLoads }), "%+v", row)
			for _, load := range b.Loads {
				assert.False(t, load.Small && !small, "%+v", row)
			}
		}
	}
}

func jarTotal(loads []int) (n int) {
	for _, jars := range loads {
		n += jars
	}
	return n
}

// The pints ride above the quarts, at the quarts' time: 25 min at 15 psi on a
// weighted gauge at 3,200 ft, against 20 for pints alone (USDA Complete Guide,
// Guide 5; testdata/published/process_stock.csv).
func TestAMixedLoadTakesTheLongerTime(t *testing.T) {
	mixed := plan(t, func(k *runfile.Kitchen, r *runfile.Run) {
		twoRacks(k, r)
		r.Jars, r.Mix = "quart=7,pint=9", true
	})
	require.Len(t, mixed.Loads, 1)
	load := mixed.Loads[0]
	assert.Equal(t, []stock.Layer{
		{Rack: 1, Jars: []stock.JarCount{{Jar: "quart", Count: 7}}},
		{Rack: 2, Jars: []stock.JarCount{{Jar: "pint", Count: 9}}},
	}, load.Layers)
	assert.Equal(t, 25*time.Minute, load.Process)
	assert.InDelta(t, 15, load.Pressure.PSI(), 1e-9)
	assert.Equal(t, "7 quarts, 9 pints", load.Contents())

	apart := plan(t, func(k *runfile.Kitchen, r *runfile.Run) {
		twoRacks(k, r)
		r.Jars = "quart=7,pint=9"
	})
	require.Len(t, apart.Loads, 2)
	assert.Equal(t, 20*time.Minute, apart.Loads[1].Process)
}

// One rack: the free places of a layer of quarts take pints.
func TestPintsFillTheGapsAmongQuarts(t *testing.T) {
	b := plan(t, func(_ *runfile.Kitchen, r *runfile.Run) { r.Jars, r.Mix = "quart=6,pint=1", true })
	require.Len(t, b.Loads, 1)
	assert.Equal(t, []stock.JarCount{{Jar: "quart", Count: 6}, {Jar: "pint", Count: 1}}, b.Loads[0].Layers[0].Jars)
	assert.Equal(t, 25*time.Minute, b.Loads[0].Process)
}

// A jar that is narrower but higher does not take a free place of a layer of low ones:
// two layers of low jars stand under the lid, one with a high jar in it does not.
func TestAHigherJarTakesNoPlaceOfALowerOne(t *testing.T) {
	b := plan(t, func(k *runfile.Kitchen, r *runfile.Run) {
		k.OwnJars = []runfile.OwnJar{
			own("squat", 16, func(j *runfile.OwnJar) { j.Diameter, j.Height = to(4.2*quantity.Inch), to(4*quantity.Inch) }),
			own("tall", 16, func(j *runfile.OwnJar) { j.Diameter, j.Height = to(3*quantity.Inch), to(6*quantity.Inch) }),
		}
		k.Canner.Height, k.Canner.Racks = to(9*quantity.Inch), 2
		r.Jars, r.Mix = "squat=9,tall=13", true
	})
	layers := map[string]int{} // of the loads each stands in, at most
	for _, load := range b.Loads {
		for _, layer := range load.Layers {
			for _, jars := range layer.Jars {
				layers[jars.Jar] = max(layers[jars.Jar], len(load.Layers))
			}
		}
	}
	assert.Equal(t, map[string]int{"squat": 2, "tall": 1}, layers)
}

func TestASmallLastLoadIsExpected(t *testing.T) {
	warned, silent := 0, 0
	for quarts := 16.0; quarts < 28; quarts += 0.25 {
		b := plan(t, func(k *runfile.Kitchen, r *runfile.Run) {
			k.Pots[0].Volume, k.Jars, r.Jars, r.SmallLoads = to(quantity.Volume(quarts)*quantity.Quart), nil, "quart", true
		})
		assert.True(t, b.SmallLastLoadChance >= 0 && b.SmallLastLoadChance <= 1)
		small := slices.Contains(codes(b.Warnings), "small-load")
		assert.Equal(t, b.SmallLastLoadChance > 0.25 && !small, slices.Contains(codes(b.Warnings), "small-last-load"))
		if slices.Contains(codes(b.Warnings), "small-last-load") {
			warned++
		} else {
			silent++
		}
	}
	assert.Positive(t, silent)
	assert.Positive(t, warned)
	seven := plan(t, func(k *runfile.Kitchen, r *runfile.Run) { k.Jars["quart"], r.Jars, r.SmallLoads = 7, "quart", true })
	assert.Zero(t, seven.SmallLastLoadChance, "there are jars for one load")
	eight := plan(t, func(k *runfile.Kitchen, r *runfile.Run) { k.Jars["quart"], r.Jars, r.SmallLoads = 8, "quart", true })
	assert.InDelta(t, 1, eight.SmallLastLoadChance, 0.1, "there is nearly always broth for eight")
	left := plan(t, func(k *runfile.Kitchen, r *runfile.Run) { k.Jars["quart"], r.Jars = 8, "quart" })
	assert.Zero(t, left.SmallLastLoadChance, "without small loads there is none")
	assert.InDelta(t, 1, left.LoadChance[1], 0.1, "and eight quarts are one load")
	assert.Zero(t, plan(t, func(k *runfile.Kitchen, r *runfile.Run) {
		k.Jars["quart"], r.Jars, r.Prefer, r.SmallLoads = 8, "quart", "leftover", true
	}).SmallLastLoadChance)
}

func TestPreferencesAreChecked(t *testing.T) {
	kitchen, run := demo()
	run.Prefer = "speed"
	_, err := planOf(kitchen, run)
	var input *fault.Fault
	require.True(t, errors.As(err, &input))
	assert.Equal(t, "prefer", input.Key)
	assert.ErrorContains(t, err, `preference "speed" is not known: must be jars, loads or leftover`)
}

func TestNoJarsOrNoBrothIsStillAPlan(t *testing.T) {
	for _, prefer := range []string{"jars", "loads", "leftover"} {
		for _, mix := range []bool{false, true} {
			none := plan(t, func(_ *runfile.Kitchen, r *runfile.Run) { r.Jars, r.Prefer, r.Mix = "quart=0", prefer, mix })
			closed(t, none)
			assert.Empty(t, none.Loads)
			assert.Len(t, none.Rivals, 1)
			little := plan(t, func(k *runfile.Kitchen, r *runfile.Run) {
				k.Pots[0].Volume, k.Pots[0].Width = to(2*quantity.Quart), to(6*quantity.Inch)
				r.Bones, r.Vegetables, r.Jars, r.Prefer, r.Mix = to(quantity.Pound/2), nil, "quart", prefer, mix
			})
			closed(t, little)
			assert.Contains(t, codes(little.Warnings), "less-than-a-load")
		}
	}
	refused := plan(t, func(_ *runfile.Kitchen, r *runfile.Run) { r.Kind = "fish" })
	assert.Nil(t, refused.Rivals)
}

// Four sizes is what is searched; the preferred order may name more.
func TestMoreThanFourSizes(t *testing.T) {
	five := func(prefer string) stock.Batch {
		return plan(t, func(k *runfile.Kitchen, r *runfile.Run) {
			k.OwnJars = []runfile.OwnJar{{Name: "jam-glass", Brimful: to(12 * quantity.FluidOunce), Bore: to(2.6 * quantity.Inch), Diameter: to(3 * quantity.Inch), Height: to(4.5 * quantity.Inch)}}
			r.Jars, r.Prefer = "quart=2,pint-and-half=2,pint=4,half-pint=4,jam-glass", prefer
		})
	}
	all := five("")
	closed(t, all)
	assert.Equal(t, "jam-glass", all.Jars[len(all.Jars)-1].Jar)
	few := five("leftover")
	closed(t, few)
	assert.Contains(t, codes(few.Assumed), "kinds")
}

func BenchmarkPlanByPreference(b *testing.B) {
	for _, prefer := range []string{"jars", "loads", "leftover"} {
		for _, jars := range []string{"quart,pint", "quart,pint-and-half,pint,half-pint"} {
			for _, mix := range []bool{false, true} {
				name := prefer + " " + jars
				if mix {
					name += " mixed"
				}
				b.Run(name, func(b *testing.B) {
					kitchen, run := demo()
					run.Prefer, run.Jars, run.Mix = prefer, jars, mix
					for b.Loop() {
						if _, err := planOf(kitchen, run); err != nil {
							b.Fatal(err)
						}
					}
				})
			}
		}
	}
}
