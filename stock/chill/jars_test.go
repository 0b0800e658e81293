package chill

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/stock/quantity"
)

// ladled is a volume in jars of a fill, all of one shape, in a fridge of a power.
func ladled(t *testing.T, litres, fill float64, power quantity.Power) Result {
	t.Helper()
	around := DefaultSurroundings()
	around.FridgePower = power
	pot := Pot{
		Volume: quantity.Volume(litres) * quantity.Litre, Width: 30 * quantity.Centimetre,
		Jar: Jar{quantity.Volume(fill) * quantity.Litre, quantity.Length(9*math.Cbrt(fill/0.91)) * quantity.Centimetre},
	}
	r, err := Cool(pot, around, JarsInFridge)
	require.NoError(t, err)
	return r
}

const walkIn = 20 * quantity.Kilowatt // does not feel a few jars

// One quart jar by hand, on the likely side: 0.91 l in a cylinder 9 cm wide stands
// 14.3 cm high; one coefficient for the first stage, taken at its middle.
func TestQuartJarByHand(t *testing.T) {
	const source = "lumped capacitance (any heat transfer text) with the short form of laminar free convection, 1.52·(ΔT/L)^¼, glass 0.7 of a black body, 2 W/(m²·K) of draught, 10 % of the heat in the glass"
	const height, width = 0.91e-3 / (math.Pi / 4 * 0.09 * 0.09), 0.09
	middle := 3 + 36.1/math.Log((57.22-3)/(21.11-3)) // logarithmic mean over the fridge
	h := 1.52*math.Pow((middle-3)/height, 0.25) + 0.7*4*5.670e-8*math.Pow(273.15+(middle+3)/2, 3) + 2
	faces := math.Pi*width*height + 1.5*math.Pi/4*width*width
	seconds := 0.91e-3 * 1018 * 4.0e3 * 1.1 / (h * faces) * math.Log((57.22-3)/(21.11-3))
	r := ladled(t, 0.91, 0.91, walkIn)
	assert.InEpsilon(t, seconds, r.To70F.After.Seconds(), 0.03, source)
	assert.Equal(t, 1, r.Jars)
}

func TestJarsAreMonotone(t *testing.T) {
	slower := func(what string, a, b Result) {
		t.Helper()
		for _, pair := range [][2]Reach{{a.To70F, b.To70F}, {a.To41F, b.To41F}, {a.SlowTo70F, b.SlowTo70F}, {a.SlowTo41F, b.SlowTo41F}, {a.FastTo41F, b.FastTo41F}} {
			require.False(t, pair[0].Never || pair[1].Never)
			assert.Less(t, pair[0].After, pair[1].After, what)
		}
	}
	for _, power := range []quantity.Power{0, walkIn} {
		for fill := 0.1; fill < 3; fill *= 1.5 {
			slower("a bigger jar", ladled(t, 8, fill, power), ladled(t, 8, 1.5*fill, power))
		}
	}
	for _, fill := range []float64{0.43, 0.91} {
		for watts := quantity.Power(40); watts < 2000; watts *= 1.6 {
			slower("a weaker fridge", ladled(t, 8, fill, 1.6*watts), ladled(t, 8, fill, watts))
		}
		for jars := 1.0; jars < 40; jars += 3 {
			one, more := ladled(t, jars*fill, fill, 0), ladled(t, (jars+3)*fill, fill, 0)
			slower("more jars share the machine", one, more)
			assert.Equal(t, int(jars), one.Jars)
			assert.Less(t, one.Other.Peak, more.Other.Peak, "and the other food feels it")
			assert.LessOrEqual(t, one.Other.SlowAbove41F, more.Other.SlowAbove41F)
		}
	}
}

func TestJarsAgainstThePot(t *testing.T) {
	const source = "Food Code 3-501.15 (read in a state's adoption): separating the food into smaller portions"
	for _, litres := range []float64{4, 8, 12} { // less stands shallower in the pot than in a jar
		around := DefaultSurroundings()
		around.FridgePower = walkIn
		pot, err := Cool(Pot{Volume: quantity.Volume(litres) * quantity.Litre, Width: 25 * quantity.Centimetre}, around, Fridge)
		require.NoError(t, err)
		assert.Less(t, ladled(t, litres, 0.91, walkIn).To41F.After, pot.To41F.After, source)
	}
	home := ladled(t, 7.6, 0.91, 0)
	assert.Equal(t, Fail, home.Verdict, "nine quarts at once are too much for a home fridge")
	assert.Equal(t, Fridge, home.Other.In)
	assert.Equal(t, quantity.Band[time.Duration]{Low: 9 * time.Minute / 2, Likely: 9 * time.Minute, High: 18 * time.Minute}, home.Attended, "a minute a jar: common practice, no source")

	// Kept even on the slow side, and still no pass: no measurement stands behind it.
	quick := ladled(t, 0.3, 0.06, walkIn)
	require.True(t, quick.SlowTo70F.Within(WithinTo70F) && quick.SlowTo41F.Within(WithinTo41F))
	assert.Equal(t, Narrow, quick.Verdict)

	around := DefaultSurroundings()
	around.FridgePower = walkIn
	after, err := Cool(Pot{Volume: 0.3 * quantity.Litre, Width: 20 * quantity.Centimetre, Jar: Jar{0.06 * quantity.Litre, 4 * quantity.Centimetre}}, around, ColdWaterThenJarsInFridge)
	require.NoError(t, err)
	assert.Equal(t, Narrow, after.Verdict, "nor after cold water")
	assert.Equal(t, firstStage, after.SwitchAt)
	water, err := Cool(Pot{Volume: 0.3 * quantity.Litre, Width: 20 * quantity.Centimetre}, around, ColdWaterThenFridge)
	require.NoError(t, err)
	assert.Equal(t, 5, after.Jars)
	assert.Equal(t, water.Attended.Likely+5*time.Minute, after.Attended.Likely, "the water, then five jars")
}

func TestMeltsInto(t *testing.T) {
	const source = "own heat balance: 4.0 kJ/(kg·K) of broth, 334 kJ/kg and 4.2 kJ/(kg·K) of ice, from memory of handbooks"
	tests := []struct {
		method   Method
		from, to float64 // °C
	}{{IceAdded, 95, 5}, {IceAdded, 57.3, 5}, {IceAddedThenFridge, 95, 38 / 1.8}}
	for _, tt := range tests {
		ice, err := MeltsInto(10*quantity.Litre, quantity.Celsius(tt.from), tt.method)
		require.NoError(t, err)
		broth := 10 * 1.018
		assert.InEpsilon(t, broth*4.0*(tt.from-tt.to), ice.Kilograms()*(334+4.2*tt.to), 1e-9, source)
		// Second route: counted from the finished broth, which weighs both.
		finished := Pot{Volume: quantity.Mass(broth + ice.Kilograms()).At(brothDensity), Width: 30 * quantity.Centimetre, From: quantity.Celsius(tt.from)}
		r, err := Cool(finished, DefaultSurroundings(), tt.method)
		require.NoError(t, err)
		assert.InEpsilon(t, ice.Kilograms(), r.MeltedIn.Kilograms(), 1e-9, source)
	}
	for _, m := range Methods() {
		ice, err := MeltsInto(quantity.Litre, 0, m)
		require.NoError(t, err)
		assert.Equal(t, m == IceAdded || m == IceAddedThenFridge, ice > 0, m)
	}
}
