package packing_test

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/stock/packing"
	"brothrun/stock/quantity"
)

// repeat lists count circles of each diameter: repeat(3, 3.83, 4, 3.25).
func repeat(countAndDiameter ...float64) []quantity.Length {
	var circles []quantity.Length
	for i := 0; i < len(countAndDiameter); i += 2 {
		for range int(countAndDiameter[i]) {
			circles = append(circles, quantity.Length(countAndDiameter[i+1])*quantity.Inch)
		}
	}
	return circles
}

// fits asks Mixed, and checks what it returns.
func fits(t *testing.T, container quantity.Length, circles []quantity.Length) bool {
	t.Helper()
	at, found, err := packing.Mixed(container, circles)
	require.NoError(t, err)
	if found {
		require.NoError(t, packing.Verify(container, circles, at))
	} else {
		require.Nil(t, at)
	}
	return found
}

// radiusRound returns the radius, over theirs, of the circle round equal circles.
func radiusRound(at []packing.Point) float64 {
	reach, closest := 0.0, math.Inf(1)
	for i, p := range at {
		reach = max(reach, math.Hypot(p.X.Metres(), p.Y.Metres()))
		for _, q := range at[:i] {
			closest = min(closest, math.Hypot((p.X-q.X).Metres(), (p.Y-q.Y).Metres()))
		}
	}
	if len(at) == 1 {
		return 1
	}
	return 1 + reach/(closest/2)
}

func TestEqualReachesTheBestKnown(t *testing.T) {
	const (
		source   = "circle_packing.csv: Specht, best known packings of equal circles in a circle"
		accuracy = 1e-12 // as Equal promises; 0.001 would do
	)
	for n := 1; n <= packing.Most; n++ {
		want, known := ratio(t, n), true
		if n == 53 {
			_, known, _ = packing.Equal(quantity.Length(want)*quantity.Inch, quantity.Inch, n)
			assert.False(t, known, "53 circles: a better layout was found: tell the doc of Equal")
			want *= 1 + 1.1e-7
		}
		container := quantity.Length(want) * quantity.Inch
		at, found, err := packing.Equal(container, quantity.Inch, n)
		require.NoError(t, err)
		require.True(t, found, "%d circles", n)
		assert.NoError(t, packing.Verify(container, repeat(float64(n), 1), at), "%d circles", n)
		if !known {
			continue
		}
		assert.InEpsilon(t, want, radiusRound(at), accuracy, "%d circles: %s", n, source)
		// A tenth inside the slack that Count forgives, and a tenth beyond it.
		at, found, err = packing.Equal(container*(1-0.9e-9), quantity.Inch, n)
		require.NoError(t, err)
		require.True(t, found, "%d circles, within the slack", n)
		assert.NoError(t, packing.Verify(container*(1-0.9e-9), repeat(float64(n), 1), at), "%d circles, within the slack", n)
		_, found, err = packing.Equal(container*(1-1.1e-9), quantity.Inch, n)
		require.NoError(t, err)
		assert.False(t, found, "%d circles, beyond the slack", n)
	}
}

func TestEqualAgreesWithCount(t *testing.T) {
	for tenths := 10; tenths <= 200; tenths += 3 {
		container := quantity.Length(tenths) / 10 * quantity.Inch
		known := count(t, container, quantity.Inch)
		for n := 1; n <= packing.Most; n++ {
			at, found, err := packing.Equal(container, quantity.Inch, n)
			require.NoError(t, err)
			require.Equal(t, n <= known, found, "%d circles in %v", n, container)
			if found {
				require.NoError(t, packing.Verify(container, repeat(float64(n), 1), at))
			}
		}
	}
}

