//go:build unix

package main

import (
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestForgetAsks types the answer at a terminal.
func TestForgetAsks(t *testing.T) {
	t.Parallel()
	s := newSalon(t)
	s.must("import", s.file("first.jsonl", plainService("first", "Ines", 0, 2, true)))
	log := filepath.Join(s.data, "closed", "first.jsonl")
	for _, answer := range []string{"no", "y", ""} {
		x := s.open("forget", "june l.")
		x.WaitFor("Type yes to remove it:")
		x.Type(answer)
		x.Keys("enter")
		code, err := x.Wait()
		require.NoError(t, err)
		assert.Equal(t, 1, code)
		assert.FileExists(t, log)
	}
	x := s.open("forget", "june l.")
	x.WaitFor("Type yes to remove it:")
	x.Type("Yes")
	x.Keys("enter")
	x.WaitFor("Removed: 1 service.")
	code, err := x.Wait()
	require.NoError(t, err)
	assert.Zero(t, code)
	assert.NoFileExists(t, log)
}
