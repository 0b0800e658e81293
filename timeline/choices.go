package timeline

import (
	"cmp"
	"fmt"
	"slices"
	"sort"
	"time"
)

const (
	// mostChoices is how many places of a run are told, and choiceDays how far they may lie
	// from the best; own choice: two weekends on.
	mostChoices = 3
	choiceDays  = 15
)

// Choice is a place on other days that a run may have as well.
type Choice struct {
	Number       int // from 1, the best first
	Chosen       bool
	Begins, Ends time.Time // the first step, and when the kitchen is wiped down
	Nights       int
	Days         []Day         // on which somebody is needed until then
	Needed       time.Duration // of all that, with hands on or watching
}

// NoSuchChoice says that a run has fewer places to choose from.
type NoSuchChoice struct {
	Asked   int
	Choices []Choice // never empty
}

func (e *NoSuchChoice) Error() string {
	return fmt.Sprintf("choice: %d/%d", e.Asked, len(e.Choices))
}

// places lists the places of a run that is not held to a start, found, the best, first, and
// then those of the fewest nights: each begins on a day of its own, not before h.ChooseFrom.
// Before a deadline they are as late as one of an earlier day would have them.
func (h *house) places(run Run, found finding) []finding {
	begins := func(f finding) int { return dayNumber(f.at.starts[0], h.Location) }
	var others []finding
	add := func(f finding) {
		away := f.at.starts[0].Sub(found.at.starts[0]).Abs()
		if f.at.starts[0].Before(h.ChooseFrom) || away > choiceDays*day || begins(f) == begins(found) {
			return
		}
		i := slices.IndexFunc(others, func(o finding) bool { return begins(o) == begins(f) })
		switch {
		case i < 0:
			others = append(others, f)
		case f.nights(h.Location) < others[i].nights(h.Location):
			others[i] = f
		}
	}
	if !run.When.FinishBy.IsZero() {
		for next, ok := found, true; ok && found.at.starts[0].Sub(next.at.starts[0]) <= choiceDays*day; {
			if next, _, ok = h.backFrom(run, midnight(next.likely.In(h.Location))); ok {
				for i := range next.at.why {
					if next.at.why[i].kind == Deadline {
						next.at.why[i].kind = Chosen
					}
				}
				add(next)
			}
		}
	} else {
		h.starting(run, run.When.From, run.When.Until, add)
	}
	slices.SortStableFunc(others, func(a, b finding) int {
		return cmp.Compare(a.nights(h.Location), b.nights(h.Location))
	})
	return append([]finding{found}, others[:min(len(others), mostChoices-1)]...)
}

// choose is the place of a run that the cook asked for among those it has, and all of
// them, the chosen one first; none where there is but one. The error is a *NoSuchChoice.
func (h *house) choose(run Run, found finding) (finding, []Choice, error) {
	if !run.When.Start.IsZero() || len(run.Record) > 0 {
		return found, nil, nil
	}
	places := h.places(run, found)
	asked := max(1, run.Choose)
	var choices []Choice
	for i, place := range places {
		plan := Plan{Location: h.Location, Steps: h.steps(run, place)}
		choice := Choice{Number: i + 1, Chosen: i+1 == asked, Begins: h.local(place.at.starts[0]), Ends: h.local(place.likely),
			Nights: place.nights(h.Location), Days: plan.Needed()}
		for _, d := range choice.Days {
			for _, span := range d.Spans {
				choice.Needed += span.To.Sub(span.From)
			}
		}
		choices = append(choices, choice)
	}
	if asked > len(places) {
		return found, nil, &NoSuchChoice{asked, choices}
	}
	if len(places) == 1 {
		return found, nil, nil
	}
	chosen := choices[asked-1]
	choices = append([]Choice{chosen}, slices.Delete(choices, asked-1, asked)...)
	return places[asked-1], choices, nil
}

// aDayLater is the first deadline after finishBy with which a run would begin on a later
// day than found; zero where none of the next day is enough.
func (h *house) aDayLater(run Run, found finding, finishBy time.Time) time.Time {
	const grain = 5 * time.Minute
	begins := dayNumber(found.at.starts[0], h.Location)
	at := func(n int) time.Time { return fiveMinutesUp(finishBy).Add(time.Duration(n) * grain) }
	most := int(day / grain)
	n := sort.Search(most+1, func(n int) bool { // a later deadline is never worse
		next, _, ok := h.backFrom(run, at(n))
		return ok && dayNumber(next.at.starts[0], h.Location) > begins
	})
	if n > most {
		return time.Time{}
	}
	return at(n)
}
