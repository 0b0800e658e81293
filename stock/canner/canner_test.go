package canner_test

import (
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/stock/canner"
	"brothrun/stock/quantity"
)

const inch = quantity.Inch

// The jars of the published check widths: quarts 3.75 in, regular pints 3.25 in.
var (
	quart = canner.Shape{Name: "quart", Diameter: 3.75 * inch, Height: 6.9 * inch}
	pint  = canner.Shape{Name: "pint", Diameter: 3.25 * inch, Height: 5.13 * inch}
)

// record is one row of a published table by column name.
type record struct {
	t      testing.TB
	values map[string]string
}

func (r record) text(column string) string {
	r.t.Helper()
	require.Contains(r.t, r.values, column)
	return r.values[column]
}

func (r record) number(column string) float64 {
	r.t.Helper()
	x, err := strconv.ParseFloat(r.text(column), 64)
	require.NoError(r.t, err, "row %s: %s", r.values["row"], column)
	return x
}

func (r record) length(column string) quantity.Length {
	r.t.Helper()
	return quantity.Length(r.number(column)) * inch
}

func published(t testing.TB, name string, rows int) []record {
	t.Helper()
	file, err := os.Open("../../testdata/published/" + name)
	require.NoError(t, err)
	defer file.Close()
	reader := csv.NewReader(file)
	reader.Comment = '#'
	lines, err := reader.ReadAll()
	require.NoError(t, err)
	require.Len(t, lines, 1+rows)
	var records []record
	for _, line := range lines[1:] {
		values := map[string]string{}
		for i, column := range lines[0] {
			values[column] = line[i]
		}
		records = append(records, record{t, values})
	}
	return records
}

// bare is a canner whose whole inside width takes jars, as the check widths
// have it.
func bare(width, height quantity.Length, racks int) canner.Canner {
	return canner.Canner{Width: width, Height: height, Racks: racks, Clearance: -inch}
}

func capacity(t testing.TB, c canner.Canner, s canner.Shape) canner.Capacity {
	t.Helper()
	got, err := c.Capacity(s)
	require.NoError(t, err)
	return got
}

func TestCapacityMatchesThePublishedTable(t *testing.T) {
	kinds := map[string]int{}
	for _, row := range published(t, "canner_capacity.csv", 46) {
		kind := row.text("kind")
		kinds[kind]++
		name := row.text("jar") + " in " + row.text("width_in") + " in: " + row.text("source")
		switch kind {
		case "published":
			checkPublished(t, row)
		case "layer":
			s := canner.Shape{Name: row.text("jar"), Diameter: row.length("diameter_in"), Height: pint.Height}
			width := row.length("width_in")
			assert.InDelta(t, row.number("per_layer"), capacity(t, bare(width, 10*inch, 1), s).PerLayer, 0, name)
			// The default clearance is what it is said to be: 1/8 in off the width.
			roomy := canner.Canner{Width: width + inch/8, Height: 10 * inch, Racks: 1}
			assert.InDelta(t, row.number("per_layer"), capacity(t, roomy, s).PerLayer, 0, name)
		case "least":
			// Printed to 0.01 in: enough half a unit above, too little half a unit below.
			s := canner.Shape{Name: row.text("jar"), Diameter: row.length("diameter_in"), Height: pint.Height}
			width, n := row.length("width_in"), int(row.number("per_layer"))
			assert.GreaterOrEqual(t, capacity(t, bare(width+0.00501*inch, 10*inch, 1), s).PerLayer, n, name)
			assert.Less(t, capacity(t, bare(width-0.00501*inch, 10*inch, 1), s).PerLayer, n, name)
		case "height":
			height, layers := row.length("height_in"), int(row.number("layers"))
			s := canner.Shape{Name: row.text("jar"), Diameter: pint.Diameter, Height: 5.2 * inch}
			c := bare(12.25*inch, height, layers)
			if height > 11.1*inch {
				c.RackThickness = inch / 2
			}
			assert.Equal(t, layers, capacity(t, c, s).Layers, name)
			c.Height -= inch / 1000
			assert.Equal(t, layers-1, capacity(t, c, s).Layers, "a thousandth of an inch too low: %s", name)
		default:
			assert.Fail(t, "unknown kind", kind)
		}
	}
	assert.Equal(t, map[string]int{"published": 6, "layer": 28, "least": 10, "height": 2}, kinds)
}

