package export

import (
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"brothrun/export/text"
	"brothrun/export/words"
	"brothrun/stock"
	"brothrun/stock/ask"
	"brothrun/stock/chill"
	"brothrun/stock/quantity"
)

// Chill writes how a pot cools for a cook at a counter: the answer first, then a
// table of the methods, and what to do every ten minutes. Every line stays within
// 80 columns. The only errors are those of w.
func Chill(w io.Writer, answer ask.ChillAnswer, colour bool) error {
	s := newScreen(w, colour, answer.Units)
	u := answer.Units
	s.wrap("", s.bold(fmt.Sprintf("%s of broth in a pot %s wide", answer.Pot.Volume.Both(u), answer.Pot.Width.Both(u))))
	s.line("")

	s.notes("Watch out", yellow, answer.Warnings)
	if len(answer.Warnings) > 0 {
		s.line("")
	}
	told := answer.Proposed
	switch {
	case answer.Asked:
		told = &answer.Results[0]
		s.wrap("", chillJudged(*told, u))
		if told.Verdict == chill.Fail && answer.Proposed != nil {
			s.wrap("", "Instead: "+chillJudged(*answer.Proposed, u))
		}
	case told == nil:
		if answer.Wanted != nil {
			s.wrap("", fmt.Sprintf("TOO LITTLE ICE: no method cools this broth in time with margin on %s. Have %s of "+
				"ice for %s.",
				answer.Around.Ice.Both(u), answer.Wanted.IceToHave.Up(u).Both(u), ask.ChillWords(answer.Wanted.Method)))
			break
		}
		s.wrap("", "No method cools this much broth in this pot in time with margin. Divide it into smaller pots, and ask "+
			"again for one.")
	default:
		s.wrap("", "Proposed: "+chillJudged(*told, u))
	}

	s.chillTimes(answer.Results, u)
	if !answer.Asked {
		s.chillFood(answer.Results, u)
		s.chillTending(answer.Results)
	}

	if told != nil {
		s.heading("What to do: " + ask.ChillWords(told.Method))
		for _, note := range chillNotes(*told, u) {
			s.bullet(none, note)
		}
	}
	s.notes("Assumed; give the real figure and the answer gets better", none, answer.Assumed)
	s.line("")
	s.wrap("", "The times are worked out, not measured in your kitchen; still air and fridges have the fewest data. The "+
		"thermometer decides.")
	return s.w.Flush()
}

// The tables of the methods; the first column has room for the longest name of one.
var (
	timesTable   = text.Table{Indent: 2, Columns: []text.Column{{Width: 29}, {Width: 14}, {Width: 14}, {Width: 9}}}
	foodTable    = text.Table{Indent: 2, Columns: []text.Column{{Width: 29}, {Width: 18}}}
	tendingTable = text.Table{Indent: 2, Columns: []text.Column{{Width: 18}}}
)

// chillTimes is the table of the methods.
func (s screen) chillTimes(results []chill.Result, u quantity.System) {
	s.heading(fmt.Sprintf("Hours:minutes from %s, likely to slow", quantity.Fahrenheit(135).Both(u)))
	s.lines(timesTable.Row("", quantity.Fahrenheit(70).Format(u)+" in 2 h", quantity.Fahrenheit(41).Format(u)+" in 6 h",
		"", "ice"))
	for _, r := range results {
		ice := ""
		if r.Ice > 0 {
			ice = r.IceToHave.Up(u).Format(u)
		}
		verdict := string(r.Verdict)
		switch r.Verdict {
		case chill.Fail:
			verdict = s.paint(red, verdict)
		case chill.Narrow:
			verdict = s.paint(yellow, verdict)
		}
		s.lines(timesTable.Row(string(r.Method), clockSpan(r.To70F, r.SlowTo70F), clockSpan(r.To41F, r.SlowTo41F), verdict,
			ice))
	}
	s.wrap("  ", "Pass: keeps both limits even on the slow side. Narrow: only if all goes well, or no data. Fail: "+
		"does not.")
	if slices.ContainsFunc(results, func(r chill.Result) bool { return r.MeltedIn > 0 }) {
		s.wrap("  ", "Ice added: how long it takes to melt is a guess, the same for any volume; no data.")
	}
}

// chillFood is what the other food in the fridge or freezer feels.
func (s screen) chillFood(results []chill.Result, u quantity.System) {
	limit := quantity.Fahrenheit(41).Format(u)
	s.heading("The other food in the fridge or freezer, likely to slow")
	s.lines(foodTable.Row("", "warms to", "hours:minutes above "+limit))
	for _, r := range results {
		if r.Other.In == "" {
			continue
		}
		warmest := r.Other.Peak.Format(u)
		if slow := r.Other.SlowPeak.Format(u); slow != warmest {
			warmest = quantity.Ends(warmest, "to", slow)
		}
		above := "none"
		if r.Other.SlowAbove41F > 0 {
			above = clockSpan(chill.Reach{After: r.Other.Above41F}, chill.Reach{After: r.Other.SlowAbove41F})
		}
		s.lines(foodTable.Row(string(r.Method), warmest, above))
	}
	s.wrap("  ", "The other methods stay out of it. Where it gets above "+limit+", move out first what spoils; frozen "+
		"food past "+quantity.Celsius(-5).Format(u)+" begins to thaw.")
}

// chillTending is what each method asks while it cools.
func (s screen) chillTending(results []chill.Result) {
	s.heading("Every 10 minutes")
	for _, r := range results {
		if asks := words.EveryTenMinutes(r.Method); asks != "" {
			s.lines(tendingTable.Row(string(r.Method), s.form.Order(asks)))
		}
	}
	s.wrap("  ", "A method with a + asks first for the one, then for the other.")
}

