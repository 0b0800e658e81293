package timeline

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"brothrun/stock"
	"brothrun/stock/quantity"
	"brothrun/stock/record"
	"brothrun/stock/remark"
)

// State is how far a step has come, by the notes of the run and, where nothing is
// noted, by the plan there was when the next thing was.
type State int

// The states.
const (
	ToCome State = iota
	Begun
	Ended
	Skipped
)

// came is what is known of a task beside its plan; all zero of one to come.
type came struct {
	began, ended time.Time
	held         time.Time // it does not begin before or, where it is on, end
	skipped      bool
	supposed     bool // nobody said that it began: that may be early or late
	presumed     bool // nobody said that it ended: it may run long all the same
}

// within is when a task starts, after the beginning of its block, that by the rules
// starts at offset.
func (c came) within(began time.Time, offset time.Duration) time.Duration {
	switch {
	case !c.began.IsZero():
		return c.began.Sub(began)
	case c.held.After(began):
		return max(offset, c.held.Sub(began))
	}
	return offset
}

func (c came) state() State {
	switch {
	case c.skipped:
		return Skipped
	case !c.ended.IsZero():
		return Ended
	case !c.began.IsZero():
		return Begun
	}
	return ToCome
}

// noted tells what of a step a note says, so that no presumption stands against it.
type noted struct{ began, ended bool }

// course is how far a run has come.
type course struct {
	run   Run
	asOf  time.Time // of the last note
	came  map[string]came
	noted map[string]noted
	ends  map[string]quantity.Band[time.Duration] // of a load in the canner: how long it takes, from its beginning
	// tasks are as they were placed last, each where planned says.
	tasks   []task
	planned map[string]Booking
	base    finding     // as it was planned
	house   *house      // as it was then
	hot     map[int]int // loads whose broth was heated, by session
}

// follow places a run that has a record: what came stands where it did, and the rest
// is placed by the rules there are, from what is true. Steps that nobody noted are
// taken to have gone by the plan there was when the next thing was noted. What is
// still to come keeps its place in that plan where it can.
func (h *house) follow(run Run) (finding, obstacle, bool) {
	planned := run
	planned.Record, planned.Batch = nil, run.Planned
	var found finding
	var met obstacle
	ok := run.base != nil
	if ok {
		found = *run.base
	} else if found, met, ok = h.find(planned); !ok {
		// It was begun all the same.
		if found, met, ok = h.open().find(planned); !ok {
			return found, met, false
		}
	}
	c := course{run: run, base: found, house: h.apart(), came: map[string]came{}, noted: map[string]noted{},
		hot: map[int]int{}, ends: map[string]quantity.Band[time.Duration]{}}
	placed := true
	for i, e := range run.Record {
		c.presume(found, e.At)
		c.take(e)
		last := i == len(run.Record)-1
		if !last && !onTheClock(e.What) {
			continue
		}
		next, o, ok := h.rest(&c, found)
		if placed, met = ok, o; !ok {
			if next, _, ok = h.open().rest(&c, found); !ok {
				return found, met, false
			}
		}
		found = next
	}
	if !placed {
		found.unfit = met
	}
	return found, met, true
}

// asPlanned puts into runs with a record where they were planned, all of them together
// and in their order: a note of one does not change who was there first.
func (h *house) asPlanned(runs []Run) []Run {
	planned, came := slices.Clone(runs), false
	for i := range planned {
		if run := &planned[i]; len(run.Record) > 0 {
			run.Record, run.Batch, came = nil, run.Planned, true
		}
	}
	if !came {
		return runs
	}
	full, finds, missed := h.fit(planned)
	if slices.ContainsFunc(missed, func(m *miss) bool { return m != nil }) {
		return runs
	}
	all := slices.Clone(runs)
	for i := range all {
		before, err := full.planOf(planned[i], finds[i])
		if err == nil && len(all[i].Record) > 0 {
			all[i].base, all[i].before = &finds[i], &before
		}
	}
	return all
}

// open is the house with nothing in the way.
func (h *house) open() *house {
	empty := Calendar{Location: h.Location, Awake: Hours{0, 24 * time.Hour}, Cooks: h.Cooks, Burners: h.Burners}
	if h.CannerHours != (Hours{}) {
		empty.CannerHours = Hours{0, 24 * time.Hour}
	}
	return newHouse(empty, h.from, h.until)
}

