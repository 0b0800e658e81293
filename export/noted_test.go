package export_test

import (
	"bytes"
	"fmt"
	"maps"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/export"
	"brothrun/stock/record"
	"brothrun/stock/runfile"
	"brothrun/stock/settle"
	"brothrun/timeline"
	"brothrun/timeline/ical"
)

// notedRun is a run of testdata on its clock, to be planned from notes.
type notedRun struct {
	setup    settle.Setup
	run      timeline.Run
	calendar timeline.Calendar
	// unnumbered leaves it to the former calendar alone to raise a sequence.
	unnumbered bool
}

func runOf(t testing.TB, name string) notedRun {
	t.Helper()
	open := func(parts ...string) *os.File {
		file, err := os.Open(filepath.Join(append([]string{"..", "testdata"}, parts...)...))
		require.NoError(t, err)
		t.Cleanup(func() { file.Close() })
		return file
	}
	kitchen, err := runfile.DecodeKitchen(open("demo", "kitchen.toml"), "kitchen.toml")
	require.NoError(t, err)
	run, err := runfile.DecodeRun(open(name, "run.toml"), "run.toml")
	require.NoError(t, err)
	r := notedRun{run: timeline.Run{ID: run.ID, Pot: run.Pot}, calendar: timeline.Calendar{Location: place(t, kitchen.Zone)}}
	r.setup, err = settle.Run(kitchen, run)
	require.NoError(t, err)
	r.run.When.Start, _, err = timeline.ParseLocal(run.Start, r.calendar.Location)
	require.NoError(t, err)
	r.calendar.Awake, err = timeline.ParseAwake(kitchen.Awake)
	require.NoError(t, err)
	for _, booking := range kitchen.FreezeDryer.Bookings {
		taken, err := timeline.ParseBooking(booking.From, booking.To, r.calendar.Location)
		require.NoError(t, err)
		r.calendar.Bookings = append(r.calendar.Bookings, taken)
	}
	return r
}

// entries reads notes on the clock of the run.
func (r notedRun) entries(t testing.TB, notes []runfile.Note) []record.Entry {
	t.Helper()
	entries, err := record.Read(notes, func(text string) (time.Time, error) { return timeline.ParseMoment(text, r.calendar.Location) })
	require.NoError(t, err)
	return entries
}

// plan is the run by its notes.
func (r notedRun) plan(entries []record.Entry) (timeline.Plan, error) {
	run := r.run
	planned, batch, err := timeline.Follow(r.setup, entries)
	if err != nil {
		return timeline.Plan{}, err
	}
	run.Batch, run.Planned, run.Record = batch, planned, entries
	if !r.unnumbered {
		run.Revision = len(entries)
	}
	plans, err := timeline.ScheduleAll([]timeline.Run{run}, r.calendar)
	if err != nil {
		return timeline.Plan{}, err
	}
	return plans[0], nil
}

// badSaturday is the notes of README.md, each as it is typed there and as it then
// stands in the run file.
var badSaturday = []struct {
	typed string
	note  runfile.Note
}{
	{"began simmer", runfile.Note{At: "2026-11-28 12:40", What: "began", Step: "simmer"}},
	{"late 20m", runfile.Note{At: "2026-11-28 13:10", What: "late", Step: "simmer", Value: "20m"}},
	{"strained 11 qt hot", runfile.Note{At: "2026-11-28 14:20", What: "strained", Value: "11 qt hot"}},
	{"reading 64 F", runfile.Note{At: "2026-11-28 15:30", What: "reading", Value: "64 F"}},
	{"reading 40 F", runfile.Note{At: "2026-11-28 18:30", What: "reading", Value: "40 F"}},
	{"ready 10.2 qt", runfile.Note{At: "2026-11-29 08:25", What: "ready", Value: "10.2 qt"}},
	{"at-pressure", runfile.Note{At: "2026-11-29 10:12", What: "at-pressure", Load: 1}},
	{"fell", runfile.Note{At: "2026-11-29 10:25", What: "fell", Load: 1}},
	{"at-pressure", runfile.Note{At: "2026-11-29 10:31", What: "at-pressure", Load: 1}},
	{"heat-off", runfile.Note{At: "2026-11-29 10:57", What: "heat-off", Load: 1}},
	{"zero", runfile.Note{At: "2026-11-29 11:50", What: "zero", Load: 1}},
	{"lid-off", runfile.Note{At: "2026-11-29 12:01", What: "lid-off", Load: 1}},
	{"broken quart=1 --load 1", runfile.Note{At: "2026-11-29 12:04", What: "broken", Value: "quart=1", Load: 1}},
	{"unsealed quart=1 --load 1", runfile.Note{At: "2026-11-30 07:00", What: "unsealed", Value: "quart=1", Load: 1}},
}

