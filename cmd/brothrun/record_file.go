package main

import (
	"crypto/rand"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"syscall"
	"time"

	"github.com/rogpeppe/go-internal/lockedfile"

	"brothrun/cmd/brothrun/order"
	"brothrun/stock/runfile"
)

// errChanged says that a file is no longer what was read.
var errChanged = errors.New("another program changed it meanwhile")

// mostTries is how often a note is added anew to a file that others change.
const mostTries = 5

// change makes of the run file at path, which may be a link to it, what edit makes of
// it; nothing is written where that is no longer than it was. At any moment the file is
// the old one or the new one, and the new one is on the disk when then is called, which
// may be nil. After an error of change the file is the old one, unless the error is that
// of a disk that fails once the new one is in place.
//
// Of the processes and goroutines of one user, one changes a file at a time, until then
// returns, and the others wait. What a program that does not wait, such as an editor,
// saves until just before the new file takes the place is read again, and edited anew.
func change(path string, edit func(old []byte) ([]byte, error), then func()) error {
	target, err := targetOf(path, true)
	if err != nil {
		return err
	}
	unlock, err := lock(target)
	if err != nil {
		return fmt.Errorf("cannot lock %s: %w", path, err)
	}
	defer unlock()
	sweep(filepath.Dir(target), time.Now())
	for range mostTries {
		err = changeLocked(output{path: path, target: target}, edit)
		if errors.Is(err, errChanged) {
			continue
		}
		if err == nil && then != nil {
			then()
		}
		return err
	}
	return fmt.Errorf("cannot write %s: %w", path, err)
}

// changeLocked is change for who holds the lock; errChanged when the file was changed
// all the same.
func changeLocked(file output, edit func(old []byte) ([]byte, error)) error {
	old, info, err := readToReplace(file)
	if err != nil {
		return err
	}
	data, err := edit(old)
	if err != nil {
		return err
	}
	if len(data) > len(old) {
		if err := replace(file, info, data); err != nil {
			return err
		}
	}
	// Who wrote a note that is known already may have been ended before this.
	if err := flushFolder(filepath.Dir(file.target)); err != nil {
		return fmt.Errorf("cannot write %s: %w", file.path, err)
	}
	return nil
}

// lock waits for the lock of a file, which is another file: to replace one would
// give those who wait for it the lock of what is no longer there. It stands in the
// user's cache folder or, where it cannot, in a temporary folder of the user's own.
func lock(target string) (unlock func(), err error) {
	// Where upper and lower case are one, names that differ in it are one file;
	// elsewhere two files share a lock, which does no harm.
	name := fmt.Sprintf("%x", sha256.Sum256([]byte(strings.ToLower(target))))
	if cache, err := os.UserCacheDir(); err == nil {
		folder := filepath.Join(cache, "brothrun", "locks")
		if os.MkdirAll(folder, 0o700) == nil {
			if unlock, err := lockedfile.MutexAt(filepath.Join(folder, name)).Lock(); err == nil {
				return unlock, nil
			}
		}
	}
	folder := filepath.Join(os.TempDir(), fmt.Sprintf("brothrun-%d", os.Getuid()))
	if err := os.Mkdir(folder, 0o700); err != nil && !errors.Is(err, fs.ErrExist) {
		return nil, err
	}
	// Others can make a folder, or a link, of that name too.
	info, err := os.Lstat(folder)
	if err != nil {
		return nil, err
	}
	if !info.IsDir() || runtime.GOOS != "windows" && info.Mode().Perm()&0o077 != 0 {
		return nil, fmt.Errorf("%s is open to others; remove it", folder)
	}
	return lockedfile.MutexAt(filepath.Join(folder, name)).Lock()
}

// staleAfter is how old a temporary file is at least when it is swept: longer than
// any write takes, for the process may be one of another machine or container, where
// its number says nothing; common practice, no source.
const staleAfter = 10 * time.Minute

