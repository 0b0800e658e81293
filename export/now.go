package export

import (
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"brothrun/export/words"
	"brothrun/stock/quantity"
	"brothrun/stock/record"
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
	chilling := timeline.Chilled(plan.Record, at)
	if chilling.Stands == timeline.Spoilt {
		s.bullet(red, "By the readings the broth is not safe: THROW IT AWAY.")
	}
	s.alarms(plan, nil)
	for _, chilling := range plan.Chillings(at) {
		if said := words.Chilling(chilling, at.In(clockOf(plan))); said != "" && chilling.Stands != timeline.InTime {
			s.bullet(yellow, said)
		}
	}
	s.line("")
	label := "On now"
	show := func(title, remark string) {
		s.row(row{label, Printable(title), ""})
		if remark != "" {
			s.row(row{"", remark, ""})
		}
	}
	for i, step := range m.On {
		from, to := timeline.ClockSpan(step.Start, step.End, "Mon 15:04", "Mon 15:04")
		show(words.Title(plan, step, f), "since "+from+", until about "+to)
		clock := ""
		if step.Role == timeline.Load {
			clock = words.CanningClock(timeline.Can(step.Loads[0], plan.Record), step.Loads[0], plan.Batch)
		}
		details := words.Detail(plan, step, f)
		switch {
		case clock != "":
			details = []string{clock}
		case i > 0:
			details = nil
		}
		for _, detail := range details {
			s.hang(strings.Repeat(" ", 17)+"* ", Printable(detail))
		}
		label = "Also"
	}
	if len(m.On) == 0 {
		show("nothing", "")
	}
	for i, c := range plan.Ahead(at) {
		if label = "Before"; i > 0 {
			label = ""
		}
		title, _ := words.Check(plan, c, f)
		show(title, whenBefore(c))
	}
	label = "Next"
	for _, step := range m.Next {
		show(words.Title(plan, step, f), "at "+timeline.Clock(step.Start, "Mon 15:04"))
		label = ""
	}
	if label = "Free"; m.Free > 0 {
		show("for "+quantity.FormatDuration(m.Free.Round(time.Minute)),
			"until "+timeline.Clock(m.At.Add(m.Free), "Mon 15:04"))
	}
	for _, step := range m.Over {
		s.bullet(yellow, Printable(words.Over(plan, step, f)))
	}
	return s.w.Flush()
}

// Noted writes what a note changed, in a few lines: what was noted, the clock of its
// load, the step that moves first, jars and loads where they are others, when the cook is needed last, what is to
// be minded now and was not before, and what is asked. The only errors are those of w.
func Noted(w io.Writer, before, after timeline.Plan, noted record.Entry, questions []remark.Note, colour bool) error {
	s := newScreen(w, colour, after.Batch.Units)
	f := words.Form{Units: after.Batch.Units, Flags: true}
	s.wrap("", s.bold(Printable(fmt.Sprintf("Noted %s: %s (id %s)", timeline.Clock(noted.At, "Mon 15:04"),
		words.What(noted, f), noted.ID))))
	if noted.What.OfLoad() && noted.Load <= len(after.Batch.Loads) {
		load := after.Batch.Loads[noted.Load-1]
		if clock := words.CanningClock(timeline.Can(load, after.Record), load, after.Batch); clock != "" {
			s.wrap("  ", clock+".")
		}
	}
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
	switch said := words.Chilling(timeline.Chilled(after.Record, after.AsOf), after.AsOf.In(clockOf(after))); {
	case noted.What == record.Reading && said != "":
		s.wrap("  ", said)
	case len(shifts) == 0 && len(changed) == 0:
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

// NowJSON writes what is on at an instant as JSON: "on" the IDs of the steps that are on,
// those that ask most of the cook first, "next" of those that begin next, "free_min" for
// how long nobody is needed, and of every load that was noted its phase, since when and,
// where the clock tells, until when.
func NowJSON(w io.Writer, plan timeline.Plan, at time.Time) error {
	type load struct {
		Number       int    `json:"number"`
		Phase        string `json:"phase"`
		Since        string `json:"since"`
		Until        string `json:"until,omitempty"`
		Processed    bool   `json:"processed"`
		NotProcessed bool   `json:"not_processed"`
		// Next is what may be noted next, the one that is waited for first.
		Next []record.What `json:"next"`
	}
	m := plan.Now(at)
	data := struct {
		Schema int      `json:"schema"`
		At     string   `json:"at"`
		AsOf   string   `json:"as_of,omitempty"`
		On     []string `json:"on"`
		Next   []string `json:"next"`
		Before []string `json:"before,omitempty"` // checks before the run that are not over
		Free   float64  `json:"free_min"`
		Loads  []load   `json:"loads"`
	}{Schema: Schema, At: instant(m.At), AsOf: instant(plan.AsOf), On: []string{}, Next: []string{},
		Free: tenthMinutes(m.Free), Loads: []load{}}
	for _, step := range m.On {
		data.On = append(data.On, step.ID)
	}
	for _, step := range m.Next {
		data.Next = append(data.Next, step.ID)
	}
	for _, c := range plan.Ahead(at) {
		data.Before = append(data.Before, c.ID)
	}
	for _, l := range plan.Batch.Loads {
		if c := timeline.Can(l, plan.Record); c.Phase != timeline.NotOn {
			data.Loads = append(data.Loads,
				load{l.Number, words.Phase(c.Phase), instant(c.Since), instant(c.Until), c.Processed, c.NotProcessed.Code != "",
					append([]record.What{}, c.Next()...)})
		}
	}
	return encode(w, data)
}