// checkPublished checks a published capacity over the whole range of inside
// widths that make the canner the sort it is called, none of them published:
// they are the "least" rows of the same table. An ordinary or small canner is
// 10.5 in high and a large one 11 in with two racks.
func checkPublished(t *testing.T, row record) {
	t.Helper()
	s, low, high := quart, 11.25, 12.39 // seven quarts to below eight
	if row.text("jar") == "pint" {
		s, low = pint, 11.75 // nine pints to below ten
	}
	if row.text("per_layer") == "8" {
		low, high = 11.25, 11.73 // eight pints
	}
	if row.text("per_layer") == "4" {
		low, high = 9.06, 10.12 // four quarts to below five, 2.7013 · 3.75 = 10.13 in
	}
	c := bare(0, 10.5*inch, 1)
	if strings.HasPrefix(row.text("source"), "large") {
		c.Height, c.Racks = 11*inch, 2
	}
	for width := low; width <= high; width += 0.01 {
		c.Width = quantity.Length(width) * inch
		got := capacity(t, c, s)
		name := fmt.Sprintf("%s in %.2f in: %s", s.Name, width, row.text("source"))
		require.InDelta(t, row.number("per_layer"), got.PerLayer, 0, name)
		require.InDelta(t, row.number("layers"), got.Layers, 0, name)
		require.InDelta(t, row.number("jars"), got.Jars(), 0, name)
		require.False(t, got.Measured)
	}
}

// One layer of quarts, added by hand: jar + rack + 0.25 in below the lid.
func TestLeastHeightForQuarts(t *testing.T) {
	tests := []struct {
		jar, rack, height float64 // in
		source            string
	}{
		{6.8, 0.25, 7.3, "6.8 + 0.25 + 0.25"},
		{7.0, 0.5, 7.75, "7.0 + 0.5 + 0.25"},
	}
	for _, tt := range tests {
		s := canner.Shape{Name: "quart", Diameter: quart.Diameter, Height: quantity.Length(tt.jar) * inch}
		c := bare(12.25*inch, quantity.Length(tt.height)*inch, 1)
		c.RackThickness = quantity.Length(tt.rack) * inch
		assert.Equal(t, 1, capacity(t, c, s).Layers, tt.source)
		c.Height -= inch / 1000
		_, err := c.Capacity(s)
		require.ErrorContains(t, err, "too low", tt.source)
	}
}

// Widening a canner, raising it or adding a rack never loses a jar.
func TestCapacityNeverFalls(t *testing.T) {
	for _, s := range []canner.Shape{pint, quart} {
		last := 0
		for width := 6.0; width <= 24; width += 0.05 {
			got := capacity(t, bare(quantity.Length(width)*inch, 10*inch, 1), s)
			require.GreaterOrEqual(t, got.PerLayer, last, "%.2f in", width)
			last = got.PerLayer
		}
		last = 0
		for height := 7.5; height <= 24; height += 0.05 {
			got := capacity(t, bare(12.25*inch, quantity.Length(height)*inch, 10), s)
			require.GreaterOrEqual(t, got.Layers, last, "%.2f in", height)
			last = got.Layers
		}
		last = 0
		for racks := 1; racks <= 10; racks++ {
			got := capacity(t, bare(12.25*inch, 24*inch, racks), s)
			require.GreaterOrEqual(t, got.Layers, last)
			require.LessOrEqual(t, got.Layers, racks, "each layer stands on a rack")
			last = got.Layers
		}
	}
}

