package stock

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"brothrun/stock/canner"
	"brothrun/stock/freezedry"
	"brothrun/stock/jar"
	"brothrun/stock/kettle"
	"brothrun/stock/loading"
	"brothrun/stock/process"
	"brothrun/stock/quantity"
	"brothrun/stock/runfile"
	"brothrun/stock/thermo"
)

// What is assumed when nobody says. Common practice, no source: each is printed
// with the plan so that the cook sees what to measure.
const (
	defaultCannerWidth  = 12.25 * quantity.Inch
	defaultCannerHeight = 10.5 * quantity.Inch
	defaultRacks        = 1
	defaultJars         = "quart,pint"
)

// splash is less broth than is worth a route of its own: 1 cup; common
// practice, no source.
const splash = quantity.Cup

// sparesWashed is how many jars of each size are washed beyond the high
// estimate; common practice, no source.
const sparesWashed = 1

// planner gathers a batch while it is worked out.
type planner struct {
	kitchen      runfile.Kitchen
	run          runfile.Run
	facts        kindFacts // of all that is in the pot
	bones        []kettle.Portion
	vegetables   quantity.Mass        // beside the bones, and among them
	bare         quantity.Mass        // of the bones alone
	boiling      quantity.Temperature // of water at the kitchen's altitude
	sample       []quantity.Volume    // what may be ready to fill
	width        quantity.Length      // of the pot
	widthAssumed bool
	brim         quantity.Volume // what the pot holds
	ice          quantity.Mass   // that melts into the broth
	burner       quantity.Power  // its rating; 0 when not known
	ran          []ranLoad       // the loads worked out so far
	shared       *shared         // with plans of the same pot for other jars; nil for one plan
	batch        Batch
}

// Plan works out one batch from a kitchen and a run. What they do not give is
// assumed and listed in Batch.Assumed; kind, bones, pot and altitude have no
// default, because nothing can be planned, or canned safely, without them.
//
// Canning is refused, with the yield, chill and another route still planned,
// where no tested process exists: see Batch.Refusals. Errors are *InputError.
// The figures of the balance and their accuracy are those of kettle.Balance;
// pressures and times come from process.Lookup alone.
func Plan(kitchen runfile.Kitchen, run runfile.Run) (Batch, error) {
	p, err := cook(kitchen, run)
	if err != nil {
		return Batch{}, err
	}
	return p.can()
}

