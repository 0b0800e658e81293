package timeline

import (
	"fmt"
	"slices"
	"sort"
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
	if away := t.Sub(near); away < -6*day || away > 6*day {
		return t.In(h.Location).Format("Mon 2 Jan 15:04")
	}
	return t.In(h.Location).Format("Mon 15:04")
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
	return fmt.Sprintf("%s: there is no place for %s; %s", asked, met.task.name, h.met(met))
}

// allows asks whether a changed run fits a changed calendar, around the same other
// runs.
func (h *house) allows(run Run, change func(*Calendar)) (finding, bool) {
	other := h
	if change != nil {
		other = h.on(change)
	}
	found, _, ok := other.find(run)
	return found, ok
}

// mostEvents is how many of the busy times are tried to be done without.
const mostEvents = 12

// relaxations lists what would make the run fit, each alone.
func (h *house) relaxations(run Run) []string {
	var ways []string
	add := func(format string, args ...any) { ways = append(ways, fmt.Sprintf(format, args...)) }
	local := func(t time.Time) string { return h.clock(run, t) }

	switch when := run.When; {
	case !when.Start.IsZero():
		if t, ok := h.earlier(run, when.Start); ok {
			add("start by %s", local(t))
		}
		if later, _, ok := h.fromStart(run, when.Start, false, time.Time{}); ok {
			add("start at %s or later", local(later.at.starts[0]))
		}
	case !when.FinishBy.IsZero():
		if later, _, ok := h.fromStart(run, when.FinishBy, false, time.Time{}); ok {
			add("finish by %s instead", local(fiveMinutesUp(later.long)))
		}
	default:
		if _, met, ok := h.fromStart(run, when.From, false, when.From); !ok && met.kind == deadline {
			add("finish by %s", local(fiveMinutesUp(met.at)))
		}
		if before, _, ok := h.backFrom(run, when.Until); ok {
			add("start by %s", local(before.at.starts[0]))
		}
	}
	if !run.Unattended {
		alone := run
		alone.Unattended = true
		if _, ok := h.allows(alone, nil); ok {
			add("let the simmer go on with nobody up or at home, if its heat may run unattended (--unattended)")
		}
	}
	if awake, ok := h.longerDay(run); ok {
		switch {
		case awake.From == h.Awake.From:
			add("be up until %s (--awake %s)", clockFace(awake.Until), awake)
		default:
			add("be up from %s (--awake %s)", clockFace(awake.From), awake)
		}
	}
	for _, b := range h.nearby(run) {
		left := make([]Booking, 0, len(h.Busy))
		for _, other := range h.Busy {
			if !other.equal(b) {
				left = append(left, other)
			}
		}
		if _, ok := h.allows(run, func(c *Calendar) { c.Busy = left }); ok {
			text := fmt.Sprintf("be at home %s to %s", local(b.From), local(b.To))
			if b.What != "" {
				text += " (" + b.What + ")"
			}
			ways = append(ways, text)
		}
	}
	if shorter, ok := h.shorterSimmer(run); ok {
		add("shorten the simmer to %s", quantity.FormatDuration(shorter))
	}
	if h.CannerHours != (Hours{}) {
		if _, ok := h.allows(run, func(c *Calendar) { c.CannerHours = Hours{} }); ok {
			add("let the canner run outside %s", h.CannerHours)
		}
	}
	fewer := run
	// Fewer loads never make a run worse, so the most that fit are found by halving.
	few := sort.Search(len(run.Batch.Loads), func(n int) bool {
		fewer.Batch.Loads = run.Batch.Loads[:n+1]
		_, ok := h.allows(fewer, nil)
		return !ok
	})
	switch fewer.Batch.Loads = run.Batch.Loads[:min(few, len(run.Batch.Loads))]; {
	case few == 0:
		if _, ok := h.allows(fewer, nil); ok && len(run.Batch.Loads) > 0 {
			add("freeze the broth instead of canning it")
		}
	case few == 1 && len(run.Batch.Loads) > 1:
		add("can 1 load and freeze the rest")
	case few < len(run.Batch.Loads):
		add("can %d loads and freeze the rest", few)
	}
	if len(ways) == 0 {
		ways = append(ways, "plan it for other days, or in a smaller pot")
	}
	return ways
}

