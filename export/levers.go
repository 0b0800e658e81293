package export

import (
	"bytes"
	"fmt"
	"math"
	"strings"
	"time"
	"unicode/utf8"

	"brothrun/stock"
	"brothrun/stock/quantity"
)

const leversTitle = "What would change it"

// noLevers is said when they were asked for and nothing tried does anything.
const noLevers = "None of the changes tried does anything to speak of."

// carefulWords are the warnings of a lever in few words; one that is not here
// shows its code with blanks for hyphens.
var carefulWords = map[string]string{
	"long-simmer":       "simmer longer than the tested directions describe",
	"near-overflow":     "mind the boil-over",
	"small-load":        "leaves a load of very few jars",
	"less-than-a-load":  "less than one sensible load",
	"small-last-load":   "the last load may come to very few jars",
	"second-rack":       "", // advice, not a care: the changed plan gives it
	"bones-not-covered": "bones stand out of the water",
	"boils-dry":         "the pot may boil dry",
	"level-falls":       "bones may stand out of the water",
	"slow-heat-up":      "long in the warm on its way to a simmer",
	"many-vegetables":   "vegetables over a third of the bones",
	"reduced-hard":      "more than half boils away",
	"burner-limit":      "the burner limits what boils off",
	"chill-narrow":      "the chill only just keeps its limits",
	"fridge-warms":      "the chill warms the fridge's other food",
	"too-little-to-can": "not a jar's worth of broth",
	"no-jars":           "no such jars on hand",
	"holds-geometry":    "your count of jars in a layer contradicts the measures",
}

// careful is what a change brings that the cook has to know: warnings, and a
// jar's worth or more of broth that it leaves unfilled.
func careful(b stock.Batch, lever stock.Lever) string {
	var words []string
	if !b.Refused() && lever.LeftoverChange >= quantity.Quart {
		words = append(words, lever.Leftover.Format(b.Units)+" fills no jar")
	}
	for _, code := range lever.Warnings {
		text, known := carefulWords[code]
		if !known {
			text = strings.ReplaceAll(code, "-", " ")
		}
		if text != "" {
			words = append(words, text)
		}
	}
	return strings.Join(words, "; ")
}

// leverTable is the levers as text: a heading, the run as planned, and one row a
// lever, each figure followed by its change. A refused plan has no columns of
// jars and loads.
func leverTable(b stock.Batch) [][]string {
	unit, in := "qt", quantity.Volume.Quarts
	if b.Units == quantity.Metric {
		unit, in = "l", quantity.Volume.Litres
	}
	decimals := 1
	if in(b.Yield.Strained.Likely) < 4 {
		decimals = 2
	}
	row := func(what string, lever stock.Lever) []string {
		cells := []string{what, figure(in(lever.Strained), in(lever.StrainedChange), decimals)}
		if !b.Refused() {
			jars := jarList(lever.Jars)
			if lever.JarsChange != 0 {
				jars += fmt.Sprintf(" %+d", lever.JarsChange)
			}
			cells = append(cells, jars, figure(float64(lever.Loads), float64(lever.LoadsChange), 0))
		}
		return append(cells, figure(lever.Hours.Hours(), lever.HoursChange.Round(time.Minute).Hours(), 1))
	}
	head := []string{"", "strained, " + unit, "jars", "loads", "hours"}
	if b.Refused() {
		head = []string{"", "strained, " + unit, "hours"}
	}
	table := [][]string{head, row("as planned", stock.Lever{
		Strained: b.Yield.Strained.Likely, Jars: b.Jars, Loads: len(b.Loads), Hours: b.StoveTime(),
	})}
	for _, lever := range b.Levers {
		table = append(table, row(lever.What, lever))
	}
	return table
}

// figure is a number and, where it shows, its change: "14.4 +0.8".
func figure(value, change float64, decimals int) string {
	text := fmt.Sprintf("%.*f", decimals, value)
	if roundTo(math.Abs(change), decimals) != 0 {
		text += fmt.Sprintf(" %+.*f", decimals, change)
	}
	return text
}

func jarList(jars []stock.JarCount) string {
	var all []string
	for _, j := range jars {
		all = append(all, stock.CountJars(j.Count, j.Jar))
	}
	if len(all) == 0 {
		return "none"
	}
	return strings.Join(all, ", ")
}

// jarColumn is the one column that breaks into lines when it has to.
const jarColumn = 2

