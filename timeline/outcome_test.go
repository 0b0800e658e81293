package timeline_test

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/stock"
	"brothrun/stock/quantity"
	"brothrun/stock/record"
	"brothrun/stock/remark"
	"brothrun/stock/runfile"
	"brothrun/stock/settle"
	"brothrun/timeline"
)

// thirteen is a run of thirteen quarts in two loads, of seven and six; quarts take
// 25 min at pressure (process_stock.csv).
func thirteen(t testing.TB) settle.Setup {
	kitchen, err := runfile.DecodeKitchen(strings.NewReader("altitude = \"3200 ft\"\ngauge = \"weighted\"\n"+
		"[canner]\nwidth = \"12.25 in\"\nheight = \"11.5 in\"\nracks = 1\n[jars]\nquart = 20\n[[pot]]\nname = \"big pot\"\nvolume = \"22 qt\"\n"), "kitchen.toml")
	require.NoError(t, err)
	run, err := runfile.DecodeRun(strings.NewReader("kind = \"turkey-frames\"\nbones = \"9 lb\"\nvegetables = \"3 lb\"\njars = \"quart=13\"\n"), "run.toml")
	require.NoError(t, err)
	setup, err := settle.Run(kitchen, run)
	require.NoError(t, err)
	return setup
}

var quartsHeld = "28 steam 1, 38 vented 1, 42 at-pressure 1, 67 heat-off 1, 112 zero 1, 122 lid-off 1"
var both = quartsHeld + ", 228 steam 2, 238 vented 2, 242 at-pressure 2, 267 heat-off 2, 312 zero 2, 322 lid-off 2"

// minutes reads "28 steam 1, 1500 sealed 12, 1500 unsealed 1/2" as notes so many minutes
// after an instant: with a load, or with quarts and perhaps a load.
func minutes(t testing.TB, text string) (entries []record.Entry) {
	for part := range strings.SplitSeq(text, ", ") {
		var after, n int
		var what string
		if text == "" {
			break
		}
		of := ""
		_, err := fmt.Sscan(part, &after, &what)
		require.NoError(t, err, part)
		fields := strings.Fields(part)
		if len(fields) > 2 {
			of = fields[2]
		}
		e := record.Entry{At: at(t, "2026-11-29 10:00", time.UTC).Add(time.Duration(after) * time.Minute), What: record.What(what)}
		quarts, load, both := strings.Cut(of, "/")
		if e.What.OfLoad() && e.What != record.Filled || both {
			if !both {
				load = of
			}
			_, err := fmt.Sscan(load, &e.Load)
			require.NoError(t, err, part)
		}
		if both || !e.What.OfLoad() && of != "" {
			_, err := fmt.Sscan(quarts, &n)
			require.NoError(t, err, part)
			e.Jars = []record.JarCount{{Jar: "quart", Count: n}}
		}
		entries = append(entries, e)
	}
	return entries
}

func outcome(t testing.TB, notes ...record.Entry) timeline.Outcome {
	o, err := timeline.OutcomeOf(thirteen(t), timeline.When{}, notes)
	require.NoError(t, err)
	return o
}

