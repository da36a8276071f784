package tui

import (
	"cmp"
	"errors"
	"slices"
	"strings"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"rinseby/session"
	"rinseby/session/replay"
	"rinseby/timing"
	"rinseby/tui/clean"
	"rinseby/tui/form"
	"rinseby/tui/intent"
	"rinseby/tui/page"
	player "rinseby/tui/replay"
	"rinseby/tui/widget"
)

// A Replay is a logged service to be relived.
type Replay struct {
	Tape *replay.Tape
	At   time.Time // the moment to begin at, on the service's time line
	// Past tells what was known of the stylist when the service was opened:
	// usual times, and bowls that tell of the use of product. It may be nil.
	Past   func() (session.Usuals, []session.UsedBowl, error)
	Marks  []replay.Mark
	Beside *replay.Tape // another service to put it beside; may be nil
	// Keep keeps marks beside the log, all of them at each call. Without it
	// none can be made.
	Keep func([]replay.Mark) error
}

// A relive is a replay on the screen: the chair's seat holds the log of its
// moment, and the root's reading is that of its moment, so that all that shows
// a live service shows this one.
type relive struct {
	*Replay
	screen *player.Model
	shown  time.Time // the moment that the seat is at
	fan    *fan      // once it was asked for

	ask ask

	keeping, again bool // marks are on their way to the disk, and others are to follow
}

// newRelive puts the moment to begin at on the seat.
func (a *App) newRelive(r *Replay) *relive {
	v := &relive{Replay: r, screen: player.New(a.o.Theme, a.o.Keys.InReplay(), a.station, r.Tape, r.At, a.now)}
	slices.SortStableFunc(r.Marks, func(x, y replay.Mark) int { return x.At.Compare(y.At) })
	r.Tape.SetMarks(r.Marks)
	a.wind(v)
	a.refresh()
	return v
}

// wind takes the log of the replay's moment to the seat.
func (a *App) wind(v *relive) {
	v.shown = v.screen.Moment()
	a.log, a.now = v.Tape.At(v.shown), v.Tape.Reading(v.shown)
}

// begun looks the log through, and begins.
func (a *App) begun() tea.Cmd { return tea.Batch(a.findStops(), a.present()) }

// findStops looks for the stops of the tape, off the way of keys.
func (a *App) findStops() tea.Cmd {
	tape := a.relive.Tape
	return func() tea.Msg { return stopsMsg{tape.Stops()} }
}

// read takes in a reading of the real clocks. In a replay it moves the tape on,
// as far as that plays; else it is the moment that is shown.
func (a *App) read(now timing.Reading) tea.Cmd {
	if a.relive == nil {
		a.reads(now)
		return nil
	}
	was := a.relive.screen.Moment()
	if !a.relive.screen.Turn(now) {
		return nil
	}
	if put := a.stopToAsk(was); put != nil {
		return put
	}
	return a.present()
}

// follow shows the moment of the replay if a key has changed it.
func (a *App) follow() tea.Cmd {
	if a.relive == nil || a.relive.screen.Moment().Equal(a.relive.shown) {
		return nil
	}
	return a.present()
}

// present shows the moment of the replay, and has its plan and forecast worked
// out, as at the chair.
func (a *App) present() tea.Cmd {
	a.wind(a.relive)
	b := a.refresh()
	return tea.Batch(a.planTrips(b), a.foresee(b))
}

// askAt is the moment for which a plan or a forecast is asked at the moment
// now. In a replay it is one of those at which the chair asked: at an entry, or
// some whole turns later. So what is shown at a moment does not depend on the
// way to it.
func (a *App) askAt(now time.Time) time.Time {
	if a.relive == nil {
		return now
	}
	tape := a.relive.Tape
	last := tape.Moment(tape.Position(now))
	if now.Before(last) {
		return now
	}
	return last.Add(now.Sub(last) / planAgain * planAgain)
}

// ahead reports whether a plan was made later than now: by a replay that has
// gone back since.
func (a *App) ahead(p *session.TripPlan, now time.Time) bool { return p != nil && p.At.After(now) }

// past reads what was known of the stylist when the service was opened.
func (v *relive) past(service string) tea.Cmd {
	past := v.Past
	return func() tea.Msg {
		msg := usualsMsg{service: service}
		if past != nil {
			msg.usuals, msg.used, msg.err = past()
		}
		return msg
	}
}

// logs reports whether an intent would log something, or leave the replay for
// something that does.
func (a *App) logs(in intent.Intent) bool {
	switch in := in.(type) {
	case intent.Log, intent.Undo, intent.Redo, intent.Start, intent.Resume, intent.Repeat, intent.Acknowledge,
		intent.Pain, intent.Late, intent.Floor, intent.LetGo:
		return true
	case intent.Open:
		switch in.Screen {
		case intent.Help, intent.Card, intent.Record, intent.JumpTo, intent.NewMark, intent.Marks, intent.Said, intent.Fan, intent.Beside,
			intent.Otherwise, intent.Ask:
			return false
		}
		return true
	}
	return false
}

