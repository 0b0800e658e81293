package main

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"embed"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"text/template"

	"brothrun/export/page"
	"brothrun/stock/fault"
)

//go:embed files
var embedded embed.FS

// mark is how the worker of a folder that was built here begins.
const mark = "// brothrun-site\n"

// worker is the file that a browser asks for to see whether there is something new.
const worker = "sw.js"

// file is one of the folder.
type file struct {
	name    string
	content []byte
	plain   []byte // what a server may give out in its place: unpacked; nil: nothing
}

// folder is what is built, in the order it is written.
type folder struct{ files []file }

// build makes the folder.
func build(p parts) (built folder, err error) {
	names := map[string]string{} // as they are in the folder
	add := func(name string, content, plain []byte) {
		stem, ends, _ := strings.Cut(name, ".")
		names[name] = fmt.Sprintf("%s-%.12x.%s", stem, sum(content), ends)
		built.files = append(built.files, file{names[name], content, plain})
	}
	add("planner.wasm.gz", p.packed, p.planner)
	add("wasm_exec.js", p.glue, nil)
	add("run.js", page.Script(), nil)
	add("run.css", page.Style(), nil)
	for _, name := range []string{"store.js", "planner.js", "day.js", "planner.css"} {
		content, err := embedded.ReadFile("files/" + name)
		if err != nil {
			return built, err
		}
		add(name, content, nil)
	}
	pictures, err := drawn()
	if err != nil {
		return built, err
	}
	for i, picture := range pictures {
		add(icons[i].name, picture, nil)
	}
	// What names others comes after them; pages keep their own name, and are written late.
	for _, name := range []string{"manifest.webmanifest", "day.html", "index.html"} {
		content, err := filled(name, names)
		if err != nil {
			return built, err
		}
		if strings.HasSuffix(name, ".html") {
			built.files = append(built.files, file{name: name, content: content})
		} else {
			add(name, content, nil)
		}
	}
	return built.watched()
}

func sum(content []byte) []byte {
	sum := sha256.Sum256(content)
	return sum[:]
}

// pack is gzip without a name or a time.
func pack(content []byte) ([]byte, error) {
	var packed bytes.Buffer
	writer, err := gzip.NewWriterLevel(&packed, gzip.BestCompression)
	if err != nil {
		return nil, err
	}
	if _, err := writer.Write(content); err != nil {
		return nil, err
	}
	err = writer.Close()
	return packed.Bytes(), err
}

// filled is an embedded file with the names that the others have.
func filled(name string, names map[string]string) ([]byte, error) {
	text, err := embedded.ReadFile("files/" + name)
	if err != nil {
		return nil, err
	}
	named := func(name string) (string, error) {
		if names[name] == "" {
			return "", fmt.Errorf("there is no %s to be named", name)
		}
		return names[name], nil
	}
	parsed, err := template.New(name).Funcs(template.FuncMap{"name": named, "build": page.Build}).Parse(string(text))
	if err != nil {
		return nil, err
	}
	var content bytes.Buffer
	err = parsed.Execute(&content, nil)
	return content.Bytes(), err
}

// watched adds the worker, which knows every file by its sum. Its version is that of all
// files and of its own text.
func (f folder) watched() (folder, error) {
	text, err := embedded.ReadFile("files/" + worker)
	if err != nil {
		return f, err
	}
	sums := map[string][]string{}
	for _, one := range f.files {
		sums[one.name] = []string{fmt.Sprintf("%x", sum(one.content))}
		if one.plain != nil {
			sums[one.name] = append(sums[one.name], fmt.Sprintf("%x", sum(one.plain)))
		}
	}
	list, err := json.MarshalIndent(sums, "", "  ")
	if err != nil {
		return f, err
	}
	version := fmt.Sprintf("%.12x", sum(slices.Concat(list, text)))
	head := fmt.Sprintf("%sconst version = '%s'\nconst files = %s\n\n", mark, version, list)
	f.files = append(f.files, file{name: worker, content: append([]byte(head), text...)})
	return f, nil
}

func (f folder) size() (all int) {
	for _, one := range f.files {
		all += len(one.content)
	}
	return all
}

// free is nil where a folder is new, empty, or was built here.
func free(path string) error {
	const hint = "name a folder that is new or empty"
	entries, err := os.ReadDir(path)
	switch {
	case os.IsNotExist(err) || err == nil && len(entries) == 0:
		return nil
	case err != nil:
		if info, wrong := os.Stat(path); wrong == nil && !info.IsDir() {
			return fault.New("", hint, "%s is a file", path)
		}
		return err
	}
	if text, err := os.ReadFile(filepath.Join(path, worker)); err != nil || !bytes.HasPrefix(text, []byte(mark)) {
		return fault.New("", hint, "%s has files of others in it", path)
	}
	return nil
}

// write puts the files into a folder, each whole or not at all, the worker last.
func (f folder) write(path string) error {
	if err := os.MkdirAll(path, 0o755); err != nil {
		return err
	}
	for _, one := range f.files {
		to := filepath.Join(path, one.name)
		if there, err := os.ReadFile(to); err == nil && bytes.Equal(there, one.content) {
			continue
		}
		if err := replace(to, one.content); err != nil {
			return err
		}
	}
	return nil
}

func replace(path string, content []byte) error {
	half, err := os.CreateTemp(filepath.Dir(path), ".half-")
	if err != nil {
		return err
	}
	defer os.Remove(half.Name())
	if _, err = half.Write(content); err == nil {
		err = half.Chmod(0o644)
	}
	if wrong := half.Close(); err == nil {
		err = wrong
	}
	if err != nil {
		return err
	}
	return os.Rename(half.Name(), path)
}
