package kettle

import (
	"cmp"
	"math"
	"slices"
	"sync"

	"brothrun/stock/quantity"
)

// sampleSize is the number of points of the fixed low-discrepancy sample the
// spread is worked out on: the same points every time, so results repeat
// exactly and change smoothly with the input.
const sampleSize = 512

// The uncertain inputs, one dimension of the sample each, the most telling
// first because a Halton sequence is most even in its first dimensions.
const (
	dimStillness = iota
	dimLid
	dimHeld
	dimPotShape
	dimBelowBoil
	dimGivenOff
	dimFillLine
	dimDensity
	dimLosses
	dimFat
	dimensions
)

// primes are the bases of the Halton sequence, one a dimension.
var primes = [dimensions]int{2, 3, 5, 7, 11, 13, 17, 19, 23, 29}

// scores holds the sample as standard normal scores divided by that of the 90 %
// point, so that −1, 0 and +1 stand for a Band's Low, Likely and High.
var scores = sync.OnceValue(func() [][dimensions]float64 {
	const score90 = 1.2815515655446004 // Φ⁻¹(0.9), standard normal
	// The first points of a Halton sequence run along a diagonal in the high
	// bases; starting past the largest base avoids that.
	const skip = 30
	points := make([][dimensions]float64, sampleSize)
	for d, base := range primes {
		// The radical inverse of n mirrors its digits in a base about the point,
		// which spreads successive n evenly over (0, 1): the last digit of n comes
		// first, the inverse of the rest behind it. J. H. Halton, Numerische
		// Mathematik 2 (1960), pp. 84-90.
		inverse := make([]float64, skip+sampleSize)
		for n := 1; n < len(inverse); n++ {
			inverse[n] = (float64(n%base) + inverse[n/base]) / float64(base)
		}
		mean := 0.0
		for i, u := range inverse[skip:] {
			points[i][d] = math.Sqrt2 * math.Erfinv(2*u-1) / score90
			mean += points[i][d] / sampleSize
		}
		// A run that does not end on a power of its base leans to one side, the
		// more the larger the base: matched to the mean of the curve, it does not.
		for i := range points {
			points[i][d] -= mean
		}
	}
	return points
})

// at reads the spread at a score: −1, 0 and +1 give Low, Likely and High, other
// scores follow a normal curve with its own width on either side. The result
// never goes below 0.
func at(s quantity.Band[float64], score float64) float64 {
	if score < 0 {
		return max(0, s.Likely+score*(s.Likely-s.Low))
	}
	return s.Likely + score*(s.High-s.Likely)
}

// logAt is at for factors that spread by multiples: the logarithm of the factor,
// whose ends follow a normal curve. Low must be > 0.
func logAt(s quantity.Band[float64], score float64) float64 {
	likely := math.Log(s.Likely)
	if score < 0 {
		return likely + score*(likely-math.Log(s.Low))
	}
	return likely + score*(math.Log(s.High)-likely)
}

// evaporating is what decides how much less than open still water a pot loses.
type evaporating struct {
	lid          Lid
	widthAssumed bool
}

func (in Input) evaporating() evaporating { return evaporating{in.Lid, in.WidthAssumed} }

// quiet is the share of open still water's evaporation left by stillness, lid
// and pot shape at a point of the sample. Factors multiply, so their logarithms
// add.
func (e evaporating) quiet(score *[dimensions]float64) float64 {
	sum := logAt(stillness.Band, score[dimStillness]) + min(0, logAt(lidFactor[e.lid].Band, score[dimLid]))
	if e.widthAssumed {
		sum += logAt(assumedSurface.Band, score[dimPotShape])
	}
	return math.Exp(sum)
}

// quietness holds quiet for every point of the sample, for each lid with the pot
// measured or not, worked out once: the points and the constants never change.
var quietness = func() map[evaporating]func() []float64 {
	all := map[evaporating]func() []float64{}
	for lid := range lidFactor {
		for _, assumed := range []bool{false, true} {
			e := evaporating{lid, assumed}
			all[e] = sync.OnceValue(func() []float64 {
				factors := make([]float64, sampleSize)
				for i := range factors {
					factors[i] = e.quiet(&scores()[i])
				}
				return factors
			})
		}
	}
	return all
}()

// likely is the draw with every input at its middle.
func (p *pot) likely() terms { return p.one(&[dimensions]float64{}) }

// one is a draw for a point that is not of the sample.
func (p *pot) one(score *[dimensions]float64) terms {
	return p.draw(score, p.in.evaporating().quiet(score))
}

// Cause is one uncertain input and its share of the spread of what is ready to
// fill.
type Cause struct {
	Code     string  // "lid"
	Measured bool    // the cook measured it
	Share    float64 // 0 to 1; the shares of all causes add up to 1
}

// causeOf is the code of each dimension of the sample.
var causeOf = [dimensions]string{
	dimStillness: "stillness", dimLid: "lid", dimHeld: "held", dimPotShape: "pot-width", dimBelowBoil: "below-boil",
	dimGivenOff: "given-off", dimFillLine: "fill-line", dimDensity: "displaced", dimLosses: "lost", dimFat: "fat",
}

// causes splits the spread among its causes: the square of how far each input
// alone moves the result from its Low to its High. What inputs do together is
// left out.
func (p *pot) causes() []Cause {
	var all [dimensions]Cause
	for dim, code := range causeOf {
		all[dim] = Cause{Code: code, Measured: dim == dimStillness && p.in.Evaporation > 0}
		if dim == dimStillness && p.in.Came.Measured() {
			all[dim] = Cause{Code: "reading", Measured: true}
		}
	}
	total := 0.0
	for dim := range all {
		var low, high [dimensions]float64
		low[dim], high[dim] = -1, 1
		moved := float64(p.one(&high).ready - p.one(&low).ready)
		all[dim].Share = moved * moved
		total += all[dim].Share
	}
	if total == 0 {
		return nil
	}
	for dim := range all {
		all[dim].Share /= total
	}
	slices.SortStableFunc(all[:], func(a, b Cause) int { return cmp.Compare(b.Share, a.Share) })
	return all[:]
}
