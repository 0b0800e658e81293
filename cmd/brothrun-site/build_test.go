package main

import (
	"bytes"
	"compress/gzip"
	"context"
	"image/png"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/cmd/brothrun/serve"
)

const root = "../.."

// planner is what Go makes of the source, made once.
var planner = sync.OnceValues(compile)

// contents are the files of a folder, by name.
func contents(t testing.TB, folder string) map[string]string {
	t.Helper()
	entries, err := os.ReadDir(folder)
	require.NoError(t, err)
	all := map[string]string{}
	for _, entry := range entries {
		data, err := os.ReadFile(filepath.Join(folder, entry.Name()))
		require.NoError(t, err)
		all[entry.Name()] = string(data)
	}
	return all
}

// builtFrom is a folder with something in the planner's place.
func builtFrom(t testing.TB, planner string) (folder string) {
	t.Helper()
	folder = filepath.Join(t.TempDir(), "site")
	built, err := build(parts{[]byte(planner), []byte(planner), []byte("glue")})
	require.NoError(t, err)
	require.NoError(t, built.write(folder))
	return folder
}

func TestTheWorkerKnowsEveryFile(t *testing.T) {
	all := contents(t, builtFrom(t, "planner"))
	require.True(t, strings.HasPrefix(all[worker], mark))
	for name := range all {
		if name != worker {
			assert.Contains(t, all[worker], `"`+name+`": [`)
		}
	}
	for name, content := range all {
		assert.NotContains(t, content, "{{", name)
	}
	for _, name := range []string{"index.html", "day.html"} {
		for _, found := range regexp.MustCompile(`(?:src|href|data-planner|data-run)="([^"#:?]+\.[a-z.]+)"`).FindAllStringSubmatch(all[name], -1) {
			assert.Contains(t, all, found[1], name)
		}
	}
}

// A laptop at home hands out each file by its name.
func TestALaptopHandsItOut(t *testing.T) {
	folder := builtFrom(t, "planner")
	laptop, err := serve.New(serve.Config{Now: time.Now, Names: []string{"kitchen.local"}, Planner: os.DirFS(folder)})
	require.NoError(t, err)
	for name, content := range contents(t, folder) {
		if name == "index.html" {
			name = ""
		}
		r := httptest.NewRequest(http.MethodGet, "http://kitchen.local:8735/planner/"+name, nil)
		r.RemoteAddr = "192.168.1.20:50000"
		r = r.WithContext(context.WithValue(r.Context(), http.LocalAddrContextKey, &net.TCPAddr{IP: net.IPv4(192, 168, 1, 7), Port: 8735}))
		answer := httptest.NewRecorder()
		laptop.ServeHTTP(answer, r)
		assert.Equal(t, content, answer.Body.String(), name)
	}
}

// The version is that of everything: whatever changes, a phone is offered it.
func TestAnotherPlannerIsAnotherVersion(t *testing.T) {
	one, other := contents(t, builtFrom(t, "planner")), contents(t, builtFrom(t, "planner, better"))
	assert.NotEqual(t, one[worker], other[worker])
	version := regexp.MustCompile(`const version = '[0-9a-f]{24}'`)
	assert.NotEqual(t, version.FindString(one[worker]), version.FindString(other[worker]))
	assert.Equal(t, one, contents(t, builtFrom(t, "planner")))
}

func TestThePlannerIsPackedAlikeEachTime(t *testing.T) {
	packed, err := pack([]byte("planner"))
	require.NoError(t, err)
	reader, err := gzip.NewReader(bytes.NewReader(packed))
	require.NoError(t, err)
	plain, err := io.ReadAll(reader)
	require.NoError(t, err)
	assert.Equal(t, "planner", string(plain))
	assert.True(t, reader.ModTime.IsZero())
	assert.Empty(t, reader.Name)
}

// Who has the page open may ask for files of before.
func TestFilesOfBeforeStay(t *testing.T) {
	folder := builtFrom(t, "planner")
	before := contents(t, folder)
	built, err := build(parts{nil, []byte("planner, better"), []byte("glue")})
	require.NoError(t, err)
	require.NoError(t, free(folder), "it was built here")
	require.NoError(t, built.write(folder))
	after := contents(t, folder)
	for name := range before {
		assert.Contains(t, after, name)
	}
	assert.Len(t, after, len(before)+1)
}

