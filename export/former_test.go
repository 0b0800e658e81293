package export_test

import (
	"bytes"
	"cmp"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/export"
	"brothrun/stock/quantity"
	"brothrun/stock/remark"
	"brothrun/timeline"
	"brothrun/timeline/ical"
)

// replace writes plans in the place of a former calendar and returns the file and
// its events by title, the ones called off without what says so.
func replace(t testing.TB, former []byte, options export.Options, plans ...timeline.Plan) ([]byte, map[string]ical.Event) {
	t.Helper()
	if former != nil {
		var err error
		options.Former, err = export.ReadFormer(bytes.NewReader(former))
		require.NoError(t, err)
		require.NotNil(t, options.Former)
	}
	if options.Now.IsZero() {
		options.Now = now
	}
	var file bytes.Buffer
	require.NoError(t, export.Calendar(&file, plans, options))
	events := read(t, file.Bytes())
	byTitle := map[string]ical.Event{}
	for _, event := range events {
		byTitle[strings.TrimPrefix(event.Title, "Cancelled: ")] = event
	}
	return file.Bytes(), byTitle
}

// minutes is from 2020 to now.
const minutes = 2520 * 24 * 60

// Sources: RFC 5545 3.8.7.4 (a sequence rises with each significant revision and
// never falls), RFC 5546 3.2.5 (what is called off keeps its UID, with a higher
// sequence and the status CANCELLED).
func TestReplacedCalendarSaysWhatChanged(t *testing.T) {
	for _, zoneInFile := range []bool{false, true} {
		t.Run(fmt.Sprintf("zone in file %t", zoneInFile), func(t *testing.T) {
			options := export.Options{ZoneInFile: zoneInFile}
			plan := turkeyFrames(t)
			first, was := replace(t, nil, options, plan)

			changed := turkeyFrames(t)
			changed.Revision = 1 // lower than it was: sequences do not fall
			changed.Steps[0].End = changed.Steps[0].End.Add(time.Minute)
			changed.Steps[1].Start = changed.Steps[1].Start.Add(time.Minute)
			changed.Steps[3].Notes = []remark.Note{{Code: "And the big sieve."}}
			changed.Steps[2].Remind = time.Hour
			gone := changed.Steps[9]
			changed.Steps = append(changed.Steps[:9:9], changed.Steps[10:]...)

			second, is := replace(t, first, options, changed)
			require.Len(t, is, len(plan.Steps))
			for i, step := range plan.Steps {
				event := is[titleOf(plan, step)]
				assert.Equal(t, was[titleOf(plan, step)].UID, event.UID)
				want := minutes
				if i <= 3 || i == 9 {
					want++
				}
				assert.Equal(t, want, event.Sequence, step.ID)
				assert.Equal(t, i == 9, event.Cancelled, step.ID)
			}
			cancelled := is[titleOf(plan, gone)]
			assert.Equal(t, gone.Start.UTC(), cancelled.Start)
			assert.Equal(t, gone.End.UTC(), cancelled.End)
			assert.Equal(t, "Cancelled: "+titleOf(plan, gone), cancelled.Title)
			assert.Zero(t, cancelled.Reminder)
			part := string(second[bytes.LastIndex(second, []byte("BEGIN:VEVENT")):])
			assert.Contains(t, part, "STATUS:CANCELLED\r\nTRANSP:TRANSPARENT\r\nEND:VEVENT")

			again, _ := replace(t, second, options, changed)
			assert.Equal(t, string(second), string(again), "nothing changed: the same bytes")

			_, back := replace(t, second, options, plan)
			assert.Equal(t, minutes+2, back[titleOf(plan, gone)].Sequence, "called off and on again is a change")
			assert.False(t, back[titleOf(plan, gone)].Cancelled)
		})
	}
}

