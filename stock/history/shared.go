package history

import (
	"slices"

	"brothrun/stock/kettle"
)

// Origin is what a run may have in common with another of the same cook: pot, kind of
// bones and lid, by their names.
type Origin struct{ Pot, Kind, Lid string }

// OriginOf names what of a pot is the same when it is used again.
func OriginOf(in kettle.Input) Origin {
	return Origin{potOf(in), kindOf(in), string(in.Lid)}
}

// Shared is which part of a cause's variance two runs of one cook have in common, 0 to 1
// in all: in any case, and more in one pot, of one kind, under one lid.
type Shared struct{ Kitchen, Pot, Kind, Lid float64 }

// SharedOf splits the spread of a cause as notes do: what they learn of a kitchen, a pot,
// a kind or a lid is the same in its next run, and what they do not learn is not. What the
// cook measured is of the pot; the boil-off alone of what can be measured is told apart.
func SharedOf(cause kettle.Cause) Shared {
	split := func(kitchen, part, run float64) (float64, float64) {
		all := kitchen*kitchen + part*part + run*run
		return kitchen * kitchen / all, part * part / all
	}
	var s Shared
	switch {
	case cause.Measured:
		s.Pot = 1
	case cause.Code == "stillness":
		s.Kitchen, s.Pot = split(stillnessOfKitchen, stillnessOfPot, stillnessOfRun)
	case cause.Code == "held":
		s.Kitchen, s.Kind = split(heldOfKitchen, heldOfKind, heldOfRun)
	case cause.Code == "lid":
		s.Lid = 1
	case cause.Code == "pot-width":
		s.Pot = 1
	case slices.Contains([]string{"below-boil", "given-off", "lost"}, cause.Code):
		s.Kitchen = 1
	}
	return s
}
