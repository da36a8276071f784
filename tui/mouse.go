package tui

import (
	"strings"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/ansi"

	"rinseby/tui/keys"
)

// mouse turns the mouse into keys: the wheel goes up and down, a click on what
// the foot of the screen says of a key presses it, a click on the top lines of
// the chair does the next thing.
func (a *App) mouse(msg tea.MouseMsg) tea.Cmd {
	if msg.Action != tea.MouseActionPress {
		return nil
	}
	switch msg.Button {
	case tea.MouseButtonWheelUp:
		return a.key(tea.KeyMsg{Type: tea.KeyUp})
	case tea.MouseButtonWheelDown:
		return a.key(tea.KeyMsg{Type: tea.KeyDown})
	case tea.MouseButtonLeft:
		if k, ok := a.clicked(msg.X, msg.Y); ok {
			return a.key(k)
		}
	}
	return nil
}

// clicked finds the key that the screen names at a cell.
func (a *App) clicked(x, y int) (tea.KeyMsg, bool) {
	lines := strings.Split(a.View(), "\n")
	if y < 0 || y >= len(lines) {
		return tea.KeyMsg{}, false
	}
	if a.over == nil && a.log != nil && a.relive == nil && y < nextLines {
		return keys.Message(a.o.Keys.Next), true
	}
	line := ansi.Strip(lines[y])
	for _, b := range append(a.top().Keys(), a.o.Keys.PainAnywhere) {
		if covers(line, b.Help().Key+" ", x) {
			return keys.Message(b), true
		}
	}
	return tea.KeyMsg{}, false
}

// nextLines is how many lines of the chair say what is to be done next.
const nextLines = 4

// covers reports whether cell x of the line lies on what is said of a key: from
// its name to where two spaces follow, or the line ends.
func covers(line, name string, x int) bool {
	for from := 0; ; {
		i := strings.Index(line[from:], name)
		if i < 0 {
			return false
		}
		i += from
		end := len(line)
		if j := strings.Index(line[i:], "  "); j >= 0 {
			end = i + j
		}
		left := ansi.StringWidth(line[:i])
		if (i == 0 || line[i-1] == ' ') && x >= left && x < left+ansi.StringWidth(line[i:end]) {
			return true
		}
		from = i + len(name)
	}
}
