package journal_test

import (
	"bytes"
	"errors"
	"fmt"
	"hash/crc32"
	"io"
	"reflect"
	"strings"
	"testing"
	"testing/iotest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/session/journal"
)

func TestEveryTruncation(t *testing.T) {
	recs, b := small(t, 3)
	ends := map[int]int{}
	for n, end := 1, 0; n <= 3; n++ {
		end += bytes.IndexByte(b[end:], '\n') + 1
		ends[end] = n
	}
	whole := 0
	for n := range len(b) + 1 {
		if _, ok := ends[n]; ok {
			whole++
		}
		for _, zeros := range []int{0, 1, 600} {
			got, err := journal.Read(bytes.NewReader(append(b[:n:n], make([]byte, zeros)...)))
			require.Len(t, got, whole, "%d bytes", n)
			require.True(t, reflect.DeepEqual(recs[:whole], append([]journal.Record{}, got...)))
			switch {
			case whole == 0:
				require.ErrorIs(t, err, journal.ErrEmpty, "%d bytes", n)
			case zeros == 0 && ends[n] != 0:
				require.NoError(t, err, "%d bytes", n)
			default:
				require.ErrorIs(t, err, journal.ErrTorn, "%d bytes", n)
			}
		}
	}
}

func TestEveryChangeOfEveryByte(t *testing.T) {
	recs, b := small(t, 3)
	for at := range b {
		was := b[at]
		for c := range 256 {
			if byte(c) == was {
				continue
			}
			b[at] = byte(c)
			got, err := journal.Read(bytes.NewReader(b))
			if err == nil {
				t.Fatalf("byte %d changed from %q to %q, and nothing was said", at, was, byte(c))
			}
			// Only a lost newline at the very end may look like a torn write.
			if errors.Is(err, journal.ErrTorn) != (at == len(b)-1 && c == 0) {
				t.Fatalf("byte %d changed from %q to %q: %v", at, was, byte(c), err)
			}
			for i, r := range got {
				if !reflect.DeepEqual(r, recs[i]) {
					t.Fatalf("byte %d changed from %q to %q: record %d differs", at, was, byte(c), i+1)
				}
			}
		}
		b[at] = was
	}
}

func TestLinesLostDoubledMoved(t *testing.T) {
	_, b := small(t, 5)
	l := bytes.SplitAfter(b, []byte("\n"))[:5]
	other := records(1, 5, 3)
	other[0].Kind = "service.opened"
	ob, err := journal.Encode(other)
	require.NoError(t, err)
	o := bytes.SplitAfter(ob, []byte("\n"))[:5]
	tests := []struct {
		name  string
		lines [][]byte
		line  int
		why   string
	}{
		{"first lost", [][]byte{l[1], l[2]}, 0, ""},
		{"middle lost", [][]byte{l[0], l[1], l[3], l[4]}, 3, "record 4 where record 3"},
		{"doubled", [][]byte{l[0], l[1], l[1], l[2]}, 3, "record 2 where record 3"},
		{"first doubled", [][]byte{l[0], l[0], l[1]}, 2, "record 1 where record 2"},
		{"swapped", [][]byte{l[0], l[2], l[1], l[3]}, 2, "record 3 where record 2"},
		{"first swapped", [][]byte{l[1], l[0], l[2]}, 0, ""},
		{"spliced", [][]byte{l[0], l[1], o[2], o[3]}, 3, "checksum"},
		{"spliced at the end", [][]byte{l[0], l[1], o[2]}, 3, "checksum"},
		{"another first", [][]byte{o[0], l[1], l[2]}, 2, "checksum"},
		{"empty line", [][]byte{l[0], []byte("\n"), l[1]}, 2, "form"},
		{"empty line at the end", [][]byte{l[0], l[1], []byte("\n")}, 3, "form"},
		{"other line ends", [][]byte{bytes.Replace(l[0], []byte("\n"), []byte("\r\n"), 1), l[1]}, 1, "form"},
		{"spaces", [][]byte{l[0], bytes.Replace(l[1], []byte(`"data":`), []byte(`"data": `), 1)}, 2, "form"},
		{"torn, then whole", [][]byte{l[0], l[1][:50], l[1], l[2]}, 2, "form"},
		{"zeros in between", [][]byte{l[0], make([]byte, 512), l[1]}, 2, "form"},
		{"newline turned into X", [][]byte{l[0], l[1][:len(l[1])-1], []byte("X")}, 2, "newline"},
		{"long line", [][]byte{l[0], bytes.Repeat([]byte("x"), journal.MaxLine), []byte("\n")}, 2, "longer"},
		{"no end", [][]byte{l[0], bytes.Repeat([]byte("x"), journal.MaxLine)}, 2, "longer"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			b := bytes.Join(tt.lines, nil)
			got, err := journal.Read(bytes.NewReader(b))
			rep := journal.Verify(bytes.NewReader(b))
			assert.Equal(t, err, rep.Err)
			if tt.line == 0 { // nothing tells such a file from a stranger's
				assert.ErrorIs(t, err, journal.ErrNotOurs)
				assert.Equal(t, journal.Foreign, rep.State)
				return
			}
			var d *journal.Damage
			require.ErrorAs(t, err, &d)
			assert.ErrorIs(t, err, journal.ErrCorrupt)
			assert.Equal(t, tt.line, d.Line)
			assert.Equal(t, int64(len(bytes.Join(tt.lines[:tt.line-1], nil))), d.Offset)
			assert.Contains(t, d.Why, tt.why)
			assert.Len(t, got, tt.line-1)
			assert.Equal(t, journal.Report{State: journal.Damaged, Records: tt.line - 1, Bytes: d.Offset, Line: d.Line, Offset: d.Offset, Err: d}, rep)
		})
	}
}

