package timeline_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"
	_ "time/tzdata"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/stock"
	"brothrun/stock/canner"
	"brothrun/stock/chill"
	"brothrun/stock/quantity"
	"brothrun/stock/remark"
	"brothrun/timeline"
)

func zone(t testing.TB, name string) *time.Location {
	t.Helper()
	location, err := timeline.LoadZone(name)
	require.NoError(t, err)
	return location
}

func at(t testing.TB, text string, location *time.Location) time.Time {
	t.Helper()
	instant, _, err := timeline.ParseLocal(text, location)
	require.NoError(t, err)
	return instant
}

func span(low, likely, high time.Duration) quantity.Band[time.Duration] {
	return quantity.Band[time.Duration]{Low: low, Likely: likely, High: high}
}

// batch is two loads of quarts and a cup for the freeze dryer, to vary.
func batch(change ...func(*stock.Batch)) stock.Batch {
	load := func(number, jars int) stock.Load {
		return stock.Load{
			Number: number, Process: 25 * time.Minute, Pressure: 15 * quantity.PSI, Gauge: "weighted",
			Layers: []stock.Layer{{Rack: 1, Jars: []stock.JarCount{{Jar: "quart", Count: jars}}}},
			Cycle: canner.Phases{
				HeatUp: span(12*time.Minute, 13*time.Minute, 15*time.Minute), Vent: quantity.Exactly(10 * time.Minute),
				Pressurise: span(3*time.Minute, 4*time.Minute, 5*time.Minute), Process: quantity.Exactly(25 * time.Minute),
				Depressurise: quantity.Exactly(45 * time.Minute), Wait: quantity.Exactly(10 * time.Minute),
			},
		}
	}
	b := stock.Batch{
		Name: "Harvest supper", Kind: "turkey-frames", What: "turkey frames", Weight: 9 * quantity.Pound,
		Altitude: 3200 * quantity.Foot, Gauge: "weighted", Simmer: 4 * time.Hour, ShortestSimmer: 30 * time.Minute,
		HeatUp: span(40*time.Minute, time.Hour, 90*time.Minute), Reheat: span(30*time.Minute, 45*time.Minute, time.Hour),
		Jars:  []stock.JarsToFill{{JarCount: stock.JarCount{Jar: "quart", Count: 13}, Mouth: "regular", Low: 11, High: 14, Wash: 15}},
		Loads: []stock.Load{load(1, 7), load(2, 6)},
		Chill: stock.Chill{Method: "ice-bath-stirred", To70F: chill.Reach{After: 12 * time.Minute}, To41F: chill.Reach{After: 30 * time.Minute},
			HandsOn: span(25*time.Minute, 35*time.Minute, 50*time.Minute), Passes: true, Ice: 13 * quantity.Kilogram},
		Leftover: stock.Leftover{Volume: quantity.Band[quantity.Volume]{Likely: quantity.Cup}, Route: "freeze-dry", Trays: 1, Batches: 1,
			PreFreeze: 24 * time.Hour, Hours: span(14*time.Hour, 16*time.Hour, 46*time.Hour)},
	}
	for _, f := range change {
		f(&b)
	}
	return b
}

func refused(b *stock.Batch) {
	b.Loads, b.Jars = nil, nil
	b.Refusals = []remark.Note{{Code: "no-tested-process"}}
	b.Leftover.Route, b.Leftover.Batches = "freezer", 0
}

// weekend is one run and the calendar it has to fit.
type weekend struct {
	Location        *time.Location
	Start, FinishBy time.Time
	From, Until     time.Time
	Awake           timeline.Hours
	Bookings, Busy  []timeline.Booking
	Unattended      bool
	CannerHours     timeline.Hours
}

func (w weekend) place(b stock.Batch) (timeline.Plan, error) {
	return alone(
		timeline.Run{Batch: b, ID: "harvest-supper", Unattended: w.Unattended,
			When: timeline.When{Start: w.Start, FinishBy: w.FinishBy, From: w.From, Until: w.Until}},
		timeline.Calendar{Location: w.Location, Awake: w.Awake, Bookings: w.Bookings, Busy: w.Busy, CannerHours: w.CannerHours})
}

// alone puts one run on a calendar.
func alone(run timeline.Run, calendar timeline.Calendar) (timeline.Plan, error) {
	plans, err := timeline.ScheduleAll([]timeline.Run{run}, calendar)
	if err != nil {
		return timeline.Plan{}, err
	}
	return plans[0], nil
}

func schedule(t testing.TB, b stock.Batch, w weekend) timeline.Plan {
	t.Helper()
	plan, err := w.place(b)
	require.NoError(t, err)
	return plan
}

func step(t testing.TB, plan timeline.Plan, id string) timeline.Step {
	t.Helper()
	i := slices.IndexFunc(plan.Steps, func(s timeline.Step) bool { return s.ID == id })
	require.GreaterOrEqual(t, i, 0, "no step %s", id)
	return plan.Steps[i]
}

