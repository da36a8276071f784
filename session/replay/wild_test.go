package replay_test

import (
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"rinseby/session"
	"rinseby/session/replay"
)

// A journal can be made by hand, past all rules. Whatever folds can be gone
// through, reviewed, compared and, maybe, exported; nothing ends in a panic.
func TestWhateverFoldsCanBeReviewed(t *testing.T) {
	folded := 0
	rapid.Check(t, func(rt *rapid.T) {
		c := randomService(rt, rapid.IntRange(5, 20).Draw(rt, "entries"))
		events := slices.Clone(c.log.Events())
		other := randomService(rt, 8).log.Events()
		for range rapid.IntRange(1, 5).Draw(rt, "changes") {
			i := rapid.IntRange(1, len(events)-1).Draw(rt, "at")
			switch rapid.IntRange(0, 2).Draw(rt, "change") {
			case 0:
				events = slices.Delete(events, i, i+1)
			case 1:
				events = slices.Insert(events, i, rapid.SampledFrom(other[1:]).Draw(rt, "event"))
			case 2:
				events[i].When = events[i].When.Add(time.Duration(rapid.IntRange(-9000, 9000).Draw(rt, "moved")) * time.Second)
			}
		}
		for i := range events {
			events[i].Seq = i + 1
		}
		l, err := session.Fold(events)
		if err != nil {
			return
		}
		folded++
		tape := replay.New(l)
		for n := 1; n <= tape.Len(); n++ {
			require.NotNil(rt, tape.Events(n).State())
			tape.Board(tape.Moment(n))
		}
		stops := tape.Stops()
		require.True(rt, slices.IsSortedFunc(stops, func(a, b replay.Stop) int { return a.At.Compare(b.At) }))
		f, err := replay.Review(tape, session.Usuals{})
		require.NoError(rt, err)
		for _, s := range f.Sections() {
			require.NotEmpty(rt, s.Lines)
		}
		if cmp, err := replay.Compare(tape, tape); err == nil {
			require.True(rt, cmp.SameList)
			require.NotEmpty(rt, cmp.Sections())
		}
		_, _ = replay.Redact(l)
	})
	require.NotZero(t, folded)
}