// presume takes what a plan had before an instant to have gone by it.
func (c *course) presume(found finding, until time.Time) {
	defer c.heated(found.sessions)
	c.asOf, c.tasks, c.planned = until, nil, map[string]Booking{}
	for i := range found.row.blocks {
		b := &found.row.blocks[i]
		for j, t := range b.tasks {
			c.tasks = append(c.tasks, t)
			at := c.came[t.ID]
			start := found.at.starts[i].Add(b.at[j])
			end := start.Add(t.Span.Likely)
			c.planned[t.ID] = Booking{From: start, To: end}
			if at.began.IsZero() && !start.After(until) {
				at.began, at.supposed = start, true
			}
			if !at.began.IsZero() && at.ended.IsZero() && !end.After(until) {
				at.ended, at.presumed = end, true
			}
			c.came[t.ID] = at
		}
	}
}

// onTheClock reports whether a word says something of when steps are.
func onTheClock(w record.What) bool {
	return w.OfLoad() || w == record.Reading || slices.Contains([]record.What{record.Began, record.Done, record.Late, record.Skipped,
		record.Strained, record.Drained, record.Ready}, w)
}

// take makes of a note what it says of the clock.
func (c *course) take(e record.Entry) {
	id := e.Step
	ofLoad := func(step Role) {
		for _, t := range c.tasks {
			if t.Role == step && t.Loads[0].Number == e.Load {
				id = t.ID
			}
		}
	}
	if id == "" && e.Load > 0 {
		ofLoad(Load)
	}
	if (e.What == record.Began || e.What == record.Done) && c.inTheCanner(id, e) {
		return // the notes of the load say what it does
	}
	switch e.What {
	case record.Began:
		c.begin(id, e.At)
	case record.Done:
		c.end(id, e.At)
	case record.Late:
		c.late(id, e.At, e.Span)
	case record.Skipped:
		at := c.came[id]
		at.skipped = true
		c.came[id] = at
	case record.Strained, record.Drained:
		c.endOf(Strain, e.At)
	case record.Ready:
		c.endOf(Skim, e.At)
	case record.Reading:
		c.warm(e)
	case record.Filled:
		ofLoad(Fill)
		c.end(id, e.At)
	case record.LidOff:
		ofLoad(Load)
		c.end(id, e.At)
	case record.Drying:
		c.nextOf("dry-load", e.At)
	case record.Dried:
		c.nextOf("dry-check", e.At)
	case record.Sealed:
		c.nextOf("seal-check", e.At)
	case record.Steam, record.Vented, record.AtPressure, record.Fell, record.HeatOff, record.Zero:
		ofLoad(Load)
		c.inCanner(id, e)
	}
}

// inTheCanner reports whether a step that is said to have begun or ended is a load, or its
// unloading, that by its own notes is still in the canner.
func (c *course) inTheCanner(id string, e record.Entry) bool {
	task, ok := c.task(id)
	if !ok || task.Role != Load && task.Role != Unload || task.Role == Load && e.What == record.Began {
		return false
	}
	phase := Can(task.Loads[0], upTo(c.run.Record, e.At)).Phase
	return phase != NotOn && phase != Opened
}

// warm keeps a chill going that a reading shows is not over: another look is due in a
// while.
func (c *course) warm(e record.Entry) {
	const look = 15 * time.Minute
	at, known := c.came["chill"]
	begun := func(id string) bool { return !c.came[id].began.IsZero() && c.noted[id] != noted{} }
	skimmed := begun("skim") || begun("leftover")
	if e.Temperature <= firstStage || !known || at.began.IsZero() || c.noted["chill"].ended || skimmed {
		return
	}
	at.ended, at.presumed, at.held = time.Time{}, false, latestOf(c.planned["chill"].To, e.At.Add(look))
	c.came["chill"] = at
	c.forget("chill")
}

// endOf ends the step of a role, of several the last, unless a note ended it already.
func (c *course) endOf(role Role, t time.Time) {
	for _, task := range slices.Backward(c.tasks) {
		if task.Role != role {
			continue
		}
		if !c.noted[task.ID].ended {
			c.end(task.ID, t)
		}
		return
	}
}

