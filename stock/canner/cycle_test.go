package canner_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/stock/canner"
	"brothrun/stock/fault"
	"brothrun/stock/quantity"
)

// anyHob is a burner of which nobody said what it is (US DOE hob efficiencies).
var anyHob = quantity.Band[float64]{Low: 0.40, Likely: 0.50, High: 0.80}

// whole is a burner all of whose rating reaches the canner: what is called net.
var whole = quantity.Band[float64]{Low: 1, Likely: 1, High: 1}

// loadOf is a load as the published energies have it (canner_energy.csv), at the sea
// in a canner of standard size.
func loadOf(pints, quarts int) canner.Load {
	l := canner.Load{
		Vessel:   canner.Vessel{Width: 12.25 * inch, Height: 10.5 * inch},
		Burner:   canner.Burner{Share: anyHob},
		Pressure: 10 * quantity.PSI, Weighted: true, Process: 20 * time.Minute,
	}
	if pints > 0 {
		l.Jars = append(l.Jars, canner.Jars{Count: pints, Broth: 0.4265, Glass: 0.29})
	}
	if quarts > 0 {
		l.Jars = append(l.Jars, canner.Jars{Count: quarts, Broth: 0.8825, Glass: 0.45})
		l.Process, l.QuartTime = 25*time.Minute, true
	}
	return l
}

func cycle(t testing.TB, l canner.Load) canner.Estimate {
	t.Helper()
	e, err := canner.Cycle(l)
	require.NoError(t, err)
	return e
}

func TestHeatMatchesThePublishedTable(t *testing.T) {
	kinds := map[string]int{}
	for _, row := range published(t, "canner_energy.csv", 5) {
		kinds[row.text("kind")]++
		l := loadOf(int(row.number("pints")), int(row.number("quarts")))
		l.Vessel.Mass = quantity.Mass(row.number("pot_kg"))
		// 116 °C at 101.325 kPa: 174.768 kPa absolute (IAPWS-IF97, saturation_table.csv).
		l.Pressure = (174.768 - 101.325) * quantity.Kilopascal
		toBoil, toPressure, err := canner.Heat(l)
		require.NoError(t, err)
		name := row.text("source")
		switch row.text("kind") {
		case "heat":
			// To the printed kJ, and the 0.03 K by which water boils below 100 °C at
			// 101.325 kPa (IAPWS-IF97): up to 55 kJ/K over the whole.
			const boilsBelow = 0.03 * 55
			assert.InDelta(t, row.number("to_boil_kj"), toBoil.Kilojoules(), 0.5+boilsBelow, name)
			assert.InDelta(t, row.number("to_pressure_kj"), toPressure.Kilojoules(), 0.5+boilsBelow, name)
		case "minutes":
			// A burner of 1.6 to 2.2 kW net, what the wall loses left out, needs the
			// published minutes: the slow end falls among them, the fast end is no slower.
			minutes := func(e quantity.Energy, kilowatts float64) float64 { return e.Kilojoules() / kilowatts / 60 }
			assert.GreaterOrEqual(t, minutes(toBoil, 1.6), row.number("to_steam_low_min"), name)
			assert.LessOrEqual(t, minutes(toBoil, 1.6), row.number("to_steam_high_min"), name)
			assert.LessOrEqual(t, minutes(toBoil, 2.2), row.number("to_steam_low_min"), name)
			assert.GreaterOrEqual(t, minutes(toPressure, 2.2), row.number("to_pressure_low_min"), name)
			assert.LessOrEqual(t, minutes(toPressure, 2.6), row.number("to_pressure_high_min"), name)
		}
	}
	assert.Equal(t, map[string]int{"heat": 4, "minutes": 1}, kinds)
}

