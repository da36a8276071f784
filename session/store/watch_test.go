package store

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/session"
	"rinseby/session/journal"
)

// A wall receives what a watch tells.
type wall struct {
	t    testing.TB
	news <-chan Watched
	last map[string]Watched
	stop context.CancelFunc
}

func watch(t testing.TB, s *Store, o WatchOptions) *wall {
	t.Helper()
	ctx, stop := context.WithCancel(context.Background())
	news, err := s.Watch(ctx, o)
	require.NoError(t, err)
	t.Cleanup(func() {
		stop()
		for range news { // until it has ended
		}
	})
	return &wall{t: t, news: news, last: map[string]Watched{}, stop: stop}
}

// until takes news in until those of the service are as wanted. The limit is
// there so that a test that fails ends.
func (w *wall) until(id string, ok func(Watched) bool) Watched {
	w.t.Helper()
	limit := time.After(20 * time.Second)
	for {
		if n, seen := w.last[id]; seen && ok(n) {
			return n
		}
		select {
		case n := <-w.news:
			w.last[n.ID] = n
		case <-limit:
			w.t.Fatalf("never told of %s: %+v", id, w.last)
		}
	}
}

func events(n int) func(Watched) bool {
	return func(w Watched) bool { return w.Log != nil && len(w.Log.Events()) == n }
}

func note(t testing.TB, l *Live, m int) {
	t.Helper()
	_, err := l.Do(at(m), session.Do(session.NoteAdded{Text: fmt.Sprint("note ", m)}))
	require.NoError(t, err)
}

// eachWay runs a test with notices of the system, and by looking alone.
func eachWay(t *testing.T, test func(t *testing.T, o WatchOptions)) {
	t.Run("told", func(t *testing.T) { test(t, WatchOptions{Poll: 50 * time.Millisecond}) })
	t.Run("looking", func(t *testing.T) { test(t, WatchOptions{Poll: 5 * time.Millisecond, Polling: true}) })
}

func TestWatchFollowsAServiceFromOpeningToClosing(t *testing.T) {
	eachWay(t, func(t *testing.T, o WatchOptions) {
		s := newStore(t)
		quiet := create(t, s, 0, "June L.")
		w := watch(t, s, o)
		w.until(quiet, func(n Watched) bool { return events(1)(n) && n.RunBy == nil && n.Gone == nil })

		other := openStore(t, s.Dir()) // as another process has it
		l, err := other.Create(at(1), "station 2", opening("Tove A."))
		require.NoError(t, err)
		n := w.until(l.ID, func(n Watched) bool { return events(1)(n) && n.RunBy != nil })
		assert.Equal(t, "station 2", n.RunBy.Station)
		assert.Equal(t, "Tove A.", n.Log.State().Client)
		for m := range 5 {
			note(t, l, 2+m)
			before := n.Log
			n = w.until(l.ID, events(2+m))
			assert.Equal(t, l.Log.State(), n.Log.State())
			assert.Len(t, before.Events(), 1+m, "what was received stays as it was")
		}
		require.NoError(t, l.Close())
		n = w.until(l.ID, func(n Watched) bool { return n.RunBy == nil })
		assert.Nil(t, n.Gone, "it was left")

		l, err = other.Resume(at(20), l.ID, "station 3")
		require.NoError(t, err)
		w.until(l.ID, func(n Watched) bool { return n.RunBy != nil && n.RunBy.Station == "station 3" })
		_, err = l.Do(at(21), session.Do(session.ServiceClosed{Outcome: "as wished"}))
		require.NoError(t, err)
		require.NoError(t, l.Close())
		n = w.until(l.ID, func(n Watched) bool { return n.Left })
		assert.False(t, n.Log.State().Closed.IsZero(), "the last word is told, too")
		require.NoError(t, n.Err)

		l, err = other.Reopen(at(22), l.ID, "station 1")
		require.NoError(t, err)
		w.until(l.ID, func(n Watched) bool { return !n.Left && n.RunBy != nil })
		require.NoError(t, l.Close())
		assert.Equal(t, 1, len(w.last[quiet].Log.Events()))
	})
}

func TestWatchTellsThatAChairIsGone(t *testing.T) {
	eachWay(t, func(t *testing.T, o WatchOptions) {
		s := newStore(t)
		l, err := s.Create(at(0), "station 2", opening("Tove A."))
		require.NoError(t, err)
		w := watch(t, s, o)
		w.until(l.ID, func(n Watched) bool { return n.RunBy != nil })
		kill(t, l)
		n := w.until(l.ID, func(n Watched) bool { return n.Gone != nil })
		assert.Nil(t, n.RunBy)
		assert.Equal(t, "station 2", n.Gone.Station)
		assert.Equal(t, os.Getpid(), n.Gone.PID)
		l, err = s.Resume(at(2), l.ID, "station 1")
		require.NoError(t, err)
		w.until(l.ID, func(n Watched) bool { return n.Gone == nil && n.RunBy != nil })
		require.NoError(t, l.Close())
	})
}

