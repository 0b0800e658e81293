package page

import (
	"fmt"
	"slices"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"brothrun/export/words"
	"brothrun/stock"
	"brothrun/stock/quantity"
	"brothrun/stock/record"
	"brothrun/timeline"
)

// Answer is what is said of a press.
type Answer struct {
	Said    string
	Refused bool
}

// View is what a page shows at an instant.
type View struct {
	Key      string // of the run
	Revision string
	Broken   string // why the run file cannot be read; empty: it can
	Alarms   []string
	Warnings []string
	Answer   Answer

	Card   card
	Panels []panel // what the clock of the load shows after each button, for who is out of reach
	Also   []line
	Ask    []button // of what else goes on
	Free   string
	Ways   []measure
	Days   []day // the first is today
	Before []line
	Noted  []noted
	Timer  bool // there is one to take into the phone's calendar
}

// card is what is on.
type card struct {
	Label, Title, Watch, Line, Until string
	Phase                            string
	Count                            count
	Details                          []string
	Main                             *button
	Others, Lates                    []button
}

// count is what a clock counts: down to Until or up from Since, both in milliseconds of
// the Unix clock; 0 for none.
type count struct {
	Until, Since int64
	Over         string // said when it is over
	Left         string // as it is now
}

// button is an offer.
type button struct {
	Text, What, Step, Value string
	Load                    int
	From                    int64  // in milliseconds: it is dead before; 0: at once
	Wait                    string // says so
	At                      int64  // when it was, where that is not now
	Dead                    bool
	After                   string // the panel shown once it is pressed
}

// panel is the card after a note of the load on the heat.
type panel struct {
	Name string
	Span int64 // milliseconds
	Card card
}

type line struct{ At, Title, State string }

type day struct {
	Title string
	Lines []line
}

type measure struct {
	What, Text string
	Units      []string
	Heat       bool // hot or cold has to be said
}

type noted struct{ ID, At, Text string }

// Run is a run as it stands, with what its page is to say beside.
type Run struct {
	Plan     timeline.Plan
	Planned  stock.Batch // before any note
	Key      string      // tells it from the runs of other weeks, of which a phone may have kept a press
	Revision string
	Broken   string
	Answer   Answer
}

// viewer makes a view of a run at an instant.
type viewer struct {
	Run
	at   time.Time
	turn timeline.Turn
	form words.Form
}

// See is what the page of a run with steps shows at an instant.
func See(r Run, at time.Time) View {
	at = at.In(r.Plan.Location)
	v := viewer{Run: r, at: at, turn: r.Plan.Turn(r.Planned, at), form: words.Form{Units: r.Plan.Batch.Units}}
	view := View{Key: r.Key, Revision: r.Revision, Broken: r.Broken, Answer: r.Answer, Card: v.card(), Panels: v.panels()}
	view.Timer = view.Card.Count.Until > at.UnixMilli()
	v.warn(&view)
	v.also(&view)
	for _, what := range r.Plan.Measures(r.Planned, v.turn, at) {
		view.Ways = append(view.Ways, measure{string(what), words.Measure(what), v.units(what), what == record.Strained})
	}
	v.days(&view)
	for _, e := range slices.Backward(r.Plan.Record) {
		if len(view.Noted) == mostNoted {
			break
		}
		view.Noted = append(view.Noted, noted{e.ID, timeline.Clock(e.At, "Mon 15:04"), words.Happened(e, r.Plan, v.form)})
	}
	return view
}

// mostNoted is how many notes can be taken back, the last ones; own choice.
const mostNoted = 30

func milli(t time.Time) int64 {
	if t.IsZero() {
		return 0
	}
	return t.UnixMilli()
}

// left is a span as a clock shows it: "24:05", "1:24:05".
func left(d time.Duration) string {
	s := int(max(d, 0).Round(time.Second) / time.Second)
	if s >= 3600 {
		return fmt.Sprintf("%d:%02d:%02d", s/3600, s/60%60, s%60)
	}
	return fmt.Sprintf("%d:%02d", s/60, s%60)
}

func (v viewer) clock(t time.Time) string {
	if t.YearDay() == v.at.YearDay() {
		return timeline.Clock(t, "15:04")
	}
	return timeline.Clock(t, "Mon 15:04")
}

