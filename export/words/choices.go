package words

import (
	"fmt"
	"strings"

	"brothrun/timeline"
)

// Days are the days of a choice, from the first step to the wiping down.
func Days(c timeline.Choice) string {
	from, to := c.Begins.Format(day), c.Ends.Format(day)
	if from == to {
		return from
	}
	return from + " to " + to
}

// Choosing says how another day is taken, and kept.
func Choosing(choices []timeline.Choice, f Form) string {
	text := "Needed: hands on or watching, until it is wiped down."
	if !f.Flags {
		return text
	}
	other := choices[len(choices)-1]
	for _, c := range choices {
		if !c.Chosen && c.Number < other.Number {
			other = c
		}
	}
	return text + fmt.Sprintf(` Another: --choose %d; for good, start = "%s" in the run file in place of the other times.`,
		other.Number, other.Begins.Format(timeline.Typed))
}

// NoSuchChoice says which choices there are instead.
func NoSuchChoice(e *timeline.NoSuchChoice) string {
	var all []string
	for _, c := range e.Choices {
		all = append(all, fmt.Sprintf("%d (%s)", c.Number, Days(c)))
	}
	only := ""
	if len(all) == 1 {
		only = "only "
	}
	return fmt.Sprintf("choose %d: there is %s%s", e.Asked, only, strings.Join(all, ", "))
}
