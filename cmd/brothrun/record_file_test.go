package main

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"runtime/debug"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/stock/runfile"
)

const noted = "# supper\r\nkind = \"beef\" # the usual\r\nbones = \"9 lb\""

// recordFolder is an empty folder, with caches of this test alone.
func recordFolder(t testing.TB) string {
	for _, variable := range []string{"XDG_CACHE_HOME", "HOME", "LocalAppData"} {
		t.Setenv(variable, filepath.Join(t.TempDir(), "cache"))
	}
	return t.TempDir()
}

// writeRun writes a run file into a folder.
func writeRun(t testing.TB, folder, name, text string) (path string) {
	path = filepath.Join(folder, name)
	require.NoError(t, os.WriteFile(path, []byte(text), 0o644))
	return path
}

func remarkOf(id string) runfile.Note {
	return runfile.Note{ID: id, At: "2026-11-28 17:10:30", What: "remark", Value: "of " + id}
}

// appendNote adds a note to a run file, as note does, and returns the run that then
// stands in it; added is false where a note of that ID stands in it already.
func appendNote(path string, note runfile.Note) (run runfile.Run, added bool, err error) {
	err = change(path, func(old []byte) (data []byte, err error) {
		data, run, err = runfile.Append(old, path, note)
		added = len(data) > len(old)
		return data, err
	}, nil)
	return run, added && err == nil, err
}

func namesIn(t testing.TB, folder string) (names []string) {
	entries, err := os.ReadDir(folder)
	require.NoError(t, err)
	for _, entry := range entries {
		names = append(names, entry.Name())
	}
	return names
}

func TestANoteIsAppendedToItsFile(t *testing.T) {
	folder := recordFolder(t)
	path := writeRun(t, folder, "run.toml", noted)
	run, added, err := appendNote(path, remarkOf("k3v9tw"))
	require.NoError(t, err)
	assert.True(t, added)
	assert.Equal(t, []runfile.Note{remarkOf("k3v9tw")}, run.Notes)
	assert.Equal(t, path, run.File)
	const want = noted + "\r\n\r\n" +
		"[[note]]\r\nid = \"k3v9tw\"\r\nat = \"2026-11-28 17:10:30\"\r\nwhat = \"remark\"\r\nvalue = \"of k3v9tw\"\r\n"
	stands := func() string {
		text, err := os.ReadFile(path)
		require.NoError(t, err)
		return string(text)
	}
	assert.Equal(t, want, stands())
	before, err := os.Stat(path)
	require.NoError(t, err)

	run, added, err = appendNote(path, remarkOf("k3v9tw"))
	require.NoError(t, err)
	assert.False(t, added)
	assert.Equal(t, 1, run.Revision())
	after, err := os.Stat(path)
	require.NoError(t, err)
	assert.True(t, os.SameFile(before, after), "a note that is known is not written")

	_, added, err = appendNote(path, runfile.Note{ID: "b", At: "then", What: "done"})
	assert.ErrorContains(t, err, "run.toml: note.at: ")
	assert.False(t, added)
	assert.Equal(t, want, stands())
	assert.Equal(t, []string{"run.toml"}, namesIn(t, folder))
}

// Neither the name of a file that is a link nor that of a folder that is one is lost,
// and by whichever name it goes, the lock is one.
func TestANoteFollowsLinks(t *testing.T) {
	folder := recordFolder(t)
	real, linked := filepath.Join(folder, "real"), filepath.Join(folder, "linked")
	require.NoError(t, os.Mkdir(real, 0o755))
	path := writeRun(t, real, "run.toml", noted)
	if err := os.Symlink("real", linked); err != nil {
		t.Skip(err)
	}
	link := filepath.Join(folder, "today.toml")
	require.NoError(t, os.Symlink(filepath.Join("linked", "run.toml"), link))
	for i, name := range []string{link, filepath.Join(linked, "run.toml"), path} {
		run, _, err := appendNote(name, remarkOf(fmt.Sprint(i)))
		require.NoError(t, err)
		assert.Equal(t, i+1, run.Revision())
	}
	to, err := os.Readlink(link)
	require.NoError(t, err)
	assert.Equal(t, filepath.Join("linked", "run.toml"), to)
	assert.Equal(t, []string{"run.toml"}, namesIn(t, real))
	assert.Equal(t, []string{"linked", "real", "today.toml"}, namesIn(t, folder))
	cache, err := os.UserCacheDir()
	require.NoError(t, err)
	assert.Len(t, namesIn(t, filepath.Join(cache, "brothrun", "locks")), 1)
}

