package main

import (
	"errors"
	"fmt"
	"os"
	"slices"
	"strings"
	"time"

	"brothrun/export"
	"brothrun/export/words"
	"brothrun/stock"
	"brothrun/stock/fault"
	"brothrun/stock/remark"
	"brothrun/timeline"
	"brothrun/timeline/busy"
)

// clockWays are the ways to say when a run is, each by the flags that belong to
// it. One way is enough, and one given in flags takes the place of the file's.
var clockWays = [][]string{{"start"}, {"finish-by"}, {"between", "and"}}

// chooseClock drops the file's way of saying when the run is where a flag says it,
// and finds two at once.
func (r *request) chooseClock() error {
	given := func(way []string) bool {
		for _, flag := range way {
			if r.flags[flag] {
				return true
			}
		}
		return false
	}
	var chosen []string
	for _, way := range clockWays {
		if !given(way) {
			continue
		}
		if chosen != nil {
			return usageError{fmt.Errorf("--%s and --%s go against each other", chosen[0], way[0]), "give one of them"}
		}
		chosen = way
	}
	texts := map[string]*string{"start": &r.run.Start, "finish-by": &r.run.FinishBy, "between": &r.run.Between,
		"and": &r.run.And}
	var first string
	for _, way := range clockWays {
		if chosen != nil && way[0] != chosen[0] {
			for _, name := range way {
				*texts[name] = ""
			}
			continue
		}
		for _, name := range way {
			switch {
			case *texts[name] == "":
			case first == "" || first == "between" && name == "and":
				first = name
			default:
				return r.locate(fault.New(strings.ReplaceAll(name, "-", "_"), "keep one of them",
					"%s and %s go against each other", first, name))
			}
		}
	}
	if (r.run.Between == "") != (r.run.And == "") {
		key, hint := "between", `--and "2026-11-29 20:00": by when it is done`
		if r.run.Between == "" {
			key, hint = "and", `--between "2026-11-27 18:00": when it may begin`
		}
		return r.locate(fault.New(key, hint, "between and and go together"))
	}
	return nil
}

// hasClock reports whether the run says when it is.
func (r *request) hasClock() bool {
	return r.run.Start != "" || r.run.FinishBy != "" || r.run.Between != ""
}

// when reads the times the run is asked for on the clock of location; repeated are
// those, as given, that it shows twice.
func (r *request) when(location *time.Location) (when timeline.When, repeated []string, err error) {
	for _, at := range []struct {
		key, text string
		to        *time.Time
	}{
		{"start", r.run.Start, &when.Start},
		{"finish_by", r.run.FinishBy, &when.FinishBy},
		{"between", r.run.Between, &when.From},
		{"and", r.run.And, &when.Until},
	} {
		if at.text == "" {
			continue
		}
		var twice bool
		if *at.to, twice, err = timeline.ParseLocal(at.text, location); err != nil {
			return when, nil, r.locate(fault.Of(at.key, err, ""))
		}
		if twice {
			repeated = append(repeated, at.text)
		}
	}
	if err := when.Check(); err != nil {
		return when, nil, r.locate(fault.Of("and", err, "choose two times up to 60 days apart"))
	}
	return when, repeated, nil
}

