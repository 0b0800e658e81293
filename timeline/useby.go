package timeline

import (
	"slices"
	"time"

	"brothrun/stock"
	"brothrun/stock/process"
	"brothrun/stock/remark"
	"brothrun/stock/settle"
)

// UseBy is until when broth of this run is best used, or a check is due.
type UseBy struct {
	What string    // a form of stock.HoldingOf: "canned"; or GaugeCheck
	By   time.Time // the last day, at noon where the plan is, so that no clock change moves its date
}

// useBys dates what the steps put away, by the short end of stock.HoldingOf:
// the fridge from straining, the rest from when the first of it is put away.
func useBys(batch stock.Batch, steps []Step, location *time.Location) []UseBy {
	if batch.EndsAtStraining() {
		return nil
	}
	ends := map[string]time.Time{}
	for _, step := range steps {
		ends[step.ID] = step.End
	}
	away := []struct{ form, step string }{
		{stock.InTheFridge, "strain"},
		{stock.Canned, "unload-1"},
		{stock.Powder, "dry-check-1"},
	}
	if batch.Picked() {
		away = slices.Insert(away, 1, struct{ form, step string }{stock.PickedMeat, "strain"})
	}
	if batch.Leftover.Route == settle.Freezer {
		away = append(away, struct{ form, step string }{stock.Frozen, "leftover"})
	}
	var dates []UseBy
	for _, put := range away {
		from, done := ends[put.step]
		holding, known := batch.Holding(put.form)
		if done && known {
			dates = append(dates, UseBy{put.form, lastDay(from.In(location), holding.Least)})
		}
	}
	return dates
}

// fridgeDate is the last day of broth in the fridge that was strained at an
// instant.
func fridgeDate(strained time.Time, location *time.Location) time.Time {
	holding, _ := stock.HoldingOf(stock.InTheFridge)
	return lastDay(strained.In(location), holding.Least)
}

// meatDate is the last day of picked meat in the fridge.
func meatDate(strained time.Time, location *time.Location) time.Time {
	holding, _ := stock.HoldingOf(stock.PickedMeat)
	return lastDay(strained.In(location), holding.Least)
}

// GaugeCheck is the date by which a dial gauge has to be checked again.
const GaugeCheck = "gauge check"

// gauge dates the next check of a dial gauge, a year after the last [USDA Complete
// Guide to Home Canning, Guide 1; PNW 421: every year before use], and warns where
// a load comes after it. A gauge nobody named may be a dial.
func (h *house) gauge(plan *Plan) {
	if plan.Batch.Gauge != process.Dial && plan.Batch.OtherGauge == nil || len(plan.Batch.Loads) == 0 ||
		h.GaugeChecked.IsZero() {
		return
	}
	warn := func(warning remark.Note) { plan.Warnings = append([]remark.Note{warning}, plan.Warnings...) }
	due := lastDay(h.GaugeChecked.In(h.Location), stock.Keeps{Years: 1})
	warned := false
	for i, step := range plan.Steps {
		if step.Role != Load {
			continue
		}
		number := step.Loads[0].Number
		if number == 1 && dayNumber(h.GaugeChecked, h.Location) > dayNumber(step.Start, h.Location) {
			warn(note(GaugeCheckFuture, h.GaugeChecked))
			return
		}
		if dayNumber(step.Start, h.Location) <= dayNumber(due, h.Location) {
			continue
		}
		overdue := note(GaugeCheckDue, h.GaugeChecked, number)
		if !warned {
			warn(overdue)
			warned = true
		}
		plan.Steps[i].Notes = append(plan.Steps[i].Notes, overdue)
	}
	plan.UseBy = append(plan.UseBy, UseBy{GaugeCheck, due})
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
