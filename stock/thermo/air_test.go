package thermo

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/stock/quantity"
)

const (
	squareMetreHour = quantity.KilogramPerSquareMetreHour
	seaLevel        = 101.325 * quantity.Kilopascal
)

func evaporation(t *testing.T, water quantity.Temperature, air Air) float64 {
	t.Helper()
	e, err := Evaporation(water, air)
	require.NoError(t, err)
	return float64(e / squareMetreHour)
}

func TestAtmosphereMatchesTable(t *testing.T) {
	const source = "atmosphere_saturation.csv (ICAO and IF97, worked apart from the code; USDA settings)"
	for _, r := range published(t, "atmosphere_saturation.csv", 28) {
		altitude := quantity.Length(r.number(t, "altitude_ft")) * quantity.Foot
		air, err := StandardAtmosphere(altitude)
		require.NoError(t, err)
		r.agrees(t, "pressure_psia", air.PSI(), source)
		r.agrees(t, "pressure_kPa", air.Kilopascals(), source)
		boiling, err := BoilingPoint(altitude)
		require.NoError(t, err)
		r.agrees(t, "boiling_C", boiling.Celsius(), source)
		r.agrees(t, "boiling_F", boiling.Fahrenheit(), source)
		for _, gauge := range []string{"dial", "weighted"} {
			if r[gauge+"_psig"] == "" {
				require.Equal(t, "dial", gauge)
				require.Greater(t, altitude, 8000*quantity.Foot, "the dial table ends at 8,000 ft")
				continue
			}
			steam, err := SaturationTemperature(air + quantity.Pressure(r.number(t, gauge+"_psig"))*quantity.PSI)
			require.NoError(t, err)
			r.agrees(t, "T_"+gauge+"_C", steam.Celsius(), source)
			r.agrees(t, "T_"+gauge+"_F", steam.Fahrenheit(), source)
		}
	}
}

// Every printed pressure but one is a two-decimal column of inches of mercury
// times 0.49116 psi, so half its last digit is 0.005 inHg, not 0.0005 psi. That
// is inferred from the figures; the page does not say it.
func TestStandardAtmosphereMatchesPrintedTable(t *testing.T) {
	const source = "printed standard atmosphere table, engineersedge.com"
	const psiPerInch = 0.49116
	const tolerance = 0.005*psiPerInch + 0.0005
	tests := []struct {
		source   string
		feet     quantity.Length
		want     float64 // psia
		misprint float64 // psia by which the print is known to be low
	}{
		{source, 0, 14.696, 0},
		{source, 500, 14.430, 0},
		{source, 1000, 14.175, 0},
		{source, 2000, 13.664, 0},
		{source, 3000, 13.173, 0},
		// The print is 25.82 inHg; the standard day has 25.84, as both neighbours'
		// spacing shows. A slip of 0.02 inHg.
		{source + ", misprint", 4000, 12.682, 0.02 * psiPerInch},
		{source, 5000, 12.230, 0},
		{source, 6000, 11.778, 0},
		{source, 7000, 11.341, 0},
		{source, 8000, 10.914, 0},
		{source, 9000, 10.506, 0},
		{source, 10000, 10.108, 0},
	}
	for _, tt := range tests {
		p, err := StandardAtmosphere(tt.feet * quantity.Foot)
		require.NoError(t, err)
		assert.InDelta(t, tt.want+tt.misprint, p.PSI(), tolerance, "%g ft: %s", tt.feet, tt.source)
		if tt.misprint > 0 {
			assert.Greater(t, p.PSI()-tt.want, tolerance, "%g ft agrees as printed: no misprint then", tt.feet)
		}
	}
}

func TestStandardAtmosphereMatchesStandard(t *testing.T) {
	const source = "ICAO Doc 7488 and ISO 2533 tables by geopotential altitude, from memory"
	tests := []struct {
		source    string
		metres    quantity.Length
		want      float64 // Pa
		tolerance float64
	}{
		{source, 0, 101325, 0.5},
		{source, 1000, 89874.6, 0.05},
		{source, 2000, 79495.2, 0.05},
		{source, 3000, 70108.5, 0.05},
		{source, 5000, 54019.9, 0.05},
		{source, 11000, 22632, 0.5}, // remembered to five digits only
	}
	for _, tt := range tests {
		p, err := StandardAtmosphere(tt.metres)
		require.NoError(t, err)
		assert.InDelta(t, tt.want, p.Pascals(), tt.tolerance, "%g m: %s", tt.metres, tt.source)
	}
}

