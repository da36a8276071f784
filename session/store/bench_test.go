package store

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"rinseby/session"
)

// BenchmarkList lists 100 closed services of 200 entries each.
func BenchmarkList(b *testing.B) {
	s := newStore(b)
	for i := range 100 {
		l, err := s.Create(at(i), "station 1", opening("Tove A."))
		require.NoError(b, err)
		var cmds []session.Command
		for n := range 198 {
			cmds = append(cmds, session.Do(session.NoteAdded{Text: fmt.Sprintf("note %d, about as long as an entry is in a service that was run at the chair, with zones and bowls", n)}))
		}
		_, err = l.Do(at(i+1), append(cmds, session.Do(session.ServiceClosed{}))...)
		require.NoError(b, err)
		require.NoError(b, l.Close())
	}
	for b.Loop() {
		entries, _, err := s.List()
		require.NoError(b, err)
		require.Len(b, entries, 100)
	}
}
