package stock_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/stock"
	"brothrun/stock/ask"
	"brothrun/stock/fault"
	"brothrun/stock/quantity"
	"brothrun/stock/runfile"
)

func chilledBy(method string) func(*runfile.Kitchen, *runfile.Run) {
	return func(_ *runfile.Kitchen, r *runfile.Run) { r.Chill = method }
}

func TestMeltedIceCountsAsBroth(t *testing.T) {
	plain := plan(t, chilledBy("ice-bath-stirred"))
	assert.Zero(t, plain.Yield.IceMelted)
	assert.NotContains(t, codes(plain.Warnings), "diluted")
	tests := []struct {
		method string
		to     float64 // °C that the ice brings it to
	}{
		{"ice-added", 5},
		{"ice-added+fridge", (70 - 32) / 1.8},
	}
	for _, tt := range tests {
		for _, water := range []quantity.Volume{0, 10 * quantity.Quart} {
			given := func(method string) stock.Batch {
				return plan(t, func(_ *runfile.Kitchen, r *runfile.Run) {
					// A lid, so that little boils off: the second route knows nothing of that.
					r.Lid = "on"
					if r.Chill = method; water > 0 {
						r.Fit, r.Water = false, &water
					}
				})
			}
			without, b := given("ice-bath-stirred"), given(tt.method)
			closed(t, b)
			y := b.Yield
			assert.Equal(t, without.Yield.Water, y.Water, "what is poured in stays")

			// What the broth gives is what the ice takes: 4.0 kJ/(kg·K) of broth at
			// 1.018 kg/l, 334 kJ/kg and 4.2 kJ/(kg·K) of ice, all from memory of
			// handbooks, and 95 °C just off the boil.
			const source = "own heat balance"
			strained, ice := without.Yield.Strained.Likely, b.Chill.Ice.Kilograms()
			assert.InEpsilon(t, strained.Litres()*1.018*4.0*(95-tt.to), ice*(334+4.2*tt.to), 1e-9, "%s: %s", tt.method, source)
			assert.InEpsilon(t, ice/0.9982, y.IceMelted.Litres(), 1e-4, "water at 20 °C is 998.2 kg/m³: any handbook")
			assert.InDelta(t, strained.Litres(), y.BeforeIce().Likely.Litres(), 1e-9)
			assert.InDelta(t, without.Yield.Strained.High.Litres(), y.BeforeIce().High.Litres(), 1e-9)
			assert.InDelta(t, (strained + y.IceMelted).Litres(), y.Strained.Likely.Litres(), 1e-9)

			// It is measured: the spread is as wide as without it.
			assert.InDelta(t, (without.Yield.Strained.High - without.Yield.Strained.Low).Litres(), (y.Strained.High - y.Strained.Low).Litres(), 1e-9)
			assert.InDelta(t, (without.Yield.ReadyToFill.High - without.Yield.ReadyToFill.Low).Litres(), (y.ReadyToFill.High - y.ReadyToFill.Low).Litres(), 1e-9)
			assert.InEpsilon(t, float64(without.Yield.Lost/strained), float64(y.Lost/y.Strained.Likely), 1e-9, "it is lost at the same rate")
			if !b.Refused() {
				assert.Greater(t, jarCount(b), jarCount(without))
				assert.Positive(t, b.LoadChance[len(b.Loads)], "the sample has the ice too")
			}

			// Second route for what to hold back: with so much less water the ice
			// brings it back to what it was without.
			held := strained * y.IceMelted / (strained + y.IceMelted)
			if held >= y.Water {
				continue
			}
			assert.Contains(t, warning(b, "diluted"), held.Both(quantity.US))
			less := y.Water - held
			back := plan(t, func(_ *runfile.Kitchen, r *runfile.Run) {
				r.Lid, r.Chill, r.Fit, r.Water = "on", tt.method, false, &less
			})
			closed(t, back)
			assert.InEpsilon(t, strained.Litres(), back.Yield.Strained.Likely.Litres(), 0.02, "a little more boils off a fuller pot")
			assert.InEpsilon(t, held.Litres(), back.Yield.IceMelted.Litres(), 0.03)
		}
	}

	b := plan(t, chilledBy("ice-added"))
	assert.Contains(t, codes(b.Warnings), "ice-overflows", "a pot filled to its line does not hold as much ice again")
	share := 100 * float64(b.Yield.IceMelted/b.Yield.Strained.Likely)
	assert.Contains(t, warning(b, "diluted"), fmt.Sprintf("; %.0f; diluted hold; ", share))
	// What does not go into the pot is not boiled in it: a litre at 20 °C is 998.2 g,
	// at 95 °C 961.9 g (IAPWS, testdata/published/saturation_table.csv; 20 °C: any
	// handbook).
	var filled float64
	for _, j := range b.Jars {
		filled += float64(j.Count) * j.Fill.Litres()
	}
	require.Greater(t, filled*998.2/961.9, (22 * quantity.Quart).Litres())
	assert.Equal(t, 2, b.PotsToReheat(b.Loads))
	assert.Equal(t, 1, b.PotsToReheat(b.Loads[:1]), "one load fits")
	assert.Zero(t, b.PotsToReheat(nil))
	assert.Regexp(t, "; 2$", warning(b, "reheat-pots"))
	round := plan(t, chilledBy("ice-bath-stirred"))
	assert.Equal(t, 1, round.PotsToReheat(round.Loads))
	assert.NotContains(t, codes(round.Warnings), "reheat-pots")
	assert.InEpsilon(t, (22*quantity.Quart).Litres()*961.9/998.2, round.PotTakes.Litres(), 1e-3)
	roomy := plan(t, func(_ *runfile.Kitchen, r *runfile.Run) {
		water := 6 * quantity.Quart
		r.Chill, r.Fit, r.Water = "ice-added", false, &water
	})
	assert.NotContains(t, codes(roomy.Warnings), "ice-overflows")
}

