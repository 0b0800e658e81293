package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"brothrun/stock/runfile"
)

// read fills the request from a run file, when one is named, and from the
// kitchen file that --kitchen or else the run file names.
func (r *request) read(path, kitchen string) error {
	if path != "" {
		run, err := decodeFile(path, runfile.DecodeRun)
		if err != nil {
			return err
		}
		r.run, r.fromRun, r.runFile = run, filepath.Base(path), path
		if kitchen == "" && run.Kitchen != "" {
			kitchen = run.Kitchen
			if !filepath.IsAbs(kitchen) {
				kitchen = filepath.Join(filepath.Dir(path), kitchen)
			}
		}
	}
	if kitchen == "" {
		return nil
	}
	var err error
	r.kitchen, err = decodeFile(kitchen, runfile.DecodeKitchen)
	r.kitchenFile = kitchen
	return err
}

// input is a file that is read.
type input struct{ what, path string }

// inputs are the files that requests and --busy read.
func inputs(requests []*request, busy []string) []input {
	var read []input
	for _, r := range requests {
		read = append(read, input{"the run file", r.runFile}, input{"the kitchen file", r.kitchenFile})
	}
	for _, path := range busy {
		read = append(read, input{"the calendar that --busy reads", path})
	}
	return read
}

// absolute is the one name of a file or folder: from the root, with links
// followed as far as there are any.
func absolute(path string) string {
	if whole, err := filepath.Abs(path); err == nil {
		path = whole
	}
	if real, err := filepath.EvalSymlinks(path); err == nil {
		path = real
	}
	return path
}

// runArgument is the run file of a command that takes one at most; empty without.
func runArgument(args []string) string {
	if len(args) == 0 {
		return ""
	}
	return args[0]
}

// readable finds what would keep a reader waiting for ever: whatever is no ordinary
// file, but for a pipe that was handed over with the command, as a shell does for
// "/dev/stdin" and "<(...)".
func readable(path string) error {
	info, err := os.Stat(path)
	handed := path == "/dev/stdin" || strings.HasPrefix(path, "/dev/fd/")
	switch {
	case err != nil || info.Mode().IsRegular() || handed && info.Mode()&os.ModeNamedPipe != 0:
		return nil
	case info.IsDir():
		return usageError{fmt.Errorf("%s is a folder", path), "name a file in it"}
	}
	return usageError{fmt.Errorf("%s is no ordinary file", path), "name a file; what comes through a pipe is read from /dev/stdin"}
}

// decodeFile opens a file and decodes it. A file that is not there is bad
// input; one that cannot be read is a failure.
func decodeFile[T any](path string, decode func(io.Reader, string) (T, error)) (T, error) {
	if err := readable(path); err != nil {
		var nothing T
		return nothing, err
	}
	file, err := os.Open(path)
	if err != nil {
		var nothing T
		return nothing, missing(err)
	}
	defer file.Close()
	return decode(file, path)
}

// missing gives the error of opening a file its next step, if the file is not there.
func missing(err error) error {
	if errors.Is(err, os.ErrNotExist) {
		return usageError{err, "check the name; a run file to start from stands in README.md, a kitchen file comes from brothrun kitchen"}
	}
	return err
}

// zone is the time zone of the run and, when it was not given, where it is from:
// the TZ variable or the machine's own setting.
func (r *request) zone() (name, from string) {
	if r.kitchen.Zone != "" {
		return r.kitchen.Zone, ""
	}
	if name := strings.TrimPrefix(os.Getenv("TZ"), ":"); name != "" {
		return name, "this machine's TZ"
	}
	link, err := os.Readlink("/etc/localtime")
	if _, name, found := strings.Cut(link, "zoneinfo/"); err == nil && found {
		return name, "this machine's clock"
	}
	return "", ""
}
