package main

import (
	"io"

	"github.com/spf13/cobra"

	"brothrun/cmd/brothrun/order"
	"brothrun/export"
	"brothrun/stock/ask"
	"brothrun/stock/runfile"
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
			r, err := order.Read(machine(), "", args[0])
			if err != nil {
				return err
			}
			report, err := ask.CheckKitchen(r.Kitchen)
			if err != nil {
				return r.Locate(err)
			}
			if err := r.CheckClock(); err != nil {
				return err
			}
			if r.Kitchen.Runs != "" {
				if err := folderThere(r.RunsFolder()); err != nil {
					return r.Locate(err)
				}
			}
			return export.Kitchen(cmd.OutOrStdout(), args[0], report, colourful(cmd.OutOrStdout()))
		},
	})
	return cmd
}
