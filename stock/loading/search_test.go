package loading

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/stock/canner"
	"brothrun/stock/jar"
	"brothrun/stock/process"
	"brothrun/stock/quantity"
)

// fillables are sizes of the catalogue in a canner, at 3,200 ft; a limit below 0
// is none.
func fillables(t testing.TB, can canner.Canner, limits map[string]int, names ...string) []Size {
	t.Helper()
	var sizes []Size
	for _, name := range names {
		j, err := jar.Find(name, jar.Regular)
		require.NoError(t, err)
		fill, err := j.ColdFill(process.Headspace, quantity.Celsius(97))
		require.NoError(t, err)
		shape := canner.Shape{Name: j.Name, Diameter: j.PackDiameter, Height: j.Height}
		capacity, err := can.Capacity(shape)
		require.NoError(t, err)
		setting, err := process.Lookup(process.Turkey, process.Size(name), process.Weighted, 3200*quantity.Foot)
		require.NoError(t, err)
		limit, limited := limits[name]
		if !limited {
			limit = -1
		}
		quartTime := process.Size(name).QuartTime()
		published := canner.Published(quartTime, setting.Time).Total().Likely
		sizes = append(sizes, Size{Fill: fill, Limit: limit, Shape: shape, Capacity: capacity, QuartTime: quartTime,
			Pressure: setting.Pressure, LoadTime: published, Published: published})
	}
	return sizes
}

var allKinds = []string{"quart", "pint-and-half", "pint", "half-pint"}

// figures are what a plan is compared by, worked out the long way.
type figures struct {
	left        float64 // ml
	loads, jars int
	time        time.Duration
	counts      []int
}

// less compares by the written order of a preference.
func (a figures) less(b figures, prefer Preference) bool {
	left := a.left - b.left
	if math.Abs(left) < 1e-4 {
		left = 0
	}
	by := []float64{left, float64(a.loads - b.loads)}
	if prefer == PreferLoads {
		slices.Reverse(by)
	}
	by = append(by, float64(a.time-b.time), float64(a.jars-b.jars))
	for i := range a.counts {
		by = append(by, float64(b.counts[i]-a.counts[i]))
	}
	for _, difference := range by {
		if difference != 0 {
			return difference < 0
		}
	}
	return false
}

// bruteLeast is the least sensible load: 2 quarts or 4 pints, and never more than
// a full one.
func bruteLeast(f Size) int {
	if f.Shape.Name == "quart" || f.Shape.Name == "pint-and-half" {
		return min(2, f.Capacity.Jars())
	}
	return min(4, f.Capacity.Jars())
}

// bruteForce tries every number of jars of every size, with small loads or
// without; nil when there is no plan at all.
func bruteForce(sizes []Size, can *canner.Canner, ready quantity.Volume, prefer Preference, small bool) []int {
	var best *figures
	counts := make([]int, len(sizes))
	var try func(i int, left float64)
	try = func(i int, left float64) {
		if i < len(sizes) {
			f := sizes[i].Fill.Millilitres()
			for n := 0; (sizes[i].Limit < 0 || n <= sizes[i].Limit) && float64(n)*f <= left+1e-3; n++ {
				counts[i] = n
				try(i+1, left-float64(n)*f)
			}
			counts[i] = 0
			return
		}
		if prefer == PreferLoads && bruteMore(sizes, counts, left, small) {
			return
		}
		loads, spent, ok := bruteLoads(sizes, can, counts, small)
		if !ok {
			return
		}
		plan := figures{left: left, loads: loads, time: spent, counts: slices.Clone(counts)}
		for _, n := range counts {
			plan.jars += n
		}
		if best == nil || plan.less(*best, prefer) {
			best = &plan
		}
	}
	try(0, ready.Millilitres())
	if best == nil {
		return nil
	}
	return best.counts
}

