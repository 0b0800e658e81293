package main

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"brothrun/export"
	"brothrun/stock"
	"brothrun/stock/ask"
	"brothrun/stock/fault"
	"brothrun/stock/quantity"
	"brothrun/stock/runfile"
	"brothrun/stock/settle"
	"brothrun/stock/whatif"
	"brothrun/timeline"
)

// request is a run and its kitchen as files and flags give them, and what the
// clock and the output need beside.
type request struct {
	kitchen runfile.Kitchen
	run     runfile.Run
	setup   settle.Setup    // of both, once it is settled
	fromRun string          // base name of the run file; empty without one
	flags   map[string]bool // flags given, by name
	// runFile and kitchenFile are the paths read; empty without.
	runFile, kitchenFile string
	kept                 export.Kept // what a calendar about to be replaced says it is
}

// planFlag is a flag that sets a field of the kitchen or the run. Each takes
// the same text as the file's key.
type planFlag struct {
	group, name, argument, usage string
	set                          func(r *request, text string) error
}

// hint says how to write a length of the kitchen that was given without a unit:
// not in feet.
func (f planFlag) hint(value string, err error) string {
	var unreadable *quantity.ParseError
	if f.argument == "LENGTH" && errors.As(err, &unreadable) && unreadable.Number != "" {
		return fmt.Sprintf("write %sin or %scm", unreadable.Number, unreadable.Number)
	}
	return ""
}

// The groups of flags, in the order help shows them.
const (
	potGroup    = "The pot"
	jarsGroup   = "Jars and canner"
	clockGroup  = "The clock"
	outputGroup = "Output"
)

// parsed makes a setter from a parser and the field it fills.
func parsed[T any](parse func(string) (T, error), field func(*request) **T) func(*request, string) error {
	return func(r *request, text string) error {
		value, err := parse(text)
		if err != nil {
			return err
		}
		*field(r) = &value
		return nil
	}
}

// text makes a setter of a field that is checked when the run is planned.
func text(field func(*request) *string) func(*request, string) error {
	return func(r *request, value string) error {
		*field(r) = value
		return nil
	}
}

// oneKind makes a setter that also takes back, as a whole, what the run file says
// about several kinds in one pot.
func oneKind(set func(*request, string) error) func(*request, string) error {
	return func(r *request, value string) error {
		if len(r.run.Portions) > 0 {
			r.run.Portions = nil
			delete(r.run.Lines, "bones")
		}
		return set(r, value)
	}
}

// argument is the text of a flag; its kind is what help shows in its place.
type argument struct{ text, kind string }

func (a *argument) String() string        { return a.text }
func (a *argument) Type() string          { return a.kind }
func (a *argument) Set(text string) error { a.text = text; return nil }

// yesOrNo is the kind of a flag that needs no text: alone it means true.
const yesOrNo = "bool"

// register adds the flag to a group, its text to go to value.
func (f planFlag) register(group *pflag.FlagSet, value *argument) {
	flag := group.VarPF(value, f.name, "", f.usage)
	if f.argument == yesOrNo {
		flag.NoOptDefVal = "true"
	}
}

