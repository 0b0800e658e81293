package serve_test

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"io/fs"
	"net"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"
	"testing/fstest"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/cmd/brothrun/order"
	"brothrun/cmd/brothrun/serve"
	"brothrun/export"
)

const (
	cook = "cookcookcookcookcook"
	view = "viewviewviewviewview"
)

// laptop serves the demo out of memory, by a clock of the test.
type laptop struct {
	t      *testing.T
	server *serve.Server
	mutex  sync.Mutex
	files  map[string][]byte
	now    time.Time
	fails  error // of a disk that is full
	rung   []string
}

// at is the kitchen's clock.
func at(t *testing.T, text string) time.Time {
	place, err := time.LoadLocation("America/Denver")
	require.NoError(t, err)
	instant, err := time.ParseInLocation("2006-01-02 15:04", text, place)
	require.NoError(t, err)
	return instant
}

func newLaptop(t *testing.T, now string, runs ...string) *laptop {
	l := &laptop{t: t, files: map[string][]byte{}, now: at(t, now)}
	for _, name := range []string{"run.toml", "kitchen.toml"} {
		data, err := os.ReadFile(filepath.Join("../../../testdata/demo", name))
		require.NoError(t, err)
		l.files[name] = data
	}
	l.files["other.toml"] = bytes.ReplaceAll(l.files["run.toml"], []byte("harvest-supper-2026"), []byte("another"))
	var err error
	if runs == nil {
		runs = []string{"run.toml"}
	}
	l.server, err = serve.New(l.config(runs...))
	require.NoError(t, err)
	return l
}

func (l *laptop) clock() time.Time {
	l.mutex.Lock()
	defer l.mutex.Unlock()
	return l.now
}

func (l *laptop) later(span time.Duration) {
	l.mutex.Lock()
	defer l.mutex.Unlock()
	l.now = l.now.Add(span)
}

func (l *laptop) put(name string, data []byte) {
	l.mutex.Lock()
	defer l.mutex.Unlock()
	l.files[name] = data
}

func (l *laptop) config(runs ...string) serve.Config {
	ids := 0
	read := order.Machine{Open: func(path string) (io.ReadCloser, error) {
		l.mutex.Lock()
		defer l.mutex.Unlock()
		return (fstest.MapFS{path: &fstest.MapFile{Data: l.files[path]}}).Open(path)
	}}
	return serve.Config{
		Runs: runs, Machine: read, Now: l.clock, Cook: cook, View: view, Names: []string{"localhost", "kitchen.local"},
		NewID: func() string { ids++; return fmt.Sprintf("plain%d", ids) },
		Stamp: func(path string) (string, time.Time) {
			l.mutex.Lock()
			defer l.mutex.Unlock()
			return fmt.Sprint(len(l.files[path])), at(l.t, "2026-11-20 12:00").Add(time.Duration(len(l.files[path])) * time.Second)
		},
		Note: func(path string, noting order.Noting) (order.Noted, error) {
			l.mutex.Lock()
			old, fails := l.files[path], l.fails
			l.mutex.Unlock()
			if fails != nil {
				return order.Noted{}, fails
			}
			noted, err := noting.In(read, old, path)
			if err == nil {
				l.put(path, noted.Data)
			}
			return noted, err
		},
		Former: func(string) *export.Former { return nil },
		Ring: func(at time.Time, text string) {
			l.rung = append(l.rung, at.Format("15:04 ")+text)
		},
	}
}

// request is one of a phone at home; change makes it another.
func (l *laptop) request(method, path, body string, change ...func(*http.Request)) *httptest.ResponseRecorder {
	r := httptest.NewRequest(method, path, strings.NewReader(body))
	r.RemoteAddr, r.Host = "192.168.1.20:50000", "192.168.1.7:8735"
	r = r.WithContext(context.WithValue(l.t.Context(), http.LocalAddrContextKey, &net.TCPAddr{IP: net.ParseIP("192.168.1.7"), Port: 8735}))
	if body != "" {
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	}
	for _, f := range change {
		f(r)
	}
	w := httptest.NewRecorder()
	l.server.ServeHTTP(w, r)
	return w
}

func (l *laptop) get(path string) *httptest.ResponseRecorder { return l.request("GET", path, "") }

