package stock

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"brothrun/stock/canner"
	"brothrun/stock/jar"
	"brothrun/stock/kettle"
	"brothrun/stock/packing"
	"brothrun/stock/process"
	"brothrun/stock/quantity"
)

// UnattendedCode is of the one refusal that leaves the canning as it is: the simmer
// is planned with somebody beside it instead.
const UnattendedCode = "unattended-may-boil-dry"

// LongSimmerCode is of the remark on a simmer longer than the directions describe,
// which stands in each load's step too.
const LongSimmerCode = process.LongSimmer

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
			return balanceError(err)
		}
	}
	p.batch.NeedsWatching = !e.Covered || e.MayUncover || e.MayBoilDry
	if !p.batch.NeedsWatching || !p.SimmersAlone {
		return nil
	}
	what := "the bones may stand out of the water before it ends"
	switch {
	case e.MayBoilDry:
		what = "the pot may boil dry"
	case !e.Covered:
		what = "the bones stand out of the water from the start"
	}
	p.refuse(&process.Refusal{Code: UnattendedCode,
		Text:    fmt.Sprintf("A simmer of %s in this pot is not left alone: %s, and bones that boil dry burn.", quantity.FormatDuration(in.Simmer), what),
		Instead: "It is planned with somebody at home; to leave it, put the lid on, take more water or fewer bones, or simmer for less time."})
	return nil
}

// strength refuses a broth that is no longer the one the tested directions
// describe, and remarks on one that is near it. It is for stocks with a process.
func (p *planner) strength() {
	b, y, u := &p.batch, p.batch.Yield, p.batch.Units
	many, err := process.Vegetables(p.Vegetables, p.Bare)
	var refusal *process.Refusal
	if errors.As(err, &refusal) {
		p.refuse(refusal)
	} else if many {
		p.warn("many-vegetables", "The vegetables weigh more than a third of the bones: the tested stock is one of bones. Take fewer, or freeze it.")
	}

	// By the likely estimate: the cook measures what is strained, and is told how much
	// that has to be. The low end would refuse a simmer that nine times in ten is sound.
	boiledOff := y.Evaporated - y.ToppedUp - y.IceMelted
	longest := p.simmers.longest
	switch tier := process.TierOf(b.Simmer, longest, y.Water, boiledOff); tier.Code {
	case process.ReducedTooFar:
		half := y.Water / 2
		instead := "Keep the level up while it simmers (--top-up level), or freeze it."
		if strained := y.Strained.Likely; strained > 0 {
			// At least half of what was put in strained, so that what the bones hold is on
			// the safe side.
			back := max(boiledOff-half, half-strained)
			instead = fmt.Sprintf("Pour about %s of hot water back before it is strained, to at least %s strained, or keep the level up (--top-up level), or freeze it.",
				back.Both(u), (strained + back).Both(u))
		}
		p.refuse(&process.Refusal{Code: tier.Code,
			Text: fmt.Sprintf("%s Of %s about %s boils away.", tier.Text, y.Water.Both(u), boiledOff.Both(u)), Instead: instead})
	case LongSimmerCode:
		p.warn(tier.Code, "%s is longer than the %s the directions describe for %s. %s Half is %s.",
			quantity.FormatDuration(b.Simmer), quantity.FormatDuration(longest), p.What, tier.Text, (y.Water / 2).Both(u))
	}
}

// tooSmall refuses a canner in which fewer quarts stand than the tested process is
// meant for; nil for one that is large enough. Her own count of quarts wins over the
// measures, unless the canner is lower than a quart. Where she counted only other
// jars and gave no width, the canner is taken to be as narrow as they allow. Whose
// quarts does not matter, so regular ones, the narrower, are stood in it.
func (h *House) tooSmall() (*process.Refusal, error) {
	quart, err := jar.Find(string(process.Quart), jar.Regular)
	if err != nil {
		return nil, wrong("jars", err, "")
	}
	can := h.Canner
	capacity, err := can.Capacity(shapeOf(quart))
	var narrow *canner.FitError
	if err != nil && !errors.As(err, &narrow) {
		return nil, cannerError(err)
	}
	stand, by := capacity.PerLayer, "By its measure fewer than %d quarts stand"
	counted, told := can.Holds[quart.Name]
	upright := can.Height >= quart.Height
	switch {
	case told && upright:
		stand, by = counted, "By your count fewer than %d quarts stand"
	case told:
		stand = 0
	case err == nil && !h.WidthGiven && len(can.Holds) > 0:
		by = "By your count of other jars fewer than %d quarts may stand"
		if stand, err = packing.Count(h.narrowest(), quart.PackDiameter); err != nil {
			return nil, wrong("canner.holds", err, "")
		}
	}
	if stand >= canner.MinimumQuarts {
		return nil, nil
	}
	instead := "Use a larger canner, or freeze or freeze-dry it; do not can it in this one."
	if upright && !told {
		instead = fmt.Sprintf("Stand %d empty quarts in it: if the lid closes over them, say so (--holds %s). If not, use a larger canner, or freeze or freeze-dry it.",
			canner.MinimumQuarts, h.withQuarts())
	}
	why := ""
	if narrow != nil {
		why = ": " + strings.TrimPrefix(narrow.Reason, "canner ")
	}
	return &process.Refusal{Code: "canner-too-small", Instead: instead,
		Text: fmt.Sprintf(by+" in this canner, on the rack with the lid on%s. The tested times are for canners that hold them: a smaller one heats and cools too fast.",
			canner.MinimumQuarts, why)}, nil
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