// card is the step the cook is asked about.
func (v viewer) card() card {
	t := v.turn
	switch {
	case t.Step.ID == "":
		return card{Title: words.Say("over")}
	case t.Canning.Phase != timeline.NotOn:
		c := v.canning(t.Canning.Phase, v.clock(t.Canning.Since), v.clock(t.Canning.Until), t.Canning.Since, t.Canning.Until)
		c.Main, c.Others, c.Lates = v.buttons(t)
		return c
	}
	c := card{Label: words.Say("now"), Title: words.Title(v.Plan, t.Step, v.form),
		Watch: words.Watched(t.Step, v.Plan.Batch), Details: words.Detail(v.Plan, t.Step, v.form)}
	switch {
	case t.Coming:
		c.Label, c.Line = words.Say("next"), words.Say("at", v.clock(t.Step.Start))
		c.Count = count{Until: milli(t.Step.Start), Over: "0:00"}
	case t.Overdue:
		c.Line = words.Say("due", v.clock(t.Step.End))
	default:
		c.Line, c.Count = words.Say("until", v.clock(t.Step.End)), count{Until: milli(t.Step.End), Over: "0:00"}
	}
	if c.Count.Until > 0 {
		c.Count.Left = left(time.UnixMilli(c.Count.Until).Sub(v.at))
	}
	c.Main, c.Others, c.Lates = v.buttons(t)
	return c
}

// canning is the clock of the load on the heat in a phase, since and until written so.
func (v viewer) canning(phase timeline.Phase, since, until string, from, to time.Time) card {
	t := v.turn
	step := t.Step
	if step.Role == timeline.Fill { // the load to come
		step.Role = timeline.Load
	}
	c := card{Label: words.Say("now"), Title: words.Title(v.Plan, step, v.form), Watch: words.Watched(step, v.Plan.Batch),
		Line:    words.PhoneClock(phase, t.Load, v.Plan.Batch, since, until),
		Phase:   strings.ReplaceAll(words.Phase(phase), " ", "-"),
		Details: words.Detail(v.Plan, step, v.form)}
	switch {
	case words.RunOut(phase) != "":
		c.Count = count{Until: milli(to), Over: words.RunOut(phase), Left: left(to.Sub(v.at))}
	case phase != timeline.Fallen && phase != timeline.Opened:
		c.Count = count{Since: milli(from), Left: left(v.at.Sub(from))}
	}
	return c
}

// panels are what the card shows after each note of the load that is or comes next.
func (v viewer) panels() (all []panel) {
	if v.turn.Load.Number == 0 || v.turn.Coming {
		return nil
	}
	for _, what := range []record.What{record.Began, record.Steam, record.Vented, record.AtPressure, record.Fell,
		record.HeatOff, record.Zero, record.LidOff} {
		phase, lasts := timeline.After(what, v.turn.Load)
		after := v.turn
		after.Canning = timeline.Canning{Phase: phase}
		c := v.canning(phase, "{since}", "{until}", v.at, v.at)
		c.Count.Left, c.Details = "", nil
		switch { // the script puts the instants in
		case words.RunOut(phase) != "":
			c.Count.Until = -1
		case c.Count.Since != 0:
			c.Count.Since = -1
		}
		for i, o := range after.OfCanner() {
			b := v.button(o)
			if i == 0 && lasts > 0 {
				b.From = -1
			}
			if i == 0 {
				c.Main = &b
			} else {
				c.Others = append(c.Others, b)
			}
		}
		all = append(all, panel{string(what), lasts.Milliseconds(), c})
	}
	return all
}

// buttons are the offers of a turn: the big one, those beside it, and how late it is.
func (v viewer) buttons(t timeline.Turn) (big *button, others, lates []button) {
	for i, o := range append([]timeline.Offer{t.Main}, t.Others...) {
		switch b := v.button(o); {
		case o.What == "":
		case o.What == record.Late:
			lates = append(lates, b)
		case i == 0:
			big = &b
		default:
			others = append(others, b)
		}
	}
	return big, others, lates
}

