// Package stock plans one batch, from pot to leftover: Plan takes the Setup that
// stock/settle made of a kitchen and a run, and joins the rooms below it (kettle, chill,
// jar, process, canner, loading, freezedry) into a Batch. What is remarked on the way is
// a remark.Note, and what cannot be used a fault.Fault. The questions beside the plan are
// stock/ask's, those of other plans stock/whatif's. It is pure: no clock, no files, no
// printing. The accuracy of a figure is that of the room it comes from.
package stock

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"brothrun/stock/canner"
	"brothrun/stock/chill"
	"brothrun/stock/freezedry"
	"brothrun/stock/kettle"
	"brothrun/stock/packing"
	"brothrun/stock/process"
	"brothrun/stock/quantity"
	"brothrun/stock/remark"
	"brothrun/stock/runfile"
	"brothrun/stock/settle"
	"brothrun/stock/thaw"
)

// Batch is everything one run gives, without a clock: how much broth, which
// jars, which canner loads, how it is chilled and where the rest goes.
type Batch struct {
	Name     string
	Kind     settle.Kind     // "turkey-frames"; several in one pot are joined: "chicken-frames+turkey-necks"
	Altitude quantity.Length // above sea level
	Gauge    process.Gauge
	// OtherGauge is what a canner with the other gauge needs; nil when the cook said
	// which gauge it has, and Gauge is not only assumed.
	OtherGauge *OtherGauge
	Units      quantity.System // which unit the texts put first
	What       string          // "turkey frames", for titles
	Weight     quantity.Mass   // of the bones
	Birds      int             // whole birds, where they were counted; else 0
	// Meat is what is picked off the whole birds, cooked; nothing of all other kinds.
	Meat   quantity.Band[quantity.Mass]
	Solids []Solid // what goes in, kind by kind, the vegetables last
	Thaw   Thaw
	Fuel   Fuel
	Simmer time.Duration
	// NeedsWatching tells that by the low end of the band the bones stand out of the
	// water, or the pot is dry, before the simmer ends when nobody tops it up.
	NeedsWatching bool
	// ShortestSimmer is the short end of what the directions for this kind
	// describe; a simmer below it is not offered.
	ShortestSimmer time.Duration
	Into           string                       // the pot it is strained into, where that is another; may be empty
	TopUp          bool                         // the level is kept up while it simmers
	HeatUp         quantity.Band[time.Duration] // the pot from cold to a simmer
	Reheat         quantity.Band[time.Duration] // the skimmed broth from the fridge to a full boil, all on one burner
	PotTakes       quantity.Volume              // cold broth that fills the pot to the brim once it is hot
	Yield          Yield
	NoFatCap       bool // what is in the pot may give no fat to skim
	// Pots are those of a run of several, each worked out as if alone up to its chill, and
	// sharing what they have in common; nil of one pot. The batch has their sums, the slowest
	// HeatUp and the slowest Chill, with the ice of all.
	Pots  []Batch
	Pot   string       // what a pot of several is called: "roaster", "pot 2"
	Jars  []JarsToFill // what the likely estimate fills, in order of preference
	Loads []Load       // empty when canning is refused
	// FewestLoads and MostLoads are what the low and the high estimate need.
	FewestLoads, MostLoads int
	// LoadChance is the chance of 0, 1, 2 ... loads over the yield's sample; its
	// index is the number of loads. Nil when canning is refused.
	LoadChance []float64
	// SmallLastLoadChance is the share of the yield's sample in which a load comes
	// to fewer jars than is sensible (canner.SmallLoad); 0 unless small loads are
	// allowed.
	SmallLastLoadChance float64
	// Rivals are the plan of jars and loads chosen and those it was chosen over;
	// nil when canning is refused.
	Rivals   []LoadPlan
	Chill    Chill
	Leftover Leftover
	Freezer  *quantity.Temperature // as the cook gave it; nil: not known

	Assumed  []remark.Note // what was not given and had to be assumed
	Warnings []remark.Note // what may go wrong with this plan
	Refusals []remark.Note // what must not be done, each with what to do instead
	Cautions []remark.Note // what every plan says

	// Levers is what single changes would do; nil unless the caller asked for
	// them with whatif.Levers.
	Levers []Lever
	// Drawings are the layers of the loads; nil unless the caller asked for them
	// with ask.Layout.
	Drawings []LayerDrawing
}

