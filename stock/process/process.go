// Package process is the tested pressure-canning process for strained stock, and
// every refusal that follows from there being no other. Nothing here is worked
// out: times and pressures are rows of a published table.
//
// Sources, by tag:
//
//	[USDA]  USDA Complete Guide to Home Canning (AIB 539, rev. 1994 and 2015),
//	        Guide 5, "Meat stock (broth)": chicken or turkey and beef stock,
//	        strained, fat removed, hot pack, 1 in headspace. Read in university
//	        extension reprints that agree with one another.
//	[NCHFP] National Center for Home Food Preservation, "Jar size choices": a
//	        smaller jar takes the time of the next larger listed one, and no
//	        process may be stretched to a larger jar than is listed.
package process

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"time"

	"brothrun/stock/fault"
	"brothrun/stock/quantity"
	"brothrun/stock/remark"
)

// Headspace is left free above the stock in every jar: 1 in [USDA].
const Headspace = 1 * quantity.Inch

// Stock is what the stock is made of, as far as the process table goes.
type Stock string

// The stocks known here. Only the first three have a tested process.
const (
	Chicken   Stock = "chicken"
	Turkey    Stock = "turkey"
	Beef      Stock = "beef"
	Pork      Stock = "pork"
	Fish      Stock = "fish"
	Shellfish Stock = "shellfish"
	Vegetable Stock = "vegetable"
	// Mixed is a pot of stocks that each have a process but no common directions;
	// see Mix.
	Mixed Stock = "mixed"
)

// tested is every stock with a tested process [USDA].
var tested = map[Stock]bool{Chicken: true, Turkey: true, Beef: true}

// untested is every stock that is known to have none: for pork and ham the published
// one names beef, chicken and turkey only, and those for vegetables and for soups are
// for other products.
var untested = map[Stock]bool{Pork: true, Fish: true, Shellfish: true, Vegetable: true}

// Mix returns the stock that one pot of several counts as to Lookup. Any without
// a tested process makes the whole pot that one. Chicken and turkey are one set
// of directions [USDA] and stay the first of them. Poultry with beef is Mixed,
// which Lookup refuses: the two share their times at pressure, but the directions
// are written for one or the other, simmered 30 to 45 min or 3 to 4 h, and nothing
// tested describes a broth of both. No stock at all, and one not known, is one
// that Lookup does not know.
func Mix(stocks ...Stock) Stock {
	var pot Stock
	for i, stock := range stocks {
		switch {
		case !tested[stock]:
			return stock
		case i == 0:
			pot = stock
		case (stock == Beef) != (pot == Beef):
			pot = Mixed
		}
	}
	return pot
}

// Gauge is the kind of gauge that tells a canner's pressure.
type Gauge string

// The gauges.
const (
	Weighted Gauge = "weighted"
	Dial     Gauge = "dial"
)

// ParseGauge reads "weighted" or "dial"; upper case and surrounding blanks do
// not matter.
func ParseGauge(text string) (Gauge, error) {
	switch g := Gauge(strings.ToLower(strings.TrimSpace(text))); g {
	case Weighted, Dial:
		return g, nil
	}
	return "", fault.New("gauge", "look at the lid: weighted is a weight that rocks, dial a needle; a steam canner, "+
		"which has neither, cans no broth", "gauge %q is not known: write weighted or dial%s", text,
		fault.DidYouMean(text, []Gauge{Weighted, Dial}))
}

// Size is a size of jar.
type Size string

// The sizes known here. Half-gallon and gallon jars are known to be refused.
const (
	HalfPint    Size = "half-pint"
	Pint        Size = "pint"
	PintAndHalf Size = "pint-and-half"
	Quart       Size = "quart"
	HalfGallon  Size = "half-gallon"
	Gallon      Size = "gallon"
)

// QuartTime reports whether s takes the quart time at pressure, and with it the
// longer cooling of a quart.
func (s Size) QuartTime() bool { return s == Quart || s == PintAndHalf }

