package words_test

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/export/words"
	"brothrun/stock/quantity"
	"brothrun/stock/remark"
	"brothrun/stock/runfile"
	"brothrun/stock/settle"
	"brothrun/stock/whatif"
)

func to[T any](value T) *T { return &value }

func open(t *testing.T, name string) *os.File {
	t.Helper()
	file, err := os.Open(filepath.Join("..", "..", "testdata", "demo", name))
	require.NoError(t, err)
	t.Cleanup(func() { file.Close() })
	return file
}

// settled is the demo run, changed.
func settled(t *testing.T, change func(*runfile.Kitchen, *runfile.Run)) settle.Setup {
	t.Helper()
	kitchen, err := runfile.DecodeKitchen(open(t, "kitchen.toml"), "kitchen.toml")
	require.NoError(t, err)
	run, err := runfile.DecodeRun(open(t, "run.toml"), "run.toml")
	require.NoError(t, err)
	change(&kitchen, &run)
	setup, err := settle.Run(kitchen, run)
	require.NoError(t, err)
	return setup
}

// racks asks about the demo run, changed.
func racks(t *testing.T, prices runfile.Prices, change func(*runfile.Kitchen, *runfile.Run)) whatif.RackAnswer {
	t.Helper()
	answer, err := whatif.Racks(settled(t, change), whatif.AskRacks(prices, 0))
	require.NoError(t, err)
	return answer
}

func jars(text string) func(*runfile.Kitchen, *runfile.Run) {
	return func(_ *runfile.Kitchen, r *runfile.Run) { r.Jars = text }
}

func TestRackAnswersForOneRun(t *testing.T) {
	free := runfile.Prices{}
	for _, row := range []struct {
		prices runfile.Prices
		change func(*runfile.Kitchen, *runfile.Run)
		want   string
	}{
		{free, jars("pint=13"), "a second rack saves a load of 13 pints every time"},
		{free, jars("pint=11"), "No: a second rack saves no load, but cans 11 pints in 1 load instead of 9 pints."},
		{free, func(_ *runfile.Kitchen, r *runfile.Run) { r.Jars, r.SmallLoads = "pint=11", true }, "a second rack saves a load of 11 pints every time"},
		{runfile.Prices{Rack: to(runfile.Money(40)), Fuel: to(runfile.Money(0))}, jars("pint=13"), "never pays for itself at these prices"},
		{free, func(k *runfile.Kitchen, r *runfile.Run) {
			k.Canner.Racks, k.Canner.Height, r.Jars = 2, to(15*quantity.Inch), "pint=9,quart=7"
		}, "mixing the sizes in a load makes it 1 load"},
		{free, func(_ *runfile.Kitchen, r *runfile.Run) { r.Kind = "fish" }, "no rack saves a load"},
		{free, func(k *runfile.Kitchen, r *runfile.Run) { k.Canner.Racks, r.Jars = 10, "pint" }, "too low for a third layer"},
	} {
		assert.Contains(t, words.Racks(racks(t, row.prices, row.change)), row.want)
	}
}

// A rack the burner is too weak for is left out with a sentence.
func TestARackTooMuchForTheBurner(t *testing.T) {
	a := racks(t, runfile.Prices{}, func(k *runfile.Kitchen, r *runfile.Run) { k.Burner, r.Jars = to(1100*quantity.Watt), "pint" })
	assert.Contains(t, words.Racks(a), "too much for the heat")
	at := slices.IndexFunc(a.Warnings, func(n remark.Note) bool { return n.Code == whatif.RackLeftOut })
	require.GreaterOrEqual(t, at, 0)
	assert.Contains(t, words.Note(a.Warnings[at], words.Form{}), "A second rack is left out (as planned): burner of 1100 W")
}

// Whatever the canner, the jars and the bones: one sentence, and a word for what
// each other way gives up.
func TestRackAnswersAreOneSentence(t *testing.T) {
	for _, height := range []quantity.Length{7.5, 11.5, 15, 24} {
		for _, text := range []string{"quart", "pint", "quart,pint", "pint,quart", "pint=11", "half-pint,pint", "quart=9,pint=2"} {
			for _, bones := range []quantity.Mass{3, 9, 14} {
				a := racks(t, runfile.Prices{Hour: to(runfile.Money(8))}, func(k *runfile.Kitchen, r *runfile.Run) {
					k.Canner.Height, r.Jars, r.Bones, k.Jars = to(height*quantity.Inch), text, to(bones*quantity.Pound), nil
				})
				answer := words.Racks(a)
				assert.NotEmpty(t, answer)
				assert.True(t, strings.HasSuffix(answer, ".") && !strings.Contains(answer, ". "), "one sentence: %s", answer)
				for _, one := range a.Instead {
					assert.NotEmpty(t, words.GivesUp(one, quantity.US))
				}
			}
		}
	}
	found := false
	for _, one := range racks(t, runfile.Prices{}, jars("pint")).Instead {
		if one.Code == "freeze" {
			found = true
			assert.Contains(t, words.GivesUp(one, quantity.US), "in all goes uncanned")
		}
	}
	assert.True(t, found)
}

