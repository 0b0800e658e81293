package quantity

import (
	"math"
	"strconv"
	"strings"
	"time"
)

// unknown is printed for NaN and the infinities, which are no quantities.
const unknown = "unknown"

// rung is one unit of a ladder of units to print with.
type rung struct {
	size     float64 // of the unit, in SI
	decimals int
	below    float64 // the unit is used while the rounded number is below this
	one      string  // after a number above 0 and up to 1
	many     string
}

// always is the limit of the last rung of a ladder.
var always = math.Inf(1)

// Ladders by System. A cook reads a tenth of a quart or a pound off her
// measures, not more, and inches by the sixteenth.
var (
	volumeLadders = [...][]rung{
		US: {
			{float64(Cup), 1, 4, "cup", "cups"},
			{float64(Quart), 1, always, "qt", "qt"},
		},
		Metric: {
			{float64(Millilitre), 0, 1000, "ml", "ml"},
			{float64(Litre), 1, always, "l", "l"},
		},
	}
	massLadders = [...][]rung{
		US: {
			{float64(Ounce), 1, 16, "oz", "oz"},
			{float64(Pound), 1, always, "lb", "lb"},
		},
		Metric: {
			{float64(Gram), 0, 1000, "g", "g"},
			{float64(Kilogram), 1, always, "kg", "kg"},
		},
	}
	lengthLadders = [...][]rung{
		US: {
			{float64(Inch), 2, 120, "in", "in"},
			{float64(Foot), 1, always, "ft", "ft"},
		},
		Metric: {
			{float64(Millimetre), 1, 10, "mm", "mm"},
			{float64(Centimetre), 1, 300, "cm", "cm"},
			{float64(Metre), 1, always, "m", "m"},
		},
	}
	altitudeLadders = [...][]rung{
		US:     {{float64(Foot), 0, always, "ft", "ft"}},
		Metric: {{float64(Metre), 0, always, "m", "m"}},
	}
	pressureLadders = [...][]rung{
		US:     {{float64(PSI), 1, always, "psi", "psi"}},
		Metric: {{float64(Kilopascal), 0, always, "kPa", "kPa"}},
	}
)

// Format returns v for a cook to measure: cups below a quart and quarts from
// there, or millilitres below a litre and litres from there. Cups, quarts and
// litres have one decimal, dropped when it is 0; millilitres none. What is not
// finite is "unknown".
func (v Volume) Format(s System) string { return climb(float64(v), volumeLadders[s.known()]) }

// Both returns v in s and, in brackets, in the other system: "13.2 qt (12.5 l)".
func (v Volume) Both(s System) string { return both(v.Format, s) }

// Format returns m for a cook to weigh: ounces below a pound and pounds from
// there, or grams below a kilogram and kilograms from there. Grams have no
// decimal, the others one, dropped when it is 0.
func (m Mass) Format(s System) string { return climb(float64(m), massLadders[s.known()]) }

// Both returns m in s and, in brackets, in the other system.
func (m Mass) Both(s System) string { return both(m.Format, s) }

// Format returns l for a cook to measure: inches to two decimals up to 10 ft
// and feet from there, or millimetres, centimetres from 1 cm and metres from
// 3 m, to one decimal. For the height of a place use FormatAltitude or AltitudeBoth.
func (l Length) Format(s System) string { return climb(float64(l), lengthLadders[s.known()]) }

// Both returns l in s and, in brackets, in the other system.
func (l Length) Both(s System) string { return both(l.Format, s) }

// FormatAltitude returns l as the height of a place in whole feet or metres:
// "3,200 ft", "975 m".
func FormatAltitude(l Length, s System) string {
	text := climb(float64(l), altitudeLadders[s.known()])
	number, unit, _ := strings.Cut(text, " ")
	sign := number[:len(number)-len(strings.TrimPrefix(number, "-"))]
	digits := number[len(sign):]
	for at := len(digits) - 3; at > 0 && unit != ""; at -= 3 {
		digits = digits[:at] + "," + digits[at:]
	}
	return strings.TrimSpace(sign + digits + " " + unit)
}

// AltitudeBoth returns l as FormatAltitude does and, in brackets, in the other
// system: "3,200 ft (975 m)". Feet taken for metres show at a glance.
func AltitudeBoth(l Length, s System) string {
	return both(func(s System) string { return FormatAltitude(l, s) }, s)
}

// Format returns t in whole degrees: "240 °F", "116 °C".
func (t Temperature) Format(s System) string { return t.format(s, 0) }

