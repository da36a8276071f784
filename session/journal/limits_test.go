package journal_test

import (
	"bytes"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/session/journal"
)

// endless yields the same byte for ever, and counts how many were taken.
type endless struct {
	b     byte
	taken int
}

func (e *endless) Read(b []byte) (int, error) {
	for i := range b {
		b[i] = e.b
	}
	e.taken += len(b)
	return len(b), nil
}

// allocated is how many bytes f had allocated in all.
func allocated(f func()) uint64 {
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	f()
	runtime.ReadMemStats(&after)
	return after.TotalAlloc - before.TotalAlloc
}

// What can't be a log is not read into memory to its end, if it has one.
func TestWhatIsNoLogIsNotReadToItsEnd(t *testing.T) {
	_, b := small(t, 2)
	first := b[:bytes.IndexByte(b, '\n')+1]
	sparse := func(t *testing.T, begin []byte) io.Reader {
		path := filepath.Join(t.TempDir(), "large.jsonl")
		require.NoError(t, os.WriteFile(path, begin, 0o600))
		require.NoError(t, os.Truncate(path, 1<<30))
		f, err := os.Open(path)
		require.NoError(t, err)
		t.Cleanup(func() { _ = f.Close() })
		return f
	}
	tests := []struct {
		name  string
		in    func(t *testing.T) io.Reader
		state journal.State
	}{
		{"a line that never ends", func(*testing.T) io.Reader { return io.MultiReader(bytes.NewReader(first), &endless{b: 'x'}) }, journal.Damaged},
		{"a first line that never ends", func(*testing.T) io.Reader { return io.MultiReader(bytes.NewReader(first[:100]), &endless{b: 'x'}) }, journal.Damaged},
		{"one letter for ever", func(*testing.T) io.Reader { return &endless{b: 'x'} }, journal.Foreign},
		{"a gigabyte of zeros", func(t *testing.T) io.Reader { return sparse(t, nil) }, journal.TooLarge},
		{"a log, then a gigabyte of zeros", func(t *testing.T) io.Reader { return sparse(t, b) }, journal.TooLarge},
		{"a gigabyte of a stranger's", func(t *testing.T) io.Reader { return sparse(t, []byte("Dear Ines,\n")) }, journal.Foreign},
	}
	const most = 8 * journal.MaxLine
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			in := tt.in(t)
			var rep journal.Report
			took := allocated(func() { rep = journal.Verify(in) })
			assert.Equal(t, tt.state, rep.State, rep.String())
			assert.Less(t, took, uint64(most))
			in = tt.in(t)
			var f journal.Follower
			var err error
			took = allocated(func() { _, err = f.Next(in) })
			assert.Equal(t, rep.Err, err)
			assert.Less(t, took, uint64(most))
		})
	}
}

// Zeros for ever may be the end of a log that a power cut left; they are read
// as far as a log may go.
func TestZerosForEver(t *testing.T) {
	_, b := small(t, 2)
	zeros := &endless{}
	rep := journal.Verify(io.MultiReader(bytes.NewReader(b), zeros))
	assert.Equal(t, journal.TooLarge, rep.State)
	assert.LessOrEqual(t, zeros.taken, journal.MaxSize+journal.MaxLine)
}
