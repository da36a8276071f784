package tui

import (
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"rinseby/session"
	"rinseby/timing"
	"rinseby/tui/intent"
)

// undo takes back, or brings back, what find finds next.
func (a *App) undo(say string, find func(*session.Log) (session.Command, session.Event, bool)) tea.Cmd {
	cmds, e := together(a.log, a.now, find)
	if len(cmds) == 0 {
		a.say("There is nothing to do that to.", false)
		return nil
	}
	a.late = time.Time{}
	text := say + a.log.State().Say(e.Data)
	if len(cmds) > 1 {
		text += ", and what was planned with it"
	}
	return a.enter(intent.Log{Commands: cmds, Say: text})
}

// together are the commands for the entry that find finds, and for those of the
// plan that were logged with it: a zone list is several entries, and one choice.
func together(l *session.Log, now timing.Reading, find func(*session.Log) (session.Command, session.Event, bool)) (cmds []session.Command, first session.Event) {
	for {
		cmd, e, ok := find(l)
		if !ok || len(cmds) > 0 && !(ofPlan(e) && ofPlan(first) && e.Recorded == first.Recorded) {
			return cmds, first
		}
		if cmds = append(cmds, cmd); len(cmds) == 1 {
			first = e
			if !ofPlan(e) {
				return cmds, first
			}
		}
		events, err := session.Decide(l, now, cmd)
		if err != nil {
			return cmds, first // entering it says why
		}
		if l, err = session.Fold(append(l.Events()[:len(l.Events()):len(l.Events())], events...)); err != nil {
			return cmds, first
		}
	}
}

// ofPlan reports whether an event is about the plan alone.
func ofPlan(e session.Event) bool {
	switch e.Data.(type) {
	case session.PlanSet, session.PlanChanged:
		return true
	}
	return false
}
