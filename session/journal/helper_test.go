package journal_test

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rinseby/session/journal"
	"rinseby/timing"
)

// nine is when the invented services of these tests start.
var nine = time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC)

// records makes n records from number seq on, with about size bytes of data.
func records(seq, n, size int) []journal.Record {
	recs := make([]journal.Record, n)
	for i := range recs {
		at := nine.Add(time.Duration(seq+i) * 1234 * time.Millisecond)
		recs[i] = journal.Record{
			Seq: seq + i, Kind: "piece.placed", When: at.Add(-3 * time.Minute),
			Recorded: timing.Reading{Wall: at, Boot: time.Duration(seq+i) * 1234 * time.Millisecond, BootID: "boot-1"},
			Data:     json.RawMessage(fmt.Sprintf(`{"zone":%d,"note":"%s"}`, seq+i, strings.Repeat("n", size))),
		}
	}
	return recs
}

// small is a log of n records.
func small(t testing.TB, n int) ([]journal.Record, []byte) {
	recs := records(1, n, 3)
	b, err := journal.Encode(recs)
	require.NoError(t, err)
	return recs, b
}
