package words_test

import (
	"encoding/csv"
	"errors"
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"
	"time"
	_ "time/tzdata"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/export/words"
	"brothrun/stock"
	"brothrun/stock/process"
	"brothrun/stock/quantity"
	"brothrun/stock/remark"
	"brothrun/stock/runfile"
	"brothrun/timeline"
)

var flags = words.Form{Flags: true}

func denver(t *testing.T) *time.Location {
	t.Helper()
	location, err := timeline.LoadZone("America/Denver")
	require.NoError(t, err)
	return location
}

func at(t *testing.T, text string) time.Time {
	t.Helper()
	instant, _, err := timeline.ParseLocal(text, denver(t))
	require.NoError(t, err)
	return instant
}

// demoBatch is the demo's, changed.
func demoBatch(t *testing.T, change func(*runfile.Kitchen, *runfile.Run)) stock.Batch {
	t.Helper()
	batch, err := stock.Plan(settled(t, change))
	require.NoError(t, err)
	return batch
}

func asItIs(*runfile.Kitchen, *runfile.Run) {}

// A cook with whole birds is told by which reading they are done (USDA safe minimum
// temperature of poultry, from memory), and until when the meat may be out: 2 h from the
// straining (testdata/published/holding_limits.csv).
func TestWholeBirdsAreDoneByAThermometerAndPickedInTime(t *testing.T) {
	whole := func(kind string, pounds quantity.Mass, count int) timeline.Plan {
		return placed(t, demoBatch(t, func(k *runfile.Kitchen, r *runfile.Run) {
			r.Kind, r.Bones, r.Vegetables, r.Simmer = kind, to(pounds*quantity.Pound), nil, nil
			r.Birds = runfile.Birds{Count: count, Bird: "bird"}
			k.Pots[0].Volume = to(30 * quantity.Quart)
		}))
	}
	warm := whole("whole-chicken", 9, 2)
	assert.Contains(t, words.Heading(warm.Batch), "2 whole chickens, 9 lb (4.1 kg) in all, at 3,200 ft")
	prepare, simmer, strain := steps(t, warm, "prepare")[0], steps(t, warm, "simmer")[0], steps(t, warm, "strain")[0]
	assert.Equal(t, "Get ready: 2 whole chickens, 9 lb (4.1 kg) in all, into the pot", words.Title(warm, prepare, flags))
	assert.Contains(t, detail(warm, simmer), "A thermometer decides, not the clock")
	assert.Contains(t, detail(warm, simmer), "165 °F (74 °C)")
	assert.True(t, strings.HasPrefix(words.Title(warm, strain, flags), "165 °F in the thigh? "))
	by := strain.End.Add(2 * time.Hour).Format("15:04")
	assert.Contains(t, detail(warm, strain), "They may be out until "+by)
	pick := steps(t, warm, "pick")[0]
	require.False(t, pick.Cold)
	assert.Equal(t, "Pick the meat off the bones, into the fridge by "+by, words.Title(warm, pick, flags))
	assert.Contains(t, detail(warm, pick), "thrown away")
	assert.Contains(t, detail(warm, pick), "3.2 lb (1.5 kg) of meat, 2.3 to 4.5 lb")
	assert.Contains(t, detail(warm, pick), "Eat it by Tue 1 Dec")

	cold := whole("whole-turkey", 18, 1)
	assert.Contains(t, words.Heading(cold.Batch), "1 whole turkey, 18 lb (8.2 kg), at")
	pick, strain = steps(t, cold, "pick")[0], steps(t, cold, "strain")[0]
	require.True(t, pick.Cold)
	by = strain.End.Add(2 * time.Hour).Format("15:04")
	assert.Contains(t, detail(cold, strain), "Into the fridge with them as soon as they stop steaming, by "+by)
	assert.Contains(t, detail(cold, pick), "Were the birds in the fridge by "+by)
}

// place puts a batch on a calendar, from Saturday morning on.
func place(t *testing.T, b stock.Batch, calendar timeline.Calendar) (timeline.Plan, error) {
	t.Helper()
	calendar.Location = denver(t)
	plans, err := timeline.ScheduleAll([]timeline.Run{{Batch: b, ID: "run", When: timeline.When{Start: at(t, "2026-11-28 08:00")}}}, calendar)
	if err != nil {
		return timeline.Plan{}, err
	}
	return plans[0], nil
}

