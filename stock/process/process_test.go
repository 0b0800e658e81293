package process_test

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/stock/fault"
	"brothrun/stock/process"
	"brothrun/stock/quantity"
	"brothrun/stock/thermo"
)

var (
	cannedStocks = []process.Stock{process.Chicken, process.Turkey, process.Beef}
	cannedSizes  = []process.Size{process.HalfPint, process.Pint, process.PintAndHalf, process.Quart}
	gauges       = []process.Gauge{process.Weighted, process.Dial}
)

func feet(ft float64) quantity.Length { return quantity.Length(ft) * quantity.Foot }

// published is one row of process_stock.csv.
type published struct {
	gauge    process.Gauge
	over, to float64 // ft; over −1 stands for "from 0"
	psi      float64
	minutes  map[process.Size]float64
	lowest   bool // the first row of its gauge
}

func readPublished(t testing.TB) []published {
	t.Helper()
	file, err := os.Open("../../testdata/published/process_stock.csv")
	require.NoError(t, err)
	defer file.Close()
	reader := csv.NewReader(file)
	reader.Comment = '#'
	rows, err := reader.ReadAll()
	require.NoError(t, err)
	require.Len(t, rows, 1+6, "four dial rows and two weighted")

	columns := map[string]int{}
	for i, name := range rows[0] {
		columns[name] = i
	}
	var table []published
	for _, row := range rows[1:] {
		number := func(column string) float64 {
			require.Contains(t, columns, column)
			x, err := strconv.ParseFloat(row[columns[column]], 64)
			require.NoError(t, err, column)
			return x
		}
		table = append(table, published{
			gauge: process.Gauge(row[columns["gauge"]]),
			over:  number("altitude_over_ft"), to: number("altitude_to_ft"), psi: number("pressure_psi"),
			minutes: map[process.Size]float64{
				process.HalfPint: number("half_pint_min"), process.Pint: number("pint_min"),
				process.PintAndHalf: number("pint_and_half_min"), process.Quart: number("quart_min"),
			},
		})
	}
	for i := range table {
		table[i].lowest = i == 0 || table[i-1].gauge != table[i].gauge
	}
	return table
}

// Every row of the published table, at both edges of its band and a foot to
// either side, for every stock, gauge and size.
func TestLookupMatchesThePublishedTable(t *testing.T) {
	table := readPublished(t)
	rowAt := func(gauge process.Gauge, ft float64) *published {
		for i := range table {
			row := &table[i]
			if row.gauge == gauge && ft <= row.to && (ft > row.over || row.lowest) {
				return row
			}
		}
		return nil
	}
	checked := 0
	for _, edge := range table {
		for _, ft := range []float64{edge.over - 1, edge.over, edge.over + 1, (edge.over + edge.to) / 2, edge.to - 1, edge.to, edge.to + 1} {
			for _, gauge := range gauges {
				for _, size := range cannedSizes {
					for _, stock := range cannedStocks {
						checked++
						got, err := process.Lookup(stock, size, gauge, feet(ft))
						want := rowAt(gauge, ft)
						if want == nil {
							var refusal *process.Refusal
							require.ErrorAs(t, err, &refusal, "%s %s %s at %g ft", stock, size, gauge, ft)
							assert.Equal(t, "altitude-"+string(gauge), refusal.Code)
							continue
						}
						require.NoError(t, err, "%s %s %s at %g ft", stock, size, gauge, ft)
						assert.Equal(t, gauge, got.Gauge)
						assert.InDelta(t, want.psi, got.Pressure.PSI(), 1e-9, "%s %s %s at %g ft", stock, size, gauge, ft)
						assert.Equal(t, time.Duration(want.minutes[size])*time.Minute, got.Time, "%s %s %s at %g ft", stock, size, gauge, ft)
						assert.InDelta(t, want.to, got.UpTo.Feet(), 1e-9)
						if want.lowest {
							assert.InDelta(t, -1500, got.Over.Feet(), 1e-9, "the lowest band takes what lies below the sea")
						} else {
							assert.InDelta(t, want.over, got.Over.Feet(), 1e-9)
						}
					}
				}
			}
		}
	}
	require.Equal(t, 6*7*2*4*3, checked)
}

