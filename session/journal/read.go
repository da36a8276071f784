package journal

import (
	"bytes"
	"errors"
	"fmt"
	"hash/crc32"
	"io"
	"io/fs"
	"os"
	"slices"
	"strconv"
	"strings"
	"time"
)

// Read reads a log and checks all of it. It needs no lock and changes nothing,
// so it also serves those who watch a log that is being written. It holds at
// most [MaxSize] bytes of the log in memory, which the records' Data share.
//
// With an error come the records before the trouble, which are intact. The
// error is a [*Tail] if only the last line is unfinished, a [*Damage],
// [ErrNewer], [ErrNotOurs], [ErrEmpty], [ErrTooLarge], or that of the reader.
func Read(r io.Reader) ([]Record, error) {
	c, err := load(r)
	if err == nil && c.tail != nil {
		err = c.tail
	}
	return c.recs, err
}

// ReadFile reads the log at path as [Read] does, but an unfinished last line
// is no error: it is returned as the tail, which is nil otherwise.
func ReadFile(path string, opts ...Option) ([]Record, *Tail, error) {
	f, err := choose(opts).fs.OpenFile(path, os.O_RDONLY, 0)
	if err != nil {
		return nil, nil, advise(path, err)
	}
	c, err := load(f)
	_ = f.Close() // nothing was written
	if err != nil {
		err = fmt.Errorf("%s: %w", path, err)
	}
	return c.recs, c.tail, err
}

// content is what a log holds.
type content struct {
	recs  []Record
	lines []byte // the intact ones
	sum   uint32 // checksum of the last of them
	tail  *Tail  // nil if there is none
}

func load(r io.Reader) (content, error) {
	b, large, err := take(r, 0)
	if err != nil {
		return content{}, err
	}
	if err := header(b); err != nil && !(large && errors.Is(err, ErrEmpty)) {
		return content{}, err
	}
	if large {
		return content{}, ErrTooLarge
	}
	return scan(b, position{sum: genesis})
}

// chunk is how much is read at first where nobody tells how much there is.
const chunk = 4 << 10

// take reads what follows a log's first bytes, so many of them. It stops where
// that can't be a log any more: at more than a line may have without an end, or
// than a log may have in all, which is large. Of a file that tells that it is
// larger it takes no more than a line's worth.
func take(r io.Reader, from int64) (b []byte, large bool, err error) {
	limit := MaxSize + 1 - from
	room := min(chunk, limit)
	if f, ok := r.(interface{ Stat() (fs.FileInfo, error) }); ok {
		if info, err := f.Stat(); err == nil && info.Mode().IsRegular() {
			room = max(info.Size()-from, 0) + 1 // one more, to see the end
		}
	}
	if large = room > limit; large {
		limit, room = min(MaxLine, limit), min(MaxLine, limit)
	}
	b = make([]byte, 0, room)
	start := 0 // of the line that has no end yet
	for int64(len(b)) < limit {
		if len(b) == cap(b) {
			b = slices.Grow(b, min(len(b), int(limit)-len(b)))
		}
		n, err := r.Read(b[len(b):min(cap(b), len(b)+MaxLine, int(limit))])
		b = b[:len(b)+n]
		if end := bytes.LastIndexByte(b[len(b)-n:], '\n'); end >= 0 {
			start = len(b) - n + end + 1
		}
		switch {
		case err == io.EOF:
			return b, large, nil
		case err != nil:
			return b, large, fmt.Errorf("the log cannot be read; check the disk: %w", err)
		case len(b)-start >= MaxLine && len(bytes.TrimRight(b[start:], "\x00")) >= MaxLine:
			return b, large, nil
		}
	}
	return b, large || from+int64(len(b)) > MaxSize, nil
}

// header looks at how the log begins. It returns nil also for a first line
// that is ours but damaged, which scan will find.
func header(b []byte) error {
	start := bytes.TrimRight(b, "\x00")
	if len(start) <= len(formatKey) && strings.HasPrefix(formatKey, string(start)) {
		return ErrEmpty
	}
	line, _, whole := bytes.Cut(b[:min(len(b), MaxLine)], []byte("\n"))
	version, ours := bytes.CutPrefix(line, []byte(formatKey))
	if !ours {
		if bytes.Contains(line, []byte(`","seq":1,"kind":"`)) {
			return nil
		}
		return ErrNotOurs
	}
	version, rest, quoted := bytes.Cut(version, []byte(`"`))
	n, err := strconv.Atoi(string(version))
	if !quoted || err != nil || n <= Version {
		return nil
	}
	if whole { // a later version, or a digit that went wrong in one of ours
		body, sum, ok := split(fmt.Appendf(nil, `%s%d"%s`, formatKey, Version, rest))
		if ok && sum == crc32.Update(genesis, castagnoli, body) {
			return nil
		}
	}
	return fmt.Errorf("%w (format %d); update this one", ErrNewer, n)
}

// A position is a place in a log behind the line of record seq, which is 0 at
// the beginning: the checksum of that line, and its end in bytes.
type position struct {
	seq  int
	sum  uint32
	size int64
}