// wayOut is the first way out of a kind that a run which fits nowhere has, by its time
// alone; of no kind when there is none.
func wayOut(unfit *timeline.Unfit, kind timeline.WayOutKind) timeline.WayOut {
	for _, way := range unfit.WaysOut(nil) {
		if way.Kind == kind {
			return way
		}
	}
	return timeline.WayOut{}
}

// waitsTooLong asserts that a run fits nowhere for the 3 days of cold broth before a step.
func waitsTooLong(t testing.TB, err error, before timeline.Role) {
	t.Helper()
	var unfit *timeline.Unfit
	require.ErrorAs(t, err, &unfit)
	assert.Equal(t, timeline.WaitsTooLong, unfit.Kind)
	assert.Equal(t, 72*time.Hour, unfit.Takes)
	assert.Equal(t, before, unfit.Of.Role)
}

func TestTheDemoWeekend(t *testing.T) {
	denver := zone(t, "America/Denver")
	plan := schedule(t, batch(), weekend{
		Location: denver, Start: at(t, "2026-11-28 08:00", denver),
		Bookings: []timeline.Booking{{From: at(t, "2026-11-27 12:00", denver), To: at(t, "2026-11-30 18:00", denver)}},
	})
	for _, row := range []struct{ id, start, end string }{
		{"prepare", "Sat 08:00", "Sat 08:30"},
		{"heat-up", "Sat 08:30", "Sat 09:30"},
		{"simmer", "Sat 09:30", "Sat 13:30"},
		{"strain", "Sat 13:30", "Sat 14:00"},
		{"chill", "Sat 14:00", "Sat 14:35"},
		{"fridge", "Sat 14:35", "Sun 08:00"},
		{"skim", "Sun 08:00", "Sun 08:20"},
		// What is not canned is kept back cold, before the reheat.
		{"leftover", "Sun 08:20", "Sun 08:35"},
		{"reheat", "Sun 08:35", "Sun 09:20"},
		{"jars", "Sun 08:35", "Sun 09:05"},
		{"fill-1", "Sun 09:20", "Sun 09:34"},
		{"load-1", "Sun 09:34", "Sun 11:21"},
		{"unload-1", "Sun 11:21", "Sun 11:31"},
		{"fill-2", "Sun 11:31", "Sun 11:44"},
		{"load-2", "Sun 11:44", "Sun 13:31"},
		{"unload-2", "Sun 13:31", "Sun 13:41"},
		{"clean-up", "Sun 13:41", "Sun 14:01"},
		// 12 h after the last jar came out is 01:41; the cook is up at 06:30.
		{"seal-check", "Mon 06:30", "Mon 06:50"},
		// Frozen by Monday morning, but the dryer is booked until 18:00.
		{"dry-load-1", "Mon 18:00", "Mon 18:10"},
		{"dry-1", "Mon 18:10", "Tue 10:10"},
		{"dry-check-1", "Tue 10:10", "Tue 10:30"},
	} {
		s := step(t, plan, row.id)
		assert.Equal(t, row.start, s.Start.Format("Mon 15:04"), "%s starts", row.id)
		assert.Equal(t, row.end, s.End.Format("Mon 15:04"), "%s ends", row.id)
	}
}

// Rules that hold for every plan, whatever the weekend.
func rules(t *testing.T, plan timeline.Plan, awake timeline.Hours) {
	t.Helper()
	ids := map[string]bool{}
	for i, s := range plan.Steps {
		assert.False(t, ids[s.ID], "%s twice", s.ID)
		ids[s.ID] = true
		assert.True(t, s.End.After(s.Start), "%s takes time", s.ID)
		assert.NotZero(t, s.Role, "%s has words by it", s.ID)
		if i > 0 {
			assert.False(t, s.Start.Before(plan.Steps[i-1].Start), "%s is out of order", s.ID)
		}
		if s.Kind == timeline.Waiting {
			assert.NotContains(t, s.Needs, timeline.Cook, "%s waits, it needs no cook", s.ID)
			continue
		}
		midnight := time.Date(s.Start.Year(), s.Start.Month(), s.Start.Day(), 0, 0, 0, 0, s.Start.Location())
		clock := func(x time.Time) time.Duration {
			h, m, sec := x.Clock()
			return time.Duration(h)*time.Hour + time.Duration(m)*time.Minute + time.Duration(sec)*time.Second
		}
		assert.GreaterOrEqual(t, clock(s.Start), awake.From, "%s begins at %s, before %s", s.ID, s.Start, awake)
		assert.True(t, s.End.Before(midnight.Add(25*time.Hour)))
		assert.LessOrEqual(t, clock(s.End), awake.Until, "%s ends at %s, after %s", s.ID, s.End, awake)
	}
	// One cook: no two hands-on steps at once. One canner: no two loads at once.
	for i, a := range plan.Steps {
		for _, b := range plan.Steps[i+1:] {
			together := a.Start.Before(b.End) && b.Start.Before(a.End)
			if a.Kind == timeline.HandsOn && b.Kind == timeline.HandsOn {
				assert.False(t, together, "%s and %s both need hands at %s", a.ID, b.ID, b.Start)
			}
			if slices.Contains(a.Needs, timeline.Canner) && slices.Contains(b.Needs, timeline.Canner) {
				assert.False(t, together, "%s and %s both need the canner", a.ID, b.ID)
			}
		}
	}
	strain, chill := step(t, plan, "strain"), step(t, plan, "chill")
	assert.Equal(t, strain.End, chill.Start, "chilling starts as soon as it is strained")
	fridge := step(t, plan, "fridge")
	assert.Equal(t, chill.End, fridge.Start)
	// 3 to 4 days for broth in the fridge: USDA chart, food holding times.
	assert.LessOrEqual(t, fridge.End.Sub(fridge.Start), 72*time.Hour)
	if ids["load-1"] {
		reheat, fill, load := step(t, plan, "reheat"), step(t, plan, "fill-1"), step(t, plan, "load-1")
		assert.False(t, fill.Start.Before(reheat.End), "filled at a full boil")
		assert.Equal(t, fill.End, load.Start, "loaded as soon as it is filled")
		seal := step(t, plan, "seal-check")
		var last time.Time
		for _, s := range plan.Steps {
			if strings.HasPrefix(s.ID, "unload-") {
				last = s.End
			}
		}
		// Jars rest 12 to 24 h: extension reprints of the USDA guide.
		assert.GreaterOrEqual(t, seal.Start.Sub(last), 12*time.Hour)
		assert.LessOrEqual(t, seal.Start.Sub(last), 24*time.Hour)
	}
}