// bruteMore reports whether what is left makes one more load.
func bruteMore(sizes []Size, counts []int, left float64, small bool) bool {
	for j, size := range sizes {
		least := bruteLeast(size)
		if small {
			least = 1
		}
		if left+1e-3 >= float64(least)*size.Fill.Millilitres() &&
			(size.Limit < 0 || size.Limit-counts[j] >= least) {
			return true
		}
	}
	return false
}

// bruteLoads is the fewest loads, and of these the least time, that hold jars.
func bruteLoads(sizes []Size, can *canner.Canner, counts []int, few bool) (loads int, spent time.Duration, ok bool) {
	ok = true
	for i, n := range counts {
		if n == 0 {
			continue
		}
		m := 1 // loads of one size, each between the least and the most
		for m*sizes[i].Capacity.Jars() < n {
			m++
		}
		ok = ok && (few || n >= m*bruteLeast(sizes[i]))
		loads += m
		spent += time.Duration(m) * sizes[i].LoadTime
	}
	if can == nil {
		return loads, spent, ok
	}

	// The layers, the widest jars first, and narrower ones into their free places.
	var layers []int // the size of each
	enough := make([]bool, len(sizes))
	order := []int{}
	for i := range sizes {
		order = append(order, i)
	}
	slices.SortFunc(order, func(a, b int) int {
		return int(1e6 * float64(sizes[b].Shape.Diameter-sizes[a].Shape.Diameter))
	})
	free, last := 0, -1
	for _, i := range order {
		n, own, room := counts[i], 0, &free
		if last >= 0 && sizes[i].Capacity.PerLayer < sizes[last].Capacity.PerLayer {
			room = new(int) // by the cook's count fewer of the narrower stand in a layer: apart
		} else {
			last = i
		}
		for ; n > *room; own++ {
			layers = append(layers, i)
			*room += sizes[i].Capacity.PerLayer
		}
		*room -= n
		enough[i] = few || min(n, own*sizes[i].Capacity.PerLayer) >= own*bruteLeast(sizes[i])
	}
	bestLoads, bestSpent, found := 0, time.Duration(0), false
	var deal func(rest []int, loads int, spent time.Duration)
	deal = func(rest []int, loads int, spent time.Duration) {
		if len(rest) == 0 {
			if !found || loads < bestLoads || loads == bestLoads && spent < bestSpent {
				bestLoads, bestSpent, found = loads, spent, true
			}
			return
		}
		if found && loads >= bestLoads {
			return
		}
		for chosen := 1; chosen < 1<<len(rest); chosen += 2 { // the first layer and any others
			height, n, sensible, takes := can.RackThickness+quantity.Inch/4, 0, false, time.Duration(0)
			var left []int
			for k, i := range rest {
				if chosen>>k&1 == 0 {
					left = append(left, i)
					continue
				}
				n++
				height += sizes[i].Shape.Height
				sensible = sensible || enough[i]
				takes = max(takes, sizes[i].LoadTime)
			}
			height += quantity.Length(n-1) * quantity.Inch / 10
			if n <= can.Racks && height <= can.Height+1e-9 && sensible {
				deal(left, loads+1, spent+takes)
			}
		}
	}
	deal(layers, 0, 0)
	if found && (!ok || bestLoads < loads || bestLoads == loads && bestSpent < spent) {
		return bestLoads, bestSpent, true
	}
	return loads, spent, ok
}

