package quantity_test

import (
	"errors"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/stock/quantity"
)

// Expected values are the typed number times the unit's size; the sizes are
// checked against their standards in quantity_test.go.

func TestParseReadsWhatACookTypes(t *testing.T) {
	volume := reading(quantity.ParseVolume)
	mass := reading(quantity.ParseMass)
	length := reading(quantity.ParseLength)
	altitude := reading(quantity.ParseAltitude)
	temperature := reading(quantity.ParseTemperature)
	pressure := reading(quantity.ParsePressure)
	power := reading(quantity.ParsePower)
	energy := reading(quantity.ParseEnergy)
	rate := reading(quantity.ParseVolumeRate)
	rows := []struct {
		parse func(string) (float64, error)
		text  string
		want  float64 // in SI
	}{
		{volume, "22 qt", float64(22 * quantity.Quart)},
		{volume, "22qt", float64(22 * quantity.Quart)},
		{volume, "  22   QT ", float64(22 * quantity.Quart)},
		{volume, "22 qts.", float64(22 * quantity.Quart)},
		{volume, "1 quart", float64(quantity.Quart)},
		{volume, "3 Quarts", float64(3 * quantity.Quart)},
		{volume, "6 1/2 qt", float64(6.5 * quantity.Quart)},
		{volume, "6½ qt", float64(6.5 * quantity.Quart)},
		{volume, "6 ½qt", float64(6.5 * quantity.Quart)},
		{volume, "½ qt", float64(0.5 * quantity.Quart)},
		{volume, "1\u20442 qt", float64(0.5 * quantity.Quart)},
		{volume, "2 gal 1 qt", float64(9 * quantity.Quart)},
		{volume, "2gal1qt", float64(9 * quantity.Quart)},
		{volume, "2 gallons 1 quart 1 pint", float64(9.5 * quantity.Quart)},
		{volume, "2 gal. 1 qt.", float64(9 * quantity.Quart)},
		{volume, "1 gal 1 1/2 qt", float64(5.5 * quantity.Quart)},
		{volume, "3 pt", float64(3 * quantity.Pint)},
		{volume, "3 cups", float64(3 * quantity.Cup)},
		{volume, "1/2 cup", float64(0.5 * quantity.Cup)},
		{volume, "1/3 cup", float64(quantity.Cup / 3)},
		{volume, "8 fl oz", float64(8 * quantity.FluidOunce)},
		{volume, "8 fl. oz.", float64(8 * quantity.FluidOunce)},
		{volume, "8floz", float64(8 * quantity.FluidOunce)},
		{volume, "8 fluid ounces", float64(8 * quantity.FluidOunce)},
		{volume, "7 cu ft", 7 * 0.3048 * 0.3048 * 0.3048}, // a foot is 0.3048 m exactly [SP811 B.8]
		{volume, "7 cubic feet", 7 * 0.3048 * 0.3048 * 0.3048},
		{volume, "1.5 l", float64(1.5 * quantity.Litre)},
		{volume, "1.5L", float64(1.5 * quantity.Litre)},
		{volume, ".5 l", float64(0.5 * quantity.Litre)},
		{volume, "2 litres", float64(2 * quantity.Litre)},
		{volume, "2 liters", float64(2 * quantity.Litre)},
		{volume, "500 ml", float64(500 * quantity.Millilitre)},
		{volume, "500\u00a0mL", float64(500 * quantity.Millilitre)},
		{volume, "0 qt", 0},
		{mass, "9lb", float64(9 * quantity.Pound)},
		{mass, "9 lbs", float64(9 * quantity.Pound)},
		{mass, "1 pound", float64(quantity.Pound)},
		{mass, "9 lb 4 oz", float64(9.25 * quantity.Pound)},
		{mass, "12 ounces", float64(0.75 * quantity.Pound)},
		{mass, "4.1 kg", 4.1},
		{mass, "4 kg 100 g", 4.1},
		{mass, "250 grams", 0.25},
		{length, "12.25in", 12.25 * 0.0254},
		{length, `12 1/4"`, 12.25 * 0.0254},
		{length, "5 ft 3 in", 63 * 0.0254},
		{length, `5' 3"`, 63 * 0.0254},
		{length, `5'3''`, 63 * 0.0254},
		{length, "5\u20323\u2033", 63 * 0.0254},
		{length, "5\u20193\u201d", 63 * 0.0254},
		{length, "3200 feet", 3200 * 0.3048},
		{length, "975m", 975},
		{length, "1 meter 5 centimetres", 1.05},
		{length, "12.5 mm", 0.0125},
		{length, "-280 ft", -280 * 0.3048},
		{length, "\u221286 m", -86},
		{length, "-0 ft", 0},
		{length, "-1 ft 6 in", -18 * 0.0254},
		{temperature, "200F", quantity.Fahrenheit(200).Kelvins()},
		{temperature, "41 °F", quantity.Fahrenheit(41).Kelvins()},
		{temperature, "41°f", quantity.Fahrenheit(41).Kelvins()},
		{temperature, "41 \u00baF", quantity.Fahrenheit(41).Kelvins()},
		{temperature, "41 deg F", quantity.Fahrenheit(41).Kelvins()},
		{temperature, "41 degrees Fahrenheit", quantity.Fahrenheit(41).Kelvins()},
		{temperature, "0 F", quantity.Fahrenheit(0).Kelvins()},
		{temperature, "-10 F", quantity.Fahrenheit(-10).Kelvins()},
		{temperature, "116 C", quantity.Celsius(116).Kelvins()},
		{temperature, "-18 °C", quantity.Celsius(-18).Kelvins()},
		{temperature, "20 celsius", quantity.Celsius(20).Kelvins()},
		{temperature, "277.15 K", 277.15},
		{temperature, "0 K", 0},
		{temperature, "-0 K", 0},
		{pressure, "11 psi", float64(11 * quantity.PSI)},
		{pressure, "76 kpa", 76000},
		{power, "12000 BTU/h", float64(12000 * quantity.BTUPerHour)},
		{power, "12000 btu / hr", float64(12000 * quantity.BTUPerHour)},
		{power, "12000 BTU per hour", float64(12000 * quantity.BTUPerHour)},
		{power, "3.5 kW", 3500},
		{power, "1800 watts", 1800},
		{energy, "2.5 kWh", 9e6},

		// Thousands, where units are counted in whole numbers.
		{altitude, "4,500 ft", float64(4500 * quantity.Foot)},
		{altitude, "4,500ft", float64(4500 * quantity.Foot)},
		{altitude, "1,219 m", 1219},
		{altitude, "-1,300 ft", float64(-1300 * quantity.Foot)},
		{altitude, "3200 ft", float64(3200 * quantity.Foot)},
		{altitude, "3200'", float64(3200 * quantity.Foot)},
		{altitude, "1,234.5 ft", float64(1234.5 * quantity.Foot)},
		{altitude, "45,000 ft", float64(45000 * quantity.Foot)}, // for the range to refuse
		{mass, "1,250 g", 1.25},
		{mass, "12 kg 1,250 g", 13.25},
		{volume, "1,500 ml", 1.5e-3},
		{volume, "1,200.5 ml", 1.2005e-3},
		{power, "12,000 BTU/h", float64(12000 * quantity.BTUPerHour)},
		{power, "3,500 W", 3500},

		// Three decimals that nobody writes for thousands.
		{length, "0.125 in", float64(0.125 * quantity.Inch)},
		{length, "12.250 in", float64(12.25 * quantity.Inch)},
		{length, "3.175 mm", 3.175e-3},
		{mass, "9.250 lb", float64(9.25 * quantity.Pound)},
		{mass, "1.250 kg", 1.25},
		{mass, "0.250 g", 0.25e-3},
		{mass, "453.592 g", 0.453592},         // a pound
		{volume, "946.353 ml", 946.353e-6},    // a quart
		{volume, "0.500 l", 0.5e-3},           // as scales and jugs show it
		{altitude, "975.4 m", 975.4},          // a phone's
		{altitude, "975.36 m", 975.36},        // exactly 3,200 ft
		{altitude, "975.3600 m", 975.36},      // the same, from a table
		{temperature, "4.500 C", 277.65},      // a probe's
		{power, "1.758 kW", 1758},             // 6,000 BTU/h
		{volume, "1,234.567 ml", 1.234567e-3}, // the comma settles it

		// What Both prints: the first, which the second agrees with.
		{mass, "9 lb (4.1 kg)", float64(9 * quantity.Pound)},
		{mass, "4.1 kg (9 lb)", 4.1},
		{volume, "13.2 qt (12.5 l)", float64(13.2 * quantity.Quart)},
		{altitude, "3,200 ft (975 m)", float64(3200 * quantity.Foot)},
		{altitude, "-282 ft (-86 m)", float64(-282 * quantity.Foot)},
		{temperature, "41 °F (5 °C)", float64(quantity.Fahrenheit(41))},
		{mass, "9 lb 4 oz ( 4.2 kg )", float64(148 * quantity.Ounce)},
		{volume, "1/2 cup(118 ml)", float64(quantity.Cup / 2)},
		{energy, "8500 btu", float64(8500 * quantity.BTU)},
		{energy, "900 kJ", 900e3},
		{rate, "0.7 qt/h", float64(0.7 * quantity.QuartPerHour)},
		{rate, "0.7 quarts per hour", float64(0.7 * quantity.QuartPerHour)},
		{rate, "0.66 l/hr", float64(0.66 * quantity.LitrePerHour)},
		{rate, "1/4 gal/h", float64(quantity.QuartPerHour)},
	}
	for _, row := range rows {
		t.Run(row.text, func(t *testing.T) {
			got, err := row.parse(row.text)
			require.NoError(t, err)
			require.InDelta(t, row.want, got, 1e-13*math.Abs(row.want))
			require.False(t, got == 0 && math.Signbit(got), "no negative zero")
		})
	}
}

