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

// spread plans every volume of a sample by a preference. For others than
// PreferJars neighbouring volumes may share the plan of the least of them, as far
// as the cost asks for it.
func (s *loadSearch) spread(sample []quantity.Volume, prefer Preference) outcomes {
	o := outcomes{jars: make([]tally, len(s.all)), left: make([]quantity.Volume, 0, len(sample))}
	sorted := slices.Sorted(slices.Values(sample))
	together := 1
	if prefer != PreferJars && len(sorted) > 0 {
		together += int(float64(len(sorted)) * min(s.ways(sorted[len(sorted)-1]), sampleMixes) / samplePlans)
	}
	small := 0
	for group := range slices.Chunk(sorted, together) {
		counts, _ := s.choose(group[0], prefer, sampleMixes)
		loads, _ := s.cost(counts)
		if s.small && slices.ContainsFunc(s.arrange(counts, prefer), func(load loadout) bool { return load.small(s.all) }) {
			small += len(group)
		}
		for _, ready := range group {
			for i, count := range counts {
				o.jars[i].add(count)
			}
			o.loads.add(loads)
			o.left = append(o.left, max(0, leftOf(ready, counts, s.all)))
		}
	}
	o.small = float64(small) / float64(max(1, len(sample)))
	return o
}

// leftOf is what so many jars of each size leave of ready.
func leftOf(ready quantity.Volume, counts []int, sizes []fillable) quantity.Volume {
	for i, n := range counts {
		ready -= quantity.Volume(n) * sizes[i].fill
	}
	return ready
}
