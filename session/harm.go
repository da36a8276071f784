package session

import (
	"slices"
	"time"
)

// A Harm is why product has to come off whatever minutes remain: hair that can
// take no more or is weakened, an answer that forbids what is on, or colour
// work that was ended. Pain is told apart: see [Board.Pain].
type Harm struct {
	Zones []string  // ids of those that still hold product; those that nothing passes come first
	Since time.Time // when the first of it was said
	Why   string    // of the first zone, in a few words
	Stop  bool      // nothing passes it; else a reason may
}

// harm is what harms now, or nil. Zones under water count until they are
// rinsed clean.
func (s *State) harm(b *Board) *Harm {
	var h *Harm
	var weak []string
	for _, z := range s.Zones {
		why, since, stop := s.harmTo(z, b)
		if why == "" {
			continue
		}
		if h == nil {
			h = &Harm{Since: since, Why: why, Stop: stop}
		}
		if since.Before(h.Since) {
			h.Since = since
		}
		switch {
		case !stop:
			weak = append(weak, z.ID)
			continue
		case !h.Stop:
			h.Stop, h.Why = true, why
		}
		h.Zones = append(h.Zones, z.ID)
	}
	if h != nil {
		h.Zones = append(h.Zones, weak...)
	}
	return h
}

// harmTo is why what is on a zone has to come off, since when that is known,
// and whether nothing passes it. Why is empty if it may stay.
func (s *State) harmTo(z *Zone, b *Board) (why string, since time.Time, stop bool) {
	if !z.Holding() {
		return "", time.Time{}, false
	}
	if _, c := s.mushy(z); c != nil {
		return "this hair can take no more", c.At, true
	}
	if g := s.wrongNow(z, b.verdict); g != nil {
		return g.Why, s.stood(g.Question, b.Now).At, true
	}
	if s.Ended() {
		return "the colour work was ended", s.endedAt(), true
	}
	if o := s.weak(z, b.Now); o != nil && !s.Acked(weakPrefix+o.ID) {
		return FeelWeak, o.weakSince(b.Now), false
	}
	return "", time.Time{}, false
}

// endedAt is when the pain was reported that ended the colour work.
func (s *State) endedAt() time.Time {
	for _, p := range s.Pains {
		if !p.Cleared.IsZero() && !p.GoesOn {
			return p.At
		}
	}
	return time.Time{}
}

// nextHarm takes off what harms: zones that no water runs over yet, all in one
// trip and no others; then those at the basin, one after the other.
func (s *State) nextHarm(b *Board) (Action, bool) {
	h := b.Harm
	if h == nil {
		return Action{}, false
	}
	var dry, wet []string
	for _, id := range h.Zones {
		if s.Zone(id).Trip == "" {
			dry = append(dry, id)
		} else {
			wet = append(wet, id)
		}
	}
	if len(dry) == 0 {
		return s.rinseClean(wet, h.Why), true
	}
	text := "Rinse " + s.nameAll(dry) + " now"
	if h.Stop {
		text = "STOP. Rinse " + s.nameAll(dry)
	}
	return Action{Verb: DoRinse, Text: text, Why: h.Why, Zones: dry, Commands: []Command{Do(RinseBegan{Zones: dry})}}, true
}

// rinseClean ends the rinse of the first of the zones.
func (s *State) rinseClean(ids []string, why string) Action {
	z := s.Zone(ids[0])
	if len(ids) > 1 {
		why = "then " + s.nameAll(ids[1:])
	}
	return Action{
		Verb: DoOff, Text: "Rinse clean: " + z.Name, Why: why, Zones: ids[:1],
		Commands: []Command{Do(RinseEnded{Trip: z.Trip, Zones: ids[:1]})},
	}
}

// pressing reports whether a zone is closing or over.
func (b *Board) pressing(id string) bool {
	return slices.ContainsFunc(b.Zones, func(z ZoneLook) bool { return z.ID == id && z.presses() })
}

// cantWait reports whether each of the zones must go under water at the moment
// at, even beside others that are at the basin.
func (s *State) cantWait(ids []string, at time.Time) bool {
	b := Look(s, at, func(time.Time) string { return "" })
	var harmed []string
	if b.Harm != nil {
		harmed = b.Harm.Zones
	}
	must := append(s.mustGo(&b, Action{}), harmed...)
	return len(ids) > 0 && !slices.ContainsFunc(ids, func(id string) bool { return !slices.Contains(must, id) })
}