func TestThePlanIsTheBestOfAllThereAre(t *testing.T) {
	random := rand.New(rand.NewPCG(5, 58))
	mixed, none, short := 0, 0, 0
	for range 6000 {
		can := canner.Canner{
			Width:  quantity.Length(9+random.IntN(6)) * quantity.Inch,
			Height: (8 + 10*quantity.Length(random.Float64())) * quantity.Inch,
			Racks:  1 + random.IntN(3), RackThickness: quantity.Inch / 4,
		}
		names := slices.Clone(allKinds)
		random.Shuffle(len(names), func(i, j int) { names[i], names[j] = names[j], names[i] })
		names = names[:1+random.IntN(len(names))]
		limits := map[string]int{}
		if random.IntN(4) == 0 {
			can.Holds = map[string]int{names[0]: 2 + random.IntN(9)}
		}
		for _, name := range names {
			if random.IntN(3) == 0 {
				limits[name] = random.IntN(9)
			}
		}
		most := []float64{0, 12, 9, 5, 3.5}[len(names)]
		ready := quantity.Volume(most*random.Float64()) * quantity.Litre
		var shared *canner.Canner
		if random.IntN(2) == 0 {
			shared = &can
		}
		sizes := fillables(t, can, limits, names...)
		if random.IntN(2) == 0 { // plans tie
			for i := range sizes {
				sizes[i].Fill = map[string]quantity.Volume{"quart": 800, "pint-and-half": 600, "pint": 400, "half-pint": 200}[sizes[i].Shape.Name] * quantity.Millilitre
			}
		}
		// Half the searches are made for more broth than is asked about.
		small := random.IntN(2) == 0
		search := newSearch(sizes, shared, ready*quantity.Volume(1+random.IntN(2)), small)
		left := map[Preference]float64{}
		number := map[Preference]int{}
		for _, prefer := range []Preference{PreferLoads, PreferLeftover, PreferJars} {
			about := fmt.Sprintf("%s of %v in %+v, limits %v, of %v, mixed %v, small loads %v", prefer, ready.Litres(), can, limits, names, shared != nil, small)
			way := search.way(ready, prefer)
			got, over := way.Counts, way.Left
			wantLoads, wantTime, ok := bruteLoads(sizes, shared, got, small)
			require.True(t, ok, about)
			if prefer != PreferJars {
				require.Equal(t, bruteForce(sizes, shared, ready, prefer, small), got, about)
			}
			require.Equal(t, wantLoads, way.Loads, about)
			require.Equal(t, wantTime, way.Time, about)
			loads := search.arrange(got, prefer)
			require.Len(t, loads, wantLoads, about)
			checkLoads(t, sizes, can, got, loads, small, about)
			left[prefer], number[prefer] = over.Millilitres(), wantLoads
			if slices.ContainsFunc(loads, func(l Load) bool { return kindsIn(l) > 1 }) {
				mixed++
			}
			if len(loads) == 0 && slices.ContainsFunc(sizes, func(f Size) bool { return f.Fill <= ready && f.Limit != 0 }) {
				none++
			}
			if len(limits) > 0 {
				short++
			}
			if prefer == PreferJars && !bruteMore(sizes, got, over.Millilitres(), small) {
				// It is one of those that the others are chosen from.
				require.LessOrEqual(t, number[PreferLoads], wantLoads, about)
			}
			require.LessOrEqual(t, left[PreferLeftover], over.Millilitres()+1e-3, about)
		}
	}
	assert.Greater(t, mixed, 50, "loads of several sizes were among the cases")
	assert.Greater(t, none, 50, "so was broth for less than a load")
	assert.Greater(t, short, 50, "so were few jars")
}

