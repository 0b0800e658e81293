package export

import (
	"cmp"
	"encoding/csv"
	"fmt"
	"io"
	"math"
	"path/filepath"
	"strconv"
	"time"

	"brothrun/export/text"
	"brothrun/export/words"
	"brothrun/stock/quantity"
	"brothrun/timeline"
)

// Unread is a run file that could not be read.
type Unread struct {
	File   string
	Reason string
}

// historyTable is a run a line; kinds and pots with long names take more.
var historyTable = text.Table{Columns: []text.Column{{Width: 7}, {Width: 16, Breaks: true}, {Width: 9, Breaks: true},
	{Width: 6}, {Width: 5}, {Width: 5}, {Width: 5}, {Width: 5}, {Width: 6}, {Width: 5}, {Width: 5}, {}}}

// unsaid is what nobody noted.
const unsaid = "-"

// History writes what came of runs, which are in order, a line each under its year, with
// what they came to. The only errors are those of w.
func History(w io.Writer, runs []timeline.Outcome, u quantity.System, colour bool) error {
	s := newScreen(w, colour, u)
	years := timeline.Years(runs)
	head := func(title string) {
		s.line(s.bold(title))
		s.lines(historyTable.Row("", "kind", "pot", "water", "plan", "came", "jars", "lost", "loads", "up", "down", "powder"))
	}
	for i, o := range runs {
		if i == 0 || yearOf(o) != yearOf(runs[i-1]) {
			if i > 0 {
				s.line("")
			}
			head(yearName(yearOf(o)))
		}
		s.lines(historyTable.Row(historyCells(o, u)...))
		if i < len(runs)-1 && yearOf(o) == yearOf(runs[i+1]) {
			continue
		}
		for _, y := range years {
			if y.Year == yearOf(o) {
				s.lines(historyTable.Row(yearCells(y, u)...))
			}
		}
	}
	if len(runs) > 0 {
		s.line("")
		s.wrap("", fmt.Sprintf("Water, plan (strained, as planned) and came (strained, cold) in %s. Loads are those held at "+
			"pressure for the tested time; up is minutes from the lid on to pressure (* from steady steam), down from the "+
			"heat off to zero, by the mean of the loads. -: not noted; ?: not noted in full. A year is the runs with notes.",
			map[bool]string{true: "litres", false: "quarts"}[u == quantity.Metric]))
	}
	taught(&s, runs, u)
	return s.w.Flush()
}

// mostUntaught is how many runs that say too little are listed; the rest is counted.
const mostUntaught = 5

// taught writes what the notes teach of the pot of the last run that does.
func taught(s *screen, runs []timeline.Outcome, u quantity.System) {
	learned := timeline.Teaches(runs)
	last, untaught := lastTaught(learned), 0
	var silent []string
	form := words.Form{Units: u}
	called := func(o timeline.Outcome) string {
		name := historyCells(o, u)[0] + " " + o.What
		if o.File != "" {
			name += " (" + filepath.Base(o.File) + ")"
		}
		return Printable(name)
	}
	for i, o := range runs {
		if t := learned.Told[i]; len(t.Missing) > 0 && o.Notes > 0 {
			if untaught++; untaught <= mostUntaught {
				silent = append(silent, called(o)+" does not say "+words.Needs(t.Missing))
			}
		}
	}
	if last < 0 && untaught == 0 {
		return
	}
	s.line("")
	s.line(s.bold("What the notes teach"))
	if last >= 0 {
		habits, err := learned.Habits(runs[last].Run.Setup.Pot)
		if err == nil {
			for _, line := range words.Habits(habits, u) {
				s.wrap("  ", line)
			}
			s.wrap("  ", words.LearnedFrom(habits))
			if next := words.NextToMeasure(habits.Next); next != "" {
				s.wrap("  ", next)
			}
		}
		for _, line := range words.Differ(learned) {
			s.wrap("  ", line)
		}
		for i, o := range runs {
			if t := learned.Told[i]; t.InDoubt() {
				s.wrap("  ", called(o)+": "+words.InDoubt(t, habits.All == 1, form))
			}
			if t := learned.Told[i]; t.DrainedInDoubt() {
				s.wrap("  ", called(o)+": "+words.DrainedInDoubt(t, form))
			}
		}
	}
	if len(runs) > 0 {
		if pace := words.Pace(learned.Pace(runs[len(runs)-1].Run.Setup.Firing)); pace != "" {
			s.wrap("  ", pace)
		}
	}
	for _, line := range silent {
		s.wrap("  ", "Not learned from: "+line+".")
	}
	if more := untaught - len(silent); more > 0 {
		s.wrap("  ", fmt.Sprintf("Not learned from: %s more.", plural(more, "run")))
	}
}

