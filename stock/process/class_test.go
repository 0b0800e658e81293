package process_test

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/stock/process"
	"brothrun/stock/quantity"
)

func TestClassOfAJarByItsBrimful(t *testing.T) {
	for _, row := range []struct {
		source  string
		brimful quantity.Volume
		want    process.Size // "" for refused
	}{
		{"smaller jars take the time of the next larger listed one (NCHFP)", 30 * quantity.Millilitre, process.Pint},
		{"a published pint to the rim (jars.csv)", 17.1 * quantity.FluidOunce, process.Pint},
		{"the same in millilitres, rounded down", 505 * quantity.Millilitre, process.Pint},
		{"any doubt takes the longer time: rounded up", 506 * quantity.Millilitre, process.Quart},
		{"a little over a pint", 17.11 * quantity.FluidOunce, process.Quart},
		{"a pint and a half takes the quart's time (NCHFP)", 25.3 * quantity.FluidOunce, process.Quart},
		{"a quart of 32 fl oz", 1 * quantity.Quart, process.Quart},
		{"the largest published quart to the rim (jars.csv)", 33.8 * quantity.FluidOunce, process.Quart},
		{"a little over it", 33.81 * quantity.FluidOunce, ""},
		{"a litre is more than a quart (NIST SP 811: 1 qt = 0.9463529 l)", 1 * quantity.Litre, ""},
		{"half a gallon", 64 * quantity.FluidOunce, ""},
	} {
		got, err := process.ClassOf(row.brimful)
		assert.Equal(t, row.want, got, row.source)
		if row.want != "" {
			assert.NoError(t, err, row.source)
			continue
		}
		var refusal *process.Refusal
		require.ErrorAs(t, err, &refusal, row.source)
		assert.Equal(t, "jar-too-large", refusal.Code)
	}
	for _, brimful := range []float64{0, -1, math.NaN(), math.Inf(1), math.Inf(-1)} {
		_, err := process.ClassOf(quantity.Volume(brimful))
		assert.Error(t, err)
		assert.NotErrorAs(t, err, new(*process.Refusal), "%v", brimful)
	}
}

// Every published jar falls by its brimful in the class that its name has: the
// same time at pressure (testdata/published/jars.csv, process_stock.csv).
func TestPublishedJarsFallInTheirClass(t *testing.T) {
	file, err := os.Open("../../testdata/published/jars.csv")
	require.NoError(t, err)
	defer file.Close()
	reader := csv.NewReader(file)
	reader.Comment = '#'
	rows, err := reader.ReadAll()
	require.NoError(t, err)
	require.Len(t, rows, 1+7)
	for _, row := range rows[1:] {
		ounces, err := strconv.ParseFloat(row[2], 64)
		require.NoError(t, err)
		class, err := process.ClassOf(quantity.Volume(ounces) * quantity.FluidOunce)
		require.NoError(t, err, row[0])
		own, err := process.Lookup(process.Chicken, class, process.Weighted, feet(0))
		require.NoError(t, err)
		named, err := process.Lookup(process.Chicken, process.Size(row[0]), process.Weighted, feet(0))
		require.NoError(t, err)
		assert.Equal(t, named.Time, own.Time, row[0])
	}
}

// A jar never takes less time than a smaller one, and the class is one of two.
func TestClassNeverFallsWithTheVolume(t *testing.T) {
	longest := time.Duration(0)
	for millilitres := 1.0; millilitres < 4000; millilitres++ {
		class, err := process.ClassOf(quantity.Volume(millilitres) * quantity.Millilitre)
		if err != nil {
			assert.Greater(t, millilitres, 33.8*29.5735295, "refused")
			continue
		}
		assert.Less(t, millilitres, 33.8*29.5735296, "not refused")
		setting, err := process.Lookup(process.Beef, class, process.Dial, feet(0))
		require.NoError(t, err)
		assert.GreaterOrEqual(t, setting.Time, longest)
		longest = setting.Time
	}
	assert.Equal(t, 25*time.Minute, longest)
}

func TestSeveralStocksInOnePot(t *testing.T) {
	type stocks = []process.Stock
	for _, row := range []struct {
		source string
		pot    stocks
		want   process.Stock
	}{
		{"one kind", stocks{process.Beef}, process.Beef},
		{"the same twice", stocks{process.Beef, process.Beef}, process.Beef},
		{"USDA Guide 5 describes chicken or turkey in one set of directions", stocks{process.Chicken, process.Turkey}, process.Chicken},
		{"the same", stocks{process.Turkey, process.Chicken, process.Turkey}, process.Turkey},
		{"no published directions for poultry and beef together", stocks{process.Chicken, process.Beef}, process.Mixed},
		{"the same", stocks{process.Beef, process.Turkey}, process.Mixed},
		{"the same, whatever comes after", stocks{process.Chicken, process.Beef, process.Chicken}, process.Mixed},
		{"the same", stocks{process.Beef, process.Chicken, process.Beef}, process.Mixed},
		{"no tested process for pork stock", stocks{process.Chicken, process.Pork}, process.Pork},
		{"none for fish", stocks{process.Chicken, process.Beef, process.Fish}, process.Fish},
		{"none for vegetable stock", stocks{process.Vegetable, process.Beef}, process.Vegetable},
		{"unknown stays unknown", stocks{process.Chicken, "goose"}, "goose"},
		{"a mix stays a mix", stocks{process.Chicken, process.Mixed}, process.Mixed},
		{"nothing", nil, ""},
	} {
		assert.Equal(t, row.want, process.Mix(row.pot...), row.source)
	}
	for _, size := range cannedSizes {
		for _, gauge := range gauges {
			got, err := process.Lookup(process.Mixed, size, gauge, feet(0))
			var refusal *process.Refusal
			require.ErrorAs(t, err, &refusal)
			assert.Equal(t, "mixed-kinds", refusal.Code)
			assert.Zero(t, got)
		}
	}
}