// The print is a straight line of 1.775 °F per 1000 ft from 212.0 °F. The true
// curve falls 1.82 °F per 1000 ft, so the print stands above it by a little more
// at each row: the known difference, never more than 0.25 °F.
func TestBoilingPointMatchesPrintedTable(t *testing.T) {
	const source = "boiling point by altitude, USDA Complete Guide to Home Canning, a copy"
	tests := []struct {
		source string
		feet   quantity.Length
		want   float64 // °F
		above  float64 // °F by which the print stands above the standard day
	}{
		{source, 0, 212.0, 0.05},
		{source, 1000, 210.2, 0.07},
		{source, 2000, 208.5, 0.19},
		{source, 3000, 206.7, 0.22},
		{source, 4000, 204.9, 0.25},
	}
	for _, tt := range tests {
		boiling, err := BoilingPoint(tt.feet * quantity.Foot)
		require.NoError(t, err)
		assert.InDelta(t, tt.want-tt.above, boiling.Fahrenheit(), 0.005, "%g ft: %s", tt.feet, tt.source)
		assert.InDelta(t, tt.want, 212-1.775*float64(tt.feet)/1000, 0.0501, "%g ft: the straight line", tt.feet)
	}
}

func TestBoilingPointFallsWithAltitude(t *testing.T) {
	lastPressure, lastBoiling := quantity.Pressure(math.Inf(1)), quantity.Kelvin(math.Inf(1))
	for metres := quantity.Length(-500); metres <= 11000; metres += 50 {
		p, err := StandardAtmosphere(metres)
		require.NoError(t, err)
		boiling, err := BoilingPoint(metres)
		require.NoError(t, err)
		assert.Less(t, p, lastPressure, "%g m", metres)
		assert.Less(t, boiling, lastBoiling, "%g m", metres)
		back, err := SaturationPressure(boiling)
		require.NoError(t, err)
		assert.InEpsilon(t, float64(p), float64(back), 1e-9, "%g m", metres)
		lastPressure, lastBoiling = p, boiling
	}
}

func TestAtmosphereOutOfRange(t *testing.T) {
	for _, bad := range []float64{-500.01, 11000.01, math.NaN(), math.Inf(1), math.Inf(-1)} {
		p, err := StandardAtmosphere(quantity.Length(bad))
		require.Error(t, err, "%g m", bad)
		assert.Zero(t, p)
		assert.Contains(t, err.Error(), "from -500 m to 11000 m (-1640 ft to 36089 ft)")
		boiling, err := BoilingPoint(quantity.Length(bad))
		require.Error(t, err, "%g m", bad)
		assert.Zero(t, boiling)
		assert.Contains(t, err.Error(), "from -500 m to 11000 m")
	}
}

func TestHumidityRatio(t *testing.T) {
	const source = "ASHRAE Handbook Fundamentals, chapter 1, table 2, saturated moist air at 101.325 kPa, from memory"
	tests := []struct {
		source  string
		celsius float64
		want    float64
		share   float64 // that HumidityRatio states for ideal gases: 1 % up to 60 °C, 2 % near the boil
	}{
		{source, 10, 0.007661, 0.01},
		{source, 20, 0.014758, 0.01},
		{source, 30, 0.027329, 0.01},
		{source, 40, 0.049141, 0.01},
		{source, 60, 0.15354, 0.01},
		{source, 90, 1.42031, 0.02},
	}
	for _, tt := range tests {
		vapour, err := SaturationPressure(quantity.Celsius(tt.celsius))
		require.NoError(t, err)
		got, err := HumidityRatio(vapour, seaLevel)
		require.NoError(t, err)
		assert.InEpsilon(t, tt.want, got, tt.share, "%g °C: %s", tt.celsius, tt.source)
	}
	dry, err := HumidityRatio(0, seaLevel)
	require.NoError(t, err)
	assert.Zero(t, dry)

	nan, inf := quantity.Pressure(math.NaN()), quantity.Pressure(math.Inf(1))
	for _, bad := range [][2]quantity.Pressure{{-1, seaLevel}, {seaLevel, seaLevel}, {2 * seaLevel, seaLevel}, {0, 0}, {nan, seaLevel}, {1, nan}, {inf, inf}, {1, inf}, {1, -1}} {
		got, err := HumidityRatio(bad[0], bad[1])
		require.Error(t, err, "%v", bad)
		assert.Zero(t, got)
		assert.Contains(t, err.Error(), "at least 0 kPa and less than the total")
	}
}

