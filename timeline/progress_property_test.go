package timeline_test

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"brothrun/stock/record"
	"brothrun/timeline"
)

// stoodBy is one step after another, by the rules of the row: at once, or in time.
type stoodBy struct {
	after, before string
	atOnce        bool
}

// rulesOf are the rules between the steps of a plan: testdata/published/holding_limits.csv
// and, where nothing may cool, common practice.
func rulesOf(plan timeline.Plan) (rules []stoodBy) {
	last, rigid := map[int]string{}, false // by session
	skimmed := ""
	follow := func(id, before string, atOnce bool) {
		if before != "" {
			rules = append(rules, stoodBy{id, before, atOnce})
		}
	}
	byRow := slices.Clone(plan.Steps)
	slices.SortStableFunc(byRow, func(a, b timeline.Step) int {
		if a.Session != b.Session {
			return a.Session - b.Session
		}
		if len(a.Loads) == 1 && len(b.Loads) == 1 && inLoad(a) && inLoad(b) && a.Loads[0].Number != b.Loads[0].Number {
			return a.Loads[0].Number - b.Loads[0].Number
		}
		return int(a.Role - b.Role)
	})
	first := ""
	for _, s := range byRow {
		switch s.Role {
		case timeline.Prepare:
			first = s.ID
		case timeline.HeatUp, timeline.Simmer, timeline.Strain, timeline.Chill:
			follow(s.ID, first, true)
			first = s.ID
		case timeline.Pick: // warm while a watched chill goes on, or at once after another
			if s.Cold || plan.Batch.Chill.Watched {
				follow(s.ID, "strain", false)
				break
			}
			follow(s.ID, "chill", true)
		case timeline.Skim:
			if plan.Batch.Meat.Likely > 0 {
				follow(s.ID, "pick", false)
			}
			follow(s.ID, "chill", false)
			skimmed = s.ID
		case timeline.Leftover, timeline.Pack:
			follow(s.ID, "skim", true)
			skimmed = s.ID
		case timeline.Reheat:
			follow(s.ID, skimmed, false)
			last[s.Session], rigid = s.ID, true
		case timeline.Fill, timeline.Load, timeline.Unload:
			follow(s.ID, last[s.Session], rigid)
			if s.Role == timeline.Fill && strings.HasPrefix(last[s.Session], "reheat") {
				jars := strings.Replace(last[s.Session], "reheat", "jars", 1)
				follow(s.ID, jars, true)
			}
			last[s.Session] = s.ID
		case timeline.CleanUp:
			if last[s.Session] == "" {
				last[s.Session] = skimmed
			}
			follow(s.ID, last[s.Session], true)
			skimmed = s.ID
		}
	}
	return rules
}

func inLoad(s timeline.Step) bool {
	return s.Role == timeline.Fill || s.Role == timeline.Load || s.Role == timeline.Unload
}

// inRow reports whether a step is one of the row itself.
func inRow(s timeline.Step) bool {
	return s.Role <= timeline.CleanUp && s.Role != timeline.InFridge && s.Role != timeline.BackInFridge
}

// goesOnUntil is until when what has begun may go on into any hours, by the warning.
func goesOnUntil(plan timeline.Plan) (until time.Time) {
	for _, n := range plan.Warnings {
		if n.Code == timeline.RestUnfit { // placed as if nothing were in the way, and said
			return plan.Steps[len(plan.Steps)-1].End.Add(24 * time.Hour)
		}
		if n.Code == timeline.GoesOn {
			until = latestOf(until, n.Facts[1].(time.Time))
		}
	}
	return until
}

