package timeline

import (
	"slices"
	"time"
)

// patience is how strictly the hours of the day are kept.
type patience int

const (
	// careful keeps them even if every step runs long.
	careful patience = iota
	// lenient keeps them as long as steps take what is likely: a long evening is
	// a warning, not a reason to lose a day.
	lenient
)

// obstacle is what keeps a block from standing earlier, or later, than it does.
type obstacle struct {
	kind  WhyKind
	task  *task   // the step that met it; nil: none
	first bool    // that step opens its block
	span  Booking // while it lasts
	what  use     // for Taken
	bound bound   // for Ruled
	at    time.Time
	// overnight tells that the pot is wanted while the broth stays in it.
	overnight bool
}

// of is the step that met it.
func (o obstacle) of() Part {
	if o.task == nil {
		return Part{}
	}
	return o.task.part()
}

// clash returns the first thing that keeps block b from starting at start: the
// span in which something is not to be had, and the step that needs it from
// begins to ends after the block's start.
func (h *house) clash(b *block, start time.Time, p patience) (o obstacle, begins, ends time.Duration, found bool) {
	for i := range b.tasks {
		t := &b.tasks[i]
		at, long := b.at[i], b.late[i]+t.Span.High
		from, until := start.Add(at), start.Add(long)
		meet := func(kind WhyKind, s spans, until time.Time) bool {
			span, ok := s.first(from, until)
			if ok {
				o = obstacle{kind: kind, task: t, first: at == 0, span: span}
			}
			return ok
		}
		if t.Kind != Waiting {
			up := at + t.Span.Likely
			if p == careful {
				up = long
			}
			if meet(Asleep, h.asleep, start.Add(up)) {
				return o, at, up, true
			}
			// Being late for an appointment hurts, whatever the patience.
			if meet(Away, h.away, until) {
				return o, at, long, true
			}
			hands := one(Cook)
			if t.soft {
				hands = one(likelyHands)
			}
			if t.Kind == HandsOn && meet(Taken, h.busyWith(hands), until) {
				o.what = one(Cook)
				return o, at, long, true
			}
		}
		for _, need := range t.uses {
			if need.Resource == Outdoors && meet(Shut, h.shut, until) {
				return o, at, long, true
			}
			if meet(Taken, h.busyWith(need), until) {
				o.what = need
				return o, at, long, true
			}
		}
	}
	return o, 0, 0, false
}

// next moves start on to the first whole minute at which block b fits, or reports
// that there is none before limit.
func (h *house) next(b *block, start, limit time.Time, p patience, why *obstacle) (time.Time, bool) {
	for !start.After(limit) {
		start = minuteUp(start)
		o, begins, _, found := h.clash(b, start, p)
		if !found {
			return start, true
		}
		*why = o
		start = o.span.To.Add(-begins)
	}
	return start, false
}

// previous moves start back to the last whole minute at which block b fits.
func (h *house) previous(b *block, start, limit time.Time, p patience, why *obstacle) (time.Time, bool) {
	for !start.Before(limit) {
		start = start.Truncate(time.Minute)
		o, _, ends, found := h.clash(b, start, p)
		if !found {
			return start, true
		}
		*why = o
		start = o.span.From.Add(-ends)
	}
	return start, false
}

// minuteUp is the first whole minute from t on.
func minuteUp(t time.Time) time.Time {
	if down := t.Truncate(time.Minute); down.Before(t) {
		return down.Add(time.Minute)
	}
	return t
}

// placing is when each block of a row starts and what keeps it there.
type placing struct {
	starts []time.Time
	why    []obstacle
}

