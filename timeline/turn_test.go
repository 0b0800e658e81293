package timeline_test

import (
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/stock"
	"brothrun/stock/quantity"
	"brothrun/stock/record"
	"brothrun/timeline"
)

// lastPressure is since when a load is at pressure by its notes in the order in which they
// happened, told without the clock of a load: zero after a fall, the heat off, or steam.
func lastPressure(entries []record.Entry, load int, at time.Time) (since time.Time) {
	for _, e := range entries {
		switch {
		case e.Load != load || e.At.After(at):
		case e.What == record.AtPressure:
			since = e.At
		case slices.Contains([]record.What{record.Fell, record.HeatOff, record.Steam, record.Vented, record.Zero}, e.What):
			since = time.Time{}
		}
	}
	return since
}

// Whatever is pressed in whatever order, no heat-off is offered before the full tested time
// after the last drop (USDA Complete Guide to Home Canning, guide 1: below pressure, the
// time begins anew), and all that is offered may be noted.
func TestWhateverIsPressedHeatOffIsOfferedAfterTheFullTime(t *testing.T) {
	denver := zone(t, "America/Denver")
	wet := batch(func(b *stock.Batch) { b.Yield.Water = 14 * quantity.Quart })
	w := weekend{Location: denver, Start: at(t, "2026-11-28 08:00", denver)}
	random := rand.New(rand.NewPCG(2026, 18))
	offered := map[record.What]int{}
	for range 60 {
		now := at(t, "2026-11-29 08:40", denver)
		entries := []record.Entry{{At: now, What: record.Began, Step: "reheat"}}
		for range 25 {
			now = now.Add(time.Duration(random.IntN(14*60)) * time.Second)
			plan, err := w.follow(wet, wet, entries...)
			require.NoError(t, err)
			turn := plan.Turn(wet, now)
			offers := append([]timeline.Offer{turn.Main}, turn.Others...)
			for _, o := range offers {
				offered[o.What]++
				if o.What != record.HeatOff {
					continue
				}
				since := lastPressure(plan.Record, o.Load, now)
				require.False(t, since.IsZero(), "it is not at pressure: %v", entries)
				require.False(t, o.From.Before(since.Add(wet.Loads[o.Load-1].Process)), "offered from %v, at pressure since %v", o.From, since)
			}
			if o := offers[random.IntN(len(offers))]; o.What != "" && o.What != record.Late {
				e := record.Entry{At: now, What: o.What, Step: o.Step, Load: o.Load}
				if !o.At.IsZero() {
					e.At = o.At
				}
				for _, j := range o.Jars {
					e.Jars = append(e.Jars, record.JarCount(j))
				}
				if e.At.Before(o.From) {
					now, e.At = o.From, o.From // whoever waits for it
				}
				_, may := plan.May(wet, plan.Record, e)
				require.True(t, may, "%v is offered after %v", o, entries)
				entries = append(entries, e)
			}
		}
	}
	for _, what := range []record.What{record.Began, record.Steam, record.Vented, record.AtPressure, record.Fell, record.HeatOff, record.Zero, record.LidOff, record.Done} {
		assert.Greater(t, offered[what], 20, "%s; of %v", what, offered)
	}
}

// TestWhoseTurnItIs: own choice, no source, but that heat-off waits.
func TestWhoseTurnItIs(t *testing.T) {
	denver := zone(t, "America/Denver")
	wet := batch(func(b *stock.Batch) { b.Yield.Water = 14 * quantity.Quart })
	w := weekend{Location: denver, Start: at(t, "2026-11-28 08:00", denver)}
	note := func(hour string, what record.What, step string, load int) record.Entry {
		return record.Entry{At: at(t, "2026-11-"+hour, denver), What: what, Step: step, Load: load}
	}
	for _, row := range []struct {
		name    string
		entries []record.Entry
		at      string
		step    string
		main    record.What
		coming  bool
		overdue bool
	}{
		{"before the run", nil, "28 07:00", "prepare", record.Began, true, false},
		{"on by the plan", nil, "28 08:10", "prepare", record.Done, false, false},
		{"over by the plan, and nobody said so", nil, "28 09:00", "prepare", record.Done, false, true},
		{"over for hours, and nobody said so", nil, "28 12:00", "simmer", record.Done, false, false},
		{"the night", []record.Entry{note("28 17:00", record.Done, "chill", 0)}, "28 22:00", "skim", record.Began, true, false},
		{"jars are filled: the lid goes on", []record.Entry{note("29 09:00", record.Done, "reheat", 0)}, "29 09:05", "fill-1", record.Began, false, false},
		{"a load is in the canner", []record.Entry{note("29 09:00", record.Done, "reheat", 0), note("29 09:30", record.Steam, "", 1)}, "29 09:35", "load-1", record.Vented, false, false},
	} {
		plan, err := w.follow(wet, wet, row.entries...)
		require.NoError(t, err, row.name)
		turn := plan.Turn(wet, at(t, "2026-11-"+row.at, denver))
		assert.Equal(t, row.step, turn.Step.ID, row.name)
		assert.Equal(t, row.main, turn.Main.What, row.name)
		assert.Equal(t, row.coming, turn.Coming, row.name)
		assert.Equal(t, row.overdue, turn.Overdue, row.name)
	}
}

// A check of the seals is asked about until it is told: jars that did not seal are noted one
// by one, and the rest are offered as sealed.
func TestTheSealsAreCountedToTheEnd(t *testing.T) {
	denver := zone(t, "America/Denver")
	wet := batch(func(b *stock.Batch) { b.Yield.Water = 14 * quantity.Quart })
	w := weekend{Location: denver, Start: at(t, "2026-11-28 08:00", denver)}
	now := at(t, "2026-11-30 07:00", denver)
	var entries []record.Entry
	for _, left := range []int{13, 12, 11} {
		plan, err := w.follow(wet, wet, entries...)
		require.NoError(t, err)
		turn := plan.Turn(wet, now)
		require.Equal(t, "seal-check", turn.Step.ID)
		assert.Equal(t, timeline.Offer{What: record.Sealed, Jars: []stock.JarCount{{Jar: "quart", Count: left}}}, turn.Main)
		assert.Contains(t, turn.Others, timeline.Offer{What: record.Unsealed, Load: 2, Jars: []stock.JarCount{{Jar: "quart", Count: 1}}})
		entries = append(entries, record.Entry{At: now, What: record.Unsealed, Load: 2, Jars: []record.JarCount{{Jar: "quart", Count: 1}}})
		now = now.Add(20 * time.Minute)
	}
	entries = append(entries, record.Entry{At: now, What: record.Sealed, Jars: []record.JarCount{{Jar: "quart", Count: 10}}})
	plan, err := w.follow(wet, wet, entries...)
	require.NoError(t, err)
	assert.NotEqual(t, "seal-check", plan.Turn(wet, now).Step.ID)
}