// ParseSize reads the name of a size; upper case and surrounding blanks do not
// matter.
func ParseSize(text string) (Size, error) {
	size := Size(strings.ToLower(strings.TrimSpace(text)))
	if _, canned := processTimes[size]; canned || tooLarge(size) {
		return size, nil
	}
	return "", fmt.Errorf("jar %q is not known: write %s, %s, %s or %s%s", text, HalfPint, Pint, PintAndHalf, Quart,
		fault.DidYouMean(text, []Size{HalfPint, Pint, PintAndHalf, Quart}))
}

// The published pint and the largest published quart, filled to the rim: 17.1 and
// 33.8 fl oz (testdata/published/jars.csv; the pint from published figures, the
// wide quart from memory, the regular one is 33.4).
const (
	pintBrimful  = 17.1 * quantity.FluidOunce
	quartBrimful = 33.8 * quantity.FluidOunce
)

// ClassOf returns the size whose tested process a jar measured by the cook takes,
// Pint or Quart, by what it holds to the rim: up to a published pint's 17.1 fl oz
// the pint's, above that up to the largest published quart's 33.8 fl oz the
// quart's. brimful must be finite and above 0.
//
// Nothing is allowed for the cook's jug beyond the rounding of litres: a jar that
// measures a little more than a pint takes the quart's longer time, and one a
// little over a quart, a litre jar included, is a *Refusal, for no process may be
// stretched to a larger jar. A smaller jar takes the time of the next larger
// listed one.
//
// Source: [NCHFP].
func ClassOf(brimful quantity.Volume) (Size, error) {
	const rounding = 1e-9 * quantity.Litre
	switch {
	case !(brimful > 0) || math.IsInf(float64(brimful), 0):
		return "", fmt.Errorf("jar of %.4g fl oz to the rim: must be finite and above 0; measure it with water",
			brimful.FluidOunces())
	case brimful <= pintBrimful+rounding:
		return Pint, nil
	case brimful <= quartBrimful+rounding:
		return Quart, nil
	}
	return "", refuse(JarTooLarge, "measured", brimful, quartBrimful)
}

func tooLarge(size Size) bool { return size == HalfGallon || size == Gallon }

// processTimes is the time at pressure for each size, the same for every stock
// and gauge: pints 20 min, quarts 25 min [USDA]; half-pints take the pint's time
// and pint-and-half jars the quart's [NCHFP].
var processTimes = map[Size]time.Duration{
	HalfPint:    20 * time.Minute,
	Pint:        20 * time.Minute,
	PintAndHalf: 25 * time.Minute,
	Quart:       25 * time.Minute,
}

// band is one row of the pressure table: the gauge reading for altitudes up to
// and including upTo feet, above the band before.
type band struct {
	upTo float64 // feet
	psi  float64
}

// bands is the pressure table [USDA]. The published weighted column is open
// above 1,000 ft; it is stopped here at 10,000 ft, where 15 psi still makes
// 240 °F steam (240.3 °F on a standard day).
var bands = map[Gauge][]band{
	Dial:     {{2000, 11}, {4000, 12}, {6000, 13}, {8000, 14}},
	Weighted: {{1000, 10}, {10000, 15}},
}

// edge is how far above a band's edge, in feet, still counts as on it. It
// forgives the rounding of feet kept as metres, and nothing a map would show.
const edge = 0.01

// The altitudes that are no slip of the unit, in feet. A place below sea level
// takes the lowest band: more air makes hotter steam at the same reading, so the
// setting is on the safe side.
const (
	lowestPlace  = -1500
	highestPlace = 30000
)

// Setting is one row of the tested table.
type Setting struct {
	Gauge    Gauge
	Pressure quantity.Pressure // gauge reading
	Time     time.Duration     // at that pressure
	Over     quantity.Length   // the band's altitudes: above this
	UpTo     quantity.Length   // up to and including this
}

// Refusal says that nothing tested covers what was asked. Code is stable for scripts
// and tells, with Case, which facts there are.
type Refusal struct{ remark.Note }

// AsRefusal finds a refusal in an error; ok is false for any other.
func AsRefusal(err error) (refusal *Refusal, ok bool) {
	ok = errors.As(err, &refusal)
	return refusal, ok
}

func refuse(code, which string, facts ...any) *Refusal {
	return &Refusal{remark.Of(code, facts...).In(which)}
}

