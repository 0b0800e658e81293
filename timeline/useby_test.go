package timeline_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/stock"
	"brothrun/stock/quantity"
	"brothrun/stock/remark"
	"brothrun/timeline"
)

// dates are the use-by dates of a plan, by form.
func dates(plan timeline.Plan) map[string]string {
	by := map[string]string{}
	for _, u := range plan.UseBy {
		by[u.What] = u.By.Format("2006-01-02")
	}
	return by
}

func toFreezer(b *stock.Batch) {
	b.Leftover = stock.Leftover{Volume: quantity.Band[quantity.Volume]{Likely: quantity.Quart}, Route: "freezer"}
}

// Straining is on the first day, canning and freezing on the second.
func TestUseByDates(t *testing.T) {
	const source = "calendar, by hand; the spans are those of stock.HoldingOf"
	tests := []struct {
		source, zone, start    string
		fridge, canned, frozen string
	}{
		{source, "America/Denver", "2026-11-28 08:00", "2026-12-01", "2027-11-29", "2027-01-29"},
		{source + ": over a year's end", "America/Denver", "2026-12-30 08:00", "2027-01-02", "2027-12-31", "2027-02-28"},
		{source + ": February has no 30th", "Europe/Berlin", "2026-12-29 08:00", "2027-01-01", "2027-12-30", "2027-02-28"},
		{source + ": nor a 29th but in a leap year", "Europe/Berlin", "2027-12-29 08:00", "2028-01-01", "2028-12-30", "2028-02-29"},
		{source + ": canned on a leap day", "UTC", "2028-02-28 08:00", "2028-03-02", "2029-02-28", "2028-04-29"},
		{source + ": the fridge over a leap day", "UTC", "2028-02-27 08:00", "2028-03-01", "2029-02-28", "2028-04-28"},
		{source + ": over the change of clocks", "America/Denver", "2026-10-30 08:00", "2026-11-02", "2027-10-31", "2026-12-31"},
	}
	for _, tt := range tests {
		location := zone(t, tt.zone)
		plan := schedule(t, batch(toFreezer), weekend{Location: location, Start: at(t, tt.start, location)})
		assert.Equal(t, map[string]string{stock.InTheFridge: tt.fridge, stock.Canned: tt.canned, stock.Frozen: tt.frozen},
			dates(plan), "%s: %s", tt.start, tt.source)
		for _, u := range plan.UseBy {
			assert.Equal(t, 12, u.By.Hour(), "noon, so that no clock change moves the date")
		}
	}
}

// The 3 days of the fridge (USDA chart, the short end) count from straining, and a
// step that comes later says until which day.
func TestStepsAfterStrainingSayTheDay(t *testing.T) {
	denver := zone(t, "America/Denver")
	fridge := func(b *stock.Batch) {
		b.Leftover = stock.Leftover{Volume: quantity.Band[quantity.Volume]{Likely: quantity.Quart}, Route: "fridge"}
	}
	two := weekend{Location: denver, Start: at(t, "2026-11-28 08:00", denver), Awake: timeline.Hours{From: 8 * time.Hour, Until: 17 * time.Hour}}
	four := func(b *stock.Batch) { b.Loads = append(b.Loads, b.Loads...); number(b) }
	plan := schedule(t, batch(fridge, four), two)
	require.Equal(t, 2, plan.Sessions)
	for _, id := range []string{"fridge", "fridge-again-2", "leftover", "seal-check"} {
		assert.Equal(t, "Tue 1 Dec 12:00", step(t, plan, id).UseBy.Format("Mon 2 Jan 15:04"), id)
	}
}

// An evening cook strains before midnight and has it chilled after: the canning
// keeps to the day that the steps name.
func TestTheCanningKeepsToTheDayOfTheStraining(t *testing.T) {
	denver := zone(t, "America/Denver")
	home := func(back string) (timeline.Plan, error) {
		return weekend{Location: denver, Start: at(t, "2026-11-28 17:50", denver), Awake: timeline.Hours{From: 14 * time.Hour, Until: 7 * time.Hour},
			Busy: []timeline.Booking{{From: at(t, "2026-11-29 07:00", denver), To: at(t, back, denver)}}}.place(batch())
	}
	plan, err := home("2026-12-01 23:10")
	require.NoError(t, err)
	assert.Equal(t, "Sat 23:50 Sun 00:25", step(t, plan, "strain").End.Format("Mon 15:04")+" "+step(t, plan, "chill").End.Format("Mon 15:04"))
	assert.Equal(t, "Tue 1 Dec 23:45", step(t, plan, "reheat").Start.Format("Mon 2 Jan 15:04"))
	_, err = home("2026-12-01 23:40")
	waitsTooLong(t, err, timeline.Reheat)
}

