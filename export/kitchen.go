package export

import (
	"io"

	"brothrun/export/text"
	"brothrun/export/words"
	"brothrun/stock/ask"
)

// Kitchen writes what a kitchen file holds and lacks. name is the file's. The
// only errors are those of w.
func Kitchen(w io.Writer, name string, report ask.KitchenReport, colour bool) error {
	s := newScreen(w, colour, report.Units)
	verdict := " can be used"
	if report.NoAltitude {
		verdict = " can be read, but no plan runs without the altitude"
	}
	s.line(s.bold(Printable(name) + verdict))
	s.line("")
	for _, finding := range report.Findings {
		s.lines(text.Table{Indent: 2, Columns: []text.Column{{Width: 12}}}.Row(finding.Code,
			Printable(words.Note(finding, s.form))))
	}
	s.notes("Watch out", yellow, report.Warnings)
	s.notes("Not given", none, report.Missing)
	return s.w.Flush()
}
