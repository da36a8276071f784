package journal_test

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"rinseby/session/journal"
)

// However a log grows, and whenever it is looked at, a follower reads each
// record once, and none before its line is whole.
func TestFollowerReadsEachRecordOnce(t *testing.T) {
	recs, text := small(t, 12)
	rapid.Check(t, func(rt *rapid.T) {
		var f journal.Follower
		var got []journal.Record
		for n := 0; n < len(text); {
			n = rapid.IntRange(n, len(text)).Draw(rt, "written")
			more, err := f.Next(bytes.NewReader(text[f.Offset():n]))
			require.NoError(rt, err)
			got = append(got, more...)
			require.Equal(rt, bytes.Count(text[:n], []byte("\n")), len(got))
			require.Equal(rt, int64(bytes.LastIndexByte(text[:n], '\n')+1), f.Offset())
		}
		require.Equal(rt, recs, got)
	})
}

func TestFollowerFindsDamage(t *testing.T) {
	recs, text := small(t, 6)
	lines := bytes.SplitAfter(text, []byte("\n"))
	half := len(bytes.Join(lines[:3], nil))
	var f journal.Follower
	more, err := f.Next(bytes.NewReader(text[:half]))
	require.NoError(t, err)
	require.Equal(t, recs[:3], more)

	bad := bytes.Clone(text)
	bad[half+len(lines[3])+40] ^= 1
	more, err = f.Next(bytes.NewReader(bad[half:]))
	require.ErrorIs(t, err, journal.ErrCorrupt)
	require.Equal(t, recs[3:4], more, "what is intact before it")
	var d *journal.Damage
	require.ErrorAs(t, err, &d)
	require.Equal(t, 5, d.Line)
	require.Equal(t, int64(half+len(lines[3])), d.Offset)
	_, whole := journal.Read(bytes.NewReader(bad))
	require.Equal(t, whole, err, "the same as when it is read at once")

	more, err = f.Next(bytes.NewReader(text[f.Offset():]))
	require.NoError(t, err, "it was put right")
	require.Equal(t, recs[4:], more)
}

func TestFollowerOfWhatIsNoLog(t *testing.T) {
	for text, want := range map[string]error{
		"":                          nil,
		"\x00\x00":                  nil,
		`{"form`:                    nil,
		`{"format":"rinseby/1","se`: nil,
		"hello":                     journal.ErrNotOurs,
		`{"format":"rinseby/7","se`: journal.ErrNewer,
	} {
		var f journal.Follower
		recs, err := f.Next(bytes.NewReader([]byte(text)))
		require.Empty(t, recs)
		require.ErrorIs(t, err, want, text)
		require.Zero(t, f.Offset())
	}
}
