package whatif

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/stock"
	"brothrun/stock/fault"
	"brothrun/stock/quantity"
	"brothrun/stock/runfile"
)

func racks(t testing.TB, prices runfile.Prices, change func(*runfile.Kitchen, *runfile.Run)) RackAnswer {
	t.Helper()
	kitchen, run := demo(t)
	run.Simmer = to(45 * time.Minute)
	if change != nil {
		change(&kitchen, &run)
	}
	a, err := racksOf(kitchen, run, AskRacks(prices, 0))
	require.NoError(t, err)
	return a
}

func jars(text string) func(*runfile.Kitchen, *runfile.Run) {
	return func(_ *runfile.Kitchen, r *runfile.Run) { r.Jars = text }
}

func rackPlan(a RackAnswer, code string) RackPlan {
	for _, p := range a.Plans {
		if p.Code == code {
			return p
		}
	}
	return RackPlan{}
}

// Thirteen pints take two loads on one rack and one on two. Of eleven, one rack
// cans nine: two are no sensible load.
func TestThirteenPintsAreTwoLoadsOnOneRackAndOneOnTwo(t *testing.T) {
	a := racks(t, runfile.Prices{}, jars("pint=13"))
	own := rackPlan(a, "own")
	require.Len(t, own.Options, 2)
	assert.Equal(t, 2, own.Options[0].Likely)
	assert.Equal(t, 1, own.Options[1].Likely)
	assert.InDelta(t, 1, own.Options[1].SavedChance, 1e-9)
	assert.InDelta(t, 12, own.Options[1].SavedLoads, 1e-9, "one a run, twelve runs a year")
	assert.Contains(t, codes(a.Warnings), "jars-limit", "more broth than thirteen pints hold")

	eleven := rackPlan(racks(t, runfile.Prices{}, jars("pint=11")), "own").Options
	assert.Equal(t, []int{1, 1}, []int{eleven[0].Likely, eleven[1].Likely}, "no load saved, but eleven pints instead of nine")
	assert.Less(t, eleven[1].Leftover, eleven[0].Leftover)
	small := racks(t, runfile.Prices{}, func(_ *runfile.Kitchen, r *runfile.Run) { r.Jars, r.SmallLoads = "pint=11", true })
	assert.Contains(t, codes(small.Warnings), "small-load", "two pints are no sensible load")
}

// Hours of a load are the published spans: pints 85 to 90 min, quarts 105 to 110
// (testdata/published/canner_times.csv, the sums of its steps).
func TestHoursARunAreThePublishedLoads(t *testing.T) {
	atTheSea := func(text string) func(*runfile.Kitchen, *runfile.Run) {
		return func(k *runfile.Kitchen, r *runfile.Run) { k.Altitude, r.Jars = to(quantity.Length(0)), text }
	}
	pint := racks(t, runfile.Prices{}, atTheSea("pint=9")).Plans[0].Options[0]
	quart := racks(t, runfile.Prices{}, atTheSea("quart=7")).Plans[0].Options[0]
	for _, row := range []struct {
		option    RackOption
		low, high float64
	}{{pint, 85, 90}, {quart, 105, 110}} {
		require.Equal(t, 1, row.option.Likely)
		assert.GreaterOrEqual(t, row.option.Hours.Minutes(), row.low)
		assert.LessOrEqual(t, row.option.Hours.Minutes(), row.high)
		assert.Equal(t, 12*row.option.Hours, row.option.HoursPerYear(12))
	}
	// By hand: 4 min, 9 x 1.5 min, 10 min vent, 4 min to pressure, 20 min, 10 min.
	assert.Equal(t, 61*time.Minute+30*time.Second, pint.Attended)
}

