package replay

import (
	"fmt"
	"strings"
	"time"

	"rinseby/tui/widget"
)

// From these heights on there is room for an axis, and for a line for each kind
// of stop.
const (
	roomy = 24
	tall  = 32
)

// View draws the screen: at most h lines of at most w cells.
func (m *Model) View() string {
	if m.w <= 0 || m.h <= 0 {
		return ""
	}
	bar := m.bar()
	if m.h <= len(bar) {
		return widget.Screen(m.th, bar, nil, nil, m.w, m.h)
	}
	return m.chair.View() + "\n" + widget.Screen(m.th, bar, nil, nil, m.w, len(bar))
}

// bar is the transport, the timeline, and what can be pressed.
func (m *Model) bar() []string {
	lines := append([]string{m.viewTransport()}, m.timeline()...)
	return append(lines, m.viewHints())
}

// viewTransport says what is shown: that it is a replay, how it runs, which
// moment it is, and the last entry by then.
func (m *Model) viewTransport() string {
	at, state := m.run.Moment(), m.State()
	times := "×"
	if m.th.ASCII {
		times = "x"
	}
	head := fmt.Sprintf(" REPLAY %s %s%d ", widget.PadRight(state, len("playing back")), times, m.run.Speed())
	where := fmt.Sprintf(" %s  %s of %s ", m.wall(at).Format("15:04:05"), widget.Clock(at.Sub(m.tape.From())), widget.Clock(m.tape.To().Sub(m.tape.From())))
	entry := fmt.Sprintf(" %d/%d %s", m.seq, m.tape.Len(), m.entry)
	room := max(m.w-widget.Width(head)-widget.Width(where), 0)
	return m.th.Selected.Render(head) + m.th.Strong.Render(where) + m.th.Text.Render(widget.Fit(entry, room))
}

// State says how the replay runs.
func (m *Model) State() string {
	switch at := m.run.Moment(); {
	case m.run.Playing() && m.run.back:
		return "playing back"
	case m.run.Playing():
		return "playing"
	case at.Equal(m.tape.To()):
		return "at the end"
	case at.Equal(m.tape.From()):
		return "at the start"
	}
	return "paused"
}

// Speed is how many times faster than real time it plays.
func (m *Model) Speed() int { return m.run.Speed() }

// Ready reports whether the log was looked through, so that all keys work.
func (m *Model) Ready() bool { return m.stops != nil }

// wall is a moment of the time line as the clock on the wall shows it.
func (m *Model) wall(at time.Time) time.Time { return at.Add(m.offset).In(m.tape.Place()) }

// viewHints is the keys, as far as there is room; until they all work, what is
// being done for that.
func (m *Model) viewHints() string {
	if m.stops == nil {
		return m.th.Dim.Render(widget.Fit(" looking the log through for its warnings and trips …", m.w))
	}
	last := " " + widget.Hint(m.th, m.keys.Help.Help().Key, "all keys")
	var b strings.Builder
	used := widget.Width(last)
	for _, k := range m.keys.Hints() {
		h := " " + widget.Hint(m.th, k.Help().Key, k.Help().Desc) + " "
		if used += widget.Width(h); used > m.w {
			break
		}
		b.WriteString(h)
	}
	return b.String() + last
}
