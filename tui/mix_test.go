package tui_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"rinseby/session"
	"rinseby/session/formula"
)

// A bowl with a weaker developer goes by the limit of the next stronger one
// that was said, and its form says so.
func TestTheBowlFormSaysWhoseLimitRules(t *testing.T) {
	d := newDesk(t, nil)
	id := d.ready()
	live, err := d.st.Resume(d.now, id, "test")
	require.NoError(t, err)
	ends := session.PlanBand{Band: session.End, Product: "Chalk", Kind: formula.PowderLightener, Strength: 6, Contact: formula.OffScalp, Condition: formula.Natural}
	_, err = live.Do(d.now, session.Do(session.PlanChanged{Change: session.ChangeBands, Zone: "z1", Bands: append(d.logged(id).State().Zone("z1").Bands, ends)}))
	require.NoError(t, err)
	require.NoError(t, live.Close())
	d.open(nil)
	d.press("enter")
	d.sees("MIX CHALK 20 VOL")
	d.press("space")
	said := strings.Join(strings.Fields(d.view()), " ")
	require.Contains(t, said, "Off after 40 min at the latest: the limit for 30 vol, since none was said for 20 vol.")
}

// A bowl that is stronger than a cap says for which hair the cap does not hold.
func TestTheBowlFormSaysWhyACapDoesNotHold(t *testing.T) {
	d := newDesk(t, nil)
	id := d.ready()
	live, err := d.st.Resume(d.now, id, "test")
	require.NoError(t, err)
	_, err = live.Do(d.now, session.Do(session.SafetyAnswered{Question: "history", Answer: "lightened before"}), session.Do(session.BowlEmptied{Bowl: "b1"}))
	require.NoError(t, err)
	require.NoError(t, live.Close())
	d.open(nil)
	d.press("enter", "m")
	said := strings.Join(strings.Fields(d.view()), " ")
	require.Contains(t, said, "By the safety answers: at most 20 vol on lightened hair or worse. This bowl is planned for natural hair.")
}
