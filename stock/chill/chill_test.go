package chill

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/stock/fault"
	"brothrun/stock/quantity"
)

var stockPot = Pot{Volume: 22 * quantity.Quart * 0.6, Width: 30 * quantity.Centimetre}

func pointer(t quantity.Temperature) *quantity.Temperature { return &t }

func withOutdoors(t quantity.Temperature) Surroundings {
	s := DefaultSurroundings()
	s.Outdoors = pointer(t)
	return s
}

func TestRowsNoRuleKeeperMayPass(t *testing.T) {
	// The chili of these rows missed the rule in still air; a model that passes broth there with margin would be too kind.
	tests := []struct {
		source string
		pot    Pot
		fridge float64
	}{
		{"North Dakota State University Extension: 5 gal bucket, not cold after 20 h", Pot{Volume: 5 * quantity.Gallon, Width: 11.5 * quantity.Inch}, 40},
		{"Olds & Sneed 2005: 3 gal pot in a walk-in", Pot{Volume: 3 * quantity.Gallon, Width: 10 * quantity.Inch}, 38},
	}
	for _, tt := range tests {
		around := DefaultSurroundings()
		around.Fridge = quantity.Fahrenheit(tt.fridge)
		r, err := Cool(tt.pot, around, Fridge)
		require.NoError(t, err)
		assert.Equal(t, Fail, r.Verdict, tt.source)
	}
}

func TestIce(t *testing.T) {
	oneKilogram := Pot{Volume: quantity.Mass(1).At(brothDensity), Width: 20 * quantity.Centimetre, From: quantity.Celsius(57.3)}
	// Nothing but the broth melts ice where tap and room are as cold as the bath.
	cold := DefaultSurroundings()
	cold.Tap, cold.Room = iceBathTemperature, iceBathTemperature
	tests := []struct {
		source    string
		around    Surroundings
		method    Method
		want      float64 // kg per kg of broth
		tolerance float64
	}{
		{"worked ice balance m·cp·ΔT/334 kJ/kg: about 0.65 kg a kg from 57 to 5 °C (water's heat capacity, 4 % above broth's; no pot, which has 3 %)", cold, IceBath, 0.65, 0.03},
		{"same", cold, IceBathStirred, 0.65, 0.03},
		{"same", cold, FrozenBottles, 0.65, 0.03},
		{"own heat balance: half a kg of tap water at 15 °C takes 0.5·4.2·14/338 = 0.087 more, the warm room a little", DefaultSurroundings(), IceBathStirred, 0.74, 0.03},
		{"own heat balance, second route below", DefaultSurroundings(), IceAdded, 0.3696, 0.002},
	}
	for _, tt := range tests {
		r, err := Cool(oneKilogram, tt.around, tt.method)
		require.NoError(t, err)
		assert.InDelta(t, tt.want, r.Ice.Kilograms(), tt.tolerance, "%s: %s", tt.method, tt.source)
	}

	// Second route: heat the broth gives up equals what the ice takes up. 4.0
	// kJ/(kg·K) of broth, 334 kJ/kg and 4.2 kJ/(kg·K) of ice: handbooks, from memory.
	r, err := Cool(oneKilogram, DefaultSurroundings(), IceAdded)
	require.NoError(t, err)
	ice := r.MeltedIn.Kilograms()
	assert.InDelta(t, (1-ice)*4.0*(57.3-5), ice*(334+4.2*5), 1e-6)

	r, err = Cool(oneKilogram, DefaultSurroundings(), Fridge)
	require.NoError(t, err)
	assert.Zero(t, r.Ice)
	assert.Zero(t, r.MeltedIn)
}

