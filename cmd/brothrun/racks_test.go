package main

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"sync/atomic"
	"testing"

	"brothrun/stock/fault"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestInParallelDoesAllOnceAndTellsHowFar(t *testing.T) {
	for _, n := range []int{0, 1, 7, 500} {
		times := make([]atomic.Int32, n)
		var told []int
		err := inParallel(n, func(through int) { told = append(told, through) }, func(i int) error {
			times[i].Add(1)
			return nil
		})
		require.NoError(t, err)
		require.Len(t, told, n)
		for i := range n {
			assert.EqualValues(t, 1, times[i].Load())
			assert.Equal(t, i+1, told[i])
		}
	}
}

// Whoever runs which, the error is that a loop would have met.
func TestInParallelReturnsTheFirstError(t *testing.T) {
	for range 50 {
		var begun atomic.Int32
		last := 0
		err := inParallel(1000, func(through int) { last = through }, func(i int) error {
			begun.Add(1)
			if i >= 5 {
				return fmt.Errorf("run %d", i)
			}
			return nil
		})
		require.EqualError(t, err, "run 5")
		assert.Less(t, begun.Load(), int32(500), "the rest is left")
		assert.Equal(t, 1000, last, "so that the line on the terminal is gone")
	}
}

func TestTheCounterWritesAHundredTimesAtMostAndGoesAway(t *testing.T) {
	var out bytes.Buffer
	done := counter(&out, 2000)
	for n := range 2000 {
		done(n + 1)
	}
	lines := bytes.Split(out.Bytes(), []byte("\r"))
	assert.Equal(t, "20 of 2000 runs", string(lines[1]))
	assert.Len(t, lines, 1+100)
	assert.Equal(t, "\x1b[K", string(lines[100]))

	written := out.Len()
	progress(&out, 2000)(20)
	assert.Equal(t, written, out.Len(), "nothing where no terminal is")
}

// The same answer however many processors there are: a season in parallel is the
// season run by run.
func TestASeasonIsTheSameInParallel(t *testing.T) {
	folder := t.TempDir()
	for i := range 12 {
		file := fmt.Sprintf("name = \"run %d\"\nkind = \"turkey-frames\"\nbones = \"%d lb\"\npot = \"22 qt\"\naltitude = \"3200 ft\"\ngauge = \"weighted\"\n", i, 3+i%7)
		require.NoError(t, os.WriteFile(filepath.Join(folder, fmt.Sprintf("run%02d.toml", i)), []byte(file), 0o600))
	}
	requests, err := readFolder(folder, "")
	require.NoError(t, err)
	season, err := askRacks(requests, true, func(int) {})
	require.NoError(t, err)
	again, err := askRacks(requests, true, func(int) {})
	require.NoError(t, err)
	assert.Equal(t, season, again)
	total := 0
	for i := range requests {
		one, err := askRacks(requests[i:i+1], false, func(int) {})
		require.NoError(t, err)
		total += one.Plans[0].Options[0].Likely
	}
	assert.Equal(t, total, season.Plans[0].Options[0].Likely)
	assert.Equal(t, 12, season.Question.RunsPerYear)
}

func TestAFolderHasAnEnd(t *testing.T) {
	folder := t.TempDir()
	for i := range mostRunsInFolder + 1 {
		require.NoError(t, os.WriteFile(filepath.Join(folder, fmt.Sprintf("%04d.toml", i)), []byte("simmer = \"1 h\"\n"), 0o600))
	}
	_, err := readFolder(folder, "")
	require.ErrorContains(t, err, "has more than 2000 run files, the most that are answered for at once")
	var usage *fault.Fault
	require.True(t, errors.As(err, &usage))
	assert.NotEmpty(t, usage.Hint)
	require.NoError(t, os.Remove(filepath.Join(folder, "0000.toml")))
	requests, err := readFolder(folder, "")
	require.NoError(t, err)
	assert.Len(t, requests, mostRunsInFolder)
}

func TestPastRunsHaveAnEndToo(t *testing.T) {
	folder := t.TempDir()
	for i := range mostPastRuns + 1 {
		writeRun(t, folder, fmt.Sprintf("%05d.toml", i), "")
	}
	_, err := runFiles([]string{folder})
	require.ErrorContains(t, err, "has more than 10000 run files, the most that are answered for at once")
	require.NoError(t, os.Remove(filepath.Join(folder, "00000.toml")))
	files, err := runFiles([]string{folder})
	require.NoError(t, err)
	assert.Len(t, files, mostPastRuns)
}