// What room is left is shared out: the outermost circle stands as far from the
// wall as the closest two from one another.
func TestEqualSharesOutTheRoom(t *testing.T) {
	for n := 2; n <= packing.Most; n++ {
		container := quantity.Length(1.1 * ratio(t, n))
		at, _, err := packing.Equal(container, 1, n)
		require.NoError(t, err)
		reach, closest := 0.0, math.Inf(1)
		for i, p := range at {
			reach = max(reach, math.Hypot(p.X.Metres(), p.Y.Metres()))
			for _, q := range at[:i] {
				closest = min(closest, math.Hypot((p.X-q.X).Metres(), (p.Y-q.Y).Metres()))
			}
		}
		assert.InDelta(t, container.Metres()/2-reach-0.5, closest-1, 1e-9, "%d circles", n)
		assert.Positive(t, closest-1, "%d circles", n)
	}
}

// Circles round which the smallest container is known in closed form: they fit in
// a container a millionth wider, and not in one a millionth narrower.
func TestMixedClosedForms(t *testing.T) {
	// The circle that three mutually touching circles touch from inside.
	outer := func(a, b, c float64) float64 {
		k1, k2, k3 := 1/a, 1/b, 1/c
		return 1 / (2*math.Sqrt(k1*k2+k2*k3+k3*k1) - k1 - k2 - k3)
	}
	// k small circles in a ring round a big one that they all touch.
	small := func(k int) float64 { s := math.Sin(math.Pi / float64(k)); return s / (1 - s) }
	// The circle in the gap beside two that stand side by side across the container.
	gap := func(a, b float64) float64 { return 1 / (1/a + 1/b - 1/(a+b)) }
	tests := []struct {
		source string
		radii  []float64
		want   float64
	}{
		{"two circles: the sum of the radii", []float64{1, 0.5}, 1.5},
		{"two circles: the sum of the radii", []float64{3.83, 3.25}, 7.08},
		{"two circles: the sum of the radii", []float64{1, 0.01}, 1.01},
		{"Descartes' circle theorem", []float64{1, 0.99, 0.98}, outer(1, 0.99, 0.98)},
		{"Descartes' circle theorem", []float64{3.83, 3.25, 3.25}, outer(3.83, 3.25, 3.25)},
		{"Descartes' circle theorem", []float64{2, 1.5, 1.4}, outer(2, 1.5, 1.4)},
		{"two side by side; the third just fits the gap: Descartes' circle theorem", []float64{2, 1.5, gap(2, 1.5)}, 3.5},
		{"two side by side; the third just fits the gap: Descartes' circle theorem", []float64{1, 1, gap(1, 1)}, 2},
		{"two side by side; the third fits the gap", []float64{1, 1, 0.6}, 2},
		{"two side by side; the third and fourth fit the gaps", []float64{1, 1, gap(1, 1), gap(1, 1)}, 2},
		{"three touching, one in the gap between: Descartes' circle theorem", []float64{1, 1, 1, 2/math.Sqrt(3) - 1}, 1 + 2/math.Sqrt(3)},
		{"four touching, one in the gap between", []float64{1, 1, 1, 1, math.Sqrt2 - 1}, 1 + math.Sqrt2},
		{"ring of 5 round one, trigonometry", append([]float64{1}, slices.Repeat([]float64{small(5)}, 5)...), 1 + 2*small(5)},
		{"ring of 7 round one, trigonometry", append([]float64{1}, slices.Repeat([]float64{small(7)}, 7)...), 1 + 2*small(7)},
		{"ring of 8 round one, trigonometry", append([]float64{1}, slices.Repeat([]float64{small(8)}, 8)...), 1 + 2*small(8)},
		{"ring of 12 round one, trigonometry", append([]float64{1}, slices.Repeat([]float64{small(12)}, 12)...), 1 + 2*small(12)},
	}
	for _, tt := range tests {
		var circles []quantity.Length
		for _, r := range tt.radii {
			circles = append(circles, quantity.Length(2*r)*quantity.Inch)
		}
		width := quantity.Length(2*tt.want) * quantity.Inch
		assert.True(t, fits(t, width*(1+1e-6), circles), "%v in %v: %s", tt.radii, width, tt.source)
		assert.False(t, fits(t, width*(1-1e-6), circles), "%v in %v: %s", tt.radii, width, tt.source)
	}
}

