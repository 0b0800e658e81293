package canner

import (
	"math"
	"time"

	"brothrun/stock/packing"
	"brothrun/stock/quantity"
)

// Phases is one load from lid on to lid off, in order.
type Phases struct {
	HeatUp, Vent, Pressurise, Process, Depressurise, Wait quantity.Band[time.Duration]
}

// Total returns the whole cycle.
func (p Phases) Total() quantity.Band[time.Duration] {
	return p.HeatUp.Plus(p.Vent).Plus(p.Pressurise).Plus(p.Process).Plus(p.Depressurise).Plus(p.Wait)
}

// Published returns the published steps of one load. quartClass says that the
// jars take the quart time; process is the tested time at pressure.
//
// Spans are those for a heavy-walled canner [EXT]: 12 to 15 min to steady steam,
// 10 min vent, 3 to 5 min to pressure, 30 min to zero with pints and 45 min with
// quarts. The wait after zero is 10 min by the 2015 revision of the USDA guide
// (from memory; older texts say 2 min). Cycle is never quicker, and none of them
// is a reason to cut a step short.
func Published(quartClass bool, process time.Duration) Phases {
	return Phases{
		HeatUp:       quantity.Band[time.Duration]{Low: 12 * time.Minute, Likely: 14 * time.Minute, High: 15 * time.Minute},
		Vent:         quantity.Exactly(venting),
		Pressurise:   quantity.Band[time.Duration]{Low: 3 * time.Minute, Likely: 4 * time.Minute, High: 5 * time.Minute},
		Process:      quantity.Exactly(process),
		Depressurise: leastToZero(Heavy, quartClass),
		Wait:         quantity.Exactly(10 * time.Minute),
	}
}

// leastToZero is the published time to lose the pressure: 30 min with pints and
// 45 min with quarts in a heavy wall [EXT], which a wall nobody described is taken
// for; 20 to 30 min in a thin one (University of Georgia Extension slides).
func leastToZero(wall Wall, quartClass bool) quantity.Band[time.Duration] {
	switch {
	case wall == Thin:
		return quantity.Band[time.Duration]{Low: 20 * time.Minute, Likely: 25 * time.Minute, High: 30 * time.Minute}
	case quartClass:
		return quantity.Exactly(45 * time.Minute)
	}
	return quantity.Exactly(30 * time.Minute)
}

// Cycle returns how long a load takes from lid on to lid off, what fuel it takes
// and what water it leaves.
//
// Heat goes through two lumps, the canner with its water and steam, and the jars
// with their broth, which lag behind it; see model. Each phase is as long as the
// published one at least, end with end and likely with likely; venting, the tested
// time and the wait are the published ones always. l must be in the ranges of its
// fields. Bands put one input at a time to the ends of its spread and add the
// deviations by root sum of squares, so they hold eight times in ten or so.
//
// Noted times are those of a usual load, and go by the model to this one: noted
// times what the model says of this load over what it says of the usual one. None
// takes a phase below the published span, and one that is itself shorter is not used.
// A Pace works on phases without a noted time, and never below the published span either.
//
// Outdoors a draught may take up to two fifths of the burner's heat, a guess that
// widens the long side; the likely times are those of still air. High ends stop at
// three hours to steam and three more to pressure, and MayFail then says that they
// are no times.
//
// Accuracy: no timed cycle of a known canner and burner was found, so that only
// the published spans can be met, and what lies beyond them (a heavier load, a
// second layer, altitude, cold) rests on the physics alone. Errors are a
// *fault.Fault; of Key "burner" is a burner that would not likely bring the load to
// pressure within two hours, or likely boil the canner dry, and names what does; it
// is of "canner.water" where nobody gave the burner.
func Cycle(l Load) (Estimate, error) {
	in, err := l.prepare()
	if err != nil {
		return Estimate{}, err
	}
	likely := in.run(&in.likely)
	if err := l.tooWeak(in, likely); err != nil {
		return Estimate{}, err
	}
	if err := l.boilsDry(in, likely); err != nil {
		return Estimate{}, err
	}
	low, high := in.spread(likely)

	e := Estimate{Phases: Published(l.QuartTime, l.Process)}
	e.Depressurise = leastToZero(l.Vessel.Wall, l.QuartTime)
	ratio := l.overUsual(in, likely)
	settle := func(phase int, given time.Duration, pace Factor, published quantity.Band[time.Duration]) (
		quantity.Band[time.Duration], bool) {
		if given >= published.Low {
			return atLeast(timed(part(given, ratio[phase])), published), false
		}
		e.MayFail = e.MayFail || phase != depressurise && high[phase] >= warming.Seconds()
		modelled := quantity.Band[time.Duration]{Low: span(low[phase]), Likely: span(likely[phase]), High: span(high[phase])}
		return atLeast(pace.of(atLeast(modelled, published)), published), given > 0
	}
	e.HeatUp, e.Short.HeatUp = settle(heatUp, l.Noted.HeatUp, l.Pace.HeatUp, e.HeatUp)
	e.Pressurise, e.Short.Pressurise = settle(pressurise, l.Noted.Pressurise, l.Pace.Pressurise, e.Pressurise)
	e.Depressurise, e.Short.Depressurise = settle(depressurise, l.Noted.Depressurise, l.Pace.Depressurise, e.Depressurise)

	e.Fuel = quantity.Band[quantity.Energy]{Low: quantity.Energy(low[fuel]), Likely: quantity.Energy(likely[fuel]),
		High: quantity.Energy(high[fuel])}
	left := func(lost float64) quantity.Volume {
		return in.putIn * quantity.Volume(max(0, 1-lost/in.likely[waterMass]))
	}
	e.WaterPutIn, e.WaterUsual = in.putIn, in.usualWater
	e.WaterLeft = quantity.Band[quantity.Volume]{Low: left(high[lost]), Likely: left(likely[lost]), High: left(low[lost])}
	e.NearDry = e.WaterLeft.Low < nearDry*max(e.WaterPutIn, e.WaterUsual) || e.WaterPutIn < e.WaterUsual/2
	return e, nil
}

