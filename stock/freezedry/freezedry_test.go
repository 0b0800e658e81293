package freezedry_test

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/stock/freezedry"
	"brothrun/stock/quantity"
)

const (
	processing = "food-processing text on drying times: 12.5 mm slab 14–18 h, time as the square of the thickness"
	homeRun    = "one home freeze-drying of a broth soup, 46 h"
)

// dryer is four trays of 0.1 m²: 1.25 l each at 12.5 mm.
var dryer = freezedry.Dryer{Trays: 4, TrayLength: 50 * quantity.Centimetre, TrayWidth: 20 * quantity.Centimetre}

func TestPlanHours(t *testing.T) {
	hours := func(h float64) time.Duration { return time.Duration(h * float64(time.Hour)) }
	tests := []struct {
		source            string
		millimetres       float64
		low, likely, high float64
	}{
		{processing + "; " + homeRun, 12.5, 14, 16, 46},
		{processing + "; " + homeRun + "; no load under 8 h: common practice, no source", 6.25, 3.5, 8, 46},
		{processing + ", worked by hand", 20, 35.84, 40.96, 46.08},
	}
	for _, tt := range tests {
		d := dryer
		d.FillDepth = quantity.Length(tt.millimetres) * quantity.Millimetre
		got, err := freezedry.Plan(2*quantity.Litre, d, freezedry.Poultry)
		require.NoError(t, err)
		for _, pair := range [][2]time.Duration{
			{hours(tt.low), got.PerBatch.Low}, {hours(tt.likely), got.PerBatch.Likely}, {hours(tt.high), got.PerBatch.High},
		} {
			assert.InDelta(t, pair[0].Hours(), pair[1].Hours(), 1e-6, "%v mm: %s", tt.millimetres, tt.source)
		}
		assert.InDelta(t, tt.millimetres, got.Depth.Millimetres(), 1e-9)
		assert.Equal(t, 24*time.Hour, got.PreFreeze, "guide for home freezers: 24–48 h, second-hand")
	}
}

func TestPlanTraysAndBatches(t *testing.T) {
	tests := []struct {
		source         string
		litres         float64
		trays, batches int
		millimetres    float64
	}{
		{"geometry: a tray of 0.1 m² holds 1.25 l at 12.5 mm", 1.25, 1, 1, 12.5},
		{"geometry: half a tray", 0.625, 1, 1, 6.25},
		{"geometry: a drop over one tray", 1.26, 2, 1, 12.5},
		{"geometry: exactly full", 5, 4, 1, 12.5},
		{"geometry: a drop over full", 5.01, 4, 2, 12.5},
		{"geometry: 3 loads", 12.5, 4, 3, 12.5},
	}
	for _, tt := range tests {
		got, err := freezedry.Plan(quantity.Volume(tt.litres)*quantity.Litre, dryer, freezedry.Beef)
		require.NoError(t, err)
		assert.Equal(t, tt.trays, got.Trays, "%v l: %s", tt.litres, tt.source)
		assert.Equal(t, tt.batches, got.Batches, "%v l: %s", tt.litres, tt.source)
		assert.InDelta(t, tt.millimetres, got.Depth.Millimetres(), 1e-9, "%v l: %s", tt.litres, tt.source)
		assert.Equal(t, time.Duration(tt.batches)*got.PerBatch.Likely, got.Hours.Likely, "loads run one after another")
	}
}

func TestPlanPowderMatchesPublishedSolids(t *testing.T) {
	file, err := os.Open("../../testdata/published/solids.csv")
	require.NoError(t, err)
	defer file.Close()
	reader := csv.NewReader(file)
	reader.Comment = '#'
	rows, err := reader.ReadAll()
	require.NoError(t, err)
	require.Len(t, rows, 6)
	columns := map[string]int{}
	for i, name := range rows[0] {
		columns[name] = i
	}

	const source = "USDA Standard Reference release 28, per-cup solids"
	for _, row := range rows[1:] {
		grams, err := strconv.ParseFloat(row[columns["grams_per_cup"]], 64)
		require.NoError(t, err)
		kind := freezedry.SolidsKind(row[columns["kind"]])
		got, err := freezedry.Plan(quantity.Cup, dryer, kind)
		require.NoError(t, err)

		// Every published cup lies in the band, to the printed 0.1 g.
		assert.GreaterOrEqual(t, grams, got.PowderLow.Grams()-0.05, "%v: %s", row, source)
		assert.LessOrEqual(t, grams, got.PowderHigh.Grams()+0.05, "%v: %s", row, source)

		// The likely figure is the home-made, skimmed one.
		home := kind == freezedry.Poultry && row[columns["basis"]] == "defatted" || kind != freezedry.Poultry
		if home {
			assert.InDelta(t, grams, got.Powder.Grams(), 0.05, "%v: %s", row, source)
		}

		// Second route: percent solids of the cup's weight, where both are printed.
		if percent, cup := row[columns["solids_percent"]], row[columns["cup_grams"]]; percent != "" && cup != "" {
			p, err := strconv.ParseFloat(percent, 64)
			require.NoError(t, err)
			c, err := strconv.ParseFloat(cup, 64)
			require.NoError(t, err)
			assert.InDelta(t, grams, p/100*c, 0.1, "%v: %s", row, source)
		}
	}
}

