package main

import (
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"brothrun/cmd/brothrun/order"
	"brothrun/export"
	"brothrun/stock/fault"
	"brothrun/timeline"
)

const labelsLong = `Prints labels for the jars of a run, and for boxes of frozen broth or jars of
powder: the kind, the run, the date, pressure and time, the day it is best used
by, the load. There are as many as jars are planned or, once their seals are
noted, sealed; none for a jar noted as broken or unsealed, nor for a load that
was not processed.

The sheet goes by the size of a label alone, as it stands on the box; --sheet
describes any other. A label is never cut off: what does not fit is printed
smaller, and then left out, the run first, then the load.`

// labelsFlags are what is said of labels beside the run.
type labelsFlags struct {
	today
	export.LabelAsk
	boxes int
	write []string
	force bool
}

func newLabels() *cobra.Command {
	var given labelsFlags
	cmd := &cobra.Command{
		Use:   "labels RUN.toml",
		Short: "Labels for jars, freezer boxes and powder, to print",
		Long:  labelsLong,
		Example: `  brothrun labels testdata/demo/run.toml --write labels.html
  brothrun labels run.toml --label 4x2in --skip 3 --shift 1mm,0 --write l.html
  brothrun labels run.toml --round 63.5mm --paper a4 --write lids.html
  brothrun labels run.toml --label 60x40mm --write labels.html \
      --sheet across=3,down=6,left=12mm,top=15mm,pitch=63x44mm`,
		Args: arguments(cobra.ExactArgs(1)),
		RunE: func(cmd *cobra.Command, args []string) error {
			return label(cmd.OutOrStdout(), args[0], given)
		},
	}
	flags := cmd.Flags()
	flags.SortFlags = false
	flags.StringVar(&given.Label, "label", "", "`SIZE` of a label, such as 63.5x38.1mm or 4x2in")
	flags.StringVar(&given.Round, "round", "", "round labels, for lids, of this `WIDTH`, such as 63.5mm")
	flags.StringVar(&given.Paper, "paper", "", "the sheet, `letter|a4` (default: by the units)")
	flags.IntVar(&given.Skip, "skip", 0, "the `NUMBER` of labels that are gone from the first sheet")
	flags.StringVar(&given.Shift, "shift", "", "print all further `RIGHT,DOWN`, such as 1mm,-0.5mm")
	flags.StringVar(&given.Sheet, "sheet", "",
		"a `SHEET` of your own: across=3,down=7,left=7.2mm,top=15mm,pitch=66x38.1mm")
	flags.IntVar(&given.boxes, "boxes", 0, "the `NUMBER` of freezer boxes (default: of a quart, or a litre, each)")
	flags.StringVar(&given.kitchen, "kitchen", "", "`FILE` of the equipment that stays, instead of the run's")
	flags.StringArrayVar(&given.busy, "busy", nil,
		"calendar `FILE` (.ics) of when you are out, beside the run's own (repeatable)")
	flags.StringArrayVar(&given.write, "write", nil, "the `FILE` to print, ending in .html; - is standard output")
	flags.BoolVar(&given.force, "force", false, "replace a file that exists")
	return cmd
}

func label(stdout io.Writer, path string, given labelsFlags) error {
	outs, err := outputs(given.write, map[bool]string{true: "html"}[len(given.write) == 1 && given.write[0] == "-"])
	if err != nil {
		return err
	}
	for _, out := range outs {
		if out.form != "html" {
			return fault.New("write", "--write labels.html", "--write %s: labels are written as .html", out.path)
		}
	}
	now, err := stamp()
	if err != nil {
		return err
	}
	day, err := order.Today(machine(), path, given.kitchen, order.Clock{Now: now, Busy: given.busy})
	if err != nil {
		return err
	}
	units := day.Plan.Batch.Units
	sheet, err := given.Read(units)
	if err != nil {
		return err
	}
	labels, err := day.Labels(given.boxes)
	if err != nil {
		return err
	}
	files := inputs([]*order.Request{day.Request}, given.busy)
	if err := place(outs, given.force, files); err != nil {
		return err
	}
	for i := range outs {
		outs[i].write = func(w io.Writer) error { return export.Labels(w, day.Plan, labels, sheet, given.Skip) }
	}
	if err := writeAll(outs, stdout, []timeline.Plan{day.Plan}, export.Options{}, given.force); err != nil {
		return err
	}
	for _, out := range outs {
		if out.path == "-" {
			return nil
		}
	}
	if err := export.LabelsList(stdout, labels, sheet, given.Skip); err != nil {
		return err
	}
	for _, out := range outs {
		fmt.Fprintf(stdout, "\nWritten: %s\n", export.Printable(out.path))
	}
	return nil
}
