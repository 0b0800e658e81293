package stock_test

import (
	"fmt"
	"math/rand/v2"
	"reflect"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/stock"
	"brothrun/stock/ask"
	"brothrun/stock/fault"
	"brothrun/stock/quantity"
	"brothrun/stock/remark"
	"brothrun/stock/runfile"
	"brothrun/stock/settle"
	"brothrun/stock/whatif"
)

// refusedAs asserts one refusal, and what is planned all the same.
func refusedAs(t *testing.T, b stock.Batch, code, why string) {
	t.Helper()
	closed(t, b)
	assert.Equal(t, []string{code}, codes(b.Refusals), why)
	assert.True(t, b.Refused(), why)
	assert.Empty(t, b.Loads, why)
	assert.NotEmpty(t, b.Chill.Method, why)
	assert.Equal(t, b.Yield.ReadyToFill.Likely, b.Leftover.Volume.Likely, why)
	assert.NotEmpty(t, b.Leftover.Route, why)
}

func text(t *testing.T, notes []remark.Note, code string) string {
	t.Helper()
	for _, note := range notes {
		if note.Code == code {
			return told(note)
		}
	}
	require.Fail(t, "no note", code)
	return ""
}

// strength is the powder of a litre of what is left.
func strength(b stock.Batch) float64 {
	return b.Leftover.Drying.Powder.Grams() / b.Leftover.Volume.Likely.Litres()
}

// What is counted is refused, and warned of, by the most it may weigh: 230 g an onion
// (testdata/published/whole_birds.csv), however little it likely is.
func TestCountedVegetablesGoByTheMostTheyMayWeigh(t *testing.T) {
	onions := func(pounds quantity.Mass, n int) stock.Batch {
		return plan(t, func(_ *runfile.Kitchen, r *runfile.Run) {
			r.Bones, r.Simmer, r.Vegetables = to(pounds*quantity.Pound), nil, nil
			r.Counted = []runfile.VegetableCount{{Count: n, Name: "onion"}}
		})
	}
	refusedAs(t, onions(2, 4), "mostly-vegetables", "4 onions may weigh 920 g, and 2 lb is 907 g")
	assert.Contains(t, text(t, onions(2, 4).Refusals, "mostly-vegetables"), "counted; 2 lb (920 g)")
	few := onions(2.05, 4)
	assert.Empty(t, few.Refusals)
	assert.Contains(t, text(t, few.Warnings, "many-vegetables"), "counted; 2 lb (920 g)")
	assert.Empty(t, remark.Noted(onions(6.1, 4).Warnings, "many-vegetables"))
	assert.NotEmpty(t, remark.Noted(onions(6, 4).Warnings, "many-vegetables"))
	assert.Contains(t, text(t, few.Assumed, "vegetables"), "[4 onions 0.68 {0.11 0.17 0.23}]")
}

