package session

import (
	"fmt"

	"rinseby/session/formula"
)

// checkOtherCoat refuses, without a reason, a bowl of another product or kind
// than is planned: it is another coat, which works for another time.
func (s *State) checkOtherCoat(z *Zone, p *PlanBand, b *Bowl) error {
	if LooseName(b.Product) == LooseName(p.Product) && b.Family == p.Kind {
		return nil
	}
	return s.needsReason("other-coat:"+z.ID+":"+string(p.Band)+":"+b.ID,
		"bowl %s is %s, %s, but the plan for the %s of %s is %s, %s: change the plan, or mix what is planned; it is another coat, with a limit of its own",
		b.ID, b.Product, b.Family, p.Band, z.Name, p.Product, p.Kind)
}

// checkBowlKind refuses, without a reason, a bowl of a planned product as
// another kind of product than the plan has it.
func (s *State) checkBowlKind(d BowlMixed) error {
	var other *PlanBand
	for _, z := range s.Zones {
		for i, p := range z.Bands {
			switch {
			case z.Dropped || LooseName(p.Product) != LooseName(d.Product):
			case p.Kind == d.Family:
				return nil
			default:
				other = &z.Bands[i]
			}
		}
	}
	if other == nil {
		return nil
	}
	return s.needsReason("bowl-kind:"+d.Bowl, "bowl %s is said to be %s, but the plan has %s as %s: correct the kind, or change the plan",
		d.Bowl, d.Family, other.Product, other.Kind)
}

// checkRatio refuses a mix outside the ratios that the catalogue has for the
// product, unless it is said to be meant. Of a mix within them nothing is kept.
func checkRatio(d BowlMixed) (BowlMixed, error) {
	ratio := d.Mix.Ratio()
	if d.RatioRange == "" || ratio == (formula.Ratio{}) {
		d.RatioRange, d.RatioOutside = "", false
		return d, nil
	}
	span, err := formula.ParseRatioRange(d.RatioRange)
	switch {
	case err != nil:
		return d, err
	case span.Has(ratio):
		d.RatioRange, d.RatioOutside = "", false
	case !d.RatioOutside:
		return d, fmt.Errorf("bowl %s is mixed %s, and the catalogue has %s for %s: keep to that, or say that it is meant (ratio_outside)",
			d.Bowl, ratio.Short(), span, d.Product)
	default:
		d.RatioRange = span.String()
	}
	return d, nil
}
