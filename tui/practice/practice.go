// Package practice is an invented colourist who runs an invented service by
// pressing what the chair says, so that a newcomer sees a whole service in two
// minutes. It goes through the same commands as a person does.
package practice

import (
	"math/rand/v2"
	"time"

	"rinseby/session"
	"rinseby/session/formula"
	"rinseby/session/safety"
)

// A Pilot acts when the time for the next thing has gone by. It is
// deterministic for a seed.
type Pilot struct {
	cat  *formula.Catalogue
	rand *rand.Rand
	// doing is the text of what it is busy with, empty when hands are free; due
	// is when that is done, or was.
	doing string
	due   time.Time
}

// New makes a pilot that takes products and windows from the catalogue.
func New(cat *formula.Catalogue, seed uint64) *Pilot {
	return &Pilot{cat: cat, rand: rand.New(rand.NewPCG(seed, 1))}
}

// Opening is the invented service that practice runs, without its plan: the
// pilot sets that after consulting.
func Opening(steps []session.PlanStep) session.ServiceOpened {
	return session.ServiceOpened{
		Client: "June L.", Stylist: "Ines", Station: "Ferry Stairs, station 2",
		ZoneList: "practice", Steps: steps, Invented: true,
	}
}

// usual is how long the invented colourist takes over a thing. All invented.
func (p *Pilot) usual(l *session.Log, b session.Board) time.Duration {
	a := b.Next
	switch a.Verb {
	case session.DoConsult:
		return 8 * time.Minute
	case session.DoSafety:
		return 2 * time.Minute
	case session.DoMix:
		return 2 * time.Minute
	case session.DoPlace:
		if z := l.State().Zone(a.Zones[0]); z.MinutesPerPiece > 0 {
			return time.Duration(z.MinutesPerPiece * float64(time.Minute))
		}
		return time.Minute
	case session.DoOff:
		rinse := 3 * time.Minute
		for _, z := range b.Zones {
			if z.ID == a.Zones[0] && z.OpensAt.After(b.Now) {
				rinse += z.OpensAt.Sub(b.Now)
			}
		}
		return rinse
	case session.DoReady:
		return 3 * time.Minute
	case session.DoEnd:
		for _, st := range l.State().Steps {
			if st.Running() && st.Usual > 0 {
				return st.Usual
			}
		}
		return 10 * time.Minute
	case session.DoWindow:
		return 20 * time.Second
	}
	return time.Minute
}

// Next answers with what to log at the moment of the board, if anything.
func (p *Pilot) Next(l *session.Log, b session.Board) []session.Command {
	a := b.Next
	if a.Verb == session.DoWait || a.Verb == session.DoNothing {
		p.doing = ""
		return nil
	}
	if a.Text != p.doing {
		// Hands turn to it as soon as they are free of the thing before, even
		// if the last look was later than that.
		begun := b.Now
		if late := b.Now.Sub(p.due); p.doing == "" && late > 0 && late < time.Minute {
			begun = p.due
		}
		p.doing, p.due = a.Text, begun.Add(p.jitter(p.usual(l, b)))
	}
	if b.Now.Before(p.due) {
		return nil
	}
	p.doing = ""
	if len(a.Commands) > 0 {
		return p.checkFirst(l, a)
	}
	return p.answer(l, b)
}

// jitter makes a duration up to a fifth shorter or longer.
func (p *Pilot) jitter(d time.Duration) time.Duration {
	return time.Duration(float64(d) * (0.8 + 0.4*p.rand.Float64()))
}

// checkFirst looks at the hair before it is rinsed.
func (p *Pilot) checkFirst(l *session.Log, a session.Action) []session.Command {
	if a.Verb != session.DoReady {
		return a.Commands
	}
	check := session.ZoneChecked{Zone: a.Zones[0], Depth: 8, Undertone: "yellow-gold", Feel: "springs back"}
	return append([]session.Command{session.Do(check)}, a.Commands...)
}

// answer fills in what the program would ask a person.
func (p *Pilot) answer(l *session.Log, b session.Board) []session.Command {
	a := b.Next
	switch a.Verb {
	case session.DoConsult:
		return []session.Command{session.Do(session.ConsultationNoted{
			NaturalDepth: 6, Undertone: "warm", RegrowthMM: 40, TargetDepth: 9, TargetTone: "cool beige",
			Conditions: map[session.Band]formula.Condition{session.Root: formula.Natural, session.End: formula.Lightened},
			Scalp:      "sound", Note: "Invented for practice.",
		})}
	case session.DoSafety:
		return answers(l.State().Opened, l.State().Rules())
	case session.DoMix:
		return []session.Command{session.Do(p.bowl(*a.Plan))}
	case session.DoFinish:
		return []session.Command{session.Do(session.ServiceClosed{Outcome: "Invented for practice."})}
	case session.DoWindow:
		if row, ok := formula.Match(p.cat.Windows(), *a.Query); ok {
			return []session.Command{session.Do(session.WindowConfirmed{Row: row, Basis: session.BasisStarter})}
		}
	}
	return nil
}

// answers are what an invented client says whom nothing speaks against.
func answers(opened time.Time, rules safety.Rules) (cmds []session.Command) {
	days := max(min(3, rules.TestDays.Value), rules.FewestDays()) // since the skin test
	for _, q := range safety.Questions() {
		a := session.SafetyAnswered{Question: q.ID, Answer: q.Answers[0].Word}
		if q.Kind == safety.Day {
			a.Answer = opened.AddDate(0, 0, -days).Format(time.DateOnly)
		}
		if q.ID == safety.History { // as the consultation finds the ends
			a.Answer = "lightened before"
		}
		cmds = append(cmds, session.Do(a))
	}
	return cmds
}

// bowl mixes 40 g of product at the first ratio that the catalogue allows.
func (p *Pilot) bowl(plan session.PlanBand) session.BowlMixed {
	const grams = 40
	ratio, life := formula.Ratio{Product: 1, Developer: 2}, time.Duration(0)
	if product, ok := p.cat.Product(plan.Product); ok {
		life = product.Life
		if len(product.Ratios) > 0 {
			ratio = product.Ratios[0]
		}
	}
	return session.BowlMixed{
		Product: plan.Product, Family: plan.Kind, LifeS: int(life / time.Second),
		Mix: formula.Mix{
			Products:   []formula.ProductPart{{Product: plan.Product, Grams: grams}},
			Developers: []formula.DeveloperPart{{Strength: plan.Strength, Grams: grams * ratio.Developer / ratio.Product}},
		},
	}
}
