package stock

import (
	"time"

	"brothrun/stock/canner"
	"brothrun/stock/fault"
	"brothrun/stock/kettle"
	"brothrun/stock/packing"
	"brothrun/stock/process"
	"brothrun/stock/remark"
	"brothrun/stock/settle"
)

// slowHeatUp is how long raw meat may take through the warm zone: 4 h, as food may
// go without temperature control by the FDA Food Code, 3-501.19 (from memory).
const slowHeatUp = 4 * time.Hour

// watch settles whether the simmer may go on with nobody beside it, by the low end
// of what it may leave: asked for where it may not, it is refused.
func (p *planner) watch(e kettle.Estimate) error {
	in := p.Pot
	if in.TopUp {
		// Nobody is there to pour.
		in.TopUp = false
		var err error
		if e, err = kettle.Balance(in); err != nil {
			return fault.Of("", err, "")
		}
	}
	p.batch.NeedsWatching = !e.Covered || e.MayUncover || e.MayBoilDry
	if !p.batch.NeedsWatching || !p.SimmersAlone {
		return nil
	}
	what := remark.Of(remark.UnattendedCode).In("falls")
	switch {
	case e.MayBoilDry:
		what = remark.Of(remark.UnattendedCode).In("dry")
	case !e.Covered:
		what = remark.Of(remark.UnattendedCode).In("bare")
	}
	p.refuse(remark.Of(remark.UnattendedCode, in.Simmer, what))
	return nil
}

// strength refuses a broth that is no longer the one the tested directions
// describe, and remarks on one that is near it. It is for stocks with a process.
func (p *planner) strength() {
	if len(p.Pots) == 0 {
		p.refuseVegetables(p.Setup)
		p.reduced(p.Setup, p.batch)
	}
	// Each pot is asked by itself: a jar may be filled from one alone.
	for i, pot := range p.Pots {
		p.refuseVegetables(pot)
		p.reduced(pot, p.batch.Pots[i])
	}
}

// refuseVegetables judges how many vegetables there are in a pot: of those that were
// counted the most they may weigh.
func (p *planner) refuseVegetables(pot settle.Setup) {
	many, err := process.Vegetables(pot.Vegetables, pot.Bare)
	tooMany := remark.Of(remark.ManyVegetables)
	refusal, isRefused := process.AsRefusal(err)
	if isRefused {
		tooMany = refusal.Note
	}
	if pot.Pot.Counted.Likely > 0 {
		tooMany = remark.Of(tooMany.Code, pot.Vegetables).In("counted")
	}
	if tooMany.Pot = pot.Label; isRefused {
		p.refuse(tooMany)
	} else if many {
		p.warn(tooMany)
	}
}

// reduced judges how far the broth of a pot is boiled down, and how long it simmers.
func (p *planner) reduced(pot settle.Setup, b Batch) {
	y := b.Yield
	// By the likely estimate: the cook measures what is strained, and is told how much
	// that has to be. The low end would refuse a simmer that nine times in ten is sound.
	boiledOff := y.Evaporated - y.ToppedUp - y.IceMelted
	longest := p.LongestSimmer()
	switch tier := process.TierOf(b.Simmer, longest, y.Water, boiledOff); tier.Code {
	case process.ReducedTooFar:
		refused := remark.Of(tier.Code, y.Water, boiledOff, remark.Of(tier.Code).In("strained"))
		if refused.Pot = pot.Label; pot.Pot.Measured() {
			p.refuse(refused)
			break
		}
		half := y.Water / 2
		instead := remark.Of(tier.Code).In("dry")
		if strained := y.Strained.Likely; strained > 0 {
			// At least half of what was put in strained, so that what the bones hold is on
			// the safe side.
			back := max(boiledOff-half, half-strained)
			instead = remark.Of(tier.Code, back, strained+back).In("back")
		}
		refused.Facts[2] = instead
		p.refuse(refused)
	case process.LongSimmer:
		note := remark.Of(tier.Code, b.Simmer, longest, p.What, y.Water/2)
		if b.Picked() {
			note = note.In("whole")
		}
		note.Pot = pot.Label
		p.warn(note)
	}
}

// checkHolds says where the cook's count of jars in a layer and a measured canner
// contradict each other: more than geometry places at no clearance, or two fewer
// than it places with clearance. One fewer is a stiff rack or a thick jar. Of a canner
// nobody measured a usual one is thought: half as many again may be a count of the
// whole canner (common practice, no source).
// The count is planned with all the same.
func (p *planner) checkHolds(can canner.Canner) error {
	for _, j := range p.batch.Jars {
		counted, given := can.Holds[j.Jar]
		if !given {
			continue
		}
		shape, err := p.Shape(j.Jar)
		if err != nil {
			return err
		}
		diameter := shape.Diameter
		most, err := packing.Count(can.Width, diameter)
		if err != nil {
			return fault.Of("canner", err, "")
		}
		roomy, err := packing.Count(can.Width-can.Gap(), diameter)
		if err != nil {
			return fault.Of("canner", err, "")
		}
		switch {
		case !p.WidthGiven && 2*counted > 3*most:
			p.warn(remark.Of(remark.HoldsGeometry, JarCount{j.Jar, counted}, most, diameter, can.Width).In("unmeasured"))
		case !p.WidthGiven:
		case counted > most && most < packing.Most:
			p.warn(remark.Of(remark.HoldsGeometry, JarCount{j.Jar, counted}, most, diameter, can.Width))
		case counted <= roomy-2:
			p.warn(remark.Of(remark.HoldsGeometry, JarCount{j.Jar, counted}, roomy, diameter, can.Width).In("few"))
		}
	}
	return nil
}