// openInReplay opens a screen over the replay, which pauses.
func (a *App) openInReplay(in intent.Open) tea.Cmd {
	v, th := a.relive, a.o.Theme
	v.screen.Pause()
	at, tape := v.screen.Moment(), v.Tape
	switch in.Screen {
	case intent.JumpTo:
		return a.show(form.JumpTo(th, at, tape.From(), tape.To(), tape.Wall(at, at)))
	case intent.NewMark:
		if v.Keep == nil {
			a.say("Marks can't be kept here.", true)
			return nil
		}
		return a.show(form.NewMark(th, tape.Wall(at, at).Format("15:04:05")))
	case intent.Marks:
		if len(v.Marks) == 0 {
			a.say("Nothing is marked yet: "+a.o.Keys.InReplay().Mark.Help().Key+" marks this moment.", false)
			return nil
		}
		places := make([]form.Place, len(v.Marks))
		for i, m := range v.Marks {
			places[i] = form.Place{At: m.At, Label: tape.Wall(at, m.At).Format("15:04:05") + " " + cmp.Or(m.Text, "no note")}
		}
		return a.show(form.PickPlace(th, "Marks", "Go to", places))
	case intent.Said:
		return a.openSaid()
	case intent.Fan:
		return a.openFan()
	case intent.Beside:
		return a.openBeside()
	case intent.Ask:
		return a.openAsk()
	case intent.Otherwise:
		if s := a.log.State(); !s.Live() || len(s.Zones) == 0 {
			a.say("There is nothing to do otherwise here: go to a moment of the work.", false)
			return nil
		}
		return a.show(form.WhatIf(th, a.refresh(), a.clock))
	}
	s, why := a.make(in)
	if s == nil {
		a.say(why, false)
		return nil
	}
	return a.show(s)
}

// openPage opens a page over the replay whose lines are worked out off the way
// of keys.
func (a *App) openPage(title string, work func() []string) tea.Cmd {
	p, w := page.New(a.o.Theme, a.o.Keys.OnPage(), title, []string{" working it out …"}), a.w
	return tea.Batch(a.show(p), func() tea.Msg { return adviceMsg{page: p, lines: fitted(work(), w)} })
}

// openBeside puts the service beside the other one that the replay was given.
func (a *App) openBeside() tea.Cmd {
	v := a.relive
	if v.Beside == nil {
		a.say("There is no other service to put it beside: give one with --beside.", false)
		return nil
	}
	return a.openPage("Replay: beside another service", func() []string {
		c, err := replay.Compare(v.Tape, v.Beside)
		if err != nil {
			return []string{err.Error()}
		}
		var lines []string
		for _, s := range c.Sections() {
			lines = append(lines, s.Title)
			for _, l := range s.Lines {
				lines = append(lines, "  "+l)
			}
			lines = append(lines, "")
		}
		return lines
	})
}

// fitted are lines as a page shows them in w cells.
func fitted(lines []string, w int) (out []string) {
	for _, l := range lines {
		if l == "" {
			out = append(out, "")
			continue
		}
		indent := len(l) - len(strings.TrimLeft(l, " "))
		for i, part := range widget.Wrap(clean.Text(l), max(w-indent-4, 10)) {
			if i > 0 {
				part = "  " + part
			}
			out = append(out, " "+strings.Repeat(" ", indent)+part)
		}
	}
	return out
}

// mark marks the moment of the replay, and has the marks kept.
func (a *App) mark(note string) tea.Cmd {
	v := a.relive
	a.over = nil
	at := v.screen.Moment()
	v.Marks = append(slices.Clone(v.Marks), replay.Mark{At: at, Text: strings.TrimSpace(note)})
	slices.SortStableFunc(v.Marks, func(x, y replay.Mark) int { return x.At.Compare(y.At) })
	v.Tape.SetMarks(v.Marks)
	return tea.Batch(v.keep(), a.findStops())
}

// keep has the marks kept, after those that are on their way.
func (v *relive) keep() tea.Cmd {
	if v.keeping {
		v.again = true
		return nil
	}
	v.keeping, v.again = true, false
	marks, keep := v.Marks, v.Keep
	return func() tea.Msg { return marksMsg{keep(marks)} }
}

// learned takes in what was worked out for the replay.
func (a *App) learned(msg tea.Msg) tea.Cmd {
	switch msg := msg.(type) {
	case stopsMsg:
		a.relive.screen.SetStops(msg.stops)
	case marksMsg:
		v := a.relive
		v.keeping = false
		switch {
		case msg.err != nil:
			a.say("NOT KEPT: "+msg.err.Error(), true)
			if a.going {
				a.err = errors.Join(a.err, msg.err)
			}
		case v.again:
			return v.keep()
		default:
			a.say("Marked. Marks are kept beside the log, never in it.", false)
		}
		if a.going && !a.busy() {
			return a.leave()
		}
	case questionsMsg:
		return a.beginAsking(msg)
	case fanMsg:
		return a.unfold(msg)
	}
	return nil
}
