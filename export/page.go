package export

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"brothrun/export/words"
	"brothrun/stock"
	"brothrun/stock/chill"
	"brothrun/stock/quantity"
	"brothrun/stock/remark"
	"brothrun/stock/settle"
	"brothrun/timeline"
)

// form is what a page is for.
type form struct {
	short bool // only what has to be known before beginning, for one screen
	paper bool // to print: all of it, and no flag is named
	why   bool // with what keeps each step where it stands
	// shared leaves out what several runs have in common: the steps and what is noted.
	shared bool
	words  words.Form
}

// page is the content of a plan, the same whichever form shows it.
type page struct {
	title    string
	asked    string // when it was asked for; may be empty
	units    quantity.System
	sections []section
}

// section is a part of a page: what of it is there is shown in this order.
type section struct {
	title  string // empty for one that goes on without
	alarm  alarm
	rows   []row
	table  table
	layers []stock.LayerDrawing
	notes  []string
	steps  []stepRow
	text   string
	boxes  bool // its rows are ticked off
}

// alarm is how loud a section is.
type alarm int

const (
	calm alarm = iota
	warning
	danger
)

// row is a label, a value and a remark. Without a label it goes on with the row
// before.
type row struct{ label, value, remark string }

// table is rows of cells, the heading first. One column gives way where it is too
// wide; a row may have something to mind.
type table struct {
	rows  [][]string
	gives int
	minds []string // by row; nil where no row has any
}

// stepRow is a step with its place on the clock.
type stepRow struct {
	day      string // empty on the day of the step before
	from, to string
	title    string
	kind     timeline.Kind
	why      string
	detail   []string
}

// pageOf makes the content of plan, ordered for a cook: the answer, what is refused
// or may go wrong, how it comes about, what would change it where that was asked for,
// the steps, until when it keeps, what was assumed and the cautions. Units come in the
// order of plan.Batch.Units.
func pageOf(plan timeline.Plan, f form) page {
	b := plan.Batch
	f.words = words.Form{Units: b.Units, Flags: !f.paper}
	sections := []section{
		{rows: slices.Concat(neededRows(plan), thawRows(plan, f), potRows(b), answer(b, f))},
		{title: "Came, beside what was planned", rows: came(plan, f)},
		{text: words.Rests(b.Yield.Rests)},
		{text: f.whole(widest(b, f))},
		{title: "Refused", alarm: danger, notes: f.notes(b.Refusals)},
		{title: "Watch out", alarm: warning, notes: f.notes(plan.Warnings, b.Warnings)},
	}
	if f.shared {
		sections[0].rows, sections[4], sections[5] = append(thawRows(plan, f), answer(b, f)...), section{}, section{}
		if f.short {
			sections[0].rows = append(sections[0].rows, useByShort(plan)...)
		}
	}
	if f.paper && len(b.Loads) > 0 {
		sections = append(sections, section{title: "Canner loads", table: loadTable(b)})
	}
	if !f.short {
		sections = append(sections, rivals(b, f))
	}
	if len(b.Drawings) > 0 && !f.paper {
		sections = append(sections, section{title: "How the jars stand, from above", layers: b.Drawings})
	}
	if !f.short {
		sections = append(sections, section{title: "How the water goes", rows: balance(b)},
			section{title: "Freeze-drying", rows: drying(b)})
	}
	sections = append(sections, levers(b))
	if !f.shared {
		sections = append(sections, choices(plan, f), stepSection(plan, f))
	}
	switch {
	case f.shared && f.short:
	case f.shared:
		sections = append(sections, section{title: "Before", rows: checkRows(plan, f, true)},
			section{title: "When to look", rows: checkRows(plan, f, false)},
			section{title: "Use by", rows: useBy(plan)})
	case f.short:
		sections = append(sections, section{rows: slices.Concat(useByShort(plan), inOneLine(b, f))})
	default:
		sections = append(sections, section{title: "Before", rows: checkRows(plan, f, true)},
			section{title: "When to look", rows: checkRows(plan, f, false)},
			section{title: "Use by", rows: useBy(plan)},
			section{title: "Assumed; give the real figure and the plan gets better", notes: f.notes(b.Assumed)})
		sections = append(sections, section{title: alwaysTitle, notes: f.notes(b.Cautions)})
	}
	return page{heading(b), words.Asked(plan), b.Units, slices.DeleteFunc(sections, section.empty)}
}

