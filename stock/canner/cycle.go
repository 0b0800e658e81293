package canner

import (
	"time"

	"brothrun/stock/quantity"
)

// Phases is one load from lid on to lid off, in order.
type Phases struct {
	HeatUp, Vent, Pressurise, Process, Depressurise, Wait quantity.DurationBand
}

// Total returns the whole cycle.
func (p Phases) Total() quantity.DurationBand {
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
		HeatUp:       quantity.DurationBand{Low: 12 * time.Minute, Likely: 14 * time.Minute, High: 15 * time.Minute},
		Vent:         quantity.Exactly(venting),
		Pressurise:   quantity.DurationBand{Low: 3 * time.Minute, Likely: 4 * time.Minute, High: 5 * time.Minute},
		Process:      quantity.Exactly(process),
		Depressurise: leastToZero(Heavy, quartClass),
		Wait:         quantity.Exactly(10 * time.Minute),
	}
}

// leastToZero is the published time to lose the pressure: 30 min with pints and
// 45 min with quarts in a heavy wall [EXT], which a wall nobody described is taken
// for; 20 to 30 min in a thin one (University of Georgia Extension slides).
func leastToZero(wall Wall, quartClass bool) quantity.DurationBand {
	switch {
	case wall == Thin:
		return quantity.DurationBand{Low: 20 * time.Minute, Likely: 25 * time.Minute, High: 30 * time.Minute}
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
// published one at least, end with end and likely with likely, noted ones too;
// venting, the tested time and the wait are the published ones always. l must be in the ranges of its
// fields. Bands put one input at a time to the ends of its spread and add the
// deviations by root sum of squares, so they hold eight times in ten or so.
//
// Accuracy: no timed cycle of a known canner and burner was found, so that only
// the published spans can be met, and what lies beyond them (a heavier load, a
// second layer, altitude, cold, wind) rests on the physics alone. Errors are a
// *RangeError; Field "burner" is a burner that would not bring the load to
// pressure within two hours, and names the least that does.
func Cycle(l Load) (Estimate, error) {
	in, err := l.prepare()
	if err != nil {
		return Estimate{}, err
	}
	likely := in.run(&in.likely)
	if err := in.fails(likely); err != nil {
		return Estimate{}, err
	}
	e := Estimate{Phases: Published(l.QuartTime, l.Process)}
	low, high, mayFail := in.spread(likely)
	e.MayFail = mayFail

	band := func(phase int) quantity.DurationBand {
		return quantity.DurationBand{Low: span(low[phase]), Likely: span(likely[phase]), High: span(high[phase])}
	}
	e.HeatUp = atLeast(band(heatUp), e.HeatUp)
	e.Pressurise = atLeast(band(pressurise), e.Pressurise)
	least := leastToZero(l.Vessel.Wall, l.QuartTime)
	e.Depressurise = atLeast(band(depressurise), least)
	if l.Noted != (Noted{}) {
		published := Published(l.QuartTime, l.Process)
		noted := in.noted(l, likely)
		if noted.HeatUp > 0 {
			e.HeatUp = atLeast(timed(noted.HeatUp), published.HeatUp)
		}
		if noted.Pressurise > 0 {
			e.Pressurise = atLeast(timed(noted.Pressurise), published.Pressurise)
		}
		if noted.Depressurise > 0 {
			e.Depressurise = atLeast(timed(noted.Depressurise), least)
		}
		e.NotedShort = l.Noted.under(published.HeatUp.Low, published.Pressurise.Low, least.Low)
	}
	e.Fuel = EnergyBand{quantity.Energy(low[fuel]), quantity.Energy(likely[fuel]), quantity.Energy(high[fuel])}
	left := func(lost, put float64) quantity.Volume {
		return in.putIn * quantity.Volume(max(0, 1-lost/put))
	}
	water := in.likely[waterMass]
	e.WaterPutIn = in.putIn
	e.WaterLeft = quantity.VolumeBand{Low: left(high[lost], water), Likely: left(likely[lost], water), High: left(low[lost], water)}
	e.WaterUsual = in.usual
	if l.Place.Wind > 0 {
		return e.orCalm(l)
	}
	return e, nil
}

// orCalm lets the wind drop: what is quicker, cheaper or drier in calm air may
// happen too, and nobody counts on a draught to cool a canner.
func (e Estimate) orCalm(l Load) (Estimate, error) {
	l.Place.Wind = 0
	calm, err := Cycle(l)
	if err != nil {
		return Estimate{}, err
	}
	e.HeatUp.Low, e.Pressurise.Low = min(e.HeatUp.Low, calm.HeatUp.Low), min(e.Pressurise.Low, calm.Pressurise.Low)
	e.Depressurise.Low = min(e.Depressurise.Low, calm.Depressurise.Low)
	e.Depressurise.Likely, e.Depressurise.High = calm.Depressurise.Likely, calm.Depressurise.High
	e.Fuel.Low = min(e.Fuel.Low, calm.Fuel.Low)
	e.WaterLeft.Low = min(e.WaterLeft.Low, calm.WaterLeft.Low)
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
	if l.Place.Wind > 0 {
		calm := in.likely
		calm[windFilm], calm[flameKept] = 0, 1
		likely[depressurise] = in.run(&calm)[depressurise]
	}
	heating, rising, falling := span(likely[heatUp]), span(likely[pressurise]), span(likely[depressurise])
	if l.Noted != (Noted{}) {
		noted := in.noted(l, likely)
		given := func(noted, model time.Duration) time.Duration {
			if noted > 0 {
				return noted
			}
			return model
		}
		heating, rising, falling = given(noted.HeatUp, heating), given(noted.Pressurise, rising), given(noted.Depressurise, falling)
	}
	return max(heating, p.HeatUp.Likely) + venting + max(rising, p.Pressurise.Likely) + l.Process +
		max(falling, leastToZero(l.Vessel.Wall, l.QuartTime).Likely) + p.Wait.Likely, nil
}

// under tells whether a noted time is shorter than the published least.
func (n Noted) under(heatUp, pressurise, depressurise time.Duration) bool {
	short := func(noted, least time.Duration) bool { return noted > 0 && noted < least }
	return short(n.HeatUp, heatUp) || short(n.Pressurise, pressurise) || short(n.Depressurise, depressurise)
}

// atLeast returns the longer of both, end by end.
func atLeast(model, published quantity.DurationBand) quantity.DurationBand {
	return quantity.DurationBand{
		Low: max(model.Low, published.Low), Likely: max(model.Likely, published.Likely), High: max(model.High, published.High),
	}
}

// timed is what the cook timed, one time in ten a tenth off either way: common
// practice, no source.
func timed(noted time.Duration) quantity.DurationBand {
	return quantity.DurationBand{Low: part(noted, 0.9), Likely: noted, High: part(noted, 1.1)}
}

func part(d time.Duration, share float64) time.Duration {
	return time.Duration(share * float64(d)).Round(time.Second)
}

func span(seconds float64) time.Duration {
	return time.Duration(seconds * float64(time.Second)).Round(time.Second)
}