func TestRulesHoldAroundTheYearAndTheClock(t *testing.T) {
	for _, name := range []string{"America/Denver", "Europe/Berlin", "Australia/Sydney", "Australia/Lord_Howe", "Asia/Kathmandu", "UTC"} {
		location := zone(t, name)
		for _, day := range []string{
			"2026-03-07", "2026-03-28", "2026-04-04", "2026-10-03", "2026-10-24", "2026-10-31", "2026-11-28", "2028-12-30",
		} {
			for _, awake := range []string{"06:30-22:00", "05:00-24:00"} {
				window, err := timeline.ParseAwake(awake)
				require.NoError(t, err)
				for _, b := range []stock.Batch{batch(), batch(refused), batch(func(b *stock.Batch) { b.Simmer = 45 * time.Minute })} {
					rules(t, schedule(t, b, weekend{Location: location, Awake: window, Start: at(t, day+" 09:00", location)}), window)
					deadline := at(t, day+" 20:00", location).AddDate(0, 0, 2)
					plan := schedule(t, b, weekend{Location: location, Awake: window, FinishBy: deadline})
					rules(t, plan, window)
					assert.False(t, step(t, plan, "clean-up").End.After(deadline), "done by the deadline")
				}
			}
		}
	}
}

// Elapsed time is elapsed time: over the night of the change back to winter
// time the simmer still takes its hours, and the fridge holds an hour more than
// the clock shows.
func TestElapsedTimeOverAClockChange(t *testing.T) {
	berlin := zone(t, "Europe/Berlin")
	plan := schedule(t, batch(), weekend{Location: berlin, Start: at(t, "2026-10-24 08:00", berlin)})
	simmer, fridge := step(t, plan, "simmer"), step(t, plan, "fridge")
	assert.Equal(t, 4*time.Hour, simmer.End.Sub(simmer.Start))
	assert.Equal(t, "Sat 14:35 CEST", fridge.Start.Format("Mon 15:04 MST"))
	assert.Equal(t, "Sun 08:00 CET", fridge.End.Format("Mon 15:04 MST"))
	assert.Equal(t, 18*time.Hour+25*time.Minute, fridge.End.Sub(fridge.Start))
}

func TestBackFromADeadlineUsesTheHighSpans(t *testing.T) {
	denver := zone(t, "America/Denver")
	deadline := at(t, "2026-11-29 18:00", denver)
	plan := schedule(t, batch(), weekend{Location: denver, FinishBy: deadline})
	done := step(t, plan, "clean-up").End
	assert.False(t, done.After(deadline))
	assert.Greater(t, deadline.Sub(done), 30*time.Minute, "slack for steps that run long")
	assert.Equal(t, "Sat", step(t, plan, "prepare").Start.Format("Mon"))
}

func TestAwakeAllDayHasNoEdge(t *testing.T) {
	denver := zone(t, "America/Denver")
	always, err := timeline.ParseAwake("00:00-24:00")
	require.NoError(t, err)
	plan := schedule(t, batch(), weekend{Location: denver, Awake: always, Start: at(t, "2026-11-28 22:00", denver)})
	assert.Equal(t, "Sun 04:35", step(t, plan, "chill").End.Format("Mon 15:04"))
	assert.Equal(t, "Sun 12:35", step(t, plan, "skim").Start.Format("Mon 15:04"), "8 h for the fat to set")
	long := schedule(t, batch(func(b *stock.Batch) { b.Simmer = 24 * time.Hour }), weekend{Location: denver, Awake: always, Start: at(t, "2026-11-28 08:00", denver)})
	assert.Equal(t, 24*time.Hour, step(t, long, "simmer").End.Sub(step(t, long, "simmer").Start))
	back := schedule(t, batch(), weekend{Location: denver, Awake: always, FinishBy: at(t, "2026-11-29 20:00", denver)})
	assert.False(t, step(t, back, "clean-up").End.After(at(t, "2026-11-29 20:00", denver)))
}

