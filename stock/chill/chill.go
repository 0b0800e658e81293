// Package chill says how long a pot of strained broth takes to cool, by method,
// and whether that keeps the two-stage rule.
//
// Model: the broth is one lump at one temperature. Free convection within and
// without, radiation, wind and stirring carry its heat out, each worked out anew
// as the broth falls; broth that sets below 25–15 °C conducts instead, on the slow
// side fully. The surroundings warm: a fridge or freezer has a machine of finite
// power and other food that takes up heat, tap water warms between changes, and a
// bath holds 1 °C only while there is ice. A fourth-order Runge-Kutta rule follows
// it from straining on. Each figure has a slow side, a likely value and a fast
// side; nearly all are guesses or backed out of few reports, so bands are wide.
// Left out: evaporation (so open pans are quicker at first), layers within the
// broth, thawing of frozen food, ice on the wall in a freezer. Jars in the fridge
// are the same lump in smaller lots, which share one machine; their glass, a tenth
// of the heat, is taken to start as hot as the broth. No measurement of broth in
// jars was found, so they are never called a pass.
//
// What it misses of the published cases (testdata/published/cooling_observed.csv;
// TestPublishedCooling prints each):
//
//   - Row 2, 2 gal of chili in a cooler at 40 °F, cold in about 10 h: 28 h (14 to
//     76), 2.8 times as long. In a cooler held at 40 °F the last degree before 41 °F
//     takes most of it, so the one seen was likely colder.
//   - Row 4, 2 in pans of chili that kept the rule at 40 °F: 15 h to 41 °F (7 to 42)
//     where 6 are allowed. Row 10, the same depth in another trial, missed the rule.
//   - Rows 14 and 15, wort in still ice baths: 0.42 h where 0.5 to 0.67 were seen,
//     0.80 h where 0.5 was; inside the band, as it was scaled to them.
//   - Row 6, 14 gal of beef stew, 84 h: met as a bound at 23 h, but conduction alone
//     gives 46 h, so that cooler was warmer or stiller than assumed.
//
// For viscous food, which only bounds thin broth, the likely side may be quicker
// than what was seen; row 13, 3 in pans in a freezer, is called kept where chili
// missed, by a hair.
//
// Sources, by tag:
//
//	[FC]   FDA Food Code 3-501.14(A), read in a state's adoption of it.
//	[SR28] USDA National Nutrient Database, release 28 (home-made stock), with
//	       Choi-Okos component densities.
//	[HT], [REP] see method.go: heat transfer coefficients.
package chill

import (
	"fmt"
	"math"
	"time"

	"brothrun/stock/fault"
	"brothrun/stock/quantity"
)

// The two-stage rule [FC]: from 135 °F to 70 °F within 2 hours and to 41 °F
// within 6 hours in all. Both clocks start as the broth passes 135 °F.
const (
	WithinTo70F = 2 * time.Hour
	WithinTo41F = 6 * time.Hour
)

var (
	clockStarts = quantity.Fahrenheit(135)
	firstStage  = quantity.Fahrenheit(70)
	secondStage = quantity.Fahrenheit(41)
)

const (
	// Density of home-made stock at 20 °C: 1018 kg/m³ [SR28]; 1000–1025 for thin to rich.
	brothDensity quantity.Density = 1018
	// Heat capacity of broth, J/(kg·K): 4.0 kJ, 3.9–4.1 for 8 to 3 % solids, from memory.
	brothHeatCapacity = 4.0e3
	// Heat capacity of water, J/(kg·K): 4.2 kJ, within 0.5 % from 0 to 100 °C, from memory.
	waterHeatCapacity = 4.2e3
	// Heat of fusion of ice: 334 kJ/kg, within 0.2 %, from memory.
	fusion = 334 * quantity.KilojoulePerKilogram

	// Baking pans: 13 × 9 in. The size is common practice, no source.
	panLength = 13 * quantity.Inch
	panWidth  = 9 * quantity.Inch
	// The Southern Nevada Health District's depth for thick food.
	defaultPanDepth = 2 * quantity.Inch

	// A quart jar filled to an inch below its rim, and how wide it is within: from
	// memory, within 5 %.
	quartFill  = 0.91 * quantity.Litre
	quartWidth = 9 * quantity.Centimetre
)

// defaultFrom is the broth's temperature when it is strained, just off the
// boil: common practice, no source.
var defaultFrom = quantity.Celsius(95)

