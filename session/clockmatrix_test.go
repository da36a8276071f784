package session_test

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"
	"time"
	_ "time/tzdata"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/session"
	"rinseby/session/journal"
	"rinseby/timing"
)

// A wrist is a watch that is always right, beside a computer whose clocks may
// not be: what really goes by, and what the computer's clocks show of it.
type wrist struct {
	zero time.Time
	real time.Duration // since zero
	wall time.Duration // that the wall clock is ahead
	lost time.Duration // that the time since boot does not count
	off  time.Duration // when the boot began, since zero
	boot string
}

func (w *wrist) reading() timing.Reading {
	return timing.Reading{Wall: w.zero.Add(w.real + w.wall), Boot: time.Hour + w.real - w.off - w.lost, BootID: w.boot}
}

// An upset is what happens to the clocks in a stretch of time.
type upset struct {
	name  string
	takes time.Duration // how long the stretch is
	step  time.Duration // of the wall clock, at its beginning
	sleep bool          // the computer sleeps all through it
	off   bool          // the computer is off all through it
	dst   time.Time     // when the stretch begins by the clock; zero for an ordinary day
}

// upsets are all that clocks are tried by.
func upsets() (all []upset) {
	for _, step := range []time.Duration{time.Second, time.Hour, 24 * time.Hour} {
		all = append(all, upset{name: "wall clock on by " + step.String(), takes: 3 * time.Minute, step: step},
			upset{name: "wall clock back by " + step.String(), takes: 3 * time.Minute, step: -step})
	}
	return append(all,
		upset{name: "summer time begins", takes: 3 * time.Minute, dst: time.Date(2026, 3, 29, 0, 59, 0, 0, time.UTC)},
		upset{name: "summer time ends", takes: 3 * time.Minute, dst: time.Date(2026, 10, 25, 0, 59, 0, 0, time.UTC)},
		upset{name: "asleep for a minute", takes: time.Minute, sleep: true},
		upset{name: "asleep for an hour", takes: time.Hour, sleep: true},
		upset{name: "asleep, and the wall clock set after it", takes: time.Hour, sleep: true, step: -time.Hour},
		upset{name: "restart, clock right", takes: 3 * time.Minute, off: true},
		upset{name: "restart, clock an hour ahead", takes: 3 * time.Minute, off: true, step: time.Hour},
		upset{name: "restart, clock a minute behind", takes: 3 * time.Minute, off: true, step: -time.Minute},
		upset{name: "restart, clock before the restart", takes: 3 * time.Minute, off: true, step: -time.Hour},
	)
}

// A stage is how far a service is when the clocks are upset.
type stage struct {
	name   string
	at     float64 // minutes since the first piece
	phase  timing.Phase
	placed float64 // when the last pieces go in; none go in if negative
	basin  float64 // when the zone goes to the basin; 0 if it does not
	rinsed float64 // when it is rinsed; 0 if it is not
}

// stages are one of each phase of the zone. By the windows of the test it
// opens at minute 20, is closing from 26:15 on, and over after 35.
var stages = []stage{
	{name: "waiting", at: 5, phase: timing.Waiting, placed: -1},
	{name: "applying", at: 4, phase: timing.Applying, placed: 0},
	{name: "working", at: 5, phase: timing.Working, placed: 2},
	{name: "open", at: 23, phase: timing.Open, placed: 2},
	{name: "closing", at: 28, phase: timing.Closing, placed: 2},
	{name: "over", at: 36, phase: timing.Over, placed: 2},
	{name: "basin", at: 25, phase: timing.Open, placed: 2, basin: 24},
	{name: "rinsed", at: 28, phase: timing.Rinsed, placed: 2, basin: 24, rinsed: 26},
}

// A clockTrial is one service under one upset.
type clockTrial struct {
	*wrist
	log   *session.Log
	place *time.Location
	first time.Duration                       // when the first piece went in
	show  func(timing.Reading) timing.Reading // what the program is shown; breaks it in controls
	wrong []string                            // what was not as it must be
}

func (c *clockTrial) now() timing.Reading { return c.show(c.reading()) }

func (c *clockTrial) fails(format string, args ...any) {
	c.wrong = append(c.wrong, fmt.Sprintf(format, args...))
}

func (c *clockTrial) do(data ...session.Data) {
	for _, d := range data {
		now := c.now()
		now.Wall = now.Wall.In(c.place)
		events, err := session.Decide(c.log, now, session.Do(d))
		if err == nil {
			err = c.log.Append(events...)
		}
		if err != nil {
			c.fails("%s: %v", d.Kind(), err)
		}
	}
}

// at lets time go by until the minute m.
func (c *clockTrial) at(m float64) *clockTrial {
	c.real = time.Duration(m * float64(time.Minute))
	return c
}

