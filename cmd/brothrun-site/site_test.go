//go:build unix

package main

import (
	"encoding/base64"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/cmd/browser"
)

// host gives a folder out, as any host does: what it once gave may be kept for ten minutes.
type host struct {
	t       testing.TB
	folder  string
	address string
	server  *http.Server
}

func newHost(t testing.TB) *host {
	h := &host{t: t, folder: filepath.Join(t.TempDir(), "site"), address: "127.0.0.1:0"}
	h.publish("")
	h.answers()
	t.Cleanup(h.dies)
	return h
}

// publish builds the folder, with more at the end of the page's style.
func (h *host) publish(more string) folder {
	h.t.Helper()
	parts, err := planner()
	require.NoError(h.t, err)
	built, err := build(parts[0], append(parts[1], more...))
	require.NoError(h.t, err)
	require.NoError(h.t, built.write(h.folder))
	return built
}

func (h *host) answers() {
	listener, err := net.Listen("tcp", h.address)
	require.NoError(h.t, err)
	h.address = listener.Addr().String()
	files := http.FileServer(http.Dir(h.folder))
	h.server = &http.Server{Handler: http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Cache-Control", "max-age=600")
		files.ServeHTTP(w, r)
	})}
	go h.server.Serve(listener)
}

func (h *host) dies() { h.server.Close() }

func (h *host) link() string { return "http://" + h.address + "/" }

// opened is a page that has its planner, and is kept by the browser.
func (h *host) opened(b *browser.Browser) {
	h.t.Helper()
	b.Open(h.link())
	b.Sees("#link", "Ready.")
	b.Sees("#offline", "works without a network")
}

// demo is a file of the demo.
func demo(t testing.TB, name string) []byte {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(root, "testdata", "demo", name))
	require.NoError(t, err)
	return data
}

// opens hands files to the page, as a cook who picks them.
func opens(b *browser.Browser, names []string, contents ...[]byte) {
	var packed []any
	for _, content := range contents {
		packed = append(packed, base64.StdEncoding.EncodeToString(content))
	}
	b.Run(`const all = new DataTransfer(), open = document.getElementById('open')
		arguments[0].forEach((name, i) => all.items.add(new File([Uint8Array.from(atob(arguments[1][i]), c => c.charCodeAt(0))], name)))
		open.files = all.files
		open.dispatchEvent(new Event('change', { bubbles: true }))`, names, packed)
}

// kept is a file as the browser keeps it.
func kept(t testing.TB, b *browser.Browser, name string) string {
	t.Helper()
	text := b.Later(`phone.files().then(files => done(files[arguments[0]] ? btoa(String.fromCharCode(...files[arguments[0]])) : ''))`, name)
	data, err := base64.StdEncoding.DecodeString(text)
	require.NoError(t, err)
	return string(data)
}

// downloaded is the file of that name that a browser was told to keep.
func downloaded(t testing.TB, b *browser.Browser, name string) string {
	t.Helper()
	var data []byte
	browser.Eventually(t, name, func() bool {
		filepath.WalkDir(b.Downloads, func(path string, entry os.DirEntry, err error) error {
			if err == nil && entry.Name() == name {
				data, _ = os.ReadFile(path)
			}
			return nil
		})
		return len(data) > 0
	})
	return string(data)
}

// TestTheSite is the page in every browser there is, each of them opened once.
func TestTheSite(t *testing.T) {
	for name, start := range browser.All {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			b := start(t, browser.Wish{})
			for _, row := range []struct {
				name string
				test func(*testing.T, *browser.Browser)
			}{
				{"files go in and out as they are", filesAsTheyAre}, {"without the host", withoutTheHost}, {"a new version", aNewVersion},
				{"a broken upload", aBrokenUpload},
			} {
				t.Run(row.name, func(t *testing.T) { row.test(t, b.For(t)) })
			}
		})
	}
}

// What an editor of another system leaves in a file, a mark at its beginning and its own
// line ends, is there when it comes back.
func filesAsTheyAre(t *testing.T, b *browser.Browser) {
	h := newHost(t)
	h.opened(b)
	run := "\ufeff" + strings.ReplaceAll(string(demo(t, "run.toml")), "\n", "\r\n")
	opens(b, []string{"kitchen.toml", "Suppe für Oma.toml"}, demo(t, "kitchen.toml"), []byte(run))
	b.Sees("#files", "Suppe für Oma.toml")
	assert.Equal(t, run, kept(t, b, "Suppe für Oma.toml"))
	b.Press("#files button:nth-child(2)")
	assert.Equal(t, run, downloaded(t, b, "Suppe für Oma.toml"))
}

// After the first visit nobody has to answer.
func withoutTheHost(t *testing.T, b *browser.Browser) {
	h := newHost(t)
	h.opened(b)
	opens(b, []string{"kitchen.toml", "run.toml"}, demo(t, "kitchen.toml"), demo(t, "run.toml"))
	b.Sees("#files", "run.toml")
	h.dies()
	b.Open("about:blank")
	b.Open(h.link())
	b.Sees("#link", "Ready.")
	b.Sees("#files", "run.toml")
}

// version is how the page's script is called.
func version(b *browser.Browser) string {
	return b.Run("return document.querySelector('script[src^=wasm_exec]').getAttribute('src')")
}

// A new version waits for its button, through a reopening too.
func aNewVersion(t *testing.T, b *browser.Browser) {
	h := newHost(t)
	h.opened(b)
	old := version(b)
	h.publish("\n// better")
	b.Open(h.link())
	b.Sees("#offer", "There is a new version of this page.")
	assert.Equal(t, old, version(b))
	b.Open("about:blank")
	b.Open(h.link())
	b.Sees("#offer", "There is a new version of this page.")
	assert.Equal(t, old, version(b), "it waits, though the page was closed")
	b.Press("#take")
	browser.Eventually(t, "the new version", func() bool { return version(b) != old })
	b.Sees("#link", "Ready.")
	h.dies()
	b.Open(h.link())
	b.Sees("#link", "Ready.")
	assert.NotEqual(t, old, version(b))
	assert.Empty(t, b.Text("#offer"))
}

// Half an upload, and one that came in another order, is never taken for a version.
func aBrokenUpload(t *testing.T, b *browser.Browser) {
	h := newHost(t)
	h.opened(b)
	old := version(b)
	built := h.publish("\n// better")
	for _, one := range built.files {
		if strings.HasPrefix(one.name, "wasm_exec-") {
			require.NoError(t, os.WriteFile(filepath.Join(h.folder, one.name), one.content[:len(one.content)/2], 0o600))
		}
	}
	b.Open(h.link())
	b.Sees("#link", "Ready.")
	ended := `navigator.serviceWorker.getRegistration().then(async r => {
		const ends = () => new Promise(is => r.installing ? r.installing.addEventListener('statechange', () => is(r.installing?.state ?? 'gone')) : is('none'))
		await r.update().catch(() => {})
		done(await ends())
	})`
	assert.NotEqual(t, "installed", b.Later(ended))
	assert.Equal(t, "false", b.Run("return String(!document.getElementById('offer').hidden)"))
	h.dies()
	b.Open(h.link())
	b.Sees("#link", "Ready.")
	assert.Equal(t, old, version(b), "what was kept goes on")

	h.publish("\n// better")
	h.answers()
	b.Open(h.link())
	b.Sees("#offer", "There is a new version of this page.")
}
