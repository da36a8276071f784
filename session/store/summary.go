package store

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"runtime"
	"runtime/debug"
	"slices"
	"strings"
	"sync"
	"sync/atomic"

	"rinseby/session"
	"rinseby/session/history"
)

const (
	summaryFolder = "summary"
	indexName     = "index"
	writtenSuffix = ".new" // of a file of the summary that is being written
)

// looked is of how many closed services, the newest, the size and permissions
// are looked at each time: 2,000 take about 5 ms.
const looked = 2000

// everything is for [Store.catchUp] to read whatever the summary lacks.
const everything = 1 << 30

// batch is after how many logs, of many to be read, the summary is written, so
// that little is lost if the process ends meanwhile.
const batch = 2000

// An indexCache holds the index as it was read last.
type indexCache struct {
	sync.Mutex
	info fs.FileInfo
	read *history.Index
}

func (s *Store) summary(name string) string { return filepath.Join(s.dir, summaryFolder, name) }

// index reads the index. There is always one, if only an empty one that is not
// whole. It may not be changed.
func (s *Store) index() *history.Index {
	s.cache.Lock()
	defer s.cache.Unlock()
	f, err := openRegular(s.summary(indexName))
	if err != nil {
		return history.ParseIndex("")
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil || info.Size() > maxIndex {
		return history.ParseIndex("")
	}
	if was := s.cache.info; was != nil && os.SameFile(was, info) && was.Size() == info.Size() && was.ModTime().Equal(info.ModTime()) {
		return s.cache.read
	}
	var text strings.Builder
	text.Grow(int(info.Size()))
	_, _ = io.Copy(&text, io.LimitReader(f, info.Size())) // what is missing shows
	s.cache.info, s.cache.read = info, history.ParseIndex(text.String())
	return s.cache.read
}

// besideIndex does something while the index is read, so that it is there when
// it is asked for.
func (s *Store) besideIndex(do func()) {
	each(2, func(i int) {
		if i == 0 {
			do()
		} else {
			s.index()
		}
	})
}

// A shelf is what is in the closed folder: names only.
type shelf struct {
	mark  int64 // when it was changed, as known before it was looked at
	open  bool  // others may look into it
	names []leaf
}

// A leaf is a file of a folder, of which no more is kept than is asked for.
type leaf struct {
	name    string
	regular bool
}

// namesAtOnce is how many names are read at once.
const namesAtOnce = 1000

func (s *Store) shelf() (in shelf, err error) {
	d, err := os.Open(filepath.Join(s.dir, closedFolder))
	if err != nil {
		return in, err
	}
	defer d.Close()
	info, err := d.Stat()
	if err != nil {
		return in, err
	}
	in.mark, in.open = info.ModTime().UnixNano(), wide(info)
	for {
		some, err := d.ReadDir(namesAtOnce)
		for _, e := range some {
			in.names = append(in.names, leaf{e.Name(), e.Type().IsRegular()})
		}
		if errors.Is(err, io.EOF) {
			return in, nil
		}
		if err != nil {
			return in, err
		}
	}
}

// A caught is what is known of the closed folder.
type caught struct {
	index    *history.Index
	lines    []history.Line   // of the index, of the services that are there
	read     []history.Closed // which the index does not have
	odd      []Entry          // of services that should not be there
	problems []Problem
}

// each visits all closed services. What it shows is there until the next one.
func (c *caught) each(visit func(*history.Closed)) {
	for _, l := range c.lines {
		known := c.index.Closed(l)
		visit(&known)
	}
	for i := range c.read {
		visit(&c.read[i])
	}
}

// catchUp compares the summary with the closed folder, reads the logs of the
// services that it lacks, and amends it. If these are more than most, it reads
// none of them and is false.
//
// Names are always compared. So are sizes, if the folder was changed since the
// summary was last found to be complete, or others could look into it; else
// those of the newest services only. A closed log is never written again but
// from the live folder, so that is enough.
func (s *Store) catchUp(in shelf, most int) (c caught, ok bool) {
	ix := s.index()
	all, unsettled := ix.Mark != in.mark || in.open, in.open
	if in.open {
		c.problems = append(c.problems, openFolder(filepath.Join(s.dir, closedFolder)))
	}
	since := newest(ix, looked)
	var lacking []string
	c.index, c.lines = ix, make([]history.Line, 0, ix.Len())
	for _, e := range in.names {
		id, role := roleOf(e.name)
		if role == stranger || !e.regular {
			c.problems = append(c.problems, strange(s.closedFile(e)))
			continue
		}
		unsettled = unsettled || role == draft // it is to be tidied up
		line, listed := history.Line(0), false
		if role == service {
			line, listed = ix.Find(id)
		}
		if all || !listed || ix.Opened(line) >= since {
			info, err := os.Lstat(s.closedFile(e))
			if err == nil && wide(info) {
				unsettled = true
				c.problems = append(c.problems, openFile(s.closedFile(e)))
			}
			listed = listed && err == nil && info.Size() == ix.Closed(line).Size
		}
		switch {
		case listed:
			c.lines = append(c.lines, line)
		case role == service:
			lacking = append(lacking, id)
		}
	}
	if len(lacking) > most {
		return c, false
	}
	mark := in.mark
	if unsettled {
		mark = 0
	}
	s.fillIn(&c, lacking, mark)
	return c, true
}

func (s *Store) closedFile(e leaf) string { return filepath.Join(s.dir, closedFolder, e.name) }

// newest is the moment, in seconds since 1970, from which on at least so many
// services were opened.
func newest(ix *history.Index, n int) int64 {
	if ix.Len() <= n {
		return math.MinInt64
	}
	opened := make([]int64, 0, ix.Len())
	for l := range ix.All {
		opened = append(opened, ix.Opened(l))
	}
	slices.Sort(opened)
	return opened[len(opened)-n]
}

// fillIn reads the logs of the services that the summary lacks, and amends it.
func (s *Store) fillIn(c *caught, lacking []string, mark int64) {
	gone := c.lost()
	var add []history.Closed
	for ids := range slices.Chunk(lacking, batch) {
		if len(add) > 0 {
			_ = s.amend(add, nil, 0) // else the next one reads them again
			add = nil
		}
		for i, r := range s.readAll(ids) {
			switch {
			case r.err != nil:
				c.problems = append(c.problems, Problem{s.path(closedFolder, ids[i]), r.err})
			case r.closed.ID == "":
				c.odd = append(c.odd, r.entry)
			default:
				add = append(add, r.closed)
			}
		}
		c.read = append(c.read, add...)
	}
	known := len(c.lines) + len(c.read)
	if len(add)+len(gone) > 0 || known > 0 && (!c.index.Whole || mark != 0 && mark != c.index.Mark) {
		_ = s.amend(add, gone, mark) // the same
	}
}

// lost are the services of the index that are not there any more.
func (c *caught) lost() (gone []string) {
	if len(c.lines) == c.index.Len() {
		return nil
	}
	here := make(map[history.Line]bool, len(c.lines))
	for _, l := range c.lines {
		here[l] = true
	}
	for l := range c.index.All {
		if !here[l] {
			gone = append(gone, c.index.Closed(l).ID)
		}
	}
	return gone
}

// A reading is what came of the log of a closed service: what the index is to
// say, or, of one that is not closed or was moved just now, its entry.
type reading struct {
	closed history.Closed
	entry  Entry
	err    error
}

// readAll reads logs, as many at once as there are processors.
func (s *Store) readAll(ids []string) []reading {
	out := make([]reading, len(ids))
	each(len(ids), func(i int) { out[i] = s.readClosed(ids[i]) })
	return out
}

// each calls f for 0 to n-1, on all processors. A panic of f is one of each.
func each(n int, f func(i int)) {
	var next atomic.Int64
	var first atomic.Pointer[panicked]
	var wait sync.WaitGroup
	for range min(n, runtime.GOMAXPROCS(0)) {
		wait.Go(func() {
			defer func() {
				if r := recover(); r != nil {
					first.CompareAndSwap(nil, &panicked{r, string(debug.Stack())})
				}
			}()
			for i := int(next.Add(1)) - 1; i < n; i = int(next.Add(1)) - 1 {
				f(i)
			}
		})
	}
	wait.Wait()
	if p := first.Load(); p != nil {
		panic(p)
	}
}

// A panicked is a panic of another goroutine, and where it was.
type panicked struct {
	value any
	stack string
}

// Stack says what was first wrong, and where. Only what the runtime says is
// repeated: other values may hold text from a service.
func (p *panicked) Stack() string {
	if err, ok := p.value.(runtime.Error); ok {
		return err.Error() + "\n" + p.stack
	}
	return fmt.Sprintf("%T\n%s", p.value, p.stack)
}

func (s *Store) readClosed(id string) (r reading) {
	path := s.path(closedFolder, id)
	before := sizeOf(path)
	l, err := s.Read(id) // by id: it may have moved since
	if err != nil {
		return reading{err: err}
	}
	r.entry = entry(l, path)
	if !r.entry.Live && before == sizeOf(path) && before > 0 {
		r.closed = closedLine(r.entry, before)
	}
	return r
}

// sizeOf is the size of a file, or -1.
func sizeOf(path string) int64 {
	info, err := os.Lstat(path)
	if err != nil || !info.Mode().IsRegular() {
		return -1
	}
	return info.Size()
}

// closedLine is what the index says of a service.
func closedLine(e Entry, size int64) history.Closed {
	return history.Closed{
		ID: e.ID, Size: size, Events: e.Events, Opened: e.Opened, Closed: e.Closed, Invented: e.Invented,
		Client: e.Client, Stylist: e.Stylist, Station: e.Station, ZoneList: e.ZoneList,
	}
}

// errFrozen says that a folder is not ours to write in.
var errFrozen = errors.New("nothing is written in this folder; open it as the folder of services")

// amend adds services to the index and takes out those that are gone, unless
// that was overtaken. It marks it as complete if mark is not 0 and still the
// time of the last change.
func (s *Store) amend(add []history.Closed, gone []string, mark int64) error {
	if s.frozen {
		return errFrozen
	}
	unlock, err := s.lock()
	if err != nil {
		return err
	}
	defer unlock()
	if s.closedMark() != mark {
		mark = 0
	}
	add = slices.DeleteFunc(add, func(c history.Closed) bool { return sizeOf(s.path(closedFolder, c.ID)) != c.Size })
	gone = slices.DeleteFunc(gone, func(id string) bool { return sizeOf(s.path(closedFolder, id)) >= 0 })
	ix := s.index()
	if ix.Whole && ix.Spent < ix.Len()/4+spent {
		var lines []byte
		for _, id := range gone {
			lines = history.AppendGone(lines, id)
		}
		for _, c := range add {
			lines = history.AppendClosed(lines, c)
		}
		if mark != 0 {
			lines = history.AppendMark(lines, mark)
		}
		return s.appendIndex(lines)
	}
	return s.writeSummary(indexName, ix.Text(add, gone, mark))
}

// spent is how many lines of the index may count no more, beyond a quarter of
// those that do, before it is written anew.
const spent = 1000

// appendIndex adds lines to the index. The store's own lock must be held.
func (s *Store) appendIndex(lines []byte) error {
	if s.frozen || len(lines) == 0 {
		return nil
	}
	if err := mayOpen(s.summary(indexName)); err != nil {
		return err
	}
	f, err := os.OpenFile(s.summary(indexName), os.O_RDWR|os.O_APPEND, 0)
	if errors.Is(err, fs.ErrNotExist) {
		return s.writeSummary(indexName, append(history.NewIndex(), lines...))
	}
	if err != nil {
		return err
	}
	if end, _ := tail(f, 1); end != "\n" {
		lines = append([]byte("\n"), lines...) // the torn line shows as damaged
	}
	_, err = f.Write(lines)
	return errors.Join(err, f.Close())
}

// tail is what a file ends with, at most so many bytes, or empty if it can't
// be read; and how large it is.
func tail(f *os.File, n int64) (string, int64) {
	info, err := f.Stat()
	if err != nil {
		return "", 0
	}
	end := make([]byte, min(n, info.Size()))
	if _, err := f.ReadAt(end, info.Size()-int64(len(end))); err != nil {
		return "", 0
	}
	return string(end), info.Size()
}

// closedMark is when the closed folder was last changed, or 0.
func (s *Store) closedMark() int64 {
	info, err := os.Stat(filepath.Join(s.dir, closedFolder))
	if err != nil {
		return 0
	}
	return info.ModTime().UnixNano()
}

// marked reports whether the index ends with a mark of the closed folder as it
// is now, and how large it is.
func (s *Store) marked() (ok bool, size int64) {
	f, err := openRegular(s.summary(indexName))
	if err != nil {
		return false, 0
	}
	defer f.Close()
	end, size := tail(f, 100)
	mark := history.LastMark(end)
	return mark != 0 && mark == s.closedMark(), size
}

// settled reports whether there are thousands of closed services, by the size
// of the index, and nothing was changed among them since all were looked at.
func (s *Store) settled() bool {
	marked, size := s.marked()
	return marked && size > 300*looked
}

// noting makes a change in the closed folder and adds to the index what line
// says of it then. An index that was complete stays so. What goes wrong with
// it shows when it is next compared. The store's own lock must be held.
func (s *Store) noting(change func() error, line func() []byte) error {
	marked, _ := s.marked()
	if err := change(); err != nil {
		return err
	}
	lines := line()
	if marked && len(lines) > 0 {
		lines = history.AppendMark(lines, s.closedMark())
	}
	_ = s.appendIndex(lines)
	return nil
}

// putAway moves a service, of which this is the log, to the closed folder.
// The store's own lock must be held, and nobody may run the service.
func (s *Store) putAway(id string, l *session.Log) error {
	return s.noting(func() error { return s.move(id, liveFolder, closedFolder) }, func() []byte { return s.lineOf(l) })
}

// takeOut moves a service back to the live folder, as putAway does.
func (s *Store) takeOut(id string) error {
	return s.noting(func() error { return s.move(id, closedFolder, liveFolder) }, func() []byte { return history.AppendGone(nil, id) })
}

// lineOf is the line of the index for a log in the closed folder; none if it is
// not that of a closed service.
func (s *Store) lineOf(l *session.Log) []byte {
	path := s.path(closedFolder, l.State().Service)
	e, size := entry(l, path), sizeOf(path)
	if e.Live || size <= 0 {
		return nil
	}
	return history.AppendClosed(nil, closedLine(e, size))
}

// writeSummary writes a file of the summary in one go. The store's own lock
// must be held.
func (s *Store) writeSummary(name string, text []byte) error {
	if s.frozen {
		return errFrozen
	}
	if err := makeFolder(filepath.Join(s.dir, summaryFolder)); err != nil {
		return err
	}
	return replaceFile(s.summary(name), text)
}
