package main

import (
	"encoding/csv"
	"flag"
	"net/netip"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/export"
	"brothrun/stock/runfile"
	"brothrun/timeline/ical"
)

var update = flag.Bool("update", false, "rewrite the expected output in the scripts")

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){
		"brothrun": func() {
			if text := os.Getenv("BROTHRUN_TEST_HOME"); text != "" { // where the tests run there may be no network
				at, err := netip.ParseAddr(text)
				home = func() []netip.Addr { return []netip.Addr{at}[:map[bool]int{true: 1}[err == nil]] }
			}
			os.Exit(run(os.Args[1:], os.Stdout, os.Stderr))
		},
		"append-notes": appendNotes,
	})
}

// scriptWords are the words of the scripts besides testscript's own.
var scriptWords = map[string]func(ts *testscript.TestScript, neg bool, args []string){
	"status":   status,
	"lint":     lint,
	"glob":     glob,
	"lines":    lines,
	"events":   events,
	"hardlink": hardlink,
	"begins":   begins,
	"undo":     undo,
	"moved":    moved,
	"kept":     kept,
}

// TestScripts runs the command as its users would: output, errors and exit
// statuses. Scripts run brothrun and nothing else, for Go alone has to do; what more
// they need is one of scriptWords.
func TestScripts(t *testing.T) {
	demo, err := filepath.Abs(filepath.Join(root, "testdata", "demo"))
	require.NoError(t, err)
	testscript.Run(t, testscript.Params{
		Dir:                 "testdata/script",
		UpdateScripts:       *update,
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
		Setup: func(env *testscript.Env) error {
			env.Setenv("DEMO", demo)
			env.Setenv("YEAR", filepath.Join(filepath.Dir(demo), "year"))
			env.Setenv("WEEKEND", filepath.Join(filepath.Dir(demo), "weekend"))
			env.Setenv("POTS", filepath.Join(filepath.Dir(demo), "pots"))
			env.Setenv("SOURCE_DATE_EPOCH", "1795000000")
			env.Setenv("TZ", "")
			env.Setenv("NO_COLOR", "1")
			return nil
		},
		Cmds: scriptWords,
	})
}

// README.md says that Go is all it takes, to test it too.
func TestScriptsRunBrothrunAlone(t *testing.T) {
	files, err := filepath.Glob("testdata/script/*.txtar")
	require.NoError(t, err)
	for _, file := range files {
		script, err := os.ReadFile(file)
		require.NoError(t, err)
		for _, found := range regexp.MustCompile(`(?m)^(?:\[\S+\] |! |\? )*(?:exec|status \d) (\S+)`).FindAllStringSubmatch(string(script), -1) {
			assert.Equal(t, "brothrun", found[1], "%s: %q needs more than Go; see scriptWords", file, found[0])
		}
	}
}

// status runs a command and asserts its exact exit status: status 3 brothrun plan ...
func status(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: status CODE COMMAND ...")
	}
	want, err := strconv.Atoi(args[0])
	ts.Check(err)
	err = ts.Exec(args[1], args[2:]...)
	got := 0
	if exit, ok := err.(*exec.ExitError); ok {
		got = exit.ExitCode()
	} else if err != nil {
		ts.Fatalf("%v", err)
	}
	if got != want {
		ts.Fatalf("exit status %d, want %d", got, want)
	}
}

// lint wants calendar files to be whole and ours.
func lint(ts *testscript.TestScript, neg bool, args []string) {
	for _, name := range args {
		readOurs(ts, name)
	}
}

// readOurs reads the events of a calendar file that brothrun wrote.
func readOurs(ts *testscript.TestScript, name string) []ical.Event {
	former, err := ical.Read(strings.NewReader(ts.ReadFile(name)), name, nil)
	ts.Check(err)
	if !former.Ours {
		ts.Fatalf("%s is a calendar of another program", name)
	}
	return former.Events
}

