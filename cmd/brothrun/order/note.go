package order

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"brothrun/export/words"
	"brothrun/stock/fault"
	"brothrun/stock/record"
	"brothrun/stock/remark"
	"brothrun/stock/runfile"
	"brothrun/stock/settle"
	"brothrun/timeline"
)

// Question is what was given and may mean several things, or is missing: Ways are those
// that can be meant, as they are typed.
type Question struct {
	Reason string
	Ways   []string
}

// Error asks it.
func (q *Question) Error() string { return q.Reason }

// Noting is a note to be made of a run.
type Noting struct {
	Note    runfile.Note // without an ID and a time
	At      string       // when it was; empty for now
	Kitchen string       // file, instead of the run's own
	Clock   Clock
	NewID   func(runfile.Run) string // names a note
	Check   func(before Day) error   // what else keeps it from being noted; may be nil
}

// Noted is a note with what follows from it.
type Noted struct {
	Data          []byte // the run file with it
	Entry         record.Entry
	Before, After Day
	Questions     []remark.Note // to the cook, about what was noted
	Known         bool          // it was noted before: nothing is noted again
	// Unplanned is why the run cannot be planned, which an undo may leave as it was; Before
	// and After say nothing then.
	Unplanned error
}

// In makes the note at the end of the run file old, of that path, and works out what
// follows. What cannot have happened, what the rest cannot be planned with, and what the
// cook has to be asked about is an error, and nothing is noted.
func (n Noting) In(m Machine, old []byte, path string) (Noted, error) {
	run, err := runfile.DecodeRun(bytes.NewReader(old), path)
	if err != nil {
		return Noted{}, err
	}
	undo := record.What(n.Note.What) == record.Undo
	r, unread := Of(m, run, path, n.Kitchen, func(path string) (runfile.Kitchen, error) {
		return Decode(m, path, runfile.DecodeKitchen)
	})
	switch {
	case unread != nil && !undo:
		return Noted{}, unread
	case unread != nil:
		r = &Request{machine: m, Run: run, RunFile: path}
	}
	at, err := r.Moment(n.At, n.Clock.Now)
	if err != nil {
		return Noted{}, err
	}
	what := record.What(n.Note.What)
	if what.OfLoad() && at.After(n.Clock.Now) && !at.After(n.Clock.Now.Add(ahead)) {
		at = n.Clock.Now.In(at.Location()) // it has happened, and no least time is over before it is
	}
	n.Note.ID, n.Note.At = n.NewID(run), written(at, what)
	if i := slices.IndexFunc(run.Notes, func(other runfile.Note) bool { return other.ID == n.Note.ID }); i >= 0 {
		return r.known(n, old, run.Notes[i])
	}
	if undo {
		return r.undone(n, old, at, unread)
	}
	before, err := r.today(n.Clock)
	if err != nil {
		return Noted{}, err
	}
	if n.Check != nil {
		if err := n.Check(before); err != nil {
			return Noted{}, err
		}
	}
	noted := Noted{Before: before}
	if n.Note, noted.Entry, err = before.note(n.Note, at, n.Clock.Now); err != nil {
		return Noted{}, err
	}
	if noted.Data, run, err = runfile.Append(old, path, n.Note); err != nil {
		return Noted{}, err
	}
	after := r.with(run.Notes)
	after.settled = true // no note changes that, and to read the other runs takes long
	if noted.After, err = after.followed(n.Clock); err != nil {
		return Noted{}, fault.Of("", fmt.Errorf("%s cannot be: the rest could not be planned: %w",
			words.What(noted.Entry, before.form()), err), "")
	}
	noted.Questions = before.Plan.Odd(before.Planned, noted.Entry, n.Clock.Now)
	return noted, nil
}

// known is what follows from a note that stands in the file already: what followed then.
func (r *Request) known(n Noting, old []byte, note runfile.Note) (Noted, error) {
	noted := Noted{Data: old, Known: true, Entry: record.Entry{ID: note.ID, What: record.What(note.What)}}
	day, err := r.today(n.Clock)
	if err != nil {
		noted.Unplanned = err
		return noted, nil
	}
	noted.Before, noted.After = day, day
	entries, err := record.Read([]runfile.Note{note}, r.noteClock())
	if err == nil && len(entries) > 0 {
		noted.Entry = entries[0]
	}
	noted.Entry.At = cmp.Or(noted.Entry.At, day.Plan.AsOf)
	return noted, nil
}

// undone makes an undo, for which the run has only to be readable; unread is why its
// kitchen is not.
func (r *Request) undone(n Noting, old []byte, at time.Time, unread error) (noted Noted, err error) {
	i := slices.IndexFunc(r.Run.Notes, func(other runfile.Note) bool { return other.ID == n.Note.Value })
	switch {
	case n.Note.Value == "":
		return noted, r.whichNote("undo of which note?")
	case i < 0:
		return noted, r.whichNote(fmt.Sprintf("no note before this one has the id %q.", n.Note.Value))
	}
	noted.Entry = record.Entry{ID: n.Note.ID, At: at, What: record.Undo,
		Text: n.Note.Value + " takes back " + r.told(r.Run.Notes[i])}
	var run runfile.Run
	if noted.Data, run, err = runfile.Append(old, r.RunFile, n.Note); err != nil {
		return noted, err
	}
	if noted.Unplanned = unread; unread == nil {
		noted.After, noted.Unplanned = r.with(run.Notes).today(n.Clock)
	}
	if noted.Unplanned != nil {
		return noted, nil
	}
	r.Setup, r.settled = noted.After.Setup, true
	if noted.Before, err = r.followed(n.Clock); err != nil {
		// What follows is beside the run as it was planned.
		noted.Before, noted.Unplanned = r.with(nil).followed(n.Clock)
	}
	return noted, nil
}

