package history

import (
	"cmp"
	"hash/crc32"
	"maps"
	"slices"
	"strconv"
	"strings"
	"time"
)

// A Closed is what the index says of a closed service.
type Closed struct {
	ID             string
	Size           int64 // of its log, in bytes
	Events         int
	Opened, Closed time.Time
	Invented       bool
	Client         string
	Stylist        string
	Station        string
	ZoneList       string
}

// An Index has a line for each closed service of a folder.
//
// It is text. The first line names its version. Each line after it ends with
// its own checksum (CRC-32C, 8 hexadecimal digits) and is one of these, with
// tabs between its fields:
//
//   - id  size  events  opened  closed  flag  client  stylist  station  zone list
//   - id
//     =  mark
//
// A later line for the same service takes the place of the earlier one; "-"
// takes the service out. Moments are seconds and nanoseconds since 1970; the
// flag is "i" for invented, else "-". Tabs, newlines and backslashes in names
// are written as in Go. A mark says that the index was complete when the
// folder had that time of change; any line after it that is none takes that
// back.
type Index struct {
	// Mark is that of the last line, or 0.
	Mark int64
	// Whole says that the version is ours and no line is damaged. If it is
	// not, what is here may be out of date.
	Whole bool
	// Spent is how many lines count no more.
	Spent int

	lines []Closed
	at    map[string]int32
	gone  int
}

const indexHead = "rinseby index 1\n"

var castagnoli = crc32.MakeTable(crc32.Castagnoli)

// ParseIndex reads an index. Damaged lines are left out.
func ParseIndex(text string) *Index {
	n := len(text) / 100
	ix := &Index{lines: make([]Closed, 0, n), at: make(map[string]int32, n)}
	rest, ours := strings.CutPrefix(text, indexHead)
	if !ours {
		return ix
	}
	ix.Whole = true
	for len(rest) > 0 {
		line, after, ended := strings.Cut(rest, "\n")
		rest = after
		if !ended || !ix.take(line) {
			ix.Whole, ix.Mark = false, 0
		}
	}
	if !ix.Whole {
		ix.Mark = 0
	}
	return ix
}

// take takes one line in. It is false if the line is damaged.
func (ix *Index) take(line string) bool {
	body, ok := checked(line)
	if !ok || len(body) < 3 || body[1] != '\t' {
		return false
	}
	kind, rest := body[0], body[2:]
	switch kind {
	case '=':
		mark, err := strconv.ParseInt(rest, 10, 64)
		ix.Mark = mark
		ix.Spent++
		return err == nil
	case '-':
		ix.Mark = 0
		ix.Spent++
		ix.Remove(rest)
		return true
	case '+':
		ix.Mark = 0
		c, ok := parseClosed(rest)
		if ok {
			ix.Put(c)
		}
		return ok
	}
	return false
}

// checked cuts the checksum off a line.
func checked(line string) (body string, ok bool) {
	i := len(line) - 9
	if i < 0 || line[i] != '\t' {
		return "", false
	}
	var want [8]byte
	hex8(&want, checksum(line[:i]))
	return line[:i], line[i+1:] == string(want[:])
}

// checksum is that of a text.
func checksum(s string) uint32 {
	var block [512]byte
	sum := uint32(0)
	for len(s) > 0 {
		n := copy(block[:], s)
		sum, s = crc32.Update(sum, castagnoli, block[:n]), s[n:]
	}
	return sum
}

func hex8(to *[8]byte, sum uint32) {
	const digits = "0123456789abcdef"
	for i := range to {
		to[i] = digits[sum>>(28-4*i)&15]
	}
}

// Put adds a service, or replaces what is said of it.
func (ix *Index) Put(c Closed) {
	if i, here := ix.at[c.ID]; here {
		ix.lines[i] = c
		ix.Spent++
		return
	}
	ix.at[c.ID] = int32(len(ix.lines))
	ix.lines = append(ix.lines, c)
}

// Remove takes a service out.
func (ix *Index) Remove(id string) {
	if i, here := ix.at[id]; here {
		delete(ix.at, id)
		ix.lines[i].ID = ""
		ix.gone++
		ix.Spent++
	}
}

// Clone is a copy that can be changed by itself.
func (ix *Index) Clone() *Index {
	c := *ix
	c.lines, c.at = slices.Clone(ix.lines), maps.Clone(ix.at)
	return &c
}

// Find returns what is said of a service.
func (ix *Index) Find(id string) (Closed, bool) {
	i, here := ix.at[id]
	if !here {
		return Closed{}, false
	}
	return ix.lines[i], true
}

// Len is how many services there are.
func (ix *Index) Len() int { return len(ix.lines) - ix.gone }

