package loading

import (
	"cmp"
	"math"
	"math/bits"
	"slices"
	"time"

	"brothrun/stock/canner"
	"brothrun/stock/quantity"
)

// A toll is canner loads in its upper half and their milliseconds on the stove in
// its lower, so that tolls add up, and compare by loads and then by time.
type toll int64

const (
	oneLoad toll = 1 << 32
	never   toll = math.MaxInt64 / 4 // no way to do it
)

func tollOf(load time.Duration) toll { return oneLoad + toll(load.Milliseconds()) }

func (t toll) loads() int          { return int(t >> 32) }
func (t toll) time() time.Duration { return time.Duration(t&(oneLoad-1)) * time.Millisecond }

// search finds the best plan for any volume up to the one it was made for.
// Volumes are whole nanolitres, so that they compare exactly.
type search struct {
	all   []Size
	sizes []Size  // the first MostSizes of all
	mix   *mixing // nil unless sizes may share a load
	most  []int   // jars of each size that can be filled at all
	fill  []int64
	least []int    // jars of each size that make a load: 1 where small loads are allowed
	small bool     // they are
	order []int    // sizes by what a load of them takes, the one with most jars last
	alone [][]toll // of so many jars of a size in loads of their own
}

const nanolitre = quantity.Litre / 1e9

// grace is how much broth a jar may lack and still be full: it forgives the
// rounding of its fill, and no more.
const grace = 1000 // nl

func nanolitres(v quantity.Volume) int64 { return int64(math.Round(float64(v / nanolitre))) }

// newSearch prepares for volumes up to most, with can for loads of several
// sizes; nil keeps to one size a load. small allows small loads.
func newSearch(sizes []Size, can *canner.Canner, most quantity.Volume, small bool) *search {
	all, sizes := sizes, sizes[:min(len(sizes), MostSizes)]
	s := &search{all: all, sizes: sizes, small: small, most: make([]int, len(sizes)), fill: make([]int64, len(sizes)),
		alone: make([][]toll, len(sizes))}
	for _, size := range all {
		least := size.Sensible()
		if small {
			least = 1
		}
		s.least = append(s.least, least)
	}
	room := nanolitres(max(0, most)) + grace
	for i, size := range sizes {
		s.fill[i] = nanolitres(size.Fill)
		s.most[i] = int(room / s.fill[i])
		if size.Limit >= 0 {
			s.most[i] = min(s.most[i], size.Limit)
		}
		s.order = append(s.order, i)
		s.alone[i] = make([]toll, s.most[i]+1)
		aLoad := tollOf(size.LoadTime)
		for n := range s.alone[i] {
			loads := loadsOf(n, size.Capacity.Jars())
			s.alone[i][n] = toll(loads) * aLoad
			if n < loads*s.least[i] {
				s.alone[i][n] = never
			}
		}
	}
	slices.SortStableFunc(s.order, func(a, b int) int { return cmp.Compare(s.loadVolume(b), s.loadVolume(a)) })
	if inner := slices.IndexFunc(s.order, func(i int) bool { return s.most[i] == slices.Max(s.most) }); inner >= 0 {
		i := s.order[inner]
		s.order = append(slices.Delete(s.order, inner, inner+1), i)
	}
	if can != nil && len(sizes) > 0 {
		s.mix = newMixing(s, *can, room)
	}
	return s
}

func loadsOf(jars, aLoad int) int { return (jars + aLoad - 1) / aLoad }

func (s *search) loadVolume(i int) int64 { return int64(s.sizes[i].Capacity.Jars()) * s.fill[i] }

// toll is what so many jars of each size cost; never where a load would be too
// small.
func (s *search) toll(counts []int) toll {
	sum := s.apart(counts)
	if s.mix != nil {
		sum = min(sum, s.mix.toll(counts))
	}
	return sum
}

// cost is the loads and the hours on the stove of jars that have been chosen.
func (s *search) cost(counts []int) (loads int, onStove time.Duration) {
	if s.mix != nil {
		cost := s.toll(counts)
		return cost.loads(), cost.time()
	}
	for i, size := range s.all {
		n := loadsOf(counts[i], size.Capacity.Jars())
		loads, onStove = loads+n, onStove+time.Duration(n)*size.LoadTime
	}
	return loads, onStove
}

