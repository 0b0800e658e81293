package loading

import (
	"cmp"
	"math/bits"
	"slices"

	"brothrun/stock/canner"
	"brothrun/stock/quantity"
)

// mixing is how jars of several sizes share loads. A layer has places of one
// size, as many as a layer of that size holds; a place also takes a jar that is
// neither wider nor higher, and no layer is laid out any tighter. Layers of
// different sizes stand on one another as far as height and racks go.
//
// A size is enough when its jars in its own layers can be shared out so that each
// of these layers is a load that may be planned. Every load must hold a layer of
// such a size; then none is too small.
type mixing struct {
	sizes   []Size
	chain   []int // sizes by width, those that stand in one another's places
	others  []int // sizes that keep to their own
	least   []int // as search.least
	order   []int // both, as they are listed
	highest int   // layers that stand on one another at most
	stacks  []stack
	strides [MostSizes]int
	most    [MostSizes]int // layers of each size
	// states are the numbers of layers that the broth can need, each after all those
	// that are part of it; at is the place of each in states, by its index.
	states []layering
	at     []int32
	// costs of the states, by the sizes that are not enough; made when first asked
	// for.
	costs [1 << MostSizes][]cost
}

// layering is a number of layers of each size. Its index is the sum of the layers,
// each times the stride of its size; strides rise in the order of search.
type layering struct {
	layers [MostSizes]int
	index  int
}

// stack is what one load may hold: layers of each size.
type stack struct {
	layers [MostSizes]int
	step   int // its index
	cost   cost
}

// What mixing may take: layerings are the numbers of layers of all sizes together that
// the broth can need, trials those times what one load may hold. Four sizes of a pot of
// 60 qt in a canner of 4 quarts a layer have some 20,000 and 300,000. Past that fewer
// sizes are planned with. Own choice, no source: 0.1 s and 30 MB for one plan, of which
// levers make twenty.
const (
	mostLayerings = 100_000
	mostTrials    = 2_000_000
	mostPlaces    = 8_000_000 // with those the broth cannot need
)

// mixable is how many of the first sizes are few enough to share loads.
func mixable(sizes []Size, most quantity.Volume) int {
	levels, places := 0, 1
	for n, size := range sizes[:min(len(sizes), MostSizes)] {
		levels = max(levels, size.Capacity.Layers)
		places *= 1 + loadsOf(size.Full(most, size.Limit), size.Capacity.PerLayer)
		stacks := 1 // of up to so many levels, each of one of the sizes
		for k := range n + 1 {
			stacks = stacks * (levels + k + 1) / (k + 1)
		}
		if places > mostPlaces || layerings(sizes[:n+1], most, min(mostLayerings, mostTrials/stacks)) == 0 {
			return max(1, n)
		}
	}
	return min(len(sizes), MostSizes)
}

// layerings is the number of mixing.states for a volume; 0 when there are more than
// most.
func layerings(sizes []Size, volume quantity.Volume, most int) (number int) {
	if len(sizes) == 0 {
		return 1
	}
	size := sizes[0]
	for n := range 1 + loadsOf(size.Full(volume, size.Limit), size.Capacity.PerLayer) {
		fullest := quantity.Volume(max(0, 1+(n-1)*size.Capacity.PerLayer)) * size.Fill
		more := layerings(sizes[1:], volume-fullest, most-number)
		if number += more; more == 0 || number > most {
			return 0
		}
	}
	return number
}

// newMixing returns nil when sizes cannot share a load: their tested pressures
// differ.
func newMixing(s *search, can canner.Canner, room int64) *mixing {
	m := &mixing{sizes: s.sizes, least: s.least}
	for _, size := range s.sizes {
		if size.Pressure != s.sizes[0].Pressure {
			return nil
		}
	}
	m.link()
	m.order = append(slices.Clone(m.chain), m.others...)
	s.order = m.order
	step := 1
	for _, i := range s.order {
		m.strides[i] = step
		m.most[i] = loadsOf(s.most[i], s.sizes[i].Capacity.PerLayer)
		step *= m.most[i] + 1
	}
	m.at = make([]int32, step)
	m.findStates(s.fill, room, layering{}, 0)
	m.findStacks(can, stack{}, 0, nil)
	// Fuller loads first, so that they are canned first.
	slices.SortStableFunc(m.stacks, func(a, b stack) int { return cmp.Compare(m.places(b), m.places(a)) })
	return m
}

