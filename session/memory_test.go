package session_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"rinseby/session"
	"rinseby/session/formula"
	"rinseby/session/safety"
)

// growth is 30 vol on the regrowth, 50 minutes at most.
var growth = session.PlanBand{Band: session.Root, Product: "Chalk", Kind: formula.PowderLightener, Strength: 9, Contact: formula.OffScalp, Condition: formula.Natural}

// called plans a round of one band on zones of these names, with ids of their
// own.
func called(round string, names ...string) session.PlanSet {
	p := session.PlanSet{Round: round, Name: round, Action: formula.Lighten}
	for i, n := range names {
		p.Zones = append(p.Zones, session.PlanZone{ID: fmt.Sprintf("%s-%d", round, i), Name: n, Pieces: 4, Bands: []session.PlanBand{growth}})
	}
	return p
}

// growing is a service with a round of a nape and a crown, ready to begin.
func growing(t testing.TB, had ...session.HairHad) *chair {
	c := newChair(t)
	c.do(session.ServiceOpened{Service: "s1", Client: "Tove A.", Had: had}, session.ConsultationNoted{NaturalDepth: 5},
		called("one", "Nape", "Crown"), row(growth, 10, 50), bowl(growth, 40, 80))
	c.do(answered()...)
	return c
}

func TestHairOfOneNameRemembersTheRoundBefore(t *testing.T) {
	for _, name := range []string{"Nape", " nape ", "NAPE"} {
		c := growing(t)
		c.at(0).do(place("one-0", 4), place("one-1", 4))
		c.rinse(40, 45, "one-0", "one-1")
		c.at(60).do(called("two", name, "Left  side"), bowl(growth, 40, 80), place("two-0", 1), place("two-1", 1))
		assert.Equal(t, 65.0, c.offBy("two-0"), "%q: 50 less 45 from 60", name)
		assert.Equal(t, 110.0, c.offBy("two-1"), "hair of its own")
		c.at(70)
		assert.Equal(t, 5*time.Minute, c.timed("two-0").Over, "45 and 10 are 55 of 50")
	}
}

func TestHairThatHadItsLimitTakesNoMoreUnderItsName(t *testing.T) {
	c := growing(t)
	c.at(0).do(place("one-0", 4))
	c.rinse(46, 50, "one-0")
	c.at(60).do(called("two", "nape"), bowl(growth, 40, 80))
	var reason *session.ErrNeedsReason
	require.ErrorAs(t, c.try(session.Do(place("two-0", 1))), &reason)
	assert.Equal(t, "used-up:two-0:root", reason.Key)
	assert.Equal(t, "the root of nape has had 50m0s already, and its limit is 50m0s", reason.Why)
}

func TestTheStylistSaysThatItIsOtherHair(t *testing.T) {
	c := growing(t)
	c.at(0).do(place("one-0", 4))
	c.rinse(46, 50, "one-0")
	other := called("two", "Nape", "Nape")
	other.Zones[0].OtherHair = true
	c.at(60).do(other, bowl(growth, 40, 80), place("two-0", 1))
	assert.Equal(t, 110.0, c.offBy("two-0"))
	require.Error(t, c.try(session.Do(place("two-1", 1))), "of this one it was not said")
	c.do(session.PlanChanged{Change: session.ChangeHair, Zone: "two-1", OtherHair: true}, place("two-1", 1))
	assert.Equal(t, 110.0, c.offBy("two-1"))
}

func TestOtherHairOnceProductIsOnTakesAReason(t *testing.T) {
	c := growing(t)
	c.at(0).do(place("one-0", 4))
	c.rinse(26, 30, "one-0")
	c.at(60).do(called("two", "Nape"), bowl(growth, 40, 80), place("two-0", 1))
	change := session.PlanChanged{Change: session.ChangeHair, Zone: "two-0", OtherHair: true}
	var reason *session.ErrNeedsReason
	require.ErrorAs(t, c.try(session.Do(change)), &reason)
	assert.Equal(t, "other-hair:two-0", reason.Key)
	assert.Equal(t, 80.0, c.offBy("two-0"))
	c.do(session.WarningAcknowledged{Warning: reason.Key, Reason: "it is the left side"}, change)
	assert.Equal(t, 110.0, c.offBy("two-0"))
}

