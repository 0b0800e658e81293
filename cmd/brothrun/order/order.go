// Package order takes what a cook asks for, a run file, a kitchen file and what is said
// beside them by flags or in the fields of a page, to a plan on the clock. Whoever takes
// orders goes the same way:
//
//	request, err := order.Read(machine, "run.toml", "")   // the files
//	err = request.Set("lid", "on")                        // what is said beside them, and wins
//	err = request.Date(now)                               // "Sat 8am" is a date from then on
//	err = order.Together(requests)                        // one kitchen, each run once
//	order.Keep(requests, formers, now)                    // the runs of a calendar to be replaced
//	batches, err := order.Batches(requests, extras)       // Setup and Batch of each
//	plans, away, err := order.Schedule(requests, batches, clock)
//
// It reads no file, clock or environment by itself: the files and the zone come with a
// Machine, and the time with a Clock, so that it works where there are none, as in a
// browser. It prints and writes nothing.
//
// What was given and cannot be used is a *fault.Fault or, of the form of a file, a
// *runfile.Error; each says where it stands, by flag or by file and line, and what to do
// next. A run that fits nowhere is an *Unfit. Other errors are those of the machine. What
// is refused for safety is no error: it stands in Batch.Refusals.
package order

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"brothrun/export"
	"brothrun/stock"
	"brothrun/stock/ask"
	"brothrun/stock/fault"
	"brothrun/stock/quantity"
	"brothrun/stock/record"
	"brothrun/stock/runfile"
	"brothrun/stock/settle"
	"brothrun/stock/whatif"
	"brothrun/timeline"
)

// Machine is where orders are taken: its files and its time zone.
type Machine struct {
	// Open opens a file. Its error is fs.ErrNotExist of one that is not there, and a
	// *fault.Fault of a name that no file can be read by, such as a folder's.
	Open func(path string) (io.ReadCloser, error)
	// Absolute is the one name of a file: from the root, with links followed. Runs without
	// an id are told apart by it. Nil takes paths for that as they are.
	Absolute func(path string) string
	// Zone is the time zone, "America/Denver", of a kitchen that names none, and ZoneFrom
	// says where it is from: "this machine's clock". Both may be empty.
	Zone, ZoneFrom string
	// Past is what came of the runs whose files are in a folder, but for one of them, and
	// how many of those cannot be read. Its error is a *fault.Fault of "runs" where there
	// is no such folder. Nil: nobody knows.
	Past func(folder, except string) (runs []timeline.Outcome, unread int, err error)
}

// whole is the one name of a file; empty without one.
func (m Machine) whole(path string) string {
	if path == "" || m.Absolute == nil {
		return path
	}
	return m.Absolute(path)
}

// Request is a run and its kitchen as files and settings give them.
type Request struct {
	Kitchen              runfile.Kitchen
	Run                  runfile.Run
	RunFile, KitchenFile string       // the paths read; empty without
	NoHistory            bool         // what past runs teach is left out
	Setup                settle.Setup // of both, once Batches has settled them

	settled bool           // Setup is settled already
	choose  int            // which of the days it may fall on, from 1; 0: the best
	until   time.Time      // notes after it are left out; zero: none is
	record  []record.Entry // the notes of Run, once Batches has read them
	planned stock.Batch    // before any of them
	machine Machine
	given   map[string]bool // settings given, by name
	kept    export.Kept     // what a calendar about to be replaced says it is
}

// Read is the request of a run file, where path names one, and of the kitchen file that
// kitchen or else the run file names, which is from the folder of the run file. Both may
// be empty: settings alone make a run.
func Read(m Machine, path, kitchen string) (*Request, error) {
	var run runfile.Run
	if path != "" {
		var err error
		if run, err = Decode(m, path, runfile.DecodeRun); err != nil {
			return nil, err
		}
	}
	return Of(m, run, path, kitchen, func(path string) (runfile.Kitchen, error) {
		return Decode(m, path, runfile.DecodeKitchen)
	})
}

// Of is Read of a run that is decoded already, from path; decode reads a kitchen file.
func Of(
	m Machine, run runfile.Run, path, kitchen string, decode func(path string) (runfile.Kitchen, error),
) (*Request, error) {
	run.Lines = maps.Clone(run.Lines) // a flag takes lines of it away, and who gave it may give it again
	r := &Request{machine: m, Run: run, RunFile: path, KitchenFile: kitchen}
	if kitchen == "" && run.Kitchen != "" {
		r.KitchenFile = r.beside(run.Kitchen)
	}
	var err error
	if r.KitchenFile != "" {
		r.Kitchen, err = decode(r.KitchenFile)
	}
	if err != nil {
		return nil, err
	}
	return r, nil
}

// Decode opens a file and decodes it, as runfile.DecodeRun does.
func Decode[T any](m Machine, path string, decode func(io.Reader, string) (T, error)) (T, error) {
	file, err := m.Open(path)
	if err != nil {
		var nothing T
		return nothing, Missing(err)
	}
	defer file.Close()
	return decode(file, path)
}

// Missing is the error of opening a run or kitchen file with its next step, if the file
// is not there: that is bad input, and one that cannot be read is a failure.
func Missing(err error) error {
	if errors.Is(err, fs.ErrNotExist) {
		hint := "check the name; a run file to start from stands in README.md, a kitchen file comes from brothrun kitchen"
		if at := (*fs.PathError)(nil); errors.As(err, &at) && filepath.Ext(at.Path) != ".toml" {
			hint += `; words that belong together stand in quotes: --start "Sat 8am"`
		}
		return fault.Of("", err, hint)
	}
	return err
}

