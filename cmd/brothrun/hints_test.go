package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/rogpeppe/go-internal/txtar"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What the program tells the cook to write, it must take, and it must do what is
// said of it. These tests collect every "(--flag ...)" and every "try:" that it
// prints for the commands of the scripts and for drawn ones, follow it, and look
// whether that helped. What has no flag (being at home, a tape measure) is tried in
// timeline's TestEveryRelaxationHelpsAndIsTheLeast, or by the cook.

var (
	bracketed   = regexp.MustCompile(`\((--[^()]*)\)`)
	tryLine     = regexp.MustCompile(`(?m)^  try: (.*)$`)
	flagTold    = regexp.MustCompile(`--([a-z][a-z-]*)(?:[= ]("[^"]*"|[^\s"(),;-][^\s"();]*|-))?`)
	loadsTold   = regexp.MustCompile(`(?m)^  Canner loads   (\d+|none)`)
	severalTold = regexp.MustCompile(`(\d+) loads have only a few jars`)
	blamed      = regexp.MustCompile(`^brothrun: --([a-z-]+): `)
	blamedKey   = regexp.MustCompile(`^brothrun: (\S+\.toml):(\d+): `)
	timeTold    = regexp.MustCompile(`^(start|finish) (?:by|at) (?:(\w{3})(?: \d+ \w+)? )?(\d\d:\d\d)(?: or later| instead)?$`)
)

// printed is what one call of the command printed.
type printed struct {
	args     []string
	status   int
	out, err string
}

// words is the output without its line breaks, and without what keeps a table of
// Markdown whole.
func (p printed) words() string {
	return strings.ReplaceAll(strings.Join(strings.Fields(p.out), " "), `\|`, "|")
}

// complaint is the first line of what went wrong.
func (p printed) complaint() string {
	first, _, _ := strings.Cut(p.err, "\n")
	return first
}

func (p printed) loads() int {
	n := 0
	if told := loadsTold.FindStringSubmatch(p.out); told != nil {
		fmt.Sscan(told[1], &n)
	}
	return n
}

// follower follows hints, each kind of hint so many times.
type follower struct {
	t        *testing.T
	stdout   *os.File
	followed map[string]int // by the hint without its figures
	most     int
}

func newFollower(t *testing.T, most int) *follower {
	stdout, err := os.Create(filepath.Join(t.TempDir(), "stdout"))
	require.NoError(t, err)
	t.Cleanup(func() { stdout.Close() })
	return &follower{t, stdout, map[string]int{}, most}
}

func (f *follower) call(args ...string) printed {
	require.NoError(f.t, f.stdout.Truncate(0))
	_, err := f.stdout.Seek(0, 0)
	require.NoError(f.t, err)
	var stderr bytes.Buffer
	p := printed{args: args, status: run(args, f.stdout, &stderr), err: stderr.String()}
	out, err := os.ReadFile(f.stdout.Name())
	require.NoError(f.t, err)
	p.out = string(out)
	return p
}

// again calls with more arguments, after those that write files, and flags that are given
// anew, are taken out.
func (f *follower) again(p printed, more ...string) printed {
	var anew, args []string
	for _, arg := range more {
		name, _, _ := strings.Cut(arg, "=")
		anew = append(anew, name)
	}
	for i := 0; i < len(p.args); i++ {
		name, _, _ := strings.Cut(p.args[i], "=")
		if !strings.HasPrefix(name, "--") || !slices.Contains(append(anew, "--write", "--format"), name) {
			args = append(args, p.args[i])
		} else if name == p.args[i] && i+1 < len(p.args) && !strings.HasPrefix(p.args[i+1], "--") {
			i++
		}
	}
	return f.call(append(args, more...)...)
}

// due reports whether a hint of this kind is still to be followed.
func (f *follower) due(kind string) bool {
	kind = regexp.MustCompile(`[0-9][0-9:.]*`).ReplaceAllString(kind, "0")
	f.followed[kind]++
	return f.followed[kind] <= f.most
}

