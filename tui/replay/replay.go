package replay

import (
	"time"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"rinseby/session/replay"
	"rinseby/timing"
	"rinseby/tui/clean"
	"rinseby/tui/intent"
	"rinseby/tui/keys"
	"rinseby/tui/station"
	"rinseby/tui/theme"
)

// How far the keys that scrub go.
const (
	scrub     = 10 * time.Second
	scrubMore = time.Minute
	scrubMost = 10 * time.Minute
)

// Refusal is what is said to whatever would log something.
const Refusal = "This is a replay: nothing is logged."

// Model is the screen of a replay.
type Model struct {
	th    *theme.Theme
	keys  keys.Replay
	chair *station.Model
	tape  *replay.Tape
	run   *Transport
	w, h  int

	stops  []replay.Stop // cleaned; nil until they were found
	entry  string        // the last one by the moment
	seq    int
	offset time.Duration // of the clock on the wall from the time line
	trips  []span
}

// A span is a stretch of the time line.
type span struct{ from, to time.Time }

// New makes the screen of a replay over the chair, which the caller shows as it
// was at [Model.Moment]. It stands at the moment of the tape that is nearest to
// at.
func New(th *theme.Theme, km keys.Replay, chair *station.Model, tape *replay.Tape, at time.Time, now timing.Reading) *Model {
	m := &Model{th: th, keys: km, chair: chair, tape: tape, run: NewTransport(tape.From(), tape.To(), now)}
	m.run.Seek(at)
	for _, t := range tape.Whole().State().Trips {
		end := t.Ended
		if end.IsZero() {
			end = tape.To()
		}
		m.trips = append(m.trips, span{t.Began, end})
	}
	m.Refresh()
	return m
}

// SetSize sets the room that the screen has, chair and all.
func (m *Model) SetSize(w, h int) {
	m.w, m.h = w, h
	m.chair.SetSize(w, max(h-len(m.bar()), 0))
}

// Turn takes in a reading of the real clocks, and answers whether the moment is
// another one for it.
func (m *Model) Turn(now timing.Reading) bool {
	was := m.run.Moment()
	m.run.Turn(now)
	if m.run.Moment().Equal(was) {
		return false
	}
	m.Refresh()
	return true
}

// Moment is the moment that is to be shown, on the service's time line.
func (m *Model) Moment() time.Time { return m.run.Moment() }

// Pause stands still.
func (m *Model) Pause() { m.run.Pause() }

// Seek goes to a moment, or to the end beyond which it lies.
func (m *Model) Seek(at time.Time) {
	m.run.Seek(at)
	m.Refresh()
}

// Refresh looks up what the transport says of its moment.
func (m *Model) Refresh() {
	at := m.run.Moment()
	m.offset = m.tape.Wall(at, at).Sub(at)
	if n := m.tape.Position(at); n != m.seq {
		m.seq = n
		l := m.tape.At(at)
		m.entry = clean.Text(l.State().Say(l.Events()[n-1].Data))
	}
}

// SetStops puts the stops of the tape on the timeline. Until then the keys that
// step to them wait.
func (m *Model) SetStops(stops []replay.Stop) {
	m.stops = make([]replay.Stop, len(stops))
	for i, s := range stops {
		s.Text = clean.Text(s.Text)
		m.stops[i] = s
	}
}

// Update turns a key into a move of the transport, or into an intent. Keys that
// only look go to the chair; its other keys are refused.
func (m *Model) Update(msg tea.Msg) (intent.Intent, tea.Cmd) {
	k, ok := msg.(tea.KeyMsg)
	if !ok {
		return nil, nil
	}
	for _, b := range m.moves() {
		if key.Matches(k, b.binding) {
			in := b.do()
			m.Refresh()
			return in, nil
		}
	}
	for _, b := range []struct {
		binding key.Binding
		screen  intent.Screen
	}{
		{m.keys.JumpTo, intent.JumpTo}, {m.keys.Said, intent.Said}, {m.keys.Fan, intent.Fan},
		{m.keys.Mark, intent.NewMark}, {m.keys.Marks, intent.Marks}, {m.keys.Beside, intent.Beside},
		{m.keys.WhatIf, intent.Otherwise}, {m.keys.Ask, intent.Ask},
	} {
		if key.Matches(k, b.binding) {
			return intent.Open{Screen: b.screen}, nil
		}
	}
	if key.Matches(k, m.keys.Up, m.keys.Down, m.keys.Back, m.keys.Card, m.keys.Record, m.keys.Help, m.keys.Leave) {
		return m.chair.Update(msg)
	}
	if in, _ := m.chair.Update(msg); in != nil {
		return intent.Say{Text: Refusal}, nil
	}
	return nil, nil
}

