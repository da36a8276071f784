//go:build !unix

package main

import (
	"errors"

	tea "github.com/charmbracelet/bubbletea"
)

// aside says that there are no jobs of a shell on this system.
func aside() tea.Msg {
	return errors.New("there is no shell to go to here: q leaves, and the service stays live")
}