func TestAnEveningCook(t *testing.T) {
	denver := zone(t, "America/Denver")
	evening, err := timeline.ParseAwake("14:00-04:00")
	require.NoError(t, err)
	short := batch(func(b *stock.Batch) { b.Simmer = 45 * time.Minute })
	plan := schedule(t, short, weekend{Location: denver, Awake: evening, Start: at(t, "2026-11-29 00:00", denver)})
	assert.Equal(t, "Sun 14:00", step(t, plan, "skim").Start.Format("Mon 15:04"), "the next time the cook is up, not a day later")
}

func TestALateStartStillMeansAMorning(t *testing.T) {
	denver := zone(t, "America/Denver")
	plan := schedule(t, batch(), weekend{Location: denver, Start: at(t, "2026-11-28 13:00", denver)})
	assert.Equal(t, "Sun 10:00", step(t, plan, "skim").Start.Format("Mon 15:04"))
}

func TestADeadlineThatNeedsAnEarlierDaySaysSo(t *testing.T) {
	denver := zone(t, "America/Denver")
	noon := schedule(t, batch(), weekend{Location: denver, FinishBy: at(t, "2026-11-29 10:00", denver)})
	require.NotEmpty(t, noon.Warnings)
	assert.Equal(t, timeline.EarlierDay, noon.Warnings[0].Code)
	facts := noon.Warnings[0].Facts
	assert.Equal(t, "Sat, Sun 10:00", facts[0].(time.Time).Format("Mon")+", "+facts[1].(time.Time).Format("Mon 15:04"))
	later := facts[2].(time.Time)
	assert.Equal(t, "Fri", step(t, noon, "prepare").Start.Format("Mon"))
	for by, day := range map[time.Time]string{later: "Sat", later.Add(-5 * time.Minute): "Fri"} {
		plan := schedule(t, batch(), weekend{Location: denver, FinishBy: by})
		assert.Equal(t, day, step(t, plan, "prepare").Start.Format("Mon"), "done by %s", by)
	}
	away := []timeline.Booking{{From: at(t, "2026-11-28 23:00", denver), To: at(t, "2026-12-03 10:00", denver)}}
	out := schedule(t, batch(), weekend{Location: denver, FinishBy: at(t, "2026-12-01 18:00", denver), Busy: away})
	assert.Equal(t, timeline.EarlierDay, out.Warnings[0].Code)
	assert.IsType(t, timeline.Why{}, out.Warnings[0].Facts[2], "no deadline of the next day is enough")
	evening := schedule(t, batch(), weekend{Location: denver, FinishBy: at(t, "2026-11-29 20:00", denver)})
	assert.Equal(t, timeline.Slack, evening.Warnings[0].Code)
}

func TestRemindersDoNotWakeAnybody(t *testing.T) {
	denver := zone(t, "America/Denver")
	plan := schedule(t, batch(), weekend{Location: denver, Start: at(t, "2026-11-28 06:30", denver)})
	for _, s := range plan.Steps {
		if s.Kind != timeline.Waiting {
			rings := s.Start.Add(-s.Remind)
			assert.GreaterOrEqual(t, rings.Format("15:04"), "06:30", s.ID)
		}
	}
	assert.Equal(t, 20*time.Minute, step(t, plan, "strain").Remind)
}

func TestASplashIsNoAppointment(t *testing.T) {
	denver := zone(t, "America/Denver")
	plan := schedule(t, batch(func(b *stock.Batch) {
		b.Leftover = stock.Leftover{Volume: quantity.Band[quantity.Volume]{Likely: 10 * quantity.Millilitre}, Route: "fridge", Splash: true}
	}), weekend{Location: denver, Start: at(t, "2026-11-28 08:00", denver)})
	for _, s := range plan.Steps {
		assert.NotEqual(t, "leftover", s.ID)
	}
}

func TestARefusedChillEndsAtTheStraining(t *testing.T) {
	denver := zone(t, "America/Denver")
	for _, code := range []string{remark.ChillTooSlow, remark.FridgeTooWarm} {
		plan := schedule(t, batch(func(b *stock.Batch) {
			b.Refusals = []remark.Note{{Code: code, Case: "by the test"}}
			b.Loads, b.Jars, b.Leftover = nil, nil, stock.Leftover{}
		}), weekend{Location: denver, Start: at(t, "2026-11-28 08:00", denver)})
		var ids []string
		for _, s := range plan.Steps {
			ids = append(ids, s.ID)
		}
		assert.Equal(t, []string{"prepare", "heat-up", "simmer", "strain"}, ids)
		assert.Empty(t, plan.UseBy)
	}
}

func TestNothingIsCannedWhenRefused(t *testing.T) {
	denver := zone(t, "America/Denver")
	plan := schedule(t, batch(refused), weekend{Location: denver, Start: at(t, "2026-11-28 08:00", denver)})
	for _, s := range plan.Steps {
		assert.NotContains(t, s.Needs, timeline.Canner, s.ID)
		assert.Empty(t, s.Loads, s.ID)
		assert.NotContains(t, []timeline.Role{timeline.WashJars, timeline.Fill, timeline.Load, timeline.Unload, timeline.Rest, timeline.SealCheck}, s.Role, s.ID)
	}
	assert.Equal(t, timeline.Pack, step(t, plan, "leftover").Role)
}

