package export

import (
	"cmp"
	"fmt"
	"html/template"
	"io"
	"slices"
	"strings"
	"time"

	"brothrun/export/words"
	"brothrun/stock"
	"brothrun/stock/quantity"
	"brothrun/stock/record"
	"brothrun/stock/remark"
	"brothrun/timeline"
)

// roomySteps is how many steps, and looks between them, are told in full; beyond them the
// letters are smaller and what may be left out is. Own choice: the demo's are told in
// full, and 29 steps take two pages.
const roomySteps = 18

// Sheet writes plans as one page to print and to write on, for the wall: what and when,
// the figures with room for what came, the steps, a log of the canner, the layers of
// Batch.Drawings, and what to do when it goes wrong. Several are one list by time. It is
// a self-contained HTML file without script, readable on a phone too. The only errors are
// those of w.
func Sheet(w io.Writer, plans []timeline.Plan, paper Paper) error {
	s := sheet{Paper: paper, LogHead: words.Phases, LogAdvice: words.LogAdvice}
	rows := 0
	var names []string
	for _, plan := range plans {
		rows += len(plan.Steps) + len(looks(plan))
	}
	s.Dense = rows > roomySteps
	for _, plan := range plans {
		b := plan.Batch
		of := b
		of.Name = ""
		whose := ""
		if len(plans) > 1 {
			whose = b.Name
		}
		if b.Name != "" {
			names = append(names, b.Name)
			s.Runs = append(s.Runs, sheetRun{b.Name, words.Heading(of)})
		} else {
			s.Runs = append(s.Runs, sheetRun{Name: words.Heading(of)})
		}
		s.add(plan, whose)
	}
	s.Title = cmp.Or(words.Runs(names), heading(plans[0].Batch))
	s.Last = append(s.Last, partOf(section{title: alwaysTitle, notes: s.Always}))
	if len(s.Drawings) > 0 {
		s.Drawings = append(s.Drawings, scale())
	}
	s.calls(plans)
	s.steps(plans)
	s.Beside = map[int]string{2: "beside", 3: "beside two"}[len(s.Drawings)] // the scale is one
	return writePage(w, "sheet", s)
}

// sheet is what the template shows.
type sheet struct {
	Title      string
	Paper      Paper
	Dense      bool
	Runs       []sheetRun
	First      []part // refused
	Calls      []call
	Pressure   []string // what the loads are held at, for how long and by which gauge; nil where they differ
	Figures    []sheetFigures
	Came       []part
	StepTitle  string
	Clock      string
	Days       []sheetDay
	NoSteps    string
	LogAdvice  string
	LogHead    []string
	Log        []logRow
	Drawings   []drawing
	Beside     string // the class where they are few enough to stand beside what follows
	Then, Last []part
	Always     []string
	Troubles   []words.Trouble
}

type sheetRun struct{ Name, Of string }

// call is a day on which somebody is needed, and from when.
type call struct{ Day, From, Rest string }

// sheetFigures are those of a plan: what is measured on the day, with room for what came,
// and the rest.
type sheetFigures struct {
	Whose          string
	Measured, Rest []partRow
}

type sheetDay struct {
	Day   string
	Steps []sheetStep
}

type sheetStep struct {
	From, To, Title, Whose string
	Kind                   string // class
	Word                   string // what it asks of the cook
	Detail                 []told
	As                     string // where the rest of it stands
	Look                   bool   // it is no step
	Ticked                 bool

	at time.Time
}

// told is a sentence of how to do a step, and its number among those to do in order.
type told struct{ Number, Text string }

type logRow struct {
	Load, Whose, Setting string
	Cells                []logCell

	at time.Time
}

type logCell struct{ Noted, Span string }

type drawing struct {
	Picture template.HTML
	Legend  []string
}

// looks are the checks of a plan that have an hour; those of the week before stand on the card
// of what it needs (ReadySheet).
func looks(plan timeline.Plan) (all []timeline.Check) {
	for _, c := range plan.Checks {
		if !c.AllDay {
			all = append(all, c)
		}
	}
	return all
}

