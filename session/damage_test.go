package session_test

import (
	"bytes"
	"errors"
	"flag"
	"math/rand/v2"
	"reflect"
	"testing"

	"github.com/stretchr/testify/require"

	"rinseby/session"
	"rinseby/session/journal"
)

var everyByte = flag.Bool("everybyte", false, "try all 255 other values of every byte of a log with every kind of event, by every way of reading")

// A written is a journal with every kind of event, and what is in it.
type written struct {
	recs  []journal.Record
	text  []byte
	ends  []int              // of its lines
	reads []journal.Follower // that have read up to each line
}

func write(t *testing.T, client string) written {
	t.Helper()
	c := everyKind(t)
	c.do(session.ServiceClosed{Outcome: client})
	recs, err := session.Records(c.log.Events())
	require.NoError(t, err)
	for i := range recs {
		recs[i].Recorded.BootID = "boot of " + client
	}
	w := written{recs: recs}
	w.text, err = journal.Encode(recs)
	require.NoError(t, err)
	var f journal.Follower
	for start := 0; start < len(w.text); start = int(f.Offset()) {
		w.reads = append(w.reads, f)
		end := start + bytes.IndexByte(w.text[start:], '\n') + 1
		w.ends = append(w.ends, end)
		more, err := f.Next(bytes.NewReader(w.text[start:end]))
		require.NoError(t, err)
		require.Len(t, more, 1)
	}
	require.Len(t, w.ends, len(recs))
	return w
}

// lines are the lines of the journal.
func (w written) lines() [][]byte { return bytes.SplitAfter(w.text, []byte("\n"))[:len(w.ends)] }

// says reads text by Read and by Verify, which must agree, and holds what was
// read to be what was written.
func (w written) says(t *testing.T, text []byte) error {
	t.Helper()
	got, err := journal.Read(bytes.NewReader(text))
	rep := journal.Verify(bytes.NewReader(text))
	if !reflect.DeepEqual(err, rep.Err) || rep.Records != len(got) || (rep.State == journal.Whole) != (err == nil) {
		t.Fatalf("Read says %v, Verify %v", err, rep)
	}
	if len(got) > len(w.recs) || !reflect.DeepEqual(got, w.recs[:len(got):len(got)]) && len(got) > 0 {
		t.Fatal("what was read is not what was written")
	}
	return err
}

// follows reads text by a follower that has read the lines before line, and
// says how many records came and whether it saw trouble.
func (w written) follows(t *testing.T, line int, text []byte) (int, error) {
	t.Helper()
	f := w.reads[line]
	got, err := f.Next(bytes.NewReader(text[f.Offset():]))
	want := w.recs[line:]
	if len(got) > len(want) || !reflect.DeepEqual(got, want[:len(got):len(got)]) && len(got) > 0 {
		t.Fatalf("what was followed from line %d is not what was written", line+1)
	}
	return line + len(got), err
}

// TestNoChangeOfAByteIsSilent goes through a journal with every kind of event.
// By -everybyte it takes all values of each byte, by every way of reading;
// otherwise some.
func TestNoChangeOfAByteIsSilent(t *testing.T) {
	w := write(t, "Tove A.") // invented
	rng := rand.New(rand.NewPCG(1, 2))
	tried, line := 0, 0
	for at, was := range w.text {
		if at == w.ends[line] {
			line++
		}
		for c := range 256 {
			few := rng.IntN(128) == 0
			if byte(c) == was || !*everyByte && !few {
				continue
			}
			tried++
			w.text[at] = byte(c)
			// A lost newline at the very end looks like a line that is being
			// written, if zeros stand in its place: then the record is not there.
			torn := at == len(w.text)-1 && c == 0
			n, err := w.follows(t, line, w.text)
			if n > line && at != w.ends[line]-1 || (err == nil) != torn || torn && n != len(w.recs)-1 {
				t.Fatalf("byte %d changed from %q to %q: followed to %d, %v", at, was, byte(c), n, err)
			}
			if *everyByte || rng.IntN(32) == 0 {
				if err := w.says(t, w.text); err == nil || errors.Is(err, journal.ErrTorn) != torn {
					t.Fatalf("byte %d changed from %q to %q: %v", at, was, byte(c), err)
				}
			}
		}
		w.text[at] = was
	}
	t.Logf("%d changes of %d bytes in %d lines", tried, len(w.text), len(w.ends))
	require.Greater(t, tried, len(w.text))
}

func TestNoTruncationIsSilent(t *testing.T) {
	w := write(t, "Tove A.") // invented
	whole := 0
	for n := range len(w.text) + 1 {
		at := n > 0 && n == w.ends[whole]
		if at {
			whole++
		}
		from := 0
		if !*everyByte && whole > 0 {
			from = whole - 1
		}
		got, err := w.follows(t, from, w.text[:n])
		require.NoError(t, err)
		require.Equal(t, whole, got, "%d bytes", n)
		if n%23 != 0 && !at && !*everyByte {
			continue
		}
		switch err := w.says(t, w.text[:n]); {
		case whole == 0:
			require.ErrorIs(t, err, journal.ErrEmpty, "%d bytes", n)
		case at:
			require.NoError(t, err, "at the end of a line it looks whole")
		default:
			require.ErrorIs(t, err, journal.ErrTorn, "%d bytes", n)
		}
	}
}

// TestNoLineIsMissedDoubledMovedOrStrange does to every line what copying by
// hand, or a file system that mixes up blocks, may do.
func TestNoLineIsMissedDoubledMovedOrStrange(t *testing.T) {
	w := write(t, "Tove A.")    // invented
	o := write(t, "Mr. Okpara") // invented
	l, strange := w.lines(), o.lines()
	last := len(l) - 1
	for i := range l {
		tries := map[string][][]byte{
			"doubled": join(l[:i+1], l[i:]),
			"strange": join(l[:i], strange[i:i+1], l[i+1:]),
			"spliced": join(l[:i], strange[i:]),
			"put in":  join(l[:i], strange[i:i+1], l[i:]),
		}
		if i < last { // without its last line a log looks whole
			tries["missed"] = join(l[:i], l[i+1:])
			tries["swapped"] = join(l[:i], l[i+1:i+2], l[i:i+1], l[i+2:])
		}
		if i == 0 {
			delete(tries, "spliced") // all of the other log
		}
		for name, lines := range tries {
			text := bytes.Join(lines, nil)
			err := w.foreign(t, text, i, o)
			require.Error(t, err, "%s: line %d", name, i+1)
			var d *journal.Damage
			if errors.As(err, &d) {
				require.LessOrEqual(t, d.Line, i+2, "%s: line %d", name, i+1)
			} else {
				require.ErrorIs(t, err, journal.ErrNotOurs, "%s: line %d", name, i+1)
			}
			n, err := journalFollow(text)
			require.Error(t, err, "%s: line %d, followed", name, i+1)
			require.LessOrEqual(t, n, i+1, "%s: line %d, followed", name, i+1)
		}
	}
}

// foreign is what Read and Verify say of a text that may begin with the first
// line of another log, which is true as far as it goes.
func (w written) foreign(t *testing.T, text []byte, changed int, o written) error {
	t.Helper()
	if changed == 0 && bytes.HasPrefix(text, o.text[:o.ends[0]]) {
		return o.says(t, text)
	}
	return w.says(t, text)
}

func journalFollow(text []byte) (int, error) {
	var f journal.Follower
	recs, err := f.Next(bytes.NewReader(text))
	return len(recs), err
}

func join(parts ...[][]byte) (all [][]byte) {
	for _, p := range parts {
		all = append(all, p...)
	}
	return all
}
