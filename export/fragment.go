package export

import (
	"bytes"
	"io"

	"brothrun/stock"
	"brothrun/timeline"
)

// Fragment writes a plan, as pageOf orders it, as HTML to be put into a page below its
// Figures. The answer, the steps, what is refused or may go wrong and what is always to be
// minded stand open; the rest is folded away. It has no style and no script. The only
// errors are those of w.
func Fragment(w io.Writer, plan timeline.Plan) error {
	all := pageOf(plan, form{paper: true})
	view := struct {
		Title, Asked string
		Parts        []fragment
	}{Title: all.title, Asked: all.asked}
	first := all.sections[0].rows
	all.sections[0].rows = first[:len(first)-len(Figures(plan.Batch))]
	for _, s := range all.sections {
		one := fragment{part: partOf(s), Folded: s.title != "" && s.title != alwaysTitle && s.alarm == calm && s.steps == nil}
		for _, step := range s.steps {
			one.Steps = append(one.Steps, fragmentStep{step.day, step.from + "–" + step.to, step.title, step.detail})
		}
		view.Parts = append(view.Parts, one)
	}
	var page bytes.Buffer
	if err := pages().ExecuteTemplate(&page, "fragment", view); err != nil {
		return err
	}
	_, err := w.Write(page.Bytes())
	return err
}

type fragment struct {
	part
	Steps  []fragmentStep
	Folded bool
}

type fragmentStep struct {
	Day, Span, Title string
	Detail           []string
}

// Figure is a line of the answer: "Jars", "13 quarts", "12 to 14; wash 14". Without a label
// it goes on with the one before.
type Figure struct {
	Label  string `json:"label"`
	Value  string `json:"value"`
	Remark string `json:"remark"`
}

// Figures are the answer of a batch, without a clock.
func Figures(b stock.Batch) (all []Figure) {
	for _, r := range answer(b, form{paper: true}) {
		all = append(all, Figure{r.label, shown(r.value), shown(r.remark)})
	}
	return all
}
