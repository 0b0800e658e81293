package stock_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/stock"
	"brothrun/stock/quantity"
	"brothrun/stock/runfile"
)

func TestHoldingsTakeTheShortEnd(t *testing.T) {
	tests := []struct {
		source, form string
		least        stock.Keeps
		says         string
	}{
		{"USDA time limits for leftovers, in a reprint: broth 3-4 days", stock.InTheFridge, stock.Keeps{Days: 3}, "3 to 4 days"},
		{"USDA time limits for leftovers, in a reprint: broth frozen 2-3 months, best quality", stock.Frozen, stock.Keeps{Months: 2}, "2 to 3 months"},
		{"University of California ANR: within 1 year, 50-70 F, dark, dry", stock.Canned, stock.Keeps{Years: 1}, "50 to 70 °F"},
		{"common practice, no source: no extension figure was found", stock.Powder, stock.Keeps{Years: 1}, "no extension figure"},
	}
	require.Len(t, stock.Holdings(), len(tests))
	for _, tt := range tests {
		got, ok := stock.HoldingOf(tt.form)
		require.True(t, ok, tt.form)
		assert.Equal(t, tt.least, got.Least, "%s: %s", tt.form, tt.source)
		assert.Contains(t, got.Why, tt.says, "%s: %s", tt.form, tt.source)
		assert.NotEmpty(t, got.Source)
	}
	_, ok := stock.HoldingOf("pickled")
	assert.False(t, ok)

	stock.Holdings()[0].Form = "spoilt"
	assert.Equal(t, stock.InTheFridge, stock.Holdings()[0].Form, "Holdings is a copy")
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
	assert.Equal(t, "freeze-dry", only.Leftover.Route)
}