// Pot is the broth to be cooled and the pot it stands in.
type Pot struct {
	Volume quantity.Volume      // 0.1 to 200 l of strained broth
	Width  quantity.Length      // inside, 10 to 100 cm, and no narrower than makes it 1.2 m deep
	From   quantity.Temperature // when cooling starts, 135 °F to 105 °C; zero: 95 °C
	// PanDepth is how deep it is poured for shallow-pans, 1 to 20 cm; zero: 2 in.
	PanDepth quantity.Length
	Jar      Jar // each of those it is ladled into for jars-in-fridge; zero: a quart
}

// Jar is one of the jars, or like containers, of jars-in-fridge.
type Jar struct {
	Fill  quantity.Volume // of broth, 0.05 to 4 l
	Width quantity.Length // inside, 3 to 25 cm
}

// Known reports whether a jar is in the ranges of its type.
func (j Jar) Known() bool {
	return j.Fill >= 0.05*quantity.Litre && j.Fill <= 4*quantity.Litre && j.Width >= 3*quantity.Centimetre &&
		j.Width <= 25*quantity.Centimetre
}

// Surroundings are the temperatures a pot can be cooled against, each −60 to 50 °C.
type Surroundings struct {
	Fridge, Freezer, Room, Tap quantity.Temperature
	Outdoors                   *quantity.Temperature // nil: not known, and no method uses it

	// FridgePower is what the fridge has to spare at full run, 5 W to 50 kW; zero:
	// a home fridge, 50 to 150 W. FridgeFood is the other food in it, 0.1 kg to 1 t;
	// zero: 10 to 30 kg.
	FridgePower quantity.Power
	FridgeFood  quantity.Mass
	// Ice is all there is for the ice methods, up to 1 t; zero: more is added before
	// the last has melted.
	Ice quantity.Mass
}

// DefaultSurroundings returns a fridge at 3 °C, a freezer at −18 °C (0 °F), a
// room at 21 °C, tap water at 15 °C and no outdoors: common practice, no source.
// Tap water runs warmer in summer.
func DefaultSurroundings() Surroundings {
	return Surroundings{
		Fridge:  quantity.Celsius(3),
		Freezer: quantity.Celsius(-18),
		Room:    quantity.Celsius(21),
		Tap:     quantity.Celsius(15),
	}
}

// Reach is when a temperature is reached, counted from the moment the broth
// passes 135 °F; Never when the surroundings are too warm for it ever to be, or
// when it takes longer than 60 days.
type Reach struct {
	After time.Duration
	Never bool
}

// Within reports whether the temperature is reached in d or less.
func (r Reach) Within(d time.Duration) bool { return !r.Never && r.After <= d }

// String writes the time, or that it never comes.
func (r Reach) String() string {
	if r.Never {
		return "never"
	}
	return quantity.FormatDuration(r.After)
}

// Verdict says how a method stands against the two-stage rule.
type Verdict string

// The verdicts.
const (
	Pass   Verdict = "pass"   // both stages kept, even on the slow side
	Narrow Verdict = "narrow" // kept if heat flows as likely, missed on the slow side or resting on a guessed time
	Fail   Verdict = "fail"
)

// Warming is what the other food in a fridge or freezer feels.
type Warming struct {
	In             Method               // Fridge or Freezer; empty: the method uses neither
	Peak, SlowPeak quantity.Temperature // the warmest it gets, likely and on the slow side
	// Above41F is how long it is above 41 °F (5 °C), up to when the broth is cold.
	Above41F, SlowAbove41F time.Duration
}

// Result is how a pot cools by one method.
type Result struct {
	Method       Method
	To70F, To41F Reach // likely
	SlowTo70F    Reach // on the slow side, which Pass rests on
	SlowTo41F    Reach
	FastTo70F    Reach
	FastTo41F    Reach
	// Attended is the time from Pot.From until the pot needs nobody: until it
	// goes into the fridge, or until 41 °F; ladling included. Zero for methods that
	// only need a look now and then, and where the end is never reached.
	Attended quantity.Band[time.Duration]
	// SwitchAt is the broth's temperature at which a sequence goes on to its second
	// method; zero for a single method.
	SwitchAt quantity.Temperature
	Verdict  Verdict
	// Ice is what melts, likely: the broth's heat, the bath's own water and what the
	// room gives. More has to float in the bath at the end.
	Ice quantity.Mass
	// IceToHave is what melts on the slow side, which Pass rests on: what to buy.
	IceToHave quantity.Mass
	// Have is all the ice there is where that is less than IceToHave; zero otherwise.
	Have quantity.Mass
	// ForWantOfIce says that with enough of it the method would not fail.
	ForWantOfIce bool
	// MeltedIn is ice that ends up in the broth: leave this much of the measured
	// water out of the pot.
	MeltedIn quantity.Mass
	Changes  int // of cold water, likely
	Pans     int // of PanDepth, 13 by 9 in
	PanDepth quantity.Length
	Jars     int // of JarFill
	JarFill  quantity.Volume
	Other    Warming
	// StayInIce says that the fridge is too slow for the last part of a sequence.
	StayInIce bool
}

