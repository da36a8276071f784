package main

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A clumsy writer panics with what it is given.
type clumsy struct{}

func (clumsy) Write(b []byte) (int, error) { panic(string(b)) }

// TestACommandThatPanics ends with words and a crash file, which says where and
// nothing of a service; also where there was no folder yet.
func TestACommandThatPanics(t *testing.T) {
	d := newDesk(t)
	d.e.out = clumsy{}
	d.data = filepath.Join(t.TempDir(), "not there yet")
	require.Equal(t, 1, d.run("starter"))
	said := d.err.String()
	assert.Contains(t, said, "it stopped on a mistake of its own")
	files, err := filepath.Glob(filepath.Join(d.data, "crash-*.txt"))
	require.NoError(t, err)
	require.Len(t, files, 1)
	assert.Contains(t, said, files[0])
	text, err := os.ReadFile(files[0])
	require.NoError(t, err)
	assert.Contains(t, string(text), "panic_test.go")
	assert.NotContains(t, string(text), "Chalk", "what was to be written")
	info, err := os.Stat(files[0])
	require.NoError(t, err)
	assert.Equal(t, os.FileMode(0o600), info.Mode().Perm())
}
