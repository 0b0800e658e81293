package export_test

import (
	"bufio"
	"bytes"
	"cmp"
	"encoding/json"
	"fmt"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"
	"unicode"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/export"
	"brothrun/export/words"
	"brothrun/stock/remark"
	"brothrun/timeline"
	"brothrun/timeline/ical"
)

// reader is another's calendar program or library, run on the files of this
// package. Each is a script in .ci/readers that prints what it understood; the
// tests compare that with the plan. With CI=true a missing one fails the test,
// else it is skipped.
//
//	BROTHRUN_ICAL_JS  the folder in which ical.js was installed with npm
//	BROTHRUN_LIBICAL  .ci/readers/libical.c compiled
//	BROTHRUN_KCALENDARCORE  .ci/readers/kcalendarcore.cpp compiled
//	BROTHRUN_PYTHON   an interpreter that finds Debian's packages; else /usr/bin/python3
type reader struct {
	name    string
	command []string
	missing string // why it cannot run; empty when it can
	blind   []property
	minutes bool // it keeps no seconds
	imports bool // it keeps events, and takes files one after the other
}

// property is something a reader shows of an event.
type property string

const (
	uid         property = "uid"
	start       property = "start"
	end         property = "end"
	title       property = "title"
	description property = "description"
	alarm       property = "alarm" // when it rings; that it rings is compared all the same
	rings       property = "rings"
	cancelled   property = "cancelled"
)

func readers(t *testing.T) []reader {
	folder, err := filepath.Abs(filepath.Join("..", ".ci", "readers"))
	require.NoError(t, err)
	script := func(name string) string { return filepath.Join(folder, name) }
	interpreter := os.Getenv("BROTHRUN_PYTHON")
	if interpreter == "" {
		interpreter = "/usr/bin/python3"
	}
	program := func(name string) string {
		if _, err := exec.LookPath(name); err != nil {
			return name + " is not installed (Debian: " + name + ")"
		}
		return ""
	}
	module := func(name string) string {
		if output, err := exec.Command(interpreter, "-c", "import "+name).CombinedOutput(); err != nil {
			return fmt.Sprintf("%s cannot import %s (Debian: python3-%s): %v %s", interpreter, name, name, err, output)
		}
		return ""
	}
	javascript := program("node")
	if javascript == "" && os.Getenv("BROTHRUN_ICAL_JS") == "" {
		javascript = "BROTHRUN_ICAL_JS is not set: npm install ical.js@2.2.1 in a folder and name it"
	}
	libical := os.Getenv("BROTHRUN_LIBICAL")
	compiled := ""
	if libical == "" {
		compiled = "BROTHRUN_LIBICAL is not set: compile .ci/readers/libical.c as it says and name the program"
	}
	sabre := program("php")
	if _, err := os.Stat("/usr/share/php/Sabre/VObject/includes.php"); err != nil && sabre == "" {
		sabre = "sabre/vobject is not installed (Debian: php-sabre-vobject)"
	}
	korganizer, built := os.Getenv("BROTHRUN_KCALENDARCORE"), ""
	if korganizer == "" {
		built = "BROTHRUN_KCALENDARCORE is not set: compile .ci/readers/kcalendarcore.cpp as it says and name the program"
	}
	ruby := program("ruby")
	if output, err := exec.Command("ruby", "-e", `require "icalendar"`).CombinedOutput(); err != nil && ruby == "" {
		ruby = fmt.Sprintf("ruby has no icalendar (Debian: ruby-icalendar): %v %s", err, output)
	}
	return []reader{
		{name: "kcalendarcore", command: []string{korganizer}, missing: built},
		{name: "ruby-icalendar", command: []string{"ruby", script("ruby_icalendar.rb")}, missing: ruby},
		{name: "ical.js", command: []string{"node", script("ical_js.mjs")}, missing: javascript},
		{name: "python-icalendar", command: []string{interpreter, script("python_icalendar.py")}, missing: module("icalendar")},
		{name: "vobject", command: []string{interpreter, script("vobject_reader.py")}, missing: module("vobject")},
		{name: "libical", command: []string{libical}, missing: compiled},
		{name: "sabre-vobject", command: []string{"php", script("sabre.php")}, missing: sabre},
		// It keeps no UIDs and no cancellations, and shows that it rings but not when.
		{name: "calcurse", command: []string{interpreter, script("calcurse_reader.py")}, missing: program("calcurse"),
			blind: []property{uid, alarm, cancelled}, minutes: true},
		// It shows that it rings but not when.
		{name: "khal", command: []string{interpreter, script("khal_reader.py")}, missing: program("khal"), blind: []property{alarm}, imports: true},
		{name: "radicale", command: []string{interpreter, script("radicale_store.py")}, missing: javascript + module("radicale"), imports: true},
	}
}

