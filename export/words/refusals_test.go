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
	return words.Note(r.Note, words.Form{})
}

// What a lookup refuses is said with its reason and with what to do instead; what it
// refuses is tested in stock/process.
func TestRefusalsOfALookup(t *testing.T) {
	at := func(code, in string, gauge process.Gauge, feet, end quantity.Length) remark.Note {
		return remark.Note{Code: code, Case: in, Facts: []any{gauge, feet * quantity.Foot, end * quantity.Foot}}
	}
	untested := func(broth process.Stock) remark.Note {
		return remark.Note{Code: process.NoTestedProcess, Case: string(broth)}
	}
	large := func(size process.Size) remark.Note {
		return remark.Note{Code: process.JarTooLarge, Facts: []any{size}}
	}
	dial := func(feet quantity.Length) remark.Note {
		return at(process.AltitudeDial, "weighted-can", process.Dial, feet, 8000)
	}
	const other = "Use a canner with a weighted gauge"
	for _, row := range []struct {
		refusal remark.Note
		says    []string
		not     string
	}{
		{untested(process.Pork), []string{"pork", "Freeze", "freeze-dry"}, other},
		{untested(process.Fish), []string{"fish", "Freeze", "freeze-dry"}, other},
		{untested(process.Shellfish), []string{"shellfish", "Freeze", "freeze-dry"}, other},
		{untested(process.Vegetable), []string{"vegetable", "Freeze", "freeze-dry"}, other},
		{large(process.HalfGallon), []string{"half-gallon", "quart", "quarts"}, other},
		{large(process.Gallon), []string{"gallon", "quart", "quarts"}, other},
		{dial(8001), []string{"8001 ft (2439 m)", "8000 ft (2438 m)", "weighted gauge", "freeze-dry"}, "?"},
		{dial(8500), []string{"8500 ft (2591 m)", "8000 ft", "weighted gauge"}, "?"},
		{dial(10000), []string{"10000 ft", "8000 ft", "weighted gauge"}, "?"},
		{at(process.AltitudeDial, "", process.Dial, 10001, 8000), []string{"10001 ft", "8000 ft", "Freeze", "freeze-dry"}, other},
		{at(process.AltitudeWeighted, "", process.Weighted, 10001, 10000), []string{"10001 ft (3048 m)", "10000 ft (3048 m)", "Freeze", "freeze-dry"}, other},
		{at(process.AltitudeWeighted, "", process.Weighted, 30000, 10000), []string{"30000 ft", "10000 ft", "Freeze"}, other},
	} {
		for _, says := range row.says {
			assert.Contains(t, words.Note(row.refusal, words.Form{}), says, row.refusal.Code)
		}
		assert.NotContains(t, words.Note(row.refusal, words.Form{}), row.not, "no gauge has a setting there")
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
