package export_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"maps"
	"math"
	"slices"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/export"
	"brothrun/stock"
	"brothrun/stock/quantity"
	"brothrun/stock/remark"
	"brothrun/stock/runfile"
	"brothrun/stock/whatif"
)

// answered is a made-up answer with wide figures.
func answered() whatif.RackAnswer {
	worth := runfile.Money(10)
	pints := []stock.JarCount{{Jar: "pint", Count: 124}, {Jar: "pint-and-half", Count: 36}, {Jar: "half-pint", Count: 240}}
	fuel := quantity.Band[quantity.Energy]{Low: quantity.KilowattHour, Likely: 12 * quantity.KilowattHour, High: 20 * quantity.KilowattHour}
	return whatif.RackAnswer{
		Of: stock.Batch{Name: "Harvest supper broth", What: "turkey frames", Weight: 9 * quantity.Pound, Altitude: 3200 * quantity.Foot}, Runs: 1, Have: 1,
		Question: whatif.RackQuestion{RunsPerYear: 12, RackPrice: 30, FuelPrice: 0.15, HourValue: &worth},
		Plans: []whatif.RackPlan{{Code: whatif.OwnPlan, Options: []whatif.RackOption{
			{Racks: 1, Jars: pints, Leftover: 3 * quantity.Quart, Low: 12, Likely: 13, High: 14, Chance: []float64{12: 0.25, 13: 0.5, 14: 0.25},
				Hours: 25 * time.Hour, Attended: 15 * time.Hour, Fuel: fuel},
			{Racks: 2, Jars: pints[:1], Low: 1, Likely: 1, High: 1, Chance: []float64{0, 1}, Hours: 2 * time.Hour, Attended: time.Hour, Fuel: fuel,
				SavedChance: 1, Price: 30, SavedMoney: 120, Pays: true, PaybackRuns: 3, HourWorth: 1.234567},
			{Racks: 3, Jars: pints[:1], Low: 1, Likely: 1, High: 1, Chance: []float64{0, 1}, Hours: 2 * time.Hour, Attended: time.Hour, Fuel: fuel, Price: 60},
		}}},
		Instead:  []whatif.Instead{{Code: "freeze", Loads: 1, Hours: 90 * time.Minute, Uncanned: 2 * quantity.Litre}},
		Warnings: []remark.Note{{Code: remark.TooLittleToCan}},
		Assumed:  []remark.Note{{Code: whatif.RackPrice, Facts: []any{30.0}}},
	}
}

func TestRacksScreenSaysTheAnswerFirstAndKeepsItsWidth(t *testing.T) {
	var out bytes.Buffer
	require.NoError(t, export.Racks(&out, answered(), false))
	lines := strings.Split(out.String(), "\n")
	assert.Contains(t, lines[0], "Yes: a second rack saves a load of 124 pints, 36 pints-and-half")
	for _, line := range lines {
		assert.LessOrEqual(t, utf8.RuneCountInString(line), 80, "%q", line)
	}
	assert.Contains(t, out.String(), "        12: 25, 13: 50, 14: 25\n")
	assert.Contains(t, out.String(), "3 runs")
	assert.Contains(t, out.String(), "never")
	assert.Contains(t, out.String(), "then 124 pints", "other jars on more racks are said")
	assert.Contains(t, out.String(), "gives up: 2.1 qt (2 l) in all goes uncanned")
	assert.NotContains(t, out.String(), "\x1b")
	assert.Equal(t, "no room", export.Racks(full{}, answered(), false).Error())
	assert.ErrorContains(t, export.RacksJSON(full{}, answered()), "no room")
}

type full struct{}

func (full) Write([]byte) (int, error) { return 0, errors.New("no room") }

// A name from a file cannot move the cursor.
func TestRacksScreenIsPrintable(t *testing.T) {
	a := answered()
	a.Of.Name = "Broth\x1b[2J"
	var out bytes.Buffer
	require.NoError(t, export.Racks(&out, a, false))
	assert.NotContains(t, out.String(), "\x1b")
}

// The keys are the contract of the command with scripts: they may be added to,
// never taken away.
func TestRacksJSONKeys(t *testing.T) {
	var out bytes.Buffer
	require.NoError(t, export.RacksJSON(&out, answered()))
	var data map[string]any
	require.NoError(t, json.Unmarshal(out.Bytes(), &data))
	for _, key := range []string{"schema", "options", "instead", "answer", "warnings"} {
		assert.Contains(t, data, key)
	}
	assert.EqualValues(t, 1, data["schema"])
	options := data["options"].([]any)
	require.Len(t, options, 3)
	for _, option := range options {
		keys := slices.Collect(maps.Keys(option.(map[string]any)))
		for _, key := range []string{"racks", "loads", "hours_per_run", "attended_hours_per_run", "fuel_kwh_per_run", "hours_per_year", "payback_runs"} {
			assert.Contains(t, keys, key)
		}
	}
	first, second, third := options[0].(map[string]any), options[1].(map[string]any), options[2].(map[string]any)
	assert.Equal(t, map[string]any{"low": 12.0, "likely": 13.0, "high": 14.0, "chance": map[string]any{"12": 0.25, "13": 0.5, "14": 0.25}}, first["loads"])
	assert.Nil(t, first["payback_runs"])
	assert.Equal(t, 3.0, second["payback_runs"])
	assert.Nil(t, third["payback_runs"], "null when it never pays")
	assert.Equal(t, 300.0, first["hours_per_year"])
	for _, key := range []string{"what", "loads", "hours_per_run", "gives_up"} {
		assert.Contains(t, data["instead"].([]any)[0], key)
	}
	assert.Equal(t, []any{map[string]any{"code": "too-little-to-can", "text": "There is not enough broth for a single jar: freeze it."}}, data["warnings"])

	// Lists are empty, never null, and what is not finite is an error.
	out.Reset()
	require.NoError(t, export.RacksJSON(&out, whatif.RackAnswer{}))
	assert.NotContains(t, out.String(), `s": null`)
	broken := answered()
	broken.Plans[0].Options[0].SavedLoads = math.NaN()
	assert.Error(t, export.RacksJSON(&out, broken))
}

func BenchmarkRacksScreen(b *testing.B) {
	a := answered()
	for b.Loop() {
		if err := export.Racks(new(bytes.Buffer), a, false); err != nil {
			b.Fatal(err)
		}
	}
}
