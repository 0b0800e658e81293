package timeline

import (
	"slices"
	"sort"
	"time"

	"brothrun/stock/thaw"
)

// allows asks whether a changed run fits a changed calendar, around the same other
// runs.
func (h *house) allows(run Run, change func(*Calendar)) (finding, bool) {
	other := h
	if change != nil {
		other = h.on(change)
	}
	found, _, ok := other.find(run)
	return found, ok && found.unfit.kind == NotHeld
}

// mostEvents is how many of the busy times are tried to be done without.
const mostEvents = 12

// otherTimes moves what the cook asked for by the least that helps.
func (h *house) otherTimes(run Run) (ways []WayOut) {
	add := func(kind WayOutKind, t time.Time) { ways = append(ways, WayOut{Kind: kind, At: h.local(t)}) }
	switch when := run.When; {
	case len(run.Record) > 0: // it has begun
	case !when.Start.IsZero():
		if t, ok := h.earlier(run, when.Start); ok {
			add(StartBy, t)
		}
		if later, _, ok := h.fromStart(run, when.Start, false, time.Time{}); ok {
			add(StartFrom, later.at.starts[0])
		}
	case !when.FinishBy.IsZero():
		if t, ok := h.laterDeadline(run); ok {
			add(FinishByLater, t)
		}
	default:
		if _, met, ok := h.fromStart(run, when.From, false, when.From); !ok && met.kind == Deadline {
			add(FinishBy, fiveMinutesUp(met.at))
		}
		if before, _, ok := h.backFrom(run, when.Until); ok {
			add(StartBy, before.at.starts[0])
		}
	}
	return ways
}

// unattended lets the simmer run alone: offered, never assumed.
func (h *house) unattended(run Run) []WayOut {
	if run.alone() || len(run.Record) > 0 {
		return nil
	}
	run.Unattended = true
	if _, ok := h.allows(run, nil); !ok {
		return nil
	}
	return []WayOut{{Kind: LeaveAlone}}
}

// thawedBefore lets what would thaw in cold water on the day thaw in the fridge.
func (h *house) thawedBefore(run Run) []WayOut {
	if run.Batch.Thaw.Method != thaw.ColdWater || len(run.Record) > 0 {
		return nil
	}
	run.Batch.Thaw.Method = thaw.Fridge
	run.Batch.Thaw.Takes = thaw.Takes(thaw.Fridge, run.Batch.Thaw.Package)
	if _, ok := h.allows(run, nil); !ok {
		return nil
	}
	return []WayOut{{Kind: ThawBefore, Takes: run.Batch.Thaw.Takes.High}}
}

func (h *house) aLongerDay(run Run) []WayOut {
	awake, ok := h.longerDay(run)
	switch {
	case !ok:
		return nil
	case awake.From == h.Awake.From:
		return []WayOut{{Kind: UpUntil, Hours: awake}}
	}
	return []WayOut{{Kind: UpFrom, Hours: awake}}
}

// beingHome does without one busy time.
func (h *house) beingHome(run Run) (ways []WayOut) {
	for _, b := range h.nearby(run) {
		left := slices.DeleteFunc(slices.Clone(h.Busy), b.equal)
		if _, ok := h.allows(run, func(c *Calendar) { c.Busy = left }); ok {
			ways = append(ways, WayOut{Kind: BeAtHome, Span: Booking{From: h.local(b.From), To: h.local(b.To), What: b.What}})
		}
	}
	return ways
}

func (h *house) lessSimmer(run Run, simmered Simmered) []WayOut {
	shorter, ok := h.shorterSimmer(run, simmered)
	if !ok || len(run.Record) > 0 {
		return nil
	}
	return []WayOut{{Kind: ShorterSimmer, Takes: shorter}}
}

func (h *house) otherCannerHours(run Run) []WayOut {
	if h.CannerHours == (Hours{}) {
		return nil
	}
	if _, ok := h.allows(run, func(c *Calendar) { c.CannerHours = Hours{} }); !ok {
		return nil
	}
	return []WayOut{{Kind: CannerAnytime, Hours: h.CannerHours}}
}

// fewerLoads cans as many loads as fit. Fewer never make a run worse, so the most
// are found by halving.
func (h *house) fewerLoads(run Run) []WayOut {
	loads := run.Batch.Loads
	fits := func(n int) bool {
		run.Batch.Loads = loads[:n]
		_, ok := h.allows(run, nil)
		return ok
	}
	if len(loads) == 0 || !fits(0) {
		return nil
	}
	n := sort.Search(len(loads)-1, func(n int) bool { return !fits(n + 1) })
	if n == 0 {
		return []WayOut{{Kind: FreezeAll}}
	}
	return []WayOut{{Kind: FewerLoads, Loads: n, Jars: run.Batch.JarsOf(loads[:n])}}
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
	r := h.rowOf(run, way{sessions: evenly(len(run.Batch.Loads), 1)})
	asks := h.asks(&r.blocks[0], lenient)
	limit := start.Add(-7 * day)
	why := obstacle{}
	for range 20 {
		t, ok := previous(asks, start, limit, &why)
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
	most := int((longestDay - h.Awake.Length()) / grain)
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

// simmers lists the simmers below the planned one that are tried, the longest first:
// not below what the directions for the kind describe.
func (r Run) simmers() (simmers []time.Duration) {
	grain := 5 * time.Minute
	if r.alone() {
		grain *= 3
	}
	for d := r.Batch.Simmer - grain; d >= r.Batch.ShortestSimmer; d -= grain {
		// Of those alone each is tried, and is a plan of its own: the coarser the shorter,
		// and past a day the nights come round again.
		switch cut := r.Batch.Simmer - d; {
		case !r.alone() || cut < 6*time.Hour:
		case cut < day/2:
			grain = 30 * time.Minute
		case cut < day:
			grain = time.Hour
		default:
			grain = 4 * time.Hour
		}
		simmers = append(simmers, d)
	}
	return simmers
}

// shorterSimmer finds the longest of a run's simmers that fits.
func (h *house) shorterSimmer(run Run, simmered Simmered) (time.Duration, bool) {
	simmers := run.simmers()
	fits := func(n int) bool {
		shorter := run
		shorter.Batch.Simmer = simmers[n]
		if simmered != nil {
			var err error
			if shorter.Batch, err = simmered(simmers[n]); err != nil {
				return false
			}
		}
		own := *h
		own.rows = map[variant]row{} // no other try asks for them, and there may be a hundred
		_, _, ok := own.find(shorter)
		return ok
	}
	last := len(simmers) - 1
	if run.alone() {
		// Shorter is not always better where the end may fall into the night.
		for n := range simmers {
			if fits(n) {
				return simmers[n], true
			}
		}
		return 0, false
	}
	if last < 0 || !fits(last) {
		return 0, false
	}
	n := sort.Search(last, fits)
	return simmers[n], n == last || fits(n)
}
