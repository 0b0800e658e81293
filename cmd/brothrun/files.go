package main

import (
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"

	"brothrun/stock/runfile"
)

// read fills the request from a run file, when one is named, and from the
// kitchen file that --kitchen or else the run file names.
func (r *request) read(args []string, kitchen string) error {
	if len(args) == 1 {
		run, err := decodeFile(args[0], runfile.DecodeRun)
		if err != nil {
			return err
		}
		r.run, r.fromRun = run, filepath.Base(args[0])
		if kitchen == "" && run.Kitchen != "" {
			kitchen = run.Kitchen
			if !filepath.IsAbs(kitchen) {
				kitchen = filepath.Join(filepath.Dir(args[0]), kitchen)
			}
		}
	}
	if kitchen == "" {
		return nil
	}
	var err error
	r.kitchen, err = decodeFile(kitchen, runfile.DecodeKitchen)
	return err
}

// decodeFile opens a file and decodes it. A file that is not there is bad
// input; one that cannot be read is a failure.
func decodeFile[T any](path string, decode func(io.Reader, string) (T, error)) (T, error) {
	file, err := os.Open(path)
	if err != nil {
		var nothing T
		if errors.Is(err, os.ErrNotExist) {
			return nothing, usageError{err, "check the name; a run file to start from stands in README.md, a kitchen file comes from brothrun kitchen"}
		}
		return nothing, err
	}
	defer file.Close()
	return decode(file, path)
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
