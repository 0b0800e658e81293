package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"runtime"
	"slices"
	"strings"
	"sync"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
	"golang.org/x/term"

	"brothrun/cmd/brothrun/order"
	"brothrun/export"
	"brothrun/stock/fault"
	"brothrun/stock/runfile"
	"brothrun/stock/settle"
	"brothrun/stock/whatif"
)

const moneyGroup = "What it is worth"

// racksFlags set a price of the kitchen.
var racksFlags = []planFlag{
	{moneyGroup, "runs-per-year", "COUNT", "runs a year (default 12, or the run files of a folder)"},
	{moneyGroup, "rack-price", "MONEY", "one more rack, in your own currency (default 30)"},
	{moneyGroup, "fuel-price", "MONEY", "a kWh of what the burner takes in (default 0.15)"},
	{moneyGroup, "hour-value", "MONEY", "an hour of yours beside the canner (default: only fuel counts)"},
}

const racksLong = `Answers whether another rack would pay: what 1, 2, 3 ... racks do to the canner
loads of a run, with their chances, hours, fuel and money, for your own jars,
quarts only and pints only, and what else would save a load.

Takes the flags and files of plan, and prices as flags or as [prices] in the
kitchen file. Given a folder it answers for all the run files in it, a season.`

func newRacks() *cobra.Command {
	var kitchen string
	var asJSON bool
	cmd := &cobra.Command{
		Use:   "racks [RUN.toml | FOLDER]",
		Short: "Would another rack pay? Loads, hours, fuel and money",
		Long:  racksLong,
		Example: `  brothrun racks testdata/demo/run.toml --jars pint --hour-value 10
  brothrun racks --kind turkey-frames --bones 9lb --pot 22qt --altitude 3200ft \
      --canner-height 11.5in
  brothrun racks season/ --rack-price 25`,
		Args: arguments(cobra.MaximumNArgs(1)),
	}
	titles := []string{potGroup, jarsGroup, moneyGroup, outputGroup}
	groups := map[string]*pflag.FlagSet{}
	for _, title := range titles {
		groups[title] = pflag.NewFlagSet(title, pflag.ContinueOnError)
		groups[title].SortFlags = false
	}
	settable := slices.Concat(planFlags, racksFlags)
	for _, flag := range settable {
		if group := groups[flag.group]; group != nil { // the clock does not matter here
			flag.register(group)
		}
	}
	groups[jarsGroup].StringVar(&kitchen, "kitchen", "", "`FILE` of the equipment that stays (see brothrun kitchen)")
	groups[outputGroup].BoolVar(&asJSON, "json", false, "print the answer as JSON instead")
	for _, title := range titles {
		cmd.Flags().AddFlagSet(groups[title])
	}
	helpInGroups(cmd, titles, groups)
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		if cmd.Flags().Changed("kitchen") && strings.TrimSpace(kitchen) == "" {
			return fault.New("kitchen", "name the file, or leave it out", "--kitchen is empty")
		}
		requests, isFolder, err := readRuns(args, kitchen)
		if err != nil {
			return err
		}
		for _, r := range requests {
			if err := fill(r, cmd, settable); err != nil {
				return err
			}
		}
		answer, err := askRacks(requests, isFolder, progress(cmd.ErrOrStderr(), len(requests)))
		if err != nil {
			return err
		}
		out := cmd.OutOrStdout()
		if asJSON {
			err = export.RacksJSON(out, answer)
		} else {
			err = export.Racks(out, answer, colourful(out))
		}
		if err == nil && answer.Refused() {
			return errRefused
		}
		return err
	}
	return cmd
}

// askRacks asks for every run the same: the prices of the first kitchen that has
// any. done is told how many runs are answered for.
func askRacks(requests []*order.Request, isFolder bool, done func(int)) (whatif.RackAnswer, error) {
	prices, runs := requests[0].Kitchen.Prices, 0
	for _, r := range requests {
		if prices == (runfile.Prices{}) {
			prices = r.Kitchen.Prices
		}
	}
	if isFolder {
		runs = len(requests)
	}
	question := whatif.AskRacks(prices, runs)
	answers := make([]whatif.RackAnswer, len(requests))
	err := inParallel(len(requests), done, func(i int) (err error) {
		r := requests[i]
		if isFolder { // in another week of a season other jars are full
			r.Setup, err = settle.Run(r.Kitchen, r.Run)
		} else {
			err = r.Settle()
		}
		if err == nil {
			answers[i], err = whatif.Racks(r.Setup, question)
		}
		if located := r.Locate(err); !isFolder || located != err {
			return located
		}
		if err != nil {
			err = fmt.Errorf("%s: %w", r.Run.File, err)
		}
		return err
	})
	if err != nil {
		return whatif.RackAnswer{}, err
	}
	if !isFolder {
		return answers[0], nil
	}
	return whatif.Season(answers)
}

