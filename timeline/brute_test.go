package timeline_test

import (
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"brothrun/stock"
	"brothrun/stock/chill"
	"brothrun/stock/quantity"
	"brothrun/stock/remark"
	"brothrun/timeline"
)

// small is a batch whose every span is a multiple of a quarter of an hour and
// certain, so that a grid of quarters holds every place it may have: the first
// row 3 h 30 min, the skimming and the rest 3 h 15 min.
func small() stock.Batch {
	quarter := 15 * time.Minute
	exact := func(n int) quantity.Band[time.Duration] { return quantity.Exactly(time.Duration(n) * quarter) }
	return batch(func(b *stock.Batch) {
		b.HeatUp, b.Simmer, b.Reheat = exact(2), 4*quarter, exact(2)
		b.Chill.HandsOn, b.Chill.To41F = exact(2), chill.Reach{After: time.Hour}
		b.Loads, b.Jars, b.Refusals = nil, nil, []remark.Note{{Code: "no-tested-process"}}
		b.Leftover = stock.Leftover{Volume: quantity.Band[quantity.Volume]{Likely: quantity.Quart}, Route: "freezer"}
	})
}

// A second route to the places of a run without loads: every minute of four days
// for its first row and for what follows, each tried by the rules as README.md
// states them, nothing else.
func TestPlacesEqualBruteForceOnASmallGrid(t *testing.T) {
	utc := time.UTC
	base := time.Date(2026, 11, 27, 0, 0, 0, 0, utc)
	compared := 0
	check(t, 100, func(t *rapid.T) {
		window := timeline.Hours{
			From:  time.Duration(rapid.IntRange(5, 9).Draw(t, "from")) * time.Hour,
			Until: time.Duration(rapid.IntRange(19, 24).Draw(t, "until")) * time.Hour,
		}
		var busy []timeline.Booking
		for range rapid.IntRange(0, 5).Draw(t, "busy") {
			from := base.Add(time.Duration(rapid.IntRange(0, 4*96).Draw(t, "at")) * 15 * time.Minute)
			busy = append(busy, timeline.Booking{From: from, To: from.Add(time.Duration(rapid.IntRange(1, 20).Draw(t, "for")) * 15 * time.Minute)})
		}
		b := small()
		w := weekend{Location: utc, Awake: window, Busy: busy, From: base, Until: base.AddDate(0, 0, 4)}
		if rapid.Bool().Draw(t, "two pots") {
			w.Pans = []timeline.Pan{{Pot: "big"}, {Pot: "roaster", Heat: timeline.OwnHeat}}
			second := b
			second.HeatUp = quantity.Exactly(time.Duration(rapid.IntRange(1, 12).Draw(t, "heat-up")) * 15 * time.Minute)
			b.Pots = []stock.Batch{b, second}
		}
		backward := rapid.Bool().Draw(t, "backward")
		if backward {
			w.From, w.Until, w.FinishBy = time.Time{}, time.Time{}, base.AddDate(0, 0, 4)
		}
		plan, err := w.place(b)

		rows := rowsOf(t, b, w.Pans)
		fits := func(row []shape, start time.Time, strict bool) bool {
			return row != nil && fitsAt(row, start, window, busy, strict)
		}
		grain := time.Minute
		var bestFirst, bestLater time.Time
		found := false
		type pair struct{ first, later time.Time }
		better := func(p pair) bool {
			if !found {
				return true
			}
			if backward {
				return p.first.After(bestFirst)
			}
			nights := func(q pair) int { return q.later.Add(lengthOf(rows[1])).YearDay() - q.first.YearDay() }
			if n, m := nights(p), nights(pair{bestFirst, bestLater}); n != m {
				return n < m
			}
			return p.later.Before(bestLater)
		}
		horizon := base.AddDate(0, 0, 4)
		low := base
		if backward {
			low = base.AddDate(0, 0, -1)
		}
		var laters []time.Time
		for later := low; later.Before(horizon); later = later.Add(grain) {
			if fits(rows[1], later, backward) && !later.Add(longOf(rows[1])).After(horizon) {
				laters = append(laters, later)
			}
		}
		for first := low; first.Before(horizon); first = first.Add(grain) {
			if !fits(rows[0], first, backward) {
				continue
			}
			end := first.Add(lengthOf(rows[0]))
			if backward {
				end = first.Add(longOf(rows[0]))
			}
			// Of what may follow, the earliest is the best by every measure.
			i, _ := slices.BinarySearchFunc(laters, end.Add(8*time.Hour), time.Time.Compare)
			if i == len(laters) || laters[i].Sub(first.Add(lengthOf(rows[0]))) > 72*time.Hour {
				continue
			}
			if p := (pair{first, laters[i]}); better(p) {
				bestFirst, bestLater, found = first, laters[i], true
			}
		}
		if !found {
			return // what the plan found lies outside the grid's days, or in a row that may run long
		}
		require.NoError(t, err)
		compared++
		first, later := stepOf(plan, "prepare").Start, stepOf(plan, "skim").Start
		if backward {
			assert.False(t, first.Before(bestFirst), "starts at %s, may start at %s", first, bestFirst)
			return
		}
		assert.Equal(t, bestFirst, first)
		assert.Equal(t, bestLater, later)
	})
	assert.Greater(t, compared, 60, "of 100 grids")
}

// shape is a step of a row as the grid needs it.
type shape struct {
	at, long, span, high time.Duration
	waiting              bool
}

// rowsOf reads the two rows of a batch from a plan without any hindrance.
func rowsOf(t require.TestingT, b stock.Batch, pans []timeline.Pan) [2][]shape {
	plan, err := weekend{Location: time.UTC, Pans: pans, Awake: timeline.Hours{From: 0, Until: 24 * time.Hour}, Start: time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC)}.place(b)
	require.NoError(t, err)
	var rows [2][]shape
	for _, s := range plan.Steps {
		row, begin := 0, stepOf(plan, "prepare").Start
		switch s.ID {
		case "skim", "leftover", "clean-up":
			row, begin = 1, stepOf(plan, "skim").Start
		case "fridge":
			continue
		}
		rows[row] = append(rows[row], shape{s.Start.Sub(begin), s.Latest.Sub(begin), s.Span.Likely, s.Span.High, s.Kind == timeline.Waiting})
	}
	return rows
}

func stepOf(plan timeline.Plan, id string) timeline.Step {
	for _, s := range plan.Steps {
		if s.ID == id {
			return s
		}
	}
	return timeline.Step{}
}

func lengthOf(row []shape) (end time.Duration) {
	for _, s := range row {
		end = max(end, s.at+s.span)
	}
	return end
}

func longOf(row []shape) (end time.Duration) {
	for _, s := range row {
		end = max(end, s.long+s.high)
	}
	return end
}

// fitsAt judges a row at a start by the rules alone. In strict hours a row may
// run long and still lie within the day.
func fitsAt(row []shape, start time.Time, awake timeline.Hours, busy []timeline.Booking, strict bool) bool {
	for _, s := range row {
		if s.waiting {
			continue
		}
		from, until, long := start.Add(s.at), start.Add(s.at+s.span), start.Add(s.long+s.high)
		if strict {
			until = long
		}
		midnight := from.Truncate(24 * time.Hour)
		if from.Before(midnight.Add(awake.From)) || until.After(midnight.Add(awake.Until)) {
			return false
		}
		for _, b := range busy {
			if b.From.Before(long) && b.To.After(from) {
				return false
			}
		}
	}
	return true
}