func TestHairIsRememberedThroughChangesOfThePlan(t *testing.T) {
	again := func(c *chair, name string) float64 {
		c.t.Helper()
		c.at(100).do(called("more", name), bowl(growth, 40, 80), place("more-0", 1))
		return c.offBy("more-0")
	}
	begun := func(t *testing.T) *chair {
		c := growing(t)
		c.at(0).do(place("one-0", 4))
		return c
	}
	change := func(how session.Change, to string) session.PlanChanged {
		return session.PlanChanged{Change: how, Zone: "one-0", Name: to, Keep: 2, NewZone: "rest"}
	}
	t.Run("dropped after it was rinsed", func(t *testing.T) {
		c := begun(t)
		c.rinse(25, 30, "one-0")
		c.do(change(session.ChangeDrop, ""))
		assert.Equal(t, 120.0, again(c, "Nape"))
	})
	t.Run("dropped and added to the same round", func(t *testing.T) {
		c := begun(t)
		c.rinse(25, 30, "one-0")
		c.do(change(session.ChangeDrop, ""))
		c.at(100).do(session.PlanChanged{Change: session.ChangeAdd, Round: "one", Add: &session.PlanZone{ID: "x", Name: "nape", Pieces: 2, Bands: []session.PlanBand{growth}}},
			bowl(growth, 40, 80), place("x", 1))
		assert.Equal(t, 120.0, c.offBy("x"))
	})
	t.Run("two of one name in one round are two pieces", func(t *testing.T) {
		c := begun(t)
		c.at(10).do(session.PlanChanged{Change: session.ChangeAdd, Round: "one", Add: &session.PlanZone{ID: "x", Name: "Nape", Pieces: 2, Bands: []session.PlanBand{growth}}}, place("x", 1))
		assert.Equal(t, 60.0, c.offBy("x"))
		c.rinse(25, 30, "one-0")
		assert.Equal(t, 60.0, c.offBy("x"), "and stay so")
	})
	t.Run("called otherwise since", func(t *testing.T) {
		c := begun(t)
		c.do(change(session.ChangeRename, "Low back"))
		c.rinse(25, 30, "one-0")
		assert.Equal(t, 120.0, again(c, "Nape"))
		c = begun(t)
		c.do(change(session.ChangeRename, "Low back"))
		c.rinse(25, 30, "one-0")
		assert.Equal(t, 120.0, again(c, "low back"))
	})
	t.Run("planned under another name, and called so before the first touch", func(t *testing.T) {
		c := growing(t)
		c.do(change(session.ChangeRename, "Low back"), place("one-0", 4))
		c.rinse(25, 30, "one-0")
		assert.Equal(t, 150.0, again(c, "Nape"))
	})
	t.Run("split: the longest of the parts", func(t *testing.T) {
		c := begun(t)
		c.do(change(session.ChangeSplit, "Nape, rest"))
		c.rinse(15, 20, "one-0")
		c.rinse(35, 40, "rest")
		assert.Equal(t, 110.0, again(c, "Nape"), "50 less 40, not less 60")
	})
	t.Run("another list in the middle of the round", func(t *testing.T) {
		c := begun(t)
		c.rinse(25, 30, "one-0")
		c.at(90).do(called("two", "Nape", "Top"))
		assert.Equal(t, 120.0, again(c, "Nape"), "by way of a zone that never had any")
	})
}

func TestColourUnderOneNameKeepsItsRule(t *testing.T) {
	veil := session.PlanBand{Band: session.Root, Product: "Veil", Kind: formula.Demi, Strength: 3, Contact: formula.OffScalp, Condition: formula.Lightened}
	tone := func(id string) session.PlanSet {
		return session.PlanSet{Name: "Tone", Action: formula.Colour, Zones: []session.PlanZone{{ID: id, Name: "Nape", Pieces: 1, Bands: []session.PlanBand{veil}}}}
	}
	c := growing(t)
	c.at(0).do(place("one-0", 4))
	c.rinse(25, 30, "one-0")
	c.at(40).do(tone("t1"), row(veil, 5, 20), bowl(veil, 40, 40), place("t1", 1))
	c.rinse(52, 55, "t1")
	c.at(60).do(tone("t2"), place("t2", 1))
	assert.Equal(t, 80.0, c.offBy("t2"), "nothing said that it is the same hair")
}