func TestParseDurationReadsWhatACookTypes(t *testing.T) {
	rows := []struct {
		text string
		want time.Duration
	}{
		{"4h", 4 * time.Hour},
		{"2h30m", 150 * time.Minute},
		{"90m", 90 * time.Minute},
		{"90 min", 90 * time.Minute},
		{"1 h 30 min", 90 * time.Minute},
		{"1 hour 30 minutes", 90 * time.Minute},
		{"1 1/2 hours", 90 * time.Minute},
		{"1.5 hr", 90 * time.Minute},
		{"1/3 h", 20 * time.Minute},
		{"2 days", 48 * time.Hour},
		{"1d 12h", 36 * time.Hour},
		{"45 s", 45 * time.Second},
		{"0 min", 0},
		// The longest time.Duration is 2⁶³−1 ns, 106751.99 days.
		{"106751 days", 106751 * 24 * time.Hour},
	}
	for _, row := range rows {
		t.Run(row.text, func(t *testing.T) {
			got, err := quantity.ParseDuration(row.text)
			require.NoError(t, err)
			require.Equal(t, row.want, got)
		})
	}
}

func TestParseRefusesWhatReadsTwoWaysOrNotAtAll(t *testing.T) {
	volume := reading(quantity.ParseVolume)
	mass := reading(quantity.ParseMass)
	length := reading(quantity.ParseLength)
	altitude := reading(quantity.ParseAltitude)
	temperature := reading(quantity.ParseTemperature)
	pressure := reading(quantity.ParsePressure)
	power := reading(quantity.ParsePower)
	energy := reading(quantity.ParseEnergy)
	rate := reading(quantity.ParseVolumeRate)
	duration := reading(func(text string) (seconds, error) {
		d, err := quantity.ParseDuration(text)
		return seconds(d.Seconds()), err
	})
	const (
		write       = "write a volume such as 6 qt or 5.7 l"
		units       = "units of volume: gal, qt, pt, cup, fl oz, cu ft, l, ml"
		numbers     = "write a number like 6, 6.5, 1/2 or 6 1/2"
		noFractions = "write six and a half as 6 1/2 or 6.5"
		writtenOut  = "write the number out, such as 1500 or 0.5"
		noPoint     = "put a space before the number, and a 0 before a decimal point"
		sumOrder    = "write the largest unit first and each once, such as 2 gal 1 qt"
		noComma     = "write a decimal point and nothing between thousands, such as 1.5 l or 1500 ml"
		thousands   = "has three decimals, as if the point stood between thousands"
		height      = "write an altitude such as 3,200 ft or 975 m"
		heightUnit  = "write an altitude in ft or m, such as 3,200 ft or 975 m"
		fluid       = "write fluid ounces as fl oz, such as 8 fl oz"
	)
	rows := []struct {
		parse        func(string) (float64, error)
		text         string
		reason, hint string
	}{
		{volume, "", "is empty; a volume is needed", write},
		{volume, " \t", "is empty; a volume is needed", write},
		{volume, "22", "has no unit", "write 22 qt or 22 l"},
		{volume, "6 1/2", "has no unit", "write 6 1/2 qt or 6 1/2 l"},
		{volume, "2 gal 1", "has no unit after 1", "give each number its unit, as in 6 qt or 5.7 l"},
		{length, "12", "has no unit", "write 12 in or 12 cm"},
		{altitude, "3200", "has no unit", "write 3200 ft or 3200 m"},
		{altitude, "-280", "has no unit", "write -280 ft or -280 m"},
		{altitude, "4,500", "has no unit", "write 4,500 ft or 4,500 m"},
		{altitude, "4.500", "has no unit", "write 4500 ft or 4500 m"},
		{volume, "1,500", "has no unit", write},
		{temperature, "240", "has no unit", "write 240 F or 240 C"},
		{duration, "90", "has no unit", "write 90 min or 90 h"},

		{length, "-", "does not begin with a number", "write a length such as 12 in or 30 cm"},
		{temperature, "- F", "does not begin with a number", "write a temperature such as 41 F or 5 C"},
		{volume, "NaN qt", "does not begin with a number", write},
		{volume, "Inf l", "does not begin with a number", write},
		{volume, "-inf l", "is negative; a volume is zero or more", write},
		{volume, "qt", "does not begin with a number", write},
		{volume, "1e3 qt", "has a number in exponent or hexadecimal form", writtenOut},
		{volume, "1E3 l", "has a number in exponent or hexadecimal form", writtenOut},
		{volume, "0x10 qt", "has a number in exponent or hexadecimal form", writtenOut},
		{volume, "1_000 ml", "has '_' in it", write},
		{volume, "+2 qt", "has '+' in it", write},
		{volume, "2\nqt", "has '\\n' in it", write},
		{volume, "2\x00qt", "has '\\x00' in it", write},
		{volume, "2 qt\xff", "has '\ufffd' in it", write},
		{volume, "٣ qt", "has '٣' in it", write},

		{volume, "-2 qt", "is negative; a volume is zero or more", write},
		{volume, "-0 qt", "is negative; a volume is zero or more", write},
		{volume, "\u22122 qt", "is negative; a volume is zero or more", write},
		{mass, "-1 lb", "is negative; a weight is zero or more", "write a weight such as 9 lb or 4.1 kg"},
		{pressure, "-1 psi", "is negative; a pressure is zero or more", "write a pressure such as 11 psi or 76 kPa"},
		{power, "-1 W", "is negative; a power is zero or more", "write a power such as 12000 BTU/h or 3.5 kW"},
		{energy, "-1 BTU", "is negative; an energy is zero or more", "write an energy such as 2.5 kWh or 8500 BTU"},
		{rate, "-1 qt/h", "is negative; a volume per hour is zero or more", "write a volume per hour such as 0.7 qt/h or 0.66 l/h"},
		{duration, "-4h", "is negative; a time span is zero or more", "write a time span such as 90 min or 2h30m"},
		{volume, "6-1/2 qt", "has a dash inside", "write one value, such as 6 qt or 5.7 l, and six and a half as 6 1/2"},
		{mass, "9-10 lb", "has a dash inside", "write one value, such as 9 lb or 4.1 kg, and six and a half as 6 1/2"},
		{temperature, "-500 F", "is below absolute zero", "the coldest there is: -459.67 F or -273.15 C"},
		{temperature, "-1 K", "is below absolute zero", "the coldest there is: -459.67 F or -273.15 C"},

		{volume, "1,500 l", "has a comma", "write 1500 l or 1.500 l, because 1,500 reads two ways"},
		{mass, "1,250 kg", "has a comma", "write 1250 kg or 1.250 kg, because 1,250 reads two ways"},
		{mass, "453,592 g", "has a comma", "write 453592 g or 453.592 g, because 453,592 reads two ways"},
		{length, "12,250 in", "has a comma", "write 12250 in or 12.250 in, because 12,250 reads two ways"},
		{length, "-1,300 ft", "has a comma", "write -1300 ft or -1.300 ft, because 1,300 reads two ways"},
		{duration, "1,5 h", "has a comma", "write 1.5 h"},
		{temperature, "-4,5 C", "has a comma", "write -4.5 C"},
		{mass, "0,500 g", "has a comma", "write 0.500 g"},
		{mass, "1,25 g", "has a comma", "write 1.25 g"},
		{altitude, "4,50 ft", "has a comma", height},
		{altitude, "4,5 ft", "has a comma", height},
		{altitude, "4,5000 ft", "has a comma", height},
		{altitude, "0,975 m", "has a comma", height},
		{altitude, "4.500,0 ft", "has a comma", height},
		{altitude, "4,500, ft", "has a comma", height},
		{altitude, "4,500 ft, ", "has a comma", height},

		{altitude, "4.500 ft", thousands, "write 4500 ft"},
		{altitude, "4.500ft", thousands, "write 4500ft"},
		{altitude, "-1.300 ft", thousands, "write -1300 ft"},
		{altitude, "1.219 m", thousands, "write 1219 m"},
		{altitude, "0.975 m", thousands, "write 975 m"},
		{altitude, ".975 m", thousands, "write 975 m"},
		{altitude, "975.362 m", thousands, "write 975 m"},
		{altitude, "1234.567 ft", thousands, "write 1235 ft"},
		{altitude, "4,500.000 ft", thousands, "write 4500 ft"},
		{altitude, "4.500 ft (1,372 m)", thousands, "write 4500 ft"},
		{mass, "1.250 g", thousands, "write 1250 g or 1.25 g"},
		{mass, "1 kg 1.250 g", thousands, "write 1 kg 1250 g or 1 kg 1.25 g"},
		{mass, "100.000 g", thousands, "write 100000 g or 100 g"},
		{volume, "15.000 ml", thousands, "write 15000 ml or 15 ml"},
		{power, "12.000 BTU/h", thousands, "write 12000 BTU/h or 12 BTU/h"},
		{power, "1.758 W", thousands, "write 1758 W or 1.76 W"},

		{altitude, "3200 in", "is not in feet or metres", heightUnit},
		{altitude, "3200mm", "is not in feet or metres", heightUnit},
		{altitude, "3 km", "is not in feet or metres", heightUnit},
		{altitude, "5 ft 3 in", "is not in feet or metres", heightUnit},
		{altitude, "4'500 ft", "is more than one value", height},
		{altitude, "4 500 ft", "has two numbers in a row", "write one number before each unit, without spaces inside it"},
		{altitude, "3200 qt", "is a volume; an altitude is needed", height},

		{mass, "9 lb (5 kg)", "says two things, 9 lb and 5 kg", "write only the one that is right, 9 lb or 5 kg"},
		{mass, "9.0 lb (4.2 kg)", "says two things, 9.0 lb and 4.2 kg", "write only the one that is right, 9.0 lb or 4.2 kg"},
		{altitude, "3,200 ft (3,200 m)", "says two things, 3,200 ft and 3,200 m", "write only the one that is right, 3,200 ft or 3,200 m"},
		{altitude, "-282 ft (86 m)", "says two things, -282 ft and 86 m", "write only the one that is right, -282 ft or 86 m"},
		{temperature, "38 °F (38 °C)", "says two things, 38 °F and 38 °C", "write only the one that is right, 38 °F or 38 °C"},
		{mass, "9 lb (4.1)", `has brackets that cannot be read: "4.1" has no unit`, "write only 9 lb"},
		{mass, "9 lb (big ones)", `has brackets that cannot be read: "big ones" does not begin with a number`, "write only 9 lb"},
		{mass, "9 lb ()", `has brackets that cannot be read: "" is empty; a weight is needed`, "write only 9 lb"},
		{mass, "(4.1 kg)", "is empty; a weight is needed", "write a weight such as 9 lb or 4.1 kg"},
		{mass, "9 lb (4.1 kg", "has '(' in it", "write a weight such as 9 lb or 4.1 kg"},
		{mass, "9 lb (4.1 kg) 4 oz", "has '(' in it", "write a weight such as 9 lb or 4.1 kg"},

		{volume, "1,5 l", "has a comma", "write 1.5 l"},
		{volume, "0,500 l", "has a comma", "write 0.500 l"},
		{volume, "1234,567 ml", "has a comma", "write 1234.567 ml"},
		{length, "-1,5 m", "has a comma", "write -1.5 m"},
		{volume, ",5 l", "has a comma", noComma},
		{volume, "1,234,567 ml", "has a comma", noComma},
		{volume, "1,200.5 l", "has a comma", noComma},
		{volume, "1.200,5 ml", "has a comma", noComma},
		{volume, "2 gal, 1 qt", "has a comma", noComma},

		{volume, "5 qx", `has an unknown unit, "qx"`, "did you mean qt? " + units},
		{volume, "5 quartz", `has an unknown unit, "quartz"`, "did you mean quart? " + units},
		{volume, "5 litters", `has an unknown unit, "litters"`, "did you mean liters? " + units},
		{volume, "5 dl", `has an unknown unit, "dl"`, units},
		{volume, "5 imperial pints", `has an unknown unit, "imperial pints"`, units},
		{volume, "1 / 2 qt", "has two numbers in a row", "write one number before each unit, without spaces inside it"},
		{mass, "5 onces", `has an unknown unit, "onces"`, "did you mean ounces? units of mass: lb, oz, kg, g"},
		{temperature, "20 degrees", "does not name the scale", "write F or C after the degrees"},
		{temperature, "20°", "does not name the scale", "write F or C after the degrees"},

		{volume, "9 lb", "is a weight; a volume is needed", write},
		{volume, "9 lb 4 oz", "has 9 lb in it, which is a weight; a volume is needed", write},
		{volume, "3 m", "is a length; a volume is needed", write},
		{volume, "3 qt/h", "is a volume per hour; a volume is needed", write},
		{volume, "8 oz", "uses oz, which is a weight; a volume is needed", fluid},
		{volume, "8 ounces", "uses oz, which is a weight; a volume is needed", fluid},
		{volume, "1 cup 4 oz", "uses oz, which is a weight; a volume is needed", fluid},
		{volume, "3 c", "uses c, which is not read as cups", "write cups out, such as 3 cups"},
		{volume, "3 C", "uses c, which is not read as cups", "write cups out, such as 3 cups"},
		{mass, "6 qt", "is a volume; a weight is needed", "write a weight such as 9 lb or 4.1 kg"},
		{length, "4 h", "is a time span; a length is needed", "write a length such as 12 in or 30 cm"},
		{pressure, "10 lb", "is a weight; a pressure is needed", "write a pressure such as 11 psi or 76 kPa"},
		{power, "12000 BTU", "is an energy; a power is needed", "write a power such as 12000 BTU/h or 3.5 kW"},
		{energy, "3 kW", "is a power; an energy is needed", "write an energy such as 2.5 kWh or 8500 BTU"},
		{rate, "0.7 qt", "is a volume; a volume per hour is needed", "write a volume per hour such as 0.7 qt/h or 0.66 l/h"},
		{duration, "4 qt", "is a volume; a time span is needed", "write a time span such as 90 min or 2h30m"},

		{volume, "61/2 qt", "has the fraction 61/2, which is not below one", noFractions},
		{volume, "6 3/2 qt", "has the fraction 3/2, which is not below one", noFractions},
		{volume, "1/0 qt", "has the fraction 1/0, which is not below one", noFractions},
		{volume, "0/0 qt", "has the fraction 0/0, which is not below one", noFractions},
		{volume, "6.5 1/2 qt", `has a number that cannot be read, "6.5 1/2"`, numbers},
		{volume, "6 ½½ qt", `has a number that cannot be read, "6  1/2  1/2"`, numbers},
		{volume, "½1 qt", "has two numbers in a row", "write one number before each unit, without spaces inside it"},
		{volume, "1/2/3 qt", `has a number that cannot be read, "1/2/3"`, numbers},
		{volume, "1.2.3 l", `has a number that cannot be read, "1.2.3"`, numbers},
		{volume, "5. l", `has a number that cannot be read, "5."`, numbers},
		{volume, ".", `has a number that cannot be read, "."`, numbers},
		{volume, "3 200 ml", "has two numbers in a row", "write one number before each unit, without spaces inside it"},
		{mass, "1 lb.5 oz", "has a point between a unit and a number", noPoint},
		{volume, "2 gal .5 qt", "has a point between a unit and a number", noPoint},

		{volume, "1 qt 2 gal", "does not go from large to small units", sumOrder},
		{volume, "1 qt 1 qt", "does not go from large to small units", sumOrder},
		{duration, "30m 2h", "does not go from large to small units", "write the largest unit first and each once, such as 1 h 30 min"},
		{temperature, "40 F 20 C", "is more than one value", "write a temperature such as 41 F or 5 C"},
		{pressure, "10 psi 5 kPa", "is more than one value", "write a pressure such as 11 psi or 76 kPa"},

		{duration, "106752 days", "is too long", "the longest time span is 292 years"},
		{duration, strings.Repeat("9", 60) + " d", "is too long", "the longest time span is 292 years"},
		{volume, strings.Repeat("9", 400) + " qt", "is longer than 64 characters", write},
	}
	for _, row := range rows {
		t.Run(row.text, func(t *testing.T) {
			got, err := row.parse(row.text)
			var refused *quantity.ParseError
			require.ErrorAs(t, err, &refused)
			assert.Equal(t, row.reason, refused.Reason)
			assert.Equal(t, row.hint, refused.Hint)
			assert.Equal(t, row.text, refused.Text)
			assert.Zero(t, got)
		})
	}
}

