package session

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"rinseby/session/formula"
)

// What one round, one zone list or one service of the day did to hair counts
// in the next. The stylist names hair by zones, so zones with the same name are
// the same hair, unless one is said to be other hair. By name alone only minutes
// of lightener add up; all else adds up where zones are said to be the same
// hair. House rule.

// LooseName is what names are compared by: case, blanks around them, and the
// number of blanks inside don't count.
func LooseName(name string) string { return strings.ToLower(strings.Join(strings.Fields(name), " ")) }

// goesBy reports whether the zone is called so, was called so while product
// was on it, or is a part of one that was.
func (z *Zone) goesBy(loose string) bool { return slices.Contains(z.names, loose) }

// call gives the zone a name. The old one is kept if product went on while the
// zone had it.
func (z *Zone) call(name string) {
	z.Name = name
	if loose := LooseName(name); z.Started() && !z.goesBy(loose) {
		z.names = append(z.names, loose)
	} else if !z.Started() {
		z.names = append([]string{loose}, z.whole...)
	}
}

// partOf makes the zone go by the names of the one that it was split from, and
// keeps those for it as well.
func (z *Zone) partOf(o *Zone) {
	o.whole = slices.Clone(o.names)
	z.whole = o.whole
	for _, n := range o.names {
		if !z.goesBy(n) {
			z.names = append(z.names, n)
		}
	}
}

// relink finds the namesakes of all zones anew: of each, those of earlier
// rounds, or planned earlier in its own, that go by one of its names.
func (s *State) relink() {
	ofRound := map[string][]*Zone{}
	for _, z := range s.Zones {
		ofRound[z.Round] = append(ofRound[z.Round], z)
	}
	called := map[string][]*Zone{}
	for _, r := range s.Rounds {
		for _, z := range ofRound[r.ID] {
			z.namesakes = nil
			for _, n := range z.names {
				for _, o := range called[n] {
					if !z.OtherHair && o.family != z.family && !slices.Contains(z.namesakes, o.ID) {
						z.namesakes = append(z.namesakes, o.ID)
					}
				}
				called[n] = append(called[n], z)
			}
		}
	}
}

// namesake is the zone with the id if it is the same hair as z by its name. Of
// one round, two zones of one name are different pieces, unless the first was
// rinsed before the second was begun.
func (s *State) namesake(z *Zone, id string) *Zone {
	o := s.Zone(id)
	if o == nil || o.Round != z.Round {
		return o
	}
	if first := firstContact(z); o.Rinsed.IsZero() || (!first.IsZero() && first.Before(o.Rinsed)) {
		return nil
	}
	return o
}

// hair names the hair that a zone lies on: the zone itself, or the hair of
// the zones that it is the same hair as, by what was said or by their names.
func (s *State) hair(z *Zone) []string { return s.liesOn(z, true) }

// saidHair is the same by what was said alone.
func (s *State) saidHair(z *Zone) []string { return s.liesOn(z, false) }

func (s *State) liesOn(z *Zone, byName bool) []string {
	if len(z.SameHairAs) == 0 && (!byName || len(z.namesakes) == 0) { // most zones
		return []string{z.ID}
	}
	var ids, all []string
	var visit func(z *Zone)
	visit = func(z *Zone) {
		if slices.Contains(all, z.ID) {
			return
		}
		all = append(all, z.ID)
		leaf := len(z.SameHairAs) == 0
		for _, id := range z.SameHairAs {
			if o := s.Zone(id); o != nil {
				visit(o)
			}
		}
		if byName {
			for _, id := range z.namesakes {
				if o := s.namesake(z, id); o != nil {
					leaf = false
					visit(o)
				}
			}
		}
		if leaf {
			ids = append(ids, z.ID)
		}
	}
	visit(z)
	if byName && len(ids) == 0 { // a ring of names and of what was said: all of it is one hair
		return all
	}
	return ids
}

// shareHair reports whether any hair lies under both zones.
func (s *State) shareHair(a, b *Zone) bool {
	under := s.hair(b)
	return slices.ContainsFunc(s.hair(a), func(h string) bool { return slices.Contains(under, h) })
}

// SameHair reports whether any hair lies under both zones, by what was said or
// by their names.
func (s *State) SameHair(a, b *Zone) bool { return s.shareHair(a, b) }

// A past is what one piece of hair had before a coat.
type past struct {
	spans   []Span
	earlier time.Duration // in other services of the day
	oldest  time.Time     // first contact of all of it
	most    formula.Percent
}

func (p *past) add(from, to time.Time, strength formula.Percent) {
	p.spans = append(p.spans, Span{From: from, To: to})
	p.since(from, strength)
}

