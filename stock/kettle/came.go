package kettle

import (
	"brothrun/stock/fault"
	"brothrun/stock/quantity"
)

// Came is what was measured of a pot on the day, as cold volumes; 0 is not measured.
// It takes the place of the estimate, and what the estimate then does not explain is
// put down to evaporation, the least known of the terms.
type Came struct {
	Strained quantity.Volume
	Ready    quantity.Volume // cold, skimmed, before anything is filled
	ToppedUp quantity.Volume // all of it
	NoTopUp  bool            // the cook says that nothing was poured in
}

// Measured reports whether the strained broth, or what is ready of it, was measured.
func (c Came) Measured() bool { return c.Strained > 0 || c.Ready > 0 }

// How well broth is measured at the kitchen counter: what is strained, in a hot pot or
// by jugfuls, within 3 %, what is cold and skimmed within 2 %, eight times in ten. Own
// choice, no source: a marked jug is within about 5 %, several of them less.
const (
	strainedWithin = 0.03
	readyWithin    = 0.02
)

// correct puts what was measured into a draw, at the score of the reading. liquid is
// what is in the pot before anything boils away or is poured in.
func (c Came) correct(t *terms, liquid quantity.Volume, keptUp bool, score *Scores) {
	reading := func(within float64) quantity.Volume { return quantity.Volume(1 + within*score[OfStillness]) }
	if !keptUp && (c.ToppedUp > 0 || c.NoTopUp) { // of a level kept up, more may follow
		t.toppedUp, t.unsaid = c.ToppedUp, 0
		t.strained = max(0, liquid-t.evaporated+t.toppedUp)
	}
	if !c.Measured() {
		return
	}
	loss := quantity.Volume(lossFactors.at(score[OfLosses]))
	t.strained = c.Strained * reading(strainedWithin)
	if c.Ready > 0 {
		t.ready = c.Ready * reading(readyWithin)
		if c.Strained == 0 {
			t.strained = (t.ready + t.fat) / (1 - loss)
		}
		t.strained = max(t.strained, t.ready)
		t.fat = min(t.fat, t.strained-t.ready)
		t.lost = t.strained - t.fat - t.ready
	}
	// The account closes: evaporation is what is left of it and, where more was
	// strained than the water and the bones explain, what the bones held.
	t.dry, t.unsaid = false, 0
	if keptUp && c.ToppedUp > 0 {
		t.toppedUp = c.ToppedUp
	}
	t.evaporated = liquid + t.toppedUp - t.strained
	if t.evaporated < 0 {
		t.held, t.evaporated = t.held+t.evaporated, 0
	}
	if t.held < 0 {
		t.givenOff, t.held = t.givenOff-t.held, 0
	}
}

func (c Came) check() error {
	for _, measured := range []struct {
		key    string
		volume quantity.Volume
	}{{"strained", c.Strained}, {"ready", c.Ready}, {"topped-up", c.ToppedUp}} {
		if !(measured.volume >= 0 && measured.volume <= 200*quantity.Litre) {
			return fault.New(measured.key, "measure it again", "%s of %s is out of range: none to 200 l (about 211 qt)",
				measured.key, measured.volume.Both(quantity.US))
		}
	}
	return nil
}
