package order

import (
	"strings"
	"time"

	"brothrun/stock/settle"
	"brothrun/timeline"
)

// Outcome is what came of the run until now, by its notes, of which none has to be there.
// It counts on all the jars of the kitchen, for nobody knows which were full then. Errors
// are located.
func (r *Request) Outcome(now time.Time) (timeline.Outcome, error) {
	r.until = now
	outcome, err := r.outcome()
	return outcome, r.blamed(r.Locate(err), func(r *Request) error {
		_, err := r.outcome()
		return err
	})
}

func (r *Request) outcome() (outcome timeline.Outcome, err error) {
	if r.Setup, err = settle.Run(r.Kitchen, r.Run); err != nil {
		return outcome, err
	}
	var when timeline.When
	if r.asked() != "" {
		if when, _, err = r.when(r.place()); err != nil {
			return outcome, err
		}
	}
	entries, err := r.entries()
	if err != nil {
		return outcome, err
	}
	if outcome, err = timeline.OutcomeOf(r.Setup, when, entries); err != nil {
		return outcome, err
	}
	outcome.File = r.RunFile
	for _, pot := range r.Setup.Pots {
		outcome.Pot = strings.TrimPrefix(outcome.Pot+" + "+pot.Label, " + ")
	}
	if outcome.Pot != "" {
		return outcome, nil
	}
	pot, err := r.Kitchen.Pot(r.Run.Pot)
	outcome.Pot = pot.Name
	return outcome, err
}