func TestVerdict(t *testing.T) {
	at := func(h float64) Reach { return Reach{After: time.Duration(h * float64(time.Hour))} }
	const source = "FDA Food Code 3-501.14(A): 2 h to 70 °F, 6 h in all to 41 °F"
	tests := []struct {
		source                     string
		to70, to41, slow70, slow41 Reach
		want                       Verdict
	}{
		{source, at(1), at(3), at(2), at(6), Pass},
		{source, at(1), at(3), at(2.001), at(6), Narrow},
		{source, at(1), at(3), at(2), at(6.001), Narrow},
		{source, at(2.001), at(3), at(3), at(4), Fail},
		{source, at(1), at(6.001), at(1), at(7), Fail},
		{source, at(1), Reach{Never: true}, at(1), Reach{Never: true}, Fail},
	}
	for i, tt := range tests {
		got := verdict(Result{To70F: tt.to70, To41F: tt.to41, SlowTo70F: tt.slow70, SlowTo41F: tt.slow41})
		assert.Equal(t, tt.want, got, "row %d: %s", i, tt.source)
	}
}

// Own rule, on the safe side: no published time stands behind it.
func TestGuessedTimesNeverPassWithMargin(t *testing.T) {
	r, err := Cool(Pot{Volume: quantity.Litre, Width: 20 * quantity.Centimetre}, DefaultSurroundings(), IceAdded)
	require.NoError(t, err)
	assert.Equal(t, Narrow, r.Verdict)
}

// Source: rows 17 and 18 of cooling_observed.csv, both trials of a frozen wand, missed
// the rule. So does any pot here, however quick the model takes it to be.
func TestFrozenBottlesFail(t *testing.T) {
	for _, m := range []Method{FrozenBottles, FrozenBottlesThenFridge} {
		for _, litres := range []float64{0.5, 4, 40} {
			r, err := Cool(Pot{Volume: quantity.Volume(litres) * quantity.Litre, Width: 30 * quantity.Centimetre}, DefaultSurroundings(), m)
			require.NoError(t, err)
			assert.Equal(t, Fail, r.Verdict, "%s, %v l", m, litres)
			assert.False(t, r.ForWantOfIce)
		}
	}
}

// Own bound: from about 120 qt on the slow side of every method misses the rule.
func TestProposeFindsNothingForAVat(t *testing.T) {
	_, ok, err := Propose(Pot{Volume: 190 * quantity.Litre, Width: 70 * quantity.Centimetre}, DefaultSurroundings())
	require.NoError(t, err)
	assert.False(t, ok)
}

func TestNever(t *testing.T) {
	warmFridge := DefaultSurroundings()
	warmFridge.Fridge = quantity.Fahrenheit(42)
	exactFridge := DefaultSurroundings()
	exactFridge.Fridge = quantity.Fahrenheit(41)
	hotTap := DefaultSurroundings()
	hotTap.Tap = quantity.Fahrenheit(75)
	tests := []struct {
		source       string
		around       Surroundings
		method       Method
		no70F, no41F bool
	}{
		{"nothing cools below its surroundings", warmFridge, Fridge, false, true},
		{"an exponential only nears its surroundings", exactFridge, Fridge, false, true},
		{"the fridge ends the sequence", warmFridge, IceBathStirredThenFridge, false, true},
		{"pans stand in the fridge too", warmFridge, ShallowPans, false, true},
		{"tap water is warmer than 41 °F", DefaultSurroundings(), ColdWater, false, true},
		{"tap water is warmer than 70 °F", hotTap, ColdWaterThenFridge, true, true},
		{"room at 21 °C, 69.8 °F", DefaultSurroundings(), Counter, false, true},
	}
	for _, tt := range tests {
		r, err := Cool(stockPot, tt.around, tt.method)
		require.NoError(t, err)
		assert.Equal(t, tt.no70F, r.To70F.Never, "%s: %s", tt.method, tt.source)
		assert.Equal(t, tt.no41F, r.To41F.Never, "%s: %s", tt.method, tt.source)
		assert.Equal(t, Fail, r.Verdict, "%s: %s", tt.method, tt.source)
	}
}

