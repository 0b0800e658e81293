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
	_ "embed"
	"errors"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
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
	Runs     string           // path of the folder of run files, relative to the kitchen file

	Canner  Canner
	Jars    map[string]int // on hand by size, or owned where Runs is given, 0 to 1000; a size not named is not limited
	OwnJars []OwnJar       // jars the cook measured
	Mouth   string         // as written: "regular" or "wide"
	Pots    []Pot

	Burner       *quantity.Power       // rating of one burner, 0.1 kW to 50 kW
	Hob          string                // as written: "gas", "propane", "electric" or "induction"
	BurnerPlaces int                   // big pots the stove takes at once, 1 to 9
	Fridge       *quantity.Temperature // -5 °C to 20 °C
	Freezer      *quantity.Temperature // -60 °C to -5 °C
	FridgeRoom   *quantity.Volume      // what broth may take of it, 0.5 l to 500 l
	FreezerRoom  *quantity.Volume      // the same
	FreezerSize  *quantity.Volume      // all of it inside, 10 l to 1,000 l
	Lids         map[string]int        // new ones on hand by mouth, 0 to 1000
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
		return Pot{}, fmt.Errorf("pot %q is neither a pot of the kitchen nor a volume such as 22 qt; %s",
			clip(text), choices)
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

// mostRuns is the most runs a year: one a day; common practice, no source.
const mostRuns = 366

// Prices is what a rack, heat and the cook's time are worth. What is not given
// is nil or zero.
type Prices struct {
	Rack        *Money // one more rack, 0 to 1,000,000
	Fuel        *Money // a kWh the burner takes in, the same range
	Hour        *Money // an hour somebody has to be there, the same range
	RunsPerYear int    // 1 to 366
}

