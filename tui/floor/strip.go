package floor

import (
	"strings"
	"time"

	"rinseby/session"
	"rinseby/timing"
	"rinseby/tui/theme"
	"rinseby/tui/widget"
)

// A block is a stretch of time that a service needs hands for.
type block struct {
	session.Block
	clash bool // hands are needed elsewhere at the same time
}

// A strip is the row of one service on the time axis: blocks for hands, a line
// where product works by itself, and the moments that bound them.
type strip struct {
	from, to, now time.Time
	blocks        []block
	since, end    time.Time // of the line; the end is the last block's if zero
	rinseBy       time.Time
	promised      time.Time
}

// What a cell of a strip shows.
const (
	empty = iota
	free
	place
	basin
	clash
	promise
	present
	limit
	kinds
)

// leastName is how many cells a block must have to carry its name.
const leastName = 5

// render draws the strip in exactly w cells.
func (s strip) render(th *theme.Theme, w int) string {
	if w <= 0 {
		return ""
	}
	if !s.from.Before(s.to) {
		return strings.Repeat(" ", w)
	}
	kind, owner := s.paint(w)
	names := s.named(kind, owner)
	pens := [kinds]struct {
		style theme.Style
		glyph string
	}{
		empty:   {theme.Style{}, " "},
		free:    {th.Ahead, th.Glyphs.ToOpen},
		place:   {th.Phase(timing.Applying).Style, th.Glyphs.Working},
		basin:   {th.Phase(timing.Rinsed).Style, th.Glyphs.Rinsed},
		clash:   {th.Phase(timing.Over).Style, th.Glyphs.Over},
		promise: {th.Strong, th.Glyphs.PlannedMark},
		present: {th.Now, th.Glyphs.NowMark},
		limit:   {th.Limit, th.Glyphs.LimitMark},
	}
	var b strings.Builder
	b.Grow(3*w + 96)
	for i := 0; i < w; {
		end := run(kind, owner, i)
		p := pens[kind[i]]
		if name := names[i]; name != "" {
			name = widget.Fit(name, end-i-2)
			b.WriteString(p.style.Render(p.glyph + name + strings.Repeat(p.glyph, end-i-1-widget.Width(name))))
		} else {
			p.style.WriteRun(&b, p.glyph, end-i)
		}
		i = end
	}
	return b.String()
}

// paint fills the cells; owner is the block that a cell belongs to, or -1.
func (s strip) paint(w int) (kind []byte, owner []int16) {
	kind, owner = make([]byte, w), make([]int16, w)
	for i := range owner {
		owner[i] = -1
	}
	for i := s.column(s.since, w); i < s.column(s.last(), w); i++ {
		kind[i] = free
	}
	for n, b := range s.blocks {
		k := byte(place)
		switch {
		case b.clash:
			k = clash
		case b.Rinse:
			k = basin
		}
		if !b.To.After(s.from) || !b.From.Before(s.to) || !b.From.Before(b.To) {
			continue
		}
		first := min(s.column(b.From, w), w-1)
		for i := first; i < max(s.column(b.To, w), first+1); i++ {
			kind[i], owner[i] = k, int16(n)
		}
	}
	mark := func(at time.Time, k byte) {
		if !at.IsZero() && !at.Before(s.from) && !at.After(s.to) {
			i := min(s.column(at, w), w-1)
			kind[i], owner[i] = k, -1
		}
	}
	mark(s.promised, promise)
	mark(s.now, present)
	mark(s.rinseBy, limit)
	return kind, owner
}

// named finds where the name of each block goes: at the start of the longest
// run of its cells, if that has room.
func (s strip) named(kind []byte, owner []int16) map[int]string {
	names := map[int]string{}
	best := map[int16][2]int{}
	for i := 0; i < len(kind); {
		end := run(kind, owner, i)
		if n := owner[i]; n >= 0 && end-i >= leastName && end-i > best[n][1] {
			best[n] = [2]int{i, end - i}
		}
		i = end
	}
	for n, at := range best {
		names[at[0]] = s.blocks[n].Name
	}
	return names
}

// run is the end of the run of like cells that starts at i.
func run(kind []byte, owner []int16, i int) int {
	end := i + 1
	for end < len(kind) && kind[end] == kind[i] && owner[end] == owner[i] {
		end++
	}
	return end
}

// column is the cell of a moment: 0 before the start of the axis, w at and
// after its end. The axis is no longer than [longest], so nothing overflows.
func (s strip) column(at time.Time, w int) int {
	switch {
	case !s.from.Before(at):
		return 0
	case !at.Before(s.to):
		return w
	}
	return int(int64(at.Sub(s.from)) * int64(w) / int64(s.to.Sub(s.from)))
}

// last is the end of what the strip shows.
func (s strip) last() time.Time {
	end := s.end
	for _, b := range s.blocks {
		if b.To.After(end) {
			end = b.To
		}
	}
	return end
}