// understood is an event as a reader prints it. A reader that knows when an event
// rings prints its alarms, one that knows only that it does prints rings.
type understood struct {
	UID         string `json:"uid"`
	Start       string `json:"start"` // 2026-11-28T15:00:00Z, or 2026-11-28 for a whole day
	End         string `json:"end"`
	Title       string `json:"title"`
	Description string `json:"description"`
	Alarms      []int  `json:"alarms_s"` // seconds from the start
	Rings       bool   `json:"rings"`
	Cancelled   bool   `json:"cancelled"`
}

// wanted is what a reader should print for plan, but for the UID, which it must
// print as some UUID. It states the rules of text and reminders anew.
func wanted(plan timeline.Plan) []understood {
	clean := func(text string) string {
		text = strings.ReplaceAll(strings.ToValidUTF8(text, "\uFFFD"), "\r\n", "\n")
		text = strings.NewReplacer("\r", "\n", "\u2028", "\n", "\u2029", "\n", "\u0085", "\n").Replace(text)
		return strings.Map(func(r rune) rune {
			if unicode.IsControl(r) && r != '\n' && r != '\t' {
				return -1
			}
			return r
		}, text)
	}
	var events []understood
	minute := func(t time.Time) string { return t.UTC().Truncate(time.Minute).Format("2006-01-02T15:04:05Z") }
	for _, step := range shown(plan) {
		var lines []string
		for _, detail := range detailOf(plan, step) {
			if text := strings.TrimSpace(clean(detail)); text != "" {
				lines = append(lines, text)
			}
		}
		if step.Latest.Sub(step.Earliest) >= 10*time.Minute {
			from, to := timeline.ClockSpan(step.Earliest, step.Latest, "Mon 15:04", "Mon 15:04")
			lines = append(lines, "May begin from "+from+" to "+to+", as the steps before it run short or long.")
		}
		if step.Span.Low != step.Span.High {
			lines = append(lines, "…") // how long it takes is compared elsewhere
		}
		event := understood{
			Start: minute(step.Start), End: minute(step.End),
			Title:       cmp.Or(strings.Join(strings.Fields(clean(titleOf(plan, step))), " "), "Next step"),
			Description: strings.Join(lines, "\n"),
			Alarms:      []int{-60 * min(max(1, int((step.Remind+59*time.Second)/time.Minute)), 3*24*60)},
		}
		if event.Start == event.End {
			event.End = minute(step.End.Add(time.Minute))
		}
		if step.Kind == timeline.Waiting && step.Role != timeline.Simmer {
			from, to := timeline.ClockSpan(step.Start, step.End, "Mon 15:04", "Mon 15:04")
			event.Description = strings.TrimSpace("From " + from + " to " + to + ".\n" + event.Description)
			event.Start, event.End = step.Start.Format(time.DateOnly), step.End.Add(-time.Second).AddDate(0, 0, 1).Format(time.DateOnly)
			event.Alarms = nil
		}
		events = append(events, event)
	}
	for _, c := range plan.Checks {
		title, detail := words.Check(plan, c, words.Form{Units: plan.Batch.Units})
		event := understood{Start: minute(c.At), End: minute(c.End()), Title: title, Description: strings.Join(detail, "\n"), Alarms: []int{-60}}
		if c.AllDay {
			event.Start, event.End, event.Alarms = c.At.Format(time.DateOnly), c.At.AddDate(0, 0, 1).Format(time.DateOnly), []int{-15 * 3600}
		}
		if c.Quiet {
			event.Alarms = nil
		}
		events = append(events, event)
	}
	return events
}

