package timeline

import (
	"fmt"
	"slices"
	"time"

	"brothrun/stock"
	"brothrun/stock/chill"
	"brothrun/stock/kettle"
)

// Check is an instant at which the cook is asked to look at something: the thermometer,
// the gauge, what stands ready. It is no step: it takes nobody's hands and moves none.
type Check struct {
	ID    string // stable, as that of a step
	Asks  Asks
	At    time.Time
	Quiet bool       // nobody is up then: it does not ring
	Load  stock.Load // of a phase of one
	Pot   int        // of a limit of the chill of one of several, from 1
	// Limit is, before bed, when the last limit of the chill falls that is still to be
	// kept; zero where it is past. Of Below70F it is until when it may be reheated; zero
	// where it was once.
	Limit  time.Time
	AllDay bool // At is noon of the day: it has no hour
}

// Before reports whether it is asked before the run begins.
func (l Check) Before() bool { return l.Asks <= DayBefore }

// Asks is what a look is for.
type Asks int

// What the checks ask, in the order of a run; those from Lit on are the phases of a load.
const (
	GaugeDue   Asks = iota + 1 // is the dial gauge checked?
	NewLids                    // are there enough?
	FillTank                   // of propane
	DryerFree                  // from Limit on
	ClearRoom                  // in the fridge and the freezer, by Limit
	IntoFridge                 // what thaws there, for Limit
	DayBefore                  // is the ice there, is what goes in thawing?
	Below70F                   // 2 h after 135 °F
	Below41F                   // 6 h after it
	Bedtime                    // is it cold, before the night?
	Lit                        // the heat goes on
	WeightOn                   // after the venting
	TimeStarts                 // at pressure
	HeatMayGoOff
	GaugeAtZero
)

// checkLasts is how long a look takes on the calendar; own choice.
const checkLasts = 10 * time.Minute

// End is when a look is over on the calendar.
func (l Check) End() time.Time { return l.At.Add(checkLasts) }

// checks are those of a plan, in the order of time; none where nothing is chilled. The
// day before is at the hour at which the first step begins, when somebody is up. The
// limits count from the straining or, where it was read, from 135 °F; they are gone
// once the readings say that they were kept, or missed.
func (h *house) checks(run Run, plan Plan) (checks []Check) {
	var chills []Step
	for _, step := range plan.Steps {
		if step.Role == Chill {
			chills = append(chills, step)
		}
	}
	if len(chills) == 0 || run.Batch.EndsAtStraining() {
		return nil
	}
	first, cooling := plan.Steps[0], chills[len(chills)-1] // the last to be cold
	begins := first.Start
	if !first.Planned.From.IsZero() {
		begins = first.Planned.From
	}
	add := func(l Check) {
		l.At = l.At.In(h.Location).Truncate(time.Minute)
		_, l.Quiet = h.asleep.first(l.At, l.At.Add(time.Second))
		checks = append(checks, l)
	}
	planned, before := run.Batch, plan
	if len(run.Record) > 0 { // what came does not change what was asked
		planned = run.Planned
		if run.before != nil {
			before = *run.before
		}
	}
	for _, c := range h.weekBefore(planned, before, begins) {
		if c.AllDay {
			checks = append(checks, c)
		} else {
			add(c)
		}
	}

	var asOf time.Time
	if n := len(run.Record); n > 0 {
		asOf = run.Record[n-1].At
	}
	read := Chilled(run.Record, asOf)
	cold := read.Stands == InTime || read.Stands == Unproven
	if read.Stands == Spoilt || read.Stands == ReheatNow {
		return checks
	}
	var last time.Time
	for _, cooling := range chills {
		from := cooling.Start
		if !read.From.IsZero() && len(chills) == 1 {
			from = read.From
		}
		last = from.Add(chill.WithinTo41F)
		if cold {
			continue
		}
		if read.Stands != Cooling || read.Last.Temperature > firstStage {
			check := Check{ID: nth("limit-70", cooling.Pot), Asks: Below70F, At: from.Add(chill.WithinTo70F), Pot: cooling.Pot}
			if !read.Again {
				check.Limit = from.Add(reheatWithin).In(h.Location)
			}
			add(check)
		}
		add(Check{ID: nth("limit-41", cooling.Pot), Asks: Below41F, At: last, Pot: cooling.Pot})
	}
	if i := slices.IndexFunc(h.asleep, func(night Booking) bool { return !night.From.Before(cooling.End) }); i >= 0 {
		night := h.asleep[i].From
		check := Check{ID: "bedtime", Asks: Bedtime, At: latestOf(night.Add(-checkLasts), cooling.End)}
		if !check.At.Before(night) {
			check.At = night.Add(-time.Minute)
		}
		if !cold && last.After(check.At) {
			check.Limit = last.In(h.Location)
		}
		skim := slices.IndexFunc(plan.Steps, func(s Step) bool { return s.Role == Skim || s.Role == Pack })
		if skim < 0 || check.At.Before(plan.Steps[skim].Start) {
			add(check)
		}
	}
	slices.SortStableFunc(checks, func(a, b Check) int { return a.At.Compare(b.At) })
	return checks
}

