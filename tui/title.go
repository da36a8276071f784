package tui

import (
	tea "github.com/charmbracelet/bubbletea"
)

// retitle gives the terminal a title that says the next rinse, if it is to
// have one and says another. No client's name is in it: it can be read by all.
func (a *App) retitle() tea.Cmd {
	if !a.o.Title {
		return nil
	}
	title := "rinseby"
	if at := a.helpAt(false); at != "" {
		title = at + " - rinseby"
	}
	if a.log != nil && a.relive == nil {
		if t := a.station.Title(); t != "" && (title == "rinseby" || a.calling()) {
			title = t + " - rinseby"
		}
	}
	if title == a.title {
		return nil
	}
	a.title = title
	return tea.SetWindowTitle(title)
}
