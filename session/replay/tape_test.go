package replay_test

import (
	"fmt"
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

func TestAnyOrderOfScrubsIsTheStraightFold(t *testing.T) {
	kinds := map[string]int{}
	rapid.Check(t, func(rt *rapid.T) {
		c := randomService(rt, rapid.IntRange(5, 40).Draw(rt, "entries"))
		for _, e := range c.log.Events() {
			kinds[e.Data.Kind()]++
		}
		tape := replay.New(c.log)
		span := tape.To().Sub(tape.From()) + time.Minute
		for range rapid.IntRange(5, 25).Draw(rt, "scrubs") {
			at := tape.From().Add(time.Duration(rapid.Int64Range(0, int64(span)).Draw(rt, "at")))
			if rapid.Bool().Draw(rt, "at an entry") {
				at = tape.Moment(rapid.IntRange(1, tape.Len()).Draw(rt, "entry"))
			}
			want, err := c.log.Until(at)
			require.NoError(rt, err)
			got := tape.At(at)
			require.Equal(rt, want.State(), got.State())
			require.Equal(rt, want.Events(), got.Events())
			require.Equal(rt, len(want.Events()), tape.Position(at))
			require.Equal(rt, want.State().Line.Now(tape.Reading(at)), at, "the reading made for it is of that moment")
		}
		for n := 1; n <= tape.Len(); n++ {
			want, err := session.Fold(c.log.Events()[:n])
			require.NoError(rt, err)
			require.Equal(rt, want.State(), tape.Events(n).State())
		}
	})
	for _, kind := range []string{"piece.placed", "rinse.ended", "event.voided", "event.moved", "clock.noted", "plan.changed"} {
		require.NotZero(t, kinds[kind], "%s was never taken, so nothing was shown of it", kind)
	}
}

func TestTapeAtItsEdges(t *testing.T) {
	c := ready(t).at(3).do(place("z1", 1))
	tape := replay.New(c.log)
	assert.Equal(t, zero, tape.From())
	assert.Equal(t, zero.Add(3*time.Minute), tape.To())
	assert.Equal(t, 0, tape.At(zero.Add(3*time.Minute-1)).State().Zone("z1").Done())
	assert.Equal(t, 1, tape.At(zero.Add(3*time.Minute)).State().Zone("z1").Done(), "what is recorded at the moment itself counts")
	assert.Same(t, c.log, tape.At(zero.Add(time.Hour)))
	assert.Equal(t, 1, tape.Position(zero.Add(-time.Hour)), "there is nothing before the opening")
	assert.Len(t, tape.Events(-5).Events(), 1)
	assert.Len(t, tape.Events(1000).Events(), tape.Len())
	assert.Equal(t, tape.From(), tape.Moment(0))
	assert.Equal(t, tape.To(), tape.Moment(1000))
}

// A journal made by hand, in which a bowl is mixed twice and only later one of
// them taken back: the part between makes no service.
func TestPartsThatMakeNoServiceAreGoneOver(t *testing.T) {
	c := ready(t).at(10).do(place("z1", 1))
	good := c.state().Seq
	events := slices.Clone(c.log.Events())
	add := func(minutes float64, d session.Data) {
		c.at(minutes)
		events = append(events, session.Event{Seq: len(events) + 1, When: c.now, Recorded: c.reading(), Data: d})
	}
	again := bowl(root, 10, 20)
	again.Bowl = "b1"
	add(11, again)
	add(40, session.NoteAdded{Text: "x"})
	add(41, session.EventVoided{Seq: good + 1})
	add(42, session.NoteAdded{Text: "y"})
	l, err := session.Fold(events)
	require.NoError(t, err)
	tape := replay.New(l)
	for n := 1; n <= good; n++ {
		assert.Len(t, tape.Events(n).Events(), n)
	}
	assert.Len(t, tape.Events(good+1).Events(), good)
	assert.Len(t, tape.Events(good+2).Events(), good)
	assert.Len(t, tape.Events(good+3).Events(), good+3)
	assert.Equal(t, zero.Add(42*time.Minute), tape.To())
	assert.NotEmpty(t, tape.Stops())
	assert.Len(t, review(t, l).Zones, 1)
	_, err = replay.Redact(l)
	assert.NoError(t, err)
}

// The wall clock is put forward by an hour at 9:05: until then the tape says
// 9:04 for a contact at 9:04, from then on what the clock on the wall would
// have shown.
func TestClockIsThatOfTheMoment(t *testing.T) {
	c := ready(t).at(4).do(place("z1", 1))
	c.skew = time.Hour
	c.at(5).do(session.NoteAdded{Text: "x"})
	tape := replay.New(c.log)
	contact := zero.Add(4 * time.Minute)
	assert.Equal(t, "09:04", tape.Clock(contact)(contact))
	assert.Equal(t, "10:04", tape.Clock(zero.Add(5*time.Minute))(contact))
	assert.Equal(t, "12:04", tape.In(time.FixedZone("east", 2*3600)).Clock(zero.Add(5*time.Minute))(contact))
	assert.Equal(t, timing.Reading{Wall: zero.Add(70 * time.Minute), Boot: 70 * time.Minute, BootID: "boot-a"}, tape.Reading(zero.Add(10*time.Minute)))
}

func BenchmarkNew(b *testing.B) {
	l := fullLog(b, 5000)
	for b.Loop() {
		replay.New(l)
	}
}

// BenchmarkScrub winds a log of 5,000 entries to one moment after another, in
// steps forwards, in steps backwards, and anywhere.
func BenchmarkScrub(b *testing.B) {
	l := fullLog(b, 5000)
	for _, by := range []struct {
		name string
		step int
	}{{"forwards", 1}, {"backwards", 4999 - 1}, {"anywhere", 1787}} {
		b.Run(by.name, func(b *testing.B) {
			tape := replay.New(l)
			for n := 4900; b.Loop(); n = (n + by.step) % 4999 {
				tape.Events(n)
			}
		})
	}
}

// BenchmarkBoard is a scrub and the board of that moment.
func BenchmarkBoard(b *testing.B) {
	tape := replay.New(fullLog(b, 5000))
	for n := 4900; b.Loop(); n = (n + 1787) % 4999 {
		tape.Board(tape.Moment(n))
	}
}

func BenchmarkStops(b *testing.B) {
	for _, n := range []int{200, 1000, 5000} {
		l := fullLog(b, n)
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			for b.Loop() {
				replay.New(l).Stops()
			}
		})
	}
}
