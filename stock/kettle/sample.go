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

// Scores is where each uncertain input of a pot stands, as standard normal scores over
// that of the 90 % point: −1, 0 and +1 are the Low, Likely and High of its Band.
type Scores [dimensions]float64

// The uncertain inputs, one dimension of the sample each, the most telling
// first because a Halton sequence is most even in its first dimensions.
const (
	OfStillness = iota
	OfLid
	OfHeld
	OfShape
	OfBelowBoil
	OfTopUp
	OfGivenOff
	OfFillLine
	OfDensity
	OfLosses
	OfFat
	dimensions
)

// Score90 is the standard normal score of the 90 % point, by which Scores are divided.
const Score90 = 1.2815515655446004

// Normal returns n standard normal scores, dimension d (from 0) of a Halton sequence: the
// same every time, and even together with those of other dimensions. The radical inverse
// of a number mirrors its digits in a base about the point, which spreads successive ones
// evenly over (0, 1). J. H. Halton, Numerische Mathematik 2 (1960), pp. 84-90.
func Normal(d, n int) []float64 {
	base := prime(d)
	// The first points run along a diagonal in the high bases; starting past the
	// largest base avoids that.
	skip := max(30, base)
	inverse := make([]float64, skip+n)
	for i := 1; i < len(inverse); i++ {
		// The last digit comes first, the inverse of the rest behind it.
		inverse[i] = (float64(i%base) + inverse[i/base]) / float64(base)
	}
	points, mean := make([]float64, n), 0.0
	for i, u := range inverse[skip:] {
		points[i] = math.Sqrt2 * math.Erfinv(2*u-1)
		mean += points[i] / float64(n)
	}
	// A run that does not end on a power of its base leans to one side, the more the
	// larger the base: matched to the mean of the curve, it does not.
	for i := range points {
		points[i] -= mean
	}
	return points
}

// prime is the prime number after d others.
func prime(d int) int {
	for n := 2; ; n++ {
		divisor := 2
		for divisor*divisor <= n && n%divisor != 0 {
			divisor++
		}
		if divisor*divisor > n {
			if d == 0 {
				return n
			}
			d--
		}
	}
}

