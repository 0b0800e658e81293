package process_test

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/stock/process"
)

// wholeRowOrError fails unless Lookup answers with a row's time and pressure
// (USDA Complete Guide, Guide 5) or an error and nothing else.
func wholeRowOrError(t *testing.T, stock process.Stock, size process.Size, gauge process.Gauge, ft float64) bool {
	t.Helper()
	got, err := process.Lookup(stock, size, gauge, feet(ft))
	if err != nil {
		require.Zero(t, got, "a setting and an error: %q %q %q %v ft", stock, size, gauge, ft)
		return false
	}
	require.Contains(t, []time.Duration{20 * time.Minute, 25 * time.Minute}, got.Time)
	require.Contains(t, []float64{10, 11, 12, 13, 14, 15}, math.Round(got.Pressure.PSI()*1e9)/1e9)
	require.Contains(t, cannedStocks, stock)
	require.Contains(t, cannedSizes, size)
	require.Equal(t, gauge, got.Gauge)
	return true
}

func TestLookupNeverInventsASetting(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	stocks := append([]process.Stock{"", "goose", "Chicken", "beef ", process.Pork, process.Fish, process.Shellfish, process.Vegetable, process.Mixed}, cannedStocks...)
	sizes := append([]process.Size{"", "cup", "PINT", process.HalfGallon, process.Gallon}, cannedSizes...)
	kinds := append([]process.Gauge{"", "digital", "DIAL"}, gauges...)
	settings := 0
	for range 50_000 {
		if wholeRowOrError(t, stocks[random.IntN(len(stocks))], sizes[random.IntN(len(sizes))], kinds[random.IntN(len(kinds))], -3000+40000*random.Float64()) {
			settings++
		}
	}
	assert.Greater(t, settings, 500)
}

func FuzzLookup(f *testing.F) {
	f.Add("chicken", "quart", "dial", 3200.0)
	f.Add("beef", "pint", "weighted", 1000.0)
	f.Add("pork", "half-gallon", "", math.NaN())
	f.Fuzz(func(t *testing.T, stock, size, gauge string, ft float64) {
		wholeRowOrError(t, process.Stock(stock), process.Size(size), process.Gauge(gauge), ft)
	})
}

// Every untested stock is refused whatever else is asked, and never with the way
// out of another gauge.
func TestUntestedStocksAreRefusedWhateverElse(t *testing.T) {
	for _, stock := range []process.Stock{process.Pork, process.Fish, process.Shellfish, process.Vegetable} {
		for _, size := range append([]process.Size{process.HalfGallon, process.Gallon}, cannedSizes...) {
			for _, gauge := range gauges {
				for ft := -1500.0; ft <= 30000; ft += 500 {
					got, err := process.Lookup(stock, size, gauge, feet(ft))
					var refusal *process.Refusal
					require.ErrorAs(t, err, &refusal)
					require.Equal(t, "no-tested-process", refusal.Code)
					require.Equal(t, string(stock), refusal.Case)
					require.Empty(t, refusal.Facts, "nothing of what else is asked")
					require.Zero(t, got)
				}
			}
		}
	}
}
