package timeline_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/stock"
	"brothrun/stock/quantity"
	"brothrun/stock/record"
	"brothrun/timeline"
)

// came reads "2026-11-28 12:40 began simmer", "... at-pressure load 1" and
// "... late 30m simmer".
func came(t testing.TB, place *time.Location, lines ...string) []record.Entry {
	t.Helper()
	var entries []record.Entry
	for _, line := range lines {
		words := strings.Fields(line)
		e := record.Entry{At: at(t, words[0]+" "+words[1], place), What: record.What(words[2])}
		rest := words[3:]
		if e.What == record.Late {
			var err error
			e.Span, err = time.ParseDuration(rest[0])
			require.NoError(t, err)
			rest = rest[1:]
		}
		switch {
		case len(rest) == 2:
			_, err := fmt.Sscan(rest[1], &e.Load)
			require.NoError(t, err)
		case len(rest) == 1:
			e.Step = rest[0]
		}
		entries = append(entries, e)
	}
	return entries
}

// follow is a run that begins when the weekend says, with its notes.
func (w weekend) follow(planned, now stock.Batch, entries ...record.Entry) (timeline.Plan, error) {
	return alone(
		timeline.Run{Batch: now, Planned: planned, Record: entries, ID: "harvest-supper", Unattended: w.Unattended,
			When: timeline.When{Start: w.Start, FinishBy: w.FinishBy, From: w.From, Until: w.Until}},
		timeline.Calendar{Location: w.Location, Awake: w.Awake, Bookings: w.Bookings, Busy: w.Busy, CannerHours: w.CannerHours})
}

func lines(plan timeline.Plan) string {
	var b strings.Builder
	for _, s := range plan.Steps {
		fmt.Fprintf(&b, "%-13s %s-%s  %d", s.ID, s.Start.Format("Mon 15:04"), s.End.Format("Mon 15:04"), s.State)
		if !s.Planned.From.Equal(s.Start) {
			fmt.Fprintf(&b, "  planned %s-%s", s.Planned.From.Format("Mon 15:04"), s.Planned.To.Format("Mon 15:04"))
		}
		b.WriteByte('\n')
	}
	return b.String()
}

// own marks rows that state a rule of this program itself: no source but the issue.
const own = "own choice, no source"

// What would be out of the fridge for more than 2 h (holding_limits.csv) is picked out of
// it, and that is said as long as it helps; what has begun, or was cold before, is not moved.
func TestBirdsThatCannotBePickedInTimeGoIntoTheFridge(t *testing.T) {
	denver := zone(t, "America/Denver")
	w := weekend{Location: denver, Start: at(t, "2026-11-28 08:00", denver)}
	for _, row := range []struct {
		name  string
		meat  quantity.Mass // kilograms
		notes []string
		pick  string // "start end"
		cold  bool
		told  bool
	}{
		{"as planned", 2, []string{"2026-11-28 14:05 began chill"}, "Sat 14:40 Sat 15:18", false, false},
		{"still in time", 2, []string{"2026-11-28 14:05 began chill", "2026-11-28 14:10 late 40m chill"}, "Sat 15:20 Sat 15:58", false, false},
		{"out for too long", 2, []string{"2026-11-28 14:05 began chill", "2026-11-28 14:10 late 1h chill"}, "Sat 15:40 Sat 16:18", true, true},
		{"begun in time", 2, []string{"2026-11-28 15:00 began pick", "2026-11-28 15:01 late 1h pick"}, "Sat 15:00 Sat 16:38", false, false},
		{"done too late", 2, []string{"2026-11-28 14:40 began pick", "2026-11-28 17:30 done pick"},
			"Sat 14:40 Sat 17:30", false, false},
		{"put off", 2, []string{"2026-11-28 14:10 late 3h pick"}, "Sat 17:35 Sat 18:13", true, true},
		{"cold before", 6, []string{"2026-11-28 14:05 began chill", "2026-11-28 14:10 late 1h chill"}, "Sat 15:40 Sat 17:14", true, false},
		{"left out", 2, []string{"2026-11-28 14:10 late 3h chill", "2026-11-28 14:11 skipped pick"}, "Sat 17:35 Sat 17:35", true, false},
	} {
		b := batch(birds(row.meat))
		plan, err := w.follow(b, b, came(t, denver, row.notes...)...)
		require.NoError(t, err, row.name)
		pick := step(t, plan, "pick")
		assert.Equal(t, row.pick, pick.Start.Format("Mon 15:04")+" "+pick.End.Format("Mon 15:04"), "%s\n%s", row.name, lines(plan))
		assert.Equal(t, row.cold, pick.Cold, row.name)
		assert.Equal(t, row.told, slices.Contains(codes(plan), timeline.MeatWaits), row.name)
		late := !pick.Cold && pick.End.Sub(step(t, plan, "strain").End) > 2*time.Hour
		assert.Equal(t, late, slices.Contains(codes(plan), timeline.MeatTooLong), row.name)
	}
}

