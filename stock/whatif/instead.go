package whatif

import (
	"cmp"
	"slices"
	"sort"
	"time"

	"brothrun/stock"
	"brothrun/stock/kettle"
	"brothrun/stock/quantity"
	"brothrun/stock/settle"
)

// jarsShort is how much less would be left over if there were jars enough; 0 when
// that is not a jar's worth.
func (k kitchen) jarsShort(base stock.Batch) quantity.Volume {
	enough, err := k.cooked.Can(k.setup.WithoutLimits())
	if err != nil || len(enough.Jars) == 0 {
		return 0
	}
	short := base.Leftover.Volume.Likely - enough.Leftover.Volume.Likely
	least := slices.MinFunc(enough.Jars, func(a, b stock.JarsToFill) int { return cmp.Compare(a.Fill, b.Fill) })
	if short < least.Fill {
		return 0
	}
	return short
}

// mostSimmerDown is the longest further simmer that is offered to save a load;
// common practice, no source.
const mostSimmerDown = 12 * time.Hour

// instead is what else saves a load with the racks there are.
func (k kitchen) instead(base stock.Batch) []Instead {
	loads := len(base.Loads)
	if loads == 0 {
		return nil
	}
	var all []Instead
	offer := func(code string, changed stock.Batch, err error) *Instead {
		// An error is of a change that cannot be planned, which is then no way out.
		if err != nil || changed.Refused() || len(changed.Loads) >= loads || len(changed.Loads) == 0 {
			return nil
		}
		all = append(all, Instead{Code: code, Loads: len(changed.Loads), Hours: rackOption(changed).Hours,
			Uncanned: max(0, changed.Leftover.Volume.Likely-base.Leftover.Volume.Likely)})
		one := &all[len(all)-1]
		if code == "freeze" || code == "freeze-dry" {
			one.Uncanned = changed.Leftover.Volume.Likely // all that needs the other route
		}
		return one
	}
	try := func(code string, change func(*settle.Setup)) (*Instead, stock.Batch) {
		setup := k.setup
		change(&setup)
		changed, err := k.can(setup)
		return offer(code, changed, err), changed
	}

	for _, c := range rackPlans(k.setup) {
		if c.code != OwnPlan {
			try(c.code, c.apply)
		}
	}
	if !k.setup.Mix {
		try("mix", func(s *settle.Setup) { s.Mix = true })
	}
	if loads > 1 {
		try("freeze", surplus(base, settle.Freezer))
		if k.setup.HasDryer {
			if one, changed := try("freeze-dry", surplus(base, settle.FreezeDry)); one != nil {
				one.Batches = changed.Leftover.Batches
			}
		}
	}
	if changed, found := k.simmeredDown(base); found {
		if one := offer("simmer-down", changed, nil); one != nil {
			one.Longer = changed.Simmer - base.Simmer
			one.Hours += one.Longer
			one.Uncanned = 0
			one.BoiledAway = base.Yield.ReadyToFill.Likely - changed.Yield.ReadyToFill.Likely
			one.Stronger = float64(base.Yield.ReadyToFill.Likely / changed.Yield.ReadyToFill.Likely)
			// A longer evening is no saving.
			if one.Hours >= rackOption(base).Hours {
				all = all[:len(all)-1]
			}
		}
	}
	return all
}

// surplus leaves the last load out and sends its broth another route.
func surplus(base stock.Batch, route settle.Route) func(*settle.Setup) {
	return func(s *settle.Setup) {
		s.Jars, s.Route = base.WishesOf(base.Loads[:max(0, len(base.Loads)-1)]), route
		s.RouteAsked = true
	}
}

// simmeredDown is the shortest further simmer, lid off and not topped up, that
// saves a load. It is not found when none up to mostSimmerDown does, or to the end of
// the tested directions, past which it must not be canned, or only one that boils half
// of the broth away.
func (k kitchen) simmeredDown(base stock.Batch) (stock.Batch, bool) {
	const step = 10 * time.Minute
	try := func(steps int) (stock.Batch, error) {
		changed := k.setup
		changed.Pot.Simmer, changed.Pot.Lid = base.Simmer+time.Duration(steps)*step, kettle.LidOff
		changed.Pot.TopUp, changed.Pot.MayTopUp = false, 0
		return stock.Plan(changed)
	}
	// Longer only ever boils more away.
	most := int(mostSimmerDown / step)
	if longest := k.setup.LongestSimmer(); longest > 0 {
		most = max(0, min(most, int((longest-base.Simmer)/step)))
	}
	steps := 1 + sort.Search(most, func(i int) bool {
		batch, err := try(1 + i)
		return err != nil || len(batch.Loads) < len(base.Loads)
	})
	if steps > most {
		return stock.Batch{}, false
	}
	batch, err := try(steps)
	return batch, err == nil && batch.Yield.ReadyToFill.Likely >= base.Yield.ReadyToFill.Likely/2
}
