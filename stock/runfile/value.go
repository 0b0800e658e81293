package runfile

import (
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"
	"unicode"
	"unicode/utf8"

	"github.com/pelletier/go-toml/v2/unstable"

	"brothrun/stock/quantity"
)

// maxText is the longest text a file may hold, in characters; common practice,
// no source.
const maxText = 500

// maxCount is the most jars anyone counts, and the most pots, bookings or notes
// a file may list.
const maxCount = 1000

// form is one kind of file: its keys and how each is put into T.
type form[T any] struct {
	entries []entry[T]
	lists   map[string]func(*T) // [[pot]]: how to begin another
	byName  map[string]*entry[T]
	tables  map[string]bool // [canner]
}

// entry is one key. set puts its value into T; lists append to their last
// element.
type entry[T any] struct {
	Key
	set func(*T, value) error
}

// value is a TOML value as it stands in the file.
type value struct {
	kind unstable.Kind
	text string // strings without their quotes
}

func newForm[T any](lists map[string]func(*T), entries ...entry[T]) *form[T] {
	f := &form[T]{entries: entries, lists: lists, byName: map[string]*entry[T]{}, tables: map[string]bool{}}
	for i := range entries {
		name := entries[i].Name
		f.byName[name] = &entries[i]
		for parent := section(name); parent != ""; parent = section(parent) {
			if lists[parent] == nil {
				f.tables[parent] = true
			}
		}
	}
	return f
}

// section returns the section a key stands in: "canner" for "canner.width".
func section(name string) string { return name[:max(strings.LastIndexByte(name, '.'), 0)] }

// leaf returns a key as it is written in its section.
func leaf(name string) string { return name[strings.LastIndexByte(name, '.')+1:] }

// asWritten shows how to write a key: width = "12.25 in" or width = "31 cm".
func (k Key) asWritten() string {
	ways := make([]string, len(k.Examples))
	for i, example := range k.Examples {
		ways[i] = leaf(k.Name) + " = " + example
	}
	return "write " + strings.Join(ways, " or ")
}

// number is the figure of an example.
var number = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`[0-9][0-9.]*`) })

// withNumber shows how to write a key with the number the cook gave, so that
// nobody copies somebody else's: altitude = "5200 ft" or altitude = "5200 m".
func (k Key) withNumber(given string) string {
	if strings.Trim(given, "-0123456789.,/ ") != "" {
		return k.asWritten()
	}
	mine := k
	mine.Examples = make([]string, len(k.Examples))
	for i, example := range k.Examples {
		mine.Examples[i] = number().ReplaceAllLiteralString(example, clip(given))
	}
	return mine.asWritten()
}

// problem is a value that cannot be used; the decoder adds file, line and key.
type problem struct {
	reason, hint string
	number       string // given without a unit
}

func (p *problem) Error() string { return p.reason }

// interval is an allowed range; words read its ends to the cook.
type interval[Q ~float64 | ~int64] struct {
	least, most Q
	words       string
}

func (i interval[Q]) holds(q Q) bool { return q >= i.least && q <= i.most }

func (i interval[Q]) String() string { return "must be from " + i.words }

