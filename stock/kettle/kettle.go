// Package kettle works out the liquid balance of a pot of bones: what goes in,
// is given off, boils away, is held by the solids and is strained.
//
//	strained = water + given off − evaporated + topped up − held by the solids
//	ready to fill = strained − fat skimmed − lost in straining and reheating
//
// All volumes are cold (20 °C). The band and the likely result, its median, come from a
// fixed low-discrepancy sample of all that is uncertain.
package kettle

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"time"

	"brothrun/stock/fault"
	"brothrun/stock/quantity"
	"brothrun/stock/thermo"
)

// Lid is how the pot is covered while it simmers.
type Lid string

// The ways to cover a pot.
const (
	LidOff  Lid = "off"
	LidAjar Lid = "ajar"
	LidOn   Lid = "on"
)

// lidWords are the lids by what cooks call them; common practice, no source.
var lidWords = map[Lid]Lid{
	"on": LidOn, "covered": LidOn, "closed": LidOn, "lid-on": LidOn,
	"ajar": LidAjar, "slightly-open": LidAjar, "slightly-ajar": LidAjar, "partly-covered": LidAjar,
	"partially-covered": LidAjar, "half-covered": LidAjar, "cracked": LidAjar, "tilted": LidAjar,
	"off": LidOff, "uncovered": LidOff, "open": LidOff, "none": LidOff, "no-lid": LidOff, "lid-off": LidOff,
}

// ParseLid reads a lid: off, ajar or on, or what cooks call them, such as "covered";
// upper case and blanks do not matter.
func ParseLid(text string) (Lid, error) {
	words := slices.Sorted(maps.Keys(lidWords))
	word, ok := fault.One(text, words)
	if !ok {
		return "", fmt.Errorf("lid %q is not known: write on, ajar or off%s", text, fault.DidYouMean(text, words))
	}
	return lidWords[word], nil
}

// Portion is one kind of bones and how much of it.
type Portion struct {
	Kind   string
	Solids Solids
	Mass   quantity.Mass
}

// Input is one pot before it is lit.
type Input struct {
	PotName  string          // as the kitchen has it; may be empty
	Pot      quantity.Volume // to the brim
	PotWidth quantity.Length // inside, at the surface; for an oblong pot the circle of the same area
	// WidthAssumed says that nobody measured PotWidth: its spread is then that of
	// pots.
	WidthAssumed bool
	FillLine     float64 // part of the pot filled, 0.3 to 1; DefaultFillLine when nobody measured

	Bones      []Portion
	Vegetables quantity.Mass
	// Counted is what the vegetables may weigh, over Vegetables, where some were counted;
	// zero where all were weighed.
	Counted quantity.Band[float64]

	Fit   bool            // fill to the line, and work the water out
	Water quantity.Volume // when not Fit

	Frozen quantity.Temperature // of bones that go in frozen; 0: they are not

	Simmer time.Duration
	Lid    Lid
	TopUp  bool // keep the level up while it simmers
	// MayTopUp is the chance that it is topped up though nobody says so:
	// ToppedUpUnsaid, or 0 where the cook says.
	MayTopUp float64
	Altitude quantity.Length

	Evaporation quantity.VolumeRate // the cook's own measurement with this lid; 0 when not measured
	Held        float64             // measured share of the solids' weight, up to 0.6; 0 when not measured
	Burner      quantity.Power      // rating; 0 when not known
	Hob         string              // as for HobShare

	Came // what was measured on the day

	Lessons Lessons // nil: a kitchen nobody has measured
}

// Lessons are what notes of past runs teach of a pot.
type Lessons interface {
	// Points are equally likely points of the sample, in place of those of a kitchen
	// nobody has measured.
	Points(in Input) []Scores
	// Notes is how many runs were learned from, and how many of them in this pot and
	// with this lid.
	Notes(in Input) (all, alike int)
}

// Rests is what an estimate rests on besides the first guess; zero where that is all.
type Rests struct {
	Notes, Alike int     // as Lessons.Notes
	Width        float64 // of the band's logarithm, over that of the first guess
}

