package timeline

import (
	"cmp"
	"errors"
	"fmt"
	"iter"
	"maps"
	"slices"
	"strings"
	"time"

	"brothrun/stock"
	"brothrun/stock/quantity"
	"brothrun/stock/remark"
	"brothrun/stock/settle"
	"brothrun/stock/thaw"
)

// longestName is the most of an appointment's name that is told, in characters.
const longestName = 60

// MostRuns is how many runs are put on one calendar; own choice.
const MostRuns = 20

// ScheduleAll puts the steps of runs on one calendar, 1 to MostRuns, each with an ID of
// its own: they share the cook's hands, the stove, the canner, the pots of one name and
// the freeze dryer. Runs are placed in the order given, each around those before it; one
// that finds no place is tried first of all. Where there is no room for all, those that
// find none in the order given are left out. Plans come in the order of runs.
//
// The first row, from preparing to
// the end of the attended chill, has no break, since chilling starts as soon as
// the broth is strained; skimming and canning follow after a night in the fridge,
// on one day or, where that holds no place for them, on several. Hands-on and
// watched steps stay within the awake hours and out of the busy times; waiting
// ones pass through both. Elapsed time is elapsed time, whatever the clock does.
//
// From a start every step comes as early as it can; back from a deadline as late;
// in a span the start is chosen that takes the fewest nights and then ends
// first. Long spans count towards a deadline and before an appointment, where
// running late hurts; in the evening they only make a warning. Where it costs neither a
// day nor a night nor a seal, nobody is asked for anything outside the civil hours.
//
// The error joins an *Unfit for each run that is left out, whose plan has it and no steps:
// it says why there is no place, and by its WaysOut what would make one, and by how much.
// No plan has steps where the error is another, a *NoSuchChoice among them.
func ScheduleAll(runs []Run, calendar Calendar) ([]Plan, error) {
	if len(runs) < 1 || len(runs) > MostRuns {
		return nil, fmt.Errorf("%d runs: must be from 1 to %d", len(runs), MostRuns)
	}
	ids := map[string]bool{}
	for _, run := range runs {
		if err := run.When.Check(); err != nil {
			return nil, err
		}
		if ids[run.ID] {
			return nil, fmt.Errorf("two runs have the id %q: each needs one of its own", run.ID)
		}
		ids[run.ID] = true
	}
	var awake []remark.Note
	if calendar.Awake == (Hours{}) {
		calendar.Awake = DefaultAwake()
		awake = []remark.Note{note(AwakeAssumed, calendar.Awake)}
	}
	calendar.Busy = slices.Clone(calendar.Busy)
	for i, b := range calendar.Busy {
		if name := []rune(b.What); len(name) > longestName {
			calendar.Busy[i].What = string(name[:longestName-1]) + "…"
		}
	}
	from, until := Reach(runs)
	empty := newHouse(calendar, from, until)
	runs = empty.asPlanned(runs)

	h, finds, missed := empty.fit(runs)
	var choices []Choice
	if len(runs) == 1 && missed[0] == nil {
		var err error
		if finds[0], choices, err = empty.choose(runs[0], finds[0]); err != nil {
			return nil, err
		}
		h = empty.apart()
		h.take(runs[0], finds[0])
	}
	empty.early(runs, finds, missed)
	plans := make([]Plan, len(runs))
	var unfits []error
	// What follows a run can wait, so it goes round all of them.
	for i, run := range runs {
		var err error
		if m := missed[i]; m != nil {
			err = h.unfit(run, m.met, len(runs) > 1)
		} else {
			plans[i], err = h.plan(run, finds[i])
		}
		var unfit *Unfit
		if errors.As(err, &unfit) {
			plans[i] = Plan{Batch: run.Batch, RunID: run.ID, Revision: run.Revision, Location: h.Location, Unfit: unfit}
			unfits = append(unfits, unfit)
			continue
		}
		if err != nil {
			return nil, err
		}
		plans[i].Choices = choices
		plans[i].Checks = h.checks(run, plans[i])
		plans[i].Batch.Assumed = append(slices.Clone(plans[i].Batch.Assumed), awake...)
	}
	return plans, errors.Join(unfits...)
}

// miss is what a run met that found no place.
type miss struct{ met obstacle }