func (s section) empty() bool {
	return s.rows == nil && s.table.rows == nil && s.layers == nil && s.notes == nil && s.steps == nil && s.text == ""
}

// whole is text that the short form leaves out.
func (f form) whole(text string) string {
	if f.short {
		return ""
	}
	return text
}

func (f form) notes(lists ...[]remark.Note) []string {
	var texts []string
	for _, notes := range lists {
		for _, note := range notes {
			texts = append(texts, words.Note(note, f.words))
		}
	}
	return texts
}

// heading is the run in one line, with nothing in it that a terminal would obey.
func heading(b stock.Batch) string {
	b.Name = Printable(b.Name)
	return words.Heading(b)
}

// neededRows is when somebody has to be there, by day.
func neededRows(plan timeline.Plan) []row { return dayRows(plan.Needed(), clockOf(plan)) }

// dayRows are the days on which somebody is needed, on the clock of place.
func dayRows(days []timeline.Day, place *time.Location) []row {
	label := "You are needed"
	var rows []row
	for _, day := range days {
		var spans []string
		all := time.Duration(0)
		for _, span := range day.Spans {
			from, to := timeline.ClockSpan(span.From.In(place), span.To.In(place), "15:04", "15:04")
			spans = append(spans, from+"-"+to)
			all += span.To.Sub(span.From)
		}
		remark := strings.Join(spans, ", ")
		switch {
		case day.HandsOn == 0:
			remark += "; only to look in"
		case day.HandsOn < all:
			remark += "; hands-on for " + quantity.FormatDuration(day.HandsOn)
		}
		rows = append(rows, row{label, day.Spans[0].From.In(place).Format("Mon 2 Jan"), remark})
		label = ""
	}
	return rows
}

// clockOf is the place on whose clock plan is.
func clockOf(plan timeline.Plan) *time.Location {
	if plan.Location == nil {
		return time.UTC
	}
	return plan.Location
}

// assumedWords are the things that may be assumed, those that matter most first.
var assumedWords = []struct{ code, words string }{
	{"gauge", "the canner's gauge"},
	{"jars-full", "which jars stand full"},
	{"zone", "the time zone"},
	{"canner", "the canner's measures"},
	{"awake", "when you are up"},
	{"tap", "how cold the tap runs"},
	{"fridge", "the fridge's temperature"},
	{"freezer", "the freezer's temperature"},
	{"pot-width", "the pot's width"},
	{"strain-into-width", "the width of the pot it is strained into"},
	{"lid", "the lid"},
	{"lid-measured", "the boil-off you measured"},
	{"simmer", "how long it simmers"},
	{"vegetables", "what the vegetables weigh"},
	{"route", "where the rest goes"},
	{"freeze-dryer", "the freeze dryer's trays"},
	{"mouth", "the jars' mouths"},
	{"jars-on-hand", "the jars on hand"},
	{"kinds", "which jars"},
}

// mostAssumed is how many of them one line names.
const mostAssumed = 3

// inOneLine is what was assumed and the cautions, as far as a line goes.
func inOneLine(b stock.Batch, f form) []row {
	var rows []row
	if n := len(b.Assumed); n > 0 {
		var names []string
		for _, one := range assumedWords {
			assumed := slices.ContainsFunc(b.Assumed, func(note remark.Note) bool { return note.Code == one.code })
			if assumed && len(names) < mostAssumed {
				names = append(names, one.words)
			}
		}
		remark := strings.Join(names, ", ")
		if n > len(names) {
			remark += ", ..."
		}
		rows = append(rows, row{"Assumed", fmt.Sprintf("%s: %s; all with --full", plural(n, "thing"), remark), ""})
	}
	return append(rows, row{"Always", "use a tested process and your canner's manual; cautions: --full", ""})
}

// alwaysTitle is over what is to be minded whatever the plan: no form of it is without.
const alwaysTitle = "Always"

// widest says which uncertain input makes the band wide, and what to do about it.
func widest(b stock.Batch, f form) string {
	if len(b.Yield.Causes) == 0 {
		return ""
	}
	cause := b.Yield.Causes[0]
	share := "The largest part of"
	if cause.Share > 0.5 {
		share = "Most of"
	}
	what, measure := words.Cause(cause, f.words)
	text := fmt.Sprintf("%s this spread is %s (%.0f %%)", share, what, 100*cause.Share)
	if measure != "" {
		text += ": " + measure
	}
	return text + "."
}

