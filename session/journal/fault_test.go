package journal_test

import (
	"errors"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/session/journal"
)

// tail is what a power cut left behind the last line.
const tail = `{"seq":9,"kind":"piece.pl`

// work is a log made, written, closed, opened, repaired and written again, on a
// disk of which one operation fails. A failing handle is closed and the log
// opened anew, as the callers of the package do. After every append the power
// could go: what is left must hold what was acknowledged.
func (h *history) work() error {
	for part := range 3 {
		j, err := h.openAtLast()
		for _, n := range []int{1, 3, 2} {
			if err != nil {
				return err
			}
			if err = h.append(j, records(h.seq(), n, 20)); err != nil {
				if !errors.Is(err, journal.ErrDead) {
					return err
				}
				_ = j.Close() // the disk is failing
				j, err = h.openAtLast()
			}
			if lost := h.cutNow(); lost != nil {
				return lost
			}
		}
		if err != nil {
			return err
		}
		_ = j.Close() // loses nothing, whatever it says
		if part == 1 {
			h.disk.names[logPath].apply(change{at: len(h.disk.names[logPath].now), bytes: []byte(tail)})
		}
	}
	_, err := h.openAtLast()
	return err
}

// seq is the number of the next record.
func (h *history) seq() int { return len(h.acked) + 1 }

// append appends a batch, and holds the handle to it that after an error it
// does nothing any more.
func (h *history) append(j *journal.Journal, batch []journal.Record) error {
	err := j.Append(batch...)
	if err == nil {
		h.acked = append(h.acked, batch...)
		return nil
	}
	h.begun = batch
	before := h.disk.ops
	if again := j.Append(batch...); !errors.Is(again, journal.ErrDead) || h.disk.ops != before {
		return fmt.Errorf("a dead handle tried again and said %v", again)
	}
	return err
}

// openAtLast opens the log. One failing operation may spoil one attempt, or,
// where the machine has stopped, all until it is started again.
func (h *history) openAtLast() (*journal.Journal, error) {
	for range 2 {
		if j, err := h.open(); j != nil || err != nil {
			return j, err
		}
		if h.disk.fault.kind == outOfWork && h.disk.ops >= h.disk.fault.at {
			h.disk = h.disk.killed()
		}
	}
	return nil, errors.New("a log on a disk that is sound again could not be opened")
}

// cutNow looks at what some power cuts at this moment would leave. The history
// goes on as if there had been none.
func (h *history) cutNow() error {
	for range 4 {
		after := history{rng: h.rng, disk: h.disk.cut(h.rng), fs: h.fs, created: h.created, acked: h.acked, begun: h.begun}
		if _, err := after.openAtLast(); err != nil {
			return fmt.Errorf("after a power cut: %w", err)
		}
	}
	return nil
}

// failEvery makes each operation of the work fail in turn, in each of the ways,
// and returns how many there were and what went wrong.
func failEvery(on func(*disk) journal.FS, kinds ...faultKind) (tried int, wrong []error) {
	for _, kind := range kinds {
		for k := 1; ; k++ {
			h := &history{rng: rand.New(rand.NewPCG(uint64(k), uint64(kind))), disk: newDisk(), fs: on}
			h.disk.arm(k, kind)
			if err := h.work(); err != nil {
				wrong = append(wrong, fmt.Errorf("operation %d failed (%d): %w", k, kind, err))
			}
			if h.disk.ops < k {
				break
			}
			tried++
		}
	}
	return tried, wrong
}

func TestEveryOperationFails(t *testing.T) {
	tried, wrong := failEvery(nil, noSpace, short, ioError, outOfWork, denied)
	t.Logf("%d failing operations", tried)
	require.Empty(t, wrong)
	assert.Greater(t, tried, int(faultKinds)*60, "create, append, close, open and repair")
}

// retrying is a disk whose fsync is tried once more when it fails. On Linux the
// second succeeds, and the data is lost.
type retrying struct{ *disk }

func (r retrying) OpenFile(name string, flag int, perm fs.FileMode) (journal.File, error) {
	f, err := r.disk.OpenFile(name, flag, perm)
	if err != nil {
		return nil, err
	}
	return retryingFile{f}, nil
}

type retryingFile struct{ journal.File }

func (f retryingFile) Sync() error {
	if f.File.Sync() == nil {
		return nil
	}
	return f.File.Sync()
}

// forgetful is a disk whose fsync does not say that it failed.
type forgetful struct{ *disk }

func (r forgetful) OpenFile(name string, flag int, perm fs.FileMode) (journal.File, error) {
	f, err := r.disk.OpenFile(name, flag, perm)
	if err != nil {
		return nil, err
	}
	return forgetfulFile{f}, nil
}

type forgetfulFile struct{ journal.File }

func (f forgetfulFile) Sync() error {
	_ = f.File.Sync() // what is to be found
	return nil
}

// The test above finds a journal that goes by a second fsync, and one that does
// not look at what fsync says.
func TestFailingOperationsFindWhatTrustsASecondFsync(t *testing.T) {
	for name, on := range map[string]func(*disk) journal.FS{
		"tried again": func(d *disk) journal.FS { return retrying{d} },
		"not heeded":  func(d *disk) journal.FS { return forgetful{d} },
	} {
		t.Run(name, func(t *testing.T) {
			_, wrong := failEvery(on, ioError)
			require.NotEmpty(t, wrong)
			assert.ErrorContains(t, errors.Join(wrong...), "records are lost")
			t.Logf("found in %d places", len(wrong))
		})
	}
}
