package words

import (
	"slices"
	"strings"
	"time"

	"brothrun/stock"
	"brothrun/stock/quantity"
	"brothrun/stock/record"
	"brothrun/stock/settle"
	"brothrun/timeline"
)

// ofRecord are the sentences of what follows from a note, and of what a note may not
// say, by code or by code and case.
var ofRecord = map[string]string{
	timeline.GoesOn: "%v and what follows at once goes on until %v, and %v. Somebody has to stay with it: what is on the " +
		"heat, or warm, is not left.",
	timeline.GoesOn + "/later": "%v and what follows at once goes on until %v, and %v. Stay with it, or stop before it: " +
		"chill the broth again as on the first day, keep it in the fridge, and can it by %s.",
	timeline.RestUnfit: "The rest fits nowhere as it is: %s. %s. The safe way to stop: chill what is hot, to 70 °F " +
		"within 2 h and 41 °F within 6 h, into the fridge%s.",
	timeline.MeatTooLong: "By the notes the meat is out of the fridge until %v, and it may be until %v, 2 h after " +
		"the straining. What is out for longer: throw it away.",
	timeline.MeatWaits: "No hands for the meat in time: the birds go into the fridge by %v, 2 h after the straining, " +
		"no more than 2 in (5.1 cm) deep, and are picked out of it.",
	timeline.CoolAgain: "The broth for %v is hot and has to wait: chill it again as on the first day, to 70 °F within 2 " +
		"h and 41 °F within 6 h, and into the fridge. It is canned, frozen or eaten by %s.",

	timeline.ReheatBroth: "The broth was not at 70 °F two hours after 135 °F (%v). Bring it back to 165 °F (74 °C) " +
		"by %v and chill it again faster, in more ice or in smaller pots; " +
		"after that, or if it misses again, throw it away.",
	timeline.ChillUnproven: "The readings do not show that the broth was at 70 °F by %v and at 41 °F by %v. " +
		"If it was, note a reading from then with its time. If you do not know, throw it away.",
	timeline.RedoLoad: "What is in load %d (%v) is not safe as it is. By %v bring it back to a full boil and can it " +
		"again, in clean hot jars with new lids, for the full time; " +
		"it is planned as a load of its own. Or keep it in the fridge and eat it within 3 days, boiled; later than both, " +
		"throw it away.",
	timeline.RedoLoad + "/never": "What is in load %d (%v) is thrown away, untasted.",
	timeline.UnsealedJars: "%v did not seal. By %v, 24 h after the canner: bring the broth back to a full boil and can " +
		"it again for the full time, with new lids in clean jars; " +
		"or into the fridge, and use it by %s; or freeze it with room to swell.",
	timeline.UnsealedJars + "/late": "%v did not seal and came out of the canner on %v, more than 24 h before: throw the " +
		"broth away untasted.",

	timeline.NotProcessed: "Load %d is NOT PROCESSED",
	timeline.NotProcessed + "/heat-off": "Load %d is NOT PROCESSED (%v): the heat was off after %v at pressure, and the " +
		"tested time is %v.",
	timeline.NotProcessed + "/pressure": "Load %d is NOT PROCESSED (%v): the heat was off while it was not at pressure.",
	timeline.NotProcessed + "/zero": "Load %d is NOT PROCESSED (%v): the gauge was at zero, and nothing says that " +
		"the heat was off after the full time. If the heat went off after the full time, note heat-off with that time.",
	timeline.NotProcessed + "/lid-off": "Load %d is NOT PROCESSED (%v): the lid was off, and nothing says that the heat " +
		"was off after the full time. If the heat went off after the full time, note heat-off with that time.",
	timeline.NotProcessed + "/vented": "Load %d is NOT PROCESSED (%v): it vented for %v, and %v is what drives the " +
		"air out.",
	timeline.NotProcessed + "/kept": "Load %d is NOT FIT TO EAT (%v): it went into the canner %v after the " +
		"straining, and broth keeps %v. Throw it away.",
	timeline.NotProcessed + "/raw": "Load %d is NOT PROCESSED (%v): by the notes it went into the canner before the " +
		"broth was strained.",
	timeline.NotProcessed + "/again": "Load %d is NOT PROCESSED (%v): the gauge was at zero in between, and it was " +
		"not vented again.",
	timeline.HeatOffTooSoon: "load %d is at pressure since %[3]v: the heat may go off at %[2]v, not before. " +
		"If the pressure fell, note fell, and heat-off if it is off: the load then counts as not processed",
	timeline.LidOffTooSoon: "load %d is at zero since %[3]v: the lid may come off at %[2]v, not before",
	timeline.VentTooShort: "load %d vents since %[3]v: the weight may go on at %[2]v, not before. If it " +
		"went on sooner, take it off, let it steam again, and note steam",
	timeline.NotAtPressure: "load %d is not at pressure: %v cannot be; it is %v since %v",
	timeline.NotAtPressure + "/unsaid": "load %d is not at pressure by the notes: %v cannot be; note at-pressure first, " +
		"with its time",
	timeline.LoadOver:              "the lid of load %d came off at %[3]v: %[2]v cannot be after that",
	timeline.OutOfOrder + "/first": "load %d: %v comes after %v, which is not noted; note that first, with its time",
	timeline.OutOfOrder + "/after": "load %d: %v cannot come after %v (%v); what was wrong is taken back by undo",
	timeline.NotYet: "%v cannot be before %v has begun, at %v; if it began earlier, say so first: " +
		"began %v, with its time",
	timeline.TooMuch: "%v of %v cannot be: the pot gives %v at the most",
	timeline.SeveralPots: "a reading is of one pot, and this run has %v, so it is not kept: write it on paper, with the pot. " +
		"Each has 2 h to 70 °F (21 °C) and 6 h to 41 °F (5 °C) from its straining; broth that misses one is thrown away",
	timeline.OfAllPots: "%v is of all %d pots together: write that of one on paper, and note the sum once %v is strained, at %v " +
		"by the plan; if that was sooner, say so first: began %v, with its time",
	timeline.NotStrained: "a reading counts from the straining, and nothing says when that was: note " +
		"strained first, with its time",
	timeline.StillOn: "load %d is in the canner, %v: note lid-off of that first, with its time",
	timeline.KeptTooOld: "load %d cannot be canned: the broth was strained %v ago and keeps %v. Throw it " +
		"away; if it was canned earlier, give the time",
	timeline.NoSuchStep:            "there is no step %q; the steps are %v",
	timeline.NoSuchLoad:            "there is no load %d; the plan has %d",
	timeline.NoSuchJar:             "%q is no jar of this plan, which fills %v; name its sizes in the run file, jars",
	timeline.MayNotSkip:            "%v cannot be skipped: the rest is only safe with it",
	timeline.TooManyJars:           "%v %v cannot be: there are %v filled by then",
	timeline.TooManyJars + "/load": "%v in load %d cannot be: %d stand in the canner",
	timeline.NotedAhead:            "%v is still to come: is the time right?",
	timeline.NotedBefore:           "%v is more than a day before the run begins (%v): is the date right?",
	timeline.HeatUnsaid:            "Hot or cold? Hot is taken, and later runs learn nothing from it: note it again, and say which.",
	timeline.VolumeOdd + "/pots":   "%v of %v, where %v was expected: is that of all pots together, and in quarts?",
	timeline.VolumeOdd: "%v of %v, where %v was expected: were they pints, or was some spilt or left in " +
		"the pot?",
}

