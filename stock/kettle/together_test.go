package kettle

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/stock/fault"
	"brothrun/stock/quantity"
)

// threePots are 40 lb of frames in three pots.
func threePots(t testing.TB, change func(*Input)) []Input {
	sized := func(name string, quarts quantity.Volume, width quantity.Length, pounds quantity.Mass) Input {
		return frames(t, func(in *Input) {
			in.PotName, in.Pot, in.PotWidth, in.Vegetables = name, quarts*quantity.Quart, width*quantity.Inch, 0
			in.Bones[0].Mass = pounds * quantity.Pound
			in.WidthAssumed = true
			change(in)
		})
	}
	return []Input{sized("a", 22, 12, 14), sized("b", 22, 13, 14), sized("c", 18, 14, 12)}
}

var togetherCases = []struct {
	why    string
	change func(*Input)
}{
	{"45 min", func(in *Input) { in.Simmer = 45 * time.Minute }},
	{"4 h ajar", func(*Input) {}},
	{"8 h open", func(in *Input) { in.Simmer, in.Lid = 8*time.Hour, LidOff }},
	{"given water, pots measured", func(in *Input) {
		in.Fit, in.Water, in.WidthAssumed = false, 10*quantity.Quart, false
	}},
	{"boil-off measured", func(in *Input) { in.Evaporation = 0.6 * quantity.QuartPerHour }},
	{"perhaps topped up", func(in *Input) { in.MayTopUp = ToppedUpUnsaid }},
}

// The band of the sum lies between that of pots that share every cause and that of
// strangers, and is what plain draws give by the same split of the causes: a second route,
// through another generator and no shuffles.
func TestTheBandOfSeveralPotsIsHonest(t *testing.T) {
	for _, row := range togetherCases {
		pots := threePots(t, row.change)
		each, sum, err := Together(pots)
		require.NoError(t, err)
		width := func(b quantity.Band[quantity.Volume]) float64 { return (b.High - b.Low).Litres() }
		dependent, strangers := 0.0, 0.0
		for _, e := range each {
			dependent += width(e.ReadyToFill)
			strangers = math.Hypot(strangers, width(e.ReadyToFill))
		}
		assert.LessOrEqual(t, width(sum.ReadyToFill), dependent*1.001, row.why)
		assert.GreaterOrEqual(t, width(sum.ReadyToFill), strangers*0.999, row.why)

		ready, strained := plainDraws(t, pots, 100000)
		for i, share := range []float64{0.1, 0.5, 0.9} {
			want := quantity.Below(ready, share).Litres()
			got := []quantity.Volume{sum.ReadyToFill.Low, sum.ReadyToFill.Likely, sum.ReadyToFill.High}[i].Litres()
			assert.InEpsilon(t, want, got, 0.015, "%s: ready at %.1f", row.why, share)
			want = quantity.Below(strained, share).Litres()
			got = []quantity.Volume{sum.Strained.Low, sum.Strained.Likely, sum.Strained.High}[i].Litres()
			assert.InEpsilon(t, want, got, 0.015, "%s: strained at %.1f", row.why, share)
		}
		plain := (quantity.Below(ready, 0.9) - quantity.Below(ready, 0.1)).Litres()
		assert.InEpsilon(t, plain, width(sum.ReadyToFill), 0.06, row.why)
	}
}

// plainDraws draws pots together from normal scores.
func plainDraws(t testing.TB, pots []Input, n int) (ready, strained []quantity.Volume) {
	draws := rand.New(rand.NewPCG(20261128, 1))
	var models []pot
	for _, in := range pots {
		p, err := in.prepare()
		require.NoError(t, err)
		models = append(models, p)
	}
	for range n {
		var common, all Scores
		for d := range common {
			common[d] = draws.NormFloat64() / Score90
		}
		var sum terms
		for i := range models {
			for d, shared := range pots[i].shared() {
				all[d] = math.Sqrt(shared)*common[d] + math.Sqrt(1-shared)*draws.NormFloat64()/Score90
			}
			one := models[i].one(&all)
			sum.ready += one.ready
			sum.strained += one.strained
		}
		ready, strained = append(ready, sum.ready), append(strained, sum.strained)
	}
	return ready, strained
}

