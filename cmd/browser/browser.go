// Package browser drives real browsers for the tests of the pages: Chromium and WebKit by
// WebDriver, Firefox by Marionette. A program that is missing skips the test that wants it,
// in sight, and fails it with CI=true.
package browser

import (
	"bytes"
	"encoding/base64"
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

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Browser is a real one, told what to do by WebDriver [W3C]. Firefox speaks the same by
// Marionette, its own form of it, so that no further program is needed.
type Browser struct {
	t    testing.TB
	Name string
	// Downloads is the folder in which it leaves what it is told to keep.
	Downloads string
	// command sends one by method and path of WebDriver, or by its name in Marionette.
	command func(method, path, name string, body map[string]any) (json.RawMessage, error)
}

const elementKey = "element-6066-11e4-a52e-4f735466cecf" // WebDriver 11

// OneOf is the first of programs that there is; empty: none.
func OneOf(programs ...string) string {
	for _, program := range programs {
		if path, err := exec.LookPath(program); err == nil {
			return path
		}
	}
	return ""
}

// Missing skips a test for want of a program, in sight; in CI it fails.
func Missing(t testing.TB, what string) {
	t.Helper()
	if os.Getenv("CI") == "true" {
		t.Fatalf("outside reader missing: %s", what)
	}
	t.Skipf("SKIPPED, outside reader missing: %s", what)
}

// FreePort is one that nobody has.
func FreePort(t testing.TB) int {
	t.Helper()
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	defer listener.Close()
	return listener.Addr().(*net.TCPAddr).Port
}

// Started is a program that is ended with the test, by its own id.
func Started(t testing.TB, command *exec.Cmd) {
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

// Eventually waits for what comes by itself.
func Eventually(t testing.TB, what string, is func() bool) {
	t.Helper()
	for end := time.Now().Add(25 * time.Second); time.Now().Before(end); time.Sleep(50 * time.Millisecond) {
		if is() {
			return
		}
	}
	require.Fail(t, "it did not come: "+what)
}

// Wish is how a browser is to be.
type Wish struct{ NoScript, Dark bool }

// All are those a test is run in, each started by its name.
var All = map[string]func(t testing.TB, w Wish) *Browser{"chromium": Chromium, "firefox": Firefox, "webkit": WebKit}

func Chromium(t testing.TB, w Wish) *Browser {
	driver, binary := OneOf("chromedriver"), OneOf("chromium", "chromium-browser", "google-chrome")
	if driver == "" || binary == "" {
		Missing(t, "chromium, chromedriver")
	}
	args := []string{"--headless=new", "--no-sandbox", "--disable-dev-shm-usage", "--user-data-dir=" + t.TempDir()}
	if w.Dark {
		args = append(args, "--force-dark-mode", "--blink-settings=preferredColorScheme=0")
	}
	downloads := t.TempDir()
	prefs := map[string]any{"download.default_directory": downloads}
	if w.NoScript {
		prefs["profile.managed_default_content_settings.javascript"] = 2
	}
	small := map[string]any{"deviceMetrics": map[string]any{"width": 320, "height": 640, "pixelRatio": 1, "touch": false, "mobile": true}}
	b := driven(t, "chromium", driver, t.TempDir(), map[string]any{"goog:chromeOptions": map[string]any{"binary": binary, "args": args, "prefs": prefs,
		"mobileEmulation": small}})
	b.Downloads = downloads
	return b
}

func WebKit(t testing.TB, w Wish) *Browser {
	driver, screen := OneOf("WebKitWebDriver"), OneOf("Xvfb")
	found, _ := filepath.Glob("/usr/lib/*/webkit2gtk-4.*/MiniBrowser")
	if driver == "" || screen == "" || len(found) == 0 {
		Missing(t, "webkit2gtk-driver, Xvfb")
	}
	display := fmt.Sprintf(":%d", 20000+os.Getpid()%10000)
	Started(t, exec.Command(screen, display, "-screen", "0", "1280x1024x24", "-nolisten", "tcp"))
	Eventually(t, "a screen", func() bool {
		_, err := os.Stat("/tmp/.X11-unix/X" + display[1:])
		return err == nil
	})
	home := t.TempDir()
	b := driven(t, "webkit", driver, home, map[string]any{"webkitgtk:browserOptions": map[string]any{"binary": found[0], "args": []string{"--automation"}}},
		"DISPLAY="+display, "WEBKIT_DISABLE_COMPOSITING_MODE=1")
	b.Downloads = home
	return b
}

// driven is a browser behind a driver of WebDriver.
func driven(t testing.TB, name, driver, home string, wanted map[string]any, environment ...string) *Browser {
	port := FreePort(t)
	command := exec.Command(driver, "--port="+strconv.Itoa(port))
	command.Env = append(append(os.Environ(), "HOME="+home), environment...)
	Started(t, command)
	client := &http.Client{Timeout: 60 * time.Second, Transport: &http.Transport{}}
	base := fmt.Sprintf("http://127.0.0.1:%d", port)
	Eventually(t, driver, func() bool {
		answer, err := client.Get(base + "/status")
		if err == nil {
			answer.Body.Close()
		}
		return err == nil
	})
	b := &Browser{t: t, Name: name}
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

// Firefox is Firefox by Marionette: after a greeting, messages of their length, a colon and
// JSON, [0, number, name, arguments] answered by [1, number, error, result].
func Firefox(t testing.TB, w Wish) *Browser {
	binary := OneOf("firefox", "firefox-esr")
	if binary == "" {
		Missing(t, "firefox")
	}
	port, profile, downloads := FreePort(t), t.TempDir(), t.TempDir()
	prefs := fmt.Sprintf("user_pref('marionette.port', %d);\nuser_pref('javascript.enabled', %t);\n"+
		"user_pref('layout.css.prefers-color-scheme.content-override', %d);\n"+
		"user_pref('browser.shell.checkDefaultBrowser', false);\nuser_pref('datareporting.policy.dataSubmissionEnabled', false);\n"+
		"user_pref('network.captive-portal-service.enabled', false);\nuser_pref('network.connectivity-service.enabled', false);\n"+
		"user_pref('app.update.disabledForTesting', true);\nuser_pref('browser.startup.page', 0);\n"+
		"user_pref('browser.download.folderList', 2);\nuser_pref('browser.download.dir', '%s');\n",
		port, !w.NoScript, map[bool]int{true: 0, false: 1}[w.Dark], downloads)
	require.NoError(t, os.WriteFile(filepath.Join(profile, "user.js"), []byte(prefs), 0o600))
	command := exec.Command(binary, "--headless", "--no-remote", "--marionette", "--profile", profile, "about:blank")
	command.Env = append(os.Environ(), "HOME="+t.TempDir())
	Started(t, command)
	var conn net.Conn
	Eventually(t, "firefox", func() (ok bool) {
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
	b := &Browser{t: t, Name: "firefox", Downloads: downloads}
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

// For is the same browser for a part of its test.
func (b *Browser) For(t testing.TB) *Browser {
	part := *b
	part.t = t
	return &part
}

// Must is a command of WebDriver, by its method and path, and its name in Marionette.
func (b *Browser) Must(method, path, name string, body map[string]any) json.RawMessage {
	b.t.Helper()
	value, err := b.command(method, path, name, body)
	require.NoError(b.t, err, b.Name)
	return value
}

// Open goes to an address.
func (b *Browser) Open(url string) {
	b.t.Helper()
	b.Must(http.MethodPost, "/url", "Navigate", map[string]any{"url": url})
}

// Run is what a script returns: text, unless into asks for else.
func (b *Browser) Run(script string, args ...any) string {
	b.t.Helper()
	var text any
	value, err := b.try(script, args...)
	require.NoError(b.t, err, b.Name)
	require.NoError(b.t, json.Unmarshal(value, &text))
	if text == nil {
		return ""
	}
	return fmt.Sprint(text)
}

func (b *Browser) try(script string, args ...any) (json.RawMessage, error) {
	if args == nil {
		args = []any{}
	}
	return b.command(http.MethodPost, "/execute/sync", "ExecuteScript", map[string]any{"script": script, "args": args})
}

// Find is the id of the first element; empty: there is none.
func (b *Browser) Find(css string) string {
	value, err := b.command(http.MethodPost, "/element", "FindElement", map[string]any{"using": "css selector", "value": css})
	var element map[string]string
	if err != nil || json.Unmarshal(value, &element) != nil {
		return ""
	}
	return element[elementKey]
}

// Text is what is read of an element; empty where there is none.
func (b *Browser) Text(css string) string {
	id := b.Find(css)
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

// Sees waits until an element reads so.
func (b *Browser) Sees(css, text string) {
	b.t.Helper()
	got := ""
	for end := time.Now().Add(25 * time.Second); time.Now().Before(end); time.Sleep(50 * time.Millisecond) {
		if got = b.Text(css); strings.Contains(got, text) {
			return
		}
	}
	require.Contains(b.t, got, text, "%s: %s of %s", b.Name, css, b.Text("body"))
}

// Press presses the first element that there is, as a finger or mouse does, once it is
// still and alive.
func (b *Browser) Press(css string) {
	b.t.Helper()
	time.Sleep(700 * time.Millisecond) // a new main button is dead for 0.6 s
	var err error = errors.New("there is no " + css)
	for range 50 {
		if id := b.Find(css); id != "" {
			if _, err = b.command(http.MethodPost, "/element/"+id+"/click", "ElementClick", map[string]any{"id": id}); err == nil {
				return
			}
		}
		time.Sleep(50 * time.Millisecond)
	}
	require.NoError(b.t, err, b.Name)
}

// Types writes into a field.
func (b *Browser) Types(css, text string) {
	b.t.Helper()
	id := b.Find(css)
	require.NotEmpty(b.t, id, "%s: %s", b.Name, css)
	b.Must(http.MethodPost, "/element/"+id+"/value", "ElementSendKeys", map[string]any{"id": id, "text": text})
}

// Finger puts one down on an element, or lifts it.
func (b *Browser) Finger(css string, down bool) {
	b.t.Helper()
	actions := []map[string]any{{"type": "pointerUp", "button": 0}}
	if down {
		id := b.Find(css)
		require.NotEmpty(b.t, id)
		actions = []map[string]any{
			{"type": "pointerMove", "duration": 0, "x": 0, "y": 0, "origin": map[string]string{elementKey: id}},
			{"type": "pointerDown", "button": 0},
		}
	}
	b.Must(http.MethodPost, "/actions", "PerformActions", map[string]any{"actions": []any{map[string]any{
		"type": "pointer", "id": "finger", "parameters": map[string]any{"pointerType": "mouse"}, "actions": actions}}})
}

// Tab opens another tab, into which all goes from then on, and names the one before.
func (b *Browser) Tab() (before string) {
	b.t.Helper()
	before = b.Handle()
	b.Switch(b.handle(b.Must(http.MethodPost, "/window/new", "NewWindow", map[string]any{"type": "tab"})))
	return before
}

// Handle is what the tab is called by.
func (b *Browser) Handle() string {
	b.t.Helper()
	return b.handle(b.Must(http.MethodGet, "/window", "GetWindowHandle", nil))
}

// handle is what an answer calls a tab by.
func (b *Browser) handle(value json.RawMessage) (handle string) {
	if json.Unmarshal(value, &handle) != nil {
		var made struct{ Handle string }
		require.NoError(b.t, json.Unmarshal(value, &made))
		handle = made.Handle
	}
	return handle
}

// Switch goes to a tab.
func (b *Browser) Switch(handle string) {
	b.t.Helper()
	b.Must(http.MethodPost, "/window", "SwitchToWindow", map[string]any{"handle": handle})
}

// Close closes the tab and goes to another.
func (b *Browser) Close(other string) {
	b.t.Helper()
	b.Must(http.MethodDelete, "/window", "CloseWindow", nil)
	b.Switch(other)
}

// Confirms answers what the page asks the cook, once it asks.
func (b *Browser) Confirms(yes bool) {
	b.t.Helper()
	path, name := "/alert/dismiss", "DismissAlert"
	if yes {
		path, name = "/alert/accept", "AcceptAlert"
	}
	Eventually(b.t, "a question", func() bool {
		_, err := b.command(http.MethodPost, path, name, map[string]any{})
		return err == nil
	})
}

// Print is the page on letter paper, as PDF. WebKit's driver has no way to ask for that.
func (b *Browser) Print() []byte {
	b.t.Helper()
	var text string
	require.NoError(b.t, json.Unmarshal(b.Must(http.MethodPost, "/print", "Print", map[string]any{}), &text))
	pdf, err := base64.StdEncoding.DecodeString(text)
	require.NoError(b.t, err)
	return pdf
}

// Fits wants nothing to stand out of the window, which is 320 pixels wide in Chromium.
func (b *Browser) Fits() {
	b.t.Helper()
	assert.Empty(b.t, b.Run("const e = document.documentElement; return e.scrollWidth > e.clientWidth ? e.scrollWidth + ' of ' + e.clientWidth : ''"))
}

// Axe is axe-core, the script that finds what shuts people out (BROTHRUN_AXE names it).
func Axe(t testing.TB) string {
	path := os.Getenv("BROTHRUN_AXE")
	if path == "" {
		Missing(t, "axe-core: BROTHRUN_AXE names axe.min.js")
	}
	script, err := os.ReadFile(path)
	require.NoError(t, err)
	return string(script)
}

// Found is what axe-core finds on the page as it is: rules broken, each with its elements.
func (b *Browser) Found(script string) string {
	b.Run(script + ";window.axe = axe")
	return b.Later(`axe.run().then(r => done(r.violations.map(v => v.id + ': ' + v.nodes.map(n => n.html.slice(0, 120) + ' ' + n.failureSummary.slice(0, 200)).join('; ')).join('\n')
		|| (r.passes.length > 20 ? '' : 'hardly anything was looked at')), e => done(String(e)))`)
}

// Later is what a script hands to its function done.
func (b *Browser) Later(script string, args ...any) string {
	b.t.Helper()
	if args == nil {
		args = []any{}
	}
	value := b.Must(http.MethodPost, "/execute/async", "ExecuteAsyncScript",
		map[string]any{"args": args, "script": "const done = arguments[arguments.length - 1]\n" + script})
	var said string
	require.NoError(b.t, json.Unmarshal(value, &said))
	return said
}

// Nu is how to run the Nu HTML checker (BROTHRUN_VNU names vnu.jar).
func Nu(t testing.TB) (java, jar string) {
	jar, java = os.Getenv("BROTHRUN_VNU"), OneOf("java")
	if jar == "" || java == "" {
		Missing(t, "Nu HTML checker: BROTHRUN_VNU names vnu.jar, with java")
	}
	return java, jar
}
