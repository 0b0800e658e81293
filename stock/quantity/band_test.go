package quantity_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brothrun/stock/quantity"
)

func TestSpansAddEndToEnd(t *testing.T) {
	heatUp := quantity.DurationBand{Low: 12 * time.Minute, Likely: 13 * time.Minute, High: 15 * time.Minute}
	got := heatUp.Plus(quantity.Exactly(10 * time.Minute))
	require.Equal(t, quantity.DurationBand{Low: 22 * time.Minute, Likely: 23 * time.Minute, High: 25 * time.Minute}, got)
}
