package order

import (
	"cmp"
	"errors"
	"fmt"
	"io/fs"
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
// and finds two at once, and a choice of days where there is none.
func (r *Request) chooseClock() error {
	var chosen []string
	for _, way := range clockWays {
		if !slices.ContainsFunc(way, func(flag string) bool { return r.given[flag] }) {
			continue
		}
		if chosen != nil {
			return fault.New("", "give one of them", "--%s and --%s go against each other", chosen[0], way[0])
		}
		chosen = way
	}
	run := &r.Run
	texts := map[string]*string{"start": &run.Start, "finish-by": &run.FinishBy, "between": &run.Between, "and": &run.And}
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
				return r.Locate(fault.New(strings.ReplaceAll(name, "-", "_"), "keep one of them",
					"%s and %s go against each other", first, name))
			}
		}
	}
	if (r.Run.Between == "") != (r.Run.And == "") {
		key, hint := "between", `--and "2026-11-29 20:00": by when it is done`
		if r.Run.Between == "" {
			key, hint = "and", `--between "2026-11-27 18:00": when it may begin`
		}
		return r.Locate(fault.New(key, hint, "between and and go together"))
	}
	if r.choose > 0 && (r.asked() == "" || r.Run.Start != "" || len(r.record) > 0) {
		return fault.New("choose", "leave it out, or give --finish-by, or --between and --and",
			"--choose %d: there is a choice of days only where the run has no start and has not begun", r.choose)
	}
	return nil
}

// Date takes the times that the run is asked for in a cook's words, "Sat 8am", for what
// they mean now, and once it has, for good. Words that would mean another day later on are
// no date to stand in a file; errors are located.
func (r *Request) Date(now time.Time) error {
	now = now.In(r.place())
	for _, at := range []struct {
		key  string
		text *string
	}{{"start", &r.Run.Start}, {"finish_by", &r.Run.FinishBy}, {"between", &r.Run.Between}, {"and", &r.Run.And}} {
		if *at.text == "" {
			continue
		}
		local, moves, err := timeline.ReadDate(*at.text, now)
		if err == nil && moves && !r.given[flagOf(at.key)] {
			err = fault.New("", fmt.Sprintf("write %s = %q", at.key, local),
				"date and time %q are another day when the file is read later", *at.text)
		}
		if err != nil {
			return r.Locate(fault.Of(at.key, err, ""))
		}
		*at.text = local
		if begin, _, err := timeline.ParseLocal(local, now.Location()); at.key == "between" && err == nil {
			now = begin // a weekday to be done by is one after it
		}
	}
	return nil
}

// when reads the times the run is asked for on the clock of location; repeated are
// those, as given, that it shows twice.
func (r *Request) when(location *time.Location) (when timeline.When, repeated []string, err error) {
	for _, at := range []struct {
		key, text string
		to        *time.Time
	}{
		{"start", r.Run.Start, &when.Start},
		{"finish_by", r.Run.FinishBy, &when.FinishBy},
		{"between", r.Run.Between, &when.From},
		{"and", r.Run.And, &when.Until},
	} {
		if at.text == "" {
			continue
		}
		var twice bool
		if *at.to, twice, err = timeline.ParseLocal(at.text, location); err != nil {
			return when, nil, r.Locate(fault.Of(at.key, err, ""))
		}
		if twice {
			repeated = append(repeated, at.text)
		}
	}
	if err := when.Check(); err != nil {
		return when, nil, r.Locate(fault.Of("and", err, "choose two times up to 60 days apart"))
	}
	return when, repeated, nil
}

// Clock is what is said of the clock beside the runs.
type Clock struct {
	Now    time.Time // runs that began before are told to be past
	Busy   []string  // calendar files of when somebody is out or taken
	Remind string    // how long before a step its reminder comes: "15m", "hands-on=20m,watch=5m"
	// Timed are the flags given that mean nothing without a time to begin or to finish by.
	Timed []string
}

