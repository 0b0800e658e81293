package stock

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"brothrun/stock/canner"
	"brothrun/stock/freezedry"
	"brothrun/stock/kettle"
	"brothrun/stock/loading"
	"brothrun/stock/process"
	"brothrun/stock/quantity"
)

// Splash is less broth than is worth a route of its own: 1 cup; common
// practice, no source.
const Splash = quantity.Cup

// sparesWashed is how many jars of each size are washed beyond the high
// estimate; common practice, no source.
const sparesWashed = 1

// planner gathers a batch while it is worked out.
type planner struct {
	Setup
	sample []quantity.Volume // what may be ready to fill
	ice    quantity.Mass     // that melts into the broth
	ran    []ranLoad         // the loads worked out so far
	known  *[]ranLoad        // those of all plans of the same pot
	batch  Batch
}

// Plan works out one batch. What Setup had to assume is listed in Batch.Assumed where
// it matters.
//
// Canning is refused, with the yield, chill and another route still planned,
// where no tested process exists: see Batch.Refusals. Errors are *InputError.
// The figures of the balance and their accuracy are those of kettle.Balance;
// pressures and times come from process.Lookup alone.
func Plan(setup Setup) (Batch, error) {
	cooked, err := Cook(setup)
	if err != nil {
		return Batch{}, err
	}
	return cooked.Can(setup)
}

// Cooked is a run worked out up to the jars: the pot and the chill.
type Cooked struct{ planner }

// Cook works out what comes before the jars. Errors are those of Plan.
func Cook(setup Setup) (Cooked, error) {
	p := planner{Setup: setup, known: new([]ranLoad)}
	p.batch = Batch{
		Name: setup.Name, Units: setup.Units, Kind: setup.Kind, What: setup.What, Gauge: string(setup.Gauge), Altitude: setup.Altitude,
		Freezer: setup.Freezer, Warnings: slices.Clone(setup.warnings),
	}
	err := inTurn(p.yield, p.melt, p.chill)
	return Cooked{p}, err
}

// Can is Plan for a setup that differs from the one cooked in its jars, its canner or
// its route at most. The pot and the chill are not worked out again, nor is a load
// that another plan had. Errors are those of Plan.
func (c Cooked) Can(setup Setup) (Batch, error) {
	if setup.Chill != "" && setup.chillJar() != c.chillJar() {
		return Plan(setup) // the jars it is chilled in are others
	}
	p := c.planner
	p.Setup = setup
	b := &p.batch
	b.Assumed, b.Warnings, b.Refusals = slices.Clone(b.Assumed), slices.Clone(b.Warnings), slices.Clone(b.Refusals)
	return p.can()
}

// can works out the rest.
func (p *planner) can() (Batch, error) {
	if err := inTurn(p.jarsAndLoads, p.leftover, p.warmFreezer); err != nil {
		return Batch{}, err
	}
	p.batch.Cautions = cautions(p.batch)
	if n := p.batch.Leftover.Batches; n > 1 {
		p.warn("several-dryer-batches", "The freeze dryer is filled %d times. Its trays take one batch; freeze the rest in flat boxes the size of a tray, and move them over as trays come free.", n)
	}
	return p.batch, nil
}

func (p *planner) assume(code, format string, args ...any) {
	p.batch.Assumed = append(p.batch.Assumed, Note{Code: code, Text: fmt.Sprintf(format, args...)})
}

// assumed lists what Setup assumed under some codes, where it matters.
func (p *planner) assumed(codes ...string) {
	p.batch.Assumed = append(p.batch.Assumed, p.assumption(codes...)...)
}

func (p *planner) warn(code, format string, args ...any) {
	p.batch.Warnings = append(p.batch.Warnings, Note{Code: code, Text: fmt.Sprintf(format, args...)})
}

// refuse adds a refusal once.
func (p *planner) refuse(refusal *process.Refusal) {
	for _, r := range p.batch.Refusals {
		if r.Code == refusal.Code {
			return
		}
	}
	p.batch.Refusals = append(p.batch.Refusals, Note{Code: refusal.Code, Text: refusal.Text + " " + refusal.Instead})
}

