// Package jar is the catalogue of canning jars and what each holds at its
// headspace, hot and as cold broth.
//
// Sources: mouth bore 60 mm regular and 76 mm wide, from the 70-450 and 86-450
// glass finishes (packaging catalogues); the regular pint's size from a page that
// prints height, circumference and case size; other outside sizes and all
// brimful volumes are from memory, checked against a volume balance (outside
// volume = brimful + glass at 2.5 g/cm³). A jar measured by the cook is better.
package jar

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"brothrun/stock/fault"
	"brothrun/stock/quantity"
	"brothrun/stock/thermo"
)

// Mouth is the width of a jar's opening.
type Mouth string

// The mouths.
const (
	Regular Mouth = "regular" // 60 mm bore
	Wide    Mouth = "wide"    // 76 mm bore
)

// ParseMouth reads "regular" or "wide"; upper case and surrounding blanks do not
// matter.
func ParseMouth(text string) (Mouth, error) {
	switch m := Mouth(strings.ToLower(strings.TrimSpace(text))); m {
	case Regular, Wide:
		return m, nil
	}
	return "", fmt.Errorf("mouth %q is not known: write regular or wide%s", text,
		fault.DidYouMean(text, []Mouth{Regular, Wide}))
}

// Jar is a canning jar.
type Jar struct {
	Name         string // "quart"
	Mouth        Mouth
	Brimful      quantity.Volume // to the rim
	PackDiameter quantity.Length // what spaces jars: the body, or the closure band where that is wider
	Height       quantity.Length // with its closure
	Bore         quantity.Length // inside the mouth
	Trust        string          // "mixed": some figures published; "memory": from memory
}

// ErrTooLarge is the error for jars that exist but hold more than a quart, for
// which stock has no tested process.
var ErrTooLarge = errors.New("jar is larger than a quart")

func row(name string, mouth Mouth, brimfulFluidOunces, packInches, heightInches, boreInches float64, trust string) Jar {
	return Jar{
		Name: name, Mouth: mouth, Trust: trust,
		Brimful:      quantity.Volume(brimfulFluidOunces) * quantity.FluidOunce,
		PackDiameter: quantity.Length(packInches) * quantity.Inch,
		Height:       quantity.Length(heightInches) * quantity.Inch,
		Bore:         quantity.Length(boreInches) * quantity.Inch,
	}
}

// catalogue is every jar known, smallest first. Spread: brimful ±3 %, pack
// diameter and height ±0.1 in between makes.
var catalogue = []Jar{
	row("half-pint", Regular, 8.9, 2.7, 3.95, 2.375, "mixed"),
	row("half-pint", Wide, 9.0, 3.6, 2.75, 3.0, "memory"),
	row("pint", Regular, 17.1, 3.25, 5.13, 2.375, "mixed"),
	row("pint", Wide, 17.1, 3.6, 4.65, 3.0, "memory"),
	row("pint-and-half", Wide, 25.3, 3.6, 6.65, 3.0, "mixed"),
	row("quart", Regular, 33.4, 3.83, 6.9, 2.375, "mixed"),
	row("quart", Wide, 33.8, 3.93, 6.8, 3.0, "memory"),
}

// Find returns the jar of a name and mouth; upper case and surrounding blanks of
// the name do not matter. A size made with one mouth only is returned whatever
// mouth is asked for. Half-gallon and gallon jars are ErrTooLarge, other names
// an error that lists the sizes; a mouth that is neither Regular nor Wide is an
// error too.
func Find(name string, mouth Mouth) (Jar, error) {
	if mouth != Regular && mouth != Wide {
		return Jar{}, fmt.Errorf("mouth %q is not known: write regular or wide", mouth)
	}
	name = strings.ToLower(strings.TrimSpace(name))
	if name == "half-gallon" || name == "gallon" {
		return Jar{}, fmt.Errorf("%s %w, the largest with a tested process: choose quarts or smaller", name, ErrTooLarge)
	}
	var found *Jar
	var names []string
	for i := range catalogue {
		j := &catalogue[i]
		if j.Name == name && (found == nil || j.Mouth == mouth) {
			found = j
		}
		if !slices.Contains(names, j.Name) {
			names = append(names, j.Name)
		}
	}
	if found == nil {
		return Jar{}, fmt.Errorf("jar %q is not known: write one of %s", name, strings.Join(names, ", "))
	}
	return *found, nil
}

// Fill returns the volume below a headspace: the brimful volume less bore times
// headspace. headspace must be from 0 to 2 in and less than the jar's height;
// other values, and a jar with a size that is not finite and above 0, are errors.
// Accuracy: within 0.2 fl oz, as the shoulder may begin inside the last inch.
func (j Jar) Fill(headspace quantity.Length) (quantity.Volume, error) {
	for _, size := range []float64{j.Brimful.Litres(), j.Height.Inches(), j.Bore.Inches()} {
		if !(size > 0) || math.IsInf(size, 0) {
			return 0, fmt.Errorf("jar %q (brimful %.4g fl oz, height %.4g in, bore %.4g in) has a size that is not above 0, or "+
				"not finite: take one from the catalogue, or measure it",
				j.Name, j.Brimful.FluidOunces(), j.Height.Inches(), j.Bore.Inches())
		}
	}
	if !(headspace >= 0 && headspace <= 2*quantity.Inch && headspace < j.Height) {
		return 0, fmt.Errorf("headspace %.4g in is out of range: 0 in to 2 in (5 cm), and less than the jar's height "+
			"of %.4g in", headspace.Inches(), j.Height.Inches())
	}
	bore := quantity.Area(math.Pi / 4 * j.Bore.Metres() * j.Bore.Metres())
	fill := j.Brimful - bore.Times(headspace)
	if !(fill > 0) {
		return 0, fmt.Errorf("headspace %.4g in leaves nothing in a %s: give less", headspace.Inches(), j.Name)
	}
	return fill, nil
}

// coldBroth is the temperature cold volumes are told at.
var coldBroth = quantity.Celsius(20)

// ColdFill returns how much cold (20 °C) broth makes a jar's hot fill below a
// headspace, when it is filled at the temperature filling, from 20 °C to 110 °C:
// broth swells like water, 4.2 % to 100 °C, so a jar takes that much less. Errors
// are those of Fill, and a filling temperature out of range.
func (j Jar) ColdFill(headspace quantity.Length, filling quantity.Temperature) (quantity.Volume, error) {
	hot, err := j.Fill(headspace)
	if err != nil {
		return 0, err
	}
	if !(filling.Celsius() >= 20-1e-9 && filling.Celsius() <= 110) {
		return 0, fmt.Errorf("filling temperature %.4g °C is out of range: 20 °C to 110 °C (68 °F to 230 °F); jars are "+
			"filled near boiling", filling.Celsius())
	}
	atFilling, err := thermo.LiquidDensity(filling)
	if err != nil {
		return 0, err
	}
	atCold, err := thermo.LiquidDensity(coldBroth)
	if err != nil {
		return 0, err
	}
	return hot * quantity.Volume(atFilling/atCold), nil
}
