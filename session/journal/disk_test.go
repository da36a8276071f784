package journal_test

import (
	"io"
	"io/fs"
	"math/rand/v2"
	"path/filepath"
	"sync"
	"syscall"

	"rinseby/session/journal"
)

// disk is a file system in memory that tells what processes see from what
// would be left after a power cut, and that fails where it is told to.
type disk struct {
	mu    sync.Mutex
	names map[string]*inode // as processes see them
	kept  map[string]*inode // that a power cut leaves
	locks map[string]bool
	ops   int
	fault fault
	// lazy makes every fsync succeed without doing anything: the control that
	// shows that the crash test can find a loss.
	lazy bool
}

type inode struct {
	now     []byte
	safe    []byte
	pending []change // since the last fsync
}

// change is a write of bytes at an offset or, without bytes, a cut to it.
type change struct {
	at    int
	bytes []byte
}

// fault fails the operation number at, counted from 1.
type fault struct {
	at   int
	kind faultKind
}

type faultKind int

const (
	noSpace   faultKind = iota // half of a write is done
	short                      // the same, without saying so
	ioError                    // nothing is done; a failed fsync forgets its data, as Linux does
	outOfWork                  // from here on nothing works: the process or the machine has stopped
	denied                     // permission
	faultKinds
)

func newDisk() *disk {
	return &disk{names: map[string]*inode{}, kept: map[string]*inode{}, locks: map[string]bool{}}
}

// arm makes the n-th operation from now fail.
func (d *disk) arm(n int, kind faultKind) { d.fault = fault{at: d.ops + n, kind: kind} }

// step counts an operation and reports whether it is to fail.
func (d *disk) step() (error, faultKind) {
	d.ops++
	hit := d.ops == d.fault.at || d.fault.kind == outOfWork && d.fault.at > 0 && d.ops > d.fault.at
	switch {
	case !hit:
		return nil, 0
	case d.fault.kind == noSpace || d.fault.kind == short:
		return syscall.ENOSPC, d.fault.kind
	case d.fault.kind == denied:
		return fs.ErrPermission, denied
	}
	return syscall.EIO, d.fault.kind
}

func (d *disk) OpenFile(name string, flag int, _ fs.FileMode) (journal.File, error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	if err, _ := d.step(); err != nil {
		return nil, &fs.PathError{Op: "open", Path: name, Err: err}
	}
	n := d.names[name]
	switch {
	case n == nil && flag&syscall.O_CREAT == 0:
		return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrNotExist}
	case n != nil && flag&syscall.O_EXCL != 0:
		return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrExist}
	case n == nil:
		n = &inode{}
		d.names[name] = n
	}
	if flag&syscall.O_TRUNC != 0 {
		n.apply(change{})
	}
	return &handle{disk: d, inode: n, appends: flag&syscall.O_APPEND != 0}, nil
}

func (d *disk) Remove(name string) error {
	d.mu.Lock()
	defer d.mu.Unlock()
	if err, _ := d.step(); err != nil {
		return err
	}
	delete(d.names, name)
	return nil
}

func (d *disk) SyncDir(dir string) error {
	d.mu.Lock()
	defer d.mu.Unlock()
	if err, _ := d.step(); err != nil {
		return err
	}
	if d.lazy {
		return nil
	}
	for name, n := range d.names {
		if filepath.Dir(name) == dir {
			d.kept[name] = n
		}
	}
	return nil
}

func (d *disk) TryLock(name string) (func() error, bool, error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	if err, _ := d.step(); err != nil {
		return nil, false, err
	}
	if d.locks[name] {
		return nil, false, nil
	}
	if d.names[name] == nil {
		d.names[name] = &inode{}
	}
	d.locks[name] = true
	return func() error {
		d.mu.Lock()
		defer d.mu.Unlock()
		delete(d.locks, name)
		return nil
	}, true, nil
}

// killed is the disk after the process was killed: all that was written is
// there to see, and some of it is not safe yet.
func (d *disk) killed() *disk {
	d.locks, d.fault = map[string]bool{}, fault{}
	return d
}

