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
	"brothrun/stock/thaw"
	"brothrun/timeline"
)

// Every way out works by itself, and where it says how little is enough, a little
// less is not.
func TestEveryRelaxationHelpsAndIsTheLeast(t *testing.T) {
	kinds := map[timeline.WayOutKind]int{}
	check(t, 400, func(t *rapid.T) {
		w := drawWeek(t)
		run := w.runs[0]
		_, err := alone(run, w.calendar)
		var unfit *timeline.Unfit
		if !errors.As(err, &unfit) {
			return
		}
		fits := func(run timeline.Run, calendar timeline.Calendar) bool {
			_, err := alone(run, calendar)
			return err == nil
		}
		for _, way := range unfit.WaysOut(nil) {
			kinds[way.Kind]++
			changed, calendar := run, w.calendar
			switch way.Kind {
			case timeline.StartBy, timeline.StartFrom:
				if run.When.Start.IsZero() {
					continue
				}
				changed.When.Start = way.At
				assert.True(t, fits(changed, calendar), "%+v", way)
				if between := way.At.Add(-time.Minute); way.Kind == timeline.StartFrom && between != run.When.Start {
					changed.When.Start = between
					assert.False(t, fits(changed, calendar), "%+v, but so does %s", way, between)
				}
			case timeline.UpUntil, timeline.UpFrom:
				calendar.Awake = way.Hours
				assert.True(t, fits(changed, calendar), "%+v", way)
				if way.Kind == timeline.UpUntil {
					calendar.Awake.Until -= 5 * time.Minute
				} else {
					calendar.Awake.From += 5 * time.Minute
				}
				assert.False(t, fits(changed, calendar), "%+v, but five minutes less would do", way)
			case timeline.ShorterSimmer:
				changed.Batch.Simmer = way.Takes
				assert.True(t, fits(changed, calendar), "%+v", way)
				if !run.Unattended { // in steps of a quarter of an hour there
					changed.Batch.Simmer += 5 * time.Minute
					assert.False(t, fits(changed, calendar), "%+v, but five minutes more would do", way)
				}
			case timeline.FewerLoads:
				changed.Batch.Loads = run.Batch.Loads[:way.Loads]
				assert.True(t, fits(changed, calendar), "%+v", way)
				changed.Batch.Loads = run.Batch.Loads[:way.Loads+1]
				assert.False(t, fits(changed, calendar), "%+v", way)
			case timeline.ThawBefore:
				require.Equal(t, thaw.ColdWater, run.Batch.Thaw.Method)
				changed.Batch.Thaw.Method, changed.Batch.Thaw.Takes = thaw.Fridge, thaw.Takes(thaw.Fridge, run.Batch.Thaw.Package)
				assert.Equal(t, changed.Batch.Thaw.Takes.High, way.Takes)
				assert.True(t, fits(changed, calendar), "%+v", way)
			case timeline.LeaveAlone:
				changed.Unattended = true
				assert.True(t, fits(changed, calendar), "%+v", way)
			case timeline.FinishBy, timeline.FinishByLater:
				if run.When.From.IsZero() {
					continue
				}
				changed.When.Until = way.At
				assert.True(t, fits(changed, calendar), "%+v", way)
				changed.When.Until = way.At.Add(-5 * time.Minute)
				assert.False(t, fits(changed, calendar), "%+v, but five minutes less would do", way)
			case timeline.BeAtHome:
				calendar.Busy = slices.DeleteFunc(slices.Clone(calendar.Busy), func(b timeline.Booking) bool {
					return b.From.Equal(way.Span.From) && b.To.Equal(way.Span.To)
				})
				require.Len(t, calendar.Busy, len(w.calendar.Busy)-1)
				assert.True(t, fits(changed, calendar), "%+v", way)
			}
		}
	})
	for _, kind := range []timeline.WayOutKind{timeline.StartBy, timeline.StartFrom, timeline.UpUntil, timeline.UpFrom, timeline.ShorterSimmer,
		timeline.FewerLoads, timeline.LeaveAlone, timeline.BeAtHome, timeline.ThawBefore} {
		assert.Positive(t, kinds[kind], "no case tried %d", kind)
	}
	assert.Positive(t, kinds[timeline.FinishBy]+kinds[timeline.FinishByLater])
}

// A simmer that may run alone is not always easier to place when it is shorter, so many
// are tried: the coarser the shorter, not all the quarters of an hour of three days.
func TestShorterSimmersAreTriedSoOften(t *testing.T) {
	denver := zone(t, "America/Denver")
	from := at(t, "2026-11-28 08:00", denver)
	tried := 0
	run := timeline.Run{Batch: batch(func(b *stock.Batch) { b.Simmer = 72 * time.Hour }), ID: "run", Unattended: true, When: timeline.When{Start: from}}
	_, err := alone(run, timeline.Calendar{Location: denver, Busy: []timeline.Booking{{From: from, To: from.AddDate(0, 0, 100)}}})
	var unfit *timeline.Unfit
	require.ErrorAs(t, err, &unfit)
	unfit.WaysOut(func(simmer time.Duration) (stock.Batch, error) {
		tried++
		return batch(func(b *stock.Batch) { b.Simmer = simmer }), nil
	})
	assert.InDelta(t, 6*4+6*2+12+2*6, tried, 2)
}