// Each note of the README is one of the chain below, in its order.
func TestTheBadSaturdayIsThatOfTheREADME(t *testing.T) {
	readme, err := os.ReadFile(filepath.Join("..", "README.md"))
	require.NoError(t, err)
	const command = "$ brothrun note testdata/saturday/run.toml "
	var typed, want []string
	for line := range strings.Lines(string(readme)) {
		if rest, ok := strings.CutPrefix(line, command); ok {
			typed = append(typed, strings.TrimSpace(rest))
		}
	}
	for _, n := range badSaturday {
		want = append(want, fmt.Sprintf("%s --at %q", n.typed, n.note.At))
	}
	assert.Equal(t, want, typed)
}

// otherSaturday is a run on which steps are done without, go, come again and come anew:
// too little broth for a second load, then enough, and a load that was not processed.
// The heat-up begins with the run, so that getting ready took no time at all.
var otherSaturday = []runfile.Note{
	{At: "2026-11-28 08:00", What: "began", Step: "heat-up"},
	{At: "2026-11-28 11:00", What: "strained", Value: "8 qt cold"},
	{At: "2026-11-28 12:30", What: "reading", Value: "40 F"},
	{At: "2026-11-29 08:20", What: "ready", Value: "11 qt"},
	{At: "2026-11-29 08:21", What: "skipped", Step: "leftover"},
	{At: "2026-11-29 10:12", What: "at-pressure", Load: 1},
	{At: "2026-11-29 10:25", What: "fell", Load: 1},
	{At: "2026-11-29 11:20", What: "zero", Load: 1},
	{At: "2026-11-29 11:35", What: "lid-off", Load: 1},
	{At: "2026-11-29 11:41", What: "skipped", Step: "clean-up"},
}

// link is one calendar of a chain: the plan there was, its file, and who moved.
type link struct {
	plan timeline.Plan
	outsideFile
}

// idsOf are those of the events of a plan, in their order.
func idsOf(plan timeline.Plan) (ids []string) {
	for _, step := range shown(plan) {
		ids = append(ids, step.ID)
	}
	for _, c := range plan.Checks {
		ids = append(ids, c.ID)
	}
	return ids
}

// chain is the calendar of a run as planned and after each of its notes, each written
// in the place of the one before, as brothrun note does it.
func chain(t *testing.T, name string, r notedRun, notes []runfile.Note) []link {
	t.Helper()
	var links []link
	var live map[string]understood // what stands there, by step
	gone := map[string]understood{}
	for n := range len(notes) + 1 {
		entries := r.entries(t, notes[:n])
		plan, err := r.plan(entries)
		require.NoError(t, err)
		l := link{plan: plan}
		options := export.Options{Now: now}
		if n > 0 {
			last := entries[len(entries)-1]
			options.Now = last.At
			refusal, ok := links[n-1].plan.May(*l.plan.Planned, entries[:n-1], last)
			require.True(t, ok, "%v: %v", notes[n-1], refusal)
			former, err := export.ReadFormer(bytes.NewReader(links[n-1].file))
			require.NoError(t, err)
			options.Former = former
		}
		var file bytes.Buffer
		require.NoError(t, export.Calendar(&file, []timeline.Plan{l.plan}, options), "note %d", n)
		l.name, l.file, l.want = fmt.Sprintf("%s-%02d", name, n), file.Bytes(), wanted(l.plan)

		was := live
		live = map[string]understood{}
		for i, id := range idsOf(l.plan) {
			live[id] = l.want[i]
			delete(gone, id)
		}
		for id, event := range was {
			if _, still := live[id]; !still {
				event.Title, event.Alarms, event.Cancelled = "Cancelled: "+event.Title, nil, true
				gone[id] = event
			}
		}
		for _, id := range slices.Sorted(maps.Keys(gone)) {
			l.want = append(l.want, gone[id])
		}
		links = append(links, l)
	}
	return links
}

func chains(t *testing.T) map[string][]link {
	saturday := runOf(t, "saturday")
	var notes []runfile.Note
	for _, n := range badSaturday {
		notes = append(notes, n.note)
	}
	made := map[string][]link{"bad-saturday": chain(t, "bad-saturday", saturday, notes)}
	saturday.unnumbered = true
	made["other-saturday"] = chain(t, "other-saturday", saturday, otherSaturday)
	return made
}

// eventsBySteps are the events of a file by the step that each is of; steps are those
// there ever were.
func eventsBySteps(t *testing.T, l link, steps map[string]bool) map[string]ical.Event {
	t.Helper()
	byUID := map[string]ical.Event{}
	for _, event := range read(t, l.file) {
		require.NotContains(t, byUID, event.UID, "two events of one step")
		require.True(t, event.End.After(event.Start), "%q has no length", event.Title)
		byUID[event.UID] = event
	}
	events := map[string]ical.Event{}
	for id := range steps {
		uid := nameUUID(t, "6f0c2d0e-7f43-4c1b-9a52-3d1b8f6f5a27", l.plan.RunID+"/"+id)
		if event, ok := byUID[uid]; ok {
			events[id] = event
			delete(byUID, uid)
		}
	}
	require.Empty(t, byUID, "events of no step")
	return events
}