func TestParseErrorQuotesTheTextAndLeavesTheHintOut(t *testing.T) {
	_, err := quantity.ParseVolume("9 lb")
	require.EqualError(t, err, `"9 lb" is a weight; a volume is needed`)
	var refused *quantity.ParseError
	require.ErrorAs(t, err, &refused)
	require.Equal(t, "volume", refused.Kind)

	_, err = quantity.ParseVolume("2 qt\x1b[31m")
	require.EqualError(t, err, `"2 qt\x1b[31m" has '\x1b' in it`, "nothing reaches a terminal raw")

	_, err = quantity.ParseVolume(strings.Repeat("9", 1e6))
	require.EqualError(t, err, `"`+strings.Repeat("9", 64)+`..." is longer than 64 characters`)
}

func TestTheLongestNumberReadIsFinite(t *testing.T) {
	volume, err := quantity.ParseVolume(strings.Repeat("9", 60) + " gal")
	require.NoError(t, err)
	require.False(t, math.IsInf(volume.Litres(), 0))
}

func TestParseSystem(t *testing.T) {
	for text, want := range map[string]quantity.System{
		"us": quantity.US, "US": quantity.US, "metric": quantity.Metric, " Metric ": quantity.Metric,
	} {
		got, err := quantity.ParseSystem(text)
		require.NoError(t, err, text)
		require.Equal(t, want, got, text)
	}
	_, err := quantity.ParseSystem("imperial")
	require.EqualError(t, err, `"imperial" is not a system of units`)
	var refused *quantity.ParseError
	require.ErrorAs(t, err, &refused)
	require.Equal(t, "write us or metric", refused.Hint)
}

