package timeline

import (
	"slices"
	"time"

	"brothrun/stock"
	"brothrun/stock/quantity"
	"brothrun/stock/remark"
	"brothrun/stock/settle"
	"brothrun/stock/thaw"
)

// Ready is what has to be there before some runs of one kitchen, in their order. Without a
// clock every time is zero.
type Ready struct {
	Plans           []Plan
	Solids          []Bring              // what goes into the pots, the vegetables last
	Ice             Bring                // nothing where none is wanted
	Jars            []stock.Counted      // to wash
	Lids            []stock.Counted      // new ones
	JarsBy          time.Time            // when the first are washed
	WashBy          map[string]time.Time // when the first of a size are
	Absorbers       int
	Fuel, Tank      quantity.Band[quantity.Energy] // in all, and of that out of a tank of propane
	Fridge, Freezer Room
	DaysToFreeze    int         // for the leftover of the fullest day; 0: nobody knows the freezer's size
	Dryer           []time.Time // from when it has to be free
	GaugeBy         time.Time   // when a dial gauge has to be checked; zero: it is, or there is none
}

// Bring is something to be there, for one or several runs.
type Bring struct {
	stock.Solid
	Parts []PartOf
}

// PartOf is what one run has of it.
type PartOf struct {
	Run    int // its place in Ready.Plans
	Weight quantity.Mass
	By     time.Time // when it has to be in the house
	Thaw   stock.Thaw
	ThawAt time.Time // when it begins to thaw
}

// Room is what stands in a fridge or freezer at the fullest moment. Without a clock it is
// all that every run has there.
type Room struct {
	Needs quantity.Volume
	From  time.Time
	Has   *quantity.Volume // nil: not known
}

// Short reports whether it is too little.
func (r Room) Short() bool { return r.Has != nil && r.Needs > *r.Has }

// ReadyFor sums what plans of one house need.
func ReadyFor(house settle.House, plans []Plan) Ready {
	r := Ready{Plans: plans, WashBy: map[string]time.Time{}}
	var batches []stock.Batch
	for i, p := range plans {
		b := p.Batch
		if p.Planned != nil {
			b = *p.Planned
		}
		batches = append(batches, b)
		begins := p.Begins()
		part := PartOf{Run: i, By: begins, Thaw: b.Thaw}
		if check, ok := p.check(IntoFridge); ok {
			part.By, part.ThawAt = check.At, check.At
		} else if b.Thaw.Method == thaw.ColdWater {
			part.ThawAt = begins
		}
		for _, s := range b.Solids {
			of := part
			if of.Weight = s.Weight; s.Vegetable {
				of.By, of.ThawAt, of.Thaw = begins, time.Time{}, stock.Thaw{Method: thaw.None}
			}
			r.bring(s, of)
		}
		if ice := b.Chill.IceToHave; ice > 0 && !b.EndsAtStraining() {
			check, _ := p.check(DayBefore)
			r.Ice.Weight += ice
			r.Ice.Parts = append(r.Ice.Parts, PartOf{Run: i, Weight: ice, By: check.At})
		}
		r.Absorbers += b.Absorbers()
		r.Tank = r.Tank.Plus(b.FuelOfTank())
		first := func(at *time.Time, asks Asks) {
			if c, ok := p.check(asks); ok && (at.IsZero() || c.Limit.Before(*at)) {
				*at = c.Limit
			}
		}
		first(&r.JarsBy, NewLids)
		for _, j := range b.Jars {
			by := r.WashBy[j.Jar]
			first(&by, NewLids)
			r.WashBy[j.Jar] = by
		}
		first(&r.GaugeBy, GaugeDue)
		if c, ok := p.check(DryerFree); ok {
			r.Dryer = append(r.Dryer, c.Limit)
		}
	}
	slices.SortStableFunc(r.Solids, func(a, b Bring) int { return vegetablesLast(a) - vegetablesLast(b) })
	r.Jars, r.Lids, r.Fuel = stock.JarsOfAll(house, batches), stock.LidsOfAll(house, batches), stock.FuelOfAll(batches)
	r.Fridge, r.Freezer = Rooms(house, plans)
	if size := house.FreezerSize; size != nil {
		var frozen quantity.Volume
		for _, b := range batches {
			if b.FreezerNeeds() > 0 {
				frozen += b.Leftover.Volume.Likely
			}
		}
		r.DaysToFreeze = stock.DaysToFreeze(frozen, *size)
	}
	return r
}

func vegetablesLast(b Bring) int {
	if b.Vegetable {
		return 1
	}
	return 0
}