// The figure printed as heat, turned to mass on this package's own heat of
// vaporisation.
func TestStillAirTableConvertsItsHeat(t *testing.T) {
	const source = "still_air_evaporation.csv, kg/(m2 h) = Btu/(h ft2) x 3.1546 x 3.6 / heat of vaporisation"
	checked := 0
	for _, r := range published(t, "still_air_evaporation.csv", 31) {
		if r["heat_Btu_h_ft2"] == "" {
			continue
		}
		water := quantity.Fahrenheit(r.number(t, "water_F"))
		r.agrees(t, "water_C", water.Celsius(), source)
		heat, err := HeatOfVaporisation(water)
		require.NoError(t, err)
		r.agrees(t, "evaporation_kg_m2_h", r.number(t, "heat_Btu_h_ft2")*3.1546*3.6/(float64(heat)/1e3), source)
		checked++
	}
	assert.Equal(t, 11, checked)
}

func TestEvaporationMatchesWorkedCorrelation(t *testing.T) {
	const source = "still_air_evaporation.csv, Shah worked apart from the code"
	checked := 0
	for _, r := range published(t, "still_air_evaporation.csv", 31) {
		switch {
		case r["series"] == "shah":
			got := evaporation(t, quantity.Celsius(r.number(t, "water_C")), Air{
				Temperature: quantity.Celsius(r.number(t, "air_C")), RelativeHumidity: r.number(t, "relative_humidity"), Pressure: seaLevel})
			r.agrees(t, "evaporation_kg_m2_h", got, source)
		case r["shah_kg_m2_h"] != "":
			r.agrees(t, "shah_kg_m2_h", evaporation(t, quantity.Fahrenheit(r.number(t, "water_F")), roomOf(t, r)), source)
		default:
			continue
		}
		checked++
	}
	assert.Equal(t, 20, checked)
}

// roomOf is the air of a published row: 50 % humidity where none is printed, and
// 22 °C where no air is.
func roomOf(t *testing.T, r row) Air {
	t.Helper()
	air := Air{Temperature: quantity.Celsius(22), RelativeHumidity: 0.5, Pressure: seaLevel}
	if r["air_F"] != "" {
		air.Temperature = quantity.Fahrenheit(r.number(t, "air_F"))
	}
	if r["relative_humidity"] != "" {
		air.RelativeHumidity = r.number(t, "relative_humidity")
	}
	return air
}

// The published rates differ from one another by 25 to 35 % near the boil, so
// 25 % is all that can be asked. What lies outside is named, with by how much.
func TestEvaporationMatchesPublishedTanks(t *testing.T) {
	const allowed = 0.25
	type key struct{ series, celsius string }
	// How far the formula stands above the published rate, as a share of it.
	exceptions := map[key]float64{
		{"tank", "98.9"}: 0.29, // beyond the 94 °C the formula was made on
	}
	// Other formulas, quoted to show how far they stray: not observations, and
	// not what a pot is held against. Each is above this one where it is hot.
	formulas := map[key]float64{
		{"lloyd-moran", "60"}: -0.22, {"lloyd-moran", "70"}: -0.27, {"lloyd-moran", "80"}: -0.35, {"lloyd-moran", "90"}: -0.48,
		{"humidity-ratio", "60"}: -0.18, {"humidity-ratio", "80"}: -0.36, {"humidity-ratio", "90"}: -0.60,
	}
	checked := 0
	for _, r := range published(t, "still_air_evaporation.csv", 31) {
		if r["series"] == "shah" {
			continue
		}
		at := key{r["series"], r["water_C"]}
		water := quantity.Celsius(r.number(t, "water_C"))
		if r["water_F"] != "" {
			water = quantity.Fahrenheit(r.number(t, "water_F"))
		}
		want := r.number(t, "evaporation_kg_m2_h")
		off := evaporation(t, water, roomOf(t, r))/want - 1
		checked++
		if known, ok := formulas[at]; ok {
			assert.InDelta(t, known, off, 0.005, "%v", at)
			continue
		}
		if known, ok := exceptions[at]; ok {
			assert.InDelta(t, known, off, 0.005, "%v: a known exception has moved", at)
			assert.Greater(t, math.Abs(off), allowed, "%v is no exception", at)
			continue
		}
		assert.LessOrEqual(t, math.Abs(off), allowed, "%v: %.0f %%", at, off*100)
	}
	assert.Equal(t, 22, checked)
}

