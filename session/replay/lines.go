package replay

import (
	"fmt"
	"math"
	"strings"
	"time"

	"rinseby/session"
)

// A Section is a part of a report for people to read. Its texts hold names and
// words as they were typed: whoever shows them cleans them.
type Section struct {
	Title string
	Lines []string
}

func (s *Section) add(format string, args ...any) {
	s.Lines = append(s.Lines, fmt.Sprintf(format, args...))
}

// clock says seconds from the opening as the clock on the wall at the opening
// would, if nobody had touched it.
func clock(opened time.Time, s float64) string {
	return opened.Add(time.Duration(s * float64(time.Second))).Round(time.Second).Format("15:04:05")
}

// length says seconds as hours, minutes and seconds.
func length(s float64) string {
	whole := int(math.Round(math.Abs(s)))
	switch {
	case whole < 60:
		return fmt.Sprintf("%d s", whole)
	case whole < 3600:
		return fmt.Sprintf("%d min %02d s", whole/60, whole%60)
	}
	return fmt.Sprintf("%d h %02d min %02d s", whole/3600, whole/60%60, whole%60)
}

// lateness says how much later than planned something came.
func lateness(s float64) string {
	switch {
	case math.Abs(s) < 0.5:
		return "just then"
	case s < 0:
		return length(s) + " earlier"
	}
	return length(s) + " later"
}

// Sections are the findings for people to read.
func (f *Findings) Sections() []Section {
	all := []Section{f.head(), f.reactionLines(), f.breachLines(), f.zoneLines(), f.tripLines(), f.warningLines(), f.forecastLines(), f.bowlLines()}
	for i := range all {
		if len(all[i].Lines) == 0 {
			all[i].add("none")
		}
	}
	return all
}

func (f *Findings) head() Section {
	s := Section{Title: "Review of " + f.Client}
	if f.Invented {
		s.add("demonstration data, about nobody")
	}
	s.add("service %s, by %s, opened %s", f.Service, or(f.Stylist, "nobody named"), f.Opened.Format("2006-01-02 15:04"))
	if f.Closed {
		s.add("closed after %s", length(f.LengthS))
	} else {
		s.add("still live: figures count until its last entry, after %s", length(f.LengthS))
	}
	switch said := f.promised(); {
	case f.PromisedS != nil:
		s.add("promised for %s; out %s", said, lateness(f.LengthS-*f.PromisedS))
	case said != "":
		s.add("promised for %s", said)
	}
	for _, p := range f.Promises {
		if strings.TrimSpace(p.Told) != "" {
			s.add("told at %s: %s", clock(f.Opened, p.AtS), p.Told)
		}
	}
	return s
}

// promised says what was promised, one time after the other.
func (f *Findings) promised() string {
	at := func(s float64) time.Time { return f.Opened.Add(time.Duration(s * float64(time.Second))) }
	all := make([]session.Promise, len(f.Promises))
	for i, p := range f.Promises {
		if all[i].At = at(p.AtS); p.PromisedS != nil {
			all[i].By = at(*p.PromisedS)
		}
	}
	return session.SayPromises(all, f.Opened, func(at time.Time) string { return clock(f.Opened, at.Sub(f.Opened).Seconds()) })
}

func or(text, other string) string {
	if strings.TrimSpace(text) == "" {
		return other
	}
	return text
}

func (f *Findings) reactionLines() Section {
	s := Section{Title: "Pain and reactions"}
	for _, r := range f.Reactions {
		parts := []string{clock(f.Opened, r.AtS) + "  " + r.Said}
		for _, more := range []string{r.Zone, r.Text} {
			if more != "" {
				parts[0] += ", " + more
			}
		}
		if r.OffS != nil {
			parts = append(parts, "all off at "+clock(f.Opened, *r.OffS))
		}
		if r.WaterS > 0 {
			parts = append(parts, "water for "+length(r.WaterS))
		}
		if r.ClearedS == nil {
			parts = append(parts, "not cleared")
		} else {
			parts = append(parts, clock(f.Opened, *r.ClearedS)+" found: "+or(r.Found, "no words"))
		}
		s.add("%s", strings.Join(parts, "; "))
	}
	for _, a := range f.Asked {
		s.add("%s  %s", clock(f.Opened, a.AtS), a.Said)
	}
	return s
}

func (f *Findings) breachLines() Section {
	s := Section{Title: "Not kept"}
	for _, b := range f.Breaches {
		at, where := clock(f.Opened, b.AtS), fmt.Sprintf("%s, %s of %s (%s)", b.Product, b.Band, b.Zone, b.Round)
		switch b.Kind {
		case Over:
			s.add("%s  over its limit by %s: %s", at, length(b.ByS), where)
		case Short:
			s.add("%s  rinsed %s before it was open: %s", at, length(b.ByS), where)
		case NoLimit:
			s.add("%s  on without a limit that is known: %s", at, where)
		case Stale:
			s.add("%s  bowl %s past its working life, put on until %s after: %s", at, b.Bowl, length(b.ByS), where)
		}
	}
	return s
}

