package quantity_test

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brothrun/stock/quantity"
)

// What is printed follows from the rules in the docs of Format; the digits are
// worked by hand from the unit sizes checked in quantity_test.go.

func TestFormatPicksTheUnitAfterRounding(t *testing.T) {
	rows := []struct {
		name       string
		us, metric string
		quantity   interface {
			Format(quantity.System) string
		}
	}{
		{"no volume", "0 cups", "0 ml", quantity.Volume(0)},
		{"half a cup", "0.5 cup", "118 ml", 0.5 * quantity.Cup},
		{"a cup", "1 cup", "237 ml", quantity.Cup},
		{"cups", "2.5 cups", "591 ml", 2.5 * quantity.Cup},
		{"just below a quart of cups", "3.9 cups", "934 ml", 3.949 * quantity.Cup},
		{"rounds to a quart", "1 qt", "935 ml", 3.95 * quantity.Cup},
		{"a quart", "1 qt", "946 ml", quantity.Quart},
		{"just below a litre", "1.1 qt", "999 ml", 999.49 * quantity.Millilitre},
		{"rounds to a litre", "1.1 qt", "1 l", 999.5 * quantity.Millilitre},
		{"a litre and a bit", "1.1 qt", "1 l", 1.049 * quantity.Litre},
		{"a broth", "13.2 qt", "12.5 l", 13.2 * quantity.Quart},
		{"just below ten quarts", "9.9 qt", "9.4 l", 9.9499 * quantity.Quart},
		{"half a tenth rounds up", "10 qt", "9.4 l", 9.95 * quantity.Quart},
		{"a minus stays", "-2 cups", "-473 ml", -2 * quantity.Cup},
		{"a minus climbs as well", "-13.2 qt", "-12.5 l", -13.2 * quantity.Quart},
		{"never minus nothing", "0 cups", "0 ml", -0.1 * quantity.Millilitre},
		{"negative zero", "0 cups", "0 ml", quantity.Volume(math.Copysign(0, -1))},

		{"ounces", "8.5 oz", "241 g", 8.5 * quantity.Ounce},
		{"just below a pound", "15.9 oz", "452 g", 15.949 * quantity.Ounce},
		{"rounds to a pound", "1 lb", "452 g", 15.95 * quantity.Ounce},
		{"pounds", "9 lb", "4.1 kg", 9 * quantity.Pound},
		{"pounds and a part", "9.3 lb", "4.2 kg", 9.25 * quantity.Pound},
		{"just below a kilogram", "2.2 lb", "999 g", 999.49 * quantity.Gram},
		{"rounds to a kilogram", "2.2 lb", "1 kg", 999.5 * quantity.Gram},

		{"headspace", "1 in", "2.5 cm", quantity.Inch},
		{"a sixteenth", "0.06 in", "1.6 mm", quantity.Inch / 16},
		{"just below a centimetre", "0.39 in", "9.9 mm", 9.949 * quantity.Millimetre},
		{"rounds to a centimetre", "0.39 in", "1 cm", 9.95 * quantity.Millimetre},
		{"a canner", "12.25 in", "31.1 cm", 12.25 * quantity.Inch},
		{"just below ten feet", "119.99 in", "3 m", 119.994 * quantity.Inch},
		{"rounds to ten feet", "10 ft", "3 m", 119.995 * quantity.Inch},
		{"just below three metres", "118.09 in", "299.9 cm", 299.94 * quantity.Centimetre},
		{"rounds to three metres", "118.09 in", "3 m", 299.95 * quantity.Centimetre},

		{"steam in a canner", "240 °F", "116 °C", quantity.Fahrenheit(240)},
		{"cold enough to keep", "41 °F", "5 °C", quantity.Fahrenheit(41)},
		{"freezing point", "32 °F", "0 °C", quantity.Celsius(0)},
		{"just below freezing", "32 °F", "0 °C", quantity.Celsius(-0.2)},
		{"zero Fahrenheit", "0 °F", "-18 °C", quantity.Fahrenheit(-0.3)},

		{"weighted gauge", "15 psi", "103 kPa", 15 * quantity.PSI},
		{"not a whole psi", "11.4 psi", "79 kPa", 11.4 * quantity.PSI},
		{"no pressure", "0 psi", "0 kPa", quantity.Pressure(0)},

		{"NaN volume", "unknown", "unknown", quantity.Volume(math.NaN())},
		{"infinite volume", "unknown", "unknown", quantity.Volume(math.Inf(1))},
		{"negative infinite volume", "unknown", "unknown", quantity.Volume(math.Inf(-1))},
		{"volume beyond printing", "unknown", "unknown", quantity.Volume(math.MaxFloat64)},
		{"NaN mass", "unknown", "unknown", quantity.Mass(math.NaN())},
		{"NaN length", "unknown", "unknown", quantity.Length(math.NaN())},
		{"NaN temperature", "unknown", "unknown", quantity.Kelvin(math.NaN())},
		{"infinite temperature", "unknown", "unknown", quantity.Kelvin(math.Inf(1))},
		{"NaN pressure", "unknown", "unknown", quantity.Pressure(math.NaN())},
	}
	for _, row := range rows {
		t.Run(row.name, func(t *testing.T) {
			require.Equal(t, row.us, row.quantity.Format(quantity.US))
			require.Equal(t, row.metric, row.quantity.Format(quantity.Metric))
			require.Equal(t, row.us, row.quantity.Format(quantity.System(7)), "an unknown system prints as US")
		})
	}
}

