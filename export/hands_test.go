package export_test

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/export"
	"brothrun/export/words"
	"brothrun/timeline"
	"brothrun/timeline/ical"
)

// demoPlan is the demo on its clock, with the checks of its chill.
func demoPlan(t testing.TB) timeline.Plan {
	t.Helper()
	plan, err := runOf(t, "demo").plan(nil)
	require.NoError(t, err)
	return plan
}

func yes(answer bool) *bool { return &answer }

// Source: common practice, no source: a week view is for what somebody is needed for.
func TestWhatAsksNothingStandsAboveTheDayAndDoesNotRing(t *testing.T) {
	plan := demoPlan(t)
	events := read(t, calendarOf(t, plan, true))
	idle := 0
	for i, step := range plan.Steps {
		if step.Kind == timeline.Waiting {
			idle++
			assert.True(t, events[i].AllDay, events[i].Title)
			assert.Zero(t, events[i].Reminder, events[i].Title)
			assert.Equal(t, step.Start.Format(time.DateOnly), events[i].Start.Format(time.DateOnly))
			assert.Contains(t, events[i].Text, "From "+step.Start.Format("Mon 15:04")+" to "+step.End.Format("Mon 15:04"))
		} else {
			assert.NotZero(t, events[i].Reminder, events[i].Title)
		}
		assert.Zero(t, events[i].Start.Second()+events[i].End.Second(), events[i].Title)
	}
	require.Greater(t, idle, 2)

	alone := plan
	alone.Steps = slices.Clone(plan.Steps)
	alone.Steps[2].Kind = timeline.Waiting
	require.Equal(t, timeline.Simmer, alone.Steps[2].Role)
	assert.NotZero(t, read(t, calendarOf(t, alone, false))[2].Reminder, "a simmer left alone is turned down first")

	file, without := replace(t, nil, export.Options{Asked: export.Asked{NoWaiting: yes(true)}}, plan)
	assert.Len(t, without, len(events)-idle)
	for _, e := range without {
		assert.False(t, e.AllDay && e.Category == "waiting", e.Title)
	}
	_, again := replace(t, file, export.Options{}, plan)
	assert.Len(t, again, len(without), "a rewrite leaves it so")
	_, back := replace(t, file, export.Options{Asked: export.Asked{NoWaiting: yes(false)}}, plan)
	assert.Len(t, back, len(events))
}

// Source: the issue, no published source: two that ring at once are one.
func TestNoTwoRemindersInOneMinute(t *testing.T) {
	for seed := range uint64(60) {
		random := rand.New(rand.NewPCG(seed, 4))
		var plans []timeline.Plan
		for n := range 1 + random.IntN(3) {
			plan := demoPlan(t)
			plan.RunID = fmt.Sprint("run ", n)
			for i := range plan.Steps {
				plan.Steps[i].Remind = time.Duration(random.IntN(90)) * time.Minute
			}
			plans = append(plans, plan)
		}
		file, _ := replace(t, nil, export.Options{Asked: export.Asked{Phases: yes(true)}}, plans...)
		again, _ := replace(t, file, export.Options{}, plans...) // lint finds two in one minute
		assert.Equal(t, string(file), string(again))
		limit := regexp.MustCompile(`(?s)SUMMARY:70 °F\?[^\r]*\r.*?TRIGGER:-PT(\d+)M`).FindSubmatch(file)
		require.NotNil(t, limit)
		assert.Equal(t, "1", string(limit[1]), "a limit gives way to nothing")
	}
}

// Source: RFC 5545 3.8.7.4: a reminder is a part of the event.
func TestAChangedReminderIsAChange(t *testing.T) {
	plan := demoPlan(t)
	lead := "15m"
	file, was := replace(t, nil, export.Options{Asked: export.Asked{Remind: &lead}}, plan)
	former, err := export.ReadFormer(bytes.NewReader(file))
	require.NoError(t, err)
	assert.Equal(t, "15m", *former.Asked().Remind, "what was asked for is kept")
	plan.Steps[0].Remind = 40 * time.Minute
	_, is := replace(t, file, export.Options{}, plan)
	title := titleOf(plan, plan.Steps[0])
	assert.Equal(t, was[title].Sequence+1, is[title].Sequence)
	other := titleOf(plan, plan.Steps[3])
	assert.Equal(t, was[other].Sequence, is[other].Sequence)
}

