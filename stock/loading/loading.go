// Package loading chooses which jars are filled and which canner loads they make.
//
// It takes values and returns values: how many jars of each size there are and what
// one takes, how they stand in the canner and how long a load takes, in; the jars to
// fill, the jars of every layer of every load, and what a sample of volumes comes to,
// out. Volumes compare to the millionth of a millilitre, jars are whole, and the
// plan is the best there is: see Preference for what best means. Nothing in here can
// fail; the caller has checked what it hands in.
package loading

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"brothrun/stock/canner"
	"brothrun/stock/fault"
	"brothrun/stock/quantity"
)

// Preference is what a plan of jars and canner loads is chosen for.
type Preference string

// The preferences. Each compares plans by its figures in the order written here
// and, where all of them are equal, fills more of the size the cook named first.
//
// No plan has a load of fewer than 2 quarts or 4 pints (canner.SmallLoad), unless
// the cook allows small loads: then any load is one that may be planned. That is
// settled in search.least, and nowhere else.
const (
	// PreferJars fills as many as can be filled of the first size, then of the
	// second, each in full loads and a last one. Jars that would make the last load
	// too small are left out, and so are fewer of a later size than a sensible load,
	// small loads allowed or not; where sizes may share a load, those of them are
	// filled that find room beside others.
	PreferJars Preference = "jars"
	// PreferLoads takes the plans that leave too little, or too few jars, for one
	// more load; of these the fewest loads, the least leftover, the fewest hours on
	// the stove, the fewest jars. Jars are shared out between loads so that none is
	// too small: 8 quarts where 7 stand are loads of 6 and 2.
	PreferLoads Preference = "loads"
	// PreferLeftover is the least leftover, to the millionth of a millilitre; then
	// the fewest loads, the fewest hours, the fewest jars. Jars are shared out as
	// above.
	PreferLeftover Preference = "leftover"
)

// ParsePreference reads a preference; empty text is PreferJars.
func ParsePreference(text string) (Preference, error) {
	switch preference := Preference(strings.ToLower(strings.TrimSpace(text))); preference {
	case "":
		return PreferJars, nil
	case PreferJars, PreferLoads, PreferLeftover:
		return preference, nil
	}
	return "", fmt.Errorf("preference %q is not known: must be jars, loads or leftover%s", text,
		fault.DidYouMean(text, []Preference{PreferJars, PreferLoads, PreferLeftover}))
}

// MostSizes is how many sizes of jar are searched: the first of those given.
// PreferJars takes any number where each load is of one size.
const MostSizes = 4

// Size is one size of jar that may be filled and stands in the canner.
type Size struct {
	Fill      quantity.Volume // cold broth one jar takes; above 0
	Limit     int             // jars there are; -1 when nobody counted
	Shape     canner.Shape
	Capacity  canner.Capacity
	QuartTime bool              // it takes the quarts' time: 2 make a load, not 4
	Pressure  quantity.Pressure // tested; sizes share a load only at the same
	LoadTime  time.Duration     // likely, of a full first load: what every load of it counts as
	// Published is the published steps of a load added up. It tells which of two
	// sizes takes the longer tested time, whatever the canner.
	Published time.Duration
}

// Sensible is how many jars of a size make a sensible load: where fewer than 2
// quarts or 4 pints stand in the canner, as many as do.
func (size Size) Sensible() int {
	n := 1
	for n < size.Capacity.Jars() && canner.SmallLoad(size.QuartTime, n) {
		n++
	}
	return n
}

// Full is how many jars of a size a volume fills to their headspace, at most limit
// of them; a limit below 0 is none.
func (size Size) Full(v quantity.Volume, limit int) int {
	n := int(math.Floor(float64(v/size.Fill) + 1e-9))
	if limit >= 0 {
		n = min(n, limit)
	}
	return max(0, n)
}

// Load is one canner load: the jars of each size in each layer, lowest first.
type Load [][]int

// Small reports whether a load is too small to be sensible: none of its sizes is
// enough by itself, nor are all together, a quart counting as two pints.
func (load Load) Small(sizes []Size) bool {
	pints := 0
	for i, size := range sizes {
		jars := 0
		for _, layer := range load {
			jars += layer[i]
		}
		if jars >= size.Sensible() {
			return false
		}
		pints += jars
		if size.QuartTime {
			pints += jars
		}
	}
	return canner.SmallLoad(false, pints)
}

// Question is what there is to fill, and with what.
type Question struct {
	Sizes      []Size            // in the order of the cook's preference
	Likely     quantity.Volume   // of broth ready to fill: what is planned
	Sample     []quantity.Volume // equally likely volumes of it
	Prefer     Preference
	Shared     *canner.Canner // for loads of several sizes; nil keeps to one size a load
	SmallLoads bool           // loads of fewer jars than sensible may be planned
}

// Plan is the answer for the likely volume, and what the sample comes to.
type Plan struct {
	Way                // the chosen one
	Filling     []Load // the jars of its loads, full ones first
	Spread      Outcomes
	Preferences []Way // the best by each preference, PreferJars first
	// WithSmallLoads is what Prefer comes to with small loads allowed; nil unless they
	// are not allowed and would fill a jar more.
	WithSmallLoads *Way
}

// Way is one way to fill the likely volume.
type Way struct {
	Prefer Preference
	Counts []int // jars of each size
	Left   quantity.Volume
	Loads  int
	Time   time.Duration // of the canner, by Size.LoadTime
}

// Most is the most broth there may be to fill.
func (q Question) Most() quantity.Volume { return max(q.Likely, slices.Max(append(q.Sample, 0))) }

// Takes is how many of its sizes, the first, Fill can take: all where each load is of
// one size and they are filled in turn, else MostSizes or, where sizes share loads in
// too many ways, fewer.
func (q Question) Takes() int {
	switch {
	case q.Shared != nil:
		return mixable(q.Sizes, q.Most())
	case q.Prefer != PreferJars:
		return min(len(q.Sizes), MostSizes)
	}
	return len(q.Sizes)
}

// Fill plans the jars and the loads. It takes no more sizes than Takes.
func Fill(q Question) Plan {
	most := q.Likely
	if q.Prefer != PreferJars || q.Shared != nil {
		most = q.Most()
	}
	s := newSearch(q.Sizes, q.Shared, most, q.SmallLoads)
	plan := Plan{Way: s.way(q.Likely, q.Prefer), Spread: s.spread(q.Sample, q.Prefer)}
	plan.Filling = s.arrange(plan.Counts, q.Prefer)
	for _, prefer := range []Preference{PreferJars, PreferLoads, PreferLeftover} {
		way := plan.Way
		if prefer != q.Prefer {
			way = s.way(q.Likely, prefer)
		}
		plan.Preferences = append(plan.Preferences, way)
	}
	fills := func(v quantity.Volume) bool {
		return slices.ContainsFunc(q.Sizes, func(size Size) bool { return size.Fill <= v })
	}
	if !q.SmallLoads && fills(plan.Left) {
		way := newSearch(q.Sizes, q.Shared, q.Likely, true).way(q.Likely, q.Prefer)
		if fills(plan.Left - way.Left) {
			plan.WithSmallLoads = &way
		}
	}
	return plan
}

func (s *search) way(ready quantity.Volume, prefer Preference) Way {
	counts := s.choose([]quantity.Volume{ready}, prefer)[0]
	takes := s.takes(counts)
	return Way{prefer, counts, max(0, leftOf(ready, counts, s.all)), takes.loads, takes.time}
}
