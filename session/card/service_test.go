package card_test

import (
	"fmt"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rinseby/session"
	"rinseby/session/card"
	"rinseby/session/formula"
	"rinseby/session/safety"
	"rinseby/timing"
)

// A chair drives a log with a clock of its own.
type chair struct {
	t    testing.TB
	log  *session.Log
	zero time.Time
	now  time.Time
}

func newChair(t testing.TB) *chair {
	zero := time.Date(2026, 3, 2, 8, 0, 0, 0, time.UTC)
	return &chair{t: t, log: &session.Log{}, zero: zero, now: zero}
}

// at goes to the second s after the opening.
func (c *chair) at(s int) *chair {
	c.now = c.moment(s)
	return c
}

func (c *chair) moment(s int) time.Time { return c.zero.Add(time.Duration(s) * time.Second) }

func (c *chair) try(data ...session.Data) error {
	now := timing.Reading{Wall: c.now, Boot: time.Hour + c.now.Sub(c.zero), BootID: "boot-a"}
	for _, d := range data {
		events, err := session.Decide(c.log, now, session.Do(d))
		if err != nil {
			return err
		}
		if err := c.log.Append(events...); err != nil {
			return err
		}
	}
	return nil
}

// old logs what an older journal may hold, without asking the rules.
func (c *chair) old(d session.Data) {
	c.t.Helper()
	now := timing.Reading{Wall: c.now, Boot: time.Hour + c.now.Sub(c.zero), BootID: "boot-a"}
	require.NoError(c.t, c.log.Append(session.Event{Seq: c.log.State().Seq + 1, When: c.now, Recorded: now, Data: d}))
}

// do logs data. Where powder is mixed first, asthma was asked about before.
func (c *chair) do(data ...session.Data) {
	c.t.Helper()
	for _, d := range data {
		if m, mixes := d.(session.BowlMixed); mixes && safety.Lightener(m.Family) && slices.Contains(c.log.State().Verdict(c.now).Open, safety.Airways) {
			require.NoError(c.t, c.try(session.SafetyAnswered{Question: safety.Airways, Answer: "none"}))
		}
		require.NoError(c.t, c.try(d))
	}
}

var (
	root30 = session.PlanBand{Band: session.Root, Product: "Chalk", Kind: formula.PowderLightener, Strength: 9, Contact: formula.OffScalp, Condition: formula.Natural}
	end20  = session.PlanBand{Band: session.End, Product: "Chalk", Kind: formula.PowderLightener, Strength: 6, Contact: formula.OffScalp, Condition: formula.Lightened}
	tone10 = session.PlanBand{Band: session.Root, Product: "Veil", Kind: formula.Demi, Strength: 3, Contact: formula.OnScalp, Condition: formula.Lightened}
)

func row(b session.PlanBand, opens, limit int, heat formula.HeatRule) session.WindowConfirmed {
	return session.WindowConfirmed{Basis: session.BasisInstructions, Row: formula.Row{
		Product: b.Product, Kind: b.Kind, Strength: b.Strength, Contact: b.Contact, Condition: b.Condition, Heat: heat,
		Window: timing.Window{Opens: time.Duration(opens) * time.Minute, Limit: time.Duration(limit) * time.Minute},
		Origin: "invented leaflet",
	}}
}

// answered answers every safety question as one does who may go on without a
// cap.
func answered() (all []session.Data) {
	for _, q := range safety.Questions() {
		a := session.SafetyAnswered{Question: q.ID, Answer: q.Answers[0].Word}
		if q.Kind == safety.Day {
			a.Answer = "2 days ago"
		}
		all = append(all, a)
	}
	return all
}

func bowl(b session.PlanBand, product, developer float64) session.BowlMixed {
	return session.BowlMixed{Product: b.Product, Family: b.Kind, LifeS: 3600, Mix: formula.Mix{
		Products:   []formula.ProductPart{{Product: b.Product, Grams: product}},
		Developers: []formula.DeveloperPart{{Strength: b.Strength, Grams: developer}},
	}}
}

// The schedule of the worked service, in seconds after the opening. Three
// groups of four zones with eight pieces each, 96 in all. A group is placed
// piece after piece; then, after a delay, its four zones are rinsed in the
// same order, two minutes each.
var groups = []struct {
	start, each, delay int
	ends               bool // coated on the ends too
}{
	{start: 600, each: 60},
	{start: 3600, each: 40},
	{start: 6000, each: 60, delay: 900, ends: true},
}

const (
	perGroup, perZone, rinse = 4, 8, 120
	rootLimit, endLimit      = 45 * 60, 35 * 60
	again                    = 9600 // one more zone, on the hair of the first
	againOff                 = 10200
	tone, toneOff            = 10800, 11400
	closing                  = 13200
)

var names = []string{"Nape", "Back left", "Back right", "Crown", "Left low", "Left high", "Right low", "Right high", "Top left", "Top right", "Fringe left", "Fringe right"}