var planFlags = []planFlag{
	{potGroup, "kind", "KIND", "what goes in: chicken, turkey, beef, turkey-frames, ... (pieces are raw, frames picked)", oneKind(text(func(r *request) *string { return &r.run.Kind }))},
	{potGroup, "bones", "WEIGHT", "how much of it, such as 9lb or 4kg", oneKind(parsed(quantity.ParseMass, func(r *request) **quantity.Mass { return &r.run.Bones }))},
	{potGroup, "vegetables", "WEIGHT", "vegetables with it, such as 2lb", parsed(quantity.ParseMass, func(r *request) **quantity.Mass { return &r.run.Vegetables })},
	{potGroup, "pot", "VOLUME", "the pot to its brim, such as 22qt, or a pot of the kitchen by name", text(func(r *request) *string { return &r.run.Pot })},
	{potGroup, "pot-width", "LENGTH", "inside width of the pot, such as 12in", parsed(quantity.ParseLength, func(r *request) **quantity.Length { return &r.run.PotWidth })},
	{potGroup, "water", "VOLUME", "fit (what leaves room for the boil, the default) or a volume, such as 12qt", setWater},
	{potGroup, "simmer", "TIME", "how long it simmers, such as 45m or 4h", parsed(quantity.ParseDuration, func(r *request) **time.Duration { return &r.run.Simmer })},
	{potGroup, "lid", "on|ajar|off", "the lid while it simmers", text(func(r *request) *string { return &r.run.Lid })},
	{potGroup, "top-up", "never|level", "let the level fall, or keep it up with hot water", text(func(r *request) *string { return &r.run.TopUp })},
	{potGroup, "chill", "METHOD", "how it is chilled: ice-bath-stirred, fridge, jars-in-fridge, ... (see brothrun chill; default: the easiest that is safe)", text(func(r *request) *string { return &r.run.Chill })},
	{potGroup, "outdoors", "TEMPERATURE", "outside, for --chill outdoors, such as 25F", parsed(quantity.ParseTemperature, func(r *request) **quantity.Temperature { return &r.run.Outdoors })},
	{potGroup, "route", "ROUTE", "where the leftover goes: freeze-dry, freezer or fridge", text(func(r *request) *string { return &r.run.Route })},

	{jarsGroup, "altitude", "HEIGHT", "of the kitchen above sea level, such as 3200ft (no default: it sets the pressure)", parsed(quantity.ParseAltitude, func(r *request) **quantity.Length { return &r.run.Altitude })},
	{jarsGroup, "gauge", "weighted|dial", "the canner's gauge", text(func(r *request) *string { return &r.run.Gauge })},
	{jarsGroup, "jars", "SIZES", "jars in order of preference, such as quart,pint or quart=14,pint=12", text(func(r *request) *string { return &r.run.Jars })},
	{jarsGroup, "prefer", "jars|loads|leftover", "choose jars and loads for your order of jars (the default), the fewest loads or the least leftover", text(func(r *request) *string { return &r.run.Prefer })},
	{jarsGroup, "mix", yesOrNo, "let jars of several sizes share a load, at the time of the longest", yes("mix", func(r *request) *bool { return &r.run.Mix })},
	{jarsGroup, "small-loads", yesOrNo, "plan loads of fewer than 2 quarts or 4 pints too; else their broth is left over", yes("small-loads", func(r *request) *bool { return &r.run.SmallLoads })},
	{jarsGroup, "mouth", "regular|wide", "the jars' mouths", text(func(r *request) *string { return &r.run.Mouth })},
	{jarsGroup, "canner-width", "LENGTH", "inside width of the canner, such as 12.25in", parsed(quantity.ParseLength, func(r *request) **quantity.Length { return &r.kitchen.Canner.Width })},
	{jarsGroup, "canner-height", "LENGTH", "inside height of the canner, such as 11.5in", parsed(quantity.ParseLength, func(r *request) **quantity.Length { return &r.kitchen.Canner.Height })},
	{jarsGroup, "holds", "SIZES", "jars you counted in one layer, such as quart=7,pint=9", setHolds},
	{jarsGroup, "racks", "COUNT", "racks you have: one carries each layer of jars", setRacks},

	{clockGroup, "start", "TIME", `when the first step begins, such as "2026-11-28 08:00"`, text(func(r *request) *string { return &r.run.Start })},
	{clockGroup, "finish-by", "TIME", "when the kitchen is wiped down at the latest, instead of --start", text(func(r *request) *string { return &r.run.FinishBy })},
	{clockGroup, "between", "TIME", "instead: the run falls between this time ...", text(func(r *request) *string { return &r.run.Between })},
	{clockGroup, "and", "TIME", "... and this one, where it takes the fewest nights", text(func(r *request) *string { return &r.run.And })},
	{clockGroup, "unattended", yesOrNo, "the simmer may go on with nobody up or at home: by its maker's word, and yours", yes("unattended", func(r *request) *bool {
		r.run.Unattended = new(bool)
		return r.run.Unattended
	})},
	{clockGroup, "zone", "ZONE", "time zone, such as America/Denver", text(func(r *request) *string { return &r.kitchen.Zone })},
	{clockGroup, "awake", "HOURS", "when you are up and at home, such as 06:30-22:00", text(func(r *request) *string { return &r.kitchen.Awake })},

	{outputGroup, "units", "us|metric", "which units come first", text(func(r *request) *string { return &r.kitchen.Units })},
}

