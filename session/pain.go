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

// OpenPain returns the first pain, or other reaction that stops the work, that
// is not cleared, or nil.
func (s *State) OpenPain() *Pain { return s.openOf((*Pain).stops) }

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
		if o.Cleared.Equal(p.Cleared) && o.At.Before(from) && o.Reaction != InEye {
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

// waterFrom is since when water runs. Over an eye it does since the report.
func (s *State) waterFrom(p *Pain) time.Time {
	if p.Reaction == InEye {
		return p.At
	}
	return s.coolFrom(p)
}

// waterNeeds is how long water runs over what is open, at least.
func (s *State) waterNeeds() (most time.Duration) {
	for i := range s.Pains {
		if p := &s.Pains[i]; p.stops() {
			most = max(most, p.needs())
		}
	}
	return most
}

// Cooled is how long cool water ran over the pain, or water over the eye: until
// it was cleared, or until now if that is still to come. It is 0 while product
// is on that is to come off and that no water runs over.
func (s *State) Cooled(p Pain, now time.Time) time.Duration {
	if !p.Cleared.IsZero() {
		now = p.Cleared
	} else if p.Reaction != InEye && find(s.Zones, func(z *Zone) bool { return z.Holding() && z.Trip == "" }) != nil {
		return 0
	}
	return max(now.Sub(s.waterFrom(&p)), 0)
}

// ReasonWords is [safety.ReasonWords]: as many for clearing pain before
// [CoolWater].
const ReasonWords = safety.ReasonWords

// IsReason is [safety.IsReason].
func IsReason(text string) bool { return safety.IsReason(text) }

// hasty reports whether pain was cleared before [CoolWater] without a reason.
func (s *State) hasty() bool {
	return slices.ContainsFunc(s.Pains, func(p Pain) bool {
		return !p.Cleared.IsZero() && p.Early == "" && s.Cooled(p, p.Cleared) < p.needs()
	})
}

func (s *State) checkCleared(d PainCleared, at time.Time) (Data, error) {
	p := s.OpenPain()
	switch {
	case p == nil:
		return nil, errors.New("no pain was reported that is still open")
	case s.Calling() != nil:
		return nil, errors.New("an emergency is open: say first that help has come")
	case s.holding() && !s.staysOn():
		return nil, errors.New("product is still on: rinse all with cool running water first")
	case strings.TrimSpace(d.Note) == "":
		return nil, errors.New("type what was found and what was decided")
	case d.GoesOn && s.Ended():
		return nil, errors.New("the colour work of this service was ended after a reaction, and does not go on: say that it ends here")
	case d.GoesOn && s.openOf((*Pain).ends) != nil:
		return nil, errors.New("after hives or an emergency nothing more is put on in this visit: say that the colour work ends here")
	}
	short := s.openOf(func(p *Pain) bool { return p.stops() && s.Cooled(*p, at) < p.needs() })
	switch {
	case short == nil:
		d.Early = ""
	case !IsReason(d.Early):
		return nil, fmt.Errorf("%s has run for %d of %d minutes: let it run, or type why it ends before that, in %d words or more",
			short.water(), int(s.Cooled(*short, at)/time.Minute), int(CoolWater/time.Minute), ReasonWords)
	}
	return d, cmp.Or(text(d.Note), text(d.Early))
}

// checkEnded refuses to go on with colour that was ended after a reaction. What
// touched hair before it may be logged late.
func (s *State) checkEnded(at time.Time) error {
	for _, p := range s.Pains {
		if !p.Cleared.IsZero() && !p.GoesOn && !at.Before(p.At) {
			return fmt.Errorf("the colour work was ended after %s: nothing is mixed or put on any more in this service", p.Reaction.ended())
		}
	}
	return nil
}

// checkSeen refuses to pass over pain while product is on.
func (s *State) checkSeen(d WarningAcknowledged) error {
	if !strings.HasPrefix(d.Warning, painPrefix) || s.OpenPain() == nil {
		return nil
	}
	switch {
	case s.Calling() != nil:
		return errors.New("an emergency can't be passed over: once help has come, say so")
	case s.holding() && !s.staysOn():
		return fmt.Errorf("%s can't be passed over while product is on: rinse all with cool running water now", s.OpenPain().Reaction.ended())
	}
	return nil
}

func (s *State) clearPain(d PainCleared, at time.Time) error {
	if s.OpenPain() == nil {
		return errors.New("there is no pain to clear")
	}
	for i := range s.Pains {
		if p := &s.Pains[i]; p.Cleared.IsZero() {
			p.Cleared, p.Note, p.Early, p.GoesOn = at, d.Note, d.Early, d.GoesOn
		}
	}
	return nil
}

// water names what runs.
func (p *Pain) water() string {
	if p.Reaction == InEye {
		return "water over the eye"
	}
	return "cool water"
}

// nextPain goes before all else: an emergency first; then all off with cool
// water at once, then the water for as long as it takes, then what was found; an
// eye last, as what is on stays on.
func (s *State) nextPain(b *Board) (Action, bool) {
	p := s.OpenPain()
	switch {
	case p == nil:
		return Action{}, false
	case s.Calling() != nil:
		return s.nextCall(), true
	case s.staysOn():
		return s.nextEye(b), true
	}
	p = s.openOf(func(p *Pain) bool { return p.stops() && p.Reaction != InEye })
	if burns := s.openOf((*Pain).burns); burns != nil && burns.stops() {
		p = burns // it asks for the most
	}
	return s.nextRinse(b, p), true
}

// rinseWhy says beside what to do why, and what comes after it.
func (p *Pain) rinseWhy() string {
	switch {
	case p.burns():
		return "20 minutes or more, then medical help, whatever minutes remain"
	case p.Reaction == Hives:
		return "hives: then watch them, and get medical advice; worse: x"
	case p.Reaction == Emergency:
		return "rinse only if they may be moved"
	}
	return "it itches: mild shampoo, then look at the skin; worse: x"
}

// offText says how what is on comes off.
func (p *Pain) offText() string {
	if p.Reaction == Emergency { // help has come, and nobody is walked to the basin
		return "Take all off, where they are"
	}
	return "STOP. Rinse all with cool running water now"
}

// nextRinse takes all off with cool water.
func (s *State) nextRinse(b *Board, p *Pain) Action {
	var dry, wet []string
	for _, z := range s.Zones {
		switch {
		case z.Holding() && z.Trip == "":
			dry = append(dry, z.ID)
		case z.Holding():
			wet = append(wet, z.ID)
		}
	}
	until := s.coolFrom(p).Add(p.needs())
	a := Action{From: until, Why: p.rinseWhy()}
	if p.needs() == 0 {
		a.From = time.Time{}
	}
	switch {
	case len(dry) > 0:
		return Action{
			Verb: DoPain, Text: p.offText(), Why: p.rinseWhy(), Zones: dry,
			Commands: []Command{Do(RinseBegan{Zones: dry})},
		}
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
		return a
	case b.Now.Before(until):
		a.Verb, a.Text = DoCool, "Cool water until "+b.clock(until)
		return a
	case s.openEye() != nil && b.Now.Before(s.openEye().At.Add(CoolWater)):
		return s.nextEye(b)
	}
	if p.Reaction == Hives {
		return Action{Verb: DoClear, Text: "Watch them; note what was found", Why: "medical advice; swelling, wheeze or faint: x"}
	}
	return Action{Verb: DoClear, Text: "Note what was found", Why: "before anything else is put on"}
}

const painPrefix = "pain:"

// painWarning is the alarm of pain that is not cleared. While product is on that
// is to come off, or help has not come, it can't be acknowledged.
func (s *State) painWarning(b *Board) []Warning {
	p := cmp.Or(s.Calling(), s.openOf(func(p *Pain) bool { return p.stops() && p.burns() }), s.OpenPain())
	if p == nil {
		return s.lookWarning(b)
	}
	w := Warning{
		Key: fmt.Sprintf("%s%d", painPrefix, p.Seq), Level: Alarm, Zone: p.Zone, At: p.At,
		Fixed: s.Calling() != nil || s.holding() && !s.staysOn(),
	}
	if !w.Fixed {
		w.Acked = s.Acked(w.Key)
	}
	run := int(max(b.Now.Sub(s.waterFrom(p)), 0) / time.Minute)
	most := int(CoolWater / time.Minute)
	switch {
	case p.calls():
		w.Text = "HELP. EMERGENCY: call " + b.Reaction.Number + ", say " + safety.Anaphylaxis
	case p.Reaction == Emergency:
		w.Text = "EMERGENCY: help has come; product off, and a note of it"
	case p.Reaction == InEye && run < most:
		w.Text = fmt.Sprintf("EYE: %d of %d min of water so far; hold it open, lenses out; then eye care", run, most)
	case p.Reaction == InEye:
		w.Text = fmt.Sprintf("EYE: the water has run for %d min; eye care now, with the container", most)
	case p.Reaction == Hives:
		w.Text = "HIVES: all off, rinse, watch, medical advice; swelling, wheeze or faint: x"
	case !p.burns():
		w.Text = "ITCHING: all off now; severe, or it comes again: x"
	case w.Fixed:
		w.Text = "PAIN: cool running water at once, 20 min or more; medical help"
	case run < most:
		w.Text = fmt.Sprintf("PAIN: %d of 20 min of cool water so far, go on; medical help", run)
	default:
		w.Text = "PAIN: the water has run for 20 min; medical help, and a note of it"
	}
	return []Warning{w}
}
