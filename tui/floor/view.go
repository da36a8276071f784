package floor

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"rinseby/timing"
	"rinseby/tui/theme"
	"rinseby/tui/widget"
)

// View draws the screen: at most h lines of at most w cells.
func (m *Model) View() string {
	if m.w <= 0 || m.h <= 0 {
		return ""
	}
	head := append(m.viewNext(), m.viewBand()...)
	foot := m.viewFoot()
	body := m.viewRows(m.h - len(head) - len(foot))
	return widget.Screen(m.th, head, body, foot, m.w, m.h)
}

// viewNext is the top line, then the big figure with its words: the next thing
// hands must do, for whom, and by when.
func (m *Model) viewNext() []string {
	clock := m.clock(m.now)
	head, whom := strings.ToUpper(m.none()), ""
	h := hero{digits: clock, style: m.th.Digits}
	switch {
	case len(m.rows) == 0 && !m.part:
		h.label = "nobody waits for hands"
	case len(m.rows) > 0:
		r := m.rows[0]
		head, whom = strings.ToUpper(r.next), " "+m.th.Glyphs.Dot+" "+r.who
		if r.help != "" {
			head, whom = r.help, ""
		}
		h = m.hero(r)
	}
	head = widget.Keep(head, whom, "", m.w-len(clock)-3)
	lines := []string{m.th.Strong.Render(widget.PadRight(" "+head, m.w-len(clock)-1)) + m.th.Text.Render(clock)}
	tall := 3
	if m.h >= 32 {
		tall = 5
	}
	digits := widget.Digits(m.th, h.digits, max(m.w/2, digitsWide), tall)
	wide := 0
	for i, d := range digits {
		wide = max(wide, widget.Width(d))
		digits[i] = " " + h.style.Render(d)
	}
	room := m.w - wide - 3
	words := []string{
		m.th.Strong.Render(widget.Keep("", h.label, h.at, room)), m.th.Text.Render(widget.Keep("", h.detail, h.by, room)),
		m.th.Dim.Render(widget.FitWords(m.then(), room)),
	}
	return append(lines, widget.Beside(digits, wide+1, 2, words)...)
}

// none is what there is to say without a row.
func (m *Model) none() string {
	if m.part {
		return "looking for live services"
	}
	return "no service is live"
}

// digitsWide is what the big figure may take of the narrowest screen.
const digitsWide = 32

// A hero is the big figure and what it says.
type hero struct {
	digits     string
	label, at  string // at is its end, which is not cut
	detail, by string // by is its end, which is not cut
	style      theme.Style
}

// hero picks the figure of the row on top: how long until what is on must be
// off, else until hands are needed, else the time of day.
func (m *Model) hero(r row) hero {
	h := hero{digits: m.clock(m.now), label: "hands are needed now", detail: r.station, style: m.th.Digits}
	late := !r.handsAt.After(m.now)
	left := r.rinseBy.Sub(m.now)
	switch {
	case r.help != "":
		h.digits, h.label, h.detail, h.style = widget.Clock(max(m.now.Sub(r.since), 0).Truncate(time.Second)), r.next, "since it was said", m.th.DigitsOver
	case r.pain:
		h.label, h.style = "pain was reported", m.th.DigitsOver
	case !late:
		h.digits, h.label = widget.Clock(r.handsAt.Sub(m.now)), "until hands are needed, at "+m.clock(r.handsAt)
		if !r.rinseBy.IsZero() {
			h.detail, h.by = r.zone, " must be off by "+m.clock(r.rinseBy)
		}
	case r.rinseBy.IsZero():
	case r.harm:
		h.digits, h.label, h.style = "+"+widget.Clock(left), r.zone+" must come off, since "+m.clock(r.rinseBy), m.th.DigitsOver
	case left < 0:
		h.digits, h.label, h.at, h.style = "+"+widget.Clock(left), r.zone, " OVER since "+m.clock(r.rinseBy), m.th.DigitsOver
	default:
		h.digits, h.label, h.at = widget.Clock(left), r.zone, " must be off by "+m.clock(r.rinseBy)
		if r.phase == timing.Closing {
			h.style = m.th.DigitsClosing
		}
	}
	return h
}