// chillJudged is a method's answer as a sentence or two.
func chillJudged(r chill.Result, u quantity.System) string {
	text := fmt.Sprintf("%s: %s.", ask.ChillWords(r.Method), chillCourse(r, u))
	switch {
	case r.ForWantOfIce:
		return fmt.Sprintf("%s TOO LITTLE ICE to be safe: it %s.", text, iceShort(r, u))
	case r.Have > 0:
		text += fmt.Sprintf(" It %s.", iceShort(r, u))
	case r.Ice > 0:
		text += fmt.Sprintf(" Ice to have: %s.", r.IceToHave.Up(u).Both(u))
	}
	if r.Attended.Likely > 0 {
		text += fmt.Sprintf(" It needs you for %s.", quantity.FormatDuration(r.Attended.Likely))
	}
	switch r.Verdict {
	case chill.Fail:
		text += " TOO SLOW to be safe: the limits are 2 h and 6 h."
	case chill.Narrow:
		text += " It keeps the limits of 2 h and 6 h only if all goes well."
	default:
		text += " It keeps the limits of 2 h and 6 h."
	}
	return text
}

// chillNotes is what to do and what to mind.
func chillNotes(r chill.Result, u quantity.System) []string {
	notes := []string{words.Form{Units: u}.Order(words.ChillSteps(r))}
	if r.Have > 0 {
		notes = append(notes, "It "+iceShort(r, u)+".")
	}
	if r.Changes > 0 {
		notes = append(notes, fmt.Sprintf("About %d changes of water.", r.Changes))
	}
	if r.MeltedIn > 0 && r.Have == 0 {
		notes = append(notes, fmt.Sprintf("Leave %s of the measured water out of the pot for it: the broth above counts it.",
			r.MeltedIn.Both(u)))
	}
	if other, used, _ := stock.OtherFood(r.Other); used {
		notes = append(notes, words.Note(other, words.Form{Units: u}))
	}
	return notes
}

// iceShort is what a method needs of ice and there is not.
func iceShort(r chill.Result, u quantity.System) string {
	return fmt.Sprintf("needs %s of ice, you have %s", r.IceToHave.Up(u).Both(u), r.Have.Both(u))
}

// chillCourse is how long the broth takes, as part of a sentence.
func chillCourse(r chill.Result, u quantity.System) string {
	first, second := quantity.Fahrenheit(70).Both(u), quantity.Fahrenheit(41).Both(u)
	to41 := reachBand(second, r.FastTo41F, r.To41F, r.SlowTo41F)
	if r.MeltedIn > 0 && !r.To70F.Never {
		text := untilMelted(r.To70F)
		if r.To41F != r.To70F {
			text += "; " + to41
		}
		return text
	}
	if r.FastTo70F.Never && r.To70F.Never {
		return "from " + quantity.Fahrenheit(135).Both(u) + " it never gets down to " + first
	}
	return fmt.Sprintf("from %s %s, %s", quantity.Fahrenheit(135).Both(u),
		reachBand(first, r.FastTo70F, r.To70F, r.SlowTo70F), to41)
}

// untilMelted is the time of ice stirred in, which nobody has measured.
func untilMelted(likely chill.Reach) string {
	return fmt.Sprintf("until the ice has melted, about %s by a guess; no data", likely)
}

// reachBand reads "to 70 °F (21 °C) in 31 min (18 min to 1 h 1 min)".
func reachBand(to string, fast, likely, slow chill.Reach) string {
	switch {
	case likely.Never && fast.Never:
		return "never to " + to
	case likely.Never:
		return fmt.Sprintf("to %s in %s at best, likely never", to, fast)
	case slow.Never:
		return fmt.Sprintf("to %s in %s (%s at best; never on the slow side)", to, likely, fast)
	}
	return fmt.Sprintf("to %s in %s (%s)", to, likely, quantity.Ends(fast.String(), "to", slow.String()))
}

// clockSpan reads "0:31-1:01", or "never".
func clockSpan(likely, slow chill.Reach) string {
	if likely.Never && slow.Never {
		return "never"
	}
	return clockTime(likely) + "-" + clockTime(slow)
}

func clockTime(r chill.Reach) string {
	if r.Never {
		return "never"
	}
	minutes := int(r.After.Round(time.Minute).Minutes())
	return fmt.Sprintf("%d:%02d", minutes/60, minutes%60)
}

// ChillJSON writes the answer with stable keys. A time that never comes is null.
// The only errors are those of w.
func ChillJSON(w io.Writer, answer ask.ChillAnswer) error {
	type method struct {
		Method  string   `json:"method"`
		To70F   *float64 `json:"to_70f_min"`
		To41F   *float64 `json:"to_41f_min"`
		Passes  bool     `json:"passes"`
		Verdict string   `json:"verdict"`
		Ice     float64  `json:"ice_kg"`
		Note    string   `json:"note"`
	}
	data := struct {
		Schema   int        `json:"schema"`
		Methods  []method   `json:"methods"`
		Warnings []noteData `json:"warnings"`
		Proposed *string    `json:"proposed"`
	}{Schema: 1, Methods: []method{}, Warnings: notesData(words.Form{Units: answer.Units, Flags: true}, answer.Warnings)}
	for _, r := range answer.Results {
		note := fmt.Sprintf("%s: %s. %s", r.Verdict, chillCourse(r, answer.Units),
			strings.Join(chillNotes(r, answer.Units), " "))
		data.Methods = append(data.Methods, method{string(r.Method), reachMinutes(r.To70F), reachMinutes(r.To41F),
			r.Verdict != chill.Fail, string(r.Verdict), roundTo(r.Ice.Kilograms(), 3), note})
	}
	if answer.Proposed != nil {
		name := string(answer.Proposed.Method)
		data.Proposed = &name
	}
	return encode(w, data)
}
