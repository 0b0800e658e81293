// Package answer is brothrun for a page in a browser: one pure function, from a question
// in JSON to an answer in JSON. It reads no file, clock or environment; all of that comes
// with the question.
//
//	question: {"ask": "plan", "now": "2026-11-28T08:00:00Z", "zone": "America/Denver",
//	  "files": {"kitchen.toml": base64, "run.toml": base64}, "runs": ["run.toml"],
//	  "set": {"bones": "9 lb"}, "options": {"paper": "a4"}, "note": {"what": "began", ...}}
//
// ask is one of
//
//	figures   the answer in a few lines, without a clock: fast, for while a finger moves
//	plan      all of the plan, as HTML
//	calendar, sheet, labels, ready, json
//	          a file; ready and the others are of all the runs named, labels of the first.
//	          A calendar is kept beside the run, for the next to tell what moved and is gone
//	day       what a page shows of the run while it goes on, as HTML; timer is its clock as a file
//	press     a button of that page was pressed: note has the fields of its form
//	kitchen   the fields of kitchen.toml as HTML; what is set is written into it, by its keys
//	run       the five fields of a run as HTML; what is set is written into the run's file
//	open      the first of the runs named is a file that a cook picked: it is told what it is,
//	          and has the name it is kept by, or a problem where it cannot be read
//	starter   a kitchen file to fill in
//
// set is by the names of the command's flags but for kitchen, where it is by keys of the
// file. Of plan, figures and what is made of a plan it wins over the files and changes
// none.
//
// answer: {"status": 0, "html": "...", "figures": {...}, "file": {"name", "type", "data"},
// "files": {name: base64}, "problems": [{"key", "text", "hint"}]}. status is the exit
// status of the command; what is refused for safety (3) is planned as far as it goes. files
// are those that are new or changed. A problem of something given has the key of its
// field.
package answer

import (
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"io/fs"
	"maps"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"

	"brothrun/cmd/brothrun/order"
	"brothrun/export"
	"brothrun/stock"
	"brothrun/stock/fault"
	"brothrun/stock/runfile"
	"brothrun/timeline"
)

// kitchenFile is how the kitchen's file is called on a phone.
const kitchenFile = "kitchen.toml"

// Question is what a page asks.
type Question struct {
	Ask     string            `json:"ask"`
	Now     time.Time         `json:"now"`
	Zone    string            `json:"zone"`
	Files   map[string][]byte `json:"files"`
	Runs    []string          `json:"runs"`
	Set     map[string]string `json:"set"`
	Options map[string]string `json:"options"`
	Note    map[string]string `json:"note"`
}

// Answer is what it gets.
type Answer struct {
	Status   order.Status      `json:"status"`
	HTML     string            `json:"html,omitempty"`
	Figures  any               `json:"figures,omitempty"`
	File     *File             `json:"file,omitempty"`
	Files    map[string][]byte `json:"files,omitempty"`
	Problems []Problem         `json:"problems,omitempty"`
}

// File is one to be handed to the cook.
type File struct {
	Name string `json:"name"`
	Type string `json:"type"`
	Data []byte `json:"data"`
}

// Problem is what keeps something from being done, and the next step; Key is the field
// that it is about, where it is about one.
type Problem struct {
	Key  string `json:"key,omitempty"`
	Text string `json:"text"`
	Hint string `json:"hint,omitempty"`
}

// JSON answers a question.
func JSON(question string) string {
	var q Question
	if err := json.Unmarshal([]byte(question), &q); err != nil {
		return encoded(Answer{Status: order.Usage, Problems: []Problem{{Text: err.Error()}}})
	}
	return encoded(Of(q))
}

func encoded(a Answer) string {
	var out bytes.Buffer
	encoder := json.NewEncoder(&out)
	encoder.SetEscapeHTML(false)
	if err := encoder.Encode(a); err != nil {
		return `{"status":1,"problems":[{"text":"no answer"}]}`
	}
	return strings.TrimSpace(out.String())
}

var asks = map[string]func(*asked) error{
	"figures": (*asked).figures, "plan": (*asked).plan, "calendar": (*asked).calendar, "sheet": (*asked).sheet,
	"labels": (*asked).labels, "ready": (*asked).ready, "json": (*asked).json,
	"day": (*asked).day, "timer": (*asked).timer, "press": (*asked).press,
	"kitchen": (*asked).kitchen, "run": (*asked).run, "open": (*asked).open, "starter": (*asked).starter,
}

