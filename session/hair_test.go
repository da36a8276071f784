package session_test

import (
	"errors"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/session"
	"rinseby/session/formula"
	"rinseby/timing"
)

// timed is the timing of a zone of any round, now.
func (c *chair) timed(id string) session.ZoneTiming {
	c.t.Helper()
	z := c.state().Zone(id)
	require.NotNil(c.t, z, "zone %s", id)
	return c.state().ZoneTiming(z, c.state().Line.Now(c.reading()))
}

// offBy is the minute by which a zone must be off.
func (c *chair) offBy(id string) float64 { return c.timed(id).LimitAt.Sub(c.zero).Minutes() }

// rinse takes zones to the basin from one minute to another.
func (c *chair) rinse(from, to float64, zones ...string) {
	c.t.Helper()
	c.at(from).do(session.RinseBegan{Zones: zones})
	c.at(to).do(session.RinseEnded{})
}

func coats(b session.Band, id string) []session.CoatOn { return []session.CoatOn{{Band: b, Bowl: id}} }

// again plans a round on hair that was worked on before.
func again(name string, zones ...session.PlanZone) session.PlanSet {
	return session.PlanSet{Name: name, Action: formula.Lighten, Zones: zones}
}

func over(id string, same ...string) session.PlanZone {
	return session.PlanZone{ID: id, Name: id, Pieces: 2, Bands: []session.PlanBand{root30, end20}, SameHairAs: same}
}

func TestAZoneIsOverWhileAnotherIsStillApplied(t *testing.T) {
	c := lightening(t)
	c.at(0).do(place("z1", 4))
	for m := 30.0; m < 36; m += 2 {
		c.at(m).do(place("z2", 1))
	}
	c.at(37)
	assert.Equal(t, timing.Over, c.zone("z1").Phase)
	assert.Equal(t, 2*time.Minute, c.zone("z1").Over)
	assert.Equal(t, timing.Applying, c.zone("z2").Phase)
	assert.Equal(t, "z1", c.board().OffBy.ID)
	c.at(38).do(session.RinseBegan{Zones: []string{"z1"}})
	c.do(place("z2", 1))
	assert.Equal(t, timing.Over, c.zone("z1").Phase, "it is on until the rinse has ended")
	c.at(40).do(session.RinseEnded{})
	assert.Equal(t, timing.Rinsed, c.zone("z1").Phase)
	assert.Equal(t, 5*time.Minute, c.at(90).zone("z1").Over, "what it was over stays known")
	assert.Equal(t, 65.0, c.offBy("z2"), "30 and 35")
}

func TestExposureAddsUpOverRounds(t *testing.T) {
	c := lightening(t)
	c.at(0).do(place("z1", 4))
	c.at(5).do(place("z2", 6))
	c.rinse(18, 20, "z1", "z2") // Nape had 20 minutes, Crown 15
	c.at(50).do(again("Second", over("a", "z1"), over("b", "z1", "z2"), over("free")))
	c.do(session.BowlMixed{Bowl: "n30", Product: "Chalk", Family: formula.PowderLightener, Mix: bowl(root30, 20, 40).Mix}, bowl(end20, 20, 40))
	c.at(60).do(place("a", 2), place("b", 2), place("free", 2))
	assert.Equal(t, 75.0, c.offBy("a"), "ends: 35 less 20 from 60; roots would be 85")
	assert.Equal(t, 75.0, c.offBy("b"), "over both: the most exposed hair counts")
	assert.Equal(t, 95.0, c.offBy("free"), "hair of its own: 35 from 60")
	assert.Equal(t, 22*time.Minute, c.at(62).timed("a").Oldest)
	assert.Equal(t, 2*time.Minute, c.timed("a").Newest, "it opens by what is on now")
	c.rinse(68, 70, "a", "b", "free") // ends of a: 20 + 10

	c.at(80).do(again("Third", over("third", "a")))
	c.at(90).do(place("third", 1))
	assert.Equal(t, 95.0, c.offBy("third"), "35 less 30 from 90, by way of a zone that is itself the same hair as the first")
	c.rinse(94, 95, "third") // 35 of 35
	c.at(96).do(again("Fourth", over("fourth", "third")))
	err := c.at(100).try(session.Do(place("fourth", 1)))
	var reason *session.ErrNeedsReason
	require.ErrorAs(t, err, &reason)
	assert.Equal(t, "used-up:fourth:end", reason.Key)
	assert.ErrorContains(t, err, "has had 35m0s already, and its limit is 35m0s")
	c.do(session.WarningAcknowledged{Warning: reason.Key, Reason: "tried on a strand"}, place("fourth", 1))
	assert.Equal(t, timing.Over, c.at(101).timed("fourth").Phase)
	assert.Equal(t, time.Minute, c.timed("fourth").Over)
}

