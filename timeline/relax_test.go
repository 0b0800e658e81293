package timeline_test

import (
	"errors"
	"regexp"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"brothrun/stock"
	"brothrun/stock/quantity"
	"brothrun/timeline"
)

var (
	relaxStart  = regexp.MustCompile(`^start (by|at) (\w{3}(?: \d+ \w+)? \d\d:\d\d)`)
	relaxFinish = regexp.MustCompile(`^finish by (\w{3}(?: \d+ \w+)? \d\d:\d\d)`)
	relaxAwake  = regexp.MustCompile(`--awake (\d\d:\d\d-\d\d:\d\d)`)
	relaxSimmer = regexp.MustCompile(`^shorten the simmer to (.*)$`)
	relaxHome   = regexp.MustCompile(`^be at home (\w{3} \d\d:\d\d to \w{3} \d\d:\d\d)`)
	relaxLoads  = regexp.MustCompile(`^can (\d+) loads? and freeze the rest`)
)

// Every way out works by itself, and where it says how little is enough, a little
// less is not.
func TestEveryRelaxationHelpsAndIsTheLeast(t *testing.T) {
	kinds := map[string]int{}
	check(t, 400, func(t *rapid.T) {
		w := drawWeek(t)
		run := w.runs[0]
		_, err := timeline.Schedule(run, w.calendar)
		var unfit *timeline.Unfit
		if !errors.As(err, &unfit) {
			return
		}
		fits := func(run timeline.Run, calendar timeline.Calendar) bool {
			_, err := timeline.Schedule(run, calendar)
			return err == nil
		}
		for _, way := range waysOut(unfit) {
			changed, calendar := run, w.calendar
			switch {
			case relaxStart.MatchString(way) && !run.When.Start.IsZero():
				kinds["start"]++
				m := relaxStart.FindStringSubmatch(way)
				step := time.Minute
				if m[1] == "by" {
					step = -time.Minute
				}
				changed.When.Start = nextFace(run.When.Start, m[2], step)
				assert.True(t, fits(changed, calendar), way)
				if between := changed.When.Start.Add(-step); between != run.When.Start && step > 0 {
					changed.When.Start = between
					assert.False(t, fits(changed, calendar), "%s, but so does %s", way, between)
				}
			case relaxAwake.MatchString(way):
				kinds["awake"]++
				hours, err := timeline.ParseAwake(relaxAwake.FindStringSubmatch(way)[1])
				require.NoError(t, err)
				calendar.Awake = hours
				assert.True(t, fits(changed, calendar), way)
				if hours.From == w.calendar.Awake.From {
					calendar.Awake.Until -= 5 * time.Minute
				} else {
					calendar.Awake.From += 5 * time.Minute
				}
				assert.False(t, fits(changed, calendar), "%s, but five minutes less would do", way)
			case relaxSimmer.MatchString(way):
				kinds["simmer"]++
				d, err := quantity.ParseDuration(relaxSimmer.FindStringSubmatch(way)[1])
				require.NoError(t, err)
				changed.Batch.Simmer = d
				assert.True(t, fits(changed, calendar), way)
				if !run.Unattended { // in steps of a quarter of an hour there
					changed.Batch.Simmer += 5 * time.Minute
					assert.False(t, fits(changed, calendar), "%s, but five minutes more would do", way)
				}
			case relaxLoads.MatchString(way):
				kinds["loads"]++
				n := int(relaxLoads.FindStringSubmatch(way)[1][0] - '0')
				changed.Batch.Loads = run.Batch.Loads[:n]
				assert.True(t, fits(changed, calendar), way)
				changed.Batch.Loads = run.Batch.Loads[:n+1]
				assert.False(t, fits(changed, calendar), way)
			case way == "let the simmer go on with nobody up or at home, if its heat may run unattended (--unattended)":
				kinds["unattended"]++
				changed.Unattended = true
				assert.True(t, fits(changed, calendar), way)
			default:
				switch {
				case relaxFinish.MatchString(way) && !run.When.From.IsZero():
					kinds["finish"]++
					changed.When.Until = nextFace(run.When.Until, relaxFinish.FindStringSubmatch(way)[1], time.Minute)
					assert.True(t, fits(changed, calendar), way)
					changed.When.Until = changed.When.Until.Add(-5 * time.Minute)
					assert.False(t, fits(changed, calendar), "%s, but five minutes less would do", way)
				case relaxHome.MatchString(way):
					kinds["busy"]++
					for i, b := range calendar.Busy {
						if relaxHome.FindStringSubmatch(way)[1] == b.From.Format("Mon 15:04")+" to "+b.To.Format("Mon 15:04") {
							calendar.Busy = append(append([]timeline.Booking{}, calendar.Busy[:i]...), calendar.Busy[i+1:]...)
							assert.True(t, fits(changed, calendar), way)
							break
						}
					}
				}
			}
		}
	})
	for _, kind := range []string{"start", "awake", "simmer", "loads", "unattended", "finish", "busy"} {
		assert.Positive(t, kinds[kind], "no case tried %s", kind)
	}
}

// nextFace is the first instant from t on, by step, whose clock shows face.
func nextFace(t time.Time, face string, step time.Duration) time.Time {
	for range 60 * 24 * 60 {
		if t.Format("Mon 15:04") == face || t.Format("Mon 2 Jan 15:04") == face {
			return t
		}
		t = t.Add(step)
	}
	return time.Time{}
}

// A simmer that may run alone is not always easier to place when it is shorter, so many
// are tried: the coarser the shorter, not all the quarters of an hour of three days.
func TestShorterSimmersAreTriedSoOften(t *testing.T) {
	denver := zone(t, "America/Denver")
	from := at(t, "2026-11-28 08:00", denver)
	tried := 0
	run := timeline.Run{Batch: batch(func(b *stock.Batch) { b.Simmer = 72 * time.Hour }), ID: "run", Unattended: true, When: timeline.When{Start: from}}
	_, err := timeline.Schedule(run, timeline.Calendar{Location: denver, Busy: []timeline.Booking{{From: from, To: from.AddDate(0, 0, 100)}}})
	var unfit *timeline.Unfit
	require.ErrorAs(t, err, &unfit)
	unfit.WaysOut(func(simmer time.Duration) (stock.Batch, error) {
		tried++
		return batch(func(b *stock.Batch) { b.Simmer = simmer }), nil
	})
	assert.InDelta(t, 6*4+6*2+12+2*6, tried, 2)
}
