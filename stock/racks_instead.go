package stock

import (
	"cmp"
	"slices"
	"sort"
	"time"

	"brothrun/stock/quantity"
	"brothrun/stock/runfile"
)

// jarsShort is how much less would be left over if there were jars enough; 0 when
// that is not a jar's worth.
func (p planner) jarsShort(base Batch) quantity.Volume {
	kitchen, run := p.kitchen, p.run
	wishes, err := ParseJars(cmp.Or(run.Jars, defaultJars))
	if err != nil {
		return 0
	}
	if !slices.ContainsFunc(wishes, func(w JarWish) bool { return p.onHand(w) >= 0 }) {
		return 0
	}
	for i := range wishes {
		if wishes[i].Limit > 0 {
			wishes[i].Limit = -1
		}
	}
	kitchen.Jars, kitchen.OwnJars = nil, slices.Clone(kitchen.OwnJars)
	for i := range kitchen.OwnJars {
		kitchen.OwnJars[i].OnHand = nil
	}
	run.Jars = jarsText(wishes...)
	enough, err := p.canAgain(kitchen, run)
	if err != nil || len(enough.Jars) == 0 {
		return 0
	}
	short := base.Leftover.Volume.Likely - enough.Leftover.Volume.Likely
	least := slices.MinFunc(enough.Jars, func(a, b JarCount) int { return cmp.Compare(a.Fill, b.Fill) })
	if short < least.Fill {
		return 0
	}
	return short
}

// mostSimmerDown is the longest further simmer that is offered to save a load;
// common practice, no source.
const mostSimmerDown = 12 * time.Hour

// instead is what else saves a load with the racks there are.
func (p planner) instead(base Batch) ([]Instead, error) {
	kitchen, run := p.kitchen, p.run
	loads := len(base.Loads)
	if loads == 0 {
		return nil, nil
	}
	var all []Instead
	offer := func(code, what string, changed Batch) (*Instead, error) {
		if changed.Refused() || len(changed.Loads) >= loads || len(changed.Loads) == 0 {
			return nil, nil
		}
		option, err := rackOption(kitchen, changed)
		if err != nil {
			return nil, err
		}
		all = append(all, Instead{Code: code, What: what, Loads: len(changed.Loads), Hours: option.Hours,
			Uncanned: max(0, changed.Leftover.Volume.Likely-base.Leftover.Volume.Likely)})
		one := &all[len(all)-1]
		if code == "freeze" || code == "freeze-dry" {
			one.Uncanned = changed.Leftover.Volume.Likely // all that needs the other route
		}
		return one, nil
	}

	for _, c := range rackPlans(run) {
		if c.code == ownPlan {
			continue
		}
		// Errors are of a change that cannot be planned, which is then no way out.
		if changed, err := p.canAs(applied(c, kitchen, run)); err == nil {
			if _, err := offer(c.code, c.what, changed); err != nil {
				return nil, err
			}
		}
	}
	if !run.Mix {
		mixed := change{apply: func(_ *runfile.Kitchen, r *runfile.Run) { r.Mix = true }}
		if changed, err := p.canAs(applied(mixed, kitchen, run)); err == nil {
			if _, err := offer("mix", "mixing the sizes in a load", changed); err != nil {
				return nil, err
			}
		}
	}
	if changed, err := p.canAs(applied(surplus(base, "freezer"), kitchen, run)); err == nil && loads > 1 {
		if _, err := offer("freeze", "freezing the surplus", changed); err != nil {
			return nil, err
		}
	}
	dryer := kitchen.FreezeDryer
	if dryer.Trays > 0 || dryer.TrayLength != nil {
		if changed, err := p.canAs(applied(surplus(base, "freeze-dry"), kitchen, run)); err == nil && loads > 1 {
			one, err := offer("freeze-dry", "freeze-drying the surplus", changed)
			if err != nil {
				return nil, err
			}
			if one != nil {
				one.Batches = changed.Leftover.Batches
			}
		}
	}
	if changed, found := p.simmeredDown(base); found {
		one, err := offer("simmer-down", "simmering it down", changed)
		if err != nil {
			return nil, err
		}
		if one != nil {
			one.Longer = changed.Simmer - base.Simmer
			one.Hours += one.Longer
			one.Uncanned = 0
			one.BoiledAway = base.Yield.ReadyToFill.Likely - changed.Yield.ReadyToFill.Likely
			one.Stronger = float64(base.Yield.ReadyToFill.Likely / changed.Yield.ReadyToFill.Likely)
			// A longer evening is no saving.
			now, err := rackOption(kitchen, base)
			if err != nil {
				return nil, err
			}
			if one.Hours >= now.Hours {
				all = all[:len(all)-1]
			}
		}
	}
	return all, nil
}

// surplus leaves the last load out and sends its broth another route.
func surplus(base Batch, route string) change {
	return change{apply: func(_ *runfile.Kitchen, r *runfile.Run) {
		r.Jars, r.Route = base.JarsOf(base.Loads[:max(0, len(base.Loads)-1)]), route
	}}
}

// simmeredDown is the shortest further simmer, lid off and not topped up, that
// saves a load. It is not found when none up to mostSimmerDown does, or to the end of
// the tested directions, past which it must not be canned, or only one that boils half
// of the broth away.
func (p planner) simmeredDown(base Batch) (Batch, bool) {
	const step = 10 * time.Minute
	try := func(steps int) (Batch, error) {
		simmer := base.Simmer + time.Duration(steps)*step
		changed := p.run
		changed.Simmer, changed.Lid, changed.TopUp = &simmer, "off", "never"
		return Plan(p.kitchen, changed)
	}
	// Longer only ever boils more away.
	most := int(mostSimmerDown / step)
	if longest := p.facts.simmer.longest; longest > 0 {
		most = max(0, min(most, int((longest-base.Simmer)/step)))
	}
	steps := 1 + sort.Search(most, func(i int) bool {
		batch, err := try(1 + i)
		return err != nil || len(batch.Loads) < len(base.Loads)
	})
	if steps > most {
		return Batch{}, false
	}
	batch, err := try(steps)
	return batch, err == nil && batch.Yield.ReadyToFill.Likely >= base.Yield.ReadyToFill.Likely/2
}
