package jar_test

import (
	"encoding/csv"
	"math"
	"os"
	"slices"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/stock/jar"
	"brothrun/stock/quantity"
)

const inch = quantity.Inch

var boiling = quantity.Celsius(100)

func TestCatalogueAndFillMatchThePublishedTable(t *testing.T) {
	file, err := os.Open("../../testdata/published/jars.csv")
	require.NoError(t, err)
	defer file.Close()
	reader := csv.NewReader(file)
	reader.Comment = '#'
	rows, err := reader.ReadAll()
	require.NoError(t, err)
	columns := map[string]int{}
	for i, name := range rows[0] {
		columns[name] = i
	}
	catalogue := jar.Catalogue
	require.Len(t, catalogue, 7)
	require.Len(t, rows, 1+len(catalogue))
	for i, row := range rows[1:] {
		text := func(column string) string {
			require.Contains(t, columns, column)
			return row[columns[column]]
		}
		number := func(column string) float64 {
			x, err := strconv.ParseFloat(text(column), 64)
			require.NoError(t, err, column)
			return x
		}
		j := catalogue[i]
		name := text("jar") + " " + text("mouth")
		assert.Equal(t, name, j.Name+" "+string(j.Mouth))
		assert.Equal(t, text("trust"), j.Trust, name)
		assert.InDelta(t, number("brimful_floz"), j.Brimful.FluidOunces(), 1e-9, name)
		assert.InDelta(t, number("pack_diameter_in"), j.PackDiameter.Inches(), 1e-9, name)
		assert.InDelta(t, number("height_in"), j.Height.Inches(), 1e-9, name)
		assert.InDelta(t, number("bore_in"), j.Bore.Inches(), 1e-9, name)

		// Printed to 0.1 fl oz, from the row's own brimful and bore.
		fill, err := j.Fill(inch)
		require.NoError(t, err, name)
		assert.InDelta(t, number("fill_at_1in_floz"), fill.FluidOunces(), 0.0501, name)

		found, err := jar.Find(text("jar"), jar.Mouth(text("mouth")))
		require.NoError(t, err, name)
		assert.Equal(t, j, found)
	}
}

// By hand, from 1 US gallon = 231 cubic inches (NIST Handbook 44, appendix C):
// a fluid ounce is 231/128 cubic inches, so an inch of a 2 3/8 in bore is
// π/4 · 2.375² / 1.8047 = 2.455 fl oz, and of a 3 in bore 3.917.
func TestFillTakesTheBoreOffTheBrim(t *testing.T) {
	const source = "NIST Handbook 44, appendix C, by hand"
	tests := []struct {
		name      string
		mouth     jar.Mouth
		headspace quantity.Length
		want      float64 // fl oz below the brim, to the printed digit
		source    string
	}{
		{"pint", jar.Regular, 0, 0, source},
		{"pint", jar.Regular, inch / 2, 1.227, source},
		{"pint", jar.Regular, inch, 2.455, source},
		{"quart", jar.Wide, inch, 3.917, source},
		{"quart", jar.Wide, 2 * inch, 7.834, source},
	}
	for _, tt := range tests {
		j, err := jar.Find(tt.name, tt.mouth)
		require.NoError(t, err)
		fill, err := j.Fill(tt.headspace)
		require.NoError(t, err)
		assert.InDelta(t, tt.want, (j.Brimful - fill).FluidOunces(), 0.00051, "%s %s: %s", tt.name, tt.mouth, tt.source)
	}
}

// Cold broth over hot fill is the density of water hot over cold.
func TestColdFillIsTheDensityRatio(t *testing.T) {
	const iapws = "saturated water, IAPWS 1992 (SR1-86) equations, printed to 0.01 kg/m³"
	const textbook = "density of water, usual handbook table (CRC), from memory, printed to 0.1 kg/m³"
	tests := []struct {
		celsius   float64
		hot, cold float64 // kg/m³ at celsius and at 20 °C
		tolerance float64 // half a unit of the last digit of either
		source    string
	}{
		{20, 998.16, 998.16, 1e-9, iapws},
		{95, 961.88, 998.16, 1.1e-5, iapws},
		{100, 958.35, 998.16, 1.1e-5, iapws},
		{100, 958.4, 998.2, 1.1e-4, textbook},
		{90, 965.3, 998.2, 1.1e-4, textbook},
		{80, 971.8, 998.2, 1.1e-4, textbook},
	}
	for _, tt := range tests {
		for _, j := range jar.Catalogue {
			hot, err := j.Fill(inch)
			require.NoError(t, err)
			cold, err := j.ColdFill(inch, quantity.Celsius(tt.celsius))
			require.NoError(t, err)
			assert.InDelta(t, tt.hot/tt.cold, float64(cold/hot), tt.tolerance, "%g °C %s: %s", tt.celsius, j.Name, tt.source)
		}
	}
}

