package canner_test

import (
	"math/rand/v2"
	"regexp"
	"slices"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/stock/canner"
	"brothrun/stock/jar"
	"brothrun/stock/quantity"
)

// The catalogue's own jars in a canner of 12.25 by 11.5 in inside, by hand: 1/8 in
// off the width, then ratios of the best known packings (7: 3, 8: 3.305, 9: 3.613,
// 10: 3.813, 14: 4.328, 15: 4.521); 11 in of height between rack and lid room.
func TestCatalogueInOneCanner(t *testing.T) {
	tests := []struct {
		name                    string
		mouth                   jar.Mouth
		racks, perLayer, layers int
		limitedBy               string
	}{
		{"half-pint", jar.Regular, 1, 14, 1, "racks"}, // 12.125/2.7 = 4.491
		{"half-pint", jar.Regular, 2, 14, 2, "height"},
		{"pint", jar.Regular, 1, 9, 1, "racks"}, // 3.731
		{"pint", jar.Regular, 2, 9, 2, "height"},
		{"pint", jar.Wide, 2, 8, 2, "height"}, // 3.368
		{"pint-and-half", jar.Wide, 2, 8, 1, "height"},
		{"quart", jar.Regular, 2, 7, 1, "height"}, // 3.166
		{"quart", jar.Wide, 2, 7, 1, "height"},    // 3.085
	}
	for _, tt := range tests {
		j, err := jar.Find(tt.name, tt.mouth)
		require.NoError(t, err)
		c := canner.Canner{Width: 12.25 * inch, Height: 11.5 * inch, Racks: tt.racks}
		got := capacity(t, c, canner.Shape{Name: j.Name, Diameter: j.PackDiameter, Height: j.Height})
		assert.Equal(t, canner.Capacity{PerLayer: tt.perLayer, Layers: tt.layers, LimitedBy: tt.limitedBy}, got, "%s %s, %d racks", tt.name, tt.mouth, tt.racks)
	}
}

// The least width or height an error asks for really is enough, as printed, in
// either unit.
func TestWhatIsAskedForSuffices(t *testing.T) {
	pattern := regexp.MustCompile(`(wide|high) is too .* at least ([\d.]+) in \(([\d.]+) cm\)`)
	random := rand.New(rand.NewPCG(3, 4))
	between := func(low, high float64) quantity.Length {
		return quantity.Length(low+(high-low)*random.Float64()) * inch
	}
	asked := map[string]int{}
	for range 10_000 {
		c := canner.Canner{Width: 24 * inch, Height: 24 * inch, Racks: 1, Clearance: between(0, 1), RackThickness: between(0, 1)}
		s := canner.Shape{Name: "crock", Diameter: between(5, 12), Height: between(4, 10)}
		for _, narrow := range []bool{true, false} {
			tight := c
			if narrow {
				tight.Width = between(6, 8)
			} else {
				tight.Height = between(5, 8)
			}
			_, err := tight.Capacity(s)
			if err == nil {
				continue
			}
			match := pattern.FindStringSubmatch(err.Error())
			require.NotNil(t, match, err.Error())
			asked[match[1]]++
			for i, unit := range []quantity.Length{inch, quantity.Centimetre} {
				number, parseErr := strconv.ParseFloat(match[2+i], 64)
				require.NoError(t, parseErr)
				if narrow {
					tight.Width = quantity.Length(number) * unit
				} else {
					tight.Height = quantity.Length(number) * unit
				}
				_, again := tight.Capacity(s)
				require.NoError(t, again, "asked for by: %v", err)
			}
		}
	}
	assert.Greater(t, asked["wide"], 1000)
	assert.Greater(t, asked["high"], 1000)
}

// A canner exactly as high as its jars, racks and lid room need is high enough,
// whatever inches round to in metres.
func TestExactHeightsFit(t *testing.T) {
	var jars []jar.Jar
	for _, name := range []string{"half-pint", "pint", "pint-and-half", "quart"} {
		for _, mouth := range []jar.Mouth{jar.Regular, jar.Wide} {
			j, err := jar.Find(name, mouth)
			require.NoError(t, err)
			if !slices.Contains(jars, j) { // one size has one mouth
				jars = append(jars, j)
			}
		}
	}
	require.Len(t, jars, 7)
	for _, j := range jars {
		s := canner.Shape{Name: j.Name, Diameter: j.PackDiameter, Height: j.Height}
		for thousandths := 1; thousandths <= 2000; thousandths++ {
			rack := float64(thousandths) / 1000
			for layers := 1; layers <= 2; layers++ {
				high := float64(layers)*j.Height.Inches() + 0.1*float64(layers-1) + 0.25 + rack
				if high < 5 {
					continue
				}
				c := canner.Canner{Width: 12.25 * inch, Height: quantity.Length(high) * inch, RackThickness: quantity.Length(rack) * inch, Racks: 3}
				require.Equal(t, layers, capacity(t, c, s).Layers, "%s %s, rack %g in", j.Name, j.Mouth, rack)
			}
		}
	}
}

func TestValuesOutOfRangeAreNotRoundedIntoIt(t *testing.T) {
	c := canner.Canner{Width: 24.0004 * inch, Height: 11 * inch, Racks: 1}
	_, err := c.Capacity(quart)
	require.ErrorContains(t, err, "24.0004 in")
	c.Width, c.Height = 12*inch, 4.9999*inch
	_, err = c.Capacity(quart)
	require.ErrorContains(t, err, "4.9999 in")
}

func TestSplitAtRandom(t *testing.T) {
	random := rand.New(rand.NewPCG(5, 6))
	for range 20_000 {
		jars := random.IntN(400) - 20
		c := canner.Capacity{PerLayer: random.IntN(66) - 4, Layers: random.IntN(12) - 2}
		total := 0
		for _, load := range canner.Split(jars, c) {
			require.NotEmpty(t, load)
			require.LessOrEqual(t, len(load), c.Layers)
			for _, n := range load {
				require.Positive(t, n)
				require.LessOrEqual(t, n, c.PerLayer)
				total += n
			}
		}
		if c.PerLayer < 1 || c.Layers < 1 {
			require.Zero(t, total, "%+v has no room", c)
			continue
		}
		require.Equal(t, max(jars, 0), total, "%+v", c)
	}
}
