package session

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"rinseby/session/safety"
)

// CoolWater is how long cool water runs over what hurts, at least: 20 minutes
// or more (a hospital's first-aid page). That pain stops the work whatever
// minutes remain is the house rule.
const CoolWater = 20 * time.Minute

// OpenPain returns the first pain that is not cleared, or nil.
func (s *State) OpenPain() *Pain {
	for i := range s.Pains {
		if s.Pains[i].Cleared.IsZero() {
			return &s.Pains[i]
		}
	}
	return nil
}

// Ended reports whether the colour work was ended after pain. What else is
// planned, such as drying, goes on; nothing is mixed or put on any more.
func (s *State) Ended() bool {
	return slices.ContainsFunc(s.Pains, func(p Pain) bool { return !p.Cleared.IsZero() && !p.GoesOn })
}

// holding reports whether product is on any zone.
func (s *State) holding() bool {
	return find(s.Zones, (*Zone).Holding) != nil
}

// coolFrom is since when cool water runs: since the last trip to the basin
// that began after the pain was first reported, and before it was cleared;
// without one, since the report.
func (s *State) coolFrom(p *Pain) time.Time {
	from := p.At
	for _, o := range s.Pains {
		if o.Cleared.Equal(p.Cleared) && o.At.Before(from) {
			from = o.At // the same pain, told of again
		}
	}
	for _, t := range s.Trips {
		if t.Began.After(from) && (p.Cleared.IsZero() || !t.Began.After(p.Cleared)) {
			from = t.Began
		}
	}
	return from
}

// Cooled is how long cool water ran over the pain: until it was cleared, or
// until now if that is still to come. It is 0 while product is on that no water
// runs over.
func (s *State) Cooled(p Pain, now time.Time) time.Duration {
	if !p.Cleared.IsZero() {
		now = p.Cleared
	} else if find(s.Zones, func(z *Zone) bool { return z.Holding() && z.Trip == "" }) != nil {
		return 0
	}
	return max(now.Sub(s.coolFrom(&p)), 0)
}

// ReasonWords is [safety.ReasonWords]: as many for clearing pain before
// [CoolWater].
const ReasonWords = safety.ReasonWords

// IsReason is [safety.IsReason].
func IsReason(text string) bool { return safety.IsReason(text) }

// hasty reports whether pain was cleared before [CoolWater] without a reason.
func (s *State) hasty() bool {
	return slices.ContainsFunc(s.Pains, func(p Pain) bool {
		return !p.Cleared.IsZero() && p.Early == "" && s.Cooled(p, p.Cleared) < CoolWater
	})
}

func (s *State) checkPain(d PainReported) error {
	if d.Zone != "" {
		if _, err := s.zone(d.Zone); err != nil {
			return err
		}
	}
	return text(d.Text)
}

func (s *State) checkCleared(d PainCleared, at time.Time) (Data, error) {
	p := s.OpenPain()
	switch {
	case p == nil:
		return nil, errors.New("no pain was reported that is still open")
	case s.holding():
		return nil, errors.New("product is still on: rinse all with cool running water first")
	case strings.TrimSpace(d.Note) == "":
		return nil, errors.New("type what was found and what was decided")
	case d.GoesOn && s.Ended():
		return nil, errors.New("the colour work of this service was ended after pain, and does not go on: say that it ends here")
	}
	switch run := s.Cooled(*p, at); {
	case run >= CoolWater:
		d.Early = ""
	case !IsReason(d.Early):
		return nil, fmt.Errorf("cool water has run for %d of %d minutes: let it run, or type why it ends before that, in %d words or more",
			int(run/time.Minute), int(CoolWater/time.Minute), ReasonWords)
	}
	return d, cmp.Or(text(d.Note), text(d.Early))
}

// checkEnded refuses to go on with colour that was ended after pain. What
// touched hair before the pain may be logged late.
func (s *State) checkEnded(at time.Time) error {
	for _, p := range s.Pains {
		if !p.Cleared.IsZero() && !p.GoesOn && !at.Before(p.At) {
			return errors.New("the colour work was ended after pain: nothing is mixed or put on any more in this service")
		}
	}
	return nil
}

// checkSeen refuses to pass over pain while product is on.
func (s *State) checkSeen(d WarningAcknowledged) error {
	if strings.HasPrefix(d.Warning, painPrefix) && s.OpenPain() != nil && s.holding() {
		return errors.New("pain can't be passed over while product is on: rinse all with cool running water now")
	}
	return nil
}

func (s *State) clearPain(d PainCleared, at time.Time) error {
	if s.OpenPain() == nil {
		return fmt.Errorf("there is no pain to clear")
	}
	for i := range s.Pains {
		if p := &s.Pains[i]; p.Cleared.IsZero() {
			p.Cleared, p.Note, p.Early, p.GoesOn = at, d.Note, d.Early, d.GoesOn
		}
	}
	return nil
}

// nextPain goes before all else: all off with cool water at once, then the
// water for as long as it takes, then what was found.
func (s *State) nextPain(b *Board) (Action, bool) {
	p := s.OpenPain()
	if p == nil {
		return Action{}, false
	}
	var dry, wet []string
	for _, z := range s.Zones {
		switch {
		case z.Holding() && z.Trip == "":
			dry = append(dry, z.ID)
		case z.Holding():
			wet = append(wet, z.ID)
		}
	}
	until := s.coolFrom(p).Add(CoolWater)
	const help = "20 minutes or more, then medical help, whatever minutes remain"
	switch a := (Action{From: until, Why: help}); {
	case len(dry) > 0:
		return Action{
			Verb: DoPain, Text: "STOP. Rinse all with cool running water now", Why: help, Zones: dry,
			Commands: []Command{Do(RinseBegan{Zones: dry})},
		}, true
	case len(wet) > 0:
		a.Verb, a.Zones, a.Text = DoCool, wet, "Cool water until "+b.clock(until)+", then: rinsed clean"
		if !b.Now.Before(until) {
			a.Text = "Rinse clean: " + s.nameAll(wet)
		}
		for _, t := range s.Trips {
			if t.Ended.IsZero() {
				a.Commands = append(a.Commands, Do(RinseEnded{Trip: t.ID}))
			}
		}
		return a, true
	case b.Now.Before(until):
		a.Verb, a.Text = DoCool, "Cool water until "+b.clock(until)
		return a, true
	}
	return Action{Verb: DoClear, Text: "Note what was found", Why: "before anything else is put on"}, true
}

const painPrefix = "pain:"

// painWarning is the alarm of pain that is not cleared. While product is on it
// can't be acknowledged.
func (s *State) painWarning(b *Board) []Warning {
	p := s.OpenPain()
	if p == nil {
		return nil
	}
	w := Warning{
		Key: fmt.Sprintf("%s%d", painPrefix, p.Seq), Level: Alarm, Zone: p.Zone, At: p.At, Fixed: s.holding(),
		Text: "PAIN: cool running water at once, 20 min or more; medical help",
	}
	if run := b.Now.Sub(s.coolFrom(p)); !w.Fixed {
		w.Acked = s.Acked(w.Key)
		w.Text = "PAIN: the water has run for 20 min; medical help, and a note of it"
		if run < CoolWater {
			w.Text = fmt.Sprintf("PAIN: %d of 20 min of cool water so far, go on; medical help", int(max(run, 0)/time.Minute))
		}
	}
	return []Warning{w}
}
