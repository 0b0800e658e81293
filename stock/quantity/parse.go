package quantity

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"
	"unicode"

	"github.com/agnivade/levenshtein"
)

// ParseError says why a text is not the quantity that was asked for.
type ParseError struct {
	Text   string // what was typed
	Kind   string // what was asked for, such as "volume"
	Reason string // what is wrong, worded to follow the quoted text: "has no unit"
	Hint   string // the next step, for a line of its own: "write 22 qt or 22 l"
	Number string // the number, as it should be written, where nothing but its unit is missing
}

// Error returns the offending text, quoted and cut short when long, and the
// reason. The hint is left for the caller to print.
func (e *ParseError) Error() string {
	text := e.Text
	if len(text) > longestText {
		text = text[:longestText] + "..."
	}
	return fmt.Sprintf("%q %s", text, e.Reason)
}

// longestText is the most bytes of text a Parse function reads. Nothing a cook
// means is longer, and so short a number cannot overflow a float64.
const longestText = 64

// unit is a unit by the names cooks give it, in lower case and without points.
type unit struct {
	names []string
	size  float64 // in the SI unit of its kind; for a temperature, of one degree
}

// kind is what one Parse function reads.
type kind struct {
	name       string    // for ParseError.Kind
	words      string    // with its article, for sentences
	such       string    // an example in both systems
	bare       [2]string // the units to suggest for a bare number
	sum        string    // an example of a sum of units; empty where there are none
	signed     bool      // a leading minus is read
	coarse     bool      // nobody knows it to a thousandth: three decimals are never read
	units      []unit    // the usual abbreviation is the first name of each
	misleading map[string]misleading

	// whole names the units cooks count in whole numbers, and the most of each
	// that is met in a kitchen (common practice, no source). Up to there a comma
	// before three digits stands between thousands (1,250 g), and a point before
	// three digits is a slip of that comma (1.250 g), which would be read a
	// thousandth of what was meant. Above, and in other units (0.125 in, 9.250 lb,
	// 1.250 kg, 946.353 ml), a thousand times as much is no kitchen's, so that
	// three decimals are read as they stand and a comma, which may be either, is not.
	whole map[string]float64
}

// misleading is a unit that means something else than the cook seems to.
type misleading struct{ reason, hint string }

var (
	weightOunce = misleading{"uses oz, which is a weight; a volume is needed",
		"write fluid ounces as fl oz, such as 8 fl oz"}
	notOfPlaces = misleading{"is not in feet or metres", "write an altitude in ft or m, such as 3,200 ft or 975 m"}
	noScale     = misleading{"does not name the scale", "write F or C after the degrees"}
)

