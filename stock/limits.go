package stock

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"brothrun/stock/canner"
	"brothrun/stock/fault"
	"brothrun/stock/jar"
	"brothrun/stock/kettle"
	"brothrun/stock/packing"
	"brothrun/stock/process"
	"brothrun/stock/quantity"
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
	what := note(UnattendedCode).in("falls")
	switch {
	case e.MayBoilDry:
		what = note(UnattendedCode).in("dry")
	case !e.Covered:
		what = note(UnattendedCode).in("bare")
	}
	p.refuse(note(UnattendedCode, in.Simmer, what))
	return nil
}

// strength refuses a broth that is no longer the one the tested directions
// describe, and remarks on one that is near it. It is for stocks with a process.
func (p *planner) strength() {
	b, y := &p.batch, p.batch.Yield
	many, err := process.Vegetables(p.Vegetables, p.Bare)
	var refusal *process.Refusal
	if errors.As(err, &refusal) {
		p.refuse(refused(refusal))
	} else if many {
		p.warn(note(ManyVegetables))
	}

	// By the likely estimate: the cook measures what is strained, and is told how much
	// that has to be. The low end would refuse a simmer that nine times in ten is sound.
	boiledOff := y.Evaporated - y.ToppedUp - y.IceMelted
	longest := p.simmers.longest
	switch tier := process.TierOf(b.Simmer, longest, y.Water, boiledOff); tier.Code {
	case process.ReducedTooFar:
		half := y.Water / 2
		instead := note(tier.Code).in("dry")
		if strained := y.Strained.Likely; strained > 0 {
			// At least half of what was put in strained, so that what the bones hold is on
			// the safe side.
			back := max(boiledOff-half, half-strained)
			instead = note(tier.Code, back, strained+back).in("back")
		}
		p.refuse(note(tier.Code, y.Water, boiledOff, instead))
	case LongSimmerCode:
		p.warn(note(tier.Code, b.Simmer, longest, p.What, y.Water/2))
	}
}

// tooSmall refuses a canner in which fewer quarts stand than the tested process is
// meant for; ok is false for one that is large enough. Her own count of quarts wins over the
// measures, unless the canner is lower than a quart. Where she counted only other
// jars and gave no width, the canner is taken to be as narrow as they allow. Whose
// quarts does not matter, so regular ones, the narrower, are stood in it.
func (h *House) tooSmall() (refusal Note, ok bool, err error) {
	quart, err := jar.Find(string(process.Quart), jar.Regular)
	if err != nil {
		return Note{}, false, fault.Of("jars", err, "")
	}
	can := h.Canner
	capacity, err := can.Capacity(shapeOf(quart))
	narrow, isNarrow := fault.AsMisfit(err)
	if err != nil && !isNarrow {
		return Note{}, false, fault.Of("canner", err, "")
	}
	stand, by := capacity.PerLayer, note(CannerTooSmall, canner.MinimumQuarts).in("measured")
	counted, told := can.Holds[quart.Name]
	upright := can.Height >= quart.Height
	switch {
	case told && upright:
		stand, by.Case = counted, "counted"
	case told:
		stand = 0
	case err == nil && !h.WidthGiven && len(can.Holds) > 0:
		by.Case = "others"
		if stand, err = packing.Count(h.narrowest(), quart.PackDiameter); err != nil {
			return Note{}, false, fault.Of("canner.holds", err, "")
		}
	}
	if stand >= canner.MinimumQuarts {
		return Note{}, false, nil
	}
	instead := note(CannerTooSmall).in("larger")
	if upright && !told {
		instead = note(CannerTooSmall, canner.MinimumQuarts, h.withQuarts()).in("try")
	}
	why := Note{}
	if isNarrow {
		why = note(CannerTooSmall, strings.TrimPrefix(narrow.Reason, "canner ")).in("because")
	}
	return note(CannerTooSmall, by, why, instead), true, nil
}

// narrowest is the least width of a canner in which as many jars stand as were
// counted.
func (h *House) narrowest() quantity.Length {
	var width quantity.Length
	for name, n := range h.Canner.Holds {
		j, err := h.shelf.find(name, jar.Regular)
		if err != nil {
			continue
		}
		if ratio, err := packing.RadiusRatio(n); err == nil {
			width = max(width, j.PackDiameter*quantity.Length(ratio))
		}
	}
	return width
}

// withQuarts is --holds as given, with the least quarts that do.
func (h *House) withQuarts() string {
	parts := []string{fmt.Sprintf("%s=%d", process.Quart, canner.MinimumQuarts)}
	for _, name := range slices.Sorted(maps.Keys(h.Counted)) {
		parts = append(parts, fmt.Sprintf("%s=%d", name, h.Counted[name]))
	}
	return strings.Join(parts, ",")
}