// common practice, no source: a run of the same ID a year later goes on with the
// sequence.
func TestCancelledStepIsForgottenAYearAfterItsEnd(t *testing.T) {
	plan := turkeyFrames(t)
	plan.Steps = plan.Steps[:10]
	last := plan.Steps[9]
	first, _ := replace(t, nil, export.Options{}, plan)
	plan.Steps = plan.Steps[:len(plan.Steps)-1]
	// However late it is called off, it is called off once.
	second, is := replace(t, first, export.Options{Now: last.End.AddDate(2, 0, 0)}, plan)
	require.True(t, is[titleOf(plan, last)].Cancelled)

	_, kept := replace(t, second, export.Options{Now: last.End.Add(400 * 24 * time.Hour)}, plan)
	assert.Contains(t, kept, titleOf(plan, last))
	_, gone := replace(t, second, export.Options{Now: last.End.Add(400*24*time.Hour + time.Second)}, plan)
	assert.NotContains(t, gone, titleOf(plan, last))
}

func TestOtherRunsOfAFormerCalendarAreLeftAlone(t *testing.T) {
	first, _ := replace(t, nil, export.Options{}, turkeyFrames(t), overChange(time.UTC, now))
	_, is := replace(t, first, export.Options{}, turkeyFrames(t))
	assert.Len(t, is, len(turkeyFrames(t).Steps))
}

// The pressure of a load stands in its title: another one has to reach the phone.
func TestANewTitleIsAChange(t *testing.T) {
	plan := turkeyFrames(t)
	first, was := replace(t, nil, export.Options{}, plan)
	i := slices.IndexFunc(plan.Steps, func(s timeline.Step) bool { return s.ID == "load-1" })
	before := titleOf(plan, plan.Steps[i])
	plan.Steps[i].Loads[0].Pressure = 10 * quantity.PSI
	require.Equal(t, strings.Replace(before, "15 psi", "10 psi", 1), titleOf(plan, plan.Steps[i]))
	_, is := replace(t, first, export.Options{}, plan)
	now := is[titleOf(plan, plan.Steps[i])]
	assert.Equal(t, was[before].UID, now.UID)
	assert.Greater(t, now.Sequence, was[before].Sequence)
}

// A run that was called off before is not lost with the calendar it stood in.
func TestOnlyRunsStillOnAreLost(t *testing.T) {
	ours, other := turkeyFrames(t), overChange(time.UTC, now)
	others := func(former []byte, plans ...timeline.Plan) int {
		f, err := export.ReadFormer(bytes.NewReader(former))
		require.NoError(t, err)
		return f.Others(plans)
	}
	both, _ := replace(t, nil, export.Options{}, ours, other)
	assert.Equal(t, 1, others(both, ours))
	assert.Equal(t, 2, others(both))
	assert.Zero(t, others(both, ours, other))

	gone := other
	gone.Steps = nil
	calledOff, _ := replace(t, both, export.Options{}, ours, gone)
	require.Contains(t, string(calledOff), "STATUS:CANCELLED")
	assert.Zero(t, others(calledOff, ours))
}

func TestHostileFormerCalendarIsAFixedPoint(t *testing.T) {
	first, _ := replace(t, nil, export.Options{ZoneInFile: true}, hostile(t))
	again, _ := replace(t, first, export.Options{ZoneInFile: true}, hostile(t))
	assert.Equal(t, string(first), string(again))

	empty := hostile(t)
	empty.Steps = nil
	second, _ := replace(t, first, export.Options{}, empty)
	again, _ = replace(t, second, export.Options{}, empty)
	assert.Equal(t, string(second), string(again))
	assert.Equal(t, len(hostileTitles), bytes.Count(second, []byte("STATUS:CANCELLED")))
}

