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
	"brothrun/stock/quantity"
	"brothrun/stock/remark"
	"brothrun/stock/runfile"
	"brothrun/stock/settle"
)

func TestHoldingsTakeTheShortEnd(t *testing.T) {
	tests := []struct {
		source, form string
		least        stock.Keeps
	}{
		{"USDA time limits for leftovers, in a reprint: broth 3-4 days", stock.InTheFridge, stock.Keeps{Days: 3}},
		{"USDA time limits for leftovers, in a reprint: broth frozen 2-3 months, best quality", stock.Frozen, stock.Keeps{Months: 2}},
		{"University of California ANR: within 1 year, 50-70 F, dark, dry", stock.Canned, stock.Keeps{Years: 1}},
		{"common practice, no source: no extension figure was found", stock.Powder, stock.Keeps{Years: 1}},
		{"USDA time limits for leftovers: cooked poultry 3-4 days; from memory", stock.PickedMeat, stock.Keeps{Days: 3}},
	}
	require.Len(t, stock.Holdings, len(tests))
	for _, tt := range tests {
		got, ok := stock.HoldingOf(tt.form)
		require.True(t, ok, tt.form)
		assert.Equal(t, tt.least, got.Least, "%s: %s", tt.form, tt.source)
		assert.NotEmpty(t, got.Source)
	}
	_, ok := stock.HoldingOf("pickled")
	assert.False(t, ok)
}

// The dryer's rated capacity reaches the plan, and alone tells that there is a
// dryer.
func TestTheDryersCapacityMakesMoreLoads(t *testing.T) {
	free := plan(t, func(_ *runfile.Kitchen, r *runfile.Run) { r.Jars = "quart=4"; r.Route = "freeze-dry" })
	rated := plan(t, func(k *runfile.Kitchen, r *runfile.Run) {
		r.Jars, r.Route = "quart=4", "freeze-dry"
		k.FreezeDryer.Capacity = to(2 * quantity.Kilogram)
	})
	assert.Greater(t, rated.Leftover.Batches, free.Leftover.Batches)
	assert.Equal(t, rated.Leftover.Batches, rated.Leftover.Drying.Batches)
	for _, load := range rated.Leftover.Drying.Loads {
		assert.LessOrEqual(t, load.Ice, 2*quantity.Kilogram)
	}
	only := plan(t, func(k *runfile.Kitchen, r *runfile.Run) {
		r.Jars = "quart=4"
		k.FreezeDryer = runfile.FreezeDryer{Capacity: to(2 * quantity.Kilogram)}
	})
	assert.Equal(t, settle.FreezeDry, only.Leftover.Route)
}

func TestBoilingBeforeEatingGrowsWithTheAltitude(t *testing.T) {
	const source = "10 min and 1 min for each 1,000 ft: reposted extension texts, second hand"
	for feet, want := range map[quantity.Length]int{-500: 10, 0: 10, 1: 11, 1000: 11, 1001: 12, 3200: 14, 8000: 18, 10000: 20} {
		assert.Equal(t, time.Duration(want)*time.Minute, stock.BoilBeforeEating(feet*quantity.Foot), "%.0f ft: %s", float64(feet), source)
	}
}

// About 3 lb for each cubic foot of freezer a day: from memory, no source. What 3
// cubic feet take, 9 lb, is not worth a word.
func TestAFreezerIsNotAskedForTooMuchAtOnce(t *testing.T) {
	const code = remark.MuchToFreeze
	for _, route := range []string{"freezer", "freeze-dry", "fridge"} {
		// All of a refused broth goes there: some 28 lb of it.
		heavy := plan(t, func(_ *runfile.Kitchen, r *runfile.Run) {
			r.Kind, r.Simmer, r.Route = "fish", to(45*time.Minute), route
		})
		pounds := 2.0863 * heavy.Leftover.Volume.Likely.Quarts() // a quart of water at 20 °C, 998.2 kg/m³
		require.Greater(t, pounds, 9.0)
		if route == "fridge" {
			assert.NotContains(t, codes(heavy.Leftover.Advice), code)
			continue
		}
		at := slices.Index(codes(heavy.Leftover.Advice), code)
		require.GreaterOrEqual(t, at, 0, route)
		assert.Contains(t, told(heavy.Leftover.Advice[at]), fmt.Sprintf("; %.0f; ", math.Ceil(pounds/3)), "cubic feet: %s", route)
		light := plan(t, func(_ *runfile.Kitchen, r *runfile.Run) { r.Simmer, r.Route = to(45*time.Minute), route })
		assert.NotContains(t, codes(light.Leftover.Advice), code, route)
	}
}
