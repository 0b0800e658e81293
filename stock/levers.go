package stock

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"brothrun/stock/jar"
	"brothrun/stock/kettle"
	"brothrun/stock/quantity"
	"brothrun/stock/runfile"
)

// Lever is one single change to a run and what comes of it. Changes are from
// the run as planned: below zero is less. All are likely values.
type Lever struct {
	Code string // stable for scripts: "lid-on"
	What string // for the cook: "lid on"

	Strained, StrainedChange quantity.Volume
	Jars                     []JarCount // what the changed run fills; empty when canning is refused
	JarsChange               int        // of all sizes together
	Loads, LoadsChange       int
	Hours, HoursChange       time.Duration // see Batch.StoveTime
	Leftover, LeftoverChange quantity.Volume

	// Warnings are the codes the change brings, or whose cause it makes worse.
	Warnings []string
}

// StoveTime returns how long the batch has the stove by the likely spans:
// heating up, simmering, reheating and every canner load from lid on to lid off.
func (b Batch) StoveTime() time.Duration {
	total := b.HeatUp.Likely + b.Simmer + b.Reheat.Likely
	for _, load := range b.Loads {
		total += load.Cycle.Total().Likely
	}
	return total
}

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
// Neither kitchen nor run is changed. Errors are those of Plan for the run as
// it is. The figures are no better than Plan's, but a difference between two of
// its answers shares their errors and is surer than either.
func Levers(kitchen runfile.Kitchen, run runfile.Run) ([]Lever, error) {
	base, err := Plan(kitchen, run)
	if err != nil {
		return nil, err
	}
	levers := []Lever{}
	for _, c := range changes(kitchen, run, base) {
		// Shallow copies are enough: a change sets fields and writes through none.
		changedKitchen, changedRun := kitchen, run
		c.apply(&changedKitchen, &changedRun)
		changed, err := Plan(changedKitchen, changedRun)
		if err != nil || changed.Refused() != base.Refused() || refuses(base, changed) {
			continue
		}
		lever := leverOf(c, base, changed)
		same := func(other Lever) bool { return isJarPlan(other.Code) && sameJars(other.Jars, lever.Jars) }
		if idle(base, lever) || isJarPlan(lever.Code) && slices.ContainsFunc(levers, same) {
			continue
		}
		levers = append(levers, lever)
	}
	slices.SortStableFunc(levers, func(a, b Lever) int {
		return cmp.Or(
			cmp.Compare(a.LoadsChange, b.LoadsChange),
			cmp.Compare(a.HoursChange.Truncate(hourQuantum), b.HoursChange.Truncate(hourQuantum)),
			cmp.Compare(math.Abs(float64(b.StrainedChange)), math.Abs(float64(a.StrainedChange))),
		)
	})
	return levers, nil
}

// refuses reports whether a changed plan refuses what the plan as it is does not.
func refuses(base, changed Batch) bool {
	return slices.ContainsFunc(changed.Refusals, func(n Note) bool { return count(base.Refusals, n.Code) == 0 })
}

// change is one thing the cook could do otherwise.
type change struct {
	code, what string
	apply      func(*runfile.Kitchen, *runfile.Run)
	warnings   []string // that Plan cannot know of
}

// changes are those that make sense for the run, in the order of the day: the
// pot first, then the jars and the canner. No lever offers what the tested
// directions of the canner settle: pressure, time, altitude or gauge.
func changes(kitchen runfile.Kitchen, run runfile.Run, base Batch) []change {
	all := slices.Concat(lidChanges(run), simmerChanges(base), waterChanges(kitchen, run, base), bonesChanges(run, base))
	if base.Refused() {
		return all
	}
	return slices.Concat(all, jarChanges(kitchen, run), rackChanges(kitchen))
}

// lidChanges do nothing, and so are left out, where the cook measured what boils
// off: the measurement is of the lid it was taken with.
func lidChanges(run runfile.Run) []change {
	now := kettle.Lid(spelling(run.Lid))
	if now == "" {
		now = kettle.LidAjar
	}
	var all []change
	for _, lid := range []kettle.Lid{kettle.LidOn, kettle.LidAjar, kettle.LidOff} {
		if lid != now {
			all = append(all, change{code: "lid-" + string(lid), what: "lid " + string(lid),
				apply: func(_ *runfile.Kitchen, r *runfile.Run) { r.Lid = string(lid) }})
		}
	}
	return all
}

