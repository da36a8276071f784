package station

import (
	"fmt"
	"strings"
	"time"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"rinseby/session"
	"rinseby/session/safety"
	"rinseby/timing"
	"rinseby/tui/intent"
	"rinseby/tui/widget"
)

// Calling reports whether the screen is the one that says whom to call.
func (m *Model) Calling() bool {
	r := m.look.Board.Reaction
	return r != nil && r.Calling && !m.look.Relived
}

// CallLines says what to do in an emergency, in order; none if there is none.
func (m *Model) CallLines() []string {
	if !m.Calling() {
		return nil
	}
	return safety.Call(m.look.Board.Reaction.Number)
}

// viewCall is an emergency: all that is to be done and whom to call, by itself.
// Nothing covers it, and no key is needed to see more.
func (m *Model) viewCall() string {
	clock := m.look.Wall.In(m.look.Place).Format("15:04")
	parts := []string{"HELP", m.look.Client}
	if m.look.Station != "" {
		parts = append(parts, m.look.Station)
	}
	top := widget.Band(m.th.Band, widget.PadRight(strings.Join(parts, " "+m.th.Glyphs.Dot+" "), m.w-len(clock)-3)+" "+clock, m.w)
	h, rows := m.callHero(), 3
	if m.h >= 32 {
		rows = 5
	}
	digits, wide := widget.Digits(m.th, h.digits, max(m.w/2, digitsWide), rows), 0
	for i, d := range digits {
		wide = max(wide, widget.Width(d))
		digits[i] = " " + h.style.Render(d)
	}
	room := m.w - wide - 3
	words := []string{
		m.th.Strong.Render(widget.Keep("", h.label, h.at, room)),
		m.th.Text.Render(widget.Fit("Stay with them.", room)),
		m.th.Dim.Render(widget.Fit("This stays until help is here.", room)),
	}
	head := append([]string{top}, widget.Beside(digits, wide+1, 2, words)...)
	foot := []string{m.viewStatus(), " " + widget.Hint(m.th, m.keys.Next.Help().Key, m.callKey()), m.callHints()}
	return widget.Screen(m.th, head, m.callBody(m.h-len(head)-len(foot)), foot, m.w, m.h)
}

// callHero counts up since the emergency was said.
func (m *Model) callHero() hero {
	b := m.look.Board
	r := b.Reaction
	return hero{
		digits: widget.Clock(max(b.Now.Sub(r.Since), 0).Truncate(time.Second)), label: "since it was said,", at: " at " + m.clock(r.Since),
		style: m.th.DigitsOver,
	}
}

// callBody is what to do in order, spaced where there is room.
func (m *Model) callBody(room int) []string {
	var tight, loose []string
	for i, text := range m.CallLines() {
		var lines []string
		for j, part := range widget.Wrap(text, max(m.w-5, 1)) {
			lead := fmt.Sprintf(" %d  ", i+1)
			if j > 0 {
				lead = "    "
			}
			lines = append(lines, m.th.Strong.Render(lead+part))
		}
		tight = append(tight, lines...)
		loose = append(append(loose, lines...), "")
	}
	body := loose
	if len(loose)+2 > room {
		body = append(tight, "")
	}
	if on := m.stillOn(); on != "" {
		body = append(body, m.th.Warn.Render(widget.Fit(" "+m.th.Phase(timing.Over).Glyph+" product is on: "+on, m.w)))
	}
	if len(body) < room {
		body = append([]string{""}, body...)
	}
	return body
}

// stillOn names the zones that hold product.
func (m *Model) stillOn() string {
	var names []string
	for _, z := range m.look.Board.Zones {
		if z.Holding() {
			names = append(names, z.Name)
		}
	}
	return strings.Join(names, ", ")
}

// callKey says what the key that does the next thing does then.
func (m *Model) callKey() string {
	if len(m.look.Board.Next.Zones) > 0 {
		return "twice: all product is off, where they are"
	}
	return "twice: help is here"
}

func (m *Model) callHints() string {
	line := ""
	for _, b := range m.callKeys() {
		h := " " + widget.Hint(m.th, b.Help().Key, b.Help().Desc) + " "
		if widget.Width(line)+widget.Width(h) > m.w {
			break
		}
		line += h
	}
	return line
}

// callKeys are the keys that work while help is called, beside the one that does
// the next thing.
func (m *Model) callKeys() []key.Binding {
	return []key.Binding{m.keys.Undo, m.keys.Redo, m.keys.Floor, m.keys.Leave}
}

// HelpFirst answers the keys that do nothing while help is called.
const HelpFirst = "Help first. All else waits until help is here."

// whileCalling is what a key does while help is called: what would cover the
// screen does nothing.
func (m *Model) whileCalling(k tea.KeyMsg) intent.Intent {
	switch {
	case key.Matches(k, m.keys.Next):
		return m.next()
	case key.Matches(k, m.keys.Undo):
		return intent.Undo{}
	case key.Matches(k, m.keys.Redo):
		return intent.Redo{}
	case key.Matches(k, m.keys.Floor):
		return intent.Floor{}
	case key.Matches(k, m.keys.Leave):
		return intent.Quit{}
	}
	return intent.Say{Text: HelpFirst}
}

