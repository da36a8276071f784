package session_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rinseby/session"
	"rinseby/session/formula"
)

func found(c map[session.Band]formula.Condition) session.ConsultationNoted {
	return session.ConsultationNoted{Conditions: c}
}

// Hair that was found worse than planned only ever shortens what may be done.
func TestConsultationTempersThePlan(t *testing.T) {
	c := lightening(t)
	roots := row(root30, 10, 20)
	roots.Row.Condition = formula.Coloured
	c.do(found(map[session.Band]formula.Condition{session.Root: formula.Coloured, session.End: formula.Natural}))
	z := c.state().Zone("z1")
	require.Equal(t, formula.Coloured, z.Band(session.Root).Condition)
	require.Equal(t, formula.Lightened, z.Band(session.End).Condition, "better than planned changes nothing")

	var none *session.ErrNoWindow
	require.ErrorAs(t, c.try(session.Do(place("z1", 1))), &none, "the row for natural hair does not serve")
	require.Equal(t, formula.Coloured, none.Query.Condition)
	c.do(roots)
	c.at(1).do(place("z1", 1))
	require.Equal(t, c.zero.Add(21*time.Minute), c.zone("z1").LimitAt)

	c.do(found(nil))
	require.Equal(t, formula.Natural, c.state().Zone("z1").Band(session.Root).Condition, "the plan itself is kept")
	require.Equal(t, c.zero.Add(21*time.Minute), c.zone("z1").LimitAt, "what is on keeps to both")
}

func TestZonesAddedLaterAreTemperedToo(t *testing.T) {
	c := lightening(t)
	c.do(found(map[session.Band]formula.Condition{session.Root: formula.Sensitive}))
	c.do(session.PlanChanged{Change: session.ChangeAdd, Round: "r1", Add: &session.PlanZone{Name: "Fringe", Pieces: 2, Bands: []session.PlanBand{root30}}})
	require.Equal(t, formula.Sensitive, c.state().Zone("z3").Bands[0].Condition)
}
