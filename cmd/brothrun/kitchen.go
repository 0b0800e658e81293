package main

import (
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"brothrun/export"
	"brothrun/stock/ask"
	"brothrun/stock/fault"
	"brothrun/stock/runfile"
	"brothrun/timeline"
)

const kitchenLong = `Writes a commented starter kitchen file to fill in: the equipment that stays
from run to run, and how to measure it. brothrun kitchen check FILE then judges
it.`

func newKitchen() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "kitchen",
		Short: "Write a starter kitchen file, or check one",
		Long:  kitchenLong,
		Example: `  brothrun kitchen > kitchen.toml
  brothrun kitchen check kitchen.toml`,
		Args: arguments(cobra.NoArgs),
		RunE: func(cmd *cobra.Command, _ []string) error {
			_, err := io.WriteString(cmd.OutOrStdout(), runfile.Starter())
			return err
		},
	}
	cmd.AddCommand(&cobra.Command{
		Use:   "check FILE",
		Short: "Judge a kitchen file: what it holds, what is missing",
		Args:  arguments(cobra.ExactArgs(1)),
		RunE: func(cmd *cobra.Command, args []string) error {
			kitchen, err := decodeFile(args[0], runfile.DecodeKitchen)
			if err != nil {
				return err
			}
			r := request{kitchen: kitchen, kitchenFile: args[0]}
			report, err := ask.CheckKitchen(kitchen)
			if err != nil {
				return r.locate(err)
			}
			if err := checkClock(r); err != nil {
				return err
			}
			if _, err := r.runsFolder(); err != nil {
				return err
			}
			return export.Kitchen(cmd.OutOrStdout(), args[0], report, colourful(cmd.OutOrStdout()))
		},
	})
	return cmd
}

// flagError names the flag an error is about.
func flagError(flag string, err error) error { return fmt.Errorf("--%s: %w", flag, err) }

// checkClock judges the parts of a kitchen that concern the clock.
func checkClock(r request) error {
	k := r.kitchen
	for i, pot := range k.Pots {
		if _, err := timeline.ParseHeat(pot.Heat); err != nil {
			return r.locate(fault.Of(fmt.Sprintf("pot[%d].heat", i), err, ""))
		}
	}
	if k.Zone == "" && k.Awake == "" && len(k.FreezeDryer.Bookings) == 0 && k.Canner.Outdoors == "" &&
		k.Canner.GaugeChecked == "" {
		return nil
	}
	_, err := r.calendar()
	return err
}
