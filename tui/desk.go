package tui

import (
	"errors"
	"slices"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"rinseby/session"
	"rinseby/tui/intent"
)

// enter decides the commands of an intent and sends their events to the disk.
func (a *App) enter(in intent.Log) tea.Cmd {
	if a.live == nil {
		return a.takeOver()
	}
	in.Commands = a.backDated(in.Commands)
	now := a.now
	now.Wall = now.Wall.In(a.o.Place) // days are told there
	events, err := session.Decide(a.log, now, in.Commands...)
	if err != nil {
		return a.refused(err, in)
	}
	a.over, a.late = nil, time.Time{}
	clear(a.kept)
	return a.write(a.seat, savedMsg{events: events, say: in.Say})
}

// write sends the events of a message to the disk, after those that could not be
// saved before; it comes back once they are there, or with the error.
func (a *App) write(s *seat, msg savedMsg) tea.Cmd {
	s.saving = true
	if s == a.seat {
		a.refresh()
	}
	st, now, who, live := a.o.Store, a.now, a.who(), s.live
	all := slices.Concat(s.unsaved, msg.events)
	msg.service = live.ID
	return func() tea.Msg {
		msg.live, msg.left, msg.err = keep(st, now, who, live, all)
		return msg
	}
}

// backDated puts commands that say no time at the earlier moment that was
// given, if one was.
func (a *App) backDated(cmds []session.Command) []session.Command {
	if a.late.IsZero() {
		return cmds
	}
	dated := make([]session.Command, len(cmds))
	for i, c := range cmds {
		if c.When.IsZero() {
			c.When = a.late.In(a.o.Place)
		}
		dated[i] = c
	}
	return dated
}

// saved folds events in that are on the disk, and turns to what waited.
func (a *App) saved(msg savedMsg) tea.Cmd {
	s := a.seats[msg.service]
	if s == nil {
		return nil
	}
	s.saving = false
	waited, counts := len(s.unsaved), true
	if s.live = msg.live; msg.err != nil {
		if counts = a.failed(s, msg); !counts {
			s.queue = nil
		}
	} else {
		s.unsaved, s.why = nil, nil
	}
	if counts {
		a.fold(s, msg, waited)
	}
	switch {
	case a.going && a.busy():
		return nil
	case a.going && !a.stays():
		return a.leave()
	case s != a.seat:
		return nil
	}
	b := a.refresh()
	cmds := []tea.Cmd{a.planTrips(b), a.foresee(b), a.learnWidth()}
	for len(a.queue) > 0 && !a.saving { // one that is refused holds none up
		w, over, under := a.queue[0], a.over, a.under
		a.queue = a.queue[1:]
		cmds = append(cmds, a.carry(w.intent))
		if a.over == nil && over != w.over { // what was opened since stays open
			a.over, a.under = over, under
		}
	}
	return tea.Batch(cmds...)
}

// fold folds in events that are on the disk, or that are to be, and answers. Of
// those that waited so many are told.
func (a *App) fold(s *seat, msg savedMsg, waited int) {
	s.live.Log = s.log
	if err := s.log.Append(msg.events...); err != nil {
		a.say(err.Error(), true)
		return
	}
	if s == a.seat && a.asked != nil && !msg.quiet { // what was refused for want of this
		a.queue = append([]waiting{{intent: *a.asked}}, a.queue...)
		a.asked = nil
	}
	switch {
	case msg.err != nil && msg.quiet:
		a.say("", false)
	case msg.err != nil:
		a.parting = false
		a.say(a.said(msg), true)
	case waited > 0 && !msg.quiet:
		a.say("Logged: "+a.said(msg)+", and before it "+entries(waited)+" that waited", false)
	case waited > 0:
		a.say("Logged"+a.whose(s)+": "+entries(waited)+" that waited for the disk", false)
	case !msg.quiet:
		a.say("Logged: "+a.said(msg), false)
	}
}

// said is the answer to what was just saved.
func (a *App) said(msg savedMsg) string {
	if msg.say != "" {
		return msg.say
	}
	return a.log.State().Say(msg.events[len(msg.events)-1].Data)
}

// refused turns a refusal into the screen that asks for what is missing, or
// tells why. Once that is answered, what was refused is tried again.
func (a *App) refused(err error, in intent.Log) tea.Cmd {
	var window *session.ErrNoWindow
	var bowl *session.ErrNoBowl
	var reason *session.ErrNeedsReason
	var unasked *session.ErrUnasked
	var stopped *session.ErrStopped
	switch {
	case errors.As(err, &unasked), errors.As(err, &stopped): // nothing that touches hair is tried again by itself
		cmd := a.open(intent.Open{Screen: intent.Safety})
		a.answer(err.Error(), true)
		return cmd
	case errors.As(err, &window):
		a.asked = &in
		return a.show(a.windowForm(window.Query, window.Why))
	case errors.As(err, &bowl):
		a.asked = &in
		return a.show(a.bowlForm(bowl.Plan))
	case errors.As(err, &reason) && a.pilot != nil: // nobody is there to type one
		ack := session.Do(session.WarningAcknowledged{Warning: reason.Key, Reason: "practice goes on"})
		in.Commands = append([]session.Command{ack}, in.Commands...)
		return a.enter(in)
	case errors.As(err, &reason):
		return a.askReason(reason.Key, reason.Why, in.Commands)
	}
	a.answer(err.Error(), true)
	a.refresh()
	return nil
}