// then says whom hands turn to after that.
func (m *Model) then() string {
	if len(m.rows) < 2 {
		return ""
	}
	r := m.rows[1]
	when := "then"
	if r.handsAt.After(m.now) {
		when = "then at " + m.clock(r.handsAt)
	}
	return when + " " + r.who + ": " + r.next
}

// viewBand is what is worst over the full width: harm that is happening, then
// what collides, then other warnings. Under what collides stands what gives the
// least trouble.
func (m *Model) viewBand() []string {
	switch {
	case m.alarm >= 0:
		lines := m.band(m.rows[m.alarm].warnMark + " " + m.rows[m.alarm].who + ": " + m.rows[m.alarm].warn)
		switch {
		case m.h < roomy:
		case len(m.troubles) > 0:
			lines = append(lines, m.th.Warn.Render(widget.FitWords(" "+m.th.Phase(timing.Over).Glyph+" "+m.troubles[0].Text, m.w)))
		case m.fits != "":
			lines = append(lines, m.th.Text.Render(widget.FitWords(" "+m.fits, m.w)))
		}
		return lines
	case len(m.troubles) > 0:
		t := m.troubles[0]
		lines := m.band(m.th.Phase(timing.Over).Glyph + " " + t.Text)
		for _, part := range wrap(t.Help, m.w-4, 2) {
			lines = append(lines, m.th.Warn.Render("   "+part))
		}
		return lines
	case m.alert >= 0:
		return m.band(m.rows[m.alert].warnMark + " " + m.rows[m.alert].who + ": " + m.rows[m.alert].warn)
	}
	return []string{m.th.Text.Render(widget.FitWords(" "+m.fits, m.w))}
}

// roomy is the height from which what is worst does not hide what collides.
const roomy = 24

// band is a warning over the full width, in two lines if it is long, with how
// many more there are.
func (m *Model) band(text string) []string {
	lines := wrap(text+m.more(), m.w-2, 2)
	for i, l := range lines {
		if i > 0 {
			l = "  " + l
		}
		lines[i] = widget.Band(m.th.Band, l, m.w)
	}
	return lines
}

// wrap breaks text into at most n lines of at most w cells.
func wrap(text string, w, n int) []string {
	if text == "" {
		return nil
	}
	lines := widget.Wrap(text, w)
	if len(lines) > n {
		lines[n-1] = widget.FitWords(strings.Join(lines[n-1:], " "), w)
		lines = lines[:n]
	}
	return lines
}

// more counts what else there is to warn of.
func (m *Model) more() string {
	n := len(m.troubles) - 1
	for _, r := range m.listed {
		if r.loud {
			n++
		}
	}
	if n < 1 {
		return ""
	}
	return fmt.Sprintf("  (+%d)", n)
}

// A layout is how rows are drawn on a screen of this width.
type layout struct {
	strip, left int  // widths of the strip and of the text
	each        int  // lines per row
	warnings    bool // have room of their own
	beside      bool // the strip is beside the text
}

// besideFrom is the width from which the strip stands beside the text.
const besideFrom = 110

func (m *Model) layout(room int) layout {
	if m.w >= besideFrom {
		left := m.w * 5 / 9
		l := layout{strip: m.w - left - 1, left: left, each: 2, warnings: true, beside: true}
		if 3*len(m.listed) < room {
			l.each = 3
		}
		return l
	}
	l := layout{strip: max(m.w-5, 0), left: m.w, each: 3}
	if 4*len(m.listed) < room {
		l.each, l.warnings = 4, true
	}
	return l
}

// viewRows is the axis and the rows that there is room for.
func (m *Model) viewRows(room int) []string {
	if room < 2 || len(m.listed) == 0 {
		return nil
	}
	l := m.layout(room)
	from, to := m.span()
	axis := widget.Axis(m.th, from, to, m.now, m.place, l.strip)
	if l.beside {
		axis = strings.Repeat(" ", l.left+1) + axis
	} else {
		axis = "    " + axis
	}
	lines := []string{axis}
	shown, more := m.inSight((room-1)/l.each, room-1-(room-1)/l.each*l.each)
	for _, i := range shown {
		lines = append(lines, m.viewRow(m.listed[i], l, from, to)...)
	}
	if more != "" {
		lines = append(lines, m.th.Dim.Render(widget.Fit("    "+more, m.w)))
	}
	return lines
}