// fit finds a place for each of runs or, where there is none for all, for those that
// find one together, the first given first; each of the others is a miss.
func (empty *house) fit(runs []Run) (*house, []finding, []*miss) {
	order := make([]int, len(runs))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { // what has begun does not give way
		return cmp.Compare(min(1, len(runs[b].Record)), min(1, len(runs[a].Record)))
	})
	missed := make([]*miss, len(runs))
	if h, finds, ok := empty.together(runs, order); ok {
		return h, finds, missed
	}
	h, finds := empty.apart(), make([]finding, len(runs))
	var kept []int
	for _, i := range order {
		if next, found, ok := empty.together(runs, append(kept, i)); ok {
			h, finds, kept = next, found, append(kept, i)
		}
	}
	for i := range runs {
		if !slices.Contains(kept, i) { // why, and what would help, goes by all that have a place
			_, met, _ := h.find(runs[i])
			missed[i] = &miss{met}
		}
	}
	return h, finds, missed
}

// together finds a place for all of some runs, each around those before it in order. One
// that finds none goes to the front, but for once.
func (empty *house) together(runs []Run, order []int) (*house, []finding, bool) {
	order = slices.Clone(order)
	moved := map[int]bool{}
	for {
		h, finds := empty.apart(), make([]finding, len(runs))
		failed := slices.IndexFunc(order, func(i int) bool {
			found, _, ok := h.find(runs[i])
			if ok {
				finds[i] = found
				h.take(runs[i], found)
			}
			return !ok
		})
		switch {
		case failed < 0:
			return h, finds, true
		case failed == 0 || moved[order[failed]]:
			return nil, nil, false
		}
		i := order[failed]
		moved[i] = true
		order = append([]int{i}, slices.Delete(order, failed, failed+1)...)
	}
}

// Check finds what keeps a wish from being one: none or two of its kinds, half a
// span, a span that ends before it begins or is longer than 60 days.
func (w When) Check() error {
	given := 0
	for _, asked := range []bool{!w.Start.IsZero(), !w.FinishBy.IsZero(), !w.From.IsZero() || !w.Until.IsZero()} {
		if asked {
			given++
		}
	}
	switch {
	case given != 1:
		return errors.New("give a start, or a time to finish by, or a span to fall in, and one of them only")
	case w.Start.IsZero() && w.FinishBy.IsZero() && (w.From.IsZero() || w.Until.IsZero()):
		return errors.New("a span to fall in needs both of its ends")
	case !w.From.IsZero() && !w.Until.After(w.From):
		return errors.New("the span to fall in does not end after it begins")
	case w.Until.Sub(w.From) > searchDays*day+2*time.Hour: // whatever the clock does
		return fmt.Errorf("the span to fall in is %.1f days long: at most %d", w.Until.Sub(w.From).Hours()/24, searchDays)
	}
	return nil
}

func earliest(runs []Run) time.Time {
	var times []time.Time
	for _, run := range runs {
		for _, t := range []time.Time{run.When.Start, run.When.FinishBy, run.When.From} {
			if !t.IsZero() {
				times = append(times, t)
			}
		}
	}
	return slices.MinFunc(times, time.Time.Compare)
}

func latest(runs []Run) time.Time {
	var times []time.Time
	for _, run := range runs {
		times = append(times, run.When.Start, run.When.FinishBy, run.When.Until)
	}
	return slices.MaxFunc(times, time.Time.Compare)
}

// potOf is the resource that two runs with one pot share.
func potOf(run Run) thing { return thing{Pot, strings.ToLower(run.Pot)} }

// plan writes a run that found its place, and places what follows it.
func (h *house) plan(run Run, found finding) (Plan, error) {
	if found.course != nil {
		return h.followed(run, found)
	}
	return h.planOf(run, found)
}

