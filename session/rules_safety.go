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

// ErrUnasked means that product would touch hair before all safety questions
// are answered.
type ErrUnasked struct {
	Questions []string // ids, in the order of asking
}

func (e *ErrUnasked) Error() string {
	first := ""
	if len(e.Questions) > 0 {
		if q, ok := safety.Find(e.Questions[0]); ok {
			first = ", the first: " + q.Text
		}
	}
	return fmt.Sprintf("nothing may touch hair before the safety questions are answered (y): %d open%s", len(e.Questions), first)
}

// ErrStopped means that product would touch hair after an answer that says to
// stop, or to ask someone, and that has no reason to go on.
type ErrStopped struct {
	Answers []safety.Given
}

func (e *ErrStopped) Error() string {
	var said []string
	how := "answer it again once that has changed, or with the reason to go on"
	for _, g := range e.Answers {
		said = append(said, fmt.Sprintf("%s (%s)", g.Question, g.Answer))
		if safety.Final(g.Question, g.Answer) {
			how = "no reason passes this; finish without colour, or answer again what was answered by mistake"
		}
	}
	return fmt.Sprintf("nothing may touch hair after the answer to %s: %s", strings.Join(said, ", "), how)
}

// given is the answer as [safety.Judgement] takes it.
func (d SafetyAnswered) given() safety.Given {
	return safety.Given{Question: d.Question, Reason: d.Reason, Outcome: safety.Outcome{
		Word: d.Outcome, Answer: d.Answer, Until: d.Until, Why: d.Why, Source: d.Source, Cap: d.Cap(),
	}}
}

// Cap is the cap that the answer sets.
func (d SafetyAnswered) Cap() safety.Cap {
	return safety.Cap{Max: d.MaxStrength, OffScalp: d.OffScalp, Hair: d.Hair}
}

// checkAnswer judges an answer, whatever the asker says follows from it. Days
// are told in the place.
func (s *State) checkAnswer(d SafetyAnswered, place *time.Location) (Data, error) {
	if err := text(d.Reason); err != nil {
		return nil, err
	}
	out, err := safety.Judge(d.Question, d.Answer, s.Opened.In(place))
	if err != nil {
		return nil, err
	}
	if out.Final && strings.TrimSpace(d.Reason) != "" {
		return nil, fmt.Errorf("%s (%s): no reason passes this, as nothing may touch hair after it: %s", d.Question, out.Answer, out.Why)
	}
	stops := out.Word == safety.Stop || out.Word == safety.Refer
	if stops && strings.TrimSpace(d.Reason) != "" && !IsReason(d.Reason) {
		return nil, fmt.Errorf("%s (%s): that is no reason to go on: type it in %d words or more, or leave it empty: %s", d.Question, out.Answer, ReasonWords, out.Why)
	}
	return SafetyAnswered{
		Question: d.Question, Answer: out.Answer, Outcome: out.Word,
		MaxStrength: out.Cap.Max, OffScalp: out.Cap.OffScalp, Hair: out.Cap.Hair,
		Until: out.Until, Why: out.Why, Source: out.Source, Reason: strings.TrimSpace(d.Reason),
	}, nil
}

// AnswersAt are the answers that stood at the moment at, in the order of
// asking: of each question the last one logged of those that had been given by
// then. Where none had, the last of all stands, so that what is logged late is
// judged by what was asked since.
func (s *State) AnswersAt(at time.Time) []Answered {
	var standing []Answered
	for _, q := range safety.Questions() {
		var now, ever *Answered
		for i := range s.Safety {
			a := &s.Safety[i]
			if a.Question != q.ID {
				continue
			}
			if ever = a; !a.At.After(at) {
				now = a
			}
		}
		if found := cmp.Or(now, ever); found != nil {
			standing = append(standing, *found)
		}
	}
	return standing
}

// Answers are the answers that stand now, in the order of asking.
func (s *State) Answers() []Answered { return s.AnswersAt(s.last()) }

// Verdict is what follows from the answers that stood at the moment at.
func (s *State) Verdict(at time.Time) safety.Verdict {
	var given []safety.Given
	for _, a := range s.AnswersAt(at) {
		given = append(given, a.given())
	}
	return safety.Judgement(s.tighter(given))
}

// last is the latest moment of any answer.
func (s *State) last() (at time.Time) {
	for _, a := range s.Safety {
		if a.At.After(at) {
			at = a.At
		}
	}
	return at
}

// coated reports whether product was ever put on.
func (s *State) coated() bool { return slices.ContainsFunc(s.Zones, (*Zone).Started) }

// checkTouch refuses what would touch hair, or work on it, while a question is
// open, after a stop, or while pain is open. What touched it before the pain
// may be logged late, so that it is known and comes off.
func (s *State) checkTouch(data Data, at time.Time) error {
	switch data.(type) {
	case PiecePlaced, CoatApplied, CoatRefreshed:
		v := s.Verdict(at)
		if len(v.Open) > 0 {
			return &ErrUnasked{Questions: v.Open}
		}
		if !v.Clear() {
			return &ErrStopped{Answers: append(v.Stops, v.Refers...)}
		}
	case BowlMixed, HeatOn:
	default:
		return nil
	}
	if err := s.checkReaction(data, at); err != nil {
		return err
	}
	if p := s.OpenPain(); p != nil && !at.Before(p.At) {
		return errors.New("pain or burning was reported: rinse all with cool running water, then note what was found, before anything else")
	}
	return s.checkEnded(at)
}

// wrongNow is the answer by which what is on a zone must come off at once: a
// stop without a reason, or a cap that it is over. It is nil if it may stay.
func (s *State) wrongNow(z *Zone, v safety.Verdict) *safety.Given {
	if !z.Holding() {
		return nil
	}
	if len(v.Stops) > 0 {
		return &v.Stops[0]
	}
	for _, c := range z.Coats {
		if !c.Off.IsZero() {
			continue
		}
		for i, g := range v.Caps {
			for _, q := range c.judged() {
				if slices.ContainsFunc(breaches(g, q), func(b breach) bool { return !s.reasoned(b.key) }) {
					return &v.Caps[i]
				}
			}
		}
	}
	return nil
}

// wrongWarning is the alarm of what an answer no longer allows.
func (s *State) wrongWarning(b *Board) []Warning {
	v := b.verdict
	for _, z := range s.Zones {
		if g := s.wrongNow(z, v); g != nil {
			key := "stopped:" + g.Question
			return []Warning{{Key: key, Level: Alarm, Zone: z.ID, At: b.Now, Acked: s.Acked(key), Text: "STOP, rinse what is on: " + g.Why}}
		}
	}
	return nil
}

// nextSafety asks what is still open, and leads out of a service that was
// stopped.
func (s *State) nextSafety(b *Board) (Action, bool) {
	v := b.verdict
	switch {
	case len(v.Stops) > 0:
		a := Action{Verb: DoFinish, Text: "STOPPED: finish without colour", Why: "wrong answer? y. " + v.Stops[0].Why}
		if s.coated() {
			a.Text = "STOPPED: finish the service"
			if step, ok := s.nextStep(b); ok {
				return step, true
			}
		}
		return a, true
	case len(v.Open) > 0:
		return Action{Verb: DoSafety, Text: "Ask the safety questions", Why: "nothing may touch hair before they are answered"}, true
	case len(v.Refers) > 0:
		return Action{Verb: DoSafety, Text: "Ask first: " + v.Refers[0].Question, Why: v.Refers[0].Why}, true
	}
	return Action{}, false
}
