package station

import (
	"cmp"
	"fmt"
	"strings"

	"rinseby/session"
	"rinseby/tui/widget"
)

// viewFoot is the bowls, the answer to the last key, and what can be pressed.
func (m *Model) viewFoot() []string {
	var bowls []string
	for _, b := range m.look.Board.Bowls {
		text := b.ID + " " + b.Product + " " + b.Strength
		switch {
		case b.Stale:
			text += " STALE"
		case !b.StaleAt.IsZero():
			text += " good till " + m.clock(b.StaleAt)
		}
		bowls = append(bowls, text)
	}
	lines := append(m.viewEnding(), m.viewLift()...)
	if m.look.NextBowl != "" {
		lines = append(lines, m.th.Text.Render(widget.FitWords(" "+m.look.NextBowl, m.w)))
	}
	if len(bowls) > 0 {
		lines = append(lines, m.th.Dim.Render(widget.FitWords(" bowls: "+strings.Join(bowls, " "+m.th.Glyphs.Dot+" "), m.w)))
	}
	if m.look.Hint != "" && !m.look.Asked {
		lines = append(lines, m.th.Ahead.Render(widget.FitWords(" "+m.look.Hint, m.w)))
	}
	lines = append(lines, m.viewStatus())
	return append(lines, m.viewHints()...)
}

func (m *Model) viewStatus() string {
	switch {
	case m.look.Watching != "": // stays in sight whatever is said
		return m.th.Warn.Render(widget.Fit(" WATCHING ONLY: "+cmp.Or(m.status.Text, m.look.Watching), m.w))
	case m.look.Late > 0 && !m.status.Bad: // a refusal is said first; the keys' line tells how late
		return m.th.Warn.Render(widget.Fit(fmt.Sprintf(" The next entry counts as %s ago (esc to forget).", widget.Clock(m.look.Late)), m.w))
	case m.look.Unsaved:
		return m.th.Warn.Render(" saving …")
	case m.status.Bad:
		return m.th.Bad.Render(widget.FitWords(" "+m.status.Text, m.w))
	}
	several := ""
	if m.look.Burst {
		several = " " + m.th.Glyphs.Dot + " several? " + m.keys.Many.Help().Key
	}
	return m.th.Good.Render(widget.Keep("", " "+m.status.Text, several, m.w))
}

// viewEnding says when the service ends and how it stands with the promise, in
// the longest words that there is room for.
func (m *Model) viewEnding() []string {
	e := m.look.Ending
	style := m.th.Text
	if e.Late {
		style = m.th.Strong // yellow is for hair
	}
	words := e.Words
	if len(words) == 0 {
		return nil
	}
	text := words[len(words)-1]
	for _, w := range words {
		if widget.Width(w)+1 <= m.w {
			text = w
			break
		}
	}
	return []string{style.Render(widget.FitWords(" "+text, m.w))}
}

// viewHints is the key that does the next thing, then the others as far as
// there is room.
func (m *Model) viewHints() []string {
	does := "do: " + m.look.Board.Next.Text
	switch m.look.Board.Next.Verb {
	case session.DoOff:
		does += " (press when it is)"
	case session.DoWait:
		does = "nothing to press yet"
	case session.DoNothing:
		does = "show the card; w: the next client, q: leave"
	case session.DoEye:
		does = "note what was found"
	case session.DoCool:
		if len(m.look.Board.Next.Commands) == 0 {
			does = "note what was found"
		}
	}
	switch {
	case m.look.Asked:
		return nil
	case m.look.Relived: // what else could be pressed then says nothing now
		return []string{m.th.Dim.Render(widget.FitWords(" the key would have done: "+strings.TrimPrefix(does, "do: "), m.w))}
	}
	late := ""
	if m.look.Late > 0 {
		late = " (" + widget.Clock(m.look.Late) + " ago)"
	}
	first := " " + widget.Hint(m.th, "space", widget.Keep("", does, late, m.w-len(" space ")))
	second := ""
	for _, b := range m.keys.All()[1:] {
		h := widget.Hint(m.th, b.Help().Key, b.Help().Desc)
		if widget.Width(second)+widget.Width(h)+12 > m.w {
			break
		}
		second += " " + h + " "
	}
	second += " " + widget.Hint(m.th, "?", "all keys")
	return []string{first, second}
}