// Whatever few jars there are and whatever the cook chose: of all ways to fill them,
// the least leftover is the least, and the fewest loads the fewest of those that leave
// too little for one more.
func TestThePreferencesAreTheBestOfAllThereAre(t *testing.T) {
	random := rand.New(rand.NewPCG(14, 11))
	some, few := 0, 0
	for draw := range 3000 {
		names := slices.Clone(allKinds)
		random.Shuffle(len(names), func(i, j int) { names[i], names[j] = names[j], names[i] })
		names = names[:2+random.IntN(2)]
		limits := map[string]int{}
		for _, name := range names {
			limits[name] = 1 + random.IntN(6)
			if random.IntN(6) == 0 {
				limits[name] += 6
			}
		}
		can := canner.Canner{Width: 12.25 * quantity.Inch, Height: 11.5 * quantity.Inch, Racks: 1 + random.IntN(2), RackThickness: quantity.Inch / 4}
		q := Question{Sizes: fillables(t, can, limits, names...), Likely: quantity.Volume(2+5*random.Float64()) * quantity.Quart,
			Shared: sharedIf(random.IntN(3) == 0, &can), SmallLoads: random.IntN(3) == 0,
			Prefer: []Preference{PreferJars, PreferLoads, PreferLeftover}[draw%3]}
		about := fmt.Sprintf("%v of %v l, %+v", limits, q.Likely.Litres(), q)
		plan := Fill(q)
		require.Len(t, plan.Preferences, 3)
		for i, prefer := range []Preference{PreferJars, PreferLoads, PreferLeftover} {
			way := plan.Preferences[i]
			require.Equal(t, prefer, way.Prefer)
			if prefer == q.Prefer {
				require.Equal(t, plan.Way, way, about)
			}
			want := way.Counts
			if prefer != PreferJars {
				want = bruteForce(q.Sizes, q.Shared, q.Likely, prefer, q.SmallLoads)
			}
			require.Equal(t, want, way.Counts, about)
			loads, takes, ok := bruteLoads(q.Sizes, q.Shared, want, q.SmallLoads)
			require.True(t, ok, about)
			require.Equal(t, loads, way.Loads, about)
			require.Equal(t, takes, way.Time, about)
			require.InDelta(t, leftOf(q.Likely, want, q.Sizes).Millilitres(), way.Left.Millilitres(), 1e-3, about)
			require.GreaterOrEqual(t, way.Left.Millilitres(), plan.Preferences[2].Left.Millilitres()-1e-3, about)
		}
		require.Len(t, plan.Filling, plan.Loads, about)
		for _, load := range plan.Filling {
			require.True(t, q.SmallLoads || !load.Small(q.Sizes), about)
		}
		if way := plan.WithSmallLoads; way != nil {
			require.False(t, q.SmallLoads, about)
			require.Less(t, way.Left, plan.Left, about)
			if q.Prefer != PreferJars {
				require.Equal(t, bruteForce(q.Sizes, q.Shared, q.Likely, q.Prefer, true), way.Counts, about)
			}
			few++
		}
		if plan.Loads > 0 {
			some++
		}
	}
	assert.Greater(t, some, 2000, "most were broth for a load")
	assert.Greater(t, few, 50, "some were broth for a small one")
}

func kindsIn(load Load) int {
	seen := map[int]bool{}
	for _, layer := range load {
		for i, n := range layer {
			if n > 0 {
				seen[i] = true
			}
		}
	}
	return len(seen)
}

// checkLoads asserts what the loads of any plan must keep.
func checkLoads(t *testing.T, sizes []Size, can canner.Canner, counts []int, loads []Load, few bool, about string) {
	t.Helper()
	in := make([]int, len(counts))
	for _, load := range loads {
		require.LessOrEqual(t, len(load), can.Racks, about)
		height, pints := can.RackThickness+quantity.Inch/4, 0
		full := false
		for l, layer := range load {
			jars, tallest := 0, quantity.Length(0)
			widest := -1
			for i, n := range layer {
				if n == 0 {
					continue
				}
				in[i] += n
				full = full || kindsIn(load) == 1 && len(load) == sizes[i].Capacity.Layers && n == sizes[i].Capacity.PerLayer
				jars += n
				tallest = max(tallest, sizes[i].Shape.Height)
				pints += n
				if sizes[i].QuartTime {
					pints += n
				}
				if widest < 0 || sizes[i].Shape.Diameter > sizes[widest].Shape.Diameter {
					widest = i
				}
			}
			require.Positive(t, jars, about)
			// Jars no wider than the widest stand in as many places as it has.
			require.LessOrEqual(t, jars, max(sizes[widest].Capacity.PerLayer, layerOf(sizes, layer)), about)
			height += tallest
			if l > 0 {
				height += quantity.Inch / 10
			}
		}
		require.LessOrEqual(t, float64(height), float64(can.Height)+1e-9, about)
		if !few {
			require.False(t, canner.SmallLoad(false, pints) && !full, "%v in %s", load, about)
			require.False(t, load.Small(sizes), about)
		}
	}
	require.Equal(t, counts, in, about)
}

