package export_test

import (
	"bytes"
	"crypto/sha1"
	"encoding/hex"
	"errors"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/export"
	"brothrun/stock/quantity"
	"brothrun/stock/remark"
	"brothrun/timeline"
)

var update = flag.Bool("update", false, "write the golden files anew")

// The golden files pin the bytes; that these are right is for the lint and the
// outside readers to say.
func TestCalendarIsTheGoldenFile(t *testing.T) {
	for name, file := range map[string][]byte{
		"turkey-frames.ics":      calendarOf(t, turkeyFrames(t), false),
		"turkey-frames-zone.ics": calendarOf(t, turkeyFrames(t), true),
		"refused.ics":            calendarOf(t, refused(t), false),
	} {
		t.Run(name, func(t *testing.T) {
			path := filepath.Join("..", "testdata", "golden", name)
			if *update {
				require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o755))
				require.NoError(t, os.WriteFile(path, file, 0o644))
			}
			want, err := os.ReadFile(path)
			require.NoError(t, err, "run go test ./export -update")
			assert.Equal(t, string(want), string(file))
		})
	}
}

func TestCalendarSaysWhatThePlanSays(t *testing.T) {
	for name, plan := range map[string]timeline.Plan{"turkey frames": turkeyFrames(t), "refused": refused(t)} {
		for _, zoneInFile := range []bool{false, true} {
			t.Run(fmt.Sprintf("%s, zone in file %t", name, zoneInFile), func(t *testing.T) {
				events := read(t, calendarOf(t, plan, zoneInFile))
				require.Len(t, events, len(plan.Steps))
				for i, step := range plan.Steps {
					event := events[i]
					assert.Equal(t, titleOf(plan, step), event.Title)
					if step.Kind != timeline.Waiting {
						assert.Equal(t, step.Start.UTC(), event.Start, step.ID)
						assert.Equal(t, step.End.UTC(), event.End, step.ID)
					}
					assert.Equal(t, minutes, event.Sequence, "the minutes since 2020")
					for _, detail := range detailOf(plan, step) {
						assert.Contains(t, strings.Split(event.Text, "\n"), detail)
					}
				}
			})
		}
	}
}

func TestDescriptionEndsWithHowLongAStepMayTake(t *testing.T) {
	plan := turkeyFrames(t)
	events := read(t, calendarOf(t, plan, false))
	assert.Equal(t, strings.Join(detailOf(plan, plan.Steps[0]), "\n")+"\nTakes 20 to 45 min, most likely 30 min.", events[0].Text)
	assert.Equal(t, strings.Join(detailOf(plan, plan.Steps[2]), "\n"), events[2].Text, "a span known exactly has no window")
	assert.Equal(t, "From Sat 11:35 to Sun 08:00.\n"+strings.Join(detailOf(plan, plan.Steps[5]), "\n"), events[5].Text)
}

// Hands-on steps mark the cook as busy, and a load, from which nobody goes away; source:
// common practice, no source.
func TestHandsOnStepsAndLoadsMakeTheCookBusy(t *testing.T) {
	plan := turkeyFrames(t)
	parts := bytes.Split(calendarOf(t, plan, false), []byte("BEGIN:VEVENT"))[1:]
	for i, step := range plan.Steps {
		busy := step.Kind == timeline.HandsOn || step.Role == timeline.Load
		assert.Equal(t, busy, bytes.Contains(parts[i], []byte("TRANSP:OPAQUE")), step.ID)
		assert.Equal(t, !busy, bytes.Contains(parts[i], []byte("TRANSP:TRANSPARENT")), step.ID)
		assert.Contains(t, string(parts[i]), "CATEGORIES:"+string(step.Kind))
	}
}

func TestReminderComesBeforeTheStart(t *testing.T) {
	tests := []struct {
		source string
		remind time.Duration
		want   time.Duration
	}{
		{"as the step asks", 20 * time.Minute, 20 * time.Minute},
		{"at the start: a minute ahead", 0, time.Minute},
		{"never after the start", -time.Hour, time.Minute},
		{"whole minutes, rather early than late", 90 * time.Second, 2 * time.Minute},
		{"three days", 72 * time.Hour, 72 * time.Hour}, {"no longer", 73 * time.Hour, 72 * time.Hour},
	}
	for _, test := range tests {
		t.Run(test.source, func(t *testing.T) {
			plan := turkeyFrames(t)
			plan.Steps[0].Remind = test.remind
			events := read(t, calendarOf(t, plan, false))
			assert.Equal(t, test.want, events[0].Reminder)
		})
	}
}