// add takes what of a plan is a part of its own.
func (s *sheet) add(plan timeline.Plan, whose string) {
	b := plan.Batch
	f := form{paper: true, words: words.Form{Units: b.Units}}
	of := func(title string) string {
		if whose == "" {
			return title
		}
		return title + ": " + whose
	}
	put := func(to *[]part, one section) {
		if !one.empty() {
			*to = append(*to, partOf(one))
		}
	}
	put(&s.First, section{title: of("Refused"), alarm: danger, notes: f.notes(b.Refusals)})
	s.Figures = append(s.Figures, figuresOf(b, f, whose))
	short := f
	short.short = true
	put(&s.Came, section{title: of("Came, beside what was planned"), rows: came(plan, short)})
	s.log(plan, whose)
	s.Drawings = append(s.Drawings, drawingsOf(b, whose)...)
	put(&s.Then, section{title: of("Use by"), rows: useBy(plan)})
	put(&s.Then, section{title: of("Watch out"), alarm: warning, notes: f.notes(plan.Warnings, without(b.Warnings,
		func(n remark.Note) bool { return n.Code == remark.SecondRack }))}) // on the day none is bought
	for _, trouble := range words.Troubles(plan, f.words) {
		if slices.Contains(s.Troubles, trouble) {
			continue
		}
		if slices.ContainsFunc(s.Troubles, func(t words.Trouble) bool { return t.What == trouble.What }) {
			trouble.What = of(trouble.What)
		}
		s.Troubles = append(s.Troubles, trouble)
	}
	always := f.notes(without(b.Cautions, // stands in Troubles
		func(n remark.Note) bool { return n.Code == remark.SealsIn24Hrs && len(b.Loads) > 0 }))
	for _, caution := range always {
		if !slices.Contains(s.Always, caution) {
			s.Always = append(s.Always, caution)
		}
	}
	put(&s.Last, section{title: of("Assumed"), notes: f.notes(b.Assumed)})
	if len(plan.Steps) == 0 {
		s.NoSteps = stepSection(plan, f).text
	}
}

// without are the notes but those that are meant.
func without(notes []remark.Note, meant func(remark.Note) bool) []remark.Note {
	return slices.DeleteFunc(slices.Clone(notes), meant)
}

// figuresOf are the figures of a batch, the water first.
func figuresOf(b stock.Batch, f form, whose string) sheetFigures {
	all := sheetFigures{Whose: whose}
	measured := false
	f.short = true
	for _, r := range append(balance(b)[:1:1], answer(b, f)...) {
		if r.label != "" {
			measured = slices.Contains(measuredRows, r.label)
		}
		to := &all.Rest
		if measured {
			to = &all.Measured
		}
		*to = append(*to, partRow{r.label, r.value, r.remark, false})
	}
	return all
}

// measuredRows are what is measured on the day, by the label of its row.
var measuredRows = []string{"Water in", "Strained", "Ready to fill", "Jars", "Leftover", "All of it"}

// calls are when somebody is needed, for all plans together.
func (s *sheet) calls(plans []timeline.Plan) {
	all := plans[0]
	all.Steps = nil
	for _, plan := range plans {
		all.Steps = append(all.Steps, plan.Steps...)
	}
	for _, r := range neededRows(all) {
		first, rest, _ := strings.Cut(r.remark, "-")
		s.Calls = append(s.Calls, call{r.value, first, "to " + rest})
	}
	if b := plans[0].Batch; len(plans) == 1 && len(b.Loads) > 0 && len(s.Calls) <= 4 {
		s.Pressure = words.HeldAt(b)
	}
}