// yearOf is the year of a run; 0 without a date.
func yearOf(o timeline.Outcome) int {
	if o.Date.IsZero() {
		return 0
	}
	return o.Date.Year()
}

func yearName(year int) string {
	if year == 0 {
		return "Without a date"
	}
	return strconv.Itoa(year)
}

func historyCells(o timeline.Outcome, u quantity.System) []string {
	date := unsaid
	if !o.Date.IsZero() {
		date = o.Date.Format("2 Jan")
	}
	jars, lost, loads, up, down := unsaid, unsaid, unsaid, unsaid, unsaid
	if n, looked := o.Sealed(); n > 0 {
		jars = strconv.Itoa(n)
		if lost = strconv.Itoa(o.Lost()); !looked {
			jars += "?"
		}
	}
	if n, known := o.Processed(); len(o.Loads) > 0 {
		switch {
		case !known:
			loads = fmt.Sprintf("%d?", len(o.Loads))
		case n < len(o.Loads):
			loads = fmt.Sprintf("%d/%d", n, len(o.Loads))
		default:
			loads = strconv.Itoa(n)
		}
	}
	if mean, fromSteam, ok := o.ToPressure(); ok {
		if up = wholeMinutes(mean); fromSteam {
			up += "*"
		}
	}
	if mean, ok := o.ToZero(); ok {
		down = wholeMinutes(mean)
	}
	return []string{date, Printable(o.What), Printable(cmp.Or(o.Pot, o.PotSize.Format(u))), bulk(o.Water, u),
		bulk(o.Planned, u), bulk(o.Strained, u), jars, lost, loads, up, down, grams(o.Powder, u)}
}

func yearCells(y timeline.Year, u quantity.System) []string {
	came := bulk(y.Strained, u)
	if y.Measured > 0 && y.Measured < y.Runs {
		came += "?"
	}
	return []string{"all", plural(y.Runs, "run"), "", bulk(y.Water, u), bulk(y.Planned, u), came,
		strconv.Itoa(y.Sealed), strconv.Itoa(y.Lost), strconv.Itoa(y.Loads), "", "", grams(y.Powder, u)}
}

// bulk is a volume in quarts or litres without its unit.
func bulk(v quantity.Volume, u quantity.System) string {
	n := v.Quarts()
	if u == quantity.Metric {
		n = v.Litres()
	}
	if v == 0 {
		return unsaid
	}
	if n >= 100 {
		return fmt.Sprintf("%.0f", n)
	}
	return decimal(n)
}

func wholeMinutes(d time.Duration) string { return fmt.Sprintf("%.0f", math.Round(d.Minutes())) }

func grams(m quantity.Mass, u quantity.System) string {
	if m == 0 {
		return unsaid
	}
	return m.Format(u)
}

