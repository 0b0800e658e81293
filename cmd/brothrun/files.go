package main

import (
	"io"
	"os"
	"path/filepath"
	"strings"

	"brothrun/cmd/brothrun/order"
	"brothrun/stock/fault"
)

// input is a file that is read.
type input struct{ what, path string }

// inputs are the files that requests and --busy read.
func inputs(requests []*order.Request, busy []string) []input {
	var read []input
	for _, r := range requests {
		read = append(read, input{"the run file", r.RunFile}, input{"the kitchen file", r.KitchenFile})
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
		return fault.New("", "name a file in it", "%s is a folder", path)
	}
	return fault.New("", "name a file; what comes through a pipe is read from /dev/stdin", "%s is no ordinary file", path)
}

// open opens a file to be read, unless its reader would be kept waiting.
func open(path string) (io.ReadCloser, error) {
	if err := readable(path); err != nil {
		return nil, err
	}
	return os.Open(path)
}

// machine is this computer: its files, and its zone by the TZ variable or else by its
// own setting.
func machine() order.Machine {
	m := order.Machine{Open: open, Absolute: absolute, Past: past}
	if name := strings.TrimPrefix(os.Getenv("TZ"), ":"); name != "" {
		m.Zone, m.ZoneFrom = name, "this machine's TZ"
	} else if link, err := os.Readlink("/etc/localtime"); err == nil {
		if _, name, found := strings.Cut(link, "zoneinfo/"); found {
			m.Zone, m.ZoneFrom = name, "this machine's clock"
		}
	}
	return m
}