// layerOf is how many places a layer of one size has; 0 for a mixed one.
func layerOf(sizes []Size, layer []int) int {
	places, kinds := 0, 0
	for i, n := range layer {
		if n > 0 {
			kinds++
			places = sizes[i].Capacity.PerLayer
		}
	}
	if kinds > 1 {
		return 0
	}
	return places
}

// Four sizes of a big pot have more fillings than are listed. What is left of them is
// less than half of what filling one jar is uncertain by: 1/8 in of headspace (the
// finest mark of the headspace tools; common practice, no source) across the mouth of
// a regular jar, 2 3/8 in inside, is 9 ml.
func TestOfManyJarsNoMoreIsLeftThanFillingThemIsUncertainBy(t *testing.T) {
	const uncertain = 9 * quantity.Millilitre
	can := canner.Canner{Width: 12.25 * quantity.Inch, Height: 15 * quantity.Inch, Racks: 2, RackThickness: quantity.Inch / 4}
	sizes := fillables(t, can, nil, allKinds...)
	halfPint := sizes[3].Fill
	for _, mix := range []bool{false, true} {
		for _, ready := range []quantity.Volume{0, halfPint, 199 * halfPint, 200 * halfPint, 26 * quantity.Litre, 37 * quantity.Litre, 48.1 * quantity.Litre, 70.7 * quantity.Litre, 199 * quantity.Litre} {
			search := newSearch(sizes, sharedIf(mix, &can), ready, true)
			assert.LessOrEqual(t, search.way(ready, PreferLeftover).Left, uncertain/2, "%g l", ready.Litres())
		}
	}
}

// What is found for many volumes at once is what is found for each by itself.
func TestASampleIsPlannedAsItsVolumesAre(t *testing.T) {
	random := rand.New(rand.NewPCG(23, 11))
	for range 400 {
		can := canner.Canner{Width: 12.25 * quantity.Inch, Height: quantity.Length(8+random.IntN(7)) * quantity.Inch, Racks: 1 + random.IntN(3)}
		names := slices.Clone(allKinds)
		random.Shuffle(len(names), func(i, j int) { names[i], names[j] = names[j], names[i] })
		names = names[:1+random.IntN(len(names))]
		limits := map[string]int{}
		for _, name := range names {
			if random.IntN(2) == 0 {
				limits[name] = random.IntN(9)
			}
		}
		volumes := make([]quantity.Volume, 1+random.IntN(40))
		for v := range volumes {
			volumes[v] = quantity.Volume(9*random.Float64()) * quantity.Litre
		}
		slices.Sort(volumes)
		search := newSearch(fillables(t, can, limits, names...), sharedIf(random.IntN(2) == 0, &can), 9*quantity.Litre, random.IntN(2) == 0)
		for _, prefer := range []Preference{PreferLoads, PreferLeftover} {
			for v, counts := range search.choose(volumes, prefer) {
				require.Equal(t, search.way(volumes[v], prefer).Counts, counts, "%s of %g l in %+v, limits %v, of %v", prefer, volumes[v].Litres(), can, limits, names)
			}
		}
	}
}

