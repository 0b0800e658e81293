package runfile

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/pelletier/go-toml/v2"

	"brothrun/stock/fault"
	"brothrun/stock/quantity"
)

// Run is one batch from bones to shelf. A nil pointer and an empty text mean
// "not given".
type Run struct {
	Source

	ID      string // stable over edits of the run: keys the calendar's entries
	Name    string
	Kitchen string // path of the kitchen file, relative to the run file

	Kind       string                // as written: "turkey-frames"
	Bones      *quantity.Mass        // 50 g to 100 kg
	Portions   []Portion             // [[bones]]: several kinds in one pot, instead of Kind and Bones
	Birds      Birds                 // counted with Bones, which is the weight of all of them
	Vegetables *quantity.Mass        // 0 to 100 kg, without those Counted
	Counted    []VegetableCount      // vegetables by their count
	Thaw       string                // as written: "fridge", "cold-water", "pot" or "none"
	Fit        bool                  // water = "fit": as much as fits
	Water      *quantity.Volume      // 0.01 l to 200 l, when not Fit
	Pot        string                // a pot's name in the kitchen, or a volume; see Kitchen.Pot
	PotWidth   *quantity.Length      // inside, 10 cm to 100 cm
	Simmer     *time.Duration        // 10 min to 72 h
	Lid        string                // as written: "on", "ajar" or "off"
	TopUp      string                // as written: "never" or "level"
	Jars       string                // as written: "quart,pint" or "quart=14,pint=12"
	Mouth      string                // as written: "regular" or "wide"
	Prefer     string                // as written: "jars", "loads" or "leftover"
	Mix        bool                  // jars of several sizes may share a canner load
	SmallLoads bool                  // loads of fewer than 2 quarts or 4 pints may be planned
	Chill      string                // as written: "ice-bath-stirred+fridge"
	Outdoors   *quantity.Temperature // -40 °C to 50 °C, for a chill on the porch
	Route      string                // as written: "freeze-dry", "freezer" or "fridge"
	Start      string                // local date and time as written: "2026-11-28 08:00"
	FinishBy   string                // the same
	Between    string                // the same: not before
	And        string                // the same: done by
	Unattended *bool                 // instead of the pot's
	Altitude   *quantity.Length      // instead of the kitchen's
	Gauge      string                // instead of the kitchen's
	Calendar   string                // path of the calendar file that notes move, relative to the run file
	Busy       string                // paths of calendar files of when the cook is out, with commas between
	Notes      []Note                // what happened, in the order of the file
}

// Portion is one kind in a pot of several. Both are given.
type Portion struct {
	Kind   string         // as written: "chicken-frames"
	Weight *quantity.Mass // 50 g to 100 kg
	Birds  Birds          // counted with Weight, which is that of all of them
}

// Note is one thing that happened, as the cook noted it. At and What are given.
type Note struct {
	ID    string // names the note, and no other of the run
	At    string // local date and time as written: "2026-11-28 17:10:30", perhaps with an offset
	What  string // one of noteWords
	Value string // as written: "11 qt"
	Step  string // the step it is about: "strain"
	Load  int    // the load it is about, 1 to 1000; 0 for none
}

// Revision is the number of notes: it rises with every one that is added.
func (r Run) Revision() int { return len(r.Notes) }

