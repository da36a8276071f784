package journal

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"sync"
)

// maxTorn bounds how many torn tails of one log are kept beside it.
const maxTorn = 1000

// An Option changes how a log is opened.
type Option func(*options)

type options struct {
	fs     FS
	holder Holder
}

// WithFS makes the log live on the given file system, not the machine's.
func WithFS(f FS) Option { return func(o *options) { o.fs = f } }

// WithHolder says who writes the log, for those who find it busy.
func WithHolder(h Holder) Option { return func(o *options) { o.holder = h } }

func choose(opts []Option) options {
	o := options{fs: osFS{}}
	for _, opt := range opts {
		opt(&o)
	}
	return o
}

// Journal is a log that is open for writing. Its methods may be called from
// several goroutines.
type Journal struct {
	path   string
	repair *Repair

	mu      sync.Mutex
	file    File
	release func() error // the lock
	seq     int          // of the last record
	sum     uint32       // its checksum
	size    int64        // of what was acknowledged, in bytes
	dead    error        // why nothing may be written any more
}

// Repair says what [Open] cut off the end of a log.
type Repair struct {
	Tail  Tail
	Saved string // the file that holds a copy of what was cut
}

func (r *Repair) String() string {
	return fmt.Sprintf("the last line of the log was unfinished, as a power cut leaves it; its %d bytes were set aside in %s", r.Tail.Size, r.Saved)
}

// Create makes a new log at path, with mode 0600, and takes its lock. The
// folder must exist. The error is a [*Busy], or wraps [fs.ErrExist] if there
// is such a file, or another error of the file system.
func Create(path string, opts ...Option) (*Journal, error) {
	o := choose(opts)
	release, err := lock(path, o)
	if err != nil {
		return nil, err
	}
	f, err := o.fs.OpenFile(path, os.O_CREATE|os.O_EXCL|os.O_RDWR|os.O_APPEND, 0o600)
	if err != nil {
		return nil, errors.Join(advise(path, err), release())
	}
	if err := o.fs.SyncDir(filepath.Dir(path)); err != nil {
		return nil, errors.Join(advise(path, err), f.Close(), o.fs.Remove(path), release())
	}
	return &Journal{path: path, file: f, release: release, sum: genesis}, nil
}

// Open opens the log at path for writing, takes its lock, and returns the
// records in it. A torn tail is copied to a file beside the log, named like it
// with ".torn-1" (or -2 …) added, and then cut off; [Journal.Repaired] tells.
//
// The error is a [*Busy], or one of those that [Read] returns save for the
// tail, or of the file system. Nothing is changed then, unless the repair
// itself failed: the log is cut only once the copy is safe.
func Open(path string, opts ...Option) (*Journal, []Record, error) {
	o := choose(opts)
	f, err := o.fs.OpenFile(path, os.O_RDWR|os.O_APPEND, 0)
	if err != nil {
		return nil, nil, advise(path, err)
	}
	release, err := lock(path, o)
	if err != nil {
		return nil, nil, errors.Join(err, f.Close())
	}
	j := &Journal{path: path, file: f, release: release}
	recs, err := j.recover(o.fs)
	if err != nil {
		return nil, nil, errors.Join(fmt.Errorf("%s: %w", path, err), j.Close())
	}
	return j, recs, nil
}

// recover reads the log, repairs its tail, and makes durable what it holds.
func (j *Journal) recover(fsys FS) ([]Record, error) {
	c, err := load(j.file)
	if err != nil {
		return nil, err
	}
	if c.tail != nil {
		saved, err := setAside(fsys, j.path, c.tail.bytes)
		if err != nil {
			return nil, fmt.Errorf("the unfinished last line cannot be set aside, so it was left; check the disk: %w", err)
		}
		if err := j.file.Truncate(int64(len(c.lines))); err != nil {
			return nil, fmt.Errorf("the unfinished last line cannot be cut off; check the disk: %w", err)
		}
		j.repair = &Repair{Tail: *c.tail, Saved: saved}
	}
	if err := settle(fsys, j.path, c.lines); err != nil {
		return nil, fmt.Errorf("the log cannot be made safe on the disk; check the disk: %w", err)
	}
	j.seq, j.sum, j.size = len(c.recs), c.sum, int64(len(c.lines))
	return c.recs, nil
}

// settle makes the lines of the log at path durable. A process may have been
// killed between its write and its fsync, or its fsync may have failed, after
// which another one does nothing for the same bytes. So they are written once
// more, over themselves.
func settle(fsys FS, path string, lines []byte) error {
	f, err := fsys.OpenFile(path, os.O_WRONLY, 0)
	if err != nil {
		return err
	}
	return errors.Join(writeAll(f, lines), f.Close())
}

// setAside saves a torn tail in a new file beside the log.
func setAside(fsys FS, path string, tail []byte) (string, error) {
	for n := 1; n <= maxTorn; n++ {
		name := fmt.Sprintf("%s.torn-%d", path, n)
		f, err := fsys.OpenFile(name, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o600)
		if errors.Is(err, fs.ErrExist) {
			continue
		}
		if err != nil {
			return "", err
		}
		if err := errors.Join(writeAll(f, tail), f.Close()); err != nil {
			return "", err
		}
		return name, fsys.SyncDir(filepath.Dir(path))
	}
	return "", fmt.Errorf("there are %d such files beside %s already; move them away", maxTorn, path)
}

// writeAll hands all of b over in one write and makes it durable.
func writeAll(f File, b []byte) error {
	n, err := f.Write(b)
	if err == nil && n < len(b) {
		err = io.ErrShortWrite
	}
	if err != nil {
		return err
	}
	return f.Sync()
}

// Append adds the records, with one write and one fsync for all of them. They
// are safe when it returns nil. They must follow on in number and be as
// [Normalise] returns them; nothing about them is changed or filled in.
//
// [ErrInvalid] and [ErrTooLarge] mean that nothing was written, and the log
// can be used as before. Any error in writing makes the handle dead: it is
// returned, wrapped in [ErrDead], now and for every later Append.
func (j *Journal) Append(recs ...Record) error {
	j.mu.Lock()
	defer j.mu.Unlock()
	if j.dead != nil {
		return j.dead
	}
	if len(recs) == 0 {
		return nil
	}
	lines, sum, err := encode(recs, j.seq, j.sum, j.size)
	if err != nil {
		return err
	}
	if err := writeAll(j.file, lines); err != nil {
		// Take back what nobody was told is safe, lest a reader take it for
		// safe: after a failed fsync it may be nowhere but in memory.
		if cut := j.file.Truncate(j.size); cut != nil {
			err = fmt.Errorf("%w (and what was begun cannot be taken back: %w)", err, cut)
		}
		j.dead = fmt.Errorf("%w: %w", ErrDead, err)
		return j.dead
	}
	j.seq, j.sum, j.size = j.seq+len(recs), sum, j.size+int64(len(lines))
	return nil
}

// Close gives up the lock. All that was acknowledged is safe already, so an
// error of Close loses nothing. A second Close does nothing.
func (j *Journal) Close() error {
	j.mu.Lock()
	defer j.mu.Unlock()
	if j.file == nil {
		return nil
	}
	err := errors.Join(j.file.Close(), j.release())
	j.file, j.dead = nil, ErrClosed
	return err
}

// Seq is the number of the last record, or 0 in a new log.
func (j *Journal) Seq() int {
	j.mu.Lock()
	defer j.mu.Unlock()
	return j.seq
}

// Path is where the log is.
func (j *Journal) Path() string { return j.path }

// Repaired says what Open cut off, or is nil if the log was whole.
func (j *Journal) Repaired() *Repair { return j.repair }