func TestStretchedHairTakesNoMoreUnderItsName(t *testing.T) {
	c := growing(t)
	c.at(0).do(place("one-0", 4))
	c.at(20).do(session.ZoneChecked{Zone: "one-0", Feel: session.FeelMushy})
	c.rinse(21, 25, "one-0")
	c.at(60).do(called("two", "nape"), bowl(growth, 40, 80))
	assert.ErrorContains(t, c.try(session.Do(place("two-0", 1))), "the hair of Nape stays stretched, it can take no more")
}

// had30 is 45 minutes of 30 vol on the roots of the nape, in another service.
func had30(service, zone string, minutes float64) session.HairHad {
	return session.HairHad{Service: service, Zone: zone, Band: session.Root, Action: formula.Lighten, Strength: 9,
		From: time.Date(2026, 3, 2, 7, 40, 0, 0, time.UTC), Seconds: minutes * 60}
}

func TestWhatTheHairHadInAnotherServiceCounts(t *testing.T) {
	c := growing(t, had30("early", "nape", 30))
	c.at(0).do(place("one-0", 4), place("one-1", 4))
	assert.Equal(t, 20.0, c.offBy("one-0"))
	assert.Equal(t, 50.0, c.offBy("one-1"))
	assert.Equal(t, []session.Had{{Band: session.Root, Strength: 9, Lasted: 30 * time.Minute, From: c.zero.Add(-80 * time.Minute)}},
		c.state().HadBefore(c.state().Zone("one-0"), c.now))

	assert.Equal(t, 30.0, growingWith(t, had30("early", "Nape", 10), had30("early2", "Nape", 10)).offBy("one-0"), "services add up")
	assert.Equal(t, 50.0, growingWith(t, had30("early", "Neck", 10)).offBy("one-0"), "other hair")
	mid := had30("early", "Nape", 10)
	mid.Band = session.Mid
	assert.Equal(t, 50.0, growingWith(t, mid).offBy("one-0"), "another band")
	toned := had30("early", "Nape", 10)
	toned.Action = formula.Colour
	assert.Equal(t, 50.0, growingWith(t, toned).offBy("one-0"), "colour")

	c = growing(t, had30("early", "Nape", 50))
	require.ErrorContains(t, c.try(session.Do(place("one-0", 1))), "has had 50m0s already")
	c.do(session.PlanChanged{Change: session.ChangeHair, Zone: "one-0", OtherHair: true}, place("one-0", 1))
	assert.Equal(t, 50.0, c.offBy("one-0"))
}

func growingWith(t *testing.T, had ...session.HairHad) *chair {
	c := growing(t, had...)
	c.at(0).do(place("one-0", 1))
	return c
}

func TestWhatTheHairHadMustMakeSense(t *testing.T) {
	for name, bad := range map[string]func(*session.HairHad){
		"another day":       func(h *session.HairHad) { h.From = h.From.AddDate(0, 0, -3) },
		"to come":           func(h *session.HairHad) { h.From = h.From.AddDate(0, 0, 1) },
		"no band":           func(h *session.HairHad) { h.Band = "tip" },
		"no action":         func(h *session.HairHad) { h.Action = "" },
		"no zone":           func(h *session.HairHad) { h.Zone = " " },
		"no service":        func(h *session.HairHad) { h.Service = "" },
		"less than nothing": func(h *session.HairHad) { h.Seconds = -1 },
		"strength":          func(h *session.HairHad) { h.Strength = 200 },
	} {
		h := had30("early", "Nape", 10)
		bad(&h)
		assert.Error(t, newChair(t).try(session.Do(session.ServiceOpened{Service: "s1", Client: "J", Had: []session.HairHad{h}})), name)
	}
}

