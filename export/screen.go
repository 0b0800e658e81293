package export

import (
	"bufio"
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode"

	"brothrun/export/text"
	"brothrun/export/words"
	"brothrun/stock"
	"brothrun/stock/chill"
	"brothrun/stock/quantity"
	"brothrun/timeline"
)

// Look is how a plan is shown on a screen.
type Look struct {
	Colour bool // quiet terminal colour
	Why    bool // with what keeps each step where it stands
	Brief  bool // without the cautions, which another plan on the same screen ends with
}

// Screen writes plan for a cook at a counter: the answer first, then the other
// ways to fill the jars, what is refused or may go wrong, how the water goes, how
// the leftover is freeze-dried, what would change it where that was asked for, the
// steps, until when it keeps, what was assumed, and the cautions. Units come
// in the order of plan.Batch.Units. The only errors are those of w.
func Screen(w io.Writer, plan timeline.Plan, look Look) error {
	b := plan.Batch
	s := screen{w: bufio.NewWriter(w), colour: look.Colour, why: look.Why, form: words.Form{Units: b.Units, Flags: true}}

	s.wrap("", s.bold(heading(b)))
	s.line("")
	for _, row := range answer(b) {
		s.row(row)
	}
	if why := widest(b); why != "" {
		s.line("")
		s.wrap("  ", why)
	}
	s.rivals(b)
	s.layers(b)
	s.notes("Refused", red, b.Refusals)
	s.notes("Watch out", yellow, append(append([]stock.Note{}, plan.Warnings...), b.Warnings...))
	s.heading("How the water goes")
	for _, row := range balance(b) {
		s.row(row)
	}
	s.rows("Freeze-drying", drying(b))
	s.levers(b)
	switch {
	case plan.Unfit != nil:
		s.heading("Steps")
		s.wrap("  ", "They find no place on the clock: why, and what would help, stands at the end.")
	case len(plan.Steps) > 0:
		s.heading("Steps, on the clock of " + plan.Location.String())
		s.steps(plan)
	default:
		s.heading("Steps")
		s.wrap("  ", `Not on the clock yet: say when to begin (--start "2026-11-28 08:00") or when to be done (--finish-by).`)
	}
	s.rows("Use by", useBy(plan))
	s.notes("Assumed; give the real figure and the plan gets better", none, b.Assumed)
	if !look.Brief {
		s.heading("Always")
		for _, caution := range b.Cautions {
			s.bullet(none, caution)
		}
	}
	return s.w.Flush()
}

// heading is the run in one line, with nothing in it that a terminal would obey.
func heading(b stock.Batch) string {
	b.Name = Printable(b.Name)
	return words.Heading(b)
}

// widest says which uncertain input makes the band wide, and what to do about it.
func widest(b stock.Batch) string {
	if len(b.Yield.Causes) == 0 {
		return ""
	}
	cause := b.Yield.Causes[0]
	share := "The largest part of"
	if cause.Share > 0.5 {
		share = "Most of"
	}
	text := fmt.Sprintf("%s this spread is %s (%.0f %%)", share, cause.Words, 100*cause.Share)
	if cause.Measure != "" {
		text += ": " + cause.Measure
	}
	return text + "."
}

// row is a label, a value and a remark.
type row struct{ label, value, remark string }

// answer is what the cook came for.
func answer(b stock.Batch) []row {
	u := b.Units
	rows := []row{{"Strained", b.Yield.Strained.Likely.Both(u), between(b.Yield.Strained, u)}}
	if b.EndsAtStraining() {
		return append(rows, row{"Chill", "refused", "and with it all that follows the straining: see Refused"})
	}
	rows = append(rows, row{"Ready to fill", b.Yield.ReadyToFill.Likely.Both(u), between(b.Yield.ReadyToFill, u)})
	if !b.Refused() {
		for i, j := range b.Jars {
			label := ""
			if i == 0 {
				label = "Jars"
			}
			rows = append(rows, row{label, stock.CountJars(j.Count, j.Jar), fmt.Sprintf("%s; wash %d", spread(j.Low, j.High), j.Wash)})
		}
		rows = append(rows, loadRows(b)...)
	}
	rows = append(rows, row{"Chill", chillValue(b.Chill), chillText(b)})
	return append(rows, leftoverRow(b))
}

// between is the band of a volume in the first system of units.
func between(v quantity.Band[quantity.Volume], u quantity.System) string {
	return fmt.Sprintf("8 times in 10 between %s and %s", v.Low.Format(u), v.High.Format(u))
}

func spread(low, high int) string {
	if low == high {
		return fmt.Sprintf("%d either way", low)
	}
	return fmt.Sprintf("%d to %d", low, high)
}

