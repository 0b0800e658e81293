package timeline_test

import (
	"errors"
	"flag"
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"brothrun/stock"
	"brothrun/stock/quantity"
	"brothrun/stock/thaw"
	"brothrun/timeline"
)

// The same cases every time: a property that fails once fails always.
func TestMain(m *testing.M) {
	for name, value := range map[string]string{"rapid.seed": "20261128", "rapid.nofailfile": "true"} {
		if err := flag.Set(name, value); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(2)
		}
	}
	os.Exit(m.Run())
}

// check tries a property on so many cases.
func check(t *testing.T, cases int, property func(*rapid.T)) {
	require.NoError(t, flag.Set("rapid.checks", fmt.Sprint(cases)))
	rapid.Check(t, property)
}

// week is one to three runs, a kitchen and a week for them.
type week struct {
	runs     []timeline.Run
	calendar timeline.Calendar
}

func (w week) place() ([]timeline.Plan, error) { return timeline.ScheduleAll(w.runs, w.calendar) }

// The Saturdays before and after the clock changes of 2026 and plain ones; a leap
// day and a year's end.
var saturdays = []string{"2026-03-07", "2026-03-28", "2026-09-05", "2026-04-04", "2026-10-03", "2026-10-24", "2026-10-31", "2026-11-28", "2028-02-26", "2028-12-30"}

func drawWeek(t *rapid.T) week {
	name := rapid.SampledFrom([]string{"America/Denver", "Europe/Berlin", "Australia/Sydney", "Australia/Lord_Howe", "America/Santiago", "America/Havana", "Asia/Kathmandu", "UTC"}).Draw(t, "zone")
	location, err := timeline.LoadZone(name)
	require.NoError(t, err)
	saturday, _, err := timeline.ParseLocal(rapid.SampledFrom(saturdays).Draw(t, "saturday")+" 12:00", location)
	require.NoError(t, err)
	hour := func(label string, from, until int) time.Duration {
		return time.Duration(rapid.IntRange(from*4, until*4).Draw(t, label)) * 15 * time.Minute
	}
	w := week{calendar: timeline.Calendar{
		Location: location,
		Awake:    timeline.Hours{From: hour("from", 4, 10), Until: hour("until", 18, 24)},
		Cooks:    rapid.IntRange(0, 2).Draw(t, "cooks"),
		Burners:  rapid.IntRange(0, 3).Draw(t, "burners"),
	}}
	switch rapid.IntRange(0, 7).Draw(t, "whose day") {
	case 0:
		w.calendar.Awake = timeline.Hours{From: hour("from", 10, 16), Until: hour("until", 1, 5)}
	case 1:
		w.calendar.Awake = timeline.Hours{From: 0, Until: 24 * time.Hour}
	}
	if rapid.IntRange(0, 3).Draw(t, "outdoors") == 0 {
		w.calendar.CannerHours = timeline.Hours{From: hour("canner from", 6, 9), Until: hour("canner until", 17, 21)}
	}
	bookings := func(label string, most int) (all []timeline.Booking) {
		for range rapid.IntRange(0, most).Draw(t, label) {
			from := saturday.Add(time.Duration(rapid.IntRange(-3*24*4, 5*24*4).Draw(t, "at")) * 15 * time.Minute)
			all = append(all, timeline.Booking{From: from, To: from.Add(hour("for", 0, 10) + 15*time.Minute), What: label})
		}
		return all
	}
	w.calendar.Busy = bookings("busy", 8)
	w.calendar.Bookings = bookings("dryer", 3)
	minutes := func(label string, from, until int) quantity.Band[time.Duration] {
		low := rapid.IntRange(from, until).Draw(t, label)
		return span(time.Duration(low)*time.Minute, time.Duration(low*5/4)*time.Minute, time.Duration(low*2)*time.Minute)
	}
	for i := range rapid.IntRange(1, 3).Draw(t, "runs") {
		b := batch(func(b *stock.Batch) {
			b.HeatUp, b.Reheat = minutes("heat-up", 15, 80), minutes("reheat", 15, 60)
			b.Simmer = time.Duration(rapid.IntRange(6, 16*12).Draw(t, "simmer")) * 5 * time.Minute
			b.Chill.HandsOn = minutes("chill", 5, 60)
			loads := rapid.IntRange(0, 5).Draw(t, "loads")
			for len(b.Loads) < loads {
				b.Loads = append(b.Loads, b.Loads[0])
			}
			b.Loads = b.Loads[:loads]
			for n := range b.Loads {
				b.Loads[n].Number = n + 1
			}
			b.Leftover.Batches = rapid.IntRange(0, 2).Draw(t, "batches")
			if rapid.IntRange(0, 2).Draw(t, "whole birds") == 0 {
				b.Chill.Watched = rapid.IntRange(0, 3).Draw(t, "chill watched") == 0
				kilograms := quantity.Mass(rapid.IntRange(1, 25).Draw(t, "meat"))
				b.Meat = quantity.Band[quantity.Mass]{Low: kilograms / 2, Likely: kilograms, High: kilograms * 2}
			}
			b.Thaw.Method = rapid.SampledFrom([]thaw.Method{"", "", thaw.None, thaw.Pot, thaw.Fridge, thaw.ColdWater}).Draw(t, "thaw")
			b.Thaw.Package = quantity.Mass(rapid.IntRange(1, 24).Draw(t, "package")) * quantity.Pound
			b.Thaw.Takes = thaw.Takes(b.Thaw.Method, b.Thaw.Package)
			if loads == 0 {
				refused(b)
			}
		})
		run := timeline.Run{Batch: b, ID: fmt.Sprintf("run-%d", i), Pot: rapid.SampledFrom([]string{"big", "small"}).Draw(t, "pot"),
			Unattended: rapid.IntRange(0, 4).Draw(t, "unattended") == 0}
		begin := saturday.Add(time.Duration(rapid.IntRange(-24, 24).Draw(t, "begin")) * time.Hour)
		switch rapid.IntRange(0, 2).Draw(t, "when") {
		case 0:
			run.When.Start = begin
		case 1:
			run.When.FinishBy = begin.AddDate(0, 0, 2)
		default:
			run.When.From, run.When.Until = begin, begin.AddDate(0, 0, rapid.IntRange(1, 6).Draw(t, "days"))
		}
		w.runs = append(w.runs, run)
	}
	return w
}

