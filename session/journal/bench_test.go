package journal_test

import (
	"bytes"
	"path/filepath"
	"testing"

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
