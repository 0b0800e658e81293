package export

import (
	"bufio"
	"fmt"
	"io"
	"strings"
	"unicode"

	"brothrun/export/text"
	"brothrun/export/words"
	"brothrun/stock/quantity"
	"brothrun/stock/remark"
	"brothrun/timeline"
)

// Look is how a plan is shown on a screen.
type Look struct {
	Colour bool // quiet terminal colour
	Full   bool // all there is, and not only what has to be known before beginning
	Why    bool // with what keeps each step where it stands
}

// Screen writes plan for a cook at a counter, as pageOf orders it. The only errors
// are those of w.
func Screen(w io.Writer, plan timeline.Plan, look Look) error {
	s := newScreen(w, look.Colour, plan.Batch.Units)
	all := pageOf(plan, form{short: !look.Full, why: look.Why})
	s.wrap("", s.bold(all.title))
	if all.asked != "" {
		s.wrap("", all.asked)
	}
	for _, part := range all.sections {
		s.section(part, all.units)
	}
	return s.w.Flush()
}

func (s screen) section(part section, u quantity.System) {
	s.line("")
	if part.title != "" {
		s.line(s.bold(part.title))
	}
	for _, r := range part.rows {
		s.row(r)
	}
	s.table(part.table)
	s.layers(part.layers, u)
	for _, note := range part.notes {
		s.bullet(alarmColours[part.alarm], Printable(note))
	}
	s.steps(part.steps)
	if part.text != "" {
		s.wrap("  ", part.text)
	}
}

// screen writes wrapped, perhaps coloured lines.
type screen struct {
	w      *bufio.Writer
	colour bool
	form   words.Form // in which its notes are worded
}

func newScreen(w io.Writer, colour bool, u quantity.System) screen {
	return screen{bufio.NewWriter(w), colour, words.Form{Units: u, Flags: true}}
}

// The colours of a terminal, as SGR parameters of ECMA-48.
const (
	none   = ""
	red    = "31"
	yellow = "33"
)

// alarmColours are the colours of what a section lists.
var alarmColours = map[alarm]string{calm: none, warning: yellow, danger: red}

func (s screen) paint(sgr, text string) string {
	if !s.colour || sgr == none {
		return text
	}
	return "\x1b[" + sgr + "m" + text + "\x1b[0m"
}

func (s screen) bold(text string) string { return s.paint("1", text) }

func (s screen) line(text string) { fmt.Fprintln(s.w, text) }

// Printable writes text that came from outside for a terminal: control and
// invisible formatting characters, which could move the cursor or turn the line
// round, are shown as escapes.
func Printable(text string) string {
	var b strings.Builder
	for _, r := range text {
		if unicode.IsControl(r) || unicode.Is(unicode.Cf, r) {
			fmt.Fprintf(&b, "\\u%04x", r)
			continue
		}
		b.WriteRune(r)
	}
	return b.String()
}

func (s screen) heading(text string) {
	s.line("")
	s.line(s.bold(text))
}

// rowTable is how a row of a plan stands: label, value and remark.
var rowTable = text.Table{Indent: 2, Columns: []text.Column{{Width: 15}, {Width: 21}}}

func (s screen) row(r row) { s.lines(rowTable.Row(r.label, r.value, r.remark)) }

func (s screen) notes(title, sgr string, notes []remark.Note) {
	if len(notes) == 0 {
		return
	}
	s.heading(title)
	for _, n := range notes {
		s.bullet(sgr, Printable(words.Note(n, s.form)))
	}
}

func (s screen) bullet(sgr, words string) {
	s.hang("  "+s.paint(sgr, "*")+" ", words)
}

func (s screen) table(t table) {
	if t.rows == nil {
		return
	}
	columns := text.Table{Indent: 2, Columns: make([]text.Column, len(t.rows[0]))}
	columns.Columns[t.gives].Breaks = true
	columns = columns.Fit(t.rows)
	for i, cells := range t.rows {
		s.lines(columns.Row(cells...))
		if t.minds != nil && t.minds[i] != "" {
			s.hang("    "+s.paint(yellow, "careful:")+" ", t.minds[i])
		}
	}
}

func (s screen) steps(steps []stepRow) {
	table := text.Table{Indent: 2, Columns: make([]text.Column, 2)}
	for _, step := range steps {
		day, clock := &table.Columns[0].Width, &table.Columns[1].Width
		*day, *clock = max(*day, len(step.day)+1), max(*clock, len(step.from)+1+len(step.to)+2)
	}
	for _, step := range steps {
		s.lines(table.Row(step.day, step.from+"-"+step.to, Printable(step.title)))
		if step.why != "" {
			s.hang(strings.Repeat(" ", 2+table.Columns[0].Width+table.Columns[1].Width)+"- ", Printable(step.why))
		}
	}
}

// wrap writes words at an indent, broken at blanks to the width of the screen.
func (s screen) wrap(indent, words string) { s.hang(indent, words) }

// hang writes head and then words beside it, its further lines under its first.
func (s screen) hang(head, words string) { s.lines(text.Hang(head, words)) }

func (s screen) lines(lines []string) {
	for _, line := range lines {
		s.line(line)
	}
}