// phases are what a load does, as within a sentence.
var phases = map[timeline.Phase]string{
	timeline.NotOn: "not on the heat", timeline.Heating: "heating up", timeline.Venting: "venting",
	timeline.Pressurising: "coming to pressure", timeline.AtPressure: "at pressure", timeline.Fallen: "below the pressure",
	timeline.LosingPressure: "losing its pressure", timeline.AtZero: "at zero", timeline.Opened: "opened",
}

// Phase is what a load does, as within a sentence: "at pressure".
func Phase(phase timeline.Phase) string { return phases[phase] }

// recordFacts fits the facts of a note of the record to its sentence, and its key.
func recordFacts(key string, facts []any, f Form) (string, []any) {
	switch key {
	case timeline.RestUnfit:
		unfit := facts[0].(*timeline.Unfit)
		var ways []string
		for _, way := range facts[1].([]timeline.WayOut)[:min(2, len(facts[1].([]timeline.WayOut)))] {
			ways = append(ways, WayOut(unfit, way, f))
		}
		until := ""
		if keeps := facts[2].(time.Time); !keeps.IsZero() {
			until = f.say(", and can, freeze or eat it by %s", keeps)
		}
		return key, []any{Unfit(unfit, f), "What would help: " + strings.Join(ways, ", or "), until}
	case timeline.GoesOn:
		role, keeps := facts[0].(timeline.Part).Role, facts[3].(time.Time)
		if keeps.IsZero() || role < timeline.Reheat {
			return key, facts[:3]
		}
		return key + "/later", facts
	case timeline.OfAllPots:
		return key, []any{facts[0], facts[1], settle.PotWords(facts[2].(string)), facts[3], facts[4]}
	case timeline.RedoLoad:
		if facts[2].(time.Time).IsZero() {
			return key + "/never", facts[:2]
		}
	case timeline.NotAtPressure:
		if facts[3].(time.Time).IsZero() {
			return key + "/unsaid", facts[:2]
		}
	case timeline.NotProcessed + "/pressure", timeline.NotProcessed + "/zero", timeline.NotProcessed + "/lid-off",
		timeline.NotProcessed + "/again",
		timeline.NotProcessed + "/raw":
		return key, facts[:2]
	}
	return key, facts
}

