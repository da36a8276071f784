package replay_test

import (
	"fmt"
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"rinseby/session"
	"rinseby/session/formula"
	"rinseby/session/replay"
)

func minute(m float64) time.Time { return zero.Add(time.Duration(m * float64(time.Minute))) }

// rinsed goes to the basin at a minute and is done with each zone so many
// minutes later.
func (c *chair) rinsed(from, each float64, zones ...string) *chair {
	c.at(from).do(session.RinseBegan{Zones: zones})
	for i, id := range zones {
		c.at(from + each*float64(i+1)).do(session.RinseEnded{Zones: []string{id}})
	}
	return c
}

// late is a service in which the nape is rinsed too late. Windows are 20 to 45
// minutes for the regrowth and 15 to 35 for the ends.
//
//	nape   4 pieces at 2, 4, 6, 8; its ends must be off by 37
//	crown  6 pieces at 10, 12, 14, 16, 18, 20; then nothing until
//	trip   at 36, nape until 40 (3 minutes over), crown until 44 (34 of 35)
//	drying from 46 to 60, closed at 61
func late(t require.TestingT) *chair {
	c := ready(t)
	for i := range 4 {
		c.at(2 + 2*float64(i)).do(place("z1", 1))
	}
	for i := range 6 {
		c.at(10 + 2*float64(i)).do(place("z2", 1))
	}
	c.rinsed(36, 4, "z1", "z2")
	c.at(46).do(session.StepBegan{Step: "drying"})
	c.at(60).do(session.StepEnded{Step: "drying"})
	return c.at(61).do(session.ServiceClosed{})
}

func whatIf(t require.TestingT, l *session.Log, at time.Time, c replay.Change) *replay.Alternative {
	a, err := replay.WhatIf(replay.New(l), at, c, session.Usuals{})
	require.NoError(t, err)
	obeys(t, a.Log, replay.New(l).Position(at))
	return a
}

// obeys checks that a log folds, and that each entry after the first n is one
// that Decide takes.
func obeys(t require.TestingT, l *session.Log, n int) {
	again, err := session.Fold(l.Events())
	require.NoError(t, err)
	require.Equal(t, l.State(), again.State())
	so, err := session.Fold(l.Events()[:n])
	require.NoError(t, err)
	for _, e := range l.Events()[n:] {
		_, err := so.Commit(e.Recorded, session.DoAt(e.When, e.Data))
		require.NoError(t, err, "%d %s", e.Seq, e.Data.Kind())
	}
}

func TestRinsingNowSavesTheBreachAndCostsATrip(t *testing.T) {
	c := late(t)
	// At 22 all is placed, so no way back. The day's rinses take 4 minutes each;
	// it knows no way to the basin with pieces still to come, so that is the
	// house figure, 2: the nape's rinse begins at 24 and is done at 28, 26 after
	// its first contact at 2.
	a := whatIf(t, c.log, minute(22), replay.RinseNow{Zones: []string{"z1"}})
	nape, crown := a.Outcome("z1"), a.Outcome("z2")
	assert.Equal(t, 3*time.Minute, nape.Real.Over, "off at 40, first contact at 2, limit 35")
	assert.Equal(t, 38*time.Minute, nape.Real.For)
	assert.Zero(t, nape.Alternative.Over)
	assert.Equal(t, 26*time.Minute, nape.Alternative.For)
	assert.Equal(t, minute(28), nape.Alternative.Off)
	// The root's newest piece, at 8, had 20 minutes by 28: just open. The ends'
	// 15 are long over.
	assert.Zero(t, nape.Alternative.Short)
	// Hands were free from 28 on, and the trip at 36 comes as it did, with the
	// crown alone: off at 40 instead of 44.
	assert.Equal(t, minute(40), crown.Alternative.Off)
	assert.Equal(t, 34*time.Minute, crown.Real.For)
	assert.Equal(t, 30*time.Minute, crown.Alternative.For)
	assert.Len(t, a.RealTrips, 1)
	assert.Len(t, a.Trips, 2)
	// The rinse of the nape was the last but one: all that followed is 4 sooner.
	assert.Equal(t, replay.Ending{At: minute(61)}, a.RealEnd)
	assert.Equal(t, replay.Ending{At: minute(57)}, a.End)
	really, alternative := a.Over()
	assert.Equal(t, 3*time.Minute, really)
	assert.Zero(t, alternative)
}