// The solver alone, without the table of places, on equal circles.
func TestSolverReachesTheBestKnown(t *testing.T) {
	const (
		source   = "circle_packing.csv: Specht, best known packings of equal circles in a circle"
		accuracy = 0.001
	)
	for n := 1; n <= 20; n++ {
		container := quantity.Length(ratio(t, n)) * quantity.Inch
		_, found, err := packing.Solve(container*(1+accuracy), repeat(float64(n), 1))
		require.NoError(t, err)
		assert.True(t, found, "%d circles: %s", n, source)
	}
	for n := 2; n <= 12; n++ {
		_, found, err := packing.Solve(quantity.Length(ratio(t, n))*quantity.Inch*(1-1e-6), repeat(float64(n), 1))
		require.NoError(t, err)
		assert.False(t, found, "%d circles, proven best: %s", n, source)
	}
}

// A second route: three circles, the first against the wall on the right and each
// other one tried on a fine grid. What the grid fits, Mixed fits; what Mixed fits,
// the grid fits when the container is wider by what a grid can miss.
func TestMixedAgainstAGrid(t *testing.T) {
	const steps = 40
	grid := func(container float64, d [3]float64) bool {
		// Pressed against the wall, the widest loses no room for the others.
		ax := (container - d[0]) / 2
		for i := -steps; i <= steps; i++ {
			for j := 0; j <= steps; j++ { // below is the mirror of above
				bx, by := container/2*float64(i)/steps, container/2*float64(j)/steps
				if math.Hypot(bx, by)+d[1]/2 > container/2 || math.Hypot(bx-ax, by) < (d[0]+d[1])/2 {
					continue
				}
				for k := -steps; k <= steps; k++ {
					for l := -steps; l <= steps; l++ {
						cx, cy := container/2*float64(k)/steps, container/2*float64(l)/steps
						if math.Hypot(cx, cy)+d[2]/2 <= container/2 && math.Hypot(cx-ax, cy) >= (d[0]+d[2])/2 &&
							math.Hypot(cx-bx, cy-by) >= (d[1]+d[2])/2 {
							return true
						}
					}
				}
			}
		}
		return false
	}
	for _, container := range []float64{7, 7.4, 7.8, 8.2} {
		for _, d := range [][3]float64{{4, 3, 2}, {4, 3, 3}, {4, 3.5, 3}, {4, 4, 2.5}, {3.83, 3.25, 3.25}, {3.83, 3.83, 3.25}} {
			circles := []quantity.Length{quantity.Length(d[0]), quantity.Length(d[1]), quantity.Length(d[2])}
			found := fits(t, quantity.Length(container), circles)
			if grid(container, d) {
				assert.True(t, found, "%v in %v", d, container)
			}
			if found {
				assert.True(t, grid(container*1.08, d), "%v in %v", d, container)
			}
		}
	}
}

func TestMixedCannerSets(t *testing.T) {
	const source = "derived: seven 3.83 in need 11.49 in; by the best known radii six 3.83 in do too, and nine 3.25 in need 11.74 in"
	tests := []struct {
		width   float64 // in
		circles []quantity.Length
		want    bool
	}{
		{11.50, repeat(7, 3.83), true},
		{11.48, repeat(7, 3.83), false},
		{11.50, repeat(6, 3.83, 1, 3.25), true},
		{11.50, repeat(3, 3.83, 4, 3.25), true},
		{11.48, repeat(6, 3.83, 1, 3.25), false},
		{12.25, repeat(8, 3.83, 1, 3.25), false},
		{12.25, repeat(3, 3.83, 4, 3.25), true},
		{12.25, repeat(5, 3.83, 2, 3.25), true},
	}
	for _, tt := range tests {
		assert.Equal(t, tt.want, fits(t, quantity.Length(tt.width)*quantity.Inch, tt.circles), "%v in %v in: %s", tt.circles, tt.width, source)
	}
}

var sets = [][]quantity.Length{
	repeat(1, 3.83, 1, 3.25),
	repeat(2, 3.83, 3, 3.25),
	repeat(3, 3.83, 4, 3.25),
	repeat(5, 3.83, 2, 3.25),
	repeat(1, 6, 8, 2.5),
	repeat(2, 4.2, 3, 3.83, 4, 3.25, 3, 2.75),
	repeat(4, 3.83, 6, 3.25, 5, 2.75),
}

