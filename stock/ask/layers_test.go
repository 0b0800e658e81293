package ask_test

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/stock"
	"brothrun/stock/ask"
	"brothrun/stock/quantity"
	"brothrun/stock/runfile"
)

// layout plans a changed demo run and lays it out. Every layer that has spots is
// looked over by plain distances.
func layout(t testing.TB, change func(*runfile.Kitchen, *runfile.Run)) []stock.LayerDrawing {
	t.Helper()
	setup, batch := planned(t, change)
	drawings, err := ask.Layout(setup, batch)
	require.NoError(t, err)

	jars := 0
	for _, d := range drawings {
		const rounding = 1e-8 // m
		inLayer := 0
		for _, j := range d.Jars {
			inLayer += j.Count
		}
		jars += inLayer * len(d.Loads) * len(d.Racks)
		if len(d.Spots) == 0 {
			continue
		}
		require.Len(t, d.Spots, inLayer)
		for i, a := range d.Spots {
			require.LessOrEqual(t, math.Hypot(a.At.X.Metres(), a.At.Y.Metres())+a.Diameter.Metres()/2, (d.Width-d.Clearance).Metres()/2+rounding)
			for _, b := range d.Spots[:i] {
				require.GreaterOrEqual(t, math.Hypot((a.At.X-b.At.X).Metres(), (a.At.Y-b.At.Y).Metres()), (a.Diameter+b.Diameter).Metres()/2-rounding)
			}
		}
	}
	planned := 0
	for _, j := range batch.Jars {
		planned += j.Count
	}
	require.Equal(t, planned, jars, "every jar planned is drawn")

	again, err := ask.Layout(setup, batch)
	require.NoError(t, err)
	require.Equal(t, drawings, again, "the same plan is drawn the same")
	return drawings
}

func TestLayoutOfTheDemo(t *testing.T) {
	drawings := layout(t, func(_ *runfile.Kitchen, r *runfile.Run) { r.Simmer = nil })
	require.NotEmpty(t, drawings)
	d := drawings[0]
	// An ordinary canner holds 7 quarts (Michigan State University Extension).
	assert.Equal(t, []stock.JarCount{{Jar: "quart", Count: 7}}, d.Jars)
	assert.Len(t, d.Spots, 7)
	assert.Equal(t, []int{1}, d.Racks)
	assert.Equal(t, 12.25*quantity.Inch, d.Width)
	assert.Equal(t, quantity.Inch/8, d.Clearance)
	assert.False(t, d.WidthAssumed)
	assert.False(t, d.Counted)
}

func TestLayoutDrawsEachLayerOnce(t *testing.T) {
	// Nine pints a layer (Michigan State University Extension: 8 to 9 pints); two
	// racks carry eighteen.
	pints := func(n string) func(k *runfile.Kitchen, r *runfile.Run) {
		return func(k *runfile.Kitchen, r *runfile.Run) {
			k.Canner.Racks, k.Jars, r.Simmer, r.Jars = 2, nil, nil, "pint="+n
		}
	}
	type layer struct{ jars, loads, racks []int }
	tests := []struct {
		pints string
		want  []layer
	}{
		{"18", []layer{{[]int{9}, []int{1}, []int{1, 2}}}},
		{"22", []layer{{[]int{9}, []int{1}, []int{1, 2}}, {[]int{4}, []int{2}, []int{1}}}},
		{"14", []layer{{[]int{9}, []int{1}, []int{1}}, {[]int{5}, []int{1}, []int{2}}}},
	}
	for _, tt := range tests {
		var got []layer
		for _, d := range layout(t, pints(tt.pints)) {
			got = append(got, layer{[]int{d.Jars[0].Count}, d.Loads, d.Racks})
		}
		assert.Equal(t, tt.want, got, tt.pints)
	}
	// One rack: two full loads alike, and what is left.
	one := layout(t, func(k *runfile.Kitchen, r *runfile.Run) { pints("22")(k, r); k.Canner.Racks = 1 })
	require.Len(t, one, 2)
	assert.Equal(t, []int{1, 2}, one[0].Loads)
	assert.Equal(t, []int{3}, one[1].Loads)
}