var presses = 0

// press presses a button as the page's script does: "what=began&step=prepare".
func (l *laptop) press(fields string) *httptest.ResponseRecorder {
	presses++
	return l.request("POST", "/"+cook+"/1/press?fragment", fmt.Sprintf("id=press%d&%s", presses, fields))
}

func (l *laptop) notes(path string) int { return bytes.Count(l.files[path], []byte("[[note]]")) }

// Each route: to the cook, to a reader, and to who has another link.
func TestEveryRoute(t *testing.T) {
	l := newLaptop(t, "2026-11-28 08:10")
	for _, row := range []struct {
		method, path string
		cook, reader int
		kind, keep   string
	}{
		{"GET", "", 200, 200, "text/html; charset=utf-8", "private, max-age=86400"},
		{"GET", "1/", 200, 200, "text/html; charset=utf-8", "private, max-age=86400"},
		{"HEAD", "1/", 200, 200, "text/html; charset=utf-8", "private, max-age=86400"},
		{"GET", "1/page.css", 200, 200, "text/css; charset=utf-8", "private, max-age=86400"},
		{"GET", "1/page.js", 200, 200, "text/javascript; charset=utf-8", "private, max-age=86400"},
		{"GET", "1/now", 200, 200, "text/html; charset=utf-8", "no-store"},
		{"GET", "1/plain", 200, 200, "text/html; charset=utf-8", "no-store"},
		{"GET", "1/run.ics", 200, 200, "text/calendar; charset=utf-8", "private, no-cache"},
		{"GET", "1/sheet", 200, 200, "text/html; charset=utf-8", "no-store"},
		{"POST", "1/sheet", 404, 404, "", ""},
		{"GET", "1/timer.ics", 404, 404, "", ""}, // no clock is on
		{"POST", "1/press", 400, 404, "", ""},
		{"GET", "1/press", 404, 404, "", ""},
		{"POST", "1/now", 404, 404, "", ""},
		{"PUT", "1/", 404, 404, "", ""},
		{"OPTIONS", "1/", 404, 404, "", ""},
		{"GET", "1/run.toml", 404, 404, "", ""},
		{"GET", "1/../../run.toml", 404, 404, "", ""},
		{"GET", "2/", 404, 404, "", ""},
		{"GET", "0/", 404, 404, "", ""},
		{"GET", "01/", 404, 404, "", ""},
		{"GET", "1/now/", 404, 404, "", ""},
		{"GET", "now", 404, 404, "", ""},
	} {
		t.Run(row.method+" "+row.path, func(t *testing.T) {
			for word, status := range map[string]int{cook: row.cook, view: row.reader, "wordwordwordwordword": 404, "": 404} {
				answer := l.request(row.method, "/"+word+"/"+row.path, "")
				assert.Equal(t, status, answer.Code, "%q", word)
				if status == 200 {
					assert.Equal(t, row.kind, answer.Header().Get("Content-Type"))
					assert.Equal(t, row.keep, answer.Header().Get("Cache-Control"))
				}
				policy := "default-src 'none'; script-src 'self'"
				if row.path == "1/sheet" && status == 200 { // has its style in it, and no script
					policy = "default-src 'none'; style-src 'unsafe-inline'"
				}
				assert.Contains(t, answer.Header().Get("Content-Security-Policy"), policy)
				assert.Equal(t, "nosniff", answer.Header().Get("X-Content-Type-Options"))
				assert.Empty(t, answer.Header().Get("Set-Cookie"))
				assert.Empty(t, answer.Header().Get("Access-Control-Allow-Origin"))
			}
		})
	}
	assert.Equal(t, 404, l.get("/").Code)
	assert.Equal(t, 404, l.get("/"+cook).Code)
	assert.Zero(t, l.notes("run.toml"))
}

