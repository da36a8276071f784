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

// List lists all services, the newest first. Live ones are read and checked;
// of closed ones the summary tells, and those that it does not know are read
// and checked, and added to it. Problems, in the order of their paths, name
// files that are no services, services that can't be read, and files that
// others may read. The error says that the folder itself can't be read.
func (s *Store) List() ([]Entry, []Problem, error) {
	v, err := s.look()
	if err != nil {
		return nil, nil, err
	}
	type key struct {
		opened time.Time
		id     string
		from   int // of the entries, then of the summary
	}
	newest := make([]key, 0, len(v.entries)+len(v.closed.known))
	for i := range v.entries {
		newest = append(newest, key{v.entries[i].Opened, v.entries[i].ID, i})
	}
	for i := range v.closed.known {
		newest = append(newest, key{v.closed.known[i].Opened, v.closed.known[i].ID, len(v.entries) + i})
	}
	slices.SortFunc(newest, func(a, b key) int { return cmp.Or(b.opened.Compare(a.opened), cmp.Compare(a.id, b.id)) })
	sorted := make([]Entry, len(newest))
	for i, k := range newest {
		if k.from < len(v.entries) {
			sorted[i] = v.entries[k.from]
		} else {
			sorted[i] = s.entryOf(v.closed.known[k.from-len(v.entries)])
		}
	}
	slices.SortStableFunc(v.problems, func(a, b Problem) int { return strings.Compare(a.Path, b.Path) })
	return sorted, v.problems, nil
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
	for _, c := range v.closed.known {
		if later(c.Client, c.ID, c.Opened) {
			last = s.entryOf(c)
		}
	}
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
	live, there, problems, err := s.files()
	if err != nil {
		return v, fmt.Errorf("the folder of services can't be read; check its permissions: %w", err)
	}
	v.problems = problems
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
func (s *Store) entryOf(c history.Closed) Entry {
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
