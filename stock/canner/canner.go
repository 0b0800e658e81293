// Package canner says how many jars a pressure canner holds and how long a load
// takes from lid on to lid off.
//
// Sources, by tag:
//
//	[EXT]  Michigan State University Extension, Preserving Food Safely 01600948
//	       and 01600949 (1997): capacities, steps and their times; Pacific
//	       Northwest Extension PNW 421 agrees.
//	[GEO]  layer geometry derived from jar sizes and circle packing, checked
//	       against [EXT]'s capacities.
package canner

import (
	"fmt"
	"math"

	"brothrun/stock/fault"
	"brothrun/stock/packing"
	"brothrun/stock/quantity"
)

// Lengths that are used when a Canner does not give its own.
const (
	// DefaultClearance is taken off the inside width so that jars slide in:
	// 1/8 in, 1/16 to 1/8; common practice, no source.
	DefaultClearance = quantity.Inch / 8
	// DefaultRackThickness is the height of the rack the lowest jars stand on:
	// 0.25 in, 0.25 to 0.5; common practice, no source.
	DefaultRackThickness = quantity.Inch / 4
	// divider is the height of the wire rack between two layers: 0.1 in [GEO].
	divider = quantity.Inch / 10
	// lidRoom is kept free between the jars and the lid: 0.25 in [GEO].
	lidRoom = quantity.Inch / 4
)

// roundingSlack is how much too high jars may be and still fit: it forgives the
// rounding of inches to metres, and no more.
const roundingSlack = 1e-9 * quantity.Metre

// MostRacks is more racks than any canner takes; common practice, no source.
const MostRacks = 10

// Canner is a pressure canner measured inside.
type Canner struct {
	Width, Height quantity.Length // wall to wall 6 to 24 in, floor to lid 5 to 24 in
	RackThickness quantity.Length // of the lowest rack, up to 2 in; 0: DefaultRackThickness
	Clearance     quantity.Length // off the width, up to 1 in; 0: DefaultClearance, below 0: none
	Racks         int             // 1 or more: each layer stands on one
	Holds         map[string]int  // jars counted in one layer by size; wins over geometry
}

// Shape is what a canner needs to know of a jar.
type Shape struct {
	Name     string
	Diameter quantity.Length // across what touches the next jar
	Height   quantity.Length // with its closure
}

// What to do next about a figure that is no canner's, or in which a jar does not stand.
const (
	measureInside = "measure it inside with a ruler"
	orAnotherJar  = "measure it inside, or give another jar (--jars pint)"
	lookAtRating  = "look at the rating of the burner, or take its line out if it is not the canner's"
)

// Capacity is how one size of jar stands in a canner.
type Capacity struct {
	PerLayer, Layers int
	Measured         bool   // PerLayer was counted by the cook
	LimitedBy        string // what keeps another layer out: "height" or "racks"
}

// Jars returns the jars of a full load.
func (c Capacity) Jars() int { return c.PerLayer * c.Layers }

// Capacity returns how many jars of shape s fit in a layer and how many layers
// stand on one another, one size at a time. c and s must be in the ranges of
// their fields, anything else is a *fault.Fault; a canner narrower or lower than one jar
// is a misfit that says what is needed. Accuracy: jars differ by about 0.1 in between makes, so near an
// edge count jars in the real canner and give Holds.
func (c Canner) Capacity(s Shape) (Capacity, error) {
	if err := c.check(s); err != nil {
		return Capacity{}, err
	}
	clearance, rack := c.Gap(), c.RackThickness
	if rack == 0 {
		rack = DefaultRackThickness
	}

	capacity := Capacity{}
	if counted, ok := c.Holds[s.Name]; ok {
		capacity.PerLayer, capacity.Measured = counted, true
	} else {
		perLayer, err := packing.Count(c.Width-clearance, s.Diameter)
		if err != nil {
			return Capacity{}, err
		}
		if perLayer == 0 {
			return Capacity{}, fault.Misfit("canner.width", orAnotherJar,
				"canner %s wide is too narrow for a %s: at least %s is needed inside",
				measured(c.Width), s.Name, enough(s.Diameter+clearance))
		}
		capacity.PerLayer = perLayer
	}

	room := c.Height - rack - lidRoom - s.Height
	if room < -roundingSlack {
		return Capacity{}, fault.Misfit("canner.height", orAnotherJar,
			"canner %s high is too low for a %s: at least %s is needed inside, with its rack and %s below the lid",
			measured(c.Height), s.Name, enough(rack+lidRoom+s.Height), measured(lidRoom))
	}
	byHeight := 1 + int((room+roundingSlack)/(divider+s.Height))
	capacity.Layers, capacity.LimitedBy = byHeight, "height"
	if c.Racks < byHeight {
		capacity.Layers, capacity.LimitedBy = c.Racks, "racks"
	}
	return capacity, nil
}

