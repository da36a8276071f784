package card

import (
	"cmp"
	"fmt"
	"strings"

	"rinseby/session"
	"rinseby/session/safety"
)

func (c Card) safetySection() section {
	s := section{title: "Safety answers"}
	for _, a := range c.Safety {
		asked := cmp.Or(a.Asked, a.Question)
		if !strings.HasSuffix(asked, "?") {
			asked += ":"
		}
		line := fmt.Sprintf("%s %s (%s)", asked, a.Answer, a.follows())
		if a.Reason != "" {
			line += ", gone on with: " + a.Reason
		}
		if a.Replaced {
			line += "; another answer took its place later"
		}
		s.add("%s", line)
	}
	for _, w := range c.Warnings {
		if overrules(w.Warning) {
			s.add("%s", c.warning(w))
		}
	}
	return s
}

// follows says what followed from an answer, and why if it was not to go on.
func (a Answer) follows() string {
	d := session.SafetyAnswered{MaxStrength: a.MaxStrength, OffScalp: a.OffScalp, Hair: a.Hair}
	switch {
	case a.Outcome == safety.GoOn:
		return string(a.Outcome)
	case a.Outcome == safety.Capped:
		return fmt.Sprintf("%s: %s", a.Outcome, d.Cap())
	case a.Until != "":
		return fmt.Sprintf("%s, until %s is passed: %s", a.Outcome, a.Until, a.Why)
	}
	return fmt.Sprintf("%s: %s", a.Outcome, a.Why)
}

func (c Card) painSection() section {
	s := section{title: "Pain"}
	for _, p := range c.Pains {
		line := c.clock(&p.At) + ", pain or burning"
		if p.Zone != "" {
			line += ", " + c.zoneName(p.Zone)
		}
		if p.Text != "" {
			line += ": " + p.Text
		}
		if p.Cleared == nil {
			s.add("%s; not cleared; %s so far", line, p.water())
			continue
		}
		decided := "the colour work ended"
		if p.GoesOn != nil && *p.GoesOn {
			decided = "the work went on"
		}
		s.add("%s; %s; %s, found: %s; decided: %s", line, p.water(), c.clock(p.Cleared), p.Note, decided)
	}
	return s
}

// water says how long cool water ran, in whole minutes that were full.
func (p Pain) water() string {
	text := fmt.Sprintf("cool water for %d of at least %d min", p.WaterS/60, int(session.CoolWater.Minutes()))
	if p.Early != "" {
		text += ", no longer because: " + p.Early
	}
	return text
}
