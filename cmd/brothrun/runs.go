package main

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"time"

	"github.com/spf13/cobra"

	"brothrun/export"
	"brothrun/stock/fault"
	"brothrun/stock/quantity"
	"brothrun/stock/record"
	"brothrun/stock/runfile"
	"brothrun/stock/settle"
	"brothrun/timeline"
)

// errUnread ends a command that has named the run files it could not read, and shown the
// others.
var errUnread = errors.New("some run files cannot be read")

const historyLong = `Lists runs, a line each, the oldest first: what went into the pot, how much was
to be strained and how much was, jars sealed and lost, canner loads, minutes to
pressure and back to zero, powder; and what they came to in each year. It goes
by the notes in the run files; what nobody noted is a dash.`

func newHistory() *cobra.Command {
	return newRuns(&cobra.Command{
		Use:   "history FOLDER | RUN.toml ...",
		Short: "What came of past runs, a line each, and of each year",
		Long:  historyLong,
		Example: `  brothrun history testdata/year
  brothrun history testdata/year --csv`,
	}, true, func(w io.Writer, all []timeline.Outcome, unread []export.Unread, look runsLook) error {
		switch {
		case look.json:
			return export.HistoryJSON(w, all, unread)
		case look.csv:
			return export.HistoryCSV(w, all)
		}
		return export.History(w, all, look.units, colourful(w))
	})
}

const shelfLong = `Says what stands on the shelf, by kind and size, the oldest first, and until
when it is best; then what was frozen and dried. It goes by the notes in the run
files: jars noted as sealed, less those used; of a load whose seals nobody
noted, those that were filled, marked. Jars of a load that is not processed
never count.`

func newShelf() *cobra.Command {
	return newRuns(&cobra.Command{
		Use:   "shelf FOLDER | RUN.toml ...",
		Short: "What stands on the shelf, and until when it is best",
		Long:  shelfLong,
		Example: `  brothrun shelf testdata/year
  brothrun shelf testdata/year --json`,
	}, false, func(w io.Writer, all []timeline.Outcome, unread []export.Unread, look runsLook) error {
		if look.json {
			return export.ShelfJSON(w, timeline.ShelfOf(all), unread, look.now)
		}
		return export.Shelf(w, timeline.ShelfOf(all), look.units, look.now, colourful(w))
	})
}

// runsLook is how a command about many runs answers.
type runsLook struct {
	json, csv bool
	units     quantity.System
	now       time.Time
}

// showRuns prints what came of runs, and those that could not be read.
type showRuns func(w io.Writer, all []timeline.Outcome, unread []export.Unread, look runsLook) error

// newRuns makes a command about many runs of how it shows them. all says that it is about
// those without notes too, and tabulates.
func newRuns(cmd *cobra.Command, all bool, show showRuns) *cobra.Command {
	var look runsLook
	var kitchen, units string
	cmd.Args = arguments(cobra.MinimumNArgs(1))
	cmd.Flags().SortFlags = false
	cmd.Flags().StringVar(&kitchen, "kitchen", "", "`FILE` of the equipment that stays, for every run")
	cmd.Flags().StringVar(&units, "units", "", "which units to show, `us|metric` (default: the last run's)")
	cmd.Flags().BoolVar(&look.json, "json", false, "print the answer as JSON instead")
	if all {
		cmd.Flags().BoolVar(&look.csv, "csv", false, "print a table for spreadsheets instead, a row a run")
	}
	cmd.RunE = func(cmd *cobra.Command, args []string) (err error) {
		for name, value := range map[string]string{"kitchen": kitchen, "units": units} {
			if cmd.Flags().Changed(name) && strings.TrimSpace(value) == "" {
				return usageError{fmt.Errorf("--%s is empty", name), "give it a value, or leave it out"}
			}
		}
		if look.json && look.csv {
			return usageError{errors.New("--json and --csv go against each other"), "give one of them"}
		}
		if look.now, err = stamp(); err != nil {
			return err
		}
		files, err := runFiles(args)
		if err != nil {
			return err
		}
		reader := outcomeReader{kitchen: kitchen, unnoted: all}
		found, unread := reader.read(files, progress(cmd.ErrOrStderr(), len(files)))
		if !reader.anyRun {
			return fmt.Errorf("%s: no run file (.toml) in it", strings.Join(args, ", "))
		}
		if n := len(found); n > 0 {
			look.units = found[n-1].Units
		}
		if units != "" {
			if look.units, err = quantity.ParseSystem(units); err != nil {
				return usageError{flagError("units", err), ""}
			}
		}
		for _, one := range unread {
			fmt.Fprintf(cmd.ErrOrStderr(), "brothrun: %s\n", export.Printable(one.Reason))
		}
		if err := show(cmd.OutOrStdout(), found, unread, look); err != nil {
			return err
		}
		if len(unread) > 0 {
			return errUnread
		}
		return nil
	}
	return cmd
}

