package canner_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/stock/canner"
	"brothrun/stock/fault"
	"brothrun/stock/packing"
	"brothrun/stock/quantity"
)

func layerOf(n int, s canner.Shape) []canner.Shape {
	var layer []canner.Shape
	for range n {
		layer = append(layer, s)
	}
	return layer
}

// requireStanding looks an arrangement over by plain distances, apart from
// packing: no jar in another, none in the wall or in the clearance before it.
func requireStanding(t testing.TB, width, clearance quantity.Length, layer []canner.Shape, at []packing.Point) {
	t.Helper()
	const rounding = 1e-8 // m
	require.Len(t, at, len(layer))
	for i, p := range at {
		reach := math.Hypot(p.X.Metres(), p.Y.Metres()) + layer[i].Diameter.Metres()/2
		require.LessOrEqual(t, reach, (width-clearance).Metres()/2+rounding, "jar %d of %d is in the wall", i, len(at))
		for j, q := range at[:i] {
			apart := math.Hypot((p.X - q.X).Metres(), (p.Y - q.Y).Metres())
			require.GreaterOrEqual(t, apart, (layer[i].Diameter+layer[j].Diameter).Metres()/2-rounding, "jars %d and %d of %d overlap", i, j, len(at))
		}
	}
}

func TestArrangeStandsPublishedLayers(t *testing.T) {
	const source = "USDA leaflet, Michigan State University Extension 01600948"
	tests := []struct {
		source string
		width  quantity.Length
		jar    canner.Shape
		jars   int
		fits   bool
	}{
		{source + ": most hold 7 quarts", 12.25 * inch, quart, 7, true},
		{source + ": most hold 7 quarts, not 8", 12.25 * inch, quart, 8, false},
		{source + ": 8 to 9 pints", 12.25 * inch, pint, 8, true},
		{source + ": 8 to 9 pints", 12.25 * inch, pint, 9, true},
		{"canner_capacity.csv: ten of 3.25 in need 12.39 in and the clearance", 12.25 * inch, pint, 10, false},
		{source + ": small ones hold 4 quarts", 9.25 * inch, quart, 4, true},
		{"canner_capacity.csv: five of 3.75 in need 10.13 in", 9.25 * inch, quart, 5, false},
		// Seven of 3.75 in need 11.25 in: three across and nothing over.
		{"three across, with 1/8 in to spare", 11.375 * inch, quart, 7, true},
		{"three across, with a hair less", 11.374 * inch, quart, 7, false},
	}
	for _, tt := range tests {
		layer := layerOf(tt.jars, tt.jar)
		at, ok, err := canner.Arrange(canner.Canner{Width: tt.width, Height: 10.5 * inch, Racks: 1}, layer)
		require.NoError(t, err)
		require.Equal(t, tt.fits, ok, "%d in %v in: %s", tt.jars, tt.width.Inches(), tt.source)
		if !ok {
			require.Nil(t, at)
			continue
		}
		requireStanding(t, tt.width, inch/8, layer, at)
	}
}

// What Capacity counts, Arrange places, and one more it does not.
func TestArrangeAgreesWithCapacity(t *testing.T) {
	for width := 8.0; width <= 16; width += 0.73 {
		for _, s := range []canner.Shape{quart, pint, {Name: "wide pint", Diameter: 3.6 * inch, Height: 4.65 * inch}} {
			can := canner.Canner{Width: quantity.Length(width) * inch, Height: 10.5 * inch, Racks: 1}
			most := capacity(t, can, s).PerLayer
			for n := 1; n <= most; n++ {
				at, ok, err := canner.Arrange(can, layerOf(n, s))
				require.NoError(t, err)
				require.True(t, ok, "%d %ss in %.2f in", n, s.Name, width)
				requireStanding(t, can.Width, inch/8, layerOf(n, s), at)
			}
			_, ok, err := canner.Arrange(can, layerOf(most+1, s))
			require.NoError(t, err)
			require.False(t, ok, "%d %ss in %.2f in", most+1, s.Name, width)
		}
	}
}

