package stock_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/stock"
	"brothrun/stock/chill"
	"brothrun/stock/fault"
	"brothrun/stock/kettle"
	"brothrun/stock/quantity"
	"brothrun/stock/remark"
	"brothrun/stock/runfile"
)

// strong is a kitchen whose canner ring is given as its burner, with a roaster.
func strong(change func(*runfile.Kitchen, *runfile.Run)) func(*runfile.Kitchen, *runfile.Run) {
	return func(k *runfile.Kitchen, r *runfile.Run) {
		k.Burner, k.Hob = to(60000*quantity.BTUPerHour), "gas"
		k.Pots = append(k.Pots, runfile.Pot{Name: "roaster", Volume: to(18 * quantity.Quart), Width: to(14 * quantity.Inch), Heat: "own"})
		r.Pot, r.Vegetables, r.Simmer = "roaster", nil, to(45*time.Minute)
		change(k, r)
	}
}

func TestHeatIsWhereItIs(t *testing.T) {
	roaster := func(change func(*runfile.Pot)) stock.Batch {
		return plan(t, strong(func(k *runfile.Kitchen, _ *runfile.Run) { change(&k.Pots[1]) }))
	}
	onAnyStove := plan(t, strong(func(k *runfile.Kitchen, _ *runfile.Run) { k.Burner, k.Hob, k.Pots[1].Heat = nil, "", "" }))
	unmeasured := roaster(func(*runfile.Pot) {})
	assert.Equal(t, onAnyStove.HeatUp, unmeasured.HeatUp, "never the stove's")
	assert.Equal(t, onAnyStove.HeatUp, roaster(func(p *runfile.Pot) { p.Heat = "oven" }).HeatUp)

	// Water takes 4.19 kJ/(kg·K), an electric ring passes on 74 to 80 % (US DOE hob
	// efficiencies): the time of a plugged-in roaster of 1.4 kW, to the minute.
	own := roaster(func(p *runfile.Pot) { p.Power = to(1.4 * quantity.Kilowatt) })
	seconds := (own.Yield.Water.Litres()*0.998 + 9*0.45359) * 4190 * 80 / (0.77 * 1400)
	assert.InDelta(t, seconds/60, own.HeatUp.Likely.Minutes(), 1.5)
	gas := roaster(func(p *runfile.Pot) { p.Power, p.Hob = to(1.4*quantity.Kilowatt), "gas" })
	assert.Greater(t, gas.HeatUp.Likely, own.HeatUp.Likely*3/2)
	// On the stove a pot's own ring takes the place of the burner, of the same kind.
	stove := roaster(func(p *runfile.Pot) { p.Heat, p.Power = "stove", to(6000*quantity.BTUPerHour) })
	assert.InDelta(t, 0.77*1400/(0.42*6000*0.29307), stove.HeatUp.Likely.Minutes()/own.HeatUp.Likely.Minutes(), 0.02)

	// What is reheated stands on the stove, by its burner or the pot's own ring.
	big := plan(t, strong(func(_ *runfile.Kitchen, r *runfile.Run) { r.Pot, r.Bones = "big pot", to(6*quantity.Pound) }))
	broth := quantity.Volume(0)
	for _, j := range own.Jars {
		broth += quantity.Volume(j.Count) * j.Fill
	}
	assert.Equal(t, kettle.Reheat(broth, 60000*quantity.BTUPerHour, "gas"), own.Reheat)
	ring := plan(t, strong(func(k *runfile.Kitchen, r *runfile.Run) {
		k.Pots[0].Power, r.Pot, r.Bones = to(9000*quantity.BTUPerHour), "big pot", to(6*quantity.Pound)
	}))
	assert.InDelta(t, 60.0/9, ring.Reheat.Likely.Minutes()/big.Reheat.Likely.Minutes(), 0.5)

	// The canner's own ring is the canner's alone.
	outside := func(power quantity.Power, hob string) stock.Batch {
		return plan(t, func(k *runfile.Kitchen, _ *runfile.Run) {
			k.Burner, k.Hob, k.Canner.Outdoors = to(1800*quantity.Watt), "electric", "08:00-19:00"
			if power > 0 {
				k.Canner.Power, k.Canner.Hob = &power, hob
			}
		})
	}
	weak, propane, unsaid := outside(0, ""), outside(12000*quantity.BTUPerHour, "gas"), outside(12000*quantity.BTUPerHour, "")
	assert.Equal(t, weak.HeatUp, propane.HeatUp)
	assert.Equal(t, weak.Reheat, propane.Reheat)
	assert.Greater(t, propane.Loads[0].Fuel.Likely, weak.Loads[0].Fuel.Likely, "42 % of the rating against 77 %")
	assert.Less(t, unsaid.Loads[0].Fuel.Low, propane.Loads[0].Fuel.Low, "the stove's kind says nothing of a ring outdoors")
	inside := plan(t, func(k *runfile.Kitchen, _ *runfile.Run) { k.Canner.Power, k.Hob = to(15000*quantity.BTUPerHour), "gas" })
	assert.Contains(t, codes(inside.Warnings), remark.OutdoorBurnerCode)
	plate := plan(t, func(k *runfile.Kitchen, _ *runfile.Run) {
		k.Burner, k.Hob, k.Canner.Power, k.Canner.Hob = to(15000*quantity.BTUPerHour), "gas", to(2*quantity.Kilowatt), "electric"
	})
	assert.NotContains(t, codes(plate.Warnings), remark.OutdoorBurnerCode)
}

