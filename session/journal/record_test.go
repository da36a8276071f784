package journal_test

import (
	"bytes"
	"encoding/json"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"rinseby/session/journal"
	"rinseby/timing"
)

func TestNormalise(t *testing.T) {
	zone := time.FixedZone("", 2*3600)
	in := journal.Record{
		Seq: 1, Kind: "note.added", When: nine.Add(1999 * time.Microsecond).In(zone),
		Recorded: timing.Reading{Wall: nine.Add(2*time.Second - 1).In(zone), Boot: 5*time.Second + 999999, BootID: "b"},
		Data:     json.RawMessage("{ \"a\": [1,\n 2.50], \"t\":\"\xff<&>\u2028 é\" }"),
	}
	out := journal.Normalise(in)
	assert.Equal(t, journal.Record{
		Seq: 1, Kind: "note.added", When: nine.Add(time.Millisecond),
		Recorded: timing.Reading{Wall: nine.Add(1999 * time.Millisecond), Boot: 5 * time.Second, BootID: "b"},
		Data:     json.RawMessage("{\"a\":[1,2.50],\"t\":\"\uFFFD<&>\u2028 é\"}"),
	}, out)
	assert.Equal(t, out, journal.Normalise(out))
	assert.Equal(t, json.RawMessage("{}"), journal.Normalise(journal.Record{}).Data)
	assert.Equal(t, json.RawMessage("{ no"), journal.Normalise(journal.Record{Data: json.RawMessage("{ no")}).Data)
}

// The checksums were computed apart from this program, bit by bit.
func TestEncode(t *testing.T) {
	b, err := journal.Encode(nil)
	require.NoError(t, err)
	assert.Empty(t, b)
	b, err = journal.Encode(records(1, 2, 1))
	require.NoError(t, err)
	assert.Equal(t, `{"format":"rinseby/1","seq":1,"kind":"piece.placed","when":"2026-03-02T08:57:01.234Z","recorded":{"wall":"2026-03-02T09:00:01.234Z","boot":1.234,"boot_id":"boot-1"},"data":{"zone":1,"note":"n"},"crc":"985fffb3"}
{"seq":2,"kind":"piece.placed","when":"2026-03-02T08:57:02.468Z","recorded":{"wall":"2026-03-02T09:00:02.468Z","boot":2.468,"boot_id":"boot-1"},"data":{"zone":2,"note":"n"},"crc":"e3d4d2ff"}
`, string(b))
	for line := range bytes.Lines(b) {
		assert.True(t, json.Valid(line))
	}
	_, err = journal.Encode(records(2, 1, 1))
	assert.ErrorIs(t, err, journal.ErrInvalid)
}

// Whatever a normalised record holds, it is read back the same.
func TestRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		at := rapid.Map(rapid.Int64Range(-62135596799999, 253402300799999), time.UnixMilli)
		word := rapid.StringMatching(`[ -!#-\[\]-~]{0,64}`)
		n := rapid.IntRange(1, 6).Draw(t, "n")
		recs := make([]journal.Record, n)
		for i := range recs {
			text, err := json.Marshal(map[string]any{rapid.String().Draw(t, "key"): rapid.Float64().Draw(t, "value")})
			require.NoError(t, err)
			if i%2 == 1 {
				text = append(append([]byte(`[ "`), bytes.ReplaceAll(bytes.ReplaceAll(rapid.SliceOf(rapid.ByteMin(' ')).Draw(t, "bytes"), []byte{'"'}, nil), []byte{'\\'}, nil)...), `" ]`...)
			}
			recs[i] = journal.Normalise(journal.Record{
				Seq: i + 1, Kind: "k" + word.Filter(func(s string) bool { return len(s) < 64 }).Draw(t, "kind"), When: at.Draw(t, "when"),
				Recorded: timing.Reading{
					Wall: at.Draw(t, "wall"), Boot: time.Duration(rapid.Int64Min(0).Draw(t, "boot")), BootID: word.Draw(t, "boot id"),
				},
				Data: text,
			})
		}
		b, err := journal.Encode(recs)
		require.NoError(t, err)
		got, err := journal.Read(bytes.NewReader(b))
		require.NoError(t, err)
		require.Equal(t, recs, got)
	})
}