// schedule puts batches on one clock, each of its request; without a time to
// begin or to finish by a single plan has no steps.
func schedule(
	requests []*request, batches []stock.Batch, out outputFlags,
) ([]timeline.Plan, []timeline.Booking, error) {
	plans := make([]timeline.Plan, len(requests))
	var runs []timeline.Run
	loads := 0
	for i, r := range requests {
		if loads += len(batches[i].Loads); loads > stock.MostLoads {
			return plans, nil, usageError{fmt.Errorf("the runs have more than %d canner loads together, the most that are put on one calendar", stock.MostLoads), "plan fewer runs at once, or in larger jars"}
		}
		plans[i] = timeline.Plan{Batch: batches[i], RunID: r.runID(), Likeness: r.likeness(), Revision: r.run.Revision()}
		if err := r.chooseClock(); err != nil {
			return plans, nil, err
		}
		if !r.hasClock() {
			if len(requests) > 1 {
				return plans, nil, usageError{fmt.Errorf("%s does not say when it begins or is done", r.fromRun), "give start, finish_by or between and and in the file, or --between and --and for all"}
			}
			return plans, nil, r.clockless(out)
		}
	}
	calendar, err := requests[0].calendar()
	if err != nil {
		return plans, nil, err
	}
	if calendar.Remind, err = remind(out.remind); err != nil {
		return plans, nil, err
	}
	repeated := make([][]string, len(requests))
	for i, r := range requests {
		run := timeline.Run{Batch: batches[i], ID: plans[i].RunID, Revision: plans[i].Revision}
		if run.When, repeated[i], err = r.when(calendar.Location); err != nil {
			return plans, nil, err
		}
		if err := r.heat(&run); err != nil {
			return plans, nil, err
		}
		runs = append(runs, run)
	}
	if calendar.Busy, err = busyTimes(out.busy, calendar.Location, runs); err != nil {
		return plans, nil, err
	}

	scheduled, err := timeline.ScheduleAll(runs, calendar)
	if err != nil {
		var unfit *timeline.Unfit
		if errors.As(err, &unfit) {
			i := slices.IndexFunc(plans, func(p timeline.Plan) bool { return p.RunID == unfit.Run })
			err = unfitError{unfit, unfit.WaysOut(requests[i].simmered)}
		}
		for i := range plans {
			plans[i].Unfit = unfit
		}
		return plans, calendar.Busy, err
	}
	if note, short := stock.SharedJars(requests[0].setup, batches); short {
		scheduled[0].Warnings = append(scheduled[0].Warnings, note)
	}
	for i, r := range requests {
		r.remark(&scheduled[i], repeated[i])
	}
	return scheduled, calendar.Busy, nil
}

// remark adds what is to be said of when a plan is: where its clock is from, that it
// moved, that it is past, and times that the clock shows twice.
func (r *request) remark(plan *timeline.Plan, repeated []string) {
	plan.Likeness = r.likeness()
	if zone, from := r.zone(); from != "" {
		plan.Batch.Assumed = append(plan.Batch.Assumed, remark.Note{Code: timeline.ZoneAssumed, Facts: []any{zone, from}})
	}
	plan.Warnings = append(plan.Warnings, r.moved(*plan)...)
	if now, err := stamp(); err == nil && plan.Begins().Before(now) {
		plan.Warnings = append(plan.Warnings, remark.Note{Code: timeline.Past, Facts: []any{plan.Begins()}})
	}
	for _, text := range repeated {
		plan.Warnings = append(plan.Warnings, remark.Note{Code: timeline.RepeatedHour, Facts: []any{text}})
	}
}

// simmered works the run out for another simmer.
func (r *request) simmered(simmer time.Duration) (stock.Batch, error) {
	setup := r.setup
	setup.Pot.Simmer = simmer
	return stock.Plan(setup)
}

// unfitError is a run that fits nowhere, and what would help.
type unfitError struct {
	*timeline.Unfit
	ways []timeline.WayOut
}

// typed is the form of what answers a command.
var typed = words.Form{Flags: true}

func (e unfitError) Error() string { return words.Unfit(e.Unfit, typed) }

func (e unfitError) hints() (hints []string) {
	for _, way := range e.ways {
		hints = append(hints, words.WayOut(e.Unfit, way, typed))
	}
	return hints
}

// clockless finds flags that mean nothing without a time, and hours that would be
// refused with one.
func (r *request) clockless(out outputFlags) error {
	hint := `--start "2026-11-28 08:00", --finish-by, or --between and --and`
	for _, flag := range []struct {
		name  string
		given bool
	}{
		{"busy", len(out.busy) > 0}, {"remind", out.remind != ""}, {"why", out.why}, {"chart", out.chart},
		{"use-by", out.useBy},
	} {
		if flag.given {
			return usageError{fmt.Errorf("--%s needs a time to begin or to finish by", flag.name), hint}
		}
	}
	if r.kitchen.Awake != "" {
		if _, err := timeline.ParseAwake(r.kitchen.Awake); err != nil {
			return r.locate(fault.Of("awake", err, ""))
		}
	}
	if r.kitchen.Zone != "" {
		if _, err := timeline.LoadZone(r.kitchen.Zone); err != nil {
			return r.locate(fault.Of("zone", err, ""))
		}
	}
	return nil
}

