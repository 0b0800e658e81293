//go:build unix

package main

import (
	"fmt"
	"net"
	"os"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/cmd/brothrun/order"
	"brothrun/cmd/brothrun/serve"
	"brothrun/export"
	"brothrun/stock/runfile"
)

// laptop serves a copy of the demo by a clock of the test.
type laptop struct {
	t      testing.TB
	server *serve.Server
	path   string // of the run file
	link   string // the cook's
	view   string // the reader's
	now    atomic.Int64
}

// at is the kitchen's clock.
func at(t testing.TB, text string) time.Time {
	t.Helper()
	place, err := time.LoadLocation("America/Denver")
	require.NoError(t, err)
	instant, err := time.ParseInLocation("2006-01-02 15:04:05", text, place)
	require.NoError(t, err)
	return instant
}

func newLaptop(t testing.TB, now string) *laptop {
	folder := t.TempDir()
	for _, name := range []string{"run.toml", "kitchen.toml"} {
		data, err := os.ReadFile(filepath.Join(root, "testdata", "demo", name))
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(filepath.Join(folder, name), data, 0o600))
	}
	l := &laptop{t: t, path: filepath.Join(folder, "run.toml")}
	l.now.Store(at(t, now).UnixMilli())
	t.Setenv("XDG_CACHE_HOME", t.TempDir())
	t.Setenv("SOURCE_DATE_EPOCH", "")
	return l
}

func (l *laptop) clock() time.Time { return time.UnixMilli(l.now.Load()) }

// later lets the clock go on.
func (l *laptop) later(span time.Duration) { l.now.Add(span.Milliseconds()) }

// notes puts notes into the file: "08:35 began reheat-1".
func (l *laptop) notes(day string, all ...string) {
	l.t.Helper()
	for _, text := range all {
		fields := strings.Fields(text)
		var note runfile.Note
		require.NoError(l.t, put(&note, fields[1], fields[2:]))
		_, _, _, err := addNote(l.path, order.Noting{Note: note, At: day + " " + fields[0], NewID: newNoteID,
			Clock: order.Clock{Now: l.clock()}}, nil)
		require.NoError(l.t, err)
	}
}

// serve puts it on the network, at an address that is no secure context to a browser
// where there is one.
func (l *laptop) serve() {
	host := "127.0.0.1"
	if all := home(); len(all) > 0 {
		host = all[0].String()
	}
	listener, err := net.Listen("tcp", net.JoinHostPort(host, "0"))
	require.NoError(l.t, err)
	cook, view := word(), word()
	l.server, err = serve.New(serve.Config{
		Runs: []string{l.path}, Machine: machine(), Now: l.clock, Stamp: fileStamp, Cook: cook, View: view, Names: names(), NewID: word,
		Note: func(path string, noting order.Noting) (order.Noted, error) {
			noted, _, _, err := addNote(path, noting, nil)
			return noted, err
		},
		Former: func(string) *export.Former { return nil },
	})
	require.NoError(l.t, err)
	answering := serve.HTTP(l.server)
	go answering.Serve(serve.Limit(listener))
	go l.server.Watch(l.t.Context())
	l.t.Cleanup(func() {
		l.server.Close()
		answering.Close()
	})
	l.link, l.view = fmt.Sprintf("http://%s/%s/", listener.Addr(), cook), fmt.Sprintf("http://%s/%s/", listener.Addr(), view)
}

// noted are the words of the notes in the file, in its order.
func (l *laptop) noted() (all []string) {
	l.t.Helper()
	data, err := os.ReadFile(l.path)
	require.NoError(l.t, err)
	run, err := runfile.DecodeRun(strings.NewReader(string(data)), l.path)
	require.NoError(l.t, err)
	for _, n := range run.Notes {
		all = append(all, n.What)
	}
	return all
}

// hurry lets a page ask the laptop now, and not within 15 s.
func hurry(b *browser) { b.run("dispatchEvent(new Event('online'))") }

// inEach runs a test in every browser there is.
func inEach(t *testing.T, w wish, test func(t *testing.T, b *browser)) {
	if testing.Short() {
		t.Skip("browsers")
	}
	for _, name := range []string{"chromium", "firefox", "webkit"} {
		t.Run(name, func(t *testing.T) {
			if name == "webkit" && w.noScript {
				return // its driver has no way to ask for that
			}
			test(t, browsers[name](t, w))
		})
	}
}

// A load by its clock, on one phone, and a second that looks on.
func TestALoadOnThePhone(t *testing.T) {
	inEach(t, wish{}, func(t *testing.T, b *browser) {
		l := newLaptop(t, "2026-11-29 09:40:00")
		l.notes("2026-11-29", "08:35 began reheat", "09:26 done reheat")
		l.serve()
		b.open(l.link)
		b.sees("#on-title", "Fill load 1: 7 quarts")
		b.press(".big")
		b.sees(".line", "Lid on since 09:40")
		l.later(15 * time.Minute)
		hurry(b)
		b.press(".big")
		b.sees(".line", "Venting since 09:55. The weight goes on at 10:05, not before.")
		assert.Equal(t, "true", b.run("return String(document.querySelector('.big').disabled)"))
		l.later(10 * time.Minute)
		hurry(b)
		b.sees(".count", "Vented: weight on")
		b.press(".big")
		b.sees(".line", "Coming to pressure since 10:05")
		l.later(4 * time.Minute)
		hurry(b)
		b.press(".big")
		b.sees(".line", "At pressure since 10:09. The heat goes off at 10:34")
		b.sees(".count", "24:5")
		l.later(24*time.Minute + 30*time.Second)
		hurry(b)
		b.sees(".count", "0:2")
		assert.Equal(t, "true", b.run("return String(document.querySelector('.big').disabled)"), "not before the full time")
		b.press("#on button[data-after=fell]")
		b.sees(".line", "BELOW THE PRESSURE since 10:33: no time runs.")
		assert.Empty(t, b.find(".count"))
		l.later(3 * time.Minute)
		hurry(b)
		b.press(".big")
		b.sees(".line", "The heat goes off at 11:01, not before.")
		l.later(25 * time.Minute)
		hurry(b)
		b.sees(".count", "Full time: heat off")
		b.press(".big")
		b.sees(".line", "Heat off since 11:01")
		l.later(45 * time.Minute)
		hurry(b)
		b.press(".big")
		b.sees(".line", "At zero since 11:46. The lid comes off at 11:56, not before.")
		l.later(10 * time.Minute)
		hurry(b)
		b.press(".big")
		b.sees("#on-title", "Unload load 1")
		assert.Equal(t, []string{"began", "done", "began", "steam", "vented", "at-pressure", "fell", "at-pressure", "heat-off", "zero",
			"lid-off"}, l.noted())
	})
}
