package card

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"rinseby/session"
	"rinseby/session/formula"
	"rinseby/timing"
)

func (m maker) zone(z *session.Zone) Zone {
	t := m.s.ZoneTiming(z, m.at)
	out := Zone{
		ID: z.ID, Name: valid(z.Name), Round: z.Round, Pieces: z.Done(), Planned: z.Pieces,
		SameHairAs: each(z.SameHairAs, strings.Clone), Dropped: z.Dropped, Phase: t.Phase.String(),
		OldestS: up(t.Oldest), PerPieceMin: perPiece(z), LimitKnown: true,
		Heat: each(z.Heat, func(h session.Span) Heat { return Heat{On: utc(h.From), Off: moment(heatOff(z, h))} }),
		Checks: each(z.Checks, func(c session.Check) Check {
			d := c.ZoneChecked
			d.Undertone, d.Feel = valid(d.Undertone), valid(d.Feel)
			return Check{At: utc(c.At), ZoneChecked: d}
		}),
		Coats:              each(z.Coats, m.coat),
		PlannedPerPieceMin: min1000(z.MinutesPerPiece),
		PlannedCoats: each(z.Bands, func(b session.PlanBand) PlannedCoat {
			return PlannedCoat{b.Band, Product{Product: valid(b.Product), Kind: b.Kind, Strength: b.Strength, Label: formula.Label(b.Strength)}}
		}),
	}
	if !z.Holding() {
		out.RinsedAt = moment(z.Rinsed)
	}
	out.OldestMin = inMinutes(out.OldestS)
	newest, limitAt := time.Duration(-1), time.Time{}
	for _, c := range z.Coats {
		ct := m.s.CoatTiming(c)
		if n := ct.Newest(m.at); (newest < 0 || n < newest) && (ct.On(m.at) || t.Phase == timing.Rinsed) {
			newest = n
		}
		if !ct.Window.Known() {
			out.LimitKnown = false
			continue
		}
		if over := up(ct.Over(m.at)); out.OverS == nil || over > *out.OverS {
			out.OverS, out.OverMin = ptr(over), ptr(inMinutes(over))
		}
		if s := short(ct); s != nil && !z.Holding() && (out.ShortS == nil || *s > *out.ShortS) {
			out.ShortS, out.ShortMin = s, ptr(inMinutes(*s))
		}
		if at := ct.LimitAt(); limitAt.IsZero() || at.Before(limitAt) {
			limitAt = at
			n := down(ct.Window.Limit)
			out.LimitS, out.LimitMin, out.LimitAt, out.LimitBand = ptr(n), ptr(inMinutes(n)), moment(at), c.Band
		}
	}
	out.LimitKnown = out.LimitKnown && len(z.Coats) > 0
	out.NewestS = down(max(newest, 0))
	out.NewestMin = inMinutes(out.NewestS)
	return out
}

func (m maker) coat(c *session.Coat) Coat {
	t := m.s.CoatTiming(c)
	out := Coat{
		Band: c.Band, Product: valid(c.Product), Kind: c.Family, Strength: c.Strength, Label: formula.Label(c.Strength),
		Contact: c.Contact, Condition: c.Condition, Bowls: slices.Clone(c.Bowls),
		Refreshed: each(c.Refreshed, utc),
		RefreshedWith: each(c.With, func(q formula.Query) Product {
			return Product{Product: valid(q.Product), Kind: q.Kind, Strength: q.Strength, Label: formula.Label(q.Strength)}
		}),
		FirstContact: utc(t.First), LastContact: utc(t.Last), RinsedAt: moment(c.Off),
		OldestS: up(t.Oldest(m.at)), NewestS: down(t.Newest(m.at)), CarriedS: up(t.Carried),
		Windows: m.windows(c),
	}
	out.OldestMin, out.NewestMin, out.CarriedMin = inMinutes(out.OldestS), inMinutes(out.NewestS), inMinutes(out.CarriedS)
	if w := t.Window; w.Known() {
		opens, limit, over := up(w.Opens), down(w.Limit), up(t.Over(m.at))
		out.OpensS, out.LimitS, out.OverS = ptr(opens), ptr(limit), ptr(over)
		out.OpensMin, out.LimitMin, out.OverMin = ptr(inMinutes(opens)), ptr(inMinutes(limit)), ptr(inMinutes(over))
	}
	if s := short(t); s != nil {
		out.ShortS, out.ShortMin = s, ptr(inMinutes(*s))
	}
	return out
}

