package words

import (
	"strings"
	"time"

	"brothrun/stock"
	"brothrun/stock/quantity"
	"brothrun/stock/remark"
	"brothrun/timeline"
)

// Trouble is what may go wrong on the day, in a few words, and what to do then.
type Trouble struct{ What, Do string }

// Troubles are those of a plan, in the order in which they may come, a line each.
//
// That the jars beside a broken one count is common practice, no source.
func Troubles(plan timeline.Plan, f Form) (all []Trouble) {
	b := plan.Batch
	if b.EndsAtStraining() {
		return nil
	}
	add := func(what, do string, facts ...any) { all = append(all, Trouble{what, f.say(do, facts...)}) }
	add("Chill too slow", "Over %v 2 h after %v: at once back up to %v, and chill it a faster way, once. Over %v after "+
		"6 h, or missed again: throw it away.", quantity.Fahrenheit(70), quantity.Fahrenheit(135), quantity.Fahrenheit(165),
		quantity.Fahrenheit(41))
	until := ""
	for _, use := range plan.UseBy {
		if use.What == stock.InTheFridge {
			until = f.say(" Can, freeze or eat it by %s.", use.By)
		}
	}
	add("Late", "Nothing hot waits: chill it, to %v within 2 h and %v within 6 h, into the fridge.%s",
		quantity.Fahrenheit(70), quantity.Fahrenheit(41), until)
	if len(b.Loads) == 0 {
		return all
	}
	pressure, span := "its pressure", "its full time"
	if sameSetting(b.Loads) {
		pressure = b.Pressures(b.Loads[0], quantity.Pressure.Stamped)
		span = "the full " + quantity.FormatDuration(b.Loads[0].Process)
	}
	add("Pressure fell", bringBack+". Heat off before that: not processed; back to a full boil and canned again within "+
		"2 h, or into the fridge.", pressure, span)
	add("Jar broke", "In the canner: go on for the full time, and throw its broth away; the other jars count. Empty: "+
		"another one, as hot.")
	for _, note := range b.Cautions {
		if note.Code == remark.SealsIn24Hrs {
			add("Not sealed", "%v", note)
		}
	}
	return all
}

// bringBack is what a load asks for that fell below a pressure, and for how long.
const bringBack = "Bring it back to %v, then %v again"

func sameSetting(loads []stock.Load) bool {
	for _, load := range loads {
		if load.Pressure != loads[0].Pressure || load.Process != loads[0].Process {
			return false
		}
	}
	return true
}

// AsBefore points to where it is said already how to do a step, in a run of that name
// where it is another.
func AsBefore(first timeline.Step, of string, f Form) string {
	if of != "" {
		of = " of " + of
	}
	if len(first.Loads) > 0 {
		return f.say("As for %v%s.", first.Loads, of)
	}
	return f.say("As above%s.", of)
}

// HeldAt is what all the loads of a batch are held at, for how long and by which gauge;
// nil where that differs, or nobody knows the gauge.
func HeldAt(b stock.Batch) []string {
	if !sameSetting(b.Loads) || b.OtherGauge != nil {
		return nil
	}
	load := b.Loads[0]
	return []string{"At pressure", load.Pressure.Stamped(b.Units), quantity.FormatDuration(load.Process) + ", " +
		string(load.Gauge) + " gauge"}
}

// Phases are the columns of a canner log, in the order in which they come, and under
// each how long a load takes to it: what follows a plus is never cut short.
var Phases = []string{"Steady steam", "Weight on", "At pressure", "Fell / again", "Heat off", "At zero", "Lid off"}

// PhaseSpans is that of a load, by the columns.
func PhaseSpans(load stock.Load) []string {
	c := load.Cycle
	after := func(span quantity.Band[time.Duration]) string { return "+ " + quantity.FormatSpan(span) }
	return []string{quantity.FormatSpan(c.HeatUp), after(c.Vent), quantity.FormatSpan(c.Pressurise), "",
		"+ " + quantity.FormatDuration(load.Process), quantity.FormatSpan(c.Depressurise), after(c.Wait)}
}

// LogAdvice says how a canner log is kept.
const LogAdvice = "Write down when. In small figures how long it likely takes; what follows a + is never cut short, " +
	"and begins again after a fall."

// Setting is what a load is held at, and for how long.
func Setting(b stock.Batch, load stock.Load) string {
	text := b.Pressures(load, quantity.Pressure.Stamped) + " for " + quantity.FormatDuration(load.Process)
	if load.Unprocessed {
		text += "; NOT PROCESSED"
	}
	return text
}

// Runs names several runs, or what goes in: "Turkey frames and Beef bones".
func Runs(names []string) string {
	if n := len(names); n > 1 {
		return strings.Join(names[:n-1], ", ") + " and " + names[n-1]
	}
	return strings.Join(names, "")
}
