// Package chill says how long a pot of strained broth takes to cool, by method,
// and whether that keeps the two-stage rule.
//
// Model: the broth is one lump at one temperature (it is thin and convects or is
// stirred) that falls exponentially towards surroundings that keep theirs. So a
// fridge that the pot warms, a bath whose ice runs out and broth that has set to
// a jelly are all slower than said here. Heat leaves through the bottom and the
// side up to the level of the broth; the lid or open top is not counted, nor is
// the heat in the pot's own metal (about 3 % of the broth's).
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
	"slices"
	"time"

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

// SwitchTemperature returns the broth temperature at which a sequence changes
// from its first method to its second: 70 °F, the end of the first stage.
func SwitchTemperature() quantity.Temperature { return firstStage }

const (
	// Density of home-made stock at 20 °C: 1018 kg/m³ [SR28]; 1000–1025 for thin to rich.
	brothDensity quantity.Density = 1018
	// Heat capacity of broth, J/(kg·K): 4.0 kJ, 3.9–4.1 for 8 to 3 % solids, from memory.
	brothHeatCapacity = 4.0e3
	// Heat capacity of water, J/(kg·K): 4.2 kJ, within 0.5 % from 0 to 100 °C, from memory.
	waterHeatCapacity = 4.2e3
	// Heat of fusion of ice: 334 kJ/kg, within 0.2 %, from memory.
	fusion = 334 * quantity.KilojoulePerKilogram

	// Baking pans: 13 × 9 in, filled 2 in deep. The size is common practice, no
	// source; the depth is the Southern Nevada Health District's for thick food.
	panLength = 13 * quantity.Inch
	panWidth  = 9 * quantity.Inch
	panDepth  = 2 * quantity.Inch
)

// defaultFrom is the broth's temperature when it is strained, just off the
// boil: common practice, no source.
var defaultFrom = quantity.Celsius(95)

// Pot is the broth to be cooled and the pot it stands in.
type Pot struct {
	Volume quantity.Volume      // 0.1 to 200 l of strained broth
	Width  quantity.Length      // inside, 10 to 100 cm
	From   quantity.Temperature // when cooling starts, 135 °F to 105 °C; zero: 95 °C
}

// Surroundings are the temperatures a pot can be cooled against, each −40 to 50 °C.
type Surroundings struct {
	Fridge, Freezer, Room, Tap quantity.Temperature
	Outdoors                   *quantity.Temperature // nil: not known, and no method uses it
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
// passes 135 °F; Never when the surroundings are too warm for it ever to be.
type Reach struct {
	After time.Duration
	Never bool
}

// Within reports whether the temperature is reached in d or less.
func (r Reach) Within(d time.Duration) bool { return !r.Never && r.After <= d }

// plus returns the time of doing one thing after the other.
func (r Reach) plus(s Reach) Reach {
	if r.Never || s.Never {
		return Reach{Never: true}
	}
	return Reach{After: r.After + s.After}
}

// Verdict says how a method stands against the two-stage rule.
type Verdict string

// The verdicts.
const (
	Pass   Verdict = "pass"   // both stages kept, even on the slow side
	Narrow Verdict = "narrow" // kept if heat flows as likely, missed on the slow side or resting on a guessed time
	Fail   Verdict = "fail"
)

// Result is how a pot cools by one method.
type Result struct {
	Method       Method
	To70F, To41F Reach // likely
	SlowTo70F    Reach // on the slow side, which Pass rests on
	SlowTo41F    Reach
	// Attended is the time from Pot.From until the pot needs nobody: until it
	// goes into the fridge, or until 41 °F. Zero for methods that only need a
	// look now and then, and where the end is never reached.
	Attended quantity.DurationBand
	Verdict  Verdict
	// Ice is the least ice that takes up the heat: what a warm kitchen and the
	// bath's own water melt comes on top.
	Ice    quantity.Mass
	Advice string
}

// Cool returns how pot cools by method.
//
// pot and around must be in the ranges of their types; method must be one of
// Methods, and Outdoors needs around.Outdoors. For ice-added methods the volume
// is the finished broth, melted ice included.
//
// Accuracy: likely times agree with reports of wort cooled in ice to within a
// factor of 1.6; for still air no measurement of broth was found, and the
// slow side allows 45 % more. Ice-added and frozen-bottle times are guesses.
//
// Anything out of range, NaN or infinite is an error. The rule is [FC]; the
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
		return Result{}, fmt.Errorf("chill method %q needs the outdoor temperature, which is not given: give one between %s", method, temperatureRange)
	}
	return cool(pot, around, method), nil
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
		results = append(results, cool(pot, around, m))
	}
	return results, nil
}

