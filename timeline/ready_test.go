package timeline_test

import (
	"errors"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"brothrun/stock"
	"brothrun/stock/quantity"
	"brothrun/stock/record"
	"brothrun/stock/remark"
	"brothrun/stock/settle"
	"brothrun/stock/thaw"
	"brothrun/timeline"
)

// thawing lets a batch thaw in a way.
func thawing(way thaw.Method, pack quantity.Mass) func(*stock.Batch) {
	return func(b *stock.Batch) {
		b.Solids = []stock.Solid{{What: b.What, Weight: pack}}
		b.Thaw = stock.Thaw{Method: way, Package: pack, Takes: thaw.Takes(way, pack)}
	}
}

func asksOf(plan timeline.Plan) (all []timeline.Asks) {
	for _, c := range plan.Checks {
		if c.Before() {
			all = append(all, c.Asks)
		}
	}
	return all
}

// Only what a run needs is asked for. Sources: USDA Complete Guide, Guide 1, for the yearly
// check of a dial gauge; common practice, no source, for a week ahead.
func TestTheWeekBeforeAsksForWhatTheRunNeeds(t *testing.T) {
	denver := zone(t, "America/Denver")
	saturday := weekend{Location: denver, Start: at(t, "2026-11-28 08:00", denver)}
	place := func(checked string, change ...func(*stock.Batch)) timeline.Plan {
		calendar := timeline.Calendar{Location: denver}
		if checked != "" {
			var err error
			calendar.GaugeChecked, err = timeline.ParseDay(checked, denver)
			require.NoError(t, err)
		}
		plan, err := alone(timeline.Run{Batch: batch(change...), ID: "run", When: timeline.When{Start: saturday.Start}}, calendar)
		require.NoError(t, err)
		return plan
	}
	dial := func(b *stock.Batch) { b.Gauge = "dial" }
	assert.Equal(t, []timeline.Asks{timeline.NewLids, timeline.DryerFree, timeline.ClearRoom, timeline.DayBefore}, asksOf(place("")))
	assert.Equal(t, []timeline.Asks{timeline.ClearRoom, timeline.DayBefore}, asksOf(place("", refused)), "nothing is canned")
	assert.Contains(t, asksOf(place("", dial)), timeline.GaugeDue, "nobody knows when it was checked")
	assert.Contains(t, asksOf(place("2025-11-20", dial)), timeline.GaugeDue, "over a year ago")
	assert.NotContains(t, asksOf(place("2026-05-01", dial)), timeline.GaugeDue)
	assert.NotContains(t, asksOf(place("2025-11-20")), timeline.GaugeDue, "a weighted gauge needs none")
	tank := func(b *stock.Batch) {
		b.Fuel.CannerOnPropane = true
		b.Loads[0].Fuel = quantity.Exactly(quantity.KilowattHour)
	}
	assert.Contains(t, asksOf(place("", tank)), timeline.FillTank)

	plan := place("", dial, tank)
	for _, c := range plan.Checks {
		if !c.Before() || c.Asks == timeline.DayBefore {
			continue
		}
		assert.True(t, c.AllDay)
		assert.Equal(t, 12, c.At.Hour(), "noon, so that no clock change moves its date")
		days := 7
		if c.Asks == timeline.ClearRoom {
			days = 2
		}
		assert.Equal(t, saturday.Start.AddDate(0, 0, -days).Format(time.DateOnly), c.At.Format(time.DateOnly), "%d", c.Asks)
	}
	thawed := place("", thawing(thaw.Fridge, 12*quantity.Pound))
	room, _ := checkOf(thawed, timeline.ClearRoom)
	into, _ := checkOf(thawed, timeline.IntoFridge)
	assert.True(t, room.At.Before(into.At), "the room is there before the bones are")
}

