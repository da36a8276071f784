package store

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// TestAPanicOfOneIsAPanicOfAll panics in a goroutine of each: that is the
// caller's panic then, who may be guarded, and it says where it was.
func TestAPanicOfOneIsAPanicOfAll(t *testing.T) {
	defer func() {
		p, ok := recover().(*panicked)
		require.True(t, ok)
		require.Contains(t, p.Stack(), "index out of range")
		require.Contains(t, p.Stack(), "each_test.go")
	}()
	each(20, func(i int) {
		_ = make([]int, 7)[i]
	})
	t.Fatal("it went on")
}
