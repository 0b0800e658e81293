package timeline_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/stock"
	"brothrun/stock/record"
	"brothrun/stock/remark"
	"brothrun/timeline"
)

// The tested time of quarts is 25 min (process_stock.csv); 10 min of venting and 10 min
// after zero are the published ones (Michigan State University Extension 01600949; the
// 2015 revision of the USDA guide, from memory).
var canned = batch().Loads[0]

var phases = map[timeline.Phase]string{
	timeline.NotOn: "not on", timeline.Heating: "heating", timeline.Venting: "venting", timeline.Pressurising: "pressurising",
	timeline.AtPressure: "at pressure", timeline.Fallen: "fallen", timeline.LosingPressure: "losing pressure",
	timeline.AtZero: "at zero", timeline.Opened: "opened",
}

func noon(t testing.TB, hour string) time.Time { return at(t, "2026-11-28 "+hour, time.UTC) }

// noted reads "10:00 steam, 10:10 vented" as notes of load 1.
func noted(t testing.TB, text string) (entries []record.Entry) {
	for part := range strings.SplitSeq(text, ", ") {
		if hour, what, ok := strings.Cut(part, " "); ok {
			entries = append(entries, record.Entry{At: noon(t, hour), What: record.What(what), Load: 1})
		}
	}
	return entries
}

func hour(at time.Time) string {
	if at.IsZero() {
		return "-"
	}
	return at.Format("15:04")
}

const (
	pressed = "10:00 began, 10:14 steam, 10:24 vented, 10:28 at-pressure"
	whole   = pressed + ", 10:53 heat-off"
)

