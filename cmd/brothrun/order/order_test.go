package order_test

import (
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"testing"
	"testing/fstest"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/cmd/brothrun/order"
	"brothrun/stock/fault"
	"brothrun/timeline"
)

// page is a machine without a disk: the demo's files as they were sent to it.
func page(t *testing.T) order.Machine {
	t.Helper()
	files := fstest.MapFS{}
	for name, path := range map[string]string{
		"run.toml": "demo/run.toml", "kitchen.toml": "demo/kitchen.toml", "out.ics": "weekend/out.ics",
	} {
		data, err := os.ReadFile(filepath.Join("../../../testdata", path))
		require.NoError(t, err)
		files[name] = &fstest.MapFile{Data: data}
	}
	return order.Machine{Open: func(path string) (io.ReadCloser, error) { return files.Open(path) }}
}

func taken(t *testing.T, settings ...string) *order.Request {
	t.Helper()
	r, err := order.Read(page(t), "run.toml", "")
	require.NoError(t, err)
	for i := 0; i < len(settings); i += 2 {
		require.NoError(t, r.Set(settings[i], settings[i+1]))
	}
	return r
}

func planned(t *testing.T, r *order.Request, clock order.Clock) ([]timeline.Plan, []timeline.Booking, error) {
	t.Helper()
	batches, err := order.Batches([]*order.Request{r}, order.Extras{})
	require.NoError(t, err)
	return order.Schedule([]*order.Request{r}, batches, clock)
}

func TestAPageWithoutADiskPlansTheDemo(t *testing.T) {
	r := taken(t, "start", "2026-11-28 12:30", "jars", "pint")
	assert.Equal(t, "kitchen.toml", r.KitchenFile, "from the folder of the run file")
	plans, away, err := planned(t, r, order.Clock{Busy: []string{"out.ics"}, Remind: "15m"})
	require.NoError(t, err)
	assert.NotEmpty(t, plans[0].Steps)
	assert.NotEmpty(t, away)
	for _, jars := range plans[0].Batch.Jars {
		assert.Equal(t, "pint", jars.Jar)
	}
}

// Its clock is the caller's: the same run is past or not by what it says.
func TestARunIsPastByTheClockOfTheCaller(t *testing.T) {
	r := taken(t, "start", "2026-11-28 08:00")
	for now, want := range map[int]int{2026: 0, 2027: 1} {
		plans, _, err := planned(t, r, order.Clock{Now: time.Date(now, 1, 1, 0, 0, 0, 0, time.UTC)})
		require.NoError(t, err)
		past := 0
		for _, note := range plans[0].Warnings {
			if note.Code == timeline.Past {
				past++
			}
		}
		assert.Equal(t, want, past, "%d", now)
	}
}

// The zone of a kitchen that names none is the machine's, and is told as assumed.
func TestTheZoneIsTheMachinesWhereNoneIsNamed(t *testing.T) {
	r := taken(t)
	r.Kitchen.Zone = ""
	_, _, err := planned(t, r, order.Clock{})
	assert.ErrorContains(t, err, "zone")

	m := page(t)
	m.Zone, m.ZoneFrom = "Europe/Vienna", "the page"
	r, err = order.Read(m, "run.toml", "")
	require.NoError(t, err)
	r.Kitchen.Zone = ""
	plans, _, err := planned(t, r, order.Clock{})
	require.NoError(t, err)
	assert.Equal(t, "Europe/Vienna", plans[0].Location.String())
	assumed := plans[0].Batch.Assumed
	assert.Equal(t, []any{"Europe/Vienna", "the page"}, assumed[len(assumed)-1].Facts)
}

// A page marks the field at fault by its key, and a setting that is given is blamed
// before the line of the file.
func TestWhatIsWrongIsToldByItsKey(t *testing.T) {
	for _, row := range []struct{ name, text, key, reason, hint string }{
		{"pot-width", "12", "pot_width", "--pot-width: ", "write 12in or 12cm"},
		{"pot-width", " ", "pot_width", "--pot-width is empty", "give it a value, or leave it out"},
		{"racks", "11", "racks", "--racks: racks 11: must be a whole number from 1 to 10", ""},
		{"mix", "perhaps", "mix", `--mix: mix "perhaps" is not a choice: --mix or --mix=false`, ""},
		{"width", "12in", "width", "there is no setting --width", ""},
	} {
		var wrong *fault.Fault
		require.ErrorAs(t, taken(t).Set(row.name, row.text), &wrong, row.name)
		assert.Equal(t, row.key, wrong.Key)
		assert.Contains(t, wrong.Reason, row.reason)
		assert.Equal(t, row.hint, wrong.Hint)
	}

	batchOf := func(r *order.Request) error {
		_, err := order.Batches([]*order.Request{r}, order.Extras{})
		return err
	}
	assert.ErrorContains(t, batchOf(taken(t, "lid", "upside down")), "--lid: ")
	inFile := taken(t)
	inFile.Kitchen.Gauge = "crooked"
	assert.ErrorContains(t, batchOf(inFile), "kitchen.toml:")
}

func TestOfTwoWaysToSayWhenTheOneSetWins(t *testing.T) {
	r := taken(t, "finish-by", "2026-11-29 20:00")
	require.NotEmpty(t, r.Run.Start, "the file says when it begins")
	plans, _, err := planned(t, r, order.Clock{})
	require.NoError(t, err)
	assert.NotEmpty(t, plans[0].Steps)
	assert.Empty(t, r.Run.Start)

	_, _, err = planned(t, taken(t, "start", "2026-11-28 08:00", "finish-by", "2026-11-29 20:00"), order.Clock{})
	assert.EqualError(t, err, "--start and --finish-by go against each other")
}

func TestAFileThatIsNotThereIsAFaultWithANextStep(t *testing.T) {
	m := page(t)
	_, err := order.Read(m, "nothing.toml", "")
	var wrong *fault.Fault
	require.ErrorAs(t, err, &wrong)
	assert.NotEmpty(t, wrong.Hint)
	_, _, err = planned(t, taken(t), order.Clock{Busy: []string{"nothing.ics"}})
	assert.EqualError(t, err, "--busy: there is no file nothing.ics")

	m.Open = func(string) (io.ReadCloser, error) { return nil, fs.ErrPermission }
	_, err = order.Read(m, "run.toml", "")
	assert.ErrorIs(t, err, fs.ErrPermission)
	assert.False(t, errors.As(err, &wrong), "what cannot be read is a failure, no bad input")
}

func TestRunsTogetherAreOneKitchensAndEachOnce(t *testing.T) {
	a, b := taken(t), taken(t)
	assert.ErrorContains(t, order.Together([]*order.Request{a, b}), "are both the run")
	b.Run.ID = "another"
	assert.NoError(t, order.Together([]*order.Request{a, b}))
	b.Kitchen.File = "cabin.toml"
	assert.ErrorContains(t, order.Together([]*order.Request{a, b}), "have different kitchens")
	b = taken(t, "start", "2026-11-28 08:00")
	assert.ErrorContains(t, order.Together([]*order.Request{a, b}), "--start is one run's, and 2 are planned together")
}