// Cool returns how pot cools by method.
//
// pot and around must be in the ranges of their types; method must be one of
// Methods, and Outdoors needs around.Outdoors. For ice-added methods the volume
// is the finished broth, melted ice included.
//
// Accuracy: likely times agree with reports of wort cooled in ice to within a
// factor of 1.65; for still air no measurement of broth was found: see the package
// comment for what is missed. Ice-added and frozen-bottle times are guesses.
//
// Anything out of range, NaN or infinite is a *fault.Fault. The rule is [FC]; the
// model is the package's.
func Cool(pot Pot, around Surroundings, method Method) (Result, error) {
	pot, err := pot.checked()
	if err != nil {
		return Result{}, err
	}
	if err := around.check(); err != nil {
		return Result{}, err
	}
	if method, err = ParseMethod(string(method)); err != nil {
		return Result{}, err
	}
	if method.needsOutdoors() && around.Outdoors == nil {
		return Result{}, fault.New("", "--outdoors 25F",
			"chill method %q needs the outdoor temperature, which is not given: give one from %s", method, temperatureRange)
	}
	return coolFully(pot, around, method), nil
}

// Compare returns how pot cools by each of Methods, in their order; methods that
// need an outdoor temperature that is not given are left out. Errors are those
// of Cool.
func Compare(pot Pot, around Surroundings) ([]Result, error) {
	pot, err := pot.checked()
	if err != nil {
		return nil, err
	}
	if err := around.check(); err != nil {
		return nil, err
	}
	results := make([]Result, 0, len(Methods()))
	for _, m := range Methods() {
		if m.needsOutdoors() && around.Outdoors == nil {
			continue
		}
		results = append(results, coolFully(pot, around, m))
	}
	return results, nil
}

// Propose returns the least laborious method that passes with margin; ok is false
// when none does. It never proposes the counter, nor a method whose time is a
// guess. Errors are those of Cool.
func Propose(pot Pot, around Surroundings) (r Result, ok bool, err error) {
	if pot, err = pot.checked(); err != nil {
		return Result{}, false, err
	}
	if err := around.check(); err != nil {
		return Result{}, false, err
	}
	for _, m := range easiest {
		if m.needsOutdoors() && around.Outdoors == nil || m.hopeless(around) {
			continue
		}
		switchAt := switchFor(pot, around, m)
		slowest := follow(pot, around, m, slow, switchAt, 0)
		if !slowest.keeps() {
			continue
		}
		// What kept the rule ran to its end, as without a limit.
		if r := cool(pot, around, m, switchAt, slowest); r.Verdict == Pass {
			return r, true, nil
		}
	}
	return Result{}, false, nil
}

// hopeless reports whether a method ends in surroundings too warm for 41 °F.
func (m Method) hopeless(around Surroundings) bool {
	first, second := m.Parts()
	last := first
	if second != "" {
		last = second
	}
	return last.medium(around).base >= secondStage
}

// coolFully is Cool for arguments that have been checked.
func coolFully(pot Pot, around Surroundings, method Method) Result {
	switchAt := switchFor(pot, around, method)
	return cool(pot, around, method, switchAt, follow(pot, around, method, slow, switchAt, longest))
}

