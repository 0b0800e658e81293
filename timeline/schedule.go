package timeline

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"brothrun/stock"
	"brothrun/stock/quantity"
)

// Calendar is the clock a run has to fit.
type Calendar struct {
	Location *time.Location
	Start    time.Time // when the first step begins; zero when FinishBy rules
	FinishBy time.Time // the kitchen is wiped down by then; zero when Start rules
	Awake    Awake     // zero: DefaultAwake, said in the plan's assumptions
	Bookings []Booking // when the freeze dryer is taken
}

// Booking is a span in which someone or something is taken.
type Booking struct {
	From, To time.Time
	What     string // what for, in the cook's words; may be empty
}

// Unfit says that the run does not fit the calendar, and what would help.
type Unfit struct {
	Reason string
	Relax  []string // ways out, each enough by itself
}

func (e *Unfit) Error() string { return e.Reason }

const (
	// fridgeHold is the longest the chilled broth waits for the canner: the low
	// end of the 3 to 4 days of the USDA chart for broth at 40 °F or below. No
	// canning-specific limit was found.
	fridgeHold = 3 * 24 * time.Hour
	// fatSets is the least time between fridge and skimming, so that the fat is
	// a firm cap; common practice, no source, 6 to 12 h.
	fatSets = 8 * time.Hour
	// jarsRest is the least time jars stand undisturbed before the seals are
	// checked, and reprocessWithin the limit for canning an unsealed jar again:
	// 12 to 24 h and 24 h (extension reprints of the USDA guide; Nebraska
	// Extension, jars that did not seal).
	jarsRest        = 12 * time.Hour
	reprocessWithin = 24 * time.Hour
	// latestMorning is the latest the second day begins where the start of the
	// first does not say otherwise; common practice, no source.
	latestMorning = 10 * time.Hour
	// searchDays is how far ahead a place is looked for.
	searchDays = 60
)

// Schedule puts the steps of batch on calendar. The first day runs from
// preparing to the end of the attended chill without a break, since chilling
// starts as soon as the broth is strained; the second, after a night in the
// fridge, from skimming to the wiped-down kitchen. Hands-on and watched steps
// stay within the awake hours; waiting ones pass through the night. Elapsed
// time is elapsed time, whatever the clock does.
//
// From Start it uses likely spans; back from FinishBy it uses the high ones,
// since a deadline is where running late hurts. runID keys the calendar entries
// and revision counts the run file's notes. An *Unfit error says which
// constraint to relax and by how much.
func Schedule(batch stock.Batch, calendar Calendar, runID string, revision int) (Plan, error) {
	if calendar.Start.IsZero() == calendar.FinishBy.IsZero() {
		return Plan{}, fmt.Errorf("give either a start or a time to finish by, not both")
	}
	plan := Plan{Batch: batch, RunID: runID, Revision: revision, Location: calendar.Location}
	if calendar.Awake == (Awake{}) {
		calendar.Awake = DefaultAwake()
		plan.Batch.Assumed = append(slices.Clone(batch.Assumed), stock.Note{Code: "awake", Text: fmt.Sprintf(
			"You are up and at home %s, both days (--awake).", calendar.Awake)})
	}
	first, second := firstDay(batch), secondDay(batch)

	place := placeForward
	if calendar.Start.IsZero() {
		place = placeBackward
	}
	dayOne, dayTwo, err := place(first, second, batch, calendar)
	if err != nil {
		return Plan{}, err
	}

	plan.Steps = append(plan.Steps, first.at(dayOne)...)
	chilled := dayOne.Add(first.likely)
	plan.Steps = append(plan.Steps, fridgeStep(batch, chilled, dayTwo))
	secondSteps := second.at(dayTwo)
	plan.Steps = append(plan.Steps, secondSteps...)
	plan.Steps = append(plan.Steps, sealCheck(batch, secondSteps, calendar)...)
	drying, err := drySteps(batch, secondSteps, calendar)
	if err != nil {
		return Plan{}, err
	}
	plan.Steps = append(plan.Steps, drying...)
	plan.UseBy = useBys(batch, plan.Steps, calendar.Location)
	slices.SortStableFunc(plan.Steps, func(a, b Step) int { return a.Start.Compare(b.Start) })
	for i := range plan.Steps {
		plan.Steps[i].Start = plan.Steps[i].Start.In(calendar.Location)
		plan.Steps[i].End = plan.Steps[i].End.In(calendar.Location)
		// A reminder does not wake anybody.
		if from, _ := calendar.Awake.around(plan.Steps[i].Start); plan.Steps[i].Kind != Waiting {
			plan.Steps[i].Remind = min(plan.Steps[i].Remind, max(0, plan.Steps[i].Start.Sub(from)))
		}
	}
	if !calendar.FinishBy.IsZero() {
		plan.Warnings = append(plan.Warnings, slackNote(dayTwo.Add(second.likely), calendar))
	}

	for _, day := range []struct {
		of   sequence
		from time.Time
	}{{first, dayOne}, {second, dayTwo}} {
		if _, until := calendar.Awake.around(day.from); day.from.Add(day.of.late).After(until) {
			plan.Warnings = append(plan.Warnings, stock.Note{Code: "late-evening", Text: fmt.Sprintf(
				"If every step runs long, %s ends at %s, after your awake hours (%s).",
				day.of.last().Title, day.from.Add(day.of.late).In(calendar.Location).Format("Mon 15:04"), calendar.Awake)})
		}
	}
	return plan, nil
}

