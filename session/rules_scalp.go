package session

import (
	"fmt"
	"slices"

	"rinseby/session/formula"
)

// checkNotForScalp refuses a product at the scalp that is not for it.
func checkNotForScalp(product string, k formula.Kind, c formula.Contact) error {
	if c != formula.OnScalp || !formula.NotForScalp(k) {
		return nil
	}
	return fmt.Errorf("%s is %s, which is not for the scalp: plan it off the scalp, or take another product for the scalp", product, k)
}

// checkKeptOff refuses at the scalp a bowl of a product that the catalogue keeps
// off it.
func checkKeptOff(b *Bowl, c formula.Contact) error {
	if c != formula.OnScalp || !b.OffScalp {
		return checkNotForScalp(b.Product, b.Family, c)
	}
	return fmt.Errorf("bowl %s is %s, which is not for the scalp, as the catalogue says: plan it off the scalp, or take another product for the scalp", b.ID, b.Product)
}

// ForScalp is the strongest lightener of the product that the catalogue has
// for the scalp: by the starter rows, and by the rows of a catalogue that were
// confirmed in this service. It is false if there is none.
func (s *State) ForScalp(product string, k formula.Kind) (formula.Percent, bool) {
	rows := formula.Starter().Windows()
	for i, r := range s.Windows {
		if s.WindowBasis[i] == BasisStarter {
			rows = append(rows, r)
		}
	}
	return formula.StrongestForScalp(rows, product, k)
}

// NeedsScalpWord reports whether lightener at the scalp is stronger than the
// catalogue has for it, so that only the product's own instructions allow it.
func (s *State) NeedsScalpWord(q formula.Query) bool {
	if q.Contact != formula.OnScalp || !formula.Bleaches(q.Kind) {
		return false
	}
	most, ok := s.ForScalp(q.Product, q.Kind)
	return !ok || !notAbove(q.Strength, most)
}

// scalpWord reports whether a typed window that serves says that the product's
// instructions allow it at the scalp.
func (s *State) scalpWord(q formula.Query) bool {
	for i, r := range s.Windows {
		if r.Heat = formula.AnyHeat; s.WindowScalp[i] {
			if _, ok := formula.Match([]formula.Row{r}, q); ok {
				return true
			}
		}
	}
	return false
}

// lacks is what is missing before what is asked for may touch hair: a window,
// or the word of the instructions that it may go to the scalp. It is nil if
// nothing is.
func (s *State) lacks(q formula.Query, zone string, b Band) *ErrNoWindow {
	if _, ok := formula.Match(s.Windows, q); !ok {
		return &ErrNoWindow{Query: q, Zone: zone, Band: b}
	}
	if !s.NeedsScalpWord(q) || s.scalpWord(q) {
		return nil
	}
	return &ErrNoWindow{Query: q, Zone: zone, Band: b, Why: s.tooStrongForScalp(q, zone, b)}
}

func (s *State) tooStrongForScalp(q formula.Query, zone string, b Band) string {
	than := "there is none in the catalogue for the scalp"
	if most, ok := s.ForScalp(q.Product, q.Kind); ok {
		than = fmt.Sprintf("the catalogue has up to %s for the scalp", formula.Label(most))
	}
	return fmt.Sprintf("%s at %s is planned on the scalp, on the %s of %s, and %s", q.Product, formula.Label(q.Strength), b, zone, than)
}

// nearScalp reports whether what is on a band is lightener at the scalp, or so
// near it that foil brings its heat there.
func nearScalp(q formula.Query, b Band) bool {
	return q.Kind.Action() == formula.Lighten && (b == Root || q.Contact == formula.OnScalp)
}

// checkHeatNear refuses heat on lightener near the scalp, unless a window that
// was confirmed is for use under heat, and a reason was typed. House rule, on
// case reports of burns: full-thickness, 2.8 × 3.7 cm, foil overheated by a
// dryer (Peters 2000, its abstract quoted elsewhere); third-degree, two
// teenagers, one after 5 minutes under a heat lamp in foils (abstract, burn
// conference report); lightening with a heat source (abstract, Bouschon 2018).
// The reason is given for the zone that heat is put on, or that is coated
// under heat.
func (s *State) checkHeatNear(by, z *Zone, b Band, q formula.Query) error {
	if !nearScalp(q, b) {
		return nil
	}
	const burns = "heat on lightener near the scalp has burned it: 2.8 by 3.7 cm, full depth, in foil under a dryer (Peters 2000)"
	q.Heat = true
	names := slices.ContainsFunc(s.Windows, func(r formula.Row) bool {
		_, ok := formula.Match([]formula.Row{r}, q)
		return ok && r.Heat == formula.WithHeat
	})
	if !names {
		return &ErrNoWindow{Query: q, Zone: z.Name, Band: b, Why: burns + ". " +
			fmt.Sprintf("No time under heat is known for %s on the %s of %s: no heat, unless its instructions name it", q.Product, b, z.Name)}
	}
	return s.needsReason("heat-scalp:"+by.ID, "%s, and %s has lightener near the scalp: leave the heat off", burns, z.Name)
}

// checkHeated is the same for all that is on the hair of a zone.
func (s *State) checkHeated(z *Zone) error {
	for _, o := range s.Zones {
		if o != z && !s.shareHair(o, z) {
			continue
		}
		for _, c := range o.Coats {
			if !c.Off.IsZero() {
				continue
			}
			for _, q := range c.judged() {
				if err := s.checkHeatNear(z, o, c.Band, q); err != nil {
					return err
				}
			}
		}
	}
	return nil
}

// heatedNow reports whether heat is on the hair of a zone.
func (s *State) heatedNow(z *Zone) bool {
	return slices.ContainsFunc(s.Zones, func(o *Zone) bool { return o.Heated() && (o == z || s.shareHair(o, z)) })
}