// A sensible load is 2 quarts or 4 pints (a jar maker's advice that Iowa State
// Extension calls sensible but untested); of both, a quart counts as two pints. A full
// load is one, however few it takes.
func TestWhatIsASmallLoad(t *testing.T) {
	can := canner.Canner{Width: 12.25 * quantity.Inch, Height: 15 * quantity.Inch, Racks: 2, RackThickness: quantity.Inch / 4}
	sizes := fillables(t, can, nil, "quart", "pint")
	for _, row := range []struct {
		load  Load // quarts and pints of each layer
		small bool
	}{
		{Load{{1, 0}}, true}, {Load{{2, 0}}, false},
		{Load{{0, 3}}, true}, {Load{{0, 4}}, false},
		{Load{{1, 1}}, true}, {Load{{1, 2}}, false},
		{Load{{1, 0}, {0, 1}}, true}, {Load{{1, 0}, {0, 2}}, false},
		{Load{{0, 2}, {0, 1}}, true}, {Load{{0, 2}, {0, 2}}, false},
		{Load{{1, 0}, {1, 0}}, false},
	} {
		assert.Equal(t, row.small, row.load.Small(sizes), "%v", row.load)
	}
	narrow := canner.Canner{Width: 7 * quantity.Inch, Height: 8 * quantity.Inch, Racks: 1, RackThickness: quantity.Inch / 4}
	assert.False(t, Load{{1, 0}}.Small(fillables(t, narrow, nil, "quart", "pint")), "it holds no second")
}

// More jars than a kitchen has are planned all the same: the loads are what loads must
// be, and no more broth is left than would make another.
func TestManyJarsArePlannedInLoads(t *testing.T) {
	can := canner.Canner{Width: 12.25 * quantity.Inch, Height: 15 * quantity.Inch, Racks: 2, RackThickness: quantity.Inch / 4}
	for _, mix := range []bool{false, true} {
		for _, limits := range []map[string]int{nil, {"quart": 90, "pint": 111, "half-pint": 200}} {
			sizes := fillables(t, can, limits, allKinds...)
			for _, ready := range []quantity.Volume{31 * quantity.Litre, 70 * quantity.Litre, 190 * quantity.Litre} {
				search := newSearch(sizes, sharedIf(mix, &can), ready, false)
				for _, prefer := range []Preference{PreferLoads, PreferLeftover} {
					about := fmt.Sprintf("%s of %g l, mixed %v, limits %v", prefer, ready.Litres(), mix, limits)
					way := search.way(ready, prefer)
					loads := search.arrange(way.Counts, prefer)
					checkLoads(t, sizes, can, way.Counts, loads, false, about)
					assert.Len(t, loads, way.Loads, about)
					assert.False(t, bruteMore(sizes, way.Counts, way.Left.Millilitres(), false), about)
				}
			}
		}
	}
}

// Some hundred loads of each of four small sizes, more fillings than could be listed,
// have a plan for each volume.
func TestHundredsOfLoadsHaveAPlan(t *testing.T) {
	can := canner.Canner{Width: 12.25 * quantity.Inch, Height: 15 * quantity.Inch, Racks: 1, RackThickness: quantity.Inch / 4}
	for _, limit := range []int{-1, 61*20 + 1} { // the one more makes no load
		sizes := fillables(t, can, nil, allKinds...)
		for i := range sizes {
			sizes[i].Fill = sizes[3].Fill / quantity.Volume(4+i)
			sizes[i].Limit, sizes[i].Capacity.PerLayer = limit, 20
		}
		volumes := make([]quantity.Volume, 64)
		for v := range volumes {
			volumes[v] = (100 + 2*quantity.Volume(v)) * quantity.Litre
		}
		search := newSearch(sizes, nil, volumes[63], false)
		for _, prefer := range []Preference{PreferLoads, PreferLeftover} {
			for v, counts := range search.choose(volumes, prefer) {
				left := leftOf(volumes[v], counts, sizes).Millilitres()
				require.True(t, left > -2e-3 && !bruteMore(sizes, counts, left, false), "%s: %g ml left of %g l", prefer, left, volumes[v].Litres())
			}
		}
	}
}

