package journal_test

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rinseby/session/journal"
)

// BenchmarkAppend is one record with its fsync on the machine's disk.
func BenchmarkAppend(b *testing.B) {
	j, err := journal.Create(filepath.Join(b.TempDir(), "b.log"))
	require.NoError(b, err)
	rec := records(1, 1, 100)
	for b.Loop() {
		if err := j.Append(rec...); err != nil {
			b.Fatal(err)
		}
		rec[0].Seq++
	}
	require.NoError(b, j.Close())
}

// BenchmarkRead is a log of 1,000 records, as a long service may leave it.
func BenchmarkRead(b *testing.B) {
	log, err := journal.Encode(records(1, 1000, 100))
	require.NoError(b, err)
	b.SetBytes(int64(len(log)))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := journal.Read(bytes.NewReader(log)); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkReadLeast decodes the same lines with encoding/json, and checks
// nothing: the least that reading them can take.
func BenchmarkReadLeast(b *testing.B) {
	log, err := journal.Encode(records(1, 1000, 100))
	require.NoError(b, err)
	b.SetBytes(int64(len(log)))
	b.ReportAllocs()
	for b.Loop() {
		var all []line
		for text := range bytes.Lines(log) {
			var l line
			if err := json.Unmarshal(text, &l); err != nil {
				b.Fatal(err)
			}
			all = append(all, l)
		}
		if len(all) != 1000 {
			b.Fatal(len(all))
		}
	}
}

// BenchmarkAppendLeast writes the same bytes to a file, and syncs it.
func BenchmarkAppendLeast(b *testing.B) {
	f, err := os.Create(filepath.Join(b.TempDir(), "b.log"))
	require.NoError(b, err)
	text, err := journal.Encode(records(1, 1, 100))
	require.NoError(b, err)
	for b.Loop() {
		if _, err := f.Write(text); err != nil {
			b.Fatal(err)
		}
		if err := f.Sync(); err != nil {
			b.Fatal(err)
		}
	}
	require.NoError(b, f.Close())
}

// line is a line of a log as encoding/json reads it.
type line struct {
	Format   string    `json:"format"`
	Seq      int       `json:"seq"`
	Kind     string    `json:"kind"`
	When     time.Time `json:"when"`
	Recorded struct {
		Wall   time.Time `json:"wall"`
		Boot   float64   `json:"boot"`
		BootID string    `json:"boot_id"`
	} `json:"recorded"`
	Data json.RawMessage `json:"data"`
	CRC  string          `json:"crc"`
}
