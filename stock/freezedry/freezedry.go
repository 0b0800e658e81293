// Package freezedry plans the freeze-drying of leftover broth: trays, hours in
// the dryer and grams of powder.
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
package freezedry

import (
	"fmt"
	"math"
	"time"

	"brothrun/stock/quantity"
)

// Dryer is a home freeze dryer and how full its trays are filled.
type Dryer struct {
	Trays                 int             // 1 to 20
	TrayLength, TrayWidth quantity.Length // inside, 5 to 100 cm each
	FillDepth             quantity.Length // 5 to 20 mm; zero: 12.5 mm
	Assumed               bool            // the trays were not measured; the advice then says so
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

// perCup is skimmed solids in a US cup of broth.
type perCup struct{ low, likely, high quantity.Mass }

// solids holds the powder a cup gives. Thin shop broth, 5.5 g a cup [SR28], is
// the low end of every meat kind; the high end is the richest of the kind or,
// where one figure is all there is, twice it (a guess).
var solids = map[SolidsKind]perCup{
	Poultry:   {5.5 * quantity.Gram, 16.0 * quantity.Gram, 18.8 * quantity.Gram}, // [SR28] chicken, home; 18.8 with its fat
	Beef:      {5.5 * quantity.Gram, 9.9 * quantity.Gram, 19.8 * quantity.Gram},  // [SR28] beef, home
	Fish:      {4.0 * quantity.Gram, 7.9 * quantity.Gram, 15.8 * quantity.Gram},  // [SR28] fish, home; low end half of it, a guess
	Pork:      {5.5 * quantity.Gram, 10.0 * quantity.Gram, 18.8 * quantity.Gram}, // a guess between the meats above
	Vegetable: {2.0 * quantity.Gram, 6.0 * quantity.Gram, 16.0 * quantity.Gram},  // a guess, no source
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

	// preFreeze is the short end of 24–48 h in a home freezer, from one secondary guide.
	preFreeze = 24 * time.Hour
)

// Drying is how a volume of broth is freeze-dried.
type Drying struct {
	Batches   int                   // dryer loads, one after another
	Trays     int                   // in the fullest load
	Depth     quantity.Length       // of broth in a full tray
	Hours     quantity.DurationBand // in the dryer, all loads
	PerBatch  quantity.DurationBand // in the dryer, one load
	Powder    quantity.Mass         // likely
	PowderLow quantity.Mass
	// PowderHigh is read with PowderLow like a band: below and above one time in ten.
	PowderHigh quantity.Mass
	PreFreeze  time.Duration // in the freezer before the dryer, until solid
	Advice     string
}

// Plan returns how volume of skimmed broth is freeze-dried in dryer.
//
// volume is cold, above 0 to 200 l; dryer in the ranges of its fields; kind one
// of the SolidsKind constants. Trays are filled to the fill depth one after
// another; when they do not suffice there are more loads.
//
// Hours are 16 h × (depth/12.5 mm)², 14 to 18 h by [FP]. That text is about
// food with less water than broth, and the one home run known took 46 h at an
// unknown depth, so the high end of a load is never below 46 h:
// the likely hours may well be too short. Powder is within a factor of two for
// poultry, beef and fish, and a guess for pork and vegetables.
//
// Out-of-range, NaN and infinite values and unknown kinds are errors.
func Plan(volume quantity.Volume, dryer Dryer, kind SolidsKind) (Drying, error) {
	if !(volume > 0 && volume <= 200*quantity.Litre) {
		return Drying{}, fmt.Errorf("volume to freeze-dry %.4g l is out of range: give more than 0 and up to 200 l", volume.Litres())
	}
	if dryer.FillDepth == 0 {
		dryer.FillDepth = referenceDepth
	}
	if err := dryer.check(); err != nil {
		return Drying{}, err
	}
	cup, ok := solids[kind]
	if !ok {
		return Drying{}, fmt.Errorf("kind of solids %q is not known: use one of %s, %s, %s, %s, %s", kind, Poultry, Beef, Fish, Pork, Vegetable)
	}

	base := dryer.TrayLength.Times(dryer.TrayWidth)
	trays := roundUp(float64(volume) / float64(base.Times(dryer.FillDepth)))
	d := Drying{
		Batches:   roundUp(float64(trays) / float64(dryer.Trays)),
		Trays:     min(trays, dryer.Trays),
		Depth:     min(dryer.FillDepth, quantity.Length(float64(volume)/float64(base))),
		PreFreeze: preFreeze,
	}
	d.PerBatch = hours(d.Depth)
	d.Hours = quantity.DurationBand{
		Low:    time.Duration(d.Batches) * d.PerBatch.Low,
		Likely: time.Duration(d.Batches) * d.PerBatch.Likely,
		High:   time.Duration(d.Batches) * d.PerBatch.High,
	}
	cups := quantity.Mass(volume.Cups())
	d.PowderLow, d.Powder, d.PowderHigh = cups*cup.low, cups*cup.likely, cups*cup.high

	d.Advice = fmt.Sprintf("Skim off all the fat, fill the trays level and below the rim, and freeze them solid before the dryer. "+
		"Dry until no spot feels cold or damp. Seal the powder in a dry jar with one 300 cc oxygen absorber; about %.0f g in a cup of hot water make a cup of broth. "+
		"Freeze-drying does not kill germs: broth made from the powder is fresh food, to be kept cold and eaten soon.", cup.likely.Grams())
	if dryer.Assumed {
		d.Advice += " The trays are assumed, not measured: measure yours."
	}
	return d, nil
}

// hours returns the time of one load at depth [FP], [RUN].
func hours(depth quantity.Length) quantity.DurationBand {
	ratio := float64(max(depth, leastDepth) / referenceDepth)
	at := func(d time.Duration) time.Duration { return time.Duration(float64(d) * ratio * ratio) }
	return quantity.DurationBand{Low: at(lowHours), Likely: max(at(likelyHours), shortestRun), High: max(at(highHours), homeRun)}
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
			return fmt.Errorf("tray %s %.4g cm is out of range: measure the inside, 5 to 100 cm", side.name, side.l.Centimetres())
		}
	}
	if !(d.FillDepth >= leastDepth && d.FillDepth <= mostDepth) {
		return fmt.Errorf("fill depth %.4g mm is out of range: give 5 to 20 mm", d.FillDepth.Millimetres())
	}
	return nil
}
