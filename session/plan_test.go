package session_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/session"
	"rinseby/timing"
)

func change(kind session.Change, zone string) session.PlanChanged {
	return session.PlanChanged{Change: kind, Zone: zone}
}

func split(zone string, keep int) session.PlanChanged {
	return session.PlanChanged{Change: session.ChangeSplit, Zone: zone, Keep: keep, Name: zone + " b", NewZone: zone + "b"}
}

// order lists the zones of the first round as they stand.
func (c *chair) order() (ids []string) {
	for _, z := range c.state().RoundZones(c.state().Rounds[0]) {
		ids = append(ids, z.ID)
	}
	return ids
}

func TestSplitOfAZoneWithBatchesOnIt(t *testing.T) {
	c := lightening(t)
	c.at(0).do(place("z2", 2))
	c.at(4).do(place("z2", 2))
	c.at(5).do(split("z2", 3))
	assert.Equal(t, []string{"z1", "z2", "z2b"}, c.order())
	a, b := c.zone("z2"), c.zone("z2b")
	assert.Equal(t, []int{3, 3, 1, 3}, []int{a.Done, a.Pieces, b.Done, b.Pieces})
	assert.Equal(t, 35.0, c.offBy("z2"))
	assert.Equal(t, 39.0, c.offBy("z2b"), "its oldest piece went in at 4")
	assert.Equal(t, time.Minute, c.timed("z2").Newest, "one piece of the batch at 4 stayed here")
	c.at(8).do(place("z2b", 2))
	c.rinse(20, 22, "z2")
	assert.Equal(t, timing.Rinsed, c.timed("z2").Phase)
	assert.Equal(t, timing.Working, c.timed("z2b").Phase, "one part comes off without the other")
	assert.Equal(t, 39.0, c.offBy("z2b"))
}

func TestSplitKeepsWhatIsOnTheWholeZone(t *testing.T) {
	c := lightening(t)
	later := end20
	later.Later = true
	c.do(session.PlanChanged{Change: session.ChangeBands, Zone: "z1", Bands: []session.PlanBand{root30, later}})
	c.at(0).do(place("z1", 4))
	c.at(10).do(session.CoatApplied{Zone: "z1", Coats: []session.CoatOn{{Band: session.End}}})
	c.at(12).do(session.CoatRefreshed{Zone: "z1", Coats: coats(session.Root, "b1")}, session.ZoneChecked{Zone: "z1", Depth: 7})
	c.at(13).do(split("z1", 1))
	for _, id := range []string{"z1", "z1b"} {
		z := c.state().Zone(id)
		require.Len(t, z.Coats, 2, id)
		assert.Len(t, z.Checks, 1, id)
		assert.Len(t, z.Coats[0].Refreshed, 1, id)
		assert.Equal(t, 45.0, c.offBy(id), "roots from 0, ends from 10")
	}
	c.do(split("z1b", 1))
	assert.Equal(t, 2, c.state().Zone("z1bb").Coats[1].Batches[0].Count)
	assert.Equal(t, 45.0, c.offBy("z1bb"), "split again")
}

func TestSplitWhileAtTheBasin(t *testing.T) {
	c := lightening(t)
	c.at(0).do(place("z1", 4))
	c.at(20).do(session.RinseBegan{Zones: []string{"z1"}}, split("z1", 2))
	c.at(22).do(session.RinseEnded{})
	assert.Equal(t, timing.Rinsed, c.timed("z1b").Phase)
	assert.Nil(t, c.state().OpenTrip())
}

func TestSplitHairStaysTheSameHair(t *testing.T) {
	c := lightening(t)
	c.at(0).do(place("z1", 4))
	c.rinse(18, 20, "z1")
	c.at(30).do(again("Second", over("a", "z1")))
	c.at(31).do(split("a", 1), split("z1", 2))
	c.do(place("a", 1), place("ab", 1))
	assert.Equal(t, 46.0, c.offBy("a"), "31 and 35 less 20")
	assert.Equal(t, 46.0, c.offBy("ab"))
	assert.Equal(t, []string{"z1", "z1b"}, c.state().Zone("a").SameHairAs)
}

