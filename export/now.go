package export

import (
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"brothrun/export/words"
	"brothrun/stock/quantity"
	"brothrun/stock/remark"
	"brothrun/timeline"
)

// Now writes what is on at an instant for a cook at the counter: what is on, since when
// and until when, the number to watch, what comes next and when the cook is free. The
// only errors are those of w.
func Now(w io.Writer, plan timeline.Plan, at time.Time, colour bool) error {
	s := newScreen(w, colour, plan.Batch.Units)
	m := plan.Now(at)
	f := words.Form{Units: plan.Batch.Units, Flags: true}
	s.line(s.bold(heading(plan.Batch)))
	by := "by the plan: nothing is noted yet"
	if !plan.AsOf.IsZero() {
		by = "last noted " + timeline.Clock(plan.AsOf, "Mon 15:04")
	}
	s.line(timeline.Clock(m.At, "Mon 2 Jan 15:04") + ", " + by)
	s.line("")
	var rows []row
	label := "On now"
	for _, step := range m.On {
		from, to := timeline.ClockSpan(step.Start, step.End, "Mon 15:04", "Mon 15:04")
		rows = append(rows, row{label, words.Title(plan, step, f), "since " + from + ", until about " + to})
		label = "Also"
		for _, load := range step.Loads {
			if clock := words.CanningClock(timeline.Can(load, plan.Record), load, plan.Batch); clock != "" && step.Role == timeline.Load {
				rows = append(rows, row{"", clock, ""})
			}
		}
	}
	if len(m.On) == 0 {
		rows = append(rows, row{label, "nothing", ""})
	}
	for _, step := range m.Next {
		rows = append(rows, row{"Next", words.Title(plan, step, f), "at " + timeline.Clock(step.Start, "Mon 15:04")})
	}
	if m.Free > 0 {
		rows = append(rows, row{"Free", "for " + quantity.FormatDuration(m.Free), "until " + timeline.Clock(m.At.Add(m.Free), "Mon 15:04")})
	}
	for _, r := range rows {
		s.row(r)
	}
	if len(m.On) > 0 {
		for _, detail := range words.Detail(plan, m.On[0], f) {
			s.bullet("", Printable(detail))
		}
	}
	for _, step := range m.Over {
		s.bullet(yellow, fmt.Sprintf("%s was to be done by %s and nothing is noted: done, or late?",
			Printable(words.Title(plan, step, f)), timeline.Clock(step.End, "Mon 15:04")))
	}
	s.alarms(plan, nil)
	return s.w.Flush()
}

// Noted writes what a note changed, in a few lines: what was noted, the step that moves
// first, jars and loads where they are others, when the cook is needed last, what is to
// be minded now and was not before, and what is asked. The only errors are those of w.
func Noted(w io.Writer, before, after timeline.Plan, what string, questions []remark.Note, colour bool) error {
	s := newScreen(w, colour, after.Batch.Units)
	f := words.Form{Units: after.Batch.Units, Flags: true}
	s.line(s.bold(Printable(what)))
	shifts := after.Shifts(before)
	if i := slices.IndexFunc(shifts, func(shift timeline.Shift) bool { return shift.Kind != timeline.Waiting }); i >= 0 {
		more := ""
		if n := len(shifts) - 1; n > 0 {
			more = fmt.Sprintf(", and %s after it", plural(n, "step"))
		}
		s.wrap("  ", Printable(words.Shifted(after, shifts[i], f))+more)
	}
	var changed []string
	beside := func(label, was, now string) {
		if was != now {
			changed = append(changed, fmt.Sprintf("%s: %s instead of %s", label, now, was))
		}
	}
	beside("jars", words.Jars(before.Batch.JarCounts()), words.Jars(after.Batch.JarCounts()))
	beside("canner loads", fmt.Sprint(len(before.Batch.Loads)), fmt.Sprint(len(after.Batch.Loads)))
	if last, was := after.LastNeeded(after.AsOf), before.LastNeeded(after.AsOf); !last.Equal(was) && !last.IsZero() {
		changed = append(changed, "you are needed until "+timeline.Clock(last.In(clockOf(after)), "Mon 15:04"))
	}
	if len(changed) > 0 {
		s.wrap("  ", strings.ToUpper(changed[0][:1])+strings.Join(changed, "; ")[1:]+".")
	}
	if len(shifts) == 0 && len(changed) == 0 {
		s.line("  Nothing moves.")
	}
	s.alarms(after, &before)
	for _, question := range questions {
		s.bullet(yellow, words.Note(question, f))
	}
	return s.w.Flush()
}

// alarms writes what must not be done and what may go wrong, as far as it was not said
// of the plan before.
func (s screen) alarms(plan timeline.Plan, before *timeline.Plan) {
	f := form{words: words.Form{Units: plan.Batch.Units, Flags: true}}
	known := map[string]bool{}
	if before != nil {
		for _, text := range f.notes(before.Batch.Refusals, before.Warnings, before.Batch.Warnings) {
			known[text] = true
		}
	}
	said := func(sgr string, texts []string) {
		for _, text := range texts {
			if !known[text] {
				s.bullet(sgr, Printable(text))
			}
		}
	}
	said(red, f.notes(plan.Batch.Refusals))
	said(yellow, f.notes(plan.Warnings))
	if before != nil {
		said(yellow, f.notes(plan.Batch.Warnings))
	}
}
