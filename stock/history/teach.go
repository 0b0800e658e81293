package history

import (
	"math"

	"brothrun/stock/kettle"
	"brothrun/stock/quantity"
)

// Habit is one cause, by the notes and before them.
type Habit[Q ~float64] struct {
	Now, Before quantity.Band[Q]
	// Told reports whether the notes tell it at all: its logarithm spreads by less than
	// four fifths of what it did before.
	Told bool
}

// Habits are what the notes say of a pot with its lid and what is in it.
type Habits struct {
	Pot        string // as the kitchen has it; may be empty
	Lid        kettle.Lid
	BoilOff    Habit[quantity.VolumeRate] // at the simmer, cold
	Held       Habit[float64]             // share of the weight of the solids
	All, Alike int                        // as Notes
	// Next is what the next run's spread comes from, largest first.
	Next []kettle.Cause
}

// Habits is what was learned of a pot. Errors are those of kettle.Balance.
func (l *Learned) Habits(in kettle.Input) (Habits, error) {
	h := Habits{Pot: in.PotName, Lid: in.Lid}
	h.All, h.Alike = l.Notes(in)
	model, err := kettle.ModelOf(in)
	if err != nil {
		return h, err
	}
	first, place, z := kettle.FirstGuess(in), l.register.places(in, false), fresh()
	now := make([]kettle.Scores, len(l.points))
	for i, x := range l.points {
		now[i] = scores(x, place, first[i], z[0][i], z[1][i])
	}
	if l.notes == 0 {
		now = first
	}
	h.BoilOff = habit(now, first, model.Rate)
	h.Held = habit(now, first, model.HeldShare)
	e, err := kettle.Balance(l.sharpened(in))
	h.Next = e.Causes
	return h, err
}

// habit is a figure over the points now and before.
func habit[Q ~float64](now, before []kettle.Scores, of func(*kettle.Scores) Q) Habit[Q] {
	const tells = 0.8
	band := func(points []kettle.Scores) (quantity.Band[Q], float64) {
		values, mean, squares := make([]Q, len(points)), 0.0, 0.0
		for i := range points {
			values[i] = of(&points[i])
			log := math.Log(float64(values[i])) / float64(len(points))
			mean += log
			squares += log * log * float64(len(points))
		}
		return quantity.BandOf(values, quantity.Below(values, 0.5)), math.Sqrt(max(0, squares-mean*mean))
	}
	h := Habit[Q]{}
	var spread, spreadBefore float64
	h.Now, spread = band(now)
	h.Before, spreadBefore = band(before)
	h.Told = spread < tells*spreadBefore
	return h
}

// sharpened is a pot with what was learned.
func (l *Learned) sharpened(in kettle.Input) kettle.Input {
	if l.notes > 0 {
		in.Lessons = l
	}
	return in
}