// shown are the steps of a plan that have an event, as long as it is: all but those that
// the cook did without, and a minute of those that were over as they began.
func shown(plan timeline.Plan) (steps []timeline.Step) {
	for _, step := range plan.Steps {
		if step.State == timeline.Skipped {
			continue
		}
		if step.State == timeline.Ended && step.Start.Equal(step.End) {
			step.End = step.End.Add(time.Minute)
		}
		steps = append(steps, step)
	}
	return steps
}

// wantedAmong is what a plan looks like in a file of several: whose step it is
// stands behind each.
func wantedAmong(plan timeline.Plan, plans int) []understood {
	events := wanted(plan)
	for i := range events {
		if plans > 1 {
			events[i].Title += " (" + cmp.Or(plan.Batch.Name, plan.RunID) + ")"
		}
	}
	return events
}

// outsideFile is a calendar and what it says.
type outsideFile struct {
	name string
	file []byte
	want []understood
	only []string // the readers that take it; nil for all
}

// rung is what a file says with the reminders that our own reader finds in it, since those
// of one minute are moved apart. What one by itself is, other tests say.
func (f outsideFile) rung(t *testing.T) []understood {
	t.Helper()
	former, err := ical.Read(bytes.NewReader(f.file), f.name, nil)
	require.NoError(t, err)
	ahead := map[string]int{}
	for _, e := range former.Events {
		ahead[e.Title+e.Start.Format(time.RFC3339)] = int(e.Reminder / time.Second)
	}
	want := slices.Clone(f.want)
	for i, e := range want {
		if seconds, ok := ahead[e.Title+e.Start]; ok && len(e.Alarms) > 0 && e.Alarms[0] != -seconds {
			require.Less(t, max(-e.Alarms[0]-seconds, seconds+e.Alarms[0]), 3600, "%s is moved far", e.Title)
			want[i].Alarms = []int{-seconds}
		}
	}
	return want
}

func outsideFiles(t *testing.T) []outsideFile {
	makeFile := func(name string, options export.Options, plans ...timeline.Plan) outsideFile {
		options.Now = now
		made := outsideFile{name: name}
		var file bytes.Buffer
		require.NoError(t, export.Calendar(&file, plans, options))
		made.file = file.Bytes()
		for _, plan := range plans {
			made.want = append(made.want, wantedAmong(plan, len(plans))...)
		}
		return made
	}
	zone := export.Options{ZoneInFile: true}

	another := refused(t)
	var changes []timeline.Plan
	for _, name := range slices.Sorted(maps.Keys(clockChanges(t))) {
		changes = append(changes, clockChanges(t)[name])
	}
	long := timeline.Plan{RunID: "long", Location: place(t, "America/Denver")}
	start := time.Date(2027, 2, 20, 8, 0, 0, 0, long.Location) // over the change on 14 March
	for i := range 1000 {
		from := start.Add(time.Duration(i) * time.Hour).In(long.Location)
		long.Steps = append(long.Steps, timeline.Step{ID: fmt.Sprintf("Load %d: 7 quarts, 15 psi for 25 min", i), Kind: timeline.HandsOn,
			Start: from, End: from.Add(45 * time.Minute), Notes: []remark.Note{{Code: "Vent 10 min of steady steam, then weight on."}}})
	}
	slash := turkeyFrames(t)
	slash.Steps = slash.Steps[:1]
	slash.Steps[0].ID, slash.Steps[0].Role = `C:\notes`, 0

	before := makeFile("", zone, turkeyFrames(t))
	former, err := export.ReadFormer(bytes.NewReader(before.file))
	require.NoError(t, err)
	replanned := useBys(turkeyFrames(t))
	replanned.Batch.Leftover.Route = "fridge" // so that something is left there
	gone := before.want[9]
	gone.Title, gone.Alarms, gone.Cancelled = "Cancelled: "+gone.Title, nil, true
	replanned.Steps = append(replanned.Steps[:9:9], replanned.Steps[10:]...)
	replan := makeFile("replan-and-use-by", export.Options{ZoneInFile: true, UseBy: true, Former: former}, replanned)
	replan.want = append(replan.want, gone,
		understood{Start: "2026-12-01", End: "2026-12-02", Title: "Use by: Frames after the feast, in the fridge", Description: fridgeDays, Alarms: []int{-15 * 3600}},
		understood{Start: "2027-02-28", End: "2027-03-01", Title: "Use by: Frames after the feast, canned",
			Description: "Use within a year; keep dark and dry at 50 to 70 °F (10 to 21 °C); if you like, boil it 14 min before eating: 10 min, and 1 for each 1,000 ft (305 m).", Alarms: []int{-15 * 3600}})

	files := []outsideFile{
		makeFile("plain", export.Options{}, turkeyFrames(t)),
		makeFile("two-runs", zone, turkeyFrames(t), another),
		makeFile("hostile-titles", zone, hostile(t)),
		makeFile("backslash-n", export.Options{}, slash),
		makeFile("clock-change", zone, changes...),
		makeFile("clock-change-in-utc", export.Options{}, changes...),
		makeFile("1000-steps", zone, long),
		replan,
		zonesOfNoName(t),
	}
	for i := range files {
		if files[i].name == "clock-change" {
			// Ruby's icalendar reads the very minute of a change by the offset before it.
			files[i].only = []string{"ical.js", "python-icalendar", "vobject", "libical", "sabre-vobject", "calcurse", "khal", "radicale", "kcalendarcore"}
		}
	}
	for name, links := range chains(t) {
		for _, l := range links {
			if name != "bad-saturday" { // the slow ones import it in turn
				l.only = []string{"ical.js", "python-icalendar", "vobject", "libical", "sabre-vobject", "calcurse", "kcalendarcore", "ruby-icalendar"}
			}
			files = append(files, l.outsideFile)
		}
	}
	return files
}