func (h *house) planOf(run Run, found finding) (Plan, error) {
	plan := Plan{Batch: run.Batch, RunID: run.ID, Revision: run.Revision, Location: h.Location, Sessions: len(found.sessions)}
	plan.Steps = h.steps(run, found)
	if busy, free := h.dryerBusy(run, plan.Steps); busy {
		run.Batch = run.Batch.DryerBusy()
		plan.Batch = run.Batch
		plan.Warnings = append(plan.Warnings, h.dryerTaken(free))
	}
	rest, err := h.after(run, found.sessions, plan.Steps, &plan.Warnings)
	if err != nil {
		return Plan{}, err
	}
	plan.Steps = append(plan.Steps, rest...)
	plan.UseBy = useBys(run.Batch, plan.Steps, h.Location)
	slices.SortStableFunc(plan.Steps, func(a, b Step) int { return a.Start.Compare(b.Start) })
	for i := range plan.Steps {
		h.finish(&plan.Steps[i])
	}
	plan.Warnings = append(h.warnings(run, found), plan.Warnings...)
	h.gauge(&plan)
	return plan, nil
}

// finish puts a step on the local clock and fits its reminder.
func (h *house) finish(step *Step) {
	step.Start, step.End = step.Start.In(h.Location), step.End.In(h.Location)
	if step.Earliest.IsZero() {
		step.Earliest, step.Latest = step.Start, step.Start
	}
	step.Earliest, step.Latest = step.Earliest.In(h.Location), step.Latest.In(h.Location)
	if lead, ok := h.Remind[step.Kind]; ok {
		step.Remind = lead
	}
	// A reminder does not wake anybody, unless what it is for does.
	rings := step.Start.Add(-step.Remind)
	if night, ok := h.asleep.first(rings, rings.Add(time.Second)); ok && !night.To.After(step.Start) {
		step.Remind = step.Start.Sub(night.To)
	}
}

// nameOf is what other runs call a run.
func nameOf(run Run) string {
	if run.Batch.Name != "" {
		return run.Batch.Name
	}
	return run.ID
}

// take reserves what the row of a run uses, were its steps to run long.
func (h *house) take(run Run, found finding) {
	own := map[use][]Booking{} // by the place
	for i := range found.row.blocks {
		b := &found.row.blocks[i]
		for j, t := range b.tasks {
			span := Booking{From: found.at.starts[i].Add(b.at[j]), To: found.at.starts[i].Add(b.late[j] + t.Span.High),
				What: nameOf(run)}
			if t.Kind == HandsOn {
				own[one(Cook)] = append(own[one(Cook)], span)
				own[one(likelyHands)] = append(own[one(likelyHands)],
					Booking{From: span.From, To: span.From.Add(t.Span.Likely), What: span.What})
			}
			if t.Role == Load {
				own[one(Attention)] = append(own[one(Attention)], span)
			}
			for _, wanted := range t.uses {
				for place := 1; place <= wanted.places; place++ {
					own[use{wanted.thing, place}] = append(own[use{wanted.thing, place}], span)
				}
			}
		}
	}
	// The broth spends the nights in its pot.
	inPot := use{found.row.pot, 1}
	pot := own[inPot]
	own[inPot] = []Booking{{From: pot[0].From, To: pot[len(pot)-1].To, What: nameOf(run)}}
	// In one order, so that the same runs always give the same house.
	byPlace := func(a, b use) int { return cmp.Compare(a.places, b.places) }
	for _, taken := range slices.SortedFunc(maps.Keys(own), byPlace) {
		spans := own[taken]
		if taken.Resource != Outdoors {
			h.reserve(taken.thing, spans...)
		}
	}
}

// finding is a run with a place on the clock.
type finding struct {
	row      row
	at       placing
	sessions layout
	likely   time.Time // when the kitchen is wiped down
	long     time.Time // if every step runs long
	// lateSeals is how many loads' seals nobody can check in time, of a run from a start.
	lateSeals int
	// later is a deadline with which it would begin on a later day, where one that it has
	// made it end on an earlier one.
	later time.Time

	// Of a run with a record:
	course *course
	goesOn obstacle  // what a step that is on, or follows at once, runs into
	over   time.Time // when the block of that step ends
	unfit  obstacle  // why the rest fits nowhere, and is placed as if nothing were in the way
}

func (h *house) finding(r row, at placing, sessions layout) finding {
	last := len(r.blocks) - 1
	return finding{row: r, at: at, sessions: sessions,
		likely: at.starts[last].Add(r.blocks[last].likelyEnd), long: at.starts[last].Add(r.blocks[last].longEnd)}
}

func (f finding) nights(location *time.Location) int {
	return dayNumber(f.likely, location) - dayNumber(f.at.starts[0], location)
}