func (f *follower) follow(p printed) {
	if len(p.args) == 0 || slices.Contains(p.args, "--help") || p.args[0] == "help" || p.args[0] == "kitchen" {
		return // help explains flags; a kitchen check tells those of plan
	}
	told := p.words()
	for _, at := range bracketed.FindAllStringSubmatchIndex(told, -1) {
		if hint := told[at[2]:at[3]]; f.due(hint) {
			f.followBracket(p, told[max(0, strings.LastIndex(told[:at[0]], ". ")+2, at[0]-60):at[1]], hint)
		}
	}
	for _, line := range tryLine.FindAllStringSubmatch(p.err, -1) {
		if f.due(line[1] + p.complaint()) {
			f.followTry(p, line[1])
		}
	}
}

// values are what a hint that names a flag alone is followed with. A value in
// brackets is taken from what was printed.
var values = map[string]string{
	"pot-width": `The pot is ([\d.]+ (?:in|cm))`, "water": `Water in ([\d.]+ (?:qt|l|cups|ml))`,
	"simmer": "45m", "gauge": "weighted", "canner-width": "12.25in", "canner-height": "11.5in", "racks": "1",
	"awake": "06:30-22:00", "zone": "America/Denver", "jars": "quart=2",
	"finish-by": "2026-11-30 20:00", "runs-per-year": "6", "rack-price": "25", "fuel-price": "0.2", "hour-value": "5",
	"choose": "2", "small-loads": "true", "unattended": "true", "vegetables": "1lb",
}

// ways turns a hint into arguments, a set for each way to follow it.
func (f *follower) ways(p printed, hint string) (ways [][]string) {
	for _, told := range flagTold.FindAllStringSubmatch(hint, -1) {
		value := strings.TrimRight(strings.Trim(told[2], `"`), ",:.")
		if value == "" {
			known, ok := values[told[1]]
			require.True(f.t, ok, "say in values what to follow --%s of %q with", told[1], hint)
			if strings.Contains(known, "(") {
				found := regexp.MustCompile(known).FindStringSubmatch(p.words())
				require.NotNil(f.t, found, "%s of %v", hint, p.args)
				known = found[1]
			}
			value = known
		}
		for _, one := range strings.Split(value, "|") {
			way := []string{"--" + told[1] + "=" + one}
			if told[1] == "start" || told[1] == "finish-by" {
				way = append(way, "--zone=America/Denver")
			}
			ways = append(ways, way)
		}
	}
	return ways
}

// followBracket follows a "(--flag ...)" that ends a sentence: it is taken, and the
// sentence is not said again, because what it is about has changed.
func (f *follower) followBracket(p printed, sentence, hint string) {
	for _, way := range f.ways(p, hint) {
		after := f.again(p, way...)
		about := fmt.Sprintf("%q of %v, followed by %v:\n%s%s", sentence, p.args, way, after.err, after.out)
		assert.NotEqual(f.t, exitUsage, after.status, about)
		assert.NotContains(f.t, after.words(), sentence, about)
		switch {
		case p.args[0] == "plan" && strings.Contains(sentence, "save the load"):
			small := 1
			if several := severalTold.FindStringSubmatch(p.words()); several != nil {
				fmt.Sscan(several[1], &small)
			}
			assert.Equal(f.t, p.loads()-small, after.loads(), "the others stay: %s", about)
		case hint == "--small-loads":
			assert.Positive(f.t, after.loads(), about)
		}
	}
}