// runFiles are the files that are named, and those in folders that are, each once, by
// name. That a folder has too many, or is not there, is an error.
func runFiles(paths []string) (files []string, err error) {
	known := map[string]bool{}
	add := func(path string) {
		if whole := absolute(path); !known[whole] {
			known[whole] = true
			files = append(files, path)
		}
	}
	for _, path := range paths {
		info, err := os.Stat(path)
		switch {
		case err != nil:
			return nil, missing(err)
		case !info.IsDir():
			add(path)
			continue
		}
		entries, err := os.ReadDir(path)
		if err != nil {
			return nil, err
		}
		for _, entry := range entries {
			one := filepath.Join(path, entry.Name())
			if filepath.Ext(one) != ".toml" || strings.HasPrefix(entry.Name(), ".") {
				continue
			}
			if info, err := os.Stat(one); err == nil && !info.Mode().IsRegular() {
				continue // a folder, or a pipe that would be waited for
			}
			add(one)
		}
		if len(files) > mostRunsInFolder {
			return nil, tooManyRuns(path)
		}
	}
	return files, nil
}

// outcomeReader reads what came of many runs.
type outcomeReader struct {
	kitchen string // instead of each run's own
	unnoted bool   // runs without a note too
	anyRun  bool   // there was one, though it may not be readable

	mutex    sync.Mutex
	kitchens map[string]func() (runfile.Kitchen, error)
}

// read is what came of the runs of some files, in order, and why some cannot be read.
// Kitchen files are passed over. done is told how many are through.
func (o *outcomeReader) read(files []string, done func(int)) (found []timeline.Outcome, unread []export.Unread) {
	type one struct {
		outcome timeline.Outcome
		isRun   bool
		err     error
	}
	all := make([]one, len(files))
	_ = inParallel(len(files), done, func(i int) error { // what went wrong with one keeps none of the others back
		all[i].outcome, all[i].isRun, all[i].err = o.one(files[i])
		return nil
	})
	for i, one := range all {
		switch {
		case one.err != nil:
			unread = append(unread, export.Unread{File: files[i], Reason: named(files[i], one.err)})
		case one.isRun && (o.unnoted || one.outcome.Notes > 0):
			found = append(found, one.outcome)
		}
		o.anyRun = o.anyRun || one.isRun || one.err != nil
	}
	timeline.Oldest(found)
	return found, unread
}

// named is an error that names the file it is about.
func named(file string, err error) string {
	if text := err.Error(); strings.Contains(text, file) {
		return text
	}
	return file + ": " + err.Error()
}

