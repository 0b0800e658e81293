package timeline

import (
	"fmt"
	"slices"
	"time"

	"brothrun/stock"
	"brothrun/stock/quantity"
)

// alone places one row of tasks from t on, and takes the cook's hands for it: what
// comes after the run has rules of its own and never moves the run. It calls nobody
// away from a load in the canner, unless it would begin after due; a zero due can
// wait.
func (h *house) alone(run Run, t, due time.Time, tasks ...task) ([]Step, bool) {
	r := newRow(using(tasks, potOf(run)), potOf(run))
	b := &r.blocks[0]
	limit := t.Add(searchDays * day)
	for i := range b.tasks {
		b.tasks[i].soft = true
	}
	anyhow := obstacle{kind: none}
	soonest, ok := h.next(b, t, limit, lenient, &anyhow)
	for i := range b.tasks {
		if b.tasks[i].Kind == HandsOn {
			b.tasks[i].uses = append(b.tasks[i].uses, attention)
		}
	}
	why := obstacle{kind: none}
	start, calm := h.next(b, t, limit, lenient, &why)
	if ok && (!calm || !due.IsZero() && start.After(due)) {
		start, why, calm = soonest, anyhow, true
	}
	if !calm {
		return nil, false
	}
	var steps []Step
	for j, task := range r.blocks[0].tasks {
		s := task.Step
		s.Start = start.Add(r.blocks[0].at[j])
		s.End = s.Start.Add(task.Span.Likely)
		if task.Kind == HandsOn {
			h.reserve(likelyHands, Booking{From: s.Start, To: s.Start.Add(task.Span.High), What: nameOf(run)})
		}
		if j == 0 && why.kind != none {
			if why.span.What == nameOf(run) {
				why.span.What = "this run"
			}
			s.Why = h.met(why)
		}
		steps = append(steps, s)
	}
	return steps, true
}

// after places what follows the run: the jars' rest and the seal check of every
// session of canning, and the drying of the leftover.
func (h *house) after(run Run, sessions int, steps []Step, warnings *[]stock.Note) ([]Step, error) {
	var rest []Step
	loads := run.Batch.Loads
	for n := 1; n <= sessions && len(loads) > 0; n++ {
		canned := share(len(run.Batch.Loads), sessions, n)
		rest = append(rest, h.sealCheck(run, n, loads[:canned], steps, warnings)...)
		loads = loads[canned:]
	}
	drying, err := h.dry(run, steps)
	return append(rest, drying...), err
}

// sealCheck places the check of a session's loads after the jars' rest, while an
// unsealed jar of the first of them may still be canned again where the clock
// allows it.
func (h *house) sealCheck(run Run, session int, loads []stock.Load, steps []Step, warnings *[]stock.Note) []Step {
	ends := map[string]time.Time{}
	for _, step := range steps {
		ends[step.ID] = step.End
	}
	firstOut := ends[fmt.Sprintf("unload-%d", loads[0].Number)]
	lastOut := ends[fmt.Sprintf("unload-%d", loads[len(loads)-1].Number)]
	limit := firstOut.Add(reprocessWithin)
	check := sealCheckStep(nth("seal-check", session), limit.In(h.Location))
	placed, ok := h.alone(run, lastOut.Add(jarsRest), limit, task{Step: check, name: "the seal check"})
	if !ok {
		check.Start, check.End = lastOut.Add(jarsRest), lastOut.Add(jarsRest+check.Span.Likely)
		placed = []Step{check}
	}
	if placed[0].Why == "" {
		placed[0].Why = "the jars rest 12 h first"
	}
	if start := placed[0].Start; start.After(limit) {
		*warnings = append(*warnings, stock.Note{Code: "late-seal-check", Text: fmt.Sprintf(
			"The seals can only be checked on %s, more than 24 h after the first jars came out at %s. Look at those before, from %s: a jar that did not seal may be canned again only until %s; after that it goes into the fridge or the freezer.",
			start.In(h.Location).Format("Mon 15:04"), firstOut.In(h.Location).Format("Mon 15:04"), firstOut.Add(jarsRest).In(h.Location).Format("Mon 15:04"), limit.In(h.Location).Format("Mon 15:04"))})
	}
	return append(placed, restStep(nth("jars-rest", session), lastOut, placed[0].Start))
}

// dry places freezing and drying of the leftover: frozen first, then the dryer
// as soon as it is free and someone is up to load it.
func (h *house) dry(run Run, steps []Step) ([]Step, error) {
	batch, leftover := run.Batch, run.Batch.Leftover
	trayed := slices.IndexFunc(steps, func(s Step) bool { return s.ID == "leftover" })
	if leftover.Batches == 0 || trayed < 0 {
		return nil, nil
	}
	frozen := preFreezeStep(batch)
	frozen.Start = steps[trayed].End
	var loaded []time.Time
	ready := frozen.Start.Add(leftover.PreFreeze)

	var drying []Step
	for n := 1; n <= leftover.Batches; n++ {
		load, dry, check := dryLoadStep(batch, n), dryStep(batch, n), dryCheckStep(batch, n)
		placed, ok := h.alone(run, ready, time.Time{}, task{Step: load, name: "loading the freeze dryer"}, task{Step: dry, name: "the freeze dryer", rules: []rule{atOnce(load.ID, "")}})
		if !ok {
			return nil, &Unfit{
				Reason: fmt.Sprintf("the freeze dryer is booked, or nobody is there to load it, for the next %d days", searchDays),
				Relax:  []string{"free the dryer for " + quantity.FormatDuration(leftover.Hours.High), "send the leftover to the freezer (--route freezer)"},
			}
		}
		if placed[0].Why == "" {
			placed[0].Why = "the trays have to be frozen through"
		}
		placed[1].Why = "as soon as it is loaded"
		checked, ok := h.alone(run, placed[1].End, time.Time{}, task{Step: check, name: "the check of the dryer"})
		if !ok {
			check.Start, check.End = placed[1].End, placed[1].End.Add(check.Span.Likely)
			checked = []Step{check}
		}
		if checked[0].Why == "" {
			checked[0].Why = "as soon as the dryer may be done"
		}
		if n == 1 {
			frozen.End = placed[0].Start
		}
		loaded = append(loaded, placed[0].Start.In(h.Location))
		h.reserve(FreezeDryer, Booking{From: placed[0].Start, To: latestOf(checked[0].End, placed[1].Start.Add(dry.Span.High)), What: nameOf(run)})
		drying = append(drying, append(placed, checked...)...)
		ready = checked[0].End
	}
	frozen.Why = "until the trays are solid and the freeze dryer is free"
	frozen.Detail = append(frozen.Detail, freezerHold(batch, loaded))
	return append([]Step{frozen}, drying...), nil
}