const planLong = `Plans one batch of broth and prints it on one screen: how much is strained, the
jars to wash, the canner loads with their pressure and time, the steps on the
clock, and where the leftover goes.

Everything can stand in a run file, in flags, or both; a flag wins over the
file. What is not given is assumed and printed as assumed; only the altitude,
the kind, the bones and the pot have no default. Quantities carry their unit:
22qt, "9 lb 4 oz", 3200ft, 1.5 l, 45m.`

// outputFlags are the flags of plan that set no field of the run.
type outputFlags struct {
	kitchen    string
	busy       []string
	remind     string
	why        bool
	full       bool
	chart      bool
	levers     bool
	draw       bool
	json       bool
	write      []string
	format     string
	zoneInFile bool
	useBy      bool
	force      bool
}

func newPlan() *cobra.Command {
	var out outputFlags
	values := map[string]*argument{}
	cmd := &cobra.Command{
		Use:   "plan [RUN.toml ...]",
		Short: "Plan a batch: yield, jars, loads, chill, steps, calendar",
		Long:  planLong,
		Example: `  brothrun plan testdata/demo/run.toml
  brothrun plan testdata/demo/run.toml --write run.ics
  brothrun plan --kind turkey-frames --bones 9lb --pot 22qt --altitude 3200ft \
      --gauge weighted --start "2026-11-28 08:00" --zone America/Denver
  brothrun plan run.toml --busy work.ics --between "2026-11-27 18:00" \
      --and "2026-11-29 20:00" --why
  brothrun plan run.toml --lid on --jars pint --json`,
		Args: arguments(cobra.MaximumNArgs(timeline.MostRuns)),
	}
	groups := map[string]*pflag.FlagSet{}
	for _, title := range []string{potGroup, jarsGroup, clockGroup, outputGroup} {
		groups[title] = pflag.NewFlagSet(title, pflag.ContinueOnError)
		groups[title].SortFlags = false
	}
	for _, flag := range planFlags {
		values[flag.name] = &argument{kind: flag.argument}
		flag.register(groups[flag.group], values[flag.name])
	}
	jars, clock, output := groups[jarsGroup], groups[clockGroup], groups[outputGroup]
	jars.StringVar(&out.kitchen, "kitchen", "", "`FILE` of the equipment that stays (see brothrun kitchen)")
	clock.StringArrayVar(&out.busy, "busy", nil, "calendar `FILE` (.ics) of when you are out or taken (repeatable)")
	clock.StringVar(&out.remind, "remind", "", "how `LONG` before a step its reminder comes, such as 15m, or hands-on=20m,watch=5m")
	clock.BoolVar(&out.why, "why", false, "say of every step what keeps it where it stands")
	clock.BoolVar(&out.zoneInFile, "zone-in-file", false, "write local times and the zone's rules into the calendar instead of UTC")
	output.BoolVar(&out.full, "full", false, "show all of it: the water, other ways to fill the jars, freeze-drying, what was assumed, the cautions")
	output.BoolVar(&out.levers, "levers", false, "show what single changes would do: lid, time, water, bones, jars, racks")
	output.BoolVar(&out.draw, "draw", false, "draw how the jars stand in each layer of the loads")
	output.BoolVar(&out.chart, "chart", false, "chart who and what is busy when, day by day")
	output.BoolVar(&out.json, "json", false, "print the plan as JSON instead")
	output.StringArrayVar(&out.write, "write", nil, "write to `FILE`, the form by its ending: .ics .csv .json .md .svg; - is standard output (repeatable)")
	output.StringVar(&out.format, "format", "", "the `FORM` of --write -: ics, csv, json, md or svg")
	output.BoolVar(&out.useBy, "use-by", false, "put the use-by dates into the calendar too, each announced the morning before")
	output.BoolVar(&out.force, "force", false, "replace files that exist")
	for _, title := range []string{potGroup, jarsGroup, clockGroup, outputGroup} {
		cmd.Flags().AddFlagSet(groups[title])
	}
	helpInGroups(cmd, []string{potGroup, jarsGroup, clockGroup, outputGroup}, groups)
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		if cmd.Flags().Changed("kitchen") && strings.TrimSpace(out.kitchen) == "" {
			return usageError{errors.New("--kitchen is empty"), "name the file, or leave it out"}
		}
		if len(args) == 0 {
			args = []string{""} // flags alone make a run
		}
		var requests []*request
		for _, path := range args {
			r := &request{flags: map[string]bool{}}
			if err := r.read(path, out.kitchen); err != nil {
				return err
			}
			for _, flag := range planFlags {
				if !cmd.Flags().Changed(flag.name) {
					continue
				}
				if err := r.apply(flag, values[flag.name].text); err != nil {
					return err
				}
			}
			requests = append(requests, r)
		}
		if err := together(requests); err != nil {
			return err
		}
		return plan(cmd.OutOrStdout(), cmd.ErrOrStderr(), requests, out)
	}
	return cmd
}

