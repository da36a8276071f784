//go:build unix

package main

import (
	"errors"
	"io"
	"os"
	"os/signal"
	"syscall"
	"time"

	tea "github.com/charmbracelet/bubbletea"
)

// aside gives the terminal to the shell that the program was started from, until
// that brings it back.
func aside() tea.Msg {
	return tea.Exec(stop{}, func(err error) tea.Msg {
		if err != nil {
			return err
		}
		return tea.ResumeMsg{}
	})()
}

// A stop stops this process as a job of its shell.
type stop struct{}

// stopsWithin is how long the system may take to stop the process. Where no
// shell waits for the terminal, it ignores the signal, and nothing would ever
// continue what was never stopped.
const stopsWithin = 500 * time.Millisecond

// Run comes back when the shell has brought the job back.
func (stop) Run() error {
	back := make(chan os.Signal, 1)
	signal.Notify(back, syscall.SIGCONT)
	defer signal.Stop(back)
	if err := syscall.Kill(0, syscall.SIGTSTP); err != nil {
		return err
	}
	for range 2 { // the first wait may have ended while the process stood still
		select {
		case <-back:
			return nil
		case <-time.After(stopsWithin / 2):
		}
	}
	return errors.New("no shell waits behind this screen: q leaves, and the service stays live")
}

// The terminal is the program's own, and needs no wiring.
func (stop) SetStdin(io.Reader)  {}
func (stop) SetStdout(io.Writer) {}
func (stop) SetStderr(io.Writer) {}
