package chill

import (
	"math"
	"time"

	"brothrun/stock/quantity"
)

// state is what the transient integrates.
type state struct {
	broth   float64 // °C
	other   float64 // °C: the fridge's other food, or the bath
	melted  float64 // kg of ice
	out     float64 // J that have left the broth and its pot
	removed float64 // J that the machine took, the walls lost or that went down the drain; for a bath, less what the room gave
}

func (y state) plus(h float64, d state) state {
	return state{y.broth + h*d.broth, y.other + h*d.other, y.melted + h*d.melted, y.out + h*d.out, y.removed + h*d.removed}
}

// film says what hinders the heat on its way out of the broth.
type film int

const (
	constant film = iota // leg.overall as it stands
	air                  // free convection, radiation and wind
	water                // free convection on both sides of the wall, and stirring
)

// leg is a pot in one of its surroundings, on one side of the band, in SI units
// and °C.
type leg struct {
	heat float64 // J/K of broth and pot
	area float64 // m²

	film       film
	overall    float64 // W/(m²·K), constant; or the stirred part of water
	convection float64 // times free convection
	emissivity float64
	wind       float64         // W/(m²·K) beside free convection
	height     quantity.Length // of the wall
	// Broth that has set conducts where it convected: setting is the resistance
	// that adds, m²·K/W, growing from none at 25 °C to all of it at 15 °C.
	setting   float64
	alwaysSet bool // thick from the start: the conduction bound

	base float64 // °C that the surroundings keep, or the tap or thermostat gives

	// A cabinet: thermostat, other food and box.
	cabinet  bool
	power    float64 // W to spare at full run
	food     float64 // J/K
	foodFilm float64 // W/K from air to food
	box      float64 // W/K through the walls

	// A bath.
	bath    float64 // J/K of its water
	roomFor float64 // W/K from the room
	room    float64 // °C
	ice     bool    // there is ice in it
	least   float64 // kg of ice that run out; +Inf when more is added in time
	// renewed is the rate at which tap water takes its place, 1/s. Changing all of it
	// every so often is taken as a steady flow that warms as much on average.
	renewed float64

	step float64 // share of the time constant in one step
	ua   float64 // W/K, as last worked out by rates
}

// thermostatBand is over how many kelvin the compressor goes from idle to full
// run, averaged over its starts and stops: an assumption, no source.
const thermostatBand = 1.0

// perMelted is what one kilogram of ice takes up in a bath at iceBathTemperature.
var perMelted = float64(fusion) + waterHeatCapacity*iceBathTemperature.Celsius()

// coefficient returns the overall coefficient from the broth to its surroundings.
func (l *leg) coefficient(broth, against float64) float64 {
	var u float64
	switch l.film {
	case air:
		wall, around := quantity.Celsius(broth), quantity.Celsius(l.base)
		u = l.convection*float64(stillAirFilm(wall.Above(around), l.height)) + float64(radiated(l.emissivity, wall, around)) +
			l.wind
	case water:
		u = l.convection*float64(waterToWater(quantity.Celsius(broth), quantity.Celsius(against))) + l.overall
	default:
		u = l.overall
	}
	if l.setting > 0 {
		share := min(max((gelStarts-broth)/(gelStarts-gelEnds), 0), 1)
		if l.alwaysSet {
			share = 1
		}
		u /= 1 + u*l.setting*share
	}
	return u
}

// rates returns the time derivative of y.
func (l *leg) rates(y state) (d state) {
	ua := l.coefficient(y.broth, y.other) * l.area
	l.ua = ua
	switch {
	case l.cabinet:
		at := l.airAt(ua, y)
		q := ua * (y.broth - at)
		intoFood := l.foodFilm * (at - y.other)
		d.broth, d.out = -q/l.heat, q
		d.other = intoFood / l.food
		d.removed = q - intoFood
	case l.bath > 0 || l.ice:
		q := ua * (y.broth - y.other)
		fromRoom := l.roomFor * (l.room - y.other)
		d.broth, d.out, d.removed = -q/l.heat, q, -fromRoom
		if l.ice {
			d.melted = max(q+fromRoom, 0) / perMelted
		} else {
			drained := l.renewed * l.bath * (y.other - l.base)
			d.other = (q + fromRoom - drained) / l.bath
			d.removed += drained
		}
	default:
		q := ua * (y.broth - l.base)
		d.broth, d.out, d.removed = -q/l.heat, q, q
	}
	return d
}

