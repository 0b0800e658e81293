package ask_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/stock/ask"
	"brothrun/stock/fault"
	"brothrun/stock/quantity"
	"brothrun/stock/runfile"
)

func TestCompareChillTakesThePlan(t *testing.T) {
	kitchen, run := demo(t)
	_, batch := planned(t, nil)
	answer, err := ask.CompareChill(kitchen, run, ask.ChillQuery{FromRun: true})
	require.NoError(t, err)
	assert.Equal(t, batch.Yield.Strained.Likely, answer.Pot.Volume)
	require.NotNil(t, answer.Proposed)
	assert.Equal(t, batch.Chill.Method, answer.Proposed.Method)
	assert.Equal(t, batch.Chill.To70F, answer.Proposed.To70F)
	assert.Equal(t, batch.Chill.Ice, answer.Proposed.Ice)

	run.Chill, run.Outdoors = "outdoors", nil
	_, err = ask.CompareChill(kitchen, run, ask.ChillQuery{FromRun: true})
	require.NoError(t, err, "how the run would chill does not matter")
	_, err = ask.CompareChill(kitchen, run, ask.ChillQuery{FromRun: true, Method: "wishing"})
	require.ErrorContains(t, err, "is not known")
	_, err = ask.CompareChill(kitchen, run, ask.ChillQuery{FromRun: true, Jar: "bucket"})
	require.ErrorContains(t, err, "is not known")
	// Jars are those of the run; a pint is quicker than a quart.
	quarts, err := ask.CompareChill(kitchen, run, ask.ChillQuery{FromRun: true, Method: "jars-in-fridge"})
	require.NoError(t, err)
	run.Jars = "pint"
	pints, err := ask.CompareChill(kitchen, run, ask.ChillQuery{FromRun: true, Method: "jars-in-fridge"})
	require.NoError(t, err)
	assert.Less(t, pints.Results[0].To41F.After, quarts.Results[0].To41F.After)
	assert.Greater(t, pints.Results[0].Jars, quarts.Results[0].Jars)

	_, batch = planned(t, func(_ *runfile.Kitchen, r *runfile.Run) { r.Jars, r.Chill = "pint", "jars-in-fridge" })
	assert.Equal(t, pints.Results[0].To41F, batch.Chill.To41F, "the plan takes them too")

	_, err = ask.CompareChill(runfile.Kitchen{}, runfile.Run{}, ask.ChillQuery{})
	require.ErrorContains(t, err, "not given")
}

func TestChillErrorsNameTheirKey(t *testing.T) {
	volume, width := 10*quantity.Litre, 30*quantity.Centimetre
	large, narrow, cool, hot := 201*quantity.Litre, 2*quantity.Inch, quantity.Fahrenheit(100), quantity.Fahrenheit(212)
	for _, row := range []struct {
		key     string
		kitchen runfile.Kitchen
		query   ask.ChillQuery
	}{
		{"volume", runfile.Kitchen{}, ask.ChillQuery{Volume: &large, Width: &width}},
		{"pot_width", runfile.Kitchen{}, ask.ChillQuery{Volume: &volume, Width: &narrow}},
		{"from", runfile.Kitchen{}, ask.ChillQuery{Volume: &volume, Width: &width, From: &cool}},
		{"tap", runfile.Kitchen{Tap: &hot}, ask.ChillQuery{Volume: &volume, Width: &width}},
		{"fridge", runfile.Kitchen{Fridge: &hot}, ask.ChillQuery{Volume: &volume, Width: &width}},
		{"freezer", runfile.Kitchen{Freezer: &hot}, ask.ChillQuery{Volume: &volume, Width: &width}},
		{"pan_depth", runfile.Kitchen{}, ask.ChillQuery{Volume: &volume, Width: &width, PanDepth: quantity.Metre}},
		{"ice", runfile.Kitchen{}, ask.ChillQuery{Volume: &volume, Width: &width, Ice: 1001}},
		{"method", runfile.Kitchen{}, ask.ChillQuery{Volume: &volume, Width: &width, Method: "outdoors"}},
	} {
		_, err := ask.CompareChill(row.kitchen, runfile.Run{}, row.query)
		var wrong *fault.Fault
		require.ErrorAs(t, err, &wrong, row.key)
		assert.Equal(t, row.key, wrong.Key)
		assert.NotEmpty(t, wrong.Hint, row.key)
	}
}
