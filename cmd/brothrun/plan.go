package main

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"brothrun/cmd/brothrun/order"
	"brothrun/export"
	"brothrun/stock"
	"brothrun/stock/fault"
	"brothrun/stock/quantity"
	"brothrun/timeline"
)

// planFlag is a flag that sets a field of the kitchen or the run: the setting of its
// name in order.
type planFlag struct{ group, name, argument, usage string }

// The groups of flags, in the order help shows them.
const (
	potGroup    = "The pot"
	jarsGroup   = "Jars and canner"
	clockGroup  = "The clock"
	outputGroup = "Output"
)

// argument is the text of a flag; its kind is what help shows in its place.
// One that may be given more than once has a line for each.
type argument struct {
	text, kind string
	many       bool
}

func (a *argument) String() string { return a.text }
func (a *argument) Type() string   { return a.kind }
func (a *argument) Set(text string) error {
	if a.many && a.text != "" {
		text = a.text + "\n" + text
	}
	a.text = text
	return nil
}

// yesOrNo is the kind of a flag that needs no text: alone it means true.
const yesOrNo = "bool"

// register adds the flag to a group.
func (f planFlag) register(group *pflag.FlagSet) {
	flag := group.VarPF(&argument{kind: f.argument, many: several[f.name]}, f.name, "", f.usage)
	if f.argument == yesOrNo {
		flag.NoOptDefVal = "true"
	}
}

// fill gives a request what those of flags say that a command has and was given.
func fill(r *order.Request, cmd *cobra.Command, flags []planFlag) error {
	for _, f := range flags {
		if flag := cmd.Flags().Lookup(f.name); flag != nil && flag.Changed {
			if err := r.Set(f.name, flag.Value.String()); err != nil {
				return err
			}
		}
	}
	return nil
}

var planFlags = []planFlag{
	{potGroup, "kind", "KIND", "what goes in: chicken, turkey, beef, turkey-frames, whole-chicken, ... (pieces are raw, frames picked)"},
	{potGroup, "bones", "WEIGHT", "how much of it, such as 9lb or 4kg; whole birds \"2 birds, 9 lb\" (in all) or \"2 birds of 4.5 lb\""},
	{potGroup, "vegetables", "WEIGHT", "vegetables with it, such as 2lb or \"4 onions, 6 carrots\""},
	{potGroup, "thaw", "fridge|cold-water|pot|none", "the bones are frozen, and how they thaw: pot is not at all, for frames and bones only"},
	{potGroup, "pot", "VOLUME", "the pot to its brim, such as 22qt, or a pot of the kitchen by name (repeatable: several pots in one run)"},
	{potGroup, "pot-width", "LENGTH", "inside width of the pot, such as 12in"},
	{potGroup, "water", "VOLUME", "fit (what leaves room for the boil, the default) or a volume, such as 12qt"},
	{potGroup, "simmer", "TIME", "how long it simmers, such as 45m or 4h"},
	{potGroup, "lid", "on|ajar|off", "the lid while it simmers"},
	{potGroup, "top-up", "never|level", "let the level fall, or keep it up with hot water"},
	{potGroup, "chill", "METHOD", "how it is chilled: ice-bath-stirred, fridge, jars-in-fridge, ... (see brothrun chill; default: the easiest that is safe)"},
	{potGroup, "outdoors", "TEMPERATURE", "outside, for --chill outdoors, such as 25F"},
	{potGroup, "route", "ROUTE", "where the leftover goes: freeze-dry, freezer or fridge"},
	{potGroup, "fridge", "TEMPERATURE", "of the fridge, such as 38F"},
	{potGroup, "freezer", "TEMPERATURE", "of the freezer, such as 0F"},
	{potGroup, "tap", "TEMPERATURE", "of the cold tap water, such as 59F"},

	{jarsGroup, "altitude", "HEIGHT", "of the kitchen above sea level, such as 3200ft (no default: it sets the pressure)"},
	{jarsGroup, "gauge", "weighted|dial", "the canner's gauge"},
	{jarsGroup, "jars", "SIZES", "jars in order of preference, such as quart,pint or quart=14,pint=12"},
	{jarsGroup, "prefer", "jars|loads|leftover", "choose jars and loads for your order of jars (the default), the fewest loads or the least leftover"},
	{jarsGroup, "mix", yesOrNo, "let jars of several sizes share a load, at the time of the longest"},
	{jarsGroup, "small-loads", yesOrNo, "plan loads of fewer than 2 quarts or 4 pints too; else their broth is left over"},
	{jarsGroup, "mouth", "regular|wide", "the jars' mouths"},
	{jarsGroup, "canner-width", "LENGTH", "inside width of the canner, such as 12.25in"},
	{jarsGroup, "canner-height", "LENGTH", "inside height of the canner, such as 11.5in"},
	{jarsGroup, "holds", "SIZES", "jars you counted in one layer, such as quart=7,pint=9"},
	{jarsGroup, "racks", "COUNT", "racks you have: one carries each layer of jars"},

	{clockGroup, "start", "TIME", `when the first step begins, such as "2026-11-28 08:00" or "Sat 8am"`},
	{clockGroup, "finish-by", "TIME", "when the kitchen is wiped down at the latest, instead of --start"},
	{clockGroup, "between", "TIME", "instead: the run falls between this time ..."},
	{clockGroup, "and", "TIME", "... and this one, where it takes the fewest nights"},
	{clockGroup, "choose", "NUMBER", "of the days listed for --finish-by or --between, another than the first"},
	{clockGroup, "unattended", yesOrNo, "the simmer may go on with nobody up or at home: by its maker's word, and yours"},
	{clockGroup, "zone", "ZONE", "time zone, such as America/Denver or Denver"},
	{clockGroup, "awake", "HOURS", "when you are up and at home, such as 06:30-22:00"},

	{outputGroup, "units", "us|metric", "which units come first"},
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
	noHistory  bool
	draw       bool
	json       bool
	write      []string
	format     string
	paper      string
	zoneInFile bool
	useBy      bool
	phases     bool
	noWaiting  bool
	asked      export.Asked
	force      bool
}