// Lines that mean the same but are written otherwise are refused, even if
// their checksum is right.
func TestOnlyOneWayToWriteALine(t *testing.T) {
	_, b := small(t, 1)
	tests := []struct{ name, old, new string }{
		{"boot without decimals", `"boot":1.234`, `"boot":1.2`},
		{"boot with a leading zero", `"boot":1.234`, `"boot":01.234`},
		{"boot with a sign", `"boot":1.234`, `"boot":+1.234`},
		{"boot beyond what fits", `"boot":1.234`, `"boot":9223372036.855`},
		{"boot way beyond", `"boot":1.234`, `"boot":99999999999999999999.234`},
		{"time with a zone", `01.234Z","boot"`, `01.234+00:00","boot"`},
		{"time with more digits", `01.234Z","boot"`, `01.2340Z","boot"`},
		{"time with a comma", `01.234Z","boot"`, `01,234Z","boot"`},
		{"time that is none", `"when":"2026-03-02`, `"when":"2026-02-30`},
		{"year 0", `"when":"2026`, `"when":"0000`},
		{"number with a sign", `"seq":1,`, `"seq":+1,`},
		{"unknown key", `,"data"`, `,"who":"Ines","data"`},
		{"unknown key behind", `"nnn"}`, `"nnn"},"who":"Ines"`},
		{"key twice", `,"data"`, `,"kind":"piece.placed","data"`},
		{"other order", `"boot":1.234,"boot_id":"boot-1"`, `"boot_id":"boot-1","boot":1.234`},
		{"escape in kind", `piece.placed`, `piece\u002eplaced`},
		{"kind in capitals of another script", `piece.placed`, `piecé`},
		{"space in data", `"zone":1,`, `"zone":1, `},
		{"invalid UTF-8 in data", `nnn`, "n\xffn"},
		{"no data", `{"zone":1,"note":"nnn"}`, ``},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			body, _, _ := bytes.Cut(b, []byte(`,"crc"`))
			require.Contains(t, string(body), tt.old)
			_, err := journal.Read(bytes.NewReader(sealed(body)))
			require.NoError(t, err, "as it was")
			_, err = journal.Read(bytes.NewReader(sealed(bytes.Replace(body, []byte(tt.old), []byte(tt.new), 1))))
			assert.ErrorIs(t, err, journal.ErrCorrupt)
			assert.ErrorContains(t, err, "form")
		})
	}
}

// sealed ends a first line with the checksum that is right for it.
func sealed(body []byte) []byte {
	table := crc32.MakeTable(crc32.Castagnoli)
	sum := crc32.Update(crc32.Checksum([]byte("rinseby journal"), table), table, body)
	return fmt.Appendf(body[:len(body):len(body)], ",\"crc\":\"%08x\"}\n", sum)
}

func TestVerify(t *testing.T) {
	_, b := small(t, 2)
	tests := []struct {
		name  string
		in    io.Reader
		state journal.State
		says  string
	}{
		{"whole", bytes.NewReader(b), journal.Whole, "the log is whole (records: 2, bytes: "},
		{"torn", bytes.NewReader(b[:len(b)-9]), journal.Torn, "line 2 of the log"},
		{"damaged", strings.NewReader(strings.Replace(string(b), "zone", "zona", 1)), journal.Damaged, "line 1 of the log (at byte 0) is damaged"},
		{"newer", strings.NewReader("{\"format\":\"rinseby/2\",\"all\":\"new\"}\n"), journal.Newer, "the log was written by a newer rinseby (format 2); update this one"},
		{"newer, not yet ended", strings.NewReader(`{"format":"rinseby/12","al`), journal.Newer, "(format 12)"},
		{"a digit that went wrong", strings.NewReader(strings.Replace(string(b), "rinseby/1", "rinseby/2", 1)), journal.Damaged, "line 1"},
		{"older than the first", strings.NewReader(strings.Replace(string(b), "rinseby/1", "rinseby/0", 1)), journal.Damaged, "line 1"},
		{"a text", strings.NewReader("Dear Ines,\n"), journal.Foreign, "not a log"},
		{"a short text", strings.NewReader("D"), journal.Foreign, "not a log"},
		{"other JSON", strings.NewReader("{}\n"), journal.Foreign, "not a log"},
		{"nothing", strings.NewReader(""), journal.Empty, "no record yet"},
		{"zeros", bytes.NewReader(make([]byte, 4096)), journal.Empty, "no record yet"},
		{"too large", io.MultiReader(bytes.NewReader(b), bytes.NewReader(make([]byte, journal.MaxSize))), journal.TooLarge, "64 MiB"},
		{"unreadable", io.MultiReader(bytes.NewReader(b), iotest.ErrReader(io.ErrNoProgress)), journal.Unreadable, io.ErrNoProgress.Error()},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			rep := journal.Verify(tt.in)
			assert.Equal(t, tt.state, rep.State, rep.State.String())
			assert.Contains(t, rep.String(), tt.says)
			assert.Equal(t, tt.state == journal.Whole, rep.Err == nil)
		})
	}
	assert.Equal(t, "unknown", journal.State(99).String())
	assert.Equal(t, "not ours", journal.Foreign.String())
}