// drawRecord draws what came of the runs of a week, each note by the plan there was
// before it, up to most; it stops where a run fits nowhere any more. It returns the plans
// after each note.
func drawRecord(t *rapid.T, w *week, most int) (all [][]timeline.Plan) {
	plans, err := w.place()
	if err != nil {
		return nil
	}
	last := plans[0].Begins()
	for _, p := range plans[1:] {
		if p.Begins().Before(last) {
			last = p.Begins()
		}
	}
	last = last.Add(-time.Hour)
	all = append(all, plans)
	for range rapid.IntRange(most/2, most).Draw(t, "notes") {
		i := rapid.IntRange(0, len(w.runs)-1).Draw(t, "of run")
		e, ok := drawNote(t, w.runs[i], plans[slices.IndexFunc(plans, func(p timeline.Plan) bool { return p.RunID == w.runs[i].ID })], last)
		if !ok {
			continue
		}
		if len(w.runs[i].Record) == 0 {
			w.runs[i].Planned = w.runs[i].Batch
		}
		w.runs[i].Record = append(slices.Clip(w.runs[i].Record), e)
		last = e.At
		plans, err = w.place()
		var unfit *timeline.Unfit
		if errors.As(err, &unfit) {
			return append(all, nil)
		}
		require.NoError(t, err)
		all = append(all, plans)
	}
	return all
}

// drawNote is one that may be, by the plan, at or after an instant.
func drawNote(t *rapid.T, run timeline.Run, plan timeline.Plan, last time.Time) (record.Entry, bool) {
	var on, next []timeline.Step
	for _, s := range plan.Steps {
		if !inRow(s) {
			continue
		}
		switch s.State {
		case timeline.Begun:
			on = append(on, s)
		case timeline.ToCome:
			next = append(next, s)
		}
	}
	// Sampled, for rapid draws small numbers most often.
	some := func(label string, spans ...time.Duration) time.Duration {
		return rapid.SampledFrom(spans).Draw(t, label)
	}
	e := record.Entry{At: last.Add(some("later", 0, time.Second, 7*time.Minute, 40*time.Minute, 3*time.Hour, 11*time.Hour))}
	kind := rapid.SampledFrom([]int{0, 1, 2, 3, 4, 5, 6, 6, 7}).Draw(t, "note")
	switch {
	case kind <= 2 && len(next) > 0:
		// Mostly the next; or nobody noted anything for a while.
		s := next[min(len(next)-1, rapid.SampledFrom([]int{0, 0, 0, 1, 2, 4, 7}).Draw(t, "ahead"))]
		e.What, e.Step, e.At = record.Began, s.ID, latestOf(last, s.Start.Add(some("off", -time.Hour, -time.Minute, 0, 0, 61*time.Second, 20*time.Minute, 90*time.Minute, 4*time.Hour)))
	case kind <= 4 && len(on) > 0:
		s := rapid.SampledFrom(on).Draw(t, "which")
		e.What, e.Step = record.Done, s.ID
		e.At = latestOf(last, s.Start.Add(s.End.Sub(s.Start)*some("took, in quarters", 1, 3, 4, 4, 5, 8)/4))
	case kind == 5:
		e.What, e.Span = record.Late, some("late", time.Minute, 30*time.Minute, 3*time.Hour)
		if open := append(on, next...); len(open) > 0 && rapid.Bool().Draw(t, "named") {
			e.Step = rapid.SampledFrom(open).Draw(t, "which").ID
		}
	case kind == 6 && len(run.Batch.Loads) > 0:
		n := 0
		for _, s := range append(on, next...) {
			if s.Role == timeline.Load {
				n = s.Loads[0].Number
				break
			}
		}
		if n == 0 {
			return e, false
		}
		words := timeline.Can(plan.Batch.Loads[n-1], run.Record)
		following := words.Next()
		if len(following) == 0 {
			return e, false
		}
		e.Load, e.What = n, rapid.SampledFrom(following).Draw(t, "word")
		e.At = latestOf(last, words.Until).Add(some("after", 0, time.Second, 5*time.Minute, 30*time.Minute))
	default:
		e.What = record.Remark
	}
	_, may := plan.May(run.Batch, run.Record, e)
	return e, may
}

// stands is what is known of a step by the notes: the last of each word.
type stands struct{ began, done time.Time }

func notedOf(entries []record.Entry) map[string]stands {
	all := map[string]stands{}
	for _, e := range entries {
		at := all[e.Step]
		switch e.What {
		case record.Began:
			at.began = e.At
		case record.Done:
			at.done = e.At
		default:
			continue
		}
		all[e.Step] = at
	}
	return all
}

// saidLate reports whether a note puts a step off, by its name or without one.
func saidLate(run timeline.Run, id string) bool {
	return slices.ContainsFunc(run.Record, func(e record.Entry) bool {
		return e.What == record.Late && (e.Step == id || e.Step == "")
	})
}