// Mixed reports whether there are several kinds in the pot.
func (b Batch) Mixed() bool { return strings.Contains(string(b.Kind), "+") }

// Picked reports whether there is meat to pick off whole birds.
func (b Batch) Picked() bool { return b.Meat.Likely > 0 }

// Refused reports whether canning was refused for safety.
func (b Batch) Refused() bool {
	return slices.ContainsFunc(b.Refusals, func(n remark.Note) bool { return n.Code != remark.UnattendedCode })
}

// EndsAtStraining reports whether a refusal leaves nothing to plan after the
// straining: no chill, loads, route or dates.
func (b Batch) EndsAtStraining() bool {
	return slices.ContainsFunc(b.Refusals, func(n remark.Note) bool {
		return n.Code == remark.ChillTooSlow || n.Code == remark.FridgeTooWarm ||
			n.Code == remark.BrothSpoilt || n.Code == remark.BrothKept
	})
}

// Spoilt reports whether what came has made the broth unsafe for good.
func (b Batch) Spoilt() bool {
	return len(remark.Noted(b.Refusals, remark.BrothSpoilt, remark.BrothKept)) > 0
}

// Solid is one thing that goes into the pot.
type Solid struct {
	What      string // "turkey frames"
	Weight    quantity.Mass
	Vegetable bool
	Count     int // 0: not counted, or not all of it
}

// Add adds as much of the same.
func (s *Solid) Add(more Solid) {
	if s.Weight > 0 && (s.Count == 0 || more.Count == 0) {
		s.Count = 0
	} else {
		s.Count += more.Count
	}
	s.Weight += more.Weight
}

// Thaw is how what goes into the pot thaws.
type Thaw struct {
	Method  thaw.Method
	Package quantity.Mass                // the heaviest, by which Takes is
	Takes   quantity.Band[time.Duration] // nothing where it does not thaw before the pot
}

// Fuel is what the heat of a run takes in; that of a load stands in Load.
type Fuel struct {
	Pot     quantity.Band[quantity.Energy] // until it is strained
	PotTank quantity.Band[quantity.Energy] // of that out of a tank of propane
	Reheat  quantity.Band[quantity.Energy] // of what is canned, once
	// ReheatOnPropane and CannerOnPropane tell what else is fired from a tank.
	ReheatOnPropane, CannerOnPropane bool
}

// OtherGauge is the gauge a canner may have instead of the assumed one.
type OtherGauge struct {
	Gauge    process.Gauge
	Pressure quantity.Pressure // gauge reading to hold; 0: none is tested at this altitude
}

// Pressures says what the gauge has to show: "15 psi", or where nobody said which
// gauge it is both: "10 psi weighted, 11 psi dial". write is quantity.Pressure's
// Format or Both.
func (b Batch) Pressures(load Load, write func(quantity.Pressure, quantity.System) string) string {
	text, other := write(load.Pressure, b.Units), b.OtherGauge
	switch {
	case other == nil:
		return text
	case other.Pressure == 0:
		return fmt.Sprintf("%s %s (%s: none tested)", text, load.Gauge, other.Gauge)
	}
	return fmt.Sprintf("%s %s, %s %s", text, load.Gauge, write(other.Pressure, b.Units), other.Gauge)
}

// Yield is the liquid balance in cold (20 °C) volumes. Single values are the
// likely ones and close: Water + GivenOff − Evaporated + ToppedUp −
// HeldBySolids + IceMelted = Strained.Likely, and Strained.Likely − Fat − Lost =
// ReadyToFill.Likely.
type Yield struct {
	Water        quantity.Volume // poured in at the start
	WaterFits    bool            // the water was worked out to fill the pot to its fill line
	GivenOff     quantity.Volume
	Evaporated   quantity.Volume
	ToppedUp     quantity.Volume
	HeldBySolids quantity.Volume
	IceMelted    quantity.Volume // ice stirred in to chill it, as water; nothing for other chills
	Strained     quantity.Band[quantity.Volume]
	// Least is what is strained one time in forty, or less, when nobody tops it up.
	Least quantity.Volume
	Rests kettle.Rests // what it rests on besides the first guess
	// Causes is what the spread of ReadyToFill comes from, largest first.
	Causes      []kettle.Cause
	Fat         quantity.Volume // skimmed after the chill
	Lost        quantity.Volume // in straining and reheating
	ReadyToFill quantity.Band[quantity.Volume]
}