// nextOf ends the next step that follows the run, of those numbered from one of a kind.
func (c *course) nextOf(kind string, t time.Time) {
	for n := 1; n <= stock.MostLoads; n++ {
		id := nth(kind, n)
		if strings.HasPrefix(kind, "dry") {
			id = fmt.Sprintf("%s-%d", kind, n)
		}
		if !c.noted[id].ended {
			c.end(id, t)
			return
		}
	}
}

// settle puts what is noted of a step that follows the run into it; a nil course has
// no notes. It reports whether there was any.
func (c *course) settle(s *Step) bool {
	if c == nil || c.noted[s.ID] == (noted{}) {
		return false
	}
	at := c.came[s.ID]
	length := s.Span.Likely
	s.Start, s.End, s.State = at.began, at.began.Add(length), Begun
	if !at.ended.IsZero() {
		s.Start, s.End, s.State = at.ended.Add(-length), at.ended, Ended
		if c.noted[s.ID].began {
			s.Start = at.began
		}
	}
	return true
}

// from is the first instant from t on at which a step that follows the run may begin.
func (c *course) from(t time.Time, id string) time.Time {
	if c == nil {
		return t
	}
	return latestOf(t, c.came[id].held)
}

// inCanner is a note of a load that is on the heat: it has begun and is not over.
func (c *course) inCanner(id string, e record.Entry) {
	at := c.came[id]
	if at.began.IsZero() || at.began.After(e.At) {
		at.began = e.At
	}
	at.ended, at.supposed = time.Time{}, false
	c.came[id] = at
	c.before(id, at.began)
	c.forget(id)
	i := slices.IndexFunc(c.tasks, func(t task) bool { return t.ID == id })
	if i < 0 {
		return
	}
	load := c.tasks[i].Loads[0]
	early, likely, late := Can(load, upTo(c.run.Record, e.At)).Ends(load.Cycle, e.At)
	c.ends[id] = quantity.Band[time.Duration]{
		Low: early.Sub(at.began), Likely: likely.Sub(at.began), High: late.Sub(at.began)}
}

func (c *course) task(id string) (task, bool) {
	i := slices.IndexFunc(c.tasks, func(t task) bool { return t.ID == id })
	if i < 0 {
		return task{}, false
	}
	return c.tasks[i], true
}

// begin sets when a step began: what comes before it is over by then.
func (c *course) begin(id string, t time.Time) {
	at := c.came[id]
	at.began, at.supposed = t, false
	if !c.noted[id].ended || at.ended.Before(t) {
		at.ended = time.Time{}
	}
	c.came[id], c.noted[id] = at, noted{began: true, ended: !at.ended.IsZero()}
	c.before(id, t)
	c.forget(id)
}

// end sets when a step ended.
func (c *course) end(id string, t time.Time) {
	at := c.came[id]
	if at.began.IsZero() || at.began.After(t) {
		at.began = t
		if task, ok := c.task(id); ok {
			at.began = t.Add(-task.Span.Likely)
			for _, rule := range task.rules {
				if before := c.came[rule.after]; before.ended.After(at.began) && !before.ended.After(t) {
					at.began = before.ended
				}
			}
		}
	}
	at.ended, at.presumed, at.supposed = t, false, false
	c.came[id], c.noted[id] = at, noted{began: c.noted[id].began, ended: true}
	c.before(id, at.began)
	c.forget(id)
}

// before closes what a step follows by the time it began, as far as no note says
// otherwise.
func (c *course) before(id string, t time.Time) {
	task, _ := c.task(id)
	for _, rule := range task.rules {
		at := c.came[rule.after]
		if at.began.IsZero() || at.began.After(t) {
			at.began = t
		}
		at.supposed = false
		if _, on := c.ends[rule.after]; on && at.ended.IsZero() {
			c.came[rule.after] = at
			continue // a load in the canner is not over because something else began
		}
		if !rule.beside && (at.ended.IsZero() || at.ended.After(t)) {
			at.ended = t
		}
		at.presumed = at.presumed && rule.beside
		c.came[rule.after] = at
		c.before(rule.after, at.began)
	}
}

