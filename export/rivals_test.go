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
	"brothrun/stock/loading"
	"brothrun/stock/quantity"
	"brothrun/timeline"
)

func withRivals(t *testing.T) timeline.Plan {
	plan := turkeyFrames(t)
	plan.Batch.Rivals = []stock.LoadPlan{
		{Prefer: loading.PreferJars, Jars: []stock.JarCount{{Jar: "quart", Count: 13}}, Loads: 2, StoveTime: 384 * time.Minute, Leftover: 0.6464 * quantity.Litre, Chosen: true},
		{Prefer: loading.PreferLeftover, Jars: []stock.JarCount{{Jar: "quart", Count: 9}, {Jar: "pint-and-half", Count: 10}, {Jar: "pint", Count: 11}, {Jar: "half-pint", Count: 12}}, Loads: 4, StoveTime: 564 * time.Minute},
	}
	return plan
}

func TestRivalsInEveryForm(t *testing.T) {
	plan := withRivals(t)
	var screen, page, file bytes.Buffer
	require.NoError(t, export.Screen(&screen, plan, export.Look{Full: true}))
	assert.Contains(t, screen.String(), "\nOther ways to fill the jars\n")
	assert.Contains(t, screen.String(), "\n  preferred jars (planned)  13 quarts")
	for line := range strings.Lines(screen.String()) {
		assert.LessOrEqual(t, utf8.RuneCountInString(strings.TrimRight(line, "\n")), 80, line)
	}

	assert.NotContains(t, screen.String(), "--small-loads")

	plan.Batch.Rivals[1].SmallLoads = true
	screen.Reset()
	require.NoError(t, export.Screen(&screen, plan, export.Look{Full: true}))
	assert.Contains(t, screen.String(), "--small-loads")
	plan.Batch.Rivals[1].SmallLoads = false

	require.NoError(t, export.Markdown(&page, plan, quantity.Metric))
	assert.Regexp(t, `\n\| preferred jars \(planned\) \| 13 quarts +\| 2 +\| 6\.4 +\| `, page.String())

	require.NoError(t, export.JSON(&file, plan))
	var data struct{ Rivals []map[string]any }
	require.NoError(t, json.Unmarshal(file.Bytes(), &data))
	require.Len(t, data.Rivals, 2)
	assert.Equal(t, map[string]any{"name": "preferred jars", "jars": []any{map[string]any{"jar": "quart", "count": 13.0}},
		"loads": 2.0, "stove_hours": 6.4, "leftover_l": 0.6464, "chosen": true, "small_loads": false}, data.Rivals[0])
}

func TestNoTableWithoutARival(t *testing.T) {
	plan := withRivals(t)
	plan.Batch.Rivals = plan.Batch.Rivals[:1]
	var screen, page bytes.Buffer
	require.NoError(t, export.Screen(&screen, plan, export.Look{Full: true}))
	require.NoError(t, export.Markdown(&page, plan, quantity.US))
	assert.NotContains(t, screen.String()+page.String(), "Other ways")
}
