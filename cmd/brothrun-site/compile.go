package main

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"

	"brothrun/stock/fault"
)

// compile builds the planner for a browser out of the source in this folder, and takes the
// script that starts it from the same Go.
func compile() (planner, glue []byte, err error) {
	if module, err := golang("list", "-m"); err != nil {
		return nil, nil, err
	} else if module != "brothrun" {
		return nil, nil, fault.New("", "cd to the folder with brothrun's go.mod, and run it there",
			"this folder is none of brothrun's source, but of module %s", module)
	}
	root, err := golang("env", "GOROOT")
	if err != nil {
		return nil, nil, err
	}
	if glue, err = os.ReadFile(filepath.Join(root, "lib", "wasm", "wasm_exec.js")); err != nil {
		return nil, nil, fmt.Errorf("this Go lacks the script for browsers: %w", err)
	}
	scratch, err := os.MkdirTemp("", "brothrun-site-")
	if err != nil {
		return nil, nil, err
	}
	defer os.RemoveAll(scratch)
	file := filepath.Join(scratch, "planner.wasm")
	// The same source is the same file, whatever the folder, the time and the checkout.
	_, err = golang("build", "-trimpath", "-buildvcs=false", "-ldflags=-s -w -buildid=", "-o", file, "brothrun/cmd/brothrun-site/wasm")
	if err != nil {
		return nil, nil, err
	}
	planner, err = os.ReadFile(file)
	return planner, glue, err
}

// golang runs the go command for a browser.
func golang(args ...string) (said string, err error) {
	command := exec.Command("go", args...)
	command.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm", "GOFLAGS=", "GOWASM=", "GOEXPERIMENT=", "GOWORK=off")
	var out, errs bytes.Buffer
	command.Stdout, command.Stderr = &out, &errs
	switch err := command.Run(); {
	case errors.Is(err, exec.ErrNotFound):
		return "", errors.New("there is no command go: install Go from https://go.dev, and have it on the PATH")
	case err != nil:
		return "", fmt.Errorf("go %s: %s", args[0], cmp.Or(strings.TrimSpace(errs.String()), err.Error()))
	}
	return strings.TrimSpace(out.String()), nil
}
