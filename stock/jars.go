package stock

import (
	"slices"

	"brothrun/stock/remark"
	"brothrun/stock/settle"
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
		p.warn(remark.Of(remark.LessThanALoad))
		return
	case len(b.Loads) == 0 && leftOut:
		p.warn(remark.Of(remark.LessThanALoad).In("jars"))
		return
	case len(b.Loads) > 0 && lessThanALoad:
		p.warn(remark.Of(remark.LessThanALoad).In("canned"))
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
	instead := remark.Of(remark.SmallLoad).In("none")
	switch {
	case len(sensible) > 0 && len(small) > 1:
		instead = remark.Of(remark.SmallLoad, b.JarsOf(sensible)).In("saves")
	case len(sensible) > 0:
		instead = remark.Of(remark.SmallLoad, b.JarsOf(sensible)).In("save")
	}
	switch len(small) {
	case 0:
		if b.SmallLastLoadChance > oftenSmall {
			p.warn(remark.Of(remark.SmallLastLoad, 100*b.SmallLastLoadChance))
		}
	case 1:
		p.warn(remark.Of(remark.SmallLoad, small[0].Number, small[0], instead))
	default:
		p.warn(remark.Of(remark.SmallLoad, len(small), small[0].Number, small[0], instead).In("several"))
	}
}

// SharedJars tells that several batches of one kitchen, that of setup, together fill
// more jars of a size than it has on hand; short is false when they do not.
func SharedJars(setup settle.Setup, batches []Batch) (few remark.Note, short bool) {
	if len(batches) < 2 {
		return remark.Note{}, false
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
	var sizesShort []remark.Note
	for _, size := range sizes {
		onHand, counted := setup.Shelf.Count(size)
		if counted && wanted[size] > onHand {
			sizesShort = append(sizesShort, remark.Of(remark.SharedJarsCode, JarCount{size, wanted[size]}, onHand).In("few"))
		}
	}
	if len(sizesShort) == 0 {
		return remark.Note{}, false
	}
	return remark.Of(remark.SharedJarsCode, sizesShort), true
}
