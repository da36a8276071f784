package tui

import (
	"fmt"
	"maps"
	"path/filepath"
	"slices"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"rinseby/session"
	"rinseby/session/card"
	"rinseby/session/store"
	"rinseby/tui/form"
	"rinseby/tui/intent"
	player "rinseby/tui/replay"
)

// carry carries an intent out. What is logged waits while an entry is on its
// way to the disk, so that it is decided on what was really saved.
func (a *App) carry(in intent.Intent) tea.Cmd {
	if a.relive != nil && a.logs(in) {
		a.answer(player.Refusal, false)
		return nil
	}
	if a.saving {
		switch in.(type) {
		case intent.Log, intent.Undo, intent.Redo, intent.Acknowledge, intent.Pain, intent.React, intent.Floor:
			a.queue = append(a.queue, waiting{in, a.over})
			return nil
		}
	}
	switch in := in.(type) {
	case intent.Log:
		return a.enter(in)
	case intent.Undo:
		return a.undo("taken back: ", (*session.Log).Undo)
	case intent.Redo:
		return a.undo("brought back: ", (*session.Log).Redo)
	case intent.Open:
		return a.open(in)
	case intent.Start:
		return a.begin(in.Commands)
	case intent.Resume:
		return a.resume(in.Service)
	case intent.Floor:
		return a.turnFloor()
	case intent.LetGo:
		return a.letGo(in.Service)
	case intent.Repeat:
		return a.repeat(in.Service)
	case intent.Acknowledge:
		return a.acknowledge(in.Warning)
	case intent.Pain:
		return a.pain()
	case intent.React:
		return a.react(in.Report)
	case intent.PainOf:
		return a.painOf(in.Service)
	case intent.Late:
		a.late, a.over = in.At.Add(a.stepped), nil
		a.sayLate()
	case intent.Seek:
		a.over = nil
		a.relive.screen.Seek(in.At)
	case intent.Mark:
		return a.mark(in.Text)
	case intent.Answer:
		return a.answered(in.Option)
	case intent.WhatIf:
		return a.tryOut(in.Change)
	case intent.Say:
		a.answer(in.Text, false)
	case intent.Back:
		return a.back()
	case intent.Quit:
		return a.leave()
	}
	return nil
}

// acknowledge logs that a warning was seen. One of harm that is happening, or
// that needs a reason, asks why the work goes on.
func (a *App) acknowledge(key string) tea.Cmd {
	for _, w := range a.refresh().Warnings {
		if w.Key == key && strings.HasPrefix(key, otherKey) {
			a.around.waved[key] = w.Level
			a.say("Seen. It is still so: w goes there.", false)
			a.refresh()
			return nil
		}
		if w.Key == key && (w.Level == session.Alarm || w.Reason) {
			return a.show(form.Reason(a.o.Theme, w.Key, w.Text, nil))
		}
	}
	return a.enter(intent.Log{Commands: []session.Command{session.Do(session.WarningAcknowledged{Warning: key})}, Say: "warning seen"})
}

// painOf goes to a client who hurts. On the first screen and the floor one is
// asked who that is.
func (a *App) painOf(service string) tea.Cmd {
	cmd := a.resume(service)
	if a.live == nil || a.log.State().Service != service {
		return cmd // it can't be run here, which was said
	}
	return tea.Batch(cmd, a.carry(intent.Pain{}))
}

// askWhoHurts asks which client hurts; of only one there is nothing to ask.
func (a *App) askWhoHurts() tea.Cmd {
	var who []form.Client
	for _, id := range slices.Sorted(maps.Keys(a.around.seen)) {
		l := a.around.seen[id].look
		who = append(who, form.Client{Service: id, Name: l.Client, On: !l.RinseBy.IsZero()})
	}
	switch len(who) {
	case 0:
		a.say("No service is live.", false)
		return nil
	case 1:
		return a.painOf(who[0].Service)
	}
	slices.SortStableFunc(who, func(x, y form.Client) int { // product on first
		switch {
		case x.On == y.On:
			return 0
		case x.On:
			return -1
		}
		return 1
	})
	return a.show(form.WhoHurts(a.o.Theme, who))
}

