package stock

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
	"sort"
	"strings"
	"time"

	"brothrun/stock/canner"
	"brothrun/stock/jar"
	"brothrun/stock/process"
	"brothrun/stock/quantity"
	"brothrun/stock/runfile"
)

// What somebody does by hand for one load, apart from what the canner does:
// filling, wiping and lidding the jars, and unloading. Common practice, no source.
const (
	FillStart  = 4 * time.Minute  // before the first jar is filled
	FillPerJar = 90 * time.Second // to fill, wipe and lid one
	Unloading  = 10 * time.Minute
)

// What is assumed about racks when nobody says. Common practice, no source.
const (
	defaultRunsPerYear               = 12
	defaultRackPrice   runfile.Money = 30
	defaultFuelPrice   runfile.Money = 0.15
)

// mostRacks is how many racks are looked at, unless the cook has more.
const mostRacks = 4

// A rack that takes longer than this to pay for itself never does: the canner
// wears out first. Common practice, no source.
const longestPayback = 50 // years

// RackQuestion is what the answer of Racks depends on besides kitchen and run.
type RackQuestion struct {
	RunsPerYear int            // 1 to 366
	RackPrice   runfile.Money  // of one more rack, 0 to 1,000,000
	FuelPrice   runfile.Money  // of a kWh the burner takes in, the same range
	HourValue   *runfile.Money // of an attended hour, the same range; nil when not given
	Assumed     []Note         // which of them nobody gave
}

// AskRacks fills a question from prices as a kitchen file and flags give them.
// runs is how many runs a year there are when they do not say; 0 leaves that to a
// default.
func AskRacks(prices runfile.Prices, runs int) RackQuestion {
	q := RackQuestion{RunsPerYear: prices.RunsPerYear, RackPrice: defaultRackPrice, FuelPrice: defaultFuelPrice, HourValue: prices.Hour}
	assume := func(code, format string, args ...any) {
		q.Assumed = append(q.Assumed, Note{code, fmt.Sprintf(format, args...)})
	}
	switch {
	case q.RunsPerYear > 0:
	case runs > 0:
		q.RunsPerYear = runs
	default:
		q.RunsPerYear = defaultRunsPerYear
		assume("runs-per-year", "You cook %d runs a year (--runs-per-year).", defaultRunsPerYear)
	}
	if prices.Rack != nil {
		q.RackPrice = *prices.Rack
	} else {
		assume("rack-price", "One more rack costs %g (--rack-price).", defaultRackPrice)
	}
	if prices.Fuel != nil {
		q.FuelPrice = *prices.Fuel
	} else {
		assume("fuel-price", "A kWh costs %g (--fuel-price).", defaultFuelPrice)
	}
	if q.HourValue == nil {
		assume("hour-value", "Your time costs nothing: only fuel is counted as saved (--hour-value).")
	}
	return q
}

func (q RackQuestion) check() error {
	if q.RunsPerYear < 1 || q.RunsPerYear > 366 {
		return &InputError{"runs_per_year", fmt.Sprintf("%d runs a year: must be from 1 to 366", q.RunsPerYear), ""}
	}
	for _, price := range []struct {
		key    string
		amount runfile.Money
	}{{"rack_price", q.RackPrice}, {"fuel_price", q.FuelPrice}, {"hour_value", valueOf(q.HourValue)}} {
		if !(price.amount >= 0 && price.amount <= 1e6) {
			return &InputError{price.key, fmt.Sprintf("price %g is out of range: from 0 to 1000000 in your own currency", price.amount), ""}
		}
	}
	return nil
}

// RackAnswer says what racks do for one run, or for a season of several.
type RackAnswer struct {
	Title    string // the run in one line, or how many runs
	Units    quantity.System
	Runs     int // 1, or how many the season has; refused ones are not counted
	Question RackQuestion
	Have     int // racks the cook has
	// HeightAssumed says that nobody measured the canner's height, on which the
	// whole answer hangs.
	HeightAssumed bool
	Plans         []RackPlan // the cook's own first; empty when canning is refused
	Instead       []Instead
	Answer        string // one plain sentence
	Assumed       []Note
	Warnings      []Note
	Refusals      []Note

	all []RackPlan // before those that come to the same were left out
}

// Refused reports whether canning was refused for safety, of one run at least.
func (a RackAnswer) Refused() bool { return len(a.Refusals) > 0 }

// RackPlan is one way to choose jars, with 1, 2, 3 ... racks.
type RackPlan struct {
	Code    string       // stable for scripts: "own", "quarts", "pints"
	Name    string       // "as planned", "quarts only", "pints only"
	Options []RackOption // Options[0] is one rack; as many as the canner is high enough for

	// Another layer than the last of Options would need a canner LowestNeed high
	// inside, with jars of size LowestJar; CannerHeight is what it has. LowestJar is
	// empty when height is not what ends the list.
	LowestJar                string
	LowestLayer              int // the layer that needs it
	LowestNeed, CannerHeight quantity.Length
	// Tall is what a layer more of the jars that are filled would need, where only
	// others could stand in more layers; 0 when it is not so.
	Tall    quantity.Length
	TallJar string
	// TooMuch says why there are no options for more racks though the canner has room,
	// such as a burner too weak for the load; empty otherwise.
	TooMuch string
}

