package session_test

import (
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"rinseby/session"
	"rinseby/session/formula"
	"rinseby/timing"
)

// across is the look from across the room with all that can be known.
func (c *chair) across() session.FloorLook {
	c.t.Helper()
	b := c.board()
	w, plan := c.ahead()
	b.Follow(c.state(), plan)
	return session.LookFloor(c.state(), &b, c.reading(), session.Beside{Plan: plan, Blocks: w.Blocks})
}

func TestFloorLookThroughAService(t *testing.T) {
	c := newChair(t)
	promised := c.zero.Add(2 * time.Hour)
	c.do(session.ServiceOpened{Service: "s1", Client: "June L.", Stylist: "Ines", Station: "station 2", Invented: true, Promised: &promised,
		Steps: []session.PlanStep{{Name: "consultation", Before: true}, {Name: "drying", Minutes: 20}}})
	l := c.across()
	assert.Equal(t, []string{"s1", "June L.", "Ines", "station 2", "consulting"}, []string{l.ID, l.Client, l.Stylist, l.Station, l.Phase})
	assert.True(t, l.Invented)
	assert.Equal(t, promised, l.Promised)
	assert.True(t, l.HandsAt.IsZero() && l.RinseBy.IsZero() && l.End.P50.IsZero(), "hands now; nothing is on; no forecast")

	c.do(session.StepBegan{Step: "consultation"})
	assert.Equal(t, "consultation", c.across().Phase)
	c.do(session.StepEnded{Step: "consultation"}, session.ConsultationNoted{}, session.PlanSet{Name: "Lightening", Action: formula.Lighten,
		Zones: []session.PlanZone{{Name: "Nape", Pieces: 4, MinutesPerPiece: 2, Bands: []session.PlanBand{end20}}}}, row(end20, 15, 35), bowl(end20, 20, 40))
	c.do(answered()...)
	assert.Equal(t, "waiting", c.across().Phase)

	c.at(10).do(place("z1", 2))
	l = c.at(11).across()
	assert.Equal(t, "applying", l.Phase)
	assert.Equal(t, session.DoPlace, l.Verb)
	assert.Equal(t, c.zero.Add(45*time.Minute), l.RinseBy)
	assert.Equal(t, "Nape", l.RinseZone)
	require.Len(t, l.Blocks, 4)
	assert.Equal(t, c.now, l.Blocks[0].From)

	c.at(14).do(place("z1", 2))
	l = c.at(15).across()
	assert.Equal(t, "working", l.Phase)
	assert.Equal(t, c.zero.Add(27*time.Minute), l.HandsAt, "the newest piece is open at 29, less the way to the basin")
	bare := c.board()
	assert.Equal(t, c.zero.Add(29*time.Minute), session.LookFloor(c.state(), &bare, c.reading(), session.Beside{}).HandsAt, "without a plan")
	c.do(session.PauseBegan{})
	assert.Equal(t, "paused", c.at(16).across().Phase)
	c.do(session.PauseEnded{})
	assert.Equal(t, "open", c.at(30).across().Phase)
	assert.True(t, c.across().HandsAt.IsZero())
	l = c.at(37).across()
	assert.Equal(t, "closing", l.Phase)
	require.NotNil(t, l.Loudest)
	assert.Equal(t, session.Alert, l.Loudest.Level)
	assert.Positive(t, l.Warnings)
	l = c.at(46).across()
	assert.Equal(t, "over", l.Phase)
	assert.Equal(t, session.Alarm, l.Loudest.Level)
	c.do(session.RinseBegan{Zones: []string{"z1"}})
	c.do(session.RinseEnded{})
	l = c.at(47).across()
	assert.Equal(t, "finishing", l.Phase)
	assert.True(t, l.RinseBy.IsZero())
	c.do(session.ServiceClosed{})
	b := c.board()
	assert.Equal(t, "closed", session.LookFloor(c.state(), &b, c.reading(), session.Beside{}).Phase)
}

// What counts down is told from the moments of the board, so that one board
// serves until it is made anew.
func TestFloorLookFromAnOlderBoard(t *testing.T) {
	c := lightening(t)
	c.at(0).do(place("z1", 4), place("z2", 6))
	c.at(19.9)
	b := c.board()
	var was timing.Phase
	for m := 19.9; m < 40; m += 0.1 {
		c.at(m)
		l := session.LookFloor(c.state(), &b, c.reading(), session.Beside{})
		fresh := c.board()
		require.Equal(t, session.LookFloor(c.state(), &fresh, c.reading(), session.Beside{}).Pressing, l.Pressing, "%g", m)
		require.Equal(t, fresh.Zones[0].Phase, l.Pressing, "%g", m)
		was = max(was, l.Pressing)
	}
	require.Equal(t, timing.Over, was)
}

