package export

import (
	"bytes"
	"embed"
	"html/template"
	"io"
	"strings"
	"sync"
	"unicode"

	"brothrun/stock/fault"
	"brothrun/stock/quantity"
)

// Paper is a size of paper, upright.
type Paper struct {
	Name          string // as style sheets call it
	Width, Height quantity.Length
}

// papers are the sizes there are: ANSI/ASME Y14.1 and ISO 216.
var papers = []Paper{
	{"letter", 8.5 * quantity.Inch, 11 * quantity.Inch},
	{"a4", 210 * quantity.Millimetre, 297 * quantity.Millimetre},
}

// ParsePaper reads "letter" or "a4"; empty is what a kitchen with such units has.
func ParsePaper(name string, u quantity.System) (Paper, error) {
	for _, p := range papers {
		if strings.EqualFold(name, p.Name) || name == "" && (p.Name == "a4") == (u == quantity.Metric) {
			return p, nil
		}
	}
	return Paper{}, fault.New("paper", "--paper letter, or --paper a4", "--paper %s: no such paper", name)
}

//go:embed html
var pageFiles embed.FS

// pages are the templates of what is printed. They are parsed when the first is wanted:
// most commands want none.
var pages = sync.OnceValue(func() *template.Template {
	return template.Must(template.New("").Funcs(template.FuncMap{
		"style": func() (template.CSS, error) {
			style, err := pageFiles.ReadFile("html/style.css")
			return template.CSS(style), err
		},
		"shown": shown,
		"mm":    millimetres,
	}).ParseFS(pageFiles, "html/*.tmpl"))
})

// writePage writes a page by the template of its name; the only errors are those of w.
func writePage(w io.Writer, name string, view any) error {
	var page bytes.Buffer
	if err := pages().ExecuteTemplate(&page, name, view); err != nil {
		return err
	}
	_, err := w.Write(page.Bytes())
	return err
}

// shown is text as a page shows it: as Printable does, but for what joins letters in some
// scripts and pictures.
func shown(text string) string {
	const joiner, apart = '\u200d', '\u200c'
	var b strings.Builder
	for _, r := range strings.ToValidUTF8(text, "\uFFFD") {
		switch {
		case r == joiner || r == apart:
			b.WriteRune(r)
		case unicode.IsSpace(r):
			b.WriteByte(' ')
		default:
			b.WriteString(Printable(string(r)))
		}
	}
	return b.String()
}

// part is a section of a page as the templates see it.
type part struct {
	Title, Alarm, Text string
	Rows               []partRow
	Notes              []string
	Table              [][]string
}

type partRow struct {
	Label, Value, Remark string
	Box                  bool // to be ticked off
}

// partOf is a section, whose rows, table, notes and text are printed.
func partOf(s section) part {
	p := part{Title: s.title, Alarm: [...]string{calm: "", warning: "warning", danger: "danger"}[s.alarm], Text: s.text,
		Notes: s.notes, Table: s.table.rows}
	for _, r := range s.rows {
		p.Rows = append(p.Rows, partRow{r.label, r.value, r.remark, s.boxes && r.label != ""})
	}
	return p
}
