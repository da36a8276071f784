// Command testprog is a small full-screen program for the tests of screentest:
// it shows the size of the terminal and the keys that were pressed, and ends
// with exit code 3 on q.
package main

import (
	"fmt"
	"os"
	"strings"

	tea "github.com/charmbracelet/bubbletea"
)

// shown is how many of the last keys are on the screen.
const shown = 20

type model struct {
	width, height int
	keys          []string
}

func (m model) Init() tea.Cmd { return nil }

func (m model) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		m.width, m.height = msg.Width, msg.Height
	case tea.KeyMsg:
		if msg.String() == "q" {
			return m, tea.Quit
		}
		m.keys = append(m.keys, msg.String())
		if len(m.keys) > shown {
			m.keys = m.keys[1:]
		}
	}
	return m, nil
}

func (m model) View() string {
	return fmt.Sprintf("size %dx%d\nkeys [%s]\n\x1b[1;7mloud\x1b[0m \x1b[31mred\x1b[0m 髪 end",
		m.width, m.height, strings.Join(m.keys, "|"))
}

func main() {
	if _, err := tea.NewProgram(model{}, tea.WithAltScreen()).Run(); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	fmt.Println("goodbye")
	os.Exit(3)
}
