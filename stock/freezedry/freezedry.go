// Package freezedry plans the freeze-drying of leftover broth: trays and loads,
// hours in the freezer and the dryer, grams of powder, what it is packed in and
// how it is made broth again.
//
// Sources, by tag:
//
//	[FP]   a food-processing text on drying times, read in a web copy: a slab
//	       12.5 mm thick at 75–85 % water dries in 14–18 h, and the time goes
//	       with the square of the thickness.
//	[RUN]  one home freeze-drying of a broth soup: 46 h, depth not stated.
//	[SR28] USDA National Nutrient Database, release 28: solids of stock.
//	[USU]  Utah State University Extension: one 300 cc oxygen absorber per
//	       container of up to a gallon.
//	[MEM]  from memory, no source.
package freezedry

import (
	"cmp"
	"fmt"
	"math"
	"time"

	"brothrun/stock/quantity"
	"brothrun/stock/thermo"
)

// Dryer is a home freeze dryer and how full its trays are filled.
type Dryer struct {
	Trays                 int             // 1 to 20
	TrayLength, TrayWidth quantity.Length // inside, 5 to 100 cm each
	FillDepth             quantity.Length // 5 to 20 mm; zero: 12.5 mm
	// Capacity is the most ice one load may hold, as the dryer is rated, 0.2 to
	// 50 kg; zero: not given, and only the trays are the limit.
	Capacity quantity.Mass
	Assumed  bool // the trays were not measured; the advice then says so
}

// DefaultDryer returns four trays of 45 × 20 cm filled 12.5 mm deep, marked as
// assumed: the size is common practice, no source. Trays should be measured.
func DefaultDryer() Dryer {
	return Dryer{
		Trays: 4, TrayLength: 45 * quantity.Centimetre, TrayWidth: 20 * quantity.Centimetre,
		FillDepth: referenceDepth, Assumed: true,
	}
}

// SolidsKind is what the broth was made of, as far as its solids go.
type SolidsKind string

// The kinds of solids.
const (
	Poultry   SolidsKind = "poultry"
	Beef      SolidsKind = "beef"
	Fish      SolidsKind = "fish"
	Vegetable SolidsKind = "vegetable" // no figure found: a wide guess
	Pork      SolidsKind = "pork"      // no figure found: a wide guess
)

// solids holds the powder a cup gives. Thin shop broth, 5.5 g a cup [SR28], is
// the low end of every meat kind; the high end is the richest of the kind or,
// where one figure is all there is, twice it (a guess).
var solids = map[SolidsKind]quantity.Band[quantity.Mass]{
	Poultry:   quantity.Of(5.5*quantity.Gram, 16.0*quantity.Gram, 18.8*quantity.Gram), // [SR28] chicken, home; 18.8 with its fat
	Beef:      quantity.Of(5.5*quantity.Gram, 9.9*quantity.Gram, 19.8*quantity.Gram),  // [SR28] beef, home
	Fish:      quantity.Of(4.0*quantity.Gram, 7.9*quantity.Gram, 15.8*quantity.Gram),  // [SR28] fish, home; low end half of it, a guess
	Pork:      quantity.Of(5.5*quantity.Gram, 10.0*quantity.Gram, 18.8*quantity.Gram), // a guess between the meats above
	Vegetable: quantity.Of(2.0*quantity.Gram, 6.0*quantity.Gram, 16.0*quantity.Gram),  // a guess, no source
}

const (
	referenceDepth = 12.5 * quantity.Millimetre // [FP]
	leastDepth     = 5 * quantity.Millimetre    // shallower is not believed to dry any faster
	mostDepth      = 20 * quantity.Millimetre   // beyond it the trays spill: common practice, no source

	lowHours    = 14 * time.Hour // [FP] at the reference depth
	likelyHours = 16 * time.Hour
	highHours   = 18 * time.Hour
	homeRun     = 46 * time.Hour // [RUN]
	// shortestRun is the least likely time of any load: cooling the chamber,
	// pumping down and the last drying do not shrink with the depth. Common
	// practice, no source, 6 to 12 h.
	shortestRun = 8 * time.Hour

	// The hours in a home freezer, 24 to 48 h, from one secondary guide. Plank's
	// equation gives 7 h for 12.5 mm cooled from one side (10 W/(m² K), 18 K
	// below freezing, both from memory), so the short end is the likely one.
	preFreezeLow  = 24 * time.Hour
	preFreezeHigh = 48 * time.Hour

	leastCapacity = 0.2 * quantity.Kilogram
	mostCapacity  = 50 * quantity.Kilogram
	mostLoads     = 100 // more is a slip, or a job for a freezer

	// coldBroth is taken for the water in it. The solids take room from the water, so
	// that as ice it is at most 8 % too much: the limit is kept.
	coldBroth = thermo.ColdBroth
	ice       = 0.917 * quantity.KilogramPerLitre // at 0 °C [MEM]

	tablespoon = quantity.Cup / 16
	// jar is what the powder is reckoned to be packed in: a quart, which keeps
	// oxygen out and is far below the gallon of one absorber [USU].
	jar = quantity.Quart
)

