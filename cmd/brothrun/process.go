package main

import (
	"errors"

	"github.com/spf13/cobra"

	"brothrun/cmd/brothrun/order"
	"brothrun/export"
	"brothrun/stock/ask"
	"brothrun/stock/fault"
	"brothrun/stock/quantity"
	"brothrun/stock/settle"
)

const processLong = `Prints the tested pressure and time for strained, skimmed stock at an altitude,
or why there is none and what to do instead.

The settings are those of the USDA Complete Guide to Home Canning, Guide 5; no
others are known here, and none is worked out.`

func newProcess() *cobra.Command {
	var altitude, gauge, jar, kind, units argument
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
	for _, flag := range []struct {
		argument          *argument
		name, kind, usage string
	}{
		{&altitude, "altitude", "HEIGHT", "of the kitchen above sea level, such as 3200ft (no default)"},
		{&gauge, "gauge", "weighted|dial", "the canner's gauge; both when not given"},
		{&jar, "jar", "SIZE", "half-pint, pint, pint-and-half or quart; all when not given"},
		{&kind, "kind", "KIND", "of bones, as for plan; any that has a tested process when not given"},
		{&units, "units", "us|metric", "which units come first"},
	} {
		flag.argument.kind = flag.kind
		flags.Var(flag.argument, flag.name, flag.usage)
	}
	cmd.RunE = func(cmd *cobra.Command, _ []string) error {
		query := ask.ProcessQuery{Kind: settle.Kind(kind.text), Gauge: gauge.text, Jar: jar.text}
		if altitude.text != "" {
			height, err := quantity.ParseAltitude(altitude.text)
			if err != nil {
				return order.FlagFault("altitude", err)
			}
			query.Altitude = &height
		}
		system := quantity.US
		if units.text != "" {
			var err error
			if system, err = quantity.ParseSystem(units.text); err != nil {
				return order.FlagFault("units", err)
			}
		}
		answer, err := ask.Process(query, system)
		var input *fault.Fault
		if errors.As(err, &input) && cmd.Flags().Changed(input.Key) {
			return order.FlagFault(input.Key, err)
		}
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
