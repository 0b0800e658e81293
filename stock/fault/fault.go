// Package fault is the one way a room says that something the cook gave, or did not
// give, cannot be used: which key it is, why, and what to do next. Every room under
// stock returns it, so that whoever asks finds the flag or the line of the file by the
// key alone. Errors of parsers, which know no key, stay plain until Of gives them one.
package fault

import (
	"errors"
	"fmt"
)

// Fault is something given, or not given, that cannot be used. Key is the name it has
// in a run or kitchen file and, with hyphens, as a flag: "pot_width", "canner.width";
// empty where no single one is at fault.
type Fault struct {
	Key    string
	Reason string // in lower case: what is wrong, the offending value, the allowed range with its unit
	Hint   string // the next step; may be empty
	// Misfit tells that the figures are sound by themselves, but one does not go into
	// the other: a jar into the canner, bones into the pot.
	Misfit bool
}

// Error returns the reason.
func (f *Fault) Error() string { return f.Reason }

// New is a fault of a key with its hint; the reason is formatted.
func New(key, hint, format string, about ...any) *Fault {
	return &Fault{Key: key, Reason: fmt.Sprintf(format, about...), Hint: hint}
}

// Misfit is New for what does not go into the other.
func Misfit(key, hint, format string, about ...any) *Fault {
	f := New(key, hint, format, about...)
	f.Misfit = true
	return f
}

// Of is any error as a fault of a key. One that is a fault already keeps the key and
// the hint it has.
func Of(key string, err error, hint string) *Fault {
	f := Fault{Key: key, Reason: err.Error(), Hint: hint}
	var found *Fault
	if errors.As(err, &found) {
		f.Misfit = found.Misfit
		if found.Key != "" {
			f.Key = found.Key
		}
		if found.Hint != "" {
			f.Hint = found.Hint
		}
	}
	return &f
}

// AsMisfit finds a misfit in an error; ok is false for any other fault or error.
func AsMisfit(err error) (misfit *Fault, ok bool) {
	if errors.As(err, &misfit) && misfit.Misfit {
		return misfit, true
	}
	return nil, false
}