func TestWholeBirds(t *testing.T) {
	whole := func(change func(*runfile.Run)) (stock.Batch, error) {
		kitchen, run := demo()
		run.Kind, run.Vegetables, run.Simmer, run.Birds = "whole-chicken", nil, nil, runfile.Birds{Count: 2, Bird: "bird"}
		if change != nil {
			change(&run)
		}
		return planOf(kitchen, run)
	}
	b, err := whole(nil)
	require.NoError(t, err)
	closed(t, b)
	assert.NotEmpty(t, b.Loads, "the strained stock is canned as that of chicken pieces")
	assert.Equal(t, 2, b.Birds)
	assert.InDelta(t, 9*0.36, b.Meat.Likely.Pounds(), 1e-9)
	assert.Equal(t, 75*time.Minute, b.Simmer, "common practice, no source")
	assert.Contains(t, text(t, b.Warnings, "long-simmer"), "whole; 1h15m0s; 45m0s",
		"USDA Guide 5: 30 to 45 min, for large carcass bones")
	assert.Contains(t, text(t, b.Assumed, "simmer"), "whole; 1h15m0s")
	assert.Empty(t, remark.Noted(b.Warnings, "birds-not-done"))
	short, err := whole(func(r *runfile.Run) { r.Simmer = to(30 * time.Minute) })
	require.NoError(t, err)
	assert.Contains(t, text(t, short.Warnings, "birds-not-done"), "30m0s; whole chickens; 1h0m0s")
	changes, err := whatif.Levers(settledRun(t, func(r *runfile.Run) {
		r.Kind, r.Birds = "whole-chicken", runfile.Birds{Count: 2, Bird: "bird"}
	}))
	require.NoError(t, err)
	offered := map[string]string{}
	for _, lever := range changes {
		offered[lever.Code] = lever.What
	}
	assert.NotContains(t, offered, "simmer-less", "no bird is offered half done")
	assert.Equal(t, "3 birds, richer", offered["bones-more"])
	assert.Equal(t, "1 bird, thinner", offered["bones-less"])

	mixed, err := whole(func(r *runfile.Run) {
		r.Kind, r.Bones, r.Birds = "", nil, runfile.Birds{}
		r.Portions = []runfile.Portion{{Kind: "chicken-feet", Weight: to(3 * quantity.Pound)},
			{Kind: "whole-chicken", Weight: to(8 * quantity.Pound), Birds: runfile.Birds{Count: 2, Bird: "chicken"}}}
	})
	require.NoError(t, err)
	assert.Equal(t, 75*time.Minute, mixed.Simmer, "the birds have to be done")
	assert.InDelta(t, 8*0.36, mixed.Meat.Likely.Pounds(), 1e-9, "no meat of feet")

	for _, row := range []struct {
		name, key, wrong, hint string
		change                 func(*runfile.Run)
	}{
		{"an ounce", "bones", "a bird of 1 oz (28 g) is out of range (2 oz (57 g) over 2): a chicken weighs 1 lb (454 g) to 12 lb (5.4 kg)",
			"of each", func(r *runfile.Run) { r.Bones = to(2 * quantity.Ounce) }},
		{"60 lb", "bones", "a bird of 60 lb (27.2 kg) is out of range", "of each",
			func(r *runfile.Run) { r.Bones, r.Birds.Count = to(60*quantity.Pound), 1 }},
		{"the weight of one", "bones", "a bird of 11.2 oz (318 g)", `if each weighs that, write "5 birds of 3.5 lb"`,
			func(r *runfile.Run) { r.Bones, r.Birds.Count = to(3.5*quantity.Pound), 5 }},
		{"frames", "bones", "birds are counted where they go in whole, and turkey frames do not", "write the weight alone",
			func(r *runfile.Run) { r.Kind = "turkey-frames" }},
		{"another bird", "bones", "turkeys are counted, and the kind is whole-chicken", `kind = "whole-turkey"`,
			func(r *runfile.Run) { r.Birds.Bird = "turkey" }},
		{"in a list", "bones[1].weight", "a bird of 30 lb", "of each", func(r *runfile.Run) {
			r.Kind, r.Bones, r.Birds = "", nil, runfile.Birds{}
			r.Portions = []runfile.Portion{{Kind: "chicken-feet", Weight: to(3 * quantity.Pound)},
				{Kind: "whole-chicken", Weight: to(60 * quantity.Pound), Birds: runfile.Birds{Count: 2, Bird: "bird"}}}
		}},
	} {
		_, err := whole(row.change)
		var input *fault.Fault
		require.ErrorAs(t, err, &input, row.name)
		assert.Equal(t, row.key, input.Key, row.name)
		assert.Contains(t, input.Reason, row.wrong, row.name)
		assert.Contains(t, input.Hint, row.hint, row.name)
	}
	// The ends of the range are within it.
	for _, pounds := range []quantity.Mass{1, 12} {
		_, err := whole(func(r *runfile.Run) { r.Bones, r.Birds.Count = to(pounds*quantity.Pound), 1 })
		assert.NoError(t, err)
	}
}

