package timeline_test

import (
	"slices"
	"strings"
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
		backward := rapid.Bool().Draw(t, "backward")
		if backward {
			w.From, w.Until, w.FinishBy = time.Time{}, time.Time{}, base.AddDate(0, 0, 4)
		}
		plan, err := w.place(b)

		rows := rowsOf(t, b)
		best := grid{rows: rows[:], awake: window, busy: busy, base: base, backward: backward}.best()
		if best == nil {
			return // what the plan found lies outside the grid's days, or in a row that may run long
		}
		require.NoError(t, err)
		compared++
		assert.Equal(t, best, []time.Time{stepOf(plan, "prepare").Start, stepOf(plan, "skim").Start})
	})
	assert.Greater(t, compared, 60, "of 100 grids")
}

// The same of a run with two loads, canned on one occasion or on two, right after the
// skimming or apart from it.
func TestCanningPlacesEqualBruteForce(t *testing.T) {
	base := time.Date(2026, 11, 25, 0, 0, 0, 0, time.UTC)
	compared, apart, twice := 0, 0, 0
	check(t, 80, func(t *rapid.T) {
		window := timeline.Hours{
			From:  time.Duration(rapid.IntRange(5, 9).Draw(t, "from")) * time.Hour,
			Until: time.Duration(rapid.IntRange(18, 24).Draw(t, "until")) * time.Hour,
		}
		var busy []timeline.Booking
		for range rapid.IntRange(2, 10).Draw(t, "busy") {
			from := base.Add(time.Duration(rapid.IntRange(0, 5*96).Draw(t, "at")) * 15 * time.Minute)
			busy = append(busy, timeline.Booking{From: from, To: from.Add(time.Duration(rapid.IntRange(1, 40).Draw(t, "for")) * 15 * time.Minute)})
		}
		b := batch(func(b *stock.Batch) {
			b.Simmer = time.Duration(rapid.IntRange(1, 6).Draw(t, "simmer")) * time.Hour
			b.Leftover.Batches, b.Leftover.Route = 0, "freezer"
		})
		w := weekend{Location: time.UTC, Awake: window, Busy: busy, From: base, Until: base.AddDate(0, 0, 5)}
		backward := rapid.Bool().Draw(t, "backward")
		if backward {
			w.From, w.Until, w.FinishBy = time.Time{}, time.Time{}, base.AddDate(0, 0, 5)
		}
		plan, err := w.place(b)

		g := grid{awake: window, busy: busy, base: base, backward: backward, days: 5}
		first, skim, both := rowsOf(t, b)[0], rowsOf(t, b, "skim", "leftover")[1], rowsOf(t, b, "reheat", "jars", "fill", "load", "unload", "clean-up")[1]
		session := func(i int) []shape {
			one := b
			one.Loads = b.Loads[i : i+1]
			return rowsOf(t, one, "reheat", "jars", "fill", "load", "unload", "clean-up")[1]
		}
		var best place
		for _, rows := range [][][]shape{
			{first, rowsOf(t, b, "skim", "leftover", "reheat", "jars", "fill", "load", "unload", "clean-up")[1]},
			{first, skim, both},
			{first, append(slices.Clone(skim), after(skim, session(0))...), session(1)},
			{first, skim, session(0), session(1)},
		} {
			g.rows = rows
			if p := g.place(); p.starts != nil && (best.starts == nil || p.days < best.days) {
				best = p
			}
		}
		if best.starts == nil {
			return
		}
		require.NoError(t, err)
		compared++
		if plan.Sessions == 2 {
			twice++
		}
		starts := []time.Time{stepOf(plan, "prepare").Start}
		for _, id := range []string{"skim", "reheat", "reheat-2"} {
			s := stepOf(plan, id)
			if id == "reheat" && s.Start.Equal(stepOf(plan, "leftover").End) && len(best.starts) == 1+plan.Sessions {
				continue // without a pause
			}
			if !s.Start.IsZero() {
				starts = append(starts, s.Start)
			}
		}
		if len(starts) > 1+plan.Sessions {
			apart++
		}
		assert.Equal(t, best.starts, starts)
	})
	assert.Greater(t, compared, 40, "of 80 grids")
	assert.Positive(t, apart, "and the skimming apart")
	assert.Greater(t, twice, 2, "and canned on two days")
}

// after is a row right after another.
func after(row, next []shape) (all []shape) {
	for _, s := range next {
		s.at += lengthOf(row)
		s.long += longOf(row)
		all = append(all, s)
	}
	return all
}

// grid is every minute of some days, 4 if none are given, from base on, for rows: the
// first of a run, the skimming, and the canning on its occasions.
type grid struct {
	rows     [][]shape
	awake    timeline.Hours
	busy     []timeline.Booking
	base     time.Time
	days     int
	backward bool
}

// place is where rows start: on the better days the less of them there are, and among
// those with the less patience. Of rows that are as good the first tried is taken.
type place struct {
	starts         []time.Time
	days, patience int
}

func (g grid) best() []time.Time { return g.place().starts }

