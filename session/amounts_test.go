package session_test

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rinseby/session"
	"rinseby/session/formula"
)

func supply(product string) formula.Supply {
	return formula.Supply{Product: product, Ratio: formula.Ratio{Product: 1, Developer: 2}, Life: time.Hour, PricePer100g: 8}
}

// The worked plan: two zones of 4 and 6 pieces at 2 minutes, hair 250 mm long
// with 50 mm of regrowth. By the house figure a piece takes 8 g over its whole
// length, a fifth of it on the root. Ends have 40 % of the other four fifths.
func TestMixPlanFromTheHouseFigure(t *testing.T) {
	c := lightening(t)
	c.do(session.ConsultationNoted{LengthMM: 250, RegrowthMM: 50, Density: formula.MediumDensity})
	c.do(session.BowlEmptied{Bowl: "b1"}, session.BowlEmptied{Bowl: "b2"}) // nothing noted: they tell nothing
	plan, err := c.state().MixPlan(c.now, 2*time.Minute, supply, nil)
	require.NoError(t, err)
	root, use, ok := plan.NextFor("Chalk", 9)
	require.True(t, ok)
	require.InDelta(t, 8*0.2, use.Mean, 1e-9)
	require.Zero(t, use.Bowls)
	require.Equal(t, 10, root.Pieces)
	require.InDelta(t, 16, root.Grams, 1e-9)
	require.InDelta(t, 16.0/3, root.ProductGrams, 1e-9)
	require.InDelta(t, 32.0/3, root.DeveloperGrams, 1e-9)
	end, _, ok := plan.NextFor("Chalk", 6)
	require.True(t, ok)
	require.InDelta(t, 10*8*0.8*0.4, end.Grams, 1e-9)
}

// A bowl that was put away with the grams left noted draws the figure to the
// stylist's own: 1/s'² = 1/s² + n/σ², m' = s'²(m/s² + u/σ²), worked here.
func TestOwnUseTakesOver(t *testing.T) {
	c := lightening(t)
	c.do(session.ConsultationNoted{LengthMM: 250, RegrowthMM: 50, Density: formula.MediumDensity})
	c.at(1).do(place("z1", 4))
	left := 60.0 // of 90 g: 30 g on four pieces, 7.5 g each, where the house says 1.6 g
	c.at(10).do(session.BowlEmptied{Bowl: "b1", LeftGrams: &left})
	use, err := c.state().Use("Chalk", []session.Band{session.Root}, c.state().UsedBowls())
	require.NoError(t, err)
	m, s, sigma := 1.6, 0.4*1.6, 0.35*1.6
	precision := 1/(s*s) + 4/(sigma*sigma)
	require.InDelta(t, (m/(s*s)+30/(sigma*sigma))/precision, use.Mean, 1e-9)
	require.InDelta(t, math.Sqrt(1/precision), use.SD, 1e-9)
	require.Equal(t, 1, use.Bowls)

	plan, err := c.state().MixPlan(c.now, 2*time.Minute, supply, nil)
	require.NoError(t, err)
	bowl, _, ok := plan.NextFor("Chalk", 9)
	require.True(t, ok)
	require.InDelta(t, 6*use.Mean, bowl.Grams, 1e-6, "six pieces are still to come")
}

func TestBowlInUseIsUsedUpFirst(t *testing.T) {
	c := lightening(t)
	c.do(session.ConsultationNoted{LengthMM: 250, RegrowthMM: 50})
	plan, err := c.state().MixPlan(c.now, 2*time.Minute, supply, nil)
	require.NoError(t, err)
	_, _, ok := plan.NextFor("Chalk", 9)
	require.False(t, ok, "90 g are in the bowl, and 16 g are needed")
}

// Two pieces take 3.2 g by the house figure: a bowl of that can't be mixed well.
func TestASmallBowlIsOneThatCanBeMixed(t *testing.T) {
	c := lightening(t)
	c.do(session.ConsultationNoted{LengthMM: 250, RegrowthMM: 50, Density: formula.MediumDensity})
	c.at(1).do(place("z1", 4), place("z2", 4), session.BowlEmptied{Bowl: "b1"}, session.BowlEmptied{Bowl: "b2"})
	plan, err := c.state().MixPlan(c.now, 2*time.Minute, supply, nil)
	require.NoError(t, err)
	bowl, use, ok := plan.NextFor("Chalk", 9)
	require.True(t, ok)
	require.Equal(t, 2, bowl.Pieces)
	require.InDelta(t, 3.2, 2*use.Mean, 1e-9)
	require.InDelta(t, 15, bowl.Grams, 1e-9)
	require.InDelta(t, 15-3.2, bowl.Spare, 1e-9)
}

// A bowl that nobody noted to be put away is none in use on the next day.
func TestABowlOfYesterdayIsNotCountedOn(t *testing.T) {
	c := lightening(t)
	c.do(session.ConsultationNoted{LengthMM: 250, RegrowthMM: 50, Density: formula.MediumDensity})
	c.at(25 * 60)
	plan, err := c.state().MixPlan(c.now, 2*time.Minute, supply, nil)
	require.NoError(t, err)
	for _, b := range plan.Bowls {
		require.Empty(t, b.ID)
	}
}

func TestMixPlanNeedsAPace(t *testing.T) {
	c := newChair(t)
	c.do(session.ServiceOpened{Service: "s1", Client: "June L."}, session.PlanSet{Name: "Lightening", Action: formula.Lighten,
		Zones: []session.PlanZone{{Name: "Nape", Pieces: 4, Bands: []session.PlanBand{root30}}}})
	plan, err := c.state().MixPlan(c.now, 0, supply, nil)
	require.NoError(t, err)
	require.Empty(t, plan.Bowls)
}

// A toner in three sections over ten foils takes what the foils take.
func TestTonerOverFoilsIsReckonedByTheFoils(t *testing.T) {
	c := newChair(t)
	toner := session.PlanBand{Band: session.Root, Product: "Veil", Kind: formula.Demi, Strength: 3, Contact: formula.OnScalp, Condition: formula.Lightened}
	c.do(session.ServiceOpened{Service: "s1", Client: "June L."},
		session.ConsultationNoted{LengthMM: 250, RegrowthMM: 50, Density: formula.MediumDensity},
		session.PlanSet{Name: "Toning", Action: formula.Colour, Zones: []session.PlanZone{
			{ID: "nape", Name: "Nape", Pieces: 6, MinutesPerPiece: 2, Bands: []session.PlanBand{root30}},
			{ID: "crown", Name: "Crown", Pieces: 4, MinutesPerPiece: 2, Bands: []session.PlanBand{root30}},
			{ID: "all", Name: "All over", Pieces: 3, MinutesPerPiece: 2, Bands: []session.PlanBand{toner}, SameHairAs: []string{"nape", "crown"}},
		}})
	plan, err := c.state().MixPlan(c.now, 2*time.Minute, supply, nil)
	require.NoError(t, err)
	bowl, _, ok := plan.NextFor("Veil", 3)
	require.True(t, ok)
	require.Equal(t, 9, bowl.Pieces, "three sections of three foils, ten foils in whole numbers")
	require.InDelta(t, 9*1.6, bowl.Grams-bowl.Spare, 1e-9)
	_, _, ok = plan.NextFor("Chalk", 9)
	require.False(t, ok, "colour on hair that was not counted in foils: nothing tells")
}