func TestZonesOnTheSameHairAtOnceCountOnce(t *testing.T) {
	c := lightening(t)
	c.at(0).do(place("z1", 1))
	c.at(5).do(again("Over it", over("a", "z1")))
	c.at(10).do(place("a", 1))
	assert.Equal(t, 35.0, c.offBy("a"), "10 minutes before, then its own")
	assert.Equal(t, 35.0, c.offBy("z1"))
	c.rinse(18, 20, "z1")
	c.at(22)
	assert.Equal(t, 22*time.Minute, c.timed("a").Oldest, "not 32: the two overlap from 10 to 20")
}

func TestColourDoesNotAddToLightening(t *testing.T) {
	c := lightening(t)
	veil := session.PlanBand{Band: session.End, Product: "Veil", Kind: formula.Demi, Strength: 3, Contact: formula.OffScalp, Condition: formula.Lightened}
	c.at(0).do(place("z1", 4))
	c.rinse(28, 30, "z1")
	c.at(40).do(session.PlanSet{Name: "Tone", Action: formula.Colour, Zones: []session.PlanZone{
		{ID: "tone", Name: "All", Pieces: 1, Bands: []session.PlanBand{veil}, SameHairAs: []string{"z1"}},
		{ID: "more", Name: "More", Pieces: 1, Bands: []session.PlanBand{veil}, SameHairAs: []string{"tone"}},
	}}, row(veil, 5, 20), bowl(veil, 40, 40), place("tone", 1))
	assert.Equal(t, 60.0, c.offBy("tone"))
	c.rinse(50, 52, "tone")
	c.at(55).do(place("more", 1))
	assert.Equal(t, 63.0, c.offBy("more"), "a toner's minutes add up with a toner's: 20 less 12")
}

func TestFreshProductNeverMovesTheLimit(t *testing.T) {
	c := lightening(t)
	c.at(0).do(place("z1", 4))
	c.at(25).do(session.CoatRefreshed{Zone: "z1"})
	assert.Equal(t, 35.0, c.offBy("z1"))
	coat := c.state().Zone("z1").Coats[0]
	assert.Equal(t, time.Minute, c.state().CoatTiming(coat).ProductAge(c.at(26).now))
	assert.Equal(t, 26*time.Minute, c.timed("z1").Newest)

	err := c.at(35).try(session.Do(session.CoatRefreshed{Zone: "z1"}))
	assert.ErrorContains(t, err, "acknowledge used-up:z1:end with a reason first")
	require.NoError(t, c.try(session.Do(session.CoatRefreshed{Zone: "z1", Coats: coats(session.Root, "b1")})), "the roots have ten minutes left")
}

func TestRefreshingWithAnotherStrengthTakesTheTightestWindow(t *testing.T) {
	c := lightening(t)
	c.at(0).do(place("z1", 4))
	// The plan for the ends becomes 30 vol, whose limit on such hair is 15.
	strong := end20
	strong.Strength = 9
	c.at(10).do(session.PlanChanged{Change: session.ChangeBands, Zone: "z1", Bands: []session.PlanBand{root30, strong}})
	assert.Equal(t, 35.0, c.offBy("z1"), "nothing stronger is on yet")
	var none *session.ErrNoWindow
	require.ErrorAs(t, c.try(session.Do(session.CoatRefreshed{Zone: "z1", Coats: coats(session.End, "b1")})), &none)
	assert.Equal(t, formula.Percent(9), none.Query.Strength)
	assert.Contains(t, none.Error(), "type the minutes from the product's instructions")
	c.do(row(strong, 5, 15))
	assert.Equal(t, 35.0, c.offBy("z1"), "a row for a stronger one leaves the weaker one alone")
	c.do(session.CoatRefreshed{Zone: "z1", Coats: coats(session.End, "b1")})
	assert.Equal(t, 15.0, c.offBy("z1"), "counted from first contact, not from the refreshing")
}

