package export

import (
	"encoding/csv"
	"io"
	"strconv"
	"strings"
	"time"

	"brothrun/export/words"
	"brothrun/timeline"
	"brothrun/timeline/ical"
)

// CSV writes the steps of plan as a table [RFC 4180]: a header and one row a
// step, lines ended by CRLF. Times are RFC 3339 with offset, minutes whole or
// with one decimal, and lists in a cell are joined by a blank.
//
// Text is cleaned of control characters and put on one line, and a cell that
// would begin with = + - or @ gets an apostrophe in front, since spreadsheets
// would run it as a formula; the apostrophe tells them that it is text.
// The only errors are those of w.
func CSV(w io.Writer, plan timeline.Plan) error {
	table := csv.NewWriter(w)
	table.UseCRLF = true
	rows := [][]string{{"id", "title", "start", "end", "minutes", "kind", "needs", "detail"}}
	form := words.Form{Units: plan.Batch.Units}
	for _, step := range plan.Steps {
		var needs []string
		for _, need := range step.Needs {
			needs = append(needs, string(need))
		}
		rows = append(rows, []string{
			cell(step.ID),
			cell(words.Title(plan, step, form)),
			step.Start.Format(time.RFC3339),
			step.End.Format(time.RFC3339),
			strconv.FormatFloat(roundTo(step.End.Sub(step.Start).Minutes(), 1), 'f', -1, 64),
			cell(string(step.Kind)),
			cell(strings.Join(needs, " ")),
			cell(strings.Join(words.Detail(plan, step, form), " ")),
		})
	}
	return table.WriteAll(rows)
}

// cell is text that a spreadsheet shows and does not run. Source: OWASP, CSV
// Injection (from memory), which lists = + - @ and their full-width forms.
func cell(text string) string {
	text = ical.OneLine(text)
	for _, sign := range []string{"=", "+", "-", "@", "＝", "＋", "－", "＠"} {
		if strings.HasPrefix(text, sign) {
			return "'" + text
		}
	}
	return text
}