// helpWidth is the columns help keeps within.
const helpWidth = 80

// helpInGroups shows the flags of a command in groups, in the order of titles.
func helpInGroups(cmd *cobra.Command, titles []string, groups map[string]*pflag.FlagSet) {
	cmd.SetHelpFunc(func(cmd *cobra.Command, _ []string) {
		w := cmd.OutOrStdout()
		fmt.Fprintf(w, "%s\n\nExamples:\n%s\n\nUsage:\n  brothrun %s [flags]\n", cmd.Long, cmd.Example, cmd.Use)
		for _, title := range titles {
			fmt.Fprintf(w, "\n%s:\n%s", title, groups[title].FlagUsagesWrapped(helpWidth))
		}
	})
}

// apply sets what a flag says.
func (r *request) apply(flag planFlag, value string) error {
	if strings.TrimSpace(value) == "" {
		return usageError{fmt.Errorf("--%s is empty", flag.name), "give it a value, or leave it out"}
	}
	if err := flag.set(r, value); err != nil {
		return usageError{fmt.Errorf("--%s: %w", flag.name, err), flag.hint(value, err)}
	}
	r.flags[flag.name] = true
	return nil
}

// together finds what keeps several runs from sharing a kitchen.
func together(requests []*request) error {
	ids := map[string]string{}
	for _, r := range requests {
		if len(requests) == 1 {
			return nil
		}
		for _, flag := range []string{"start", "finish-by"} {
			if r.flags[flag] {
				return usageError{fmt.Errorf("--%s is one run's, and %d are planned together", flag, len(requests)), "write it into each run file, or give --between and --and for all"}
			}
		}
		first := requests[0]
		if r.kitchen.File != first.kitchen.File {
			return usageError{fmt.Errorf("%s and %s have different kitchens, %q and %q: runs are planned together in one", first.fromRun, r.fromRun, first.kitchen.File, r.kitchen.File), "plan them apart, or give --kitchen"}
		}
		if other, twice := ids[r.runID()]; twice {
			return usageError{fmt.Errorf("%s and %s are both the run %q: their calendar entries would replace each other", other, r.fromRun, cmp.Or(r.run.ID, r.run.Name, r.fromRun)), "give each file an id of its own"}
		}
		ids[r.runID()] = r.fromRun
	}
	return nil
}