// yield works the liquid balance out.
func (p *planner) yield() error {
	b := &p.batch
	p.assumed("pot-width", "simmer", "lid", "lid-measured")
	e, err := kettle.Balance(p.Pot)
	if err != nil {
		return balanceError(err)
	}
	for _, portion := range p.Pot.Bones {
		b.Weight += portion.Mass
	}
	b.Simmer, b.TopUp, b.HeatUp = p.Pot.Simmer, p.Pot.TopUp, e.HeatUp
	b.ShortestSimmer = p.simmers.shortest
	b.Yield = Yield{
		Water: e.Water, WaterFits: p.Pot.Fit, GivenOff: e.GivenOff, Evaporated: e.Evaporated, ToppedUp: e.ToppedUp,
		HeldBySolids: e.HeldBySolids, Strained: e.Strained, Fat: e.Fat, Lost: e.Lost, ReadyToFill: e.ReadyToFill,
		Causes: e.Causes,
	}
	p.sample = e.Sample
	p.yieldWarnings(e)
	return p.watch(e)
}

// balanceError says which input a balance error is about.
func balanceError(err error) error {
	var fit *kettle.FitError
	if errors.As(err, &fit) {
		if fit.Field == "water" {
			return wrong("water", err, "write fit to fill to the line")
		}
		return wrong(fit.Field, err, "take less, a bigger pot, or two runs")
	}
	var field *kettle.RangeError
	if errors.As(err, &field) {
		return wrong(field.Field, err, "")
	}
	return wrong("", err, "")
}

func (p *planner) yieldWarnings(e kettle.Estimate) {
	if !e.Covered {
		p.warn("bones-not-covered", "The bones stand out of the water at the start: crack or fold them, press them down, or take fewer. What is not covered gives little.")
	}
	if e.NearOverflow {
		p.warn("near-overflow", "The pot is filled nearly to the brim: it may boil over. Add the last of the water once the level has dropped.")
	}
	if e.MayUncover {
		p.warn("level-falls", "The bones may stand out of the water before the simmer ends. Look in, press them down and pour hot water over them (--top-up level).")
	}
	if e.MayBoilDry {
		may := "may"
		if e.BoilsDry {
			may = "would"
		}
		p.warn("boils-dry", "This simmer %s boil the pot dry. Top up (--top-up level), put the lid on or simmer for less time.", may)
	} else if boiled := e.Evaporated - e.ToppedUp; boiled > (e.Water+e.GivenOff)/2 {
		p.warn("reduced-hard", "More than half the water boils off: salt and gelatin end up at least twice as strong. Watch the level.")
	}
	if e.BurnerLimited {
		p.warn("burner-limit", "The burner, not the pot, limits what boils off.")
	}
	if e.HeatUp.High > slowHeatUp {
		p.warn("slow-heat-up", "It may take %s to a simmer, and raw meat should not be over 4 h in the warm. Heat part of the water apart, use a stronger burner, or take two pots.", quantity.FormatSpan(e.HeatUp))
	}
}