func TestAServiceTellsWhatTheHairHad(t *testing.T) {
	c := growing(t)
	c.at(0).do(place("one-0", 4), place("one-1", 4))
	c.rinse(25, 30, "one-0")
	c.at(40).do(called("two", "nape"), bowl(growth, 40, 80), place("two-0", 4))
	c.at(50)
	told := map[string]time.Duration{}
	for _, h := range c.state().HadToday(c.now) {
		assert.Equal(t, "s1", h.Service)
		told[strings.ToLower(h.Zone)] = h.Lasted()
	}
	assert.Equal(t, map[string]time.Duration{"nape": 40 * time.Minute, "crown": 50 * time.Minute}, told, "30 and 10; still on for 50")
}

// TestNamesAddUpAsEventsTell holds, over random services of rounds on zones of
// few names, what the program counts against a sum over the events: of each
// name, the time in which lightener was on, as a plain list of spans.
func TestNamesAddUpAsEventsTell(t *testing.T) {
	summed := 0
	rapid.Check(t, func(rt *rapid.T) {
		names := []string{"Nape", " nape", "CROWN", "Crown", "Fringe"}
		var had []session.HairHad
		if rapid.Bool().Draw(rt, "earlier") {
			had = append(had, had30("early", rapid.SampledFrom(names).Draw(rt, "where"), float64(rapid.IntRange(1, 20).Draw(rt, "had"))))
		}
		c := growing(t, had...)
		at := 0.0
		for r := range rapid.IntRange(1, 4).Draw(rt, "rounds") {
			id := fmt.Sprintf("r%d", r+2)
			picked := rapid.SliceOfNDistinct(rapid.SampledFrom(names), 1, 3, session.LooseName).Draw(rt, "zones")
			at += float64(rapid.IntRange(1, 10).Draw(rt, "gap"))
			c.at(at).do(called(id, picked...), bowl(growth, 40, 80))
			var on []string
			for i := range picked {
				at += float64(rapid.IntRange(0, 4).Draw(rt, "pause"))
				if zone := fmt.Sprintf("%s-%d", id, i); c.at(at).try(session.Do(place(zone, 2))) == nil {
					on = append(on, zone)
				}
			}
			if len(on) > 0 {
				at += float64(rapid.IntRange(1, 15).Draw(rt, "works"))
				c.at(at).do(session.RinseBegan{Zones: on})
				at += float64(rapid.IntRange(0, 3).Draw(rt, "rinse"))
				c.at(at).do(session.RinseEnded{})
			}
		}
		now := c.state().Line.Now(c.reading())
		for name, most := range eventSum(c.log.Events()) {
			counted := time.Duration(0)
			for _, z := range c.state().Zones {
				if session.LooseName(z.Name) != name {
					continue
				}
				for _, co := range z.Coats {
					ct := c.state().CoatTiming(co)
					counted = max(counted, ct.Oldest(now))
					require.LessOrEqual(rt, ct.Oldest(now), most, "%s: more than the events tell", z.ID)
				}
			}
			if counted > 0 {
				summed++
				require.Equal(rt, most, counted, "%s: the last coat counts all of it", name)
			}
		}
	})
	require.NotZero(t, summed)
}

// eventSum is, by name, how long lightener was on in all, as the events tell:
// rounds never overlap here, and of each zone the first piece counts.
func eventSum(events []session.Event) map[string]time.Duration {
	name, since, sum := map[string]string{}, map[string]time.Time{}, map[string]time.Duration{}
	var basin []string
	for _, e := range events {
		switch d := e.Data.(type) {
		case session.ServiceOpened:
			for _, h := range d.Had {
				sum[strings.ToLower(strings.TrimSpace(h.Zone))] += time.Duration(h.Seconds) * time.Second
			}
		case session.PlanSet:
			for _, z := range d.Zones {
				name[z.ID] = strings.ToLower(strings.TrimSpace(z.Name))
			}
		case session.PiecePlaced:
			if since[d.Zone].IsZero() {
				since[d.Zone] = e.When
			}
		case session.RinseBegan:
			basin = d.Zones
		case session.RinseEnded:
			for _, z := range basin {
				sum[name[z]] += e.When.Sub(since[z])
			}
		}
	}
	return sum
}

