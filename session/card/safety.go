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
	c.addRules(&s)
	for _, a := range c.Safety {
		asked := cmp.Or(a.Asked, a.Question)
		if !strings.HasSuffix(asked, "?") {
			asked += ":"
		}
		line := fmt.Sprintf("%s %s (%s)", asked, safety.Said(a.Question, a.Answer), a.follows())
		if a.Reason != "" {
			line += ", gone on with: " + a.Reason
		}
		line += a.besides()
		s.add("%s", line)
	}
	for _, w := range c.Warnings {
		if overrules(w.Warning) {
			s.add("%s", c.warning(w))
		}
	}
	return s
}

// addRules tells by which region's figures answers were judged.
func (c Card) addRules(s *section) {
	if r := c.Rules; r.SkinTestHours > 0 {
		where := string(r.Region)
		if r.Region == safety.AnyRegion {
			where = "none set, so the strictest"
		}
		s.add("Rules of the region: %s. Mix: at most %v peroxide (%s). Skin test: at least %d hours before (%s), good for %d days (%s). Emergency: %s",
			where, r.PeroxideMax, r.PeroxideFrom, r.SkinTestHours, r.HoursFrom, r.SkinTestDays, r.DaysFrom, r.Emergency)
		if r.Looser != "" {
			s.add("%s", r.Looser)
		}
	}
}

// besides is all that was typed to an answer but its reason, and whether it
// counts.
func (a Answer) besides() (text string) {
	if a.Note != "" {
		text += "; what it is: " + a.Note
	}
	if a.TestedOn != "" {
		text += "; tested " + a.TestedOn
	}
	clearance := safety.Clearance{Dye: a.ClearedDye, By: a.ClearedBy, Seen: a.ClearedOn}
	if clearance.Given() {
		text += "; " + clearance.String()
	}
	if a.Lifted != "" && a.Lifted != clearance.String() {
		text += "; it went on, as " + a.Lifted
	}
	if a.Mistake != "" {
		text += "; the answer before it was a mistake: " + a.Mistake
	}
	switch {
	case a.Beside:
		text += "; it does not count, as the stop before it stands"
	case a.Replaced:
		text += "; another answer took its place later"
	}
	return text
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
	s := section{title: "Pain and reactions"}
	for _, p := range c.Pains {
		s.add("%s", c.reaction(p))
	}
	for _, a := range c.Asked {
		if a.When == session.AskLeaving || a.When == session.AskLater {
			s.add("%s, %s", c.clock(&a.At), session.ReactionNoted{When: a.When, How: a.How, Reaction: a.Reaction, Note: a.Note}.Says())
		}
	}
	if len(c.Pains) > 0 {
		s.add("Ask again the next day: %s.", session.AskAgain)
	}
	return s
}

// reaction says which reaction it was, when, what was done, when all was off, how
// long water ran, and what was found.
func (c Card) reaction(p Pain) string {
	line := c.clock(&p.At) + ", " + session.Pain{Reaction: p.Reaction, Severe: p.Severe, Look: p.Mild, Again: p.Again}.Said()
	if p.Zone != "" {
		line += ", " + c.zoneName(p.Zone)
	}
	if p.Text != "" {
		line += ": " + p.Text
	}
	parts := []string{line}
	if p.Looked != nil {
		found := "gone"
		if p.Again {
			found = "still there: taken off"
		}
		parts = append(parts, c.clock(p.Looked)+", looked at again: "+found)
	}
	if p.Helped != nil {
		parts = append(parts, c.clock(p.Helped)+", help had come")
	}
	if p.Off != nil && (!p.Mild || p.Again) && p.Reaction != session.InEye {
		parts = append(parts, "all off at "+c.clock(p.Off))
	}
	water := p.water()
	if p.Cleared == nil {
		parts = append(parts, "not cleared")
		if water != "" {
			parts = append(parts, water+" so far")
		}
		return strings.Join(parts, "; ")
	}
	decided := "the colour work ended"
	if p.GoesOn != nil && *p.GoesOn {
		decided = "the work went on"
	}
	if water != "" {
		parts = append(parts, water)
	}
	if p.Note != "" {
		parts = append(parts, c.clock(p.Cleared)+", found: "+p.Note)
	}
	return strings.Join(append(parts, "decided: "+decided), "; ")
}

// water says how long water ran, in whole minutes that were full; empty where no
// time is set.
func (p Pain) water() string {
	if (session.Pain{Reaction: p.Reaction, Severe: p.Severe, Again: p.Again}).Needs() == 0 {
		return ""
	}
	text := fmt.Sprintf("cool water for %d of at least %d min", p.WaterS/60, int(session.CoolWater.Minutes()))
	if p.Reaction == session.InEye {
		text = fmt.Sprintf("water over the eye for %d of at least %d min", p.WaterS/60, int(session.CoolWater.Minutes()))
	}
	if p.Early != "" {
		text += ", no longer because: " + p.Early
	}
	return text
}
