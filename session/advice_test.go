package session_test

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rinseby/session"
	"rinseby/session/formula"
)

// head opens a service whose zones of ten pieces on natural roots, 30 vol, are
// to be placed, two minutes a piece.
func head(t *testing.T, zones int) *chair {
	c := newChair(t)
	plan := session.PlanSet{Name: "Lightening", Action: formula.Lighten}
	for range zones {
		plan.Zones = append(plan.Zones, session.PlanZone{Name: "Zone", Pieces: 10, MinutesPerPiece: 2, Bands: []session.PlanBand{root30}})
	}
	c.do(session.ServiceOpened{Service: "s1", Client: "June L."}, plan)
	return c
}

func (c *chair) advice(rows []formula.Row) string {
	c.t.Helper()
	ask, ok := c.state().AskAdvice(c.now, 0, rows)
	require.True(c.t, ok)
	lines, err := ask.Lines(func(at time.Time) string { return at.Format("15:04") })
	require.NoError(c.t, err)
	return strings.Join(lines, "\n")
}

func TestAdviceForAHeadThatFits(t *testing.T) {
	text := head(t, 2).advice(formula.Starter().Windows())
	require.Contains(t, text, "One pair of hands gets every zone off inside its limit")
	require.Contains(t, text, "09:00 to 09:20  place Zone")
	require.Contains(t, text, "to the basin with Zone")
	require.Regexp(t, `every zone is in time, with .* to spare`, text)
}

// A zone of ten pieces at two minutes has its newest piece in 18 minutes after
// its oldest, and hands are free after 20. With a window from 20 to 34 minutes
// it can't be open before it is over: the newest is open at 20 + 20 and off
// after four minutes of rinsing, the oldest over at 34, so that 10 minutes are
// too many. At twice the pace it is in after 10, and off at 34.
func TestAdviceForAHeadThatDoesNot(t *testing.T) {
	narrow := row(root30, 20, 34).Row
	wide := row(root30, 20, 60).Row
	wide.Strength = 6
	text := head(t, 1).advice([]formula.Row{narrow, wide})
	require.Contains(t, text, "can't get every zone off inside its limit. At the least harm Zone is 10 min over")
	require.Contains(t, text, "It fits at 200 % of the pace")
	require.Contains(t, text, "It fits with weaker developer, by the catalogue's windows: Zone 20 vol.")
}

func TestAdviceNeedsWindows(t *testing.T) {
	_, ok := head(t, 1).state().AskAdvice(time.Time{}, 0, nil)
	require.False(t, ok)
}
