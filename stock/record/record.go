// Package record is what happened on the day: the notes of a run file, each read for
// what it says. It knows what a word may be given and nothing of what follows from
// it: that is for stock (volumes, jars, loads) and timeline (the clock).
package record

import (
	"errors"
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strings"
	"sync"
	"time"

	"brothrun/stock/fault"
	"brothrun/stock/quantity"
	"brothrun/stock/runfile"
	"brothrun/stock/thermo"
)

// What is what can have happened. The words stand in run files for ever.
type What string

// What can happen to a step.
const (
	Began   What = "began"
	Done    What = "done"
	Late    What = "late" // it goes on, or is put off, for so long from now
	Skipped What = "skipped"
)

// What can happen to the broth. Strained, Drained and Ready end the step they are
// measured in.
const (
	ToppedUp What = "topped-up"
	Strained What = "strained"
	Drained  What = "drained" // the weight of the drained solids
	Ready    What = "ready"   // cold and skimmed, before anything is filled
	Reading  What = "reading" // a temperature while it chills
)

// What can happen to a canner load, in the order in which it does.
const (
	Filled     What = "filled" // its jars
	Steam      What = "steam"  // steady, from the open vent
	Vented     What = "vented" // the weight is on
	AtPressure What = "at-pressure"
	Fell       What = "fell" // below the pressure
	HeatOff    What = "heat-off"
	Zero       What = "zero" // on the gauge, by itself
	LidOff     What = "lid-off"
)

// What can happen to jars: broken, with a load in the canner with what is in them,
// without one empty; found unsealed or sealed; opened months later.
const (
	Broken   What = "broken"
	Unsealed What = "unsealed"
	Sealed   What = "sealed"
	Used     What = "used"
)

// What can happen to the leftover.
const (
	Drying What = "drying" // it is in the freeze dryer
	Dried  What = "dried"  // the powder's weight
	Frozen What = "frozen" // how much went into the freezer
)

// What can be said of anything.
const (
	Remark What = "remark"
	Undo   What = "undo" // the note of an ID was wrong
)

// Entry is a note read: what happened, when, and how much of it. Only the field that
// What takes is set.
type Entry struct {
	ID   string
	At   time.Time
	What What
	Step string // the step it is about: "strain"; may be empty
	Load int    // the load it is about, from 1; 0 for none

	Volume      quantity.Volume // of topped-up (0: none), strained, ready, frozen; as measured
	Cold        bool            // Volume was measured cold: ready always, strained where that is said
	HeatUnsaid  bool            // of strained, neither hot nor cold
	Weight      quantity.Mass   // of drained, dried
	Temperature quantity.Temperature
	Span        time.Duration // of late
	Jars        []JarCount
	Text        string // of remark; the ID that undo takes back

	Index int // among the notes of the file, from 0
}

// strainedHot is the temperature at which hot broth is measured in: just off the
// boil; common practice, no source.
var strainedHot = quantity.Celsius(95)

// ColdVolume is Volume as it is when cold.
func (e Entry) ColdVolume() quantity.Volume {
	density, err := thermo.LiquidDensity(strainedHot)
	if e.Cold || err != nil {
		return e.Volume
	}
	return density.Times(e.Volume).At(thermo.ColdBroth)
}

// JarCount is a number of jars of one size.
type JarCount struct {
	Jar   string // "quart", or the name of a jar of the cook's own
	Count int    // 1 to 1000
}

// taking is what a word is given.
type taking struct {
	read    func(e *Entry, text string) error // nil: nothing
	example string
	needs   string // "load" or "step": what it has to be about
}

var taken = map[What]taking{
	Began:   {needs: "step"},
	Done:    {needs: "step"},
	Late:    {read: readSpan, example: "30m"},
	Skipped: {needs: "step"},

	ToppedUp: {read: readVolumeOrNone, example: "2 qt, or none"},
	Strained: {read: readStrained, example: "11 qt hot"},
	Drained:  {read: readWeight, example: "6 lb 4 oz"},
	Ready:    {read: readReady, example: "10.5 qt"},
	Reading:  {read: readTemperature, example: "68 F"},

	Filled:     {read: readJars, example: "quart=7", needs: "load"},
	Steam:      {needs: "load"},
	Vented:     {needs: "load"},
	AtPressure: {needs: "load"},
	Fell:       {needs: "load"},
	HeatOff:    {needs: "load"},
	Zero:       {needs: "load"},
	LidOff:     {needs: "load"},

	Broken:   {read: readJars, example: "pint=1"},
	Unsealed: {read: readJars, example: "quart=1"},
	Sealed:   {read: readJars, example: "quart=12"},
	Used:     {read: readJars, example: "quart=2"},

	Drying: {},
	Dried:  {read: readWeight, example: "45 g"},
	Frozen: {read: readVolume, example: "2 qt"},

	Remark: {read: readText, example: "gauge checked"},
	Undo:   {read: readText, example: "k3v9"},
}

