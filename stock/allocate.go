package stock

import (
	"math"
	"slices"
	"time"

	"brothrun/stock/canner"
	"brothrun/stock/process"
	"brothrun/stock/quantity"
)

// fillable is one size of jar that may be filled and stands in the canner.
type fillable struct {
	name     string
	mouth    string
	size     process.Size
	fill     quantity.Volume // cold broth one jar takes
	limit    int             // jars there are; -1 when nobody counted
	shape    canner.Shape
	capacity canner.Capacity
	setting  process.Setting
	glass    quantity.Mass // of one jar
	aLoad    time.Duration // a full load of it, likely; 0 for the published steps
}

// allocate deals broth that is ready to fill out to sizes in order of
// preference and returns what is left: as many of the first as can be filled to
// their headspace, and of a later one only what makes a sensible load. counts
// receives the jars of each size.
func allocate(ready quantity.Volume, sizes []fillable, counts []int) (left quantity.Volume) {
	left = ready
	filled := false
	for i := range sizes {
		s := &sizes[i]
		counts[i] = full(left, s.fill, s.limit)
		if filled && canner.SmallLoad(s.size.QuartTime(), counts[i]) {
			counts[i] = 0
		}
		filled = filled || counts[i] > 0
		left -= quantity.Volume(counts[i]) * s.fill
	}
	return left
}

// full is how many jars a volume fills to their headspace, at most limit.
func full(v, fill quantity.Volume, limit int) int {
	n := int(math.Floor(float64(v/fill) + 1e-9))
	if limit >= 0 {
		n = min(n, limit)
	}
	return max(0, n)
}

// outcomes is what a sample of equally likely volumes comes to.
type outcomes struct {
	jars  []tally           // of each size
	loads tally             // canner loads
	small float64           // share with a load of fewer jars than is sensible
	left  []quantity.Volume // over the sample
}

// tally counts how often each whole number came up.
type tally []int

func (t *tally) add(n int) {
	for len(*t) <= n {
		*t = append(*t, 0)
	}
	(*t)[n]++
}

// at returns the number below which a share of the tally lies: its 10 % point
// for 0.1. An empty tally gives 0.
func (t tally) at(share float64) int {
	total := 0
	for _, times := range t {
		total += times
	}
	below := 0
	for n, times := range t {
		below += times
		if float64(below) > share*float64(total) {
			return n
		}
	}
	return max(0, len(t)-1)
}

// chances returns the share of each number.
func (t tally) chances() []float64 {
	total := 0
	for _, times := range t {
		total += times
	}
	shares := make([]float64, len(t))
	for n, times := range t {
		shares[n] = float64(times) / float64(total)
	}
	return shares
}

// The sample is planned at fewer volumes, and with more full loads set aside,
// where there are many ways to fill the jars: so many plans in all, and so many
// for one volume. A few milliseconds.
const (
	samplePlans = 150_000
	sampleMixes = 4_000
)

// spread plans every volume of a sample by a preference. For PreferJars each is
// dealt out by itself; for the others neighbouring volumes may share the plan of
// the least of them, as far as the cost asks for it.
func (s *loadSearch) spread(sample []quantity.Volume, sizes []fillable, prefer Preference) outcomes {
	o := outcomes{jars: make([]tally, len(sizes)), left: make([]quantity.Volume, 0, len(sample))}
	counts := make([]int, len(sizes))
	small := 0
	add := func(left quantity.Volume) {
		loads, tooSmall := s.outcome(counts, sizes, prefer)
		for i, count := range counts {
			o.jars[i].add(count)
		}
		o.loads.add(loads)
		if tooSmall {
			small++
		}
		o.left = append(o.left, left)
	}
	if prefer == PreferJars {
		for _, ready := range sample {
			if s.mix != nil {
				add(s.preferred(ready, counts))
			} else {
				add(allocate(ready, sizes, counts))
			}
		}
	} else if len(sample) > 0 {
		sorted := slices.Sorted(slices.Values(sample))
		together := 1 + int(float64(len(sample))*min(s.ways(sorted[len(sorted)-1]), sampleMixes)/samplePlans)
		for group := range slices.Chunk(sorted, together) {
			counts, _ = s.best(group[0], prefer, sampleMixes)
			var filled quantity.Volume
			for i, n := range counts {
				filled += quantity.Volume(n) * sizes[i].fill
			}
			for _, ready := range group {
				add(max(0, ready-filled))
			}
		}
	}
	o.small = float64(small) / float64(max(1, len(sample)))
	return o
}

// outcome is the loads that jars make, and whether one is too small.
func (s *loadSearch) outcome(counts []int, sizes []fillable, prefer Preference) (loads int, small bool) {
	if prefer != PreferJars || s.mix != nil {
		cost := s.toll(counts, false)
		if small = cost == never; small {
			cost = s.toll(counts, true)
		}
		return cost.loads(), small
	}
	for i, count := range counts {
		aLoad := sizes[i].capacity.Jars()
		n := loadsOf(count, aLoad)
		loads += n
		small = small || count > 0 && canner.SmallLoad(sizes[i].size.QuartTime(), count-(n-1)*aLoad)
	}
	return loads, small
}

// left is what so many jars of each size leave of ready.
func left(ready quantity.Volume, counts []int, sizes []fillable) quantity.Volume {
	for i, n := range counts {
		ready -= quantity.Volume(n) * sizes[i].fill
	}
	return ready
}
