package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"os"
	"strings"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/term"

	"rinseby/cmd/internal/steady"
	"rinseby/session/safety"
	"rinseby/session/store"
	"rinseby/tui"
	"rinseby/tui/keys"
)

// chair opens the chair screen.
func (e *edge) chair() error {
	st, err := e.store()
	if err != nil {
		return err
	}
	o := e.options()
	o.Store = st
	return e.show(o)
}

// options is what the screens are started with, whatever they show.
func (e *edge) options() tui.Options {
	set := e.settings()
	e.alerts = newAlerts(e.terminal(), set.Settings)
	o := tui.Options{
		Clock: e.clock, Place: set.Zone(), Theme: set.LookTheme(), Keys: keys.Default(set.Pedal),
		Stylist: set.Stylist, Station: set.Station, Region: safety.Region(set.Region), SkinTestHours: set.SkinTestHours, SkinTestDays: set.SkinTestDays, Title: set.Title, Mouse: set.Mouse,
		Hints: map[string]tui.Hints{"auto": tui.HintsAuto, "always": tui.HintsAlways, "never": tui.HintsNever}[set.Hints],
		Alert: e.alerts.alert, Aside: aside,
	}
	var problems []string
	if n := len(set.Problems); n > 0 {
		text := set.Problems[0].Brief()
		if n > 1 {
			text += fmt.Sprintf(" (and %d more: see rinseby settings)", n-1)
		}
		problems = append(problems, text)
	}
	var err error
	if o.Catalogue, err = e.catalogue(); err != nil {
		problems = append(problems, err.Error())
	}
	lists, broken := e.lists()
	o.Lists = lists
	for _, err := range broken {
		problems = append(problems, err.Error())
	}
	if len(problems) > 0 {
		o.Notice, _, _ = strings.Cut(problems[0], "\n") // the first of its lines
		if n := len(problems) - 1; n > 0 {
			o.Notice = fmt.Sprintf("%d files are wrong. %s", n+1, o.Notice)
		}
	}
	return o
}

// show runs the screens with what is live in the store.
func (e *edge) show(o tui.Options) error {
	defer e.hold()()
	ctx, done := context.WithCancel(context.Background())
	defer done()
	var err error
	if o.Watch, err = o.Store.Watch(ctx, store.WatchOptions{Go: e.runner.Go}); err != nil {
		o.Notice = cmp.Or(o.Notice, err.Error())
	}
	return e.screens(o)
}

// hold makes the runner of the screens, unless there is one, and returns what
// ends its hold on signals.
func (e *edge) hold() (release func()) {
	if e.runner != nil {
		return func() {}
	}
	e.runner = steady.New()
	return func() {
		e.runner.Close()
		e.runner = nil
	}
}

// screens runs the screens until they are left, or are ended otherwise.
func (e *edge) screens(o tui.Options) error {
	defer e.hold()()
	defer e.alerts.stop()
	if e.settings().Plain {
		return e.ends(o, e.aloud(o))
	}
	if !term.IsTerminal(os.Stdout.Fd()) {
		return errors.New("the chair needs a terminal to draw on: run it in one, give --plain for lines of text, or see rinseby --help for what scripts can use")
	}
	app := tui.New(o)
	with := []tea.ProgramOption{tea.WithAltScreen(), tea.WithOutput(e.terminal()), tea.WithFPS(e.settings().Frames)}
	if o.Mouse {
		with = append(with, tea.WithMouseCellMotion())
	}
	if o.Title {
		defer e.terminal().keepTitle()()
	}
	e.terminal().lost = e.runner.Lost
	err := e.runner.Run(app, app.Close, with...)
	return e.ends(o, errors.Join(err, app.Err()))
}

// ends says how the screens ended, if not by being left.
func (e *edge) ends(o tui.Options, err error) error {
	var ended *steady.Ended
	if !errors.As(err, &ended) {
		return err
	}
	what := ""
	switch {
	case o.Pilot != nil, o.Invented:
		what = "; nothing of practice is kept"
	case o.Replay == nil:
		what = "; live services stay live: start it again and go on"
	}
	return &exitError{ended.Code, ended.Error() + what + strings.TrimPrefix(err.Error(), ended.Error())}
}

// crashed writes the crash file, which holds no text from a service, and says
// where it is.
func (e *edge) crashed(crash *steady.Crash) string {
	said := crash.Error() + ". Every entry that was answered with \"Logged\" is on the disk: start it again and go on."
	path, err := crash.Keep(e.dataDir(), e.clock.Read().Wall)
	if err != nil {
		return said
	}
	return said + "\nWhat is needed to mend it is in " + path
}