// OfLoad reports whether a word is about a canner load alone.
func (w What) OfLoad() bool { return taken[w].needs == "load" }

// Known reports whether a word is one that can be noted.
func (w What) Known() bool { _, known := taken[w]; return known }

// Words are all that can be noted, in alphabetical order.
func Words() []What { return slices.Sorted(maps.Keys(taken)) }

// Takes is an example of what a word is given: "11 qt hot"; empty for nothing.
func (w What) Takes() string { return taken[w].example }

// Read reads the notes of a run file. clock reads when one was, as written. What an
// undo takes back, and the undo itself, is left out, whether or not it can be read; an
// undo that is taken back in its turn counts for nothing. The entries come in the order in which they happened, those
// of one instant in that of the file. Errors are a *fault.Fault, its key
// that of the note in the file: "note[2].value".
func Read(notes []runfile.Note, clock func(text string) (time.Time, error)) ([]Entry, error) {
	entries := make([]Entry, 0, len(notes))
	unread := map[int]*fault.Fault{}
	for i, n := range notes {
		e, err := read(n, clock)
		if err != nil {
			err.Key = fmt.Sprintf("note[%d].%s", i, err.Key)
			unread[i] = err
		}
		e.Index = i
		entries = append(entries, e)
	}
	entries, err := standing(entries, unread)
	if err != nil {
		return nil, err
	}
	slices.SortStableFunc(entries, func(a, b Entry) int { return a.At.Compare(b.At) })
	return entries, nil
}

func read(n runfile.Note, clock func(text string) (time.Time, error)) (Entry, *fault.Fault) {
	e := Entry{ID: n.ID, What: What(n.What), Step: n.Step, Load: n.Load}
	takes, known := taken[e.What]
	if !known {
		return e, fault.New("what", "", "%q is nothing that can be noted", n.What)
	}
	var err error
	if e.At, err = clock(n.At); err != nil {
		return e, fault.Of("at", err, "")
	}
	value := strings.TrimSpace(n.Value)
	wrong := func(key, hint, format string, args ...any) (Entry, *fault.Fault) {
		return e, fault.New(key, hint, "%s "+format, append([]any{e.What}, args...)...)
	}
	switch {
	case takes.needs == "load" && e.Load < 1:
		return wrong("load", "give the load's number, such as load = 1", "does not say of which load")
	case takes.needs == "step" && e.Step == "" && e.Load < 1:
		return wrong("step", `give the step, such as step = "simmer"`, "does not say of which step")
	case takes.read == nil && value != "":
		return wrong("value", "leave it out; a remark takes any text", "takes no value, and %q is given", value)
	case takes.read == nil:
		return e, nil
	case value == "":
		return wrong("value", "such as "+takes.example, "does not say how much")
	}
	if err := takes.read(&e, value); err != nil {
		unreadable := fault.New("value", "such as "+takes.example, "%s: %v", e.What, err)
		var unread *quantity.ParseError
		if errors.As(err, &unread) {
			unreadable.Hint = unread.Hint
		}
		return e, unreadable
	}
	return e, nil
}

// standing is the entries that no undo takes back; unread is why some cannot be read, by
// Index.
func standing(entries []Entry, unread map[int]*fault.Fault) ([]Entry, error) {
	undone := map[string]bool{}
	for i := len(entries) - 1; i >= 0; i-- {
		e := entries[i]
		if e.What != Undo || undone[e.ID] && e.ID != "" {
			continue
		}
		if wrong := unread[i]; wrong != nil {
			return nil, wrong
		}
		if !slices.ContainsFunc(entries[:i], func(other Entry) bool { return other.ID == e.Text }) {
			return nil, fault.New(fmt.Sprintf("note[%d].value", i), "take the id from the note that was wrong",
				"no note before this one has the id %q", e.Text)
		}
		undone[e.Text] = true
	}
	entries = slices.DeleteFunc(entries, func(e Entry) bool { return e.What == Undo || e.ID != "" && undone[e.ID] })
	for _, e := range entries {
		if wrong := unread[e.Index]; wrong != nil {
			return nil, wrong
		}
	}
	return entries, nil
}