func TestArrangeSeveralSizes(t *testing.T) {
	can := canner.Canner{Width: 12.25 * inch, Height: 10.5 * inch, Racks: 1}
	tests := []struct {
		source string
		layer  []canner.Shape
	}{
		{"fewer than the 7 quarts that fit, one narrower", append(layerOf(6, quart), pint)},
		{"narrower jars in the places of quarts", append(layerOf(3, pint), layerOf(4, quart)...)},
		{"alternating", []canner.Shape{pint, quart, pint, quart, pint}},
	}
	for _, tt := range tests {
		at, ok, err := canner.Arrange(can, tt.layer)
		require.NoError(t, err)
		require.True(t, ok, tt.source)
		requireStanding(t, can.Width, inch/8, tt.layer, at)
		again, _, err := canner.Arrange(can, tt.layer)
		require.NoError(t, err)
		require.Equal(t, at, again, "the same layer stands the same")
	}

	// Two circles fit when their diameters add up to no more than the container.
	pair := []canner.Shape{quart, pint}
	for _, clearance := range []quantity.Length{-inch, inch / 16, inch / 2} {
		can := canner.Canner{Width: 7*inch + max(clearance, 0), Height: 10.5 * inch, Racks: 1, Clearance: clearance}
		at, ok, err := canner.Arrange(can, pair)
		require.NoError(t, err)
		require.True(t, ok, "3.75 + 3.25 in in 7 in and a clearance of %v", clearance.Inches())
		requireStanding(t, can.Width, max(clearance, 0), pair, at)
		can.Width -= inch / 1000
		_, ok, err = canner.Arrange(can, pair)
		require.NoError(t, err)
		require.False(t, ok, "a thousandth of an inch too narrow")
	}
}

// A count does not make room.
func TestArrangeDoesNotTakeACountForRoom(t *testing.T) {
	can := canner.Canner{Width: 12 * inch, Height: 10.5 * inch, Racks: 1, Holds: map[string]int{"quart": 9}}
	_, ok, err := canner.Arrange(can, layerOf(9, quart))
	require.NoError(t, err)
	require.False(t, ok)
	_, ok, err = canner.Arrange(can, layerOf(7, quart))
	require.NoError(t, err)
	require.True(t, ok)
}

func TestArrangeRange(t *testing.T) {
	can := canner.Canner{Width: 12.25 * inch, Height: 10.5 * inch, Racks: 1}
	tests := []struct {
		key   string
		can   canner.Canner
		layer []canner.Shape
	}{
		{"canner.holds", can, nil},
		{"canner.holds", can, layerOf(packing.Most+1, pint)},
		{"canner.jar", can, []canner.Shape{quart, {Name: "jar"}}},
		{"canner.jar", can, layerOf(2, canner.Shape{Name: "jar", Diameter: quantity.Length(math.NaN()), Height: 5 * inch})},
		{"canner.width", canner.Canner{Width: quantity.Length(math.Inf(1)), Height: 10.5 * inch, Racks: 1}, layerOf(2, pint)},
		{"canner.clearance", canner.Canner{Width: 12.25 * inch, Height: 10.5 * inch, Racks: 1, Clearance: 2 * inch}, layerOf(2, pint)},
	}
	for _, tt := range tests {
		_, ok, err := canner.Arrange(tt.can, tt.layer)
		var out *fault.Fault
		require.ErrorAs(t, err, &out)
		assert.False(t, ok)
		assert.Equal(t, tt.key, out.Key, err)
	}
}

func BenchmarkArrange(b *testing.B) {
	can := canner.Canner{Width: 12.25 * inch, Height: 10.5 * inch, Racks: 1}
	mixed := append(layerOf(3, pint), layerOf(4, quart)...)
	for name, layer := range map[string][]canner.Shape{"7 quarts": layerOf(7, quart), "9 pints": layerOf(9, pint), "mixed": mixed} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				if _, ok, err := canner.Arrange(can, layer); err != nil || !ok {
					b.Fatal(ok, err)
				}
			}
		})
	}
}
