package order

import (
	"time"

	"brothrun/stock/record"
	"brothrun/stock/settle"
	"brothrun/timeline"
)

// Outcome is what came of the run until now, by its notes, of which none has to be there.
// It counts on all the jars of the kitchen, for nobody knows which were full then. Errors
// are located.
func (r *Request) Outcome(now time.Time) (timeline.Outcome, error) {
	return r.outcomeBy(now, timeline.OutcomeOf)
}

// Past is the Outcome as far as other runs go by it: what it teaches and has on the shelf.
func (r *Request) Past(now time.Time) (timeline.Outcome, error) {
	return r.outcomeBy(now, timeline.PastOf)
}

// reckoned is timeline.OutcomeOf, or as much of it as is asked for.
type reckoned func(settle.Setup, timeline.When, []record.Entry) (timeline.Outcome, error)

func (r *Request) outcomeBy(now time.Time, of reckoned) (timeline.Outcome, error) {
	r.until = now
	outcome, err := r.outcome(of)
	return outcome, r.blamed(r.Locate(err), func(r *Request) error {
		_, err := r.outcome(of)
		return err
	})
}

func (r *Request) outcome(of reckoned) (outcome timeline.Outcome, err error) {
	if r.Setup, err = settle.Run(r.Kitchen, r.Run); err != nil {
		return outcome, err
	}
	var when timeline.When
	if err = r.Date(r.until); err != nil {
		return outcome, err
	}
	if r.asked() != "" {
		if when, _, err = r.when(r.place()); err != nil {
			return outcome, err
		}
	}
	entries, err := r.entries()
	if err != nil {
		return outcome, err
	}
	if outcome, err = of(r.Setup, when, entries); err != nil {
		return outcome, err
	}
	pot, err := r.Kitchen.Pot(r.Run.Pot)
	outcome.File, outcome.Pot = r.RunFile, pot.Name
	return outcome, err
}