// cook works out what comes before the jars.
func cook(kitchen runfile.Kitchen, run runfile.Run) (planner, error) {
	p := planner{kitchen: kitchen, run: run}
	err := inTurn(p.start, p.yield, p.melt, p.chill)
	return p, err
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

// inTurn does one thing after another until one fails.
func inTurn(all ...func() error) error {
	for _, work := range all {
		if err := work(); err != nil {
			return err
		}
	}
	return nil
}

func (p *planner) assume(code, format string, args ...any) {
	p.batch.Assumed = append(p.batch.Assumed, Note{Code: code, Text: fmt.Sprintf(format, args...)})
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

// start reads what the run is: kind, altitude, gauge and units.
func (p *planner) start() error {
	run, kitchen := p.run, p.kitchen
	b := &p.batch
	b.Name = run.Name
	if run.Gauge != "" && kitchen.Gauge != "" && !strings.EqualFold(run.Gauge, kitchen.Gauge) {
		p.warn("gauge-differs", "Planned for the run's %s gauge, not for the kitchen's %s one.", run.Gauge, kitchen.Gauge)
	}
	if kitchen.Units != "" {
		units, err := quantity.ParseSystem(kitchen.Units)
		if err != nil {
			return wrong("units", err, "")
		}
		b.Units = units
	}

	if err := p.kinds(); err != nil {
		return err
	}
	b.Kind, b.What = p.facts.kind, p.facts.words

	b.Gauge = kitchen.Gauge
	if run.Gauge != "" {
		b.Gauge = run.Gauge
	}
	if b.Gauge == "" {
		b.Gauge = string(process.Weighted)
	} else if gauge, err := process.ParseGauge(b.Gauge); err != nil {
		return wrong("gauge", err, "")
	} else {
		b.Gauge = string(gauge)
	}

	altitude := kitchen.Altitude
	if run.Altitude != nil {
		altitude = run.Altitude
	}
	if altitude == nil {
		return &InputError{"altitude", "the altitude of the kitchen is not given, and it has no default: it sets the canner's pressure, and too little pressure leaves broth unsafe",
			"--altitude 3200ft, or altitude = \"3200 ft\" in the kitchen file; look your house up on a map"}
	}
	b.Altitude = *altitude
	if run.Altitude != nil && kitchen.Altitude != nil && math.Abs((*run.Altitude-*kitchen.Altitude).Feet()) > 1 {
		p.warn("altitude-differs", "Planned for the run's altitude, %s, not for the kitchen's %s: the pressure goes by it.",
			quantity.FormatAltitude(*run.Altitude, b.Units), quantity.FormatAltitude(*kitchen.Altitude, b.Units))
	}
	p.doubtMinus()
	boiling, err := thermo.BoilingPoint(*altitude)
	if err != nil {
		return wrong("altitude", err, "")
	}
	p.boiling = boiling
	return nil
}

// doubtMinus warns of a place so far below the sea that as high above it the
// pressure would be higher: a minus that slipped in would then be unsafe.
func (p *planner) doubtMinus() {
	b := &p.batch
	if b.Altitude >= 0 {
		return
	}
	here, err := process.Lookup(p.facts.stock, process.Quart, process.Gauge(b.Gauge), b.Altitude)
	above, aboveErr := process.Lookup(p.facts.stock, process.Quart, process.Gauge(b.Gauge), -b.Altitude)
	if err == nil && aboveErr == nil && above.Pressure > here.Pressure {
		p.warn("below-sea-level", "Planned for a place below sea level, %s, which is rare: at %s the pressure is %s. If the minus is a slip, take it out.",
			quantity.AltitudeBoth(b.Altitude, b.Units), quantity.AltitudeBoth(-b.Altitude, b.Units), above.Pressure.Both(b.Units))
	}
}

// kinds reads what goes into the pot: one kind, or several portions. How much of
// one kind is for yield to ask: a canner setting needs none.
func (p *planner) kinds() error {
	run := p.run
	if len(run.Portions) > 0 && (run.Kind != "" || run.Bones != nil) {
		return &InputError{"bones", "one kind and several kinds in the pot are given", "keep one of them"}
	}
	portions := run.Portions
	if len(portions) == 0 {
		if run.Kind == "" {
			return &InputError{"kind", "what goes into the pot is not given", "--kind turkey-frames, or one of: " + kindList()}
		}
		portions = []runfile.Portion{{Kind: run.Kind, Weight: run.Bones}}
	}
	var pot []kindFacts
	for i, portion := range portions {
		key, facts, ok := "kind", kindFacts{}, false
		if len(run.Portions) > 0 {
			key = fmt.Sprintf("bones[%d].kind", i)
		}
		if facts, ok = Kind(spelling(portion.Kind)).facts(); !ok {
			return &InputError{key, fmt.Sprintf("kind %q is not known", portion.Kind), "write one of: " + kindList()}
		}
		solids, err := kettle.For(string(facts.kind))
		if err != nil {
			return wrong(key, err, "")
		}
		pot = append(pot, facts)
		p.bones = append(p.bones, kettle.Portion{Kind: string(facts.kind), Solids: solids, Mass: valueOf(portion.Weight)})
	}
	p.vegetables = valueOf(run.Vegetables)
	heaviest := -1
	for i, portion := range p.bones {
		if pot[i].stock == process.Vegetable {
			p.vegetables += portion.Mass
			continue
		}
		p.bare += portion.Mass
		if heaviest < 0 || portion.Mass > p.bones[heaviest].Mass {
			heaviest = i
		}
	}
	solids := freezedry.Vegetable
	if heaviest >= 0 && p.vegetables <= p.bare {
		solids = pot[heaviest].solids
	}
	p.facts = mixed(pot, solids)
	return nil
}

// spelling forgives upper case and blanks for hyphens: "Turkey frames".
func spelling(text string) string {
	return strings.Join(strings.Fields(strings.ToLower(text)), "-")
}

func kindList() string {
	var names []string
	for _, k := range Kinds() {
		names = append(names, string(k))
	}
	return strings.Join(names, ", ")
}

// yield works the liquid balance out.
func (p *planner) yield() error {
	run, kitchen, b := p.run, p.kitchen, &p.batch
	if run.Bones == nil && len(run.Portions) == 0 {
		return &InputError{"bones", fmt.Sprintf("how much %s goes into the pot is not given", p.facts.words), "--bones 9lb"}
	}
	pot, err := p.pot()
	if err != nil {
		return err
	}
	p.width, p.brim = *pot.Width, *pot.Volume
	in := kettle.Input{
		Pot: *pot.Volume, PotWidth: *pot.Width, WidthAssumed: p.widthAssumed, FillLine: kettle.DefaultFillLine,
		Bones:    p.bones,
		Fit:      run.Fit || run.Water == nil,
		Simmer:   p.facts.simmer.usual,
		Lid:      kettle.LidAjar,
		TopUp:    spelling(run.TopUp) == "level",
		Altitude: b.Altitude,
	}
	if pot.FillLine != nil {
		in.FillLine = *pot.FillLine
	}
	if pot.Evaporation != nil {
		in.Evaporation = *pot.Evaporation
	}
	if pot.Held != nil {
		in.Held = *pot.Held
	}
	if run.Vegetables != nil {
		in.Vegetables = *run.Vegetables
	}
	if !in.Fit {
		in.Water = *run.Water
	}
	if run.Simmer != nil {
		in.Simmer = *run.Simmer
	} else {
		p.assume("simmer", "It simmers %s, as is usual for %s (--simmer).", quantity.FormatDuration(in.Simmer), p.facts.words)
	}
	if run.Lid != "" {
		if in.Lid, err = kettle.ParseLid(spelling(run.Lid)); err != nil {
			return wrong("lid", err, "")
		}
	} else if in.Evaporation == 0 {
		p.assume("lid", "The lid is ajar while it simmers, and boils off anything from a quarter to four fifths of what an open pot does: say which (--lid on|ajar|off).")
	}
	if in.Evaporation > 0 {
		p.assume("lid-measured", "The boil-off you measured is taken as it is: it holds for the lid you measured it with, whatever --lid says.")
	}
	if topUp := spelling(run.TopUp); topUp != "" && topUp != "never" && topUp != "level" {
		return &InputError{"top_up", fmt.Sprintf("top up %q is not known", run.TopUp), "write never or level"}
	}
	if kitchen.Burner != nil {
		in.Burner, in.Hob = *kitchen.Burner, kitchen.Hob
	}

	e, err := kettle.Balance(in)
	if err != nil {
		return balanceError(err)
	}
	for _, portion := range in.Bones {
		b.Weight += portion.Mass
	}
	b.Simmer, b.TopUp, b.HeatUp = in.Simmer, in.TopUp, e.HeatUp
	b.ShortestSimmer = p.facts.simmer.shortest
	b.Yield = Yield{
		Water: e.Water, WaterFits: in.Fit, GivenOff: e.GivenOff, Evaporated: e.Evaporated, ToppedUp: e.ToppedUp,
		HeldBySolids: e.HeldBySolids, Strained: e.Strained, Fat: e.Fat, Lost: e.Lost, ReadyToFill: e.ReadyToFill,
		Causes: e.Causes,
	}
	p.sample = e.Sample
	p.burner = in.Burner
	p.yieldWarnings(e)
	unattended := pot.Unattended
	if run.Unattended != nil {
		unattended = *run.Unattended
	}
	return p.watch(in, e, unattended)
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

// pot is the pot the run names, gives or leaves to the kitchen.
func (p *planner) pot() (runfile.Pot, error) {
	pot, err := p.kitchen.Pot(p.run.Pot)
	if err != nil {
		return pot, wrong("pot", err, "--pot 22qt, or pot = \"22 qt\" in the run file")
	}
	if pot.Volume == nil {
		return pot, &InputError{p.kitchen.PotKey(p.run.Pot, "volume"), "the volume of the pot is not given", "--pot 22qt, or volume = \"22 qt\" under [[pot]] in the kitchen file"}
	}
	if p.run.PotWidth != nil {
		pot.Width = p.run.PotWidth
	}
	if pot.Width == nil {
		width := quantity.Length(math.Round(kettle.PotWidth(*pot.Volume).Inches()*10)) * quantity.Inch / 10
		pot.Width = &width
		p.widthAssumed = true
		p.assume("pot-width", "The pot is %s wide inside, by the usual shape. A wider pot boils off more: measure it (--pot-width).", width.Both(p.batch.Units))
	}
	return pot, nil
}

// jarsAndLoads fills jars and canner loads, or refuses to.
func (p *planner) jarsAndLoads() error {
	b := &p.batch
	if b.EndsAtStraining() {
		return nil
	}
	text := p.run.Jars
	if text == "" {
		text = defaultJars
	}
	wishes, err := ParseJars(text)
	if err != nil {
		return wrong("jars", err, "")
	}
	// A size of which none is to be filled asks for no process.
	wanted := slices.DeleteFunc(slices.Clone(wishes), func(w JarWish) bool { return w.Limit == 0 })
	if len(wanted) > 0 {
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
	mouth, err := p.mouth(slices.ContainsFunc(wishes, func(w JarWish) bool { _, own := p.kitchen.OwnJar(w.Jar); return !own }))
	if err != nil {
		return err
	}
	can, err := p.canner()
	if err != nil {
		return err
	}
	small, err := p.tooSmall(can)
	if err != nil {
		return err
	}
	if small != nil {
		p.refuse(small)
		return nil
	}
	if p.kitchen.Gauge == "" && p.run.Gauge == "" {
		p.assumeGauge()
	}
	var unfit error // jars that do not stand in the canner
	var sizes []fillable
	limited := false
	lessThanALoad := true
	for i, wish := range wishes {
		j, err := p.findJar(wish.Jar, mouth)
		if err != nil {
			return err
		}
		size, err := p.jarSize(wish.Jar)
		if err != nil {
			return err
		}
		fill, err := j.ColdFill(process.Headspace, p.boiling)
		if err != nil {
			return wrong(p.jarKey(wish.Jar), err, "")
		}
		shape := canner.Shape{Name: j.Name, Diameter: j.PackDiameter, Height: j.Height}
		capacity, err := can.Capacity(shape)
		var narrow *canner.FitError
		switch {
		case errors.As(err, &narrow):
			unfit = errors.Join(unfit, err)
			continue
		case err != nil:
			return cannerError(err)
		}
		limit := p.onHand(wish)
		if wish.Limit > limit {
			p.assume("jars-on-hand", "%s on hand by the kitchen file, so that %d are not counted on (--jars).", CountJars(limit, wish.Jar), wish.Limit)
		}
		limited = limited || limit == 0
		one := fillable{mouth: string(j.Mouth), class: size, setting: settings[i], glass: canner.GlassOf(j.Brimful),
			Size: loading.Size{Fill: fill, Limit: limit, Shape: shape, Capacity: capacity, QuartTime: size.QuartTime(),
				Pressure: settings[i].Pressure, Published: canner.Published(size.QuartTime(), settings[i].Time).Total().Likely}}
		if one.LoadTime, err = p.fullLoad(one, can); err != nil {
			return cannerError(err)
		}
		lessThanALoad = lessThanALoad && one.Full(b.Yield.ReadyToFill.Likely, -1) < one.Sensible()
		sizes = append(sizes, one)
	}
	if err := p.fillJars(sizes, can); err != nil {
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
	p.batch.Reheat = kettle.Reheat(p.filled(), p.burner, p.kitchen.Hob)
	if err := p.reheatPots(); err != nil {
		return err
	}
	switch {
	case len(b.Loads) > 0 || count(b.Warnings, lessThanALoadCode) > 0:
	case limited:
		p.warn("no-jars", "There are no jars to fill: none of these sizes is on hand. All of it goes to the other route.")
	default:
		p.warn("too-little-to-can", "There is not enough broth for a single jar: freeze it.")
	}
	return nil
}

// fillJars plans jars and loads by what the cook prefers: the likely estimate
// makes the loads, the sample the bands.
func (p *planner) fillJars(sizes []fillable, can canner.Canner) error {
	b := &p.batch
	prefer, err := loading.ParsePreference(p.run.Prefer)
	if err != nil {
		return wrong("prefer", err, "write jars, loads or leftover")
	}
	if len(sizes) > loading.MostSizes && (prefer != loading.PreferJars || p.run.Mix) {
		p.assume("kinds", "Only the first %d sizes of jar are planned with; put those you mean first (--jars).", loading.MostSizes)
		sizes = sizes[:loading.MostSizes]
	}
	q := loading.Question{Likely: b.Yield.ReadyToFill.Likely, Sample: p.sample, Prefer: prefer, SmallLoads: p.run.SmallLoads}
	for _, s := range sizes {
		q.Sizes = append(q.Sizes, s.Size)
	}
	if p.run.Mix {
		q.Shared = &can
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
		if err := p.load(load, sizes, can); err != nil {
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
	size, refused := p.jarSize(name)
	var refusal *process.Refusal
	if errors.As(refused, &refusal) {
		size = process.Quart // what else speaks against canning comes first
	} else if refused != nil {
		return process.Setting{}, refused
	}
	setting, err := process.Lookup(p.facts.stock, size, process.Gauge(p.batch.Gauge), p.batch.Altitude)
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
	if dial, err := process.Lookup(p.facts.stock, process.Quart, process.Dial, b.Altitude); err == nil {
		b.OtherGauge.Pressure = dial.Pressure
		text = fmt.Sprintf("needs %s here", dial.Pressure.Both(b.Units))
	}
	p.assume("gauge", "The gauge of the canner is not named, so the plan gives what a weighted one needs, and the hours of that. A dial gauge %s. Look at the lid, and say which (--gauge weighted|dial).", text)
}

// mouth is that of the catalogue's jars; matters says that any is to be filled.
func (p *planner) mouth(matters bool) (jar.Mouth, error) {
	key, text := "mouth", p.run.Mouth
	if text == "" {
		key, text = "jars.mouth", p.kitchen.Mouth
	}
	if text == "" {
		if !matters {
			return jar.Regular, nil
		}
		p.assume("mouth", "The jars have regular mouths; wide ones of the same size take a little less (--mouth wide).")
		return jar.Regular, nil
	}
	mouth, err := jar.ParseMouth(text)
	if err != nil {
		return "", wrong(key, err, "")
	}
	return mouth, nil
}

// canner is the kitchen's canner, with what is not given assumed.
func (p *planner) canner() (canner.Canner, error) {
	given := p.kitchen.Canner
	can := canner.Canner{Width: defaultCannerWidth, Height: defaultCannerHeight, Racks: defaultRacks, Holds: p.holds()}
	var missing []string
	if given.Width != nil {
		can.Width = *given.Width
	} else if len(given.Holds) == 0 {
		missing = append(missing, can.Width.Both(p.batch.Units)+" wide inside (--canner-width)")
	}
	if given.Height != nil {
		can.Height = *given.Height
	} else {
		missing = append(missing, can.Height.Both(p.batch.Units)+" high inside (--canner-height)")
	}
	if given.RackThickness != nil {
		can.RackThickness = *given.RackThickness
	}
	if given.Racks != 0 {
		can.Racks = given.Racks
	} else {
		missing = append(missing, "one rack (--racks)")
	}
	if len(missing) > 0 {
		p.assume("canner", "The canner: %s.", strings.Join(missing, ", "))
	}
	return can, nil
}

// load adds a load. Its process is the tested one of the size in it that takes
// longest; the pressure is the same for all of them.
func (p *planner) load(jars loading.Load, sizes []fillable, can canner.Canner) error {
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
	if err := p.cycle(&load, jars, sizes, longest, can); err != nil {
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
	b, run := &p.batch, p.run
	if b.EndsAtStraining() {
		return nil
	}
	if b.Refused() {
		b.Leftover.Volume = b.Yield.ReadyToFill
	}

	given := p.kitchen.FreezeDryer
	hasDryer := given.Trays > 0 || given.TrayLength != nil || given.Capacity != nil || len(given.Bookings) > 0
	route := spelling(run.Route)
	switch route {
	case "freeze-dry", "freezer", "fridge":
	case "":
		route = "freezer"
		if hasDryer {
			route = "freeze-dry"
		} else {
			p.assume("route", "What fills no jar goes to the freezer (--route freeze-dry|freezer|fridge).")
		}
	default:
		return &InputError{"route", fmt.Sprintf("route %q is not known", run.Route), "write freeze-dry, freezer or fridge"}
	}
	b.Leftover.Route = route

	u := b.Units
	if b.Leftover.Volume.Likely < splash {
		b.Leftover.Route, b.Leftover.Splash = "fridge", true
		b.Leftover.Advice = "A splash: use it up, boiled first."
		return nil
	}
	switch route {
	case "freezer":
		b.Leftover.Advice = fmt.Sprintf("Cold broth into freezer boxes or straight-sided jars with room to swell: %s in a wide pint, %s in a wide quart. Best within 2 to 3 months.",
			(quantity.Inch / 2).Both(u), quantity.Inch.Both(u))
		b.Leftover.Advice += muchToFreeze(b.Leftover.Volume.Likely, u)
	case "fridge":
		b.Leftover.Advice = "Covered, in the coldest part of the fridge. Boil it before you eat it."
	}
	if route != "freeze-dry" {
		return nil
	}
	dryer := p.dryer()
	if !hasDryer {
		p.assume("freeze-dryer", "The freeze dryer has %d trays of %s by %s, filled %s deep.", dryer.Trays,
			dryer.TrayLength.Both(u), dryer.TrayWidth.Both(u), dryer.FillDepth.Both(u))
	}
	drying, err := freezedry.Plan(b.Leftover.Volume.Likely, dryer, p.facts.solids)
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

// dryer is the kitchen's freeze dryer, what is not given assumed.
func (p *planner) dryer() freezedry.Dryer {
	dryer, given := freezedry.DefaultDryer(), p.kitchen.FreezeDryer
	if given.Trays != 0 {
		dryer.Trays = given.Trays
	}
	if given.TrayLength != nil && given.TrayWidth != nil {
		dryer.TrayLength, dryer.TrayWidth, dryer.Assumed = *given.TrayLength, *given.TrayWidth, false
	}
	if given.FillDepth != nil {
		dryer.FillDepth = *given.FillDepth
	}
	if given.Capacity != nil {
		dryer.Capacity = *given.Capacity
	}
	return dryer
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
