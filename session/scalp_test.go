package session_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/session"
	"rinseby/session/formula"
)

// atScalp is a service whose crown is planned with the band at the scalp.
func atScalp(t testing.TB, b session.PlanBand, windows ...session.Data) *chair {
	c := newChair(t)
	c.do(session.ServiceOpened{Service: "s1", Client: "Mr. Okpara"}, session.ConsultationNoted{NaturalDepth: 6},
		session.PlanSet{Name: "Regrowth", Action: formula.Lighten, Zones: []session.PlanZone{{ID: "z", Name: "Crown", Pieces: 3, Bands: []session.PlanBand{b}}}})
	c.do(answered()...)
	c.do(windows...)
	c.do(bowl(b, 30, 45))
	return c
}

func scalp(product string, k formula.Kind, strength formula.Percent) session.PlanBand {
	return session.PlanBand{Band: session.Root, Product: product, Kind: k, Strength: strength, Contact: formula.OnScalp, Condition: formula.Natural}
}

func TestClayIsNotPlannedOnTheScalp(t *testing.T) {
	clay, off := scalp("Rime", formula.ClayLightener, 6), scalp("Rime", formula.ClayLightener, 6)
	off.Contact = formula.OffScalp
	c := atScalp(t, off, row(off, 10, 40))
	zone := session.PlanZone{ID: "y", Name: "Top", Pieces: 1, Bands: []session.PlanBand{clay}}
	const says = "Rime is clay lightener, which is not for the scalp: plan it off the scalp, or take another product for the scalp"
	refuses(t, c, []refusal{
		no("a plan", again("More", zone), says),
		no("a zone", session.PlanChanged{Change: session.ChangeAdd, Round: "r1", Add: &zone}, says),
		no("bands", session.PlanChanged{Change: session.ChangeBands, Zone: "z", Bands: []session.PlanBand{clay}}, says),
		no("a window, whatever it says", forScalp(clay, 5, 20), says),
	})
	c.do(place("z", 1))
}

func TestStrongLightenerAtTheScalpNeedsTheInstructions(t *testing.T) {
	chalk30 := scalp("Chalk", formula.PowderLightener, 9)
	c := atScalp(t, chalk30, row(chalk30, 5, 25))
	var none *session.ErrNoWindow
	require.ErrorAs(t, c.try(session.Do(place("z", 1))), &none, "a window alone is not their word")
	assert.Equal(t, "Chalk at 30 vol is planned on the scalp, on the root of Crown, and the catalogue has up to 20 vol for the scalp: "+
		"change the plan, or type the minutes from the product's instructions, if they allow it", none.Error())
	assert.Equal(t, session.DoWindow, c.board().Next.Verb, "the one key asks for it")

	off := forScalp(chalk30, 5, 25)
	off.Row.Contact = formula.OffScalp
	starter := forScalp(chalk30, 5, 25)
	starter.Basis = session.BasisStarter
	for name, bad := range map[string]session.WindowConfirmed{"off the scalp": off, "a starter row": starter} {
		assert.ErrorContains(t, c.try(session.Do(bad)), "only a window for the scalp, from the product's instructions", name)
	}
	c.do(forScalp(chalk30, 5, 25), place("z", 1))
	assert.Equal(t, 25.0, c.offBy("z"))
	c.do(row(chalk30, 5, 25))
	require.ErrorAs(t, c.try(session.Do(place("z", 1))), &none, "typed anew without it")
}

func TestWhatTheCatalogueHasForTheScalpNeedsNoMore(t *testing.T) {
	chalk20, chalk30 := scalp("Chalk", formula.PowderLightener, 6), scalp("Chalk", formula.PowderLightener, 9)
	c := atScalp(t, chalk20, row(chalk20, 5, 25))
	c.do(place("z", 1))

	own := row(chalk30, 5, 25) // of the salon's own catalogue
	own.Basis = session.BasisStarter
	c = atScalp(t, chalk30, own)
	c.do(place("z", 1))

	open := own
	open.Row.Contact = formula.AnyContact // does not name the scalp
	c = atScalp(t, chalk30, open)
	require.Error(t, c.try(session.Do(place("z", 1))))

	cream := scalp("Balm", formula.CreamLightener, 3)
	c = atScalp(t, cream, row(cream, 5, 25))
	assert.ErrorContains(t, c.try(session.Do(place("z", 1))), "there is none in the catalogue for the scalp")
	c.do(forScalp(cream, 5, 25), place("z", 1))

	lift := scalp("Gloss", formula.HighLift, 12) // made for it
	c = atScalp(t, lift, row(lift, 5, 25))
	c.do(place("z", 1))
}

