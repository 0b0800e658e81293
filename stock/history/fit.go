package history

import (
	"math"

	"brothrun/stock/kettle"
)

// How well a cook measures, as log standard deviations, and how often a note is none of
// a measurement at all; own choice, no source.
const (
	volumeWithin  = 0.04
	drainedWithin = 0.03
	wideWithin    = 0.6
	wideChance    = 0.05
	// widest is how far off, as a logarithm, a note can be at all: by a factor of 20, more
	// than a slip of a unit. One further off says no more than that; else it would draw
	// everything towards itself.
	widest = 3.0
)

// draws is the number of points, always the same.
const draws = 512

// exact is up to how many notes each is worked out at every point; of more, each
// teaches so little that its figures run straight between the points.
const exact = 64

// The effects by which the parameters work on what is measured.
const (
	quiet = iota // the logarithm of what is left of the boil-off
	held
	belowBoil
	givenOff
	losses
	effects
)

type effect [effects]float64

// effectOf is the kettle's score that has the effect.
var effectOf = [effects]int{
	quiet: kettle.OfStillness, held: kettle.OfHeld, belowBoil: kettle.OfBelowBoil,
	givenOff: kettle.OfGivenOff, losses: kettle.OfLosses,
}

// measured is one thing measured, near some parameters.
type measured struct {
	note     int
	isWeight bool
	residual float64 // logarithm of measured over expected
	by       effect  // how the logarithm of what is expected moves
	variance float64 // of the residual, with what differs from run to run
	narrow   float64 // chance that it is a measurement
}

// part is how a parameter works on an effect.
type part struct {
	place, effect int
	times         float64
}

// fit is the parameters most likely by the notes, and their spread.
type fit struct {
	notes  []note
	size   int
	mode   []float64
	all    []measured
	kappa2 float64 // how much more than measuring explains runs differ, squared
	root   *cholesky
}

// volumeOf is the logarithm of the volume that was noted.
func (n *note) volumeOf(o kettle.Outcome) float64 {
	if n.strained {
		return logOf(float64(o.Strained))
	}
	return logOf(float64(o.Ready))
}

// logOf is a logarithm that nothing has too: of a millilitre.
func logOf(x float64) float64 { return math.Log(max(x, 1e-6)) }

// near works out what is expected of a note near x.
func (f *fit) near(i int, x []float64, all []measured) []measured {
	const step = 0.05
	n := &f.notes[i]
	base := scores(x, n.at, kettle.Scores{}, 0, 0)
	outcome := n.model.At(&base)
	volume, weight := n.volumeOf(outcome), logOf(float64(outcome.Drained))
	moved := func(dimension int) (byVolume, byWeight float64) {
		s := base
		s[dimension] += step
		o := n.model.At(&s)
		if n.drained > 0 {
			byWeight = (logOf(float64(o.Drained)) - weight) / step
		}
		return (n.volumeOf(o) - volume) / step, byWeight
	}
	m := measured{note: i, residual: n.log - volume, narrow: 1}
	w := measured{note: i, isWeight: true, narrow: 1}
	for e, dimension := range effectOf {
		m.by[e], w.by[e] = moved(dimension)
	}
	unit := 1 / kettle.Score90
	m.variance = volumeWithin*volumeWithin + square(m.by[quiet]*stillnessOfRun/stillnessSpread*unit) +
		square(m.by[held]*heldOfRun/heldSpread*unit)
	unlearned := []int{kettle.OfFillLine, kettle.OfFat}
	if n.in.Fit {
		unlearned = append(unlearned, kettle.OfDensity)
	}
	for _, dimension := range unlearned {
		by, _ := moved(dimension)
		m.variance += square(by * unit)
	}
	toQuiet := f.slope(n, base, kettle.OfStillness)
	m.by[quiet] /= toQuiet
	all = append(all, m)
	if n.drained > 0 {
		w.residual = logOf(float64(n.drained)) - weight
		w.variance = drainedWithin*drainedWithin + square(w.by[held]*heldOfRun/heldSpread*unit)
		w.by[quiet] = 0
		all = append(all, w)
	}
	return all
}

func square(x float64) float64 { return x * x }

// slope is how the logarithm of what is left of the boil-off moves with a score.
func (f *fit) slope(n *note, base kettle.Scores, dimension int) float64 {
	const step = 0.05
	s := base
	s[dimension] += step
	return (n.model.LogQuiet(&s) - n.model.LogQuiet(&base)) / step
}

// parts are the parameters that work on a note, near x.
func (f *fit) parts(n *note, x []float64) []part {
	base := scores(x, n.at, kettle.Scores{}, 0, 0)
	unit := 1 / kettle.Score90
	still, holds := f.slope(n, base, kettle.OfStillness)*unit/stillnessSpread, unit/heldSpread
	parts := append(make([]part, 0, 9),
		part{ofStillness, quiet, still * stillnessOfKitchen}, part{n.at.pot, quiet, still * stillnessOfPot},
		part{ofHeld, held, holds * heldOfKitchen}, part{n.at.kind, held, holds * heldOfKind},
		part{ofBelowBoil, belowBoil, unit}, part{ofGivenOff, givenOff, unit}, part{ofLosses, losses, unit})
	if n.at.lid >= 0 {
		parts = append(parts, part{n.at.lid, quiet, f.slope(n, base, kettle.OfLid) * unit})
	}
	if n.at.width >= 0 {
		parts = append(parts, part{n.at.width, quiet, f.slope(n, base, kettle.OfShape) * unit})
	}
	return parts
}

