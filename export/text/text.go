// Package text lays text out for a terminal: it breaks lines at blanks and sets
// cells in columns. Widths count characters; the escape sequences of a terminal take
// none, so that painted text lines up too.
package text

import (
	"regexp"
	"strings"
	"unicode/utf8"
)

// Width is the width every line of the screen stays within.
const Width = 80

// Glue is a blank at which no line breaks: "7" + Glue + "quarts".
const Glue = "\u00a0"

// gap is how many blanks stand between the columns of a table.
const gap = 2

// painted is an SGR sequence of ECMA-48.
var painted = regexp.MustCompile("\x1b\\[[0-9;]*m")

// Shown is how many columns text takes.
func Shown(text string) int {
	return utf8.RuneCountInString(painted.ReplaceAllLiteralString(text, ""))
}

// Pad fills text with blanks to a width, always leaving one.
func Pad(text string, width int) string {
	return text + strings.Repeat(" ", max(1, width-Shown(text)))
}

// Wrap breaks text at blanks into lines of at most width characters, one at the
// least. A word wider than a line is cut.
func Wrap(text string, width int) []string { return broken(text, width, width, false) }

// Fold is Wrap that leaves a word whole, however wide it is.
func Fold(text string, width int) []string { return broken(text, width, width, true) }

// Hang writes head and then text beside it, its further lines under its first.
func Hang(head, text string) []string {
	at := Shown(head)
	lines := Wrap(text, Width-at)
	for i, line := range lines {
		if i > 0 {
			head = strings.Repeat(" ", at)
		}
		lines[i] = strings.TrimRight(head+line, " ")
	}
	return lines
}

// broken is text on lines, where the first has another room than the rest; whole
// keeps it from cutting words.
func broken(text string, room, rest int, whole bool) []string {
	var lines []string
	line := ""
	next := func() {
		lines, line, room = append(lines, line), "", rest
	}
	for _, word := range strings.FieldsFunc(text, func(r rune) bool { return r == ' ' || r == '\n' || r == '\t' }) {
		switch {
		case line == "":
		case Shown(line)+1+Shown(word) > room:
			next()
		default:
			line += " "
		}
		for !whole && line == "" && Shown(word) > room {
			line, word = cut(word, room)
			next()
		}
		line += word
	}
	lines = append(lines, line)
	for i := range lines {
		lines[i] = strings.ReplaceAll(lines[i], Glue, " ")
	}
	return lines
}

// cut takes a number of characters, one at the least, off the front of a word.
func cut(word string, room int) (head, tail string) {
	at := 0
	for used := 0; at < len(word) && used < max(room, 1); {
		if escape := painted.FindStringIndex(word[at:]); escape != nil && escape[0] == 0 {
			at += escape[1]
			continue
		}
		_, size := utf8.DecodeRuneInString(word[at:])
		at += size
		used++
	}
	return word[:at], word[at:]
}

// Column is a column of a table.
type Column struct {
	Width  int  // with the gap after it; 0: what its widest cell asks for
	Breaks bool // gives way, and breaks into lines, where the table is too wide
}

// Table is the columns of a table and how far it stands in.
type Table struct {
	Indent  int
	Columns []Column
}

// Fit returns t with its columns as wide as rows ask for, and the one that breaks
// so much narrower that a line stays within Width.
func (t Table) Fit(rows [][]string) Table {
	t.Columns = append([]Column{}, t.Columns...)
	total := t.Indent - gap
	for i := range t.Columns {
		column := &t.Columns[i]
		if column.Width == 0 {
			for _, cells := range rows {
				if i < len(cells) {
					column.Width = max(column.Width, Shown(cells[i])+gap)
				}
			}
		}
		total += column.Width
	}
	for i := range t.Columns {
		if column := &t.Columns[i]; column.Breaks && total > Width {
			column.Width -= total - Width
			break
		}
	}
	return t
}

// least is the room under which a cell begins on a line of its own.
const least = 12

// Row sets cells in the columns of t, on as many lines as they need. A cell wider
// than its column moves the rest of its line to the right; the last one has all the
// room that is left.
func (t Table) Row(cells ...string) []string {
	lines := []string{strings.Repeat(" ", t.Indent)}
	for i, cell := range cells {
		if cell == "" && i == len(cells)-1 {
			break // it would take a line where the others fill theirs
		}
		var column Column
		if i < len(t.Columns) {
			column = t.Columns[i]
		}
		at := Shown(lines[0])
		left := Width - at
		room := left
		if column.Breaks && i < len(cells)-1 {
			room = min(left, column.Width-gap)
		}
		first := 0
		if left < min(least, Shown(cell)) {
			at, first = t.start(i), len(lines)
			left, room = Width-at, Width-at
		}
		for k, part := range broken(cell, room, left, false) {
			for len(lines) <= first+k {
				lines = append(lines, "")
			}
			line := lines[first+k]
			lines[first+k] = line + strings.Repeat(" ", max(0, at-Shown(line))) + part
		}
		if i < len(cells)-1 && first == 0 {
			lines[0] = lines[0] + strings.Repeat(" ", max(1, at+column.Width-Shown(lines[0])))
		}
	}
	for i := range lines {
		lines[i] = strings.TrimRight(lines[i], " ")
	}
	return lines
}

// start is where a column begins when no cell before it is too wide.
func (t Table) start(column int) int {
	at := t.Indent
	for _, before := range t.Columns[:min(column, len(t.Columns))] {
		at += before.Width
	}
	return at
}