func TestFormerCalendarThatIsNotOurs(t *testing.T) {
	ours, err := os.ReadFile(filepath.Join("..", "testdata", "golden", "turkey-frames-zone.ics"))
	require.NoError(t, err)
	spoil := func(old, new string) string { return strings.ReplaceAll(string(ours), old, new) }

	t.Run("another program's is nothing", func(t *testing.T) {
		file := strings.ReplaceAll(spoil("-//brothrun//", "-//other//"), "X-BROTHRUN-RUN", "X-OTHER")
		former, err := export.ReadFormer(strings.NewReader(file))
		require.NoError(t, err)
		assert.Nil(t, former)
	})
	for name, file := range map[string]string{
		"empty":              "",
		"no calendar":        "one,two\n",
		"cut off":            string(ours[:len(ours)/2]),
		"a time that is not": spoil("DTSTART;TZID=America/Denver:20261128T", "DTSTART:banana"),
		"a zone that is not": spoil("TZID=America/Denver", "TZID=America/Nowhere"),
		"a local zone":       spoil("TZID=America/Denver", "TZID=Local"),
		"floating":           spoil("DTSTART;TZID=America/Denver", "DTSTART"),
		"no end":             spoil("DTEND;", "X-END;"),
		"a date for an end":  spoil("DTEND;TZID=America/Denver:20261128T083000", "DTEND;VALUE=DATE:20261129"),
		"the end first":      spoil("DTEND;TZID=America/Denver:20261128T083000", "DTEND:19700101T000000Z"),
		"a damaged line":     spoil("\r\nSUMMARY:", "\r\nSUMM"),
		"a sequence below 0": spoil("SEQUENCE:3628800", "SEQUENCE:-2"),
		"sequence in words":  spoil("SEQUENCE:3628800", "SEQUENCE:two"),
		"a sequence too far": spoil("SEQUENCE:3628800", "SEQUENCE:9223372036854775807"),
		"too long":           strings.Repeat("X", 32<<20+1),
	} {
		t.Run(name, func(t *testing.T) {
			former, err := export.ReadFormer(strings.NewReader(file))
			assert.ErrorContains(t, err, "former calendar")
			assert.Nil(t, former)
		})
	}
	_, err = export.ReadFormer(brokenDisk{})
	assert.ErrorIs(t, err, errFull)
}

type brokenDisk struct{}

func (brokenDisk) Read([]byte) (int, error) { return 0, errFull }

// Whatever stands in a former calendar, the one that takes its place is clean.
func FuzzReadFormer(f *testing.F) {
	for _, plan := range []timeline.Plan{turkeyFrames(f), hostile(f)} {
		file, _ := replace(f, nil, export.Options{ZoneInFile: true, UseBy: true}, plan)
		f.Add(file)
	}
	f.Add([]byte("BEGIN:VCALENDAR\nPRODID:-//brothrun//kitchen plan//EN\nEND:VCALENDAR"))
	plan := turkeyFrames(f)
	plan.Steps = plan.Steps[:2]
	f.Fuzz(func(t *testing.T, file []byte) {
		former, err := export.ReadFormer(bytes.NewReader(file))
		if err != nil {
			return
		}
		var next bytes.Buffer
		if err := export.Calendar(&next, []timeline.Plan{plan}, export.Options{Now: now, Former: former}); err != nil {
			t.Fatal(err)
		}
		if former.Keeps() {
			// What is not ours stands in it as it was; ours is read back.
			if _, err := export.ReadFormer(bytes.NewReader(next.Bytes())); err != nil {
				t.Fatalf("%v\n%q", err, next.Bytes())
			}
			return
		}
		if _, err := lint(next.Bytes()); err != nil {
			t.Fatalf("%v\n%q", err, next.Bytes())
		}
	})
}

func TestSeveralPlansInOneFile(t *testing.T) {
	denver, berlin := turkeyFrames(t), overChange(place(t, "Europe/Berlin"), time.Date(2027, 3, 28, 1, 0, 0, 0, time.UTC))
	second := turkeyFrames(t)
	second.RunID = "another"
	plans := []timeline.Plan{denver, berlin, second}
	for _, zoneInFile := range []bool{false, true} {
		var file bytes.Buffer
		require.NoError(t, export.Calendar(&file, plans, export.Options{Now: now, ZoneInFile: zoneInFile}))
		events := read(t, file.Bytes()) // which finds UIDs that are there twice
		var alone []ical.Event
		for _, plan := range plans {
			each := read(t, calendarOf(t, plan, zoneInFile))
			for i := range each {
				each[i].Title += " (" + cmp.Or(plan.Batch.Name, plan.RunID) + ")"
			}
			alone = append(alone, each...)
		}
		for i := range events { // those of several runs are kept out of one another's minutes
			alone[i].Reminder, events[i].Reminder = 0, 0
		}
		assert.Equal(t, alone, events, "each event as in a file of its own, but for whose it is")
		zones := 0
		if zoneInFile {
			zones = 2
		}
		assert.Equal(t, zones, bytes.Count(file.Bytes(), []byte("BEGIN:VTIMEZONE")), "one for each zone used")
		assert.Contains(t, file.String(), "X-WR-CALNAME:3 broth runs")
	}
	var file bytes.Buffer
	require.ErrorContains(t, export.Calendar(&file, []timeline.Plan{denver, denver}, export.Options{Now: now}), `run "harvest-frames" is there twice`)
	assert.Zero(t, file.Len())
	require.NoError(t, export.Calendar(&file, nil, export.Options{Now: now}))
	assert.Empty(t, read(t, file.Bytes()))
}

