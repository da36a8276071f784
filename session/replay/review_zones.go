package replay

import (
	"cmp"
	"slices"
	"time"

	"rinseby/session"
	"rinseby/session/formula"
	"rinseby/timing"
)

// zones are those that something was on, in the order of their rounds.
func (r *reviewer) zones() []ZoneFinding {
	all := []ZoneFinding{}
	took, units := map[string]time.Duration{}, map[string]int{}
	for _, st := range r.s.Stints() {
		if st.Tells() {
			took[st.Zone] += st.Took
			units[st.Zone] += st.Units
		}
	}
	for _, z := range r.s.Zones {
		if !z.Started() {
			continue
		}
		f := ZoneFinding{ID: z.ID, Name: z.Name, Round: r.s.Round(z.Round).Name, Pieces: z.Done(), Coats: []CoatFinding{}}
		if z.MinutesPerPiece > 0 {
			f.Planned = ptr(z.MinutesPerPiece)
		}
		if n := units[z.ID]; n > 0 {
			f.Actual = ptr(thousandth(took[z.ID].Minutes() / float64(n)))
		}
		for _, c := range z.Coats {
			f.Coats = append(f.Coats, r.coat(z, c))
		}
		all = append(all, f)
	}
	return all
}

func (r *reviewer) coat(z *session.Zone, c *session.Coat) CoatFinding {
	t := r.s.CoatTiming(c)
	f := CoatFinding{
		Band: c.Band, Product: c.Product, Strength: c.Strength, Label: formula.Label(c.Strength),
		FirstS: r.since(t.First), LastS: r.since(t.Last), OffS: r.sinceOrNil(t.Off),
		OldestS: inSeconds(t.Oldest(r.end)), NewestS: inSeconds(t.Newest(r.end)), CarriedS: inSeconds(t.Carried),
		OverS: inSeconds(t.Over(r.end)),
	}
	f.OpensS, f.LimitS = bounds(t.Window)
	if !t.Off.IsZero() && t.Window.Known() {
		f.ShortS = inSeconds(max(t.Window.Opens-t.Newest(t.Off), 0))
	}
	if p := z.Band(c.Band); p != nil {
		f.Planned = p.Product + " " + formula.Label(p.Strength)
		row, ok := formula.Match(r.s.Windows, formula.Query{Product: p.Product, Kind: p.Kind, Strength: p.Strength,
			Hair: formula.Hair{Contact: p.Contact, Condition: p.Condition}})
		if ok {
			f.PlannedOpensS, f.PlannedLimitS = bounds(row.Window)
		}
	}
	return f
}

// bounds are those of a window; nil if it is not known.
func bounds(w timing.Window) (opens, limit *float64) {
	if !w.Known() {
		return nil, nil
	}
	return ptr(inSeconds(w.Opens)), ptr(inSeconds(w.Limit))
}

// A use is a bowl that went on hair.
type use struct {
	bowl, zone string
	band       session.Band
	at         time.Time
}

// uses are all of them, in the order of their moments.
func (r *reviewer) uses() (all []use) {
	for _, e := range r.t.whole.Events() {
		at, counts := r.when[e.Seq]
		var on []session.CoatOn
		zone := ""
		switch d := e.Data.(type) {
		case session.PiecePlaced:
			zone, on = d.Zone, d.Coats
		case session.CoatApplied:
			zone, on = d.Zone, d.Coats
		case session.CoatRefreshed:
			zone, on = d.Zone, d.Coats
		}
		for _, o := range on {
			if counts {
				all = append(all, use{o.Bowl, zone, o.Band, at})
			}
		}
	}
	slices.SortStableFunc(all, func(a, b use) int { return a.at.Compare(b.at) })
	return all
}

func (r *reviewer) bowls() []BowlFinding {
	all := []BowlFinding{}
	uses := r.uses()
	for _, b := range r.s.Bowls {
		f := BowlFinding{
			ID: b.ID, Product: b.Product, Strength: b.Strength, Label: formula.Label(b.Strength),
			MixedS: r.since(b.Mixed), MixedG: thousandth(b.Mix.Total()), LeftG: b.LeftGrams,
		}
		stale, known := b.Stale()
		if known {
			f.StaleS = ptr(r.since(stale))
		}
		var last time.Time
		for _, u := range uses {
			if u.bowl != b.ID {
				continue
			}
			f.LastUseS = ptr(r.since(u.at))
			if known && u.at.After(stale) && !u.at.Equal(last) {
				f.StaleUses++
				last = u.at
			}
		}
		all = append(all, f)
	}
	return all
}

// breaches are all of them, in the order in which they began.
func (r *reviewer) breaches(f *Findings) []Breach {
	all := []Breach{}
	for _, z := range f.Zones {
		for _, c := range z.Coats {
			b := Breach{Zone: z.Name, Round: z.Round, Band: c.Band, Product: c.Product + " " + c.Label}
			if c.LimitS == nil {
				b.Kind, b.AtS = NoLimit, c.FirstS
				all = append(all, b)
				continue
			}
			if c.OverS > 0 { // the limit counts what was carried; it can't begin before first contact
				b.Kind, b.ByS = Over, c.OverS
				b.AtS = thousandth(c.FirstS + max(*c.LimitS-c.CarriedS, 0))
				all = append(all, b)
			}
			if c.ShortS > 0 {
				b.Kind, b.ByS, b.AtS = Short, c.ShortS, *c.OffS
				all = append(all, b)
			}
		}
	}
	for _, b := range f.Bowls {
		if b.StaleUses == 0 {
			continue
		}
		stale := Breach{Kind: Stale, AtS: *b.StaleS, ByS: thousandth(*b.LastUseS - *b.StaleS), Bowl: b.ID, Product: b.Product + " " + b.Label}
		for _, u := range r.uses() {
			if u.bowl == b.ID {
				stale.Zone, stale.Band = r.zone(u.zone), u.band
				if z := r.s.Zone(u.zone); z != nil {
					stale.Round = r.s.Round(z.Round).Name
				}
			}
		}
		all = append(all, stale)
	}
	slices.SortStableFunc(all, func(a, b Breach) int { return cmp.Compare(a.AtS, b.AtS) })
	return all
}
