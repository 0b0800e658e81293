package words

import (
	"fmt"
	"strconv"
	"strings"

	"brothrun/stock/canner"
	"brothrun/stock/history"
	"brothrun/stock/kettle"
	"brothrun/stock/quantity"
)

// Rests says what the estimate rests on besides the first guess; nothing where that is
// all.
func Rests(r kettle.Rests) string {
	if r.Notes == 0 {
		return ""
	}
	text := fmt.Sprintf("The estimate rests on %s, %s of this pot and lid", notedRuns(r.Notes), orNone(r.Alike))
	if r.Width > 0 {
		text += "; the band is " + width(r.Width)
	}
	return text + "."
}

func notedRuns(n int) string {
	if n == 1 {
		return "1 noted run"
	}
	return fmt.Sprintf("%d noted runs", n)
}

// orNone is a count, as it is said of nothing too.
func orNone(n int) string {
	if n == 0 {
		return "none"
	}
	return strconv.Itoa(n)
}

// width says how wide a band is against the one without notes.
func width(over float64) string {
	for _, row := range []struct {
		below float64
		text  string
	}{
		{0.29, "a quarter as wide as"}, {0.38, "a third as wide as"}, {0.45, "two fifths as wide as"},
		{0.57, "half as wide as"},
		{0.7, "three fifths as wide as"}, {0.85, "three quarters as wide as"}, {1.05, "about as wide as"},
	} {
		if over < row.below {
			return row.text + " without them"
		}
	}
	return "wider than without them, since they fit the first guess badly"
}

// lids are the lids as a cook says them.
var lids = map[kettle.Lid]string{kettle.LidOff: "With the lid off", kettle.LidAjar: "With the lid ajar",
	kettle.LidOn: "With the lid on"}

// Habits says what the notes tell of a pot, its lid and its bones, beside what would be
// thought without them.
func Habits(h history.Habits, u quantity.System) []string {
	unit, in := "qt", quantity.VolumeRate.QuartsPerHour
	if u == quantity.Metric {
		unit, in = "l", quantity.VolumeRate.LitresPerHour
	}
	pot := "your pot"
	if h.Pot != "" {
		pot = "the " + h.Pot
	}
	rate := func(b quantity.Band[quantity.VolumeRate]) string {
		return fmt.Sprintf("%.2f to %.2f %s an hour, likely %.2f", in(b.Low), in(b.High), unit, in(b.Likely))
	}
	share := func(b quantity.Band[float64]) string {
		return fmt.Sprintf("%.0f to %.0f %% of their weight, likely %.0f %%", 100*b.Low, 100*b.High, 100*b.Likely)
	}
	boilOff := fmt.Sprintf("%s %s loses %s", lids[h.Lid], pot, rate(h.BoilOff.Now))
	held := "The drained bones hold " + share(h.Held.Now)
	return []string{
		boilOff + before(h.BoilOff.Told, rate(h.BoilOff.Before)),
		held + before(h.Held.Told, share(h.Held.Before)),
	}
}

// LearnedFrom says from how many runs that is.
func LearnedFrom(h history.Habits) string {
	return fmt.Sprintf("That is by %s, %s of this pot and lid.", notedRuns(h.All), orNone(h.Alike))
}

func before(told bool, figures string) string {
	if !told {
		return ": your notes do not tell yet (without them " + figures + ")."
	}
	return " (without your notes " + figures + ")."
}

// NextToMeasure is what would narrow the next estimate most.
func NextToMeasure(causes []kettle.Cause) string {
	for _, cause := range causes {
		if what, measure := Cause(cause, Form{}); measure != "" && cause.Share > 0.1 {
			return fmt.Sprintf("What would help most: %s makes %.0f %% of what is left of the spread; %s.", what,
				100*cause.Share, measure)
		}
	}
	return ""
}

// Pace says how long the phases of a load take by the notes, against what was planned;
// nothing where no note tells.
func Pace(p canner.Pace) string {
	var parts []string
	for _, phase := range []struct {
		factor canner.Factor
		to     string
	}{{p.HeatUp, "to steam"}, {p.Pressurise, "to pressure"}, {p.Depressurise, "to zero"}} {
		if phase.factor.Likely > 0 {
			parts = append(parts, fmt.Sprintf("%.1f times as long %s", phase.factor.Likely, phase.to))
		}
	}
	if len(parts) == 0 {
		return ""
	}
	return "The canner takes " + strings.Join(parts, ", ") +
		" as reckoned without notes; never less than published is planned."
}

// needs are what a run has to say to be learned from.
var needs = map[string]string{
	history.NeedsVolume:    "how much was strained",
	history.NeedsHotOrCold: "whether that was hot or cold",
	history.NeedsTopUp:     "whether it was topped up, and how much (none is an answer)",
	history.NeedsSimmer:    "how long it simmered",
	history.NeedsLid:       "the lid",
	history.NeedsSense:     "figures a pot can have",
}

// Needs lists what a run does not say.
func Needs(codes []string) string {
	var missing []string
	for _, code := range codes {
		missing = append(missing, needs[code])
	}
	return strings.Join(missing, "; ")
}

// InDoubt says that a note is likely none of a measurement; alone, that it is the only one.
func InDoubt(t history.Told, alone bool, f Form) string {
	if alone {
		return f.say("%v was noted where %v was expected: this note or the guess is off; a second will tell.", t.Noted,
			t.Expected)
	}
	return f.say("in doubt: %v was noted where %v was expected. Another unit, a spill, hot taken for cold, or topped up? "+
		"It weighs little, and is kept.", t.Noted, t.Expected)
}

// DrainedInDoubt says that the weight of drained solids is likely none of a measurement.
func DrainedInDoubt(t history.Told, f Form) string {
	return f.say("in doubt: %v of drained bones was noted where %v was expected. Another unit, or weighed in their bowl? "+
		"It weighs little, and is kept.", t.Drained, t.DrainedExpected)
}

// Differ says that runs differ more than measuring explains, and Rough that the figures
// are rough; nothing where they do not and are not.
func Differ(l *history.Learned) (texts []string) {
	if l.Differ > 1.3 {
		texts = append(texts, fmt.Sprintf("Your runs differ %.1f times as much as measuring explains.", l.Differ))
	}
	if l.Rough() {
		texts = append(texts, "These figures are rough: the notes lie far from the first guess, or contradict one another.")
	}
	return texts
}