// followTry follows a "try:": what was complained of must be over.
func (f *follower) followTry(p printed, hint string) {
	var ways [][]string
	switch {
	case p.status == exitFailed:
		ways = f.waysOut(p, hint)
	case strings.HasPrefix(hint, "brothrun "):
		after := f.call(strings.Fields(hint)[1:]...)
		assert.Equal(f.t, exitDone, after.status, hint)
		return
	case strings.HasPrefix(hint, "write "):
		f.followSpelling(p, hint)
		return
	case strings.HasPrefix(hint, "--"):
		first, _, _ := strings.Cut(hint, ", ")
		first, _, _ = strings.Cut(first, " with as many")
		ways = f.ways(p, first)
		for _, kind := range listed(hint) {
			ways = append(ways, []string{"--kind=" + kind})
		}
	case bracketed.MatchString(hint):
		ways = f.ways(p, bracketed.FindStringSubmatch(hint)[1])
	}
	for _, way := range ways {
		after := f.again(p, way...)
		about := fmt.Sprintf("%q of %v, followed by %v:\n%s", p.complaint(), p.args, way, after.err)
		assert.NotEqual(f.t, p.complaint(), after.complaint(), about)
		if p.status == exitFailed {
			assert.Contains(f.t, []int{exitDone, exitRefused}, after.status, about)
		}
	}
}

// waysOut are those of a run that does not fit.
func (f *follower) waysOut(p printed, hint string) [][]string {
	several := len(p.args) > 2 && strings.HasSuffix(p.args[1], ".toml") && strings.HasSuffix(p.args[2], ".toml")
	if told := timeTold.FindStringSubmatch(hint); told != nil && !several {
		span := slices.Contains(p.args, "--between")
		flag := "--" + told[1]
		switch {
		case told[1] == "finish" && span:
			flag = "--and"
		case told[1] == "finish":
			flag = "--finish-by"
		}
		var asked time.Time
		kept := p.args[:1:1]
		for i := 1; i < len(p.args); i++ {
			switch p.args[i] {
			case "--start", "--finish-by", "--between", "--and":
				i++
				if at, err := time.Parse("2006-01-02 15:04", p.args[i]); err == nil && (asked.IsZero() || told[1] == "finish") {
					asked = at
				}
				if p.args[i-1] == "--between" && flag == "--and" {
					kept = append(kept, "--between", p.args[i])
				}
			default:
				kept = append(kept, p.args[i])
			}
		}
		if asked.IsZero() {
			return nil // the file says when
		}
		clock, err := time.Parse("15:04", told[3])
		require.NoError(f.t, err)
		var ways [][]string
		for days := -15; days <= 15; days++ {
			at := asked.Truncate(24*time.Hour).AddDate(0, 0, days).Add(time.Duration(clock.Hour())*time.Hour + time.Duration(clock.Minute())*time.Minute)
			if strings.HasPrefix(at.Weekday().String(), told[2]) {
				ways = append(ways, []string{flag, at.Format("2006-01-02 15:04")})
			}
		}
		// The week is not told: one of them fits.
		fits := slices.ContainsFunc(ways, func(way []string) bool {
			after := f.again(printed{args: kept}, way...)
			return after.status == exitDone || after.status == exitRefused
		})
		assert.True(f.t, fits, "%q of %v", hint, p.args)
		return nil
	}
	if shorter, told := strings.CutPrefix(hint, "shorten the simmer to "); told && !several {
		return [][]string{{"--simmer", shorter}}
	}
	if flags := bracketed.FindStringSubmatch(hint); flags != nil && !several {
		return f.ways(p, flags[1])
	}
	return nil
}

