package replay

import (
	"fmt"
	"strings"
	"time"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"rinseby/session"
	"rinseby/session/replay"
	"rinseby/timing"
	"rinseby/tui/intent"
	"rinseby/tui/keys"
	"rinseby/tui/theme"
	"rinseby/tui/widget"
)

// A Foretold is what was said at a moment of when the service ends; the end is
// zero where nothing could be said.
type Foretold struct {
	At  time.Time
	End session.Moments
}

// A Fan is the screen of how the end was forecast over time: across, the moment
// at which it was asked; upwards, the end as it was said then. Where forecasts
// are good the fan closes on the line of the real end.
type Fan struct {
	th   *theme.Theme
	tape *replay.Tape
	of   int // points that are to come in all
	w, h int
	keys keys.Page

	points        []Foretold
	moment        time.Time
	end, promised time.Time // zero if there is none
}

// NewFan makes the screen for so many points of a tape.
func NewFan(th *theme.Theme, km keys.Page, tape *replay.Tape, of int) *Fan {
	return &Fan{th: th, tape: tape, of: of, keys: km}
}

// SetPoints sets what was said, by the moments at which it was.
func (f *Fan) SetPoints(points []Foretold) { f.points = points }

// Show sets the moment that is looked at, and when the service ended and was
// promised to, which may be zero.
func (f *Fan) Show(moment, end, promised time.Time) {
	f.moment, f.end, f.promised = moment, end, promised
}

// SetSize sets the room that the screen has.
func (f *Fan) SetSize(w, h int) { f.w, f.h = w, h }

// Update goes back.
func (f *Fan) Update(msg tea.Msg) (intent.Intent, tea.Cmd) {
	if k, ok := msg.(tea.KeyMsg); ok && key.Matches(k, f.keys.Back) {
		return intent.Back{}, nil
	}
	return nil, nil
}

// Keys lists what can be pressed.
func (f *Fan) Keys() []key.Binding { return []key.Binding{f.keys.Back, f.keys.Help} }

// Typing reports whether letters are typed here: none are.
func (f *Fan) Typing() bool { return false }

// labelWide is the room for the times at the left of the chart.
const labelWide = 7

// What a cell of the fan shows, by rising precedence.
const (
	nothing = iota
	looked
	promisedLine
	spread
	endLine
	even
	fanShapes
)

// View draws the screen: at most h lines of at most w cells.
func (f *Fan) View() string {
	if f.w <= 0 || f.h <= 0 {
		return ""
	}
	p := f.pens()
	head := []string{
		f.th.Title.Render(" Replay: the end as it was forecast, by when it was asked"),
		widget.Fit(" "+p[even].sample()+" even chance  "+p[spread].sample()+" 80 % range  "+p[endLine].sample()+" real end"+
			"  "+p[promisedLine].sample()+" promised  "+p[looked].sample()+" this moment", f.w),
	}
	foot := []string{f.said(), f.th.Dim.Render(" esc back")}
	if n := len(f.points); n < f.of {
		foot[1] = f.th.Dim.Render(fmt.Sprintf(" working it out: %d of %d moments   esc back", n, f.of))
	}
	return widget.Screen(f.th, head, f.chart(f.w-labelWide-1, f.h-len(head)-len(foot)-1), foot, f.w, f.h)
}

// said is the figures of the moment that is looked at.
func (f *Fan) said() string {
	p := f.at(f.moment)
	clock := f.tape.Clock(f.moment)
	if p == nil || p.End.P50.IsZero() {
		return widget.Fit(" at "+clock(f.moment)+" nothing could be said", f.w)
	}
	text := fmt.Sprintf(" at %s: even chance %s, 80 %% %s to %s", clock(p.At), clock(p.End.P50), clock(p.End.P10), clock(p.End.P90))
	if !f.end.IsZero() {
		text += fmt.Sprintf("; ended %s", clock(f.end))
		switch d := int(f.end.Sub(p.End.P50).Round(time.Minute) / time.Minute); {
		case d > 0:
			text += fmt.Sprintf(", %d min later", d)
		case d < 0:
			text += fmt.Sprintf(", %d min sooner", -d)
		}
	}
	return widget.Fit(text, f.w)
}

// at is the last point by a moment, or nil.
func (f *Fan) at(m time.Time) (p *Foretold) {
	for i := range f.points {
		if f.points[i].At.After(m) {
			break
		}
		p = &f.points[i]
	}
	return p
}