// Propose returns the least laborious method that passes with margin. When the
// fridge is too slow for the last part of a sequence, as it is for most pots,
// that is the stirred ice bath kept until 41 °F. It never proposes the counter,
// nor a method whose time is a guess. Errors are those of Cool, and one when no
// method passes.
func Propose(pot Pot, around Surroundings) (Result, error) {
	pot, err := pot.checked()
	if err != nil {
		return Result{}, err
	}
	if err := around.check(); err != nil {
		return Result{}, err
	}
	for _, m := range easiest {
		if m.needsOutdoors() && around.Outdoors == nil {
			continue
		}
		if r := cool(pot, around, m); r.Verdict == Pass {
			return r, nil
		}
	}
	return Result{}, fmt.Errorf("no chill method cools %.3g l in a pot %.3g cm wide in time: divide it into smaller pots", pot.Volume.Litres(), pot.Width.Centimetres())
}

// cool is Cool for arguments that have been checked.
func cool(pot Pot, around Surroundings, method Method) Result {
	r := Result{Method: method}
	firstMethod, secondMethod := method.parts()
	first := firstMethod.medium(around)

	if secondMethod == "" {
		both := func(s side) (to70, to41 Reach) {
			return first.time(pot, s, clockStarts, firstStage), first.time(pot, s, clockStarts, secondStage)
		}
		r.To70F, r.To41F = both(likely)
		r.SlowTo70F, r.SlowTo41F = both(slow)
		r.Attended = attended(func(s side) Reach { return first.timeAttended(pot, s, pot.From, secondStage) })
		r.Ice = first.iceFor(pot, pot.From, secondStage)
		r.Advice = advice[firstMethod]
	} else {
		second := secondMethod.medium(around)
		both := func(s side) (to70, to41 Reach) {
			to70 = first.time(pot, s, clockStarts, firstStage)
			return to70, to70.plus(second.time(pot, s, firstStage, secondStage))
		}
		r.To70F, r.To41F = both(likely)
		r.SlowTo70F, r.SlowTo41F = both(slow)
		r.Attended = attended(func(s side) Reach {
			return first.timeAttended(pot, s, pot.From, firstStage).plus(second.timeAttended(pot, s, firstStage, secondStage))
		})
		r.Ice = first.iceFor(pot, pot.From, firstStage) + second.iceFor(pot, firstStage, secondStage)
		r.Advice = advice[firstMethod] + thenAt70 + lowerFirst(advice[secondMethod])
	}

	r.Verdict = verdict(r)
	if r.Verdict == Pass && first.guessed {
		r.Verdict = Narrow
	}
	switch {
	case r.Verdict == Fail && first.ice && secondMethod == Fridge:
		r.Advice += stayInIce
	case r.To41F.Never:
		r.Advice += neverCold
	}
	r.Advice += check
	return r
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

// time returns how long the broth takes from one temperature to the next.
func (m medium) time(pot Pot, s side, from, to quantity.Temperature) Reach {
	if m.melts {
		return Reach{After: melting[s]}
	}
	area := pot.area()
	if m.pans {
		area = panArea(pot.Volume, panDepth)
	}
	return fall(timeConstant(pot.Volume, area, m.overall[s]), m.temperature, from, to)
}

// timeAttended is time where the cook is needed, and nothing where not.
func (m medium) timeAttended(pot Pot, s side, from, to quantity.Temperature) Reach {
	if !m.attended {
		return Reach{}
	}
	return m.time(pot, s, from, to)
}

// attended turns the time of each side into a band; the fast side is the low end.
func attended(by func(side) Reach) quantity.DurationBand {
	return quantity.DurationBand{Low: by(fast).After, Likely: by(likely).After, High: by(slow).After}
}

// iceFor returns the ice that takes up the heat between two temperatures.
func (m medium) iceFor(pot Pot, from, to quantity.Temperature) quantity.Mass {
	broth := brothDensity.Times(pot.Volume)
	perKilogram := brothHeatCapacity * from.Above(to).Kelvins()
	switch {
	case m.ice:
		return quantity.Mass(float64(broth) * perKilogram / float64(fusion))
	case m.melts:
		// The ice is part of the broth at the end, and its water warms to the end temperature.
		taken := float64(fusion) + waterHeatCapacity*to.Above(quantity.Celsius(0)).Kelvins()
		return quantity.Mass(float64(broth) * perKilogram / (taken + perKilogram))
	default:
		return 0
	}
}

// timeConstant returns m·cp/(U·A), the time in which the difference to the
// surroundings falls to 1/e.
func timeConstant(volume quantity.Volume, area quantity.Area, overall quantity.HeatTransferCoefficient) time.Duration {
	heat := float64(brothDensity.Times(volume)) * brothHeatCapacity
	perKelvin := overall.Through(area, quantity.KelvinChange).Watts()
	return time.Duration(heat / perKelvin * float64(time.Second))
}

// fall returns the time of an exponential fall towards surroundings.
func fall(constant time.Duration, surroundings, from, to quantity.Temperature) Reach {
	if from <= to {
		return Reach{}
	}
	if surroundings >= to {
		return Reach{Never: true}
	}
	ratio := from.Above(surroundings).Kelvins() / to.Above(surroundings).Kelvins()
	return Reach{After: time.Duration(float64(constant) * math.Log(ratio))}
}

// area returns what the broth cools through: the bottom and the side up to its
// level. The top is not counted.
func (p Pot) area() quantity.Area {
	bottom := quantity.Area(math.Pi / 4 * float64(p.Width.Times(p.Width)))
	depth := quantity.Length(float64(p.Volume) / float64(bottom))
	return bottom + quantity.Area(math.Pi*float64(p.Width.Times(depth)))
}

// panArea returns what broth cools through when poured out at depth: bottom,
// sides and the open top. It grows with the volume, pan by pan evenly.
func panArea(volume quantity.Volume, depth quantity.Length) quantity.Area {
	base := panLength.Times(panWidth)
	sides := (2 * (panLength + panWidth)).Times(depth)
	pans := float64(volume) / float64(base.Times(depth))
	return quantity.Area(pans) * (2*base + sides)
}

func lowerFirst(s string) string {
	b := []byte(s)
	if len(b) > 0 && b[0] >= 'A' && b[0] <= 'Z' {
		b[0] += 'a' - 'A'
	}
	return string(b)
}

// checked returns p with its default filled in, or what is wrong with it.
func (p Pot) checked() (Pot, error) {
	if !(p.Volume >= 0.1*quantity.Litre && p.Volume <= 200*quantity.Litre) {
		return p, fmt.Errorf("broth volume %.4g l is out of range: give 0.1 to 200 l, or divide the broth", p.Volume.Litres())
	}
	if !(p.Width >= 10*quantity.Centimetre && p.Width <= 100*quantity.Centimetre) {
		return p, fmt.Errorf("pot width %.4g cm is out of range: measure the inside, 10 to 100 cm", p.Width.Centimetres())
	}
	if p.From == 0 {
		p.From = defaultFrom
	}
	if !(p.From >= clockStarts && p.From <= quantity.Celsius(105)) {
		return p, fmt.Errorf("starting temperature %.4g °C is out of range: give 135 °F (57.2 °C) to 221 °F (105 °C)", p.From.Celsius())
	}
	return p, nil
}

const temperatureRange = "-40 and 50 °C (-40 and 122 °F)"

func (s Surroundings) check() error {
	type named struct {
		name string
		t    quantity.Temperature
	}
	all := []named{{"fridge", s.Fridge}, {"freezer", s.Freezer}, {"room", s.Room}, {"tap water", s.Tap}}
	if s.Outdoors != nil {
		all = append(all, named{"outdoor", *s.Outdoors})
	}
	i := slices.IndexFunc(all, func(n named) bool { return !(n.t >= quantity.Celsius(-40) && n.t <= quantity.Celsius(50)) })
	if i >= 0 {
		return fmt.Errorf("%s temperature %.4g °C is out of range: give one between %s", all[i].name, all[i].t.Celsius(), temperatureRange)
	}
	return nil
}
