package main

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"brothrun/timeline"
)

// BenchmarkStart times whole commands, process start included: an empty cobra
// program as the yardstick, and a plan of the demo run with its screen and with
// a calendar. The goal is a plan within twice the yardstick.
func BenchmarkStart(b *testing.B) {
	bin := b.TempDir()
	build := func(name, source string) string {
		path := filepath.Join(bin, name)
		if out, err := exec.Command("go", "build", "-o", path, source).CombinedOutput(); err != nil {
			b.Fatalf("go build %s: %v\n%s", source, err, out)
		}
		return path
	}
	empty, brothrun := build("empty", "./testdata/empty"), build("brothrun", ".")
	demo := filepath.Join(root, "testdata", "demo", "run.toml")
	for _, row := range []struct {
		name string
		argv []string
	}{
		{"empty cobra program", []string{empty, "plan", demo}},
		{"plan", []string{brothrun, "plan", demo}},
		{"plan with busy", []string{brothrun, "plan", demo, "--busy", filepath.Join(root, "testdata", "weekend", "out.ics"), "--start", "2026-11-28 12:30", "--write", "-", "--format", "ics"}},
		{"plan to calendar", []string{brothrun, "plan", demo, "--write", "-", "--format", "ics"}},
	} {
		b.Run(row.name, func(b *testing.B) {
			for b.Loop() {
				if err := exec.Command(row.argv[0], row.argv[1:]...).Run(); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// BenchmarkNote times a note in a run that has 20 others, of moments at which nothing
// moves and at which something does, by itself and in a kitchen that counts the full jars
// of 50 more. The goal is an answer before the cook looks up: 0.2 s.
func BenchmarkNote(b *testing.B) {
	path := noteFolder(b)
	note(b, path, "strained", "13 qt hot", "--at", "2026-11-28 10:55")
	for n := range 19 {
		at := fmt.Sprintf("2026-11-28 %02d:%02d", 11+n/6, n%6*10)
		if n%2 == 0 {
			note(b, path, "remark", "quiet", "--at", at)
		} else {
			note(b, path, "reading", fmt.Sprint(120-4*n, "F"), "--at", at)
		}
	}
	full, err := os.ReadFile(path)
	require.NoError(b, err)
	out, err := os.Create(filepath.Join(b.TempDir(), "out"))
	require.NoError(b, err)
	defer out.Close()
	one := func(b *testing.B) {
		for b.Loop() {
			require.NoError(b, os.WriteFile(path, full, 0o644))
			var said bytes.Buffer
			args := []string{"note", path, "ready", "10.5 qt", "--at", "2026-11-29 08:20"}
			require.Equal(b, exitDone, run(args, out, &said), said.String())
		}
	}
	b.Run("alone", one)
	folder := filepath.Dir(path)
	writeRun(b, folder, "kitchen.toml", "zone = \"America/Denver\"\nruns = \"runs\"\n")
	require.NoError(b, os.Mkdir(filepath.Join(folder, "runs"), 0o755))
	for n := range 50 {
		writeRun(b, folder, fmt.Sprintf("runs/%d.toml", n), strings.ReplaceAll(string(full), "kitchen.toml", "../kitchen.toml"))
	}
	b.Run("beside 50 runs", one)
}

// BenchmarkPast times what a plan does with ten thousand past runs: it reads them and
// learns from them. The goal is a second, which holds where no loads are noted: a run
// whose loads are is planned again as they went, 2 ms.
func BenchmarkPast(b *testing.B) {
	folder := b.TempDir()
	writeRun(b, folder, "kitchen.toml", "altitude = \"3200 ft\"\nzone = \"America/Denver\"\n[[pot]]\nname = \"big\"\nvolume = \"22 qt\"\n")
	require.NoError(b, os.Mkdir(filepath.Join(folder, "runs"), 0o755))
	for n := range mostPastRuns {
		writeRun(b, folder, fmt.Sprintf("runs/%d.toml", n), fmt.Sprintf(`kitchen = "../kitchen.toml"
kind = "turkey-frames"
bones = "9 lb"
water = "14 qt"
simmer = "%d h"
lid = "ajar"
top_up = "never"
[[note]]
at = "2026-03-01 10:00"
what = "strained"
value = "%.2f qt, cold"
`, 1+n%6, 12.5-0.25*float64(n%6)))
	}
	for b.Loop() {
		runs, unread, err := past(filepath.Join(folder, "runs"), "")
		require.NoError(b, err)
		require.Zero(b, unread)
		learned := timeline.Teaches(runs)
		require.Len(b, learned.Told, mostPastRuns)
		require.Empty(b, learned.Told[0].Missing)
	}
}