// tick notes what the clocks did, as the screen does at every turn.
func (c *clockTrial) tick() {
	if _, gap := c.log.State().Line.Peek(c.now()); gap != nil {
		d := session.ClockNoted{What: session.ClockStepped, StepS: gap.Step.Seconds()}
		if gap.Restart {
			d = session.ClockNoted{What: session.ClockRestarted}
		}
		c.do(d)
	}
}

// again leaves the program and starts it, which knows what is in the log and
// nothing else.
func (c *clockTrial) again(t *testing.T) {
	recs, err := session.Records(c.log.Events())
	require.NoError(t, err)
	text, err := json.Marshal(recs)
	require.NoError(t, err)
	var back []journal.Record
	require.NoError(t, json.Unmarshal(text, &back))
	events, err := session.Events(back)
	require.NoError(t, err)
	c.log, err = session.Fold(events)
	require.NoError(t, err)
}

// openTrial opens a service that is ready for its first piece.
func openTrial(t *testing.T, zero time.Time, place *time.Location, show func(timing.Reading) timing.Reading) *clockTrial {
	c := &clockTrial{wrist: &wrist{zero: zero, boot: "boot-a"}, log: &session.Log{}, place: place, show: show}
	nape := session.PlanZone{Name: "Nape", Pieces: 4, MinutesPerPiece: 2, Bands: []session.PlanBand{root30, end20}}
	crown := session.PlanZone{Name: "Crown", Pieces: 6, MinutesPerPiece: 2, Bands: []session.PlanBand{root30}}
	c.do(session.ServiceOpened{Service: "s1", Client: "June L."}, session.ConsultationNoted{NaturalDepth: 6}, // invented
		session.PlanSet{Name: "Lightening", Action: "lighten", Zones: []session.PlanZone{nape, crown}},
		row(root30, 20, 45), row(end20, 15, 35), bowl(root30, 60, 120), bowl(end20, 20, 40))
	for _, d := range answered() {
		a := d.(session.SafetyAnswered)
		if a.Answer == "2026-02-28" {
			a.Answer = zero.In(place).AddDate(0, 0, -2).Format(time.DateOnly)
		}
		c.do(a)
	}
	require.Empty(t, c.wrong)
	return c
}

// bring works the service up to its stage.
func (s stage) bring(t *testing.T, c *clockTrial) {
	if s.placed >= 0 {
		c.at(0).do(place("z1", 2))
	}
	if s.placed > 0 {
		c.at(s.placed).do(place("z1", 2))
	}
	if s.basin > 0 {
		c.at(s.basin).do(session.RinseBegan{Zones: []string{"z1"}})
	}
	if s.rinsed > 0 {
		c.at(s.rinsed).do(session.RinseEnded{Trip: c.log.State().OpenTrip().ID, Zones: []string{"z1"}})
	}
	c.at(s.at)
	z := c.log.State().Zone("z1")
	require.Equal(t, s.phase, c.log.State().ZoneTiming(z, c.log.State().Line.Now(c.now())).Phase)
	require.Equal(t, s.basin > 0 && s.rinsed == 0, z.Trip != "")
	require.Empty(t, c.wrong)
}

// agrees holds the exposure of every coat, which ended at the minute end if
// that is not zero, to the wrist watch; unless no clock can tell yet.
func (c *clockTrial) agrees(when string, s stage, end float64, unsure bool) {
	state := c.log.State()
	now := state.Line.Now(c.now())
	for _, coat := range state.Zone("z1").Coats {
		ct := state.CoatTiming(coat)
		until := c.real
		if end > 0 {
			until = time.Duration(end * float64(time.Minute))
		}
		for _, x := range []struct {
			name      string
			got, want time.Duration
		}{
			{"oldest", ct.Oldest(now), until - c.first},
			{"newest", ct.Newest(now), until - time.Duration(s.placed*float64(time.Minute))},
		} {
			if off := (x.got - x.want).Abs(); off > time.Second && !unsure {
				c.fails("%s: %s %s reads %v, and is %v", when, coat.Band, x.name, x.got, x.want)
			}
		}
	}
	if n := len(state.Zone("z1").Coats); s.placed >= 0 && n != 2 {
		c.fails("%s: %d coats, not 2", when, n)
	}
}

// flagged tells whether the user is asked about the clock, and whether what
// the clocks did is shown.
func (c *clockTrial) flagged() (asked, shown bool) {
	clock := func(at time.Time) string { return at.In(c.place).Format("15:04") }
	b := session.Look(c.log.State(), c.log.State().Line.Now(c.now()), clock)
	for _, w := range b.Warnings {
		shown = shown || len(w.Key) > 4 && w.Key[:4] == "gap:"
	}
	harm := b.ClockUnsure && (b.Next.Verb == session.DoOff || strings.HasSuffix(b.Next.Text, ", if it is "+clock(b.Now)+" now"))
	return b.Next.Verb == session.DoClock || harm, shown
}

