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

	"github.com/pelletier/go-toml/v2"

	"brothrun/stock/fault"
	"brothrun/stock/quantity"
)

// value is a TOML value.
type value struct {
	raw string // as it stands in the file
	is  any    // what it means, as decodeValue has it
}

// problem is why a value cannot be used; the decoder adds file, line and key.
type problem struct {
	reason, hint string
	number       string // given without a unit
}

func problemf(format string, about ...any) *problem {
	return &problem{reason: fmt.Sprintf(format, about...)}
}

// set puts what read makes of a value at at.
func set[Q any](at *Q, read func(value) (Q, *problem)) func(value) *problem {
	return func(v value) *problem {
		q, wrong := read(v)
		if wrong == nil {
			*at = q
		}
		return wrong
	}
}

// give is set for what has no zero that means "not given".
func give[Q any](at **Q, read func(value) (Q, *problem)) func(value) *problem {
	return func(v value) *problem {
		q := new(Q)
		wrong := set(q, read)(v)
		if wrong == nil {
			*at = q
		}
		return wrong
	}
}

// count sets the number of jars of a size, from 0 to maxCount.
func count(at *map[string]int, size string) func(value) *problem {
	return func(v value) *problem {
		if *at == nil {
			*at = map[string]int{}
		}
		n, wrong := whole(0, maxCount)(v)
		(*at)[size] = n
		return wrong
	}
}

// last returns the last element of a list, or one apart when it has none.
func last[T any](list []T) *T {
	if len(list) == 0 {
		return new(T)
	}
	return &list[len(list)-1]
}

// number is the figure of an example.
var number = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`[0-9][0-9.]*`) })

// asWritten shows how to write a key: width = "12.25 in" or width = "31 cm", with
// the number the cook gave if there is one, so that nobody copies somebody else's.
func (k key) asWritten(given string) string {
	ways := strings.Split(k.examples, " or ")
	for i, way := range ways {
		if given != "" && strings.Trim(given, "-0123456789.,/ ") == "" {
			way = number().ReplaceAllLiteralString(way, clip(given))
		}
		ways[i] = leaf(k.name) + " = " + way
	}
	return "write " + strings.Join(ways, " or ")
}

// allowed is a quantity within a range, whose ends words tell the cook in the order
// "1 l to 200 l (about 1 qt to 211 qt)".
type allowed[Q ~float64 | ~int64] struct {
	parse func(string) (Q, error)
	words string
}

// The allowed ranges; common practice, no source.
var (
	altitudes   = allowed[quantity.Length]{quantity.ParseAltitude, "-500 m to 6,000 m (-1,640 ft to 19,685 ft)"}
	potVolume   = allowed[quantity.Volume]{quantity.ParseVolume, "1 l to 200 l (about 1 qt to 211 qt)"}
	waterVolume = allowed[quantity.Volume]{quantity.ParseVolume, "10 ml to 200 l (about 0.01 qt to 211 qt)"}
	potWidth    = allowed[quantity.Length]{quantity.ParseLength, "10 cm to 100 cm (about 4 in to 39 in)"}
	jarVolume   = allowed[quantity.Volume]{quantity.ParseVolume, "30 ml to 10 l (about 1 fl oz to 10 qt)"}
	jarBore     = allowed[quantity.Length]{quantity.ParseLength, "2 cm to 30 cm (about 0.8 in to 12 in)"}
	jarWidth    = allowed[quantity.Length]{quantity.ParseLength, "3 cm to 30 cm (about 1.2 in to 12 in)"}
	jarHeight   = allowed[quantity.Length]{quantity.ParseLength, "3 cm to 60 cm (about 1.2 in to 24 in)"}
	cannerSize  = allowed[quantity.Length]{quantity.ParseLength, "10 cm to 100 cm (about 4 in to 39 in)"}
	cannerMass  = allowed[quantity.Mass]{quantity.ParseMass, "1 kg to 50 kg (about 2.2 lb to 110 lb)"}
	cannerWater = allowed[quantity.Volume]{quantity.ParseVolume, "0.5 l to 30 l (about 0.5 qt to 32 qt)"}
	cannerSpan  = allowed[time.Duration]{quantity.ParseDuration, "1 min to 4 h"}
	rackHeight  = allowed[quantity.Length]{quantity.ParseLength, "0.5 mm to 50 mm (about 0.02 in to 2 in)"}
	boilOff     = allowed[quantity.VolumeRate]{quantity.ParseVolumeRate, "0.01 l/h to 20 l/h (about 0.01 qt/h to 21 qt/h)"}
	burnerPower = allowed[quantity.Power]{quantity.ParsePower, "100 W to 50 kW (about 340 BTU/h to 170,600 BTU/h)"}
	fridgeHeat  = allowed[quantity.Temperature]{quantity.ParseTemperature, "-5 C to 20 C (23 F to 68 F)"}
	freezerHeat = allowed[quantity.Temperature]{quantity.ParseTemperature,
		"-60 C to -5 C (-76 F to 23 F): warmer, it does not freeze broth through"}
	tapHeat     = allowed[quantity.Temperature]{quantity.ParseTemperature, "0 C to 40 C (32 F to 104 F)"}
	outdoorHeat = allowed[quantity.Temperature]{quantity.ParseTemperature, "-40 C to 50 C (-40 F to 122 F)"}
	traySize    = allowed[quantity.Length]{quantity.ParseLength, "5 cm to 100 cm (about 2 in to 39 in)"}
	trayDepth   = allowed[quantity.Length]{quantity.ParseLength, "5 mm to 20 mm (about 0.2 in to 0.8 in)"}
	iceLoad     = allowed[quantity.Mass]{quantity.ParseMass, "0.2 kg to 50 kg (about 0.4 lb to 110 lb)"}
	coldRoom    = allowed[quantity.Volume]{quantity.ParseVolume, "0.5 l to 500 l (about 0.5 qt to 528 qt)"}
	freezerSize = allowed[quantity.Volume]{quantity.ParseVolume, "10 l to 1000 l (about 0.35 cu ft to 35 cu ft)"}
	boneMass    = allowed[quantity.Mass]{quantity.ParseMass, "50 g to 100 kg (about 2 oz to 220 lb)"}
	otherMass   = allowed[quantity.Mass]{quantity.ParseMass, "0 kg to 100 kg (about 220 lb)"}
	simmerSpan  = allowed[time.Duration]{quantity.ParseDuration, "10 min to 72 h"}
)