// simmerChanges are an hour either way, or half an hour where an hour less would
// leave no simmer to speak of. Plan refuses what is shorter than 10 min.
func simmerChanges(base Batch) []change {
	step, words := time.Hour, "an hour"
	if base.Simmer < step+10*time.Minute {
		step, words = step/2, "half an hour"
	}
	to := func(simmer time.Duration) func(*runfile.Kitchen, *runfile.Run) {
		return func(_ *runfile.Kitchen, r *runfile.Run) { r.Simmer = &simmer }
	}
	return []change{
		{code: "simmer-less", what: words + " less simmer", apply: to(base.Simmer - step)},
		{code: "simmer-more", what: words + " more simmer", apply: to(base.Simmer + step)},
	}
}

func waterChanges(kitchen runfile.Kitchen, run runfile.Run, base Batch) []change {
	var all []change
	if !base.TopUp {
		all = append(all, change{code: "top-up", what: "topped up to the level",
			apply: func(_ *runfile.Kitchen, r *runfile.Run) { r.TopUp = "level" }})
	}
	pot, err := kitchen.Pot(run.Pot)
	if err != nil {
		return all
	}
	if !base.Yield.WaterFits {
		line := change{code: "water-to-line", what: "water up to the fill line",
			apply: func(_ *runfile.Kitchen, r *runfile.Run) { r.Fit, r.Water = true, nil }}
		if fitted, err := Plan(applied(line, kitchen, run)); err == nil && fitted.Yield.Water > base.Yield.Water {
			all = append(all, line)
		}
		return all
	}

	// A twentieth of the pot more, and never above 95 %.
	const raise, highest = 0.05, 0.95
	line := kettle.DefaultFillLine
	if pot.FillLine != nil {
		line = *pot.FillLine
	}
	if line >= highest {
		return all
	}
	line = min(line+raise, highest)
	fuller := change{code: "fuller-pot", what: fmt.Sprintf("pot filled to %.0f %%", 100*line),
		apply: func(k *runfile.Kitchen, r *runfile.Run) {
			pot.FillLine = &line
			k.Pots, r.Pot = []runfile.Pot{pot}, ""
		}}
	if line > kettle.DefaultFillLine {
		fuller.warnings = []string{"near-overflow"}
	}
	return append(all, fuller)
}

func applied(c change, kitchen runfile.Kitchen, run runfile.Run) (runfile.Kitchen, runfile.Run) {
	c.apply(&kitchen, &run)
	return kitchen, run
}

func bonesChanges(run runfile.Run, base Batch) []change {
	what := "bones"
	if base.Kind == "vegetable" {
		what = base.What
	}
	times := func(factor quantity.Mass) func(*runfile.Kitchen, *runfile.Run) {
		scaled := func(mass *quantity.Mass) *quantity.Mass {
			if mass == nil {
				return nil
			}
			product := *mass * factor
			return &product
		}
		return func(_ *runfile.Kitchen, r *runfile.Run) {
			r.Bones = scaled(run.Bones)
			r.Portions = slices.Clone(run.Portions)
			for i := range r.Portions {
				r.Portions[i].Weight = scaled(r.Portions[i].Weight)
			}
		}
	}
	return []change{
		{code: "bones-more", what: "20 % more " + what + ", richer", apply: times(1.2)},
		{code: "bones-less", what: "20 % fewer " + what + ", thinner", apply: times(0.8)},
	}
}

const jarPlanCode = "jars-"

func isJarPlan(code string) bool { return strings.HasPrefix(code, jarPlanCode) }