// answer is what the cook came for.
func answer(b stock.Batch, f form) []row {
	u := b.Units
	rows := []row{{"Strained", b.Yield.Strained.Likely.Both(u), between(b.Yield.Strained, u)}}
	if b.Spoilt() {
		return append(rows, row{"Broth", "THROW IT AWAY", "see Refused"})
	}
	if b.EndsAtStraining() {
		return append(rows, row{"Chill", "refused", "DO NOT START YET: nothing after the straining is planned, see Refused"})
	}
	rows = append(rows, row{"Ready to fill", b.Yield.ReadyToFill.Likely.Both(u), between(b.Yield.ReadyToFill, u)})
	if !b.Refused() {
		for i, j := range b.Jars {
			label := ""
			if i == 0 {
				label = "Jars"
			}
			remark := fmt.Sprintf("%s; wash %d", spread(j.Low, j.High), j.Wash)
			rows = append(rows, row{label, stock.CountJars(j.Count, j.Jar), remark})
		}
		rows = append(rows, loadRows(b, f)...)
	}
	ice := row{"Ice", b.Chill.IceToHave.Both(u), ""}
	if f.short && b.Chill.Ice > 0 {
		ice.remark = ifAllGoesWell(b) + b.Chill.Words()
	} else {
		rows = append(rows, row{"Chill", chillValue(b.Chill), chillText(b)})
	}
	if b.Chill.Ice > 0 {
		rows = append(rows, ice)
	}
	rows = append(rows, leftoverRow(b, f))
	if b.Picked() {
		ends := quantity.Ends(b.Meat.Low.Format(u), "to", b.Meat.High.Format(u))
		rows = append(rows, row{"Meat", b.Meat.Likely.Both(u), ends + " picked; 3 days in the fridge, or freeze it"})
	}
	return rows
}

// potRows is what goes into each pot of several, and what comes of it.
func potRows(b stock.Batch) []row {
	var rows []row
	label := "Pots"
	for _, pot := range b.Pots {
		into := ""
		if pot.Into != "" {
			into = ", into " + settle.PotWords(pot.Into)
		}
		rows = append(rows, row{label, Printable(pot.Pot), Printable(fmt.Sprintf("%s, %s of water; strained %s%s",
			pot.Weight.Format(b.Units), pot.Yield.Water.Format(b.Units), pot.Yield.Strained.Likely.Format(b.Units), into))})
		label = ""
	}
	return rows
}

// between is the band of a volume in the first system of units.
func between(v quantity.Band[quantity.Volume], u quantity.System) string {
	return "8 times in 10 between " + quantity.Ends(v.Low.Format(u), "and", v.High.Format(u))
}

func spread(low, high int) string {
	if low == high {
		return fmt.Sprintf("%d either way", low)
	}
	return fmt.Sprintf("%d to %d", low, high)
}

func loadRows(b stock.Batch, f form) []row {
	if len(b.Loads) == 0 {
		why := "not a jar's worth of broth"
		switch {
		case warned(b, "no-jars"):
			why = "no jars on hand"
		case warned(b, "less-than-a-load"):
			why = "under 2 quarts or 4 pints"
		}
		return []row{{"Canner loads", "none", why}}
	}
	var sizes []string
	for _, load := range b.Loads {
		sizes = append(sizes, load.Contents())
	}
	loads := loadCount(b)
	remark := strings.Join(sizes, " + ")
	if chances := chanceWords(b.LoadChance); chances != "" {
		remark += "; " + chances
	}
	rows := []row{{"Canner loads", loads, remark}}
	label := "Pressure"
	several := slices.ContainsFunc(b.Loads, func(l stock.Load) bool { return !sameSetting(l, b.Loads[0]) })
	for i, load := range b.Loads {
		if i > 0 && sameSetting(load, b.Loads[i-1]) {
			continue
		}
		whose := ""
		if several {
			// The number somebody copies has to say which jars it is for.
			whose = sizesOf(load) + ": "
		}
		value, gauge := load.Pressure.Stamped(b.Units), string(load.Gauge)+" gauge"
		if b.OtherGauge != nil {
			gauge = "on a " + string(load.Gauge) + " gauge"
		}
		remark := fmt.Sprintf("%s%s, %s at pressure", whose, gauge, quantity.FormatDuration(load.Process))
		if !f.short {
			remark += fmt.Sprintf(", %s a load in all", quantity.FormatSpan(load.Cycle.Total()))
		}
		if i == 0 {
			remark += fmt.Sprintf("; %s headspace, vent 10 min", quantity.Inch.Format(b.Units))
		}
		rows = append(rows, row{label, value, remark})
		label = ""
	}
	if other := b.OtherGauge; other != nil && other.Pressure > 0 {
		remark := "on a " + string(other.Gauge) + " gauge, for the same time: look at the lid"
		if !f.paper {
			remark += " (--gauge)"
		}
		rows = append(rows, row{"", other.Pressure.Stamped(b.Units), remark})
	} else if other != nil {
		rows = append(rows, row{"", "none", "on a " + string(other.Gauge) + " gauge: no tested setting at this altitude; " +
			"with that gauge do not can"})
	}
	return rows
}