// jarsOf writes jars of several sizes: "7 quarts and 2 pints".
func jarsOf[J record.JarCount | stock.JarCount](jars []J) string {
	var texts []string
	for _, j := range jars {
		count := stock.JarCount(j)
		texts = append(texts, stock.CountJars(count.Count, count.Jar))
	}
	if len(texts) == 0 {
		return "none"
	}
	return strings.Join(texts, " and ")
}

// Jars writes jars of several sizes: "7 quarts and 2 pints".
func Jars(jars []stock.JarCount) string { return jarsOf(jars) }

// State is how far a step has come, in a word; nothing of one to come.
func State(state timeline.State) string {
	return [...]string{timeline.ToCome: "", timeline.Begun: "begun", timeline.Ended: "ended",
		timeline.Skipped: "skipped"}[state]
}

// Came is what is said behind a step of a run with notes: how far it has come, and
// where it was planned if elsewhere.
func Came(step timeline.Step) string {
	var said []string
	switch step.State {
	case timeline.Begun:
		said = append(said, "on now")
	case timeline.Ended:
		said = append(said, "done")
	case timeline.Skipped:
		said = append(said, "skipped")
	}
	from := step.Planned.From
	if !from.IsZero() && !from.Round(time.Minute).Equal(step.Start.Round(time.Minute)) {
		layout := "15:04"
		if from.YearDay() != step.Start.YearDay() {
			layout = clock
		}
		said = append(said, "planned "+timeline.Clock(from, layout))
	}
	if len(said) == 0 {
		return ""
	}
	return " (" + strings.Join(said, "; ") + ")"
}

// whats are what is noted, as within a sentence; the others are said by their word.
var whats = map[record.What]string{
	record.ToppedUp: "topped up", record.AtPressure: "at pressure", record.HeatOff: "heat off",
	record.Fell: "fell below its pressure", record.Zero: "at zero", record.Steam: "in steady steam",
	record.Vented: "vented, weight on",
	record.LidOff: "lid off", record.Ready: "ready to fill", record.Drained: "drained solids",
}

// What is what a note says happened: "strained 11 qt (10.4 l), hot", "load 1 at pressure".
func What(e record.Entry, f Form) string {
	text := whats[e.What]
	if text == "" {
		text = string(e.What)
	}
	if len(e.Jars) > 0 {
		text += ": " + jarsOf(e.Jars)
		if e.Load > 0 {
			text += f.say(" (load %d)", e.Load)
		}
		return text
	}
	switch {
	case e.Load > 0:
		text = f.say("load %d ", e.Load) + text
	case e.Step != "":
		text += " " + e.Step
	}
	if how := amount(e, f); how != "" {
		text += " " + how
	}
	return text
}

// Happened is What for a page, which calls a step by its title: began “Heat the pot to a
// simmer”.
func Happened(e record.Entry, plan timeline.Plan, f Form) string {
	text := What(e, f)
	i := slices.IndexFunc(plan.Steps, func(s timeline.Step) bool { return s.ID == e.Step })
	if e.Load > 0 || e.Step == "" || i < 0 {
		return text
	}
	return strings.Replace(text, " "+e.Step, " “"+Title(plan, plan.Steps[i], f)+"”", 1)
}

// amount is how much of it a note says.
func amount(e record.Entry, f Form) string {
	switch {
	case e.What == record.ToppedUp && e.Volume == 0:
		return "none"
	case e.What == record.Strained && !e.Cold:
		return f.say("%v, hot", e.Volume)
	case e.Volume > 0:
		return e.Volume.Both(f.Units)
	case e.Weight > 0:
		return e.Weight.Both(f.Units)
	case e.What == record.Reading:
		return f.say("%v", e.Temperature)
	case e.Span > 0:
		return f.say("%v", e.Span)
	}
	return e.Text
}

