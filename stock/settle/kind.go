package settle

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"brothrun/stock/fault"
	"brothrun/stock/freezedry"
	"brothrun/stock/process"
	"brothrun/stock/quantity"
	"brothrun/stock/runfile"
)

// Kind names what goes into the pot, as the cook writes it: "turkey-frames".
type Kind string

// kindFacts joins what the rooms call a kind.
type kindFacts struct {
	kind   Kind
	words  string // for titles
	stock  process.Stock
	solids freezedry.SolidsKind
	simmer simmerRange
	bird   *bird // nil of all but whole birds
}

// bird is what one whole bird may be.
type bird struct {
	name        string // as Birds.Bird: "chicken"
	least, most quantity.Mass
}

// What one bird weighs, from a small hen to a large capon, and from a small turkey to the
// heaviest sold; from memory of USDA classes of poultry, and wide.
var (
	aChicken = &bird{"chicken", 1 * quantity.Pound, 12 * quantity.Pound}
	aTurkey  = &bird{"turkey", 4 * quantity.Pound, 40 * quantity.Pound}
)

// simmerRange is the simmer the tested directions describe.
type simmerRange struct {
	shortest, usual, longest time.Duration // longest 0: no end is described
}

// Simmer times of the tested directions: chicken and turkey 30 to 45 min, beef
// 3 to 4 h (USDA Complete Guide to Home Canning, Guide 5, "Meat stock (broth)",
// as reprinted by Minnesota Extension). The others are ordinary kitchen times
// for broth that goes to the freezer: pork 3 h (a published pork stock), fish
// and vegetable 30 to 45 min (teaching guides).
//
// Of whole birds the directions say nothing: theirs are for bones with most of the meat
// off. How long a bird takes to be cooked through is common practice, no source, and a
// thermometer decides; the end that is described stays that of the bones.
var (
	poultrySimmer = simmerRange{30 * time.Minute, 45 * time.Minute, 45 * time.Minute}
	beefSimmer    = simmerRange{3 * time.Hour, 3*time.Hour + 30*time.Minute, 4 * time.Hour}
	porkSimmer    = simmerRange{3 * time.Hour, 3 * time.Hour, 0}
	shortSimmer   = simmerRange{30 * time.Minute, 45 * time.Minute, 0}

	wholeChickenSimmer = simmerRange{time.Hour, 75 * time.Minute, 45 * time.Minute}
	wholeTurkeySimmer  = simmerRange{2 * time.Hour, 150 * time.Minute, 45 * time.Minute}
)

// kinds is every kind brothrun plans, in the order help shows them.
var kinds = []kindFacts{
	{"chicken", "chicken pieces", process.Chicken, freezedry.Poultry, poultrySimmer, nil},
	{"chicken-frames", "chicken frames", process.Chicken, freezedry.Poultry, poultrySimmer, nil},
	{"chicken-backs", "chicken backs", process.Chicken, freezedry.Poultry, poultrySimmer, nil},
	{"chicken-feet", "chicken feet", process.Chicken, freezedry.Poultry, poultrySimmer, nil},
	{"turkey", "turkey pieces", process.Turkey, freezedry.Poultry, poultrySimmer, nil},
	{"turkey-frames", "turkey frames", process.Turkey, freezedry.Poultry, poultrySimmer, nil},
	{"turkey-necks", "turkey necks", process.Turkey, freezedry.Poultry, poultrySimmer, nil},
	{"whole-chicken", "whole chickens", process.Chicken, freezedry.Poultry, wholeChickenSimmer, aChicken},
	{"whole-turkey", "whole turkeys", process.Turkey, freezedry.Poultry, wholeTurkeySimmer, aTurkey},
	{"beef", "beef bones", process.Beef, freezedry.Beef, beefSimmer, nil},
	{"beef-shank", "beef shank", process.Beef, freezedry.Beef, beefSimmer, nil},
	{"pork", "pork bones", process.Pork, freezedry.Pork, porkSimmer, nil},
	{"fish", "fish bones", process.Fish, freezedry.Fish, shortSimmer, nil},
	{"shellfish", "shells", process.Shellfish, freezedry.Fish, shortSimmer, nil},
	{"vegetable", "vegetables", process.Vegetable, freezedry.Vegetable, shortSimmer, nil},
}

// Kinds returns the kinds of run brothrun plans, in the order to show them.
func Kinds() []Kind {
	all := make([]Kind, len(kinds))
	for i, facts := range kinds {
		all[i] = facts.kind
	}
	return all
}

// facts returns what is known of a kind; ok is false for one not in Kinds.
func (k Kind) facts() (facts kindFacts, ok bool) {
	for _, facts := range kinds {
		if facts.kind == k {
			return facts, true
		}
	}
	return kindFacts{}, false
}

// ParseKind reads a kind by its name or its words, "turkey frame" and "beef bones" among
// them; upper case, blanks and the plural do not matter. One that is not known, and a word
// that may be several, are a *fault.Fault, of no key, that names those.
func ParseKind(text string) (Kind, error) {
	for _, facts := range kinds { // whole birds are what a cook counts: "chickens"
		if facts.bird != nil && spelling(text) == facts.bird.name+"s" {
			return facts.kind, nil
		}
	}
	if kind, ok := fault.One(text, Kinds()); ok {
		return kind, nil
	}
	for _, facts := range kinds {
		if fault.Singular(facts.words) == fault.Singular(text) {
			return facts.kind, nil
		}
	}
	if meant := meantKinds(text); len(meant) > 0 { // all the others would bury it
		return "", fault.New("", "write "+oneOf(meant, " or "), "kind %q is not known; did you mean %s?", text,
			oneOf(meant, " or "))
	}
	return "", fault.New("", "write one of: "+kindList(), "kind %q is not known", text)
}