// The planner for a browser is handed out by the names of what was built: nothing else that
// lies in its folder, and nothing to who is not at home.
func TestThePlannerIsHandedOut(t *testing.T) {
	l := newLaptop(t, "2026-11-28 08:10")
	assert.Equal(t, 404, l.get("/planner/").Code, "there is none")
	file := func(text string) *fstest.MapFile { return &fstest.MapFile{Data: []byte(text)} }
	const sum = "-0123456789abcdef01234567."
	config := l.config("run.toml")
	config.Planner = fstest.MapFS{
		"index.html": file("the page"), "day.html": file("the day"), "sw.js": file("the worker"),
		"run" + sum + "css": file("its style"), "planner" + sum + "wasm.gz": file("Go"),
		"run.toml": file("hers"), ".ssh/key": file("hers"), "run" + sum + "css/key": file("hers"),
	}
	var err error
	l.server, err = serve.New(config)
	require.NoError(t, err)
	for path, want := range map[string]string{
		"": "the page", "day.html": "the day", "sw.js": "the worker",
		"run" + sum + "css": "its style", "planner" + sum + "wasm.gz": "Go",
		"run.toml": "", ".ssh/": "", ".ssh/key": "", "run" + sum + "css/key": "", "../planner/run.toml": "", "../run.toml": "",
		"other" + sum + "css": "", "./": "", "/": "", "%2e%2e/": "",
	} {
		answer := l.get("/planner/" + path)
		if want == "" {
			assert.Equal(t, 404, answer.Code, path)
			continue
		}
		assert.Equal(t, 200, answer.Code, path)
		assert.Equal(t, want, answer.Body.String(), path)
		assert.Equal(t, "frame-ancestors 'none'", answer.Header().Get("Content-Security-Policy"), "the rest is in the page")
		assert.Equal(t, "no-cache", answer.Header().Get("Cache-Control"), "a new version is seen at once")
	}
	assert.Equal(t, 404, l.request("POST", "/planner/", "a=b").Code)
	abroad := func(r *http.Request) { r.RemoteAddr = "203.0.113.9:4" }
	assert.Equal(t, 403, l.request("GET", "/planner/", "", abroad).Code)
}

// Who is not at home, asks by a name that is not ours, or comes from another page is told
// nothing.
func TestWhoIsRefused(t *testing.T) {
	l := newLaptop(t, "2026-11-28 08:10")
	from := func(address string) func(*http.Request) { return func(r *http.Request) { r.RemoteAddr = address } }
	host := func(name string) func(*http.Request) { return func(r *http.Request) { r.Host = name } }
	header := func(key, value string) func(*http.Request) { return func(r *http.Request) { r.Header.Set(key, value) } }
	for _, row := range []struct {
		name   string
		change func(*http.Request)
		status int
	}{
		{"10.0.0.0/8 (RFC 1918)", from("10.1.2.3:4"), 200},
		{"172.16.0.0/12 (RFC 1918)", from("172.31.2.3:4"), 200},
		{"link-local (RFC 3927)", from("169.254.2.3:4"), 200},
		{"this machine", from("127.0.0.1:4"), 200},
		{"as IPv6 writes IPv4", from("[::ffff:192.168.1.9]:4"), 200},
		{"unique local (RFC 4193)", from("[fd12::9]:4"), 200},
		{"link-local (RFC 4291)", from("[fe80::9%eth0]:4"), 200},
		{"beside 172.16.0.0/12", from("172.32.2.3:4"), 403},
		{"a public address (RFC 5737)", from("203.0.113.9:4"), 403},
		{"a public address as IPv6 writes it", from("[::ffff:203.0.113.9]:4"), 403},
		{"a public address of IPv6 (RFC 3849)", from("[2001:db8::9]:4"), 403},
		{"no address", from("kitchen"), 403},

		{"our name", host("kitchen.local:8735"), 200},
		{"in capitals", host("Kitchen.LOCAL:8735"), 200},
		{"localhost", host("localhost:8735"), 200},
		{"a name made to lead here", host("evil.example:8735"), 421},
		{"another address", host("192.168.1.8:8735"), 421},
		{"another port", host("192.168.1.7:8736"), 421},
		{"no port", host("192.168.1.7"), 421},
		{"nothing", host(""), 421},
	} {
		assert.Equal(t, row.status, l.request("GET", "/"+cook+"/1/now", "", row.change).Code, row.name)
	}
	const body = "id=crossing&what=began&step=prepare"
	for _, row := range []struct {
		name   string
		change func(*http.Request)
		status int
	}{
		{"another page's script", header("Origin", "http://evil.example"), 403},
		{"another port of ours", header("Origin", "http://192.168.1.7:80"), 403},
		{"a page of nowhere", header("Origin", "null"), 403},
		{"told by the browser", header("Sec-Fetch-Site", "cross-site"), 403},
		{"our own", header("Origin", "http://192.168.1.7:8735"), 200},
	} {
		assert.Equal(t, row.status, l.request("POST", "/"+cook+"/1/press?fragment", body, row.change).Code, row.name)
	}
	assert.Equal(t, 1, l.notes("run.toml"))
}