func TestPlanKindsWithoutFiguresAreWide(t *testing.T) {
	for _, kind := range []freezedry.SolidsKind{freezedry.Pork, freezedry.Vegetable} {
		got, err := freezedry.Plan(quantity.Quart, dryer, kind)
		require.NoError(t, err)
		assert.GreaterOrEqual(t, float64(got.PowderHigh/got.PowderLow), 3.0, "%s: no figure found", kind)
		assert.Less(t, got.PowderLow, got.Powder)
		assert.Less(t, got.Powder, got.PowderHigh)
	}
}

func TestPlanAdvice(t *testing.T) {
	got, err := freezedry.Plan(quantity.Quart, freezedry.DefaultDryer(), freezedry.Poultry)
	require.NoError(t, err)
	tests := []struct{ source, want string }{
		{"common practice, no source", "Skim off all the fat"},
		{"second-hand guide: a tilted chamber spills liquid", "freeze them solid"},
		{"Danao, University of Nebraska: look for wet and cold pockets", "cold or damp"},
		{"Utah State University Extension: one 300 cc up to a gallon", "one 300 cc oxygen absorber"},
		{"extension webinar series: not a kill step, rehydrated food is perishable", "does not kill germs"},
		{"extension webinar series", "fresh food"},
		{"USDA SR28: 16.0 g in a cup of defatted home chicken stock", "16 g in a cup"},
		{"the default trays have no source", "assumed"},
	}
	for _, tt := range tests {
		assert.Contains(t, got.Advice, tt.want, tt.source)
	}
	got, err = freezedry.Plan(quantity.Quart, dryer, freezedry.Poultry)
	require.NoError(t, err)
	assert.NotContains(t, got.Advice, "assumed")
}

func TestPlanIsMonotone(t *testing.T) {
	var before freezedry.Drying
	for litres := 0.05; litres < 40; litres += 0.05 {
		got, err := freezedry.Plan(quantity.Volume(litres)*quantity.Litre, dryer, freezedry.Fish)
		require.NoError(t, err)
		assert.GreaterOrEqual(t, got.Hours.Likely, before.Hours.Likely)
		assert.GreaterOrEqual(t, got.Powder, before.Powder)
		assert.LessOrEqual(t, got.Hours.Low, got.Hours.Likely)
		assert.LessOrEqual(t, got.Hours.Likely, got.Hours.High)
		// The trays hold it: an independent check of the counts.
		room := float64(got.Batches) * 4 * 1.25
		assert.LessOrEqual(t, litres, room+1e-9)
		before = got
	}
}

func TestPlanRefusesBadInput(t *testing.T) {
	change := func(f func(*freezedry.Dryer)) freezedry.Dryer { d := dryer; f(&d); return d }
	tests := []struct {
		name   string
		volume quantity.Volume
		dryer  freezedry.Dryer
		kind   freezedry.SolidsKind
		want   string
	}{
		{"nothing", 0, dryer, freezedry.Beef, "up to 200 l"},
		{"negative", -1 * quantity.Litre, dryer, freezedry.Beef, "-1 l"},
		{"NaN", quantity.Volume(math.NaN()), dryer, freezedry.Beef, "NaN"},
		{"infinite", quantity.Volume(math.Inf(1)), dryer, freezedry.Beef, "+Inf"},
		{"no trays", quantity.Litre, change(func(d *freezedry.Dryer) { d.Trays = 0 }), freezedry.Beef, "1 to 20"},
		{"no length", quantity.Litre, change(func(d *freezedry.Dryer) { d.TrayLength = 0 }), freezedry.Beef, "tray length"},
		{"width NaN", quantity.Litre, change(func(d *freezedry.Dryer) { d.TrayWidth = quantity.Length(math.NaN()) }), freezedry.Beef, "tray width"},
		{"too shallow", quantity.Litre, change(func(d *freezedry.Dryer) { d.FillDepth = 4.9 * quantity.Millimetre }), freezedry.Beef, "5 to 20 mm"},
		{"too deep", quantity.Litre, change(func(d *freezedry.Dryer) { d.FillDepth = 20.1 * quantity.Millimetre }), freezedry.Beef, "5 to 20 mm"},
		{"depth NaN", quantity.Litre, change(func(d *freezedry.Dryer) { d.FillDepth = quantity.Length(math.NaN()) }), freezedry.Beef, "5 to 20 mm"},
		{"unknown kind", quantity.Litre, dryer, "oats", "poultry"},
	}
	for _, tt := range tests {
		_, err := freezedry.Plan(tt.volume, tt.dryer, tt.kind)
		require.Error(t, err, tt.name)
		assert.ErrorContains(t, err, tt.want, tt.name)
	}
}

func BenchmarkPlan(b *testing.B) {
	for b.Loop() {
		if _, err := freezedry.Plan(4*quantity.Litre, dryer, freezedry.Poultry); err != nil {
			b.Fatal(err)
		}
	}
}
