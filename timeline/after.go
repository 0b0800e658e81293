package timeline

import (
	"fmt"
	"slices"
	"time"

	"brothrun/stock"
	"brothrun/stock/quantity"
	"brothrun/stock/remark"
)

// alone places one row of tasks from t on, and takes the cook's hands for it.
func (h *house) alone(run Run, t, due time.Time, tasks ...task) ([]Step, bool) {
	steps, ok := h.free(run, t, due, tasks...)
	h.keepHands(run, steps)
	return steps, ok
}

// keepHands takes the cook's hands for steps that follow a run.
func (h *house) keepHands(run Run, steps []Step) {
	for _, s := range steps {
		if s.Kind == HandsOn {
			h.reserve(thing{Resource: likelyHands}, Booking{From: s.Start, To: s.Start.Add(s.Span.High), What: nameOf(run)})
		}
	}
}

// free finds the place of one row of tasks from t on: what comes after the run has
// rules of its own and never moves the run. It calls nobody away from a load in the
// canner, unless it would begin after due; a zero due can wait.
func (h *house) free(run Run, t, due time.Time, tasks ...task) ([]Step, bool) {
	r := newRow(using(tasks, potOf(run)), potOf(run))
	b := &r.blocks[0]
	limit := t.Add(searchDays * day)
	for i := range b.tasks {
		b.tasks[i].soft = true
	}
	anyhow := obstacle{}
	soonest, ok := next(h.asks(b, lenient), t, limit, &anyhow)
	for i := range b.tasks {
		if b.tasks[i].Kind == HandsOn {
			b.tasks[i].uses = append(b.tasks[i].uses, one(Attention))
		}
	}
	why := obstacle{}
	start, calm := next(h.asks(b, lenient), t, limit, &why)
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
		if j == 0 && why.kind != NotHeld {
			s.Why = h.met(why)
			s.Why.Own = why.span.What == nameOf(run) && !why.span.More
		}
		steps = append(steps, s)
	}
	return steps, true
}

// after places what follows the run: the jars' rest and the seal check of every
// session of canning, and the drying of the leftover.
func (h *house) after(run Run, sessions layout, steps []Step, warnings *[]remark.Note) ([]Step, error) {
	var rest []Step
	for n := 1; n <= len(sessions); n++ {
		rest = append(rest, h.seals(run, n, sound(sessions.of(run.Batch.Loads, n)), steps, warnings)...)
	}
	drying, err := h.dry(run, steps)
	return append(rest, drying...), err
}

// sound are the loads whose jars may go onto the shelf: not those that were not processed.
func sound(loads []stock.Load) []stock.Load {
	return slices.DeleteFunc(slices.Clone(loads), func(l stock.Load) bool { return l.Unprocessed })
}

// sealCheck is a check of the seals of some loads, at the place it found.
type sealCheck struct {
	loads []stock.Load
	late  int // of loads, from the first: whose jars have been out too long by then
	step  Step
}

// sealChecks finds places for the checks of a session's loads, out telling when
// the jars of each were: one check after the rest of the last jars or, where that
// comes too late for the first to be canned again, the fewest that come in time. A
// check that finds no room for rings and labels may be a look at the lids alone.
// Loads that no check reaches in time wait for the next.
func (h *house) sealChecks(run Run, loads []stock.Load, out func(stock.Load) time.Time) []sealCheck {
	place := func(loads []stock.Load, span quantity.Band[time.Duration]) (step Step, inTime bool) {
		rested, limit := out(loads[len(loads)-1]).Add(jarsRest), out(loads[0]).Add(reprocessWithin)
		step = Step{Role: SealCheck, Kind: HandsOn, Needs: []Resource{Cook}, Span: span, Remind: 15 * time.Minute}
		step.Seals.LookOnly = span == glance
		placed, ok := h.free(run, rested, limit, task{Step: step})
		if !ok {
			step.Start, step.End = rested, rested.Add(span.Likely)
			return step, false
		}
		return placed[0], !placed[0].Start.After(limit)
	}
	var checks []sealCheck
	late := 0
search:
	for late < len(loads) {
		for n := len(loads); n > late; n-- {
			for _, span := range []quantity.Band[time.Duration]{sealing, glance} {
				if step, inTime := place(loads[late:n], span); inTime {
					checks = append(checks, sealCheck{loads[:n], late, step})
					loads, late = loads[n:], 0
					continue search
				}
			}
		}
		late++
	}
	if late > 0 {
		step, _ := place(loads, sealing)
		checks = append(checks, sealCheck{loads, late, step})
	}
	return checks
}

