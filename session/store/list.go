package store

import (
	"cmp"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"rinseby/session/history"
	"rinseby/session/journal"
)

// A Listing is all services of a store at one moment, the newest first. What is
// known of a closed one is taken from the summary when it is asked for. The zero
// value has none.
type Listing struct {
	s       *Store
	entries []Entry // of what closed does not have
	closed  caught
	order   []place
}

// A place is that of a service in a listing.
type place struct {
	opened int64 // seconds since 1970
	from   int32 // of the entries, then of those that were read, then of the lines
}

// Len is how many services there are.
func (l *Listing) Len() int { return len(l.order) }

// Live reports whether the i-th service is live.
func (l *Listing) Live(i int) bool {
	from := int(l.order[i].from)
	return from < len(l.entries) && l.entries[from].Live
}

// At is the i-th service.
func (l *Listing) At(i int) Entry { return l.entry(l.order[i]) }

func (l *Listing) entry(p place) Entry {
	from := int(p.from)
	if from < len(l.entries) {
		return l.entries[from]
	}
	if from -= len(l.entries); from < len(l.closed.read) {
		return l.s.entryOf(&l.closed.read[from])
	}
	c := l.closed.index.Closed(l.closed.lines[from-len(l.closed.read)])
	return l.s.entryOf(&c)
}

// All visits all services, until visit is false.
func (l *Listing) All(visit func(Entry) bool) {
	for i := range l.order {
		if !visit(l.At(i)) {
			return
		}
	}
}

// Lives are the live services, the newest first.
func (l *Listing) Lives() (live []Entry) {
	for i := range l.order {
		if l.Live(i) {
			live = append(live, l.At(i))
		}
	}
	return live
}

// OwnAre says which services whoever lists them runs, so that nobody else is
// said to.
func (l *Listing) OwnAre(own func(id string) bool) {
	for i := range l.entries {
		if own(l.entries[i].ID) {
			l.entries[i].Busy = nil
		}
	}
}

// sort puts all services in their order.
func (l *Listing) sort() {
	c := &l.closed
	l.order = make([]place, 0, len(l.entries)+len(c.read)+len(c.lines))
	add := func(opened int64) { l.order = append(l.order, place{opened, int32(len(l.order))}) }
	for i := range l.entries {
		add(l.entries[i].Opened.Unix())
	}
	for i := range c.read {
		add(c.read[i].Opened.Unix())
	}
	for _, line := range c.lines {
		add(c.index.Opened(line))
	}
	slices.SortFunc(l.order, func(a, b place) int {
		if by := cmp.Compare(b.opened, a.opened); by != 0 || a.from == b.from {
			return by
		}
		x, y := l.entry(a), l.entry(b)
		return cmp.Or(y.Opened.Compare(x.Opened), cmp.Compare(x.ID, y.ID))
	})
}

// List lists all services, the newest first. Live ones are read and checked;
// of closed ones the summary tells, and those that it does not know are read
// and checked, and added to it. Problems, in the order of their paths, name
// files that are no services, services that can't be read, and files that
// others may read. The error says that the folder itself can't be read.
func (s *Store) List() (*Listing, []Problem, error) {
	v, err := s.look()
	if err != nil {
		return nil, nil, err
	}
	l := &Listing{s: s, entries: v.entries, closed: v.closed}
	l.sort()
	slices.SortStableFunc(v.problems, func(a, b Problem) int { return strings.Compare(a.Path, b.Path) })
	return l, v.problems, nil
}

// LastOf finds the closed service of the client that was opened last, for a
// visit that repeats it. Case, and blanks around the name, don't count. It is
// false if there is none.
func (s *Store) LastOf(client string) (Entry, bool, error) {
	if strings.TrimSpace(client) == "" {
		return Entry{}, false, nil
	}
	v, err := s.look()
	if err != nil {
		return Entry{}, false, err
	}
	var last Entry
	later := func(who, id string, opened time.Time) bool {
		after := cmp.Or(opened.Compare(last.Opened), cmp.Compare(last.ID, id)) > 0
		return history.Same(who, client) && (last.ID == "" || after)
	}
	for _, e := range v.entries {
		if !e.Live && later(e.Client, e.ID, e.Opened) {
			last = e
		}
	}
	v.closed.each(func(c *history.Closed) {
		if later(c.Client, c.ID, c.Opened) {
			last = s.entryOf(c)
		}
	})
	return last, last.ID != "", nil
}

// A view is what is in the folder.
type view struct {
	closed   caught
	entries  []Entry // of what closed does not have
	problems []Problem
}

// look looks at both folders.
func (s *Store) look() (v view, err error) {
	var live []found
	var there shelf
	s.besideIndex(func() { live, there, v.problems, err = s.files() })
	if err != nil {
		return v, fmt.Errorf("the folder of services can't be read; check its permissions: %w", err)
	}
	for _, f := range live {
		l, err := s.Read(f.id) // by id: it may have moved since
		if err != nil {
			v.problems = append(v.problems, Problem{f.path, err})
			continue
		}
		e := entry(l, f.path)
		e.Busy = f.busy
		v.entries = append(v.entries, e)
	}
	v.closed, _ = s.catchUp(there, everything)
	v.entries = append(v.entries, v.closed.odd...)
	v.problems = append(v.problems, v.closed.problems...)
	return v, nil
}

// entryOf makes an entry of what the summary says.
func (s *Store) entryOf(c *history.Closed) Entry {
	return Entry{
		ID: c.ID, Client: c.Client, Stylist: c.Stylist, Station: c.Station, ZoneList: c.ZoneList,
		Opened: c.Opened, Closed: c.Closed, Path: s.path(closedFolder, c.ID), Events: c.Events, Invented: c.Invented,
	}
}

// files looks for services in both folders at once, so that none that moves
// is missed or seen twice. Where the store's own lock can't be had, as in a
// folder that may only be read, that may happen, and nobody is seen to run
// any.
func (s *Store) files() (live []found, closed shelf, problems []Problem, err error) {
	unlock, lockErr := s.lock()
	if lockErr == nil {
		defer unlock()
	}
	if live, problems, err = s.scan(); err != nil {
		return nil, shelf{}, nil, err
	}
	for i, f := range live {
		if lockErr == nil {
			live[i].busy = runner(f.path)
		}
	}
	closed, err = s.shelf()
	return live, closed, problems, err
}

// A found is a file that should hold a service.
type found struct {
	id, path string
	busy     *journal.Holder
}

// scan looks at the live folder.
func (s *Store) scan() (in []found, problems []Problem, err error) {
	dir := filepath.Join(s.dir, liveFolder)
	if info, err := os.Stat(dir); err == nil && wide(info) {
		problems = append(problems, openFolder(dir))
	}
	entries, err := os.ReadDir(dir)
	for _, e := range entries {
		path := filepath.Join(dir, e.Name())
		id, role := roleOf(e.Name())
		if role == stranger || !e.Type().IsRegular() {
			problems = append(problems, strange(path))
			continue
		}
		if info, err := e.Info(); err == nil && wide(info) {
			problems = append(problems, openFile(path))
		}
		if role == service {
			in = append(in, found{id: id, path: path})
		}
	}
	return in, problems, err
}

func openFolder(path string) Problem {
	return Problem{path, errors.New("others may look into this folder: take their permissions away (chmod 700)")}
}

func openFile(path string) Problem {
	return Problem{path, errors.New("others may read this file: take their permissions away (chmod 600)")}
}

func strange(path string) Problem {
	return Problem{path, errors.New("this is no service of rinseby's, so it was passed over: move it elsewhere")}
}
