package stock

import (
	"math"

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
	capacity canner.Capacity
	setting  process.Setting
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
	left  []quantity.Volume // over the sample, in its order
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

// spread deals every volume of a sample out.
func spread(sample []quantity.Volume, sizes []fillable) outcomes {
	o := outcomes{jars: make([]tally, len(sizes)), left: make([]quantity.Volume, len(sample))}
	counts, aLoad := make([]int, len(sizes)), make([]int, len(sizes))
	for i, s := range sizes {
		aLoad[i] = s.capacity.Jars()
	}
	for k, ready := range sample {
		o.left[k] = allocate(ready, sizes, counts)
		loads := 0
		for i, count := range counts {
			o.jars[i].add(count)
			loads += (count + aLoad[i] - 1) / aLoad[i]
		}
		o.loads.add(loads)
	}
	return o
}
