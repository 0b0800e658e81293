package stock_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"

	"brothrun/stock/quantity"
	"brothrun/stock/runfile"
	"brothrun/stock/settle"
)

// A tray of 18 by 7.5 in filled 12.5 mm deep holds 1.09 l; below it the dryer is not run
// unless the cook asks for it. Own choice, no source.
func TestLessThanATrayIsFrozenFlatUnlessAskedFor(t *testing.T) {
	for _, row := range []struct {
		jars, route string
		flat        bool
		goes        settle.Route
	}{
		{"quart=13", "", true, settle.Freezer}, // about half a litre is left
		{"quart=13", "freeze-dry", false, settle.FreezeDry},
		{"quart=13", "freezer", false, settle.Freezer},
		{"quart=7", "", false, settle.FreezeDry},
	} {
		b := plan(t, func(_ *runfile.Kitchen, r *runfile.Run) {
			r.Jars, r.Route, r.Simmer = row.jars, row.route, to(45*time.Minute)
		})
		closed(t, b)
		l := b.Leftover
		assert.Equal(t, row.jars == "quart=13", l.Volume.Likely < 1.09*quantity.Litre, "%v", l.Volume)
		assert.Equal(t, row.flat, l.Flat, row)
		assert.Equal(t, row.goes, l.Route, row)
		assert.Equal(t, row.route != "", l.Asked, row)
		assert.Equal(t, row.goes == settle.FreezeDry, l.Batches > 0, row)
		if l.Batches == 0 {
			continue
		}
		busy := b.DryerBusy()
		assert.True(t, busy.Leftover.Flat)
		assert.Equal(t, settle.Freezer, busy.Leftover.Route)
		assert.Equal(t, l.Volume, busy.Leftover.Volume)
		assert.Zero(t, busy.Leftover.Drying)
		assert.NotContains(t, codes(busy.Warnings), "several-dryer-batches")
		assert.Positive(t, b.Leftover.Batches, "the batch itself stays as it was")
	}
}

// Fat given off by stock/kettle's table: fish, shells and vegetables may give none.
func TestWhatMayGiveNoFatHasNoCap(t *testing.T) {
	for kind, none := range map[string]bool{
		"fish": true, "shellfish": true, "vegetable": true, "pork": false, "chicken-frames": false, "beef": false,
	} {
		b := plan(t, func(_ *runfile.Kitchen, r *runfile.Run) {
			r.Kind, r.Bones, r.Vegetables = kind, to(4*quantity.Pound), nil
		})
		assert.Equal(t, none, b.NoFatCap, kind)
	}
}
