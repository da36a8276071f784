// Command empty is the least that a program of this kind can be: a line that
// says the time, once a second, and the last key. What rinseby costs is measured
// beside it.
package main

import (
	"fmt"
	"os"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"rinseby/cmd/internal/quietstart"
)

type model struct {
	now  time.Time
	key  string
	keys int
}

type tick time.Time

func next() tea.Cmd { return tea.Tick(time.Second, func(t time.Time) tea.Msg { return tick(t) }) }

func (m model) Init() tea.Cmd { return next() }

func (m model) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	switch msg := msg.(type) {
	case tick:
		m.now = time.Time(msg)
		return m, next()
	case tea.KeyMsg:
		if msg.String() == "q" {
			return m, tea.Quit
		}
		m.key, m.keys = msg.String(), m.keys+1
	}
	return m, nil
}

func (m model) View() string {
	return fmt.Sprintf("ready %s key %d %q", m.now.Format("15:04:05"), m.keys, m.key)
}

func main() {
	quietstart.Restore()
	if _, err := tea.NewProgram(model{}, tea.WithAltScreen(), tea.WithFPS(30)).Run(); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}
