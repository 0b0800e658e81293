package whatif

import (
	"fmt"
	"math"
	"strings"
	"time"

	"brothrun/stock"
	"brothrun/stock/quantity"
	"brothrun/stock/runfile"
)

// low says that the canner is too low for a layer more.
func (p RackPlan) low(u quantity.System) string {
	return fmt.Sprintf("The canner is too low for a %s layer: even %ss need %s inside, and it has %s",
		ordinal(p.LowestLayer), p.LowestJar, p.LowestNeed.Both(u), p.CannerHeight.Both(u))
}

func ordinal(n int) string {
	words := []string{"", "first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth"}
	if n < len(words) {
		return words[n]
	}
	return fmt.Sprintf("%dth", n)
}

// How sure a saving has to be to be called yes, luck or hardly. Common practice,
// no source.
const likelyEnough, luck = 0.8, 0.2

// worthIt is how soon a rack has to be paid back to be called worth its money;
// common practice, no source.
const worthIt = 3 // years

// sentence is the answer to: would another rack pay?
func (a RackAnswer) sentence() string {
	if len(a.Plans) == 0 {
		return "No: what is refused is not canned, so no rack saves a load; freeze or freeze-dry this broth."
	}
	own := a.Plans[0]
	base := own.with(a.Have)
	another := fmt.Sprintf("a %s rack", ordinal(a.Have+1))
	if base.Likely == 0 {
		return fmt.Sprintf("No: no load is planned, so %s changes nothing.", another)
	}
	jars := jarWords(base.Jars)
	if a.Runs > 1 {
		jars = fmt.Sprintf("the %s of %d runs", jars, a.Runs)
	}
	if len(own.Options) <= a.Have {
		if own.TooMuch != "" {
			return fmt.Sprintf("No: the load on %s would be too much for the heat there is, so it saves nothing%s.", another, a.tail())
		}
		if own.LowestJar == "" {
			return fmt.Sprintf("No more than %d racks are looked at; the %d you have make %s of %s.", mostRacks, a.Have, countLoads(base.Likely), jars)
		}
		low := own.low(a.Units)
		return "No: " + strings.ToLower(low[:1]) + low[1:] + a.tail() + "."
	}
	option := own.Options[a.Have]
	for _, more := range own.Options[a.Have:] {
		if option.SavedChance < luck && more.SavedChance >= luck {
			option = more // one more rack does nothing, two do
			another = fmt.Sprintf("%d racks instead of %d", more.Racks, a.Have)
		}
	}
	if option.SavedChance == 0 {
		if a.Runs == 1 && option.Leftover < base.Leftover && !stock.SameJars(option.Jars, base.Jars) {
			return fmt.Sprintf("No: %s saves no load, but cans %s in %s instead of %s%s.", another, jarWords(option.Jars), countLoads(option.Likely), jars, a.tail())
		}
		why := ""
		switch {
		case a.Runs == 1 && base.Likely == 1:
			why = ", and fewer there are not"
		case own.Tall > 0:
			why = fmt.Sprintf(", as another layer of %ss needs %s inside and the canner has %s", own.TallJar, own.Tall.Both(a.Units), own.CannerHeight.Both(a.Units))
		}
		return fmt.Sprintf("No: %s would never pay, because %s make %s with it or without%s%s.", another, jars, countLoads(base.Likely), why, a.tail())
	}

	what := fmt.Sprintf("saves a load of %s %s", jars, frequency(option.SavedChance))
	if a.Runs > 1 {
		what = fmt.Sprintf("saves %s loads a year of %s", rough(option.SavedLoads), jars)
	}
	hours := base.HoursPerYear(a.Question.RunsPerYear) - option.HoursPerYear(a.Question.RunsPerYear)
	what += fmt.Sprintf(" and %s in the canner a year", roughHours(hours))
	years := option.PaybackRuns / float64(a.Question.RunsPerYear)
	worth := ""
	if option.HourWorth > 0 {
		worth = fmt.Sprintf(", or within a year if an hour of yours is worth %s", cents(option.HourWorth))
	}
	pays := ""
	switch {
	case option.Pays && a.Question.HourValue == nil && worth == "":
		pays = fmt.Sprintf("pays for itself by fuel alone in %s", payback(option.PaybackRuns, years))
	case option.Pays && a.Question.HourValue == nil:
		pays = fmt.Sprintf("pays for itself by fuel alone in %s%s", payback(option.PaybackRuns, years), worth)
	case option.Pays:
		pays = fmt.Sprintf("pays for itself in %s", payback(option.PaybackRuns, years))
	case worth != "":
		pays = fmt.Sprintf("never pays for itself at these prices%s", strings.Replace(worth, ", or", ", though it does", 1))
	default:
		pays = "never pays for itself at these prices"
	}
	lead := "Yes"
	switch {
	case option.SavedChance < luck:
		lead = "Hardly"
	case option.SavedChance < likelyEnough:
		lead = "It depends on luck"
	case option.Pays && years <= worthIt:
	case a.Question.HourValue == nil:
		lead = "For your time, not for the money"
	default:
		lead = "Not for the money"
	}
	return fmt.Sprintf("%s: %s %s, and %s.", lead, another, what, pays)
}

// tail is the best way to save a load where a rack does not.
func (a RackAnswer) tail() string {
	if len(a.Instead) == 0 {
		return ""
	}
	one := a.Instead[0]
	text := fmt.Sprintf("; %s makes it %s", one.What, countLoads(one.Loads))
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
