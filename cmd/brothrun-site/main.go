// Command brothrun-site builds the planner as a folder that any web server gives out, for
// a browser that then needs neither the server nor anything installed.
//
// Exit status: 0 done; 1 could not do it; 2 bad input or usage.
package main

import (
	"errors"
	"fmt"
	"io"
	"os"

	"brothrun/stock/fault"
)

const usage = `Builds the planner as a folder of files for a browser. Put the folder on any https
host; who opens its page once has it without a network from then on.

  go run ./cmd/brothrun-site FOLDER

It is run where brothrun's source is, with Go. Built again into the same folder, it
leaves the files of before, for phones that have the page open, and writes sw.js last.
`

func main() { os.Exit(run(os.Args[1:], os.Stdout, os.Stderr)) }

func run(args []string, out, errs io.Writer) int {
	if len(args) == 1 && (args[0] == "-h" || args[0] == "--help") {
		fmt.Fprint(out, usage)
		return 0
	}
	done, err := site(args)
	if err == nil {
		_, err = fmt.Fprint(out, done)
	}
	if err == nil {
		return 0
	}
	fmt.Fprintf(errs, "brothrun-site: %v\n", err)
	if wrong := (*fault.Fault)(nil); errors.As(err, &wrong) {
		fmt.Fprintf(errs, "  try: %s\n", wrong.Hint)
		return 2
	}
	return 1
}

// site builds into the one folder that args name, and says what is there.
func site(args []string) (done string, err error) {
	const hint = "go run ./cmd/brothrun-site site"
	switch {
	case len(args) != 1:
		return "", fault.New("", hint, "it takes one folder to build into, not %d", len(args))
	case args[0] == "" || args[0][0] == '-':
		return "", fault.New("", hint, "%q is no name of a folder", args[0])
	}
	if err := free(args[0]); err != nil {
		return "", err
	}
	made, err := compile()
	if err != nil {
		return "", err
	}
	built, err := build(made)
	if err != nil {
		return "", err
	}
	if err := built.write(args[0]); err != nil {
		return "", err
	}
	return fmt.Sprintf("%s: %d files, %.1f MB; the planner is %.2f MB of it, unpacked %.1f MB\n"+
		"Put all of them on an https host, sw.js last.\n", args[0], len(built.files),
		megabytes(built.size()), megabytes(len(made.packed)), megabytes(len(made.planner))), nil
}

func megabytes(octets int) float64 { return float64(octets) / 1e6 }