func TestRinsingNowHoldsHandsUp(t *testing.T) {
	c := late(t)
	// At 13 the crown holds 2 pieces of 6. To the basin 2, rinse 4, back 2: hands
	// go on at 21 with what was 13, so the last piece, at 20, goes in at 28.
	a := whatIf(t, c.log, minute(13), replay.RinseNow{Zones: []string{"z1"}})
	s := a.Log.State()
	assert.Equal(t, minute(19), a.Outcome("z1").Alternative.Off)
	assert.Equal(t, minute(28), s.Zone("z2").Placed[5].At)
	assert.Equal(t, 9*time.Minute, a.Outcome("z1").Alternative.Short, "the newest piece, at 8, had 11 of 20 minutes")
	// The wait for the crown stays as long: 16 minutes from its last contact.
	assert.Equal(t, minute(44), s.Trips[1].Began)
	assert.Equal(t, minute(48), s.Zone("z2").Rinsed)
	assert.Equal(t, 38*time.Minute, a.Outcome("z2").Alternative.For, "10 to 48")
	assert.Equal(t, 3*time.Minute, a.Outcome("z2").Alternative.Over, "which would be over, and is said to be")
}

func TestARestStaysInThePlan(t *testing.T) {
	c := late(t)
	a := whatIf(t, c.log, minute(5), replay.RinseNow{Zones: []string{"z1"}})
	s := a.Log.State()
	// 2 pieces of the nape were on, off at 11; hands go on at 13 with what was 5.
	rest := s.Zone("whatif-rest")
	require.NotNil(t, rest)
	assert.Equal(t, "Nape, rest", rest.Name)
	assert.Equal(t, 2, s.Zone("z1").Done())
	assert.Equal(t, 2, rest.Done())
	assert.Equal(t, minute(11), s.Zone("z1").Rinsed)
	assert.Equal(t, minute(14), rest.Placed[0].At)
	assert.Equal(t, []string{rest.ID, "z2"}, s.Trips[1].Zones)
	assert.Empty(t, a.Outcome(rest.ID).Real)
}

func TestAHelperEndsEarlierByThePaceEffect(t *testing.T) {
	c := late(t)
	// From 10 on, 5 pieces of the crown take 10 minutes. A helper makes them 1.7
	// times as fast by the prior: 10 / 1.7 = 5.882 minutes, so 4.118 are saved.
	a := whatIf(t, c.log, minute(10), replay.Helper{Minutes: 20})
	saved := time.Duration(math.Round((10 - 10/1.7) * float64(time.Minute)))
	assert.InDelta(t, saved, minute(20).Sub(a.Log.State().Zone("z2").Placed[5].At), float64(3*time.Millisecond))
	// The nape was placed before. The crown's wait, 16 minutes, begins sooner.
	assert.InDelta(t, saved, minute(61).Sub(a.End.At), float64(3*time.Millisecond))
	assert.Zero(t, a.Outcome("z1").Alternative.Over, "the nape was off at 35.9, within its 37")

	// One who stays for 3 minutes does in them what takes 5.1: 2.1 are saved.
	a = whatIf(t, c.log, minute(10), replay.Helper{Minutes: 3})
	assert.InDelta(t, 2.1, minute(61).Sub(a.End.At).Minutes(), 0.001)
	assert.Equal(t, minute(13), a.Log.State().Helpers[0].To)
}

func TestWeakerLengthensOnlyItsOwnZone(t *testing.T) {
	weak := end
	weak.Strength = 3
	root3 := root
	root3.Strength = 3
	c := ready(t).do(window(weak, 20, 50), window(root3, 25, 60))
	for i := range 4 {
		c.at(2 + 2*float64(i)).do(place("z1", 1))
	}
	for i := range 6 {
		c.at(10 + 2*float64(i)).do(place("z2", 1))
	}
	c.rinsed(36, 4, "z1", "z2")
	c.at(50)
	// From the start of the crown on. Its bowls are mixed beside those that the
	// nape came from: two, 3 minutes each by the house figure.
	a := whatIf(t, c.log, minute(9), replay.Weaker{Zone: "z2", Strength: 3})
	crown := a.Outcome("z2")
	assert.Equal(t, 35*time.Minute, crown.Real.Window.Limit)
	assert.Equal(t, 50*time.Minute, crown.Alternative.Window.Limit, "that of 10 volume on lightened ends, by the row confirmed")
	assert.Equal(t, 35*time.Minute, a.Outcome("z1").Alternative.Window.Limit)
	assert.Len(t, a.Log.State().Bowls, 4)
	assert.Equal(t, minute(16), a.Log.State().Zone("z2").Placed[0].At)
	assert.True(t, a.RealEnd.Forecast, "it is not closed")

	// In the middle of it, what is on keeps its limit: the tightest rules.
	a = whatIf(t, c.log, minute(13), replay.Weaker{Zone: "z2", Strength: 3})
	assert.Equal(t, 35*time.Minute, a.Outcome("z2").Alternative.Window.Limit)
	assert.Len(t, a.Log.State().Zone("z2").Coats, 4)
}