// airAt returns the cabinet's air temperature at which what comes from the pot
// goes into the machine, the other food and the walls. The air itself stores
// next to nothing.
func (l *leg) airAt(ua float64, y state) float64 {
	in := ua*y.broth + l.foodFilm*y.other + l.box*l.base
	sum := ua + l.foodFilm + l.box
	slope := l.power / thermostatBand
	at := (in + slope*l.base) / (sum + slope)
	switch {
	case at > l.base+thermostatBand:
		return (in - l.power) / sum
	case at < l.base:
		return in / sum
	}
	return at
}

// advance is one step of the classical fourth-order Runge-Kutta rule; d1 is the
// derivative at y.
func (l *leg) advance(y, d1 state, h float64) state {
	d2 := l.rates(y.plus(h/2, d1))
	d3 := l.rates(y.plus(h/2, d2))
	d4 := l.rates(y.plus(h, d3))
	return y.plus(h/6, d1).plus(h/3, d2).plus(h/3, d3).plus(h/6, d4)
}

// land shortens a step of h that goes too far until over, which grows with the
// step and comes with its rate, is zero: Newton's rule, kept between what falls
// short and what goes too far.
func (l *leg) land(y, d1 state, h float64, over func(state) (float64, float64)) (float64, state) {
	low, high := 0.0, h
	next := l.advance(y, d1, h)
	for range 60 {
		excess, rate := over(next)
		if math.Abs(excess) < 1e-6 {
			break
		}
		if excess > 0 {
			high = h
		} else {
			low = h
		}
		if h -= excess / rate; !(h > low && h < high) {
			h = (low + high) / 2
		}
		next = l.advance(y, d1, h)
	}
	return h, next
}

// track is what a transient met on its way.
type track struct {
	seconds float64
	steps   int
	peak    float64 // °C, of the other food
	above   float64 // s that the other food was above 41 °F
}

const (
	// longest is when a transient that has not arrived is said never to.
	longest = 60 * 24 * 3600.0
	// mostSteps ends one that creeps, for the same answer.
	mostSteps = 20000
)

// fall advances y until the broth is at target and reports whether it ever is,
// within limit seconds in all.
func (l *leg) fall(y *state, t *track, target, limit float64) bool {
	if y.broth <= target {
		return true
	}
	for range mostSteps {
		d := l.rates(*y)
		if d.broth >= 0 || t.seconds >= limit || l.floor(*y) >= target {
			return false
		}
		h := min(l.step*l.heat/l.ua, 3*l.step/l.companion())
		t.steps++
		next := l.advance(*y, d, h)
		gone := false
		if l.ice && next.melted > l.least {
			h, next = l.land(*y, d, h, func(at state) (float64, float64) { return at.melted - l.least, l.rates(at).melted })
			gone = true
		}
		if next.broth < target {
			h, next = l.land(*y, d, h, func(at state) (float64, float64) { return target - at.broth, -l.rates(at).broth })
			next.broth = target
			gone = false
		}
		t.seconds += h
		if l.cabinet {
			t.peak = max(t.peak, next.other)
			t.above += h * shareAbove(y.other, next.other, secondStage.Celsius())
		}
		*y = next
		if next.broth <= target {
			return true
		}
		if gone {
			l.ice, l.bath = false, l.bath+l.least*waterHeatCapacity
		}
	}
	return false
}

// floor returns what the broth never gets below from y on, °C. A bath that has lost
// its ice only warms, until the room cools it.
func (l *leg) floor(y state) float64 {
	switch {
	case l.ice:
		return math.Inf(-1)
	case l.bath > 0 && l.renewed == 0 && l.roomFor > 0:
		return min(y.other, l.room)
	case l.bath > 0 && l.renewed == 0:
		return y.other
	}
	return l.base
}

