package export

import (
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"brothrun/export/words"
	"brothrun/stock/quantity"
	"brothrun/stock/remark"
	"brothrun/timeline"
)

// Together writes several plans of one kitchen for a cook at a counter: what all of them
// ask for, each in short, and one list of their steps, each with the letter of its run.
// look is as for Screen. The only errors are those of w.
func Together(w io.Writer, plans []timeline.Plan, look Look) error {
	units := plans[0].Batch.Units
	s := newScreen(w, look.Colour, units)
	all := pageTogether(plans, form{short: !look.Full, why: look.Why, shared: true})
	s.wrap("", s.bold(all.title))
	for _, part := range all.sections {
		s.section(part, units)
	}
	return s.w.Flush()
}

// pageTogether is pageOf for several runs.
func pageTogether(plans []timeline.Plan, f form) page {
	units := plans[0].Batch.Units
	f.words = words.Form{Units: units, Flags: !f.paper}
	sections := []section{{rows: totalRows(plans, units)}}
	var refused, watch, always, assumed []lettered
	for i, plan := range plans {
		own := pageOf(plan, f)
		own.sections[0].title, own.sections[0].text = letter(i)+"  "+own.title, own.asked
		sections = append(sections, own.sections...)
		add := func(to *[]lettered, lists ...[]remark.Note) {
			for _, note := range slices.Concat(lists...) {
				run := i
				if slices.Contains(ofAll, note.Code) || note.Case == timeline.OfTogether {
					run = -1
				}
				*to = append(*to, lettered{run, words.Note(note, f.words)})
			}
		}
		add(&refused, plan.Batch.Refusals)
		add(&watch, plan.Warnings, plan.Batch.Warnings)
		add(&assumed, plan.Batch.Assumed)
		add(&always, plan.Batch.Cautions)
	}
	sections = append(sections, section{title: "Refused", alarm: danger, notes: once(refused, len(plans))},
		section{title: "Watch out", alarm: warning, notes: once(watch, len(plans))}, stepsTogether(plans, f))
	if f.short {
		b := plans[0].Batch
		b.Assumed = nil
		for _, plan := range plans {
			for _, note := range plan.Batch.Assumed {
				if !slices.ContainsFunc(b.Assumed, func(n remark.Note) bool { return n.Code == note.Code }) {
					b.Assumed = append(b.Assumed, note)
				}
			}
		}
		sections = append(sections, section{rows: inOneLine(b, f)})
	} else {
		sections = append(sections,
			section{title: "Assumed; give the real figure and the plans get better", notes: once(assumed, len(plans))},
			section{title: alwaysTitle, notes: once(always, 0)})
	}
	var names []string
	for i, plan := range plans {
		names = append(names, letter(i)+" "+Printable(plan.Batch.Name))
	}
	title := fmt.Sprintf("%d runs in one kitchen: %s", len(plans), strings.Join(names, ", "))
	return page{title, "", units, slices.DeleteFunc(sections, section.empty)}
}

// ofAll are the notes that the first of several runs carries for all.
var ofAll = []string{remark.SharedJarsCode, timeline.BusyOdd, timeline.OtherRunsDropped}

// lettered is a note of one of several runs.
type lettered struct {
	run  int // -1: of all
	text string
}

// once lists notes, each once, with the letters of the runs it is of; of all of them, or
// where runs is 0, with none.
func once(notes []lettered, runs int) (all []string) {
	whose := map[string][]string{}
	var order []string
	for _, n := range notes {
		if !slices.Contains(order, n.text) {
			order = append(order, n.text)
		}
		if l := letter(max(0, n.run)); n.run >= 0 && !slices.Contains(whose[n.text], l) {
			whose[n.text] = append(whose[n.text], l)
		}
	}
	for _, text := range order {
		if letters := whose[text]; letters != nil && len(letters) < runs {
			text = strings.Join(letters, ", ") + ": " + text
		}
		all = append(all, text)
	}
	return all
}

// totalRows is what several runs ask for together.
func totalRows(plans []timeline.Plan, u quantity.System) []row {
	t, place := timeline.Together(plans), time.UTC
	var loads []string
	for i, plan := range plans {
		if len(plan.Steps) > 0 {
			place = clockOf(plan)
			loads = append(loads, letter(i)+" "+loadCount(plan.Batch))
		}
	}
	rows := dayRows(t.Days, place)
	if t.Wash != nil {
		rows = append(rows, row{"Wash", words.Jars(t.Wash), ""})
	}
	if t.Loads > 0 {
		rows = append(rows, row{"Canner loads", fmt.Sprint(t.Loads), strings.Join(loads, ", ")})
	}
	if t.Ice > 0 {
		rows = append(rows, row{"Ice", t.Ice.Both(u), ""})
	}
	if f := t.Fridge; f.Needs > 0 {
		rows = append(rows, row{"Fridge", f.Needs.Both(u), words.Fullest(f, place)})
	}
	return rows
}

// stepsTogether is one list of the steps of several runs.
func stepsTogether(plans []timeline.Plan, f form) section {
	var all []ofRun
	var misfits []string
	title := "Steps"
	for i, plan := range plans {
		if plan.Unfit != nil {
			misfits = append(misfits, letter(i)+" "+Printable(plan.Batch.Name))
		}
		for _, step := range plan.Steps {
			title = words.OnTheClock(plan, clockOf(plan), f.words)
			all = append(all, ofRun{plan, step, letter(i) + "  "})
		}
	}
	slices.SortStableFunc(all, func(a, b ofRun) int { return a.step.Start.Compare(b.step.Start) })
	steps := section{title: title, steps: rowsOf(all, f)}
	if misfits != nil {
		steps.text = strings.Join(misfits, ", ") + ": no place on the clock; why, and what would help, stands at the end."
	}
	return steps
}