func (f *Findings) zoneLines() Section {
	s := Section{Title: "Zones"}
	for _, z := range f.Zones {
		line := fmt.Sprintf("%s (%s): %d pieces", z.Name, z.Round, z.Pieces)
		if z.Actual != nil {
			line += fmt.Sprintf(", %.1f min each", *z.Actual)
		}
		if z.Planned != nil {
			line += fmt.Sprintf(", planned %.1f", *z.Planned)
		}
		s.add("%s", line)
		for _, c := range z.Coats {
			s.add("  %s: %s", c.Band, f.coatLine(c))
		}
	}
	return s
}

func (f *Findings) coatLine(c CoatFinding) string {
	text := fmt.Sprintf("%s %s, on %s to ", c.Product, c.Label, clock(f.Opened, c.FirstS))
	if c.OffS != nil {
		text += clock(f.Opened, *c.OffS)
	} else {
		text += "now"
	}
	text += ", oldest " + length(c.OldestS)
	if c.CarriedS > 0 {
		text += " (" + length(c.CarriedS) + " of it from before)"
	}
	text += ", newest " + length(c.NewestS)
	switch {
	case c.LimitS == nil:
		text += "; no limit known"
	case c.OverS > 0:
		text += fmt.Sprintf("; limit %s, OVER by %s", length(*c.LimitS), length(c.OverS))
	default:
		text += fmt.Sprintf("; limit %s, %s to spare", length(*c.LimitS), length(*c.LimitS-c.OldestS))
	}
	if c.ShortS > 0 {
		text += fmt.Sprintf("; opens after %s, SHORT by %s", length(*c.OpensS), length(c.ShortS))
	}
	if c.Planned != c.Product+" "+c.Label || !equal(c.LimitS, c.PlannedLimitS) {
		text += "; planned " + or(c.Planned, "not")
		if c.PlannedLimitS != nil {
			text += " with a limit of " + length(*c.PlannedLimitS)
		}
	}
	return text
}

func equal(a, b *float64) bool { return a == b || (a != nil && b != nil && *a == *b) }

func (f *Findings) tripLines() Section {
	s := Section{Title: "Trips to the basin"}
	for _, t := range f.Trips {
		text := clock(f.Opened, t.BeganS) + "  " + strings.Join(t.Zones, ", ")
		if t.EndedS != nil {
			text += ", " + length(*t.EndedS-t.BeganS)
		}
		s.add("%s", text)
		if t.Said == nil {
			s.add("  no plan: %s", t.Why)
			continue
		}
		text = fmt.Sprintf("  planned at %s: leave at %s with %s; left %s", clock(f.Opened, t.Said.AtS), clock(f.Opened, t.Said.LeaveS),
			strings.Join(t.Said.Zones, ", "), lateness(t.Said.LaterS))
		if !t.Said.Same {
			text += ", with other zones"
		}
		if t.Said.OverS > 0 {
			text += "; at best a zone was to be over by " + length(t.Said.OverS)
		}
		s.add("%s", text)
	}
	return s
}

func (f *Findings) warningLines() Section {
	s := Section{Title: "Warnings"}
	for _, w := range f.Warnings {
		text := fmt.Sprintf("%s to %s  %s: %s", clock(f.Opened, w.FromS), clock(f.Opened, w.ToS), w.Level, w.Text)
		switch {
		case w.AckedS == nil && w.Level != levels[session.Line]:
			text += "; not acknowledged"
		case w.AckedS != nil:
			text += "; acknowledged at " + clock(f.Opened, *w.AckedS)
			if w.Reason != "" {
				text += ": " + w.Reason
			}
		}
		s.add("%s", text)
	}
	return s
}

func (f *Findings) forecastLines() Section {
	s := Section{Title: "What was said of the end"}
	for _, c := range f.Forecasts {
		head := fmt.Sprintf("%.0f %% of the pieces in, %s: ", 100*c.Share, clock(f.Opened, c.AtS))
		if c.P50S == nil {
			s.add("%s%s", head, c.Why)
			continue
		}
		text := head + fmt.Sprintf("about %s, 80 %% range %s to %s", clock(f.Opened, *c.P50S), clock(f.Opened, *c.P10S), clock(f.Opened, *c.P90S))
		if c.LaterS != nil {
			text += "; it came " + lateness(*c.LaterS)
			if *c.Within {
				text += ", within the range"
			} else {
				text += ", outside the range"
			}
		}
		s.add("%s", text)
	}
	return s
}

func (f *Findings) bowlLines() Section {
	s := Section{Title: "Bowls"}
	for _, b := range f.Bowls {
		text := fmt.Sprintf("%s  %s: %s %s, %.0f g", clock(f.Opened, b.MixedS), b.ID, b.Product, b.Label, b.MixedG)
		if b.LeftG != nil {
			text += fmt.Sprintf(", %.0f g left", *b.LeftG)
		}
		if b.StaleUses > 0 {
			text += fmt.Sprintf("; put on %d times past its working life, which ended at %s", b.StaleUses, clock(f.Opened, *b.StaleS))
		}
		s.add("%s", text)
	}
	if len(f.Bowls) > 0 {
		s.add("%.0f g mixed, %.0f g noted as left", f.MixedG, f.LeftG)
	}
	return s
}
