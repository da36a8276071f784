package journal_test

import (
	"bytes"
	"errors"
	"testing"

	"github.com/stretchr/testify/require"

	"rinseby/session/journal"
)

// FuzzRead: the reader never panics, and what it accepts encodes to the same
// bytes again.
func FuzzRead(f *testing.F) {
	_, b := small(f, 3)
	f.Add(b)
	f.Add(b[:len(b)-20])
	f.Add(append(b[:len(b):len(b)], 0, 0, 0))
	f.Add(bytes.Replace(b, []byte("zone"), []byte("zona"), 1))
	f.Add(bytes.Replace(b, []byte(`"boot":1.234`), []byte(`"boot":9223372036.999`), 1))
	f.Add([]byte("{\"format\":\"rinseby/2\",\"seq\":1}\n"))
	f.Add([]byte("{\"format\":\"rinseby/99999999999999999999\"}\n"))
	f.Add([]byte("Dear Ines,\n"))
	f.Add([]byte{})
	f.Fuzz(func(t *testing.T, b []byte) {
		recs, err := journal.Read(bytes.NewReader(b))
		again, eerr := journal.Encode(recs)
		require.NoError(t, eerr)
		require.True(t, bytes.HasPrefix(b, again))
		require.Equal(t, err == nil, len(again) == len(b) && len(b) > 0)
		rep := journal.Verify(bytes.NewReader(b))
		require.Equal(t, len(recs), rep.Records)
		require.Equal(t, int64(len(again)), rep.Bytes)
		var tail *journal.Tail
		if errors.As(err, &tail) {
			require.Equal(t, rep.Bytes, tail.Offset)
			require.Equal(t, int64(len(b)), tail.Offset+tail.Size)
		}
	})
}
