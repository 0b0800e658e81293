package stock_test

import (
	"encoding/csv"
	"os"
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/stock"
	"brothrun/stock/quantity"
	"brothrun/stock/remark"
	"brothrun/stock/runfile"
	"brothrun/stock/settle"
	"brothrun/stock/thaw"
)

// freezing are the rows of testdata/published/freezing.csv by what they are of and in.
func freezing(t *testing.T) map[string][2]float64 {
	t.Helper()
	file, err := os.Open("../testdata/published/freezing.csv")
	require.NoError(t, err)
	defer file.Close()
	read := csv.NewReader(file)
	read.Comment = '#'
	rows, err := read.ReadAll()
	require.NoError(t, err)
	all := map[string][2]float64{}
	for _, row := range rows[1:] {
		from, err := strconv.ParseFloat(row[1], 64)
		require.NoError(t, err)
		to, err := strconv.ParseFloat(row[2], 64)
		require.NoError(t, err)
		all[row[0]+", "+row[3]] = [2]float64{from, to}
	}
	return all
}

// Sources: testdata/published/freezing.csv. 3 % for the density, which goes with the weather.
func TestPropaneWeighsWhatItsHeatSays(t *testing.T) {
	rows := freezing(t)
	gallon := quantity.Energy(rows["heat of propane, BTU a gallon"][0]) * quantity.BTU
	weight, volume := stock.Propane(quantity.Exactly(gallon))
	assert.InEpsilon(t, rows["weight of propane, lb a gallon"][0], weight.Likely.Pounds(), 0.03)
	assert.InEpsilon(t, 1, volume.Gallons(), 0.03)
	perKilogram := rows["heat of propane, kWh a kilogram"]
	assert.InDelta(t, perKilogram[0], gallon.KilowattHours()/weight.High.Kilograms(), 0.05)
	assert.InDelta(t, perKilogram[1], gallon.KilowattHours()/weight.Low.Kilograms(), 0.05)
}

// Source: testdata/published/freezing.csv, 2 lb a cubic foot a day at the small end; a quart
// of water at 20 °C weighs 2.086 lb (998.2 kg/m³).
func TestAFreezerFreezesSoMuchADay(t *testing.T) {
	aDay := freezing(t)["frozen at one time, lb a cubic foot a day"]
	for _, quarts := range []float64{1, 2.8, 3, 5.7, 5.8, 20} {
		days := stock.DaysToFreeze(quantity.Volume(quarts)*quantity.Quart, 3*quantity.CubicFoot)
		assert.LessOrEqual(t, 2.086*quarts/float64(days)/3, aDay[0]+0.001, "%g qt in %d days", quarts, days)
		if days > 1 {
			assert.Greater(t, 2.086*quarts/float64(days-1)/3, aDay[0]-0.001, "%g qt: no day more than it takes", quarts)
		}
	}

	fish := func(size quantity.Volume) stock.Batch {
		return plan(t, func(k *runfile.Kitchen, r *runfile.Run) {
			k.FreezerSize, r.Kind, r.Simmer, r.Route = &size, "fish", to(45*time.Minute), "freezer"
		})
	}
	small := remark.Noted(fish(3*quantity.CubicFoot).Leftover.Advice, remark.MuchToFreeze)
	require.Len(t, small, 1)
	assert.Equal(t, "size-long", small[0].Case, "28 lb takes 5 days, and broth keeps 3")
	medium := remark.Noted(fish(7*quantity.CubicFoot).Leftover.Advice, remark.MuchToFreeze)
	require.Len(t, medium, 1)
	assert.Equal(t, "size", medium[0].Case, "2 days")
	assert.Empty(t, remark.Noted(fish(20*quantity.CubicFoot).Leftover.Advice, remark.MuchToFreeze), "40 lb a day at the least")
}

// Room is told by the high estimate: broth without a place in the fridge is not safe.
func TestTooLittleRoomIsToldBeforeThePotIsLit(t *testing.T) {
	with := func(fridge, freezer quantity.Volume) stock.Batch {
		return plan(t, func(k *runfile.Kitchen, r *runfile.Run) {
			k.FridgeRoom, k.FreezerRoom, r.Simmer = &fridge, &freezer, to(45*time.Minute)
		})
	}
	b := with(100*quantity.Quart, 100*quantity.Quart)
	require.Positive(t, b.FreezerNeeds())
	assert.NotContains(t, codes(b.Warnings), remark.FridgeRoom)
	assert.NotContains(t, codes(b.Warnings), remark.FreezerRoom)
	assert.Equal(t, b.Yield.Strained.High, b.FridgeNeeds())
	assert.InEpsilon(t, 1.0885, float64(b.FreezerNeeds()/b.Leftover.Volume.High), 0.001, "water at 20 °C grows by 8.9 % as ice (998.2 and 917 kg/m³)")

	tight := with(b.FridgeNeeds()-quantity.Millilitre, b.FreezerNeeds()-quantity.Millilitre)
	assert.Contains(t, codes(tight.Warnings), remark.FridgeRoom)
	assert.Contains(t, codes(tight.Warnings), remark.FreezerRoom)
	enough := with(b.FridgeNeeds(), b.FreezerNeeds())
	assert.NotContains(t, codes(enough.Warnings), remark.FridgeRoom)
	assert.NotContains(t, codes(enough.Warnings), remark.FreezerRoom)
}