// dayNumber counts the days on the wall's calendar.
func dayNumber(t time.Time, location *time.Location) int {
	year, month, d := t.In(location).Date()
	return int(time.Date(year, month, d, 0, 0, 0, 0, time.UTC).Unix() / 86400)
}

// mostSessions is on how many occasions the loads are canned at most: two a day
// for as long as the broth keeps.
const mostSessions = 8

// mostSessions is on how many occasions the loads of the run may be canned.
func (r Run) mostSessions() int { return min(max(1, len(r.Batch.Loads)), mostSessions) }

// way is one way to lay a run's steps out.
type way struct {
	sessions layout
	joined   bool // the canning follows the skimming without a pause
	cold     bool // the meat of whole birds is picked out of the fridge
}

// picks lists how the meat of whole birds may be picked, warm first.
func (r Run) picks() []bool {
	if r.Batch.Picked() && pickedWarm(r.Batch) {
		return []bool{false, true}
	}
	return []bool{r.Batch.Picked()}
}

// rowsOf lists how the loads may be canned in so many sessions, as far as a day holds it.
func (h *house) rowsOf(run Run, sessions layout) iter.Seq[row] {
	return func(yield func(row) bool) {
		for _, cold := range run.picks() {
			for _, joined := range []bool{true, false} {
				if r := h.rowOf(run, way{sessions, joined, cold}); h.holds(r) && !yield(r) {
					return
				}
			}
		}
	}
}

// gentlest is the place of the best rank there is, the least, that keeps the hours of the
// day most strictly, those of the later days first; none is better than best. The first
// day is left as it is where its start is fixed.
func (h *house) gentlest(
	place func(patient) (finding, obstacle, bool), rank func(finding) int, best int, fixed bool,
) (finding, obstacle, bool) {
	strict := []patience{civil, careful}
	if len(h.uncivil) == 0 {
		strict = strict[1:]
	}
	found, _, ok := place(patient{strict[0], strict[0]})
	if ok && rank(found) <= best {
		return found, obstacle{}, true
	}
	// What keeps less strict hours is never on a worse day.
	kept := patient{lenient, lenient}
	other, met, any := place(kept)
	switch {
	case !any:
		return finding{}, met, false
	case ok && rank(found) <= rank(other):
		return found, obstacle{}, true
	}
	for _, part := range []int{1, 0} {
		if part == 0 && fixed {
			break
		}
		for _, p := range strict {
			with := kept
			with[part] = p
			if found, _, ok := place(with); ok && rank(found) <= rank(other) {
				kept, other = with, found
				break
			}
		}
	}
	return other, obstacle{}, true
}

// find places one run by what the cook asked for.
func (h *house) find(run Run) (finding, obstacle, bool) {
	switch when := run.When; {
	case len(run.Record) > 0:
		return h.follow(run)
	case !when.Start.IsZero():
		return h.fromStart(run, when.Start, true, time.Time{})
	case !when.FinishBy.IsZero():
		return h.backFrom(run, when.FinishBy)
	default:
		return h.within(run, when.From, when.Until)
	}
}

// variant tells the rows of a run from those of its changed copies.
type variant struct {
	id         string
	way        way
	simmer     time.Duration
	unattended bool
	loads      int
	outdoors   bool
	recorded   bool
	thaw       thaw.Method
}

// rowOf joins the steps of a run into blocks. Rows are kept: what would help is
// found by trying the same ones on many clocks.
func (h *house) rowOf(run Run, w way) row {
	v := variant{run.ID, w, run.Batch.Simmer, run.alone(), len(run.Batch.Loads), h.CannerHours != (Hours{}),
		len(run.Record) > 0, run.Batch.Thaw.Method}
	r, known := h.rows[v]
	if !known {
		r = h.newRow(run, w)
		h.rows[v] = r
	}
	return r
}

func (h *house) newRow(run Run, w way) row {
	return newRow(using(h.tasksOf(run, w), potOf(run)), potOf(run))
}

func (h *house) tasksOf(run Run, w way) []task {
	tasks := tasksOf(run, w)
	if h.CannerHours != (Hours{}) {
		// Outside it has a burner of its own.
		for i, t := range tasks {
			if t.Role == Load {
				tasks[i].Needs = []Resource{Cook, Canner, Outdoors}
			}
		}
	}
	return tasks
}