func TestWatchLeavesALineThatIsHalfWritten(t *testing.T) {
	s := newStore(t)
	l, err := s.Create(at(0), "station 1", opening("Tove A."))
	require.NoError(t, err)
	note(t, l, 1)
	path, id := l.Path(), l.ID
	require.NoError(t, l.Close())
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	line := bytes.IndexByte(text, '\n') + 1
	for _, cut := range []int{line + 1, line + 80, len(text) - 1} {
		require.NoError(t, os.WriteFile(path, text[:cut], 0o600))
		w, err := newWatcher(s, WatchOptions{Polling: true})
		require.NoError(t, err)
		n := w.ready[id]
		require.NoError(t, n.Err)
		require.Len(t, n.Log.Events(), 1)
		f, err := os.OpenFile(path, os.O_WRONLY|os.O_APPEND, 0)
		require.NoError(t, err)
		_, err = f.Write(text[cut:])
		require.NoError(t, err)
		require.NoError(t, f.Close())
		require.NoError(t, w.lookAll())
		require.Len(t, w.ready[id].Log.Events(), 2)
	}
}

// Among 200 live services one that is written is told of, and no other.
func TestWatchOfTwoHundredServices(t *testing.T) {
	s := newStore(t)
	for i := range 199 {
		id := fmt.Sprintf("20260302-0900-%04d", i)
		events, err := session.Decide(&session.Log{}, at(0), session.Do(session.ServiceOpened{Service: id, Client: "June L.", Invented: true}))
		require.NoError(t, err)
		recs, err := session.Records(events)
		require.NoError(t, err)
		text, err := journal.Encode(recs)
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(s.path(liveFolder, id), text, 0o600))
	}
	l, err := s.Create(at(0), "station 1", opening("Tove A."))
	require.NoError(t, err)
	w := watch(t, s, WatchOptions{Poll: time.Hour})
	for !w.last[""].All {
		n := <-w.news
		w.last[n.ID] = n
	}
	require.Len(t, w.last, 201, "before all were told of, each was")
	w.until(l.ID, func(n Watched) bool { return n.RunBy != nil })
	for m := range 10 {
		note(t, l, m)
		n := <-w.news
		require.Equal(t, l.ID, n.ID)
		w.last[n.ID] = n
		w.until(l.ID, events(2+m))
	}
	require.NoError(t, l.Close())
}

// What was read is not read again: it may even have become unreadable.
func TestWatchReadsOnlyWhatWasAdded(t *testing.T) {
	s := newStore(t)
	l, err := s.Create(at(0), "station 1", opening("Tove A."))
	require.NoError(t, err)
	note(t, l, 1)
	w, err := newWatcher(s, WatchOptions{Polling: true})
	require.NoError(t, err)
	f, err := os.OpenFile(l.Path(), os.O_RDWR, 0)
	require.NoError(t, err)
	_, err = f.WriteAt([]byte("#####"), 20)
	require.NoError(t, err)
	require.NoError(t, f.Close())
	note(t, l, 2)
	require.NoError(t, w.lookAll())
	require.NoError(t, w.ready[l.ID].Err)
	require.Len(t, w.ready[l.ID].Log.Events(), 3)
	require.NoError(t, l.Close())

	again, err := newWatcher(s, WatchOptions{Polling: true})
	require.NoError(t, err)
	n := again.ready[l.ID]
	require.ErrorIs(t, n.Err, journal.ErrCorrupt)
	require.Nil(t, n.Log)
}

func TestWatchOfALogThatIsDamagedCutOrReplaced(t *testing.T) {
	s := newStore(t)
	l, err := s.Create(at(0), "station 1", opening("Tove A."))
	require.NoError(t, err)
	note(t, l, 1)
	note(t, l, 2)
	path, id := l.Path(), l.ID
	require.NoError(t, l.Close())
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	lines := bytes.SplitAfter(text, []byte("\n"))
	w, err := newWatcher(s, WatchOptions{Polling: true})
	require.NoError(t, err)
	look := func(text []byte, rename bool) Watched {
		to := path
		if rename {
			to = filepath.Join(t.TempDir(), "new")
		}
		require.NoError(t, os.WriteFile(to, text, 0o600))
		if rename {
			require.NoError(t, os.Rename(to, path))
		}
		require.NoError(t, w.lookAll())
		return w.ready[id]
	}
	n := look(append(bytes.Clone(text), "nonsense\n"...), false)
	require.ErrorIs(t, n.Err, journal.ErrCorrupt)
	require.Len(t, n.Log.Events(), 3, "what is intact before it")
	n = look(text, false)
	require.NoError(t, n.Err)
	n = look(bytes.Join(lines[:2], nil), false)
	require.NoError(t, n.Err)
	require.Len(t, n.Log.Events(), 2, "a write that failed was taken back")
	n = look(text, true)
	require.NoError(t, n.Err)
	require.Len(t, n.Log.Events(), 3)

	require.NoError(t, os.WriteFile(filepath.Join(s.Dir(), "live", "other.jsonl"), text, 0o600))
	require.NoError(t, w.lookAll())
	require.ErrorContains(t, w.ready["other"].Err, "give it its own name back")
}