// checked is the checks of a session as they came, or the first put off, where a note
// says so.
func (h *house) checked(run Run, session int, checks []sealCheck, out func(stock.Load) time.Time) []sealCheck {
	if len(checks) == 0 {
		return nil
	}
	first := &checks[0]
	step := first.step
	step.ID = nth("seal-check", session)
	if run.course.settle(&step) {
		all := sealCheck{step: step}
		for _, c := range checks {
			all.loads = append(all.loads, c.loads...)
		}
		for all.late < len(all.loads) && out(all.loads[all.late]).Add(reprocessWithin).Before(step.Start) {
			all.late++
		}
		return []sealCheck{all}
	}
	from := run.course.from(step.Start, step.ID)
	if planned := run.plannedFor(step.ID); !planned.After(out(first.loads[0]).Add(reprocessWithin)) {
		from = latestOf(from, planned)
	}
	if from.After(step.Start) {
		if placed, ok := h.free(run, from, time.Time{}, task{Step: first.step}); ok {
			first.step = placed[0]
		}
	}
	return checks
}

// seals puts the checks of a session's loads among the steps, with the rest of the
// jars before each, and warns of those that come too late for an unsealed jar.
func (h *house) seals(run Run, session int, loads []stock.Load, steps []Step, warnings *[]remark.Note) []Step {
	ends := map[string]time.Time{}
	for _, step := range steps {
		ends[step.ID] = step.End
	}
	out := func(load stock.Load) time.Time { return ends[fmt.Sprintf("unload-%d", load.Number)] }
	var placed []Step
	for i, c := range h.checked(run, session, h.sealChecks(run, loads, out), out) {
		suffix := ""
		if i > 0 {
			suffix = fmt.Sprintf("-load-%d", c.loads[0].Number)
		}
		step := c.step
		step.ID, step.Session, step.Loads, step.Seals.Late = nth("seal-check", session)+suffix, session, c.loads, c.late
		if step.Why.Kind == NotHeld {
			step.Why = because(JarsRest)
		}
		if c.late < len(c.loads) {
			step.Seals.SaveBy = out(c.loads[c.late]).Add(reprocessWithin).In(h.Location)
			// Of strained broth none is eaten from the fridge after its date.
			if by := fridgeDate(ends["strain"], h.Location); dayNumber(by, h.Location) >= dayNumber(step.Start, h.Location) {
				step.UseBy = by
			}
		}
		if c.late > 0 && step.State == ToCome {
			tooLate := c.loads[:c.late]
			first := out(tooLate[0])
			if len(tooLate) == len(run.Batch.Loads) {
				tooLate = nil
			}
			*warnings = append(*warnings, note(LateSealCheck, tooLate, step.Start.In(h.Location),
				first.Add(jarsRest).In(h.Location), first.Add(reprocessWithin).In(h.Location)))
		}
		last := out(c.loads[len(c.loads)-1])
		rest := restStep(nth("jars-rest", session)+suffix, session, c.loads, last, latestOf(last, step.Start))
		rest.overBy(step.Start)
		placed = append(placed, step, rest)
	}
	h.keepHands(run, placed)
	return placed
}

// overBy lets a step be over by an instant at which what follows it had begun; one that
// was to begin only then took no time.
func (s *Step) overBy(t time.Time) {
	if !s.End.After(t) {
		return
	}
	if s.End = t; s.Start.After(t) {
		s.Start = t
	}
	if s.State == Begun {
		s.State = Ended
	}
}

// plannedFor is when a step that follows a run with a record was planned: it comes no
// earlier. Zero of one that is new, and without a record.
func (r Run) plannedFor(id string) time.Time {
	if r.course == nil || r.before == nil {
		return time.Time{}
	}
	for _, s := range r.before.Steps {
		if s.ID == id {
			return s.Start
		}
	}
	return time.Time{}
}