func TestFilesThatTakeNoNote(t *testing.T) {
	folder := recordFolder(t)
	nowhere := filepath.Join(folder, "nowhere.toml")
	readOnly := writeRun(t, folder, "protected.toml", noted)
	require.NoError(t, os.Chmod(readOnly, 0o444))
	writeRun(t, folder, "broken.toml", "kind = ")
	if err := os.Symlink("gone", nowhere); err != nil {
		require.NoError(t, os.WriteFile(nowhere, nil, 0o444))
	}
	names := namesIn(t, folder)
	for name, want := range map[string]string{
		"missing.toml":   "missing.toml: ",
		"missing/a.toml": "a.toml: ",
		".":              " is a folder",
		"protected.toml": "protected.toml is read-only",
		"broken.toml":    "broken.toml:1: cannot be read as TOML",
		"nowhere.toml":   "nowhere.toml is ",
	} {
		run, added, err := appendNote(filepath.Join(folder, name), remarkOf("a"))
		assert.ErrorContains(t, err, want)
		assert.False(t, added)
		assert.Zero(t, run)
		status, _ := diagnose(err)
		badInput := strings.Contains(name, "missing") || name == "." || name == "broken.toml"
		assert.Equal(t, badInput, status == exitUsage, "%s: %d", name, status)
	}
	assert.Equal(t, names, namesIn(t, folder))
	text, err := os.ReadFile(readOnly)
	require.NoError(t, err)
	assert.Equal(t, noted, string(text))
}

// What an editor saved while a note was on its way is not replaced by what stood there
// before.
func TestAFileChangedMeanwhileIsNotReplaced(t *testing.T) {
	folder := recordFolder(t)
	path := writeRun(t, folder, "run.toml", noted)
	for name, change := range map[string]func(){
		"in place":    func() { writeRun(t, folder, "run.toml", noted+"\n# more") },
		"by its time": func() { require.NoError(t, os.Chtimes(path, time.Time{}, time.Unix(1_795_000_000, 0))) },
		"by another":  func() { require.NoError(t, os.Rename(writeRun(t, folder, "new.toml", noted), path)) },
		"taken away":  func() { require.NoError(t, os.Remove(path)) },
	} {
		writeRun(t, folder, "run.toml", noted)
		old, info, err := readToReplace(output{path: path, target: path})
		require.NoError(t, err, name)
		assert.Equal(t, noted, string(old), name)
		change()
		assert.ErrorIs(t, replace(output{path: path, target: path}, info, []byte("lost")), errChanged, name)
		text, err := os.ReadFile(path)
		assert.True(t, errors.Is(err, fs.ErrNotExist) || strings.HasPrefix(string(text), noted), name)
		assert.Subset(t, []string{"run.toml"}, namesIn(t, folder), name)
	}
}