func TestRulesHoldInAnyKitchenAndWeek(t *testing.T) {
	placed := 0
	check(t, 500, func(t *rapid.T) {
		w := drawWeek(t)
		plans, err := w.place()
		var unfit *timeline.Unfit
		if errors.As(err, &unfit) {
			assert.NotZero(t, unfit.Kind)
			assert.NotEmpty(t, unfit.WaysOut(nil))
			return
		}
		require.NoError(t, err)
		placed++
		for i, plan := range plans {
			keepsItsRules(t, w, w.runs[i], plan)
			for _, other := range plans[i+1:] {
				keepApart(t, w, w.runs[i], plan, other, w.runs[slices.IndexFunc(w.runs, func(r timeline.Run) bool { return r.ID == other.RunID })])
			}
		}
	})
	assert.Greater(t, placed, 100, "most weeks have a place, or nothing was tried")
}

func overlap(a, b timeline.Booking) bool { return a.From.Before(b.To) && b.From.Before(a.To) }

// long is the span of a step if it and all before it run long.
func long(s timeline.Step) timeline.Booking {
	return timeline.Booking{From: s.Start, To: s.Latest.Add(s.Span.High)}
}

// main reports whether a step belongs to the run itself, not to what follows it.
func main(s timeline.Step) bool {
	for _, after := range []string{"fridge", "seal-check", "jars-rest", "pre-freeze", "dry-"} {
		if strings.HasPrefix(s.ID, after) {
			return false
		}
	}
	return true
}

