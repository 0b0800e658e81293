package whatif

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/stock"
	"brothrun/stock/quantity"
	"brothrun/stock/runfile"
	"brothrun/stock/settle"
)

// twoPots is a run in two pots of 22 and 18 qt.
func twoPots(_ *runfile.Kitchen, r *runfile.Run) {
	r.SetPots([]string{"22 qt", "18 qt"})
	r.Vegetables, r.Bones, r.Simmer = nil, to(16*quantity.Pound), to(2*time.Hour)
}

// A lever changes every pot alike: the same as a run file that says so.
func TestLeversChangeEveryPot(t *testing.T) {
	all := levers(t, twoPots)
	for code, change := range map[string]func(*runfile.Kitchen, *runfile.Run){
		"lid-on":      func(_ *runfile.Kitchen, r *runfile.Run) { r.Lid = "on" },
		"lid-off":     func(_ *runfile.Kitchen, r *runfile.Run) { r.Lid = "off" },
		"simmer-more": func(_ *runfile.Kitchen, r *runfile.Run) { r.Simmer = to(3 * time.Hour) },
		"top-up":      func(_ *runfile.Kitchen, r *runfile.Run) { r.TopUp = "level" },
		"bones-more":  func(_ *runfile.Kitchen, r *runfile.Run) { r.Bones = to(1.2 * 16 * quantity.Pound) },
		"bones-less":  func(_ *runfile.Kitchen, r *runfile.Run) { r.Bones = to(0.8 * 16 * quantity.Pound) },
		"jars-pint":   func(_ *runfile.Kitchen, r *runfile.Run) { r.Jars = "pint" },
	} {
		found := lever(all, code)
		if !assert.NotEmpty(t, found.Code, code) {
			continue
		}
		kitchen, run := demo(t)
		twoPots(&kitchen, &run)
		change(&kitchen, &run)
		setup, err := settle.Run(kitchen, run)
		require.NoError(t, err)
		planned, err := stock.Plan(setup)
		require.NoError(t, err)
		assert.InDelta(t, planned.Yield.Strained.Likely.Litres(), found.Strained.Litres(), 0.03, code)
	}
	fuller := lever(all, "fuller-pot")
	assert.Equal(t, "pot filled to 95 %", fuller.What)
	assert.InDelta(t, 0.05*40, fuller.StrainedChange.Quarts(), 0.15, "a twentieth of both")
	for _, l := range levers(t, func(k *runfile.Kitchen, r *runfile.Run) {
		twoPots(k, r)
		k.Pots = append(k.Pots, runfile.Pot{Name: "low", Volume: to(18 * quantity.Quart), FillLine: to(0.8)})
		r.SetPots([]string{"22 qt", "low"})
	}) {
		assert.NotEqual(t, "fuller-pot", l.Code, "each has a line of its own")
	}
}

// A setup is not changed by what is tried on it.
func TestLeversLeaveThePotsAlone(t *testing.T) {
	kitchen, run := demo(t)
	twoPots(&kitchen, &run)
	setup, err := settle.Run(kitchen, run)
	require.NoError(t, err)
	before, err := stock.Plan(setup)
	require.NoError(t, err)
	_, err = Levers(setup)
	require.NoError(t, err)
	after, err := stock.Plan(setup)
	require.NoError(t, err)
	assert.Equal(t, before, after)
}
