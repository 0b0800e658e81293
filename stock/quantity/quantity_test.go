package quantity_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brothrun/stock/quantity"
)

// The sources below were not at hand when these tables were written: figures
// are from memory of them where they say so.

func TestUnitsHaveTheirDefinedSizes(t *testing.T) {
	rows := []struct {
		name   string
		got    float64 // in SI
		want   float64
		source string
	}{
		{"gallon", quantity.Gallon.CubicMetres(), 3.785411784e-3, "HB44 appendix C, exact, from memory"},
		{"quart", quantity.Quart.CubicMetres(), 0.946352946e-3, "HB44 appendix C, exact, from memory"},
		{"pint", quantity.Pint.CubicMetres(), 0.473176473e-3, "HB44 appendix C, exact, from memory"},
		{"cup", quantity.Cup.CubicMetres(), 236.5882365e-6, "HB44 appendix C: half a pint, exact, from memory"},
		{"fluid ounce", quantity.FluidOunce.CubicMetres(), 29.5735295625e-6, "HB44 appendix C, exact, from memory"},
		{"litre", quantity.Litre.CubicMetres(), 1e-3, "SP811 B.8, exact, from memory"},
		{"millilitre", quantity.Millilitre.CubicMetres(), 1e-6, "SP811 B.8, exact, from memory"},
		{"pound", quantity.Pound.Kilograms(), 0.45359237, "SP811 B.8, exact, from memory"},
		{"ounce", quantity.Ounce.Kilograms(), 0.028349523125, "HB44 appendix C, exact, from memory"},
		{"gram", quantity.Gram.Kilograms(), 1e-3, "SI prefix, exact"},
		{"foot", quantity.Foot.Metres(), 0.3048, "SP811 B.8, exact, from memory"},
		{"inch", quantity.Inch.Metres(), 0.0254, "SP811 B.8, exact, from memory"},
		{"centimetre", quantity.Centimetre.Metres(), 1e-2, "SI prefix, exact"},
		{"millimetre", quantity.Millimetre.Metres(), 1e-3, "SI prefix, exact"},
		{"kilopascal", quantity.Kilopascal.Pascals(), 1e3, "SI prefix, exact"},
		{"kilowatt hour", quantity.KilowattHour.Joules(), 3.6e6, "SP811 B.8, exact, from memory"},
		{"kilojoule", quantity.Kilojoule.Joules(), 1e3, "SI prefix, exact"},
		{"kilowatt", quantity.Kilowatt.Watts(), 1e3, "SI prefix, exact"},
		{"degree Fahrenheit", quantity.FahrenheitChange.Kelvins(), 5.0 / 9.0, "SP811 B.8, exact, from memory"},
		// Second route: one pound under standard gravity, 9.806 65 m/s², on a square inch.
		{"psi", quantity.PSI.Pascals(), 0.45359237 * 9.80665 / (0.0254 * 0.0254), "SP811 B.8, definition of the pound-force, from memory"},
		// Second route: the International Table BTU is set by 1 BTU/lb = 2.326 kJ/kg.
		{"BTU", quantity.BTU.Joules(), 0.45359237 * 2326, "SP811 B.8 footnote 9, exact, from memory"},
	}
	for _, row := range rows {
		t.Run(row.name, func(t *testing.T) {
			require.InEpsilon(t, row.want, row.got, 1e-14, row.source)
		})
	}
}

func TestUnitsMatchTheRoundedFactorsInPrint(t *testing.T) {
	rows := []struct {
		name   string
		got    float64
		want   float64
		tol    float64 // half of the last printed digit
		source string
	}{
		{"gallon in m³", quantity.Gallon.CubicMetres(), 3.785412e-3, 0.5e-9, "SP811 B.8, from memory"},
		{"quart in m³", quantity.Quart.CubicMetres(), 9.463529e-4, 0.5e-10, "SP811 B.8, from memory"},
		{"pint in m³", quantity.Pint.CubicMetres(), 4.731765e-4, 0.5e-10, "SP811 B.8, from memory"},
		{"cup in m³", quantity.Cup.CubicMetres(), 2.365882e-4, 0.5e-10, "SP811 B.8, from memory"},
		{"fluid ounce in m³", quantity.FluidOunce.CubicMetres(), 2.957353e-5, 0.5e-11, "SP811 B.8, from memory"},
		{"ounce in kg", quantity.Ounce.Kilograms(), 2.834952e-2, 0.5e-8, "SP811 B.8, from memory"},
		{"psi in Pa", quantity.PSI.Pascals(), 6.894757e3, 0.5e-3, "SP811 B.8, from memory"},
		{"BTU in J", quantity.BTU.Joules(), 1.055056e3, 0.5e-3, "SP811 B.8, International Table BTU, from memory"},
		{"BTU/h in W", quantity.BTUPerHour.Watts(), 2.930711e-1, 0.5e-7, "SP811 B.8, International Table BTU, from memory"},
		{"standard atmosphere in psi", (101.325 * quantity.Kilopascal).PSI(), 14.696, 0.5e-3, "US Standard Atmosphere, sea level, from memory"},
	}
	for _, row := range rows {
		t.Run(row.name, func(t *testing.T) {
			require.InDelta(t, row.want, row.got, row.tol, row.source)
		})
	}
}

