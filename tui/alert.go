package tui

import (
	"strings"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"rinseby/session"
	"rinseby/timing"
	"rinseby/tui/clean"
)

// An Alert is a warning that calls for attention beyond the screen: by the
// bell, by a message of the terminal, by a command of the user's.
type Alert struct {
	Level session.Level // [session.Alert] or [session.Alarm]; a line never calls
	Text  string        // clean, and without any client's name
	Again int           // how often it has called before, since nobody acknowledged it
}

// A called names a warning of a service.
type called struct{ service, warning string }

// A calling is how a warning has called so far.
type calling struct {
	times int
	last  timing.Reading
	level session.Level
}

// How long a warning that nobody acknowledges waits before it calls again, by
// its level; house rule, no source.
var callAgain = map[session.Level]time.Duration{session.Alert: 2 * time.Minute, session.Alarm: 30 * time.Second}

// call lets the warnings that ask for it call for attention: each when it
// comes up or grows louder, and again and again until it is acknowledged.
// While practice runs by itself none calls again.
func (a *App) call(service string, ws []session.Warning) tea.Cmd {
	var loudest *Alert
	for _, w := range ws {
		k := called{service, w.Key}
		if strings.HasPrefix(w.Key, otherKey) {
			continue // it calls as that client's own
		}
		if w.Level == session.Line || w.Acked {
			delete(a.calls, k)
			continue
		}
		c, before := a.calls[k]
		waited := elapsed(c.last, a.now)
		if before && w.Level <= c.level && (waited < callAgain[w.Level] && waited >= 0 || a.pilot != nil) {
			continue
		}
		a.calls[k] = calling{c.times + 1, a.now, w.Level}
		if loudest == nil || w.Level > loudest.Level {
			loudest = &Alert{Level: w.Level, Text: a.nameless(w.Text), Again: c.times}
		}
	}
	if loudest == nil || a.o.Alert == nil {
		return nil
	}
	return a.o.Alert(*loudest)
}

// nameless is the text of a warning as everybody in the room may read it.
func (a *App) nameless(text string) string {
	text = clean.Text(text)
	named := text == ""
	for _, name := range a.around.clients() {
		named = named || strings.Contains(text, clean.Text(name))
	}
	if named {
		return "two clients need the same hands"
	}
	return text
}
