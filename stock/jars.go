package stock

import (
	"fmt"
	"slices"
	"strings"
)

// oftenSmall is the chance from which the cook is told beforehand what to do with
// a small last load; common practice, no source.
const oftenSmall = 0.25

// smallLoads warns of loads too small to be sensible, and where nothing is canned
// because they are not allowed. lessThanALoad says that all the broth there is
// makes no sensible load, however many jars there are.
func (p *planner) smallLoads(lessThanALoad bool) {
	b := &p.batch
	leftOut := slices.ContainsFunc(b.Rivals, func(plan LoadPlan) bool { return plan.SmallLoads })
	switch {
	case len(b.Loads) == 0 && leftOut && lessThanALoad:
		p.warn(lessThanALoadCode, "All of it is less than one sensible load, 2 quarts or 4 pints: no load is planned, and all of it is left over. Take a bigger pot, or can it all the same (--small-loads) and fill the gaps with open jars of hot water. No tested least load exists.")
		return
	case len(b.Loads) == 0 && leftOut:
		p.warn(lessThanALoadCode, "The jars there are make no sensible load, 2 quarts or 4 pints: no load is planned, and all of the broth is left over. Have more jars, or can it all the same (--small-loads) and fill the gaps with open jars of hot water. No tested least load exists.")
		return
	case len(b.Loads) > 0 && lessThanALoad:
		p.warn(lessThanALoadCode, "All of it is less than one sensible load, 2 quarts or 4 pints: take a bigger pot or freeze it (--small-loads=false), or fill the gaps with open jars of hot water. No tested least load exists.")
		return
	}
	var small, sensible []Load
	for _, load := range b.Loads {
		if load.Small {
			small = append(small, load)
		} else {
			sensible = append(sensible, load)
		}
	}
	instead := "plan none so small (--small-loads=false)"
	switch {
	case len(sensible) > 0 && len(small) > 1:
		instead = fmt.Sprintf("freeze that broth and save the loads (--jars %s)", b.JarsOf(sensible))
	case len(sensible) > 0:
		instead = fmt.Sprintf("freeze that broth and save the load (--jars %s)", b.JarsOf(sensible))
	}
	switch len(small) {
	case 0:
		if b.SmallLastLoadChance > oftenSmall {
			p.warn("small-last-load", "The odds are %.0f %% that the last load comes to fewer jars than is sensible, 2 quarts or 4 pints. Measure the skimmed broth before the first load: then leave a few jars of that load for the last one, or freeze what is over and save the load, or fill the gaps with open jars of hot water.",
				100*b.SmallLastLoadChance)
		}
	case 1:
		p.warn("small-load", "Load %d has only %s: %s, or fill the gaps with open jars of hot water. No tested least load exists; 2 quarts or 4 pints are usual.",
			small[0].Number, small[0].Contents(), instead)
	default:
		p.warn("small-load", "%d loads have only a few jars, such as load %d with %s: %s, or fill the gaps with open jars of hot water. No tested least load exists; 2 quarts or 4 pints are usual.",
			len(small), small[0].Number, small[0].Contents(), instead)
	}
}

const lessThanALoadCode = "less-than-a-load"

// valueOf is what a pointer points at, or nothing where it is not given.
func valueOf[T any](given *T) T {
	var value T
	if given != nil {
		value = *given
	}
	return value
}

// SharedJars tells that several batches of one kitchen, that of setup, together fill more jars of a
// size than it has on hand; short is false when they do not.
func SharedJars(setup Setup, batches []Batch) (note Note, short bool) {
	if len(batches) < 2 {
		return Note{}, false
	}
	wanted := map[string]int{}
	var sizes []string
	for _, b := range batches {
		for _, j := range b.Jars {
			if wanted[j.Jar] == 0 {
				sizes = append(sizes, j.Jar)
			}
			wanted[j.Jar] += j.Count
		}
	}
	var few []string
	for _, size := range sizes {
		onHand, counted := setup.shelf.count(size)
		if counted && wanted[size] > onHand {
			few = append(few, fmt.Sprintf("%s for all runs, and %d on hand", CountJars(wanted[size], size), onHand))
		}
	}
	if len(few) == 0 {
		return Note{}, false
	}
	return Note{Code: "shared-jars", Text: fmt.Sprintf("Each run counts on the whole shelf of jars: %s. Empty some in between, get more, or plan the later run with what is left (--jars).", strings.Join(few, "; "))}, true
}