// TestWhatFollowsFromANote: the weekend of TestTheDemoWeekend, with what came.
func TestWhatFollowsFromANote(t *testing.T) {
	denver := zone(t, "America/Denver")
	const holding = "holding_limits.csv"
	for _, row := range []struct {
		name, source string
		notes        []string
		want         []string // "id start end"
		codes        []string // of the warnings
	}{
		{"late simmer: the day moves, the next does not", own, []string{"2026-11-28 12:40 began simmer"}, []string{
			"heat-up Sat 08:30 Sat 09:30", "simmer Sat 12:40 Sat 16:40", "strain Sat 16:40 Sat 17:10", "chill Sat 17:10 Sat 17:45",
			"fridge Sat 17:45 Sun 08:00", "skim Sun 08:00 Sun 08:20", "clean-up Sun 13:41 Sun 14:01"}, nil},
		{"8 h for the fat after a later chill", holding, []string{"2026-11-28 19:00 began strain"}, []string{
			"chill Sat 19:30 Sat 20:05", "skim Sun 08:00 Sun 08:20"}, nil},
		{"into the night: it goes on, with a warning", holding, []string{"2026-11-28 19:40 began simmer"}, []string{
			"strain Sat 23:40 Sun 00:10", "chill Sun 00:10 Sun 00:45", "skim Sun 08:45 Sun 09:05"}, []string{"goes-on"}},
		{"late without a step: what is on", own, []string{"2026-11-28 12:40 late 30m"}, []string{
			"simmer Sat 09:30 Sat 14:00", "strain Sat 14:00 Sat 14:30"}, nil},
		{"late past its end: from now", own, []string{"2026-11-28 12:40 began simmer", "2026-11-28 13:40 late 30m", "2026-11-28 17:20 late 30m strain"}, []string{
			"simmer Sat 12:40 Sat 17:10", "strain Sat 17:10 Sat 18:10", "chill Sat 18:10 Sat 18:45"}, nil},
		{"late before it begins: the next step waits", own, []string{"2026-11-28 07:00 late 30m"}, []string{
			"prepare Sat 08:30 Sat 09:00", "heat-up Sat 09:00 Sat 10:00"}, nil},
		{"late with a step", own, []string{"2026-11-28 20:00 late 2h skim"}, []string{
			"chill Sat 14:00 Sat 14:35", "fridge Sat 14:35 Sun 10:00", "skim Sun 10:00 Sun 10:20", "leftover Sun 10:20 Sun 10:35"}, nil},
		{"done early: what has no pause before it follows", own, []string{"2026-11-28 13:00 done simmer"}, []string{
			"simmer Sat 09:30 Sat 13:00", "strain Sat 13:00 Sat 13:30", "chill Sat 13:30 Sat 14:05", "skim Sun 08:00 Sun 08:20"}, nil},
		{"strained ends the straining", own, []string{"2026-11-28 13:40 strained"}, []string{
			"strain Sat 13:30 Sat 13:40", "chill Sat 13:40 Sat 14:15"}, nil},
		{"done with a load is its time in the canner", own, []string{"2026-11-29 11:41 done load 1"}, []string{
			"load-1 Sun 09:34 Sun 11:41", "unload-1 Sun 11:41 Sun 11:51", "fill-2 Sun 11:51 Sun 12:04"}, nil},
		{"began with a load: it went on late", own, []string{"2026-11-29 09:54 began load 1"}, []string{
			"fill-1 Sun 09:20 Sun 09:34", "load-1 Sun 09:54 Sun 11:41", "clean-up Sun 14:01 Sun 14:21"}, nil},
		{"skipped takes no time", own, []string{"2026-11-29 08:00 skipped leftover"}, []string{
			"skim Sun 08:00 Sun 08:20", "reheat Sun 08:20 Sun 09:05"}, nil},
		{"a load at pressure late", own, []string{"2026-11-29 11:40 at-pressure load 1"}, []string{
			"load-1 Sun 09:34 Sun 13:00", "unload-1 Sun 13:00 Sun 13:10", "load-2 Sun 13:23 Sun 15:10"}, nil},
		{"stop at bedtime: load 2 another day", holding, []string{"2026-11-29 17:00 began reheat", "2026-11-29 19:40 steam load 1"}, []string{
			"fill-1 Sun 17:45 Sun 17:59", "load-1 Sun 17:59 Sun 21:14", "clean-up Sun 21:24 Sun 21:44", "fridge-again-2 Sun 21:44 Mon 06:30",
			"reheat-2 Mon 06:30 Mon 07:15", "load-2 Mon 07:28 Mon 09:15"}, []string{"several-canning-days", "cool-again"}},
		{"skimmed after 3 days: kept too long", holding, []string{"2026-12-01 15:00 began skim"}, []string{
			"skim Tue 15:00 Tue 15:20"}, []string{"broth-kept-too-long"}},
		{"skimmed in time, heated after 3 days", holding, []string{"2026-12-01 13:40 began skim"}, []string{
			"skim Tue 13:40 Tue 14:00"}, []string{"broth-kept-too-long"}},
		{"the seals were checked", holding, []string{"2026-11-30 08:30 sealed"}, []string{
			"unload-2 Sun 13:31 Sun 13:41", "jars-rest Sun 13:41 Mon 08:10", "seal-check Mon 08:10 Mon 08:30"}, nil},
		{"the dryer was loaded, and it was dry", own, []string{"2026-11-30 10:00 drying", "2026-12-01 09:00 dried"}, []string{
			"dry-load-1 Mon 09:50 Mon 10:00", "dry-1 Mon 10:00 Tue 02:00", "dry-check-1 Tue 08:40 Tue 09:00"}, nil},
		{"a check put off", own, []string{"2026-11-30 06:00 late 2h seal-check"}, []string{"seal-check Mon 08:30 Mon 08:50"}, nil},
	} {
		w := weekend{Location: denver, Start: at(t, "2026-11-28 08:00", denver)}
		plan, err := w.follow(batch(), batch(), came(t, denver, row.notes...)...)
		if !assert.NoError(t, err, row.name) {
			continue
		}
		for _, want := range row.want {
			id, _, _ := strings.Cut(want, " ")
			s := step(t, plan, id)
			assert.Equal(t, want, id+" "+s.Start.Format("Mon 15:04")+" "+s.End.Format("Mon 15:04"), "%s (%s)\n%s", row.name, row.source, lines(plan))
		}
		for _, code := range row.codes {
			told := append(codes(plan), refusals(plan)...)
			assert.Contains(t, told, code, "%s (%s)", row.name, row.source)
		}
		for _, code := range []string{"goes-on", "cool-again", "broth-kept-too-long"} {
			if !slices.Contains(row.codes, code) {
				assert.NotContains(t, codes(plan), code, row.name)
			}
		}
	}
}

