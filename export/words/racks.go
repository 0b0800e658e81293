package words

import (
	"fmt"
	"math"
	"strings"
	"time"

	"brothrun/stock"
	"brothrun/stock/quantity"
	"brothrun/stock/remark"
	"brothrun/stock/runfile"
	"brothrun/stock/whatif"
)

// Racks is the answer to: would another rack pay?
func Racks(a whatif.RackAnswer) string {
	answer := rackAnswer(a)
	if !a.HeightAssumed || len(a.Plans) == 0 {
		return answer
	}
	// Nobody measured the height on which it hangs.
	verdict, option := a.Verdict()
	own := a.Plans[0]
	first, rest, _ := strings.Cut(answer, ":")
	high := func(l quantity.Length) string { return l.Both(a.Units) + " high inside" }
	switch {
	case verdict == whatif.TooLow:
		return fmt.Sprintf("%s, unless your canner is at least %s:%s Measure it.", first, high(own.LowestNeed),
			strings.Replace(rest, " has ", " is taken to have ", 1))
	case verdict == whatif.NeverPays && own.Tall > 0:
		return fmt.Sprintf("%s, unless your canner is at least %s:%s Measure it.", first, high(own.Tall),
			strings.Replace(rest, " has ", " is taken to have ", 1))
	case verdict >= whatif.CansMore && own.HeightFor(option) > 0:
		return fmt.Sprintf("%s, if your canner is at least %s:%s Measure it.", first, high(own.HeightFor(option)), rest)
	}
	return answer
}

// Heading is a run in one line.
func Heading(b stock.Batch) string {
	what := fmt.Sprintf("%s at %s", In(b), quantity.AltitudeBoth(b.Altitude, b.Units))
	if b.Name == "" {
		return what
	}
	return b.Name + ": " + what
}

// In is what goes into the pot: "9 lb of turkey frames", or birds as they were counted.
func In(b stock.Batch) string {
	if b.Birds == 0 || b.Mixed() {
		return fmt.Sprintf("%s of %s", b.Weight.Format(b.Units), b.What)
	}
	if b.Birds == 1 {
		return fmt.Sprintf("1 %s, %s,", strings.TrimSuffix(b.What, "s"), b.Weight.Both(b.Units))
	}
	return fmt.Sprintf("%d %s, %s in all,", b.Birds, b.What, b.Weight.Both(b.Units))
}

// with are the vegetables that go in beside the bones, as they were counted or weighed.
func with(b stock.Batch) string {
	var all []string
	for _, solid := range b.Solids {
		switch {
		case !solid.Vegetable || strings.Contains(b.What, solid.What): // of a stock of vegetables
		case solid.Count == 1:
			all = append(all, "1 "+strings.TrimSuffix(solid.What, "s"))
		case solid.Count > 0:
			all = append(all, fmt.Sprintf("%d %s", solid.Count, solid.What))
		default:
			all = append(all, fmt.Sprintf("%s of %s", solid.Weight.Format(b.Units), solid.What))
		}
	}
	if len(all) == 0 {
		return ""
	}
	return " with " + Runs(all)
}

// RackTitle is what an answer about racks is for: the run in one line, or how many
// runs.
func RackTitle(a whatif.RackAnswer) string {
	switch {
	case a.Of.What != "":
		return Heading(a.Of)
	case a.Runs == 1:
		return "1 run"
	}
	return fmt.Sprintf("%d runs", a.Runs)
}

// rackNotes are the sentences of whatif's notes.
var rackNotes = map[string]string{
	whatif.RunsPerYear: "You cook %d runs a year{ (--runs-per-year)}.",
	whatif.RackPrice:   "One more rack costs %g{ (--rack-price)}.",
	whatif.FuelPrice:   "A kWh costs %g{ (--fuel-price)}.",
	whatif.HourValue:   "Your time costs nothing: only fuel is counted as saved{ (--hour-value)}.",
	whatif.RackLeftOut: "A %s rack is left out (%s): %s.",
	whatif.CannerLow:   "%s.",
	whatif.TwoLayers: "Two layers only where the canner's manual allows them for these jars, each on its own rack. " +
		"A fuller canner heats and cools more slowly; the hours here allow for it, by physics and not by any timed load.",
	whatif.JarsLimit: "The jars on hand are the limit: %v fills none for want of them. More jars might make more loads; " +
		"no rack changes that.",
	whatif.RacksDiffer: "The kitchens have from %d to %d racks; the answer is for one with %[2]d. " +
		"Ask about the runs of each kitchen on their own too.",
}