// short is the seconds that the newest piece of a coat lacked to its opening
// when it came off; nil while it is on, or if no window is known.
func short(t timing.Coat) *int {
	if t.Off.IsZero() || !t.Window.Known() {
		return nil
	}
	return ptr(up(max(t.Window.Opens-t.Newest(t.Off), 0)))
}

// heatOff is when heat ended: as it was logged, or with the rinse if that came
// first; zero if it is still on.
func heatOff(z *session.Zone, h session.Span) time.Time {
	off := h.To
	for _, c := range z.Coats {
		if c.Off.After(h.From) && (off.IsZero() || c.Off.Before(off)) {
			off = c.Off
		}
	}
	return off
}

// windows lists the rows that serve what is on the coat's hair, for where
// they come from; the figures in force are those of session.CoatWindow.
func (m maker) windows(c *session.Coat) []Window {
	qs := append([]formula.Query{{
		Product: c.Product, Kind: c.Family, Strength: c.Strength,
		Hair: formula.Hair{Contact: c.Contact, Condition: c.Condition},
	}}, c.With...)
	if m.heated(c) {
		for _, q := range slices.Clone(qs) {
			q.Heat = true
			qs = append(qs, q)
		}
	}
	out := []Window{}
	for _, q := range qs {
		row, ok := formula.Match(m.s.Windows, q)
		if !ok {
			continue
		}
		w := window(row, m.basis(row))
		if !slices.Contains(out, w) {
			out = append(out, w)
		}
	}
	return out
}

// heated reports whether the coat's hair had heat, in any zone, while the coat
// was on.
func (m maker) heated(c *session.Coat) bool {
	during := func(h session.Span) bool {
		return (c.Off.IsZero() || h.From.Before(c.Off)) && (h.Open() || h.To.After(c.First()))
	}
	own := m.s.Zone(c.Zone)
	return slices.ContainsFunc(m.s.Zones, func(z *session.Zone) bool {
		return slices.ContainsFunc(z.Heat, during) && (z == own || m.s.SameHair(z, own))
	})
}

// basis finds what a row rests on. Its window may have been shortened on
// account of another row, which its origin then tells.
func (m maker) basis(row formula.Row) string {
	holds := func(r formula.Row) formula.Row {
		r.Window, r.Origin = timing.Window{}, ""
		return r
	}
	i := slices.IndexFunc(m.s.Windows, func(r formula.Row) bool { return holds(r) == holds(row) })
	if i < 0 {
		return ""
	}
	return valid(m.s.WindowBasis[i])
}

func window(r formula.Row, basis string) Window {
	w := Window{
		Product: valid(r.Product), Kind: r.Kind, Strength: r.Strength, Label: formula.Label(r.Strength),
		Contact: r.Contact, Condition: r.Condition, Heat: r.Heat,
		OpensS: up(r.Window.Opens), LimitS: down(r.Window.Limit), Origin: valid(r.Origin), Basis: valid(basis),
	}
	w.OpensMin, w.LimitMin = inMinutes(w.OpensS), inMinutes(w.LimitS)
	return w
}

// strength says a strength both ways: "9 % (30 vol)".
func strength(p formula.Percent, label string) string {
	if p.AtMost(0) {
		return "without developer"
	}
	return fmt.Sprintf("%v (%s)", p, label)
}

// minutes says seconds as people do: "45 min", "37 min 20 s", "40 s".
func minutes(s int) string {
	switch m := s / 60; {
	case s%60 == 0:
		return fmt.Sprintf("%d min", m)
	case m == 0:
		return fmt.Sprintf("%d s", s)
	default:
		return fmt.Sprintf("%d min %d s", m, s%60)
	}
}