// Estimate is the balance of one pot. Water to Fat are likely values and close:
// Water + GivenOff − Evaporated + ToppedUp − HeldBySolids = Strained.Likely.
type Estimate struct {
	Water        quantity.Volume
	GivenOff     quantity.Volume
	Evaporated   quantity.Volume
	ToppedUp     quantity.Volume
	HeldBySolids quantity.Volume
	Strained     quantity.Band[quantity.Volume]
	Fat          quantity.Volume
	Lost         quantity.Volume // in straining and reheating
	ReadyToFill  quantity.Band[quantity.Volume]

	Fits         quantity.Volume // water that fills to the line over these solids
	Covered      bool            // the bones lie under the water at the start
	NearOverflow bool            // filled above the line
	BoilsDry     bool            // more would boil off than is there
	// MayUncover and MayBoilDry tell that one time in forty bones that were covered
	// stand out of the water before the simmer ends, or the pot is dry, when nobody
	// tops it up. What was learned never takes that back.
	MayUncover, MayBoilDry bool
	BurnerLimited          bool                         // the burner's rating, not the surface, sets the boil-off
	HeatUp                 quantity.Band[time.Duration] // from cold to a simmer

	// Least is what is strained one time in forty, or less, when nobody tops it up.
	Least quantity.Volume

	// Sample is what is ready to fill in every draw: equally likely outcomes, in
	// no order.
	Sample []quantity.Volume
	// Causes is what the spread of ReadyToFill comes from, largest first.
	Causes []Cause
	Rests  Rests
}

// boilsOver is how full a pot may be before it tends to boil over; common
// practice, no source, 0.90 to 0.95.
const boilsOver = 0.93

// PotWidth returns the inside width of a plain pot of volume v when nobody
// measured it: a cylinder nine tenths as high as wide. Common practice, no
// source; stock pots run from squat (0.7) to tall (1.1), so the surface may be
// 15 % off either way, and a roaster oven far more.
func PotWidth(v quantity.Volume) quantity.Length {
	const heightOverWidth = 0.9
	return quantity.Length(math.Cbrt(4 * v.CubicMetres() / (math.Pi * heightOverWidth)))
}

// Balance returns the liquid balance of in with its band. Errors are a *fault.Fault, a
// misfit when bones or water do not go into the pot, and those of thermo for the
// altitude. Accuracy: no better than ±25 %
// on what evaporates (published still-air tables differ by as much), which the band
// carries.
func Balance(in Input) (Estimate, error) {
	if err := in.check(); err != nil {
		return Estimate{}, err
	}
	p, err := in.prepare()
	if err != nil {
		return Estimate{}, err
	}

	first, spread := p.firstGuess(), firstSpans()
	s := first
	if in.Lessons != nil {
		points := in.points()
		s, spread = p.sample(points, nil), spansOf(points)
	}
	moved := p.moves(spread)
	likely := p.likely(spread, moved, quantity.Below(s.strained, 0.5), quantity.Below(s.ready, 0.5))
	estimate := Estimate{
		Water: likely.water, GivenOff: likely.givenOff, Evaporated: likely.evaporated,
		ToppedUp: likely.toppedUp, HeldBySolids: likely.held, Fat: likely.fat, Lost: likely.lost,
		Fits: p.fits, BoilsDry: likely.dry, BurnerLimited: likely.limited,
	}
	estimate.Covered = in.levelAtStart(likely.water) >= in.bulk()
	estimate.NearOverflow = likely.water+quantity.Volume(p.displaced[1]) > in.Pot*boilsOver
	estimate.HeatUp = in.heatUp(likely.water)
	estimate.Least = in.Pot
	estimate.guard(&p, s, in.levelAtStart(likely.water-likely.evaporated+likely.toppedUp))
	estimate.Strained = quantity.BandOf(s.strained, likely.strained)
	estimate.ReadyToFill = quantity.BandOf(s.ready, likely.ready)
	if in.Lessons != nil {
		estimate.guard(&p, first, in.Pot)
		estimate.Rests.Notes, estimate.Rests.Alike = in.Lessons.Notes(in)
		before := quantity.BandOf(first.ready, quantity.Below(first.ready, 0.5))
		if width := logWidth(before); width > 0 {
			estimate.Rests.Width = logWidth(estimate.ReadyToFill) / width
		}
	}
	estimate.Sample = s.ready
	estimate.Causes = p.causes(moved)
	return estimate, nil
}

