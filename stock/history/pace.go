package history

import (
	"math"
	"slices"
	"time"

	"brothrun/stock/canner"
	"brothrun/stock/quantity"
	"brothrun/stock/record"
	"brothrun/stock/settle"
)

// How far a canner's own pace may be from what is planned, and how loads of one canner
// differ and are noted, as log standard deviations: own choice, no source.
const (
	paceWithin = 0.6
	loadWithin = 0.12
)

// stove is a canner, its burner and where they stand.
type stove struct {
	vessel   canner.Vessel
	burner   canner.Burner
	outdoors bool
}

func stoveOf(l canner.Load) stove { return stove{l.Vessel, l.Burner, l.Place.Outdoors} }

// phases are the logarithms of noted over planned times.
type phases struct{ heatUp, pressurise, depressurise []float64 }

// paced reads how long the phases of a run's loads took.
func (l *Learned) paced(run Run) {
	at := stoveOf(run.Setup.Firing)
	p := l.stoves[at]
	if p == nil {
		p = &phases{}
		l.stoves[at] = p
	}
	for i, planned := range run.Loads {
		t := timesOf(run.Entries, i+1)
		add := func(all *[]float64, from, to time.Time, planned quantity.Band[time.Duration]) {
			if !from.IsZero() && to.After(from) && planned.Likely > 0 {
				*all = append(*all, math.Log(float64(to.Sub(from))/float64(planned.Likely)))
			}
		}
		add(&p.heatUp, t[record.Began], t[record.Steam], planned.HeatUp)
		add(&p.pressurise, t[record.Vented], t[record.AtPressure], planned.Pressurise)
		add(&p.depressurise, t[record.HeatOff], t[record.Zero], planned.Depressurise)
	}
}

// timesOf is when each phase of a load began, where it went through them once; a load
// that fell or was heated again tells nothing of its pace from there on.
func timesOf(entries []record.Entry, load int) map[record.What]time.Time {
	times := map[record.What]time.Time{}
	for _, e := range entries {
		if e.Load != load {
			continue
		}
		switch _, twice := times[e.What]; {
		case e.What == record.Fell || twice && e.What.OfLoad():
			return times
		case e.What.OfLoad() || e.What == record.Began:
			times[e.What] = e.At
		}
	}
	return times
}

// paceOf is what the notes of one phase teach: the mode of its factor on the scale of
// logarithms, outliers let down as those of the pot are, and the spread of a next load.
func paceOf(logs []float64) canner.Factor {
	if len(logs) == 0 {
		return canner.Factor{}
	}
	const steps = 8
	mode, kappa2, variance := quantity.Below(slices.Clone(logs), 0.5), 1.0, loadWithin*loadWithin
	precision := 0.0
	for range steps {
		sum, over, under := 0.0, 4.0, 4.0
		precision = 1 / (paceWithin * paceWithin)
		for _, log := range logs {
			r := log - mode
			weight := narrow(r, kappa2*variance)
			precision += weight / (kappa2 * variance)
			sum += weight * log / (kappa2 * variance)
			over += weight * r * r / variance
			under += weight
		}
		mode = sum / precision
		kappa2 = max(1, over/under)
	}
	return canner.Factor{Likely: math.Exp(mode), Spread: math.Sqrt(1/precision + kappa2*variance)}
}

// Pace is what the notes teach of a canner on its burner.
func (l *Learned) Pace(load canner.Load) canner.Pace {
	p := l.stoves[stoveOf(load)]
	if p == nil {
		return canner.Pace{}
	}
	return canner.Pace{
		HeatUp: paceOf(p.heatUp), Pressurise: paceOf(p.pressurise), Depressurise: paceOf(p.depressurise),
	}
}

// Sharpen is the setup of a next run with what was learned.
func (l *Learned) Sharpen(setup settle.Setup) settle.Setup {
	setup = setup.Each(func(s *settle.Setup) { s.Pot = l.sharpened(s.Pot) })
	setup.Firing.Pace = l.Pace(setup.Firing)
	return setup
}
