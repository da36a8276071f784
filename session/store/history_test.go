package store

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rinseby/session"
	"rinseby/session/formula"
	"rinseby/session/journal"
	"rinseby/session/safety"
	"rinseby/timing"
)

// A day is an invented service to be made up: its pace, and how many zones of
// eight pieces it has.
type day struct {
	id, stylist string
	opened      time.Time
	piece       time.Duration
	zones       int
	real        bool // not marked as invented
}

// visit is the records of a closed service: consultation, bowl, pieces, one
// trip, drying.
func visit(t testing.TB, d day) []journal.Record {
	t.Helper()
	l, at := &session.Log{}, d.opened
	do := func(after time.Duration, data ...session.Data) {
		at = at.Add(after)
		cmds := make([]session.Command, len(data))
		for i := range data {
			cmds[i] = session.Do(data[i])
		}
		events, err := session.Decide(l, timing.Reading{Wall: at, Boot: at.Sub(d.opened) + time.Hour, BootID: "a"}, cmds...)
		require.NoError(t, err)
		require.NoError(t, l.Append(events...))
	}
	band := session.PlanBand{Band: session.Root, Product: "Chalk", Kind: formula.PowderLightener, Strength: 6, Contact: formula.OffScalp, Condition: formula.Natural}
	plan := session.PlanSet{Name: "Lightening", Action: formula.Lighten}
	for i := range d.zones {
		plan.Zones = append(plan.Zones, session.PlanZone{Name: fmt.Sprintf("Zone %d", i+1), Pieces: 8, MinutesPerPiece: 1.5, Technique: "weave", Bands: []session.PlanBand{band}})
	}
	do(0, session.ServiceOpened{Service: d.id, Client: "Tove A.", Stylist: d.stylist, Station: "station 1", ZoneList: "Half head", Invented: !d.real,
		Steps: []session.PlanStep{{Name: "drying", Minutes: 20}}})
	do(0, session.ConsultationNoted{NaturalDepth: 6}, plan,
		session.WindowConfirmed{Basis: session.BasisInstructions, Row: formula.Row{Kind: formula.PowderLightener, Strength: 6, Window: timing.Window{Opens: 10 * time.Minute, Limit: 4 * time.Hour}}})
	for _, q := range safety.Questions() {
		a := session.SafetyAnswered{Question: q.ID, Answer: q.Answers[0].Word}
		if q.Kind == safety.Day {
			a.Answer = "2 days ago"
		}
		do(0, a)
	}
	do(8*time.Minute, session.BowlMixed{Product: "Chalk", Family: formula.PowderLightener, LifeS: 6000, Mix: formula.Mix{
		Products: []formula.ProductPart{{Product: "Chalk", Grams: 40}}, Developers: []formula.DeveloperPart{{Strength: 6, Grams: 80}}}})
	trip := session.RinseBegan{}
	for i := range d.zones {
		zone := fmt.Sprintf("z%d", i+1)
		trip.Zones = append(trip.Zones, zone)
		for n := range 8 {
			do(d.piece+time.Duration(n%3-1)*10*time.Second, session.PiecePlaced{Zone: zone, Count: 1, Coats: []session.CoatOn{{Band: session.Root, Bowl: "b1"}}})
		}
	}
	do(15*time.Minute, trip)
	do(5*time.Minute, session.RinseEnded{})
	do(time.Minute, session.StepBegan{Step: "drying"})
	do(18*time.Minute, session.StepEnded{Step: "drying"})
	do(4*time.Minute, session.ServiceClosed{Outcome: "even"})
	recs, err := session.Records(l.Events())
	require.NoError(t, err)
	return recs
}

// renamed is a copy of a service under another id, opened so much later.
func renamed(t testing.TB, recs []journal.Record, id, client, stylist string, later time.Duration) []journal.Record {
	t.Helper()
	out := make([]journal.Record, len(recs))
	for i, r := range recs {
		r.When, r.Recorded.Wall = r.When.Add(later), r.Recorded.Wall.Add(later)
		out[i] = r
	}
	var opened session.ServiceOpened
	require.NoError(t, json.Unmarshal(recs[0].Data, &opened))
	opened.Service, opened.Client, opened.Stylist = id, client, stylist
	data, err := json.Marshal(opened)
	require.NoError(t, err)
	out[0].Data = data
	return out
}

// lay puts records into the closed folder of a store, as a copy from elsewhere.
func lay(t testing.TB, dir string, recs []journal.Record) {
	t.Helper()
	var opened session.ServiceOpened
	require.NoError(t, json.Unmarshal(recs[0].Data, &opened))
	text, err := journal.Encode(recs)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(filepath.Join(dir, closedFolder, opened.Service+suffix), text, 0o600))
}

func removeSummary(t testing.TB, dir string) {
	t.Helper()
	require.NoError(t, os.RemoveAll(filepath.Join(dir, summaryFolder)))
}