// bring adds what one run has of something.
func (r *Ready) bring(s stock.Solid, part PartOf) {
	i := slices.IndexFunc(r.Solids, func(b Bring) bool { return b.What == s.What })
	if i < 0 {
		i, r.Solids = len(r.Solids), append(r.Solids, Bring{Solid: stock.Solid{What: s.What, Vegetable: s.Vegetable}})
	}
	r.Solids[i].Add(s)
	r.Solids[i].Parts = append(r.Solids[i].Parts, part)
}

// check is the first check of a plan that asks for something.
func (p Plan) check(asks Asks) (Check, bool) {
	i := slices.IndexFunc(p.Checks, func(c Check) bool { return c.Asks == asks })
	if i < 0 {
		return Check{}, false
	}
	return p.Checks[i], true
}

// stay is room taken for a span.
type stay struct {
	Booking
	room quantity.Volume
}

// longAfter is when what stays without end is gone: after all else.
const longAfter = 365 * day

// Rooms is what the plans of one house take of the fridge and the freezer at their fullest.
func Rooms(house settle.House, plans []Plan) (fridge, freezer Room) {
	var cold, frozen []stay
	timed := false
	for _, p := range plans { // one that finds no place among others is not there
		timed = timed || len(p.Steps) > 0
		c, f := p.stays()
		cold, frozen = append(cold, c...), append(frozen, f...)
	}
	if timed {
		fridge, freezer = fullest(cold), fullest(frozen)
	} else {
		for _, p := range plans {
			fridge.Needs += max(p.Batch.FridgeNeeds(), p.Batch.ThawRoom())
			freezer.Needs += p.Batch.FreezerNeeds()
		}
	}
	fridge.Has, freezer.Has = house.FridgeRoom, house.FreezerRoom
	return fridge, freezer
}

// stays are when the bones and the broth of a plan stand in the fridge and in the freezer.
func (p Plan) stays() (cold, frozen []stay) {
	b := p.Batch
	fills := map[string]quantity.Volume{}
	for _, j := range b.Jars {
		fills[j.Jar] = j.Fill
	}
	if c, ok := p.check(IntoFridge); ok {
		cold = append(cold, stay{Booking{From: c.At, To: c.Limit}, b.ThawRoom()})
	}
	dried := p.Begins().Add(longAfter)
	for _, s := range p.Steps {
		if s.Role == DryLoad {
			dried = s.Start
		}
	}
	for _, s := range p.Steps {
		span := Booking{From: s.Start, To: s.End}
		switch s.Role {
		case InFridge:
			cold = append(cold, stay{span, b.FridgeNeeds()})
		case BackInFridge:
			room := quantity.Volume(0)
			for _, load := range b.Loads {
				if later(p, load, s.End) {
					room += load.Holds(fills)
				}
			}
			cold = append(cold, stay{span, room})
		case Leftover, Pack:
			if b.Leftover.Route == settle.Fridge {
				cold = append(cold, stay{Booking{From: s.End, To: s.End.Add(fridgeHold)}, b.Leftover.Volume.High})
			} else {
				frozen = append(frozen, stay{Booking{From: s.End, To: dried}, b.FreezerNeeds()})
			}
		}
	}
	return cold, frozen
}

// later reports whether a load is filled from an instant on.
func later(p Plan, load stock.Load, from time.Time) bool {
	return slices.ContainsFunc(p.Steps, func(s Step) bool {
		return s.Role == Fill && s.Loads[0].Number == load.Number && !s.Start.Before(from)
	})
}

// fullest is the most of stays at once, and since when; nothing of none.
func fullest(stays []stay) (most Room) {
	for _, at := range stays {
		room := quantity.Volume(0)
		for _, s := range stays {
			if !s.From.After(at.From) && s.To.After(at.From) {
				room += s.room
			}
		}
		if room > most.Needs {
			most.Needs, most.From = room, at.From
		}
	}
	return most
}

// OfTogether is the case of a note that is of several runs together, and not of the one that
// carries it.
const OfTogether = "together"

// RoomNotes warn of runs that each have room in the fridge or freezer, and not together.
func RoomNotes(house settle.House, plans []Plan) (notes []remark.Note) {
	if len(plans) < 2 {
		return nil
	}
	fridge, freezer := Rooms(house, plans)
	for _, of := range []struct {
		room Room
		code string
	}{{fridge, remark.FridgeRoom}, {freezer, remark.FreezerRoom}} {
		said := slices.ContainsFunc(plans, func(p Plan) bool { return len(remark.Noted(p.Batch.Warnings, of.code)) > 0 })
		if of.room.Short() && !said {
			notes = append(notes, remark.Of(of.code, of.room.Needs, *of.room.Has).In(OfTogether))
		}
	}
	return notes
}