// sequence is a row of steps that follow one another, before it has a place on
// the clock.
type sequence struct {
	steps   []Step
	offsets []time.Duration
	likely  time.Duration // how long the row takes
	late    time.Duration // when every step runs long
}

// then adds a step after all before it.
func (s *sequence) then(step Step) {
	s.meanwhile(step, s.likely)
	s.likely += step.Span.Likely
	s.late += step.Span.High
}

// meanwhile adds a step at an offset, beside those already there.
func (s *sequence) meanwhile(step Step, offset time.Duration) {
	s.steps = append(s.steps, step)
	s.offsets = append(s.offsets, offset)
}

func (s sequence) last() Step { return s.steps[len(s.steps)-1] }

// at returns the steps with the row starting at t.
func (s sequence) at(t time.Time) []Step {
	steps := slices.Clone(s.steps)
	for i := range steps {
		steps[i].Start = t.Add(s.offsets[i])
		steps[i].End = steps[i].Start.Add(steps[i].Span.Likely)
	}
	return steps
}

// placeForward finds the second day for a run that begins at calendar.Start.
func placeForward(first, second sequence, batch stock.Batch, calendar Calendar) (dayOne, dayTwo time.Time, err error) {
	dayOne = calendar.Start
	from, until := calendar.Awake.around(dayOne)
	if first.likely > until.Sub(from) {
		return dayOne, dayTwo, tooLong("the first day, from preparing to the end of the attended chill,", first.likely, calendar,
			"shorten the simmer or take less water")
	}
	if dayOne.Before(from) || dayOne.Add(first.likely).After(until) {
		latest := until.Add(-first.likely).In(calendar.Location)
		return dayOne, dayTwo, &Unfit{
			Reason: fmt.Sprintf("a start at %s does not fit: preparing to the end of the attended chill takes %s and would end at %s; your awake hours are %s",
				dayOne.In(calendar.Location).Format("Mon 15:04"), quantity.FormatDuration(first.likely),
				dayOne.Add(first.likely).In(calendar.Location).Format("Mon 15:04"), calendar.Awake),
			Relax: []string{
				fmt.Sprintf("start between %s and %s", from.In(calendar.Location).Format("Mon 15:04"), latest.Format("Mon 15:04")),
				"shorten the simmer",
				"widen the awake hours (--awake)",
			},
		}
	}
	cold := dayOne.Add(first.likely + coldAfter(batch))
	opened, sinceOpening := from.In(calendar.Location), dayOne.Sub(from)
	if calendar.Awake.always() {
		year, month, day := dayOne.In(calendar.Location).Date()
		opened = time.Date(year, month, day, 0, 0, 0, 0, calendar.Location)
		sinceOpening = dayOne.Sub(opened)
	}
	for days := 1; days <= searchDays; days++ {
		from, until := calendar.Awake.on(opened, days)
		morning := from.Add(max(0, min(sinceOpening, latestMorning-calendar.Awake.From)))
		dayTwo = latestOf(from, earliestOf(morning, until.Add(-second.late)), cold)
		if dayTwo.Add(second.likely).After(until) {
			continue
		}
		if dayTwo.Sub(dayOne.Add(first.likely)) > fridgeHold {
			break
		}
		return dayOne, dayTwo, nil
	}
	return dayOne, dayTwo, tooLong("the second day, from skimming to the wiped-down kitchen,", second.likely, calendar,
		"freeze part of the broth, or can fewer loads")
}

