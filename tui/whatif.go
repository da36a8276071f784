package tui

import (
	"fmt"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"rinseby/session/replay"
	"rinseby/tui/widget"
)

// tryOut carries the service on from the moment of the replay with one change,
// and shows what that would have led to beside what was.
func (a *App) tryOut(change replay.Change) tea.Cmd {
	at, tape, usuals, clock := a.relive.screen.Moment(), a.relive.Tape, a.ending.usuals, a.clockNow()
	return a.openPage("Replay: what if, from "+clock(at)+" on", func() []string {
		alt, err := replay.WhatIf(tape, at, change, usuals)
		if err != nil {
			return []string{"That can't be tried: " + err.Error()}
		}
		return append(alt.Lines(clock), "", sums(alt))
	})
}

// sums is how far all zones together were over their limits.
func sums(alt *replay.Alternative) string {
	really, otherwise := alt.Over()
	if really.Truncate(time.Second) == 0 && otherwise.Truncate(time.Second) == 0 {
		return "No zone is over its limit, in either."
	}
	return fmt.Sprintf("Over their limits, all zones together: %s instead of %s.", widget.Clock(otherwise), widget.Clock(really))
}
