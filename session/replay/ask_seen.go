package replay

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"rinseby/session"
	"rinseby/session/formula"
	"rinseby/timing/lift"
)

// check asks how deep a zone is, and if it is not light enough, whether it will
// be.
func (k *asking) check(e session.Event, d session.ZoneChecked) {
	if d.Depth == 0 {
		return
	}
	at := k.before(e)
	s := k.t.At(at).State()
	z := s.Zone(d.Zone)
	if z == nil || !z.Holding() {
		return
	}
	what := strings.TrimSpace(string(d.Band) + " of " + z.Name)
	if d.Band == "" {
		what = z.Name
	}
	seen := Answer{Text: depth(d.Depth), amount: d.Depth, Done: true, Ground: Good, Led: fmt.Sprintf("Seen: %s.", depth(d.Depth))}
	q := Question{At: at, Kind: Check, Zone: z.ID, Text: fmt.Sprintf("How deep is the %s by now, of %d?", what, d.Scale), Options: []Answer{seen}}
	if l, ok := s.Lift(z, at); ok && l.Scale == d.Scale {
		q.Options = append(q.Options, Answer{Text: depth(math.Round(l.Depth)), amount: math.Round(l.Depth), Planner: true, Ground: Bad,
			Led: fmt.Sprintf("The curve said %s ± %s (%s).", depth(l.Depth), depth(l.DepthSD), l.Basis())})
	}
	for _, other := range []float64{d.Depth - 1, d.Depth + 1} {
		if other >= 1 && other <= float64(d.Scale) {
			q.Options = append(q.Options, Answer{Text: depth(other), amount: other, Ground: Bad, Led: seen.Led})
		}
	}
	k.put(q)
	k.makesIt(e, d, what)
}

// depth says a depth to a tenth.
func depth(d float64) string { return strings.TrimSuffix(fmt.Sprintf("%.1f", d), ".0") }

// makesIt asks whether the zone will be light enough.
func (k *asking) makesIt(e session.Event, d session.ZoneChecked, what string) {
	at := k.t.Moment(e.Seq)
	s := k.t.At(at).State()
	z := s.Zone(d.Zone)
	look, ok := s.Lift(z, at)
	if !ok || look.Guess || look.Verdict == lift.Met || d.Band != "" && look.Band != d.Band {
		return
	}
	met, told := k.met(d, k.when[e.Seq], look.Target, look.Scale)
	option := func(text string, yes bool) Answer {
		a := Answer{Text: text, Done: met == yes, Led: "No later check tells."}
		switch {
		case told && met == yes:
			a.Ground = Good
		case told:
			a.Ground = Bad
		}
		if told {
			a.Led = "By the last check it did not."
			if met {
				a.Led = "By a later check it did."
			}
		}
		a.Planner = yes == (look.Verdict == lift.Will)
		if a.Planner {
			a.Led += fmt.Sprintf(" The curve said: %s (%s).", look.Verdict, look.Basis())
		}
		return a
	}
	k.put(Question{At: at, Kind: Check, Zone: z.ID,
		Text:    fmt.Sprintf("Will the %s reach %s by its limit, %s?", what, depth(look.Target), k.t.Clock(at)(look.LimitAt)),
		Options: []Answer{option("No, it will not", false), option("Yes, it will", true)}})
}

// met reports whether a later check of the same coat saw the target, and whether
// there was one.
func (k *asking) met(d session.ZoneChecked, at time.Time, target float64, scale int) (met, told bool) {
	z := k.was.Zone(d.Zone)
	if z == nil {
		return false, false
	}
	for _, c := range z.Checks {
		same := c.Band == d.Band || c.Band == "" || d.Band == ""
		if !c.At.After(at) || c.Depth == 0 || !same || c.Scale != scale || lastContact(k.was, d.Zone, c.At).IsZero() {
			continue
		}
		told = true
		met = met || c.Depth >= target
	}
	return met, told
}