func TestSequenceSwitches(t *testing.T) {
	small := Pot{Volume: 0.8 * quantity.Litre, Width: 25 * quantity.Centimetre}
	warm := DefaultSurroundings()
	warm.Fridge = quantity.Fahrenheit(42)
	hot := DefaultSurroundings()
	hot.Tap = quantity.Celsius(48)
	tests := []struct {
		source      string
		pot         Pot
		around      Surroundings
		method      Method
		least, most float64 // °F
	}{
		{"FDA Food Code: the first stage ends at 70 °F", stockPot, DefaultSurroundings(), ColdWaterThenFridge, 70, 70},
		{"own rule: cold water stops paying 15 K above the tap, 30 °C", stockPot, DefaultSurroundings(), ColdWaterThenIceBathStirred, 86, 86},
		{"own rule: no later than the clock's start", stockPot, hot, ColdWaterThenIceBathStirred, 135, 135},
		{"own rule: the fridge finishes a cupful from where the first stage ends", Pot{Volume: 0.25 * quantity.Litre, Width: 25 * quantity.Centimetre}, DefaultSurroundings(), IceBathStirredThenFridge, 70, 70},
		{"own rule: a little broth from somewhat below", small, DefaultSurroundings(), IceBathStirredThenFridge, 50, 60},
		{"own rule: and a stock pot from just above its goal only", stockPot, DefaultSurroundings(), IceBathStirredThenFridge, 42, 42},
		{"own rule: a fridge that never finishes does not matter", stockPot, warm, IceBathStirredThenFridge, 70, 70},
	}
	for _, tt := range tests {
		r, err := Cool(tt.pot, tt.around, tt.method)
		require.NoError(t, err)
		assert.GreaterOrEqual(t, r.SwitchAt.Fahrenheit(), tt.least-1e-9, "%s: %s", tt.method, tt.source)
		assert.LessOrEqual(t, r.SwitchAt.Fahrenheit(), tt.most+1e-9, "%s: %s", tt.method, tt.source)
	}

	// The switch spends what the likely side may take, to the second, and with that
	// the slow side keeps the rule.
	around := DefaultSurroundings()
	at := switchFor(small.with(t), around, IceBathStirredThenFridge)
	require.Less(t, at.Fahrenheit(), 69.5)
	on := follow(small.with(t), around, IceBathStirredThenFridge, likely, at, longest)
	assert.InDelta(t, iceBudget.Seconds(), on.since135(on.at41).After.Seconds(), 1.5)
	assert.True(t, follow(small.with(t), around, IceBathStirredThenFridge, slow, at, longest).keeps())

	ice, err := Cool(stockPot, around, IceBathStirred)
	require.NoError(t, err)
	both, err := Cool(stockPot, around, IceBathStirredThenFridge)
	require.NoError(t, err)
	assert.Equal(t, ice.To70F, both.To70F, "the first leg is the same")
	assert.Less(t, both.Ice, ice.Ice)
	assert.Less(t, both.Attended.Likely, ice.Attended.Likely)
	assert.Equal(t, Narrow, both.Verdict, "it rests on the likely side")
	little, err := Cool(small, around, IceBathStirredThenFridge)
	require.NoError(t, err)
	assert.Equal(t, at, little.SwitchAt)

	fails, err := Cool(stockPot, warm, IceBathStirredThenFridge)
	require.NoError(t, err)
	assert.Equal(t, Fail, fails.Verdict)
	assert.True(t, fails.StayInIce)
}

// with returns the pot as follow wants it.
func (p Pot) with(t *testing.T) Pot {
	t.Helper()
	p, err := p.checked()
	require.NoError(t, err)
	return p
}