// The allowed ranges; common practice, no source.
var (
	altitudes   = interval[quantity.Length]{-500 * quantity.Metre, 6000 * quantity.Metre, "-500 m to 6,000 m (-1,640 ft to 19,685 ft)"}
	potVolume   = interval[quantity.Volume]{1 * quantity.Litre, 200 * quantity.Litre, "1 l to 200 l (about 1 qt to 211 qt)"}
	waterVolume = interval[quantity.Volume]{10 * quantity.Millilitre, 200 * quantity.Litre, "10 ml to 200 l (about 0.01 qt to 211 qt)"}
	potWidth    = interval[quantity.Length]{10 * quantity.Centimetre, 100 * quantity.Centimetre, "10 cm to 100 cm (about 4 in to 39 in)"}
	jarVolume   = interval[quantity.Volume]{30 * quantity.Millilitre, 10 * quantity.Litre, "30 ml to 10 l (about 1 fl oz to 10 qt)"}
	jarBore     = interval[quantity.Length]{2 * quantity.Centimetre, 30 * quantity.Centimetre, "2 cm to 30 cm (about 0.8 in to 12 in)"}
	jarWidth    = interval[quantity.Length]{3 * quantity.Centimetre, 30 * quantity.Centimetre, "3 cm to 30 cm (about 1.2 in to 12 in)"}
	jarHeight   = interval[quantity.Length]{3 * quantity.Centimetre, 60 * quantity.Centimetre, "3 cm to 60 cm (about 1.2 in to 24 in)"}
	cannerSize  = interval[quantity.Length]{10 * quantity.Centimetre, 100 * quantity.Centimetre, "10 cm to 100 cm (about 4 in to 39 in)"}
	cannerMass  = interval[quantity.Mass]{1 * quantity.Kilogram, 50 * quantity.Kilogram, "1 kg to 50 kg (about 2.2 lb to 110 lb)"}
	cannerWater = interval[quantity.Volume]{0.5 * quantity.Litre, 30 * quantity.Litre, "0.5 l to 30 l (about 0.5 qt to 32 qt)"}
	cannerSpan  = interval[time.Duration]{1 * time.Minute, 4 * time.Hour, "1 min to 4 h"}
	rackHeight  = interval[quantity.Length]{0.5 * quantity.Millimetre, 50 * quantity.Millimetre, "0.5 mm to 50 mm (about 0.02 in to 2 in)"}
	boilOff     = interval[quantity.VolumeRate]{0.01 * quantity.LitrePerHour, 20 * quantity.LitrePerHour, "0.01 l/h to 20 l/h (about 0.01 qt/h to 21 qt/h)"}
	burnerPower = interval[quantity.Power]{100 * quantity.Watt, 50 * quantity.Kilowatt, "100 W to 50 kW (about 340 BTU/h to 170,600 BTU/h)"}
	fridgeHeat  = interval[quantity.Temperature]{quantity.Celsius(-5), quantity.Celsius(20), "-5 C to 20 C (23 F to 68 F)"}
	freezerHeat = interval[quantity.Temperature]{quantity.Celsius(-60), quantity.Celsius(-5), "-60 C to -5 C (-76 F to 23 F): warmer, it does not freeze broth through"}
	tapHeat     = interval[quantity.Temperature]{quantity.Celsius(0), quantity.Celsius(40), "0 C to 40 C (32 F to 104 F)"}
	outdoorHeat = interval[quantity.Temperature]{quantity.Celsius(-40), quantity.Celsius(50), "-40 C to 50 C (-40 F to 122 F)"}
	traySize    = interval[quantity.Length]{5 * quantity.Centimetre, 100 * quantity.Centimetre, "5 cm to 100 cm (about 2 in to 39 in)"}
	trayDepth   = interval[quantity.Length]{5 * quantity.Millimetre, 20 * quantity.Millimetre, "5 mm to 20 mm (about 0.2 in to 0.8 in)"}
	iceLoad     = interval[quantity.Mass]{0.2 * quantity.Kilogram, 50 * quantity.Kilogram, "0.2 kg to 50 kg (about 0.4 lb to 110 lb)"}
	boneMass    = interval[quantity.Mass]{50 * quantity.Gram, 100 * quantity.Kilogram, "50 g to 100 kg (about 2 oz to 220 lb)"}
	otherMass   = interval[quantity.Mass]{0, 100 * quantity.Kilogram, "0 to 100 kg (about 220 lb)"}
	simmerSpan  = interval[time.Duration]{10 * time.Minute, 72 * time.Hour, "10 min to 72 h"}
)

// readText returns the text of v: one line, not empty, without control
// characters.
func readText(v value) (string, error) {
	text := strings.TrimSpace(v.text)
	switch {
	case v.kind != unstable.String:
		return "", &problem{reason: "must be text in quotes, not " + v.describe()}
	case text == "":
		return "", &problem{reason: "is empty", hint: "fill it in, or take the line out"}
	case utf8.RuneCountInString(text) > maxText:
		return "", &problem{reason: fmt.Sprintf("is %d characters long, must be at most %d", utf8.RuneCountInString(text), maxText), hint: "shorten it"}
	case strings.ContainsFunc(text, unicode.IsControl):
		return "", &problem{reason: "holds a line break or another control character", hint: "write it on one line, without tabs"}
	}
	return text, nil
}

// describe names a value that is of the wrong kind.
func (v value) describe() string {
	switch v.kind {
	case unstable.Integer, unstable.Float:
		return "the number " + clip(v.text)
	case unstable.Bool:
		return v.text
	case unstable.Array:
		return "a list"
	case unstable.InlineTable:
		return "a section"
	case unstable.String:
		return "the text " + strconv.Quote(clip(v.text))
	}
	return "a bare date or time"
}

// clip shortens text for an error message.
func clip(text string) string {
	const longest = 40
	if utf8.RuneCountInString(text) <= longest {
		return text
	}
	return string([]rune(text)[:longest]) + "…"
}

// text sets a text that another room makes sense of.
func text[T any](at func(*T) *string) func(*T, value) error {
	return func(t *T, v value) error {
		read, err := readText(v)
		if err == nil {
			*at(t) = read
		}
		return err
	}
}

// oneOf sets one of a few words, upper and lower case alike.
func oneOf[T any](at func(*T) *string, words ...string) func(*T, value) error {
	return func(t *T, v value) error {
		read, err := readText(v)
		if err != nil {
			return err
		}
		read = strings.ToLower(read)
		if !slices.Contains(words, read) {
			return &problem{reason: fmt.Sprintf("%q is not known: must be %s", clip(v.text), strings.Join(words, " or "))}
		}
		*at(t) = read
		return nil
	}
}