func jarChanges(kitchen runfile.Kitchen, run runfile.Run) []change {
	other := jar.Wide
	if mouth := spelling(cmp.Or(run.Mouth, kitchen.Mouth)); mouth == string(jar.Wide) {
		other = jar.Regular
	}
	all := []change{{code: "mouth-" + string(other), what: string(other) + "-mouth jars",
		apply: func(_ *runfile.Kitchen, r *runfile.Run) { r.Mouth = string(other) }}}

	wishes, err := ParseJars(cmp.Or(run.Jars, defaultJars))
	if err != nil {
		return all
	}
	// A limit the cook gave holds in every plan: it counts the jars there are.
	limits := map[string]int{}
	var now []string
	for _, wish := range wishes {
		limits[wish.Jar] = wish.Limit
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
		none := func(jar string) bool { limit, limited := limits[jar]; return limited && limit == 0 }
		if slices.Equal(option.jars, now) || slices.ContainsFunc(option.jars, none) {
			continue
		}
		var texts []string
		for _, jar := range option.jars {
			text := jar
			if limit, limited := limits[jar]; limited && limit > 0 {
				text = fmt.Sprintf("%s=%d", jar, limit)
			}
			texts = append(texts, text)
		}
		all = append(all, change{code: jarPlanCode + strings.Join(option.jars, "-"), what: option.what,
			apply: func(_ *runfile.Kitchen, r *runfile.Run) { r.Jars = strings.Join(texts, ",") }})
	}
	return all
}

// rackChanges are one more rack. Where the canner is too low for another layer
// it does nothing, and so is left out.
func rackChanges(kitchen runfile.Kitchen) []change {
	racks, what := kitchen.Canner.Racks, "one more rack"
	if racks == 0 {
		racks = defaultRacks
	}
	if racks == 1 {
		what = "a second rack"
	}
	return []change{{code: "rack", what: what,
		apply: func(k *runfile.Kitchen, _ *runfile.Run) { k.Canner.Racks = racks + 1 }}}
}

func leverOf(c change, base, changed Batch) Lever {
	lever := Lever{
		Code: c.code, What: c.what,
		Strained:       changed.Yield.Strained.Likely,
		StrainedChange: changed.Yield.Strained.Likely - base.Yield.Strained.Likely,
		Jars:           changed.Jars,
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
			(count(changed.Warnings, note.Code) > count(base.Warnings, note.Code) || worse(note.Code, base, changed)) {
			lever.Warnings = append(lever.Warnings, note.Code)
		}
	}
	return lever
}

func count(notes []Note, code string) int {
	n := 0
	for _, note := range notes {
		if note.Code == code {
			n++
		}
	}
	return n
}

// worse reports whether the change makes the cause of a warning worse that both
// batches carry: a simmer outside the tested directions that grows longer has to
// be said as much as one that gets there.
func worse(code string, base, changed Batch) bool {
	boiledDown := func(b Batch) float64 {
		return float64((b.Yield.Evaporated - b.Yield.ToppedUp) / (b.Yield.Water + b.Yield.GivenOff))
	}
	switch code {
	case LongSimmerCode:
		return changed.Simmer > base.Simmer
	case "slow-heat-up":
		return changed.HeatUp.High > base.HeatUp.High
	case "reduced-hard", "boils-dry", "level-falls":
		return boiledDown(changed) > boiledDown(base) || changed.Simmer > base.Simmer
	case "near-overflow":
		return changed.Weight > base.Weight || changed.Yield.Water > base.Yield.Water
	case "bones-not-covered":
		return changed.Weight > base.Weight || changed.Yield.Water < base.Yield.Water
	case ChillNarrow:
		return changed.Yield.Strained.Likely > base.Yield.Strained.Likely
	}
	return false
}

func jarTotal(b Batch) int {
	n := 0
	for _, j := range b.Jars {
		n += j.Count
	}
	return n
}

// sameJars reports whether two plans fill as many jars of each size, in whatever
// order.
func sameJars(a, b []JarCount) bool {
	counts := map[string]int{}
	for _, j := range a {
		counts[j.Jar] += j.Count
	}
	for _, j := range b {
		counts[j.Jar] -= j.Count
	}
	for _, n := range counts {
		if n != 0 {
			return false
		}
	}
	return true
}

// idle reports whether a lever does nothing to speak of.
func idle(base Batch, lever Lever) bool {
	strained := base.Yield.Strained.Likely
	if change := quantity.Volume(math.Abs(float64(lever.StrainedChange))); change > 0 && change >= idleShare*strained {
		return false
	}
	return base.Refused() ||
		sameJars(base.Jars, lever.Jars) && lever.LoadsChange == 0 && lever.HoursChange.Truncate(hourQuantum) == 0
}