// runGroups are the groups of the flags that say which runs, in the order of the help.
var runGroups = []string{potGroup, jarsGroup, clockGroup, outputGroup}

// runFlags are the flags that say which runs, by their group.
func runFlags(kitchen *string, busy *[]string) map[string]*pflag.FlagSet {
	groups := map[string]*pflag.FlagSet{}
	for _, title := range runGroups {
		groups[title] = pflag.NewFlagSet(title, pflag.ContinueOnError)
		groups[title].SortFlags = false
	}
	for _, flag := range planFlags {
		flag.register(groups[flag.group])
	}
	groups[jarsGroup].StringVar(kitchen, "kitchen", "", "`FILE` of the equipment that stays (see brothrun kitchen)")
	groups[clockGroup].StringArrayVar(busy, "busy", nil,
		"calendar `FILE` (.ics) of when you are out or taken (repeatable)")
	return groups
}

// addGroups gives a command its flags, and its help by their groups.
func addGroups(cmd *cobra.Command, groups map[string]*pflag.FlagSet) {
	for _, title := range runGroups {
		cmd.Flags().AddFlagSet(groups[title])
	}
	helpInGroups(cmd, runGroups, groups)
}

func newPlan() *cobra.Command {
	var out outputFlags
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
	groups := runFlags(&out.kitchen, &out.busy)
	clock, output := groups[clockGroup], groups[outputGroup]
	clock.StringVar(&out.remind, "remind", "", "how `LONG` before a step its reminder comes, such as 15m or 2d, or hands-on=20m,watch=5m; usual as suits the step")
	clock.BoolVar(&out.why, "why", false, "say of every step what keeps it where it stands")
	clock.BoolVar(&out.zoneInFile, "zone-in-file", false, "write local times and the zone's rules into the calendar instead of UTC")
	output.BoolVar(&out.full, "full", false, "show all of it: the water, other ways to fill the jars, freeze-drying, what was assumed, the cautions")
	output.BoolVar(&out.levers, "levers", false, "show what single changes would do: lid, time, water, bones, jars, racks")
	output.BoolVar(&out.noHistory, "no-history", false, "leave out what your past runs teach (runs in the kitchen file)")
	output.BoolVar(&out.draw, "draw", false, "draw how the jars stand in each layer of the loads")
	output.BoolVar(&out.chart, "chart", false, "chart who and what is busy when, day by day")
	output.BoolVar(&out.json, "json", false, "print the plan as JSON instead")
	output.StringArrayVar(&out.write, "write", nil, "write to `FILE`, the form by its ending: .ics .html .csv .json .md .svg; - is standard output (repeatable)")
	output.StringVar(&out.format, "format", "", "the `FORM` of --write -: ics, html, csv, json, md or svg")
	output.StringVar(&out.paper, "paper", "", "the `letter|a4` paper of --write sheet.html (default: by the units)")
	output.BoolVar(&out.useBy, "use-by", false, "put the use-by dates into the calendar too, each announced the morning before")
	output.BoolVar(&out.phases, "phases", false, "put each phase of a canner load into the calendar too, as a question")
	output.BoolVar(&out.noWaiting, "no-waiting", false, "leave out of the calendar what nobody is needed for")
	output.BoolVar(&out.force, "force", false, "replace files that exist")
	addGroups(cmd, groups)
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		out.ask(cmd)
		requests, err := requestsOf(cmd, args, out.kitchen)
		if err != nil {
			return err
		}
		for _, r := range requests {
			r.NoHistory = out.noHistory
		}
		return plan(cmd.OutOrStdout(), cmd.ErrOrStderr(), requests, out)
	}
	return cmd
}

