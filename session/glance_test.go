package session_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"rinseby/session"
	"rinseby/session/formula"
	"rinseby/session/safety"
	"rinseby/timing"
)

// A bench is what a trip to the basin finds: the zones that are on with a
// limit, and what one of them takes. It is worked out here from the state
// alone, by trying every order.
type bench struct {
	ids    []string
	limits []time.Time
	walk   time.Duration
	rinse  time.Duration
}

// benchOf reads the bench of a service. It is false where a zone is under
// water, or where there are too many zones to try every order.
func benchOf(s *session.State, now time.Time) (bench, bool) {
	w := bench{walk: session.TripWalk, rinse: session.TripRinse}
	var took []time.Duration
	for _, t := range s.Trips {
		if t.Ended.IsZero() {
			return w, false
		}
		took = append(took, t.Ended.Sub(t.Began)/time.Duration(len(t.Zones)))
	}
	if slices.Sort(took); len(took) > 0 {
		w.rinse = max(took[len(took)/2], session.TripRinse/2)
	}
	for _, z := range s.Zones {
		zt := s.ZoneTiming(z, now)
		if z.Holding() && !zt.LimitAt.IsZero() {
			w.ids, w.limits = append(w.ids, z.ID), append(w.limits, zt.LimitAt)
		}
	}
	return w, len(w.ids) <= 6
}

// excess is the least that the worst zone can be over if hands set out at the
// moment at. It is never below zero.
func (w bench) excess(at time.Time) time.Duration {
	best := time.Duration(1<<63 - 1)
	order := make([]int, len(w.limits))
	for i := range order {
		order[i] = i
	}
	var try func(k int)
	try = func(k int) {
		if k == len(order) {
			worst, done := time.Duration(0), at.Add(w.walk)
			for _, i := range order {
				done = done.Add(w.rinse)
				worst = max(worst, done.Sub(w.limits[i]))
			}
			best = min(best, worst)
			return
		}
		for i := k; i < len(order); i++ {
			order[k], order[i] = order[i], order[k]
			try(k + 1)
			order[k], order[i] = order[i], order[k]
		}
	}
	try(0)
	return best
}

// takesOff reports whether an action takes product off, or cools what hurts.
func takesOff(a session.Action) bool {
	return slices.Contains([]session.Verb{session.DoRinse, session.DoOff, session.DoPain, session.DoCool, session.DoClear, session.DoNothing}, a.Verb)
}

// lets reports whether an action lets product work on.
func lets(text string) bool {
	low := strings.ToLower(text)
	return strings.HasPrefix(low, "wait") || strings.HasPrefix(low, "place") || strings.Contains(low, "not before")
}

// agrees holds a board to itself: no two of its parts may say what can't both
// be done.
func agrees(t require.TestingT, c *chair, b session.Board) {
	s, text := c.state(), b.Next.Text
	require.NotEmpty(t, text)
	if b.OffBy != nil && b.Pain.IsZero() && b.Harm == nil {
		require.Equal(t, b.OffBy.LimitAt, b.Next.By, "headline and figure count to the same moment")
	}
	open := s.OpenPain() == nil && s.Closed.IsZero()
	if b.Harm != nil && open {
		require.True(t, takesOff(b.Next), "%s, and %s", b.Harm.Why, text)
		require.False(t, lets(text), text)
		require.Empty(t, b.Plan, "no plan stands beside harm")
		require.False(t, b.Harm.Since.After(b.Now))
		for _, id := range b.Next.Zones {
			require.Contains(t, b.Harm.Zones, id, "a rinse for a reason takes the zones of that reason")
		}
	}
	for _, w := range b.Warnings {
		if !strings.Contains(w.Text, "rinse it now") && !strings.HasPrefix(w.Text, "STOP") || w.Acked || !open || s.Zone(w.Zone).Trip != "" {
			continue
		}
		require.True(t, takesOff(b.Next), "%q beside %q", w.Text, text)
		require.False(t, lets(text), "%q beside %q", w.Text, text)
		if b.Next.Verb == session.DoRinse && b.Harm == nil {
			require.Contains(t, b.Next.Zones, w.Zone, "%q beside %q", w.Text, text)
		}
	}
	if b.Next.Verb == session.DoRinse && strings.HasPrefix(b.Plan, "plan: at ") {
		require.LessOrEqual(t, b.Plan[len("plan: at "):][:5], c.clock(b.Now), "the plan waits for no later moment than the headline")
	}
	if b.Next.Verb == session.DoWait {
		require.True(t, b.Next.From.After(b.Now), "%s %+v %+v", text, b.Next, b.Zones)
	}
	if w, ok := benchOf(s, b.Now); ok && !takesOff(b.Next) && open {
		step := 30 * time.Second
		if b.Next.Verb == session.DoPlace {
			step = max(b.Pace, step)
			if z := s.Zone(b.Next.Zones[0]); b.Pace == 0 {
				step = max(time.Duration(z.MinutesPerPiece*float64(time.Minute)), step)
			}
		}
		later := w.excess(b.Now.Add(step))
		require.False(t, later > 0 && later > w.excess(b.Now), "%s lets %v be %v over, and going now %v", text, w.ids, later, w.excess(b.Now))
	}
	l := session.LookFloor(s, &b, c.reading(), session.Beside{})
	require.Equal(t, []any{text, b.Harm != nil}, []any{l.Next, l.Harm}, "the floor says what the chair says")
	if takesOff(b.Next) && b.Next.Verb != session.DoCool {
		require.True(t, l.HandsAt.IsZero(), "hands are needed now")
	}
}

