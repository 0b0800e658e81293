package timeline

import (
	"slices"
	"time"
)

// patience is how strictly the hours of the day are kept.
type patience int

const (
	// civil keeps to the civil hours too, as long as steps take what is likely.
	civil patience = iota
	// careful keeps them even if every step runs long.
	careful
	// lenient keeps them as long as steps take what is likely: a long evening is
	// a warning, not a reason to lose a day.
	lenient
)

// patient is the patience of the first block of a row, and of those after it.
type patient [2]patience

func (p patient) of(block int) patience { return p[min(block, 1)] }

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

// ask is something a task asks for, and when that cannot be had.
type ask struct {
	kind        WhyKind
	task        *task
	what        use           // for Taken
	from, until time.Duration // after the block's start
	spans       spans
	last        int     // the span that was met last: the next is near it
	chains      *chains // of spans, where they are many
}

// asks lists what block b asks for in the order in which it is told; what can be had
// at any time is left out.
func (h *house) asks(b *block, p patience) []ask {
	var all []ask
	for i := range b.tasks {
		t := &b.tasks[i]
		if !t.ended.IsZero() {
			continue // what came is no wish
		}
		at, long := b.at[i], b.late[i]+t.Span.High
		add := func(kind WhyKind, what use, s spans, until time.Duration) {
			if len(s) > 0 {
				all = append(all, ask{kind: kind, task: t, what: what, from: at, until: until, spans: s})
			}
		}
		if t.Kind != Waiting {
			up := at + t.Span.Likely
			if p != lenient {
				up = long
			}
			add(Asleep, use{}, h.asleep, up)
			if p == civil {
				add(OddHours, use{}, h.uncivil, at+t.Span.Likely)
			}
			// Being late for an appointment hurts, whatever the patience.
			add(Away, use{}, h.away, long)
			if len(h.away) >= manyBusy {
				all[len(all)-1].chains = h.chainsFor(long - at)
			}
			if t.Kind == HandsOn {
				hands := one(Cook)
				if t.soft {
					hands = one(likelyHands)
				}
				add(Taken, one(Cook), h.busyWith(hands), long)
			}
		}
		for _, need := range t.uses {
			if need.Resource == Outdoors {
				add(Shut, use{}, h.shut, long)
			}
			add(Taken, need, h.busyWith(need), long)
		}
	}
	return all
}

// asksOf lists what every block of a row asks for.
func (h *house) asksOf(r row, p patient) [][]ask {
	all := make([][]ask, len(r.blocks))
	for i := range r.blocks {
		all[i] = h.asks(&r.blocks[i], p.of(i))
	}
	return all
}

// clash returns the first of asks that keeps a block from starting at start, and the
// span in which that is not to be had; nil when the block fits.
func clash(asks []ask, start time.Time) (*ask, Booking) {
	for i := range asks {
		a := &asks[i]
		if span, ok := a.spans.near(start.Add(a.from), start.Add(a.until), &a.last); ok {
			return a, span
		}
	}
	return nil, Booking{}
}

func (a *ask) met(span Booking) obstacle {
	return obstacle{kind: a.kind, task: a.task, first: a.from == 0, span: span, what: a.what}
}

// next moves start on to the first whole minute at which a block that asks so fits,
// or reports that there is none before limit.
func next(asks []ask, start, limit time.Time, why *obstacle) (time.Time, bool) {
	var met *ask
	var span Booking
	fits := false
	for !start.After(limit) && !fits {
		start = minuteUp(start)
		if a, s := clash(asks, start); a != nil {
			met, span = a, s
			start = s.To.Add(-a.from)
			if a.chains != nil {
				// On to the last but one, so that the last is met as if all had been.
				if last := a.chains.last[a.last]; last > a.last+1 {
					start = a.spans[last-1].To.Add(-a.from)
				}
			}
		} else {
			fits = true
		}
	}
	if met != nil {
		*why = met.met(span)
	}
	return start, fits
}

// previous moves start back to the last whole minute at which a block that asks so
// fits.
func previous(asks []ask, start, limit time.Time, why *obstacle) (time.Time, bool) {
	var met *ask
	var span Booking
	fits := false
	for !start.Before(limit) && !fits {
		start = start.Truncate(time.Minute)
		if a, s := clash(asks, start); a != nil {
			met, span = a, s
			start = s.From.Add(-a.until)
			if a.chains != nil {
				if first := a.chains.first[a.last]; first < a.last-1 {
					start = a.spans[first+1].From.Add(-a.until)
				}
			}
		} else {
			fits = true
		}
	}
	if met != nil {
		*why = met.met(span)
	}
	return start, fits
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
// long waits then and there, so likely spans count between rows. The first blocks
// that are fixed, by the cook's word or because they have begun, do not move. On failure the last obstacle is told.
func (h *house) forward(r row, from placing, fixed int, limit time.Time, p patient) (placing, obstacle, bool) {
	at := placing{starts: slices.Clone(from.starts), why: slices.Clone(from.why)}
	asks := h.asksOf(r, p)
	fit := make([]time.Time, len(r.blocks)) // where each block was found to fit
	for changed := true; changed; {
		changed = false
		for i := range r.blocks {
			if i < fixed || at.starts[i].Equal(fit[i]) {
				continue
			}
			start, ok := next(asks[i], at.starts[i], limit, &at.why[i])
			if !ok {
				return at, at.why[i], false
			}
			at.starts[i], fit[i] = start, start
		}
		for i := range r.bounds {
			bound := &r.bounds[i]
			least := at.starts[bound.from].Add(bound.gap)
			if !at.starts[bound.to].Before(least) {
				continue
			}
			why := obstacle{kind: Ruled, bound: *bound, at: at.starts[bound.from]}
			if bound.to < fixed {
				if bound.from < fixed {
					continue // both are as they came
				}
				return at, why, false
			}
			at.starts[bound.to], at.why[bound.to], changed = least, why, true
		}
		if o, ok := h.stretch(r, at.starts); ok {
			if fixed > 0 {
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
func (h *house) backward(r row, finishBy, limit time.Time, p patient) (placing, obstacle, bool) {
	n := len(r.blocks)
	at := placing{starts: make([]time.Time, n), why: make([]obstacle, n)}
	for i := range at.starts {
		at.starts[i] = finishBy.Add(-r.blocks[i].longEnd)
		at.why[i] = obstacle{kind: Deadline, at: finishBy}
	}
	asks := h.asksOf(r, p)
	fit := make([]time.Time, n) // where each block was found to fit
	for changed := true; changed; {
		changed = false
		for i := range r.blocks {
			if at.starts[i].Equal(fit[i]) {
				continue
			}
			start, ok := previous(asks[i], at.starts[i], limit, &at.why[i])
			if !ok {
				return at, at.why[i], false
			}
			at.starts[i], fit[i] = start, start
		}
		for i := range r.bounds {
			bound := &r.bounds[i]
			// A deadline is where running late hurts.
			most := at.starts[bound.to].Add(-max(bound.gap, bound.late))
			if !at.starts[bound.from].After(most) {
				continue
			}
			at.starts[bound.from], at.why[bound.from] = most, obstacle{kind: Ruled, bound: *bound, at: at.starts[bound.to]}
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
	for b := len(r.blocks) - 1; b >= 0; b-- {
		for i := len(r.blocks[b].tasks) - 1; i >= 0; i-- {
			if slices.ContainsFunc(r.blocks[b].tasks[i].uses, func(u use) bool { return u.thing == what }) {
				return b, i
			}
		}
	}
	return 0, 0
}
