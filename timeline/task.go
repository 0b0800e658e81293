package timeline

import (
	"math"
	"slices"
	"time"

	"brothrun/stock/quantity"
)

// task is a step before it has a place on the clock: what it is, and what ties
// it to the steps before it.
type task struct {
	Step
	rules []rule
	uses  []use // what it takes of the kitchen: its needs, with the pot by its name
	soft  bool  // it can wait where a run goes on for longer, so likely times count
	came
}

// rule ties a task to one that stands before it in the row.
type rule struct {
	after       string        // the step it follows
	beside      bool          // counted from that step's start instead of its end
	least, most time.Duration // between the two
	rigid       bool          // without a pause: the two move as one
	why         Reason
}

// forever is the most of a rule that sets no limit.
const forever = time.Duration(math.MaxInt64)

// atOnce is the rule of a task that follows without a pause.
func atOnce(after string, why Reason) rule { return rule{after: after, rigid: true, why: why} }

// block is a row of tasks without a pause between them: it moves as one. Offsets
// count from its start, when every step before takes the short, the likely and
// the long span.
type block struct {
	tasks               []task
	early, at, late     []time.Duration
	likelyEnd, longEnd  time.Duration
	began               time.Time     // when the first of them did; zero: it is still to come
	attended            time.Duration // the longest stretch in which somebody has to be there
	attendedFrom, until int           // its first and last task
}

// bound says that the start of block to is at least gap after that of block from.
type bound struct {
	from, to  int
	gap       time.Duration // by likely spans
	late      time.Duration // by long ones
	rule      rule
	task      Part // that the rule is about
	isLongest bool // it holds the earlier block back, not the later one up
}

// row is a run's tasks as blocks, with the bounds between them.
type row struct {
	blocks []block
	bounds []bound
	pot    thing
}

// newRow joins tasks, each listed after those its rules name, into blocks. pot is
// the one that the row takes.
func newRow(tasks []task, pot thing) row {
	r := row{pot: pot}
	type place struct{ block, index int }
	places := map[string]place{}
	for _, t := range tasks {
		home := -1
		for _, rule := range t.rules {
			if p, ok := places[rule.after]; ok && rule.rigid {
				home = p.block
				break
			}
		}
		if home < 0 {
			home = len(r.blocks)
			r.blocks = append(r.blocks, block{began: t.began})
		}
		b := &r.blocks[home]
		var early, at, late time.Duration
		for _, rule := range t.rules {
			p, ok := places[rule.after]
			if !ok || p.block != home {
				continue
			}
			before, span := b.tasks[p.index], quantity.Band[time.Duration]{}
			if !rule.beside {
				span = before.Span
			}
			early = max(early, b.early[p.index]+span.Low+rule.least)
			at = max(at, b.at[p.index]+span.Likely+rule.least)
			late = max(late, b.late[p.index]+span.High+rule.least)
		}
		if !b.began.IsZero() {
			short, long := early, late
			early, at, late = t.within(b.began, early), t.within(b.began, at), t.within(b.began, late)
			if t.supposed {
				early, late = min(short, at), max(long, at)
			}
		}
		places[t.ID] = place{home, len(b.tasks)}
		b.tasks = append(b.tasks, t)
		b.early, b.at, b.late = append(b.early, early), append(b.at, at), append(b.late, late)
		b.likelyEnd = max(b.likelyEnd, at+t.Span.Likely)
		b.longEnd = max(b.longEnd, late+t.Span.High)
	}
	for _, t := range tasks {
		own := places[t.ID]
		for _, rule := range t.rules {
			p, ok := places[rule.after]
			if !ok || p.block == own.block {
				continue
			}
			before, after := r.blocks[p.block], r.blocks[own.block]
			end, lateEnd := before.at[p.index], before.late[p.index]
			if !rule.beside {
				end += before.tasks[p.index].Span.Likely
				lateEnd += before.tasks[p.index].Span.High
			}
			offset := after.at[own.index]
			r.bounds = append(r.bounds, bound{from: p.block, to: own.block, gap: end + rule.least - offset,
				late: lateEnd + rule.least - offset, rule: rule, task: t.part()})
			if rule.most != forever {
				gap := offset - end - rule.most
				r.bounds = append(r.bounds,
					bound{from: own.block, to: p.block, gap: gap, late: gap, rule: rule, task: t.part(), isLongest: true})
			}
		}
	}
	for i := range r.blocks {
		r.blocks[i].measure()
	}
	return r
}

// using fills in what tasks take of the kitchen. Shelves are shared without end;
// from the reheat to the last filling of a session the broth is kept hot beside
// the canner, so that the stove holds both.
func using(tasks []task, pot thing) []task {
	for i := range tasks {
		t := &tasks[i]
		for _, need := range t.Needs {
			switch need {
			case Cook, Fridge, Freezer:
			case Pot:
				t.uses = append(t.uses, use{pot, 1})
			default:
				t.uses = append(t.uses, one(need))
			}
		}
		onItsOwn := slices.Contains(t.Needs, Outdoors)
		switch {
		case t.Role == Load && i+2 < len(tasks) && tasks[i+2].Role == Fill:
			if onItsOwn {
				t.uses = append(t.uses, one(Stove))
				break
			}
			t.uses[slices.Index(t.uses, one(Stove))].places = 2
		case t.Role == Unload && i+1 < len(tasks) && tasks[i+1].Role == Fill:
			t.uses = append(t.uses, one(Stove))
		}
	}
	return tasks
}

// measure finds the longest stretch of the block in which somebody has to be
// there, which has to lie within one day's hours.
func (b *block) measure() {
	order := make([]int, len(b.tasks))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int { return int(b.at[i] - b.at[j]) })
	first, begin, end := -1, time.Duration(0), time.Duration(0)
	for _, i := range order {
		t := b.tasks[i]
		if t.Kind == Waiting {
			continue
		}
		if first < 0 || b.at[i] > end {
			first, begin, end = i, b.at[i], b.at[i]
		}
		end = max(end, b.at[i]+t.Span.Likely)
		if end-begin > b.attended {
			b.attended, b.attendedFrom, b.until = end-begin, first, i
		}
	}
}

// soonest is when the row would end if nothing but its rules held it back.
func (r row) soonest(start time.Time) time.Time {
	starts := make([]time.Duration, len(r.blocks))
	for range r.blocks {
		for _, b := range r.bounds {
			if !b.isLongest {
				starts[b.to] = max(starts[b.to], starts[b.from]+b.gap)
			}
		}
	}
	last := len(r.blocks) - 1
	return start.Add(starts[last] + r.blocks[last].likelyEnd)
}

// latest is when the row would begin if nothing but its rules and a deadline held it
// back.
func (r row) latest(finishBy time.Time) time.Time {
	starts := make([]time.Duration, len(r.blocks)) // before the deadline
	for i := range r.blocks {
		starts[i] = r.blocks[i].longEnd
	}
	for range r.blocks {
		for _, b := range r.bounds {
			if !b.isLongest {
				starts[b.from] = max(starts[b.from], starts[b.to]+max(b.gap, b.late))
			}
		}
	}
	return finishBy.Add(-starts[0])
}

// find returns the block and index of a step.
func (r row) find(id string) (blockIndex, taskIndex int, ok bool) {
	for i, b := range r.blocks {
		for j, t := range b.tasks {
			if t.ID == id {
				return i, j, true
			}
		}
	}
	return 0, 0, false
}