// What must be so needs no source.
func TestRackProperties(t *testing.T) {
	for _, height := range []quantity.Length{7.5, 11.5, 15, 24} {
		for _, text := range []string{"quart", "pint", "quart,pint", "pint,quart", "pint=11", "half-pint,pint", "quart=9,pint=2"} {
			for _, bones := range []quantity.Mass{3, 9, 14} {
				a := racks(t, runfile.Prices{Hour: to(runfile.Money(8))}, func(k *runfile.Kitchen, r *runfile.Run) {
					k.Canner.Height, r.Jars, r.Bones, k.Jars = to(height*quantity.Inch), text, to(bones*quantity.Pound), nil
				})
				for _, plan := range a.Plans {
					require.NotEmpty(t, plan.Options)
					assert.LessOrEqual(t, len(plan.Options), 4)
					for i, o := range plan.Options {
						assert.Equal(t, i+1, o.Racks)
						sum := 0.0
						for _, share := range o.Chance {
							sum += share
						}
						assert.InDelta(t, 1, sum, 1e-9)
						assert.LessOrEqual(t, o.Low, o.Likely)
						assert.LessOrEqual(t, o.Likely, o.High)
						assert.LessOrEqual(t, o.Attended, o.Hours+time.Duration(o.High)*time.Hour)
						assert.LessOrEqual(t, o.Fuel.Low, o.Fuel.Likely)
						assert.LessOrEqual(t, o.Fuel.Likely, o.Fuel.High)
						if o.SavedChance == 0 {
							assert.False(t, o.Pays, "nothing saved never pays")
							assert.Zero(t, o.PaybackRuns)
							assert.Zero(t, o.SavedMoney)
						}
						if i == 0 {
							continue
						}
						before := plan.Options[i-1]
						assert.LessOrEqual(t, o.Likely, before.Likely, "a rack never adds loads")
						assert.LessOrEqual(t, o.High, before.High)
						if o.Leftover >= before.Leftover { // it cans no more
							assert.LessOrEqual(t, o.Hours, before.Hours, "nor hours: %s %v", text, height)
							assert.LessOrEqual(t, float64(o.Fuel.Likely), float64(before.Fuel.Likely)+1, "nor fuel")
						}
						assert.GreaterOrEqual(t, o.SavedChance, before.SavedChance)
					}
				}
				base := rackPlan(a, "own").Options[0]
				for _, one := range a.Instead {
					assert.Less(t, one.Loads, base.Likely, "%s must save a load", one.Code)
					assert.GreaterOrEqual(t, one.Uncanned, quantity.Volume(0))
				}
			}
		}
	}
}

// A second route: the money by hand from the option's own hours and energy.
func TestASeasonOfDifferentKitchensSaysSo(t *testing.T) {
	one := racks(t, runfile.Prices{}, jars("pint"))
	two := racks(t, runfile.Prices{}, func(k *runfile.Kitchen, r *runfile.Run) { k.Canner.Racks, r.Jars = 2, "pint" })
	season, err := Season([]RackAnswer{one, two})
	require.NoError(t, err)
	assert.Contains(t, codes(season.Warnings), "racks-differ")
	same, err := Season([]RackAnswer{one, one})
	require.NoError(t, err)
	assert.NotContains(t, codes(same.Warnings), "racks-differ")
}

func TestNoJarsIsBadInput(t *testing.T) {
	kitchen, run := demo(t)
	kitchen.Jars = map[string]int{"quart": 0, "pint": 0}
	_, err := racksOf(kitchen, run, AskRacks(runfile.Prices{}, 0))
	var input *fault.Fault
	require.ErrorAs(t, err, &input)
	assert.Equal(t, "jars", input.Key)
}

func TestTheRacksThereAreGiveThePlansLoads(t *testing.T) {
	for have := 1; have <= 10; have++ {
		setRacks := func(k *runfile.Kitchen, r *runfile.Run) {
			k.Canner.Racks, r.Jars, r.Simmer = have, "pint", to(45*time.Minute)
		}
		a := racks(t, runfile.Prices{}, setRacks)
		options := a.Plans[0].Options
		assert.Len(t, plan(t, setRacks).Loads, options[min(have, len(options))-1].Likely, "%d racks", have)
		if len(options) <= have {
			assert.Contains(t, codes(a.Warnings), "canner-low", "the canner has room for two, however many racks there are")
		}
	}
}

func TestPaybackByHand(t *testing.T) {
	prices := runfile.Prices{Rack: to(runfile.Money(40)), Fuel: to(runfile.Money(0.25)), Hour: to(runfile.Money(6)), RunsPerYear: 10}
	options := racks(t, prices, jars("pint=13")).Plans[0].Options
	aRun := (options[0].Attended-options[1].Attended).Hours()*6 +
		(options[0].Fuel.Likely-options[1].Fuel.Likely).KilowattHours()*0.25
	require.Positive(t, aRun)
	assert.Equal(t, math.Ceil(40/aRun), options[1].PaybackRuns)
	assert.InDelta(t, 10*aRun, float64(options[1].SavedMoney), 1e-9)
	// At the hour's worth that pays within a year, a year's saving is the price.
	prices.Hour = to(options[1].HourWorth)
	assert.InDelta(t, 40, float64(racks(t, prices, jars("pint=13")).Plans[0].Options[1].SavedMoney), 1e-6)

	// Free heat and free time pay for nothing, and a free rack costs nothing.
	prices.Fuel, prices.Hour = to(runfile.Money(0)), nil
	a := racks(t, prices, jars("pint=13"))
	assert.False(t, a.Plans[0].Options[1].Pays)
	prices.Fuel, prices.Rack = nil, to(runfile.Money(0))
	assert.Zero(t, racks(t, prices, jars("pint=13")).Plans[0].Options[1].PaybackRuns)
	assert.True(t, racks(t, prices, jars("pint=13")).Plans[0].Options[1].Pays)
}

