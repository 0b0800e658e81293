package order

import (
	"errors"

	"brothrun/stock/fault"
	"brothrun/stock/runfile"
)

// Status is how an order ended: the exit status of a command.
type Status int

// The statuses.
const (
	Done    Status = 0
	Failed  Status = 1 // could not do it
	Usage   Status = 2 // bad input or usage
	Refused Status = 3 // refused for safety
)

// ErrRefused ends an order whose refusal stands in what it gives.
var ErrRefused = errors.New("refused for safety")

// Diagnose tells the status of an error and the next steps to show with it.
func Diagnose(err error) (status Status, hints []string) {
	var (
		unfit *Unfit
		file  *runfile.Error
		input *fault.Fault
		asks  *Question
		hint  string
	)
	switch {
	case errors.As(err, &unfit):
		return Failed, unfit.Hints()
	case errors.As(err, &asks):
		return Usage, asks.Ways
	case errors.As(err, &file):
		hint = file.Hint
	case errors.As(err, &input):
		hint = input.Hint
	default:
		return Failed, nil
	}
	if hint != "" {
		hints = []string{hint}
	}
	return Usage, hints
}