// apart is the toll of loads of one size each.
func (s *search) apart(counts []int) (sum toll) {
	for i, n := range counts {
		sum += s.alone[i][n]
	}
	return min(sum, never)
}

// mixes is how many plans of the outer sizes are gone through before full loads
// are set aside: some 200 jars of four sizes have fewer.
const mixes = 600_000

// best returns the jars of each size that are best for ready by a preference
// other than PreferJars. It is the exact optimum over the first MostSizes sizes
// until there are more than mixes ways to fill all but one of them; beyond, full
// loads of the size that takes most a load are set aside first.
func (s *search) best(ready quantity.Volume, prefer Preference, mixes float64) []int {
	w := walk{search: s, prefer: prefer, room: nanolitres(max(0, ready)) + grace}
	if len(s.sizes) == 0 {
		return nil
	}
	for _, i := range s.order {
		for w.ways() > mixes && w.base[i]+s.sizes[i].Capacity.Jars() <= s.most[i] && w.start()+s.loadVolume(i) <= w.room {
			w.base[i] += s.sizes[i].Capacity.Jars()
		}
	}
	w.begin()
	w.try(0, spent{volume: w.start()})
	return append([]int(nil), w.best.jars[:len(s.sizes)]...)
}

// candidate is one plan in a walk.
type candidate struct {
	jars   [MostSizes]int
	volume int64
	toll   toll
}

// walk goes through the plans for one volume.
type walk struct {
	*search
	prefer Preference
	room   int64
	base   [MostSizes]int // jars set aside in full loads

	// leave is what every plan leaves less than because of a size of which there
	// are jars enough whatever is filled; math.MaxInt64 when there is none.
	leave int64
	jars  [MostSizes]int
	// fewest is the least toll of shared loads by the layers of the sizes up to each
	// depth of the order, as places in mixing.states.
	fewest [MostSizes][]toll
	found  bool
	best   candidate
}

// start is the volume set aside.
func (w *walk) start() (volume int64) {
	for i, f := range w.fill {
		volume += int64(w.base[i]) * f
	}
	return volume
}

// ways is walk.ways for a volume.
func (s *search) ways(ready quantity.Volume) float64 {
	if len(s.sizes) == 0 {
		return 0
	}
	return (&walk{search: s, room: nanolitres(ready) + grace}).ways()
}

// ways bounds how many plans of all sizes but the last of the order there are.
func (w *walk) ways() float64 {
	room, product := w.room-w.start(), 1.0
	outer := w.order[:len(w.order)-1]
	limited := true
	for _, i := range outer {
		n := int(room / w.fill[i])
		limited = limited && w.most[i]-w.base[i] < n
		product *= float64(min(w.most[i]-w.base[i], n) + 1)
	}
	if !limited { // they share the room: about one in so many orders of it
		for n := 2; n <= len(outer); n++ {
			product /= float64(n)
		}
	}
	return product
}

func (w *walk) begin() {
	w.leave = math.MaxInt64
	for i, size := range w.sizes {
		if size.Limit < 0 || int64(size.Limit-w.least[i]) >= w.room/w.fill[i] {
			w.leave = min(w.leave, int64(w.least[i])*w.fill[i])
		}
	}
	if w.mix != nil && w.prefer == PreferLoads {
		need := int64(0)
		if w.leave != math.MaxInt64 {
			need = w.room - w.leave
		}
		w.fewest = w.mix.fewest(w.fill, need)
	}
}

// oneMore reports whether the broth and the jars left make another load.
func (w *walk) oneMore(left int64) bool {
	for i, size := range w.sizes {
		if left >= int64(w.least[i])*w.fill[i] && (size.Limit < 0 || size.Limit-w.jars[i] >= w.least[i]) {
			return true
		}
	}
	return false
}

