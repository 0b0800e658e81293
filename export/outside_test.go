package export_test

import (
	"bufio"
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"
	"unicode"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/timeline"
)

// The outside readers are other people's calendar libraries, run on the files of
// this package. They are looked for where these variables say; with
// BROTHRUN_OUTSIDE=require a missing one fails the test rather than skips it.
//
//	BROTHRUN_ICAL_JS  the folder in which ical.js was installed with npm
//	BROTHRUN_PYTHON   an interpreter with icalendar; else /usr/bin/python3
type reader struct {
	name    string
	command []string
	env     string
	missing string // why it cannot run; empty when it can
}

func readers(t *testing.T) []reader {
	folder, err := filepath.Abs(filepath.Join("..", ".ci", "readers"))
	require.NoError(t, err)

	javascript := reader{name: "ical.js", command: []string{"node", filepath.Join(folder, "ical_js.mjs")}}
	home := os.Getenv("BROTHRUN_ICAL_JS")
	javascript.env = "ICAL_JS_DIR=" + home
	if _, err := exec.LookPath("node"); err != nil {
		javascript.missing = "node is not installed"
	} else if home == "" {
		javascript.missing = "BROTHRUN_ICAL_JS is not set: npm install ical.js@2.2.1 in a folder and name it"
	}

	interpreter := os.Getenv("BROTHRUN_PYTHON")
	if interpreter == "" {
		interpreter = "/usr/bin/python3"
	}
	python := reader{name: "python-icalendar", command: []string{interpreter, filepath.Join(folder, "icalendar_reader.py")}}
	if output, err := exec.Command(interpreter, "-c", "import icalendar").CombinedOutput(); err != nil {
		python.missing = fmt.Sprintf("%s cannot import icalendar (Debian: python3-icalendar): %v %s", interpreter, err, output)
	}
	return []reader{javascript, python}
}

// understood is an event as a reader prints it.
type understood struct {
	UID         string `json:"uid"`
	Start       string `json:"start"`
	End         string `json:"end"`
	Summary     string `json:"summary"`
	Description string `json:"description"`
	Alarm       int    `json:"alarm_s"`
}

// wanted is what a reader should print for plan, but for the UID, which it must
// print as some UUID. It states the rules of text and reminders anew.
func wanted(plan timeline.Plan) []understood {
	clean := func(text string) string {
		text = strings.ReplaceAll(strings.ToValidUTF8(text, "\uFFFD"), "\r\n", "\n")
		text = strings.NewReplacer("\r", "\n", "\u2028", "\n", "\u2029", "\n", "\u0085", "\n").Replace(text)
		return strings.Map(func(r rune) rune {
			if unicode.IsControl(r) && r != '\n' && r != '\t' {
				return -1
			}
			return r
		}, text)
	}
	var events []understood
	for _, step := range plan.Steps {
		var lines []string
		for _, detail := range step.Detail {
			if text := strings.TrimSpace(clean(detail)); text != "" {
				lines = append(lines, text)
			}
		}
		if step.Span.Low != step.Span.High {
			lines = append(lines, "…") // how long it takes is compared elsewhere
		}
		ahead := max(1, int((step.Remind+59*time.Second)/time.Minute))
		events = append(events, understood{
			Start:       step.Start.UTC().Format(time.RFC3339),
			End:         step.End.UTC().Format(time.RFC3339),
			Summary:     strings.Join(strings.Fields(clean(step.Title)), " "),
			Description: strings.Join(lines, "\n"),
			Alarm:       -60 * ahead,
		})
	}
	return events
}

func TestOutsideReadersAgree(t *testing.T) {
	plans := clockChanges(t)
	plans["plain"] = turkeyFrames(t)
	plans["refused"] = refused(t)
	plans["hostile titles"] = hostile(t)

	for _, reader := range readers(t) {
		t.Run(reader.name, func(t *testing.T) {
			if reader.missing != "" {
				if os.Getenv("BROTHRUN_OUTSIDE") == "require" {
					t.Fatalf("outside reader missing: %s", reader.missing)
				}
				t.Skipf("SKIPPED, outside reader missing: %s", reader.missing)
			}
			for name, plan := range plans {
				for _, zoneInFile := range []bool{false, true} {
					t.Run(fmt.Sprintf("%s, zone in file %t", name, zoneInFile), func(t *testing.T) {
						got := reader.read(t, calendarOf(t, plan, zoneInFile))
						compare(t, wanted(plan), got)
					})
				}
			}
			// A backslash before an n is legal, but python-icalendar 4.0.3 reads it
			// as a line end, so only the other reader judges it.
			if reader.name == "ical.js" {
				t.Run("backslash before n", func(t *testing.T) {
					plan := turkeyFrames(t)
					plan.Steps[0].Title = `C:\notes`
					compare(t, wanted(plan), reader.read(t, calendarOf(t, plan, false)))
				})
			}
		})
	}
}

func (r reader) read(t *testing.T, file []byte) []understood {
	t.Helper()
	path := filepath.Join(t.TempDir(), "plan.ics")
	require.NoError(t, os.WriteFile(path, file, 0o600))
	command := exec.Command(r.command[0], append(slices.Clone(r.command[1:]), path)...)
	command.Env = append(os.Environ(), r.env)
	var complaint bytes.Buffer
	command.Stderr = &complaint
	output, err := command.Output()
	require.NoError(t, err, "%s", complaint.String())

	lines := bufio.NewScanner(bytes.NewReader(output))
	lines.Buffer(nil, 1<<20)
	require.True(t, lines.Scan(), "the reader says who it is")
	var who struct{ Reader, Version string }
	require.NoError(t, json.Unmarshal(lines.Bytes(), &who))
	t.Logf("read by %s %s", who.Reader, who.Version)
	var events []understood
	for lines.Scan() {
		var event understood
		require.NoError(t, json.Unmarshal(lines.Bytes(), &event))
		events = append(events, event)
	}
	require.NoError(t, lines.Err())
	return events
}

// compare wants the same events in the order of their starts.
func compare(t *testing.T, want, got []understood) {
	t.Helper()
	require.Len(t, got, len(want))
	slices.SortStableFunc(got, func(a, b understood) int { return strings.Compare(a.Start, b.Start) })
	uids := map[string]bool{}
	for i := range want {
		assert.Len(t, got[i].UID, 36)
		uids[got[i].UID] = true
		assert.Equal(t, want[i].Start, got[i].Start)
		assert.Equal(t, want[i].End, got[i].End)
		assert.Equal(t, want[i].Summary, got[i].Summary)
		assert.Equal(t, want[i].Alarm, got[i].Alarm)
		if text, window := strings.CutSuffix(want[i].Description, "…"); window {
			assert.True(t, strings.HasPrefix(got[i].Description, text+"Takes "), "%q should begin with %q", got[i].Description, text)
		} else {
			assert.Equal(t, text, got[i].Description)
		}
	}
	assert.Len(t, uids, len(want), "each event has its own UID")
}
