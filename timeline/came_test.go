package timeline_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/stock"
	"brothrun/stock/fault"
	"brothrun/stock/quantity"
	"brothrun/stock/record"
	"brothrun/stock/remark"
	"brothrun/stock/runfile"
	"brothrun/stock/settle"
	"brothrun/timeline"
)

func frames(t testing.TB) settle.Setup {
	t.Helper()
	setup, err := settle.Run(runfile.Kitchen{
		Altitude: given(3200 * quantity.Foot), Gauge: "weighted", Mouth: "regular", Jars: map[string]int{"quart": 14},
		Canner: runfile.Canner{Width: given(12.25 * quantity.Inch), Height: given(11.5 * quantity.Inch), Racks: 1},
		Pots:   []runfile.Pot{{Name: "pot", Volume: given(22 * quantity.Quart), Width: given(12 * quantity.Inch)}},
	}, runfile.Run{Kind: "turkey-frames", Bones: given(9 * quantity.Pound), Fit: true, Simmer: given(4 * time.Hour), Lid: "ajar",
		TopUp: "never", Jars: "quart", Route: "freezer"})
	require.NoError(t, err)
	return setup
}

// TestWhatARecordMakesOfTheBatch: own choice, no source, but for the limits of the chill
// (holding_limits.csv) and the time of a load (process_stock.csv).
func TestWhatARecordMakesOfTheBatch(t *testing.T) {
	setup := frames(t)
	follow := func(entries ...record.Entry) (planned, now stock.Batch) {
		planned, now, err := timeline.Follow(setup, entries)
		require.NoError(t, err)
		before, err := stock.Plan(setup)
		require.NoError(t, err)
		require.Equal(t, before, planned, "what was planned stays what was planned")
		return planned, now
	}
	planned, now := follow()
	assert.Equal(t, planned, now)
	require.Len(t, planned.Loads, 2)
	first := planned.Loads[0]
	quarts := func(n int) []record.JarCount { return []record.JarCount{{Jar: "quart", Count: n}} }

	_, now = follow(record.Entry{At: noon(t, "13:00"), What: record.Remark})
	assert.Equal(t, planned, now, "a remark changes nothing")
	_, now = follow(record.Entry{At: noon(t, "13:00"), What: record.Strained, Volume: 8 * quantity.Quart, Cold: true})
	assert.InDelta(t, 8, now.Yield.Strained.Likely.Quarts(), 1e-9)
	assert.Less(t, len(now.Loads), 2)
	_, hot := follow(record.Entry{At: noon(t, "13:00"), What: record.Strained, Volume: 8 * quantity.Quart})
	assert.InDelta(t, 0.963, float64(hot.Yield.Strained.Likely/now.Yield.Strained.Likely), 0.002,
		"water at 95 °C weighs 0.9619 kg/l, at 20 °C 0.9982 (saturation_table.csv)")
	_, now = follow(
		record.Entry{At: noon(t, "10:00"), What: record.ToppedUp, Volume: quantity.Quart},
		record.Entry{At: noon(t, "11:00"), What: record.ToppedUp, Volume: quantity.Quart})
	assert.InDelta(t, 2, (now.Yield.Strained.Likely - planned.Yield.Strained.Likely).Quarts(), 1e-9, "both of them")

	// Of 14 quarts two are broken empty; a third breaks in the canner, with what is in it.
	_, now = follow(record.Entry{At: noon(t, "09:00"), What: record.Broken, Jars: quarts(2)},
		record.Entry{At: noon(t, "09:30"), What: record.Ready, Volume: 18 * quantity.Quart, Cold: true})
	assert.Equal(t, 12, jarsOf(now))
	_, now = follow(record.Entry{At: noon(t, "12:00"), What: record.Broken, Load: 1, Jars: quarts(1)})
	assert.Equal(t, planned, now)

	// A measured volume after a load was begun leaves the load.
	_, now = follow(record.Entry{At: noon(t, "10:00"), What: record.Steam, Load: 1},
		record.Entry{At: noon(t, "12:00"), What: record.Ready, Volume: 8 * quantity.Quart, Cold: true})
	assert.Equal(t, first.Layers, now.Loads[0].Layers)
	_, now = follow(record.Entry{At: noon(t, "10:00"), What: record.Filled, Load: 1, Jars: quarts(5)})
	assert.Equal(t, 5, now.Loads[0].Jars())

	// Heat off after 20 of 25 minutes: canned again as a load of its own.
	_, now = follow(noted(t, "10:14 steam, 10:24 vented, 10:28 at-pressure, 10:48 heat-off")...)
	assert.True(t, now.Loads[0].Unprocessed)
	assert.False(t, now.Loads[1].Unprocessed)
	assert.Equal(t, jarsOf(planned), jarsOf(now), "the same jars, once")
	assert.Greater(t, len(now.Loads), len(planned.Loads))
	_, now = follow(noted(t, "10:14 steam, 10:24 vented, 10:28 at-pressure, 10:53 heat-off")...)
	assert.False(t, now.Loads[0].Unprocessed)
	assert.Len(t, now.Loads, len(planned.Loads))

	_, now = follow(read(t, "14:00 135, 15:30 65, 20:00 42")...)
	assert.NotEmpty(t, remark.Noted(now.Refusals, remark.BrothSpoilt))
	assert.Empty(t, now.Jars)
	_, now = follow(read(t, "14:00 135, 15:30 65, 19:00 41")...)
	assert.Empty(t, now.Refusals)

	_, _, err := timeline.Follow(setup, []record.Entry{{At: noon(t, "10:00"), What: record.Steam, Load: 9}})
	assert.ErrorAs(t, err, new(*fault.Fault))
}

func jarsOf(b stock.Batch) (n int) {
	for _, j := range b.Jars {
		n += j.Count
	}
	return n
}