var (
	volumes = kind{
		name: "volume", words: "a volume", such: "6 qt or 5.7 l", bare: [2]string{"qt", "l"}, sum: "2 gal 1 qt",
		units: []unit{
			{[]string{"gal", "gals", "gallon", "gallons"}, float64(Gallon)},
			{[]string{"qt", "qts", "quart", "quarts"}, float64(Quart)},
			{[]string{"pt", "pts", "pint", "pints"}, float64(Pint)},
			{[]string{"cup", "cups"}, float64(Cup)},
			{[]string{"fl oz", "floz", "fl ozs", "fluid ounce", "fluid ounces"}, float64(FluidOunce)},
			{[]string{"cu ft", "cubic foot", "cubic feet", "ft3"}, float64(CubicFoot)},
			{[]string{"l", "litre", "litres", "liter", "liters"}, float64(Litre)},
			{[]string{"ml", "millilitre", "millilitres", "milliliter", "milliliters"}, float64(Millilitre)},
		},
		misleading: map[string]misleading{
			"oz":     weightOunce,
			"ounce":  weightOunce,
			"ounces": weightOunce,
			"c":      {"uses c, which is not read as cups", "write cups out, such as 3 cups"},
		},
		whole: map[string]float64{"ml": 200_000},
	}
	masses = kind{
		name: "mass", words: "a weight", such: "9 lb or 4.1 kg", bare: [2]string{"lb", "kg"}, sum: "9 lb 4 oz",
		units: []unit{
			{[]string{"lb", "lbs", "pound", "pounds"}, float64(Pound)},
			{[]string{"oz", "ounce", "ounces"}, float64(Ounce)},
			{[]string{"kg", "kilogram", "kilograms"}, float64(Kilogram)},
			{[]string{"g", "gram", "grams"}, float64(Gram)},
		},
		whole: map[string]float64{"g": 100_000},
	}
	lengths = kind{
		name: "length", words: "a length", such: "12 in or 30 cm", bare: [2]string{"in", "cm"}, sum: "5 ft 3 in",
		signed: true,
		units: []unit{
			{[]string{"ft", "'", "foot", "feet"}, float64(Foot)},
			{[]string{"in", `"`, "inch", "inches"}, float64(Inch)},
			{[]string{"m", "metre", "metres", "meter", "meters"}, float64(Metre)},
			{[]string{"cm", "centimetre", "centimetres", "centimeter", "centimeters"}, float64(Centimetre)},
			{[]string{"mm", "millimetre", "millimetres", "millimeter", "millimeters"}, float64(Millimetre)},
		},
	}
	altitudes = kind{
		name: "altitude", words: "an altitude", such: "3,200 ft or 975 m", bare: [2]string{"ft", "m"}, signed: true,
		coarse: true,
		units: []unit{
			{[]string{"ft", "'", "foot", "feet"}, float64(Foot)},
			{[]string{"m", "metre", "metres", "meter", "meters"}, float64(Metre)},
		},
		misleading: map[string]misleading{
			"in": notOfPlaces, "inch": notOfPlaces, "inches": notOfPlaces, `"`: notOfPlaces,
			"cm": notOfPlaces, "mm": notOfPlaces, "km": notOfPlaces, "mi": notOfPlaces, "yd": notOfPlaces,
		},
		whole: map[string]float64{"ft": 30_000, "m": 9144},
	}
	temperatures = kind{
		name: "temperature", words: "a temperature", such: "41 F or 5 C", bare: [2]string{"F", "C"}, signed: true,
		units: []unit{
			{append([]string{"F", "fahrenheit"}, degrees("f", "fahrenheit")...), float64(FahrenheitChange)},
			{append([]string{"C", "celsius"}, degrees("c", "celsius")...), float64(KelvinChange)},
			{[]string{"K", "kelvin", "kelvins"}, float64(KelvinChange)},
		},
		misleading: map[string]misleading{
			"°":       noScale,
			"deg":     noScale,
			"degree":  noScale,
			"degrees": noScale,
		},
	}
	pressures = kind{
		name: "pressure", words: "a pressure", such: "11 psi or 76 kPa", bare: [2]string{"psi", "kPa"},
		units: []unit{
			{[]string{"psi"}, float64(PSI)},
			{[]string{"kPa"}, float64(Kilopascal)},
		},
	}
	powers = kind{
		name: "power", words: "a power", such: "12000 BTU/h or 3.5 kW", bare: [2]string{"BTU/h", "W"},
		units: []unit{
			{[]string{"BTU/h", "btu/hr", "btu/hour", "btuh"}, float64(BTUPerHour)},
			{[]string{"kW", "kilowatt", "kilowatts"}, float64(Kilowatt)},
			{[]string{"W", "watt", "watts"}, float64(Watt)},
		},
		whole: map[string]float64{"BTU/h": 200_000, "W": 50_000},
	}
	energies = kind{
		name: "energy", words: "an energy", such: "2.5 kWh or 8500 BTU", bare: [2]string{"BTU", "kWh"},
		units: []unit{
			{[]string{"BTU", "btus"}, float64(BTU)},
			{[]string{"kWh", "kilowatt hour", "kilowatt hours"}, float64(KilowattHour)},
			{[]string{"kJ", "kilojoule", "kilojoules"}, float64(Kilojoule)},
		},
	}
	volumeRates = kind{
		name: "volume rate", words: "a volume per hour", such: "0.7 qt/h or 0.66 l/h", bare: [2]string{"qt/h", "l/h"},
		units: perHour(volumes.units),
	}
	durations = kind{
		name: "duration", words: "a time span", such: "90 min or 2h30m", bare: [2]string{"min", "h"}, sum: "1 h 30 min",
		units: []unit{
			{[]string{"d", "day", "days"}, 24 * time.Hour.Seconds()},
			{[]string{"h", "hr", "hrs", "hour", "hours"}, time.Hour.Seconds()},
			{[]string{"min", "m", "mins", "minute", "minutes"}, time.Minute.Seconds()},
			{[]string{"s", "sec", "secs", "second", "seconds"}, 1},
		},
	}
)