// Pints 85 to 90 min and quarts 105 to 110 (canner_times.csv): a standard load at
// the sea likely takes what the published steps add up to, and never less than their
// least, however strong the burner.
func TestStandardLoadsTakeThePublishedTimes(t *testing.T) {
	for _, row := range []struct {
		load      canner.Load
		low, high time.Duration
	}{{loadOf(9, 0), 85 * time.Minute, 90 * time.Minute}, {loadOf(0, 7), 105 * time.Minute, 110 * time.Minute}} {
		e := cycle(t, row.load)
		assert.GreaterOrEqual(t, e.Total().Likely, row.low)
		assert.LessOrEqual(t, e.Total().Likely, row.high)
		likely, err := canner.LikelyTime(row.load)
		require.NoError(t, err)
		assert.Equal(t, e.Total().Likely, likely)
		row.load.Burner = canner.Burner{Rating: 6 * quantity.Kilowatt, Share: whole}
		assert.Equal(t, row.low, cycle(t, row.load).Total().Low)
	}
}

// A cycle is never quicker than the published one, end by end, and its venting,
// tested time and wait are the published ones.
func TestNoPhaseIsShorterThanThePublishedOne(t *testing.T) {
	forLoads(t, func(l canner.Load, e canner.Estimate) {
		p := canner.Published(l.QuartTime, l.Process)
		longer := func(a, b quantity.Band[time.Duration]) {
			t.Helper()
			assert.GreaterOrEqual(t, a.Low, b.Low)
			assert.GreaterOrEqual(t, a.Likely, b.Likely)
			assert.GreaterOrEqual(t, a.High, b.High)
		}
		longer(e.HeatUp, p.HeatUp)
		longer(e.Pressurise, p.Pressurise)
		if l.Vessel.Wall == canner.Thin {
			// University of Georgia Extension slides: thin, newer canners 20 to 30 min.
			longer(e.Depressurise, quantity.Band[time.Duration]{Low: 20 * time.Minute, Likely: 20 * time.Minute, High: 30 * time.Minute})
		} else {
			longer(e.Depressurise, p.Depressurise)
		}
		assert.Equal(t, p.Vent, e.Vent)
		assert.Equal(t, p.Process, e.Process)
		assert.Equal(t, p.Wait, e.Wait)
	})
}

// forLoads gives loads from all over the ranges, with their cycles; those a burner
// is too weak for are left out.
func forLoads(t *testing.T, see func(canner.Load, canner.Estimate)) {
	random := rand.New(rand.NewPCG(11, 12))
	between := func(low, high float64) float64 { return low + random.Float64()*(high-low) }
	seen := 0
	for range 3000 {
		l := loadOf(random.IntN(20), 1+random.IntN(10))
		l.QuartTime = random.IntN(2) == 0
		l.Vessel.Width, l.Vessel.Height = quantity.Length(between(6, 24))*inch, quantity.Length(between(5, 24))*inch
		l.Vessel.Wall = []canner.Wall{canner.Unknown, canner.Heavy, canner.Thin}[random.IntN(3)]
		if random.IntN(2) == 0 {
			l.Vessel.Mass = quantity.Mass(between(1, 50))
			if room := l.Vessel.Room(l.Jars); room > quantity.Litre {
				l.Vessel.Water = min(quantity.Volume(between(0.3, 30))*quantity.Litre, room)
			}
		}
		l.Place.Altitude = quantity.Length(between(-500, 5000))
		l.Place.Outdoors, l.Later, l.Weighted = random.IntN(2) == 0, random.IntN(2) == 0, random.IntN(2) == 0
		if random.IntN(2) == 0 {
			l.Place.Air = quantity.Celsius(between(-40, 50))
		}
		l.Burner.Rating = quantity.Power(random.IntN(2)) * quantity.Power(math.Exp(between(5, 10)))
		l.Pressure = quantity.Pressure(between(5, 20)) * quantity.PSI
		e, err := canner.Cycle(l)
		if err != nil {
			var out *fault.Fault
			require.ErrorAs(t, err, &out)
			if l.Burner.Rating == 0 {
				require.Equal(t, "canner.water", out.Key, "a burner nobody knows is never too weak: %v", err)
			}
			continue
		}
		seen++
		see(l, e)
	}
	assert.Greater(t, seen, 1500)
}

