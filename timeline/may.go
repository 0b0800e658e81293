package timeline

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"brothrun/stock"
	"brothrun/stock/quantity"
	"brothrun/stock/record"
	"brothrun/stock/remark"
)

// May tells whether a note can be what happened, by the plan as it is with the notes
// before it; a refusal is a code with its facts. planned is the batch as it was before
// any note.
func (p Plan) May(planned stock.Batch, entries []record.Entry, e record.Entry) (refusal remark.Note, ok bool) {
	no := func(note remark.Note) (remark.Note, bool) { return note, false }
	if e.Step != "" && !slices.ContainsFunc(p.Steps, func(s Step) bool { return s.ID == e.Step }) {
		return no(note(NoSuchStep, e.Step, p.stepIDs()))
	}
	if n := loadOf(e); n > len(p.Batch.Loads) || e.Load > len(p.Batch.Loads) {
		return no(note(NoSuchLoad, max(n, e.Load), len(p.Batch.Loads)))
	}
	if strain, _ := p.last(Strain); len(p.Batch.Pots) > 0 && slices.Contains(ofAllPots, e.What) && e.At.Before(strain.Start) {
		return no(note(OfAllPots, e.What, len(p.Batch.Pots), p.Batch.Pots[len(p.Batch.Pots)-1].Pot, strain.Start, strain.ID))
	}
	if after, is := comesAfter[e.What]; is {
		if step, ok := p.first(after); ok && e.At.Before(step.Start) {
			return no(note(NotYet, e.What, step.part(), step.Start, step.ID))
		}
	}
	if refusal, ok := p.mayCan(entries, e); !ok {
		return no(refusal)
	}
	switch e.What {
	case record.Reading:
		if n := len(p.Batch.Pots); n > 0 {
			return no(note(SeveralPots, n))
		}
		if strainedAt(entries).IsZero() {
			return no(note(NotStrained))
		}
	case record.Strained, record.Ready, record.Frozen:
		if most := mostOf(planned); e.Volume > most {
			return no(note(TooMuch, e.What, e.Volume, most))
		}
	case record.Skipped:
		if step, ok := p.step(e); ok && !slices.Contains(skippable, step.Role) {
			return no(note(MayNotSkip, step.part()))
		}
	case record.Filled:
		return p.mayFill(e)
	case record.Broken, record.Unsealed, record.Sealed, record.Used:
		return p.mayHave(entries, e)
	}
	if e.What.OfLoad() {
		return Can(p.Batch.Loads[e.Load-1], entries).May(e)
	}
	return remark.Note{}, true
}

// mayCan tells whether a note of a load can be: once the broth of its session is on the
// heat, not longer after the straining than broth keeps, and with no other load in the
// canner; and whether one that says that a load is out can be, before the lid may come
// off.
func (p Plan) mayCan(entries []record.Entry, e record.Entry) (refusal remark.Note, ok bool) {
	about := loadOf(e)
	said := e.What == record.Began || e.What == record.Done
	for _, load := range p.Batch.Loads {
		canned := Can(load, upTo(entries, e.At))
		on := canned.Phase != NotOn && canned.Phase != Opened
		over := e.What == record.Done && (e.Step == "" || strings.HasPrefix(e.Step, "load-")) ||
			said && strings.HasPrefix(e.Step, "unload-")
		switch {
		case on && said && strings.HasPrefix(e.Step, "clean-up"):
			return note(StillOn, load.Number, canned.Phase), false
		case !on || about == 0:
		case load.Number == about && over:
			lidOff := record.Entry{At: e.At, What: record.LidOff, Load: about}
			if refusal, ok := canned.May(lidOff); !ok {
				return refusal, false
			}
		case load.Number != about && e.What != record.Filled && !strings.HasPrefix(e.Step, "fill-") &&
			about > load.Number:
			return note(StillOn, load.Number, canned.Phase), false
		}
	}
	if about == 0 || Can(p.Batch.Loads[about-1], entries).Phase != NotOn {
		return remark.Note{}, true
	}
	strained := strainedAt(entries)
	if strain, ok := p.first(Strain); ok && strained.IsZero() {
		strained = strain.End
	}
	if age := e.At.Sub(strained); !strained.IsZero() && age > fridgeHold {
		return note(KeptTooOld, about, age, fridgeHold), false
	}
	for _, s := range p.Steps {
		if s.Role != Load || s.Loads[0].Number != about {
			continue
		}
		for _, reheat := range p.Steps {
			if reheat.Role == Reheat && reheat.Session == s.Session && e.At.Before(reheat.Start) {
				return note(NotYet, e.What, reheat.part(), reheat.Start, reheat.ID), false
			}
		}
	}
	return remark.Note{}, true
}

// upTo is the record as far as an instant.
func upTo(entries []record.Entry, at time.Time) []record.Entry {
	n := slices.IndexFunc(entries, func(e record.Entry) bool { return e.At.After(at) })
	if n < 0 {
		return entries
	}
	return entries[:n]
}

// comesAfter is the step that has to have begun before something can be noted.
var comesAfter = map[record.What]Role{
	record.ToppedUp: HeatUp, record.Strained: Simmer, record.Drained: Simmer, record.Reading: Simmer,
	record.Ready: Strain, record.Frozen: Strain, record.Drying: Strain, record.Dried: Strain,
}

// ofAllPots is what of a run of several pots is noted once, of all of them together.
var ofAllPots = []record.What{record.Strained, record.Drained, record.Ready}