func TestABandLeftForLaterHasAClockOfItsOwn(t *testing.T) {
	c := newChair(t)
	later := root30
	later.Later = true
	c.do(session.ServiceOpened{Service: "s1", Client: "J"}, session.ConsultationNoted{},
		session.PlanSet{Name: "First time", Action: formula.Lighten, Zones: []session.PlanZone{{Name: "Crown", Pieces: 2, Bands: []session.PlanBand{later, end20}}}},
		row(root30, 10, 40), row(end20, 15, 35), bowl(end20, 20, 40))
	c.do(answered()...)
	c.do(place("z1", 2))
	c.at(18).do(bowl(root30, 20, 40), session.CoatApplied{Zone: "z1", Coats: []session.CoatOn{{Band: session.Root}}})
	assert.Equal(t, 35.0, c.offBy("z1"), "the ends, from 0")
	assert.Equal(t, timing.Working, c.at(26).timed("z1").Phase, "the roots have had 8 of 10 minutes")
	assert.Equal(t, []time.Duration{26 * time.Minute, 8 * time.Minute}, []time.Duration{c.timed("z1").Oldest, c.timed("z1").Newest})
	assert.Equal(t, timing.Closing, c.at(28).timed("z1").Phase, "open by the roots, and the ends are near their limit")

	c.do(session.BowlMixed{Bowl: "w", Product: "Chalk", Family: formula.PowderLightener, Mix: bowl(end20, 20, 40).Mix})
	err := c.try(session.Do(session.CoatApplied{Zone: "z1", Coats: coats(session.Root, "w")}))
	assert.ErrorContains(t, err, "refresh it instead", "another strength over a coat would start a clock anew on the same hair")
}

func TestHeatTightensAndNeedsAWindow(t *testing.T) {
	c := lightening(t)
	warm := func(b session.PlanBand, limit float64) session.WindowConfirmed {
		w := row(b, 5, limit)
		w.Row.Heat = formula.WithHeat
		return w
	}
	c.at(0).do(place("z1", 4))
	var none *session.ErrNoWindow
	require.ErrorAs(t, c.at(10).try(session.Do(session.HeatOn{Zones: []string{"z1"}})), &none)
	assert.True(t, none.Query.Heat)
	assert.Contains(t, none.Error(), "under heat")
	c.do(warm(root30, 25), warm(end20, 22))
	assert.Equal(t, 35.0, c.offBy("z1"), "no heat yet")
	c.do(heatMeant("z1"), session.HeatOn{Zones: []string{"z1"}})
	assert.True(t, c.zone("z1").Heated)
	assert.Equal(t, 22.0, c.offBy("z1"))
	assert.ErrorContains(t, c.try(session.Do(session.HeatOn{Zones: []string{"z1"}})), "heat is on Nape already")
	c.at(12).do(session.HeatOff{Zones: []string{"z1"}})
	assert.Equal(t, 22.0, c.offBy("z1"), "what heat has done is not undone when it goes off")

	c.do(place("z2", 6))
	c.at(40)
	c.do(heatMeant("z2"))
	err := c.try(session.Do(session.HeatOn{Zones: []string{"z2"}}))
	assert.ErrorContains(t, err, "under heat Crown would be 3m0s over its limit at once")
	assert.ErrorContains(t, err, "acknowledge heat-over:z2 with a reason")
	c.do(session.WarningAcknowledged{Warning: "heat-over:z2", Reason: "the client is leaving"}, session.HeatOn{Zones: []string{"z2"}})
	assert.Equal(t, timing.Over, c.at(40.1).timed("z2").Phase)
}

