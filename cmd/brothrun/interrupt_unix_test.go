//go:build unix

package main

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/timeline"
)

// What ends the command while files are being written leaves none of them, whole or
// half. The command stands still in a write to a pipe nobody empties, its temporary
// files written: the first octet that comes through says so.
func TestNothingIsLeftOfAWriteThatIsCutShort(t *testing.T) {
	const pipe = 1 << 16 // what a pipe holds, from memory: Linux 64 KiB, others less
	for name, test := range map[string]struct {
		end    func(t *testing.T, command *exec.Cmd, out *os.File)
		status int // as of a shell: 128 and the signal
	}{
		"Ctrl-C":                  {func(t *testing.T, c *exec.Cmd, _ *os.File) { require.NoError(t, c.Process.Signal(os.Interrupt)) }, 130},
		"kill":                    {func(t *testing.T, c *exec.Cmd, _ *os.File) { require.NoError(t, c.Process.Signal(syscall.SIGTERM)) }, 143},
		"hanging up":              {func(t *testing.T, c *exec.Cmd, _ *os.File) { require.NoError(t, c.Process.Signal(syscall.SIGHUP)) }, 129},
		"a reader that goes away": {func(t *testing.T, _ *exec.Cmd, out *os.File) { require.NoError(t, out.Close()) }, exitFailed},
	} {
		t.Run(name, func(t *testing.T) {
			folder := t.TempDir()
			kitchen, err := filepath.Abs(filepath.Join(root, "testdata", "demo", "kitchen.toml"))
			require.NoError(t, err)
			args := []string{"plan", "--kitchen", kitchen, "--write", "runs.ics", "--write", "runs.json", "--write", "-", "--format", "json"}
			start := time.Date(2026, 12, 5, 8, 0, 0, 0, time.UTC)
			for i := range timeline.MostRuns {
				file := fmt.Sprintf("run%d.toml", i)
				text := fmt.Sprintf("kind = 'beef'\nbones = '9 lb'\nstart = '%s'\n", start.AddDate(0, 0, 7*i).Format("2006-01-02 15:04"))
				require.NoError(t, os.WriteFile(filepath.Join(folder, file), []byte(text), 0o600))
				args = append(args, file)
			}
			before, err := os.ReadDir(folder)
			require.NoError(t, err)

			self, err := os.Executable()
			require.NoError(t, err)
			command := exec.Command(self, args...)
			command.Args[0], command.Dir = "brothrun", folder // by that name the test binary is brothrun
			out, in, err := os.Pipe()
			require.NoError(t, err)
			defer out.Close()
			command.Stdout = in
			require.NoError(t, command.Start())
			require.NoError(t, in.Close())
			_, err = out.Read(make([]byte, 1))
			require.NoError(t, err)
			standing, err := filepath.Glob(filepath.Join(folder, ".brothrun-*"))
			require.NoError(t, err)
			require.Len(t, standing, 2)
			info, err := os.Stat(standing[1])
			require.NoError(t, err)
			require.Greater(t, info.Size(), int64(2*pipe), "all of it went into the pipe, and nothing stood still")

			test.end(t, command, out)
			var exit *exec.ExitError
			require.ErrorAs(t, command.Wait(), &exit)
			assert.Equal(t, test.status, exit.ExitCode())
			after, err := os.ReadDir(folder)
			require.NoError(t, err)
			assert.Equal(t, fmt.Sprint(before), fmt.Sprint(after))
		})
	}
}
