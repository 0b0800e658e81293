package packing_test

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/stock/packing"
	"brothrun/stock/quantity"
)

func ratio(t *testing.T, n int) float64 {
	t.Helper()
	got, err := packing.RadiusRatio(n)
	require.NoError(t, err)
	return got
}

func count(t *testing.T, container, circle quantity.Length) int {
	t.Helper()
	got, err := packing.Count(container, circle)
	require.NoError(t, err)
	return got
}

func TestRadiusRatioPublished(t *testing.T) {
	const source = "circle_packing.csv: Specht, best known packings of equal circles in a circle"
	file, err := os.Open("../../testdata/published/circle_packing.csv")
	require.NoError(t, err)
	defer file.Close()
	reader := csv.NewReader(file)
	reader.Comment = '#'
	rows, err := reader.ReadAll()
	require.NoError(t, err)
	require.Equal(t, []string{"n", "container_radius_over_circle_radius"}, rows[0])
	require.Len(t, rows, packing.Most+1)
	for _, row := range rows[1:] {
		n, err := strconv.Atoi(row[0])
		require.NoError(t, err)
		want, err := strconv.ParseFloat(row[1], 64)
		require.NoError(t, err)
		// At least 16 digits are printed: no fewer than a float64 has.
		assert.InEpsilon(t, want, ratio(t, n), 1e-15, "%d circles: %s", n, source)
	}
}

func TestRadiusRatioClosedForms(t *testing.T) {
	const source = "closed forms of the proven packings: Graham et al. 1998, Discrete Mathematics 181, 139-154; worked out here"
	tests := []struct {
		n    int
		want float64
	}{
		{1, 1},
		{2, 2},
		{3, 1 + 2/math.Sqrt(3)},
		{4, 1 + math.Sqrt2},
		{5, 1 + math.Sqrt(2*(1+1/math.Sqrt(5)))},
		{6, 3},
		{7, 3},
		{8, 1 + 1/math.Sin(math.Pi/7)},
		{9, 1 + math.Sqrt(4+2*math.Sqrt2)},
		{11, 1 + 1/math.Sin(math.Pi/9)},
		{13, 2 + math.Sqrt(5)},
		{18, 1 + math.Sqrt2 + math.Sqrt(6)},
		{19, 1 + math.Sqrt2 + math.Sqrt(6)},
	}
	for _, tt := range tests {
		assert.InEpsilon(t, tt.want, ratio(t, tt.n), 1e-15, "%d circles: %s", tt.n, source)
	}
}

func TestRadiusRatioAgainstARing(t *testing.T) {
	// k circles whose centres stand evenly on a ring touch when the ring's radius
	// is 1/sin(π/k); from six on, one more fits in the middle.
	ring := func(k int) float64 { return 1 + 1/math.Sin(math.Pi/float64(k)) }
	tests := []struct {
		source string
		k      int
		want   float64
	}{
		{"ring of circles, trigonometry", 6, 3.0000},
		{"ring of circles, trigonometry", 7, 3.3048},
		{"ring of circles, trigonometry", 8, 3.6131},
		{"ring of circles, trigonometry", 9, 3.9238},
		{"ring of circles, trigonometry", 10, 4.2361},
	}
	for _, tt := range tests {
		assert.InDelta(t, tt.want, ring(tt.k), 0.00005, "ring of %d: %s", tt.k, tt.source)
	}
	for k := 2; k <= 6; k++ {
		assert.InEpsilon(t, ring(k), ratio(t, k), 1e-15, "%d circles are one ring", k)
	}
	for k := 6; k <= 8; k++ {
		assert.InEpsilon(t, ring(k), ratio(t, k+1), 1e-15, "%d circles are a ring round one", k+1)
	}
	for k := 6; k < packing.Most; k++ {
		assert.LessOrEqual(t, ratio(t, k+1), ring(k)*(1+1e-15), "%d circles are never worse than a ring round one", k+1)
	}
}