// followSpelling follows a "write A or B": the flag, or the line of the file, that
// was complained of.
func (f *follower) followSpelling(p printed, hint string) {
	hint = strings.TrimPrefix(hint, "write ")
	if at := blamed.FindStringSubmatch(p.complaint()); at != nil {
		for _, value := range listed(hint) {
			if strings.Contains(value, " = ") {
				continue // how the file says it
			}
			after := f.again(p, "--"+at[1]+"="+strings.Trim(value, `"`))
			assert.NotEqual(f.t, p.complaint(), after.complaint(), "%v: write %s", p.args, value)
		}
		return
	}
	at := blamedKey.FindStringSubmatch(p.complaint())
	if at == nil || !strings.Contains(hint, " = ") {
		return
	}
	before, err := os.ReadFile(at[1])
	if err != nil {
		return // of another folder
	}
	defer func() { require.NoError(f.t, os.WriteFile(at[1], before, 0o644)) }()
	number := 0
	fmt.Sscan(at[2], &number)
	for _, value := range listed(hint) {
		lines := strings.Split(string(before), "\n")
		require.Greater(f.t, len(lines), number-1, p.complaint())
		lines[number-1] = value
		require.NoError(f.t, os.WriteFile(at[1], []byte(strings.Join(lines, "\n")), 0o644))
		after := f.again(p)
		assert.NotEqual(f.t, p.complaint(), after.complaint(), "%v: write %s", p.args, value)
	}
}

// listed are the ways a hint lists: "a, b or c", "... such as a or b", "one of: a, b", or
// those in quotes, where there are any but of a file's key.
func listed(hint string) []string {
	if _, after, found := strings.Cut(hint, "one of: "); found {
		return strings.Split(after, ", ")
	}
	if strings.HasPrefix(hint, "--") {
		return nil
	}
	if quoted := regexp.MustCompile(`"[^"]*"`).FindAllString(hint, -1); quoted != nil && !strings.Contains(hint, " = ") {
		return quoted
	}
	if _, after, found := strings.Cut(hint, "such as "); found {
		hint = after
	}
	hint, _, _ = strings.Cut(hint, " to fill")
	return regexp.MustCompile(`, | or `).Split(hint, -1)
}

// scriptCalls hands visit the arguments of every call of the scripts, in a folder
// with its files.
func scriptCalls(t *testing.T, visit func(args []string)) {
	data, err := filepath.Abs(filepath.Join(root, "testdata"))
	require.NoError(t, err)
	scripts, err := filepath.Glob("testdata/script/*.txtar")
	require.NoError(t, err)
	for i := range scripts {
		scripts[i], err = filepath.Abs(scripts[i])
		require.NoError(t, err)
	}
	t.Setenv("SOURCE_DATE_EPOCH", "1795000000")
	for _, script := range scripts {
		text, err := os.ReadFile(script)
		require.NoError(t, err)
		archive := txtar.Parse(text)
		folder := t.TempDir()
		for _, file := range archive.Files {
			path := filepath.Join(folder, file.Name)
			require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o755))
			require.NoError(t, os.WriteFile(path, file.Data, 0o644))
		}
		t.Chdir(folder)
		for line := range strings.Lines(string(archive.Comment)) {
			line = strings.NewReplacer("$DEMO", filepath.Join(data, "demo"), "$WEEKEND", filepath.Join(data, "weekend")).Replace(line)
			if _, call, found := strings.Cut(line, " brothrun "); found && regexp.MustCompile(`^(exec|status \d) brothrun `).MatchString(line) {
				var args []string
				for _, word := range regexp.MustCompile(`'([^']*)'|(\S+)`).FindAllStringSubmatch(call, -1) {
					args = append(args, word[1]+word[2])
				}
				visit(args)
			}
		}
	}
}

func TestHintsOfTheScriptsDoWhatTheySay(t *testing.T) {
	f := newFollower(t, 3)
	scriptCalls(t, func(args []string) {
		f.follow(f.call(args...))
		if args[0] == "plan" {
			f.follow(f.call(append(args, "--full")...))
		}
	})
	assert.Greater(t, len(f.followed), 60, "hints were found")
}

