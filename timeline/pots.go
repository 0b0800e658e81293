package timeline

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"brothrun/stock"
	"brothrun/stock/chill"
	"brothrun/stock/quantity"
)

// Pan is one pot of a run: of several each in the order of Batch.Pots.
type Pan struct {
	Pot  string   // which pot of the kitchen it is; two runs with one name take turns
	Heat Resource // as for Run.Heat
	Into string   // the pot its broth is strained into, where that is another of the kitchen
}

// pans are the pots of a run, one at least.
func (r Run) pans() []Pan {
	switch {
	case len(r.Pans) > 0:
		return r.Pans
	case len(r.Batch.Pots) == 0:
		return []Pan{{r.Pot, r.Heat, r.Into}}
	}
	var all []Pan // on the stove, as nobody says otherwise
	for _, pot := range r.Batch.Pots {
		all = append(all, Pan{Pot: pot.Pot, Into: pot.Into})
	}
	return all
}

// ofPan is the batch that is in a pot.
func (r Run) ofPan(k int) stock.Batch {
	if len(r.Batch.Pots) > k {
		return r.Batch.Pots[k]
	}
	return r.Batch
}

// simmering is the run with another simmer.
func (r Run) simmering(simmer time.Duration) Run {
	r.Batch.Simmer, r.Batch.Pots = simmer, slices.Clone(r.Batch.Pots)
	for i := range r.Batch.Pots {
		r.Batch.Pots[i].Simmer = simmer
	}
	return r
}

func (p Pan) heat() Resource {
	if p.Heat == "" {
		return Stove
	}
	return p.Heat
}

func potNamed(name string) thing { return thing{Pot, strings.ToLower(name)} }

// before and after are the pots a pan's broth is in before it is strained and from then on.
func (p Pan) before() thing { return potNamed(p.Pot) }
func (p Pan) after() thing {
	if p.Into == "" {
		return p.before()
	}
	return potNamed(p.Into)
}

// potsOf are the pots a step takes: those of its pan, or of all.
func (r Run) potsOf(s Step) (pots []thing) {
	for k, pan := range r.pans() {
		if s.Pot != 0 && s.Pot != k+1 {
			continue
		}
		if s.Role <= Strain {
			pots = append(pots, pan.before())
		}
		if s.Role >= Strain {
			pots = append(pots, pan.after())
		}
	}
	return distinct(pots)
}

// things are all pots of a run.
func (r Run) things() (pots []thing) {
	for _, pan := range r.pans() {
		pots = append(pots, pan.before(), pan.after())
	}
	return distinct(pots)
}

func distinct(pots []thing) []thing {
	var all []thing
	for _, pot := range pots {
		if !slices.Contains(all, pot) {
			all = append(all, pot)
		}
	}
	return all
}

// last is the last step of a role: of several pots that of the last.
func (p Plan) last(role Role) (s Step, ok bool) {
	for _, s := range slices.Backward(p.Steps) {
		if s.Role == role {
			return s, true
		}
	}
	return s, false
}

// Chillings are the chills of a plan with notes, as they stand at an instant: the only one
// by its readings. Of several pots, of which no reading is noted, each counts from when it
// was strained, by the notes or else the plan, and is Unread, until the broth is skimmed.
func (p Plan) Chillings(at time.Time) (all []Chilling) {
	if len(p.Batch.Pots) == 0 {
		return []Chilling{Chilled(p.Record, at)}
	}
	if len(p.Record) == 0 {
		return nil
	}
	for _, s := range p.Steps {
		switch {
		case s.Start.After(at):
		case s.Role > Chill && s.Role != InFridge:
			return nil // it is in the fridge no more
		case s.Role == Chill:
			from := s.Start
			all = append(all, Chilling{Pot: p.Batch.Pots[s.Pot-1].Pot,
				From: from, By70F: from.Add(chill.WithinTo70F), By41F: from.Add(chill.WithinTo41F), Reheat: from.Add(reheatWithin)})
		}
	}
	return all
}

// turn is when a pot is lit, after the first is, and what it waits for.
type turn struct {
	lit    time.Duration
	behind int // the pot from which its burner comes; -1: one is free
	places int // of the stove, with those that are on at the same time
}

// turns is when each pot of a run is lit. One cook strains them one after another, each
// chilled before the next is strained: a pot is lit so much later, as likely spans go, and
// not before a burner is free.
func (r Run) turns(burners int) []turn {
	pans := r.pans()
	all := make([]turn, len(pans))
	ends, lateEnds := make([]time.Duration, len(pans)), make([]time.Duration, len(pans)) // of the simmer
	var hands time.Duration                                                              // when they are free
	for k, pan := range pans {
		b := r.ofPan(k)
		cooks := b.HeatUp.Likely + b.Simmer
		t := turn{lit: max(0, hands-cooks), behind: -1, places: 1}
		var alike []int // on the same heat, the last to end first
		for j := range k {
			if pans[j].heat() == pan.heat() && pan.heat() != OwnHeat {
				alike = append(alike, j)
			}
		}
		slices.SortFunc(alike, func(i, j int) int { return cmp.Compare(ends[j], ends[i]) })
		room := burners
		if pan.heat() == Oven {
			room = 1
		}
		late := t.lit
		if len(alike) >= room {
			if t.behind = alike[room-1]; ends[t.behind] > t.lit {
				t.lit = ends[t.behind]
			}
			late = max(late, lateEnds[t.behind])
		}
		ends[k], lateEnds[k] = t.lit+cooks, late+b.HeatUp.High+b.Simmer
		for _, j := range alike {
			if pan.heat() == Stove && lateEnds[j] > t.lit {
				t.places++
			}
		}
		t.places = min(t.places, max(1, room))
		for _, j := range alike { // they share it with this one
			if pan.heat() == Stove && lateEnds[j] > t.lit {
				all[j].places = max(all[j].places, t.places)
			}
		}
		all[k] = t
		hands = max(hands, ends[k]) + straining.Likely
		if c := b.Chill; !c.Watched && !r.Batch.EndsAtStraining() {
			hands += attended(c).Likely
		}
	}
	return all
}

// forEach is how long a step takes that is done for each of several pots: half as long
// again for every further one, to five minutes; common practice, no source.
func (r Run) forEach(span quantity.Band[time.Duration]) quantity.Band[time.Duration] {
	pots := len(r.pans())
	if pots == 1 {
		return span
	}
	times := func(d time.Duration) time.Duration {
		return (d * time.Duration(pots+1) / 2).Round(5 * time.Minute)
	}
	return quantity.Band[time.Duration]{Low: times(span.Low), Likely: times(span.Likely), High: times(span.High)}
}