// fromStart finds the earliest places for a run that begins at start, or, unless
// fixed, not before it, and that is done by until even if it runs long; a zero
// until sets no end. A start that is given is kept to the fewest occasions of canning.
func (h *house) fromStart(run Run, start time.Time, fixed bool, until time.Time) (finding, obstacle, bool) {
	var met obstacle
	// First the day on which it ends, then how many seals nobody can check in time.
	const days = 2 * stock.MostLoads
	rank := func(f finding) int { return days*dayNumber(f.likely, h.Location) + f.lateSeals }
	var best finding
	found := false
	first := start
	if !fixed { // whichever way it is canned, the first day is the same, and shortest with birds picked cold
		picks := run.picks()
		row := h.rowOf(run, way{evenly(len(run.Batch.Loads), 1), true, picks[len(picks)-1]})
		if t, ok := next(h.asks(&row.blocks[0], lenient), start, start.Add(searchDays*day), new(obstacle)); ok {
			first = t
		}
	}
	for n := 1; n <= run.mostSessions(); n++ {
		sessions := evenly(len(run.Batch.Loads), n)
		for r := range h.rowsOf(run, sessions) {
			soonest := days * dayNumber(r.soonest(first), h.Location)
			if found && rank(best) <= soonest {
				return best, obstacle{}, true // no other way is better
			}
			next, o, ok := h.gentlest(func(p patient) (finding, obstacle, bool) {
				return h.forwardFrom(run, r, sessions, start, fixed, until, p)
			}, rank, soonest, fixed)
			if !ok {
				if met.kind != Deadline || o.kind == Deadline && o.at.Before(met.at) {
					met = o
				}
				continue
			}
			if !found || rank(next) < rank(best) {
				best, found = next, true
			}
		}
		if fixed && (found || met.of().Role.onTheFirstDay()) {
			break // the fewest occasions there are; more of them do not move the first day
		}
	}
	return best, met, found
}

// forwardFrom is fromStart for one row, with one patience.
func (h *house) forwardFrom(
	run Run, r row, sessions layout, start time.Time, fixed bool, until time.Time, p patient,
) (finding, obstacle, bool) {
	limit := start.Add(searchDays * day)
	from := placing{starts: make([]time.Time, len(r.blocks)), why: make([]obstacle, len(r.blocks))}
	for i := range from.starts {
		from.starts[i] = start
	}
	from.why[0] = obstacle{kind: Asked, first: fixed, at: start}
	blocks := 0
	if fixed {
		// The evening of a day the cook chose may run long.
		blocks = 1
		if a, span := clash(h.asks(&r.blocks[0], lenient), start); a != nil {
			return finding{}, a.met(span), false
		}
	}
	at, o, ok := h.forward(r, from, blocks, limit, p)
	if !ok {
		return finding{}, o, false
	}
	next := h.finding(r, at, sessions)
	if !until.IsZero() && next.long.After(until) {
		return finding{}, obstacle{kind: Deadline, at: next.long}, false
	}
	if fixed {
		// In a span the earliest end was asked for; from a start, a day like the
		// first is, but where only an earlier one leaves time for the seals.
		morning := h.finding(r, h.inTheMorning(r, at, blocks, limit, p), sessions)
		if morning.lateSeals = h.lateSeals(run, morning); morning.lateSeals > 0 {
			next.lateSeals = h.lateSeals(run, next)
		}
		if morning.lateSeals == 0 || next.lateSeals > 0 {
			next = morning
		}
	}
	return next, obstacle{}, true
}

// lateSeals counts the loads of a finding whose seals nobody can check in time.
func (h *house) lateSeals(run Run, found finding) int {
	out := func(load stock.Load) time.Time {
		i, j, _ := found.row.find(fmt.Sprintf("unload-%d", load.Number))
		b := found.row.blocks[i]
		return found.at.starts[i].Add(b.at[j] + b.tasks[j].Span.Likely)
	}
	late := 0
	for n := 1; n <= len(found.sessions); n++ {
		for _, check := range h.sealChecks(run, sound(found.sessions.of(run.Batch.Loads, n)), out) {
			late += check.late
		}
	}
	return late
}

