package widget

import (
	"fmt"
	"strings"
	"time"

	"rinseby/tui/theme"
)

// labelRoom is the least number of cells from one label of an axis to the
// next: a tick, "15:04", and two spaces.
const labelRoom = 8

// steps are the distances between labels on an axis that read well.
var steps = []time.Duration{
	time.Minute, 2 * time.Minute, 5 * time.Minute, 10 * time.Minute, 15 * time.Minute, 30 * time.Minute,
	time.Hour, 2 * time.Hour, 3 * time.Hour, 6 * time.Hour, 12 * time.Hour, 24 * time.Hour,
}

// Axis is the row of times to go above bars of w cells from from to to: round
// times of the place loc, each behind a tick in its cell, and the present
// moment. Labels that would run into that of the present moment are left out.
// Axes longer than some weeks have no room for round times and show the
// present moment alone.
func Axis(th *theme.Theme, from, to, now time.Time, loc *time.Location, w int) string {
	if w <= 0 {
		return ""
	}
	if !from.Before(to) {
		return spaces(w)
	}
	labels := roundTimes(from, to, loc, w)
	nowAt, nowLabel := -1, th.Glyphs.NowTick+now.In(loc).Format("15:04")
	if !now.Before(from) && !now.After(to) {
		nowAt = min(column(now, from, to, w), w-1)
	}
	nowEnd := nowAt + Width(nowLabel)
	if nowEnd > w { // no room for its time
		nowLabel, nowEnd = th.Glyphs.NowTick, nowAt+1
	}

	var b strings.Builder
	used := 0
	put := func(at int, style theme.Style, text string) {
		b.WriteString(spaces(at - used))
		b.WriteString(style.Render(text))
		used = at + Width(text)
	}
	nowDone := nowAt < 0
	for _, at := range labels {
		cell := column(at, from, to, w)
		text := th.Glyphs.Tick + at.In(loc).Format("15:04")
		end := cell + Width(text)
		if end > w || nowAt >= 0 && cell <= nowEnd && end >= nowAt {
			continue
		}
		if !nowDone && cell > nowAt {
			put(nowAt, th.Now, nowLabel)
			nowDone = true
		}
		put(cell, th.Dim, text)
	}
	if !nowDone {
		put(nowAt, th.Now, nowLabel)
	}
	b.WriteString(spaces(w - used))
	return b.String()
}

// roundTimes are the moments to label on an axis, far enough apart.
func roundTimes(from, to time.Time, loc *time.Location, w int) []time.Time {
	span := to.Sub(from)
	for _, step := range steps {
		if int64(step)/labelRoom*int64(w) < int64(span) {
			continue
		}
		_, offset := from.In(loc).Zone()
		local := time.Duration(offset) * time.Second
		// Truncate counts from a midnight in UTC; shifted, from one in loc.
		at := from.Add(local).Truncate(step).Add(-local)
		if at.Before(from) {
			at = at.Add(step)
		}
		var out []time.Time
		for ; at.Before(to); at = at.Add(step) {
			out = append(out, at)
		}
		return out
	}
	return nil
}

// Clock is d as on a kitchen timer, in whole seconds: "12:34", or "1:02:03"
// from an hour on. The sign is dropped, the fraction of a second too.
func Clock(d time.Duration) string {
	s := int64(d.Abs() / time.Second)
	if s < 3600 {
		return fmt.Sprintf("%02d:%02d", s/60, s%60)
	}
	return fmt.Sprintf("%d:%02d:%02d", s/3600, s/60%60, s%60)
}
