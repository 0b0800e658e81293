package settle

import (
	"slices"
	"strings"
	"time"

	"brothrun/stock/freezedry"
	"brothrun/stock/process"
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
}

// simmerRange is the simmer the tested directions describe.
type simmerRange struct {
	shortest, usual, longest time.Duration // longest 0: no end is described
}

// Simmer times of the tested directions: chicken and turkey 30 to 45 min, beef
// 3 to 4 h (USDA Complete Guide to Home Canning, Guide 5, "Meat stock (broth)",
// as reprinted by Minnesota Extension). The others are ordinary kitchen times
// for broth that goes to the freezer: pork 3 h (a published pork stock), fish
// and vegetable 30 to 45 min (teaching guides).
var (
	poultrySimmer = simmerRange{30 * time.Minute, 45 * time.Minute, 45 * time.Minute}
	beefSimmer    = simmerRange{3 * time.Hour, 3*time.Hour + 30*time.Minute, 4 * time.Hour}
	porkSimmer    = simmerRange{3 * time.Hour, 3 * time.Hour, 0}
	shortSimmer   = simmerRange{30 * time.Minute, 45 * time.Minute, 0}
)

// kinds is every kind brothrun plans, in the order help shows them.
var kinds = []kindFacts{
	{"chicken", "chicken pieces", process.Chicken, freezedry.Poultry, poultrySimmer},
	{"chicken-frames", "chicken frames", process.Chicken, freezedry.Poultry, poultrySimmer},
	{"chicken-backs", "chicken backs", process.Chicken, freezedry.Poultry, poultrySimmer},
	{"chicken-feet", "chicken feet", process.Chicken, freezedry.Poultry, poultrySimmer},
	{"turkey", "turkey pieces", process.Turkey, freezedry.Poultry, poultrySimmer},
	{"turkey-frames", "turkey frames", process.Turkey, freezedry.Poultry, poultrySimmer},
	{"turkey-necks", "turkey necks", process.Turkey, freezedry.Poultry, poultrySimmer},
	{"beef", "beef bones", process.Beef, freezedry.Beef, beefSimmer},
	{"beef-shank", "beef shank", process.Beef, freezedry.Beef, beefSimmer},
	{"pork", "pork bones", process.Pork, freezedry.Pork, porkSimmer},
	{"fish", "fish bones", process.Fish, freezedry.Fish, shortSimmer},
	{"shellfish", "shells", process.Shellfish, freezedry.Fish, shortSimmer},
	{"vegetable", "vegetables", process.Vegetable, freezedry.Vegetable, shortSimmer},
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
// stock they count as together, and the stricter simmer. Vegetables beside bones
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

func kindList() string {
	var names []string
	for _, k := range Kinds() {
		names = append(names, string(k))
	}
	return strings.Join(names, ", ")
}
