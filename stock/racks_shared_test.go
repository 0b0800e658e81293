package stock

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/stock/quantity"
	"brothrun/stock/runfile"
)

func someRun() (runfile.Kitchen, runfile.Run) {
	altitude, bones, height := 3200*quantity.Foot, 9*quantity.Pound, 15*quantity.Inch
	tray, wide, onHand := 18*quantity.Inch, 7.5*quantity.Inch, 3
	brimful, bore, diameter, jarHeight := 700*quantity.Millilitre, 7*quantity.Centimetre, 9*quantity.Centimetre, 14*quantity.Centimetre
	kitchen := runfile.Kitchen{Altitude: &altitude, Gauge: "weighted", Units: "us",
		OwnJars: []runfile.OwnJar{{Name: "pickles", Brimful: &brimful, Bore: &bore, Diameter: &diameter, Height: &jarHeight, OnHand: &onHand}}}
	kitchen.Canner.Height, kitchen.Canner.Racks = &height, 1
	kitchen.FreezeDryer = runfile.FreezeDryer{Trays: 4, TrayLength: &tray, TrayWidth: &wide}
	return kitchen, runfile.Run{Kind: "turkey-frames", Bones: &bones, Pot: "22 qt"}
}

// What racks shares between its plans changes none of them.
func TestSharedWorkGivesTheSamePlans(t *testing.T) {
	for _, chilled := range []string{"", "jars-in-fridge", "ice-bath-stirred", "fridge"} {
		for _, text := range []string{"", "quart=3,pint", "pickles,quart", "pint=9"} {
			kitchen, run := someRun()
			run.Chill, run.Jars = chilled, text
			cooked, err := cook(kitchen, run)
			require.NoError(t, err)
			cooked.shared = &shared{plans: map[canning]Batch{}}
			base, err := cooked.canAs(kitchen, run)
			require.NoError(t, err)
			for range 2 { // the second time all is known
				for _, c := range append(rackPlans(run),
					surplus(base, "freezer"), surplus(base, "freeze-dry"),
					change{apply: func(_ *runfile.Kitchen, r *runfile.Run) { r.Mix = true }},
					change{apply: func(k *runfile.Kitchen, _ *runfile.Run) { k.Canner.Racks = 2 }}) {
					changedKitchen, changedRun := applied(c, kitchen, run)
					want, wantErr := Plan(changedKitchen, changedRun)
					got, err := cooked.canAs(changedKitchen, changedRun)
					require.Equal(t, wantErr, err)
					require.Equal(t, want, got, "%s %s %s", chilled, text, c.code)
				}
			}
			kitchen.OwnJars[0].OnHand = nil
			want, wantErr := Plan(kitchen, run)
			got, err := cooked.canAgain(kitchen, run)
			require.Equal(t, wantErr, err)
			require.Equal(t, want, got)
		}
	}
}

// The pot, the chill and the loads are worked out once for all racks: by what is
// allocated, the answer about racks is less work than eleven plans. It was twenty-two.
func TestTheAnswerAboutRacksIsTheWorkOfAFewPlans(t *testing.T) {
	kitchen, run := someRun()
	kitchen.OwnJars = nil
	one := testing.AllocsPerRun(3, func() {
		_, err := Plan(kitchen, run)
		require.NoError(t, err)
	})
	all := testing.AllocsPerRun(3, func() {
		_, err := Racks(kitchen, run, AskRacks(runfile.Prices{}, 0))
		require.NoError(t, err)
	})
	t.Logf("%.1f plans", all/one)
	assert.Less(t, all, 11*one)
}