// placeBackward finds both days for a run that must be done by calendar.FinishBy.
func placeBackward(first, second sequence, batch stock.Batch, calendar Calendar) (dayOne, dayTwo time.Time, err error) {
	deadline := calendar.FinishBy.In(calendar.Location)
	for days := 0; days <= searchDays; days++ {
		from, until := calendar.Awake.on(deadline, -days)
		dayTwo = earliestOf(until, deadline).Add(-second.late)
		if dayTwo.Before(from) {
			continue
		}
		for before := 1; before <= 1+int(fridgeHold/(24*time.Hour)); before++ {
			from, until := calendar.Awake.on(dayTwo, -before)
			chilled := earliestOf(until, dayTwo.Add(-coldAfter(batch)))
			dayOne = chilled.Add(-first.late)
			if dayOne.Before(from) || dayTwo.Sub(chilled) > fridgeHold {
				continue
			}
			return dayOne.Truncate(time.Minute), dayTwo.Truncate(time.Minute), nil
		}
	}
	if first.late > calendar.Awake.length() {
		return dayOne, dayTwo, tooLong("the first day, from preparing to the end of the attended chill,", first.late, calendar,
			"shorten the simmer or take less water")
	}
	return dayOne, dayTwo, tooLong("the second day, from skimming to the wiped-down kitchen,", second.late, calendar,
		"freeze part of the broth, or can fewer loads")
}

// coldAfter is how long after the chill the broth may be skimmed: cold, and the
// fat set.
func coldAfter(batch stock.Batch) time.Duration {
	wait := fatSets
	if !batch.Chill.To41F.Never {
		wait = max(wait, batch.Chill.To41F.After)
	}
	return wait
}

func tooLong(what string, span time.Duration, calendar Calendar, instead string) error {
	var relax []string
	if span <= 24*time.Hour && span > calendar.Awake.length() {
		relax = append(relax, fmt.Sprintf("widen the awake hours (--awake) by %s", quantity.FormatDuration(span-calendar.Awake.length())))
	}
	return &Unfit{
		Reason: fmt.Sprintf("%s takes %s; your awake hours %s hold %s",
			what, quantity.FormatDuration(span), calendar.Awake, quantity.FormatDuration(calendar.Awake.length())),
		Relax: append(relax, instead),
	}
}

// slackNote says how much time to a deadline is kept for steps that run long, or
// that an earlier day had to be taken.
func slackNote(done time.Time, calendar Calendar) stock.Note {
	deadline := calendar.FinishBy.In(calendar.Location)
	done = done.In(calendar.Location)
	if done.YearDay() != deadline.YearDay() {
		return stock.Note{Code: "earlier-day", Text: fmt.Sprintf(
			"The second day does not fit between %s and %s on %s, so the run ends on %s.",
			clockFace(calendar.Awake.From), deadline.Format("15:04"), deadline.Format("Monday"), done.Format("Monday"))}
	}
	return stock.Note{Code: "slack", Text: fmt.Sprintf(
		"If nothing runs long the kitchen is wiped down by %s, %s ahead of the deadline.",
		done.Format("Mon 15:04"), quantity.FormatDuration(deadline.Sub(done)))}
}

