package journal

import (
	"io"
	"io/fs"
	"os"
	"runtime"

	"github.com/gofrs/flock"
)

// FS is the little of a file system that a log needs. The system's own is the
// default; [WithFS] puts another one in its place.
type FS interface {
	// OpenFile is like [os.OpenFile].
	OpenFile(name string, flag int, perm fs.FileMode) (File, error)
	// Remove is like [os.Remove].
	Remove(name string) error
	// SyncDir makes the names in the folder durable.
	SyncDir(name string) error
	// TryLock takes the lock of the file name, creating it with mode 0600 if
	// need be, and does not wait. It reports false if another one has it. The
	// lock ends with release or with the process.
	TryLock(name string) (release func() error, ok bool, err error)
}

// File is an open file of an [FS].
type File interface {
	io.ReadWriteCloser
	Truncate(size int64) error
	// Sync returns when all that was written is durable.
	Sync() error
}

// osFS is the file system of the machine.
type osFS struct{}

func (osFS) OpenFile(name string, flag int, perm fs.FileMode) (File, error) {
	f, err := os.OpenFile(name, flag, perm)
	if err != nil {
		return nil, err // not f: a nil *os.File would make a File that is not nil
	}
	return f, nil
}

func (osFS) Remove(name string) error { return os.Remove(name) }

func (osFS) SyncDir(name string) error {
	if runtime.GOOS == "windows" {
		return nil // folders can't be synced there
	}
	d, err := os.Open(name)
	if err != nil {
		return err
	}
	if err := d.Sync(); err != nil {
		_ = d.Close() // the fsync's error is the one that matters
		return err
	}
	return d.Close()
}

func (osFS) TryLock(name string) (func() error, bool, error) {
	l := flock.New(name, flock.SetPermissions(0o600))
	ok, err := l.TryLock()
	return l.Unlock, ok, err
}
