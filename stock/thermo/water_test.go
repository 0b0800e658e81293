package thermo

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/stock/quantity"
)

// row is one line of a published table, its fields by column name as printed.
type row map[string]string

// published reads a published table and fails when it has not so many rows.
func published(t *testing.T, name string, rows int) []row {
	t.Helper()
	file, err := os.Open("../../testdata/published/" + name)
	require.NoError(t, err)
	defer file.Close()
	reader := csv.NewReader(file)
	reader.Comment = '#'
	lines, err := reader.ReadAll()
	require.NoError(t, err)
	require.Len(t, lines[1:], rows, name)
	var table []row
	for _, line := range lines[1:] {
		r := row{}
		for i, column := range lines[0] {
			r[column] = line[i]
		}
		table = append(table, r)
	}
	return table
}

func (r row) number(t *testing.T, column string) float64 {
	t.Helper()
	require.Contains(t, r, column)
	value, err := strconv.ParseFloat(r[column], 64)
	require.NoError(t, err, "%s of %v", column, r)
	return value
}

// agrees asserts that got rounds to the figure printed in a column: that it is
// within half a unit of its last digit.
func (r row) agrees(t *testing.T, column string, got float64, source string) {
	t.Helper()
	assert.InDelta(t, r.number(t, column), got, halfDigit(r[column]), "%s %s: %s of %v", r[column], column, source, r)
}

// halfDigit is half a unit of the last digit of a printed figure, and the
// rounding of the figure itself to a float64.
func halfDigit(printed string) float64 {
	_, decimals, _ := strings.Cut(printed, ".")
	return 0.5*math.Pow(10, -float64(len(decimals))) + 1e-12
}

func TestSaturationPressureMatchesVerificationValues(t *testing.T) {
	const source = "IAPWS-IF97 (2007 release), table 35, values from memory"
	tests := []struct {
		source    string
		kelvins   float64
		want      float64 // MPa
		tolerance float64 // half the ninth digit
	}{
		{source, 300, 0.353658941e-2, 0.5e-11},
		{source, 500, 0.263889776e1, 0.5e-8},
		{source, 600, 0.123443146e2, 0.5e-7},
	}
	for _, tt := range tests {
		p, err := SaturationPressure(quantity.Kelvin(tt.kelvins))
		require.NoError(t, err)
		assert.InDelta(t, tt.want, p.Pascals()/1e6, tt.tolerance, "%g K: %s", tt.kelvins, tt.source)
	}
}

func TestSaturationTemperatureMatchesVerificationValues(t *testing.T) {
	const source = "IAPWS-IF97 (2007 release), table 36, values from memory"
	tests := []struct {
		source     string
		megapascal quantity.Pressure
		want       float64 // K
	}{
		{source, 0.1, 372.755919},
		{source, 1, 453.035632},
		{source, 10, 584.149488},
	}
	for _, tt := range tests {
		got, err := SaturationTemperature(tt.megapascal * 1e6)
		require.NoError(t, err)
		assert.InDelta(t, tt.want, got.Kelvins(), 0.5e-6, "%g MPa: %s", tt.megapascal, tt.source)
	}
}