func TestEstimatesAreOrderedAndFinite(t *testing.T) {
	forLoads(t, func(l canner.Load, e canner.Estimate) {
		for _, b := range []quantity.Band[time.Duration]{e.HeatUp, e.Pressurise, e.Depressurise} {
			require.Positive(t, b.Low)
			require.LessOrEqual(t, b.Low, b.Likely)
			require.LessOrEqual(t, b.Likely, b.High)
			require.LessOrEqual(t, b.High, 48*time.Hour)
		}
		for _, x := range []float64{e.Fuel.Low.Joules(), e.Fuel.Likely.Joules(), e.Fuel.High.Joules(), e.WaterLeft.Low.Litres(), e.WaterLeft.Likely.Litres(), e.WaterLeft.High.Litres()} {
			require.False(t, math.IsNaN(x) || math.IsInf(x, 0) || x < 0, "%+v", l)
		}
		require.Positive(t, e.Fuel.Low)
		require.LessOrEqual(t, e.Fuel.Low, e.Fuel.Likely)
		require.LessOrEqual(t, e.Fuel.Likely, e.Fuel.High)
		require.LessOrEqual(t, e.WaterLeft.Low, e.WaterLeft.Likely)
		require.LessOrEqual(t, e.WaterLeft.Likely, e.WaterLeft.High)
		require.LessOrEqual(t, e.WaterLeft.High, e.WaterPutIn)
	})
}

// What must be so needs no source: more to heat, a heavier wall and a
// weaker burner take longer, and a place higher up longer to lose the same pressure.
func TestMoreTakesLonger(t *testing.T) {
	slower := func(a, b canner.Load) {
		t.Helper()
		x, y := cycle(t, a), cycle(t, b)
		assert.LessOrEqual(t, x.HeatUp.Likely, y.HeatUp.Likely)
		assert.LessOrEqual(t, x.HeatUp.High, y.HeatUp.High+time.Second)
		assert.LessOrEqual(t, x.Pressurise.Likely, y.Pressurise.Likely)
		assert.LessOrEqual(t, x.Pressurise.High, y.Pressurise.High+time.Second)
		assert.Less(t, x.Fuel.Likely, y.Fuel.Likely)
	}
	with := func(l canner.Load, change func(*canner.Load)) canner.Load { change(&l); return l }
	weak := canner.Burner{Rating: 1.3 * quantity.Kilowatt, Share: whole}
	for n := 1; n < 18; n++ {
		for _, l := range [][2]canner.Load{{loadOf(n, 0), loadOf(n+1, 0)}, {loadOf(0, n), loadOf(0, n+1)}} {
			for i := range l {
				l[i].Burner = weak
			}
			slower(l[0], l[1])
			x, y := cycle(t, l[0]), cycle(t, l[1])
			assert.LessOrEqual(t, x.Depressurise.Likely, y.Depressurise.Likely)
			assert.LessOrEqual(t, x.Depressurise.High, y.Depressurise.High)
		}
	}
	base := with(loadOf(0, 7), func(l *canner.Load) { l.Burner = canner.Burner{Rating: 1.7 * quantity.Kilowatt, Share: whole} })
	for kilograms := quantity.Mass(2); kilograms < 12; kilograms++ {
		of := func(m quantity.Mass) canner.Load { return with(base, func(l *canner.Load) { l.Vessel.Mass = m }) }
		slower(of(kilograms), of(kilograms+1))
		assert.LessOrEqual(t, cycle(t, of(kilograms)).Depressurise.High, cycle(t, of(kilograms+1)).Depressurise.High)
	}
	slower(with(base, func(l *canner.Load) { l.Vessel.Wall = canner.Thin }), with(base, func(l *canner.Load) { l.Vessel.Wall = canner.Heavy }))
	// A draught outdoors may only take heat away: the long side grows, the likely stays.
	within := func(outdoors bool) canner.Estimate {
		return cycle(t, with(base, func(l *canner.Load) { l.Place.Outdoors, l.Place.Air = outdoors, quantity.Celsius(10) }))
	}
	assert.Equal(t, within(false).Pressurise.Likely, within(true).Pressurise.Likely)
	assert.Less(t, within(false).Pressurise.High, within(true).Pressurise.High)
	assert.Less(t, within(false).Fuel.High, within(true).Fuel.High)
	assert.Equal(t, within(false).Depressurise.Likely, within(true).Depressurise.Likely, "nobody counts on a draught to lose the pressure")
	for metres := quantity.Length(0); metres < 3000; metres += 250 {
		at := func(m quantity.Length) canner.Load { return with(base, func(l *canner.Load) { l.Place.Altitude = m }) }
		assert.Less(t, cycle(t, at(metres)).Depressurise.High, cycle(t, at(metres+250)).Depressurise.High,
			"to the local boiling point, which lies lower")
		assert.LessOrEqual(t, cycle(t, at(metres)).Depressurise.Likely, cycle(t, at(metres+250)).Depressurise.Likely)
	}
	// A later load starts from a hot canner.
	later := with(base, func(l *canner.Load) { l.Later = true })
	assert.LessOrEqual(t, cycle(t, later).HeatUp.High, cycle(t, base).HeatUp.High)
	assert.Less(t, cycle(t, later).Fuel.Likely, cycle(t, base).Fuel.Likely)
}