func TestTheClockOfALoad(t *testing.T) {
	for _, row := range []struct {
		name, notes        string
		phase, since, till string
		processed          string // "yes", "not yet", or why not
		redo               string // until when its jars may be canned again
	}{
		{"nothing noted", "", "not on", "-", "-", "not yet", "-"},
		{"on the stove", "10:00 began", "heating", "10:00", "-", "not yet", "-"},
		{"steady steam: 10 min", "10:00 began, 10:14 steam", "venting", "10:14", "10:24", "not yet", "-"},
		{"steam noted twice: from the later", "10:14 steam, 10:17 steam", "venting", "10:17", "10:27", "not yet", "-"},
		{"the weight is on", "10:14 steam, 10:24 vented", "pressurising", "10:24", "-", "not yet", "-"},
		{"at pressure: the full time", pressed, "at pressure", "10:28", "10:53", "not yet", "-"},
		{"noted again: from the later", pressed + ", 10:31 at-pressure", "at pressure", "10:31", "10:56", "not yet", "-"},
		{"fell: no time to end it", pressed + ", 10:40 fell", "fallen", "10:40", "-", "not yet", "-"},
		{"fell twice", pressed + ", 10:40 fell, 10:41 fell", "fallen", "10:40", "-", "not yet", "-"},
		{"at pressure again: the full time again", pressed + ", 10:40 fell, 10:44 at-pressure", "at pressure", "10:44", "11:09", "not yet", "-"},
		{"the heat is off", whole, "losing pressure", "10:53", "-", "yes", "-"},
		{"fell after that is what it does", whole + ", 10:55 fell", "losing pressure", "10:53", "-", "yes", "-"},
		{"off twice", whole + ", 10:58 heat-off", "losing pressure", "10:53", "-", "yes", "-"},
		{"at zero: 10 min", whole + ", 11:38 zero", "at zero", "11:38", "11:48", "yes", "-"},
		{"at zero twice: from the later", whole + ", 11:38 zero, 11:41 zero", "at zero", "11:41", "11:51", "yes", "-"},
		{"the lid is off: a day for what did not seal", whole + ", 11:38 zero, 11:48 lid-off", "opened", "11:48", "-", "yes", "11:48"},
		{"nothing after that counts", whole + ", 11:38 zero, 11:48 lid-off, 11:50 at-pressure", "opened", "11:48", "-", "yes", "11:48"},
		{"held again after it fell", pressed + ", 10:40 fell, 10:44 at-pressure, 11:09 heat-off", "losing pressure", "11:09", "-", "yes", "-"},
		{"only pressure and heat noted", "10:28 at-pressure, 10:53 heat-off", "losing pressure", "10:53", "-", "yes", "-"},
		{"the file in another order", "10:53 heat-off, 10:28 at-pressure, 10:24 vented, 10:14 steam", "losing pressure", "10:53", "-", "yes", "-"},

		{"a minute too soon", pressed + ", 10:52 heat-off", "losing pressure", "10:52", "-", "heat-off 10:52 24m0s 25m0s", "12:52"},
		{"a minute too soon, then the lid", pressed + ", 10:52 heat-off, 11:30 zero, 11:40 lid-off", "opened", "11:40", "-", "heat-off 10:52 24m0s 25m0s", "12:52"},
		{"off too soon, and again at the right time", pressed + ", 10:48 heat-off, 10:53 heat-off", "losing pressure", "10:48", "-", "heat-off 10:48 20m0s 25m0s", "12:48"},
		{"noted twice, full from the first alone", pressed + ", 10:31 at-pressure, 10:53 heat-off", "losing pressure", "10:53", "-", "heat-off 10:53 22m0s 25m0s", "12:53"},
		{"both stretches together are no full time", pressed + ", 10:40 fell, 10:44 at-pressure, 11:00 heat-off", "losing pressure", "11:00", "-", "heat-off 11:00 16m0s 25m0s", "13:00"},
		{"off while fallen", pressed + ", 10:52 fell, 10:55 heat-off", "losing pressure", "10:55", "-", "pressure 10:55", "12:55"},
		{"off before there was any pressure", "10:14 steam, 10:30 heat-off", "losing pressure", "10:30", "-", "pressure 10:30", "12:30"},
		{"no heat off", pressed + ", 11:00 zero", "at zero", "11:00", "11:10", "zero 11:00", "12:28"},
		{"the flame went out", pressed + ", 10:40 fell, 11:00 zero", "at zero", "11:00", "11:10", "zero 11:00", "12:40"},
		{"the lid alone", "11:00 lid-off", "opened", "11:00", "-", "lid-off 11:00", "13:00"},
		{"the lid before the pressure", "10:14 steam, 10:20 lid-off", "opened", "10:20", "-", "lid-off 10:20", "12:14"},
		{"vented for 9 min", "10:14 steam, 10:23 vented, 10:28 at-pressure, 10:53 heat-off", "losing pressure", "10:53", "-", "vented 10:53 9m0s 10m0s", "12:53"},
		{"the weight noted again does not mend it", "10:14 steam, 10:23 vented, 10:25 vented, 10:28 at-pressure, 10:53 heat-off", "losing pressure", "10:53", "-", "vented 10:53 9m0s 10m0s", "12:53"},
		{"steam again does", "10:10 steam, 10:13 vented, 10:14 steam, 10:24 vented, 10:28 at-pressure, 10:53 heat-off", "losing pressure", "10:53", "-", "yes", "-"},
		{"at pressure 9 min after the steam", "10:14 steam, 10:23 at-pressure, 10:53 heat-off", "losing pressure", "10:53", "-", "vented 10:53 9m0s 10m0s", "12:53"},
		{"steam while at pressure: there was none", pressed + ", 10:40 steam", "venting", "10:40", "10:50", "not yet", "-"},
		{"the weight on while at pressure", pressed + ", 10:40 vented, 10:53 heat-off", "losing pressure", "10:53", "-", "pressure 10:53", "12:53"},
		{"the heat on again", pressed + ", 10:48 heat-off, 10:52 at-pressure", "at pressure", "10:52", "11:17", "not yet", "-"},
		{"on again for the full time", pressed + ", 10:48 heat-off, 10:52 at-pressure, 11:17 heat-off", "losing pressure", "11:17", "-", "yes", "-"},
		{"contradicted: for the longer", whole + ", 10:56 at-pressure, 11:00 heat-off", "losing pressure", "11:00", "-", "heat-off 11:00 4m0s 25m0s", "13:00"},
		{"from zero, not vented again", pressed + ", 10:40 fell, 11:00 zero, 11:10 at-pressure, 11:35 heat-off", "losing pressure", "11:35", "-", "again 11:35", "13:35"},
		{"from zero, vented again", pressed + ", 10:40 fell, 11:00 zero, 11:05 steam, 11:15 vented, 11:19 at-pressure, 11:44 heat-off", "losing pressure", "11:44", "-", "yes", "-"},
	} {
		c := timeline.Can(canned, noted(t, row.notes))
		assert.Equal(t, row.phase+" "+row.since+" "+row.till, phases[c.Phase]+" "+hour(c.Since)+" "+hour(c.Until), row.name)
		assert.Equal(t, row.processed, processed(c), row.name)
		assert.Equal(t, row.redo, hour(c.Redo()), row.name)
	}
	c := timeline.Can(canned, noted(t, whole+", 11:38 zero, 11:48 lid-off"))
	assert.Equal(t, 24*time.Hour, c.Redo().Sub(c.Since), "unsealed jar canned again (holding_limits.csv)")
	assert.Equal(t, 25*time.Minute, c.Held)
	assert.Equal(t, "10:53", hour(c.HeatOff))
}