// The phases of a load are questions, and a rewrite keeps them.
func TestPhasesAreKept(t *testing.T) {
	plan := demoPlan(t)
	file, with := replace(t, nil, export.Options{Asked: export.Asked{Phases: yes(true)}}, plan)
	_, without := replace(t, nil, export.Options{}, plan)
	assert.Len(t, with, len(without)+5*len(plan.Batch.Loads))
	_, again := replace(t, file, export.Options{}, plan)
	assert.Len(t, again, len(with))
	held, ok := with["Held 25 min? Heat off? Load 1"]
	require.True(t, ok)
	assert.Equal(t, nameUUID(t, "6f0c2d0e-7f43-4c1b-9a52-3d1b8f6f5a27", plan.RunID+"/load-1-heat-off"), held.UID)
}

// ownEvents are components as other programs write them.
var ownEvents = []string{
	"BEGIN:VEVENT\r\nUID:%s\r\nDTSTAMP:20261101T000000Z\r\nDTSTART:20261128T%02d0000Z\r\nSUMMARY:Dentist\\, %s\r\nEND:VEVENT\r\n",
	"BEGIN:VTODO\r\nUID:%s\r\nDUE:20261128T%02d0000Z\r\nX-ODD;X-P=\"a:b;c\":%s\r\n \tfolded\r\nEND:VTODO\r\n",
	"BEGIN:VEVENT\r\nUID:%s\r\nDTSTART;TZID=Nowhere/Own:20261128T%02d0000\r\nSUMMARY:Own zone %s\r\n" +
		"BEGIN:VALARM\r\nACTION:AUDIO\r\nTRIGGER;RELATED=END:PT0S\r\nEND:VALARM\r\nEND:VEVENT\r\n",
	"BEGIN:VJOURNAL\r\nUID:%s\r\nDTSTART;VALUE=DATE:202611%02d\r\nDESCRIPTION:%s é 鶏\r\nEND:VJOURNAL\r\n",
	// Without a DTSTART, and one that is none: not for us to judge.
	"BEGIN:VEVENT\r\nUID:%s\r\nX-HOUR:%02d\r\nSUMMARY:%s\r\nEND:VEVENT\r\n",
	"begin:vevent\r\nuid:%s\r\ndtstart:banana%02d\r\nsummary:%s\r\nend:vevent\r\n",
}

const ownZone = "BEGIN:VTIMEZONE\r\nTZID:Nowhere/Own\r\nBEGIN:STANDARD\r\nDTSTART:19701025T030000\r\n" +
	"TZOFFSETFROM:+0200\r\nTZOFFSETTO:+0100\r\nRRULE:FREQ=HOURLY;COUNT=2\r\nEND:STANDARD\r\nEND:VTIMEZONE\r\n"

// otherHands saves a calendar as another program might: under another name, in another
// order, with events of somebody's own, an X- property gone, lines folded anew, a blank
// line at the end.
func otherHands(random *rand.Rand, file string) (saved string, own []string) {
	head, rest, _ := strings.Cut(file, "BEGIN:VEVENT\r\n")
	var parts []string
	for part := range strings.SplitSeq(strings.TrimSuffix(rest, "END:VCALENDAR\r\n"), "BEGIN:VEVENT\r\n") {
		part = "BEGIN:VEVENT\r\n" + part
		switch random.IntN(8) {
		case 0:
			part = regexp.MustCompile(`X-BROTHRUN-RUN:.*\r\n`).ReplaceAllString(part, "")
		case 1:
			part = regexp.MustCompile(`X-BROTHRUN-(ALIKE|SET|TAKES):.*\r\n`).ReplaceAllString(part, "")
		case 2:
			part = strings.ReplaceAll(part, "\r\n ", "")
		}
		parts = append(parts, part)
	}
	for n := range 1 + random.IntN(5) {
		id := fmt.Sprintf("own-%d-%d", n, random.IntN(1000))
		one := fmt.Sprintf(ownEvents[random.IntN(len(ownEvents))], id, 1+random.IntN(23), id)
		own, parts = append(own, one), append(parts, one)
	}
	if random.IntN(2) == 0 {
		random.Shuffle(len(parts), func(i, j int) { parts[i], parts[j] = parts[j], parts[i] })
	}
	if strings.Contains(strings.Join(own, ""), "Nowhere/Own") {
		head += ownZone
		own = append(own, ownZone)
	}
	if random.IntN(3) > 0 {
		head = regexp.MustCompile(`PRODID:.*\r\n`).ReplaceAllString(head, "PRODID:-//Somebody//Calendar 5.1//EN\r\nX-LIC-LOCATION:none\r\n")
	}
	return head + strings.Join(parts, "") + "END:VCALENDAR\r\n" + []string{"", "\r\n", "\r\n\r\n"}[random.IntN(3)], own
}