// Other ways give up what they say: the broth a load held, or the water that is
// boiled off.
func TestInsteadOfARack(t *testing.T) {
	a := racks(t, runfile.Prices{}, jars("pint"))
	found := map[string]Instead{}
	for _, one := range a.Instead {
		found[one.Code] = one
	}
	require.Contains(t, found, "quarts")
	require.Contains(t, found, "freeze")
	require.Contains(t, found, "freeze-dry")
	base := plan(t, func(_ *runfile.Kitchen, r *runfile.Run) { r.Jars, r.Simmer = "pint", to(45*time.Minute) })
	last := base.Loads[len(base.Loads)-1].Jars()
	all := quantity.Volume(last)*base.Jars[0].Fill + base.Leftover.Volume.Likely
	assert.InDelta(t, all.Litres(), found["freeze"].Uncanned.Litres(), 1e-9, "the last load and what filled no jar anyway")

	// Nine pints stand above seven quarts when they may; nothing is given up but
	// time, so it is told first.
	mixed := racks(t, runfile.Prices{}, func(k *runfile.Kitchen, r *runfile.Run) {
		k.Canner.Height, k.Canner.Racks, k.Jars = to(13.5*quantity.Inch), 2, nil
		r.Jars = "pint=9,quart=7"
	})
	require.NotEmpty(t, mixed.Instead)
	assert.Equal(t, "mix", mixed.Instead[0].Code)
	assert.Equal(t, 1, mixed.Instead[0].Loads)

	// Turkey has tested directions for 45 min of simmer: boiling down past them is
	// no way to save a load.
	for quarts := 8.0; quarts < 12; quarts += 0.25 {
		a := racks(t, runfile.Prices{}, func(k *runfile.Kitchen, r *runfile.Run) {
			r.Jars, k.Jars, r.Fit, r.Water = "quart", nil, false, to(quantity.Volume(quarts)*quantity.Quart)
		})
		for _, one := range a.Instead {
			assert.NotEqual(t, "simmer-down", one.Code)
		}
	}
	// Beef has them for up to 4 h: a little too much for a load boils down to it.
	offered := 0
	for quarts := 9.0; quarts < 14; quarts += 0.25 {
		a := racks(t, runfile.Prices{}, func(k *runfile.Kitchen, r *runfile.Run) {
			r.Kind, r.Simmer, r.Lid = "beef", to(2*time.Hour), "on"
			r.Jars, k.Jars, r.Fit, r.Water = "quart", nil, false, to(quantity.Volume(quarts)*quantity.Quart)
		})
		for _, one := range a.Instead {
			if one.Code == "simmer-down" {
				offered++
				assert.Greater(t, one.Stronger, 1.0)
				assert.Positive(t, one.BoiledAway)
				assert.LessOrEqual(t, one.Longer, 2*time.Hour, "within the directions")
			}
		}
	}
	assert.Positive(t, offered)
}

func TestARefusedRunHasNoLoads(t *testing.T) {
	a := racks(t, runfile.Prices{}, func(_ *runfile.Kitchen, r *runfile.Run) { r.Kind = "fish" })
	assert.True(t, a.Refused())
	assert.Empty(t, a.Plans)
	assert.Empty(t, a.Instead)
}