// snug returns a width in which Mixed fits the circles, at most half a percent
// above one in which it does not.
func snug(t *testing.T, circles []quantity.Length) quantity.Length {
	t.Helper()
	least, most := circles[0], 20*quantity.Inch
	for most > least*1.005 {
		if middle := (least + most) / 2; fits(t, middle, circles) {
			most = middle
		} else {
			least = middle
		}
	}
	return most
}

func TestMixedProperties(t *testing.T) {
	for _, circles := range sets {
		container := snug(t, circles)
		at, found, err := packing.Mixed(container, circles)
		require.NoError(t, err)
		require.True(t, found)

		again, _, err := packing.Mixed(container, circles)
		require.NoError(t, err)
		assert.Equal(t, at, again, "the same question has the same answer")

		for _, angle := range []float64{0.1, 1, 2, 3, 5} {
			sin, cos := math.Sincos(angle)
			turned := make([]packing.Point, len(at))
			for i, p := range at {
				turned[i] = packing.Point{
					X: p.X*quantity.Length(cos) - p.Y*quantity.Length(sin),
					Y: p.X*quantity.Length(sin) + p.Y*quantity.Length(cos),
				}
			}
			assert.NoError(t, packing.Verify(container, circles, turned), "turned by %v", angle)
		}
		for i := range circles {
			if len(circles) > 1 {
				fewer := slices.Delete(slices.Clone(circles), i, i+1)
				assert.True(t, fits(t, container, fewer), "%v in %v", fewer, container)
			}
		}
		for _, wider := range []quantity.Length{1.0001, 1.001, 1.01, 1.1, 2, 100} {
			assert.True(t, fits(t, container*wider, circles), "%v in %v", circles, container*wider)
		}
		turnedRound := slices.Clone(circles)
		slices.Reverse(turnedRound)
		assert.True(t, fits(t, container, turnedRound), "the order asked in does not matter")
	}
}

func TestMixedOfEqualCirclesIsEqual(t *testing.T) {
	for n := 1; n <= packing.Most; n++ {
		container := quantity.Length(ratio(t, n)*(1+1.1e-7)) * quantity.Inch
		want, _, err := packing.Equal(container, quantity.Inch, n)
		require.NoError(t, err)
		got, found, err := packing.Mixed(container, repeat(float64(n), 1))
		require.NoError(t, err)
		assert.True(t, found)
		assert.Equal(t, want, got)
	}
}

func TestVerifyCatches(t *testing.T) {
	const hair = 1e-6 // of the container's diameter
	two := repeat(1, 4, 1, 3)
	inch := func(x, y float64) packing.Point {
		return packing.Point{X: quantity.Length(x) * quantity.Inch, Y: quantity.Length(y) * quantity.Inch}
	}
	container := 7 * quantity.Inch
	require.NoError(t, packing.Verify(container, two, []packing.Point{inch(-1.5, 0), inch(2, 0)}))
	tests := []struct {
		at   []packing.Point
		want string
	}{
		{[]packing.Point{inch(-1.5+7*hair, 0), inch(2, 0)}, "circles 1 and 2 overlap"},
		{[]packing.Point{inch(-1.5, 0), inch(2+7*hair, 0)}, "circle 2 stands"},
		{[]packing.Point{inch(-1.5-7*hair, 0), inch(2, 0)}, "circle 1 stands"},
		{[]packing.Point{inch(math.NaN(), 0), inch(2, 0)}, "circle 1 stands"},
		{[]packing.Point{inch(-1.5, 0), inch(2, math.Inf(1))}, "circle 2 stands"},
		{[]packing.Point{inch(-1.5, 0)}, "1 points for 2 circles"},
		{nil, "0 points for 2 circles"},
	}
	for _, tt := range tests {
		assert.ErrorContains(t, packing.Verify(container, two, tt.at), tt.want, "%v", tt.at)
	}
	for n := 2; n <= packing.Most; n++ {
		container := quantity.Length(ratio(t, n)*(1+1.1e-7)) * quantity.Inch
		at, found, err := packing.Equal(container, quantity.Inch, n)
		require.NoError(t, err)
		require.True(t, found)
		assert.Error(t, packing.Verify(container*(1-hair), repeat(float64(n), 1), at), "%d circles in too narrow a container", n)
		assert.Error(t, packing.Verify(container, repeat(float64(n), 1+hair*ratio(t, n)), at), "%d circles too wide", n)
	}
}