// one is what came of one run; isRun is false for a kitchen file.
func (o *outcomeReader) one(path string) (outcome timeline.Outcome, isRun bool, err error) {
	run, err := decodeFile(path, runfile.DecodeRun)
	if err != nil || run.Kind == "" && len(run.Portions) == 0 {
		if isKitchen, err := kitchenFile(path); err != nil || isKitchen {
			return outcome, false, err
		}
	}
	if len(run.Notes) == 0 && !o.unnoted {
		return outcome, true, nil
	}
	r := request{flags: map[string]bool{}, run: run, fromRun: filepath.Base(path), runFile: path}
	r.kitchenFile = cmp.Or(o.kitchen, run.Kitchen)
	if o.kitchen == "" && run.Kitchen != "" && !filepath.IsAbs(run.Kitchen) {
		r.kitchenFile = filepath.Join(filepath.Dir(path), run.Kitchen)
	}
	if r.kitchenFile != "" {
		if r.kitchen, err = o.kitchenOf(r.kitchenFile); err != nil {
			return outcome, true, err
		}
	}
	outcome, err = r.outcome()
	outcome.File = path
	return outcome, true, err
}

// kitchenOf reads a kitchen file once.
func (o *outcomeReader) kitchenOf(path string) (runfile.Kitchen, error) {
	o.mutex.Lock()
	read := o.kitchens[path]
	if read == nil {
		if o.kitchens == nil {
			o.kitchens = map[string]func() (runfile.Kitchen, error){}
		}
		read = sync.OnceValues(func() (runfile.Kitchen, error) { return decodeFile(path, runfile.DecodeKitchen) })
		o.kitchens[path] = read
	}
	o.mutex.Unlock()
	return read()
}

// outcome is what came of the run, by its notes.
func (r *request) outcome() (timeline.Outcome, error) {
	setup, err := settle.Run(r.kitchen, r.run)
	if err != nil {
		return timeline.Outcome{}, r.locate(err)
	}
	location := time.UTC // as good as any, where the days are all that is asked for
	if name, _ := r.zone(); name != "" {
		if location, err = timeline.LoadZone(name); err != nil {
			return timeline.Outcome{}, r.locate(fault.Of("zone", err, ""))
		}
	}
	var when timeline.When
	if r.hasClock() {
		if when, _, err = r.when(location); err != nil {
			return timeline.Outcome{}, err
		}
	}
	clock := func(text string) (time.Time, error) { return timeline.ParseNoted(text, location) }
	entries, err := record.Read(r.run.Notes, clock)
	if err != nil {
		return timeline.Outcome{}, r.locate(err)
	}
	outcome, err := timeline.OutcomeOf(setup, when, entries)
	if err != nil {
		return outcome, r.locate(err)
	}
	pot, err := r.kitchen.Pot(r.run.Pot)
	outcome.Pot = pot.Name
	return outcome, err
}

// settled is the run in its kitchen, with the jars that stand full taken off.
func (r *request) settled() (settle.Setup, error) {
	setup, err := settle.Run(r.kitchen, r.run)
	if err != nil {
		return setup, err
	}
	full, unread, err := r.onShelf()
	return setup.WithFull(full, unread), err
}

// onShelf is the jars that stand full by the runs of a kitchen, but for those of the run
// file at except, and how many of its run files cannot be read. A kitchen that names no
// folder has none; that the folder is not there is an error.
func (r *request) onShelf() (full map[string]int, unread int, err error) {
	folder, err := r.runsFolder()
	if err != nil || folder == "" {
		return nil, 0, err
	}
	files, err := runFiles([]string{folder})
	if err != nil {
		return nil, 0, err
	}
	if r.runFile != "" {
		itself := absolute(r.runFile)
		files = slices.DeleteFunc(files, func(file string) bool { return absolute(file) == itself })
	}
	var reader outcomeReader
	found, broken := reader.read(files, func(int) {})
	return timeline.ShelfOf(found).Full(), len(broken), nil
}

// runsFolder is the folder of run files that the kitchen names; empty without. That it is
// not there is an error.
func (r *request) runsFolder() (string, error) {
	folder := r.kitchen.Runs
	if folder == "" {
		return "", nil
	}
	if !filepath.IsAbs(folder) {
		folder = filepath.Join(filepath.Dir(r.kitchenFile), folder)
	}
	if info, err := os.Stat(folder); err != nil || !info.IsDir() {
		return "", r.locate(fault.New("runs", "make the folder, or take the line out", "there is no folder %s", folder))
	}
	return folder, nil
}