// loadCount is how many loads there are and may be: "2 (2 to 3)".
func loadCount(b stock.Batch) string {
	if b.FewestLoads == b.MostLoads {
		return fmt.Sprint(len(b.Loads))
	}
	return fmt.Sprintf("%d (%d to %d)", len(b.Loads), b.FewestLoads, b.MostLoads)
}

// sizesOf names the sizes of jar in a load: "quarts", "quarts and pints".
func sizesOf(load stock.Load) string {
	var sizes []string
	for _, layer := range load.Layers {
		for _, j := range layer.Jars {
			_, name, _ := strings.Cut(stock.CountJars(2, j.Jar), " ")
			if !slices.Contains(sizes, name) {
				sizes = append(sizes, name)
			}
		}
	}
	return strings.Join(sizes, " and ")
}

// chanceWords is the chance of each number of loads, "2 loads 9 %, 3 loads 91 %",
// and nothing when one of them is as good as sure.
func chanceWords(chance []float64) string {
	var words []string
	for n, share := range chance {
		if share >= 0.98 {
			return ""
		}
		if share >= 0.02 {
			words = append(words, fmt.Sprintf("%s %.0f %%", plural(n, "load"), 100*share))
		}
	}
	return strings.Join(words, ", ")
}

// warned reports whether the batch carries a warning of this code.
func warned(b stock.Batch, code string) bool {
	return slices.ContainsFunc(b.Warnings, func(n remark.Note) bool { return n.Code == code })
}

func sameSetting(a, b stock.Load) bool {
	return a.Pressure == b.Pressure && a.Process == b.Process
}

// chillValue is what a chill asks of the cook; the time to cold stands in the remark.
func chillValue(c stock.Chill) string {
	switch time := quantity.FormatDuration(c.HandsOn.Likely); {
	case c.Watched:
		return time + " watched"
	default:
		return time + " hands-on"
	}
}

func chillText(b stock.Batch) string {
	u := b.Units
	to41 := fmt.Sprintf("to %s %s", quantity.Fahrenheit(41).Format(u), reaches(b.Chill.To41F, b.Chill.SlowTo41F))
	var text string
	if b.Yield.IceMelted > 0 {
		text = b.Chill.Words() + "; " + untilMelted(b.Chill.To70F)
		if b.Chill.To41F != b.Chill.To70F {
			text += "; " + to41
		}
	} else {
		text = fmt.Sprintf("%s; from %s to %s %s, %s", b.Chill.Words(), quantity.Fahrenheit(135).Format(u),
			quantity.Fahrenheit(70).Format(u), reaches(b.Chill.To70F, b.Chill.SlowTo70F), to41)
	}
	return ifAllGoesWell(b) + text
}

// ifAllGoesWell comes before a chill that only just keeps its limits.
func ifAllGoesWell(b stock.Batch) string {
	if warned(b, remark.ChillNarrow) {
		return "SAFE ONLY IF ALL GOES WELL: "
	}
	return ""
}

// reaches is the likely and the slow time to a temperature.
func reaches(likely, slow chill.Reach) string {
	switch {
	case likely.Never:
		return "never"
	case slow.Never:
		return "in " + likely.String() + " or never"
	case likely == slow || slow == (chill.Reach{}):
		return "in " + likely.String()
	}
	return "in " + quantity.Ends(likely.String(), "to", slow.String())
}

