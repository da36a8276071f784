package form_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"rinseby/session"
	"rinseby/tui/form"
	"rinseby/tui/intent"
)

func degrees(d float64) *float64 { return &d }

var lastCut = []session.CutNoted{
	{Section: "Sides", Guide: session.GuideStationary, Elevation: degrees(45), OverDirection: "to the ear", LengthMM: 95, Texture: "point cut", Tool: "shears", Note: "left corner heavier"},
	{Section: "cowlick", Guide: session.GuideNone, Elevation: degrees(0)},
}

func TestCutNew(t *testing.T) {
	f := open(form.Cut(th, newChair(t).state(), nil))
	assert.Contains(t, f.View(), "Noted so far: nothing.")
	assert.NotContains(t, f.View(), "last visit")
	got := press(t, f, "right", "enter", // back
		"right", "right", "right", "enter", "90", "enter", "right", "right", "enter", "110", "enter",
		"right", "right", "enter", "right", "enter", "weight kept low", "enter")
	d := session.CutNoted{Section: "back", Guide: session.GuideTravelling, Elevation: degrees(90), OverDirection: "forward", LengthMM: 110,
		Texture: "point cut", Tool: "shears", Note: "weight kept low"}
	assert.Equal(t, saves("Cut noted: back", d), got)
	newChair(t).carryOut(got)
}

func TestCutOfASectionInOwnWords(t *testing.T) {
	f := open(form.Cut(th, newChair(t).state(), nil))
	press(t, f, "end", "enter")
	assert.Contains(t, f.View(), "Section, in your words")
	assert.Nil(t, press(t, f, "enter"), "no name")
	assert.Contains(t, f.View(), "! type what the section is called")
	got := press(t, f, " undercut ", "enter", "enter", "0", "save")
	assert.Equal(t, saves("Cut noted: undercut", session.CutNoted{Section: "undercut", Elevation: degrees(0)}), got)
	newChair(t).carryOut(got)
}

func TestCutOffersTheLastVisits(t *testing.T) {
	c := newChair(t)
	f := open(form.Cut(th, c.state(), lastCut))
	view := f.View()
	assert.Contains(t, view, "Noted at the last visit, and offered: Sides, cowlick.")
	assert.Contains(t, view, "Last visit: Sides, stationary guide, elevation 45°, over-directed to the ear,")
	want := lastCut[0]
	want.Section = "sides"
	got := press(t, f, "save")
	assert.Equal(t, saves("Cut noted: sides", want), got)
	c.carryOut(got)

	f = open(form.Cut(th, c.state(), lastCut))
	assert.Contains(t, f.View(), "Noted so far: sides.")
	assert.Contains(t, f.View(), "Last visit: cowlick, no guide, elevation 0°", "what is not noted yet comes first")
	got = press(t, f, "save")
	assert.Equal(t, saves("Cut noted: cowlick", lastCut[1]), got)
	c.carryOut(got)
	assert.Contains(t, open(form.Cut(th, c.state(), lastCut)).View(), "nape", "then the usual ones")
}

func TestCutFollowsTheSectionButKeepsWhatWasTyped(t *testing.T) {
	f := open(form.Cut(th, newChair(t).state(), lastCut))
	press(t, f, "enter", "enter", "wipe", "60", "back", "back") // another elevation, then back to the section
	press(t, f, "home", "end", "left")                          // cowlick
	got := press(t, f, "save").(intent.Log)
	assert.Equal(t, session.CutNoted{Section: "cowlick", Guide: session.GuideNone, Elevation: degrees(60)}, got.Commands[0].Data)
	press(t, f, "home")
	got = press(t, f, "save").(intent.Log)
	assert.Equal(t, session.CutNoted{Section: "nape", Elevation: degrees(60)}, got.Commands[0].Data, "nothing was noted of it")
}

func TestCutOffersWhatIsToBeReplaced(t *testing.T) {
	c := newChair(t)
	for _, s := range session.CutSections {
		c.do(session.CutNoted{Section: s, Texture: "blunt"})
	}
	f := open(form.Cut(th, c.state(), nil))
	assert.Contains(t, f.View(), "Noted already, and to be replaced: nape, blunt")
	got := press(t, f, "enter", "enter", "wipe", "save").(intent.Log)
	assert.Equal(t, session.CutNoted{Section: "nape", Texture: "blunt"}, got.Commands[0].Data)
	c.carryOut(got)
}

func TestCutChecksWhileTyping(t *testing.T) {
	f := open(form.Cut(th, newChair(t).state(), nil))
	press(t, f, "enter", "enter", "181")
	assert.Contains(t, f.View(), "! 181 is out of bounds: type a number from 0 to 180")
	press(t, f, "wipe", "enter", "enter", "1501")
	assert.Contains(t, f.View(), "! 1501 is out of bounds: type a number from 0 to 1500")
	assert.Nil(t, press(t, f, "wipe", "save"))
	assert.Contains(t, f.View(), "! nothing says yet how the nape was cut: fill in at least one line")
}

func TestCutOfHostileWords(t *testing.T) {
	const evil = "na\x1b[2Jpe\u202e\nx"
	last := []session.CutNoted{{Section: evil, OverDirection: evil, Texture: evil, Tool: evil, Note: evil}}
	f := open(form.Cut(th, newChair(t).state(), last))
	for range 5 {
		view := f.View()
		assert.NotContains(t, view, "\x1b[2J")
		assert.NotContains(t, view, "\u202e")
		press(t, f, "tab")
	}
	got := press(t, f, "save").(intent.Log)
	assert.Equal(t, last[0].Texture, got.Commands[0].Data.(session.CutNoted).Texture, "the log keeps what it had")
}
