package export_test

import (
	"bytes"
	"encoding/json"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/export"
	"brothrun/stock"
	"brothrun/stock/quantity"
	"brothrun/timeline"
)

// withLevers is the run of turkey frames and three made-up changes to it.
func withLevers(t testing.TB) timeline.Plan {
	plan := turkeyFrames(t)
	quarts := []stock.JarCount{{Jar: "quart", Count: 14}}
	plan.Batch.Levers = []stock.Lever{
		{Code: "lid-on", What: "lid on", Strained: 13 * quantity.Litre, StrainedChange: 0.3 * quantity.Litre, Jars: quarts, Loads: 2,
			Hours: 6 * time.Hour, Leftover: 0.77 * quantity.Litre, LeftoverChange: 0.3 * quantity.Litre},
		{Code: "fuller-pot", What: "pot filled to 95 %", Strained: 13.4 * quantity.Litre, StrainedChange: 0.7 * quantity.Litre,
			Jars: quarts, Loads: 2, Hours: 6 * time.Hour, Warnings: []string{"near-overflow", "a-new-code", "second-rack"}},
		{Code: "jars-half-pint", What: "many sizes of jars", Strained: 12.7 * quantity.Litre, JarsChange: 58,
			Jars:  []stock.JarCount{{Jar: "half-pint", Count: 40}, {Jar: "pint-and-half", Count: 12}, {Jar: "pint", Count: 20}},
			Loads: 12, LoadsChange: 10, Hours: 90 * time.Minute, HoursChange: -4*time.Hour - 30*time.Minute,
			Leftover: 3 * quantity.Litre, LeftoverChange: 2.53 * quantity.Litre},
	}
	return plan
}

// section is the part of a screen under a title.
func section(t *testing.T, text, title string) string {
	t.Helper()
	_, after, found := strings.Cut(text, "\n"+title+"\n")
	require.True(t, found, text)
	part, _, _ := strings.Cut(after, "\n\n")
	return part
}

func TestScreenShowsTheLeversAsATable(t *testing.T) {
	var screen bytes.Buffer
	require.NoError(t, export.Screen(&screen, withLevers(t), export.Look{Full: true}))
	assert.Equal(t, `                      strained, qt  jars                        loads   hours
  as planned          13.4          14 quarts                   2       6.3
  lid on              13.7 +0.3     14 quarts                   2       6.0
  pot filled to 95 %  14.2 +0.7     14 quarts                   2       6.0
    careful: mind the boil-over; a new code
  many sizes of jars  13.4          40 half-pints,              12 +10  1.5 -4.5
                                    12 pints-and-half, 20 pints +58
    careful: 3.2 qt fills no jar
  Likely figures, each change alone; hours are those on the stove.`, section(t, screen.String(), "What would change it"))
	for line := range strings.Lines(screen.String()) {
		assert.LessOrEqual(t, utf8.RuneCountInString(strings.TrimRight(line, "\n")), 80, line)
	}
	water, steps := strings.Index(screen.String(), "How the water goes"), strings.Index(screen.String(), "Steps, on the clock")
	assert.Less(t, water, strings.Index(screen.String(), "What would change it"))
	assert.Less(t, strings.Index(screen.String(), "What would change it"), steps)
}

func TestLeversAreShownOnlyWhenAskedFor(t *testing.T) {
	plan := turkeyFrames(t)
	forms := func() string {
		var all bytes.Buffer
		require.NoError(t, export.Screen(&all, plan, export.Look{Full: true}))
		require.NoError(t, export.Markdown(&all, plan, quantity.US))
		require.NoError(t, export.JSON(&all, plan))
		return all.String()
	}
	assert.NotContains(t, forms(), "What would change it")
	assert.NotContains(t, forms(), `"levers"`)

	plan.Batch.Levers = []stock.Lever{}
	assert.Equal(t, 2, strings.Count(forms(), "None of the changes tried"))
	assert.Contains(t, forms(), `"levers": []`)
}

func TestLeversOfARefusedPlanHaveNoJars(t *testing.T) {
	plan := refused(t)
	plan.Batch.Levers = []stock.Lever{{Code: "lid-on", What: "lid on", Strained: 13 * quantity.Litre, StrainedChange: 0.3 * quantity.Litre,
		Leftover: 13 * quantity.Litre, LeftoverChange: 2 * quantity.Litre}}
	var screen, page bytes.Buffer
	require.NoError(t, export.Screen(&screen, plan, export.Look{Full: true}))
	table := section(t, screen.String(), "What would change it")
	assert.NotContains(t, table, "jar")
	assert.NotContains(t, table, "loads")
	assert.Contains(t, table, "lid on      13.7 +0.3     0.0")
	require.NoError(t, export.Markdown(&page, plan, quantity.US))
	assert.Contains(t, page.String(),
		"|            | strained, qt | hours | careful |\n| ---------- | ------------ | ----- | ------- |\n| as planned |")
}

func TestPageHoldsTheLevers(t *testing.T) {
	var page bytes.Buffer
	require.NoError(t, export.Markdown(&page, withLevers(t), quantity.Metric))
	assert.Contains(t, page.String(), `
## What would change it

|                    | strained, l | jars                                           | loads  | hours    | careful                        |
| ------------------ | ----------- | ---------------------------------------------- | ------ | -------- | ------------------------------ |
| as planned         | 12.7        | 14 quarts                                      | 2      | 6.3      |                                |
| lid on             | 13.0 +0.3   | 14 quarts                                      | 2      | 6.0      |                                |
| pot filled to 95 % | 13.4 +0.7   | 14 quarts                                      | 2      | 6.0      | mind the boil-over; a new code |
| many sizes of jars | 12.7        | 40 half-pints, 12 pints-and-half, 20 pints +58 | 12 +10 | 1.5 -4.5 | 3 l fills no jar               |
`)
}

// The keys are a contract with scripts: this is the whole of them.
func TestJSONHasTheKeysOfLevers(t *testing.T) {
	plan := withLevers(t)
	plan.Batch.Levers = plan.Batch.Levers[1:2]
	plan.Batch.Levers[0].HoursChange = -time.Second // rounds to nothing, without a sign
	var file bytes.Buffer
	require.NoError(t, export.JSON(&file, plan))
	var data struct{ Levers json.RawMessage }
	require.NoError(t, json.Unmarshal(file.Bytes(), &data))
	var compact bytes.Buffer
	require.NoError(t, json.Compact(&compact, data.Levers))
	assert.Equal(t, `[{"code":"fuller-pot","what":"pot filled to 95 %","strained_l":13.4,"strained_change_l":0.7,`+
		`"jars":[{"jar":"quart","count":14}],"loads":2,"loads_change":0,"hours":6,"hours_change":0,`+
		`"leftover_l":0,"leftover_change_l":0,"warnings":["near-overflow","a-new-code","second-rack"]}]`, compact.String())
}
