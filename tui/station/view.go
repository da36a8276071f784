package station

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"rinseby/session"
	"rinseby/timing"
	"rinseby/tui/theme"
	"rinseby/tui/widget"
)

// View draws the screen: at most h lines of at most w cells.
func (m *Model) View() string {
	if m.w <= 0 || m.h <= 0 {
		return ""
	}
	if m.Calling() {
		return m.viewCall()
	}
	head := append(m.viewNext(), m.viewBand(m.w, m.bandLines())...)
	if plan := m.look.Board.Plan; plan != "" && m.h >= roomy {
		head = append(head, m.th.Text.Render(widget.FitWords(" "+plan, m.w)))
	}
	foot := m.viewFoot()
	body := m.viewHeld(m.h - len(head) - len(foot))
	body = append(body, m.viewEyeCare(m.h-len(head)-len(foot)-len(body))...)
	body = append(body, m.viewZones(m.h-len(head)-len(foot)-len(body))...)
	return widget.Screen(m.th, head, body, foot, m.w, m.h)
}

// A hero is the big figure and what it says.
type hero struct {
	digits string
	label  string // what the digits count
	at     string // its end, which is not cut
	detail string
	on     string // its end, which is not cut
	style  theme.Style
}

// hero picks the one figure that matters: how long until what is on must be
// off; else how long to wait; else the time of day.
func (m *Model) hero() hero {
	b := m.look.Board
	if h, ok := m.reactionHero(); ok {
		return h
	}
	switch {
	case !b.Pain.IsZero():
		return m.painHero()
	case b.Harm != nil:
		return m.harmHero()
	case b.Next.Verb == session.DoWait && !b.Next.From.IsZero():
		z := m.zone(b.Next.Zones[0])
		return hero{
			digits: widget.Clock(b.Next.From.Sub(b.Now)), label: "until " + z.Name, at: " opens, at " + m.clock(b.Next.From),
			detail: "must be off by " + m.clock(z.LimitAt), style: m.th.Digits,
		}
	case b.OffBy != nil:
		z := b.OffBy
		left := z.LimitAt.Sub(b.Now)
		h := hero{
			digits: widget.Clock(left.Truncate(time.Second)), label: z.Name, at: " must be off by " + m.clock(z.LimitAt), style: m.th.Digits,
		}
		h.detail, h.on = m.phaseText(z)
		switch z.Phase {
		case timing.Over:
			h.digits, h.at, h.style = "+"+widget.Clock(z.Over), " OVER since "+m.clock(z.LimitAt), m.th.DigitsOver
		case timing.Closing:
			h.style = m.th.DigitsClosing
		}
		return h
	}
	return hero{digits: m.look.Wall.In(m.look.Place).Format("15:04"), label: "o'clock; nothing is on the hair", style: m.th.Digits}
}

// harmHero counts up since something was found that can't wait.
func (m *Model) harmHero() hero {
	b := m.look.Board
	return hero{
		digits: "+" + widget.Clock(max(b.Now.Sub(b.Harm.Since), 0).Truncate(time.Second)), label: m.zone(b.Harm.Zones[0]).Name,
		at: " must come off now", detail: b.Harm.Why, on: ", since " + m.clock(b.Harm.Since), style: m.th.DigitsOver,
	}
}

// painHero says what matters after pain: how long cool water is to run, and
// how much of that is left.
func (m *Model) painHero() hero {
	b := m.look.Board
	h := hero{label: "of cool running water, or more", detail: "then medical help, whatever minutes remain", style: m.th.DigitsOver}
	switch left := b.Next.From.Sub(b.Now); {
	case b.Next.Verb == session.DoPain:
		h.digits = widget.Clock(session.CoolWater)
	case b.Next.Verb == session.DoCool && left > 0:
		h.digits, h.label = widget.Clock(left.Truncate(time.Second)), "left of cool running water"
	default:
		h.digits, h.label, h.at = m.look.Wall.In(m.look.Place).Format("15:04"), "o'clock; pain was reported", " at "+m.clock(b.Pain)
	}
	return h
}

// phaseText says the phase of a zone, and how long its oldest piece is on.
func (m *Model) phaseText(z *session.ZoneLook) (phase, on string) {
	phase = z.Phase.String() + ", oldest piece"
	if z.Rinsing {
		phase = "at the basin; " + phase
	}
	return phase, " on for " + widget.Clock(z.Oldest)
}

