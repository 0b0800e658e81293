package stock

import (
	"maps"
	"slices"

	"brothrun/stock/chill"
	"brothrun/stock/kettle"
	"brothrun/stock/loading"
	"brothrun/stock/quantity"
	"brothrun/stock/remark"
	"brothrun/stock/runfile"
	"brothrun/stock/settle"
)

// Came is what is known of a run by now, and takes the place of what was estimated.
type Came struct {
	kettle.Came
	// Chill is the method that was begun; empty: the plan may still choose.
	Chill chill.Method
	// Cooled tells that readings show it cold in time, whatever the model says, and
	// Spoilt that they show the contrary: it is not food any more.
	Cooled, Spoilt bool
	// RestSpoilt tells the same of broth that was heated for a load and had to wait.
	RestSpoilt bool
	Broken     map[string]int // empty jars, by size
	Begun      []BegunLoad    // the loads that have begun, in order
}

// BegunLoad is a load as it was filled. One that is not processed, because the pressure
// was not held for the whole of the tested time, counts for nothing: its broth and its
// jars are there to be canned again.
type BegunLoad struct {
	Load
	Unprocessed bool
	Lost        bool // not processed, and too late to be canned again: the broth is gone
}

// PlanFrom is Plan for a run of which some is known: a measured volume takes the place
// of the estimate, its band that of measuring; loads that have begun stay as they were
// filled, and the rest of the broth and of the jars is planned anew.
func PlanFrom(setup settle.Setup, came Came) (Batch, error) {
	setup, err := came.poured(setup)
	if err != nil {
		return Batch{}, err
	}
	if came.Chill != "" && setup.Chill == "" && len(setup.Pots) == 0 {
		setup.Chill = came.Chill
	}
	setup = setup.Without(came.filled(), came.Broken)
	cooked, err := cook(setup, &came)
	if err != nil {
		return Batch{}, err
	}
	return cooked.can()
}

// filled is the jars in loads that have begun, by size.
func (c *Came) filled() map[string]int {
	filled := map[string]int{}
	for _, load := range c.Begun {
		if load.Unprocessed {
			continue
		}
		for name, n := range load.counts() {
			filled[name] += n
		}
	}
	return filled
}

// counts is the jars of a load, by size.
func (l Load) counts() map[string]int {
	counts := map[string]int{}
	for _, layer := range l.Layers {
		for _, j := range layer.Jars {
			counts[j.Jar] += j.Count
		}
	}
	return counts
}

// Filled is the load as the cook filled it, where that is other jars than planned:
// layer by layer as many as stand in one. The process of a load that holds another size
// is worked out again when the rest is planned.
func (l Load) Filled(jars []JarCount) Load {
	counts := map[string]int{}
	for _, j := range jars {
		counts[j.Jar] += j.Count
	}
	if maps.Equal(counts, l.counts()) {
		return l
	}
	l.Layers = []Layer{{Rack: 1, Jars: jars}}
	return l
}

// begin puts the loads that have begun before those that are planned, and returns what
// broth they took.
func (p *planner) begin(sizes []fillable) (taken quantity.Volume, err error) {
	b := &p.batch
	for _, begun := range p.came.Begun {
		layers := make(loading.Load, len(begun.Layers))
		known := true
		for i, layer := range begun.Layers {
			layers[i] = make([]int, len(sizes))
			for _, j := range layer.Jars {
				k := slices.IndexFunc(sizes, func(s fillable) bool { return s.name() == j.Jar })
				if known = known && k >= 0; k >= 0 {
					layers[i][k] += j.Count
				}
			}
		}
		if known { // what is in it now may take another time
			if err := p.load(layers, sizes); err != nil {
				return 0, err
			}
		} else {
			load := begun.Load
			load.Number = len(b.Loads) + 1
			b.Loads = append(b.Loads, load)
		}
		// As it was filled, though the sizes may be tried in another order by now.
		load := &b.Loads[len(b.Loads)-1]
		load.Layers, load.Unprocessed = begun.Layers, begun.Unprocessed
		if begun.Unprocessed && !begun.Lost {
			continue
		}
		for name, n := range begun.counts() {
			if k := slices.IndexFunc(sizes, func(s fillable) bool { return s.name() == name }); k >= 0 {
				taken += quantity.Volume(n) * sizes[k].Fill
			}
		}
	}
	return taken, nil
}

// addBegun counts the jars of loads that have begun among those to fill.
func (b *Batch) addBegun(begun []BegunLoad, sizes []fillable) {
	for _, load := range begun {
		if load.Unprocessed {
			continue
		}
		counts := load.counts()
		for _, s := range sizes {
			n := counts[s.name()]
			if n == 0 {
				continue
			}
			i := slices.IndexFunc(b.Jars, func(j JarsToFill) bool { return j.Jar == s.name() })
			if i < 0 {
				i = len(b.Jars)
				b.Jars = append(b.Jars, JarsToFill{JarCount: JarCount{s.name(), 0}, Mouth: s.mouth, Fill: s.Fill})
			}
			j := &b.Jars[i]
			j.Count, j.Low, j.High, j.Wash = j.Count+n, j.Low+n, j.High+n, j.Wash+n
		}
	}
}

// withBegun is the wishes, with the sizes of loads that have begun beside them.
func (c *Came) withBegun(wishes []runfile.JarWish) []runfile.JarWish {
	if c == nil {
		return wishes
	}
	for _, load := range c.Begun {
		for _, layer := range load.Layers {
			for _, j := range layer.Jars {
				if !slices.ContainsFunc(wishes, func(w runfile.JarWish) bool { return w.Jar == j.Jar }) {
					wishes = append(slices.Clip(wishes), runfile.JarWish{Jar: j.Jar, Limit: 0})
				}
			}
		}
	}
	return wishes
}

// spoilt refuses broth that readings show was not cold in time.
func (p *planner) spoilt() {
	if p.came != nil && p.came.Spoilt {
		p.refuse(remark.Of(remark.BrothSpoilt))
	}
}

// less is a sample of volumes with so much taken from each.
func less(sample []quantity.Volume, taken quantity.Volume) []quantity.Volume {
	if taken == 0 {
		return sample
	}
	left := make([]quantity.Volume, len(sample))
	for i, v := range sample {
		left[i] = max(0, v-taken)
	}
	return left
}