func settledRun(t *testing.T, change func(*runfile.Run)) settle.Setup {
	t.Helper()
	kitchen, run := demo()
	run.Simmer = nil
	change(&run)
	setup, err := settle.Run(kitchen, run)
	require.NoError(t, err)
	return setup
}

// Own cut-offs, no source: no more vegetables than bones, and a word from a third
// on. Whichever key they are given by.
func TestVegetablesBesideBones(t *testing.T) {
	for _, row := range []struct {
		bones, vegetables quantity.Mass // pounds
		warned, refused   bool
	}{
		{9, 0, false, false},
		{9, 3, false, false},
		{9, 3.01, true, false},
		{9, 9, true, false},
		{9, 9.01, false, true},
		{0.25, 7, false, true},
	} {
		flag := plan(t, func(_ *runfile.Kitchen, r *runfile.Run) {
			r.Bones, r.Vegetables, r.Simmer = to(row.bones*quantity.Pound), to(row.vegetables*quantity.Pound), nil
		})
		for key, b := range map[string]stock.Batch{"--vegetables": flag, "[[bones]]": plan(t, func(k *runfile.Kitchen, r *runfile.Run) {
			pot(portion("turkey-frames", row.bones), portion("vegetable", max(row.vegetables, 0.2)))(k, r)
			r.Simmer, r.Vegetables = nil, nil
		})} {
			why := fmt.Sprintf("%s %+v", key, row)
			if row.refused {
				refusedAs(t, b, "mostly-vegetables", why)
				assert.InDelta(t, strength(plan(t, func(_ *runfile.Kitchen, r *runfile.Run) { r.Kind = "vegetable" })), strength(b), 1e-9, "dries like vegetables: %s", why)
				continue
			}
			assert.Empty(t, b.Refusals, why)
			assert.NotEmpty(t, b.Loads, why)
			assert.Equal(t, row.warned, strings.Contains(strings.Join(codes(b.Warnings), " "), "many-vegetables"), why)
			assert.Equal(t, 45*time.Minute, b.Simmer, "the bones' simmer: %s", why)
			assert.Equal(t, flag.Leftover.Drying.Powder > 0, b.Leftover.Drying.Powder > 0, why)
		}
	}
	// Vegetables alone, and those beside a stock without a process, stay what they were.
	refusedAs(t, plan(t, func(_ *runfile.Kitchen, r *runfile.Run) { r.Kind = "vegetable" }), "no-tested-process", "vegetables alone")
	refusedAs(t, plan(t, pot(portion("vegetable", 3), portion("vegetable", 3))), "no-tested-process", "twice")
	refusedAs(t, plan(t, pot(portion("pork", 3), portion("vegetable", 6))), "no-tested-process", "pork")
	refusedAs(t, plan(t, pot(portion("beef", 3), portion("vegetable", 1), portion("chicken", 3))), "mixed-kinds", "poultry and beef")
	beef := plan(t, func(k *runfile.Kitchen, r *runfile.Run) {
		pot(portion("beef", 6), portion("vegetable", 1))(k, r)
		r.Simmer = nil
	})
	assert.Equal(t, 3*time.Hour+30*time.Minute, beef.Simmer, "beef's own, 3 to 4 h (USDA, Guide 5)")
}