func TestPropose(t *testing.T) {
	porch := func(f float64) Surroundings { return withOutdoors(quantity.Fahrenheit(f)) }
	tests := []struct {
		source string
		pot    Pot
		around Surroundings
		want   Method
	}{
		{"Food Code 3-501.15 names stirring in an ice water bath; the fridge cannot do the last part of a stock pot; cold water first saves ice: common practice, no source", stockPot, DefaultSurroundings(), ColdWaterThenIceBathStirred},
		{"a mild porch is no better", stockPot, porch(35), ColdWaterThenIceBathStirred},
		{"a cupful in a wide pot is cold in the fridge in time: TestLittleBrothByHand", Pot{Volume: 0.5 * quantity.Litre, Width: 25 * quantity.Centimetre}, DefaultSurroundings(), Fridge},
		{"same, freezer", Pot{Volume: 0.8 * quantity.Litre, Width: 25 * quantity.Centimetre}, DefaultSurroundings(), Freezer},
	}
	for _, tt := range tests {
		got, ok, err := Propose(tt.pot, tt.around)
		require.NoError(t, err, tt.source)
		require.True(t, ok, tt.source)
		assert.Equal(t, tt.want, got.Method, tt.source)
		assert.Equal(t, Pass, got.Verdict, tt.source)
	}
}

// The slow side of the fridge by hand, with one coefficient at the middle of the
// first stage, 39 °C: bottom and side count, the metal has 5 %.
func TestLittleBrothByHand(t *testing.T) {
	depth, width := 0.5e-3/(math.Pi/4*0.25*0.25), 0.25
	h := 0.8*1.52*math.Pow(36/0.02, 0.25) + 4*0.15*5.670e-8*math.Pow(273.15+21, 3)
	faces := math.Pi/4*width*width + math.Pi*width*depth
	seconds := 0.5e-3 * 1018 * 4.0e3 * 1.05 / (h * faces) * math.Log((57.22-3)/(21.11-3))
	r, err := Cool(Pot{Volume: 0.5 * quantity.Litre, Width: 25 * quantity.Centimetre}, DefaultSurroundings(), Fridge)
	require.NoError(t, err)
	// Set broth and a fridge that warms a little add to it.
	assert.InEpsilon(t, seconds, r.SlowTo70F.After.Seconds(), 0.05)
	assert.Equal(t, Pass, r.Verdict)
}

func TestProposePassesWithMarginEverywhere(t *testing.T) {
	for _, litres := range []float64{0.1, 0.5, 1, 4, 12, 20, 50, 100} {
		for _, width := range []float64{10, 20, 30, 50, 80} {
			for _, fridge := range []float64{1, 3, 4.4, 8} {
				around := DefaultSurroundings()
				around.Fridge = quantity.Celsius(fridge)
				pot := Pot{Volume: quantity.Volume(litres) * quantity.Litre, Width: quantity.Length(width) * quantity.Centimetre}
				if pot.depth() > deepest {
					continue
				}
				r, ok, err := Propose(pot, around)
				require.NoError(t, err)
				require.True(t, ok, "%v l, %v cm, %v °C", litres, width, fridge)
				assert.True(t, r.SlowTo70F.Within(WithinTo70F) && r.SlowTo41F.Within(WithinTo41F))
				assert.NotContains(t, []Method{Counter, IceAdded, FrozenBottles}, r.Method)
			}
		}
	}
}

