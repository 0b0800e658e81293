package words_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/export/words"
	"brothrun/stock/chill"
	"brothrun/stock/freezedry"
	"brothrun/stock/kettle"
	"brothrun/stock/quantity"
)

func TestChillSteps(t *testing.T) {
	pot := chill.Pot{Volume: 12 * quantity.Litre, Width: 30 * quantity.Centimetre}
	for _, tt := range []struct {
		source    string
		method    chill.Method
		says, not string
	}{
		{"both published trials of a frozen wand: testdata/published/cooling_observed.csv", chill.FrozenBottles, "trials", "go on"},
		{"common practice, no source", chill.JarsInFridge, "cold glass cracks", "go on"},
		{"own rule: these jars have no tested process", chill.JarsInFridge, "not canned", "go on"},
		{"it is cool by then", chill.ColdWaterThenJarsInFridge, "not canned", "hot broth"},
		{"FDA Food Code 3-501.14", chill.Fridge, "70 °F (21 °C) within 2 hours of 135 °F", "go on"},
		{"whole degrees, down rather than up", chill.ColdWaterThenIceBathStirred, "At 86 °F (30 °C) go on: stand the pot in ice", "86."},
		{"common practice, no source", chill.ShallowPans, "13 by 9 in (33 by 23 cm), 2 in (5.1 cm) deep: 4", "go on"},
		{"a room never gets to 41 °F", chill.Counter, "not get to 41 °F", "stay with the ice"},
	} {
		r, err := chill.Cool(pot, chill.DefaultSurroundings(), tt.method)
		require.NoError(t, err)
		text := words.ChillSteps(r)
		assert.Contains(t, text, tt.says, "%s: %s", tt.method, tt.source)
		assert.NotContains(t, text, tt.not, "%s: %s", tt.method, tt.source)
		assert.Contains(t, text, "165 °F", "FDA Food Code 3-403.11: what is too slow is reheated")
	}
	warm := chill.DefaultSurroundings()
	warm.Fridge = quantity.Fahrenheit(45)
	fails, err := chill.Cool(pot, warm, chill.IceBathStirredThenFridge)
	require.NoError(t, err)
	assert.Contains(t, words.ChillSteps(fails), "stay with the ice until 41 °F")
	for _, m := range chill.Methods() {
		first, second := m.Parts()
		assert.Equal(t, second == "", words.EveryTenMinutes(m) != "", "%s: only %s asks for one thing", m, first)
	}
}

func TestDryingSteps(t *testing.T) {
	drying, err := freezedry.Plan(quantity.Quart, freezedry.DefaultDryer(), freezedry.Poultry)
	require.NoError(t, err)
	for _, tt := range []struct{ source, want string }{
		{"common practice, no source", "Skim off all the fat"},
		{"second-hand guide: a tilted chamber spills liquid", "freeze them solid"},
		{"Danao, University of Nebraska: look for wet and cold pockets", "cold or damp"},
		{"Utah State University Extension: one 300 cc up to a gallon", "one 300 cc oxygen absorber"},
		{"extension webinar series: not a kill step, rehydrated food is perishable", "does not kill germs"},
		{"extension webinar series", "fresh food"},
		{"USDA SR28: 16.0 g in a cup of defatted home chicken stock", "16 g (4 tablespoons; 2 to 5, as the powder lies) in a cup"},
		{"the default trays have no source", "assumed"},
	} {
		assert.Contains(t, words.DryingSteps(drying), tt.want, tt.source)
	}
	drying.TraysAssumed = false
	assert.NotContains(t, words.DryingSteps(drying), "assumed")
}

// Every cause of the spread has words, and those that name a flag name it for who can
// type one alone.
func TestCauses(t *testing.T) {
	solids, err := kettle.For("chicken")
	require.NoError(t, err)
	e, err := kettle.Balance(kettle.Input{Pot: 20 * quantity.Quart, PotWidth: 12 * quantity.Inch, WidthAssumed: true, FillLine: kettle.DefaultFillLine,
		Bones: []kettle.Portion{{Kind: "chicken", Solids: solids, Mass: 8 * quantity.Pound}}, Fit: true, Simmer: 45e9 * 60, Lid: kettle.LidAjar})
	require.NoError(t, err)
	require.NotEmpty(t, e.Causes)
	for _, cause := range e.Causes {
		what, plain := words.Cause(cause, words.Form{})
		assert.NotEmpty(t, what, cause.Code)
		assert.NotContains(t, plain, "--", cause.Code)
	}
	_, typed := words.Cause(kettle.Cause{Code: "fill-line"}, words.Form{Flags: true})
	assert.Contains(t, typed, "(--water)")
}
