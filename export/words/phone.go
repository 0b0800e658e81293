package words

import (
	"brothrun/stock"
	"brothrun/stock/quantity"
	"brothrun/stock/record"
	"brothrun/timeline"
)

// doneWords are what a button says of a step that is over, and begunWords of one that
// begins, where it is not its title.
var doneWords = map[timeline.Role]string{
	timeline.Thaw:      "Thawed",
	timeline.Prepare:   "Ready: the heat is on",
	timeline.HeatUp:    "It simmers",
	timeline.Simmer:    "Simmered: heat off",
	timeline.Pick:      "Picked",
	timeline.Strain:    "Strained",
	timeline.Chill:     "Cold: 41 °F (5 °C) or below",
	timeline.Skim:      "Skimmed",
	timeline.Leftover:  "Kept back",
	timeline.Pack:      "Packed",
	timeline.Reheat:    "Full boil",
	timeline.WashJars:  "Jars are ready",
	timeline.Unload:    "Unloaded",
	timeline.CleanUp:   "Wiped down",
	timeline.SealCheck: "Seals checked",
	timeline.DryLoad:   "In the dryer",
	timeline.DryCheck:  "Dry through, packed",
}

var begunWords = map[timeline.Role]string{
	timeline.Thaw:      "Into cold water",
	timeline.Prepare:   "Begin: get ready",
	timeline.HeatUp:    "The heat is on",
	timeline.Simmer:    "It simmers",
	timeline.Pick:      "Begin to pick",
	timeline.Strain:    "Begin to strain",
	timeline.Chill:     "It is chilling",
	timeline.Skim:      "Begin to skim",
	timeline.Leftover:  "Begin to keep back",
	timeline.Pack:      "Begin to pack",
	timeline.Reheat:    "Reheat: the heat is on",
	timeline.WashJars:  "Begin to wash jars",
	timeline.Fill:      "Begin to fill",
	timeline.Load:      "Lid on, heat on",
	timeline.Unload:    "Begin to unload",
	timeline.CleanUp:   "Begin to wipe down",
	timeline.SealCheck: "Begin to check seals",
	timeline.DryLoad:   "Begin to load the dryer",
	timeline.DryCheck:  "Begin to check the dry broth",
}

// pressed are what the button of a load in the canner says.
var pressed = map[record.What]string{
	record.Steam:   "Steady steam",
	record.Vented:  "Weight on",
	record.HeatOff: "Heat off",
	record.Zero:    "At zero",
	record.LidOff:  "Lid off",
}

// Button is what is read on the button of an offer about a step of a plan: what has
// happened when it is pressed.
func Button(o timeline.Offer, step timeline.Step, b stock.Batch) string {
	f := Form{Units: b.Units}
	below := func(sentence string) string {
		return f.say(sentence, b.Pressures(step.Loads[0], quantity.Pressure.Stamped))
	}
	switch {
	case o.What == record.AtPressure:
		return below("At %s")
	case o.What == record.Fell:
		return below("Fell below %s")
	case o.What == record.Sealed:
		return jarsOf(o.Jars) + " sealed"
	case o.What == record.Unsealed:
		return f.say("Load %d: %v did not seal", o.Load, o.Jars)
	case pressed[o.What] != "":
		return pressed[o.What]
	case o.What == record.Late:
		return f.say("%v later", o.Span)
	case o.What == record.Began && step.Role == timeline.Fill && o.Step != step.ID:
		return "Filled: lid on, heat on"
	case o.What == record.Began:
		return begunWords[step.Role]
	case !o.At.IsZero():
		return "Was done " + timeline.Clock(o.At, "15:04")
	}
	return doneWords[step.Role]
}

// PhoneClock is what the clock of a load says, on a phone, in a phase, since and until
// being written as they are given: what it waits for, and what stays forbidden.
func PhoneClock(phase timeline.Phase, load stock.Load, b stock.Batch, since, until string) string {
	f := Form{Units: b.Units}
	pressure := b.Pressures(load, quantity.Pressure.Stamped)
	switch phase {
	case timeline.Heating:
		return f.say("Lid on since %v, vent open. Wait for steady steam.", since)
	case timeline.Venting:
		return f.say("Venting since %v. The weight goes on at %v, not before.", since, until)
	case timeline.Pressurising:
		return f.say("Coming to pressure since %v. The time begins when the gauge shows %v.", since, pressure)
	case timeline.AtPressure:
		return f.say("At pressure since %v. The heat goes off at %v, not before. If it shows less than %v, say so at "+
			"once.", since, until, pressure)
	case timeline.Fallen:
		return f.say("BELOW THE PRESSURE since %v: no time runs. Bring it back to %v, then the full %v again.", since,
			pressure, load.Process)
	case timeline.LosingPressure:
		return f.say("Heat off since %v. Leave it alone until it is at zero by itself.", since)
	case timeline.AtZero:
		return f.say("At zero since %v. The lid comes off at %v, not before.", since, until)
	case timeline.Opened:
		return f.say("Lid off since %v. Jars out, and leave them be.", since)
	}
	return ""
}