// keys are the keys of a kitchen file; starter.toml says what to write there.
func (k *Kitchen) keys() []key {
	pot, jar, booking := last(k.Pots), last(k.OwnJars), last(k.FreezeDryer.Bookings)
	return []key{
		{"altitude", `"3200 ft" or "975 m"`, give(&k.Altitude, altitudes.read)},
		{"gauge", `"weighted" or "dial"`, set(&k.Gauge, readText)},
		{"zone", `"America/Denver"`, set(&k.Zone, readText)},
		{"awake", `"06:30-22:00"`, set(&k.Awake, readText)},
		{"cooks", `1`, set(&k.Cooks, whole(1, 9))},
		{"units", `"us" or "metric"`, set(&k.Units, readText)},
		{"runs", `"runs/"`, set(&k.Runs, readText)},
		{"canner.width", `"12.25 in" or "31 cm"`, give(&k.Canner.Width, cannerSize.read)},
		{"canner.height", `"11.5 in" or "29 cm"`, give(&k.Canner.Height, cannerSize.read)},
		{"canner.rack_thickness", `"0.25 in" or "6 mm"`, give(&k.Canner.RackThickness, rackHeight.read)},
		{"canner.racks", `1`, set(&k.Canner.Racks, whole(1, 10))},
		{"canner.gauge_checked", `"2026-05-01"`, set(&k.Canner.GaugeChecked, readText)},
		{"canner.mass", `"11 lb" or "5 kg"`, give(&k.Canner.Mass, cannerMass.read)},
		{"canner.wall", `"heavy" or "thin"`, set(&k.Canner.Wall, oneOf("heavy", "thin"))},
		{"canner.water", `"3 qt" or "2.8 l"`, give(&k.Canner.Water, cannerWater.read)},
		{"canner.outdoors", `"08:00-19:00"`, set(&k.Canner.Outdoors, readHours)},
		{"canner.air", `"35 F" or "2 C"`, give(&k.Canner.Air, outdoorHeat.read)},
		{"canner.heat_up", `"14 min"`, give(&k.Canner.HeatUp, cannerSpan.read)},
		{"canner.pressurise", `"5 min"`, give(&k.Canner.Pressurise, cannerSpan.read)},
		{"canner.depressurise", `"45 min"`, give(&k.Canner.Depressurise, cannerSpan.read)},
		{"canner.holds.half-pint", `7`, count(&k.Canner.Holds, "half-pint")},
		{"canner.holds.pint", `7`, count(&k.Canner.Holds, "pint")},
		{"canner.holds.pint-and-half", `7`, count(&k.Canner.Holds, "pint-and-half")},
		{"canner.holds.quart", `7`, count(&k.Canner.Holds, "quart")},
		{"jars.half-pint", `14`, count(&k.Jars, "half-pint")},
		{"jars.pint", `14`, count(&k.Jars, "pint")},
		{"jars.pint-and-half", `14`, count(&k.Jars, "pint-and-half")},
		{"jars.quart", `14`, count(&k.Jars, "quart")},
		{"jars.mouth", `"regular" or "wide"`, set(&k.Mouth, readText)},
		{"jar.name", `"jam glass"`, set(&jar.Name, readText)},
		{"jar.brimful", `"16.5 fl oz" or "490 ml"`, give(&jar.Brimful, jarVolume.read)},
		{"jar.bore", `"2.8 in" or "7 cm"`, give(&jar.Bore, jarBore.read)},
		{"jar.diameter", `"3.4 in" or "8.6 cm"`, give(&jar.Diameter, jarWidth.read)},
		{"jar.height", `"5 in" or "12.7 cm"`, give(&jar.Height, jarHeight.read)},
		{"jar.on_hand", `12`, give(&jar.OnHand, whole(0, maxCount))},
		{"jar.holds", `8`, set(&jar.Holds, whole(1, 61))},
		{"pot.name", `"big pot"`, set(&pot.Name, readText)},
		{"pot.volume", `"22 qt" or "21 l"`, give(&pot.Volume, potVolume.read)},
		{"pot.width", `"12 in" or "30 cm"`, give(&pot.Width, potWidth.read)},
		{"pot.fill_line", `"90 %" or "20 qt"`, pot.setFillLine},
		{"pot.evaporation", `"0.7 qt/h" or "0.66 l/h"`, give(&pot.Evaporation, boilOff.read)},
		{"pot.held", `"12 %"`, give(&pot.Held, percent(1, 60, "the weight that went in"))},
		{"pot.heat", `"stove" or "own"`, set(&pot.Heat, readText)},
		{"pot.unattended", `true`, set(&pot.Unattended, readYes)},
		{"burner.places", `2`, set(&k.BurnerPlaces, whole(1, 9))},
		{"burner.power", `"12000 BTU/h" or "3.5 kW"`, give(&k.Burner, burnerPower.read)},
		{"burner.hob", `"gas" or "electric"`, set(&k.Hob, oneOf("gas", "propane", "electric", "induction"))},
		{"fridge.temperature", `"38 F" or "3 C"`, give(&k.Fridge, fridgeHeat.read)},
		{"fridge.room", `"20 qt" or "19 l"`, give(&k.FridgeRoom, coldRoom.read)},
		{"freezer.temperature", `"0 F" or "-18 C"`, give(&k.Freezer, freezerHeat.read)},
		{"freezer.room", `"20 qt" or "19 l"`, give(&k.FreezerRoom, coldRoom.read)},
		{"freezer.size", `"7 cu ft" or "200 l"`, give(&k.FreezerSize, freezerSize.read)},
		{"lids.regular", `24`, count(&k.Lids, "regular")},
		{"lids.wide", `24`, count(&k.Lids, "wide")},
		{"tap.temperature", `"59 F" or "15 C"`, give(&k.Tap, tapHeat.read)},
		{"freeze_dryer.trays", `4`, set(&k.FreezeDryer.Trays, whole(1, 20))},
		{"freeze_dryer.tray_length", `"18 in" or "45 cm"`, give(&k.FreezeDryer.TrayLength, traySize.read)},
		{"freeze_dryer.tray_width", `"8 in" or "20 cm"`, give(&k.FreezeDryer.TrayWidth, traySize.read)},
		{"freeze_dryer.fill_depth", `"0.5 in" or "12 mm"`, give(&k.FreezeDryer.FillDepth, trayDepth.read)},
		{"freeze_dryer.capacity", `"10 lb" or "4.5 kg"`, give(&k.FreezeDryer.Capacity, iceLoad.read)},
		{"freeze_dryer.booking.from", `"2026-11-27 12:00"`, set(&booking.From, readMoment)},
		{"freeze_dryer.booking.to", `"2026-11-29 18:00"`, set(&booking.To, readMoment)},
		{"prices.rack", `30`, give(&k.Prices.Rack, readMoney)},
		{"prices.fuel", `0.15`, give(&k.Prices.Fuel, readMoney)},
		{"prices.hour", `10`, give(&k.Prices.Hour, readMoney)},
		{"prices.runs_per_year", `12`, set(&k.Prices.RunsPerYear, whole(1, mostRuns))},
	}
}

func (k *Kitchen) lists() map[string]func() {
	return map[string]func(){
		"jar":                  func() { k.OwnJars = append(k.OwnJars, OwnJar{}) },
		"pot":                  func() { k.Pots = append(k.Pots, Pot{}) },
		"freeze_dryer.booking": func() { k.FreezeDryer.Bookings = append(k.FreezeDryer.Bookings, Booking{}) },
	}
}

// setFillLine sets how full a pot is filled: "90 %" or a volume.
func (p *Pot) setFillLine(v value) *problem {
	if text, _ := v.is.(string); strings.HasSuffix(strings.TrimSpace(text), "%") {
		return give(&p.FillLine, percent(30, 100, "the pot"))(v)
	}
	return give(&p.fillVolume, waterVolume.read)(v)
}

