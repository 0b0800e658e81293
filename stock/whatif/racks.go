package whatif

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
	"time"

	"brothrun/stock"
	"brothrun/stock/canner"
	"brothrun/stock/fault"
	"brothrun/stock/history"
	"brothrun/stock/process"
	"brothrun/stock/quantity"
	"brothrun/stock/remark"
	"brothrun/stock/runfile"
	"brothrun/stock/settle"
)

// What is assumed about racks when nobody says. Common practice, no source.
const (
	defaultRunsPerYear               = 12
	defaultRackPrice   runfile.Money = 30
	defaultFuelPrice   runfile.Money = 0.15
)

// The codes of the notes of an answer about racks, each with its facts.
const (
	RunsPerYear = "runs-per-year" // runs a year, assumed
	RackPrice   = "rack-price"    // money
	FuelPrice   = "fuel-price"    // money
	HourValue   = "hour-value"
	RackLeftOut = "rack-left-out" // racks, the code of the RackPlan, the reason
	CannerLow   = "canner-low"    // the RackPlan
	TwoLayers   = "two-layers"
	JarsLimit   = "jars-limit"   // the volume that fills none
	RacksDiffer = "racks-differ" // fewest and most racks
)

// OfRun is the one fact of a note that is about a run of a season.
type OfRun struct {
	Of     stock.Batch
	Note   remark.Note
	More   int  // how many runs more it is of
	Differ bool // with other facts
}

// mostRunsPerYear is a run a day.
const mostRunsPerYear = 366

// MostRacks is how many racks are looked at, unless the cook has more.
const MostRacks = 4

// A rack that takes longer than this to pay for itself never does: the canner
// wears out first. Common practice, no source.
const longestPayback = 50 // years

// RackQuestion is what the answer of Racks depends on besides kitchen and run.
type RackQuestion struct {
	RunsPerYear int            // 1 to 366
	RackPrice   runfile.Money  // of one more rack, 0 to 1,000,000
	FuelPrice   runfile.Money  // of a kWh the burner takes in, the same range
	HourValue   *runfile.Money // of an attended hour, the same range; nil when not given
	Assumed     []remark.Note  // which of them nobody gave
	counted     bool           // RunsPerYear is how many runs were asked about
}

// AskRacks fills a question from prices as a kitchen file and flags give them.
// runs is how many runs are asked about, a year's cooking when they do not say; 0
// leaves that to a default.
func AskRacks(prices runfile.Prices, runs int) RackQuestion {
	q := RackQuestion{RunsPerYear: prices.RunsPerYear, RackPrice: defaultRackPrice, FuelPrice: defaultFuelPrice,
		HourValue: prices.Hour}
	assume := func(code string, facts ...any) {
		q.Assumed = append(q.Assumed, remark.Note{Code: code, Facts: facts})
	}
	switch {
	case q.RunsPerYear > 0:
	case runs > 0:
		q.RunsPerYear, q.counted = min(runs, mostRunsPerYear), true
	default:
		q.RunsPerYear = defaultRunsPerYear
		assume(RunsPerYear, defaultRunsPerYear)
	}
	if prices.Rack != nil {
		q.RackPrice = *prices.Rack
	} else {
		assume(RackPrice, defaultRackPrice)
	}
	if prices.Fuel != nil {
		q.FuelPrice = *prices.Fuel
	} else {
		assume(FuelPrice, defaultFuelPrice)
	}
	if q.HourValue == nil {
		assume(HourValue)
	}
	return q
}

// hourValue is what an attended hour is worth; nothing when nobody said.
func (q RackQuestion) hourValue() runfile.Money {
	if q.HourValue == nil {
		return 0
	}
	return *q.HourValue
}

func (q RackQuestion) check() error {
	if q.RunsPerYear < 1 || q.RunsPerYear > mostRunsPerYear {
		return fault.New("runs_per_year", "", "%d runs a year: must be from 1 to 366", q.RunsPerYear)
	}
	for _, price := range []struct {
		key    string
		amount runfile.Money
	}{{"rack_price", q.RackPrice}, {"fuel_price", q.FuelPrice}, {"hour_value", q.hourValue()}} {
		if !(price.amount >= 0 && price.amount <= 1e6) {
			return fault.New(price.key, "", "price %g is out of range: from 0 to 1000000 in your own currency", price.amount)
		}
	}
	return nil
}