func TestUnfitSaysWhichConstraintToRelax(t *testing.T) {
	denver := zone(t, "America/Denver")
	for _, row := range []struct {
		name     string
		batch    stock.Batch
		start    string
		finishBy string
		kind     timeline.UnfitKind
		takes    time.Duration // the first day, preparing to the end of the attended chill
		at       string        // when that would be over
		relax    []timeline.WayOutKind
		how      string // the last of these
	}{
		{"a late start", batch(), "2026-11-28 17:00", "", timeline.EndsInTheNight, 6*time.Hour + 35*time.Minute, "Sat 23:35",
			[]timeline.WayOutKind{timeline.StartBy, timeline.StartFrom}, "Sun 06:30"},
		{"a late start, begun earlier", batch(), "2026-11-28 17:00", "", timeline.EndsInTheNight, 6*time.Hour + 35*time.Minute, "Sat 23:35",
			[]timeline.WayOutKind{timeline.StartBy}, "Sat 15:25"},
		{"before waking", batch(), "2026-11-28 04:00", "", timeline.EndsInTheNight, 6*time.Hour + 35*time.Minute, "Sat 10:35",
			[]timeline.WayOutKind{timeline.StartFrom}, "Sat 06:30"},
		{"a day's simmer", batch(func(b *stock.Batch) { b.Simmer = 24 * time.Hour }), "2026-11-28 08:00", "", timeline.DayTooShort, 26*time.Hour + 35*time.Minute, "",
			[]timeline.WayOutKind{timeline.ShorterSimmer}, ""},
		{"an evening's simmer", batch(func(b *stock.Batch) { b.Simmer = 13 * time.Hour }), "2026-11-28 08:00", "", timeline.DayTooShort, 15*time.Hour + 35*time.Minute, "",
			[]timeline.WayOutKind{timeline.UpUntil}, "06:30-23:35"},
		{"a day's simmer, backwards", batch(func(b *stock.Batch) { b.Simmer = 24 * time.Hour }), "", "2026-11-30 20:00", timeline.DayTooShort, 26*time.Hour + 35*time.Minute, "",
			[]timeline.WayOutKind{timeline.ShorterSimmer}, ""},
	} {
		calendar := weekend{Location: denver}
		if row.start != "" {
			calendar.Start = at(t, row.start, denver)
		} else {
			calendar.FinishBy = at(t, row.finishBy, denver)
		}
		_, err := calendar.place(row.batch)
		var unfit *timeline.Unfit
		require.ErrorAs(t, err, &unfit, row.name)
		assert.Equal(t, row.kind, unfit.Kind, row.name)
		assert.Equal(t, row.takes, unfit.Takes, row.name)
		assert.Zero(t, unfit.From, "%s: it is the first day", row.name)
		if row.at != "" {
			assert.Equal(t, row.at, unfit.At.Format("Mon 15:04"), row.name)
		}
		var found []timeline.WayOutKind
		for _, way := range unfit.WaysOut(nil) {
			found = append(found, way.Kind)
		}
		assert.Subset(t, found, row.relax, row.name)
		switch way := wayOut(unfit, row.relax[len(row.relax)-1]); way.Kind {
		case timeline.UpUntil:
			assert.Equal(t, row.how, way.Hours.String(), row.name)
		case timeline.ShorterSimmer:
			assert.Less(t, way.Takes, row.batch.Simmer, row.name)
		default:
			assert.Equal(t, row.how, way.At.Format("Mon 15:04"), row.name)
		}
	}
}

// Where there is no fat to firm, broth is packed once it is cold: 30 min after the
// straining here, while somebody is still at the chill for 35; otherwise 8 h later.
func TestBrothWithoutAFatCapIsPackedOnceItIsCold(t *testing.T) {
	denver := zone(t, "America/Denver")
	w := weekend{Location: denver, Start: at(t, "2026-11-28 08:00", denver)}
	capped := schedule(t, batch(refused), w)
	plain := schedule(t, batch(refused, func(b *stock.Batch) { b.NoFatCap = true }), w)
	assert.Equal(t, step(t, capped, "skim").End, step(t, capped, "leftover").Start)
	for _, s := range plain.Steps {
		assert.NotEqual(t, timeline.Skim, s.Role)
		assert.True(t, s.End.After(s.Start), s.ID)
	}
	chill, pack := step(t, plain, "chill"), step(t, plain, "leftover")
	assert.Equal(t, 30*time.Minute, pack.Start.Sub(chill.End))
	assert.Equal(t, chill.End, step(t, plain, "fridge").Start)
	assert.Equal(t, pack.Start, step(t, plain, "fridge").End)
	canned := schedule(t, batch(func(b *stock.Batch) { b.NoFatCap = true }), w)
	step(t, canned, "skim") // a rim has to be clean
}

