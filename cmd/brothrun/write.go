package main

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"os/signal"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"time"

	"brothrun/export"
	"brothrun/stock/fault"
	"brothrun/stock/remark"
	"brothrun/timeline"
)

// output is one form of the plan and where it goes.
type output struct {
	path   string         // "-" for standard output
	key    string         // of the run file, where that names it; empty: --write does
	form   string         // "ics"
	target string         // the file itself, where path is a link
	former *export.Former // the calendar that stands there
	// encode writes what is no plan, in its form; nil for a plan.
	encode func(io.Writer) error
}

// named is an output as errors name it.
func (o output) named() string {
	if o.key != "" {
		return o.path
	}
	return "--write " + o.path
}

// wrong is what is wrong with where an output goes.
func (o output) wrong(hint, format string, about ...any) error {
	return fault.New(cmp.Or(o.key, "write"), hint, format, about...)
}

// forms are the forms a plan can be written in, by file extension.
var forms = []string{"csv", "ics", "json", "md", "svg"}

// outputs reads --write and --format. The form of a file is its extension; the
// form of "-" is --format.
func outputs(paths []string, format string) ([]output, error) {
	var outs []output
	for _, path := range paths {
		form := strings.ToLower(strings.TrimPrefix(filepath.Ext(path), "."))
		if path == "-" {
			form = strings.ToLower(format)
			if format == "" {
				return nil, fault.New("write", "--format "+strings.Join(forms, "|"), "--write - needs a form")
			}
		}
		if !slices.Contains(forms, form) {
			return nil, fault.New("write", "end the file name in ."+strings.Join(forms, ", ."),
				"--write %s: no such form %q", path, form)
		}
		if slices.ContainsFunc(outs, func(o output) bool { return filepath.Clean(o.path) == filepath.Clean(path) }) {
			return nil, fault.New("write", "name each file once", "--write %s is given twice", path)
		}
		outs = append(outs, output{path: path, form: form})
	}
	if format != "" && !slices.Contains(paths, "-") {
		return nil, fault.New("format", "add --write -, or name a file with --write run."+format,
			"--format goes with --write -")
	}
	return outs, nil
}

// encode writes plans in a form. One file holds several only as a calendar or as
// JSON.
func encode(w io.Writer, o output, plans []timeline.Plan, options export.Options) error {
	plan := plans[0]
	switch {
	case o.encode != nil:
		return o.encode(w)
	case o.form == "ics":
		return export.Calendar(w, plans, options)
	case o.form == "json" && len(plans) > 1:
		return export.JSONList(w, plans)
	case len(plans) > 1:
		return fault.New("write", "write .ics or .json, or plan each run by itself",
			"--write %s: one .%s holds one run, and %d are planned", o.path, o.form, len(plans))
	case o.form == "csv":
		return export.CSV(w, plan)
	case o.form == "json":
		return export.JSON(w, plan)
	case o.form == "svg":
		return export.SVG(w, plan)
	default:
		return export.Markdown(w, plan, plan.Batch.Units)
	}
}

// needsSteps reports whether the output is empty without steps on a clock.
func (o output) needsSteps() bool { return o.form == "ics" || o.form == "csv" }

// needsLoads reports whether the output draws the layers of the loads.
func (o output) needsLoads() bool { return o.form == "svg" }

// prepare finds the file each output goes to and reads the calendars that are to be
// replaced, in which runIDs are known again.
func prepare(outs []output, force bool, read []input, runIDs []string) error {
	if err := place(outs, force, read); err != nil || !force {
		return err
	}
	return readFormers(outs, runIDs)
}

// place finds the file each output goes to. A file that is read is not replaced, by
// whatever name or link.
func place(outs []output, force bool, read []input) error {
	targets := map[string]output{}
	for i := range outs {
		out := &outs[i]
		if out.path == "-" {
			continue
		}
		var err error
		if out.target, err = targetOf(out.path, force); err != nil {
			return err
		}
		if other, twice := targets[out.target]; twice {
			return out.wrong("name each file once", "%s and %s are one file", other.named(), out.named())
		}
		targets[out.target] = *out
		for _, input := range read {
			if sameFile(out.target, input.path) {
				return out.wrong("write to another file", "%s would replace %s", out.named(), input.what)
			}
		}
	}
	return nil
}