// RackAnswer says what racks do for one run, or for a season of several.
type RackAnswer struct {
	Of       stock.Batch // the run as planned; nothing for a season
	Units    quantity.System
	Runs     int // 1, or how many the season has; refused ones are not counted
	Question RackQuestion
	Have     int // racks the cook has
	// HeightAssumed says that nobody measured the canner's height, on which the
	// whole answer hangs.
	HeightAssumed bool
	Plans         []RackPlan // the cook's own first; empty when canning is refused
	Instead       []Instead
	Assumed       []remark.Note
	Warnings      []remark.Note
	Refusals      []remark.Note

	fortune fortune
	all     []RackPlan // before those that come to the same were left out
}

// Refused reports whether canning was refused for safety, of one run at least.
func (a RackAnswer) Refused() bool { return len(a.Refusals) > 0 }

// RackPlan is one way to choose jars, with 1, 2, 3 ... racks.
type RackPlan struct {
	Code    string       // stable for scripts: "own", "quarts", "pints"
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
	needs   map[string][]quantity.Length // by size of jar, for 1, 2 ... layers of those that stand
	// TooMuch is why there are no options for more racks though the canner has room:
	// the reason of the fault, such as a burner too weak for the load; empty otherwise.
	TooMuch string
}

// HeightFor returns how high inside the canner has to be for what an option says: for its
// jars, in as many layers as each stands in on so many racks.
func (p RackPlan) HeightFor(o RackOption) (least quantity.Length) {
	for _, j := range o.Jars {
		if needs := p.needs[j.Jar]; len(needs) > 0 {
			least = max(least, needs[min(max(o.Racks, 1), len(needs))-1])
		}
	}
	return least
}

// With returns the option for so many racks: racks beyond the last change nothing.
func (p RackPlan) With(racks int) RackOption {
	return p.Options[min(max(racks, 1), len(p.Options))-1]
}

// RackOption is what comes of one number of racks. Hours, Attended and Fuel are
// means over the yield's sample, a run; loads are of all runs together.
type RackOption struct {
	Racks             int
	Jars              []stock.JarCount // what the likely estimate fills, over all runs
	Leftover          quantity.Volume
	Low, Likely, High int       // loads by the likely estimate, and what 8 times in 10 it lies between
	Chance            []float64 // of 0, 1, 2 ... loads; sums to 1
	Hours             time.Duration
	// Attended is the part of a run's loads somebody has to be there for: filling
	// the jars, venting, coming to pressure, the time at pressure, and unloading.
	// Heating up to steam, losing the pressure and the wait are not counted: the
	// canner is looked at, not watched. Common practice, no source.
	Attended time.Duration
	Fuel     quantity.Band[quantity.Energy] // what the burner takes in

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
	Loads int
	Hours time.Duration

	Uncanned   quantity.Volume // goes another route than without the change
	Batches    int             // of the freeze dryer, for all that fills no jar
	BoiledAway quantity.Volume
	Longer     time.Duration // simmer, the longest of all runs
	Stronger   float64       // times as strong, the strongest of all runs
}

// Racks works out what 1, 2, 3 ... racks do for a run: loads with their chances
// over the yield's sample, hours, attended hours, fuel, and after how many runs
// another rack is paid for. It tries the cook's own jars, quarts only and pints
// only, with as many racks as the canner is high enough for, at most 4 or what the
// cook has; then what else would save a load with the racks there are.
//
// Hours, attended hours and fuel are means over the sample; where it makes other
// loads than the likely estimate they are counted as the last likely load. Fuel
// has the band of canner.Cycle: where hob is not given a factor of two or so from low to
// high; where it is, the hob is taken at its kind's published test efficiency, and the
// band is the heat of wall, water and steam alone. Errors are those of Plan,
// and a *fault.Fault for a question out of range; a refused run is no error but an
// answer with Refusals and without Plans.
func Racks(setup settle.Setup, question RackQuestion) (RackAnswer, error) {
	if err := question.check(); err != nil {
		return RackAnswer{}, err
	}
	cooked, err := stock.Cook(setup)
	if err != nil {
		return RackAnswer{}, err
	}
	k := kitchen{setup: setup, cooked: cooked, plans: map[canning]stock.Batch{}}
	base, err := k.can(setup)
	if err != nil {
		return RackAnswer{}, err
	}
	a := RackAnswer{
		Of: base, Units: base.Units, Runs: 1, Question: question,
		Have: setup.Canner.Racks, HeightAssumed: !setup.HeightGiven,
		fortune: fortune{base.Yield.Causes, history.OriginOf(setup.Pot)},
		Assumed: remark.Noted(base.Assumed, remark.CannerAssumed, remark.GaugeAssumed),
	}
	if base.Refused() {
		a.Refusals = base.Refusals
		a.Runs, a.Assumed, a.Question.Assumed = 0, nil, nil
		a.settle()
		return a, nil
	}
	if slices.ContainsFunc(base.Warnings, func(n remark.Note) bool { return n.Code == remark.NoJars }) {
		return RackAnswer{}, fault.New("jars",
			"--jars quart,pint with as many as you have or would buy, or count them under [jars] in the kitchen file",
			"there are no jars to fill: none of these sizes is on hand, so no rack carries any")
	}
	a.Warnings = remark.Noted(base.Warnings, remark.SmallLoad, remark.LessThanALoad, remark.JarDoesNotFit,
		remark.HoldsGeometry, remark.NoJars,
		remark.TooLittleToCan, process.LongSimmer, remark.ManyVegetables)
	for _, c := range rackPlans(setup) {
		plan, err := k.rackPlan(c, a.Have)
		switch {
		case err != nil && c.code == OwnPlan:
			return RackAnswer{}, err
		case err != nil:
			continue // such jars do not stand in the canner
		}
		a.Plans = append(a.Plans, plan)
	}
	a.Instead = k.instead(base)
	if short := k.jarsShort(base); short > 0 {
		a.Warnings = append(a.Warnings, remark.Note{Code: JarsLimit, Facts: []any{short}})
	}
	a.settle()
	return a, nil
}