// chart draws the fan in h lines, w cells wide, with times at the left and an
// axis below.
func (f *Fan) chart(w, h int) []string {
	low, high, ok := f.bounds()
	if w < 8 || h < 3 || !ok {
		return nil
	}
	rows := f.paint(w, h, low, high)
	row := func(at time.Time) int { return int(float64(h) * (float64(high.Sub(at)) / float64(high.Sub(low)))) }
	labels := make([]string, h)
	clock := f.tape.Clock(f.moment)
	step := nice(high.Sub(low), h/3)
	for at := high.Truncate(step); at.After(low); at = at.Add(-step) {
		if r := row(at); r >= 0 && r < h {
			labels[r] = clock(at)
		}
	}
	if !f.end.IsZero() {
		if r := row(f.end); r >= 0 && r < h {
			labels[r] = clock(f.end)
		}
	}
	pens := f.pens()
	lines := make([]string, 0, h+1)
	for r, cells := range rows {
		var b strings.Builder
		b.WriteString(f.th.Dim.Render(widget.PadLeft(labels[r], labelWide-1) + f.th.Glyphs.Down))
		for i := 0; i < len(cells); {
			end := i + 1
			for end < len(cells) && cells[end] == cells[i] {
				end++
			}
			p := pens[cells[i]]
			p.style.WriteRun(&b, p.glyph, end-i)
			i = end
		}
		lines = append(lines, b.String())
	}
	wall := func(at time.Time) time.Time { return f.tape.Wall(f.moment, at) }
	return append(lines, strings.Repeat(" ", labelWide)+widget.Axis(f.th, wall(f.tape.From()), wall(f.tape.To()), wall(f.moment), f.tape.Place(), w))
}

// paint fills the cells of the chart, row by row from the top.
func (f *Fan) paint(w, h int, low, high time.Time) [][]byte {
	rows := make([][]byte, h)
	for i := range rows {
		rows[i] = make([]byte, w)
	}
	row := func(at time.Time) int {
		return min(max(int(float64(h)*(float64(high.Sub(at))/float64(high.Sub(low)))), 0), h-1)
	}
	put := func(r, c, k int) {
		if rows[r][c] < byte(k) {
			rows[r][c] = byte(k)
		}
	}
	from, length := f.tape.From(), f.tape.To().Sub(f.tape.From())
	done := f.of > 0 && len(f.points) >= f.of
	for c := range w {
		m := from.Add(time.Duration(float64(length) * (float64(c) + 0.5) / float64(w)))
		if !f.end.IsZero() {
			put(row(f.end), c, endLine)
		}
		if !f.promised.IsZero() && !f.promised.Before(low) && !f.promised.After(high) {
			put(row(f.promised), c, promisedLine)
		}
		p := f.at(m)
		if p == nil || p.End.P50.IsZero() || !done && p == &f.points[len(f.points)-1] && m.Sub(p.At) > length/time.Duration(max(f.of, 1)) {
			continue // nothing was said, or it is not worked out yet
		}
		for r := row(p.End.P90); r <= row(p.End.P10); r++ {
			put(r, c, spread)
		}
		put(row(p.End.P50), c, even)
	}
	if at := f.moment.Sub(from); length > 0 {
		c := min(max(int(float64(w)*float64(at)/float64(length)), 0), w-1)
		for r := range rows {
			put(r, c, looked)
		}
	}
	return rows
}

// bounds is what the chart shows of the ends that were said. The real end and
// what was promised are within, if they are not far off.
func (f *Fan) bounds() (low, high time.Time, ok bool) {
	take := func(at time.Time) {
		if at.IsZero() {
			return
		}
		if low.IsZero() || at.Before(low) {
			low = at
		}
		if high.IsZero() || at.After(high) {
			high = at
		}
	}
	for _, p := range f.points {
		take(p.End.P10)
		take(p.End.P90)
	}
	take(f.end)
	if !f.promised.IsZero() && !low.IsZero() && f.promised.After(low.Add(-time.Hour)) && f.promised.Before(high.Add(time.Hour)) {
		take(f.promised)
	}
	if low.IsZero() {
		return low, high, false
	}
	return low.Add(-2 * time.Minute), high.Add(2 * time.Minute), true
}

// nice is a distance between about n labels that reads well.
func nice(span time.Duration, n int) time.Duration {
	for _, d := range []time.Duration{time.Minute, 5 * time.Minute, 10 * time.Minute, 15 * time.Minute, 30 * time.Minute} {
		if span/d <= time.Duration(max(n, 1)) {
			return d
		}
	}
	return max((span / time.Duration(max(n, 1))).Truncate(time.Hour), time.Hour)
}

func (f *Fan) pens() [fanShapes]pen {
	g := f.th.Glyphs
	return [fanShapes]pen{
		nothing:      {theme.Style{}, " "},
		looked:       {f.th.Dim, g.NowMark},
		promisedLine: {f.th.Strong, dot(f.th)},
		spread:       {f.th.Ahead, g.Applying},
		endLine:      {f.th.Limit, g.ToLimit},
		even:         {f.th.Phase(timing.Open).Style, g.Open},
	}
}

// sample is the shape as a legend shows it.
func (p pen) sample() string { return p.style.Render(p.glyph) }