func processed(c timeline.Canning) string {
	switch {
	case c.NotProcessed.Code != "":
		return facts(c.NotProcessed)
	case c.Processed:
		return "yes"
	}
	return "not yet"
}

// facts writes the case of a note and its facts, the number of the load, 1, apart.
func facts(n remark.Note) string {
	words := []string{n.Case}
	for _, fact := range n.Facts[1:] {
		switch fact := fact.(type) {
		case time.Time:
			words = append(words, hour(fact))
		case timeline.Phase:
			words = append(words, phases[fact])
		default:
			words = append(words, fmt.Sprint(fact))
		}
	}
	return strings.TrimSpace(strings.Join(words, " "))
}

func TestOnlyItsOwnNotesMoveALoad(t *testing.T) {
	notes := noted(t, pressed)
	c := timeline.Can(canned, append(noted(t, pressed),
		record.Entry{At: noon(t, "10:40"), What: record.Fell, Load: 2}, record.Entry{At: noon(t, "10:41"), What: record.Filled, Load: 1},
		record.Entry{At: noon(t, "10:42"), What: record.Done, Step: "load-1"}, record.Entry{At: noon(t, "10:43"), What: "gone", Load: 1}))
	assert.Equal(t, "at pressure 10:28", phases[c.Phase]+" "+hour(c.Since))
	slices.Reverse(notes)
	kept := slices.Clone(notes)
	timeline.Can(canned, notes)
	assert.Equal(t, kept, notes, "what is given is left as it is")
	step := timeline.Can(canned, []record.Entry{{At: noon(t, "10:00"), What: record.Began, Step: "load-1"}})
	assert.Equal(t, timeline.Heating, step.Phase)
	other := timeline.Can(canned, []record.Entry{{At: noon(t, "10:00"), What: record.Began, Step: "unload-1", Load: 1}})
	assert.Equal(t, timeline.NotOn, other.Phase)
	untested := canned
	untested.Process = 0
	assert.False(t, timeline.Can(untested, noted(t, whole)).Processed, "without a tested time nothing is")
}