func placed(t *testing.T, b stock.Batch) timeline.Plan {
	t.Helper()
	plan, err := place(t, b, timeline.Calendar{})
	require.NoError(t, err)
	return plan
}

// steps are those of a plan whose ID begins so; at least one.
func steps(t *testing.T, plan timeline.Plan, id string) (found []timeline.Step) {
	t.Helper()
	for _, s := range plan.Steps {
		if strings.HasPrefix(s.ID, id) {
			found = append(found, s)
		}
	}
	require.NotEmpty(t, found, id)
	return found
}

func detail(plan timeline.Plan, s timeline.Step) string {
	return strings.Join(words.Detail(plan, s, flags), " ")
}

// Whatever is cooked and whenever: the facts of every step, of what holds it, of its date
// and of what does not fit are those of their sentences.
func TestEveryPlanIsSaid(t *testing.T) {
	kinds, misses := map[string]bool{}, 0
	begin := at(t, "2026-11-28 08:00")
	out := func(from, hours int) []timeline.Booking {
		return []timeline.Booking{{From: begin.Add(time.Duration(from) * time.Hour), To: begin.Add(time.Duration(from+hours) * time.Hour), What: "out"}}
	}
	for _, kind := range []string{"turkey-frames", "fish", "beef"} {
		for _, route := range []string{"freeze-dry", "freezer", "fridge"} {
			for _, simmer := range []time.Duration{45 * time.Minute, 6 * time.Hour, 13 * time.Hour} {
				for _, jars := range []string{"quart,pint", "quart=14,pint=24,half-pint", "quart=0"} {
					b := demoBatch(t, func(k *runfile.Kitchen, r *runfile.Run) {
						r.Kind, r.Route, r.Simmer, r.Jars, k.Pots[0].Volume = kind, route, to(simmer), jars, to(30*quantity.Quart)
					})
					for _, calendar := range []timeline.Calendar{
						{}, {Busy: out(3, 8)}, {Busy: out(8, 50)}, {Busy: out(0, 24*400)}, {Bookings: out(0, 24*400)},
						{CannerHours: timeline.Hours{From: 10 * time.Hour, Until: 14 * time.Hour}}, {GaugeChecked: begin.AddDate(-2, 0, 0)},
					} {
						plan, err := place(t, b, calendar)
						var unfit *timeline.Unfit
						if errors.As(err, &unfit) {
							misses++
							said := words.Unfit(unfit, flags)
							ways := unfit.WaysOut(nil)
							assert.NotEmpty(t, ways)
							for _, way := range ways {
								said += words.WayOut(unfit, way, flags)
							}
							assert.NotContains(t, said, "%!")
							continue
						}
						require.NoError(t, err)
						for _, s := range plan.Steps {
							kinds[s.ID] = true
							assert.NotEqual(t, s.ID, words.Title(plan, s, flags))
							assert.NotEmpty(t, words.Why(s.Why, flags), s.ID)
							said := words.Title(plan, s, flags) + words.Why(s.Why, flags) + detail(plan, s)
							assert.NotContains(t, said, "%!", s.ID)
							assert.NotContains(t, said, "within 3 days", "%s says until which day", s.ID)
						}
						for _, u := range plan.UseBy {
							assert.NotEmpty(t, words.UseBy(plan.Batch, u, flags))
						}
						for _, note := range plan.Warnings {
							assert.NotContains(t, words.Note(note, flags), "%!")
						}
					}
				}
			}
		}
	}
	assert.Greater(t, len(kinds), 20)
	assert.Greater(t, misses, 20)
}