// cool makes the result of a method whose switch and slow side are known.
func cool(pot Pot, around Surroundings, method Method, switchAt quantity.Temperature, slowest course) Result {
	r := Result{Method: method}
	firstMethod, secondMethod := method.Parts()
	first := firstMethod.medium(around)
	last := first
	if secondMethod != "" {
		r.SwitchAt, last = switchAt, secondMethod.medium(around)
	}

	by := [sides]course{slow: slowest}
	for _, s := range [...]side{likely, fast} {
		by[s] = follow(pot, around, method, s, switchAt, longest)
	}
	times := func(s side) (to70, to41 Reach) { return by[s].since135(by[s].at70), by[s].since135(by[s].at41) }
	r.To70F, r.To41F = times(likely)
	r.SlowTo70F, r.SlowTo41F = times(slow)
	// Each figure is the worse on the slow side; should all of them together ever be
	// the better, the slow side is still no quicker than the likely one.
	r.SlowTo70F, r.SlowTo41F = later(r.SlowTo70F, r.To70F), later(r.SlowTo41F, r.To41F)
	r.FastTo70F, r.FastTo41F = times(fast)
	if firstMethod == JarsInFridge || by[likely].arrived(secondMethod != "" && method.EndsInFridge()) {
		r.Attended = quantity.Of(by[fast].attended, by[likely].attended, max(by[slow].attended, by[likely].attended))
	}
	r.Verdict = verdict(r)
	if r.Verdict == Pass && (first.guessed || last.guessed) {
		r.Verdict = Narrow
	}

	r.Changes = by[likely].changes
	if first.melts {
		r.MeltedIn = meltedIn(pot, switchAt)
		r.Ice = r.MeltedIn
		if !around.suffices(r.MeltedIn) {
			enough := around
			enough.Ice = 0
			r.Verdict, r.Have = Fail, around.Ice
			r.ForWantOfIce = follow(pot, enough, method, likely, switchAt, longest).keeps()
		}
		r.IceToHave = r.MeltedIn
	} else {
		needs, most := by[likely], by[slow]
		if around.Ice > 0 && (first.ice || last.ice) {
			enough := around
			enough.Ice = 0
			needs = follow(pot, enough, method, likely, switchFor(pot, enough, method), longest)
			most = follow(pot, enough, method, slow, switchFor(pot, enough, method), longest)
		}
		r.Ice = quantity.Mass(needs.end.melted)
		r.IceToHave = max(r.Ice, quantity.Mass(most.end.melted))
		if !around.suffices(r.IceToHave) {
			r.Have, r.ForWantOfIce = around.Ice, r.Verdict == Fail && needs.keeps()
		}
	}
	// Both published trials of a frozen wand in a 3-gal pot missed the rule (Olds and
	// Sneed 2005; Roberts et al. 2013: rows 17 and 18 of
	// testdata/published/cooling_observed.csv): no worked-out time is believed over them.
	if firstMethod == FrozenBottles {
		r.Verdict, r.ForWantOfIce = Fail, false
	}
	for _, m := range [...]Method{firstMethod, secondMethod} {
		if m == "" || !m.medium(around).cabinet {
			continue
		}
		r.Other = Warming{Fridge, quantity.Celsius(by[likely].peak), quantity.Celsius(max(by[slow].peak, by[likely].peak)),
			span(by[likely].above), span(max(by[slow].above, by[likely].above))}
		if m == Freezer {
			r.Other.In = Freezer
		}
	}

	if first.pans {
		r.Pans = int(math.Ceil(float64(pot.Volume)/float64(panLength.Times(panWidth).Times(pot.PanDepth)) - 1e-9))
		r.PanDepth = pot.PanDepth
	}
	if last.jars {
		r.Jars, r.JarFill = pot.jarCount(), pot.Jar.Fill
	}
	r.StayInIce = r.Verdict == Fail && first.ice && method.EndsInFridge()
	return r
}

// suffices reports whether there is this much ice.
func (s Surroundings) suffices(ice quantity.Mass) bool { return s.Ice == 0 || s.Ice >= ice }

// later returns the later of two.
func later(a, b Reach) Reach {
	if a.Never || !b.Never && a.After >= b.After {
		return a
	}
	return b
}

// arrived reports whether the attended part came to its end: the switch for a
// sequence into the fridge, 41 °F for all else.
func (c course) arrived(intoFridge bool) bool {
	return !c.at41.Never || intoFridge && !c.at70.Never
}

// keeps reports whether the rule is kept.
func (c course) keeps() bool {
	return c.since135(c.at70).Within(WithinTo70F) && c.since135(c.at41).Within(WithinTo41F)
}

