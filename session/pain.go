package session

import (
	"errors"
	"fmt"
	"strings"
	"time"
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

// holding reports whether product is on any zone.
func (s *State) holding() bool {
	return find(s.Zones, (*Zone).Holding) != nil
}

// coolFrom is since when cool water runs: since the last trip to the basin
// that began after the pain was reported; without one, since the report.
func (s *State) coolFrom(p *Pain) time.Time {
	from := p.At
	for _, t := range s.Trips {
		if t.Began.After(from) {
			from = t.Began
		}
	}
	return from
}

func (s *State) checkPain(d PainReported) error {
	if d.Zone != "" {
		if _, err := s.zone(d.Zone); err != nil {
			return err
		}
	}
	return text(d.Text)
}

func (s *State) checkCleared(d PainCleared, at time.Time) error {
	p := s.OpenPain()
	switch {
	case p == nil:
		return errors.New("no pain was reported that is still open")
	case s.holding():
		return errors.New("product is still on: rinse all with cool running water first")
	case strings.TrimSpace(d.Note) == "":
		return errors.New("type what was found and what was decided")
	}
	if run := at.Sub(s.coolFrom(p)); run < CoolWater {
		if err := s.needsReason(fmt.Sprintf("pain-early:%d", p.Seq), "cool water has run for %s of 20 min", mins(max(run, 0))); err != nil {
			return err
		}
	}
	return text(d.Note)
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
			p.Cleared, p.Note = at, d.Note
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
			a.Text = "Rinsed clean: " + s.nameAll(wet)
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
