package session

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"rinseby/session/safety"
)

// A ReactionLook is a reaction that is open at the moment of a board.
type ReactionLook struct {
	Reaction Reaction
	Since    time.Time
	Calling  bool      // help is to be called, and has not come
	Number   string    // to call
	Look     bool      // a mild itch that is looked at again
	Until    time.Time // then: when; else until when water runs; zero: no time is set
	Held     []Held    // what is on and under no water, the first that must be off first
}

// Held is a zone that stays on while water runs elsewhere.
type Held struct {
	Name    string
	LimitAt time.Time // zero: not known
	Over    bool      // it goes over, or is over, before the water has run
}

// HeldOrder puts what must be off first first, and what has no known limit last.
func HeldOrder(a, b Held) int { return compareKnown(a.LimitAt, b.LimitAt) }

// lookReaction is the reaction that matters most, or nil.
func (s *State) lookReaction(b *Board) *ReactionLook {
	p := cmp.Or(s.Calling(), s.openOf(func(p *Pain) bool { return p.stops() && p.Reaction != InEye }), s.openEye(), s.OpenLook())
	if p == nil {
		return nil
	}
	l := &ReactionLook{Reaction: p.Reaction, Since: p.At, Calling: p.calls(), Number: safety.RulesOf(s.Region).Emergency.Value, Look: !p.stops()}
	switch need := s.waterNeeds(); {
	case l.Look:
		l.Until = p.At.Add(LookAfter)
	case need > 0:
		l.Until = s.waterFrom(p).Add(need)
	}
	for _, z := range b.Zones {
		if z.Holding() && !z.Rinsing && !l.Look {
			h := Held{Name: z.Name, LimitAt: z.LimitAt}
			h.Over = !h.LimitAt.IsZero() && h.LimitAt.Before(maxTime(l.Until, b.Now))
			l.Held = append(l.Held, h)
		}
	}
	slices.SortStableFunc(l.Held, HeldOrder)
	return l
}

func maxTime(a, b time.Time) time.Time {
	if a.After(b) {
		return a
	}
	return b
}

// nextCall is an emergency: the call before all else. The key says that the
// product is off, then that help has come.
func (s *State) nextCall() Action {
	a := Action{Verb: DoCall}
	a.Text, a.Why = callWords(s.Region)
	for _, t := range s.Trips {
		if t.Ended.IsZero() {
			a.Commands = append(a.Commands, Do(RinseEnded{Trip: t.ID}))
		}
	}
	for _, z := range s.Zones {
		if z.Holding() {
			a.Zones = append(a.Zones, z.ID)
		}
	}
	if dry := slices.DeleteFunc(slices.Clone(a.Zones), func(id string) bool { return s.Zone(id).Trip != "" }); len(dry) > 0 {
		a.Commands = append(a.Commands, Do(RinseBegan{Zones: dry}), Do(RinseEnded{}))
	}
	if len(a.Commands) == 0 {
		a.Commands = []Command{Do(ReactionNoted{When: AskHelp})}
	}
	return a
}

// callWords says whom to call, and what to do besides.
func callWords(r safety.Region) (text, why string) {
	number := safety.RulesOf(r).Emergency.Value
	if r == safety.AnyRegion {
		return "Call for help, say " + safety.Anaphylaxis, number
	}
	return "Call " + number + ", say " + safety.Anaphylaxis, "own pen first; lie flat, legs raised; no walking"
}

// CallIn names the number of the region that is set on the machine where the
// service has none. Only what is shown changes; no rule does.
func (b *Board) CallIn(machine safety.Region) {
	r := b.Reaction
	if r == nil || r.Number == safety.NumberIn(r.Number, machine) {
		return
	}
	was, look := r.Number, *r
	look.Number = safety.NumberIn(was, machine)
	b.Reaction = &look
	if b.Next.Verb == DoCall {
		b.Next.Text, b.Next.Why = callWords(machine)
	}
	b.Warnings = slices.Clone(b.Warnings)
	for i := range b.Warnings {
		b.Warnings[i].Text = strings.Replace(b.Warnings[i].Text, was, look.Number, 1)
	}
}

// nextEye keeps the eye under water, and the limits of what is on.
func (s *State) nextEye(b *Board) Action {
	until := s.openEye().At.Add(CoolWater)
	const also = "the eye stays under the water"
	urgent := func(b *Board) (Action, bool) { return s.nextUrgent(b, Action{}) }
	for _, rule := range []func(*Board) (Action, bool){s.nextHarm, urgent, s.nextOff} {
		if a, ok := rule(b); ok {
			a.Why = also
			if b.OffBy != nil {
				a.By = b.OffBy.LimitAt
			}
			return a
		}
	}
	if b.Now.Before(until) {
		a := Action{Verb: DoEye, Text: "Eye under water until " + b.clock(until), From: until, Why: "hold it open; then eye care, with the container"}
		if b.OffBy != nil {
			a.By = b.OffBy.LimitAt
		}
		return a
	}
	return Action{Verb: DoClear, Text: "Eye care now; note what was found", Why: "take the container, say the minutes rinsed"}
}

// nextLook looks at a mild itch again. It goes before all but what is worse,
// which a limit that presses is: that takes the product off.
func (s *State) nextLook(b *Board) (Action, bool) {
	p := s.OpenLook()
	if p == nil {
		return Action{}, false
	}
	due := p.At.Add(LookAfter)
	a := Action{Verb: DoLook, Text: "Itch: look again at " + b.clock(due), From: due, Why: "still there, or worse: all off with cool running water"}
	if !b.Now.Before(due) {
		a.Text, a.From = "Itch: look again NOW", time.Time{}
	}
	return a, true
}

// lookWarning tells of an itch that is to be looked at again.
func (s *State) lookWarning(b *Board) []Warning {
	p := s.OpenLook()
	if p == nil {
		return nil
	}
	due := p.At.Add(LookAfter)
	w := Warning{Key: fmt.Sprintf("itch:%d", p.Seq), Zone: p.Zone, At: due, Text: "itch: look again at " + b.clock(due) + "; no heat, nothing more on"}
	if !b.Now.Before(due) {
		w.Level, w.Fixed, w.Text = Alarm, true, "it itched: look again NOW; still there, or worse: all off with cool running water"
	}
	return []Warning{w}
}

// askFirst puts the question how it is before the end of a service that had a
// reaction.
func (s *State) askFirst(a Action) Action {
	if a.Verb != DoFinish || !s.ToAsk() {
		return a
	}
	return Action{Verb: DoAsk, Text: "Ask how it is now", Why: AskAgain}
}

// floorWord says in a word or two how a service with this reaction stands; empty
// for pain.
func (l *ReactionLook) floorWord() string {
	switch {
	case l.Calling:
		return "HELP"
	case l.Look:
		return "itch"
	case l.Reaction == Emergency:
		return "emergency"
	case l.Reaction == InEye:
		return "eye"
	}
	return string(l.Reaction)
}
