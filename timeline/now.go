package timeline

import (
	"slices"
	"time"
)

// Moment is what is on at an instant.
type Moment struct {
	At time.Time
	On []Step // those that ask most of the cook first
	// Over are the steps that by the plan are over since the last note, though nobody
	// said so; the last is first.
	Over []Step
	Next []Step // what begins next: of those the cook is needed for, and before them
	// Free is how long nobody is needed, from now; 0 when somebody is.
	Free time.Duration
	Done bool // nothing is on and nothing comes
}

// Shift is a step that stands elsewhere than in another plan.
type Shift struct {
	Step
	By time.Duration // later; below zero: earlier
}

// Shifts are the steps still to come that begin at another time than in the plan
// before, in order; of those that the plan before did not have By is 0.
func (p Plan) Shifts(before Plan) []Shift {
	var shifts []Shift
	for _, s := range p.Steps {
		if s.State != ToCome {
			continue
		}
		i := slices.IndexFunc(before.Steps, func(other Step) bool { return other.ID == s.ID })
		switch {
		case i < 0:
			shifts = append(shifts, Shift{Step: s})
		default:
			// A note has seconds, and a plan is told to the minute.
			if by := s.Start.Sub(before.Steps[i].Start).Round(time.Minute); by != 0 {
				shifts = append(shifts, Shift{s, by})
			}
		}
	}
	return shifts
}

// LastNeeded is when the cook is needed last on the day of an instant, and the next
// after it when that is past; zero when never again.
func (p Plan) LastNeeded(at time.Time) time.Time {
	for _, day := range p.Needed() {
		if last := day.Spans[len(day.Spans)-1].To; last.After(at) {
			return last
		}
	}
	return time.Time{}
}

// asks is how much a step asks of the cook.
func (k Kind) asks() int { return slices.Index([]Kind{Waiting, Watch, HandsOn}, k) }

// Now tells what is on at an instant by a plan with steps: noted as begun, or by the
// clock where nothing is noted. A step is on from its start to just before its end.
func (p Plan) Now(at time.Time) Moment {
	m := Moment{At: at}
	if p.Location != nil {
		m.At = at.In(p.Location)
	}
	needed := false
	for _, s := range p.Steps {
		switch {
		case s.State == Skipped:
		case s.Start.After(at):
			if needed && s.Start.After(m.Next[len(m.Next)-1].Start) {
				continue
			}
			m.Next = append(m.Next, s)
			needed = needed || s.Kind != Waiting
		case s.End.After(at):
			m.On = append(m.On, s)
		case s.End.After(p.AsOf) && s.Kind != Waiting:
			m.Over = append([]Step{s}, m.Over...)
		}
	}
	slices.SortStableFunc(m.On, func(a, b Step) int { return b.Kind.asks() - a.Kind.asks() })
	if len(m.On) == 0 || m.On[0].Kind == Waiting {
		for _, s := range m.Next {
			if s.Kind != Waiting {
				m.Free = s.Start.Sub(at)
				break
			}
		}
	}
	m.Done = len(m.On) == 0 && len(m.Next) == 0
	return m
}
