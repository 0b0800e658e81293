package serve

import (
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"brothrun/cmd/brothrun/order"
	"brothrun/export/page"
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

// pressed is what a press says.
type pressed struct {
	note runfile.Note
	at   string // as order.Noting has it
	seen int    // how many notes the page showed; below 0: unsaid
}

var errNoButton = errors.New("no button")

// read takes a press out of what was sent; errNoButton of one that no page sends.
func (s *Server) pressOf(form url.Values) (p pressed, err error) {
	one := func(key string) string { return strings.TrimSpace(form.Get(key)) }
	var value []string
	for _, key := range []string{"value", "amount", "unit", "heat"} {
		if text := one(key); text != "" {
			value = append(value, text)
		}
	}
	note := runfile.Note{ID: one("id"), What: one("what"), Step: one("step"), Value: strings.Join(value, " ")}
	p = pressed{note: note, seen: -1}
	if load := one("load"); load != "" {
		if p.note.Load, err = strconv.Atoi(load); err != nil || p.note.Load < 1 {
			return p, errNoButton
		}
	}
	if !isID(p.note.ID) || !slices.Contains(buttons, record.What(p.note.What)) {
		return p, errNoButton
	}
	if number, _, ok := strings.Cut(one("seen"), "-"); ok {
		if p.seen, err = strconv.Atoi(number); err != nil {
			return p, errNoButton
		}
	}
	now := s.Now()
	switch p.at = one("when"); {
	case len(p.at) > len("15:04:05"):
		return p, errNoButton // the page asks for an hour of the day, which is the last there was
	case p.at != "" || one("at") == "":
		return p, nil
	}
	milli, err := strconv.ParseInt(one("at"), 10, 64)
	at := time.UnixMilli(milli)
	if at.After(now) {
		at = now // a clock that is ahead: it has happened
	}
	if err != nil || now.Sub(at) > oldest {
		return p, errNoButton
	}
	p.at = at.UTC().Format(time.RFC3339Nano)
	return p, nil
}

// press makes a note of a press, once, and answers with what is on then.
func (s *Server) press(w http.ResponseWriter, r *http.Request, a asked) {
	answer := func(status int, said string) {
		refused := status != http.StatusOK
		switch {
		case r.URL.Query().Has("fragment"):
			s.now(w, r, a, status, page.Answer{Said: said, Refused: refused})
		case refused:
			s.plain(w, a, status, page.Answer{Said: said, Refused: true})
		default:
			w.Header().Set("Cache-Control", "no-store")
			http.Redirect(w, r, a.site.Base+"plain", http.StatusSeeOther)
		}
	}
	r.Body = http.MaxBytesReader(w, r.Body, mostBody)
	if err := r.ParseForm(); errors.As(err, new(*http.MaxBytesError)) {
		answer(http.StatusRequestEntityTooLarge, words.Say("form"))
		return
	} else if err != nil {
		answer(http.StatusBadRequest, words.Say("form"))
		return
	}
	p, err := s.pressOf(r.PostForm)
	if err != nil {
		answer(http.StatusBadRequest, words.Say("form"))
		return
	}
	if of := r.PostForm.Get("run"); of != "" && of != s.seen(a.run, page.Answer{}).Key {
		answer(http.StatusConflict, words.Say("other"))
		return
	}
	if wrong := s.unreadable(a.run, p.note); wrong != nil {
		answer(http.StatusUnprocessableEntity, told(wrong))
		return
	}
	said, err := s.noteDown(a.run, p)
	switch {
	case err == nil:
		answer(http.StatusOK, said)
	case s.seen(a.run, page.Answer{}).Broken != "": // somebody writes in the file: the phone keeps the press
		answer(http.StatusServiceUnavailable, told(err))
	case errors.As(err, new(*fault.Fault)) || errors.As(err, new(*runfile.Error)) || errors.As(err, new(*order.Question)):
		answer(http.StatusConflict, told(err))
	default:
		answer(http.StatusInternalServerError, err.Error())
	}
}

// told is an error with its next step, where that is no command to be typed.
func told(err error) string {
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

// unreadable is why what is noted cannot be read, whatever the run: a quantity without a
// unit, or out of range.
func (s *Server) unreadable(r *run, note runfile.Note) error {
	if record.What(note.What) == record.Undo {
		return nil
	}
	_, err := record.Read([]runfile.Note{note}, func(string) (time.Time, error) { return s.Now(), nil })
	return err
}

// noteDown makes the note, unless another device made the same meanwhile, and says what
// was noted. A press that is known already is told as it was.
func (s *Server) noteDown(r *run, p pressed) (said string, err error) {
	form := words.Form{Units: s.day(r).Plan.Batch.Units}
	noted, err := s.Note(r.path, order.Noting{Note: p.note, At: p.at, Clock: order.Clock{Now: s.Now()},
		NewID: func(runfile.Run) string { return p.note.ID },
		Check: func(day order.Day) error {
			if twin, ok := p.twin(day.Run.Notes); ok {
				at, err := timeline.ParseMoment(twin.At, day.Plan.Location)
				if err != nil {
					at = s.Now().In(day.Plan.Location)
				}
				return fault.New("", "", "%s", words.Say("twice", timeline.Clock(at, "15:04")))
			}
			return nil
		}})
	s.mutex.Lock()
	s.renew(r)
	s.mutex.Unlock()
	if err != nil {
		return "", err
	}
	at := noted.Entry.At.In(s.day(r).Plan.Location)
	said = fmt.Sprintf("%s: %s", timeline.Clock(at, "15:04"), words.What(noted.Entry, form))
	for _, question := range noted.Questions {
		said += ". " + words.Note(question, form)
	}
	return said, nil
}

// twin is the note that says the same, where it is the last of its step or load and the
// page of the press did not show it: what happens once, two people may see.
func (p pressed) twin(notes []runfile.Note) (runfile.Note, bool) {
	if p.seen < 0 || p.note.What == string(record.Undo) {
		return runfile.Note{}, false
	}
	for i := len(notes) - 1; i >= p.seen; i-- {
		if n := notes[i]; n.Step == p.note.Step && n.Load == p.note.Load {
			return n, n.What == p.note.What && n.Value == p.note.Value
		}
	}
	return runfile.Note{}, false
}
