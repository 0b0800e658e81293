package runfile

import (
	"fmt"
	"regexp"
	"strings"
	"sync"

	"brothrun/stock/quantity"
)

// Birds are whole birds by their count; zero where nobody counted.
type Birds struct {
	Count int    // 1 to 100
	Bird  string // what the cook calls one: "bird", "chicken" or "turkey"
}

// VegetableCount is vegetables by their count.
type VegetableCount struct {
	Count int    // 1 to 100
	Name  string // of one, a name of vegetableNames: "onion"
}

// mostCounted is the most birds or vegetables of a kind that are counted; own choice.
const mostCounted = 100

// ofBirds is text that counts birds.
var ofBirds = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`^(.*?)\b(?:whole )?(bird|chicken|turkey)s?\b,?(.*)$`)
})

// ParseBones reads what goes into the pot: a weight, "9 lb", or whole birds with the
// weight of all of them, "2 birds, 9 lb" (also "2 birds, 9 lb in all"), or of each,
// "2 birds of 4.5 lb" (also "2 birds, 4.5 lb each"). The weight that comes back is of
// all; whether it is one for that many birds is not asked here. A *quantity.ParseError is a
// weight that cannot be read or is not there, and a count that is no whole number from 1
// to 100.
func ParseBones(text string) (all quantity.Mass, birds Birds, err error) {
	wrong := func(reason string) error {
		return &quantity.ParseError{Text: text, Kind: "birds", Reason: reason,
			Hint: `write the weight of all of them, "2 birds, 9 lb", or of each, "2 birds of 4.5 lb"`}
	}
	found := ofBirds().FindStringSubmatch(strings.Join(strings.Fields(strings.ToLower(text)), " "))
	if found == nil {
		if all, err = quantity.ParseMass(text); err != nil {
			err = uncounted(text, err)
		}
		return all, birds, err
	}
	count, err := ParseCount(found[1])
	switch {
	case strings.TrimSpace(found[1]) == "":
		return 0, birds, wrong("does not begin with how many birds there are")
	case err != nil || count < 1 || count > mostCounted:
		return 0, birds, wrong(fmt.Sprintf("is no count of birds: a whole number from 1 to %d", mostCounted))
	}
	weight, of := strings.CutPrefix(strings.TrimSuffix(strings.TrimSpace(found[3]), ","), "of ")
	weight, apiece := strings.CutSuffix(weight, " each")
	weight, together := strings.CutSuffix(weight, " in all")
	each := of || apiece
	switch {
	case weight == "":
		return 0, birds, wrong("does not say what they weigh")
	case each && together:
		return 0, birds, wrong("says both, the weight of each and of all")
	}
	mass, err := quantity.ParseMass(weight)
	if err != nil {
		return 0, birds, uncounted(text, err)
	}
	if each {
		mass *= quantity.Mass(count)
	}
	return mass, Birds{count, found[2]}, nil
}

// ofParts is a count of what is only weighed, and then its weight: "2 frames, 4 lb" and
// "2 x 4.5 lb".
var ofParts = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`^(\d{1,2}) ?(x|\*|×|(?:of |[a-z-]+(?: [a-z-]+)?,? ?))\s*(\d.*)$`)
})

// uncounted is the error of a weight that cannot be read, with the weight to write where a
// count stands before one.
func uncounted(text string, err error) error {
	found := ofParts().FindStringSubmatch(strings.Join(strings.Fields(strings.ToLower(text)), " "))
	if found == nil {
		return err
	}
	word, _, _ := strings.Cut(strings.TrimRight(found[2], ", "), " ")
	if _, unit := quantity.ParseMass("1 " + word); unit == nil || word == "e" {
		return err // "9 pounds and 4 oz", "1e9 lb"
	}
	weight, wrong := quantity.ParseMass(found[3])
	if wrong != nil {
		return err
	}
	each := strings.Contains("x*×", word) || strings.HasSuffix(strings.TrimSpace(found[2]), "of")
	if count, err := ParseCount(found[1]); each && err == nil {
		units := quantity.US
		if strings.HasSuffix(found[3], "g") {
			units = quantity.Metric
		}
		return &quantity.ParseError{Text: text, Kind: "mass", Reason: "is the weight of each",
			Hint: fmt.Sprintf("write the weight of all: %q", (weight * quantity.Mass(count)).Format(units))}
	}
	return &quantity.ParseError{Text: text, Kind: "mass", Reason: "counts what is only weighed",
		Hint: fmt.Sprintf("write the weight of all: %q", found[3])}
}

// vegetableNames are the vegetables that may be counted, by all that one is called.
var vegetableNames = map[string]string{
	"onion": "onion", "carrot": "carrot", "celery stalk": "celery stalk", "stalk of celery": "celery stalk",
	"celery rib": "celery stalk", "rib of celery": "celery stalk",
}

// kindsOf splits what is listed: at commas, but none between thousands, and at "and".
var kindsOf = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`,\s+|\s+and\s+`) })

// comma is one that stands between no thousands.
var comma = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`([^0-9]),`) })

// ParseVegetables reads vegetables by weight, by count or both, with commas between:
// "2 lb", "4 onions", "2 lb, 3 onions, 5 celery stalks". weighed is what has a weight, not
// what is counted. A *quantity.ParseError is a weight that cannot be read, a vegetable that
// is not counted, and a count that is no whole number from 1 to 100.
func ParseVegetables(text string) (weighed quantity.Mass, counted []VegetableCount, err error) {
	for _, part := range kindsOf().Split(comma().ReplaceAllString(text, "$1, "), -1) {
		written := strings.TrimLeft(part, "0123456789.,/-½¼¾ ")
		name := strings.Join(strings.Fields(strings.ToLower(written)), " ")
		wrong := func(reason, hint string) error {
			return &quantity.ParseError{Text: part, Kind: "vegetables", Reason: reason, Hint: hint}
		}
		one, is := vegetableNames[strings.TrimSuffix(strings.Replace(name, "s of", " of", 1), "s")]
		if !is {
			mass, err := quantity.ParseMass(part)
			if _, noUnit := quantity.ParseMass("1 " + name); err != nil && name != "" && noUnit != nil {
				err = wrong("is neither a weight nor a count of onions, carrots or celery stalks",
					`weigh them, or write "4 onions", "2 lb, 3 onions" or "4 onions, 6 carrots, 5 celery stalks"`)
			}
			if err != nil {
				return 0, nil, err
			}
			weighed += mass
			continue
		}
		count, err := ParseCount(part[:len(part)-len(written)])
		if err != nil || count < 1 || count > mostCounted {
			return 0, nil, wrong(fmt.Sprintf("is no count: a whole number from 1 to %d", mostCounted),
				"weigh them, such as 2 lb")
		}
		counted = append(counted, VegetableCount{count, one})
	}
	return weighed, counted, nil
}