// spent is what the jars settled so far take: broth; the toll of each size in
// loads of its own; and of shared loads the layers, as an index, and the places
// left free in them.
type spent struct {
	volume       int64
	alone        toll
	layers, free int
}

// try goes through the jars of the sizes from depth on in the order.
func (w *walk) try(depth int, so spent) {
	i := w.order[depth]
	low, f := w.base[i], w.fill[i]
	high := min(w.most[i], low+int((w.room-so.volume)/f))
	own := w.alone[i]
	last := depth == len(w.order)-1
	for n := high; n >= low; n-- {
		w.jars[i] = n
		now := spent{volume: so.volume + int64(n-low)*f, alone: so.alone + own[n]}
		if w.mix == nil && now.alone >= never {
			continue
		}
		// Fewer jars of the last size take less broth, so both preferences are done
		// with it as soon as that rules the rest out.
		if last && w.prefer == PreferLeftover && w.found && now.volume < w.best.volume {
			return
		}
		if w.prefer == PreferLoads {
			if last && w.oneMore(w.room-now.volume) {
				return
			}
			if w.mix != nil {
				now.layers, now.free = w.mix.add(depth, n, so)
			}
			if w.found {
				loads := w.atLeast(depth, now)
				if loads > w.best.toll.loads() || loads == w.best.toll.loads() && w.ceiling(depth, now) < w.best.volume {
					continue
				}
			}
		}
		if !last {
			w.try(depth+1, now)
		} else if w.settle(now) && w.prefer == PreferLeftover {
			return
		}
	}
}

// ceiling is the most broth that jars settled up to depth leave room to fill.
func (w *walk) ceiling(depth int, so spent) int64 {
	switch len(w.order) - 1 - depth {
	case 0:
		return so.volume
	case 1:
		i := w.order[depth+1]
		n := min(int64(w.most[i]-w.base[i]), (w.room-so.volume)/w.fill[i])
		return so.volume + n*w.fill[i]
	}
	return w.room
}

// atLeast is a number of loads that every plan needs in which the jars up to depth
// are settled so.
func (w *walk) atLeast(depth int, so spent) int {
	if w.mix != nil {
		return w.fewest[depth][w.mix.at[so.layers]].loads()
	}
	if w.leave == math.MaxInt64 || depth == len(w.order)-1 {
		return so.alone.loads()
	}
	aLoad := int64(1)
	for _, i := range w.order[depth+1:] {
		aLoad = max(aLoad, w.loadVolume(i))
	}
	return so.alone.loads() + int((max(0, w.room-w.leave-so.volume)+aLoad-1)/aLoad)
}

// settle takes the jars if they are the best so far, and reports whether they are
// a plan at all.
func (w *walk) settle(so spent) bool {
	cost := so.alone
	if w.mix != nil {
		cost = min(cost, w.mix.toll(w.jars[:len(w.sizes)]))
	}
	if cost >= never {
		return false
	}
	if c := (candidate{w.jars, so.volume, cost}); !w.found || w.better(c) {
		w.found, w.best = true, c
	}
	return true
}

// better compares by the preference, as its comment says.
func (w *walk) better(c candidate) bool {
	sum := func(c candidate) (n int) {
		for _, jars := range c.jars {
			n += jars
		}
		return n
	}
	leftover := cmp.Compare(w.best.volume, c.volume)
	order := cmp.Or(leftover, cmp.Compare(c.toll, w.best.toll))
	if w.prefer == PreferLoads {
		order = cmp.Or(cmp.Compare(c.toll.loads(), w.best.toll.loads()), leftover, cmp.Compare(c.toll, w.best.toll))
	}
	return cmp.Or(order, cmp.Compare(sum(c), sum(w.best)), slices.Compare(w.best.jars[:], c.jars[:])) < 0
}

// choose returns the jars of each size that are filled of ready by a preference,
// and what they leave.
func (s *search) choose(ready quantity.Volume, prefer Preference, mixes float64) (counts []int, left quantity.Volume) {
	counts = make([]int, len(s.all))
	if prefer == PreferJars {
		return counts, s.preferred(ready, counts)
	}
	copy(counts, s.best(ready, prefer, mixes))
	return counts, max(0, leftOf(ready, counts, s.all))
}