// asked is a leftover that the cook wants dried, however long it waits.
func asked(b *stock.Batch) { b.Leftover.Asked = true }

// A dryer that nobody asked for never stretches a run: the limit of a week is own choice,
// counted from when the trays are frozen, Mon 30 Nov.
func TestABusyDryerIsNotWaitedForUnasked(t *testing.T) {
	denver := zone(t, "America/Denver")
	start := at(t, "2026-11-28 08:00", denver)
	for _, row := range []struct {
		until  string
		change func(*stock.Batch)
		dried  bool
	}{
		{"2026-12-06 12:00", func(*stock.Batch) {}, true},
		{"2026-12-08 12:00", func(*stock.Batch) {}, false},
		{"2026-12-08 12:00", asked, true},
		{"2027-11-28 08:00", func(*stock.Batch) {}, false},
	} {
		plan := schedule(t, batch(row.change), weekend{Location: denver, Start: start,
			Bookings: []timeline.Booking{{From: start, To: at(t, row.until, denver)}}})
		rules(t, plan, timeline.DefaultAwake())
		drying := slices.ContainsFunc(plan.Steps, func(s timeline.Step) bool { return s.Role == timeline.Dry })
		assert.Equal(t, row.dried, drying, row.until)
		assert.Equal(t, !row.dried, plan.Batch.Leftover.Flat, row.until)
		told := slices.ContainsFunc(plan.Warnings, func(n remark.Note) bool { return n.Code == timeline.DryerTakenLong })
		assert.Equal(t, !row.dried, told, row.until)
		frozen := slices.ContainsFunc(plan.UseBy, func(u timeline.UseBy) bool { return u.What == stock.Frozen })
		assert.Equal(t, !row.dried, frozen, row.until)
	}
}

func TestAFullyBookedDryerIsUnfit(t *testing.T) {
	denver := zone(t, "America/Denver")
	start := at(t, "2026-11-28 08:00", denver)
	_, err := weekend{Location: denver, Start: start,
		Bookings: []timeline.Booking{{From: start, To: start.AddDate(1, 0, 0)}}}.place(batch(asked))
	var unfit *timeline.Unfit
	require.ErrorAs(t, err, &unfit)
	assert.Equal(t, timeline.DryerTaken, unfit.Kind)
	assert.NotZero(t, wayOut(unfit, timeline.LeftoverFrozen))
}

func TestSeveralDryerBatchesFollowOneAnother(t *testing.T) {
	denver := zone(t, "America/Denver")
	plan := schedule(t, batch(func(b *stock.Batch) { b.Leftover.Batches = 3 }), weekend{Location: denver, Start: at(t, "2026-11-28 08:00", denver)})
	rules(t, plan, timeline.DefaultAwake())
	assert.False(t, step(t, plan, "dry-load-2").Start.Before(step(t, plan, "dry-check-1").End))
	assert.False(t, step(t, plan, "dry-load-3").Start.Before(step(t, plan, "dry-check-2").End))
}

func TestStartXorFinish(t *testing.T) {
	_, err := weekend{Location: time.UTC}.place(batch())
	assert.Error(t, err)
	_, err = weekend{Location: time.UTC, Start: time.Unix(0, 0), FinishBy: time.Unix(1, 0)}.place(batch())
	assert.Error(t, err)
}

// A clock change at midnight leaves a day without a 0:00: Santiago on 6 September
// and Havana on 8 March 2026 (IANA time zone database).
func TestDaysWithoutAMidnight(t *testing.T) {
	for _, row := range []struct{ zone, date, start string }{
		{"America/Santiago", "2026-09-06", "01:00"},
		{"America/Havana", "2026-03-08", "01:00"},
		{"America/Santiago", "2026-09-07", "00:00"},
		{"Pacific/Apia", "2011-12-30", "00:00"}, // left out: the 31st
	} {
		location := zone(t, row.zone)
		date, err := time.Parse(time.DateOnly, row.date)
		require.NoError(t, err)
		start := timeline.DayStart(date.Year(), date.Month(), date.Day(), location)
		assert.Equal(t, row.start, start.Format("15:04"), row.zone)
		assert.NotEqual(t, start.Day(), start.Add(-time.Second).Day(), "the first instant of its day")
	}
	santiago := zone(t, "America/Santiago")
	always, err := timeline.ParseAwake("00:00-24:00")
	require.NoError(t, err)
	plan := schedule(t, batch(), weekend{Location: santiago, Awake: always, From: at(t, "2026-09-05 18:00", santiago), Until: at(t, "2026-09-10 18:00", santiago)})
	assert.Equal(t, "Sun 01:00", step(t, plan, "prepare").Start.Format("Mon 15:04"), "canned on the day it began: no night")
}

