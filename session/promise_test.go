package session_test

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/session"
)

// promised is a service that was opened at nine and promised for eleven.
func promised(t testing.TB) *chair {
	c := newChair(t)
	at := c.zero.Add(2 * time.Hour)
	c.do(session.ServiceOpened{Service: "s1", Client: "June L.", Promised: &at})
	return c
}

// minute is so many minutes after nine.
func (c *chair) minute(m float64) time.Time {
	return c.zero.Add(time.Duration(m * float64(time.Minute)))
}

func (c *chair) saidOfPromises() string {
	return session.SayPromises(c.state().Promises, c.state().Opened, wall)
}

func TestTheLastPromiseHolds(t *testing.T) {
	c := promised(t)
	assert.Equal(t, "11:00", c.saidOfPromises())
	c.at(80).do(promise(150, "the front desk"))
	c.at(100).do(promise(150, "the client, too"))
	c.at(110).do(promise(160, ""))
	assert.Equal(t, []session.Promise{
		{At: c.zero, By: c.minute(120), Seq: 1},
		{At: c.minute(80), By: c.minute(150), Told: "the front desk", Seq: 2},
		{At: c.minute(100), By: c.minute(150), Told: "the client, too", Seq: 3},
		{At: c.minute(110), By: c.minute(160), Seq: 4},
	}, c.state().Promises)
	assert.Equal(t, c.minute(160), c.state().Promised)
	assert.Equal(t, "11:00; from 10:20 on 11:30; from 10:50 on 11:40", c.saidOfPromises(), "telling it again is no other promise")

	c.at(115).do(session.PromiseChanged{})
	assert.Zero(t, c.state().Promised)
	assert.Equal(t, "11:00; from 10:20 on 11:30; from 10:50 on 11:40; from 10:55 on nothing", c.saidOfPromises())
	c.undo()
	c.undo()
	assert.Equal(t, c.minute(150), c.state().Promised, "the one before is back")
	c.redo()
	assert.Equal(t, c.minute(160), c.state().Promised)

	c = newChair(t)
	c.do(session.ServiceOpened{Service: "s1", Client: "June L."})
	assert.Empty(t, c.saidOfPromises())
	c.at(5).do(promise(60, ""))
	assert.Equal(t, "from 09:05 on 10:00", c.saidOfPromises())
}

// What was said first counts as first, whenever it was logged.
func TestPromisesHoldInTheOrderInWhichTheyWereMade(t *testing.T) {
	c := promised(t)
	c.at(80).do(promise(150, ""))
	c.at(90).ago(20, promise(140, ""))
	assert.Equal(t, c.minute(150), c.state().Promised)
	assert.Equal(t, "11:00; from 10:10 on 11:20; from 10:20 on 11:30", c.saidOfPromises())
	c.do(session.EventMoved{Seq: 3, To: c.minute(85)})
	assert.Equal(t, c.minute(140), c.state().Promised, "a moving puts it last, and leaves the time that was said")
	c.at(145)
	refuses(t, c, []refusal{
		no("made after it has passed", session.EventMoved{Seq: 3, To: c.minute(141)}, "give an earlier moment"),
	})
}

func TestPromisesThatAreRefused(t *testing.T) {
	c := promised(t)
	c.at(80)
	refuses(t, c, []refusal{
		no("has passed", promise(79, ""), "has passed: give a later one"),
		no("another day", promise(24*60+1, ""), "more than 24 hours after the opening: correct it"),
		no("the same", promise(120, " "), "that is promised already: give another time, or say who was told"),
		no("words too long", promise(130, strings.Repeat("x", session.MaxText+1)), "too long"),
	})
	c.do(promise(24*60, ""), promise(80, ""), session.PromiseChanged{})
	refuses(t, c, []refusal{
		no("nothing again", session.PromiseChanged{}, "nothing is promised: give a time, or say who was told"),
	})
	c.do(session.PromiseChanged{Told: "the front desk"})
	c.ago(10, promise(75, ""))
	c.do(session.ServiceClosed{})
	refuses(t, c, []refusal{no("closed", promise(150, ""), "the service is closed")})
}

// The clock of the wall is put on by an hour between two promises: each is by
// the clock as it was then.
func TestPromiseByAClockThatWasPutOn(t *testing.T) {
	c := promised(t)
	c.at(60)
	c.skew = time.Hour
	c.do(promise(210, "")) // which the clock will show 90 minutes from now
	assert.Equal(t, c.minute(150), c.state().Promised)
	assert.Equal(t, c.minute(120), c.state().Promises[0].By)
	c.at(65).do(session.EventMoved{Seq: 2, To: c.minute(122)})
	assert.Equal(t, c.minute(62), c.state().Promises[1].At)
	assert.Equal(t, c.minute(150), c.state().Promised)
}

// Clocks drift: that makes no other promise, and no other minute.
func TestPromiseByClocksThatDrift(t *testing.T) {
	c := promised(t)
	c.at(60)
	c.skew = 900 * time.Millisecond
	refuses(t, c, []refusal{no("the same", promise(120, ""), "that is promised already")})
	c.do(promise(120, "the front desk"), promise(150, ""))
	assert.Equal(t, "11:00; from 10:00 on 11:29", c.saidOfPromises(), "on the time line")
	assert.Equal(t, "11:30", wall(session.ToldPromise(c.state().Promised)))
	f := session.Forecast{Promised: c.state().Promised}
	assert.Equal(t, "on time: 9 in 10 that by 11:30", f.SayPromise(wall))
	assert.True(t, session.SamePromise(time.Time{}, time.Time{}))
	assert.False(t, session.SamePromise(time.Time{}, c.now))
}

func TestPromisesInWords(t *testing.T) {
	salon := time.FixedZone("salon", 2*3600)
	c := promised(t)
	c.at(80)
	later := promise(150, "the front desk")
	events, err := session.Decide(c.log, c.reading(), session.DoAt(c.now.In(salon), later))
	require.NoError(t, err)
	assert.Equal(t, "promised for 13:30, told: the front desk", c.state().Say(events[0].Data), "by the clock of the salon")
	assert.Equal(t, c.minute(150), *later.Promised, "what was given is left as it was")
	assert.Equal(t, "promised for 11:30", c.state().Say(promise(150, "")))
	assert.Equal(t, "nothing is promised any more", c.state().Say(session.PromiseChanged{}))
}

// Forecast, floor and chain go by the promise as it stands.
func TestWhatComesGoesByThePresentPromise(t *testing.T) {
	c := lightening(t)
	c.at(5).do(promise(20, ""))
	assert.InDelta(t, 1, c.forecast(session.Usuals{}).Late, 1e-9)
	c.do(promise(600, ""))
	f := c.forecast(session.Usuals{})
	assert.InDelta(t, 0, f.Late, 1e-9)
	assert.Equal(t, c.minute(600), f.Promised)
	b := c.board()
	assert.Equal(t, c.minute(600), session.LookFloor(c.state(), &b, c.reading(), session.Beside{}).Promised)
	c.do(session.PromiseChanged{})
	assert.Zero(t, c.forecast(session.Usuals{}).Promised)
	b = c.board()
	assert.Zero(t, session.LookFloor(c.state(), &b, c.reading(), session.Beside{}).Promised)
}