// skippable are the steps a run may do without: none that keeps it safe.
var skippable = []Role{Thaw, Prepare, Pick, WashJars, CleanUp, Leftover, PreFreeze, DryLoad, Dry, DryCheck}

// stepIDs are the names of its steps, in order.
func (p Plan) stepIDs() (ids []string) {
	for _, s := range p.Steps {
		ids = append(ids, s.ID)
	}
	return ids
}

func (p Plan) first(role Role) (Step, bool) {
	for _, s := range p.Steps {
		if s.Role == role {
			return s, true
		}
	}
	return Step{}, false
}

// step is the one a note is about, by its name or its load.
func (p Plan) step(e record.Entry) (Step, bool) {
	id := e.Step
	if id == "" && e.Load > 0 {
		id = fmt.Sprintf("load-%d", e.Load)
	}
	i := slices.IndexFunc(p.Steps, func(s Step) bool { return s.ID == id })
	if i < 0 {
		return Step{}, false
	}
	return p.Steps[i], true
}

// mostOf is more broth than a pot can give: all that went in, a tenth more for what is
// poured in on the way.
func mostOf(b stock.Batch) quantity.Volume {
	return 1.1 * (b.Yield.Water + b.Yield.GivenOff + b.Yield.ToppedUp + b.Yield.IceMelted)
}

// mayFill tells whether a load takes so many jars: of one size no more than the
// fullest planned load of it, of several no more in all.
func (p Plan) mayFill(e record.Entry) (remark.Note, bool) {
	var most int
	for _, load := range p.Batch.Loads {
		most = max(most, load.Jars())
	}
	filled := 0
	for _, j := range e.Jars {
		filled += j.Count
		if !slices.ContainsFunc(p.Batch.Jars, func(known stock.JarsToFill) bool { return known.Jar == j.Jar }) {
			return note(NoSuchJar, j.Jar, p.Batch.JarCounts()), false
		}
	}
	if filled > most && len(e.Jars) == 1 && len(p.Batch.Jars) == 1 {
		return note(TooManyJars, e.Jars, e.Load, most).In("load"), false
	}
	return remark.Note{}, true
}

// mayHave tells whether there are as many jars as a note speaks of: filled ones, less
// those that broke, but for empty ones that break.
func (p Plan) mayHave(entries []record.Entry, e record.Entry) (remark.Note, bool) {
	if e.What == record.Broken && e.Load == 0 {
		return remark.Note{}, true
	}
	filled := p.Filled(entries, e.At, e.Load)
	for _, j := range e.Jars {
		have := 0
		for _, size := range filled {
			if size.Jar == j.Jar {
				have += size.Count
			}
		}
		if j.Count > have {
			return note(TooManyJars, e.Jars, e.What, filled), false
		}
	}
	return remark.Note{}, true
}

// Filled is the jars that stand filled and processed, or may yet be, at an instant:
// those of the loads that have begun, or of one of them, less those that broke in it,
// were found unsealed, or were used.
func (p Plan) Filled(entries []record.Entry, at time.Time, load int) []stock.JarCount {
	var filled []stock.JarCount
	add := func(name string, n int) {
		i := slices.IndexFunc(filled, func(j stock.JarCount) bool { return j.Jar == name })
		if i < 0 {
			i = len(filled)
			filled = append(filled, stock.JarCount{Jar: name})
		}
		filled[i].Count += n
	}
	for _, s := range p.Steps {
		if s.Role != Fill || s.Start.After(at) || load > 0 && s.Loads[0].Number != load || s.Loads[0].Unprocessed {
			continue
		}
		for _, layer := range s.Loads[0].Layers {
			for _, j := range layer.Jars {
				add(j.Jar, j.Count)
			}
		}
	}
	for _, e := range entries {
		gone := e.What == record.Unsealed || e.What == record.Used || e.What == record.Broken && e.Load > 0
		if !gone || load > 0 && e.Load != load {
			continue
		}
		for _, j := range e.Jars {
			add(j.Jar, -j.Count)
		}
	}
	return slices.DeleteFunc(filled, func(j stock.JarCount) bool { return j.Count <= 0 })
}

// oddly is how far from what was expected a measured volume may be before the cook is
// asked; own choice: the band is left one time in five, and half again beyond it hardly
// ever.
const oddly = 1.5

// Odd is what to ask of a note that may be so: what was noted is kept. now is the
// present instant.
func (p Plan) Odd(planned stock.Batch, e record.Entry, now time.Time) (questions []remark.Note) {
	if e.At.After(now.Add(time.Minute)) {
		questions = append(questions, note(NotedAhead, e.At))
	}
	if begins := p.Begins(); e.At.Before(begins.Add(-day)) {
		questions = append(questions, note(NotedBefore, e.At, begins))
	}
	expected := quantity.Band[quantity.Volume]{}
	switch e.What {
	case record.Strained:
		expected = planned.Yield.Strained
		if e.HeatUnsaid {
			questions = append(questions, note(HeatUnsaid))
		}
	case record.Ready:
		expected = p.Batch.Yield.ReadyToFill
	default:
		return questions
	}
	if v := e.ColdVolume(); v < expected.Low/oddly || v > expected.High*oddly {
		odd := note(VolumeOdd, e.What, e.Volume, expected)
		if len(planned.Pots) > 0 {
			odd = odd.In("pots")
		}
		questions = append(questions, odd)
	}
	return questions
}
