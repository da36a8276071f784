package session_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/session"
	"rinseby/session/formula"
)

// mixed is a bowl with an id of its own.
func mixed(id, product string, k formula.Kind, strength formula.Percent, grams, developer float64) session.BowlMixed {
	b := bowl(session.PlanBand{Product: product, Kind: k, Strength: strength}, grams, developer)
	b.Bowl = id
	return b
}

func TestABowlOfAnotherProductIsAnotherCoat(t *testing.T) {
	c := growing(t)
	c.do(mixed("veil", "Veil", formula.Demi, 3, 30, 60), mixed("dust", "Dust", formula.PowderLightener, 9, 30, 60))
	on := func(id string) session.Data {
		return session.PiecePlaced{Zone: "one-0", Count: 1, Coats: coats(session.Root, id)}
	}
	var reason *session.ErrNeedsReason
	require.ErrorAs(t, c.try(session.Do(on("veil"))), &reason)
	assert.Equal(t, "other-coat:one-0:root:veil", reason.Key)
	assert.Equal(t, "bowl veil is Veil, demi colour, but the plan for the root of Nape is Chalk, powder lightener: change the plan, or mix what is planned; "+
		"it is another coat, with a limit of its own", reason.Why)
	require.ErrorAs(t, c.try(session.Do(on("dust"))), &reason, "another product of the same kind")

	meant := func(words string) session.Data {
		return session.WarningAcknowledged{Warning: "other-coat:one-0:root:veil", Reason: words}
	}
	require.ErrorContains(t, c.try(session.Do(meant("yes"))), "in 3 words or more", "a word is no reason")
	c.do(meant("toned at once"))
	var none *session.ErrNoWindow
	require.ErrorAs(t, c.try(session.Do(on("veil"))), &none, "its own window is needed")
	assert.Equal(t, formula.Demi, none.Query.Kind)
	demi := growth
	demi.Product, demi.Kind, demi.Strength = "Veil", formula.Demi, 3
	c.do(row(demi, 5, 20), on("veil"))
	assert.Equal(t, 20.0, c.offBy("one-0"))
	require.NoError(t, c.try(session.Do(session.PlanChanged{Change: session.ChangeBands, Zone: "one-1", Bands: []session.PlanBand{demi}}),
		session.Do(session.PiecePlaced{Zone: "one-1", Count: 1, Coats: coats(session.Root, "veil")})), "the changed plan asks nothing")
	require.ErrorAs(t, c.try(session.Do(session.CoatRefreshed{Zone: "one-0", Coats: coats(session.Root, "dust")})), &reason, "fresh product is asked about, too")
}

func TestLightenerIsNotMixedAsToner(t *testing.T) {
	c := growing(t)
	var reason *session.ErrNeedsReason
	as := mixed("odd", " chalk", formula.Demi, 9, 30, 60)
	require.ErrorAs(t, c.try(session.Do(as)), &reason)
	assert.Equal(t, []string{"bowl-kind:odd", "bowl odd is said to be demi colour, but the plan has Chalk as powder lightener: correct the kind, or change the plan"},
		[]string{reason.Key, reason.Why})
	c.do(session.WarningAcknowledged{Warning: "bowl-kind:odd", Reason: "wrong tub, kept apart"}, as)

	c.do(place("one-0", 1))
	assert.Equal(t, []string{"b1"}, c.state().Zone("one-0").Coats[0].Bowls, "the newer bowl of that name is another kind")
	assert.Equal(t, formula.PowderLightener, c.state().Zone("one-0").Coats[0].Family)
	c.do(session.BowlEmptied{Bowl: "b1"})
	c.at(1)
	var none *session.ErrNoBowl
	require.ErrorAs(t, c.try(session.Do(place("one-0", 1))), &none, "none but that one is left")
}

func TestARatioOutsideTheProductsNeedsAYes(t *testing.T) {
	c := growing(t)
	wet := mixed("wet", "Chalk", formula.PowderLightener, 9, 30, 90)
	wet.RatioRange = "1:1 to 1:2"
	assert.ErrorContains(t, c.try(session.Do(wet)), "bowl wet is mixed 1:3, and the catalogue has 1:1 to 1:2 for Chalk: keep to that, or say that it is meant (ratio_outside)")
	wet.RatioOutside = true
	c.do(wet)
	assert.Equal(t, "1:1 to 1:2", c.state().Bowl("wet").RatioRange)

	for _, grams := range []float64{30, 44, 60, 61.5} { // within, and weighed to the gram
		in := mixed("", "Chalk", formula.PowderLightener, 9, 30, grams)
		in.RatioRange = "1:1 to 1:2"
		c.do(in)
		last := c.state().Bowls[len(c.state().Bowls)-1]
		assert.Empty(t, last.RatioRange, "%g g", grams)
	}
	thick := mixed("thick", "Chalk", formula.PowderLightener, 9, 30, 20)
	thick.RatioRange = "1:1 to 1:2"
	assert.ErrorContains(t, c.try(session.Do(thick)), "mixed 1:0.67")
	odd := mixed("odd", "Chalk", formula.PowderLightener, 9, 30, 60)
	odd.RatioRange = "runny"
	assert.Error(t, c.try(session.Do(odd)))
}

func TestAProductThatTheCatalogueKeepsOffTheScalp(t *testing.T) {
	dust := scalp("Dust", formula.PowderLightener, 6)
	c := atScalp(t, dust, forScalp(dust, 5, 25))
	kept := mixed("kept", "Dust", formula.PowderLightener, 6, 30, 45)
	kept.OffScalp = true
	c.do(session.BowlEmptied{Bowl: "b1"})
	c.at(1).do(kept)
	assert.ErrorContains(t, c.try(session.Do(place("z", 1))), "bowl kept is Dust, which is not for the scalp, as the catalogue says: plan it off the scalp, or take another product")
	dust.Contact = formula.OffScalp
	c.do(row(dust, 5, 25), session.PlanChanged{Change: session.ChangeBands, Zone: "z", Bands: []session.PlanBand{dust}}, place("z", 1))
}