func (p *past) since(from time.Time, strength formula.Percent) {
	if p.oldest.IsZero() || from.Before(p.oldest) {
		p.oldest = from
	}
	p.most = max(p.most, strength)
}

func (p *past) total() time.Duration { return union(p.spans) + p.earlier }

// pastOf is what the hair under a coat of the zone had before its first contact,
// from coats of the same action on the same band, by piece of hair.
//
// Adding up by action (lightening with lightening, colour with colour) is a
// rule of ours: a toner's few minutes are limited by the toner's own window.
func (s *State) pastOf(zone *Zone, c *Coat, first time.Time) map[string]*past {
	byName := c.Action == formula.Lighten
	own := s.liesOn(zone, byName)
	var had map[string]*past
	of := func(h string) *past {
		if had == nil {
			had = map[string]*past{}
		}
		if had[h] == nil {
			had[h] = &past{}
		}
		return had[h]
	}
	for _, z := range s.Zones {
		if z != zone && z.family == zone.family {
			continue // parts of one zone: other pieces, other hair
		}
		for _, o := range z.Coats {
			if o == c || o.Band != c.Band || o.Action != c.Action || !o.First().Before(first) {
				continue
			}
			end := first
			if !o.Off.IsZero() && o.Off.Before(end) {
				end = o.Off
			} else if z.ID == c.Zone {
				continue // still on in the same zone: other pieces, other hair
			}
			for _, h := range s.liesOn(z, byName) {
				if slices.Contains(own, h) {
					of(h).add(o.First(), end, o.Strength)
				}
			}
		}
	}
	if byName && len(s.Earlier) > 0 {
		for _, z := range s.named(zone, own) {
			for _, e := range s.earlierOf(z, c.Band) {
				p := of(z.ID)
				p.earlier += e.Lasted()
				p.since(e.From, e.Strength)
			}
		}
	}
	return had
}

// named are the zones by whose names earlier services tell of the hair under a
// zone: those that it lies on, and itself if it has another name.
func (s *State) named(z *Zone, own []string) (all []*Zone) {
	told := false
	for _, h := range own {
		if o := s.Zone(h); o != nil {
			all = append(all, o)
			told = told || slices.ContainsFunc(z.names, o.goesBy)
		}
	}
	if !told {
		all = append(all, z)
	}
	return all
}

// earlierOf is what the hair that the zone is called by had on a band in
// earlier services of the day: of each service the longest of what it tells
// under any of the zone's names.
func (s *State) earlierOf(z *Zone, b Band) (all []HairHad) {
	if z.OtherHair {
		return nil
	}
	for _, e := range s.Earlier {
		if e.Band != b || e.Action != formula.Lighten || !z.goesBy(LooseName(e.Zone)) {
			continue
		}
		i := slices.IndexFunc(all, func(o HairHad) bool { return o.Service == e.Service })
		if i < 0 {
			all = append(all, e)
		} else if e.Seconds > all[i].Seconds {
			all[i] = e
		}
	}
	return all
}

// carried is the exposure that the hair under a coat had before the coat's
// first contact. Where the hair of several zones lies under the coat, the most
// exposed one counts.
func (s *State) carried(c *Coat) (most time.Duration) {
	first := c.First()
	if first.IsZero() {
		return 0
	}
	for _, p := range s.pastOf(s.Zone(c.Zone), c, first) {
		most = max(most, p.total())
	}
	return most
}

// A Had is what the hair of one band of a zone had of lightener in this visit.
type Had struct {
	Band     Band
	Strength formula.Percent // the strongest
	Lasted   time.Duration   // in all
	From     time.Time       // when it began
}

// HadBefore is the lightener that the hair of the planned bands of a zone has had
// by the moment now, apart from the coats of the zone that are on.
func (s *State) HadBefore(z *Zone, now time.Time) (all []Had) {
	for _, p := range z.Bands {
		had := Had{Band: p.Band}
		for _, h := range s.pastOf(z, &Coat{Zone: z.ID, Band: p.Band, Action: formula.Lighten}, now) {
			if t := h.total(); t > had.Lasted {
				had.Lasted, had.From, had.Strength = t, h.oldest, h.most
			}
		}
		if had.Lasted > 0 {
			all = append(all, had)
		}
	}
	return all
}

// HadUnder is the same of a zone that would be added under a name, planned as
// the zone z is.
func (s *State) HadUnder(name string, z *Zone, now time.Time) []Had {
	add := &Zone{Round: z.Round, Bands: z.Bands, names: []string{LooseName(name)}}
	for _, o := range s.Zones {
		if o.goesBy(add.names[0]) {
			add.namesakes = append(add.namesakes, o.ID)
		}
	}
	return s.HadBefore(add, now)
}