func TestLayoutRange(t *testing.T) {
	bad := []float64{0, math.Copysign(0, -1), -1, 1e6, math.NaN(), math.Inf(1), math.Inf(-1)}
	for _, metres := range bad {
		_, found, err := packing.Equal(quantity.Length(metres), 1, 1)
		assert.ErrorContains(t, err, "container diameter", "%v m", metres)
		assert.False(t, found)
		_, _, err = packing.Equal(1, quantity.Length(metres), 1)
		assert.ErrorContains(t, err, "circle diameter", "%v m", metres)
		_, found, err = packing.Mixed(quantity.Length(metres), []quantity.Length{1})
		assert.ErrorContains(t, err, "container diameter", "%v m", metres)
		assert.False(t, found)
		_, _, err = packing.Mixed(1, []quantity.Length{0.1, quantity.Length(metres)})
		assert.ErrorContains(t, err, "circle 2 diameter", "%v m", metres)
		assert.ErrorContains(t, packing.Verify(1, []quantity.Length{quantity.Length(metres)}, make([]packing.Point, 1)), "circle 1 diameter", "%v m", metres)
	}
	for _, n := range []int{math.MinInt, -1, 0, packing.Most + 1} {
		_, _, err := packing.Equal(100, 1, n)
		assert.ErrorContains(t, err, "must be from 1 to 61", "%d", n)
	}
	for _, circles := range [][]quantity.Length{nil, repeat(float64(packing.Most)+1, 1)} {
		_, _, err := packing.Mixed(100, circles)
		assert.ErrorContains(t, err, "must be from 1 to 61")
		assert.ErrorContains(t, packing.Verify(100, circles, make([]packing.Point, len(circles))), "must be from 1 to 61")
	}
}

func BenchmarkEqual(b *testing.B) {
	for n := 1; n <= packing.Most; n++ {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			ratio, err := packing.RadiusRatio(n)
			if err != nil {
				b.Fatal(err)
			}
			for b.Loop() {
				if _, found, err := packing.Equal(quantity.Length(ratio*(1+1.1e-7)), 1, n); err != nil || !found {
					b.Fatal(found, err)
				}
			}
		})
	}
}

func BenchmarkMixed(b *testing.B) {
	tests := []struct {
		name    string
		width   float64 // in
		circles []quantity.Length
	}{
		{"7 quarts", 12.25, repeat(7, 3.83)},
		{"3 quarts and 4 pints", 12.25, repeat(3, 3.83, 4, 3.25)},
		{"5 quarts and 2 pints", 12.25, repeat(5, 3.83, 2, 3.25)},
		{"3 quarts and 5 pints", 12.25, repeat(3, 3.83, 5, 3.25)},
		{"4 quarts and 4 pints", 12.25, repeat(4, 3.83, 4, 3.25)},
		{"4 quarts and 5 pints, too many", 12.25, repeat(4, 3.83, 5, 3.25)},
		{"15 jars of three sizes, loose", 15.5, repeat(4, 3.83, 6, 3.25, 5, 2.75)},
		{"15 jars of three sizes, tight", 14.5, repeat(4, 3.83, 6, 3.25, 5, 2.75)},
	}
	for _, tt := range tests {
		b.Run(tt.name, func(b *testing.B) {
			found := false
			for b.Loop() {
				var err error
				if _, found, err = packing.Mixed(quantity.Length(tt.width)*quantity.Inch, tt.circles); err != nil {
					b.Fatal(err)
				}
			}
			fits := 0.0
			if found {
				fits = 1
			}
			b.ReportMetric(fits, "fits")
		})
	}
}