// everyKind is where the unit of another kind is looked for, the likelier
// meaning of a shared name (m) first.
var everyKind = []*kind{&volumes, &masses, &lengths, &temperatures, &pressures, &powers, &energies, &volumeRates,
	&durations}

// degrees returns the ways to write degrees of a scale.
func degrees(scales ...string) []string {
	var all []string
	for _, scale := range scales {
		for _, degree := range []string{"°", "° ", "deg", "deg ", "degree ", "degrees "} {
			all = append(all, degree+scale)
		}
	}
	return all
}

// perHour returns each unit of volume an hour.
func perHour(volumes []unit) []unit {
	rates := make([]unit, len(volumes))
	for i, v := range volumes {
		for _, hour := range []string{"/h", "/hr", "/hour"} {
			for _, name := range v.names {
				rates[i].names = append(rates[i].names, name+hour)
			}
		}
		rates[i].size = v.size / time.Hour.Seconds()
	}
	return rates
}

// ParseVolume returns the volume a cook wrote: "22 qt", "1.5 l", "6 1/2 qt",
// "2 gal 1 qt", "8 fl oz", "1,500 ml", "13.2 qt (12.5 l)". Gallons and their parts
// are US liquid measure. Any case and full names are read; a bare c or oz is
// refused, because it does not say which measure. The result is finite and not
// negative.
//
// All Parse functions share these rules. Whatever Format and Both print is read
// back, to the printed digits.
//
//   - A fraction below one (1/2), alone or after a whole number; the units of a sum
//     from large to small.
//   - A comma stands only between thousands, and only in units counted in whole
//     numbers (g, ml, W, BTU/h, and the ft and m of an altitude): 1,500 l reads two
//     ways. One before other than three digits (1,5 h) is refused too, with the
//     text to write instead: a cook who mistyped 1,500 as 1,50 must not get 1.5.
//   - Three decimals in those units are refused, because 1.250 g is likelier 1,250 g
//     with a point for its comma. Other units take them: 0.125 in, 9.250 lb.
//   - A second value in brackets, as Both prints it, says the same again: "9 lb
//     (4.1 kg)" is 9 lb. It is refused when the two differ by more than the digits
//     written allow, since then one of them is a slip and nothing tells which.
//
// They return a *ParseError, and the zero value with it.
func ParseVolume(text string) (Volume, error) { return parse[Volume](&volumes, text) }

// ParseMass returns the weight a cook wrote: "9 lb", "9 lb 4 oz", "4.1 kg",
// "250 g", "9 lb (4.1 kg)". The result is finite and not negative. Errors as for
// ParseVolume.
func ParseMass(text string) (Mass, error) { return parse[Mass](&masses, text) }

// ParseLength returns the length a cook wrote: "12.25in", "5 ft 3 in", "31 cm",
// "12 in (30.5 cm)". A leading minus is read; whoever needs a size checks the
// sign. For the height of a place use ParseAltitude. Errors as for ParseVolume.
func ParseLength(text string) (Length, error) { return parse[Length](&lengths, text) }

// ParseAltitude returns the height above the sea that a cook wrote, in feet or
// metres and no other unit: "3200 ft", "4,500 ft", "975 m", "3,200 ft (975 m)". A
// leading minus is read, since places lie below the sea. Too low an altitude is
// too low a pressure, so exactly three decimals are refused whatever the number:
// "4.500 ft" and "1.219 m" are thousands with a point for the comma, and nobody
// knows a height to the thousandth. One or two decimals (a phone's "975.4 m") are
// read. Errors as for ParseVolume.
func ParseAltitude(text string) (Length, error) { return parse[Length](&altitudes, text) }

// ParseTemperature returns the temperature a cook wrote: "200F", "41 °F",
// "deg" before the letter, "-18 C", "277 K", "41 °F (5 °C)". Below absolute zero
// is an error. A slip of the scale reads as well as what was meant: the caller's
// range and what it prints in both scales are what tells. Errors as for
// ParseVolume.
func ParseTemperature(text string) (Temperature, error) {
	t, err := temperatures.read(text, func(parts []part) float64 {
		switch parts[0].unit.names[0] {
		case "F":
			return float64(Fahrenheit(parts[0].value))
		case "C":
			return float64(Celsius(parts[0].value))
		}
		return parts[0].value
	})
	if err == nil && t < 0 {
		return 0, temperatures.refuse(text, "is below absolute zero", "the coldest there is: -459.67 F or -273.15 C")
	}
	return Temperature(t), err
}

