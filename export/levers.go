package export

import (
	"fmt"
	"math"
	"strings"
	"time"

	"brothrun/export/text"
	"brothrun/stock"
	"brothrun/stock/quantity"
)

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
	"fridge-room":       "more broth than there is room for in the fridge",
	"freezer-room":      "more left over than there is room for in the freezer",
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
		care, known := carefulWords[code]
		if !known {
			care = strings.ReplaceAll(code, "-", " ")
		}
		if care != "" {
			words = append(words, care)
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
				jars += fmt.Sprintf(text.Glue+"%+d", lever.JarsChange)
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
		Strained: b.Yield.Strained.Likely, Jars: b.JarCounts(), Loads: len(b.Loads), Hours: b.StoveTime(),
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

// jarList lists jars of several sizes, a size and its number on one line.
func jarList(jars []stock.JarCount) string {
	var all []string
	for _, j := range jars {
		all = append(all, strings.ReplaceAll(stock.CountJars(j.Count, j.Jar), " ", text.Glue))
	}
	if len(all) == 0 {
		return "none"
	}
	return strings.Join(all, ", ")
}

// levers is what single changes would do; nothing unless they were asked for.
func levers(b stock.Batch) section {
	part := section{title: "What would change it"}
	switch {
	case b.Levers == nil:
		return section{}
	case len(b.Levers) == 0:
		part.text = "None of the changes tried does anything to speak of."
		return part
	}
	part.text = "Likely figures, each change alone; hours are those on the stove."
	part.table = table{rows: leverTable(b), minds: make([]string, 2)} // neither the heading nor the run as planned
	if !b.Refused() {
		part.table.gives = 2 // the jars
	}
	for _, lever := range b.Levers {
		part.table.minds = append(part.table.minds, careful(b, lever))
	}
	return part
}

type leverData struct {
	Code           string         `json:"code"`
	What           string         `json:"what"`
	Strained       float64        `json:"strained_l"`
	StrainedChange float64        `json:"strained_change_l"`
	Jars           []jarCountData `json:"jars"`
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
			Jars: jarCountsData(l.Jars), Loads: l.Loads, LoadsChange: l.LoadsChange,
			Hours: roundTo(l.Hours.Hours(), 2), HoursChange: roundTo(l.HoursChange.Hours(), 2) + 0,
			Leftover: litres(l.Leftover), LeftoverChange: litres(l.LeftoverChange) + 0,
			Warnings: append([]string{}, l.Warnings...),
		}
		data = append(data, one)
	}
	return data
}