// Two people with two burners and two pots cook two runs side by side; with one
// pot they take turns, and the pot is not free before its last filling.
func TestTwoRunsShareWhatThereIs(t *testing.T) {
	denver := zone(t, "America/Denver")
	start := at(t, "2026-11-28 08:00", denver)
	run := func(id, pot string, when timeline.When) timeline.Run {
		return timeline.Run{Batch: batch(), ID: id, Pot: pot, When: when}
	}
	both := timeline.When{Start: start}
	span := timeline.When{From: start, Until: start.AddDate(0, 0, 9)}
	calendar := timeline.Calendar{Location: denver, Cooks: 2, Burners: 2}

	first := batch()
	_, err := timeline.ScheduleAll([]timeline.Run{run("a", "big", both), run("b", "small", span)}, calendar)
	require.NoError(t, err)
	plans, err := timeline.ScheduleAll([]timeline.Run{
		{Batch: first, ID: "a", Pot: "big", When: both},
		{Batch: batch(func(b *stock.Batch) { b.Loads = nil; b.Leftover.Batches = 0 }), ID: "b", Pot: "small", When: both},
	}, calendar)
	require.NoError(t, err, "two cooks, two burners, two pots")
	assert.Equal(t, step(t, plans[0], "strain").Start, step(t, plans[1], "strain").Start)

	plans, err = timeline.ScheduleAll([]timeline.Run{run("a", "big", span), run("b", "big", span)}, timeline.Calendar{Location: denver, Cooks: 9, Burners: 9})
	require.NoError(t, err)
	assert.False(t, step(t, plans[1], "prepare").Start.Before(step(t, plans[0], "fill-2").End), "the broth is kept hot in the pot until the last jar")

	// A run whose start the cook fixed does not fail for what follows another.
	runs := []timeline.Run{run("a", "1", both)}
	for week := 1; week <= 3; week++ {
		runs = append(runs, run(fmt.Sprint("w", week), "2", timeline.When{Start: start.AddDate(0, 0, 7*week)}))
	}
	fixed := run("b", "3", timeline.When{Start: at(t, "2026-11-30 06:30", denver)})
	_, err = timeline.ScheduleAll(append(runs, fixed), timeline.Calendar{Location: denver})
	require.NoError(t, err)
	_, err = timeline.ScheduleAll([]timeline.Run{run("a", "1", both), run("a", "2", both)}, calendar)
	require.ErrorContains(t, err, `two runs have the id "a"`)
}

func TestADryerChainKeepsTheDay(t *testing.T) {
	denver := zone(t, "America/Denver")
	plan := schedule(t, batch(func(b *stock.Batch) { b.Leftover.Batches = 40 }), weekend{Location: denver, Start: at(t, "2026-11-28 08:00", denver)})
	rules(t, plan, timeline.DefaultAwake())
}

// A load with another to come takes two places of the stove: the canner's, and one
// for the broth that is kept hot for the next jars (common practice, no source).
func TestACannerAndTheBrothForItsNextLoadFillTheStove(t *testing.T) {
	denver := zone(t, "America/Denver")
	canned := timeline.Run{Batch: batch(), ID: "canned", Pot: "big", When: timeline.When{Start: at(t, "2026-11-28 08:00", denver)}}
	// On the stove only while the first load is in the canner, and nothing else is on it.
	quick := func(b *stock.Batch) {
		b.HeatUp, b.Simmer = quantity.Exactly(15*time.Minute), 15*time.Minute
	}
	simmered := timeline.Run{Batch: batch(refused, quick), ID: "simmered", Pot: "small", When: timeline.When{Start: at(t, "2026-11-29 09:50", denver)}}
	for _, runs := range [][]timeline.Run{{canned, simmered}, {simmered, canned}} {
		for burners, together := range map[int]bool{2: false, 3: true} {
			plans, err := timeline.ScheduleAll(runs, timeline.Calendar{Location: denver, Cooks: 2, Burners: burners})
			require.NoError(t, err)
			i := slices.IndexFunc(runs, func(r timeline.Run) bool { return r.ID == canned.ID })
			load, simmer := step(t, plans[i], "load-1"), step(t, plans[1-i], "simmer")
			assert.Equal(t, together, overlap(long(load), long(simmer)), "%d places, %s first", burners, runs[0].ID)
		}
	}
}

// What has to be cold by the deadline has to be so even where the day before ran long.
func TestBackFromADeadlineTheBrothIsColdThoughTheFirstDayRanLong(t *testing.T) {
	denver := zone(t, "America/Denver")
	always, err := timeline.ParseAwake("00:00-24:00")
	require.NoError(t, err)
	plan := schedule(t, batch(), weekend{Location: denver, Awake: always, FinishBy: at(t, "2026-11-29 20:00", denver)})
	chilled, skim := long(step(t, plan, "chill")).To, step(t, plan, "skim").Start
	assert.GreaterOrEqual(t, skim.Sub(chilled), 8*time.Hour, "the fat sets in 8 h (common practice, no source)")
	assert.Less(t, skim.Sub(chilled), 8*time.Hour+time.Minute, "and no earlier than it must")
}

