package session_test

import (
	"fmt"
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
	c.at(29).nextIs(session.DoCool, "Rinsed clean: Nape, Crown")
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
		no("without a note", session.PainCleared{Note: " "}, "type what was found and what was decided"),
		no("close", session.ServiceClosed{}, "note what was found"),
		no("place", place("z2", 1), "then note what was found"),
	})
	c.do(session.PainCleared{Note: "red, no blister; she wants to stop"})
	assert.Empty(t, c.board().Warnings)
	assert.Equal(t, session.DoPlace, c.board().Next.Verb, "the work may go on")
	p := c.state().Pains[0]
	assert.Equal(t, []any{c.zero.Add(23 * time.Minute), "red, no blister; she wants to stop"}, []any{p.Cleared, p.Note})
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
	a = c.at(41).nextIs(session.DoCool, "Rinsed clean: Nape, Crown")
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
	c.do(session.PainCleared{Note: "a scratch"})
	assert.Nil(t, c.state().OpenPain(), "all that were reported")
	c.undo()
	c.undo()
	c.undo()
	assert.Empty(t, c.state().Pains, "a slip of the key is taken back")
	refuses(t, c, []refusal{no("no zone", session.PainReported{Zone: "z9"}, `no zone "z9"`)})
}

// Water that has not run for 20 minutes is not passed over with a letter.
func TestPainClearedEarlyNeedsAReason(t *testing.T) {
	c := lightening(t)
	c.at(0).do(place("z1", 2))
	c.at(3).do(session.PainReported{})
	require.NoError(t, c.try(c.board().Next.Commands...))
	require.NoError(t, c.try(c.at(4).board().Next.Commands...))
	var reason *session.ErrNeedsReason
	require.ErrorAs(t, c.try(session.Do(session.PainCleared{Note: "a"})), &reason)
	assert.Equal(t, "cool water has run for 1 min of 20 min", reason.Why)
	c.do(session.WarningAcknowledged{Warning: reason.Key, Reason: "it was a hair grip"}, session.PainCleared{Note: "nothing to see"})
}

// Hair that stays stretched when wet must come off at once, and gets neither
// product nor heat any more.
func TestWeakenedHairIsRinsedAtOnce(t *testing.T) {
	c := lightening(t)
	c.at(0).do(place("z1", 4))
	c.at(12).do(session.ZoneChecked{Zone: "z1", Feel: session.FeelMushy})
	b := c.board()
	assert.Equal(t, []any{session.DoRinse, "STOP. Rinse Nape"}, []any{b.Next.Verb, b.Next.Text})
	assert.Equal(t, session.Alarm, b.Warnings[0].Level)
	assert.Contains(t, b.Warnings[0].Text, "the hair of Nape stays stretched: it can take no more")
	assert.ErrorContains(t, c.try(session.Do(session.CoatRefreshed{Zone: "z1"})), "put nothing more on it")
	assert.ErrorContains(t, c.try(session.Do(session.HeatOn{Zones: []string{"z1"}})), "put no heat to it")
	require.NoError(t, c.try(b.Next.Commands...))
	c.at(15).do(session.RinseEnded{})
	assert.Equal(t, session.DoPlace, c.board().Next.Verb, "the rest goes on")
}

// early gives the reason that pain is cleared before the water has run for 20
// minutes. The pain is the last entry.
func early(c *chair) session.WarningAcknowledged {
	return session.WarningAcknowledged{Warning: fmt.Sprintf("pain-early:%d", c.last()), Reason: "a slip of the key"}
}
