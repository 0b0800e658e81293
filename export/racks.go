package export

import (
	"fmt"
	"io"
	"strconv"
	"strings"

	"brothrun/export/text"
	"brothrun/export/words"
	"brothrun/stock/quantity"
	"brothrun/stock/whatif"
)

// Racks writes the answer for a cook at a counter: the one sentence first, then
// what each number of racks does, what else would save a load, and what the answer
// rests on. The only errors are those of w.
func Racks(w io.Writer, a whatif.RackAnswer, colour bool) error {
	s := newScreen(w, colour, a.Units)
	s.wrap("", s.bold(Printable(words.Racks(a))))
	if len(a.Plans) > 0 {
		s.line("")
		s.wrap("", s.bold(Printable(fmt.Sprintf("%s, %s a year", words.RackTitle(a), plural(a.Question.RunsPerYear, "run")))))
		s.racks(a)
	}
	if len(a.Instead) > 0 {
		s.heading(fmt.Sprintf("Other ways to save a load, with the %s you have", countRacks(a.Have)))
		for _, one := range a.Instead {
			s.line(fmt.Sprintf("  %s: %s, %.1f h a run", words.Instead(one.Code), plural(one.Loads, "load"), one.Hours.Hours()))
			s.hang("    gives up: ", words.GivesUp(one, a.Units))
		}
	}
	s.notes("Refused", red, a.Refusals)
	s.notes("Watch out", yellow, a.Warnings)
	s.notes("Assumed; give the real figure and the answer gets better", none, a.Assumed)
	return s.w.Flush()
}

func plural(n int, word string) string {
	if n == 1 {
		return "1 " + word
	}
	return fmt.Sprintf("%d %ss", n, word)
}

func countRacks(n int) string { return plural(n, "rack") }

// racks writes a small table a plan under one head.
func (s screen) racks(a whatif.RackAnswer) {
	const chances = 20
	table := text.Table{Indent: 2,
		Columns: []text.Column{{Width: 6}, {Width: 13}, {Width: chances}, {Width: 7}, {Width: 10}, {Width: 5}, {Width: 8}}}
	write := func(cells ...string) { s.lines(table.Row(cells...)) }
	write("racks", "loads", "chance, %", "hours", "hands-on", "kWh", "h/year", "paid back")
	for _, plan := range a.Plans {
		filled := ""
		for i, o := range plan.Options {
			// Only a plan that goes by the loads fills other jars on more racks.
			jars := jarList(o.Jars)
			if o.Leftover >= quantity.Cup {
				jars += ", " + o.Leftover.Format(a.Units) + " left over"
			}
			switch {
			case i == 0:
				s.wrap("  ", words.RackPlan(plan.Code)+": "+jars)
			case jars != filled:
				s.wrap("      ", "then "+jars)
			}
			filled = jars
			loads := fmt.Sprint(o.Likely)
			if o.Low != o.High {
				loads += fmt.Sprintf(" (%d to %d)", o.Low, o.High)
			}
			chance, below := chanceText(o.Chance), ""
			if text.Shown(chance) >= chances {
				chance, below = "below", chance
			}
			write(text.Glue+text.Glue+fmt.Sprint(o.Racks), loads, chance, decimal(o.Hours.Hours()), decimal(o.Attended.Hours()),
				decimal(o.Fuel.Likely.KilowattHours()), fmt.Sprintf("%.0f", o.HoursPerYear(a.Question.RunsPerYear).Hours()),
				paidBack(a, o, plan.Options[len(plan.Options)-1].Racks))
			if below != "" {
				s.wrap(strings.Repeat(" ", 8), below)
			}
		}
	}
	note := "Hours in the canner, hands-on hours (filling, venting, pressure, unloading) and kWh are means of a " +
		"run over " +
		"what the yield may turn out."
	if len(a.Plans) > 0 {
		// a.Have may be beyond what the canner has room for.
		own := a.Plans[0].Options
		o := own[min(max(a.Have, 1), len(own))-1]
		note += fmt.Sprintf(" kWh is rough: %s to %s with %s, 8 times in 10.", decimal(o.Fuel.Low.KilowattHours()),
			decimal(o.Fuel.High.KilowattHours()), countRacks(a.Have))
	}
	if a.Runs > 1 {
		note += " Loads and jars are those of all the runs."
	}
	s.wrap("  ", note)
}

func decimal(x float64) string { return strconv.FormatFloat(x, 'f', 1, 64) }

// chanceText is the chance in percent of each number of loads; those under half a
// percent are left out.
func chanceText(chance []float64) string {
	var parts []string
	for n, share := range chance {
		if share >= 0.005 {
			parts = append(parts, fmt.Sprintf("%d: %.0f", n, 100*share))
		}
	}
	return strings.Join(parts, ", ")
}

// paidBack is the last column; last is the most racks the canner has room for.
func paidBack(a whatif.RackAnswer, o whatif.RackOption, last int) string {
	switch {
	case o.Racks == a.Have || o.Racks == last && last < a.Have:
		return "you have"
	case o.Racks < a.Have:
		return ""
	case !o.Pays:
		return "never"
	}
	return plural(int(o.PaybackRuns), "run")
}