// TestWhateverCameTheRestKeepsItsRules draws runs and what came of them.
func TestWhateverCameTheRestKeepsItsRules(t *testing.T) {
	notes, fitted, goesOn, words := 0, 0, 0, map[record.What]int{}
	check(t, 500, func(t *rapid.T) {
		w := drawWeek(t)
		all := drawRecord(t, &w, 8)
		for n, plans := range all {
			if n == 0 {
				continue
			}
			notes++
			if plans == nil {
				continue
			}
			fitted++
			for i, plan := range plans {
				if len(plan.Record) == 0 {
					continue
				}
				run := w.runs[i]
				run.Record = plan.Record
				words[run.Record[len(run.Record)-1].What]++
				if !goesOnUntil(plan).IsZero() {
					goesOn++
				}
				keptByRecord(t, w, run, plan)
			}
		}
	})
	t.Logf("%d notes, %d of them with a place for the rest, %d into hours that are not there: %v", notes, fitted, goesOn, words)
	assert.Greater(t, fitted, 1000, "most notes leave a place, or nothing was tried")
}

func keptByRecord(t *rapid.T, w week, run timeline.Run, plan timeline.Plan) {
	about := func() string {
		var b strings.Builder
		for _, e := range run.Record {
			fmt.Fprintf(&b, "%s %s %s %d %s\n", e.At.In(plan.Location).Format("Mon 15:04:05"), e.What, e.Step, e.Load, e.Span)
		}
		return "\n" + b.String() + lines(plan)
	}
	steps := map[string]timeline.Step{}
	for _, s := range plan.Steps {
		require.NotContains(t, steps, s.ID)
		steps[s.ID] = s
	}
	for id, said := range notedOf(run.Record) {
		s := steps[id]
		if !said.began.IsZero() && !said.began.After(said.done) || said.done.IsZero() {
			assert.True(t, s.Start.Equal(said.began), "%s began at %s%s", id, said.began.In(plan.Location), about())
		}
		if !said.done.IsZero() && !said.done.Before(said.began) {
			assert.True(t, s.End.Equal(said.done), "%s was done at %s%s", id, said.done.In(plan.Location), about())
		}
	}
	over := goesOnUntil(plan)
	strained := steps["strain"].End
	for _, s := range plan.Steps {
		assert.False(t, s.End.Before(s.Start), "%s%s", s.ID, about())
		if s.State != timeline.ToCome {
			assert.False(t, s.Start.After(plan.AsOf), "%s is not yet%s", s.ID, about())
			continue
		}
		assert.False(t, s.Start.Before(plan.AsOf), "%s stands before the note of %s%s", s.ID, plan.AsOf, about())
		if s.Role == timeline.Skim || s.Role == timeline.Reheat {
			assert.LessOrEqual(t, s.Start.Sub(strained), 72*time.Hour, "%s: broth keeps 3 days in the fridge%s", s.ID, about())
		}
		if s.Role == timeline.Pick && !s.Cold {
			assert.LessOrEqual(t, s.End.Sub(strained), 2*time.Hour, "meat out of the fridge%s", about())
		}
		if s.Role == timeline.Skim {
			assert.GreaterOrEqual(t, s.Start.Sub(steps["chill"].End), 8*time.Hour, "fat sets%s", about())
		}
		if s.Kind == timeline.Waiting || s.Start.Before(over) {
			continue
		}
		assert.True(t, upAllOf(w.calendar, s), "%s from %s to %s, awake %s%s", s.ID, s.Start, s.End, w.calendar.Awake, about())
		for _, b := range w.calendar.Busy {
			assert.False(t, overlap(timeline.Booking{From: s.Start, To: s.End}, b), "%s while out%s", s.ID, about())
		}
		for _, other := range plan.Steps {
			if s.ID != other.ID && s.Kind == timeline.HandsOn && other.Kind == timeline.HandsOn && other.State == timeline.ToCome && w.calendar.Cooks < 2 {
				assert.False(t, overlap(timeline.Booking{From: s.Start, To: s.End}, timeline.Booking{From: other.Start, To: other.End}),
					"%s and %s%s", s.ID, other.ID, about())
			}
		}
	}
	free := map[string]time.Time{} // when all that a step follows at once is over
	rules := rulesOf(plan)
	for _, rule := range rules {
		after, before := steps[rule.after], steps[rule.before]
		if after.State == timeline.Skipped || before.State == timeline.Skipped {
			continue
		}
		if contradicted(run.Record, rules, rule.after) {
			continue // it stands as noted, whatever was noted of what it follows
		}
		assert.False(t, after.Start.Before(before.End), "%s before %s is over%s", rule.after, rule.before, about())
		if rule.atOnce && after.State == timeline.ToCome {
			free[rule.after] = latestOf(before.End, free[rule.after])
		}
	}
	for id, from := range free {
		if !saidLate(run, id) {
			assert.True(t, steps[id].Start.Equal(latestOf(from, plan.AsOf)), "%s at once%s", id, about())
		}
	}
}