// HasNamesake reports whether the zone is the same hair as another one, or as
// that of an earlier service of the day, by its name alone.
func (s *State) HasNamesake(z *Zone) bool {
	if slices.ContainsFunc(z.namesakes, func(id string) bool { return s.namesake(z, id) != nil }) {
		return true
	}
	return !z.OtherHair && slices.ContainsFunc(s.Earlier, func(h HairHad) bool { return z.goesBy(LooseName(h.Zone)) })
}

// HadToday is what the hair had of lightener in this service by the moment
// now, for a later service of the same client on the same day.
func (s *State) HadToday(now time.Time) (all []HairHad) {
	for _, z := range s.Zones {
		for _, c := range z.Coats {
			if c.Action != formula.Lighten || !c.First().Before(now) {
				continue
			}
			p := past{}
			for _, o := range z.Coats { // all coats of the band, each once
				if o.Action == formula.Lighten && o.Band == c.Band && o.First().Before(now) {
					end := now
					if !o.Off.IsZero() && o.Off.Before(now) {
						end = o.Off
					}
					p.add(o.First(), end, o.Strength)
				}
			}
			for _, b := range s.pastOf(z, &Coat{Zone: z.ID, Band: c.Band, Action: formula.Lighten}, p.oldest) {
				if len(b.spans) > 0 && union(append(slices.Clone(p.spans), b.spans...)) > union(p.spans) {
					p.spans = append(slices.Clone(p.spans), b.spans...)
				}
			}
			for _, n := range z.names {
				if n == LooseName(z.Name) {
					n = z.Name
				}
				all = keepLongest(all, HairHad{
					Service: s.Service, Zone: n, Band: c.Band, Action: formula.Lighten,
					Strength: p.most, From: p.oldest, Seconds: union(p.spans).Round(Precision).Seconds(),
				})
			}
		}
	}
	return s.markStretched(all, now)
}

// markStretched says of which hair a check found that it stays stretched,
// whatever was on it, and adds what is not among all for having had no lightener.
func (s *State) markStretched(all []HairHad, now time.Time) []HairHad {
	for _, z := range s.Zones {
		if _, c := s.mushy(z); c == nil || c.At.After(now) || !z.Started() {
			continue
		}
		for _, n := range z.names {
			if n == LooseName(z.Name) {
				n = z.Name
			}
			told := false
			for i := range all {
				if LooseName(all[i].Zone) == LooseName(n) {
					all[i].Stretched, told = true, true
				}
			}
			for _, c := range z.Coats {
				if first := c.First(); !told && first.Before(now) {
					all = append(all, HairHad{Service: s.Service, Zone: n, Band: c.Band, Action: c.Action, Strength: c.Strength, From: first, Stretched: true})
				}
			}
		}
	}
	return all
}

// keepLongest adds what hair had, or puts it in the place of a shorter one of
// the same name and band.
func keepLongest(all []HairHad, h HairHad) []HairHad {
	i := slices.IndexFunc(all, func(o HairHad) bool { return LooseName(o.Zone) == LooseName(h.Zone) && o.Band == h.Band })
	if i < 0 {
		return append(all, h)
	}
	if h.Seconds > all[i].Seconds {
		all[i] = h
	}
	return all
}

// Lasted is how long the lightener was on.
func (h HairHad) Lasted() time.Duration { return time.Duration(h.Seconds * float64(time.Second)) }

// checkHad checks what an opening tells of earlier services of the day.
func checkHad(h HairHad, now time.Time) error {
	switch {
	case h.Action != formula.Lighten && h.Action != formula.Colour:
		return fmt.Errorf("what the hair had before: say what it was, %s or %s", formula.Lighten, formula.Colour)
	case !inRange(h.Seconds, 0, 24*3600):
		return errors.New("what the hair had before: give 0 to 86400 seconds")
	case !inRange(float64(h.Strength), 0, 100):
		return errors.New("what the hair had before: say the strength of its developer")
	case h.From.After(now) || now.Sub(h.From) > 48*time.Hour:
		return errors.New("what the hair had before: give a moment of the same day")
	}
	return cmp.Or(ident("service", h.Service), named("zone", h.Zone), band(h.Band))
}

// checkOtherHair refuses, without a reason, to say of hair that has product
// that it is other hair than before: its minutes would no longer add up.
func (s *State) checkOtherHair(d PlanChanged) error {
	z, err := s.zone(d.Zone)
	if err != nil || !d.OtherHair || z.OtherHair || !z.Started() {
		return err
	}
	for _, c := range z.Coats {
		if c.Action == formula.Lighten && s.carried(c) > 0 {
			return s.needsReason("other-hair:"+z.ID, "the %s of %s adds up with the hair that had its name before, and no longer would", c.Band, z.Name)
		}
	}
	return nil
}
