package session

import (
	"fmt"
	"math"
	"strings"
	"time"
)

// Lines says the forecast in plain words: the end, the promise, the pace of
// each technique against the usual, and what had to be guessed.
func (f *Forecast) Lines(clock Clockface) []string {
	lines := []string{f.SayEnd(clock)}
	if promise := f.SayPromise(clock); promise != "" {
		lines = append(lines, promise)
	}
	for _, p := range f.Paces {
		lines = append(lines, p.Say())
	}
	return append(lines, f.Notes...)
}

// SayEnd says when the client will be out of the chair.
func (f *Forecast) SayEnd(clock Clockface) string {
	return fmt.Sprintf("out of the chair about %s (80 %%: %s–%s)", clock(f.End.P50), clock(f.End.P10), clock(f.End.P90))
}

// lateMay is from what chance of being late on something is said about it.
// House rule; no source.
const lateMay = 0.2

// LateLikely reports whether the end is late enough, and has been for long
// enough, to tell somebody.
func (f *Forecast) LateLikely() bool { return f.Lasting && lateBy(f.End.P50, f.Promised) >= LateFrom }

// SayPromise says how it stands with the time that the client was told; nothing
// if none was.
func (f *Forecast) SayPromise(clock Clockface) string {
	switch {
	case f.Promised.IsZero():
		return ""
	case f.LateLikely():
		late, told := int(math.Round(lateBy(f.End.P50, f.Promised).Minutes())), ": tell the front desk"
		if !f.Told.IsZero() {
			told = ", told " + clock(f.Told)
		}
		if late >= 120 {
			return fmt.Sprintf("probably %d h %02d min late", late/60, late%60) + told
		}
		return fmt.Sprintf("probably %d min late", late) + told
	case f.Late > 0.5:
		return fmt.Sprintf("may be late: %d in 10", min(int(math.Round(10*f.Late)), 9))
	case f.Late >= lateMay:
		return fmt.Sprintf("may be late: 1 in %d", int(math.Round(1/f.Late)))
	}
	in10 := min(int(10*(1-f.Late)+1e-9), 9)
	return fmt.Sprintf("on time: %d in 10 that by %s", in10, clock(ToldPromise(f.Promised)))
}

// Say says what a piece takes now, against the usual. Less than a twentieth
// either way is as usual.
func (p PaceForecast) Say() string {
	if p.Usual == 0 {
		return fmt.Sprintf("%s: %s per piece, and what is usual is not known", p.Technique, perPieceText(p.Now))
	}
	text := fmt.Sprintf("%s: %s per piece, usually %s", p.Technique, perPieceText(p.Now), perPieceText(p.Usual))
	switch percent := int(math.Round(100 * math.Abs(p.Ratio-1))); {
	case percent < 5:
		return text + " (as usual)"
	case p.Ratio > 1:
		return fmt.Sprintf("%s (%d %% slower)", text, percent)
	default:
		return fmt.Sprintf("%s (%d %% faster)", text, percent)
	}
}

// perPieceText says minutes with seconds.
func perPieceText(m float64) string {
	s := int(math.Round(m * 60))
	if s < 60 {
		return fmt.Sprintf("%d s", s)
	}
	return fmt.Sprintf("%d:%02d min", s/60, s%60)
}

// SayZone says when a zone is applied, if that is to come, and off; where that
// may be past its limit, it says so, and what keeps the limit.
func (z ZoneForecast) SayZone(clock Clockface) string {
	name := z.Name + ":"
	if !z.Applied.P50.IsZero() {
		name += " applied about " + clock(z.Applied.P50) + ","
	}
	if !z.LimitAt.IsZero() && z.OnOff.P90.After(z.LimitAt) {
		return z.sayPast(name, clock)
	}
	text := name + " off about " + clock(z.Off.P50) + span(z.Off, clock)
	if z.NoLimit {
		text += ", no limit set"
	}
	return text
}

// sayPast says of what is on that it may be off after its limit.
func (z ZoneForecast) sayPast(name string, clock Clockface) string {
	keep := ": rinse it now"
	if !z.GoBy.IsZero() {
		keep = ": go to the basin by " + clock(z.GoBy) + " to keep it"
	}
	limit, off := clock(z.LimitAt), z.OnOff
	switch {
	case z.Past:
		return name + " OVER its limit " + limit + keep
	case off.P50.After(z.LimitAt):
		late := off.P50.Truncate(time.Minute).Sub(z.LimitAt.Truncate(time.Minute)) // as the clock shows them
		return fmt.Sprintf("%s would be off about %s, %d min past its limit %s%s", strings.TrimSuffix(name, ":"), clock(off.P50),
			max(int(late/time.Minute), 1), limit, keep)
	}
	return fmt.Sprintf("%s off about %s (80 %%: %s–%s, which ends past its limit %s)%s", name, clock(off.P50), clock(off.P10), clock(off.P90), limit, keep)
}

// SayStep says when a step ends.
func (s StepForecast) SayStep(clock Clockface) string {
	return s.Name + ": over about " + clock(s.End.P50) + span(s.End, clock)
}

func span(m Moments, clock func(time.Time) string) string {
	return fmt.Sprintf(" (80 %%: %s–%s)", clock(m.P10), clock(m.P90))
}