// either is how a residual is spread: as one of measuring, or of a note that is none.
type either struct{ narrow, variance, wide float64 }

func eitherOf(variance float64) either {
	return either{
		math.Log(1-wideChance) - math.Log(variance)/2, variance, math.Log(wideChance) - math.Log(wideWithin),
	}
}

// likelihood is the logarithm of the likelier of the two, what both are over that, and
// the chance that the residual is none of measuring.
func (e *either) likelihood(residual float64) (log, times, doubt float64) {
	measured := e.narrow - residual*residual/(2*e.variance)
	off := min(widest, math.Abs(residual))
	wide := e.wide - off*off/(2*wideWithin*wideWithin)
	if measured >= wide {
		other := math.Exp(wide - measured)
		return measured, 1 + other, other / (1 + other)
	}
	other := math.Exp(measured - wide)
	return wide, 1 + other, 1 / (1 + other)
}

// narrow is the chance that a residual is one of measuring.
func narrow(residual, variance float64) float64 {
	e := eitherOf(variance)
	_, _, doubt := e.likelihood(residual)
	return 1 - doubt
}

// find goes to the mode: Gauss-Newton, outliers first let down gently, then by the
// chance that they are no measurement.
func (f *fit) find() {
	const steps, gentle, scaling, longest, settled = 10, 3, 5, 1.5, 1e-3
	f.mode, f.kappa2 = make([]float64, f.size), 1
	last := steps + 1
	for step := 1; step <= last; step++ {
		f.all = f.all[:0]
		for i := range f.notes {
			f.all = f.near(i, f.mode, f.all)
		}
		curvature, slope := newSymmetric(f.size), make([]float64, f.size)
		for d, x := range f.mode {
			curvature.add(d, d, 1)
			slope[d] = -x
		}
		f.weigh(step <= gentle)
		f.gather(curvature, slope)
		f.root = factor(curvature)
		if step == last {
			return
		}
		move, longestMove := f.root.solve(slope), 0.0
		for d := range f.mode {
			by := max(-longest, min(longest, move[d]))
			f.mode[d] += by
			longestMove = max(longestMove, math.Abs(by))
		}
		if step < scaling {
			continue
		}
		before := f.kappa2
		f.scale()
		if longestMove < settled && math.Abs(f.kappa2-before) < settled*before {
			last = step + 1
		}
	}
}

// weigh sets how far each residual counts.
func (f *fit) weigh(gently bool) {
	for i := range f.all {
		m := &f.all[i]
		if gently {
			m.narrow = 1 / (1 + m.residual*m.residual/(4*m.variance))
		} else {
			m.narrow = narrow(m.residual, f.kappa2*m.variance)
		}
	}
}

// gather adds the notes to the curvature and the slope at the mode.
func (f *fit) gather(curvature symmetric, slope []float64) {
	for i := range f.all {
		m := &f.all[i]
		weight := m.narrow / (f.kappa2 * m.variance)
		parts := f.parts(&f.notes[m.note], f.mode)
		for _, p := range parts {
			by := m.by[p.effect] * p.times * weight
			slope[p.place] += by * m.residual
			for _, q := range parts {
				curvature.add(p.place, q.place, by*m.by[q.effect]*q.times)
			}
		}
	}
}

// scale sets how much more than measuring explains runs differ.
func (f *fit) scale() {
	const prior = 4
	over, under := float64(prior), float64(prior)
	by := make([]float64, f.size)
	for i := range f.all {
		m := &f.all[i]
		clear(by)
		for _, p := range f.parts(&f.notes[m.note], f.mode) {
			by[p.place] += m.by[p.effect] * p.times
		}
		lever := f.root.variance(by) / (f.kappa2 * m.variance)
		over += m.narrow * m.residual * m.residual / m.variance
		under += m.narrow * (1 - min(1, lever))
	}
	f.kappa2 = max(1, over/under)
}

// logLikelihood is that of the notes at x; doubt takes the chance of each thing measured
// that it is no measurement.
func (f *fit) logLikelihood() func(x, doubt []float64) float64 {
	spreads := make([]either, len(f.all))
	for i := range f.all {
		spreads[i] = eitherOf(f.kappa2 * f.all[i].variance)
	}
	return func(x, doubt []float64) float64 {
		sum, product, k := 0.0, 1.0, 0
		add := func(residual float64) {
			log, times, chance := spreads[k].likelihood(residual)
			if sum, product = sum+log, product*times; product > 1e100 {
				sum, product = sum+math.Log(product), 1
			}
			doubt[k] = chance
			k++
		}
		var s kettle.Scores
		quiet := 0.0
		for i := range f.notes {
			n := &f.notes[i]
			if i == 0 || n.at != f.notes[i-1].at { // else the same pot, lid and kind
				s = scores(x, n.at, kettle.Scores{}, 0, 0)
				quiet = math.Exp(n.model.LogQuiet(&s))
			}
			if n.strained && n.drained == 0 {
				add(n.log - logOf(float64(n.model.Strained(&s, quiet))))
				continue
			}
			o := n.model.At(&s)
			add(n.log - n.volumeOf(o))
			if n.drained > 0 {
				add(logOf(float64(n.drained)) - logOf(float64(o.Drained)))
			}
		}
		return sum + math.Log(product)
	}
}
