package store

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"time"

	"github.com/fsnotify/fsnotify"
	"github.com/gofrs/flock"

	"rinseby/session"
	"rinseby/session/journal"
)

// A watcher belongs to one goroutine.
type watcher struct {
	s       *Store
	poll    time.Duration
	notify  *fsnotify.Watcher // nil where there is none
	follows map[string]*follow
	waiting []string // ids of what is to be sent, in that order
	ready   map[string]Watched
	unasked bool // who runs services could not be asked for
}

// askAgain is how soon it is tried again to ask who runs services, where
// somebody was moving files about.
const askAgain = 20 * time.Millisecond

// A follow is one log that is followed.
type follow struct {
	id, path string
	reader   journal.Follower
	file     fs.FileInfo // when it was last read
	events   []session.Event
	err      error
	told     bool // it was sent
	unsure   bool // somebody was opening or leaving it when that was last asked
	runBy    *journal.Holder
	gone     *journal.Holder
}

func newWatcher(s *Store, o WatchOptions) (*watcher, error) {
	w := &watcher{s: s, poll: o.Poll, follows: map[string]*follow{}, ready: map[string]Watched{}}
	if w.poll <= 0 {
		w.poll = watchPoll
	}
	if !o.Polling {
		w.notify = w.listen()
	}
	if err := w.lookAll(); err != nil {
		w.close()
		return nil, fmt.Errorf("the folder of live services can't be watched; check its permissions: %w", err)
	}
	w.waiting, w.ready[""] = append(w.waiting, ""), Watched{All: true}
	return w, nil
}

// listen has the system tell of changes; nil where it can't, so that looking
// now and then is all there is.
func (w *watcher) listen() *fsnotify.Watcher {
	n, err := fsnotify.NewWatcher()
	if err != nil {
		return nil
	}
	if n.Add(filepath.Join(w.s.dir, liveFolder)) != nil {
		_ = n.Close() // nothing was written
		return nil
	}
	return n
}

func (w *watcher) close() {
	if w.notify != nil {
		_ = w.notify.Close() // nothing was written
	}
}

func (w *watcher) run(ctx context.Context, out chan<- Watched) {
	defer close(out)
	defer w.close()
	tick := time.NewTicker(w.poll)
	defer tick.Stop()
	var told chan fsnotify.Event
	var faults chan error
	if w.notify != nil {
		told, faults = w.notify.Events, w.notify.Errors
	}
	var again <-chan time.Time
	for {
		if w.unasked && again == nil {
			again = time.After(askAgain)
		}
		var to chan<- Watched
		var next Watched
		if len(w.waiting) > 0 {
			to, next = out, w.ready[w.waiting[0]]
		}
		select {
		case <-ctx.Done():
			return
		case e, ok := <-told:
			if !ok {
				told = nil
				continue
			}
			w.heed(e.Name)
		case _, ok := <-faults: // as when there was more to tell than room for it
			if !ok {
				faults = nil
				continue
			}
			_ = w.lookAll() // if it can't be read now, the next look tells
		case <-tick.C:
			_ = w.lookAll()
		case <-again:
			again = nil
			w.askRunners(slices.Collect(maps.Values(w.follows)))
		case to <- next:
			delete(w.ready, next.ID)
			w.waiting = w.waiting[1:]
		}
	}
}

// heed looks at what a change is about.
func (w *watcher) heed(path string) {
	id, role := roleOf(filepath.Base(path))
	switch role {
	case service:
		w.look(id)
	case beside:
		if f := w.follows[id]; f != nil && filepath.Ext(path) == journal.LockSuffix {
			w.askRunners([]*follow{f})
		}
	}
}

// lookAll looks at all of the folder.
func (w *watcher) lookAll() error {
	names, err := os.ReadDir(filepath.Join(w.s.dir, liveFolder))
	if err != nil {
		return err
	}
	there := map[string]bool{}
	for _, e := range names {
		if id, role := roleOf(e.Name()); role == service && e.Type().IsRegular() {
			there[id] = true
			w.look(id)
		}
	}
	var all []*follow
	for id, f := range w.follows {
		if !there[id] {
			w.look(id)
			continue
		}
		all = append(all, f)
	}
	w.askRunners(all)
	return nil
}

