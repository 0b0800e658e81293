package export

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

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
		table = append(table, []string{name, rivalJars(plan.Jars), fmt.Sprint(plan.Loads),
			fmt.Sprintf("%.1f", plan.StoveTime.Hours()), plan.Leftover.Format(b.Units)})
	}
	return table
}

func rivalJars(jars []stock.LayerJar) string {
	var all []string
	for _, j := range jars {
		all = append(all, stock.CountJars(j.Count, j.Jar))
	}
	if len(all) == 0 {
		return "none"
	}
	return strings.Join(all, ", ")
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
	const jars = 1 // the one column that breaks into lines when it has to
	widths := make([]int, len(table[0]))
	total := 0
	for i := range widths {
		for _, cells := range table {
			widths[i] = max(widths[i], utf8.RuneCountInString(cells[i])+2)
		}
		total += widths[i]
	}
	if over := total - screenWidth; over > 0 {
		widths[jars] -= over
	}
	for _, cells := range table {
		line, rest := "  ", ""
		for i, cell := range cells {
			if i == jars {
				cell, rest = breakAt(cell, widths[jars]-2)
			}
			line += pad(cell, widths[i])
		}
		s.line(strings.TrimRight(line, " "))
		if rest != "" {
			s.wrap(strings.Repeat(" ", 2+widths[0]), rest)
		}
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