// findStates adds every number of layers of the sizes from next on of which the
// fullest but one jar in each hold no more than room.
func (m *mixing) findStates(fill []int64, room int64, s layering, next int) {
	if next == len(m.sizes) {
		m.at[s.index] = int32(len(m.states))
		m.states = append(m.states, s)
		return
	}
	for n := 0; n <= m.most[next]; n++ {
		taken := int64(0)
		if n > 0 {
			taken = fill[next] * int64((n-1)*m.sizes[next].Capacity.PerLayer+1)
		}
		if taken > room {
			return
		}
		more := s
		more.layers[next] = n
		more.index += n * m.strides[next]
		m.findStates(fill, room-taken, more, next+1)
	}
}

// tiers are the layers that jars need of all sizes, counted and as the index of
// their layering, and the places left free in them.
type tiers struct{ layers, index, free int }

// add is what there is when so many jars of the size at depth of the order come to
// others.
func (m *mixing) add(depth, jars int, to tiers) tiers {
	i, guests := m.order[depth], 0
	perLayer := m.sizes[i].Capacity.PerLayer
	if depth < len(m.chain) {
		guests = min(jars, to.free)
	}
	n := loadsOf(jars-guests, perLayer)
	to.layers, to.index, to.free = to.layers+n, to.index+n*m.strides[i], to.free-guests
	if depth < len(m.chain) {
		to.free += n*perLayer - (jars - guests)
	}
	return to
}

// fewest is what layers cost where every size is enough: never more than with others.
func (m *mixing) fewest(t tiers) cost { return m.table(0)[m.at[t.index]] }

func (m *mixing) places(s stack) (n int) {
	for i, size := range m.sizes {
		n += s.layers[i] * size.Capacity.PerLayer
	}
	return n
}

// link finds the sizes that may stand in one another's places. A count of the
// cook's by which fewer of the narrower jar stand in a layer wins: the two keep
// apart.
func (m *mixing) link() {
	byWidth := make([]int, len(m.sizes))
	for i := range byWidth {
		byWidth[i] = i
	}
	slices.SortStableFunc(byWidth, func(a, b int) int {
		return cmp.Or(cmp.Compare(m.sizes[b].Shape.Diameter, m.sizes[a].Shape.Diameter),
			cmp.Compare(m.sizes[b].Shape.Height, m.sizes[a].Shape.Height))
	})
	for _, i := range byWidth {
		if len(m.chain) > 0 {
			wide, narrow := m.sizes[m.chain[len(m.chain)-1]], m.sizes[i]
			if narrow.Shape.Height > wide.Shape.Height || narrow.Capacity.PerLayer < wide.Capacity.PerLayer ||
				narrow.Published > wide.Published {
				m.others = append(m.others, i)
				continue
			}
		}
		m.chain = append(m.chain, i)
	}
}

// findStacks adds the sizes from next on to a stack in every way that fits.
func (m *mixing) findStacks(can canner.Canner, s stack, next int, shapes []canner.Shape) {
	if len(shapes) > 0 {
		m.highest = max(m.highest, len(shapes))
		m.stacks = append(m.stacks, s)
	}
	for i := next; i < len(m.sizes); i++ {
		higher := append(slices.Clone(shapes), m.sizes[i].Shape)
		if s.layers[i] == m.most[i] || !stands(can, higher) {
			continue
		}
		more := s
		more.layers[i]++
		more.step += m.strides[i]
		more.cost = cost{1, max(more.cost.time, m.sizes[i].LoadTime)}
		m.findStacks(can, more, i, higher)
	}
}

// stands reports whether layers of different heights stand on one another, each
// on a rack: they do where as many of their mean height would.
func stands(can canner.Canner, layers []canner.Shape) bool {
	mean := layers[0]
	mean.Height = 0
	for _, layer := range layers {
		mean.Height += layer.Height / quantity.Length(len(layers))
		mean.Diameter = min(mean.Diameter, layer.Diameter)
	}
	capacity, err := can.Capacity(mean)
	return err == nil && capacity.Layers >= len(layers)
}