// All visits each service, in the order of the lines, until visit is false.
func (ix *Index) All(visit func(*Closed) bool) {
	for i := range ix.lines {
		if ix.lines[i].ID != "" && !visit(&ix.lines[i]) {
			return
		}
	}
}

// Text is the whole index, the services in the order of their ids, with a
// mark if it is not 0.
func (ix *Index) Text(mark int64) []byte {
	lines := slices.Clone(ix.lines)
	slices.SortFunc(lines, func(a, b Closed) int { return cmp.Compare(a.ID, b.ID) })
	out := make([]byte, 0, len(indexHead)+180*len(lines))
	out = append(out, indexHead...)
	for _, c := range lines {
		if c.ID != "" {
			out = AppendClosed(out, c)
		}
	}
	if mark != 0 {
		out = AppendMark(out, mark)
	}
	return out
}

// NewIndex is the text of an index without services.
func NewIndex() []byte { return []byte(indexHead) }

// AppendClosed adds the line that puts a service in.
func AppendClosed(out []byte, c Closed) []byte {
	from := len(out)
	out = append(out, "+\t"...)
	out = appendText(out, c.ID)
	out = strconv.AppendInt(out, c.Size, 10)
	out = strconv.AppendInt(append(out, '\t'), int64(c.Events), 10)
	out = appendMoment(append(out, '\t'), c.Opened)
	out = appendMoment(out, c.Closed)
	if c.Invented {
		out = append(out, "i\t"...)
	} else {
		out = append(out, "-\t"...)
	}
	out = appendText(out, c.Client)
	out = appendText(out, c.Stylist)
	out = appendText(out, c.Station)
	out = appendText(out, c.ZoneList)
	return seal(out[:len(out)-1], from)
}

// AppendGone adds the line that takes a service out.
func AppendGone(out []byte, id string) []byte {
	from := len(out)
	return seal(append(append(out, "-\t"...), id...), from)
}

// AppendMark adds a mark.
func AppendMark(out []byte, mark int64) []byte {
	from := len(out)
	return seal(strconv.AppendInt(append(out, "=\t"...), mark, 10), from)
}

// LastMark is the mark of an index of which this is the end, or 0.
func LastMark(end string) int64 {
	line, ended := strings.CutSuffix(end, "\n")
	if !ended {
		return 0
	}
	line = line[strings.LastIndexByte(line, '\n')+1:]
	var ix Index
	if !strings.HasPrefix(line, "=") || !ix.take(line) {
		return 0
	}
	return ix.Mark
}

// seal ends a line that begins at from.
func seal(out []byte, from int) []byte {
	var sum [8]byte
	hex8(&sum, crc32.Checksum(out[from:], castagnoli))
	out = append(append(out, '\t'), sum[:]...)
	return append(out, '\n')
}

func appendMoment(out []byte, t time.Time) []byte {
	out = strconv.AppendInt(out, t.Unix(), 10)
	out = strconv.AppendInt(append(out, '\t'), int64(t.Nanosecond()), 10)
	return append(out, '\t')
}

var (
	escape   = strings.NewReplacer(`\`, `\\`, "\t", `\t`, "\n", `\n`)
	unescape = strings.NewReplacer(`\\`, `\`, `\t`, "\t", `\n`, "\n")
)

func appendText(out []byte, s string) []byte {
	if strings.ContainsAny(s, "\\\t\n") {
		s = escape.Replace(s)
	}
	return append(append(out, s...), '\t')
}

// A fieldReader takes the fields of a line, one after the other.
type fieldReader struct {
	rest string
	bad  bool
}

func (f *fieldReader) text() string {
	var s string
	s, f.rest, _ = strings.Cut(f.rest, "\t")
	if strings.IndexByte(s, '\\') >= 0 {
		s = unescape.Replace(s)
	}
	return s
}

func (f *fieldReader) number() int64 {
	n, err := strconv.ParseInt(f.text(), 10, 64)
	f.bad = f.bad || err != nil
	return n
}

func (f *fieldReader) moment() time.Time {
	sec, nano := f.number(), f.number()
	return time.Unix(sec, nano).UTC()
}

func parseClosed(s string) (c Closed, ok bool) {
	if strings.Count(s, "\t") != 11 {
		return c, false
	}
	f := fieldReader{rest: s}
	c.ID = f.text()
	c.Size, c.Events = f.number(), int(f.number())
	c.Opened, c.Closed = f.moment(), f.moment()
	c.Invented = f.text() == "i"
	c.Client, c.Stylist, c.Station, c.ZoneList = f.text(), f.text(), f.text(), f.text()
	return c, !f.bad && c.ID != ""
}