// ParsePower returns the power a cook wrote: "12,000 BTU/h", "3.5 kW", "1800 W".
// The result is finite and not negative. Errors as for ParseVolume.
func ParsePower(text string) (Power, error) { return parse[Power](&powers, text) }

// ParseVolumeRate returns the volume per hour a cook wrote: "0.7 qt/h",
// "0.66 l/h", "1 cup per hour". The result is finite and not negative. Errors
// as for ParseVolume.
func ParseVolumeRate(text string) (VolumeRate, error) { return parse[VolumeRate](&volumeRates, text) }

// ParseDuration returns the time span a cook wrote: "4h", "2h30m", "90 min",
// "1 h 30 min", "1 1/2 hours", "3 days"; m is minutes. It is not negative and
// at most 292 years. Errors as for ParseVolume.
func ParseDuration(text string) (time.Duration, error) {
	seconds, err := parse[float64](&durations, text)
	if err != nil {
		return 0, err
	}
	nanoseconds := math.Round(seconds * float64(time.Second))
	// The float64 of MaxInt64 is one above it, so equal is already too long.
	if nanoseconds >= math.MaxInt64 {
		return 0, durations.refuse(text, "is too long", "the longest time span is 292 years")
	}
	return time.Duration(nanoseconds), nil
}

// System is the system of units that stands first in what a cook reads.
type System int

// The systems of units.
const (
	US System = iota
	Metric
)

// ParseSystem returns the system named "us" or "metric", in any case; otherwise
// a *ParseError.
func ParseSystem(text string) (System, error) {
	switch strings.ToLower(strings.TrimSpace(text)) {
	case "us":
		return US, nil
	case "metric":
		return Metric, nil
	}
	return US, &ParseError{Text: text, Kind: "unit system", Reason: "is not a system of units", Hint: "write us or metric"}
}

// parse returns the sum of the parts of text.
func parse[Q ~float64](k *kind, text string) (Q, error) {
	total, err := k.read(text, func(parts []part) (total float64) {
		for _, part := range parts {
			total += part.value * part.unit.size
		}
		return total
	})
	return Q(total), err
}

// part is one number with its unit.
type part struct {
	value float64
	step  float64 // the worth of one in the last digit written, or of one fraction
	unit  *unit
}

// plain rewrites what phones and word processors put in place of what a
// keyboard types.
var plain = strings.NewReplacer(
	"½", " 1/2 ", "⅓", " 1/3 ", "⅔", " 2/3 ", "¼", " 1/4 ", "¾", " 3/4 ",
	"⅛", " 1/8 ", "⅜", " 3/8 ", "⅝", " 5/8 ", "⅞", " 7/8 ", "\u2044", "/",
	"''", `"`, "\u2032", "'", "\u2019", "'", "\u2033", `"`, "\u201d", `"`, "\u2212", "-",
	"\u00ba", "°", "\u00a0", " ", "\u202f", " ", "\t", " ",
)

// read returns the quantity of text in the SI unit of k, inSI being that of its
// parts, and checks a second one in brackets against it.
func (k *kind) read(text string, inSI func([]part) float64) (float64, error) {
	if len(text) > longestText {
		return 0, k.refuse(text, fmt.Sprintf("is longer than %d characters", longestText), k.example())
	}
	first := strings.TrimSpace(plain.Replace(text))
	again, hasAgain := "", false
	if inBrackets, ends := strings.CutSuffix(first, ")"); ends {
		if before, after, opens := strings.Cut(inBrackets, "("); opens {
			first, again, hasAgain = strings.TrimSpace(before), strings.TrimSpace(after), true
		}
	}
	parts, err := k.split(text, first)
	if err != nil {
		return 0, err
	}
	value := inSI(parts)
	if !hasAgain {
		return value, nil
	}
	other, err := k.split(again, again)
	if err != nil {
		return 0, k.refuse(text, "has brackets that cannot be read: "+err.Error(), "write only "+first)
	}
	last, otherLast := parts[len(parts)-1], other[len(other)-1]
	apart := (last.step*last.unit.size + otherLast.step*otherLast.unit.size) / 2
	if math.Abs(value-inSI(other)) > apart*(1+1e-9) {
		return 0, k.refuse(text, fmt.Sprintf("says two things, %s and %s", first, again),
			fmt.Sprintf("write only the one that is right, %s or %s", first, again))
	}
	return value, nil
}

