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

// cost is what loads take of the canner.
type cost struct {
	loads int
	time  time.Duration
}

// impossible is the cost of what makes no loads that may be planned.
var impossible = cost{loads: math.MaxInt32}

func (c cost) plus(d cost) cost { return cost{c.loads + d.loads, c.time + d.time} }

func (c cost) less(d cost) bool { return c.loads < d.loads || c.loads == d.loads && c.time < d.time }

func cheaper(c, d cost) cost {
	if d.less(c) {
		return d
	}
	return c
}

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
	order []int    // sizes as they are listed, the one with most jars last
	alone [][]cost // of so many jars of a size in loads of their own
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
		alone: make([][]cost, len(sizes))}
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
		s.alone[i] = make([]cost, s.most[i]+1)
		for n := range s.alone[i] {
			s.alone[i][n] = size.loads(n)
			if n < s.alone[i][n].loads*s.least[i] {
				s.alone[i][n] = impossible
			}
		}
	}
	slices.SortStableFunc(s.order, func(a, b int) int { return cmp.Compare(s.most[a], s.most[b]) })
	if can != nil && len(sizes) > 0 {
		s.mix = newMixing(s, *can, room)
	}
	return s
}

func loadsOf(jars, aLoad int) int { return (jars + aLoad - 1) / aLoad }

// loads is what so many jars of a size take in loads of their own.
func (size Size) loads(jars int) cost {
	n := loadsOf(jars, size.Capacity.Jars())
	return cost{n, time.Duration(n) * size.LoadTime}
}

// cost is what so many jars of each size take; impossible where a load would be too
// small.
func (s *search) cost(counts []int) cost {
	sum := s.apart(counts)
	if s.mix != nil {
		sum = cheaper(sum, s.mix.cost(counts))
	}
	return sum
}

// apart is the cost of loads of one size each.
func (s *search) apart(counts []int) (sum cost) {
	for i, n := range counts {
		if s.alone[i][n] == impossible {
			return impossible
		}
		sum = sum.plus(s.alone[i][n])
	}
	return sum
}

// takes is the cost of jars that have been chosen.
func (s *search) takes(counts []int) (sum cost) {
	if s.mix != nil {
		return s.cost(counts)
	}
	for i, size := range s.all {
		sum = sum.plus(size.loads(counts[i]))
	}
	return sum
}

// filling is some jars of each size, and what they come to.
type filling struct {
	jars   [MostSizes]int
	volume int64
	cost   cost
	found  bool
}

// better reports whether f comes before g by a preference other than PreferJars, as
// its comment says.
func (f *filling) better(g *filling, prefer Preference) bool {
	if prefer == PreferLoads && f.cost.loads != g.cost.loads {
		return f.cost.loads < g.cost.loads
	}
	if f.volume != g.volume {
		return f.volume > g.volume
	}
	if f.cost != g.cost {
		return f.cost.less(g.cost)
	}
	sum := func(f *filling) (n int) {
		for _, jars := range f.jars {
			n += jars
		}
		return n
	}
	return cmp.Or(cmp.Compare(sum(f), sum(g)), slices.Compare(g.jars[:], f.jars[:])) < 0
}

// How many fillings are listed before some are left out. All of four sizes of up to
// about 25 litres are listed, in half a millisecond.
const (
	mostListed = 50_000  // all of them
	mostOfFew  = 200_000 // where most are left out
)

// best returns the best filling for each volume by a preference other than
// PreferJars; volumes must rise. It is the exact optimum over the first MostSizes
// sizes up to mostListed fillings. Beyond, it is the best of those in which one size
// has a last load that is not full; of the others there are full loads, or all jars.
// Past mostOfFew, only every second, fourth and so on number of full loads. A volume
// that none of them is for has a filling that is not found.
func (s *search) best(volumes []quantity.Volume, prefer Preference) []filling {
	if len(s.sizes) == 0 || len(volumes) == 0 {
		return make([]filling, len(volumes))
	}
	l := listing{search: s, prefer: prefer, later: make([]later, len(s.order)+1)}
	for _, v := range volumes {
		l.rooms = append(l.rooms, nanolitres(max(0, v))+grace)
	}
	for depth := len(s.order) - 1; depth >= 0; depth-- {
		l.later[depth] = l.later[depth+1].and(s, s.order[depth])
	}
	best, done := l.all(len(s.sizes), 1, mostListed)
	for every := 1; !done; every *= 2 {
		most := mostOfFew
		if every > slices.Max(s.most) {
			most = math.MaxInt // there are no fewer
		}
		best, done = l.all(1, every, most)
	}
	return best
}