// The calendar of a refused plan must not lead anyone to can.
func TestRefusedPlanHasNoCanning(t *testing.T) {
	for name, text := range allForms(t, refused(t)) {
		t.Run(name, func(t *testing.T) {
			assert.NotContains(t, strings.ToLower(text), "psi")
			assert.NotContains(t, text, "load-1")
			assert.NotContains(t, text, "Load 1")
			assert.NotContains(t, text, "kPa")
		})
	}
	// The check is no good if the words it looks for never come.
	for name, text := range allForms(t, turkeyFrames(t)) {
		assert.Contains(t, strings.ToLower(text), "psi", name)
	}
}

func allForms(t *testing.T, plan timeline.Plan) map[string]string {
	var table, data, page bytes.Buffer
	require.NoError(t, export.CSV(&table, plan))
	require.NoError(t, export.JSON(&data, plan))
	require.NoError(t, export.Markdown(&page, plan, quantity.US))
	unfolded := strings.ReplaceAll(string(calendarOf(t, plan, true)), "\r\n ", "")
	return map[string]string{"ics": unfolded, "csv": table.String(), "json": data.String(), "markdown": page.String()}
}

func TestHostileTextSurvives(t *testing.T) {
	plan := hostile(t)
	file := calendarOf(t, plan, true)
	events := read(t, file)
	want := wanted(plan)
	require.Len(t, events, len(want))
	for i, event := range events {
		assert.Equal(t, want[i].Title, event.Title)
		assert.Equal(t, want[i].Description, event.Text)
	}
	for line := range strings.Lines(string(file)) {
		assert.False(t, strings.HasPrefix(line, "METHOD") || strings.HasPrefix(line, "X-INJECTED"), line)
	}
}

func TestSameInputGivesTheSameBytes(t *testing.T) {
	for _, zoneInFile := range []bool{false, true} {
		assert.Equal(t, calendarOf(t, turkeyFrames(t), zoneInFile), calendarOf(t, turkeyFrames(t), zoneInFile))
	}
}

func TestMovedStepKeepsItsUID(t *testing.T) {
	plan := turkeyFrames(t)
	before := read(t, calendarOf(t, plan, false))
	plan.Revision++
	for i := range plan.Steps {
		plan.Steps[i].Start = plan.Steps[i].Start.Add(time.Hour)
		plan.Steps[i].End = plan.Steps[i].End.Add(time.Hour)
	}
	after := read(t, calendarOf(t, plan, false))
	for i := range before {
		assert.Equal(t, before[i].UID, after[i].UID)
	}
	plan.RunID = "another run"
	other := read(t, calendarOf(t, plan, false))
	assert.NotEqual(t, before[0].UID, other[0].UID)
}

// nameUUID is UUID version 5 by the text of RFC 9562, section 5.5.
func nameUUID(t *testing.T, space, name string) string {
	raw, err := hex.DecodeString(strings.ReplaceAll(space, "-", ""))
	require.NoError(t, err)
	sum := sha1.Sum(append(raw, name...))
	sum[6] = sum[6]&0x0f | 0x50
	sum[8] = sum[8]&0x3f | 0x80
	return fmt.Sprintf("%x-%x-%x-%x-%x", sum[0:4], sum[4:6], sum[6:8], sum[8:10], sum[10:16])
}

func TestUIDIsOfTheRunAndTheStep(t *testing.T) {
	// Source: RFC 9562, appendix A.4: the DNS name www.example.com.
	require.Equal(t, "2ed6657d-e927-568b-95e1-2665a8aea6a2", nameUUID(t, "6ba7b810-9dad-11d1-80b4-00c04fd430c8", "www.example.com"))
	events := read(t, calendarOf(t, turkeyFrames(t), false))
	assert.Equal(t, nameUUID(t, "6f0c2d0e-7f43-4c1b-9a52-3d1b8f6f5a27", "harvest-frames/prepare"), events[0].UID)
}