// keys are the keys of a run file.
func (r *Run) keys() []key {
	portion, note := last(r.Portions), last(r.Notes)
	return []key{
		{"id", `"harvest-supper"`, set(&r.ID, readText)},
		{"name", `"Harvest supper broth"`, set(&r.Name, readText)},
		{"kitchen", `"kitchen.toml"`, set(&r.Kitchen, readText)},
		{"kind", `"turkey-frames"`, set(&r.Kind, readText)},
		{"bones", `"9 lb" or "4 kg"`, setBones(&r.Bones, &r.Birds)},
		{"vegetables", `"2 lb" or "4 onions"`, r.setVegetables},
		{"water", `"fit" or "6 qt"`, r.setWater},
		{"pot", `"big pot" or "22 qt"`, set(&r.Pot, readPot)},
		{"pot_width", `"12 in" or "30 cm"`, give(&r.PotWidth, potWidth.read)},
		{"simmer", `"4h" or "45 min"`, give(&r.Simmer, simmerSpan.read)},
		{"lid", `"ajar"`, set(&r.Lid, readText)},
		{"top_up", `"never" or "level"`, set(&r.TopUp, readText)},
		{"jars", `"quart,pint" or "quart=14,pint=12"`, set(&r.Jars, readText)},
		{"mouth", `"regular" or "wide"`, set(&r.Mouth, readText)},
		{"prefer", `"jars" or "loads"`, set(&r.Prefer, readText)},
		{"mix", `true`, set(&r.Mix, readYes)},
		{"small_loads", `true`, set(&r.SmallLoads, readYes)},
		{"chill", `"ice-bath-stirred+fridge"`, set(&r.Chill, readText)},
		{"outdoors", `"25 F" or "-4 C"`, give(&r.Outdoors, outdoorHeat.read)},
		{"route", `"freeze-dry" or "freezer"`, set(&r.Route, readText)},
		{"start", `"2026-11-28 08:00"`, set(&r.Start, readMoment)},
		{"finish_by", `"2026-11-29 20:00"`, set(&r.FinishBy, readMoment)},
		{"between", `"2026-11-27 18:00"`, set(&r.Between, readMoment)},
		{"and", `"2026-11-29 20:00"`, set(&r.And, readMoment)},
		{"thaw", `"fridge" or "cold-water"`, set(&r.Thaw, readText)},
		{"unattended", `true`, give(&r.Unattended, readYes)},
		{"altitude", `"3200 ft" or "975 m"`, give(&r.Altitude, altitudes.read)},
		{"gauge", `"weighted" or "dial"`, set(&r.Gauge, readText)},
		{"calendar", `"run.ics"`, set(&r.Calendar, readCalendar)},
		{"busy", `"work.ics" or "work.ics, school.ics"`, set(&r.Busy, readText)},
		{"bones.kind", `"chicken-frames" or "turkey-necks"`, set(&portion.Kind, readText)},
		{"bones.weight", `"3 lb" or "1.4 kg"`, setBones(&portion.Weight, &portion.Birds)},
		{"note.id", `"k3v9"`, set(&note.ID, readText)},
		{"note.at", `"2026-11-28 17:10" or "2026-11-01T01:40:00-06:00"`, set(&note.At, readNoteTime)},
		{"note.what", `"strained"`, set(&note.What, readNoteWord)},
		{"note.value", `"11 qt"`, set(&note.Value, readText)},
		{"note.step", `"strain"`, set(&note.Step, readText)},
		{"note.load", `1`, set(&note.Load, whole(1, maxCount))},
	}
}

func (r *Run) lists() map[string]func() {
	return map[string]func(){
		"bones": func() { r.Portions = append(r.Portions, Portion{}) },
		"note":  func() { r.Notes = append(r.Notes, Note{}) },
	}
}

// settle checks what several keys say together.
func (r *Run) settle() *Error {
	for i, portion := range r.Portions {
		if portion.Kind == "" || portion.Weight == nil {
			return r.wrong(fmt.Sprintf("bones[%d]", i), "needs both kind and weight",
				`write kind = "chicken-frames" and weight = "3 lb"`)
		}
	}
	ids := map[string]bool{}
	for i, note := range r.Notes {
		at := fmt.Sprintf("note[%d]", i)
		switch {
		case note.At == "" || note.What == "":
			return r.wrong(at, "needs both at and what", `write at = "2026-11-28 17:10" and what = "strained"`)
		case ids[note.ID]:
			return r.wrong(at+".id", fmt.Sprintf("two notes have the id %q", clip(note.ID)),
				"give each an id of its own, or none")
		}
		ids[note.ID] = note.ID != ""
	}
	if len(r.Portions) > 0 && r.Kind != "" {
		return r.wrong("kind", "goes against [[bones]], each of which has a kind of its own",
			"take this line out, or write one kind and bones without brackets")
	}
	return nil
}

