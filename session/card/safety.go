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
			s.add("%s; not cleared", line)
		} else {
			s.add("%s; %s, found: %s", line, c.clock(p.Cleared), p.Note)
		}
	}
	return s
}
