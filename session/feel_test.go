package session_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/session"
)

// mushy is lightening with product on both zones, and the nape found to stay
// stretched at minute 12.
func mushy(t *testing.T) *chair {
	c := lightening(t)
	c.at(0).do(place("z1", 4))
	c.at(4).do(place("z2", 2))
	c.at(12).do(session.ZoneChecked{Zone: "z1", Feel: session.FeelMushy})
	return c
}

func TestHairThatStaysStretchedComesOffAtOnce(t *testing.T) {
	c := mushy(t)
	a := c.nextIs(session.DoRinse, "STOP. Rinse Nape")
	assert.Equal(t, []string{"z1"}, a.Zones)
	w := c.board().Warnings[0]
	assert.Equal(t, []any{"mushy:z1", session.Alarm, true, "z1", "STOP, rinse Nape now: the hair can take no more"}, []any{w.Key, w.Level, w.Fixed, w.Zone, w.Text})
	const spent, first = "the hair of Nape stays stretched, it can take no more: rinse it", "rinse it before Chalk goes on anywhere else"
	refuses(t, c, []refusal{
		no("pass it over", session.WarningAcknowledged{Warning: w.Key, Reason: "nearly there"}, "rinse Nape now, the hair can take no more"),
		no("place", place("z1", 1), spent),
		no("refresh", session.CoatRefreshed{Zone: "z1"}, spent),
		no("heat", session.HeatOn{Zones: []string{"z1"}}, "use no heat"),
		no("elsewhere", place("z2", 1), first),
	})
	c.do(session.ZoneChecked{Zone: "z1", Feel: "springs back"})
	c.nextIs(session.DoRinse, "STOP. Rinse Nape") // no later look lifts it
	c.ago(1, place("z1", 1))                      // what went on before is logged, so that it comes off
	require.NoError(t, c.try(a.Commands...))
	refuses(t, c, []refusal{no("at the basin", session.WarningAcknowledged{Warning: w.Key, Reason: "x"}, "while product is on")})
	c.at(15).do(session.RinseEnded{})
	for _, w := range c.board().Warnings {
		assert.NotEqual(t, "mushy:z1", w.Key, "once it is off")
	}
}

func TestOtherZonesGetTheSameProductOnlyWithAReason(t *testing.T) {
	c := mushy(t)
	require.NoError(t, c.try(c.board().Next.Commands...))
	c.at(15).do(session.RinseEnded{})
	assert.Equal(t, session.DoPlace, c.board().Next.Verb)
	var reason *session.ErrNeedsReason
	require.ErrorAs(t, c.try(c.board().Next.Commands...), &reason)
	assert.Equal(t, []string{"mushy:z1", "the hair of Nape stays stretched after Chalk, and Crown is about to get it"}, []string{reason.Key, reason.Why})
	other := root30
	other.Product = "Rime"
	c.do(row(other, 5, 20), bowl(other, 20, 40), again("Other", session.PlanZone{ID: "o", Name: "O", Pieces: 1, Bands: []session.PlanBand{other}}), place("o", 1))
	c.do(session.WarningAcknowledged{Warning: reason.Key, Reason: "the crown was never lightened"})
	c.do(place("z2", 1))
	c.do(place("z2", 1)) // it is asked once
}

func TestNothingMoreGoesOnTheSameHairInALaterRound(t *testing.T) {
	c := mushy(t)
	require.NoError(t, c.try(c.board().Next.Commands...))
	c.at(15).do(session.RinseEnded{}, session.RinseBegan{Zones: []string{"z2"}}, session.RinseEnded{})
	for _, z := range c.state().Zones {
		if !z.Over() {
			c.do(session.PlanChanged{Change: session.ChangeDrop, Zone: z.ID})
		}
	}
	tone := root30
	tone.Product = "Veil"
	c.do(row(tone, 5, 20), bowl(tone, 20, 40),
		again("Toner", session.PlanZone{ID: "t1", Name: "Low", Pieces: 1, Bands: []session.PlanBand{tone}, SameHairAs: []string{"z1"}},
			session.PlanZone{ID: "t2", Name: "High", Pieces: 1, Bands: []session.PlanBand{tone}, SameHairAs: []string{"z2"}}))
	refuses(t, c, []refusal{no("the same hair", place("t1", 1), "the hair of Nape stays stretched"), no("heat", session.HeatOn{Zones: []string{"t1"}}, "no heat")})
	a := c.nextIs(session.DoPlan, "Take Low out of the plan")
	require.NoError(t, c.try(a.Commands...))
	c.nextIs(session.DoPlace, "Place High 1 of 1")
	c.do(place("t2", 1))

	c.do(session.ZoneChecked{Zone: "z2", Feel: session.FeelMushy}) // found when something is on the same hair
	c.nextIs(session.DoRinse, "STOP. Rinse High")
	refuses(t, c, []refusal{no("pass it over", session.WarningAcknowledged{Warning: "mushy:z2", Reason: "x"}, "rinse High now")})
}

