package stock

import (
	"fmt"
	"math"
	"time"

	"brothrun/stock/quantity"
	"brothrun/stock/remark"
	"brothrun/stock/thermo"
)

// Keeps is a span on a calendar.
type Keeps struct{ Years, Months, Days int }

// String writes a span of one unit, as those of holdings are: "2 months", "18 days".
func (k Keeps) String() string {
	switch {
	case k.Years > 0:
		return spanOf(k.Years, "year")
	case k.Months > 0:
		return spanOf(k.Months, "month")
	}
	return spanOf(k.Days, "day")
}

func spanOf(n int, unit string) string {
	if n == 1 {
		return "1 " + unit
	}
	return fmt.Sprintf("%d %ss", n, unit)
}

// Holding is how long broth keeps in one form.
type Holding struct {
	Form  string // one of the forms below
	Least Keeps  // the short end, and what a plan goes by
	// Freezer is the one that Least is for, where it is warmer than the published
	// figure is for; else nil.
	Freezer *quantity.Temperature
	// Source names where the figure comes from, or that there is none.
	Source string
}

// The forms of Holdings: of broth, and of meat.
const (
	InTheFridge = "in the fridge"
	Frozen      = "frozen"
	Canned      = "canned"
	Powder      = "powder"
	// PickedMeat is what is picked off whole birds.
	PickedMeat = "picked meat"
)

// holdings is the table; each takes the short end of what is published.
var holdings = []Holding{
	{Form: InTheFridge, Least: Keeps{Days: 3},
		Source: "USDA time limits for leftovers, meat broth and gravy, in a reprint; an older USDA table has 1 to 2 days"},
	{Form: Frozen, Least: Keeps{Months: 2},
		Source: "USDA time limits for leftovers, soups and broth, in a reprint; Wisconsin Extension has 3 to 4 months"},
	{Form: Canned, Least: Keeps{Years: 1},
		Source: "University of California ANR, master food preservers; Kentucky Extension, citing USDA 2009"},
	{Form: Powder, Least: Keeps{Years: 1}, Source: "common practice, no source"},
	{Form: PickedMeat, Least: Keeps{Days: 3},
		Source: "USDA time limits for leftovers, cooked poultry 3 to 4 days; from memory"},
}

// HoldingOf returns how long broth keeps in a form, as published; ok is false for a form not in the
// table.
func HoldingOf(form string) (h Holding, ok bool) {
	for _, h := range holdings {
		if h.Form == form {
			return h, true
		}
	}
	return Holding{}, false
}

// Holding returns how long the broth of b keeps in a form: as published, but frozen
// for less where its freezer is warmer than the figures are for. ok is false for a
// form not in the table.
func (b Batch) Holding(form string) (h Holding, ok bool) {
	h, ok = HoldingOf(form)
	if form != Frozen || b.Freezer == nil {
		return h, ok
	}
	if least := frozenKeeps(*b.Freezer, h.Least); least != h.Least {
		h.Least, h.Freezer = least, b.Freezer
	}
	return h, ok
}

// BoilBeforeEating is how long home-canned broth may be boiled before it is eaten,
// as an extra measure: 10 min and 1 min for each 1,000 ft above the sea, begun ones
// counted. It saves no jar that failed.
//
// Source: reposted extension texts, second hand.
func BoilBeforeEating(altitude quantity.Length) time.Duration {
	const edge = 1e-5 // of 1,000 ft, for the rounding of feet kept as metres
	return 10*time.Minute + time.Duration(max(0, math.Ceil(altitude.Feet()/1000-edge)))*time.Minute
}

// freezesADay is about what each cubic foot of a freezer freezes fast enough in a
// day: 3 lb; from memory, no source.
const freezesADay = 3 * quantity.Pound

// heavyToFreeze is where the room in a freezer begins to matter, what 3 cubic feet
// freeze in a day; common practice, no source.
const heavyToFreeze = 3 * freezesADay

// muchToFreeze says how much freezer a volume of broth wants if it is heavy; else
// nothing.
func muchToFreeze(broth quantity.Volume) []remark.Note {
	mass := thermo.ColdBroth.Times(broth)
	if mass <= heavyToFreeze {
		return nil
	}
	const litres = 28.3168 // in a cubic foot
	feet := math.Ceil(float64(mass / freezesADay))
	return []remark.Note{remark.Of(remark.MuchToFreeze, freezesADay, mass, feet, feet*litres)}
}
