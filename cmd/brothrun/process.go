package main

import (
	"github.com/spf13/cobra"

	"brothrun/export"
	"brothrun/stock"
	"brothrun/stock/quantity"
)

const processLong = `Prints the tested pressure and time for strained, skimmed stock at an altitude, or
why there is none and what to do instead.

The settings are those of the USDA Complete Guide to Home Canning, Guide 5; no
others are known here, and none is worked out.`

func newProcess() *cobra.Command {
	var altitude, gauge, jar, kind, units string
	cmd := &cobra.Command{
		Use:   "process --altitude HEIGHT [flags]",
		Short: "Print the tested canner setting for an altitude",
		Long:  processLong,
		Example: `  brothrun process --altitude 3200ft --gauge weighted
  brothrun process --altitude 975m --gauge dial --jar pint --kind beef`,
		Args: arguments(cobra.NoArgs),
	}
	flags := cmd.Flags()
	flags.SortFlags = false
	flags.StringVar(&altitude, "altitude", "", "`HEIGHT` of the kitchen above sea level, such as 3200ft (no default)")
	flags.StringVar(&gauge, "gauge", "", "`weighted|dial`; both when not given")
	flags.StringVar(&jar, "jar", "", "`SIZE` of the jars: half-pint, pint, pint-and-half or quart; all when not given")
	flags.StringVar(&kind, "kind", "chicken", "`KIND` of bones, as for plan")
	flags.StringVar(&units, "units", "us", "`us|metric`, which units come first")
	cmd.RunE = func(cmd *cobra.Command, _ []string) error {
		query := stock.ProcessQuery{Kind: stock.Kind(kind), Gauge: gauge, Jar: jar}
		if altitude != "" {
			height, err := quantity.ParseLength(altitude)
			if err != nil {
				return usageError{flagError("altitude", err), ""}
			}
			query.Altitude = &height
		}
		system, err := quantity.ParseSystem(units)
		if err != nil {
			return usageError{flagError("units", err), ""}
		}
		answer, err := stock.Process(query, system)
		if err != nil {
			return err
		}
		if err := export.Process(cmd.OutOrStdout(), answer, system, colourful(cmd.OutOrStdout())); err != nil {
			return err
		}
		if len(answer.Settings) == 0 {
			return errRefused
		}
		return nil
	}
	return cmd
}
