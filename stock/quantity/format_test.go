package quantity_test

import (
	"fmt"
	"math"
	"math/rand/v2"
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
	require.Equal(t, "3,200 ft (975 m)", quantity.AltitudeBoth(3200*quantity.Foot, quantity.US))
	require.Equal(t, "-396 m (-1,300 ft)", quantity.AltitudeBoth(-1300*quantity.Foot, quantity.Metric))
	require.Equal(t, "unknown", quantity.AltitudeBoth(quantity.Length(math.NaN()), quantity.Metric))
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
		{48*time.Hour + 29*time.Minute + 33*time.Second, "2 days"},
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
	// What kitchens and runs can hold, and as much again; the rest of what is drawn
	// lies where a unit or the number of digits changes.
	random := rand.New(rand.NewPCG(11, 2))
	signed := func(most float64) float64 { return math.Round(most*(2*random.Float64()-1)*1e4) / 1e4 }
	size := func(most float64) float64 { return most * math.Pow(random.Float64(), 6) }
	for range 1000 {
		system := quantity.System(random.IntN(2))
		volume := quantity.Volume(size(400)) * quantity.Litre
		requireReadsBack(t, quantity.ParseVolume, volume, system, quantity.Volume.Format, quantity.Volume.Both)
		mass := quantity.Mass(size(200)) * quantity.Kilogram
		requireReadsBack(t, quantity.ParseMass, mass, system, quantity.Mass.Format, quantity.Mass.Both)
		length := quantity.Length(size(20)) * quantity.Metre
		requireReadsBack(t, quantity.ParseLength, length, system, quantity.Length.Format, quantity.Length.Both)
		requireReadsBack(t, quantity.ParseLength, -length, system, quantity.Length.Format, quantity.Length.Both)
		altitude := quantity.Length(signed(12000)) * quantity.Metre
		requireReadsBack(t, quantity.ParseAltitude, altitude, system, quantity.FormatAltitude, quantity.AltitudeBoth)
		temperature := quantity.Celsius(signed(150))
		requireReadsBack(t, quantity.ParseTemperature, temperature, system, quantity.Temperature.Format, quantity.Temperature.Both)
		pressure := quantity.Pressure(size(300)) * quantity.Kilopascal
		requireReadsBack(t, quantity.ParsePressure, pressure, system, quantity.Pressure.Format, quantity.Pressure.Both)

		low := time.Duration(size(float64(100 * time.Hour)))
		ends := strings.Split(quantity.FormatSpan(quantity.Band[time.Duration]{Low: low, High: low + time.Hour}), " to ")
		if !strings.Contains(ends[0], " ") { // the unit is said once
			_, unit, _ := strings.Cut(ends[1], " ")
			ends[0] += " " + unit
		}
		for _, text := range ends {
			span, err := quantity.ParseDuration(text)
			require.NoError(t, err, text)
			again, err := quantity.ParseDuration(quantity.FormatDuration(span))
			require.NoError(t, err, text)
			require.Equal(t, span, again, text) // "2 days" prints again as "48 h"
		}
	}
	for feet := -1700.0; feet <= 30000; feet++ { // every height a plan may be made for
		altitude := quantity.Length(feet) * quantity.Foot
		got, err := quantity.ParseAltitude(quantity.AltitudeBoth(altitude, quantity.US))
		require.NoError(t, err)
		require.Equal(t, altitude, got)
	}
}

func TestAPrintedDurationIsWithinHalfItsLastUnit(t *testing.T) {
	for seconds := 0; seconds < 60*3600; seconds += 17 {
		span := time.Duration(seconds) * time.Second
		got, err := quantity.ParseDuration(quantity.FormatDuration(span))
		require.NoError(t, err)
		half := 30 * time.Second
		if span > 48*time.Hour {
			half = 30 * time.Minute
		}
		require.InDelta(t, span, got, float64(half))
	}
}

// requireReadsBack fails unless what is printed of q in s, alone and with the
// other system in brackets, is read, lies within half of the last digit that a
// number of its length can show, and prints again as it was.
func requireReadsBack[Q ~float64](t *testing.T, parse func(string) (Q, error), q Q, s quantity.System, format, both func(Q, quantity.System) string) {
	t.Helper()
	text := format(q, s)
	for _, written := range []string{text, both(q, s)} {
		got, err := parse(written)
		require.NoError(t, err)
		require.Equal(t, text, format(got, s), written)
		// A whole printed number is known to half of its unit at worst.
		number, unit, _ := strings.Cut(text, " ")
		digits := strings.ReplaceAll(strings.TrimPrefix(number, "-"), ",", "")
		_, decimals, _ := strings.Cut(digits, ".")
		one, err := parse("1 " + unit)
		require.NoError(t, err)
		zero, err := parse("0 " + unit)
		require.NoError(t, err)
		require.InDelta(t, float64(q), float64(got), float64(one-zero)/2*math.Pow10(-len(decimals))*(1+1e-9), written)
	}
}

func BenchmarkVolumeBoth(b *testing.B) {
	volume := 13.2 * quantity.Quart
	b.ReportAllocs()
	for b.Loop() {
		_ = volume.Both(quantity.US)
	}
}

// How the ends of a span are written is common practice, no source.
func TestTheUnitOfASpanIsSaidOnce(t *testing.T) {
	for _, test := range []struct{ low, between, high, want string }{
		{"24 min", "to", "55 min", "24 to 55 min"},
		{"45 min", "to", "1 h 20 min", "45 min to 1 h 20 min"},
		{"1 h", "to", "1 h 30 min", "1 h to 1 h 30 min"},
		{"1 h 5 min", "to", "1 h 30 min", "1 h 5 min to 1 h 30 min"},
		{"0.6 cup", "to", "2 cups", "0.6 to 2 cups"},
		{"12.2 qt", "and", "14.3 qt", "12.2 and 14.3 qt"},
		{"3 cups", "and", "1.1 qt", "3 cups and 1.1 qt"},
		{"never", "to", "never", "never to never"},
	} {
		require.Equal(t, test.want, quantity.Ends(test.low, test.between, test.high))
	}
	deep := quantity.Band[quantity.Length]{Low: 2 * quantity.Inch, High: 3 * quantity.Inch}
	require.Equal(t, "2 to 3 in (5.1 to 7.6 cm)", quantity.SpanBoth(deep, quantity.US))
	require.Equal(t, "5.1 to 7.6 cm (2 to 3 in)", quantity.SpanBoth(deep, quantity.Metric))
	// NIST SP 811: 1 psi is 6.894757 kPa.
	require.Equal(t, "15 psi", (15 * quantity.PSI).Stamped(quantity.US))
	require.Equal(t, "103 kPa (15 psi)", (15 * quantity.PSI).Stamped(quantity.Metric))
}

// Arithmetic, and the scales by definition: 41 °F is 5 °C.
func TestWhatIsPastALimitDoesNotLookLikeIt(t *testing.T) {
	limit := quantity.Fahrenheit(41)
	for _, row := range []struct {
		fahrenheit float64
		want       string
	}{
		{42, "42 °F (6 °C)"}, {41.4, "41.4 °F (5.2 °C)"}, {41.01, "41.01 °F (5.01 °C)"},
		{41.0004, "41.0004 °F (5.0002 °C)"},
		{41, "41 °F (5 °C)"}, {40, "40 °F (4 °C)"},
	} {
		past := quantity.Past{Temperature: quantity.Fahrenheit(row.fahrenheit), Limit: limit}
		if got := past.Both(quantity.US); got != row.want {
			t.Errorf("%g °F is written %s, want %s", row.fahrenheit, got, row.want)
		}
	}
}