// Of answers a question.
func Of(q Question) Answer {
	a := &asked{Question: q}
	ask := asks[q.Ask]
	if ask == nil {
		err := fault.New("", "ask for one of "+strings.Join(slices.Sorted(maps.Keys(asks)), ", "), "nothing answers to %q", q.Ask)
		return Answer{Status: order.Usage, Problems: problems(err)}
	}
	if err := ask(a); err != nil {
		status, _ := order.Diagnose(err)
		if errors.Is(err, order.ErrRefused) {
			status = order.Refused
		}
		a.answer.Status = max(a.answer.Status, status)
		a.answer.Problems = problems(err)
	}
	return a.answer
}

// asked is a question on its way to its answer.
type asked struct {
	Question
	answer  Answer
	formers []*export.Former // calendars about to be replaced
}

// machine is the phone: its files are those of the question, all in one folder.
func (a *asked) machine() order.Machine {
	m := order.Machine{Zone: a.Zone, ZoneFrom: "this phone's clock"}
	m.Open = func(path string) (io.ReadCloser, error) {
		data, ok := a.Files[strings.TrimPrefix(path, "./")]
		switch {
		case !ok && path == kitchenFile: // nothing is filled in yet
			data = []byte(runfile.Starter())
		case !ok:
			return nil, &fs.PathError{Op: "open", Path: path, Err: fs.ErrNotExist}
		}
		return io.NopCloser(bytes.NewReader(data)), nil
	}
	m.Past = func(_, except string) ([]timeline.Outcome, int, error) {
		now := a.Now.Truncate(time.Minute).Add(time.Minute) // to the whole minute, so that it is remembered that long
		key := []string{a.Zone, now.String()}
		for _, name := range slices.Sorted(maps.Keys(a.Files)) {
			if name != except {
				key = append(key, name, string(a.Files[name]))
			}
		}
		past := pasts.of(key, func() (past past) {
			m := m
			m.Past = nil
			for _, name := range slices.Sorted(maps.Keys(a.Files)) {
				if name == kitchenFile || name == except || !strings.HasSuffix(name, ".toml") {
					continue
				}
				r, err := a.read(m, name)
				if err == nil {
					var one timeline.Outcome
					if one, err = r.Past(now); err == nil {
						past.runs = append(past.runs, one)
					}
				}
				if err != nil {
					past.unread++
				}
			}
			return past
		})
		return past.runs, past.unread, nil
	}
	return m
}

// past is what came of other runs, and how many could not be read.
type past struct {
	runs   []timeline.Outcome
	unread int
}

// decoded is what a file says, or why it cannot be read. Nobody changes it: a request has
// a copy of its own of what is set.
type decoded[T any] struct {
	said T
	err  error
}

// remembered is what was made of something last: while a finger moves a slider, one run
// changes and all else is asked for again and again.
type remembered[T any] struct {
	mutex sync.Mutex
	key   []string
	value T
}

// of is what made makes, of all that the key says and nothing else.
func (r *remembered[T]) of(key []string, made func() T) T {
	r.mutex.Lock()
	defer r.mutex.Unlock()
	if r.key == nil || !slices.Equal(r.key, key) {
		r.key, r.value = key, made()
	}
	return r.value
}

var (
	pasts    remembered[past]
	kitchens remembered[decoded[runfile.Kitchen]]
	runs     remembered[decoded[runfile.Run]]
)

func decode[T any](a *asked, m order.Machine, path string, last *remembered[decoded[T]], as func(io.Reader, string) (T, error)) (T, error) {
	data, there := a.Files[path]
	d := last.of([]string{path, strconv.FormatBool(there), string(data)}, func() (d decoded[T]) {
		d.said, d.err = order.Decode(m, path, as)
		return d
	})
	return d.said, d.err
}

// read is order.Read of a run in the kitchen of the phone.
func (a *asked) read(m order.Machine, name string) (*order.Request, error) {
	run, err := decode(a, m, name, &runs, runfile.DecodeRun)
	if err != nil {
		return nil, err
	}
	return order.Of(m, run, name, kitchenFile, func(path string) (runfile.Kitchen, error) {
		return decode(a, m, path, &kitchens, runfile.DecodeKitchen)
	})
}