func TestWhatMayBeNoted(t *testing.T) {
	for _, row := range []struct{ notes, note, refusal string }{
		{"", "10:14 steam", ""},
		{"", "10:24 vented", ""},
		{"", "10:28 at-pressure", ""},
		{"", "10:28 fell", "not-at-pressure fell not on -"},
		{"", "10:28 heat-off", "not-at-pressure heat-off not on -"},
		{"", "10:28 zero", "out-of-order first zero heat-off"},
		{"", "10:28 lid-off", "out-of-order first lid-off zero"},
		{"10:00 began", "10:28 heat-off", "not-at-pressure heat-off heating 10:00"},
		{"10:14 steam", "10:23 vented", "vent-too-short 10:24 10:14"},
		{"10:14 steam", "10:23 at-pressure", "vent-too-short 10:24 10:14"},
		{"10:14 steam", "10:16 steam", ""},
		{"10:14 steam", "10:24 vented", ""},
		{"10:14 steam", "10:28 at-pressure", ""},
		{"10:14 steam, 10:24 vented", "10:25 steam", ""},
		{"10:14 steam, 10:24 vented", "10:53 heat-off", "not-at-pressure heat-off pressurising 10:24"},
		{pressed, "10:52 heat-off", "heat-off-too-soon 10:53 10:28"},
		{pressed, "10:53 heat-off", ""},
		{pressed, "11:30 heat-off", ""},
		{pressed, "10:31 at-pressure", ""},
		{pressed, "10:40 fell", ""},
		{pressed, "10:40 steam", "out-of-order first steam fell"},
		{pressed, "10:40 vented", "out-of-order first vented fell"},
		{pressed, "10:40 zero", "out-of-order first zero heat-off"},
		{pressed, "10:40 lid-off", "out-of-order first lid-off zero"},
		{pressed + ", 10:40 fell", "10:53 heat-off", ""}, // it is given up, and not processed
		{"10:00 began", "10:05 vented", "vent-too-short 10:10 10:00"},
		{pressed + ", 10:40 fell, 11:00 zero", "11:05 vented", "vent-too-short 11:10 11:00"},
		{pressed + ", 10:40 fell", "10:44 at-pressure", ""},
		{pressed + ", 10:40 fell", "10:44 steam", ""},
		{pressed + ", 10:40 fell", "11:00 zero", ""},
		{pressed + ", 10:40 fell, 10:44 at-pressure", "10:53 heat-off", "heat-off-too-soon 11:09 10:44"},
		{whole, "10:56 at-pressure", "out-of-order after at-pressure heat-off 10:53"},
		{whole, "10:56 steam", "out-of-order after steam heat-off 10:53"},
		{whole, "10:56 heat-off", "out-of-order after heat-off heat-off 10:53"},
		{whole, "10:56 fell", ""},
		{whole, "11:38 zero", ""},
		{whole, "11:48 lid-off", "out-of-order first lid-off zero"},
		{whole, "10:40 fell", ""}, // what was forgotten is told later, and moves the rest
		{pressed + ", 10:48 heat-off", "10:52 at-pressure", ""},
		{whole + ", 11:38 zero", "11:47 lid-off", "lid-off-too-soon 11:48 11:38"},
		{whole + ", 11:38 zero", "11:48 lid-off", ""},
		{whole + ", 11:38 zero", "11:40 zero", ""},
		{whole + ", 11:38 zero", "11:48 at-pressure", "out-of-order after at-pressure heat-off 10:53"},
		{pressed + ", 10:40 fell, 11:00 zero", "11:10 at-pressure", "out-of-order first at-pressure vented"},
		{pressed + ", 10:40 fell, 11:00 zero", "11:10 steam", ""},
		{pressed + ", 10:40 fell, 11:00 zero", "11:10 heat-off", "out-of-order after heat-off zero 11:00"},
		{whole + ", 11:38 zero, 11:48 lid-off", "12:00 zero", "load-over zero 11:48"},
		{whole + ", 11:38 zero, 11:48 lid-off", "12:00 filled", ""},
	} {
		refusal, ok := timeline.Can(canned, noted(t, row.notes)).May(noted(t, row.note)[0])
		assert.Equal(t, row.refusal == "", ok, "%s after %s", row.note, row.notes)
		said := ""
		if !ok {
			assert.Equal(t, 1, refusal.Facts[0], "the number of the load")
			said = refusal.Code + " " + facts(refusal)
		}
		assert.Equal(t, row.refusal, said, "%s after %s", row.note, row.notes)
	}
	_, ok := timeline.Can(canned, noted(t, pressed)).May(record.Entry{At: noon(t, "10:30"), What: record.HeatOff, Load: 2})
	assert.True(t, ok, "another load is not asked about")
}

// The bands are those of batch: 12 to 15 min to steam, 3 to 5 to pressure, 45 to zero.
func TestWhenTheLidComesOff(t *testing.T) {
	for _, row := range []struct{ name, notes, from, ends string }{
		{"nothing noted: all of it", "", "10:00", "11:45 11:47 11:50"},
		{"on the stove", "10:00 began", "10:05", "11:45 11:47 11:50"},
		{"longer to steam than planned", "10:00 began", "10:30", "12:03 12:04 12:05"},
		{"venting", "10:14 steam", "10:15", "11:47 11:48 11:49"},
		{"the weight forgotten", "10:14 steam", "10:30", "11:53 11:54 11:55"},
		{"pressurising", "10:14 steam, 10:24 vented", "10:25", "11:47 11:48 11:49"},
		{"at pressure", pressed, "10:30", "11:48 11:48 11:48"},
		{"over time", pressed, "11:00", "11:55 11:55 11:55"},
		{"fallen: pressure and the full time again, from now", pressed + ", 10:40 fell", "10:45", "12:08 12:09 12:10"},
		{"losing pressure", whole, "11:00", "11:48 11:48 11:48"},
		{"losing it for longer", whole, "11:50", "12:00 12:00 12:00"},
		{"at zero", whole + ", 11:30 zero", "11:31", "11:40 11:40 11:40"},
		{"opened", whole + ", 11:30 zero, 11:40 lid-off", "12:30", "11:40 11:40 11:40"},
	} {
		early, likely, late := timeline.Can(canned, noted(t, row.notes)).Ends(canned.Cycle, noon(t, row.from))
		assert.Equal(t, row.ends, hour(early)+" "+hour(likely)+" "+hour(late), row.name)
	}
	short := canned.Cycle
	short.Vent, short.Process, short.Wait = span(0, 0, 0), span(0, 0, 0), span(0, 0, 0)
	early, _, _ := timeline.Can(canned, nil).Ends(short, noon(t, "10:00"))
	assert.Equal(t, "11:45", hour(early), "no cycle shortens what has to be")
}