// setBones sets a weight, and how many birds it is of.
func setBones(weight **quantity.Mass, birds *Birds) func(value) *problem {
	return give(weight, func(v value) (quantity.Mass, *problem) {
		return boneMass.readBy(func(text string) (all quantity.Mass, err error) {
			all, *birds, err = ParseBones(text)
			return all, err
		}, v)
	})
}

// setVegetables sets what is weighed, and what is counted.
func (r *Run) setVegetables(v value) *problem {
	return give(&r.Vegetables, func(v value) (quantity.Mass, *problem) {
		return otherMass.readBy(func(text string) (weighed quantity.Mass, err error) {
			weighed, r.Counted, err = ParseVegetables(text)
			return weighed, err
		}, v)
	})(v)
}

// setWater sets how much water goes in: "fit" or a volume.
func (r *Run) setWater(v value) *problem {
	text, _ := v.is.(string)
	if r.Fit = strings.EqualFold(strings.TrimSpace(text), "fit"); r.Fit {
		return nil
	}
	return give(&r.Water, waterVolume.read)(v)
}

// readPot reads the pot as written. Only the kitchen knows whether it is a name; a
// number, and a volume no pot has, are wrong in any kitchen.
func readPot(v value) (string, *problem) {
	text, _ := v.is.(string)
	if _, err := quantity.ParseVolume(text); err == nil || v.isNumber() {
		if _, wrong := potVolume.read(v); wrong != nil {
			return "", wrong
		}
	}
	return readText(v)
}

// readCalendar reads the path of a calendar file.
func readCalendar(v value) (string, *problem) {
	text, wrong := readText(v)
	if wrong == nil && !strings.HasSuffix(strings.ToLower(text), ".ics") {
		wrong = problemf("%q is no name of a calendar file, which ends in .ics", clip(text))
	}
	return text, wrong
}

// noteTimes are the ways to write when something happened.
var noteTimes = []string{"2006-01-02T15:04", "2006-01-02T15:04:05", "2006-01-02T15:04Z07:00", time.RFC3339}

// readNoteTime reads when something happened: a local date and time that exists on
// a calendar, with an offset where the clock alone does not say which is meant.
func readNoteTime(v value) (string, *problem) {
	switch v.is.(type) {
	case toml.LocalDateTime, time.Time:
		v.is = v.raw
	}
	text, wrong := readText(v)
	if wrong != nil {
		return "", wrong
	}
	for _, layout := range noteTimes {
		at, err := time.Parse(layout, strings.Replace(text, " ", "T", 1))
		if err == nil && at.Year() >= 1970 && at.Year() <= 2200 {
			return text, nil
		}
	}
	return "", problemf("%q is no date and time from 1970 to 2200 on a 24-hour clock", clip(text))
}

// noteWords are what can have happened: to a step, the pot, a load, jars, the dryer
// or anything.
var noteWords = []string{
	"began", "done", "late", "skipped",
	"topped-up", "strained", "drained", "ready", "reading",
	"steam", "vented", "at-pressure", "fell", "heat-off", "zero", "lid-off", "filled",
	"broken", "unsealed", "sealed", "used",
	"drying", "dried", "frozen",
	"remark", "undo",
}

// readNoteWord reads what happened, upper and lower case alike.
func readNoteWord(v value) (string, *problem) {
	text, wrong := readText(v)
	word := strings.ToLower(text)
	if wrong == nil && !slices.Contains(noteWords, word) {
		wrong = problemf("%q is nothing that can be noted; the nearest is %s", clip(text), fault.Nearest(word, noteWords))
		wrong.hint = "write one of: " + strings.Join(noteWords, ", ")
	}
	return word, wrong
}