// forward returns the earliest start of every block that is not before that in
// from, keeps all rules and finds everything it needs; all at once, since
// raising one start never lets another be earlier. What waits for a row that runs
// long waits then and there, so likely spans count between rows. A first block
// whose time the cook fixed must not move. On failure the last obstacle is told.
func (h *house) forward(r row, from placing, fixed bool, limit time.Time, p patience) (placing, obstacle, bool) {
	at := placing{starts: slices.Clone(from.starts), why: slices.Clone(from.why)}
	for changed := true; changed; {
		changed = false
		for i := range r.blocks {
			b, first := &r.blocks[i], i == 0 && fixed
			if first {
				// The evening of a day the cook chose may run long.
				if o, _, _, found := h.clash(b, at.starts[i], lenient); found {
					return at, o, false
				}
			} else {
				start, ok := h.next(b, at.starts[i], limit, p, &at.why[i])
				if !ok {
					return at, at.why[i], false
				}
				at.starts[i] = start
			}
		}
		for _, bound := range r.bounds {
			least := at.starts[bound.from].Add(bound.gap)
			if !at.starts[bound.to].Before(least) {
				continue
			}
			why := obstacle{kind: Ruled, bound: bound, at: at.starts[bound.from]}
			if bound.to == 0 && fixed {
				return at, why, false
			}
			at.starts[bound.to], at.why[bound.to], changed = least, why, true
		}
		if o, ok := h.stretch(r, at.starts); ok {
			if fixed {
				return at, o, false
			}
			at.starts[0], at.why[0], changed = o.span.To, o, true
		}
		if at.starts[0].After(limit) {
			return at, at.why[0], false
		}
	}
	return at, obstacle{}, true
}

// backward returns the latest start of every block with which the last ends by
// the deadline even if every step runs long. On failure the last obstacle is
// told.
func (h *house) backward(r row, finishBy, limit time.Time, p patience) (placing, obstacle, bool) {
	n := len(r.blocks)
	at := placing{starts: make([]time.Time, n), why: make([]obstacle, n)}
	for i := range at.starts {
		at.starts[i] = finishBy.Add(-r.blocks[i].longEnd)
		at.why[i] = obstacle{kind: Deadline, at: finishBy}
	}
	for changed := true; changed; {
		changed = false
		for i := range r.blocks {
			start, ok := h.previous(&r.blocks[i], at.starts[i], limit, p, &at.why[i])
			if !ok {
				return at, at.why[i], false
			}
			at.starts[i] = start
		}
		for _, bound := range r.bounds {
			// A deadline is where running late hurts.
			most := at.starts[bound.to].Add(-max(bound.gap, bound.late))
			if !at.starts[bound.from].After(most) {
				continue
			}
			at.starts[bound.from], at.why[bound.from] = most, obstacle{kind: Ruled, bound: bound, at: at.starts[bound.to]}
			changed = true
		}
		if o, ok := h.stretch(r, at.starts); ok {
			b, i := r.lastUse(r.pot)
			end := r.blocks[b].late[i] + r.blocks[b].tasks[i].Span.High
			at.starts[b], at.why[b], changed = o.span.From.Add(-end), o, true
		}
	}
	return at, obstacle{}, true
}

// stretch finds what else takes the pot between its first and its last use: the
// broth spends the night in it.
func (h *house) stretch(r row, starts []time.Time) (obstacle, bool) {
	pot := h.busyWith(use{r.pot, 1})
	if len(pot) == 0 {
		return obstacle{}, false
	}
	b, i := r.lastUse(r.pot)
	end := starts[b].Add(r.blocks[b].late[i] + r.blocks[b].tasks[i].Span.High)
	span, ok := pot.first(starts[0], end)
	return obstacle{kind: Taken, first: true, overnight: true, span: span, what: use{r.pot, 1}}, ok
}

// lastUse returns the last task of a row that needs a resource.
func (r row) lastUse(what thing) (blockIndex, taskIndex int) {
	for b := range r.blocks {
		for i, t := range r.blocks[b].tasks {
			for _, need := range t.uses {
				if need.thing == what {
					blockIndex, taskIndex = b, i
				}
			}
		}
	}
	return blockIndex, taskIndex
}
