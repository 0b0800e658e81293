package main

import (
	"os/exec"
	"path/filepath"
	"testing"
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