func TestWhatStandsOnTheShelf(t *testing.T) {
	looks := map[timeline.Look]string{timeline.LookedAt: "sealed", timeline.NotLookedAt: "not looked at", timeline.TimeUnsaid: "time unsaid"}
	for _, row := range []struct{ name, notes, want string }{
		{"nothing noted", "", ""},
		{"both loads held, nobody looked", both, "13 not looked at"},
		{"one of them so far", quartsHeld, "7 not looked at"},
		{"looked at", both + ", 1500 sealed 13", "13 sealed"},
		{"one did not seal: those noted are the others", both + ", 1500 sealed 12, 1501 unsealed 1", "12 sealed"},
		{"noted the other way round", both + ", 1500 unsealed 1, 1501 sealed 12", "12 sealed"},
		{"of one load, the other not yet", both + ", 1500 sealed 7/1", "7 sealed, 6 not looked at"},
		{"looked at between the loads", quartsHeld + ", 200 sealed 7, 228 steam 2, 238 vented 2, 242 at-pressure 2, 267 heat-off 2", "7 sealed, 6 not looked at"},
		{"one found unsealed a month later", both + ", 1500 sealed 13, 45000 unsealed 1", "12 sealed"},
		{"one broke in the canner", both + ", 123 broken 1/1, 1500 sealed 12", "12 sealed"},
		{"that one not yet looked at", both + ", 123 broken 1/1", "12 not looked at"},
		{"an empty one broke: it was none of them", both + ", 20 broken 1", "13 not looked at"},
		{"four were used", both + ", 1500 sealed 13, 9000 used 3, 9900 used 1", "9 sealed"},
		{"used before anybody looked", both + ", 9000 used 3", "10 not looked at"},
		{"more used than were looked at", both + ", 1500 sealed 7/1, 9000 used 9", "4 not looked at"},
		{"all used", both + ", 1500 sealed 13, 9000 used 13", ""},
		{"only the seals noted", "1500 sealed 12", "12 sealed"},
		{"more than were planned", "1500 sealed 14", "14 sealed"},
		{"only the seals, and one failed on the same day", "1500 sealed 12, 1510 unsealed 1", "12 sealed"},
		{"only the seals, and one failed a month later", "1500 sealed 12, 45000 unsealed 1", "11 sealed"},
		{"filled, nothing said of the canner", "20 filled 7/1", "7 time unsaid"},
		{"on the heat, nothing said of its end", "28 steam 1, 38 vented 1, 42 at-pressure 1", "7 time unsaid"},
		{"sealed does not make up for that", "28 steam 1, 38 vented 1, 42 at-pressure 1, 1500 sealed 7", "7 time unsaid"},
		{"filled and sealed, nothing said of the canner", "20 filled 7/1, 200 filled 6/2, 1500 sealed 13", "13 sealed"},
		{"the pressure fell", strings.Replace(quartsHeld, "67 heat-off", "66 heat-off", 1), ""},
		{"sealed does not make it safe", strings.Replace(quartsHeld, "67 heat-off", "66 heat-off", 1) + ", 1500 sealed 7", ""},
		{"of the others it counts", strings.Replace(both, "67 heat-off", "66 heat-off", 1) + ", 1500 sealed 13", "7 sealed"}, // as many as are planned once the broth of the first is back
	} {
		o := outcome(t, minutes(t, row.notes)...)
		shelf := timeline.ShelfOf([]timeline.Outcome{o})
		var got []string
		for _, j := range shelf.Jars {
			assert.Equal(t, "quart", j.Jar)
			got = append(got, fmt.Sprintf("%d %s", j.Count, looks[j.Look]))
		}
		assert.Equal(t, row.want, strings.Join(got, ", "), row.name)
	}
}

