package timeline_test

import (
	"errors"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"brothrun/stock/quantity"
	"brothrun/stock/record"
	"brothrun/timeline"
)

func checkOf(plan timeline.Plan, asks timeline.Asks) (timeline.Check, bool) {
	for _, c := range append(plan.Checks, plan.Phases()...) {
		if c.Asks == asks {
			return c, true
		}
	}
	return timeline.Check{}, false
}

// Sources: FDA Food Code 3-501.14(A), 2 h and 6 h from 135 °F; common practice, no
// source, for the day before and bedtime.
func TestChecksOfAChillRingByItsLimits(t *testing.T) {
	check(t, 150, func(t *rapid.T) {
		w := drawWeek(t)
		plans, err := w.place()
		var unfit *timeline.Unfit
		if errors.As(err, &unfit) {
			return
		}
		require.NoError(t, err)
		for _, plan := range plans {
			ids := map[string]bool{}
			for _, s := range plan.Steps {
				ids[s.ID] = true
			}
			for _, c := range append(plan.Checks, plan.Phases()...) {
				assert.False(t, ids[c.ID], "%s is named once", c.ID)
				ids[c.ID] = true
				assert.Zero(t, c.At.Second())
			}
			strained := stepOf(plan, "strain").End
			for asks, after := range map[timeline.Asks]time.Duration{timeline.Below70F: 2 * time.Hour, timeline.Below41F: 6 * time.Hour} {
				c, ok := checkOf(plan, asks)
				require.True(t, ok)
				assert.WithinDuration(t, strained.Add(after), c.At, time.Minute)
			}
			before, ok := checkOf(plan, timeline.DayBefore)
			require.True(t, ok)
			assert.False(t, before.Quiet, "somebody is up the day before at %s", before.At)
			assert.InDelta(t, 24, plan.Begins().Sub(before.At).Hours(), 2)
			if bed, ok := checkOf(plan, timeline.Bedtime); ok {
				assert.False(t, bed.Quiet)
				assert.True(t, bed.At.After(stepOf(plan, "chill").Start))
				var limit timeline.Check // the last of several pots
				for _, c := range plan.Checks {
					if c.Asks == timeline.Below41F {
						limit = c
					}
				}
				assert.Equal(t, limit.At.After(bed.At), !bed.Limit.IsZero(), "bedtime says of a limit in the night")
			}
		}
	})
}

// What was read says which limit is still to be kept.
func TestChecksFollowTheReadings(t *testing.T) {
	plan := func(entries ...record.Entry) timeline.Plan { return placedWith(t, entries...) }
	strained := step(t, plan(), "strain").End
	note := func(after time.Duration, fahrenheit float64) record.Entry {
		return record.Entry{ID: "x", At: strained.Add(after), What: record.Reading, Temperature: quantity.Fahrenheit(fahrenheit)}
	}
	came := record.Entry{ID: "s", At: strained, What: record.Done, Step: "strain"}
	has := func(p timeline.Plan, asks timeline.Asks) bool { _, ok := checkOf(p, asks); return ok }

	hot := plan(came, note(30*time.Minute, 140))
	c, _ := checkOf(hot, timeline.Below70F)
	assert.WithinDuration(t, strained.Add(150*time.Minute), c.At, time.Minute, "counted from 135 °F")
	past := plan(came, note(time.Hour, 64))
	assert.False(t, has(past, timeline.Below70F), "it was kept")
	assert.True(t, has(past, timeline.Below41F))
	cold := plan(came, note(time.Hour, 64), note(3*time.Hour, 40))
	assert.False(t, has(cold, timeline.Below41F))
	assert.True(t, has(cold, timeline.Bedtime))
}

// Source: USDA guide 2015: 10 min of steam, the tested time at pressure, zero by itself.
func TestPhasesOfALoadFollowItsNotes(t *testing.T) {
	plan := placedWith(t)
	load := step(t, plan, "load-1")
	var ids []string
	for _, c := range plan.Phases()[:5] {
		ids = append(ids, c.ID)
		assert.False(t, c.At.Before(load.Start.Truncate(time.Minute)))
		assert.True(t, c.At.Before(load.End))
	}
	assert.Equal(t, []string{"load-1-light", "load-1-weight", "load-1-time", "load-1-heat-off", "load-1-zero"}, ids)

	pressed := load.Start.Add(47 * time.Minute)
	plan.Record = []record.Entry{{At: pressed, What: record.AtPressure, Load: 1}}
	phases := plan.Phases()
	assert.Equal(t, "load-1-heat-off", phases[0].ID)
	assert.WithinDuration(t, pressed.Add(load.Loads[0].Process), phases[0].At, time.Minute)
	plan.Record = append(plan.Record, record.Entry{At: pressed.Add(time.Minute), What: record.HeatOff, Load: 1})
	assert.NotContains(t, plan.Phases()[0].ID, "load-1-", "not processed: nothing is told of it by the clock")
}

// placedWith is the demo weekend with what came.
func placedWith(t testing.TB, entries ...record.Entry) timeline.Plan {
	t.Helper()
	denver := zone(t, "America/Denver")
	plan, err := weekend{Location: denver, Start: at(t, "2026-11-28 08:00", denver)}.follow(batch(), batch(), entries...)
	require.NoError(t, err)
	return plan
}
