package history_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"rinseby/session/history"
)

func closedService(id string, size int64) history.Closed {
	return history.Closed{
		ID: id, Size: size, Events: 200, Opened: opened, Closed: opened.Add(2 * time.Hour), Invented: true,
		Client: "Tove A.", Stylist: "Ines", Station: "station 1", ZoneList: "Half head",
	}
}

func all(ix *history.Index) (in []history.Closed) {
	for l := range ix.All {
		in = append(in, ix.Closed(l))
	}
	return in
}

// TestIndexText is the layout as the doc comment has it.
func TestIndexText(t *testing.T) {
	text := history.NewIndex()
	text = history.AppendClosed(text, closedService("a", 1000))
	text = history.AppendGone(text, "a")
	text = history.AppendMark(text, 12345)
	assert.Equal(t, strings.Join([]string{
		"rinseby index 1",
		"+\ta\t1000\t200\t1772442000\t0\t1772449200\t0\ti\tTove A.\tInes\tstation 1\tHalf head\t67a49fcd",
		"-\ta\t9ff51b61",
		"=\t12345\t4b65213a",
		"",
	}, "\n"), string(text))
}

func TestIndexReadsBack(t *testing.T) {
	a, b := closedService("a", 1000), closedService("b", 2000)
	a.Client, a.Stylist, a.Station, a.ZoneList = "tab\there", `back\slash \t`, "line\nbreak", ""
	a.Opened, a.Invented = time.Date(1969, 1, 2, 3, 4, 5, 678, time.UTC), false
	text := history.AppendClosed(history.AppendClosed(history.NewIndex(), a), b)
	ix := history.ParseIndex(string(text))
	assert.True(t, ix.Whole)
	assert.Zero(t, ix.Mark)
	assert.Equal(t, []history.Closed{a, b}, all(ix))
	assert.Equal(t, string(text), string(ix.Text(nil, nil, 0)))

	longer := b
	longer.Size++
	text = history.AppendClosed(text, longer)
	text = history.AppendGone(text, "a")
	ix = history.ParseIndex(string(history.AppendMark(text, 7)))
	assert.Equal(t, int64(7), ix.Mark)
	assert.Equal(t, 1, ix.Len())
	assert.Equal(t, []history.Closed{longer}, all(ix))
	_, here := ix.Find("a")
	assert.False(t, here)
	assert.Greater(t, ix.Spent, 0)
	assert.Equal(t, int64(7), history.LastMark(string(history.AppendMark(text, 7))))
	assert.Zero(t, history.LastMark(string(text)), "a mark counts as the last line only")
	assert.Zero(t, history.ParseIndex(string(history.AppendGone(history.AppendMark(text, 7), "b"))).Mark)

	at, here := ix.Find("b")
	assert.True(t, here)
	assert.Equal(t, longer.Opened.Unix(), ix.Opened(at))
	assert.Equal(t, []history.Closed{a}, all(history.ParseIndex(string(ix.Text([]history.Closed{a}, []string{"b"}, 3)))))
	assert.Equal(t, []history.Closed{b}, all(history.ParseIndex(string(ix.Text([]history.Closed{b}, nil, 3)))))
}

func TestIndexOfOthers(t *testing.T) {
	for _, text := range []string{"", "rinseby index 2\n", "x", "rinseby index 1", strings.Repeat("\x00", 300)} {
		ix := history.ParseIndex(text)
		assert.False(t, ix.Whole, "%q", text)
		assert.Zero(t, ix.Len())
		assert.Zero(t, history.LastMark(text))
	}
	ix := history.ParseIndex(string(history.NewIndex()))
	assert.True(t, ix.Whole)
}

// TestIndexDamage cuts an index at each place and flips a bit of each byte: it
// is noticed, and what is left of it is as it was written.
func TestIndexDamage(t *testing.T) {
	text := history.NewIndex()
	written := map[string]history.Closed{}
	for i := range 4 {
		c := closedService(fmt.Sprint("service-", i), int64(1000+i))
		written[c.ID] = c
		text = history.AppendClosed(text, c)
	}
	text = history.AppendMark(text, 77)
	check := func(spoilt string, what string, at int) {
		ix := history.ParseIndex(spoilt)
		assert.False(t, ix.Whole && ix.Mark == 77 && ix.Len() == 4, "%s %d is not noticed", what, at)
		if !ix.Whole {
			assert.Zero(t, ix.Mark, "%s %d", what, at)
		}
		for _, c := range all(ix) {
			assert.Equal(t, written[c.ID], c, "%s %d", what, at)
		}
	}
	for i := range text {
		check(string(text[:i]), "cut", i)
		for _, bit := range []byte{1, 0x80} {
			spoilt := []byte(string(text))
			spoilt[i] ^= bit
			check(string(spoilt), "flip", i)
		}
	}
}

func TestIndexHoldsWhateverIsPut(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := history.NewIndex()
		want := map[string]history.Closed{}
		for range rapid.IntRange(0, 20).Draw(t, "lines") {
			id := rapid.StringMatching(`[a-c]`).Draw(t, "id")
			if rapid.Bool().Draw(t, "gone") {
				text = history.AppendGone(text, id)
				delete(want, id)
				continue
			}
			c := history.Closed{
				ID: id, Size: rapid.Int64().Draw(t, "size"), Events: rapid.Int().Draw(t, "events"), Invented: rapid.Bool().Draw(t, "invented"),
				Opened: time.Unix(rapid.Int64Range(-1e10, 1e11).Draw(t, "opened"), rapid.Int64Range(0, 999_999_999).Draw(t, "ns")).UTC(),
				Client: rapid.String().Draw(t, "client"), Stylist: string(rapid.SliceOf(rapid.Byte()).Draw(t, "stylist")),
				Station: rapid.String().Draw(t, "station"), ZoneList: rapid.StringMatching(`[\\nt\t\n]*`).Draw(t, "list"),
			}
			c.Closed = c.Opened.Add(time.Hour)
			text = history.AppendClosed(text, c)
			want[id] = c
		}
		for _, ix := range []*history.Index{history.ParseIndex(string(text)), history.ParseIndex(string(history.ParseIndex(string(text)).Text(nil, nil, 5)))} {
			require.True(t, ix.Whole)
			got := map[string]history.Closed{}
			for _, c := range all(ix) {
				got[c.ID] = c
			}
			require.Equal(t, want, got)
			require.Equal(t, len(want), ix.Len())
		}
	})
}

func BenchmarkParseIndex(b *testing.B) {
	text := history.NewIndex()
	for i := range 40_000 {
		text = history.AppendClosed(text, closedService(fmt.Sprintf("20260302-0900-%05d", i), 30_000))
	}
	s := string(text)
	for b.Loop() {
		history.ParseIndex(s)
	}
}