// iceBudget is how long from 135 °F to 41 °F the likely side may take before ice is
// kept going longer: three tenths of the 6 h, as the slow side of the fridge takes
// up to 3.3 times as long. See switchFor.
const iceBudget = WithinTo41F * 3 / 10

// switchFor returns when a sequence goes on to its second method; for a single
// method, its end. Cold water gives way to ice where it stops paying, 15 K above
// the tap (an assumption). Ice gives way to the fridge at 70 °F; where that would
// take longer than iceBudget, as much colder as keeps it to that; and never below
// 42 °F, from where on the ice may as well finish. So more broth stays longer in the
// ice, and is never cold sooner than less: a switch that followed the slow side's
// 6 h would fall so fast that it was.
func switchFor(pot Pot, around Surroundings, method Method) quantity.Temperature {
	first, second := method.Parts()
	switch {
	case second == "":
		return secondStage
	case second == IceBathStirred:
		pays := around.Tap.Plus(15 * quantity.KelvinChange).Fahrenheit()
		return quantity.Fahrenheit(min(max(math.Ceil(pays-1e-9), 70), 135))
	case second != Fridge || !first.medium(around).ice || around.Fridge >= secondStage:
		return firstStage
	}
	const coldest = 42.0 // °F
	ice := first.medium(around)
	l := ice.leg(pot, around, likely)
	fridge := Fridge.medium(around).leg(pot, around, likely)
	y, t := state{broth: pot.From.Celsius()}, track{}
	y.other = ice.begin(around, &l, &y)
	if !l.fall(&y, &t, clockStarts.Celsius(), longest) {
		return firstStage
	}
	budget := t.seconds + iceBudget.Seconds()
	if !l.fall(&y, &t, firstStage.Celsius(), longest) {
		return firstStage
	}
	// beyond is by how much a switch goes over the budget, s; to the second is enough.
	arrives := true
	beyond := func(above float64) float64 {
		cold, at, on, last := y, t, l, fridge
		if arrives = on.fall(&cold, &at, quantity.Fahrenheit(coldest+above).Celsius(), longest); !arrives {
			return longest
		}
		cold.other = last.base
		if !last.fall(&cold, &at, secondStage.Celsius(), longest) {
			return longest
		}
		if over := at.seconds - budget; math.Abs(over) >= 1 {
			return over
		}
		return 0
	}
	most := firstStage.Fahrenheit() - coldest
	switch {
	case beyond(most) <= 0:
		return firstStage
	case beyond(0) < 0:
		return quantity.Fahrenheit(coldest + firstRoot(most, beyond))
	case !arrives:
		return firstStage // the ice runs out before
	}
	return quantity.Fahrenheit(coldest)
}

// meltedIn returns the ice that brings the broth, of which it is part at the end,
// from straining to a temperature.
func meltedIn(pot Pot, to quantity.Temperature) quantity.Mass {
	given, taken := melting(pot.From, to)
	return quantity.Mass(float64(brothDensity.Times(pot.Volume)) * given / (taken + given))
}

// melting returns what a kilogram of broth gives on its way down to a
// temperature, and what a kilogram of ice takes on its way up, J.
func melting(from, to quantity.Temperature) (given, taken float64) {
	return brothHeatCapacity * from.Above(to).Kelvins(), float64(fusion) +
		waterHeatCapacity*to.Above(quantity.Celsius(0)).Kelvins()
}

// MeltsInto returns the ice that, stirred into strained broth, brings it down to
// where a method goes on or is done, and becomes part of it; nothing for methods
// that add no ice. Cool counts from the other end, the finished broth.
//
// strained is before the ice, cold, 0 to 200 l; from is its temperature, 135 °F to
// 105 °C, zero for 95 °C. Heat lost to the room, which would save ice, is left out.
// Anything out of range and an unknown method are errors.
func MeltsInto(strained quantity.Volume, from quantity.Temperature, method Method) (quantity.Mass, error) {
	method, err := ParseMethod(string(method))
	if err != nil {
		return 0, err
	}
	if !(strained >= 0 && strained <= 200*quantity.Litre) {
		return 0, fmt.Errorf("broth volume %.4g l is out of range: give 0 to 200 l, or divide the broth", strained.Litres())
	}
	if from == 0 {
		from = defaultFrom
	}
	if !(from >= clockStarts && from <= quantity.Celsius(105)) {
		return 0, fmt.Errorf("starting temperature %.4g °C is out of range: give 135 °F (57.2 °C) to 221 °F (105 °C)",
			from.Celsius())
	}
	to := secondStage
	switch method {
	case IceAdded:
	case IceAddedThenFridge:
		to = firstStage
	default:
		return 0, nil
	}
	given, taken := melting(from, to)
	return quantity.Mass(float64(brothDensity.Times(strained)) * given / taken), nil
}