// readFormers reads the calendars that are to be replaced, in which runIDs are known
// again. One with nothing of ours is kept.
func readFormers(outs []output, runIDs []string) (err error) {
	for i := range outs {
		out := &outs[i]
		if out.form != "ics" || out.path == "-" {
			continue
		}
		if out.former, err = formerAt(out.target, runIDs); err != nil {
			return fmt.Errorf("%s is kept, even with --force: %w; write to another file", out.path, err)
		}
	}
	return nil
}

// sameFile reports whether two paths lead to one file.
func sameFile(a, b string) bool {
	one, err := os.Stat(a)
	if err != nil {
		return false
	}
	other, err := os.Stat(b)
	return err == nil && os.SameFile(one, other)
}

// writeAll writes every output or, when one cannot be, none: all are encoded and
// stand in temporary files beside their places before the first is put there. A
// calendar that takes the place of one of ours says what changed since.
func writeAll(outs []output, stdout io.Writer, plans []timeline.Plan, options export.Options, force bool) error {
	for _, out := range outs {
		if others := out.former.Others(plans); others > 0 && !options.Others {
			plans[0].Warnings = append(plans[0].Warnings, remark.Note{
				Code: timeline.OtherRunsDropped, Facts: []any{export.Printable(out.path), others}})
		}
	}
	encoded := make([]bytes.Buffer, len(outs))
	for i, out := range outs {
		options.Former = out.former
		if err := encode(&encoded[i], out, plans, options); err != nil {
			return err
		}
	}
	files := temporaries{names: make([]string, len(outs))}
	defer files.remove()
	defer files.removeOnSignal()()
	for i, out := range outs {
		if out.path == "-" {
			continue
		}
		if err := files.writeBeside(i, out, encoded[i].Bytes()); err != nil {
			return err
		}
	}
	for i, out := range outs {
		if out.path == "-" {
			if _, err := stdout.Write(encoded[i].Bytes()); err != nil {
				return err
			}
		}
	}
	files.Lock() // a signal comes before the first file is in its place or after the last
	defer files.Unlock()
	for i, out := range outs {
		if out.path != "-" {
			if err := putInPlace(files.names[i], out.target, force); err != nil {
				return err
			}
		}
	}
	return nil
}

// temporaries are files that stand until they are put in their places.
type temporaries struct {
	sync.Mutex
	names   []string // empty where there is none
	flushed bool     // they are on the disk once they are written
}

// temporaryPrefix begins the name of a temporary file; what follows is the process
// and a number.
const temporaryPrefix = ".brothrun-"

// remove removes those that still stand.
func (t *temporaries) remove() {
	for _, name := range t.names {
		if name != "" {
			os.Remove(name)
		}
	}
}

// removeOnSignal lets what ends the command, such as Ctrl-C, take the files along,
// until the function it returns is called. The exit status is then that of a shell
// for the signal.
func (t *temporaries) removeOnSignal() (stop func()) {
	signals, done := make(chan os.Signal, 1), make(chan struct{})
	// A reader of standard output that goes away is an error of writing to it.
	closed := make(chan os.Signal, 1)
	signal.Notify(closed, syscall.SIGPIPE)
	for _, ends := range []os.Signal{os.Interrupt, syscall.SIGTERM, syscall.SIGHUP} {
		if !signal.Ignored(ends) { // as nohup does
			signal.Notify(signals, ends)
		}
	}
	go func() {
		select {
		case ended := <-signals:
			t.Lock() // for good
			t.remove()
			number, _ := ended.(syscall.Signal)
			os.Exit(128 + int(number))
		case <-done:
		}
	}()
	return func() {
		signal.Stop(signals)
		signal.Stop(closed)
		close(done)
	}
}

