package stock

import (
	"slices"
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
		p.warn(note(LessThanALoad))
		return
	case len(b.Loads) == 0 && leftOut:
		p.warn(note(LessThanALoad).in("jars"))
		return
	case len(b.Loads) > 0 && lessThanALoad:
		p.warn(note(LessThanALoad).in("canned"))
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
	instead := note(SmallLoad).in("none")
	switch {
	case len(sensible) > 0 && len(small) > 1:
		instead = note(SmallLoad, b.JarsOf(sensible)).in("saves")
	case len(sensible) > 0:
		instead = note(SmallLoad, b.JarsOf(sensible)).in("save")
	}
	switch len(small) {
	case 0:
		if b.SmallLastLoadChance > oftenSmall {
			p.warn(note(SmallLastLoad, 100*b.SmallLastLoadChance))
		}
	case 1:
		p.warn(note(SmallLoad, small[0].Number, small[0], instead))
	default:
		p.warn(note(SmallLoad, len(small), small[0].Number, small[0], instead).in("several"))
	}
}

// valueOf is what a pointer points at, or nothing where it is not given.
func valueOf[T any](given *T) T {
	var value T
	if given != nil {
		value = *given
	}
	return value
}

// SharedJars tells that several batches of one kitchen, that of setup, together fill
// more jars of a size than it has on hand; short is false when they do not.
func SharedJars(setup Setup, batches []Batch) (few Note, short bool) {
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
	var sizesShort []Note
	for _, size := range sizes {
		onHand, counted := setup.shelf.count(size)
		if counted && wanted[size] > onHand {
			sizesShort = append(sizesShort, note(SharedJarsCode, JarCount{size, wanted[size]}, onHand).in("few"))
		}
	}
	if len(sizesShort) == 0 {
		return Note{}, false
	}
	return note(SharedJarsCode, sizesShort), true
}