// companion returns how fast what stands round the broth follows it, 1/s, as rates
// last saw it. The rule swings ever wider at steps over 2.78 of its time constants,
// which a big pot's own, hours long, leave far behind.
func (l *leg) companion() float64 {
	switch {
	case l.cabinet:
		return l.foodFilm / l.food
	case l.ice || l.bath == 0:
		return 0
	}
	return max(l.renewed, (l.ua+l.roomFor)/l.bath)
}

// shareAbove returns which share of a straight line from a to b lies above level.
func shareAbove(a, b, level float64) float64 {
	switch {
	case a <= level && b <= level:
		return 0
	case a > level && b > level:
		return 1
	}
	return (max(a, b) - level) / math.Abs(b-a)
}

// course is how one side of a method goes, from straining on.
type course struct {
	at135, at70, at41 Reach // since straining
	attended          time.Duration
	changes           int // of cold water
	end               state
	track
}

// since135 returns a time counted from when the broth passed 135 °F.
func (c course) since135(r Reach) Reach {
	if r.Never || c.at135.Never {
		return Reach{Never: true}
	}
	return Reach{After: r.After - c.at135.After}
}

// follow works one side of a method out. It gives up when the broth is too late
// for the rule by more than patience, which longest turns off.
func follow(
	pot Pot, around Surroundings, method Method, s side, switchAt quantity.Temperature, patience float64,
) course {
	c := course{at135: Reach{Never: true}, at70: Reach{Never: true}, at41: Reach{Never: true}}
	firstMethod, secondMethod := method.Parts()
	marks := [...]struct {
		at    float64
		reach *Reach
	}{{clockStarts.Celsius(), &c.at135}, {firstStage.Celsius(), &c.at70}, {secondStage.Celsius(), &c.at41}}

	y := state{broth: pot.From.Celsius()}
	limit := longest
	mark := 0
	for i, m := range [...]Method{firstMethod, secondMethod} {
		if m == "" {
			break
		}
		medium := m.medium(around)
		if medium.melts {
			after := Reach{After: meltingTime[s]}
			c.at135 = Reach{}
			if around.suffices(meltedIn(pot, firstStage)) {
				c.at70 = after
			}
			if !around.suffices(meltedIn(pot, switchAt)) {
				break
			}
			mark = 2
			if secondMethod == "" {
				c.at41 = after
				mark = len(marks)
			}
			y.broth = switchAt.Celsius()
			c.seconds, c.attended = meltingTime[s].Seconds(), meltingTime[s]
			continue
		}
		l := medium.leg(pot, around, s)
		y.other = medium.begin(around, &l, &y)
		begun := c.seconds
		if l.cabinet {
			c.peak = l.base
		}
		if medium.jars {
			// What is still in the pot meanwhile cools by itself: not counted.
			ladling := ladlingTime[s] * time.Duration(pot.jarCount())
			c.seconds += ladling.Seconds()
			c.attended += ladling
		}
		until := secondStage.Celsius()
		if i == 0 && secondMethod != "" {
			until = switchAt.Celsius()
		}
		arrived := true
		for arrived && mark < len(marks) && marks[mark].at >= until {
			if arrived = l.fall(&y, &c.track, marks[mark].at, limit); arrived {
				*marks[mark].reach = Reach{After: span(c.seconds)}
				if mark == 0 {
					limit = min(longest, c.seconds+WithinTo70F.Seconds()+patience)
				} else {
					limit = min(longest, c.at135.After.Seconds()+WithinTo41F.Seconds()+patience)
				}
				mark++
			}
		}
		arrived = arrived && l.fall(&y, &c.track, until, limit)
		if medium.attended {
			c.attended += span(c.seconds - begun)
		}
		if medium.renewed {
			c.changes = int((c.seconds - begun) / changeInterval[s])
		}
		if !arrived {
			break
		}
	}
	c.end = y
	return c
}

// span turns seconds into a time; longest stays well inside its range.
func span(seconds float64) time.Duration { return time.Duration(seconds * float64(time.Second)) }
