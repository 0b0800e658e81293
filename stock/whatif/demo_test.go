package whatif

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brothrun/stock"
	"brothrun/stock/remark"
	"brothrun/stock/runfile"
	"brothrun/stock/settle"
)

func to[T any](value T) *T { return &value }

// demo is the demo's kitchen and run, simmered for four hours.
func demo(t testing.TB) (runfile.Kitchen, runfile.Run) {
	t.Helper()
	open := func(name string) *os.File {
		file, err := os.Open(filepath.Join("..", "..", "testdata", "demo", name))
		require.NoError(t, err)
		t.Cleanup(func() { file.Close() })
		return file
	}
	kitchen, err := runfile.DecodeKitchen(open("kitchen.toml"), "kitchen.toml")
	require.NoError(t, err)
	run, err := runfile.DecodeRun(open("run.toml"), "run.toml")
	require.NoError(t, err)
	run.Simmer = to(4 * time.Hour)
	return kitchen, run
}

// settled settles a kitchen and a run and asks about them.
func settled[T any](kitchen runfile.Kitchen, run runfile.Run, ask func(settle.Setup) (T, error)) (answer T, err error) {
	setup, err := settle.Run(kitchen, run)
	if err != nil {
		return answer, err
	}
	return ask(setup)
}

func leversOf(kitchen runfile.Kitchen, run runfile.Run) ([]stock.Lever, error) {
	return settled(kitchen, run, Levers)
}

func racksOf(kitchen runfile.Kitchen, run runfile.Run, question RackQuestion) (RackAnswer, error) {
	return settled(kitchen, run, func(s settle.Setup) (RackAnswer, error) { return Racks(s, question) })
}

func plan(t testing.TB, change func(*runfile.Kitchen, *runfile.Run)) stock.Batch {
	t.Helper()
	kitchen, run := demo(t)
	if change != nil {
		change(&kitchen, &run)
	}
	batch, err := settled(kitchen, run, stock.Plan)
	require.NoError(t, err)
	return batch
}

func codes(notes []remark.Note) []string {
	var all []string
	for _, note := range notes {
		all = append(all, note.Code)
	}
	return all
}
