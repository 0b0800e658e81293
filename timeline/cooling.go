package timeline

import (
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
}

var (
	dangerFrom = quantity.Fahrenheit(135)
	firstStage = quantity.Fahrenheit(70)
	lastStage  = quantity.Fahrenheit(41)
	// reheatTo is what broth is brought to that missed the first limit, before it is
	// cooled again by another way: 165 °F (cooling guides after the FDA Food Code,
	// secondary).
	reheatTo = quantity.Fahrenheit(165)
)

// reheatWithin is how long after 135 °F that may be: 4 h, as food may go without
// temperature control by the FDA Food Code, 3-501.19 (from memory). Once only.
const reheatWithin = 4 * time.Hour

// Chilled reads a chill off the readings of a record.
//
// Between two readings it is taken to have cooled evenly. A pot in a steady bath cools
// faster at first, so that it was colder than that; one that was put into ice late was
// not, by some minutes. A reading of 135 °F or more counts as not yet cooling only
// until one was lower.
func Chilled(entries []record.Entry) Chilling {
	c := Chilling{From: strainedAt(entries)}
	before := reading{c.From, dangerFrom}
	warm, past70 := false, false // it was read below 135 °F; it passed 70 °F in time
	for _, e := range entries {
		if e.What != record.Reading || c.Stands == Spoilt || c.Stands == InTime {
			continue
		}
		c.Last = e
		if c.From.IsZero() {
			c.From, before.at = e.At, e.At
		}
		switch {
		case c.Stands == ReheatNow && e.Temperature >= reheatTo && !e.At.After(c.Reheat):
			c = Chilling{From: e.At, Last: e, Again: true}
			before, warm, past70 = reading{e.At, dangerFrom}, false, false
			continue
		case c.Stands == ReheatNow && e.At.After(c.Reheat):
			c.Stands = Spoilt
			continue
		case c.Stands == ReheatNow:
			continue
		case e.Temperature >= dangerFrom && !warm:
			c.From, before = e.At, reading{e.At, dangerFrom}
			continue
		}
		warm = true
		now := reading{e.At, e.Temperature}
		c.Stands = Cooling
		if !past70 {
			limit := c.From.Add(chill.WithinTo70F)
			past70 = e.Temperature <= firstStage && !before.passed(now, firstStage).After(limit)
			if !past70 && !e.At.Before(limit) {
				c.miss(e.At)
			}
		}
		if past70 {
			cold := before.passed(now, lastStage)
			switch limit := c.From.Add(chill.WithinTo41F); {
			case e.Temperature <= lastStage && !cold.After(limit):
				c.Stands = InTime
			case !e.At.Before(limit):
				c.Stands = Spoilt
			}
		}
		before = now
	}
	if !c.From.IsZero() {
		c.By70F, c.By41F = c.From.Add(chill.WithinTo70F), c.From.Add(chill.WithinTo41F)
	}
	return c
}

// miss is the first limit missed: it may be begun again once, and not late.
func (c *Chilling) miss(at time.Time) {
	c.Stands, c.Reheat = ReheatNow, c.From.Add(reheatWithin)
	if c.Again || at.After(c.Reheat) {
		c.Stands = Spoilt
	}
}

// reading is a temperature at an instant.
type reading struct {
	at          time.Time
	temperature quantity.Temperature
}

// passed is when a temperature was passed between two readings; that of the second
// where it was not yet, and of the first where it was before.
func (r reading) passed(next reading, temperature quantity.Temperature) time.Time {
	fell, span := float64(r.temperature-next.temperature), next.at.Sub(r.at)
	switch {
	case r.temperature <= temperature:
		return r.at
	case next.temperature > temperature || fell <= 0:
		return next.at
	}
	return r.at.Add(time.Duration(float64(r.temperature-temperature) / fell * float64(span)))
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