func TestAccessorsReadTheUnitTheyName(t *testing.T) {
	rows := []struct {
		name   string
		got    float64
		want   float64
		source string
	}{
		{"gallon in cubic inches", float64(quantity.Gallon / (1 * quantity.Inch).Times(quantity.Inch).Times(quantity.Inch)), 231, "HB44 appendix C, exact, from memory"},
		{"gallons", (231 * quantity.Inch.Times(quantity.Inch).Times(quantity.Inch)).Gallons(), 1, "HB44 appendix C, exact, from memory"},
		{"quarts of a gallon", quantity.Gallon.Quarts(), 4, "HB44 appendix C, exact, from memory"},
		{"pints of a gallon", quantity.Gallon.Pints(), 8, "HB44 appendix C, exact, from memory"},
		{"cups of a gallon", quantity.Gallon.Cups(), 16, "HB44 appendix C, exact, from memory"},
		{"fluid ounces of a gallon", quantity.Gallon.FluidOunces(), 128, "HB44 appendix C, exact, from memory"},
		{"litres of a gallon", quantity.Gallon.Litres(), 3.785411784, "HB44 appendix C, exact, from memory"},
		{"millilitres of a fluid ounce", quantity.FluidOunce.Millilitres(), 29.5735295625, "HB44 appendix C, exact, from memory"},
		{"ounces of a pound", quantity.Pound.Ounces(), 16, "HB44 appendix C, exact, from memory"},
		{"pounds of a kilogram", quantity.Kilogram.Pounds(), 1 / 0.45359237, "SP811 B.8, exact, from memory"},
		{"grams of a pound", quantity.Pound.Grams(), 453.59237, "SP811 B.8, exact, from memory"},
		{"inches of a foot", quantity.Foot.Inches(), 12, "SP811 B.8, exact, from memory"},
		{"feet of a metre", quantity.Metre.Feet(), 1 / 0.3048, "SP811 B.8, exact, from memory"},
		{"centimetres of an inch", quantity.Inch.Centimetres(), 2.54, "SP811 B.8, exact, from memory"},
		{"millimetres of an inch", quantity.Inch.Millimetres(), 25.4, "SP811 B.8, exact, from memory"},
		{"psi of a psi", (15 * quantity.PSI).PSI(), 15, "identity"},
		{"kilopascals of a psi", quantity.PSI.Kilopascals(), 6.894757293168, "SP811 B.8 definitions worked out, from memory"},
		{"kilojoules of a kilowatt hour", quantity.KilowattHour.Kilojoules(), 3600, "SP811 B.8, exact, from memory"},
		{"kilowatt hours of a kilojoule", (3600 * quantity.Kilojoule).KilowattHours(), 1, "SP811 B.8, exact, from memory"},
		{"kilowatts of a watt", (1500 * quantity.Watt).Kilowatts(), 1.5, "SI prefix, exact"},
		{"BTU/h of a kilowatt", quantity.Kilowatt.BTUPerHour(), 3.6e6 / 1055.05585262, "SP811 B.8, International Table BTU, from memory"},
		{"Fahrenheit degrees of a kelvin", quantity.KelvinChange.FahrenheitDegrees(), 1.8, "SP811 B.8, exact, from memory"},
		{"kilograms a cubic metre of a kilogram a litre", quantity.KilogramPerLitre.KilogramsPerCubicMetre(), 1000, "SI, exact"},
		{"joules of kilojoules a kilogram", float64(2257 * quantity.KilojoulePerKilogram), 2.257e6, "SI prefix, exact"},
		{"kilograms a square metre and second", float64(1.5 * quantity.KilogramPerSquareMetreHour), 1.5 / 3600, "SI, exact"},
		{"litres an hour of a quart an hour", quantity.QuartPerHour.LitresPerHour(), 0.946352946, "HB44 appendix C, exact, from memory"},
		{"quarts an hour", (0.7 * quantity.QuartPerHour).QuartsPerHour(), 0.7, "identity"},
		{"square metres", (6 * quantity.SquareMetre).SquareMetres(), 6, "identity"},
	}
	for _, row := range rows {
		t.Run(row.name, func(t *testing.T) {
			require.InEpsilon(t, row.want, row.got, 1e-12, row.source)
		})
	}
}

