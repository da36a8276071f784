package tui

import (
	"fmt"
	"slices"

	"rinseby/session"
	"rinseby/session/formula"
	"rinseby/tui/clean"
	"rinseby/tui/form"
)

// mixPlan plans the bowls that are still to be mixed, as seen from the board.
func (a *App) mixPlan(b session.Board) (session.MixPlan, error) {
	return a.log.State().MixPlan(b.Now, b.Pace, a.supply, a.used)
}

// supply says how a product is mixed: as the catalogue has it, at its first
// ratio, or else as the last bowl of it was mixed.
func (a *App) supply(product string) formula.Supply {
	s := formula.Supply{Product: product}
	if p, ok := a.o.Catalogue.Product(product); ok {
		s.Life, s.PricePer100g = p.Life, p.PricePer100g
		if len(p.Ratios) > 0 {
			s.Ratio = p.Ratios[0]
		}
	}
	for _, b := range a.log.State().Bowls {
		if b.Product == product {
			s.Ratio = b.Mix.Ratio()
		}
	}
	return s
}

// bowlForm asks for a bowl of what is planned, and offers what the rest of the
// round takes of it.
func (a *App) bowlForm(p session.PlanBand) *form.Form {
	advice := slices.Concat(a.limitAdvice(p), a.capAdvice(p), a.hadAdvice(p))
	law := a.log.State().Rules().Law()
	plan, err := a.mixPlan(a.refresh())
	if err != nil {
		return form.Bowl(a.o.Theme, p, a.o.Catalogue, 0, append(advice, err.Error()), law)
	}
	bowl, use, ok := plan.NextFor(p.Product, p.Strength)
	if !ok {
		return form.Bowl(a.o.Theme, p, a.o.Catalogue, 0, advice, law)
	}
	own := "the house figure, no source; note what is left in each bowl, and your own use takes over"
	if use.Bowls > 0 {
		own = fmt.Sprintf("from %d bowls of your own", use.Bowls)
	}
	all := fmt.Sprintf("%.0f g in all", bowl.Grams)
	if bowl.Spare > bowl.Grams/4 {
		all += fmt.Sprintf(" (they take %.0f g; less can't be mixed well)", bowl.Grams-bowl.Spare)
	}
	return form.Bowl(a.o.Theme, p, a.o.Catalogue, bowl.ProductGrams, append(
		[]string{fmt.Sprintf("For %d pieces: %s, %.1f ± %.1f g a piece (%s).", bowl.Pieces, all, use.Mean, use.SD, own)}, advice...), law)
}

// limitAdvice tells where a bowl goes by the limit of a stronger developer,
// since that was the next one that was said.
func (a *App) limitAdvice(p session.PlanBand) []string {
	row, ok := formula.Match(a.log.State().Windows, formula.Query{
		Product: p.Product, Kind: p.Kind, Strength: p.Strength, Hair: formula.Hair{Contact: p.Contact, Condition: p.Condition}})
	if !ok || !row.ForStronger(p.Strength) {
		return nil
	}
	return []string{fmt.Sprintf("Off after %.0f min at the latest: the limit for %s, since none was said for %s.",
		row.Window.Limit.Minutes(), formula.Label(row.Strength), formula.Label(p.Strength))}
}

// had says what lightener the hair of a zone has had in this visit; with a name
// it is that of a zone of that name, planned as the zone is.
func (a *App) had(z *session.Zone, name string) (lines []string) {
	s := a.log.State()
	now := s.Line.Now(a.now)
	had := s.HadBefore(z, now)
	if name != "" {
		had = s.HadUnder(name, z, now)
	} else {
		name = z.Name
	}
	for _, h := range had {
		lines = append(lines, fmt.Sprintf("%s, %s: had %.0f min of %s at %s in this visit.",
			clean.Text(name), h.Band, h.Lasted.Minutes(), formula.Label(h.Strength), a.clock(h.From)))
	}
	return lines
}

// hadAdvice tells of what is to be coated with it and had lightener before.
func (a *App) hadAdvice(p session.PlanBand) (lines []string) {
	if p.Kind.Action() != formula.Lighten {
		return nil
	}
	for _, z := range a.log.State().Zones {
		if b := z.Band(p.Band); !z.Over() && b != nil && b.Product == p.Product {
			lines = append(lines, a.had(z, "")...)
		}
	}
	return lines[:min(len(lines), 3)]
}

// capAdvice tells of a cap that the bowl is stronger than, as it is for hair that
// the cap does not hold for.
func (a *App) capAdvice(p session.PlanBand) (lines []string) {
	s := a.log.State()
	for _, g := range s.Verdict(s.Line.Now(a.now)).Caps {
		if c := g.Cap; c.Max > 0 && !p.Strength.Nominal().AtMost(c.Max.Nominal()) && !c.TooStrong(p.Strength, p.Condition) {
			lines = append(lines, fmt.Sprintf("By the safety answers: %v. This bowl is planned for %s hair.", c, p.Condition))
		}
	}
	return lines
}

// nextBowl says when the next bowl is to be mixed, and what goes into it;
// nothing while pain is open.
func (a *App) nextBowl(b session.Board) string {
	if !b.Pain.IsZero() || b.Next.Verb == session.DoFinish { // nothing more is to be mixed
		return ""
	}
	plan, err := a.mixPlan(b)
	if err != nil {
		return err.Error()
	}
	for _, bowl := range plan.Bowls {
		if bowl.ID != "" {
			continue
		}
		text := "next bowl " + a.clock(plan.From.Add(bowl.MixAt)) + ": "
		r := formula.Recipe{Product: bowl.Product, Ratio: a.supply(bowl.Product).Ratio, Liquid: []formula.Part{{Strength: bowl.Strength, Amount: 1}}}
		if r.Ratio == (formula.Ratio{}) {
			r.Liquid = nil
		}
		mix, err := r.Mix(bowl.ProductGrams)
		if err != nil {
			return text + err.Error()
		}
		return text + formula.Weigh(mix, formula.Gram)
	}
	return ""
}
