package main

import (
	"flag"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/export/icslint"
)

var update = flag.Bool("update", false, "rewrite the expected output in the scripts")

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){
		"brothrun": func() { os.Exit(run(os.Args[1:], os.Stdout, os.Stderr)) },
	})
}

// TestScripts runs the command as its users would: output, errors and exit
// statuses. Scripts may say "status N" for the exit status of the next
// command's words, and "lint FILE" for a calendar file.
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
			env.Setenv("WEEKEND", filepath.Join(filepath.Dir(demo), "weekend"))
			env.Setenv("SOURCE_DATE_EPOCH", "1795000000")
			env.Setenv("TZ", "")
			env.Setenv("NO_COLOR", "1")
			return nil
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"status": status,
			"lint":   lint,
		},
	})
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

// lint checks a calendar file against RFC 5545.
func lint(ts *testscript.TestScript, neg bool, args []string) {
	for _, name := range args {
		for _, problem := range icslint.Check([]byte(ts.ReadFile(name))) {
			ts.Fatalf("%s: %v", name, problem)
		}
	}
}

// TestReadmeCommands runs every command that README.md shows in a console block,
// beside a copy of the repository's data, and compares the output where it shows
// one. -update rewrites that output.
func TestReadmeCommands(t *testing.T) {
	readme, err := os.ReadFile(filepath.Join(root, "README.md"))
	require.NoError(t, err)
	self, err := os.Executable()
	require.NoError(t, err)
	bin := t.TempDir()
	// The test binary acts as brothrun when it is called by that name.
	require.NoError(t, os.Symlink(self, filepath.Join(bin, "brothrun")))
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
				shell := exec.Command("sh", "-c", line)
				shell.Dir = work
				shell.Env = append(os.Environ(), "PATH="+bin+":"+os.Getenv("PATH"), "NO_COLOR=1", "SOURCE_DATE_EPOCH=1795000000", "TZ=")
				out, err := shell.CombinedOutput()
				if exit, ok := err.(*exec.ExitError); ok {
					require.Equal(t, exitRefused, exit.ExitCode(), "%s", out)
				} else {
					require.NoError(t, err, "%s", out)
				}
				if !compare {
					return
				}
				got := strings.TrimRight(string(out), "\n")
				if *update {
					rewritten = strings.Replace(rewritten, "$ "+shown+"\n```", "$ "+command+"\n"+got+"\n```", 1)
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
