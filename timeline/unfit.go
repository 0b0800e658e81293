package timeline

import (
	"time"

	"brothrun/stock"
)

// UnfitKind is why a run finds no place.
type UnfitKind int

// The kinds, each with the facts of Unfit that go with it.
const (
	// A row takes longer than a day holds: From and To, zero for the first day; Takes, Hours.
	DayTooShort     UnfitKind = iota + 1
	EndsTooLate               // if every step runs long: At
	WaitsTooLong              // the broth, before Of: Takes, at most
	Blocked                   // Why
	EndsInTheNight            // the first day, which takes Takes, At: Hours
	BlockedFirstDay           // Of would fall between FromTime and UntilTime: Why
	NoPlaceFor                // Of: Why
	DryerTaken                // or nobody is there to load it, for Days
)

// Unfit says that a run does not fit the calendar, and what would help.
type Unfit struct {
	Run   string // its ID
	Name  string // what it is called among several; empty alone
	Asked When   // what the cook asked for, on the clock of the place
	Kind  UnfitKind
	Days  int // for how long a place was looked for

	From, To            Part
	Of                  Part
	Takes               time.Duration
	Hours               Hours
	At                  time.Time
	FromTime, UntilTime time.Time
	Why                 Why

	house *house
	run   Run
}

func (e *Unfit) Error() string { return "unfit: " + e.Run }

// unfit says why a run finds no place.
func (h *house) unfit(run Run, met obstacle, several bool) *Unfit {
	e := &Unfit{Run: run.ID, Days: searchDays, house: h, run: run}
	if several {
		e.Name = nameOf(run)
	}
	e.Asked = When{h.local(run.When.Start), h.local(run.When.FinishBy), h.local(run.When.From), h.local(run.When.Until)}
	e.tell(met)
	return e
}

// local is an instant on the clock of the place; one that is not set stays so.
func (h *house) local(t time.Time) time.Time {
	if t.IsZero() {
		return t
	}
	return t.In(h.Location)
}

// tell sorts what was met into a kind with its facts.
func (e *Unfit) tell(met obstacle) {
	h, run := e.house, e.run
	if r := h.rowOf(run, way{sessions: evenly(len(run.Batch.Loads), run.mostSessions())}); !h.holds(r) {
		for i, b := range r.blocks {
			if b.attended <= h.Awake.Length() {
				continue
			}
			e.Kind, e.Takes, e.Hours = DayTooShort, b.attended, h.Awake
			if i > 0 {
				e.From, e.To = b.tasks[b.attendedFrom].part(), b.tasks[b.until].part()
			}
			return
		}
	}
	first := h.rowOf(run, way{sessions: evenly(len(run.Batch.Loads), 1)})
	start := e.Asked.Start
	e.Of = met.of()
	switch {
	case met.kind == Deadline:
		e.Kind, e.At = EndsTooLate, h.local(met.at)
		return
	case met.kind == Ruled && met.bound.isLongest:
		e.Kind, e.Takes, e.Of = WaitsTooLong, met.bound.rule.most, met.bound.task
		return
	case start.IsZero() || met.task == nil:
		e.Kind, e.Why = Blocked, h.met(met)
		return
	case met.kind == Asleep && e.Of.Role.onTheFirstDay():
		e.Kind, e.Takes, e.Hours = EndsInTheNight, first.blocks[0].likelyEnd, h.Awake
		e.At = start.Add(e.Takes)
		return
	}
	met.first = true
	e.Kind, e.Why = NoPlaceFor, h.met(met)
	if e.Of.Role.onTheFirstDay() {
		i, j, _ := first.find(met.task.ID)
		b := first.blocks[i]
		e.Kind, e.FromTime, e.UntilTime = BlockedFirstDay, start.Add(b.at[j]), start.Add(b.late[j]+met.task.Span.High)
	}
}

// WayOutKind is what would make a run fit.
type WayOutKind int

// The kinds, each with the facts of WayOut that go with it.
const (
	StartBy        WayOutKind = iota + 1 // At
	StartFrom                            // At or later
	FinishBy                             // At
	FinishByLater                        // At, instead of the deadline
	LeaveAlone                           // the simmer
	UpUntil                              // Hours, longer in the evening
	UpFrom                               // Hours, longer in the morning
	BeAtHome                             // Span
	ShorterSimmer                        // Takes
	CannerAnytime                        // at other hours than Hours, or indoors
	FreezeAll                            // can nothing
	FewerLoads                           // Loads of them, with Jars
	Elsewhen                             // other days, or a smaller pot
	FreeTheDryer                         // for Takes
	LeftoverFrozen                       // by another route
	ThawBefore                           // in the fridge, so that it is done: Takes at most
)

// WayOut is a way to make a run fit, enough by itself.
type WayOut struct {
	Kind  WayOutKind
	At    time.Time
	Hours Hours
	Span  Booking
	Takes time.Duration
	Loads int
	Jars  string // as runfile.ParseJars reads them
}

// Simmered works the batch of a run out for another simmer: less boils away in a
// shorter one, so there is more to can.
type Simmered func(time.Duration) (stock.Batch, error)

// WaysOut lists what would make the run fit, each alone. A nil simmered leaves all but
// the time as it is. It is asked for a dozen simmers, or, where the simmer goes on
// alone, for sixty at most.
func (e *Unfit) WaysOut(simmered Simmered) []WayOut {
	if e.Kind == DryerTaken {
		return []WayOut{{Kind: FreeTheDryer, Takes: e.run.Batch.Leftover.Hours.High}, {Kind: LeftoverFrozen}}
	}
	own, run := *e.house, e.run
	h := &own
	h.uncivil = nil // the least that helps
	ways := h.otherTimes(run)
	ways = append(ways, h.unattended(run)...)
	ways = append(ways, h.aLongerDay(run)...)
	ways = append(ways, h.beingHome(run)...)
	ways = append(ways, h.thawedBefore(run)...)
	ways = append(ways, h.lessSimmer(run, simmered)...)
	ways = append(ways, h.otherCannerHours(run)...)
	ways = append(ways, h.fewerLoads(run)...)
	if len(ways) == 0 {
		ways = append(ways, WayOut{Kind: Elsewhen})
	}
	return ways
}