// Where the cook's count and a measured canner contradict each other the plan
// says so, plans by the count, and never draws what geometry cannot place.
func TestHoldsAgainstGeometry(t *testing.T) {
	const source = "canner_capacity.csv: seven of 3.83 in need 3 · 3.83 = 11.49 in, eight 3.3048 · 3.83 = 12.66 in"
	tests := []struct {
		source  string
		width   quantity.Length // in
		holds   int
		warned  bool
		toScale bool
	}{
		{source, 12.25, 7, false, true},
		{source + "; one fewer is a stiff rack", 12.25, 6, false, true},
		{source + "; two fewer", 12.25, 5, true, true},
		{source + "; one more", 12.25, 8, true, false},
		{source + "; many more", 12.25, 30, true, false},
		{source + "; without the clearance only", 11.5, 7, false, true},
		{source + "; not even so", 11.48, 7, true, false},
	}
	for _, tt := range tests {
		change := func(k *runfile.Kitchen, r *runfile.Run) {
			r.Simmer, r.Jars = nil, "quart"
			k.Canner.Width, k.Canner.Holds = to(tt.width*quantity.Inch), map[string]int{"quart": tt.holds}
		}
		_, b := planned(t, change)
		assert.Equal(t, min(tt.holds, b.Jars[0].Count), b.Loads[0].Jars(), "the count wins: %s", tt.source)
		assert.Equal(t, tt.warned, slices.Contains(codes(b.Warnings), "holds-geometry"), "%d in %v in: %s", tt.holds, tt.width, tt.source)
		first := layout(t, change)[0]
		assert.Equal(t, tt.toScale, len(first.Spots) > 0, "%d in %v in: %s", tt.holds, tt.width, tt.source)
		assert.True(t, first.Counted)
		if tt.width == 11.5 {
			assert.Zero(t, first.Clearance)
		}
	}

	warnings := func(change func(*runfile.Kitchen, *runfile.Run)) []string {
		_, b := planned(t, change)
		return codes(b.Warnings)
	}
	// A width that nobody measured contradicts nothing.
	unmeasured := func(k *runfile.Kitchen, r *runfile.Run) {
		r.Simmer, r.Jars = nil, "quart"
		k.Canner.Width, k.Canner.Holds = nil, map[string]int{"quart": 8}
	}
	assert.NotContains(t, warnings(unmeasured), "holds-geometry")
	// But a label's 14 quarts are likely those of the whole canner.
	whole := func(k *runfile.Kitchen, r *runfile.Run) {
		unmeasured(k, r)
		k.Canner.Holds = map[string]int{"quart": 14}
	}
	assert.Contains(t, warnings(whole), "holds-geometry")
	first := layout(t, unmeasured)[0]
	assert.True(t, first.WidthAssumed)
	assert.Empty(t, first.Spots)

	// Nor does the count of a jar that is not filled.
	assert.NotContains(t, warnings(func(k *runfile.Kitchen, r *runfile.Run) {
		r.Jars = "quart"
		k.Canner.Holds = map[string]int{"pint": 30}
	}), "holds-geometry")
}

func TestLayoutOfOwnAndWideJars(t *testing.T) {
	drawings := layout(t, func(k *runfile.Kitchen, r *runfile.Run) {
		k.OwnJars, r.Jars, r.Simmer = []runfile.OwnJar{own("tall", 16.5, 5)}, "tall,quart", nil
		r.Mouth = "wide"
	})
	seen := map[string]quantity.Length{}
	for _, d := range drawings {
		for _, s := range d.Spots {
			seen[s.Jar] = s.Diameter
		}
	}
	// jars.csv: a wide quart is 3.93 in across.
	assert.Equal(t, map[string]quantity.Length{"tall": 3.25 * quantity.Inch, "quart": 3.93 * quantity.Inch}, seen)
}

// A layer of two sizes: each jar by its own diameter; where none is found, none.
func TestLayoutOfMixedLayers(t *testing.T) {
	setup, batch := planned(t, func(_ *runfile.Kitchen, r *runfile.Run) { r.Simmer, r.Jars = nil, "quart=5,pint" })
	require.Len(t, batch.Jars, 2)
	batch.Loads = []stock.Load{{Number: 1, Layers: []stock.Layer{
		{Rack: 1, Jars: []stock.JarCount{{Jar: "quart", Count: 4}, {Jar: "pint", Count: 3}}}, // where 7 quarts stand
		{Rack: 2, Jars: []stock.JarCount{{Jar: "quart", Count: 7}, {Jar: "pint", Count: 9}}}, // two full layers in one
	}}}
	drawings, err := ask.Layout(setup, batch)
	require.NoError(t, err)
	require.Len(t, drawings, 2)
	var inches []float64
	for _, s := range drawings[0].Spots {
		inches = append(inches, s.Diameter.Inches())
	}
	// jars.csv: 3.83 and 3.25 in across.
	assert.InDeltaSlice(t, []float64{3.83, 3.83, 3.83, 3.83, 3.25, 3.25, 3.25}, inches, 1e-9)
	assert.Empty(t, drawings[1].Spots)
	assert.False(t, drawings[1].Counted)
	assert.Equal(t, []int{2}, drawings[1].Racks)
}

func TestLayoutWithoutLoads(t *testing.T) {
	assert.Nil(t, layout(t, func(_ *runfile.Kitchen, r *runfile.Run) { r.Kind = "fish" }), "refused")
	assert.Nil(t, layout(t, func(k *runfile.Kitchen, r *runfile.Run) { r.Jars = "quart=0" }), "no jars")
}

func BenchmarkLayout(b *testing.B) {
	setup, batch := planned(b, nil)
	for b.Loop() {
		if _, err := ask.Layout(setup, batch); err != nil {
			b.Fatal(err)
		}
	}
}
