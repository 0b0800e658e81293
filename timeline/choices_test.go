package timeline_test

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"brothrun/stock"
	"brothrun/stock/quantity"
	"brothrun/timeline"
)

// choicesOf writes the choices of a plan: number, when somebody is called each day, nights
// and how long somebody is needed.
func choicesOf(plan timeline.Plan) (all []string) {
	for _, c := range plan.Choices {
		line := fmt.Sprint(c.Number)
		for _, d := range c.Days {
			line += d.Spans[0].From.Format(" Mon 2 15:04")
		}
		line += fmt.Sprintf(", %d nights, %s", c.Nights, c.Needed.Round(time.Minute))
		if c.Chosen {
			line += ", chosen"
		}
		all = append(all, line)
	}
	return all
}

func TestADeadlineLeavesOtherDaysToChooseFrom(t *testing.T) {
	denver := zone(t, "America/Denver")
	run := timeline.Run{Batch: batch(), ID: "run", When: timeline.When{FinishBy: at(t, "2026-11-29 20:00", denver)}}
	plan, err := alone(run, timeline.Calendar{Location: denver})
	require.NoError(t, err)
	assert.Equal(t, []string{
		"1 Sat 28 14:10 Sun 29 12:43, 1 nights, 12h37m0s, chosen",
		"2 Fri 27 14:10 Sat 28 14:43, 1 nights, 12h37m0s",
		"3 Thu 26 14:10 Fri 27 14:43, 1 nights, 12h37m0s",
	}, choicesOf(plan))

	// Weekdays are for work: the weekend before is the other choice.
	var work []timeline.Booking
	for day := range 20 {
		if morning := at(t, "2026-11-10 08:00", denver).AddDate(0, 0, day); morning.Weekday()%6 != 0 {
			work = append(work, timeline.Booking{From: morning, To: morning.Add(10 * time.Hour), What: "Work"})
		}
	}
	calendar := timeline.Calendar{Location: denver, Busy: work}
	run.Choose = 2
	plan, err = alone(run, calendar)
	require.NoError(t, err)
	assert.Equal(t, []string{
		"2 Sat 21 14:10 Sun 22 14:43, 1 nights, 12h37m0s, chosen",
		"1 Sat 28 14:10 Sun 29 12:43, 1 nights, 12h37m0s",
		"3 Sat 14 14:10 Sun 15 14:43, 1 nights, 12h37m0s",
	}, choicesOf(plan))
	assert.Equal(t, "Sat 21 14:10", step(t, plan, "prepare").Start.Format("Mon 2 15:04"), "the plan is of the one chosen")
	assert.Equal(t, timeline.Asleep, step(t, plan, "skim").Why.Kind)

	calendar.ChooseFrom = at(t, "2026-11-23 08:00", denver)
	run.Choose = 0
	plan, err = alone(run, calendar)
	require.NoError(t, err)
	assert.Empty(t, plan.Choices, "what is past is no choice")

	run.Choose = 4
	_, err = alone(run, timeline.Calendar{Location: denver, Busy: work})
	var none *timeline.NoSuchChoice
	require.ErrorAs(t, err, &none)
	assert.Equal(t, 4, none.Asked)
	assert.Len(t, none.Choices, 3)

	run = timeline.Run{Batch: batch(), ID: "run", When: timeline.When{Start: at(t, "2026-11-28 08:00", denver)}}
	plan, err = alone(run, timeline.Calendar{Location: denver})
	require.NoError(t, err)
	assert.Empty(t, plan.Choices, "a start is a choice made")
}

