package store

import (
	"crypto/rand"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"rinseby/session"
	"rinseby/session/journal"
)

var (
	// ErrNotFound says that there is no such service.
	ErrNotFound = errors.New("there is no such service; list the services to see their ids")
	// ErrClosed says that a service was closed and put away.
	ErrClosed = errors.New("the service is closed; reopen it to go on with it")
	// ErrLive says that a service is not closed.
	ErrLive = errors.New("the service is under way; close it first")
)

// Store is a folder of services. Its methods may be called from several
// goroutines.
type Store struct {
	dir    string
	random io.Reader
	frozen bool // nothing is written
	cache  indexCache
}

// Open opens the folder dir, and makes it if need be. It takes away the
// permissions that others have on the services, and tidies up what a killed
// process left: it puts away services that were closed, and removes files
// that nothing was saved in. What it may not tidy up it leaves as it is, so
// that a folder that may only be read can be looked at. The error says that
// the folder can't be made or read.
func Open(dir string) (*Store, error) {
	dir, err := filepath.Abs(dir)
	if err != nil {
		return nil, fmt.Errorf("the folder %s has no place; go to a folder that is there: %w", dir, err)
	}
	s := &Store{dir: dir, random: rand.Reader}
	for _, folder := range []string{liveFolder, closedFolder} {
		path := filepath.Join(dir, folder)
		if err := makeFolder(path); err != nil {
			return nil, fmt.Errorf("the folder of services %s can't be made; check its permissions, or choose another: %w", path, err)
		}
	}
	names := map[string][]fs.DirEntry{}
	for _, folder := range []string{liveFolder, closedFolder, summaryFolder, marksFolder, timesFolder} {
		names[folder], err = s.narrowAll(folder)
		if err != nil && (folder == liveFolder || folder == closedFolder) { // the others need not be there, nor be readable
			return nil, fmt.Errorf("the folder of services %s can't be read; check its permissions, or choose another: %w", filepath.Join(dir, folder), err)
		}
	}
	if unlock, err := s.lock(); err == nil { // else there is no tidying here
		defer unlock()
		s.tidy(liveFolder, names[liveFolder])
		s.tidy(closedFolder, names[closedFolder])
	}
	return s, nil
}

// Dir is the folder, as an absolute path.
func (s *Store) Dir() string { return s.dir }

// narrowAll narrows the permissions of a folder and of the services in it, and
// returns what it holds. It does not look into the closed folder if that holds
// thousands, nobody else could look into it, and the summary says that nothing
// was changed there.
func (s *Store) narrowAll(folder string) ([]fs.DirEntry, error) {
	path := filepath.Join(s.dir, folder)
	info, err := os.Stat(path)
	if err != nil {
		return nil, err
	}
	narrow(path, info)
	if folder == closedFolder && !wide(info) && s.settled() {
		return nil, nil
	}
	entries, err := os.ReadDir(path)
	for _, e := range entries {
		_, role := roleOf(e.Name())
		strangers := folder == liveFolder || folder == closedFolder
		if role == stranger && strangers || !e.Type().IsRegular() {
			continue
		}
		if info, err := e.Info(); err == nil { // else it was moved just now
			narrow(filepath.Join(path, e.Name()), info)
		}
	}
	return entries, err
}

// tidy puts away closed services, and removes what was never saved. What
// can't be tidied is left for the next time. The store's own lock must be
// held; what was there before it was may have moved since.
func (s *Store) tidy(folder string, entries []fs.DirEntry) {
	for _, e := range entries {
		path := filepath.Join(s.dir, folder, e.Name())
		switch id, role := roleOf(e.Name()); {
		case !e.Type().IsRegular():
		case role == draft:
			_ = os.Remove(path) // left there, it does no harm
		case role == service && folder == liveFolder:
			if sizeOf(path) == 0 {
				discard(path)
				continue
			}
			_ = s.retire(id) // live, run elsewhere or damaged: List tells
		}
	}
}

// discard removes a log in which nothing was saved, unless somebody has it.
func discard(path string) {
	if release, err := hold(path); err == nil {
		_ = os.Remove(path) // left there, List tells that it is empty
		release()
		_ = os.Remove(path + journal.LockSuffix)
	}
}

// Entry is one service of a listing.
type Entry struct {
	ID       string
	Client   string
	Stylist  string
	Station  string
	ZoneList string
	Opened   time.Time // on the service's time line, as is Closed
	Closed   time.Time // zero while live
	Live     bool
	Busy     *journal.Holder // who runs it; nil if nobody does
	Path     string
	Events   int
	Invented bool // demonstration data
}

// Problem is a file that is passed over in a listing, or that is not as it
// should be. It is an error.
type Problem struct {
	Path string
	Err  error
}

func (p Problem) Error() string { return p.Path + ": " + p.Err.Error() }

// Unwrap returns what is wrong.
func (p Problem) Unwrap() error { return p.Err }

func entry(l *session.Log, path string) Entry {
	st := l.State()
	return Entry{
		ID: st.Service, Client: st.Client, Stylist: st.Stylist, Station: st.Station, ZoneList: st.ZoneList,
		Opened: st.Opened, Closed: st.Closed, Live: st.Live(), Path: path, Events: len(l.Events()), Invented: st.Invented,
	}
}

// Read reads a service, by its id or by the path of a log, which may be
// anywhere. It takes no lock and changes nothing, so that it serves those who
// watch a service that is being run: a line that is just being written is
// left out. With an error about damage comes the log of what is intact before
// it, or nil.
func (s *Store) Read(idOrPath string) (*session.Log, error) {
	if isPath(idOrPath) {
		return load(idOrPath)
	}
	for again := true; ; again = false {
		path, _, err := s.locate(idOrPath)
		if err != nil {
			return nil, err
		}
		l, err := load(path)
		if errors.Is(err, fs.ErrNotExist) && again {
			continue // it was moved just now
		}
		if err == nil {
			err = named(l, idOrPath)
		}
		return l, err
	}
}

// Find finds a service by its id, or by the path of a log, which may be
// anywhere. Busy is not filled in.
func (s *Store) Find(idOrPath string) (Entry, error) {
	l, err := s.Read(idOrPath)
	if err != nil {
		return Entry{}, err
	}
	path := idOrPath
	if !isPath(path) {
		if path, _, err = s.locate(idOrPath); err != nil {
			return Entry{}, err
		}
	}
	return entry(l, path), nil
}

// isPath tells a path from an id, which holds neither dots nor slashes.
func isPath(s string) bool { return strings.ContainsAny(s, `./\`) }

// load reads and folds the log at path.
func load(path string) (*session.Log, error) {
	recs, _, err := journal.ReadFile(path)
	if len(recs) == 0 {
		return nil, err
	}
	l, folded := fold(recs)
	return l, errors.Join(err, folded)
}

func fold(recs []journal.Record) (*session.Log, error) {
	events, err := session.Events(recs)
	if err != nil {
		return nil, fmt.Errorf("the log can't be understood; update rinseby, or look at the file: %w", err)
	}
	l, err := session.Fold(events)
	if err != nil {
		return nil, fmt.Errorf("the log contradicts itself; look at the file: %w", err)
	}
	return l, nil
}

// named checks that the log is that of the service whose name its file has.
func named(l *session.Log, id string) error {
	if in := l.State().Service; in != id {
		return fmt.Errorf("the file is called %s, but holds the service %q: give it its own name back", id+suffix, in)
	}
	return nil
}