// logWidth is the width of a band's logarithm; 0 where its low end is nothing.
func logWidth(b quantity.Band[quantity.Volume]) float64 {
	if b.Low <= 0 {
		return 0
	}
	return math.Log(float64(b.High / b.Low))
}

// careful is the share of outcomes that may be worse than what is guarded against: one
// in forty, own choice.
const careful = 1.0 / 40

// guard adds what may go wrong in a sample, or at its likely level.
func (e *Estimate) guard(p *pot, s sampled, likely quantity.Volume) {
	if e.Covered && min(likely, quantity.Below(s.level, careful)) < p.in.bulk() {
		e.MayUncover = true
	}
	least := quantity.Below(s.left, careful)
	if !p.in.TopUp && (e.BoilsDry || least <= 0) {
		e.MayBoilDry = true
	}
	e.Least = min(e.Least, least)
}

// pot is an Input with everything worked out that no draw changes.
type pot struct {
	in      Input
	fits    quantity.Volume
	open    quantity.Band[float64] // boil-off of open still water, m³/s
	ceiling quantity.VolumeRate
	// simmering is the simmer in seconds, with what heating up evaporates added as
	// if it were simmer.
	simmering float64
	// sums over the portions at scores −1, 0, +1: linear in each spread
	water, fat, held, displaced [3]float64
	holds, lid                  factors
}

func (in Input) prepare() (pot, error) {
	p := pot{in: in}
	width := in.PotWidth.Metres()
	for portion := range in.portions {
		s, kilograms := portion.Solids, portion.Mass.Kilograms()
		addSpread(&p.water, s.Water, kilograms/coldDensity.Likely)
		addSpread(&p.fat, s.Fat, kilograms/fatDensity.Likely)
		addSpread(&p.held, s.Held, kilograms/coldDensity.Likely)
		p.displaced[0] += portion.Mass.At(s.Density.High).CubicMetres()
		p.displaced[1] += portion.Mass.At(s.Density.Likely).CubicMetres()
		p.displaced[2] += portion.Mass.At(s.Density.Low).CubicMetres()
	}

	if in.Held > 0 {
		p.held = [3]float64{}
		addSpread(&p.held, measuredHeld.Band, in.Held*in.mass().Kilograms()/coldDensity.Likely)
	}

	p.holds, p.lid = factorsOf(quantity.Spread(p.held[0], p.held[1], p.held[2])), lidFactors[in.Lid]
	if err := p.fit(); err != nil {
		return pot{}, err
	}
	return p, p.boilOff(quantity.Area(math.Pi / 4 * width * width))
}

// fit works out what water goes into the pot, or what does not.
func (p *pot) fit() error {
	in := p.in
	line := quantity.Volume(in.FillLine) * in.Pot
	p.fits = line - quantity.Volume(p.displaced[1])
	if bulk := in.bulk(); bulk > in.Pot || p.fits <= 0 {
		// A fifth of the filled pot is the least water worth boiling.
		const solidsAtMost = 1 / 1.2
		share := min(float64(in.Pot/bulk), float64(line)*solidsAtMost/p.displaced[1])
		total := in.mass()
		key := "bones"
		if in.Vegetables > total/2 {
			key = "vegetables"
		}
		return fault.Misfit(key, "take less, a bigger pot, or two runs",
			"a pot load of bones and vegetables of %s does not fit this pot; it takes at most %s",
			total.Both(quantity.US), (total * quantity.Mass(share)).Both(quantity.US))
	}
	if !in.Fit {
		brim := in.Pot - quantity.Volume(p.displaced[1])
		if in.Water > brim {
			return fault.Misfit("water", "write fit to fill it with room left for the boil",
				"water of %s does not fit this pot; it takes at most %s with room left for the boil",
				in.Water.Both(quantity.US), p.fits.Both(quantity.US))
		}
	}
	return nil
}