// scores holds the points of the sample for a kitchen nobody has measured.
var scores = sync.OnceValue(func() []Scores {
	points := make([]Scores, sampleSize)
	for d := range dimensions {
		for i, score := range Normal(d, sampleSize) {
			points[i][d] = score / Score90
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

// factors is the spread of a factor by its logarithm: the middle and how far it is to
// the ends, each of which follows a normal curve.
type factors struct{ down, middle, up float64 }

// factorsOf is the spread of a factor above 0.
func factorsOf(s quantity.Band[float64]) factors {
	middle := math.Log(s.Likely)
	return factors{middle - math.Log(s.Low), middle, math.Log(s.High) - middle}
}

// log is the logarithm of the factor at a score.
func (f factors) log(score float64) float64 {
	if score < 0 {
		return f.middle + score*f.down
	}
	return f.middle + score*f.up
}

// at is the factor at a score.
func (f factors) at(score float64) float64 { return math.Exp(f.log(score)) }

var (
	stillnessFactors = factorsOf(stillness.Band)
	surfaceFactors   = factorsOf(assumedSurface.Band)
	lossFactors      = factorsOf(losses.Band)
	// lidFactors is what a lid leaves of the open pot's evaporation.
	lidFactors = map[Lid]factors{LidOff: factorsOf(lidOff.Band), LidAjar: factorsOf(lidAjar.Band),
		LidOn: factorsOf(lidOn.Band)}
)

// evaporating is what decides how much less than open still water a pot loses.
type evaporating struct {
	lid          Lid
	widthAssumed bool
}

func (in Input) evaporating() evaporating { return evaporating{in.Lid, in.WidthAssumed} }

// quiet is the share of open still water's evaporation left by stillness, lid
// and pot shape at a point of the sample. Factors multiply, so their logarithms
// add.
func (e evaporating) quiet(score *Scores) float64 { return math.Exp(e.logQuiet(score)) }

func (e evaporating) logQuiet(score *Scores) float64 {
	return logQuiet(lidFactors[e.lid], e.widthAssumed, score)
}

func logQuiet(lid factors, widthAssumed bool, score *Scores) float64 {
	sum := stillnessFactors.log(score[OfStillness]) + min(0, lid.log(score[OfLid]))
	if widthAssumed {
		sum += surfaceFactors.log(score[OfShape])
	}
	return sum
}

// quietness holds quiet for every point of the sample, for each lid with the pot
// measured or not, worked out once: the points and the constants never change.
var quietness = func() map[evaporating]func() []float64 {
	all := map[evaporating]func() []float64{}
	for lid := range lidFactors {
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

// one is a draw for a point that is not of the sample.
func (p *pot) one(score *Scores) terms {
	return p.draw(score, math.Exp(logQuiet(p.lid, p.in.WidthAssumed, score)))
}

// sampled is what every point of a sample comes to. Left and level are what would be
// strained, and how much of the pot would be full, without what nobody said was poured in.
type sampled struct{ strained, ready, left, level []quantity.Volume }

// sample draws points; those of the first guess have their quiet factors at hand.
func (p *pot) sample(points []Scores, quiet []float64) sampled {
	n := len(points)
	volumes := make([]quantity.Volume, 4*n)
	s := sampled{volumes[:n], volumes[n : 2*n], volumes[2*n : 3*n], volumes[3*n:]}
	solids := p.in.levelAtStart(0)
	for i := range points {
		var t terms
		if quiet != nil {
			t = p.draw(&points[i], quiet[i])
		} else {
			t = p.one(&points[i])
		}
		s.strained[i], s.ready[i], s.left[i] = t.strained, t.ready, t.strained-t.unsaid
		// What the bones give off leaves their own room to it: the level stays.
		s.level[i] = solids + t.water - t.evaporated + t.toppedUp - t.unsaid
	}
	return s
}

// firstGuess is the sample of a kitchen nobody has measured.
func (p *pot) firstGuess() sampled { return p.sample(scores(), quietness[p.in.evaporating()]()) }

// points are those that notes have taught, but where the cook measured the thing itself.
func (in Input) points() []Scores {
	points := in.Lessons.Points(in)
	for i := range points {
		first := &scores()[i%sampleSize]
		if in.Evaporation > 0 || in.Came.Measured() { // the score of the reading
			points[i][OfStillness] = first[OfStillness]
		}
		if in.Held > 0 {
			points[i][OfHeld] = first[OfHeld]
		}
	}
	return points
}

// spans is the middle of a sample's points and how far it is to their 90 % points.
type spans struct{ middle, width Scores }

var firstSpans = sync.OnceValue(func() spans { return spansOf(scores()) })

func spansOf(points []Scores) spans {
	var s spans
	var square Scores
	weight := 1 / float64(len(points))
	for i := range points {
		for d, x := range &points[i] {
			s.middle[d] += x * weight
			square[d] += x * x * weight
		}
	}
	for d, mean := range s.middle {
		s.width[d] = Score90 * math.Sqrt(max(0, square[d]-mean*mean))
	}
	s.middle[OfTopUp] = 0
	return s
}

// moves is how much more is ready to fill with each input alone at its high end than
// with it at its low one.
func (p *pot) moves(s spans) (moved Scores) {
	for d := range moved {
		low, high := s.middle, s.middle
		low[d] -= s.width[d]
		high[d] += s.width[d]
		moved[d] = float64(p.one(&high).ready - p.one(&low).ready)
	}
	return moved
}

// likely is the balance that leaves as much as the middle of the sample, strained and
// ready, so that its terms close: what is least known, and no figure the cook measured or
// is to measure out, stands as far from its own middle as it moves the result.
func (p *pot) likely(s spans, moved Scores, strained, ready quantity.Volume) terms {
	t := p.strainedLikely(s, moved, strained)
	if !p.in.Came.Measured() {
		t.lost = max(0, t.strained-t.fat-ready)
		t.ready = t.strained - t.fat - t.lost
	}
	return t
}

func (p *pot) strainedLikely(s spans, moved Scores, median quantity.Volume) terms {
	for d := range moved {
		free := d == OfStillness && p.in.Evaporation == 0 || d == OfHeld && p.in.Held == 0 || d == OfLid
		if !free {
			moved[d] = 0
		}
	}
	length := 0.0
	for d, m := range moved {
		length = math.Hypot(length, m)
		moved[d] = m * s.width[d]
	}
	// What was measured is the middle; a dry pot is dry at both.
	if middle := p.one(&s.middle); length == 0 || p.in.Came.Measured() || middle.strained == median {
		return middle
	}
	along := func(t float64) *Scores {
		point := s.middle
		for d := range point {
			point[d] += t * moved[d] / length
		}
		return &point
	}
	low, high := -3.0, 3.0
	for range 45 {
		if t := (low + high) / 2; p.one(along(t)).strained <= median {
			low = t
		} else {
			high = t
		}
	}
	return p.one(along(low))
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
	OfStillness: "stillness", OfLid: "lid", OfHeld: "held", OfShape: "pot-width", OfBelowBoil: "below-boil",
	OfTopUp: "topped-up", OfGivenOff: "given-off", OfFillLine: "fill-line", OfDensity: "displaced", OfLosses: "lost",
	OfFat: "fat",
}

// causes splits the spread among its causes: the square of how far each input
// alone moves the result from its Low to its High. What inputs do together is
// left out.
func (p *pot) causes(moved Scores) []Cause {
	var all [dimensions]Cause
	total := 0.0
	for dim, code := range causeOf {
		all[dim] = Cause{Code: code, Measured: dim == OfStillness && p.in.Evaporation > 0}
		if dim == OfStillness && p.in.Came.Measured() {
			all[dim] = Cause{Code: "reading", Measured: true}
		}
		all[dim].Share = moved[dim] * moved[dim]
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
