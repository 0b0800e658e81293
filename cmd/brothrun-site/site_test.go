//go:build unix

package main

import (
	"bytes"
	"encoding/base64"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	_ "time/tzdata" // the same zones wherever the tests run

	"brothrun/cmd/brothrun/answer"
	"brothrun/cmd/browser"
	"brothrun/export"
	"brothrun/stock/runfile"
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

// publish builds the folder, with more at the end of one of its scripts.
func (h *host) publish(more string) folder {
	h.t.Helper()
	made, err := planner()
	require.NoError(h.t, err)
	made.glue = append(slices.Clip(made.glue), more...)
	built, err := build(made)
	require.NoError(h.t, err)
	require.NoError(h.t, built.write(h.folder))
	return built
}

func (h *host) answers() {
	listener, err := net.Listen("tcp", h.address)
	require.NoError(h.t, err)
	h.address = listener.Addr().String()
	h.server = &http.Server{Handler: http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		name := filepath.Base(r.URL.Path)
		if name == "/" {
			name = "index.html"
		}
		data, err := os.ReadFile(filepath.Join(h.folder, name))
		if err != nil {
			http.NotFound(w, r)
			return
		}
		w.Header().Set("Cache-Control", "max-age=600")
		w.Header().Set("ETag", fmt.Sprintf(`"%x"`, sum(data))) // a time of whole seconds does not tell two uploads apart
		http.ServeContent(w, r, name, time.Time{}, bytes.NewReader(data))
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
			if browser.OneOf("pdftotext") == "" {
				browser.Missing(t, "pdftotext")
			}
			for _, row := range []struct {
				name string
				test func(*testing.T, *browser.Browser)
			}{
				{"a plan, a slider, a calendar, a sheet", fromPlanToPaper}, {"answers are the command's", answersAlike},
				{"two tabs note at once", twoTabs}, {"a first visit", aFirstVisit},
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

// now is an instant before the demo.
var now = time.Date(2026, 11, 20, 12, 0, 0, 0, time.UTC)

// native is what the planner says outside of a browser.
func native(t testing.TB, q answer.Question) answer.Answer {
	t.Helper()
	q.Now, q.Zone = now, "America/Denver"
	q.Files = map[string][]byte{"kitchen.toml": demo(t, "kitchen.toml"), "run.toml": demo(t, "run.toml")}
	q.Runs = []string{"run.toml"}
	return answer.Of(q)
}

// shown is what a row of the answer says.
func shown(b *browser.Browser, label string) string {
	return b.Run(`const all = [...document.querySelectorAll('#figures dt')]
		return all.find(dt => dt.textContent === arguments[0])?.nextElementSibling.textContent ?? ''`, label)
}

func (h *host) withDemo(b *browser.Browser) {
	h.opened(b)
	opens(b, []string{"kitchen.toml", "run.toml"}, demo(h.t, "kitchen.toml"), demo(h.t, "run.toml"))
	b.Sees("#plan", "Load 2 of 2: 6 quarts, 15 psi for 25 min")
}

func fromPlanToPaper(t *testing.T, b *browser.Browser) {
	h := newHost(t)
	h.withDemo(b)
	assert.Equal(t, "13 quarts 12 to 14; wash 14", shown(b, "Jars"))
	b.Fits()
	native5 := native(t, answer.Question{Ask: "figures", Set: map[string]string{"bones": "5 lb"}})
	jars := native5.Figures.(map[string]any)["rows"].([]export.Figure)[2]
	require.Equal(t, "Jars", jars.Label)

	move := "const r = document.querySelector('[type=range]'); r.value = arguments[0]; r.dispatchEvent(new Event('input', { bubbles: true }))"
	b.Run(move, "5")
	browser.Eventually(t, "figures while it moves", func() bool { return shown(b, "Jars") == jars.Value+" "+jars.Remark })
	assert.Contains(t, b.Text("#short"), "Jars: "+jars.Value)
	assert.Contains(t, b.Text("#plan"), "9 lb of turkey frames", "the steps wait until it is let go")
	assert.Equal(t, string(demo(t, "run.toml")), kept(t, b, "run.toml"))
	b.Run("document.querySelector('[type=range]').dispatchEvent(new Event('change', { bubbles: true }))")
	b.Sees("#plan", "5 lb of turkey frames")
	assert.Equal(t, strings.Replace(string(demo(t, "run.toml")), `"9 lb"`, `"5 lb"`, 1), kept(t, b, "run.toml"), "one value, and nothing else")
	b.Run(move+"; r.dispatchEvent(new Event('change', { bubbles: true }))", "9")
	b.Sees("#plan", "9 lb of turkey frames")

	b.Press("[data-ask=calendar]")
	ids := regexp.MustCompile(`(?m)^UID:.*$`)
	want := native(t, answer.Question{Ask: "calendar"}).File.Data
	assert.Equal(t, ids.FindAllString(string(want), -1), ids.FindAllString(downloaded(t, b, "run.ics"), -1))
	assert.True(t, b.Text("#calendar-note") != "", "that a locked phone does not ring")

	b.Press("[data-ask=sheet]")
	b.Sees("#sheet", "If it goes wrong")
	assert.Equal(t, "2", b.Run("return String(document.querySelectorAll('#sheet svg').length - 1)"), "layers beside their scale")
	if b.Name != "webkit" { // its driver prints nothing
		pdf := filepath.Join(t.TempDir(), "sheet.pdf")
		require.NoError(t, os.WriteFile(pdf, b.Print(), 0o600))
		text, err := exec.Command("pdftotext", "-layout", pdf, "-").Output()
		require.NoError(t, err)
		assert.Contains(t, string(text), "Load 2 of 2: 6 quarts, 15 psi for 25 min")
		assert.Contains(t, string(text), "Canner log")
		assert.NotContains(t, string(text), "Back to the plan")
		assert.NotContains(t, string(text), "Your kitchen")
	}
	b.Press("#back")
	b.Press("[data-ask=labels]")
	b.Sees("#sheet", "Turkey")
	assert.NotEmpty(t, b.Run("return document.querySelector('#sheet li').style.transform"), "each label in its place")
	b.Press("#back")
	b.Sees("#plan", "9 lb of turkey frames")
}

// 300 questions, drawn by a fixed seed, are answered in a browser to the letter as outside
// of one. Each browser takes a part of them.
func answersAlike(t *testing.T, b *browser.Browser) {
	h := newHost(t)
	h.opened(b)
	draw := rand.New(rand.NewPCG(19, uint64(len(b.Name))))
	one := func(words ...string) string { return words[draw.IntN(len(words))] }
	var questions, want []any
	for range 100 {
		q := answer.Question{Ask: one("figures", "plan", "plan", "sheet", "calendar", "ready", "json"), Now: now, Zone: one("America/Denver", "Europe/Vienna", "Mars"),
			Files: map[string][]byte{"kitchen.toml": demo(t, "kitchen.toml"), "run.toml": demo(t, "run.toml")}, Runs: []string{"run.toml"}}
		q.Set = map[string]string{"kind": one("turkey-frames", "beef", "chicken-backs", "fish", "pork", "whole-chicken", "turkey-fraims"),
			"bones": fmt.Sprintf("%.2f %s", .2+20*draw.Float64(), one("lb", "kg")), "pot": one("22 qt", "big pot", "12 l", "40 qt"),
			"jars": one("quart", "pint", "quart,pint", "half-pint", "quart=4,pint=9"), "lid": one("on", "off", "ajar"),
			"altitude": one("0 ft", "3200 ft", "2500 m", "9000 ft"), "gauge": one("weighted", "dial"), "units": one("us", "metric"),
			"start": one("2026-11-28 08:00", "2026-11-28 20:00", "Sat 8am", "tomorow")}
		text, err := json.Marshal(q)
		require.NoError(t, err)
		questions = append(questions, string(text))
		want = append(want, fmt.Sprintf("%x", sum([]byte(answer.JSON(string(text))))))
	}
	got := b.Later(`Promise.all(arguments[0].map(async question => {
		const sum = new Uint8Array(await crypto.subtle.digest('SHA-256', new TextEncoder().encode(brothrunAnswer(question))))
		return Array.from(sum, n => n.toString(16).padStart(2, '0')).join('')
	})).then(all => done(all.join(' ')), wrong => done(String(wrong)))`, questions)
	for i, sum := range strings.Fields(got) {
		assert.Equal(t, want[i], sum, questions[i])
	}
	assert.Len(t, strings.Fields(got), len(want))
}

// Each of two tabs makes a note at the same instant: both are in the file, behind all that
// was there, and each tab shows both.
func twoTabs(t *testing.T, b *browser.Browser) {
	h := newHost(t)
	h.opened(b)
	place, err := time.LoadLocation("America/Denver")
	require.NoError(t, err)
	began := time.Now().In(place).Add(-time.Hour) // the page goes by the phone's clock
	run := fmt.Sprintf("# a run\r\nkitchen = 'kitchen.toml'\r\nkind = 'turkey-frames'\r\nbones = '9 lb'\r\npot = 'big pot'\r\nstart = '%s'\r\n"+
		"[[note]]\r\nid = 'heatup'\r\nat = '%s'\r\nwhat = 'began'\r\nstep = 'heat-up'\r\n",
		began.Format("2006-01-02 15:04"), began.Add(time.Minute).Format(time.RFC3339))
	opens(b, []string{"kitchen.toml", "run.toml"}, demo(t, "kitchen.toml"), []byte(run))
	browser.Eventually(t, "the run is kept", func() bool { return kept(t, b, "run.toml") == run })
	day := h.link() + "day.html?run=run.toml"
	b.Open(day)
	b.Sees(".big", "It simmers")
	first := b.Tab()
	b.Open(day)
	b.Sees(".big", "It simmers")
	second := b.Handle()
	at := time.Now().Add(2 * time.Second).UnixMilli()
	// Not the big button: it is deaf for a moment where the other tab's note came first.
	const late = "setTimeout(() => document.querySelectorAll('#late button')[arguments[1]].click(), arguments[0] - Date.now())"
	b.Run(late, at, 0)
	b.Switch(first)
	b.Run(late, at, 1)
	for _, tab := range []string{first, second} {
		b.Switch(tab)
		browser.Eventually(t, "both notes", func() bool { return strings.Count(kept(t, b, "run.toml"), "[[note]]") == 3 })
		if b.Run("return String(document.hidden)") == "true" { // a tab of WebKit's driver: it looks once it is in sight
			continue
		}
		browser.Eventually(t, "both in sight", func() bool {
			return b.Run("return String(document.querySelectorAll('#noted li').length)") == "3"
		})
	}
	file := kept(t, b, "run.toml")
	assert.True(t, strings.HasPrefix(file, run), "what was there stays as it was")
	assert.Contains(t, file, `value = "10 min"`)
	assert.Contains(t, file, `value = "30 min"`)
	b.Fits()

	// What one tab changes in the plan stays, though another shows the fields of before.
	b.Switch(first)
	b.Open(h.link())
	b.Sees("#plan", "9 lb of turkey frames")
	b.Run("document.querySelector('#weight').focus()")
	b.Switch(second)
	b.Open(h.link())
	b.Sees("#plan", "9 lb of turkey frames")
	change := `const field = document.querySelector('#run [name=' + arguments[0] + ']'); field.value = arguments[1]
		field.dispatchEvent(new Event('change', { bubbles: true }))`
	b.Run(change, "kind", "beef")
	b.Sees("#plan", "9 lb of beef")
	b.Switch(first)
	b.Run(change, "weight", "7")
	b.Sees("#plan", "7 lb of beef")
	b.Close(second)
}

// Who comes for the first time is told what is missing, in the field.
func aFirstVisit(t *testing.T, b *browser.Browser) {
	h := newHost(t)
	h.opened(b)
	b.Sees("#problems", "altitude")
	assert.Equal(t, "true", b.Run("return document.querySelector('[name=altitude]').getAttribute('aria-invalid')"))
	set := func(name, text string) {
		b.Run(`const field = document.querySelector('[name="' + arguments[0] + '"]'); field.value = arguments[1]
			field.dispatchEvent(new Event('change', { bubbles: true }))`, name, text)
	}
	set("altitude", "3200")
	b.Sees("#problems", `"3200" has no unit`)
	assert.Empty(t, kept(t, b, "kitchen.toml"), "what cannot be read is not kept")
	set("altitude", "3,200 ft")
	b.Sees("#plan", "3,200 ft (975 m)")
	b.Sees("#files", "kitchen.toml")
	assert.Equal(t, strings.NewReplacer(`#altitude = "___ ft"`, `altitude = "3,200 ft"`, `#runs = "___"`, `runs = "."`).Replace(runfile.Starter()),
		kept(t, b, "kitchen.toml"))
	kitchen := kept(t, b, "kitchen.toml")
	opens(b, []string{"kitchen (1).toml", "notes.txt"}, []byte("altitude = 'banana'"), []byte("a list"))
	b.Sees("#problems", "kitchen (1).toml")
	b.Sees("#problems", "notes.txt")
	assert.Equal(t, kitchen, kept(t, b, "kitchen.toml"), "what cannot be read takes no place")
	opens(b, []string{"kitchen (2).toml"}, demo(t, "kitchen.toml"))
	b.Confirms(false)
	assert.Equal(t, kitchen, kept(t, b, "kitchen.toml"), "nor what she does not want")
	opens(b, []string{"kitchen (2).toml"}, append(demo(t, "kitchen.toml"), "\n# hers\n"...))
	b.Confirms(true)
	browser.Eventually(t, "the other kitchen", func() bool { return strings.Contains(kept(t, b, "kitchen.toml"), "# hers") })
	opens(b, []string{"kitchen.toml"}, []byte(kitchen))
	b.Confirms(true)
	browser.Eventually(t, "the kitchen of before", func() bool { return kept(t, b, "kitchen.toml") == kitchen })
	set("altitude", "8.000 ft") // thousands or feet?
	b.Sees("#kitchen .wrong", "8.000")
	assert.Empty(t, b.Text("#plan"), "what stands in the fields has no plan")
	assert.Empty(t, b.Text("#figures"))
	set("gauge", "weighted")
	b.Sees("#problems", "8.000")
	assert.Empty(t, b.Text("#plan"), "whatever else is filled in")
	set("altitude", "3,200 ft")
	b.Sees("#plan", "3,200 ft (975 m)")
	set("pot[0].volume", "22 qt")
	b.Sees("#run", "pot 1")
	b.Run(`const slider = document.querySelector('#run [type=range]'); slider.value = 7
		slider.dispatchEvent(new Event('input', { bubbles: true })); slider.dispatchEvent(new Event('change', { bubbles: true }))`)
	b.Sees("#plan", "7 lb of chicken frames")
	assert.Contains(t, kept(t, b, "run.toml"), `pot = "pot 1"`)
	described := func() string {
		return b.Run("return String(document.querySelector('#weight').getAttribute('aria-describedby'))")
	}
	b.Run(`const set = (name, text) => {
			const field = document.querySelector('[name="' + name + '"]')
			field.value = text
			field.dispatchEvent(new Event('change', { bubbles: true }))
		}
		set('pot[0].width', '12 in') // the form is shown anew after it
		set('weight', '6')`)
	b.Sees("#plan", "6 lb of chicken frames")
	browser.Eventually(t, "the weight in its field", func() bool { return b.Run("return document.querySelector('#weight').value") == "6" })
	set("weight", "0")
	b.Sees("#run .wrong", "out of range")
	assert.Equal(t, "problem-0", described())
	set("weight", "7")
	b.Sees("#plan", "7 lb of chicken frames")
	assert.Equal(t, "null", described(), "its own value is not read out twice")
	set("kind", "fish")
	b.Sees("#plan .danger", "do not can it")
	b.Sees("#figures", "REFUSED")
	set("kind", "beef")
	b.Sees("#figures", "15 psi")
}

// After the first visit nobody has to answer.
func withoutTheHost(t *testing.T, b *browser.Browser) {
	h := newHost(t)
	h.withDemo(b)
	h.dies()
	b.Open("about:blank")
	b.Open(h.link())
	b.Sees("#plan", "Load 2 of 2: 6 quarts, 15 psi for 25 min")
	b.Open(h.link() + "day.html?run=run.toml")
	b.Sees("#on-title", "")
	b.Sees("#link", "Kept on this phone.")
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

// Nobody is shut out, in light and in dark (axe-core: WCAG 2 A and AA, and its best
// practices), and nothing stands out of 320 pixels, in letters of twice the size either.
func TestAxeFindsNothing(t *testing.T) {
	script := browser.Axe(t)
	for _, dark := range []bool{false, true} {
		b := browser.Chromium(t, browser.Wish{Dark: dark})
		h := newHost(t)
		look := func(what string) {
			t.Helper()
			b.Run("for (const d of document.querySelectorAll('details')) d.open = true")
			assert.Empty(t, b.Found(script), "%s, dark %t", what, dark)
			b.Fits()
			b.Run("document.documentElement.style.fontSize = '200%'")
			b.Fits()
			b.Run("document.documentElement.style.fontSize = ''")
		}
		h.opened(b)
		b.Sees("#problems", "altitude")
		look("a first visit")
		h.withDemo(b)
		look("a plan")
		b.Run("const kind = document.getElementById('kind'); kind.value = 'fish'; kind.dispatchEvent(new Event('change', { bubbles: true }))")
		b.Sees("#plan .danger", "do not can it")
		look("refused")
		h.publish("\n// better")
		b.Open(h.link() + "day.html?run=run.toml")
		b.Sees("#link", "Kept on this phone.")
		look("the day")
		b.Open(h.link())
		b.Sees("#offer", "There is a new version of this page.")
		look("a new version")
		// A finger finds what it is to press: 44 CSS pixels at least (WCAG 2.2, 2.5.5), 56 by own choice.
		assert.Empty(t, b.Run(`return [...document.querySelectorAll('button, select, input:not([type=range], [type=file]), .choose')]
			.filter(one => one.offsetParent && one.getBoundingClientRect().height < 56).map(one => one.outerHTML).join()`))
	}
}

// The pages, and what is put into them, are as the standard has it (the Nu HTML checker).
func TestNuFindsNothing(t *testing.T) {
	java, jar := browser.Nu(t)
	folder := builtFrom(t, "planner")
	for name, text := range contents(t, folder) {
		switch filepath.Ext(name) {
		case ".html": // to the checker a file is not of the same origin as others
			text = strings.ReplaceAll(text, "'self'", "https://kitchen.example")
			text = regexp.MustCompile(`(href|src)="([a-z])`).ReplaceAllString(text, `$1="https://kitchen.example/$2`)
			require.NoError(t, os.WriteFile(filepath.Join(folder, name), []byte(text), 0o600))
		case ".css":
		default:
			require.NoError(t, os.Remove(filepath.Join(folder, name)))
		}
	}
	for name, q := range map[string]answer.Question{
		"plan": {Ask: "plan"}, "fish": {Ask: "plan", Set: map[string]string{"kind": "fish"}}, "kitchen": {Ask: "kitchen"}, "run": {Ask: "run"},
	} {
		text := "<!doctype html><html lang=en><title>a part</title><main><h1>a part</h1><h2>of a page</h2>" + native(t, q).HTML + "</main></html>"
		require.NoError(t, os.WriteFile(filepath.Join(folder, name+".html"), []byte(text), 0o600))
	}
	out, err := exec.Command(java, "-jar", jar, "--also-check-css", "--stdout", folder).CombinedOutput()
	assert.NoError(t, err)
	assert.Empty(t, string(out))
}