// boilOff works out what the surface gives off, the most the burner can, and how long
// it simmers in effect.
func (p *pot) boilOff(surface quantity.Area) error {
	in := p.in
	boiling, err := thermo.BoilingPoint(in.Altitude)
	if err != nil {
		return err
	}
	pressure, err := thermo.StandardAtmosphere(in.Altitude)
	if err != nil {
		return err
	}
	air := thermo.Air{Temperature: quantity.Celsius(roomTemperature.Likely), RelativeHumidity: roomHumidity.Likely,
		Pressure: pressure}
	var open [3]float64
	for i, below := range []float64{belowBoil.High, belowBoil.Likely, belowBoil.Low} {
		flux, err := thermo.Evaporation(boiling.Plus(quantity.TemperatureChange(-below)), air)
		if err != nil {
			return err
		}
		open[i] = float64(flux.Through(surface, time.Second).At(cold()))
	}
	p.open = quantity.Spread(open[0], open[1], open[2])
	heat, err := thermo.HeatOfVaporisation(boiling)
	if err != nil {
		return err
	}
	net := netPower.High
	if in.Burner > 0 {
		net = bestHob.Likely * in.Burner.Watts()
		if in.Hob != "" {
			net = HobShare(in.Hob).High * in.Burner.Watts()
		}
	}
	p.ceiling = quantity.VolumeRate(net / float64(heat) / coldDensity.Likely)
	filled := p.fits
	if !in.Fit {
		filled = in.Water
	}
	in.Frozen = 0 // while the ice melts the water is cold and gives off nothing
	p.simmering = in.Simmer.Seconds() + heatingShare.Likely*in.heatUp(filled).Likely.Seconds()
	return nil
}

// addSpread adds weight × s to a sum at scores −1, 0 and +1.
func addSpread(sum *[3]float64, s quantity.Band[float64], weight float64) {
	sum[0] += s.Low * weight
	sum[1] += s.Likely * weight
	sum[2] += s.High * weight
}

// terms is one draw of the balance.
type terms struct {
	water, givenOff, evaporated, toppedUp, held, strained, fat, lost, ready quantity.Volume
	unsaid                                                                  quantity.Volume // of toppedUp, what nobody said was poured in
	dry, limited                                                            bool
}

// draw works the balance out for one point of the sample and its quiet factor.
func (p *pot) draw(score *Scores, quiet float64) terms {
	t := p.boil(score, quiet)
	if p.in.Came.Ready > 0 {
		return t
	}
	t.fat = min(t.fat, t.strained)
	t.lost = min(t.strained-t.fat, t.strained*quantity.Volume(lossFactors.at(score[OfLosses])))
	t.ready = t.strained - t.fat - t.lost
	return t
}

// boil is draw as far as what is strained.
func (p *pot) boil(score *Scores, quiet float64) terms {
	sum := func(of [3]float64, dim int) quantity.Volume {
		return quantity.Volume(at(quantity.Spread(of[0], of[1], of[2]), score[dim]))
	}
	var t terms
	t.fat = sum(p.fat, OfFat)
	t.givenOff = sum(p.water, OfGivenOff) + t.fat
	if p.in.Fit {
		reading := quantity.Volume(at(lineReading.Band, score[OfFillLine]))
		line := quantity.Volume(p.in.FillLine) * p.in.Pot
		t.water = max(0, line*reading-sum(p.displaced, OfDensity))
	} else {
		t.water = p.in.Water * quantity.Volume(at(poured.Band, score[OfFillLine]))
	}

	rate := p.rate(score, quiet)
	if rate > p.ceiling {
		rate, t.limited = p.ceiling, true
	}
	t.evaporated = quantity.Volume(float64(rate) * p.simmering)
	// The lower the level sinks, the deeper the surface lies in the shelter of the
	// wall and the sooner a cook adds a little: the rate is taken to fall with the
	// level, so that it is a share of what is left that goes. Common practice, no
	// source. A rate the cook measured is an average already, and is kept.
	if full := t.water + t.givenOff; p.in.Evaporation == 0 && !p.in.TopUp && full > 0 {
		t.evaporated = full * quantity.Volume(1-math.Exp(-float64(t.evaporated/full)))
	}
	// The bones hold no more than there is.
	t.held = min(quantity.Volume(p.holds.at(score[OfHeld])), t.water+t.givenOff)
	liquid := t.water + t.givenOff - t.held
	if p.in.TopUp {
		t.toppedUp = t.evaporated
	} else if t.evaporated > liquid {
		t.evaporated, t.dry = liquid, true
	}
	if p.in.MayTopUp > 0 && !p.in.TopUp {
		t.unsaid = t.evaporated * quantity.Volume(putBack(p.in.MayTopUp, score[OfTopUp]))
		t.toppedUp = t.unsaid
	}
	// Not the rounding of the sum, which may be below zero.
	t.strained = max(0, liquid-t.evaporated+t.toppedUp)
	p.in.correct(&t, liquid, p.in.TopUp, score)
	return t
}