func TestBrothOfARoasterIsChilledInAnotherPot(t *testing.T) {
	into := func(name string) (stock.Batch, error) {
		kitchen, run := demo()
		strong(func(k *runfile.Kitchen, r *runfile.Run) {
			k.Pots = append(k.Pots, runfile.Pot{Name: "low pot", Volume: to(16 * quantity.Quart), Width: to(16 * quantity.Inch)},
				runfile.Pot{Name: "jug", Volume: to(4 * quantity.Quart)}, runfile.Pot{Name: "unmeasured"})
			r.StrainInto = name
		})(&kitchen, &run)
		return planOf(kitchen, run)
	}
	assumed, err := into("")
	require.NoError(t, err)
	warned := remark.Noted(assumed.Warnings, remark.StrainInto)
	require.Len(t, warned, 1)
	assert.Equal(t, "strain-into; the roaster; 18 qt (17 l)", told(warned[0]))
	chilledIn := func(b stock.Batch, width quantity.Length) {
		around := chill.DefaultSurroundings()
		around.Fridge = quantity.Fahrenheit(38)
		by, ok, err := chill.Propose(chill.Pot{Volume: b.Yield.Strained.Likely, Width: width}, around)
		require.NoError(t, err)
		require.True(t, ok)
		assert.Equal(t, by, b.Chill.Result)
	}
	chilledIn(assumed, 11.4*quantity.Inch) // the usual pot, nine tenths as high as wide
	low, err := into("Low pot")
	require.NoError(t, err)
	assert.Empty(t, remark.Noted(low.Warnings, remark.StrainInto))
	assert.Equal(t, "low pot", low.Into)
	chilledIn(low, 16*quantity.Inch)
	assert.Equal(t, assumed.Yield, low.Yield, "it simmers where it did")
	assert.InDelta(t, float64(16*quantity.Quart)*0.9635, float64(low.PotTakes), 1e-5, "hot water is 3.65 % larger (IAPWS)")
	byVolume, err := into("20 qt")
	require.NoError(t, err)
	assert.Equal(t, "20 qt pot", byVolume.Into)
	assert.Len(t, remark.Noted(byVolume.Assumed, remark.IntoWidthAssumed), 1)

	for name, reason := range map[string]string{
		"roaster": "the roaster has its own heat and cannot stand in ice", "unmeasured": "the volume of the unmeasured is not given",
		"jug": "the jug is too small to strain into: it takes 3.9 qt", "tub": `pot "tub" is neither a pot of the kitchen`,
	} {
		_, err := into(name)
		var input *fault.Fault
		require.ErrorAs(t, err, &input, name)
		assert.Contains(t, input.Reason, reason)
		assert.NotEmpty(t, input.Hint)
	}
	self := plan(t, func(_ *runfile.Kitchen, r *runfile.Run) { r.Pot, r.StrainInto = "big pot", "Big pot" })
	assert.Equal(t, plan(t, nil).Chill, self.Chill, "a pot is strained into itself")
	assert.Empty(t, self.Into)
}