// A second route to the whole: at a rate of heating that needs the published
// minutes, the burner runs at full power until pressure and covers the wall's
// loss after it. 1.6 to 2.2 kW net (US DOE: gas 40-44 % of the fuel, electric
// 74-80 %, induction 84 % reach the pot), published minutes as above.
func TestFuelAgreesWithPowerTimesMinutes(t *testing.T) {
	const low, high = (12 + 10 + 3) * 60 * 1.6, (15 + 10 + 5) * 60 * 2.2 // kJ until pressure
	e := cycle(t, loadOf(0, 7))
	net := e.Fuel.Likely.Kilojoules() * 0.50
	assert.Greater(t, net, low)
	assert.Less(t, net, high+25*60*0.6)
	// Beyond what is warmed: ten minutes of venting at 1.2 kW net or more, and what the wall loses in the
	// 25 min at pressure, 0.2 kW or more.
	toBoil, toPressure, err := canner.Heat(loadOf(0, 7))
	require.NoError(t, err)
	assert.Greater(t, net-toBoil.Kilojoules()-toPressure.Kilojoules(), 10*60*1.2+25*60*0.2)
}

// One full load costs less than the same jars in two.
func TestAFullLoadIsCheaperThanTwoHalves(t *testing.T) {
	for n := 1; n < 10; n++ {
		half, full := cycle(t, loadOf(n, 0)), cycle(t, loadOf(2*n, 0))
		assert.Less(t, full.Fuel.Likely, 2*half.Fuel.Likely)
		assert.Less(t, full.Total().Likely, 2*half.Total().Likely)
	}
}

// Ten minutes of venting at 1.2 to 2.2 kW net boil off 0.32 to 0.58 kg where
// nothing else takes heat (power over 2256.6 kJ/kg, IAPWS-IF97): the jars and the
// wall take some of it, so less, but most of it.
func TestWaterLeft(t *testing.T) {
	for _, watts := range []quantity.Power{1200, 1600, 2200} {
		l := loadOf(0, 7)
		l.Burner, l.Weighted = canner.Burner{Rating: watts, Share: whole}, false
		e := cycle(t, l)
		gone := (e.WaterPutIn - e.WaterLeft.Likely).Litres() * 0.99
		all := watts.Watts() * 600 / 2256.6e3
		assert.Less(t, gone, all)
		assert.Greater(t, gone, 0.5*all)
		assert.InDelta(t, 3, e.WaterPutIn.Quarts(), 1e-9, "2 to 3 in is about 3 qt (Alaska Extension)")
	}
	l := loadOf(0, 7)
	l.Burner = canner.Burner{Share: whole}
	l.Burner.Rating = 5 * quantity.Kilowatt
	l.Vessel.Water = 1.2 * quantity.Litre
	e := cycle(t, l)
	assert.Zero(t, e.WaterLeft.Low, "it may run dry, and never below")
	assert.Positive(t, e.WaterLeft.Likely)
	// A weighted gauge lets steam off, more than a dial one.
	dial := loadOf(0, 7)
	dial.Weighted = false
	assert.Less(t, cycle(t, loadOf(0, 7)).WaterLeft.Likely, cycle(t, dial).WaterLeft.Likely)
}