// contradicted reports whether, after a step was noted, another that comes before it was.
func contradicted(entries []record.Entry, rules []stoodBy, id string) bool {
	first := slices.IndexFunc(entries, func(e record.Entry) bool { return aboutStep(e) == id })
	if first < 0 {
		return false
	}
	var comesBefore func(before, after string) bool
	comesBefore = func(before, after string) bool {
		return slices.ContainsFunc(rules, func(r stoodBy) bool {
			return r.after == after && (r.before == before || comesBefore(before, r.before))
		})
	}
	return slices.ContainsFunc(entries[first:], func(e record.Entry) bool { return comesBefore(aboutStep(e), id) })
}

// aboutStep is the step that a note is about; empty for one about none.
func aboutStep(e record.Entry) string {
	switch {
	case e.What.OfLoad():
		return fmt.Sprintf("load-%d", e.Load)
	case e.What == record.Began || e.What == record.Done:
		return e.Step
	}
	return ""
}

// sameClock asserts that two plans have the same steps at the same times.
func sameClock(t assert.TestingT, before, after timeline.Plan, about string) {
	assert.Equal(t, clockOf(before), clockOf(after), about)
}

func clockOf(plan timeline.Plan) string {
	var b strings.Builder
	steps := slices.Clone(plan.Steps)
	slices.SortStableFunc(steps, func(a, b timeline.Step) int { return strings.Compare(a.ID, b.ID) })
	for _, s := range steps {
		fmt.Fprintln(&b, s.ID, s.Start.Format("Mon 15:04:05"), s.End.Format("Mon 15:04:05"))
	}
	return b.String()
}

// TestARemarkMovesNothing: nor does the same record give another plan the second time.
func TestARemarkMovesNothing(t *testing.T) {
	tried := 0
	check(t, 200, func(t *rapid.T) {
		w := drawWeek(t)
		w.runs = w.runs[:1] // of several with notes, each is followed for itself: not true of them yet
		all := drawRecord(t, &w, 4)
		if len(all) == 0 || all[len(all)-1] == nil {
			return
		}
		before := all[len(all)-1]
		again, err := w.place()
		require.NoError(t, err)
		require.Equal(t, before, again, "the same notes give the same plan")
		for i, run := range w.runs {
			begins, ends := before[i].Begins(), before[i].Steps[len(before[i].Steps)-1].End
			at := begins.Add(ends.Sub(begins) * time.Duration(rapid.SampledFrom([]int{-1, 0, 1, 2, 3, 5, 7, 10, 11}).Draw(t, "of ten parts")) / 10).Truncate(time.Minute)
			at = latestOf(at, before[i].AsOf)
			run.Record = append(slices.Clip(run.Record), record.Entry{At: at, What: record.Remark})
			if len(run.Record) == 1 {
				run.Planned = run.Batch
			}
			w.runs[i] = run
		}
		after, err := w.place()
		require.NoError(t, err, "what had a place keeps it")
		for i := range after {
			sameClock(t, before[i], after[i], lines(after[i]))
			tried++
		}
	})
	assert.Greater(t, tried, 50)
}