// plan works the requests out and prints or writes them.
func plan(stdout, stderr io.Writer, requests []*request, out outputFlags) error {
	outs, err := asked(out)
	if err != nil {
		return err
	}
	options := export.Options{ZoneInFile: out.zoneInFile, UseBy: out.useBy}
	if options.Now, err = stamp(); err != nil {
		return err
	}
	if err := prepare(outs, out.force, inputs(requests, out.busy)); err != nil {
		return err
	}
	keepIdentity(requests, outs, options.Now)
	batches, err := worked(requests, outs, out)
	if err != nil {
		return err
	}
	refused := slices.ContainsFunc(batches, func(b stock.Batch) bool { return len(b.Refusals) > 0 })
	var left []string // what is not written, and why
	leave := func(needs func(output) bool, why string) {
		for _, o := range outs {
			if needs(o) && o.path != "-" {
				left = append(left, fmt.Sprintf("Not written, for want of %s: %s", why, export.Printable(o.path)))
			}
		}
		outs = slices.DeleteFunc(outs, needs)
	}
	if slices.ContainsFunc(batches, stock.Batch.Refused) {
		leave(output.needsLoads, "a load to draw")
	}
	plans, away, unfit := schedule(requests, batches, out)
	if unfit != nil && !errors.As(unfit, new(unfitError)) {
		return unfit
	}

	printed := slices.ContainsFunc(outs, func(o output) bool { return o.path == "-" })
	if unfit != nil {
		leave(output.needsSteps, "steps")
	}
	for _, o := range outs {
		if o.needsSteps() && len(plans[0].Steps) == 0 {
			return usageError{fmt.Errorf("--write %s needs a time to begin or to finish by", o.path), `--start "2026-11-28 08:00", or --finish-by`}
		}
	}
	if err := writeAll(outs, stdout, plans, options, out.force); err != nil {
		return err
	}
	if !printed {
		if err := show(stdout, plans, away, out); err != nil {
			return err
		}
		for _, o := range outs {
			fmt.Fprintf(stdout, "\nWritten: %s\n", export.Printable(o.path))
		}
	}
	for _, line := range left {
		if printed { // standard output is another's to read
			fmt.Fprintf(stderr, "brothrun: %s\n", line)
		} else {
			fmt.Fprintf(stdout, "\n%s\n", line)
		}
	}
	switch {
	case refused && unfit != nil:
		return errors.Join(unfit, errRefused)
	case refused:
		return errRefused
	}
	return unfit
}

// asked is what is to be written, and where.
func asked(out outputFlags) ([]output, error) {
	if out.json {
		if out.format != "" {
			return nil, usageError{errors.New("--json and --format go against each other"), "give one of them"}
		}
		out.write, out.format = append(out.write, "-"), "json"
	}
	outs, err := outputs(out.write, out.format)
	if err == nil && out.draw && slices.ContainsFunc(outs, func(o output) bool { return o.path == "-" }) {
		err = usageError{errors.New("--draw draws on the screen, which --json and --write - take the place of"), "leave --draw out, or --write layer.svg"}
	}
	return outs, err
}

// worked works every request out as far as that goes without a clock.
func worked(requests []*request, outs []output, out outputFlags) ([]stock.Batch, error) {
	drawn := slices.ContainsFunc(outs, output.needsLoads)
	batches := make([]stock.Batch, len(requests))
	for i, r := range requests {
		var err error
		if batches[i], err = r.batch(out, drawn); err != nil {
			return nil, err
		}
		if len(requests) > 1 { // "Reheat the broth" does not say whose
			batches[i].Name = cmp.Or(batches[i].Name, r.fromRun)
		}
	}
	return batches, nil
}