func verdict(r Result) Verdict {
	switch {
	case !r.To70F.Within(WithinTo70F) || !r.To41F.Within(WithinTo41F):
		return Fail
	case !r.SlowTo70F.Within(WithinTo70F) || !r.SlowTo41F.Within(WithinTo41F):
		return Narrow
	default:
		return Pass
	}
}

// depth returns how deep the broth stands in the pot.
func (p Pot) depth() quantity.Length {
	end, _ := p.faces()
	return quantity.Length(float64(p.Volume) / float64(end))
}

// faces returns the area of the bottom and of the side up to the broth's level.
func (p Pot) faces() (end, wall quantity.Area) {
	end = quantity.Area(math.Pi / 4 * float64(p.Width.Times(p.Width)))
	return end, quantity.Area(math.Pi * float64(p.Width) * float64(p.Volume) / float64(end))
}

// jar is one of the jars the broth is ladled into, as a pot of its own.
func (p Pot) jar() Pot { return Pot{Volume: p.Jar.Fill, Width: p.Jar.Width} }

// jars returns how many it makes; a part of one counts as that part.
func (p Pot) jars() float64 { return float64(p.Volume / p.Jar.Fill) }

// jarCount is how many there are to ladle into, the last perhaps not full.
func (p Pot) jarCount() int { return int(math.Ceil(p.jars() - 1e-9)) }

// setting returns what the inside of a pot of set broth adds to the resistance of
// an outer film, m²·K/W: a finite cylinder's slowest one-term decay, the product of
// slab and cylinder. Both ends cool it, or the bottom alone.
func (p Pot) setting(outer quantity.HeatTransferCoefficient, bothEnds bool) float64 {
	radius, thickness, faces := p.Width/2, p.depth(), quantity.Area(1)
	if bothEnds {
		thickness, faces = thickness/2, 2
	}
	end, wall := p.faces()
	h := float64(outer)
	across, _ := cylinderRoot(h * radius.Metres() / conductivity)
	down, _ := slabRoot(h * thickness.Metres() / conductivity)
	decay := conductivity * (across*across/(radius.Metres()*radius.Metres()) +
		down*down/(thickness.Metres()*thickness.Metres()))
	overall := decay * p.Volume.CubicMetres() / (wall + faces*end).SquareMetres()
	return max(1/overall-1/h, 0)
}

// slabSetting is setting for a pan cooled above and below, by half its depth.
func slabSetting(half quantity.Length, outer quantity.HeatTransferCoefficient) float64 {
	root, _ := slabRoot(float64(outer) * half.Metres() / conductivity)
	return max(half.Metres()/(conductivity*root*root)-1/float64(outer), 0)
}

// panFaces returns the base and the side area of broth poured out at a depth. They
// grow with the volume, pan by pan evenly.
func panFaces(volume quantity.Volume, depth quantity.Length) (base, sides quantity.Area) {
	base = quantity.Area(float64(volume) / float64(depth))
	pans := float64(base / panLength.Times(panWidth))
	return base, quantity.Area(pans) * (2 * (panLength + panWidth)).Times(depth)
}

// hundredths leaves no 1.07e-14 °F of what was given as 0.
func hundredths(degrees float64) float64 { return math.Round(100*degrees) / 100 }

// deepest is how deep broth stands in any pot of a kitchen: 1.2 m; common practice,
// no source. More means that the figures do not belong together.
const deepest = 120 * quantity.Centimetre

