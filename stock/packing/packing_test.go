package packing

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/stock/quantity"
)

func radiusRatio(t *testing.T, n int) float64 {
	t.Helper()
	ratio, err := RadiusRatio(n)
	require.NoError(t, err)
	return ratio
}

func count(t *testing.T, container, circle quantity.Length) int {
	t.Helper()
	n, err := Count(container, circle)
	require.NoError(t, err)
	return n
}

// ring is the container of k circles that all touch its wall and their
// neighbours: neighbours stand 2 apart on a circle of radius 1/sin(π/k).
func ring(k float64) float64 { return 1 + 1/math.Sin(math.Pi/k) }

func TestRadiusRatioMatchesPublishedTable(t *testing.T) {
	file, err := os.Open("../../testdata/published/circle_packing.csv")
	require.NoError(t, err)
	defer file.Close()
	reader := csv.NewReader(file)
	reader.Comment = '#'
	rows, err := reader.ReadAll()
	require.NoError(t, err)
	require.Equal(t, []string{"n", "container_radius_over_circle_radius"}, rows[0])
	require.Len(t, rows[1:], Most)
	for i, row := range rows[1:] {
		n, err := strconv.Atoi(row[0])
		require.NoError(t, err)
		require.Equal(t, i+1, n)
		want, err := strconv.ParseFloat(row[1], 64)
		require.NoError(t, err)
		// The table prints at least 16 digits; the 17th is all a float64 may lose.
		assert.InDelta(t, want, radiusRatio(t, n), 2e-15*want, "n = %d: circle_packing.csv (Specht)", n)
	}
}

func TestRadiusRatioMatchesClosedForms(t *testing.T) {
	const graham = "Graham, Lubachevsky, Nurmela and Östergård, Discrete Math. 181 (1998), closed form from memory"
	tests := []struct {
		n       int
		want    float64
		formula string
		source  string
	}{
		{2, 2, "2", "two side by side"},
		{3, 1 + 2/math.Sqrt(3), "1 + 2/√3", "equilateral triangle"},
		{4, 1 + math.Sqrt2, "1 + √2", "square"},
		{5, 1 + math.Sqrt(2*(1+1/math.Sqrt(5))), "1 + √(2(1 + 1/√5))", "regular pentagon"},
		{6, 3, "3", "regular hexagon"},
		{7, 3, "3", "hexagon and its centre"},
		{8, ring(7), "1 + 1/sin(π/7)", "ring of 7 and one, " + graham},
		{9, 1 + math.Sqrt(2*(2+math.Sqrt2)), "1 + √(2(2 + √2)) = 1 + 1/sin(π/8)", "ring of 8 and one, " + graham},
		{11, ring(9), "1 + 1/sin(π/9)", "ring of 9 and two, " + graham},
		{13, 2 + math.Sqrt(5), "2 + √5 = 1 + 1/sin(π/10)", "ring of 10 and three, " + graham},
		{18, 1 + math.Sqrt2 + math.Sqrt(6), "1 + √2 + √6 = 1 + 1/sin(π/12)", "ring of 12 and six, " + graham},
		{19, 1 + math.Sqrt2 + math.Sqrt(6), "1 + √2 + √6 = 1 + 1/sin(π/12)", "ring of 12, six and one, " + graham},
	}
	for _, tt := range tests {
		assert.InDelta(t, tt.want, radiusRatio(t, tt.n), 4e-15, "n = %d: %s: %s", tt.n, tt.formula, tt.source)
	}
}

func TestRadiusRatioOfRings(t *testing.T) {
	const source = "ring of k needs 1 + 1/sin(π/k), printed figures worked apart from the code"
	tests := []struct {
		source  string
		k       int
		want    float64 // printed to 4 decimals
		holding int     // circles of the best packing that is this ring and what it has room for
	}{
		{source, 6, 3.0000, 7},
		{source, 7, 3.3048, 8},
		{source, 8, 3.6131, 9},
		{source, 9, 3.9238, 11},
		{source, 10, 4.2361, 13},
	}
	for _, tt := range tests {
		assert.InDelta(t, tt.want, ring(float64(tt.k)), 0.00005, "k = %d: %s", tt.k, tt.source)
		assert.InDelta(t, ring(float64(tt.k)), radiusRatio(t, tt.holding), 4e-15, "k = %d holding %d: %s", tt.k, tt.holding, tt.source)
	}
	for k := 2; k <= Most; k++ {
		assert.LessOrEqual(t, radiusRatio(t, k), ring(float64(k))+1e-14, "a ring of %d is a packing, so the best is no wider", k)
	}
}