// with returns the option for so many racks: racks beyond the last change nothing.
func (p RackPlan) with(racks int) RackOption {
	return p.Options[min(max(racks, 1), len(p.Options))-1]
}

// RackOption is what comes of one number of racks. Hours, Attended and Fuel are
// means over the yield's sample, a run; loads are of all runs together.
type RackOption struct {
	Racks             int
	Jars              []JarCount // what the likely estimate fills, over all runs
	Leftover          quantity.Volume
	Low, Likely, High int       // loads by the likely estimate, and what 8 times in 10 it lies between
	Chance            []float64 // of 0, 1, 2 ... loads; sums to 1
	Hours             time.Duration
	// Attended is the part of a run's loads somebody has to be there for: filling
	// the jars, venting, coming to pressure, the time at pressure, and unloading.
	// Heating up to steam, losing the pressure and the wait are not counted: the
	// canner is looked at, not watched. Common practice, no source.
	Attended time.Duration
	Fuel     canner.EnergyBand // what the burner takes in

	// The rest is against the racks the cook has, and nothing for up to so many.
	SavedChance float64       // of fewer loads
	SavedLoads  float64       // a year, on average
	SavedMoney  runfile.Money // a year: fuel, and attended hours where they have a value
	Price       runfile.Money // of the racks to buy
	Pays        bool          // within 50 years
	PaybackRuns float64       // when it Pays
	// HourWorth is what an attended hour has to be worth for the racks to be paid
	// back within a year; 0 when fuel alone does that or no hour is saved.
	HourWorth runfile.Money
}

// HoursPerYear returns the hours in the canner of so many runs.
func (o RackOption) HoursPerYear(runs int) time.Duration { return time.Duration(runs) * o.Hours }

// meanLoads is the mean number of loads over the chances.
func (o RackOption) meanLoads() float64 {
	mean := 0.0
	for n, share := range o.Chance {
		mean += float64(n) * share
	}
	return mean
}

// Instead is another way to save a load with the racks there are. Loads and
// volumes are likely values over all runs; Hours is a mean a run, further
// simmering counted.
type Instead struct {
	Code  string // stable for scripts: "quarts", "pints", "mix", "freeze", "freeze-dry", "simmer-down"
	What  string
	Loads int
	Hours time.Duration

	Uncanned   quantity.Volume // goes another route than without the change
	Batches    int             // of the freeze dryer, for all that fills no jar
	BoiledAway quantity.Volume
	Longer     time.Duration // simmer, the longest of all runs
	Stronger   float64       // times as strong, the strongest of all runs
}

// GivesUp says in words what the change costs.
func (i Instead) GivesUp(u quantity.System) string {
	var parts []string
	switch i.Code {
	case "quarts":
		parts = append(parts, "broth by the pint")
	case "pints":
		parts = append(parts, "broth by the quart, and more jars to wash")
	case "mix":
		parts = append(parts, "the pints' shorter time: all of a mixed load takes the quarts'")
	case "freeze":
		parts = append(parts, i.Uncanned.Both(u)+" in all goes uncanned, and needs room in the freezer")
	case "freeze-dry":
		text := i.Uncanned.Both(u) + " in all goes uncanned, onto the dryer's trays"
		if i.Batches > 1 {
			text += fmt.Sprintf(", which it then fills %d times", i.Batches)
		}
		parts = append(parts, text)
	case "simmer-down":
		parts = append(parts, fmt.Sprintf("%s boils away in %s more with the lid off, and it gets %.1f times as strong",
			i.BoiledAway.Both(u), quantity.FormatDuration(i.Longer), i.Stronger))
	}
	if (i.Code == "quarts" || i.Code == "pints" || i.Code == "mix") && i.Uncanned > splash {
		parts = append(parts, i.Uncanned.Both(u)+" more fills no jar")
	}
	return strings.Join(parts, "; ")
}