// Schedule puts batches on one clock, each of its request, and tells when somebody is
// away. Without a time to begin or to finish by a single plan has no steps. Where the
// error is Unfits the plans are whole but for the steps of those that fit nowhere.
func Schedule(requests []*Request, batches []stock.Batch, clock Clock) ([]timeline.Plan, []timeline.Booking, error) {
	plans := make([]timeline.Plan, len(requests))
	var runs []timeline.Run
	loads := 0
	for i, r := range requests {
		if loads += len(batches[i].Loads); loads > stock.MostLoads {
			return plans, nil, fault.New("", "plan fewer runs at once, or in larger jars",
				"the runs have more than %d canner loads together, the most that are put on one calendar", stock.MostLoads)
		}
		plans[i] = timeline.Plan{Batch: batches[i], RunID: r.runID(), Likeness: r.likeness(), Revision: r.Run.Revision(),
			Record: r.record}
		if len(r.record) > 0 {
			plans[i].Planned = &r.planned
		}
		if err := r.chooseClock(); err != nil {
			return plans, nil, err
		}
		if r.asked() == "" {
			if len(requests) > 1 {
				hint := "give start, finish_by or between and and in the file, or --between and --and for all"
				return plans, nil, fault.New("", hint, "%s does not say when it begins or is done", r.file())
			}
			return plans, nil, r.clockless(clock.Timed)
		}
	}
	calendar, err := requests[0].calendar()
	if err != nil {
		return plans, nil, err
	}
	if clock.Remind != "" {
		if calendar.Remind, err = timeline.ParseRemind(clock.Remind); err != nil {
			return plans, nil, FlagFault("remind", err)
		}
	}
	repeated := make([][]string, len(requests))
	for i, r := range requests {
		run := timeline.Run{Batch: batches[i], ID: plans[i].RunID, Revision: plans[i].Revision,
			Record: r.record, Planned: r.planned, Choose: r.choose}
		if run.When, repeated[i], err = r.when(calendar.Location); err != nil {
			return plans, nil, err
		}
		if err := r.heat(&run); err != nil {
			return plans, nil, err
		}
		runs = append(runs, run)
		plans[i].Location, plans[i].Asked = calendar.Location, run.When
	}
	out, err := requests[0].machine.busyTimes(allBusy(requests, clock.Busy), calendar.Location, runs)
	if err != nil {
		return plans, nil, err
	}
	calendar.Busy, calendar.Canning = out.Bookings(), out.Taken(timeline.Canner)
	calendar.Bookings = append(calendar.Bookings, out.Taken(timeline.FreezeDryer)...)

	calendar.ChooseFrom = clock.Now
	scheduled, unfit := timeline.ScheduleAll(runs, calendar)
	var none *timeline.NoSuchChoice
	switch {
	case errors.As(unfit, &none):
		return plans, nil, fault.New("choose", "--choose 1", "--%s", words.NoSuchChoice(none))
	case unfit != nil && !errors.As(unfit, new(*timeline.Unfit)):
		return plans, nil, unfit
	}
	if note, short := stock.SharedJars(requests[0].Setup, batches); short {
		scheduled[0].Warnings = append(scheduled[0].Warnings, note)
	}
	scheduled[0].Warnings = append(scheduled[0].Warnings, timeline.RoomNotes(requests[0].Setup.House, scheduled)...)
	scheduled[0].Warnings = append(scheduled[0].Warnings, oddities(out)...)
	for i, r := range requests {
		if scheduled[i].Unfit == nil {
			scheduled[i].Asked = runs[i].When
			r.remark(&scheduled[i], repeated[i], clock.Now)
			continue
		}
		plans[i].Unfit, plans[i].Warnings = scheduled[i].Unfit, scheduled[i].Warnings
		scheduled[i] = plans[i]
	}
	return scheduled, calendar.Busy, unfitOf(requests, scheduled)
}

// unfitOf is what would help those of the plans that fit nowhere; nil where all fit.
func unfitOf(requests []*Request, plans []timeline.Plan) error {
	var unfits Unfits
	for i, r := range requests {
		if e := plans[i].Unfit; e != nil {
			unfits = append(unfits, &Unfit{e, e.WaysOut(r.simmered)})
		}
	}
	if unfits == nil {
		return nil
	}
	return unfits
}

// allBusy are the calendar files of when somebody is out, those that the runs name
// among them, but one that notes are still to write.
func allBusy(requests []*Request, given []string) []string {
	all := slices.Clip(given)
	for _, r := range requests {
		for _, path := range r.BusyFiles() {
			if path == r.CalendarFile() && r.machine.lacks(path) || slices.Contains(all, path) {
				continue
			}
			all = append(all, path)
		}
	}
	return all
}