// look reads what was added to the log of a service.
func (w *watcher) look(id string) {
	f, known := w.follows[id]
	if !known {
		f = &follow{id: id, path: w.s.path(liveFolder, id)}
	}
	changed, err := f.read(f.path)
	switch {
	case errors.Is(err, fs.ErrNotExist) && !known:
		return
	case errors.Is(err, fs.ErrNotExist):
		_, f.err = f.read(w.s.path(closedFolder, id)) // what was added before it was put away
		if errors.Is(f.err, fs.ErrNotExist) {
			f.err = nil
		}
		delete(w.follows, id)
		f.runBy, f.gone = nil, nil
		w.send(f, true)
		return
	}
	w.follows[id] = f
	if !known {
		w.askRunners([]*follow{f})
	}
	if told := errorText(f.err); changed || errorText(err) != told || !f.told {
		f.err = err
		w.send(f, false)
	}
}

func errorText(err error) string {
	if err == nil {
		return ""
	}
	return err.Error()
}

// send has a service sent, in the place of what waits of it.
func (w *watcher) send(f *follow, left bool) {
	f.told = true
	news := Watched{ID: f.id, RunBy: f.runBy, Gone: f.gone, Left: left, Err: f.err}
	if len(f.events) > 0 {
		l, err := session.Fold(f.events)
		if err == nil {
			err = named(l, f.id)
		}
		news.Log, news.Err = l, errors.Join(f.err, err)
	}
	if !slices.Contains(w.waiting, f.id) {
		w.waiting = append(w.waiting, f.id)
	}
	w.ready[f.id] = news
}

// read reads what was added to the log at path. A log that is another file
// than before, or shorter, or that does not go on from what was read, is read
// from its beginning.
func (f *follow) read(path string) (changed bool, err error) {
	info, err := os.Lstat(path)
	if err == nil && !info.Mode().IsRegular() {
		err = fs.ErrNotExist // List names what stands there
	}
	if err != nil {
		return false, err
	}
	same := f.file != nil && os.SameFile(f.file, info) && info.Size() >= f.reader.Offset()
	if same && info.Size() == f.file.Size() && info.ModTime().Equal(f.file.ModTime()) {
		return false, f.err
	}
	file, err := os.Open(path)
	if err != nil {
		return false, err
	}
	defer file.Close() // nothing is written
	f.file = info
	if same {
		if changed, err = f.readOn(file); err == nil {
			return changed, nil
		}
	}
	was := len(f.events)
	f.reader, f.events = journal.Follower{}, nil
	more, err := f.readOn(file)
	return changed || more || was > 0, err
}

// readOn reads on from where the reader is.
func (f *follow) readOn(file *os.File) (changed bool, err error) {
	if _, err := file.Seek(f.reader.Offset(), io.SeekStart); err != nil {
		return false, err
	}
	recs, err := f.reader.Next(file)
	events, bad := session.Events(recs)
	f.events = append(f.events, events...)
	if bad != nil {
		err = errors.Join(err, fmt.Errorf("the log can't be understood; update rinseby, or look at the file: %w", bad))
	}
	return len(events) > 0, err
}

// askRunners asks who runs services, unless somebody has the store's own lock:
// then it is asked for the next time.
func (w *watcher) askRunners(all []*follow) {
	if len(all) == 0 {
		return
	}
	path := filepath.Join(w.s.dir, lockName)
	if mayOpen(path) != nil {
		return // it can't be had here at all
	}
	l := flock.New(path, flock.SetPermissions(fileMode))
	ok, err := l.TryLock()
	if w.unasked = !ok && err == nil; !ok || err != nil { // an error says that it can't be had here at all
		return
	}
	defer func() { _ = l.Unlock() }() // it ends with the process at the latest
	for _, f := range all {
		runBy := runner(f.path)
		if between := runBy != nil && *runBy == (journal.Holder{}); between && !f.unsure {
			f.unsure, w.unasked = true, true // it is being opened or left just now
			continue
		}
		f.unsure = false
		var gone *journal.Holder
		if h := holder(f.path); runBy == nil && h != (journal.Holder{}) {
			gone = &h
		}
		if same(runBy, f.runBy) && same(gone, f.gone) {
			continue
		}
		f.runBy, f.gone = runBy, gone
		if f.told {
			w.send(f, false)
		}
	}
}

func same(a, b *journal.Holder) bool {
	if a == nil || b == nil {
		return a == b
	}
	x, y := *a, *b
	x.Since, y.Since = time.Time{}, time.Time{}
	return x == y && a.Since.Equal(b.Since)
}