func TestCoolIsMonotone(t *testing.T) {
	no := func(a, b Reach, what string, m Method) {
		t.Helper()
		if b.Never {
			return
		}
		require.False(t, a.Never, "%s: %s", m, what)
		assert.LessOrEqual(t, a.After, b.After+time.Microsecond, "%s: %s", m, what)
	}
	for _, m := range Methods() {
		if _, second := m.Parts(); second != "" {
			continue // TestSequencesAreMonotone
		}
		var smaller *Result
		for _, litres := range []float64{0.1, 0.4, 1, 3, 8, 12.5, 30, 80} {
			r, err := Cool(Pot{Volume: quantity.Volume(litres) * quantity.Litre, Width: 30 * quantity.Centimetre}, withOutdoors(quantity.Celsius(-4)), m)
			require.NoError(t, err)
			for _, reach := range []Reach{r.To70F, r.To41F, r.SlowTo70F, r.SlowTo41F} {
				assert.GreaterOrEqual(t, reach.After, time.Duration(0))
			}
			no(r.To70F, r.To41F, "70 °F comes before 41 °F", m)
			no(r.To70F, r.SlowTo70F, "slow side is slower", m)
			no(r.To41F, r.SlowTo41F, "slow side is slower", m)
			assert.LessOrEqual(t, r.Attended.Low, r.Attended.Likely)
			assert.LessOrEqual(t, r.Attended.Likely, r.Attended.High)
			assert.False(t, math.IsNaN(r.Ice.Kilograms()) || r.Ice < 0)
			if smaller != nil {
				no(smaller.To70F, r.To70F, "less broth is quicker", m)
				no(smaller.To41F, r.To41F, "less broth is quicker", m)
				assert.LessOrEqual(t, smaller.Ice, r.Ice)
			}
			smaller = &r
		}

		var colder *Result
		for c := -30.0; c <= 30; c += 1.25 {
			around := Surroundings{Fridge: quantity.Celsius(c), Freezer: quantity.Celsius(c), Room: quantity.Celsius(c), Tap: quantity.Celsius(max(c, 0)), Outdoors: pointer(quantity.Celsius(c))}
			r, err := Cool(stockPot, around, m)
			require.NoError(t, err)
			if colder != nil {
				no(colder.To70F, r.To70F, "colder surroundings are quicker", m)
				no(colder.To41F, r.To41F, "colder surroundings are quicker", m)
			}
			colder = &r
		}
	}
}

// Where a sequence switches depends on the pot and the fridge, which trades time
// for work; at one switch, less broth and colder surroundings are quicker.
func TestSequencesAreMonotone(t *testing.T) {
	noLater := func(a, b course, m Method, what string) {
		t.Helper()
		for _, pair := range [][2]Reach{{a.since135(a.at70), b.since135(b.at70)}, {a.since135(a.at41), b.since135(b.at41)}} {
			if !pair[1].Never {
				require.False(t, pair[0].Never, "%s: %s", m, what)
				assert.LessOrEqual(t, pair[0].After.Seconds(), pair[1].After.Seconds()*1.002, "%s: %s", m, what)
			}
		}
	}
	for _, m := range Methods() {
		if _, second := m.Parts(); second == "" {
			continue
		}
		for s := range sides {
			var smaller *course
			for _, litres := range []float64{0.1, 0.4, 1, 3, 8, 12.5, 30, 80} {
				pot := Pot{Volume: quantity.Volume(litres) * quantity.Litre, Width: 30 * quantity.Centimetre}
				c := follow(pot.with(t), DefaultSurroundings(), m, s, firstStage, longest)
				if smaller != nil {
					noLater(*smaller, c, m, "less broth")
				}
				smaller = &c
			}
			var colder *course
			for celsius := -5.0; celsius <= 25; celsius += 1.25 {
				around := DefaultSurroundings()
				around.Fridge, around.Tap = quantity.Celsius(celsius), quantity.Celsius(celsius)
				c := follow(stockPot.with(t), around, m, s, firstStage, longest)
				if colder != nil {
					noLater(*colder, c, m, "colder surroundings")
				}
				colder = &c
			}
		}
	}
}

// pots are all sizes of pot that are worked out, a twentieth more broth at a time.
func pots(t *testing.T, each func(width quantity.Length, ascending []Pot)) {
	t.Helper()
	for _, width := range []quantity.Length{10, 20, 14 * quantity.Inch / quantity.Centimetre, 20 * quantity.Inch / quantity.Centimetre, 100} {
		var ascending []Pot
		for litres := 0.1; litres <= 200; litres *= 1.05 {
			pot := Pot{Volume: quantity.Volume(litres) * quantity.Litre, Width: width * quantity.Centimetre}
			if pot.depth() <= deepest {
				ascending = append(ascending, pot.with(t))
			}
		}
		each(width, ascending)
	}
}

