package packing

import (
	"math"
	"math/rand/v2"
)

const (
	// budget is how much work a search may do: about 40 ms. It is a count, of pairs
	// of circles looked at or what takes as long, and not a clock, so that the
	// answer does not depend on how busy the machine is.
	budget = 10_000_000
	// settled is the strain below which circles count as clear of one another:
	// its root is a tenth of the overlap that Verify forgives.
	settled = 4e-20
)

// A tray is circles in a round container that push one another and the
// wall apart wherever they overlap. Its strain is the sum of the squares of the
// overlaps.
type tray struct {
	radii []float64 // widest first
	wall  float64   // radius of the container
	at    []float64 // x and y of each in turn
	left  int       // work that may still be done

	slope, trial, trialSlope, way []float64
	steps, turns                  [memory][]float64
	bend, part                    [memory]float64
}

// memory is how many past steps settle keeps.
const memory = 4

func newTray(radii []float64, wall float64, left int) *tray {
	n := 2 * len(radii)
	t := &tray{radii: radii, wall: wall, left: left}
	for _, s := range []*[]float64{&t.at, &t.slope, &t.trial, &t.trialSlope, &t.way} {
		*s = make([]float64, n)
	}
	for k := range memory {
		t.steps[k], t.turns[k] = make([]float64, n), make([]float64, n)
	}
	return t
}

// strain returns the strain of circles that stand at, and writes its gradient.
func (t *tray) strain(at, slope []float64) float64 {
	n := len(t.radii)
	t.left -= n * (n + 7) / 2
	clear(slope)
	sum := 0.0
	for i, r := range t.radii {
		x, y := at[2*i], at[2*i+1]
		gx, gy := 0.0, 0.0
		if d2, limit := x*x+y*y, t.wall-r; d2 > limit*limit {
			d := math.Sqrt(d2)
			over := d - limit
			sum += over * over
			gx, gy = 2*over/d*x, 2*over/d*y
		}
		for j := i + 1; j < n; j++ {
			dx, dy, need := at[2*j]-x, at[2*j+1]-y, r+t.radii[j]
			d2 := dx*dx + dy*dy
			if d2 >= need*need {
				continue
			}
			d := math.Sqrt(d2)
			over := need - d
			sum += over * over
			if d == 0 {
				dx, d = 1, 1 // any way apart will do
			}
			px, py := 2*over/d*dx, 2*over/d*dy
			gx += px
			gy += py
			slope[2*j] -= px
			slope[2*j+1] -= py
		}
		slope[2*i] += gx
		slope[2*i+1] += gy
	}
	return sum
}

// settle lets the circles slide until the strain falls no further, and returns
// it: the limited-memory quasi-Newton method of Nocedal, Mathematics of
// Computation 35 (1980), 773-782.
func (t *tray) settle() float64 {
	f := t.strain(t.at, t.slope)
	kept := 0
	for range 400 {
		g2 := dot(t.slope, t.slope)
		if f < settled || g2 <= 1e-7*f || t.left <= 0 {
			break
		}
		t.direct(kept)
		down := dot(t.way, t.slope)
		if down >= 0 {
			kept = 0
			t.direct(kept)
			down = dot(t.way, t.slope)
		}
		step, ft := 1.0, 0.0
		for ; step > 1e-6; step /= 3 {
			for i := range t.at {
				t.trial[i] = t.at[i] + step*t.way[i]
			}
			ft = t.strain(t.trial, t.trialSlope)
			if ft <= f+1e-4*step*down {
				break
			}
		}
		if ft >= f {
			break
		}
		k := kept % memory
		for i := range t.at {
			t.steps[k][i] = t.trial[i] - t.at[i]
			t.turns[k][i] = t.trialSlope[i] - t.slope[i]
		}
		if sy := dot(t.steps[k], t.turns[k]); sy > 0 {
			t.bend[k] = sy
			kept++
		}
		t.at, t.trial = t.trial, t.at
		t.slope, t.trialSlope = t.trialSlope, t.slope
		f = ft
	}
	return f
}