// The zones whose rules differ most: half and quarter hours, changes at odd hours
// and days, winter time that the database calls daylight time, a second change for
// Ramadan, a night of two hours, none at all.
var oddZones = []string{
	"Africa/Cairo", "Africa/Casablanca", "Africa/El_Aaiun", "America/Asuncion", "America/Denver", "America/Havana", "America/New_York",
	"America/Santiago", "America/Sao_Paulo", "America/St_Johns", "Antarctica/Troll", "Asia/Gaza", "Asia/Kathmandu", "Asia/Kolkata",
	"Asia/Tehran", "Asia/Tokyo", "Atlantic/Azores", "Australia/Lord_Howe", "Australia/Sydney", "Europe/Berlin", "Europe/Dublin",
	"Pacific/Apia", "Pacific/Chatham", "Pacific/Norfolk",
}

// overYears is a plan with a step about every change of clock of a place in the
// years 2025 to 2032, at the end of each of them, and every 30 days.
func overYears(t testing.TB, zone string) timeline.Plan {
	const hour = 60 * 60
	plan := timeline.Plan{RunID: zone, Location: place(t, zone)}
	step := func(unix int64) {
		start := time.Unix(unix, 0).In(plan.Location)
		name := zone + " " + start.UTC().Format(time.RFC3339)
		plan.Steps = append(plan.Steps, timeline.Step{ID: name, Start: start, End: start.Add(30 * time.Minute)})
	}
	offset := func(unix int64) int {
		_, seconds := time.Unix(unix, 0).In(plan.Location).Zone()
		return seconds
	}
	from, to := time.Date(2025, 1, 1, 0, 0, 0, 0, time.UTC), time.Date(2033, 1, 1, 0, 0, 0, 0, time.UTC)
	for unix := from.Unix(); unix < to.Unix(); unix += hour {
		low, high := unix, unix+hour
		if offset(low) == offset(high) {
			continue
		}
		for high-low > 1 {
			if middle := (low + high) / 2; offset(middle) == offset(unix) {
				low = middle
			} else {
				high = middle
			}
		}
		// A step takes half an hour, so one ends at the change.
		for _, beside := range []int64{-2 * hour, -hour / 2, -1, 0, 1, 3 * hour / 4, 3 * hour} {
			step(high + beside)
		}
	}
	for year := range 8 {
		step(from.AddDate(year+1, 0, -1).Unix() + 12*hour)
	}
	for day := 0; from.AddDate(0, 0, day).Before(to); day += 30 {
		step(from.AddDate(0, 0, day).Unix() + 61)
	}
	return plan
}

