package words_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/export/words"
	"brothrun/stock/process"
	"brothrun/stock/quantity"
	"brothrun/stock/remark"
)

// refusalOf is a refusal as the cook reads it.
func refusalOf(r *process.Refusal) string {
	return words.Note(remark.Note{Code: r.Code, Case: r.Case, Facts: r.Facts}, words.Form{})
}

// What a lookup refuses is said with its reason and with what to do instead.
func TestRefusalsOfALookup(t *testing.T) {
	const (
		usda  = "USDA Complete Guide, Guide 5: beef, chicken and turkey only"
		nchfp = "NCHFP, Jar size choices: nothing above the largest listed jar"
		dial  = "USDA Complete Guide, Guide 5: dial table ends at 8,000 ft"
		own   = "own limit: published weighted row is open above 1,000 ft; 15 psi makes 240.3 °F at 10,000 ft"
	)
	tests := []struct {
		stock    process.Stock
		size     process.Size
		gauge    process.Gauge
		altitude float64 // ft
		code     string
		says     []string
		instead  []string
		source   string
	}{
		{process.Pork, process.Pint, process.Weighted, 0, "no-tested-process", []string{"pork"}, []string{"Freeze", "freeze-dry"}, usda},
		{process.Fish, process.Pint, process.Weighted, 0, "no-tested-process", []string{"fish"}, []string{"Freeze", "freeze-dry"}, usda},
		{process.Shellfish, process.Pint, process.Dial, 0, "no-tested-process", []string{"shellfish"}, []string{"Freeze", "freeze-dry"}, usda},
		{process.Vegetable, process.Quart, process.Dial, 0, "no-tested-process", []string{"vegetable"}, []string{"Freeze", "freeze-dry"}, usda},
		{process.Pork, process.Gallon, process.Dial, 9000, "no-tested-process", []string{"pork"}, []string{"Freeze"}, "the stock is the first reason"},
		{process.Chicken, process.HalfGallon, process.Weighted, 0, "jar-too-large", []string{"half-gallon", "quart"}, []string{"quarts"}, nchfp},
		{process.Beef, process.Gallon, process.Dial, 5000, "jar-too-large", []string{"gallon", "quart"}, []string{"quarts"}, nchfp},
		{process.Chicken, process.Quart, process.Dial, 8001, "altitude-dial", []string{"8001 ft (2439 m)", "8000 ft (2438 m)"}, []string{"weighted gauge", "freeze-dry"}, dial},
		{process.Chicken, process.Quart, process.Dial, 8000.4, "altitude-dial", []string{"8001 ft", "8000 ft"}, []string{"weighted gauge"}, dial},
		{process.Chicken, process.Quart, process.Dial, 8500, "altitude-dial", []string{"8500 ft (2591 m)", "8000 ft"}, []string{"weighted gauge"}, dial},
		{process.Turkey, process.Pint, process.Dial, 10000, "altitude-dial", []string{"10000 ft", "8000 ft"}, []string{"weighted gauge"}, dial},
		{process.Turkey, process.Pint, process.Dial, 10001, "altitude-dial", []string{"10001 ft", "8000 ft"}, []string{"Freeze", "freeze-dry"}, dial},
		{process.Turkey, process.Pint, process.Weighted, 10001, "altitude-weighted", []string{"10001 ft (3048 m)", "10000 ft (3048 m)"}, []string{"Freeze", "freeze-dry"}, own},
		{process.Beef, process.Pint, process.Weighted, 30000, "altitude-weighted", []string{"30000 ft", "10000 ft"}, []string{"Freeze"}, own},
	}
	for _, tt := range tests {
		setting, err := process.Lookup(tt.stock, tt.size, tt.gauge, quantity.Length(tt.altitude)*quantity.Foot)
		assert.Zero(t, setting, "a refusal carries no setting: %s", tt.source)
		var refusal *process.Refusal
		require.ErrorAs(t, err, &refusal, tt.source)
		assert.Equal(t, tt.code, refusal.Code, tt.source)
		for _, part := range tt.says {
			assert.Contains(t, refusalOf(refusal), part, tt.source)
		}
		for _, part := range tt.instead {
			assert.Contains(t, refusalOf(refusal), part, tt.source)
		}
		if tt.altitude > 10000 {
			assert.NotContains(t, refusalOf(refusal), "Use a canner with a weighted gauge", "no gauge has a setting there")
		}
	}
}

// Every broth without a tested process is told not to be canned, and never to go
// by another gauge.
func TestUntestedBrothIsNotCannedByAnyGauge(t *testing.T) {
	for _, broth := range []process.Stock{process.Pork, process.Fish, process.Shellfish, process.Vegetable, process.Mixed} {
		_, err := process.Lookup(broth, process.Pint, process.Dial, 9000*quantity.Foot)
		var refusal *process.Refusal
		require.ErrorAs(t, err, &refusal)
		assert.Contains(t, refusalOf(refusal), "do not can", broth)
		assert.NotContains(t, refusalOf(refusal), "Use a canner", broth)
	}
	_, err := process.Vegetables(7*quantity.Pound, quantity.Pound/4)
	var refusal *process.Refusal
	require.ErrorAs(t, err, &refusal)
	assert.Contains(t, refusalOf(refusal), "do not can it")
}