// HeightFor returns the least inside height in which layers of shape s stand on
// one another, each on a rack: what Capacity asks for. layers below 1 count as 1.
func (c Canner) HeightFor(s Shape, layers int) quantity.Length {
	rack := c.RackThickness
	if rack == 0 {
		rack = DefaultRackThickness
	}
	return rack + lidRoom + s.Height + quantity.Length(max(layers, 1)-1)*(divider+s.Height)
}

// measured writes a length finely enough to tell it from the one it misses.
func measured(l quantity.Length) string {
	return fmt.Sprintf("%.5g in (%.5g cm)", l.Inches(), l.Centimetres())
}

// enough writes the least length that will do, each unit rounded up to a
// thousandth: rounded down, a cook who measured just that would be refused again.
func enough(l quantity.Length) string {
	up := func(x float64) float64 { return math.Ceil(x*1000-1e-6) / 1000 }
	return fmt.Sprintf("%.5g in (%.5g cm)", up(l.Inches()), up(l.Centimetres()))
}

func (c Canner) check(s Shape) error {
	inches := func(l quantity.Length) string { return fmt.Sprintf("%.6g in", l.Inches()) }
	between := func(l, low, high quantity.Length) bool { return l >= low && l <= high }
	switch {
	case !between(c.Width, 6*quantity.Inch, 24*quantity.Inch):
		return fault.New("canner.width", measureInside,
			"canner width %s is out of range: 6 in to 24 in (15 cm to 61 cm) inside", inches(c.Width))
	case !between(c.Height, 5*quantity.Inch, 24*quantity.Inch):
		return fault.New("canner.height", measureInside,
			"canner height %s is out of range: 5 in to 24 in (13 cm to 61 cm) inside", inches(c.Height))
	case !between(c.RackThickness, 0, 2*quantity.Inch):
		return fault.New("canner.rack_thickness", measureInside, "rack thickness %s is out of range: 0 in to 2 in",
			inches(c.RackThickness))
	case !between(c.Clearance, -quantity.Inch, quantity.Inch):
		return fault.New("canner.clearance", "",
			"clearance %s is out of range: up to 1 in, or below 0 in (to -1 in) for none", inches(c.Clearance))
	case c.Racks < 1 || c.Racks > MostRacks:
		return fault.New("canner.racks", "", "racks %d: must be from 1 to 10; the rack that came with the canner counts",
			c.Racks)
	case !between(s.Diameter, quantity.Inch, 12*quantity.Inch) || !between(s.Height, quantity.Inch, 24*quantity.Inch):
		return fault.New("canner.jar", "", "jar %s of %s by %s is out of range: 1 in to 12 in wide and 1 in to 24 in high",
			s.Name, inches(s.Diameter), inches(s.Height))
	}
	if n, counted := c.Holds[s.Name]; counted && (n < 1 || n > packing.Most) {
		return fault.New("canner.holds", "", "canner holds %d %s jars in a layer: must be from 1 to %d", n, s.Name,
			packing.Most)
	}
	return nil
}

// Split deals jars out into loads, each full but the last, and each load into
// layers, lowest first. Nothing is dealt out where jars or the capacity is not
// above 0.
func Split(jars int, capacity Capacity) [][]int {
	if capacity.PerLayer < 1 || capacity.Layers < 1 {
		return nil
	}
	var loads [][]int
	for jars > 0 {
		var layers []int
		for len(layers) < capacity.Layers && jars > 0 {
			n := min(jars, capacity.PerLayer)
			layers = append(layers, n)
			jars -= n
		}
		loads = append(loads, layers)
	}
	return loads
}

// SmallLoad reports whether n jars are fewer than a sensible load: 2 quarts or 4
// pints. Neither USDA nor extension sets a least load; the figure is a jar
// maker's advice of 2016 that Iowa State Extension calls sensible but untested.
// quartClass says that the jars take the quart time.
func SmallLoad(quartClass bool, n int) bool {
	if quartClass {
		return n < 2
	}
	return n < 4
}

// MinimumQuarts is how many quarts a canner must hold to count as one: 4, upright
// on the rack with the lid on (Wisconsin, Iowa State and Clemson Extension).
const MinimumQuarts = 4
