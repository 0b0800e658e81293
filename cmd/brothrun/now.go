package main

import (
	"fmt"
	"io"
	"time"

	"github.com/spf13/cobra"

	"brothrun/cmd/brothrun/order"
	"brothrun/export"
	"brothrun/stock/fault"
)

func newNow() *cobra.Command {
	var given today
	var watch, asJSON bool
	cmd := &cobra.Command{
		Use:   "now RUN.toml",
		Short: "What is on now, the number to watch, and what comes next",
		Long: `Shows what is on now, by the plan and its notes: since when and until when, the
number to watch, the clock of a load in the canner, what comes next, and when
you are free.`,
		Example: `  brothrun now testdata/demo/run.toml --at "2026-11-29 10:00"
  brothrun now run.toml --watch`,
		Args: arguments(cobra.ExactArgs(1)),
		RunE: func(cmd *cobra.Command, args []string) error {
			for {
				err := showNow(cmd.OutOrStdout(), args[0], given, watch, asJSON)
				if err != nil || !watch || asJSON || !terminal(cmd.OutOrStdout()) {
					return err
				}
				time.Sleep(watchEvery)
			}
		},
	}
	given.register(cmd, "another `TIME` than now, such as 10:54 or \"2026-11-28 10:54\"")
	cmd.Flags().BoolVar(&watch, "watch", false, "show it again and again in place, on a terminal, until Ctrl-C")
	cmd.Flags().BoolVar(&asJSON, "json", false, "print it as JSON instead")
	return cmd
}

// watchEvery is how often now --watch looks again.
const watchEvery = 5 * time.Second

func showNow(stdout io.Writer, path string, given today, watch, asJSON bool) error {
	day, now, err := given.plan(path)
	if err != nil {
		return err
	}
	if len(day.Plan.Steps) == 0 {
		return fault.New("", `start = "2026-11-28 08:00" in the run file`, "%s does not say when it begins or is done", path)
	}
	at, err := day.Moment(given.at, now)
	if err != nil {
		return err
	}
	if day, err = day.AsOf(at, order.Clock{Now: now, Busy: given.busy}); err != nil {
		return err
	}
	if asJSON {
		return export.NowJSON(stdout, day.Plan, at)
	}
	if watch && terminal(stdout) {
		fmt.Fprint(stdout, "\x1b[H\x1b[2J")
	}
	return export.Now(stdout, day.Plan, at, colourful(stdout))
}
