//go:build unix

package main

import (
	"encoding/json"
	"fmt"
	"io"
	"math/rand/v2"
	"net/http"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/cmd/browser"
	"brothrun/stock/runfile"
)

// household is a folder with a run that is on now, and what serve keeps of it.
type household struct {
	t      testing.TB
	folder string
	port   int
}

func newHousehold(t testing.TB) household {
	h := household{t: t, folder: t.TempDir(), port: browser.FreePort(t)}
	kitchen, err := os.ReadFile(filepath.Join(root, "testdata", "demo", "kitchen.toml"))
	require.NoError(t, err)
	writeRun(t, h.folder, "kitchen.toml", string(kitchen))
	place, err := time.LoadLocation("America/Denver")
	require.NoError(t, err)
	began := time.Now().In(place).Add(-time.Hour)
	writeRun(t, h.folder, "run.toml", fmt.Sprintf("kitchen = 'kitchen.toml'\nkind = 'turkey-frames'\nbones = '9 lb'\npot = 'big pot'\n"+
		"start = '%s'\n[[note]]\nid = 'heatup'\nat = '%s'\nwhat = 'began'\nstep = 'heat-up'\n",
		began.Format("2006-01-02 15:04"), began.Add(time.Minute).Format(time.RFC3339)))
	return h
}

// command is brothrun with the household's folders.
func (h household) command(args ...string) *exec.Cmd {
	self, err := os.Executable()
	require.NoError(h.t, err)
	command := exec.Command(self, args...)
	command.Args[0], command.Dir = "brothrun", h.folder // by that name the test binary is brothrun
	command.Env = append(os.Environ(), "XDG_CONFIG_HOME="+h.folder, "XDG_CACHE_HOME="+h.folder, "HOME="+h.folder,
		"BROTHRUN_TEST_HOME=127.0.0.1", "SOURCE_DATE_EPOCH=")
	return command
}

// serve starts a server and waits until it answers.
func (h household) serve() *exec.Cmd {
	command := h.command("serve", "run.toml", "--port", strconv.Itoa(h.port))
	require.NoError(h.t, command.Start())
	browser.Eventually(h.t, "an answer", func() bool {
		answer, err := http.Get(h.base())
		if err == nil {
			answer.Body.Close()
		}
		return err == nil
	})
	return command
}

func (h household) links() (l links) {
	data, err := os.ReadFile(filepath.Join(h.folder, "brothrun", "links.json"))
	if err != nil {
		return l
	}
	require.NoError(h.t, json.Unmarshal(data, &l))
	return l
}

func (h household) base() string { return fmt.Sprintf("http://127.0.0.1:%d/", h.port) }

// notes are the ids of the notes in the file, each with how often it stands there.
func (h household) notes() map[string]int {
	file, err := os.Open(filepath.Join(h.folder, "run.toml"))
	require.NoError(h.t, err)
	defer file.Close()
	run, err := runfile.DecodeRun(file, "run.toml")
	require.NoError(h.t, err)
	ids := map[string]int{}
	for _, n := range run.Notes {
		ids[n.ID]++
	}
	return ids
}

// In a storm of presses from four phones, and notes made at the laptop, the server is
// killed again and again: none that was acknowledged is lost, and none stands there twice.
func TestAKilledServerLosesNoPress(t *testing.T) {
	h := newHousehold(t)
	server := h.serve()
	link := fmt.Sprintf("%s%s/1/press?fragment", h.base(), h.links().Cook)
	const phones, presses, kills, typed = 4, 12, 5, 6
	client := &http.Client{Timeout: 5 * time.Second}
	var all sync.WaitGroup
	var lock sync.Mutex
	acknowledged, sent := map[string]bool{}, 0
	for phone := range phones {
		all.Go(func() {
			for n := range presses {
				id := fmt.Sprintf("phone%dpress%d", phone, n)
				fields := url.Values{"id": {id}, "what": {"topped-up"}, "amount": {"10"}, "unit": {"ml"}}
				for range 500 { // until it is acknowledged
					lock.Lock()
					sent++
					lock.Unlock()
					answer, err := client.PostForm(link, fields)
					if err != nil {
						time.Sleep(20 * time.Millisecond)
						continue
					}
					said, _ := io.ReadAll(answer.Body)
					answer.Body.Close()
					if answer.StatusCode == http.StatusOK {
						lock.Lock()
						acknowledged[id] = true
						lock.Unlock()
						break
					}
					if answer.StatusCode != http.StatusTooManyRequests {
						t.Errorf("%d: %.300s", answer.StatusCode, said)
						return
					}
					time.Sleep(100 * time.Millisecond)
				}
			}
		})
	}
	all.Go(func() {
		for range typed {
			if out, err := h.command("note", "run.toml", "topped-up", "20", "ml").CombinedOutput(); err != nil {
				t.Errorf("%v: %s", err, out)
			}
		}
	})
	random := rand.New(rand.NewPCG(1, 9))
	for range kills {
		time.Sleep(time.Duration(20+random.IntN(150)) * time.Millisecond)
		require.NoError(t, server.Process.Signal(syscall.SIGKILL))
		server.Wait()
		server = h.serve()
	}
	all.Wait()
	assert.Len(t, acknowledged, phones*presses)
	ids := h.notes()
	for id := range acknowledged {
		assert.Equal(t, 1, ids[id], id)
	}
	assert.Len(t, ids, 1+phones*presses+typed)
	t.Logf("%d presses sent %d times, %d notes typed, %d kills", phones*presses, sent, typed, kills)
	require.NoError(t, server.Process.Signal(os.Interrupt))
	assert.NoError(t, server.Wait(), "Ctrl-C ends it in peace")
	left, err := filepath.Glob(filepath.Join(h.folder, ".brothrun-*"))
	require.NoError(t, err)
	assert.LessOrEqual(t, len(left), kills, "what was killed while it wrote is swept later")
}