func TestCalendarThatCannotBeIsAnError(t *testing.T) {
	tests := []struct {
		name   string
		spoil  func(*timeline.Plan, *export.Options)
		wanted string
	}{
		{"end at start", func(p *timeline.Plan, _ *export.Options) { p.Steps[1].End = p.Steps[1].Start }, `step "heat-up" ends at`},
		{"end before start", func(p *timeline.Plan, _ *export.Options) { p.Steps[1].End = p.Steps[1].Start.Add(-time.Hour) }, "must be at least 1 s after"},
		{"end in the same second", func(p *timeline.Plan, _ *export.Options) {
			p.Steps[1].End = p.Steps[1].Start.Add(999 * time.Millisecond)
		}, "at least 1 s"},
		{"no start", func(p *timeline.Plan, _ *export.Options) { p.Steps[1].Start = time.Time{} }, "1970 to 9998"},
		{"far future", func(p *timeline.Plan, _ *export.Options) {
			p.Steps[1].End = time.Date(10000, 1, 1, 0, 0, 0, 0, time.UTC)
		}, "1970 to 9998"},
		{"same ID twice", func(p *timeline.Plan, _ *export.Options) { p.Steps[1].ID = "prepare" }, `step "prepare" is there twice`},
		{"no ID", func(p *timeline.Plan, _ *export.Options) { p.Steps[1].ID = "" }, "has no ID"},
		{"no run", func(p *timeline.Plan, _ *export.Options) { p.RunID = "" }, "no run ID"},
		{"negative revision", func(p *timeline.Plan, _ *export.Options) { p.Revision = -1 }, "revision -1"},
		{"no now", func(_ *timeline.Plan, o *export.Options) { o.Now = time.Time{} }, "no present instant"},
		{"this machine's zone", func(p *timeline.Plan, o *export.Options) { p.Location, o.ZoneInFile = time.Local, true }, "--zone"},
		{"a zone of no name", func(p *timeline.Plan, o *export.Options) { p.Location, o.ZoneInFile = time.FixedZone("", 3600), true }, "--zone"},
		{"a forged zone", func(p *timeline.Plan, o *export.Options) {
			p.Location, o.ZoneInFile = time.FixedZone("A\r\nMETHOD:ADD", 3600), true
		}, "--zone"},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			plan, options := turkeyFrames(t), export.Options{Now: now}
			test.spoil(&plan, &options)
			var file bytes.Buffer
			err := export.Calendar(&file, []timeline.Plan{plan}, options)
			require.ErrorContains(t, err, test.wanted)
			assert.Zero(t, file.Len(), "nothing is written")
		})
	}
}

type fullDisk struct{}

var errFull = errors.New("disk full")

func (fullDisk) Write([]byte) (int, error) { return 0, errFull }

func TestWriteErrorsAreNotSwallowed(t *testing.T) {
	plan := turkeyFrames(t)
	assert.ErrorIs(t, export.Calendar(fullDisk{}, []timeline.Plan{plan}, export.Options{Now: now}), errFull)
	assert.ErrorIs(t, export.CSV(fullDisk{}, plan), errFull)
	assert.ErrorIs(t, export.JSON(fullDisk{}, plan), errFull)
	assert.ErrorIs(t, export.Markdown(fullDisk{}, plan, quantity.Metric), errFull)
}

func TestPlanWithoutStepsIsAnEmptyCalendar(t *testing.T) {
	plan := turkeyFrames(t)
	plan.Steps = nil
	assert.Empty(t, read(t, calendarOf(t, plan, true)))
}

func TestZoneOfTheFileIsThatOfTheStandard(t *testing.T) {
	// Source: RFC 5545 3.6.5, the VTIMEZONE of New York with the rules of 2007 on
	// (from memory): daylight time from 2007-03-11 02:00 at -0500 to -0400,
	// standard time from 2007-11-04 02:00 at -0400 to -0500.
	newYork := place(t, "America/New_York")
	plan := overChange(newYork, time.Date(2007, 11, 4, 6, 0, 0, 0, time.UTC))
	file := string(calendarOf(t, plan, true))
	zone := file[strings.Index(file, "BEGIN:VTIMEZONE"):strings.Index(file, "BEGIN:VEVENT")]
	assert.Equal(t, strings.ReplaceAll(`BEGIN:VTIMEZONE
TZID:America/New_York
BEGIN:DAYLIGHT
DTSTART:20070311T020000
TZOFFSETFROM:-0500
TZOFFSETTO:-0400
TZNAME:EDT
RRULE:FREQ=YEARLY;BYMONTH=3;BYDAY=2SU
END:DAYLIGHT
BEGIN:STANDARD
DTSTART:20071104T020000
TZOFFSETFROM:-0400
TZOFFSETTO:-0500
TZNAME:EST
RRULE:FREQ=YEARLY;BYMONTH=11;BYDAY=1SU
END:STANDARD
END:VTIMEZONE
`, "\n", "\r\n"), zone)
}

