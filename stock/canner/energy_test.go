package canner_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/stock/canner"
	"brothrun/stock/quantity"
)

func TestHeatMatchesThePublishedTable(t *testing.T) {
	kinds := map[string]int{}
	for _, row := range published(t, "canner_energy.csv", 5) {
		kinds[row.text("kind")]++
		toBoil, toPressure := canner.Heat(int(row.number("pints")), int(row.number("quarts")), quantity.Mass(row.number("pot_kg")))
		name := row.text("source")
		switch row.text("kind") {
		case "heat":
			// To the printed kJ.
			assert.InDelta(t, row.number("to_boil_kj"), toBoil.Kilojoules(), 0.5, name)
			assert.InDelta(t, row.number("to_pressure_kj"), toPressure.Kilojoules(), 0.5, name)
		case "minutes":
			// A burner of 1.6 to 2.2 kW net, what the wall loses left out, needs the
			// published minutes: the slow end falls among them, the fast end is no slower.
			minutes := func(e quantity.Energy, kilowatts float64) float64 { return e.Kilojoules() / kilowatts / 60 }
			assert.GreaterOrEqual(t, minutes(toBoil, 1.6), row.number("to_steam_low_min"), name)
			assert.LessOrEqual(t, minutes(toBoil, 1.6), row.number("to_steam_high_min"), name)
			assert.LessOrEqual(t, minutes(toBoil, 2.2), row.number("to_steam_low_min"), name)
			assert.GreaterOrEqual(t, minutes(toPressure, 2.2), row.number("to_pressure_low_min"), name)
			assert.LessOrEqual(t, minutes(toPressure, 2.6), row.number("to_pressure_high_min"), name)
		}
	}
	assert.Equal(t, map[string]int{"heat": 4, "minutes": 1}, kinds)
}

// A second route to the whole: at a rate of heating that needs the published
// minutes, the burner runs at full power until pressure and covers the wall's
// loss after it. 1.6 to 2.2 kW net (US DOE: gas 40-44 % of the fuel, electric
// 74-80 %, induction 84 % reach the pot), published minutes as above.
func TestLoadEnergyAgreesWithPowerTimesMinutes(t *testing.T) {
	const low, high = (12 + 10 + 3) * 60 * 1.6, (15 + 10 + 5) * 60 * 2.2 // kJ until pressure
	e, err := canner.LoadEnergy(0, 7, 25*time.Minute)
	require.NoError(t, err)
	net := e.Likely.Kilojoules() * 0.50
	assert.Greater(t, net, low)
	assert.Less(t, net, high+25*60*0.6)
	// Beyond what is warmed: ten minutes of venting at 1.2 kW net or more, and what
	// the wall loses in the 25 min at pressure, 0.2 kW or more.
	toBoil, toPressure := canner.Heat(0, 7, 0)
	assert.Greater(t, net-toBoil.Kilojoules()-toPressure.Kilojoules(), 10*60*1.2+25*60*0.2)
	assert.Less(t, e.Low, e.Likely)
	assert.Less(t, e.Likely, e.High)
}

// What must be so needs no source.
func TestLoadEnergyGrowsWithWhatIsHeated(t *testing.T) {
	of := func(pints, quarts int, process time.Duration) canner.EnergyBand {
		e, err := canner.LoadEnergy(pints, quarts, process)
		require.NoError(t, err)
		return e
	}
	more := func(a, b canner.EnergyBand) {
		t.Helper()
		assert.Less(t, a.Low, b.Low)
		assert.Less(t, a.Likely, b.Likely)
		assert.Less(t, a.High, b.High)
	}
	for n := 1; n < 30; n++ {
		more(of(n, 0, 20*time.Minute), of(n+1, 0, 20*time.Minute))
		more(of(0, n, 25*time.Minute), of(0, n+1, 25*time.Minute))
		more(of(n, 0, 20*time.Minute), of(0, n, 25*time.Minute))
		// One full load costs less than the same jars in two.
		two := of(n, 0, 20*time.Minute).Plus(of(n, 0, 20*time.Minute))
		more(of(2*n, 0, 20*time.Minute), two)
		assert.Equal(t, of(n, 0, 20*time.Minute).Times(2), two)
	}
}

func TestLoadEnergyRefusesWhatIsNoLoad(t *testing.T) {
	for _, row := range []struct {
		pints, quarts int
		process       time.Duration
		want          string
	}{
		{0, 0, 20 * time.Minute, "0 pints and 0 quarts in a load: must be from 1 to 200 together"},
		{-1, 7, 20 * time.Minute, "-1 pints and 7 quarts"},
		{9, -1, 20 * time.Minute, "9 pints and -1 quarts"},
		{201, 0, 20 * time.Minute, "from 1 to 200"},
		{9, 0, 0, "0s at pressure is out of range"},
		{9, 0, 5 * time.Hour, "up to 4 h"},
	} {
		_, err := canner.LoadEnergy(row.pints, row.quarts, row.process)
		var out *canner.RangeError
		if assert.ErrorAs(t, err, &out, row.want) {
			assert.Contains(t, err.Error(), row.want)
		}
	}
}

// The least height is just enough for Capacity, and a hair less is not.
func TestHeightForIsWhatCapacityAsksFor(t *testing.T) {
	for _, s := range []canner.Shape{pint, quart} {
		for layers := 1; layers <= 3; layers++ {
			c := bare(12.25*inch, 24*inch, 10)
			c.Height = c.HeightFor(s, layers)
			if c.Height > 24*inch {
				continue
			}
			assert.Equal(t, layers, capacity(t, c, s).Layers, "%s %d", s.Name, layers)
			c.Height -= inch / 1000
			if layers > 1 {
				assert.Equal(t, layers-1, capacity(t, c, s).Layers, "%s %d", s.Name, layers)
			}
		}
	}
}

func BenchmarkLoadEnergy(b *testing.B) {
	for b.Loop() {
		if _, err := canner.LoadEnergy(0, 7, 25*time.Minute); err != nil {
			b.Fatal(err)
		}
	}
}
