// Package whatif asks what would be if: single changes to a run (levers), other
// racks, a season of runs, and what else saves a load. Each changes a settle.Setup and
// asks stock.Plan; nothing is worked out here that Plan does not.
package whatif

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"brothrun/stock"
	"brothrun/stock/jar"
	"brothrun/stock/kettle"
	"brothrun/stock/process"
	"brothrun/stock/quantity"
	"brothrun/stock/remark"
	"brothrun/stock/runfile"
	"brothrun/stock/settle"
)

// What counts as nothing: less broth than anyone measures, and less time than
// anyone plans by. Common practice, no source.
const (
	idleShare   = 0.01             // of what is strained
	hourQuantum = 15 * time.Minute // hours are compared by full quarters
)

// Levers returns what single changes would do to the run as planned, best
// first: loads saved (each is nearly two hours beside the stove, and the one
// thing that decides how long the second day is), then hours saved in full
// quarters, then by how much the strained broth changes either way, then the
// order of changes. What costs loads or hours therefore stands last however much
// broth it brings. A change that saves loads by canning less ranks like any
// other; its LeftoverChange tells.
//
// Left out are a change that cannot be planned, such as more bones than fit;
// one that leaves jars and loads alone, the hours within a quarter and the
// strained broth within 1 %; a jar plan that comes to the same as one before
// it; and, where canning is refused, all that does not change the strained
// broth. The list is empty, not nil, when nothing is left.
//
// setup is not changed. Errors are those of Plan for the run as
// it is. The figures are no better than Plan's, but a difference between two of
// its answers shares their errors and is surer than either.
func Levers(setup settle.Setup) ([]stock.Lever, error) {
	base, err := stock.Plan(setup)
	if err != nil {
		return nil, err
	}
	levers := []stock.Lever{}
	for _, c := range changes(setup, base) {
		changed, err := stock.Plan(c.on(setup))
		if err != nil || changed.Refused() != base.Refused() || refuses(base, changed) {
			continue
		}
		lever := leverOf(c, base, changed)
		same := func(other stock.Lever) bool { return isJarPlan(other.Code) && stock.SameJars(other.Jars, lever.Jars) }
		if idle(base, lever) || isJarPlan(lever.Code) && slices.ContainsFunc(levers, same) {
			continue
		}
		levers = append(levers, lever)
	}
	slices.SortStableFunc(levers, func(a, b stock.Lever) int {
		return cmp.Or(
			cmp.Compare(a.LoadsChange, b.LoadsChange),
			cmp.Compare(a.HoursChange.Truncate(hourQuantum), b.HoursChange.Truncate(hourQuantum)),
			cmp.Compare(math.Abs(float64(b.StrainedChange)), math.Abs(float64(a.StrainedChange))),
		)
	})
	return levers, nil
}

// refuses reports whether a changed plan refuses what the plan as it is does not.
func refuses(base, changed stock.Batch) bool {
	return slices.ContainsFunc(changed.Refusals,
		func(n remark.Note) bool { return len(remark.Noted(base.Refusals, n.Code)) == 0 })
}

// change is one thing the cook could do otherwise.
type change struct {
	code, what string
	apply      func(*settle.Setup) // writes through no slice or map
	warnings   []string            // that Plan cannot know of
}

// on is a setup with the change.
func (c change) on(setup settle.Setup) settle.Setup {
	c.apply(&setup)
	return setup
}

// changes are those that make sense for the run, in the order of the day: the
// pot first, then the jars and the canner. No lever offers what the tested
// directions of the canner settle: pressure, time, altitude or gauge.
func changes(setup settle.Setup, base stock.Batch) []change {
	all := slices.Concat(lidChanges(setup), simmerChanges(base), waterChanges(setup, base), bonesChanges(base))
	if base.Refused() {
		return all
	}
	return slices.Concat(all, jarChanges(setup), rackChanges(setup))
}

// lidChanges do nothing, and so are left out, where the cook measured what boils
// off: the measurement is of the lid it was taken with.
func lidChanges(setup settle.Setup) []change {
	var all []change
	for _, lid := range []kettle.Lid{kettle.LidOn, kettle.LidAjar, kettle.LidOff} {
		if lid != setup.Pot.Lid {
			all = append(all, change{code: "lid-" + string(lid), what: "lid " + string(lid),
				apply: func(s *settle.Setup) { s.Pot.Lid = lid }})
		}
	}
	return all
}

