package store

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/session"
	"rinseby/session/history"
	"rinseby/timing/forecast"
)

func mode(t *testing.T, path string) fs.FileMode {
	t.Helper()
	info, err := os.Stat(path)
	require.NoError(t, err)
	return info.Mode().Perm()
}

func TestModes(t *testing.T) {
	defer syscall.Umask(syscall.Umask(0))
	s := newStore(t)
	l, err := s.Create(at(0), "station 1", opening("Tove A."))
	require.NoError(t, err)
	id := l.ID
	assert.Equal(t, fileMode, mode(t, l.Path()))
	assert.Equal(t, fileMode, mode(t, l.Path()+".lock"))
	_, err = l.Do(at(1), session.Do(session.ServiceClosed{}))
	require.NoError(t, err)
	require.NoError(t, l.Close())
	path := s.path(closedFolder, id)
	assert.Equal(t, fileMode, mode(t, path))
	assert.Equal(t, fileMode, mode(t, filepath.Join(s.Dir(), lockName)))
	for _, folder := range []string{s.Dir(), filepath.Dir(s.Dir()), filepath.Join(s.Dir(), "live"), filepath.Join(s.Dir(), "closed")} {
		assert.Equal(t, folderMode, mode(t, folder), folder)
	}

	require.NoError(t, os.Chmod(path, 0o644))
	require.NoError(t, os.Chmod(filepath.Join(s.Dir(), "closed"), 0o755))
	entries, problems := list(t, s)
	assert.Len(t, entries, 1, "a service that others may read is still listed")
	require.Len(t, problems, 2)
	assert.ErrorContains(t, problems[0], "chmod 700")
	assert.ErrorContains(t, problems[1], "chmod 600")
	s = openStore(t, s.Dir())
	assert.Equal(t, fileMode, mode(t, path))
	assert.Equal(t, folderMode, mode(t, filepath.Join(s.Dir(), "closed")))
	_, problems = list(t, s)
	assert.Empty(t, problems)
}

func TestModesOfTheSummary(t *testing.T) {
	defer syscall.Umask(syscall.Umask(0))
	s := filled(t)
	folder := filepath.Join(s.Dir(), summaryFolder)
	check := func() {
		t.Helper()
		assert.Equal(t, folderMode, mode(t, folder))
		names, err := os.ReadDir(folder)
		require.NoError(t, err)
		require.Len(t, names, 4, "the index, and a file for each of two stylists and for all together")
		for _, e := range names {
			assert.Equal(t, fileMode, mode(t, filepath.Join(folder, e.Name())), e.Name())
		}
	}
	check()
	require.NoError(t, os.Chmod(folder, 0o755))
	require.NoError(t, os.Chmod(s.summary(indexName), 0o644))
	openStore(t, s.Dir())
	check()
}

// readOnly makes the folder of a store one that may only be read, until the end
// of the test.
func readOnly(t *testing.T, s *Store) {
	t.Helper()
	set := func(path string, m, after fs.FileMode) {
		require.NoError(t, os.Chmod(path, m))
		t.Cleanup(func() { _ = os.Chmod(path, after) })
	}
	above := filepath.Dir(s.Dir()) // a; above it are 001, and the test's own folder
	require.Contains(t, filepath.Base(filepath.Dir(filepath.Dir(above))), t.Name(), "nothing is touched but what was made for this test")
	for range 3 {
		set(above, 0o755, 0o700)
		above = filepath.Dir(above)
	}
	set(filepath.Join(s.Dir(), lockName), 0o444, fileMode)
	for _, folder := range []string{liveFolder, closedFolder, summaryFolder, "."} {
		path := filepath.Join(s.Dir(), folder)
		names, err := os.ReadDir(path)
		if errors.Is(err, fs.ErrNotExist) {
			continue
		}
		require.NoError(t, err)
		for _, e := range names {
			if e.Type().IsRegular() {
				set(filepath.Join(path, e.Name()), 0o444, fileMode)
			}
		}
		set(path, 0o555, folderMode)
	}
}

// TestSummaryInAReadOnlyFolder looks at folders with and without a summary.
func TestSummaryInAReadOnlyFolder(t *testing.T) {
	for _, with := range []bool{true, false} {
		s := filled(t)
		want := fresh(t, s)
		if !with {
			removeSummary(t, s.Dir())
		}
		readOnly(t, s)
		asNobody(t, func() {
			one, err := Open(s.Dir())
			require.NoError(t, err)
			got := tell(t, one)
			assert.NotEmpty(t, got.Problems, "others may read it all")
			got.Problems = nil
			assert.Equal(t, want, got)
			require.ErrorContains(t, one.KeepWidth("Sam", forecast.Conformal{}), "can't be kept")
		})
		_, err := os.Stat(filepath.Join(s.Dir(), summaryFolder))
		assert.Equal(t, with, err == nil)
	}
}