func FuzzParseVolume(f *testing.F) {
	for _, text := range []string{"22 qt", "6 1/2 qt", "2 gal 1 qt", ".5 l", "½ cup", "1,500 ml", "1e9 l", "-1 qt", "8 oz", "61/2 qt", "1 lb.5 oz", "\xff", "1.500 ml", "13.2 qt (12.5 l)", "1 qt (1,5 l)", "1,2,3 l"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		volume, err := quantity.ParseVolume(text)
		requireSound(t, text, volume.CubicMetres(), err, 0)
	})
}

func FuzzParseOthers(f *testing.F) {
	for _, text := range []string{"9 lb 4 oz", `5' 3"`, "-280 ft", "41 °F", "-18 C", "11 psi", "12000 btu/h", "2.5 kWh", "0.7 qt per hour", "1h30m", "3 days", "us", "4,500 ft", "4.500 ft", "0.975 m", "3,200 ft (975 m)", "-1,300'", "1,250 g", "41 °F (5 °C)", "1,5 h", "12,000 BTU/h", "(("} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		mass, err := quantity.ParseMass(text)
		requireSound(t, text, mass.Kilograms(), err, 0)
		length, err := quantity.ParseLength(text)
		requireSound(t, text, length.Metres(), err, -math.MaxFloat64)
		altitude, err := quantity.ParseAltitude(text)
		requireSound(t, text, altitude.Metres(), err, -math.MaxFloat64)
		temperature, err := quantity.ParseTemperature(text)
		requireSound(t, text, temperature.Kelvins(), err, 0)
		pressure, err := quantity.ParsePressure(text)
		requireSound(t, text, pressure.Pascals(), err, 0)
		power, err := quantity.ParsePower(text)
		requireSound(t, text, power.Watts(), err, 0)
		energy, err := quantity.ParseEnergy(text)
		requireSound(t, text, energy.Joules(), err, 0)
		rate, err := quantity.ParseVolumeRate(text)
		requireSound(t, text, rate.LitresPerHour(), err, 0)
		duration, err := quantity.ParseDuration(text)
		requireSound(t, text, duration.Seconds(), err, 0)
		_, err = quantity.ParseSystem(text)
		requireSound(t, text, 0, err, 0)
	})
}

// requireSound fails unless value is finite and at least least, or err says why
// there is none.
func requireSound(t *testing.T, text string, value float64, err error, least float64) {
	t.Helper()
	if err != nil {
		var refused *quantity.ParseError
		if !errors.As(err, &refused) || refused.Reason == "" || refused.Hint == "" || value != 0 {
			t.Fatalf("%q: %v with %v, want a *ParseError with reason and hint, and 0", text, err, value)
		}
		return
	}
	if math.IsNaN(value) || math.IsInf(value, 0) || value < least {
		t.Fatalf("%q = %v, want a finite value not below %v", text, value, least)
	}
}

// seconds lets a time span stand in a table of floats.
type seconds float64

// reading makes one kind of Parse function of them all.
func reading[Q ~float64](parse func(string) (Q, error)) func(string) (float64, error) {
	return func(text string) (float64, error) {
		q, err := parse(text)
		return float64(q), err
	}
}

func BenchmarkParseVolume(b *testing.B) {
	for _, text := range []string{"22 qt", "2 gal 1 1/2 qt"} {
		b.Run(text, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := quantity.ParseVolume(text); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
