package history

import (
	"hash/crc32"
	"maps"
	"math"
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

	text  string // that it was read from
	lines []line // of all services that it ever had, in the order in which they came in
	at    map[string]Line
}

// A Line is the place of a service in an index.
type Line int32

// A line is where in the text it says what of a service. One that was taken out
// is empty.
type line struct {
	from, to uint32
	opened   int64 // seconds since 1970
}

const indexHead = "rinseby index 1\n"

var castagnoli = crc32.MakeTable(crc32.Castagnoli)

// ParseIndex reads an index, of up to 4 GiB. Damaged lines are left out. What is
// said of a service is taken from the text when it is asked for.
func ParseIndex(text string) *Index {
	n := len(text) / 100
	ix := &Index{text: text, lines: make([]line, 0, n), at: make(map[string]Line, n)}
	if !strings.HasPrefix(text, indexHead) || len(text) > math.MaxUint32 {
		return ix
	}
	ix.Whole = true
	var m summer
	for from := len(indexHead); from < len(text); {
		n := strings.IndexByte(text[from:], '\n')
		if n < 0 || !ix.take(&m, from, from+n) {
			ix.Whole = false
		}
		if n < 0 {
			break
		}
		from += n + 1
	}
	if !ix.Whole {
		ix.Mark = 0
	}
	return ix
}

// take takes one line in. It is false if the line is damaged.
func (ix *Index) take(m *summer, from, to int) bool {
	kind, rest, ok := m.parted(ix.text[from:to])
	if !ok {
		return false
	}
	ix.Mark = 0
	switch kind {
	case '=':
		mark, err := strconv.ParseInt(rest, 10, 64)
		ix.Mark = mark
		ix.Spent++
		return err == nil
	case '-':
		ix.Spent++
		ix.remove(rest)
		return true
	case '+':
		c, ok := parseClosed(rest)
		if ok {
			ix.put(c.ID, line{uint32(from + 2), uint32(from + 2 + len(rest)), c.Opened.Unix()})
		}
		return ok
	}
	return false
}

// parted tells the kind of a line and what follows it. It is false if the line
// is damaged.
func (m *summer) parted(line string) (kind byte, rest string, ok bool) {
	body, ok := m.checked(line)
	if !ok || len(body) < 3 || body[1] != '\t' {
		return 0, "", false
	}
	return body[0], body[2:], true
}

// checked cuts the checksum off a line.
func (m *summer) checked(line string) (body string, ok bool) {
	i := len(line) - 9
	if i < 0 || line[i] != '\t' {
		return "", false
	}
	var want [8]byte
	hex8(&want, m.sum(line[:i]))
	return line[:i], line[i+1:] == string(want[:])
}

// A summer makes checksums of texts. It is there so that its block is made once.
type summer struct{ block [512]byte }

func (m *summer) sum(s string) uint32 {
	sum := uint32(0)
	for len(s) > 0 {
		n := copy(m.block[:], s)
		sum, s = crc32.Update(sum, castagnoli, m.block[:n]), s[n:]
	}
	return sum
}

func hex8(to *[8]byte, sum uint32) {
	const digits = "0123456789abcdef"
	for i := range to {
		to[i] = digits[sum>>(28-4*i)&15]
	}
}

// put adds a service, or replaces what is said of it.
func (ix *Index) put(id string, l line) {
	if i, here := ix.at[id]; here {
		ix.lines[i] = l
		ix.Spent++
		return
	}
	ix.at[id] = Line(len(ix.lines))
	ix.lines = append(ix.lines, l)
}

// remove takes a service out.
func (ix *Index) remove(id string) {
	if i, here := ix.at[id]; here {
		delete(ix.at, id)
		ix.lines[i] = line{}
		ix.Spent++
	}
}

// Find is where a service is.
func (ix *Index) Find(id string) (Line, bool) {
	i, here := ix.at[id]
	return i, here
}

// Len is how many services there are.
func (ix *Index) Len() int { return len(ix.at) }

// All visits each service, in the order of the lines, until visit is false.
func (ix *Index) All(visit func(Line) bool) {
	for i, l := range ix.lines {
		if l.to > 0 && !visit(Line(i)) {
			return
		}
	}
}

// Closed is what is said of a service.
func (ix *Index) Closed(l Line) Closed {
	c, _ := readClosed(ix.text[ix.lines[l].from:ix.lines[l].to]) // it was parsed once
	return c
}

// Opened is when a service was opened, in seconds since 1970.
func (ix *Index) Opened(l Line) int64 { return ix.lines[l].opened }

// Text is the whole index without the services that are gone and with those to
// add, in the place of what was said of the same ones; in the order of their
// ids, with a mark if it is not 0.
func (ix *Index) Text(add []Closed, gone []string, mark int64) []byte {
	all := make(map[string]Closed, ix.Len()+len(add))
	for l := range ix.All {
		c := ix.Closed(l)
		all[c.ID] = c
	}
	for _, id := range gone {
		delete(all, id)
	}
	for _, c := range add {
		all[c.ID] = c
	}
	out := make([]byte, 0, len(indexHead)+180*len(all))
	out = append(out, indexHead...)
	for _, id := range slices.Sorted(maps.Keys(all)) {
		out = AppendClosed(out, all[id])
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
	kind, rest, ok := new(summer).parted(line[strings.LastIndexByte(line, '\n')+1:])
	mark, err := strconv.ParseInt(rest, 10, 64)
	if !ok || kind != '=' || err != nil {
		return 0
	}
	return mark
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
	rest    string
	escaped bool // some field has an escape
	bad     bool
}

func (f *fieldReader) text() string {
	s := f.rest
	if i := strings.IndexByte(s, '\t'); i >= 0 {
		s, f.rest = s[:i], s[i+1:]
	} else {
		f.rest = ""
	}
	if f.escaped {
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
	return readClosed(s)
}

// readClosed reads a line that has all its fields.
func readClosed(s string) (c Closed, ok bool) {
	f := fieldReader{rest: s, escaped: strings.IndexByte(s, '\\') >= 0}
	c.ID = f.text()
	c.Size, c.Events = f.number(), int(f.number())
	c.Opened, c.Closed = f.moment(), f.moment()
	c.Invented = f.text() == "i"
	c.Client, c.Stylist, c.Station, c.ZoneList = f.text(), f.text(), f.text(), f.text()
	return c, !f.bad && c.ID != ""
}