// TestARunToFinishByIsNotHurried: what is late takes of the time kept for it, and one
// that cannot be done in time any more is placed all the same.
func TestARunToFinishByIsNotHurried(t *testing.T) {
	denver := zone(t, "America/Denver")
	w := weekend{Location: denver, FinishBy: at(t, "2026-11-29 20:00", denver)}
	planned := schedule(t, batch(), w)
	simmer := step(t, planned, "simmer").Start
	after, err := w.follow(batch(), batch(), record.Entry{At: simmer.Add(20 * time.Minute), What: record.Began, Step: "simmer"})
	require.NoError(t, err)
	assert.Equal(t, step(t, planned, "skim").Start, step(t, after, "skim").Start, "not on an earlier day, nor later")
	late, err := w.follow(batch(), batch(), record.Entry{At: at(t, "2026-11-29 19:00", denver), What: record.Began, Step: "skim"})
	require.NoError(t, err)
	assert.True(t, late.Steps[len(late.Steps)-1].End.After(w.FinishBy))
}

// TestANoteOfOneRunLeavesTheOther: the other is placed around it.
func TestANoteOfOneRunLeavesTheOther(t *testing.T) {
	denver := zone(t, "America/Denver")
	calendar := timeline.Calendar{Location: denver}
	week := timeline.When{From: at(t, "2026-11-28 08:00", denver), Until: at(t, "2026-12-02 08:00", denver)}
	runs := []timeline.Run{{Batch: batch(), ID: "first", Pot: "big", When: week}, {Batch: batch(), ID: "second", Pot: "big", When: week}}
	before, err := timeline.ScheduleAll(runs, calendar)
	require.NoError(t, err)
	require.True(t, step(t, before[1], "prepare").Start.After(step(t, before[0], "skim").End), "one pot: the second waits")
	runs[1].Planned, runs[1].Record = runs[1].Batch, []record.Entry{{At: step(t, before[1], "heat-up").Start, What: record.Remark}}
	after, err := timeline.ScheduleAll(runs, calendar)
	require.NoError(t, err)
	for i := range after {
		for _, id := range []string{"prepare", "skim", "clean-up"} {
			assert.Equal(t, step(t, before[i], id).Start, step(t, after[i], id).Start, "a remark of the second moves neither: %s", id)
		}
	}
	runs[1].Record[0].What, runs[1].Record[0].Step, runs[1].Record[0].At = record.Began, "heat-up", runs[1].Record[0].At.Add(time.Hour)
	after, err = timeline.ScheduleAll(runs, calendar)
	require.NoError(t, err)
	assert.Equal(t, runs[1].Record[0].At, step(t, after[1], "heat-up").Start.UTC().In(denver))
	assert.Zero(t, after[0].AsOf)
}