// file is the base name of the run file; empty without one.
func (r *Request) file() string {
	if r.RunFile == "" {
		return ""
	}
	return filepath.Base(r.RunFile)
}

// Locate says where the input an error is about was given: the flag, or the file and
// line. Any other error comes back as it is.
func (r *Request) Locate(err error) error {
	var input *fault.Fault
	if !errors.As(err, &input) || input.Key == "" {
		return err
	}
	if flag := flagOf(input.Key); r.given[flag] {
		return FlagFault(flag, err)
	}
	for _, at := range []string{r.Run.At(input.Key), r.Kitchen.At(input.Key)} {
		if at != "" {
			if strings.HasPrefix(input.Reason, at+": ") {
				return err // it is said already
			}
			// A key in a list, "jar[1]", is told by its line.
			key, _, _ := strings.Cut(input.Key, "[")
			return fault.Of(input.Key, fmt.Errorf("%s: %s: %w", at, key, err), "")
		}
	}
	return err
}

// FlagFault is an error as the fault of a flag, with the hint that the error has.
func FlagFault(flag string, err error) *fault.Fault {
	var hint string
	if unreadable := (*quantity.ParseError)(nil); errors.As(err, &unreadable) {
		hint = unreadable.Hint
	}
	return fault.Of(strings.ReplaceAll(flag, "-", "_"), fmt.Errorf("--%s: %w", flag, err), hint)
}

// flagOf is the flag that sets the same as a key of a file.
func flagOf(key string) string {
	switch key {
	case "canner.holds", "canner.racks":
		key = strings.TrimPrefix(key, "canner.")
	}
	return strings.NewReplacer("_", "-", ".", "-").Replace(key)
}

// Together finds what keeps several requests from being planned in one kitchen.
func Together(requests []*Request) error {
	if len(requests) == 1 {
		return nil
	}
	ids := map[string]string{}
	for _, r := range requests {
		for _, flag := range []string{"start", "finish-by", "choose"} {
			if r.given[flag] {
				hint := "write it into each run file, or give --between and --and for all"
				if flag == "choose" {
					hint = "plan the run alone, and write the start you choose into its file"
				}
				return fault.New("", hint, "--%s is one run's, and %d are planned together", flag, len(requests))
			}
		}
		if first := requests[0]; r.Kitchen.File != first.Kitchen.File {
			return fault.New("", "plan them apart, or give --kitchen",
				"%s and %s have different kitchens, %q and %q: runs are planned together in one",
				first.file(), r.file(), first.Kitchen.File, r.Kitchen.File)
		}
		if other, twice := ids[r.runID()]; twice {
			return fault.New("", "give each file an id of its own",
				"%s and %s are both the run %q: their calendar entries would replace each other",
				other, r.file(), cmp.Or(r.Run.ID, r.Run.Name, r.file()))
		}
		ids[r.runID()] = r.file()
	}
	return nil
}

// Extras are parts of a batch that are worked out only when they are asked for.
type Extras struct {
	Levers bool // Batch.Levers: what single changes would do
	Layers bool // Batch.Drawings: how the jars stand, where there are loads
}

// Batches works every request out as far as that goes without a clock, and sets its
// Setup. Several requests have each a name: "Reheat the broth" does not say whose.
func Batches(requests []*Request, extras Extras) ([]stock.Batch, error) {
	batches := make([]stock.Batch, len(requests))
	for i, r := range requests {
		var err error
		if batches[i], err = r.batch(extras); err != nil {
			return nil, r.blamed(r.Locate(err), func(r *Request) error {
				_, err := r.batch(Extras{})
				return err
			})
		}
		if len(requests) > 1 {
			batches[i].Name = cmp.Or(batches[i].Name, r.file())
		}
	}
	return batches, nil
}

// Settle sets the Setup of the run in its kitchen, with the jars that stand full by its
// folder of runs taken off those it has, and with what those runs teach. Errors are those
// of settle.Run and of Machine.Past, to be located.
func (r *Request) Settle() (err error) {
	if r.Setup, err = settle.Run(r.Kitchen, r.Run); err != nil || r.Kitchen.Runs == "" || r.machine.Past == nil {
		return err
	}
	past, unread, err := r.machine.Past(r.RunsFolder(), r.RunFile)
	r.Setup = r.Setup.WithFull(timeline.ShelfOf(past).Full(), unread)
	if !r.NoHistory {
		r.Setup = timeline.Teaches(past).Sharpen(r.Setup)
	}
	return err
}

// RunsFolder is the folder of run files that the kitchen names, which is from its own.
func (r *Request) RunsFolder() string {
	if filepath.IsAbs(r.Kitchen.Runs) {
		return r.Kitchen.Runs
	}
	return filepath.Join(filepath.Dir(r.KitchenFile), r.Kitchen.Runs)
}

func (r *Request) batch(extras Extras) (batch stock.Batch, err error) {
	if !r.settled {
		if err = r.Settle(); err != nil {
			return batch, err
		}
	}
	if r.record, err = r.entries(); err != nil {
		return batch, err
	}
	if r.planned, batch, err = timeline.Follow(r.Setup, r.record); err != nil {
		return batch, err
	}
	if extras.Levers {
		if batch.Levers, err = whatif.Levers(r.Setup); err != nil {
			return batch, err
		}
	}
	if extras.Layers {
		batch.Drawings, err = ask.Layout(r.Setup, batch)
	}
	return batch, err
}

// entries are the notes of the run, read, but for those after until.
func (r *Request) entries() ([]record.Entry, error) {
	entries, err := record.Read(r.Run.Notes, r.noteClock())
	if !r.until.IsZero() {
		entries = slices.DeleteFunc(entries, func(e record.Entry) bool { return e.At.After(r.until) })
	}
	return entries, err
}