// listing goes through the fillings for some volumes.
type listing struct {
	*search
	prefer Preference
	later  []later // of the sizes from each depth of the order on
	rooms  []int64 // the volumes, rising
	loads  int     // the most a filling may take
	every  int     // this many full loads of a size are listed, and this many more
	left   int     // how many more may be listed
	// served[k][a] is the best so far of the fillings for the 1<<k volumes from a on.
	served [][]filling
}

// later is the most broth that some sizes take.
type later struct{ all, load, layer, jar int64 }

func (t later) and(s *search, i int) later {
	return later{t.all + int64(s.most[i])*s.fill[i], max(t.load, int64(s.sizes[i].Capacity.Jars())*s.fill[i]),
		max(t.layer, int64(s.sizes[i].Capacity.PerLayer)*s.fill[i]), max(t.jar, s.fill[i])}
}

// all lists the fillings in which no more than loose sizes have a last load that is
// not full, and returns the best for each volume; done is false when there are more
// than most.
func (l *listing) all(loose, every, most int) (best []filling, done bool) {
	best = make([]filling, len(l.rooms))
	loads := 0
	for i, n := range l.most {
		loads += loadsOf(n, l.sizes[i].Capacity.Jars())
	}
	l.loads, l.every, l.left, l.served = loads, every, most, nil
	if l.prefer == PreferLoads {
		l.loads = 0
	}
	// The fewest loads are looked for first, and more only for the volumes they leave.
	rooms, open := l.rooms, make([]int, len(l.rooms))
	for v := range open {
		open[v] = v
	}
	defer func() { l.rooms = rooms }()
	for ; l.loads <= loads && len(open) > 0; l.loads++ {
		l.rooms = l.rooms[:0:0]
		for _, v := range open {
			l.rooms = append(l.rooms, rooms[v])
		}
		start := state{reach: math.MaxInt64 / 2, loose: loose}
		if l.hopeless(0, &start) {
			continue
		}
		if !l.serveAll(start) {
			return nil, false
		}
		var unserved []int
		for k, f := range l.served[0] {
			if best[open[k]] = f; !f.found {
				unserved = append(unserved, open[k])
			}
		}
		open = unserved
	}
	return best, true
}

// serveAll finds the best filling of no more than l.loads for each of l.rooms.
func (l *listing) serveAll(start state) (done bool) {
	l.served = make([][]filling, bits.Len(uint(len(l.rooms))))
	for k := range l.served {
		l.served[k] = make([]filling, len(l.rooms)-1<<k+1)
	}
	if !l.list(0, &start) {
		return false
	}
	for k := len(l.served) - 1; k > 0; k-- {
		for a := range l.served[k] {
			if f := &l.served[k][a]; f.found {
				l.serve(f, &l.served[k-1][a])
				l.serve(f, &l.served[k-1][a+1<<(k-1)])
			}
		}
	}
	return true
}

func (l *listing) serve(f, best *filling) {
	if !best.found || f.better(best, l.prefer) {
		*best = *f
	}
}

// state is a filling whose later sizes are not settled; its cost is that of loads of
// one size each.
type state struct {
	filling
	reach  int64 // it serves volumes from its own to less than so much above
	loose  int   // sizes that may yet have a last load that is not full
	shared tiers
}