// targetOf is the file to be written: path, or what it links to, so that a link
// keeps its place. Only an ordinary file is replaced, and only with force.
func targetOf(path string, force bool) (string, error) {
	target, err := filepath.Abs(path)
	if err != nil {
		return "", err
	}
	// The folder may be a link too.
	if folder, err := filepath.EvalSymlinks(filepath.Dir(target)); err == nil {
		target = filepath.Join(folder, filepath.Base(target))
	}
	if _, err := os.Lstat(target); err != nil {
		return target, nil // what is wrong with it shows on writing
	}
	info, err := os.Stat(target)
	switch {
	case err == nil && info.IsDir():
		return "", fault.New("", "name a file in it", "%s is a folder", path)
	case !force:
		return "", fmt.Errorf("%s exists and is kept; --force replaces it", path)
	case err != nil:
		return "", fmt.Errorf("%s is a link that leads nowhere: remove it first", path)
	case !info.Mode().IsRegular():
		return "", fmt.Errorf("%s is no ordinary file, and is kept", path)
	}
	return filepath.EvalSymlinks(target)
}

// formerAt reads the calendar that is about to be replaced; nil when there is no
// file. One of another program is an error.
func formerAt(path string, runIDs []string) (*export.Former, error) {
	file, err := os.Open(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	defer file.Close()
	former, err := export.ReadFormer(file, runIDs...)
	if err == nil && former == nil {
		err = errors.New("it is a calendar of another program")
	}
	return former, err
}

// writeBeside writes data to a temporary file, number i, in the folder of out's.
// Where out's exists its permissions are kept, else those of any new file.
func (t *temporaries) writeBeside(i int, out output, data []byte) error {
	permissions := fs.FileMode(0o666)
	old, err := os.Stat(out.target)
	exists := err == nil
	if exists {
		permissions = old.Mode().Perm()
	}
	file, err := t.create(i, out, permissions)
	if err != nil {
		return fmt.Errorf("cannot write %s: %w", out.path, err)
	}
	if exists {
		file.Chmod(permissions | 0o200) // more than the umask leaves; a file system without permissions needs none
	}
	_, err = file.Write(data)
	if err == nil && t.flushed {
		err = file.Sync()
	}
	if err = errors.Join(err, file.Close()); err != nil {
		return fmt.Errorf("cannot write %s: %w", out.path, err)
	}
	return nil
}

// create makes an empty temporary file, of a name that nothing has.
func (t *temporaries) create(i int, out output, permissions fs.FileMode) (*os.File, error) {
	t.Lock()
	defer t.Unlock()
	for n := 0; ; n++ {
		name := filepath.Join(filepath.Dir(out.target), fmt.Sprintf("%s%d-%d", temporaryPrefix, os.Getpid(), n))
		file, err := os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, permissions|0o200)
		if err == nil {
			t.names[i] = name
			return file, nil
		}
		if !errors.Is(err, fs.ErrExist) || n > 1000 {
			return nil, errors.Unwrap(err)
		}
	}
}

// putInPlace gives a temporary file its name, so that a reader sees the old file
// or the new one and never half of it. Without force an existing file is kept.
func putInPlace(temporary, path string, force bool) error {
	if force {
		return os.Rename(temporary, path)
	}
	// A link, unlike a rename, fails when the name was taken meanwhile.
	switch err := os.Link(temporary, path); {
	case err == nil:
		return nil
	case errors.Is(err, fs.ErrExist):
		return fmt.Errorf("%s exists and is kept; --force replaces it", path)
	default: // a file system without links
		return os.Rename(temporary, path)
	}
}

// stamp is the one instant a calendar file is marked with: SOURCE_DATE_EPOCH
// when it is set, so that the same input gives the same bytes, else the clock.
func stamp() (time.Time, error) {
	text := os.Getenv("SOURCE_DATE_EPOCH")
	if text == "" {
		return time.Now().UTC().Truncate(time.Second), nil
	}
	seconds, err := strconv.ParseInt(text, 10, 64)
	if err != nil || seconds < 0 || seconds > 7258118400 { // the year 2200
		return time.Time{}, fault.New("", "unset it",
			"SOURCE_DATE_EPOCH=%q: must be seconds since 1970, 0 to 7258118400", text)
	}
	return time.Unix(seconds, 0).UTC(), nil
}