// glob asserts that files match a pattern, or with ! that none does: ! glob .run*
func glob(ts *testscript.TestScript, neg bool, args []string) {
	for _, pattern := range args {
		found, err := filepath.Glob(ts.MkAbs(pattern))
		ts.Check(err)
		if (len(found) == 0) != neg {
			ts.Fatalf("%s matches %q", pattern, found)
		}
	}
}

// lines writes the lines of a file that hold a word to another: lines UID run.ics run.uid
func lines(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 3 {
		ts.Fatalf("usage: lines WORD FROM TO")
	}
	var found strings.Builder
	for line := range strings.Lines(ts.ReadFile(args[1])) {
		if strings.Contains(line, args[0]) {
			found.WriteString(line)
		}
	}
	if found.Len() == 0 {
		ts.Fatalf("no line of %s holds %s", args[1], args[0])
	}
	ts.Check(os.WriteFile(ts.MkAbs(args[2]), []byte(found.String()), 0o600))
}

// events asserts, as in events same A B or events apart A B, that a program which has imported one calendar takes the events of
// another for the same ones, as far as both have as many, or all of them for others.
func events(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 3 || args[0] != "same" && args[0] != "apart" {
		ts.Fatalf("usage: events same|apart FILE FILE")
	}
	var uids [2][]string
	for i, name := range args[1:] {
		for _, event := range readOurs(ts, name) {
			uids[i] = append(uids[i], event.UID)
		}
	}
	shared := slices.DeleteFunc(slices.Clone(uids[0]), func(uid string) bool { return !slices.Contains(uids[1], uid) })
	if args[0] == "same" && len(shared) < min(len(uids[0]), len(uids[1])) || args[0] == "apart" && len(shared) > 0 {
		ts.Fatalf("%s has %d events and %s %d, %d of them the same", args[1], len(uids[0]), args[2], len(uids[1]), len(shared))
	}
}

// begins asserts that a file is another with more at its end: begins run.toml before.toml
func begins(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: begins LONGER SHORTER")
	}
	longer, shorter := ts.ReadFile(args[0]), ts.ReadFile(args[1])
	if !strings.HasPrefix(longer, shorter) || longer == shorter {
		ts.Fatalf("%s is not %s with more at its end", args[0], args[1])
	}
}

// undo takes the last note of a run file back: undo run.toml
func undo(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 1 {
		ts.Fatalf("usage: undo RUN")
	}
	run, err := runfile.DecodeRun(strings.NewReader(ts.ReadFile(args[0])), args[0])
	ts.Check(err)
	ts.Check(ts.Exec("brothrun", "note", args[0], "undo", run.Notes[len(run.Notes)-1].ID))
}

// moved asserts that of the events of one calendar some stand later in another, under
// the same name and with a higher sequence, and that none has a lower one: moved A B
func moved(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: moved BEFORE AFTER")
	}
	before := map[string]ical.Event{}
	for _, event := range readOurs(ts, args[0]) {
		before[event.UID] = event
	}
	later := 0
	for _, event := range readOurs(ts, args[1]) {
		was, known := before[event.UID]
		switch {
		case known && event.Sequence < was.Sequence:
			ts.Fatalf("%s falls from sequence %d to %d", event.UID, was.Sequence, event.Sequence)
		case known && event.Start.After(was.Start) && event.Sequence == was.Sequence:
			ts.Fatalf("%s moves under the same sequence", event.UID)
		case known && event.Start.After(was.Start):
			later++
		}
	}
	if later == 0 {
		ts.Fatalf("no event of %s stands later in %s", args[0], args[1])
	}
}

// kept asserts that every event of a run, by its id, stands in another calendar as it did
// in one, its reminder and sequence too: kept BEFORE AFTER RUN
func kept(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 3 {
		ts.Fatalf("usage: kept BEFORE AFTER RUN")
	}
	after, stands := readOurs(ts, args[1]), 0
	for _, event := range readOurs(ts, args[0]) {
		if event.Run != export.RunKey(args[2]) {
			continue
		}
		if stands++; !slices.Contains(after, event) {
			ts.Fatalf("%q of %s is another in %s", event.Title, args[0], args[1])
		}
	}
	if stands == 0 {
		ts.Fatalf("nothing of %s stands in %s", args[2], args[0])
	}
}