// batch works one request out as far as that goes without a clock. drawn asks
// for the drawings of its loads.
func (r *request) batch(out outputFlags, drawn bool) (stock.Batch, error) {
	var batch stock.Batch
	var err error
	if r.setup, err = r.settled(); err == nil {
		batch, err = stock.Plan(r.setup)
	}
	if err != nil {
		return batch, r.locate(err)
	}
	if out.levers {
		if batch.Levers, err = whatif.Levers(r.setup); err != nil {
			return batch, r.locate(err)
		}
	}
	if drawn && !batch.Refused() && len(batch.Loads) == 0 {
		return batch, usageError{fmt.Errorf("there is no layer to draw: the %s fill no canner load", batch.What), "plan without --write *.svg and read why"}
	}
	if drawn && !batch.Refused() || out.draw {
		if batch.Drawings, err = ask.Layout(r.setup, batch); err != nil {
			return batch, r.locate(err)
		}
	}
	return batch, nil
}

// show prints plans one after another, and their days at the end, where a
// terminal's eye is.
func show(stdout io.Writer, plans []timeline.Plan, away []timeline.Booking, out outputFlags) error {
	for i, plan := range plans {
		if !out.draw {
			plan.Batch.Drawings = nil
		}
		if i > 0 {
			fmt.Fprintln(stdout)
		}
		if err := export.Screen(stdout, plan,
			export.Look{Colour: colourful(stdout), Full: out.full, Why: out.why, Brief: i < len(plans)-1}); err != nil {
			return err
		}
	}
	if !out.chart || len(plans[0].Steps) == 0 {
		return nil
	}
	fmt.Fprintln(stdout)
	return export.Chart(stdout, plans, away, colourful(stdout))
}

// flagOf is the flag that sets the same as a key of a file.
func flagOf(key string) string {
	switch key {
	case "canner.holds", "canner.racks":
		key = strings.TrimPrefix(key, "canner.")
	}
	return strings.NewReplacer("_", "-", ".", "-").Replace(key)
}

// locate says where the input an error is about was given: the flag, or the
// file and line.
func (r *request) locate(err error) error {
	var input *fault.Fault
	if !errors.As(err, &input) || input.Key == "" {
		return err
	}
	flag := flagOf(input.Key)
	if r.flags[flag] {
		return usageError{fmt.Errorf("--%s: %w", flag, err), input.Hint}
	}
	for _, at := range []string{r.run.At(input.Key), r.kitchen.At(input.Key)} {
		if at != "" {
			// A key in a list, "jar[1]", is told by its line.
			key, _, _ := strings.Cut(input.Key, "[")
			return usageError{fmt.Errorf("%s: %s: %w", at, key, err), input.Hint}
		}
	}
	return err
}

func setWater(r *request, text string) error {
	if r.run.Fit = strings.EqualFold(text, "fit"); r.run.Fit {
		return nil
	}
	volume, err := quantity.ParseVolume(text)
	r.run.Water = &volume
	return err
}

// yes makes a setter of a choice that is true or false.
func yes(name string, field func(*request) *bool) func(*request, string) error {
	return func(r *request, text string) (err error) {
		if *field(r), err = strconv.ParseBool(text); err != nil {
			err = fmt.Errorf("%s %q is not a choice: --%s or --%s=false", name, text, name, name)
		}
		return err
	}
}

func setHolds(r *request, text string) (err error) {
	r.kitchen.Canner.Holds, err = runfile.ParseHolds(text, r.kitchen)
	return err
}

func setRacks(r *request, text string) error {
	racks, err := runfile.ParseCount(text)
	if err != nil || racks < 1 || racks > 10 {
		return fmt.Errorf("racks %s: must be a whole number from 1 to 10", text)
	}
	r.kitchen.Canner.Racks = racks
	return err
}