func TestWhatDoesNotFitIsSaid(t *testing.T) {
	asked := timeline.When{Start: at(t, "2026-11-28 17:00")}
	awake := timeline.DefaultAwake()
	late := &timeline.Unfit{Kind: timeline.EndsInTheNight, Asked: asked, Takes: 6*time.Hour + 35*time.Minute, At: at(t, "2026-11-28 23:35"), Hours: awake}
	long := &timeline.Unfit{Kind: timeline.DayTooShort, Asked: asked, Takes: 26*time.Hour + 35*time.Minute, Hours: awake}
	waits := &timeline.Unfit{Kind: timeline.WaitsTooLong, Asked: asked, Takes: 72 * time.Hour, Of: timeline.Part{Role: timeline.Reheat}}
	assert.Contains(t, words.Unfit(late, flags), "a start at Sat 17:00 does not fit")
	assert.Contains(t, words.Unfit(late, flags), "would end at Sat 23:35")
	assert.Regexp(t, "^the first day,.* takes 26 h 35 min", words.Unfit(long, flags))
	assert.Contains(t, words.Unfit(waits, flags), "the broth would wait longer than 3 days before the reheat")
	for want, way := range map[string]timeline.WayOut{
		"start by Sat 15:25":                         {Kind: timeline.StartBy, At: at(t, "2026-11-28 15:25")},
		"start at Sun 06:30 or later":                {Kind: timeline.StartFrom, At: at(t, "2026-11-29 06:30")},
		"start at Sun 6 Dec":                         {Kind: timeline.StartFrom, At: at(t, "2026-12-06 06:30")},
		"shorten the simmer to 2 h":                  {Kind: timeline.ShorterSimmer, Takes: 2 * time.Hour},
		"(--awake 06:30-23:35)":                      {Kind: timeline.UpUntil, Hours: timeline.Hours{From: awake.From, Until: 23*time.Hour + 35*time.Minute}},
		"be up until 23:35 (--awake":                 {Kind: timeline.UpUntil, Hours: timeline.Hours{From: awake.From, Until: 23*time.Hour + 35*time.Minute}},
		"in the fridge, 48 h before (--thaw fridge)": {Kind: timeline.ThawBefore, Takes: 48 * time.Hour},
		"(--route freezer)":                          {Kind: timeline.LeftoverFrozen},
		"(--unattended)":                             {Kind: timeline.LeaveAlone},
		"can 2 loads and freeze":                     {Kind: timeline.FewerLoads, Loads: 2, Jars: "quart=14"},
		"can 1 load and freeze the res":              {Kind: timeline.FewerLoads, Loads: 1, Jars: "quart=7"},
		"be at home Sat 09:00 to Sat 10:00": {Kind: timeline.BeAtHome, Span: timeline.Booking{
			From: at(t, "2026-11-28 09:00"), To: at(t, "2026-11-28 10:00")}},
	} {
		assert.Contains(t, words.WayOut(late, way, flags), want)
	}
}

// A time that would help is typed as it is told: by a flag, of several runs in its file,
// and not where the clock shows it twice.
func TestATimeThatHelpsIsTyped(t *testing.T) {
	start, by, between := timeline.When{Start: at(t, "2026-11-28 17:00")}, timeline.When{FinishBy: at(t, "2026-11-28 17:00")},
		timeline.When{From: at(t, "2026-11-28 17:00"), Until: at(t, "2026-11-29 17:00")}
	for _, row := range []struct {
		asked timeline.When
		name  string
		kind  timeline.WayOutKind
		at    string
		want  string
	}{
		{start, "", timeline.StartBy, "2026-11-27 18:09", `start by Fri 18:09 (--start "2026-11-27 18:09")`},
		{start, "", timeline.StartFrom, "2026-11-29 06:30", `start at Sun 06:30 or later (--start "2026-11-29 06:30")`},
		{start, "Beef", timeline.StartBy, "2026-11-27 18:09", `start by Fri 18:09 (start = "2026-11-27 18:09" in its file)`},
		{by, "", timeline.FinishByLater, "2026-11-29 14:05", `finish by Sun 14:05 instead (--finish-by "2026-11-29 14:05")`},
		{by, "Beef", timeline.FinishByLater, "2026-11-29 14:05", `finish by Sun 14:05 instead (finish_by = "2026-11-29 14:05" in its file)`},
		{between, "", timeline.StartBy, "2026-11-28 09:00", `start by Sat 09:00 (--between "2026-11-28 09:00")`},
		{between, "", timeline.FinishBy, "2026-11-30 09:00", `finish by Mon 09:00 (--and "2026-11-30 09:00")`},
		{start, "", timeline.StartBy, "2026-11-01 01:30", `start by Sun 1 Nov 01:30 MDT`},
	} {
		way := timeline.WayOut{Kind: row.kind, At: at(t, row.at)}
		assert.Equal(t, row.want, words.WayOut(&timeline.Unfit{Asked: row.asked, Name: row.name}, way, flags))
		assert.NotContains(t, words.WayOut(&timeline.Unfit{Asked: row.asked}, way, words.Form{}), "(", "on paper nobody types")
	}
}