func (t Temperature) format(s System, decimals int) string {
	if s.known() == US {
		return label(rounded(t.Fahrenheit(), decimals), decimals, "°F")
	}
	return label(rounded(t.Celsius(), decimals), decimals, "°C")
}

// Past is a temperature past a limit: it is written with as many decimals, up to four, as
// tell the two apart.
type Past struct{ Temperature, Limit Temperature }

// Format returns the temperature of p: "41.01 °F" of a limit of 41.
func (p Past) Format(s System) string {
	decimals := 0
	for decimals < 4 && p.Temperature.format(s, decimals) == p.Limit.format(s, decimals) {
		decimals++
	}
	return p.Temperature.format(s, decimals)
}

// Both returns it in s and, in brackets, in the other system.
func (p Past) Both(s System) string { return both(p.Format, s) }

// Both returns t in s and, in brackets, in the other system.
func (t Temperature) Both(s System) string { return both(t.Format, s) }

// Format returns p in psi to one decimal, dropped when it is 0, or in whole
// kilopascals: "15 psi", "103 kPa".
func (p Pressure) Format(s System) string { return climb(float64(p), pressureLadders[s.known()]) }

// Up returns m rounded up to what is bought: a whole pound, or half a kilogram.
func (m Mass) Up(s System) Mass {
	step := Pound
	if s == Metric {
		step = Kilogram / 2
	}
	return step * Mass(math.Ceil(float64(m/step)-1e-9))
}

// Both returns p in s and, in brackets, in the other system.
func (p Pressure) Both(s System) string { return both(p.Format, s) }

// Stamped returns p as it stands on a gauge or a weight, which has pounds on it in
// metric kitchens too: "15 psi", "103 kPa (15 psi)".
func (p Pressure) Stamped(s System) string {
	if s.known() == Metric {
		return p.Both(s)
	}
	return p.Format(s)
}

// FormatDuration returns d to the minute as "25 min", "2 h" or "1 h 45 min", and
// beyond 48 h to the hour as "3 days" or "2 days 12 h".
func FormatDuration(d time.Duration) string {
	minutes := int64(d.Round(time.Minute) / time.Minute)
	sign := ""
	if minutes < 0 {
		sign, minutes = "-", -minutes
	}
	hours := minutes / 60
	minutes %= 60
	var parts []string
	if hours > 48 || hours == 48 && minutes > 0 {
		hours = int64((d.Abs()/time.Second + 1800) / 3600) // from d: rounding twice goes astray
		parts = append(parts, strconv.FormatInt(hours/24, 10)+" days")
		hours, minutes = hours%24, 0
	}
	if hours > 0 {
		parts = append(parts, strconv.FormatInt(hours, 10)+" h")
	}
	if minutes > 0 || parts == nil {
		parts = append(parts, strconv.FormatInt(minutes, 10)+" min")
	}
	return sign + strings.Join(parts, " ")
}

// known returns s, or US for a number that names no system.
func (s System) known() System {
	if s == Metric {
		return Metric
	}
	return US
}

// both joins what format writes in s and in the other system.
func both(format func(System) string, s System) string {
	first, second := format(s), format(US)
	if s.known() == US {
		second = format(Metric)
	}
	if first == unknown {
		return unknown
	}
	return first + " (" + second + ")"
}

// climb prints the SI value on the first rung whose limit the rounded number
// stays below, so that a number never rounds up to one whole of the next unit.
func climb(value float64, ladder []rung) string {
	step := ladder[len(ladder)-1]
	for _, candidate := range ladder {
		if math.Abs(rounded(value/candidate.size, candidate.decimals)) < candidate.below {
			step = candidate
			break
		}
	}
	number := rounded(value/step.size, step.decimals)
	if number > 0 && number <= 1 {
		return label(number, step.decimals, step.one)
	}
	return label(number, step.decimals, step.many)
}

// rounded returns number to that many decimals, half away from zero. A part in
// 10¹² is added first, so that 9.95 qt, which no float64 is exactly, and which
// the way through cubic metres moves again, still counts as a half.
func rounded(number float64, decimals int) float64 {
	scale := math.Pow10(decimals)
	return math.Round(number*scale*(1+1e-12)) / scale
}

// label writes a rounded number with its unit, without trailing zeros and
// without the sign of a zero.
func label(number float64, decimals int, unit string) string {
	if math.IsNaN(number) || math.IsInf(number, 0) {
		return unknown
	}
	if number == 0 {
		return "0 " + unit
	}
	text := strconv.FormatFloat(number, 'f', decimals, 64)
	if decimals > 0 {
		text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
	}
	return text + " " + unit
}
