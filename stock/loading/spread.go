package loading

import (
	"slices"

	"brothrun/stock/quantity"
)

// Outcomes is what a sample of equally likely volumes comes to.
type Outcomes struct {
	Jars  []Tally           // of each size
	Loads Tally             // canner loads
	Small float64           // share with a load of fewer jars than is sensible
	Left  []quantity.Volume // over the sample
}

// Tally counts how often each whole number came up.
type Tally []int

func (t *Tally) add(n int) {
	for len(*t) <= n {
		*t = append(*t, 0)
	}
	(*t)[n]++
}

// At returns the number below which a share of the Tally lies: its 10 % point
// for 0.1. An empty Tally gives 0.
func (t Tally) At(share float64) int {
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

// Chances returns the share of each number.
func (t Tally) Chances() []float64 {
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

// together is how many neighbouring volumes of a sample of four sizes share the plan
// of the least of them: there are many ways to fill their jars.
const together = 8

// spread plans every volume of a sample by a preference.
func (s *search) spread(sample []quantity.Volume, prefer Preference) Outcomes {
	o := Outcomes{Jars: make([]Tally, len(s.all)), Left: make([]quantity.Volume, 0, len(sample))}
	sorted := slices.Sorted(slices.Values(sample))
	size := 1
	if prefer != PreferJars && len(s.sizes) == MostSizes {
		size = together
	}
	var groups [][]quantity.Volume
	var least []quantity.Volume
	for group := range slices.Chunk(sorted, size) {
		groups, least = append(groups, group), append(least, group[0])
	}
	small := 0
	for g, counts := range s.choose(least, prefer) {
		loads := s.takes(counts).loads
		if s.small && slices.ContainsFunc(s.arrange(counts, prefer), func(load Load) bool { return load.Small(s.all) }) {
			small += len(groups[g])
		}
		for _, ready := range groups[g] {
			for i, count := range counts {
				o.Jars[i].add(count)
			}
			o.Loads.add(loads)
			o.Left = append(o.Left, max(0, leftOf(ready, counts, s.all)))
		}
	}
	o.Small = float64(small) / float64(max(1, len(sample)))
	return o
}

// leftOf is what so many jars of each size leave of ready.
func leftOf(ready quantity.Volume, counts []int, sizes []Size) quantity.Volume {
	for i, n := range counts {
		ready -= quantity.Volume(n) * sizes[i].Fill
	}
	return ready
}
