package journal

import (
	"errors"
	"fmt"
	"io/fs"
	"syscall"
)

// What may be wrong with a log, or with the way it is used.
var (
	// ErrCorrupt says that a complete line is not what was written. It comes
	// as a [*Damage].
	ErrCorrupt = errors.New("the log is damaged")
	// ErrTorn says that the log ends in an unfinished line. It comes as a
	// [*Tail].
	ErrTorn = errors.New("the log ends in an unfinished line")
	// ErrNewer says that the log has a later format than this package knows.
	ErrNewer = errors.New("the log was written by a newer rinseby")
	// ErrNotOurs says that the file is no log of rinseby's.
	ErrNotOurs = errors.New("this file is not a log written by rinseby; choose another file")
	// ErrEmpty says that not even the first record is there, as when the
	// machine stopped while the log was being created.
	ErrEmpty = errors.New("the log holds no record yet, so nothing was saved in it; remove the file and start the service again")
	// ErrTooLarge says that a log is longer than [MaxSize], or would be.
	ErrTooLarge = errors.New("that is more than the 64 MiB that a log may have; close this service and start a new one, or choose another file")
	// ErrInvalid says that a record can't be written as it was given.
	ErrInvalid = errors.New("the record cannot be written")
	// ErrDead says that a write or fsync of this handle failed.
	ErrDead = errors.New("the log can be written no more; close it, open it again and see what it holds")
	// ErrClosed says that the handle was closed.
	ErrClosed = errors.New("the log was closed; open it again")
	// ErrBusy says that another process writes the log. It comes as a [*Busy].
	ErrBusy = errors.New("the service is being run elsewhere")
)

// Damage is the place of the first complete line that is not what was written.
// It wraps [ErrCorrupt].
type Damage struct {
	Line   int   // counted from 1; the records before it, Line-1 of them, are intact
	Offset int64 // of the line's first byte in the file
	Why    string
}

func (d *Damage) Error() string {
	return fmt.Sprintf("line %d of the log (at byte %d) is damaged: %s; nothing was changed, so put a good copy of the file in its place, or go on from the lines before it",
		d.Line, d.Offset, d.Why)
}

// Unwrap makes a Damage an [ErrCorrupt].
func (d *Damage) Unwrap() error { return ErrCorrupt }

// Tail is what stands behind the last newline of a log: the beginning of a
// write that was never acknowledged, or a line that is being written right
// now. As an error it wraps [ErrTorn].
type Tail struct {
	Line   int   // counted from 1
	Offset int64 // of its first byte in the file
	Size   int64 // in bytes

	bytes []byte
}

func (t *Tail) Error() string {
	return fmt.Sprintf("line %d of the log (at byte %d, %d bytes) is unfinished, as a power cut leaves it; all before it is whole, and going on with the service sets it aside",
		t.Line, t.Offset, t.Size)
}

// Unwrap makes a Tail an [ErrTorn].
func (t *Tail) Unwrap() error { return ErrTorn }

// advise puts into words what to do about an error of the file system.
func advise(path string, err error) error {
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return fmt.Errorf("there is no log %s, or no such folder; check the name: %w", path, err)
	case errors.Is(err, fs.ErrExist):
		return fmt.Errorf("there is a file %s already; open it, or choose another name: %w", path, err)
	case errors.Is(err, fs.ErrPermission), errors.Is(err, syscall.EROFS):
		return fmt.Errorf("%s, or its folder, may not be read or written by you; change the permissions, or only watch the service: %w", path, err)
	}
	return fmt.Errorf("%s cannot be used; check the disk: %w", path, err)
}