// direct writes the way down that the last steps suggest.
func (t *tray) direct(kept int) {
	way := t.way
	t.left -= 2 * len(way) * min(kept, memory)
	for i, g := range t.slope {
		way[i] = -g
	}
	if kept == 0 {
		for i := range way {
			way[i] /= 4 // one overlap bends by 2 for each of its two circles
		}
		return
	}
	oldest := max(0, kept-memory)
	for c := kept - 1; c >= oldest; c-- {
		k := c % memory
		t.part[k] = dot(t.steps[k], way) / t.bend[k]
		add(way, -t.part[k], t.turns[k])
	}
	last := (kept - 1) % memory
	scale := t.bend[last] / dot(t.turns[last], t.turns[last])
	for i := range way {
		way[i] *= scale
	}
	for c := oldest; c < kept; c++ {
		k := c % memory
		add(way, t.part[k]-dot(t.turns[k], way)/t.bend[k], t.steps[k])
	}
}

func add(to []float64, share float64, from []float64) {
	from = from[:len(to)]
	for i := range to {
		to[i] += share * from[i]
	}
}

// dot sums in two halves: one sum would wait for itself.
func dot(a, b []float64) float64 {
	b = b[:len(a)]
	even, odd := 0.0, 0.0
	for i := 0; i+1 < len(a); i += 2 {
		even += a[i] * b[i]
		odd += a[i+1] * b[i+1]
	}
	return even + odd
}

// search looks for places of circles, widest first, in a container of radius wall
// and returns x and y of each in turn, or nil when it found none within the work
// it may do.
//
// It makes one descent for each set of circles, from a container that surely
// holds them to ever narrower ones, and stops at the first that is no wider than
// wall. So what fits in one container fits in every wider one.
func search(radii []float64, wall float64, work int) []float64 {
	// Circles that cover no more than half of a circle always fit in it: Fekete,
	// Keldenich and Scheffer, Packing disks into disks with optimal worst-case
	// density, 2019. In that container's radius everything is measured.
	ample := 0.0
	for _, r := range radii {
		ample += 2 * r * r
	}
	ample = math.Sqrt(ample)
	unit := make([]float64, len(radii))
	for i, r := range radii {
		unit[i] = r / ample
	}
	enough := wall * (1 + roundingSlack/2) / ample

	t := newTray(unit, 1, work)
	random := rand.New(rand.NewPCG(61, 7))
	for start := 0; t.left > 0; start++ {
		t.start(start, random)
		for t.hop(random) < settled {
			if t.tighten(enough) {
				for i := range t.at {
					t.at[i] *= ample
				}
				return t.at
			}
			t.wall *= 1 - closer
		}
	}
	return nil
}

// closer is how much narrower the next container must be: 2e-4 of it, a choice.
const closer = 2e-4

// tighten narrows the container round circles that have settled in it until they
// jam, and reports whether it came down to enough.
func (t *tray) tighten(enough float64) bool {
	kept := append([]float64(nil), t.at...)
	holds := t.wall
	settles := func(wall float64) bool {
		t.wall = wall
		if t.settle() < settled {
			holds = wall
			copy(kept, t.at)
			return true
		}
		copy(t.at, kept)
		return false
	}
	for step := 0.05; step > 1e-7 && holds > enough && t.left > 0; {
		if !settles(max(holds*(1-step), t.radii[0])) {
			step /= 4
		}
	}
	if holds > enough && holds*(1-1e-6) <= enough { // closer than the steps
		left := t.left // asking for a narrower container must not cost a wider one
		settles(enough)
		t.left = left
	}
	t.wall = holds
	return holds <= enough
}

// start lays the circles out for the start of that number: in rings or along a
// spiral, widest first, narrowest first, then in any order.
func (t *tray) start(number int, random *rand.Rand) {
	order := random.Perm(len(t.radii))
	for k := range order {
		switch number {
		case 0, 1:
			order[k] = k
		case 2:
			order[k] = len(order) - 1 - k
		}
	}
	if number%2 == 0 {
		t.rings(order, random)
	} else {
		t.sunflower(order)
	}
}

// rings stands the circles along the wall, in order, then in a ring inside, and
// so on to the middle; a ring may stay one short.
func (t *tray) rings(order []int, random *rand.Rand) {
	rest := order
	for reach := t.wall - t.radii[rest[0]]; len(rest) > 0; {
		inner := rest[0]
		turn := 0.0 // of the circles in this ring
		count := 0
		for _, i := range rest {
			part := math.Pi
			if t.radii[i] < reach {
				part = 2 * math.Asin(t.radii[i]/reach)
			}
			if count > 0 && turn+part > 2*math.Pi*(1+1e-6) {
				break
			}
			turn += part
			count++
		}
		if count > 1 && count < len(rest) {
			count -= random.IntN(2)
		}
		angle := 2 * math.Pi * random.Float64()
		for _, i := range rest[:count] {
			sin, cos := math.Sincos(angle)
			t.at[2*i], t.at[2*i+1] = reach*cos, reach*sin
			angle += 2 * math.Pi / float64(count)
		}
		rest = rest[count:]
		if len(rest) > 0 {
			reach = max(0, reach-(0.8+0.2*random.Float64())*(t.radii[inner]+t.radii[rest[0]]))
		}
	}
}