func (m *Model) zone(id string) session.ZoneLook {
	if i := m.index(id); i >= 0 {
		return m.look.Board.Zones[i]
	}
	return session.ZoneLook{}
}

// clock says a moment of the time line as the wall clock shows it.
func (m *Model) clock(at time.Time) string { return m.local(at).Format("15:04") }

func (m *Model) local(at time.Time) time.Time {
	return at.Add(m.look.Wall.Sub(m.look.Board.Now)).In(m.look.Place)
}

// viewNext is the top line, then the big figure with its words.
func (m *Model) viewNext() []string {
	a := m.look.Board.Next
	time := m.look.Wall.In(m.look.Place).Format("15:04")
	if m.look.Relived {
		time = " replay " + time
	}
	text := strings.ToUpper(a.Text)
	if m.look.Asked {
		text = "WHAT NOW?"
	}
	if m.look.Several {
		text += " " + m.th.Glyphs.Dot + " " + m.look.Client
	}
	if m.look.Paused {
		text = "PAUSED " + m.th.Glyphs.Dot + " " + text
	}
	room := m.w - len(time) - 3 // a blank before the text, one behind it, and one behind the time
	if b := m.look.Board.OffBy; b != nil && !a.By.IsZero() {
		text = widget.Keep(text, "   "+b.Name, " off by "+m.clock(a.By), room)
	}
	top := m.th.Strong.Render(widget.PadRight(" "+widget.FitWords(text, room), room+2)) + m.th.Text.Render(time)
	lines := []string{top}
	h := m.hero()
	rows := 3
	if m.h >= 32 {
		rows = 5
	}
	digits := widget.Digits(m.th, h.digits, max(m.w/2, digitsWide), rows)
	wide := 0
	for i, d := range digits {
		wide = max(wide, widget.Width(d))
		digits[i] = " " + h.style.Render(d)
	}
	room = m.w - wide - 3
	words := []string{m.th.Strong.Render(widget.Keep("", h.label, h.at, room)), m.th.Text.Render(widget.Keep("", h.detail, h.on, room)), m.th.Dim.Render(m.viewWho(room))}
	if h.detail == "" {
		words[1] = m.th.Text.Render(widget.FitWords(a.Why, room))
	}
	return append(lines, widget.Beside(digits, wide+1, 2, words)...)
}

// digitsWide is what the big figure may take of the narrowest screen: how long a
// zone is over must not lose its size there.
const digitsWide = 32

// viewWho says whose service this is and where it stands. Whoever helps stands
// early, where there is no room for all.
func (m *Model) viewWho(room int) string {
	l := m.look
	parts := []string{l.Client}
	if l.Invented {
		parts[0] += " (invented)"
	}
	if len(l.Helpers) > 0 {
		parts = append(parts, "with "+strings.Join(l.Helpers, ", "))
	}
	if l.Round != "" {
		parts = append(parts, l.Round)
	}
	dot, promised := " "+m.th.Glyphs.Dot+" ", ""
	if !l.Promised.IsZero() {
		promised = dot + "promised " + m.clock(session.ToldPromise(l.Promised))
	}
	who := strings.Join(parts, dot)
	if widget.Width(who+promised) <= room { // a time is told whole, or not
		who += promised
	}
	return widget.FitWords(who, room)
}

// viewBand is the most pressing warning over the full width of w cells, until
// it is acknowledged, in so many lines at most; else the next quieter one as a
// line.
func (m *Model) viewBand(w, most int) []string {
	ws := m.look.Board.Warnings
	if l := m.loudest(); l != nil {
		mark, key := m.th.Phase(timing.Closing).Glyph, "  [a] seen"
		if l.Level == session.Alarm {
			mark = m.th.Phase(timing.Over).Glyph
		}
		switch {
		case l.Fixed && m.look.Board.Pain.IsZero():
			key = ""
		case l.Fixed:
			key = "  [x] what"
		case l.Clock:
			key = "  [a] clock"
		case l.Reason:
			key = "  [a] reason"
		}
		lines := widget.WrapWords(l.Text, w-bandFixed, w-3, most)
		for i, text := range lines {
			if i == 0 {
				text = mark + " " + widget.PadRight(text, w-bandFixed) + key
			} else {
				text = "  " + text
			}
			lines[i] = widget.Band(m.th.Band, text, w)
		}
		return lines
	}
	switch plan := m.look.Board.Plan; {
	case plan != "" && m.h < roomy:
		return []string{m.th.Text.Render(widget.FitWords(" "+plan, w))}
	case len(ws) == 0:
		return []string{""}
	}
	more := ""
	if len(ws) > 1 {
		more = fmt.Sprintf("  (+%d)", len(ws)-1)
	}
	style := m.th.Warn
	if ws[0].Acked {
		style = m.th.BandAcked
	}
	return []string{style.Render(widget.PadRight(" "+widget.FitWords(ws[0].Text, w-len(more)-2)+more, w))}
}