// A move is a key that moves the transport.
type move struct {
	binding key.Binding
	do      func() intent.Intent
}

func (m *Model) moves() []move {
	by := func(d time.Duration) func() intent.Intent {
		return func() intent.Intent { return m.scrub(d) }
	}
	play := func(do func()) func() intent.Intent {
		return func() intent.Intent {
			do()
			return intent.Say{}
		}
	}
	return []move{
		{m.keys.Play, play(m.run.Toggle)},
		{m.keys.Onwards, play(func() { m.run.Play(false) })},
		{m.keys.Backwards, play(func() { m.run.Play(true) })},
		{m.keys.Faster, func() intent.Intent { return m.speed(1, "There is nothing faster.") }},
		{m.keys.Slower, func() intent.Intent { return m.speed(-1, "There is nothing slower.") }},
		{m.keys.Later, by(scrub)}, {m.keys.Sooner, by(-scrub)},
		{m.keys.LaterMore, by(scrubMore)}, {m.keys.SoonerMore, by(-scrubMore)},
		{m.keys.LaterMost, by(scrubMost)}, {m.keys.SoonerMost, by(-scrubMost)},
		{m.keys.First, func() intent.Intent { return m.end(m.tape.From()) }},
		{m.keys.Last, func() intent.Intent { return m.end(m.tape.To()) }},
		{m.keys.NextEvent, func() intent.Intent { return m.step(replay.Event, m.tape.Next, "No entry comes after this.") }},
		{m.keys.EventBefore, func() intent.Intent { return m.step(replay.Event, m.tape.Prev, "No entry comes before this.") }},
		{m.keys.NextWarning, func() intent.Intent { return m.step(replay.Warning, m.tape.Next, "No new warning comes after this.") }},
		{m.keys.WarningBefore, func() intent.Intent {
			return m.step(replay.Warning, m.tape.Prev, "No new warning comes before this.")
		}},
		{m.keys.NextRinse, func() intent.Intent { return m.step(replay.Rinse, m.tape.Next, "No rinse comes after this.") }},
		{m.keys.RinseBefore, func() intent.Intent { return m.step(replay.Rinse, m.tape.Prev, "No rinse comes before this.") }},
	}
}

// scrub goes on or back by a length of time.
func (m *Model) scrub(by time.Duration) intent.Intent {
	m.run.Seek(m.run.Moment().Add(by))
	return m.atEnd()
}

// end goes to one of the ends, and stays there.
func (m *Model) end(at time.Time) intent.Intent {
	m.run.Pause()
	m.run.Seek(at)
	return m.atEnd()
}

// atEnd says so if the moment is one of the ends.
func (m *Model) atEnd() intent.Intent {
	switch at := m.run.Moment(); {
	case at.Equal(m.tape.To()):
		return intent.Say{Text: "This is the end of the log."}
	case at.Equal(m.tape.From()):
		return intent.Say{Text: "This is the start of the log."}
	}
	return intent.Say{}
}

func (m *Model) speed(by int, none string) intent.Intent {
	if !m.run.Faster(by) {
		return intent.Say{Text: none}
	}
	return intent.Say{}
}

// step goes to the next stop of a kind, or the one before, and stands there.
func (m *Model) step(k replay.Kind, find func(time.Time, replay.Kind) (replay.Stop, bool), none string) intent.Intent {
	if m.stops == nil {
		return intent.Say{Text: "The log is still being looked through: press the key again in a moment."}
	}
	m.run.Pause()
	s, ok := find(m.run.Moment(), k)
	if !ok {
		return intent.Say{Text: none}
	}
	m.run.Seek(s.At)
	if s.Kind == replay.Warning {
		return intent.Say{Text: "warned: " + s.Text}
	}
	return intent.Say{Text: s.Text}
}

// Keys lists what can be pressed.
func (m *Model) Keys() []key.Binding { return m.keys.All() }

// Typing reports whether letters are typed here: none are.
func (m *Model) Typing() bool { return false }
