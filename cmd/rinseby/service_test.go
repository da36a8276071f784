//go:build unix

package main

import (
	_ "embed"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/session"
	"rinseby/session/card"
	"rinseby/session/safety"
)

//go:embed testdata/three-zones.toml
var threeZones string

const minute = time.Minute

// visit is what the one who pressed the keys knows of a visit.
type visit struct {
	opened, consulted, bowlRoot, bowlEnd, bowlTone, checked moment
	first, last, off                                        map[string]moment // by zone
	drying, cut, style                                      [2]moment
	closed                                                  moment
}

// TestWholeServiceByKeys runs a service of two rounds by keys alone, most of
// it logged late, and kills the program thirteen times on the way.
func TestWholeServiceByKeys(t *testing.T) {
	t.Parallel()
	s := newSalon(t)
	s.owns("zones/three.toml", threeZones)
	c := &chair{salon: s, client: "Tove A."} // an invented client
	v := visit{first: map[string]moment{}, last: map[string]moment{}, off: map[string]moment{}}

	v.opened = c.sit("Three", 200*minute, "service.opened", "plan.set", "plan.set")
	c.kill()
	c.consultAndMix(&v)
	c.lighten(&v)
	c.rinseByStages(&v)
	c.tone(&v)
	c.finish(&v)
	assert.Equal(t, 13, c.kills)

	c.x.Keys("q")
	code, err := c.x.Wait()
	require.NoError(t, err)
	require.Zero(t, code)
	c.whole()
	require.Contains(t, c.logs()[0], "closed", "a closed service is put away")
	v.check(t, s.card(c.logs()[0]))
}

func (c *chair) consultAndMix(v *visit) {
	c.x.WaitFor("do: Consult and note it")
	c.earlier(195 * minute)
	c.x.Keys("space")
	c.x.WaitFor("Consultation")
	c.x.Type("6")
	v.consulted = c.log("consultation.noted", 195*minute, "ctrl+s", "Consultation noted")
	c.kill()
	c.answer()
	c.kill()

	v.bowlRoot = c.mix(150*minute, "Mix Chalk 30 vol", "right", "right")
	c.x.WaitFor("do: Set the limit of Chalk 30 vol")
	c.x.Keys("space")
	c.x.WaitFor("off by 45 min at the latest")
	c.x.Keys("down")
	c.log("window.confirmed", 0, "enter", "Off after 45 min")
	c.kill()

	v.bowlEnd = c.mix(149*minute, "Mix Chalk 20 vol")
	c.x.WaitFor("do: Set the limit of Chalk 20 vol")
	c.x.Keys("space")
	c.x.WaitFor("off by 35 min at the latest")
	c.x.Keys("down", "down", "enter")
	c.x.WaitFor("Must be off after")
	c.x.Type("50")
	c.x.Keys("enter")
	c.x.Type("12")
	c.log("window.confirmed", 0, "enter", "Off after 50 min")
}

// answer answers the safety questions as one does who may go on.
func (c *chair) answer() {
	c.t.Helper()
	c.x.WaitFor("do: Ask the safety questions")
	c.x.Keys("space")
	c.x.WaitFor("Is the client 16 or older?")
	for range 3 {
		c.x.Keys("right", "enter")
	}
	c.x.WaitFor("Skin test for all products")
	c.x.Keys("right", "enter", "right", "enter", "right", "enter")
	c.x.WaitFor("Day of the test")
	c.x.Type("2 days ago")
	c.x.WaitFor("tested 2 days before")
	c.x.Keys("enter")
	c.x.WaitFor("Scalp, looked at today")
	c.x.Keys("right", "enter", "right", "enter", "right", "enter")
	c.x.WaitFor("Strand test")
	c.x.Keys("right", "enter", "right")
	c.x.WaitFor("All together: go on.")
	c.log("safety.answered", 0, "enter", "Answers noted")
	for range len(safety.Questions()) - 1 {
		c.logged = append(c.logged, "safety.answered")
	}
}

// mix mixes a bowl whose working life is not known, so that it counts as
// fresh for all that is logged late. The keys turn to another ratio.
func (c *chair) mix(ago time.Duration, does string, ratio ...string) moment {
	c.t.Helper()
	c.x.WaitFor("do: " + does)
	c.earlier(ago)
	c.x.Keys("space")
	c.x.WaitFor("Product, grams")
	c.x.Keys("ctrl+u") // what may be offered
	c.x.Type("60")
	c.x.Keys("enter")
	c.x.Keys(ratio...)
	c.x.Keys("enter", "enter", "enter", "ctrl+u")
	return c.log("bowl.mixed", ago, "enter", "Mixed: 60 g")
}

