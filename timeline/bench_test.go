package timeline_test

import (
	"errors"
	"fmt"
	"testing"
	"time"

	"brothrun/stock"
	"brothrun/timeline"
)

func BenchmarkSchedule(b *testing.B) {
	denver := zone(b, "America/Denver")
	calendar := weekend{Location: denver, Start: at(b, "2026-11-28 08:00", denver)}
	run := batch()
	for b.Loop() {
		if _, err := calendar.place(run); err != nil {
			b.Fatal(err)
		}
	}
}

// Six runs in one kitchen and a fortnight with 500 busy times.
func BenchmarkScheduleSixRuns(b *testing.B) {
	denver := zone(b, "America/Denver")
	start := at(b, "2026-11-28 08:00", denver)
	calendar := timeline.Calendar{Location: denver}
	for i := range 500 {
		// Thirty-five short ones before breakfast, and lunch.
		from := start.AddDate(0, 0, i/36).Add(-4*time.Hour + time.Duration(i%36)*6*time.Minute)
		if i%36 == 35 {
			from = from.Add(4*time.Hour + 30*time.Minute)
		}
		calendar.Busy = append(calendar.Busy, timeline.Booking{From: from, To: from.Add(5 * time.Minute), What: fmt.Sprint("event ", i)})
	}
	var runs []timeline.Run
	for i := range 6 {
		runs = append(runs, timeline.Run{Batch: batch(func(b *stock.Batch) { b.Simmer = 45 * time.Minute }), ID: fmt.Sprint("run-", i), Pot: fmt.Sprint("pot ", i%2),
			When: timeline.When{From: start, Until: start.AddDate(0, 0, 14)}})
	}
	for b.Loop() {
		if _, err := timeline.ScheduleAll(runs, calendar); err != nil {
			b.Fatal(err)
		}
	}
}

// What would help a run of far too many loads: the most that is searched for.
func BenchmarkUnfit(b *testing.B) {
	denver := zone(b, "America/Denver")
	w := weekend{Location: denver, Start: at(b, "2026-11-28 08:00", denver), Awake: timeline.DefaultAwake()}
	run := batch(func(b *stock.Batch) {
		for one := b.Loads[0]; len(b.Loads) < 40; {
			b.Loads = append(b.Loads, one)
		}
		number(b)
	})
	for b.Loop() {
		_, err := w.place(run)
		var unfit *timeline.Unfit
		if !errors.As(err, &unfit) || len(unfit.WaysOut(nil)) == 0 {
			b.Fatal("40 loads in 3 days")
		}
	}
}
