package card_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"

	"rinseby/session"
	"rinseby/session/card"
	"rinseby/session/formula"
)

func TestTheCardSaysWhatDepthAndUndertoneAZoneReached(t *testing.T) {
	round := func(a formula.Action) card.Card {
		return card.Card{
			Opened: time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC), Rounds: []card.Round{{ID: "r1", Action: a}},
			Consultation: &session.ConsultationNoted{Scale: 10, TargetDepth: 9},
		}
	}
	check := func(minute int, band session.Band, depth float64, tone string) card.Check {
		at := time.Date(2026, 3, 2, 9, minute, 0, 0, time.UTC)
		return card.Check{At: at, ZoneChecked: session.ZoneChecked{Scale: 10, Band: band, Depth: depth, Undertone: tone}}
	}
	for _, k := range []struct {
		name   string
		action formula.Action
		checks []card.Check
		want   string
	}{
		{"the last of several", formula.Lighten, []card.Check{check(10, "", 7, "red"), check(20, "", 8.5, "gold")},
			"Nape reached: depth 8.5 of 10, undertone gold, wanted 9 of 10"},
		{"logged out of order", formula.Lighten, []card.Check{check(20, "", 8.5, "gold"), check(10, "", 7, "red")},
			"Nape reached: depth 8.5 of 10, undertone gold, wanted 9 of 10"},
		{"of one band", formula.Lighten, []card.Check{check(10, session.Root, 7, "")}, "Nape reached: depth 7 of 10 on the roots, wanted 9 of 10"},
		{"an undertone alone", formula.Lighten, []card.Check{check(10, "", 0, "gold")}, "Nape reached: undertone gold"},
		{"under a toner", formula.Colour, []card.Check{check(10, "", 9, "beige")}, "Nape reached: depth 9 of 10, undertone beige"},
		{"feel alone", formula.Lighten, []card.Check{check(10, "", 0, "")}, ""},
	} {
		t.Run(k.name, func(t *testing.T) {
			c := round(k.action)
			c.Zones = []card.Zone{{Name: "Nape", Round: "r1", Checks: k.checks}}
			if k.want == "" {
				assert.NotContains(t, c.Markdown(), "reached")
				return
			}
			assert.Contains(t, c.Markdown(), "- "+k.want+"\n")
		})
	}
}
