package replay

import (
	"strings"
	"time"

	"rinseby/session"
	"rinseby/session/replay"
	"rinseby/timing"
	"rinseby/tui/theme"
	"rinseby/tui/widget"
)

// What a cell of the timeline shows, by rising precedence.
const (
	ahead = iota
	gone
	entry
	basin
	line
	alert
	mark
	alarm
	present
	shapes
)

// laneWide is the room for the name of a line of the timeline, where each kind
// of stop has its own.
const laneWide = 10

// timeline is the whole service, as an axis and one line of shapes; where there
// is room, as one line for each kind.
func (m *Model) timeline() []string {
	from, to, now := m.tape.From(), m.tape.To(), m.run.Moment()
	axis := func(w int) string {
		return widget.Axis(m.th, m.wall(from), m.wall(to), m.wall(now), m.tape.Place(), w)
	}
	switch {
	case m.h < roomy:
		return []string{m.strip(m.w, present, entry, basin, line, mark, alert, alarm)}
	case m.h < tall:
		return []string{axis(m.w), m.strip(m.w, entry, basin, line, mark, alert, alarm)}
	}
	w := m.w - laneWide
	lane := func(name string, kinds ...int) string {
		return m.th.Dim.Render(widget.PadRight(" "+name, laneWide)) + m.strip(w, kinds...)
	}
	return []string{
		strings.Repeat(" ", laneWide) + axis(w),
		lane("warnings", line, alert, alarm), lane("basin", basin), lane("marks", mark), lane("entries", entry),
	}
}

// strip draws the stops of some kinds in w cells.
func (m *Model) strip(w int, kinds ...int) string {
	if w <= 0 {
		return ""
	}
	var shown [shapes]bool
	for _, k := range kinds {
		shown[k] = true
	}
	cells := make([]byte, w)
	put := func(i, k int) {
		if i = min(max(i, 0), w-1); shown[k] && cells[i] < byte(k) {
			cells[i] = byte(k)
		}
	}
	for i := range m.column(m.run.Moment(), w) {
		cells[i] = gone
	}
	for _, t := range m.trips {
		first := m.column(t.from, w)
		for i := first; i < max(m.column(t.to, w), first+1); i++ {
			put(i, basin)
		}
	}
	for _, s := range m.stops {
		put(m.column(s.At, w), kindOf(s))
	}
	put(m.column(m.run.Moment(), w), present)
	pens := m.pens()
	var b strings.Builder
	b.Grow(3*w + 96)
	for i := 0; i < w; {
		end := i + 1
		for end < w && cells[end] == cells[i] {
			end++
		}
		p := pens[cells[i]]
		p.style.WriteRun(&b, p.glyph, end-i)
		i = end
	}
	return b.String()
}

// kindOf is what a stop is shown as.
func kindOf(s replay.Stop) int {
	switch {
	case s.Kind == replay.Marked:
		return mark
	case s.Kind != replay.Warning:
		return entry
	case s.Level == session.Alarm:
		return alarm
	case s.Level == session.Alert:
		return alert
	}
	return line
}

// A pen is a shape with its style.
type pen struct {
	style theme.Style
	glyph string
}

func (m *Model) pens() [shapes]pen {
	g := m.th.Glyphs
	return [shapes]pen{
		ahead:   {m.th.Dim, g.ToOpen},
		gone:    {m.th.Ahead, g.ToLimit},
		entry:   {m.th.Text, dot(m.th)},
		basin:   {m.th.Phase(timing.Rinsed).Style, g.Rinsed},
		line:    {m.th.Warn, lineGlyph},
		mark:    {m.th.Strong, g.Yes},
		alert:   {m.th.Warn, m.th.Phase(timing.Closing).Glyph},
		alarm:   {m.th.Bad, g.Over},
		present: {m.th.Now, g.NowMark},
	}
}

// lineGlyph is the shape of a warning that is a line, nothing more.
const lineGlyph = "w"

// dot is a shape that no line has.
func dot(th *theme.Theme) string {
	if th.ASCII {
		return "."
	}
	return th.Glyphs.Dot
}

// Legend says what the shapes of the timeline mean.
func (m *Model) Legend() []string {
	p := m.pens()
	return []string{
		p[gone].glyph + " " + p[ahead].glyph + "  what has been, and what is to come",
		p[entry].glyph + "  an entry of the log",
		p[basin].glyph + "  at the basin",
		p[line].glyph + "  a warning is shown for the first time: as a line",
		p[alert].glyph + "  the same: as a band, with the bell",
		p[alarm].glyph + "  the same: of harm that is happening",
		p[mark].glyph + "  a mark",
	}
}

// column is the cell of a moment.
func (m *Model) column(at time.Time, w int) int {
	from, to := m.tape.From(), m.tape.To()
	switch {
	case !from.Before(at):
		return 0
	case !at.Before(to):
		return w
	}
	return int(float64(w) * (float64(at.Sub(from)) / float64(to.Sub(from))))
}
