package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"

	"github.com/gofrs/flock"
)

// The folders of practice, and the file in each whose lock says that a process
// still holds it.
const (
	lentFolder = "rinseby-practice-"
	lentLock   = "held"
)

// lend makes a folder below dir, and what takes it away again. A process that
// is killed leaves it behind, for the next [sweepAway].
func lend(dir string) (folder string, gone func(), err error) {
	for range 1000 { // another one may sweep it away before it is held
		if folder, err = os.MkdirTemp(dir, lentFolder); err != nil {
			return "", nil, fmt.Errorf("practice needs a folder, and %s can't hold one (%w): free some space, or set TMPDIR", dir, cause(err))
		}
		held := flock.New(filepath.Join(folder, lentLock))
		ok, lockErr := held.TryLock()
		if _, missing := os.Lstat(held.Path()); lockErr == nil && (!ok || missing != nil) {
			_ = held.Close()
			continue
		}
		// Where files can't be locked practice goes on all the same.
		return folder, func() {
			away := folder + "-gone" // so that what still works beside the screens finds nothing to write to
			if os.Rename(folder, away) != nil {
				away = folder
			}
			remove(away, held)
		}, nil
	}
	return "", nil, errors.New("practice found no folder of its own: try again")
}

// sweepAway takes away what was lent below dir by processes that are gone.
func sweepAway(dir string) {
	folders, _ := filepath.Glob(filepath.Join(dir, lentFolder+"*"))
	for _, folder := range folders {
		path := filepath.Join(folder, lentLock)
		if !owned(folder, fs.ModeDir|0o700) || !owned(path, 0) {
			continue
		}
		held := flock.New(path, flock.SetFlag(os.O_RDWR))
		if ok, err := held.TryLock(); ok && err == nil {
			remove(folder, held)
		}
	}
}

// remove takes a folder away while it is held, so that nobody begins there. If
// that fails, the next sweep tries again.
func remove(folder string, held *flock.Flock) {
	_ = os.RemoveAll(folder)
	_ = held.Close()
	_ = os.RemoveAll(folder) // where a file that is open stays
}

// owned reports whether there is a file of that type, and with those
// permissions if they are given; no link, and nothing that opening waits for.
func owned(path string, mode fs.FileMode) bool {
	info, err := os.Lstat(path)
	if err != nil || info.Mode().Type() != mode.Type() {
		return false
	}
	return mode.Perm() == 0 || info.Mode().Perm() == mode.Perm() || runtime.GOOS == "windows" // which tells no permissions
}