// jarsAndLoads fills jars and canner loads, or refuses to.
func (p *planner) jarsAndLoads() error {
	b := &p.batch
	if b.EndsAtStraining() {
		return nil
	}
	wishes := p.Jars
	// A size of which none is to be filled asks for no process.
	if wanted := slices.DeleteFunc(slices.Clone(wishes), func(w JarWish) bool { return w.Limit == 0 }); len(wanted) > 0 {
		wishes = wanted
	}

	var settings []process.Setting
	for _, wish := range wishes {
		setting, err := p.setting(wish.Jar)
		var refusal *process.Refusal
		switch {
		case errors.As(err, &refusal):
			p.refuse(refusal)
		case err != nil:
			return err
		}
		settings = append(settings, setting)
	}
	if !b.Refused() {
		p.strength()
	}
	if b.Refused() {
		return nil
	}
	if slices.ContainsFunc(wishes, func(w JarWish) bool { _, _, own := p.shelf.measured(w.Jar); return !own }) {
		p.assumed("mouth")
	}
	p.assumed("canner")
	can := p.Canner
	small, err := p.tooSmall()
	if err != nil {
		return err
	}
	if small != nil {
		p.refuse(small)
		return nil
	}
	if !p.GaugeNamed {
		p.assumeGauge()
	}
	var unfit error // jars that do not stand in the canner
	var sizes []fillable
	limited := false
	lessThanALoad := true
	for i, wish := range wishes {
		j, err := p.shelf.find(wish.Jar, p.Mouth)
		if err != nil {
			return err
		}
		size, err := p.shelf.class(wish.Jar)
		if err != nil {
			return err
		}
		fill, err := j.ColdFill(process.Headspace, p.Boiling)
		if err != nil {
			return wrong(p.shelf.key(wish.Jar), err, "")
		}
		shape := shapeOf(j)
		capacity, err := can.Capacity(shape)
		var narrow *canner.FitError
		switch {
		case errors.As(err, &narrow):
			unfit = errors.Join(unfit, err)
			continue
		case err != nil:
			return cannerError(err)
		}
		limit := p.shelf.limit(wish)
		if wish.Limit > limit {
			p.assume("jars-on-hand", "%s on hand by the kitchen file, so that %d are not counted on (--jars).", CountJars(limit, wish.Jar), wish.Limit)
		}
		limited = limited || limit == 0
		one := fillable{mouth: string(j.Mouth), class: size, setting: settings[i], glass: canner.GlassOf(j.Brimful),
			Size: loading.Size{Fill: fill, Limit: limit, Shape: shape, Capacity: capacity, QuartTime: size.QuartTime(),
				Pressure: settings[i].Pressure, Published: canner.Published(size.QuartTime(), settings[i].Time).Total().Likely}}
		if one.LoadTime, err = p.fullLoad(one); err != nil {
			return cannerError(err)
		}
		lessThanALoad = lessThanALoad && one.Full(b.Yield.ReadyToFill.Likely, -1) < one.Sensible()
		sizes = append(sizes, one)
	}
	if err := p.fillJars(sizes); err != nil {
		return err
	}
	switch {
	case unfit != nil && len(sizes) == 0:
		var narrow *canner.FitError
		errors.As(unfit, &narrow)
		return wrong("canner."+narrow.Field, narrow, "measure it inside, or give another jar (--jars pint)")
	case unfit != nil:
		p.warn("jar-does-not-fit", "Left out: %s.", strings.ReplaceAll(unfit.Error(), "\n", "; "))
	}
	p.smallLoads(lessThanALoad)
	p.cycleWarnings()
	if err := p.checkHolds(can); err != nil {
		return err
	}
	p.batch.Reheat = kettle.Reheat(p.filled(), p.Burner, p.Hob)
	if err := p.reheatPots(); err != nil {
		return err
	}
	switch {
	case len(b.Loads) > 0 || len(Noted(b.Warnings, lessThanALoadCode)) > 0:
	case limited:
		p.warn("no-jars", "There are no jars to fill: none of these sizes is on hand. All of it goes to the other route.")
	default:
		p.warn("too-little-to-can", "There is not enough broth for a single jar: freeze it.")
	}
	return nil
}

// mostLoads is how many canner loads of one size are planned at most: the largest pot
// in the smallest jars of the catalogue, one layer of 8 a load, is 100. Own choice, no
// source.
const mostLoads = 200

// fewEnough finds sizes of which the broth would fill more loads than that.
func fewEnough(sizes []fillable, most quantity.Volume) error {
	for _, s := range sizes {
		aLoad := s.Capacity.Jars()
		if loads := (s.Full(most, s.Limit) + aLoad - 1) / aLoad; loads > mostLoads {
			return &InputError{"jars", fmt.Sprintf("the broth would fill %d canner loads of %s, %d to a load: at most %d loads are planned", loads, plural(s.name()), aLoad, mostLoads),
				fmt.Sprintf("take larger jars, or count how many of them you fill (--jars quart,%s=12)", s.name())}
		}
	}
	return nil
}