// preferred deals ready out by PreferJars and returns what is left.
func (s *search) preferred(ready quantity.Volume, counts []int) (left quantity.Volume) {
	clear(counts)
	left = ready
	filled := false
	for i, size := range s.all {
		most := size.Full(left, size.Limit)
		for counts[i] = most; counts[i] > 0 && !s.worthwhile(counts, i, filled); {
			counts[i]--
		}
		filled = filled || counts[i] > 0
		left -= quantity.Volume(counts[i]) * size.Fill
	}
	return left
}

// worthwhile reports whether PreferJars fills so many jars of size i beside those
// of the sizes before it: they make full loads and a last one that is not too
// small, or the few too many find room beside others.
func (s *search) worthwhile(counts []int, i int, filled bool) bool {
	n, aLoad := counts[i], s.all[i].Capacity.Jars()
	over := n % aLoad
	enough := (over == 0 || over >= s.least[i]) && (!filled || n >= s.all[i].Sensible())
	if s.mix == nil {
		return enough
	}
	cost := s.toll(counts)
	if enough || cost == never {
		return cost < never
	}
	fewer := slices.Clone(counts)
	fewer[i] -= over
	return cost.loads() == s.toll(fewer).loads()
}

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
	stacks  []stack
	strides [MostSizes]int
	most    [MostSizes]int // layers of each size
	// states are the numbers of layers that the broth can need, each after all those
	// that are part of it; at is the place of each in states, by its index.
	states []state
	at     []int32
	// tolls of the states, by the sizes that are not enough; made when first asked
	// for.
	tolls [1 << MostSizes][]toll
	parts [MostSizes][]toll // what fewest returned last, to be filled again
}

// state is a number of layers of each size. Its index is the sum of the layers,
// each times the stride of its size; strides rise in the order of walk.
type state struct {
	layers [MostSizes]int
	index  int
}

// stack is what one load may hold: layers of each size.
type stack struct {
	layers [MostSizes]int
	step   int // its index
	toll   toll
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
	s.order = append(slices.Clone(m.chain), m.others...)
	step := 1
	for _, i := range s.order {
		m.strides[i] = step
		m.most[i] = loadsOf(s.most[i], s.sizes[i].Capacity.PerLayer)
		step *= m.most[i] + 1
	}
	m.at = make([]int32, step)
	m.findStates(s.fill, room, state{}, 0)
	m.findStacks(can, stack{}, 0, nil)
	// Fuller loads first, so that they are canned first.
	slices.SortStableFunc(m.stacks, func(a, b stack) int { return cmp.Compare(m.places(b), m.places(a)) })
	return m
}

