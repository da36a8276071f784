package tui_test

import (
	"testing"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/require"

	"rinseby/tui"
)

// clumsy is a model that panics where it is told to.
type clumsy struct{ where string }

func (c clumsy) Init() tea.Cmd { return nil }

func (c clumsy) Update(tea.Msg) (tea.Model, tea.Cmd) {
	switch c.where {
	case "update":
		panic("Tove A. is secret")
	case "command":
		return c, func() tea.Msg { panic("Tove A. is secret") }
	case "batch":
		return c, tea.Batch(func() tea.Msg { return nil }, func() tea.Msg { return []int{}[len(c.where)-5] })
	}
	return c, nil
}

func (c clumsy) View() string {
	if c.where == "view" {
		panic("Tove A. is secret")
	}
	return "fine"
}

func TestAPanicAnywhereEndsInTheOrdinaryWay(t *testing.T) {
	for _, where := range []string{"update", "command", "batch", "view"} {
		t.Run(where, func(t *testing.T) {
			g := tui.NewGuard(clumsy{where})
			g.View()
			m, cmd := g.Update(nil)
			require.Same(t, g, m, "the loop goes on with it to its end")
			msgs := []tea.Msg{cmd()}
			if batch, ok := msgs[0].(tea.BatchMsg); ok {
				msgs = nil
				for _, c := range batch {
					msgs = append(msgs, c())
				}
			}
			quit := false
			for _, msg := range msgs {
				if _, ok := msg.(tea.QuitMsg); ok {
					quit = true
					continue
				}
				if _, cmd := g.Update(msg); cmd != nil {
					_, ok := cmd().(tea.QuitMsg)
					quit = quit || ok
				}
			}
			require.True(t, quit)
			require.Contains(t, g.Crash(), "guard_test.go")
			require.NotContains(t, g.Crash(), "secret", "no text from a service")
		})
	}
}