// rate is the boil-off at the simmer as a cold volume. quiet is the factor of
// this draw for stillness, lid and an assumed pot shape.
func (p *pot) rate(score *Scores, quiet float64) quantity.VolumeRate {
	if p.in.Evaporation > 0 {
		return p.in.Evaporation * quantity.VolumeRate(at(measuredRate.Band, score[OfStillness]))
	}
	return quantity.VolumeRate(at(p.open, score[OfBelowBoil]) * quiet)
}

// heatUp is the time from cold tap to a simmer with this much water.
func (in Input) heatUp(water quantity.Volume) quantity.Band[time.Duration] {
	return burning(in.heating(water), in.Burner, in.Hob)
}

// What a pot is heated from and to, and skimmed broth, in °C.
const (
	tapAt, simmersAt     = 15.0, 95.0
	reheatFrom, reheatTo = 4.0, 100.0
)

// heating is the heat that takes the pot from cold tap to a simmer with this much water.
func (in Input) heating(water quantity.Volume) quantity.Band[quantity.Energy] {
	joules := (cold().Times(water) + in.mass()).Kilograms() * heatCapacity.Likely * (simmersAt - tapAt)
	return in.melting().Plus(quantity.Exactly(quantity.Energy(joules)))
}

// melting is the heat that brings frozen bones to the temperature of the tap; nothing where
// they are not frozen. What is not water in them is taken as warm already.
func (in Input) melting() quantity.Band[quantity.Energy] {
	if in.Frozen == 0 {
		return quantity.Band[quantity.Energy]{}
	}
	perWater := iceCapacity.Likely*max(0, -in.Frozen.Celsius()) + float64(thermo.FusionHeat) + heatCapacity.Likely*tapAt
	bones := (in.mass() - in.Vegetables).Kilograms()
	of := func(share float64) quantity.Energy { return quantity.Energy(bones * share * perWater) }
	return quantity.Band[quantity.Energy]{Low: of(waterShare.Low), Likely: of(waterShare.Likely), High: of(waterShare.High)}
}

// Reheat returns how long skimmed broth takes from the fridge to a full boil.
// broth is cold, 0 or more; burner is the rating of the burner, 0 when not
// known. Accuracy: a factor of two, mostly the burner's. A lid and what the pot
// loses to the room are not counted.
func Reheat(broth quantity.Volume, burner quantity.Power, hob string) quantity.Band[time.Duration] {
	return burning(reheating(broth), burner, hob)
}

func reheating(broth quantity.Volume) quantity.Band[quantity.Energy] {
	return quantity.Exactly(quantity.Energy(cold().Times(broth).Kilograms() * heatCapacity.Likely * (reheatTo - reheatFrom)))
}

// burning is how long a burner takes to give off heat that reaches the pot.
func burning(
	heat quantity.Band[quantity.Energy], burner quantity.Power, hob string,
) quantity.Band[time.Duration] {
	power := netPower.Band
	if burner > 0 {
		watts, share := burner.Watts(), HobShare(hob)
		power = quantity.Spread(share.Low*watts, share.Likely*watts, share.High*watts)
	}
	span := func(joules quantity.Energy, watts float64) time.Duration {
		seconds := min(joules.Joules()/watts, (7 * 24 * time.Hour).Seconds())
		return max(time.Minute, time.Duration(seconds*float64(time.Second)).Round(time.Minute))
	}
	return quantity.Band[time.Duration]{Low: span(heat.Low, power.High), Likely: span(heat.Likely, power.Likely),
		High: span(heat.High, power.Low)}
}

