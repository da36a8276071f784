package replay_test

import (
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/session"
	"rinseby/session/card"
	"rinseby/session/replay"
	"rinseby/timing"
)

// A service that began before anybody had a hand free for the computer is told
// at the times at which it happened, also where the night lies in between.
func TestAServiceOpenedLateIsToldWhenItBegan(t *testing.T) {
	for _, c := range []struct {
		name                        string
		logged                      time.Time // by the wall clock
		late                        time.Duration
		opened, bowl, promise, card string
	}{
		{
			name: "in the evening", logged: time.Date(2026, 3, 2, 21, 47, 0, 0, time.UTC), late: 91 * time.Minute,
			opened: "2026-03-02 20:16", bowl: "21:50:00", promise: "promised for 23:30:00; out 7 min 00 s earlier", card: "23:30:00",
		},
		{
			name: "before midnight, for after it", logged: time.Date(2026, 3, 2, 23, 47, 0, 0, time.UTC), late: 91 * time.Minute,
			opened: "2026-03-02 22:16", bowl: "23:50:00", promise: "promised for 01:30:00; out 7 min 00 s earlier", card: "3 Mar 01:30:00",
		},
		{
			name: "after midnight, begun before it", logged: time.Date(2026, 3, 3, 0, 5, 0, 0, time.UTC), late: 35 * time.Minute,
			opened: "2026-03-02 23:30", bowl: "00:08:00", promise: "promised for 01:48:00; out 7 min 00 s earlier", card: "3 Mar 01:48:00",
		},
		{
			name: "logged at once", logged: time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC),
			opened: "2026-03-02 09:00", bowl: "09:03:00", promise: "promised for 10:43:00; out 7 min 00 s earlier", card: "10:43:00",
		},
	} {
		t.Run(c.name, func(t *testing.T) {
			l, now := &session.Log{}, c.logged
			do := func(after time.Duration, cmd session.Command) {
				now = now.Add(after)
				_, err := l.Commit(timing.Reading{Wall: now, Boot: time.Hour + now.Sub(c.logged), BootID: "boot-a"}, cmd)
				require.NoError(t, err)
			}
			by := c.logged.Add(103 * time.Minute)
			do(0, session.DoAt(c.logged.Add(-c.late), session.ServiceOpened{Service: "s1", Client: "June L.", Promised: &by}))
			for _, a := range answers() {
				do(0, session.Do(a))
			}
			do(3*time.Minute, session.Do(bowl(root, 30, 60)))
			do(93*time.Minute, session.Do(session.ServiceClosed{}))

			f := review(t, l)
			assert.True(t, f.Opened.Equal(c.logged.Add(-c.late)), "%s", f.Opened)
			assert.InDelta(t, (96*time.Minute + c.late).Seconds(), f.LengthS, 0)
			var all []string
			for _, s := range f.Sections() {
				all = append(all, s.Lines...)
			}
			assert.Contains(t, all, "service s1, by nobody named, opened "+c.opened)
			assert.Contains(t, all, c.promise)
			assert.True(t, slices.ContainsFunc(all, func(s string) bool { return len(s) > 8 && s[:8] == c.bowl }), "the bowl was mixed at %s: %q", c.bowl, all)

			made := card.Make(l, now, time.UTC)
			assert.True(t, made.Opened.Equal(f.Opened))
			assert.True(t, made.Promised.Equal(by))
			assert.Contains(t, made.Markdown(), "Promised to be done by: "+c.card)
		})
	}
}

// Two services side by side each begin when they began.
func TestCompareTellsWhenEachBegan(t *testing.T) {
	c := &chair{t: t, log: &session.Log{}, now: zero, boot: "boot-a"}
	c.ago(50, session.ServiceOpened{Service: "s2", Client: "Tove A."})
	for _, e := range ready(t).log.Events()[1:] {
		c.do(e.Data)
	}
	c.at(10).do(place("z1", 4))
	both, err := replay.Compare(replay.New(breached(t).log), replay.New(c.log))
	require.NoError(t, err)
	assert.Equal(t, zero, both.A.Opened)
	assert.Equal(t, zero.Add(-50*time.Minute), both.B.Opened)
	assert.Contains(t, both.Sections()[0].Lines, "B: Tove A., service s2, opened 2026-03-02 08:10")
}
