package store

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/session"
	"rinseby/session/formula"
	"rinseby/session/safety"
	"rinseby/timing"
)

// lightened runs a service of the client that lightens the nape from minute m
// for so many minutes, and closes it if it is to.
func lightened(t *testing.T, s *Store, m, minutes int, client string, close bool) *Live {
	t.Helper()
	band := session.PlanBand{Band: session.Root, Product: "Chalk", Kind: formula.PowderLightener, Strength: 9, Contact: formula.OffScalp, Condition: formula.Natural}
	l, err := s.Create(at(m), "station 1", session.Do(session.ServiceOpened{Client: client}), session.Do(session.ConsultationNoted{}),
		session.Do(session.PlanSet{Name: "One", Action: formula.Lighten, Zones: []session.PlanZone{{ID: "z", Name: "Nape", Pieces: 2, Bands: []session.PlanBand{band}}}}),
		session.Do(session.WindowConfirmed{Basis: session.BasisInstructions, Row: formula.Row{Product: "Chalk", Kind: band.Kind, Strength: 9,
			Window: timing.Window{Opens: 5 * time.Minute, Limit: 60 * time.Minute}, Origin: "invented"}}))
	require.NoError(t, err)
	for _, q := range safety.Questions() {
		a := session.SafetyAnswered{Question: q.ID, Answer: q.Answers[0].Word}
		if q.Kind == safety.Day {
			a.Answer = "2 days ago"
		}
		_, err = l.Do(at(m), session.Do(a))
		require.NoError(t, err)
	}
	do := func(m int, d session.Data) {
		_, err := l.Do(at(m), session.Do(d))
		require.NoError(t, err)
	}
	do(m, session.BowlMixed{Product: "Chalk", Family: band.Kind, Mix: formula.Mix{
		Products: []formula.ProductPart{{Product: "Chalk", Grams: 30}}, Developers: []formula.DeveloperPart{{Strength: 9, Grams: 60}}}})
	do(m, session.PiecePlaced{Zone: "z", Count: 2})
	if close {
		do(m+minutes-2, session.RinseBegan{Zones: []string{"z"}})
		do(m+minutes, session.RinseEnded{})
		do(m+minutes, session.ServiceClosed{})
	}
	return l
}

func TestASecondServiceOfTheDayKnowsTheFirst(t *testing.T) {
	s := newStore(t)
	require.NoError(t, lightened(t, s, 0, 25, "June L.", true).Close())
	second := lightened(t, s, 60, 0, " june  l. ", false)
	z := second.Log.State().Zone("z")
	assert.Equal(t, 25*time.Minute, second.Log.State().CoatTiming(z.Coats[0]).Carried)
	assert.Equal(t, "Nape", second.Log.State().Earlier[0].Zone)

	third := lightened(t, s, 80, 0, "JUNE L.", false) // the second still has product on
	z = third.Log.State().Zone("z")
	assert.Equal(t, 45*time.Minute, third.Log.State().CoatTiming(z.Coats[0]).Carried, "25 and 20 so far")
	require.NoError(t, third.Close())
	require.NoError(t, second.Close())

	again, err := s.Read(third.ID)
	require.NoError(t, err)
	assert.Equal(t, third.Log.State().Earlier, again.State().Earlier, "the log alone tells it")
	for name, m := range map[string]int{"Tove A.": 90, "June L": 91} {
		l := lightened(t, s, m, 0, name, false)
		assert.Empty(t, l.Log.State().Earlier, name)
		require.NoError(t, l.Close())
	}
	l := lightened(t, s, 24*60, 0, "June L.", false)
	assert.Empty(t, l.Log.State().Earlier, "another day")
	require.NoError(t, l.Close())
}

func TestTheDayIsTheSalons(t *testing.T) {
	s := newStore(t)
	require.NoError(t, lightened(t, s, 0, 25, "June L.", true).Close()) // 9:00 UTC on the 2nd
	east := time.FixedZone("east", 14*3600)                             // 23:00 on the 2nd
	had, err := s.HadToday("June L.", at(30).Wall.In(east))
	require.NoError(t, err)
	assert.Len(t, had, 1)
	had, err = s.HadToday("June L.", at(90).Wall.In(east)) // 0:30 on the 3rd
	require.NoError(t, err)
	assert.Empty(t, had)
	had, err = s.HadToday("June L.", at(-10).Wall)
	require.NoError(t, err)
	assert.Empty(t, had, "a service that was opened later tells nothing")
	had, err = s.HadToday("  ", at(30).Wall)
	require.NoError(t, err)
	assert.Empty(t, had)
}