func TestWhatAPressMayBe(t *testing.T) {
	for _, row := range []struct {
		name, fields string
		status       int
		said         string
	}{
		{"a button", "what=began&step=prepare", 200, "08:10: began “Get ready: 9 lb of turkey frames with 3 lb of vegetables into the pot”"},
		{"in the words of the page", "what=late&step=prepare&value=10 min", 200, "08:10: late “Get ready: 9 lb of turkey frames with 3 lb of vegetables into the pot” 10 min"},
		{"with its own time", fmt.Sprintf("what=began&step=prepare&at=%d", at(t, "2026-11-28 08:02").UnixMilli()), 200, "08:02: began"},
		{"by a clock that is ahead", fmt.Sprintf("what=began&step=prepare&at=%d", at(t, "2026-11-28 08:12").UnixMilli()), 200, "08:10: began"},
		{"with a time typed", "what=began&step=prepare&when=07:55", 200, "07:55: began"},
		{"kept for two days", fmt.Sprintf("what=began&step=prepare&at=%d", at(t, "2026-11-26 08:00").UnixMilli()), 400, ""},
		{"at no time", "what=began&step=prepare&at=noon", 400, ""},
		{"with a date typed, which no page does", "what=began&step=prepare&when=2026-11-01 08:00", 400, ""},
		{"a time typed that is none", "what=began&step=prepare&when=25:00", 409, ""},
		{"no word", "step=prepare", 400, ""},
		{"a word that is no button", "what=skipped&step=prepare", 400, ""},
		{"nor this, though it may be noted", "what=remark&value=hello", 400, ""},
		{"nor this", "what=used&value=quart=1", 400, ""},
		{"a word that is none", "what=exploded", 400, ""},
		{"no load", "what=steam&load=one", 400, ""},
		{"a load below 1", "what=steam&load=-1", 400, ""},
		{"no number of what was seen", "what=began&step=prepare&seen=x-1", 400, ""},
		{"a quantity without a unit", "what=strained&amount=11", 422, "11"},
		{"a quantity that is none", "what=drained&amount=heavy&unit=lb", 422, "heavy"},
		{"one out of range", "what=strained&amount=900&unit=qt", 422, "900 qt"},
		{"a step there is not", "what=began&step=stir", 409, "there is no step"},
		{"what cannot be yet", "what=strained&amount=11&unit=qt&heat=hot", 409, "cannot be before"},
		{"heat off of a load that is not on", "what=heat-off&load=1", 409, "load 1"},
		{"kept on a phone since another run", "what=began&step=prepare&run=another", 409, "another run"},
		{"an undo of nothing", "what=undo&value=k3v9bd", 409, "k3v9bd"},
	} {
		t.Run(row.name, func(t *testing.T) {
			l := newLaptop(t, "2026-11-28 08:10")
			answer := l.press(row.fields)
			assert.Equal(t, row.status, answer.Code, answer.Body)
			assert.Contains(t, answer.Body.String(), row.said)
			assert.Contains(t, answer.Body.String(), `id="on"`, "with what is on")
			want := 0
			if row.status == 200 {
				want = 1
			}
			assert.Equal(t, want, l.notes("run.toml"))
		})
	}
	l := newLaptop(t, "2026-11-28 08:10")
	const good = "what=began&step=prepare"
	for _, id := range []string{"", "short", strings.Repeat("x", 33), "Upper1", "a'b\"c]d", "../../../"} {
		answer := l.request("POST", "/"+cook+"/1/press?fragment", good+"&id="+url.QueryEscape(id))
		assert.Equal(t, 400, answer.Code, id)
	}
	assert.Equal(t, 413, l.press(good+"&x="+strings.Repeat("x", 4096)).Code)
	assert.Equal(t, 400, l.press(good+"&x=%zz").Code)
	assert.Zero(t, l.notes("run.toml"))
	l.fails = &fs.PathError{Op: "write", Path: "run.toml", Err: fmt.Errorf("no space left on device")}
	assert.Equal(t, 500, l.press(good).Code, "the phone keeps it and asks again")
}