// requests are the runs named, with what is set.
func (a *asked) requests() (all []*order.Request, err error) {
	for _, name := range a.Runs {
		r, err := a.read(a.machine(), name)
		if err != nil {
			return nil, err
		}
		for _, flag := range slices.Sorted(maps.Keys(a.Set)) {
			if err := r.Set(flag, a.Set[flag]); err != nil {
				return nil, err
			}
		}
		if err := r.Date(a.Now); err != nil {
			return nil, err
		}
		all = append(all, r)
	}
	if len(all) == 0 {
		return nil, fault.New("", "name a run", "no run is asked about")
	}
	return all, order.Together(all)
}

// batches are the runs without a clock. What is refused sets the status.
func (a *asked) batches(extras order.Extras) ([]*order.Request, []stock.Batch, error) {
	requests, err := a.requests()
	if err != nil {
		return nil, nil, err
	}
	order.Keep(requests, a.formers, a.Now)
	batches, err := order.Batches(requests, extras)
	if slices.ContainsFunc(batches, func(b stock.Batch) bool { return len(b.Refusals) > 0 }) {
		a.answer.Status = order.Refused
	}
	return requests, batches, err
}

// scheduled are the runs on the clock. Where one fits nowhere that is the error, and its
// plan has no steps.
func (a *asked) scheduled(extras order.Extras) ([]*order.Request, []timeline.Plan, error) {
	requests, batches, err := a.batches(extras)
	if err != nil {
		return nil, nil, err
	}
	plans, _, err := order.Schedule(requests, batches, order.Clock{Now: a.Now})
	if err != nil && !errors.As(err, new(*order.Unfit)) {
		return nil, nil, err
	}
	return requests, plans, err
}

func (a *asked) figures() error {
	_, batches, err := a.batches(order.Extras{})
	if err != nil {
		return err
	}
	a.answer.Figures = map[string]any{"rows": export.Figures(batches[0])}
	return nil
}

func (a *asked) plan() error {
	_, plans, err := a.scheduled(order.Extras{})
	var page strings.Builder
	for _, plan := range plans {
		if err := export.Fragment(&page, plan); err != nil {
			return err
		}
	}
	a.answer.HTML = page.String()
	if len(plans) > 0 {
		a.answer.Figures = map[string]any{"rows": export.Figures(plans[0].Batch)}
	}
	return err
}

// file is the answer's, as it is written.
func (a *asked) file(name, kind string, write func(io.Writer) error) error {
	var data bytes.Buffer
	if err := write(&data); err != nil {
		return err
	}
	a.answer.File = &File{name, kind, data.Bytes()}
	return nil
}

// named is the first run's name with another end.
func (a *asked) named(end string) string { return strings.TrimSuffix(a.Runs[0], ".toml") + end }

const webPage = "text/html; charset=utf-8"

// calendar hands out a calendar, and keeps it: the next says what moved and what is gone.
func (a *asked) calendar() error {
	options := export.Options{Now: a.Now.Truncate(time.Second)}
	if len(a.Runs) > 0 {
		if former, err := export.ReadFormer(bytes.NewReader(a.Files[a.named(".ics")])); err == nil && former != nil {
			options.Former, a.formers = former, []*export.Former{former}
		}
	}
	_, plans, err := a.scheduled(order.Extras{})
	if err != nil {
		return err
	}
	if len(plans[0].Steps) == 0 {
		return fault.New("start", "say when it begins or is to be done", "a calendar needs a time")
	}
	name := a.named(".ics")
	err = a.file(name, "text/calendar; charset=utf-8", func(w io.Writer) error { return export.Calendar(w, plans, options) })
	if err == nil {
		a.answer.Files = map[string][]byte{name: a.answer.File.Data}
	}
	return err
}

func (a *asked) sheet() error {
	_, plans, err := a.scheduled(order.Extras{Layers: true})
	if err != nil {
		return err
	}
	paper, err := export.ParsePaper(a.Options["paper"], plans[0].Batch.Units)
	if err != nil {
		return err
	}
	return a.file(a.named(".html"), webPage, func(w io.Writer) error { return export.Sheet(w, plans, paper) })
}

