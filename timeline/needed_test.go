package timeline_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/timeline"
)

// The spans follow from the steps by hand: nothing outside the project says when
// somebody is needed.
func TestWhenSomebodyIsNeeded(t *testing.T) {
	place, err := time.LoadLocation("America/Denver")
	require.NoError(t, err)
	at := func(day, hour, minute int) time.Time { return time.Date(2026, 11, day, hour, minute, 0, 0, place) }
	step := func(kind timeline.Kind, from, to time.Time) timeline.Step {
		return timeline.Step{Kind: kind, Start: from, End: to}
	}
	plan := timeline.Plan{Location: place, Steps: []timeline.Step{
		step(timeline.HandsOn, at(28, 8, 0), at(28, 8, 30)),
		step(timeline.Watch, at(28, 8, 30), at(28, 10, 0)),
		step(timeline.HandsOn, at(28, 9, 0), at(28, 9, 30)),
		step(timeline.HandsOn, at(28, 10, 15), at(28, 10, 30)), // a pause of 15 min is within
		step(timeline.Waiting, at(28, 10, 30), at(28, 22, 0)),
		step(timeline.HandsOn, at(28, 10, 46), at(28, 11, 0)), // 16 min are not
		step(timeline.Watch, at(28, 23, 30), at(29, 0, 30)),
		step(timeline.HandsOn, at(30, 7, 0), at(30, 7, 10)),
	}}
	assert.Equal(t, []timeline.Day{
		{Spans: []timeline.Booking{{From: at(28, 8, 0), To: at(28, 10, 30)}, {From: at(28, 10, 46), To: at(28, 11, 0)}, {From: at(28, 23, 30), To: at(29, 0, 0)}},
			HandsOn: 89 * time.Minute},
		{Spans: []timeline.Booking{{From: at(29, 0, 0), To: at(29, 0, 30)}}},
		{Spans: []timeline.Booking{{From: at(30, 7, 0), To: at(30, 7, 10)}}, HandsOn: 10 * time.Minute},
	}, plan.Needed())
	assert.Empty(t, timeline.Plan{}.Needed())
}