func TestNotedTimesOverrideTheModel(t *testing.T) {
	l := loadOf(0, 7)
	l.Noted = canner.Noted{HeatUp: 20 * time.Minute, Pressurise: 8 * time.Minute, Depressurise: 50 * time.Minute}
	e := cycle(t, l)
	// The usual load is this one.
	assert.Equal(t, 20*time.Minute, e.HeatUp.Likely)
	assert.Equal(t, 8*time.Minute, e.Pressurise.Likely)
	assert.Equal(t, 50*time.Minute, e.Depressurise.Likely)
	assert.Equal(t, quantity.Exactly(10*time.Minute), e.Vent)
	assert.Zero(t, e.Short)
	l.Later = true
	assert.Less(t, cycle(t, l).HeatUp.Likely, 20*time.Minute, "hot already")
}

// No noted time takes a step below the published span of its wall and class, nor does
// the tenth off it; one that is shorter itself counts as not noted.
func TestNotedTimesNeverUndercutThePublishedOnes(t *testing.T) {
	for _, minutes := range []time.Duration{1, 4, 11, 12, 13, 19, 20, 29, 30, 31, 44, 45, 46, 90} {
		for _, wall := range []canner.Wall{canner.Unknown, canner.Heavy, canner.Thin} {
			for _, l := range []canner.Load{loadOf(1, 0), loadOf(9, 0), loadOf(18, 0), loadOf(0, 1), loadOf(0, 7)} {
				for _, later := range []bool{false, true} {
					noted := minutes * time.Minute
					l.Vessel.Wall, l.Later, l.Noted = wall, later, canner.Noted{}
					model := cycle(t, l)
					l.Noted = canner.Noted{HeatUp: noted, Pressurise: noted, Depressurise: noted}
					e := cycle(t, l)
					name := fmt.Sprintf("%s noted, wall %q, %+v", noted, wall, l.Jars)
					// Michigan State University Extension; thin: University of Georgia Extension slides.
					toZero := quantity.Exactly(30 * time.Minute)
					switch {
					case wall == canner.Thin:
						toZero = quantity.Band[time.Duration]{Low: 20 * time.Minute, Likely: 20 * time.Minute, High: 30 * time.Minute}
					case l.QuartTime:
						toZero = quantity.Exactly(45 * time.Minute)
					}
					p := canner.Published(l.QuartTime, l.Process)
					for _, row := range []struct {
						got, least, model quantity.Band[time.Duration]
						short             bool
					}{
						{e.HeatUp, p.HeatUp, model.HeatUp, e.Short.HeatUp},
						{e.Pressurise, p.Pressurise, model.Pressurise, e.Short.Pressurise},
						{e.Depressurise, toZero, model.Depressurise, e.Short.Depressurise},
					} {
						assert.GreaterOrEqual(t, row.got.Low, row.least.Low, name)
						assert.GreaterOrEqual(t, row.got.Likely, row.least.Likely, name)
						assert.GreaterOrEqual(t, row.got.High, row.least.High, name)
						assert.Equal(t, noted < row.least.Low, row.short, name)
						if row.short {
							assert.Equal(t, row.model, row.got, name)
						}
					}
					likely, err := canner.LikelyTime(l)
					require.NoError(t, err)
					assert.Equal(t, e.Total().Likely, likely, name)
				}
			}
		}
	}
}