// LikelyTime returns the likely whole of Cycle at a tenth of its cost, for who
// compares many loads. A burner that is too weak gives a long time, not an error;
// errors are otherwise those of Cycle.
func LikelyTime(l Load) (time.Duration, error) {
	in, err := l.prepare()
	if err != nil {
		return 0, err
	}
	likely := in.run(&in.likely)
	p := Published(l.QuartTime, l.Process)
	ratio := l.overUsual(in, likely)
	settle := func(phase int, given time.Duration, pace Factor, published quantity.Band[time.Duration]) time.Duration {
		if given >= published.Low {
			return max(part(given, ratio[phase]), published.Likely)
		}
		likely := quantity.Exactly(max(span(likely[phase]), published.Likely))
		return max(pace.of(likely).Likely, published.Likely)
	}
	return settle(heatUp, l.Noted.HeatUp, l.Pace.HeatUp, p.HeatUp) + venting +
		settle(pressurise, l.Noted.Pressurise, l.Pace.Pressurise, p.Pressurise) + l.Process +
		settle(depressurise, l.Noted.Depressurise, l.Pace.Depressurise, leastToZero(l.Vessel.Wall, l.QuartTime)) +
		p.Wait.Likely, nil
}

// A usual load is what noted times are of: so many jars with what they hold and
// weigh (published energies of a load; a quart 0.8825 kg of broth, a pint 0.4265),
// or a full layer where the canner is too narrow for them.
var (
	usualQuarts = Jars{7, 882.5 * quantity.Gram, 450 * quantity.Gram}
	usualPints  = Jars{9, 426.5 * quantity.Gram, 290 * quantity.Gram}
)

// The widths of a quart and a pint by which a full layer is counted; from memory.
const quartWidth, pintWidth = 3.75 * quantity.Inch, 3.25 * quantity.Inch

// overUsual is what the model says of a load over what it says of the usual first
// one, of each phase that was noted and 1 of the others.
func (l Load) overUsual(in *prepared, likely [results]float64) [results]float64 {
	ratio := [results]float64{heatUp: 1, pressurise: 1, depressurise: 1}
	if l.Noted == (Noted{}) {
		return ratio
	}
	jars, width := usualPints, quantity.Length(pintWidth)
	if l.QuartTime {
		jars, width = usualQuarts, quartWidth
	}
	if layer, err := packing.Count(l.Vessel.Width-DefaultClearance, width); err == nil && layer > 0 {
		jars.Count = min(jars.Count, layer)
	}
	usual := *in
	usual.fill([]Jars{jars})
	usual.likely[potStart] = min(coldStart.Likely, usual.boil-2)
	first := usual.run(&usual.likely)
	for _, k := range [...]int{heatUp, pressurise, depressurise} {
		// To a hundredth: jars that hold a little more or less take the noted time itself.
		ratio[k] = math.Round(100*likely[k]/first[k]) / 100
	}
	return ratio
}

// A NotedShort is a noted time that no load uses, being shorter than published.
type NotedShort struct {
	Key             string // "heat_up", "pressurise" or "depressurise"
	Noted, LeastFor time.Duration
	QuartsOnly      bool // of use for pints
}

// TooShort returns the noted times that are shorter than the published ones of a
// wall, and are not used.
func (n Noted) TooShort(wall Wall) []NotedShort {
	var short []NotedShort
	add := func(key string, noted, least time.Duration, quarts bool) {
		if noted > 0 && noted < least {
			short = append(short, NotedShort{key, noted, least, quarts})
		}
	}
	p := Published(false, time.Minute)
	pints, quarts := leastToZero(wall, false).Low, leastToZero(wall, true).Low
	add("heat_up", n.HeatUp, p.HeatUp.Low, false)
	add("pressurise", n.Pressurise, p.Pressurise.Low, false)
	if n.Depressurise < pints {
		add("depressurise", n.Depressurise, pints, false)
	} else {
		add("depressurise", n.Depressurise, quarts, true)
	}
	return short
}

// atLeast returns the longer of both, end by end.
func atLeast(model, published quantity.Band[time.Duration]) quantity.Band[time.Duration] {
	return quantity.Band[time.Duration]{
		Low: max(model.Low, published.Low), Likely: max(model.Likely, published.Likely),
		High: max(model.High, published.High),
	}
}

// timed is what the cook timed, one time in ten a tenth off either way: common
// practice, no source.
func timed(noted time.Duration) quantity.Band[time.Duration] {
	return quantity.Band[time.Duration]{Low: part(noted, 0.9), Likely: noted, High: part(noted, 1.1)}
}

func part(d time.Duration, share float64) time.Duration {
	return time.Duration(share * float64(d)).Round(time.Second)
}

func span(seconds float64) time.Duration {
	return time.Duration(seconds * float64(time.Second)).Round(time.Second)
}
