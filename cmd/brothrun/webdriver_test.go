//go:build unix

package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// browser is a real one, told what to do by WebDriver [W3C]. Firefox speaks the same by
// Marionette, its own form of it, so that no further program is needed.
type browser struct {
	t    testing.TB
	name string
	// command sends one by method and path of WebDriver, or by its name in Marionette.
	command func(method, path, name string, body map[string]any) (json.RawMessage, error)
}

const elementKey = "element-6066-11e4-a52e-4f735466cecf" // WebDriver 11

// oneOf is the first of programs that there is; empty: none.
func oneOf(programs ...string) string {
	for _, program := range programs {
		if path, err := exec.LookPath(program); err == nil {
			return path
		}
	}
	return ""
}

// missing skips a test for want of a program, in sight; in CI it fails.
func missing(t testing.TB, what string) {
	t.Helper()
	if os.Getenv("CI") == "true" {
		t.Fatalf("outside reader missing: %s", what)
	}
	t.Skipf("SKIPPED, outside reader missing: %s", what)
}

// freePort is one that nobody has.
func freePort(t testing.TB) int {
	t.Helper()
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	defer listener.Close()
	return listener.Addr().(*net.TCPAddr).Port
}

// started is a program that is ended with the test, by its own id.
func started(t testing.TB, command *exec.Cmd) {
	t.Helper()
	log, err := os.Create(filepath.Join(t.TempDir(), "log"))
	require.NoError(t, err)
	command.Stdout, command.Stderr = log, log
	ended := make(chan struct{})
	require.NoError(t, command.Start())
	go func() {
		command.Wait()
		close(ended)
	}()
	t.Cleanup(func() {
		command.Process.Signal(os.Interrupt)
		select {
		case <-ended:
		case <-time.After(5 * time.Second):
			command.Process.Kill()
			<-ended
		}
		if said, _ := os.ReadFile(log.Name()); t.Failed() && len(said) > 0 {
			t.Logf("%s: %.4000s", filepath.Base(command.Path), said)
		}
	})
}

// eventually waits for what comes by itself.
func eventually(t testing.TB, what string, is func() bool) {
	t.Helper()
	for end := time.Now().Add(25 * time.Second); time.Now().Before(end); time.Sleep(50 * time.Millisecond) {
		if is() {
			return
		}
	}
	require.Fail(t, "it did not come: "+what)
}

// wish is how a browser is to be.
type wish struct{ noScript, dark bool }

// browsers are those a test is run in, each started by its name.
var browsers = map[string]func(t testing.TB, w wish) *browser{"chromium": chromium, "firefox": firefox, "webkit": webkit}

func chromium(t testing.TB, w wish) *browser {
	driver, binary := oneOf("chromedriver"), oneOf("chromium", "chromium-browser", "google-chrome")
	if driver == "" || binary == "" {
		missing(t, "chromium, chromedriver")
	}
	args := []string{"--headless=new", "--no-sandbox", "--disable-dev-shm-usage", "--user-data-dir=" + t.TempDir()}
	if w.dark {
		args = append(args, "--force-dark-mode", "--blink-settings=preferredColorScheme=0")
	}
	prefs := map[string]any{}
	if w.noScript {
		prefs["profile.managed_default_content_settings.javascript"] = 2
	}
	small := map[string]any{"deviceMetrics": map[string]any{"width": 320, "height": 640, "pixelRatio": 1, "touch": false, "mobile": true}}
	return driven(t, "chromium", driver, map[string]any{"goog:chromeOptions": map[string]any{"binary": binary, "args": args, "prefs": prefs,
		"mobileEmulation": small}})
}

func webkit(t testing.TB, w wish) *browser {
	driver, screen := oneOf("WebKitWebDriver"), oneOf("Xvfb")
	found, _ := filepath.Glob("/usr/lib/*/webkit2gtk-4.*/MiniBrowser")
	if driver == "" || screen == "" || len(found) == 0 {
		missing(t, "webkit2gtk-driver, Xvfb")
	}
	display := fmt.Sprintf(":%d", 20000+os.Getpid()%10000)
	started(t, exec.Command(screen, display, "-screen", "0", "1280x1024x24", "-nolisten", "tcp"))
	eventually(t, "a screen", func() bool {
		_, err := os.Stat("/tmp/.X11-unix/X" + display[1:])
		return err == nil
	})
	return driven(t, "webkit", driver, map[string]any{"webkitgtk:browserOptions": map[string]any{"binary": found[0], "args": []string{"--automation"}}},
		"DISPLAY="+display, "WEBKIT_DISABLE_COMPOSITING_MODE=1")
}