// A noted time is of 7 quarts or 9 pints, or a full layer, and grows with the load as
// the model does.
func TestNotedTimesScaleWithTheLoad(t *testing.T) {
	noted := canner.Noted{HeatUp: 40 * time.Minute, Pressurise: 30 * time.Minute, Depressurise: 60 * time.Minute}
	with := func(l canner.Load) canner.Estimate { l.Noted = noted; return cycle(t, l) }
	one, two := loadOf(9, 0), loadOf(18, 0)
	for _, l := range []*canner.Load{&one, &two} {
		l.Place.Altitude = 3200 * quantity.Foot
		l.Pressure = 15 * quantity.PSI
	}
	assert.Equal(t, 60*time.Minute, with(one).Depressurise.Likely)
	grown := float64(cycle(t, two).Depressurise.Likely) / float64(cycle(t, one).Depressurise.Likely)
	// 883 against 554 kJ from 100 to 116 °C (canner_energy.csv), of which more wall
	// takes some back.
	assert.Greater(t, grown, 1.3)
	assert.InDelta(t, grown*60, with(two).Depressurise.Likely.Minutes(), 0.3)
	assert.Greater(t, with(two).HeatUp.Likely, 50*time.Minute)
	assert.Greater(t, with(two).Pressurise.Likely, 45*time.Minute)
	assert.Less(t, with(loadOf(0, 4)).Depressurise.Likely, with(loadOf(0, 7)).Depressurise.Likely)
	// Four quarts fill a layer of a small canner (canner_capacity.csv): there they are the usual load.
	small := loadOf(0, 4)
	small.Vessel.Width = 9.5 * inch
	assert.Equal(t, 60*time.Minute, with(small).Depressurise.Likely)
}

func TestNotedTooShort(t *testing.T) {
	noted := canner.Noted{HeatUp: 11 * time.Minute, Pressurise: 3 * time.Minute, Depressurise: 35 * time.Minute}
	assert.Equal(t, []canner.NotedShort{
		{"heat_up", 11 * time.Minute, 12 * time.Minute, false}, {"depressurise", 35 * time.Minute, 45 * time.Minute, true},
	}, noted.TooShort(canner.Heavy))
	assert.Len(t, noted.TooShort(canner.Thin), 1)
	assert.Empty(t, canner.Noted{}.TooShort(canner.Unknown))
	noted = canner.Noted{Depressurise: 4 * time.Minute}
	assert.Equal(t, []canner.NotedShort{{"depressurise", 4 * time.Minute, 30 * time.Minute, false}}, noted.TooShort(canner.Unknown))
}

// A canner likely run dry is not planned, and what the error names is enough.
func TestABurnerThatBoilsTheCannerDryIsRefused(t *testing.T) {
	l := loadOf(0, 7)
	l.Burner = canner.Burner{Rating: 50 * quantity.Kilowatt, Share: anyHob}
	_, err := canner.Cycle(l)
	var out *fault.Fault
	require.ErrorAs(t, err, &out)
	assert.Equal(t, "burner", out.Key)
	require.Contains(t, err.Error(), "dry")
	var most float64
	at := strings.Index(err.Error(), "at most ")
	require.Positive(t, at, err.Error())
	_, scanErr := fmt.Sscanf(err.Error()[at:], "at most %f W", &most)
	require.NoError(t, scanErr)
	l.Burner.Rating = quantity.Power(most)
	e := cycle(t, l)
	assert.GreaterOrEqual(t, e.WaterLeft.Likely, e.WaterPutIn/3)
	assert.NotContains(t, err.Error(), "at least ", "no canner takes so much water")
	l.Burner.Rating += 200
	e = cycle(t, l)
	assert.Less(t, e.WaterLeft.Likely, e.WaterPutIn/3, "no less than it takes")

	// Water enough would do too.
	l.Burner.Rating, l.Vessel.Water = 8*quantity.Kilowatt, 0.8*quantity.Litre
	_, err = canner.Cycle(l)
	require.ErrorAs(t, err, &out)
	assert.Equal(t, "burner", out.Key)
	var litres float64
	at = strings.Index(err.Error(), "at least ")
	require.Positive(t, at, err.Error())
	_, scanErr = fmt.Sscanf(err.Error()[at:], "at least %f l", &litres)
	require.NoError(t, scanErr)
	l.Vessel.Water = quantity.Volume(litres) * quantity.Litre
	e = cycle(t, l)
	assert.GreaterOrEqual(t, e.WaterLeft.Likely, e.WaterPutIn/3)

	// Nobody gave a burner: then it is the water.
	l.Burner, l.Vessel.Water = canner.Burner{Share: anyHob}, 0.3*quantity.Litre
	_, err = canner.Cycle(l)
	require.ErrorAs(t, err, &out)
	assert.Equal(t, "canner.water", out.Key)
	assert.Contains(t, err.Error(), "at least ")
}