// bandLines is how many lines a warning may take.
func (m *Model) bandLines() int {
	switch {
	case m.h >= roomy:
		return 3
	case m.h >= leastHeight:
		return 2
	}
	return 1
}

// leastHeight is that of the smallest screen that everything is made for.
const leastHeight = 20

// bandFixed is what a band holds beside the text of the warning: its mark, the
// key, and the space around them.
const bandFixed = 16

// roomy is the height from which the plan has a line of its own.
const roomy = 24

// Widths of the columns of a zone's row.
const (
	phaseWide  = 8
	piecesWide = 6
	clockWide  = 8
	limitWide  = 5
	leastBar   = 12
)

// viewZones is the rows of the zones with their clocks on one axis, scrolled
// so that the zone that matters is in sight.
func (m *Model) viewZones(room int) []string {
	zs := m.look.Board.Zones
	if room < 2 || len(zs) == 0 {
		return nil
	}
	nameWide := 8
	for _, z := range zs {
		nameWide = max(nameWide, widget.Width(z.Name))
	}
	nameWide = min(nameWide, m.w/4)
	fixed := 3 + nameWide + 1 + phaseWide + 1 + piecesWide + 1 + clockWide + 1 + limitWide + 1
	bar := m.w - fixed
	if bar < leastBar {
		bar = 0
	}
	from, to := m.span()
	header := strings.Repeat(" ", fixed) + widget.Axis(m.th, m.local(from), m.local(to), m.local(m.look.Board.Now), m.look.Place, bar)
	if bar == 0 {
		header = ""
	}
	titles := fmt.Sprintf("   %s %s %s %s %s ", widget.PadRight("zone", nameWide), widget.PadRight("", phaseWide),
		widget.PadLeft("in", piecesWide), widget.PadLeft("on for", clockWide), widget.PadLeft("off", limitWide))
	lines := []string{m.th.Dim.Render(titles) + strings.TrimPrefix(header, strings.Repeat(" ", fixed))}
	shown, more := m.inSight(room - 1)
	for _, z := range shown {
		lines = append(lines, m.viewZone(z, nameWide, bar, from, to))
	}
	if more != "" {
		lines = append(lines, m.th.Dim.Render(widget.Fit("   "+more, m.w)))
	}
	return lines
}

// inSight picks the zones for so many rows: all if there is room, else those
// that are not rinsed, around the one that matters. More says what is left out.
func (m *Model) inSight(rows int) (shown []session.ZoneLook, more string) {
	zs := m.look.Board.Zones
	if len(zs) <= rows {
		return zs, ""
	}
	for _, z := range zs {
		if z.Phase != timing.Rinsed || z.ID == m.selected {
			shown = append(shown, z)
		}
	}
	rinsed := len(zs) - len(shown)
	rows = max(rows-1, 0)
	others := max(len(shown)-rows, 0)
	if others > 0 {
		at := max(slices.IndexFunc(shown, func(z session.ZoneLook) bool { return z.ID == m.Zone() }), 0)
		first := max(min(at-rows/2, len(shown)-rows), 0)
		shown = shown[first : first+rows]
	}
	switch {
	case others > 0 && rinsed > 0:
		more = fmt.Sprintf("and %d more, and %d rinsed", others, rinsed)
	case others > 0:
		more = fmt.Sprintf("and %d more", others)
	default:
		more = fmt.Sprintf("and %d rinsed", rinsed)
	}
	return shown, more
}