// Only what an ended process left long ago is swept.
func TestWhatIsSwept(t *testing.T) {
	folder := recordFolder(t)
	self, err := os.Executable()
	require.NoError(t, err)
	gone := exec.Command(self, "-test.run", "^$")
	require.NoError(t, gone.Run())
	now := time.Date(2026, 11, 28, 17, 10, 30, 0, time.UTC)
	var kept []string
	for _, row := range []struct {
		name  string
		age   time.Duration
		swept bool
	}{
		{fmt.Sprintf(".brothrun-%d-0", gone.Process.Pid), time.Hour, true},
		{fmt.Sprintf(".brothrun-%d-12", gone.Process.Pid), staleAfter + time.Second, true},
		{fmt.Sprintf(".brothrun-%d-1", gone.Process.Pid), staleAfter, false},
		{fmt.Sprintf(".brothrun-%d-2", gone.Process.Pid), -time.Hour, false},
		{fmt.Sprintf(".brothrun-%d-0", os.Getpid()), time.Hour, false},
		{fmt.Sprintf(".brothrun-%d-0", os.Getppid()), time.Hour, false},
		{fmt.Sprintf(".brothrun-%d", gone.Process.Pid), time.Hour, false},
		{fmt.Sprintf(".brothrun-%d-0.toml", gone.Process.Pid), time.Hour, false},
		{fmt.Sprintf("brothrun-%d-0", gone.Process.Pid), time.Hour, false},
		{".brothrun-0-0", time.Hour, false},
		{".brothrun-run-1", time.Hour, false},
		{"run.toml", time.Hour, false},
	} {
		path := writeRun(t, folder, row.name, "")
		require.NoError(t, os.Chtimes(path, time.Time{}, now.Add(-row.age)))
		if !row.swept {
			kept = append(kept, row.name)
		}
	}
	sweep(folder, now)
	assert.ElementsMatch(t, kept, namesIn(t, folder))
}

// Without a cache folder the lock stands in one that nobody else can enter.
func TestLockWithoutACache(t *testing.T) {
	path := writeRun(t, recordFolder(t), "run.toml", noted)
	blocked := writeRun(t, t.TempDir(), "file", "")
	for _, variable := range []string{"XDG_CACHE_HOME", "HOME", "LocalAppData"} {
		t.Setenv(variable, blocked)
	}
	temporary := t.TempDir()
	for _, variable := range []string{"TMPDIR", "TMP", "TEMP"} {
		t.Setenv(variable, temporary)
	}
	_, added, err := appendNote(path, remarkOf("a"))
	require.NoError(t, err)
	assert.True(t, added)
	own := filepath.Join(temporary, fmt.Sprintf("brothrun-%d", os.Getuid()))
	assert.Len(t, namesIn(t, own), 1)
	require.NoError(t, os.RemoveAll(own))
	require.NoError(t, os.WriteFile(own, nil, 0o600))
	_, _, err = appendNote(path, remarkOf("b"))
	assert.ErrorContains(t, err, "cannot lock ")
	assert.ErrorContains(t, err, "is open to others")
}

func TestNewNoteIDs(t *testing.T) {
	var run runfile.Run
	seen := map[string]bool{}
	for range 2000 {
		id := newNoteID(run)
		assert.Regexp(t, `^[b-df-hjkmnp-tv-z2-7]{6}$`, id)
		assert.False(t, seen[id], id)
		seen[id] = true
		run.Notes = append(run.Notes, runfile.Note{ID: id})
	}
}

// limitFileSize keeps this process from writing files beyond a size, in octets, as a
// full disk would; nil where there is no such thing.
var limitFileSize func(octets uint64)

// appendNotes is a command of its own: append-notes LIMIT FILE... appends the notes
// whose IDs it reads, by turns to the files, and repeats each ID once its note stands
// there. LIMIT is that of limitFileSize, 0 for none.
func appendNotes() {
	limit, err := strconv.ParseUint(os.Args[1], 10, 64)
	if err != nil || limit > 0 && limitFileSize == nil {
		os.Exit(exitUsage)
	}
	if limit > 0 {
		limitFileSize(limit)
	}
	ids := bufio.NewScanner(os.Stdin)
	for ids.Scan() {
		_, number, _ := strings.Cut(ids.Text(), "-")
		n, _ := strconv.Atoi(number)
		if _, _, err := appendNote(os.Args[2+n%(len(os.Args)-2)], remarkOf(ids.Text())); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(exitFailed)
		}
		fmt.Println(ids.Text())
	}
	os.Exit(exitDone)
}

// appender is appendNotes as a command, with the IDs it is to read.
func appender(t testing.TB, limit int, ids []string, files []string) *exec.Cmd {
	self, err := os.Executable()
	require.NoError(t, err)
	command := exec.Command(self, append([]string{strconv.Itoa(limit)}, files...)...)
	command.Args[0] = "append-notes" // by that name the test binary is appendNotes
	command.Stdin = strings.NewReader(strings.Join(ids, "\n"))
	return command
}