func leftoverRow(b stock.Batch, f form) row {
	l, u := b.Leftover, b.Units
	label := "Leftover"
	if b.Refused() {
		label = "All of it"
	}
	remark := "to the " + string(l.Route)
	switch {
	case l.Splash:
		remark = "a splash: use it up"
	case l.Flat:
		remark = "freeze it flat, to dry with a later batch"
	}
	if l.Route == "freeze-dry" {
		remark = fmt.Sprintf("freeze-dry on %s, about %s of powder", words.Trays(l), l.Powder.Both(u))
		if f.short {
			remark = "freeze-dry on " + words.Trays(l)
		}
	}
	return row{label, l.Volume.Likely.Both(u), remark}
}

// came is what was measured, beside what was planned; nothing of a run without notes.
func came(plan timeline.Plan, f form) []row {
	if plan.Planned == nil {
		return nil
	}
	b, before, u := plan.Batch, *plan.Planned, plan.Batch.Units
	var rows []row
	for _, e := range plan.Record {
		noted := words.Measured(e, f.words)
		if !f.short {
			noted = words.What(e, f.words)
			if e.ID != "" {
				noted += " (id " + e.ID + ")"
			}
		}
		if noted != "" {
			rows = append(rows, row{"Noted", timeline.Clock(e.At, "Mon 15:04"), noted})
		}
	}
	beside := func(label, now, planned string) {
		if now != planned {
			rows = append(rows, row{label, now, "planned " + planned})
		}
	}
	beside("Strained", b.Yield.Strained.Likely.Both(u), before.Yield.Strained.Likely.Both(u))
	beside("Ready to fill", b.Yield.ReadyToFill.Likely.Both(u), before.Yield.ReadyToFill.Likely.Both(u))
	beside("Jars", words.Jars(b.JarCounts()), words.Jars(before.JarCounts()))
	beside("Canner loads", fmt.Sprint(len(b.Loads)), fmt.Sprint(len(before.Loads)))
	return rows
}

// balance is the yield by cause, without what prints as nothing.
func balance(b stock.Batch) []row {
	return slices.DeleteFunc(causesOf(b), func(r row) bool { return strings.HasPrefix(r.value, "0 ") })
}

func causesOf(b stock.Batch) []row {
	u, y := b.Units, b.Yield
	water := "as given"
	if y.WaterFits {
		water = "with room left for the boil"
	}
	rows := []row{
		{"Water in", y.Water.Both(u), water},
		{"+ given off", y.GivenOff.Both(u), "by the bones, fat included"},
		{"- evaporated", y.Evaporated.Both(u), "heating up and simmering " + quantity.FormatDuration(b.Simmer)},
	}
	if y.ToppedUp > 0 {
		rows = append(rows, row{"+ topped up", y.ToppedUp.Both(u), "hot water, a little each hour"})
	}
	rows = append(rows, row{"- held", y.HeldBySolids.Both(u), "by the drained bones and vegetables"})
	if b.EndsAtStraining() {
		return append(rows, row{"= strained", b.Yield.BeforeIce().Likely.Both(u), ""})
	}
	if y.IceMelted > 0 {
		rows = append(rows, row{"+ melted ice", y.IceMelted.Both(u), "stirred in to chill it"})
	}
	skimmed := "skimmed off cold"
	if b.NoFatCap {
		skimmed = "too little for a cap"
	}
	return append(rows,
		row{"= strained", y.Strained.Likely.Both(u), ""},
		row{"- fat", y.Fat.Both(u), skimmed},
		row{"- lost", y.Lost.Both(u), "on cloths and pots, and in reheating"},
		row{"= to fill", y.ReadyToFill.Likely.Both(u), ""})
}

// notOnTheClock is said of a plan without steps.
const notOnTheClock = `Not on the clock yet: say when to begin (--start "2026-11-28 08:00") ` +
	`or when to be done (--finish-by).`

// stepSection is the steps, or why there are none.
func stepSection(plan timeline.Plan, f form) section {
	switch {
	case plan.Unfit != nil:
		return section{title: "Steps", text: "They find no place on the clock: why, and what would help, stands at the end."}
	case len(plan.Steps) == 0 && f.paper:
		return section{}
	case len(plan.Steps) == 0:
		return section{title: "Steps", text: notOnTheClock}
	}
	return section{title: words.OnTheClock(plan, clockOf(plan), f.words), steps: stepRows(plan, f)}
}