func TestABowlThatWasMixedForItAloneIsMixedWeaker(t *testing.T) {
	weak, root3 := end, root
	weak.Strength, root3.Strength = 3, 3
	c := ready(t).do(window(weak, 20, 50), window(root3, 25, 60))
	c.at(2).do(place("z1", 4))
	c.at(5).do(bowl(root, 30, 60), bowl(end, 20, 40))
	c.at(8).do(place("z2", 6))
	a := whatIf(t, c.log, minute(3), replay.Weaker{Zone: "z2", Strength: 3})
	require.Len(t, a.Log.State().Bowls, 4)
	assert.Equal(t, formula.Percent(3), a.Log.State().Bowl("b3").Strength)
	assert.Equal(t, minute(8), a.Log.State().Zone("z2").Placed[0].At, "so nothing takes longer")
}

func TestWhatCannotBeIsRefused(t *testing.T) {
	c := late(t)
	tape := replay.New(c.log)
	for _, tt := range []struct {
		minute float64
		change replay.Change
		says   string
	}{
		{22, replay.RinseNow{}, "name at least one zone to rinse"},
		{22, replay.RinseNow{Zones: []string{"none"}}, "none holds nothing to rinse at that moment: choose zones that product is on"},
		{37, replay.RinseNow{Zones: []string{"z1"}}, "Nape, Crown is at the basin at that moment: choose a later one"},
		{62, replay.RinseNow{Zones: []string{"z1"}}, "Nape holds nothing to rinse at that moment: choose zones that product is on"},
		{22, replay.RinseNow{Zones: []string{"z1", "z1"}}, `zone "z1" is named twice`},
		{22, replay.Helper{Minutes: math.NaN()}, "a helper: give 0 to 600 minutes"},
		{62, replay.Helper{Minutes: 5}, "the service was closed by then: choose an earlier moment"},
		{9, replay.Weaker{Zone: "z2", Strength: 9}, "nothing of Crown that is stronger than 30 vol comes after that moment: choose a weaker strength, or an earlier moment"},
		{30, replay.Weaker{Zone: "z2", Strength: 3}, "nothing of Crown that is stronger than 10 vol comes after that moment: choose a weaker strength, or an earlier moment"},
		{9, replay.Weaker{Zone: "z9", Strength: 3}, `there is no zone "z9": choose one of the plan`},
	} {
		_, err := replay.WhatIf(tape, minute(tt.minute), tt.change, session.Usuals{})
		require.Error(t, err, tt.says)
		assert.Equal(t, tt.says, err.Error())
	}
	_, err := replay.WhatIf(tape, minute(-1), replay.Helper{}, session.Usuals{})
	require.ErrorIs(t, err, session.ErrNotYet)
}

func TestWeakerKeepsTheLimitWhereNoRowSaysOtherwise(t *testing.T) {
	a := whatIf(t, late(t).log, minute(9), replay.Weaker{Zone: "z2", Strength: 3})
	assert.Equal(t, 35*time.Minute, a.Outcome("z2").Alternative.Window.Limit, "the next stronger row serves it")
}

// reordered reports whether entries were put at other moments, or a word on the
// clock was taken back: then entries may count in another order than that in
// which they were recorded.
func reordered(l *session.Log) bool {
	for _, e := range l.Events() {
		switch d := e.Data.(type) {
		case session.EventMoved:
			return true
		case session.ClockNoted:
			if d.What == session.ClockConfirmed && l.Voided(e.Seq) {
				return true
			}
		}
	}
	return false
}

// same checks that two services are one, by what was on hair and when, and by
// what hands did.
func same(t require.TestingT, was, is *session.State) {
	require.Equal(t, was.Closed, is.Closed)
	require.Len(t, is.Zones, len(was.Zones))
	for i, z := range was.Zones {
		o := is.Zones[i]
		require.Equal(t, z.ID, o.ID)
		require.Len(t, o.Coats, len(z.Coats))
		for j, c := range z.Coats {
			d := o.Coats[j]
			require.Equal(t, was.CoatTiming(c), is.CoatTiming(d), z.ID)
			require.Equal(t, c.Bowls, d.Bowls)
		}
		require.Equal(t, len(z.Checks), len(o.Checks))
	}
	require.Equal(t, was.Trips, is.Trips)
	require.Equal(t, was.Pauses, is.Pauses)
	require.Equal(t, was.Steps, is.Steps)
}