// onTheFirstDay reports whether a step belongs to the row that begins a run.
func (r Role) onTheFirstDay() bool { return Thaw <= r && r <= Pick }

// holds reports whether the longest attended stretch of every block has room in
// one day's hours.
func (h *house) holds(r row) bool {
	return h.Awake.always() || !slices.ContainsFunc(r.blocks, func(b block) bool { return b.attended > h.Awake.Length() })
}

// inTheMorning moves what would come with the first light of a later day to the
// time of day at which the run began, 10 at the latest, as long as that costs no
// day.
func (h *house) inTheMorning(r row, at placing, fixed int, limit time.Time, p patient) placing {
	start := at.starts[0].In(h.Location)
	opened, _ := h.Awake.around(start)
	since := start.Sub(opened)
	if h.Awake.always() {
		since = start.Sub(midnight(start))
	}
	later := placing{starts: slices.Clone(at.starts), why: slices.Clone(at.why)}
	for i := max(1, fixed); i < len(at.starts); i++ {
		local := at.starts[i].In(h.Location)
		open, _ := h.Awake.around(local)
		if h.Awake.always() {
			open = midnight(local)
		}
		if !open.After(start) {
			continue // still the day of the start
		}
		wish := open.Add(max(0, min(since, latestMorning-h.Awake.From)))
		if wish.After(at.starts[i]) && dayNumber(wish, h.Location) == dayNumber(local, h.Location) {
			later.starts[i], later.why[i] = wish, obstacle{kind: Morning, at: wish}
		}
	}
	moved, _, ok := h.forward(r, later, fixed, limit, p)
	last := len(r.blocks) - 1
	day := func(starts []time.Time) int {
		return dayNumber(starts[last].Add(r.blocks[last].likelyEnd), h.Location)
	}
	if !ok || day(moved.starts) != day(at.starts) {
		return at
	}
	return moved
}

func midnight(t time.Time) time.Time {
	year, month, d := t.Date()
	return DayStart(year, month, d, t.Location())
}

// backFrom finds the latest places for a run that is done by finishBy: on the latest day
// it can begin, on however many occasions it is canned, the fewest first.
func (h *house) backFrom(run Run, finishBy time.Time) (finding, obstacle, bool) {
	limit := finishBy.Add(-searchDays * day)
	var best finding
	var met obstacle
	found := false
	early := func(f finding) int { return -dayNumber(f.at.starts[0], h.Location) }
	for n := 1; n <= run.mostSessions(); n++ {
		sessions := evenly(len(run.Batch.Loads), n)
		for r := range h.rowsOf(run, sessions) {
			latest := -dayNumber(r.latest(finishBy), h.Location)
			if found && early(best) <= latest {
				return best, obstacle{}, true // no other way begins on a later day
			}
			next, o, ok := h.gentlest(func(p patient) (finding, obstacle, bool) {
				at, o, ok := h.backward(r, finishBy, limit, p)
				if !ok {
					return finding{}, o, false
				}
				return h.finding(r, h.pickSoon(r, at, p), sessions), obstacle{}, true
			}, early, latest, false)
			if !ok {
				met = o
				continue
			}
			if !found || early(next) < early(best) {
				best, found = next, true
			}
		}
	}
	return best, met, found
}

// pickSoon moves the picking of cold birds from where a deadline would have it, right before
// the skimming, to as soon after the chill as there are hands.
func (h *house) pickSoon(r row, at placing, p patient) placing {
	i, _, ok := r.find("pick")
	if !ok || i == 0 {
		return at
	}
	var soonest time.Time
	var why obstacle
	for _, b := range r.bounds {
		free := at.starts[b.from].Add(b.gap)
		if b.to == i && !b.isLongest && free.After(soonest) {
			soonest, why = free, obstacle{kind: Ruled, bound: b, at: at.starts[b.from]}
		}
	}
	if start, fits := next(h.asks(&r.blocks[i], p.of(i)), soonest, at.starts[i], &why); fits && start.Before(at.starts[i]) {
		at.starts[i], at.why[i] = start, why
	}
	return at
}

