package main

import (
	"bytes"
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"

	"brothrun/stock/fault"
)

// parts are what Go makes of the source.
type parts struct {
	planner, packed []byte // for a browser, and the same packed
	glue            []byte // the script that starts it
}

// compile builds the planner for a browser out of the source in this folder, and takes the
// script that starts it from the same Go.
func compile() (p parts, err error) {
	if module, err := golang("list", "-m"); err != nil {
		return p, err
	} else if module != "brothrun" {
		return p, fault.New("", "cd to the folder with brothrun's go.mod, and run it there",
			"this folder is none of brothrun's source, but of module %s", module)
	}
	root, err := golang("env", "GOROOT")
	if err != nil {
		return p, err
	}
	if p.glue, err = os.ReadFile(filepath.Join(root, "lib", "wasm", "wasm_exec.js")); err != nil {
		return p, fmt.Errorf("this Go lacks the script for browsers: %w", err)
	}
	scratch, err := os.MkdirTemp("", "brothrun-site-")
	if err != nil {
		return p, err
	}
	defer os.RemoveAll(scratch)
	file := filepath.Join(scratch, "planner.wasm")
	overlay, err := withoutHTTP(root, scratch)
	if err != nil {
		return p, err
	}
	// The same source is the same file, whatever the folder, the time and the checkout.
	_, err = golang(slices.Concat([]string{"build", "-trimpath", "-buildvcs=false", "-ldflags=-s -w -buildid=", "-overlay=" + overlay,
		"-o", file}, small, []string{"brothrun/cmd/brothrun-site/wasm"})...)
	if err != nil {
		return p, err
	}
	if p.planner, err = os.ReadFile(file); err != nil {
		return p, err
	}
	p.packed, err = pack(p.planner)
	return p, err
}

// small lets no function stand in place of its call, but where the planner reckons: 0.5 MB less to
// load, and a plan takes a tenth longer. Measured, from 3.8 MB and 11 ms.
var small = []string{"-gcflags=all=-l", "-gcflags=brothrun/stock/...=", "-gcflags=runtime=", "-gcflags=math="}

// withoutHTTP writes down, for the go command, that net/http is another: what nobody calls
// stays in a program that has templates, and this is 0.5 MB of what a phone loads.
func withoutHTTP(root, scratch string) (overlay string, err error) {
	text, err := embedded.ReadFile("files/http.go.txt")
	if err != nil {
		return "", err
	}
	other := filepath.Join(scratch, "http.go")
	if err := os.WriteFile(other, text, 0o600); err != nil {
		return "", err
	}
	folder := filepath.Join(root, "src", "net", "http")
	files, err := filepath.Glob(filepath.Join(folder, "*.go"))
	if err != nil {
		return "", err
	}
	replaced := map[string]string{}
	for _, file := range files {
		replaced[file] = ""
	}
	replaced[filepath.Join(folder, "http.go")] = other
	list, err := json.Marshal(map[string]any{"Replace": replaced})
	if err != nil {
		return "", err
	}
	overlay = filepath.Join(scratch, "overlay.json")
	return overlay, os.WriteFile(overlay, list, 0o600)
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
