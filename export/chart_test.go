package export_test

import (
	"bytes"
	"errors"
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
	"brothrun/timeline"
)

func chart(t testing.TB, plans []timeline.Plan, busy []timeline.Booking, colour bool) string {
	t.Helper()
	var page bytes.Buffer
	require.NoError(t, export.Chart(&page, plans, busy, colour))
	return page.String()
}

// charted is turkeyFrames with a second run two hours later, and somebody out.
func charted(t testing.TB) ([]timeline.Plan, []timeline.Booking) {
	first, second := turkeyFrames(t), refused(t)
	for i := range second.Steps {
		second.Steps[i].Start, second.Steps[i].End = second.Steps[i].Start.Add(2*time.Hour), second.Steps[i].End.Add(2*time.Hour)
	}
	at := func(day, hour, minute int) time.Time {
		return time.Date(2026, 11, day, hour, minute, 0, 0, first.Location)
	}
	return []timeline.Plan{first, second}, []timeline.Booking{
		{From: at(27, 9, 0), To: at(27, 17, 0), What: "the day before"},
		{From: at(28, 14, 0), To: at(28, 15, 30), What: "Market"},
		{From: at(30, 0, 0), To: at(31, 0, 0), What: "Away"},
	}
}

// Layout, so the golden file is the check: read it. Times in it are those of
// turkeyFrames.
func TestChartGolden(t *testing.T) {
	plans, busy := charted(t)
	path := filepath.Join("..", "testdata", "golden", "chart.txt")
	got := "One run\n\n" + chart(t, plans[:1], nil, false) + "\nTwo runs and busy times\n\n" + chart(t, plans, busy, false)
	if *update {
		require.NoError(t, os.WriteFile(path, []byte(got), 0o644))
	}
	want, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, string(want), got)
}

// rowsOf returns the ruler of the block of a day and its rows by name.
func rowsOf(t testing.TB, page, day string) (ruler string, rows map[string]string) {
	t.Helper()
	rows = map[string]string{}
	blocks := strings.Split(page, "\n\n")
	for _, block := range blocks {
		lines := strings.Split(block, "\n")
		if !strings.HasPrefix(lines[0], "  "+day) || len(lines) < 2 {
			continue
		}
		for _, line := range lines[2:] {
			if len(line) > 15 {
				rows[strings.TrimSpace(line[:15])] = line[15:]
			}
		}
		return lines[1][15:], rows
	}
	require.Fail(t, "no such day", "%s in\n%s", day, page)
	return "", nil
}

// onDay is a plan with one watched step, and waiting around it.
func onDay(location *time.Location, from, to time.Time) timeline.Plan {
	return timeline.Plan{Location: location, Steps: []timeline.Step{
		{ID: "simmer", Kind: timeline.Watch, Start: from.In(location), End: to.In(location), Needs: []timeline.Resource{timeline.Cook}},
		{ID: "fridge", Kind: timeline.Waiting, Start: from.In(location).Add(-2 * time.Hour), End: to.In(location).Add(2 * time.Hour), Needs: []timeline.Resource{timeline.Fridge}},
	}}
}

// Clock changes: IANA time zone database; America/Denver puts its clocks forward
// at 02:00 on 8 March 2026 and back at 02:00 on 1 November, Australia/Lord_Howe
// back by half an hour at 02:00 on 5 April.
func TestChartHoursOverClockChanges(t *testing.T) {
	denver := place(t, "America/Denver")
	hours := regexp.MustCompile(`\d\d`)
	for _, row := range []struct {
		name     string
		location *time.Location
		day      string
		from, to time.Time // instants
		ruler    string
		columns  int    // the span over the minutes of a column
		cook     string // the row
	}{
		{"forward, whole day of 23 h", denver, "Sun 8 Mar, 23 h long: the clock changes", time.Date(2026, 3, 8, 7, 0, 0, 0, time.UTC), time.Date(2026, 3, 9, 6, 0, 0, 0, time.UTC),
			"00 03 05 07 09 11 13 15 17 19 21 23", 46, strings.Repeat("=", 46)},
		{"back, whole day of 25 h", denver, "Sun 1 Nov, 25 h long: the clock changes", time.Date(2026, 11, 1, 6, 0, 0, 0, time.UTC), time.Date(2026, 11, 2, 7, 0, 0, 0, time.UTC),
			"00 01 03 05 07 09 11 13 15 17 19 21 23", 50, strings.Repeat("=", 50)},
		{"forward, in the night", denver, "Sun 8 Mar", time.Date(2026, 3, 8, 8, 0, 0, 0, time.UTC), time.Date(2026, 3, 8, 11, 0, 0, 0, time.UTC),
			"01 03 04", 12, strings.Repeat("=", 12)},
		{"back, in the night", denver, "Sun 1 Nov", time.Date(2026, 11, 1, 7, 0, 0, 0, time.UTC), time.Date(2026, 11, 1, 10, 30, 0, 0, time.UTC),
			"01 01 02 03", 16, strings.Repeat("=", 14) + ".."},
		{"back, from its second pass", denver, "Sun 1 Nov", time.Date(2026, 11, 1, 8, 0, 0, 0, time.UTC), time.Date(2026, 11, 1, 9, 0, 0, 0, time.UTC),
			"01 01", 8, "....===="},
		{"no change", denver, "Mon 2 Nov", time.Date(2026, 11, 2, 8, 0, 0, 0, time.UTC), time.Date(2026, 11, 2, 11, 0, 0, 0, time.UTC),
			"01 02 03", 12, strings.Repeat("=", 12)},
		{"half an hour", place(t, "Australia/Lord_Howe"), "Sun 5 Apr, 24.5 h long: the clock changes", time.Date(2026, 4, 4, 14, 0, 0, 0, time.UTC), time.Date(2026, 4, 4, 17, 0, 0, 0, time.UTC),
			"01 02 03", 14, strings.Repeat("=", 12) + ".."},
	} {
		t.Run(row.name, func(t *testing.T) {
			page := chart(t, []timeline.Plan{onDay(row.location, row.from, row.to)}, nil, false)
			ruler, rows := rowsOf(t, page, row.day)
			assert.Equal(t, row.ruler, strings.Join(hours.FindAllString(ruler, -1), " "), page)
			assert.Equal(t, row.cook, rows["cook"], page)
			assert.Len(t, rows["fridge"], row.columns)
		})
	}
}