// driven is a browser behind a driver of WebDriver.
func driven(t testing.TB, name, driver string, wanted map[string]any, environment ...string) *browser {
	port := freePort(t)
	command := exec.Command(driver, "--port="+strconv.Itoa(port))
	command.Env = append(append(os.Environ(), "HOME="+t.TempDir()), environment...)
	started(t, command)
	client := &http.Client{Timeout: 60 * time.Second, Transport: &http.Transport{}}
	base := fmt.Sprintf("http://127.0.0.1:%d", port)
	eventually(t, driver, func() bool {
		answer, err := client.Get(base + "/status")
		if err == nil {
			answer.Body.Close()
		}
		return err == nil
	})
	b := &browser{t: t, name: name}
	b.command = func(method, path, _ string, body map[string]any) (json.RawMessage, error) {
		var sent io.Reader
		if method == http.MethodPost {
			if body == nil {
				body = map[string]any{}
			}
			data, err := json.Marshal(body)
			if err != nil {
				return nil, err
			}
			sent = bytes.NewReader(data)
		}
		request, err := http.NewRequest(method, base+path, sent)
		if err != nil {
			return nil, err
		}
		answer, err := client.Do(request)
		if err != nil {
			return nil, err
		}
		defer answer.Body.Close()
		var said struct{ Value json.RawMessage }
		if err := json.NewDecoder(answer.Body).Decode(&said); err != nil {
			return nil, err
		}
		if answer.StatusCode != http.StatusOK {
			return nil, fmt.Errorf("%s %s: %.500s", method, path, said.Value)
		}
		return said.Value, nil
	}
	made, err := b.command(http.MethodPost, "/session", "", map[string]any{"capabilities": map[string]any{"alwaysMatch": wanted}})
	require.NoError(t, err)
	var session struct{ SessionID string }
	require.NoError(t, json.Unmarshal(made, &session))
	of := "/session/" + session.SessionID
	plain := b.command
	b.command = func(method, path, name string, body map[string]any) (json.RawMessage, error) {
		return plain(method, of+path, name, body)
	}
	t.Cleanup(func() { b.command(http.MethodDelete, "", "", nil) })
	return b
}

// firefox is Firefox by Marionette: after a greeting, messages of their length, a colon and
// JSON, [0, number, name, arguments] answered by [1, number, error, result].
func firefox(t testing.TB, w wish) *browser {
	binary := oneOf("firefox", "firefox-esr")
	if binary == "" {
		missing(t, "firefox")
	}
	port, profile := freePort(t), t.TempDir()
	prefs := fmt.Sprintf("user_pref('marionette.port', %d);\nuser_pref('javascript.enabled', %t);\n"+
		"user_pref('layout.css.prefers-color-scheme.content-override', %d);\n"+
		"user_pref('browser.shell.checkDefaultBrowser', false);\nuser_pref('datareporting.policy.dataSubmissionEnabled', false);\n"+
		"user_pref('network.captive-portal-service.enabled', false);\nuser_pref('network.connectivity-service.enabled', false);\n"+
		"user_pref('app.update.disabledForTesting', true);\nuser_pref('browser.startup.page', 0);\n",
		port, !w.noScript, map[bool]int{true: 0, false: 1}[w.dark])
	require.NoError(t, os.WriteFile(filepath.Join(profile, "user.js"), []byte(prefs), 0o600))
	command := exec.Command(binary, "--headless", "--no-remote", "--marionette", "--profile", profile, "about:blank")
	command.Env = append(os.Environ(), "HOME="+t.TempDir())
	started(t, command)
	var conn net.Conn
	eventually(t, "firefox", func() (ok bool) {
		var err error
		conn, err = net.Dial("tcp", fmt.Sprintf("127.0.0.1:%d", port))
		return err == nil
	})
	t.Cleanup(func() { conn.Close() })
	receive := func() ([]byte, error) {
		conn.SetReadDeadline(time.Now().Add(60 * time.Second))
		length := ""
		for one := make([]byte, 1); ; length += string(one) {
			if _, err := io.ReadFull(conn, one); err != nil {
				return nil, err
			}
			if one[0] == ':' {
				break
			}
		}
		n, err := strconv.Atoi(length)
		if err != nil {
			return nil, err
		}
		data := make([]byte, n)
		_, err = io.ReadFull(conn, data)
		return data, err
	}
	_, err := receive()
	require.NoError(t, err)
	number := 0
	b := &browser{t: t, name: "firefox"}
	b.command = func(_, _, name string, body map[string]any) (json.RawMessage, error) {
		if body == nil {
			body = map[string]any{}
		}
		number++
		data, err := json.Marshal([]any{0, number, "WebDriver:" + name, body})
		if err != nil {
			return nil, err
		}
		if _, err := fmt.Fprintf(conn, "%d:%s", len(data), data); err != nil {
			return nil, err
		}
		if data, err = receive(); err != nil {
			return nil, err
		}
		var answer [4]json.RawMessage
		if err := json.Unmarshal(data, &answer); err != nil {
			return nil, err
		}
		if string(answer[2]) != "null" {
			return nil, fmt.Errorf("%s: %.500s", name, answer[2])
		}
		var wrapped struct{ Value json.RawMessage }
		if json.Unmarshal(answer[3], &wrapped) == nil && wrapped.Value != nil {
			return wrapped.Value, nil
		}
		return answer[3], nil
	}
	_, err = b.command("", "", "NewSession", map[string]any{})
	require.NoError(t, err)
	return b
}