// findStates adds every number of layers of the sizes from next on of which the
// fullest but one jar in each hold no more than room.
func (m *mixing) findStates(fill []int64, room int64, s state, next int) {
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

// fewest is the least toll of the states whose places hold need nanolitres, by the
// layers of the sizes up to each depth of the order, as places in states; never where
// there are none. It is good until the next call.
func (m *mixing) fewest(fill []int64, need int64) [MostSizes][]toll {
	least := &m.parts
	order := append(slices.Clone(m.chain), m.others...)
	var most [MostSizes]int64 // that a layer of each size holds, of whatever jars
	for i, size := range m.sizes {
		most[i] = fill[i]
		if c := slices.Index(m.chain, i); c >= 0 {
			for _, guest := range m.chain[c:] {
				most[i] = max(most[i], fill[guest])
			}
		}
		most[i] *= int64(size.Capacity.PerLayer)
	}
	var spans [MostSizes]int
	for depth, i := range order {
		spans[depth] = m.strides[i] * (m.most[i] + 1)
		if least[depth] == nil {
			least[depth] = make([]toll, len(m.states))
		}
		for k := range least[depth] {
			least[depth][k] = never
		}
	}
	for k, cost := range m.table(0) {
		s := m.states[k]
		holds := int64(0)
		for i, n := range s.layers {
			holds += int64(n) * most[i]
		}
		if holds < need {
			continue
		}
		for depth := range order {
			part := &least[depth][m.at[s.index%spans[depth]]]
			*part = min(*part, cost)
		}
	}
	return *least
}

// add is the layers, as an index, and the free places when so many jars of the
// size at depth of the order come to those that are so.
func (m *mixing) add(depth, jars int, so spent) (layers, free int) {
	if depth >= len(m.chain) {
		i := m.others[depth-len(m.chain)]
		return so.layers + m.strides[i]*loadsOf(jars, m.sizes[i].Capacity.PerLayer), so.free
	}
	i := m.chain[depth]
	n := 0
	if jars > so.free {
		n = loadsOf(jars-so.free, m.sizes[i].Capacity.PerLayer)
	}
	return so.layers + n*m.strides[i], so.free + n*m.sizes[i].Capacity.PerLayer - jars
}

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
		return cmp.Or(cmp.Compare(m.sizes[b].Shape.Diameter, m.sizes[a].Shape.Diameter), cmp.Compare(m.sizes[b].Shape.Height, m.sizes[a].Shape.Height))
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
		more.toll = max(more.toll, tollOf(m.sizes[i].LoadTime))
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

// toll is the least toll of so many jars of each size in shared loads.
func (m *mixing) toll(counts []int) toll {
	layers, weak := m.layers(counts)
	if bits.OnesCount(weak) == len(m.sizes) {
		return never
	}
	return m.table(weak)[m.at[m.index(layers)]]
}

// table is the least toll of every number of layers, by dynamic programming:
// that of one load and of the layers it leaves.
func (m *mixing) table(weak uint) []toll {
	if m.tolls[weak] != nil {
		return m.tolls[weak]
	}
	table := make([]toll, len(m.states))
	m.tolls[weak] = table
	var stacks []stack
	for _, s := range m.stacks {
		if m.sensible(s, weak) {
			stacks = append(stacks, s)
		}
	}
	for k, need := range m.states[1:] {
		least := never
		for i := range stacks {
			if s := &stacks[i]; s.layers[0] <= need.layers[0] && s.layers[1] <= need.layers[1] && s.layers[2] <= need.layers[2] && s.layers[3] <= need.layers[3] {
				least = min(least, s.toll+table[m.at[need.index-s.step]])
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

// arrange puts jars into loads, full ones first and the sizes in the cook's
// order. prefer says whether a small last load may borrow from the one before.
func (s *search) arrange(counts []int, prefer Preference) []Load {
	if s.mix != nil && s.mix.toll(counts) < s.apart(counts) {
		return s.mix.arrange(counts)
	}
	var loads []Load
	for i, size := range s.all[:len(counts)] {
		aLoad, least := size.Capacity.Jars(), size.Sensible()
		if prefer == PreferJars && s.mix == nil {
			least = 1
		}
		for _, jars := range share(counts[i], loadsOf(counts[i], aLoad), aLoad, least) {
			var load Load
			for _, n := range canner.Split(jars, size.Capacity)[0] {
				layer := make([]int, len(counts))
				layer[i] = n
				load = append(load, layer)
			}
			loads = append(loads, load)
		}
	}
	return loads
}

// share deals jars out to groups of at most most, full ones first; the last
// borrows from those before it when it has fewer than least and they can spare
// them.
func share(jars, groups, most, least int) []int {
	if jars < groups*least {
		least = 1
	}
	shares := make([]int, groups)
	for g := range shares {
		shares[g] = min(most, jars-least*(groups-1-g))
		jars -= shares[g]
	}
	return shares
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
			return m.sensible(s, weak) && table[m.at[at]] == s.toll+table[m.at[at-s.step]]
		})
		stacks = append(stacks, m.stacks[i])
		at -= m.stacks[i].step
		for j, n := range m.stacks[i].layers {
			left[j] -= n
		}
	}

	// The highest jars stand lowest.
	order := append(slices.Clone(m.chain), m.others...)
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(m.sizes[b].Shape.Height, m.sizes[a].Shape.Height) })
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
