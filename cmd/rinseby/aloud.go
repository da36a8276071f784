package main

import (
	"errors"

	tea "github.com/charmbracelet/bubbletea"

	"rinseby/cmd/internal/steady"
	"rinseby/tui"
)

// aloud runs the screens in words, for screen readers and for logs: lines of
// plain text come out, and lines in the place of keys go in. It needs no
// terminal, and writes no control character but the line feed; so must what is
// given to call for attention.
func (e *edge) aloud(o tui.Options) error {
	o.Title, o.Mouse, o.Hints = false, false, tui.HintsNever
	app := tui.New(o)
	aloud := tui.NewAloud(app, e.out)
	e.runner.Go(func() { aloud.Listen(e.in, e.runner.Send) })
	err := e.runner.Run(aloud, app.Close, tea.WithoutRenderer(), tea.WithInput(nil), tea.WithOutput(e.out))
	var crash *steady.Crash
	if !errors.As(err, &crash) {
		aloud.Farewell()
	}
	return errors.Join(err, aloud.Err(), app.Err())
}
