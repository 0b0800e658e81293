package stock_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/stock"
	"brothrun/stock/chill"
	"brothrun/stock/quantity"
	"brothrun/stock/runfile"
)

func TestCompareChillTakesThePlan(t *testing.T) {
	kitchen, run := demo()
	batch, err := stock.Plan(kitchen, run)
	require.NoError(t, err)
	answer, err := stock.CompareChill(kitchen, run, stock.ChillQuery{FromRun: true})
	require.NoError(t, err)
	assert.Equal(t, batch.Yield.Strained.Likely, answer.Pot.Volume)
	require.NotNil(t, answer.Proposed)
	assert.Equal(t, batch.Chill.Method, string(answer.Proposed.Method))
	assert.Equal(t, batch.Chill.To70F, stock.Reach(answer.Proposed.To70F))
	assert.Equal(t, batch.Chill.Ice, answer.Proposed.Ice)

	run.Chill, run.Outdoors = "outdoors", nil
	_, err = stock.CompareChill(kitchen, run, stock.ChillQuery{FromRun: true})
	require.NoError(t, err, "how the run would chill does not matter")
	_, err = stock.CompareChill(kitchen, run, stock.ChillQuery{FromRun: true, Method: "wishing"})
	require.ErrorContains(t, err, "is not known")
	_, err = stock.CompareChill(kitchen, run, stock.ChillQuery{FromRun: true, Jar: "bucket"})
	require.ErrorContains(t, err, "is not known")
	// Jars are those of the run; a pint is quicker than a quart.
	quarts, err := stock.CompareChill(kitchen, run, stock.ChillQuery{FromRun: true, Method: "jars-in-fridge"})
	require.NoError(t, err)
	run.Jars = "pint"
	pints, err := stock.CompareChill(kitchen, run, stock.ChillQuery{FromRun: true, Method: "jars-in-fridge"})
	require.NoError(t, err)
	assert.Less(t, pints.Results[0].To41F.After, quarts.Results[0].To41F.After)
	assert.Greater(t, pints.Results[0].Jars, quarts.Results[0].Jars)

	run.Chill = "jars-in-fridge"
	batch, err = stock.Plan(kitchen, run)
	require.NoError(t, err)
	assert.Equal(t, stock.Reach(pints.Results[0].To41F), batch.Chill.To41F, "the plan takes them too")

	_, err = stock.CompareChill(runfile.Kitchen{}, runfile.Run{}, stock.ChillQuery{})
	require.ErrorContains(t, err, "not given")
}

func TestPlanSaysWhatTheChillDoes(t *testing.T) {
	for _, row := range []struct {
		method, warning string
		passes          bool
	}{
		{"fridge", "chill-too-slow", false},
		{"fridge", "fridge-warms", false},
		{"shallow-pans", "fridge-warms", false},
		{"freezer", "fridge-warms", false},
		{"jars-in-fridge", "chill-too-slow", false},
		{"jars-in-fridge", "fridge-warms", false},
		{"ice-added", "diluted", true},
		{"ice-bath", "chill-narrow", true},
	} {
		b := plan(t, func(_ *runfile.Kitchen, r *runfile.Run) { r.Chill = row.method })
		assert.Contains(t, codes(b.Warnings), row.warning, row.method)
		assert.Equal(t, row.passes, b.Chill.Passes, row.method)
		assert.Equal(t, row.passes, b.Chill.Verdict == "pass" || b.Chill.Verdict == "narrow", row.method)
	}
	// The kitchen's tap takes the place of the assumption: warmer water cools slower.
	cold := plan(t, func(k *runfile.Kitchen, r *runfile.Run) {
		r.Chill, k.Tap = "cold-water+fridge", to(quantity.Celsius(5))
	})
	warm := plan(t, func(k *runfile.Kitchen, r *runfile.Run) {
		r.Chill, k.Tap = "cold-water+fridge", to(quantity.Celsius(18))
	})
	assert.Less(t, cold.Chill.To70F.After, warm.Chill.To70F.After)
	assert.NotContains(t, codes(warm.Assumed), "tap")
}

func TestOtherFood(t *testing.T) {
	text, warm := stock.OtherFood(chill.Warming{}, quantity.US)
	assert.Empty(t, text)
	assert.False(t, warm)
	_, warm = stock.OtherFood(chill.Warming{In: chill.Fridge, Peak: quantity.Celsius(3), SlowPeak: quantity.Celsius(4)}, quantity.US)
	assert.False(t, warm)
	text, warm = stock.OtherFood(chill.Warming{In: chill.Fridge, Peak: quantity.Celsius(4), SlowPeak: quantity.Celsius(9), SlowAbove41F: 90e9 * 60}, quantity.Metric)
	assert.True(t, warm)
	assert.Contains(t, text, "never above 5 °C")
	assert.Contains(t, text, "for 1 h 30 min")
}