// 2 to 3 in of water, about 3 qt in a usual canner (Alaska Extension): as deep in a
// wider one, by hand 3 qt times the squares of the widths.
func TestUsualWaterGoesByTheFloor(t *testing.T) {
	for width, quarts := range map[float64]float64{12.25: 3, 9.5: 1.804, 16: 5.118, 24: 11.515} {
		l := loadOf(0, 4)
		l.Vessel.Width = quantity.Length(width) * inch
		assert.InDelta(t, quarts, cycle(t, l).WaterPutIn.Quarts(), 0.001)
	}
}

func TestWaterMustFitBesideTheJars(t *testing.T) {
	l := loadOf(0, 7)
	l.Vessel.Height = 11.5 * inch // 22.2 l, by hand π/4·31.1²·29.2
	// 7·(0.8825/0.958 + 0.45/2.5) l of jars, by hand 7.71 l; broth and glass of a quart
	// from memory, 0.958 kg/l of water at 100 °C by IAPWS (saturation_table.csv), 2.5 of
	// glass a handbook's.
	assert.InDelta(t, 22.21-7.71, l.Vessel.Room(l.Jars).Litres(), 0.02)
	l.Vessel.Water = 15 * quantity.Litre
	_, err := canner.Cycle(l)
	var out *fault.Fault
	require.ErrorAs(t, err, &out)
	assert.Equal(t, "canner.water", out.Key)
	l.Vessel.Water = 14 * quantity.Litre
	cycle(t, l)
}

// Too little water is told against the usual amount, not only against itself.
func TestNearDry(t *testing.T) {
	for quarts, near := range map[quantity.Volume]bool{1.2: true, 1.4: true, 3: false, 4: false} {
		l := loadOf(0, 7)
		l.Vessel.Water = quarts * quantity.Quart
		assert.Equal(t, near, cycle(t, l).NearDry, "%v qt", quarts)
	}
	l := loadOf(0, 7)
	assert.False(t, cycle(t, l).NearDry)
	// More than half of 3 qt, and more than a third of itself left, but not a quart.
	l.Burner, l.Vessel.Water = canner.Burner{Rating: 2.6 * quantity.Kilowatt, Share: whole}, 1.6*quantity.Quart
	e := cycle(t, l)
	require.Greater(t, e.WaterLeft.Low, e.WaterPutIn/3)
	assert.True(t, e.NearDry, "%v", e.WaterLeft.Low.Quarts())
	// Half of 3 qt, even on a burner that boils little off.
	l.Burner, l.Weighted, l.Vessel.Water = canner.Burner{Rating: 900, Share: whole}, false, 1.4*quantity.Quart
	e = cycle(t, l)
	require.Greater(t, e.WaterLeft.Low, quantity.Quart)
	assert.True(t, e.NearDry)
}

// Nobody knows the hob: from 40 to 80 % of the fuel reaches the canner (US DOE), so
// the band is a factor of two at least.
func TestTheFuelBandHoldsTheHobs(t *testing.T) {
	e := cycle(t, loadOf(0, 7))
	assert.Greater(t, e.Fuel.High/e.Fuel.Low, quantity.Energy(2))
	known := loadOf(0, 7)
	known.Burner.Share = quantity.Band[float64]{Low: 0.40, Likely: 0.42, High: 0.44}
	f := cycle(t, known)
	assert.Less(t, f.Fuel.High/f.Fuel.Low, e.Fuel.High/e.Fuel.Low)
}

func TestAWeakBurnerIsToldWhatItTakes(t *testing.T) {
	l := loadOf(0, 7)
	l.Burner = canner.Burner{Rating: 400, Share: whole}
	_, err := canner.Cycle(l)
	var out *fault.Fault
	require.ErrorAs(t, err, &out)
	assert.Equal(t, "burner", out.Key)
	require.Regexp(t, `burner of 400 W .* at least \d+ W`, err.Error())
	// What it asks for is enough, and a little less is not.
	for watts := quantity.Power(400); ; watts += 10 {
		l.Burner.Rating = watts
		if _, err := canner.Cycle(l); err == nil {
			assert.Contains(t, out.Reason, fmt.Sprintf("at least %.0f W", watts.Watts()))
			break
		}
		require.Less(t, watts, quantity.Power(2000))
	}
}