// Whatever is chosen keeps the rules; the first is the plan nobody chose for, and none
// begins on the day of another.
func TestEveryChoiceKeepsTheRules(t *testing.T) {
	chosen := 0
	check(t, 80, func(t *rapid.T) {
		w := drawWeek(t)
		w.runs = w.runs[:1]
		if !w.runs[0].When.Start.IsZero() {
			w.runs[0].When = timeline.When{FinishBy: w.runs[0].When.Start.AddDate(0, 0, 2)}
		}
		plans, err := w.place()
		if errors.As(err, new(*timeline.Unfit)) {
			return
		}
		require.NoError(t, err)
		days := map[string]bool{}
		for i, choice := range plans[0].Choices {
			assert.Equal(t, i == 0, choice.Chosen)
			assert.Equal(t, i+1, choice.Number)
			w.runs[0].Choose = choice.Number
			other, err := w.place()
			require.NoError(t, err)
			keepsItsRules(t, w, w.runs[0], other[0])
			assert.Equal(t, choice.Begins, other[0].Begins())
			assert.Equal(t, choice.Number, other[0].Choices[0].Number)
			day := choice.Begins.Format(time.DateOnly)
			assert.False(t, days[day], "two choices on %s", day)
			days[day] = true
			if i > 0 {
				chosen++
			}
		}
		if len(plans[0].Choices) > 0 {
			assert.Equal(t, plans[0].Choices[0].Begins, plans[0].Begins())
		}
	})
	assert.Greater(t, chosen, 30)
}

// A run that finds no place leaves the others planned as they are without it, whichever
// is named first.
func TestAMisfitLeavesTheOthersPlanned(t *testing.T) {
	denver := zone(t, "America/Denver")
	start := at(t, "2026-11-28 08:00", denver)
	fits := timeline.Run{Batch: batch(), ID: "fits", Pot: "big", When: timeline.When{Start: start}}
	night := timeline.Run{Batch: batch(), ID: "night", Pot: "small", When: timeline.When{Start: start.Add(12 * time.Hour)}}
	calendar := timeline.Calendar{Location: denver}
	alone, err := alone(fits, calendar)
	require.NoError(t, err)
	for _, runs := range [][]timeline.Run{{fits, night}, {night, fits}} {
		plans, err := timeline.ScheduleAll(runs, calendar)
		var unfit *timeline.Unfit
		require.ErrorAs(t, err, &unfit)
		assert.Equal(t, "night", unfit.Run)
		require.Len(t, plans, 2)
		for i, plan := range plans {
			if runs[i].ID == "night" {
				assert.Empty(t, plan.Steps)
				assert.Equal(t, unfit, plan.Unfit)
				continue
			}
			assert.Nil(t, plan.Unfit)
			assert.Equal(t, clockOf(alone), clockOf(plan))
		}
	}
}

// Of runs that do not fit together those that do are planned: none is left out that would
// have had a place around them.
func TestWhoIsLeftOutHasNoPlaceAroundTheOthers(t *testing.T) {
	left := 0
	check(t, 200, func(t *rapid.T) {
		w := drawWeek(t)
		plans, err := w.place()
		if err == nil || !errors.As(err, new(*timeline.Unfit)) {
			require.NoError(t, err)
			return
		}
		var placed, out []timeline.Run
		for i, plan := range plans {
			if plan.Unfit != nil {
				assert.Empty(t, plan.Steps)
				out = append(out, w.runs[i])
				continue
			}
			keepsItsRules(t, w, w.runs[i], plan)
			placed = append(placed, w.runs[i])
		}
		if len(placed) == 0 {
			return
		}
		again, err := timeline.ScheduleAll(placed, w.calendar)
		require.NoError(t, err, "they fit without those left out")
		require.Len(t, again, len(placed))
		for _, run := range out {
			if plans[slicesIndex(w.runs, run)].Unfit.Kind == timeline.DryerTaken {
				continue
			}
			_, err = timeline.ScheduleAll(append(placed[:len(placed):len(placed)], run), w.calendar)
			assert.Error(t, err, "%s is left out and has a place", run.ID)
			left++
		}
	})
	assert.Greater(t, left, 10)
}

