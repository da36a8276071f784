package tui_test

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/session"
	"rinseby/tui"
)

// write presses the letters of a text.
func (d *desk) write(text string) {
	for _, r := range text {
		if r == ' ' {
			d.press("space")
			continue
		}
		d.press(string(r))
	}
}

func TestHeatNearTheScalpIsAskedAboutTwice(t *testing.T) {
	d := newDesk(t, nil)
	id := d.seat()
	d.press("space", "t", "space", "enter")
	d.sees("2.8 by 3.7 cm, full depth, in")
	d.sees("(Peters 2000)")
	d.sees("Must be off after, minutes")
	d.press("2", "0", "enter", "5", "enter")
	d.sees("Go on all the same?")
	d.sees("the heat off.")
	assert.Empty(t, d.logged(id).State().Zone("z1").Heat)
	d.write("the tub names heat")
	d.press("enter")
	s := d.logged(id).State()
	require.True(t, s.Zone("z1").Heated())
	assert.Equal(t, 20*time.Minute, s.CoatWindow(s.Zone("z1").Coats[0]).Limit)
}

func TestTheSecondServiceOfTheDaySaysWhatTheHairHad(t *testing.T) {
	d := newDesk(t, nil)
	first := d.seat()
	d.press("space")
	d.pass(25 * time.Minute)
	live, err := d.st.Read(first)
	require.NoError(t, err)
	require.Len(t, live.State().HadToday(live.State().Line.Now(d.now)), 1)
	second := d.ready() // the first is live still
	d.open(func(o *tui.Options) { o.Resume = second })
	require.Len(t, d.logged(second).State().Earlier, 1)
	d.press("z")
	d.sees("Nape, root: had 25 min of 30 vol at 09:00 in this visit.")
	d.press("enter", "enter")
	d.write("nape")
	d.sees("nape, root: had 25 min of 30 vol")
	d.press("enter", "2", "enter")
	d.sees("Is it the hair that had that name before?")
	d.press("esc", "+", "3", "enter")
	s := d.logged(second).State()
	assert.Equal(t, 25*time.Minute, s.CoatTiming(s.Zone("z1").Coats[0]).Carried)
	assert.False(t, strings.Contains(d.view(), "Crown, root: had"))
	require.Equal(t, session.Root, s.Earlier[0].Band)
}
