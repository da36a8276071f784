package store

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"rinseby/session"
	"rinseby/session/history"
	"rinseby/session/journal"
	"rinseby/timing"
)

// Live is a service that is run here: nobody else can write it. Log belongs to
// one goroutine; Append may run in another at the same time.
type Live struct {
	ID  string
	Log *session.Log

	store   *Store
	journal *journal.Journal
}

// attempts is how often a new id is tried: with 20 random bits a second one
// is hardly ever needed.
const attempts = 10

// Create opens a new service, run by who, which is the station or whatever
// others are to see. The first command must be a [session.ServiceOpened], of
// which the store fills in the id, and what the client's hair had earlier in
// the day. If the commands are refused, no file is made.
func (s *Store) Create(now timing.Reading, who string, cmds ...session.Command) (*Live, error) {
	if len(cmds) == 0 {
		return nil, errors.New("nothing says what service is opened: begin with its opening")
	}
	opened, ok := cmds[0].Data.(session.ServiceOpened)
	if !ok {
		return nil, errors.New("a service begins with its opening: give that first")
	}
	at := cmds[0].When
	if at.IsZero() {
		at = now.Wall
	}
	opened, err := s.withToday(opened, at)
	if err != nil {
		return nil, err
	}
	unlock, err := s.lock()
	if err != nil {
		return nil, err
	}
	defer unlock()
	if opened.Service, err = s.freeID(now); err != nil {
		return nil, err
	}
	cmds = append([]session.Command{{When: cmds[0].When, Data: opened}}, cmds[1:]...)
	l := &Live{ID: opened.Service, Log: &session.Log{}, store: s}
	events, err := session.Decide(l.Log, now, cmds...)
	if err != nil {
		return nil, err
	}
	path := s.path(liveFolder, l.ID)
	if l.journal, err = journal.Create(path, holding(who, now)); err != nil {
		return nil, err
	}
	if err = l.Append(events); err == nil {
		err = l.Log.Append(events...)
	}
	if err != nil {
		err = errors.Join(err, l.journal.Close())
		discard(path)
		return nil, err
	}
	return l, nil
}

// freeID makes an id that no service has.
func (s *Store) freeID(now timing.Reading) (string, error) {
	for range attempts {
		id, err := NewID(now.Wall, s.random)
		if err != nil {
			return "", err
		}
		if _, _, err := s.locate(id); errors.Is(err, ErrNotFound) {
			return id, nil
		} else if err != nil {
			return "", err
		}
	}
	return "", errors.New("no free id was found for the service: try again")
}

func holding(who string, now timing.Reading) journal.Option {
	return journal.WithHolder(journal.Holder{Station: who, Since: now.Wall})
}

// Resume goes on with a service that is in the live folder, run by who. A torn
// tail is repaired; [Live.Repaired] tells. The error is a [journal.Busy] if
// somebody runs the service, or wraps [ErrNotFound] or [ErrClosed], or is that
// of a log that is damaged.
func (s *Store) Resume(now timing.Reading, id, who string) (*Live, error) {
	unlock, err := s.lock()
	if err != nil {
		return nil, err
	}
	defer unlock()
	_, retired, err := s.locate(id)
	switch {
	case err != nil:
		return nil, err
	case retired:
		return nil, fmt.Errorf("%s: %w", id, ErrClosed)
	}
	return s.run(now, id, who)
}

// run opens a log of the live folder for writing. The store's own lock must be
// held.
func (s *Store) run(now timing.Reading, id, who string) (*Live, error) {
	if err := mayOpen(s.path(liveFolder, id) + journal.LockSuffix); err != nil {
		return nil, err
	}
	j, recs, err := journal.Open(s.path(liveFolder, id), holding(who, now))
	if err != nil {
		return nil, err
	}
	l, err := fold(recs)
	if err == nil {
		err = named(l, id)
	}
	if err != nil {
		return nil, errors.Join(err, j.Close())
	}
	return &Live{ID: id, Log: l, store: s, journal: j}, nil
}

// Append writes events that [session.Decide] made to the journal. They are safe
// when it returns nil; the caller then appends them to the Log. After an error
// that wraps [journal.ErrDead] the service is to be closed and resumed.
func (l *Live) Append(events []session.Event) error {
	recs, err := session.Records(events)
	if err != nil {
		return err
	}
	return l.journal.Append(recs...)
}

// Do decides commands, writes the events and appends them to the Log.
func (l *Live) Do(now timing.Reading, cmds ...session.Command) ([]session.Event, error) {
	events, err := session.Decide(l.Log, now, cmds...)
	if err != nil {
		return nil, err
	}
	if err := l.Append(events); err != nil {
		return nil, err
	}
	if err := l.Log.Append(events...); err != nil {
		return nil, fmt.Errorf("what was logged is saved, but does not fit; leave the service and resume it: %w", err)
	}
	return events, nil
}