// However many watch, whoever writes finds nothing busy and loses nothing.
func TestWatchingKeepsNobodyFromWriting(t *testing.T) {
	s := newStore(t)
	for range 3 {
		w := watch(t, openStore(t, s.Dir()), WatchOptions{Poll: time.Millisecond})
		go func() {
			for range w.news {
			}
		}()
	}
	var writers sync.WaitGroup
	for k := range 3 {
		writers.Go(func() {
			own := openStore(t, s.Dir())
			l, err := own.Create(at(0), "station", opening(fmt.Sprint("client ", k)))
			if !assert.NoError(t, err) {
				return
			}
			for m := range 25 {
				_, err = l.Do(at(m), session.Do(session.NoteAdded{Text: "x"}))
				assert.NoError(t, err)
				assert.NoError(t, l.Close())
				if l, err = own.Resume(at(m), l.ID, "station"); !assert.NoError(t, err, "it was never busy") {
					return
				}
			}
			assert.Len(t, l.Log.Events(), 26)
			assert.NoError(t, l.Close())
		})
	}
	writers.Wait()
}

// While somebody has the store's own lock, logs are read all the same; who runs
// them is told once it is free.
func TestWatchWaitsForNoLock(t *testing.T) {
	s := newStore(t)
	l, err := s.Create(at(0), "station 1", opening("Tove A."))
	require.NoError(t, err)
	unlock, err := s.lock()
	require.NoError(t, err)
	w := watch(t, s, WatchOptions{Poll: time.Hour})
	n := w.until(l.ID, events(1))
	assert.Nil(t, n.RunBy)
	note(t, l, 1)
	n = w.until(l.ID, events(2))
	assert.Nil(t, n.RunBy)
	unlock()
	w.until(l.ID, func(n Watched) bool { return n.RunBy != nil })
	require.NoError(t, l.Close())
}

// Whoever receives slowly holds up no writer, and gets the newest.
func TestWatchIsReceivedSlowly(t *testing.T) {
	s := newStore(t)
	l, err := s.Create(at(0), "station 1", opening("Tove A."))
	require.NoError(t, err)
	w, err := newWatcher(s, WatchOptions{Polling: true})
	require.NoError(t, err)
	for m := range 50 {
		note(t, l, m)
		require.NoError(t, w.lookAll())
	}
	require.NoError(t, l.Close())
	require.Equal(t, []string{l.ID, ""}, w.waiting)
	require.Len(t, w.ready[l.ID].Log.Events(), 51)
}

func TestWatchEnds(t *testing.T) {
	s := newStore(t)
	create(t, s, 0, "June L.")
	w := watch(t, s, WatchOptions{})
	w.stop()
	for range w.news { // until it is closed
	}
	require.NoError(t, os.RemoveAll(filepath.Join(s.Dir(), "live")))
	_, err := s.Watch(context.Background(), WatchOptions{})
	require.ErrorContains(t, err, "can't be watched; check its permissions")
}

// BenchmarkWatch200 is how long it takes from an event, with its fsync, until
// it is received, while 200 services are live.
func BenchmarkWatch200(b *testing.B) {
	s := newStore(b)
	var l *Live
	for i := range 200 {
		var err error
		l, err = s.Create(at(0), "station 1", opening(fmt.Sprint("client ", i)))
		require.NoError(b, err)
		defer l.Close()
	}
	w := watch(b, openStore(b, s.Dir()), WatchOptions{})
	w.until(l.ID, events(1))
	for m := 1; b.Loop(); m++ {
		note(b, l, m)
		w.until(l.ID, events(1+m))
	}
}

// BenchmarkLook200 is the slow look at 200 live services, nothing of which was
// changed.
func BenchmarkLook200(b *testing.B) {
	s := newStore(b)
	for i := range 200 {
		l, err := s.Create(at(0), "station 1", opening(fmt.Sprint("client ", i)))
		require.NoError(b, err)
		defer l.Close()
	}
	w, err := newWatcher(s, WatchOptions{Polling: true})
	require.NoError(b, err)
	for b.Loop() {
		require.NoError(b, w.lookAll())
	}
}

// BenchmarkAppendWatched is what an event takes to be safe while it is watched
// from the same process; BenchmarkAppendUnwatched without that. The log grows
// far beyond what a service has, and is folded anew each time.
func BenchmarkAppendWatched(b *testing.B)   { benchmarkAppend(b, 1) }
func BenchmarkAppendUnwatched(b *testing.B) { benchmarkAppend(b, 0) }

func benchmarkAppend(b *testing.B, watchers int) {
	s := newStore(b)
	l, err := s.Create(at(0), "station 1", opening("Tove A."))
	require.NoError(b, err)
	defer l.Close()
	for range watchers {
		w := watch(b, openStore(b, s.Dir()), WatchOptions{})
		go func() {
			for range w.news {
			}
		}()
	}
	m := 0
	for b.Loop() {
		m++
		recs, err := session.Records([]session.Event{{Seq: 1 + m, When: at(m).Wall, Recorded: at(m), Data: session.NoteAdded{Text: "x"}}})
		require.NoError(b, err)
		require.NoError(b, l.journal.Append(journal.Normalise(recs[0])))
	}
}