func (c *chair) lighten(v *visit) {
	v.first["Nape"] = c.next("piece.placed", 140*minute, "Place Nape 1 of 3", "Nape, a piece placed")
	c.shows("Nape", "1/3", "over")
	c.x.WaitFor("Nape is 95 min over its limit: rinse it now")
	c.piece(138*minute, "Nape", "2/3")
	c.kill()
	c.shows("Nape", "2/3")
	c.piece(20*minute, "Nape", "3/3")
	c.log("event.voided", 0, "u", "taken back: Nape, a piece placed") // a slip
	c.shows("Nape", "2/3")
	v.last["Nape"] = c.piece(136*minute, "Nape", "3/3")

	v.first["Sides"] = c.piece(120*minute, "Sides", "1/2")
	c.x.Keys("c") // left half done, and killed with the form open
	c.x.WaitFor("Check Sides")
	c.kill()
	v.last["Sides"] = c.piece(118*minute, "Sides", "2/2")
	v.first["Crown"] = c.piece(110*minute, "Crown", "1/3")

	c.choose("Nape")
	c.earlier(101 * minute)
	c.x.Keys("c")
	c.x.WaitFor("Check Nape")
	c.x.Keys("right", "enter")
	c.x.Type("8.5")
	v.checked = c.log("zone.checked", 101*minute, "ctrl+s", "Nape checked")
	c.kill()
}

// rinse takes one zone to the basin, of those that the form lists in that
// order, all ticked.
func (c *chair) rinse(ago time.Duration, zone string, untick int) {
	c.t.Helper()
	c.earlier(ago)
	c.x.Keys("r")
	c.x.WaitFor("To the basin")
	for range untick {
		c.x.Keys("down", "space")
	}
	c.log("rinse.began", ago, "enter", "Rinsing")
	c.shows(zone, "basin")
}

func (c *chair) rinseByStages(v *visit) {
	c.rinse(100*minute, "Nape", 2)
	c.kill()
	c.shows("Nape", "basin")
	v.off["Nape"] = c.next("rinse.ended", 98*minute, "Rinse clean: Nape", "rinsed clean: Nape")
	c.shows("Nape", "rinsed")
	c.rinse(84*minute, "Sides", 1)
	v.off["Sides"] = c.next("rinse.ended", 82*minute, "Rinse clean: Sides", "rinsed clean: Sides")
	c.kill()
	c.shows("Sides", "rinsed")
	c.piece(108*minute, "Crown", "2/3")
	v.last["Crown"] = c.piece(107*minute, "Crown", "3/3")

	// 110 minutes on with a limit of 45: flagged over the full width until seen
	c.x.WaitFor("Crown is 65 min over its limit: rinse it now")
	c.x.WaitFor("CROWN   Crown off by")
	c.x.Keys("a")
	c.x.WaitFor("Go on all the same?")
	c.x.Type("logged late")
	c.log("warning.acknowledged", 0, "enter", "Logged with your reason")
	c.x.WaitGone("[a] seen")
	c.next("rinse.began", 60*minute, "Rinse Crown", "rinsing Crown")
	v.off["Crown"] = c.next("rinse.ended", 58*minute, "Rinse clean: Crown", "rinsed clean: Crown")
}

func (c *chair) tone(v *visit) {
	v.bowlTone = c.mix(28*minute, "Mix Veil 7 vol")
	c.x.WaitFor("do: Set the limit of Veil 7 vol")
	c.x.Keys("space")
	c.x.WaitFor("off by 20 min at the latest")
	c.x.Keys("down")
	c.log("window.confirmed", 0, "enter", "Off after 20 min")
	v.first["Lengths"] = c.next("piece.placed", 26*minute, "Place Lengths 1 of 2", "Lengths, a piece placed")
	v.last["Lengths"] = c.piece(25*minute, "Lengths", "2/2")
	c.kill()
	c.shows("Lengths", "2/2", "over")
	c.x.WaitFor("Lengths is 6 min over its limit: rinse it now")
	c.next("rinse.began", 0, "Rinse Lengths", "rinsing Lengths")
	v.off["Lengths"] = c.clean("Lengths")
	c.kill()
}

func (c *chair) finish(v *visit) {
	for _, step := range []struct {
		name string
		at   *[2]moment
	}{{"drying", &v.drying}, {"cut", &v.cut}, {"style", &v.style}} {
		step.at[0] = c.next("step.began", 0, "Begin: "+step.name, step.name+" begun")
		if step.name != "cut" {
			c.kill()
		}
		step.at[1] = c.next("step.ended", 0, "End: "+step.name, step.name+" ended")
	}
	c.x.WaitFor("do: Finish the service")
	c.x.Keys("space")
	c.x.WaitFor("How it went")
	v.closed = c.log("service.closed", 0, "enter", "service closed")
	c.x.WaitFor("THE SERVICE IS CLOSED")
}

