package jar_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/stock/jar"
	"brothrun/stock/quantity"
	"brothrun/stock/thermo"
)

// A second route to the sizes: what a jar holds, and its glass at 2.5 g/cm³, must
// fit in the cylinder around it and fill most of it. Pint and quart glass 0.29
// and 0.45 kg, the others in between, all from memory.
func TestVolumeBalance(t *testing.T) {
	const glassDensity = 2.5 * quantity.KilogramPerLitre
	cylinder := func(diameter, height quantity.Length) quantity.Volume {
		return quantity.Area(math.Pi / 4 * diameter.Metres() * diameter.Metres()).Times(height)
	}
	glass := map[string]quantity.Mass{
		"half-pint": 190 * quantity.Gram, "pint": 290 * quantity.Gram, "pint-and-half": 380 * quantity.Gram, "quart": 450 * quantity.Gram,
	}
	for _, j := range jar.Catalogue {
		require.Contains(t, glass, j.Name)
		share := float64((j.Brimful + glass[j.Name].At(glassDensity)) / cylinder(j.PackDiameter, j.Height))
		assert.Less(t, share, 1.0, "%s %s", j.Name, j.Mouth)
		assert.Greater(t, share, 0.7, "%s %s", j.Name, j.Mouth)
	}
	// The often repeated 3.5 in quart is too slim: 32 fl oz and 400 g of glass
	// need a solid cylinder of 3.53 in, 6.9 in high (worked out beforehand).
	quart := 32*quantity.FluidOunce + (400 * quantity.Gram).At(glassDensity)
	assert.Greater(t, quart, cylinder(3.5*inch, 6.9*inch))
	assert.InDelta(t, 1, float64(quart/cylinder(3.53*inch, 6.9*inch)), 0.003)
}

func TestWideMouthsFillLessAtAnInch(t *testing.T) {
	for _, name := range []string{"half-pint", "pint", "quart"} {
		fills := map[jar.Mouth]quantity.Volume{}
		for _, mouth := range []jar.Mouth{jar.Regular, jar.Wide} {
			j, err := jar.Find(name, mouth)
			require.NoError(t, err)
			assert.Equal(t, mouth, j.Mouth)
			fills[mouth], err = j.Fill(inch)
			require.NoError(t, err)
		}
		assert.Less(t, fills[jar.Wide], fills[jar.Regular], name)
	}
}

// High up broth boils cooler, so it is denser and a jar takes more of it cold.
func TestJarsTakeMoreColdBrothHighUp(t *testing.T) {
	for _, j := range jar.Catalogue {
		last := quantity.Volume(0)
		for _, feet := range []quantity.Length{0, 2000, 5000, 10000} {
			boil, err := thermo.BoilingPoint(feet * quantity.Foot)
			require.NoError(t, err)
			cold, err := j.ColdFill(inch, boil)
			require.NoError(t, err)
			require.Greater(t, cold, last, "%s at %g ft", j.Name, float64(feet))
			last = cold
		}
	}
}