// callEarly asks for a second press: neither is a slip of a key.
func (m *Model) callEarly(a session.Action) string {
	if len(a.Zones) > 0 {
		return "Press again if all product is off, where they are."
	}
	return "Press again once help is here."
}

// reactionHero is the figure of a reaction that is open; false if it is that of
// pain.
func (m *Model) reactionHero() (hero, bool) {
	b := m.look.Board
	r := b.Reaction
	if r == nil {
		return hero{}, false
	}
	since := hero{
		digits: widget.Clock(max(b.Now.Sub(r.Since), 0).Truncate(time.Second)), label: "since it was said,", at: " at " + m.clock(r.Since),
		detail: b.Next.Why, style: m.th.DigitsOver,
	}
	switch {
	case r.Calling:
		h := m.callHero()
		h.detail = strings.Join(safety.Call(r.Number)[1:2], "")
		return h, true
	case r.Look:
		since.label, since.style = "since it began to itch,", m.th.DigitsClosing
		since.detail = "no heat, nothing more goes on"
		return since, true
	case r.Reaction == session.InEye && b.Next.Verb != session.DoClear:
		h := hero{label: "left of water over the eye", detail: "Hold it open; only water.", style: m.th.DigitsOver}
		h.digits = widget.Clock(max(r.Until.Sub(b.Now), 0).Truncate(time.Second))
		return h, true
	case r.Until.IsZero():
		return since, true
	}
	return hero{}, false
}

// viewHeld tells of what is on while water runs elsewhere, the first that must
// be off first.
func (m *Model) viewHeld(room int) []string {
	r := m.look.Board.Reaction
	if r == nil || r.Calling || len(r.Held) == 0 || room < 3 {
		return nil
	}
	wide := 0
	for _, h := range r.Held {
		wide = max(wide, widget.Width(h.Name))
	}
	wide = min(wide, m.w/3)
	lines := []string{m.th.Strong.Render(widget.Fit(" Still on, first limit first:", m.w))}
	for i, h := range r.Held {
		if len(lines) == room-1 && i < len(r.Held)-1 {
			return append(lines, m.th.Warn.Render(widget.Fit(fmt.Sprintf("   and %d more", len(r.Held)-i), m.w)))
		}
		lines = append(lines, m.heldLine(h, wide))
	}
	return lines
}

// viewEyeCare says how an eye is rinsed.
func (m *Model) viewEyeCare(room int) []string {
	r := m.look.Board.Reaction
	if r == nil || r.Reaction != session.InEye {
		return nil
	}
	var lines []string
	for _, text := range safety.EyeCare() {
		lines = append(lines, m.th.Text.Render(widget.Fit(" "+m.th.Glyphs.Dot+" "+text, m.w)))
	}
	return lines[:min(len(lines), max(room, 0))]
}

func (m *Model) heldLine(h session.Held, wide int) string {
	mark, style := " ", m.th.Warn
	switch {
	case h.LimitAt.IsZero():
	case m.look.Board.Now.After(h.LimitAt):
		mark = m.th.Phase(timing.Over).Glyph
	case h.Over:
		mark = m.th.Phase(timing.Closing).Glyph
	default:
		style = m.th.Text
	}
	return style.Render(widget.Fit(" "+mark+" "+widget.PadRight(h.Name, wide)+"  "+m.sayHeld(h), m.w))
}

// sayHeld says by when a zone that stays on must be off.
func (m *Model) sayHeld(h session.Held) string {
	switch {
	case h.LimitAt.IsZero():
		return "no limit known"
	case m.look.Board.Now.After(h.LimitAt):
		return "OVER since " + m.clock(h.LimitAt)
	case h.Over:
		return "off by " + m.clock(h.LimitAt) + ", goes over while the water runs"
	}
	return "off by " + m.clock(h.LimitAt)
}

// reactionTitle says a reaction in a few words, without a name; empty if none is
// open, or it is that of pain.
func (m *Model) reactionTitle() string {
	r := m.look.Board.Reaction
	switch {
	case r == nil:
		return ""
	case r.Calling:
		return "HELP: emergency, call"
	case r.Look:
		return "itch: look again at " + m.clock(r.Until)
	case r.Reaction == session.InEye:
		return "eye: water until " + m.clock(r.Until)
	case r.Reaction == session.Hives:
		return "hives: rinse, watch"
	}
	return ""
}

// HeldLines says what is on while water runs elsewhere, in words.
func (m *Model) HeldLines() (lines []string) {
	r := m.look.Board.Reaction
	if r == nil || r.Calling {
		return nil
	}
	for _, h := range r.Held {
		lines = append(lines, h.Name+" "+m.sayHeld(h))
	}
	return lines
}
