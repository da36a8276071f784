package session_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/session"
	"rinseby/timing"
)

func TestWallClockStepsWhileTheServiceRuns(t *testing.T) {
	for _, step := range []time.Duration{time.Second, -time.Second, time.Hour, -time.Hour, 24 * time.Hour, -24 * time.Hour} {
		t.Run(step.String(), func(t *testing.T) {
			c := lightening(t)
			c.at(0).do(place("z1", 4))
			c.at(10)
			c.skew = step
			c.do(place("z2", 1))
			c.at(14).ago(2, place("z2", 1))
			assert.Equal(t, 14*time.Minute, c.timed("z1").Oldest)
			assert.Equal(t, 4*time.Minute, c.timed("z2").Oldest)
			assert.Equal(t, 2*time.Minute, c.timed("z2").Newest, "two minutes ago, by the clock as it is now")
			assert.Equal(t, 35.0, c.offBy("z1"))
			limit := c.state().Line.Wall(c.timed("z1").LimitAt, c.reading())
			assert.Equal(t, c.zero.Add(35*time.Minute+step), limit, "screens say it by the clock as it is now")
			if step.Abs() <= timing.Tolerance {
				assert.Empty(t, c.state().Gaps)
				return
			}
			require.Len(t, c.state().Gaps, 1)
			assert.Equal(t, step, c.state().Gaps[0].Step)
			warnings := c.board().Warnings
			require.NotEmpty(t, warnings)
			last := warnings[len(warnings)-1]
			assert.Contains(t, last.Text, "the computer's clock was moved by "+step.String())
			assert.NotEqual(t, session.DoClock, c.board().Next.Verb, "nothing has to be asked")
		})
	}
}

// reboot starts the machine anew at the minute, with a wall clock that is off.
func (c *chair) reboot(m float64, skew time.Duration) {
	c.at(m)
	c.boot, c.skew = c.boot+"x", skew
}

func TestRebootWithoutADoubtAboutTheClock(t *testing.T) {
	c := lightening(t)
	c.at(0).do(place("z1", 4))
	c.reboot(12, 0)
	assert.Equal(t, 12*time.Minute, c.timed("z1").Oldest, "before anything is logged")
	c.do(session.ClockNoted{What: session.ClockRestarted})
	assert.Equal(t, session.DoClock, c.board().Next.Verb)
	w := c.board().Warnings[0]
	assert.Equal(t, session.Alert, w.Level)
	assert.Contains(t, w.Text, "was off from 09:00 to 09:12 by its clock")
	c.at(13).do(session.ClockNoted{What: session.ClockConfirmed})
	assert.NotEqual(t, session.DoClock, c.board().Next.Verb)
	assert.Equal(t, 13*time.Minute, c.timed("z1").Oldest)
	assert.ErrorContains(t, c.try(session.Do(session.ClockNoted{What: session.ClockConfirmed})), "no gap to confirm")
}

func TestRebootWithAClockThatIsWrong(t *testing.T) {
	for _, tt := range []struct {
		name  string
		skew  time.Duration // of the wall clock after the restart
		reads time.Duration // exposure before it is put right
	}{
		{"runs ahead by an hour", time.Hour, 72 * time.Minute},
		{"stands before the restart", -time.Hour, 0},
		{"three minutes behind", -3 * time.Minute, 9 * time.Minute},
	} {
		t.Run(tt.name, func(t *testing.T) {
			c := lightening(t)
			c.at(0).do(place("z1", 2))
			c.reboot(12, tt.skew)
			c.do(place("z1", 2)) // the first entry after the gap
			seq := c.last()
			assert.Equal(t, tt.reads, c.timed("z1").Oldest)
			c.at(14).ago(1, place("z2", 1))
			shift := 12*time.Minute - tt.reads // 12 minutes really passed
			c.at(15).do(session.ClockNoted{What: session.ClockConfirmed, ShiftS: shift.Seconds()})
			assert.Equal(t, seq, c.log.Events()[c.last()-1].Data.(session.ClockNoted).Gap)
			assert.True(t, c.state().Gaps[0].Confirmed)
			assert.Equal(t, 15*time.Minute, c.timed("z1").Oldest)
			assert.Equal(t, 3*time.Minute, c.timed("z1").Newest)
			assert.Equal(t, 2*time.Minute, c.timed("z2").Oldest)
			assert.Equal(t, 35.0, c.offBy("z1"))
			assert.Equal(t, 48.0, c.offBy("z2"))
			c.at(16).do(session.EventMoved{Seq: seq, To: c.reading().Wall.Add(-6 * time.Minute)})
			assert.Equal(t, 6*time.Minute, c.timed("z1").Newest)
			c.rinse(20, 22, "z1")
			assert.Equal(t, 22*time.Minute, c.at(60).timed("z1").Oldest)
		})
	}
}