// settle works out fill lines that are volumes, and checks what several keys say
// together.
func (k *Kitchen) settle() *Error {
	names := map[string]bool{}
	for i := range k.Pots {
		pot, at := &k.Pots[i], fmt.Sprintf("pot[%d]", i)
		name := strings.ToLower(pot.Name)
		if names[name] {
			return k.wrong(at+".name", fmt.Sprintf("two pots are called %q", pot.Name), "give each pot a name of its own")
		}
		names[name] = name != ""
		if pot.fillVolume == nil {
			continue
		}
		if pot.Volume == nil {
			return k.wrong(at+".fill_line", "is a volume, but the pot's own volume is not given",
				`add volume = "22 qt", or write fill_line = "90 %"`)
		}
		part := pot.fillVolume.Litres() / pot.Volume.Litres()
		if !(part >= 0.3 && part <= 1) {
			return k.wrong(at+".fill_line", fmt.Sprintf("is %.0f %% of the pot: must be from 30 %% to 100 %%", 100*part),
				"measure the line and the pot to the brim with the same jug")
		}
		pot.FillLine, pot.fillVolume = &part, nil
	}
	for i := range k.OwnJars {
		if wrong := k.settleJar(i); wrong != nil {
			return wrong
		}
	}
	for i, booking := range k.FreezeDryer.Bookings {
		if booking.From == "" || booking.To == "" {
			return k.wrong(fmt.Sprintf("freeze_dryer.booking[%d]", i), "needs both from and to",
				`write from = "2026-11-27 12:00" and to = "2026-11-29 18:00"`)
		}
	}
	return nil
}

// settleJar checks what the keys of the i-th jar of the cook's own say together,
// with the jars before it, and writes its name as JarName does.
func (k *Kitchen) settleJar(i int) *Error {
	jar, at := &k.OwnJars[i], fmt.Sprintf("jar[%d]", i)
	for _, name := range []string{"name", "brimful", "bore", "diameter", "height"} {
		if k.Lines[at+"."+name] == 0 {
			return k.wrong(at, "needs a "+name, find(k.keys(), "jar."+name).asWritten(""))
		}
	}
	given := clip(jar.Name)
	jar.Name = JarName(jar.Name)
	switch {
	case !jarWord().MatchString(jar.Name):
		return k.wrong(at+".name", fmt.Sprintf("%q is not a name --jars can be given", given),
			"use up to 40 letters, figures, blanks and hyphens")
	case slices.Contains(slices.Concat(jarSizes, largeSizes, unitWords), jar.Name):
		return k.wrong(at+".name", fmt.Sprintf("%q is the name of a size that is known already", given),
			"give your own jar a name of its own")
	case slices.ContainsFunc(k.OwnJars[:i], func(other OwnJar) bool { return other.Name == jar.Name }):
		return k.wrong(at+".name", fmt.Sprintf("two jars are called %q", jar.Name), "give each jar a name of its own")
	case *jar.Bore >= *jar.Diameter:
		return k.wrong(at+".bore", "is not less than the diameter of the jar",
			"measure the mouth inside, and the jar outside at its widest")
	}
	radius := jar.Diameter.Metres() / 2
	outside := quantity.Volume(math.Pi * radius * radius * jar.Height.Metres())
	if share := float64(*jar.Brimful / outside); !(share >= leastInside && share <= mostInside) {
		return k.wrong(at+".brimful", fmt.Sprintf("is %.0f %% of what a plain cylinder of the jar's diameter and height "+
			"holds: must be from %.0f %% to %.0f %%", 100*share, 100*leastInside, 100*mostInside),
			"measure again: water to the rim, not what is printed on the glass, and the outside with the lid on")
	}
	return nil
}

// jarSizes are the sizes of jars a kitchen file may count.
var jarSizes = []string{"half-pint", "pint", "pint-and-half", "quart"}

// largeSizes are known, and refused by the process table.
var largeSizes = []string{"half-gallon", "gallon"}

// unitWords would be read as a size of jar, and its time, wherever they stand.
var unitWords = []string{"gal", "qt", "pt", "cup", "l", "ml", "oz", "fl-oz"}

// jarWord is a name that fits into --jars: no comma, no equals sign.
var jarWord = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`^[\p{L}\p{N}][\p{L}\p{N}-]{0,39}$`) })

// A jar holds this share of the cylinder around it, 0.58 to 0.76 for those of the
// catalogue: a slip in a measure, which would take a quart for a pint, falls
// outside. Common practice, no source.
const leastInside, mostInside = 0.40, 0.95

//go:embed starter.toml
var starter string

// Starter returns a kitchen file to fill in: every key, how to measure it, and
// nothing given, so that no figure is taken for the cook's own by mistake. It
// decodes as it stands.
func Starter() string { return starter }