func latestOf(times ...time.Time) time.Time {
	return slices.MaxFunc(times, time.Time.Compare)
}

func earliestOf(times ...time.Time) time.Time {
	return slices.MinFunc(times, time.Time.Compare)
}

// sealCheck places the check after the jars' rest, while an unsealed jar of the
// first load may still be canned again where the clock allows it.
func sealCheck(batch stock.Batch, steps []Step, calendar Calendar) []Step {
	var firstOut, lastOut time.Time
	for _, step := range steps {
		if strings.HasPrefix(step.ID, "unload-") {
			if firstOut.IsZero() {
				firstOut = step.End
			}
			lastOut = step.End
		}
	}
	if lastOut.IsZero() {
		return nil
	}
	step := sealCheckStep(batch, firstOut.Add(reprocessWithin).In(calendar.Location))
	step.Start = calendar.Awake.next(lastOut.Add(jarsRest), step.Span.Likely)
	step.End = step.Start.Add(step.Span.Likely)
	return []Step{step}
}

// drySteps places freezing and drying of the leftover: frozen first, then the
// dryer as soon as it is free and someone is up to load it.
func drySteps(batch stock.Batch, steps []Step, calendar Calendar) ([]Step, error) {
	leftover := batch.Leftover
	if leftover.Batches == 0 {
		return nil, nil
	}
	var trayed time.Time
	for _, step := range steps {
		if step.ID == "leftover" {
			trayed = step.End
		}
	}
	frozen := preFreezeStep(batch)
	frozen.Start = trayed
	var loaded []time.Time
	ready := trayed.Add(leftover.PreFreeze)

	var drying []Step
	for n := 1; n <= leftover.Batches; n++ {
		load, dry, check := dryLoadStep(batch, n), dryStep(batch, n), dryCheckStep(batch, n)
		start, ok := dryerFree(ready, load.Span.Likely+leftover.Hours.High, load.Span.Likely, calendar)
		if !ok {
			return nil, &Unfit{
				Reason: fmt.Sprintf("the freeze dryer is booked for the next %d days", searchDays),
				Relax:  []string{"free the dryer for " + quantity.FormatDuration(leftover.Hours.High), "send the leftover to the freezer (--route freezer)"},
			}
		}
		load.Start, load.End = start, start.Add(load.Span.Likely)
		dry.Start, dry.End = load.End, load.End.Add(dry.Span.Likely)
		check.Start = calendar.Awake.next(dry.End, check.Span.Likely)
		check.End = check.Start.Add(check.Span.Likely)
		if n == 1 {
			frozen.End = start
		}
		loaded = append(loaded, start.In(calendar.Location))
		drying = append(drying, load, dry, check)
		ready = check.End
	}
	frozen.Detail = append(frozen.Detail, freezerHold(batch, loaded))
	return append([]Step{frozen}, drying...), nil
}

// dryerFree finds the first time from t on when the dryer is free for span and
// the cook is awake for the first part of it.
func dryerFree(t time.Time, span, attended time.Duration, calendar Calendar) (time.Time, bool) {
	bookings := slices.Clone(calendar.Bookings)
	slices.SortFunc(bookings, func(a, b Booking) int { return a.From.Compare(b.From) })
	limit := t.Add(searchDays * 24 * time.Hour)
	for t.Before(limit) {
		t = calendar.Awake.next(t, attended)
		clash := slices.IndexFunc(bookings, func(b Booking) bool { return b.From.Before(t.Add(span)) && b.To.After(t) })
		if clash < 0 {
			return t, true
		}
		t = bookings[clash].To
	}
	return time.Time{}, false
}
