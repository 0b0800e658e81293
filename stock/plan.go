package stock

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"brothrun/stock/canner"
	"brothrun/stock/fault"
	"brothrun/stock/freezedry"
	"brothrun/stock/kettle"
	"brothrun/stock/loading"
	"brothrun/stock/process"
	"brothrun/stock/quantity"
	"brothrun/stock/remark"
	"brothrun/stock/runfile"
	"brothrun/stock/settle"
)

// Splash is less broth than is worth a route of its own: 1 cup; common
// practice, no source.
const Splash = quantity.Cup

// sparesWashed is how many jars of each size are washed beyond the high
// estimate; common practice, no source.
const sparesWashed = 1

// planner gathers a batch while it is worked out.
type planner struct {
	settle.Setup
	sample []quantity.Volume // what may be ready to fill
	ice    quantity.Mass     // that melts into the broth
	ran    []ranLoad         // the loads worked out so far
	known  *[]ranLoad        // those of all plans of the same pot
	came   *Came             // nil: nothing yet
	batch  Batch
}

// Plan works out one batch. What Setup had to assume is listed in Batch.Assumed where
// it matters.
//
// Canning is refused, with the yield, chill and another route still planned,
// where no tested process exists: see Batch.Refusals. Errors are *fault.Fault.
// The figures of the balance and their accuracy are those of kettle.Balance;
// pressures and times come from process.Lookup alone.
func Plan(setup settle.Setup) (Batch, error) {
	cooked, err := Cook(setup)
	if err != nil {
		return Batch{}, err
	}
	return cooked.Can(setup)
}

// Cooked is a run worked out up to the jars: the pot and the chill.
type Cooked struct{ planner }

// Cook works out what comes before the jars. Errors are those of Plan.
func Cook(setup settle.Setup) (Cooked, error) { return cook(setup, nil) }

func cook(setup settle.Setup, came *Came) (Cooked, error) {
	p := planner{Setup: setup, known: new([]ranLoad), came: came}
	p.batch = Batch{
		Name: setup.Name, Units: setup.Units, Kind: setup.Kind, What: setup.What,
		Gauge: setup.Gauge, Altitude: setup.Altitude,
		Freezer: setup.Freezer, Warnings: slices.Clone(setup.Warnings),
	}
	for _, stage := range []func() error{p.yield, p.melt, p.chill} {
		if err := stage(); err != nil {
			return Cooked{p}, err
		}
	}
	return Cooked{p}, nil
}

