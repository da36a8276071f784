package store

import (
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/session"
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