// within finds the place between from and until that takes the fewest nights and
// then ends first.
func (h *house) within(run Run, from, until time.Time) (finding, obstacle, bool) {
	var best finding
	found := false
	met := h.starting(run, from, until, func(next finding) {
		if !found || next.nights(h.Location) < best.nights(h.Location) {
			// Later starts end later, so the first of a length is the best of it.
			best, found = next, true
		}
	})
	return best, met, found
}

// starting calls each with the place that a run has from every day on which it can begin
// between from and until, and tells what the first met that has none.
func (h *house) starting(run Run, from, until time.Time, each func(finding)) (met obstacle) {
	for start := from; start.Before(until); {
		next, o, ok := h.fromStart(run, start, false, until)
		if !ok {
			return o // a later start ends later still
		}
		each(next)
		year, month, d := next.at.starts[0].In(h.Location).Date()
		start = DayStart(year, month, d+1, h.Location)
	}
	return obstacle{}
}

// steps writes a finding as steps on the clock, the fridge's part included.
func (h *house) steps(run Run, found finding) []Step {
	var steps []Step
	ends := map[string]time.Time{}
	starts := map[string]time.Time{}
	for i := range found.row.blocks {
		b := &found.row.blocks[i]
		begin := found.at.starts[i]
		for j, t := range b.tasks {
			s := t.Step
			s.Start, s.End = begin.Add(b.at[j]), begin.Add(b.at[j]+t.Span.Likely)
			s.Earliest, s.Latest = begin.Add(b.early[j]), begin.Add(b.late[j])
			s.Why, s.State = h.why(found, i, j), t.state()
			switch s.State {
			case Ended:
				s.Span, s.Earliest, s.Latest = quantity.Exactly(s.End.Sub(s.Start)), s.Start, s.Start
			case ToCome:
				if c := found.course; c != nil {
					s.Earliest = latestOf(s.Earliest, c.asOf)
				}
			}
			starts[t.ID], ends[t.ID] = s.Start, s.End
			steps = append(steps, s)
		}
	}
	if run.Batch.EndsAtStraining() {
		return steps
	}
	by := fridgeDate(ends["strain"], h.Location)
	for i := range steps {
		if steps[i].Role == Pick {
			steps[i].UseBy = meatDate(ends["strain"], h.Location)
		}
		if (steps[i].Role == Leftover || steps[i].Role == Pack) && run.Batch.Leftover.Route == settle.Fridge {
			steps[i].UseBy = by
		}
	}
	opened, why := starts["skim"], UntilSkimmed
	if opened.IsZero() {
		opened, why = starts["leftover"], UntilPacked
	}
	if opened.After(ends["chill"]) { // by the notes it may have gone straight on
		steps = append(steps, fridgeStep(ends["chill"], opened, by, why))
	}
	skimmed := ends["skim"]
	if end, ok := ends["leftover"]; ok {
		skimmed = end
	}
	for n := 1; n <= len(found.sessions) && len(run.Batch.Loads) > 0; n++ {
		if begin := starts[nth("reheat", n)]; begin.After(skimmed) {
			steps = append(steps, inTheFridge(n, skimmed, begin, by))
		}
		skimmed = ends[nth("clean-up", n)]
	}
	return steps
}

// leastLeft is the part of the water poured in that has to be left for a simmer
// nobody watches; common practice, no source.
const leastLeft = 0.4

// warnings says what of the placing the cook should know.
func (h *house) warnings(run Run, found finding) []remark.Note {
	var notes []remark.Note
	warn := func(code string, facts ...any) { notes = append(notes, note(code, facts...)) }
	if !run.When.FinishBy.IsZero() {
		notes = append(notes, h.slackNote(run, found))
	}
	if len(found.sessions) > 1 {
		var begin []time.Time
		for n := 1; n <= len(found.sessions); n++ {
			if i, j, ok := found.row.find(nth("reheat", n)); ok {
				begin = append(begin, found.at.starts[i].Add(found.row.blocks[i].at[j]).In(h.Location))
			}
		}
		warn(SeveralCanningDays, begin)
	}
	if more, ok := h.moreLoads(run, found); ok {
		notes = append(notes, more)
	}
	if run.alone() && run.Batch.TopUp {
		warn(UnattendedTopUp)
	}
	if yield := run.Batch.Yield; run.alone() && yield.Least < yield.Water*leastLeft {
		warn(UnattendedDry, yield.Water, yield.Least)
	}
	if h.Burners == 1 && len(run.Batch.Loads) > 0 && h.CannerHours == (Hours{}) {
		warn(OneBurner)
	}
	notes = append(notes, found.course.warnings(h, found)...)
	for i := range found.row.blocks {
		b := &found.row.blocks[i]
		begin := found.at.starts[i]
		if goesOn := found.goesOn.kind != NotHeld; goesOn && !b.began.IsZero() {
			continue // told above
		}
		if a, _ := clash(h.asks(b, careful), begin); a != nil && a.kind == Asleep {
			warn(LateEvening, run.Batch, b.tasks[len(b.tasks)-1].Step, begin.Add(b.longEnd).In(h.Location), h.Awake)
		}
	}
	return notes
}