// Racks works out what 1, 2, 3 ... racks do for a run: loads with their chances
// over the yield's sample, hours, attended hours, fuel, and after how many runs
// another rack is paid for. It tries the cook's own jars, quarts only and pints
// only, with as many racks as the canner is high enough for, at most 4 or what the
// cook has; then what else would save a load with the racks there are.
//
// Hours, attended hours and fuel are means over the sample; where it makes other
// loads than the likely estimate they are counted as the last likely load. Fuel is
// has the band of canner.Cycle: where hob is not given a factor of two or so from low to
// high; where it is, the hob is taken at its kind's published test efficiency, and the
// band is the heat of wall, water and steam alone. Errors are those of Plan,
// and an *InputError for a question out of range; a refused run is no error but an
// answer with Refusals and without Plans.
func Racks(kitchen runfile.Kitchen, run runfile.Run, question RackQuestion) (RackAnswer, error) {
	if err := question.check(); err != nil {
		return RackAnswer{}, err
	}
	base, err := Plan(kitchen, run)
	if err != nil {
		return RackAnswer{}, err
	}
	a := RackAnswer{
		Title: rackTitle(base), Units: base.Units, Runs: 1, Question: question, Refusals: base.Refusals,
		Have: max(kitchen.Canner.Racks, defaultRacks), HeightAssumed: kitchen.Canner.Height == nil, Assumed: keep(base.Assumed, "canner", "gauge"),
	}
	if base.Refused() {
		a.Runs, a.Assumed, a.Question.Assumed = 0, nil, nil
		a.settle()
		return a, nil
	}
	if slices.ContainsFunc(base.Warnings, func(n Note) bool { return n.Code == "no-jars" }) {
		return RackAnswer{}, &InputError{"jars", "there are no jars to fill: none of these sizes is on hand, so no rack carries any", "--jars quart,pint with as many as you have or would buy, or count them under [jars] in the kitchen file"}
	}
	a.Warnings = keep(base.Warnings, "small-load", "less-than-a-load", "jar-does-not-fit", "small-canner", "holds-geometry", "no-jars", "too-little-to-can", "long-simmer")
	for _, c := range rackPlans(run) {
		plan, err := rackPlan(kitchen, run, c, a.Have)
		switch {
		case err != nil && c.code == ownPlan:
			return RackAnswer{}, err
		case err != nil:
			continue // such jars do not stand in the canner
		}
		a.Plans = append(a.Plans, plan)
	}
	if a.Instead, err = instead(kitchen, run, base, a); err != nil {
		return RackAnswer{}, err
	}
	if short := jarsShort(kitchen, run, base); short > 0 {
		a.Warnings = append(a.Warnings, Note{"jars-limit", fmt.Sprintf("The jars on hand are the limit: %s fills none for want of them. More jars might make more loads; no rack changes that.", short.Both(a.Units))})
	}
	a.settle()
	return a, nil
}

func rackTitle(b Batch) string {
	title := fmt.Sprintf("%s of %s at %s", b.Weight.Format(b.Units), b.What, quantity.FormatAltitude(b.Altitude, b.Units))
	if b.Name != "" {
		title = b.Name + ": " + title
	}
	return title
}

// keep returns the notes of some codes.
func keep(notes []Note, codes ...string) []Note {
	var kept []Note
	for _, note := range notes {
		if slices.Contains(codes, note.Code) {
			kept = append(kept, note)
		}
	}
	return kept
}

const ownPlan = "own"

// rackPlans are the cook's own jars and the two plain ways to choose them.
func rackPlans(run runfile.Run) []change {
	all := []change{{code: ownPlan, what: "as planned", apply: func(*runfile.Kitchen, *runfile.Run) {}}}
	wishes, err := ParseJars(cmp.Or(run.Jars, defaultJars))
	if err != nil {
		return all
	}
	for _, size := range []process.Size{process.Quart, process.Pint} {
		wish := JarWish{Jar: string(size), Limit: -1}
		for _, own := range wishes {
			if own.Jar == wish.Jar {
				wish.Limit = own.Limit // it counts the jars there are
			}
		}
		if wish.Limit == 0 {
			continue
		}
		all = append(all, change{code: wish.Jar + "s", what: wish.Jar + "s only",
			apply: func(_ *runfile.Kitchen, r *runfile.Run) { r.Jars = jarsText(wish) }})
	}
	return all
}

// jarsText writes wishes as ParseJars reads them.
func jarsText(wishes ...JarWish) string {
	var texts []string
	for _, wish := range wishes {
		text := wish.Jar
		if wish.Limit >= 0 {
			text += fmt.Sprintf("=%d", wish.Limit)
		}
		texts = append(texts, text)
	}
	return strings.Join(texts, ",")
}

// rackPlan works one way to choose jars out for every number of racks.
func rackPlan(kitchen runfile.Kitchen, run runfile.Run, c change, have int) (RackPlan, error) {
	kitchen, run = applied(c, kitchen, run)
	plan := RackPlan{Code: c.code, Name: c.what}
	planned, err := Plan(kitchen, run)
	if err != nil {
		return plan, err
	}
	most, err := plan.layers(kitchen, run, have, planned.Jars)
	if err != nil {
		return plan, err
	}
	for racks := 1; racks <= most; racks++ {
		kitchen.Canner.Racks = racks
		batch, err := Plan(kitchen, run)
		var input *InputError
		if errors.As(err, &input) && racks > have {
			// What only somebody with more racks would load is no reason to say nothing.
			plan.TooMuch = fmt.Sprintf("A %s rack is left out (%s): %s.", ordinal(racks), plan.Name, input.Reason)
			break
		}
		if err != nil {
			return plan, err
		}
		option, err := rackOption(kitchen, batch)
		if err != nil {
			return plan, err
		}
		if n := len(plan.Options); n > 0 {
			// A rack more may always stay in the cupboard: it adds no loads, and no hours
			// where it saves no load that is likely.
			before := plan.Options[n-1]
			if option.meanLoads() > before.meanLoads() || option.Hours > before.Hours && option.Likely == before.Likely {
				option = before
			}
		}
		option.Racks = racks
		plan.Options = append(plan.Options, option)
	}
	return plan, nil
}

