package history

import (
	"math"
	"slices"
	"sync"

	"brothrun/stock/kettle"
)

// sample is the posterior: points and their weights, which add up to 1.
type sample struct {
	points    [][]float64
	weights   []float64
	effective float64
	mean      []float64
	doubt     []float64 // of each thing measured, that it is no measurement
}

// normals are the standard normal scores of the fixed points, a dimension each.
var normals = func() func(dimension int) []float64 {
	const most = 200
	var all [most]func() []float64
	for d := range all {
		all[d] = sync.OnceValue(func() []float64 { return kettle.Normal(d, draws) })
	}
	return func(dimension int) []float64 { return all[dimension%most]() }
}()

// sample draws the posterior through the mode, and where too few points count, once
// more through those that did.
func (f *fit) sample() sample {
	const wider, enough, passes = 1.15, 100, 3
	s := f.through(f.mode, func(z []float64) []float64 {
		x := f.root.back(z)
		for d := range x {
			x[d] *= wider
		}
		return x
	})
	for pass := 0; pass < passes && s.effective < enough; pass++ {
		mean, root := s.flattened(f.size)
		if next := f.through(mean, root.times); next.effective > s.effective {
			s = next
		}
	}
	return s
}

// through draws points about a centre.
func (f *fit) through(centre []float64, spread func(z []float64) []float64) sample {
	s := sample{
		points: make([][]float64, draws), weights: make([]float64, draws),
		mean: make([]float64, f.size), doubt: make([]float64, len(f.all)),
	}
	var doubts []float64 // of each thing measured at each point
	if len(f.notes) <= exact {
		doubts = make([]float64, draws*len(f.all))
	}
	tell := f.tells()
	scores := make([][]float64, f.size)
	for d := range scores {
		scores[d] = normals(d)
	}
	z := make([]float64, f.size)
	most := math.Inf(-1)
	for i := range draws {
		log := 0.0
		for d := range z {
			z[d] = scores[d][i]
			log += z[d] * z[d] / 2
		}
		x := spread(z)
		for d := range x {
			x[d] += centre[d]
			log -= x[d] * x[d] / 2
		}
		var doubt []float64
		if doubts != nil {
			doubt = doubts[i*len(f.all) : (i+1)*len(f.all)]
		}
		s.points[i], s.weights[i] = x, log+tell(x, doubt)
		most = max(most, s.weights[i])
	}
	total := 0.0
	for i, log := range s.weights {
		s.weights[i] = math.Exp(log - most)
		total += s.weights[i]
	}
	squares := 0.0
	for i := range s.weights {
		s.weights[i] /= total
		squares += s.weights[i] * s.weights[i]
		for d, x := range s.points[i] {
			s.mean[d] += s.weights[i] * x
		}
		if doubts != nil {
			for k := range s.doubt {
				s.doubt[k] += s.weights[i] * doubts[i*len(f.all)+k]
			}
		}
	}
	if doubts == nil {
		for k, m := range f.all {
			s.doubt[k] = 1 - m.narrow
		}
	}
	s.effective = 1 / squares
	return s
}

// tells is the logarithm of the likelihood of all notes: each by itself, or, of many,
// by how they run about the mode.
func (f *fit) tells() func(x, doubt []float64) float64 {
	if len(f.notes) <= exact {
		return f.logLikelihood()
	}
	type bowl struct {
		note  *note
		base  effect // at the mode
		slope effect
		curve [effects]effect
	}
	bowls := map[places]*bowl{}
	var order []*bowl
	for i := range f.all {
		m := &f.all[i]
		n := &f.notes[m.note]
		b := bowls[n.at]
		if b == nil {
			b = &bowl{note: n, base: effectsAt(n, f.mode)}
			bowls[n.at] = b
			order = append(order, b)
		}
		weight := m.narrow / (f.kappa2 * m.variance)
		for e, by := range m.by {
			b.slope[e] += weight * m.residual * by
			for g, other := range m.by {
				b.curve[e][g] += weight * by * other
			}
		}
	}
	return func(x, _ []float64) float64 {
		sum := 0.0
		for _, b := range order {
			moved := effectsAt(b.note, x)
			for e := range moved {
				moved[e] -= b.base[e]
			}
			for e, by := range moved {
				sum += by * b.slope[e]
				for g, other := range moved {
					sum -= by * other * b.curve[e][g] / 2
				}
			}
		}
		return sum
	}
}

// effectsAt is where the effects on a note stand at x.
func effectsAt(n *note, x []float64) (all effect) {
	s := scores(x, n.at, kettle.Scores{}, 0, 0)
	for e, dimension := range effectOf {
		all[e] = s[dimension]
	}
	all[quiet] = n.model.LogQuiet(&s)
	return all
}

// flattened is the mean and the root of the covariance of the points by the square root
// of their weights: wider than they are.
func (s *sample) flattened(size int) ([]float64, *cholesky) {
	mean, total := make([]float64, size), 0.0
	for i, w := range s.weights {
		w = math.Sqrt(w)
		total += w
		for d, x := range s.points[i] {
			mean[d] += w * x
		}
	}
	for d := range mean {
		mean[d] /= total
	}
	spread := newSymmetric(size)
	for i, w := range s.weights {
		w = math.Sqrt(w) / total
		for d, x := range s.points[i] {
			for e, y := range s.points[i] {
				spread.add(d, e, w*(x-mean[d])*(y-mean[e]))
			}
		}
	}
	return mean, factor(spread)
}

// resampled is as many equally likely points, each as often as its weight has it.
func (s *sample) resampled() [][]float64 {
	all := make([][]float64, 0, draws)
	sum := 0.0
	for i, w := range s.weights {
		sum += w
		for len(all) < draws && (float64(len(all))+0.5)/draws <= sum {
			all = append(all, s.points[i])
		}
	}
	for len(all) < draws {
		all = append(all, s.points[slices.Index(s.weights, slices.Max(s.weights))])
	}
	return all
}
