package page_test

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"
	_ "time/tzdata" // the same zones wherever the tests run

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/export/page"
	"brothrun/stock/record"
	"brothrun/stock/runfile"
	"brothrun/stock/settle"
	"brothrun/timeline"
)

var site = page.Site{Title: "Broth", Base: "/word/1/", Zone: "America/Denver", Buttons: true, Host: "192.168.1.7:8735", Reader: "/view/1/",
	Calendar: "/view/1/run.ics"}

// demo is the demo with other lines in its files, and notes: "29 09:40 began load-1".
func demo(t *testing.T, change *strings.Replacer, notes ...string) page.Run {
	t.Helper()
	read := func(name string) *strings.Reader {
		data, err := os.ReadFile(filepath.Join("../../testdata/demo", name))
		require.NoError(t, err)
		return strings.NewReader(change.Replace(string(data)))
	}
	kitchen, err := runfile.DecodeKitchen(read("kitchen.toml"), "kitchen.toml")
	require.NoError(t, err)
	run, err := runfile.DecodeRun(read("run.toml"), "run.toml")
	require.NoError(t, err)
	setup, err := settle.Run(kitchen, run)
	require.NoError(t, err)
	place, err := timeline.LoadZone("America/Denver")
	require.NoError(t, err)
	for i, text := range notes {
		fields := strings.Fields(text)
		note := runfile.Note{ID: fmt.Sprintf("note%d", i), At: "2026-11-" + fields[0] + " " + fields[1], What: fields[2]}
		switch what := record.What(fields[2]); {
		case what == record.Began || what == record.Done:
			note.Step = fields[3]
		case what.OfLoad():
			note.Load = 1
		default:
			note.Value = strings.Join(fields[3:], " ")
		}
		run.Notes = append(run.Notes, note)
	}
	entries, err := record.Read(run.Notes, func(text string) (time.Time, error) { return timeline.ParseMoment(text, place) })
	require.NoError(t, err)
	planned, batch, err := timeline.Follow(setup, entries)
	require.NoError(t, err)
	start, _, err := timeline.ParseLocal(run.Start, place)
	require.NoError(t, err)
	plans, err := timeline.ScheduleAll([]timeline.Run{{Batch: batch, ID: "run", When: timeline.When{Start: start}, Record: entries, Planned: planned}},
		timeline.Calendar{Location: place})
	require.NoError(t, err)
	return page.Run{Plan: plans[0], Planned: planned, Revision: fmt.Sprintf("%d-x", len(notes))}
}

var asItIs = strings.NewReplacer()

func at(t *testing.T, text string) time.Time {
	t.Helper()
	place, err := timeline.LoadZone("America/Denver")
	require.NoError(t, err)
	instant, _, err := timeline.ParseLocal("2026-11-"+text, place)
	require.NoError(t, err)
	return instant
}

func now(t *testing.T, run page.Run, instant time.Time) string {
	t.Helper()
	var text bytes.Buffer
	require.NoError(t, page.Now(&text, site, page.See(run, instant)))
	return text.String()
}

var (
	button  = regexp.MustCompile(`<button[^>]*>([^<]*)</button>`)
	hollow  = regexp.MustCompile(`%!|\(MISSING\)|\{(since|until)\}|<(p|li|h2|summary|option)( [^>]*)?>\s*</`)
	inPanel = regexp.MustCompile(`(?s)<template.*?</template>`)
)