// worked is the log of the worked service.
func worked(t testing.TB) *chair {
	c := newChair(t)
	promised := c.zero.Add(4 * time.Hour)
	var zones []session.PlanZone
	var ids []string
	for i, n := range names {
		z := session.PlanZone{Name: n, Pieces: perZone, MinutesPerPiece: 2, Bands: []session.PlanBand{root30}}
		if groups[i/perGroup].ends {
			z.Bands = append(z.Bands, end20)
		}
		zones, ids = append(zones, z), append(ids, fmt.Sprintf("z%d", i+1))
	}
	c.do(session.ServiceOpened{
		Service: "demo-1", Client: "Tove A.", Stylist: "Ines", Station: "2 (Ferry Stairs)", Promised: &promised, Invented: true,
		Steps: []session.PlanStep{{Name: "consultation", Minutes: 10, Before: true}, {Name: "drying", Minutes: 20}, {Name: "cut", Minutes: 30}},
	},
		session.StepBegan{Step: "consultation"},
		session.ConsultationNoted{NaturalDepth: 6, Undertone: "warm", GreyPercent: 12.5, RegrowthMM: 15, TargetDepth: 9, TargetTone: "pale, cool",
			Conditions: map[session.Band]formula.Condition{session.Root: formula.Natural, session.End: formula.Lightened}, History: "foils 7 weeks ago"},
		session.SafetyAnswered{Question: safety.Deposits, Answer: "a home colour nobody knows"},
		session.PlanSet{Name: "Lightening", Action: formula.Lighten, Zones: zones},
		session.PlanSet{Name: "Toning", Action: formula.Colour, Zones: []session.PlanZone{
			{ID: "tone", Name: "All over", Pieces: 1, Bands: []session.PlanBand{tone10}, SameHairAs: ids}}},
		row(root30, 20, rootLimit/60, formula.NoHeat), row(end20, 15, endLimit/60, formula.NoHeat), row(tone10, 5, 20, formula.NoHeat))
	c.do(answered()...)
	c.do(session.SafetyAnswered{Question: safety.Health, Answer: "yes", Reason: "her doctor sees no harm"})
	c.at(480).do(session.StepEnded{Step: "consultation"})
	c.at(540).do(bowl(root30, 30, 60))
	trip := 0
	for g, grp := range groups {
		left := 4.5
		if g > 0 {
			c.at(grp.start-60).do(session.BowlEmptied{Bowl: fmt.Sprintf("b%d", g), LeftGrams: &left}, bowl(root30, 30, 60))
		}
		if grp.ends {
			c.do(bowl(end20, 20, 30))
		}
		for i := range perGroup * perZone {
			c.at(grp.start + i*grp.each).do(session.PiecePlaced{Zone: ids[g*perGroup+i/perZone]})
		}
		if g == 2 {
			c.do(session.PauseBegan{Reason: "the telephone"}, session.WarningAcknowledged{Warning: "closing:z9", Reason: "at the basin in a minute"})
		}
		began := grp.start + perGroup*perZone*grp.each + grp.delay
		c.at(began)
		if g == 2 {
			c.do(session.PauseEnded{}, session.HelperJoined{Name: "Sam"})
		}
		trip++
		c.do(session.RinseBegan{Zones: ids[g*perGroup : (g+1)*perGroup]})
		for i := range perGroup {
			c.at(began + (i+1)*rinse).do(session.RinseEnded{Zones: ids[g*perGroup+i : g*perGroup+i+1]})
		}
	}
	c.at(again-60).do(session.HelperLeft{Name: "Sam"}, bowl(root30, 10, 20), session.PlanChanged{Change: session.ChangeAdd, Round: "r1",
		Add: &session.PlanZone{ID: "again", Name: "Nape again", Pieces: 2, MinutesPerPiece: 1.5, Bands: []session.PlanBand{root30}, SameHairAs: []string{"z1"}}})
	c.at(again).do(session.PiecePlaced{Zone: "again", Count: 2}, session.ZoneChecked{Zone: "again", Band: session.Root, Depth: 8.5, Undertone: "yellow", Feel: "sound"})
	c.at(againOff-60).do(session.RinseBegan{Zones: []string{"again"}}, session.NoteAdded{Zone: "again", Text: "needs a minute more next time"})
	c.at(againOff).do(session.RinseEnded{})
	c.at(tone - 60).do(bowl(tone10, 40, 60))
	c.at(tone).do(session.PiecePlaced{Zone: "tone"})
	c.at(toneOff - 120).do(session.RinseBegan{Zones: []string{"tone"}})
	c.at(toneOff).do(session.RinseEnded{}, session.StepBegan{Step: "drying"})
	c.at(toneOff + 18*60).do(session.StepEnded{Step: "drying"})
	held := 45.0
	c.do(session.CutNoted{Section: "nape", Guide: session.GuideTravelling, Elevation: new(float64), OverDirection: "none", LengthMM: 80, Texture: "blunt", Tool: "shears"},
		session.CutNoted{Section: "sides", Guide: session.GuideStationary, Elevation: &held, OverDirection: "to the previous section", Texture: "point cut", Note: "corners left for weight"})
	c.at(closing).do(session.ServiceClosed{Outcome: "even, one zone a little warm"})
	return c
}

// heatMeant is a reason for heat on lightener near the scalp.
func heatMeant(zone string) session.WarningAcknowledged {
	return session.WarningAcknowledged{Warning: "heat-scalp:" + zone, Reason: "the tub names heat"}
}

func TestARatioOutsideTheCatalogueIsOnTheCard(t *testing.T) {
	c := live(t)
	wet := bowl(root30, 30, 90)
	wet.RatioRange, wet.RatioOutside = "1:1 to 1:2", true
	c.do(wet, bowl(root30, 30, 60))
	got := card.Make(c.log, c.now, nil)
	n := len(got.Bowls)
	require.Equal(t, []string{"1:1 to 1:2", ""}, []string{got.Bowls[n-2].RatioRange, got.Bowls[n-1].RatioRange})
	require.Contains(t, got.Markdown(), "| 1:3 (outside the catalogue's 1:1 to 1:2) |")
}
