package timeline_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"

	"brothrun/stock"
	"brothrun/stock/quantity"
	"brothrun/stock/record"
	"brothrun/timeline"
)

// Labels are as many as jars that may stand on a shelf, whatever is noted: two loads of
// seven and six quarts, by the rules of the issue.
func TestLabelsAreForJarsThatMayBeEaten(t *testing.T) {
	start := time.Date(2026, 11, 29, 10, 0, 0, 0, time.UTC)
	at := func(minutes int) time.Time { return start.Add(time.Duration(minutes) * time.Minute) }
	load := func(number, jars int) stock.Load {
		return stock.Load{Number: number, Process: 25 * time.Minute, Pressure: 15 * quantity.PSI,
			Layers: []stock.Layer{{Rack: 1, Jars: []stock.JarCount{{Jar: "quart", Count: jars}}}}}
	}
	held := func(number, from int) []record.Entry {
		return []record.Entry{
			{At: at(from), What: record.Steam, Load: number}, {At: at(from + 10), What: record.Vented, Load: number},
			{At: at(from + 15), What: record.AtPressure, Load: number}, {At: at(from + 41), What: record.HeatOff, Load: number},
		}
	}
	jars := func(what record.What, load, count int) record.Entry {
		return record.Entry{At: at(24 * 60), What: what, Load: load, Jars: []record.JarCount{{Jar: "quart", Count: count}}}
	}
	both := append(held(1, 0), held(2, 120)...)
	short := held(2, 120)
	short[3].At = at(120 + 30) // 15 min at pressure
	tests := []struct {
		name   string
		record []record.Entry
		one    int
		two    int
	}{
		{"planned", nil, 7, 6},
		{"processed, nobody looked", both, 7, 6},
		{"one broke in load 1", append(both, jars(record.Broken, 1, 1)), 6, 6},
		{"an empty one broke", append(both, jars(record.Broken, 0, 1)), 7, 6},
		{"all sealed", append(both, jars(record.Sealed, 0, 13)), 7, 6},
		{"eleven sealed", append(both, jars(record.Sealed, 0, 11)), 7, 4},
		{"sealed of load 2 alone", append(both, jars(record.Sealed, 2, 5)), 7, 5},
		{"unsealed of load 2", append(both, jars(record.Unsealed, 2, 2)), 7, 4},
		{"unsealed, nobody said of which", append(both, jars(record.Unsealed, 0, 1)), 7, 5},
		{"all sealed and one not", append(both, jars(record.Sealed, 0, 13), jars(record.Unsealed, 0, 1)), 7, 5},
		{"more sealed than filled", append(both, jars(record.Sealed, 0, 99)), 7, 6},
		{"load 2 not held", append(held(1, 0), short...), 7, 0},
		{"not held, and sealed all the same", append(append(held(1, 0), short...), jars(record.Sealed, 0, 13)), 7, 0},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			plan := timeline.Plan{Batch: stock.Batch{Loads: []stock.Load{load(1, 7), load(2, 6)}}, Record: test.record}
			got := map[int]int{}
			for _, l := range plan.Labels(quantity.Quart, 0) {
				assert.Equal(t, stock.Canned, l.Form)
				got[l.Load.Number] += l.Count
				if test.record != nil {
					assert.False(t, l.On.IsZero(), "by the heat going off")
					assert.Equal(t, "2027-11-29", l.By.Format(time.DateOnly), "a year")
				}
			}
			assert.Equal(t, map[int]int{1: test.one, 2: test.two}, map[int]int{1: got[1], 2: got[2]})
		})
	}
	unprocessed := load(2, 6)
	unprocessed.Unprocessed = true
	plan := timeline.Plan{Batch: stock.Batch{Loads: []stock.Load{load(1, 7), unprocessed}}}
	assert.Len(t, plan.Labels(quantity.Quart, 0), 1)
}

// Boxes are of a size, or as many as the cook has; powder goes by its jars.
func TestLabelsOfWhatIsNotCanned(t *testing.T) {
	frozen := timeline.Plan{Batch: stock.Batch{Leftover: stock.Leftover{Route: "freezer",
		Volume: quantity.Of(2*quantity.Quart, 2.5*quantity.Quart, 3*quantity.Quart)}}}
	assert.Equal(t, 3, frozen.Labels(quantity.Quart, 0)[0].Count)
	assert.Equal(t, 5, frozen.Labels(quantity.Quart, 5)[0].Count)
	frozen.Record = []record.Entry{{What: record.Frozen, Volume: 4 * quantity.Quart,
		At: time.Date(2026, 12, 1, 9, 0, 0, 0, time.UTC)}}
	assert.Equal(t, 4, frozen.Labels(quantity.Quart, 0)[0].Count)
	assert.Equal(t, "2027-02-01", frozen.Labels(quantity.Quart, 0)[0].By.Format(time.DateOnly), "two months")

	splash := frozen
	splash.Batch.Leftover.Splash = true
	assert.Empty(t, splash.Labels(quantity.Quart, 0))
	dried := timeline.Plan{Batch: stock.Batch{Leftover: stock.Leftover{Route: "freeze-dry",
		Volume: quantity.Exactly(2 * quantity.Quart)}}}
	dried.Batch.Leftover.Drying.Jars = 2
	assert.Equal(t, 2, dried.Labels(quantity.Quart, 0)[0].Count)
}