// offered is how many notes are offered to be taken back; own choice.
const offered = 5

// whichNote asks which note an undo takes back, and tells the last ones, the last first.
func (r *Request) whichNote(asked string) error {
	q := &Question{Reason: asked}
	undone := map[string]bool{}
	var last []string
	for _, note := range slices.Backward(r.Run.Notes) {
		switch {
		case note.ID == "" || undone[note.ID] || len(last) == offered:
		case record.What(note.What) == record.Undo:
			undone[note.Value] = true
		default:
			q.Ways = append(q.Ways, r.undoing(note.ID))
			last = append(last, note.ID+" is "+r.told(note))
		}
	}
	switch {
	case len(last) > 0:
		q.Reason += " The last are: " + strings.Join(last, "; ")
	case len(r.Run.Notes) > 0:
		q.Reason += " There is none that has an id"
		q.Ways = []string{fmt.Sprintf("give it one in %s (id = \"a\"), or take its lines out there", r.RunFile)}
	default:
		q.Reason += " Nothing is noted of this run yet"
		q.Ways = []string{"brothrun note --help lists what can be noted"}
	}
	return q
}

// told says what a note says and when it was; as it is written, where that cannot be read.
func (r *Request) told(n runfile.Note) string {
	text, at := strings.Join(strings.Fields(n.What+" "+n.Value+" "+n.Step), " "), n.At
	if entries, err := record.Read([]runfile.Note{n}, r.noteClock()); err == nil && len(entries) > 0 {
		setup, _ := settle.Run(r.Kitchen, r.Run) // in any units, where it cannot be
		text = words.What(entries[0], words.Form{Units: setup.Units, Flags: true})
		at = timeline.Clock(entries[0].At, "Mon 15:04")
	}
	return fmt.Sprintf("\"%s\" of %s", text, at)
}

func (d Day) form() words.Form { return words.Form{Units: d.Plan.Batch.Units, Flags: true} }

// ahead is how far a clock in the kitchen may be before this machine's; own choice.
const ahead = time.Minute

// note settles what a note is about where that is not said, the load or the step that
// is on at its instant, and checks that it can be what happened. What it cannot be is a
// *fault.Fault that says what would be right.
func (d Day) note(note runfile.Note, at, now time.Time) (runfile.Note, record.Entry, error) {
	what := record.What(note.What)
	switch {
	case what.OfLoad() && at.After(now.Add(ahead)):
		return note, record.Entry{}, fault.New("at", "note it when it has happened",
			"%s is still to come: %s of a load cannot be noted ahead", timeline.Clock(at, "Mon 2 Jan 15:04"), what)
	case ofStep(what) && d.asked() == "":
		return note, record.Entry{}, fault.New("", `start = "2026-11-28 08:00" in the run file`,
			"%s is about a step, and the run has no time: %s does not say when it begins or is done", what, d.RunFile)
	}
	if err := d.fill(&note, at, now); err != nil {
		return note, record.Entry{}, err
	}
	entries, err := record.Read([]runfile.Note{note}, d.noteClock())
	if err != nil {
		return note, record.Entry{}, fault.Of("", err, "")
	}
	if refusal, ok := d.Plan.May(d.Planned, d.record, entries[0]); !ok {
		return note, entries[0], fault.New("", "", "%s", words.Note(refusal, d.form()))
	}
	return note, entries[0], nil
}

func ofStep(what record.What) bool {
	return what == record.Began || what == record.Done || what == record.Late || what == record.Skipped
}

// fill is what a note is about where the cook did not say.
func (d Day) fill(note *runfile.Note, at, present time.Time) error {
	what, now := record.What(note.What), d.Plan.Now(at)
	if note.Step != "" {
		note.Step = d.stepNamed(note.Step)
	}
	if what.OfLoad() && note.Load == 0 {
		note.Load = d.Plan.LoadFor(what, d.record, at)
	}
	if note.Load > 0 || note.Step != "" || !ofStep(what) {
		return nil
	}
	var on, next timeline.Step
	if len(now.On) > 0 {
		on = now.On[0]
	}
	if len(now.Next) > 0 {
		next = now.Next[len(now.Next)-1]
	}
	meant := next
	switch {
	case what == record.Done, what == record.Late && on.ID != "" && on.Kind != timeline.Waiting,
		what == record.Began && on.ID != "" && at.Sub(on.Start) <= begunWithin && !d.saidToHaveBegun(on):
		meant = on
	}
	if len(now.Over) > 0 && what != record.Skipped {
		q := d.whichStep(*note, now.Over[0], on, meant)
		for i := range q.Ways {
			if !at.Equal(present) {
				q.Ways[i] += " --at " + note.At
			}
		}
		return q
	}
	note.Step = meant.ID
	return nil
}

