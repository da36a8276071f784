package session

import (
	"fmt"
	"time"

	"rinseby/session/formula"
	"rinseby/session/safety"
)

// checkCaps refuses, without a reason, what is over a cap: developer that is
// too strong, or product on the scalp. The zone is nil for a bowl.
func (s *State) checkCaps(q formula.Query, at time.Time, z *Zone, band Band) error {
	for _, g := range s.Verdict(at).Caps {
		for _, b := range breaches(g, q) {
			if err := s.needsReason(b.key, "%s", b.says("This", z, band)); err != nil {
				return err
			}
		}
	}
	return nil
}

// A breach is how something goes over a cap. The key is that of the warning
// whose reason allows it.
type breach struct {
	key, cap string
	query    formula.Query
	scalp    bool // it is on the scalp; else it is too strong
}

func breaches(g safety.Given, q formula.Query) (bs []breach) {
	capped := fmt.Sprintf("%s: %v", safety.Head(g.Question, g.Answer), g.Cap)
	if g.Cap.TooStrong(q.Strength, q.Condition) {
		key := fmt.Sprintf("safety-cap:%s:%g:%g", g.Question, g.Cap.Max.Nominal(), q.Strength.Nominal())
		bs = append(bs, breach{key: key, cap: capped, query: q})
	}
	if g.Cap.TooClose(q.Contact, q.Condition) {
		bs = append(bs, breach{key: "safety-scalp:" + g.Question, cap: capped, query: q, scalp: true})
	}
	return bs
}

// says is the cap and how it would be broken, without the last full stop: by
// what, in which zone, which is nil for a bowl.
func (b breach) says(what string, z *Zone, band Band) string {
	strong := fmt.Sprintf("%s at %s", b.query.Product, formula.Label(b.query.Strength))
	switch {
	case z == nil:
		return fmt.Sprintf("%s. %s is %s", b.cap, what, strong)
	case b.scalp:
		return fmt.Sprintf("%s. %s puts %s on the scalp at %s", b.cap, what, b.query.Product, z.Name)
	}
	return fmt.Sprintf("%s. %s puts %s on the %s of %s", b.cap, what, strong, band, z.Name)
}

// A planBreach is a breach of what is planned for a band of a zone and is still
// to come.
type planBreach struct {
	breach
	zone *Zone
	band Band
}

func (p planBreach) says() string { return p.breach.says("The plan", p.zone, p.band) }

// planBreaches are those of the caps for which no reason was given, in the order of the
// zones; of each cap the first.
func (s *State) planBreaches(caps []safety.Given) (all []planBreach) {
	seen := map[string]bool{}
	for _, z := range s.Zones {
		for _, p := range z.Bands {
			if z.Over() || z.Full() && !p.Later {
				continue
			}
			q := formula.Query{Product: p.Product, Kind: p.Kind, Strength: p.Strength, Hair: formula.Hair{Contact: p.Contact, Condition: p.Condition}}
			for _, g := range caps {
				for _, b := range breaches(g, q) {
					if !seen[b.key] && !s.reasoned(b.key) {
						seen[b.key] = true
						all = append(all, planBreach{b, z, p.Band})
					}
				}
			}
		}
	}
	return all
}

// nextCaps has a plan changed that goes over a cap, before anything is washed
// or mixed for it. While product is on, a later round can wait.
func (s *State) nextCaps(b *Board) (Action, bool) {
	busy := s.holding()
	for _, p := range s.planBreaches(b.verdict.Caps) {
		if busy && !p.zone.Started() {
			continue
		}
		return Action{Verb: DoPlan, Text: "Change the plan: " + p.zone.Name, Why: p.says() + ".", Zones: []string{p.zone.ID}}, true
	}
	return Action{}, false
}

// capWarnings tell how the plan goes over caps. A reason passes them.
func (s *State) capWarnings(b *Board) (ws []Warning) {
	if s.Ended() || !s.Closed.IsZero() {
		return nil
	}
	for _, p := range s.planBreaches(b.verdict.Caps) {
		ws = append(ws, Warning{Key: p.key, Level: Alert, Zone: p.zone.ID, At: b.Now, Text: p.says(), Reason: true})
	}
	return ws
}