// At whatever hour of whatever run there is one step that the cook is asked about, and
// every button says what it notes.
func TestThePageOfEveryHour(t *testing.T) {
	for name, run := range map[string]page.Run{
		"the demo": demo(t, asItIs), "metric": demo(t, strings.NewReplacer(`units = "us"`, `units = "metric"`)),
		"no tested process":   demo(t, strings.NewReplacer("turkey-frames", "pork")),
		"no safe chill":       demo(t, strings.NewReplacer(`temperature = "38 F"`, `temperature = "48 F"`)),
		"a chill that failed": demo(t, asItIs, "28 08:05 began prepare", "28 10:56 done strain", "28 13:10 reading 90 F", "28 15:40 reading 80 F"),
		"a load that was not processed": demo(t, asItIs, "29 08:35 began reheat", "29 09:40 began load-1", "29 09:55 steam", "29 10:05 vented", "29 10:10 at-pressure",
			"29 10:20 fell", "29 10:40 zero"),
	} {
		for hour := at(t, "27 20:00"); hour.Before(at(t, "30 22:00").Add(24 * time.Hour)); hour = hour.Add(97 * time.Minute) {
			text := now(t, run, hour)
			said := inPanel.ReplaceAllString(text, "")
			assert.Equal(t, 1, strings.Count(said, `id="on-title"`), name)
			assert.LessOrEqual(t, strings.Count(said, `class="big"`), 1, name)
			for _, found := range button.FindAllStringSubmatch(text, -1) {
				assert.NotEmpty(t, strings.TrimSpace(found[1]), "%s at %v: %s", name, hour, found[0])
			}
			empty := strings.ReplaceAll(said, `<p class="label">`, "") // of a run that is over
			assert.NotRegexp(t, hollow, strings.NewReplacer(`role="timer"`, "").Replace(regexp.MustCompile(`<p class="count"[^>]*></p>`).ReplaceAllString(empty, "")),
				"%s at %v", name, hour)
			var plain bytes.Buffer
			ids := 0
			require.NoError(t, page.Plain(&plain, site, page.See(run, hour), func() string { ids++; return fmt.Sprint("id", ids) }))
			assert.Equal(t, strings.Count(plain.String(), "<form"), ids, "each form has an ID of its own")
			assert.NotContains(t, plain.String(), "<template")
		}
	}
}

// What the clock of a load shows after each press: a fall has no countdown, and heat off waits
// for the full tested time, 25 min for quarts (USDA Complete Guide to Home Canning, guide 5).
func TestWhatAPhoneOutOfReachShows(t *testing.T) {
	text := now(t, demo(t, asItIs, "29 08:35 began reheat", "29 09:40 began load-1"), at(t, "29 09:50"))
	panels := map[string]string{}
	for _, panel := range inPanel.FindAllString(text, -1) {
		name := regexp.MustCompile(`id="after-([a-z-]+)" data-span="(\d+)"`).FindStringSubmatch(panel)
		panels[name[1]] = name[2] + panel
	}
	assert.Len(t, panels, 8)
	for after, want := range map[string]struct {
		span    string
		counts  string // "until", "since" or nothing
		buttons string
	}{
		"began": {"0", "since", "steam"}, "steam": {"600000", "until", "vented"}, "vented": {"0", "since", "at-pressure"},
		"at-pressure": {"1500000", "until", "heat-off fell"}, "fell": {"0", "", "at-pressure zero"}, "heat-off": {"0", "since", "zero"},
		"zero": {"600000", "until", "lid-off"}, "lid-off": {"0", "", ""},
	} {
		panel := panels[after]
		assert.True(t, strings.HasPrefix(panel, want.span+"<"), "%s lasts %.10s ms", after, panel)
		for _, way := range []string{"until", "since"} {
			assert.Equal(t, want.counts == way, strings.Contains(panel, "data-"+way+"="), "%s counts %s", after, way)
		}
		var buttons []string
		for _, found := range regexp.MustCompile(`data-after="([a-z-]+)"`).FindAllStringSubmatch(panel, -1) {
			buttons = append(buttons, found[1])
		}
		assert.Equal(t, want.buttons, strings.Join(buttons, " "), after)
		assert.Equal(t, want.counts == "until", strings.Contains(panel, ` data-from="-1"`), "%s: the big button waits", after)
		assert.Equal(t, want.counts == "until", strings.Contains(panel, ` disabled>`), after)
	}
}

// A script that is short is read before it is trusted.
func TestTheScriptIsShortAndAloneAndKeepsToItsPolicy(t *testing.T) {
	script := string(page.Script())
	assert.Less(t, strings.Count(script, "\n"), 210)
	for _, word := range []string{"eval(", "Function(", "http:", "https:", "import ", "document.cookie", "serviceWorker", "innerText"} {
		assert.NotContains(t, script, word)
	}
	// What a phone lacks on plain http.
	for _, word := range []string{"randomUUID", "navigator.locks", "wakeLock", "clipboard", "navigator.share", "crypto.subtle"} {
		assert.NotContains(t, script, word)
	}
	for _, text := range []string{string(page.Style()), now(t, demo(t, asItIs), at(t, "28 08:10"))} {
		assert.NotContains(t, text, "url(")
		assert.NotRegexp(t, ` (style|on[a-z]+)="`, regexp.MustCompile(`id="on[a-z-]*"`).ReplaceAllString(text, ""))
	}
}