func TestChartShowsTinySteps(t *testing.T) {
	plan := turkeyFrames(t)
	at := func(hour, minute int) time.Time { return time.Date(2026, 11, 28, hour, minute, 0, 0, plan.Location) }
	step := func(kind timeline.Kind, from, to time.Time) timeline.Step {
		return timeline.Step{Kind: kind, Start: from, End: to, Needs: []timeline.Resource{timeline.Cook}}
	}
	plan.Steps = []timeline.Step{
		step(timeline.Watch, at(8, 0), at(12, 0)),
		step(timeline.HandsOn, at(9, 5), at(9, 10)),
		step(timeline.HandsOn, at(12, 0), at(13, 0)),
		step(timeline.Watch, at(12, 20), at(12, 25)),
		step(timeline.HandsOn, at(13, 59), at(13, 59)), // of no length
	}
	_, rows := rowsOf(t, chart(t, []timeline.Plan{plan}, nil, false), "Sat 28 Nov")
	assert.Equal(t, "====#===========#=##...#", rows["cook"])
}

func TestChartFitsAndStays(t *testing.T) {
	plans, busy := charted(t)
	odd := turkeyFrames(t)
	odd.Batch.Name = strings.Repeat("A very long name ", 20) + "\x1b[31m"
	odd.Steps[0].Needs = append(odd.Steps[0].Needs, timeline.Resource(strings.Repeat("ü", 40)))
	cases := map[string]string{
		"one": chart(t, plans[:1], nil, false), "two": chart(t, plans, busy, false), "odd": chart(t, []timeline.Plan{odd, plans[1], hostile(t)}, busy, false),
	}
	for name, plan := range clockChanges(t) {
		for i := range plan.Steps {
			plan.Steps[i].Needs = []timeline.Resource{timeline.Cook, timeline.FreezeDryer}
		}
		cases[name] = chart(t, []timeline.Plan{plan}, busy, false)
	}
	for name, page := range cases {
		for _, line := range strings.Split(page, "\n") {
			assert.LessOrEqual(t, utf8.RuneCountInString(line), 80, "%s: %q", name, line)
			assert.Equal(t, strings.TrimRight(line, " "), line, name)
			assert.NotContains(t, line, "\x1b", name)
		}
	}
	for range 20 {
		assert.Equal(t, cases["two"], chart(t, plans, busy, false), "the same every time")
	}
}

func TestChartColoursOnlyWhenAsked(t *testing.T) {
	plans, busy := charted(t)
	coloured := chart(t, plans, busy, true)
	assert.Contains(t, coloured, "\x1b[33mxxxxxx\x1b[0m")
	assert.Equal(t, chart(t, plans, busy, false), regexp.MustCompile("\x1b\\[[0-9]*m").ReplaceAllString(coloured, ""))
}

func TestChartWithoutSteps(t *testing.T) {
	plan := turkeyFrames(t)
	plan.Steps = nil
	for _, plans := range [][]timeline.Plan{nil, {plan}} {
		page := chart(t, plans, []timeline.Booking{{From: now, To: now.Add(time.Hour)}}, false)
		assert.Contains(t, page, "Nothing is on the clock yet")
		assert.NotContains(t, page, "hands-on")
	}
}

type brokenPipe struct{}

func (brokenPipe) Write([]byte) (int, error) { return 0, errors.New("pipe closed") }

func TestChartPassesOnErrorsOfItsWriter(t *testing.T) {
	plans, busy := charted(t)
	require.EqualError(t, export.Chart(brokenPipe{}, plans, busy, false), "pipe closed")
}

// A day whose clock skips midnight: the chart ends, and the day has 23 hours.
func TestChartOfADayWithoutAMidnight(t *testing.T) {
	for _, row := range []struct{ zone, date string }{{"America/Santiago", "2026-09-05"}, {"America/Havana", "2026-03-07"}} {
		location, err := time.LoadLocation(row.zone)
		require.NoError(t, err)
		day, err := time.ParseInLocation("2006-01-02 15:04", row.date+" 20:00", location)
		require.NoError(t, err)
		plan := timeline.Plan{Location: location, Steps: []timeline.Step{
			{ID: "simmer", Kind: timeline.Watch, Needs: []timeline.Resource{timeline.Cook}, Start: day, End: day.Add(30 * time.Hour)},
		}}
		var text strings.Builder
		require.NoError(t, export.Chart(&text, []timeline.Plan{plan}, nil, false))
		assert.Contains(t, text.String(), day.AddDate(0, 0, 1).Format("Mon 2 Jan"))
	}
}
