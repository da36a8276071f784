package session

import (
	"time"

	"rinseby/session/formula"
)

// UsedBowl is a bowl that was put away with what was left in it, and the hair
// that it was used on: what it tells of the stylist's own use.
type UsedBowl struct {
	Product string
	Strand  formula.Strand
	Bands   []string
	formula.ClosedBowl
}

// house is the use, by the house figure, on the hair that the bowl was for.
func (u UsedBowl) house() (formula.Use, error) { return formula.HouseUse(u.Strand, u.Bands...) }

// Strand is the hair as it was noted at the consultation; of middle length and
// density as far as it was not.
func (s *State) Strand() formula.Strand {
	length, _ := formula.ParseLength("medium") // a word that it knows
	st := formula.Strand{LengthMM: length, Density: formula.MediumDensity}
	if c := s.Consultation; c != nil {
		if c.LengthMM > 0 {
			st.LengthMM = c.LengthMM
		}
		if c.Density != "" {
			st.Density = c.Density
		}
		st.RegrowthMM = min(c.RegrowthMM, st.LengthMM)
	}
	return st
}

// UsedBowls lists the bowls of this service that tell of the stylist's use:
// those that were emptied with the grams left noted.
func (s *State) UsedBowls() []UsedBowl {
	var used []UsedBowl
	for _, b := range s.Bowls {
		if b.Emptied.IsZero() || b.LeftGrams == nil || b.Pieces == 0 {
			continue
		}
		used = append(used, UsedBowl{
			Product: b.Product, Strand: s.Strand(), Bands: bandNames(b.Bands),
			ClosedBowl: formula.ClosedBowl{MixedGrams: b.Mix.Total(), LeftGrams: *b.LeftGrams, Pieces: b.Pieces},
		})
	}
	return used
}

// Use is what one piece takes of a product on the bands, from the house figure
// and the bowls that tell.
func (s *State) Use(product string, bands []Band, bowls []UsedBowl) (formula.Use, error) {
	strand := s.Strand()
	house, err := formula.HouseUse(strand, bandNames(bands)...)
	use := house
	for _, u := range bowls {
		if err != nil || u.Product != product {
			continue
		}
		was, bad := u.house()
		if bad != nil {
			continue // on hair that nothing is known of
		}
		use, err = use.After(u.On(was, house))
	}
	return use, err
}

// A MixPlan is the bowls that are still to be mixed in the round under way.
type MixPlan struct {
	formula.Schedule
	From time.Time     // the moment that the schedule counts from
	Each []formula.Use // of one piece, for each need
}

// leastBowl is the grams of the smallest bowl that is planned, product and
// developer together. Common practice, no source: less can be neither weighed
// well on a scale that shows whole grams nor stirred smooth.
const leastBowl = 15

// MixPlan plans the bowls for the pieces that are still to come in the round
// under way, at the pace. Supplies say how each product is mixed; earlier are
// bowls of earlier services. It is empty when nothing is to come or the pace
// is not known.
func (s *State) MixPlan(now time.Time, pace time.Duration, supply func(product string) formula.Supply, earlier []UsedBowl) (MixPlan, error) {
	plan := MixPlan{From: now}
	bowls := append(s.UsedBowls(), earlier...)
	order := formula.Order{Least: leastBowl}
	start := now
	known := s.ahead(now, pace, func(z *Zone, until time.Time) bool {
		err := s.need(&order, &plan, z, start.Sub(now), until.Sub(start), bowls)
		start = until
		return err == nil
	})
	if !known || len(order.Needs) == 0 {
		return MixPlan{From: now}, nil
	}
	seen := map[string]bool{}
	for _, n := range order.Needs {
		if !seen[n.Product] {
			seen[n.Product] = true
			order.Supplies = append(order.Supplies, supply(n.Product))
		}
	}
	order.Open = s.openBowls(now, bowls)
	var err error
	plan.Schedule, err = order.Schedule()
	return plan, err
}

// need adds what the pieces of a zone that are to come take: one need for each
// mix that goes on them.
func (s *State) need(order *formula.Order, plan *MixPlan, z *Zone, start, takes time.Duration, bowls []UsedBowl) error {
	scale := s.pieceScale(z)
	if scale == 0 {
		return nil
	}
	left := (z.Pieces - z.Done()) * scale
	for i, p := range z.Bands {
		var bands []Band
		for j, o := range z.Bands {
			if o.Product != p.Product || !same(o.Strength, p.Strength) || o.Later != p.Later {
				continue
			}
			if j < i {
				bands = nil
				break // counted with the band before
			}
			bands = append(bands, o.Band)
		}
		if len(bands) == 0 || p.Later {
			continue
		}
		use, err := s.Use(p.Product, bands, bowls)
		if err != nil {
			return err
		}
		grams, _ := use.Total(left)
		order.Needs = append(order.Needs, formula.Need{
			Product: p.Product, Strength: p.Strength, Start: start, Duration: takes, Pieces: left, Grams: grams,
		})
		plan.Each = append(plan.Each, use)
	}
	return nil
}

// pieceScale is how many pieces of the house figure, which is for a foil, one
// piece of the zone stands for: one, or for a zone that lies on the hair of
// others, such as a toner over all foils, its share of theirs. It is zero if
// nothing tells: colour on hair that was not counted in pieces.
func (s *State) pieceScale(z *Zone) int {
	if len(z.SameHairAs) == 0 {
		if r := s.Round(z.Round); r != nil && r.Action == formula.Colour {
			return 0
		}
		return 1
	}
	under := 0
	for _, id := range s.saidHair(z) {
		if o := s.Zone(id); o != nil {
			under += o.Pieces
		}
	}
	own := max(z.Pieces, 1)
	return max((under+own/2)/own, 1)
}

// keptBowl is the age after which a bowl is no bowl in use any more, whoever
// forgot to note that it was put away: no mix works for a day.
const keptBowl = 24 * time.Hour

// openBowls are the bowls in use with what should be left in them.
func (s *State) openBowls(now time.Time, bowls []UsedBowl) []formula.OpenBowl {
	var open []formula.OpenBowl
	for _, b := range s.Bowls {
		if !b.Emptied.IsZero() || !s.wanted(b) || now.Sub(b.Mixed) > keptBowl {
			continue
		}
		left := b.Mix.Total()
		if b.Pieces > 0 {
			if use, err := s.Use(b.Product, b.Bands, bowls); err == nil {
				left -= use.Mean * float64(b.Pieces)
			}
		}
		if left > 0 {
			open = append(open, formula.OpenBowl{
				ID: b.ID, Product: b.Product, Strength: b.Strength, Age: now.Sub(b.Mixed), Life: b.Life, Grams: left,
			})
		}
	}
	return open
}

// NextFor returns the next bowl to be mixed of a product at a strength.
func (p MixPlan) NextFor(product string, strength formula.Percent) (formula.PlannedBowl, formula.Use, bool) {
	for _, b := range p.Bowls {
		if b.ID == "" && b.Product == product && same(b.Strength, strength) && len(b.Covers) > 0 {
			return b, p.Each[b.Covers[0].Need], true
		}
	}
	return formula.PlannedBowl{}, formula.Use{}, false
}

func bandNames(bands []Band) []string {
	names := make([]string, len(bands))
	for i, b := range bands {
		names[i] = string(b)
	}
	return names
}
