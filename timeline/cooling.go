package timeline

import (
	"math"
	"strings"
	"time"

	"brothrun/stock/chill"
	"brothrun/stock/quantity"
	"brothrun/stock/record"
)

// Cooled is how a chill stands by what was read.
type Cooled int

// The ways it stands.
const (
	Unread    Cooled = iota // nothing was read, or only while it was hot
	Cooling                 // no limit is missed so far
	InTime                  // cold within the limits
	Unproven                // cold, but the readings do not show that it was in time
	ReheatNow               // the first limit is missed, and it may still be begun again
	Spoilt                  // it is not food any more
)

// Chilling is a chill by its readings, against the two stages of the FDA Food Code,
// 3-501.14(A): 135 to 70 °F within 2 h, and to 41 °F within 6 h of the same instant.
type Chilling struct {
	Stands Cooled
	// From is when it was at 135 °F: the last time it was read above or, unread, when
	// it was strained, which is earlier than true. By70F and By41F are the limits.
	From, By70F, By41F time.Time
	// Reheat is until when a chill that missed the first limit may be begun again.
	Reheat time.Time
	Last   record.Entry // the last reading
	Again  bool         // it was reheated and begun again
	// Second tells that the broth was cold before and was heated again, to be canned:
	// what is canned by then is not meant.
	Second bool
	Pot    string // of several pots which; else empty

	before       reading
	warm, past70 bool // it was read below 135 °F; it passed 70 °F
	doubtful     bool // nothing shows that this was in time
}

var (
	dangerFrom = quantity.Fahrenheit(135)
	firstStage = quantity.Fahrenheit(70)
	lastStage  = quantity.Fahrenheit(41)
	// reheatTo is what broth is brought to that missed the first limit, before it is
	// cooled again by another way: 165 °F (cooling guides after the FDA Food Code,
	// secondary).
	reheatTo = quantity.Fahrenheit(165)
	// heatedAgain is what tells broth that was heated from a fridge opened often: own
	// choice.
	heatedAgain = quantity.Fahrenheit(50)
	// around is what a pot cools towards at the most: ice.
	around = quantity.Fahrenheit(32)
)

// reheatWithin is how long after 135 °F that may be: 4 h, as food may go without
// temperature control by the FDA Food Code, 3-501.19 (from memory). Once only.
const reheatWithin = 4 * time.Hour

// Chilled reads a chill off the readings of a record, as it stands at an instant.
//
// A limit is missed when a reading shows it. Between two readings the broth is taken to
// have cooled as a pot in ice does (Newton's law); a pot that stood in the warm first was
// later. Where that does not show that a limit was kept, nothing does, and it is told as
// unproven. A reading of 135 °F or more counts as not yet cooling only until one was
// lower. Broth that was cold and is read warm again was heated for the canner: then it
// is a chill of its own, from the last note of a reheat or a load.
func Chilled(entries []record.Entry, at time.Time) Chilling {
	c := Chilling{From: strainedAt(entries)}
	var hot time.Time
	for _, e := range entries {
		switch {
		case e.At.After(at):
		case e.What == record.Reading:
			c.read(e, hot)
		case e.What.OfLoad() || strings.HasPrefix(e.Step, "reheat"):
			hot = e.At
		}
	}
	if c.Stands == ReheatNow && at.After(c.Reheat) {
		c.Stands = Spoilt
	}
	if !c.From.IsZero() {
		c.By70F, c.By41F = c.From.Add(chill.WithinTo70F), c.From.Add(chill.WithinTo41F)
	}
	return c
}

// read takes the next reading; hot is when a note last had the broth on the heat.
func (c *Chilling) read(e record.Entry, hot time.Time) {
	isCold := c.Stands == InTime || c.Stands == Unproven
	switch {
	case c.Stands == Spoilt || isCold && e.Temperature <= heatedAgain:
		return
	case isCold:
		from := e.At
		if hot.After(c.Last.At) {
			from = hot
		}
		*c = Chilling{From: from, Second: true}
	case c.Stands == ReheatNow && e.At.After(c.Reheat):
		c.Last, c.Stands = e, Spoilt
		return
	case c.Stands == ReheatNow && e.Temperature >= reheatTo:
		*c = Chilling{From: e.At, Last: e, Again: true, Second: c.Second}
		return
	case c.Stands == ReheatNow:
		c.Last = e
		return
	}
	c.Last = e
	if c.From.IsZero() || e.Temperature >= dangerFrom && !c.warm {
		c.From = e.At
	}
	if c.before.at.Before(c.From) {
		c.before = reading{c.From, dangerFrom}
	}
	if e.Temperature >= dangerFrom && !c.warm {
		return
	}
	c.warm = true
	c.stage(reading{e.At, e.Temperature})
}

// stage judges a reading below 135 °F.
func (c *Chilling) stage(now reading) {
	c.Stands = Cooling
	by70F, by41F := c.From.Add(chill.WithinTo70F), c.From.Add(chill.WithinTo41F)
	switch {
	case c.past70:
	case now.temperature <= firstStage:
		c.past70, c.doubtful = true, c.before.passed(now, firstStage).After(by70F)
	case !now.at.Before(by70F):
		c.Stands, c.Reheat = ReheatNow, c.From.Add(reheatWithin)
		if c.Again || now.at.After(c.Reheat) {
			c.Stands = Spoilt
		}
	}
	switch {
	case !c.past70:
	case now.temperature <= lastStage && (c.doubtful || c.before.passed(now, lastStage).After(by41F)):
		c.Stands = Unproven
	case now.temperature <= lastStage:
		c.Stands = InTime
	case !now.at.Before(by41F):
		c.Stands = Spoilt
	}
	c.before = now
}

// reading is a temperature at an instant.
type reading struct {
	at          time.Time
	temperature quantity.Temperature
}

// passed is when a temperature was passed between two readings, the second of which is
// not above it.
func (r reading) passed(next reading, temperature quantity.Temperature) time.Time {
	over := func(t quantity.Temperature) float64 { return max(t.Fahrenheit()-around.Fahrenheit(), 1) }
	whole := math.Log(over(r.temperature) / over(next.temperature))
	if r.temperature <= temperature || whole <= 0 {
		return r.at
	}
	share := math.Log(over(r.temperature)/over(temperature)) / whole
	return r.at.Add(time.Duration(min(share, 1) * float64(next.at.Sub(r.at))))
}

// strainedAt is when the broth was strained by the notes; zero where none says.
func strainedAt(entries []record.Entry) time.Time {
	for _, e := range entries {
		if e.What == record.Strained || e.What == record.Drained || e.What == record.Done && e.Step == "strain" {
			return e.At
		}
	}
	return time.Time{}
}