// clock is the wall clock of the chair's boards.
func (c *chair) clock(at time.Time) string { return at.Format("15:04") }

// glances draws a service and holds every board of it to itself, with the plan
// of the trips and without.
func glances(rt *rapid.T, t testing.TB) {
	c := ready(t)
	d := draws{rt, c, 1}
	for range d.count(15, 40) {
		d.pass(true)
		if d.count(0, 2) > 0 { // more often than not the key is pressed
			if b := c.board(); len(b.Next.Commands) > 0 {
				_ = c.try(b.Next.Commands...)
			}
		} else {
			_ = c.try(d.command())
		}
		b := c.board()
		agrees(rt, c, b)
		if q, ok := c.state().AskTrips(b.Now, b.Pace); ok {
			plan, err := q.Answer(nil)
			require.NoError(rt, err)
			b.Follow(c.state(), plan)
			agrees(rt, c, b)
		}
	}
}

func TestNoGlanceContradictsItself(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) { glances(rt, t) })
}

// Three zones of one piece are in at 0, 1 and 2, each with 35 minutes. A rinse
// takes 4, the walk 2: whoever sets out by 23 has the third off 14 minutes
// later, at its limit of 37. A piece takes 2, so none is begun after 21.
func TestPlacingGivesWayToALimitThatGoingNowKeeps(t *testing.T) {
	c := lightening(t)
	c.do(session.PlanChanged{Change: session.ChangePieces, Zone: "z1", Pieces: 1}, session.PlanChanged{Change: session.ChangePieces, Zone: "z2", Pieces: 1})
	for i, name := range []string{"Side", "Top"} {
		c.do(session.PlanChanged{Change: session.ChangeAdd, Round: "r1", Add: &session.PlanZone{ID: strings.ToLower(name), Name: name, Pieces: 1 + 20*i, MinutesPerPiece: 2, Bands: []session.PlanBand{root30, end20}}})
	}
	c.at(0).do(place("z1", 1))
	c.at(1).do(place("z2", 1))
	c.at(2).do(place("side", 1))
	assert.Equal(t, session.DoPlace, c.at(20.9).board().Next.Verb)
	a := c.at(21.1).board().Next
	assert.Equal(t, []any{session.DoRinse, []string{"z1", "z2", "side"}}, []any{a.Verb, a.Zones})
	assert.Equal(t, "Rinse Nape, Crown, Side", a.Text)
}

// What can't be saved any more does not wait either.
func TestAnExcessThatCannotBeAvoidedGrowsNoLarger(t *testing.T) {
	c := lightening(t)
	c.at(0).do(place("z1", 1))
	c.at(33).do()
	assert.Equal(t, []any{session.DoRinse, []string{"z1"}}, []any{c.board().Next.Verb, c.board().Next.Zones})
}

func TestHarmGoesBeforeTheQuestionOfTheClock(t *testing.T) {
	c := lightening(t)
	c.at(0).do(place("z1", 2))
	c.at(1).do(place("z2", 1))
	c.at(5).do(session.ZoneChecked{Zone: "z1", Feel: session.FeelMushy})
	c.reboot(12, 0)
	c.do(session.ClockNoted{What: session.ClockRestarted})
	b := c.board()
	assert.Equal(t, []any{session.DoRinse, "STOP. Rinse Nape", true}, []any{b.Next.Verb, b.Next.Text, b.ClockUnsure})
	require.NoError(t, c.try(b.Next.Commands...))
	assert.Equal(t, "Rinse clean: Nape", c.board().Next.Text, "at the basin too, though its hair has not worked until it opens")
	require.NoError(t, c.try(c.board().Next.Commands...))
	assert.Equal(t, session.DoClock, c.board().Next.Verb)
}