// inSight picks the rows for so much room: those that need hands now stay on
// top, the others scroll with the one that was picked. If there are more, a
// line says so; it takes the place of a row unless there are spare lines. The
// last row may do without its strip where that brings it into sight.
func (m *Model) inSight(fit, spare int) (shown []int, more string) {
	if len(m.listed) == fit+1 && spare >= 2 {
		fit++
	}
	if len(m.listed) > fit && spare == 0 {
		fit--
	}
	fit = max(fit, 0)
	if len(m.listed) <= fit {
		fit = len(m.listed)
	}
	pinned := 0
	for pinned < len(m.listed) && pinned < fit-1 && !m.listed[pinned].handsAt.After(m.now) {
		pinned++
	}
	first := pinned
	if at := m.index(m.selected); at >= first {
		first = max(min(at-(fit-pinned)/2, len(m.listed)-(fit-pinned)), pinned)
	}
	for i := range pinned {
		shown = append(shown, i)
	}
	for i := first; i < len(m.listed) && len(shown) < fit; i++ {
		shown = append(shown, i)
	}
	if hidden := len(m.listed) - len(shown); hidden > 0 {
		more = fmt.Sprintf("and %d more; the arrows go to them", hidden)
	}
	return shown, more
}

// The columns at the right of a row's first line.
const (
	offWide   = 12 // "off by 11:02"
	countWide = 8  // "1:02:03", "+12:34"
)

// viewRow draws a service.
func (m *Model) viewRow(r row, l layout, from, to time.Time) []string {
	p := m.th.Phase(r.phase)
	pointer := " "
	name := m.th.Strong
	if r.id == m.chosen() {
		pointer, name = m.th.Glyphs.Pointer, m.th.Selected
	}
	off, count, style := m.countdown(r)
	room := max(l.left-4-offWide-countWide-4, 0)
	whoWide := min(max(m.whoWide, 8), room*2/5)
	first := fmt.Sprintf("%s%s %s %s %s %s", pointer, p.Style.Render(p.Glyph), name.Render(widget.PadRight(widget.FitWords(r.who, whoWide), whoWide)),
		widget.PadRight(widget.FitWords(m.when(r)+r.next, room-whoWide), room-whoWide), widget.PadLeft(off, offWide), style.Render(widget.PadLeft(count, countWide)))
	word := p.Style.Render(r.word)
	if r.help != "" {
		word = m.th.Warn.Render(r.word)
	}
	second := "    " + word + m.details(r, l.left-4-widget.Width(r.word), l.warnings)
	s := r.strip
	s.from, s.to, s.now = from, to, m.now
	bar := s.render(m.th, l.strip)
	lines := []string{first, second, "    " + bar, "    " + r.warnLine(m.th, m.w-4)}
	if l.beside {
		lines = []string{widget.PadRight(first, l.left) + " " + bar, widget.PadRight(second, l.left) + " " + r.warnLine(m.th, l.strip), ""}
	}
	return lines[:l.each]
}

// warnLine is the loudest warning in words, in so many cells.
func (r row) warnLine(th *theme.Theme, w int) string {
	text := widget.FitWords(r.warnMark+" "+r.warn, w)
	switch {
	case r.warn == "":
		return ""
	case r.loud:
		return th.Warn.Render(text)
	}
	return th.Text.Render(text)
}

// when says when hands are needed.
func (m *Model) when(r row) string {
	if !r.handsAt.After(m.now) {
		return "now: "
	}
	return m.clock(r.handsAt) + " "
}

// countdown is by when what is on must be off, and how long that is.
func (m *Model) countdown(r row) (off, count string, style theme.Style) {
	if r.rinseBy.IsZero() {
		return "", "", style
	}
	left := r.rinseBy.Sub(m.now)
	off, count, style = "off by "+m.clock(r.rinseBy), widget.Clock(left), m.th.Strong
	switch {
	case r.harm:
		off, count, style = "OFF NOW", "+"+count, m.th.Phase(timing.Over).Style
	case left < 0:
		off, count, style = "OVER "+m.clock(r.rinseBy), "+"+count, m.th.Phase(timing.Over).Style
	case r.phase == timing.Closing:
		style = m.th.Phase(timing.Closing).Style
	}
	return off, count, style
}