// place goes through every minute for the first row, at three ways to keep the hours of
// the day, the strictest first: in civil hours too (07:00 to 21:00, common practice, no
// source), in awake hours though all runs long, in awake hours as long as it does not. The
// later rows may keep other hours than the first, and matter more. From a span the fewest nights are best, then the first day to end on; before a deadline
// the last day to begin on; then the strictest hours; and then the first end or last start.
func (g grid) place() (best place) {
	horizon := g.base.AddDate(0, 0, max(g.days, 4))
	low := g.base
	if g.backward {
		low = g.base.AddDate(0, 0, -1)
	}
	civil := timeline.Hours{From: max(g.awake.From, 7*time.Hour), Until: min(g.awake.Until, 21*time.Hour)}
	day := func(t time.Time) int { return int(t.Sub(g.base.AddDate(0, 0, -2)) / (24 * time.Hour)) }
	var all [3][][]time.Time
	for patience := range all {
		all[patience] = make([][]time.Time, len(g.rows))
		for i, row := range g.rows {
			for at := low; at.Before(horizon); at = at.Add(time.Minute) {
				if fitsAt(row, at, g.awake, g.busy, patience < 2) && (patience > 0 || fitsAt(row, at, civil, nil, false)) {
					all[patience][i] = append(all[patience][i], at)
				}
			}
		}
	}
	for patience := range 9 {
		fits := append(slices.Clone(all[patience%3][:1]), all[patience/3][1:]...)
		for _, first := range fits[0] {
			starts, end := g.follow(first, fits)
			if starts == nil || starts[len(starts)-1].Add(longOf(g.rows[len(g.rows)-1])).After(horizon) {
				continue
			}
			days := 100*(day(end)-day(first)) + day(end)
			if g.backward {
				days = -day(first)
			}
			better := best.starts == nil || days < best.days
			if !better && days == best.days && patience == best.patience {
				better = end.Before(best.starts[len(best.starts)-1].Add(lengthOf(g.rows[len(g.rows)-1])))
				if g.backward {
					better = first.After(best.starts[0])
				}
			}
			if better {
				best = place{starts, days, patience}
			}
		}
	}
	if g.backward && best.starts != nil {
		best.starts = g.latest(best)
	}
	return best
}

// follow gives each later row its earliest place after the first: of what may follow, the
// earliest is the best by every measure.
func (g grid) follow(first time.Time, fits [][]time.Time) (starts []time.Time, end time.Time) {
	starts = []time.Time{first}
	chill := g.rows[0][len(g.rows[0])-1]
	strained := first.Add(chill.at)
	for i, row := range g.rows {
		if i > 0 {
			pause := time.Duration(0)
			if i == 1 {
				pause = 8 * time.Hour
			}
			n, _ := slices.BinarySearchFunc(fits[i], end.Add(pause), time.Time.Compare)
			if n == len(fits[i]) {
				return nil, end
			}
			starts = append(starts, fits[i][n])
			for _, s := range row {
				if s.cold && starts[i].Add(s.at).Sub(strained) > 72*time.Hour {
					return nil, end
				}
			}
		}
		length := lengthOf(row)
		if g.backward {
			length = longOf(row)
		}
		end = starts[i].Add(length)
	}
	return starts, starts[len(starts)-1].Add(lengthOf(g.rows[len(g.rows)-1]))
}

// latest moves the later rows of a place on as far as the deadline lets them.
func (g grid) latest(of place) []time.Time {
	starts := slices.Clone(of.starts)
	civil := timeline.Hours{From: max(g.awake.From, 7*time.Hour), Until: min(g.awake.Until, 21*time.Hour)}
	strained := starts[0].Add(g.rows[0][len(g.rows[0])-1].at)
	limit := g.base.AddDate(0, 0, max(g.days, 4))
	for i := len(starts) - 1; i > 0; i-- {
		row := g.rows[i]
	search:
		for at := limit.Add(-longOf(row)).Truncate(time.Minute); at.After(starts[i]); at = at.Add(-time.Minute) {
			for _, s := range row {
				if s.cold && at.Add(s.at).Sub(strained) > 72*time.Hour {
					continue search
				}
			}
			if fitsAt(row, at, g.awake, g.busy, of.patience < 6) && (of.patience > 2 || fitsAt(row, at, civil, nil, false)) {
				starts[i] = at
				break
			}
		}
		limit = starts[i]
	}
	return starts
}

// shape is a step of a row as the grid needs it.
type shape struct {
	at, long, span, high time.Duration
	waiting              bool
	cold                 bool // broth is strained for 3 days at most before it
}

// rowsOf reads two rows of a batch from a plan without any hindrance: the first, and that
// of the steps of some names.
func rowsOf(t require.TestingT, b stock.Batch, second ...string) [2][]shape {
	plan, err := weekend{Location: time.UTC, Awake: timeline.Hours{From: 0, Until: 24 * time.Hour}, Start: time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC)}.place(b)
	require.NoError(t, err)
	if second == nil {
		second = []string{"skim", "leftover", "clean-up"}
	}
	var rows [2][]shape
	for _, s := range plan.Steps {
		row, begin := 0, stepOf(plan, "prepare").Start
		late := time.Duration(0)
		name := strings.TrimRight(s.ID, "-0123456789")
		switch {
		case slices.Contains(second, name):
			row, begin = 1, stepOf(plan, second[0]).Start
			late = stepOf(plan, second[0]).Latest.Sub(begin)
		case !slices.Contains([]string{"prepare", "heat-up", "simmer", "strain", "chill"}, name):
			continue
		}
		rows[row] = append(rows[row], shape{s.Start.Sub(begin), s.Latest.Sub(begin) - late, s.Span.Likely, s.Span.High,
			s.Kind == timeline.Waiting, name == "skim" || name == "reheat"})
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
