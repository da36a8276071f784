package main

import (
	"errors"

	tea "github.com/charmbracelet/bubbletea"

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
	guard := tui.NewGuard(aloud)
	p := tea.NewProgram(guard, tea.WithoutRenderer(), tea.WithInput(nil), tea.WithOutput(e.out),
		tea.WithFilter(func(_ tea.Model, msg tea.Msg) tea.Msg {
			if _, ok := msg.(tea.InterruptMsg); ok {
				return aloud.Interrupted()
			}
			return msg
		}))
	go aloud.Listen(e.in, p.Send)
	_, err := p.Run()
	switch {
	case guard.Crash() != "":
		return errors.New(e.crashed(guard.Crash()))
	case err != nil:
		return err
	}
	aloud.Farewell()
	return errors.Join(aloud.Err(), app.Err())
}