// ofRun is a step of a plan, and whose it is among several.
type ofRun struct {
	plan  timeline.Plan
	step  timeline.Step
	whose string
}

func stepRows(plan timeline.Plan, f form) []stepRow {
	var all []ofRun
	for _, step := range plan.Steps {
		all = append(all, ofRun{plan, step, ""})
	}
	return rowsOf(all, f)
}

// rowsOf are steps, one or more, in the order of their start.
func rowsOf(all []ofRun, f form) []stepRow {
	if len(all) == 0 {
		return nil
	}
	date := "Mon 2 Jan"
	if first, last := all[0].step.Start, all[len(all)-1].step.End; f.short && last.Sub(first) < 6*24*time.Hour {
		date = "Mon" // the answer has the dates
	}
	var rows []stepRow
	day := ""
	for _, s := range all {
		plan, step := s.plan, s.step
		if step.Kind == timeline.Waiting && !step.End.After(step.Start) {
			continue // by the notes nothing was waited for
		}
		start, end := step.Start.In(clockOf(plan)), step.End.In(clockOf(plan))
		until := "15:04"
		if end.YearDay() != start.YearDay() || end.Year() != start.Year() {
			until = "Mon 15:04"
		}
		one := stepRow{day: start.Format(date), kind: step.Kind,
			title: s.whose + words.Title(plan, step, f.words) + words.Came(step), detail: words.Detail(plan, step, f.words)}
		one.from, one.to = timeline.ClockSpan(start, end, "15:04", until)
		if one.day == day {
			one.day = ""
		} else {
			day = one.day
		}
		// That a step follows the one before shows.
		if f.why && (step.Why.Kind != timeline.RightAfter || step.Why.Reason != timeline.NoReason || s.whose != "") {
			one.why = words.Why(step.Why, f.words)
		}
		rows = append(rows, one)
	}
	return rows
}

// checkRows are the checks of a plan, those before it begins or the others.
func checkRows(plan timeline.Plan, f form, before bool) (rows []row) {
	for _, c := range plan.Checks {
		if c.Before() != before {
			continue
		}
		title, _ := words.Check(plan, c, f.words)
		at := timeline.Clock(c.At, "Mon 15:04")
		if before {
			at = c.At.Format("Mon 2 Jan")
			if !c.AllDay {
				title = timeline.Clock(c.At, "15:04") + " " + title
			}
		}
		rows = append(rows, row{at, title, ""})
	}
	return rows
}

// whenBefore is the day of a check before a run, and its hour where it has one.
func whenBefore(c timeline.Check) string {
	if c.AllDay {
		return c.At.Format("Mon 2 Jan")
	}
	return timeline.Clock(c.At, "Mon 2 Jan 15:04")
}

// thawRows is when what thaws in the fridge has to go there: the one thing before a run that
// no later day makes good.
func thawRows(plan timeline.Plan, f form) []row {
	for _, c := range plan.Checks {
		if c.Asks == timeline.IntoFridge && len(plan.Record) == 0 {
			return []row{{"Thaw", "from " + timeline.Clock(c.At, "Mon 2 Jan 15:04"),
				words.AsOne(plan.Batch, f.words)}}
		}
	}
	return nil
}

// loadTable is the canner loads as they are loaded.
func loadTable(b stock.Batch) table {
	head := []string{"Load", "Jars, lowest rack first", "Pressure", "Gauge", "At pressure", "In all", "Water left"}
	all := table{rows: [][]string{head}, gives: 1}
	for _, load := range b.Loads {
		var layers []string
		for _, layer := range load.Layers {
			layers = append(layers, jarList(layer.Jars))
		}
		gauge := string(load.Gauge)
		if b.OtherGauge != nil {
			gauge = "not named"
		}
		all.rows = append(all.rows, []string{fmt.Sprint(load.Number), strings.Join(layers, "; "),
			b.Pressures(load, quantity.Pressure.Both), gauge, quantity.FormatDuration(load.Process),
			quantity.FormatDuration(load.Cycle.Total().Likely), load.WaterLeft.Likely.Both(b.Units)})
	}
	return all
}
