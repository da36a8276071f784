package tui_test

import (
	"fmt"
	"strings"
	"testing"
	"time"
	_ "time/tzdata"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/session"
	"rinseby/timing"
	"rinseby/tui"
)

// A shown is a clock as the program is shown it.
type shown struct {
	*desk
	as func(timing.Reading) timing.Reading
}

func (s shown) Read() timing.Reading { return s.as(s.desk.Read()) }

func asItIs(r timing.Reading) timing.Reading { return r }

// turn is a turn of the clock face.
func (s shown) turn() { s.send(tui.Tick(s.Read())) }

// step sets the wall clock.
func (d *desk) step(by time.Duration) {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.now.Wall = d.now.Wall.Add(by)
}

// reboot turns the computer off and on, in so long.
func (d *desk) reboot(takes time.Duration) {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.now.Wall, d.now.Boot, d.now.BootID = d.now.Wall.Add(takes), time.Minute, d.now.BootID+"x"
}

// stagesAtTheChair bring a zone to a phase: what is logged, and how long
// before.
var stagesAtTheChair = map[string]struct {
	on    time.Duration // that the zone is on when the clocks are upset
	basin bool
}{
	"working": {on: 5 * time.Minute}, "over": {on: 41 * time.Minute}, "basin": {on: 25 * time.Minute, basin: true},
}

// upsetsAtTheChair are what happens to the clocks in three minutes.
var upsetsAtTheChair = map[string]struct {
	step  time.Duration
	sleep time.Duration
	off   bool
	at    time.Time // by the wall clock; zero for an ordinary day
}{
	"a second on": {step: time.Second}, "a second back": {step: -time.Second}, "an hour on": {step: time.Hour}, "an hour back": {step: -time.Hour},
	"a day on": {step: 24 * time.Hour}, "a day back": {step: -24 * time.Hour},
	"sleep of a minute": {sleep: time.Minute}, "sleep of an hour": {sleep: time.Hour},
	"summer time begins": {at: time.Date(2026, 3, 29, 0, 59, 0, 0, time.UTC)}, "summer time ends": {at: time.Date(2026, 10, 25, 0, 59, 0, 0, time.UTC)},
	"restart": {off: true}, "restart, an hour ahead": {off: true, step: time.Hour}, "restart, an hour behind": {off: true, step: -time.Hour},
}

// upsetAtTheChair tries one of them in one stage, and lists what was wrong.
func upsetAtTheChair(t *testing.T, upset, stage string, running bool, as func(timing.Reading) timing.Reading) (wrong []string) {
	u, st := upsetsAtTheChair[upset], stagesAtTheChair[stage]
	place, err := time.LoadLocation("Europe/Helsinki")
	require.NoError(t, err)
	d := newDesk(t, nil)
	s := shown{d, as}
	if !u.at.IsZero() {
		d.step(u.at.Sub(d.now.Wall) - st.on)
	}
	open := func() {
		d.open(func(o *tui.Options) { o.Resume, o.Clock, o.Place = firstLive(t, d), s, place })
	}
	d.ready()
	live, err := d.st.Resume(s.Read(), firstLive(t, d), "test")
	require.NoError(t, err)
	began := s.Read().Wall
	_, err = live.Do(s.Read(), session.Do(session.PiecePlaced{Zone: "z1", Count: 6}))
	require.NoError(t, err)
	d.pass(st.on)
	if st.basin {
		_, err = live.Do(s.Read(), session.Do(session.RinseBegan{Zones: []string{"z1"}}))
		require.NoError(t, err)
	}
	require.NoError(t, live.Close())
	open()
	real := st.on
	fails := func(when string) {
		if off := (d.app.Board().Zones[0].Oldest - real).Abs(); off > time.Second {
			wrong = append(wrong, fmt.Sprintf("%s: the nape reads %v, and is on for %v", when, d.app.Board().Zones[0].Oldest, real))
		}
	}
	fails("before")
	leave := func() {
		d.press("q")
		require.True(t, d.quit)
	}
	if !running || u.off {
		leave()
	}
	takes := max(u.sleep, 3*time.Minute)
	if u.off {
		d.reboot(takes)
	}
	d.step(u.step)
	if !u.off {
		if running && u.sleep == 0 {
			s.turn()
		}
		d.pass(takes)
	}
	real += takes
	if !running || u.off {
		open()
	}
	s.turn()
	if !u.off {
		fails("after it")
	}
	next := d.app.Board().Next // what presses goes first, and asks with it
	asked := next.Verb == session.DoClock || next.Verb == session.DoOff && d.app.Board().ClockUnsure || strings.Contains(next.Text, ", if it is ")
	if asked != u.off {
		wrong = append(wrong, fmt.Sprintf("asked about the clock: %v", asked))
	}
	wrong = append(wrong, d.notedWrong(t, u.step.Abs() > time.Second || u.off, u.off)...)
	if u.off {
		shift := real - d.app.Board().Zones[0].Oldest
		leave()
		live, err := d.st.Resume(s.Read(), firstLive(t, d), "test")
		require.NoError(t, err)
		_, err = live.Do(s.Read(), session.Do(session.ClockNoted{What: session.ClockConfirmed, ShiftS: shift.Seconds()}))
		require.NoError(t, err)
		require.NoError(t, live.Close())
		open()
		fails("once it was said")
	}
	if !u.at.IsZero() { // what is shown is the salon's own clock
		d.sees(began.Add(40 * time.Minute).In(place).Format("15:04"))
	}
	return wrong
}