// Measured is a note as What says it, if it measures something of the batch; else
// nothing.
func Measured(e record.Entry, f Form) string {
	switch e.What {
	case record.ToppedUp, record.Strained, record.Drained, record.Ready, record.Filled, record.Broken,
		record.Unsealed, record.Sealed, record.Dried, record.Frozen:
		return What(e, f)
	}
	return ""
}

// CanningClock is what a load on the heat asks for now: what it waits for, since when,
// and what to note then.
func CanningClock(c timeline.Canning, load stock.Load, b stock.Batch) string {
	f := Form{Units: b.Units}
	pressure := b.Pressures(load, quantity.Pressure.Stamped)
	switch c.Phase {
	case timeline.Heating:
		return "Lid on, vent open, until the steam is steady. Then note steam"
	case timeline.Venting:
		return f.say("Venting since %v. The weight goes on at %v, not before. Then note vented", c.Since, c.Until)
	case timeline.Pressurising:
		return f.say("Coming to pressure since %v. The time begins when the gauge shows %v. Then note at-pressure", c.Since,
			pressure)
	case timeline.AtPressure:
		return f.say("At pressure since %v. The heat goes off at %v, not before. If it shows less than %v, note fell",
			c.Since, c.Until, pressure)
	case timeline.Fallen:
		return f.say("BELOW THE PRESSURE since %v: no time runs. "+bringBack+". Then note at-pressure", c.Since, pressure,
			f.say("the full %v", load.Process))
	case timeline.LosingPressure:
		return f.say("Heat off since %v. Leave it alone until it is at zero by itself. Then note zero", c.Since)
	case timeline.AtZero:
		return f.say("At zero since %v. The lid comes off at %v, not before. Then note lid-off", c.Since, c.Until)
	}
	return ""
}

// Chilling is how a chill stands by its readings at an instant, and by when it has to be
// colder; nothing where that is said as a warning, or nothing is known or due any more.
func Chilling(c timeline.Chilling, at time.Time) string {
	f := Form{}
	if c.Pot != "" {
		return chillingOf(c, at)
	}
	by70F, by41F := c.By70F.In(at.Location()), c.By41F.In(at.Location())
	past70F := c.Stands == timeline.Cooling && c.Last.Temperature <= quantity.Fahrenheit(70)
	switch {
	case c.Stands == timeline.InTime:
		return "Cold in time: the chill is done."
	case c.From.IsZero() || c.Stands != timeline.Cooling && c.Stands != timeline.Unread ||
		at.After(by41F.Add(24*time.Hour)):
		return ""
	case at.After(by41F):
		return f.say("The broth had to be at 41 °F (5 °C) by %v, and nothing says that it was: take its temperature, and "+
			"note it.", by41F)
	case past70F:
		return f.say("Has to be at 41 °F (5 °C) by %v.", by41F)
	case at.After(by70F):
		return f.say("The broth had to be at 70 °F (21 °C) by %v, and nothing says that it was: take its temperature, and "+
			"note it.", by70F)
	}
	return f.say("Has to be at 70 °F (21 °C) by %v and at 41 °F (5 °C) by %v.", by70F, by41F)
}

// chillingOf says the same of one of several pots, of which no reading is noted.
func chillingOf(c timeline.Chilling, at time.Time) string {
	f, pot := Form{}, capital(settle.PotWords(c.Pot))
	by70F, by41F, reheat := c.By70F.In(at.Location()), c.By41F.In(at.Location()), c.Reheat.In(at.Location())
	switch {
	case at.After(by41F):
		return f.say("%s had to be at 41 °F (5 °C) by %v: if it was not, throw its broth away.", pot, by41F)
	case at.After(by70F):
		return f.say("%s had to be at 70 °F (21 °C) by %v: if it was not, reheat it to %v by %v and chill it another way, or "+
			"throw its broth away. It has to be at 41 °F (5 °C) by %v.", pot, by70F, quantity.Fahrenheit(165), reheat, by41F)
	}
	return f.say("%s has to be at 70 °F (21 °C) by %v and at 41 °F (5 °C) by %v.", pot, by70F, by41F)
}

// Shifted says what else stands elsewhere than before a note: "Load 1 now begins Sun
// 14:20, 35 min later".
func Shifted(plan timeline.Plan, s timeline.Shift, f Form) string {
	title := Title(plan, s.Step, f)
	switch {
	case s.By == 0:
		return f.say("New: %s, %v", title, s.Start)
	case s.By < 0:
		return f.say("%s: now %v, %v earlier", title, s.Start, -s.By)
	}
	return f.say("%s: now %v, %v later", title, s.Start, s.By)
}