func TestLoadsOutOfRange(t *testing.T) {
	for _, row := range []struct {
		key    string
		change func(*canner.Load)
	}{
		{"canner.jars", func(l *canner.Load) { l.Jars = nil }},
		{"canner.jars", func(l *canner.Load) { l.Jars[0].Count = 0 }},
		{"canner.jars", func(l *canner.Load) { l.Jars[0].Broth = quantity.Mass(math.NaN()) }},
		{"canner.jars", func(l *canner.Load) { l.Jars[0].Glass = 0 }},
		{"canner.process", func(l *canner.Load) { l.Process = 0 }},
		{"canner.process", func(l *canner.Load) { l.Process = 5 * time.Hour }},
		{"canner.width", func(l *canner.Load) { l.Vessel.Width = quantity.Length(math.NaN()) }},
		{"canner.height", func(l *canner.Load) { l.Vessel.Height = 41 * inch }},
		{"canner.mass", func(l *canner.Load) { l.Vessel.Mass = 0.5 }},
		{"canner.wall", func(l *canner.Load) { l.Vessel.Wall = "tin" }},
		{"canner.water", func(l *canner.Load) { l.Vessel.Water = 31 * quantity.Litre }},
		{"canner.air", func(l *canner.Load) { l.Place.Air = quantity.Celsius(60) }},
		{"altitude", func(l *canner.Load) { l.Place.Altitude = 20000 }},
		{"canner.pressure", func(l *canner.Load) { l.Pressure = 0 }},
		{"burner", func(l *canner.Load) { l.Burner.Rating = -1 }},
		{"burner", func(l *canner.Load) { l.Burner.Share = quantity.Band[float64]{} }},
		{"canner.noted", func(l *canner.Load) { l.Noted.HeatUp = 7 * time.Hour }},
	} {
		l := loadOf(9, 0)
		row.change(&l)
		var out *fault.Fault
		for _, of := range []func() error{
			func() error { _, err := canner.Cycle(l); return err },
			func() error { _, err := canner.LikelyTime(l); return err },
			func() error { _, _, err := canner.Heat(l); return err },
		} {
			if err := of(); assert.ErrorAs(t, err, &out, row.key) {
				assert.Equal(t, row.key, out.Key)
			}
		}
	}
}

// From memory: empty jars of a half-pint, a pint and a quart weigh about 0.19, 0.29
// and 0.45 kg.
func TestGlassOf(t *testing.T) {
	assert.InDelta(t, 0.19, canner.GlassOf(8.9*quantity.FluidOunce).Kilograms(), 0.005)
	assert.InDelta(t, 0.29, canner.GlassOf(17.1*quantity.FluidOunce).Kilograms(), 0.005)
	assert.InDelta(t, 0.45, canner.GlassOf(33.4*quantity.FluidOunce).Kilograms(), 0.005)
}

// The least height is just enough for Capacity, and a hair less is not.
func TestHeightForIsWhatCapacityAsksFor(t *testing.T) {
	for _, s := range []canner.Shape{pint, quart} {
		for layers := 1; layers <= 3; layers++ {
			c := bare(12.25*inch, 24*inch, 10)
			c.Height = c.HeightFor(s, layers)
			if c.Height > 24*inch {
				continue
			}
			assert.Equal(t, layers, capacity(t, c, s).Layers, "%s %d", s.Name, layers)
			c.Height -= inch / 1000
			if layers > 1 {
				assert.Equal(t, layers-1, capacity(t, c, s).Layers, "%s %d", s.Name, layers)
			}
		}
	}
}

func BenchmarkCycle(b *testing.B) {
	l := loadOf(0, 7)
	for b.Loop() {
		if _, err := canner.Cycle(l); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkLikelyTime(b *testing.B) {
	l := loadOf(0, 7)
	for b.Loop() {
		if _, err := canner.LikelyTime(l); err != nil {
			b.Fatal(err)
		}
	}
}
