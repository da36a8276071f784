// Package page is a page of text that scrolls and can be searched: help, the
// record, the card.
package page

import (
	"fmt"
	"strings"

	"github.com/charmbracelet/bubbles/key"
	"github.com/charmbracelet/bubbles/viewport"
	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/ansi"

	"rinseby/tui/find"
	"rinseby/tui/intent"
	"rinseby/tui/keys"
	"rinseby/tui/theme"
	"rinseby/tui/widget"
)

// Model is a page. The zero Model is not ready; use New.
type Model struct {
	th    *theme.Theme
	keys  keys.Page
	title string
	lines []string
	shown int // lines that the search leaves
	port  viewport.Model
	find  find.Line
	w, h  int
}

// New makes a page of lines, which must be clean and may be styled.
func New(th *theme.Theme, km keys.Page, title string, lines []string) *Model {
	m := &Model{th: th, keys: km, title: title, lines: lines, port: viewport.New(0, 0), find: find.New(km.Find)}
	m.port.KeyMap = viewport.KeyMap{Up: km.Up, Down: km.Down, PageUp: km.PageUp, PageDown: km.PageDown}
	m.fill()
	return m
}

// Title is what the page is called.
func (m *Model) Title() string { return m.title }

// Lines is all the text of the page.
func (m *Model) Lines() []string { return m.lines }

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

// fill puts the lines that are searched for into the view, or all.
func (m *Model) fill() {
	m.shown = 0
	if m.w <= 0 {
		return
	}
	var text strings.Builder
	for _, l := range m.lines {
		if m.find.Text() != "" && !m.find.Has(ansi.Strip(l)) {
			continue
		}
		if m.shown++; m.shown > 1 {
			text.WriteByte('\n')
		}
		text.WriteString(strings.Join(m.broken(l), "\n"))
	}
	m.port.SetContent(text.String())
}

// broken breaks a line that is too long where it can: styled ones are cut.
func (m *Model) broken(line string) []string {
	indent := len(line) - len(strings.TrimLeft(line, " "))
	if widget.Width(line) <= m.w || indent > m.w/2 || strings.ContainsRune(line, '\x1b') {
		return []string{widget.Fit(line, m.w)}
	}
	parts := widget.Wrap(line, m.w-indent-2)
	for i, p := range parts {
		if i > 0 {
			p = "  " + p
		}
		parts[i] = strings.Repeat(" ", indent) + p
	}
	return parts
}

// Update scrolls, searches, or goes back.
func (m *Model) Update(msg tea.Msg) (intent.Intent, tea.Cmd) {
	k, ok := msg.(tea.KeyMsg)
	if !ok {
		return nil, nil
	}
	switch {
	case m.find.Update(k):
		m.fill()
		m.port.GotoTop()
	case key.Matches(k, m.keys.Back):
		return intent.Back{}, nil
	default:
		m.port, _ = m.port.Update(k) // its commands are only for a way of drawing that is not used
	}
	return nil, nil
}

// Keys lists what can be pressed.
func (m *Model) Keys() []key.Binding { return m.keys.All() }

// Typing reports whether letters are searched for.
func (m *Model) Typing() bool { return m.find.Typing() }

// View draws the page: at most h lines of at most w cells.
func (m *Model) View() string {
	if m.w <= 0 || m.h <= 0 {
		return ""
	}
	title := m.title
	if text := m.find.Text(); text != "" || m.find.Typing() {
		title += fmt.Sprintf(": %q in %d of %d lines", text, m.shown, len(m.lines))
	}
	return widget.Screen(m.th, []string{m.th.Title.Render(widget.Fit(" "+title, m.w))}, []string{m.port.View()}, []string{m.foot()}, m.w, m.h)
}

// foot is what can be pressed.
func (m *Model) foot() string {
	foot := ""
	if !m.find.Typing() && (!m.port.AtTop() || !m.port.AtBottom()) {
		foot = " " + widget.Hint(m.th, widget.Arrows(m.th), "scroll") + " "
	}
	for _, b := range m.find.Keys() {
		foot += " " + widget.Hint(m.th, b.Help().Key, b.Help().Desc) + " "
	}
	if !m.find.Typing() && m.find.Text() == "" {
		foot += " " + widget.Hint(m.th, m.keys.Back.Help().Key, m.keys.Back.Help().Desc)
	}
	return widget.Fit(foot, m.w)
}
