package timeline

import (
	"slices"
	"time"

	"brothrun/stock"
	"brothrun/stock/process"
	"brothrun/stock/remark"
	"brothrun/stock/thaw"
)

// weekAhead is how many days before a run what takes a shop or an office is asked for, and
// roomAhead the room: enough to eat up what stands there. Own choice, no source.
const weekAhead, roomAhead = 7, 2

// weekBefore are the checks before a run that begins at an instant, those only that it needs.
// What takes no hour is of a day. The day before is at the hour at which the first step
// begins, when somebody is up; what thaws in the fridge goes there so early that the slow
// side is over as it begins, while somebody is up.
func (h *house) weekBefore(b stock.Batch, plan Plan, begins time.Time) (checks []Check) {
	asks := func(id string, what Asks, daysAhead int, limit time.Time) {
		year, month, date := begins.In(h.Location).Date()
		at := time.Date(year, month, date-daysAhead, 12, 0, 0, 0, h.Location)
		checks = append(checks, Check{ID: id, Asks: what, At: at, Limit: limit, AllDay: true})
	}
	starts := func(role Role) time.Time {
		if i := slices.IndexFunc(plan.Steps, func(s Step) bool { return s.Role == role }); i >= 0 {
			return plan.Steps[i].Start
		}
		return time.Time{}
	}
	if canned := starts(Load); b.Gauge == process.Dial && len(b.Loads) > 0 && !h.checkedFor(canned) {
		asks("gauge-due", GaugeDue, weekAhead, canned)
	}
	if len(b.Lids()) > 0 {
		asks("lids", NewLids, weekAhead, starts(WashJars))
	}
	if b.FuelOfTank().High > 0 {
		asks("tank", FillTank, weekAhead, begins)
	}
	if dried := starts(DryLoad); !dried.IsZero() {
		asks("dryer-free", DryerFree, weekAhead, dried)
	}
	days, into := roomAhead, time.Time{}
	if b.Thaw.Method == thaw.Fridge {
		into = begins.Add(-b.Thaw.Takes.High)
		if night, asleep := h.asleep.first(into, into.Add(time.Second)); asleep {
			into = night.From.Add(-checkLasts)
		}
		days = max(days, dayNumber(begins, h.Location)-dayNumber(into, h.Location)+1)
	}
	asks("clear-room", ClearRoom, days, begins)
	if !into.IsZero() {
		checks = append(checks, Check{ID: "thaw-begins", Asks: IntoFridge, At: into, Limit: begins.In(h.Location)})
	}
	return append(checks, Check{ID: "day-before", Asks: DayBefore, At: begins.AddDate(0, 0, -1)})
}

// checkedFor reports whether a dial gauge is known to be checked within the year before an
// instant.
func (h *house) checkedFor(canned time.Time) bool {
	due := lastDay(h.GaugeChecked.In(h.Location), stock.Keeps{Years: 1})
	return !h.GaugeChecked.IsZero() && dayNumber(canned, h.Location) <= dayNumber(due, h.Location)
}

// Ahead are the checks before a run that at an instant are still to be done: none once it has
// begun. What goes into the fridge to thaw stands until then, for it may be forgotten.
func (p Plan) Ahead(at time.Time) (checks []Check) {
	if len(p.Record) > 0 || !at.Before(p.Begins()) {
		return nil
	}
	for _, c := range p.Checks {
		over := c.At.Before(at)
		if c.AllDay {
			over = dayNumber(c.At, c.At.Location()) < dayNumber(at, c.At.Location())
		}
		if c.Before() && (!over || c.Asks == IntoFridge) {
			checks = append(checks, c)
		}
	}
	return checks
}

// ThawsLate warns of what goes into the fridge to thaw and should be there by now.
func (p Plan) ThawsLate(now time.Time) []remark.Note {
	c, ok := p.check(IntoFridge)
	if !ok || len(p.Record) > 0 || !c.At.Before(now) || !now.Before(c.Limit) {
		return nil
	}
	return []remark.Note{note(ThawLate, c.At, c.Limit)}
}
