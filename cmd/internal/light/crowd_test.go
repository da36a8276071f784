//go:build linux

package light_test

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rinseby/cmd/internal/sysclock"
	"rinseby/session"
	"rinseby/session/formula"
	"rinseby/session/journal"
	"rinseby/session/plain"
	"rinseby/session/safety"
	"rinseby/session/store"
	"rinseby/timing"
)

// crowd fills a store with closed services of invented clients: copies of the
// ordinary day's first and last lines, and the last of full length.
func crowd(t *testing.T, dir string, n int) {
	f, err := os.Open("../../../testdata/ordinary-day.jsonl")
	require.NoError(t, err)
	defer f.Close()
	day, err := plain.Read(f, time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC))
	require.NoError(t, err)
	recs, err := session.Records(day.Events())
	require.NoError(t, err)
	short := []journal.Record{recs[0], recs[len(recs)-1]}
	short[1].Seq = 2
	closed := filepath.Join(dir, "closed")
	require.NoError(t, os.MkdirAll(closed, 0o700))
	const full = 60
	for i := range n {
		from := short
		if i >= n-full {
			from = recs
		}
		all := make([]journal.Record, len(from))
		later := time.Duration(i-n) * time.Hour
		for k, r := range from {
			r.When, r.Recorded.Wall = r.When.Add(later), r.Recorded.Wall.Add(later)
			all[k] = r
		}
		var opened session.ServiceOpened
		require.NoError(t, json.Unmarshal(from[0].Data, &opened))
		opened.Service, opened.Client, opened.Invented = fmt.Sprintf("20200101-0900-%06d", i), fmt.Sprint("Client ", i%5000), false
		all[0].Data, err = json.Marshal(opened)
		require.NoError(t, err)
		text, err := journal.Encode(all)
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(filepath.Join(closed, opened.Service+".jsonl"), text, 0o600))
	}
}

// live puts a service of an invented client into a store, with twelve zones on
// whose limits are far.
func live(t *testing.T, dir string) {
	st, err := store.Open(dir)
	require.NoError(t, err)
	now := sysclock.New().Read()
	hair := session.PlanBand{Band: session.Root, Product: "Chalk", Kind: formula.PowderLightener, Strength: 9, Contact: formula.OffScalp, Condition: formula.Natural}
	plan := session.PlanSet{Name: "Lightening", Action: formula.Lighten}
	for i := range 12 {
		plan.Zones = append(plan.Zones, session.PlanZone{Name: fmt.Sprintf("Zone %d", i+1), Pieces: 4, MinutesPerPiece: 1, Bands: []session.PlanBand{hair}})
	}
	l := &session.Log{}
	do := func(ago time.Duration, all ...session.Data) {
		at := now
		at.Wall, at.Boot = at.Wall.Add(-ago), at.Boot-ago
		for _, d := range all {
			_, err := l.Commit(at, session.Do(d))
			require.NoError(t, err)
		}
	}
	do(40*time.Minute, session.ServiceOpened{Service: "live", Client: "Tove A.", Invented: true}, session.ConsultationNoted{}, plan,
		session.WindowConfirmed{Basis: session.BasisInstructions, Row: formula.Row{Product: "Chalk", Kind: hair.Kind, Strength: 9, Contact: hair.Contact,
			Condition: hair.Condition, Heat: formula.NoHeat, Window: timing.Window{Opens: 30 * time.Minute, Limit: 5 * time.Hour}, Origin: "invented"}},
		session.SafetyAnswered{Question: safety.Airways, Answer: "none"}, // before powder is mixed
		session.BowlMixed{Product: "Chalk", Family: hair.Kind, Mix: formula.Mix{
			Products: []formula.ProductPart{{Product: "Chalk", Grams: 200}}, Developers: []formula.DeveloperPart{{Strength: 9, Grams: 400}}}})
	for _, q := range safety.Questions() {
		a := session.SafetyAnswered{Question: q.ID, Answer: q.Answers[0].Word}
		if q.Kind == safety.Day {
			a.Answer = "2 days ago"
		}
		do(39*time.Minute, a)
	}
	for i := range 11 {
		do(time.Duration(36-3*i)*time.Minute, session.PiecePlaced{Zone: fmt.Sprintf("z%d", i+1), Count: 4})
	}
	recs, err := session.Records(l.Events())
	require.NoError(t, err)
	_, err = st.Import(recs)
	require.NoError(t, err)
}
