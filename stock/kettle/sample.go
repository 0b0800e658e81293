package kettle

import (
	"math"
	"sync"
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
	dimSurface
	dimGivenOff
	dimFillLine
	dimDensity
	dimLosses
	dimFat
	dimensions
)

// primes are the bases of the Halton sequence, one a dimension.
var primes = [dimensions]int{2, 3, 5, 7, 11, 13, 17, 19, 23}

// scores holds the sample as standard normal scores divided by that of the 90 %
// point, so that −1, 0 and +1 stand for a Spread's Low, Likely and High.
var scores = sync.OnceValue(func() [][dimensions]float64 {
	const score90 = 1.2815515655446004 // Φ⁻¹(0.9), standard normal
	// The first points of a Halton sequence run along a diagonal in the high
	// bases; starting past the largest base avoids that.
	const skip = 30
	points := make([][dimensions]float64, sampleSize)
	for i := range points {
		for d, base := range primes {
			u := radicalInverse(i+skip, base)
			points[i][d] = math.Sqrt2 * math.Erfinv(2*u-1) / score90
		}
	}
	return points
})

// radicalInverse mirrors the digits of n in a base about the point, which
// spreads successive n evenly over (0, 1): one coordinate of a Halton sequence.
// Source: J. H. Halton, Numerische Mathematik 2 (1960), pp. 84-90.
func radicalInverse(n, base int) float64 {
	inverse, digit := 0.0, 1/float64(base)
	for ; n > 0; n /= base {
		inverse += float64(n%base) * digit
		digit /= float64(base)
	}
	return inverse
}

// at reads the spread at a score: −1, 0 and +1 give Low, Likely and High, other
// scores follow a normal curve with its own width on either side. The result
// never goes below 0.
func (s Spread) at(score float64) float64 {
	if score < 0 {
		return max(0, s.Likely+score*(s.Likely-s.Low))
	}
	return s.Likely + score*(s.High-s.Likely)
}

// logSpread is the logarithm of a Spread, for factors that spread by multiples:
// at returns the logarithm of the factor, below 0 or not.
type logSpread Spread

// log returns the logarithm of s; its Low must be > 0.
func (s Spread) log() logSpread {
	return logSpread{math.Log(s.Low), math.Log(s.Likely), math.Log(s.High)}
}

func (s logSpread) at(score float64) float64 {
	if score < 0 {
		return s.Likely + score*(s.Likely-s.Low)
	}
	return s.Likely + score*(s.High-s.Likely)
}
