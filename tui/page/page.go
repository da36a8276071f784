// Package page is a page of text that scrolls: help, the record, the card.
package page

import (
	"github.com/charmbracelet/bubbles/key"
	"github.com/charmbracelet/bubbles/viewport"
	tea "github.com/charmbracelet/bubbletea"

	"rinseby/tui/intent"
	"rinseby/tui/theme"
	"rinseby/tui/widget"
)

// Model is a page. The zero Model is not ready; use New.
type Model struct {
	th    *theme.Theme
	title string
	lines []string
	port  viewport.Model
	w, h  int
	back  key.Binding
}

// New makes a page of lines, which must be clean and may be styled.
func New(th *theme.Theme, title string, lines []string) *Model {
	m := &Model{th: th, title: title, lines: lines, port: viewport.New(0, 0)}
	m.back = key.NewBinding(key.WithKeys("esc", "q", "?", "enter", " "))
	m.port.KeyMap = viewport.KeyMap{
		Up: key.NewBinding(key.WithKeys("up", "k")), Down: key.NewBinding(key.WithKeys("down", "j")),
		PageUp: key.NewBinding(key.WithKeys("pgup", "b")), PageDown: key.NewBinding(key.WithKeys("pgdown", "f")),
	}
	m.fill()
	return m
}

// SetLines puts other text on the page and stays where it was scrolled to.
func (m *Model) SetLines(lines []string) {
	m.lines = lines
	m.fill()
}

// SetSize sets the room that the page has.
func (m *Model) SetSize(w, h int) {
	m.w, m.h = w, h
	m.port.Width, m.port.Height = max(w, 0), max(h-2, 0)
	m.fill()
}

func (m *Model) fill() {
	m.port.SetContent("")
	if m.w <= 0 {
		return
	}
	text := ""
	for i, l := range m.lines {
		if i > 0 {
			text += "\n"
		}
		text += widget.Fit(l, m.w)
	}
	m.port.SetContent(text)
}

// Update scrolls, or goes back.
func (m *Model) Update(msg tea.Msg) (intent.Intent, tea.Cmd) {
	if k, ok := msg.(tea.KeyMsg); ok && key.Matches(k, m.back) {
		return intent.Back{}, nil
	}
	var cmd tea.Cmd
	m.port, cmd = m.port.Update(msg)
	return nil, cmd
}

// View draws the page: at most h lines of at most w cells.
func (m *Model) View() string {
	if m.w <= 0 || m.h <= 0 {
		return ""
	}
	foot := m.th.Dim.Render(" esc back")
	if !m.port.AtTop() || !m.port.AtBottom() {
		foot = m.th.Dim.Render(" ↑ ↓ scroll · esc back")
		if m.th.ASCII {
			foot = m.th.Dim.Render(" up, down: scroll - esc back")
		}
	}
	return widget.Screen(m.th, []string{m.th.Title.Render(" " + m.title)}, []string{m.port.View()}, []string{foot}, m.w, m.h)
}
