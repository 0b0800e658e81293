package timeline

import (
	"cmp"
	"math"
	"time"

	"brothrun/stock"
	"brothrun/stock/quantity"
	"brothrun/stock/record"
	"brothrun/stock/settle"
)

// Label is what stands on jars or boxes that are all alike, and how many there are.
type Label struct {
	Form  string // stock.Canned, stock.Frozen or stock.Powder
	Count int
	Jar   string     // canned: its size
	Load  stock.Load // canned: the load it was in
	// Unsaid tells that the load is begun and nothing says that its time was held.
	Unsaid bool
	On     time.Time // when it is canned, frozen or dried; zero: nobody said
	By     time.Time // the last day it is best, at noon; zero: nobody said
}

// Labels are those of a plan: of each load as many as jars are planned or, once their
// seals are noted, sealed; none of a jar noted as broken or unsealed, nor of a load that
// was not processed. What is frozen takes boxes of a size, or as many boxes as are given
// (0: by the size).
func (p Plan) Labels(box quantity.Volume, boxes int) (labels []Label) {
	b := p.Batch
	if b.EndsAtStraining() {
		return nil
	}
	ends := map[string]time.Time{}
	for _, step := range p.Steps {
		ends[step.ID] = step.End
	}
	put := func(l Label) {
		if l.Count > 0 {
			l.By = bestBy(b, l.Form, l.On)
			labels = append(labels, l)
		}
	}
	for _, l := range p.jarLabels() {
		l.On = cmp.Or(l.On, p.loadEnds(l.Load.Number))
		put(l)
	}
	if left := b.Leftover; left.Splash || left.Volume.Likely <= 0 {
		return labels
	} else if left.Route == settle.Freezer {
		volume, on := left.Volume.Likely, ends["leftover"]
		if noted, at := p.putAway(record.Frozen); noted > 0 {
			volume, on = noted, at
		}
		if boxes == 0 {
			boxes = int(math.Ceil(float64(volume/box) - 1e-6)) // a millilitre over needs none
		}
		put(Label{Form: stock.Frozen, Count: max(1, boxes), On: on})
	} else if left.Route == settle.FreezeDry {
		_, dried := p.putAway(record.Dried)
		put(Label{Form: stock.Powder, Count: left.Drying.Jars, On: cmp.Or(dried, ends["dry-check-1"])})
	}
	return labels
}

// loadEnds is when a load is over by the plan; zero without a clock.
func (p Plan) loadEnds(number int) time.Time {
	for _, step := range p.Steps {
		if step.Role == Load && len(step.Loads) > 0 && step.Loads[0].Number == number {
			return step.End
		}
	}
	return time.Time{}
}

// putAway is how much was noted as frozen or dried, by volume, and since when.
func (p Plan) putAway(what record.What) (volume quantity.Volume, on time.Time) {
	for _, e := range p.Record {
		if e.What == what {
			volume, on = volume+e.Volume, cmp.Or(on, e.At)
		}
	}
	return volume, on
}

// jarLabels are those of the jars, load by load. Seals noted without a load count for
// the loads that had begun, the first of them first; a jar that failed, nobody knows of
// which load, is taken off the last.
func (p Plan) jarLabels() (labels []Label) {
	t := tallying{entries: p.Record, all: p.Batch.Loads}
	pool, room := map[string]int{}, map[string]int{}
	for _, e := range p.Record {
		for _, j := range e.Jars {
			if e.What == record.Sealed && e.Load == 0 {
				pool[j.Jar] += j.Count
			}
		}
	}
	for _, load := range p.Batch.Loads {
		canning := Can(load, p.Record)
		if load.Unprocessed || canning.NotProcessed.Code != "" {
			continue
		}
		begun := begunLoad{load, canning, p.loadEnds(load.Number)}
		if len(canning.entries) > 0 {
			begun.since = canning.entries[0].At
		}
		for _, j := range jarsOfLoad(load) {
			n := t.left(begun, j.Jar)
			room[j.Jar] += n
			sealed, of := t.sealedIn(load.Number, j.Jar)
			switch {
			case of:
				n = min(n, sealed)
			case t.lookedAt(begun):
				n = min(n, pool[j.Jar])
				pool[j.Jar] -= n
			}
			labels = append(labels, Label{Form: stock.Canned, Jar: j.Jar, Load: load, Count: n, On: canning.HeatOff,
				Unsaid: canning.Phase != NotOn && !canning.Processed})
		}
	}
	t.withoutFailed(labels, room)
	return labels
}

// sealedIn is how many jars of a size were noted as sealed of a load; of tells that its
// seals were noted by its number.
func (t *tallying) sealedIn(load int, jar string) (sealed int, of bool) {
	for _, e := range t.entries {
		if e.What == record.Sealed && e.Load == load {
			sealed, of = sealed+jarsIn(e, jar), true
		}
	}
	return sealed, of
}

// withoutFailed takes labels off, from the last, until there are no more of a size than
// room has for it, less the jars that failed and nobody said of which load.
func (t *tallying) withoutFailed(labels []Label, room map[string]int) {
	for jar, n := range room {
		most := max(0, n-t.unsealedOfAny(jar))
		for i := range labels {
			if labels[i].Jar == jar {
				labels[i].Count = min(labels[i].Count, most)
				most -= labels[i].Count
			}
		}
	}
}

// jarsOfLoad are the jars of a load over all its layers, by size.
func jarsOfLoad(load stock.Load) (jars []stock.JarCount) {
	for _, layer := range load.Layers {
		for _, j := range layer.Jars {
			jars = addJars(jars, j)
		}
	}
	return jars
}