// inParallel does work for 0 to n-1 on all processors, the lower numbers first, and
// tells done after each how many are through; of all in the end, come what may. It
// stops at an error, and returns that of the lowest number.
func inParallel(n int, done func(int), work func(int) error) error {
	var (
		mutex         sync.Mutex
		workers       sync.WaitGroup
		next, through int
		failed        = n // the lowest that did
		failure       error
	)
	for range min(n, runtime.GOMAXPROCS(0)) {
		workers.Go(func() {
			mutex.Lock()
			defer mutex.Unlock()
			for next < n && failure == nil {
				i := next
				next++
				mutex.Unlock()
				err := work(i)
				mutex.Lock()
				if err != nil && i < failed {
					failed, failure = i, err
				}
				through++
				done(through)
			}
		})
	}
	workers.Wait()
	if failure != nil {
		done(n)
	}
	return failure
}

// fewForProgress is how many runs are through before anybody asks: some tenth of a
// second. Common practice, no source.
const fewForProgress = 100

// progress tells on a terminal how many of all runs are through; the line is gone
// when all are.
func progress(w io.Writer, all int) func(int) {
	if out, ok := w.(*os.File); !ok || all < fewForProgress || !term.IsTerminal(int(out.Fd())) {
		return func(int) {}
	}
	return counter(w, all)
}

// counter writes a line over itself, at every hundredth.
func counter(w io.Writer, all int) func(int) {
	return func(through int) {
		switch {
		case through == all:
			fmt.Fprint(w, "\r\x1b[K")
		case through*100/all != (through-1)*100/all:
			fmt.Fprintf(w, "\r%d of %d runs", through, all)
		}
	}
}

// mostRunsInFolder is how many run files a folder may have: a run a day for five
// years, 3 s of one processor. Own choice, no source.
const mostRunsInFolder = 2000

func tooManyRuns(folder string, most int) error {
	return fault.New("", "put the runs of each year into a folder of their own",
		"the folder %s has more than %d run files, the most that are answered for at once", folder, most)
}

// readRuns reads one run, or every run of a folder.
func readRuns(args []string, kitchen string) (requests []*order.Request, isFolder bool, err error) {
	if len(args) == 1 {
		if info, err := os.Stat(args[0]); err == nil && info.IsDir() {
			requests, err := readFolder(args[0], kitchen)
			return requests, true, err
		}
	}
	r, err := order.Read(machine(), runArgument(args), kitchen)
	return []*order.Request{r}, false, err
}

// readFolder reads the run files of a folder by name, and passes over kitchen
// files.
func readFolder(folder, kitchen string) ([]*order.Request, error) {
	files, err := tomlFiles(folder)
	if err != nil {
		return nil, err
	}
	var requests []*order.Request
	here := machine()
	for _, path := range files {
		isKitchen, err := isKitchenFile(here, path)
		if err != nil {
			return nil, err
		}
		if isKitchen {
			continue
		}
		r, err := order.Read(here, path, kitchen)
		if err != nil {
			return nil, err
		}
		if requests = append(requests, r); len(requests) > mostRunsInFolder {
			return nil, tooManyRuns(folder, mostRunsInFolder)
		}
	}
	if len(requests) == 0 {
		return nil, noRuns(folder)
	}
	return requests, nil
}

func noRuns(where string) error {
	return fault.New("", "name a folder with run files, or one run file; one to start from stands in README.md",
		"no run file (.toml) in %s", where)
}

// isKitchenFile reports whether a file is a kitchen's and not a run's. What is
// neither is an error: the complaint of the form that could read on for longer.
func isKitchenFile(m order.Machine, path string) (bool, error) {
	run, runErr := order.Decode(m, path, runfile.DecodeRun)
	kitchen, kitchenErr := order.Decode(m, path, runfile.DecodeKitchen)
	switch {
	case runErr == nil && kitchenErr != nil:
		return false, nil
	case runErr != nil && kitchenErr == nil:
		return true, nil
	case runErr == nil:
		// Altitude, gauge and the like stand in either; an empty file is neither.
		return len(run.Lines) > 0 && len(kitchen.Lines) > 0, nil
	}
	var asRun, asKitchen *runfile.Error
	if errors.As(runErr, &asRun) && errors.As(kitchenErr, &asKitchen) && asKitchen.Line > asRun.Line {
		return false, kitchenErr
	}
	return false, runErr
}