func readText(e *Entry, text string) error {
	e.Text = text
	return nil
}

func readSpan(e *Entry, text string) (err error) {
	e.Span, err = quantity.ParseDuration(text)
	if err == nil && (e.Span < time.Minute || e.Span > mostLate) {
		err = fmt.Errorf("%q is out of range: must be from 1 min to 72 h", text)
	}
	return err
}

// mostLate is as long as the longest simmer; own choice.
const mostLate = 72 * time.Hour

// mostBroth is the largest pot there is; see runfile.
const mostBroth = 200 * quantity.Litre

func readVolume(e *Entry, text string) (err error) {
	e.Volume, err = quantity.ParseVolume(text)
	if err == nil && (e.Volume <= 0 || e.Volume > mostBroth) {
		err = fmt.Errorf("%q is out of range: must be above 0 and up to 200 l (about 211 qt)", text)
	}
	return err
}

// readVolumeOrNone reads "none" and "0 qt" alike.
func readVolumeOrNone(e *Entry, text string) error {
	if strings.EqualFold(text, "none") {
		return nil
	}
	if volume, err := quantity.ParseVolume(text); err == nil && volume == 0 {
		return nil
	}
	return readVolume(e, text)
}

// readStrained reads "11 qt", "11 qt hot" and "11 qt, cold".
func readStrained(e *Entry, text string) error {
	volume, heat := heatOf(text)
	e.Cold, e.HeatUnsaid = heat == "cold", heat == ""
	return readVolume(e, volume)
}

// readReady reads "10.5 qt" and "10.5 qt, cold": by then it is cold anyway.
func readReady(e *Entry, text string) error {
	volume, heat := heatOf(text)
	if heat == "hot" {
		return fmt.Errorf("%q is hot: it is measured cold and skimmed", text)
	}
	e.Cold = true
	return readVolume(e, volume)
}

// heatOf takes "hot" or "cold" off the end of a volume.
func heatOf(text string) (volume, heat string) {
	for _, heat := range []string{"cold", "hot"} {
		if at := len(text) - len(heat); at > 0 && strings.EqualFold(text[at:], heat) {
			return strings.TrimRight(text[:at], ", "), heat
		}
	}
	return text, ""
}

// mostWeight is the heaviest bones there are; see runfile.
const mostWeight = 150 * quantity.Kilogram

func readWeight(e *Entry, text string) (err error) {
	e.Weight, err = quantity.ParseMass(text)
	if err == nil && (e.Weight <= 0 || e.Weight > mostWeight) {
		err = fmt.Errorf("%q is out of range: must be above 0 and up to 150 kg (about 330 lb)", text)
	}
	return err
}

func readTemperature(e *Entry, text string) (err error) {
	e.Temperature, err = quantity.ParseTemperature(text)
	if c := e.Temperature.Celsius(); err == nil && (c < -5 || c > 110) {
		err = fmt.Errorf("%q is out of range: must be from -5 C to 110 C (23 F to 230 F)", text)
	}
	return err
}

// and is an "and" between two sizes, which has a number beside it; that of a pint and
// half has none.
var and = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`(?i)(\d),?\s+and\s+|,?\s+and\s+(\d)`) })

// readJars reads "quart=7,pint=2" and "7 quarts and 2 pints". Which sizes there are it
// does not know.
func readJars(e *Entry, text string) error {
	for part := range strings.SplitSeq(and().ReplaceAllString(text, "$1,$2"), ",") {
		part = strings.TrimSpace(part)
		name, number, equals := strings.Cut(part, "=")
		if !equals {
			number, name, _ = strings.Cut(part, " ")
		}
		jars := JarCount{Jar: jarName(name)}
		n, err := runfile.ParseCount(number)
		if err != nil || n < 1 || jars.Jar == "" {
			return fmt.Errorf("%q is no number of jars: must be from 1 to 1000 of a size", part)
		}
		jars.Count = n
		if slices.ContainsFunc(e.Jars, func(other JarCount) bool { return other.Jar == jars.Jar }) {
			return fmt.Errorf("%s is named twice; write each size once", jars.Jar)
		}
		e.Jars = append(e.Jars, jars)
	}
	return nil
}

// jarName is the name of a size as the catalogue has it.
func jarName(text string) string {
	name := runfile.JarName(text)
	if name == "pints-and-half" {
		return "pint-and-half"
	}
	return name
}