func TestSeasonAddsUp(t *testing.T) {
	one := racks(t, runfile.Prices{}, jars("pint"))
	other := racks(t, runfile.Prices{}, jars("quart,pint"))
	fish := racks(t, runfile.Prices{}, func(_ *runfile.Kitchen, r *runfile.Run) { r.Kind = "fish" })
	season, err := Season([]RackAnswer{one, other, fish})
	require.NoError(t, err)
	assert.Equal(t, 2, season.Runs)
	assert.True(t, season.Refused(), "one of three")
	for i, o := range season.Plans[0].Options {
		a, b := one.Plans[0].Options[i], other.Plans[0].Options[i]
		assert.Equal(t, a.Likely+b.Likely, o.Likely)
		assert.InDelta(t, (a.Hours+b.Hours).Hours()/2, o.Hours.Hours(), 1e-6)
		sum, mean := 0.0, 0.0
		for n, share := range o.Chance {
			sum += share
			mean += float64(n) * share
		}
		assert.InDelta(t, 1, sum, 1e-9)
		of := func(o RackOption) (mean float64) {
			for n, share := range o.Chance {
				mean += float64(n) * share
			}
			return mean
		}
		assert.InDelta(t, of(a)+of(b), mean, 1e-9, "whatever the coupling, means add")
	}
	// The same run twice is the run: same hours, twice the loads, same payback.
	twice, err := Season([]RackAnswer{one, one})
	require.NoError(t, err)
	for i, o := range twice.Plans[0].Options {
		assert.Equal(t, 2*one.Plans[0].Options[i].Likely, o.Likely)
		assert.Equal(t, one.Plans[0].Options[i].PaybackRuns, o.PaybackRuns)
		assert.InDelta(t, one.Plans[0].Options[i].SavedLoads, o.SavedLoads, 1e-9)
	}
	_, err = Season(nil)
	assert.Error(t, err)
	only, err := Season([]RackAnswer{fish})
	require.NoError(t, err)
	assert.Empty(t, only.Plans)
	assert.True(t, only.Refused())
}

func TestBadRackQuestions(t *testing.T) {
	kitchen, run := demo(t)
	for _, row := range []struct {
		key    string
		change func(*RackQuestion)
	}{
		{"runs_per_year", func(q *RackQuestion) { q.RunsPerYear = 0 }},
		{"runs_per_year", func(q *RackQuestion) { q.RunsPerYear = 367 }},
		{"rack_price", func(q *RackQuestion) { q.RackPrice = -1 }},
		{"rack_price", func(q *RackQuestion) { q.RackPrice = 1e6 + 1 }},
		{"fuel_price", func(q *RackQuestion) { q.FuelPrice = runfile.Money(math.NaN()) }},
		{"hour_value", func(q *RackQuestion) { q.HourValue = to(runfile.Money(math.Inf(1))) }},
	} {
		q := AskRacks(runfile.Prices{}, 0)
		row.change(&q)
		_, err := racksOf(kitchen, run, q)
		var input *fault.Fault
		if assert.ErrorAs(t, err, &input, row.key) {
			assert.Equal(t, row.key, input.Key)
		}
	}
}

// A rack the burner is too weak for is left out with a sentence, and the rest answered.
func TestARackTooMuchForTheBurnerIsLeftOut(t *testing.T) {
	kitchen, run := demo(t)
	run.Jars = "pint"
	question := AskRacks(kitchen.Prices, 12)
	full, err := racksOf(kitchen, run, question)
	require.NoError(t, err)
	require.Len(t, full.Plans[0].Options, 2)
	kitchen.Burner = to(1100 * quantity.Watt)
	_, err = settled(kitchen, run, stock.Plan)
	require.NoError(t, err)
	answer, err := racksOf(kitchen, run, question)
	require.NoError(t, err)
	require.Len(t, answer.Plans[0].Options, 1)
	assert.Contains(t, codes(answer.Warnings), "rack-left-out")
	assert.NotContains(t, codes(answer.Warnings), "canner-low")
	for _, note := range answer.Warnings {
		if note.Code == "rack-left-out" {
			assert.Equal(t, []any{2, "own"}, note.Facts[:2])
			assert.Regexp(t, "^burner of 1100 W", note.Facts[2])
		}
	}
}

// Nothing offered is refused, and nothing refused is counted as a load saved.
func TestWhatIsRefusedIsNotOffered(t *testing.T) {
	kitchen, run := demo(t)
	kitchen.Pots[0].Evaporation = to(1 * quantity.QuartPerHour)
	run.Fit, run.Water, run.Simmer, run.Vegetables = false, to(12*quantity.Quart), to(5*time.Hour+20*time.Minute), nil
	all, err := leversOf(kitchen, run)
	require.NoError(t, err)
	assert.NotContains(t, leverCodes(all), "simmer-more", "an hour more boils it down too far")
	assert.Contains(t, leverCodes(all), "simmer-less")
	answer, err := racksOf(kitchen, run, AskRacks(runfile.Prices{}, 0))
	require.NoError(t, err)
	for _, one := range answer.Instead {
		assert.NotEqual(t, "simmer-down", one.Code)
	}

	kitchen, run = demo(t)
	run.Vegetables = to(8 * quantity.Pound)
	all, err = leversOf(kitchen, run)
	require.NoError(t, err)
	assert.NotContains(t, leverCodes(all), "bones-less", "a fifth fewer bones than 8 lb of vegetables")

	kitchen, run = demo(t)
	lidOn := func(k *runfile.Kitchen, r *runfile.Run) {
		r.Unattended, r.Simmer, r.Lid, r.Fit, r.Water = to(true), to(6*time.Hour), "on", false, to(13*quantity.Quart)
	}
	lidOn(&kitchen, &run)
	base, err := settled(kitchen, run, stock.Plan)
	require.NoError(t, err)
	require.Empty(t, base.Refusals)
	all, err = leversOf(kitchen, run)
	require.NoError(t, err)
	assert.NotContains(t, leverCodes(all), "lid-off", "nobody could leave it")
}