// Four processes note at once, and are killed again and again in the middle of it;
// what was not acknowledged is noted again under its ID. Whenever a note is
// acknowledged, and whenever a process was killed, each file reads as a run, and in the
// end every note stands there once.
func TestNotesOfProcessesThatAreKilled(t *testing.T) {
	const processes, files = 4, 20
	each := 500
	race := debug.BuildSetting{Key: "-race", Value: "true"}
	if built, ok := debug.ReadBuildInfo(); testing.Short() || ok && slices.Contains(built.Settings, race) {
		each = 60
	}
	folder := recordFolder(t)
	var paths []string
	for i := range files {
		paths = append(paths, writeRun(t, folder, fmt.Sprintf("run%02d.toml", i), noted))
	}
	reads := func(path string) runfile.Run {
		text, err := os.ReadFile(path)
		assert.NoError(t, err)
		run, err := runfile.DecodeRun(bytes.NewReader(text), path)
		assert.NoError(t, err)
		assert.True(t, strings.HasPrefix(string(text), noted))
		return run
	}
	var all sync.WaitGroup
	for p := range processes {
		random := rand.New(rand.NewPCG(13, uint64(p)))
		var ids []string
		for i := range each {
			ids = append(ids, fmt.Sprintf("%c-%d", 'a'+p, i))
		}
		all.Go(func() {
			for len(ids) > 0 {
				command := appender(t, 0, ids, paths)
				out, err := command.StdoutPipe()
				if !assert.NoError(t, err) || !assert.NoError(t, command.Start()) {
					return
				}
				last := 1 + random.IntN(each/5)
				acknowledged := 0
				for lines := bufio.NewScanner(out); lines.Scan(); acknowledged++ {
					assert.Equal(t, ids[acknowledged], lines.Text())
					if acknowledged == last {
						assert.NoError(t, command.Process.Kill())
					}
					reads(paths[random.IntN(files)])
				}
				err = command.Wait()
				assert.True(t, acknowledged > last || err == nil && acknowledged == len(ids),
					"%d acknowledged: %v", acknowledged, err)
				ids = ids[acknowledged:]
				if t.Failed() {
					return
				}
			}
		})
	}
	all.Wait()

	times := map[string]int{}
	for i, path := range paths {
		for _, note := range reads(path).Notes {
			assert.Equal(t, remarkOf(note.ID), note)
			_, number, _ := strings.Cut(note.ID, "-")
			n, _ := strconv.Atoi(number)
			assert.Equal(t, i, n%files, note.ID)
			times[note.ID]++
		}
	}
	assert.Len(t, times, processes*each)
	for id, n := range times {
		assert.Equal(t, 1, n, id)
	}
	left := 0
	for _, name := range namesIn(t, folder) {
		if strings.HasPrefix(name, temporaryPrefix) {
			left++
			long := time.Unix(0, 0)
			require.NoError(t, os.Chtimes(filepath.Join(folder, name), long, long))
		}
	}
	t.Logf("%d temporary files were left by what was killed", left)
	_, _, err := appendNote(paths[0], remarkOf("last"))
	require.NoError(t, err)
	assert.Len(t, namesIn(t, folder), files, "nothing is left over")
}

// BenchmarkAppendNoteToFile is a whole append to a run file with some notes, the lock
// and the disk included.
func BenchmarkAppendNoteToFile(b *testing.B) {
	folder := recordFolder(b)
	var text strings.Builder
	text.WriteString("kind = \"beef\"\nbones = \"9 lb\"\n")
	for i := range 20 {
		fmt.Fprintf(&text, "\n[[note]]\nid = \"n%d\"\nat = \"2026-11-28 17:10:30\"\nwhat = \"remark\"\nvalue = \"x\"\n", i)
	}
	for b.Loop() {
		b.StopTimer()
		path := writeRun(b, folder, "run.toml", text.String())
		b.StartTimer()
		if _, added, err := appendNote(path, remarkOf("k3v9tw")); err != nil || !added {
			b.Fatal(added, err)
		}
	}
}
