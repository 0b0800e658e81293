package words

import (
	"cmp"
	"strings"
	"time"

	"brothrun/stock"
	"brothrun/stock/process"
	"brothrun/stock/remark"
	"brothrun/timeline"
)

// notes are the sentences of notes that carry facts, by their codes; what makes more
// of its facts than their words stands in Note.
var notes = map[string]string{
	timeline.AwakeAssumed: "You are up and at home %v, every day{ (--awake)}.",
	timeline.ZoneAssumed:  "The clock is that of %s, from %s{ (--zone)}.",

	timeline.GaugeCheckDue:    "The dial gauge was last checked on %s, more than a year before load %d: have it checked first. A gauge that reads high leaves broth unsafe.",
	timeline.ThawLate:         "What thaws in the fridge should be there since %s, to be soft when the pot is lit at %s. Is it? If not: begin later, or in cold water on the day{ (--thaw cold-water)}. Never on the counter.",
	timeline.GaugeCheckFuture: "The dial gauge is said to be checked on %s, after this run: is the date right? It has to be checked before.",
	timeline.Slack:            "If nothing runs long the kitchen is wiped down by %v, %v ahead of the deadline.",
	timeline.EarlierDay:       "The run ends on %s, not by %s: %s.",
	timeline.EarlierDay + "/later": "It is done on %s, %v before %s: on no later day would it be in time if every step ran long. " +
		"Done by %s it would begin a day later%s.",
	timeline.SeveralCanningDays: "The loads do not fit one stretch of your hours: they are canned from %s. What waits stays in the fridge, and is reheated only for its own loads.",
	timeline.UnattendedTopUp:    "The pot is to be topped up every hour, and the simmer is planned with nobody beside it: put the lid on instead, or stay.",
	timeline.UnattendedDry:      "Nobody is beside the pot, and of %v of water as little as %v of broth may be left: lid on, more water, a shorter simmer, or stay. Bones that boil dry burn.",
	timeline.OneBurner:          "The stove takes one big pot, and the canner stands on it: bring the broth to a full boil again, elsewhere or in between, before the jars of each load are filled.",
	timeline.MoreLoads:          "There may be %d loads instead of %d (%.0f %%): then it is wiped down by about %v.",
	timeline.MoreLoads + "/late": "There may be %d loads instead of %d (%.0f %%): then it is wiped down by about %v, " +
		"after your awake hours (%v). Begin the canning earlier, or freeze what would be the last load.",
	timeline.LateEvening: "If every step runs long, %s ends at %v, after your awake hours (%v).",
	timeline.LateSealCheck: "The seals%s can only be checked on %s, more than 24 h after the canner: a jar that did not seal is then thrown away untasted. " +
		"Can anybody look from %s to %s? Found by then, it may still go into the fridge or the freezer, or be canned again. Or begin the run at another time.",

	timeline.DryerTakenLong:            "The freeze dryer has no room before %s, more than a week after the trays are frozen: the leftover is frozen flat instead, to dry when there is{ (--route freeze-dry waits for it)}.",
	timeline.DryerTakenLong + "/never": "The freeze dryer has no room within %d days: the leftover is frozen flat instead, to dry when there is.",
	timeline.Past:                      "It begins on %s, which is past: is the date right?",
	timeline.RepeatedHour:              "The clock shows %s twice that night; the first is meant.",
	timeline.RunMoved:                  "The calendar had this run on %s, and its entries move with it to %s. If it is another run, write it to another file.",
	timeline.BusyOdd:                   "Left out of when you are out: %s.",
	timeline.BusyOdd + "/widest":       "You are taken to be out whenever this may be: %s.",
	timeline.BusyOdd + "/more":         "%d more in the calendars of when you are out are left out or taken so.",
	timeline.OtherRunsDropped:          "%s also held %d other run(s), which are no longer in it; what a calendar has imported of them stays as it is. Plan them together to keep them in one file.",
}

// Note words a remark by its code, case and facts; a clause that is nothing stays so.
func Note(note remark.Note, f Form) string {
	key := note.Code
	if note.Case != "" {
		key += "/" + note.Case
	}
	recordKey, recorded := recordFacts(key, note.Facts, f)
	sentence := cmp.Or(notes[key], ofStock[key], ofRecord[recordKey])
	switch racks := rackNote(note, f); {
	case racks != "":
		return racks
	case sentence == "":
		return key // better a code than a warning nobody sees
	}
	facts := append([]any{}, recorded...)
	for i, fact := range facts {
		if clauses, ok := fact.([]remark.Note); ok {
			facts[i] = f.list(clauses, joints[key])
		}
	}
	dated := func(layout string) {
		for i, fact := range facts {
			if t, ok := fact.(time.Time); ok && strings.Contains(layout, "15:04") {
				facts[i] = timeline.Clock(t, layout)
			} else if ok {
				facts[i] = t.Format(layout)
			}
		}
	}
	switch note.Code {
	case timeline.GaugeCheckDue, timeline.GaugeCheckFuture:
		dated("2 Jan 2006")
	case timeline.EarlierDay:
		if later, ok := facts[2].(time.Time); ok {
			done, by := facts[0].(time.Time), facts[1].(time.Time)
			flag := f.flag(` (--finish-by "%s")`, later.Format(timeline.Typed))
			facts = []any{done, by.Sub(done).Round(time.Minute), by, later, flag}
			dated("Monday 15:04")
			break
		}
		facts[0] = facts[0].(time.Time).Format("Monday")
		facts[2] = Why(facts[2].(timeline.Why), f)
		dated("Monday 15:04")
	case timeline.SeveralCanningDays:
		var from []string
		for _, t := range facts[0].([]time.Time) {
			from = append(from, timeline.Clock(t, "Monday 15:04"))
		}
		facts[0] = strings.Join(from, " and from ")
	case timeline.LateEvening:
		plan := timeline.Plan{Batch: facts[0].(stock.Batch)}
		facts = append([]any{Title(plan, facts[1].(timeline.Step), f)}, facts[2:]...)
	case timeline.LateSealCheck:
		whose := ""
		if loads := facts[0].([]stock.Load); loads != nil {
			whose = " of " + loadNames(loads)
		}
		facts[0] = whose
		dated(dayAndClock)
	case process.JarTooLarge, process.AltitudeWeighted, process.AltitudeDial:
		facts = atTheLimit(note)
	case timeline.Past, timeline.ThawLate:
		dated("Mon 2 Jan 2006 15:04")
	case timeline.RunMoved:
		dated("Mon 2 Jan 2006")
	}
	return f.say(sentence, facts...)
}