// rackNote words a note of an answer about racks; nothing for any other.
func rackNote(note remark.Note, f Form) string {
	facts := note.Facts
	if len(facts) == 1 {
		if one, of := facts[0].(whatif.OfRun); of {
			more := ""
			if one.More == 1 {
				more = ", and 1 run more"
			} else if one.More > 1 {
				more = fmt.Sprintf(", and %d runs more", one.More)
			}
			return Heading(one.Of) + more + ": " + Note(one.Note, f)
		}
	}
	switch note.Code {
	case whatif.RackLeftOut:
		facts = []any{ordinal(facts[0].(int)), RackPlan(facts[1].(string)), facts[2]}
	case whatif.CannerLow:
		facts = []any{TooLow(facts[0].(whatif.RackPlan), f.Units)}
	}
	if sentence, known := rackNotes[note.Code]; known {
		return f.say(sentence, facts...)
	}
	return ""
}

// TooLow says that the canner is too low for a layer more.
func TooLow(p whatif.RackPlan, u quantity.System) string {
	return fmt.Sprintf("The canner is too low for a %s layer: even %ss need %s inside, and it has %s",
		ordinal(p.LowestLayer), p.LowestJar, p.LowestNeed.Both(u), p.CannerHeight.Both(u))
}

// RackPlan names a way to choose jars, as code whatif.RackPlan has it.
func RackPlan(code string) string {
	if code == whatif.OwnPlan {
		return "as planned"
	}
	return code + " only"
}

// Instead names another way to save a load, as code whatif.Instead has it.
func Instead(code string) string {
	switch code {
	case "mix":
		return "mixing the sizes in a load"
	case "freeze":
		return "freezing the surplus"
	case "freeze-dry":
		return "freeze-drying the surplus"
	case "simmer-down":
		return "simmering it down"
	}
	return RackPlan(code)
}

func ordinal(n int) string {
	words := []string{"", "first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth"}
	if n < len(words) {
		return words[n]
	}
	return fmt.Sprintf("%dth", n)
}

// leads are how a verdict of a rack that saves loads begins.
var leads = map[whatif.Verdict]string{
	whatif.Hardly: "Hardly", whatif.Luck: "It depends on luck", whatif.Worth: "Yes",
	whatif.ForTime: "For your time, not for the money", whatif.NotForMoney: "Not for the money",
}

// rackAnswer is the answer by the canner as it was given or assumed.
func rackAnswer(a whatif.RackAnswer) string {
	verdict, option := a.Verdict()
	if verdict == whatif.NothingCanned {
		return "No: what is refused is not canned, so no rack saves a load. What to do instead stands with the refusal."
	}
	own := a.Plans[0]
	base := own.With(a.Have)
	another := fmt.Sprintf("a %s rack", ordinal(a.Have+1))
	if option.Racks > a.Have+1 {
		another = fmt.Sprintf("%d racks instead of %d", option.Racks, a.Have)
	}
	jars := jarWords(base.Jars)
	if a.Runs > 1 {
		jars = fmt.Sprintf("the %s of %d runs", jars, a.Runs)
	}
	switch verdict {
	case whatif.NoLoad:
		return fmt.Sprintf("No: no load is planned, so %s changes nothing.", another)
	case whatif.TooHeavy:
		return fmt.Sprintf("No: the load on %s would be too much for the heat there is, so it saves nothing%s.",
			another, rackTail(a))
	case whatif.NoMoreLookedAt:
		return fmt.Sprintf("No more than %d racks are looked at; the %d you have make %s of %s.",
			whatif.MostRacks, a.Have, countLoads(base.Likely), jars)
	case whatif.TooLow:
		low := TooLow(own, a.Units)
		return "No: " + strings.ToLower(low[:1]) + low[1:] + rackTail(a) + "."
	case whatif.CansMore:
		return fmt.Sprintf("No: %s saves no load, but cans %s in %s instead of %s%s.",
			another, jarWords(option.Jars), countLoads(option.Likely), jars, rackTail(a))
	case whatif.NeverPays:
		why := ""
		switch {
		case a.Runs == 1 && base.Likely == 1:
			why = ", and fewer there are not"
		case own.Tall > 0:
			why = fmt.Sprintf(", as another layer of %ss needs %s inside and the canner has %s",
				own.TallJar, own.Tall.Both(a.Units), own.CannerHeight.Both(a.Units))
		}
		return fmt.Sprintf("No: %s would never pay, because %s make %s with it or without%s%s.",
			another, jars, countLoads(base.Likely), why, rackTail(a))
	}

	what := fmt.Sprintf("saves a load of %s %s", jars, frequency(option.SavedChance))
	if a.Runs > 1 {
		what = fmt.Sprintf("saves %s loads a year of %s", rough(option.SavedLoads), jars)
	}
	hours := base.HoursPerYear(a.Question.RunsPerYear) - option.HoursPerYear(a.Question.RunsPerYear)
	what += fmt.Sprintf(" and %s in the canner a year", roughHours(hours))
	return fmt.Sprintf("%s: %s %s, and %s.", leads[verdict], another, what, rackPays(a.Question, option))
}

