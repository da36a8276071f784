package session

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"rinseby/session/formula"
	"rinseby/timing"
)

// A Reaction is how a client reacts. The zero Reaction is pain or burning.
type Reaction string

// The reactions.
const (
	Burning   Reaction = ""
	Itching   Reaction = "itching"
	Hives     Reaction = "hives"
	Emergency Reaction = "emergency" // swelling, trouble breathing, faint, or hives with any of these
	InEye     Reaction = "eye"
)

// Reactions lists them.
func Reactions() []Reaction { return []Reaction{Burning, Itching, Hives, Emergency, InEye} }

// Words says a reaction.
func (r Reaction) Words() string {
	switch r {
	case Burning:
		return "pain or burning"
	case Itching:
		return "itching or tingling"
	case Hives:
		return "hives"
	case Emergency:
		return "EMERGENCY"
	case InEye:
		return "product in the eye"
	}
	return string(r)
}

// ended names the reaction after which the colour work ended.
func (r Reaction) ended() string {
	switch r {
	case Burning:
		return "pain"
	case Emergency:
		return "an emergency"
	}
	return r.Words()
}

// LookAfter is after how long a mild itch is looked at again; house rule, no
// source.
const LookAfter = 3 * time.Minute

// An AskWord is when a client was asked how it is.
type AskWord string

// When a client is asked, or what is noted beside.
const (
	AskLook    AskWord = "look"    // the itch was looked at again
	AskHelp    AskWord = "help"    // help has come
	AskLeaving AskWord = "leaving" // before the client leaves
	AskLater   AskWord = "later"   // reported after the visit
)

// A HowWord is how a client is.
type HowWord string

// How a client is.
const (
	HowWell  HowWord = "well"
	HowSame  HowWord = "same"
	HowWorse HowWord = "worse"
	HowGone  HowWord = "not asked" // only before leaving: the client had left, and why
)

// HowWords lists them, with none.
func HowWords() []HowWord { return []HowWord{"", HowWell, HowSame, HowWorse, HowGone} }

// AskAgain is why feeling well clears nobody: in one case with lightener the
// faint came at 45 minutes (abstract of a patch-test meeting report), and harm
// can show days later (abstract, Cutan. Ocul. Toxicol. 2016; dye allergy from
// memory).
const AskAgain = "feeling well now is no all-clear: it can still come after 45 minutes, or days later"

// Says says how a client was some time after a reaction.
func (d ReactionNoted) Says() string {
	text := ""
	switch d.When {
	case AskLook:
		text = "looked at again: " + map[HowWord]string{HowWell: "gone", HowSame: "still there", HowWorse: "worse"}[d.How]
	case AskHelp:
		text = "help has come"
	case AskLeaving:
		text = "asked before leaving: " + string(d.How)
	default:
		text = "reported after the visit: " + d.Reaction.Words()
	}
	if d.Note != "" {
		text += ": " + d.Note
	}
	return text
}

// Open reports whether the reaction was not cleared yet.
func (p *Pain) Open() bool { return p.Cleared.IsZero() }

// stops reports whether work waits for it: all but a mild itch that is looked
// at again.
func (p *Pain) stops() bool { return p.Open() && (!p.Look || p.Again) }

// burns reports whether it is handled as burning.
func (p *Pain) burns() bool {
	return p.Reaction == Burning || p.Reaction == Itching && (p.Severe || p.Again)
}

// calls reports whether it is an emergency and help has not come.
func (p *Pain) calls() bool { return p.Open() && p.Reaction == Emergency && p.Helped.IsZero() }

// ends reports whether the colour work ends with it.
func (p *Pain) ends() bool { return p.Reaction == Hives || p.Reaction == Emergency }

// needs is how long water runs, at least.
func (p *Pain) needs() time.Duration {
	if p.burns() || p.Reaction == InEye {
		return CoolWater
	}
	return 0
}

// Needs is how long water runs over it, at least; 0 if no time is set.
func (p Pain) Needs() time.Duration { return p.needs() }