func TestWhatCameOfARun(t *testing.T) {
	entries := minutes(t, "14 steam 1, 24 vented 1, 28 at-pressure 1, 53 heat-off 1, 98 zero 1, 110 lid-off 1, "+
		"216 vented 2, 220 at-pressure 2, 230 fell 2, 236 at-pressure 2, 261 heat-off 2, 308 zero 2, 1500 sealed 11, 1500 unsealed 1, 9000 used 2")
	begin := at(t, "2026-11-28 12:00", time.UTC)
	entries = append([]record.Entry{
		{At: begin, What: record.Strained, Volume: 13 * quantity.Quart, Cold: true},
		{At: begin.Add(20 * time.Hour), What: record.Ready, Volume: 12.5 * quantity.Quart, Cold: true},
		{At: begin.Add(22 * time.Hour), What: record.Began, Step: "load-1"}, // 10:00 of the next day
	}, entries...)
	entries = append(entries, record.Entry{At: begin.Add(72 * time.Hour), What: record.Dried, Weight: 45 * quantity.Gram},
		record.Entry{At: begin.Add(73 * time.Hour), What: record.Frozen, Volume: quantity.Quart},
		record.Entry{At: begin.Add(74 * time.Hour), What: record.Frozen, Volume: quantity.Quart})
	o := outcome(t, entries...)

	assert.Equal(t, at(t, "2026-11-29 10:53", time.UTC), o.Date, "the heat of the first load off")
	assert.Equal(t, 13*quantity.Quart, o.Strained)
	assert.Equal(t, 12.5*quantity.Quart, o.Ready)
	assert.InDelta(t, 13.4, o.Planned.Quarts(), 1.5, "what was planned stays")
	assert.Equal(t, []timeline.JarTally{{Jar: "quart", Filled: o.Jars[0].Filled, Sealed: 11, Unsealed: 1, Used: 2}}, o.Jars)
	assert.Equal(t, 45*quantity.Gram, o.Powder)
	assert.Equal(t, 2*quantity.Quart, o.Frozen)
	assert.Equal(t, []record.What(nil), o.Missing)
	require.Len(t, o.Loads, 2)
	assert.Equal(t, 28*time.Minute, o.Loads[0].LidToPressure)
	assert.Equal(t, 14*time.Minute, o.Loads[0].SteamToPressure)
	assert.Equal(t, 45*time.Minute, o.Loads[0].ToZero)
	assert.Zero(t, o.Loads[1].LidToPressure)
	assert.Equal(t, 47*time.Minute, o.Loads[1].ToZero)
	mean, fromSteam, ok := o.ToPressure()
	assert.Equal(t, "28m0s false true", fmt.Sprint(mean, fromSteam, ok))
	down, ok := o.ToZero()
	assert.Equal(t, "46m0s true", fmt.Sprint(down, ok))

	// A year in jars and powder, 2 months frozen (useby.go); it is over the day after.
	shelf := timeline.ShelfOf([]timeline.Outcome{o})
	require.Len(t, shelf.Jars, 1)
	assert.Equal(t, []stock.JarCount{{Jar: "quart", Count: 9}}, shelf.Total())
	assert.Equal(t, map[string]int{"quart": 9}, shelf.Full())
	for _, row := range []struct {
		by   time.Time
		want string
	}{{shelf.Jars[0].By, "2027-11-29"}, {shelf.Frozen[0].By, "2027-02-01"}, {shelf.Dried[0].By, "2027-12-01"}} {
		assert.Equal(t, row.want, row.by.Format(time.DateOnly))
		last := at(t, row.want+" 23:59", time.UTC)
		assert.False(t, timeline.Overdue(row.by, last))
		assert.True(t, timeline.Overdue(row.by, last.Add(time.Minute)))
	}
}

func TestWhatIsMissingIsSaid(t *testing.T) {
	for notes, want := range map[string]string{
		"":                        "[]",
		"5 remark":                "[strained ready filled]",
		quartsHeld:                "[strained ready filled sealed]",
		both:                      "[strained ready sealed]",
		both + ", 1500 sealed 13": "[strained ready]",
		"28 steam 1, 38 vented 1, 42 at-pressure 1, 1500 sealed 7": "[strained ready filled heat-off]",
	} {
		assert.Equal(t, want, fmt.Sprint(outcome(t, minutes(t, notes)...).Missing), notes)
	}
}

