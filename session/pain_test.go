package session_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/session"
)

// nextIs checks what is to be done next.
func (c *chair) nextIs(verb session.Verb, text string) session.Action {
	c.t.Helper()
	a := c.board().Next
	require.Equal(c.t, []any{verb, text}, []any{a.Verb, a.Text})
	return a
}

func TestPainTakesAllOffAtOnce(t *testing.T) {
	c := lightening(t)
	c.at(0).do(place("z1", 4))
	c.at(6).do(place("z2", 2), session.PauseBegan{})
	c.reboot(8, 0) // a clock that is not confirmed has to wait
	c.at(8).do(session.PainReported{Zone: "z2", Text: "burns at the crown"})
	a := c.nextIs(session.DoPain, "STOP. Rinse all with cool running water now")
	assert.Equal(t, []string{"z1", "z2"}, a.Zones)
	assert.Contains(t, a.Why, "20 minutes or more, then medical help, whatever minutes remain")
	assert.True(t, a.By.IsZero(), "no minutes remain")
	assert.Equal(t, []session.Command{session.Do(session.RinseBegan{Zones: []string{"z1", "z2"}})}, a.Commands)

	w := c.board().Warnings[0]
	assert.Equal(t, []any{session.Alarm, true, false, "z2"}, []any{w.Level, w.Fixed, w.Acked, w.Zone})
	assert.Equal(t, "PAIN: cool running water at once, 20 min or more; medical help", w.Text)
	refuses(t, c, []refusal{
		no("pass it over", session.WarningAcknowledged{Warning: w.Key, Reason: "she is brave"}, "can't be passed over while product is on"),
		no("place", place("z2", 1), "rinse all with cool running water"),
		no("coat", session.CoatApplied{Zone: "z1", Coats: coats(session.Root, "b1")}, "rinse all with cool running water"),
		no("refresh", session.CoatRefreshed{Zone: "z1"}, "rinse all with cool running water"),
		no("mix", bowl(root30, 20, 40), "rinse all with cool running water"),
		no("heat", session.HeatOn{Zones: []string{"z1"}}, "rinse all with cool running water"),
		no("clear", session.PainCleared{Note: "gone"}, "product is still on"),
		no("close", session.ServiceClosed{}, "note what was found"),
	})
	c.ago(5, place("z2", 1)) // what went in before is logged, so that it comes off
	assert.Equal(t, 3, c.zone("z2").Done)

	require.NoError(t, c.try(c.at(9).board().Next.Commands...))
	a = c.nextIs(session.DoCool, "Cool water until 09:29, then: rinsed clean")
	assert.Equal(t, c.zero.Add(29*time.Minute), a.From)
	assert.True(t, c.board().Warnings[0].Fixed, "it is on until it is rinsed clean")
	c.at(29).nextIs(session.DoCool, "Rinse clean: Nape, Crown")
}

func TestCoolWaterIsCountedFromTheRinse(t *testing.T) {
	c := lightening(t)
	c.at(0).do(place("z1", 4))
	c.at(2).do(session.PainReported{})
	require.NoError(t, c.try(c.at(3).board().Next.Commands...))
	require.NoError(t, c.try(c.at(10).board().Next.Commands...)) // early, and it is taken
	a := c.nextIs(session.DoCool, "Cool water until 09:23")
	assert.Empty(t, a.Commands)
	w := c.at(11.5).board().Warnings[0]
	assert.Equal(t, "PAIN: 8 of 20 min of cool water so far, go on; medical help", w.Text)
	assert.False(t, w.Fixed)
	c.do(session.WarningAcknowledged{Warning: w.Key, Reason: "at the basin"})
	assert.True(t, c.board().Warnings[0].Acked)
	c.at(23).nextIs(session.DoClear, "Note what was found")
	refuses(t, c, []refusal{
		no("without a note", session.PainCleared{Note: " ", GoesOn: true}, "type what was found and what was decided"),
		no("close", session.ServiceClosed{}, "note what was found"),
		no("place", place("z2", 1), "then note what was found"),
	})
	c.do(session.PainCleared{Note: "red, no blister", Early: "this is not asked any more", GoesOn: true})
	assert.Empty(t, c.board().Warnings)
	assert.Equal(t, session.DoPlace, c.board().Next.Verb, "the work may go on")
	p := c.state().Pains[0]
	assert.Equal(t, []any{c.zero.Add(23 * time.Minute), "red, no blister", "", true}, []any{p.Cleared, p.Note, p.Early, p.GoesOn})
	assert.Equal(t, 20*time.Minute, c.state().Cooled(p, c.now))
	assert.ErrorContains(t, c.try(session.Do(session.PainCleared{Note: "again"})), "no pain was reported that is still open")
	c.do(place("z2", 1))
}

func TestPainDuringATripTakesTheRestToTheBasinToo(t *testing.T) {
	c := lightening(t)
	c.at(0).do(place("z1", 4), place("z2", 6))
	c.at(20).do(session.RinseBegan{Zones: []string{"z1"}})
	c.at(21).do(session.PainReported{})
	a := c.nextIs(session.DoPain, "STOP. Rinse all with cool running water now")
	assert.Equal(t, []string{"z2"}, a.Zones, "one is under the water already")
	require.NoError(t, c.try(a.Commands...))
	a = c.at(41).nextIs(session.DoCool, "Rinse clean: Nape, Crown")
	require.NoError(t, c.try(a.Commands...), "both trips are ended")
	assert.False(t, c.state().Zone("z1").Holding() || c.state().Zone("z2").Holding())
	c.nextIs(session.DoClear, "Note what was found")
}

