package session_test

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rinseby/session"
	"rinseby/session/formula"
)

// followed is the board with the plan of the trips as it stands.
func (c *chair) followed() session.Board {
	c.t.Helper()
	b := c.board()
	q, ok := c.state().AskTrips(b.Now, b.Pace)
	require.True(c.t, ok)
	plan, err := q.Answer(nil)
	require.NoError(c.t, err)
	b.Follow(c.state(), plan)
	return b
}

// Two zones of 4 and 6 pieces at 2 minutes are in after 20 minutes. The ends
// must be off after 35, and the roots are open after 20 minutes. One trip takes
// both: the nape comes off between its opening at 26 and its limit at 35, less
// two to spare, and the client stays for the crown, which is open at 40. That
// is at most ten minutes of waiting, so a second trip is not worth it.
func TestPlanOfTheTripsIsFollowed(t *testing.T) {
	c := lightening(t)
	c.at(0)
	for i := range 4 {
		c.at(float64(2 * i)).do(place("z1", 1))
	}
	b := c.at(8).followed()
	require.Equal(t, session.DoPlace, b.Next.Verb)
	require.Contains(t, b.Plan, "no plan keeps every limit; the least harm: place on; at ", "the crown is open a minute too late to be off by its limit")
	require.Contains(t, b.Plan, "to the basin: Nape, Crown (Nape: limit 09:35)")
	nape := b.Zones[0]
	require.False(t, nape.PlannedOff.IsZero())
	require.False(t, nape.PlannedOff.After(c.zero.Add(33*time.Minute)), "two minutes to spare: %s", nape.PlannedOff)
	require.False(t, nape.PlannedOff.Before(nape.OpensAt), "not before it is open: %s", nape.PlannedOff)
	for _, w := range b.Warnings {
		require.False(t, strings.HasPrefix(w.Key, "ahead:"), "the plan is the answer to it: %s", w.Text)
	}

	for i := range 6 {
		c.at(float64(8 + 2*i)).do(place("z2", 1))
	}
	b = c.at(27).followed()
	require.Equal(t, session.DoRinse, b.Next.Verb)
	require.Equal(t, []string{"z1", "z2"}, b.Next.Zones)
}

// A zone whose pieces take longer than its window allows can't be saved by any
// plan; that is said before the harm.
func TestNoPlanIsSaidAheadOfTheHarm(t *testing.T) {
	c := lightening(t)
	c.do(session.PlanChanged{Change: session.ChangePieces, Zone: "z1", Pieces: 30})
	c.at(0).do(place("z1", 1))
	c.at(2).do(place("z1", 1))
	c.at(4).do(place("z1", 1), place("z1", 1))
	b := c.at(5).followed()
	i := 0
	for i < len(b.Warnings) && !strings.HasPrefix(b.Warnings[i].Key, session.CollisionKey) {
		i++
	}
	require.Less(t, i, len(b.Warnings), "%+v", b.Warnings)
	require.Equal(t, session.Alert, b.Warnings[i].Level)
	require.Contains(t, b.Warnings[i].Text, "over at best")
	require.Contains(t, b.Warnings[i].Text, "Nape")
}

func TestNothingToPlan(t *testing.T) {
	c := newChair(t)
	c.do(session.ServiceOpened{Service: "s1", Client: "June L."})
	_, ok := c.state().AskTrips(c.now, time.Minute)
	require.False(t, ok, "no round")
	c.do(session.PlanSet{Name: "Lightening", Action: formula.Lighten, Zones: []session.PlanZone{{Name: "Nape", Pieces: 4, Bands: []session.PlanBand{root30}}}})
	_, ok = c.state().AskTrips(c.now, time.Minute)
	require.False(t, ok, "no limit is known")
	c.do(row(root30, 20, 45))
	_, ok = c.state().AskTrips(c.now, 0)
	require.False(t, ok, "no pace is known")
	_, ok = c.state().AskTrips(c.now, time.Minute)
	require.True(t, ok)
}

// After pain that ended the colour work, nothing more is placed.
func TestNothingToPlanOnceTheColourWorkHasEnded(t *testing.T) {
	c := lightening(t)
	c.at(2).do(place("z1", 2))
	c.do(session.PainReported{})
	c.do(session.RinseBegan{Zones: []string{"z1"}})
	c.at(40).do(session.RinseEnded{}, session.PainCleared{Note: "it burnt"})
	_, ok := c.state().AskTrips(c.board().Now, 2*time.Minute)
	require.False(t, ok)
}

// A service that nobody closed for months still has a plan: it says to rinse.
func TestTripsOfAServiceThatWasLeftOpen(t *testing.T) {
	c := lightening(t)
	c.at(1).do(place("z1", 4))
	c.at(60 * 24 * 200)
	q, ok := c.state().AskTrips(c.now, 2*time.Minute)
	require.True(t, ok)
	plan, err := q.Answer(nil)
	require.NoError(t, err)
	next, ok := plan.Next()
	require.True(t, ok)
	require.Contains(t, next.Zones, "z1")
}
