package session_test

import (
	"fmt"
	"time"

	"rinseby/session"
	"rinseby/session/formula"
	"rinseby/session/safety"
	"rinseby/timing"
)

// A nape is lightened with an invented product: two pieces, eight minutes
// apart. The oldest sets the limit, the newest says when it opens.
func Example() {
	start := time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC)
	at := func(m int) timing.Reading {
		d := time.Duration(m) * time.Minute
		return timing.Reading{Wall: start.Add(d), Boot: time.Hour + d, BootID: "a"}
	}
	ends := session.PlanBand{Band: session.End, Product: "Chalk", Kind: formula.PowderLightener,
		Strength: formula.FromVolumes(20), Contact: formula.OffScalp, Condition: formula.Lightened}
	window, _ := formula.Match(formula.Starter().Windows(), formula.Query{Product: ends.Product, Kind: ends.Kind,
		Strength: ends.Strength, Hair: formula.Hair{Contact: ends.Contact, Condition: ends.Condition}})

	var safe []session.Data // no allergy, nothing on the hair, a sound scalp
	for _, q := range safety.Questions() {
		safe = append(safe, session.SafetyAnswered{Question: q.ID, Answer: q.Answers[0].Word})
	}
	safe = append(safe, session.SafetyAnswered{Question: safety.SkinTest, Answer: "3 days ago"})

	log := &session.Log{}
	do := func(m int, data ...session.Data) {
		for _, d := range data {
			events, err := session.Decide(log, at(m), session.Do(d))
			if err == nil {
				err = log.Append(events...)
			}
			if err != nil {
				fmt.Println(err)
			}
		}
	}
	do(0, session.ServiceOpened{Service: "demo", Client: "June L."}, session.ConsultationNoted{},
		session.PlanSet{Name: "Lightening", Action: formula.Lighten, Zones: []session.PlanZone{
			{Name: "Nape", Pieces: 2, Bands: []session.PlanBand{ends}}}},
		session.SafetyAnswered{Question: safety.Airways, Answer: "none"}, // before powder is mixed
		session.BowlMixed{Product: "Chalk", Family: formula.PowderLightener, Mix: formula.Mix{
			Products:   []formula.ProductPart{{Product: "Chalk", Grams: 20}},
			Developers: []formula.DeveloperPart{{Strength: ends.Strength, Grams: 40}}}},
		session.PiecePlaced{Zone: "z1"}) // no question was asked, so this is refused
	do(0, safe...)
	do(0, session.PiecePlaced{Zone: "z1"}, // no limit is known, so this is refused
		session.WindowConfirmed{Row: window, Basis: session.BasisStarter},
		session.PiecePlaced{Zone: "z1"})
	do(8, session.PiecePlaced{Zone: "z1"})

	b := session.Look(log.State(), log.State().Line.Now(at(20)), func(t time.Time) string { return t.Format("15:04") })
	fmt.Println(b.Zones[0].Phase, "from", b.Zones[0].OpensAt.Format("15:04"), "off by", b.Zones[0].LimitAt.Format("15:04"))
	fmt.Println(b.Next.Text)
	// Output:
	// nothing may touch hair before the safety questions are answered (y): 10 open, the first: Is the client 16 or older?
	// no time limit is known for Chalk at 20 vol on the end of Nape (lightened, off scalp): type the minutes from the product's instructions, or confirm a row of the catalogue
	// open from 09:18 off by 09:35
	// Check, then rinse Nape
}