// Source: the issue: whatever another program does to the file, each step moves, none is
// told twice or stays where it was, and nothing of somebody's own is lost.
func TestCalendarThroughOtherHandsLosesNothing(t *testing.T) {
	plan := demoPlan(t)
	for seed := range uint64(200) {
		random := rand.New(rand.NewPCG(seed, 16))
		options := export.Options{Now: now, ZoneInFile: seed%2 == 0, UseBy: seed%3 == 0}
		var file bytes.Buffer
		require.NoError(t, export.Calendar(&file, []timeline.Plan{plan}, options))
		saved, own := otherHands(random, file.String())

		moved := plan
		moved.Steps = slices.Clone(plan.Steps)
		gone := random.IntN(len(moved.Steps))
		moved.Steps = slices.Delete(moved.Steps, gone, gone+1)
		for i := range moved.Steps {
			moved.Steps[i].Start, moved.Steps[i].End = moved.Steps[i].Start.AddDate(0, 0, 7), moved.Steps[i].End.AddDate(0, 0, 7)
		}
		var err error
		options.Former, err = export.ReadFormer(strings.NewReader(saved), plan.RunID)
		require.NoError(t, err, "%d", seed)
		require.NotNil(t, options.Former)
		options.Now = now.Add(time.Hour)
		file.Reset()
		require.NoError(t, export.Calendar(&file, []timeline.Plan{moved}, options))
		for _, one := range own {
			require.Equal(t, 1, strings.Count(file.String(), one), "%d: %s", seed, one)
		}
		former, err := ical.Read(bytes.NewReader(file.Bytes()), "file", nil)
		require.NoError(t, err)
		assert.Len(t, former.Kept, len(own))
		was, err := ical.Read(strings.NewReader(saved), "file", nil)
		require.NoError(t, err)
		before := map[string]ical.Event{}
		for _, e := range was.Events {
			before[e.UID] = e
		}
		uids, cancelled := map[string]bool{}, 0
		for _, e := range former.Events {
			require.False(t, uids[e.UID], "%d: %s is there twice", seed, e.Title)
			uids[e.UID] = true
			if e.Cancelled {
				cancelled++
			}
			if old, ok := before[e.UID]; ok && (e.Start != old.Start || e.Cancelled) {
				assert.Greater(t, e.Sequence, old.Sequence, e.Title)
			}
		}
		assert.Equal(t, 1, cancelled, "%d: the step that is gone, and no other", seed)
	}
}

// Source: RFC 5545 3.8.7.4: a sequence never falls, whatever became of the former file.
func TestSequenceWithoutAFormerFileIsLaterThanAll(t *testing.T) {
	plan := demoPlan(t)
	file, _ := replace(t, nil, export.Options{}, plan)
	for n := range 3 {
		plan.Steps[0].End = plan.Steps[0].End.Add(time.Minute)
		file, _ = replace(t, file, export.Options{Now: now.Add(time.Duration(n) * time.Hour)}, plan)
	}
	_, was := replace(t, file, export.Options{}, plan)
	_, is := replace(t, nil, export.Options{Now: now.Add(4 * time.Hour)}, plan)
	for title, e := range was {
		assert.Greater(t, is[title].Sequence, e.Sequence, title)
	}
}

// savers are programs that write a calendar anew: what a phone or a desktop does to it.
func savers(t *testing.T) map[string]reader {
	script, err := filepath.Abs(filepath.Join("..", ".ci", "readers", "python_save.py"))
	require.NoError(t, err)
	found := map[string]reader{}
	for _, r := range readers(t) {
		switch r.name {
		case "python-icalendar":
			r.command = []string{r.command[0], script}
			found[r.name] = r
		case "kcalendarcore":
			found[r.name] = r
		}
	}
	return found
}