// A canner holds 4 quarts upright on the rack with the lid on (Wisconsin, Iowa
// State and Clemson Extension).
func TestACannerTooSmallIsRefused(t *testing.T) {
	const inch = quantity.Inch
	holds := func(h map[string]int) runfile.Canner { return runfile.Canner{Holds: h} }
	for _, row := range []struct {
		why    string
		canner runfile.Canner
		jars   string
		small  bool
	}{
		{"none given", runfile.Canner{}, "quart", false},
		{"racks given only", runfile.Canner{Racks: 2}, "quart", false},
		{"a canner of 4 quarts: 2.414 of 3.83 in, and 1/8 in", runfile.Canner{Width: to(9.4 * inch)}, "quart", false},
		{"a little narrower", runfile.Canner{Width: to(9.3 * inch)}, "quart", true},
		{"the same for pints only", runfile.Canner{Width: to(9.3 * inch)}, "pint", true},
		{"too low for a quart", runfile.Canner{Height: to(7.3 * inch)}, "pint", true},
		{"high enough for one", runfile.Canner{Height: to(7.4 * inch)}, "quart", false},
		{"she counted 4", holds(map[string]int{"quart": 4}), "quart", false},
		{"in whatever measures", runfile.Canner{Width: to(9 * inch), Height: to(7.2 * inch), Holds: map[string]int{"quart": 4}}, "pint", false},
		{"but not in a canner lower than a quart, 6.9 in", runfile.Canner{Height: to(6.8 * inch), Holds: map[string]int{"quart": 4}}, "pint", true},
		{"she counted 3", holds(map[string]int{"quart": 3}), "quart", true},
		{"in a wide canner too", runfile.Canner{Width: to(12.25 * inch), Holds: map[string]int{"quart": 3}}, "pint", true},
		{"7 pints are 9.75 in", holds(map[string]int{"pint": 7}), "pint", false},
		{"5 pints may be 8.8 in", holds(map[string]int{"pint": 5}), "pint", true},
		{"the most telling count", holds(map[string]int{"pint": 5, "half-pint": 14}), "pint", false},
		{"a width measured beside counted pints", runfile.Canner{Width: to(12.25 * inch), Holds: map[string]int{"pint": 5}}, "pint", false},
	} {
		change := func(k *runfile.Kitchen, r *runfile.Run) { k.Canner, r.Jars = row.canner, row.jars }
		b := plan(t, change)
		kitchen, run := demo()
		change(&kitchen, &run)
		report, err := ask.CheckKitchen(kitchen)
		require.NoError(t, err)
		setup, err := settle.Run(kitchen, run)
		require.NoError(t, err)
		racks, err := whatif.Racks(setup, whatif.AskRacks(runfile.Prices{}, 0))
		require.NoError(t, err)
		assert.Equal(t, row.small, racks.Refused(), row.why)
		if !row.small {
			assert.Empty(t, b.Refusals, row.why)
			assert.NotEmpty(t, b.Loads, row.why)
			assert.NotContains(t, codes(report.Warnings), "canner-too-small", row.why)
			continue
		}
		refusedAs(t, b, "canner-too-small", row.why)
		assert.Contains(t, codes(report.Warnings), "canner-too-small", row.why)
		assert.Empty(t, racks.Plans, row.why)
		all, err := whatif.Levers(setup)
		require.NoError(t, err)
		for _, l := range all {
			assert.Zero(t, l.Loads, "%s: %s", row.why, l.Code)
		}
		// What it says to say is enough.
		if _, hint, try := strings.Cut(told(b.Refusals[0]), "; canner-too-small try; 4; "); try {
			counted, err := runfile.ParseHolds(hint, kitchen)
			require.NoError(t, err)
			for name, n := range row.canner.Holds {
				assert.Equal(t, n, counted[name], "what she counted stays: %s", hint)
			}
			kitchen.Canner.Holds = counted
			again, err := planOf(kitchen, run)
			require.NoError(t, err)
			assert.Empty(t, again.Refusals, row.why)
		}
	}
	kitchen, run := demo()
	kitchen.Canner.Holds = map[string]int{"quart": 0}
	_, err := planOf(kitchen, run)
	assert.ErrorAs(t, err, new(*fault.Fault), "a slip, not a canner")
}