// Can is Plan for a setup that differs from the one cooked in its jars, its canner or
// its route at most. The pot and the chill are not worked out again, nor is a load
// that another plan had. Errors are those of Plan.
func (c Cooked) Can(setup settle.Setup) (Batch, error) {
	if setup.Chill != "" && setup.ChillJar() != c.ChillJar() {
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
	if err := p.jarsAndLoads(); err != nil {
		return Batch{}, err
	}
	if err := p.leftover(); err != nil {
		return Batch{}, err
	}
	p.warmFreezer()
	p.rooms()
	p.batch.Cautions = cautions(p.batch)
	if n := p.batch.Leftover.Batches; n > 1 {
		p.warn(remark.Of(remark.DryerBatches, n))
	}
	return p.batch, nil
}

func (p *planner) assume(note remark.Note) { p.batch.Assumed = append(p.batch.Assumed, note) }

// assumed lists what Setup assumed under some codes, where it matters.
func (p *planner) assumed(codes ...string) {
	p.batch.Assumed = append(p.batch.Assumed, p.Assumption(codes...)...)
}

func (p *planner) warn(note remark.Note) { p.batch.Warnings = append(p.batch.Warnings, note) }

// refuse adds a refusal once.
func (p *planner) refuse(refusal remark.Note) {
	if len(remark.Noted(p.batch.Refusals, refusal.Code)) == 0 {
		p.batch.Refusals = append(p.batch.Refusals, refusal)
	}
}

// yield works the liquid balance out.
func (p *planner) yield() error {
	b := &p.batch
	p.assumed(remark.PotWidthAssumed, remark.SimmerAssumed, remark.LidAssumed, remark.LidMeasured,
		remark.VegetablesCounted)
	e, err := kettle.Balance(p.Pot)
	if err != nil {
		return fault.Of("", err, "")
	}
	for _, portion := range p.Pot.Bones {
		b.Weight += portion.Mass
	}
	b.Birds, b.Meat = p.Birds, p.Meat()
	if err := p.bring(e); err != nil {
		return fault.Of("", err, "")
	}
	b.Simmer, b.TopUp, b.HeatUp = p.Pot.Simmer, p.Pot.TopUp, e.HeatUp
	b.ShortestSimmer = p.ShortestSimmer()
	b.Yield = Yield{
		Water: e.Water, WaterFits: p.Pot.Fit, GivenOff: e.GivenOff, Evaporated: e.Evaporated, ToppedUp: e.ToppedUp,
		HeldBySolids: e.HeldBySolids, Strained: e.Strained, Fat: e.Fat, Lost: e.Lost, ReadyToFill: e.ReadyToFill,
		Least: e.Least, Rests: e.Rests, Causes: e.Causes,
	}
	b.NoFatCap = !slices.ContainsFunc(p.Pot.Bones, func(portion kettle.Portion) bool { return portion.Solids.Fat.Low > 0 })
	p.sample = e.Sample
	if p.Pot.Measured() {
		return nil // what might have gone wrong with the pot did not
	}
	p.yieldWarnings(e)
	return p.watch(e)
}

func (p *planner) yieldWarnings(e kettle.Estimate) {
	if !e.Covered {
		p.warn(remark.Of(remark.BonesNotCovered))
	}
	if e.NearOverflow {
		p.warn(remark.Of(remark.NearOverflow))
	}
	if e.MayUncover {
		p.warn(remark.Of(remark.LevelFalls))
	}
	if e.MayBoilDry {
		may := remark.Of(remark.BoilsDry).In("may")
		if e.BoilsDry {
			may = remark.Of(remark.BoilsDry).In("would")
		}
		p.warn(remark.Of(remark.BoilsDry, may))
	} else if boiled := e.Evaporated - e.ToppedUp; boiled > (e.Water+e.GivenOff)/2 {
		p.warn(remark.Of(remark.ReducedHard))
	}
	if e.BurnerLimited {
		p.warn(remark.Of(remark.BurnerLimit))
	}
	if p.batch.Picked() && p.batch.Simmer < p.batch.ShortestSimmer {
		p.warn(remark.Of(remark.BirdsNotDone, p.batch.Simmer, p.What, p.batch.ShortestSimmer))
	}
	if e.HeatUp.High > slowHeatUp {
		p.warn(remark.Of(remark.SlowHeatUp, e.HeatUp))
	}
}

// jarsAndLoads fills jars and canner loads, or refuses to.
func (p *planner) jarsAndLoads() error {
	b := &p.batch
	wishes := p.came.withBegun(p.wanted())
	// What speaks against canning is said though the chill is refused already: a cook
	// who mends the one should not be refused again for the other.
	settings, err := p.settings(wishes)
	if err != nil {
		return err
	}
	if !b.Refused() {
		p.strength()
	}
	if b.Refused() {
		return nil
	}
	if slices.ContainsFunc(wishes, func(w runfile.JarWish) bool { _, _, own := p.Shelf.Measured(w.Jar); return !own }) {
		p.assumed(remark.MouthAssumed)
	}
	p.assumed(remark.JarsFull, remark.CannerAssumed)
	small, isSmall, err := p.TooSmall()
	if err != nil {
		return err
	}
	if isSmall {
		p.refuse(small)
		return nil
	}
	if !p.GaugeNamed {
		p.assumeGauge()
	}
	sizes, unfit, err := p.sizes(wishes, settings)
	if err != nil {
		return err
	}
	if err := p.fillJars(sizes); err != nil {
		return err
	}
	if len(unfit) > 0 {
		p.warn(remark.Of(remark.JarDoesNotFit, strings.Join(unfit, "; ")))
	}
	return p.judgeLoads(sizes)
}

// wanted is the jars to fill: a size of which none is to be filled asks for no
// process, unless there are no others.
func (p *planner) wanted() []runfile.JarWish {
	wanted := slices.DeleteFunc(slices.Clone(p.Jars), func(w runfile.JarWish) bool { return w.Limit == 0 })
	if len(wanted) == 0 {
		return p.Jars
	}
	return wanted
}

// settings are the tested processes of the jars to fill; what has none is refused.
func (p *planner) settings(wishes []runfile.JarWish) (settings []process.Setting, err error) {
	for _, wish := range wishes {
		setting, err := p.setting(wish.Jar)
		if refusal, is := process.AsRefusal(err); is {
			p.refuse(refusal.Note)
		} else if err != nil {
			return nil, err
		}
		settings = append(settings, setting)
	}
	return settings, nil
}

// sizes are the jars to fill that stand in the canner, and why the others do not; that
// none does is an error.
func (p *planner) sizes(wishes []runfile.JarWish, settings []process.Setting) (sizes []fillable, unfit []string,
	err error) {
	var tight *fault.Fault // of the first that does not
	for i, wish := range wishes {
		size, err := p.size(wish, settings[i])
		narrow, isNarrow := fault.AsMisfit(err)
		switch {
		case isNarrow:
			if unfit = append(unfit, narrow.Reason); tight == nil {
				tight = narrow
			}
		case err != nil:
			return nil, nil, err
		default:
			sizes = append(sizes, size)
		}
	}
	if tight != nil && len(sizes) == 0 {
		return nil, nil, tight
	}
	return sizes, unfit, nil
}

// size is one size of jar. Errors are a *fault.Fault, a misfit where it does not stand in
// the canner.
func (p *planner) size(wish runfile.JarWish, setting process.Setting) (fillable, error) {
	j, err := p.Shelf.Find(wish.Jar, p.Mouth)
	if err != nil {
		return fillable{}, err
	}
	class, err := p.Shelf.Class(wish.Jar)
	if err != nil {
		return fillable{}, err
	}
	fill, err := j.ColdFill(process.Headspace, p.Boiling)
	if err != nil {
		return fillable{}, fault.Of(p.Shelf.Key(wish.Jar), err, "")
	}
	shape := settle.ShapeOf(j)
	capacity, err := p.Canner.Capacity(shape)
	if err != nil {
		return fillable{}, fault.Of("canner", err, "")
	}
	limit := p.Shelf.Limit(wish)
	if wish.Limit > limit {
		p.assume(remark.Of(remark.JarsOnHand, JarCount{wish.Jar, limit}, wish.Limit))
	}
	one := fillable{mouth: string(j.Mouth), class: class, setting: setting, glass: canner.GlassOf(j.Brimful),
		Size: loading.Size{Fill: fill, Limit: limit, Shape: shape, Capacity: capacity, QuartTime: class.QuartTime(),
			Pressure: setting.Pressure, Published: canner.Published(class.QuartTime(), setting.Time).Total().Likely}}
	if one.LoadTime, err = p.fullLoad(one); err != nil {
		return fillable{}, fault.Of("canner", err, "")
	}
	return one, nil
}

// judgeLoads says what may go wrong with the loads there are, or why there are none.
func (p *planner) judgeLoads(sizes []fillable) error {
	b := &p.batch
	aLoad := func(s fillable) bool { return s.Full(b.Yield.ReadyToFill.Likely, -1) >= s.Sensible() }
	p.smallLoads(!slices.ContainsFunc(sizes, aLoad))
	p.cycleWarnings()
	if err := p.checkHolds(p.Canner); err != nil {
		return err
	}
	b.Reheat = kettle.Reheat(p.filled(), p.Burner, p.Hob)
	b.Fuel.Reheat = kettle.ReheatFuel(p.filled(), p.Hob)
	b.Fuel.ReheatOnPropane = p.Hob == propane
	b.Fuel.CannerOnPropane = p.Hob == propane || p.Firing.Place.Outdoors && p.flame()
	if err := p.reheatPots(); err != nil {
		return err
	}
	switch {
	case len(b.Loads) > 0 || len(remark.Noted(b.Warnings, remark.LessThanALoad)) > 0:
	case slices.ContainsFunc(sizes, func(s fillable) bool { return s.Limit == 0 }):
		p.warn(remark.Of(remark.NoJars))
	default:
		p.warn(remark.Of(remark.TooLittleToCan))
	}
	return nil
}

// MostLoads is how many canner loads are planned at most, of one size or of all runs
// that share a kitchen: a week of days and nights. Own choice, no source.
const MostLoads = 100

// fewEnough finds sizes of which the broth would fill more loads than that.
func fewEnough(sizes []fillable, most quantity.Volume) error {
	for _, s := range sizes {
		aLoad := s.Capacity.Jars()
		if loads := (s.Full(most, s.Limit) + aLoad - 1) / aLoad; loads > MostLoads {
			return fault.New("jars", fmt.Sprintf("take larger jars, or count how many of them you fill (--jars quart,%s=12)",
				s.name()),
				"the broth would fill %d canner loads of %s, %d to a load: at most %d loads are planned",
				loads, plural(s.name()), aLoad, MostLoads)
		}
	}
	return nil
}

// fillJars plans jars and loads by what the cook prefers: the likely estimate
// makes the loads, the sample the bands.
func (p *planner) fillJars(sizes []fillable) error {
	b := &p.batch
	ready, sample := b.Yield.ReadyToFill.Likely, p.sample
	begun := 0
	if p.came != nil {
		taken, err := p.begin(sizes)
		if err != nil {
			return err
		}
		begun, ready, sample = len(b.Loads), max(0, ready-taken), less(sample, taken)
		if p.came.RestSpoilt {
			p.warn(remark.Of(remark.RestSpoilt))
			ready, sample = 0, make([]quantity.Volume, len(sample))
		}
	}
	q := loading.Question{Likely: ready, Sample: sample, Prefer: p.Prefer, SmallLoads: p.SmallLoads}
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
		first := remark.Of(remark.SizesAssumed, n)
		if n == 1 {
			first = remark.Of(remark.SizesAssumed).In("one")
		}
		p.assume(first)
		sizes, q.Sizes = sizes[:n], q.Sizes[:n]
	}
	plan := loading.Fill(q)
	for i, s := range sizes {
		n, over := plan.Counts[i], plan.Spread.Jars[i]
		if n == 0 {
			continue
		}
		count := JarsToFill{JarCount: JarCount{s.name(), n}, Mouth: s.mouth, Fill: s.Fill,
			Low: min(n, over.At(0.1)), High: max(n, over.At(0.9))}
		count.Wash = count.High + sparesWashed
		if s.Limit >= 0 {
			count.Wash = min(count.Wash, s.Limit)
		}
		b.Jars = append(b.Jars, count)
		switch aLoad := s.Capacity.Jars(); {
		case s.Capacity.LimitedBy != "racks":
		case n > aLoad:
			p.warn(remark.Of(remark.SecondRack, plural(s.name()), remark.Of(remark.SecondRack).In("fewer")))
		case n == aLoad && s.Full(plan.Left, s.Limit-n) > 0:
			p.warn(remark.Of(remark.SecondRack, plural(s.name()), remark.Of(remark.SecondRack).In("more")))
		}
	}
	for _, load := range plan.Filling {
		if err := p.load(load, sizes); err != nil {
			return err
		}
		b.Loads[len(b.Loads)-1].Small = load.Small(q.Sizes)
	}
	b.FewestLoads, b.MostLoads = min(len(b.Loads), begun+plan.Spread.Loads.At(0.1)),
		max(len(b.Loads), begun+plan.Spread.Loads.At(0.9))
	b.LoadChance = append(make([]float64, begun), plan.Spread.Loads.Chances()...)
	if p.came != nil {
		b.addBegun(p.came.Begun, sizes)
	}
	b.SmallLastLoadChance = plan.Spread.Small
	b.Leftover.Volume = quantity.BandOf(plan.Spread.Left, plan.Left)
	b.Rivals = p.rivals(sizes, plan)
	return nil
}

