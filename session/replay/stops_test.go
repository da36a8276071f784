package replay_test

import (
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"rinseby/session"
	"rinseby/session/replay"
	"rinseby/timing"
)

func TestStopsOfAService(t *testing.T) {
	tape := replay.New(breached(t).log)
	count := map[replay.Kind]int{}
	for _, s := range tape.Stops() {
		count[s.Kind]++
	}
	assert.Equal(t, 2, count[replay.Trip])
	assert.Equal(t, 2, count[replay.Rinse])
	assert.Equal(t, 2, count[replay.Mix])
	assert.Equal(t, 1, count[replay.Strength])
	at := func(s replay.Stop, ok bool) time.Duration {
		require.True(t, ok)
		return s.At.Sub(zero)
	}
	trip := at(tape.Next(tape.From(), replay.Trip))
	assert.Equal(t, 40*time.Minute, trip)
	assert.Equal(t, 56*time.Minute, at(tape.Next(zero.Add(trip), replay.Trip)))
	assert.Equal(t, 40*time.Minute, at(tape.Prev(zero.Add(56*time.Minute), replay.Trip)))
	_, ok := tape.Prev(zero.Add(40*time.Minute), replay.Trip)
	assert.False(t, ok)
	_, ok = tape.Next(tape.To(), "")
	assert.False(t, ok)
	assert.Equal(t, 10*time.Minute, at(tape.Next(zero, replay.Event)), "every entry is an event, of whatever kind")
}

// Forwards and backwards by any kind meet the same stops.
func TestStepsMeetEveryMoment(t *testing.T) {
	tape := replay.New(ordinaryDay(t))
	for _, k := range []replay.Kind{"", replay.Event, replay.Warning, replay.Rinse, replay.Check} {
		var on, back []time.Time
		for s, ok := tape.Next(tape.From(), k); ok; s, ok = tape.Next(s.At, k) {
			on = append(on, s.At)
		}
		for s, ok := tape.Prev(tape.To().Add(1), k); ok && s.At.After(tape.From()); s, ok = tape.Prev(s.At, k) {
			back = append(back, s.At)
		}
		slices.Reverse(back)
		assert.NotEmpty(t, on)
		assert.Equal(t, on, back, "%q", k)
	}
}

func TestPromiseIsAStop(t *testing.T) {
	c := &chair{t: t, log: &session.Log{}, now: zero}
	promised := zero.Add(90 * time.Minute)
	c.do(session.ServiceOpened{Service: "s1", Client: "June L.", Promised: &promised})
	c.at(100).do(session.NoteAdded{Text: "x"})
	stop, ok := replay.New(c.log).Next(zero, replay.Promise)
	require.True(t, ok)
	assert.Equal(t, promised, stop.At)
	assert.Equal(t, "promised for 10:30", stop.Text)
}

func keysAt(tape *replay.Tape, at time.Time) map[string]bool {
	keys := map[string]bool{}
	for _, w := range tape.Board(at).Warnings {
		keys[w.Key] = true
	}
	return keys
}

// Every warning stop is where its board shows it first: the board of a second
// before does not, nor does that of any whole second earlier.
func TestWarningsAreFoundWhereTheyShowFirst(t *testing.T) {
	found := 0
	rapid.Check(t, func(rt *rapid.T) {
		tape := replay.New(randomService(rt, rapid.IntRange(5, 25).Draw(rt, "entries")).log)
		first := map[string]time.Time{}
		for _, s := range tape.Stops() {
			if s.Kind != replay.Warning {
				continue
			}
			require.NotContains(rt, first, s.Key, "a key is told once")
			require.True(rt, keysAt(tape, s.At)[s.Key], "%s shows at %v", s.Key, s.At)
			first[s.Key] = s.At
		}
		for at := tape.From(); !at.After(tape.To()); at = at.Add(7 * time.Second) {
			for key := range keysAt(tape, at) {
				require.Contains(rt, first, key)
				require.False(rt, at.Before(first[key]), "%s shows at %v, before %v", key, at, first[key])
			}
		}
		found += len(first)
	})
	require.NotZero(t, found)
}

// What was left live for a year is looked through as closely as any service for
// its first day, and then by fewer and fewer looks.
func TestAServiceThatWasForgottenForAYear(t *testing.T) {
	day := 24 * time.Hour
	assert.Equal(t, 24*60, replay.Looks(zero, zero.Add(day)))
	assert.Less(t, replay.Looks(zero, zero.Add(365*day)), 24*60+300, "looks")
	last := breached(t)
	l := last.log
	_, err := l.Commit(timing.Reading{Wall: zero.Add(365 * day), Boot: 400 * day, BootID: "a"}, session.Do(session.NoteAdded{Text: "there it is"}))
	require.NoError(t, err)
	tape := replay.New(l)
	warned, ok := tape.Next(tape.From(), replay.Warning)
	require.True(t, ok)
	assert.Less(t, warned.At.Sub(zero), 2*time.Hour)
}