func (m *Model) viewZone(z session.ZoneLook, nameWide, bar int, from, to time.Time) string {
	p := m.th.Phase(z.Phase)
	pointer := " "
	if z.ID == m.selected {
		pointer = m.th.Glyphs.Pointer
	}
	word := p.Word
	if z.Rinsing {
		word = "basin"
	}
	on, off := "", ""
	if !z.First.IsZero() {
		on = widget.Clock(z.Oldest.Truncate(time.Second))
	}
	switch {
	case z.Unknown:
		off = "?"
	case !z.LimitAt.IsZero():
		off = m.clock(z.LimitAt)
	}
	limit := z.LimitAt
	if wasOver := z.Phase == timing.Rinsed && z.Over > 0; wasOver { // it stays in sight that it went over
		off, limit = fmt.Sprintf("+%dm", int(z.Over.Minutes()+0.5)), z.RinsedAt.Add(-z.Over)
	}
	name := z.Name
	if z.Heated {
		name = "*" + name
	}
	text := fmt.Sprintf("%s%s %s %s %s %s %s ", pointer, p.Style.Render(p.Glyph), widget.PadRight(name, nameWide),
		p.Style.Render(widget.PadRight(word, phaseWide)),
		widget.PadLeft(fmt.Sprintf("%d/%d", z.Done, z.Pieces), piecesWide), widget.PadLeft(on, clockWide), widget.PadLeft(off, limitWide))
	if bar == 0 {
		return text
	}
	b := widget.Bar{From: m.local(from), To: m.local(to), Now: m.local(m.look.Board.Now)}
	if !z.First.IsZero() {
		b.FirstContact, b.LastContact = m.local(z.First), m.local(z.First)
		if !z.LastAt.IsZero() {
			b.LastContact = m.local(z.LastAt)
		}
		b.OpensAt, b.LimitAt, b.Off = m.moment(z.OpensAt), m.moment(limit), m.moment(z.RinsedAt)
	}
	b.Planned = m.moment(z.PlannedOff)
	return text + b.Render(m.th, bar)
}

// moment is local but keeps a moment that is not known.
func (m *Model) moment(at time.Time) time.Time {
	if at.IsZero() {
		return at
	}
	return m.local(at)
}

// span is the stretch of time that the axis shows.
func (m *Model) span() (from, to time.Time) {
	b := m.look.Board
	from, to = b.Now, b.Now.Add(30*time.Minute)
	for _, z := range b.Zones {
		if !z.First.IsZero() && z.First.Before(from) {
			from = z.First
		}
		if z.LimitAt.After(to) {
			to = z.LimitAt
		}
	}
	return from.Add(-2 * time.Minute), to.Add(5 * time.Minute)
}

// Title says in a few words, without the client's name, what must not be
// missed; empty if nothing is on.
func (m *Model) Title() string {
	b := m.look.Board
	if t := m.reactionTitle(); t != "" {
		return t
	}
	switch {
	case !b.Pain.IsZero():
		return "pain: cool water"
	case b.Harm != nil:
		return b.Next.Text
	case b.OffBy == nil:
		return ""
	case b.OffBy.Phase == timing.Over:
		return b.OffBy.Name + " OVER since " + m.clock(b.OffBy.LimitAt)
	}
	return b.OffBy.Name + " off by " + m.clock(b.OffBy.LimitAt)
}

// Short is what must not be lost on the smallest screen, in one line: how long
// until what is on must be off.
func (m *Model) Short() string {
	h := m.hero()
	if m.Calling() {
		return "HELP: " + m.look.Board.Next.Text + ", " + h.digits
	}
	return h.digits + " " + h.label + h.at
}

// Top is the first n lines of the screen: what stays in sight when another
// screen is open over it. The first is the next thing to do, the second the
// warning that waits, or else by when what is on must be off, and the key for
// pain, which works there too.
func (m *Model) Top(n int) string {
	hint := widget.Hint(m.th, m.keys.PainAnywhere.Help().Key, "pain")
	if m.look.Relived {
		hint = ""
	}
	room := max(m.w-widget.Width(hint)-2, 0)
	second := ""
	if m.loudest() != nil {
		second = m.viewBand(room, 1)[0]
	} else {
		h := m.hero()
		digits := " " + h.style.Render(h.digits) + "  "
		second = digits + m.th.Text.Render(widget.Keep("", h.label, h.at, room-widget.Width(digits)))
	}
	lines := widget.Clamp([]string{m.viewNext()[0], widget.PadRight(second, room) + " " + hint}, m.w, n)
	for len(lines) < n {
		lines = append(lines, "")
	}
	return strings.Join(lines, "\n")
}