// oddest is how many oddities of calendars are told, and the rest counted; own choice.
const oddest = 5

// oddities are what was odd in calendars of when somebody is out, first what the plan goes
// round for it.
func oddities(out *busy.Reader) (notes []remark.Note) {
	all := slices.Clone(out.Oddities())
	slices.SortStableFunc(all, func(a, b busy.Oddity) int {
		left := map[bool]int{false: 1}
		return left[a.Widest] - left[b.Widest]
	})
	for i, odd := range all {
		if i == oddest {
			return append(notes, remark.Note{Code: timeline.BusyOdd, Facts: []any{len(all) - i}}.In("more"))
		}
		note := remark.Note{Code: timeline.BusyOdd, Facts: []any{export.Printable(odd.Err.Error())}}
		if odd.Widest {
			note = note.In("widest")
		}
		notes = append(notes, note)
	}
	return notes
}

// remark adds what is to be said of when a plan is: where its clock is from, that it
// moved, that it is past, and times that the clock shows twice.
func (r *Request) remark(plan *timeline.Plan, repeated []string, now time.Time) {
	plan.Likeness = r.likeness()
	if zone, from := r.machine.Zone, r.machine.ZoneFrom; r.Kitchen.Zone == "" && from != "" {
		note := remark.Note{Code: timeline.ZoneAssumed, Facts: []any{zone, from}}
		plan.Batch.Assumed = append(plan.Batch.Assumed, note)
	}
	plan.Warnings = append(plan.Warnings, r.moved(*plan)...)
	if len(plan.Record) == 0 && plan.Begins().Before(now) {
		plan.Warnings = append(plan.Warnings, remark.Note{Code: timeline.Past, Facts: []any{plan.Begins()}})
	}
	plan.Warnings = append(plan.Warnings, plan.ThawsLate(now)...)
	for _, text := range repeated {
		plan.Warnings = append(plan.Warnings, remark.Note{Code: timeline.RepeatedHour, Facts: []any{text}})
	}
}

// simmered works the run out for another simmer.
func (r *Request) simmered(simmer time.Duration) (stock.Batch, error) {
	setup := r.Setup
	setup.Pot.Simmer = simmer
	return stock.Plan(setup)
}

// Unfit is a run that fits nowhere, and what would help, said by flags.
type Unfit struct {
	*timeline.Unfit
	Ways []timeline.WayOut
}

// Unfits are the runs, one or more, that fit nowhere; the others do.
type Unfits []*Unfit

// Error says why the first of them fits nowhere.
func (e Unfits) Error() string { return e[0].Error() }

// Unwrap lists them.
func (e Unfits) Unwrap() (all []error) {
	for _, one := range e {
		all = append(all, one)
	}
	return all
}

// typed is the form of what answers a command.
var typed = words.Form{Flags: true}

// Error says why the run fits nowhere.
func (e *Unfit) Error() string { return words.Unfit(e.Unfit, typed) }

// Hints are the ways out, the least change first.
func (e *Unfit) Hints() (hints []string) {
	for _, way := range e.Ways {
		hints = append(hints, words.WayOut(e.Unfit, way, typed))
	}
	return hints
}

// Timed reports whether every request says when it begins or is done.
func Timed(requests []*Request) bool {
	return !slices.ContainsFunc(requests, func(r *Request) bool { return r.asked() == "" })
}

// clockless finds flags that mean nothing without a time, and hours that would be
// refused with one.
func (r *Request) clockless(timed []string) error {
	if len(timed) > 0 {
		return fault.New(timed[0], `--start "2026-11-28 08:00", --finish-by, or --between and --and`,
			"--%s needs a time to begin or to finish by", timed[0])
	}
	if r.Kitchen.Awake != "" {
		if _, err := timeline.ParseAwake(r.Kitchen.Awake); err != nil {
			return r.Locate(fault.Of("awake", err, ""))
		}
	}
	if r.Kitchen.Zone != "" {
		if _, err := timeline.FindZone(r.Kitchen.Zone); err != nil {
			return r.Locate(fault.Of("zone", err, ""))
		}
	}
	return nil
}

