// Package runfile reads the two TOML files of a cook: kitchen.toml, the
// equipment that stays, and run.toml, one batch from bones to shelf.
//
// Quantities are texts with units ("22 qt"); a bare number is an error, because
// the file alone could not tell feet from metres. Whatever the files leave out
// is left out of the result too: what may be assumed is for the plan to decide.
// The file form is the project's own, so there is no source to cite; the ranges
// are common practice, no source, wide enough for any home kitchen and narrow
// enough to catch a slip of the unit.
package runfile

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"brothrun/stock/quantity"
)

// Kitchen is the equipment that stays. A nil pointer, an empty text, a zero
// count and a size missing from a map mean "not given".
type Kitchen struct {
	Source

	Altitude *quantity.Length // above sea level, -500 m to 6000 m
	Gauge    string           // as written: "weighted" or "dial"
	Zone     string           // as written: "America/Denver"
	Awake    string           // as written: "06:30-22:00"
	Units    string           // as written: "us" or "metric"
	Cooks    int              // people with hands to work, 1 to 9

	Canner  Canner
	Jars    map[string]int // on hand by size, 0 to 1000; a size not named is not limited
	OwnJars []OwnJar       // jars the cook measured
	Mouth   string         // as written: "regular" or "wide"
	Pots    []Pot

	Burner       *quantity.Power       // rating of one burner, 0.1 kW to 50 kW
	Hob          string                // as written: "gas", "electric" or "induction"
	BurnerPlaces int                   // big pots the stove takes at once, 1 to 9
	Fridge       *quantity.Temperature // -5 °C to 20 °C
	Freezer      *quantity.Temperature // -60 °C to -5 °C
	Tap          *quantity.Temperature // of the cold water, 0 °C to 40 °C
	FreezeDryer  FreezeDryer
	Prices       Prices
}

// Canner is a pressure canner measured inside.
type Canner struct {
	Width, Height *quantity.Length // 10 cm to 100 cm
	RackThickness *quantity.Length // 0.5 mm to 50 mm
	Racks         int              // 1 to 10
	Holds         map[string]int   // measured jars in one layer by size, 0 to 1000

	GaugeChecked string // as written, "2026-05-01": the day of a dial gauge's last check

	Mass     *quantity.Mass        // with its lid, 1 kg to 50 kg
	Wall     string                // as written: "heavy" or "thin"
	Water    *quantity.Volume      // put in, 0.5 l to 30 l
	Outdoors string                // as written, "08:00-19:00": it stands outside and may run then
	Air      *quantity.Temperature // where it stands, -40 °C to 50 °C
	// HeatUp, Pressurise and Depressurise are the cook's own times, 1 min to 4 h.
	HeatUp, Pressurise, Depressurise *time.Duration
}

// Pot is a stock pot.
type Pot struct {
	Name        string
	Volume      *quantity.Volume     // to the brim, 1 l to 200 l
	Width       *quantity.Length     // inside, at the surface, 10 cm to 100 cm
	FillLine    *float64             // part of the pot the cook fills, 0.3 to 1
	Evaporation *quantity.VolumeRate // the cook's own measurement, 0.01 l/h to 20 l/h
	Held        *float64             // the cook's own measurement, part of the weight that went in, 0.01 to 0.6
	Heat        string               // as written: "stove", "oven" or "own"
	Unattended  bool                 // it may simmer with nobody up or at home

	fillVolume *quantity.Volume // a fill line given as a volume, until the pot's is known
}

// OwnJar is a jar the cook measured. The name and all four sizes are given.
type OwnJar struct {
	Name     string           // as JarName writes it, and none of the catalogue's
	Brimful  *quantity.Volume // to the rim, 30 ml to 10 l, and as much as a jar of its size can hold
	Bore     *quantity.Length // inside the mouth, 2 cm to 30 cm, less than the diameter
	Diameter *quantity.Length // at the widest, closure included, 3 cm to 30 cm
	Height   *quantity.Length // with its closure, 3 cm to 60 cm
	OnHand   *int             // 0 to 1000; nil is not limited
	Holds    int              // measured jars in one layer of the canner, 1 to 61; 0 when not counted
}

// JarName writes the name of a jar as it is compared and shown: in lower case,
// with hyphens for blanks and in the singular, so that "Quarts" is "quart" and
// "Jam glasses" is "jam-glass".
func JarName(text string) string {
	name := strings.Join(strings.Fields(strings.ToLower(text)), "-")
	switch {
	case strings.HasSuffix(name, "sses"):
		return strings.TrimSuffix(name, "es")
	case strings.HasSuffix(name, "ss"):
		return name
	}
	return strings.TrimSuffix(name, "s")
}

// OwnJar returns the cook's own jar of a name; ok is false when there is none.
func (k Kitchen) OwnJar(name string) (own OwnJar, ok bool) {
	for _, own := range k.OwnJars {
		if JarName(own.Name) == JarName(name) {
			return own, true
		}
	}
	return OwnJar{}, false
}