func TestTemperatureScalesMeetAtTheirAnchors(t *testing.T) {
	rows := []struct {
		anchor string
		k      float64
		c      float64
		f      float64
		source string
	}{
		{"absolute zero", 0, -273.15, -459.67, "SP811 B.8, exact, from memory"},
		{"the scales cross", 233.15, -40, -40, "SP811 B.8, exact, from memory"},
		{"ice point", 273.15, 0, 32, "SP811 B.8, exact, from memory"},
		{"triple point of water", 273.16, 0.01, 32.018, "ITS-90, exact, from memory"},
		{"cold enough to keep", 278.15, 5, 41, "two-stage cooling rule, 41 °F, in Celsius by SP811 B.8"},
		{"conventional boiling point", 373.15, 100, 212, "SP811 B.8, from memory"},
	}
	// A temperature in kelvins is held to 6e-14 near 300; the scales add a few.
	const tol = 2e-13
	for _, row := range rows {
		t.Run(row.anchor, func(t *testing.T) {
			for built, temperature := range map[string]quantity.Temperature{
				"from K": quantity.Kelvin(row.k), "from °C": quantity.Celsius(row.c), "from °F": quantity.Fahrenheit(row.f),
			} {
				require.InDelta(t, row.k, temperature.Kelvins(), tol, "%s, %s", built, row.source)
				require.InDelta(t, row.c, temperature.Celsius(), tol, "%s, %s", built, row.source)
				require.InDelta(t, row.f, temperature.Fahrenheit(), tol, "%s, %s", built, row.source)
			}
		})
	}
	require.Equal(t, 0.0, quantity.Temperature(0).Kelvins(), "the zero value is absolute zero")
}

func TestTemperaturesAndTheirDistances(t *testing.T) {
	// From the 135 °F of the cooling rule to its 70 °F: 65 Fahrenheit degrees,
	// by 5/9 36.11 K.
	hot, halfway := quantity.Fahrenheit(135), quantity.Fahrenheit(70)
	require.InDelta(t, 65, hot.Above(halfway).FahrenheitDegrees(), 1e-12)
	require.InDelta(t, 325.0/9, hot.Above(halfway).Kelvins(), 1e-12)
	require.InDelta(t, -65, halfway.Above(hot).FahrenheitDegrees(), 1e-12, "below is negative")
	require.InDelta(t, 135, halfway.Plus(65*quantity.FahrenheitChange).Fahrenheit(), 1e-12)
}

func TestQuantitiesCombine(t *testing.T) {
	rows := []struct {
		name   string
		got    float64 // in SI
		want   float64
		source string
	}{
		{"area of a 12 in by 10 in tray", (12 * quantity.Inch).Times(10 * quantity.Inch).SquareMetres(), 120 * 0.0254 * 0.0254, "hand: 120 in²"},
		{"volume of that tray 1 in deep", (12 * quantity.Inch).Times(10 * quantity.Inch).Times(quantity.Inch).Quarts(), 120.0 / 231 * 4, "hand: 120 in³ of 231 in³ a gallon"},
		{"8 kg of ice at 917 kg/m³", (8 * quantity.Kilogram).At(917 * quantity.KilogramPerCubicMetre).Litres(), 8 / 0.917, "hand: 8.724 l"},
		{"2 l at 0.998 kg/l", (0.998 * quantity.KilogramPerLitre).Times(2 * quantity.Litre).Kilograms(), 1.996, "hand: 2 × 0.998 kg"},
		{"1 kW for an hour", quantity.Kilowatt.Over(time.Hour).KilowattHours(), 1, "definition of the kilowatt hour"},
		{"1 BTU/h for an hour", quantity.BTUPerHour.Over(time.Hour).Joules(), 1055.05585262, "SP811 B.8 footnote 9, from memory"},
		{"2 kg at 2257 kJ/kg", (2257 * quantity.KilojoulePerKilogram).Times(2 * quantity.Kilogram).Kilojoules(), 4514, "hand: 2 × 2257 kJ"},
		{"1.5 kg/(m²·h) off 0.2 m² in 4 h", (1.5 * quantity.KilogramPerSquareMetreHour).Through(0.2*quantity.SquareMetre, 4*time.Hour).Kilograms(), 1.2, "hand: 1.5 × 0.2 × 4 kg"},
		{"0.7 qt/h for 4 h", (0.7 * quantity.QuartPerHour).Over(4 * time.Hour).Quarts(), 2.8, "hand: 0.7 × 4 qt"},
		{"50 W/(m²·K), 0.5 m², 20 K", (50 * quantity.WattPerSquareMetreKelvin).Through(0.5*quantity.SquareMetre, 20*quantity.KelvinChange).Watts(), 500, "hand: 50 × 0.5 × 20 W"},
	}
	for _, row := range rows {
		t.Run(row.name, func(t *testing.T) {
			require.InEpsilon(t, row.want, row.got, 1e-12, row.source)
		})
	}
}