func TestWhatIsAheadIsToldUntilTheRunBegins(t *testing.T) {
	denver := zone(t, "America/Denver")
	plan := schedule(t, batch(thawing(thaw.Fridge, 9*quantity.Pound)), weekend{Location: denver, Start: at(t, "2026-11-28 08:00", denver)})
	ids := func(when string) (all []string) {
		for _, c := range plan.Ahead(at(t, when, denver)) {
			all = append(all, c.ID)
		}
		return all
	}
	assert.Equal(t, []string{"lids", "dryer-free", "clear-room", "thaw-begins", "day-before"}, ids("2026-11-21 20:00"))
	assert.Equal(t, []string{"clear-room", "thaw-begins", "day-before"}, ids("2026-11-22 00:30"))
	assert.Equal(t, []string{"thaw-begins"}, ids("2026-11-28 07:00"), "it may have been forgotten")
	assert.Empty(t, ids("2026-11-28 08:00"))

	into, _ := checkOf(plan, timeline.IntoFridge)
	assert.Empty(t, plan.ThawsLate(into.At))
	assert.Len(t, plan.ThawsLate(into.At.Add(time.Minute)), 1)
	assert.Empty(t, plan.ThawsLate(plan.Begins()), "too late to say")
}

// What came does not change what was asked for before.
func TestNotesLeaveTheWeekBeforeAsItWas(t *testing.T) {
	before := placedWith(t)
	simmered := step(t, before, "simmer").Start.Add(3 * time.Hour)
	denver := zone(t, "America/Denver")
	late, err := weekend{Location: denver, Start: at(t, "2026-11-28 08:00", denver)}.follow(batch(), batch(refused),
		record.Entry{ID: "x", At: simmered, What: record.Began, Step: "simmer"})
	require.NoError(t, err)
	require.NotEqual(t, step(t, before, "strain").Start, step(t, late, "strain").Start)
	assert.Equal(t, asksOf(before), asksOf(late))
	for i, c := range before.Checks {
		if c.Before() {
			assert.Equal(t, c, late.Checks[i])
		}
	}
}

// A second route: the fridge looked into at every step of every run, by its steps alone.
func TestTheFridgeAtItsFullestEqualsALookIntoIt(t *testing.T) {
	together := 0
	check(t, 300, func(t *rapid.T) {
		w := drawWeek(t)
		for i := range w.runs {
			w.runs[i].Batch.Yield.Strained.High = quantity.Volume(rapid.IntRange(2, 40).Draw(t, "quarts")) * quantity.Quart
			w.runs[i].Batch.Jars = []stock.JarsToFill{{JarCount: stock.JarCount{Jar: "quart", Count: 13}, Fill: quantity.Quart}}
			w.runs[i].Batch.Solids = []stock.Solid{{Weight: w.runs[i].Batch.Thaw.Package}}
		}
		plans, err := w.place()
		var unfit *timeline.Unfit
		if errors.As(err, &unfit) {
			return
		}
		require.NoError(t, err)
		most, alone := quantity.Volume(0), quantity.Volume(0)
		for _, p := range plans {
			for _, s := range p.Steps {
				now, all := s.Start, quantity.Volume(0)
				for _, other := range plans {
					in := inTheFridgeAt(other, now)
					all, alone = all+in, max(alone, in)
				}
				most = max(most, all)
			}
			if into, ok := checkOf(p, timeline.IntoFridge); ok {
				all := quantity.Volume(0)
				for _, other := range plans {
					all += inTheFridgeAt(other, into.At)
				}
				most = max(most, all)
			}
		}
		fridge, _ := timeline.Rooms(settle.House{}, plans)
		assert.InDelta(t, most.Litres(), fridge.Needs.Litres(), 1e-6)
		if most > alone {
			together++
		}
		room := most - quantity.Millilitre
		notes := timeline.RoomNotes(settle.House{FridgeRoom: &room}, plans)
		assert.Equal(t, len(plans) > 1, slices.ContainsFunc(notes, func(n remark.Note) bool { return n.Code == remark.FridgeRoom }))
	})
	assert.Greater(t, together, 10, "or no two runs were ever in one fridge")
}

