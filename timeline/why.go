package timeline

import "time"

// WhyKind is what kind of thing keeps a step where it stands.
type WhyKind int

// The kinds, each with the facts of Why that go with it.
const (
	NotHeld     WhyKind = iota // nothing that is told
	Asked                      // the start the cook gave
	SpanBegins                 // the span the cook gave begins
	Morning                    // the time of day at which the run began
	Asleep                     // nobody is up: Hours
	Away                       // nobody is at home: Span
	Taken                      // a thing or the cook's hands are: What, Places, Span, Own, Overnight
	Shut                       // the canner may not run: Hours
	Deadline                   // the time to finish by: At
	Ruled                      // two rows that leave no room for one another: Before
	Because                    // Reason alone
	RightAfter                 // without a pause: After, Reason
	LongAfter                  // Gap after After: Reason
	SoonAfter                  // Before at most Gap after After: Reason
	ComesAfter                 // After
	ComesBefore                // Before, which begins At
	OddHours                   // outside Hours somebody would be asked for nothing that is gained
	Chosen                     // the cook chose the day among others
)

// Why is what keeps a step where it stands, or a run from standing at all.
type Why struct {
	Kind          WhyKind
	So            Part // the step it is for where that is another of the same row; zero: the step itself
	After, Before Part
	Reason        Reason
	Gap           time.Duration
	At            time.Time
	Span          Booking // in which something cannot be had
	Own           bool    // by the run itself
	What          Resource
	Places        int  // of What
	Overnight     bool // the pot is wanted while the broth stays in it
	Hours         Hours
}

// Part names a step in a sentence: by its role and, of a canner load, its number.
type Part struct {
	Role Role
	Load int
}

// part is what a step is called.
func (s Step) part() Part {
	if s.Role == Fill || s.Role == Load || s.Role == Unload {
		return Part{s.Role, s.Loads[0].Number}
	}
	return Part{Role: s.Role}
}

// Reason is why one step follows another as it does.
type Reason int

// The reasons, in the order of a run.
const (
	NoReason Reason = iota
	RawBones
	ThawedCooks
	ChillAtOnce
	MeatWithin2H
	HandsFree
	MeatKeeps
	UntilSkimmed
	UntilPacked
	ColdAndFirm
	ColdThrough
	KeepsThreeDays
	StaysCold
	UntilWatched
	BrothHeats
	FullBoil
	HotJars
	JarsNeverCool
	JarsRest
	SealsSet
	TraysFrozen
	UntilDryerFree
	DryerLoaded
	MayBeDry
)

func because(r Reason) Why { return Why{Kind: Because, Reason: r} }

// why tells what keeps step j of block i of a finding where it stands.
func (h *house) why(found finding, i, j int) Why {
	b := found.row.blocks[i]
	t := b.tasks[j]
	if b.at[j] == 0 && j == 0 {
		o := found.at.why[i]
		if o.kind == Ruled {
			return h.rule(found.row, o, i)
		}
		return h.met(o)
	}
	for _, r := range t.rules {
		for k, before := range b.tasks {
			if before.ID != r.after {
				continue
			}
			end := b.at[k] + r.least
			if !r.beside {
				end += before.Span.Likely
			}
			switch {
			case end != b.at[j]:
			case r.beside && r.why != NoReason:
				return because(r.why)
			default:
				return Why{Kind: RightAfter, After: before.part(), Reason: r.why}
			}
		}
	}
	return Why{}
}

// rule tells which rule between two blocks holds one of them.
func (h *house) rule(r row, o obstacle, held int) Why {
	rule := o.bound.rule
	i, j, _ := r.find(rule.after)
	after := r.blocks[i].tasks[j].part()
	switch {
	case o.bound.isLongest:
		return Why{Kind: SoonAfter, Before: o.bound.task, Gap: rule.most, After: after, Reason: rule.why}
	case o.bound.from == i && rule.least > 0:
		return Why{Kind: LongAfter, Gap: rule.least, After: after, Reason: rule.why}
	case o.bound.from == i && held != i:
		return Why{Kind: ComesAfter, After: after}
	}
	return Why{Kind: ComesBefore, Before: o.bound.task, At: o.at.In(h.Location)}
}

// met tells what an obstacle is.
func (h *house) met(o obstacle) Why {
	why := Why{Kind: o.kind, What: o.what.Resource, Places: o.what.places, Overnight: o.overnight, Span: o.span}
	why.At, why.Span.From, why.Span.To = h.local(o.at), h.local(o.span.From), h.local(o.span.To)
	switch o.kind {
	case Asked:
		if !o.first {
			why.Kind = SpanBegins
		}
	case Asleep:
		why.Hours = h.Awake
	case OddHours:
		why.Hours, _ = h.Awake.civil()
	case Shut:
		why.Hours = h.CannerHours
	case Ruled:
		why.Before = o.bound.task
	}
	if !o.first && (o.kind == Asleep || o.kind == OddHours || o.kind == Away || o.kind == Shut || o.kind == Taken) {
		why.So = o.of()
	}
	return why
}