// Source: the issue: write, save with another program, write again, import: every step has
// moved, none is told of where it was, and the event of somebody's own is there once.
func TestCalendarSavedByAnotherProgramMovesWhole(t *testing.T) {
	for name, saver := range savers(t) {
		for _, zoneInFile := range []bool{false, true} {
			t.Run(fmt.Sprintf("%s, zone in file %t", name, zoneInFile), func(t *testing.T) {
				saver.needed(t)
				plan := demoPlan(t)
				var file bytes.Buffer
				options := export.Options{Now: now, ZoneInFile: zoneInFile}
				require.NoError(t, export.Calendar(&file, []timeline.Plan{plan}, options))
				from, to := filepath.Join(t.TempDir(), "run.ics"), filepath.Join(t.TempDir(), "saved.ics")
				require.NoError(t, os.WriteFile(from, file.Bytes(), 0o600))
				output, err := exec.Command(saver.command[0], append(slices.Clone(saver.command[1:]), from, to)...).CombinedOutput()
				require.NoError(t, err, "%s", output)
				saved, err := os.ReadFile(to)
				require.NoError(t, err)
				require.NotContains(t, string(saved), "PRODID:-//brothrun")
				was, err := ical.Read(bytes.NewReader(saved), "saved", nil)
				require.NoError(t, err)

				moved := plan
				moved.Steps, moved.Checks = slices.Clone(plan.Steps), nil
				for i := range moved.Steps {
					moved.Steps[i].Start, moved.Steps[i].End = moved.Steps[i].Start.Add(48*time.Hour), moved.Steps[i].End.Add(48*time.Hour)
					moved.Steps[i].Earliest, moved.Steps[i].Latest = time.Time{}, time.Time{}
				}
				options.Former, err = export.ReadFormer(bytes.NewReader(saved), plan.RunID)
				require.NoError(t, err)
				require.NotNil(t, options.Former)
				options.Now = now.Add(time.Hour)
				file.Reset()
				require.NoError(t, export.Calendar(&file, []timeline.Plan{moved}, options))
				is, err := ical.Read(bytes.NewReader(file.Bytes()), "moved", nil)
				require.NoError(t, err)
				sequences := map[string]int{}
				for _, e := range was.Events {
					sequences[e.UID] = e.Sequence
				}
				for _, e := range is.Events {
					assert.Greater(t, e.Sequence, sequences[e.UID], e.Title)
				}

				want := outsideFile{name: "moved", file: file.Bytes(), want: wanted(moved)}
				for _, c := range plan.Checks {
					title, detail := words.Check(plan, c, words.Form{Units: plan.Batch.Units})
					gone := understood{Start: c.At.UTC().Format(time.RFC3339), End: c.End().UTC().Format(time.RFC3339),
						Title: "Cancelled: " + title, Description: strings.Join(detail, "\n"), Cancelled: true}
					if c.AllDay {
						gone.Start, gone.End = c.At.Format(time.DateOnly), c.At.AddDate(0, 0, 1).Format(time.DateOnly)
					}
					want.want = append(want.want, gone)
				}
				for _, r := range readers(t) {
					if r.missing != "" || r.name != "ical.js" && r.name != "python-icalendar" && r.name != "kcalendarcore" && r.name != "khal" {
						continue
					}
					got := r.read(t, file.Bytes())
					own := slices.IndexFunc(got, func(e understood) bool { return strings.HasPrefix(e.Title, "Dentist") })
					require.GreaterOrEqual(t, own, 0, "%s: the event of somebody's own", r.name)
					assert.Equal(t, "2026-11-30T22:00:00Z", got[own].Start)
					got = slices.Delete(got, own, own+1)
					r.compare(t, want, got)
				}
			})
		}
	}
}

// Sources: Directive 2000-84-EC (the last Sundays of March and October); tz database: Morocco
// goes by the moon.
func TestAZoneWithASteadyRuleIsThatRule(t *testing.T) {
	rules := func(zone string) []string {
		file := string(calendarOf(t, overChange(place(t, zone), time.Date(2027, 3, 28, 1, 0, 0, 0, time.UTC)), true))
		return regexp.MustCompile(`RRULE:[^\r]*`).FindAllString(file, -1)
	}
	assert.ElementsMatch(t, []string{"RRULE:FREQ=YEARLY;BYMONTH=3;BYDAY=-1SU", "RRULE:FREQ=YEARLY;BYMONTH=10;BYDAY=-1SU"}, rules("Europe/Berlin"))
	assert.Empty(t, rules("Africa/Casablanca"))
	assert.Empty(t, rules("Asia/Tokyo"))
}