// otherWords are words of the trade for parts of the names of kinds; common practice, no
// source. They are not taken for those, but offered: a carcass may have its meat on.
var otherWords = strings.NewReplacer("carcasses", "frames", "carcass", "frames", "hens", "chickens", "hen", "chicken",
	"birds", "whole", "bird", "whole")

// meantKinds are the kinds that may be meant by text that is none: "chikens" are chicken
// pieces or whole ones.
func meantKinds(text string) []Kind {
	text = otherWords.Replace(strings.ToLower(text))
	meant := fault.Meant(text, Kinds())
	if kind, ok := fault.One(text, Kinds()); ok {
		meant = []Kind{kind}
	}
	for _, facts := range kinds {
		if facts.bird != nil && strings.HasSuffix(text, "s") && slices.Contains(meant, Kind(facts.bird.name)) {
			meant = append(meant, facts.kind)
		}
	}
	return meant
}

// checkBirds finds a count of birds that are none, or that weigh what none does. key is
// that of the weight.
func (facts kindFacts) checkBirds(key string, portion runfile.Portion) error {
	birds, of := portion.Birds, facts.bird
	switch {
	case birds.Count == 0 || portion.Weight == nil:
		return nil
	case of == nil:
		return fault.New(key, "write the weight alone, or kind = \"whole-chicken\" or \"whole-turkey\"",
			"birds are counted where they go in whole, and %s do not", facts.words)
	case birds.Bird != "bird" && birds.Bird != of.name:
		return fault.New(key, fmt.Sprintf("write %ss here, or kind = \"whole-%s\"", of.name, birds.Bird),
			"%ss are counted, and the kind is %s", birds.Bird, facts.kind)
	}
	each := *portion.Weight / quantity.Mass(birds.Count)
	if each >= of.least*(1-rounding) && each <= of.most*(1+rounding) {
		return nil
	}
	slip := fault.New(key, "write the weight of all of them, \"2 birds, 9 lb\", or of each, \"2 birds of 4.5 lb\"",
		"a bird of %s is out of range (%s over %d): a %s weighs %s to %s", each.Both(quantity.US),
		portion.Weight.Both(quantity.US), birds.Count, of.name, of.least.Both(quantity.US), of.most.Both(quantity.US))
	if all := *portion.Weight; all >= of.least && all <= of.most {
		return fault.New(key, fmt.Sprintf("if each weighs that, write \"%d birds of %s\"", birds.Count,
			all.Format(quantity.US)), "%s", slip.Reason)
	}
	return slip
}

// rounding is that of pounds kept as kilograms.
const rounding = 1e-9

// Words are what a kind is called, and whether it is vegetables.
func (k Kind) Words() (words string, vegetable bool) {
	facts, _ := k.facts()
	return facts.words, facts.stock == process.Vegetable
}

// lean is the kinds that may go into the pot frozen: picked frames and bare bones, which are
// through as soon as the water is warm. In a whole bird or a block of raw meat the middle is
// ice while the outside is warm for hours. Own choice, on the safe side: the published
// guidance allows any piece to be cooked from frozen, half as long again.
var lean = []Kind{"chicken-frames", "turkey-frames", "beef", "pork", "fish", "shellfish", "vegetable"}

// mixed joins the kinds of one pot: the words and names of all of them once, the
// stock they count as together, and the stricter simmer, but never one too short for a
// whole bird. Vegetables beside bones
// are no stock of their own, whichever key they are given by: how many are too many
// is for process.Vegetables. heaviest is the solids of what there is most of.
func mixed(pot []kindFacts, heaviest freezedry.SolidsKind) kindFacts {
	bones := slices.DeleteFunc(slices.Clone(pot), func(f kindFacts) bool { return f.stock == process.Vegetable })
	if len(bones) == 0 {
		bones = pot
	}
	all := bones[0]
	var names, words []string
	var stocks []process.Stock
	for _, facts := range pot {
		if !slices.Contains(names, string(facts.kind)) {
			names, words = append(names, string(facts.kind)), append(words, facts.words)
		}
	}
	for _, facts := range bones {
		stocks = append(stocks, facts.stock)
		all.simmer.shortest = min(all.simmer.shortest, facts.simmer.shortest)
		all.simmer.usual = min(all.simmer.usual, facts.simmer.usual)
		if longest := facts.simmer.longest; longest > 0 && (all.simmer.longest == 0 || longest < all.simmer.longest) {
			all.simmer.longest = longest
		}
	}
	for _, facts := range bones {
		if facts.bird != nil {
			all.simmer.shortest = max(all.simmer.shortest, facts.simmer.shortest)
			all.simmer.usual = max(all.simmer.usual, facts.simmer.usual)
		}
	}
	all.kind, all.words = Kind(strings.Join(names, "+")), listed(words)
	all.stock, all.solids = process.Mix(stocks...), heaviest
	return all
}

// listed writes "a, b and c".
func listed(words []string) string {
	last := len(words) - 1
	if last < 1 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:last], ", ") + " and " + words[last]
}

// spelling forgives upper case and blanks for hyphens: "Turkey frames".
func spelling(text string) string {
	return strings.Join(strings.Fields(strings.ToLower(text)), "-")
}

func kindList() string { return oneOf(Kinds(), ", ") }

func oneOf(kinds []Kind, between string) string {
	var names []string
	for _, k := range kinds {
		names = append(names, string(k))
	}
	return strings.Join(names, between)
}