// holds reports whether q is within the range, ends included.
func (a allowed[Q]) holds(q Q) bool {
	from, to, _ := strings.Cut(a.words, " to ")
	to, _, _ = strings.Cut(to, " (")
	least, wrong := a.parse(from)
	most, err := a.parse(to)
	return wrong == nil && err == nil && q >= least && q <= most
}

func (a allowed[Q]) String() string { return "must be from " + a.words }

// read reads a quantity with its unit.
func (a allowed[Q]) read(v value) (Q, *problem) { return a.readBy(a.parse, v) }

// readBy is read of what may say more than the quantity.
func (a allowed[Q]) readBy(parse func(string) (Q, error), v value) (Q, *problem) {
	var unreadable *quantity.ParseError
	if v.isNumber() {
		wrong := v.withoutUnit("")
		if _, err := a.parse(v.raw); errors.As(err, &unreadable) {
			wrong.number = unreadable.Number
		}
		return 0, wrong
	}
	text, wrong := readText(v)
	if wrong != nil {
		return 0, wrong
	}
	q, err := parse(text)
	switch {
	case errors.As(err, &unreadable):
		// The key knows better than the parser which unit was meant.
		return 0, &problem{err.Error(), unreadable.Hint, unreadable.Number}
	case err != nil:
		return 0, problemf("%v", err)
	case !a.holds(q):
		return 0, problemf("%q is out of range: %s", clip(text), a)
	}
	return q, nil
}

// maxText is the longest text a file may hold, in characters; common practice,
// no source.
const maxText = 500

// readText reads a text: one line, not empty, without control characters.
func readText(v value) (string, *problem) {
	text, ok := v.is.(string)
	text = strings.TrimSpace(text)
	length := utf8.RuneCountInString(text)
	switch {
	case !ok:
		return "", problemf("must be text in quotes, not %s", v.describe())
	case text == "":
		return "", &problem{reason: "is empty", hint: "fill it in, or take the line out"}
	case length > maxText:
		return "", &problem{fmt.Sprintf("is %d characters long, must be at most %d", length, maxText), "shorten it", ""}
	case strings.ContainsFunc(text, unicode.IsControl):
		return "", &problem{"holds a line break or another control character", "write it on one line, without tabs", ""}
	}
	return text, nil
}

// isNumber reports whether v is a bare number.
func (v value) isNumber() bool {
	_, isWhole := v.is.(int64)
	_, isDecimal := v.is.(float64)
	return isWhole || isDecimal
}

// describe names a value that is of the wrong kind.
func (v value) describe() string {
	switch is := v.is.(type) {
	case nil:
		if v.raw[0] == '[' {
			return "a list"
		}
		return "a section"
	case int64, float64:
		return "the number " + clip(v.raw)
	case bool:
		return v.raw
	case string:
		return "the text " + strconv.Quote(clip(is))
	}
	return "a bare date or time"
}

// withoutUnit complains of a bare number, which is to be shown with a unit unless "".
func (v value) withoutUnit(number string) *problem {
	return &problem{reason: clip(v.raw) + " has no unit, and must be text in quotes", number: number}
}