// The circles themselves, laid out: no two may overlap and none may stand out.
func TestRadiusRatioHoldsLaidOutCircles(t *testing.T) {
	const degree = math.Pi / 180
	type course struct {
		circles       int
		radius, phase float64
	}
	ringOf := func(k int, phase float64) course { return course{k, ring(float64(k)) - 1, phase} }
	tests := []struct {
		source  string
		n       int
		courses []course
	}{
		{"ring", 2, []course{ringOf(2, 0)}},
		{"ring", 3, []course{ringOf(3, 0)}},
		{"ring", 4, []course{ringOf(4, 0)}},
		{"ring", 5, []course{ringOf(5, 0)}},
		{"ring", 6, []course{ringOf(6, 0)}},
		{"6 + 1", 7, []course{ringOf(6, 0), {1, 0, 0}}},
		{"7 + 1", 8, []course{ringOf(7, 0), {1, 0, 0}}},
		{"8 + 1", 9, []course{ringOf(8, 0), {1, 0, 0}}},
		{"9 + 2, the two in gaps of the ring 160° apart", 11, []course{ringOf(9, 20*degree), {1, 1 / math.Sin(80*degree), 0}, {1, 1 / math.Sin(80*degree), 160 * degree}}},
		{"10 + 3", 13, []course{ringOf(10, 0), ringOf(3, 0)}},
		{"12 + 6", 18, []course{ringOf(12, 15*degree), ringOf(6, 0)}},
		{"12 + 6 + 1", 19, []course{ringOf(12, 15*degree), ringOf(6, 0), {1, 0, 0}}},
	}
	for _, tt := range tests {
		var xs, ys []float64
		for _, c := range tt.courses {
			for i := range c.circles {
				angle := c.phase + 2*math.Pi*float64(i)/float64(c.circles)
				xs, ys = append(xs, c.radius*math.Cos(angle)), append(ys, c.radius*math.Sin(angle))
			}
		}
		require.Len(t, xs, tt.n, tt.source)
		reach, closest := 0.0, math.Inf(1)
		for i := range xs {
			reach = max(reach, math.Hypot(xs[i], ys[i])+1)
			for j := range i {
				closest = min(closest, math.Hypot(xs[i]-xs[j], ys[i]-ys[j]))
			}
		}
		assert.GreaterOrEqual(t, closest, 2-1e-12, "n = %d, %s: overlap", tt.n, tt.source)
		assert.InDelta(t, reach, radiusRatio(t, tt.n), 1e-12, "n = %d, %s", tt.n, tt.source)
	}
}

func TestRadiusRatioNeverFallsNorOverfills(t *testing.T) {
	for n := 2; n <= Most; n++ {
		ratio := radiusRatio(t, n)
		assert.GreaterOrEqual(t, ratio, radiusRatio(t, n-1), "n = %d", n)
		// Equal circles in the plane cover at most π/√12 of it; in a circle less.
		assert.Less(t, float64(n)/(ratio*ratio), math.Pi/math.Sqrt(12), "n = %d", n)
	}
}

func TestRadiusRatioOutOfRange(t *testing.T) {
	for _, n := range []int{math.MinInt, -1, 0, 62, math.MaxInt} {
		_, err := RadiusRatio(n)
		require.Error(t, err, n)
		assert.Contains(t, err.Error(), "must be from 1 to 61")
		assert.Contains(t, err.Error(), strconv.Itoa(n))
	}
}

func TestCountJarsPerLayer(t *testing.T) {
	const source = "jars per layer at no clearance, worked from the published table apart from the code"
	widths := [7]quantity.Length{9.25, 10, 11, 12, 12.25, 13, 15} // inches
	tests := []struct {
		source string
		jar    quantity.Length // inches
		want   [7]int
	}{
		{source + ": regular pint", 3.25, [7]int{5, 7, 8, 9, 9, 11, 15}},
		{source + ": regular pint", 3.3, [7]int{5, 7, 8, 9, 9, 11, 15}},
		{source, 3.75, [7]int{4, 4, 5, 7, 7, 8, 11}},
		{source + ": quart", 3.9, [7]int{3, 4, 5, 7, 7, 8, 10}},
	}
	for _, tt := range tests {
		for i, width := range widths {
			assert.Equal(t, tt.want[i], count(t, width*quantity.Inch, tt.jar*quantity.Inch), "%g in jars in %g in: %s", tt.jar, width, tt.source)
		}
	}
}

