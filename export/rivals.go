package export

import (
	"fmt"
	"slices"

	"brothrun/export/words"
	"brothrun/stock"
)

// rivalTable is the plan of jars and loads and those it was chosen over, a
// heading first; nothing where there is no other.
func rivalTable(b stock.Batch) [][]string {
	if len(b.Rivals) < 2 {
		return nil
	}
	table := [][]string{{"", "jars", "loads", "hours", "leftover"}}
	for _, plan := range b.Rivals {
		name := words.LoadPlan(plan)
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
	hint := "Choose with --prefer jars, loads or leftover"
	if slices.ContainsFunc(b.Rivals, func(plan stock.LoadPlan) bool { return plan.SmallLoads }) {
		hint += "; --small-loads plans loads under 2 quarts or 4 pints, too"
	}
	return hint + "."
}

// rivals is the plan of jars and loads beside those it was chosen over.
func rivals(b stock.Batch, f form) section {
	rows := rivalTable(b)
	if rows == nil {
		return section{}
	}
	hint := "Likely figures; hours are those on the stove."
	if !f.paper {
		hint += " " + rivalsHint(b)
	}
	return section{title: "Other ways to fill the jars", table: table{rows: rows, gives: 1}, text: hint}
}

type rivalData struct {
	Name       string         `json:"name"`
	Jars       []jarCountData `json:"jars"`
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
		data = append(data, rivalData{words.LoadPlan(plan), jarCountsData(plan.Jars), plan.Loads,
			roundTo(plan.StoveTime.Hours(), 2),
			litres(plan.Leftover), plan.Chosen, plan.SmallLoads})
	}
	return data
}