// setting is the tested process for one size of jar.
func (p *planner) setting(name string) (process.Setting, error) {
	size, refused := p.Shelf.Class(name)
	if _, is := process.AsRefusal(refused); is {
		size = process.Quart // what else speaks against canning comes first
	} else if refused != nil {
		return process.Setting{}, refused
	}
	setting, err := process.Lookup(p.Stock, size, p.Gauge, p.Altitude)
	if _, is := process.AsRefusal(err); err != nil && !is {
		return setting, fault.Of("altitude", err, "")
	}
	return setting, cmp.Or(err, refused)
}

// assumeGauge says what either gauge needs, since the two differ: until it is
// known which one the canner has, every form carries both.
func (p *planner) assumeGauge() {
	b := &p.batch
	b.OtherGauge = &OtherGauge{Gauge: process.Dial}
	needs := remark.Of(remark.GaugeAssumed).In("none")
	if dial, err := process.Lookup(p.Stock, process.Quart, process.Dial, b.Altitude); err == nil {
		b.OtherGauge.Pressure = dial.Pressure
		needs = remark.Of(remark.GaugeAssumed, dial.Pressure).In("dial")
	}
	p.assume(remark.Of(remark.GaugeAssumed, needs))
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
			layer.Jars = append(layer.Jars, JarCount{s.name(), counts[i]})
			if longest.name() == "" || s.Published > longest.Published {
				longest = s
			}
		}
		load.Layers = append(load.Layers, layer)
	}
	setting := longest.setting
	load.Process, load.Pressure, load.Gauge = setting.Time, setting.Pressure, setting.Gauge
	if err := p.cycle(&load, jars, sizes, longest); err != nil {
		return fault.Of("canner", err, "")
	}
	b.Loads = append(b.Loads, load)
	return nil
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

	p.assumed(remark.RouteAssumed)
	b.Leftover.Route, b.Leftover.Asked = p.Route, p.RouteAsked

	if b.Leftover.Volume.Likely < Splash {
		b.Leftover.Route, b.Leftover.Splash = settle.Fridge, true
		b.Leftover.Advice = []remark.Note{remark.Of(remark.LeftoverSplash)}
		return nil
	}
	switch p.Route {
	case settle.Freezer:
		b.Leftover.Advice = p.toFreeze(b.Leftover.Volume.Likely)
	case settle.Fridge:
		b.Leftover.Advice = []remark.Note{remark.Of(remark.LeftoverFridge)}
	}
	if p.Route != settle.FreezeDry {
		return nil
	}
	if tray := p.Dryer.Tray(); !p.RouteAsked && b.Leftover.Volume.Likely < tray {
		b.Leftover.freezeFlat(remark.Of(remark.FreezeFlat, tray, p.Dryer.FillDepth))
		return nil
	}
	p.assumed(remark.DryerAssumed)
	drying, err := freezedry.Plan(b.Leftover.Volume.Likely, p.Dryer, p.Solids)
	if err != nil {
		return fault.Of("freeze_dryer", err, "")
	}
	drying = p.thinned(drying)
	b.Leftover.Trays, b.Leftover.Batches, b.Leftover.Depth = drying.Trays, drying.Batches, drying.Depth
	b.Leftover.PreFreeze, b.Leftover.Hours, b.Leftover.Powder = drying.PreFreeze.Likely, drying.PerBatch, drying.Powder
	b.Leftover.Drying = drying
	b.Leftover.Advice = p.muchToFreeze(b.Leftover.Volume.Likely)
	return nil
}