// mix asks how much is mixed.
func (k *asking) mix(e session.Event, d session.BowlMixed) {
	at := k.before(e)
	s := k.t.At(at).State()
	bowl := k.was.Bowl(d.Bowl)
	if bowl == nil {
		return
	}
	total := d.Mix.Total()
	done := Answer{Text: grams(total), amount: total, Done: true, Led: k.used(bowl)}
	q := Question{At: at, Kind: Mix, Text: fmt.Sprintf("How much of %s %s is mixed?", d.Product, formula.Label(bowl.Strength)), Options: []Answer{done}}
	plan, err := s.MixPlan(at, s.Pace(), func(product string) formula.Supply { return supply(s, product, d) }, nil)
	ground := Unknown
	if next, use, ok := plan.NextFor(d.Product, bowl.Strength); err == nil && ok {
		ground = Bad
		told := Answer{Text: grams(next.Grams), amount: next.Grams, Planner: true, Ground: Good,
			Led: fmt.Sprintf("The planner: %d pieces at %.1f ± %.1f g.", next.Pieces, use.Mean, use.SD)}
		if math.Abs(next.Grams-total) <= total/10 { // as good as the same; house rule, no source
			told.Text, told.amount, told.Led = done.Text, total, done.Led+" "+told.Led
			q.Options = nil
			told.Done = true
		}
		q.Options = append(q.Options, told)
	}
	for i := range q.Options {
		if !q.Options[i].Planner {
			q.Options[i].Ground = ground
		}
	}
	for _, other := range []float64{total / 2, total * 3 / 2} {
		q.Options = append(q.Options, Answer{Text: grams(other), amount: other, Ground: ground, Led: done.Led})
	}
	k.put(q)
}

func grams(g float64) string { return fmt.Sprintf("%.0f g", g) }

// supply says how a product is mixed: as the last bowl of it, or as the one
// that is mixed now.
func supply(s *session.State, product string, d session.BowlMixed) formula.Supply {
	sup := formula.Supply{Product: product}
	if product == d.Product {
		sup.Ratio, sup.Life = d.Mix.Ratio(), time.Duration(d.LifeS)*time.Second
	}
	for _, b := range s.Bowls {
		if b.Product == product {
			sup.Ratio, sup.Life = b.Mix.Ratio(), b.Life
		}
	}
	return sup
}

// used is what came of a bowl.
func (k *asking) used(b *session.Bowl) string {
	text := fmt.Sprintf("%d pieces, counted as foils, came from it", b.Pieces)
	if b.LeftGrams != nil {
		text += fmt.Sprintf(", and %.0f g were left", *b.LeftGrams)
	}
	return text + "."
}

// strength asks which strength goes on a zone, before its first piece.
func (k *asking) strength(e session.Event, d session.PiecePlaced) {
	z := k.was.Zone(d.Zone)
	if z == nil || len(z.Placed) == 0 || z.Placed[0].Seq != e.Seq {
		return
	}
	at := k.before(e)
	planned := k.t.At(at).State().Zone(d.Zone)
	if planned == nil {
		return
	}
	over := exposure(k.t.Whole(), z.ID)
	mix := strengths(planned.Bands, math.Inf(1))
	if over.Over == 0 && slices.Contains(k.asked, mix) {
		return
	}
	k.asked = append(k.asked, mix)
	q := Question{At: at, Kind: Strength, Zone: z.ID, Text: fmt.Sprintf("Which strength goes on %s?", z.Name)}
	led, ground := k.came("", []string{z.ID}, func(id string) Exposure { return exposure(k.t.Whole(), id) })
	q.Options = []Answer{{Text: mix, Done: true, Led: led, Ground: ground}}
	for _, step := range []float64{9, 6, 3} { // of the trade; see formula.Label
		text := strengths(planned.Bands, step)
		if text == mix {
			continue
		}
		a, err := WhatIf(k.t, at, Weaker{Zone: z.ID, Strength: formula.Percent(step)}, session.Usuals{})
		if err != nil {
			continue
		}
		o := Answer{Text: text}
		o.Led, o.Ground = k.came("Computed: ", []string{z.ID}, func(id string) Exposure { return a.Outcome(id).Alternative })
		q.Options = append(q.Options, o)
	}
	if i := slices.IndexFunc(q.Options, func(a Answer) bool { return a.Ground == Good }); i >= 0 {
		q.Options[i].Planner = true // the strongest of them
	}
	k.put(q)
}

// strengths are those of bands, none stronger than most.
func strengths(bands []session.PlanBand, most float64) string {
	var all []string
	for _, b := range bands {
		all = append(all, fmt.Sprintf("%s %s", b.Band, formula.Label(formula.Percent(min(float64(b.Strength), most)))))
	}
	return strings.Join(all, ", ")
}