func (v viewer) button(o timeline.Offer) button {
	b := button{Text: words.Button(o, v.turn.Step, v.Plan.Batch), What: string(o.What), Step: o.Step, Load: o.Load,
		From: milli(o.From), At: milli(o.At), Dead: o.From.After(v.at)}
	var parts []string
	for _, j := range o.Jars {
		parts = append(parts, fmt.Sprintf("%s=%d", j.Jar, j.Count))
	}
	b.Value = strings.Join(parts, ",")
	if o.Span > 0 {
		b.Value = quantity.FormatDuration(o.Span)
	}
	if b.Dead {
		b.Wait = words.Say("wait", v.clock(o.From))
	}
	if o.What.OfLoad() || o.What == record.Began && v.turn.Load.Number > 0 && strings.HasPrefix(o.Step, "load-") {
		b.After = string(o.What)
	}
	return b
}

// warn is what must not be done and what may go wrong.
func (v viewer) warn(view *View) {
	chilling := timeline.Chilled(v.Plan.Record, v.at)
	if chilling.Stands == timeline.Spoilt {
		view.Alarms = append(view.Alarms, words.Say("spoilt"))
	}
	for _, note := range v.Plan.Batch.Refusals {
		view.Alarms = append(view.Alarms, sentence(words.Note(note, v.form)))
	}
	for _, note := range v.Plan.Warnings {
		view.Warnings = append(view.Warnings, sentence(words.Note(note, v.form)))
	}
	for _, chilling := range v.Plan.Chillings(v.at) {
		if said := words.Chilling(chilling, v.at); said != "" && chilling.Stands != timeline.InTime {
			view.Warnings = append(view.Warnings, said)
		}
	}
}

// sentence begins as one does.
func sentence(text string) string {
	first, size := utf8.DecodeRuneInString(text)
	return string(unicode.ToUpper(first)) + text[size:]
}

// also is what goes on beside.
func (v viewer) also(view *View) {
	m := v.Plan.Now(v.at)
	for _, s := range m.On {
		if s.ID != v.turn.Step.ID {
			view.Also = append(view.Also, line{At: words.Say("until", v.clock(s.End)), Title: words.Title(v.Plan, s, v.form)})
		}
	}
	for _, s := range v.turn.Also {
		other := v
		other.turn = timeline.Turn{Step: s}
		if s.Role != timeline.Load && s.Role != timeline.Fill {
			view.Ask = append(view.Ask, other.button(timeline.Offer{What: record.Done, Step: s.ID}))
		}
	}
	if m.Free > 0 && v.turn.Coming {
		view.Free = words.Say("free", v.clock(v.at.Add(m.Free)))
	}
}

// units are those a measure is given in, the kitchen's first.
func (v viewer) units(what record.What) []string {
	us, metric := []string{"qt", "cups", "gal"}, []string{"l", "ml"}
	switch what {
	case record.Drained:
		us, metric = []string{"lb", "oz"}, []string{"kg", "g"}
	case record.Dried:
		us, metric = []string{"oz", "lb"}, []string{"g", "kg"}
	case record.Reading:
		us, metric = []string{"F"}, []string{"C"}
	}
	if v.form.Units == quantity.Metric {
		us, metric = metric, us
	}
	return append(us, metric...)
}

// days are the steps, those over first; the rest by their day.
func (v viewer) days(view *View) {
	today := v.at.Format(time.DateOnly)
	title := words.Say("today")
	view.Days = []day{{Title: title}}
	for _, s := range v.Plan.Steps {
		l := line{v.clock(s.Start), words.Title(v.Plan, s, v.form), strings.Trim(words.Came(s), " ()")}
		date := s.Start.Format("Mon 2 Jan")
		switch on := s.Start.Format(time.DateOnly); {
		case !s.End.After(v.at) && on != today || s.State == timeline.Ended && on != today:
			view.Before = append(view.Before, l)
		case on <= today:
			view.Days[0].Lines = append(view.Days[0].Lines, l)
		default:
			l.At = timeline.Clock(s.Start, "15:04") // under its day
			if last := &view.Days[len(view.Days)-1]; last.Title != date {
				view.Days = append(view.Days, day{Title: date})
			}
			last := &view.Days[len(view.Days)-1]
			last.Lines = append(last.Lines, l)
		}
	}
}