func TestAnswersThatDisagreeAreAQuestion(t *testing.T) {
	strong := growth
	strong.Band = session.End
	open := func(t *testing.T) *chair {
		c := newChair(t)
		c.do(session.ServiceOpened{Service: "s1", Client: "Tove A."},
			session.ConsultationNoted{NaturalDepth: 5, Conditions: map[session.Band]formula.Condition{session.End: formula.Lightened}},
			session.PlanSet{Name: "One", Action: formula.Lighten, Zones: []session.PlanZone{{ID: "z", Name: "Nape", Pieces: 4, Bands: []session.PlanBand{strong}}}})
		c.do(answered()...)
		w := row(strong, 5, 20)
		w.Row.Condition = formula.Lightened
		c.do(w)
		return c
	}
	c := open(t)
	b := c.board()
	assert.Equal(t, session.DoPlan, b.Next.Verb, "over the cap comes first: 30 vol on lightened hair")
	weak := strong
	weak.Strength = 6
	wk := row(weak, 5, 20)
	wk.Row.Condition = formula.Lightened
	c.do(session.PlanChanged{Change: session.ChangeBands, Zone: "z", Bands: []session.PlanBand{weak}}, wk)
	b = c.board()
	assert.Equal(t, []any{session.DoSafety, "Ask: was the hair lightened before?"}, []any{b.Next.Verb, b.Next.Text})
	require.Len(t, b.Warnings, 1)
	assert.Equal(t, []any{"doubt:history", session.Line}, []any{b.Warnings[0].Key, b.Warnings[0].Level})
	assert.Contains(t, b.Warnings[0].Text, "the consultation says lightened (end), the safety answers don't: change one (v or y)")

	answers := map[string]session.Data{
		"the safety answer": answer(safety.History, "lightened before", ""),
		"the consultation":  session.ConsultationNoted{NaturalDepth: 5},
	}
	for name, change := range answers {
		c := open(t)
		c.do(session.PlanChanged{Change: session.ChangeBands, Zone: "z", Bands: []session.PlanBand{weak}}, wk, change)
		assert.NotEqual(t, session.DoSafety, c.board().Next.Verb, name)
		assert.Empty(t, c.board().Warnings, name)
	}

	c.do(bowl(weak, 20, 40), place("z", 1))
	assert.Empty(t, c.board().Warnings, "nothing is asked once product is on")
	c.do(row(strong, 5, 20))
	var reason *session.ErrNeedsReason
	require.ErrorAs(t, c.try(session.Do(session.PlanChanged{Change: session.ChangeBands, Zone: "z", Bands: []session.PlanBand{strong}}),
		session.Do(bowl(strong, 20, 40)), session.Do(place("z", 1))), &reason, "the stricter counts all the same")
	assert.Equal(t, "safety-cap:history:6:9", reason.Key)
}

func TestHairThatStaysStretchedStaysSoForTheDay(t *testing.T) {
	c := growing(t)
	c.at(0).do(place("one-0", 1), place("one-1", 1))
	c.at(5).do(session.ZoneChecked{Zone: "one-0", Feel: session.FeelMushy})
	c.rinse(6, 9, "one-0", "one-1")
	had := c.state().HadToday(c.now)
	require.Len(t, had, 2)
	assert.True(t, had[0].Stretched)
	assert.False(t, had[1].Stretched, "the crown is sound")
	for i := range had {
		had[i].From = had[i].From.Add(-2 * time.Hour)
	}

	tone := session.PlanBand{Band: session.Root, Product: "Veil", Kind: formula.Demi, Strength: 3, Contact: formula.OnScalp, Condition: formula.Lightened}
	next := growing(t, had...)
	require.ErrorContains(t, next.try(session.Do(place("one-0", 1))), "the hair of Nape stays stretched")
	next.do(session.PlanChanged{Change: session.ChangeBands, Zone: "one-0", Bands: []session.PlanBand{tone}}, row(tone, 5, 20), bowl(tone, 40, 80))
	require.ErrorContains(t, next.try(session.Do(place("one-0", 1))), "the hair of Nape stays stretched", "no toner either")
	next.do(place("one-1", 1))

	coloured := session.HairHad{Service: "early", Zone: "nape", Band: session.Root, Action: formula.Colour, From: c.zero.Add(-time.Hour), Stretched: true}
	require.ErrorContains(t, growing(t, coloured).try(session.Do(place("one-0", 1))), "the hair of Nape stays stretched")
}