// boiling is the demo's pot with a measured boil-off of a quart an hour, filled with
// a given volume of water; heating up takes a little of it too.
func boiling(water quantity.Volume, simmer time.Duration) func(*runfile.Kitchen, *runfile.Run) {
	return func(k *runfile.Kitchen, r *runfile.Run) {
		k.Pots[0].Evaporation = to(1 * quantity.QuartPerHour)
		r.Fit, r.Water, r.Simmer, r.Vegetables = false, to(water*quantity.Quart), to(simmer), nil
	}
}

// Poultry simmers 30 to 45 min, beef 3 to 4 h (USDA Complete Guide, Guide 5). The
// cut-off at half of the water put in is our own, no source.
func TestThreeTiersOfSimmering(t *testing.T) {
	beef := func(simmer time.Duration) func(*runfile.Kitchen, *runfile.Run) {
		return func(_ *runfile.Kitchen, r *runfile.Run) { r.Kind, r.Lid, r.Simmer = "beef", "on", to(simmer) }
	}
	for _, row := range []struct {
		why    string
		change func(*runfile.Kitchen, *runfile.Run)
		tier   string
	}{
		{"described", boiling(12, 45*time.Minute), ""},
		{"a minute longer", boiling(12, 46*time.Minute), "long-simmer"},
		{"less than half of it boiled away", boiling(12, 5*time.Hour+20*time.Minute), "long-simmer"},
		{"more than half", boiling(12, 6*time.Hour+10*time.Minute), "reduced-too-far"},
		{"beef described", beef(4 * time.Hour), ""},
		{"beef longer", beef(14 * time.Hour), "long-simmer"},
	} {
		b := plan(t, row.change)
		if row.tier == "reduced-too-far" {
			refusedAs(t, b, row.tier, row.why)
			assert.NotContains(t, codes(b.Warnings), "long-simmer", "said once")
			continue
		}
		assert.Empty(t, b.Refusals, row.why)
		assert.NotEmpty(t, b.Loads, row.why)
		assert.Equal(t, row.tier != "", strings.Contains(strings.Join(codes(b.Warnings), " "), "long-simmer"), row.why)
	}

	b := plan(t, boiling(12, 8*time.Hour))
	y := b.Yield
	refusal := text(t, b.Refusals, "reduced-too-far")
	assert.Greater(t, y.Evaporated, y.Water/2)
	assert.Contains(t, refusal, fmt.Sprintf("reduced-too-far back; %s; 6 qt (5.7 l)", (y.Water/2-y.Strained.Likely).Both(b.Units)), "half of the 12 put in")
	level := plan(t, func(k *runfile.Kitchen, r *runfile.Run) { boiling(12, 8*time.Hour)(k, r); r.TopUp = "level" })
	assert.Empty(t, level.Refusals, "what is topped up has not gone")
	assert.Contains(t, codes(level.Warnings), "long-simmer")

	// What ice puts back counts as water put back.
	iced := func(chill string) stock.Batch {
		return plan(t, func(k *runfile.Kitchen, r *runfile.Run) {
			boiling(12, 6*time.Hour+10*time.Minute)(k, r)
			r.Chill = chill
		})
	}
	assert.NotEmpty(t, iced("ice-bath-stirred").Refusals)
	assert.Empty(t, iced("ice-added").Refusals)

	// Bones that hold a great deal have not boiled anything away.
	held := plan(t, func(k *runfile.Kitchen, r *runfile.Run) {
		r.Bones, r.Vegetables, r.Simmer = to(18.3*quantity.Pound), nil, to(45*time.Minute)
		r.Fit, r.Water = false, to(3*quantity.Quart)
	})
	assert.Less(t, held.Yield.Strained.Likely, held.Yield.Water/2)
	assert.Empty(t, held.Refusals)

	dry := plan(t, boiling(4, 60*time.Hour))
	refusedAs(t, dry, "reduced-too-far", "nothing to pour back to")
	assert.Regexp(t, "; reduced-too-far dry$", told(dry.Refusals[0]), "none to pour back")
	assert.Contains(t, codes(dry.Warnings), "boils-dry")

	fish := plan(t, func(k *runfile.Kitchen, r *runfile.Run) { boiling(12, 8*time.Hour)(k, r); r.Kind = "fish" })
	refusedAs(t, fish, "no-tested-process", "pouring back would not make it one to can")
}