// scan reads the lines that follow a position. The log's header was looked at.
func scan(b []byte, from position) (content, error) {
	c := content{sum: from.sum}
	for len(c.lines) < len(b) {
		rest := b[len(c.lines):]
		damage := &Damage{Line: from.seq + len(c.recs) + 1, Offset: from.size + int64(len(c.lines))}
		end := bytes.IndexByte(rest, '\n')
		if end < 0 {
			if damage.Why = misfit(rest, damage.Line, c.sum); damage.Why != "" {
				return c, damage
			}
			if damage.Line == 1 {
				return c, ErrEmpty
			}
			c.tail = &Tail{Line: damage.Line, Offset: damage.Offset, Size: int64(len(rest)), bytes: rest}
			return c, nil
		}
		rec, sum, err := parse(rest[:end], damage.Line, c.sum)
		if err != nil {
			damage.Why = err.Error()
			return c, damage
		}
		c.recs, c.sum, c.lines = append(c.recs, rec), sum, b[:len(c.lines)+end+1]
	}
	return c, nil
}

// misfit says why the bytes behind the last newline can't be the torn tail of
// a write, or nothing if they can.
func misfit(tail []byte, seq int, sum uint32) string {
	tail = bytes.TrimRight(tail, "\x00")
	if len(tail) >= MaxLine {
		return "it is longer than 1 MiB"
	}
	if n := len(tail) - 1; n > 0 {
		if _, _, err := parse(tail[:n], seq, sum); err == nil {
			return "another byte stands where its newline should"
		}
	}
	return ""
}

// parse reads the line of record seq, given without its newline, and the
// checksum of the line before. It returns the checksum of the line. The error
// ends a sentence on the line.
func parse(line []byte, seq int, sum uint32) (Record, uint32, error) {
	if len(line) >= MaxLine {
		return Record{}, 0, errors.New("it is longer than 1 MiB")
	}
	form := errors.New("it does not have the form in which rinseby writes")
	body, want, ok := split(line)
	if !ok {
		return Record{}, 0, form
	}
	rec, ok := parseBody(body)
	if !ok || check(rec, rec.Seq) != nil || !bytes.Equal(appendBody(nil, rec), body) {
		return Record{}, 0, form
	}
	if rec.Seq != seq {
		return Record{}, 0, fmt.Errorf("it holds record %d where record %d belongs", rec.Seq, seq)
	}
	if sum = crc32.Update(sum, castagnoli, body); sum != want {
		return Record{}, 0, errors.New("its checksum does not match, so it was changed or a line before it was")
	}
	return rec, sum, nil
}

// split parts a line, given without its newline, into what the checksum
// covers and the checksum.
func split(line []byte) (body []byte, sum uint32, ok bool) {
	n := len(line) - crcLen
	if n < 0 {
		return nil, 0, false
	}
	text := cursor{rest: line[n:]}
	text.skip(crcKey)
	n64, err := strconv.ParseUint(text.until(`"`), 16, 32)
	text.skip("}")
	sum = uint32(n64)
	if text.bad || err != nil || !bytes.Equal(line[n+len(crcKey):], fmt.Appendf(nil, `%08x"}`, sum)) {
		return nil, 0, false
	}
	return line[:n:n], sum, true
}

// parseBody takes the values from where they stand in a line. The caller makes
// sure that they are written as they should be, which also finds numbers that
// do not fit.
func parseBody(body []byte) (r Record, ok bool) {
	c := cursor{rest: body}
	if bytes.HasPrefix(body, []byte(formatKey)) {
		c.skip(formatKey + strconv.Itoa(Version) + `","seq":`)
	} else {
		c.skip(`{"seq":`)
	}
	r.Seq = c.number(c.until(`,"kind":"`))
	r.Kind = c.until(`","when":"`)
	r.When = c.time(c.until(`","recorded":{"wall":"`))
	r.Recorded.Wall = c.time(c.until(`","boot":`))
	s, ms := c.number(c.until(`.`)), c.number(c.until(`,"boot_id":"`))
	r.Recorded.Boot = time.Duration(s)*time.Second + time.Duration(ms)*time.Millisecond
	r.Recorded.BootID = c.until(`"},"data":`)
	r.Data = c.rest
	return r, !c.bad
}

// cursor walks through a line. Once it is bad it stays so.
type cursor struct {
	rest []byte
	bad  bool
}

func (c *cursor) skip(s string) {
	rest, ok := bytes.CutPrefix(c.rest, []byte(s))
	c.rest, c.bad = rest, c.bad || !ok
}

// until returns the text before s and goes on behind s.
func (c *cursor) until(s string) string {
	text, rest, ok := bytes.Cut(c.rest, []byte(s))
	c.rest, c.bad = rest, c.bad || !ok
	return string(text)
}

func (c *cursor) number(s string) int {
	n, err := strconv.Atoi(s)
	c.bad = c.bad || err != nil || n < 0
	return n
}

func (c *cursor) time(s string) time.Time {
	t, err := time.Parse(timeLayout, s)
	c.bad = c.bad || err != nil
	return t
}