// details is where it is and when it ends, then the loudest warning where that
// has no room of its own; in the longest words that there is room for.
func (m *Model) details(r row, w int, warned bool) string {
	dot := " " + m.th.Glyphs.Dot + " "
	var parts []string
	if r.gone != "" {
		parts = append(parts, m.th.Warn.Render(r.gone))
	}
	warn := ""
	if !warned && r.warn != "" {
		warn = r.warnMark + " " + r.warn
	}
	end := ""
	for i, words := range r.end {
		end = words
		room := w - 3*len(parts) - widget.Width(strings.Join(parts, "")) - widget.Width(words) - 3
		if room >= min(widget.Width(warn), leastWarn) || i == len(r.end)-1 {
			break
		}
	}
	if end != "" {
		style := m.th.Text
		if r.late {
			style = m.th.Strong // yellow is for hair
		}
		parts = append(parts, style.Render(end))
	}
	left := w - widget.Width(strings.Join(parts, dot)) - widget.Width(dot) // a figure is told whole, so what stands behind it gives way
	if len(parts) > 0 {
		left -= widget.Width(dot)
	}
	switch {
	case left < leastPart:
	case warn != "":
		parts = append(parts, r.warnLine(m.th, left))
	case r.station != "":
		parts = append(parts, m.th.Dim.Render(widget.FitWords(r.station, left)))
	}
	return widget.Fit(dot+strings.Join(parts, dot), w)
}

// leastPart is the fewest cells in which anything can be said.
const leastPart = 6

// leastWarn is how many cells a warning should have before the words about the
// end get shorter.
const leastWarn = 24

// Bounds of the axis: from a little before now to the last end, within these.
const (
	before  = 10 * time.Minute
	least   = 45 * time.Minute
	longest = 5 * time.Hour
)

// span is the stretch of time that the axis shows.
func (m *Model) span() (from, to time.Time) {
	to = m.now.Add(least)
	for i := range m.rows {
		if end := m.rows[i].strip.last(); end.After(to) {
			to = end
		}
	}
	to = to.Add(5 * time.Minute)
	if cut := m.now.Add(longest); to.After(cut) {
		to = cut
	}
	return m.now.Add(-before), to
}

// viewFoot is the answer to the last key, and what can be pressed.
func (m *Model) viewFoot() []string {
	style := m.th.Good
	if m.bad {
		style = m.th.Bad
	}
	does := "nothing to go to"
	if i := m.index(m.chosen()); i >= 0 {
		r := m.listed[i]
		does = "go to " + r.client
		if r.busy && !r.mine {
			does = "watch " + r.client
		}
	}
	first := " " + widget.Hint(m.th, m.keys.Jump.Help().Key, does)
	if slices.ContainsFunc(m.rows, func(r row) bool { return r.invented }) {
		first = widget.PadRight(first, m.w-13) + " " + m.th.Dim.Render("* invented")
	}
	second, hints := "", m.keys.Hints()
	if text := m.find.Text(); text != "" || m.find.Typing() {
		hints = append(m.find.Keys(), m.keys.Hints()...)
		second = " " + m.th.Strong.Render(fmt.Sprintf("%q: %d of %d", text, len(m.listed), len(m.rows))) + " "
	}
	for _, b := range hints {
		h := widget.Hint(m.th, b.Help().Key, b.Help().Desc)
		if widget.Width(second)+widget.Width(h)+2 > m.w {
			break
		}
		second += " " + h + " "
	}
	return []string{style.Render(widget.Fit(" "+m.status, m.w)), widget.Fit(first, m.w), second}
}

// clock says a moment as the wall clock shows it.
func (m *Model) clock(at time.Time) string { return at.In(m.place).Format("15:04") }

// Short is what must not be lost on the smallest screen, in one line.
func (m *Model) Short() string {
	if len(m.rows) == 0 {
		return m.none()
	}
	r := m.rows[0]
	if r.help != "" {
		return r.help + ": " + r.next
	}
	return m.hero(r).digits + " " + r.next + ", " + r.who
}