// forget takes back what was presumed of the steps that follow one, where that is not
// over or ended later than was thought.
func (c *course) forget(id string) {
	for _, t := range c.tasks {
		at := c.came[t.ID]
		if at.began.IsZero() || c.noted[t.ID] != (noted{}) {
			continue
		}
		for _, rule := range t.rules {
			before := c.came[rule.after]
			if rule.beside && (before.began.IsZero() || before.began.After(at.began)) ||
				!rule.beside && (before.ended.IsZero() || before.ended.After(at.began)) {
				c.came[t.ID] = came{held: at.held, skipped: at.skipped}
				break
			}
		}
	}
}

// late puts off the end of a step that is on, or else the beginning of the next, by
// some time: from where it was or, where that is past, from the instant of the note.
func (c *course) late(id string, t time.Time, span time.Duration) {
	if id == "" {
		for _, task := range c.tasks {
			at := c.came[task.ID]
			if on := !at.began.IsZero() && (at.ended.IsZero() || at.ended.After(t)); on || id == "" && at.began.IsZero() {
				id = task.ID
			}
			if at.began.IsZero() {
				break
			}
		}
	}
	at := c.came[id]
	planned, inRow := c.planned[id]
	if !inRow && c.run.before != nil { // it follows the run
		if i := slices.IndexFunc(c.run.before.Steps, func(s Step) bool { return s.ID == id }); i >= 0 {
			planned = Booking{From: c.run.before.Steps[i].Start, To: c.run.before.Steps[i].End}
		}
	}
	at.held = latestOf(t, planned.From).Add(span)
	if !at.began.IsZero() {
		at.ended, at.held = time.Time{}, latestOf(t, planned.To).Add(span)
	}
	c.came[id] = at
	c.forget(id)
}

// apply puts what came into tasks.
func (c *course) apply(tasks []task) {
	for i := range tasks {
		t := &tasks[i]
		t.came = c.came[t.ID]
		if ends, inCanner := c.ends[t.ID]; inCanner {
			t.Span = ends
		}
		switch span := &t.Span; {
		case t.skipped:
			*span = quantity.Exactly(time.Duration(0))
		case !t.ended.IsZero() && t.presumed:
			// That time goes by says nothing: else a remark would move what stands behind.
			took := t.ended.Sub(t.began)
			*span = quantity.Band[time.Duration]{Low: min(took, span.Low), Likely: took, High: max(took, span.High)}
		case !t.ended.IsZero():
			*span = quantity.Exactly(t.ended.Sub(t.began))
		case t.began.IsZero():
			t.held = latestOf(t.held, c.asOf)
		default:
			least := max(c.asOf.Sub(t.began), t.held.Sub(t.began))
			span.Low, span.Likely, span.High = max(span.Low, least), max(span.Likely, least), max(span.High, least)
		}
	}
}

// rest places what is still to come of a run, of which a plan was found before. What
// has begun and will not be over while somebody is up goes on all the same, with a
// warning.
func (h *house) rest(c *course, before finding) (finding, obstacle, bool) {
	var met obstacle
	for _, strict := range []bool{true, false} {
		var best finding
		found := false
		for _, sessions := range c.layouts(before.sessions) {
			for _, joined := range []bool{true, false} {
				for _, cold := range c.run.picks() {
					tasks := h.tasksOf(c.run, way{sessions, joined, cold})
					c.apply(tasks)
					r := newRow(using(tasks, c.run), c.run.things())
					for _, p := range []patient{{careful, careful}, {lenient, lenient}} {
						next, o, ok := h.restOf(c, r, sessions, before, strict, p)
						switch {
						case !ok && met.kind == NotHeld:
							met = o
						case ok && !cold && c.meatLate(next): // out of the fridge it is no more
						case ok && (!found || c.better(next, best, before, h.Location)):
							best, found = next, true
						}
					}
				}
				// Nothing is lost and it is laid out as it was: no other way is better.
				if found && slices.Max(c.worth(best, before, h.Location)[:4]) == 0 {
					best.course = c
					return best, obstacle{}, true
				}
			}
		}
		if found {
			best.course = c
			return best, obstacle{}, true
		}
	}
	return finding{}, met, false
}

// strained is when the straining ends.
func (f finding) strained() time.Time {
	i, j, _ := f.row.find("strain")
	start, _ := f.starts("strain")
	return start.Add(f.row.blocks[i].tasks[j].Span.Likely)
}

