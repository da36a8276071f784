package card

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"rinseby/session/clean"
)

// Measures of a picture, in its own units, which are pixels at full size.
const (
	picW      = 920.0
	plotLeft  = 150.0 // names of zones stand before it
	plotRight = 720.0 // figures stand after it
	rowH      = 22.0
	tripH     = 13.0 // of one line of names of trips
	axisH     = 20.0
	perPic    = 36 // zones in one picture, so that one fits on a sheet of paper
	labelMost = 22 // columns of a zone's name
)

// A picture shows zones over time: a row a zone, on the salon's time.
type picture struct {
	ID         string
	W, H       float64
	Top, End   float64 // of the plot
	Figure     float64 // where figures of zones begin
	Axis       float64 // height of the names of ticks
	Sum        string  // what it shows, in words
	Ticks      []mark
	Trips      []mark
	Rows       []pictureRow
	Now        *mark
	TripLabels []mark
}

// A mark is a moment, with what is written at it.
type mark struct {
	X, Y float64
	Text string
	Says string // in full
}

// A pictureRow is one zone.
type pictureRow struct {
	Top     float64
	Height  float64
	Base    float64 // of its text
	Striped bool
	Name    string // as much as there is room for
	Says    string // all of it in words
	Figure  string
	Spans   []pictureSpan
	Limits  []string // paths
}

// A pictureSpan is a stretch of a row. Class is one of placing, working, open,
// over, rinse and heat; each has a shape of its own.
type pictureSpan struct {
	Class      string
	X, Y, W, H float64
	Hatch      string // the path of the lines that over is filled with
}

// A spell is what was on a zone from one rinse to the next.
type spell struct {
	first, last, off time.Time // off: the rinse, or the moment that the card is for
	rinsed           bool
	opens, limit     time.Time // zero: not known
}

// spells are those of a zone, in order.
func (c Card) spells(z Zone) []spell {
	var all []spell
	for _, k := range z.Coats {
		n := spell{first: k.FirstContact, last: k.LastContact, off: c.AsOf, rinsed: k.RinsedAt != nil}
		if n.rinsed {
			n.off = *k.RinsedAt
		}
		if k.LimitS != nil {
			n.opens = k.LastContact.Add(time.Duration(*k.OpensS) * time.Second)
			n.limit = k.FirstContact.Add(time.Duration(max(*k.LimitS-k.CarriedS, 0)) * time.Second)
		}
		i := slices.IndexFunc(all, func(o spell) bool { return o.rinsed == n.rinsed && o.off.Equal(n.off) })
		if i < 0 {
			all = append(all, n)
			continue
		}
		o := &all[i]
		o.first, o.last, o.opens = earlier(o.first, n.first), later(o.last, n.last), later(o.opens, n.opens)
		if o.limit.IsZero() || !n.limit.IsZero() && n.limit.Before(o.limit) {
			o.limit = n.limit
		}
	}
	slices.SortStableFunc(all, func(a, b spell) int { return a.first.Compare(b.first) })
	return all
}

func earlier(a, b time.Time) time.Time {
	if b.Before(a) {
		return b
	}
	return a
}

func later(a, b time.Time) time.Time {
	if b.After(a) {
		return b
	}
	return a
}

// A scale puts moments on the plot.
type scale struct{ from, to time.Time }

func (s scale) x(at time.Time) float64 {
	part := float64(at.Sub(s.from)) / float64(s.to.Sub(s.from))
	return tenth(plotLeft + (plotRight-plotLeft)*min(max(part, 0), 1))
}

// tenth rounds to a tenth of a pixel.
func tenth(f float64) float64 { return math.Round(f*10) / 10 }

// pictures are the zones that something was on, in as many pictures as fit on
// sheets of paper, all on one scale.
func (c Card) pictures() []picture {
	var zones []Zone
	for _, z := range c.Zones {
		if len(z.Coats) > 0 {
			zones = append(zones, z)
		}
	}
	if len(zones) == 0 {
		return nil
	}
	s, step := c.scale(zones)
	var all []picture
	for part := range slices.Chunk(zones, perPic) {
		all = append(all, c.picture(part, s, step))
	}
	return all
}

