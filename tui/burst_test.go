package tui_test

import (
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// pressed is how many pieces are in after the one key was pressed so long after
// the press before, each time, all as messages of their own.
func (d *desk) pressed(id string, after ...time.Duration) int {
	before := d.logged(id).State().Zone("z1").Done()
	for _, wait := range after {
		d.pass(wait)
		d.send(tea.KeyMsg{Type: tea.KeySpace, Runes: []rune{' '}})
	}
	return d.logged(id).State().Zone("z1").Done() - before
}

const ms = time.Millisecond

func TestABurstOfPressesIsOnePiece(t *testing.T) {
	d := newDesk(t, nil)
	id := d.seat() // four pieces
	require.Equal(t, 1, d.pressed(id, time.Minute, 60*ms, 60*ms, 60*ms, 60*ms, 60*ms), "six in 0.3 s")
	d.sees("Logged: ")
	d.sees("several? +")
	require.Equal(t, 2, d.pressed(id, 200*ms, 200*ms), "a pedal that is pressed twice")
	assert.NotContains(t, d.view(), "several?")
	d.press("+")
	d.sees("How many")
	d.press("esc", "u", "u")
	require.Equal(t, 1, d.logged(id).State().Zone("z1").Done())
	d.pass(time.Minute)
	d.send(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune("   ")})
	require.Equal(t, 2, d.logged(id).State().Zone("z1").Done(), "several in one message are as quick")
	d.sees("several? +")
	require.Equal(t, 1, d.pressed(id, 120*ms), "nothing is blocked")
}

// The last piece of a burst does not run on into what comes after it.
func TestABurstEndsWithItsPiece(t *testing.T) {
	d := newDesk(t, nil)
	id := d.seat()
	require.Equal(t, 3, d.pressed(id, time.Minute, time.Minute, time.Minute))
	d.pass(25 * time.Minute) // the oldest is ready: the next thing after the last piece is a rinse
	require.Equal(t, 1, d.pressed(id, time.Minute, 30*ms, 30*ms, 30*ms))
	require.Nil(t, d.logged(id).State().OpenTrip())
}

// Other keys are as quick as they are, and so is typed text.
func TestOnlyTheOneKeyHasBursts(t *testing.T) {
	d := newDesk(t, nil)
	id := d.seat()
	d.pass(time.Minute)
	for _, k := range []string{"space", "u", "space", "u", "space"} { // each undo stands between
		d.send(map[string]tea.KeyMsg{"space": {Type: tea.KeySpace, Runes: []rune{' '}}, "u": {Type: tea.KeyRunes, Runes: []rune("u")}}[k])
	}
	require.Equal(t, 1, d.logged(id).State().Zone("z1").Done())
	d.press("n")
	d.send(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune("nn  nn")})
	d.press("ctrl+s")
	notes := d.logged(id).State().Notes
	require.Len(t, notes, 1)
	require.Equal(t, "nn  nn", notes[0].Text)
}

// However presses follow one another: those that stand 120 ms and more after
// the one before count, and no others.
func TestAsManyPiecesAsPressesThatAreMeant(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		d := newDesk(t, nil)
		id := d.seat()
		meant, after := 1, []time.Duration{time.Minute}
		for meant < 3 && len(after) < 12 {
			gap := time.Duration(rapid.IntRange(0, 300).Draw(rt, "ms")) * ms
			if gap >= 120*ms {
				meant++
			}
			after = append(after, gap)
		}
		require.Equal(rt, meant, d.pressed(id, after...), "%v", after)
	})
}
