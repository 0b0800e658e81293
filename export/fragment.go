package export

import (
	"bytes"
	"io"
	"slices"

	"brothrun/export/words"
	"brothrun/stock"
	"brothrun/stock/remark"
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
	all.sections[0].rows = first[:len(first)-len(answer(plan.Batch, form{paper: true}))]
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

// Figures are the answer of a batch, without a clock. What may not be canned says so first.
func Figures(b stock.Batch) (all []Figure) {
	f := form{paper: true, words: words.Form{Units: b.Units}}
	if b.Refused() && !b.EndsAtStraining() && !b.Spoilt() {
		why := slices.IndexFunc(b.Refusals, func(n remark.Note) bool { return n.Code != remark.UnattendedCode })
		all = append(all, Figure{"Canning", "REFUSED", shown(words.Note(b.Refusals[why], f.words))})
	}
	for _, r := range answer(b, f) {
		all = append(all, Figure{r.label, shown(r.value), shown(r.remark)})
	}
	return all
}
