package process

import (
	"time"

	"brothrun/stock/quantity"
)

// Tier is how far a broth is from the one the tested directions describe, by how
// long it simmered and what boiled away.
type Tier struct {
	Code string // of the remark or refusal; empty where nothing is said
	Why  string // where the tier begins, and from what source
}

// The codes of the tiers of which something is said.
const (
	LongSimmer    = "long-simmer"
	ReducedTooFar = "reduced-too-far"
)

// The tiers, mildest first.
var (
	described = Tier{Why: "within the simmer of the directions: chicken or turkey 30 to 45 min, beef 3 to 4 h [USDA]"}
	long      = Tier{
		Code: LongSimmer,
		Why: "past the simmer of the directions [USDA]; too little is known of gelatin to take bone broth for the broth of " +
			"tested recipes " +
			"(a news item of the National Center for Home Food Preservation). A jar maker's published bone broth simmers 14 h " +
			"and takes " +
			"the ordinary times once it is back at its volume",
	}
	reduced = Tier{
		Code: ReducedTooFar,
		Why:  "twice as strong, when half of the water has gone: own cut-off, no source",
	}
)

// TierOf returns the tier of a broth. simmer is how long it simmered and longest
// what the directions describe for it, 0 where they describe no end; water is what
// was poured in, and boiledOff what left it and was not poured back, hot or as ice.
//
// Of the water put in, because that is what a cook can measure and what the rule
// is told by. What the bones give off is not counted as water, since it is broth
// already; what they hold is, since it is as strong as the rest.
func TierOf(simmer, longest time.Duration, water, boiledOff quantity.Volume) Tier {
	switch {
	case boiledOff > water/2:
		return reduced
	case longest > 0 && simmer > longest:
		return long
	}
	return described
}

// Vegetables may weigh up to a third of the bones without a word, and up to as
// much as they do with one: own cut-offs, no source. The published stock is of
// bones, and no process for one of vegetables was found.
const vegetablesUnsaid = 1.0 / 3

// Vegetables says whether bones with vegetables beside them still make the stock
// of the bones: many tells that the cook should hear of it, and a *Refusal that
// it is more a stock of vegetables. The weights are as they go into the pot.
func Vegetables(vegetables, bones quantity.Mass) (many bool, err error) {
	const rounding = 1 + 1e-9 // of pounds kept as kilograms
	if vegetables > bones*rounding {
		return true, refuse(MostlyVegetables, "")
	}
	return vegetables > bones*vegetablesUnsaid*rounding, nil
}
