package timeline

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"brothrun/stock"
	"brothrun/stock/record"
)

// Offer is a note that may be made, as a button.
type Offer struct {
	What record.What
	Step string
	Load int
	Span time.Duration    // of late
	Jars []stock.JarCount // of sealed, unsealed
	At   time.Time        // when it was, of a step that went as planned; zero: when the button is pressed
	// From is before when it cannot have happened: the button is dead until then. Zero: at
	// once.
	From time.Time
}

// entry is the note an offer makes at an instant.
func (o Offer) entry(at time.Time) record.Entry {
	e := record.Entry{What: o.What, Step: o.Step, Load: o.Load, Span: o.Span, At: cmp.Or(o.At, at)}
	for _, j := range o.Jars {
		e.Jars = append(e.Jars, record.JarCount(j))
	}
	return e
}

// Turn is what the cook is asked for at an instant: the step it is about, and what may be
// noted of it.
type Turn struct {
	Step Step // without an ID: nothing comes any more
	// Overdue tells that the step was to be over, and nobody said so; Coming that it is
	// still to begin.
	Overdue, Coming bool
	Canning         Canning // of the load on the heat; its Phase is NotOn where none is
	Load            stock.Load
	Main            Offer   // the next thing that happens; What is empty where the plan says there is none
	Others          []Offer // what else may happen to the step
	Also            []Step  // what else goes on and needs somebody
}

// forgotten is how long after its end a step is still asked about of which nobody said that
// it is over; later it is taken to have gone by the plan, but for what follows a run. Own
// choice.
const forgotten = 2 * time.Hour

// lates are how late a step may be said to be; own choice.
var lates = []time.Duration{10 * time.Minute, 30 * time.Minute, time.Hour}

// Turn tells what the cook is asked for at an instant, of a plan with steps; planned is the
// batch before any note. A load in the canner comes first, then the first step that has
// begun or was to begin by then, then the next. What is offered may be noted, by May, from
// its From on. Heat-off is offered of a load at pressure alone, from when the full tested
// time since it last came to pressure is over: a load that fell is brought back, or given
// up by its gauge at zero.
func (p Plan) Turn(planned stock.Batch, at time.Time) Turn {
	var t Turn
	var open []Step
	told := p.sealsTold()
	for _, s := range p.Steps {
		canned := Canning{}
		if s.Role == Load && len(s.Loads) > 0 {
			canned = Can(s.Loads[0], upTo(p.Record, at))
		}
		on := canned.Phase != NotOn && canned.Phase != Opened
		switch {
		case on:
			open = slices.Insert(open, 0, s)
			t.Canning = canned
		case s.Role == SealCheck && s.State == Ended && !told[s.ID] && at.Sub(s.End) < day:
			open = append(open, s) // a jar that did not seal may have been noted since
		case s.State == Ended || s.State == Skipped || canned.Phase == Opened:
		case s.Role < SealCheck && at.Sub(s.End) > forgotten:
		case !s.Start.After(at) && s.Kind != Waiting:
			open = append(open, s)
		case s.Start.After(at) && s.Kind != Waiting && t.Step.ID == "":
			t.Step, t.Coming = s, true
		}
	}
	beside := func(s Step) int { // what the broth does not wait for comes last
		return min(slices.Index([]Role{WashJars, Pick}, s.Role), 0)
	}
	slices.SortStableFunc(open, func(a, b Step) int { return cmp.Compare(beside(a), beside(b)) })
	if len(open) > 0 {
		t.Step, t.Coming, t.Also = open[0], false, open[1:]
	}
	if (t.Step.Role == Load || t.Step.Role == Fill) && len(t.Step.Loads) > 0 {
		t.Load = t.Step.Loads[0]
	}
	t.Overdue = !t.Coming && t.Canning.Phase == NotOn && !t.Step.End.After(at)
	var all []Offer
	for _, o := range t.offers(p, at) {
		if _, ok := p.May(planned, p.Record, o.entry(latestOf(at, o.From))); ok {
			all = append(all, o)
		}
	}
	if len(all) > 0 {
		t.Main, t.Others = all[0], all[1:]
	}
	return t
}

// offers are what may happen to the step, the next thing first.
func (t Turn) offers(p Plan, at time.Time) (all []Offer) {
	step := func(what record.What) Offer { return Offer{What: what, Step: t.Step.ID} }
	began := Offer{What: record.Began, Step: strings.Replace(t.Step.ID, "fill-", "load-", 1)}
	switch {
	case t.Step.ID == "":
		return nil
	case t.Canning.Phase != NotOn:
		return t.OfCanner()
	case t.Coming:
		all = append(all, step(record.Began))
	case t.Step.Role == Load:
		all = append(all, began, Offer{What: record.Steam, Load: t.Load.Number})
	case t.Step.Role == Fill:
		all = append(all, began)
	case t.Step.Role == SealCheck:
		all = append(p.seals(t.Step, at), step(record.Done))
	default:
		all = append(all, step(record.Done))
	}
	if t.Overdue && t.Step.Role != Load && t.Step.Role != Fill {
		planned := step(record.Done)
		planned.At = t.Step.End
		all = append(all, planned)
	}
	for _, span := range lates {
		late := step(record.Late)
		late.Span = span
		all = append(all, late)
	}
	return all
}