// asNobody runs f without the power to pass over permissions, if the test has
// that.
func asNobody(t *testing.T, f func()) {
	t.Helper()
	if os.Geteuid() == 0 {
		runtime.LockOSThread()
		defer runtime.UnlockOSThread()
		require.NoError(t, syscall.Setfsuid(65534))
		defer func() { require.NoError(t, syscall.Setfsuid(0)) }()
	}
	f()
}

func TestReadOnlyFolder(t *testing.T) {
	above := t.TempDir()
	top := filepath.Join(above, "top")
	s := openStore(t, filepath.Join(top, "services"))
	id := create(t, s, 0, "Tove A.")
	done := closed(t, s, 5, "June L.")
	for path, m := range map[string]fs.FileMode{
		filepath.Dir(above): 0o755, above: 0o755, top: 0o555, s.Dir(): 0o555, filepath.Join(s.Dir(), "live"): 0o555, filepath.Join(s.Dir(), "closed"): 0o555,
		filepath.Join(s.Dir(), lockName): 0o444, s.path(liveFolder, id): 0o444, s.path(liveFolder, done): 0o444,
	} {
		require.NoError(t, os.Chmod(path, m))
		defer os.Chmod(path, 0o700)
	}
	asNobody(t, func() {
		_, err := Open(filepath.Join(top, "new"))
		require.ErrorIs(t, err, fs.ErrPermission)
		require.ErrorContains(t, err, "check its permissions, or choose another")

		s, err = Open(s.Dir())
		require.NoError(t, err, "it may still be looked at")
		entries, problems := list(t, s)
		require.Len(t, entries, 2)
		assert.False(t, entries[0].Live)
		assert.NotEmpty(t, problems, "what others may read is named")
		got, err := s.Read(id)
		require.NoError(t, err)
		assert.Equal(t, "Tove A.", got.State().Client)

		_, err = s.Create(at(10), "station 1", opening("Mr. Okpara"))
		require.ErrorIs(t, err, fs.ErrPermission)
		assert.ErrorContains(t, err, "change the permissions")
		_, err = s.Resume(at(10), id, "station 1")
		require.ErrorIs(t, err, fs.ErrPermission)
		require.ErrorIs(t, s.Retire(done), fs.ErrPermission)
	})
}

func TestOpenOnAFile(t *testing.T) {
	path := filepath.Join(t.TempDir(), "file")
	require.NoError(t, os.WriteFile(path, nil, 0o600))
	_, err := Open(path)
	require.ErrorContains(t, err, "can't be made")
}

// thousands is a store of so many closed services, by its index: their logs
// hold nothing that could be read.
func thousands(t *testing.T, n int) *Store {
	t.Helper()
	s := newStore(t)
	text := history.NewIndex()
	for i := range n {
		c := history.Closed{
			ID: fmt.Sprintf("20260302-0900-%04d", i), Size: 4, Opened: at(i).Wall.Truncate(time.Second), Closed: at(i + 1).Wall.Truncate(time.Second),
			Client: "Tove A.", ZoneList: strings.Repeat("long ", 60),
		}
		text = history.AppendClosed(text, c)
		require.NoError(t, os.WriteFile(s.path(closedFolder, c.ID), []byte("none"), 0o600))
	}
	require.NoError(t, s.writeSummary(indexName, history.AppendMark(text, s.closedMark())))
	return s
}

func TestOfThousandsTheNewestAreLookedAt(t *testing.T) {
	const n = looked + 50
	s := thousands(t, n)
	require.True(t, s.settled())
	entries, problems := list(t, again(s))
	require.Len(t, entries, n)
	require.Empty(t, problems)

	old, recent := s.path(closedFolder, "20260302-0900-0003"), entries[0].Path
	for _, path := range []string{old, recent} {
		require.NoError(t, os.WriteFile(path, []byte("longer"), 0o600))
		require.NoError(t, os.Chmod(path, 0o644))
	}
	_, problems = list(t, again(s))
	require.Len(t, problems, 2, "the newest: open to others, and no log")
	for _, p := range problems {
		assert.Equal(t, recent, p.Path)
	}
	openStore(t, s.dir)
	assert.Equal(t, fs.FileMode(0o644), mode(t, old), "the folder keeps others out")

	require.NoError(t, os.WriteFile(s.path(closedFolder, "20260101-0900-new0"), []byte("none"), 0o600))
	openStore(t, s.dir)
	assert.Equal(t, fileMode, mode(t, old), "the folder was changed, so all are looked at")
	_, problems = list(t, again(s))
	assert.Len(t, problems, 3)
}