// toFreeze is how a volume of broth is frozen in boxes.
func (p *planner) toFreeze(broth quantity.Volume) []remark.Note {
	room := remark.Of(remark.LeftoverFreezer, quantity.Inch/2, quantity.Inch)
	return append([]remark.Note{room}, p.muchToFreeze(broth)...)
}

// freezeFlat freezes what was to be freeze-dried for a later batch of the dryer; why says
// why, and how.
func (l *Leftover) freezeFlat(why remark.Note) {
	*l = Leftover{Volume: l.Volume, Route: settle.Freezer, Flat: true,
		Advice: append([]remark.Note{why}, muchToFreeze(l.Volume.Likely)...)}
}

// DryerBusy is the batch with its leftover frozen flat until the dryer is free.
func (b Batch) DryerBusy() Batch {
	b.Leftover.freezeFlat(remark.Of(remark.FreezeFlat, b.Leftover.Depth).In("busy"))
	b.Warnings = slices.DeleteFunc(slices.Clone(b.Warnings),
		func(n remark.Note) bool { return n.Code == remark.DryerBatches })
	return b
}

// cautions are what every plan says; a refused one leaves out how to can.
func cautions(b Batch) (notes []remark.Note) {
	var codes []string
	switch {
	case b.EndsAtStraining():
	case b.Refused():
		codes = []string{remark.NoOtherWay}
	default:
		codes = []string{remark.GaugeYearly, remark.SkimAndBoil, remark.VentAndTime, remark.NeverForce, remark.SealsIn24Hrs}
	}
	for _, code := range append(codes, remark.ManualFirst, remark.FailedSeal, remark.PowderIsRaw, remark.HotPots) {
		notes = append(notes, remark.Of(code))
	}
	return notes
}