// Whatever is noted, jars of a load that is known not to be processed are not on the
// shelf, and no more stand there than were noted as sealed or filled.
func TestTheShelfNeverHoldsWhatWasNotProcessed(t *testing.T) {
	draw := rand.New(rand.NewPCG(13, 1))
	setup := thirteen(t)
	unprocessed := 0
	for range 400 {
		var notes []string
		for load, begins := range []int{28, 228} {
			for i, word := range []string{"steam", "vented", "at-pressure", "heat-off", "zero", "lid-off"} {
				if draw.IntN(8) > 0 {
					notes = append(notes, fmt.Sprintf("%d %s %d", begins+[]int{0, 10, 14, 39, 84, 94}[i]-draw.IntN(2), word, load+1))
				}
			}
		}
		for _, word := range []string{"sealed", "unsealed", "used"} {
			if draw.IntN(2) > 0 {
				notes = append(notes, fmt.Sprintf("%d %s %d", 1500+draw.IntN(3000), word, 1+draw.IntN(13)))
			}
		}
		text := strings.Join(notes, ", ")
		o, err := timeline.OutcomeOf(setup, timeline.When{}, minutes(t, text))
		require.NoError(t, err, text)
		good, sealed := 0, 0
		for _, l := range o.Loads {
			if l.NotProcessed.Code == "" {
				good += l.Jars[0].Count
			} else {
				unprocessed++
			}
		}
		for _, j := range o.Jars {
			sealed += j.Sealed
		}
		stands := timeline.ShelfOf([]timeline.Outcome{o}).Full()["quart"]
		if len(o.Loads) == 0 {
			good = sealed
		}
		most := good
		if len(o.Loads) < 2 && unprocessedOf(o) == 0 {
			most = max(most, good+sealed) // what was sealed may be of a load of which nothing is noted
		}
		assert.LessOrEqual(t, stands, most, text)
	}
	assert.Greater(t, unprocessed, 50, "many were drawn")
}

func unprocessedOf(o timeline.Outcome) (n int) {
	for _, l := range o.Loads {
		if l.NotProcessed.Code != "" {
			n++
		}
	}
	return n
}

func TestYearsAreSumsOfWhatWasNoted(t *testing.T) {
	of := func(date string, notes, sealed, lost int, strained quantity.Volume) timeline.Outcome {
		o := timeline.Outcome{File: date, Notes: notes, Water: 14 * quantity.Quart, Strained: strained,
			Jars: []timeline.JarTally{{Jar: "quart", Sealed: sealed, Broken: lost}}}
		if date != "" {
			o.Date = at(t, date+" 12:00", time.UTC)
		}
		return o
	}
	all := []timeline.Outcome{of("", 1, 1, 0, 0), of("2026-02-01", 3, 7, 1, 12*quantity.Quart), of("2025-11-01", 2, 5, 2, 0),
		of("2026-11-28", 0, 0, 0, 0), of("2026-06-01", 4, 6, 0, 10*quantity.Quart)}
	timeline.Oldest(all)
	var order []string
	for _, o := range all {
		order = append(order, o.File)
	}
	assert.Equal(t, []string{"2025-11-01", "2026-02-01", "2026-06-01", "2026-11-28", ""}, order)
	assert.Equal(t, []timeline.Year{
		{Year: 2025, Runs: 1, Water: 14 * quantity.Quart, Sealed: 5, Lost: 2},
		{Year: 2026, Runs: 2, Water: 28 * quantity.Quart, Strained: 22 * quantity.Quart, Measured: 2, Sealed: 13, Lost: 1},
		{Year: 0, Runs: 1, Water: 14 * quantity.Quart, Sealed: 1},
	}, timeline.Years(all))
}

// Jars that stand full are taken off those owned, and both figures are said.
func TestFullJarsAreNotOnHand(t *testing.T) {
	setup := thirteen(t)
	b, err := stock.Plan(setup.WithFull(map[string]int{"quart": 12, "pint": 3}, 2))
	require.NoError(t, err)
	assert.Equal(t, []stock.JarCount{{Jar: "quart", Count: 7}}, b.JarCounts(), "an eighth would be a load of its own")
	assert.Equal(t, []remark.Note{remark.Of(remark.JarsFull, runfile.JarWish{Jar: "quart", Limit: 20}, 12, 8)},
		remark.Noted(b.Assumed, remark.JarsFull))
	assert.Equal(t, []any{2}, remark.Noted(b.Warnings, remark.RunsUnread)[0].Facts)
	whole, err := stock.Plan(setup)
	require.NoError(t, err)
	assert.Equal(t, []stock.JarCount{{Jar: "quart", Count: 13}}, whole.JarCounts(), "the setup it was asked of stays")
	assert.Empty(t, remark.Noted(whole.Assumed, remark.JarsFull))
}