// portions yields every solid in the pot, the vegetables last.
func (in Input) portions(yield func(Portion) bool) {
	for _, portion := range in.Bones {
		if !yield(portion) {
			return
		}
	}
	if in.Vegetables != 0 {
		yield(Portion{Solids: vegetables.times(in.Counted), Mass: in.Vegetables})
	}
}

// mass is everything solid in the pot.
func (in Input) mass() quantity.Mass {
	total := in.Vegetables
	for _, portion := range in.Bones {
		total += portion.Mass
	}
	return total
}

// bulk is the room the solids take pressed down, gaps included.
func (in Input) bulk() quantity.Volume {
	var total quantity.Volume
	for portion := range in.portions {
		total += portion.Mass.At(portion.Solids.Bulk)
	}
	return total
}

// levelAtStart is how much of the pot water and solids fill together.
func (in Input) levelAtStart(water quantity.Volume) quantity.Volume {
	level := water
	for portion := range in.portions {
		level += portion.Mass.At(portion.Solids.Density.Likely)
	}
	return level
}

// check rejects what no kitchen has.
func (in Input) check() error {
	out := func(key, format string, about ...any) error { return fault.New(key, "", format, about...) }
	switch {
	case !(in.Pot >= quantity.Litre && in.Pot <= 200*quantity.Litre):
		return out("pot", "pot of %s is out of range: 1 l to 200 l (about 1 qt to 210 qt)", in.Pot.Both(quantity.US))
	case !(in.PotWidth >= 10*quantity.Centimetre && in.PotWidth <= quantity.Metre):
		return out("pot_width", "pot width %s is out of range: 4 in to 39 in (10 cm to 100 cm)",
			in.PotWidth.Both(quantity.US))
	case !(in.FillLine >= 0.3 && in.FillLine <= 1):
		return out("fill_line", "fill line %.0f %% is out of range: 30 %% to 100 %% of the pot", 100*in.FillLine)
	case len(in.Bones) == 0:
		return out("bones", "nothing to simmer: say what goes into the pot and how much, such as 9 lb")
	case !(in.Simmer >= 10*time.Minute && in.Simmer <= 72*time.Hour):
		return out("simmer", "simmer of %s is out of range: 10 min to 72 h", quantity.FormatDuration(in.Simmer))
	case !in.Fit && !(in.Water >= 200*quantity.Millilitre):
		return out("water", "water of %s is out of range: at least 1 cup (about 240 ml), or fit to fill it with room left "+
			"for the boil", in.Water.Both(quantity.US))
	case !(in.Vegetables >= 0):
		return out("vegetables", "vegetables of %s: must not be negative", in.Vegetables.Both(quantity.US))
	case !(in.Burner >= 0) || math.IsInf(float64(in.Burner), 0):
		return out("burner", "burner power must be 0 or more")
	case !(in.Evaporation >= 0) || math.IsInf(float64(in.Evaporation), 0):
		return out("evaporation", "measured evaporation must be 0 or more, such as 0.7 qt/h")
	case !(in.Held >= 0 && in.Held <= 0.6):
		return out("held", "measured held of %.0f %% is out of range: up to 60 %% of the weight of the solids", 100*in.Held)
	}
	if err := in.Came.check(); err != nil {
		return err
	}
	if _, ok := lidFactors[in.Lid]; !ok {
		return out("lid", "lid %q is not known: write on, ajar or off", in.Lid)
	}
	for _, portion := range in.Bones {
		if !(portion.Mass >= 50*quantity.Gram && portion.Mass <= 100*quantity.Kilogram) {
			return out("bones", "bones of %s are out of range: 50 g to 100 kg (2 oz to 220 lb)", portion.Mass.Both(quantity.US))
		}
	}
	return nil
}