// TestNothingIsDriedOfWhatWasNotKept: the trays were left out.
func TestNothingIsDriedOfWhatWasNotKept(t *testing.T) {
	denver := zone(t, "America/Denver")
	w := weekend{Location: denver, Start: at(t, "2026-11-28 08:00", denver)}
	plan, err := w.follow(batch(), batch(), came(t, denver, "2026-11-29 08:00 skipped leftover")...)
	require.NoError(t, err)
	assert.NotContains(t, lines(plan), "dry-")
	assert.NotContains(t, lines(plan), "pre-freeze")
}

// read is readings "13:40 strained, 14:00 160, 15:00 70" of 2026-11-28, in °F.
func read(t testing.TB, text string) (entries []record.Entry) {
	for part := range strings.SplitSeq(text, ", ") {
		hour, what, _ := strings.Cut(part, " ")
		e := record.Entry{At: noon(t, hour), What: record.Strained}
		if what != "strained" {
			var f float64
			_, err := fmt.Sscan(what, &f)
			require.NoError(t, err)
			e.What, e.Temperature = record.Reading, quantity.Fahrenheit(f)
		}
		entries = append(entries, e)
	}
	return entries
}

// TestReadingsJudgeTheChill: 135 F to 70 F within 2 h and to 41 F within 6 h
// (holding_limits.csv: FDA Food Code 3-501.14(A)).
func TestReadingsJudgeTheChill(t *testing.T) {
	const foodCode, fromMemory = "holding_limits.csv", "FDA Food Code 3-501.19, from memory"
	for _, row := range []struct {
		name, source, notes string
		stands              timeline.Cooled
	}{
		{"nothing read", own, "14:00 strained", timeline.Unread},
		{"hot still: not yet cooling", own, "14:00 strained, 14:10 180", timeline.Unread},
		{"in time", foodCode, "14:00 strained, 15:00 70, 18:00 41", timeline.InTime},
		{"on the minute", foodCode, "14:00 135, 16:00 70, 20:00 41", timeline.InTime},
		{"no limit reached so far", foodCode, "14:00 strained, 15:30 90", timeline.Cooling},
		{"the first passed, the second to come", foodCode, "14:00 135, 15:30 65, 17:00 50", timeline.Cooling},
		{"a degree above 70 F after 2 h", foodCode, "14:00 135, 16:00 71", timeline.ReheatNow},
		{"a minute late at 70 F", foodCode, "14:00 135, 16:01 70.5, 16:02 70", timeline.ReheatNow},
		{"missed, and 41 F in time all the same", foodCode, "14:00 135, 16:10 75, 19:00 40", timeline.Spoilt},
		{"reheated by 4 h and cooled again", fromMemory, "14:00 135, 16:10 75, 17:30 165, 19:00 70, 22:00 41", timeline.InTime},
		{"reheated, cooling", fromMemory, "14:00 135, 16:10 75, 17:30 165, 18:00 120", timeline.Cooling},
		{"reheated to less than 165 F is not reheated", fromMemory, "14:00 135, 16:10 75, 17:30 164", timeline.ReheatNow},
		{"reheated after 4 h", fromMemory, "14:00 135, 16:10 75, 18:01 165", timeline.Spoilt},
		{"read first after 4 h", fromMemory, "14:00 135, 18:10 75", timeline.Spoilt},
		{"missed a second time", fromMemory, "14:00 135, 16:10 75, 17:30 165, 19:40 75", timeline.Spoilt},
		{"41 F missed", foodCode, "14:00 135, 15:30 65, 20:00 42", timeline.Spoilt},
		{"41 F a minute after the limit: nothing shows that it was in time", foodCode, "14:00 135, 15:30 65, 20:01 41", timeline.Unproven},
		{"read once, when cold: as a pot in ice it was in time", own, "14:00 strained, 17:25 40", timeline.InTime},
		{"warm in the evening, cold in the morning", own, "04:00 135, 05:30 69, 20:00 39", timeline.Unproven},
		{"heated again for the canner, and cooling", own, "14:00 135, 15:30 65, 18:00 40, 20:50 120", timeline.Cooling},
		{"a fridge opened often", own, "14:00 135, 15:30 65, 18:00 40, 20:50 44", timeline.InTime},
		{"spoilt stays spoilt", own, "14:00 135, 15:30 65, 20:01 42, 20:30 165, 21:00 40", timeline.Spoilt},
		{"unread until cold: from the straining", foodCode, "14:00 strained, 15:50 60", timeline.Cooling},
	} {
		assert.Equal(t, row.stands, chilled(read(t, row.notes)).Stands, "%s (%s)", row.name, row.source)
	}
	c := chilled(read(t, "14:00 135, 16:10 75"))
	assert.Equal(t, "16:00 20:00 18:00", hour(c.By70F)+" "+hour(c.By41F)+" "+hour(c.Reheat))
	assert.True(t, chilled(read(t, "14:00 135, 16:10 75, 17:30 165")).Again)
}

func refusals(plan timeline.Plan) (codes []string) {
	for _, refusal := range plan.Batch.Refusals {
		codes = append(codes, refusal.Code)
	}
	return codes
}

// chilled is how a chill stands at its last reading.
func chilled(entries []record.Entry) timeline.Chilling {
	return timeline.Chilled(entries, entries[len(entries)-1].At)
}