// openOf is the first reaction of a sort, or nil.
func (s *State) openOf(sort func(*Pain) bool) *Pain {
	for i := range s.Pains {
		if p := &s.Pains[i]; p.Open() && sort(p) {
			return p
		}
	}
	return nil
}

// Calling is the emergency to which help has not come, or nil.
func (s *State) Calling() *Pain { return s.openOf((*Pain).calls) }

// OpenLook is the mild itch that is to be looked at again, or nil.
func (s *State) OpenLook() *Pain { return s.openOf(func(p *Pain) bool { return !p.stops() }) }

// inEmergency reports whether an emergency was open at a moment.
func (s *State) inEmergency(at time.Time) bool {
	return slices.ContainsFunc(s.Pains, func(p Pain) bool {
		return p.Reaction == Emergency && !at.Before(p.At) && (p.Open() || !at.After(p.Cleared))
	})
}

// openEye is product in the eye that is not cleared, or nil.
func (s *State) openEye() *Pain { return s.openOf(func(p *Pain) bool { return p.Reaction == InEye }) }

// staysOn reports whether all that is open leaves product on the hair.
func (s *State) staysOn() bool {
	return s.openOf(func(p *Pain) bool { return p.stops() && p.Reaction != InEye }) == nil
}

// react folds a report in.
func (s *State) react(d PainReported, seq int, at time.Time) {
	p := Pain{At: at, Seq: seq, Zone: d.Zone, Text: d.Text, Reaction: d.Reaction, Severe: d.Severe, Look: d.LookAgain}
	p.Again = d.Reaction == Itching && slices.ContainsFunc(s.Pains, func(o Pain) bool {
		return o.Reaction == Itching && (!o.Open() || o.Look)
	})
	s.Pains = append(s.Pains, p)
}

// noteReaction folds in how the client is.
func (s *State) noteReaction(d ReactionNoted, at time.Time) error {
	if err := s.isOpen(d.When); err != nil {
		return err
	}
	switch d.When {
	case AskLook:
		p := s.OpenLook()
		if p.Looked = at; d.How == HowWell {
			p.Cleared, p.Note, p.GoesOn = at, d.Note, true
		} else {
			p.Again = true
		}
	case AskHelp:
		for i := range s.Pains {
			if p := &s.Pains[i]; p.calls() {
				p.Helped = at
			}
		}
	}
	s.Asked = append(s.Asked, AskedAgain{at, d})
	return nil
}

// checkPain takes every report of pain; only to look again has rules.
func (s *State) checkPain(d PainReported, at time.Time) error {
	if d.Zone != "" {
		if _, err := s.zone(d.Zone); err != nil {
			return err
		}
	}
	switch {
	case !slices.Contains(Reactions(), d.Reaction):
		return fmt.Errorf("%.20q is not a reaction that rinseby knows: say itching, hives, emergency or eye, or leave it out for pain", d.Reaction)
	case d.Severe && d.Reaction != Itching:
		return errors.New("only an itch can be marked severe: every other reaction is")
	case d.LookAgain:
		return cmp.Or(s.checkLook(d, at), text(d.Text))
	}
	return text(d.Text)
}

// checkLook refuses to leave product on an itch, unless the itch is mild, the
// first, under no heat, and no lightener is at the scalp. House rule; burns under
// heat, and lightener at the scalp, are what the case reports tell of (a burn
// conference report: tingling after 5 minutes under a heat lamp).
func (s *State) checkLook(d PainReported, at time.Time) error {
	switch {
	case d.Reaction != Itching || d.Severe:
		return errors.New("only a mild itch is looked at again: take it off")
	case s.OpenPain() != nil || s.OpenLook() != nil:
		return errors.New("a reaction is already open: take it off")
	case len(s.Pains) > 0:
		return errors.New("it is not the first reaction of this visit: take it off")
	}
	for _, z := range s.Zones {
		if !z.Holding() {
			continue
		}
		if slices.ContainsFunc(z.Heat, func(h Span) bool { return !h.From.After(at) && (h.Open() || !h.To.Before(at)) }) {
			return fmt.Errorf("heat was on %s: take it off", z.Name)
		}
		for _, c := range z.Coats {
			if c.Off.IsZero() && c.Action == formula.Lighten && c.Contact != formula.OffScalp {
				return fmt.Errorf("lightener is at the scalp of %s: take it off", z.Name)
			}
		}
	}
	return nil
}

