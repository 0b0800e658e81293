package export_test

import (
	"bytes"
	"encoding/csv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/export"
	"brothrun/export/text"
	"brothrun/stock"
	"brothrun/stock/quantity"
	"brothrun/timeline"
)

// largest is a run whose every figure is as wide as may be: a pot of 200 l, 1,000 jars,
// 100 loads (runfile, stock.MostLoads).
func largest(name string) timeline.Outcome {
	o := timeline.Outcome{File: "runs/" + name + ".toml", Name: name, Kind: "chicken-frames+turkey-necks",
		What: "chicken frames and turkey necks", Pot: "the very big pot in the cellar", Notes: 2000,
		Date: time.Date(2026, 9, 30, 12, 0, 0, 0, time.UTC), Water: 200 * quantity.Litre, Planned: 199.9 * quantity.Litre,
		Strained: 188.8 * quantity.Litre, Powder: 150 * quantity.Kilogram,
		Jars: []timeline.JarTally{{Jar: "pint-and-half", Filled: 1000, Unsealed: 999, Broken: 1}}}
	for range 100 {
		o.Loads = append(o.Loads, timeline.CannedLoad{SteamToPressure: 240 * time.Minute, ToZero: 600 * time.Minute})
	}
	return o
}

func TestHistoryAndShelfFitTheScreen(t *testing.T) {
	day := time.Date(2026, 9, 30, 12, 0, 0, 0, time.UTC)
	long := largest("a name that goes on for longer than any line of a screen has room for, and then some more")
	runs := []timeline.Outcome{largest("a"), long, {What: "beef bones", PotSize: 22 * quantity.Quart}}
	shelf := timeline.Shelf{Frozen: []timeline.PutAway{{Volume: 200 * quantity.Litre, On: day, By: day, Of: &runs[1]}}}
	for _, look := range []timeline.Look{timeline.LookedAt, timeline.NotLookedAt, timeline.TimeUnsaid} {
		shelf.Jars = append(shelf.Jars, timeline.Shelved{Of: &runs[0],
			Standing: timeline.Standing{JarCount: stock.JarCount{Jar: "pint-and-half", Count: 1000}, Look: look, By: day}})
	}
	for _, units := range []quantity.System{quantity.US, quantity.Metric} {
		var shown bytes.Buffer
		require.NoError(t, export.History(&shown, runs, units, false))
		assert.Contains(t, shown.String(), "Without a date\n")
		assert.Contains(t, shown.String(), "1000?")
		assert.Contains(t, shown.String(), "240*")
		require.NoError(t, export.Shelf(&shown, shelf, units, day.AddDate(0, 0, 1), false))
		assert.Equal(t, 4, strings.Count(shown.String(), "OVERDUE"))
		assert.Contains(t, shown.String(), "not yet")
		for line := range strings.Lines(shown.String()) {
			assert.LessOrEqual(t, text.Shown(strings.TrimSuffix(line, "\n")), text.Width, "%s", line)
		}
	}
}

// What came of some of a year's runs alone is marked, lest it is set against what was
// planned of all.
func TestAYearThatIsNotNotedInFullSaysSo(t *testing.T) {
	run := func(strained quantity.Volume) timeline.Outcome {
		return timeline.Outcome{What: "beef bones", Pot: "big", Notes: 1, Water: 12 * quantity.Quart, Planned: 11 * quantity.Quart,
			Strained: strained, Date: time.Date(2026, 9, 30, 12, 0, 0, 0, time.UTC)}
	}
	for _, row := range []struct {
		second quantity.Volume
		want   string
	}{{0, "22.0 10.0? 0"}, {9 * quantity.Quart, "22.0 19.0 0"}} {
		var shown bytes.Buffer
		require.NoError(t, export.History(&shown, []timeline.Outcome{run(10 * quantity.Quart), run(row.second)}, quantity.US, false))
		fields := strings.Join(strings.Fields(shown.String()), " ")
		assert.Contains(t, fields, "all 2 runs 24.0 "+row.want)
	}
}

// A name is text to a spreadsheet, whatever it begins with, and a row stays one.
func TestTheTableOfRunsIsText(t *testing.T) {
	run := largest("=1+1\n")
	run.Pot = "@pot"
	var table bytes.Buffer
	require.NoError(t, export.HistoryCSV(&table, []timeline.Outcome{run}))
	rows, err := csv.NewReader(&table).ReadAll()
	require.NoError(t, err)
	require.Len(t, rows, 2)
	assert.Len(t, rows[1], len(rows[0]))
	assert.Equal(t, "'=1+1", strings.TrimSpace(rows[1][1]))
	assert.Equal(t, "'@pot", rows[1][3])
}