// How heavy crumbled powder lies, [MEM]: no figure for broth was found. It is
// light and loose, or dense where it was rich and ground.
const (
	loosePowder  = 0.2 * quantity.KilogramPerLitre
	likelyPowder = 0.3 * quantity.KilogramPerLitre
	densePowder  = 0.5 * quantity.KilogramPerLitre
)

// iceWhileDrying is how cold the ice is while it turns to vapour, −10 to −40 °C
// in any freeze dryer [MEM]; the heat it takes is the same to 0.1 %.
var iceWhileDrying = quantity.Celsius(-20)

// Drying is how a volume of broth is freeze-dried.
type Drying struct {
	Batches   int                          // dryer loads, one after another: len(Loads)
	Loads     []Load                       // all full but the last
	Trays     int                          // in the fullest load
	Depth     quantity.Length              // of broth in a full tray
	Ice       quantity.Mass                // in the fullest load, never more than the dryer's capacity
	Hours     quantity.Band[time.Duration] // in the dryer, all loads
	PerBatch  quantity.Band[time.Duration] // in the dryer, one load
	PreFreeze quantity.Band[time.Duration] // in the freezer before the dryer, until solid
	// Frozen is the room the broth takes as ice, all loads; trays and the air
	// above them come on top.
	Frozen    quantity.Volume
	Powder    quantity.Mass // likely
	PowderLow quantity.Mass
	// PowderHigh is read with PowderLow like a band: below and above one time in ten.
	PowderHigh quantity.Mass
	// Jars is how many quart jars to have ready, each with one 300 cc oxygen
	// absorber: enough for loose powder at the high end, no jar for two loads.
	Jars int
	// Spoon makes a cup of broth from the powder.
	Spoon Spoon
	// LeastEnergy is what turning the ice into vapour takes by physics. A dryer
	// takes several times that; no data.
	LeastEnergy quantity.Energy
	// TraysAssumed says that nobody measured the trays.
	TraysAssumed bool
}

// Load is what goes into the dryer at once.
type Load struct {
	Trays  int // as few as hold it
	Volume quantity.Volume
	Ice    quantity.Mass
}

// Spoon is the powder for one US cup of hot water. Tablespoons are rounded to
// whole ones, at least 1; they rest on a density from memory, so they are a
// range from dense powder to loose.
type Spoon struct {
	Grams                     quantity.Mass
	Fewest, Tablespoons, Most int
}

// Plan returns how volume of skimmed broth is freeze-dried in dryer.
//
// volume is cold, above 0 to 200 l; dryer in the ranges of its fields; kind one
// of the SolidsKind constants. Trays are filled to the fill depth one after
// another. When they do not suffice, or would hold more ice than the dryer's
// capacity, there are more loads, as few as can be and up to 100: all full but
// the last, each on as few trays as hold it.
//
// Hours are 16 h × (depth/12.5 mm)², 14 to 18 h by [FP]. That text is about
// food with less water than broth, and the one home run known took 46 h at an
// unknown depth, so the high end of a load is never below 46 h:
// the likely hours may well be too short. The likely hours are never below 8 h.
// Powder is within a factor of two for poultry, beef and fish, and a guess for
// pork and vegetables. The energy is a lower bound, the heat of sublimation by
// thermo.SublimationHeat times the least water.
//
// Out-of-range, NaN and infinite values and unknown kinds are errors.
func Plan(volume quantity.Volume, dryer Dryer, kind SolidsKind) (Drying, error) {
	if !(volume > 0 && volume <= 200*quantity.Litre) {
		return Drying{}, fmt.Errorf("volume to freeze-dry %.4g l is out of range: give more than 0 and up to 200 l",
			volume.Litres())
	}
	if dryer.FillDepth == 0 {
		dryer.FillDepth = referenceDepth
	}
	if err := dryer.check(); err != nil {
		return Drying{}, err
	}
	cup, ok := solids[kind]
	if !ok {
		return Drying{}, fmt.Errorf("kind of solids %q is not known: use one of %s, %s, %s, %s, %s", kind, Poultry, Beef,
			Fish, Pork, Vegetable)
	}

	loads, err := dryer.loads(volume)
	if err != nil {
		return Drying{}, err
	}
	cups := quantity.Mass(volume.Cups())
	d := Drying{
		Batches: len(loads), TraysAssumed: dryer.Assumed,
		Loads:     loads,
		Trays:     loads[0].Trays,
		Depth:     min(dryer.FillDepth, quantity.Length(float64(loads[0].Volume)/float64(dryer.tray()))),
		Ice:       loads[0].Ice,
		PreFreeze: quantity.Band[time.Duration]{Low: preFreezeLow, Likely: preFreezeLow, High: preFreezeHigh},
		Frozen:    coldBroth.Times(volume).At(ice),
		PowderLow: cups * cup.Low, Powder: cups * cup.Likely, PowderHigh: cups * cup.High,
		Spoon: Spoon{cup.Likely, spoons(cup.Likely, densePowder), spoons(cup.Likely, likelyPowder),
			spoons(cup.Likely, loosePowder)},
	}
	d.PerBatch = hours(d.Depth)
	d.Hours = quantity.Band[time.Duration]{
		Low:    time.Duration(d.Batches) * d.PerBatch.Low,
		Likely: time.Duration(d.Batches) * d.PerBatch.Likely,
		High:   time.Duration(d.Batches) * d.PerBatch.High,
	}
	for _, load := range loads {
		powder := quantity.Mass(load.Volume.Cups()) * cup.High
		d.Jars += roundUp(float64(powder.At(loosePowder)) / float64(jar))
	}
	heat, err := thermo.SublimationHeat(iceWhileDrying)
	if err != nil {
		return Drying{}, err
	}
	d.LeastEnergy = heat.Times(coldBroth.Times(volume) - d.PowderHigh)

	return d, nil
}