func (b *browser) must(method, path, name string, body map[string]any) json.RawMessage {
	b.t.Helper()
	value, err := b.command(method, path, name, body)
	require.NoError(b.t, err, b.name)
	return value
}

// open goes to an address.
func (b *browser) open(url string) {
	b.t.Helper()
	b.must(http.MethodPost, "/url", "Navigate", map[string]any{"url": url})
}

// run is what a script returns: text, unless into asks for else.
func (b *browser) run(script string, args ...any) string {
	b.t.Helper()
	var text any
	value, err := b.try(script, args...)
	require.NoError(b.t, err, b.name)
	require.NoError(b.t, json.Unmarshal(value, &text))
	if text == nil {
		return ""
	}
	return fmt.Sprint(text)
}

func (b *browser) try(script string, args ...any) (json.RawMessage, error) {
	if args == nil {
		args = []any{}
	}
	return b.command(http.MethodPost, "/execute/sync", "ExecuteScript", map[string]any{"script": script, "args": args})
}

// find is the id of the first element; empty: there is none.
func (b *browser) find(css string) string {
	value, err := b.command(http.MethodPost, "/element", "FindElement", map[string]any{"using": "css selector", "value": css})
	var element map[string]string
	if err != nil || json.Unmarshal(value, &element) != nil {
		return ""
	}
	return element[elementKey]
}

// text is what is read of an element; empty where there is none.
func (b *browser) text(css string) string {
	id := b.find(css)
	if id == "" {
		return ""
	}
	value, err := b.command(http.MethodGet, "/element/"+id+"/text", "GetElementText", map[string]any{"id": id})
	var text string
	if err != nil || json.Unmarshal(value, &text) != nil {
		return ""
	}
	return strings.TrimSpace(text)
}

// sees waits until an element reads so.
func (b *browser) sees(css, text string) {
	b.t.Helper()
	got := ""
	for end := time.Now().Add(25 * time.Second); time.Now().Before(end); time.Sleep(50 * time.Millisecond) {
		if got = b.text(css); strings.Contains(got, text) {
			return
		}
	}
	require.Contains(b.t, got, text, "%s: %s of %s", b.name, css, b.text("body"))
}

// press presses the first element that there is, as a finger or mouse does, once it is
// still and alive.
func (b *browser) press(css string) {
	b.t.Helper()
	time.Sleep(700 * time.Millisecond) // a new main button is dead for 0.6 s
	var err error = errors.New("there is no " + css)
	for range 50 {
		if id := b.find(css); id != "" {
			if _, err = b.command(http.MethodPost, "/element/"+id+"/click", "ElementClick", map[string]any{"id": id}); err == nil {
				return
			}
		}
		time.Sleep(50 * time.Millisecond)
	}
	require.NoError(b.t, err, b.name)
}

// types writes into a field.
func (b *browser) types(css, text string) {
	b.t.Helper()
	id := b.find(css)
	require.NotEmpty(b.t, id, "%s: %s", b.name, css)
	b.must(http.MethodPost, "/element/"+id+"/value", "ElementSendKeys", map[string]any{"id": id, "text": text})
}

// finger puts one down on an element, or lifts it.
func (b *browser) finger(css string, down bool) {
	b.t.Helper()
	actions := []map[string]any{{"type": "pointerUp", "button": 0}}
	if down {
		id := b.find(css)
		require.NotEmpty(b.t, id)
		actions = []map[string]any{
			{"type": "pointerMove", "duration": 0, "x": 0, "y": 0, "origin": map[string]string{elementKey: id}},
			{"type": "pointerDown", "button": 0},
		}
	}
	b.must(http.MethodPost, "/actions", "PerformActions", map[string]any{"actions": []any{map[string]any{
		"type": "pointer", "id": "finger", "parameters": map[string]any{"pointerType": "mouse"}, "actions": actions}}})
}