func TestCountSmallestInsideDiameter(t *testing.T) {
	const source = "smallest inside diameter, worked from the published table apart from the code"
	const half = 0.005 // inches, half the last printed digit
	tests := []struct {
		source string
		n      int
		jar    quantity.Length // inches
		want   quantity.Length // inches
	}{
		{source, 4, 3.75, 9.05},
		{source, 4, 3.9, 9.42},
		{source, 7, 3.75, 11.25},
		{source, 7, 3.9, 11.70},
		{source, 8, 3.75, 12.39},
		{source, 8, 3.9, 12.89},
		{source, 7, 3.25, 9.75},
		{source, 8, 3.25, 10.74},
		{source, 9, 3.25, 11.74},
		{source, 10, 3.25, 12.39},
	}
	for _, tt := range tests {
		assert.InDelta(t, float64(tt.want), radiusRatio(t, tt.n)*float64(tt.jar), half, "%d of %g in: %s", tt.n, tt.jar, tt.source)
		assert.Equal(t, tt.n, count(t, (tt.want+half)*quantity.Inch, tt.jar*quantity.Inch), "%d of %g in: %s", tt.n, tt.jar, tt.source)
		assert.Less(t, count(t, (tt.want-half)*quantity.Inch, tt.jar*quantity.Inch), tt.n, "%d of %g in: %s", tt.n, tt.jar, tt.source)
	}
}

// Six and seven circles need the same container, so a hair less than three
// circles across loses two.
func TestCountAtTheEdge(t *testing.T) {
	for _, circle := range []quantity.Length{3.25 * quantity.Inch, 3.9 * quantity.Inch, 82.55 * quantity.Millimetre, 0.1, 1} {
		assert.Equal(t, 7, count(t, 3*circle, circle))
		assert.Equal(t, 5, count(t, 3*circle*(1-1e-6), circle))
		assert.Equal(t, 1, count(t, circle, circle))
		assert.Equal(t, 0, count(t, circle*(1-1e-6), circle))
	}
	// Inches rounded to metres one by one must not lose a jar.
	assert.Equal(t, 7, count(t, 11.25*quantity.Inch, 3.75*quantity.Inch))
	assert.Equal(t, 7, count(t, 11.7*quantity.Inch, 3.9*quantity.Inch))
	assert.Equal(t, 7, count(t, 29.7*quantity.Centimetre, 99*quantity.Millimetre))
	// Every packing fits the container made for it, and not one a millionth less.
	for n := 1; n <= Most; n++ {
		ratio := quantity.Length(radiusRatio(t, n))
		assert.GreaterOrEqual(t, count(t, ratio*82*quantity.Millimetre, 82*quantity.Millimetre), n)
		assert.Less(t, count(t, ratio*82*quantity.Millimetre*(1-1e-6), 82*quantity.Millimetre), n)
	}
}

func TestCountStopsWhereTheTableEnds(t *testing.T) {
	assert.Equal(t, 61, Most)
	assert.Equal(t, 61, count(t, 8.67*quantity.Metre, 1*quantity.Metre))
	assert.Equal(t, 61, count(t, 100*quantity.Metre, 1*quantity.Millimetre))
	assert.Equal(t, 61, count(t, 999999*quantity.Metre, 5e-324), "the ratio overflows to infinity; the count does not")
}

func TestCountIsMonotone(t *testing.T) {
	last := 0
	for tenths := 1; tenths <= 400; tenths++ {
		n := count(t, quantity.Length(tenths)*quantity.Inch/10, 3.9*quantity.Inch)
		assert.GreaterOrEqual(t, n, last, "a wider container (%d tenths of an inch) holds no fewer", tenths)
		last = n
	}
	assert.Equal(t, 61, last)
	for tenths := 1; tenths <= 400; tenths++ {
		n := count(t, 12.25*quantity.Inch, quantity.Length(tenths)*quantity.Inch/10)
		assert.LessOrEqual(t, n, last, "a wider circle (%d tenths of an inch) fits no more often", tenths)
		last = n
	}
	assert.Equal(t, 0, last)
}

func TestCountRefusesWhatIsNoDiameter(t *testing.T) {
	for _, bad := range []quantity.Length{0, -1, quantity.Length(math.NaN()), quantity.Length(math.Inf(1)), quantity.Length(math.Inf(-1)), 1e6} {
		n, err := Count(bad, 1)
		require.Error(t, err, "%g m", bad)
		assert.Zero(t, n)
		assert.Contains(t, err.Error(), "container diameter")
		assert.Contains(t, err.Error(), "must be more than 0 m and less than 1,000,000 m")
		_, err = Count(1, bad)
		require.Error(t, err, "%g m", bad)
		assert.Contains(t, err.Error(), "circle diameter")
	}
}

func BenchmarkCount(b *testing.B) {
	for b.Loop() {
		if _, err := Count(12.25*quantity.Inch, 3.25*quantity.Inch); err != nil {
			b.Fatal(err)
		}
	}
}
