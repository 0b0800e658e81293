package timeline

import (
	"fmt"
	"time"

	"brothrun/stock/quantity"
)

// Unfit says that a run does not fit the calendar, and what would help.
type Unfit struct {
	Run    string // its ID
	Reason string
	Relax  []string // ways out, each enough by itself
}

func (e *Unfit) Error() string { return e.Reason }

// unfit says why a run finds no place and looks for the least that would give it
// one, constraint by constraint.
func (h *house) unfit(run Run, met obstacle, several bool) error {
	reason := h.reason(run, met)
	if several {
		reason = nameOf(run) + ": " + reason
	}
	return &Unfit{Run: run.ID, Reason: reason, Relax: h.relaxations(run)}
}

// clock writes a time as the cook would say it: with its date where the weekday
// might be taken for that of another week.
func (h *house) clock(run Run, t time.Time) string {
	near := latestOf(run.When.Start, run.When.FinishBy, run.When.From)
	if away := t.Sub(near); away < -2*day || away > 5*day {
		return Clock(t.In(h.Location), "Mon 2 Jan 15:04")
	}
	return Clock(t.In(h.Location), "Mon 15:04")
}

func (h *house) reason(run Run, met obstacle) string {
	local := func(t time.Time) string { return h.clock(run, t) }
	if r := h.rowOf(run, way{sessions: min(max(1, len(run.Batch.Loads)), mostSessions)}); !h.holds(r) {
		for i, b := range r.blocks {
			if b.attended <= h.Awake.length() {
				continue
			}
			what := "the first day, from preparing to the end of the attended chill,"
			if i > 0 {
				what = fmt.Sprintf("what follows without a pause, from %s to %s,", b.tasks[b.attendedFrom].name, b.tasks[b.until].name)
			}
			return fmt.Sprintf("%s takes %s; your awake hours %s hold %s",
				what, quantity.FormatDuration(b.attended), h.Awake, quantity.FormatDuration(h.Awake.length()))
		}
	}

	var asked string
	switch when := run.When; {
	case !when.Start.IsZero():
		asked = fmt.Sprintf("a start at %s does not fit", local(when.Start))
	case !when.FinishBy.IsZero():
		asked = fmt.Sprintf("nothing fits in the %d days before %s", searchDays, local(when.FinishBy))
	default:
		asked = fmt.Sprintf("the run does not fit between %s and %s", local(when.From), local(when.Until))
	}
	switch {
	case met.kind == deadline:
		return fmt.Sprintf("%s: begun as early as it can, it ends at %s if every step runs long", asked, local(met.at))
	case met.kind == ruled && met.bound.isLongest:
		return fmt.Sprintf("%s: the broth would wait longer than %s before %s, and %s",
			asked, quantity.FormatDuration(met.bound.rule.most), met.bound.task, keeps)
	case run.When.Start.IsZero() || met.task.ID == "":
		return fmt.Sprintf("%s: %s", asked, h.met(met))
	case met.kind == asleep && run.onTheFirstDay(met.task.ID):
		b := h.rowOf(run, way{sessions: 1}).blocks[0]
		return fmt.Sprintf("%s: preparing to the end of the attended chill takes %s and would end at %s; your awake hours are %s",
			asked, quantity.FormatDuration(b.likelyEnd), local(run.When.Start.Add(b.likelyEnd)), h.Awake)
	case run.onTheFirstDay(met.task.ID):
		r := h.rowOf(run, way{sessions: 1})
		i, j, _ := r.find(met.task.ID)
		from := run.When.Start.Add(r.blocks[i].at[j])
		until := run.When.Start.Add(r.blocks[i].late[j] + met.task.Span.High)
		met.first = true
		return fmt.Sprintf("%s: %s falls between %s and %s, if steps run long, and %s", asked, met.task.name, local(from), local(until), h.met(met))
	}
	met.first = true
	return fmt.Sprintf("%s: there is no place for %s; %s", asked, met.task.name, h.met(met))
}
