//go:build unix

package main

import (
	"os"
	"path/filepath"
	"sync"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestLentFoldersAreTakenAway leaves folders of several kinds behind, and
// sweeps away those that nobody holds, and nothing else.
func TestLentFoldersAreTakenAway(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	held, gone, err := lend(dir)
	require.NoError(t, err)
	left, _, err := lend(dir)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(filepath.Join(left, "live.jsonl"), []byte("of June L."), 0o600)) // invented
	make := func(name string, mode os.FileMode, lock bool) string {
		path := filepath.Join(dir, lentFolder+name)
		require.NoError(t, os.Mkdir(path, 0o700))
		if lock {
			require.NoError(t, os.WriteFile(filepath.Join(path, lentLock), nil, 0o600))
		}
		require.NoError(t, os.Chmod(path, mode))
		return path
	}
	killed := make("killed", 0o700, true)
	kept := []string{held, left, make("open to others", 0o755, true), make("no lock", 0o700, false)}
	fifo := make("fifo", 0o700, false)
	require.NoError(t, syscall.Mkfifo(filepath.Join(fifo, lentLock), 0o600))
	link := filepath.Join(dir, lentFolder+"link")
	require.NoError(t, os.Symlink(t.TempDir(), link))
	kept = append(kept, fifo, link)

	sweepAway(dir)
	assert.NoDirExists(t, killed)
	for _, path := range kept {
		_, err := os.Lstat(path)
		assert.NoError(t, err, "%s stays", path)
	}
	gone()
	assert.NoDirExists(t, held)
}

// TestNoLentFolderIsSweptAwayUnderItsHolder lends and sweeps at the same time.
func TestNoLentFolderIsSweptAwayUnderItsHolder(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	stop := make(chan struct{})
	var sweepers, lenders sync.WaitGroup
	for range 2 {
		sweepers.Go(func() {
			for {
				select {
				case <-stop:
					return
				default:
					sweepAway(dir)
				}
			}
		})
		lenders.Go(func() {
			for range 300 {
				folder, gone, err := lend(dir)
				if assert.NoError(t, err) {
					assert.NoError(t, os.WriteFile(filepath.Join(folder, "live"), nil, 0o600), "it is there")
					assert.FileExists(t, filepath.Join(folder, "live"))
					gone()
				}
			}
		})
	}
	lenders.Wait()
	close(stop)
	sweepers.Wait()
}
