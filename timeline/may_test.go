package timeline_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/stock"
	"brothrun/stock/quantity"
	"brothrun/stock/record"
	"brothrun/timeline"
)

// TestWhatARunMayBeToldOf: what cannot have happened is refused. All of it is own choice, no
// source, but that no step that keeps a run safe is left out.
func TestWhatARunMayBeToldOf(t *testing.T) {
	denver := zone(t, "America/Denver")
	wet := batch(func(b *stock.Batch) { b.Yield.Water = 14 * quantity.Quart })
	w := weekend{Location: denver, Start: at(t, "2026-11-28 08:00", denver)}
	quarts := func(n int) []record.JarCount { return []record.JarCount{{Jar: "quart", Count: n}} }
	broke := []record.Entry{{At: at(t, "2026-11-29 11:00", denver), What: record.Broken, Load: 1, Jars: quarts(2)}}
	plan, err := w.follow(wet, wet, append(broke, record.Entry{At: at(t, "2026-11-29 14:00", denver), What: record.Remark})...)
	require.NoError(t, err)
	fresh, err := w.follow(wet, wet)
	require.NoError(t, err)
	for _, row := range []struct {
		name  string
		plan  timeline.Plan
		at    string
		entry record.Entry
		code  string // empty: it may be
	}{
		{"a step there is", fresh, "28 12:00", record.Entry{What: record.Began, Step: "simmer"}, ""},
		{"a step there is not", fresh, "28 12:00", record.Entry{What: record.Began, Step: "stir"}, "no-such-step"},
		{"a load there is not", fresh, "29 12:00", record.Entry{What: record.Steam, Load: 3}, "no-such-load"},
		{"nor by its step", fresh, "29 12:00", record.Entry{What: record.Began, Step: "fill-3"}, "no-such-step"},
		{"strained before the simmer began", fresh, "28 09:00", record.Entry{What: record.Strained, Volume: 11 * quantity.Quart}, "not-yet"},
		{"a reading before it", fresh, "28 09:00", record.Entry{What: record.Reading}, "not-yet"},
		{"ready before the straining", fresh, "28 13:00", record.Entry{What: record.Ready, Volume: 10 * quantity.Quart}, "not-yet"},
		{"topped up before the heat is on", fresh, "28 08:10", record.Entry{What: record.ToppedUp, Volume: quantity.Quart}, "not-yet"},
		{"strained while it simmers", fresh, "28 13:00", record.Entry{What: record.Strained, Volume: 11 * quantity.Quart}, ""},
		{"more than went in", fresh, "28 14:00", record.Entry{What: record.Strained, Volume: 40 * quantity.Quart}, "too-much"},
		{"as much as went in", fresh, "28 14:00", record.Entry{What: record.Strained, Volume: 14 * quantity.Quart}, ""},
		{"the chill is not skipped", fresh, "28 14:00", record.Entry{What: record.Skipped, Step: "chill"}, "may-not-skip"},
		{"nor the reheat", fresh, "29 08:30", record.Entry{What: record.Skipped, Step: "reheat"}, "may-not-skip"},
		{"nor a load", fresh, "29 08:30", record.Entry{What: record.Skipped, Load: 1}, "may-not-skip"},
		{"nor the check of the seals", fresh, "30 06:30", record.Entry{What: record.Skipped, Step: "seal-check"}, "may-not-skip"},
		{"the leftover may be", fresh, "29 08:20", record.Entry{What: record.Skipped, Step: "leftover"}, ""},
		{"filled as planned", fresh, "29 09:30", record.Entry{What: record.Filled, Load: 1, Jars: quarts(7)}, ""},
		{"more than a load takes", fresh, "29 09:30", record.Entry{What: record.Filled, Load: 1, Jars: quarts(8)}, "too-many-jars"},
		{"of a size that is not filled", fresh, "29 09:30", record.Entry{What: record.Filled, Load: 1, Jars: []record.JarCount{{Jar: "pint", Count: 2}}}, "no-such-jar"},
		{"heat off before the time", fresh, "29 09:40", record.Entry{What: record.HeatOff, Load: 1}, "not-at-pressure"},
		{"empty jars may break", fresh, "28 07:00", record.Entry{What: record.Broken, Jars: quarts(1)}, ""},
		{"none is filled yet", fresh, "28 14:00", record.Entry{What: record.Unsealed, Jars: quarts(1)}, "too-many-jars"},
		{"all sealed but those that broke", plan, "30 08:00", record.Entry{What: record.Sealed, Jars: quarts(11)}, ""},
		{"those that broke did not seal", plan, "30 08:00", record.Entry{What: record.Sealed, Jars: quarts(12)}, "too-many-jars"},
		{"of a load, of its own", plan, "30 08:00", record.Entry{What: record.Unsealed, Load: 1, Jars: quarts(6)}, "too-many-jars"},
		{"a remark may be anything", fresh, "20 08:00", record.Entry{What: record.Remark}, ""},
	} {
		row.entry.At = at(t, "2026-11-"+row.at, denver)
		refusal, may := row.plan.May(wet, row.plan.Record, row.entry)
		assert.Equal(t, row.code, refusal.Code, row.name)
		assert.Equal(t, row.code == "", may, row.name)
	}
}

// TestWhatIsAskedOfANoteThatIsKept: own choice, no source.
func TestWhatIsAskedOfANoteThatIsKept(t *testing.T) {
	denver := zone(t, "America/Denver")
	b := batch(func(b *stock.Batch) {
		b.Yield.Strained = quantity.Band[quantity.Volume]{Low: 9 * quantity.Quart, Likely: 11 * quantity.Quart, High: 12 * quantity.Quart}
		b.Yield.ReadyToFill = b.Yield.Strained
	})
	plan := schedule(t, b, weekend{Location: denver, Start: at(t, "2026-11-28 08:00", denver)})
	now := at(t, "2026-11-28 14:00", denver)
	strained := func(quarts quantity.Volume) record.Entry {
		return record.Entry{At: now, What: record.Strained, Volume: quarts * quantity.Quart, Cold: true}
	}
	for _, row := range []struct {
		name  string
		entry record.Entry
		code  string
	}{
		{"as expected", strained(11), ""},
		{"outside the band, and not by far", strained(7), ""},
		{"far less", strained(5.9), "volume-odd"},
		{"far more", strained(18.1), "volume-odd"},
		{"ready, far more", record.Entry{At: now, What: record.Ready, Volume: 19 * quantity.Quart, Cold: true}, "volume-odd"},
		{"an hour ahead", record.Entry{At: now.Add(time.Hour), What: record.Remark}, "noted-ahead"},
		{"the clock a little off", record.Entry{At: now.Add(time.Minute), What: record.Remark}, ""},
		{"days before it began", record.Entry{At: now.Add(-48 * time.Hour), What: record.Remark}, "noted-before"},
	} {
		var asked []string
		for _, n := range plan.Odd(b, row.entry, now) {
			asked = append(asked, n.Code)
		}
		if row.code == "" {
			assert.Empty(t, asked, row.name)
			continue
		}
		assert.Equal(t, []string{row.code}, asked, row.name)
	}
}