// check compares a card with what is known of the visit.
func (v *visit) check(t *testing.T, got card.Card) {
	t.Helper()
	assert.Equal(t, "Tove A.", got.Client)
	v.opened.has(t, &got.Opened, "opened")
	v.closed.has(t, got.Closed, "closed")
	require.NotNil(t, got.Consultation)
	assert.Equal(t, 6.0, got.Consultation.NaturalDepth)
	assert.Empty(t, got.Consultation.Scalp, "it is asked once, as a safety question")
	require.Len(t, got.Safety, len(safety.Questions()))
	for _, a := range got.Safety {
		assert.Equal(t, safety.GoOn, a.Outcome, a.Question)
	}

	limits := map[string]struct {
		limit, opens time.Duration
		band         session.Band
		pieces       int
	}{
		"Nape": {45 * minute, 0, session.Root, 3}, "Sides": {45 * minute, 0, session.Root, 2},
		"Crown": {45 * minute, 0, session.Root, 3}, "Lengths": {20 * minute, 0, session.End, 2},
	}
	require.Len(t, got.Zones, len(limits))
	for _, z := range got.Zones {
		want := limits[z.Name]
		assert.Equal(t, want.pieces, z.Pieces, z.Name)
		assert.Equal(t, "rinsed", z.Phase, z.Name)
		first, last, off := v.first[z.Name], v.last[z.Name], v.off[z.Name]
		off.has(t, z.RinsedAt, z.Name+" rinsed")
		off.since(first).has(t, z.OldestS, z.Name+", oldest")
		off.since(last).has(t, z.NewestS, z.Name+", newest")
		require.NotNil(t, z.LimitS, z.Name)
		assert.Equal(t, int(want.limit.Seconds()), *z.LimitS, z.Name)
		assert.Equal(t, want.band, z.LimitBand, z.Name)
		require.NotNil(t, z.OverS, z.Name)
		off.since(first).less(want.limit).has(t, *z.OverS, z.Name+", over")
		for _, coat := range z.Coats {
			first.has(t, &coat.FirstContact, z.Name+", first contact")
			last.has(t, &coat.LastContact, z.Name+", last contact")
		}
	}
	assert.Equal(t, 2, got.Totals.Over)
	assert.Equal(t, 10, got.Totals.Pieces)
	v.closed.since(v.opened).has(t, got.Totals.OpenS, "open to close")
	v.checkRest(t, got)
}

func (v *visit) checkRest(t *testing.T, got card.Card) {
	t.Helper()
	require.Len(t, got.Bowls, 3)
	for i, want := range []struct {
		at           moment
		label, ratio string
		product      string
	}{
		{v.bowlRoot, "30 vol", "1:2", "Chalk"}, {v.bowlEnd, "20 vol", "1:1", "Chalk"}, {v.bowlTone, "7 vol", "1:1", "Veil"},
	} {
		b := got.Bowls[i]
		want.at.has(t, &b.MixedAt, "bowl "+b.ID)
		assert.Equal(t, []string{want.label, want.ratio, want.product}, []string{b.Label, b.Ratio, b.Product})
	}
	require.Len(t, got.Windows, 3)
	assert.Equal(t, session.BasisStarter, got.Windows[0].Basis)
	assert.Equal(t, session.BasisInstructions, got.Windows[1].Basis)
	assert.Equal(t, []int{50 * 60, 12 * 60}, []int{got.Windows[1].LimitS, got.Windows[1].OpensS})

	require.Len(t, got.Trips, 4)
	require.Len(t, got.Steps, 3)
	for i, want := range [][2]moment{v.drying, v.cut, v.style} {
		s := got.Steps[i]
		want[0].has(t, s.Began, s.Name+" began")
		want[1].has(t, s.Ended, s.Name+" ended")
		want[1].since(want[0]).has(t, s.Seconds, s.Name)
	}
	require.Len(t, got.Warnings, 1)
	assert.Equal(t, "logged late", got.Warnings[0].Reason)
	assert.True(t, strings.HasPrefix(got.Warnings[0].Warning, "over:"), got.Warnings[0].Warning)
	for _, z := range got.Zones {
		if z.Name == "Nape" {
			require.Len(t, z.Checks, 1)
			v.checked.has(t, &z.Checks[0].At, "check")
			assert.Equal(t, 8.5, z.Checks[0].Depth)
			assert.Equal(t, "springs back", z.Checks[0].Feel)
		}
	}
}
