package session_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"

	"rinseby/session"
	"rinseby/session/safety"
)

// The floor puts an emergency first, whatever else presses, and says the chair.
func TestTheFloorSaysWhereHelpIsNeeded(t *testing.T) {
	look := func(c *chair) session.FloorLook {
		b := c.board()
		return session.LookFloor(c.state(), &b, c.reading(), session.Beside{})
	}
	c := inRegion(t, safety.Canada)
	c.at(30).do(emergency)
	help := look(c.at(31.5))
	assert.Equal(t, []any{true, "911", "HELP", session.DoCall}, []any{help.Help, help.Number, help.Phase, help.Verb})
	assert.Equal(t, "HELP: Ferry Stairs 2, Tove A.", help.HelpAt())
	assert.Equal(t, 90*time.Second, help.Now.Sub(help.Since))
	assert.True(t, help.HandsAt.IsZero(), "hands are needed now")

	over := lightening(t)
	over.at(0).do(place("z1", 4))
	over.at(90).do(session.PainReported{})
	pained := look(over)
	assert.Equal(t, []any{"pain", "", false}, []any{pained.Phase, pained.HelpAt(), pained.Help})
	assert.Negative(t, session.FloorOrder(help, pained))
	assert.Positive(t, session.FloorOrder(pained, help))

	itchy := lightening(t)
	itchy.at(0).do(place("z1", 4))
	itchy.at(1).do(mildItch)
	l := look(itchy)
	assert.Equal(t, []any{"itch", itchy.zero.Add(4 * time.Minute)}, []any{l.Phase, l.HandsAt})
	eye := lightening(t)
	eye.at(0).do(inEye)
	assert.Equal(t, "eye", look(eye).Phase)

	c.do(session.ReactionNoted{When: session.AskHelp})
	assert.Equal(t, []any{"emergency", ""}, []any{look(c).Phase, look(c).HelpAt()})
}