// Source: 334 kJ/kg to melt ice, 2.05 to warm it from -18 °C and 4.19 from 0 to 15 °C, a kilogram
// and degree each (handbooks, from memory); half of the bones is water. Nothing else changes.
func TestBonesThatGoInFrozenHeatForLonger(t *testing.T) {
	cook := func(way string) stock.Batch {
		return plan(t, func(k *runfile.Kitchen, r *runfile.Run) {
			k.Burner, k.Hob, k.Freezer = to(3*quantity.Kilowatt), "electric", to(quantity.Celsius(-18))
			r.Kind, r.Simmer, r.Thaw = "turkey-frames", to(45*time.Minute), way
		})
	}
	plain, frozen := cook("none"), cook("pot")
	kilograms := plain.Weight.Kilograms()
	joules := kilograms * 0.5 * (18*2050 + 333.4e3 + 15*4190)
	assert.InDelta(t, joules/(3000*0.77), (frozen.HeatUp.Likely - plain.HeatUp.Likely).Seconds(), 60, "to the minute")
	assert.InEpsilon(t, joules/0.77, float64(frozen.Fuel.Pot.Likely-plain.Fuel.Pot.Likely), 0.001)
	assert.Equal(t, plain.Yield.ReadyToFill, frozen.Yield.ReadyToFill)
	assert.Zero(t, frozen.Thaw.Takes)
}

// Own choice, on the safe side: only what is through as soon as the water is warm goes in frozen.
func TestRawPiecesDoNotGoInFrozen(t *testing.T) {
	for kind, may := range map[settle.Kind]bool{"turkey-frames": true, "chicken-frames": true, "beef": true, "chicken": false,
		"turkey": false, "chicken-backs": false, "turkey-necks": false, "chicken-feet": false, "beef-shank": false} {
		_, err := settle.Run(runfile.Kitchen{Altitude: to(3200 * quantity.Foot)},
			runfile.Run{Kind: string(kind), Bones: to(5 * quantity.Pound), Pot: "22 qt", Thaw: "pot"})
		assert.Equal(t, may, err == nil, "%s: %v", kind, err)
	}
}

func TestThawingGoesByTheHeaviestPackage(t *testing.T) {
	b := plan(t, func(_ *runfile.Kitchen, r *runfile.Run) {
		r.Kind, r.Bones, r.Thaw = "", nil, "fridge"
		r.Portions = []runfile.Portion{{Kind: "chicken-frames", Weight: to(4 * quantity.Pound)}, {Kind: "turkey-necks", Weight: to(5 * quantity.Pound)}}
	})
	assert.InDelta(t, 5, b.Thaw.Package.Pounds(), 1e-9)
	assert.Equal(t, thaw.Takes(thaw.Fridge, 5*quantity.Pound), b.Thaw.Takes)
	assert.Positive(t, b.ThawRoom())
}

// What a pot takes in is at least what its water asks for by a textbook: 4.19 kJ a kilogram
// and degree, over the whole of the burner.
func TestFuelIsNoLessThanTheWaterAsksFor(t *testing.T) {
	b := plan(t, func(_ *runfile.Kitchen, r *runfile.Run) { r.Simmer = to(45 * time.Minute) })
	asks := 4190 * 80 * b.Yield.Water.Litres()
	assert.Greater(t, b.Fuel.Pot.Low.Joules(), asks)
	assert.Less(t, b.Fuel.Pot.Likely.Joules(), 4*asks)
	assert.Zero(t, b.FuelOfTank(), "no tank is named")
	gas := plan(t, func(k *runfile.Kitchen, r *runfile.Run) { k.Hob, r.Simmer = "propane", to(45*time.Minute) })
	assert.Equal(t, gas.Fuel.Pot.Plus(gas.Fuel.Reheat).Plus(gas.FuelOfLoads()), gas.FuelOfTank())
	roaster := plan(t, func(k *runfile.Kitchen, r *runfile.Run) {
		k.Hob, k.Pots[0].Heat, r.Simmer = "propane", "own", to(45*time.Minute)
	})
	assert.Zero(t, roaster.Fuel.PotTank, "it is plugged in")
	assert.Equal(t, roaster.Fuel.Reheat.Plus(roaster.FuelOfLoads()), roaster.FuelOfTank())
	outside := plan(t, func(k *runfile.Kitchen, r *runfile.Run) {
		k.Canner.Outdoors, r.Simmer = "08:00-19:00", to(45*time.Minute)
	})
	assert.Equal(t, outside.FuelOfLoads(), outside.FuelOfTank())
}