// begunWithin is how long after its planned start a step is meant by a bare "began"; own
// choice: who comes back later is at the next.
const begunWithin = 30 * time.Minute

func (d Day) saidToHaveBegun(step timeline.Step) bool {
	return slices.ContainsFunc(d.record, func(e record.Entry) bool {
		return e.What == record.Began && (e.Step == step.ID || step.Role == timeline.Load && e.Load == step.Loads[0].Number)
	})
}

// whichStep asks which step a note is about: the one that was to be over and of which
// nobody said so, or the one that may be meant.
func (d Day) whichStep(note runfile.Note, over, on, meant timeline.Step) *Question {
	isOn := "nothing is on"
	if on.ID != "" {
		isOn = on.ID + " is on"
	}
	said := d.noting() + strings.TrimSpace(note.What+" "+note.Value) + " "
	q := &Question{Ways: []string{said + over.ID}, Reason: fmt.Sprintf("%s: which step? by the plan %s ended %s and %s",
		note.What, over.ID, timeline.Clock(over.End.In(d.Plan.Location), "15:04"), isOn)}
	if meant.ID != "" {
		q.Ways = append(q.Ways, said+meant.ID)
	}
	return q
}

// stepNamed is the step that is called so: by its name or by words of that, or else of its
// title, where they are those of one alone; else it is what it is called.
func (d Day) stepNamed(text string) string {
	text = strings.Join(strings.Fields(strings.ToLower(text)), "-")
	named := func(name string) bool {
		words := strings.FieldsFunc(strings.ToLower(name), func(r rune) bool { return !wordRune(r) })
		return !slices.ContainsFunc(strings.Split(text, "-"), func(word string) bool { return !isOf(words, word) })
	}
	var byName, byTitle []string
	for _, step := range d.Plan.Steps {
		switch {
		case step.ID == text:
			return text
		case named(step.ID):
			byName = append(byName, step.ID)
		case named(words.Title(d.Plan, step, d.form())):
			byTitle = append(byTitle, step.ID)
		}
	}
	for _, found := range [][]string{byName, byTitle} {
		if len(found) == 1 {
			return found[0]
		}
	}
	return text
}

func wordRune(r rune) bool { return r >= 'a' && r <= 'z' || r >= '0' && r <= '9' }

// isOf reports whether a word is one of those of a name, or one that begins with it:
// "straining" is of "strain".
func isOf(words []string, word string) bool {
	return slices.ContainsFunc(words, func(other string) bool {
		return other == word || len(other) >= 4 && strings.HasPrefix(word, other)
	})
}

// written is the instant of a note as a run file has it: with the offset where the clock
// shows the hour twice, and of a load to the thousandth of a second, because a time that
// must be full runs from it or ends by it.
func written(at time.Time, what record.What) string {
	layout := "2006-01-02T15:04:05"
	if what.OfLoad() {
		layout += ".999"
	}
	if timeline.ComesTwice(at) {
		layout += "Z07:00"
	}
	return at.Format(layout)
}

// Moment reads when something was: a date and time, with an offset where the clock shows
// it twice, or a time of day: the last that is not after now. One that is ahead by 12 h
// at the most is no time of yesterday, and an error. Without text it is now.
func (r *Request) Moment(text string, now time.Time) (time.Time, error) {
	now = now.In(r.place())
	full := strings.TrimSpace(text)
	if full == "" {
		return now, nil
	}
	if len(full) > len("15:04:05") {
		return moment(full, now.Location())
	}
	on := func(day time.Time) (time.Time, error) {
		at, _, err := timeline.ParseLocal(day.Format(time.DateOnly)+" "+full, now.Location())
		if err != nil {
			return at, fault.Of("at", err, atExample)
		}
		for _, pass := range timeline.Passes(at) {
			if !pass.After(now) {
				at = pass
			}
		}
		return at, nil
	}
	at, err := on(now)
	if err != nil || !at.After(now) {
		return at, err
	}
	yesterday := now.AddDate(0, 0, -1)
	if at.Sub(now) <= 12*time.Hour {
		return at, fault.New("at", fmt.Sprintf(`--at "%s %s"`, yesterday.Format(time.DateOnly), full),
			"%s is still to come; give the date if it was yesterday", full)
	}
	return on(yesterday)
}

const atExample = `--at 10:54, or --at "2026-11-28 10:54"`

// moment reads a date and time.
func moment(text string, place *time.Location) (time.Time, error) {
	at, err := timeline.ParseMoment(text, place)
	var two *timeline.TwoMoments
	switch {
	case errors.As(err, &two):
		way := func(at time.Time) string { return fmt.Sprintf("--at %q", at.Format(time.RFC3339)) }
		return at, &Question{text + " comes twice that night: which is meant?", []string{way(two.First), way(two.Second)}}
	case err != nil:
		return at, fault.Of("at", err, atExample)
	}
	return at, nil
}