// split returns the parts of rest, which is text in plain characters or a part of
// it, at least one, and checks all but the size of the result.
func (k *kind) split(text, rest string) ([]part, error) {
	if rest == "" {
		return nil, k.refuse(text, "is empty; "+k.words+" is needed", k.example())
	}
	minus := ""
	if after, negative := strings.CutPrefix(rest, "-"); negative {
		if !k.signed {
			return nil, k.refuse(text, "is negative; "+k.words+" is zero or more", k.example())
		}
		minus, rest = "-", after
	}
	if err := k.strange(text, rest); err != nil {
		return nil, err
	}
	written := rest
	var parts []part
	for len(parts) == 0 || rest != "" {
		end := strings.IndexFunc(rest, func(r rune) bool { return !strings.ContainsRune("0123456789.,/ ", r) })
		if end < 0 {
			end = len(rest)
		}
		number := strings.TrimSpace(rest[:end])
		rest = rest[end:]
		if number == "" {
			return nil, k.refuse(text, "does not begin with a number", k.example())
		}
		digits, grouped := ungrouped(number)
		if strings.Contains(digits, ",") {
			return nil, k.refuse(text, "has a comma", k.withoutComma(minus, written))
		}
		value, step, reason, hint := readNumber(digits)
		if reason != "" {
			return nil, k.refuse(text, reason, hint)
		}

		end = strings.IndexAny(rest, "0123456789")
		if end < 0 {
			end = len(rest)
		}
		name := rest[:end]
		rest = rest[end:]
		if strings.Contains(name, ",") {
			return nil, k.refuse(text, "has a comma", k.withoutComma(minus, written))
		}
		if rest != "" && strings.HasSuffix(name, ".") {
			// "1 lb.5 oz" would be five ounces or half of one.
			return nil, k.refuse(text, "has a point between a unit and a number",
				"put a space before the number, and a 0 before a decimal point")
		}
		if strings.TrimSpace(name) == "" {
			if len(parts) > 0 {
				return nil, k.refuse(text, "has no unit after "+number, "give each number its unit, as in "+k.such)
			}
			return nil, k.withoutUnit(text, minus, number, value)
		}
		u, err := k.unit(text, number, name, len(parts) == 0 && rest == "")
		if err != nil {
			return nil, err
		}
		if len(parts) > 0 {
			if k.sum == "" {
				return nil, k.refuse(text, "is more than one value", k.example())
			}
			if u.size >= parts[len(parts)-1].unit.size {
				return nil, k.refuse(text, "does not go from large to small units",
					"write the largest unit first and each once, such as "+k.sum)
			}
		}
		if err := k.slipped(text, minus, written, number, value, grouped, k.whole[u.names[0]]); err != nil {
			return nil, err
		}
		parts = append(parts, part{value, step, u})
	}
	for i := range parts {
		if minus != "" {
			parts[i].value = 0 - parts[i].value // keeps -0 out
		}
	}
	return parts, nil
}

// strange finds characters that no quantity has in it.
func (k *kind) strange(text, rest string) error {
	for _, r := range rest {
		if !unicode.IsLetter(r) && !strings.ContainsRune("0123456789 .,/'\"°-", r) {
			return k.refuse(text, fmt.Sprintf("has %q in it", r), k.example())
		}
	}
	if strings.Contains(rest, "-") {
		return k.refuse(text, "has a dash inside", "write one value, such as "+k.such+", and six and a half as 6 1/2")
	}
	return nil
}

// slipped finds a point or a comma that may stand between thousands where that would
// be another quantity; most is the most whole units a kitchen counts, 0 for none.
func (k *kind) slipped(text, minus, written, number string, value float64, grouped bool, most float64) error {
	if grouped && (most == 0 || value > most && !k.coarse) {
		return k.refuse(text, "has a comma", k.withoutComma(minus, written))
	}
	meant, other := k.thousands(number, value, most)
	if meant == "" {
		return nil
	}
	hint := "write " + minus + strings.Replace(written, number, meant, 1)
	if other != "" {
		hint += " or " + minus + strings.Replace(written, number, other, 1)
	}
	return k.refuse(text, "has three decimals, as if the point stood between thousands", hint)
}

