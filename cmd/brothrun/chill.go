package main

import (
	"errors"
	"strings"

	"github.com/spf13/cobra"

	"brothrun/cmd/brothrun/order"
	"brothrun/export"
	"brothrun/stock/ask"
	"brothrun/stock/fault"
	"brothrun/stock/quantity"
)

const chillLong = `Compares the ways to cool a pot of strained broth against the two-stage rule:
from 135 °F to 70 °F within 2 hours and to 41 °F within 6, with the ice each
takes.

The broth and its pot come from a run file's plan or from flags. Times are
worked out with a band, not measured. A method asked for (--method) that fails
ends in exit status 3.

Methods: fridge, counter, outdoors, freezer, cold-water, ice-bath,
ice-bath-stirred, shallow-pans, jars-in-fridge, ice-added, frozen-bottles, and
in sequence: cold-water, ice-bath, ice-bath-stirred, ice-added or
frozen-bottles, then +fridge; cold-water+ice-bath-stirred;
cold-water+jars-in-fridge.`

// chillFlag is a flag of chill that asks for one figure.
type chillFlag struct {
	argument
	name, usage string
	set         func(text string) error // nil where it is a setting of order
}

// chillFlags are those flags, in the order of help: each sets a figure of the query, or
// of the kitchen and the run.
func chillFlags(query *ask.ChillQuery) []chillFlag {
	length := func(text string) (*quantity.Length, error) {
		value, err := quantity.ParseLength(text)
		return &value, err
	}
	return []chillFlag{
		{argument{kind: "VOLUME"}, "volume", "strained broth, such as 2gal", func(text string) error {
			value, err := quantity.ParseVolume(text)
			query.Volume = &value
			return err
		}},
		{argument{kind: "LENGTH"}, "pot-width", "inside width of the pot, such as 10in", func(text string) (err error) {
			query.Width, err = length(text)
			return err
		}},
		{argument{kind: "TEMPERATURE"}, "from", "of the broth when cooling starts (default 203F, just off the boil)",
			func(text string) error {
				value, err := quantity.ParseTemperature(text)
				query.From = &value
				return err
			}},
		{argument{kind: "TEMPERATURE"}, "fridge", "of the fridge, such as 38F", nil},
		{argument{kind: "TEMPERATURE"}, "freezer", "of the freezer, such as 0F", nil},
		{argument{kind: "TEMPERATURE"}, "tap", "of the cold tap water, such as 59F", nil},
		{argument{kind: "TEMPERATURE"}, "outdoors", "outside, such as 25F; without it the porch is left out", nil},
		{argument{kind: "WEIGHT"}, "ice", "all the ice there is, such as 20lb (default: as much as it takes)",
			func(text string) error {
				value, err := quantity.ParseMass(text)
				if err == nil && value <= 0 {
					err = errors.New("must be more than nothing")
				}
				query.Ice = value
				return err
			}},
		{argument{kind: "LENGTH"}, "pan-depth", "of broth in shallow pans, such as 1in (default 2in)",
			func(text string) error {
				value, err := length(text)
				if err == nil && *value <= 0 {
					err = errors.New("must be more than nothing")
				}
				if err == nil {
					query.PanDepth = *value
				}
				return err
			}},
		{argument{kind: "SIZE"}, "jar", "jars that jars-in-fridge fills, such as pint (default the run's first, or quart)",
			func(text string) error {
				query.Jar = text
				return nil
			}},
		{argument{kind: "METHOD"}, "method", "one method only, such as ice-bath-stirred", func(text string) error {
			query.Method = text
			return nil
		}},
		{argument{kind: "us|metric"}, "units", "which units come first", nil},
	}
}

func newChill() *cobra.Command {
	var query ask.ChillQuery
	var kitchen string
	var asJSON bool
	cmd := &cobra.Command{
		Use:   "chill [RUN.toml]",
		Short: "Is the chill fast enough? Times, limits and ice by method",
		Long:  chillLong,
		Example: `  brothrun chill --volume 2gal --pot-width 10in
  brothrun chill testdata/demo/run.toml --outdoors 25F
  brothrun chill testdata/demo/run.toml --method ice-bath-stirred --ice 20lb`,
		Args: arguments(cobra.MaximumNArgs(1)),
	}
	flags := cmd.Flags()
	flags.SortFlags = false
	settable := chillFlags(&query)
	for i := range settable {
		flags.Var(&settable[i].argument, settable[i].name, settable[i].usage)
	}
	flags.StringVar(&kitchen, "kitchen", "", "`FILE` of the equipment that stays (see brothrun kitchen)")
	flags.BoolVar(&asJSON, "json", false, "print the answer as JSON instead")

	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		if cmd.Flags().Changed("kitchen") && strings.TrimSpace(kitchen) == "" {
			return fault.New("kitchen", "name the file, or leave it out", "--kitchen is empty")
		}
		request, err := order.Read(machine(), runArgument(args), kitchen)
		if err != nil {
			return err
		}
		query.FromRun = len(args) > 0
		for _, flag := range settable {
			if !cmd.Flags().Changed(flag.name) {
				continue
			}
			var err error
			if flag.set == nil {
				err = request.Set(flag.name, flag.text)
			} else {
				err = request.Take(flag.name, flag.text, flag.set)
			}
			if err != nil {
				return err
			}
		}
		answer, err := ask.CompareChill(request.Kitchen, request.Run, query)
		if err != nil {
			return request.Locate(err)
		}
		if asJSON {
			err = export.ChillJSON(cmd.OutOrStdout(), answer)
		} else {
			err = export.Chill(cmd.OutOrStdout(), answer, colourful(cmd.OutOrStdout()))
		}
		if err == nil && answer.Refused() {
			err = errRefused
		}
		return err
	}
	return cmd
}