type (
	historyData struct {
		Schema int           `json:"schema"`
		Runs   []outcomeData `json:"runs"`
		Years  []yearData    `json:"years"`
		// Teaches is null where nothing is learned of a pot.
		Teaches *teachesData `json:"teaches"`
		Pace    paceData     `json:"canner_pace"`
		Unread  []unreadData `json:"unread"`
	}
	outcomeData struct {
		File     string           `json:"file"`
		Name     string           `json:"name"`
		Kind     string           `json:"kind"`
		Pot      string           `json:"pot"`
		PotSize  float64          `json:"pot_l"`
		Date     string           `json:"date,omitempty"` // absent: nothing tells
		Notes    int              `json:"notes"`
		Water    float64          `json:"water_l"`
		Planned  float64          `json:"strained_planned_l"`
		Strained *float64         `json:"strained_l"` // null, here and below: nobody noted it
		Ready    *float64         `json:"ready_to_fill_l"`
		Jars     []tallyData      `json:"jars"`
		Loads    []cannedLoadData `json:"loads"`
		Powder   *float64         `json:"powder_g"`
		Frozen   *float64         `json:"frozen_l"`
		Missing  []string         `json:"missing"`           // the words of the notes that would say more
		Learned  *toldData        `json:"learned,omitempty"` // absent: it has no notes
	}
	tallyData struct {
		Jar      string `json:"jar"`
		Filled   int    `json:"filled"`
		Sealed   int    `json:"sealed"`
		Unsealed int    `json:"unsealed"`
		Broken   int    `json:"broken"`
		Chipped  int    `json:"broken_empty"`
		Used     int    `json:"used"`
	}
	cannedLoadData struct {
		Number          int            `json:"number"`
		Jars            []jarCountData `json:"jars"`
		Processed       *bool          `json:"processed"`
		Why             string         `json:"why_not,omitempty"`
		LidToPressure   *float64       `json:"lid_to_pressure_min"`
		SteamToPressure *float64       `json:"steam_to_pressure_min"`
		ToZero          *float64       `json:"heat_off_to_zero_min"`
	}
	yearData struct {
		Year     int     `json:"year"` // 0: without a date
		Runs     int     `json:"runs"`
		Water    float64 `json:"water_l"`
		Planned  float64 `json:"strained_planned_l"`
		Strained float64 `json:"strained_l"`
		Frozen   float64 `json:"frozen_l"`
		Sealed   int     `json:"sealed"`
		Lost     int     `json:"lost"`
		Loads    int     `json:"loads"`
		Powder   float64 `json:"powder_g"`
	}
	unreadData struct {
		File   string `json:"file"`
		Reason string `json:"reason"`
	}
)

// HistoryJSON writes what came of runs for scripts, litres and minutes as JSON does,
// powder to a tenth of a gram; what nobody noted is null. Errors are those of JSON.
func HistoryJSON(w io.Writer, runs []timeline.Outcome, unread []Unread) error {
	learned := timeline.Teaches(runs)
	data := historyData{Schema, []outcomeData{}, []yearData{}, teachesDataOf(runs, learned), paceDataOf(runs, learned),
		unreadList(unread)}
	for i, o := range runs {
		one := outcomeDataOf(o)
		one.Learned = toldDataOf(o, learned.Told[i])
		data.Runs = append(data.Runs, one)
	}
	for _, y := range timeline.Years(runs) {
		data.Years = append(data.Years, yearData{y.Year, y.Runs, litres(y.Water), litres(y.Planned), litres(y.Strained),
			litres(y.Frozen), y.Sealed, y.Lost, y.Loads, roundTo(y.Powder.Grams(), 1)})
	}
	return encode(w, data)
}

func unreadList(unread []Unread) []unreadData {
	data := []unreadData{}
	for _, one := range unread {
		data = append(data, unreadData(one))
	}
	return data
}

// given is a figure, or null where it is nothing.
func given(figure float64) *float64 {
	if figure == 0 {
		return nil
	}
	return &figure
}