// The densities and the heat of vaporisation against figures their code was not
// made from.
func TestSaturationMatchesSupplementaryRelease(t *testing.T) {
	const source = "IAPWS SR1-86 (1992), table 1, values from memory"
	tests := []struct {
		source                    string
		kelvins                   float64
		liquid, liquidTolerance   float64 // kg/m³, half the last digit
		vapour, vapourTolerance   float64 // kg/m³
		heat                      float64 // kJ/kg, difference of the printed enthalpies
		heatTolerance             float64 // half the last digit of both enthalpies
		pressure                  float64 // Pa
		pressureShareForIF97Curve float64 // the release has its own pressure equation; IF97 claims 0.025 %
	}{
		{source + ": triple point", 273.16, 999.789, 0.0005, 0.00485426, 0.5e-8, 2500.5, 0, 611.657, 0.00025},
		{source + ": normal boiling point", 373.1243, 958.365, 0.0005, 0.597586, 0.5e-6, 2675.7 - 419.05, 0.055, 101325, 0.00025},
		{source + ": critical point", 647.096, 322, 0.0005, 322, 0.0005, 0, 0, 22.064e6, 0.00025},
	}
	for _, tt := range tests {
		at := quantity.Kelvin(tt.kelvins)
		liquid, err := LiquidDensity(at)
		require.NoError(t, err)
		assert.InDelta(t, tt.liquid, float64(liquid), tt.liquidTolerance, tt.source)
		vapour, err := VapourDensity(at)
		require.NoError(t, err)
		assert.InDelta(t, tt.vapour, float64(vapour), tt.vapourTolerance, tt.source)
		p, err := SaturationPressure(at)
		require.NoError(t, err)
		assert.InEpsilon(t, tt.pressure, p.Pascals(), tt.pressureShareForIF97Curve, tt.source)
		if tt.heatTolerance > 0 {
			heat, err := HeatOfVaporisation(at)
			require.NoError(t, err)
			assert.InDelta(t, tt.heat, float64(heat)/1e3, tt.heatTolerance, tt.source)
		}
	}
}

func TestSaturationMatchesTable(t *testing.T) {
	const source = "saturation_table.csv (IF97 and SR1-86, worked apart from the code)"
	for _, r := range published(t, "saturation_table.csv", 30) {
		at := quantity.Celsius(r.number(t, "T_C"))
		r.agrees(t, "T_F", at.Fahrenheit(), source)
		p, err := SaturationPressure(at)
		require.NoError(t, err)
		r.agrees(t, "psat_kPa", p.Kilopascals(), source)
		r.agrees(t, "psat_psia", p.PSI(), source)
		liquid, err := LiquidDensity(at)
		require.NoError(t, err)
		r.agrees(t, "rho_liquid_kg_m3", float64(liquid), source)
		vapour, err := VapourDensity(at)
		require.NoError(t, err)
		r.agrees(t, "rho_vapour_kg_m3", float64(vapour), source)
		heat, err := HeatOfVaporisation(at)
		require.NoError(t, err)
		r.agrees(t, "hfg_kJ_kg", float64(heat)/1e3, source)
	}
}

func TestSaturationRoundTrip(t *testing.T) {
	for _, kelvins := range []float64{273.15, 273.16, 280, 300, 350, 373.15, 394.25, 450, 500, 550, 600, 623.15, 640, 647, 647.096} {
		p, err := SaturationPressure(quantity.Kelvin(kelvins))
		require.NoError(t, err)
		back, err := SaturationTemperature(p)
		require.NoError(t, err, "%g K, %.10g Pa", kelvins, p.Pascals())
		// The two equations are one biquadratic solved both ways.
		assert.InDelta(t, kelvins, back.Kelvins(), 1e-6, "%g K", kelvins)
		_, err = SaturationPressure(back)
		require.NoError(t, err, "%g K came back out of range, %.17g K", kelvins, back.Kelvins())
	}
	// The bounds of one are answers the other takes.
	for _, p := range []quantity.Pressure{lowestPressure, 611.213, 22.064e6, criticalPressure} {
		at, err := SaturationTemperature(p)
		require.NoError(t, err)
		back, err := SaturationPressure(at)
		require.NoError(t, err, "%.12g K", at.Kelvins())
		assert.InEpsilon(t, float64(p), float64(back), 2e-7)
	}
}

