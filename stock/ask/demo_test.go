package ask_test

import (
	"os"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brothrun/stock"
	"brothrun/stock/quantity"
	"brothrun/stock/remark"
	"brothrun/stock/runfile"
	"brothrun/stock/settle"
)

func to[T any](value T) *T { return &value }

// demo is the demo's kitchen and run, simmered for four hours.
func demo(t testing.TB) (runfile.Kitchen, runfile.Run) {
	t.Helper()
	file, err := os.Open("../../testdata/demo/kitchen.toml")
	require.NoError(t, err)
	defer file.Close()
	kitchen, err := runfile.DecodeKitchen(file, "kitchen.toml")
	require.NoError(t, err)
	runs, err := os.Open("../../testdata/demo/run.toml")
	require.NoError(t, err)
	defer runs.Close()
	run, err := runfile.DecodeRun(runs, "run.toml")
	require.NoError(t, err)
	run.Simmer = to(4 * time.Hour)
	return kitchen, run
}

// planned settles and plans the demo with a change.
func planned(t testing.TB, change func(*runfile.Kitchen, *runfile.Run)) (settle.Setup, stock.Batch) {
	t.Helper()
	kitchen, run := demo(t)
	if change != nil {
		change(&kitchen, &run)
	}
	setup, err := settle.Run(kitchen, run)
	require.NoError(t, err)
	batch, err := stock.Plan(setup)
	require.NoError(t, err)
	return setup, batch
}

// own is a jar of the cook's own that stands like a pint.
func own(name string, fluidOunces quantity.Volume, onHand int) runfile.OwnJar {
	return runfile.OwnJar{Name: name, Brimful: to(fluidOunces * quantity.FluidOunce), Bore: to(2.375 * quantity.Inch),
		Diameter: to(3.25 * quantity.Inch), Height: to(5.13 * quantity.Inch), OnHand: &onHand}
}

func codes(notes []remark.Note) []string {
	var all []string
	for _, note := range notes {
		all = append(all, note.Code)
	}
	return all
}