func fiveMinutesUp(t time.Time) time.Time {
	const grain = 5 * time.Minute
	if down := t.Truncate(grain); down.Before(t) {
		return down.Add(grain)
	}
	return t
}

// earlier finds the last start before one that does not fit, within a week.
func (h *house) earlier(run Run, start time.Time) (time.Time, bool) {
	r := h.rowOf(run, way{sessions: 1})
	limit := start.Add(-7 * day)
	why := obstacle{}
	for range 20 {
		t, ok := h.previous(&r.blocks[0], start, limit, lenient, &why)
		if !ok {
			return t, false
		}
		if _, _, ok := h.fromStart(run, t, true, time.Time{}); ok {
			return t, true
		}
		start = t.Add(-time.Hour)
	}
	return start, false
}

// longestDay is the longest day anybody is asked for beside a hot canner; common
// practice, no source.
const longestDay = 18 * time.Hour

// longerDay finds the least that the day has to be longer, in the evening or
// else in the morning.
func (h *house) longerDay(run Run) (Hours, bool) {
	if h.Awake.always() {
		return Hours{}, false
	}
	const grain = 5 * time.Minute
	most := int((longestDay - h.Awake.length()) / grain)
	for _, widen := range []func(time.Duration) Hours{
		func(d time.Duration) Hours { return Hours{h.Awake.From, ofDay(h.Awake.Until + d)} },
		func(d time.Duration) Hours { return Hours{ofDay(h.Awake.From - d), h.Awake.Until} },
	} {
		if most < 1 {
			break
		}
		if _, ok := h.allows(run, func(c *Calendar) { c.Awake = widen(time.Duration(most) * grain) }); !ok {
			continue
		}
		// A longer day never makes a run worse, so the least is found by halving.
		n := 1 + sort.Search(most-1, func(n int) bool {
			_, ok := h.allows(run, func(c *Calendar) { c.Awake = widen(time.Duration(n+1) * grain) })
			return ok
		})
		return widen(time.Duration(n) * grain), true
	}
	return Hours{}, false
}

// ofDay is a time on the clock's face; 24:00 stays as it is.
func ofDay(d time.Duration) time.Duration {
	switch {
	case d < 0:
		return d + day
	case d > day:
		return d - day
	}
	return d
}

// nearby lists the busy times that may be in the way, those next to what the
// cook asked for first.
func (h *house) nearby(run Run) []Booking {
	from, until := run.When.From, run.When.Until
	if !run.When.Start.IsZero() {
		from, until = run.When.Start, run.When.Start.Add(5*day)
	}
	if !run.When.FinishBy.IsZero() {
		from, until = run.When.FinishBy.Add(-5*day), run.When.FinishBy
	}
	var near []Booking
	for _, b := range h.Busy {
		if b.To.After(from) && b.From.Before(until) && len(near) < mostEvents && !slices.ContainsFunc(near, b.equal) {
			near = append(near, b)
		}
	}
	return near
}

// shorterSimmer finds the longest simmer below the planned one that fits, not
// below what the directions for the kind describe.
func (h *house) shorterSimmer(run Run) (time.Duration, bool) {
	const grain = 5 * time.Minute
	steps := int((run.Batch.Simmer - run.Batch.ShortestSimmer) / grain)
	fits := func(n int) bool {
		shorter := run
		shorter.Batch.Simmer = run.Batch.Simmer - time.Duration(n)*grain
		_, ok := h.allows(shorter, nil)
		return ok
	}
	if run.Unattended {
		// Shorter is not always better where the end may fall into the night.
		for n := 3; n <= steps; n += 3 {
			if fits(n) {
				return run.Batch.Simmer - time.Duration(n)*grain, true
			}
		}
		return 0, false
	}
	if steps <= 0 || !fits(steps) {
		return 0, false
	}
	n := 1 + sort.Search(steps-1, func(n int) bool { return fits(n + 1) })
	return run.Batch.Simmer - time.Duration(n)*grain, true
}
