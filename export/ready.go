package export

import (
	"fmt"
	"io"
	"strings"

	"brothrun/export/text"
	"brothrun/export/words"
	"brothrun/stock"
	"brothrun/stock/quantity"
	"brothrun/stock/remark"
	"brothrun/timeline"
)

// readyPage is the content of a card, the same whichever form shows it: what is too little
// or refused first, then what to buy, to wash and to clear, each row to be ticked off.
func readyPage(r timeline.Ready, f form) page {
	u := r.Plans[0].Batch.Units
	f.words = words.Form{Units: u, Flags: !f.paper}
	sections := []section{
		{rows: readyRuns(r)},
		{title: "Refused", alarm: danger, notes: f.ofRuns(r, refusalsOf)},
		{title: "First", alarm: warning, notes: f.ofRuns(r, firstOf)},
		{title: "Buy, or have there", rows: bought(r, f.words), boxes: true},
		{title: "Wash", rows: washed(r), boxes: true},
		{title: "Clear and look", rows: cleared(r, f.words), boxes: true},
		{rows: heated(r, f.words)},
	}
	if r.Plans[0].Begins().IsZero() {
		sections = append(sections, section{text: words.ReadyUndated})
	}
	kept := sections[:0]
	for _, s := range sections {
		if !s.empty() {
			kept = append(kept, s)
		}
	}
	return page{title: words.ReadyTitle(r, f.words), units: u, sections: kept}
}

// ReadySheet writes a card to shop and to clear by, as one HTML file to print, with a box for
// each thing. The only errors are those of w.
func ReadySheet(w io.Writer, r timeline.Ready, paper Paper) error {
	all := readyPage(r, form{paper: true})
	card := struct {
		Title string
		Paper Paper
		Parts []part
	}{Title: all.title, Paper: paper}
	for _, s := range all.sections {
		card.Parts = append(card.Parts, partOf(s))
	}
	return writePage(w, "card", card)
}

func refusalsOf(p timeline.Plan) []remark.Note { return p.Batch.Refusals }

// firstOf is what of a plan has to be known before anything is bought: room that is not
// there, and thawing that comes too late.
func firstOf(p timeline.Plan) []remark.Note {
	return append(remark.Noted(p.Batch.Warnings, remark.FridgeRoom, remark.FreezerRoom),
		remark.Noted(p.Warnings, remark.FridgeRoom, remark.FreezerRoom, timeline.ThawLate)...)
}

// ofRuns words notes of every run, with its name where there are several.
func (f form) ofRuns(r timeline.Ready, of func(timeline.Plan) []remark.Note) (texts []string) {
	for _, p := range r.Plans {
		for _, note := range of(p) {
			said := words.Note(note, f.words)
			if len(r.Plans) > 1 && note.Case != timeline.OfTogether {
				name, _ := words.ReadyRun(p)
				said = name + ": " + said
			}
			texts = append(texts, said)
		}
	}
	return texts
}

func readyRuns(r timeline.Ready) (rows []row) {
	label := "Run"
	if len(r.Plans) > 1 {
		label = "Runs"
	}
	for _, p := range r.Plans {
		name, when := words.ReadyRun(p)
		rows = append(rows, row{label, name, when})
		label = ""
	}
	return rows
}

func bought(r timeline.Ready, f words.Form) (rows []row) {
	for _, b := range r.Solids {
		rows = append(rows, row{b.What, words.HowMuch(b.Solid, f), words.Brought(b, f)})
	}
	if r.Ice.Weight > 0 {
		rows = append(rows, row{"ice", r.Ice.Weight.Both(f.Units), words.Iced(r.Ice, f)})
	}
	for _, lids := range r.Lids {
		rows = append(rows, row{"new lids", fmt.Sprintf("%d %s", lids.Wanted, lids.Name), words.CountedWords(lids, "to buy")})
	}
	if r.Absorbers > 0 {
		rows = append(rows, row{"oxygen absorbers", fmt.Sprint(r.Absorbers), words.ReadyAbsorbers})
	}
	if r.Tank.High > 0 {
		amount, about := words.Tank(r.Tank, f)
		rows = append(rows, row{"propane", amount, about})
	}
	return rows
}

