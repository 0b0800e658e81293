package timeline_test

import (
	"strings"
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
		checks map[string]string // by ID: when it begins, and its title
		says   string            // in the first of them
		late   string            // in the warning
	}{
		{"in time", batch(one), weekend{}, map[string]string{"seal-check": "Mon 06:30 Check the seals, rings off, label the jars"},
			"A jar that did not seal: by Mon 11:31, 24 h after the canner, can it again with a new lid, reheated, for the full time, freeze it with 1.5 in (3.8 cm) of room, or put it into the fridge and eat it by Tue 1 Dec. Found later: throw it away untasted.", ""},
		{"canned on the last day of the fridge", batch(one), weekend{Busy: out("2026-11-29 06:00", "2026-12-01 08:00")},
			map[string]string{"seal-check": "Wed 06:30 Check the seals, rings off, label the jars"}, "freeze it with 1.5 in (3.8 cm) of room. Found later", ""},
		{"away from the night on: canned earlier, for a look at the lids before bed", batch(one), weekend{Busy: out("2026-11-29 22:30", "2026-12-01 18:00"), Awake: timeline.Hours{From: 6*time.Hour + 30*time.Minute, Until: 22*time.Hour + 30*time.Minute}},
			map[string]string{"seal-check": "Sun 22:02 Check the seals; labels can wait"}, "by Mon 10:01, 24 h after the canner, can it again", ""},
		{"nobody there for two days", batch(one), weekend{Busy: out("2026-11-29 18:00", "2026-12-01 18:00")},
			map[string]string{"seal-check": "Tue 18:00 Late check of the seals: throw away any jar not sealed"},
			"It is more than 24 h after the canner: a jar that did not seal is thrown away untasted.",
			"The seals can only be checked on Tue 1 Dec 18:00, more than 24 h after the canner: a jar that did not seal is then thrown away untasted. Can anybody look from Sun 29 Nov 23:31 to Mon 30 Nov 11:31?"},
		{"out for the day: the first load before, the second after", batch(), weekend{Start: at(t, "2026-11-28 13:00", denver), Busy: []timeline.Booking{
			{From: at(t, "2026-11-29 06:00", denver), To: at(t, "2026-11-29 15:15", denver)}, {From: at(t, "2026-11-30 07:05", denver), To: at(t, "2026-11-30 20:30", denver)}}},
			map[string]string{"seal-check": "Mon 06:47 Check the seals of load 1; labels can wait", "seal-check-load-2": "Mon 20:30 Check the seals of load 2, rings off, label the jars"},
			"by Mon 18:46, 24 h after the canner, can it again", ""},
		{"a long day of loads: the first before the last are rested", batch(many), weekend{Awake: timeline.Hours{From: 4 * time.Hour, Until: 24 * time.Hour}, Start: at(t, "2026-11-28 04:00", denver)},
			map[string]string{"seal-check": "Mon 06:28 Check the seals of loads 1 to 6, rings off, label the jars", "seal-check-load-7": "Mon 08:39 Check the seals of load 7, rings off, label the jars"}, "", ""},
	} {
		row.cook.Location = denver
		if row.cook.Start.IsZero() {
			row.cook.Start = at(t, "2026-11-28 08:00", denver)
		}
		plan := schedule(t, row.batch, row.cook)
		for id, want := range row.checks {
			check := step(t, plan, id)
			assert.Equal(t, want, check.Start.Format("Mon 15:04")+" "+title(plan, check), row.name)
		}
		text := strings.Join(detail(plan, step(t, plan, "seal-check")), " ")
		assert.Contains(t, text, row.says, row.name)
		if row.late == "" {
			assert.NotContains(t, codes(plan), "late-seal-check", row.name)
			continue
		}
		require.Contains(t, codes(plan), "late-seal-check", row.name)
		for _, w := range plan.Warnings {
			if w.Code == "late-seal-check" {
				assert.Contains(t, said(w), row.late, row.name)
			}
		}
		assert.NotContains(t, text, "can it again", row.name)
		assert.NotContains(t, text, "fridge", row.name)
	}
}