// sweep removes the temporary files that ended processes left in a folder.
func sweep(folder string, now time.Time) {
	entries, err := os.ReadDir(folder)
	if err != nil {
		return // what is wrong with it shows on writing
	}
	for _, entry := range entries {
		rest, ours := strings.CutPrefix(entry.Name(), temporaryPrefix)
		process, number, _ := strings.Cut(rest, "-")
		id, err := strconv.ParseUint(process, 10, 31)
		_, wrong := strconv.ParseUint(number, 10, 31)
		if !ours || err != nil || wrong != nil || id == 0 || !entry.Type().IsRegular() {
			continue
		}
		if info, err := entry.Info(); err == nil && now.Sub(info.ModTime()) > staleAfter && ended(int(id)) {
			os.Remove(filepath.Join(folder, entry.Name()))
		}
	}
}

// ended reports whether there is no process of that number; false where that cannot
// be told.
func ended(id int) bool {
	process, err := os.FindProcess(id)
	if err != nil { // on Windows, which asks for it by name
		return !errors.Is(err, fs.ErrPermission)
	}
	defer process.Release()
	return errors.Is(process.Signal(syscall.Signal(0)), os.ErrProcessDone)
}

// readToReplace reads a file that is to be replaced.
func readToReplace(from output) ([]byte, fs.FileInfo, error) {
	file, info, err := openToReplace(from)
	if err != nil {
		return nil, nil, err
	}
	defer file.Close()
	data, err := io.ReadAll(io.LimitReader(file, runfile.MaxSize+1))
	return data, info, err
}

// openToReplace opens a file that is to be replaced: one that could be written in
// place, for what a cook protected is not to be changed by way of its folder.
func openToReplace(from output) (*os.File, fs.FileInfo, error) {
	file, err := os.OpenFile(from.target, os.O_RDWR, 0)
	switch {
	case errors.Is(err, fs.ErrPermission):
		return nil, nil, fmt.Errorf("%s is read-only", from.path)
	case err != nil:
		return nil, nil, order.Missing(err)
	}
	info, err := file.Stat()
	if err == nil && info.Mode().Perm()&0o222 == 0 { // to root it opens all the same
		err = fmt.Errorf("%s is read-only", from.path)
	}
	if err != nil {
		file.Close()
		return nil, nil, err
	}
	return file, info, nil
}

// replace puts data in the place of a file that is still as it was when it was read,
// and is errChanged of another.
func replace(file output, read fs.FileInfo, data []byte) error {
	files := temporaries{names: make([]string, 1), flushed: true}
	defer files.remove()
	defer files.removeOnSignal()()
	if err := files.writeBeside(0, file, data); err != nil {
		return err
	}
	files.Lock() // a signal comes before the file is in its place or after
	defer files.Unlock()
	now, err := os.Stat(file.target)
	if err != nil || !os.SameFile(read, now) || read.Size() != now.Size() || !read.ModTime().Equal(now.ModTime()) {
		return errChanged
	}
	if err := putInPlace(files.names[0], file.target, true); err != nil {
		return fmt.Errorf("cannot write %s: %w", file.path, err)
	}
	return nil
}

// flushFolder brings the names of a folder to the disk. Some systems have no such
// thing or do not let everybody; only a disk that fails is an error.
func flushFolder(path string) error {
	folder, err := os.Open(path)
	if err != nil {
		return nil
	}
	defer folder.Close()
	if err := folder.Sync(); errors.Is(err, syscall.EIO) {
		return err
	}
	return nil
}

// newNoteID is a name for a note that no other of the run has: six letters and
// digits that are not taken for one another, and make no words.
func newNoteID(run runfile.Run) string {
	for {
		id := strings.Map(func(r rune) rune {
			if strings.ContainsRune("aeioul", r) { // there are no 0 and 1 in it
				return -1
			}
			return r
		}, strings.ToLower(rand.Text()))
		if len(id) < 6 {
			continue
		}
		id = id[:6]
		if !slices.ContainsFunc(run.Notes, func(n runfile.Note) bool { return n.ID == id }) {
			return id
		}
	}
}