func TestEveryHalfTenthTypedRoundsUp(t *testing.T) {
	for tenths := 10; tenths < 1000; tenths++ {
		typed := fmt.Sprintf("%d.%d5 qt", tenths/10, tenths%10)
		want := fmt.Sprintf("%d.%d qt", (tenths+1)/10, (tenths+1)%10)
		volume, err := quantity.ParseVolume(typed)
		require.NoError(t, err)
		require.Equal(t, strings.Replace(want, ".0 ", " ", 1), volume.Format(quantity.US), typed)
	}
}

func TestBothPutsTheOtherSystemInBrackets(t *testing.T) {
	broth := 13.2 * quantity.Quart
	require.Equal(t, "13.2 qt (12.5 l)", broth.Both(quantity.US))
	require.Equal(t, "12.5 l (13.2 qt)", broth.Both(quantity.Metric))
	require.Equal(t, "9 lb (4.1 kg)", (9 * quantity.Pound).Both(quantity.US))
	require.Equal(t, "1 in (2.5 cm)", quantity.Inch.Both(quantity.US))
	require.Equal(t, "116 °C (240 °F)", quantity.Fahrenheit(240).Both(quantity.Metric))
	require.Equal(t, "15 psi (103 kPa)", (15 * quantity.PSI).Both(quantity.US))
	require.Equal(t, "unknown", quantity.Volume(math.NaN()).Both(quantity.US))
}

func TestFormatAltitude(t *testing.T) {
	rows := []struct {
		altitude   quantity.Length
		us, metric string
	}{
		{0, "0 ft", "0 m"},
		{3200 * quantity.Foot, "3,200 ft", "975 m"},
		{999.4 * quantity.Foot, "999 ft", "305 m"},
		{999.5 * quantity.Foot, "1,000 ft", "305 m"},
		{10000 * quantity.Foot, "10,000 ft", "3,048 m"},
		{1234567 * quantity.Foot, "1,234,567 ft", "376,296 m"},
		{-282 * quantity.Foot, "-282 ft", "-86 m"},
		{-1300 * quantity.Foot, "-1,300 ft", "-396 m"},
		{-0.1 * quantity.Metre, "0 ft", "0 m"},
		{quantity.Length(math.NaN()), "unknown", "unknown"},
		{quantity.Length(math.Inf(-1)), "unknown", "unknown"},
	}
	for _, row := range rows {
		require.Equal(t, row.us, quantity.FormatAltitude(row.altitude, quantity.US))
		require.Equal(t, row.metric, quantity.FormatAltitude(row.altitude, quantity.Metric))
	}
}

func TestFormatDuration(t *testing.T) {
	rows := []struct {
		span time.Duration
		want string
	}{
		{0, "0 min"},
		{29 * time.Second, "0 min"},
		{30 * time.Second, "1 min"},
		{-29 * time.Second, "0 min"},
		{-5 * time.Minute, "-5 min"},
		{25 * time.Minute, "25 min"},
		{59*time.Minute + 29*time.Second, "59 min"},
		{59*time.Minute + 30*time.Second, "1 h"},
		{105 * time.Minute, "1 h 45 min"},
		{2 * time.Hour, "2 h"},
		{47*time.Hour + 59*time.Minute, "47 h 59 min"},
		{48 * time.Hour, "48 h"},
		{48*time.Hour + 29*time.Second, "48 h"},
		{48*time.Hour + time.Minute, "2 days"},
		{49 * time.Hour, "2 days 1 h"},
		{50*time.Hour + 29*time.Minute, "2 days 2 h"},
		{60 * time.Hour, "2 days 12 h"},
		{71*time.Hour + 30*time.Minute, "3 days"},
		{72 * time.Hour, "3 days"},
		{math.MaxInt64, "106752 days"},
		{math.MinInt64, "-106752 days"},
	}
	for _, row := range rows {
		require.Equal(t, row.want, quantity.FormatDuration(row.span), "%d ns", row.span)
	}
}

