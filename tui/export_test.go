package tui

import (
	"maps"
	"slices"

	tea "github.com/charmbracelet/bubbletea"

	"rinseby/session"
	"rinseby/session/store"
	"rinseby/timing"
)

// Tick is the message of the clock, for tests that have no clock of their own.
func Tick(now timing.Reading) tea.Msg { return tickMsg{now} }

// Seen is the message that a live service was seen, for tests that watch none.
func Seen(w store.Watched) tea.Msg { return seenMsg{w} }

// IsTick tells the message of the clock from others.
func IsTick(msg tea.Msg) bool { _, ok := msg.(tickMsg); return ok }

// Board is what is on the screen, as the root has it made.
func (a *App) Board() session.Board { return a.refresh() }

// Break takes the open log of the service on the screen away, as a failed fsync
// does.
func (a *App) Break() { _ = a.live.Close() }

// AllHints are the lines that help beginners along.
func AllHints() []string { return append(slices.Collect(maps.Values(hints)), startHint, practiceHint) }