// The published bands read "0-2,000" and "2,001-4,000": what lies between them
// belongs to the higher pressure. Metres that are whole feet stay on their edge.
func TestBandEdges(t *testing.T) {
	const table = "USDA Complete Guide, Guide 5: bands 0-2,000, 2,001-4,000 … ft; 1 ft = 0.3048 m exactly (NIST SP 811)"
	tests := []struct {
		altitude string
		gauge    process.Gauge
		psi      float64
		source   string
	}{
		{"304.8 m", process.Weighted, 10, table},
		{"609.6 m", process.Dial, 11, table},
		{"1219.2 m", process.Dial, 12, table},
		{"1828.8 m", process.Dial, 13, table},
		{"2438.4 m", process.Dial, 14, table},
		{"3048 m", process.Weighted, 15, table},
		{"1000 ft", process.Weighted, 10, table},
		{"1000.5 ft", process.Weighted, 15, table},
		{"305 m", process.Weighted, 15, table},
		{"2000 ft", process.Dial, 11, table},
		{"2000.5 ft", process.Dial, 12, table},
		{"2000.02 ft", process.Dial, 12, table},
		{"610 m", process.Dial, 12, table},
		{"4000.5 ft", process.Dial, 13, table},
		{"6000.5 ft", process.Dial, 14, table},
	}
	for _, tt := range tests {
		altitude, err := quantity.ParseLength(tt.altitude)
		require.NoError(t, err, tt.altitude)
		got, err := process.Lookup(process.Chicken, process.Quart, tt.gauge, altitude)
		require.NoError(t, err, tt.altitude)
		assert.InDelta(t, tt.psi, got.Pressure.PSI(), 1e-9, "%s %s: %s", tt.altitude, tt.gauge, tt.source)
	}

	// Own rule: a hundredth of a foot counts as on the edge, so that a float one
	// step above it does too.
	for _, row := range readPublished(t) {
		for _, altitude := range []quantity.Length{feet(row.to + 0.009), quantity.Length(math.Nextafter(feet(row.to).Metres(), 1e9))} {
			got, err := process.Lookup(process.Chicken, process.Quart, row.gauge, altitude)
			require.NoError(t, err, "%s %v", row.gauge, altitude.Feet())
			assert.InDelta(t, row.psi, got.Pressure.PSI(), 1e-9, "%s %v ft", row.gauge, altitude.Feet())
		}
	}

	for _, above := range []struct {
		altitude string
		gauge    process.Gauge
	}{{"8000.5 ft", process.Dial}, {"2439 m", process.Dial}, {"10000.5 ft", process.Weighted}, {"3049 m", process.Weighted}} {
		altitude, err := quantity.ParseLength(above.altitude)
		require.NoError(t, err)
		_, err = process.Lookup(process.Chicken, process.Quart, above.gauge, altitude)
		var refusal *process.Refusal
		require.ErrorAs(t, err, &refusal, above.altitude)
	}
}

// What the tested pressures are for: steam at about 240 °F. The temperatures
// were worked out beforehand, apart from this code (IAPWS-IF97 and the ICAO
// standard atmosphere), and are printed to 0.01 °C and 0.1 °F.
func TestSteamTemperatureOfEverySetting(t *testing.T) {
	const source = "IAPWS-IF97 region 4 and ICAO standard atmosphere, by a separate program"
	tests := []struct {
		gauge      process.Gauge
		ft         float64
		celsius    float64
		fahrenheit float64
		source     string
	}{
		{process.Dial, 0, 116.42, 241.6, source},
		{process.Dial, 2000, 115.16, 239.3, source},
		{process.Dial, 2001, 116.38, 241.5, source},
		{process.Dial, 4000, 115.19, 239.35, source}, // printed 239.4, from 239.35
		{process.Dial, 4001, 116.42, 241.6, source},
		{process.Dial, 6000, 115.30, 239.5, source},
		{process.Dial, 6001, 116.52, 241.7, source},
		{process.Dial, 8000, 115.47, 239.85, source}, // printed 239.9 and, elsewhere, 239.8
		{process.Weighted, 0, 115.20, 239.4, source},
		{process.Weighted, 1000, 114.54, 238.2, source},
		{process.Weighted, 1001, 120.39, 248.7, source},
		{process.Weighted, 10000, 115.70, 240.3, source},
	}
	for _, tt := range tests {
		setting, err := process.Lookup(process.Beef, process.Pint, tt.gauge, feet(tt.ft))
		require.NoError(t, err)
		steam := steamTemperature(t, feet(tt.ft), setting.Pressure)
		assert.InDelta(t, tt.celsius, steam.Celsius(), 0.0051, "%s %g ft: %s", tt.gauge, tt.ft, tt.source)
		assert.InDelta(t, tt.fahrenheit, steam.Fahrenheit(), 0.051, "%s %g ft: %s", tt.gauge, tt.ft, tt.source)
	}

	// The mistake these settings guard against: 10 psi kept up to 2,000 ft makes
	// 113.89 °C (237.0 °F) steam (same source).
	wrong := steamTemperature(t, feet(2000), 10*quantity.PSI)
	assert.InDelta(t, 113.89, wrong.Celsius(), 0.0051)
	assert.InDelta(t, 237.0, wrong.Fahrenheit(), 0.051)
	right, err := process.Lookup(process.Beef, process.Pint, process.Weighted, feet(2000))
	require.NoError(t, err)
	assert.Greater(t, right.Pressure, 10*quantity.PSI)
}