func TestPlanChangesMidWay(t *testing.T) {
	c := lightening(t)
	c.at(0).do(place("z1", 1))
	c.do(session.PlanChanged{Change: session.ChangeAdd, Round: "r1", Before: "z2", Add: &session.PlanZone{Name: "Fringe", Pieces: 2, Bands: []session.PlanBand{root30}}},
		session.PlanChanged{Change: session.ChangeAdd, Round: "r1", Add: &session.PlanZone{Name: "Sides", Pieces: 2, Bands: []session.PlanBand{root30}}})
	assert.Equal(t, []string{"z1", "z3", "z2", "z4"}, c.order())
	c.do(session.PlanChanged{Change: session.ChangeOrder, Round: "r1", Order: []string{"z4", "z2", "z1", "z3"}})
	assert.Equal(t, []string{"z4", "z2", "z1", "z3"}, c.order())
	c.do(change(session.ChangeDrop, "z4"))
	assert.Equal(t, []string{"z2", "z1", "z3"}, c.order())
	assert.ErrorContains(t, c.try(session.Do(place("z4", 1))), "Sides was dropped from the plan")
	c.do(session.PlanChanged{Change: session.ChangeOrder, Round: "r1", Order: []string{"z1", "z2", "z3"}})
	assert.Equal(t, []string{"z1", "z2", "z3"}, c.order(), "a zone that was dropped need not be named")
	c.do(session.PlanChanged{Change: session.ChangeRename, Zone: "z1", Name: "Nape, low"})
	assert.Equal(t, "Nape, low", c.zone("z1").Name)
	c.do(session.PlanChanged{Change: session.ChangePieces, Zone: "z1", Pieces: 2}, place("z1", 1))
	assert.True(t, c.zone("z1").Full)
	c.do(session.PlanChanged{Change: session.ChangePieces, Zone: "z1", Pieces: 5})
	assert.False(t, c.zone("z1").Full)
	c.do(session.ZoneFinished{Zone: "z1"})
	assert.True(t, c.zone("z1").Full)
	c.do(place("z1", 4))
	assert.Equal(t, []int{6, 6}, []int{c.zone("z1").Done, c.zone("z1").Pieces}, "more than planned is no harm")
	assert.Equal(t, 35.0, c.offBy("z1"), "none of it moved the limit")

	c.rinse(20, 21, "z1")
	assert.ErrorContains(t, c.try(session.Do(session.PlanChanged{Change: session.ChangePieces, Zone: "z1", Pieces: 9})), "plan what is still to come as a zone of its own")
	c.do(change(session.ChangeDrop, "z1"))
	assert.ErrorContains(t, c.try(session.Do(again("x", over("n", "nowhere")))), "no such zone")
	c.do(again("Second", over("a", "z1")), place("a", 1))
	assert.Equal(t, 35.0, c.offBy("a"), "21 and 35 less 21: hair of a dropped zone has had its minutes all the same")
	set := again("Anew", over("b"))
	set.Round = "r1"
	assert.ErrorContains(t, c.try(session.Do(set)), "has begun", "or the minutes would be forgotten")
}

func TestPlanSetAnewKeepsItsPlaceAndItsHair(t *testing.T) {
	c := newChair(t)
	c.do(session.ServiceOpened{Service: "s1", Client: "J"}, session.ConsultationNoted{}, again("First", over("a")), again("Second", over("b", "a")))
	set := again("First, anew", over("a"), over("c"))
	set.Round = "r1"
	c.do(set)
	assert.Equal(t, []string{"First, anew", "Second"}, []string{c.state().Rounds[0].Name, c.state().Rounds[1].Name})
	gone := again("First", over("d"))
	gone.Round = "r1"
	assert.ErrorContains(t, c.try(session.Do(gone)), `b is said to be the same hair as "a", but there would be no such zone`)
	ring := again("First", over("a", "b"))
	ring.Round = "r1"
	assert.ErrorContains(t, c.try(session.Do(ring)), "same hair as itself")
}

