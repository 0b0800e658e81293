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