// heat says what the run's pot stands on and whether it may be left alone.
func (r *request) heat(run *timeline.Run) error {
	pot, err := r.kitchen.Pot(r.run.Pot)
	if err != nil {
		return r.locate(fault.Of("pot", err, ""))
	}
	run.Pot, run.Unattended = pot.Name, pot.Unattended
	if run.Pot == "" {
		run.Pot = r.run.Pot // a pot given by its volume
	}
	if r.run.Unattended != nil {
		run.Unattended = *r.run.Unattended
	}
	if run.Heat, err = timeline.ParseHeat(pot.Heat); err != nil {
		return r.locate(fault.Of(r.kitchen.PotKey(r.run.Pot, "heat"), err, ""))
	}
	return nil
}

// remind reads --remind: one lead for every step, or one for each kind.
func remind(text string) (map[timeline.Kind]time.Duration, error) {
	if text == "" {
		return nil, nil
	}
	leads, err := timeline.ParseRemind(text)
	if err != nil {
		return nil, usageError{fmt.Errorf("--remind: %w", err), ""}
	}
	return leads, nil
}

// calendar is the clock of the kitchen: its zone, awake hours and bookings.
func (r *request) calendar() (timeline.Calendar, error) {
	calendar := timeline.Calendar{Cooks: r.kitchen.Cooks, Burners: r.kitchen.BurnerPlaces}
	zone, _ := r.zone()
	location, err := timeline.LoadZone(zone)
	if err != nil {
		return calendar, r.locate(fault.Of("zone", err, "--zone America/Denver, or zone in the kitchen file"))
	}
	calendar.Location = location
	if r.kitchen.Awake != "" {
		if calendar.Awake, err = timeline.ParseAwake(r.kitchen.Awake); err != nil {
			return calendar, r.locate(fault.Of("awake", err, ""))
		}
	}
	if r.kitchen.Canner.GaugeChecked != "" {
		if calendar.GaugeChecked, err = timeline.ParseDay(r.kitchen.Canner.GaugeChecked, location); err != nil {
			return calendar, r.locate(fault.Of("canner.gauge_checked", err, ""))
		}
	}
	if r.kitchen.Canner.Outdoors != "" {
		if calendar.CannerHours, err = timeline.ParseHours(r.kitchen.Canner.Outdoors); err != nil {
			return calendar, r.locate(fault.Of("canner.outdoors", err, ""))
		}
	}
	for i, booking := range r.kitchen.FreezeDryer.Bookings {
		span, err := timeline.ParseBooking(booking.From, booking.To, location)
		if err != nil {
			return calendar, r.locate(fault.Of(fmt.Sprintf("freeze_dryer.booking[%d]", i), err, ""))
		}
		calendar.Bookings = append(calendar.Bookings, span)
	}
	return calendar, nil
}

// busyTimes reads the calendar files of --busy as far as the runs may reach.
func busyTimes(paths []string, location *time.Location, runs []timeline.Run) ([]timeline.Booking, error) {
	from, until := timeline.Reach(runs)
	var own []string
	for _, run := range runs {
		own = append(own, export.RunKey(run.ID))
	}
	all := busy.NewReader(location, from, until, own...)
	for _, path := range paths {
		if err := readable(path); err != nil {
			return nil, fmt.Errorf("--busy: %w", err)
		}
		file, err := os.Open(path)
		if errors.Is(err, os.ErrNotExist) {
			return nil, usageError{fmt.Errorf("--busy: there is no file %s", path), "check the name of the calendar file"}
		}
		if err != nil {
			return nil, err
		}
		err = all.Add(file, path)
		file.Close()
		var broken *busy.Error
		if errors.As(err, &broken) {
			return nil, usageError{fmt.Errorf("--busy: %w", err), broken.Hint}
		}
		if err != nil {
			return nil, err
		}
	}
	return all.Bookings(), nil
}