// layers returns how many racks are worth looking at, and notes what height keeps
// out the next.
func (plan *RackPlan) layers(kitchen runfile.Kitchen, run runfile.Run, have int, filled []JarCount) (int, error) {
	p := planner{kitchen: kitchen, run: run}
	mouth, err := p.mouth(true)
	if err != nil {
		return 0, err
	}
	can, err := p.canner()
	if err != nil {
		return 0, err
	}
	wishes, err := ParseJars(cmp.Or(run.Jars, defaultJars))
	if err != nil {
		return 0, wrong("jars", err, "")
	}
	plan.CannerHeight = can.Height
	most := max(mostRacks, have)
	can.Racks = min(most+1, canner.MostRacks)
	layersOf := map[string]int{}
	shapes := map[string]canner.Shape{}
	highest := 1
	for _, wish := range wishes {
		if wish.Limit == 0 {
			continue
		}
		shape, err := p.shapeOf(wish.Jar, mouth)
		if err != nil {
			return 0, err
		}
		capacity, err := can.Capacity(shape)
		var narrow *canner.FitError
		if errors.As(err, &narrow) {
			continue // Plan has left it out, and said so
		}
		if err != nil {
			return 0, cannerError(err)
		}
		layersOf[wish.Jar], shapes[wish.Jar] = capacity.Layers, shape
		highest = max(highest, capacity.Layers)
	}
	if highest > most {
		return most, nil
	}
	for _, wish := range wishes {
		shape, stands := shapes[wish.Jar]
		if need := can.HeightFor(shape, highest+1); stands && (plan.LowestJar == "" || need < plan.LowestNeed) {
			plan.LowestJar, plan.LowestNeed, plan.LowestLayer = wish.Jar, need, highest+1
		}
	}
	// The jars that are filled may be higher than those that could be.
	if len(filled) > 0 {
		lowest := slices.MaxFunc(filled, func(a, b JarCount) int { return layersOf[a.Jar] - layersOf[b.Jar] })
		if layersOf[lowest.Jar] < highest {
			plan.TallJar, plan.Tall = lowest.Jar, can.HeightFor(shapes[lowest.Jar], layersOf[lowest.Jar]+1)
		}
	}
	return highest, nil
}

func (p *planner) shapeOf(name string, mouth jar.Mouth) (canner.Shape, error) {
	j, err := p.findJar(name, mouth)
	if err != nil {
		return canner.Shape{}, err
	}
	return canner.Shape{Name: j.Name, Diameter: j.PackDiameter, Height: j.Height}, nil
}

// rackOption is what comes of a batch: its chances, and means over them.
func rackOption(kitchen runfile.Kitchen, batch Batch) (RackOption, error) {
	o := RackOption{Jars: batch.Jars, Leftover: batch.Leftover.Volume.Likely, Low: batch.FewestLoads, Likely: len(batch.Loads), High: batch.MostLoads, Chance: batch.LoadChance}
	var one, sum loadCost
	for n, share := range batch.LoadChance {
		if n > 0 && n <= len(batch.Loads) {
			var err error
			if one, err = costOf(kitchen, batch.Loads[n-1]); err != nil {
				return o, err
			}
		}
		if n > 0 {
			sum = sum.plus(one)
		}
		o.Hours += part(share, sum.hours)
		o.Attended += part(share, sum.attended)
		o.Fuel = o.Fuel.Plus(sum.fuel.Times(share))
	}
	return o, nil
}

func part(share float64, d time.Duration) time.Duration {
	return time.Duration(math.Round(share * float64(d)))
}

// loadCost is what loads take, by the likely spans.
type loadCost struct {
	hours, attended time.Duration
	fuel            canner.EnergyBand
}

func (c loadCost) plus(d loadCost) loadCost {
	return loadCost{c.hours + d.hours, c.attended + d.attended, c.fuel.Plus(d.fuel)}
}

func costOf(kitchen runfile.Kitchen, load Load) (loadCost, error) {
	p := planner{kitchen: kitchen}
	pints, quarts := 0, 0
	for _, layer := range load.Layers {
		for _, j := range layer.Jars {
			size, err := p.jarSize(j.Jar)
			if err != nil {
				return loadCost{}, err
			}
			if size.QuartTime() {
				quarts += j.Count
			} else {
				pints += j.Count
			}
		}
	}
	c := load.Cycle
	return loadCost{
		hours: c.Total().Likely,
		attended: FillStart + time.Duration(pints+quarts)*FillPerJar +
			c.Vent.Likely + c.Pressurise.Likely + c.Process.Likely + Unloading,
		fuel: load.Fuel,
	}, nil
}