// The circles themselves, laid out: none may overlap, and the best known circle
// round them must be the smallest that holds them.
func TestRadiusRatioHoldsCirclesLaidOut(t *testing.T) {
	const degree = math.Pi / 180
	type course struct {
		circles       int
		radius, phase float64
	}
	ring := func(circles int, phase float64) course {
		return course{circles, 1 / math.Sin(math.Pi/float64(circles)), phase}
	}
	centre, shoulder := course{1, 0, 0}, 1/math.Sin(80*degree)
	tests := []struct {
		source  string
		n       int
		courses []course
	}{
		{"ring, trigonometry", 2, []course{ring(2, 0)}},
		{"ring, trigonometry", 3, []course{ring(3, 0)}},
		{"ring, trigonometry", 4, []course{ring(4, 0)}},
		{"ring, trigonometry", 5, []course{ring(5, 0)}},
		{"ring, trigonometry", 6, []course{ring(6, 0)}},
		{"6 + 1", 7, []course{ring(6, 0), centre}},
		{"7 + 1", 8, []course{ring(7, 0), centre}},
		{"8 + 1", 9, []course{ring(8, 0), centre}},
		{"9 + 2, the two in gaps of the ring 160° apart", 11, []course{ring(9, 20*degree), {1, shoulder, 0}, {1, shoulder, 160 * degree}}},
		{"10 + 3", 13, []course{ring(10, 0), ring(3, 0)}},
		{"12 + 6", 18, []course{ring(12, 15*degree), ring(6, 0)}},
		{"12 + 6 + 1", 19, []course{ring(12, 15*degree), ring(6, 0), centre}},
	}
	for _, tt := range tests {
		var xs, ys []float64
		reach, closest := 0.0, math.Inf(1)
		for _, c := range tt.courses {
			for i := range c.circles {
				sin, cos := math.Sincos(c.phase + 2*math.Pi*float64(i)/float64(c.circles))
				x, y := c.radius*cos, c.radius*sin
				reach = max(reach, math.Hypot(x, y)+1)
				for j := range xs {
					closest = min(closest, math.Hypot(x-xs[j], y-ys[j]))
				}
				xs, ys = append(xs, x), append(ys, y)
			}
		}
		require.Len(t, xs, tt.n, tt.source)
		assert.GreaterOrEqual(t, closest, 2-1e-12, "%d circles overlap: %s", tt.n, tt.source)
		assert.InDelta(t, reach, ratio(t, tt.n), 1e-12, "%d circles: %s", tt.n, tt.source)
	}
}

// Equal circles cover at most π/√12 of the plane (Thue, from memory), and less of
// a circle.
func TestRadiusRatioNeverOverfills(t *testing.T) {
	for n := 2; n <= packing.Most; n++ {
		assert.Less(t, float64(n)/math.Pow(ratio(t, n), 2), math.Pi/math.Sqrt(12), "%d circles", n)
	}
}

func TestRadiusRatioNeverFalls(t *testing.T) {
	for n := 2; n <= packing.Most; n++ {
		assert.GreaterOrEqual(t, ratio(t, n), ratio(t, n-1), "%d circles", n)
	}
}

func TestRadiusRatioRange(t *testing.T) {
	for _, n := range []int{math.MinInt, -1, 0, packing.Most + 1, math.MaxInt} {
		_, err := packing.RadiusRatio(n)
		assert.ErrorContains(t, err, "must be from 1 to 61", "%d", n)
	}
}

func TestCountJarsPerLayer(t *testing.T) {
	const source = "best known radii of circle_packing.csv, no clearance, worked out separately"
	inside := []float64{9.25, 10, 11, 12, 12.25, 13, 15} // in
	tests := []struct {
		jar  float64 // in
		want []int
	}{
		{3.25, []int{5, 7, 8, 9, 9, 11, 15}},
		{3.3, []int{5, 7, 8, 9, 9, 11, 15}},
		{3.75, []int{4, 4, 5, 7, 7, 8, 11}},
		{3.9, []int{3, 4, 5, 7, 7, 8, 10}},
	}
	for _, tt := range tests {
		for i, width := range inside {
			got := count(t, quantity.Length(width)*quantity.Inch, quantity.Length(tt.jar)*quantity.Inch)
			assert.Equal(t, tt.want[i], got, "%v in jars in %v in: %s", tt.jar, width, source)
		}
	}
}

func TestSmallestInsideDiameter(t *testing.T) {
	const (
		source  = "best known radii of circle_packing.csv, no clearance, worked out separately"
		printed = 0.005 // in
	)
	tests := []struct {
		jars     int
		diameter float64 // in, of one jar
		inside   float64 // in
	}{
		{4, 3.75, 9.05}, {4, 3.9, 9.42},
		{7, 3.75, 11.25}, {7, 3.9, 11.70},
		{8, 3.75, 12.39}, {8, 3.9, 12.89},
		{7, 3.25, 9.75}, {8, 3.25, 10.74}, {9, 3.25, 11.74}, {10, 3.25, 12.39},
	}
	for _, tt := range tests {
		assert.InDelta(t, tt.inside, ratio(t, tt.jars)*tt.diameter, printed, "%d jars of %v in: %s", tt.jars, tt.diameter, source)
		jar := quantity.Length(tt.diameter) * quantity.Inch
		assert.GreaterOrEqual(t, count(t, quantity.Length(tt.inside+printed)*quantity.Inch, jar), tt.jars, "just wide enough: %s", source)
		assert.Less(t, count(t, quantity.Length(tt.inside-printed-1e-6)*quantity.Inch, jar), tt.jars, "just too narrow: %s", source)
	}
}