// The links stay until new ones are asked for, and are their user's alone.
func TestTheLinksStay(t *testing.T) {
	h := newHousehold(t)
	ended := func(server *exec.Cmd) {
		require.NoError(t, server.Process.Signal(syscall.SIGTERM))
		require.NoError(t, server.Wait())
	}
	ended(h.serve())
	first := h.links()
	assert.Regexp(t, `^[a-z2-7]{20}$`, first.Cook, "100 bits, 5 a letter (RFC 4648)")
	assert.NotEqual(t, first.Cook, first.View)
	info, err := os.Stat(filepath.Join(h.folder, "brothrun", "links.json"))
	require.NoError(t, err)
	assert.Equal(t, os.FileMode(0o600), info.Mode().Perm())
	server := h.serve()
	assert.Equal(t, first, h.links())

	taken, err := h.command("serve", "run.toml").CombinedOutput()
	assert.Equal(t, exitFailed, err.(*exec.ExitError).ExitCode(), "the port is kept, and is taken")
	assert.Contains(t, string(taken), fmt.Sprintf("port %d is taken", h.port))
	ended(server)

	renew := h.command("serve", "run.toml", "--new-link")
	out, err := renew.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, renew.Start())
	said := make([]byte, 4096)
	n, err := out.Read(said)
	require.NoError(t, err)
	assert.NotEqual(t, first.Cook, h.links().Cook)
	assert.NotEqual(t, first.View, h.links().View)
	assert.Contains(t, string(said[:n]), h.base()+h.links().Cook+"/")
	browser.Eventually(t, "an answer", func() bool {
		answer, err := http.Get(h.base() + first.Cook + "/")
		if err != nil {
			return false
		}
		defer answer.Body.Close()
		return answer.StatusCode == http.StatusNotFound
	})
	ended(renew)
}

// What cannot be served is said at the start, with its exit status and what to do.
func TestWhatServeRefuses(t *testing.T) {
	h := newHousehold(t)
	writeRun(t, h.folder, "timeless.toml", "kitchen = 'kitchen.toml'\nkind = 'turkey-frames'\nbones = '9 lb'\npot = 'big pot'\n")
	for _, row := range []struct {
		args   string
		status int
		said   string
	}{
		{"serve", exitUsage, "try: brothrun serve --help"},
		{"serve nothing.toml", exitUsage, "try: check the name"},
		{"serve timeless.toml", exitUsage, `try: start = "2026-11-28 08:00" in the run file`},
		{"serve kitchen.toml", exitUsage, "kitchen.toml"},
		{"serve run.toml --port 80", exitUsage, "--port 80: must be from 1024 to 65535"},
		{"serve run.toml --cert a.pem", exitUsage, "--cert and --key go together"},
		{"serve run.toml --cert a.pem --key b.pem", exitUsage, "--cert: "},
		{"serve run.toml --planner nowhere", exitUsage, "try: go run ./cmd/brothrun-site FOLDER"},
		{"serve run.toml --planner .", exitUsage, "--planner: no planner is there"},
	} {
		out, err := h.command(strings.Fields(row.args)...).CombinedOutput()
		var exit *exec.ExitError
		require.ErrorAs(t, err, &exit, row.args)
		assert.Equal(t, row.status, exit.ExitCode(), "%s: %s", row.args, out)
		assert.Contains(t, string(out), row.said, row.args)
	}
	alone := h.command("serve", "run.toml")
	alone.Env = append(alone.Env, "BROTHRUN_TEST_HOME=nowhere")
	said, err := alone.CombinedOutput()
	assert.Equal(t, exitFailed, err.(*exec.ExitError).ExitCode())
	assert.Contains(t, string(said), "this machine is on no home network")
	require.NoError(t, os.MkdirAll(filepath.Join(h.folder, "brothrun"), 0o700))
	writeRun(t, filepath.Join(h.folder, "brothrun"), "links.json", "no links")
	out, err := h.command("serve", "run.toml").CombinedOutput()
	assert.Equal(t, exitFailed, err.(*exec.ExitError).ExitCode())
	assert.Contains(t, string(out), "--new-link makes new ones")
}