// A plan has four zones for a trip that is not due: weakened hair goes alone.
func TestARinseForAReasonTakesTheZonesOfThatReason(t *testing.T) {
	c := lightening(t)
	for _, name := range []string{"Side", "Top"} {
		c.do(session.PlanChanged{Change: session.ChangeAdd, Round: "r1", Add: &session.PlanZone{ID: strings.ToLower(name), Name: name, Pieces: 1, MinutesPerPiece: 2, Bands: []session.PlanBand{root30, end20}}})
	}
	c.at(0).do(place("z1", 4))
	c.at(2).do(place("z2", 6))
	c.at(4).do(place("side", 1), place("top", 1))
	c.at(9).do(session.ZoneChecked{Zone: "z2", Feel: session.FeelWeak})
	b := c.followed()
	assert.Equal(t, []any{session.DoRinse, "Rinse Crown now", []string{"z2"}}, []any{b.Next.Verb, b.Next.Text, b.Next.Zones})
	assert.Equal(t, []session.Command{session.Do(session.RinseBegan{Zones: []string{"z2"}})}, b.Next.Commands)
	assert.Equal(t, &session.Harm{Zones: []string{"z2"}, Since: c.zero.Add(9 * time.Minute), Why: "slow to spring back"}, b.Harm)
	assert.Empty(t, b.Plan)
	require.NoError(t, c.try(b.Next.Commands...))
	c.at(12)
	b = c.followed()
	assert.Equal(t, []any{session.DoOff, "Rinse clean: Crown"}, []any{b.Next.Verb, b.Next.Text})
	require.NoError(t, c.try(b.Next.Commands...))
	assert.Equal(t, timing.Rinsed, c.timed("z2").Phase)
	assert.Nil(t, c.board().Harm)
}

// Hair that is found weak while other zones are under water goes there too.
func TestHarmIsTakenUnderWaterBesideWhatIsThere(t *testing.T) {
	c := lightening(t)
	c.at(0).do(place("z1", 2))
	c.at(1).do(place("z2", 2))
	c.at(20).do(session.RinseBegan{Zones: []string{"z1"}})
	require.ErrorContains(t, c.try(session.Do(session.RinseBegan{Zones: []string{"z2"}})), "still under way")
	c.at(21).do(session.ZoneChecked{Zone: "z2", Feel: session.FeelWeak})
	a := c.nextIs(session.DoRinse, "Rinse Crown now")
	require.NoError(t, c.try(a.Commands...))
	c.nextIs(session.DoOff, "Rinse clean: Crown")
	require.NoError(t, c.try(c.board().Next.Commands...))
	c.nextIs(session.DoOff, "Rinse clean: Nape")
}

// The trip is due, and takes both: weakened hair goes alone all the same.
func TestATripThatIsDueTakesNothingAlongWithHarm(t *testing.T) {
	c := lightening(t)
	for i := range 10 {
		c.at(float64(2 * i)).do(place([]string{"z1", "z2"}[min(i/4, 1)], 1))
	}
	require.Equal(t, []string{"z1", "z2"}, c.at(27).followed().Next.Zones)
	c.do(session.ZoneChecked{Zone: "z2", Feel: session.FeelWeak})
	b := c.followed()
	assert.Equal(t, []any{"Rinse Crown now", []string{"z2"}, ""}, []any{b.Next.Text, b.Next.Zones, b.Plan})
	require.NoError(t, c.try(b.Next.Commands...))
	c.nextIs(session.DoOff, "Rinse clean: Crown")
	require.NoError(t, c.try(c.board().Next.Commands...))
	c.nextIs(session.DoRinse, "Rinse Nape")
}

// named adds zones of one piece each, which takes two minutes, to the round.
func (c *chair) named(names ...string) {
	for _, name := range names {
		c.do(session.PlanChanged{Change: session.ChangeAdd, Round: "r1", Add: &session.PlanZone{ID: strings.ToLower(name), Name: name, Pieces: 1, MinutesPerPiece: 2, Bands: []session.PlanBand{root30, end20}}})
	}
}

