package card_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"rinseby/session"
	"rinseby/session/card"
)

func TestTheCutOnTheCard(t *testing.T) {
	c := newChair(t)
	flat, up := 0.0, 90.0
	c.do(session.ServiceOpened{Service: "s1", Client: "June L."},
		session.CutNoted{Section: "Nape", Guide: session.GuideTravelling, Elevation: &flat, OverDirection: "none", LengthMM: 82.5},
		session.CutNoted{Section: "top", Elevation: &up, OverDirection: "forward", Texture: "point cut", Note: "no shorter than the brows"},
		session.CutNoted{Section: "fringe", Note: "as it was"})
	got := card.Make(c.log, c.zero, nil)
	md := got.Markdown()
	again := "\n- Cut: Nape (travelling guide, elevation 0°, no over-direction, 82.5 mm at the guide); top (elevation 90°, over-directed forward, point cut); fringe (see the note)\n"
	_, match, found := strings.Cut(md, "\n## To match next visit\n")
	assert.True(t, found)
	match, _, _ = strings.Cut(match, "\n## ")
	assert.Contains(t, match, again)
	assert.Contains(t, md, "\n## The cut\n\n"+
		"| Section | Guide | Elevation | Over-direction | Length at the guide | Texture | Note |\n| --- | --- | --- | --- | --- | --- | --- |\n"+
		"| Nape | travelling | 0° | none | 82.5 mm |  |  |\n"+
		"| top |  | 90° | forward |  | point cut | no shorter than the brows |\n"+
		"| fringe |  |  |  |  |  | as it was |\n")
	assert.Contains(t, strings.Join(got.Text(100), "\n"), "- Nape: guide travelling; elevation 0°; over-direction none; length at the guide 82.5 mm")

	last := card.LastCut(c.log)
	assert.Len(t, last, 3)
	assert.Equal(t, session.CutNoted{Section: "fringe", Note: "as it was"}, last[2])
	assert.Equal(t, last[0], got.Cuts[0].CutNoted)
}

func TestNoCutWasNoted(t *testing.T) {
	c := newChair(t)
	c.do(session.ServiceOpened{Service: "s1", Client: "June L."})
	assert.Empty(t, card.LastCut(c.log))
	got := card.Make(c.log, c.zero, nil)
	assert.NotNil(t, got.Cuts)
	assert.NotContains(t, got.Markdown(), "Cut")
	assert.NotContains(t, got.Markdown(), "The cut")
}

// What was planned stands beside what was done.
func TestPlannedCoats(t *testing.T) {
	got := card.Make(worked(t).log, worked(t).zero, oslo)
	z := got.Zones[8]
	assert.Equal(t, 2.0, z.PlannedPerPieceMin)
	assert.Equal(t, 1.0, z.PerPieceMin)
	if assert.Len(t, z.PlannedCoats, 2) {
		assert.Equal(t, card.PlannedCoat{Band: session.End, Product: card.Product{Product: "Chalk", Kind: end20.Kind, Strength: 6, Label: "20 vol"}}, z.PlannedCoats[1])
	}
}