// steps are those of all plans, and what is looked at between them, by time.
func (s *sheet) steps(plans []timeline.Plan) {
	var all []sheetStep
	said := telling{dense: s.Dense, said: map[string]*tellingOf{}}
	zones := []string{}
	for _, plan := range plans {
		if len(plan.Steps) == 0 {
			continue
		}
		f := form{paper: true, words: words.Form{Units: plan.Batch.Units}}
		whose := ""
		if len(plans) > 1 {
			whose = plan.Batch.Name
		}
		if zone := clockOf(plan).String(); !slices.Contains(zones, zone) {
			zones = append(zones, zone)
		}
		for i, r := range stepRows(plan, f) {
			step := plan.Steps[i]
			one := sheetStep{From: r.from, To: r.to, Title: r.title, Whose: whose, Kind: string(r.kind),
				Word: kindWords[r.kind], Ticked: step.State == timeline.Ended, at: step.Start.In(clockOf(plan))}
			var detail []string
			detail, one.As = said.of(plan, step, r.detail, f.words)
			for _, text := range detail {
				number := numbered.FindString(text)
				one.Detail = append(one.Detail, told{strings.TrimSpace(number), text[len(number):]})
			}
			all = append(all, one)
		}
		for _, c := range looks(plan) {
			title, _ := words.Check(plan, c, f.words)
			all = append(all, sheetStep{From: timeline.Clock(c.At, "15:04"), Title: title, Whose: whose, Kind: "look",
				Look: true, at: c.At.In(clockOf(plan))})
		}
	}
	slices.SortStableFunc(all, func(a, b sheetStep) int { return a.at.Compare(b.at) })
	for _, one := range all {
		day := one.at.Format("Mon 2 Jan")
		if n := len(s.Days); n == 0 || s.Days[n-1].Day != day {
			s.Days = append(s.Days, sheetDay{Day: day})
		}
		last := &s.Days[len(s.Days)-1]
		last.Steps = append(last.Steps, one)
	}
	if len(s.Days) > 0 {
		s.StepTitle = "Steps, on the clock of " + words.Runs(zones)
		s.Clock = words.Runs(zones)
	}
}

// kindWords say what a step asks, but for most of them, which take hands.
var kindWords = map[timeline.Kind]string{timeline.Watch: "look in", timeline.Waiting: "nobody needed"}

// telling is what a sheet has told already of how to do steps.
type telling struct {
	dense bool
	said  map[string]*tellingOf // by role and sentence
	loads []*tellingOf
}

// tellingOf is a step, and whose.
type tellingOf struct {
	step timeline.Step
	of   stock.Batch
}

// of is what is told of a step, whose own notes come first in detail, and where the rest
// of it stands: what was told of one like it is not told again, and nothing of one that
// is over.
func (t *telling) of(
	plan timeline.Plan, step timeline.Step, detail []string, f words.Form,
) (told []string, as string) {
	own := min(len(step.Notes), len(detail))
	told, how := slices.Clone(detail[:own]), detail[own:]
	if over := step.State == timeline.Ended || step.State == timeline.Skipped; over || t.dense && plan.Spare(step) {
		return told, ""
	}
	whose := func(first *tellingOf) string {
		if first.of.Name == plan.Batch.Name {
			return ""
		}
		return first.of.Name
	}
	if first := t.load(plan, step); first != nil {
		return told, words.AsBefore(first.step, whose(first), f)
	}
	if step.Role == timeline.Load { // the process of one pressure and time stands in one piece
		return append(told, how...), ""
	}
	for _, sentence := range how {
		key := fmt.Sprint(step.Role, sentence)
		if first := t.said[key]; first != nil {
			as = words.AsBefore(first.step, whose(first), f)
			continue
		}
		t.said[key] = &tellingOf{step, plan.Batch}
		told = append(told, sentence)
	}
	return told, as
}

// load finds the step of a load held at the same pressure for the same time, which was
// told of; nil where there is none. How long this one takes to it stands in the log.
func (t *telling) load(plan timeline.Plan, step timeline.Step) *tellingOf {
	if step.Role != timeline.Load || len(step.Loads) == 0 {
		return nil
	}
	for _, other := range t.loads {
		if words.Setting(other.of, other.step.Loads[0]) == words.Setting(plan.Batch, step.Loads[0]) {
			return other
		}
	}
	t.loads = append(t.loads, &tellingOf{step, plan.Batch})
	return nil
}