// The tested time is full before the heat is off, and the wait before the lid is, to the
// thousandth of a second, whatever hour the press itself claims.
func TestNoLeastTimeIsShort(t *testing.T) {
	l := newLaptop(t, "2026-11-29 10:09")
	for _, fields := range []string{"what=began&step=reheat&when=08:35", "what=done&step=reheat&when=09:26",
		"what=began&step=load-1&when=09:40", "what=steam&load=1&when=09:55", "what=vented&load=1&when=10:05"} {
		require.Equal(t, 200, l.press(fields).Code, fields)
	}
	press := func(want int, what string, at time.Time) {
		t.Helper()
		fields := fmt.Sprintf("what=%s&load=1", what)
		if !at.IsZero() {
			fields += fmt.Sprintf("&at=%d", at.UnixMilli())
		}
		assert.Equal(t, want, l.press(fields).Code, "%s at %s", what, l.clock().Format("15:04:05.000"))
	}
	now := time.Time{}
	for _, row := range []struct {
		begins, ends string
		least        time.Duration
	}{
		{"at-pressure", "heat-off", 25 * time.Minute}, // quarts, raw or hot pack: 25 min (USDA 2015, guide 5, chicken stock)
		{"zero", "lid-off", 10 * time.Minute},         // guide 1: wait 10 min
	} {
		l.later(999 * time.Millisecond)
		press(200, row.begins, now)
		begun := l.clock()
		l.later(row.least - 59*time.Second)
		press(409, row.ends, begun.Add(row.least)) // a minute ahead
		if text := begun.Add(row.least).In(denver(t)).Format("15:04"); row.begins == "at-pressure" {
			assert.NotEqual(t, 200, l.press("what="+row.ends+"&load=1&when="+text).Code, text)
		}
		l.later(59*time.Second - time.Millisecond)
		press(409, row.ends, now)
		press(409, row.ends, begun.Add(row.least))
		l.later(time.Millisecond)
		press(200, row.ends, now)
		l.later(15 * time.Minute)
	}
}

func denver(t testing.TB) *time.Location {
	place, err := time.LoadLocation("America/Denver")
	require.NoError(t, err)
	return place
}

// What is sent again is noted once, and answered as it was.
func TestAPressThatComesTwiceIsNotedOnce(t *testing.T) {
	l := newLaptop(t, "2026-11-28 08:10")
	for range 3 {
		answer := l.request("POST", "/"+cook+"/1/press?fragment", "id=samesame&what=began&step=prepare")
		assert.Equal(t, 200, answer.Code)
		assert.Contains(t, answer.Body.String(), "08:10: began “Get ready: 9 lb of turkey frames with 3 lb of vegetables into the pot”")
		l.later(time.Minute)
	}
	assert.Equal(t, 1, l.notes("run.toml"))
	// Taken back on another phone, it stays so.
	assert.Equal(t, 200, l.press("what=undo&value=samesame").Code)
	assert.Equal(t, 200, l.request("POST", "/"+cook+"/1/press?fragment", "id=samesame&what=began&step=prepare").Code)
	assert.Equal(t, 2, l.notes("run.toml"))
	assert.NotContains(t, l.get("/"+cook+"/1/now").Body.String(), "began “Get ready: 9 lb of turkey frames with 3 lb of vegetables into the pot”")
}

var revision = regexp.MustCompile(`data-revision="([^"]+)"`)

func (l *laptop) seen() string {
	return revision.FindStringSubmatch(l.get("/" + cook + "/1/now").Body.String())[1]
}

