package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"runtime/debug"
	"strings"

	"github.com/spf13/cobra"
	"golang.org/x/term"

	"brothrun/cmd/brothrun/order"
	"brothrun/export"
	"brothrun/stock/fault"
)

// The exit statuses.
const (
	exitDone    = int(order.Done)
	exitFailed  = int(order.Failed)
	exitUsage   = int(order.Usage)
	exitRefused = int(order.Refused)
)

// errRefused ends a command that has printed its refusal.
var errRefused = order.ErrRefused

// run executes the command line args and returns the exit status.
func run(args []string, stdout *os.File, stderr io.Writer) int {
	root := newRoot()
	root.SetArgs(args)
	out := &failing{File: stdout}
	root.SetOut(out)
	root.SetErr(stderr)
	err := root.Execute()
	if err == nil {
		err = out.err // help, for one, does not look whether it could be written
	}
	if err == nil {
		return exitDone
	}
	if err == errRefused {
		return exitRefused
	}
	if err == errUnread {
		return exitFailed
	}
	status, hints := diagnose(err)
	message := strings.ReplaceAll(err.Error(), "\n"+errRefused.Error(), "")
	if first, suggested, several := strings.Cut(message, "\n\nDid you mean this?"); several { // cobra's unknown command
		message, hints = first, append([]string{"brothrun " + strings.TrimSpace(suggested)}, hints...)
	}
	tell := func(message string, hints []string) {
		fmt.Fprintf(stderr, "brothrun: %s\n", export.Printable(message))
		for _, hint := range hints {
			fmt.Fprintf(stderr, "  try: %s\n", export.Printable(hint))
		}
	}
	tell(message, hints)
	if unfits := (order.Unfits)(nil); errors.As(err, &unfits) {
		for _, one := range unfits[1:] {
			tell(one.Error(), one.Hints())
		}
	}
	if errors.Is(err, errRefused) {
		return exitRefused
	}
	return status
}

// failing remembers the first error of the writer below it.
type failing struct {
	*os.File
	err error
}

func (f *failing) Write(p []byte) (int, error) {
	n, err := f.File.Write(p)
	if f.err == nil {
		f.err = err
	}
	return n, err
}

// diagnose tells the exit status of err and the next steps to show with it.
func diagnose(err error) (status int, hints []string) {
	if strings.HasPrefix(err.Error(), "unknown command") {
		return exitUsage, []string{"brothrun --help"}
	}
	of, hints := order.Diagnose(err)
	return int(of), hints
}

const rootLong = `brothrun plans a batch of broth from bones to shelf: how much this pot gives,
how many jars to wash, how many canner loads, what pressure and time the
altitude asks for, when each step falls, and where the leftover goes.

It never invents a process time. Only strained, skimmed chicken, turkey and
beef broth has a tested process; everything else it sends to the freezer.

Exit status: 0 done, 1 could not do it, 2 bad input or usage, 3 refused for
safety (everything but the refused part is still printed).`

func newRoot() *cobra.Command {
	root := &cobra.Command{
		Use:   "brothrun",
		Short: "Plan a batch of broth: yield, jars, canner loads, chill and calendar",
		Long:  rootLong,
		Example: `  brothrun plan testdata/demo/run.toml
  brothrun plan --kind turkey-frames --bones 9lb --pot 22qt --altitude 3200ft
  brothrun racks testdata/demo/run.toml --jars pint --hour-value 10
  brothrun process --altitude 3200ft --gauge weighted
  brothrun kitchen > kitchen.toml`,
		Version:       version(),
		SilenceUsage:  true,
		SilenceErrors: true,
	}
	root.SetFlagErrorFunc(flagFault)
	root.SetGlobalNormalizationFunc(flagName)
	root.SetUsageTemplate(strings.ReplaceAll(root.UsageTemplate(), "FlagUsages",
		fmt.Sprintf("FlagUsagesWrapped %d", helpWidth)))
	root.SetHelpCommand(newHelp(root))
	root.AddCommand(newPlan(), newReady(), newNote(), newNow(), newRacks(), newChill(), newProcess(), newKitchen(),
		newHistory(), newShelf(), newLabels(), newServe())
	for _, cmd := range root.Commands() {
		guard(cmd.Flags())
	}
	return root
}

// newHelp is cobra's help command, except that an unknown topic is an error.
func newHelp(root *cobra.Command) *cobra.Command {
	return &cobra.Command{
		Use:   "help [COMMAND]",
		Short: "Help about any command",
		RunE: func(_ *cobra.Command, args []string) error {
			topic, rest, err := root.Find(args)
			if err != nil || len(rest) > 0 {
				return fault.New("", "brothrun --help", "no such command: %s", strings.Join(args, " "))
			}
			return topic.Help()
		},
	}
}

// arguments wraps cobra's argument checks so that they end in exit status 2.
func arguments(check cobra.PositionalArgs) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		if err := check(cmd, args); err != nil {
			return fault.Of("", err, cmd.CommandPath()+" --help")
		}
		return nil
	}
}

// version is the module version the binary was built from.
func version() string {
	info, ok := debug.ReadBuildInfo()
	if !ok || info.Main.Version == "" || info.Main.Version == "(devel)" {
		return "development build"
	}
	return info.Main.Version
}

// terminal reports whether w is one.
func terminal(w io.Writer) bool {
	out, ok := w.(*failing)
	return ok && term.IsTerminal(int(out.Fd()))
}

// colourful reports whether w is a terminal that wants colour.
func colourful(w io.Writer) bool {
	return os.Getenv("NO_COLOR") == "" && os.Getenv("TERM") != "dumb" && terminal(w)
}
