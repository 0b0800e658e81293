package serve

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"brothrun/cmd/brothrun/order"
	"brothrun/export/page"
	"brothrun/export/words"
)

// run is a run file as it was read last.
type run struct {
	path     string
	day      order.Day
	marks    []string // of the files it was read from
	revision string   // how many notes it has, and what tells this content from others
	changed  time.Time
	broken   string // why it cannot be read now; empty: it can
	changes  map[chan struct{}]string
}

// read reads a run anew.
func (s *Server) read(r *run) error {
	marks, changed := s.stamps(r)
	day, err := order.Today(s.Machine, r.path, "", order.Clock{Now: s.Now()})
	if err != nil {
		r.marks = marks
		return err
	}
	r.day, r.broken = day, ""
	r.marks, r.changed = s.stamps(r) // of the kitchen it names now, too
	if !slices.Equal(marks, r.marks) && len(marks) == len(r.marks) {
		r.marks = marks // it changed meanwhile: the next look reads it again
	}
	r.changed = cmp.Or(r.changed, changed)
	r.revision = fmt.Sprintf("%d-%s", len(day.Run.Notes), sum(strings.Join(r.marks, "\n")))
	return nil
}

// stamps are the marks of the files of a run, and when the last of them changed.
func (s *Server) stamps(r *run) (marks []string, changed time.Time) {
	paths := []string{r.path}
	if r.day.Request != nil {
		paths = append(paths, r.day.KitchenFile)
		paths = append(paths, r.day.BusyFiles()...)
	}
	for _, path := range paths {
		mark, at := s.Stamp(path)
		marks = append(marks, mark)
		if at.After(changed) {
			changed = at
		}
	}
	return marks, changed.Truncate(time.Second)
}

// Look reads again what has changed, tells the pages, and calls the cook.
func (s *Server) Look() {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	for _, r := range s.runs {
		s.renew(r)
	}
	now := s.Now()
	from := s.rung
	if now.Sub(from) > lateCall { // it slept
		from = now.Add(-lateCall)
	}
	s.rung = now
	if s.Ring == nil {
		return
	}
	for _, r := range s.runs {
		for _, due := range r.day.Plan.Due(from, now) {
			s.Ring(due.At.In(r.day.Plan.Location), words.Call(r.day.Plan, due))
		}
	}
}

// lateCall is how late the cook is called at the most; own choice.
const lateCall = 10 * time.Minute

// renew reads a run again if its files have changed; the mutex is held.
func (s *Server) renew(r *run) {
	if marks, _ := s.stamps(r); slices.Equal(marks, r.marks) {
		return
	}
	if err := s.read(r); err != nil {
		r.broken = err.Error()
	}
	for change := range r.changes {
		select {
		case change <- struct{}{}:
		default: // it is told already
		}
	}
}

func (s *Server) day(r *run) order.Day {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	return r.day
}

func (s *Server) changed(r *run) time.Time {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	return r.changed
}

// seen is what a page shows of a run.
func (s *Server) seen(r *run, answer page.Answer) page.Run {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	return page.Run{Plan: r.day.Plan, Planned: r.day.Planned, Key: r.key(), Revision: r.revision, Broken: r.broken, Answer: answer}
}

// title is what a run is called.
func title(day order.Day) string { return words.Heading(day.Plan.Batch) }

// key tells a run from others that had the same link.
func (r *run) key() string { return sum(r.day.Plan.RunID) }

// listen opens a stream of the changes of a run for a peer; not ok: it has enough.
func (s *Server) listen(r *run, peer string) (changes chan struct{}, revision string, ok bool) {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	open := 0
	for _, other := range s.runs {
		for _, of := range other.changes {
			if of == peer {
				open++
			}
		}
	}
	if open >= streamsOfOne {
		return nil, "", false
	}
	changes = make(chan struct{}, 1)
	r.changes[changes] = peer
	return changes, r.revision, true
}

func (s *Server) leave(r *run, changes chan struct{}) {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	delete(r.changes, changes)
}