func TestHeatIsOnBeforeThePieces(t *testing.T) {
	c := lightening(t)
	c.do(session.HeatOn{Zones: []string{"z1"}})
	var none *session.ErrNoWindow
	require.ErrorAs(t, c.try(session.Do(place("z1", 1))), &none)
	assert.True(t, none.Query.Heat)
	c.at(5).do(session.HeatOff{Zones: []string{"z1"}})
	c.at(6)
	require.ErrorAs(t, c.try(session.DoAt(c.now.Add(-4*time.Minute), place("z1", 1))), &none,
		"heat was on at the time that it is logged for")
	c.do(place("z1", 1))
	assert.Equal(t, 41.0, c.offBy("z1"))
}

func TestHeatOnAZoneIsHeatOnItsHair(t *testing.T) {
	c := ready(t) // under heat the limit is 25
	c.at(0).do(place("z1", 4), place("z2", 1))
	c.do(again("Over it", over("a", "z1")), place("a", 2))
	c.at(5).do(heatMeant("a"), session.HeatOn{Zones: []string{"a"}})
	assert.Equal(t, 25.0, c.offBy("a"))
	assert.Equal(t, 25.0, c.offBy("z1"), "the same hair, so heat works on it too")
	assert.Equal(t, 35.0, c.offBy("z2"))
}

func TestBowlRunsOutMidZone(t *testing.T) {
	c := lightening(t)
	c.at(0).do(place("z1", 2), session.BowlEmptied{Bowl: "b1"})
	assert.Len(t, c.board().Bowls, 1)
	var none *session.ErrNoBowl
	require.ErrorAs(t, c.at(1).try(session.Do(place("z1", 1))), &none)
	c.at(6).do(bowl(root30, 30, 60), place("z1", 2))
	z := c.state().Zone("z1")
	require.Len(t, z.Coats, 2, "root and end, whatever the bowl")
	assert.Equal(t, []string{"b1", "b3"}, z.Coats[0].Bowls)
	assert.Equal(t, 35.0, c.offBy("z1"))
	c.at(8)
	require.NoError(t, c.try(session.DoAt(c.now.Add(-8*time.Minute), session.PiecePlaced{Zone: "z2", Coats: coats(session.Root, "b1")})),
		"the old bowl still held product at that time")
}

func TestBlendedBowl(t *testing.T) {
	c := lightening(t)
	blend := root30
	blend.Strength = 8 // 1 part of 12 % and 2 of 6 %
	c.do(session.PlanChanged{Change: session.ChangeBands, Zone: "z1", Bands: []session.PlanBand{blend}},
		session.BowlMixed{Bowl: "mix", Product: "Chalk", Family: formula.PowderLightener, Mix: formula.Mix{
			Products:   []formula.ProductPart{{Product: "Chalk", Grams: 30}},
			Developers: []formula.DeveloperPart{{Strength: 12, Grams: 20}, {Strength: 6, Grams: 40}},
		}},
		place("z1", 1))
	assert.InDelta(t, 8, float64(c.state().Bowl("mix").Strength), 1e-9)
	assert.Equal(t, []string{"mix"}, c.state().Zone("z1").Coats[0].Bowls)
	assert.Equal(t, 45.0, c.offBy("z1"), "the row of 30 vol, the next stronger that is known")
	twenty := root30
	twenty.Strength = 6
	c.do(row(twenty, 20, 60))
	assert.Equal(t, 45.0, c.offBy("z1"), "the row of 20 vol is too weak for it")
}

func TestStaleBowl(t *testing.T) {
	c := lightening(t) // mixed at 0, an hour of working life
	key := func() (keys []string) {
		for _, w := range c.board().Warnings {
			keys = append(keys, w.Key)
		}
		return keys
	}
	assert.Empty(t, c.at(50).board().Warnings)
	c.at(55)
	assert.ElementsMatch(t, []string{"stale-soon:b1", "stale-soon:b2"}, key())
	c.at(61)
	assert.ElementsMatch(t, []string{"stale:b1", "stale:b2"}, key())
	assert.True(t, c.board().Bowls[0].Stale)
	c.do(session.BowlEmptied{Bowl: "b1"})
	assert.Equal(t, []string{"stale:b2"}, key())
}