// Kirman's line by its formula, gal/(ft² h) = exp(0.03236 t/°F − 7.2), to the
// figures the table holds. They agree with gallons measured at 20 °C, as make-up
// water is; at the tank's own density they would be 4 % lower at 95 °C. The
// formula does not say which.
func TestStillTankRowsFollowTheirFormula(t *testing.T) {
	density, err := LiquidDensity(quantity.Celsius(20))
	require.NoError(t, err)
	squareFoot := quantity.Foot.Times(quantity.Foot).SquareMetres()
	checked := 0
	for _, r := range published(t, "still_air_evaporation.csv", 31) {
		if r["series"] != "still-tank" {
			continue
		}
		water := quantity.Celsius(r.number(t, "water_C"))
		gallons := math.Exp(0.03236*water.Fahrenheit() - 7.2)
		r.agrees(t, "evaporation_kg_m2_h", gallons*quantity.Gallon.CubicMetres()*float64(density)/squareFoot, "L. Kirman, 2002")
		checked++
	}
	assert.Equal(t, 4, checked)
}

func TestEvaporationRisesWithWaterTemperature(t *testing.T) {
	for _, humidity := range []float64{0, 0.3, 0.5, 0.8, 1} {
		air := Air{Temperature: quantity.Celsius(22), RelativeHumidity: humidity, Pressure: seaLevel}
		last, steps := 0.0, 0
		for tenths := 0; tenths < 999; tenths++ {
			water := quantity.Celsius(float64(tenths) / 10)
			got := evaporation(t, water, air)
			require.GreaterOrEqual(t, got, 0.0)
			if got < last {
				// The published change of coefficient, 40 to 35, once.
				steps++
				assert.GreaterOrEqual(t, got, last*35/40, "%g °C", water.Celsius())
				assert.Less(t, water.Celsius(), 32.0)
			}
			last = got
		}
		assert.Equal(t, 1, steps, "humidity %g", humidity)
	}
}

// Shah 2002 takes 40 for 35 where the dry air in a cubic metre differs by less
// than 0.02 kg between the room and the surface.
func TestEvaporationCoefficientChanges(t *testing.T) {
	dryAir := func(at quantity.Temperature, humidity float64) float64 {
		saturated, err := SaturationPressure(at)
		require.NoError(t, err)
		const gasConstant = 8.314462618 / 0.0289647 // J/(kg·K): CODATA 2018 over the molar mass of dry air, from memory
		return (seaLevel.Pascals() - humidity*saturated.Pascals()) / (gasConstant * at.Kelvins())
	}
	room := Air{Temperature: quantity.Celsius(22), RelativeHumidity: 0.5, Pressure: seaLevel}
	steps, before := 0, 0.0
	for hundredths := 2200; hundredths < 6000; hundredths++ {
		water := quantity.Celsius(float64(hundredths) / 100)
		after := evaporation(t, water, room)
		if after < before {
			steps++
			assert.InDelta(t, 0.02, dryAir(room.Temperature, room.RelativeHumidity)-dryAir(water, 1), 1e-4, "at %g °C", water.Celsius())
			assert.InDelta(t, 35.0/40, after/before, 0.005, "at %g °C", water.Celsius())
		}
		before = after
	}
	assert.Equal(t, 1, steps)
}

func TestEvaporationFallsWithHumidity(t *testing.T) {
	for _, celsius := range []float64{45, 60, 80, 95} {
		last := math.Inf(1)
		for percent := range 101 {
			got := evaporation(t, quantity.Celsius(celsius), Air{Temperature: quantity.Celsius(22), RelativeHumidity: float64(percent) / 100, Pressure: seaLevel})
			assert.Less(t, got, last, "%g °C, %d %%", celsius, percent)
			last = got
		}
	}
}