// In an ordinary canner and up: 7 quarts or 9 pints stand in a layer.
func TestMoreRoomNeverAddsLoads(t *testing.T) {
	random := rand.New(rand.NewPCG(6, 58))
	for range 60 {
		ready := quantity.Volume(30*random.Float64()) * quantity.Litre
		names := allKinds[:1+random.IntN(3)]
		can := canner.Canner{Width: 12 * quantity.Inch, Height: quantity.Length(8+random.IntN(6)) * quantity.Inch, Racks: 1, RackThickness: quantity.Inch / 4}
		wider, higher, racked := can, can, can
		wider.Width += quantity.Length(random.IntN(4)) * quantity.Inch
		higher.Height += quantity.Length(1+random.IntN(6)) * quantity.Inch
		racked.Racks++
		for _, mix := range []bool{false, true} {
			loads := func(can canner.Canner) int {
				sizes := fillables(t, can, nil, names...)
				search := newSearch(sizes, sharedIf(mix, &can), ready, false)
				return search.way(ready, PreferLoads).Loads
			}
			before := loads(can)
			assert.LessOrEqual(t, loads(wider), before, "%v wider", can)
			assert.LessOrEqual(t, loads(higher), before, "%v higher", can)
			assert.LessOrEqual(t, loads(racked), before, "%v one rack more", can)
		}
		sizes, more := fillables(t, can, nil, names...), fillables(t, racked, nil, names...)
		preferred := func(sizes []Size) int {
			search := newSearch(sizes, nil, ready, false)
			return search.way(ready, PreferJars).Loads
		}
		assert.LessOrEqual(t, preferred(more), preferred(sizes))
	}
}

func sharedIf(mix bool, can *canner.Canner) *canner.Canner {
	if mix {
		return can
	}
	return nil
}

func TestMoreBrothIsNeverLessInJars(t *testing.T) {
	can := canner.Canner{Width: 12.25 * quantity.Inch, Height: 11.5 * quantity.Inch, Racks: 2, RackThickness: quantity.Inch / 4}
	for _, mix := range []bool{false, true} {
		for kinds := 1; kinds <= MostSizes; kinds++ {
			sizes := fillables(t, can, map[string]int{"quart": 9}, allKinds[:kinds]...)
			search := newSearch(sizes, sharedIf(mix, &can), 16*quantity.Litre, false)
			before := quantity.Volume(0)
			for ready := quantity.Volume(0); ready < 16*quantity.Litre; ready += 130 * quantity.Millilitre {
				filled := ready - leftOf(ready, search.way(ready, PreferLeftover).Counts, sizes)
				assert.GreaterOrEqual(t, filled.Millilitres(), before.Millilitres()-1e-6, "%v", ready.Litres())
				assert.LessOrEqual(t, filled.Millilitres(), ready.Millilitres()+2e-3)
				before = filled
			}
		}
	}
}

func TestShare(t *testing.T) {
	for _, row := range []struct {
		jars, groups, most, least int
		want                      []int
	}{
		{8, 2, 7, 1, []int{7, 1}},
		{8, 2, 7, 2, []int{6, 2}},
		{16, 3, 7, 2, []int{7, 7, 2}},
		{10, 2, 9, 4, []int{6, 4}},
		{7, 2, 6, 4, []int{6, 1}}, // no two loads of 4
		{0, 0, 7, 2, []int{}},
	} {
		assert.Equal(t, row.want, share(row.jars, row.groups, row.most, row.least), "%+v", row)
	}
}

