package export

import (
	"fmt"
	"strings"
	"time"

	"brothrun/export/words"
	"brothrun/stock/quantity"
	"brothrun/timeline"
)

// choices lists the days on which a run might fall, the chosen first.
func choices(plan timeline.Plan, f form) section {
	if len(plan.Choices) == 0 {
		return section{}
	}
	all := table{rows: [][]string{{"", "days", "called", "nights", "needed"}}, gives: 2}
	for _, c := range plan.Choices {
		number := fmt.Sprint(c.Number)
		if c.Chosen {
			number = "> " + number
		}
		var called []string
		for _, day := range c.Days {
			called = append(called, day.Spans[0].From.Format("Mon 15:04"))
		}
		all.rows = append(all.rows, []string{number, words.Days(c), strings.Join(called, ", "), fmt.Sprint(c.Nights),
			quantity.FormatDuration(c.Needed.Round(time.Minute))})
	}
	return section{title: "Days it may fall on", table: all, text: words.Choosing(plan.Choices, f.words)}
}

type choiceData struct {
	Number  int      `json:"number"`
	Chosen  bool     `json:"chosen"`
	Begins  string   `json:"begins"`
	Ends    string   `json:"ends"` // wiped down
	Nights  int      `json:"nights"`
	Called  []string `json:"called"` // on each day
	Needed  float64  `json:"needed_min"`
	HandsOn float64  `json:"hands_on_min"`
}

func choicesData(all []timeline.Choice) (data []choiceData) {
	for _, c := range all {
		one := choiceData{Number: c.Number, Chosen: c.Chosen, Begins: instant(c.Begins), Ends: instant(c.Ends),
			Nights: c.Nights, Called: []string{}, Needed: tenthMinutes(c.Needed)}
		for _, day := range c.Days {
			one.Called = append(one.Called, instant(day.Spans[0].From))
			one.HandsOn += tenthMinutes(day.HandsOn)
		}
		data = append(data, one)
	}
	return data
}
