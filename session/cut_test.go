package session_test

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/session"
)

func degrees(d float64) *float64 { return &d }

func TestCutsAreOneASectionInTheOrderOfNoting(t *testing.T) {
	c := ready(t)
	c.at(5).do(session.CutNoted{Section: "Nape", Guide: session.GuideTravelling, Elevation: degrees(0), LengthMM: 80})
	c.at(6).do(session.CutNoted{Section: "back", Texture: "point cut"})
	c.at(7).do(session.CutNoted{Section: " nape", Guide: session.GuideStationary})
	cuts := c.state().Cuts
	require.Len(t, cuts, 2)
	assert.Equal(t, session.CutNoted{Section: " nape", Guide: session.GuideStationary}, cuts[0].CutNoted, "the later one replaces all of the earlier")
	assert.Equal(t, c.zero.Add(7*60e9), cuts[0].At)
	assert.Equal(t, "back", cuts[1].Section)
	c.undo()
	assert.Zero(t, *c.state().Cuts[0].Elevation, "an elevation of 0 is one that was noted")
	assert.Equal(t, 80.0, c.state().Cuts[0].LengthMM)
}

func TestRefusedOfACut(t *testing.T) {
	cut := func(change func(*session.CutNoted)) session.CutNoted {
		d := session.CutNoted{Section: "nape", Guide: session.GuideNone}
		change(&d)
		return d
	}
	long := strings.Repeat("x", session.MaxName+1)
	refuses(t, ready(t), []refusal{
		no("no section", session.CutNoted{Guide: session.GuideNone}, "say which section of the head"),
		no("blank section", session.CutNoted{Section: " \t", Guide: session.GuideNone}, "say which section of the head"),
		no("nothing said", session.CutNoted{Section: "nape", Note: " "}, "nothing says how the nape was cut: give at least one"),
		no("no such guide", cut(func(d *session.CutNoted) { d.Guide = "moving" }), "say none, stationary or travelling"),
		no("below hanging down", cut(func(d *session.CutNoted) { d.Elevation = degrees(-1) }), "0 (falls straight down) to 180"),
		no("above straight up", cut(func(d *session.CutNoted) { d.Elevation = degrees(180.5) }), "0 (falls straight down) to 180"),
		no("elevation that is no number", cut(func(d *session.CutNoted) { d.Elevation = degrees(math.NaN()) }), "0 (falls straight down) to 180"),
		no("length below 0", cut(func(d *session.CutNoted) { d.LengthMM = -1 }), "0 (not noted) to 1500 mm"),
		no("length of no hair", cut(func(d *session.CutNoted) { d.LengthMM = 1501 }), "0 (not noted) to 1500 mm"),
		no("long section", cut(func(d *session.CutNoted) { d.Section = long }), "too long"),
		no("long over-direction", cut(func(d *session.CutNoted) { d.OverDirection = long }), "too long"),
		no("long texture", cut(func(d *session.CutNoted) { d.Texture = long }), "too long"),
		no("long tool", cut(func(d *session.CutNoted) { d.Tool = long }), "too long"),
		no("long note", cut(func(d *session.CutNoted) { d.Note = strings.Repeat("x", session.MaxText+1) }), "too long"),
	})
	c := ready(t)
	c.do(session.ServiceClosed{})
	refuses(t, c, []refusal{no("after the closing", cut(func(*session.CutNoted) {}), "the service is closed")})
	refuses(t, &chair{t: t, log: &session.Log{}, now: c.now}, []refusal{no("before the opening", cut(func(*session.CutNoted) {}), "not open yet")})
}

func TestSayACut(t *testing.T) {
	s := &session.State{}
	for _, tt := range []struct {
		cut  session.CutNoted
		want string
	}{
		{session.CutNoted{Section: "nape", Guide: session.GuideTravelling, Elevation: degrees(45), OverDirection: "forward", LengthMM: 82.5, Texture: "point cut", Tool: "shears", Note: "left out"},
			"cut noted: nape, travelling guide, elevation 45°, over-directed forward, 82.5 mm at the guide, point cut, shears"},
		{session.CutNoted{Section: "top", Guide: session.GuideNone, Elevation: degrees(0), OverDirection: "none"}, "cut noted: top, no guide, elevation 0°, no over-direction"},
		{session.CutNoted{Section: "fringe", Note: "x"}, "cut noted: fringe"},
	} {
		assert.Equal(t, tt.want, s.Say(tt.cut))
	}
}

func TestCutOf(t *testing.T) {
	cuts := []session.CutNoted{{Section: "Left  side", Tool: "razor"}, {Section: "top"}}
	assert.Equal(t, "razor", session.CutOf(cuts, " left side").Tool)
	assert.Nil(t, session.CutOf(cuts, "nape"))
}