func TestACheckThatWasASlipIsTakenBack(t *testing.T) {
	c := mushy(t)
	c.undo()
	assert.Equal(t, session.DoPlace, c.board().Next.Verb)
	c.do(place("z2", 1))
}

func TestNoPlanIsFollowedWhileMushyHairHoldsProduct(t *testing.T) {
	c := mushy(t)
	q, ok := c.state().AskTrips(c.now, time.Minute)
	require.True(t, ok)
	plan, err := q.Answer(nil)
	require.NoError(t, err)
	b := c.board()
	b.Follow(c.state(), plan)
	assert.Empty(t, b.Plan)
	assert.Equal(t, "STOP. Rinse Nape", b.Next.Text)
}

// Weakened hair is looked at again or rinsed; it gets nothing more until it is
// found to spring back, or somebody says why.
func TestWeakenedHairGetsNothingMoreUnlessItSpringsBack(t *testing.T) {
	c := lightening(t)
	c.at(0).do(place("z1", 2))
	c.at(4).do(place("z2", 2))
	c.at(12).do(session.ZoneChecked{Zone: "z1", Feel: session.FeelWeak})
	a := c.nextIs(session.DoRinse, "Rinse Nape now")
	assert.Equal(t, []string{"z1"}, a.Zones)
	w := c.board().Warnings[0]
	assert.Equal(t, []any{"weak:z1", session.Alarm, true}, []any{w.Key, w.Level, w.Reason})
	var reason *session.ErrNeedsReason
	require.ErrorAs(t, c.try(session.Do(place("z1", 1))), &reason)
	assert.Equal(t, "weak:z1", reason.Key)
	c.do(place("z2", 1)) // another hair

	c.at(14).do(session.ZoneChecked{Zone: "z1", Feel: "springs back"})
	assert.Equal(t, session.DoPlace, c.board().Next.Verb)
	c.do(place("z1", 1))

	c.at(15).do(session.ZoneChecked{Zone: "z1", Feel: session.FeelWeak})
	c.at(16).do(session.ZoneChecked{Zone: "z1", Depth: 7}) // says nothing of how it feels
	c.nextIs(session.DoRinse, "Rinse Nape now")
	c.do(session.WarningAcknowledged{Warning: "weak:z1", Reason: "only the last piece was coarse"})
	assert.Equal(t, session.DoPlace, c.board().Next.Verb)
	c.do(place("z1", 1))
}

func TestStretchedHairIsNotQuietlyTakenBack(t *testing.T) {
	c := lightening(t)
	c.at(0).do(place("z1", 1))
	c.at(10).do(session.ZoneChecked{Zone: "z1", Feel: session.FeelMushy})
	seq := c.last()
	c.do(session.RinseBegan{Zones: []string{"z1"}})
	c.at(12).do(session.RinseEnded{})
	for _, reason := range []string{"", "slip"} {
		require.ErrorContains(t, c.try(session.Do(session.EventVoided{Seq: seq, Reason: reason})), "is not taken back after other entries")
	}
	c.do(session.EventVoided{Seq: seq, Reason: "it was another zone"})

	c = lightening(t)
	c.do(place("z1", 1), session.ZoneChecked{Zone: "z1", Feel: session.FeelMushy})
	c.do(session.EventVoided{Seq: c.last()})
}