func TestLayersAreLimitedByHeightOrRacks(t *testing.T) {
	const source = "jar heights added by hand: two pints 2 · 5.13 + rack 0.25 + divider 0.1 + lid room 0.25 = 10.86 in"
	tests := []struct {
		height  quantity.Length
		racks   int
		shape   canner.Shape
		layers  int
		limited string
		source  string
	}{
		{10.5 * inch, 1, pint, 1, "height", source},
		{10.5 * inch, 2, pint, 1, "height", source},
		{10.86 * inch, 1, pint, 1, "racks", source},
		{10.86 * inch, 2, pint, 2, "height", source},
		{10.86 * inch, 3, pint, 2, "height", source},
		{10.85 * inch, 2, pint, 1, "height", source},
		{11.5 * inch, 2, quart, 1, "height", source},
		{24 * inch, 2, pint, 2, "racks", source},
	}
	for _, tt := range tests {
		got := capacity(t, bare(12.25*inch, tt.height, tt.racks), tt.shape)
		assert.Equal(t, tt.layers, got.Layers, "%v %d racks: %s", tt.height.Inches(), tt.racks, tt.source)
		assert.Equal(t, tt.limited, got.LimitedBy, "%v in %d racks: %s", tt.height.Inches(), tt.racks, tt.source)
		assert.Equal(t, got.PerLayer*got.Layers, got.Jars())
	}
}

func TestCountedJarsWinOverGeometry(t *testing.T) {
	c := bare(12.25*inch, 11*inch, 2)
	c.Holds = map[string]int{"pint": 8}
	assert.Equal(t, canner.Capacity{PerLayer: 8, Layers: 2, Measured: true, LimitedBy: "height"}, capacity(t, c, pint))
	assert.Equal(t, canner.Capacity{PerLayer: 7, Layers: 1, LimitedBy: "height"}, capacity(t, c, quart), "quarts were not counted")
	for _, n := range []int{1, 61} {
		c.Holds["pint"] = n
		assert.Equal(t, n, capacity(t, c, pint).PerLayer)
	}
}