// RunOut is what a countdown says when it is over.
func RunOut(phase timeline.Phase) string {
	return map[timeline.Phase]string{timeline.Venting: "Vented: weight on", timeline.AtPressure: "Full time: heat off",
		timeline.AtZero: "Waited: lid off"}[phase]
}

// Watched is the number to watch in a step, alone, written large; nothing where there is
// none.
func Watched(step timeline.Step, b stock.Batch) string {
	f := Form{Units: b.Units}
	switch step.Role {
	case timeline.Load:
		return b.Pressures(step.Loads[0], quantity.Pressure.Stamped)
	case timeline.Chill, timeline.InFridge, timeline.Skim, timeline.BackInFridge:
		return f.say("%v", quantity.Fahrenheit(41))
	case timeline.Fill:
		return f.say("%v", quantity.Inch)
	}
	return ""
}

// Measure asks on a phone for what is measured.
func Measure(what record.What) string {
	return map[record.What]string{
		record.ToppedUp: "Topped up with", record.Strained: "Strained, how much", record.Drained: "Drained bones weigh",
		record.Ready: "Skimmed and cold, how much", record.Reading: "The broth is at", record.Frozen: "Frozen, how much",
		record.Dried: "Powder weighs", record.Sealed: "Sealed", record.Unsealed: "Not sealed", record.Broken: "Broken",
		record.Remark: "A remark",
	}[what]
}

// Phone are the words of the page that stand in no step.
var Phone = map[string]string{
	"now":       "On now",
	"next":      "Next",
	"due":       "Was to be done by %s. Done, or late?",
	"until":     "until about %s",
	"at":        "at %s",
	"also":      "Also on",
	"today":     "Today",
	"rest":      "After today",
	"before":    "Before",
	"free":      "Nobody is needed until %s",
	"measure":   "Measure",
	"note":      "Note it",
	"hot":       "hot",
	"cold":      "cold",
	"when":      "when, if not now",
	"late":      "It takes longer",
	"undo":      "Noted",
	"back":      "Take back",
	"nothing":   "Nothing is noted yet: the times are those of the plan.",
	"over":      "Nothing comes any more.",
	"todo":      "What to do",
	"warn":      "Watch out",
	"timer":     "Ring on this phone",
	"watch":     "Watch for",
	"locked":    "A locked phone does not ring for this page. Take the timer into its calendar, which does.",
	"again":     "Look again",
	"asking":    "Asking the laptop.",
	"silent":    "No answer from the laptop since",
	"none":      "No answer from the laptop yet",
	"kept":      "not yet at the laptop",
	"here":      "At the laptop",
	"full":      "This phone keeps nothing: the press is lost, press again at the laptop.",
	"stop":      "Take it back",
	"share":     "For others",
	"reader":    "This link shows the page without buttons:",
	"subscribe": "Calendar that follows the run",
	"download":  "Calendar file, as it is now",
	"sheet":     "Sheet to print",
	"calendars": "The calendar asks again every 15 minutes at the earliest, some programs once a day. Many refuse " +
		"plain http, and calendars in the web cannot reach the laptop: take the file then. Do not rely on " +
		"their alarms.",
	"script":  "Without its script the page does not count or move by itself.",
	"runs":    "Runs",
	"reads":   "Whoever listens on this network can read along: the page comes over plain http.",
	"broken":  "The run file cannot be read just now, and nothing can be noted. This is as it was before.",
	"refused": "Not noted",
	"stays":   "Noted, but the calendar stays as it was: %s",
	"open":    "Open on the phone, or read the code with its camera: %s",
	"or":      "  or %s",
	"planner": "The planner, to fill in on the phone: %s",
	"ends":    "Ctrl-C ends it. The notes stay in the run file.",
	"twice":   "Not noted again: it was noted at %s, from another device.",
	"other":   "That press was for another run.",
	"form":    "That is none of the buttons.",
	"wait":    "wait until %s",
	"spoilt":  "By the readings the broth is not safe: THROW IT AWAY.",
}

// Say is one of Phone with what it is said of.
func Say(key string, facts ...any) string { return Form{}.say(Phone[key], facts...) }

// Call is what is said when the cook is called.
func Call(plan timeline.Plan, d timeline.Due) string {
	f := Form{Units: plan.Batch.Units}
	switch {
	case d.Check.ID != "":
		title, _ := Check(plan, d.Check, f)
		return title
	case d.Phase != timeline.NotOn:
		return f.say("Load %d: ", d.Step.Loads[0].Number) + RunOut(d.Phase)
	}
	return Brief(plan, d.Step, f)
}
