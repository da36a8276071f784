package tui_test

import (
	"testing"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/tui"
)

var ctrlC = tea.KeyMsg{Type: tea.KeyCtrlC}

const asksToLeave = "Leave the practice? Press again to leave"

// What was practised by hand is lost on leaving, so that this takes two presses,
// wherever one is.
func TestAPracticeByHandIsLeftAfterAQuestion(t *testing.T) {
	start := func() *desk { return newDesk(t, func(o *tui.Options) { o.Invented = true }) }
	d := start()
	for _, leave := range []func(){func() { d.press("q") }, func() { d.send(ctrlC) }} {
		leave()
		d.sees(asksToLeave)
		require.False(t, d.quit)
		d.press("down")
		assert.NotContains(t, d.view(), asksToLeave)
		leave()
		d.sees(asksToLeave)
		require.False(t, d.quit, "another key came in between")
		d.press("esc")
		require.False(t, d.quit)
	}
	d.press("n", "q", "q") // typed
	d.sees("qq")
	d.send(ctrlC)
	d.sees(asksToLeave)
	d.sees("qq")
	d.press("q")
	d.sees("qqq")
	d.send(ctrlC)
	require.False(t, d.quit)
	d.send(ctrlC)
	require.True(t, d.quit)

	d = start()
	d.press("?")
	d.send(ctrlC)
	d.sees(asksToLeave)
	d.press("q")
	require.True(t, d.quit)

	d = start()
	d.send(tui.Leave{})
	require.True(t, d.quit, "nobody can be asked")

	d = newDesk(t, nil)
	d.press("q")
	require.True(t, d.quit, "a service stays live, and is not asked about")
}

func TestEscOnTheFirstScreenDoesNotLeave(t *testing.T) {
	d := newDesk(t, nil)
	d.send(tea.WindowSizeMsg{Width: 80, Height: 24})
	d.press("esc", "esc")
	require.False(t, d.quit)
	d.sees("New service")
	d.press("/", "x", "enter", "esc", "esc", "esc")
	require.False(t, d.quit)
}
