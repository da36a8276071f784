package card

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"rinseby/session"
	"rinseby/session/formula"
)

// atOnce is how long a coat must have been on for its time to be worth
// matching; what came off sooner was a slip. House rule; common practice, no
// source.
const atOnce = time.Minute

// formulas sums up by round, band, product, strength and ratio.
func (m maker) formulas() []Formula {
	out := []Formula{}
	for _, r := range m.s.Rounds {
		var of []Formula
		for _, id := range r.Order {
			z := m.s.Zone(id)
			if z == nil {
				continue
			}
			for _, c := range z.Coats {
				of = m.addFormula(of, z, c)
			}
		}
		slices.SortStableFunc(of, func(a, b Formula) int {
			return slices.Index(session.Bands, a.Band) - slices.Index(session.Bands, b.Band)
		})
		out = append(out, of...)
	}
	for i := range out {
		out[i].Summary = m.summary(out[i])
	}
	return out
}

func (m maker) addFormula(of []Formula, z *session.Zone, c *session.Coat) []Formula {
	k := m.formulaCoat(c)
	f := Formula{
		Round: z.Round, Band: c.Band, Product: valid(c.Product), Kind: c.Family,
		Strength: c.Strength, Label: formula.Label(c.Strength), Ratio: m.ratios(c),
		ShortestS: k.Seconds, LongestS: k.Seconds, ZonesOver: []string{},
	}
	i := slices.IndexFunc(of, func(o Formula) bool {
		return o.Band == f.Band && o.Product == f.Product && o.Label == f.Label && o.Ratio == f.Ratio
	})
	if i < 0 {
		of, i = append(of, f), len(of)
	}
	g := &of[i]
	g.Coats = append(g.Coats, k)
	if !slices.Contains(g.Zones, z.ID) {
		g.Zones = append(g.Zones, z.ID)
	}
	g.ShortestS, g.LongestS = min(g.ShortestS, k.Seconds), max(g.LongestS, k.Seconds)
	g.ShortestMin, g.LongestMin = inMinutes(g.ShortestS), inMinutes(g.LongestS)
	g.StillOn = g.StillOn || k.StillOn
	if k.OverS != nil && *k.OverS > 0 && !slices.Contains(g.ZonesOver, z.ID) {
		g.ZonesOver = append(g.ZonesOver, z.ID)
	}
	return of
}

func (m maker) formulaCoat(c *session.Coat) FormulaCoat {
	t, k := m.s.CoatTiming(c), m.coat(c)
	on := t.Oldest(m.at) - t.Carried
	return FormulaCoat{
		Zone: c.Zone, Minutes: inMinutes(up(on)), Seconds: up(on),
		OverMin: k.OverMin, OverS: k.OverS, ShortMin: k.ShortMin, ShortS: k.ShortS,
		StillOn: c.Off.IsZero(), AtOnce: !c.Off.IsZero() && on < atOnce,
	}
}

// ratios are those of the bowls that the coat came from, as far as they
// differ.
func (m maker) ratios(c *session.Coat) string {
	var rs []string
	for _, id := range c.Bowls {
		if b := m.s.Bowl(id); b != nil {
			if r := ratio(b); r != "" && !slices.Contains(rs, r) {
				rs = append(rs, r)
			}
		}
	}
	return strings.Join(rs, " and ")
}

// summary says what to mix for a band and how long each coat was on. Coats are
// parted by semicolons, as names of zones may hold commas.
func (m maker) summary(f Formula) string {
	mix := strength(f.Strength, f.Label)
	if f.Ratio != "" {
		mix += " " + f.Ratio
	}
	var on, off []string
	for _, k := range f.Coats {
		name := valid(m.s.Zone(k.Zone).Name)
		if !k.AtOnce {
			on = append(on, name+" "+k.went())
		} else if !slices.Contains(off, name) {
			off = append(off, name)
		}
	}
	text := fmt.Sprintf("%s: %s %s", bandWord(f.Band), f.Product, mix)
	if len(on) > 0 {
		text += ", on " + strings.Join(on, "; ")
	}
	if len(off) > 0 {
		text += "; rinsed off at once in " + strings.Join(off, " and ")
	}
	return text
}

// went says in words how long a coat was on, in whole minutes, and what was
// not right about it.
func (k FormulaCoat) went() string {
	text := fmt.Sprintf("%.0f min", math.Round(float64(k.Seconds)/60))
	if k.StillOn {
		text += " so far"
	}
	var wrong []string
	if k.OverS != nil && *k.OverS > 0 {
		wrong = append(wrong, minutes(*k.OverS)+" over the limit: not to be repeated")
	}
	if k.ShortS != nil && *k.ShortS > 0 {
		wrong = append(wrong, tooSoon(*k.ShortS))
	}
	if len(wrong) > 0 {
		text += " (" + strings.Join(wrong, ", ") + ")"
	}
	return text
}

// tooSoon says by how much a coat was rinsed too soon.
func tooSoon(seconds int) string { return "rinsed " + minutes(seconds) + " before it was open" }