// A plan may say that each zone is the same hair as all before it.
func TestManyLinksOfHairAreFollowedOnce(t *testing.T) {
	c := newChair(t)
	c.do(session.ServiceOpened{Service: "s1", Client: "J"})
	var zones []session.PlanZone
	var before []string
	for i := range session.MaxZones {
		z := over(string(rune('a'+i/26))+string(rune('a'+i%26)), before...)
		before = append(before, z.ID)
		zones = append(zones, z)
	}
	c.do(again("All", zones...), row(root30, 20, 45), row(end20, 15, 35), bowl(root30, 20, 40), bowl(end20, 20, 40))
	c.do(answered()...)
	c.do(place("aa", 1))
	c.at(10).do(place(before[len(before)-1], 1))
	assert.Equal(t, 35.0, c.offBy(before[len(before)-1]))
	assert.ErrorContains(t, c.try(session.Do(session.PlanChanged{Change: session.ChangeAdd, Round: "r1", Add: &session.PlanZone{Name: "x", Pieces: 1, Bands: []session.PlanBand{root30}}})), "60 zones already")
	assert.ErrorContains(t, c.try(session.Do(split("aa", 1))), "60 zones already")
}

func TestTripOfSeveralZonesEndsInParts(t *testing.T) {
	c := lightening(t)
	c.at(0).do(place("z1", 4), place("z2", 6))
	c.at(20).do(session.RinseBegan{Trip: "first", Zones: []string{"z1", "z2"}})
	assert.ErrorContains(t, c.try(session.Do(session.RinseBegan{Zones: []string{"z1"}})), "still under way: end it first")
	assert.ErrorContains(t, c.at(21).try(session.Do(place("z1", 1))), "at the basin")
	c.at(24).do(session.RinseEnded{Zones: []string{"z1"}})
	assert.Equal(t, timing.Rinsed, c.timed("z1").Phase)
	assert.Equal(t, 24*time.Minute, c.timed("z2").Oldest)
	assert.ErrorContains(t, c.try(session.Do(session.RinseEnded{Zones: []string{"z1"}})), "Nape is not being rinsed")
	assert.ErrorContains(t, c.try(session.DoAt(c.zero.Add(19*time.Minute), session.RinseEnded{})), "would end before it began")
	c.at(26).do(session.RinseEnded{})
	assert.Equal(t, 26*time.Minute, c.at(40).timed("z2").Oldest)
	assert.ErrorContains(t, c.try(session.Do(session.RinseEnded{Trip: "first"})), "has ended already")
	assert.ErrorContains(t, c.try(session.Do(place("z1", 1))), "add a zone that is the same hair")
	assert.ErrorContains(t, c.try(session.Do(session.RinseBegan{Trip: "first", Zones: []string{"z1"}})), `there is a trip "first" already`)
}

func TestAZoneRinsedBeforeItIsFullIsFinished(t *testing.T) {
	c := lightening(t)
	c.at(0).do(place("z1", 2))
	c.rinse(20, 22, "z1")
	assert.True(t, c.zone("z1").Full)
	c.do(session.PlanChanged{Change: session.ChangeDrop, Zone: "z2"}, session.ServiceClosed{Outcome: "as wished"})
	assert.False(t, c.state().Live())
	assert.Equal(t, "as wished", c.state().Outcome)
	assert.Equal(t, session.DoNothing, c.board().Next.Verb)
}

func TestNoHairIsForgottenWhenTheWholeHeadIsOneZone(t *testing.T) {
	c := newChair(t)
	b := root30
	c.do(session.ServiceOpened{Service: "s1", Client: "J"}, session.ConsultationNoted{},
		again("R", session.PlanZone{Name: "All", Pieces: 40, Bands: []session.PlanBand{b}}), row(b, 10, 45), bowl(b, 60, 90))
	c.do(answered()...)
	c.at(0).do(place("z1", 20))
	c.at(10).do(split("z1", 30))
	assert.Equal(t, timing.Waiting, c.timed("z1b").Phase, "no piece went there")
	assert.Equal(t, 45.0, c.offBy("z1"))
	c.do(session.PlanChanged{Change: session.ChangeSplit, Zone: "z1", Keep: 5, Name: "c", NewZone: "z1c"})
	assert.Equal(t, []int{5, 15}, []int{c.state().Zone("z1").Done(), c.state().Zone("z1c").Done()})
}