// jarsShort is how much less would be left over if there were jars enough; 0 when
// that is not a jar's worth.
func jarsShort(kitchen runfile.Kitchen, run runfile.Run, base Batch) quantity.Volume {
	wishes, err := ParseJars(cmp.Or(run.Jars, defaultJars))
	if err != nil {
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
	enough, err := Plan(kitchen, run)
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
func instead(kitchen runfile.Kitchen, run runfile.Run, base Batch, a RackAnswer) ([]Instead, error) {
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
		if changed, err := Plan(applied(c, kitchen, run)); err == nil {
			if _, err := offer(c.code, c.what, changed); err != nil {
				return nil, err
			}
		}
	}
	if !run.Mix {
		mixed := change{apply: func(_ *runfile.Kitchen, r *runfile.Run) { r.Mix = true }}
		if changed, err := Plan(applied(mixed, kitchen, run)); err == nil {
			if _, err := offer("mix", "mixing the sizes in a load", changed); err != nil {
				return nil, err
			}
		}
	}
	if changed, err := Plan(applied(surplus(run, base, "freezer"), kitchen, run)); err == nil && loads > 1 {
		if _, err := offer("freeze", "freezing the surplus", changed); err != nil {
			return nil, err
		}
	}
	dryer := kitchen.FreezeDryer
	if dryer.Trays > 0 || dryer.TrayLength != nil {
		if changed, err := Plan(applied(surplus(run, base, "freeze-dry"), kitchen, run)); err == nil && loads > 1 {
			one, err := offer("freeze-dry", "freeze-drying the surplus", changed)
			if err != nil {
				return nil, err
			}
			if one != nil {
				one.Batches = changed.Leftover.Batches
			}
		}
	}
	if changed, found := simmeredDown(kitchen, run, base); found {
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
			p := planner{kitchen: kitchen, run: run}
			if err := p.start(); err != nil {
				return nil, err
			}
			// Past the tested directions it must not be canned, and a longer
			// evening is no saving.
			now, err := rackOption(kitchen, base)
			if err != nil {
				return nil, err
			}
			if longest := p.facts.simmer.longest; longest > 0 && changed.Simmer > longest || one.Hours >= now.Hours {
				all = all[:len(all)-1]
			}
		}
	}
	return all, nil
}

// surplus leaves the last load out and sends its broth another route.
func surplus(run runfile.Run, base Batch, route string) change {
	return change{apply: func(_ *runfile.Kitchen, r *runfile.Run) {
		wishes, err := ParseJars(cmp.Or(run.Jars, defaultJars))
		if err != nil {
			return
		}
		kept := map[string]int{}
		for _, load := range base.Loads[:max(0, len(base.Loads)-1)] {
			for _, layer := range load.Layers {
				for _, j := range layer.Jars {
					kept[j.Jar] += j.Count
				}
			}
		}
		for i := range wishes {
			wishes[i].Limit = kept[wishes[i].Jar]
		}
		r.Jars, r.Route = jarsText(wishes...), route
	}}
}