// What two see happen once is noted once; what happens twice, twice.
func TestTwoPhonesThatPressForTheSameThing(t *testing.T) {
	l := newLaptop(t, "2026-11-29 09:40")
	require.Equal(t, 200, l.press("what=began&step=reheat&when=08:35").Code)
	require.Equal(t, 200, l.press("what=began&step=load-1&when=09:20").Code)
	require.Equal(t, 200, l.press("what=steam&load=1&when=09:25").Code)
	require.Equal(t, 200, l.press("what=vented&load=1&when=09:35").Code)
	both := l.seen()
	l.later(time.Second)
	assert.Equal(t, 200, l.press("what=at-pressure&load=1&seen="+both).Code)
	l.later(3 * time.Second)
	answer := l.press("what=at-pressure&load=1&seen=" + both)
	assert.Equal(t, 409, answer.Code)
	assert.Contains(t, answer.Body.String(), "it was noted at 09:40")
	assert.Equal(t, 200, l.press("what=fell&load=1&seen="+l.seen()).Code)
	assert.Equal(t, 200, l.press("what=at-pressure&load=1&seen="+both).Code, "it fell in between")
	assert.Equal(t, 7, l.notes("run.toml"))
	assert.Equal(t, 409, l.press("what=heat-off&load=1&seen="+l.seen()).Code)
}

// Without a script a press leads back to the page, and what is refused is said there.
func TestWithoutAScript(t *testing.T) {
	l := newLaptop(t, "2026-11-28 08:10")
	plain := l.get("/" + cook + "/1/plain").Body.String()
	form := regexp.MustCompile(`<form method="post" action="([^"]+)">(.*?)<button class="big"`).FindStringSubmatch(plain)
	require.NotNil(t, form, plain)
	var fields []string
	for _, field := range regexp.MustCompile(`name="([^"]+)" value="([^"]+)"`).FindAllStringSubmatch(form[2], -1) {
		fields = append(fields, field[1]+"="+url.QueryEscape(field[2]))
	}
	answer := l.request("POST", form[1], strings.Join(fields, "&"))
	assert.Equal(t, 303, answer.Code)
	assert.Equal(t, "/"+cook+"/1/plain", answer.Header().Get("Location"))
	assert.Equal(t, 1, l.notes("run.toml"))
	assert.Equal(t, 303, l.request("POST", form[1], strings.Join(fields, "&")).Code, "pressed twice")
	assert.Equal(t, 1, l.notes("run.toml"))
	answer = l.request("POST", form[1], "id=another1&what=heat-off&load=1")
	assert.Equal(t, 409, answer.Code)
	assert.Contains(t, answer.Body.String(), "Not noted: heat-off cannot be before the reheat has begun")
	assert.NotContains(t, plain, "<script")
}

// A reader has no buttons, and nothing on its page tells of the link that has.
func TestAReaderHasNoButtons(t *testing.T) {
	l := newLaptop(t, "2026-11-28 08:10")
	for _, file := range []string{"", "now", "plain"} {
		page := l.get("/" + view + "/1/" + file).Body.String()
		assert.NotContains(t, page, "<form")
		assert.NotContains(t, page, "<button")
		assert.NotContains(t, page, cook)
		assert.Contains(t, l.get("/"+cook+"/1/").Body.String(), view, "the cook can hand it on")
	}
}

// What is on is the same until something changes, and who has it is told so.
func TestNothingNewIsSaidInNoWords(t *testing.T) {
	l := newLaptop(t, "2026-11-28 08:10")
	answer := l.get("/" + cook + "/1/now")
	have := answer.Header().Get("X-View")
	assert.Equal(t, fmt.Sprint(l.clock().UnixMilli()), answer.Header().Get("X-Clock"))
	l.later(time.Minute)
	answer = l.get("/" + cook + "/1/now?have=" + have)
	assert.Equal(t, 204, answer.Code)
	assert.Empty(t, answer.Body.String())
	require.Equal(t, 200, l.press("what=began&step=prepare").Code)
	assert.Equal(t, 200, l.get("/"+cook+"/1/now?have="+have).Code)
	page := l.get("/" + cook + "/1/")
	tagged := func(r *http.Request) { r.Header.Set("If-None-Match", page.Header().Get("ETag")) }
	assert.Equal(t, 304, l.request("GET", "/"+cook+"/1/", "", tagged).Code)
}