func TestConfirmingIsTheFirstEntryAfterTheRestart(t *testing.T) {
	c := lightening(t)
	c.at(0).do(place("z1", 4))
	c.reboot(12, -time.Hour)
	c.do(session.ClockNoted{What: session.ClockConfirmed, ShiftS: 720})
	assert.Equal(t, 12*time.Minute, c.timed("z1").Oldest)
	assert.Equal(t, 14*time.Minute, c.at(14).timed("z1").Oldest)
	c.do(session.ClockNoted{What: session.ClockConfirmed, Gap: c.last(), ShiftS: 60})
	assert.Equal(t, 15*time.Minute, c.timed("z1").Oldest, "a minute more, on second thoughts")
	c.do(session.EventVoided{Seq: c.last()})
	assert.Equal(t, 14*time.Minute, c.timed("z1").Oldest)
	c.do(session.EventVoided{Seq: c.last() - 2})
	assert.Equal(t, 2*time.Minute, c.timed("z1").Oldest)
	assert.Equal(t, session.DoClock, c.board().Next.Verb, "so it is asked again")
}

// Where the system does not name its boots, a wall clock that goes back leaves
// nothing to go by.
func TestTheClockGoesBackWhereNothingElseTellsTheTime(t *testing.T) {
	c := lightening(t)
	c.boot = ""
	c.do(session.ClockNoted{What: session.ClockRestarted}, session.ClockNoted{What: session.ClockConfirmed})
	c.at(0).do(place("z1", 4))
	c.at(12).skew = -time.Hour
	c.do(session.ClockNoted{What: session.ClockStepped, StepS: -3600})
	assert.Zero(t, c.timed("z1").Oldest)
	assert.Equal(t, session.DoClock, c.board().Next.Verb)
	w := c.board().Warnings[0]
	assert.Equal(t, session.Alert, w.Level)
	assert.Contains(t, w.Text, "the computer's clock went back at 09:00, and nothing else tells the time here")
	c.at(13).do(session.ClockNoted{What: session.ClockConfirmed, ShiftS: 720})
	assert.Equal(t, 13*time.Minute, c.timed("z1").Oldest)
	assert.NotEqual(t, session.DoClock, c.board().Next.Verb)
}

func TestTheMachineCannotHaveBeenOffForLessThanNothing(t *testing.T) {
	c := lightening(t)
	c.at(5).do(place("z1", 4))
	c.reboot(12, 0)
	c.do(session.ClockNoted{What: session.ClockRestarted}, session.ClockNoted{What: session.ClockConfirmed, ShiftS: -86400})
	assert.Zero(t, c.timed("z1").Oldest)
	assert.Equal(t, 2*time.Minute, c.at(14).timed("z1").Oldest)
}

func TestTwoRestarts(t *testing.T) {
	c := lightening(t)
	c.at(0).do(place("z1", 4))
	c.reboot(5, 0)
	c.do(session.ClockNoted{What: session.ClockRestarted})
	c.reboot(10, time.Hour)
	c.do(session.ClockNoted{What: session.ClockRestarted})
	c.do(session.ClockNoted{What: session.ClockConfirmed, ShiftS: -3600})
	assert.Equal(t, session.DoClock, c.board().Next.Verb, "the first one is still to be confirmed")
	c.do(session.ClockNoted{What: session.ClockConfirmed})
	assert.NotEqual(t, session.DoClock, c.board().Next.Verb)
	assert.Equal(t, 10*time.Minute, c.timed("z1").Oldest)
}

func TestMomentsAreKeptAsTheLogKeepsThem(t *testing.T) {
	c := newChair(t)
	c.now = c.now.Add(1234567 * time.Nanosecond).In(time.FixedZone("x", 3600))
	c.zero = c.zero.Add(-17 * time.Nanosecond)
	c.do(session.ServiceOpened{Service: "s1", Client: "J"})
	e := c.log.Events()[0]
	assert.Equal(t, time.Date(2026, 3, 2, 9, 0, 0, 1e6, time.UTC), e.When)
	assert.Equal(t, e.When, e.Recorded.Wall)
	assert.Zero(t, e.Recorded.Boot%time.Millisecond)
}