func loadRows(b stock.Batch) []row {
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
	loads := fmt.Sprint(len(b.Loads))
	if b.FewestLoads != b.MostLoads {
		loads += fmt.Sprintf(" (%d to %d)", b.FewestLoads, b.MostLoads)
	}
	remark := strings.Join(sizes, " + ")
	if chances := chanceWords(b.LoadChance); chances != "" {
		remark += "; " + chances
	}
	rows := []row{{"Canner loads", loads, remark}}
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
		value, gauge := load.Pressure.Format(b.Units), load.Gauge+" gauge"
		if b.OtherGauge != nil {
			value, gauge = value+" "+load.Gauge, "if that is its gauge"
		}
		rows = append(rows, row{"", value,
			fmt.Sprintf("%s%s, %s at pressure, %s a load in all", whose, gauge,
				quantity.FormatDuration(load.Process), quantity.FormatSpan(load.Cycle.Total()))})
	}
	if other := b.OtherGauge; other != nil && other.Pressure > 0 {
		rows = append(rows, row{"", other.Pressure.Format(b.Units) + " " + other.Gauge, "if that is its gauge, for the same time: look at the lid (--gauge)"})
	} else if other != nil {
		rows = append(rows, row{"", "none for a " + other.Gauge, "no tested setting at this altitude: with that gauge do not can"})
	}
	return rows
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
	return slices.ContainsFunc(b.Warnings, func(n stock.Note) bool { return n.Code == code })
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
	if b.Chill.Ice > 0 {
		text += fmt.Sprintf("; %s of ice", b.Chill.Ice.Both(u))
	}
	if warned(b, stock.ChillNarrow) {
		text = "SAFE ONLY IF ALL GOES WELL: " + text
	}
	return text
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
	return "in " + likely.String() + " to " + slow.String()
}

func leftoverRow(b stock.Batch) row {
	l, u := b.Leftover, b.Units
	label := "Leftover"
	if b.Refused() {
		label = "All of it"
	}
	remark := "to the " + l.Route
	if l.Splash {
		remark = "a splash: use it up"
	}
	if l.Route == "freeze-dry" {
		remark = fmt.Sprintf("freeze-dry: %s, about %s of powder", l.TrayWords(), l.Powder.Both(u))
	}
	return row{label, l.Volume.Likely.Both(u), remark}
}

// balance is the yield by cause.
func balance(b stock.Batch) []row {
	u, y := b.Units, b.Yield
	water := "as given"
	if y.WaterFits {
		water = "to the fill line"
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
	return append(rows,
		row{"= strained", y.Strained.Likely.Both(u), ""},
		row{"- fat", y.Fat.Both(u), "skimmed off cold"},
		row{"- lost", y.Lost.Both(u), "on cloths and pots, and in reheating"},
		row{"= to fill", y.ReadyToFill.Likely.Both(u), ""})
}

// screen writes wrapped, perhaps coloured lines.
type screen struct {
	w      *bufio.Writer
	colour bool
	why    bool
	form   words.Form // in which its notes are worded
}

// The colours of a terminal, as SGR parameters of ECMA-48.
const (
	none   = ""
	red    = "31"
	yellow = "33"
)

func (s screen) paint(sgr, text string) string {
	if !s.colour || sgr == none {
		return text
	}
	return "\x1b[" + sgr + "m" + text + "\x1b[0m"
}

func (s screen) bold(text string) string { return s.paint("1", text) }

func (s screen) line(text string) { fmt.Fprintln(s.w, text) }

// Printable writes text that came from outside for a terminal: control and
// invisible formatting characters, which could move the cursor or turn the line
// round, are shown as escapes.
func Printable(text string) string {
	var b strings.Builder
	for _, r := range text {
		if unicode.IsControl(r) || unicode.Is(unicode.Cf, r) {
			fmt.Fprintf(&b, "\\u%04x", r)
			continue
		}
		b.WriteRune(r)
	}
	return b.String()
}

func (s screen) heading(text string) {
	s.line("")
	s.line(s.bold(text))
}

// rowTable is how a row of a plan stands: label, value and remark.
var rowTable = text.Table{Indent: 2, Columns: []text.Column{{Width: 15}, {Width: 21}}}

// rows writes a section of rows, or nothing when there are none.
func (s screen) rows(title string, rows []row) {
	if len(rows) == 0 {
		return
	}
	s.heading(title)
	for _, r := range rows {
		s.row(r)
	}
}

func (s screen) row(r row) { s.lines(rowTable.Row(r.label, r.value, r.remark)) }

func (s screen) notes(title, sgr string, notes []stock.Note) {
	if len(notes) == 0 {
		return
	}
	s.heading(title)
	for _, n := range notes {
		s.bullet(sgr, Printable(words.Note(n, s.form)))
	}
}

func (s screen) bullet(sgr, words string) {
	s.hang("  "+s.paint(sgr, "*")+" ", words)
}

func (s screen) steps(plan timeline.Plan) {
	steps := plan.Steps
	width := 17
	clocks := make([]string, len(steps))
	for i, step := range steps {
		until := "15:04"
		if step.End.YearDay() != step.Start.YearDay() || step.End.Year() != step.Start.Year() {
			until = "Mon 15:04"
		}
		from, to := timeline.ClockSpan(step.Start, step.End, "15:04", until)
		clocks[i] = from + "-" + to
		width = max(width, len(clocks[i])+2)
	}
	table := text.Table{Indent: 2, Columns: []text.Column{{Width: 11}, {Width: width}}}
	day := ""
	for i, step := range steps {
		label := step.Start.Format("Mon 2 Jan")
		if label == day {
			label = ""
		} else {
			day = label
		}
		s.lines(table.Row(label, clocks[i], Printable(words.Title(plan, step, s.form))))
		if s.why && step.Why != "" && !(strings.HasPrefix(step.Why, "right after ") && !strings.Contains(step.Why, ":")) {
			s.hang(strings.Repeat(" ", 2+11+width)+"- ", Printable(step.Why))
		}
	}
}

// wrap writes words at an indent, broken at blanks to the width of the screen.
func (s screen) wrap(indent, words string) { s.hang(indent, words) }

// hang writes head and then words beside it, its further lines under its first.
func (s screen) hang(head, words string) { s.lines(text.Hang(head, words)) }

func (s screen) lines(lines []string) {
	for _, line := range lines {
		s.line(line)
	}
}