// fridgeDays is what is said of the date in the fridge: the USDA chart's figure.
const fridgeDays = "3 to 4 days at 40 °F (4 °C) or below, from straining, until it is canned, frozen or eaten."

func useBys(plan timeline.Plan) timeline.Plan {
	plan.UseBy = []timeline.UseBy{
		{What: "in the fridge", By: time.Date(2026, 12, 1, 12, 0, 0, 0, plan.Location)},
		{What: "canned", By: time.Date(2027, 2, 28, 12, 0, 0, 0, plan.Location)},
	}
	return plan
}

func TestUseByDatesAreDays(t *testing.T) {
	plan := useBys(turkeyFrames(t))
	_, all := replace(t, nil, export.Options{UseBy: true}, plan)
	assert.NotContains(t, all, "Use by: Frames after the feast, in the fridge", "nothing is left there")
	plan.Batch.Leftover.Route = "fridge"
	file, events := replace(t, nil, export.Options{UseBy: true, ZoneInFile: true}, plan)
	require.Len(t, events, len(plan.Steps)+2)
	fridge, canned := events["Use by: Frames after the feast, in the fridge"], events["Use by: Frames after the feast, canned"]
	assert.True(t, fridge.AllDay)
	// Source: RFC 5545 3.6.1, a day ends at the date after it.
	assert.Equal(t, time.Date(2026, 12, 1, 0, 0, 0, 0, time.UTC), fridge.Start)
	assert.Equal(t, time.Date(2026, 12, 2, 0, 0, 0, 0, time.UTC), fridge.End)
	assert.Equal(t, time.Date(2027, 3, 1, 0, 0, 0, 0, time.UTC), canned.End)
	assert.Equal(t, fridgeDays, fridge.Text)
	assert.Equal(t, 15*time.Hour, fridge.Reminder, "9 in the morning of the day before")
	// Source: RFC 9562, section 5.5.
	assert.Equal(t, nameUUID(t, "6f0c2d0e-7f43-4c1b-9a52-3d1b8f6f5a27", "harvest-frames/use-by-canned"), canned.UID)
	part := string(file[bytes.Index(file, []byte("UID:"+canned.UID)):])
	assert.Contains(t, part, "CATEGORIES:use-by")
	assert.Contains(t, part, "TRANSP:TRANSPARENT")

	_, without := replace(t, file, export.Options{}, plan)
	assert.False(t, without["Use by: Frames after the feast, canned"].Cancelled, "a calendar that has them keeps them")
	assert.Equal(t, canned.UID, without["Use by: Frames after the feast, canned"].UID)

	var none bytes.Buffer
	twice := useBys(turkeyFrames(t))
	twice.Batch.Leftover.Route = "fridge"
	twice.UseBy[1].What = "in the fridge"
	assert.ErrorContains(t, export.Calendar(&none, []timeline.Plan{twice}, export.Options{Now: now, UseBy: true}), "there twice")
	twice.UseBy[1] = timeline.UseBy{What: "canned"}
	assert.ErrorContains(t, export.Calendar(&none, []timeline.Plan{twice}, export.Options{Now: now, UseBy: true}), "1970 to 9998")
}