func inTheFridgeAt(p timeline.Plan, now time.Time) (room quantity.Volume) {
	begun := func(s timeline.Step) bool { return !s.Start.After(now) }
	skim := stepOf(p, "skim")
	if into, ok := checkOf(p, timeline.IntoFridge); ok && !into.At.After(now) && p.Begins().After(now) {
		room += p.Batch.ThawRoom()
	}
	if !stepOf(p, "chill").End.After(now) && !begun(skim) {
		room += p.Batch.Yield.Strained.High
	}
	for _, s := range p.Steps {
		if s.Role != timeline.BackInFridge || !begun(s) || !s.End.After(now) {
			continue
		}
		for _, fill := range p.Steps {
			if fill.Role == timeline.Fill && !fill.Start.Before(s.End) {
				room += quantity.Volume(fill.Loads[0].Jars()) * quantity.Quart
			}
		}
	}
	return room
}

// Sums of two runs, by hand.
func TestReadySumsTheRunsOfAWeekend(t *testing.T) {
	denver := zone(t, "America/Denver")
	one := schedule(t, batch(thawing(thaw.Fridge, 9*quantity.Pound), func(b *stock.Batch) { b.Chill.IceToHave = 16 * quantity.Pound }),
		weekend{Location: denver, Start: at(t, "2026-11-28 08:00", denver)})
	two := schedule(t, batch(thawing(thaw.ColdWater, 4*quantity.Pound), func(b *stock.Batch) { b.Chill.IceToHave = 10 * quantity.Pound }),
		weekend{Location: denver, Start: at(t, "2026-12-05 08:00", denver)})
	ready := timeline.ReadyFor(settle.House{Lids: map[string]int{"regular": 20}}, []timeline.Plan{one, two})
	require.Len(t, ready.Solids, 1)
	assert.InDelta(t, 13, ready.Solids[0].Weight.Pounds(), 1e-9)
	into, _ := checkOf(one, timeline.IntoFridge)
	assert.Equal(t, into.At, ready.Solids[0].Parts[0].By)
	assert.Equal(t, two.Begins(), ready.Solids[0].Parts[1].ThawAt)
	assert.InDelta(t, 26, ready.Ice.Weight.Pounds(), 1e-9)
	assert.Equal(t, "2026-11-27", ready.Ice.Parts[0].By.Format(time.DateOnly))
	assert.Equal(t, []stock.Counted{{Name: "quart", Wanted: 30, OnHand: -1}}, ready.Jars)
	assert.Zero(t, ready.Jars[0].Short(), "nobody counted")
	assert.Equal(t, []stock.Counted{{Name: "regular", Wanted: 30, OnHand: 20}}, ready.Lids)
	assert.Equal(t, 10, ready.Lids[0].Short())
	assert.Equal(t, step(t, one, "jars").Start, ready.JarsBy)
	assert.Len(t, ready.Dryer, 2)

	frozen := schedule(t, batch(func(b *stock.Batch) { b.Leftover.Volume.High = quantity.Quart }),
		weekend{Location: denver, Start: at(t, "2026-11-28 08:00", denver)})
	_, freezer := timeline.Rooms(settle.House{}, []timeline.Plan{frozen})
	assert.Equal(t, frozen.Batch.FreezerNeeds(), freezer.Needs)
	assert.Equal(t, step(t, frozen, "leftover").End, freezer.From)
	_, freezer = timeline.Rooms(settle.House{}, []timeline.Plan{frozen, schedule(t, frozen.Batch,
		weekend{Location: denver, Start: at(t, "2026-12-05 08:00", denver)})})
	assert.Equal(t, frozen.Batch.FreezerNeeds(), freezer.Needs, "the trays of the first are dry by then")

	undated := timeline.ReadyFor(settle.House{}, []timeline.Plan{{Batch: one.Batch}, {Batch: two.Batch}})
	assert.InDelta(t, 13, undated.Solids[0].Weight.Pounds(), 1e-9)
	assert.Zero(t, undated.Solids[0].Parts[0].By)
	assert.Empty(t, undated.Dryer)
}