// zonesOfNoName is a calendar over the changes of clock of many places, its zones
// renamed, so that a reader has nothing to go by but the rules in the file.
func zonesOfNoName(t testing.TB) outsideFile {
	made := outsideFile{name: "zones-of-no-name", only: []string{"ical.js", "libical", "python-icalendar"}}
	var plans []timeline.Plan
	for _, zone := range oddZones {
		plan := overYears(t, zone)
		seen := map[string]bool{}
		plan.Steps = slices.DeleteFunc(plan.Steps, func(step timeline.Step) bool {
			defer func() { seen[step.ID] = true }()
			return seen[step.ID]
		})
		plans = append(plans, plan)
		made.want = append(made.want, wantedAmong(plan, 2)...)
	}
	var file bytes.Buffer
	require.NoError(t, export.Calendar(&file, plans, export.Options{Now: now, ZoneInFile: true}))
	made.file = file.Bytes()
	for _, zone := range oddZones {
		for _, form := range []string{"\r\nTZID:%s\r\n", ";TZID=%s:"} {
			old := fmt.Appendf(nil, form, zone)
			require.Contains(t, file.String(), string(old))
			made.file = bytes.ReplaceAll(made.file, old, fmt.Appendf(nil, form, "Nowhere/"+zone))
		}
	}
	return made
}

// The rules of a zone in the file, read by code of our own that knows no zones,
// give the instants that were asked for. Source of these: the tz database of the
// machine.
func TestZoneRulesInTheFileGiveTheInstants(t *testing.T) {
	file := zonesOfNoName(t)
	events := read(t, file.file)
	require.Len(t, events, len(file.want))
	local := bytes.Count(file.file, []byte("DTSTART;TZID=Nowhere/"))
	t.Logf("%d events in %d zones, %d of them in local time", len(events), len(oddZones), local)
	require.Greater(t, local, len(events)/2)
	for i, event := range events {
		assert.Equal(t, file.want[i].Start, event.Start.Format(time.RFC3339), event.Title)
		assert.Equal(t, file.want[i].End, event.End.Format(time.RFC3339), event.Title)
	}
}

// exemption is a property that one reader is known to get wrong in one file.
type exemption struct {
	reader, file string
	property     property
	title        string // of the event
	why          string
}

var exemptions = []exemption{
	{"python-icalendar", "backslash-n", title, `C:\notes`, `4.0.3 reads an escaped backslash before an n as a line end`},
	{"ruby-icalendar", "backslash-n", title, `C:\notes`, `2.8 reads an escaped backslash before an n as a line end`},
	{"khal", "backslash-n", title, `C:\notes`, `it reads with python-icalendar`},
}

// exempt reports whether the reader is known to get a property of an event wrong.
func (r reader) exempt(file string, p property, event understood) bool {
	return slices.ContainsFunc(exemptions, func(e exemption) bool {
		return e.reader == r.name && e.file == file && e.property == p && e.title == event.Title
	})
}

func TestOutsideReaders(t *testing.T) {
	files := outsideFiles(t)
	for _, reader := range readers(t) {
		t.Run(reader.name, func(t *testing.T) {
			t.Parallel()
			reader.needed(t)
			for _, file := range files {
				if file.only != nil && !slices.Contains(file.only, reader.name) {
					continue
				}
				t.Run(file.name, func(t *testing.T) { reader.compare(t, file, reader.read(t, file.file)) })
			}
		})
	}
}

// A program that keeps what it is given has, of the calendars after each note, what the
// last of them says: the same events moved, none twice, and those called off known as
// such.
func TestCalendarsAfterEachNoteImportedInTurnLeaveTheLast(t *testing.T) {
	made := chains(t)
	for _, reader := range readers(t) {
		if !reader.imports {
			continue
		}
		t.Run(reader.name, func(t *testing.T) {
			t.Parallel()
			reader.needed(t)
			for name, links := range made {
				t.Run(name, func(t *testing.T) {
					var files [][]byte
					for _, l := range links {
						files = append(files, l.file)
					}
					reader.compare(t, links[len(links)-1].outsideFile, reader.read(t, files...))
				})
			}
		})
	}
}