// The same ratio over the whole saturation table, printed to 0.01 kg/m³.
func TestColdFillMatchesTheSaturationTable(t *testing.T) {
	file, err := os.Open("../../testdata/published/saturation_table.csv")
	require.NoError(t, err)
	defer file.Close()
	reader := csv.NewReader(file)
	reader.Comment = '#'
	rows, err := reader.ReadAll()
	require.NoError(t, err)
	celsius, density := slices.Index(rows[0], "T_C"), slices.Index(rows[0], "rho_liquid_kg_m3")
	require.True(t, celsius >= 0 && density >= 0, "%q", rows[0])
	table := map[float64]float64{}
	for _, row := range rows[1:] {
		at, err := strconv.ParseFloat(row[celsius], 64)
		require.NoError(t, err)
		table[at], err = strconv.ParseFloat(row[density], 64)
		require.NoError(t, err)
	}
	require.Contains(t, table, 20.0)
	j, err := jar.Find("quart", jar.Wide)
	require.NoError(t, err)
	hot, err := j.Fill(inch)
	require.NoError(t, err)
	checked := 0
	for at, dense := range table {
		if at < 20 || at > 110 {
			continue
		}
		cold, err := j.ColdFill(inch, quantity.Celsius(at))
		require.NoError(t, err)
		assert.InDelta(t, dense/table[20], float64(cold/hot), 1.1e-5, "%g °C", at)
		checked++
	}
	assert.Greater(t, checked, 10)
}

// The hotter a jar is filled the less cold broth it takes; and never more than
// it holds hot.
func TestColdFillFallsAsTheFillingIsHotter(t *testing.T) {
	j, err := jar.Find("quart", jar.Regular)
	require.NoError(t, err)
	hot, err := j.Fill(inch)
	require.NoError(t, err)
	last := hot + quantity.Millilitre
	for celsius := 20.0; celsius <= 110; celsius++ {
		cold, err := j.ColdFill(inch, quantity.Celsius(celsius))
		require.NoError(t, err)
		require.Less(t, cold, last, "%g °C", celsius)
		last = cold
	}
}

func TestFind(t *testing.T) {
	t.Run("a size made with one mouth is found under either", func(t *testing.T) {
		for _, mouth := range []jar.Mouth{jar.Regular, jar.Wide} {
			j, err := jar.Find(" Pint-and-Half ", mouth)
			require.NoError(t, err)
			assert.Equal(t, jar.Wide, j.Mouth)
		}
	})
	t.Run("an unknown name lists every size", func(t *testing.T) {
		for _, name := range []string{"", "bottle", "quarts", "pint and half", "gallons"} {
			_, err := jar.Find(name, jar.Wide)
			require.ErrorContains(t, err, "half-pint, pint, pint-and-half, quart", "%q", name)
			assert.NotErrorIs(t, err, jar.ErrTooLarge, "%q", name)
		}
	})
	t.Run("above a quart is told apart from a slip of the pen", func(t *testing.T) {
		for _, name := range []string{"half-gallon", "Gallon"} {
			_, err := jar.Find(name, jar.Regular)
			require.ErrorIs(t, err, jar.ErrTooLarge, name)
			assert.ErrorContains(t, err, "choose quarts or smaller")
		}
	})
	t.Run("a mouth must be one of two", func(t *testing.T) {
		for _, mouth := range []jar.Mouth{"", "narrow", "WIDE"} {
			_, err := jar.Find("pint", mouth)
			require.ErrorContains(t, err, "regular or wide", "%q", mouth)
		}
	})
}

func TestParseMouth(t *testing.T) {
	for text, want := range map[string]jar.Mouth{"regular": jar.Regular, "wide": jar.Wide, " Wide\n": jar.Wide} {
		got, err := jar.ParseMouth(text)
		require.NoError(t, err, "%q", text)
		assert.Equal(t, want, got)
	}
	for _, text := range []string{"", "narrow", "wide mouth"} {
		_, err := jar.ParseMouth(text)
		require.ErrorContains(t, err, "regular or wide", "%q", text)
	}
}

func TestBadInput(t *testing.T) {
	j, err := jar.Find("half-pint", jar.Wide)
	require.NoError(t, err)
	nan, inf := math.NaN(), math.Inf(1)

	for _, inches := range []float64{-0.001, 2.001, nan, inf, -inf} {
		_, err := j.Fill(quantity.Length(inches) * inch)
		require.ErrorContains(t, err, "0 in to 2 in", "%g in", inches)
		_, err = j.ColdFill(quantity.Length(inches)*inch, boiling)
		require.Error(t, err, "%g in", inches)
	}
	for _, celsius := range []float64{-10, 19.9, 110.1, nan, inf, -inf} {
		_, err := j.ColdFill(inch, quantity.Celsius(celsius))
		require.ErrorContains(t, err, "20 °C to 110 °C", "%g °C", celsius)
	}

	low := j
	low.Height = inch
	_, err = low.Fill(1.5 * inch)
	require.ErrorContains(t, err, "the jar's height of 1 in")

	small := j
	small.Brimful = quantity.FluidOunce
	_, err = small.Fill(inch)
	require.ErrorContains(t, err, "leaves nothing")

	for _, bad := range []float64{0, -1, nan, inf} {
		for part, broken := range map[string]jar.Jar{
			"brimful": {Name: "x", Brimful: quantity.Volume(bad), Height: j.Height, Bore: j.Bore},
			"height":  {Name: "x", Brimful: j.Brimful, Height: quantity.Length(bad), Bore: j.Bore},
			"bore":    {Name: "x", Brimful: j.Brimful, Height: j.Height, Bore: quantity.Length(bad)},
		} {
			_, err := broken.Fill(inch)
			require.ErrorContains(t, err, "not above 0", "%s %g", part, bad)
		}
	}
}

func BenchmarkColdFill(b *testing.B) {
	j, err := jar.Find("quart", jar.Regular)
	require.NoError(b, err)
	for b.Loop() {
		_, _ = j.ColdFill(inch, boiling)
	}
}