func (s screen) levers(b stock.Batch) {
	if b.Levers == nil {
		return
	}
	s.heading(leversTitle)
	if len(b.Levers) == 0 {
		s.wrap("  ", noLevers)
		return
	}
	table := leverTable(b)
	widths := make([]int, len(table[0]))
	total := 0
	for i := range widths {
		for _, cells := range table {
			widths[i] = max(widths[i], utf8.RuneCountInString(cells[i])+2)
		}
		total += widths[i]
	}
	if over := 2 + total - 2 - screenWidth; over > 0 && len(widths) > jarColumn {
		widths[jarColumn] -= over
	}
	for i, cells := range table {
		s.leverRow(cells, widths)
		if i < 2 {
			continue // the heading and the run as planned
		}
		if text := careful(b, b.Levers[i-2]); text != "" {
			s.hang("    "+s.paint(yellow, "careful:")+" ", 13, text)
		}
	}
	s.wrap("  ", "Likely figures, each change alone; hours are those on the stove.")
}

// leverRow writes one row, the jars on as many lines as they need.
func (s screen) leverRow(cells []string, widths []int) {
	first, rest := cells, ""
	if len(cells) > jarColumn+1 {
		first = append([]string{}, cells...)
		first[jarColumn], rest = breakAt(cells[jarColumn], widths[jarColumn]-2)
	}
	line := "  "
	for i, cell := range first {
		line += pad(cell, widths[i])
	}
	s.line(strings.TrimRight(line, " "))
	if rest != "" {
		indent := 2 + widths[0] + widths[1]
		s.wrap(strings.Repeat(" ", indent), rest)
	}
}

// breakAt breaks text where at most width stays before it: after a comma, or
// else at a blank.
func breakAt(text string, width int) (first, rest string) {
	if utf8.RuneCountInString(text) <= width {
		return text, ""
	}
	head := string([]rune(text)[:width+1])
	at := strings.LastIndex(head, ", ") + 1
	if at == 0 {
		at = strings.LastIndex(head, " ")
	}
	if at < 1 {
		return text, ""
	}
	return text[:at], text[at+1:]
}

func markdownLevers(page *bytes.Buffer, b stock.Batch) {
	if b.Levers == nil {
		return
	}
	fmt.Fprintf(page, "\n## %s\n\n", leversTitle)
	if len(b.Levers) == 0 {
		fmt.Fprintf(page, "%s\n", noLevers)
		return
	}
	for i, cells := range leverTable(b) {
		note := ""
		switch {
		case i == 0:
			note = "careful"
		case i > 1:
			note = careful(b, b.Levers[i-2])
		}
		markdownRow(page, append(cells, note)...)
		if i == 0 {
			fmt.Fprintf(page, "|%s\n", strings.Repeat(" --- |", len(cells)+1))
		}
	}
}

type leverData struct {
	Code           string         `json:"code"`
	What           string         `json:"what"`
	Strained       float64        `json:"strained_l"`
	StrainedChange float64        `json:"strained_change_l"`
	Jars           []layerJarData `json:"jars"`
	Loads          int            `json:"loads"`
	LoadsChange    int            `json:"loads_change"`
	Hours          float64        `json:"hours"`
	HoursChange    float64        `json:"hours_change"`
	Leftover       float64        `json:"leftover_l"`
	LeftoverChange float64        `json:"leftover_change_l"`
	Warnings       []string       `json:"warnings"`
}

// leversData is nil, and so absent, when nobody asked for them.
func leversData(levers []stock.Lever) []leverData {
	if levers == nil {
		return nil
	}
	data := []leverData{}
	for _, l := range levers {
		one := leverData{
			// Adding 0 takes the sign off a change that rounds to nothing.
			Code: l.Code, What: l.What, Strained: litres(l.Strained), StrainedChange: litres(l.StrainedChange) + 0,
			Jars: []layerJarData{}, Loads: l.Loads, LoadsChange: l.LoadsChange,
			Hours: roundTo(l.Hours.Hours(), 2), HoursChange: roundTo(l.HoursChange.Hours(), 2) + 0,
			Leftover: litres(l.Leftover), LeftoverChange: litres(l.LeftoverChange) + 0,
			Warnings: append([]string{}, l.Warnings...),
		}
		for _, j := range l.Jars {
			one.Jars = append(one.Jars, layerJarData{j.Jar, j.Count})
		}
		data = append(data, one)
	}
	return data
}
