package timeline_test

import (
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/stock"
	"brothrun/timeline"
)

// Within 24 h of the canner an unsealed jar is canned again, frozen with 1.5 in of
// headspace or kept cold: Nebraska Extension, "Saving Home-canned Food: Jars that did
// not Seal"; Michigan State University Extension 01600593 (holding_limits.csv). Later
// it is thrown away; common practice, no source.
func TestAnUnsealedJarIsSavedByTheClockOrThrownAway(t *testing.T) {
	denver := zone(t, "America/Denver")
	one := func(b *stock.Batch) { b.Loads = b.Loads[:1] }
	many := func(b *stock.Batch) {
		for len(b.Loads) < 7 {
			b.Loads = append(b.Loads, b.Loads[0])
		}
		number(b)
	}
	out := func(from, to string) []timeline.Booking {
		return []timeline.Booking{{From: at(t, from, denver), To: at(t, to, denver)}}
	}
	for _, row := range []struct {
		name   string
		batch  stock.Batch
		cook   weekend
		checks map[string]string // by ID: when it begins, of which loads, and what it is
		saveBy string            // a jar of the first of them
		eatBy  string
		late   []string // the instants in the warning
	}{
		{"in time", batch(one), weekend{}, map[string]string{"seal-check": "Mon 06:30 [1] seals and labels"}, "Mon 11:31", "Tue 1 Dec", nil},
		{"canned on the last day of the fridge", batch(one), weekend{Busy: out("2026-11-29 06:00", "2026-12-01 08:00")},
			map[string]string{"seal-check": "Wed 06:30 [1] seals and labels"}, "Wed 11:31", "", nil},
		{"away from the night on: canned earlier, for a look at the lids before bed", batch(one), weekend{Busy: out("2026-11-29 22:30", "2026-12-01 18:00"), Awake: timeline.Hours{From: 6*time.Hour + 30*time.Minute, Until: 22*time.Hour + 30*time.Minute}},
			map[string]string{"seal-check": "Sun 22:02 [1] a look"}, "Mon 10:01", "Tue 1 Dec", nil},
		{"nobody there for two days", batch(one), weekend{Busy: out("2026-11-29 18:00", "2026-12-01 18:00")},
			map[string]string{"seal-check": "Tue 18:00 [1] late"}, "", "", []string{"Tue 1 Dec 18:00", "Sun 29 Nov 23:31", "Mon 30 Nov 11:31"}},
		{"out for the day: the first load before, the second after", batch(), weekend{Start: at(t, "2026-11-28 13:00", denver), Busy: []timeline.Booking{
			{From: at(t, "2026-11-29 06:00", denver), To: at(t, "2026-11-29 15:15", denver)}, {From: at(t, "2026-11-30 07:05", denver), To: at(t, "2026-11-30 20:30", denver)}}},
			map[string]string{"seal-check": "Mon 06:47 [1] a look", "seal-check-load-2": "Mon 20:30 [2] seals and labels"}, "Mon 18:46", "Tue 1 Dec", nil},
		{"a long day of loads: the first before the last are rested", batch(many), weekend{Awake: timeline.Hours{From: 4 * time.Hour, Until: 24 * time.Hour}, Start: at(t, "2026-11-28 04:00", denver)},
			map[string]string{"seal-check": "Mon 06:28 [1 2 3 4 5 6] seals and labels", "seal-check-load-7": "Mon 08:39 [7] seals and labels"}, "Mon 07:31", "Tue 1 Dec", nil},
	} {
		row.cook.Location = denver
		if row.cook.Start.IsZero() {
			row.cook.Start = at(t, "2026-11-28 08:00", denver)
		}
		plan := schedule(t, row.batch, row.cook)
		for id, want := range row.checks {
			check := step(t, plan, id)
			assert.Equal(t, want, check.Start.Format("Mon 15:04")+" "+sealCheck(check), row.name)
		}
		first := step(t, plan, "seal-check")
		assert.Equal(t, row.saveBy, faceOf(first.Seals.SaveBy, "Mon 15:04"), row.name)
		if row.late == nil {
			assert.Equal(t, row.eatBy, faceOf(first.UseBy, "Mon 2 Jan"), row.name)
			assert.NotContains(t, codes(plan), "late-seal-check", row.name)
			continue
		}
		require.Contains(t, codes(plan), "late-seal-check", row.name)
		for _, w := range plan.Warnings {
			if w.Code == timeline.LateSealCheck {
				assert.Equal(t, []stock.Load(nil), w.Facts[0], "of all loads")
				var instants []string
				for _, fact := range w.Facts[1:] {
					instants = append(instants, faceOf(fact.(time.Time), "Mon 2 Jan 15:04"))
				}
				assert.Equal(t, row.late, instants, row.name)
			}
		}
	}
}

// sealCheck is which loads a check of the seals is of, and what there is to do.
func sealCheck(s timeline.Step) string {
	var loads []int
	for _, load := range s.Loads {
		loads = append(loads, load.Number)
	}
	what := "seals and labels"
	switch {
	case s.Seals.SaveBy.IsZero():
		what = "late"
	case s.Seals.LookOnly:
		what = "a look"
	}
	return fmt.Sprint(loads, " ", what)
}

func faceOf(t time.Time, layout string) string {
	if t.IsZero() {
		return ""
	}
	return t.Format(layout)
}