// longestDryerWait is how long trays wait in the freezer for the dryer unasked. Own choice,
// no source: a week, past which a weekday is no date any more and the run would not end.
const longestDryerWait = 7 * day

// dryerBusy reports whether the dryer has no place for what nobody asked it to dry within
// that time, and when it has one; zero where it has none.
func (h *house) dryerBusy(run Run, steps []Step) (busy bool, free time.Time) {
	if run.Batch.Leftover.Asked || run.Batch.Leftover.Batches == 0 {
		return false, free
	}
	drying, err := h.apart().dry(run, steps)
	if err != nil {
		return true, free
	}
	var ready time.Time
	for _, step := range drying {
		switch {
		case step.Role == PreFreeze:
			ready = step.Start.Add(run.Batch.Leftover.PreFreeze)
		case step.Role == DryLoad && step.State == ToCome && step.Start.Sub(ready) > longestDryerWait:
			return true, step.Start
		case step.Role == DryCheck:
			ready = step.End
		}
	}
	return false, free
}

// dryerTaken says that the leftover is frozen, and when the dryer would be free.
func (h *house) dryerTaken(free time.Time) remark.Note {
	if free.IsZero() {
		return note(DryerTakenLong, searchDays).In("never")
	}
	return note(DryerTakenLong, free.In(h.Location))
}

// dry places freezing and drying of the leftover: frozen first, then the dryer
// as soon as it is free and someone is up to load it.
func (h *house) dry(run Run, steps []Step) ([]Step, error) {
	batch, leftover := run.Batch, run.Batch.Leftover
	trayed := slices.IndexFunc(steps, func(s Step) bool { return s.ID == "leftover" })
	if leftover.Batches == 0 || trayed < 0 || steps[trayed].State == Skipped {
		return nil, nil
	}
	frozen := preFreezeStep(batch)
	frozen.Start = steps[trayed].End
	ready := frozen.Start.Add(leftover.PreFreeze)

	var drying []Step
	for n := 1; n <= leftover.Batches; n++ {
		load, dry, check := dryLoadStep(n), dryStep(batch, n), dryCheckStep(n)
		ready = latestOf(run.course.from(ready, load.ID), run.plannedFor(load.ID))
		placed, ok := h.alone(run, ready, time.Time{}, task{Step: load},
			task{Step: dry, rules: []rule{atOnce(load.ID, NoReason)}})
		if !ok {
			return nil, &Unfit{Run: run.ID, Kind: DryerTaken, Days: searchDays, run: run}
		}
		if placed[0].Why.Kind == NotHeld {
			placed[0].Why = because(TraysFrozen)
		}
		placed[1].Why = because(DryerLoaded)
		if run.course.settle(&placed[0]) {
			placed[1].Start = placed[0].End
			placed[1].End = placed[1].Start.Add(dry.Span.Likely)
		}
		run.course.settle(&placed[1])
		checked, ok := h.alone(run, run.course.from(placed[1].End, check.ID), time.Time{}, task{Step: check})
		if !ok {
			check.Start, check.End = placed[1].End, placed[1].End.Add(check.Span.Likely)
			checked = []Step{check}
		}
		run.course.settle(&checked[0])
		placed[1].overBy(checked[0].Start) // it was dry before
		placed[0].overBy(placed[1].Start)
		if checked[0].Why.Kind == NotHeld {
			checked[0].Why = because(MayBeDry)
		}
		if n == 1 {
			frozen.End = latestOf(frozen.Start, placed[0].Start)
			frozen.overBy(placed[0].Start)
		}
		h.reserve(thing{Resource: FreezeDryer},
			Booking{From: placed[0].Start, To: latestOf(checked[0].End, placed[1].Start.Add(dry.Span.High)), What: nameOf(run)})
		drying = append(drying, append(placed, checked...)...)
		ready = checked[0].End
	}
	frozen.Why = because(UntilDryerFree)
	return append([]Step{frozen}, drying...), nil
}