// thawsAsPublished returns the first step. Sources: testdata/published/thawing.csv: a day in the
// fridge for each 4 lb at the slow side, and 1 to 2 days that what thawed keeps; 30 min a
// pound in cold water, and cooked at once.
func thawsAsPublished(t *rapid.T, w week, run timeline.Run, plan timeline.Plan, steps map[string]timeline.Step) timeline.Step {
	b, first := run.Batch.Thaw, steps["prepare"]
	pounds := b.Package.Pounds()
	step, inWater := steps["thaw"]
	assert.Equal(t, b.Method == thaw.ColdWater, inWater)
	if inWater {
		first = step
		assert.GreaterOrEqual(t, step.End.Sub(step.Start).Minutes(), 30*pounds)
		assert.Equal(t, step.End, steps["prepare"].Start, "what thawed in water is cooked at once")
		assert.Equal(t, timeline.Watch, step.Kind, "somebody changes the water")
	}
	into, inFridge := checkOf(plan, timeline.IntoFridge)
	assert.Equal(t, b.Method == thaw.Fridge, inFridge)
	if inFridge {
		took := steps["prepare"].Start.Sub(into.At)
		assert.GreaterOrEqual(t, took, max(24*time.Hour, time.Duration(pounds/4*24*float64(time.Hour))).Truncate(time.Minute))
		soft := max(24*time.Hour, time.Duration(pounds/5*24*float64(time.Hour)))
		assert.LessOrEqual(t, took-soft, 48*time.Hour+16*time.Hour, "thawed it keeps 1 to 2 days, and a night before that is the cook's")
		assert.False(t, into.Quiet || into.AllDay, "somebody is up then")
		assert.True(t, upAllOf(w.calendar, timeline.Step{Start: into.At, End: into.At}), "%s", into.At)
	}
	return first
}

func keepsItsRules(t *rapid.T, w week, run timeline.Run, plan timeline.Plan) {
	steps := map[string]timeline.Step{}
	for _, s := range plan.Steps {
		require.NotContains(t, steps, s.ID)
		steps[s.ID] = s
		assert.True(t, s.End.After(s.Start), "%s takes time", s.ID)
		assert.NotEqual(t, timeline.NotHeld, s.Why.Kind, s.ID)
		assert.NotZero(t, s.Role, s.ID)
		if rings := s.Start.Add(-s.Remind); s.Remind > 0 && upAllOf(w.calendar, timeline.Step{Start: s.Start, End: s.Start}) {
			assert.True(t, upAllOf(w.calendar, timeline.Step{Start: rings, End: rings}), "%s wakes somebody at %s", s.ID, rings)
		}
		assert.False(t, s.Start.Before(s.Earliest) || s.Latest.Before(s.Start), s.ID)
		if s.Kind == timeline.Waiting {
			assert.NotContains(t, s.Needs, timeline.Cook)
			continue
		}
		assert.True(t, upAllOf(w.calendar, s), "%s from %s to %s, awake %s", s.ID, s.Start, s.End, w.calendar.Awake)
		for _, b := range w.calendar.Busy {
			assert.False(t, overlap(timeline.Booking{From: s.Start, To: s.End}, b), "%s while out", s.ID)
			if main(s) {
				assert.False(t, overlap(long(s), b), "%s runs into %s", s.ID, b.From)
			}
		}
		if w.calendar.CannerHours != (timeline.Hours{}) && slices.Contains(s.Needs, timeline.Outdoors) {
			hours := timeline.Calendar{Awake: w.calendar.CannerHours, Location: w.calendar.Location}
			assert.True(t, upAllOf(hours, s), "%s outside the canner's hours", s.ID)
		}
	}
	for _, b := range w.calendar.Bookings {
		for _, s := range plan.Steps {
			if strings.HasPrefix(s.ID, "dry-") && !strings.HasPrefix(s.ID, "dry-check") {
				assert.False(t, overlap(timeline.Booking{From: s.Start, To: s.End}, b), "%s in a booked dryer", s.ID)
			}
		}
	}
	follows := func(after, before string) {
		assert.Equal(t, steps[before].End, steps[after].Start, "%s follows %s", after, before)
	}
	first := thawsAsPublished(t, w, run, plan, steps)
	follows("heat-up", "prepare")
	follows("simmer", "heat-up")
	follows("strain", "simmer")
	follows("chill", "strain")
	// Elapsed time is elapsed time, whatever the clock does.
	assert.Equal(t, run.Batch.Simmer, steps["simmer"].End.Sub(steps["simmer"].Start))
	picksInTime(t, run, steps)
	wait := steps["skim"].Start.Sub(steps["chill"].End)
	assert.GreaterOrEqual(t, wait, 8*time.Hour, "common practice, no source: the fat needs 8 h")
	assert.LessOrEqual(t, steps["skim"].Start.Sub(steps["strain"].End), 72*time.Hour, "USDA chart: broth keeps 3 days in the fridge")
	last := ""
	for n := range run.Batch.Loads {
		fill, load, unload := fmt.Sprintf("fill-%d", n+1), fmt.Sprintf("load-%d", n+1), fmt.Sprintf("unload-%d", n+1)
		follows(load, fill)
		follows(unload, load)
		var reheat timeline.Step
		for id, s := range steps {
			if strings.HasPrefix(id, "reheat") && !s.End.After(steps[fill].Start) && s.End.After(reheat.End) {
				reheat = s
			}
		}
		require.NotEmpty(t, reheat.ID, "%s at a boil", fill)
		assert.LessOrEqual(t, reheat.Start.Sub(steps["strain"].End), 72*time.Hour)
		if last != "" && !reheat.Start.After(steps[last].End) {
			follows(fill, last)
		}
		last = unload
		// Jars rest 12 to 24 h, and an unsealed one is saved within 24 h: extension
		// reprints of the USDA guide, Nebraska Extension (holding_limits.csv).
		checked := slices.ContainsFunc(plan.Steps, func(s timeline.Step) bool {
			rest := s.Start.Sub(steps[unload].End)
			return strings.HasPrefix(s.ID, "seal-check") && rest >= 12*time.Hour && rest <= 24*time.Hour
		})
		assert.True(t, checked || slices.Contains(codes(plan), "late-seal-check"), "the seals of %s", load)
	}
	end := steps["clean-up"]
	for n := 2; n <= plan.Sessions; n++ {
		end = steps[fmt.Sprintf("clean-up-%d", n)]
	}
	require.NotEmpty(t, end.ID)
	switch when := run.When; {
	case !when.Start.IsZero():
		assert.True(t, when.Start.Equal(first.Start))
	case !when.FinishBy.IsZero():
		assert.False(t, long(end).To.After(when.FinishBy), "done by %s even if all runs long", when.FinishBy)
	default:
		assert.False(t, first.Start.Before(when.From))
		assert.False(t, long(end).To.After(when.Until))
	}
	// One cook's hands do one thing at a time, one canner holds one load.
	for i, a := range plan.Steps {
		for _, b := range plan.Steps[i+1:] {
			if a.Kind == timeline.HandsOn && b.Kind == timeline.HandsOn && w.calendar.Cooks < 2 {
				assert.False(t, overlap(timeline.Booking{From: a.Start, To: a.End}, timeline.Booking{From: b.Start, To: b.End}), "%s and %s", a.ID, b.ID)
			}
			// Nobody is called away from a canner under pressure, but for seals that are due.
			if strings.HasPrefix(a.ID, "load-") && !main(b) && !strings.HasPrefix(b.ID, "seal-check") && b.Kind == timeline.HandsOn && w.calendar.Cooks < 2 {
				assert.False(t, overlap(long(a), timeline.Booking{From: b.Start, To: b.End}), "%s while %s", b.ID, a.ID)
			}
		}
	}
}

