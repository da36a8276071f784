package session_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"rinseby/session"
)

func (c *chair) until(m float64) *session.Log {
	c.t.Helper()
	l, err := c.log.Until(c.zero.Add(time.Duration(m * float64(time.Minute))))
	require.NoError(c.t, err)
	return l
}

func TestUntilCountsWhatWasRecordedByThen(t *testing.T) {
	c := lightening(t)
	c.at(10).do(place("z1", 1))
	placed := c.last()
	c.at(20).do(session.NoteAdded{Text: "x"})
	c.at(30).ago(25, place("z1", 2)) // at minute 5
	c.at(31).do(session.EventMoved{Seq: placed, To: c.zero.Add(8 * time.Minute)})
	c.at(32).do(session.EventVoided{Seq: placed})
	done := func(m float64) int { return c.until(m).State().Zone("z1").Done() }
	assert.Equal(t, 0, done(9.9))
	assert.Equal(t, 1, done(10), "what is recorded at the moment itself counts")
	assert.Equal(t, 1, done(20), "what was put at minute 5 was recorded later")
	assert.Equal(t, 3, done(30))
	assert.Equal(t, c.zero.Add(10*time.Minute), c.until(30).State().Zone("z1").Placed[1].At)
	assert.Equal(t, c.zero.Add(8*time.Minute), c.until(31).State().Zone("z1").Placed[1].At)
	assert.Equal(t, 3, done(31), "it was taken back later")
	assert.Equal(t, 2, done(32))
	assert.Equal(t, c.state(), c.until(1000).State())
	_, err := c.log.Until(c.zero.Add(-time.Second))
	assert.ErrorIs(t, err, session.ErrNotYet)
}

// The word on how long the machine was off moves the time line from when it is
// given, and not before.
func TestUntilKnowsTheClockAsItWasKnownThen(t *testing.T) {
	c := lightening(t)
	c.at(5).do(place("z1", 1))
	c.boot = "boot-b"
	c.at(10).do(place("z1", 1))
	before := c.state().Gaps[0]
	c.at(12).do(session.ClockNoted{What: session.ClockConfirmed, ShiftS: 600})
	assert.Equal(t, []session.Gap{before}, c.until(11).State().Gaps)
	assert.Equal(t, 2, c.until(11).State().Zone("z1").Done())
	assert.False(t, c.until(21).State().Gaps[0].Confirmed, "by the new line it was given at minute 22")
	assert.True(t, c.until(22).State().Gaps[0].Confirmed)
}

// moment is the end of a log's time line.
func moment(s *session.State, c *chair) time.Time { return s.Line.Now(c.reading()) }

// cut is a service that went on after a moment, and its log as it was then.
type cut struct {
	c    *chair
	at   time.Time
	then *session.Log
}

// drawCut draws one. It is false if the clock stood still after the moment, so
// that nothing tells what came before it.
func drawCut(rt *rapid.T, c *chair) (cut, bool) {
	d := draws{rt, c, 1}
	run := func(n int) {
		for range n {
			d.pass(true)
			if d.count(0, 2) == 0 {
				_ = c.try(d.command())
			} else {
				_ = c.try(session.Do(d.hands()))
			}
		}
	}
	run(d.count(5, 30))
	then, err := session.Fold(c.log.Events())
	require.NoError(rt, err)
	x := cut{c: c, then: then, at: moment(then.State(), c)}
	n := c.last()
	c.now = c.now.Add(time.Millisecond)
	run(d.count(5, 30))
	if c.last() == n {
		return x, true
	}
	next := c.log.Events()[n]
	return x, then.State().Line.Now(next.Recorded).After(x.at)
}

func TestUntilIsTheLogAsItWas(t *testing.T) {
	later := 0
	rapid.Check(t, func(rt *rapid.T) {
		x, ok := drawCut(rt, ready(t))
		if !ok {
			return
		}
		l, err := x.c.log.Until(x.at)
		require.NoError(rt, err)
		require.Equal(rt, x.then.State(), l.State())
		require.Equal(rt, x.then.Events(), l.Events())
		later += x.c.last() - len(l.Events())
	})
	require.NotZero(t, later)
}