// drawNotes draws notes of a load: a load as it should go with some left out, put
// elsewhere, doubled or added, or anything at all; to the minute or not, in any order.
func drawNotes(random *rand.Rand, begin time.Time) (entries []record.Entry) {
	words := []record.What{record.Began, record.Steam, record.Vented, record.AtPressure, record.Fell, record.HeatOff, record.Zero, record.LidOff}
	minute := 0
	add := func(what record.What, minute int) {
		second := time.Duration(max(0, random.IntN(180)-120)) * time.Second
		entries = append(entries, record.Entry{At: begin.Add(time.Duration(minute)*time.Minute + second), What: what, Load: 1 + random.IntN(40)/39})
	}
	if random.IntN(4) > 0 {
		takes := []int{0, 12, 9, 3, 25, 45, 9}
		for i, what := range []record.What{record.Began, record.Steam, record.Vented, record.AtPressure, record.HeatOff, record.Zero, record.LidOff} {
			minute += takes[i] + random.IntN(4)
			if random.IntN(8) > 0 {
				add(what, minute)
			}
			for what == record.AtPressure && random.IntN(3) == 0 {
				minute += 1 + random.IntN(30)
				add(record.Fell, minute)
				minute += 1 + random.IntN(6)
				add(record.AtPressure, minute)
			}
		}
	}
	for range random.IntN(4) * random.IntN(4) {
		add(words[random.IntN(len(words))], random.IntN(160))
	}
	random.Shuffle(len(entries), func(i, j int) { entries[i], entries[j] = entries[j], entries[i] })
	return entries
}

// soundly looks a load over by itself, from the end backwards and pair by pair: its last
// heat-off that follows a word of heat has the tested time before it, since one at-pressure,
// with no note between that says otherwise, after a venting that was long enough.
func soundly(entries []record.Entry, process time.Duration) bool {
	var mine []record.Entry
	for _, e := range entries {
		if e.Load == 1 {
			mine = append(mine, e)
		}
	}
	slices.SortStableFunc(mine, func(a, b record.Entry) int { return a.At.Compare(b.At) })
	if lid := slices.IndexFunc(mine, func(e record.Entry) bool { return e.What == record.LidOff }); lid >= 0 {
		mine = mine[:lid]
	}
	last := func(before int, what ...record.What) int {
		for i := before - 1; i >= 0; i-- {
			if slices.Contains(what, mine[i].What) {
				return i
			}
		}
		return -1
	}
	on := last(len(mine), record.Steam, record.Vented, record.AtPressure)
	if on < 0 || mine[on].What != record.AtPressure {
		return false
	}
	rest := mine[on+1:]
	end := slices.IndexFunc(rest, func(e record.Entry) bool {
		return e.What == record.HeatOff || e.What == record.Fell || e.What == record.Zero
	})
	if end < 0 || rest[end].What != record.HeatOff || rest[end].At.Before(mine[on].At.Add(process)) {
		return false
	}
	if zero := last(on, record.Zero); zero > last(on, record.Steam, record.Vented) {
		return false
	}
	// It vents since steam was noted or, unsaid, since no sooner than the gauge was at zero
	// or the lid went on.
	steam := last(on, record.Steam, record.Zero)
	if steam >= 0 && mine[steam].What == record.Zero {
		heated := last(steam, record.Steam, record.Vented, record.AtPressure)
		for i := steam; i > heated; i-- {
			if mine[i].What == record.Zero {
				steam = i
			}
		}
	}
	if steam < 0 {
		steam = slices.IndexFunc(mine, func(e record.Entry) bool { return e.What != record.Fell && e.What != record.Filled })
		if mine[steam].What != record.Began {
			return true
		}
	}
	weight := steam + 1
	for mine[weight].What != record.Vented && mine[weight].What != record.AtPressure {
		weight++
	}
	return !mine[weight].At.Before(mine[steam].At.Add(10 * time.Minute))
}