func TestAnEarlierDayIsSaid(t *testing.T) {
	why := timeline.Why{Kind: timeline.Asleep, So: timeline.Part{Role: timeline.CleanUp}, Hours: timeline.DefaultAwake()}
	note := remark.Note{Code: timeline.EarlierDay, Facts: []any{at(t, "2026-11-28 20:00"), at(t, "2026-11-29 10:00"), why}}
	assert.Contains(t, words.Note(note, flags), "The run ends on Saturday, not by Sunday 10:00: so that wiping down fits: you are up 06:30-22:00")
	slack := remark.Note{Code: timeline.Slack, Facts: []any{at(t, "2026-11-28 20:00"), time.Hour}}
	assert.Contains(t, words.Note(slack, flags), "ahead of the deadline")
}

func TestARefusedChillIsSaidAtTheStraining(t *testing.T) {
	for _, code := range []string{remark.ChillTooSlow, remark.FridgeTooWarm} {
		b := stock.Batch{Refusals: []remark.Note{{Code: code, Case: "by the test"}}}
		strain := timeline.Step{Role: timeline.Strain}
		assert.Contains(t, words.Detail(timeline.Plan{Batch: b}, strain, flags), code+"/by the test", "the phone says why")
	}
}

func TestANarrowChillSaysSoOnThePhone(t *testing.T) {
	b := stock.Batch{Warnings: []remark.Note{{Code: remark.ChillNarrow, Facts: []any{"1 h"}}}}
	chill := timeline.Step{Role: timeline.Chill}
	assert.Contains(t, words.Detail(timeline.Plan{Batch: b}, chill, flags)[0], "only if all goes well (1 h)")
}

// The hours are those of testdata/published/holding_limits.csv: FDA Food Code 3-501.14(A).
func TestTheChillNamesThePublishedLimits(t *testing.T) {
	file, err := os.Open("../../testdata/published/holding_limits.csv")
	require.NoError(t, err)
	defer file.Close()
	reader := csv.NewReader(file)
	reader.Comment = '#'
	rows, err := reader.ReadAll()
	require.NoError(t, err)
	plan := placed(t, demoBatch(t, asItIs))
	found := 0
	for _, row := range rows {
		if limit, is := strings.CutPrefix(row[0], "135 F to "); is {
			found++
			says := fmt.Sprintf("%s °F within %s h", strings.TrimSuffix(limit, " F"), row[2])
			assert.Contains(t, strings.Join(strings.Fields(words.Title(plan, steps(t, plan, "chill")[0], words.Form{})), " "), says)
		}
	}
	assert.Equal(t, 2, found)
}

func TestACannerThatMayBoilDrySaysSoInTheStep(t *testing.T) {
	for _, near := range []bool{false, true} {
		b := demoBatch(t, asItIs)
		b.Warnings = slices.DeleteFunc(b.Warnings, func(n remark.Note) bool { return n.Code == remark.NearDryCode })
		if near {
			b.Warnings = append(b.Warnings, remark.Note{Code: remark.NearDryCode})
		}
		plan := placed(t, b)
		text := detail(plan, steps(t, plan, "load-")[0])
		assert.Equal(t, near, strings.Contains(text, "Turn the burner down once the steam is steady"))
	}
}

// A weight jiggles or rocks as designed, and where there is a lock in the lid, wait
// for it to drop: Michigan State University Extension 01600949. A nudge of the weight
// that lets out no steam: from memory.
func TestALoadSaysHowAGaugeWithoutADialShows(t *testing.T) {
	const rocks, zero = "rocks or jiggles as its maker says", "nudge of the weight lets out no steam"
	for _, row := range []struct {
		gauge process.Gauge
		other *stock.OtherGauge
		want  bool
	}{{process.Weighted, nil, true}, {process.Dial, nil, false}, {process.Weighted, &stock.OtherGauge{Gauge: process.Dial, Pressure: 12 * quantity.PSI}, true}} {
		b := demoBatch(t, asItIs)
		b.OtherGauge, b.Warnings = row.other, nil
		for i := range b.Loads {
			b.Loads[i].Gauge = row.gauge
		}
		plan := placed(t, b)
		loads := steps(t, plan, "load-")
		require.Len(t, loads, 2)
		for _, load := range loads {
			text := detail(plan, load)
			assert.Equal(t, row.want, strings.Contains(text, rocks), "%s, %s", load.ID, row.gauge)
			assert.Equal(t, row.want, strings.Contains(text, zero), "%s, %s", load.ID, row.gauge)
			assert.NotContains(t, text, "enclosed porch")
		}
	}
	b := demoBatch(t, asItIs)
	b.Warnings = []remark.Note{{Code: remark.OutdoorBurnerCode}}
	outdoors := placed(t, b)
	assert.Contains(t, detail(outdoors, steps(t, outdoors, "load-2")[0]), "enclosed porch")
}

