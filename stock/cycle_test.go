package stock_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/stock"
	"brothrun/stock/quantity"
	"brothrun/stock/runfile"
)

// Quarts take 105 to 110 min a load and pints 85 to 90 (canner_times.csv) at the sea,
// where the weighted gauge holds 10 psi.
func TestLoadsAtTheSeaTakeThePublishedTimes(t *testing.T) {
	for _, row := range []struct {
		jars      string
		low, high time.Duration
	}{{"quart", 105 * time.Minute, 110 * time.Minute}, {"pint", 85 * time.Minute, 90 * time.Minute}} {
		b := plan(t, func(k *runfile.Kitchen, r *runfile.Run) { k.Altitude, r.Jars = to(quantity.Length(0)), row.jars })
		for _, load := range b.Loads {
			assert.GreaterOrEqual(t, load.Cycle.Total().Likely, row.low)
			assert.LessOrEqual(t, load.Cycle.Total().Likely, row.high)
		}
		for _, code := range []string{"canner-near-dry", "canner-slow", "noted-short"} {
			assert.NotContains(t, codes(b.Warnings), code)
		}
	}
}

func TestTheKitchenSetsTheCycle(t *testing.T) {
	first := func(change func(*runfile.Kitchen)) stock.Load {
		return plan(t, func(k *runfile.Kitchen, _ *runfile.Run) { change(k) }).Loads[0]
	}
	calm := first(func(*runfile.Kitchen) {})
	windy := first(func(k *runfile.Kitchen) {
		k.Canner.Outdoors, k.Canner.Wind = "08:00-19:00", to(10*quantity.MilePerHour)
	})
	assert.Greater(t, windy.Cycle.HeatUp.High, calm.Cycle.HeatUp.High)
	assert.Greater(t, windy.Fuel.Likely, calm.Fuel.Likely)
	gas := first(func(k *runfile.Kitchen) { k.Burner, k.Hob = to(12000*quantity.BTUPerHour), "gas" })
	induction := first(func(k *runfile.Kitchen) { k.Burner, k.Hob = to(12000*quantity.BTUPerHour), "induction" })
	assert.Greater(t, gas.Fuel.Likely, induction.Fuel.Likely, "44 % against 84 % of the rating reach the canner (US DOE)")
	assert.GreaterOrEqual(t, gas.Cycle.Pressurise.Likely, induction.Cycle.Pressurise.Likely)
	noted := first(func(k *runfile.Kitchen) {
		k.Canner.HeatUp, k.Canner.Depressurise = to(20*time.Minute), to(70*time.Minute)
	})
	// 7 quarts of this kitchen's jars are within 1 % of the load a cook is taken to
	// have timed.
	assert.InEpsilon(t, 20*time.Minute, noted.Cycle.HeatUp.Likely, 0.01)
	assert.InEpsilon(t, 70*time.Minute, noted.Cycle.Depressurise.Likely, 0.01)
	assert.Equal(t, calm.Cycle.Vent, noted.Cycle.Vent)
	assert.Equal(t, calm.Process, noted.Process)
}

func TestCycleWarnsOnceABatch(t *testing.T) {
	for _, row := range []struct {
		code, says string
		change     func(*runfile.Kitchen)
	}{
		{"canner-near-dry", "Turn the heat down", func(k *runfile.Kitchen) {
			k.Canner.Water, k.Burner = to(quantity.Quart), to(18000*quantity.BTUPerHour)
		}},
		{"noted-short", "no step is cut short", func(k *runfile.Kitchen) { k.Canner.Depressurise = to(20 * time.Minute) }},
		{"canner-slow", "shield it", func(k *runfile.Kitchen) {
			k.Canner.Wind, k.Canner.Air, k.Canner.Outdoors = to(12*quantity.MetrePerSecond), to(quantity.Celsius(0)), "08:00-19:00"
		}},
	} {
		b := plan(t, func(k *runfile.Kitchen, _ *runfile.Run) { row.change(k) })
		require.Greater(t, len(b.Loads), 1)
		n := 0
		for _, note := range b.Warnings {
			if note.Code == row.code {
				n++
				assert.Contains(t, note.Text, row.says)
			}
		}
		assert.Equal(t, 1, n, row.code)
	}
}

func TestAWeakBurnerIsBadInput(t *testing.T) {
	kitchen, run := demo()
	kitchen.Burner = to(500 * quantity.Watt)
	_, err := stock.Plan(kitchen, run)
	var input *stock.InputError
	require.ErrorAs(t, err, &input)
	assert.Equal(t, "burner", input.Key)
	assert.Regexp(t, `at least \d+ W`, input.Reason)
}