// scale spans all that is drawn, from one tick to another.
func (c Card) scale(zones []Zone) (scale, time.Duration) {
	first, last := zones[0].Coats[0].FirstContact, zones[0].Coats[0].FirstContact
	take := func(moments ...time.Time) {
		for _, m := range moments {
			if !m.IsZero() {
				first, last = earlier(first, m), later(last, m)
			}
		}
	}
	for _, z := range zones {
		for _, sp := range c.spells(z) {
			take(sp.first, sp.off, sp.limit)
		}
		for _, h := range z.Heat {
			take(h.On)
		}
	}
	const mostTicks = 9
	minute := []time.Duration{5, 10, 15, 30, 60, 120, 240, 720, 1440}
	step := minute[len(minute)-1] * time.Minute
	for _, m := range minute {
		if m*time.Minute*mostTicks >= last.Sub(first) {
			step = m * time.Minute
			break
		}
	}
	for step*mostTicks < last.Sub(first) {
		step *= 2
	}
	// By the salon's clock, so that ticks stand on its full hours.
	off := time.Duration(c.UTCOffsetS) * time.Second
	from := first.Add(off).Truncate(step).Add(-off)
	to := last.Add(off).Truncate(step).Add(-off)
	for to.Before(last) || !to.After(from) {
		to = to.Add(step)
	}
	return scale{from, to}, step
}

func (c Card) picture(zones []Zone, s scale, step time.Duration) picture {
	p := picture{W: picW, Figure: plotRight + 12}
	p.Trips, p.TripLabels, p.Top = c.tripMarks(s)
	p.End = p.Top + rowH*float64(len(zones))
	p.Axis, p.H = p.End+axisH-5, p.End+axisH
	for at := s.from; !at.After(s.to); at = at.Add(step) {
		format := "15:04"
		if s.to.Sub(s.from) > 24*time.Hour {
			format = "2 Jan 15:04"
		}
		p.Ticks = append(p.Ticks, mark{X: s.x(at), Text: at.In(c.local()).Format(format)})
	}
	var names []string
	for i, z := range zones {
		p.Rows = append(p.Rows, c.pictureRow(z, s, p.Top+rowH*(float64(i)+0.5)))
		p.Rows[i].Striped = i%2 == 1
		names = append(names, p.Rows[i].Says)
	}
	if c.Closed == nil {
		p.Now = &mark{X: s.x(c.AsOf), Says: "the moment that this card is for: " + c.clock(&c.AsOf)}
	}
	p.Sum = strings.Join(names, ". ") + "."
	return p
}

// tripMarks are the lines of the trips, their names in as many lines as it
// takes to keep them apart, at most three, and where the plot begins below.
func (c Card) tripMarks(s scale) (lines, labels []mark, top float64) {
	const levels, perLetter, gap = 3, 6.5, 5.0
	var ends [levels]float64
	used := 0
	trips := slices.Clone(c.Trips)
	slices.SortStableFunc(trips, func(a, b Trip) int { return a.Began.Compare(b.Began) })
	for _, t := range trips {
		x := s.x(t.Began)
		says := clean.Text(fmt.Sprintf("Trip %s to the basin: %s, %s", t.ID, c.zoneNames(t.Zones), c.span(&t.Began, t.Ended, "not over")))
		lines = append(lines, mark{X: x, Says: says})
		half := perLetter * float64(len(t.ID)) / 2
		for l := range levels {
			if x-half < ends[l] {
				continue
			}
			ends[l], used = x+half+gap, max(used, l+1)
			labels = append(labels, mark{X: x, Y: float64(l)*tripH + 10, Text: clean.Text(t.ID), Says: says})
			break
		}
	}
	return lines, labels, tenth(float64(used)*tripH + 4)
}

