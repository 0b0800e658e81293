package timeline

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"brothrun/stock"
	"brothrun/stock/canner"
	"brothrun/stock/quantity"
	"brothrun/stock/record"
	"brothrun/stock/remark"
)

// Phase is where a canner load is between the lid going on and coming off.
type Phase int

// The phases, each with what its Since and Until are; Until is zero where only a
// reading tells.
const (
	NotOn          Phase = iota // nothing was noted of the load
	Heating                     // on the stove with the lid on, to steady steam: since it began
	Venting                     // since the steam was steady, until the weight may go on
	Pressurising                // since the weight is on
	AtPressure                  // since it is, until the heat may go off
	Fallen                      // since it fell: no time runs until it is at pressure again
	LosingPressure              // since the heat is off
	AtZero                      // since the gauge is, until the lid may come off
	Opened                      // since the lid came off
)

// redoWithin is how soon jars of a load that was processed wrongly go back to a full
// boil, into clean jars with new lids and through the full time: 2 h, against 24 h
// for a jar that did not seal after a right process (Nebraska Extension, jars that did
// not seal; Michigan State University Extension 01600593). Later it is the fridge.
const redoWithin = 2 * time.Hour

// Canning is a load by its notes.
type Canning struct {
	Phase        Phase
	Since, Until time.Time // of Phase; zero where nothing tells
	HeatOff      time.Time // that ended the last time at pressure; zero before
	// Held is how long the pressure was held without a break before HeatOff.
	Held time.Duration
	// Processed says that it was held for the tested time, after a full venting.
	// Until it is, and NotProcessed is not, the load is still to be processed.
	Processed bool
	// NotProcessed says why the load that ended as it did counts for nothing; its
	// Code is empty otherwise.
	NotProcessed remark.Note

	load    stock.Load
	entries []record.Entry // of the load, in the order in which they happened
	steam   time.Time      // since when it vents, the weight not yet on; zero where unsaid
	short   time.Duration  // the venting that was too short; else none
	vented  bool           // it was, or may have been, since the gauge was at zero
	cold    time.Time      // since when nothing says that a load not processed was hot
	old     time.Duration  // how long after the straining it went on, where that is too long; below 0: before it
}

// publishedSteps are the steps of a load that no canner shortens: the venting and
// the wait after zero.
var publishedSteps = canner.Published(false, 0)

// Can reads what the notes say of a load. load is one of the batch; entries are those
// of the run, in any order: each counts when it happened, those of one instant as they
// stand, and those of other loads not at all.
//
// Where notes contradict one another or are missing, they are read for the longer
// time: it counts from the last at-pressure, the first noted too early; steam or the
// weight going on after it say that there was none; heat that is off is off by the
// first note of it, and a note that says it is on again begins the time anew. An
// unsaid steam is not held against a load, a venting noted as too short is. A gauge at
// zero lets air in, so that it vents again before it counts (own choice, on the safe
// side). After the lid is off, nothing of the load changes. A load without a tested
// time is never processed.
func Can(load stock.Load, entries []record.Entry) Canning {
	c := Canning{load: load, vented: true}
	for _, e := range entries {
		if e.What.OfLoad() && e.Load == load.Number || c.begins(e) {
			c.entries = append(c.entries, e)
		}
	}
	slices.SortStableFunc(c.entries, func(a, b record.Entry) int { return a.At.Compare(b.At) })
	if strained := strainedAt(entries); len(c.entries) > 0 && !strained.IsZero() {
		if age := c.entries[0].At.Sub(strained); age > fridgeHold || age < 0 {
			c.old = age
		}
	}
	for _, e := range c.entries {
		if c.Phase != Opened {
			c.follow(e)
		}
	}
	switch c.Phase {
	case Venting:
		c.Until = c.Since.Add(publishedSteps.Vent.Likely)
	case AtPressure:
		c.Until = c.Since.Add(load.Process)
	case AtZero:
		c.Until = c.Since.Add(publishedSteps.Wait.Likely)
	}
	return c
}

// begins tells whether an entry is the load going on.
func (c *Canning) begins(e record.Entry) bool {
	step := fmt.Sprintf("load-%d", c.load.Number)
	return e.What == record.Began && (e.Step == step || e.Step == "" && e.Load == c.load.Number)
}

