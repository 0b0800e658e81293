package stock_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/stock"
	"brothrun/stock/fault"
	"brothrun/stock/quantity"
	"brothrun/stock/remark"
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
		for _, code := range []string{"canner-near-dry", "canner-slow", "depressurise-short"} {
			assert.NotContains(t, codes(b.Warnings), code)
		}
	}
}

func TestTheKitchenSetsTheCycle(t *testing.T) {
	first := func(change func(*runfile.Kitchen)) stock.Load {
		return plan(t, func(k *runfile.Kitchen, _ *runfile.Run) { change(k) }).Loads[0]
	}
	calm := first(func(*runfile.Kitchen) {})
	outdoors := first(func(k *runfile.Kitchen) { k.Canner.Outdoors, k.Canner.Air = "08:00-19:00", to(quantity.Fahrenheit(35)) })
	assert.Greater(t, outdoors.Cycle.HeatUp.High, calm.Cycle.HeatUp.High)
	assert.Greater(t, outdoors.Fuel.Likely, calm.Fuel.Likely)
	gas := first(func(k *runfile.Kitchen) { k.Burner, k.Hob = to(12000*quantity.BTUPerHour), "gas" })
	induction := first(func(k *runfile.Kitchen) { k.Burner, k.Hob = to(12000*quantity.BTUPerHour), "induction" })
	assert.Greater(t, gas.Fuel.Likely, induction.Fuel.Likely, "44 % against 84 % of the rating reach the canner (US DOE)")
	assert.GreaterOrEqual(t, gas.Cycle.Pressurise.Likely, induction.Cycle.Pressurise.Likely)
	noted := first(func(k *runfile.Kitchen) {
		k.Canner.HeatUp, k.Canner.Depressurise = to(20*time.Minute), to(70*time.Minute)
	})
	assert.Equal(t, 20*time.Minute, noted.Cycle.HeatUp.Likely)
	assert.Equal(t, 70*time.Minute, noted.Cycle.Depressurise.Likely)
	assert.Equal(t, calm.Cycle.Vent, noted.Cycle.Vent)
	assert.Equal(t, calm.Process, noted.Process)
}

func TestCycleWarnsOnceABatch(t *testing.T) {
	for _, row := range []struct {
		code, told string
		change     func(*runfile.Kitchen)
	}{
		{"canner-near-dry", "canner-near-dry; 1 qt (946 ml); ", func(k *runfile.Kitchen) {
			k.Canner.Water, k.Burner = to(quantity.Quart), to(18000*quantity.BTUPerHour)
		}},
		{"canner-near-dry", "; canner-near-dry usual; 3 qt (2.8 l)", func(k *runfile.Kitchen) { k.Canner.Water = to(1.2 * quantity.Quart) }},
		{"canner-slow", "canner-slow; ", func(k *runfile.Kitchen) {
			k.Burner, k.Canner.Air, k.Canner.Outdoors = to(1400*quantity.Watt), to(quantity.Celsius(-20)), "08:00-19:00"
		}},
		{"depressurise-short", "depressurise-short; 4m0s; 30m0s", func(k *runfile.Kitchen) { k.Canner.Depressurise = to(4 * time.Minute) }},
		{"depressurise-short", "depressurise-short quarts; 40m0s; 45m0s", func(k *runfile.Kitchen) { k.Canner.Depressurise = to(40 * time.Minute) }},
		{"heat-up-short", "heat-up-short; 5m0s; 12m0s", func(k *runfile.Kitchen) { k.Canner.HeatUp = to(5 * time.Minute) }},
		{"pressurise-short", "pressurise-short; 2m0s; 3m0s", func(k *runfile.Kitchen) { k.Canner.Pressurise = to(2 * time.Minute) }},
	} {
		b := plan(t, func(k *runfile.Kitchen, _ *runfile.Run) { row.change(k) })
		require.Greater(t, len(b.Loads), 1)
		n := 0
		for _, note := range b.Warnings {
			if note.Code == row.code {
				n++
				assert.Contains(t, told(note), row.told)
			}
		}
		assert.Equal(t, 1, n, row.code)
	}
}

func TestAWeakBurnerIsBadInput(t *testing.T) {
	kitchen, run := demo()
	kitchen.Burner = to(500 * quantity.Watt)
	_, err := planOf(kitchen, run)
	var input *fault.Fault
	require.ErrorAs(t, err, &input)
	assert.Equal(t, "burner", input.Key)
	assert.Regexp(t, `at least \d+ W`, input.Reason)
}

// What cannot be done likely, or only with danger, is bad input with the key at fault.
func TestDangerousHeatIsBadInput(t *testing.T) {
	for _, row := range []struct {
		key, says string
		change    func(*runfile.Kitchen)
	}{
		{"burner", `boils the canner dry.* at most \d+ W`, func(k *runfile.Kitchen) { k.Burner = to(50 * quantity.Kilowatt) }},
		{"canner.water", `more than there is room for`, func(k *runfile.Kitchen) { k.Canner.Water = to(30 * quantity.Litre) }},
	} {
		kitchen, run := demo()
		row.change(&kitchen)
		_, err := planOf(kitchen, run)
		var input *fault.Fault
		require.ErrorAs(t, err, &input, row.key)
		assert.Equal(t, row.key, input.Key)
		assert.Regexp(t, row.says, input.Reason)
	}
}

// A noted time is of a usual load: two layers of pints take longer.
func TestNotedTimesGrowWithASecondLayer(t *testing.T) {
	zero := func(racks int) time.Duration {
		return plan(t, func(k *runfile.Kitchen, r *runfile.Run) {
			k.Canner.Depressurise, k.Canner.Racks, r.Jars = to(40*time.Minute), racks, "pint"
		}).Loads[0].Cycle.Depressurise.Likely
	}
	assert.InDelta(t, 40, zero(1).Minutes(), 2)
	assert.Greater(t, zero(2), 52*time.Minute)
}

// Where an outdoor burner may not stand is common practice, no source; that makers'
// manuals of light canners allow about 12,000 BTU/h is from memory.
func TestABurnerOutdoorsIsWarnedOf(t *testing.T) {
	for _, row := range []struct {
		name   string
		warns  string
		change func(*runfile.Kitchen, *runfile.Run)
	}{
		{"nothing said", "", func(*runfile.Kitchen, *runfile.Run) {}},
		{"outdoors", "outdoor-burner", func(k *runfile.Kitchen, _ *runfile.Run) { k.Canner.Outdoors = "08:00-19:00" }},
		{"a strong flame, 4396 W", "outdoor-burner strong; 4396", func(k *runfile.Kitchen, _ *runfile.Run) { k.Burner, k.Hob = to(15000*quantity.BTUPerHour), "gas" }},
		{"an ordinary flame", "", func(k *runfile.Kitchen, _ *runfile.Run) { k.Burner, k.Hob = to(12000*quantity.BTUPerHour), "gas" }},
		{"a strong plate", "", func(k *runfile.Kitchen, _ *runfile.Run) { k.Burner, k.Hob = to(3.7*quantity.Kilowatt), "induction" }},
		{"outdoors, but nothing is canned", "", func(k *runfile.Kitchen, r *runfile.Run) { k.Canner.Outdoors, r.Kind = "08:00-19:00", "fish" }},
	} {
		text := ""
		for _, n := range plan(t, row.change).Warnings {
			if n.Code == remark.OutdoorBurnerCode {
				text = told(n)
			}
		}
		assert.Equal(t, row.warns, text, row.name)
	}
}