// Source: RFC 5545 3.6.5 asks for one of the two; that python-icalendar 4.0.3 fails
// on a zone without STANDARD was found by running it.
func TestZoneOfASummerRunHasStandardTimeToo(t *testing.T) {
	for _, zone := range []string{"America/Denver", "America/Asuncion"} {
		plan := overChange(place(t, zone), time.Date(2025, 7, 4, 12, 0, 0, 0, time.UTC))
		file := string(calendarOf(t, plan, true))
		assert.Contains(t, file, "BEGIN:STANDARD\r\n", zone)
		assert.Contains(t, file, "BEGIN:DAYLIGHT\r\n", zone)
		assert.Equal(t, zone == "America/Denver", strings.Contains(file, "RRULE:FREQ=YEARLY;BYMONTH=11;BYDAY=1SU"), zone)
		assert.Equal(t, 2, strings.Count(file, "TZOFFSETTO"))
	}
}

// clockChanges are changes of clock, each with the law or order that set it.
func clockChanges(t testing.TB) map[string]timeline.Plan {
	plans := map[string]timeline.Plan{}
	for _, c := range []struct {
		source, place string
		change        time.Time
	}{
		{"forward, Energy Policy Act of 2005 s. 110", "America/Denver", time.Date(2026, 3, 8, 9, 0, 0, 0, time.UTC)},
		{"back, Energy Policy Act of 2005 s. 110", "America/Denver", time.Date(2026, 11, 1, 8, 0, 0, 0, time.UTC)},
		{"forward, Directive 2000-84-EC", "Europe/Berlin", time.Date(2027, 3, 28, 1, 0, 0, 0, time.UTC)},
		{"back, Directive 2000-84-EC", "Europe/Berlin", time.Date(2027, 10, 31, 1, 0, 0, 0, time.UTC)},
	} {
		_, before := c.change.Add(-time.Second).In(place(t, c.place)).Zone()
		_, after := c.change.In(place(t, c.place)).Zone()
		require.NotEqual(t, before, after, "the clock changes at the instant of %s", c.source)
		plans[c.place+", "+c.source] = overChange(place(t, c.place), c.change)
	}
	return plans
}

func TestBothFormsHoldTheSameInstants(t *testing.T) {
	plans := clockChanges(t)
	plans["turkey frames"] = turkeyFrames(t)
	// The zones whose rules trip programs up: half hours, no change at all, a
	// change against the usual direction, the end of a leap year, a leap to
	// another date. The tz database says when; both forms are compared, not the
	// database.
	for name, change := range map[string]time.Time{
		"Australia/Lord_Howe": time.Date(2026, 4, 4, 15, 0, 0, 0, time.UTC),
		"Asia/Tokyo":          time.Date(2026, 4, 4, 15, 0, 0, 0, time.UTC),
		"Europe/Dublin":       time.Date(2026, 10, 25, 1, 0, 0, 0, time.UTC),
		"Asia/Kathmandu":      time.Date(2028, 12, 31, 12, 0, 0, 0, time.UTC),
		"America/New_York":    time.Date(2028, 12, 31, 12, 0, 0, 0, time.UTC),
		"Pacific/Apia":        time.Date(2011, 12, 30, 10, 0, 0, 0, time.UTC),
		"Africa/Monrovia":     time.Date(1972, 1, 7, 0, 44, 30, 0, time.UTC),
	} {
		plans[name] = overChange(place(t, name), change)
	}
	for name, plan := range plans {
		t.Run(name, func(t *testing.T) {
			utc := read(t, calendarOf(t, plan, false))
			file := calendarOf(t, plan, true)
			local := read(t, file)
			assert.Equal(t, utc, local)
			assert.Contains(t, string(file), "DTSTART;TZID="+plan.Location.String())
			for i, step := range plan.Steps {
				if step.Kind != timeline.Waiting {
					assert.Equal(t, step.Start.UTC().Truncate(time.Minute), utc[i].Start)
					assert.Equal(t, step.End.UTC().Truncate(time.Minute), utc[i].End)
				}
			}
		})
	}
}

func TestTheHourThatComesTwiceIsInUTC(t *testing.T) {
	denver := place(t, "America/Denver")
	plan := overChange(denver, time.Date(2026, 11, 1, 8, 0, 0, 0, time.UTC))
	file := string(calendarOf(t, plan, true))
	// Wall clock 01:00 to 01:59 comes twice that night.
	assert.NotRegexp(t, regexp.MustCompile(`TZID=America/Denver:20261101T01`), file)
	for _, want := range []string{
		"DTSTART;TZID=America/Denver:20261101T004500", "DTSTART:20261101T070000Z", "DTSTART:20261101T084500Z",
		"DTSTART;TZID=America/Denver:20261101T020000",
	} {
		assert.Contains(t, file, want)
	}
}