// Whatever is noted, a load that counts as processed was held at pressure for the
// tested time without a break, and no heat goes off before the last at-pressure and
// that time.
func TestWhateverIsNotedTheTestedTimeIsHeld(t *testing.T) {
	random := rand.New(rand.NewPCG(20261128, 25))
	begin := noon(t, "10:00")
	counted := map[string]int{}
	for i := range 40_000 {
		entries := drawNotes(random, begin)
		load := canned
		load.Process = []time.Duration{20, 25}[random.IntN(2)] * time.Minute
		c := timeline.Can(load, entries)
		told := func() string {
			var all []string
			for _, e := range entries {
				all = append(all, fmt.Sprintf("%s %s %d", e.At.Format(time.TimeOnly), e.What, e.Load))
			}
			return fmt.Sprintf("case %d, %v: %s", i, load.Process, strings.Join(all, ", "))
		}
		if sound := soundly(entries, load.Process); c.Processed != sound {
			require.Equal(t, sound, c.Processed, told())
		}
		if c.Processed && (c.Held < load.Process || c.NotProcessed.Code != "") {
			require.Fail(t, "processed without the tested time", told())
		}
		counted[phases[c.Phase]+" "+strings.SplitN(processed(c), " ", 2)[0]]++

		lastPressure := time.Time{}
		for _, e := range entries {
			if e.Load == 1 && e.What == record.AtPressure && e.At.After(lastPressure) {
				lastPressure = e.At
			}
		}
		if c.Phase == timeline.AtPressure && !c.Until.Equal(lastPressure.Add(load.Process)) {
			require.Equal(t, lastPressure.Add(load.Process), c.Until, told())
		}
		requireHeatOffLate(t, load, entries, c, begin.Add(time.Duration(random.IntN(200))*time.Minute), told)
		requireWayOn(t, load, entries, c, told)
		requireEnds(t, c, begin.Add(time.Duration(random.IntN(200))*time.Minute), told)
	}
	for phase, name := range phases {
		for _, state := range []string{"not yet", "yes"} {
			if state == "yes" && phase < timeline.LosingPressure || state == "not yet" && phase >= timeline.LosingPressure {
				continue
			}
			assert.Greater(t, counted[name+" "+strings.Fields(state)[0]], 100, "%s, processed: %s; of %v", name, state, counted)
		}
	}
}

// A heat-off that may be noted ends a full time since the last at-pressure before it.
func requireHeatOffLate(t *testing.T, load stock.Load, entries []record.Entry, c timeline.Canning, when time.Time, told func() string) {
	off := record.Entry{At: when, What: record.HeatOff, Load: 1}
	if _, ok := c.May(off); !ok {
		return
	}
	var before []record.Entry
	for _, e := range entries {
		if !e.At.After(when) {
			before = append(before, e)
		}
	}
	if timeline.Can(load, before).Phase == timeline.Fallen {
		require.NotEmpty(t, timeline.Can(load, append(before, off)).NotProcessed.Code, "it is given up %s", told())
		return
	}
	for _, e := range entries {
		if e.Load == 1 && e.What == record.AtPressure && !e.At.After(when) && when.Before(e.At.Add(load.Process)) {
			require.Fail(t, "heat off too soon", "%s by %s", when.Format("15:04"), told())
		}
	}
	if after := timeline.Can(load, append(before, off)); after.Held < load.Process {
		require.Fail(t, "the heat may go off with less than the tested time", "%s by %s", when.Format("15:04"), told())
	}
}

// What may come next may, as soon as it may.
func requireWayOn(t *testing.T, load stock.Load, entries []record.Entry, c timeline.Canning, told func() string) {
	when := c.Until
	for _, e := range entries {
		if e.Load == 1 && e.At.After(when) {
			when = e.At
		}
	}
	next := c.Next()
	if len(next) == 0 && c.Phase != timeline.Opened {
		require.Fail(t, "no way on", told())
	}
	for _, what := range next {
		if why, ok := c.May(record.Entry{At: when, What: what, Load: 1}); !ok {
			require.Fail(t, "what comes next may not", "%s at %s: %v by %s", what, when.Format("15:04"), why, told())
		}
	}
}

func requireEnds(t *testing.T, c timeline.Canning, from time.Time, told func() string) {
	early, likely, late := c.Ends(canned.Cycle, from)
	sound := !early.After(likely) && !likely.After(late)
	if c.Phase != timeline.Opened {
		sound = sound && !early.Before(from) && !early.Before(c.Until)
	}
	if !sound {
		require.Fail(t, "ends before it may", "%v %v %v from %v by %s", early, likely, late, from, told())
	}
}