// fillJars plans jars and loads by what the cook prefers: the likely estimate
// makes the loads, the sample the bands.
func (p *planner) fillJars(sizes []fillable) error {
	b := &p.batch
	q := loading.Question{Likely: b.Yield.ReadyToFill.Likely, Sample: p.sample, Prefer: p.Prefer, SmallLoads: p.SmallLoads}
	for _, s := range sizes {
		q.Sizes = append(q.Sizes, s.Size)
	}
	if p.Mix {
		q.Shared = &p.Canner
	}
	if err := fewEnough(sizes, q.Most()); err != nil {
		return err
	}
	if n := q.Takes(); n < len(sizes) {
		first := fmt.Sprintf("%d sizes of jar are", n)
		if n == 1 {
			first = "size of jar is"
		}
		p.assume("kinds", "Only the first %s planned with; put those you mean first (--jars).", first)
		sizes, q.Sizes = sizes[:n], q.Sizes[:n]
	}
	plan := loading.Fill(q)
	for i, s := range sizes {
		n, over := plan.Counts[i], plan.Spread.Jars[i]
		if n == 0 {
			continue
		}
		count := JarCount{Jar: s.name(), Mouth: s.mouth, Fill: s.Fill, Count: n, Low: min(n, over.At(0.1)), High: max(n, over.At(0.9))}
		count.Wash = count.High + sparesWashed
		if s.Limit >= 0 {
			count.Wash = min(count.Wash, s.Limit)
		}
		b.Jars = append(b.Jars, count)
		gain := ""
		switch aLoad := s.Capacity.Jars(); {
		case s.Capacity.LimitedBy != "racks":
		case n > aLoad:
			gain = "they would need fewer loads"
		case n == aLoad && s.Full(plan.Left, s.Limit-n) > 0:
			gain = "more of them would be canned"
		}
		if gain != "" {
			p.warn("second-rack", "The canner is high enough for another layer of %s: with a second rack %s.", plural(s.name()), gain)
		}
	}
	for _, load := range plan.Filling {
		if err := p.load(load, sizes); err != nil {
			return err
		}
		b.Loads[len(b.Loads)-1].Small = load.Small(q.Sizes)
	}
	b.FewestLoads, b.MostLoads = min(len(b.Loads), plan.Spread.Loads.At(0.1)), max(len(b.Loads), plan.Spread.Loads.At(0.9))
	b.LoadChance = plan.Spread.Loads.Chances()
	b.SmallLastLoadChance = plan.Spread.Small
	b.Leftover.Volume = quantity.BandOf(plan.Spread.Left, plan.Left)
	b.Rivals = p.rivals(sizes, plan)
	return nil
}

// setting is the tested process for one size of jar.
func (p *planner) setting(name string) (process.Setting, error) {
	size, refused := p.shelf.class(name)
	var refusal *process.Refusal
	if errors.As(refused, &refusal) {
		size = process.Quart // what else speaks against canning comes first
	} else if refused != nil {
		return process.Setting{}, refused
	}
	setting, err := process.Lookup(p.Stock, size, p.Gauge, p.Altitude)
	if err == nil && refused != nil {
		return process.Setting{}, refused
	}
	if err != nil && !errors.As(err, &refusal) {
		return setting, wrong("altitude", err, "")
	}
	return setting, err
}

// assumeGauge says what either gauge needs, since the two differ: until it is
// known which one the canner has, every form carries both.
func (p *planner) assumeGauge() {
	b := &p.batch
	b.OtherGauge = &OtherGauge{Gauge: string(process.Dial)}
	text := "has no tested setting at this altitude: with one, do not can"
	if dial, err := process.Lookup(p.Stock, process.Quart, process.Dial, b.Altitude); err == nil {
		b.OtherGauge.Pressure = dial.Pressure
		text = fmt.Sprintf("needs %s here", dial.Pressure.Both(b.Units))
	}
	p.assume("gauge", "The gauge of the canner is not named, so the plan gives what a weighted one needs, and the hours of that. A dial gauge %s. Look at the lid, and say which (--gauge weighted|dial).", text)
}

// load adds a load. Its process is the tested one of the size in it that takes
// longest; the pressure is the same for all of them.
func (p *planner) load(jars loading.Load, sizes []fillable) error {
	b := &p.batch
	var longest fillable
	load := Load{Number: len(b.Loads) + 1}
	for rack, counts := range jars {
		layer := Layer{Rack: rack + 1}
		for i, s := range sizes {
			if counts[i] == 0 {
				continue
			}
			layer.Jars = append(layer.Jars, LayerJar{s.name(), counts[i]})
			if longest.name() == "" || s.Published > longest.Published {
				longest = s
			}
		}
		load.Layers = append(load.Layers, layer)
	}
	setting := longest.setting
	load.Process, load.Pressure, load.Gauge = setting.Time, setting.Pressure, string(setting.Gauge)
	if err := p.cycle(&load, jars, sizes, longest); err != nil {
		return cannerError(err)
	}
	b.Loads = append(b.Loads, load)
	return nil
}

