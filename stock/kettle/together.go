package kettle

import (
	"cmp"
	"math"
	"slices"
	"sync"

	"brothrun/stock/fault"
	"brothrun/stock/quantity"
)

// MostPots is how many pots one run has at most; own choice.
const MostPots = 6

// ofPot is the part of the spread of stillness that is of a pot and not of who cooks in
// it: log standard deviations of 0.30 and 0.565, as stock/history splits it.
const ofPot = 0.30 * 0.30 / (0.30*0.30 + 0.565*0.565)

// shared is the part of the variance of each score that the pots of one run have in
// common. Their own are the reading of the line, a width nobody measured, what the cook
// measured of each, and how still a pot is beside the others of its kitchen; all else is
// the cook's, the bones' or the kitchen's, and moves them together. Whether runs differ by
// the day or by the pot nobody knows: together is wider.
func (in Input) shared() Scores {
	var all Scores
	for d := range all {
		all[d] = 1
	}
	all[OfStillness], all[OfFillLine], all[OfShape] = 1-ofPot, 0, 0
	switch {
	case in.Came.Measured(): // all of it by one reading
		all[OfStillness] = 1
	case in.Evaporation > 0:
		all[OfStillness] = 0
	}
	return all
}

// owned are the scores of which a pot has a part of its own.
var owned = [...]int{OfStillness, OfFillLine, OfShape}

// Own is how still a pot is beside the others of its kitchen, in each point of the sample,
// as standard normal scores; nil for the only pot.
func Own(nth int) []float64 {
	if nth < 1 || nth > MostPots {
		return nil
	}
	return ownScores()[nth-1][0]
}

// ownScores are the scores of what is a pot's own, by pot and then as in owned: those of
// the sample in another order, with what they happen to have in common with the sample and
// with one another taken out (Gram and Schmidt), so that 512 points do.
var ownScores = sync.OnceValue(func() (all [MostPots][len(owned)][]float64) {
	var basis [][]float64
	length := func(of []float64) float64 { return math.Sqrt(dot(of, of)) }
	apart := func(of []float64) []float64 {
		of = slices.Clone(of)
		before := length(of)
		for range 2 { // once more for what rounding leaves
			for _, other := range basis {
				along := dot(of, other)
				for i := range of {
					of[i] -= along * other[i]
				}
			}
		}
		scale := before / length(of)
		for i := range of {
			of[i] *= scale
		}
		unit := slices.Clone(of)
		for i := range unit {
			unit[i] /= before
		}
		basis = append(basis, unit)
		return of
	}
	basis = append(basis, slices.Repeat([]float64{1 / math.Sqrt(sampleSize)}, sampleSize))
	for d := range dimensions {
		apart(Normal(d, sampleSize))
	}
	for nth := range all {
		for d := range owned {
			scores := Normal(0, sampleSize)
			key := func(score float64) uint64 { return mixed(math.Float64bits(score) + uint64(nth*len(owned)+d)) }
			slices.SortFunc(scores, func(a, b float64) int { return cmp.Compare(key(a), key(b)) })
			all[nth][d] = apart(scores)
		}
	}
	return all
})

func dot(a, b []float64) (sum float64) {
	for i := range a {
		sum += a[i] * b[i]
	}
	return sum
}

// mixed scatters numbers: the finalizer of SplitMix64, G. L. Steele, D. Lea and C. H. Flood,
// "Fast splittable pseudorandom number generators", OOPSLA 2014.
func mixed(x uint64) uint64 {
	x += 0x9e3779b97f4a7c15
	x = (x ^ x>>30) * 0xbf58476d1ce4e5b9
	x = (x ^ x>>27) * 0x94d049bb133111eb
	return x ^ x>>31
}

// Together balances the pots of one run, 2 to MostPots, and sums them: outcome by outcome,
// so that what they have in common moves them together and what is a pot's own does not.
// The likely terms of the sum are the sums of the pots'; its bands are narrower than those
// of pots that share everything and wider than those of strangers. Of the sum HeatUp is
// the slowest pot's and what may go wrong that of any. Errors are those of Balance, each
// a *PotError.
func Together(pots []Input) (each []Estimate, sum Estimate, err error) {
	if len(pots) < 2 || len(pots) > MostPots {
		return nil, sum, fault.New("pot", "", "%d pots in one run: must be from 2 to %d", len(pots), MostPots)
	}
	n := sampleSize
	sum.Sample, sum.strained = make([]quantity.Volume, n), make([]quantity.Volume, n)
	sum.guess = make([]quantity.Volume, n)
	sum.Covered = true
	var spread Scores
	for k, in := range pots {
		in.Nth = k + 1
		e, err := Balance(in)
		if err != nil {
			return nil, sum, &PotError{k, err}
		}
		each = append(each, e)
		sum.add(e)
		for d, shared := range in.shared() {
			spread[d] += (1 - shared) * e.moved[d] * e.moved[d]
		}
	}
	all := pots[0]
	for d, shared := range all.shared() {
		spread[d] += shared * sum.moved[d] * sum.moved[d]
	}
	if slices.ContainsFunc(pots, func(in Input) bool { return in.Evaporation == 0 }) {
		all.Evaporation = 0
	}
	sum.Strained = quantity.BandOf(sum.strained, sum.Strained.Likely)
	sum.ReadyToFill = quantity.BandOf(sum.Sample, sum.ReadyToFill.Likely)
	if sum.Rests.Notes > 0 {
		before := quantity.BandOf(sum.guess, quantity.Below(sum.guess, 0.5))
		if width := logWidth(before); width > 0 {
			sum.Rests.Width = logWidth(sum.ReadyToFill) / width
		}
	}
	sum.Causes = all.causes(spread)
	return each, sum, nil
}

// PotError is what is wrong with one pot of several.
type PotError struct {
	Nth int // from 0
	Err error
}

func (e *PotError) Error() string { return e.Err.Error() }

func (e *PotError) Unwrap() error { return e.Err }

// add adds a pot to a sum, but for its bands.
func (e *Estimate) add(pot Estimate) {
	e.Water, e.GivenOff, e.Evaporated = e.Water+pot.Water, e.GivenOff+pot.GivenOff, e.Evaporated+pot.Evaporated
	e.ToppedUp, e.HeldBySolids = e.ToppedUp+pot.ToppedUp, e.HeldBySolids+pot.HeldBySolids
	e.Fat, e.Lost, e.Fits, e.Least = e.Fat+pot.Fat, e.Lost+pot.Lost, e.Fits+pot.Fits, e.Least+pot.Least
	e.Strained.Likely += pot.Strained.Likely
	e.ReadyToFill.Likely += pot.ReadyToFill.Likely
	e.Covered, e.NearOverflow = e.Covered && pot.Covered, e.NearOverflow || pot.NearOverflow
	e.BoilsDry, e.MayBoilDry = e.BoilsDry || pot.BoilsDry, e.MayBoilDry || pot.MayBoilDry
	e.MayUncover, e.BurnerLimited = e.MayUncover || pot.MayUncover, e.BurnerLimited || pot.BurnerLimited
	if pot.HeatUp.Likely > e.HeatUp.Likely {
		e.HeatUp = pot.HeatUp
	}
	if e.Rests.Notes == 0 || pot.Rests.Alike < e.Rests.Alike {
		e.Rests = pot.Rests
	}
	for i := range e.Sample {
		e.Sample[i] += pot.Sample[i]
		e.strained[i] += pot.strained[i]
		if pot.guess != nil {
			e.guess[i] += pot.guess[i]
		}
	}
	for d := range e.moved {
		e.moved[d] += pot.moved[d]
	}
}