// Path is where the log is while the service is run.
func (l *Live) Path() string { return l.journal.Path() }

// Repaired says what resuming cut off the end of the log, or is nil.
func (l *Live) Repaired() *journal.Repair { return l.journal.Repaired() }

// Close ends the running of a service, which stays live unless it was closed
// by its events; then its file is put away. Nothing is lost by an error of
// Close. A second Close does nothing.
func (l *Live) Close() error {
	if l.store == nil {
		return nil
	}
	s := l.store
	l.store = nil
	if err := l.journal.Close(); err != nil || l.Log.State().Live() {
		return err
	}
	err := s.Retire(l.ID)
	if errors.Is(err, journal.ErrBusy) || errors.Is(err, ErrLive) {
		return nil // somebody took it up in the meantime
	}
	if err == nil {
		_, _, _ = s.recent(l.Log.State().Stylist, history.Most) // so that the next start need not learn; if not, it will
	}
	return err
}

// Retire moves the file of a service that was closed, and that nobody runs, to
// the closed folder. It does nothing if the file is there already. The error
// wraps [ErrNotFound] or [ErrLive], or is a [journal.Busy].
func (s *Store) Retire(id string) error {
	unlock, err := s.lock()
	if err != nil {
		return err
	}
	defer unlock()
	return s.retire(id)
}

// retire is Retire for those who hold the store's own lock.
func (s *Store) retire(id string) error {
	path, retired, err := s.locate(id)
	if err != nil || retired {
		return err
	}
	release, err := hold(path)
	if err != nil {
		return err
	}
	l, err := load(path)
	if err == nil {
		err = named(l, id)
	}
	if err == nil && l.State().Live() {
		err = fmt.Errorf("%s: %w", id, ErrLive)
	}
	release() // the lock's own file is removed by the move
	if err != nil {
		return err
	}
	return s.putAway(id, l)
}

// Reopen moves a service from the closed folder back to the live one and runs
// it, so that its closing can be taken back ([session.EventVoided]). Unless it
// is, [Live.Close] puts the service away again. The error wraps [ErrNotFound],
// says that the service is not put away, or is that of a log that is damaged.
func (s *Store) Reopen(now timing.Reading, id, who string) (*Live, error) {
	unlock, err := s.lock()
	if err != nil {
		return nil, err
	}
	defer unlock()
	path, retired, err := s.locate(id)
	switch {
	case err != nil:
		return nil, err
	case !retired:
		return nil, fmt.Errorf("%s is not put away: resume it", id)
	}
	was, err := load(path)
	if err != nil {
		return nil, err
	}
	if err := s.takeOut(id); err != nil {
		return nil, err
	}
	l, err := s.run(now, id, who)
	if err != nil {
		return nil, errors.Join(err, s.putAway(id, was))
	}
	return l, nil
}

// Import brings in a whole service, under the id that its opening gives. All
// of it is there or, after an error, nothing. The error wraps [fs.ErrExist] if
// there is a service of that id.
func (s *Store) Import(recs []journal.Record) (Entry, error) {
	text, err := journal.Encode(recs)
	if err != nil {
		return Entry{}, err
	}
	if recs, err = journal.Read(bytes.NewReader(text)); err != nil { // as it will be read back
		return Entry{}, err
	}
	l, err := fold(recs)
	if err != nil {
		return Entry{}, err
	}
	id, folder := l.State().Service, closedFolder
	if l.State().Live() {
		folder = liveFolder
	}
	unlock, err := s.lock()
	if err != nil {
		return Entry{}, err
	}
	defer unlock()
	switch _, _, err := s.locate(id); {
	case !isID(id):
		return Entry{}, fmt.Errorf("the service's id %q can't be the name of a file: use 1 to 64 small letters, digits, - or _", id)
	case err == nil:
		return Entry{}, fmt.Errorf("the service %s is here already, and stays as it is: %w", id, fs.ErrExist)
	case !errors.Is(err, ErrNotFound):
		return Entry{}, err
	}
	path, draft := s.path(folder, id), filepath.Join(s.dir, folder, id+newSuffix)
	bring := func() error {
		if err := writeFile(draft, text); err != nil {
			return fmt.Errorf("the service %s can't be written; check the disk: %w", id, errors.Join(err, os.Remove(draft)))
		}
		if err := errors.Join(os.Rename(draft, path), syncFolder(filepath.Join(s.dir, folder))); err != nil {
			return fmt.Errorf("the service %s can't be put in its place; check the disk: %w", id, err)
		}
		return nil
	}
	if err := s.noting(bring, func() []byte { return s.lineOf(l) }); err != nil {
		return Entry{}, err
	}
	return entry(l, path), nil
}