// simmerChanges are an hour either way, or half an hour where an hour less would
// leave no simmer to speak of. Plan refuses what is shorter than 10 min; of whole birds
// none is offered in which they may not be cooked through.
func simmerChanges(base stock.Batch) []change {
	step, words := time.Hour, "an hour"
	if base.Simmer < step+10*time.Minute {
		step, words = step/2, "half an hour"
	}
	to := func(simmer time.Duration) func(*settle.Setup) {
		return func(s *settle.Setup) { s.Pot.Simmer = simmer }
	}
	more := change{code: "simmer-more", what: words + " more simmer", apply: to(base.Simmer + step)}
	if base.Picked() && base.Simmer-step < base.ShortestSimmer {
		return []change{more}
	}
	return []change{{code: "simmer-less", what: words + " less simmer", apply: to(base.Simmer - step)}, more}
}

func waterChanges(setup settle.Setup, base stock.Batch) []change {
	var all []change
	if !base.TopUp {
		all = append(all, change{code: "top-up", what: "topped up to the level",
			apply: func(s *settle.Setup) { s.Pot.TopUp = true }})
	}
	if !base.Yield.WaterFits {
		line := change{code: "water-to-line", what: "water up to the fill line",
			apply: func(s *settle.Setup) { s.Pot.Fit, s.Pot.Water = true, 0 }}
		if fitted, err := stock.Plan(line.on(setup)); err == nil && fitted.Yield.Water > base.Yield.Water {
			all = append(all, line)
		}
		return all
	}

	// A twentieth of the pot more, and never above 95 %.
	const raise, highest = 0.05, 0.95
	if setup.Pot.FillLine >= highest {
		return all
	}
	line := min(setup.Pot.FillLine+raise, highest)
	fuller := change{code: "fuller-pot", what: fmt.Sprintf("pot filled to %.0f %%", 100*line),
		apply: func(s *settle.Setup) { s.Pot.FillLine = line }}
	if line > kettle.DefaultFillLine {
		fuller.warnings = []string{"near-overflow"}
	}
	return append(all, fuller)
}

// bonesChanges are a fifth more or less, or a bird where they are counted.
func bonesChanges(base stock.Batch) []change {
	if n := base.Birds; n > 0 && !base.Mixed() {
		birds := func(code string, n int, taste string) change {
			return change{code: code, what: stock.CountJars(n, "bird") + taste,
				apply: func(s *settle.Setup) { *s = s.TimesBones(float64(n) / float64(base.Birds)) }}
		}
		all := []change{birds("bones-more", n+1, ", richer")}
		if n > 1 {
			all = append(all, birds("bones-less", n-1, ", thinner"))
		}
		return all
	}
	what := "bones"
	if base.Kind == "vegetable" {
		what = base.What
	}
	return []change{
		{code: "bones-more", what: "20 % more " + what + ", richer", apply: func(s *settle.Setup) { *s = s.TimesBones(1.2) }},
		{code: "bones-less", what: "20 % fewer " + what + ", thinner",
			apply: func(s *settle.Setup) { *s = s.TimesBones(0.8) }},
	}
}

const jarPlanCode = "jars-"

func isJarPlan(code string) bool { return strings.HasPrefix(code, jarPlanCode) }

func jarChanges(setup settle.Setup) []change {
	other := jar.Wide
	if setup.Mouth == jar.Wide {
		other = jar.Regular
	}
	all := []change{{code: "mouth-" + string(other), what: string(other) + "-mouth jars",
		apply: func(s *settle.Setup) { s.Mouth = other }}}

	var now []string
	for _, wish := range setup.Jars {
		if wish.Limit != 0 {
			now = append(now, wish.Jar)
		}
	}
	for _, option := range []struct {
		what string
		jars []string
	}{
		{"quarts only", []string{"quart"}},
		{"pints only", []string{"pint"}},
		{"quarts, then pints", []string{"quart", "pint"}},
		{"pints, then quarts", []string{"pint", "quart"}},
	} {
		var wishes []runfile.JarWish
		for _, jar := range option.jars {
			wishes = append(wishes, wishFor(setup, jar))
		}
		none := func(wish runfile.JarWish) bool { return wish.Limit == 0 }
		if slices.Equal(option.jars, now) || slices.ContainsFunc(wishes, none) {
			continue
		}
		all = append(all, change{code: jarPlanCode + strings.Join(option.jars, "-"), what: option.what,
			apply: func(s *settle.Setup) { s.Jars = wishes }})
	}
	return all
}