func TestCapacityRejectsBadInput(t *testing.T) {
	good := canner.Canner{Width: 12.25 * inch, Height: 11 * inch, Racks: 1}
	nan, inf := quantity.Length(math.NaN()), quantity.Length(math.Inf(1))
	tests := []struct {
		change func(*canner.Canner, *canner.Shape)
		says   []string
	}{
		{func(c *canner.Canner, _ *canner.Shape) { c.Width = 5.99 * inch }, []string{"width 5.99 in", "6 in to 24 in"}},
		{func(c *canner.Canner, _ *canner.Shape) { c.Width = 24.01 * inch }, []string{"width 24.01 in", "6 in to 24 in"}},
		{func(c *canner.Canner, _ *canner.Shape) { c.Width = nan }, []string{"width NaN"}},
		{func(c *canner.Canner, _ *canner.Shape) { c.Width = 0 }, []string{"width 0 in"}},
		{func(c *canner.Canner, _ *canner.Shape) { c.Height = 4.9 * inch }, []string{"height 4.9 in", "5 in to 24 in"}},
		{func(c *canner.Canner, _ *canner.Shape) { c.Height = inf }, []string{"height +Inf"}},
		{func(c *canner.Canner, _ *canner.Shape) { c.Height = nan }, []string{"height NaN"}},
		{func(c *canner.Canner, _ *canner.Shape) { c.RackThickness = -inch }, []string{"rack thickness -1 in"}},
		{func(c *canner.Canner, _ *canner.Shape) { c.RackThickness = nan }, []string{"rack thickness NaN"}},
		{func(c *canner.Canner, _ *canner.Shape) { c.Clearance = 1.1 * inch }, []string{"clearance 1.1 in", "up to 1 in"}},
		{func(c *canner.Canner, _ *canner.Shape) { c.Clearance = nan }, []string{"clearance NaN"}},
		{func(c *canner.Canner, _ *canner.Shape) { c.Clearance = -inf }, []string{"clearance -Inf"}},
		{func(c *canner.Canner, _ *canner.Shape) { c.Racks = 0 }, []string{"racks 0", "1 to 10"}},
		{func(c *canner.Canner, _ *canner.Shape) { c.Racks = -1 }, []string{"racks -1"}},
		{func(c *canner.Canner, _ *canner.Shape) { c.Racks = 11 }, []string{"racks 11"}},
		{func(c *canner.Canner, _ *canner.Shape) { c.Holds = map[string]int{"quart": 0} }, []string{"holds 0 quart", "1 to 61"}},
		{func(c *canner.Canner, _ *canner.Shape) { c.Holds = map[string]int{"quart": 500} }, []string{"holds 500 quart", "1 to 61"}},
		{func(c *canner.Canner, _ *canner.Shape) { c.Holds = map[string]int{"quart": -7} }, []string{"holds -7 quart"}},
		{func(_ *canner.Canner, s *canner.Shape) { s.Diameter = 0 }, []string{"jar quart", "1 in to 12 in"}},
		{func(_ *canner.Canner, s *canner.Shape) { s.Diameter = nan }, []string{"NaN"}},
		{func(_ *canner.Canner, s *canner.Shape) { s.Height = -inch }, []string{"1 in to 24 in"}},
		{func(_ *canner.Canner, s *canner.Shape) { s.Height = inf }, []string{"+Inf"}},
		// What is needed: 7 in and 1/8 in clearance; 6.9 in, the rack 0.25 in and 0.25 in below the lid.
		{func(c *canner.Canner, s *canner.Shape) { c.Width, s.Diameter = 7*inch, 7*inch }, []string{"canner 7 in (17.78 cm) wide is too narrow for a quart", "7.125 in"}},
		{func(c *canner.Canner, _ *canner.Shape) { c.Height = 7.39 * inch }, []string{"canner 7.39 in (18.771 cm) high is too low for a quart", "7.4 in"}},
		{func(c *canner.Canner, _ *canner.Shape) { c.Height = 7.399 * inch }, []string{"canner 7.399 in", "7.4 in"}},
	}
	for _, tt := range tests {
		c, s := good, quart
		tt.change(&c, &s)
		got, err := c.Capacity(s)
		assert.Zero(t, got)
		for _, part := range tt.says {
			require.ErrorContains(t, err, part)
		}
	}
	_, err := good.Capacity(quart)
	require.NoError(t, err, "each case above is wrong in one thing only")
}

func TestSplit(t *testing.T) {
	const source = "published capacities (USDA text, MSU Extension 01600948), shared out by hand"
	single := func(n int) canner.Capacity { return canner.Capacity{PerLayer: n, Layers: 1} }
	tests := []struct {
		jars     int
		capacity canner.Capacity
		want     [][]int
		source   string
	}{
		{14, single(7), [][]int{{7}, {7}}, source},
		{15, single(7), [][]int{{7}, {7}, {1}}, source},
		{28, canner.Capacity{PerLayer: 9, Layers: 2}, [][]int{{9, 9}, {9, 1}}, source},
		{28, single(8), [][]int{{8}, {8}, {8}, {4}}, source},
		{5, canner.Capacity{PerLayer: 9, Layers: 2}, [][]int{{5}}, source},
		{0, single(7), nil, source},
		{-3, single(7), nil, source},
		{5, canner.Capacity{}, nil, source},
		{5, canner.Capacity{PerLayer: 7}, nil, source},
	}
	for _, tt := range tests {
		assert.Equal(t, tt.want, canner.Split(tt.jars, tt.capacity), "%d in %+v: %s", tt.jars, tt.capacity, tt.source)
	}
}