// phases are what comes after each phase of a load.
var phases = []struct {
	id    string
	asks  Asks
	after Phase // that ends with it
}{
	{"light", Lit, NotOn}, {"weight", WeightOn, Venting}, {"time", TimeStarts, Pressurising},
	{"heat-off", HeatMayGoOff, AtPressure}, {"zero", GaugeAtZero, LosingPressure},
}

// Phases are the checks of the loads of a plan, each where it likely falls: by the notes
// there are, counted from the last of them, and those that are past left out. What a
// load that was not processed does is no longer told by the clock.
func (p Plan) Phases() (checks []Check) {
	for _, step := range p.Steps {
		if step.Role != Load || len(step.Loads) == 0 || step.State == Skipped || step.State == Ended {
			continue
		}
		load := step.Loads[0]
		canning, at := Can(load, p.Record), step.Start
		if canning.NotProcessed.Code != "" || canning.Phase == Opened {
			continue
		}
		now := canning.Phase
		switch now {
		case NotOn, Heating:
		case Fallen: // brought back from then on
			now, at = Pressurising, canning.Since
		default:
			at = canning.Since
		}
		lasts := map[Phase]time.Duration{
			NotOn: 0, Venting: load.Cycle.Vent.Likely, Pressurising: load.Cycle.Pressurise.Likely,
			AtPressure: load.Process, LosingPressure: load.Cycle.Depressurise.Likely,
		}
		if now <= Heating {
			lasts[Venting] += load.Cycle.HeatUp.Likely
		}
		for _, phase := range phases {
			if phase.after < now {
				continue
			}
			at = at.Add(lasts[phase.after])
			checks = append(checks, Check{ID: fmt.Sprintf("%s-%s", step.ID, phase.id), Asks: phase.asks, Load: load,
				At: at.Truncate(time.Minute)})
		}
	}
	return checks
}

// StepIDs are all IDs that steps and checks of any run can have.
func StepIDs() []string {
	ids := []string{"prepare", "pick", "fridge", "skim", "leftover", "pre-freeze",
		"gauge-due", "lids", "tank", "dryer-free", "clear-room", "thaw-begins", "thaw", "day-before", "bedtime"}
	for pot := 1; pot <= kettle.MostPots; pot++ {
		for _, id := range []string{"heat-up", "simmer", "strain", "chill", "limit-70", "limit-41"} {
			ids = append(ids, nth(id, pot))
		}
	}
	for load := 1; load <= stock.MostLoads; load++ {
		ids = append(ids, fmt.Sprintf("fill-%d", load), fmt.Sprintf("load-%d", load), fmt.Sprintf("unload-%d", load),
			fmt.Sprintf("dry-load-%d", load), fmt.Sprintf("dry-%d", load), fmt.Sprintf("dry-check-%d", load))
		for _, phase := range phases {
			ids = append(ids, fmt.Sprintf("load-%d-%s", load, phase.id))
		}
	}
	for session := 1; session <= mostSessions; session++ {
		for _, id := range []string{"reheat", "jars", "clean-up", "fridge-again", "seal-check", "jars-rest"} {
			ids = append(ids, nth(id, session))
		}
		for load := 1; load <= stock.MostLoads; load++ {
			ids = append(ids, fmt.Sprintf("%s-load-%d", nth("seal-check", session), load),
				fmt.Sprintf("%s-load-%d", nth("jars-rest", session), load))
		}
	}
	return ids
}