// try upsets the clocks of a service in a stage, while the program runs or
// while it does not, and works the service to its end. It returns what was
// wrong on the way.
func (u upset) try(t *testing.T, s stage, running bool, show func(timing.Reading) timing.Reading) []string {
	place, err := time.LoadLocation("Europe/Helsinki")
	require.NoError(t, err)
	zero := time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC)
	if !u.dst.IsZero() {
		zero = u.dst.Add(-time.Duration(s.at * float64(time.Minute)))
	}
	c := openTrial(t, zero, place, show)
	s.bring(t, c)
	if running {
		c.tick()
	} else {
		c.again(t)
	}
	until := s.at + u.takes.Minutes()
	if u.off {
		c.boot, c.off = "boot-b", time.Duration(until*float64(time.Minute))-time.Minute
		c.again(t)
	}
	c.wall += u.step
	if running && !u.off && !u.sleep {
		for m := s.at + 1.0/60; m < until; m += 0.5 {
			c.at(m).tick()
		}
	}
	c.at(until).tick()
	c.agrees("after it", s, s.rinsed, u.off)
	asked, shown := c.flagged()
	if asked != u.off {
		c.fails("whether the clock is right: asked %v, to be asked %v", asked, u.off)
	}
	if stepped := u.step.Abs() > timing.Tolerance; shown != (stepped || u.off) {
		c.fails("what the clocks did: shown %v", shown)
	}
	if u.off {
		shift := c.real - c.log.State().Line.Now(c.now()).Sub(c.zero)
		c.do(session.ClockNoted{What: session.ClockConfirmed, ShiftS: shift.Seconds()})
		c.agrees("once it was said", s, s.rinsed, false)
	}
	c.finish(t, s, until)
	return c.wrong
}

// finish works the service to the last rinse, and reads it once more from its
// log.
func (c *clockTrial) finish(t *testing.T, s stage, from float64) {
	end := s.rinsed
	if s.placed < 0 { // only now
		c.first, s.placed = c.real, from
		c.do(place("z1", 4))
	}
	if end == 0 {
		c.at(from + 1)
		if c.log.State().OpenTrip() == nil {
			c.do(session.RinseBegan{Zones: []string{"z1"}})
		}
		end = from + 2
		c.at(end)
		c.tick()
		c.do(session.RinseEnded{Trip: c.log.State().OpenTrip().ID, Zones: []string{"z1"}})
	}
	c.at(from + 60)
	c.tick()
	c.agrees("at the end", s, end, false)
	c.again(t)
	c.agrees("from the log", s, end, false)
}

func faithful(r timing.Reading) timing.Reading { return r }

// TestEveryUpsetOfTheClocksInEveryPhase holds the exposure of every coat to a
// watch that is always right, within a second, wherever one boot lasts; and
// holds the program to asking where it does not.
func TestEveryUpsetOfTheClocksInEveryPhase(t *testing.T) {
	n := 0
	for _, u := range upsets() {
		t.Run(u.name, func(t *testing.T) {
			for _, s := range stages {
				for _, running := range []bool{true, false} {
					n++
					assert.Empty(t, u.try(t, s, running, faithful), "%s, running: %v", s.name, running)
				}
			}
		})
	}
	require.Equal(t, len(upsets())*len(stages)*2, n)
}

// TestTheTrialsFindATimeLineThatIsWrong breaks what the program is shown of the
// clocks, and has the same trials find it.
func TestTheTrialsFindATimeLineThatIsWrong(t *testing.T) {
	wallOnly := func(r timing.Reading) timing.Reading { return timing.Reading{Wall: r.Wall} }
	for _, u := range upsets() {
		for _, s := range stages {
			for _, running := range []bool{true, false} {
				if u.step.Abs() > time.Second && !u.off && s.placed >= 0 && s.rinsed == 0 {
					assert.NotEmpty(t, u.try(t, s, running, wallOnly), "by the wall clock alone: %s, %s", u.name, s.name)
				}
			}
		}
	}
	for _, s := range stages {
		if s.placed < 0 || s.rinsed > 0 {
			continue // nothing is on while the computer sleeps
		}
		u := upset{takes: time.Hour, sleep: true}
		awake := func(r timing.Reading) timing.Reading { // the time since boot stands still in sleep
			if began := time.Hour + time.Duration(s.at*float64(time.Minute)); r.Boot > began {
				r.Boot = max(began, r.Boot-u.takes)
			}
			return r
		}
		assert.NotEmpty(t, u.try(t, s, true, awake), "sleep that is not counted: %s", s.name)
	}
}
