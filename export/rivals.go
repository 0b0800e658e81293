package export

import (
	"bytes"
	"fmt"
	"slices"
	"strings"

	"brothrun/export/text"
	"brothrun/stock"
)

const rivalsTitle = "Other ways to fill the jars"

// rivalTable is the plan of jars and loads and those it was chosen over, a
// heading first; nothing where there is no other.
func rivalTable(b stock.Batch) [][]string {
	if len(b.Rivals) < 2 {
		return nil
	}
	table := [][]string{{"", "jars", "loads", "hours", "leftover"}}
	for _, plan := range b.Rivals {
		name := plan.Name
		if plan.Chosen {
			name += " (planned)"
		}
		table = append(table, []string{name, jarList(plan.Jars), fmt.Sprint(plan.Loads),
			fmt.Sprintf("%.1f", plan.StoveTime.Hours()), plan.Leftover.Format(b.Units)})
	}
	return table
}

// rivalsHint says how to choose another.
func rivalsHint(b stock.Batch) string {
	hint := "Likely figures; hours are those on the stove. Choose with --prefer jars, loads or leftover"
	if slices.ContainsFunc(b.Rivals, func(plan stock.LoadPlan) bool { return plan.SmallLoads }) {
		hint += "; --small-loads plans loads under 2 quarts or 4 pints, too"
	}
	return hint + "."
}

func (s screen) rivals(b stock.Batch) {
	table := rivalTable(b)
	if table == nil {
		return
	}
	s.heading(rivalsTitle)
	columns := text.Table{Indent: 2, Columns: []text.Column{{}, {Breaks: true}, {}, {}, {}}}.Fit(table)
	for _, cells := range table {
		s.lines(columns.Row(cells...))
	}
	s.wrap("  ", rivalsHint(b))
}

func markdownRivals(page *bytes.Buffer, b stock.Batch) {
	table := rivalTable(b)
	if table == nil {
		return
	}
	fmt.Fprintf(page, "\n## %s\n\n", rivalsTitle)
	for i, cells := range table {
		markdownRow(page, cells...)
		if i == 0 {
			fmt.Fprintf(page, "|%s\n", strings.Repeat(" --- |", len(cells)))
		}
	}
	fmt.Fprintf(page, "\n%s\n", plainText(rivalsHint(b)))
}

type rivalData struct {
	Name       string         `json:"name"`
	Jars       []layerJarData `json:"jars"`
	Loads      int            `json:"loads"`
	StoveHours float64        `json:"stove_hours"`
	Leftover   float64        `json:"leftover_l"`
	Chosen     bool           `json:"chosen"`
	SmallLoads bool           `json:"small_loads"`
}

// rivalsData is nil, and so absent, when canning is refused.
func rivalsData(plans []stock.LoadPlan) []rivalData {
	if plans == nil {
		return nil
	}
	data := []rivalData{}
	for _, plan := range plans {
		one := rivalData{plan.Name, []layerJarData{}, plan.Loads, roundTo(plan.StoveTime.Hours(), 2), litres(plan.Leftover), plan.Chosen, plan.SmallLoads}
		for _, j := range plan.Jars {
			one.Jars = append(one.Jars, layerJarData{j.Jar, j.Count})
		}
		data = append(data, one)
	}
	return data
}
