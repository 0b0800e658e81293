package stock_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"brothrun/stock"
	"brothrun/stock/chill"
	"brothrun/stock/quantity"
	"brothrun/stock/remark"
	"brothrun/stock/runfile"
)

func TestPlanSaysWhatTheChillDoes(t *testing.T) {
	for _, row := range []struct {
		method, warning string
		passes          bool
	}{
		{"fridge", remark.ChillTooSlow, false},
		{"shallow-pans", remark.ChillTooSlow, false},
		{"freezer", remark.ChillTooSlow, false},
		{"jars-in-fridge", remark.ChillTooSlow, false},
		{"frozen-bottles", remark.ChillTooSlow, false},
		{"ice-added", "diluted", true},
		{"ice-bath", remark.ChillNarrow, true},
	} {
		b := plan(t, func(_ *runfile.Kitchen, r *runfile.Run) { r.Chill = row.method })
		assert.Contains(t, codes(append(b.Warnings, b.Refusals...)), row.warning, row.method)
		assert.NotEqual(t, row.passes, b.Refused(), row.method)
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
	_, used, warm := stock.OtherFood(chill.Warming{})
	assert.False(t, used || warm)
	_, _, warm = stock.OtherFood(chill.Warming{In: chill.Fridge, Peak: quantity.Celsius(3), SlowPeak: quantity.Celsius(4)})
	assert.False(t, warm)
	other, _, warm := stock.OtherFood(chill.Warming{In: chill.Fridge, Peak: quantity.Celsius(4), SlowPeak: quantity.Celsius(9), SlowAbove41F: 90e9 * 60})
	assert.True(t, warm)
	assert.Contains(t, told(other), "; fridge-warms never; 41 °F (5 °C); ")
	assert.Contains(t, told(other), "; fridge-warms for; 41 °F (5 °C); 1h30m0s")
}