// Sources: RFC 5545 3.8.4.7 (a UID is for ever) and 3.8.7.4 (a sequence never falls, and
// rises with a changed start), RFC 5546 3.2.5 (what is called off keeps its UID).
func TestNotesMoveTheSameEvents(t *testing.T) {
	for name, links := range chains(t) {
		t.Run(name, func(t *testing.T) {
			steps := map[string]bool{}
			moved, calledOff, anew, same := 0, 0, 0, 0
			var was map[string]ical.Event
			for n, l := range links {
				live := map[string]understood{}
				for i, id := range idsOf(l.plan) {
					steps[id], live[id] = true, l.want[i]
				}
				is := eventsBySteps(t, l, steps)
				for id, event := range is {
					step, on := live[id]
					before, stood := was[id]
					at := fmt.Sprintf("%s in %s", id, l.name)
					assert.Equal(t, !on, event.Cancelled, "%s is called off where the plan has it not", at)
					if on {
						layout := time.RFC3339
						if event.AllDay {
							layout = time.DateOnly
						}
						assert.Equal(t, step.Start, event.Start.Format(layout), at)
						assert.Equal(t, step.End, event.End.Format(layout), at)
					}
					switch {
					case !stood:
						assert.True(t, on, "%s is new and called off", at)
						if n > 0 {
							anew++
						}
						continue
					case event.Cancelled && before.Cancelled:
						assert.Equal(t, before, event, "%s is called off once", at)
					case event.Cancelled:
						calledOff++
						assert.Greater(t, event.Sequence, before.Sequence, at)
						assert.Equal(t, before.Start, event.Start, "%s is called off where it stood", at)
					case before.Cancelled:
						anew++
						assert.Greater(t, event.Sequence, before.Sequence, at)
					case !event.Start.Equal(before.Start) || !event.End.Equal(before.End):
						moved++
						assert.Greater(t, event.Sequence, before.Sequence, at)
					default:
						same++
						assert.GreaterOrEqual(t, event.Sequence, before.Sequence, at)
					}
				}
				for id := range live {
					assert.Contains(t, is, id, "a step of %s without an event", l.name)
				}
				for id := range was {
					assert.Contains(t, is, id, "an event is gone without a word in %s", l.name)
				}
				was = is
			}
			t.Logf("%d files: %d events moved, %d called off, %d came, %d stayed", len(links), moved, calledOff, anew, same)
			assert.Greater(t, moved, 20)
		})
	}
}

// Whatever is noted that may be, in whatever order, the plan is a calendar.
func TestDrawnNotesAreCalendars(t *testing.T) {
	saturday := runOf(t, "saturday")
	rng := rand.New(rand.NewPCG(13, 29))
	words := []runfile.Note{
		{What: "began"}, {What: "began"}, {What: "done"}, {What: "done"}, {What: "skipped"}, {What: "late", Value: "20m"},
		{What: "strained", Value: "11 qt"}, {What: "strained", Value: "9 qt cold"}, {What: "ready", Value: "10 qt"}, {What: "drained", Value: "5 lb"},
		{What: "reading", Value: "60 F"}, {What: "reading", Value: "40 F"}, {What: "drying"}, {What: "dried", Value: "40 g"}, {What: "sealed", Value: "quart=1"},
		{What: "steam"}, {What: "vented"}, {What: "at-pressure"}, {What: "fell"}, {What: "heat-off"}, {What: "zero"}, {What: "lid-off"},
	}
	start, err := saturday.plan(nil)
	require.NoError(t, err)
	files := 0
	for range 30 {
		var notes []runfile.Note
		var former *export.Former
		plan := start
		for range 12 {
			note, step := words[rng.IntN(len(words))], plan.Steps[rng.IntN(len(plan.Steps))]
			// At the edges of steps things come together.
			at := []time.Time{step.Start, step.End, step.Start.Add(7 * time.Minute)}[rng.IntN(3)]
			if len(notes) > 0 && rng.IntN(3) == 0 {
				at = plan.AsOf
			}
			note.At = at.Format(time.RFC3339)
			switch what := record.What(note.What); {
			case what.OfLoad():
				note.Load = 1 + rng.IntN(2)
			case slices.Contains([]record.What{record.Began, record.Done, record.Skipped, record.Late}, what):
				note.Step = step.ID
			}
			entry := saturday.entries(t, []runfile.Note{note})[0]
			if _, ok := plan.May(start.Batch, saturday.entries(t, notes), entry); !ok {
				continue
			}
			more := append(slices.Clip(notes), note)
			next, err := saturday.plan(saturday.entries(t, more))
			if err != nil {
				continue // it fits nowhere; there is no calendar of it
			}
			notes, plan = more, next
			var file bytes.Buffer
			require.NoError(t, export.Calendar(&file, []timeline.Plan{plan}, export.Options{Now: now, Former: former}), "%+v", notes)
			read(t, file.Bytes())
			former, err = export.ReadFormer(&file)
			require.NoError(t, err)
			files++
		}
	}
	t.Logf("%d files", files)
	assert.Greater(t, files, 200)
}