func TestRacksDoNotAskWhoIsAtHome(t *testing.T) {
	a := racks(t, runfile.Prices{}, func(_ *runfile.Kitchen, r *runfile.Run) {
		r.Fit, r.Water, r.Simmer, r.Lid, r.Unattended = false, to(14*quantity.Quart), to(14*time.Hour), "off", to(true)
	})
	assert.False(t, a.Refused())
	assert.NotEmpty(t, a.Plans)
}

func BenchmarkRacks(b *testing.B) {
	kitchen, run := demo(b)
	q := AskRacks(runfile.Prices{}, 0)
	for b.Loop() {
		if _, err := racksOf(kitchen, run, q); err != nil {
			b.Fatal(err)
		}
	}
}

func TestTheVerdict(t *testing.T) {
	free, worth := runfile.Prices{}, runfile.Prices{Hour: to(runfile.Money(10))}
	high := func(text string, inches quantity.Length, have int) func(*runfile.Kitchen, *runfile.Run) {
		return func(k *runfile.Kitchen, r *runfile.Run) {
			k.Canner.Height, k.Canner.Racks, r.Jars = to(inches*quantity.Inch), have, text
		}
	}
	for _, row := range []struct {
		why    string
		prices runfile.Prices
		change func(*runfile.Kitchen, *runfile.Run)
		want   Verdict
		racks  int
	}{
		{"refused", free, func(_ *runfile.Kitchen, r *runfile.Run) { r.Kind = "fish" }, NothingCanned, 0},
		{"too little for a load", free, func(_ *runfile.Kitchen, r *runfile.Run) { r.Jars = "pint=3" }, NoLoad, 1},
		{"too much for the burner", free, func(k *runfile.Kitchen, r *runfile.Run) { k.Burner, r.Jars = to(1100*quantity.Watt), "pint" }, TooHeavy, 1},
		{"as many as are looked at", free, high("half-pint", 24, 4), NoMoreLookedAt, 4},
		{"too low", worth, high("pint", 10, 1), TooLow, 1},
		{"no load saved, but more canned", free, jars("pint=11"), CansMore, 2},
		{"quarts stand in one layer", worth, jars("quart,pint"), NeverPays, 2},
		{"one load as it is", worth, jars("pint=9"), NeverPays, 2},
		{"sure and soon paid", worth, jars("pint"), Worth, 2},
		{"sure, time not priced", free, jars("pint"), ForTime, 2},
		{"sure, time next to worthless", runfile.Prices{Hour: to(runfile.Money(0.01))}, jars("pint"), NotForMoney, 2},
	} {
		verdict, option := racks(t, row.prices, row.change).Verdict()
		assert.Equal(t, row.want, verdict, row.why)
		if row.racks > 0 {
			assert.Equal(t, row.racks, option.Racks, row.why)
		}
	}
}

// Where the yield lies about a full load, luck decides: the verdict follows the chance,
// by its limits of 0.2 and 0.8 (common practice, no source).
func TestTheVerdictFollowsTheChance(t *testing.T) {
	found := map[Verdict]bool{}
	for tenths := quantity.Volume(50); tenths <= 130; tenths += 2 {
		verdict, option := racks(t, runfile.Prices{Hour: to(runfile.Money(10))}, func(k *runfile.Kitchen, r *runfile.Run) {
			r.Jars, k.Jars, r.Fit, r.Water = "pint", nil, false, to(tenths/10*quantity.Quart)
		}).Verdict()
		found[verdict] = true
		switch chance := option.SavedChance; {
		case chance == 0:
			assert.Contains(t, []Verdict{CansMore, NeverPays, NoLoad}, verdict)
		case chance < 0.2:
			assert.Equal(t, Hardly, verdict)
		case chance < 0.8:
			assert.Equal(t, Luck, verdict)
		default:
			assert.Equal(t, Worth, verdict)
		}
	}
	assert.True(t, found[Luck] && found[Worth] && (found[NeverPays] || found[Hardly]), "%v", found)
}
