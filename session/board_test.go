package session_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/session"
	"rinseby/timing"
)

// A log can hold product without a limit: one that was put together by hand.
func TestProductWithoutALimitIsAnAlarmAndIsAskedFor(t *testing.T) {
	c := lightening(t)
	c.at(0).do(place("z1", 4))
	var events []session.Event
	for _, e := range c.log.Events() {
		if _, ok := e.Data.(session.WindowConfirmed); !ok {
			e.Seq = len(events) + 1
			events = append(events, e)
		}
	}
	var err error
	c.log, err = session.Fold(events)
	require.NoError(t, err)
	b := c.at(10).board()
	require.NotEmpty(t, b.Warnings)
	assert.Equal(t, "no-limit:z1", b.Warnings[0].Key)
	assert.Equal(t, session.Alarm, b.Warnings[0].Level)
	assert.Equal(t, session.DoWindow, b.Next.Verb)
	assert.Equal(t, "Type the limit of Nape", b.Next.Text)
	require.NotNil(t, b.Next.Query)
	assert.Nil(t, b.OffBy)
	assert.True(t, c.zone("z1").Unknown)
	assert.NotEqual(t, timing.Open, c.at(600).zone("z1").Phase, "never open without a limit")

	c.at(11).do(session.NoteAdded{Text: "what is wrong already does not stand in the way"}, session.HelperJoined{Name: "Ines"})
	c.do(row(root30, 20, 45))
	assert.Equal(t, session.DoWindow, c.board().Next.Verb, "the ends are still without one")
	c.do(row(end20, 15, 35))
	assert.Equal(t, 35.0, c.offBy("z1"))
	assert.NotEqual(t, session.DoWindow, c.board().Next.Verb)
}

func TestANewestPieceThatWillNotOpenInTimeIsTold(t *testing.T) {
	c := lightening(t)
	c.at(0).do(place("z1", 3))
	c.at(19).do(place("z1", 1)) // opens at 39, after the limit of the first at 35
	c.do(session.PlanChanged{Change: session.ChangeDrop, Zone: "z2"})
	ws := about(c.at(20).board(), "z1")
	require.Len(t, ws, 1)
	assert.Equal(t, "never-open:z1", ws[0].Key)
	assert.Contains(t, ws[0].Text, "before the oldest is at its limit at 09:35")
}

func TestWarningsArePutInOrderAndKnowWhatWasSeen(t *testing.T) {
	c := lightening(t)
	c.at(0).do(place("z1", 4))
	c.at(8).do(place("z2", 6))
	c.at(36)
	b := c.board()
	var keys []string
	for _, w := range b.Warnings {
		keys = append(keys, w.Key)
	}
	assert.Equal(t, []string{"over:z1", "closing:z2"}, keys, "harm before what is near")
	assert.Equal(t, "Crown must be off in 7 min: rinse it now", b.Warnings[1].Text)
	c.do(session.WarningAcknowledged{Warning: "over:z1", Reason: "on the way"})
	b = c.board()
	assert.True(t, b.Warnings[0].Acked)
	assert.False(t, b.Warnings[1].Acked)
	assert.Equal(t, []string{"z1", "z2"}, b.Next.Zones)
}

func TestPaceIsTheMedianOfTheLastPieces(t *testing.T) {
	c := lightening(t)
	c.at(0).do(place("z1", 1))
	c.at(2).do(place("z1", 1))
	c.at(4).do(place("z1", 1))
	assert.Zero(t, c.board().Pace, "two intervals do not tell")
	assert.Equal(t, c.zero.Add(18*time.Minute), c.board().AllInAt, "so it goes by the plan: 7 pieces of 2 minutes")
	c.at(7).do(place("z1", 1))
	assert.Equal(t, 2*time.Minute, c.board().Pace, "2, 2 and 3")
	c.at(27).do(place("z2", 1)) // an interruption
	c.at(33).do(place("z2", 3)) // three in 6 minutes
	assert.Equal(t, 2*time.Minute, c.board().Pace, "2, 2, 2, 2, 2, 3, 20")
	assert.Equal(t, c.zero.Add(37*time.Minute), c.board().AllInAt)
}

func TestRoundsShown(t *testing.T) {
	c := lightening(t)
	c.do(again("Second", over("a", "z1")))
	shown := func() (ids []string) {
		for _, z := range c.board().Zones {
			ids = append(ids, z.ID)
		}
		return ids
	}
	assert.Equal(t, []string{"z1", "z2"}, shown(), "the round under way")
	c.at(1).do(place("a", 1))
	assert.Equal(t, []string{"z1", "z2", "a"}, shown(), "and every other that has begun")
	c.do(place("z1", 4), place("z2", 6))
	c.rinse(20, 22, "z1", "z2")
	assert.Equal(t, []string{"a"}, shown())
	c.do(session.ZoneFinished{Zone: "a"})
	c.rinse(23, 24, "a")
	assert.Equal(t, []string{"a"}, shown(), "the last one, when all are over")
}

// Each kind is said in words of its own, without ids where names are known.
func TestEveryKindIsSaidInWords(t *testing.T) {
	c := everyKind(t)
	c.do(session.ServiceClosed{})
	none, said := &session.State{}, map[string]string{}
	for _, e := range c.log.Events() {
		words, plain := c.state().Say(e.Data), none.Say(e.Data)
		assert.NotEmpty(t, words, e.Data.Kind())
		assert.NotEmpty(t, plain, e.Data.Kind())
		assert.NotEqual(t, e.Data.Kind(), words)
		if before, ok := said[words]; ok {
			assert.Equal(t, before, e.Data.Kind(), "%q is said of two kinds", words)
		}
		said[words] = e.Data.Kind()
	}
	for _, change := range []session.Change{session.ChangeAdd, session.ChangeDrop, session.ChangeSplit, session.ChangeOrder, session.ChangeRename, session.ChangePieces, session.ChangeBands, session.ChangeTechnique} {
		d := session.PlanChanged{Change: change, Zone: "a", Round: "r1", Name: "low", Add: &session.PlanZone{Name: "Fringe"}, Pieces: 3}
		assert.NotEmpty(t, c.state().Say(d), change)
	}
	assert.NotPanics(t, func() { none.Say(session.PlanChanged{Change: session.ChangeAdd}) })
	assert.NotPanics(t, func() { none.Say(session.BowlMixed{}) })
}