// wishFor is one size of jar with the limit the cook gave, which holds in every plan:
// it counts the jars there are.
func wishFor(setup settle.Setup, jar string) runfile.JarWish {
	for _, wish := range setup.Jars {
		if wish.Jar == jar {
			return wish
		}
	}
	return runfile.JarWish{Jar: jar, Limit: -1}
}

// rackChanges are one more rack. Where the canner is too low for another layer
// it does nothing, and so is left out.
func rackChanges(setup settle.Setup) []change {
	what := "one more rack"
	if setup.Canner.Racks == 1 {
		what = "a second rack"
	}
	return []change{{code: "rack", what: what, apply: func(s *settle.Setup) { s.Canner.Racks++ }}}
}

func leverOf(c change, base, changed stock.Batch) stock.Lever {
	lever := stock.Lever{
		Code: c.code, What: c.what,
		Strained:       changed.Yield.Strained.Likely,
		StrainedChange: changed.Yield.Strained.Likely - base.Yield.Strained.Likely,
		Jars:           changed.JarCounts(),
		JarsChange:     jarTotal(changed) - jarTotal(base),
		Loads:          len(changed.Loads),
		LoadsChange:    len(changed.Loads) - len(base.Loads),
		Hours:          changed.StoveTime(),
		HoursChange:    changed.StoveTime() - base.StoveTime(),
		Leftover:       changed.Leftover.Volume.Likely,
		LeftoverChange: changed.Leftover.Volume.Likely - base.Leftover.Volume.Likely,
		Warnings:       slices.Clone(c.warnings),
	}
	for _, note := range changed.Warnings {
		if !slices.Contains(lever.Warnings, note.Code) &&
			(len(remark.Noted(changed.Warnings, note.Code)) > len(remark.Noted(base.Warnings, note.Code)) ||
				worse(note.Code, base, changed)) {
			lever.Warnings = append(lever.Warnings, note.Code)
		}
	}
	return lever
}

// worse reports whether the change makes the cause of a warning worse that both
// batches carry: a simmer outside the tested directions that grows longer has to
// be said as much as one that gets there.
func worse(code string, base, changed stock.Batch) bool {
	boiledDown := func(b stock.Batch) float64 {
		return float64((b.Yield.Evaporated - b.Yield.ToppedUp) / (b.Yield.Water + b.Yield.GivenOff))
	}
	switch code {
	case process.LongSimmer:
		return changed.Simmer > base.Simmer
	case "slow-heat-up":
		return changed.HeatUp.High > base.HeatUp.High
	case "reduced-hard", "boils-dry", "level-falls":
		return boiledDown(changed) > boiledDown(base) || changed.Simmer > base.Simmer
	case "near-overflow":
		return changed.Weight > base.Weight || changed.Yield.Water > base.Yield.Water
	case "bones-not-covered":
		return changed.Weight > base.Weight || changed.Yield.Water < base.Yield.Water
	case remark.ChillNarrow:
		return changed.Yield.Strained.Likely > base.Yield.Strained.Likely
	}
	return false
}

func jarTotal(b stock.Batch) int {
	n := 0
	for _, j := range b.Jars {
		n += j.Count
	}
	return n
}

// idle reports whether a lever does nothing to speak of.
func idle(base stock.Batch, lever stock.Lever) bool {
	strained := base.Yield.Strained.Likely
	if change := quantity.Volume(math.Abs(float64(lever.StrainedChange))); change > 0 && change >= idleShare*strained {
		return false
	}
	return base.Refused() ||
		stock.SameJars(base.JarCounts(), lever.Jars) && lever.LoadsChange == 0 && lever.HoursChange.Truncate(hourQuantum) == 0
}