// checkNoted checks how the client is.
func (s *State) checkNoted(d ReactionNoted, at time.Time) error {
	asks := d.When == AskLook || d.When == AskLeaving
	switch {
	case !oneOf(d.When, AskLook, AskHelp, AskLeaving, AskLater):
		return fmt.Errorf("say when the client was asked: %s, %s, %s or %s", AskLook, AskHelp, AskLeaving, AskLater)
	case d.When == AskLeaving && d.How == HowGone:
		if !IsReason(d.Note) {
			return fmt.Errorf("type why the client could not be asked, in %d words or more", ReasonWords)
		}
	case asks && !oneOf(d.How, HowWell, HowSame, HowWorse):
		return fmt.Errorf("say how the client is: %s, %s or %s", HowWell, HowSame, HowWorse)
	case !asks && d.How != "", d.When != AskLater && d.Reaction != "", !slices.Contains(Reactions(), d.Reaction):
		return errors.New("that answer, or a reaction, does not fit that moment")
	}
	return cmp.Or(s.checkMoment(d, at), text(d.Note))
}

// checkMoment refuses what does not fit the moment.
func (s *State) checkMoment(d ReactionNoted, at time.Time) error {
	if err := s.isOpen(d.When); err != nil {
		return err
	}
	switch d.When {
	case AskLook:
		if d.How == HowWell && at.Before(s.OpenLook().At.Add(LookAfter)) {
			return fmt.Errorf("look again once %d minutes have gone by; if it is still there, say so at once", int(LookAfter/time.Minute))
		}
	case AskLeaving:
		switch {
		case len(s.Pains) == 0:
			return errors.New("no reaction was reported in this visit")
		case s.OpenPain() != nil || s.OpenLook() != nil:
			return errors.New("a reaction is still open: see to it first")
		case d.How != HowWell && strings.TrimSpace(d.Note) == "":
			return errors.New("type how it is, and who was asked: it goes on the record")
		}
	case AskLater:
		switch {
		case s.Closed.IsZero():
			return errors.New("the visit is not over: report it at the chair (x)")
		case strings.TrimSpace(d.Note) == "":
			return errors.New("type what was reported, and when it began")
		}
	}
	return nil
}

// isOpen is an error if there is no itch to look at again, or no emergency to
// which help has yet to come, where one of those is what is noted.
func (s *State) isOpen(when AskWord) error {
	switch {
	case when == AskLook && s.OpenLook() == nil:
		return errors.New("there is no itch to look at again")
	case when == AskHelp && s.Calling() == nil:
		return errors.New("no emergency is waiting for help")
	}
	return nil
}

// ToAsk reports whether a client who had a reaction still has to be asked,
// before leaving, how it is.
func (s *State) ToAsk() bool {
	var last time.Time
	for _, p := range s.Pains {
		if p.Open() {
			return false // there is more to do first
		}
		if p.Cleared.After(last) {
			last = p.Cleared
		}
	}
	return len(s.Pains) > 0 && !slices.ContainsFunc(s.Asked, func(a AskedAgain) bool { return a.When == AskLeaving && !a.At.Before(last) })
}

// checkAsked refuses to close a service after a reaction before the client was
// asked how it is.
func (s *State) checkAsked() error {
	if s.ToAsk() {
		return errors.New("there was a reaction: ask how it is now before the client leaves; " + AskAgain)
	}
	return nil
}

// bars reports whether what the client itched under touches hair no more in this
// visit: unless it was mild, was looked at again, and had gone. House rule.
func (p *Pain) bars() bool { return p.Reaction == Itching && (!p.Look || p.Again) }

