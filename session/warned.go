package session

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"rinseby/session/formula"
	"rinseby/session/safety"
)

// Warned says in words what the warning with the key is about. A key that is
// not known is a warning, without more.
func (s *State) Warned(key string) string {
	kind, about, _ := strings.Cut(key, ":")
	parts := strings.Split(about, ":")
	switch kind {
	case "gap":
		return "the computer was off, or its clock was moved"
	case "pain":
		return "pain or burning"
	case "itch":
		return "an itch that is looked at again"
	case "doubt":
		return "two answers about the hair's history disagree"
	case "floor", "other":
		return "another client needs the same hands"
	case "stale", "stale-soon", "over-cap", "bowl-kind":
		return s.warnedOfBowl(kind, about)
	case "safety-cap":
		if len(parts) == 3 {
			return fmt.Sprintf("%s: %s where %s is the most", s.headOf(parts[0]), strength(parts[2]), strength(parts[1]))
		}
	case "safety-scalp":
		return s.headOf(about) + ": product on the scalp"
	case "stopped":
		return "what was on had to come off by an answer: " + questionText(about)
	case "longer-limit":
		return "a longer limit for " + strings.ReplaceAll(about, ":", " ")
	}
	return s.warnedOfZone(kind, parts)
}

// headOf is the last answer to the question that set a cap, in a few words.
func (s *State) headOf(question string) string {
	for _, a := range slices.Backward(s.Safety) {
		if a.Question == question && a.Outcome == safety.Capped {
			return safety.Head(question, a.Answer)
		}
	}
	return questionText(question)
}

// questionText is the question as it is asked.
func questionText(id string) string {
	if q, ok := safety.Find(id); ok {
		return q.Text
	}
	return "a safety question"
}

// strength is what a key says in %, as the trade names it.
func strength(text string) string {
	f, err := strconv.ParseFloat(text, 64)
	if err != nil {
		return "a stronger developer"
	}
	return formula.Label(formula.Percent(f))
}

var warnedZones = map[string]string{
	"over":       "over its limit",
	"closing":    "near its limit",
	"ahead":      "will go over its limit at this pace",
	"never-open": "its newest piece is not open before its oldest is at the limit",
	"no-limit":   "its limit is not known",
	"heat-over":  "over its limit at once under heat",
	"collision":  "no plan keeps its limit",
	"used-up":    "had its whole limit already",
	"mushy":      "the hair stays stretched",
	"weak":       "the hair is weakened",
	"heat-scalp": "heat on lightener near the scalp",
	"other-coat": "another product or kind than planned",
	"other-hair": "said to be other hair than what had its name before",
}

var warnedBowls = map[string]string{
	"stale":      "past its working life",
	"stale-soon": "near the end of its working life",
	"over-cap":   "over the legal cap on peroxide",
	"bowl-kind":  "of another kind than planned",
}

func (s *State) warnedOfZone(kind string, about []string) string {
	what, z := warnedZones[kind], s.Zone(about[0])
	switch {
	case what == "":
		return "a warning"
	case z == nil:
		return "a zone, " + what
	case len(about) > 1 && Band(about[1]).Valid():
		return fmt.Sprintf("%s, %s: %s", z.Name, about[1], what)
	case len(about) > 1 && about[1] != about[0] && s.Zone(about[1]) != nil:
		return fmt.Sprintf("%s, %s, behind %s", z.Name, what, s.Zone(about[1]).Name)
	}
	return z.Name + ", " + what
}

func (s *State) warnedOfBowl(kind, id string) string {
	bowl := "a bowl"
	if b := s.Bowl(id); b != nil {
		bowl = fmt.Sprintf("bowl %s (%s %s)", b.ID, b.Product, formula.Label(b.Strength))
	}
	return bowl + ", " + warnedBowls[kind]
}

// passed are the kinds of warnings whose reason lets pass what is refused
// without one.
var passed = map[string]bool{
	"safety-cap": true, "safety-scalp": true, "used-up": true, "heat-over": true, "longer-limit": true, "mushy": true, "weak": true,
	"heat-scalp": true, "other-coat": true, "other-hair": true, "bowl-kind": true,
}

// Reasons are the reasons that can be picked to pass the warning with the key;
// none where one has to be typed.
func (s *State) Reasons(key string) []string {
	kind, about, _ := strings.Cut(key, ":")
	if kind != "safety-cap" && kind != "safety-scalp" {
		return nil
	}
	parts := strings.Split(about, ":")
	a := s.stood(parts[0], s.last())
	if a == nil {
		return nil
	}
	used := 0.0
	if len(parts) == 3 {
		used, _ = strconv.ParseFloat(parts[2], 64) // a key without a strength leaves 0
	}
	return safety.Reasons(parts[0], a.Answer, formula.Percent(used))
}

// CheckReason is why the text is no reason to pass the warning with the key;
// where words are not what passes it, any text is one.
func (s *State) CheckReason(key, reason string) error {
	if kind, _, _ := strings.Cut(key, ":"); !passed[kind] {
		return nil
	}
	_, err := safety.Reason(reason, s.Reasons(key))
	return err
}

// checkAcknowledged refuses to pass over what nothing passes, and text
// that does not count as a reason. The log keeps a reason in words.
func (s *State) checkAcknowledged(d WarningAcknowledged) (Data, error) {
	if err := cmp.Or(named("warning", d.Warning), text(d.Reason), s.checkSeen(d), s.checkMushySeen(d.Warning)); err != nil {
		return nil, err
	}
	kind, _, _ := strings.Cut(d.Warning, ":")
	if kind == "over-cap" && strings.TrimSpace(d.Reason) != "" {
		return nil, fmt.Errorf("%s: no reason passes this, only a weaker mix", s.Warned(d.Warning))
	}
	if passed[kind] {
		reason, err := safety.Reason(d.Reason, s.Reasons(d.Warning))
		if err != nil {
			return nil, fmt.Errorf("%s: %w", s.Warned(d.Warning), err)
		}
		d.Reason = reason
	}
	return d, nil
}
