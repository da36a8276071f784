package history

import (
	"encoding/json"
	"fmt"
	"hash/crc32"
	"sync"
	"time"

	"rinseby/session"
	"rinseby/session/formula"
	"rinseby/timing"
)

// rules tells by what rules usual times are made: a checksum of what comes of
// a specimen. House figures, the cutting of logs, the fit, and the shape of
// what is written down can't change without it.
var rules = sync.OnceValue(func() string {
	log, err := session.Fold(specimen())
	if err != nil {
		return err.Error()
	}
	s := Of(log)
	known, err := Fit([]Service{s})
	if err != nil {
		return err.Error()
	}
	text, err := json.Marshal([]any{s, known})
	if err != nil {
		return err.Error()
	}
	return fmt.Sprintf("%08x", crc32.Checksum(text, castagnoli))
})

// specimen is a made-up service that has each kind of stint.
func specimen() (events []session.Event) {
	at := time.Unix(0, 0).UTC()
	add := func(minutes float64, data session.Data) {
		at = at.Add(span(minutes))
		events = append(events, session.Event{Seq: len(events) + 1, When: at, Recorded: timing.Reading{Wall: at}, Data: data})
	}
	plan := session.PlanBand{Band: session.Root, Product: "Chalk", Kind: formula.PowderLightener, Strength: 9}
	later := session.PlanBand{Band: session.End, Product: "Chalk", Kind: formula.PowderLightener, Strength: 9, Later: true}
	root, end := []session.CoatOn{{Band: session.Root, Bowl: "b1"}}, []session.CoatOn{{Band: session.End, Bowl: "b1"}}
	zone := func(id string, bands ...session.PlanBand) session.PlanZone {
		return session.PlanZone{ID: id, Name: id, Pieces: 4, MinutesPerPiece: 2, Technique: "weave", Bands: bands}
	}
	add(0, session.ServiceOpened{Service: "specimen", Client: "nobody", Steps: []session.PlanStep{{Name: "talk", Minutes: 8, Before: true}, {Name: "drying"}}})
	add(0, session.PlanSet{Round: "r1", Name: "one", Action: formula.Lighten, Zones: []session.PlanZone{zone("z1", plan), zone("z2", plan, later)}})
	add(1, session.StepBegan{Step: "talk"})
	add(7, session.StepEnded{Step: "talk"})
	add(4, session.BowlMixed{Bowl: "b1", Product: "Chalk", Family: formula.PowderLightener, Mix: formula.Mix{
		Developers: []formula.DeveloperPart{{Strength: 9, Grams: 40}}}})
	for _, minutes := range []float64{2, 2.5, 1.5, 3} {
		add(minutes, session.PiecePlaced{Zone: "z1", Count: 1, Coats: root})
	}
	add(3, session.BowlMixed{Bowl: "b2", Product: "Chalk", Family: formula.PowderLightener, Mix: formula.Mix{
		Developers: []formula.DeveloperPart{{Strength: 9, Grams: 40}}}})
	add(2, session.RinseBegan{Trip: "t1", Zones: []string{"z1"}})
	add(5, session.RinseEnded{Trip: "t1", Zones: []string{"z1"}})
	add(6, session.PiecePlaced{Zone: "z2", Count: 1, Coats: root})
	add(0, session.HelperJoined{Name: "Sam"})
	add(4, session.PiecePlaced{Zone: "z2", Count: 3, Coats: root})
	add(3, session.CoatApplied{Zone: "z2", Coats: end})
	add(20, session.RinseBegan{Trip: "t2", Zones: []string{"z2"}})
	add(4, session.RinseEnded{Trip: "t2", Zones: []string{"z2"}})
	add(1, session.StepBegan{Step: "drying"})
	add(15, session.StepEnded{Step: "drying"})
	add(5, session.ServiceClosed{})
	return events
}

// span turns minutes into a time.
func span(minutes float64) time.Duration { return time.Duration(minutes * float64(time.Minute)) }