func TestASimmerThatMayBoilDryIsNotLeftAlone(t *testing.T) {
	long := func(water quantity.Volume, simmer time.Duration, lid string) func(*runfile.Kitchen, *runfile.Run) {
		return func(_ *runfile.Kitchen, r *runfile.Run) {
			r.Fit, r.Water, r.Simmer, r.Lid = false, to(water*quantity.Quart), to(simmer), lid
		}
	}
	for _, row := range []struct {
		why      string
		change   func(*runfile.Kitchen, *runfile.Run)
		watching bool
		warning  string
	}{
		{"short and full", long(14, time.Hour, "on"), false, ""},
		{"the likely end is well covered, the low end is not", long(14, 14*time.Hour, "off"), true, "level-falls"},
		{"the likely end has broth, the low end is dry", long(14, 30*time.Hour, "off"), true, "boils-dry"},
		{"not covered at the start", long(5, time.Hour, "on"), true, "bones-not-covered"},
	} {
		attended := plan(t, row.change)
		assert.Equal(t, row.watching, attended.NeedsWatching, row.why)
		assert.NotContains(t, codes(attended.Refusals), remark.UnattendedCode, "nobody asked")
		if row.warning != "" {
			assert.Contains(t, codes(attended.Warnings), row.warning, row.why)
			assert.Positive(t, attended.Yield.Strained.Likely, row.why)
		}
		for _, level := range []string{"never", "level"} { // nobody is there to pour
			alone := plan(t, func(k *runfile.Kitchen, r *runfile.Run) {
				row.change(k, r)
				k.Pots[0].Unattended, r.TopUp = true, level
			})
			assert.Equal(t, row.watching, strings.Contains(strings.Join(codes(alone.Refusals), " "), remark.UnattendedCode), "%s, top up %s", row.why, level)
			if level == "level" {
				assert.False(t, alone.Refused(), "the canning stands: %s", row.why)
				assert.NotEmpty(t, alone.Loads, row.why)
			}
			staying := plan(t, func(k *runfile.Kitchen, r *runfile.Run) {
				row.change(k, r)
				k.Pots[0].Unattended, r.Unattended = true, to(false)
			})
			assert.NotContains(t, codes(staying.Refusals), remark.UnattendedCode, "the run's word wins")
		}
	}
}

// Raw meat over 4 h in the warm: FDA Food Code 3-501.19, time as a control, from
// memory. 29 kg of water and 5 of bones by 80 K take 1,200 W at 40 % (the least of an
// unknown hob, US DOE) 6.6 h, and 5,000 W 1.6 h.
func TestASlowWayToASimmerIsSaid(t *testing.T) {
	slow := plan(t, func(k *runfile.Kitchen, r *runfile.Run) {
		k.Pots[0].Volume, k.Burner = to(40*quantity.Quart), to(1200*quantity.Watt)
	})
	assert.Greater(t, slow.HeatUp.High, 4*time.Hour)
	assert.Contains(t, codes(slow.Warnings), "slow-heat-up")
	quick := plan(t, func(k *runfile.Kitchen, r *runfile.Run) {
		k.Pots[0].Volume, k.Burner = to(40*quantity.Quart), to(5000*quantity.Watt)
	})
	assert.NotContains(t, codes(quick.Warnings), "slow-heat-up")
}