// picking is the picking of a row; ok is false where it has none.
func (f finding) picking() (t task, ok bool) {
	i, j, ok := f.row.find("pick")
	if ok {
		t = f.row.blocks[i].tasks[j]
	}
	return t, ok
}

// meatLate reports whether birds that are still to be picked would be out of the fridge for
// too long.
func (c *course) meatLate(f finding) bool {
	t, ok := f.picking()
	start, _ := f.starts("pick")
	return ok && t.state() == ToCome && start.Add(t.Span.Likely).After(f.strained().Add(MeatOut))
}

// pickedWarm is until when birds that have not been cold are picked, by the notes; zero
// where nothing says that it has begun.
func (f finding) pickedWarm() (until time.Time) {
	t, ok := f.picking()
	if !ok || t.Cold || t.state() == ToCome || t.state() == Skipped {
		return until
	}
	start, _ := f.starts("pick")
	return start.Add(t.Span.Likely)
}

// coldNow reports whether birds that were to be picked warm are to go into the fridge first.
func (c *course) coldNow(f finding) bool {
	t, ok := f.picking()
	before, _ := c.base.picking()
	return ok && t.Cold && !before.Cold && t.state() == ToCome
}

// better compares two ways to go on: one that keeps what was asked for, then the
// shorter wait past the hours of the day, then the fewer days lost on what was planned,
// then the one laid out as it was, then the one that moves less.
func (c *course) better(a, b, before finding, place *time.Location) bool {
	return slices.Compare(c.worth(a, before, place), c.worth(b, before, place)) < 0
}

// worth is what a way costs, in the order of better; the least is 0 of each.
func (c *course) worth(f, before finding, place *time.Location) []int {
	late, over, other, moved := 0, 0, 0, 0
	if !c.run.When.FinishBy.IsZero() && f.likely.After(c.run.When.FinishBy) {
		late = 1
	}
	if !f.over.IsZero() {
		over = int(f.over.Sub(c.asOf))
	}
	if f.sessions != before.sessions || len(f.row.blocks) != len(before.row.blocks) {
		other = 1
	}
	for i := range f.row.blocks {
		for j, t := range f.row.blocks[i].tasks {
			if at, ok := before.starts(t.ID); !ok || !at.Equal(f.at.starts[i].Add(f.row.blocks[i].at[j])) {
				moved++
			}
		}
	}
	return []int{late, over, max(0, dayNumber(f.likely, place)-dayNumber(c.base.likely, place)), other, moved}
}

// starts is when a step begins.
func (f finding) starts(id string) (at time.Time, ok bool) {
	i, j, ok := f.row.find(id)
	if !ok {
		return time.Time{}, false
	}
	return f.at.starts[i].Add(f.row.blocks[i].at[j]), true
}

// restOf is one way to go on. Not strict, what has begun may go on into any hours.
func (h *house) restOf(
	c *course, r row, sessions layout, before finding, strict bool, p patient,
) (finding, obstacle, bool) {
	limit := c.asOf.Add(searchDays * day)
	soonest := placing{starts: make([]time.Time, len(r.blocks)), why: make([]obstacle, len(r.blocks))}
	fixed := 0
	for i := range r.blocks {
		b := &r.blocks[i]
		if !b.began.IsZero() {
			fixed, soonest.starts[i] = i+1, b.began
			continue
		}
		soonest.starts[i] = c.asOf
		for j, t := range b.tasks {
			soonest.starts[i] = latestOf(soonest.starts[i], t.held.Add(-b.at[j]))
		}
	}
	var over obstacle
	var until time.Time
	for i := range fixed {
		if a, span := clash(h.asks(&r.blocks[i], lenient), soonest.starts[i]); a != nil {
			over, until = a.met(span), soonest.starts[i].Add(r.blocks[i].likelyEnd)
		}
	}
	if strict && over.kind != NotHeld {
		return finding{}, over, false
	}
	at, met, ok := h.forward(r, soonest, fixed, limit, p)
	if !ok {
		return finding{}, met, false
	}
	best := h.finding(r, h.inTheMorning(r, at, fixed, limit, p), sessions)
	// What need not move does not.
	kept := placing{starts: slices.Clone(soonest.starts), why: slices.Clone(soonest.why)}
	for i := fixed; i < len(r.blocks); i++ {
		if k, _, ok := before.row.find(r.blocks[i].tasks[0].ID); ok {
			if start, _ := before.starts(r.blocks[i].tasks[0].ID); start.After(kept.starts[i]) {
				kept.starts[i], kept.why[i] = start, before.at.why[k]
			}
		}
	}
	hurry := slices.ContainsFunc(c.run.Batch.Loads, func(l stock.Load) bool { return l.Unprocessed }) // it waits hot
	if at, _, ok := h.forward(r, kept, fixed, limit, p); ok && !hurry {
		next := h.finding(r, at, sessions)
		if !c.better(best, next, before, h.Location) {
			best = next
		}
	}
	best.over, best.goesOn = until, over
	return best, obstacle{}, true
}