func TestEvaporationIsNothingInWetterAir(t *testing.T) {
	tests := []struct {
		source   string
		water    float64 // °C
		air      float64 // °C
		humidity float64
	}{
		{"vapour moves to where it is less: dew on cold water", 10, 30, 0.8},
		{"dew on ice water", 0, 20, 0.5},
		{"saturated room at the water's temperature: no difference", 30, 30, 1},
		{"no lift: water colder than a dry room", 5, 40, 0.02},
	}
	for _, tt := range tests {
		got := evaporation(t, quantity.Celsius(tt.water), Air{Temperature: quantity.Celsius(tt.air), RelativeHumidity: tt.humidity, Pressure: seaLevel})
		assert.Zero(t, got, tt.source)
		assert.False(t, math.Signbit(got), tt.source)
	}
}

func TestEvaporationAtTheBoil(t *testing.T) {
	for _, feet := range []quantity.Length{0, 3200, 10000} {
		pressure, err := StandardAtmosphere(feet * quantity.Foot)
		require.NoError(t, err)
		boiling, err := BoilingPoint(feet * quantity.Foot)
		require.NoError(t, err)
		air := Air{Temperature: quantity.Celsius(22), RelativeHumidity: 0.5, Pressure: pressure}
		below := evaporation(t, boiling-0.001, air)
		assert.False(t, math.IsInf(below, 0) || math.IsNaN(below))
		for _, water := range []quantity.Temperature{boiling + 0.001, boiling + 20, quantity.Celsius(373.9)} {
			got, err := Evaporation(water, air)
			require.Error(t, err, "%g ft, %g °C", feet, water.Celsius())
			assert.Zero(t, got)
			assert.Contains(t, err.Error(), "from 0 °C to below")
			assert.Contains(t, err.Error(), "at the boil evaporation is the heat supplied over the heat of vaporisation")
		}
	}
}

func TestEvaporationOutOfRange(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	good := Air{Temperature: quantity.Celsius(22), RelativeHumidity: 0.5, Pressure: seaLevel}
	_, err := Evaporation(quantity.Celsius(80), good)
	require.NoError(t, err)
	try := func(water quantity.Temperature, air Air, contains string) {
		t.Helper()
		got, err := Evaporation(water, air)
		require.Error(t, err, "%v in %+v", water, air)
		assert.Zero(t, got)
		assert.Contains(t, err.Error(), contains)
	}
	for _, bad := range []float64{nan, inf, -inf, -0.001, 1.001, 50} {
		air := good
		air.RelativeHumidity = bad
		try(quantity.Celsius(80), air, "must be from 0 to 1")
	}
	for _, bad := range []float64{nan, inf, -inf, -0.01, 60.01} {
		air := good
		air.Temperature = quantity.Celsius(bad)
		try(quantity.Celsius(80), air, "must be from 0 °C to 60 °C")
	}
	for _, bad := range []float64{nan, inf, -inf, 0, -101, 19.99, 120.01} {
		air := good
		air.Pressure = quantity.Pressure(bad) * quantity.Kilopascal
		try(quantity.Celsius(80), air, "must be from 20 kPa to 120 kPa, absolute")
	}
	for _, bad := range []float64{nan, inf, -inf, -0.01, 400} {
		try(quantity.Celsius(bad), good, "must be from 0 °C to")
	}
	for _, edge := range []Air{{quantity.Celsius(0), 0, 20 * quantity.Kilopascal}, {quantity.Celsius(60), 1, 120 * quantity.Kilopascal}} {
		got := evaporation(t, quantity.Celsius(59), edge)
		assert.False(t, math.IsNaN(got) || got < 0, "%+v", edge)
	}
}

func BenchmarkBoilingPoint(b *testing.B) {
	for b.Loop() {
		if _, err := BoilingPoint(3200 * quantity.Foot); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkEvaporation(b *testing.B) {
	air := Air{Temperature: quantity.Celsius(22), RelativeHumidity: 0.5, Pressure: seaLevel}
	for b.Loop() {
		if _, err := Evaporation(quantity.Celsius(95), air); err != nil {
			b.Fatal(err)
		}
	}
}
