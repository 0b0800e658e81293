package timeline_test

import (
	"encoding/csv"
	"fmt"
	"os"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/stock"
	"brothrun/stock/quantity"
	"brothrun/stock/record"
	"brothrun/timeline"
)

// The waits of a plan keep the published limits, at the edges too: a cook who is
// away for days, and one whose jars come out late at night.
func TestWaitsKeepThePublishedLimits(t *testing.T) {
	file, err := os.Open("../testdata/published/holding_limits.csv")
	require.NoError(t, err)
	defer file.Close()
	reader := csv.NewReader(file)
	reader.Comment = '#'
	rows, err := reader.ReadAll()
	require.NoError(t, err)
	require.Len(t, rows, 10)

	denver := zone(t, "America/Denver")
	start := at(t, "2026-11-28 08:00", denver)
	away := func(days int) []timeline.Booking {
		return []timeline.Booking{{From: at(t, "2026-11-28 16:00", denver), To: start.AddDate(0, 0, days).Add(12 * time.Hour)}}
	}
	plans := map[string]timeline.Plan{
		"a plain weekend":    schedule(t, batch(), weekend{Location: denver, Start: start}),
		"two days away":      schedule(t, batch(), weekend{Location: denver, Start: start, Busy: away(2)}),
		"a late second day":  schedule(t, batch(), weekend{Location: denver, FinishBy: at(t, "2026-11-29 21:59", denver)}),
		"canned on two days": schedule(t, batch(func(b *stock.Batch) { b.Loads = append(b.Loads, b.Loads...); number(b) }), weekend{Location: denver, Start: start, Awake: timeline.Hours{From: 8 * time.Hour, Until: 17 * time.Hour}}),
	}
	assert.Equal(t, 2, plans["canned on two days"].Sessions)
	for name, plan := range map[string]timeline.Plan{
		"birds picked warm":    schedule(t, batch(birds(2)), weekend{Location: denver, Start: start}),
		"birds, and a chill":   schedule(t, batch(birds(2), watched), weekend{Location: denver, Start: start}),
		"heavy birds":          schedule(t, batch(birds(6)), weekend{Location: denver, Start: start}),
		"two days from birds":  schedule(t, batch(birds(2)), weekend{Location: denver, Start: start, Busy: away(2)}),
		"birds by a late hour": schedule(t, batch(birds(6)), weekend{Location: denver, FinishBy: at(t, "2026-11-29 21:59", denver)}),
	} {
		plans[name] = plan
	}
	assert.False(t, step(t, plans["birds picked warm"], "pick").Cold)
	assert.False(t, step(t, plans["birds, and a chill"], "pick").Cold)
	assert.True(t, step(t, plans["heavy birds"], "pick").Cold)
	// Four days away is longer than the broth keeps.
	_, err = weekend{Location: denver, Start: start, Busy: away(4)}.place(batch())
	waitsTooLong(t, err, timeline.Skim)

	for _, row := range rows[1:] {
		least, most := hours(t, row[1], 0), hours(t, row[2], 1000*time.Hour)
		for name, plan := range plans {
			var waits []time.Duration
			out := func(first, last int) (from, until time.Time) {
				return step(t, plan, fmt.Sprintf("unload-%d", first)).End, step(t, plan, fmt.Sprintf("unload-%d", last)).End
			}
			firstOut, lastOut := out(1, len(plan.Batch.Loads))
			if plan.Sessions == 2 {
				firstOut, lastOut = out(1, 2)
			}
			chilled := step(t, plan, "chill")
			switch row[0] {
			case "broth in the fridge at 40 F or below":
				for _, s := range plan.Steps {
					if strings.HasPrefix(s.ID, "reheat") || s.ID == "skim" {
						waits = append(waits, s.Start.Sub(chilled.End))
					}
				}
			case "jars cool undisturbed":
				rest := step(t, plan, "jars-rest")
				waits = append(waits, step(t, plan, "seal-check").Start.Sub(lastOut), rest.End.Sub(rest.Start))
				if plan.Sessions == 2 {
					_, later := out(3, 4)
					waits = append(waits, step(t, plan, "seal-check-2").Start.Sub(later))
				}
			case "unsealed jar canned again":
				check := step(t, plan, "seal-check")
				assert.True(t, check.Seals.SaveBy.Equal(firstOut.Add(most)), name)
				waits = append(waits, check.Start.Sub(firstOut))
			case "jar of a wrong process canned again":
				off := record.Entry{At: firstOut, What: record.HeatOff, Load: 1}
				assert.Equal(t, most, timeline.Can(plan.Batch.Loads[0], []record.Entry{off}).Redo().Sub(firstOut), name)
			case "cooked meat out of the fridge":
				for _, s := range plan.Steps {
					if s.Role == timeline.Pick && !s.Cold {
						waits = append(waits, s.End.Sub(step(t, plan, "strain").End), timeline.MeatOut)
					}
				}
			case "cooked poultry in the fridge at 40 F or below":
				for _, s := range plan.Steps {
					if s.Role == timeline.Pick {
						waits = append(waits, s.Start.Sub(step(t, plan, "strain").End))
					}
				}
			case "135 F to 70 F", "135 F to 41 F":
				assert.Equal(t, timeline.Chill, chilled.Role, "what it says of them is tested in export/words")
			case "fat set on chilled broth":
				waits = append(waits, step(t, plan, "skim").Start.Sub(chilled.End))
			default:
				t.Fatalf("no check for %q", row[0])
			}
			for _, wait := range waits {
				assert.GreaterOrEqual(t, wait, least, "%s, %s: %s", name, row[0], row[3])
				assert.LessOrEqual(t, wait, most, "%s, %s: %s", name, row[0], row[3])
			}
		}
	}
}

// birds are so many kilograms of meat to pick.
func birds(kilograms quantity.Mass) func(*stock.Batch) {
	return func(b *stock.Batch) {
		b.Meat = quantity.Band[quantity.Mass]{Low: kilograms / 2, Likely: kilograms, High: kilograms * 3 / 2}
	}
}

// watched is a chill that is only looked in on.
func watched(b *stock.Batch) {
	b.Chill.Watched, b.Chill.HandsOn = true, span(2*time.Hour, 3*time.Hour, 4*time.Hour)
}

func hours(t *testing.T, text string, otherwise time.Duration) time.Duration {
	t.Helper()
	if text == "" {
		return otherwise
	}
	n, err := strconv.Atoi(text)
	require.NoError(t, err)
	return time.Duration(n) * time.Hour
}

func codes(plan timeline.Plan) (all []string) {
	for _, w := range plan.Warnings {
		all = append(all, w.Code)
	}
	return all
}

// number gives the loads of a batch their numbers.
func number(b *stock.Batch) {
	for i := range b.Loads {
		b.Loads[i].Number = i + 1
	}
}