func TestANoteIsReadWithItsOffset(t *testing.T) {
	denver := zone(t, "America/Denver")
	for text, want := range map[string]string{
		"2026-11-28 17:10":          "2026-11-29T00:10:00Z",
		"2026-11-28T17:10:30":       "2026-11-29T00:10:30Z",
		"2026-11-01T01:40:00-07:00": "2026-11-01T08:40:00Z",
		"2026-11-01 01:40-07:00":    "2026-11-01T08:40:00Z",
	} {
		got, err := timeline.ParseMoment(text, denver)
		require.NoError(t, err, text)
		assert.Equal(t, want, got.UTC().Format(time.RFC3339), text)
	}
	_, err := timeline.ParseMoment("2026-11-01 01:40", denver)
	assert.ErrorContains(t, err, "come twice that night")
	_, err = timeline.ParseMoment("at noon", denver)
	assert.ErrorContains(t, err, "cannot be read")
}

// What other runs go by is the same whether a run is planned for it or not: after each
// word there is alone, and after what is noted on the way of two loads.
func TestAPastRunIsWhatCameOfIt(t *testing.T) {
	setup := thirteen(t)
	records := [][]record.Entry{nil, minutes(t, both), minutes(t, both+", 1500 sealed 12, 1500 unsealed 1/2, 1600 used 3")}
	for i, what := range record.Words() {
		e := record.Entry{What: what, Volume: 9 * quantity.Quart, Weight: quantity.Pound, Step: "simmer", Span: time.Hour,
			At: at(t, "2026-11-29 10:00", time.UTC).Add(time.Duration(i) * time.Minute)}
		switch {
		case what == record.Filled:
			e.Load, e.Jars = 1, []record.JarCount{{Jar: "quart", Count: 6}}
		case what.OfLoad():
			e.Load = 1
		case what == record.Sealed, what == record.Unsealed, what == record.Broken, what == record.Used:
			e.Jars = []record.JarCount{{Jar: "quart", Count: 2}}
		}
		records = append(records, []record.Entry{e}, append(minutes(t, quartsHeld), e))
	}
	begun := record.Entry{What: record.Began, Step: "load-1", At: at(t, "2026-11-29 10:00", time.UTC)}
	records = append(records, []record.Entry{begun})
	quick := 0
	for _, entries := range records {
		whole, err := timeline.OutcomeOf(setup, timeline.When{}, entries)
		require.NoError(t, err)
		past, err := timeline.PastOf(setup, timeline.When{}, entries)
		require.NoError(t, err)
		shelf, wanted := timeline.ShelfOf([]timeline.Outcome{past}), timeline.ShelfOf([]timeline.Outcome{whole})
		assert.Equal(t, wanted.Total(), shelf.Total(), "%v", entries)
		assert.Len(t, shelf.Unsafe, len(wanted.Unsafe), "%v", entries)
		assert.Len(t, shelf.Frozen, len(wanted.Frozen), "%v", entries)
		assert.Len(t, shelf.Dried, len(wanted.Dried), "%v", entries)
		taught, learned := timeline.Teaches([]timeline.Outcome{past}), timeline.Teaches([]timeline.Outcome{whole})
		assert.Equal(t, learned.Told, taught.Told, "%v", entries)
		assert.Equal(t, learned.Pace(setup.Firing), taught.Pace(setup.Firing), "%v", entries)
		if past.Planned == 0 {
			quick++
		}
	}
	assert.Positive(t, quick)
	assert.Less(t, quick, len(records))
}