func TestWhatIsPrintedReadsBack(t *testing.T) {
	// The tolerance of each row is half of the last digit printed.
	tenths := []float64{0, 0.04, 0.26, 0.95, 1, 3.94, 3.96, 9.95, 15.97, 22, 119.996, 121, 999.6, 1234.56}
	for _, number := range tenths {
		for _, system := range []quantity.System{quantity.US, quantity.Metric} {
			volume := quantity.Volume(number) * quantity.Cup
			volumeStep := 0.1 * quantity.Quart
			if volume < quantity.Quart {
				volumeStep = 0.1 * quantity.Cup
			}
			if system == quantity.Metric {
				volumeStep = 0.1 * quantity.Litre
				if volume < 0.999*quantity.Litre {
					volumeStep = quantity.Millilitre
				}
			}
			requireReadsBack(t, quantity.ParseVolume, volume, volume.Format(system), volumeStep)

			mass := quantity.Mass(number) * quantity.Ounce
			massStep := 0.1 * quantity.Pound
			if mass < quantity.Pound {
				massStep = 0.1 * quantity.Ounce
			}
			if system == quantity.Metric {
				massStep = 0.1 * quantity.Kilogram
				if mass < 0.999*quantity.Kilogram {
					massStep = quantity.Gram
				}
			}
			requireReadsBack(t, quantity.ParseMass, mass, mass.Format(system), massStep)

			for _, length := range []quantity.Length{quantity.Length(number) * quantity.Inch, -quantity.Length(number) * quantity.Inch} {
				size := max(length, -length)
				lengthStep := 0.1 * quantity.Foot
				if size < 10*quantity.Foot {
					lengthStep = 0.01 * quantity.Inch
				}
				if system == quantity.Metric {
					lengthStep = 0.1 * quantity.Metre
					if size < 2.999*quantity.Metre {
						lengthStep = 0.1 * quantity.Centimetre
					}
					if size < 0.9*quantity.Centimetre {
						lengthStep = 0.1 * quantity.Millimetre
					}
				}
				requireReadsBack(t, quantity.ParseLength, length, length.Format(system), lengthStep)

				// An altitude is printed to be read, not typed: its comma is refused.
				altitude := strings.ReplaceAll(quantity.FormatAltitude(length, system), ",", "")
				requireReadsBack(t, quantity.ParseLength, length, altitude, quantity.Metre)
			}

			pressure := quantity.Pressure(number) * quantity.PSI
			pressureStep := 0.1 * quantity.PSI
			if system == quantity.Metric {
				pressureStep = quantity.Kilopascal
			}
			requireReadsBack(t, quantity.ParsePressure, pressure, pressure.Format(system), pressureStep)

			for _, temperature := range []quantity.Temperature{quantity.Celsius(number), quantity.Fahrenheit(-number / 10)} {
				degree := quantity.Temperature(quantity.FahrenheitChange)
				if system == quantity.Metric {
					degree = quantity.Temperature(quantity.KelvinChange)
				}
				requireReadsBack(t, quantity.ParseTemperature, temperature, temperature.Format(system), degree)
			}
		}
		span := time.Duration(number * float64(7*time.Minute))
		got, err := quantity.ParseDuration(quantity.FormatDuration(span))
		require.NoError(t, err)
		tol := 30 * time.Second
		if span > 48*time.Hour {
			tol = 30 * time.Minute
		}
		require.InDelta(t, span, got, float64(tol))
	}
}

// requireReadsBack fails unless text parses to within half a step of want.
func requireReadsBack[Q ~float64](t *testing.T, parse func(string) (Q, error), want Q, text string, step Q) {
	t.Helper()
	got, err := parse(text)
	require.NoError(t, err)
	require.InDelta(t, float64(want), float64(got), float64(step)/2*(1+1e-9), text)
}

func BenchmarkVolumeBoth(b *testing.B) {
	volume := 13.2 * quantity.Quart
	b.ReportAllocs()
	for b.Loop() {
		_ = volume.Both(quantity.US)
	}
}