func (a *asked) json() error {
	_, plans, err := a.scheduled(order.Extras{})
	if err != nil {
		return err
	}
	return a.file(a.named(".json"), "application/json", func(w io.Writer) error { return export.JSON(w, plans[0]) })
}

func (a *asked) ready() error {
	requests, plans, err := a.scheduled(order.Extras{})
	if err != nil {
		return err
	}
	paper, err := export.ParsePaper(a.Options["paper"], plans[0].Batch.Units)
	if err != nil {
		return err
	}
	card := timeline.ReadyFor(requests[0].Setup.House, plans)
	return a.file("ready.html", webPage, func(w io.Writer) error { return export.ReadySheet(w, card, paper) })
}

func (a *asked) labels() error {
	day, err := a.today()
	if err != nil {
		return err
	}
	ask := export.LabelAsk{Label: a.Options["label"], Round: a.Options["round"], Paper: a.Options["paper"]}
	sheet, err := ask.Read(day.Plan.Batch.Units)
	if err != nil {
		return err
	}
	labels, err := day.Labels(0)
	if err != nil {
		return err
	}
	return a.file("labels.html", webPage, func(w io.Writer) error { return export.Labels(w, day.Plan, labels, sheet, 0) })
}

// copied is what phones and browsers add to a name that there is already.
var copied = regexp.MustCompile(`(\.toml)?( ?\(\d+\))?(\.[A-Za-z]*)?$`)

// open reads a file that was picked. What is in it tells a kitchen from a run; where that
// could be either, its name does.
func (a *asked) open() error {
	if len(a.Runs) == 0 {
		return fault.New("", "pick a file", "no file is picked")
	}
	data, name := a.Files[a.Runs[0]], copied.ReplaceAllString(a.Runs[0], "")+".toml"
	_, notKitchen := runfile.DecodeKitchen(bytes.NewReader(data), name)
	_, notRun := runfile.DecodeRun(bytes.NewReader(data), name)
	isKitchen := name == kitchenFile
	switch {
	case notKitchen == nil && (isKitchen || notRun != nil):
		name = kitchenFile
	case notRun == nil && isKitchen:
		name = "run.toml"
	case isKitchen:
		return notKitchen
	case notRun != nil:
		return notRun
	}
	a.answer.Files = map[string][]byte{name: data}
	return nil
}

func (a *asked) starter() error {
	return a.file(kitchenFile, "application/toml", func(w io.Writer) error {
		_, err := io.WriteString(w, runfile.Starter())
		return err
	})
}

var (
	bracketed = regexp.MustCompile(` ?\((or )?--[^)]*\)`)
	assigned  = regexp.MustCompile(`\b[a-z_]+ = ("[^"]*")`)
	lined     = regexp.MustCompile(`^[^:]+\.toml:\d+: `)
	flagged   = regexp.MustCompile(`--([a-z-]+)`)
)

// problems are what is wrong, without what is to be typed into a terminal.
func problems(err error) (all []Problem) {
	add := func(err error) {
		_, hints := order.Diagnose(err)
		var plain []string
		for _, hint := range hints {
			if hint = assigned.ReplaceAllString(bracketed.ReplaceAllString(hint, ""), "$1"); !strings.Contains(hint, "--") && !strings.HasPrefix(hint, "brothrun ") {
				plain = append(plain, hint)
			}
		}
		text := lined.ReplaceAllString(bracketed.ReplaceAllString(err.Error(), ""), "")
		p := Problem{Text: flagged.ReplaceAllString(text, "$1"), Hint: strings.Join(plain, "; or ")}
		if input := (*fault.Fault)(nil); errors.As(err, &input) {
			p.Key = input.Key
		} else if errors.As(err, new(*order.Unfit)) {
			p.Key = "start"
		}
		all = append(all, p)
	}
	if unfits := (order.Unfits)(nil); errors.As(err, &unfits) {
		for _, one := range unfits {
			add(one)
		}
		return all
	}
	add(err)
	return all
}

// shownDate is a date and time of a form as files have it.
func shownDate(text string) string { return strings.Replace(text, "T", " ", 1) }

func (a *asked) today() (order.Day, error) {
	if len(a.Runs) == 0 {
		return order.Day{}, fault.New("", "name a run", "no run is asked about")
	}
	return order.Today(a.machine(), a.Runs[0], kitchenFile, order.Clock{Now: a.Now})
}