func washed(r timeline.Ready) (rows []row) {
	for _, jars := range r.Jars {
		by := ""
		if at := r.WashBy[jars.Name]; !at.IsZero() {
			by = "; by " + timeline.Clock(at, "Mon 2 Jan 15:04")
		}
		rows = append(rows, row{"jars", stock.CountJars(jars.Wanted, jars.Name),
			words.CountedWords(jars, "to buy or borrow") + by})
	}
	return rows
}

func cleared(r timeline.Ready, f words.Form) (rows []row) {
	if r.Fridge.Needs > 0 {
		rows = append(rows, row{"fridge", r.Fridge.Needs.Both(f.Units), words.Roomy(r.Fridge, "fridge", f)})
	}
	if r.Freezer.Needs > 0 {
		about := words.Roomy(r.Freezer, "freezer", f)
		if r.DaysToFreeze > 1 {
			about += "; " + words.Turns(r.DaysToFreeze, f)
		}
		rows = append(rows, row{"freezer", r.Freezer.Needs.Both(f.Units), about})
	}
	if len(r.Dryer) > 0 {
		var from []string
		for _, at := range r.Dryer {
			from = append(from, timeline.Clock(at, "Mon 2 Jan 15:04"))
		}
		free := words.ReadySays(words.ReadyDryer, f, strings.Join(from, " and from "))
		rows = append(rows, row{"freeze dryer", "free", free})
	}
	if !r.GaugeBy.IsZero() {
		rows = append(rows, row{"dial gauge", "checked", words.ReadySays(words.ReadyGauge, f, r.GaugeBy)})
	}
	return rows
}

func heated(r timeline.Ready, f words.Form) []row {
	return []row{{"Heat", kilowattHours(r.Fuel.Likely), words.ReadySays(words.ReadyFuel, f,
		fmt.Sprintf("%.0f", r.Fuel.Low.KilowattHours()), kilowattHours(r.Fuel.High))}}
}

func kilowattHours(e quantity.Energy) string { return fmt.Sprintf("%.0f kWh", e.KilowattHours()) }

// readyTable is what, how much, and when or where.
var readyTable = text.Table{Indent: 2, Columns: []text.Column{{Width: 21}, {Width: 18}}}

// box is in front of what is ticked off.
const box = "[ ] "

// ReadyCard writes what some runs need for a cook at a counter. The only errors are those of
// w.
func ReadyCard(w io.Writer, r timeline.Ready, colour bool) error {
	s := newScreen(w, colour, r.Plans[0].Batch.Units)
	all := readyPage(r, form{})
	s.wrap("", s.bold(all.title))
	for _, part := range all.sections {
		if !part.boxes {
			s.section(part, all.units)
			continue
		}
		s.heading(part.title)
		for _, one := range part.rows {
			s.lines(readyTable.Row(box+Printable(one.label), Printable(one.value), one.remark))
		}
	}
	return s.w.Flush()
}

// ReadyMarkdown is ReadyCard as a page to print, whose boxes a program that shows Markdown
// draws. The only errors are those of w.
func ReadyMarkdown(w io.Writer, r timeline.Ready) error {
	var out markdown
	out.page(readyPage(r, form{paper: true}))
	_, err := w.Write(out.Bytes())
	return err
}

type (
	readyData struct {
		Schema     int            `json:"schema"`
		Runs       []readyRunData `json:"runs"`
		Notes      []noteData     `json:"first"` // refusals, and what there is too little of
		Bring      []bringData    `json:"bring"`
		Ice        *bringData     `json:"ice,omitempty"`
		Jars       []countedData  `json:"jars"`
		JarsBy     string         `json:"jars_by,omitempty"`
		Lids       []countedData  `json:"lids"`
		Absorbers  int            `json:"oxygen_absorbers"`
		Fuel       bandData       `json:"fuel_kwh"`
		Propane    *bandData      `json:"propane_kg,omitempty"`
		Fridge     roomData       `json:"fridge"`
		Freezer    roomData       `json:"freezer"`
		FreezeDays int            `json:"days_to_freeze,omitempty"`
		Dryer      []string       `json:"freeze_dryer_from"`
		GaugeBy    string         `json:"gauge_check_by,omitempty"`
	}
	readyRunData struct {
		ID     string `json:"id"`
		Name   string `json:"name"`
		Begins string `json:"begins,omitempty"`
	}
	bringData struct {
		What      string     `json:"what"`
		Count     int        `json:"count,omitempty"` // where all of it was counted
		Kilograms float64    `json:"kg"`
		Vegetable bool       `json:"vegetable"`
		Parts     []partData `json:"parts"`
	}
	partData struct {
		Run       string  `json:"run"`
		Kilograms float64 `json:"kg"`
		By        string  `json:"by,omitempty"`
		Thaw      string  `json:"thaw,omitempty"`
		ThawAt    string  `json:"thaw_at,omitempty"`
	}
	countedData struct {
		Name   string `json:"name"`
		Wanted int    `json:"wanted"`
		OnHand *int   `json:"on_hand"`      // null: nobody counted
		By     string `json:"by,omitempty"` // when the first of them are washed
		Short  int    `json:"short"`
	}
	roomData struct {
		Needs float64  `json:"needs_l"`
		At    string   `json:"at,omitempty"`
		Has   *float64 `json:"room_l"` // null: not known
		Short bool     `json:"short"`
	}
)