func (c Card) pictureRow(z Zone, s scale, y float64) pictureRow {
	r := pictureRow{Top: tenth(y - rowH/2), Height: rowH, Base: tenth(y + 4), Name: shorten(clean.Text(z.Name), labelMost), Figure: clean.Text(z.figure())}
	says := []string{clean.Text(z.Name)}
	for _, sp := range c.spells(z) {
		r.span(s, "placing", sp.first, earlier(sp.last, sp.off), y, 6)
		placed := "placed " + c.clock(&sp.first)
		if sp.last.After(sp.first) {
			placed += " to " + c.clock(&sp.last)
		}
		says = append(says, placed)
		if sp.limit.IsZero() {
			r.span(s, "working", sp.last, sp.off, y, 12)
			says = append(says, "limit not known")
		} else {
			r.span(s, "working", sp.last, earlier(sp.opens, sp.off), y, 12)
			r.span(s, "open", sp.opens, sp.off, y, 12)
			r.Limits = append(r.Limits, limitMark(s.x(sp.limit), y))
			says = append(says, "open from "+c.clock(&sp.opens), "limit "+c.clock(&sp.limit))
		}
		if sp.rinsed {
			r.span(s, "rinse", c.rinseBegan(z, sp), sp.off, y, 16)
			says = append(says, "rinsed "+c.clock(&sp.off))
		} else {
			says = append(says, "still on")
		}
		if !sp.limit.IsZero() { // on top, as it may be over at the basin too
			r.span(s, "over", sp.limit, sp.off, y, 9)
		}
	}
	for _, h := range z.Heat {
		off := c.AsOf
		if h.Off != nil {
			off = *h.Off
		}
		r.span(s, "heat", h.On, off, y+8.5, 3)
		says = append(says, "heat "+c.span(&h.On, h.Off, "still on"))
	}
	r.Says = strings.Join(append(says, r.Figure), ", ")
	return r
}

// limitMark is the path of a mark for a limit: a triangle on a line.
func limitMark(x, y float64) string {
	return fmt.Sprintf("M%g %gL%g %gL%g %gZM%g %gL%g %g", tenth(x-4), tenth(y-10), tenth(x+4), tenth(y-10), x, tenth(y-5), x, tenth(y-5), x, tenth(y+9))
}

// span adds a stretch of the row; nothing if it would end before it begins.
func (r *pictureRow) span(s scale, class string, from, to time.Time, y, h float64) {
	if to.Before(from) || to.Equal(from) && class != "placing" && class != "rinse" {
		return
	}
	const thin = 1.5 // what lasts no time can be seen all the same
	b := pictureSpan{Class: class, X: s.x(from), Y: tenth(y - h/2), H: h}
	b.W = max(tenth(s.x(to)-b.X), thin)
	if class == "over" {
		b.Hatch = hatch(b)
	}
	r.Spans = append(r.Spans, b)
}

// rinseBegan is when the trip that took a spell off began.
func (c Card) rinseBegan(z Zone, sp spell) time.Time {
	began := sp.off
	for _, t := range c.Trips {
		if slices.Contains(t.Zones, z.ID) && !t.Began.After(sp.off) && t.Began.After(sp.first) {
			began = t.Began
		}
	}
	return began
}

// figure is how long the zone's oldest piece was on, and what was wrong.
func (z Zone) figure() string {
	text := minutes(z.OldestS)
	if slices.ContainsFunc(z.Coats, func(k Coat) bool { return k.CarriedS > 0 }) {
		text += " in all"
	}
	if z.RinsedAt == nil {
		text += " so far"
	}
	if z.OverS != nil && *z.OverS > 0 {
		text += ", " + minutes(*z.OverS) + " over"
	}
	if z.ShortS != nil && *z.ShortS > 0 {
		text += ", " + minutes(*z.ShortS) + " short"
	}
	if !z.LimitKnown {
		text += ", limit not known"
	}
	return text
}

// shorten cuts a name to at most so many columns, out of its middle: names
// often differ at their ends.
func shorten(name string, most int) string {
	const tail = 6
	runes := []rune(name)
	if width(name) <= most || len(runes) <= tail {
		return name
	}
	end := string(runes[len(runes)-tail:])
	kept, n := "", width(end)+1
	for _, r := range runes[:len(runes)-tail] {
		if n += cells(r); n > most {
			break
		}
		kept += string(r)
	}
	return kept + "…" + end
}

// hatch is the path of the slanting lines that fill a span.
func hatch(b pictureSpan) string {
	const apart = 4.0
	var path strings.Builder
	for at := apart - b.H; at < b.W; at += apart {
		from, to := max(at, 0), min(at+b.H, b.W)
		fmt.Fprintf(&path, "M%g %gL%g %g", tenth(b.X+from), tenth(b.Y+b.H-(from-at)), tenth(b.X+to), tenth(b.Y+b.H-(to-at)))
	}
	return path.String()
}