// needed skips the test, or with CI=true fails it, where the reader is missing.
func (r reader) needed(t *testing.T) {
	t.Helper()
	if r.missing == "" {
		return
	}
	if os.Getenv("CI") == "true" {
		t.Fatalf("outside reader missing: %s", r.missing)
	}
	t.Skipf("SKIPPED, outside reader missing: %s", r.missing)
}

// read gives a reader files, of which those after the first are for the readers that
// import: one after the other.
func (r reader) read(t *testing.T, files ...[]byte) []understood {
	t.Helper()
	arguments := slices.Clone(r.command[1:])
	for n, file := range files {
		path := filepath.Join(t.TempDir(), fmt.Sprintf("plan-%d.ics", n))
		require.NoError(t, os.WriteFile(path, file, 0o600))
		arguments = append(arguments, path)
	}
	command := exec.Command(r.command[0], arguments...)
	command.Env = append(os.Environ(), "ICAL_JS_DIR="+os.Getenv("BROTHRUN_ICAL_JS"), "PYTHONDONTWRITEBYTECODE=1")
	var complaint bytes.Buffer
	command.Stderr = &complaint
	output, err := command.Output()
	require.NoError(t, err, "%s", complaint.String())

	lines := bufio.NewScanner(bytes.NewReader(output))
	lines.Buffer(nil, 1<<20)
	require.True(t, lines.Scan(), "the reader says who it is")
	var who struct{ Reader, Version string }
	require.NoError(t, json.Unmarshal(lines.Bytes(), &who))
	t.Logf("read by %s %s", who.Reader, who.Version)
	var events []understood
	for lines.Scan() {
		var event understood
		require.NoError(t, json.Unmarshal(lines.Bytes(), &event))
		event.Rings = event.Rings || len(event.Alarms) > 0
		events = append(events, event)
	}
	require.NoError(t, lines.Err())
	return events
}

// compare wants the same events, whatever their order.
func (r reader) compare(t *testing.T, file outsideFile, got []understood) {
	t.Helper()
	want := file.rung(t)
	for i := range want {
		if from, seconds := strings.CutSuffix(want[i].Start, "Z"); r.minutes && seconds {
			want[i].Start, want[i].End = from[:len(from)-2]+"00Z", want[i].End[:len(from)-2]+"00Z"
		}
	}
	require.Len(t, got, len(want), "number of events")
	for _, events := range [][]understood{want, got} {
		slices.SortStableFunc(events, func(a, b understood) int {
			return cmp.Or(strings.Compare(a.Start, b.Start), strings.Compare(a.End, b.End), strings.Compare(a.Title, b.Title))
		})
	}
	uids := map[string]bool{}
	for i, want := range want {
		got := got[i]
		same := func(p property, wanted, got any) {
			t.Helper()
			switch {
			case slices.Contains(r.blind, p):
			case r.name == "calcurse" && p == rings && len(want.Start) == len("2006-01-02") && len(want.Alarms) > 0:
				assert.NotEqual(t, wanted, got, "%s: whole days of %s ring now: drop this case", want.Title, r.name)
			case r.exempt(file.name, p, want):
				assert.NotEqual(t, wanted, got, "%s of %q is right now: drop the exemption of %s", p, want.Title, r.name)
			default:
				assert.Equal(t, wanted, got, "%s of %q", p, want.Title)
			}
		}
		same(start, want.Start, got.Start)
		same(end, want.End, got.End)
		same(title, want.Title, got.Title)
		same(uid, 36, len(got.UID))
		same(rings, len(want.Alarms) > 0, got.Rings)
		same(alarm, append([]int{}, want.Alarms...), append([]int{}, got.Alarms...))
		same(cancelled, want.Cancelled, got.Cancelled)
		if text, window := strings.CutSuffix(want.Description, "…"); window {
			same(description, true, strings.HasPrefix(got.Description, text+"Takes "))
		} else {
			same(description, text, got.Description)
		}
		uids[got.UID] = true
	}
	if !slices.Contains(r.blind, uid) {
		assert.Len(t, uids, len(want), "each event has its own UID")
	}
}
