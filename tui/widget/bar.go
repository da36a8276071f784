package widget

import (
	"math/bits"
	"strings"
	"time"

	"rinseby/timing"
	"rinseby/tui/theme"
)

// A Bar is one zone on the time axis from From to To.
//
// What has been is drawn solid: hair being coated, working, open to come off,
// past the limit, rinsed; what is to come is a line, single to the opening of
// the window and double from there to the limit. A zero moment is one that is
// not known and is not drawn.
type Bar struct {
	From, To time.Time // the ends of the axis
	Now      time.Time // the present moment

	FirstContact time.Time // of the oldest piece; may lie ahead
	LastContact  time.Time // of the newest piece
	OpensAt      time.Time // long enough on from here
	LimitAt      time.Time // must be off by here
	Off          time.Time // was rinsed here; zero while it is on
	Planned      time.Time // is planned to be off here
}

// What a cell of a bar shows, by rising precedence.
const (
	blank = iota
	toOpen
	toLimit
	applying
	working
	open
	over
	rinsed
	opensMark
	plannedMark
	nowMark
	limitMark
	shapes
)

// Render draws the bar in exactly w cells; none for a w of zero or less.
func (b Bar) Render(th *theme.Theme, w int) string {
	if w <= 0 {
		return ""
	}
	if !b.From.Before(b.To) {
		return spaces(w)
	}
	var room [256]byte
	cells := room[:min(w, len(room))]
	if w > len(room) {
		cells = make([]byte, w)
	}
	b.paint(cells)
	pens := [shapes]pen{
		blank:       {theme.Style{}, " "},
		toOpen:      {th.Ahead, th.Glyphs.ToOpen},
		toLimit:     {th.Opens, th.Glyphs.ToLimit},
		applying:    {th.Phase(timing.Applying).Style, th.Glyphs.Applying},
		working:     {th.Phase(timing.Working).Style, th.Glyphs.Working},
		open:        {th.Phase(timing.Open).Style, th.Glyphs.Open},
		over:        {th.Phase(timing.Over).Style, th.Glyphs.Over},
		rinsed:      {th.Phase(timing.Rinsed).Style, th.Glyphs.Rinsed},
		opensMark:   {th.Opens, th.Glyphs.OpensMark},
		plannedMark: {th.Now, th.Glyphs.PlannedMark},
		nowMark:     {th.Now, th.Glyphs.NowMark},
		limitMark:   {th.Limit, th.Glyphs.LimitMark},
	}
	var out strings.Builder
	out.Grow(3*w + 96)
	for i := 0; i < w; {
		end := i + 1
		for end < w && cells[end] == cells[i] {
			end++
		}
		p := pens[cells[i]]
		p.style.WriteRun(&out, p.glyph, end-i)
		i = end
	}
	return out.String()
}

type pen struct {
	style theme.Style
	glyph string
}

func (b Bar) paint(cells []byte) {
	span := func(from, to time.Time, shape byte) {
		if from.IsZero() || to.IsZero() || !from.Before(to) {
			return
		}
		start, end := b.column(from, len(cells)), b.column(to, len(cells))
		for i := start; i < end; i++ {
			cells[i] = shape
		}
	}
	mark := func(at time.Time, shape byte) {
		if !at.IsZero() && !at.Before(b.From) && !at.After(b.To) {
			cells[min(b.column(at, len(cells)), len(cells)-1)] = shape
		}
	}
	off := !b.Off.IsZero() && !b.Now.Before(b.Off)
	end := b.Now // of what has been
	if off {
		end = b.Off
	}
	wasOver := false
	if !b.FirstContact.IsZero() {
		if !off {
			ahead := later(b.FirstContact, b.Now)
			span(ahead, b.LimitAt, toOpen)
			if !b.OpensAt.IsZero() {
				span(later(ahead, b.OpensAt), b.LimitAt, toLimit)
			}
		}
		span(b.FirstContact, end, working)
		span(b.FirstContact, earlier(b.LastContact, end), applying)
		if !b.OpensAt.IsZero() {
			span(later(b.FirstContact, b.OpensAt), end, open)
		}
		wasOver = !b.LimitAt.IsZero() && b.LimitAt.Before(end) && b.FirstContact.Before(end)
		if wasOver {
			span(later(b.FirstContact, b.LimitAt), end, over)
		}
		if off {
			span(b.Off, b.Now, rinsed)
		}
		mark(b.OpensAt, opensMark)
	}
	if !off && b.Planned.After(b.Now) {
		mark(b.Planned, plannedMark)
	}
	mark(b.Now, nowMark)
	if b.FirstContact.IsZero() {
		return
	}
	mark(b.LimitAt, limitMark)
	if wasOver && b.column(end, len(cells))-b.column(b.LimitAt, len(cells)) <= 1 {
		mark(b.LimitAt, over) // over by about a cell, which the mark would hide
	}
}

func (b Bar) column(at time.Time, w int) int { return column(at, b.From, b.To, w) }

// column is the cell of the moment at on an axis of w cells: 0 before its
// start, w at and after its end.
func column(at, from, to time.Time, w int) int {
	switch {
	case !from.Before(at):
		return 0
	case !at.Before(to):
		return w
	}
	high, low := bits.Mul64(uint64(at.Sub(from)), uint64(w))
	quotient, _ := bits.Div64(high, low, uint64(to.Sub(from)))
	return int(quotient)
}

func earlier(a, b time.Time) time.Time {
	if a.Before(b) {
		return a
	}
	return b
}

func later(a, b time.Time) time.Time {
	if a.After(b) {
		return a
	}
	return b
}