// The four sizes in a canner of two layers, some 200 jars: the target is 10 ms.
func BenchmarkLoadPlan(b *testing.B) {
	can := canner.Canner{Width: 12.25 * quantity.Inch, Height: 12 * quantity.Inch, Racks: 2, RackThickness: quantity.Inch / 4}
	for _, row := range []struct {
		name   string
		litres quantity.Volume
		mix    bool
		limits map[string]int
	}{
		{"two hundred jars", 70, false, nil},
		{"two hundred jars mixed", 70, true, nil},
		{"fifty on hand of each", 120, false, map[string]int{"quart": 50, "pint-and-half": 50, "pint": 50, "half-pint": 50}},
		{"fifty on hand of each mixed", 120, true, map[string]int{"quart": 50, "pint-and-half": 50, "pint": 50, "half-pint": 50}},
	} {
		sizes := fillables(b, can, row.limits, allKinds...)
		for _, prefer := range []Preference{PreferLoads, PreferLeftover} {
			b.Run(row.name+" "+string(prefer), func(b *testing.B) {
				var shared *canner.Canner
				if row.mix {
					shared = &can
				}
				jars := 0
				for b.Loop() {
					way := newSearch(sizes, shared, row.litres*quantity.Litre, false).way(row.litres*quantity.Litre, prefer)
					jars = 0
					for _, n := range way.Counts {
						jars += n
					}
				}
				b.ReportMetric(float64(jars), "jars")
			})
		}
	}
}

// The numbers of layers are counted before anything is made for them.
func TestLayeringsAreCountedAsTheyAreMade(t *testing.T) {
	random := rand.New(rand.NewPCG(11, 18))
	for range 60 {
		can := canner.Canner{Width: 12.25 * quantity.Inch, Height: 24 * quantity.Inch, Racks: 1 + random.IntN(3)}
		limits := map[string]int{}
		for _, name := range allKinds {
			if random.IntN(2) == 0 {
				limits[name] = random.IntN(30)
			}
		}
		sizes := fillables(t, can, limits, allKinds[:1+random.IntN(4)]...)
		most := quantity.Volume(1+random.IntN(40)) * quantity.Litre
		n := len(newSearch(sizes, &can, most, true).mix.states)
		// A jar may lack a thousandth of a millilitre here and not there.
		require.InDelta(t, n, layerings(sizes, most, math.MaxInt), float64(n)/100)
		require.Zero(t, layerings(sizes, most, n*9/10-1), "more than most")
	}
}

// All four sizes of the catalogue are planned with in the largest pot of a home; what
// would take hours or all memory is not begun. Own limits.
func TestHowManySizesShareLoads(t *testing.T) {
	can := canner.Canner{Width: 12.25 * quantity.Inch, Height: 15 * quantity.Inch, Racks: 2}
	sizes := fillables(t, can, nil, allKinds...)
	single := slices.Clone(sizes)
	for i := range single {
		single[i].Capacity.PerLayer = 1 // by the cook's count
	}
	takes := func(sizes []Size, shared *canner.Canner, volume quantity.Volume) int {
		return Question{Sizes: sizes, Likely: volume, Prefer: PreferJars, Shared: shared}.Takes()
	}
	assert.Equal(t, 4, takes(sizes, &can, 60*quantity.Quart))
	for _, row := range []struct {
		volume quantity.Volume
		want   int
	}{{5 * quantity.Quart, 4}, {60 * quantity.Quart, 2}, {200 * quantity.Litre, 2}, {20_000 * quantity.Litre, 1}} {
		assert.Equal(t, row.want, takes(single, &can, row.volume), "%g l", row.volume.Litres())
		assert.Equal(t, 4, takes(single, nil, row.volume), "by themselves")
	}
	made := newSearch(single[:2], &can, 200*quantity.Litre, false).mix
	assert.LessOrEqual(t, len(made.states)*len(made.stacks), mostTrials)
	assert.LessOrEqual(t, len(made.at), mostPlaces)
	assert.Equal(t, 5, takes(append(slices.Clone(sizes), sizes[0]), nil, 9*quantity.Quart))
	assert.Equal(t, 4, Question{Sizes: append(slices.Clone(sizes), sizes[0]), Prefer: PreferLoads}.Takes())
}
