package thaw_test

import (
	"encoding/csv"
	"os"
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/stock/quantity"
	"brothrun/stock/thaw"
)

// Source: testdata/published/thawing.csv. What is planned is never shorter than the long
// end of a published row, for its heaviest piece; a minute for the rounding.
func TestThawingIsNeverShorterThanPublished(t *testing.T) {
	file, err := os.Open("../../testdata/published/thawing.csv")
	require.NoError(t, err)
	defer file.Close()
	read := csv.NewReader(file)
	read.Comment = '#'
	rows, err := read.ReadAll()
	require.NoError(t, err)
	require.Greater(t, len(rows), 10)
	for _, row := range rows[1:] {
		figure := func(i int) float64 {
			f, err := strconv.ParseFloat(row[i], 64)
			require.NoError(t, err)
			return f
		}
		took := thaw.Takes(thaw.Method(row[0]), quantity.Mass(figure(2))*quantity.Pound)
		assert.GreaterOrEqual(t, took.High.Hours(), figure(4)-1.0/60, "%v", row)
		if row[5] == "MEM" || row[0] == "cold-water" { // and not much longer: the same rule made the table
			assert.InDelta(t, figure(4), took.High.Hours(), 1.0/60, "%v", row)
		}
	}
}

// Source: [USDA] 24 h for each 4 to 5 lb, 30 min a pound.
func TestTakes(t *testing.T) {
	nine := thaw.Takes(thaw.Fridge, 9*quantity.Pound)
	assert.InDelta(t, 9.0/5*24, nine.Low.Hours(), 1.0/60)
	assert.InDelta(t, 9.0/4*24, nine.High.Hours(), 1.0/60)
	assert.Equal(t, quantity.Exactly(270*time.Minute), thaw.Takes(thaw.ColdWater, 9*quantity.Pound))
	for _, m := range []thaw.Method{thaw.Unsaid, thaw.None, thaw.Pot} {
		assert.Zero(t, thaw.Takes(m, 9*quantity.Pound))
	}
}

func TestParse(t *testing.T) {
	for _, text := range []string{"fridge", "Cold water", "cold-water", "POT", "none"} {
		_, err := thaw.Parse(text)
		assert.NoError(t, err, text)
	}
	for _, text := range []string{"counter", "warm water", "", "sun"} {
		_, err := thaw.Parse(text)
		assert.Error(t, err, text)
	}
	_, err := thaw.Parse("counter")
	assert.ErrorContains(t, err, "not safe")
}
