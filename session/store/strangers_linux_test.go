package store

import (
	"context"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/session/journal"
)

var strangers = flag.Int("strangers", 600, "files that are no services, of all kinds, among those of a store")

// disturb puts something else than a service into a folder, another kind each
// time, and all kinds as well under names that a service or what belongs to it
// would have.
func disturb(t testing.TB, dir string, n int) {
	t.Helper()
	ours := fmt.Sprintf("20260101-0900-%04d", n)
	names := []string{fmt.Sprintf("stranger %d", n), ours + suffix, ours + suffix + journal.LockSuffix, ours + newSuffix, ours + tornSuffix + "x", "." + ours, fmt.Sprintf("%d.JSONL", n)}
	path := filepath.Join(dir, names[n/7%len(names)])
	var err error
	switch n % 7 {
	case 0:
		err = syscall.Mkfifo(path, 0o600)
	case 1:
		err = os.Symlink("/dev/zero", path)
	case 2:
		err = os.Symlink(path, path) // which leads nowhere
	case 3:
		err = os.Mkdir(path, 0o700)
	case 4:
		var s int
		if s, err = syscall.Socket(syscall.AF_UNIX, syscall.SOCK_STREAM, 0); err == nil {
			if len(path) < 100 {
				err = syscall.Bind(s, &syscall.SockaddrUnix{Name: path})
			}
			_ = syscall.Close(s)
		}
	case 5:
		err = os.WriteFile(path, []byte("\x1b]0;not a log\a\n{{{"), 0o600)
	case 6:
		err = os.WriteFile(path, nil, 0o600)
		if err == nil {
			err = os.Truncate(path, 4<<30) // sparse
		}
	}
	require.NoError(t, err, path)
}

// inTime fails if f takes long, as it would if it waited for a pipe. The limit
// is far off.
func inTime(t *testing.T, what string, f func()) {
	t.Helper()
	done := make(chan struct{})
	go func() {
		defer close(done)
		f()
	}()
	select {
	case <-done:
	case <-time.After(60 * time.Second):
		t.Fatalf("%s waits for ever", what)
	}
}

// A folder full of what is none of ours: nothing waits for a pipe or a device,
// nothing large is read, and the services are there.
func TestAFolderFullOfStrangers(t *testing.T) {
	dir, err := os.MkdirTemp("", "s") // short, for the names of sockets
	require.NoError(t, err)
	t.Cleanup(func() { _ = os.RemoveAll(dir) })
	s := openStore(t, dir)
	done, live := closed(t, s, 0, "June L."), create(t, s, 5, "Tove A.")
	s = openStore(t, dir)
	for n := range *strangers {
		disturb(t, filepath.Join(dir, []string{liveFolder, closedFolder}[n/49%2]), n)
	}
	for i, folder := range []string{summaryFolder, marksFolder, timesFolder} {
		require.NoError(t, os.MkdirAll(filepath.Join(dir, folder), 0o700))
		for n := range 49 {
			disturb(t, filepath.Join(dir, folder), 49*i+n)
		}
		require.NoError(t, syscall.Mkfifo(filepath.Join(dir, folder, done+timesSuffix), 0o600))
	}
	before := heap()
	inTime(t, "opening", func() { s = openStore(t, dir) })
	inTime(t, "listing", func() {
		entries, problems := list(t, s)
		assert.Len(t, entries, 2)
		assert.Greater(t, len(problems), *strangers/2)
		assert.Less(t, heap()-before, int64(64<<20), "bytes")
	})
	inTime(t, "the rest", func() {
		_, ok, err := s.LastOf("June L.")
		require.NoError(t, err)
		assert.True(t, ok)
		_, err = s.Usuals("Ines")
		require.NoError(t, err)
		l, err := s.Resume(at(10), live, "station 1")
		require.NoError(t, err)
		require.NoError(t, l.Close())
		for n := range 49 {
			_, err = s.Read(fmt.Sprintf("20260101-0900-%04d", n))
			require.Error(t, err)
		}
		_, err = s.Of("June L.")
		require.NoError(t, err)
	})
	inTime(t, "watching", func() {
		ctx, stop := context.WithCancel(context.Background())
		news, err := s.Watch(ctx, WatchOptions{Poll: time.Millisecond})
		require.NoError(t, err)
		for n := range news {
			if n.ID == live {
				break
			}
		}
		require.NoError(t, syscall.Mkfifo(s.path(liveFolder, "20270101-0900-pipe"), 0o600))
		l, err := s.Resume(at(11), live, "station 1")
		require.NoError(t, err)
		note(t, l, 12)
		for n := range news {
			if n.ID == live && len(n.Log.Events()) == 2 {
				break
			}
		}
		require.NoError(t, l.Close())
		stop()
		for range news { // until it has ended
		}
	})
	inTime(t, "forgetting", func() {
		all, err := s.Of("June L.")
		require.NoError(t, err)
		require.NoError(t, os.Remove(filepath.Join(dir, timesFolder, done+timesSuffix)))
		require.NoError(t, s.Forget(all...))
		paths, problems, err := s.Mentions("Tove A.")
		require.NoError(t, err)
		assert.Len(t, paths, 1)
		assert.NotEmpty(t, problems, "what is too large to search")
	})
}

// heap is how much memory is in use, in bytes.
func heap() int64 {
	runtime.GC()
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	return int64(m.HeapAlloc)
}

// Whatever stands where one of our own files should, nothing waits for it.
func TestPipesInThePlaceOfOurFiles(t *testing.T) {
	for _, name := range []string{lockName, "summary/" + indexName, "summary/" + recentName(""), "summary/" + recentName("Ines"), "live/%s.jsonl.lock", "live/%s.jsonl", "closed/%s.jsonl"} {
		t.Run(name, func(t *testing.T) {
			s := newStore(t)
			done, live := closed(t, s, 0, "June L."), create(t, s, 5, "Tove A.")
			s = openStore(t, s.dir)
			list(t, s)
			id := live
			if filepath.Dir(name) == closedFolder {
				id = done
			}
			path := filepath.Join(s.dir, fmt.Sprintf(name+"%.0s", id))
			if filepath.Dir(name) == summaryFolder || name == lockName {
				path = filepath.Join(s.dir, name)
			}
			require.NoError(t, os.RemoveAll(path))
			require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o700))
			require.NoError(t, syscall.Mkfifo(path, 0o600))
			inTime(t, name, func() {
				s, err := Open(s.dir)
				require.NoError(t, err)
				_, _, err = s.List()
				require.NoError(t, err)
				_, err = s.Usuals("Ines")
				require.NoError(t, err)
				_, _ = s.Read(id)
				if l, err := s.Resume(at(10), live, "station 1"); err == nil {
					require.NoError(t, l.Close())
				} else {
					require.ErrorContains(t, err, "is no file, but a folder, a link, a pipe")
				}
				w, err := newWatcher(s, WatchOptions{Polling: true})
				require.NoError(t, err)
				w.close()
				all, err := s.Of("June L.")
				require.NoError(t, err)
				_ = s.Forget(all...)
			})
		})
	}
}