func TestWhatIsNoFolderToBuildInto(t *testing.T) {
	folder := t.TempDir()
	full, file := filepath.Join(folder, "full"), filepath.Join(folder, "file")
	require.NoError(t, os.Mkdir(full, 0o755))
	require.NoError(t, os.WriteFile(filepath.Join(full, "letter.txt"), nil, 0o600))
	require.NoError(t, os.WriteFile(file, nil, 0o600))
	for _, row := range []struct {
		args []string
		said string
	}{
		{nil, "it takes one folder to build into, not 0"},
		{[]string{"a", "b"}, "it takes one folder to build into, not 2"},
		{[]string{"--help-me"}, `"--help-me" is no name of a folder`},
		{[]string{""}, `"" is no name of a folder`},
		{[]string{full}, "has files of others in it"},
		{[]string{file}, "is a file"},
	} {
		var out, errs bytes.Buffer
		assert.Equal(t, 2, run(row.args, &out, &errs), row.args)
		assert.Contains(t, errs.String(), row.said)
		assert.Contains(t, errs.String(), "  try: ")
		assert.Empty(t, out.String())
	}
	assert.Len(t, contents(t, full), 1)
	var out bytes.Buffer
	assert.Equal(t, 0, run([]string{"--help"}, &out, io.Discard))
	assert.Contains(t, out.String(), "go run ./cmd/brothrun-site FOLDER")
}

func TestWithoutGoOrSourceItSaysSo(t *testing.T) {
	var errs bytes.Buffer
	folder := filepath.Join(t.TempDir(), "site")
	elsewhere := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(elsewhere, "go.mod"), []byte("module garden\n"), 0o600))
	t.Chdir(elsewhere)
	assert.Equal(t, 2, run([]string{folder}, io.Discard, &errs))
	assert.Contains(t, errs.String(), "this folder is none of brothrun's source, but of module garden")
	errs.Reset()
	t.Setenv("PATH", "")
	assert.Equal(t, 1, run([]string{folder}, io.Discard, &errs))
	assert.Contains(t, errs.String(), "there is no command go")
	assert.NoDirExists(t, folder)
}

// Pictures are square, as large as they are said to be, and a mask cuts nothing off.
func TestIcons(t *testing.T) {
	for _, i := range icons {
		data, err := i.draw()
		require.NoError(t, err)
		picture, err := png.Decode(bytes.NewReader(data))
		require.NoError(t, err)
		size := picture.Bounds().Size()
		assert.Equal(t, i.width, size.X)
		assert.Equal(t, i.width, size.Y)
		if i.name != "icon-mask.png" {
			continue
		}
		// W3C, Web Application Manifest, "Icon masks and safe zone": a circle of 40 % of the width.
		for y := range size.Y {
			for x := range size.X {
				dx, dy := float64(x)-float64(size.X)/2, float64(y)-float64(size.Y)/2
				if dx*dx+dy*dy > .4*.4*float64(size.X*size.X) {
					require.Equal(t, picture.At(0, 0), picture.At(x, y), "%d, %d", x, y)
				}
			}
		}
	}
}

// The same source is the same folder, in whatever folder it lies; what a phone loads is
// small: at most 3.6 MB packed, own limit.
func TestBuiltTwiceItIsTheSame(t *testing.T) {
	made, err := planner()
	require.NoError(t, err)
	first, err := build(made)
	require.NoError(t, err)
	require.NoError(t, first.write(filepath.Join(t.TempDir(), "site")))
	second := filepath.Join(t.TempDir(), "elsewhere", "site")
	t.Chdir(root)
	var out, errs bytes.Buffer
	require.Equal(t, 0, run([]string{second}, &out, &errs), errs.String())
	assert.Contains(t, out.String(), "Put all of them on an https host, sw.js last.")
	all := contents(t, second)
	assert.Len(t, all, len(first.files))
	for _, one := range first.files {
		assert.Equal(t, sum(one.content), sum([]byte(all[one.name])), one.name)
	}
	assert.Less(t, megabytes(len(made.packed)), 3.6)
}
