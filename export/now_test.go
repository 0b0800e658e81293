package export_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/export"
	"brothrun/stock/quantity"
	"brothrun/stock/record"
	"brothrun/stock/runfile"
	"brothrun/timeline"
)

// demoNotes is the demo with notes, one for each phase of a canner load and one of
// every kind that Noted says something of its own of.
var demoNotes = []runfile.Note{
	{At: "2026-11-28 08:40", What: "began", Step: "heat-up"},
	{At: "2026-11-28 09:00", What: "late", Step: "heat-up", Value: "30m"},
	{At: "2026-11-28 11:10", What: "strained", Value: "11 qt hot"},
	{At: "2026-11-28 12:00", What: "reading", Value: "72 F"},
	{At: "2026-11-28 15:00", What: "reading", Value: "40 F"},
	{At: "2026-11-29 08:20", What: "ready", Value: "10.4 qt"},
	{At: "2026-11-29 09:36", What: "began", Step: "load-1"},
	{At: "2026-11-29 10:00", What: "steam", Load: 1},
	{At: "2026-11-29 10:10", What: "vented", Load: 1},
	{At: "2026-11-29 10:18", What: "at-pressure", Load: 1},
	{At: "2026-11-29 10:30", What: "fell", Load: 1},
	{At: "2026-11-29 10:36", What: "at-pressure", Load: 1},
	{At: "2026-11-29 11:02", What: "heat-off", Load: 1},
	{At: "2026-11-29 11:40", What: "zero", Load: 1},
	{At: "2026-11-29 11:52", What: "lid-off", Load: 1},
	{At: "2026-11-29 12:00", What: "broken", Value: "quart=1", Load: 1},
	{At: "2026-11-29 12:05", What: "remark", Value: "the gauge was checked"},
	{At: "2026-11-30 07:00", What: "unsealed", Value: "quart=1", Load: 1},
}

// moment is a plan as it was right after its last note, and the note.
type moment struct {
	plan timeline.Plan
	note record.Entry
}

// demoDay is the demo as planned, and after each of its notes.
func demoDay(t *testing.T, units quantity.System) []moment {
	t.Helper()
	demo := runOf(t, "demo")
	var moments []moment
	for n := range len(demoNotes) + 1 {
		entries := demo.entries(t, demoNotes[:n])
		plan, err := demo.plan(entries)
		require.NoError(t, err)
		plan.Batch.Units = units
		m := moment{plan: plan}
		if n > 0 {
			m.note = entries[n-1]
			m.note.ID = "k3v9bd"
		}
		moments = append(moments, m)
	}
	return moments
}

// golden compares what was written with a file of testdata/golden.
func golden(t *testing.T, name, got string) {
	t.Helper()
	path := filepath.Join("..", "testdata", "golden", name)
	if *update {
		require.NoError(t, os.WriteFile(path, []byte(got), 0o644))
	}
	want, err := os.ReadFile(path)
	require.NoError(t, err, "run go test ./export -update")
	assert.Equal(t, string(want), got)
}

func nowOf(t *testing.T, plan timeline.Plan, at time.Time, colour bool) string {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, export.Now(&b, plan, at, colour))
	return b.String()
}

func notedOf(t *testing.T, before, after moment, colour bool) string {
	t.Helper()
	var b bytes.Buffer
	questions := before.plan.Odd(*after.plan.Planned, after.note, after.note.At)
	require.NoError(t, export.Noted(&b, before.plan, after.plan, after.note, questions, colour))
	return b.String()
}

// The whole of what is said stands in the golden files: read them. Times and jars in
// them are those of the demo.
func TestNowAndNotedAreTheGoldenFiles(t *testing.T) {
	for name, units := range map[string]quantity.System{"us": quantity.US, "metric": quantity.Metric} {
		t.Run(name, func(t *testing.T) {
			moments := demoDay(t, units)
			var b strings.Builder
			show := func(plan timeline.Plan, at time.Time) {
				fmt.Fprintf(&b, "== now %s\n%s\n", at.Format("2006-01-02 15:04"), nowOf(t, plan, at, false))
			}
			planned := moments[0].plan
			show(planned, planned.Begins().Add(-time.Hour))
			show(planned, planned.Begins().Add(100*time.Minute))
			show(planned, planned.Begins().AddDate(0, 0, 7))
			for n, m := range moments[1:] {
				fmt.Fprintf(&b, "== note\n%s\n", notedOf(t, moments[n], m, false))
				show(m.plan, m.note.At.Add(time.Minute))
			}
			golden(t, "now-"+name+".txt", b.String())
		})
	}
}

// The keys are a contract with scripts.
func TestNowJSONIsTheGoldenFile(t *testing.T) {
	var b bytes.Buffer
	for n, m := range demoDay(t, quantity.US) {
		at := m.note.At.Add(time.Minute)
		if n == 0 {
			at = m.plan.Begins().Add(100 * time.Minute)
		}
		start := b.Len()
		require.NoError(t, export.NowJSON(&b, m.plan, at))
		require.True(t, json.Valid(b.Bytes()[start:]))
	}
	golden(t, "now.json", b.String())
}

// Colour is added to the text and changes none of it.
func TestNowFitsEightyColumns(t *testing.T) {
	escapes := regexp.MustCompile("\x1b\\[[0-9]*m")
	plain := func(text string) string { return escapes.ReplaceAllString(text, "") }
	lines := 0
	fits := func(name, text, coloured string) {
		assert.Equal(t, text, plain(coloured), name)
		for line := range strings.Lines(text) {
			line = strings.TrimSuffix(line, "\n")
			assert.LessOrEqual(t, utf8.RuneCountInString(line), 80, "%s: %s", name, line)
			assert.Equal(t, strings.TrimRight(line, " "), line, name)
			lines++
		}
	}
	for _, units := range []quantity.System{quantity.US, quantity.Metric} {
		moments := demoDay(t, units)
		for _, links := range chains(t) {
			for n, l := range links {
				m := moment{plan: l.plan}
				m.plan.Batch.Units = units
				if n > 0 {
					m.note = l.plan.Record[n-1]
					fits(l.name, notedOf(t, moments[len(moments)-1], m, false), notedOf(t, moments[len(moments)-1], m, true))
				}
				moments = append(moments, m)
			}
		}
		for n, m := range moments {
			for _, step := range m.plan.Steps {
				for _, at := range []time.Time{step.Start, step.Start.Add(time.Minute), step.End} {
					fits(fmt.Sprint(n, at), nowOf(t, m.plan, at, false), nowOf(t, m.plan, at, true))
				}
			}
		}
	}
	assert.Greater(t, lines, 10000)
}

func TestNowSaysWhereItCannotWrite(t *testing.T) {
	moments := demoDay(t, quantity.US)
	before, after := moments[0].plan, moments[1].plan
	at := moments[1].note.At
	assert.ErrorIs(t, export.Now(fullDisk{}, after, at, false), errFull)
	assert.ErrorIs(t, export.NowJSON(fullDisk{}, after, at), errFull)
	assert.ErrorIs(t, export.Noted(fullDisk{}, before, after, moments[1].note, nil, false), errFull)
}
