package tui

import (
	tea "github.com/charmbracelet/bubbletea"

	"rinseby/timing"
)

// Tick is the message of the clock, for tests that have no clock of their own.
func Tick(now timing.Reading) tea.Msg { return tickMsg{now} }
