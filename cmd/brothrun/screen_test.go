package main

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The terminal of common practice, no source: 80 columns. One screen is 48 lines.
const (
	screenColumns = 80
	screenLines   = 48
)

func assertNarrow(t *testing.T, text, about string) {
	t.Helper()
	for line := range strings.Lines(text) {
		assert.LessOrEqual(t, utf8.RuneCountInString(strings.TrimRight(line, "\n")), screenColumns, "%s: %q", about, line)
	}
}

func TestTheDemoFitsOneScreen(t *testing.T) {
	p := newFollower(t, 0).call("plan", filepath.Join(root, "testdata", "demo", "run.toml"))
	require.Equal(t, exitDone, p.status, p.err)
	assert.LessOrEqual(t, strings.Count(p.out, "\n"), screenLines, p.out)
	assertNarrow(t, p.out, "demo")
}

func TestNoLineOfAScreenIsTooWide(t *testing.T) {
	golden, err := filepath.Glob(filepath.Join(root, "testdata", "golden", "*.txt"))
	require.NoError(t, err)
	require.NotEmpty(t, golden)
	for _, file := range golden {
		text, err := os.ReadFile(file)
		require.NoError(t, err)
		assertNarrow(t, string(text), file)
	}
	f := newFollower(t, 0)
	seen := 0
	scriptCalls(t, func(args []string) {
		toFile := func(arg string) bool { return arg == "--json" || arg == "--write" || arg == "--force" }
		if !slices.Contains([]string{"plan", "racks", "chill", "process"}, args[0]) || slices.ContainsFunc(args, toFile) {
			return
		}
		for _, more := range [][]string{{}, {"--full", "--levers", "--why", "--units=metric"}} {
			if len(more) > 0 && args[0] != "plan" {
				more = nil
			}
			if p := f.call(append(args, more...)...); p.status == exitDone || p.status == exitRefused {
				assertNarrow(t, p.out, strings.Join(p.args, " "))
				seen++
			}
		}
	})
	assert.Greater(t, seen, 100)
}

// What is refused, what may go wrong and a gauge nobody named are never among what
// only --full shows.
func TestTheShortScreenHidesNoDanger(t *testing.T) {
	f := newFollower(t, 0)
	refusals, warnings, gauges := 0, 0, 0
	scriptCalls(t, func(args []string) {
		toFile := func(arg string) bool {
			return arg == "--json" || arg == "--write" || arg == "--force" || arg == "--full"
		}
		if args[0] != "plan" || slices.ContainsFunc(args, toFile) {
			return
		}
		var data struct {
			Warnings, Refusals []struct{ Text string }
			Loads              []struct {
				Other *struct {
					Gauge    string
					Pressure *float64 `json:"pressure_psi"`
				} `json:"other_gauge"`
			}
		}
		p := f.call(args...)
		if p.status != exitDone && p.status != exitRefused || json.Unmarshal([]byte(f.again(p, "--json").out), &data) != nil {
			return
		}
		for _, note := range slices.Concat(data.Refusals, data.Warnings) {
			assert.Contains(t, p.words(), strings.Join(strings.Fields(note.Text), " "), "%v", args)
		}
		if len(data.Loads) > 0 && data.Loads[0].Other != nil {
			assert.Contains(t, p.words(), "on a weighted gauge", "%v", args)
			other := "none on a " + data.Loads[0].Other.Gauge + " gauge: no tested setting"
			if psi := data.Loads[0].Other.Pressure; psi != nil {
				other = fmt.Sprintf("%g psi on a %s gauge", *psi, data.Loads[0].Other.Gauge)
			}
			assert.Contains(t, strings.ReplaceAll(p.words(), "psi)", "psi"), other, "%v", args)
			gauges++
		}
		assert.Regexp(t, ` at -?[\d,]+ (ft|m) \(-?[\d,]+ (m|ft)\)\n`, p.out, "%v", args)
		refusals, warnings = refusals+len(data.Refusals), warnings+len(data.Warnings)
	})
	assert.True(t, refusals > 5 && warnings > 20 && gauges > 2, "%d %d %d", refusals, warnings, gauges)
}