// moreLoads tells by when it would be wiped down with the most loads there are likely to
// be, those that are not planned being as long as the last.
func (h *house) moreLoads(run Run, found finding) (remark.Note, bool) {
	b := run.Batch
	more := b.MostLoads - len(b.Loads)
	if more <= 0 || len(b.Loads) == 0 || len(run.Record) > 0 {
		return remark.Note{}, false
	}
	row := found.row.blocks[len(found.row.blocks)-1]
	each := time.Duration(0)
	for _, t := range row.tasks {
		if (t.Role == Fill || t.Role == Load || t.Role == Unload) && t.Loads[0].Number == len(b.Loads) {
			each += t.Span.Likely
		}
	}
	chance := 0.0
	for n, share := range b.LoadChance {
		if n > len(b.Loads) {
			chance += share
		}
	}
	done := found.likely.Add(time.Duration(more) * each).In(h.Location)
	told := note(MoreLoads, b.MostLoads, len(b.Loads), 100*chance, done)
	if _, night := h.asleep.first(done.Add(-time.Minute), done); night {
		told = note(MoreLoads, b.MostLoads, len(b.Loads), 100*chance, done, h.Awake).In("late")
	}
	return told, true
}

// coldAfter is how long after the chill the broth may be skimmed: cold, and the
// fat set; or packed, where there is none.
func coldAfter(batch stock.Batch) time.Duration {
	wait := fatSets
	if batch.NoFatCap {
		wait = 0
	}
	if !batch.Chill.To41F.Never {
		// One that takes longer than the broth keeps has failed, and is warned of.
		wait = min(max(wait, batch.Chill.To41F.After), fridgeHold)
	}
	return wait
}

// early tells of each run that is done on an earlier day than it has to be by when it
// would have to be to begin later, around the others.
func (empty *house) early(runs []Run, finds []finding, missed []*miss) {
	for i, run := range runs {
		if missed[i] != nil || finds[i].course != nil || !empty.isEarly(finds[i], run.When.FinishBy) {
			continue
		}
		h := empty
		if len(runs) > 1 {
			h = empty.apart()
		}
		for j, other := range runs {
			if j != i && missed[j] == nil {
				h.take(other, finds[j])
			}
		}
		finds[i].later = h.aDayLater(run, finds[i], run.When.FinishBy)
	}
}

// isEarly tells whether a finding is done on an earlier day than it has to be.
func (h *house) isEarly(found finding, finishBy time.Time) bool {
	_, evening := h.Awake.around(found.likely.In(h.Location))
	return !finishBy.IsZero() && dayNumber(found.likely, h.Location) != dayNumber(finishBy, h.Location) &&
		finishBy.After(evening)
}

// slackNote says how much time to a deadline is kept for steps that run long, or
// what made the run end on an earlier day.
func (h *house) slackNote(run Run, found finding) remark.Note {
	done, finishBy := found.likely.In(h.Location), run.When.FinishBy
	switch last := found.at.why[len(found.at.why)-1]; {
	case !h.isEarly(found, finishBy) || last.kind == Chosen:
		return note(Slack, done, finishBy.Sub(done))
	case !found.later.IsZero():
		return note(EarlierDay, done, finishBy.In(h.Location), found.later.In(h.Location)).In("later")
	default:
		return note(EarlierDay, done, finishBy.In(h.Location), h.met(last))
	}
}

func latestOf(times ...time.Time) time.Time {
	return slices.MaxFunc(times, time.Time.Compare)
}