// Missouri Extension prints that USDA found 10.5 psi to be needed for 240 °F at 0
// to 1,000 ft (food safety question 163): it must lie between the two ends.
func TestPressureFor240FAgreesWithExtension(t *testing.T) {
	saturation, err := thermo.SaturationPressure(quantity.Fahrenheit(240))
	require.NoError(t, err)
	needed := func(ft float64) quantity.Pressure {
		air, err := thermo.StandardAtmosphere(feet(ft))
		require.NoError(t, err)
		return saturation - air
	}
	assert.Less(t, needed(0), 10.5*quantity.PSI)
	assert.Greater(t, needed(1000), 10.5*quantity.PSI)
}

func steamTemperature(t testing.TB, altitude quantity.Length, gauge quantity.Pressure) quantity.Temperature {
	t.Helper()
	air, err := thermo.StandardAtmosphere(altitude)
	require.NoError(t, err)
	steam, err := thermo.SaturationTemperature(air + gauge)
	require.NoError(t, err)
	return steam
}

// From below the sea to the last band, a foot at a time: the pressure never
// falls on the way up, and steam stays between 238 °F (weighted, 1,000 ft) and
// 249 °F (weighted, 1,001 ft) above the sea, hotter only below it.
func TestPressureNeverFallsWithAltitude(t *testing.T) {
	for gauge, top := range map[process.Gauge]int{process.Dial: 8000, process.Weighted: 10000} {
		last := quantity.Pressure(0)
		for ft := -1500; ft <= top; ft++ {
			setting, err := process.Lookup(process.Turkey, process.Quart, gauge, feet(float64(ft)))
			require.NoError(t, err, "%s %d ft", gauge, ft)
			require.GreaterOrEqual(t, setting.Pressure, last, "%s %d ft", gauge, ft)
			last = setting.Pressure
			steam := steamTemperature(t, feet(float64(ft)), setting.Pressure).Fahrenheit()
			require.Greater(t, steam, 238.0, "%s %d ft", gauge, ft)
			require.Less(t, steam, 249.0, "%s %d ft", gauge, ft)
		}
	}
}

func TestLookupRefuses(t *testing.T) {
	const (
		usda  = "USDA Complete Guide, Guide 5: beef, chicken and turkey only"
		nchfp = "NCHFP, Jar size choices: nothing above the largest listed jar"
		dial  = "USDA Complete Guide, Guide 5: dial table ends at 8,000 ft"
		own   = "own limit: published weighted row is open above 1,000 ft; 15 psi makes 240.3 °F at 10,000 ft"
	)
	tests := []struct {
		stock    process.Stock
		size     process.Size
		gauge    process.Gauge
		altitude float64 // ft
		code     string
		source   string
	}{
		{process.Pork, process.Pint, process.Weighted, 0, "no-tested-process", usda},
		{process.Fish, process.Pint, process.Weighted, 0, "no-tested-process", usda},
		{process.Shellfish, process.Pint, process.Dial, 0, "no-tested-process", usda},
		{process.Vegetable, process.Quart, process.Dial, 0, "no-tested-process", usda},
		{process.Pork, process.Gallon, process.Dial, 9000, "no-tested-process", "the stock is the first reason"},
		{process.Chicken, process.HalfGallon, process.Weighted, 0, "jar-too-large", nchfp},
		{process.Beef, process.Gallon, process.Dial, 5000, "jar-too-large", nchfp},
		{process.Chicken, process.Quart, process.Dial, 8001, "altitude-dial", dial},
		{process.Chicken, process.Quart, process.Dial, 8000.4, "altitude-dial", dial},
		{process.Chicken, process.Quart, process.Dial, 8500, "altitude-dial", dial},
		{process.Turkey, process.Pint, process.Dial, 10000, "altitude-dial", dial},
		{process.Turkey, process.Pint, process.Dial, 10001, "altitude-dial", dial},
		{process.Turkey, process.Pint, process.Weighted, 10001, "altitude-weighted", own},
		{process.Beef, process.Pint, process.Weighted, 30000, "altitude-weighted", own},
	}
	for _, tt := range tests {
		setting, err := process.Lookup(tt.stock, tt.size, tt.gauge, feet(tt.altitude))
		assert.Zero(t, setting, "a refusal carries no setting: %s", tt.source)
		var refusal *process.Refusal
		require.ErrorAs(t, err, &refusal, tt.source)
		assert.Equal(t, tt.code, refusal.Code, tt.source)
		assert.Contains(t, refusal.Error(), refusal.Code)
		switch tt.code {
		case process.NoTestedProcess:
			assert.Equal(t, string(tt.stock), refusal.Case, tt.source)
		case process.JarTooLarge:
			assert.Equal(t, []any{tt.size}, refusal.Facts, tt.source)
		default:
			end := map[process.Gauge]float64{process.Dial: 8000, process.Weighted: 10000}[tt.gauge]
			require.Len(t, refusal.Facts, 3, tt.source)
			assert.Equal(t, tt.gauge, refusal.Facts[0], tt.source)
			assert.InDelta(t, math.Ceil(tt.altitude), refusal.Facts[1].(quantity.Length).Feet(), 1e-9, "up, so that it is above the end: %s", tt.source)
			assert.InDelta(t, end, refusal.Facts[2].(quantity.Length).Feet(), 1e-9, tt.source)
			assert.Equal(t, tt.gauge == process.Dial && tt.altitude <= 10000, refusal.Case == "weighted-can", "the other gauge's table reaches there")
		}
	}
}