type (
	racksData struct {
		Schema   int              `json:"schema"`
		Options  []rackOptionData `json:"options"`
		Instead  []insteadData    `json:"instead"`
		Answer   string           `json:"answer"`
		Question questionData     `json:"question"`
		Runs     int              `json:"runs"`
		Racks    int              `json:"racks_you_have"`
		Assumed  []noteData       `json:"assumed"`
		Warnings []noteData       `json:"warnings"`
		Refusals []noteData       `json:"refusals"`
	}
	questionData struct {
		RunsPerYear int      `json:"runs_per_year"`
		RackPrice   float64  `json:"rack_price"`
		FuelPrice   float64  `json:"fuel_price"`
		HourValue   *float64 `json:"hour_value"`
	}
	rackOptionData struct {
		Plan         string         `json:"plan"` // "own", "quarts" or "pints"
		Racks        int            `json:"racks"`
		Jars         []jarCountData `json:"jars"`
		Leftover     float64        `json:"leftover_l"`
		Loads        rackLoadsData  `json:"loads"`
		Hours        float64        `json:"hours_per_run"`
		Attended     float64        `json:"attended_hours_per_run"`
		Fuel         float64        `json:"fuel_kwh_per_run"`
		FuelBand     bandData       `json:"fuel_kwh_band"`
		HoursPerYear float64        `json:"hours_per_year"`
		// PaybackRuns is null for racks that are not to be bought and for those that
		// never pay.
		PaybackRuns  *float64 `json:"payback_runs"`
		PaybackYears *float64 `json:"payback_years"`
		Price        float64  `json:"price"`
		SavedPerYear float64  `json:"saved_money_per_year"`
		SavedLoads   float64  `json:"saved_loads_per_year"`
		SavedChance  float64  `json:"saved_chance"`
		HourWorth    *float64 `json:"hour_value_to_pay_in_a_year"`
	}
	rackLoadsData struct {
		Low    int                `json:"low"`
		Likely int                `json:"likely"`
		High   int                `json:"high"`
		Chance map[string]float64 `json:"chance"`
	}
	insteadData struct {
		Code     string  `json:"code"`
		What     string  `json:"what"`
		Loads    int     `json:"loads"`
		Hours    float64 `json:"hours_per_run"`
		GivesUp  string  `json:"gives_up"`
		Uncanned float64 `json:"uncanned_l"`
	}
)

// RacksJSON writes the answer for scripts: hours and kWh to a hundredth, money to a
// ten-thousandth, chances to a thousandth, lists empty rather than null. Errors are
// as for JSON.
func RacksJSON(w io.Writer, a whatif.RackAnswer) error {
	q, form := a.Question, words.Form{Units: a.Units, Flags: true}
	data := racksData{
		Schema: Schema, Options: []rackOptionData{}, Instead: []insteadData{}, Answer: words.Racks(a), Runs: a.Runs,
		Racks:    a.Have,
		Question: questionData{q.RunsPerYear, float64(q.RackPrice), float64(q.FuelPrice), (*float64)(q.HourValue)},
		Assumed:  notesData(form, a.Assumed), Warnings: notesData(form, a.Warnings), Refusals: notesData(form, a.Refusals),
	}
	kWh := func(e quantity.Energy) float64 { return roundTo(e.KilowattHours(), 2) }
	for _, plan := range a.Plans {
		for _, o := range plan.Options {
			one := rackOptionData{
				Plan: plan.Code, Racks: o.Racks, Jars: jarCountsData(o.Jars), Leftover: litres(o.Leftover),
				Loads: rackLoadsData{o.Low, o.Likely, o.High, map[string]float64{}},
				Hours: roundTo(o.Hours.Hours(), 2), Attended: roundTo(o.Attended.Hours(), 2), Fuel: kWh(o.Fuel.Likely),
				FuelBand:     bandData{kWh(o.Fuel.Low), kWh(o.Fuel.Likely), kWh(o.Fuel.High)},
				HoursPerYear: roundTo(o.HoursPerYear(q.RunsPerYear).Hours(), 2),
				Price:        roundTo(float64(o.Price), 4), SavedPerYear: roundTo(float64(o.SavedMoney), 4),
				SavedLoads: roundTo(o.SavedLoads, 3), SavedChance: roundTo(o.SavedChance, 3),
			}
			for n, share := range o.Chance {
				if share > 0 {
					one.Loads.Chance[strconv.Itoa(n)] = roundTo(share, 3)
				}
			}
			if o.Pays {
				runs, years := o.PaybackRuns, roundTo(o.PaybackRuns/float64(q.RunsPerYear), 2)
				one.PaybackRuns, one.PaybackYears = &runs, &years
			}
			if o.HourWorth > 0 {
				worth := roundTo(float64(o.HourWorth), 4)
				one.HourWorth = &worth
			}
			data.Options = append(data.Options, one)
		}
	}
	for _, one := range a.Instead {
		data.Instead = append(data.Instead, insteadData{one.Code, words.Instead(one.Code), one.Loads,
			roundTo(one.Hours.Hours(), 2), words.GivesUp(one, a.Units), litres(one.Uncanned)})
	}
	return encode(w, data)
}
