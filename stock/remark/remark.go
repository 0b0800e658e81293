// Package remark is what a plan has to say without saying it: each Note is a code,
// stable for scripts, and the facts its sentence is made of. What was assumed, what may
// go wrong, what must not be done and what every plan says are all notes; export/words
// makes sentences of them. Every room may make one, codes.go lists those of the plan and
// the questions beside it, and stock/process and stock/whatif have a few of their own.
package remark

import "slices"

// Note is one coded remark without its sentence: Code and Case tell which facts there
// are and in what order. A fact may be a note in its turn: a clause of the sentence.
type Note struct {
	Code  string
	Case  string // where a code has several sentences
	Facts []any
	Pot   string // whose it is, in a run of several pots that have it otherwise
}

// Of is the note of a code with its facts.
func Of(code string, facts ...any) Note { return Note{Code: code, Facts: facts} }

// In is the note with the case it is.
func (n Note) In(which string) Note {
	n.Case = which
	return n
}

// Noted returns the notes of some codes.
func Noted(notes []Note, codes ...string) []Note {
	var kept []Note
	for _, note := range notes {
		if slices.Contains(codes, note.Code) {
			kept = append(kept, note)
		}
	}
	return kept
}