// begin starts a new service with its first entries.
func (a *App) begin(cmds []session.Command) tea.Cmd {
	now := a.now
	now.Wall = now.Wall.In(a.o.Place) // the day is the salon's
	live, err := a.o.Store.Create(now, a.who(), a.backDated(cmds)...)
	if err != nil {
		a.answer(err.Error(), true)
		return nil
	}
	return a.sit(live)
}

// watch reads the log of a service that another process runs.
func (a *App) watch(id string) tea.Cmd {
	st := a.o.Store
	return func() tea.Msg {
		l, err := st.Read(id)
		return watchedMsg{service: id, log: l, err: err}
	}
}

func (a *App) took(msg watchedMsg) tea.Cmd {
	if msg.service != a.watched {
		return nil
	}
	if msg.err != nil {
		a.say(msg.err.Error(), true)
		return nil
	}
	a.log, a.onFloor = msg.log, false
	a.refresh()
	return nil
}

// repeat begins the form of a new service with what an earlier one knew.
func (a *App) repeat(id string) tea.Cmd {
	l, err := a.o.Store.Read(id)
	if err != nil {
		a.say(err.Error(), true)
		return nil
	}
	plans, steps := card.Repeat(l)
	s := l.State()
	return a.show(a.newForm(s.Client, &visit{
		name: fmt.Sprintf("as on %s", s.Opened.In(a.o.Place).Format("2 January 2006")), plans: plans, steps: steps,
		list: s.ZoneList,
	}))
}

// readStore lists the store's services.
func (a *App) readStore() tea.Cmd {
	st := a.o.Store
	return func() tea.Msg {
		entries, problems, err := st.List()
		if err != nil {
			entries = &store.Listing{}
		}
		return entriesMsg{entries, problems, err}
	}
}

// tellingServices is how many of the last closed services tell of the
// stylist's use of product.
const tellingServices = 30

// usedIn gathers the bowls of the last closed services.
func usedIn(st *store.Store, entries *store.Listing) (used []session.UsedBowl) {
	n := 0
	for e := range entries.All {
		if n == tellingServices {
			break
		}
		if e.Live || e.Invented {
			continue
		}
		n++
		if l, err := st.Read(e.ID); err == nil {
			used = append(used, l.State().UsedBowls()...)
		}
	}
	return used
}

func (a *App) listed(msg entriesMsg) tea.Cmd {
	switch {
	case msg.err != nil:
		a.start.Tell(msg.err.Error(), true)
	case len(msg.problems) > 0:
		a.start.Tell(sayProblems(msg.problems), true)
	}
	msg.entries.OwnAre(func(id string) bool { return a.seats[id] != nil })
	a.beginner = msg.err == nil && beginner(msg.entries)
	a.start.Hint(a.startHint())
	return tea.Batch(a.start.SetEntries(msg.entries), a.readPast(msg.entries))
}

// readPast asks the closed services what they tell, once they are listed.
func (a *App) readPast(entries *store.Listing) tea.Cmd {
	st := a.o.Store
	return func() tea.Msg { return pastMsg{visitsOf(entries), usedIn(st, entries)} }
}

// sayProblems says how many files need a look, and why the first does.
func sayProblems(ps []store.Problem) string {
	many := "1 file needs a look. "
	if len(ps) > 1 {
		many = fmt.Sprintf("%d files need a look. ", len(ps))
	}
	p := ps[0]
	return many + filepath.Base(p.Path) + ": " + strings.TrimPrefix(p.Err.Error(), p.Path+": ")
}

// who is how this process names itself to others.
func (a *App) who() string {
	if a.o.Station != "" {
		return a.o.Station
	}
	return a.o.Stylist
}
