package card_test

import (
	"fmt"
	"time"

	"rinseby/session"
	"rinseby/session/card"
	"rinseby/session/formula"
	"rinseby/session/safety"
	"rinseby/timing"
)

func Example() {
	open := time.Date(2026, 3, 2, 8, 0, 0, 0, time.UTC)
	chalk := session.PlanBand{Band: session.Root, Product: "Chalk", Kind: formula.PowderLightener, Strength: 9,
		Contact: formula.OffScalp, Condition: formula.Natural}
	log := &session.Log{}
	at := func(minute int, data ...session.Data) {
		now := timing.Reading{Wall: open.Add(time.Duration(minute) * time.Minute)}
		for _, d := range data {
			events, err := session.Decide(log, now, session.Do(d))
			if err == nil {
				err = log.Append(events...)
			}
			if err != nil {
				fmt.Println(err)
			}
		}
	}
	at(0, session.ServiceOpened{Service: "s1", Client: "June L.", Invented: true},
		session.PlanSet{Name: "Lightening", Action: formula.Lighten, Zones: []session.PlanZone{
			{Name: "Nape", Pieces: 6, Bands: []session.PlanBand{chalk}}}},
		session.WindowConfirmed{Basis: session.BasisInstructions, Row: formula.Row{
			Product: "Chalk", Kind: formula.PowderLightener, Strength: 9, Heat: formula.NoHeat, Origin: "invented leaflet",
			Window: timing.Window{Opens: 20 * time.Minute, Limit: 45 * time.Minute}}},
		session.SafetyAnswered{Question: safety.Airways, Answer: "none"}, // before powder is mixed
		session.BowlMixed{Product: "Chalk", Family: formula.PowderLightener, Mix: formula.Mix{
			Products:   []formula.ProductPart{{Product: "Chalk", Grams: 30}},
			Developers: []formula.DeveloperPart{{Strength: 9, Grams: 60}}}})
	for _, q := range safety.Questions() {
		at(2, session.SafetyAnswered{Question: q.ID, Answer: q.Answers[0].Word})
	}
	at(2, session.SafetyAnswered{Question: safety.SkinTest, Answer: "2 days ago"})
	at(5, session.PiecePlaced{Zone: "z1", Count: 3})
	at(9, session.PiecePlaced{Zone: "z1", Count: 3})
	at(48, session.RinseBegan{Zones: []string{"z1"}})
	at(52, session.RinseEnded{})
	at(60, session.ServiceClosed{})

	c := card.Make(log, open, nil)
	fmt.Println(c.Formulas[0].Summary)
	fmt.Println(c.Zones[0].OldestMin, c.Zones[0].NewestMin, *c.Zones[0].OverMin)
	plans, _ := card.Repeat(log)
	fmt.Println(plans[0].Zones[0].Name, plans[0].Zones[0].Pieces)
	// Output:
	// roots: Chalk 9 % (30 vol) 1:2, on Nape 47 min (2 min over the limit: not to be repeated)
	// 47 43 2
	// Nape 6
}