func TestHintsOfDrawnRunsDoWhatTheySay(t *testing.T) {
	random := rand.New(rand.NewPCG(13, 11))
	f := newFollower(t, 25)
	one := func(ways ...string) string { return ways[random.IntN(len(ways))] }
	for range 500 {
		quarts := 2 + random.IntN(28)
		if random.IntN(6) == 0 {
			quarts = 2
		}
		args := []string{"plan", "--full", "--kind=" + one("chicken", "turkey-frames", "beef"), fmt.Sprintf("--pot=%dqt", quarts),
			fmt.Sprintf("--bones=%.1flb", float64(quarts)*(0.2+0.25*random.Float64())), fmt.Sprintf("--altitude=%dft", random.IntN(9)*1000)}
		for _, flag := range []string{
			one("--jars=quart=7,pint=12", "--jars=pint", "--jars=quart", "--jars=quart=8,pint-and-half=5,pint", "--jars=half-pint=11,quart"),
			one("--prefer=leftover", "--prefer=loads", "--prefer=jars"), "--mix", "--small-loads", "--small-loads", "--racks=2", "--canner-height=15in",
			one("--gauge=weighted", "--gauge=dial"), one("--lid=off", "--lid=on"), one("--simmer=40m", "--simmer=3h", "--simmer=12h"),
			"--top-up=level", "--pot-width=11in", "--mouth=wide", "--units=metric", "--route=freeze-dry", "--chill=fridge",
		} {
			if random.IntN(3) == 0 {
				args = append(args, flag)
			}
		}
		if random.IntN(2) == 0 {
			args = append(args, "--zone=America/Denver")
			if hour := random.IntN(24); random.IntN(3) == 0 {
				args = append(args, "--between", fmt.Sprintf("2026-11-28 %02d:00", hour), "--and", fmt.Sprintf("2026-11-29 %02d:00", 8+random.IntN(10)))
			} else {
				args = append(args, one("--start", "--finish-by"), fmt.Sprintf("2026-11-28 %02d:00", hour))
			}
		}
		p := f.call(args...)
		f.follow(p)
		f.followRivals(p)
	}
	whole, fewer := 0, 0
	for hint, times := range f.followed {
		if strings.HasPrefix(hint, "--jars ") {
			whole += times
		}
		if strings.HasPrefix(hint, "can ") {
			fewer += times
		}
	}
	assert.Greater(t, whole, 5, "%v", f.followed)
	assert.Greater(t, fewer, 5, "%v", f.followed)
	assert.Greater(t, f.followed["--small-loads"], 2, "%v", f.followed)
}

// followRivals plans each of the other ways to fill the jars by the flag that the
// table tells, and finds it planned.
func (f *follower) followRivals(p printed) {
	type plan struct {
		Name       string
		Jars       []map[string]any
		Loads      int
		Chosen     bool
		SmallLoads bool `json:"small_loads"`
	}
	read := func(p printed) (data struct{ Rivals []plan }) {
		if p.status != exitDone {
			return data
		}
		require.NoError(f.t, json.Unmarshal([]byte(p.out), &data), "%v", p.args)
		return data
	}
	if len(tryLine.FindAllString(p.err, -1)) > 0 || !strings.Contains(p.out, "Other ways to fill the jars") {
		return
	}
	flags := map[string]string{"preferred jars": "--prefer=jars", "fewest loads": "--prefer=loads", "least leftover": "--prefer=leftover", "small loads too": "--small-loads"}
	for _, rival := range read(f.again(p, "--json")).Rivals {
		ways := []string{flags[rival.Name]}
		if rival.SmallLoads {
			ways = append(ways, "--small-loads")
		}
		for _, way := range ways {
			after := f.again(p, way, "--json")
			if after.status == exitFailed {
				continue // more loads than the days hold
			}
			i := slices.IndexFunc(read(after).Rivals, func(plan plan) bool { return plan.Chosen })
			require.GreaterOrEqual(f.t, i, 0, "%v %s: %s", p.args, way, after.err)
			assert.Equal(f.t, rival.Jars, read(after).Rivals[i].Jars, "%v %s", p.args, way)
			assert.Equal(f.t, rival.Loads, read(after).Rivals[i].Loads, "%v %s", p.args, way)
		}
	}
}