// withoutUnit returns the error for a number that stands alone. What its hint
// says to write is read.
func (k *kind) withoutUnit(text, minus, number string, value float64) error {
	if meant, _ := k.thousands(number, value, k.whole[k.bare[0]]); meant != "" {
		number = meant
	}
	if strings.Contains(number, ",") && !k.coarse {
		return k.refuse(text, "has no unit", k.example())
	}
	number = minus + number
	return &ParseError{Text: text, Kind: k.name, Reason: "has no unit", Number: number,
		Hint: fmt.Sprintf("write %s %s or %s %s", number, k.bare[0], number, k.bare[1])}
}

// thousands returns the whole number that was probably meant by number, of that
// value, when its point seems to stand between thousands, and how to write it if
// decimals are meant after all; both empty when nothing seems amiss. most is the
// most of its unit, as in kind.whole.
func (k *kind) thousands(number string, value, most float64) (meant, other string) {
	whole, decimals, _ := strings.Cut(number, ".")
	if len(decimals) != 3 || !isWhole(decimals) {
		return "", ""
	}
	if 1000*value <= most && (k.coarse || whole != "" && whole[0] != '0') {
		meant = strconv.FormatFloat(math.Round(1000*value), 'f', -1, 64)
	} else if k.coarse {
		meant = strconv.FormatFloat(math.Round(value), 'f', -1, 64)
	}
	if meant != "" && !k.coarse {
		other = strconv.FormatFloat(math.Round(100*value)/100, 'f', -1, 64)
	}
	return meant, other
}

// ungrouped returns number without the commas between its thousands, if that is
// where all its commas stand, and whether it had any.
func ungrouped(number string) (string, bool) {
	if !strings.Contains(number, ",") {
		return number, false
	}
	whole, decimals, hasPoint := strings.Cut(number, ".")
	groups := strings.Split(whole, ",")
	if len(groups) == 1 || len(groups[0]) > 3 || groups[0] == "" || groups[0][0] == '0' {
		return number, false
	}
	for i, group := range groups {
		if !isWhole(group) || i > 0 && len(group) != 3 {
			return number, false
		}
	}
	whole = strings.Join(groups, "")
	if hasPoint {
		whole += "." + decimals
	}
	return whole, true
}

// readNumber returns the value of "6", "6.5", ".5", "1/2" or "6 1/2" and what one
// in its last digit is worth, or what is wrong with it.
func readNumber(text string) (value, step float64, reason, hint string) {
	fields := strings.Fields(text)
	last := fields[len(fields)-1]
	numerator, denominator, isFraction := strings.Cut(last, "/")
	switch {
	case !isFraction && len(fields) == 1 && isDecimal(last):
		value, _ = strconv.ParseFloat(last, 64)
		_, decimals, _ := strings.Cut(last, ".")
		return value, math.Pow10(-len(decimals)), "", ""
	case !isFraction && len(fields) > 1:
		return 0, 0, "has two numbers in a row", "write one number before each unit, without spaces inside it"
	case !isFraction || len(fields) > 2 || !isWhole(numerator) || !isWhole(denominator):
		return 0, 0, fmt.Sprintf("has a number that cannot be read, %q", text), "write a number like 6, 6.5, 1/2 or 6 1/2"
	}
	if len(fields) == 2 {
		if !isWhole(fields[0]) {
			return 0, 0, fmt.Sprintf("has a number that cannot be read, %q", text), "write a number like 6, 6.5, 1/2 or 6 1/2"
		}
		value, _ = strconv.ParseFloat(fields[0], 64)
	}
	above, _ := strconv.ParseFloat(numerator, 64)
	below, _ := strconv.ParseFloat(denominator, 64)
	if above >= below {
		// "61/2" is far likelier six and a half with the space lost than 30.5.
		return 0, 0, fmt.Sprintf("has the fraction %s, which is not below one", last), "write six and a half as 6 1/2 or 6.5"
	}
	return value + above/below, 1 / below, "", ""
}