// simmeredDown is the shortest further simmer, lid off and not topped up, that
// saves a load. It is not found when none up to mostSimmerDown does, or only one
// that boils half of the broth away.
func simmeredDown(kitchen runfile.Kitchen, run runfile.Run, base Batch) (Batch, bool) {
	const step = 10 * time.Minute
	try := func(steps int) (Batch, error) {
		simmer := base.Simmer + time.Duration(steps)*step
		changed := run
		changed.Simmer, changed.Lid, changed.TopUp = &simmer, "off", "never"
		return Plan(kitchen, changed)
	}
	// Longer only ever boils more away.
	most := int(mostSimmerDown / step)
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

// Season joins the answers for several runs, all to the same question, into one
// for the mix of them: loads and volumes are of all together, hours, attended
// hours and fuel the mean of a run. Refused runs are left out of the figures and
// their refusals kept. Where canners differ in height a run takes as many racks as
// its own allows; the racks to buy are counted from the most any kitchen has.
//
// The runs are taken to turn out well or badly together, since most of the doubt
// is about the same cook and pot: the spread of the loads is on the wide side, and
// no mean is touched. No answer at all is an *InputError.
func Season(answers []RackAnswer) (RackAnswer, error) {
	if len(answers) == 0 {
		return RackAnswer{}, &InputError{"", "there is no run to answer for", ""}
	}
	s := RackAnswer{Units: answers[0].Units, Question: answers[0].Question}
	var canned []RackAnswer
	fewest := answers[0].Have
	for _, a := range answers {
		s.Have, fewest = max(s.Have, a.Have), min(fewest, a.Have)
		for _, note := range a.Refusals {
			s.Refusals = append(s.Refusals, Note{note.Code, a.Title + ": " + note.Text})
		}
		for _, note := range a.Warnings {
			if note.Code == "canner-low" {
				continue // said once, of the highest
			}
			s.Warnings = append(s.Warnings, Note{note.Code, a.Title + ": " + note.Text})
		}
		for _, note := range a.Assumed {
			if !slices.Contains(s.Assumed, note) {
				s.Assumed = append(s.Assumed, note)
			}
		}
		if len(a.Plans) > 0 {
			canned = append(canned, a)
		}
	}
	if fewest != s.Have {
		s.Warnings = append(s.Warnings, Note{"racks-differ", fmt.Sprintf(
			"The kitchens have from %d to %d racks; the answer is for one with %d. Ask about the runs of each kitchen on their own too.", fewest, s.Have, s.Have)})
	}
	s.Runs = len(canned)
	s.Title = fmt.Sprintf("%d runs", s.Runs)
	if s.Runs == 1 {
		s.Title = "1 run"
	}
	if s.Runs > 0 {
		for _, plan := range canned[0].all {
			if joined, all := joinPlans(canned, plan.Code); all {
				s.Plans = append(s.Plans, joined)
			}
		}
		s.Instead = joinInstead(canned)
	}
	s.settle()
	return s, nil
}

// joinPlans joins the plans of one code; all is false when a run has none.
func joinPlans(answers []RackAnswer, code string) (joined RackPlan, all bool) {
	longest := 0
	var plans []RackPlan
	for _, a := range answers {
		i := slices.IndexFunc(a.all, func(p RackPlan) bool { return p.Code == code })
		if i < 0 {
			return joined, false
		}
		plans = append(plans, a.all[i])
		longest = max(longest, len(a.all[i].Options))
	}
	joined = plans[0]
	joined.Options = nil
	for _, plan := range plans {
		// What keeps the next layer out is told of the highest canner.
		if plan.CannerHeight > joined.CannerHeight {
			joined.LowestJar, joined.LowestNeed, joined.LowestLayer, joined.CannerHeight = plan.LowestJar, plan.LowestNeed, plan.LowestLayer, plan.CannerHeight
		}
		if plan.Tall == 0 {
			joined.Tall, joined.TallJar = 0, ""
		}
	}
	for racks := 1; racks <= longest; racks++ {
		option := RackOption{Racks: racks, Chance: []float64{1}}
		for _, plan := range plans {
			o := plan.with(racks)
			option.Jars = addJars(option.Jars, o.Jars)
			option.Leftover += o.Leftover
			option.Likely += o.Likely
			option.Low, option.High = option.Low+o.Low, option.High+o.High
			var sum []float64
			together(option.Chance, o.Chance, func(share float64, a, b int) {
				for len(sum) <= a+b {
					sum = append(sum, 0)
				}
				sum[a+b] += share
			})
			option.Chance = sum
			mean := 1 / float64(len(plans))
			option.Hours += part(mean, o.Hours)
			option.Attended += part(mean, o.Attended)
			option.Fuel = option.Fuel.Plus(o.Fuel.Times(mean))
		}
		joined.Options = append(joined.Options, option)
	}
	return joined, true
}

// addJars adds jars to others size by size.
func addJars(sum, jars []JarCount) []JarCount {
	for _, j := range jars {
		i := slices.IndexFunc(sum, func(k JarCount) bool { return k.Jar == j.Jar })
		if i < 0 {
			sum = append(sum, JarCount{Jar: j.Jar})
			i = len(sum) - 1
		}
		sum[i].Count += j.Count
	}
	return sum
}

// joinInstead adds each way up over the runs; a run it does nothing for stays as
// it is.
func joinInstead(answers []RackAnswer) []Instead {
	var all []Instead
	for _, a := range answers {
		for _, one := range a.Instead {
			if slices.ContainsFunc(all, func(i Instead) bool { return i.Code == one.Code }) {
				continue
			}
			sum := Instead{Code: one.Code, What: one.What}
			for _, b := range answers {
				base := b.Plans[0].with(b.Have)
				this := Instead{Loads: base.Likely, Hours: base.Hours}
				if i := slices.IndexFunc(b.Instead, func(i Instead) bool { return i.Code == one.Code }); i >= 0 {
					this = b.Instead[i]
				}
				sum.Loads += this.Loads
				sum.Hours += this.Hours / time.Duration(len(answers))
				sum.Uncanned += this.Uncanned
				sum.Batches = max(sum.Batches, this.Batches)
				sum.BoiledAway += this.BoiledAway
				sum.Longer = max(sum.Longer, this.Longer)
				sum.Stronger = max(sum.Stronger, this.Stronger)
			}
			all = append(all, sum)
		}
	}
	return all
}

// together goes through two distributions whose outcomes rise together, and calls
// visit with every pair of numbers and its share.
func together(a, b []float64, visit func(share float64, na, nb int)) {
	i, j := 0, 0
	var leftA, leftB float64
	if len(a) > 0 && len(b) > 0 {
		leftA, leftB = a[0], b[0]
	}
	const nothing = 1e-12
	for i < len(a) && j < len(b) {
		share := min(leftA, leftB)
		if share > nothing {
			visit(share, i, j)
		}
		leftA, leftB = leftA-share, leftB-share
		if leftA <= nothing {
			if i++; i < len(a) {
				leftA = a[i]
			}
		}
		if leftB <= nothing {
			if j++; j < len(b) {
				leftB = b[j]
			}
		}
	}
}

// settle works out what racks are worth, leaves plans out that come to the same as
// one before, and puts the answer into words.
func (a *RackAnswer) settle() {
	for _, note := range a.Question.Assumed {
		if !slices.Contains(a.Assumed, note) {
			a.Assumed = append(a.Assumed, note)
		}
	}
	a.Instead = slices.Clone(a.Instead)
	slices.SortStableFunc(a.Instead, func(x, y Instead) int {
		return cmp.Or(cmp.Compare(x.Loads, y.Loads), cmp.Compare(x.Uncanned, y.Uncanned), cmp.Compare(x.Hours, y.Hours))
	})
	a.all = a.Plans
	var plans []RackPlan
	for _, plan := range a.Plans {
		same := func(p RackPlan) bool {
			return slices.EqualFunc(p.Options, plan.Options, func(x, y RackOption) bool { return sameJars(x.Jars, y.Jars) && x.Likely == y.Likely })
		}
		if slices.ContainsFunc(plans, same) {
			continue
		}
		plan.Options = slices.Clone(plan.Options)
		for i := range plan.Options {
			a.Question.value(plan.with(a.Have), &plan.Options[i], a)
		}
		plans = append(plans, plan)
	}
	a.Plans = plans
	for _, plan := range plans {
		if plan.TooMuch != "" {
			a.Warnings = append(a.Warnings, Note{"rack-left-out", plan.TooMuch})
		}
	}
	if len(plans) > 0 && len(plans[0].Options) <= a.Have && plans[0].LowestJar != "" && plans[0].TooMuch == "" {
		a.Warnings = append(a.Warnings, Note{"canner-low", plans[0].low(a.Units) + "."})
	}
	if len(plans) > 0 && slices.ContainsFunc(plans[0].Options, func(o RackOption) bool { return o.Racks > a.Have && o.SavedChance > 0 }) {
		a.Warnings = append(a.Warnings, Note{"two-layers",
			"Two layers only where the canner's manual allows them for these jars, each on its own rack. A fuller canner heats and cools more slowly; the hours here allow for it, by physics and not by any timed load."})
	}
	a.Answer = a.sentence()
	if a.HeightAssumed && !a.Refused() {
		a.Answer = "Measure the inside height of the canner first. By an assumed one: " + strings.ToLower(a.Answer[:1]) + a.Answer[1:]
	}
}

// value fills in what an option is worth against base, the racks there are.
func (q RackQuestion) value(base RackOption, o *RackOption, a *RackAnswer) {
	bought := o.Racks - a.Have
	if bought <= 0 {
		return
	}
	o.Price = runfile.Money(bought) * q.RackPrice
	runs, year := float64(a.Runs), float64(q.RunsPerYear)
	saved := 0.0
	together(base.Chance, o.Chance, func(share float64, before, after int) {
		if after < before {
			o.SavedChance += share
		}
		saved += share * float64(before-after)
	})
	o.SavedLoads = saved / runs * year
	hours := (base.Attended - o.Attended).Hours() * year
	fuel := (base.Fuel.Likely - o.Fuel.Likely).KilowattHours() * year * float64(q.FuelPrice)
	o.SavedMoney = runfile.Money(fuel + hours*float64(valueOf(q.HourValue)))
	if o.SavedChance == 0 {
		o.SavedMoney = 0
		return
	}
	if need := float64(o.Price) - fuel; need > 0 && hours > 0 {
		o.HourWorth = runfile.Money(need / hours)
	}
	if o.SavedMoney > 0 && float64(o.Price/o.SavedMoney) <= longestPayback {
		o.Pays, o.PaybackRuns = true, max(0, math.Ceil(float64(o.Price/o.SavedMoney)*year-1e-9))
	}
}

// low says that the canner is too low for a layer more.
func (p RackPlan) low(u quantity.System) string {
	return fmt.Sprintf("The canner is too low for a %s layer: even %ss need %s inside, and it has %s",
		ordinal(p.LowestLayer), p.LowestJar, p.LowestNeed.Both(u), p.CannerHeight.Both(u))
}

func ordinal(n int) string {
	words := []string{"", "first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth"}
	if n < len(words) {
		return words[n]
	}
	return fmt.Sprintf("%dth", n)
}

// How sure a saving has to be to be called yes, luck or hardly. Common practice,
// no source.
const likelyEnough, luck = 0.8, 0.2

// worthIt is how soon a rack has to be paid back to be called worth its money;
// common practice, no source.
const worthIt = 3 // years

// sentence is the answer to: would another rack pay?
func (a RackAnswer) sentence() string {
	if len(a.Plans) == 0 {
		return "No: what is refused is not canned, so no rack saves a load; freeze or freeze-dry this broth."
	}
	own := a.Plans[0]
	base := own.with(a.Have)
	another := fmt.Sprintf("a %s rack", ordinal(a.Have+1))
	if base.Likely == 0 {
		return fmt.Sprintf("No: there is not a jar to can, so %s changes nothing.", another)
	}
	jars := jarWords(base.Jars)
	if a.Runs > 1 {
		jars = fmt.Sprintf("the %s of %d runs", jars, a.Runs)
	}
	if len(own.Options) <= a.Have {
		if own.TooMuch != "" {
			return fmt.Sprintf("No: the load on %s would be too much for the heat there is, so it saves nothing%s.", another, a.tail())
		}
		if own.LowestJar == "" {
			return fmt.Sprintf("No more than %d racks are looked at; the %d you have make %s of %s.", mostRacks, a.Have, countLoads(base.Likely), jars)
		}
		low := own.low(a.Units)
		return "No: " + strings.ToLower(low[:1]) + low[1:] + a.tail() + "."
	}
	option := own.Options[a.Have]
	for _, more := range own.Options[a.Have:] {
		if option.SavedChance < luck && more.SavedChance >= luck {
			option = more // one more rack does nothing, two do
			another = fmt.Sprintf("%d racks instead of %d", more.Racks, a.Have)
		}
	}
	if option.SavedChance == 0 {
		why := ""
		switch {
		case a.Runs == 1 && base.Likely == 1:
			why = ", and fewer there are not"
		case own.Tall > 0:
			why = fmt.Sprintf(", as another layer of %ss needs %s inside and the canner has %s", own.TallJar, own.Tall.Both(a.Units), own.CannerHeight.Both(a.Units))
		}
		return fmt.Sprintf("No: %s would never pay, because %s make %s with it or without%s%s.", another, jars, countLoads(base.Likely), why, a.tail())
	}

	what := fmt.Sprintf("saves a load of %s %s", jars, frequency(option.SavedChance))
	if a.Runs > 1 {
		what = fmt.Sprintf("saves %s loads a year of %s", rough(option.SavedLoads), jars)
	}
	hours := base.HoursPerYear(a.Question.RunsPerYear) - option.HoursPerYear(a.Question.RunsPerYear)
	what += fmt.Sprintf(" and %s in the canner a year", roughHours(hours))
	years := option.PaybackRuns / float64(a.Question.RunsPerYear)
	worth := ""
	if option.HourWorth > 0 {
		worth = fmt.Sprintf(", or within a year if an hour of yours is worth %s", cents(option.HourWorth))
	}
	pays := ""
	switch {
	case option.Pays && a.Question.HourValue == nil && worth == "":
		pays = fmt.Sprintf("pays for itself by fuel alone in %s", payback(option.PaybackRuns, years))
	case option.Pays && a.Question.HourValue == nil:
		pays = fmt.Sprintf("pays for itself by fuel alone in %s%s", payback(option.PaybackRuns, years), worth)
	case option.Pays:
		pays = fmt.Sprintf("pays for itself in %s", payback(option.PaybackRuns, years))
	case worth != "":
		pays = fmt.Sprintf("never pays for itself at these prices%s", strings.Replace(worth, ", or", ", though it does", 1))
	default:
		pays = "never pays for itself at these prices"
	}
	lead := "Yes"
	switch {
	case option.SavedChance < luck:
		lead = "Hardly"
	case option.SavedChance < likelyEnough:
		lead = "It depends on luck"
	case option.Pays && years <= worthIt:
	case a.Question.HourValue == nil:
		lead = "For your time, not for the money"
	default:
		lead = "Not for the money"
	}
	return fmt.Sprintf("%s: %s %s, and %s.", lead, another, what, pays)
}

// tail is the best way to save a load where a rack does not.
func (a RackAnswer) tail() string {
	if len(a.Instead) == 0 {
		return ""
	}
	one := a.Instead[0]
	text := fmt.Sprintf("; %s makes it %s", one.What, countLoads(one.Loads))
	if one.Uncanned > splash {
		text += fmt.Sprintf(" and leaves %s uncanned", one.Uncanned.Both(a.Units))
	}
	return text
}

func jarWords(jars []JarCount) string {
	var texts []string
	for _, j := range jars {
		texts = append(texts, CountJars(j.Count, j.Jar))
	}
	return strings.Join(texts, ", ")
}

func countLoads(n int) string {
	if n == 1 {
		return "1 load"
	}
	return fmt.Sprintf("%d loads", n)
}

func frequency(share float64) string {
	switch times := math.Round(10 * share); {
	case share == 1:
		return "every time"
	case times >= 10:
		return "nearly every time"
	case times < 1:
		return "less than once in 20 times"
	default:
		return fmt.Sprintf("%.0f times in 10", times)
	}
}

// roughHours writes hours a year no finer than they are known.
func roughHours(d time.Duration) string {
	if h := d.Hours(); h >= 9.5 {
		return fmt.Sprintf("%.0f h", h)
	}
	return fmt.Sprintf("%.1f h", d.Hours())
}

func payback(runs, years float64) string {
	words := fmt.Sprintf("%.0f runs", runs)
	if runs == 1 {
		words = "1 run"
	}
	if years < 1 {
		return words + ", within a year"
	}
	if text := rough(years); text != "1" {
		return fmt.Sprintf("%s, %s years", words, text)
	}
	return words + ", a year"
}

// rough writes a number to a tenth below ten and whole above.
func rough(x float64) string {
	if x < 10 {
		return strings.TrimSuffix(fmt.Sprintf("%.1f", x), ".0")
	}
	return fmt.Sprintf("%.0f", x)
}

// cents writes an amount to the hundredth where that matters.
func cents(m runfile.Money) string {
	if m >= 100 {
		return fmt.Sprintf("%.0f", m)
	}
	return fmt.Sprintf("%.2f", m)
}