// requestsOf are the runs of one kitchen that args name, with the flags of planFlags.
func requestsOf(cmd *cobra.Command, args []string, kitchen string) (requests []*order.Request, err error) {
	if cmd.Flags().Changed("kitchen") && strings.TrimSpace(kitchen) == "" {
		return nil, fault.New("kitchen", "name the file, or leave it out", "--kitchen is empty")
	}
	if len(args) == 0 {
		args = []string{""} // flags alone make a run
	}
	for _, path := range args {
		r, err := order.Read(machine(), path, kitchen)
		if err != nil {
			return nil, err
		}
		if err := fill(r, cmd, planFlags); err != nil {
			return nil, err
		}
		requests = append(requests, r)
	}
	return requests, order.Together(requests)
}

// dated reads the days that requests name by this instant, which it returns.
func dated(requests []*order.Request) (now time.Time, err error) {
	if now, err = stamp(); err != nil {
		return now, err
	}
	for _, r := range requests {
		if err := r.Date(now); err != nil {
			return now, err
		}
	}
	return now, nil
}

// ask takes what is said of the calendar; what is not said is kept.
func (o *outputFlags) ask(cmd *cobra.Command) {
	if cmd.Flags().Changed("phases") {
		o.asked.Phases = &o.phases
	}
	if cmd.Flags().Changed("no-waiting") {
		o.asked.NoWaiting = &o.noWaiting
	}
	if cmd.Flags().Changed("remind") {
		o.asked.Remind = &o.remind
	}
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

// plan works the requests out and prints or writes them.
func plan(stdout, stderr io.Writer, requests []*order.Request, out outputFlags) error {
	outs, err := asked(out)
	if err != nil {
		return err
	}
	options := export.Options{ZoneInFile: out.zoneInFile, UseBy: out.useBy, Asked: out.asked}
	if options.Now, err = dated(requests); err != nil {
		return err
	}
	if err := prepare(outs, out.force, inputs(requests, out.busy), order.RunIDs(requests)); err != nil {
		return err
	}
	batches, err := worked(requests, outs, out, options.Now)
	if err != nil {
		return err
	}
	if err := onPaper(outs, out.paper, batches[0].Units); err != nil {
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
	clock := order.Clock{Now: options.Now, Busy: out.busy, Remind: remind(outs, out.asked), Timed: timed(out)}
	plans, away, unfit := order.Schedule(requests, batches, clock)
	if unfit != nil && !errors.As(unfit, new(*order.Unfit)) {
		return unfit
	}

	printed := slices.ContainsFunc(outs, func(o output) bool { return o.path == "-" })
	if unfit != nil {
		leave(output.listsSteps, "steps")
	}
	for _, o := range outs {
		if o.needsSteps() && len(plans[0].Steps) == 0 {
			return fault.New("write", `--start "2026-11-28 08:00", or --finish-by`,
				"--write %s needs a time to begin or to finish by", o.path)
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

// onPaper gives outputs that are printed their paper: the one asked for, or that of a
// kitchen with such units.
func onPaper(outs []output, name string, u quantity.System) error {
	printed := false
	for i := range outs {
		if outs[i].form != "html" {
			continue
		}
		printed = true
		var err error
		if outs[i].paper, err = export.ParsePaper(name, u); err != nil {
			return err
		}
	}
	if name != "" && !printed {
		return fault.New("paper", "add --write sheet.html", "--paper goes with --write sheet.html")
	}
	return nil
}

// remind is how long before a step its reminder comes: as asked for, or as the first of
// the calendars that are to be replaced has it.
func remind(outs []output, asked export.Asked) string {
	for _, o := range outs {
		asked = asked.Or(o.former.Asked())
	}
	if asked.Remind == nil || *asked.Remind == timeline.UsualRemind {
		return ""
	}
	return *asked.Remind
}

// asked is what is to be written, and where.
func asked(out outputFlags) ([]output, error) {
	if out.json {
		if out.format != "" {
			return nil, fault.New("", "give one of them", "--json and --format go against each other")
		}
		out.write, out.format = append(out.write, "-"), "json"
	}
	outs, err := outputs(out.write, out.format)
	if err == nil && out.draw && slices.ContainsFunc(outs, func(o output) bool { return o.path == "-" }) {
		err = fault.New("draw", "leave --draw out, or --write layer.svg",
			"--draw draws on the screen, which --json and --write - take the place of")
	}
	return outs, err
}

// worked works the requests out, as the runs they were in the calendars that outs
// replace.
func worked(requests []*order.Request, outs []output, out outputFlags, now time.Time) ([]stock.Batch, error) {
	var formers []*export.Former
	for _, o := range outs {
		formers = append(formers, o.former)
	}
	order.Keep(requests, formers, now)
	drawn := slices.ContainsFunc(outs, output.needsLoads)
	layers := out.draw || slices.ContainsFunc(outs, output.drawsLayers)
	batches, err := order.Batches(requests, order.Extras{Levers: out.levers, Layers: layers})
	for _, b := range batches {
		if drawn && !b.Refused() && len(b.Loads) == 0 {
			return nil, fault.New("", "plan without --write *.svg and read why",
				"there is no layer to draw: the %s fill no canner load", b.What)
		}
	}
	return batches, err
}

// timed are the flags given that mean nothing without a clock.
func timed(out outputFlags) (given []string) {
	for _, flag := range []struct {
		name  string
		given bool
	}{
		{"busy", len(out.busy) > 0}, {"remind", out.remind != ""}, {"why", out.why}, {"chart", out.chart}, {"use-by", out.useBy}, {"phases", out.phases}, {"no-waiting", out.noWaiting},
	} {
		if flag.given {
			given = append(given, flag.name)
		}
	}
	return given
}

// show prints a plan, or several together, and their days at the end, where a
// terminal's eye is.
func show(stdout io.Writer, plans []timeline.Plan, away []timeline.Booking, out outputFlags) error {
	look := export.Look{Colour: colourful(stdout), Full: out.full, Why: out.why}
	steps := false
	plans = slices.Clone(plans)
	for i := range plans {
		if !out.draw {
			plans[i].Batch.Drawings = nil
		}
		steps = steps || len(plans[i].Steps) > 0
	}
	var err error
	if len(plans) > 1 {
		err = export.Together(stdout, plans, look)
	} else {
		err = export.Screen(stdout, plans[0], look)
	}
	if err != nil || !out.chart || !steps {
		return err
	}
	fmt.Fprintln(stdout)
	return export.Chart(stdout, plans, away, look.Colour)
}