func TestNothingIsSaidOfCanningWhenItIsRefused(t *testing.T) {
	plan := placed(t, demoBatch(t, func(_ *runfile.Kitchen, r *runfile.Run) { r.Kind, r.Route = "fish", "freezer" }))
	for _, s := range plan.Steps {
		text := strings.ToLower(words.Title(plan, s, flags) + detail(plan, s))
		for _, word := range []string{"psi", "load ", "headspace", "gauge"} {
			assert.NotContains(t, text, word, s.ID)
		}
	}
	assert.Contains(t, words.Title(plan, steps(t, plan, "leftover")[0], flags), "freezer")
}

func TestASimmerLeftAloneSaysSo(t *testing.T) {
	for _, kind := range []timeline.Kind{timeline.Watch, timeline.Waiting} {
		simmer := timeline.Step{Role: timeline.Simmer, Kind: kind}
		assert.Equal(t, kind == timeline.Waiting, strings.Contains(detail(timeline.Plan{}, simmer), "nobody beside it"))
	}
}

func TestALongSimmerStandsInEachLoad(t *testing.T) {
	for _, long := range []bool{false, true} {
		b := demoBatch(t, asItIs)
		b.Warnings = []remark.Note{{Code: remark.NoJars}}
		if long {
			b.Warnings = append(b.Warnings, remark.Note{Code: process.LongSimmer, Case: "by the test"})
		}
		plan := placed(t, b)
		for _, load := range steps(t, plan, "load-") {
			assert.Equal(t, long, slices.Contains(words.Detail(plan, load, flags), "long-simmer/by the test"))
		}
	}
}

// The 3 days of the fridge (USDA chart, the short end) count from straining: a step that
// comes later says until which day.
func TestStepsAfterStrainingSayTheDay(t *testing.T) {
	plan := placed(t, demoBatch(t, func(_ *runfile.Kitchen, r *runfile.Run) { r.Route, r.Jars = "fridge", "quart=7" }))
	for _, id := range []string{"fridge", "leftover", "seal-check"} {
		assert.Contains(t, detail(plan, steps(t, plan, id)[0]), " by Tue 1 Dec", id)
	}
	again := timeline.Step{Role: timeline.BackInFridge, Session: 2, UseBy: at(t, "2026-12-01 12:00")}
	assert.Contains(t, detail(plan, again), " by Tue 1 Dec")
}

// 10 min and 1 min for each 1,000 ft: 14 min at the demo's 3,200 ft (reposted extension
// texts, second hand).
func TestCannedBrothMayBeBoiledBeforeItIsEaten(t *testing.T) {
	plan := placed(t, demoBatch(t, asItIs))
	canned := 0
	for _, u := range plan.UseBy {
		if u.What == stock.Canned {
			canned++
		}
		assert.Equal(t, u.What == stock.Canned, strings.Contains(words.UseBy(plan.Batch, u, words.Form{}), "boil it 14 min before eating"), u.What)
	}
	assert.Equal(t, 1, canned)
}

func TestTheFreezerHoldSaysUntilWhen(t *testing.T) {
	plan := timeline.Plan{Steps: []timeline.Step{{Role: timeline.DryLoad, Start: at(t, "2026-12-05 18:00"), DryerBatch: 1}}}
	plan.Batch.Leftover = stock.Leftover{Trays: 1, Batches: 1}
	plan.Batch.Leftover.Drying.Frozen = quantity.Litre
	held := timeline.Step{Role: timeline.PreFreeze}
	assert.Contains(t, words.Detail(plan, held, flags), "Freezer space for 1 tray, 1.1 qt (1 l) of ice, until Sat 5 Dec 18:00.")

	plan.Batch.Leftover.Trays, plan.Batch.Leftover.Batches = 4, 2
	plan.Steps = append(plan.Steps, timeline.Step{Role: timeline.DryLoad, Start: at(t, "2026-12-06 11:00"), DryerBatch: 2})
	assert.Contains(t, words.Detail(plan, held, flags),
		"Freezer space for 2 batches of up to 4 trays, 1.1 qt (1 l) of ice: batch 1 until Sat 5 Dec 18:00, batch 2 until Sun 6 Dec 11:00.")
}

