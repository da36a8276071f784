package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"strconv"
	"sync"
	"sync/atomic"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"rinseby/cmd/internal/settings"
	"rinseby/session"
	"rinseby/tui"
	"rinseby/tui/clean"
)

const (
	// alertLimit is how long an alert command may run; house rule, no source.
	alertLimit = 30 * time.Second
	// maxNotice is how many cells of text a notification has; house rule, no
	// source: desktops show two or three lines.
	maxNotice = 160
)

// alerts bring warnings to where nobody looks at the screen: by the bell, by a
// notification of the terminal, by a command of the user's.
type alerts struct {
	out   io.Writer
	set   settings.Settings
	limit time.Duration

	left  context.Context // is over when the screens are left
	leave context.CancelFunc
	one   sync.Mutex  // held while a command runs
	told  atomic.Bool // that a command failed
}

func newAlerts(out io.Writer, set settings.Settings) *alerts {
	if set.Plain { // which writes nothing but lines of text
		set.Bell, set.Notify = false, false
	}
	a := &alerts{out: out, set: set, limit: alertLimit}
	a.left, a.leave = context.WithCancel(context.Background())
	return a
}

// stop ends a command that still runs; no other is started.
func (a *alerts) stop() {
	a.leave()
	a.one.Lock() // until it has ended; nobody unlocks it again
}

// alert brings one warning; it is [tui.Options.Alert]. The command's message is
// an error, if the command fails for the first time.
func (a *alerts) alert(w tui.Alert) tea.Cmd {
	return func() tea.Msg {
		var text string
		if a.set.Bell {
			text = "\a"
		}
		if a.set.Notify {
			text += notification(w.Text)
		}
		if text != "" {
			_, _ = io.WriteString(a.out, text) // a terminal that is gone ends the program by itself
		}
		if len(a.set.AlertCommand) == 0 || !a.one.TryLock() {
			return nil
		}
		defer a.one.Unlock()
		if err := a.run(w); err != nil && a.told.CompareAndSwap(false, true) {
			return err
		}
		return nil
	}
}

// notification is the sequence that has a terminal show text (OSC 9, from
// memory: of iTerm2, taken over by others). A number at its beginning would be
// another request to some terminals, so that our name stands there.
func notification(text string) string {
	return "\x1b]9;rinseby: " + clean.Short(text, maxNotice) + "\x1b\\"
}

// run runs the user's command to its end, or until its time is over.
func (a *alerts) run(w tui.Alert) error {
	ctx, done := context.WithTimeout(a.left, a.limit)
	defer done()
	level := "band"
	if w.Level == session.Alarm {
		level = "alarm"
	}
	c := exec.CommandContext(ctx, a.set.AlertCommand[0], a.set.AlertCommand[1:]...)
	c.Env = append(os.Environ(),
		settings.Prefix+"ALERT_TEXT="+clean.Text(w.Text), settings.Prefix+"ALERT_LEVEL="+level,
		settings.Prefix+"ALERT_AGAIN="+strconv.Itoa(w.Again))
	alone(c)
	err := c.Run()
	switch {
	case err == nil, a.left.Err() != nil:
		return nil
	case errors.Is(ctx.Err(), context.DeadlineExceeded):
		return fmt.Errorf("the alert command did not end within %v and was stopped: correct alert_command in the settings", a.limit)
	}
	return fmt.Errorf("the alert command failed (%s): correct alert_command in the settings", clean.Text(err.Error()))
}
