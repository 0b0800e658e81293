package chill

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/stock/quantity"
)

// Second route: with no more than what is said to have, a method keeps its verdict and
// its times; with nine tenths of it, it does not.
func TestTheIceToHaveIsEnough(t *testing.T) {
	for _, litres := range []float64{2, 7.6, 14, 40} {
		for _, m := range []Method{IceBathStirred, ColdWaterThenIceBathStirred} {
			pot := Pot{Volume: quantity.Volume(litres) * quantity.Litre, Width: 12 * quantity.Inch}
			around := DefaultSurroundings()
			free, err := Cool(pot, around, m)
			require.NoError(t, err)
			require.GreaterOrEqual(t, free.IceToHave, free.Ice)
			around.Ice = free.IceToHave.Up(quantity.US)
			bought, err := Cool(pot, around, m)
			require.NoError(t, err)
			assert.Equal(t, free.Verdict, bought.Verdict, "%v l, %s", litres, m)
			assert.InDelta(t, free.SlowTo41F.After.Seconds(), bought.SlowTo41F.After.Seconds(), 1, "%v l, %s", litres, m)
			assert.Zero(t, bought.Have)
			around.Ice = free.IceToHave * 0.9
			short, err := Cool(pot, around, m)
			require.NoError(t, err)
			assert.True(t, short.SlowTo41F.Never || short.SlowTo41F.After > free.SlowTo41F.After+time.Second, "%v l, %s", litres, m)
			assert.Equal(t, around.Ice, short.Have, "it says what is wanting")
		}
	}
}
