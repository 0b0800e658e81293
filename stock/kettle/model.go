package kettle

import (
	"math"
	"slices"

	"brothrun/stock/quantity"
)

// Model is a pot ready to be drawn at any Scores.
type Model struct{ pot pot }

// ModelOf makes a pot ready. What the cook measured of it (Evaporation, Held) and what
// came of it but ToppedUp and NoTopUp is left out, and so is topping up that nobody
// noted. Errors are those of Balance.
func ModelOf(in Input) (Model, error) {
	in.Evaporation, in.Held, in.MayTopUp, in.Lessons = 0, 0, 0, nil
	in.Came = Came{ToppedUp: in.Came.ToppedUp, NoTopUp: in.Came.NoTopUp}
	if err := in.check(); err != nil {
		return Model{}, err
	}
	p, err := in.prepare()
	return Model{p}, err
}

// Outcome is what a cook may measure of one draw.
type Outcome struct {
	Strained, Ready quantity.Volume // cold
	Drained         quantity.Mass   // the solids
	Evaporated      quantity.Volume
}

// At is the outcome at some scores.
func (m *Model) At(score *Scores) Outcome {
	t := m.pot.one(score)
	if in := &m.pot.in; in.TopUp && (in.Came.NoTopUp || in.Came.ToppedUp > 0) {
		more := in.Came.ToppedUp - t.toppedUp // than the level takes
		t.strained, t.ready = max(0, t.strained+more), max(0, t.ready+more)
	}
	return Outcome{
		Strained: t.strained, Ready: t.ready, Evaporated: t.evaporated,
		Drained: m.pot.in.mass() + cold().Times(t.held-t.givenOff+t.fat) -
			quantity.Density(fatDensity.Likely).Times(t.fat),
	}
}

// Strained is the Strained of At alone; quiet is the exponential of LogQuiet.
func (m *Model) Strained(score *Scores, quiet float64) quantity.Volume {
	t := m.pot.boil(score, quiet)
	if in := &m.pot.in; in.TopUp && (in.Came.NoTopUp || in.Came.ToppedUp > 0) {
		return max(0, t.strained+in.Came.ToppedUp-t.toppedUp)
	}
	return t.strained
}

// LogQuiet is the logarithm of what stillness, lid and an assumed pot leave of the
// boil-off of open still water.
func (m *Model) LogQuiet(score *Scores) float64 {
	return logQuiet(m.pot.lid, m.pot.in.WidthAssumed, score)
}

// Rate is the boil-off at the simmer, cold.
func (m *Model) Rate(score *Scores) quantity.VolumeRate {
	return min(m.pot.ceiling, m.pot.rate(score, math.Exp(m.LogQuiet(score))))
}

// HeldShare is what the drained solids hold, over their weight as they went in.
func (m *Model) HeldShare(score *Scores) float64 {
	held := cold().Times(quantity.Volume(m.pot.holds.at(score[OfHeld])))
	return float64(held / m.pot.in.mass())
}

// FirstGuess is the sample of a kitchen nobody has measured, not to be written to: of a
// pot among several with what is its own apart from theirs.
func FirstGuess(in Input) []Scores {
	if in.Nth == 0 {
		return scores()
	}
	points, shared := slices.Clone(scores()), in.shared()
	for k, d := range owned {
		own := ownScores()[in.Nth-1][k]
		for i := range points {
			points[i][d] = math.Sqrt(shared[d])*points[i][d] + math.Sqrt(1-shared[d])*own[i]/Score90
		}
	}
	return points
}