// notedWrong lists what is wrong with what is logged of the clocks: once, and
// the right word, if anything is to be.
func (d *desk) notedWrong(t *testing.T, want, off bool) (wrong []string) {
	noted := 0
	for _, e := range d.logged(firstLive(t, d)).Events() {
		if n, ok := e.Data.(session.ClockNoted); ok {
			noted++
			if stepped := n.What == session.ClockStepped; stepped == off {
				wrong = append(wrong, "it was noted as "+string(n.What))
			}
		}
	}
	if (noted == 1) != want || noted > 1 {
		wrong = append(wrong, fmt.Sprintf("it was noted %d times", noted))
	}
	return wrong
}

func firstLive(t *testing.T, d *desk) string {
	entries, _, err := d.st.List()
	require.NoError(t, err)
	require.Equal(t, 1, entries.Len())
	return entries.At(0).ID
}

// TestUpsetClocksAtTheChair holds what the screens say of exposure to what
// really went by.
func TestUpsetClocksAtTheChair(t *testing.T) {
	for upset := range upsetsAtTheChair {
		t.Run(upset, func(t *testing.T) {
			for stage := range stagesAtTheChair {
				for _, running := range []bool{true, false} {
					assert.Empty(t, upsetAtTheChair(t, upset, stage, running, asItIs), "%s, running: %v", stage, running)
				}
			}
		})
	}
}

// TestUpsetClocksByTheWallClockAloneAreFound has the same trials find a program
// that goes by the wall clock.
func TestUpsetClocksByTheWallClockAloneAreFound(t *testing.T) {
	wallOnly := func(r timing.Reading) timing.Reading { return timing.Reading{Wall: r.Wall} }
	for _, upset := range []string{"an hour on", "an hour back", "a day on", "a day back"} {
		for _, running := range []bool{true, false} {
			assert.NotEmpty(t, upsetAtTheChair(t, upset, "working", running, wallOnly), "%s, running: %v", upset, running)
		}
	}
}

// TestTheClockIsSetAtTheChair sees a step on the screen at the next turn of the
// clock face, and in the log.
func TestTheClockIsSetAtTheChair(t *testing.T) {
	d := newDesk(t, nil)
	id := d.seat()
	s := shown{d, asItIs}
	d.press("+", "6", "enter")
	d.pass(5 * time.Minute)
	s.turn()
	d.sees("09:40") // off by
	d.step(time.Hour)
	d.pass(time.Second)
	s.turn()
	d.sees("the computer's clock was moved by 1h0m0s")
	d.sees("10:40") // that the wall shows now
	events := d.logged(id).Events()
	require.Equal(t, session.ClockNoted{What: session.ClockStepped, StepS: 3600}, events[len(events)-1].Data)
}

// TestEarlierOutlastsAStepOfTheClock says how long ago something was, and sets
// the clock before it is logged: with the question open, and once it was
// answered.
func TestEarlierOutlastsAStepOfTheClock(t *testing.T) {
	for _, step := range []time.Duration{time.Hour, -time.Hour, 24 * time.Hour} {
		for name, keys := range map[string][2][]string{
			"the question is open": {{"e", "3"}, {"enter"}},
			"it was answered":      {{"e", "3", "enter"}, nil},
		} {
			t.Run(fmt.Sprint(step, " ", name), func(t *testing.T) {
				d := newDesk(t, nil)
				id := d.seat()
				s := shown{d, asItIs}
				d.pass(10 * time.Minute)
				s.turn()
				d.press(keys[0]...)
				d.step(step)
				s.turn()
				d.press(keys[1]...)
				d.press("space")
				l := d.logged(id)
				z := l.State().Zone("z1")
				require.Equal(t, 1, z.Done())
				now := l.State().Line.Now(s.Read())
				require.Equal(t, 3*time.Minute, l.State().ZoneTiming(z, now).Oldest)
			})
		}
	}
}