// checked returns p with its default filled in, or what is wrong with it.
func (p Pot) checked() (Pot, error) {
	if !(p.Volume >= 0.1*quantity.Litre && p.Volume <= 200*quantity.Litre) {
		return p, fault.New("volume", "divide the broth, and ask for one part",
			"broth volume %.4g l (%.4g qt) is out of range: 0.1 to 200 l (0.1 to 211 qt)", p.Volume.Litres(), p.Volume.Quarts())
	}
	if !(p.Width >= 10*quantity.Centimetre && p.Width <= 100*quantity.Centimetre) {
		return p, fault.New("pot_width", "measure the pot across its inside",
			"pot width %.4g cm (%.4g in) is out of range: 10 to 100 cm (4 to 39 in)", p.Width.Centimetres(), p.Width.Inches())
	}
	if depth := p.depth(); depth > deepest {
		return p, fault.New("pot_width",
			"measure the pot across its inside, or divide the broth between pots and ask for one",
			"%.4g l (%.4g qt) in a pot %.4g cm (%.4g in) wide would stand %.2g m (%.2g ft) deep: volume and width do not "+
				"belong together; up to 1.2 m (4 ft) is worked out",
			p.Volume.Litres(), p.Volume.Quarts(), p.Width.Centimetres(), p.Width.Inches(), depth.Metres(), depth.Feet())
	}
	if p.From == 0 {
		p.From = defaultFrom
	}
	if !(p.From >= clockStarts && p.From <= quantity.Celsius(105)) {
		return p, fault.New("from", "the rule counts from 135 °F: leave it out for broth just off the boil",
			"starting temperature %.4g °F (%.4g °C) is out of range: 135 °F (57.2 °C) to 221 °F (105 °C)",
			hundredths(p.From.Fahrenheit()), hundredths(p.From.Celsius()))
	}
	if p.PanDepth == 0 {
		p.PanDepth = defaultPanDepth
	}
	if !(p.PanDepth >= quantity.Centimetre && p.PanDepth <= 20*quantity.Centimetre) {
		return p, fault.New("pan_depth", "pour it 2 in deep or less",
			"pan depth %.4g cm (%.4g in) is out of range: 1 to 20 cm (0.4 to 7.9 in)", p.PanDepth.Centimetres(),
			p.PanDepth.Inches())
	}
	if p.Jar == (Jar{}) {
		p.Jar = Jar{Fill: quartFill, Width: quartWidth}
	}
	if !p.Jar.Known() {
		return p, fault.New("jar", "take another jar, such as quart",
			"jar of %.4g l, %.4g cm wide, is out of range: one that takes 0.05 to 4 l (2 fl oz to 1 gal) and is 3 to 25 cm "+
				"(1.2 to 10 in) wide inside",
			p.Jar.Fill.Litres(), p.Jar.Width.Centimetres())
	}
	return p, nil
}

const temperatureRange = "-76 to 122 °F (-60 to 50 °C)"

func (s Surroundings) check() error {
	type named struct {
		field, name string
		t           quantity.Temperature
	}
	all := []named{{"fridge", "fridge", s.Fridge}, {"freezer", "freezer", s.Freezer}, {"room", "room", s.Room},
		{"tap", "tap water", s.Tap}}
	if s.Outdoors != nil {
		all = append(all, named{"outdoors", "outdoor", *s.Outdoors})
	}
	for _, n := range all {
		lowest, allowed := quantity.Celsius(-60), temperatureRange
		if n.field == "tap" {
			lowest, allowed = quantity.Celsius(0), "32 to 122 °F (0 to 50 °C)"
		}
		if !(n.t >= lowest && n.t <= quantity.Celsius(50)) {
			return fault.New(n.field, "put a thermometer in it, or leave it out",
				"%s temperature %.4g °F (%.4g °C) is out of range: %s", n.name, hundredths(n.t.Fahrenheit()),
				hundredths(n.t.Celsius()), allowed)
		}
	}
	switch {
	case s.FridgePower != 0 && !(s.FridgePower >= 5*quantity.Watt && s.FridgePower <= 50*quantity.Kilowatt):
		return fault.New("fridge_power", "leave it out", "fridge power %.4g W is out of range: 5 W to 50 kW",
			s.FridgePower.Watts())
	case s.FridgeFood != 0 && !(s.FridgeFood >= 0.1*quantity.Kilogram && s.FridgeFood <= 1000*quantity.Kilogram):
		return fault.New("fridge_food", "leave it out",
			"food in the fridge %.4g kg is out of range: 0.1 to 1000 kg (0.2 to 2204 lb)", s.FridgeFood.Kilograms())
	case s.Ice != 0 && !(s.Ice > 0 && s.Ice <= 1000*quantity.Kilogram):
		return fault.New("ice", "leave it out for as much as it takes",
			"ice %.4g kg (%.4g lb) is out of range: up to 1000 kg (2204 lb)", s.Ice.Kilograms(), s.Ice.Pounds())
	}
	return nil
}