func outcomeDataOf(o timeline.Outcome) outcomeData {
	data := outcomeData{File: o.File, Name: o.Name, Kind: string(o.Kind), Pot: o.Pot, PotSize: litres(o.PotSize),
		Date: dateOf(o.Date), Notes: o.Notes, Water: litres(o.Water), Planned: litres(o.Planned),
		Strained: given(litres(o.Strained)), Ready: given(litres(o.Ready)), Jars: []tallyData{}, Loads: []cannedLoadData{},
		Powder: given(roundTo(o.Powder.Grams(), 1)), Frozen: given(litres(o.Frozen)), Missing: []string{}}
	for _, j := range o.Jars {
		data.Jars = append(data.Jars, tallyData(j))
	}
	for _, l := range o.Loads {
		one := cannedLoadData{Number: l.Number, Jars: jarCountsData(l.Jars),
			LidToPressure: given(tenthMinutes(l.LidToPressure)), SteamToPressure: given(tenthMinutes(l.SteamToPressure)),
			ToZero: given(tenthMinutes(l.ToZero))}
		if l.Processed || l.NotProcessed.Code != "" {
			one.Processed = &l.Processed
		}
		if l.NotProcessed.Code != "" {
			one.Why = words.Note(l.NotProcessed, words.Form{Units: o.Units})
		}
		data.Loads = append(data.Loads, one)
	}
	for _, what := range o.Missing {
		data.Missing = append(data.Missing, string(what))
	}
	return data
}

func dateOf(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.Format(time.DateOnly)
}

// HistoryCSV writes what came of runs as a table [RFC 4180], a row a run, as CSV writes
// its cells; what nobody noted is an empty one, jars are counted over all sizes, and the
// lists are joined by a blank. The only errors are those of w.
func HistoryCSV(w io.Writer, runs []timeline.Outcome) error {
	table := csv.NewWriter(w)
	table.UseCRLF = true
	rows := [][]string{{"file", "name", "kind", "pot", "date", "notes", "water_l", "strained_planned_l", "strained_l",
		"ready_to_fill_l", "jars_filled", "jars_sealed", "jars_lost", "jars_used", "loads", "loads_processed",
		"lid_to_pressure_min", "steam_to_pressure_min", "heat_off_to_zero_min", "powder_g", "frozen_l", "missing"}}
	for _, o := range runs {
		rows = append(rows, historyRow(o))
	}
	return table.WriteAll(rows)
}

func historyRow(o timeline.Outcome) []string {
	figure := func(x float64) string {
		if x == 0 {
			return ""
		}
		return strconv.FormatFloat(x, 'f', -1, 64)
	}
	counted := func(n int, known bool) string {
		if !known {
			return ""
		}
		return strconv.Itoa(n)
	}
	var all timeline.JarTally
	for _, j := range o.Jars {
		all.Filled, all.Sealed, all.Used = all.Filled+j.Filled, all.Sealed+j.Sealed, all.Used+j.Used
	}
	processed, known := o.Processed()
	up, fromSteam, _ := o.ToPressure()
	lid, steam := up, time.Duration(0)
	if fromSteam {
		lid, steam = 0, up
	}
	down, _ := o.ToZero()
	noted := o.Notes > 0
	return []string{
		cell(o.File), cell(o.Name), cell(string(o.Kind)), cell(cmp.Or(o.Pot, o.PotSize.Format(o.Units))), dateOf(o.Date),
		strconv.Itoa(o.Notes), figure(litres(o.Water)), figure(litres(o.Planned)), figure(litres(o.Strained)),
		figure(litres(o.Ready)), counted(all.Filled, all.Filled > 0), counted(all.Sealed, all.Sealed > 0),
		counted(o.Lost(), noted), counted(all.Used, noted), counted(len(o.Loads), noted),
		counted(processed, noted && known), figure(tenthMinutes(lid)), figure(tenthMinutes(steam)),
		figure(tenthMinutes(down)), figure(roundTo(o.Powder.Grams(), 1)), figure(litres(o.Frozen)),
		words.Missing(o.Missing, " "),
	}
}
