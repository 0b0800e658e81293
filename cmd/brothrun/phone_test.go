//go:build unix

package main

import (
	"fmt"
	"net"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/cmd/brothrun/order"
	"brothrun/cmd/brothrun/serve"
	"brothrun/cmd/browser"
	"brothrun/export"
	"brothrun/stock/runfile"
)

// laptop serves a copy of the demo by a clock of the test.
type laptop struct {
	t          testing.TB
	config     serve.Config
	server     *serve.Server
	answering  *http.Server
	address    string
	path       string // of the run file
	link, view string // the cook's and the reader's
	now        atomic.Int64
	runs       bool // the clock goes on by itself; now is then how far it is off
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
	return l
}

func (l *laptop) clock() time.Time {
	if l.runs {
		return time.Now().Add(time.Duration(l.now.Load()) * time.Millisecond)
	}
	return time.UnixMilli(l.now.Load())
}

// goesOn lets the clock go on by itself.
func (l *laptop) goesOn() {
	l.now.Store(l.now.Load() - time.Now().UnixMilli())
	l.runs = true
}

// later sets the clock forward.
func (l *laptop) later(span time.Duration) { l.now.Add(span.Milliseconds()) }

// notes puts notes into the file: "08:35 began reheat-1".
func (l *laptop) notes(day string, all ...string) {
	l.t.Helper()
	for _, text := range all {
		fields := strings.Fields(text)
		var note runfile.Note
		require.NoError(l.t, put(&note, fields[1], fields[2:]))
		_, _, _, err := addNote(l.path, order.Noting{Note: note, At: day + " " + fields[0], NewID: newNoteID,
			Clock: order.Clock{Now: l.clock()}}, nil, false)
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
	l.address = net.JoinHostPort(host, "0")
	cook, view := word(), word()
	l.config = serve.Config{
		Runs: []string{l.path}, Machine: machine(), Now: l.clock, Stamp: fileStamp, Cook: cook, View: view, Names: names(), NewID: word,
		Note: func(path string, noting order.Noting) (order.Noted, error) {
			noted, _, _, err := addNote(path, noting, nil, true)
			return noted, err
		},
		Former: func(string) *export.Former { return nil },
	}
	l.answers()
	l.link, l.view = fmt.Sprintf("http://%s/%s/", l.address, cook), fmt.Sprintf("http://%s/%s/", l.address, view)
	l.t.Cleanup(l.dies)
}

// answers lets it answer, at the same address.
func (l *laptop) answers() {
	listener, err := net.Listen("tcp", l.address)
	require.NoError(l.t, err)
	l.address = listener.Addr().String()
	l.server, err = serve.New(l.config)
	require.NoError(l.t, err)
	l.answering = serve.HTTP(l.server)
	go l.answering.Serve(serve.Limit(listener))
	go l.server.Watch(l.t.Context())
}

// dies lets it answer no more.
func (l *laptop) dies() {
	l.server.Close()
	l.answering.Close()
}

// press is one of another phone.
func (l *laptop) press(fields url.Values) {
	fields.Set("id", word())
	answer, err := http.PostForm(l.link+"1/press?fragment", fields)
	require.NoError(l.t, err)
	answer.Body.Close()
	require.Equal(l.t, http.StatusOK, answer.StatusCode)
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

// hurry lets a page ask the laptop now, and not within 15 s, and waits until it goes by
// the laptop's clock.
func hurry(b *browser.Browser, l *laptop) {
	b.Run("dispatchEvent(new Event('online'))")
	browser.Eventually(l.t, "the laptop's clock", func() bool {
		shown, err := strconv.ParseInt(b.Run("return String(Date.now() + Number(localStorage.getItem(document.body.dataset.base + 'offset')))"), 10, 64)
		return err == nil && time.UnixMilli(shown).Sub(l.clock()).Abs() < 10*time.Second
	})
}

// TestThePhone is the page in every browser there is, each of them opened once.
func TestThePhone(t *testing.T) {
	for key, value := range map[string]string{"XDG_CACHE_HOME": t.TempDir(), "SOURCE_DATE_EPOCH": ""} {
		former := os.Getenv(key) // t.Setenv allows nothing beside
		require.NoError(t, os.Setenv(key, value))
		t.Cleanup(func() { os.Setenv(key, former) })
	}
	t.Run("browsers", func(t *testing.T) {
		for name, start := range browser.All {
			t.Run(name, func(t *testing.T) {
				t.Parallel()
				b := start(t, browser.Wish{})
				for _, row := range []struct {
					name string
					test func(*testing.T, *browser.Browser)
				}{
					{"a load", aLoadOnThePhone}, {"without the laptop", withoutTheLaptop}, {"a laptop that sleeps", aLaptopThatSleeps},
					{"a measure typed", aMeasureTyped},
				} {
					t.Run(row.name, func(t *testing.T) {
						row.test(t, b.For(t))
					})
				}
				if name != "webkit" { // its driver has no way to ask for that
					t.Run("without a script", func(t *testing.T) { withoutAScript(t, start(t, browser.Wish{NoScript: true})) })
				}
			})
		}
	})
}

// pressed lets a load be at pressure since 10:09.
func (l *laptop) pressed() {
	l.notes("2026-11-29", "08:35 began reheat", "09:26 done reheat", "09:40 began load-1", "09:55 steam", "10:05 vented", "10:09 at-pressure")
}

func dead(b *browser.Browser) bool {
	return b.Run("return String(document.querySelector('.big').disabled)") == "true"
}

// A load by its clock, on one phone whose own clock is days off, while others press too.
func aLoadOnThePhone(t *testing.T, b *browser.Browser) {
	l := newLaptop(t, "2026-11-29 09:40:00")
	l.notes("2026-11-29", "08:35 began reheat", "09:26 done reheat")
	l.serve()
	b.Open(l.link)
	b.Sees("#on-title", "Fill load 1: 7 quarts")
	b.Fits()
	time.Sleep(700 * time.Millisecond)
	// Pressed twice in a hurry: the second is on a button that was not there before.
	b.Run("document.querySelector('.big').click(); document.querySelector('.big').click()")
	b.Sees(".line", "Lid on since 09:40")
	l.later(15 * time.Minute)
	hurry(b, l)
	b.Press(".big")
	b.Sees(".line", "Venting since 09:55. The weight goes on at 10:05, not before.")
	assert.True(t, dead(b))
	l.later(10 * time.Minute)
	hurry(b, l)
	b.Sees(".count", "Vented: weight on")
	b.Press(".big")
	b.Sees(".line", "Coming to pressure since 10:05")
	l.later(4 * time.Minute)

	began := time.Now()
	l.press(url.Values{"what": {"at-pressure"}, "load": {"1"}})
	b.Sees(".line", "At pressure since 10:09. The heat goes off at 10:34")
	t.Logf("another phone's press showed after %v", time.Since(began).Round(time.Millisecond))
	b.Sees(".count", "24:5")
	b.Fits()
	l.later(24*time.Minute + 30*time.Second)
	hurry(b, l)
	b.Sees(".count", "0:2")
	assert.True(t, dead(b), "not before the full time")

	b.Finger("button[data-after=fell]", true)
	l.press(url.Values{"what": {"fell"}, "load": {"1"}})
	hurry(b, l)
	time.Sleep(time.Second)
	assert.Contains(t, b.Text(".line"), "At pressure since 10:09", "nothing is swapped under a finger")
	b.Finger("", false)
	b.Sees(".line", "BELOW THE PRESSURE since 10:33: no time runs.")
	b.Sees("#said", "Not noted again: it was noted at 10:33, from another device.")
	assert.Empty(t, b.Find(".count"))
	l.later(3 * time.Minute)
	hurry(b, l)
	b.Press(".big")
	b.Sees(".line", "The heat goes off at 11:01, not before.")
	l.later(25 * time.Minute)
	hurry(b, l)
	b.Sees(".count", "Full time: heat off")
	b.Press(".big")
	b.Sees(".line", "Heat off since 11:01")
	b.Press("#noted li:first-child button")
	b.Sees(".count", "Full time: heat off")
	b.Press(".big")
	b.Sees(".line", "Heat off since 11:01")
	browser.Eventually(t, "the last note", func() bool { return len(l.noted()) == 11 })
	assert.Equal(t, []string{"began", "done", "began", "steam", "vented", "at-pressure", "fell", "at-pressure", "heat-off", "undo",
		"heat-off"}, l.noted())
}

// With the laptop gone the page goes on: a drop shows at once, the full time begins anew,
// and the presses are kept, through a reopening too, and are sent once, with their own time.
func withoutTheLaptop(t *testing.T, b *browser.Browser) {
	l := newLaptop(t, "2026-11-29 10:20:00")
	l.pressed()
	l.goesOn()
	l.serve()
	b.Open(l.link)
	b.Sees(".line", "At pressure since 10:09")
	l.dies()
	b.Press("button[data-after=fell]")
	b.Sees(".line", "BELOW THE PRESSURE since 10:20: no time runs.")
	b.Sees("#kept", "not yet at the laptop")
	b.Sees("#link", "No answer from the laptop since 10:20.")
	b.Press(".big")
	b.Sees(".line", "At pressure since 10:20. The heat goes off at 10:45, not before.")
	b.Sees(".count", "24:")
	assert.True(t, dead(b), "the full time begins anew")
	b.Fits()

	b.Run("const real = Date.now; Date.real = real; Date.now = () => real() + 600000") // somebody sets the phone's clock
	time.Sleep(1200 * time.Millisecond)
	assert.Regexp(t, `^24:`, b.Text(".count"))
	assert.True(t, dead(b))
	b.Run("Date.now = Date.real") // and back
	time.Sleep(1200 * time.Millisecond)
	assert.Regexp(t, `^24:`, b.Text(".count"))

	b.Open("about:blank")
	b.Open(l.link)
	b.Sees(".line", "At pressure since 10:20. The heat goes off at 10:45, not before.")
	b.Sees("#kept", "not yet at the laptop")
	assert.Equal(t, "2", b.Run("return document.querySelectorAll('#kept li').length"))

	b.Press("#kept li:last-child button")
	b.Sees(".line", "BELOW THE PRESSURE since 10:20")
	b.Press(".big")
	l.later(2 * time.Minute)
	l.answers()
	hurry(b, l)
	b.Sees("#link", "At the laptop")
	browser.Eventually(t, "both notes", func() bool { return len(l.noted()) == 8 })
	assert.Equal(t, []string{"fell", "at-pressure"}, l.noted()[6:])
	b.Sees("#noted", "10:20 load 1 at pressure")
	browser.Eventually(t, "nothing kept", func() bool { return b.Run("return String(document.querySelector('#kept').hidden)") == "true" })
	b.Sees(".line", "At pressure since 10:20. The heat goes off at 10:45, not before.")
}

// What is measured is typed, with its unit; what cannot be is said, and noted nowhere.
func aMeasureTyped(t *testing.T, b *browser.Browser) {
	l := newLaptop(t, "2026-11-28 10:50:00")
	l.notes("2026-11-28", "10:20 began strain")
	l.serve()
	b.Open(l.link)
	b.Sees("#on-title", "Strain the broth")
	const of = "#measure form:has([value=strained]) "
	b.Types(of+"[name=amount]", "eleven")
	b.Press(of + "button")
	b.Sees("#said", "Not noted: strained")
	b.Types(of+"[name=amount]", "11 1/2")
	b.Press(of + "button")
	b.Sees("#noted", "10:50 strained 11.5 qt (10.9 l), hot")
	b.Sees("#on-title", "Chill")
	assert.Equal(t, []string{"began", "strained"}, l.noted())
	b.Fits()
}

// A laptop that sleeps has the press once it wakes, once, with the time it was made at.
func aLaptopThatSleeps(t *testing.T, b *browser.Browser) {
	h := newHousehold(t)
	server := h.serve()
	t.Cleanup(func() {
		server.Process.Kill()
		server.Wait()
	})
	b.Open(h.base() + h.links().Cook + "/")
	b.Sees(".big", "It simmers")
	require.NoError(t, server.Process.Signal(syscall.SIGSTOP))
	b.Press(".big")
	pressed := time.Now()
	b.Sees("#kept", "not yet at the laptop")
	b.Sees("#link", "No answer from the laptop since") // it gave up waiting
	require.NoError(t, server.Process.Signal(syscall.SIGCONT))
	browser.Eventually(t, "the note", func() bool { return len(h.notes()) == 2 })
	b.Run("dispatchEvent(new Event('online'))")
	b.Sees("#link", "At the laptop")
	b.Sees("#on-title", "Simmer")
	assert.Len(t, h.notes(), 2, "once")
	data, err := os.ReadFile(filepath.Join(h.folder, "run.toml"))
	require.NoError(t, err)
	place, err := time.LoadLocation("America/Denver")
	require.NoError(t, err)
	var near []string
	for s := -2; s <= 1; s++ {
		near = append(near, pressed.Add(time.Duration(s)*time.Second).In(place).Format("2006-01-02T15:04:05"))
	}
	assert.Regexp(t, `at = "(`+strings.Join(near, "|")+`)"`, string(data), "when it was pressed")
}

// Without a script the page has its buttons all the same.
func withoutAScript(t *testing.T, b *browser.Browser) {
	l := newLaptop(t, "2026-11-29 10:20:00")
	l.pressed()
	l.serve()
	b.Open(l.link)
	b.Sees(".count", "14:00")
	b.Sees("header", "Without its script the page does not count")
	b.Press("#on form:nth-of-type(2) button")
	b.Sees(".line", "BELOW THE PRESSURE since 10:20")
	b.Press(".big")
	b.Sees(".count", "25:00")
	assert.Equal(t, []string{"fell", "at-pressure"}, l.noted()[6:])
}