// FreezeDryer is a home freeze dryer.
type FreezeDryer struct {
	Trays                 int              // 1 to 20
	TrayLength, TrayWidth *quantity.Length // inside, 5 cm to 100 cm
	FillDepth             *quantity.Length // 5 mm to 20 mm
	Capacity              *quantity.Mass   // of ice per load, as rated, 0.2 kg to 50 kg
	Bookings              []Booking
}

// Booking is a time the freeze dryer is busy with something else: local dates
// and times as written, such as "2026-11-29 08:00". Both are given.
type Booking struct{ From, To string }

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
	Vegetables *quantity.Mass        // 0 to 100 kg
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
	Notes      []Note                // what happened, in the order of the file
}

// Portion is one kind in a pot of several. Both are given.
type Portion struct {
	Kind   string         // as written: "chicken-frames"
	Weight *quantity.Mass // 50 g to 100 kg
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

// Pot returns the pot that text means: the one of that name in the kitchen,
// upper and lower case alike, or else a pot of that volume, 1 l to 200 l. Empty
// text means the kitchen's only pot. It is an error when there is no such pot,
// or more than one to choose from.
func (k Kitchen) Pot(text string) (Pot, error) {
	text = strings.TrimSpace(text)
	var names []string
	for _, pot := range k.Pots {
		if text != "" && strings.EqualFold(pot.Name, text) {
			return pot, nil
		}
		if pot.Name != "" {
			names = append(names, strconv.Quote(pot.Name))
		}
	}
	choices := "the kitchen names no pot"
	if len(names) > 0 {
		choices = "the kitchen has " + strings.Join(names, ", ")
	}
	switch {
	case text == "" && len(k.Pots) == 1:
		return k.Pots[0], nil
	case text == "" && len(k.Pots) == 0:
		return Pot{}, errors.New("no pot is given, and the kitchen has none")
	case text == "":
		return Pot{}, fmt.Errorf("no pot is given, and the kitchen has %d to choose from; %s", len(k.Pots), choices)
	}
	volume, err := quantity.ParseVolume(text)
	if err != nil {
		return Pot{}, fmt.Errorf("pot %q is neither a pot of the kitchen nor a volume such as 22 qt; %s", clip(text), choices)
	}
	if !potVolume.holds(volume) {
		return Pot{}, fmt.Errorf("pot %q is out of range: %s", text, potVolume)
	}
	return Pot{Volume: &volume}, nil
}

// PotKey is where a key of the pot stands that text means: "pot[1].heat" in the
// kitchen file, or "pot" in the run file where the kitchen has no such pot.
func (k Kitchen) PotKey(text, leaf string) string {
	text = strings.TrimSpace(text)
	for i, pot := range k.Pots {
		if text != "" && strings.EqualFold(pot.Name, text) || text == "" && len(k.Pots) == 1 {
			return fmt.Sprintf("pot[%d].%s", i, leaf)
		}
	}
	return "pot"
}

// Source says where in a file each key stands. The zero value is "no file".
type Source struct {
	File string
	// Lines maps a key to its line, from 1: "altitude", "canner.width",
	// "pot[0].width" with "pot.width" for the first of them, and the headers of
	// sections, "canner" and "pot[0]". Delete a key that a flag overrides.
	Lines map[string]int
}

// At returns where key stands, "run.toml:7": its own line or that of the
// section it would stand in; empty when the file has neither.
func (s Source) At(key string) string {
	for ; key != ""; key = section(key) {
		if line, ok := s.Lines[key]; ok {
			return fmt.Sprintf("%s:%d", s.File, line)
		}
	}
	return ""
}

// Error is something in a file that cannot be used.
type Error struct {
	File   string
	Line   int    // from 1; 0 when no single line is at fault
	Key    string // "canner.width"; empty when no single key is at fault
	Reason string
	Hint   string // the next step; may be empty
}

// Error returns "run.toml:7: pot: " and the reason.
func (e *Error) Error() string {
	text := e.File
	if e.Line > 0 {
		text += fmt.Sprintf(":%d", e.Line)
	}
	if e.Key != "" {
		text += ": " + e.Key
	}
	return text + ": " + e.Reason
}

// Key documents one key of a file.
type Key struct {
	Name     string   // "canner.width", "pot.name"
	Means    string   // what to write there
	Examples []string // as TOML values: `"12.25 in"`
}

// KitchenKeys returns every key of a kitchen file.
func KitchenKeys() []Key { return kitchenForm().keys() }

// RunKeys returns every key of a run file.
func RunKeys() []Key { return runForm().keys() }

func (f *form[T]) keys() []Key {
	keys := make([]Key, len(f.entries))
	for i, e := range f.entries {
		keys[i] = e.Key
		keys[i].Examples = slices.Clone(e.Examples)
	}
	return keys
}
