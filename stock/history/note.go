package history

import (
	"cmp"
	"math"
	"slices"
	"strings"
	"time"

	"brothrun/stock/canner"
	"brothrun/stock/kettle"
	"brothrun/stock/quantity"
	"brothrun/stock/record"
	"brothrun/stock/remark"
	"brothrun/stock/settle"
)

// Run is one past run and what was noted of it.
type Run struct {
	Setup   settle.Setup
	Entries []record.Entry
	Loads   []canner.Phases // as they were planned without what is learned
}

// What a run has to say before anything is learned from it.
const (
	NeedsVolume    = "volume" // strained or ready
	NeedsHotOrCold = "heat"   // strained, neither hot nor cold
	NeedsTopUp     = "top-up" // none, or how much
	NeedsSimmer    = "simmer" // how long it was
	NeedsLid       = "lid"    // on, ajar or off
	NeedsOnePot    = "pots"   // what it says is of several
	NeedsSense     = "sense"  // a pot that can be, and a volume that is not nothing
	simmerStep     = "simmer" // the step it is
	strainStep     = "strain" // and the one that ends it
)

// note is a run that says what is required.
type note struct {
	in       kettle.Input
	model    kettle.Model
	strained bool // volume is strained; else ready to fill
	volume   quantity.Volume
	log      float64       // the logarithm of volume
	drained  quantity.Mass // 0: not weighed
	at       places
}

// noteOf reads what a run says, or what it does not.
func noteOf(run Run) (n note, missing []string) {
	in := run.Setup.Pot
	need := func(code string) { missing = append(missing, code) }
	heatUnsaid, poured := false, in.MayTopUp == 0 && !in.TopUp
	in.Came = kettle.Came{NoTopUp: poured}
	for _, e := range run.Entries {
		switch e.What {
		case record.Strained:
			n.volume, n.strained, heatUnsaid = e.ColdVolume(), true, e.HeatUnsaid
		case record.Ready:
			if !n.strained {
				n.volume = e.ColdVolume()
			}
		case record.Drained:
			n.drained = e.Weight
		case record.ToppedUp:
			in.Came.ToppedUp += e.Volume
			in.Came.NoTopUp, poured = in.Came.ToppedUp == 0, true
		}
	}
	if len(run.Setup.Pots) > 0 {
		return n, []string{NeedsOnePot}
	}
	if n.volume == 0 {
		need(NeedsVolume)
	}
	if heatUnsaid {
		need(NeedsHotOrCold)
	}
	if !poured {
		need(NeedsTopUp)
	}
	if len(run.Setup.Assumption(remark.LidAssumed)) > 0 {
		need(NeedsLid)
	}
	simmer, said := simmered(run)
	if !said {
		need(NeedsSimmer)
	}
	if len(missing) > 0 {
		return n, missing
	}
	in.Simmer = simmer
	n.in, n.log = in, logOf(float64(n.volume))
	var err error
	if n.model, err = kettle.ModelOf(in); err != nil {
		need(NeedsSense)
	}
	return n, missing
}

// simmered is how long a run simmered: between its notes, or else as the run file has
// it and as much longer as was noted.
func simmered(run Run) (span time.Duration, said bool) {
	var began, ended time.Time
	span = run.Setup.Pot.Simmer
	said = len(run.Setup.Assumption(remark.SimmerAssumed)) == 0
	for _, e := range run.Entries {
		switch {
		case e.What == record.Late && e.Step == simmerStep:
			span += e.Span
		case e.What == record.Began && e.Step == simmerStep:
			began = e.At
		case !ended.IsZero():
		case e.What == record.Done && e.Step == simmerStep, e.What == record.Began && e.Step == strainStep:
			ended = e.At
		}
	}
	if !began.IsZero() && ended.After(began) {
		return ended.Sub(began), true
	}
	return span, said
}

// potOf names a pot: as the kitchen does, or by its volume and width.
func potOf(in kettle.Input) string {
	return cmp.Or(in.PotName, in.Pot.Format(quantity.Metric)+" "+in.PotWidth.Format(quantity.Metric))
}

// kindOf names what is in a pot.
func kindOf(in kettle.Input) string {
	var kinds []string
	for _, portion := range in.Bones {
		if !slices.Contains(kinds, portion.Kind) {
			kinds = append(kinds, portion.Kind)
		}
	}
	slices.Sort(kinds)
	return strings.Join(kinds, "+")
}

// The parameters: standard normal scores, these of the kitchen and one more for each
// pot, pot whose width is assumed, kind and lid that was met.
const (
	ofStillness = iota
	ofHeld
	ofBelowBoil
	ofGivenOff
	ofLosses
	ofKitchen
)

// How the spread of the first guess is split, as log standard deviations: between
// kitchens, between pots or kinds of one kitchen, and between runs. The split is assumed.
const (
	stillnessOfKitchen, stillnessOfPot, stillnessOfRun = 0.565, 0.30, 0.20
	heldOfKitchen, heldOfKind, heldOfRun               = 0.394, 0.30, 0.15
)

var (
	stillnessSpread = math.Hypot(stillnessOfKitchen, stillnessOfPot)
	heldSpread      = math.Hypot(heldOfKitchen, heldOfKind)
)

// places are the parameters of a run beside those of the kitchen; -1 for one that was
// not met.
type places struct{ pot, width, kind, lid int }

// register is which pots, kinds and lids were met, by name.
type register struct {
	at   map[string]int
	size int
}

func (r *register) place(name string, add bool) int {
	if place, known := r.at[name]; known {
		return place
	}
	if !add {
		return -1
	}
	r.at[name] = r.size
	r.size++
	return r.size - 1
}

func (r *register) places(in kettle.Input, add bool) places {
	p := places{
		pot: r.place("pot "+potOf(in), add), width: -1, lid: -1,
		kind: r.place("kind "+kindOf(in), add),
	}
	if in.WidthAssumed {
		p.width = r.place("width "+potOf(in), add)
	}
	if in.Lid != kettle.LidOff {
		p.lid = r.place("lid "+string(in.Lid), add)
	}
	return p
}

// at is the parameter at a place, or else the score of one that was not met.
func at(x []float64, place int, fresh float64) float64 {
	if place < 0 {
		return fresh
	}
	return x[place]
}

// scores are the kettle's scores at some parameters; fresh are those of what was not
// met, and of all that is not learned.
func scores(x []float64, p places, fresh kettle.Scores, freshPot, freshKind float64) kettle.Scores {
	s := fresh
	s[kettle.OfStillness] = (stillnessOfKitchen*x[ofStillness] + stillnessOfPot*at(x, p.pot, freshPot)) /
		(stillnessSpread * kettle.Score90)
	s[kettle.OfHeld] = (heldOfKitchen*x[ofHeld] + heldOfKind*at(x, p.kind, freshKind)) / (heldSpread * kettle.Score90)
	s[kettle.OfBelowBoil] = x[ofBelowBoil] / kettle.Score90
	s[kettle.OfGivenOff] = x[ofGivenOff] / kettle.Score90
	s[kettle.OfLosses] = x[ofLosses] / kettle.Score90
	if p.lid >= 0 {
		s[kettle.OfLid] = x[p.lid] / kettle.Score90
	}
	if p.width >= 0 {
		s[kettle.OfShape] = x[p.width] / kettle.Score90
	}
	return s
}
