package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/stock/runfile"
	"brothrun/timeline/ical"
)

// noteDay is a run for notes, with a calendar of its own.
const noteDay = `id = "saturday"
calendar = "run.ics"
kind = "turkey-frames"
bones = "9 lb"
vegetables = "3 lb"
pot = "22 qt"
pot_width = "12 in"
simmer = "45 min"
jars = "quart,pint"
route = "freezer"
altitude = "3200 ft"
gauge = "weighted"
start = "2026-11-28 08:00"
kitchen = "kitchen.toml"
`

// noteFolder is a folder with noteDay in it, and the instant of the notes after it.
func noteFolder(t testing.TB) (path string) {
	folder := recordFolder(t)
	t.Setenv("SOURCE_DATE_EPOCH", "1796200000")
	writeRun(t, folder, "kitchen.toml", "zone = \"America/Denver\"\n")
	return writeRun(t, folder, "run.toml", noteDay)
}

// note notes something and wants it to go well.
func note(t testing.TB, path string, args ...string) {
	t.Helper()
	var said bytes.Buffer
	out, err := os.Create(filepath.Join(t.TempDir(), "out"))
	require.NoError(t, err)
	defer out.Close()
	require.Equal(t, exitDone, run(append([]string{"note", path}, args...), out, &said), "%v: %s", args, said.String())
}

func notesIn(t testing.TB, path string) []runfile.Note {
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	run, err := runfile.DecodeRun(bytes.NewReader(text), path)
	require.NoError(t, err)
	return run.Notes
}

// A note is held against what the file says when it is written, not when it was asked for.
func TestOfNotesAtOnceOneIsTaken(t *testing.T) {
	path := noteFolder(t)
	note(t, path, "at-pressure", "--load", "1", "--at", "2026-11-29 10:12")
	const at = "2026-11-29 10:40"
	var wait sync.WaitGroup
	taken := make([]int, 4)
	for i := range taken {
		wait.Go(func() {
			var said bytes.Buffer
			out, err := os.Create(filepath.Join(t.TempDir(), "out"))
			if assert.NoError(t, err) {
				defer out.Close()
				taken[i] = run([]string{"note", path, "heat-off", "--load", "1", "--at", at}, out, &said)
			}
		})
	}
	wait.Wait()
	assert.ElementsMatch(t, []int{exitDone, exitUsage, exitUsage, exitUsage}, taken)
	assert.Len(t, notesIn(t, path), 2)
}

// Whoever reads the answer may be gone: the note stands, and its calendar moves.
func TestAnAnswerThatCannotBeWrittenTakesNothingBack(t *testing.T) {
	path := noteFolder(t)
	deaf, err := os.Open(path) // to be read alone
	require.NoError(t, err)
	defer deaf.Close()
	var said bytes.Buffer
	args := []string{"note", path, "late", "30m", "heat-up", "--at", "2026-11-28 08:10"}
	assert.Equal(t, exitFailed, run(args, deaf, &said))
	notes := notesIn(t, path)
	require.Len(t, notes, 1)
	assert.Contains(t, said.String(), "noted ("+notes[0].ID+"), but the answer cannot be written: ")
	calendar, err := os.ReadFile(filepath.Join(filepath.Dir(path), "run.ics"))
	require.NoError(t, err)
	former, err := ical.Read(strings.NewReader(string(calendar)), "run.ics", nil)
	require.NoError(t, err)
	assert.True(t, former.Ours)
	assert.NotEmpty(t, former.Events)
}