// No jar is lost or made, every load but the last is full, and no layer stands
// on one that is not.
func TestSplitKeepsEveryJar(t *testing.T) {
	for perLayer := 1; perLayer <= 19; perLayer++ {
		for layers := 1; layers <= 3; layers++ {
			c := canner.Capacity{PerLayer: perLayer, Layers: layers}
			for jars := 1; jars <= 60; jars++ {
				loads := canner.Split(jars, c)
				require.Len(t, loads, (jars+c.Jars()-1)/c.Jars())
				total := 0
				for i, load := range loads {
					sum := 0
					for k, n := range load {
						require.Positive(t, n)
						require.LessOrEqual(t, n, perLayer)
						if k+1 < len(load) {
							require.Equal(t, perLayer, n, "lower layers are full")
						}
						sum += n
					}
					if i+1 < len(loads) {
						require.Equal(t, c.Jars(), sum, "loads are full but the last")
					}
					require.LessOrEqual(t, len(load), layers)
					total += sum
				}
				require.Equal(t, jars, total)
			}
		}
	}
}

func TestCycleMatchesThePublishedTimes(t *testing.T) {
	// USDA Complete Guide, Guide 5, "Meat stock (broth)".
	tested := map[string]time.Duration{"pint": 20 * time.Minute, "quart": 25 * time.Minute}
	checked := 0
	for _, row := range published(t, "canner_times.csv", 8) {
		for class, process := range tested {
			if row.text("jar") != "any" && row.text("jar") != class {
				continue
			}
			p := canner.Published(class == "quart", process)
			got, known := map[string]quantity.Band[time.Duration]{
				"heat_up": p.HeatUp, "vent": p.Vent, "pressurise": p.Pressurise,
				"depressurise": p.Depressurise, "wait": p.Wait, "total": p.Total(),
			}[row.text("step")]
			name := row.text("step") + " " + class + ": " + row.text("source")
			require.True(t, known, name)
			assert.InDelta(t, row.number("low_min"), got.Low.Minutes(), 0, name)
			assert.InDelta(t, row.number("high_min"), got.High.Minutes(), 0, name)
			assert.LessOrEqual(t, got.Low, got.Likely, name)
			assert.LessOrEqual(t, got.Likely, got.High, name)
			checked++
		}
	}
	assert.Equal(t, 4*2+4, checked)
}

// Whatever the tested time, it is kept whole.
func TestCycleKeepsTheProcessTime(t *testing.T) {
	for _, minutes := range []time.Duration{20, 25, 90} {
		p := canner.Published(true, minutes*time.Minute)
		assert.Equal(t, quantity.Exactly(minutes*time.Minute), p.Process)
	}
}

func TestSmallLoad(t *testing.T) {
	const source = "a jar maker's advice of 2016, 2 quarts or 4 pints, as told by Iowa State Extension"
	tests := []struct {
		quarts bool
		jars   int
		small  bool
		source string
	}{
		{true, 0, true, source}, {true, 1, true, source}, {true, 2, false, source}, {true, 7, false, source},
		{false, 0, true, source}, {false, 3, true, source}, {false, 4, false, source}, {false, 18, false, source},
	}
	for _, tt := range tests {
		assert.Equal(t, tt.small, canner.SmallLoad(tt.quarts, tt.jars), "%d, quarts %t: %s", tt.jars, tt.quarts, tt.source)
	}
	assert.Equal(t, 4, canner.MinimumQuarts, "a canner holds 4 quarts upright: Wisconsin, Iowa State and Clemson Extension")
}

func BenchmarkCapacity(b *testing.B) {
	c := canner.Canner{Width: 12.25 * inch, Height: 11 * inch, Racks: 2}
	for b.Loop() {
		_, _ = c.Capacity(pint)
	}
}

func BenchmarkSplit(b *testing.B) {
	c := canner.Capacity{PerLayer: 9, Layers: 2}
	for b.Loop() {
		_ = canner.Split(40, c)
	}
}