// JarCount is a number of jars of one size.
type JarCount struct {
	Jar   string // "quart", or the name of a jar of the cook's own
	Count int
}

// JarsToFill is how many jars of one size to fill, by the likely estimate.
type JarsToFill struct {
	JarCount
	Mouth string          // "regular" or "wide"; empty for a jar of the cook's own
	Low   int             // filled by the low estimate
	High  int             // filled by the high estimate
	Wash  int             // jars and lids to wash: High and a spare
	Fill  quantity.Volume // cold broth one jar takes
}

// Load is one canner load.
type Load struct {
	Number   int               // from 1
	Process  time.Duration     // tested process time at pressure
	Pressure quantity.Pressure // gauge reading to hold
	Gauge    process.Gauge
	Layers   []Layer
	// Unprocessed tells that the tested time was not held: what was in it counts for
	// nothing.
	Unprocessed bool
	Small       bool // fewer jars than is sensible: 2 quarts or 4 pints, or as many as the canner holds
	Cycle       canner.Phases
	Fuel        quantity.Band[quantity.Energy] // what the burner takes in
	// WaterPutIn is the water in the canner when the lid goes on; WaterLeft is what
	// venting and the time at pressure leave of it.
	WaterPutIn quantity.Volume
	WaterLeft  quantity.Band[quantity.Volume]
}

// Jars returns the number of jars in the load.
func (l Load) Jars() int {
	n := 0
	for _, layer := range l.Layers {
		for _, j := range layer.Jars {
			n += j.Count
		}
	}
	return n
}

// Contents lists the jars of the load over all its layers: "7 quarts".
func (l Load) Contents() string {
	var names []string
	counts := map[string]int{}
	for _, layer := range l.Layers {
		for _, j := range layer.Jars {
			if counts[j.Jar] == 0 {
				names = append(names, j.Jar)
			}
			counts[j.Jar] += j.Count
		}
	}
	for i, name := range names {
		names[i] = CountJars(counts[name], name)
	}
	return strings.Join(names, ", ")
}

// Holds is the cold broth that the jars of the load take, by what one of each size does.
func (l Load) Holds(fills map[string]quantity.Volume) (broth quantity.Volume) {
	for name, n := range l.counts() {
		broth += quantity.Volume(n) * fills[name]
	}
	return broth
}

// JarsOf writes the jars of some of its loads as ParseJars reads them, in the order
// of preference: "quart=7,pint=9". A run that asks for these fills no others.
func (b Batch) JarsOf(loads []Load) string { return runfile.JarsText(b.WishesOf(loads)...) }

// WishesOf is the jars of some of its loads, as limits, in the order of preference.
func (b Batch) WishesOf(loads []Load) []runfile.JarWish {
	var wishes []runfile.JarWish
	for _, j := range b.Jars {
		n := 0
		for _, load := range loads {
			n += load.counts()[j.Jar]
		}
		if n > 0 {
			wishes = append(wishes, runfile.JarWish{Jar: j.Jar, Limit: n})
		}
	}
	return wishes
}

// CountJars writes a number of jars of one size: "1 quart", "7 quarts".
func CountJars(n int, jar string) string {
	if n == 1 {
		return "1 " + jar
	}
	return fmt.Sprintf("%d %s", n, plural(jar))
}

func plural(jar string) string {
	switch {
	case jar == "pint-and-half":
		return "pints-and-half"
	case strings.HasSuffix(jar, "s"):
		return jar + "es"
	}
	return jar + "s"
}

// Layer is the jars standing on one rack; rack 1 is the lowest.
type Layer struct {
	Rack int
	Jars []JarCount
}

// Chill is how the strained broth is cooled. Times count from 135 °F (57 °C).
type Chill struct {
	Method   chill.Method
	Proposed bool        // chosen by the plan, not by the cook
	To70F    chill.Reach // likely
	To41F    chill.Reach
	// SlowTo70F and SlowTo41F are the slow side, one time in ten slower still.
	SlowTo70F, SlowTo41F chill.Reach
	// HandsOn is from straining until the pot needs nobody: until it goes into the
	// fridge, or is at 41 °F.
	HandsOn quantity.Band[time.Duration]
	// Watched says that HandsOn is only looking in: the pot stands in a freezer or
	// on a porch and has to be taken out in time.
	Watched bool
	Passes  bool
	Verdict chill.Verdict // Passes but for chill.Fail
	Ice     quantity.Mass // what melts, likely
	// IceToHave is what to have in the house: what melts on the slow side, rounded up.
	IceToHave quantity.Mass
	Result    chill.Result  // all that was worked out, and what the method asks
	Notes     []remark.Note // what else to know
}