// Where a sequence switches moves with the volume, and still more broth is never
// cold sooner in the same pot.
func TestMoreBrothIsNeverQuicker(t *testing.T) {
	for _, fridge := range []float64{0.5, 3, 4.5} {
		around := withOutdoors(quantity.Celsius(-4))
		around.Fridge = quantity.Celsius(fridge)
		for _, m := range Methods() {
			pots(t, func(width quantity.Length, ascending []Pot) {
				var less Result
				for i, pot := range ascending {
					r := coolFully(pot, around, m)
					if i > 0 {
						for _, pair := range [][2]Reach{{less.To70F, r.To70F}, {less.To41F, r.To41F}} {
							// A switch is found to the second.
							late := !pair[1].Never && (pair[0].Never || pair[0].After > pair[1].After+2*time.Second)
							require.False(t, late, "%s, %v cm, %.3g l: %v, less broth: %v", m, width, pot.Volume.Litres(), pair[1], pair[0])
						}
					}
					less = r
				}
			})
		}
	}
}

// As worked out, before Cool takes the later of the two.
func TestSlowSideIsSlower(t *testing.T) {
	around := withOutdoors(quantity.Celsius(-4))
	for _, m := range Methods() {
		pots(t, func(_ quantity.Length, ascending []Pot) {
			for _, pot := range ascending {
				at := switchFor(pot, around, m)
				var by [sides]course
				for s := range sides {
					by[s] = follow(pot, around, m, s, at, longest)
				}
				for s := likely; s < sides; s++ {
					a, b := by[s], by[s-1]
					for _, pair := range [][2]Reach{{a.since135(a.at70), b.since135(b.at70)}, {a.since135(a.at41), b.since135(b.at41)}} {
						sooner := !pair[1].Never && (pair[0].Never || pair[0].After > pair[1].After)
						require.False(t, sooner, "%s side %d, %v, %.3g l: %v before %v", m, s-1, pot.Width, pot.Volume.Litres(), pair[1], pair[0])
					}
				}
			}
		})
	}
	never := Reach{Never: true}
	for _, row := range [][3]Reach{{{After: 1}, {After: 2}, {After: 2}}, {{After: 2}, {After: 1}, {After: 2}}, {never, {After: 2}, never}, {{After: 2}, never, never}} {
		assert.Equal(t, row[2], later(row[0], row[1]))
	}
}

func TestIceThatDoesNotSuffice(t *testing.T) {
	pot := Pot{Volume: 2 * quantity.Gallon, Width: 10 * quantity.Inch}
	around := DefaultSurroundings()
	tests := []struct {
		method     Method
		share      float64 // of what it takes
		no70, no41 bool
	}{
		{IceAdded, 0.1, true, true},
		{IceAdded, 0.95, false, true}, // own heat balance: enough for 70 °F, not for 41 °F
		{IceAdded, 1, false, false},
		{IceAddedThenFridge, 0.9, true, true},
		{IceBathStirred, 0.2, false, true}, // the room is just below 70 °F
		{IceBath, 0.2, false, true},
		{FrozenBottles, 0.2, true, true}, // nothing else cools them
		{ColdWaterThenIceBathStirred, 0.1, false, true},
	}
	for _, tt := range tests {
		around.Ice = 0
		enough, err := Cool(pot, around, tt.method)
		require.NoError(t, err)
		assert.Zero(t, enough.Have)
		around.Ice = enough.Ice * quantity.Mass(tt.share)
		r, err := Cool(pot, around, tt.method)
		require.NoError(t, err)
		assert.Equal(t, tt.no70, r.To70F.Never, "%s %v", tt.method, tt.share)
		assert.Equal(t, tt.no41, r.To41F.Never, "%s %v", tt.method, tt.share)
		assert.InEpsilon(t, enough.Ice.Kilograms(), r.Ice.Kilograms(), 1e-9)
		if tt.share == 1 {
			assert.Zero(t, r.Have)
			continue
		}
		assert.Equal(t, around.Ice, r.Have)
		assert.Equal(t, Fail, r.Verdict, tt.method)
		assert.Equal(t, enough.Verdict != Fail, r.ForWantOfIce, "%s %v", tt.method, tt.share)
	}
}