// spoons is the whole tablespoons that hold m of powder.
func spoons(m quantity.Mass, powder quantity.Density) int {
	return max(1, int(math.Round(float64(m.At(powder))/float64(tablespoon))))
}

// tray is the area of one tray.
func (d Dryer) tray() quantity.Area { return d.TrayLength.Times(d.TrayWidth) }

// Tray is what one tray holds at its fill depth.
func (d Dryer) Tray() quantity.Volume { return d.tray().Times(cmp.Or(d.FillDepth, referenceDepth)) }

// loads deals volume out to loads of the dryer.
func (d Dryer) loads(volume quantity.Volume) ([]Load, error) {
	tray := d.tray().Times(d.FillDepth)
	full := quantity.Volume(d.Trays) * tray
	if d.Capacity > 0 {
		full = min(full, d.Capacity.At(coldBroth))
	}
	count := roundUp(float64(volume) / float64(full))
	if count > mostLoads {
		return nil, fmt.Errorf("%.4g l take this dryer %d batches, above the limit of %d: check the trays and the capacity, "+
			"or freeze the broth instead", volume.Litres(), count, mostLoads)
	}
	var loads []Load
	for left := volume; len(loads) < count; left -= full {
		v := min(left, full)
		load := Load{Trays: roundUp(float64(v) / float64(tray)), Volume: v, Ice: coldBroth.Times(v)}
		if d.Capacity > 0 {
			load.Ice = min(load.Ice, d.Capacity)
		}
		loads = append(loads, load)
	}
	return loads, nil
}

// hours returns the time of one load at depth [FP], [RUN].
func hours(depth quantity.Length) quantity.Band[time.Duration] {
	ratio := float64(max(depth, leastDepth) / referenceDepth)
	at := func(d time.Duration) time.Duration { return time.Duration(float64(d) * ratio * ratio) }
	return quantity.Band[time.Duration]{Low: at(lowHours), Likely: max(at(likelyHours), shortestRun),
		High: max(at(highHours), homeRun)}
}

// roundUp rounds up, forgiving the rounding error of volumes that fill trays exactly.
func roundUp(x float64) int { return max(1, int(math.Ceil(x-1e-9))) }

func (d Dryer) check() error {
	if d.Trays < 1 || d.Trays > 20 {
		return fmt.Errorf("freeze dryer with %d trays is out of range: give 1 to 20", d.Trays)
	}
	sides := []struct {
		name string
		l    quantity.Length
	}{{"length", d.TrayLength}, {"width", d.TrayWidth}}
	for _, side := range sides {
		if !(side.l >= 5*quantity.Centimetre && side.l <= 100*quantity.Centimetre) {
			return fmt.Errorf("tray %s %.4g cm is out of range: measure the inside, 5 to 100 cm", side.name,
				side.l.Centimetres())
		}
	}
	if !(d.FillDepth >= leastDepth && d.FillDepth <= mostDepth) {
		return fmt.Errorf("fill depth %.4g mm is out of range: give 5 to 20 mm", d.FillDepth.Millimetres())
	}
	if d.Capacity != 0 && !(d.Capacity >= leastCapacity && d.Capacity <= mostCapacity) {
		return fmt.Errorf("freeze dryer capacity %.4g kg of ice is out of range: give 0.2 to 50 kg of water per load",
			d.Capacity.Kilograms())
	}
	return nil
}
