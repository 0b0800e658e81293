package quantity_test

import (
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brothrun/stock/quantity"
)

func TestSpansAddEndToEnd(t *testing.T) {
	heatUp := quantity.Band[time.Duration]{Low: 12 * time.Minute, Likely: 13 * time.Minute, High: 15 * time.Minute}
	got := heatUp.Plus(quantity.Exactly(10 * time.Minute))
	require.Equal(t, quantity.Band[time.Duration]{Low: 22 * time.Minute, Likely: 23 * time.Minute, High: 25 * time.Minute}, got)
}

func TestBandOfASample(t *testing.T) {
	// Eleven outcomes 0 to 10: the 10 % point is the second, the 90 % point the
	// last but one, by definition.
	var sample []quantity.Volume
	for i := range 11 {
		sample = append(sample, quantity.Volume(10-i))
	}
	require.Equal(t, quantity.Band[quantity.Volume]{Low: 1, Likely: 5, High: 9}, quantity.BandOf(sample, 5))
	require.Equal(t, quantity.Band[quantity.Volume]{Low: 0.5, Likely: 0.5, High: 9}, quantity.BandOf(sample, 0.5), "the likely value is never outside")
	require.Equal(t, quantity.Band[quantity.Volume]{Low: 3, Likely: 3, High: 3}, quantity.BandOf([]quantity.Volume{3}, 3))

	// By a second route: sort and read.
	random := rand.New(rand.NewPCG(3, 4))
	for range 200 {
		sample := make([]quantity.Volume, 2+random.IntN(600))
		for i := range sample {
			sample[i] = quantity.Volume(random.IntN(50))
		}
		sorted := slices.Sorted(slices.Values(sample))
		at := func(share float64) quantity.Volume {
			position := share * float64(len(sorted)-1)
			i := min(int(position), len(sorted)-2)
			return sorted[i] + quantity.Volume(position-float64(i))*(sorted[i+1]-sorted[i])
		}
		got := quantity.BandOf(sample, 25)
		require.InDelta(t, float64(min(at(0.1), 25)), float64(got.Low), 1e-9)
		require.InDelta(t, float64(max(at(0.9), 25)), float64(got.High), 1e-9)
		require.Equal(t, sorted, slices.Sorted(slices.Values(sample)), "nothing is lost")
	}
}