// follow takes the next entry.
func (c *Canning) follow(e record.Entry) {
	pressed := c.Phase == AtPressure
	off := c.Phase == LosingPressure || c.Phase == AtZero
	switch e.What {
	case record.Began:
		if c.Phase == NotOn {
			c.enter(Heating, e.At)
			c.steam = e.At // it was no sooner
		}
	case record.Steam:
		c.heatOn()
		c.enter(Venting, e.At)
		c.steam, c.short, c.vented = e.At, 0, true
	case record.Vented:
		c.heatOn()
		c.enter(Pressurising, e.At)
		c.close(e.At)
		c.vented = true
	case record.AtPressure:
		c.heatOn()
		c.enter(AtPressure, e.At)
		c.close(e.At)
	case record.Fell:
		if pressed {
			c.enter(Fallen, e.At)
		}
	case record.HeatOff:
		if !off {
			c.judge(e.At)
			c.enter(LosingPressure, e.At)
		}
	case record.Zero:
		if !off {
			c.fail(e.At, cmp.Or(c.Since, e.At), "zero")
		}
		if c.Phase != AtZero {
			c.vented, c.steam, c.short = false, e.At, 0
		}
		c.enter(AtZero, e.At)
	case record.LidOff:
		if !off {
			c.fail(e.At, cmp.Or(c.Since, e.At), "lid-off")
		}
		c.enter(Opened, e.At)
	}
}

func (c *Canning) enter(phase Phase, at time.Time) { c.Phase, c.Since = phase, at }

// heatOn forgets how the load ended: it goes on.
func (c *Canning) heatOn() {
	c.Processed, c.NotProcessed, c.Held, c.HeatOff, c.cold = false, remark.Note{}, 0, time.Time{}, time.Time{}
}

// close ends the venting: the weight is on by then. Without a new steam a venting that
// was too short stays so.
func (c *Canning) close(at time.Time) {
	if vent := at.Sub(c.steam); !c.steam.IsZero() && vent < publishedSteps.Vent.Likely {
		c.short = max(vent, 1)
	}
	c.steam = time.Time{}
}

// judge settles what a load is whose heat goes off.
func (c *Canning) judge(at time.Time) {
	c.HeatOff = at
	if c.Phase == AtPressure {
		c.Held = at.Sub(c.Since)
	}
	switch {
	case c.Phase != AtPressure:
		c.fail(at, at, "pressure")
	case c.Held < c.load.Process || c.load.Process <= 0:
		c.fail(at, at, "heat-off", c.Held, c.load.Process)
	case c.short > 0:
		c.fail(at, at, "vented", c.short, publishedSteps.Vent.Likely)
	case !c.vented:
		c.fail(at, at, "again")
	case c.old < 0:
		c.fail(at, time.Time{}, "raw")
	case c.old > 0:
		c.fail(at, time.Time{}, "kept", c.old, fridgeHold)
	default:
		c.Processed = true
	}
}

func (c *Canning) fail(at, cold time.Time, which string, facts ...any) {
	c.cold = cold
	c.NotProcessed = remark.Note{Code: NotProcessed, Case: which, Facts: append([]any{c.load.Number, at}, facts...)}
}

// Next returns which notes may come next, the one that is waited for first; none once
// the lid is off. When they may, May tells.
func (c Canning) Next() []record.What {
	failed := c.NotProcessed.Code != ""
	switch c.Phase {
	case NotOn, Heating:
		return []record.What{record.Steam}
	case Venting:
		return []record.What{record.Vented}
	case Pressurising:
		return []record.What{record.AtPressure}
	case AtPressure:
		return []record.What{record.HeatOff, record.Fell}
	case Fallen:
		return []record.What{record.AtPressure, record.HeatOff}
	case LosingPressure:
		if failed {
			return []record.What{record.Zero, record.AtPressure}
		}
		return []record.What{record.Zero}
	case AtZero:
		if failed {
			return []record.What{record.LidOff, record.Steam}
		}
		return []record.What{record.LidOff}
	}
	return nil
}

// May tells whether a note of the load can be what happened, by what is noted up to its
// instant; if not, refusal is a code with its facts. A note of another load, or of
// anything but the canner's work, may be. What a note put in between makes of later
// ones is not asked: it is what happened.
func (c Canning) May(e record.Entry) (refusal remark.Note, ok bool) {
	if !e.What.OfLoad() || e.Load != c.load.Number || e.What == record.Filled {
		return remark.Note{}, true
	}
	after := slices.IndexFunc(c.entries, func(other record.Entry) bool { return other.At.After(e.At) })
	if after < 0 {
		after = len(c.entries)
	}
	refusal = Can(c.load, c.entries[:after]).refuse(e)
	return refusal, refusal.Code == ""
}