// sunflower lays the circles out along a spiral that fills the container evenly,
// in order from the middle.
func (t *tray) sunflower(order []int) {
	n := float64(len(order))
	for k, i := range order {
		r := (t.wall - t.radii[i]) * math.Sqrt((float64(k)+0.5)/n)
		sin, cos := math.Sincos(float64(k) * math.Pi * (3 - math.Sqrt(5)))
		t.at[2*i], t.at[2*i+1] = r*cos, r*sin
	}
}

// hop settles the circles, and again after one change at a time: two sizes
// swapped, a squeezed circle moved to a gap, all shaken. It keeps what strains
// less and gives up after many changes in vain.
func (t *tray) hop(random *rand.Rand) float64 {
	n := len(t.radii)
	best := t.settle()
	kept := append([]float64(nil), t.at...)
	for vain := 0; vain < 20+4*n && best >= settled && t.left > 0; vain++ {
		switch move := random.IntN(4); {
		case move == 0 && t.swap(random):
		case move <= 2:
			t.refit(random)
		default:
			reach := t.radii[0] * random.Float64()
			for i := range t.at {
				t.at[i] += reach * (2*random.Float64() - 1)
			}
		}
		if f := t.settle(); f < best {
			if f < 0.999*best {
				vain = 0
			}
			best = f
			copy(kept, t.at)
		} else {
			copy(t.at, kept)
		}
	}
	copy(t.at, kept)
	return best
}

// swap exchanges the places of two circles of different sizes, and reports
// whether there are such.
func (t *tray) swap(random *rand.Rand) bool {
	n := len(t.radii)
	if t.radii[0] == t.radii[n-1] {
		return false
	}
	i, j := random.IntN(n), random.IntN(n)
	for t.radii[i] == t.radii[j] {
		i, j = random.IntN(n), random.IntN(n)
	}
	t.at[2*i], t.at[2*j] = t.at[2*j], t.at[2*i]
	t.at[2*i+1], t.at[2*j+1] = t.at[2*j+1], t.at[2*i+1]
	return true
}

// refit moves a circle, the most squeezed or any, to the roomiest of some places.
func (t *tray) refit(random *rand.Rand) {
	n := len(t.radii)
	moved := random.IntN(n)
	if random.IntN(2) == 0 {
		most := -1.0
		for i := range n {
			if s := t.squeeze(i, t.at[2*i], t.at[2*i+1]); s > most {
				most, moved = s, i
			}
		}
	}
	least, bx, by := math.Inf(1), 0.0, 0.0
	for range 10 + n {
		r := (t.wall - t.radii[moved]) * math.Sqrt(random.Float64())
		sin, cos := math.Sincos(2 * math.Pi * random.Float64())
		if s := t.squeeze(moved, r*cos, r*sin); s < least {
			least, bx, by = s, r*cos, r*sin
		}
	}
	t.at[2*moved], t.at[2*moved+1] = bx, by
}

// squeeze returns the strain of circle i alone if it stood at x, y.
func (t *tray) squeeze(i int, x, y float64) float64 {
	t.left -= len(t.radii)
	sum := 0.0
	for j, r := range t.radii {
		if j == i {
			continue
		}
		dx, dy, need := t.at[2*j]-x, t.at[2*j+1]-y, r+t.radii[i]
		if d2 := dx*dx + dy*dy; d2 < need*need {
			over := need - math.Sqrt(d2)
			sum += over * over
		}
	}
	if out := math.Hypot(x, y) + t.radii[i] - t.wall; out > 0 {
		sum += out * out
	}
	return sum
}

// spread shares out the room that a layout leaves: it looks, by halving, for the
// widest gap that the circles can keep from one another and from the wall.
func spread(radii []float64, wall float64, at []float64) []float64 {
	least, most := 0.0, wall-radii[0]
	grown := make([]float64, len(radii))
	for range 12 {
		gap := (least + most) / 2
		for i, r := range radii {
			grown[i] = r + gap/2
		}
		t := newTray(grown, wall-gap/2, budget/100)
		copy(t.at, at)
		if t.settle() < settled*wall*wall {
			least, at = gap, t.at
		} else {
			most = gap
		}
	}
	return at
}
