package export

import (
	"bytes"
	"io"
	"regexp"
	"strings"

	"brothrun/export/text"
	"brothrun/stock/quantity"
	"brothrun/timeline"
	"brothrun/timeline/ical"
)

// Markdown writes plan as a page to print, as pageOf orders it, which reads well as
// plain text too. units says which system of units comes first. Text is escaped, so
// that no title or note can change the page. The only errors are those of w.
func Markdown(w io.Writer, plan timeline.Plan, units quantity.System) error {
	plan.Batch.Units = units
	var out markdown
	out.page(pageOf(plan, form{paper: true}))
	_, err := w.Write(out.Bytes())
	return err
}

// markdown is a page being written.
type markdown struct{ bytes.Buffer }

func (m *markdown) page(all page) {
	m.item("# ", "", all.title)
	if all.asked != "" {
		m.WriteByte('\n')
		m.item("", "", all.asked)
	}
	for _, part := range all.sections {
		m.WriteByte('\n')
		if part.title != "" {
			m.item("## ", "", part.title)
			m.WriteByte('\n')
		}
		m.rows(part.rows, part.boxes)
		m.table(part.table)
		for _, note := range part.notes {
			m.item("- ", "", note)
		}
		m.steps(part.steps)
		if part.text != "" {
			if part.table.rows != nil {
				m.WriteByte('\n')
			}
			m.item("", "", part.text)
		}
	}
}

// item writes words after a marker, such as that of a list, on lines of the width of
// a screen; head comes first, in bold.
func (m *markdown) item(marker, head, words string) {
	words = markup.Replace(ical.OneLine(words))
	if head != "" {
		words = "**" + strings.ReplaceAll(markup.Replace(ical.OneLine(head)), " ", text.Glue) + "** " + words
	}
	if strings.HasPrefix(marker, "#") {
		m.WriteString(marker + words + "\n") // a heading is one line
		return
	}
	for i, line := range text.Fold(words, text.Width-len(marker)) {
		if i > 0 {
			marker = strings.Repeat(" ", len(marker))
		}
		m.WriteString(marker + opening.ReplaceAllString(line, `$1\$2`) + "\n")
	}
}

// opening is what would begin a list, a rule or a heading where a line begins.
var opening = regexp.MustCompile(`^(\d*)([-+=]|[.)](?: |$))`)

// numbered is what begins one of several things to do in order.
var numbered = regexp.MustCompile(`^\d{1,2}\. `)

// markup is what Markdown may read as more than text anywhere in a line.
var markup = strings.NewReplacer(`\`, `\\`, "`", "\\`", "*", `\*`, "_", `\_`, "[", `\[`, "]", `\]`,
	"<", `\<`, ">", `\>`, "|", `\|`, "#", `\#`, "~", `\~`, "&", `\&`)

// rows writes a list, what goes on with a row below it; with boxes one of tasks.
func (m *markdown) rows(rows []row, boxes bool) {
	marker := "- "
	if boxes {
		marker += box
	}
	for _, r := range rows {
		words := r.value
		if r.remark != "" {
			words += ": " + r.remark
		}
		if r.label == "" {
			m.item("  - ", "", words)
		} else {
			m.item(marker, r.label, words)
		}
	}
}

// table writes the cells in columns of one width, what to mind of a row in a last one.
func (m *markdown) table(t table) {
	if t.rows == nil {
		return
	}
	rows := make([][]string, len(t.rows))
	var widths []int
	for i, cells := range t.rows {
		rows[i] = append(rows[i], cells...)
		if t.minds != nil {
			rows[i] = append(rows[i], t.minds[i])
			if i == 0 {
				rows[i][len(cells)] = "careful"
			}
		}
		for k := range rows[i] {
			rows[i][k] = markup.Replace(ical.OneLine(rows[i][k]))
			if i == 0 {
				widths = append(widths, len("---"))
			}
			widths[k] = max(widths[k], text.Shown(rows[i][k]))
		}
	}
	for i, cells := range rows {
		rule := ""
		for k, cell := range cells {
			m.WriteString("| " + text.Pad(cell, widths[k]+1))
			rule += "| " + strings.Repeat("-", widths[k]) + " "
		}
		m.WriteString("|\n")
		if i == 0 {
			m.WriteString(rule + "|\n")
		}
	}
}

// steps writes the steps by day, what to do under each.
func (m *markdown) steps(steps []stepRow) {
	for i, step := range steps {
		if step.day != "" {
			if i > 0 {
				m.WriteByte('\n')
			}
			m.item("### ", "", step.day)
			m.WriteByte('\n')
		}
		m.item("- ", step.from+"-"+step.to, step.title+" ("+string(step.kind)+")")
		for _, detail := range step.detail {
			if at := numbered.FindString(detail); at != "" {
				m.item("  "+at, "", detail[len(at):])
			} else {
				m.item("  - ", "", detail)
			}
		}
	}
}