func TestAChangeThatChangesNothingIsTheSameService(t *testing.T) {
	day := ordinaryDay(t)
	tape := replay.New(day)
	for n := 1; n <= tape.Len(); n += 7 {
		a := whatIf(t, day, tape.Moment(n), replay.Helper{})
		require.Empty(t, a.Notes)
		same(t, day.State(), a.Log.State())
	}
	carried := 0
	rapid.Check(t, func(rt *rapid.T) {
		c := randomService(rt, rapid.IntRange(5, 40).Draw(rt, "entries"))
		tape := replay.New(c.log)
		at := tape.Moment(rapid.IntRange(1, tape.Len()).Draw(rt, "entry"))
		a := whatIf(rt, c.log, at, replay.Helper{})
		if len(a.Notes) > 0 || reordered(c.log) {
			return // an entry rests on one that was taken back later
		}
		carried++
		require.Equal(rt, len(c.log.State().Zones), len(a.Log.State().Zones))
		same(rt, c.log.State(), a.Log.State())
	})
	require.Greater(t, carried, 5, "too few services were carried on to show anything")
}

// A wait for a part of a zone is one before it is split off, too.
func TestAWaitForWhatIsSplitOffLater(t *testing.T) {
	c := ready(t)
	c.at(5).do(place("z1", 4), place("z2", 6))
	c.at(15).do(session.PlanChanged{Change: session.ChangeSplit, Zone: "z2", Keep: 2, Name: "Half"})
	c.at(16).do(session.PlanChanged{Change: session.ChangeSplit, Zone: "z3", Keep: 1, Name: "Quarter"})
	c.at(30).do(session.RinseBegan{Zones: []string{"z3"}})
	c.at(34).do(session.RinseEnded{})
	a := whatIf(t, c.log, minute(10), replay.Helper{})
	require.Empty(t, a.Notes)
	for i, e := range c.log.Events() {
		require.Equal(t, e.When, a.Log.Events()[i].When, "%T", e.Data)
	}
}

func TestAnyAlternativeFoldsAndObeys(t *testing.T) {
	made := map[string]int{}
	rapid.Check(t, func(rt *rapid.T) {
		c := randomService(rt, rapid.IntRange(10, 40).Draw(rt, "entries"))
		tape := replay.New(c.log)
		at := tape.From().Add(time.Duration(rapid.Int64Range(0, int64(tape.To().Sub(tape.From()))).Draw(rt, "at")))
		zone, on := fmt.Sprintf("z%d", rapid.IntRange(1, 3).Draw(rt, "zone")), []string{"none"}
		for _, z := range tape.At(at).State().Zones {
			if z.Holding() {
				on = append(on, z.ID)
			}
		}
		change := rapid.SampledFrom([]replay.Change{
			replay.RinseNow{Zones: on[len(on)-1:]}, replay.Weaker{Zone: zone, Strength: 6}, replay.Helper{Minutes: 15},
		}).Draw(rt, "change")
		before := len(c.log.Events())
		a, err := replay.WhatIf(tape, at, change, session.Usuals{})
		require.Len(rt, c.log.Events(), before, "the log stays as it was")
		if err != nil {
			require.NotEmpty(rt, err.Error())
			return
		}
		made[fmt.Sprintf("%T", change)]++
		obeys(rt, a.Log, tape.Position(at))
		require.NotEmpty(rt, a.Lines(tape.Clock(at)))
		for _, o := range a.Zones {
			require.GreaterOrEqual(rt, o.Alternative.Over, time.Duration(0))
		}
	})
	require.NotEmpty(t, made, "no change at all could be made")
}

// On the ordinary day a helper takes trips while pieces go on. Side right went in
// from 10:15 and was rinsed from 10:58 to 11:03: 3 minutes over its 45.
func TestTheHelperOfTheOrdinaryDayRinsesBesideThePieces(t *testing.T) {
	day := ordinaryDay(t)
	at := func(h, m int) time.Time { return time.Date(2025, 3, 3, h, m, 0, 0, time.UTC) }

	// The day's ways take 1 minute, its rinses 5: from 10:51 to 10:56, 41 after
	// 10:15. Nothing else is held up.
	a := whatIf(t, day, at(10, 50), replay.RinseNow{Zones: []string{"side-right"}})
	assert.Equal(t, 3*time.Minute, a.Outcome("side-right").Real.Over)
	assert.Equal(t, 41*time.Minute, a.Outcome("side-right").Alternative.For)
	for _, o := range a.Zones {
		assert.Zero(t, o.Alternative.Over, o.Name)
	}
	assert.Equal(t, a.RealEnd, a.End)

	// At 10:30 the basin is taken from 10:31 to 10:36, so the crown, which went
	// there at 10:34 and was off 1 minute before its limit, is 1 minute over.
	a = whatIf(t, day, at(10, 30), replay.RinseNow{Zones: []string{"side-right"}})
	assert.Equal(t, time.Minute, a.Outcome("crown").Alternative.Over)
	assert.Zero(t, a.Outcome("side-right").Alternative.Over)
}
