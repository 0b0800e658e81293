package timeline

import (
	"slices"
	"time"

	"brothrun/stock"
	"brothrun/stock/quantity"
	"brothrun/stock/record"
	"brothrun/stock/runfile"
)

// Shelf is what of some runs is there to be eaten, the oldest first.
type Shelf struct {
	Jars          []Shelved
	Frozen, Dried []PutAway
	// Unsafe are the loads that are known not to be processed: none of their jars counts.
	Unsafe []UnsafeLoad
}

// Shelved is jars of one size, of one run, on the shelf.
type Shelved struct {
	Standing
	Of *Outcome
}

// PutAway is broth of one run that is frozen or dried.
type PutAway struct {
	Volume quantity.Volume // frozen
	Weight quantity.Mass   // dried
	On, By time.Time       // put away, and the last day it is best, at noon
	Of     *Outcome
}

// UnsafeLoad is a load that was not processed.
type UnsafeLoad struct {
	CannedLoad
	Of *Outcome
}

// ShelfOf is what stands of runs, which are in order.
func ShelfOf(outcomes []Outcome) (s Shelf) {
	for i := range outcomes {
		o := &outcomes[i]
		for _, l := range o.Loads {
			if l.NotProcessed.Code != "" {
				s.Unsafe = append(s.Unsafe, UnsafeLoad{l, o})
			}
		}
		for _, jars := range o.stands {
			s.Jars = append(s.Jars, Shelved{jars, o})
		}
		if o.spoilt {
			continue
		}
		if o.Frozen > 0 {
			s.Frozen = append(s.Frozen, PutAway{Volume: o.Frozen, On: o.frozenOn, By: o.frozenBy, Of: o})
		}
		if o.Powder > 0 {
			s.Dried = append(s.Dried, PutAway{Weight: o.Powder, On: o.driedOn, By: o.powderBy, Of: o})
		}
	}
	sooner := func(a, b PutAway) int { return a.On.Compare(b.On) }
	slices.SortStableFunc(s.Frozen, sooner)
	slices.SortStableFunc(s.Dried, sooner)
	return s
}

// Total is the jars on the shelf, by size.
func (s Shelf) Total() (total []stock.JarCount) {
	for _, jars := range s.Jars {
		total = addJars(total, jars.JarCount)
	}
	return total
}

// Full is how many jars of each size are full.
func (s Shelf) Full() map[string]int {
	full := map[string]int{}
	for _, j := range s.Total() {
		full[runfile.JarName(j.Jar)] += j.Count
	}
	return full
}

// Overdue reports whether a last day is over at an instant, on the clock of the day.
func Overdue(by, now time.Time) bool {
	return !by.IsZero() && dayNumber(now, by.Location()) > dayNumber(by, by.Location())
}

// Look is what is known of a jar that stands on the shelf.
type Look int

// What is known of jars.
const (
	LookedAt    Look = iota // noted as sealed
	NotLookedAt             // filled and processed, and nobody noted whether it is sealed
	TimeUnsaid              // filled, and nothing says that the tested time was held
)

// Standing is jars of one size on the shelf, of one run.
type Standing struct {
	stock.JarCount
	Look Look
	By   time.Time // the last day it is best, at noon
}

// standing works out which jars stand on the shelf: those noted as sealed, but no more
// than were filled in loads whose seals were looked at, less those found unsealed or
// broken; of other loads those that were filled. Jars of a load that is known not to be
// processed never do, whatever is noted of their seals. What was used was sealed.
func (t *tallying) standing(o *Outcome) {
	if o.spoilt {
		return
	}
	for _, tally := range t.jars {
		looked, unlooked, unsaid := 0, 0, 0
		strict := len(t.loads) >= len(t.all)
		for _, load := range t.loads {
			n := t.left(load, tally.Jar)
			switch {
			case load.bad():
				strict = true
			case load.open():
				strict = true
				unsaid += n
			case t.lookedAt(load):
				looked += n
			case load.canning.Processed:
				unlooked += n
			default:
				unsaid += n
			}
		}
		gone := t.unsealedOfAny(tally.Jar)
		sealed := tally.Sealed
		if strict && len(t.loads) > 0 {
			sealed = min(sealed, max(0, looked-gone))
			unlooked = max(0, unlooked-max(0, gone-looked))
		} else {
			sealed = max(0, sealed-t.lostLater(tally.Jar))
		}
		used := tally.Used
		for _, part := range []struct {
			n    int
			look Look
		}{{sealed, LookedAt}, {unlooked, NotLookedAt}, {unsaid, TimeUnsaid}} {
			taken := min(used, part.n)
			used -= taken
			if part.n > taken {
				left := stock.JarCount{Jar: tally.Jar, Count: part.n - taken}
				o.stands = append(o.stands, Standing{JarCount: left, Look: part.look})
			}
		}
	}
}

// left is the jars of a size in a load, less those that broke in it or did not seal.
func (t *tallying) left(load begunLoad, jar string) int {
	n := 0
	for _, layer := range load.Layers {
		for _, j := range layer.Jars {
			if j.Jar == jar {
				n += j.Count
			}
		}
	}
	for _, e := range t.entries {
		if e.Load == load.Number && (e.What == record.Broken || e.What == record.Unsealed) {
			n -= jarsIn(e, jar)
		}
	}
	return max(0, n)
}

// lookedAt reports whether the seals of a load were looked at: those of all loads are
// that began before.
func (t *tallying) lookedAt(load begunLoad) bool {
	return slices.ContainsFunc(t.entries, func(e record.Entry) bool {
		return e.What == record.Sealed && (e.Load == load.Number || e.Load == 0 && !e.At.Before(load.since))
	})
}

// unsealedOfAny is how many jars did not seal of which nobody said whose load they are.
func (t *tallying) unsealedOfAny(jar string) (n int) {
	for _, e := range t.entries {
		if e.What == record.Unsealed && e.Load == 0 {
			n += jarsIn(e, jar)
		}
	}
	return n
}

// lostLater is how many jars were found unsealed or broken more than a day after they
// were noted as sealed: within it, those that are noted as sealed are the others.
func (t *tallying) lostLater(jar string) (n int) {
	var sealed time.Time
	for _, e := range t.entries {
		switch {
		case e.What == record.Sealed && jarsIn(e, jar) > 0:
			sealed, n = e.At, 0
		case e.What == record.Unsealed || e.What == record.Broken && e.Load > 0:
			if !sealed.IsZero() && e.At.Sub(sealed) > day {
				n += jarsIn(e, jar)
			}
		}
	}
	return n
}

func jarsIn(e record.Entry, jar string) (n int) {
	for _, j := range e.Jars {
		if j.Jar == jar {
			n += j.Count
		}
	}
	return n
}