func TestSaturationIsMonotone(t *testing.T) {
	at := func(celsius float64) (p quantity.Pressure, liquid, vapour quantity.Density, heat quantity.SpecificEnergy) {
		temperature := quantity.Celsius(celsius)
		p, err := SaturationPressure(temperature)
		require.NoError(t, err)
		liquid, err = LiquidDensity(temperature)
		require.NoError(t, err)
		vapour, err = VapourDensity(temperature)
		require.NoError(t, err)
		heat, err = HeatOfVaporisation(temperature)
		require.NoError(t, err)
		return p, liquid, vapour, heat
	}
	lastPressure, lastLiquid, lastVapour, lastHeat := at(4.5)
	var lastBoiling quantity.Temperature
	for celsius := 5.0; celsius <= 370; celsius += 0.5 {
		p, liquid, vapour, heat := at(celsius)
		assert.Greater(t, p, lastPressure, "pressure at %g °C", celsius)
		assert.Less(t, liquid, lastLiquid, "liquid density at %g °C", celsius)
		assert.Greater(t, vapour, lastVapour, "vapour density at %g °C", celsius)
		assert.Less(t, heat, lastHeat, "heat of vaporisation at %g °C", celsius)
		boiling, err := SaturationTemperature(p)
		require.NoError(t, err)
		assert.Greater(t, boiling, lastBoiling, "boiling point at %g kPa", p.Kilopascals())
		lastPressure, lastLiquid, lastVapour, lastHeat, lastBoiling = p, liquid, vapour, heat, boiling
	}
}

// Water is densest near 4 °C: 999.97 kg/m³ at 3.98 °C (any handbook, from memory).
func TestLiquidDensityPeaksNearFourDegrees(t *testing.T) {
	densest, peak := 0.0, quantity.Density(0)
	for hundredths := 1; hundredths <= 1000; hundredths++ {
		d, err := LiquidDensity(quantity.Celsius(float64(hundredths) / 100))
		require.NoError(t, err)
		if d > peak {
			densest, peak = float64(hundredths)/100, d
		}
	}
	assert.InDelta(t, 3.98, densest, 0.25, "the saturation equation is fitted to densities, not to where they peak")
	assert.InDelta(t, 999.97, float64(peak), 0.06, "saturated water lies under 1 kPa, handbook water under 101 kPa: 0.05 kg/m³")
}

func TestSaturationOutOfRange(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	ofTemperature := []struct {
		name    string
		call    func(quantity.Temperature) (float64, error)
		allowed string
		bad     []quantity.Temperature
	}{
		{"SaturationPressure", func(at quantity.Temperature) (float64, error) {
			p, err := SaturationPressure(at)
			return float64(p), err
		},
			"from 0 °C to 373.946 °C", []quantity.Temperature{0, 273.149, 647.097, -300}},
		{"LiquidDensity", func(at quantity.Temperature) (float64, error) { d, err := LiquidDensity(at); return float64(d), err },
			"from 0 °C to 373.946 °C", []quantity.Temperature{0, 273.149, 647.097, -300}},
		{"VapourDensity", func(at quantity.Temperature) (float64, error) { d, err := VapourDensity(at); return float64(d), err },
			"from 0 °C to 373.946 °C", []quantity.Temperature{0, 273.149, 647.097, -300}},
		{"HeatOfVaporisation", func(at quantity.Temperature) (float64, error) {
			h, err := HeatOfVaporisation(at)
			return float64(h), err
		},
			"from 0.01 °C to 370 °C", []quantity.Temperature{0, 273.15, 643.16, -300}},
	}
	for _, tt := range ofTemperature {
		for _, bad := range append(tt.bad, quantity.Kelvin(nan), quantity.Kelvin(inf), quantity.Kelvin(-inf)) {
			got, err := tt.call(bad)
			require.Error(t, err, "%s(%g K)", tt.name, bad.Kelvins())
			assert.Zero(t, got)
			assert.Contains(t, err.Error(), tt.allowed, tt.name)
			assert.Contains(t, err.Error(), strconv.FormatFloat(bad.Celsius(), 'g', 6, 64)+" °C", "%s names the value", tt.name)
		}
	}
	for _, bad := range []quantity.Pressure{0, -1, 611.2, 22.06401e6, quantity.Pressure(nan), quantity.Pressure(inf), quantity.Pressure(-inf)} {
		got, err := SaturationTemperature(bad)
		require.Error(t, err, "%g Pa", bad.Pascals())
		assert.Zero(t, got)
		assert.Contains(t, err.Error(), "from 0.611213 kPa to 22064 kPa, absolute")
	}
}

func BenchmarkSaturationPressure(b *testing.B) {
	for b.Loop() {
		if _, err := SaturationPressure(quantity.Celsius(95)); err != nil {
			b.Fatal(err)
		}
	}
}