var clockSpan = sync.OnceValue(func() *regexp.Regexp {
	const clock = `([01]?[0-9]|2[0-3]):[0-5][0-9]`
	return regexp.MustCompile(`^` + clock + ` *- *(` + clock + `|24:00)$`)
})

// hours sets a text that has to look like two times on a 24-hour clock.
func hours[T any](at func(*T) *string) func(*T, value) error {
	return func(t *T, v value) error {
		read, err := readText(v)
		if err != nil {
			return err
		}
		if !clockSpan().MatchString(read) {
			return &problem{reason: fmt.Sprintf("%q is not two times on a 24-hour clock", clip(read))}
		}
		*at(t) = read
		return nil
	}
}

// yes sets a choice that is true or false.
func yes[T any](at func(*T) *bool) func(*T, value) error {
	return func(t *T, v value) error {
		if v.kind != unstable.Bool {
			return &problem{reason: "must be true or false, without quotes, not " + v.describe()}
		}
		*at(t) = v.text == "true"
		return nil
	}
}

// moment sets a local date and time, quoted or as TOML's own local date-time.
func moment[T any](at func(*T) *string) func(*T, value) error {
	return func(t *T, v value) error {
		switch v.kind {
		case unstable.LocalDateTime:
			v.kind = unstable.String
		case unstable.DateTime:
			return &problem{reason: clip(v.text) + " names an offset; a run goes by the clock on the wall"}
		}
		return text(at)(t, v)
	}
}

// noteTimes are the ways to write when something happened.
var noteTimes = []string{"2006-01-02T15:04", "2006-01-02T15:04:05", "2006-01-02T15:04Z07:00", time.RFC3339}