func TestBonesHoldNoMoreThanThereIs(t *testing.T) {
	kitchen, run := demo()
	kitchen.Pots[0].Volume, kitchen.Pots[0].Width = to(40*quantity.Quart), nil
	run.Kind, run.Bones, run.Vegetables, run.Simmer = "turkey-necks", to(22*quantity.Pound), nil, nil
	run.Fit, run.Water, run.TopUp = false, to(1*quantity.Quart), "level"
	b, err := planOf(kitchen, run)
	require.NoError(t, err)
	closed(t, b)
	assert.Zero(t, b.Yield.Strained.Likely)
	assert.Equal(t, b.Yield.Water+b.Yield.GivenOff, b.Yield.HeldBySolids)
	notNegative(t, "", reflect.ValueOf(b))
}

// notNegative asserts that no volume, mass, length, power, energy or time in a value
// is below zero, and that every one is a number.
func notNegative(t *testing.T, path string, v reflect.Value) {
	switch v.Kind() {
	case reflect.Struct:
		for i := range v.NumField() {
			notNegative(t, path+"."+v.Type().Field(i).Name, v.Field(i))
		}
	case reflect.Slice:
		for i := range v.Len() {
			notNegative(t, path, v.Index(i))
		}
	case reflect.Float64:
		if !(v.Float() >= 0) && path != ".Altitude" {
			assert.Fail(t, "below zero", "%s is %g", path, v.Float())
		}
	case reflect.Int, reflect.Int64:
		if v.Int() < 0 {
			assert.Fail(t, "below zero", "%s is %d", path, v.Int())
		}
	}
}

// Hostile draws: far too little water, bones that fill the pot, days of simmering.
func TestNothingIsBelowZero(t *testing.T) {
	t.Parallel()
	random := rand.New(rand.NewPCG(10, 11))
	between := func(low, high float64) float64 { return low + random.Float64()*(high-low) }
	pick := func(all ...string) string { return all[random.IntN(len(all))] }
	kinds := settle.Kinds()
	planned, level, dry := 0, 0, 0
	for planned < 10000 {
		kitchen, run := demo()
		run.Kind = string(kinds[random.IntN(len(kinds))])
		kitchen.Pots[0].Volume, kitchen.Pots[0].Width = to(quantity.Volume(between(4, 100))*quantity.Quart), nil
		run.Bones, run.Vegetables = to(quantity.Mass(between(0.2, 60))*quantity.Pound), nil
		if random.IntN(3) == 0 {
			run.Vegetables = to(quantity.Mass(between(0, 10)) * quantity.Pound)
		}
		if random.IntN(4) > 0 {
			run.Fit, run.Water = false, to(quantity.Volume(between(0.3, 12))*quantity.Quart)
		}
		run.Simmer = to(time.Duration(between(10, 72*60)) * time.Minute)
		if random.IntN(2) == 0 {
			run.Simmer = to(time.Duration(between(10, 120)) * time.Minute)
		}
		if random.IntN(4) == 0 {
			kitchen.Pots[0].Evaporation = to(quantity.VolumeRate(between(0.1, 2)) * quantity.QuartPerHour)
		}
		if random.IntN(4) == 0 {
			kitchen.Pots[0].Held = to(between(0.01, 0.6))
		}
		run.Lid, run.TopUp = pick("on", "ajar", "off"), pick("never", "level")
		run.Chill, run.Route = pick("", "ice-added", "ice-bath-stirred"), pick("", "freezer", "freeze-dry")
		run.Jars, run.Unattended = pick("quart", "pint", "quart=3,pint"), to(random.IntN(3) == 0)
		b, err := planOf(kitchen, run)
		if err != nil {
			var input *fault.Fault
			require.ErrorAs(t, err, &input)
			continue
		}
		planned++
		if b.TopUp {
			level++
		}
		if b.Yield.Strained.Likely == 0 {
			dry++
		}
		notNegative(t, "", reflect.ValueOf(b))
		closed(t, b)
		if t.Failed() {
			t.Fatalf("%+v", run)
		}
	}
	assert.Greater(t, level, 4000)
	assert.Greater(t, dry, 200, "the hard cases were drawn")
}
