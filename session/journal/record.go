package journal

import (
	"bytes"
	"encoding/json"
	"fmt"
	"hash/crc32"
	"strconv"
	"time"
	"unicode/utf8"

	"rinseby/timing"
)

// Version is the version of the layout that this package writes and reads.
const Version = 1

// Limits of a log, in bytes. A line counts with its newline.
const (
	MaxLine = 1 << 20
	MaxSize = 64 << 20
)

const (
	maxWord    = 64 // bytes of a kind and of a boot id
	timeLayout = "2006-01-02T15:04:05.000Z"

	formatKey = `{"format":"rinseby/`
	crcKey    = `,"crc":"`
	crcLen    = len(crcKey) + 8 + len(`"}`)
)

var (
	castagnoli = crc32.MakeTable(crc32.Castagnoli)
	genesis    = crc32.Checksum([]byte("rinseby journal"), castagnoli)
)

// Record is one line of the log.
type Record struct {
	// Seq counts the records of a log from 1.
	Seq int
	// Kind is 1 to 64 printable ASCII characters without quote and backslash.
	Kind string
	// When is the moment it happened, in UTC, as the recording machine's wall
	// clock told it.
	When time.Time
	// Recorded is when it was recorded. Boot is not negative; BootID is like
	// Kind but may be empty.
	Recorded timing.Reading
	// Data is any JSON value.
	Data json.RawMessage
}

// Normalise returns the record as it will be read back from a log: times in
// UTC, cut to milliseconds; the time since boot cut to milliseconds; data
// without spaces between its tokens, {} if there is none, and U+FFFD in the
// place of bytes that are no UTF-8. What is folded live should be what this
// returns, or replay would differ from it. Data that is not JSON is left as it
// is; [Journal.Append] refuses it.
func Normalise(r Record) Record {
	r.When = milli(r.When)
	r.Recorded.Wall = milli(r.Recorded.Wall)
	r.Recorded.Boot = r.Recorded.Boot.Truncate(time.Millisecond)
	switch data, err := compact(r.Data); {
	case len(r.Data) == 0:
		r.Data = json.RawMessage("{}")
	case err == nil:
		r.Data = data
	}
	return r
}

// Encode returns the bytes of a new log with the records. They are normalised,
// and must be numbered from 1. The error is an [ErrInvalid] or [ErrTooLarge].
func Encode(recs []Record) ([]byte, error) {
	normal := make([]Record, len(recs))
	for i, r := range recs {
		normal[i] = Normalise(r)
	}
	lines, _, err := encode(normal, 0, genesis, 0)
	return lines, err
}

// encode returns the lines that continue a log of size bytes, whose last
// record is number seq with checksum sum, and the checksum of the last one.
func encode(recs []Record, seq int, sum uint32, size int64) ([]byte, uint32, error) {
	var lines []byte
	for i, r := range recs {
		if err := check(r, seq+i+1); err != nil {
			return nil, 0, err
		}
		start := len(lines)
		lines, sum = appendLine(lines, r, sum)
		if len(lines)-start > MaxLine {
			return nil, 0, fmt.Errorf("%w: record %d (%q) is too long: a line may have at most 1 MiB; split it", ErrInvalid, r.Seq, r.Kind)
		}
		if size+int64(len(lines)) > MaxSize {
			return nil, 0, ErrTooLarge
		}
	}
	return lines, sum, nil
}

func milli(t time.Time) time.Time { return t.UTC().Truncate(time.Millisecond) }

func compact(data []byte) ([]byte, error) {
	var out bytes.Buffer
	out.Grow(len(data))
	if !utf8.Valid(data) {
		data = bytes.ToValidUTF8(data, []byte("\uFFFD"))
	}
	err := json.Compact(&out, data)
	return out.Bytes(), err
}

// check says why the record can't be line seq of a log, if so. A record that
// passes is in normal form. Only the length of its line is left to the caller.
func check(r Record, seq int) error {
	bad := func(format string, args ...any) error {
		return fmt.Errorf("%w: record %d (%q) %s", ErrInvalid, r.Seq, r.Kind, fmt.Sprintf(format, args...))
	}
	if r.Seq != seq {
		return bad("comes where record %d belongs; number it so", seq)
	}
	if r.Kind == "" || !word(r.Kind) {
		return bad("needs a kind of 1 to %d plain ASCII characters without quote and backslash", maxWord)
	}
	if !word(r.Recorded.BootID) {
		return bad("needs a boot id of at most %d plain ASCII characters without quote and backslash", maxWord)
	}
	for _, t := range [...]time.Time{r.When, r.Recorded.Wall} {
		if t.IsZero() || t.Year() < 1 || t.Year() > 9999 {
			return bad("needs both its times, with a year from 1 to 9999")
		}
		if t != milli(t) { // not Equal: the zone counts too
			return bad("has a time that is not in whole milliseconds of UTC; use Normalise, and go on with what it returns")
		}
	}
	if b := r.Recorded.Boot; b < 0 || b%time.Millisecond != 0 {
		return bad("needs a time since boot of zero or more, in whole milliseconds; use Normalise, and go on with what it returns")
	}
	data, err := compact(r.Data)
	switch {
	case err != nil:
		return bad("has data that are not JSON (%v)", err)
	case !bytes.Equal(data, r.Data):
		return bad("has data that are not compact; use Normalise, and go on with what it returns")
	}
	return nil
}

// word reports whether s can stand between quotes as it is.
func word(s string) bool {
	for i := range len(s) {
		if c := s[i]; c < ' ' || c >= utf8.RuneSelf || c == 0x7f || c == '"' || c == '\\' {
			return false
		}
	}
	return len(s) <= maxWord
}

// appendBody appends the line of the record up to the checksum.
func appendBody(dst []byte, r Record) []byte {
	if r.Seq == 1 {
		dst = append(dst, formatKey...)
		dst = strconv.AppendInt(dst, Version, 10)
		dst = append(dst, `","seq":`...)
	} else {
		dst = append(dst, `{"seq":`...)
	}
	dst = strconv.AppendInt(dst, int64(r.Seq), 10)
	dst = append(dst, `,"kind":"`...)
	dst = append(dst, r.Kind...)
	dst = append(dst, `","when":"`...)
	dst = r.When.AppendFormat(dst, timeLayout)
	dst = append(dst, `","recorded":{"wall":"`...)
	dst = r.Recorded.Wall.AppendFormat(dst, timeLayout)
	dst = append(dst, `","boot":`...)
	ms := r.Recorded.Boot.Milliseconds()
	dst = strconv.AppendInt(dst, ms/1000, 10)
	dst = append(dst, '.', byte('0'+ms/100%10), byte('0'+ms/10%10), byte('0'+ms%10))
	dst = append(dst, `,"boot_id":"`...)
	dst = append(dst, r.Recorded.BootID...)
	dst = append(dst, `"},"data":`...)
	return append(dst, r.Data...)
}

// appendLine appends the whole line of a record that [check] has passed. It
// takes the checksum of the line before, and returns that of the line.
func appendLine(dst []byte, r Record, sum uint32) ([]byte, uint32) {
	start := len(dst)
	dst = appendBody(dst, r)
	sum = crc32.Update(sum, castagnoli, dst[start:])
	dst = append(dst, crcKey...)
	dst = fmt.Appendf(dst, "%08x", sum)
	return append(dst, "\"}\n"...), sum
}