// cut is a disk as a power cut may leave it: of what was not synced all, none
// or a part of it is there, perhaps with zeros behind.
func (d *disk) cut(rng *rand.Rand) *disk {
	after := newDisk()
	after.lazy = d.lazy
	names := map[string]*inode{}
	for name, n := range d.kept {
		names[name] = n
	}
	for _, name := range sortedNames(d.names) {
		if d.kept[name] == nil && rng.IntN(2) == 0 {
			names[name] = d.names[name]
		}
	}
	for _, name := range sortedNames(names) {
		n := names[name]
		left := &inode{now: append([]byte(nil), n.safe...)}
		for _, c := range n.pending[:rng.IntN(len(n.pending)+1)] {
			left.apply(c)
		}
		if done := len(left.pending); done < len(n.pending) {
			left.tear(n.pending[done], rng)
		}
		left.safe, left.pending = append([]byte(nil), left.now...), nil
		after.names[name], after.kept[name] = left, left
	}
	return after
}

// tear does none of a write, half or all of it, or tears it at any byte, and
// perhaps fills the file up to where it would have ended with zeros. A cut is
// done or not.
func (n *inode) tear(c change, rng *rand.Rand) {
	share := rng.IntN(4)
	if c.bytes == nil {
		if share > 0 {
			n.apply(c)
		}
		return
	}
	done := len(c.bytes) * share / 2
	if share == 3 {
		done = rng.IntN(len(c.bytes) + 1)
	}
	if done > 0 {
		n.apply(change{at: c.at, bytes: c.bytes[:done]})
	}
	if gap := c.at + len(c.bytes) - len(n.now); gap > 0 && rng.IntN(3) == 0 {
		n.now = append(n.now, make([]byte, gap)...)
	}
}

func (n *inode) apply(c change) {
	n.now = c.applied(n.now)
	n.pending = append(n.pending, c)
}

// applied makes the change to b and returns it.
func (c change) applied(b []byte) []byte {
	if c.bytes == nil {
		return b[:min(c.at, len(b))]
	}
	if gap := c.at + len(c.bytes) - len(b); gap > 0 {
		b = append(b, make([]byte, gap)...)
	}
	copy(b[c.at:], c.bytes)
	return b
}

// handle is an open file.
type handle struct {
	disk    *disk
	inode   *inode
	appends bool
	at      int
}

func (h *handle) Read(b []byte) (int, error) {
	h.disk.mu.Lock()
	defer h.disk.mu.Unlock()
	if err, _ := h.disk.step(); err != nil {
		return 0, err
	}
	n := copy(b, h.inode.now[min(h.at, len(h.inode.now)):])
	if h.at += n; n == 0 && len(b) > 0 {
		return 0, io.EOF
	}
	return n, nil
}

func (h *handle) Write(b []byte) (int, error) {
	h.disk.mu.Lock()
	defer h.disk.mu.Unlock()
	err, kind := h.disk.step()
	done := len(b)
	if err != nil {
		done = map[faultKind]int{noSpace: len(b) / 2, short: len(b) / 2, outOfWork: len(b)}[kind]
	}
	if h.appends {
		h.at = len(h.inode.now)
	}
	if done > 0 {
		h.inode.apply(change{at: h.at, bytes: append([]byte(nil), b[:done]...)})
	}
	h.at += done
	if kind == short {
		err = nil
	}
	return done, err
}

func (h *handle) Truncate(size int64) error {
	h.disk.mu.Lock()
	defer h.disk.mu.Unlock()
	if err, _ := h.disk.step(); err != nil {
		return err
	}
	h.inode.apply(change{at: int(size)})
	return nil
}

func (h *handle) Sync() error {
	h.disk.mu.Lock()
	defer h.disk.mu.Unlock()
	err, kind := h.disk.step()
	switch {
	case err != nil && kind == outOfWork:
		return err
	case err != nil:
		h.inode.pending = nil
		return err
	case h.disk.lazy:
		return nil
	}
	for _, c := range h.inode.pending {
		h.inode.safe = c.applied(h.inode.safe)
	}
	h.inode.pending = nil
	return nil
}

// Close may fail, and the file is closed all the same, as on Linux.
func (h *handle) Close() error {
	h.disk.mu.Lock()
	defer h.disk.mu.Unlock()
	err, _ := h.disk.step()
	return err
}
