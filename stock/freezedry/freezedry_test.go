package freezedry_test

import (
	"encoding/csv"
	"math"
	"math/rand/v2"
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
		assert.Equal(t, quantity.Band[time.Duration]{Low: 24 * time.Hour, Likely: 24 * time.Hour, High: 48 * time.Hour}, got.PreFreeze, "guide for home freezers: 24–48 h, second-hand")
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

// A load never holds more ice than the dryer is rated for, whatever the trays
// would take. A kilogram of ice is 1.0018 l of cold broth.
func TestPlanKeepsTheCapacity(t *testing.T) {
	const source = "geometry, and water of 0.9982 kg/l at 20 °C, handbook, from memory"
	tests := []struct {
		source    string
		kilograms float64 // capacity; 0: not given
		litres    float64
		trays     []int // by load
	}{
		{source + ": no limit, five trays", 0, 6, []int{4, 1}},
		{source + ": the trays are the limit", 5, 6, []int{4, 1}},
		{source + ": just enough for four trays", 4.991, 5, []int{4}},
		{source + ": a gram short of it", 4.990, 5, []int{4, 1}},
		{source + ": 3.006 l a load, three trays", 3, 6, []int{3, 3}},
		{source + ": a last load of 0.99 l needs one", 3, 7, []int{3, 3, 1}},
		{source + ": less than a tray", 0.5, 1, []int{1, 1}},
		{source + ": exactly two loads", 0.9982, 2, []int{1, 1}},
	}
	for _, tt := range tests {
		d := dryer
		d.Capacity = quantity.Mass(tt.kilograms) * quantity.Kilogram
		got, err := freezedry.Plan(quantity.Volume(tt.litres)*quantity.Litre, d, freezedry.Beef)
		require.NoError(t, err)
		var trays []int
		for _, load := range got.Loads {
			trays = append(trays, load.Trays)
		}
		assert.Equal(t, tt.trays, trays, "%v l at %v kg: %s", tt.litres, tt.kilograms, tt.source)
		assert.Equal(t, len(tt.trays), got.Batches)
		assert.Equal(t, got.Loads[0].Ice, got.Ice, "the first is the fullest")
	}
}

func TestLoadsOfAnyDryer(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	kinds := []freezedry.SolidsKind{freezedry.Poultry, freezedry.Beef, freezedry.Fish, freezedry.Pork, freezedry.Vegetable}
	planned := 0
	for range 2000 {
		d := freezedry.Dryer{
			Trays:      1 + random.IntN(20),
			TrayLength: quantity.Length(5+95*random.Float64()) * quantity.Centimetre,
			TrayWidth:  quantity.Length(5+95*random.Float64()) * quantity.Centimetre,
			FillDepth:  quantity.Length(5+15*random.Float64()) * quantity.Millimetre,
		}
		if random.IntN(2) == 0 {
			d.Capacity = quantity.Mass(0.2 + 49.8*random.Float64()*random.Float64())
		}
		volume := quantity.Volume(200*random.Float64()*random.Float64()) * quantity.Litre
		kind := kinds[random.IntN(len(kinds))]
		got, err := freezedry.Plan(volume, d, kind)
		if err != nil {
			require.ErrorContains(t, err, "limit of 100")
			continue
		}
		planned++
		dealt := quantity.Volume(0)
		for i, load := range got.Loads {
			dealt += load.Volume
			require.Greater(t, load.Volume, quantity.Volume(0))
			require.GreaterOrEqual(t, load.Trays, 1)
			require.LessOrEqual(t, load.Trays, d.Trays)
			tray := float64(d.TrayLength) * float64(d.TrayWidth) * float64(d.FillDepth)
			require.LessOrEqual(t, float64(load.Volume), float64(load.Trays)*tray*(1+1e-9), "the trays hold it")
			require.Greater(t, float64(load.Volume)*(1+1e-9), float64(load.Trays-1)*tray, "and one fewer would not")
			if d.Capacity > 0 {
				require.LessOrEqual(t, load.Ice, d.Capacity)
			}
			if i > 0 {
				require.LessOrEqual(t, load.Volume, got.Loads[i-1].Volume, "only the last is smaller")
			}
		}
		require.InEpsilon(t, volume.Litres(), dealt.Litres(), 1e-9)
		require.GreaterOrEqual(t, got.Jars, got.Batches, "no jar for two loads")
		require.GreaterOrEqual(t, quantity.Volume(got.Jars)*quantity.Quart, got.PowderHigh.At(0.2*quantity.KilogramPerLitre)*(1-1e-9))
		require.Greater(t, got.LeastEnergy, quantity.Energy(0))
		require.LessOrEqual(t, got.Depth, d.FillDepth)

		// More broth never takes less of anything but the depth of a partial tray.
		more, err := freezedry.Plan(min(volume*1.1, 200*quantity.Litre), d, kind)
		if err != nil {
			continue
		}
		require.GreaterOrEqual(t, more.Batches, got.Batches)
		require.GreaterOrEqual(t, more.Ice, got.Ice)
		require.GreaterOrEqual(t, more.Hours.Likely, got.Hours.Likely)
		require.GreaterOrEqual(t, more.Jars, got.Jars)
		require.GreaterOrEqual(t, more.Frozen, got.Frozen)
		require.GreaterOrEqual(t, more.LeastEnergy, got.LeastEnergy)
	}
	assert.Greater(t, planned, 1000)
}

func TestPlanEnergyIsTheHeatOfSublimation(t *testing.T) {
	// 10 l of water: 9.982 kg less 42.27 cups of at most 18.8 g, at 2838 kJ/kg.
	const source = "Murphy and Koop 2005: 2838 kJ/kg at -20 °C; worked by hand"
	got, err := freezedry.Plan(10*quantity.Litre, dryer, freezedry.Poultry)
	require.NoError(t, err)
	assert.InDelta(t, (9.982-42.27*0.0188)*2838/3600, got.LeastEnergy.KilowattHours(), 0.002, source)
}

func TestPlanFreezerRoomIsThatOfIce(t *testing.T) {
	got, err := freezedry.Plan(10*quantity.Litre, dryer, freezedry.Poultry)
	require.NoError(t, err)
	assert.InDelta(t, 10.9, got.Frozen.Litres(), 0.05, "water swells by 9 % as it freezes; handbook, from memory")
}

func TestPlanSpoonsAndJars(t *testing.T) {
	const source = "powder of 0.2, 0.3 and 0.5 g/ml: from memory, no source; tablespoon 14.787 ml; worked by hand"
	tests := []struct {
		source               string
		kind                 freezedry.SolidsKind
		grams                float64
		fewest, likely, most int
		jars                 int // for 10 l: two loads of at most 5 l, 18.8, 19.8 or 16 g a cup at the most
	}{
		{source, freezedry.Poultry, 16.0, 2, 4, 5, 6},  // 397 g a load: 1.99 l, 2.1 quarts
		{source, freezedry.Beef, 9.9, 1, 2, 3, 6},      // 418 g: 2.09 l, 2.2 quarts
		{source, freezedry.Vegetable, 6.0, 1, 1, 2, 4}, // 338 g: 1.69 l, 1.8 quarts
	}
	for _, tt := range tests {
		got, err := freezedry.Plan(10*quantity.Litre, dryer, tt.kind)
		require.NoError(t, err)
		assert.InDelta(t, tt.grams, got.Spoon.Grams.Grams(), 0.05, "%s: USDA Standard Reference release 28, or a guess where it has no figure", tt.kind)
		assert.Equal(t, []int{tt.fewest, tt.likely, tt.most}, []int{got.Spoon.Fewest, got.Spoon.Tablespoons, got.Spoon.Most}, "%s: %s", tt.kind, tt.source)
		assert.Equal(t, tt.jars, got.Jars, "%s: %s", tt.kind, tt.source)
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
		{"capacity NaN", quantity.Litre, change(func(d *freezedry.Dryer) { d.Capacity = quantity.Mass(math.NaN()) }), freezedry.Beef, "0.2 to 50 kg"},
		{"capacity negative", quantity.Litre, change(func(d *freezedry.Dryer) { d.Capacity = -1 }), freezedry.Beef, "-1 kg"},
		{"capacity too small", quantity.Litre, change(func(d *freezedry.Dryer) { d.Capacity = 0.19 }), freezedry.Beef, "0.2 to 50 kg"},
		{"capacity too large", quantity.Litre, change(func(d *freezedry.Dryer) { d.Capacity = 51 }), freezedry.Beef, "0.2 to 50 kg"},
		{"more loads than anyone runs", 200 * quantity.Litre, change(func(d *freezedry.Dryer) { d.Capacity = 0.2 }), freezedry.Beef, "limit of 100"},
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