// cannerError says which measure of the canner an error is about.
func cannerError(err error) error {
	var field *canner.RangeError
	switch {
	case !errors.As(err, &field):
		return wrong("canner", err, "")
	case field.Field == "burner":
		return wrong("burner", err, "look at the rating of the burner, or take its line out if it is not the canner's")
	case field.Field == "altitude":
		return wrong("altitude", err, "")
	case field.Field == "width" || field.Field == "height" || field.Field == "rack_thickness":
		return wrong("canner."+field.Field, err, "measure it inside with a ruler")
	}
	return wrong("canner."+field.Field, err, "")
}

// filled is the cold broth the jars take by the likely estimate.
func (p *planner) filled() quantity.Volume {
	var total quantity.Volume
	for _, j := range p.batch.Jars {
		total += quantity.Volume(j.Count) * j.Fill
	}
	return total
}

// leftover finds where the broth goes that fills no jar.
func (p *planner) leftover() error {
	b := &p.batch
	if b.EndsAtStraining() {
		return nil
	}
	if b.Refused() {
		b.Leftover.Volume = b.Yield.ReadyToFill
	}

	p.assumed("route")
	b.Leftover.Route = p.Route

	u := b.Units
	if b.Leftover.Volume.Likely < Splash {
		b.Leftover.Route, b.Leftover.Splash = "fridge", true
		b.Leftover.Advice = "A splash: use it up, boiled first."
		return nil
	}
	switch p.Route {
	case "freezer":
		b.Leftover.Advice = fmt.Sprintf("Cold broth into freezer boxes or straight-sided jars with room to swell: %s in a wide pint, %s in a wide quart. Best within 2 to 3 months.",
			(quantity.Inch / 2).Both(u), quantity.Inch.Both(u))
		b.Leftover.Advice += muchToFreeze(b.Leftover.Volume.Likely, u)
	case "fridge":
		b.Leftover.Advice = "Covered, in the coldest part of the fridge. Boil it before you eat it."
	}
	if p.Route != "freeze-dry" {
		return nil
	}
	p.assumed("freeze-dryer")
	drying, err := freezedry.Plan(b.Leftover.Volume.Likely, p.Dryer, p.Solids)
	if err != nil {
		return wrong("freeze_dryer", err, "")
	}
	drying = p.thinned(drying)
	b.Leftover.Trays, b.Leftover.Batches, b.Leftover.Depth = drying.Trays, drying.Batches, drying.Depth
	b.Leftover.PreFreeze, b.Leftover.Hours, b.Leftover.Powder = drying.PreFreeze.Likely, drying.PerBatch, drying.Powder
	b.Leftover.Drying = drying
	b.Leftover.Advice = drying.Advice + muchToFreeze(b.Leftover.Volume.Likely, u)
	return nil
}

// cautions are what every plan says; a refused one leaves out how to can.
func cautions(b Batch) []string {
	always := []string{
		"Use a current tested process and your canner's own manual; where your local extension office says otherwise, it is right.",
		"Do not taste or eat from a jar whose seal failed in storage, that spurts, or that shows mould or smells odd: throw it away.",
		"Freeze-drying does not kill germs: broth made from the powder is fresh food.",
		"Hot pots burn: two people for a full pot.",
	}
	if b.EndsAtStraining() {
		return always
	}
	if b.Refused() {
		return append([]string{"Do not can this broth by another broth's process."}, always...)
	}
	return append([]string{
		"Have a dial gauge checked every year.",
		"Skim the fat: on a rim it can stop a seal. Reheat to a full boil before filling.",
		"Vent with steady steam for 10 minutes. Time starts at pressure; if it drops below, bring it back and start the full time again.",
		"Never force a canner to cool.",
		"Check the seals within 24 h of the canner. A jar found unsealed then goes into the fridge or the freezer, or is canned again; found later, it is thrown away untasted.",
	}, always...)
}