// A zone served by a rule has no end of its bounds that stepping could reach;
// this plan crosses the end of the leap year where it would stop for ever, and
// 20 years more.
func TestLongPlansEnd(t *testing.T) {
	plan := overChange(place(t, "Europe/Berlin"), time.Date(2028, 12, 31, 0, 0, 0, 0, time.UTC))
	last := &plan.Steps[len(plan.Steps)-1]
	last.End = last.End.AddDate(20, 0, 0)
	events := read(t, calendarOf(t, plan, true))
	assert.Equal(t, last.End.UTC(), events[len(events)-1].End)
}

func TestUTCPlanNeedsNoZone(t *testing.T) {
	plan := turkeyFrames(t)
	plan.Location = time.UTC
	assert.NotContains(t, string(calendarOf(t, plan, true)), "TZID")
	plan.Location = nil
	assert.NotContains(t, string(calendarOf(t, plan, true)), "TZID")
}

func FuzzICSText(f *testing.F) {
	for _, title := range hostileTitles {
		f.Add(title, title)
	}
	f.Add(`a\nb`, `\\;,\`)
	f.Fuzz(func(t *testing.T, title, detail string) {
		start := time.Date(2026, 11, 28, 8, 0, 0, 0, time.UTC)
		plan := timeline.Plan{RunID: title + "x", Steps: []timeline.Step{
			{ID: title + "a", Notes: []remark.Note{{Code: detail}, {Code: detail}}, Kind: timeline.Kind(title), Start: start, End: start.Add(time.Minute)},
			{ID: detail + "b", Notes: []remark.Note{{Code: title}}, Start: start, End: start.Add(time.Minute)},
		}}
		plan.Batch.Name = title
		if plan.Steps[1].ID == plan.Steps[0].ID {
			return
		}
		var file bytes.Buffer
		if err := export.Calendar(&file, []timeline.Plan{plan}, export.Options{Now: now}); err != nil {
			t.Fatal(err)
		}
		events, err := lint(file.Bytes())
		if err != nil {
			t.Fatalf("%v\n%q", err, file.Bytes())
		}
		want := wanted(plan)
		if len(events) != 2 || events[0].Title != want[0].Title || events[0].Text != want[0].Description {
			t.Fatalf("read back %+v, want %+v", events, want)
		}
	})
}

// tenThousand is a plan of 10,000 steps, an hour apart.
func tenThousand(b *testing.B) timeline.Plan {
	plan := turkeyFrames(b)
	pattern := plan.Steps
	plan.Steps = nil
	for i := range 10_000 {
		step := pattern[i%len(pattern)]
		step.ID = fmt.Sprint(i)
		step.Start = pattern[0].Start.Add(time.Duration(i) * time.Hour)
		step.End = step.Start.Add(45 * time.Minute)
		plan.Steps = append(plan.Steps, step)
	}
	return plan
}

// BenchmarkICS writes 10,000 steps, and its two halves apart. .ci/compare sets them
// beside other libraries; for it the file is written to where BROTHRUN_EVENTS says.
func BenchmarkICS(b *testing.B) {
	plans := []timeline.Plan{tenThousand(b)}
	if path := os.Getenv("BROTHRUN_EVENTS"); path != "" {
		require.NoError(b, os.WriteFile(path, calendarOf(b, plans[0], false), 0o644))
	}
	for _, zoneInFile := range []bool{false, true} {
		options := export.Options{Now: now, ZoneInFile: zoneInFile}
		calendar, err := export.Build(plans, options)
		require.NoError(b, err)
		name := func(what string) string { return fmt.Sprintf("%s, zone in file %t", what, zoneInFile) }
		var file bytes.Buffer
		b.Run(name("build and serialise"), func(b *testing.B) {
			for b.Loop() {
				file.Reset()
				if err := export.Calendar(&file, plans, options); err != nil {
					b.Fatal(err)
				}
			}
			b.SetBytes(int64(file.Len()))
		})
		b.Run(name("serialise"), func(b *testing.B) {
			for b.Loop() {
				file.Reset()
				if err := export.Serialise(calendar, &file); err != nil {
					b.Fatal(err)
				}
			}
			b.SetBytes(int64(file.Len()))
		})
	}
}