// hot is a window under heat.
func hot(b session.PlanBand, limit float64) session.WindowConfirmed {
	w := row(b, 5, limit)
	w.Row.Heat = formula.WithHeat
	return w
}

func TestHeatOnLightenerNearTheScalpIsRefused(t *testing.T) {
	on := session.HeatOn{Zones: []string{"z"}}
	either := row(growth, 5, 30)
	either.Row.Heat = formula.AnyHeat
	c := atScalp(t, growth, either)
	c.do(place("z", 1))
	var none *session.ErrNoWindow
	require.ErrorAs(t, c.try(session.Do(on)), &none, "a window that leaves heat open does not name it")
	assert.ErrorContains(t, none, "2.8 by 3.7 cm, full depth, in foil under a dryer (Peters 2000)")
	assert.ErrorContains(t, none, "no heat, unless its instructions name it")
	c.do(hot(growth, 20))
	var reason *session.ErrNeedsReason
	require.ErrorAs(t, c.try(session.Do(on)), &reason)
	assert.Equal(t, "heat-scalp:z", reason.Key)
	assert.Contains(t, reason.Why, "leave the heat off")
	require.ErrorContains(t, c.try(session.Do(session.WarningAcknowledged{Warning: reason.Key, Reason: "says so"})), "in 3 words or more", "two words are no reason")
	c.do(session.WarningAcknowledged{Warning: reason.Key, Reason: "tub says so"}, on)
	assert.Equal(t, 20.0, c.offBy("z"))
}

func TestHeatAwayFromTheScalpKeepsItsRule(t *testing.T) {
	ends := growth
	ends.Band = session.End
	c := atScalp(t, ends, row(ends, 5, 30), hot(ends, 20))
	c.do(place("z", 1), session.HeatOn{Zones: []string{"z"}})

	ends.Contact = formula.OnScalp // short hair
	c = atScalp(t, ends, forScalp(ends, 5, 30), hot(ends, 20))
	c.do(place("z", 1))
	var reason *session.ErrNeedsReason
	require.ErrorAs(t, c.try(session.Do(session.HeatOn{Zones: []string{"z"}})), &reason)
	assert.Equal(t, "heat-scalp:z", reason.Key)

	tone := scalp("Veil", formula.Demi, 3)
	c = atScalp(t, tone, row(tone, 5, 30), hot(tone, 20))
	c.do(place("z", 1), session.HeatOn{Zones: []string{"z"}})
}

func TestLightenerIsNotPlacedNearTheScalpUnderHeat(t *testing.T) {
	c := atScalp(t, growth, row(growth, 5, 30), hot(growth, 20))
	c.do(session.HeatOn{Zones: []string{"z"}})
	var reason *session.ErrNeedsReason
	require.ErrorAs(t, c.try(session.Do(place("z", 1))), &reason)
	assert.Equal(t, "heat-scalp:z", reason.Key)

	c = atScalp(t, growth, row(growth, 5, 30), hot(growth, 20)) // heat on a zone that lies on the same hair
	c.do(session.PlanChanged{Change: session.ChangeAdd, Round: "r1", Add: &session.PlanZone{ID: "over", Name: "Over", Pieces: 1, Bands: []session.PlanBand{growth}, SameHairAs: []string{"z"}}},
		place("z", 1))
	require.ErrorAs(t, c.try(session.Do(session.HeatOn{Zones: []string{"over"}})), &reason)
	assert.Equal(t, "heat-scalp:over", reason.Key)
}
