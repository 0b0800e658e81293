package order

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"brothrun/export/words"
	"brothrun/stock/fault"
	"brothrun/stock/record"
	"brothrun/stock/runfile"
	"brothrun/timeline"
)

// buttons are the words that a press may note.
var buttons = []record.What{
	record.Began, record.Done, record.Late, record.ToppedUp, record.Strained, record.Drained, record.Ready, record.Reading,
	record.Steam, record.Vented, record.AtPressure, record.Fell, record.HeatOff, record.Zero, record.LidOff,
	record.Sealed, record.Unsealed, record.Dried, record.Frozen, record.Undo,
}

// oldest is how long a phone may have kept a press: a day and a half, so that one of the
// evening still counts the morning after next; own choice.
const oldest = 36 * time.Hour

// isID reports whether a press may be called so: 6 to 32 letters and digits.
func isID(id string) bool {
	return len(id) >= 6 && len(id) <= 32 && strings.Trim(id, "abcdefghijklmnopqrstuvwxyz0123456789") == ""
}

// Press is a note made by a button of the page of a day.
type Press struct {
	Note runfile.Note
	At   string // as Noting has it
	seen int    // how many notes the page showed; below 0: unsaid
}

// ErrNoButton is the error of a press that no page sends.
var ErrNoButton = errors.New("no button")

// ReadPress takes a press out of the fields of its form, each by its name and empty where
// there is none, sent by now; ErrNoButton of one that no page sends.
func ReadPress(field func(name string) string, now time.Time) (p Press, err error) {
	one := func(name string) string { return strings.TrimSpace(field(name)) }
	var value []string
	for _, key := range []string{"value", "amount", "unit", "heat"} {
		if text := one(key); text != "" {
			value = append(value, text)
		}
	}
	note := runfile.Note{ID: one("id"), What: one("what"), Step: one("step"), Value: strings.Join(value, " ")}
	p = Press{Note: note, seen: -1}
	if load := one("load"); load != "" {
		if p.Note.Load, err = strconv.Atoi(load); err != nil || p.Note.Load < 1 {
			return p, ErrNoButton
		}
	}
	if !isID(p.Note.ID) || !slices.Contains(buttons, record.What(p.Note.What)) {
		return p, ErrNoButton
	}
	if number, _, ok := strings.Cut(one("seen"), "-"); ok {
		if p.seen, err = strconv.Atoi(number); err != nil {
			return p, ErrNoButton
		}
	}
	switch p.At = one("when"); {
	case len(p.At) > len("15:04:05"):
		return p, ErrNoButton // the page asks for an hour of the day, which is the last there was
	case p.At != "" || one("at") == "":
		return p, nil
	}
	milli, err := strconv.ParseInt(one("at"), 10, 64)
	at := time.UnixMilli(milli)
	if at.After(now) {
		at = now // a clock that is ahead: it has happened
	}
	if err != nil || now.Sub(at) > oldest {
		return p, ErrNoButton
	}
	p.At = at.UTC().Format(time.RFC3339Nano)
	return p, nil
}

// Unreadable is why what a press notes cannot be read, whatever the run: a quantity
// without a unit, or out of range. Nil: it can.
func (p Press) Unreadable(now time.Time) error {
	if record.What(p.Note.What) == record.Undo {
		return nil
	}
	_, err := record.Read([]runfile.Note{p.Note}, func(string) (time.Time, error) { return now, nil })
	return err
}

// Noting is the note to be made of a press, unless another device made the same meanwhile.
func (p Press) Noting(clock Clock) Noting {
	return Noting{Note: p.Note, At: p.At, Clock: clock, NewID: func(runfile.Run) string { return p.Note.ID },
		Check: func(day Day) error {
			if twin, ok := p.twin(day.Run.Notes); ok {
				at, err := timeline.ParseMoment(twin.At, day.Plan.Location)
				if err != nil {
					at = clock.Now.In(day.Plan.Location)
				}
				return fault.New("", "", "%s", words.Say("twice", timeline.Clock(at, "15:04")))
			}
			return nil
		}}
}

// twin is the note that says the same, where it is the last of its step or load and the
// page of the press did not show it: what happens once, two people may see.
func (p Press) twin(notes []runfile.Note) (runfile.Note, bool) {
	if p.seen < 0 || p.Note.What == string(record.Undo) {
		return runfile.Note{}, false
	}
	for i := len(notes) - 1; i >= p.seen; i-- {
		if n := notes[i]; n.Step == p.Note.Step && n.Load == p.Note.Load {
			return n, n.What == p.Note.What && n.Value == p.Note.Value
		}
	}
	return runfile.Note{}, false
}

// Said is what is told of a note that was made, on the clock of day and in its units.
func (n Noted) Said(day Day) string {
	form := words.Form{Units: day.Plan.Batch.Units}
	at := timeline.Clock(n.Entry.At.In(day.Plan.Location), "15:04")
	said := fmt.Sprintf("%s: %s", at, words.Happened(n.Entry, day.Plan, form))
	for _, question := range n.Questions {
		said += ". " + words.Note(question, form)
	}
	return said
}

// Told is an error with its next step, where that is no command to be typed.
func Told(err error) string {
	hint := ""
	typed := func(hint string) bool { return strings.HasPrefix(hint, "brothrun ") || strings.Contains(hint, "--") }
	if input := (*fault.Fault)(nil); errors.As(err, &input) && !typed(input.Hint) {
		hint = input.Hint
	}
	if hint == "" {
		return err.Error()
	}
	return err.Error() + "; " + hint
}