func TestCountPublishedCannerLoads(t *testing.T) {
	tests := []struct {
		source      string
		inside, jar float64 // in
		want        int
	}{
		{"USDA leaflet, Michigan State University Extension 01600948: most hold 7 quarts", 11.25, 3.75, 7},
		{"USDA leaflet, Michigan State University Extension 01600948: most hold 7 quarts", 12.38, 3.75, 7},
		{"USDA leaflet, Michigan State University Extension 01600948: or 8 pints", 11.25, 3.25, 8},
		{"USDA leaflet, Michigan State University Extension 01600948: to 9 pints", 11.75, 3.25, 9},
		{"USDA leaflet, Michigan State University Extension 01600948: small ones 4 quarts", 9.25, 3.75, 4},
	}
	for _, tt := range tests {
		got := count(t, quantity.Length(tt.inside)*quantity.Inch, quantity.Length(tt.jar)*quantity.Inch)
		assert.Equal(t, tt.want, got, "%v in jars in %v in: %s", tt.jar, tt.inside, tt.source)
	}
}

func TestCountAtExactRatios(t *testing.T) {
	units := []quantity.Length{quantity.Inch, quantity.Foot, quantity.Millimetre, quantity.Centimetre, quantity.Metre}
	for _, unit := range units {
		for tenths := 1; tenths <= 200; tenths++ {
			circle := quantity.Length(tenths) / 10 * unit
			assert.Equal(t, 7, count(t, quantity.Length(3*tenths)/10*unit, circle), "three circles wide holds seven")
			assert.Equal(t, 1, count(t, circle, circle), "a circle holds itself")
		}
	}
	for n := 1; n <= packing.Most; n++ {
		most := n
		if n == 6 || n == 18 {
			most++ // one more fits in the same circle
		}
		exact := quantity.Length(ratio(t, n))
		assert.Equal(t, most, count(t, exact, 1), "%d circles", n)
		assert.Equal(t, most, count(t, exact*(1-0.9e-9), 1), "%d circles, within the slack", n)
		assert.Less(t, count(t, exact*(1-1.1e-9), 1), n, "%d circles, beyond the slack", n)
	}
}

// Six circles need the container of seven, so a hair less than three circles wide
// loses two.
func TestCountJustBelowThreeCircles(t *testing.T) {
	for _, circle := range []quantity.Length{3.25 * quantity.Inch, 3.75 * quantity.Inch, 3.9 * quantity.Inch, 99 * quantity.Millimetre} {
		assert.Equal(t, 7, count(t, 3*circle, circle))
		assert.Equal(t, 5, count(t, 3*circle*(1-1e-6), circle))
	}
}

func TestCountNeverRisesAsTheCirclesGrow(t *testing.T) {
	last := packing.Most
	for millimetres := 1; millimetres <= 400; millimetres++ {
		got := count(t, 311*quantity.Millimetre, quantity.Length(millimetres)*quantity.Millimetre)
		require.LessOrEqual(t, got, last, "%d mm", millimetres)
		last = got
	}
	assert.Zero(t, last)
}

func TestCountNeverFallsAsTheContainerGrows(t *testing.T) {
	last := 0
	for millimetres := 1; millimetres <= 1000; millimetres++ {
		got := count(t, quantity.Length(millimetres)*quantity.Millimetre, 100*quantity.Millimetre)
		require.GreaterOrEqual(t, got, last, "%d mm", millimetres)
		last = got
	}
	assert.Equal(t, packing.Most, last)
}

func TestCountEnds(t *testing.T) {
	assert.Equal(t, 0, count(t, 3*quantity.Inch, 3.25*quantity.Inch), "too wide for the container")
	assert.Equal(t, packing.Most, count(t, 100*quantity.Inch, 1*quantity.Inch), "the table ends")
	assert.Equal(t, packing.Most, count(t, 1, math.SmallestNonzeroFloat64), "the ratio overflows")
}

func TestCountRange(t *testing.T) {
	for _, metres := range []float64{0, math.Copysign(0, -1), -0.1, 1e6, math.NaN(), math.Inf(1), math.Inf(-1)} {
		_, err := packing.Count(quantity.Length(metres), quantity.Inch)
		assert.ErrorContains(t, err, "container diameter", "%v m", metres)
		_, err = packing.Count(quantity.Inch, quantity.Length(metres))
		assert.ErrorContains(t, err, "circle diameter", "%v m", metres)
	}
	_, err := packing.Count(-0.25, quantity.Inch)
	assert.EqualError(t, err, "container diameter -0.25 m is out of range: must be more than 0 m and less than 1,000,000 m")
}

func BenchmarkCount(b *testing.B) {
	for b.Loop() {
		if _, err := packing.Count(12.25*quantity.Inch, 3.25*quantity.Inch); err != nil {
			b.Fatal(err)
		}
	}
}