// picksInTime checks the picking of whole birds: out of the fridge for 2 h at most even if
// it runs long, and cold for no longer than cooked poultry keeps (holding_limits.csv).
func picksInTime(t *rapid.T, run timeline.Run, steps map[string]timeline.Step) {
	pick, picked := steps["pick"]
	require.Equal(t, run.Batch.Meat.Likely > 0, picked)
	if !picked {
		return
	}
	chill, strain := steps["chill"], steps["strain"]
	assert.Equal(t, timeline.HandsOn, pick.Kind)
	assert.Contains(t, pick.Needs, timeline.Cook)
	assert.False(t, pick.End.After(steps["skim"].Start), "one cook's hands")
	assert.LessOrEqual(t, pick.Start.Sub(strain.End), 72*time.Hour, "cooked poultry keeps 3 days")
	assert.Equal(t, lastDayAt(strain.End, 3), pick.UseBy.Format(time.DateOnly))
	if chill.Kind == timeline.HandsOn {
		assert.False(t, pick.Start.Before(chill.End), "hands are full while it chills")
	}
	if !pick.Cold {
		assert.LessOrEqual(t, pick.Start.Add(pick.Span.High).Sub(strain.End), 2*time.Hour, "out of the fridge, were it to run long")
	}
}

// lastDayAt is the date so many days after an instant.
func lastDayAt(from time.Time, days int) string {
	return from.AddDate(0, 0, days).Format(time.DateOnly)
}