// isWhole reports whether text is digits only.
func isWhole(text string) bool { return text != "" && strings.Trim(text, "0123456789") == "" }

// isDecimal reports whether text is digits with at most one point, and a digit
// after it.
func isDecimal(text string) bool {
	whole, decimals, hasPoint := strings.Cut(text, ".")
	if !hasPoint {
		return isWhole(whole)
	}
	return (whole == "" || isWhole(whole)) && isWhole(decimals)
}

// unit returns the unit of k called name, which was typed after number; alone
// says that these are all of text.
func (k *kind) unit(text, number, name string, alone bool) (*unit, error) {
	name = tidy(name)
	if u := k.find(name); u != nil {
		return u, nil
	}
	if m, ok := k.misleading[name]; ok {
		return nil, k.refuse(text, m.reason, m.hint)
	}
	if name == "e" && !alone || name == "x" && number == "0" {
		return nil, k.refuse(text, "has a number in exponent or hexadecimal form",
			"write the number out, such as 1500 or 0.5")
	}
	for _, other := range everyKind {
		if other.find(name) == nil {
			continue
		}
		reason := "is " + other.words
		if !alone {
			reason = fmt.Sprintf("has %s %s in it, which is %s", number, name, other.words)
		}
		return nil, k.refuse(text, reason+"; "+k.words+" is needed", k.example())
	}
	hint := "units of " + k.name + ": " + k.abbreviations()
	if nearest := k.nearest(name); nearest != "" {
		hint = "did you mean " + nearest + "? " + hint
	}
	return nil, k.refuse(text, fmt.Sprintf("has an unknown unit, %q", name), hint)
}

// tidy returns name in lower case with single spaces, without the points of
// abbreviations, and with "per" as a stroke.
func tidy(name string) string {
	name = strings.ToLower(strings.ReplaceAll(name, ".", " "))
	name = strings.Join(strings.Fields(name), " ")
	name = strings.ReplaceAll(name, " per ", "/")
	name = strings.ReplaceAll(name, " /", "/")
	return strings.ReplaceAll(name, "/ ", "/")
}

// find returns the unit of k with that tidied name, or nil.
func (k *kind) find(name string) *unit {
	for i := range k.units {
		for _, candidate := range k.units[i].names {
			if strings.EqualFold(candidate, name) {
				return &k.units[i]
			}
		}
	}
	return nil
}

// nearest returns the unit of k spelled most like name, or "" when none is
// like it.
func (k *kind) nearest(name string) string {
	best, least := "", len(name)/2+1
	for _, u := range k.units {
		for _, candidate := range u.names {
			lower := strings.ToLower(candidate)
			// A slip seldom hits the first letter, and 5 dl must not become 5 l.
			if d := levenshtein.ComputeDistance(name, lower); d < least && name[0] == lower[0] {
				best, least = candidate, d
			}
		}
	}
	return best
}

// abbreviations lists the units of k.
func (k *kind) abbreviations() string {
	all := make([]string, len(k.units))
	for i, u := range k.units {
		all[i] = u.names[0]
	}
	return strings.Join(all, ", ")
}

// example returns the hint for whoever is far from the form.
func (k *kind) example() string { return "write " + k.words + " such as " + k.such }

// refuse returns the error for text.
func (k *kind) refuse(text, reason, hint string) error {
	return &ParseError{Text: text, Kind: k.name, Reason: reason, Hint: hint}
}

// withoutComma returns the hint that spells out what text with a comma may
// mean, after its sign: both readings where it can stand for thousands, and none
// of an altitude, where the wrong one is the wrong pressure.
func (k *kind) withoutComma(minus, text string) string {
	if k.coarse {
		return k.example()
	}
	number, after, _ := strings.Cut(text, ",")
	rest := strings.TrimLeft(after, "0123456789")
	digits := after[:len(after)-len(rest)]
	switch {
	case !isWhole(number) || digits == "" || strings.HasPrefix(rest, ".") || strings.ContainsAny(rest, ",/"):
		return "write a decimal point and nothing between thousands, such as 1.5 l or 1500 ml"
	case len(digits) == 3 && len(number) <= 3 && number[0] != '0':
		return fmt.Sprintf("write %s%s%s or %s%s.%s, because %s,%s reads two ways", minus, number, after, minus, number,
			after, number, digits)
	}
	return "write " + minus + number + "." + after
}