// layers is how many layers of each size counts need, and the sizes of which
// there is not enough, as bits. The widest jars of the chain come first and leave
// their free places to the narrower: a layer of a narrower size has as many
// places, is no higher and costs no more, so none of the wider is ever better.
func (m *mixing) layers(counts []int) (layers [MostSizes]int, weak uint) {
	spare := 0
	for _, i := range m.chain {
		perLayer := m.sizes[i].Capacity.PerLayer
		if counts[i] > spare {
			layers[i] = loadsOf(counts[i]-spare, perLayer)
		}
		spare += layers[i]*perLayer - counts[i]
	}
	for _, i := range m.others {
		layers[i] = loadsOf(counts[i], m.sizes[i].Capacity.PerLayer)
	}
	for i, n := range counts {
		if own := min(n, layers[i]*m.sizes[i].Capacity.PerLayer); own < layers[i]*m.least[i] {
			weak |= 1 << i
		}
	}
	return layers, weak
}

func (m *mixing) index(layers [MostSizes]int) (at int) {
	for i := range m.sizes {
		at += layers[i] * m.strides[i]
	}
	return at
}

// cost is the least of so many jars of each size in shared loads.
func (m *mixing) cost(counts []int) cost {
	layers, weak := m.layers(counts)
	if bits.OnesCount(weak) == len(m.sizes) {
		return impossible
	}
	return m.table(weak)[m.at[m.index(layers)]]
}

// table is the least cost of every number of layers, by dynamic programming:
// that of one load and of the layers it leaves.
func (m *mixing) table(weak uint) []cost {
	if m.costs[weak] != nil {
		return m.costs[weak]
	}
	table := make([]cost, len(m.states))
	m.costs[weak] = table
	var stacks []stack
	for _, s := range m.stacks {
		if m.sensible(s, weak) {
			stacks = append(stacks, s)
		}
	}
	for k, need := range m.states[1:] {
		least := impossible
		for i := range stacks {
			s := &stacks[i]
			if s.layers[0] <= need.layers[0] && s.layers[1] <= need.layers[1] &&
				s.layers[2] <= need.layers[2] && s.layers[3] <= need.layers[3] {
				least = cheaper(least, s.cost.plus(table[m.at[need.index-s.step]]))
			}
		}
		table[k+1] = least
	}
	return table
}

// sensible reports whether a load holds a layer of a size of which there is
// enough.
func (m *mixing) sensible(s stack, weak uint) bool {
	for i := range m.sizes {
		if s.layers[i] > 0 && weak&(1<<i) == 0 {
			return true
		}
	}
	return false
}

// arrange puts jars into shared loads.
func (m *mixing) arrange(counts []int) []Load {
	layers, weak := m.layers(counts)
	table := m.table(weak)
	var stacks []stack
	for at, left := m.index(layers), layers; at > 0; {
		i := slices.IndexFunc(m.stacks, func(s stack) bool {
			for i := range m.sizes {
				if s.layers[i] > left[i] {
					return false
				}
			}
			return m.sensible(s, weak) && table[m.at[at]] == s.cost.plus(table[m.at[at-s.step]])
		})
		stacks = append(stacks, m.stacks[i])
		at -= m.stacks[i].step
		for j, n := range m.stacks[i].layers {
			left[j] -= n
		}
	}

	// The highest jars stand lowest.
	order := slices.Clone(m.order)
	slices.SortStableFunc(order, func(a, b int) int {
		return cmp.Compare(m.sizes[b].Shape.Height, m.sizes[a].Shape.Height)
	})
	loads := make([]Load, len(stacks))
	type level struct{ load, layer, size, free int }
	var levels []level
	for l, s := range stacks {
		for _, i := range order {
			for range s.layers[i] {
				levels = append(levels, level{l, len(loads[l]), i, m.sizes[i].Capacity.PerLayer})
				loads[l] = append(loads[l], make([]int, len(counts)))
			}
		}
	}
	put := func(v *level, size, jars int) {
		loads[v.load][v.layer][size] += jars
		v.free -= jars
	}
	guests := slices.Clone(counts)
	for i, size := range m.sizes {
		own := min(counts[i], layers[i]*size.Capacity.PerLayer)
		guests[i] -= own
		shares := share(own, layers[i], size.Capacity.PerLayer, size.Sensible())
		for v := range levels {
			if levels[v].size == i {
				put(&levels[v], i, shares[0])
				shares = shares[1:]
			}
		}
	}
	for c, i := range m.chain {
		for v := range levels {
			if slices.Contains(m.chain[:c], levels[v].size) {
				n := min(guests[i], levels[v].free)
				put(&levels[v], i, n)
				guests[i] -= n
			}
		}
	}
	return loads
}