// heat says what the run's pot stands on and whether it may be left alone.
func (r *Request) heat(run *timeline.Run) error {
	pot, err := r.Kitchen.Pot(r.Run.Pot)
	if err != nil {
		return r.Locate(fault.Of("pot", err, ""))
	}
	run.Pot, run.Unattended = pot.Name, pot.Unattended
	if run.Pot == "" {
		run.Pot = r.Run.Pot // a pot given by its volume
	}
	if r.Run.Unattended != nil {
		run.Unattended = *r.Run.Unattended
	}
	if run.Heat, err = timeline.ParseHeat(pot.Heat); err != nil {
		return r.Locate(fault.Of(r.Kitchen.PotKey(r.Run.Pot, "heat"), err, ""))
	}
	return nil
}

// calendar is the clock of the kitchen: its zone, awake hours and bookings.
func (r *Request) calendar() (timeline.Calendar, error) {
	calendar := timeline.Calendar{Cooks: r.Kitchen.Cooks, Burners: r.Kitchen.BurnerPlaces}
	location, err := timeline.FindZone(cmp.Or(r.Kitchen.Zone, r.machine.Zone))
	if err != nil {
		return calendar, r.Locate(fault.Of("zone", err, "--zone America/Denver, or zone in the kitchen file"))
	}
	calendar.Location = location
	if r.Kitchen.Awake != "" {
		if calendar.Awake, err = timeline.ParseAwake(r.Kitchen.Awake); err != nil {
			return calendar, r.Locate(fault.Of("awake", err, ""))
		}
	}
	if r.Kitchen.Canner.GaugeChecked != "" {
		if calendar.GaugeChecked, err = timeline.ParseDay(r.Kitchen.Canner.GaugeChecked, location); err != nil {
			return calendar, r.Locate(fault.Of("canner.gauge_checked", err, ""))
		}
	}
	if r.Kitchen.Canner.Outdoors != "" {
		if calendar.CannerHours, err = timeline.ParseHours(r.Kitchen.Canner.Outdoors); err != nil {
			return calendar, r.Locate(fault.Of("canner.outdoors", err, ""))
		}
	}
	for i, booking := range r.Kitchen.FreezeDryer.Bookings {
		span, err := timeline.ParseBooking(booking.From, booking.To, location)
		if err != nil {
			return calendar, r.Locate(fault.Of(fmt.Sprintf("freeze_dryer.booking[%d]", i), err, ""))
		}
		calendar.Bookings = append(calendar.Bookings, span)
	}
	return calendar, nil
}

// lacks reports whether there is no such file.
func (m Machine) lacks(path string) bool {
	file, err := m.Open(path)
	if err == nil {
		file.Close()
	}
	return errors.Is(err, fs.ErrNotExist)
}

// busyTimes reads the calendar files of --busy as far as the runs may reach.
func (m Machine) busyTimes(paths []string, location *time.Location, runs []timeline.Run) (*busy.Reader, error) {
	from, until := timeline.Reach(runs)
	var own []string
	for _, run := range runs {
		own = append(own, export.RunKey(run.ID))
	}
	all := busy.NewReader(location, from, until, own...)
	for _, path := range paths {
		file, err := m.Open(path)
		if errors.Is(err, fs.ErrNotExist) {
			return nil, fault.New("busy", "check the name of the calendar file", "--busy: there is no file %s", path)
		}
		if errors.As(err, new(*fault.Fault)) {
			return nil, FlagFault("busy", err)
		}
		if err != nil {
			return nil, err
		}
		err = all.Add(file, path)
		file.Close()
		var broken *busy.Error
		if errors.As(err, &broken) {
			return nil, fault.New("busy", broken.Hint, "--busy: %v", err)
		}
		if err != nil {
			return nil, err
		}
	}
	return all, nil
}

// CheckClock judges the parts of the kitchen that concern the clock.
func (r *Request) CheckClock() error {
	k := r.Kitchen
	for i, pot := range k.Pots {
		if _, err := timeline.ParseHeat(pot.Heat); err != nil {
			return r.Locate(fault.Of(fmt.Sprintf("pot[%d].heat", i), err, ""))
		}
	}
	if cmp.Or(k.Zone, k.Awake, k.Canner.Outdoors, k.Canner.GaugeChecked) == "" && len(k.FreezeDryer.Bookings) == 0 {
		return nil
	}
	_, err := r.calendar()
	return err
}