// layouts lists how the loads may be shared among sessions of canning, of which those
// that are over, and what has begun of the one that is on, stay as they are.
func (c *course) layouts(before layout) []layout {
	loads := len(c.run.Batch.Loads)
	session, begun, over := 0, 0, false
	for _, t := range c.tasks {
		at := c.came[t.ID]
		if at.began.IsZero() || t.Session == 0 || t.Session > len(before) {
			continue
		}
		if t.Session > session {
			session, begun, over = t.Session, 0, false
		}
		if t.Role == Fill {
			begun++
			// What is canned again is heated again, in clean jars.
			over = over || t.Loads[0].Unprocessed
		}
		over = over || t.Role == CleanUp // with that begun, no load follows in the same session
	}
	var all []layout
	if before.loads() == loads && (session == 0 || !over || int(before[session-1]) == begun) {
		all = append(all, before) // nothing new
	}
	if session == 0 {
		for n := range c.run.mostSessions() {
			all = append(all, evenly(loads, n+1))
		}
		return all
	}
	done := before[:session-1]
	left := loads
	for n := range done {
		left -= int(done[n])
	}
	if left < 0 {
		return nil // fewer loads are asked for than were begun
	}
	if begun = min(begun, left); !over {
		all = append(all, done+evenly(left, 1))
		begun = max(begun, 1)
	}
	if left == begun && over {
		return []layout{done + evenly(begun, 1)}
	}
	for n := 1; n <= min(left-begun, mostSessions-session); n++ {
		all = append(all, done+evenly(begun, 1)+evenly(left-begun, n))
	}
	return all
}

// heated keeps in mind for how many loads broth has been heated.
func (c *course) heated(sessions layout) {
	for n := range sessions {
		if reheat := c.came[nth("reheat", n+1)]; !reheat.began.IsZero() {
			c.hot[n+1] = max(c.hot[n+1], int(sessions[n]))
		}
	}
}

// warnings says what the cook should know of how a run goes on; nothing of a nil
// course.
func (c *course) warnings(h *house, found finding) (notes []remark.Note) {
	if c == nil {
		return nil
	}
	strained, keeps := c.came["strain"].ended, time.Time{}
	if !strained.IsZero() {
		keeps = fridgeDate(strained, h.Location)
	}
	if found.goesOn.kind != NotHeld {
		notes = append(notes,
			note(GoesOn, found.goesOn.of(), h.local(found.over), h.met(found.goesOn), keeps))
	}
	for n := range found.sessions {
		loads := found.sessions.of(c.run.Batch.Loads, n+1)
		next := c.came[nth("reheat", n+2)]
		if more := c.hot[n+1] - len(loads); more > 0 && n+1 < len(found.sessions) && next.began.IsZero() {
			later := found.sessions.of(c.run.Batch.Loads, n+2)
			notes = append(notes, note(CoolAgain, later[:min(more, len(later))], keeps))
		}
	}
	if c.coldNow(found) {
		notes = append(notes, note(MeatWaits, h.local(found.strained().Add(MeatOut))))
	}
	if until, picked := found.strained().Add(MeatOut), found.pickedWarm(); picked.After(until) {
		notes = append(notes, note(MeatTooLong, h.local(picked), h.local(until)))
	}
	switch chilling := Chilled(c.run.Record, c.asOf); chilling.Stands {
	case ReheatNow:
		notes = append(notes, note(ReheatBroth, h.local(chilling.From), h.local(chilling.Reheat)))
	case Unproven:
		notes = append(notes, note(ChillUnproven, h.local(chilling.By70F), h.local(chilling.By41F)))
	}
	for _, load := range c.run.Batch.Loads {
		if canned := Can(load, c.run.Record); canned.NotProcessed.Code != "" && c.asOf.Before(canned.Redo().Add(day)) {
			why := canned.NotProcessed
			notes = append(notes, why, note(RedoLoad, load.Number, load, h.local(canned.Redo())))
		}
	}
	return append(notes, c.unsealed(h, keeps)...)
}