// Crown is open at 12. Its trip takes two minutes there and four of rinsing, and
// the nape, which opens at 14, is over at 23: in at 0, and its rinse takes four
// more. So crown goes first as long as both are off by 23, at 12 and not at 14.
func TestWhatIsReadyGivesWayToALimitBehindIt(t *testing.T) {
	c := lighteningIn(t, row(root30, 2, 45), row(end20, 14, 23))
	fast := end20
	fast.Condition = formula.Natural
	c.do(row(fast, 4, 45))
	c.do(session.PlanChanged{Change: session.ChangePieces, Zone: "z1", Pieces: 1}, session.PlanChanged{Change: session.ChangeDrop, Zone: "z2"},
		session.PlanChanged{Change: session.ChangeAdd, Round: "r1", Add: &session.PlanZone{ID: "top", Name: "Top", Pieces: 1, MinutesPerPiece: 1, Bands: []session.PlanBand{fast}}})
	c.at(0).do(place("z1", 1))
	c.at(8).do(place("top", 1))
	a := c.at(12).board().Next
	assert.Equal(t, []any{session.DoReady, []string{"top"}}, []any{a.Verb, a.Zones}, "a walk, two rinses and a minute: 23")
	a = c.at(12.5).board().Next
	assert.Equal(t, []any{session.DoRinse, []string{"z1"}}, []any{a.Verb, a.Zones}, "the nape would be late behind it")
}

// The nape has 12 minutes left, and crown gets product with a limit of 9: a
// piece of two minutes, a walk of two and two rinses of four are 12. Whichever
// goes first, with a minute less one of them is over.
func TestPlacingGivesWayWhereBothCanNotBeOffInTime(t *testing.T) {
	c := lighteningIn(t, row(root30, 2, 22), row(end20, 2, 22))
	short := end20
	short.Condition = formula.Sensitive
	c.do(row(short, 3, 9))
	c.do(session.PlanChanged{Change: session.ChangePieces, Zone: "z1", Pieces: 1}, session.PlanChanged{Change: session.ChangeDrop, Zone: "z2"},
		session.PlanChanged{Change: session.ChangeAdd, Round: "r1", Add: &session.PlanZone{ID: "top", Name: "Top", Pieces: 1, MinutesPerPiece: 2, Bands: []session.PlanBand{short}}})
	c.at(0).do(place("z1", 1))
	assert.Equal(t, session.DoPlace, c.at(9.9).board().Next.Verb)
	a := c.at(10.1).board().Next
	assert.Equal(t, []any{session.DoRinse, []string{"z1"}}, []any{a.Verb, a.Zones})
}

// After a trip hands have to come back first: a piece begun at once would take
// four minutes.
func TestPlacingAfterATripCountsTheWayBack(t *testing.T) {
	c := lightening(t)
	c.named("Side")
	c.do(session.PlanChanged{Change: session.ChangePieces, Zone: "z1", Pieces: 1}, session.PlanChanged{Change: session.ChangePieces, Zone: "z2", Pieces: 1})
	c.at(0).do(place("z1", 1))
	c.at(3.9).do(place("z2", 1))
	c.at(25).do(session.RinseBegan{Zones: []string{"z1"}})
	c.at(29).do(session.RinseEnded{})
	assert.Equal(t, session.DoRinse, c.board().Next.Verb, "9 minutes and 54 seconds are left of the crown's limit")
	assert.Equal(t, []string{"z2"}, c.at(29.1).board().Next.Zones)
}

// What was taken under water because it could not wait is rinsed clean first.
func TestWhatCouldNotWaitIsRinsedCleanFirst(t *testing.T) {
	c := lightening(t)
	c.at(0).do(place("z1", 2))
	c.at(10).do(place("z2", 2))
	c.at(25).do(session.RinseBegan{Zones: []string{"z2"}})
	c.at(27)
	a := c.board().Next
	require.Equal(t, []any{session.DoRinse, []string{"z1"}}, []any{a.Verb, a.Zones})
	require.NoError(t, c.try(a.Commands...))
	c.nextIs(session.DoOff, "Rinse clean: Nape")
	require.NoError(t, c.try(c.board().Next.Commands...))
	c.at(31).nextIs(session.DoOff, "Rinse clean: Crown")
}

// The figure counts from the answer that stands: one that is kept beside a
// final stop does not set it back.
func TestHarmCountsSinceTheAnswerThatStands(t *testing.T) {
	c := lightening(t)
	c.at(0).do(place("z1", 4))
	c.at(5).do(answer(safety.Scalp, "broken, sore or with a rash", ""))
	c.at(8).do(answer(safety.Scalp, "sound", ""))
	b := c.at(9).board()
	require.NotNil(t, b.Harm)
	assert.Equal(t, c.zero.Add(5*time.Minute), b.Harm.Since)
}
