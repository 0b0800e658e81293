package whatif

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/stock"
	"brothrun/stock/quantity"
	"brothrun/stock/runfile"
	"brothrun/stock/settle"
)

// ownJars is the demo's kitchen with jars of the cook's own and a canner for two layers.
func ownJars(t *testing.T, change func(*runfile.Kitchen, *runfile.Run)) settle.Setup {
	t.Helper()
	kitchen, run := demo(t)
	kitchen.OwnJars = []runfile.OwnJar{{
		Name: "pickles", Brimful: to(700 * quantity.Millilitre), OnHand: to(3),
		Bore: to(7 * quantity.Centimetre), Diameter: to(9 * quantity.Centimetre), Height: to(14 * quantity.Centimetre),
	}}
	kitchen.Canner.Height, kitchen.Jars = to(15*quantity.Inch), nil
	run.Jars = ""
	change(&kitchen, &run)
	setup, err := settled(kitchen, run, func(s settle.Setup) (settle.Setup, error) { return s, nil })
	require.NoError(t, err)
	return setup
}

// What racks shares between its plans changes none of them.
func TestSharedWorkGivesTheSamePlans(t *testing.T) {
	for _, chilled := range []string{"", "jars-in-fridge", "ice-bath-stirred", "fridge"} {
		for _, text := range []string{"", "quart=3,pint", "pickles,quart", "pint=9"} {
			setup := ownJars(t, func(_ *runfile.Kitchen, r *runfile.Run) { r.Chill, r.Jars = chilled, text })
			cooked, err := stock.Cook(setup)
			require.NoError(t, err)
			k := kitchen{setup: setup, cooked: cooked, plans: map[canning]stock.Batch{}}
			base, err := k.can(setup)
			require.NoError(t, err)
			for range 2 { // the second time all is known
				for _, c := range append(rackPlans(setup),
					change{apply: surplus(base, "freezer")}, change{apply: surplus(base, "freeze-dry")},
					change{apply: func(s *settle.Setup) { s.Mix = true }},
					change{apply: func(s *settle.Setup) { s.Canner.Racks = 2 }}) {
					want, wantErr := stock.Plan(c.on(setup))
					got, err := k.can(c.on(setup))
					require.Equal(t, wantErr, err)
					require.Equal(t, want, got, "%s %s %s", chilled, text, c.code)
				}
			}
			want, wantErr := stock.Plan(setup.WithoutLimits())
			got, err := cooked.Can(setup.WithoutLimits())
			require.Equal(t, wantErr, err)
			require.Equal(t, want, got)
		}
	}
}

// The pot, the chill and the loads are worked out once for all racks: by what is
// allocated, the answer about racks is less work than eleven plans. It was twenty-two.
func TestTheAnswerAboutRacksIsTheWorkOfAFewPlans(t *testing.T) {
	setup := ownJars(t, func(k *runfile.Kitchen, _ *runfile.Run) { k.OwnJars = nil })
	one := testing.AllocsPerRun(3, func() {
		_, err := stock.Plan(setup)
		require.NoError(t, err)
	})
	all := testing.AllocsPerRun(3, func() {
		_, err := Racks(setup, AskRacks(runfile.Prices{}, 0))
		require.NoError(t, err)
	})
	t.Logf("%.1f plans", all/one)
	assert.Less(t, all, 11*one)
}
