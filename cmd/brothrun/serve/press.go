package serve

import (
	"errors"
	"net/http"

	"brothrun/cmd/brothrun/order"
	"brothrun/export/page"
	"brothrun/export/words"
	"brothrun/stock/fault"
	"brothrun/stock/runfile"
)

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
	p, err := order.ReadPress(r.PostForm.Get, s.Now())
	if err != nil {
		answer(http.StatusBadRequest, words.Say("form"))
		return
	}
	if of := r.PostForm.Get("run"); of != "" && of != s.seen(a.run, page.Answer{}).Key {
		answer(http.StatusConflict, words.Say("other"))
		return
	}
	if wrong := p.Unreadable(s.Now()); wrong != nil {
		answer(http.StatusUnprocessableEntity, order.Told(wrong))
		return
	}
	said, err := s.noteDown(a.run, p)
	switch {
	case err == nil:
		answer(http.StatusOK, said)
	case s.seen(a.run, page.Answer{}).Broken != "": // somebody writes in the file: the phone keeps the press
		answer(http.StatusServiceUnavailable, order.Told(err))
	case errors.As(err, new(*fault.Fault)) || errors.As(err, new(*runfile.Error)) || errors.As(err, new(*order.Question)):
		answer(http.StatusConflict, order.Told(err))
	default:
		answer(http.StatusInternalServerError, err.Error())
	}
}

// noteDown makes the note, unless another device made the same meanwhile, and says what
// was noted. A press that is known already is told as it was.
func (s *Server) noteDown(r *run, p order.Press) (said string, err error) {
	noted, err := s.Note(r.path, p.Noting(order.Clock{Now: s.Now()}))
	s.mutex.Lock()
	s.renew(r)
	s.mutex.Unlock()
	if err != nil {
		return "", err
	}
	return noted.Said(s.day(r)), nil
}