func slicesIndex(runs []timeline.Run, run timeline.Run) int {
	for i := range runs {
		if runs[i].ID == run.ID {
			return i
		}
	}
	return -1
}

// What several runs come to is what each comes to, added up by another route: the fridge
// minute by minute, the days by every step.
func TestTogetherAddsUp(t *testing.T) {
	denver := zone(t, "America/Denver")
	start := at(t, "2026-11-28 08:00", denver)
	span := timeline.When{From: start, Until: start.AddDate(0, 0, 9)}
	filled := func(quarts float64) stock.Batch {
		return batch(func(b *stock.Batch) {
			b.Yield.Strained.High = quantity.Volume(quarts) * quantity.Quart
			b.Chill.IceToHave = 4 * quantity.Kilogram
		})
	}
	plans, err := timeline.ScheduleAll([]timeline.Run{
		{Batch: filled(14), ID: "a", Pot: "big", When: span}, {Batch: filled(9), ID: "b", Pot: "small", When: span},
		{Batch: filled(5), ID: "c", Pot: "roaster", When: timeline.When{Start: start.Add(13 * time.Hour)}},
	}, timeline.Calendar{Location: denver, Cooks: 2})
	require.ErrorAs(t, err, new(*timeline.Unfit))
	sum := timeline.Together(plans)
	assert.Equal(t, []stock.JarCount{{Jar: "quart", Count: 30}}, sum.Wash, "15 for each that is planned")
	assert.Equal(t, 4, sum.Loads)
	assert.Equal(t, 8*quantity.Kilogram, sum.Ice)
	most := quantity.Volume(0)
	for at := start; at.Before(span.Until); at = at.Add(time.Minute) {
		now := quantity.Volume(0)
		for _, plan := range plans {
			for _, s := range plan.Steps {
				if strings.HasPrefix(s.ID, "fridge") && !at.Before(s.Start) && at.Before(s.End) {
					now += plan.Batch.Yield.Strained.High
				}
			}
		}
		most = max(most, now)
	}
	assert.Equal(t, most, sum.Fridge.Needs)
	assert.Greater(t, most, 14*quantity.Quart, "both at once")
	handsOn := time.Duration(0)
	for _, d := range sum.Days {
		handsOn += d.HandsOn
	}
	assert.Positive(t, handsOn)
	assert.True(t, sum.Days[0].Spans[0].From.Equal(start))
}

// A load that may come beside those planned is told, with when it would be done with: the
// filling, the load and the unloading of the last one more.
func TestALoadThatMayComeIsTold(t *testing.T) {
	denver := zone(t, "America/Denver")
	more := batch(func(b *stock.Batch) { b.MostLoads, b.LoadChance = 3, []float64{0, 0, 0.79, 0.21} })
	plan := schedule(t, more, weekend{Location: denver, Start: at(t, "2026-11-28 08:00", denver)})
	i := slices.Index(codes(plan), timeline.MoreLoads)
	require.GreaterOrEqual(t, i, 0)
	facts := plan.Warnings[i].Facts
	assert.Equal(t, []any{3, 2}, facts[:2])
	assert.InDelta(t, 21.0, facts[2], 1e-9)
	wiped, fill, unload := step(t, plan, "clean-up"), step(t, plan, "fill-2"), step(t, plan, "unload-2")
	assert.Equal(t, wiped.End.Add(unload.End.Sub(fill.Start)), facts[3])

	late := schedule(t, more, weekend{Location: denver, Start: at(t, "2026-11-28 08:00", denver), Awake: timeline.Hours{From: 8 * time.Hour, Until: 16 * time.Hour}})
	assert.Equal(t, "late", late.Warnings[slices.Index(codes(late), timeline.MoreLoads)].Case)
	sure := schedule(t, batch(func(b *stock.Batch) { b.MostLoads = 2 }), weekend{Location: denver, Start: at(t, "2026-11-28 08:00", denver)})
	assert.NotContains(t, codes(sure), timeline.MoreLoads)
}