// clip shortens text for an error message.
func clip(text string) string {
	const longest = 40
	if utf8.RuneCountInString(text) <= longest {
		return text
	}
	return string([]rune(text)[:longest]) + "…"
}

// oneOf reads one of a few words, upper and lower case alike.
func oneOf(words ...string) func(value) (string, *problem) {
	return func(v value) (string, *problem) {
		text, wrong := readText(v)
		word := strings.ToLower(text)
		if wrong == nil && !slices.Contains(words, word) {
			wrong = problemf("%q is not known: must be %s%s", clip(text), strings.Join(words, " or "),
				fault.DidYouMean(word, words))
		}
		return word, wrong
	}
}

var clockSpan = sync.OnceValue(func() *regexp.Regexp {
	const clock = `([01]?[0-9]|2[0-3]):[0-5][0-9]`
	return regexp.MustCompile(`^` + clock + ` *- *(` + clock + `|24:00)$`)
})

// readHours reads a text that has to look like two times on a 24-hour clock.
func readHours(v value) (string, *problem) {
	text, wrong := readText(v)
	if wrong == nil && !clockSpan().MatchString(text) {
		wrong = problemf("%q is not two times on a 24-hour clock", clip(text))
	}
	return text, wrong
}

// readYes reads a choice that is true or false.
func readYes(v value) (bool, *problem) {
	yes, ok := v.is.(bool)
	if !ok {
		return false, problemf("must be true or false, without quotes, not %s", v.describe())
	}
	return yes, nil
}

// readMoment reads a local date and time, quoted or as TOML's own local date-time.
func readMoment(v value) (string, *problem) {
	switch v.is.(type) {
	case toml.LocalDateTime:
		v.is = v.raw
	case time.Time:
		return "", problemf("%s names an offset; a run goes by the clock on the wall", clip(v.raw))
	}
	return readText(v)
}

// maxCount is the most jars anyone counts, and the most pots, bookings or notes
// a file may list.
const maxCount = 1000

// whole reads a whole number from least to most.
func whole(least, most int64) func(value) (int, *problem) {
	return func(v value) (int, *problem) {
		n, ok := v.is.(int64)
		if !ok || n < least || n > most {
			return 0, problemf("must be a whole number from %d to %d, not %s", least, most, v.describe())
		}
		return int(n), nil
	}
}

// percent reads "90 %" as 0.9. of says of what it is a part.
func percent(least, most float64, of string) func(value) (float64, *problem) {
	return func(v value) (float64, *problem) {
		if v.isNumber() {
			return 0, v.withoutUnit(v.raw)
		}
		text, wrong := readText(v)
		if wrong != nil {
			return 0, wrong
		}
		number, ok := strings.CutSuffix(text, "%")
		x, err := strconv.ParseFloat(strings.TrimSpace(number), 64)
		switch {
		case !ok:
			return 0, problemf("%q is not a percentage", clip(text))
		case err != nil || !(x >= least && x <= most):
			return 0, problemf("%q is out of range: must be from %.0f %% to %.0f %% of %s", clip(text), least, most, of)
		}
		return x / 100, nil
	}
}

// Money is an amount in the cook's own currency, whatever that is.
type Money float64

// mostMoney is the largest price that is taken for one: a rack of a million is a
// slip in any currency but the weakest; common practice, no source.
const mostMoney = 1e6

// ParseMoney reads a plain decimal number from 0 to 1,000,000, such as "30" or
// "0.15". Signs, exponents, currency signs and commas are errors.
func ParseMoney(text string) (Money, error) {
	digits := strings.TrimSpace(text)
	amount, err := strconv.ParseFloat(digits, 64)
	if err != nil || strings.Trim(digits, "0123456789.") != "" || !(amount >= 0 && amount <= mostMoney) {
		return 0, fmt.Errorf("%q is not a price: a plain number from 0 to 1000000 in your own currency, "+
			"such as 30 or 0.15", clip(text))
	}
	return Money(amount), nil
}

// ParseRunsPerYear reads a whole number from 1 to 366.
func ParseRunsPerYear(text string) (int, error) {
	n, err := strconv.ParseUint(strings.TrimSpace(text), 10, 16)
	if err != nil || n < 1 || n > mostRuns {
		return 0, fmt.Errorf("%q is not a number of runs a year: a whole number from 1 to %d", clip(text), mostRuns)
	}
	return int(n), nil
}

// readMoney reads a plain number.
func readMoney(v value) (Money, *problem) {
	amount, ok := v.is.(float64)
	if n, isWhole := v.is.(int64); isWhole {
		amount, ok = float64(n), true
	}
	if !ok || !(amount >= 0 && amount <= mostMoney) {
		return 0, problemf("must be a plain number from 0 to 1000000, not %s", v.describe())
	}
	return Money(amount), nil
}
