package template_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/session"
	"rinseby/session/formula"
	"rinseby/session/safety"
	"rinseby/session/template"
	"rinseby/timing"
)

// planned is a service that was opened with a list.
func planned(t *testing.T, list *template.List) *session.Log {
	plans, steps, err := list.Plans(formula.Starter())
	require.NoError(t, err)
	cmds := []session.Command{session.Do(session.ServiceOpened{Service: "s1", Client: "Tove A.", Steps: steps})}
	for _, p := range plans {
		cmds = append(cmds, session.Do(p))
	}
	l := &session.Log{}
	require.NoError(t, commit(l, 0, cmds...))
	return l
}

func commit(l *session.Log, minute int, cmds ...session.Command) error {
	at := time.Date(2026, 3, 2, 9, minute, 0, 0, time.UTC)
	events, err := session.Decide(l, timing.Reading{Wall: at, Boot: time.Duration(minute+1) * time.Minute, BootID: "a"}, cmds...)
	if err != nil {
		return err
	}
	return l.Append(events...)
}

// instead plans a service anew from a list.
func instead(t *testing.T, l *session.Log, minute int, list *template.List) error {
	plans, _, err := list.Plans(formula.Starter())
	require.NoError(t, err)
	data, err := template.Instead(l.State(), plans)
	if err != nil {
		return err
	}
	var cmds []session.Command
	for _, d := range data {
		cmds = append(cmds, session.Do(d))
	}
	return commit(l, minute, cmds...)
}

// A row is a zone as it was planned.
type row struct {
	round, zone string
	pieces      int
	hair        int // zones on the same hair
}

func rows(s *session.State) (all []row) {
	for _, r := range s.Rounds {
		for _, z := range s.RoundZones(r) {
			all = append(all, row{r.Name, z.Name, z.Pieces, len(z.SameHairAs)})
		}
	}
	return all
}

func TestAnyListTakesThePlaceOfAnyOther(t *testing.T) {
	for _, was := range template.Builtin() {
		for _, is := range template.Builtin() {
			l := planned(t, was)
			old := map[string]bool{}
			for _, z := range l.State().Zones {
				old[z.ID] = true
			}
			require.NoError(t, instead(t, l, 1, is), "%s, then %s", was.Name, is.Name)
			require.Equal(t, rows(planned(t, is).State()), rows(l.State()), "%s, then %s", was.Name, is.Name)
			for _, z := range l.State().Zones {
				assert.True(t, z.Dropped || !old[z.ID], "%s has the id of an old zone", z.Name)
			}
			require.NoError(t, instead(t, l, 2, was))
			require.Equal(t, rows(planned(t, was).State()), rows(l.State()), "and back")
		}
	}
}

func TestNoListTakesThePlaceOfWhatIsOn(t *testing.T) {
	full, half := template.Builtin()[0], template.Builtin()[1]
	l := planned(t, full)
	require.True(t, template.Untouched(l.State()))
	z := l.State().Zones[0]
	cmds := []session.Command{session.Do(session.ConsultationNoted{})}
	for _, q := range safety.Questions() {
		a := session.SafetyAnswered{Question: q.ID, Answer: q.Answers[0].Word}
		if q.Kind == safety.Day {
			a.Answer = "2 days ago"
		}
		cmds = append(cmds, session.Do(a))
	}
	for _, b := range z.Bands {
		cmds = append(cmds, session.Do(session.WindowConfirmed{Basis: session.BasisInstructions, Row: formula.Row{
			Product: b.Product, Kind: b.Kind, Strength: b.Strength, Window: timing.Window{Limit: 40 * time.Minute}, Origin: "an invented leaflet"}}),
			session.Do(session.BowlMixed{Product: b.Product, Family: b.Kind, Mix: formula.Mix{
				Products:   []formula.ProductPart{{Product: b.Product, Grams: 30}},
				Developers: []formula.DeveloperPart{{Strength: b.Strength, Grams: 60}}}}))
	}
	require.NoError(t, commit(l, 1, cmds...))
	require.NoError(t, commit(l, 2, session.Do(session.PiecePlaced{Zone: z.ID})))
	assert.False(t, template.Untouched(l.State()))
	assert.ErrorContains(t, instead(t, l, 3, half), "change the zones one by one")
}

func TestAServiceWithoutZonesIsPlannedFromAList(t *testing.T) {
	half := template.Builtin()[1]
	l := &session.Log{}
	require.NoError(t, commit(l, 0, session.Do(session.ServiceOpened{Service: "s1", Client: "Tove A."})))
	require.NoError(t, instead(t, l, 1, half))
	assert.Equal(t, planned(t, half).State().Zones, l.State().Zones)
}

func TestARoundWhoseZonesWereDroppedIsPlannedAnew(t *testing.T) {
	full, half := template.Builtin()[0], template.Builtin()[1]
	l := planned(t, full)
	for _, z := range l.State().Zones {
		require.NoError(t, commit(l, 1, session.Do(session.PlanChanged{Change: session.ChangeDrop, Zone: z.ID})))
	}
	require.NoError(t, instead(t, l, 2, half))
	assert.Equal(t, rows(planned(t, half).State()), rows(l.State()))
}