func TestLookupRejectsBadInput(t *testing.T) {
	for _, ft := range []float64{-1501, 30001, -1e300, 1e300, math.NaN(), math.Inf(1), math.Inf(-1)} {
		for _, gauge := range gauges {
			setting, err := process.Lookup(process.Chicken, process.Pint, gauge, feet(ft))
			assert.Zero(t, setting)
			var rangeError *fault.Fault
			require.ErrorAs(t, err, &rangeError, "%g ft", ft)
			assert.Contains(t, err.Error(), "-1500 ft to 30000 ft (-457 m to 9144 m)")
		}
	}
	for _, ft := range []float64{-1500, -1} {
		setting, err := process.Lookup(process.Chicken, process.Pint, process.Weighted, feet(ft))
		require.NoError(t, err, "%g ft", ft)
		assert.InDelta(t, 10, setting.Pressure.PSI(), 1e-9, "below the sea: the lowest band")
	}

	tests := []struct {
		stock process.Stock
		size  process.Size
		gauge process.Gauge
		says  string
	}{
		{"venison", process.Pint, process.Dial, `"venison"`},
		{"", process.Pint, process.Dial, `stock ""`},
		{process.Chicken, "bucket", process.Dial, `"bucket"`},
		{process.Chicken, "", process.Dial, `jar ""`},
		{process.Chicken, process.Pint, "digital", `"digital"`},
		{process.Chicken, process.Pint, "", `gauge ""`},
	}
	for _, tt := range tests {
		setting, err := process.Lookup(tt.stock, tt.size, tt.gauge, 0)
		assert.Zero(t, setting)
		require.ErrorContains(t, err, tt.says)
		var refusal *process.Refusal
		assert.NotErrorAs(t, err, &refusal, "a slip of the pen is no refusal for safety")
	}
}

func TestParse(t *testing.T) {
	for _, size := range append([]process.Size{process.HalfGallon, process.Gallon}, cannedSizes...) {
		for _, text := range []string{string(size), "  " + strings.ToUpper(string(size)) + "\t"} {
			got, err := process.ParseSize(text)
			require.NoError(t, err, "%q", text)
			assert.Equal(t, size, got)
		}
	}
	for _, gauge := range gauges {
		got, err := process.ParseGauge(" " + strings.ToUpper(string(gauge)))
		require.NoError(t, err)
		assert.Equal(t, gauge, got)
	}
	for _, text := range []string{"", "pints", "quarter", "half pint", "12oz"} {
		_, err := process.ParseSize(text)
		require.ErrorContains(t, err, "half-pint, pint, pint-and-half or quart", "%q", text)
	}
	for _, text := range []string{"", "weight", "dial gauge", "wieghted"} {
		_, err := process.ParseGauge(text)
		require.ErrorContains(t, err, "weighted or dial", "%q", text)
	}
}

func TestHeadspaceAndSources(t *testing.T) {
	assert.InDelta(t, 1, process.Headspace.Inches(), 1e-12, "USDA Complete Guide, Guide 5: 1 in in pints and quarts")
	sources := strings.Join(process.Sources(), "\n")
	for _, part := range []string{"USDA Complete Guide", "Guide 5", "National Center for Home Food Preservation", "10,000 ft (3,048 m) is brothrun's own"} {
		assert.Contains(t, sources, part)
	}
}

func BenchmarkLookup(b *testing.B) {
	for b.Loop() {
		_, _ = process.Lookup(process.Turkey, process.Quart, process.Weighted, 3200*quantity.Foot)
	}
}