func TestUseByIsOfWhatThereIs(t *testing.T) {
	denver := zone(t, "America/Denver")
	calendar := weekend{Location: denver, Start: at(t, "2026-11-28 08:00", denver)}
	tests := []struct {
		change func(*stock.Batch)
		want   []string
	}{
		{func(*stock.Batch) {}, []string{stock.InTheFridge, stock.Canned, stock.Powder}},
		{toFreezer, []string{stock.InTheFridge, stock.Canned, stock.Frozen}},
		{refused, []string{stock.InTheFridge, stock.Frozen}},
		{func(b *stock.Batch) { b.Leftover = stock.Leftover{Route: "fridge"} }, []string{stock.InTheFridge, stock.Canned}},
	}
	for _, tt := range tests {
		plan := schedule(t, batch(tt.change), calendar)
		var got []string
		for _, u := range plan.UseBy {
			got = append(got, u.What)
		}
		assert.Equal(t, tt.want, got)
	}
}

// No plan keeps the broth in the fridge beyond its own date.
func TestTheFridgeNightEndsBeforeItsDate(t *testing.T) {
	denver := zone(t, "America/Denver")
	for day := range 60 {
		plan := schedule(t, batch(), weekend{Location: denver, Start: at(t, "2026-10-20 08:00", denver).AddDate(0, 0, day)})
		require.Equal(t, stock.InTheFridge, plan.UseBy[0].What)
		assert.True(t, step(t, plan, "skim").Start.Before(plan.UseBy[0].By))
	}
}

func TestTheFreezerHoldLastsUntilTheDryerIsFree(t *testing.T) {
	denver := zone(t, "America/Denver")
	calendar := weekend{Location: denver, Start: at(t, "2026-11-28 08:00", denver),
		Bookings: []timeline.Booking{{From: at(t, "2026-11-29 08:00", denver), To: at(t, "2026-12-05 18:00", denver)}}}
	b := batch(func(b *stock.Batch) { b.Leftover.Drying.Frozen = quantity.Litre })
	plan := schedule(t, b, calendar)
	held := step(t, plan, "pre-freeze")
	assert.Equal(t, held.End, step(t, plan, "dry-load-1").Start)
	assert.Equal(t, "2026-12-05 18:00", held.End.Format("2006-01-02 15:04"))

	b.Leftover.Batches, b.Leftover.Trays = 2, 4
	plan = schedule(t, b, calendar)
	assert.Equal(t, "2026-12-05 18:00", step(t, plan, "dry-load-1").Start.Format("2006-01-02 15:04"))
	for n := 1; n <= 2; n++ {
		load := step(t, plan, fmt.Sprint("dry-load-", n))
		assert.Equal(t, timeline.DryLoad, load.Role)
		assert.Equal(t, n, load.DryerBatch)
	}
}

func TestTheDryerTakesItsLikelyHours(t *testing.T) {
	denver := zone(t, "America/Denver")
	plan := schedule(t, batch(), weekend{Location: denver, Start: at(t, "2026-11-28 08:00", denver)})
	assert.Equal(t, 16*time.Hour, step(t, plan, "dry-1").Span.Likely)
}

// A dial gauge is checked every year before use (USDA Complete Guide, Guide 1; PNW
// 421). What may be one counts as one.
func TestADialGaugeIsCheckedEveryYear(t *testing.T) {
	denver := zone(t, "America/Denver")
	dial := func(b *stock.Batch) { b.Gauge = "dial" }
	maybe := func(b *stock.Batch) { b.OtherGauge = &stock.OtherGauge{Gauge: "dial"} }
	for _, row := range []struct {
		batch        stock.Batch
		checked, due string
		warned       string
	}{
		{batch(dial), "2026-05-01", "2027-05-01", ""},
		{batch(maybe), "2026-05-01", "2027-05-01", ""},
		{batch(dial), "2025-11-29", "2026-11-29", ""}, // the loads are on that day
		{batch(dial), "2025-11-28", "2026-11-28", "gauge-check-due"},
		{batch(maybe), "2025-11-28", "2026-11-28", "gauge-check-due"},
		{batch(dial), "2026-11-29", "2027-11-29", ""},
		{batch(dial), "2026-11-30", "", "gauge-check-future"},
		{batch(dial), "", "", ""},
		{batch(), "2025-11-28", "", ""}, // a weighted one needs none
		{batch(dial, refused), "2025-11-28", "", ""},
	} {
		calendar := timeline.Calendar{Location: denver}
		if row.checked != "" {
			calendar.GaugeChecked = at(t, row.checked+" 12:00", denver)
		}
		plan, err := alone(timeline.Run{Batch: row.batch, ID: "r", When: timeline.When{Start: at(t, "2026-11-28 08:00", denver)}}, calendar)
		require.NoError(t, err)
		about := string(row.batch.Gauge) + " checked " + row.checked
		assert.Equal(t, row.due, dates(plan)[timeline.GaugeCheck], about)
		for _, code := range []string{"gauge-check-due", "gauge-check-future"} {
			assert.Equal(t, code == row.warned, slices.Contains(codes(plan), code), "%s: %s", about, code)
		}
		for _, s := range plan.Steps {
			said := slices.ContainsFunc(s.Notes, func(n remark.Note) bool { return n.Code == timeline.GaugeCheckDue })
			assert.Equal(t, row.warned == "gauge-check-due" && strings.HasPrefix(s.ID, "load-"), said, "%s: %s", about, s.ID)
		}
	}
}