// Services are set side by side by the clock on the wall, also if the machine's
// was put right in one of them.
func TestFloorLookIsByTheWall(t *testing.T) {
	c := lightening(t)
	c.at(0).do(place("z1", 4), place("z2", 6))
	c.skew = time.Hour
	c.at(10).do(session.NoteAdded{Text: "x"})
	l := c.at(12).across()
	assert.Equal(t, c.reading().Wall, l.Now)
	assert.Equal(t, 23*time.Minute, l.RinseBy.Sub(l.Now))
	assert.Equal(t, c.zero.Add(time.Hour), l.Opened)
	assert.False(t, l.Blocks[0].From.Before(l.Now))
}

func TestFloorOrder(t *testing.T) {
	nine := time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC)
	at := func(m int) time.Time { return nine.Add(time.Duration(m) * time.Minute) }
	want := []session.FloorLook{
		{ID: "pain", Verb: session.DoPain},
		{ID: "over", Pressing: timing.Over, RinseBy: at(-3), HandsAt: at(30)},
		{ID: "closing", Pressing: timing.Closing, RinseBy: at(4)},
		{ID: "closing later", Pressing: timing.Closing, RinseBy: at(6)},
		{ID: "now", Pressing: timing.Open, RinseBy: at(20)},
		{ID: "now, later off", Pressing: timing.Applying, RinseBy: at(25)},
		{ID: "now, nothing on, first in", Opened: at(-60)},
		{ID: "now, nothing on", Opened: at(-20)},
		{ID: "soon", Pressing: timing.Working, HandsAt: at(5), RinseBy: at(60)},
		{ID: "later", Pressing: timing.Working, HandsAt: at(9), RinseBy: at(30)},
	}
	r := rand.New(rand.NewPCG(1, 2))
	for range 50 {
		got := slices.Clone(want)
		r.Shuffle(len(got), func(i, j int) { got[i], got[j] = got[j], got[i] })
		slices.SortFunc(got, session.FloorOrder)
		require.Equal(t, want, got)
	}
}

func TestAnyFloorLookHolds(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		c := ready(t)
		d := draws{rt, c, 1}
		for range d.count(5, 30) {
			d.pass(true)
			_ = c.try(d.command())
		}
		if !c.state().Live() {
			return
		}
		before := fields(c.state())
		l := c.across()
		require.Equal(rt, l, c.across())
		require.Equal(rt, before, fields(c.state()), "a look changes nothing")
		require.NotEmpty(rt, l.Phase)
		require.True(rt, l.HandsAt.IsZero() || l.HandsAt.After(l.Now))
		require.Equal(rt, l.Loudest != nil, l.Warnings > 0)
		for _, b := range l.Blocks {
			require.False(rt, b.From.Before(l.Now) || b.To.Before(b.From))
		}
		require.Zero(rt, session.FloorOrder(l, l))
	})
}

// BenchmarkFloor200 is one look at 200 services of 12 zones.
func BenchmarkFloor200(b *testing.B) {
	c := busy(b)
	board := c.board()
	w, plan := c.ahead()
	beside := session.Beside{Plan: plan, Forecast: &session.Forecast{}, Blocks: w.Blocks}
	now := c.reading()
	for b.Loop() {
		for range 200 {
			session.LookFloor(c.state(), &board, now, beside)
		}
	}
}

// BenchmarkWorkAhead is the chain of a service of two zones, one of them in.
func BenchmarkWorkAhead(b *testing.B) {
	c := lightening(b)
	for i := range 4 {
		c.at(float64(2 * i)).do(place("z1", 1))
	}
	_, plan := c.ahead()
	for b.Loop() {
		c.state().WorkAhead(c.now, plan, nil, session.Usuals{})
	}
}

// A service that was opened without a station is at the chair that runs it.
func TestHelpIsAtTheChairThatRunsTheService(t *testing.T) {
	l := session.FloorLook{Client: "Tove A.", Help: true, RunBy: "Chair 2"}
	assert.Equal(t, "HELP: Chair 2, Tove A.", l.HelpAt())
	l.Station = "Chair 1"
	assert.Equal(t, "HELP: Chair 1, Tove A.", l.HelpAt())
	assert.Empty(t, session.FloorLook{RunBy: "Chair 2"}.HelpAt())
}
