package timeline

import (
	"fmt"
	"slices"
	"sort"
	"time"

	"brothrun/stock/quantity"
)

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
	for _, of := range []func(Run) []string{
		h.otherTimes, h.unattended, h.aLongerDay, h.beingHome, h.lessSimmer, h.otherCannerHours, h.fewerLoads,
	} {
		ways = append(ways, of(run)...)
	}
	if len(ways) == 0 {
		ways = append(ways, "plan it for other days, or in a smaller pot")
	}
	return ways
}

// otherTimes moves what the cook asked for by the least that helps.
func (h *house) otherTimes(run Run) (ways []string) {
	add := func(format string, t time.Time) { ways = append(ways, fmt.Sprintf(format, h.clock(run, t))) }
	switch when := run.When; {
	case !when.Start.IsZero():
		if t, ok := h.earlier(run, when.Start); ok {
			add("start by %s", t)
		}
		if later, _, ok := h.fromStart(run, when.Start, false, time.Time{}); ok {
			add("start at %s or later", later.at.starts[0])
		}
	case !when.FinishBy.IsZero():
		if t, ok := h.laterDeadline(run); ok {
			add("finish by %s instead", t)
		}
	default:
		if _, met, ok := h.fromStart(run, when.From, false, when.From); !ok && met.kind == deadline {
			add("finish by %s", fiveMinutesUp(met.at))
		}
		if before, _, ok := h.backFrom(run, when.Until); ok {
			add("start by %s", before.at.starts[0])
		}
	}
	return ways
}

// unattended lets the simmer run alone: offered, never assumed.
func (h *house) unattended(run Run) []string {
	if run.alone() {
		return nil
	}
	run.Unattended = true
	if _, ok := h.allows(run, nil); !ok {
		return nil
	}
	return []string{"let the simmer go on with nobody up or at home, if its heat may run unattended (--unattended)"}
}

func (h *house) aLongerDay(run Run) []string {
	awake, ok := h.longerDay(run)
	switch {
	case !ok:
		return nil
	case awake.From == h.Awake.From:
		return []string{fmt.Sprintf("be up until %s (--awake %s)", clockFace(awake.Until), awake)}
	}
	return []string{fmt.Sprintf("be up from %s (--awake %s)", clockFace(awake.From), awake)}
}

// beingHome does without one busy time.
func (h *house) beingHome(run Run) (ways []string) {
	for _, b := range h.nearby(run) {
		left := slices.DeleteFunc(slices.Clone(h.Busy), b.equal)
		if _, ok := h.allows(run, func(c *Calendar) { c.Busy = left }); !ok {
			continue
		}
		text := fmt.Sprintf("be at home %s to %s", h.clock(run, b.From), h.clock(run, b.To))
		if b.What != "" {
			text += " (" + b.What + ")"
		}
		ways = append(ways, text)
	}
	return ways
}

func (h *house) lessSimmer(run Run) []string {
	shorter, ok := h.shorterSimmer(run)
	if !ok {
		return nil
	}
	return []string{"shorten the simmer to " + quantity.FormatDuration(shorter)}
}

func (h *house) otherCannerHours(run Run) []string {
	if h.CannerHours == (Hours{}) {
		return nil
	}
	if _, ok := h.allows(run, func(c *Calendar) { c.CannerHours = Hours{} }); !ok {
		return nil
	}
	return []string{fmt.Sprintf("let the canner run at other hours than %s, or indoors", h.CannerHours)}
}

// fewerLoads cans as many loads as fit. Fewer never make a run worse, so the most
// are found by halving.
func (h *house) fewerLoads(run Run) []string {
	loads := run.Batch.Loads
	fits := func(n int) bool {
		run.Batch.Loads = loads[:n]
		_, ok := h.allows(run, nil)
		return ok
	}
	if len(loads) == 0 || !fits(0) {
		return nil
	}
	switch n := sort.Search(len(loads)-1, func(n int) bool { return !fits(n + 1) }); n {
	case 0:
		return []string{"freeze the broth instead of canning it (--jars quart=0,pint=0)"}
	case 1:
		return []string{fmt.Sprintf("can 1 load and freeze the rest (--jars %s)", run.Batch.JarsOf(loads[:n]))}
	default:
		return []string{fmt.Sprintf("can %d loads and freeze the rest (--jars %s)", n, run.Batch.JarsOf(loads[:n]))}
	}
}

func fiveMinutesUp(t time.Time) time.Time {
	const grain = 5 * time.Minute
	if down := t.Truncate(grain); down.Before(t) {
		return down.Add(grain)
	}
	return t
}

// laterDeadline finds the first deadline after the one asked for that can be met, on
// the five minutes. A later one is never harder, so it is found by halving.
func (h *house) laterDeadline(run Run) (time.Time, bool) {
	const grain = 5 * time.Minute
	at := func(n int) time.Time { return fiveMinutesUp(run.When.FinishBy).Add(time.Duration(n) * grain) }
	fits := func(n int) bool {
		_, _, ok := h.backFrom(run, at(n))
		return ok
	}
	most := int(searchDays * day / grain)
	if !fits(most) {
		return time.Time{}, false
	}
	return at(sort.Search(most, fits)), true
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
		if run.Simmered != nil {
			// Less boils away, so there is more to can.
			var err error
			if shorter.Batch, err = run.Simmered(shorter.Batch.Simmer); err != nil {
				return false
			}
		}
		_, ok := h.allows(shorter, nil)
		return ok
	}
	if run.alone() {
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
	if !fits(n) {
		return 0, false
	}
	return run.Batch.Simmer - time.Duration(n)*grain, true
}