// The calendar is stamped with the last change and is the same until the next.
func TestTheCalendarIsTheSameUntilSomethingChanges(t *testing.T) {
	l := newLaptop(t, "2026-11-28 08:10")
	first := l.get("/" + view + "/1/run.ics")
	require.Equal(t, 200, first.Code)
	l.later(time.Hour)
	again := l.get("/" + view + "/1/run.ics")
	assert.Equal(t, first.Body.String(), again.Body.String())
	assert.Equal(t, first.Header().Get("ETag"), again.Header().Get("ETag"))
	assert.Regexp(t, `^"[0-9a-f]+"$`, first.Header().Get("ETag"), "a strong one (RFC 9110 8.8.3)")
	modified, err := http.ParseTime(first.Header().Get("Last-Modified"))
	require.NoError(t, err)
	assert.Contains(t, first.Body.String(), "DTSTAMP:"+modified.UTC().Format("20060102T150405Z")+"\r\n")
	assert.Contains(t, first.Body.String(), "\r\nREFRESH-INTERVAL;VALUE=DURATION:PT15M\r\n") // RFC 7986 5.7
	assert.Contains(t, first.Body.String(), "\r\nX-PUBLISHED-TTL:PT15M\r\n")
	for key, value := range map[string]string{"If-None-Match": first.Header().Get("ETag"), "If-Modified-Since": first.Header().Get("Last-Modified")} {
		has := func(r *http.Request) { r.Header.Set(key, value) }
		assert.Equal(t, 304, l.request("GET", "/"+view+"/1/run.ics", "", has).Code, key)
	}
	require.Equal(t, 200, l.press("what=late&step=prepare&value=30 min").Code)
	moved := l.get("/" + view + "/1/run.ics")
	assert.NotEqual(t, first.Header().Get("ETag"), moved.Header().Get("ETag"))
	uid := regexp.MustCompile(`UID:\S+`)
	assert.Equal(t, uid.FindAllString(first.Body.String(), -1), uid.FindAllString(moved.Body.String(), -1))
	assert.Contains(t, moved.Body.String(), "DTSTART:20261128T164000Z\r\n", "by then it is 09:10, and takes until 09:40")
}

// The timer of a phone rings when the full time is over, or within a minute after.
func TestTheTimerNeverRingsEarly(t *testing.T) {
	l := newLaptop(t, "2026-11-29 09:40")
	require.Equal(t, 200, l.press("what=began&step=reheat&when=08:35").Code)
	require.Equal(t, 200, l.press("what=steam&load=1&when=09:20").Code)
	l.later(20 * time.Second)
	require.Equal(t, 200, l.press("what=at-pressure&load=1").Code)
	answer := l.get("/" + cook + "/1/timer.ics")
	require.Equal(t, 200, answer.Code)
	// At pressure at 09:40:20 in Denver; 25 min later it is 17:05:20 UTC, and the reminder
	// comes a minute before the event.
	assert.Contains(t, answer.Body.String(), "DTSTART:20261129T170700Z\r\n")
	assert.Contains(t, answer.Body.String(), "TRIGGER:-PT1M\r\n")
	assert.Equal(t, 1, strings.Count(answer.Body.String(), "BEGIN:VEVENT"))
	assert.Equal(t, 404, l.get("/"+view+"/1/timer.ics").Code)
}

// What is changed on the laptop shows on the phone; what cannot be read leaves what was.
func TestTheFileChangesUnderThePage(t *testing.T) {
	l := newLaptop(t, "2026-11-28 08:10")
	good := l.files["run.toml"]
	l.put("run.toml", bytes.Replace(good, []byte("start = \"2026-11-28 08:00\""), []byte("start = \"2026-11-28 09:00\" # an hour"), 1))
	l.server.Look()
	assert.Contains(t, l.get("/"+cook+"/1/now").Body.String(), "at 09:00")
	l.put("run.toml", []byte("kind = 7\nand more that is wrong"))
	l.server.Look()
	broken := l.get("/" + cook + "/1/now").Body.String()
	assert.Contains(t, broken, "The run file cannot be read just now")
	assert.Contains(t, broken, "at 09:00", "as it was before")
	assert.Equal(t, 503, l.press("what=began&step=prepare").Code, "the phone keeps it and asks again")
	l.put("run.toml", append(good, '\n'))
	l.server.Look()
	assert.NotContains(t, l.get("/"+cook+"/1/now").Body.String(), "cannot be read")
	l.put("kitchen.toml", bytes.Replace(l.files["kitchen.toml"], []byte(`"weighted"`), []byte(`"dial"`), 1))
	l.server.Look()
	assert.Contains(t, l.get("/"+cook+"/1/plain").Body.String(), "12 psi", "the kitchen counts too")
}

