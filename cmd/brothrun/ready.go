package main

import (
	"errors"
	"fmt"
	"io"
	"slices"

	"github.com/spf13/cobra"

	"brothrun/cmd/brothrun/order"
	"brothrun/export"
	"brothrun/stock"
	"brothrun/stock/fault"
	"brothrun/timeline"
)

const readyLong = `One card of what has to be there before a run, or the runs of a weekend: what to
buy, to wash, to borrow and to clear, summed, against what the kitchen file says
is there. What is too little comes first. With a time to begin or to finish by
each thing says by when.

Takes the flags and files of plan.`

// readyFlags are the flags of ready that set no field of a run.
type readyFlags struct {
	kitchen string
	busy    []string
	json    bool
	write   []string
	paper   string
	force   bool
}

func newReady() *cobra.Command {
	var out readyFlags
	cmd := &cobra.Command{
		Use:   "ready [RUN.toml ...]",
		Short: "What to buy, wash, borrow and clear before a run or a weekend",
		Long:  readyLong,
		Example: `  brothrun ready testdata/weekend/frames.toml testdata/weekend/beef.toml
  brothrun ready testdata/demo/run.toml --thaw fridge --write ready.html`,
		Args: arguments(cobra.MaximumNArgs(timeline.MostRuns)),
	}
	groups := runFlags(&out.kitchen, &out.busy)
	output := groups[outputGroup]
	output.BoolVar(&out.json, "json", false, "print the card as JSON instead")
	output.StringArrayVar(&out.write, "write", nil, "write to `FILE`, the form by its ending: .html, .md or .json (repeatable)")
	output.StringVar(&out.paper, "paper", "", "the `letter|a4` paper of --write ready.html (default: by the units)")
	output.BoolVar(&out.force, "force", false, "replace files that exist")
	addGroups(cmd, groups)
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		requests, err := requestsOf(cmd, args, out.kitchen)
		if err != nil {
			return err
		}
		return ready(cmd.OutOrStdout(), requests, out)
	}
	return cmd
}

// readyForms are the forms of a card.
var readyForms = map[string]func(io.Writer, timeline.Ready, export.Paper) error{
	"html": export.ReadySheet,
	"json": func(w io.Writer, r timeline.Ready, _ export.Paper) error { return export.ReadyJSON(w, r) },
	"md":   func(w io.Writer, r timeline.Ready, _ export.Paper) error { return export.ReadyMarkdown(w, r) },
}

// ready works the requests out and prints or writes what they need.
func ready(stdout io.Writer, requests []*order.Request, out readyFlags) error {
	outs, err := outputs(out.write, "")
	if err != nil {
		return err
	}
	for _, o := range outs {
		if readyForms[o.form] == nil {
			return fault.New("write", "end the file name in .html, .md or .json", "--write %s: no form of a card", o.path)
		}
	}
	if err := place(outs, out.force, inputs(requests, out.busy)); err != nil {
		return err
	}
	card, unfit := cardOf(requests, out.busy)
	if unfit != nil && !errors.As(unfit, new(*order.Unfit)) {
		return unfit
	}
	if err := onPaper(outs, out.paper, card.Plans[0].Batch.Units); err != nil {
		return err
	}
	for i, o := range outs {
		outs[i].write = func(w io.Writer) error { return readyForms[o.form](w, card, outs[i].paper) }
	}
	if err := writeAll(outs, stdout, card.Plans, export.Options{}, out.force); err != nil {
		return err
	}
	show := func(w io.Writer, card timeline.Ready) error { return export.ReadyCard(w, card, colourful(stdout)) }
	if out.json {
		show = export.ReadyJSON
	}
	if err := show(stdout, card); err != nil {
		return err
	}
	for _, o := range outs {
		if !out.json {
			fmt.Fprintf(stdout, "\nWritten: %s\n", export.Printable(o.path))
		}
	}
	if slices.ContainsFunc(card.Plans, func(p timeline.Plan) bool { return len(p.Batch.Refusals) > 0 }) {
		return errors.Join(unfit, errRefused)
	}
	return unfit
}

// cardOf is what the requests need, on the clock where all of them have a time. Where that is
// an *order.Unfit the card is whole but for its dates.
func cardOf(requests []*order.Request, busy []string) (timeline.Ready, error) {
	now, err := dated(requests)
	if err != nil {
		return timeline.Ready{}, err
	}
	batches, err := order.Batches(requests, order.Extras{})
	if err != nil {
		return timeline.Ready{}, err
	}
	var unfit error
	plans := undated(batches)
	if order.Timed(requests) {
		plans, _, unfit = order.Schedule(requests, batches, order.Clock{Now: now, Busy: busy})
		if unfit != nil && !errors.As(unfit, new(*order.Unfit)) {
			return timeline.Ready{}, unfit
		}
	}
	return timeline.ReadyFor(requests[0].Setup.House, plans), unfit
}

// undated are plans without a clock.
func undated(batches []stock.Batch) []timeline.Plan {
	plans := make([]timeline.Plan, len(batches))
	for i, b := range batches {
		plans[i].Batch = b
	}
	return plans
}
