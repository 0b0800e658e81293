package timeline

import (
	"time"

	"brothrun/stock"
)

// UseBy is until when broth of this run is best used.
type UseBy struct {
	What string    // a form of stock.Holdings: "canned"
	By   time.Time // the last day, at noon where the plan is, so that no clock change moves its date
	Why  string
}

// useBys dates what the steps put away, by the short end of stock.Holdings:
// the fridge from straining, the rest from when the first of it is put away.
func useBys(batch stock.Batch, steps []Step, location *time.Location) []UseBy {
	ends := map[string]time.Time{}
	for _, step := range steps {
		ends[step.ID] = step.End
	}
	away := []struct{ form, step string }{
		{stock.InTheFridge, "strain"},
		{stock.Canned, "unload-1"},
		{stock.Powder, "dry-check-1"},
	}
	if batch.Leftover.Route == "freezer" {
		away = append(away, struct{ form, step string }{stock.Frozen, "leftover"})
	}
	var dates []UseBy
	for _, put := range away {
		from, done := ends[put.step]
		holding, known := stock.HoldingOf(put.form)
		if done && known {
			dates = append(dates, UseBy{put.form, lastDay(from.In(location), holding.Least), holding.Why})
		}
	}
	return dates
}

// lastDay is the day a span after the day of t, at noon. Where the month it ends
// in has no such day, it is that month's last: never later than the span says.
func lastDay(t time.Time, span stock.Keeps) time.Time {
	year, month, day := t.Date()
	first := time.Date(year+span.Years, month+time.Month(span.Months), 1, 12, 0, 0, 0, t.Location())
	if last := first.AddDate(0, 1, -1).Day(); day > last {
		day = last
	}
	return first.AddDate(0, 0, day-1+span.Days)
}