// hardlink gives a file another name: hardlink run.md run.toml
func hardlink(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: hardlink NAME FILE")
	}
	ts.Check(os.Link(ts.MkAbs(args[1]), ts.MkAbs(args[0])))
}

// wordsOf splits a command line at its blanks, less those within double quotes, as
// a shell would: Go alone has to do, so no test may need one.
func wordsOf(t *testing.T, line string) []string {
	t.Helper()
	lines := csv.NewReader(strings.NewReader(line))
	lines.Comma = ' '
	words, err := lines.Read()
	require.NoError(t, err, "%s", line)
	return words
}

// noteID is the random name of a note, as the command tells it.
var noteID = regexp.MustCompile(`\(id [a-z0-9]{6}\)`)

// readmeNow is the instant at which a command of README.md runs: before the demo, and
// for what is noted after it.
func readmeNow(command string) string {
	if command == "note" || command == "now" {
		return "1796200000" // 2 December 2026
	}
	return "1795000000" // 18 November 2026
}

// TestReadmeCommands runs every command that README.md shows in a console block,
// beside a copy of the repository's data, and compares the output where it shows
// one. -update rewrites that output.
func TestReadmeCommands(t *testing.T) {
	readme, err := os.ReadFile(filepath.Join(root, "README.md"))
	require.NoError(t, err)
	work := t.TempDir()
	require.NoError(t, os.CopyFS(filepath.Join(work, "testdata"), os.DirFS(filepath.Join(root, "testdata"))))

	blocks := regexp.MustCompile("(?s)```console\n(.*?)```").FindAllStringSubmatch(string(readme), -1)
	require.NotEmpty(t, blocks, "README.md shows commands in console blocks")
	rewritten := string(readme)
	ran := 0
	for _, block := range blocks {
		for _, shown := range strings.Split("\n"+strings.TrimSuffix(block[1], "\n"), "\n$ ")[1:] {
			command, want, compare := strings.Cut(shown, "\n")
			line := strings.Replace(command, "go run ./cmd/brothrun", "brothrun", 1)
			if !strings.HasPrefix(line, "brothrun ") {
				continue // building and testing is not for a test to do
			}
			ran++
			t.Run(command, func(t *testing.T) {
				words := wordsOf(t, line)
				into := ""
				if n := len(words); n > 2 && words[n-2] == ">" {
					into, words = words[n-1], words[:n-2]
				}
				brothrun := exec.Command(words[0], words[1:]...)
				brothrun.Dir = work
				brothrun.Env = append(os.Environ(), "NO_COLOR=1", "TZ=", "SOURCE_DATE_EPOCH="+readmeNow(words[1]))
				out, err := brothrun.CombinedOutput()
				if into != "" {
					require.NoError(t, os.WriteFile(filepath.Join(work, into), out, 0o600))
				}
				if exit, ok := err.(*exec.ExitError); ok {
					require.Equal(t, exitRefused, exit.ExitCode(), "%s", out)
				} else {
					require.NoError(t, err, "%s", out)
				}
				if !compare {
					return
				}
				got := noteID.ReplaceAllString(strings.TrimRight(string(out), "\n"), "(id k3v9bd)")
				if *update {
					rewritten = strings.Replace(rewritten, "$ "+shown+"\n", "$ "+command+"\n"+got+"\n", 1)
					return
				}
				assert.Equal(t, want, got, "run go test ./cmd/brothrun -update and read the difference")
			})
		}
	}
	require.GreaterOrEqual(t, ran, 5, "few commands of README.md ran")
	if *update && rewritten != string(readme) {
		require.NoError(t, os.WriteFile(filepath.Join(root, "README.md"), []byte(rewritten), 0o644))
	}
}