// OwnPlan is the code of the cook's own way to choose jars.
const OwnPlan = "own"

// rackPlans are the cook's own jars and the two plain ways to choose them.
func rackPlans(setup settle.Setup) []change {
	all := []change{{code: OwnPlan, apply: func(*settle.Setup) {}}}
	for _, size := range []process.Size{process.Quart, process.Pint} {
		wish := wishFor(setup, string(size))
		if wish.Limit == 0 {
			continue
		}
		all = append(all, change{code: wish.Jar + "s",
			apply: func(s *settle.Setup) { s.Jars = []runfile.JarWish{wish} }})
	}
	return all
}

// kitchen is a run that has been cooked, and what canning it in other ways came to.
type kitchen struct {
	setup  settle.Setup
	cooked stock.Cooked
	plans  map[canning]stock.Batch
}

// canning is what of a setup can lets differ.
type canning struct {
	racks int
	jars  string
	route settle.Route
	mix   bool
}

// can is stock.Plan for a setup that differs from the one cooked in a canning at
// most; what was planned before is not worked out again.
func (k kitchen) can(setup settle.Setup) (stock.Batch, error) {
	how := canning{setup.Canner.Racks, fmt.Sprint(setup.Jars), setup.Route, setup.Mix}
	if b, known := k.plans[how]; known {
		return b, nil
	}
	planned, err := k.cooked.Can(setup)
	if err == nil {
		k.plans[how] = planned
	}
	return planned, err
}