// putOnAgain is how often a product touched hair again after the client itched
// under it, and the last such product.
func (s *State) putOnAgain() (times int, product string) {
	for i := range s.Pains {
		p := &s.Pains[i]
		if !p.bars() {
			continue
		}
		var under []string
		for _, z := range s.Zones {
			for _, c := range z.Coats {
				if c.onAt(p.At) {
					under = append(under, c.products()...)
				}
			}
		}
		for _, z := range s.Zones {
			for _, c := range z.Coats {
				if !slices.ContainsFunc(c.products(), func(name string) bool { return slices.Contains(under, name) }) {
					continue
				}
				for _, at := range c.touched() {
					if at.After(p.At) {
						times, product = times+1, c.Product
					}
				}
			}
		}
	}
	return times, product
}

// products are the names of all that was put on in the coat.
func (c *Coat) products() (names []string) {
	for _, q := range c.judged() {
		names = append(names, LooseName(q.Product))
	}
	return names
}

// touched are the moments at which product of the coat met hair.
func (c *Coat) touched() []time.Time {
	all := slices.Clone(c.Refreshed)
	for _, b := range c.Batches {
		all = append(all, b.At)
	}
	return all
}

// touches reports whether data may put product on hair after a reaction to it.
// A report of a reaction, or what is noted of one, is always taken.
func touches(data Data) bool {
	switch data.(type) {
	case PiecePlaced, CoatApplied, CoatRefreshed, EventMoved:
		return true
	}
	return false
}

// heatToEnd are the zones on which heat was on at a moment and still is.
func (s *State) heatToEnd(at time.Time) (ids []string) {
	for _, z := range s.Zones {
		if z.Heated() && !z.Dropped && !z.Heat[len(z.Heat)-1].From.After(at) {
			ids = append(ids, z.ID)
		}
	}
	return ids
}

// React is the commands that report a reaction. A bare report of pain, as the
// one key makes it before anything was chosen, is put right: it gives way to one
// of the same moment that says what it is.
func (l *Log) React(now timing.Reading, d PainReported) []Command {
	p := l.bare()
	switch {
	case p == nil:
		return []Command{Do(d)}
	case d == PainReported{}:
		return nil // it is what was said
	}
	when := now.Wall.Add(p.At.Sub(l.State().Line.Now(now)))
	return []Command{Do(EventVoided{Seq: p.Seq, Reason: "now it is known what it is"}), DoAt(when, d)}
}

// bare is the report of pain that was logged last, if it says nothing more.
func (l *Log) bare() *Pain {
	_, e, ok := l.Undo()
	if d, is := e.Data.(PainReported); !ok || !is || d != (PainReported{}) {
		return nil
	}
	for i := range l.State().Pains {
		if p := &l.State().Pains[i]; p.Seq == e.Seq {
			return p
		}
	}
	return nil
}

// checkReaction refuses what would touch hair, or warm it, while a reaction
// other than pain is open: it says what comes first.
func (s *State) checkReaction(data Data, at time.Time) error {
	if p := s.Calling(); p != nil && !at.Before(p.At) {
		return errors.New("an emergency is open: call for help first, nothing else is put on")
	}
	if p := s.OpenPain(); p != nil && !at.Before(p.At) && s.staysOn() {
		return errors.New("product is in the eye: let the water run, then note what was found, before anything else")
	}
	if _, mixes := data.(BowlMixed); mixes {
		return nil
	}
	if p := s.OpenLook(); p != nil && !at.Before(p.At) {
		return errors.New("it itches: look at it again before anything more is put on, and use no heat")
	}
	return nil
}

// Said says a reaction as it was reported.
func (p Pain) Said() string {
	text := p.Reaction.Words()
	switch {
	case p.Look:
		text += ", mild"
	case p.Severe:
		text += ", severe"
	}
	if p.Again && !p.Look {
		text += ", again"
	}
	return text
}

// OffAfter is when the last of what was on at the report of a reaction came off;
// zero if nothing was on, or some still is.
func (s *State) OffAfter(p Pain) (off time.Time) {
	for _, z := range s.Zones {
		for _, c := range z.Coats {
			switch {
			case !c.onAt(p.At):
			case c.Off.IsZero():
				return time.Time{}
			case c.Off.After(off):
				off = c.Off
			}
		}
	}
	return off
}