// Powder is in the broth, not in the ice.
func TestMeltedIceThinsThePowder(t *testing.T) {
	frozen := func(method string) stock.Batch {
		return plan(t, func(k *runfile.Kitchen, r *runfile.Run) {
			r.Chill, r.Kind, r.Portions, r.Route = method, "pork", nil, "freeze-dry" // refused: all of it is dried
			r.Bones = to(4 * quantity.Kilogram)
		})
	}
	plain, b := frozen("ice-bath-stirred"), frozen("ice-added")
	require.True(t, b.Refused())
	require.Positive(t, b.Yield.IceMelted)
	assert.InEpsilon(t, plain.Leftover.Powder.Grams(), b.Leftover.Powder.Grams(), 0.02, "as much powder as without the ice")
	assert.Greater(t, b.Leftover.Volume.Likely, plain.Leftover.Volume.Likely)
}

func TestMoreMeltedIceThanCanBePlanned(t *testing.T) {
	kitchen, run := demo()
	kitchen.Pots, run.Pot, run.PotWidth = nil, "200 l", to(70*quantity.Centimetre)
	run.Chill = "ice-added"
	_, err := planOf(kitchen, run)
	var wrong *fault.Fault
	require.ErrorAs(t, err, &wrong)
	assert.Equal(t, "chill", wrong.Key)
	assert.Contains(t, wrong.Hint, "ice-bath-stirred")
	_, err = ask.CompareChill(kitchen, run, ask.ChillQuery{FromRun: true})
	require.NoError(t, err, "what the run would add does not matter to the comparison")
}

func jarCount(b stock.Batch) (n int) {
	for _, j := range b.Jars {
		n += j.Count
	}
	return n
}

func warning(b stock.Batch, code string) string {
	for _, note := range b.Warnings {
		if note.Code == code {
			return told(note)
		}
	}
	return ""
}
