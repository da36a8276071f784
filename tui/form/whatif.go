package form

import (
	"slices"

	"rinseby/session"
	"rinseby/session/formula"
	"rinseby/session/replay"
	"rinseby/tui/intent"
	"rinseby/tui/theme"
)

// A whatIf is the kind of change that is tried.
type whatIf int

const (
	rinseNow whatIf = iota
	weaker
	helped
)

// WhatIf asks what is to be tried otherwise from the moment of a replay on,
// which the board shows. Its intent is intent.WhatIf. What the board leaves no
// room for is not offered, and no zone that is at the basin.
func WhatIf(th *theme.Theme, b session.Board, clock session.Clockface) *Form {
	kind, zone, liquid, stays := helped, "", "", "30"
	b.Zones = slices.DeleteFunc(slices.Clone(b.Zones), func(z session.ZoneLook) bool { return z.Rinsing })
	held, ticks := zonesWithProduct(b, clock)
	ids := []string{}
	var open []choice[string]
	for _, z := range b.Zones {
		if !z.Full && z.RinsedAt.IsZero() {
			open = append(open, choice[string]{z.Name, z.ID})
		}
	}
	kinds := []choice[whatIf]{{"a helper comes now", helped}}
	if len(open) > 0 {
		kinds = append([]choice[whatIf]{{"weaker developer for what of a zone is not on yet", weaker}}, kinds...)
		zone, kind = open[0].value, weaker
	}
	if len(held) > 0 {
		kinds = append([]choice[whatIf]{{"rinse zones now", rinseNow}}, kinds...)
		ids, kind = append(ids, held[0].ID), rinseNow
	}
	return start(th, Form{
		title: "Replay: what if, from " + clock(b.Now) + " on",
		does:  "try it",
		lead:  []string{"One change, carried on by the rules. It is computed, not what happened, and not advice."},
		pages: []page{
			{fields: []field{pick("What is done otherwise", &kind, kinds, anything).
				helped("The one thing that is changed from this moment on. What it asks for comes on the next page.")}},
			{hidden: func() bool { return kind != rinseNow }, fields: []field{several("Which zones", &ids, ticks, someZones(len(held))).
				helped("The zones that would go to the basin at this moment.")}},
			{hidden: func() bool { return kind != weaker }, fields: []field{
				pick("Which zone", &zone, open, anything).
					helped("The zone of which the pieces that are not on yet would get a weaker developer."), text("Developer, as 20 vol or 6 %", &liquid, strength).
					helped("The strength it would be coated with, weaker than planned: as 20 vol or 6 %."),
			}},
			{hidden: func() bool { return kind != helped }, fields: []field{text("How long the helper stays, in minutes", &stays, between(1, 600)).
				helped("How long a second pair of hands would help from this moment on: minutes from 1 to 600.")}},
		},
		submit: func() (intent.Intent, error) {
			switch kind {
			case rinseNow:
				return intent.WhatIf{Change: replay.RinseNow{Zones: inOrder(held, ids)}}, nil
			case weaker:
				p, err := formula.ParseStrength(liquid)
				return intent.WhatIf{Change: replay.Weaker{Zone: zone, Strength: p}}, err
			}
			m, err := number(stays, 1, 600)
			return intent.WhatIf{Change: replay.Helper{Minutes: m}}, err
		},
	})
}