// upAllOf reports whether a step lies in the day's hours, by the clock on the wall.
func upAllOf(c timeline.Calendar, s timeline.Step) bool {
	for back := 0; back <= 1; back++ {
		year, month, day := s.Start.Date()
		face := func(d time.Duration) time.Time {
			return time.Date(year, month, day-back, int(d.Hours()), int(d.Minutes())%60, 0, 0, c.Location)
		}
		from, until := face(c.Awake.From), face(c.Awake.Until)
		if c.Awake.Until-c.Awake.From == 24*time.Hour {
			return true
		}
		if c.Awake.Until <= c.Awake.From {
			until = face(c.Awake.Until + 24*time.Hour)
		}
		if !s.Start.Before(from) && !s.End.After(until) {
			return true
		}
	}
	return false
}

// keepApart checks what two runs share.
func keepApart(t *rapid.T, w week, run timeline.Run, plan, other timeline.Plan, otherRun timeline.Run) {
	for _, a := range plan.Steps {
		for _, b := range other.Steps {
			if !main(a) || !main(b) {
				continue
			}
			together := overlap(long(a), long(b))
			if a.Kind == timeline.HandsOn && b.Kind == timeline.HandsOn && w.calendar.Cooks < 2 {
				assert.False(t, together, "%s of %s and %s of %s both take the cook's hands", a.ID, plan.RunID, b.ID, other.RunID)
			}
			if slices.Contains(a.Needs, timeline.Canner) && slices.Contains(b.Needs, timeline.Canner) {
				assert.False(t, together, "%s of %s and %s of %s both take the canner", a.ID, plan.RunID, b.ID, other.RunID)
			}
			if w.calendar.Burners == 1 && slices.Contains(a.Needs, timeline.Stove) && slices.Contains(b.Needs, timeline.Stove) {
				assert.False(t, together, "%s and %s both take the stove", a.ID, b.ID)
			}
		}
	}
	if run.Pot == otherRun.Pot {
		assert.False(t, overlap(potOf(plan), potOf(other)), "both runs in the %s pot", run.Pot)
	}
}

func potOf(plan timeline.Plan) (pot timeline.Booking) {
	for _, s := range plan.Steps {
		if slices.Contains(s.Needs, timeline.Pot) {
			if pot.From.IsZero() {
				pot.From = s.Start
			}
			pot.To = long(s).To
		}
	}
	return pot
}

// More time never makes a plan worse: what fits a deadline fits a later one and
// need not start on an earlier day; a longer window never takes more nights.
func TestALaterDeadlineIsNeverWorse(t *testing.T) {
	check(t, 200, func(t *rapid.T) {
		w := drawWeek(t)
		run := w.runs[0]
		by := run.When.Start
		if by.IsZero() {
			by = latestOf(run.When.FinishBy, run.When.Until)
		}
		more := time.Duration(rapid.IntRange(1, 72).Draw(t, "more")) * time.Hour
		run.When = timeline.When{FinishBy: by}
		before, err := alone(run, w.calendar)
		if err != nil {
			return
		}
		run.When = timeline.When{FinishBy: by.Add(more)}
		after, err := alone(run, w.calendar)
		require.NoError(t, err)
		a, b := stepOf(before, "prepare").Start, stepOf(after, "prepare").Start
		assert.False(t, b.Before(a) && b.Format(time.DateOnly) != a.Format(time.DateOnly), "starts %s for a later deadline, %s for the earlier", b, a)

		from := a.AddDate(0, 0, -1)
		nights := func(until time.Time) int {
			run.When = timeline.When{From: from, Until: until}
			plan, err := alone(run, w.calendar)
			if err != nil {
				return 1000
			}
			end := stepOf(plan, "clean-up")
			for n := 2; n <= plan.Sessions; n++ {
				end = stepOf(plan, fmt.Sprintf("clean-up-%d", n))
			}
			midnight := func(t time.Time) time.Time {
				year, month, day := t.Date()
				return time.Date(year, month, day, 0, 0, 0, 0, time.UTC)
			}
			return int(midnight(end.End).Sub(midnight(stepOf(plan, "prepare").Start)).Hours() / 24)
		}
		assert.LessOrEqual(t, nights(by.Add(more)), nights(by))
	})
}

func latestOf(a, b time.Time) time.Time {
	if a.After(b) {
		return a
	}
	return b
}