func TestAPotAmongOthersIsThePotItIs(t *testing.T) {
	for _, row := range togetherCases {
		pots := threePots(t, row.change)
		each, sum, err := Together(pots)
		require.NoError(t, err)
		var whole Estimate
		for k, e := range each {
			alone := balance(t, pots[k])
			ready, _ := plainDraws(t, pots[k:k+1], 50000)
			for i, share := range []float64{0.1, 0.5, 0.9} {
				got := []quantity.Volume{e.ReadyToFill.Low, e.ReadyToFill.Likely, e.ReadyToFill.High}[i]
				assert.InDelta(t, quantity.Below(ready, share).Litres(), got.Litres(), 0.03*alone.ReadyToFill.Likely.Litres(),
					"%s, pot %d at %.1f", row.why, k, share)
			}
			assert.Equal(t, alone.HeatUp, e.HeatUp)
			closes := e.Water + e.GivenOff - e.Evaporated + e.ToppedUp - e.HeldBySolids
			assert.InDelta(t, closes.Litres(), e.Strained.Likely.Litres(), 1e-9)
			whole.Water, whole.Strained.Likely = whole.Water+e.Water, whole.Strained.Likely+e.Strained.Likely
		}
		assert.InDelta(t, whole.Water.Litres(), sum.Water.Litres(), 1e-9)
		assert.InDelta(t, whole.Strained.Likely.Litres(), sum.Strained.Likely.Litres(), 1e-9)
		assert.InDelta(t, (sum.Strained.Likely - sum.Fat - sum.Lost).Litres(), sum.ReadyToFill.Likely.Litres(), 1e-9)
		shares := 0.0
		for _, cause := range sum.Causes {
			shares += cause.Share
		}
		assert.InDelta(t, 1, shares, 1e-9)
		assert.Len(t, sum.Sample, sampleSize)
	}
}

// Pots measured together, by one reading, are off together: within 3 % eight times in ten.
func TestMeasuredPotsSpreadAsOneReading(t *testing.T) {
	pots := threePots(t, func(in *Input) { in.Came.Strained = 9 * quantity.Litre })
	_, sum, err := Together(pots)
	require.NoError(t, err)
	assert.InDelta(t, 27, sum.Strained.Likely.Litres(), 1e-6)
	assert.InDelta(t, 27*1.03, sum.Strained.High.Litres(), 0.03)
	assert.InDelta(t, 27*0.97, sum.Strained.Low.Litres(), 0.03)
}

func TestTogetherTellsWhichPotIsWrong(t *testing.T) {
	pots := threePots(t, func(*Input) {})
	pots[1].Bones[0].Mass = 60 * quantity.Pound
	_, _, err := Together(pots)
	var wrong *PotError
	require.ErrorAs(t, err, &wrong)
	assert.Equal(t, 1, wrong.Nth)
	_, misfit := fault.AsMisfit(err)
	assert.True(t, misfit)
	for _, few := range [][]Input{nil, pots[:1], make([]Input, MostPots+1)} {
		_, _, err := Together(few)
		assert.ErrorContains(t, err, "must be from 2 to 6", fmt.Sprint(len(few)))
	}
}

// What is a pot's own is standard normal, and has nothing to do with the rest.
func TestWhatIsAPotsOwnStandsApart(t *testing.T) {
	assert.Nil(t, Own(0))
	assert.Nil(t, Own(MostPots+1))
	var all [][]float64
	for d := range dimensions {
		all = append(all, Normal(d, sampleSize))
	}
	for nth := range MostPots {
		for k := range owned {
			own := ownScores()[nth][k]
			assert.InDelta(t, 1, dot(own, own)/sampleSize, 0.02)
			for _, other := range all {
				assert.InDelta(t, 0, dot(own, other)/sampleSize, 1e-9)
			}
			all = append(all, own)
			ninth := quantity.Below(slices.Clone(own), 0.9)
			assert.InDelta(t, Score90, ninth, 0.12)
		}
	}
}
