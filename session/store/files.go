package store

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strings"

	"github.com/gofrs/flock"

	"rinseby/session/journal"
)

const (
	liveFolder   = "live"
	closedFolder = "closed"
	marksFolder  = "marks"
	timesFolder  = "times"

	suffix      = ".jsonl"
	newSuffix   = ".jsonl.new" // of a log that is being brought in
	tornSuffix  = ".jsonl.torn-"
	timesSuffix = ".times"
	lockName    = ".lock"

	folderMode fs.FileMode = 0o700
	fileMode   fs.FileMode = 0o600
	others     fs.FileMode = 0o077 // bits that nobody else is to have
)

// path is where the log of a service is, in a folder of the store. The store's
// own is clean already.
func (s *Store) path(folder, id string) string { return s.dir + sep + folder + sep + id + suffix }

const sep = string(filepath.Separator)

// locate finds the file of a service.
func (s *Store) locate(id string) (path string, retired bool, err error) {
	if !isID(id) {
		return "", false, fmt.Errorf("%q: %w", id, ErrNotFound)
	}
	for _, folder := range []string{liveFolder, closedFolder} {
		path := s.path(folder, id)
		switch info, err := os.Lstat(path); {
		case err == nil && !info.Mode().IsRegular():
			return "", false, notRegular(path)
		case err == nil:
			return path, folder == closedFolder, nil
		case !errors.Is(err, fs.ErrNotExist):
			return "", false, fmt.Errorf("the service %s can't be looked for; check the folder's permissions: %w", id, err)
		}
	}
	return "", false, fmt.Errorf("%q: %w", id, ErrNotFound)
}

// lock waits for the turn to move files about. It is held for moments only.
func (s *Store) lock() (unlock func(), err error) {
	path := filepath.Join(s.dir, lockName)
	l := flock.New(path, flock.SetPermissions(fileMode))
	err = mayOpen(path)
	if err == nil {
		err = l.Lock()
	}
	if err != nil {
		return nil, fmt.Errorf("nothing can be changed in %s, only looked at; check the folder's permissions and the disk: %w", s.dir, err)
	}
	return func() { _ = l.Unlock() }, nil // the lock ends with the process at the latest
}

// hold takes the lock of a log, so that nobody runs the service. The store's
// own lock must be held. The error is a [journal.Busy] if somebody does.
func hold(path string) (release func(), err error) {
	if err := mayOpen(path + journal.LockSuffix); err != nil {
		return nil, err
	}
	l := flock.New(path+journal.LockSuffix, flock.SetPermissions(fileMode))
	switch ok, err := l.TryLock(); {
	case err != nil:
		return nil, fmt.Errorf("%s can't be locked; check the folder's permissions: %w", path, err)
	case !ok:
		return nil, &journal.Busy{Path: path, Holder: holder(path)}
	}
	return func() { _ = l.Unlock() }, nil
}

// runner tells who runs the service, or nil. The store's own lock must be
// held, lest somebody who is about to run it finds it busy.
func runner(path string) *journal.Holder {
	if _, err := os.Stat(path + journal.LockSuffix); err != nil {
		return nil
	}
	release, err := hold(path)
	if err == nil {
		release()
		return nil
	}
	var busy *journal.Busy
	if errors.As(err, &busy) {
		return &busy.Holder
	}
	return nil
}

// holder is what a lock file says, as far as it can be read.
func holder(path string) (h journal.Holder) {
	text, err := readBounded(path+journal.LockSuffix, maxHolder)
	if err != nil || json.Unmarshal(text, &h) != nil {
		return journal.Holder{}
	}
	return h
}

// notRegular says that something else stands where a file should.
func notRegular(path string) error {
	return fmt.Errorf("%s is no file, but a folder, a link, a pipe or the like: move it elsewhere", path)
}

// mayOpen is an error if something else than a file stands there, which to open
// might wait for ever.
func mayOpen(path string) error {
	if info, err := os.Lstat(path); err == nil && !info.Mode().IsRegular() {
		return notRegular(path)
	}
	return nil
}

// Bounds of what is read, in bytes, far above what is ever written: of a lock
// file, of the index, of another file of the summary.
const (
	maxHolder = 4 << 10
	maxIndex  = 256 << 20
	maxKept   = 16 << 20
)

