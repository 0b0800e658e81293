package thermo

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/stock/quantity"
)

// icePressure returns the pressure of water vapour over ice at t, from 110 K to
// the triple point, 0.01 °C; other values are an error. Accuracy: within 0.1 %
// above 150 K, as the paper has it. Source: [MK05] equation 7.
func icePressure(t quantity.Temperature) (quantity.Pressure, error) {
	if err := checkIce(t); err != nil {
		return 0, err
	}
	k := t.Kelvins()
	return quantity.Pressure(math.Exp(9.550426 - 5723.265/k + 3.53068*math.Log(k) - 0.00728332*k)), nil
}

func TestIceMatchesPublishedValues(t *testing.T) {
	const source = "Murphy and Koop, Q. J. R. Meteorol. Soc. 131 (2005), equations 7 and 5"
	for _, r := range published(t, "ice_vapour.csv", 13) {
		at := quantity.Kelvin(r.number(t, "temperature_k"))
		got := 0.0
		switch r["quantity"] {
		case "pressure":
			p, err := icePressure(at)
			require.NoError(t, err)
			got = p.Pascals()
		case "sublimation heat":
			h, err := SublimationHeat(at)
			require.NoError(t, err)
			got = float64(h / quantity.KilojoulePerKilogram)
		default:
			t.Fatalf("no such quantity: %v", r)
		}
		r.agrees(t, "value", got, source+", "+r["trust"])
	}
}

// Second route: the heat is in the slope of the pressure (Clausius and
// Clapeyron, the vapour an ideal gas: R T² dlnp/dT).
func TestSublimationHeatIsTheSlopeOfThePressure(t *testing.T) {
	const gas = 8.314462618 // J/(mol K), exact since 2019
	for k := 180.0; k < 273; k++ {
		above, err := icePressure(quantity.Kelvin(k + 0.01))
		require.NoError(t, err)
		below, err := icePressure(quantity.Kelvin(k - 0.01))
		require.NoError(t, err)
		heat, err := SublimationHeat(quantity.Kelvin(k))
		require.NoError(t, err)
		want := gas * k * k * math.Log(float64(above/below)) / 0.02 / 18.01528e-3
		assert.InEpsilon(t, want, float64(heat), 1e-3, "%v K", k)
	}
}

// Ice and water have one vapour pressure at the triple point, and the heat of
// sublimation is there those of melting and vaporisation together.
func TestIceMeetsWaterAtTheTriplePoint(t *testing.T) {
	at := quantity.Kelvin(273.16)
	ice, err := icePressure(at)
	require.NoError(t, err)
	water, err := SaturationPressure(at)
	require.NoError(t, err)
	assert.InEpsilon(t, float64(water), float64(ice), 3e-4, "both claim 0.03 % or better")

	sublimed, err := SublimationHeat(at)
	require.NoError(t, err)
	vaporised, err := HeatOfVaporisation(at)
	require.NoError(t, err)
	assert.InDelta(t, float64(FusionHeat/quantity.KilojoulePerKilogram),
		float64((sublimed-vaporised)/quantity.KilojoulePerKilogram), 3.9, "0.1 % of each of the two")
}

func TestIcePressureRises(t *testing.T) {
	before := quantity.Pressure(0)
	for k := 110.0; k <= 273.16; k += 0.5 {
		p, err := icePressure(quantity.Kelvin(k))
		require.NoError(t, err)
		assert.Greater(t, p, before, "%v K", k)
		before = p
	}
}

func TestIceOutOfRange(t *testing.T) {
	for _, k := range []float64{109.9, 273.17, 300, 0, -1, math.NaN(), math.Inf(1), math.Inf(-1)} {
		for _, of := range []func(quantity.Temperature) error{
			func(t quantity.Temperature) error { _, err := icePressure(t); return err },
			func(t quantity.Temperature) error { _, err := SublimationHeat(t); return err },
		} {
			err := of(quantity.Kelvin(k))
			require.Error(t, err, strconv.FormatFloat(k, 'g', -1, 64))
			assert.True(t, strings.Contains(err.Error(), "from -163.15 °C to 0.01 °C"), err)
		}
	}
}
