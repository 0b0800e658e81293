//go:build unix

package main

import (
	"bytes"
	"os"
	"os/signal"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func init() {
	limitFileSize = func(octets uint64) {
		signal.Ignore(syscall.SIGXFSZ) // a write beyond is an error of that write alone
		var limit syscall.Rlimit
		if err := syscall.Getrlimit(syscall.RLIMIT_FSIZE, &limit); err != nil {
			panic(err)
		}
		limit.Cur = atMost(limit.Cur, octets)
		if err := syscall.Setrlimit(syscall.RLIMIT_FSIZE, &limit); err != nil {
			panic(err)
		}
	}
}

// atMost is for a limit whose type differs by system.
func atMost[N int64 | uint64](limit N, octets uint64) N { return min(limit, N(octets)) }

// A disk that takes only the beginning of the new file leaves the old one, and no
// beginning of another.
func TestANoteOnAFullDisk(t *testing.T) {
	folder := recordFolder(t)
	path := writeRun(t, folder, "run.toml", noted)
	command := appender(t, len(noted)+10, []string{"a-0"}, []string{path})
	var said bytes.Buffer
	command.Stderr = &said
	require.Error(t, command.Run())
	assert.Equal(t, exitFailed, command.ProcessState.ExitCode())
	assert.Contains(t, said.String(), "cannot write "+path+": ")
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, noted, string(text))
	assert.Equal(t, []string{"run.toml"}, namesIn(t, folder))

	require.NoError(t, appender(t, len(noted)+1000, []string{"a-0"}, []string{path}).Run(), "with room it goes")
}

func TestANoteKeepsPermissions(t *testing.T) {
	folder := recordFolder(t)
	for _, permissions := range []os.FileMode{0o600, 0o644, 0o664, 0o666} {
		path := writeRun(t, folder, "run.toml", noted)
		require.NoError(t, os.Chmod(path, permissions))
		_, _, err := appendNote(path, remarkOf("a"))
		require.NoError(t, err)
		info, err := os.Stat(path)
		require.NoError(t, err)
		assert.Equal(t, permissions, info.Mode().Perm(), "whatever the umask")
		require.NoError(t, os.Remove(path))
	}
}

func TestWhatIsNoFileTakesNoNote(t *testing.T) {
	folder := recordFolder(t)
	pipe := filepath.Join(folder, "pipe.toml")
	require.NoError(t, syscall.Mkfifo(pipe, 0o600))
	for _, path := range []string{pipe, os.DevNull} {
		_, _, err := appendNote(path, remarkOf("a"))
		assert.ErrorContains(t, err, path+" is no ordinary file, and is kept")
	}
}

// A folder in which nothing can be made has no place for the new file.
func TestANoteInAReadOnlyFolder(t *testing.T) {
	folder := recordFolder(t)
	path := writeRun(t, folder, "run.toml", noted)
	withoutRights(t, folder, path)
	_, _, err := appendNote(path, remarkOf("a"))
	assert.EqualError(t, err, "cannot write "+path+": permission denied")
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, noted, string(text))
	assert.Equal(t, []string{"run.toml"}, namesIn(t, folder))
}

// asNobody lets this test touch files as a user without rights does; nil where only
// who is no such user can be told from root.
var asNobody func(t *testing.T)

// withoutRights takes the right to write to a folder, but not to the file in it.
func withoutRights(t *testing.T, folder, file string) {
	require.NoError(t, os.Chmod(file, 0o666))
	require.NoError(t, os.Chmod(folder, 0o555))
	t.Cleanup(func() { os.Chmod(folder, 0o755) })
	if os.Getuid() != 0 {
		return
	}
	if asNobody == nil {
		t.Skip("root may write to every folder")
	}
	for above := filepath.Dir(folder); strings.HasPrefix(above, os.TempDir()+"/"); above = filepath.Dir(above) {
		require.NoError(t, os.Chmod(above, 0o755))
	}
	cache, err := os.UserCacheDir()
	require.NoError(t, err)
	require.NoError(t, os.MkdirAll(cache, 0o700))
	require.NoError(t, os.Chmod(cache, 0o777))
	asNobody(t)
}