// readBounded reads a file of at most so many bytes.
func readBounded(path string, most int64) ([]byte, error) {
	switch info, err := os.Lstat(path); {
	case err != nil:
		return nil, err
	case !info.Mode().IsRegular():
		return nil, notRegular(path)
	case info.Size() > most:
		return nil, fmt.Errorf("%s is larger than %d bytes: move it elsewhere", path, most)
	}
	return os.ReadFile(path)
}

// openRegular opens a file for reading, if it is one.
func openRegular(path string) (*os.File, error) {
	if err := mayOpen(path); err != nil {
		return nil, err
	}
	return os.Open(path)
}

// move puts a log, with what was set aside from it, into the other folder, and
// makes that durable. The store's own lock must be held, and nobody may run
// the service.
func (s *Store) move(id, from, to string) error {
	source, target := s.path(from, id), s.path(to, id)
	if _, err := os.Lstat(target); err == nil {
		return fmt.Errorf("the service %s is in both %s and %s: look at both files and take one away", id, from, to)
	}
	if err := os.Rename(source, target); err != nil {
		return fmt.Errorf("the service %s can't be moved to %s; check the folder's permissions: %w", id, to, err)
	}
	names, err := os.ReadDir(filepath.Join(s.dir, from))
	for _, n := range names {
		if strings.HasPrefix(n.Name(), id+tornSuffix) {
			err = errors.Join(err, os.Rename(filepath.Join(s.dir, from, n.Name()), filepath.Join(s.dir, to, n.Name())))
		}
	}
	if gone := os.Remove(source + journal.LockSuffix); gone != nil && !errors.Is(gone, fs.ErrNotExist) {
		err = errors.Join(err, gone)
	}
	if err = errors.Join(err, syncFolder(filepath.Join(s.dir, to)), syncFolder(filepath.Join(s.dir, from))); err != nil {
		return fmt.Errorf("the service %s was moved to %s, but not all went well; check the disk: %w", id, to, err)
	}
	return nil
}

// makeFolder makes a folder, and those above it, with mode 0700, and makes
// their names durable.
func makeFolder(path string) error {
	switch info, err := os.Stat(path); {
	case err == nil && !info.IsDir():
		return fmt.Errorf("%s is a file: %w", path, fs.ErrExist)
	case err == nil:
		return nil
	case !errors.Is(err, fs.ErrNotExist):
		return err
	}
	above := filepath.Dir(path)
	if above != path {
		if err := makeFolder(above); err != nil {
			return err
		}
	}
	if err := os.Mkdir(path, folderMode); err != nil && !errors.Is(err, fs.ErrExist) {
		return err
	}
	return syncFolder(above)
}

// syncFolder makes the names in a folder durable.
func syncFolder(path string) error {
	if runtime.GOOS == "windows" {
		return nil // folders can't be synced there
	}
	d, err := os.Open(path)
	if err != nil {
		return err
	}
	return errors.Join(d.Sync(), d.Close())
}

// writeFile writes a file anew and makes its contents durable.
func writeFile(path string, data []byte) error {
	f, err := os.OpenFile(path, os.O_CREATE|os.O_WRONLY|os.O_TRUNC, fileMode)
	if err != nil {
		return err
	}
	_, err = f.Write(data)
	if err == nil {
		err = f.Sync()
	}
	return errors.Join(err, f.Close())
}

// wide reports whether others than the owner may read or write the file.
func wide(info fs.FileInfo) bool { return runtime.GOOS != "windows" && info.Mode().Perm()&others != 0 }

// narrow takes the permissions of others away. What it can't change stays for
// [Store.List] to tell.
func narrow(path string, info fs.FileInfo) {
	if wide(info) {
		_ = os.Chmod(path, info.Mode().Perm()&^others)
	}
}

// A role is what a file in one of the folders is.
type role int

const (
	stranger role = iota
	service
	beside // a service: its lock, a torn tail
	draft  // of a service that was not brought in to the end
)

// roleOf tells by its name what a file is, and to which service it belongs.
func roleOf(name string) (id string, r role) {
	id, rest, _ := strings.Cut(name, ".")
	switch rest = "." + rest; {
	case !isID(id):
		return "", stranger
	case rest == suffix:
		return id, service
	case rest == newSuffix:
		return id, draft
	case rest == suffix+journal.LockSuffix, strings.HasPrefix(rest, tornSuffix):
		return id, beside
	}
	return "", stranger
}