// The codes of refusals, with their facts and, in brackets, their cases; DEVELOPERS.md
// says when each is given.
const (
	NoTestedProcess  = "no-tested-process" // [one for each Stock without]
	MixedKinds       = "mixed-kinds"
	JarTooLarge      = "jar-too-large"     // Size [measured: quantity.Volume to the rim, the largest]
	AltitudeWeighted = "altitude-weighted" // Gauge, quantity.Length, where the table ends
	AltitudeDial     = "altitude-dial"     // the same [weighted-can: the other gauge's table reaches there]
	MostlyVegetables = "mostly-vegetables" // [counted: Mass, the most they may weigh]
)

func (r *Refusal) Error() string { return "refused: " + r.Code }

// Lookup returns the tested setting for strained, skimmed, boiling-hot stock in
// jars of a size at an altitude. A *Refusal says that there is none: other
// stocks, jars above a quart, a dial gauge above 8,000 ft, a weighted one above
// 10,000 ft. A *fault.Fault is an altitude below −1,500 ft, above 30,000 ft or
// not a number; unknown stocks, sizes and gauges are plain errors.
//
// Source: [USDA], [NCHFP].
func Lookup(stock Stock, size Size, gauge Gauge, altitude quantity.Length) (Setting, error) {
	feet := altitude.Feet()
	if !(feet >= lowestPlace-edge && feet <= highestPlace+edge) {
		return Setting{}, fault.New("altitude", "", "altitude %.6g ft (%.6g m) is out of range: -1500 ft to 30000 ft (-457 "+
			"m to 9144 m); check the number and its unit", feet, altitude.Metres())
	}
	if stock == Mixed {
		return Setting{}, refuse(MixedKinds, "")
	}
	if untested[stock] {
		return Setting{}, refuse(NoTestedProcess, string(stock))
	}
	if !tested[stock] {
		return Setting{}, fmt.Errorf("stock %q is not known to the process table", stock)
	}
	if tooLarge(size) {
		return Setting{}, refuse(JarTooLarge, "", size)
	}
	minutes, known := processTimes[size]
	if !known {
		return Setting{}, fmt.Errorf("jar %q is not known to the process table", size)
	}
	rows, known := bands[gauge]
	if !known {
		return Setting{}, fmt.Errorf("gauge %q is not known: weighted or dial", gauge)
	}
	over := -math.MaxFloat64
	for _, row := range rows {
		if feet <= row.upTo+edge {
			return Setting{
				Gauge: gauge, Pressure: quantity.Pressure(row.psi) * quantity.PSI, Time: minutes,
				Over: quantity.Length(max(over, lowestPlace)) * quantity.Foot, UpTo: quantity.Length(row.upTo) * quantity.Foot,
			}, nil
		}
		over = row.upTo
	}
	// Rounded up, so that 8,000.4 ft does not read as the limit it is above.
	above := quantity.Length(math.Ceil(feet-edge)) * quantity.Foot
	refusal := refuse(AltitudeWeighted, "", gauge, above, quantity.Length(over)*quantity.Foot)
	if gauge == Dial {
		refusal.Code = AltitudeDial
	}
	if weighted := bands[Weighted]; gauge == Dial && feet <= weighted[len(weighted)-1].upTo+edge {
		refusal.Case = "weighted-can"
	}
	return Setting{}, refusal
}

// Sources returns where the settings come from, a line each, for printing.
func Sources() []string {
	return []string{
		"USDA Complete Guide to Home Canning, Guide 5, \"Meat stock (broth)\": pressures, times, headspace.",
		"National Center for Home Food Preservation, \"Jar size choices\": half-pints as pints, pint-and-half jars as " +
			"quarts, nothing above a quart.",
		"The stop of the weighted gauge at 10,000 ft (3,048 m) is brothrun's own: the published row is open above 1,000 ft " +
			"(305 m), and 15 psi (103 kPa) still makes 240 °F (116 °C) steam up there.",
		"Refusing broth boiled down below half of the water put in, and vegetables heavier than the bones, is brothrun's " +
			"own too, no source.",
	}
}
