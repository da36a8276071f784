// Package find is the line in which one types what a list or a page is to be
// narrowed down to.
package find

import (
	"strings"

	"github.com/charmbracelet/bubbles/key"
	"github.com/charmbracelet/bubbles/textinput"
	tea "github.com/charmbracelet/bubbletea"

	"rinseby/tui/clean"
	"rinseby/tui/keys"
)

// A Line is that line. The zero Line is not ready; use New.
type Line struct {
	keys   keys.Find
	in     textinput.Model
	typing bool
	text   string // what was typed, cleaned
	low    string // the same in small letters
}

// New makes a line that is closed and holds nothing back.
func New(km keys.Find) Line {
	in := textinput.New()
	in.Prompt, in.CharLimit = "", 80
	return Line{keys: km, in: in}
}

// Update takes a key. It answers whether the key was the line's own: the one
// that opens it, and all keys while it is typed in. Enter keeps what was typed,
// esc gives it up, and once more if it was kept.
func (l *Line) Update(k tea.KeyMsg) bool {
	switch {
	case !l.typing && key.Matches(k, l.keys.Open):
		l.typing = true
		l.in.Focus()
	case !l.typing && l.text != "" && key.Matches(k, l.keys.Drop):
		l.in.SetValue("")
	case !l.typing:
		return false
	case key.Matches(k, l.keys.Drop):
		l.in.SetValue("")
		l.stop()
	case key.Matches(k, l.keys.Keep):
		l.stop()
	case k.Type == tea.KeyUp || k.Type == tea.KeyDown:
		l.stop()
		return false
	default:
		l.in, _ = l.in.Update(k) // its commands are only for cursors that blink
	}
	l.text = strings.TrimSpace(clean.Text(l.in.Value()))
	l.low = strings.ToLower(l.text)
	return true
}

func (l *Line) stop() {
	l.typing = false
	l.in.Blur()
}

// Typing reports whether keys go into the line.
func (l *Line) Typing() bool { return l.typing }

// Text is what was typed, cleaned; empty if nothing is held back.
func (l *Line) Text() string { return l.text }

// Has reports whether a text has what was typed in it, whatever the case.
func (l *Line) Has(text string) bool {
	return strings.Contains(strings.ToLower(text), l.low)
}

// Keys lists what can be pressed.
func (l *Line) Keys() []key.Binding {
	switch {
	case l.typing:
		return []key.Binding{l.keys.Keep, l.keys.Drop}
	case l.text != "":
		return []key.Binding{l.keys.Open, l.keys.Drop}
	}
	return []key.Binding{l.keys.Open}
}