func TestPainWithNothingOn(t *testing.T) {
	c := lightening(t)
	c.at(1).do(session.PainReported{})
	c.nextIs(session.DoCool, "Cool water until 09:21")
	c.at(2).do(session.PainReported{Text: "the neck"})
	c.at(21).nextIs(session.DoClear, "Note what was found")
	c.do(session.PainCleared{Note: "a scratch", GoesOn: true})
	for _, p := range c.state().Pains {
		assert.Equal(t, 20*time.Minute, c.state().Cooled(p, c.now), "what is told of again is the same pain")
	}
	assert.Nil(t, c.state().OpenPain(), "all that were reported")
	c.undo()
	c.undo()
	c.undo()
	assert.Empty(t, c.state().Pains, "a slip of the key is taken back")
	refuses(t, c, []refusal{no("no zone", session.PainReported{Zone: "z9"}, `no zone "z9"`)})
}

// offAtTen is pain at minute 2, water from 3 on, and all rinsed off at 10.
func offAtTen(t *testing.T) *chair {
	c := lightening(t)
	c.at(0).do(place("z1", 4))
	c.at(2).do(session.PainReported{})
	require.NoError(t, c.try(c.at(3).board().Next.Commands...))
	require.NoError(t, c.try(c.at(10).board().Next.Commands...))
	return c
}

func TestPainIsNotClearedEarlyWithoutAReason(t *testing.T) {
	c := offAtTen(t)
	refuses(t, c, []refusal{
		no("no reason", session.PainCleared{Note: "x", GoesOn: true}, "cool water has run for 7 of 20 minutes: let it run, or type why it ends before that, in 3 words or more"),
		no("one letter", session.PainCleared{Note: "x", Early: "x", GoesOn: true}, "in 3 words or more"),
		no("two words", session.PainCleared{Note: "x", Early: " well  again ", GoesOn: true}, "in 3 words or more"),
	})
	c.nextIs(session.DoCool, "Cool water until 09:23")
	c.at(22.9)
	require.Error(t, c.try(session.Do(session.PainCleared{Note: "x"})))
	c.at(12).do(session.PainCleared{Note: "a hair pin", Early: "the pin was it", GoesOn: true})
	p := c.state().Pains[0]
	assert.Equal(t, []any{"the pin was it", 9 * time.Minute}, []any{p.Early, c.state().Cooled(p, c.now)})

	c = offAtTen(t)
	c.at(23).do(session.PainCleared{Note: "well", GoesOn: true})
	err := c.try(session.Do(session.EventMoved{Seq: c.last(), To: c.reading().Wall.Add(-time.Minute)}))
	assert.ErrorContains(t, err, "before 20 minutes of cool water, with no reason")
}

func TestWorkThatEndsAfterPainStaysEnded(t *testing.T) {
	c := offAtTen(t)
	c.at(23).do(session.PainCleared{Note: "red; she wants to stop"})
	require.True(t, c.state().Ended())
	const ended = "the colour work was ended after pain: nothing is mixed or put on any more in this service"
	refuses(t, c, []refusal{
		no("place", place("z2", 1), ended),
		no("coat", session.CoatApplied{Zone: "z2", Coats: coats(session.Root, "b1")}, ended),
		no("refresh", session.CoatRefreshed{Zone: "z2"}, ended),
		no("mix", bowl(root30, 20, 40), ended),
		no("heat", session.HeatOn{Zones: []string{"z2"}}, ended),
	})
	c.nextIs(session.DoBegin, "Begin: drying")
	b := c.board()
	assert.True(t, b.AllInAt.IsZero(), "nothing is to come")
	assert.Equal(t, "Nape", b.Zones[0].Name)
	_, ask := c.state().AskTrips(c.now, time.Minute)
	assert.False(t, ask, "nothing is to be planned")

	c.do(session.PainReported{})
	c.at(43)
	refuses(t, c, []refusal{no("go on", session.PainCleared{Note: "well", GoesOn: true}, "does not go on: say that it ends here")})
	c.do(session.PainCleared{Note: "well"}, session.StepBegan{Step: "drying"}, session.StepEnded{Step: "drying"})
	c.nextIs(session.DoAsk, "Ask how it is now")
	c.do(session.ReactionNoted{When: session.AskLeaving, How: session.HowWell})
	c.nextIs(session.DoFinish, "Finish the service")

	c = offAtTen(t)
	c.at(23).do(session.PainCleared{Note: "a slip"})
	c.undo()
	c.do(session.PainCleared{Note: "well", GoesOn: true})
	c.do(place("z2", 1))
}

func TestNoPlanIsFollowedWhilePainIsOpen(t *testing.T) {
	c := lightening(t)
	c.at(0).do(place("z1", 4))
	c.at(6).do(place("z2", 6))
	q, ok := c.state().AskTrips(c.now, time.Minute)
	require.True(t, ok)
	plan, err := q.Answer(nil)
	require.NoError(t, err)
	b := c.board()
	b.Follow(c.state(), plan)
	require.False(t, b.Zones[0].PlannedOff.IsZero())
	require.NotEmpty(t, b.Plan)
	c.do(session.PainReported{})
	for _, rinse := range []session.Data{session.RinseBegan{Zones: []string{"z1"}}, session.RinseBegan{Zones: []string{"z2"}}, session.RinseEnded{Trip: "t1"}, session.RinseEnded{Trip: "t2"}} {
		b = c.board()
		b.Follow(c.state(), plan)
		for _, z := range b.Zones {
			assert.Zero(t, z.PlannedOff)
		}
		assert.Empty(t, b.Plan)
		c.do(rinse)
	}
	b = c.board()
	b.Follow(c.state(), plan)
	assert.Empty(t, b.Plan, "while the water runs")
}