func TestRackAnswersByPriceAndHeight(t *testing.T) {
	worth := runfile.Prices{Hour: to(runfile.Money(10))}
	height := func(text string, inches quantity.Length) func(*runfile.Kitchen, *runfile.Run) {
		return func(k *runfile.Kitchen, r *runfile.Run) { k.Canner.Height, r.Jars = to(inches*quantity.Inch), text }
	}
	for _, row := range []struct {
		why    string
		prices runfile.Prices
		change func(*runfile.Kitchen, *runfile.Run)
		want   string
	}{
		{"sure and soon paid", worth, jars("pint"), "Yes: a second rack saves a load of 24 pints every time"},
		{"sure, time not priced", runfile.Prices{}, jars("pint"), "For your time, not for the money: "},
		{"sure, time next to worthless", runfile.Prices{Hour: to(runfile.Money(0.01))}, jars("pint"), "Not for the money: "},
		{"too low for two layers of pints", worth, height("pint", 10), "No: the canner is too low for a second layer: even pints need 10.86 in (27.6 cm) inside, and it has 10 in (25.4 cm); "},
		{"quarts stand in one layer", worth, jars("quart,pint"), "No: a second rack would never pay, because 13 quarts make 2 loads with it or without, as another layer of quarts needs 14.4 in"},
		{"one load as it is", worth, jars("pint=9"), "No: a second rack would never pay, because 9 pints make 1 load with it or without"},
		{"the cook has two", worth, func(k *runfile.Kitchen, r *runfile.Run) { k.Canner.Racks, r.Jars = 2, "pint" }, "No: the canner is too low for a third layer"},
	} {
		a := racks(t, row.prices, row.change)
		assert.Contains(t, words.Racks(a), row.want, row.why)
		if strings.Contains(row.want, "too low") {
			low := func(n remark.Note) bool { return n.Code == whatif.CannerLow }
			assert.True(t, slices.ContainsFunc(a.Warnings, low), row.why)
		}
	}
}

// Where the yield lies about a full load, luck decides: the answer begins as the verdict
// has it.
func TestTheAnswerLeadsWithTheVerdict(t *testing.T) {
	leads := map[whatif.Verdict]string{whatif.NoLoad: "No", whatif.CansMore: "No", whatif.NeverPays: "No",
		whatif.Hardly: "Hardly", whatif.Luck: "It depends on luck", whatif.Worth: "Yes"}
	seen := map[string]bool{}
	for tenths := quantity.Volume(50); tenths <= 130; tenths += 2 {
		a := racks(t, runfile.Prices{Hour: to(runfile.Money(10))}, func(k *runfile.Kitchen, r *runfile.Run) {
			r.Jars, k.Jars, r.Fit, r.Water = "pint", nil, false, to(tenths/10*quantity.Quart)
		})
		require.Equal(t, whatif.OwnPlan, a.Plans[0].Code)
		require.Len(t, a.Plans[0].Options, 2)
		verdict, _ := a.Verdict()
		lead, _, _ := strings.Cut(words.Racks(a), ":")
		assert.Equal(t, leads[verdict], lead)
		seen[lead] = true
	}
	assert.True(t, seen["It depends on luck"] && seen["Yes"] && (seen["No"] || seen["Hardly"]), "%v", seen)
}

// The answer hangs on a height that nobody measured, and says so in its first words.
func TestAHeightNobodyMeasuredMakesTheAnswerConditional(t *testing.T) {
	unmeasured := func(jars string) func(*runfile.Kitchen, *runfile.Run) {
		return func(k *runfile.Kitchen, r *runfile.Run) { k.Canner.Height, k.Jars, r.Jars = nil, nil, jars }
	}
	for jars, begins := range map[string]string{
		"quart":     "No, unless your canner is at least 14.4 in (36.6 cm) high inside: the canner is too low",
		"pint":      "No, unless your canner is at least 10.86 in (27.6 cm) high inside: the canner is too low",
		"half-pint": "For your time, not for the money, if your canner is at least 8.5 in (21.6 cm) high inside: a second rack saves",
	} {
		one := racks(t, runfile.Prices{}, unmeasured(jars))
		assert.True(t, strings.HasPrefix(words.Racks(one), begins), words.Racks(one))
		measured := racks(t, runfile.Prices{}, func(k *runfile.Kitchen, r *runfile.Run) {
			k.Canner.Height, k.Jars, r.Jars = to(10.5*quantity.Inch), nil, jars
		})
		assert.NotContains(t, words.Racks(measured), "your canner is at least")
		season, err := whatif.Season([]whatif.RackAnswer{measured, one})
		require.NoError(t, err)
		first, _, _ := strings.Cut(begins, ":")
		assert.Contains(t, words.Racks(season), first[strings.Index(first, "your"):], "a season too")
		assert.Contains(t, words.Racks(season), "Measure it.")
	}
}

// ofMinutes is an answer for a run of a name that simmers so long.
func ofMinutes(t *testing.T, name string, minutes int) whatif.RackAnswer {
	return racks(t, runfile.Prices{}, func(_ *runfile.Kitchen, r *runfile.Run) {
		r.Name, r.Simmer = name, to(time.Duration(minutes)*time.Minute)
	})
}

// What several runs of a season are warned of is said once.
func TestASeasonWarnsOnce(t *testing.T) {
	of := func(name string, hours int) whatif.RackAnswer { return ofMinutes(t, name, 60*hours) }
	said := func(answers ...whatif.RackAnswer) (all []string) {
		season, err := whatif.Season(answers)
		require.NoError(t, err)
		for _, note := range season.Warnings {
			if text := words.Note(note, words.Form{}); strings.Contains(text, "longer than the 45 min") {
				all = append(all, text)
			}
		}
		return all
	}
	alike, other := said(of("One", 5), of("Two", 5)), said(of("One", 5), of("Two", 6), of("Three", 7))
	require.Len(t, alike, 1)
	assert.True(t, strings.HasPrefix(alike[0], "5 h is longer"), alike[0])
	require.Len(t, other, 1)
	assert.Regexp(t, "^One: .*, and 2 runs more: 5 h is longer", other[0])
	some := said(ofMinutes(t, "Short", 45), of("One", 5), of("Two", 6))
	require.Len(t, some, 1)
	assert.Regexp(t, "^One: .*, and 1 run more: 5 h is longer", some[0])
}