// ReadyJSON is ReadyCard for scripts: kilograms and kWh to a hundredth, litres to a tenth of a
// millilitre, times in RFC 3339 with offset and absent without a clock. Errors are those of
// JSON.
func ReadyJSON(w io.Writer, r timeline.Ready) error {
	f := words.Form{Units: r.Plans[0].Batch.Units, Flags: true}
	data := readyData{Schema: Schema, Notes: []noteData{}, Bring: []bringData{}, Jars: countedList(r.Jars),
		JarsBy: instant(r.JarsBy), Lids: countedList(r.Lids), Absorbers: r.Absorbers, Fridge: roomOf(r.Fridge),
		Freezer: roomOf(r.Freezer), FreezeDays: r.DaysToFreeze, Dryer: []string{}, GaugeBy: instant(r.GaugeBy)}
	for i, jars := range r.Jars {
		data.Jars[i].By = instant(r.WashBy[jars.Name])
	}
	for _, p := range r.Plans {
		data.Runs = append(data.Runs, readyRunData{p.RunID, p.Batch.Name, instant(p.Begins())})
		for _, note := range append(firstOf(p), p.Batch.Refusals...) {
			data.Notes = append(data.Notes, noteData{note.Code, words.Note(note, f)})
		}
	}
	for _, b := range r.Solids {
		data.Bring = append(data.Bring, broughtData(r.Plans, b))
	}
	if r.Ice.Weight > 0 {
		ice := broughtData(r.Plans, r.Ice)
		ice.What = "ice"
		data.Ice = &ice
	}
	kWh := func(e quantity.Energy) float64 { return roundTo(e.KilowattHours(), 2) }
	data.Fuel = bandData{kWh(r.Fuel.Low), kWh(r.Fuel.Likely), kWh(r.Fuel.High)}
	if r.Tank.High > 0 {
		gas, _ := stock.Propane(r.Tank)
		data.Propane = &bandData{kilograms(gas.Low), kilograms(gas.Likely), kilograms(gas.High)}
	}
	for _, from := range r.Dryer {
		data.Dryer = append(data.Dryer, instant(from))
	}
	return encode(w, data)
}

func countedList(all []stock.Counted) []countedData {
	list := []countedData{}
	for _, c := range all {
		one := countedData{Name: c.Name, Wanted: c.Wanted, Short: c.Short()}
		if c.OnHand >= 0 {
			one.OnHand = &c.OnHand
		}
		list = append(list, one)
	}
	return list
}

func roomOf(r timeline.Room) roomData {
	data := roomData{Needs: litres(r.Needs), At: instant(r.From), Short: r.Short()}
	if r.Has != nil {
		has := litres(*r.Has)
		data.Has = &has
	}
	return data
}

func broughtData(plans []timeline.Plan, b timeline.Bring) bringData {
	data := bringData{b.What, b.Count, kilograms(b.Weight), b.Vegetable, []partData{}}
	for _, part := range b.Parts {
		data.Parts = append(data.Parts, partData{plans[part.Run].RunID, kilograms(part.Weight), instant(part.By),
			string(part.Thaw.Method), instant(part.ThawAt)})
	}
	return data
}

func kilograms(m quantity.Mass) float64 { return roundTo(m.Kilograms(), 2) }
