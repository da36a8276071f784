package store

import (
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"rinseby/session/history"
)

// Of lists the services of a client, the newest first, live ones among them.
// Case, and blanks around the name, don't count. Damaged logs are there if
// what is intact tells whose they are. The error says that the folder can't be
// read.
func (s *Store) Of(client string) ([]Entry, error) {
	l, problems, err := s.List()
	if err != nil {
		return nil, err
	}
	var all []Entry
	amiss := map[string]string{} // paths by id
	for _, p := range problems {
		if id, role := roleOf(filepath.Base(p.Path)); role == service && mayOpen(p.Path) == nil {
			amiss[id] = p.Path
		}
	}
	for e := range l.All {
		delete(amiss, e.ID)
		if history.Same(e.Client, client) {
			all = append(all, e)
		}
	}
	for _, id := range slices.Sorted(maps.Keys(amiss)) {
		if l, _ := load(amiss[id]); l != nil { // what is wrong with it, List told
			e := entry(l, amiss[id])
			e.ID = id
			if history.Same(e.Client, client) {
				all = append(all, e)
			}
		}
	}
	return all, nil
}

// Forget removes services for good, as [Store.Of] or [Store.Find] gave them:
// their logs, with what was set aside from them, their marks, and what the
// summary says of them. How long things took their stylist stays, for closed
// services whose logs are whole, in a file that tells nothing of the client, so
// that [Store.Usuals] is as before.
//
// A live service must be run by nobody: the error is then a [journal.Busy], and
// nothing is removed. After any other error some of it may be gone; to try
// again does the rest.
func (s *Store) Forget(services ...Entry) error {
	unlock, err := s.lock()
	if err != nil {
		return err
	}
	defer unlock()
	for _, e := range services {
		path, retired, err := s.locate(e.ID)
		switch {
		case errors.Is(err, ErrNotFound):
		case err != nil:
			return err
		case !retired:
			release, err := hold(path)
			if err != nil {
				return err
			}
			defer release()
		}
	}
	for _, e := range services {
		if err := s.keepTimes(e); err != nil {
			return fmt.Errorf("the times of %s can't be kept, so nothing of it was removed; check the disk: %w", e.ID, err)
		}
	}
	if err := s.clearSummary(services); err != nil {
		return fmt.Errorf("the summary can't be written anew, so no service was removed; check the disk: %w", err)
	}
	for _, e := range services {
		if err := s.removeAll(e.ID); err != nil {
			return fmt.Errorf("not all of %s could be removed; check the permissions in %s, and try again: %w", e.ID, s.dir, err)
		}
	}
	return nil
}

// keepTimes writes down what a closed service tells of times. The store's own
// lock must be held.
func (s *Store) keepTimes(e Entry) error {
	path := s.path(closedFolder, e.ID)
	l, err := load(path)
	if err != nil || l.State().Live() {
		return nil // there is nothing to keep
	}
	t := history.Times{Stylist: l.State().Stylist, Basis: history.Basis{ID: e.ID, Size: sizeOf(path)}, Service: history.Of(l)}
	text, err := t.Without(l.State().Client).Encode()
	if err != nil {
		return err
	}
	dir := filepath.Join(s.dir, timesFolder)
	if err := makeFolder(dir); err != nil {
		return err
	}
	return replaceFile(filepath.Join(dir, e.ID+timesSuffix), text)
}

// clearSummary takes the services out of the index, of which no old line stays,
// and throws away the files of usual times that name a client of theirs: they
// come back. The store's own lock must be held.
func (s *Store) clearSummary(services []Entry) error {
	names, err := os.ReadDir(filepath.Join(s.dir, summaryFolder))
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return err
	}
	for _, n := range names {
		path := s.summary(n.Name())
		stale := strings.HasSuffix(n.Name(), writtenSuffix) // what somebody was writing when they were killed
		if n.Type().IsRegular() && strings.HasPrefix(n.Name(), "pace-") {
			stale = stale || slices.ContainsFunc(services, func(e Entry) bool {
				found, err := mentions(path, e.Client)
				return found || err != nil
			})
		}
		if stale {
			if err := os.Remove(path); err != nil && !errors.Is(err, fs.ErrNotExist) {
				return err
			}
		}
	}
	if _, err := os.Lstat(s.summary(indexName)); errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	gone := make([]string, len(services))
	for i, e := range services {
		gone[i] = e.ID
	}
	return s.writeSummary(indexName, s.index().Text(nil, gone, 0))
}

// removeAll removes the files of a service, the log last, so that it is found
// again if that is broken off. The store's own lock must be held.
func (s *Store) removeAll(id string) error {
	marks := s.MarksPath(id)
	beside, err := filepath.Glob(marks + "*") // what was being written, too
	if err != nil {
		return err
	}
	var logs []string
	for _, folder := range []string{liveFolder, closedFolder} {
		names, err := os.ReadDir(filepath.Join(s.dir, folder))
		if err != nil {
			return err
		}
		for _, n := range names {
			path := filepath.Join(s.dir, folder, n.Name())
			switch of, role := roleOf(n.Name()); {
			case of != id:
			case role == service:
				logs = append(logs, path)
			default:
				beside = append(beside, path)
			}
		}
	}
	for _, path := range append(beside, logs...) {
		if err := os.Remove(path); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return err
		}
	}
	return errors.Join(syncFolder(filepath.Join(s.dir, liveFolder)), syncFolder(filepath.Join(s.dir, closedFolder)))
}

// MarksPath is where the marks of a service of the store are kept.
func (s *Store) MarksPath(id string) string {
	return filepath.Join(s.dir, marksFolder, id+".marks.jsonl")
}

// times are those of the services that were forgotten. What can't be read is
// left out.
func (s *Store) times() map[string]history.Times {
	names, err := os.ReadDir(filepath.Join(s.dir, timesFolder))
	if err != nil {
		return nil
	}
	all := map[string]history.Times{}
	for _, n := range names {
		id, ours := strings.CutSuffix(n.Name(), timesSuffix)
		if !ours || !n.Type().IsRegular() {
			continue
		}
		text, err := readBounded(filepath.Join(s.dir, timesFolder, n.Name()), maxKept)
		if t, ok := history.DecodeTimes(text); err == nil && ok && t.Basis.ID == id {
			all[id] = t
		}
	}
	return all
}

// withTimes adds what is kept of services that were forgotten.
func (c *caught) withTimes(times map[string]history.Times) {
	if len(times) == 0 {
		return
	}
	here := map[string]bool{}
	c.each(func(known *history.Closed) { here[known.ID] = true })
	for id, t := range times {
		if !here[id] { // else it was brought back
			c.read = append(c.read, t.Closed())
		}
	}
}

// replaceFile writes a file beside its place and renames it.
func replaceFile(path string, text []byte) error {
	if err := writeFile(path+writtenSuffix, text); err != nil {
		return errors.Join(err, os.Remove(path+writtenSuffix))
	}
	return errors.Join(os.Rename(path+writtenSuffix, path), syncFolder(filepath.Dir(path)))
}