// Words reads the method aloud: "ice bath stirred, then fridge".
func (c Chill) Words() string {
	return strings.ReplaceAll(strings.ReplaceAll(string(c.Method), "-", " "), "+", ", then ")
}

// Leftover is broth that fills no jar, and where it goes.
type Leftover struct {
	Volume quantity.Band[quantity.Volume]
	Route  settle.Route
	Splash bool // too little to be worth a step of its own
	Flat   bool // frozen flat, to go into the dryer with a later batch
	Asked  bool // the route is the cook's, and is kept to
	// The rest is for the freeze-dry route only.
	Trays     int                          // in the fullest batch
	Batches   int                          // times the dryer is filled
	Depth     quantity.Length              // broth on the tray
	PreFreeze time.Duration                // in the freezer before the dryer
	Hours     quantity.Band[time.Duration] // in the dryer, one batch
	Powder    quantity.Mass                // from the likely volume
	Drying    freezedry.Drying             // the whole of it
	// Advice is what to do, for every route; what a freeze-dried one asks stands in
	// Drying.
	Advice []remark.Note
}

// What somebody does by hand for one load, apart from what the canner does:
// filling, wiping and lidding the jars, and unloading. Common practice, no source.
const (
	FillStart  = 4 * time.Minute  // before the first jar is filled
	FillPerJar = 90 * time.Second // to fill, wipe and lid one
	Unloading  = 10 * time.Minute
)

// StoveTime returns how long the batch has the stove by the likely spans:
// heating up, simmering, reheating and every canner load from lid on to lid off.
func (b Batch) StoveTime() time.Duration {
	total := b.HeatUp.Likely + b.Simmer + b.Reheat.Likely
	for _, load := range b.Loads {
		total += load.Cycle.Total().Likely
	}
	return total
}

// Lever is one single change to a run and what comes of it. Changes are from
// the run as planned: below zero is less. All are likely values.
type Lever struct {
	Code string // stable for scripts: "lid-on"
	What string // for the cook: "lid on"

	Strained, StrainedChange quantity.Volume
	Jars                     []JarCount // what the changed run fills; empty when canning is refused
	JarsChange               int        // of all sizes together
	Loads, LoadsChange       int
	Hours, HoursChange       time.Duration // see Batch.StoveTime
	Leftover, LeftoverChange quantity.Volume

	// Warnings are the codes the change brings, or whose cause it makes worse.
	Warnings []string
}

// JarCounts are the jars to fill, size by size.
func (b Batch) JarCounts() []JarCount {
	var counts []JarCount
	for _, j := range b.Jars {
		counts = append(counts, j.JarCount)
	}
	return counts
}

// SameJars reports whether two plans fill as many jars of each size, in whatever
// order.
func SameJars(a, b []JarCount) bool {
	counts := map[string]int{}
	for _, j := range a {
		counts[j.Jar] += j.Count
	}
	for _, j := range b {
		counts[j.Jar] -= j.Count
	}
	for _, n := range counts {
		if n != 0 {
			return false
		}
	}
	return true
}

// LayerDrawing is one layer of a canner load, seen from above.
type LayerDrawing struct {
	Loads []int // the loads that stack up like this, by number
	Racks []int // the racks of each that carry this layer; 1 is the lowest
	Jars  []JarCount

	Width        quantity.Length // of the canner, inside
	WidthAssumed bool            // nobody measured Width
	Clearance    quantity.Length // that the arrangement keeps off Width
	// Spots is where each jar stands; empty when no arrangement of so many jars is
	// known, because the cook counted more than geometry places (Counted) or none
	// was found.
	Spots   []Spot
	Counted bool // how many jars stand in a layer is by the cook's count
}

// Spot is one jar in a layer.
type Spot struct {
	Jar      string
	Diameter quantity.Length
	At       packing.Point // of its centre, from the middle of the canner
}
