package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime/debug"
	"slices"
	"strings"
	"sync"
	"time"

	"github.com/spf13/cobra"

	"brothrun/cmd/brothrun/order"
	"brothrun/export"
	"brothrun/stock/fault"
	"brothrun/stock/quantity"
	"brothrun/stock/runfile"
	"brothrun/timeline"
)

// errUnread ends a command that has named the run files it could not read, and shown the
// others.
var errUnread = errors.New("some run files cannot be read")

const historyLong = `Lists runs, a line each, the oldest first: what went into the pot, how much was
to be strained and how much was, jars sealed and lost, canner loads, minutes to
pressure and back to zero, powder; and what they came to in each year. It goes
by the notes in the run files; what nobody noted is a dash. Below stands what
the notes teach of your pot, your bones and your canner, and what is in doubt.`

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
				return fault.New(name, "give it a value, or leave it out", "--%s is empty", name)
			}
		}
		if look.json && look.csv {
			return fault.New("json", "give one of them", "--json and --csv go against each other")
		}
		if look.now, err = stamp(); err != nil {
			return err
		}
		files, err := runFiles(args)
		if err != nil {
			return err
		}
		reader := outcomeReader{machine: machine(), kitchen: kitchen, unnoted: all, now: look.now}
		found, unread := reader.read(files, progress(cmd.ErrOrStderr(), len(files)))
		if !reader.anyRun {
			return noRuns(strings.Join(args, ", "))
		}
		if n := len(found); n > 0 {
			look.units = found[n-1].Units
		}
		if units != "" {
			if look.units, err = quantity.ParseSystem(units); err != nil {
				return order.FlagFault("units", err)
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

// mostPastRuns is how many run files are read at once: a run a day for 27 years. One whose
// notes are of the pot alone takes 0.1 ms to read and learn from; one whose loads are noted
// is planned again as they went, 2 ms, so that as many of those take 10 s of two
// processors. Own choice, no source.
const mostPastRuns = 10_000

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
			return nil, order.Missing(err)
		case !info.IsDir():
			add(path)
			continue
		}
		within, err := tomlFiles(path)
		if err != nil {
			return nil, err
		}
		for _, one := range within {
			add(one)
		}
		if len(files) > mostPastRuns {
			return nil, tooManyRuns(path, mostPastRuns)
		}
	}
	return files, nil
}

// tomlFiles are the TOML files of a folder by name: no folder, and no pipe that would be
// waited for. A link that leads nowhere is among them, for its reader to complain of.
func tomlFiles(folder string) (paths []string, err error) {
	entries, err := os.ReadDir(folder)
	for _, entry := range entries {
		path := filepath.Join(folder, entry.Name())
		info, err := os.Stat(path)
		ordinary := err != nil || info.Mode().IsRegular()
		if filepath.Ext(path) == ".toml" && !strings.HasPrefix(entry.Name(), ".") && ordinary {
			paths = append(paths, path)
		}
	}
	return paths, err
}

// outcomeReader reads what came of many runs.
type outcomeReader struct {
	machine order.Machine
	kitchen string // instead of each run's own
	unnoted bool   // runs without a note too
	past    bool   // only as far as other runs go by them
	now     time.Time
	anyRun  bool // there was one, though it may not be readable

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
	// What a run leaves behind is small, and is not looked for after every few of them: a
	// third less time for a thousand.
	defer debug.SetGCPercent(debug.SetGCPercent(400))
	all := make([]one, len(files))
	_ = inParallel(len(files), done, func(i int) error { // what went wrong with one keeps none of the others back
		all[i].outcome, all[i].isRun, all[i].err = o.one(files[i])
		return nil
	})
	twice := copies{}
	for i, one := range all {
		if one.err == nil {
			one.err = twice.of(files[i], one.outcome)
		}
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

// copies are the notes that were read, each by its id, what it is and when, and the file it
// stands in.
type copies map[string]string

// of finds that a run is a copy of another, notes and all: what came of it counts once.
func (c copies) of(file string, outcome timeline.Outcome) error {
	for _, e := range outcome.Run.Entries {
		if e.ID == "" {
			continue
		}
		key := fmt.Sprint(e.ID, " ", e.What, " ", e.At.Unix())
		if first, known := c[key]; known && first != file {
			return fmt.Errorf("%s: its note %s also stands in %s: take it out of one of them; what came is counted once",
				file, e.ID, first)
		}
		c[key] = file
	}
	return nil
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
	run, err := order.Decode(o.machine, path, runfile.DecodeRun)
	if err != nil || run.Kind == "" && len(run.Portions) == 0 {
		if isKitchen, err := isKitchenFile(o.machine, path); err != nil || isKitchen {
			return outcome, false, err
		}
	}
	if len(run.Notes) == 0 && !o.unnoted {
		return outcome, true, nil
	}
	r, err := order.Of(o.machine, run, path, o.kitchen, o.kitchenOf)
	if err != nil {
		return outcome, true, err
	}
	of := r.Outcome
	if o.past {
		of = r.Past
	}
	outcome, err = of(o.now)
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
		read = sync.OnceValues(func() (runfile.Kitchen,
			error) {
			return order.Decode(o.machine, path, runfile.DecodeKitchen)
		})
		o.kitchens[path] = read
	}
	o.mutex.Unlock()
	return read()
}

// past is what came of the runs whose files are in a folder, but for one, and how many of
// them cannot be read.
func past(folder, except string) (runs []timeline.Outcome, unread int, err error) {
	if err := folderThere(folder); err != nil {
		return nil, 0, err
	}
	files, err := runFiles([]string{folder})
	if err != nil {
		return nil, 0, err
	}
	if except != "" {
		except = absolute(except)
		files = slices.DeleteFunc(files, func(file string) bool { return absolute(file) == except })
	}
	now, err := stamp()
	if err != nil {
		return nil, 0, err
	}
	reader := outcomeReader{machine: machine(), past: true, now: now}
	found, broken := reader.read(files, func(int) {})
	return found, len(broken), nil
}

// folderThere finds that the folder of runs is none.
func folderThere(path string) error {
	if info, err := os.Stat(path); err != nil || !info.IsDir() {
		return fault.New("runs", "make the folder, or take the line out", "there is no folder %s", path)
	}
	return nil
}