func TestPausesAndHelpersDoNotTouchChemistry(t *testing.T) {
	c := lightening(t)
	c.at(0).do(place("z1", 4))
	c.at(5).do(session.PauseBegan{Reason: "fire alarm"}, session.HelperJoined{Name: "Ines"})
	assert.True(t, c.state().Paused())
	assert.Len(t, c.state().Helping(), 1)
	c.at(25).do(session.PauseEnded{}, session.HelperLeft{Name: "Ines"})
	assert.Empty(t, c.state().Helping())
	assert.Equal(t, 25*time.Minute, c.timed("z1").Oldest)
	assert.Equal(t, 35.0, c.offBy("z1"))
	c.do(session.HelperJoined{Name: "Ines"})
	assert.Len(t, c.state().Helping(), 1, "may come back")
}

func TestPlanCorrectedToWorseHairTightensWhatIsOn(t *testing.T) {
	c := lightening(t)
	c.at(0).do(place("z1", 2))
	worse := end20
	worse.Condition = formula.Sensitive
	change := session.PlanChanged{Change: session.ChangeBands, Zone: "z1", Bands: []session.PlanBand{root30, worse}}
	var none *session.ErrNoWindow
	require.True(t, errors.As(c.at(5).try(session.Do(change)), &none), "no row is known for such hair")
	c.do(row(worse, 5, 12), change)
	assert.Equal(t, 12.0, c.offBy("z1"), "the same hair is now known to be worse")
	c.at(6).do(place("z1", 2))
	assert.Equal(t, 12.0, c.offBy("z1"))
	c.do(session.PlanChanged{Change: session.ChangeBands, Zone: "z1", Bands: []session.PlanBand{root30, end20}})
	assert.Equal(t, 12.0, c.offBy("z1"), "what is on is not let off again")
}

func TestRefreshingHairThatIsNowKnownToBeWorse(t *testing.T) {
	c := lightening(t)
	c.at(0).do(place("z1", 4))
	strong, worse, both := end20, end20, end20
	strong.Strength, worse.Condition = 9, formula.Sensitive
	both.Strength, both.Condition = 9, formula.Sensitive
	c.do(row(worse, 5, 30), row(strong, 5, 28), row(both, 5, 12))
	c.do(session.PlanChanged{Change: session.ChangeBands, Zone: "z1", Bands: []session.PlanBand{root30, both}})
	assert.Equal(t, 30.0, c.offBy("z1"), "20 vol on sensitive hair")
	c.at(5).do(session.CoatRefreshed{Zone: "z1", Coats: coats(session.End, "b1")})
	assert.Equal(t, 12.0, c.offBy("z1"), "30 vol on sensitive hair")
}

func TestAWiderRowDoesNotLengthenALimitInSilence(t *testing.T) {
	c := newChair(t)
	careful := row(root30, 10, 40)
	careful.Row.Product = ""
	careful.Basis = session.BasisStarter
	c.do(session.ServiceOpened{Service: "s1", Client: "J"}, session.ConsultationNoted{},
		again("R", session.PlanZone{Name: "Nape", Pieces: 2, Bands: []session.PlanBand{root30}}), careful, bowl(root30, 20, 40))
	c.do(answered()...)
	c.do(place("z1", 2))
	assert.Equal(t, 40.0, c.offBy("z1"))
	own := row(root30, 10, 55) // of the product itself, so it would win
	assert.ErrorContains(t, c.at(5).try(session.Do(own)), "55m0s instead of 40m0s: if it has to be logged all the same, acknowledge longer-limit:chalk:30 vol")
	c.do(session.WarningAcknowledged{Warning: "longer-limit:chalk:30 vol", Reason: "read it off the tub"}, own)
	assert.Equal(t, 55.0, c.offBy("z1"))
	c.do(row(root30, 10, 30))
	assert.Equal(t, 30.0, c.offBy("z1"), "shorter needs no reason")
}
