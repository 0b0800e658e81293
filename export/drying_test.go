package export_test

import (
	"bytes"
	"encoding/json"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/export"
	"brothrun/stock"
	"brothrun/stock/freezedry"
	"brothrun/stock/quantity"
	"brothrun/timeline"
)

// dried is the fixture with its freeze-drying planned: two loads.
func dried(t testing.TB) timeline.Plan {
	t.Helper()
	plan := turkeyFrames(t)
	d, err := freezedry.Plan(6*quantity.Litre, freezedry.Dryer{Trays: 4, TrayLength: 0.5, TrayWidth: 0.2, Capacity: 5 * quantity.Kilogram}, freezedry.Poultry)
	require.NoError(t, err)
	plan.Batch.Leftover.Batches, plan.Batch.Leftover.Trays, plan.Batch.Leftover.Drying = d.Batches, d.Trays, d
	plan.Batch.Leftover.Hours = d.PerBatch
	plan.UseBy = []timeline.UseBy{{What: stock.Powder, By: time.Date(2027, 12, 1, 12, 0, 0, 0, plan.Location)}}
	return plan
}

// The keys are a contract with scripts: this is the whole of the drying's.
func TestJSONHasTheKeysOfDryingAndUseBy(t *testing.T) {
	var file bytes.Buffer
	require.NoError(t, export.JSON(&file, dried(t)))
	var data struct {
		Leftover json.RawMessage `json:"leftover"`
		UseBy    json.RawMessage `json:"use_by"`
	}
	require.NoError(t, json.Unmarshal(file.Bytes(), &data))
	assert.JSONEq(t, `{
		"volume_l": 0.47, "volume_band_l": {"low": 0, "likely": 0.47, "high": 0.9}, "route": "freeze-dry", "trays": 4, "batches": 2, "hours": 16, "powder_g": 19,
		"dryer_batches": [{"trays": 4, "volume_l": 5, "ice_kg": 4.991}, {"trays": 1, "volume_l": 1, "ice_kg": 0.998}],
		"pre_freeze_h": {"low": 24, "likely": 24, "high": 48},
		"dryer_h": {"low": 14, "likely": 16, "high": 46},
		"powder_band_g": {"low": 139.5, "likely": 405.8, "high": 476.8},
		"freezer_l": 6.5313, "powder_jars": 4, "oxygen_absorbers": 4, "powder_per_cup_g": 16,
		"tablespoons_per_cup": {"low": 2, "likely": 4, "high": 5}, "energy_at_least_kwh": 4.35
	}`, string(data.Leftover))
	assert.JSONEq(t, `[{"what": "powder", "by": "2027-12-01", "why": "sealed dry with an oxygen absorber; no extension figure was found, a year is a cautious guess"}]`, string(data.UseBy))
}

func TestScreenAndPageShowDryingAndUseBy(t *testing.T) {
	var screen, page bytes.Buffer
	require.NoError(t, export.Screen(&screen, dried(t), export.Look{Full: true}))
	require.NoError(t, export.Markdown(&page, dried(t), quantity.US))
	for _, want := range []string{"\nFreeze-drying\n  4 trays        2 batches ", "no data for broth", "\nUse by\n  Powder         Wed 1 Dec 2027       sealed dry with an oxygen absorber; no\n"} {
		assert.Contains(t, screen.String(), want)
	}
	for _, want := range []string{"\n## Freeze-drying\n", "- **4 trays** 2 batches: ", "\n## Use by\n", "- **Powder** Wed 1 Dec 2027: sealed dry with an oxygen absorber; no"} {
		assert.Contains(t, page.String(), want)
	}
}

func TestNothingOfDryingOrUseByWhereThereIsNone(t *testing.T) {
	plan := refused(t)
	plan.Steps, plan.UseBy = nil, nil
	var screen, page, file bytes.Buffer
	require.NoError(t, export.Screen(&screen, plan, export.Look{Full: true}))
	require.NoError(t, export.Markdown(&page, plan, quantity.US))
	require.NoError(t, export.JSON(&file, plan))
	for _, text := range []string{screen.String(), page.String(), file.String()} {
		assert.NotContains(t, text, "Freeze-drying\n")
		assert.NotContains(t, text, "Use by\n")
		assert.NotContains(t, text, "use_by")
		assert.NotContains(t, text, "dryer_")
	}
}
