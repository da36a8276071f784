package tui

import (
	"cmp"
	"maps"
	"slices"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"rinseby/session"
	"rinseby/tui/clean"
	"rinseby/tui/form"
	"rinseby/tui/intent"
	"rinseby/tui/station"
)

// pain logs pain or burning at once, as of now, whatever is open, and asks what
// it is: the first key alone has all taken off, and what is chosen puts the
// report right. Once a reaction is open, it asks what it has become. After the
// visit it asks what was reported since.
func (a *App) pain() tea.Cmd {
	a.late = time.Time{}
	switch s := a.log.State(); {
	case a.live == nil:
		return a.takeOver()
	case !s.Live():
		return a.open(intent.Open{Screen: intent.Later})
	case a.calling():
		a.say(station.HelpFirst, false)
		return nil
	case s.OpenPain() != nil:
		return a.askReaction(a.lookWhy(a.log.React(a.now, mild)), true)
	}
	why := a.lookWhy([]session.Command{session.Do(mild)})
	cmd := a.enter(intent.Log{Commands: []session.Command{session.Do(session.PainReported{})}, Say: "pain or burning (x again: what it is, and where; u: it was a slip)"})
	return tea.Batch(cmd, a.askReaction(why, false))
}

// mild is the itch that may be looked at again.
var mild = session.PainReported{Reaction: session.Itching, LookAgain: true}

// lookWhy is why an itch can't be looked at again, or nil.
func (a *App) lookWhy(cmds []session.Command) error {
	_, err := session.Decide(a.log, a.now, cmds...)
	return err
}

// askReaction asks what the client reacts with.
func (a *App) askReaction(why error, open bool) tea.Cmd {
	return a.show(form.React(a.o.Theme, a.station.Zone(), why, open))
}

// react logs what the client reacts with.
func (a *App) react(d session.PainReported) tea.Cmd {
	cmds := a.log.React(a.now, d)
	if len(cmds) == 0 { // it is what the key has logged
		a.over = nil
		return nil
	}
	return a.enter(intent.Log{Commands: cmds, Say: d.Reaction.Words() + " (u: it was a slip)"})
}

// calling reports whether help is to be called for the client at the chair:
// nothing covers that.
func (a *App) calling() bool {
	return a.log != nil && a.relive == nil && a.log.State().Live() && a.log.State().Calling() != nil
}

// helpAt is where help is needed first, of all that is live; empty if it is not.
// The client is named only where the screen is seen by those who work there.
func (a *App) helpAt(named bool) string {
	if a.relive != nil {
		return ""
	}
	looks := make([]session.FloorLook, 0, len(a.around.seen))
	for _, id := range slices.Sorted(maps.Keys(a.around.seen)) {
		looks = append(looks, a.around.seen[id].look)
	}
	slices.SortStableFunc(looks, session.FloorOrder)
	switch {
	case len(looks) == 0 || !looks[0].Help:
		return ""
	case named:
		return looks[0].HelpAt()
	}
	return "HELP: " + cmp.Or(clean.Text(looks[0].Station), "an emergency")
}

// holdOthers adds what is on the stylist's other clients to what stays on while
// water runs: for each client the zone that must be off first.
func (a *App) holdOthers(b *session.Board, s *session.State) {
	r := b.Reaction
	if r == nil || r.Calling || r.Look || a.relive != nil {
		return
	}
	held := slices.Clone(r.Held)
	for _, id := range slices.Sorted(maps.Keys(a.around.seen)) {
		e := a.around.seen[id]
		if id == s.Service || e.look.RinseBy.IsZero() || !a.concerns(e, s) {
			continue
		}
		h := session.Held{Name: e.look.Client + ": " + e.look.RinseZone, LimitAt: b.Now.Add(e.look.RinseBy.Sub(a.now.Wall))}
		h.Over = h.LimitAt.Before(b.Now) || h.LimitAt.Before(r.Until)
		held = append(held, h)
	}
	slices.SortStableFunc(held, session.HeldOrder)
	look := *r
	look.Held, b.Reaction = held, &look
}