// unsealed says what to do with jars that did not seal, which goes by when they came
// out of the canner: by that of their load or else of the first.
func (c *course) unsealed(h *house, keeps time.Time) (notes []remark.Note) {
	for _, e := range c.run.Record {
		if e.What != record.Unsealed {
			continue
		}
		var out time.Time
		for _, load := range c.run.Batch.Loads {
			end := c.came[fmt.Sprintf("unload-%d", load.Number)].ended
			if !end.IsZero() && (e.Load == load.Number || e.Load == 0) && (out.IsZero() || end.Before(out)) {
				out = end
			}
		}
		switch by := out.Add(reprocessWithin); {
		case out.IsZero() || c.asOf.After(e.At) && c.asOf.After(by): // it was dealt with
		case e.At.After(by):
			notes = append(notes, note(UnsealedJars, e.Jars, h.local(out)).In("late"))
		default:
			notes = append(notes, note(UnsealedJars, e.Jars, h.local(by), keeps))
		}
	}
	return notes
}

// keptFor is how long the broth stood in the fridge before it was skimmed or reheated,
// where that is longer than it keeps: what follows at once on a skimming that has
// begun stands, however late.
func (f finding) keptFor() (took time.Duration, tooLong bool) {
	strained := f.course.came["strain"].ended
	for _, id := range []string{"skim", "leftover", "reheat"} {
		if cold, ok := f.starts(id); ok && !strained.IsZero() && cold.Sub(strained) > fridgeHold {
			return cold.Sub(strained), true
		}
	}
	return 0, false
}

// spoil leaves of a plan what came, and nothing to come: the broth is thrown away.
func (p *Plan) spoil(why remark.Note) {
	b := &p.Batch
	b.Refusals = append(slices.Clip(b.Refusals), why)
	b.Loads, b.Jars, b.LoadChance, b.FewestLoads, b.MostLoads = nil, nil, nil, 0, 0
	p.Steps = slices.DeleteFunc(p.Steps, func(s Step) bool { return s.State == ToCome })
	p.UseBy = nil
}

// followed writes a run with a record, each step beside where it was planned.
func (h *house) followed(run Run, found finding) (Plan, error) {
	run.course = found.course
	plan, err := h.planOf(run, found)
	if err != nil {
		return Plan{}, err
	}
	if found.unfit.kind != NotHeld {
		unfit := h.unfit(run, found.unfit, false)
		keeps := time.Time{}
		if strained := found.course.came["strain"].ended; !strained.IsZero() {
			keeps = fridgeDate(strained, h.Location)
		}
		plan.Warnings = append([]remark.Note{note(RestUnfit, unfit, unfit.WaysOut(nil), keeps)}, plan.Warnings...)
	}
	plan.AsOf, plan.Record, plan.Planned = found.course.asOf.In(h.Location), run.Record, &run.Planned
	before := run.before
	if before == nil {
		planned := run
		planned.Record, planned.course, planned.Batch = nil, nil, run.Planned
		found.course.house.take(planned, found.course.base)
		alone, err := found.course.house.planOf(planned, found.course.base)
		if err != nil {
			return Plan{}, err
		}
		before = &alone
	}
	for i := range plan.Steps {
		step := &plan.Steps[i]
		if step.State == ToCome && !step.Start.After(plan.AsOf) {
			step.State = Begun
			if !step.End.After(plan.AsOf) {
				step.State = Ended
			}
		}
		if k := slices.IndexFunc(before.Steps, func(s Step) bool { return s.ID == step.ID }); k >= 0 {
			step.Planned = Booking{From: before.Steps[k].Start, To: before.Steps[k].End}
		}
	}
	if took, tooLong := found.keptFor(); tooLong {
		plan.spoil(remark.Of(remark.BrothKept, took, fridgeHold))
	}
	return plan, nil
}