// rackPlan works one way to choose jars out for every number of racks.
func (k kitchen) rackPlan(c change, have int) (RackPlan, error) {
	setup := c.on(k.setup)
	plan := RackPlan{Code: c.code}
	planned, err := k.can(setup)
	if err != nil {
		return plan, err
	}
	most, err := plan.layers(setup, have, planned.Jars)
	if err != nil {
		return plan, err
	}
	for racks := 1; racks <= most; racks++ {
		setup.Canner.Racks = racks
		batch, err := k.can(setup)
		var input *fault.Fault
		if errors.As(err, &input) && racks > have {
			// What only somebody with more racks would load is no reason to say nothing.
			plan.TooMuch = input.Reason
			break
		}
		if err != nil {
			return plan, err
		}
		option := rackOption(batch)
		if n := len(plan.Options); n > 0 {
			// A rack more may always stay in the cupboard: it adds no loads, and no hours
			// where it neither saves a load that is likely nor cans more.
			before := plan.Options[n-1]
			if option.meanLoads() > before.meanLoads() || option.Hours > before.Hours && option.Likely == before.Likely &&
				option.Leftover >= before.Leftover {
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
func (plan *RackPlan) layers(setup settle.Setup, have int, filled []stock.JarsToFill) (int, error) {
	can, wishes := setup.Canner, setup.Jars
	plan.CannerHeight = can.Height
	most := max(MostRacks, have)
	can.Racks = min(most+1, canner.MostRacks)
	layersOf := map[string]int{}
	shapes := map[string]canner.Shape{}
	highest := 1
	for _, wish := range wishes {
		if wish.Limit == 0 {
			continue
		}
		shape, err := setup.Shape(wish.Jar)
		if err != nil {
			return 0, err
		}
		capacity, err := can.Capacity(shape)
		if _, narrow := fault.AsMisfit(err); narrow {
			continue // Plan has left it out, and said so
		}
		if err != nil {
			return 0, err
		}
		layersOf[wish.Jar], shapes[wish.Jar] = capacity.Layers, shape
		for layers := 1; layers <= capacity.Layers; layers++ {
			if plan.needs == nil {
				plan.needs = map[string][]quantity.Length{}
			}
			plan.needs[wish.Jar] = append(plan.needs[wish.Jar], can.HeightFor(shape, layers))
		}
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
		lowest := slices.MaxFunc(filled, func(a, b stock.JarsToFill) int { return layersOf[a.Jar] - layersOf[b.Jar] })
		if layersOf[lowest.Jar] < highest {
			plan.TallJar, plan.Tall = lowest.Jar, can.HeightFor(shapes[lowest.Jar], layersOf[lowest.Jar]+1)
		}
	}
	return highest, nil
}

// rackOption is what comes of a batch: its chances, and means over them.
func rackOption(batch stock.Batch) RackOption {
	o := RackOption{Jars: batch.JarCounts(), Leftover: batch.Leftover.Volume.Likely, Low: batch.FewestLoads,
		Likely: len(batch.Loads), High: batch.MostLoads, Chance: batch.LoadChance}
	var one, sum loadCost
	for n, share := range batch.LoadChance {
		if n > 0 && n <= len(batch.Loads) {
			one = costOf(batch.Loads[n-1])
		}
		if n > 0 {
			sum = sum.plus(one)
		}
		o.Hours += part(share, sum.hours)
		o.Attended += part(share, sum.attended)
		o.Fuel = o.Fuel.Plus(sum.fuel.Times(share))
	}
	return o
}

func part(share float64, d time.Duration) time.Duration {
	return time.Duration(math.Round(share * float64(d)))
}

// loadCost is what loads take, by the likely spans.
type loadCost struct {
	hours, attended time.Duration
	fuel            quantity.Band[quantity.Energy]
}

func (c loadCost) plus(d loadCost) loadCost {
	return loadCost{c.hours + d.hours, c.attended + d.attended, c.fuel.Plus(d.fuel)}
}

func costOf(load stock.Load) loadCost {
	c := load.Cycle
	return loadCost{
		hours: c.Total().Likely,
		attended: stock.FillStart + time.Duration(load.Jars())*stock.FillPerJar +
			c.Vent.Likely + c.Pressurise.Likely + c.Process.Likely + stock.Unloading,
		fuel: load.Fuel,
	}
}

// settle works out what racks are worth, leaves plans out that come to the same as
// one before, and puts the answer into words.
func (a *RackAnswer) settle() {
	a.Assumed = union(a.Assumed, a.Question.Assumed)
	a.Instead = slices.Clone(a.Instead)
	slices.SortStableFunc(a.Instead, func(x, y Instead) int {
		return cmp.Or(cmp.Compare(x.Loads, y.Loads), cmp.Compare(x.Uncanned, y.Uncanned), cmp.Compare(x.Hours, y.Hours))
	})
	a.all = a.Plans
	var plans []RackPlan
	for _, plan := range a.Plans {
		same := func(p RackPlan) bool {
			return slices.EqualFunc(p.Options, plan.Options,
				func(x, y RackOption) bool { return stock.SameJars(x.Jars, y.Jars) && x.Likely == y.Likely })
		}
		if slices.ContainsFunc(plans, same) {
			continue
		}
		plan.Options = slices.Clone(plan.Options)
		for i := range plan.Options {
			a.Question.value(plan.With(a.Have), &plan.Options[i], a)
		}
		plans = append(plans, plan)
	}
	a.Plans = plans
	for _, plan := range plans {
		if plan.TooMuch != "" {
			a.Warnings = append(a.Warnings,
				remark.Note{Code: RackLeftOut, Facts: []any{len(plan.Options) + 1, plan.Code, plan.TooMuch}})
		}
	}
	if len(plans) > 0 && len(plans[0].Options) <= a.Have && plans[0].LowestJar != "" && plans[0].TooMuch == "" {
		a.Warnings = append(a.Warnings, remark.Note{Code: CannerLow, Facts: []any{plans[0]}})
	}
	if len(plans) > 0 && slices.ContainsFunc(plans[0].Options,
		func(o RackOption) bool { return o.Racks > a.Have && o.SavedChance > 0 }) {
		a.Warnings = append(a.Warnings, remark.Note{Code: TwoLayers})
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
	o.SavedMoney = runfile.Money(fuel + hours*float64(q.hourValue()))
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