// list goes through the jars of the sizes from depth on in the order; false when there
// are too many fillings.
func (l *listing) list(depth int, so *state) bool {
	i := l.order[depth]
	fill, full, limit := l.fill[i], l.every*l.sizes[i].Capacity.Jars(), l.sizes[i].Limit
	from, to := len(l.rooms), len(l.rooms) // the volumes a filling serves
	now := *so
	for n := min(l.most[i], int((l.rooms[len(l.rooms)-1]-so.volume)/fill)); n >= 0; n-- {
		if l.left--; l.left < 0 {
			return false
		}
		now.loose = so.loose
		if n%full != 0 && n != l.most[i] {
			if so.loose == 0 {
				n -= n % full
			} else {
				now.loose--
			}
		}
		now.jars[i], now.volume, now.cost = n, so.volume+int64(n)*fill, so.cost.plus(l.alone[i][n])
		// So much more broth makes another load, which none does for the least leftover.
		now.reach = so.reach
		if l.prefer == PreferLoads && (limit < 0 || limit-n >= l.least[i]) {
			now.reach = min(so.reach, int64(l.least[i])*fill)
		}
		least := now.cost.loads
		if l.mix != nil {
			now.shared = l.mix.add(depth, n, so.shared)
			least = l.mix.fewest(now.shared).loads
		}
		last := depth == len(l.order)-1
		switch {
		case least > l.loads:
			continue
		case l.hopeless(depth+1, &now) && last:
			return true // fewer leave more still
		case last:
			for from > 0 && l.rooms[from-1] >= now.volume {
				from--
			}
			for to > 0 && l.rooms[to-1] >= now.volume+now.reach {
				to--
			}
			if from < to {
				l.settle(&now, from, to)
			}
		case !l.hopeless(depth+1, &now) && !l.list(depth+1, &now):
			return false
		}
	}
	return true
}

// hopeless reports whether sizes from depth on cannot make a filling of what is
// settled that serves any volume, or any better.
func (l *listing) hopeless(depth int, so *state) bool {
	later := &l.later[depth]
	most := int64(l.loads-so.cost.loads) * later.load
	if l.mix != nil {
		most = int64(so.shared.free)*later.jar + int64(l.loads*l.mix.highest-so.shared.layers)*later.layer
	}
	most = so.volume + min(most, later.all)
	if l.prefer == PreferLoads {
		return most+so.reach <= l.rooms[0]
	}
	// The last row begins with those that serve all the volumes.
	return l.served != nil && most < l.served[len(l.served)-1][0].volume
}

// settle takes a filling for the volumes in which it is the best so far.
func (l *listing) settle(now *state, from, to int) {
	k := bits.Len(uint(to-from)) - 1
	first, second := &l.served[k][from], &l.served[k][to-1<<k]
	f := now.filling
	f.found = true
	if l.mix != nil {
		f.cost = l.mix.fewest(now.shared)
		if first.found && second.found && !f.better(first, l.prefer) && !f.better(second, l.prefer) {
			return
		}
		f.cost = cheaper(now.cost, l.mix.cost(f.jars[:len(l.sizes)]))
	}
	if f.cost.loads <= l.loads {
		l.serve(&f, first)
		l.serve(&f, second)
	}
}

// choose returns the jars of each size that are filled of each volume by a preference;
// volumes must rise.
func (s *search) choose(volumes []quantity.Volume, prefer Preference) [][]int {
	counts := make([][]int, len(volumes))
	if prefer == PreferJars {
		for v := range volumes {
			counts[v] = s.preferred(volumes[v])
		}
		return counts
	}
	for v, f := range s.best(volumes, prefer) {
		if !f.found && len(s.sizes) > 0 {
			counts[v] = s.preferred(volumes[v])
			continue
		}
		counts[v] = make([]int, len(s.all))
		copy(counts[v], f.jars[:len(s.sizes)])
	}
	return counts
}

// preferred deals ready out by PreferJars.
func (s *search) preferred(left quantity.Volume) []int {
	counts := make([]int, len(s.all))
	filled := false
	for i, size := range s.all {
		most := size.Full(left, size.Limit)
		for counts[i] = most; counts[i] > 0 && !s.worthwhile(counts, i, filled); {
			counts[i]--
		}
		filled = filled || counts[i] > 0
		left -= quantity.Volume(counts[i]) * size.Fill
	}
	return counts
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
	cost := s.cost(counts)
	if enough || cost == impossible {
		return cost != impossible
	}
	fewer := slices.Clone(counts)
	fewer[i] -= over
	return cost.loads == s.cost(fewer).loads
}

// arrange puts jars into loads, full ones first and the sizes in the cook's
// order. prefer says whether a small last load may borrow from the one before.
func (s *search) arrange(counts []int, prefer Preference) []Load {
	if s.mix != nil && s.mix.cost(counts).less(s.apart(counts)) {
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