// rackPays says whether a rack pays for itself, and in how many years.
func rackPays(q whatif.RackQuestion, option whatif.RackOption) string {
	years := option.PaybackRuns / float64(q.RunsPerYear)
	worth := ""
	if option.HourWorth > 0 {
		worth = fmt.Sprintf(", or within a year if an hour of yours is worth %s", cents(option.HourWorth))
	}
	switch {
	case option.Pays && q.HourValue == nil:
		return fmt.Sprintf("pays for itself by fuel alone in %s%s", payback(option.PaybackRuns, years), worth)
	case option.Pays:
		return fmt.Sprintf("pays for itself in %s", payback(option.PaybackRuns, years))
	case worth != "":
		return fmt.Sprintf("never pays for itself at these prices%s", strings.Replace(worth, ", or", ", though it does", 1))
	}
	return "never pays for itself at these prices"
}

// rackTail is the best way to save a load where a rack does not.
func rackTail(a whatif.RackAnswer) string {
	if len(a.Instead) == 0 {
		return ""
	}
	one := a.Instead[0]
	text := fmt.Sprintf("; %s makes it %s", Instead(one.Code), countLoads(one.Loads))
	if one.Uncanned > stock.Splash {
		text += fmt.Sprintf(" and leaves %s uncanned", one.Uncanned.Both(a.Units))
	}
	return text
}

func jarWords(jars []stock.JarCount) string {
	var texts []string
	for _, j := range jars {
		texts = append(texts, stock.CountJars(j.Count, j.Jar))
	}
	return strings.Join(texts, ", ")
}

func countLoads(n int) string {
	if n == 1 {
		return "1 load"
	}
	return fmt.Sprintf("%d loads", n)
}

func frequency(share float64) string {
	switch times := math.Round(10 * share); {
	case share == 1:
		return "every time"
	case times >= 10:
		return "nearly every time"
	case times < 1:
		return "less than once in 20 times"
	default:
		return fmt.Sprintf("%.0f times in 10", times)
	}
}

// roughHours writes hours a year no finer than they are known.
func roughHours(d time.Duration) string {
	if h := d.Hours(); h >= 9.5 {
		return fmt.Sprintf("%.0f h", h)
	}
	return fmt.Sprintf("%.1f h", d.Hours())
}

func payback(runs, years float64) string {
	words := fmt.Sprintf("%.0f runs", runs)
	if runs == 1 {
		words = "1 run"
	}
	if years < 1 {
		return words + ", within a year"
	}
	if text := rough(years); text != "1" {
		return fmt.Sprintf("%s, %s years", words, text)
	}
	return words + ", a year"
}

// rough writes a number to a tenth below ten and whole above.
func rough(x float64) string {
	if x < 10 {
		return strings.TrimSuffix(fmt.Sprintf("%.1f", x), ".0")
	}
	return fmt.Sprintf("%.0f", x)
}

// cents writes an amount to the hundredth where that matters.
func cents(m runfile.Money) string {
	if m >= 100 {
		return fmt.Sprintf("%.0f", m)
	}
	return fmt.Sprintf("%.2f", m)
}

// GivesUp says what another way to save a load costs.
func GivesUp(i whatif.Instead, u quantity.System) string {
	var parts []string
	switch i.Code {
	case "quarts":
		parts = append(parts, "broth by the pint")
	case "pints":
		parts = append(parts, "broth by the quart, and more jars to wash")
	case "mix":
		parts = append(parts, "the pints' shorter time: all of a mixed load takes the quarts'")
	case "freeze":
		parts = append(parts, i.Uncanned.Both(u)+" in all goes uncanned, and needs room in the freezer")
	case "freeze-dry":
		text := i.Uncanned.Both(u) + " in all goes uncanned, onto the dryer's trays"
		if i.Batches > 1 {
			text += fmt.Sprintf(", which it then fills %d times", i.Batches)
		}
		parts = append(parts, text)
	case "simmer-down":
		parts = append(parts, fmt.Sprintf("%s boils away in %s more with the lid off, and it gets %.1f times as strong",
			i.BoiledAway.Both(u), quantity.FormatDuration(i.Longer), i.Stronger))
	}
	if (i.Code == "quarts" || i.Code == "pints" || i.Code == "mix") && i.Uncanned > stock.Splash {
		parts = append(parts, i.Uncanned.Both(u)+" more fills no jar")
	}
	return strings.Join(parts, "; ")
}