// noteTime sets when something happened: a local date and time that exists on a
// calendar, with an offset where the clock alone does not say which is meant.
func noteTime(r *Run, v value) error {
	if v.kind == unstable.LocalDateTime || v.kind == unstable.DateTime {
		v.kind = unstable.String
	}
	read, err := readText(v)
	if err != nil {
		return err
	}
	for _, layout := range noteTimes {
		at, err := time.Parse(layout, strings.Replace(read, " ", "T", 1))
		if err == nil && at.Year() >= 1970 && at.Year() <= 2200 {
			lastNote(r).At = read
			return nil
		}
	}
	return &problem{reason: fmt.Sprintf("%q is no date and time from 1970 to 2200 on a 24-hour clock", clip(read))}
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

// noteWord sets what happened, upper and lower case alike.
func noteWord(r *Run, v value) error {
	read, err := readText(v)
	if err != nil {
		return err
	}
	read = strings.ToLower(read)
	if !slices.Contains(noteWords, read) {
		return &problem{reason: fmt.Sprintf("%q is nothing that can be noted; the nearest is %s", clip(v.text), nearest(read, noteWords)),
			hint: "write one of: " + strings.Join(noteWords, ", ")}
	}
	lastNote(r).What = read
	return nil
}

// parsed reads a quantity within allowed.
func parsed[Q ~float64 | ~int64](v value, parse func(string) (Q, error), allowed interval[Q]) (Q, error) {
	var unreadable *quantity.ParseError
	if v.kind == unstable.Integer || v.kind == unstable.Float {
		p := &problem{reason: clip(v.text) + " has no unit, and must be text in quotes"}
		if _, err := parse(v.text); errors.As(err, &unreadable) {
			p.number = unreadable.Number
		}
		return 0, p
	}
	read, err := readText(v)
	if err != nil {
		return 0, err
	}
	q, err := parse(read)
	if err != nil {
		p := &problem{reason: err.Error()}
		if errors.As(err, &unreadable) {
			p.hint = unreadable.Hint
			if unreadable.Number != "" {
				// The key knows better than the parser which unit was meant.
				p.hint, p.number = "", unreadable.Number
			}
		}
		return 0, p
	}
	if !allowed.holds(q) {
		return 0, &problem{reason: fmt.Sprintf("%q is out of range: %s", clip(read), allowed)}
	}
	return q, nil
}

// measure sets a quantity within allowed.
func measure[T any, Q ~float64 | ~int64](at func(*T) **Q, parse func(string) (Q, error), allowed interval[Q]) func(*T, value) error {
	return func(t *T, v value) error {
		q, err := parsed(v, parse, allowed)
		if err == nil {
			*at(t) = &q
		}
		return err
	}
}

// readCount returns a whole number from least to most.
func readCount(v value, least, most int64) (int, error) {
	n, err := strconv.ParseInt(v.text, 0, 64)
	if v.kind != unstable.Integer || err != nil || n < least || n > most {
		return 0, &problem{reason: fmt.Sprintf("must be a whole number from %d to %d, not %s", least, most, v.describe())}
	}
	return int(n), nil
}

// count sets a whole number from 1 to most.
func count[T any](at func(*T) *int, most int64) func(*T, value) error {
	return func(t *T, v value) error {
		n, err := readCount(v, 1, most)
		if err == nil {
			*at(t) = n
		}
		return err
	}
}

// countOrNone sets a whole number from 0 to maxCount where 0 is not the same as
// not given.
func countOrNone[T any](at func(*T) **int) func(*T, value) error {
	return func(t *T, v value) error {
		n, err := readCount(v, 0, maxCount)
		if err == nil {
			*at(t) = &n
		}
		return err
	}
}

// jarSizes are the sizes of jars a kitchen file may count.
var jarSizes = []string{"half-pint", "pint", "pint-and-half", "quart"}

// counts makes an entry for every size of jar, from 0 to maxCount.
func counts[T any](in, means string, example int, at func(*T) *map[string]int) []entry[T] {
	var entries []entry[T]
	for _, size := range jarSizes {
		entries = append(entries, entry[T]{
			Key{in + "." + size, fmt.Sprintf(means, size), []string{strconv.Itoa(example)}},
			func(t *T, v value) error {
				n, err := readCount(v, 0, maxCount)
				if err != nil {
					return err
				}
				if *at(t) == nil {
					*at(t) = map[string]int{}
				}
				(*at(t))[size] = n
				return nil
			},
		})
	}
	return entries
}

// percent reads "90 %" as 0.9; ok is false when v is no percentage. what says of
// what it is a part.
func percent(v value, least, most float64, what string) (part float64, ok bool, err error) {
	number, ok := strings.CutSuffix(strings.TrimSpace(v.text), "%")
	if v.kind != unstable.String || !ok {
		return 0, false, nil
	}
	x, err := strconv.ParseFloat(strings.TrimSpace(number), 64)
	if err != nil || !(x >= least && x <= most) {
		return 0, true, &problem{reason: fmt.Sprintf("%q is out of range: must be from %.0f %% to %.0f %% of %s", clip(v.text), least, most, what)}
	}
	return x / 100, true, nil
}

// held sets what the drained solids keep: "12 %". Nothing drained keeps nothing,
// so 0 % is a slip.
func held(k *Kitchen, v value) error {
	part, ok, err := percent(v, 1, 60, "the weight that went in")
	switch {
	case err != nil:
		return err
	case !ok && (v.kind == unstable.Integer || v.kind == unstable.Float):
		return &problem{reason: clip(v.text) + " has no unit, and must be text in quotes", number: v.text}
	case !ok:
		if _, err := readText(v); err != nil {
			return err
		}
		return &problem{reason: fmt.Sprintf("%q is not a percentage", clip(v.text))}
	}
	lastPot(k).Held = &part
	return nil
}

// fillLine sets how full a pot is filled: "90 %" or a volume.
func fillLine(k *Kitchen, v value) error {
	if part, ok, err := percent(v, 30, 100, "the pot"); ok {
		if err == nil {
			lastPot(k).FillLine = &part
		}
		return err
	}
	volume, err := parsed(v, quantity.ParseVolume, waterVolume)
	if err == nil {
		lastPot(k).fillVolume = &volume
	}
	return err
}

// water sets how much water goes in: "fit" or a volume.
func water(r *Run, v value) error {
	if v.kind == unstable.String && strings.EqualFold(strings.TrimSpace(v.text), "fit") {
		r.Fit = true
		return nil
	}
	volume, err := parsed(v, quantity.ParseVolume, waterVolume)
	if err == nil {
		r.Water = &volume
	}
	return err
}

// pot sets the pot as written. Only the kitchen knows whether it is a name; a
// number, and a volume no pot has, are wrong in any kitchen.
func pot(r *Run, v value) error {
	_, err := quantity.ParseVolume(v.text)
	if isVolume := err == nil; isVolume || v.kind == unstable.Integer || v.kind == unstable.Float {
		if _, err := parsed(v, quantity.ParseVolume, potVolume); err != nil {
			return err
		}
	}
	r.Pot, err = readText(v)
	return err
}

func lastPot(k *Kitchen) *Pot { return &k.Pots[len(k.Pots)-1] }

func lastBooking(k *Kitchen) *Booking {
	return &k.FreezeDryer.Bookings[len(k.FreezeDryer.Bookings)-1]
}

func lastJar(k *Kitchen) *OwnJar { return &k.OwnJars[len(k.OwnJars)-1] }

func lastPortion(r *Run) *Portion { return &r.Portions[len(r.Portions)-1] }

func lastNote(r *Run) *Note { return &r.Notes[len(r.Notes)-1] }

// kitchenForm and runForm are built when first asked for: a plan by flags alone
// needs neither.
var kitchenForm = sync.OnceValue(func() *form[Kitchen] {
	return newForm(
		map[string]func(*Kitchen){
			"jar":                  func(k *Kitchen) { k.OwnJars = append(k.OwnJars, OwnJar{}) },
			"pot":                  func(k *Kitchen) { k.Pots = append(k.Pots, Pot{}) },
			"freeze_dryer.booking": func(k *Kitchen) { k.FreezeDryer.Bookings = append(k.FreezeDryer.Bookings, Booking{}) },
		},
		slices.Concat(
			[]entry[Kitchen]{
				{Key{"altitude", "height of the kitchen above sea level; no default, it sets the canner's pressure", []string{`"3200 ft"`, `"975 m"`}},
					measure(func(k *Kitchen) **quantity.Length { return &k.Altitude }, quantity.ParseAltitude, altitudes)},
				{Key{"gauge", "the canner's gauge: weighted or dial", []string{`"weighted"`, `"dial"`}},
					text(func(k *Kitchen) *string { return &k.Gauge })},
				{Key{"zone", "time zone of the kitchen, as an IANA name", []string{`"America/Denver"`}},
					text(func(k *Kitchen) *string { return &k.Zone })},
				{Key{"awake", "when someone may be asked to do something, on a 24-hour clock", []string{`"06:30-22:00"`}},
					text(func(k *Kitchen) *string { return &k.Awake })},
				{Key{"cooks", "people who can have their hands full at once", []string{"1"}},
					count(func(k *Kitchen) *int { return &k.Cooks }, 9)},
				{Key{"units", "which units come first in what is shown: us or metric", []string{`"us"`, `"metric"`}},
					text(func(k *Kitchen) *string { return &k.Units })},
				{Key{"canner.width", "width of the canner inside, wall to wall", []string{`"12.25 in"`, `"31 cm"`}},
					measure(func(k *Kitchen) **quantity.Length { return &k.Canner.Width }, quantity.ParseLength, cannerSize)},
				{Key{"canner.height", "height of the canner inside, floor to lid", []string{`"11.5 in"`, `"29 cm"`}},
					measure(func(k *Kitchen) **quantity.Length { return &k.Canner.Height }, quantity.ParseLength, cannerSize)},
				{Key{"canner.rack_thickness", "height of a rack above what it stands on", []string{`"0.25 in"`, `"6 mm"`}},
					measure(func(k *Kitchen) **quantity.Length { return &k.Canner.RackThickness }, quantity.ParseLength, rackHeight)},
				{Key{"canner.racks", "number of racks", []string{"1"}},
					count(func(k *Kitchen) *int { return &k.Canner.Racks }, 10)},
				{Key{"canner.gauge_checked", "day the dial gauge was last checked", []string{`"2026-05-01"`}},
					text(func(k *Kitchen) *string { return &k.Canner.GaugeChecked })},
				{Key{"canner.mass", "weight of the canner empty, with its lid", []string{`"11 lb"`, `"5 kg"`}},
					measure(func(k *Kitchen) **quantity.Mass { return &k.Canner.Mass }, quantity.ParseMass, cannerMass)},
				{Key{"canner.wall", "how the canner is built: heavy or thin", []string{`"heavy"`, `"thin"`}},
					oneOf(func(k *Kitchen) *string { return &k.Canner.Wall }, "heavy", "thin")},
				{Key{"canner.water", "water put into the canner before a load", []string{`"3 qt"`, `"2.8 l"`}},
					measure(func(k *Kitchen) **quantity.Volume { return &k.Canner.Water }, quantity.ParseVolume, cannerWater)},
				{Key{"canner.outdoors", "the canner stands outside and may run in these hours, on a 24-hour clock", []string{`"08:00-19:00"`}},
					hours(func(k *Kitchen) *string { return &k.Canner.Outdoors })},
				{Key{"canner.air", "temperature of the air where the canner stands", []string{`"35 F"`, `"2 C"`}},
					measure(func(k *Kitchen) **quantity.Temperature { return &k.Canner.Air }, quantity.ParseTemperature, outdoorHeat)},
				{Key{"canner.heat_up", "lid on to steady steam, as you timed a first load: 7 quarts for quart loads, 9 pints for pint loads; scaled to others", []string{`"14 min"`}},
					measure(func(k *Kitchen) **time.Duration { return &k.Canner.HeatUp }, quantity.ParseDuration, cannerSpan)},
				{Key{"canner.pressurise", "vent closed to pressure, as you timed it with 7 quarts for quart loads, 9 pints for pint loads; scaled to others", []string{`"5 min"`}},
					measure(func(k *Kitchen) **time.Duration { return &k.Canner.Pressurise }, quantity.ParseDuration, cannerSpan)},
				{Key{"canner.depressurise", "heat off to no pressure, as you timed it with 7 quarts for quart loads, 9 pints for pint loads; scaled to others", []string{`"45 min"`}},
					measure(func(k *Kitchen) **time.Duration { return &k.Canner.Depressurise }, quantity.ParseDuration, cannerSpan)},
			},
			counts("canner.holds", "%s jars that stand in one layer, tried with empty jars", 7,
				func(k *Kitchen) *map[string]int { return &k.Canner.Holds }),
			counts("jars", "%s jars on hand", 14,
				func(k *Kitchen) *map[string]int { return &k.Jars }),
			[]entry[Kitchen]{
				{Key{"jars.mouth", "mouth of the jars: regular or wide", []string{`"regular"`, `"wide"`}},
					text(func(k *Kitchen) *string { return &k.Mouth })},
				{Key{"jar.name", "what --jars calls a jar of your own", []string{`"jam glass"`}},
					text(func(k *Kitchen) *string { return &lastJar(k).Name })},
				{Key{"jar.brimful", "what the jar holds to the rim", []string{`"16.5 fl oz"`, `"490 ml"`}},
					measure(func(k *Kitchen) **quantity.Volume { return &lastJar(k).Brimful }, quantity.ParseVolume, jarVolume)},
				{Key{"jar.bore", "width of the jar's mouth inside", []string{`"2.8 in"`, `"7 cm"`}},
					measure(func(k *Kitchen) **quantity.Length { return &lastJar(k).Bore }, quantity.ParseLength, jarBore)},
				{Key{"jar.diameter", "width of the jar outside at its widest, lid included", []string{`"3.4 in"`, `"8.6 cm"`}},
					measure(func(k *Kitchen) **quantity.Length { return &lastJar(k).Diameter }, quantity.ParseLength, jarWidth)},
				{Key{"jar.height", "height of the jar with its lid on", []string{`"5 in"`, `"12.7 cm"`}},
					measure(func(k *Kitchen) **quantity.Length { return &lastJar(k).Height }, quantity.ParseLength, jarHeight)},
				{Key{"jar.on_hand", "such jars on hand", []string{"12"}},
					countOrNone(func(k *Kitchen) **int { return &lastJar(k).OnHand })},
				{Key{"jar.holds", "such jars that stand in one layer of the canner, tried with empty jars", []string{"8"}},
					count(func(k *Kitchen) *int { return &lastJar(k).Holds }, 61)},
				{Key{"pot.name", "what a run calls the pot", []string{`"big pot"`}},
					text(func(k *Kitchen) *string { return &lastPot(k).Name })},
				{Key{"pot.volume", "what the pot holds to the brim", []string{`"22 qt"`, `"21 l"`}},
					measure(func(k *Kitchen) **quantity.Volume { return &lastPot(k).Volume }, quantity.ParseVolume, potVolume)},
				{Key{"pot.width", "width of the pot inside, at the surface of the liquid", []string{`"12 in"`, `"30 cm"`}},
					measure(func(k *Kitchen) **quantity.Length { return &lastPot(k).Width }, quantity.ParseLength, potWidth)},
				{Key{"pot.fill_line", "how far the pot is filled, in percent or as a volume", []string{`"90 %"`, `"20 qt"`}}, fillLine},
				{Key{"pot.evaporation", "what the pot was measured to lose in an hour's simmer", []string{`"0.7 qt/h"`, `"0.66 l/h"`}},
					measure(func(k *Kitchen) **quantity.VolumeRate { return &lastPot(k).Evaporation }, quantity.ParseVolumeRate, boilOff)},
				{Key{"pot.held", "broth the drained bones were measured to keep, in percent of the weight that went in", []string{`"12 %"`}}, held},
				{Key{"pot.heat", "what the pot stands on: stove, oven, or own for a roaster with its own heat", []string{`"stove"`, `"own"`}},
					text(func(k *Kitchen) *string { return &lastPot(k).Heat })},
				{Key{"pot.unattended", "whether it may simmer with nobody up or at home, by its maker's word and yours", []string{"true"}},
					yes(func(k *Kitchen) *bool { return &lastPot(k).Unattended })},
				{Key{"burner.places", "big pots the stove takes at once", []string{"2"}},
					count(func(k *Kitchen) *int { return &k.BurnerPlaces }, 9)},
				{Key{"burner.power", "rating of the burner", []string{`"12000 BTU/h"`, `"3.5 kW"`}},
					measure(func(k *Kitchen) **quantity.Power { return &k.Burner }, quantity.ParsePower, burnerPower)},
				{Key{"burner.hob", "what the burner is: gas, electric or induction", []string{`"gas"`, `"electric"`}},
					oneOf(func(k *Kitchen) *string { return &k.Hob }, "gas", "electric", "induction")},
				{Key{"fridge.temperature", "temperature of the fridge", []string{`"38 F"`, `"3 C"`}},
					measure(func(k *Kitchen) **quantity.Temperature { return &k.Fridge }, quantity.ParseTemperature, fridgeHeat)},
				{Key{"freezer.temperature", "temperature of the freezer", []string{`"0 F"`, `"-18 C"`}},
					measure(func(k *Kitchen) **quantity.Temperature { return &k.Freezer }, quantity.ParseTemperature, freezerHeat)},
				{Key{"tap.temperature", "temperature of the cold tap water", []string{`"59 F"`, `"15 C"`}},
					measure(func(k *Kitchen) **quantity.Temperature { return &k.Tap }, quantity.ParseTemperature, tapHeat)},
				{Key{"freeze_dryer.trays", "number of trays", []string{"4"}},
					count(func(k *Kitchen) *int { return &k.FreezeDryer.Trays }, 20)},
				{Key{"freeze_dryer.tray_length", "length of a tray inside", []string{`"18 in"`, `"45 cm"`}},
					measure(func(k *Kitchen) **quantity.Length { return &k.FreezeDryer.TrayLength }, quantity.ParseLength, traySize)},
				{Key{"freeze_dryer.tray_width", "width of a tray inside", []string{`"8 in"`, `"20 cm"`}},
					measure(func(k *Kitchen) **quantity.Length { return &k.FreezeDryer.TrayWidth }, quantity.ParseLength, traySize)},
				{Key{"freeze_dryer.fill_depth", "how deep a tray is filled", []string{`"0.5 in"`, `"12 mm"`}},
					measure(func(k *Kitchen) **quantity.Length { return &k.FreezeDryer.FillDepth }, quantity.ParseLength, trayDepth)},
				{Key{"freeze_dryer.capacity", "most water the dryer takes in one load, as it is rated", []string{`"10 lb"`, `"4.5 kg"`}},
					measure(func(k *Kitchen) **quantity.Mass { return &k.FreezeDryer.Capacity }, quantity.ParseMass, iceLoad)},
				{Key{"freeze_dryer.booking.from", "when the dryer begins to be busy", []string{`"2026-11-27 12:00"`}},
					moment(func(k *Kitchen) *string { return &lastBooking(k).From })},
				{Key{"freeze_dryer.booking.to", "when the dryer is free again", []string{`"2026-11-29 18:00"`}},
					moment(func(k *Kitchen) *string { return &lastBooking(k).To })},
				{Key{"prices.rack", "one more rack, in your own currency", []string{"30"}},
					price(func(k *Kitchen) **Money { return &k.Prices.Rack })},
				{Key{"prices.fuel", "a kWh the burner takes in", []string{"0.15"}},
					price(func(k *Kitchen) **Money { return &k.Prices.Fuel })},
				{Key{"prices.hour", "what an hour of yours beside the canner is worth to you", []string{"10"}},
					price(func(k *Kitchen) **Money { return &k.Prices.Hour })},
				{Key{"prices.runs_per_year", "runs a year", []string{"12"}},
					count(func(k *Kitchen) *int { return &k.Prices.RunsPerYear }, mostRuns)},
			},
		)...,
	)
})

var runForm = sync.OnceValue(func() *form[Run] {
	return newForm(
		map[string]func(*Run){
			"bones": func(r *Run) { r.Portions = append(r.Portions, Portion{}) },
			"note":  func(r *Run) { r.Notes = append(r.Notes, Note{}) },
		},
		entry[Run]{Key{"id", "names the run for good: its calendar entries go by it", []string{`"harvest-supper"`}},
			text(func(r *Run) *string { return &r.ID })},
		entry[Run]{Key{"name", "what the run is called", []string{`"Harvest supper broth"`}},
			text(func(r *Run) *string { return &r.Name })},
		entry[Run]{Key{"kitchen", "path of the kitchen file, from where this file is", []string{`"kitchen.toml"`}},
			text(func(r *Run) *string { return &r.Kitchen })},
		entry[Run]{Key{"kind", "what goes into the pot", []string{`"turkey-frames"`}},
			text(func(r *Run) *string { return &r.Kind })},
		entry[Run]{Key{"bones", "weight of the bones", []string{`"9 lb"`, `"4 kg"`}},
			measure(func(r *Run) **quantity.Mass { return &r.Bones }, quantity.ParseMass, boneMass)},
		entry[Run]{Key{"vegetables", "weight of the vegetables", []string{`"2 lb"`, `"900 g"`}},
			measure(func(r *Run) **quantity.Mass { return &r.Vegetables }, quantity.ParseMass, otherMass)},
		entry[Run]{Key{"water", "water poured in, or fit for as much as fits", []string{`"fit"`, `"6 qt"`}}, water},
		entry[Run]{Key{"pot", "name of a pot in the kitchen file, or a volume", []string{`"big pot"`, `"22 qt"`}}, pot},
		entry[Run]{Key{"pot_width", "width of the pot inside, at the surface of the liquid", []string{`"12 in"`, `"30 cm"`}},
			measure(func(r *Run) **quantity.Length { return &r.PotWidth }, quantity.ParseLength, potWidth)},
		entry[Run]{Key{"simmer", "how long it simmers", []string{`"4h"`, `"45 min"`}},
			measure(func(r *Run) **time.Duration { return &r.Simmer }, quantity.ParseDuration, simmerSpan)},
		entry[Run]{Key{"lid", "lid while it simmers: on, ajar or off", []string{`"ajar"`}},
			text(func(r *Run) *string { return &r.Lid })},
		entry[Run]{Key{"top_up", "topping up: never, or level to keep the level", []string{`"never"`, `"level"`}},
			text(func(r *Run) *string { return &r.TopUp })},
		entry[Run]{Key{"jars", "sizes of jar in order of preference, each with a limit if wanted", []string{`"quart,pint"`, `"quart=14,pint=12"`}},
			text(func(r *Run) *string { return &r.Jars })},
		entry[Run]{Key{"mouth", "mouth of the jars: regular or wide", []string{`"regular"`, `"wide"`}},
			text(func(r *Run) *string { return &r.Mouth })},
		entry[Run]{Key{"prefer", "what jars and loads are chosen for: jars, loads or leftover", []string{`"jars"`, `"loads"`}},
			text(func(r *Run) *string { return &r.Prefer })},
		entry[Run]{Key{"mix", "whether jars of several sizes may share a canner load", []string{"true"}},
			yes(func(r *Run) *bool { return &r.Mix })},
		entry[Run]{Key{"small_loads", "whether to plan loads of fewer than 2 quarts or 4 pints, whose broth is otherwise left over", []string{"true"}},
			yes(func(r *Run) *bool { return &r.SmallLoads })},
		entry[Run]{Key{"chill", "how the strained broth is cooled", []string{`"ice-bath-stirred+fridge"`}},
			text(func(r *Run) *string { return &r.Chill })},
		entry[Run]{Key{"outdoors", "temperature outside, for a chill on the porch", []string{`"25 F"`, `"-4 C"`}},
			measure(func(r *Run) **quantity.Temperature { return &r.Outdoors }, quantity.ParseTemperature, outdoorHeat)},
		entry[Run]{Key{"route", "where the leftover goes: freeze-dry, freezer or fridge", []string{`"freeze-dry"`, `"freezer"`}},
			text(func(r *Run) *string { return &r.Route })},
		entry[Run]{Key{"start", "when the run starts, on the kitchen's clock", []string{`"2026-11-28 08:00"`}},
			moment(func(r *Run) *string { return &r.Start })},
		entry[Run]{Key{"finish_by", "when the last load must be out and the kitchen wiped down", []string{`"2026-11-29 20:00"`}},
			moment(func(r *Run) *string { return &r.FinishBy })},
		entry[Run]{Key{"between", "instead of a start: when the run may begin at the earliest, with and", []string{`"2026-11-27 18:00"`}},
			moment(func(r *Run) *string { return &r.Between })},
		entry[Run]{Key{"and", "when it must be done, wiped-down kitchen included, with between", []string{`"2026-11-29 20:00"`}},
			moment(func(r *Run) *string { return &r.And })},
		entry[Run]{Key{"unattended", "whether this simmer may go on with nobody up or at home, instead of the pot's", []string{"true"}},
			func(r *Run, v value) error {
				r.Unattended = new(bool)
				return yes(func(r *Run) *bool { return r.Unattended })(r, v)
			}},
		entry[Run]{Key{"altitude", "altitude of this run, instead of the kitchen's", []string{`"3200 ft"`, `"975 m"`}},
			measure(func(r *Run) **quantity.Length { return &r.Altitude }, quantity.ParseAltitude, altitudes)},
		entry[Run]{Key{"gauge", "gauge of this run, instead of the kitchen's", []string{`"weighted"`, `"dial"`}},
			text(func(r *Run) *string { return &r.Gauge })},
		entry[Run]{Key{"bones.kind", "one of several kinds in the pot, instead of kind", []string{`"chicken-frames"`, `"turkey-necks"`}},
			text(func(r *Run) *string { return &lastPortion(r).Kind })},
		entry[Run]{Key{"bones.weight", "weight of that kind, instead of bones", []string{`"3 lb"`, `"1.4 kg"`}},
			measure(func(r *Run) **quantity.Mass { return &lastPortion(r).Weight }, quantity.ParseMass, boneMass)},
		entry[Run]{Key{"note.id", "names the note, and no other", []string{`"k3v9"`}},
			text(func(r *Run) *string { return &lastNote(r).ID })},
		entry[Run]{Key{"note.at", "when it happened, on the kitchen's clock; with an offset in an hour it shows twice", []string{`"2026-11-28 17:10"`, `"2026-11-01T01:40:00-06:00"`}}, noteTime},
		entry[Run]{Key{"note.what", "what happened", []string{`"strained"`}}, noteWord},
		entry[Run]{Key{"note.value", "what was measured", []string{`"11 qt"`}},
			text(func(r *Run) *string { return &lastNote(r).Value })},
		entry[Run]{Key{"note.step", "the step it is about, by its id", []string{`"strain"`}},
			text(func(r *Run) *string { return &lastNote(r).Step })},
		entry[Run]{Key{"note.load", "the load it is about, by its number", []string{"1"}},
			count(func(r *Run) *int { return &lastNote(r).Load }, maxCount)},
	)
})