// log adds a row for each load of a plan, with what is noted of it.
func (s *sheet) log(plan timeline.Plan, whose string) {
	b := plan.Batch
	for _, load := range b.Loads {
		one := logRow{Load: fmt.Sprintf("%d: %s", load.Number, load.Contents()), Whose: whose,
			Setting: words.Setting(b, load)}
		noted := notedPhases(plan, load)
		for i, span := range words.PhaseSpans(load) {
			one.Cells = append(one.Cells, logCell{strings.Join(noted[i], ", "), span})
		}
		for _, step := range plan.Steps {
			if step.Role == timeline.Load && len(step.Loads) > 0 && step.Loads[0].Number == load.Number {
				one.at = step.Start
			}
		}
		s.Log = append(s.Log, one)
	}
	slices.SortStableFunc(s.Log, func(a, b logRow) int { return a.at.Compare(b.at) })
}

// notedPhases are the times noted of a load, by the columns of words.Phases: that it fell
// and what came back after it stand together.
func notedPhases(plan timeline.Plan, load stock.Load) [][]string {
	columns := []record.What{record.Steam, record.Vented, record.AtPressure, record.Fell, record.HeatOff, record.Zero,
		record.LidOff}
	const again = 3
	noted := make([][]string, len(columns))
	for _, e := range plan.Record {
		i := slices.Index(columns, e.What)
		if i < 0 || e.Load != load.Number {
			continue
		}
		if e.What == record.AtPressure && len(noted[i]) > 0 {
			i = again
		}
		noted[i] = append(noted[i], timeline.Clock(e.At.In(clockOf(plan)), "15:04"))
	}
	return noted
}

// sheetScale is by how much the layers on a sheet are smaller than the canner, and
// sheetLetters how large their letters are then, in millimetres of the canner: 8.5 pt.
const (
	sheetScale   = 8
	sheetLetters = 8.5 * 25.4 / 72 * sheetScale
)

// drawingsOf are the layers of a batch.
func drawingsOf(b stock.Batch, whose string) (all []drawing) {
	marks, short := marksOf(b.Drawings), map[string]string{}
	for name, letters := range abbreviations(b.Drawings) {
		for _, d := range b.Drawings {
			for _, spot := range d.Spots {
				room := svgMarks[marks[name]%len(svgMarks)].room * spot.Diameter.Metres() * 1000
				if spot.Jar == name && sheetLetters*svgWidth(Printable(name)) > room {
					short[name] = letters
				}
			}
		}
	}
	for _, d := range b.Drawings {
		one := drawing{Legend: append([]string{layerTitle(d)}, layerLegend(d, b.Units)...)}
		if whose != "" {
			one.Legend = append([]string{whose}, one.Legend...)
		}
		for _, j := range d.Jars {
			if letters := short[j.Jar]; letters != "" {
				one.Legend = append(one.Legend, letters+" = "+j.Jar)
			}
		}
		if len(d.Spots) > 0 {
			page := svgPage{}
			across := d.Width.Metres()*1000 + 4
			page.inline(across, across, layerTitle(d)+": "+layerLegend(d, b.Units)[0])
			page.stand(d, across/2, across/2, sheetLetters, marks, short)
			page.line(`</svg>`)
			one.Picture = template.HTML(page.String()) // its text is escaped
		}
		all = append(all, one)
	}
	return all
}

// scale is the one that layers on a sheet are drawn to.
func scale() drawing {
	page := svgPage{}
	page.inline(40*sheetScale, 2.2*svgLine*sheetLetters/svgText, "Scale")
	page.scaleBar(1, sheetLetters/3, sheetLetters)
	page.line(`</svg>`)
	return drawing{Picture: template.HTML(page.String())}
}

// inline begins a picture within a page, of so many millimetres of the canner.
func (p *svgPage) inline(width, height float64, about string) {
	p.line(`<svg viewBox="0 0 %.1f %.1f" width="%.2fmm" height="%.2fmm" role="img" aria-label="%s" font-family="%s">`,
		width, height, width/sheetScale, height/sheetScale, svgEscape(Printable(about)),
		"Arial, Helvetica, Liberation Sans, sans-serif")
}

// millimetres is a length as style sheets write it.
func millimetres(l quantity.Length) template.CSS {
	return template.CSS(fmt.Sprintf("%.4gmm", l.Millimetres()))
}