// An unsealed jar may be canned again within 24 h (USDA Complete Guide, Guide 1, in
// extension reprints): a look at the seals waits for a load in the canner to be done
// with, but not beyond that.
func TestADueSealCheckIsMadeBesideALoad(t *testing.T) {
	denver := zone(t, "America/Denver")
	late, err := timeline.ParseAwake("10:00-23:00")
	require.NoError(t, err)
	when := func(start string) timeline.When { return timeline.When{Start: at(t, start, denver)} }
	for _, row := range []struct {
		loads  int
		beside bool
	}{{1, false}, {2, true}} {
		plans, err := timeline.ScheduleAll([]timeline.Run{
			{Batch: batch(), ID: "first", Pot: "big", When: when("2026-11-28 10:00")},
			{Batch: batch(func(b *stock.Batch) { b.Simmer, b.Loads = time.Hour, b.Loads[:row.loads] }), ID: "other", Pot: "small", When: when("2026-11-29 16:30")},
		}, timeline.Calendar{Location: denver, Awake: late})
		require.NoError(t, err)
		check := step(t, plans[0], "seal-check")
		assert.Less(t, check.Start.Sub(step(t, plans[0], "unload-1").End), 24*time.Hour, "%d loads", row.loads)
		beside := false
		for n := range row.loads {
			beside = beside || overlap(long(step(t, plans[1], fmt.Sprint("load-", n+1))), long(check))
		}
		assert.Equal(t, row.beside, beside, "%d loads", row.loads)
	}
}

// A pot that may boil dry is watched, whoever says that it may be left, and nobody
// is told to leave it.
func TestAPotThatMayBoilDryIsWatched(t *testing.T) {
	denver := zone(t, "America/Denver")
	day := weekend{Location: denver, Start: at(t, "2026-11-28 08:00", denver), Unattended: true}
	for _, dry := range []bool{false, true} {
		plan := schedule(t, batch(func(b *stock.Batch) { b.NeedsWatching, b.TopUp = dry, true }), day)
		simmer := step(t, plan, "simmer")
		assert.Equal(t, dry, simmer.Kind == timeline.Watch)
		assert.Equal(t, dry, slices.Contains(simmer.Needs, timeline.Cook))
		assert.Equal(t, !dry, simmer.Kind == timeline.Waiting, "then it says so")
		assert.Equal(t, !dry, slices.ContainsFunc(plan.Warnings, func(n remark.Note) bool { return n.Code == "unattended-top-up" }))

		night := weekend{Location: denver, Start: at(t, "2026-11-28 18:00", denver)}
		_, err := night.place(batch(func(b *stock.Batch) { b.NeedsWatching, b.Simmer = dry, 12*time.Hour }))
		var unfit *timeline.Unfit
		require.ErrorAs(t, err, &unfit)
		assert.Equal(t, !dry, wayOut(unfit, timeline.LeaveAlone).Kind != 0)
	}
}

// Two fifths of the water has to be left, at the low end, where nobody watches the pot
// (common practice, no source).
func TestAPotLeftAloneKeepsTwoFifthsOfItsWater(t *testing.T) {
	denver := zone(t, "America/Denver")
	for _, row := range []struct {
		low, likely quantity.Volume // of 10 qt
		alone, told bool
	}{
		{4.1, 6, true, false},
		{3.9, 6, true, true}, // the likely end does not save it
		{3.9, 6, false, false},
	} {
		plan := schedule(t, batch(func(b *stock.Batch) {
			b.Yield.Water = 10 * quantity.Quart
			b.Yield.Least, b.Yield.Strained = row.low*quantity.Quart, quantity.Band[quantity.Volume]{Low: row.likely * quantity.Quart, Likely: row.likely * quantity.Quart, High: 7 * quantity.Quart}
		}), weekend{Location: denver, Start: at(t, "2026-11-28 08:00", denver), Unattended: row.alone})
		assert.Equal(t, row.told, slices.Contains(codes(plan), "unattended-dry"), "%.1f qt, alone %t", float64(row.low), row.alone)
	}
}

// What a run in another calendar does with the canner: the loads of this one keep out of it,
// somebody who is beside it may still work, as within one calendar, and what follows the run
// does not call them away.
func TestTheCannerOfAnotherCalendar(t *testing.T) {
	denver := zone(t, "America/Denver")
	place := func(canning ...timeline.Booking) timeline.Plan {
		plan, err := alone(timeline.Run{Batch: batch(), ID: "harvest-supper",
			When: timeline.When{Start: at(t, "2026-11-28 08:00", denver)}}, timeline.Calendar{Location: denver, Canning: canning})
		require.NoError(t, err)
		return plan
	}
	free := place()
	around := func(s timeline.Step) timeline.Booking {
		return timeline.Booking{From: s.Start.Add(-time.Minute), To: s.End.Add(30 * time.Minute), What: "Load 1"}
	}
	touches := func(s timeline.Step, b timeline.Booking) bool { return s.Start.Before(b.To) && b.From.Before(s.End) }

	theirs := around(step(t, free, "load-1"))
	plan := place(theirs)
	for _, s := range plan.Steps {
		if slices.Contains(s.Needs, timeline.Canner) {
			assert.False(t, touches(s, theirs), s.ID)
		}
	}
	skim := step(t, free, "skim")
	assert.Equal(t, skim.Start, step(t, place(around(skim)), "skim").Start, "beside a load one may work")

	check := step(t, free, "seal-check")
	theirs = around(check)
	assert.False(t, touches(step(t, place(theirs), "seal-check"), theirs))
}