// refuse says why a note that comes last cannot be; the zero note where it can.
func (c Canning) refuse(e record.Entry) remark.Note {
	number := c.load.Number
	first := func(what record.What) remark.Note {
		return remark.Note{Code: OutOfOrder, Case: "first", Facts: []any{number, e.What, what}}
	}
	after := func(what record.What, when time.Time) remark.Note {
		return remark.Note{Code: OutOfOrder, Case: "after", Facts: []any{number, e.What, what, when}}
	}
	notPressed := note(NotAtPressure, number, e.What, c.Phase, c.Since)
	early := e.At.Before(c.Until)
	off := c.Phase == LosingPressure || c.Phase == AtZero
	if c.Phase == Opened {
		return note(LoadOver, number, e.What, c.Since)
	}
	switch e.What {
	case record.Steam, record.Vented, record.AtPressure:
		switch {
		case c.Processed:
			return after(record.HeatOff, c.HeatOff)
		case c.Phase == AtPressure && e.What != record.AtPressure:
			return first(record.Fell)
		case c.Phase == AtZero && e.What == record.AtPressure:
			return first(record.Vented)
		case c.Phase == Venting && early && e.What != record.Steam:
			return note(VentTooShort, number, c.Until, c.Since)
		case (c.Phase == Heating || c.Phase == AtZero) && e.What != record.Steam && e.At.Before(c.Since.Add(publishedSteps.Vent.Likely)):
			return note(VentTooShort, number, c.Since.Add(publishedSteps.Vent.Likely), c.Since)
		}
	case record.Fell:
		if c.Phase != AtPressure && c.Phase != Fallen && c.Phase != LosingPressure {
			return notPressed
		}
	case record.HeatOff:
		switch {
		case off && c.HeatOff.IsZero():
			return after(record.Zero, c.Since)
		case off:
			return after(record.HeatOff, c.HeatOff)
		case c.Phase == Fallen:
			// It is given up.
		case c.Phase != AtPressure:
			return notPressed
		case early || c.load.Process <= 0:
			return note(HeatOffTooSoon, number, c.Until, c.Since)
		}
	case record.Zero:
		if !off && c.Phase != Fallen {
			return first(record.HeatOff)
		}
	case record.LidOff:
		switch {
		case c.Phase != AtZero:
			return first(record.Zero)
		case early:
			return note(LidOffTooSoon, number, c.Until, c.Since)
		}
	}
	return remark.Note{}
}

// Ends returns when the lid comes off if the rest takes what cycle says, at from: each
// phase counts from its note and is not over before from, nor before it may be. A load
// that fell is brought to pressure from then on, for the whole of the tested time. One
// that is off the heat is not put back, processed or not; Redo tells what becomes of
// it. cycle is that of the load; its venting, tested time and wait are never shortened.
func (c Canning) Ends(cycle canner.Phases, from time.Time) (early, likely, late time.Time) {
	type span = quantity.Band[time.Duration]
	least := func(b span, most time.Duration) span {
		return span{Low: max(b.Low, most), Likely: max(b.Likely, most), High: max(b.High, most)}
	}
	vent := least(cycle.Vent, publishedSteps.Vent.Likely)
	process := least(cycle.Process, c.load.Process)
	wait := least(cycle.Wait, publishedSteps.Wait.Likely)
	steps := []span{cycle.HeatUp, vent, cycle.Pressurise, process, cycle.Depressurise, wait}
	since := cmp.Or(c.Since, from)
	switch c.Phase {
	case Opened:
		return c.Since, c.Since, c.Since
	case NotOn:
		since = from
	case Fallen:
		steps, since = steps[2:], from
	case LosingPressure, AtZero:
		steps = steps[c.Phase-Heating-1:] // Fallen is no step of its own
	default:
		steps = steps[c.Phase-Heating:]
	}
	end := func(of func(span) time.Duration) time.Time {
		at := since.Add(of(steps[0]))
		if at.Before(from) {
			at = from
		}
		for _, step := range steps[1:] {
			at = at.Add(of(step))
		}
		return at
	}
	return end(func(b span) time.Duration { return b.Low }), end(func(b span) time.Duration { return b.Likely }),
		end(func(b span) time.Duration { return b.High })
}

// Redo returns until when what is in the jars of a load may be canned again: brought back
// to a full boil, in clean jars with new lids, for the full time. For a load that was
// not processed that is 2 h from when the heat went off, or from the last note before
// it where that is unsaid (the sources do not say from when: the safe side); for one that was,
// its jars that did not seal, 24 h from the lid. Later, and where Redo is zero, there
// is the fridge, or nothing to do again.
func (c Canning) Redo() time.Time {
	switch {
	case c.NotProcessed.Code != "" && c.cold.IsZero():
		return time.Time{} // what was in it is not food
	case c.NotProcessed.Code != "":
		return c.cold.Add(redoWithin)
	case c.Processed && c.Phase == Opened:
		return c.Since.Add(reprocessWithin)
	}
	return time.Time{}
}

// LoadFor is the load that a note of one is about where the cook does not say: the one
// that is on by the notes or else, at an instant, by the plan, or the next; the last
// where none is.
func (p Plan) LoadFor(what record.What, entries []record.Entry, at time.Time) int {
	next, last := 0, 0
	for _, step := range p.Steps {
		if step.Role != Load {
			continue
		}
		last = step.Loads[0].Number
		filled := slices.ContainsFunc(entries, func(e record.Entry) bool { return e.What == record.Filled && e.Load == last })
		switch phase := Can(step.Loads[0], entries).Phase; {
		case what == record.Filled && (phase != NotOn || filled):
		case phase != NotOn && phase != Opened:
			return last
		case next == 0 && phase == NotOn && step.End.After(at):
			next = last
		}
	}
	return cmp.Or(next, last)
}
