package session

import (
	"slices"
	"time"

	"rinseby/session/formula"
	"rinseby/timing"
)

// CoatTiming returns the timing of a coat: its own contacts, what the same
// hair had earlier in the visit, and the tightest window that applies.
func (s *State) CoatTiming(c *Coat) timing.Coat {
	z := s.Zone(c.Zone)
	t := timing.Coat{
		First: c.First(), Last: c.Last(), Fresh: c.Last(),
		Off: c.Off, Complete: z.Full(), Window: s.CoatWindow(c),
	}
	for _, r := range c.Refreshed {
		if r.After(t.Fresh) {
			t.Fresh = r
		}
	}
	t.Carried = s.carried(c)
	return t
}

// CoatWindow returns the tightest window that applies to a coat. It is unknown
// if no confirmed row serves any one of the things that are on the hair.
func (s *State) CoatWindow(c *Coat) timing.Window {
	w, _ := s.tightest(s.queries(c))
	return w
}

// tightest returns the tightest window of the queries, or the first query that
// no confirmed row serves.
func (s *State) tightest(qs []formula.Query) (w timing.Window, missing *formula.Query) {
	for _, q := range qs {
		row, ok := formula.Match(s.Windows, q)
		if !ok {
			return timing.Window{}, &q
		}
		w = w.Tightest(row.Window)
	}
	return w, nil
}

// noWindow tells of a coat that is on and for which no limit is known, or is
// nil.
func (s *State) noWindow() *ErrNoWindow {
	for _, z := range s.Zones {
		for _, c := range z.Coats {
			if !c.Off.IsZero() {
				continue
			}
			if _, q := s.tightest(s.queries(c)); q != nil {
				return &ErrNoWindow{Query: *q, Zone: z.Name, Band: c.Band}
			}
		}
	}
	return nil
}

// queries lists all that a coat's window must serve: what was put on, then
// what it was refreshed with, each also under heat if the same hair had heat
// while the coat was on.
func (s *State) queries(c *Coat) []formula.Query {
	qs := c.judged()
	z := s.Zone(c.Zone)
	heated := slices.ContainsFunc(s.Zones, func(o *Zone) bool {
		return slices.ContainsFunc(o.Heat, c.during) && (o == z || s.shareHair(o, z))
	})
	if heated {
		return underHeat(qs)
	}
	return qs
}

// during reports whether the coat was on at any time of the span.
func (c *Coat) during(sp Span) bool {
	return (c.Off.IsZero() || sp.From.Before(c.Off)) && (sp.Open() || sp.To.After(c.First()))
}

// judged lists what a coat's window must serve, heat apart.
func (c *Coat) judged() []formula.Query {
	return append([]formula.Query{{
		Product: c.Product, Kind: c.Family, Strength: c.Strength,
		Hair: formula.Hair{Contact: c.Contact, Condition: c.Condition},
	}}, c.With...)
}

// underHeat adds to the queries each of them under heat.
func underHeat(qs []formula.Query) []formula.Query {
	all := slices.Clone(qs)
	for _, q := range qs {
		q.Heat = true
		all = append(all, q)
	}
	return all
}

// union is the time that the spans cover together.
func union(spans []Span) (sum time.Duration) {
	slices.SortFunc(spans, func(a, b Span) int { return a.From.Compare(b.From) })
	var end time.Time
	for _, sp := range spans {
		if sp.From.After(end) {
			end = sp.From
		}
		if sp.To.After(end) {
			sum += sp.To.Sub(end)
			end = sp.To
		}
	}
	return sum
}

// A ZoneTiming is the timing of a zone as a whole: the oldest piece of any
// coat decides the limit, the newest decides when it is open.
type ZoneTiming struct {
	Phase   timing.Phase
	Oldest  time.Duration // longest exposure of any coat
	Newest  time.Duration // shortest time that any coat's newest piece is on
	First   time.Time     // first contact of the oldest piece
	LastAt  time.Time     // first contact of the newest piece
	LimitAt time.Time     // earliest limit of any coat; zero if none is on or none is known
	OpensAt time.Time     // latest opening of any coat
	Over    time.Duration // most minutes over the limit of any coat
	Tight   *Coat         // the coat that sets the limit
	Unknown bool          // a coat is on for which no limit is known
}

// ClosingLead is how long before its limit a coat counts as closing: time
// enough to finish the piece in hand, walk to the basin and rinse. House
// rule; common practice, no source.
const ClosingLead = 10 * time.Minute

// Lead is how long before its limit a coat with the window counts as closing:
// [ClosingLead], or a quarter of the limit if that is shorter.
func Lead(w timing.Window) time.Duration { return min(ClosingLead, w.Limit/4) }

// ZoneTiming computes the timing of a zone at the moment now.
func (s *State) ZoneTiming(z *Zone, now time.Time) ZoneTiming {
	t := ZoneTiming{Phase: timing.Waiting}
	on := 0
	for _, c := range z.Coats {
		ct := s.CoatTiming(c)
		if ct.First.After(now) {
			continue
		}
		t.Oldest, t.Over = max(t.Oldest, ct.Oldest(now)), max(t.Over, ct.Over(now))
		if t.First.IsZero() || ct.First.Before(t.First) {
			t.First = ct.First
		}
		if ct.Last.After(t.LastAt) {
			t.LastAt = ct.Last
		}
		if !ct.On(now) {
			if on == 0 {
				t.Phase, t.Newest = timing.Rinsed, ct.Newest(now)
			}
			continue
		}
		if n := ct.Newest(now); on == 0 || n < t.Newest {
			t.Newest = n
		}
		if p := ct.Phase(now, Lead(ct.Window)); on == 0 || pressing[p] > pressing[t.Phase] {
			t.Phase = p
		}
		on++
		if o := ct.OpensAt(); o.After(t.OpensAt) {
			t.OpensAt = o
		}
		if !ct.Window.Known() {
			t.Unknown = true
		} else if l := ct.LimitAt(); t.LimitAt.IsZero() || l.Before(t.LimitAt) {
			t.LimitAt, t.Tight = l, c
		}
	}
	return t
}

// pressing ranks the phases of the coats of one zone: the highest is the
// zone's. A coat that is not open yet holds an open one back.
var pressing = map[timing.Phase]int{
	timing.Open: 1, timing.Working: 2, timing.Applying: 3, timing.Closing: 4, timing.Over: 5,
}
