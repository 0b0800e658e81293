package process_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/stock/process"
	"brothrun/stock/quantity"
)

func TestTiersOfStrength(t *testing.T) {
	const poultry, beef = 45 * time.Minute, 4 * time.Hour
	const guide = "USDA Complete Guide, Guide 5: poultry 30 to 45 min, beef 3 to 4 h"
	const own = "own cut-off at half of the water put in, no source"
	for _, row := range []struct {
		source          string
		simmer, longest time.Duration
		water, off      quantity.Volume // quarts
		want            string
	}{
		{guide, 45 * time.Minute, poultry, 12, 1, ""},
		{guide, 46 * time.Minute, poultry, 12, 1, process.LongSimmer},
		{guide, 4 * time.Hour, beef, 12, 1, ""},
		{guide, 4*time.Hour + time.Minute, beef, 12, 1, process.LongSimmer},
		{own, 14 * time.Hour, beef, 12, 6, process.LongSimmer},
		{own, 14 * time.Hour, beef, 12, 6.01, process.ReducedTooFar},
		{own, 45 * time.Minute, poultry, 12, 6.01, process.ReducedTooFar},
		{"no end described", 72 * time.Hour, 0, 12, 0, ""},
		{"more poured back than went", 72 * time.Hour, beef, 12, -1, process.LongSimmer},
	} {
		tier := process.TierOf(row.simmer, row.longest, row.water*quantity.Quart, row.off*quantity.Quart)
		assert.Equal(t, row.want, tier.Code, "%+v", row)
		assert.NotEmpty(t, tier.Why, "every tier has its reason")
	}
}

// Own cut-offs, no source.
func TestVegetablesByWeight(t *testing.T) {
	for _, row := range []struct {
		vegetables, bones quantity.Mass // pounds
		many, refused     bool
	}{
		{0, 0.25, false, false}, {3, 9, false, false}, {3.01, 9, true, false}, {9, 9, true, false}, {9.01, 9, true, true}, {7, 0.25, true, true},
	} {
		many, err := process.Vegetables(row.vegetables*quantity.Pound, row.bones*quantity.Pound)
		assert.Equal(t, row.many, many, "%+v", row)
		if !row.refused {
			assert.NoError(t, err, "%+v", row)
			continue
		}
		var refusal *process.Refusal
		require.ErrorAs(t, err, &refusal, "%+v", row)
		assert.Equal(t, "mostly-vegetables", refusal.Code)
	}
	for ounces := quantity.Mass(1); ounces < 500; ounces++ { // the rounding of kilograms
		many, err := process.Vegetables(ounces*quantity.Ounce, 3*ounces*quantity.Ounce)
		assert.NoError(t, err)
		assert.False(t, many, "%v oz, a third", ounces)
	}
}