func TestCompare(t *testing.T) {
	without, err := Compare(stockPot, DefaultSurroundings())
	require.NoError(t, err)
	assert.Len(t, without, len(Methods())-1)
	for _, r := range without {
		assert.NotEqual(t, Outdoors, r.Method)
		alone, err := Cool(stockPot, DefaultSurroundings(), r.Method)
		require.NoError(t, err)
		assert.Equal(t, alone, r)
	}
	with, err := Compare(stockPot, withOutdoors(quantity.Celsius(-4)))
	require.NoError(t, err)
	assert.Len(t, with, len(Methods()))
}

func TestParseMethod(t *testing.T) {
	for _, m := range Methods() {
		got, err := ParseMethod(" " + string(m) + "\n")
		require.NoError(t, err)
		assert.Equal(t, m, got)
	}
	for _, bad := range []string{"", "icebath", "fridge+", "+fridge", "fridge+fridge", "ice-bath+fridge+freezer"} {
		_, err := ParseMethod(bad)
		require.Error(t, err, bad)
		assert.ErrorContains(t, err, "ice-bath-stirred+fridge")
	}
}

func TestCoolRefusesBadInput(t *testing.T) {
	good := DefaultSurroundings()
	with := func(change func(*Pot, *Surroundings)) (Pot, Surroundings) {
		p, s := stockPot, good
		change(&p, &s)
		return p, s
	}
	tests := []struct {
		name   string
		change func(*Pot, *Surroundings)
		method Method
		want   string
	}{
		{"no volume", func(p *Pot, _ *Surroundings) { p.Volume = 0 }, Fridge, "0.1 to 200 l"},
		{"negative volume", func(p *Pot, _ *Surroundings) { p.Volume = -2 * quantity.Litre }, Fridge, "-2 l"},
		{"volume one step too small", func(p *Pot, _ *Surroundings) {
			p.Volume = quantity.Volume(math.Nextafter(float64(0.1*quantity.Litre), 0))
		}, Fridge, "0.1 to 200 l"},
		{"volume NaN", func(p *Pot, _ *Surroundings) { p.Volume = quantity.Volume(math.NaN()) }, Fridge, "NaN"},
		{"volume infinite", func(p *Pot, _ *Surroundings) { p.Volume = quantity.Volume(math.Inf(1)) }, Fridge, "+Inf"},
		{"width too small", func(p *Pot, _ *Surroundings) { p.Width = 9 * quantity.Centimetre }, Fridge, "10 to 100 cm"},
		{"width too large", func(p *Pot, _ *Surroundings) { p.Width = 101 * quantity.Centimetre }, Fridge, "10 to 100 cm"},
		{"width NaN", func(p *Pot, _ *Surroundings) { p.Width = quantity.Length(math.NaN()) }, Fridge, "10 to 100 cm"},
		{"a column", func(p *Pot, _ *Surroundings) { p.Volume, p.Width = 200*quantity.Litre, 10*quantity.Inch }, Fridge, "3.9 m (13 ft) deep"},
		{"frozen tap", func(_ *Pot, s *Surroundings) { s.Tap = quantity.Fahrenheit(0) }, Fridge, "0 °F (-17.78 °C) is out of range: 32 to 122 °F (0 to 50 °C)"},
		{"boiling tap", func(_ *Pot, s *Surroundings) { s.Tap = quantity.Fahrenheit(212) }, Fridge, "32 to 122 °F (0 to 50 °C)"},
		{"start below the clock", func(p *Pot, _ *Surroundings) { p.From = quantity.Celsius(50) }, Fridge, "135 °F"},
		{"start NaN", func(p *Pot, _ *Surroundings) { p.From = quantity.Temperature(math.NaN()) }, Fridge, "135 °F"},
		{"fridge not given", func(_ *Pot, s *Surroundings) { s.Fridge = 0 }, Freezer, "fridge temperature"},
		{"tap NaN", func(_ *Pot, s *Surroundings) { s.Tap = quantity.Temperature(math.NaN()) }, Fridge, "tap water temperature"},
		{"outdoors infinite", func(_ *Pot, s *Surroundings) { s.Outdoors = pointer(quantity.Temperature(math.Inf(1))) }, Fridge, "outdoor temperature"},
		{"pans too deep", func(p *Pot, _ *Surroundings) { p.PanDepth = 21 * quantity.Centimetre }, ShallowPans, "1 to 20 cm"},
		{"pans NaN", func(p *Pot, _ *Surroundings) { p.PanDepth = quantity.Length(math.NaN()) }, Fridge, "NaN"},
		{"a jar of nothing", func(p *Pot, _ *Surroundings) { p.Jar = Jar{Width: 9 * quantity.Centimetre} }, Fridge, "0.05 to 4 l"},
		{"jar NaN", func(p *Pot, _ *Surroundings) {
			p.Jar = Jar{quantity.Volume(math.NaN()), 9 * quantity.Centimetre}
		}, JarsInFridge, "NaN"},
		{"jar too wide", func(p *Pot, _ *Surroundings) { p.Jar = Jar{quantity.Litre, 26 * quantity.Centimetre} }, JarsInFridge, "26 cm"},
		{"negative ice", func(_ *Pot, s *Surroundings) { s.Ice = -1 }, IceBath, "-1 kg"},
		{"ice NaN", func(_ *Pot, s *Surroundings) { s.Ice = quantity.Mass(math.NaN()) }, IceBath, "NaN"},
		{"a fridge of no power", func(_ *Pot, s *Surroundings) { s.FridgePower = -quantity.Watt }, Fridge, "5 W to 50 kW"},
		{"food infinite", func(_ *Pot, s *Surroundings) { s.FridgeFood = quantity.Mass(math.Inf(1)) }, Fridge, "+Inf"},
		{"outdoors unknown", func(*Pot, *Surroundings) {}, Outdoors, "needs the outdoor temperature"},
		{"unknown method", func(*Pot, *Surroundings) {}, "snow", "use one of"},
	}
	for _, tt := range tests {
		pot, around := with(tt.change)
		_, err := Cool(pot, around, tt.method)
		require.Error(t, err, tt.name)
		assert.ErrorContains(t, err, tt.want, tt.name)
		var field *fault.Fault
		if tt.method != "snow" && assert.ErrorAs(t, err, &field, tt.name) {
			assert.Equal(t, tt.method == Outdoors, field.Key == "", tt.name)
			assert.NotEmpty(t, field.Hint, tt.name)
		}
	}
	_, err := Compare(Pot{}, good)
	require.Error(t, err)
	_, _, err = Propose(stockPot, Surroundings{})
	require.Error(t, err)
	for _, litres := range []float64{-1, 201, math.NaN(), math.Inf(1)} {
		_, err = MeltsInto(quantity.Volume(litres)*quantity.Litre, 0, IceAdded)
		assert.ErrorContains(t, err, "0 to 200 l")
	}
	for _, celsius := range []float64{57, 106, math.NaN()} {
		_, err = MeltsInto(quantity.Litre, quantity.Celsius(celsius), IceAdded)
		assert.ErrorContains(t, err, "135 °F")
	}
	_, err = MeltsInto(quantity.Litre, 0, "snow")
	assert.ErrorContains(t, err, "use one of")
}

func BenchmarkCompare(b *testing.B) {
	around := withOutdoors(quantity.Celsius(-4))
	for b.Loop() {
		if _, err := Compare(stockPot, around); err != nil {
			b.Fatal(err)
		}
	}
}
