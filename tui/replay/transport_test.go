package replay_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"rinseby/timing"
	"rinseby/tui/replay"
)

var nine = time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC)

// after is a reading so long after the first.
func after(d time.Duration) timing.Reading {
	return timing.Reading{Wall: nine.Add(d), Boot: time.Hour + d, BootID: "a"}
}

func TestTransportGoesBySpeedTimesElapsed(t *testing.T) {
	run := replay.NewTransport(nine, nine.Add(3*time.Hour), after(0))
	assert.Equal(t, nine, run.Moment())
	run.Turn(after(time.Hour))
	assert.Equal(t, nine, run.Moment(), "it stands still at first")
	run.Toggle()
	run.Turn(after(time.Hour + 10*time.Second))
	assert.Equal(t, nine.Add(10*time.Minute), run.Moment(), "sixty times as fast")
	require.True(t, run.Faster(-5))
	require.False(t, run.Faster(-1))
	assert.Equal(t, 1, run.Speed())
	run.Turn(after(time.Hour + 15*time.Second))
	assert.Equal(t, nine.Add(10*time.Minute+5*time.Second), run.Moment())
	run.Play(true)
	run.Turn(after(time.Hour + 20*time.Second))
	assert.Equal(t, nine.Add(10*time.Minute), run.Moment())
	run.Seek(nine.Add(time.Second))
	run.Turn(after(time.Hour + 30*time.Second))
	assert.Equal(t, nine, run.Moment())
	assert.False(t, run.Playing(), "ends are ends")
	run.Seek(nine.Add(24 * time.Hour))
	assert.Equal(t, nine.Add(3*time.Hour), run.Moment())
	run.Play(false)
	assert.False(t, run.Playing())
	run.Play(true)
	run.Pause()
	run.Toggle()
	assert.True(t, run.Playing(), "it plays on as before")
}

// A wall clock that is put back does not stop it while the machine's own runs;
// without that, it never runs back.
func TestTransportGoesByTheTimeSinceBoot(t *testing.T) {
	run := replay.NewTransport(nine, nine.Add(3*time.Hour), after(0))
	run.Toggle()
	r := after(10 * time.Second)
	r.Wall = nine.Add(-time.Hour)
	run.Turn(r)
	assert.Equal(t, nine.Add(10*time.Minute), run.Moment())
	r.BootID = ""
	run.Turn(r)
	assert.Equal(t, nine, run.Moment(), "no time has passed that anybody could tell")
}

// However often it is looked at, and whatever its speed, it is where one look
// would have found it.
func TestTransportDoesNotCountLooks(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		length := time.Duration(rapid.Int64Range(0, int64(5*time.Hour)).Draw(t, "length"))
		often, once := replay.NewTransport(nine, nine.Add(length), after(0)), replay.NewTransport(nine, nine.Add(length), after(0))
		speed, back := rapid.IntRange(-6, 4).Draw(t, "speed"), rapid.Bool().Draw(t, "back")
		for _, run := range []*replay.Transport{often, once} {
			for range max(speed, -speed) {
				run.Faster(speed / max(speed, -speed))
			}
			run.Seek(nine.Add(length / 2))
			run.Play(back)
		}
		var passed time.Duration
		was := often.Moment()
		for range rapid.IntRange(1, 50).Draw(t, "looks") {
			passed += time.Duration(rapid.Int64Range(0, int64(time.Minute)).Draw(t, "passes"))
			often.Turn(after(passed))
			now := often.Moment()
			require.False(t, back && now.After(was) || !back && now.Before(was), "it never turns by itself")
			was = now
		}
		once.Turn(after(passed))
		require.Equal(t, once.Moment(), often.Moment())
		want := nine.Add(length / 2).Add(time.Duration(once.Speed()) * passed)
		if back {
			want = nine.Add(length / 2).Add(-time.Duration(once.Speed()) * passed)
		}
		if want.After(nine.Add(length)) {
			want = nine.Add(length)
		}
		if want.Before(nine) {
			want = nine
		}
		require.Equal(t, want, once.Moment())
	})
}