func TestDryingTimesAreSaidToBeARange(t *testing.T) {
	assert.Contains(t, words.Detail(timeline.Plan{}, timeline.Step{Role: timeline.Dry}, flags)[0], "no data for broth")
}

// A dial gauge is checked every year before use (USDA Complete Guide, Guide 1; PNW 421).
func TestALoadByAnUncheckedGaugeSaysSo(t *testing.T) {
	note := remark.Note{Code: timeline.GaugeCheckDue, Facts: []any{at(t, "2025-11-28 12:00"), 1}}
	load := timeline.Step{Role: timeline.Load, Loads: []stock.Load{{Number: 1}}, Notes: []remark.Note{note}}
	assert.Contains(t, detail(timeline.Plan{}, load), "have it checked first")
}

// An unsealed jar may be canned again within 24 h (USDA Complete Guide, Guide 1, in
// extension reprints).
func TestACheckOfTheSealsIsSaid(t *testing.T) {
	save, eat := at(t, "2026-11-30 11:31"), at(t, "2026-12-01 12:00")
	of := func(from, until int) (loads []stock.Load) {
		for n := from; n <= until; n++ {
			loads = append(loads, stock.Load{Number: n})
		}
		return loads
	}
	check := func(id string, loads []stock.Load, seals timeline.Seals, eatBy time.Time) timeline.Step {
		return timeline.Step{ID: id, Role: timeline.SealCheck, Session: 1, Loads: loads, Seals: seals, UseBy: eatBy}
	}
	all := timeline.Seals{SaveBy: save}
	look := timeline.Seals{SaveBy: save, LookOnly: true}
	for _, row := range []struct {
		step  timeline.Step
		other []timeline.Step
		title string
		says  string
	}{
		{check("seal-check", of(1, 1), all, eat), nil, "Check the seals, rings off, label the jars",
			"A jar that did not seal: by Mon 11:31, 24 h after the canner, can it again with a new lid, reheated, for the full time, freeze it with 1.5 in (3.8 cm) of room, or put it into the fridge and eat it by Tue 1 Dec. Found later: throw it away untasted."},
		{check("seal-check", of(1, 1), all, time.Time{}), nil, "Check the seals, rings off, label the jars", "freeze it with 1.5 in (3.8 cm) of room. Found later"},
		{check("seal-check", of(1, 1), look, eat), nil, "Check the seals; labels can wait", "by Mon 11:31, 24 h after the canner, can it again"},
		{check("seal-check", of(1, 1), timeline.Seals{}, time.Time{}), nil, "Late check of the seals: throw away any jar not sealed",
			"It is more than 24 h after the canner: a jar that did not seal is thrown away untasted."},
		{check("seal-check", of(1, 1), look, eat), []timeline.Step{check("seal-check-load-2", of(2, 2), all, eat)}, "Check the seals of load 1; labels can wait", ""},
		{check("seal-check-load-2", of(2, 2), all, eat), []timeline.Step{check("seal-check", of(1, 1), look, eat)}, "Check the seals of load 2, rings off, label the jars", ""},
		{check("seal-check", of(1, 6), all, eat), []timeline.Step{check("seal-check-load-7", of(7, 7), all, eat)}, "Check the seals of loads 1 to 6, rings off, label the jars", ""},
	} {
		plan := timeline.Plan{Steps: append([]timeline.Step{row.step}, row.other...)}
		assert.Equal(t, row.title, words.Title(plan, row.step, flags))
		text := detail(plan, row.step)
		assert.Contains(t, text, row.says)
		if row.step.Seals.SaveBy.IsZero() {
			assert.NotContains(t, text, "can it again")
			assert.NotContains(t, text, "fridge")
		}
	}
	late := remark.Note{Code: timeline.LateSealCheck, Facts: []any{[]stock.Load(nil), at(t, "2026-12-01 18:00"), at(t, "2026-11-29 23:31"), save}}
	assert.Contains(t, words.Note(late, flags),
		"The seals can only be checked on Tue 1 Dec 18:00, more than 24 h after the canner: a jar that did not seal is then thrown away untasted. Can anybody look from Sun 29 Nov 23:31 to Mon 30 Nov 11:31?")
}