// TestWhatWentAsPlannedMovesNothing notes every step of the row where it stands.
func TestWhatWentAsPlannedMovesNothing(t *testing.T) {
	tried := 0
	check(t, 150, func(t *rapid.T) {
		w := drawWeek(t)
		w.runs = w.runs[:1]
		before, err := w.place()
		if err != nil {
			return
		}
		var notes []record.Entry
		for _, s := range before[0].Steps {
			if !inRow(s) {
				continue
			}
			if rapid.IntRange(0, 3).Draw(t, "begun") > 0 {
				notes = append(notes, record.Entry{At: s.Start, What: record.Began, Step: s.ID})
			}
			if rapid.IntRange(0, 3).Draw(t, "done") > 0 {
				notes = append(notes, record.Entry{At: s.End, What: record.Done, Step: s.ID})
			}
		}
		if len(notes) == 0 {
			return
		}
		slices.SortStableFunc(notes, func(a, b record.Entry) int { return a.At.Compare(b.At) })
		w.runs[0].Planned = w.runs[0].Batch
		for range 4 {
			w.runs[0].Record = notes[:rapid.IntRange(1, len(notes)).Draw(t, "notes")]
			after, err := w.place()
			require.NoError(t, err)
			sameClock(t, before[0], after[0], lines(after[0]))
			tried++
		}
	})
	assert.Greater(t, tried, 100)
}

// TestNotesMayContradictOneAnother draws any words of any steps at any time.
func TestNotesMayContradictOneAnother(t *testing.T) {
	fitted := 0
	check(t, 300, func(t *rapid.T) {
		w := drawWeek(t)
		w.runs = w.runs[:1]
		plans, err := w.place()
		if err != nil {
			return
		}
		ids := []string{"", "none-such"}
		for _, s := range plans[0].Steps {
			ids = append(ids, s.ID)
		}
		run := &w.runs[0]
		run.Planned = run.Batch
		from := plans[0].Begins().Add(-24 * time.Hour)
		for range rapid.IntRange(1, 8).Draw(t, "notes") {
			e := record.Entry{
				At:   from.Add(time.Duration(rapid.SampledFrom([]int{0, 1, 5, 23, 24, 25, 26, 27, 30, 34, 40, 48, 50, 72, 100, 500}).Draw(t, "hour")) * time.Hour),
				What: rapid.SampledFrom(everyWord).Draw(t, "word"),
				Step: rapid.SampledFrom(ids).Draw(t, "step"),
				Span: time.Hour,
				Jars: []record.JarCount{{Jar: "quart", Count: 3}},
			}
			if e.Step == "" || e.What.OfLoad() {
				e.Step, e.Load = "", rapid.IntRange(1, 7).Draw(t, "load")
			}
			run.Record = append(run.Record, e)
		}
		slices.SortStableFunc(run.Record, func(a, b record.Entry) int { return a.At.Compare(b.At) })
		plans, err = w.place()
		var unfit *timeline.Unfit
		if errors.As(err, &unfit) {
			unfit.WaysOut(nil)
			return
		}
		require.NoError(t, err)
		fitted++
		plan := plans[0]
		assert.True(t, plan.AsOf.Equal(run.Record[len(run.Record)-1].At))
		for _, s := range plan.Steps {
			assert.False(t, s.End.Before(s.Start), "%s\n%s", s.ID, lines(plan))
			if s.State == timeline.ToCome {
				assert.False(t, s.Start.Before(plan.AsOf), "%s\n%s", s.ID, lines(plan))
			}
		}
		for _, load := range plan.Batch.Loads {
			if c := timeline.Can(load, run.Record); c.Processed {
				assert.GreaterOrEqual(t, c.Held, load.Process)
			}
		}
		for _, e := range run.Record {
			plan.May(run.Planned, run.Record, e)
			plan.Odd(run.Planned, e, plan.AsOf)
		}
		plan.Now(plan.AsOf)
		again, err := w.place()
		require.NoError(t, err)
		require.Equal(t, plans, again)
	})
	assert.Greater(t, fitted, 100)
}

var everyWord = []record.What{
	record.Began, record.Done, record.Late, record.Skipped, record.ToppedUp, record.Strained, record.Drained, record.Ready,
	record.Reading, record.Filled, record.Steam, record.Vented, record.AtPressure, record.Fell, record.HeatOff, record.Zero,
	record.LidOff, record.Broken, record.Unsealed, record.Sealed, record.Used, record.Drying, record.Dried, record.Frozen,
	record.Remark,
}
