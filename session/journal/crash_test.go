package journal_test

import (
	"errors"
	"flag"
	"fmt"
	"io/fs"
	"maps"
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/session/journal"
)

var crashImages = flag.Int("crashimages", 150, "how many seeded histories of crashes to try, of 200 records each; by the first 125 each control is found")

const (
	logPath     = "/services/tove.log"
	crashEvents = 200  // that are acknowledged before a history ends
	crashLives  = 2000 // of processes, by which a history must have come to its end
)

// history is one random life of a log: processes that append, are killed, lose
// power and meet failing disks, each followed by another.
type history struct {
	rng     *rand.Rand
	disk    *disk
	fs      func(*disk) journal.FS // nil for the disk as it is
	created bool
	acked   []journal.Record // that nothing may lose
	begun   []journal.Record // whose Append failed: they may be there or not
	cuts    int
	torn    int // tails that were set aside
}

// on is the file system that the log is on.
func (h *history) on() journal.Option {
	if h.fs != nil {
		return journal.WithFS(h.fs(h.disk))
	}
	return journal.WithFS(h.disk)
}

// live goes through the history and says what was lost, if anything.
func (h *history) live() error {
	for lives := 0; len(h.acked) < crashEvents; lives++ {
		if lives == crashLives {
			return fmt.Errorf("the log does not go on: %d records after %d processes", len(h.acked), lives)
		}
		switch h.rng.IntN(4) {
		case 0, 1:
			h.disk.arm(1+h.rng.IntN(40), outOfWork)
		case 2:
			h.disk.arm(1+h.rng.IntN(40), faultKind(h.rng.IntN(int(faultKinds))))
		}
		if err := h.process(); err != nil {
			return err
		}
		if h.rng.IntN(3) == 0 {
			h.disk = h.disk.killed()
			continue
		}
		h.cuts++
		h.disk = h.disk.cut(h.rng)
	}
	j, err := h.open()
	if err == nil && j == nil {
		err = errors.New("a log on a sound disk could not be opened")
	}
	return err
}

// process opens the log, and appends to it until it fails or has had enough.
// It may open it again after a failure.
func (h *history) process() error {
	j, err := h.open()
	for j != nil && err == nil && h.rng.IntN(12) > 0 {
		batch := records(len(h.acked)+1, 1+h.rng.IntN(4), h.rng.IntN(900))
		if aerr := j.Append(batch...); aerr == nil {
			h.acked = append(h.acked, batch...)
			continue
		} else if !errors.Is(aerr, journal.ErrDead) {
			return aerr
		}
		h.begun = batch
		if again := j.Append(batch...); !errors.Is(again, journal.ErrDead) {
			return fmt.Errorf("a dead handle said %v", again)
		}
		if h.rng.IntN(2) == 0 {
			return nil
		}
		_ = j.Close() // the disk may be failing
		j, err = h.open()
	}
	return err
}

// open opens or creates the log, and compares what it holds with what it must.
// It returns no journal when the disk does not let it.
func (h *history) open() (*journal.Journal, error) {
	j, recs, err := journal.Open(logPath, h.on())
	missing := errors.Is(err, fs.ErrNotExist)
	switch {
	case errors.Is(err, journal.ErrCorrupt), errors.Is(err, journal.ErrNotOurs), errors.Is(err, journal.ErrNewer):
		return nil, err
	case missing && h.created, errors.Is(err, journal.ErrEmpty) && len(h.acked) > 0:
		return nil, fmt.Errorf("%d records are lost: %w", len(h.acked), err)
	case missing, errors.Is(err, journal.ErrEmpty):
		delete(h.disk.names, logPath)
		delete(h.disk.kept, logPath)
		h.created, h.begun = false, nil
		if j, err = journal.Create(logPath, h.on()); err != nil {
			return nil, nil
		}
		h.created = true
		return j, nil
	case err != nil:
		return nil, nil
	}
	h.created = true
	possible := slices.Concat(h.acked, h.begun)
	if len(recs) < len(h.acked) {
		return nil, fmt.Errorf("%d of %d records are lost", len(h.acked)-len(recs), len(h.acked))
	}
	if len(recs) > len(possible) || !reflect.DeepEqual(recs, possible[:len(recs)]) {
		return nil, errors.New("the log holds records that nobody wrote")
	}
	h.acked, h.begun = recs, nil // what Open returns is safe
	if j.Repaired() != nil {
		h.torn++
	}
	return j, nil
}

func run(seed uint64, lazy bool) (*history, error) {
	h := &history{rng: rand.New(rand.NewPCG(seed, 7)), disk: newDisk()}
	h.disk.lazy = lazy
	return h, h.live()
}

func TestNoAcknowledgedRecordIsLost(t *testing.T) {
	cuts, acked, torn := 0, 0, 0
	for seed := range uint64(*crashImages) {
		h, err := run(seed, false)
		require.NoError(t, err, "seed %d", seed)
		cuts, acked, torn = cuts+h.cuts, acked+len(h.acked), torn+h.torn
	}
	t.Logf("%d histories: %d power cuts, %d records kept, %d torn tails set aside", *crashImages, cuts, acked, torn)
	if *crashImages < 100 {
		return // too few to say that all was met with
	}
	assert.Greater(t, cuts, *crashImages)
	assert.GreaterOrEqual(t, acked, crashEvents**crashImages)
	assert.Greater(t, torn, *crashImages/4)
}

func TestCrashTestFindsMissingFsync(t *testing.T) {
	const histories = 50
	lost := 0
	for seed := range uint64(histories) {
		if _, err := run(seed, true); err != nil {
			lost++
		}
	}
	t.Logf("without fsync, records were lost in %d of %d histories", lost, histories)
	assert.Greater(t, lost, histories*9/10)
}

func sortedNames(m map[string]*inode) []string { return slices.Sorted(maps.Keys(m)) }
