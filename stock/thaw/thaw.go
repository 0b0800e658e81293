// Package thaw knows how long frozen bones take to thaw: a day in the fridge for each 4
// to 5 lb, or half an hour a pound in cold water. On the counter there is no way: between
// 40 and 140 °F what grows in meat doubles within the hour.
//
// Sources, by tag:
//
//	[USDA] USDA and HHS guidance on thawing, as reprinted by newspapers and growers 2020
//	       to 2025: 24 h in the fridge at 40 °F for each 4 to 5 lb; in cold water 30 min a
//	       pound, changed every 30 min, and cooked at once; never on the counter.
//	[MEM]  the same guidance, from memory: even a pound takes a day in the fridge, and
//	       what thawed there keeps 1 to 2 days more.
package thaw

import (
	"fmt"
	"strings"
	"time"

	"brothrun/stock/quantity"
)

// Method is how frozen bones thaw.
type Method string

// The methods.
const (
	Unsaid    Method = ""           // nobody said whether they are frozen
	None      Method = "none"       // they are not
	Fridge    Method = "fridge"     // over days
	ColdWater Method = "cold-water" // on the day, with somebody at home
	Pot       Method = "pot"        // not at all: they go in frozen
)

// Parse reads a method, upper and lower case alike; there is none on the counter.
func Parse(text string) (Method, error) {
	switch m := Method(strings.Join(strings.Fields(strings.ToLower(text)), "-")); m {
	case None, Fridge, ColdWater, Pot:
		return m, nil
	case "counter", "warm-water", "hot-water":
		return "", fmt.Errorf("thaw %q is not safe: the outside is warm for hours before the middle is soft", text)
	}
	return "", fmt.Errorf("thaw %q is not known", text)
}

const (
	day = 24 * time.Hour
	// dayThaws and dayThawsAtMost are what a day in the fridge thaws [USDA].
	dayThaws, dayThawsAtMost = 4 * quantity.Pound, 5 * quantity.Pound
	// leastInFridge is what a small package takes [MEM].
	leastInFridge = day
	// poundInWater is what a pound takes in cold water [USDA].
	poundInWater = 30 * time.Minute
)

const (
	// WaterChange is how often the cold water is changed [USDA].
	WaterChange = 30 * time.Minute
	// KeepsAtLeast and KeepsAtMost are how long what thawed in the fridge waits there for
	// the pot [MEM].
	KeepsAtLeast, KeepsAtMost = day, 2 * day
)

// Takes returns how long one package thaws, whatever lies beside it: in the fridge by 5 lb
// and by 4 lb a day, and no less than a day; in cold water 30 min a pound, one figure. It
// is nothing for the other methods. pack is its weight, 0 or more. Accuracy: the published spans;
// loose frames thaw sooner than a block of the same weight.
func Takes(m Method, pack quantity.Mass) quantity.Band[time.Duration] {
	per := func(weight quantity.Mass, span time.Duration) time.Duration {
		return time.Duration(float64(pack/weight) * float64(span)).Round(time.Minute)
	}
	switch m {
	case Fridge:
		soon, late := max(leastInFridge, per(dayThawsAtMost, day)), max(leastInFridge, per(dayThaws, day))
		return quantity.Band[time.Duration]{Low: soon, Likely: (soon + late) / 2, High: late}
	case ColdWater:
		return quantity.Exactly(max(poundInWater, per(quantity.Pound, poundInWater)))
	}
	return quantity.Band[time.Duration]{}
}