// seals are what may be found at a check of the seals: all that are left sealed, or one of
// a load not.
func (p Plan) seals(check Step, at time.Time) (all []Offer) {
	sealed := Offer{What: record.Sealed}
	for _, load := range check.Loads {
		for _, j := range p.Filled(p.Record, at, load.Number) {
			all = append(all, Offer{What: record.Unsealed, Load: load.Number, Jars: []stock.JarCount{{Jar: j.Jar, Count: 1}}})
			i := slices.IndexFunc(sealed.Jars, func(known stock.JarCount) bool { return known.Jar == j.Jar })
			if i < 0 {
				i, sealed.Jars = len(sealed.Jars), append(sealed.Jars, stock.JarCount{Jar: j.Jar})
			}
			sealed.Jars[i].Count += j.Count
		}
	}
	if len(sealed.Jars) > 0 {
		all = append([]Offer{sealed}, all...)
	}
	return all
}

// sealsTold are the checks of seals of which notes say that they are over.
func (p Plan) sealsTold() map[string]bool {
	told := map[string]bool{}
	for _, e := range p.Record {
		for _, s := range p.Steps {
			if s.Role == SealCheck && (e.What == record.Done && e.Step == s.ID || e.What == record.Sealed && !told[s.ID]) {
				told[s.ID] = true
				break
			}
		}
	}
	return told
}

// OfCanner are what may come next of a load on the heat, by its Canning.
func (t Turn) OfCanner() (all []Offer) {
	next := t.Canning.Next()
	if t.Canning.Phase == Fallen {
		next = []record.What{record.AtPressure, record.Zero}
	}
	for i, what := range next {
		o := Offer{What: what, Load: t.Load.Number}
		if i == 0 { // the others do not wait for the clock
			o.From = t.Canning.Until
		}
		all = append(all, o)
	}
	return all
}

// After is the phase of a load once a note of it is made, and how long that lasts at the
// least; 0 where only a reading tells.
func After(what record.What, load stock.Load) (phase Phase, lasts time.Duration) {
	switch what {
	case record.Began:
		return Heating, 0
	case record.Steam:
		return Venting, publishedSteps.Vent.Likely
	case record.Vented:
		return Pressurising, 0
	case record.AtPressure:
		return AtPressure, load.Process
	case record.Fell:
		return Fallen, 0
	case record.HeatOff:
		return LosingPressure, 0
	case record.Zero:
		return AtZero, publishedSteps.Wait.Likely
	case record.LidOff:
		return Opened, 0
	}
	return NotOn, 0
}

// Measures are what may be measured at an instant, and has not been: what the step that is
// asked for, and those that go on, give to measure.
func (p Plan) Measures(planned stock.Batch, t Turn, at time.Time) (all []record.What) {
	noted := func(what record.What) bool {
		return slices.ContainsFunc(p.Record, func(e record.Entry) bool { return e.What == what })
	}
	add := func(what record.What, ok bool) {
		if ok && !slices.Contains(all, what) {
			all = append(all, what)
		}
	}
	chilling := Chilled(p.Record, at)
	allStrained, _ := p.last(Strain)
	for _, s := range append([]Step{t.Step}, p.Now(at).On...) {
		switch s.Role {
		case HeatUp, Simmer:
			add(record.ToppedUp, !t.Coming)
		case Strain, Chill, InFridge, Skim:
			if at.Before(allStrained.Start) {
				continue
			}
			cooling := len(p.Batch.Pots) == 0 && chilling.Stands != InTime && chilling.Stands != Spoilt && !chilling.From.IsZero()
			add(record.Reading, s.Role != Skim && cooling)
			add(record.Strained, !noted(record.Strained))
			add(record.Drained, !noted(record.Drained))
			add(record.Ready, s.Role == Skim && !noted(record.Ready))
		case Leftover, Pack:
			add(record.Frozen, !noted(record.Frozen) && !t.Coming)
		case DryCheck:
			add(record.Dried, !t.Coming)
		}
	}
	return all
}

// Due is an instant at which the cook is called.
type Due struct {
	At    time.Time
	Step  Step  // that begins, or whose phase has lasted as long as it must
	Phase Phase // of a load; NotOn: the step begins
	Check Check // without an ID: none
}

// Due are the instants after from and up to until at which the cook is called: a phase of
// a load may end, a step somebody is needed for begins, or something is to be looked at.
func (p Plan) Due(from, until time.Time) (all []Due) {
	add := func(d Due) {
		if d.At.After(from) && !d.At.After(until) {
			all = append(all, d)
		}
	}
	for _, s := range p.Steps {
		if s.Role == Load && len(s.Loads) > 0 {
			if c := Can(s.Loads[0], p.Record); !c.Until.IsZero() {
				add(Due{At: c.Until, Step: s, Phase: c.Phase})
			}
		}
		if s.State == ToCome && s.Kind != Waiting {
			add(Due{At: s.Start, Step: s})
		}
	}
	for _, c := range p.Checks {
		if !c.Quiet {
			add(Due{At: c.At, Check: c})
		}
	}
	slices.SortStableFunc(all, func(a, b Due) int { return a.At.Compare(b.At) })
	return all
}