// The laptop calls the cook when a clock is over and when a step begins; what it slept
// through is not called for an hour later.
func TestTheLaptopCalls(t *testing.T) {
	l := newLaptop(t, "2026-11-29 09:40")
	require.Equal(t, 200, l.press("what=began&step=reheat&when=08:35").Code)
	require.Equal(t, 200, l.press("what=steam&load=1").Code)
	l.rung = nil
	for range 10 * 60 {
		l.later(time.Second)
		l.server.Look()
	}
	assert.Equal(t, []string{"09:50 Load 1: Vented: weight on"}, l.rung)
	l.later(8 * time.Hour)
	l.server.Look()
	assert.Len(t, l.rung, 1)
}

// Streams tell of each change, and one peer has a few at most.
func TestEventsTellOfAChange(t *testing.T) {
	l := newLaptop(t, "2026-11-28 08:10")
	server := httptest.NewServer(l.server)
	defer server.Close()
	open := func() *http.Response {
		answer, err := http.Get(server.URL + "/" + view + "/1/events")
		require.NoError(t, err)
		return answer
	}
	first := open()
	defer first.Body.Close()
	read := func() string {
		buffer := make([]byte, 200)
		n, err := first.Body.Read(buffer)
		require.NoError(t, err)
		return string(buffer[:n])
	}
	assert.Equal(t, "data: "+l.seen()+"\n\n", read())
	require.Equal(t, 200, l.press("what=began&step=prepare").Code)
	assert.Equal(t, "data: "+l.seen()+"\n\n", read())
	for range 3 {
		answer := open()
		defer answer.Body.Close()
		assert.Equal(t, 200, answer.StatusCode)
	}
	assert.Equal(t, 204, open().StatusCode, "it does not ask again (WHATWG HTML, server-sent events)")
	l.server.Close()
	_, err := io.ReadAll(first.Body)
	assert.NoError(t, err, "the end of the server ends it")
}

// Several runs have a page each, which leads to the others.
func TestSeveralRuns(t *testing.T) {
	l := newLaptop(t, "2026-11-28 08:10", "run.toml", "other.toml")
	assert.Contains(t, l.get("/"+cook+"/1/").Body.String(), `href="/`+cook+`/2/"`)
	assert.NotContains(t, l.get("/"+view+"/2/").Body.String(), cook)
	assert.Equal(t, 200, l.request("POST", "/"+cook+"/2/press?fragment", "id=secondone&what=began&step=prepare").Code)
	assert.Zero(t, l.notes("run.toml"))
	assert.Equal(t, 1, l.notes("other.toml"))
}

// What cannot be served is said at the start.
func TestWhatCannotBeServed(t *testing.T) {
	l := newLaptop(t, "2026-11-28 08:10")
	l.put("timeless.toml", bytes.Replace(l.files["run.toml"], []byte("start ="), []byte("# start ="), 1))
	_, err := serve.New(l.config("timeless.toml"))
	assert.ErrorContains(t, err, "does not say when it begins")
}

// One who asks without end is not answered; the others are.
func TestOneGuestDoesNotTakeItAll(t *testing.T) {
	l := newLaptop(t, "2026-11-28 08:10")
	count := map[int]int{}
	for range 1000 {
		count[l.request("GET", "/wrong/1/", "", func(r *http.Request) { r.RemoteAddr = "192.168.1.66:1" }).Code]++
	}
	assert.Equal(t, map[int]int{404: 200, 429: 800}, count)
	assert.Equal(t, 200, l.get("/"+cook+"/1/now").Code)
	l.later(time.Second)
	again := 0
	for range 100 {
		if l.request("GET", "/wrong/1/", "", func(r *http.Request) { r.RemoteAddr = "192.168.1.66:1" }).Code == 404 {
			again++
		}
	}
	assert.Equal(t, 50, again)
}
