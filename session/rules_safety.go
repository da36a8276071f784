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
	if slices.Equal(e.Questions, []string{safety.Airways}) {
		return "no lightener is mixed or put on before this is answered (y)" + strings.Replace(first, ", the first", "", 1)
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
		if !g.Final {
			continue
		}
		slip := ", or answer again and say why the first answer was a mistake"
		if g.OfTest() {
			slip = "; a slip of a key is taken back with u"
		}
		how = "no reason passes this; finish without colour" + slip
		if lifts := safety.Lifts(g.Question, g.Answer); lifts != "" {
			how = "no reason passes this, " + lifts + "; otherwise finish without colour" + slip
			break
		}
	}
	return fmt.Sprintf("nothing may touch hair after the answer to %s: %s", strings.Join(said, ", "), how)
}

// Given is the answer as [safety.Judgement] takes it. What lifts a final stop
// is told from the answer.
func (d SafetyAnswered) Given() safety.Given {
	g := safety.Given{Question: d.Question, Reason: d.Reason, Mistake: d.Mistake, TestedOn: d.Tested, Clearance: d.Clearance(),
		Outcome: safety.Outcome{
			Word: d.Outcome, Answer: d.Answer, Until: d.Until, Final: d.Final, Why: d.Why, Source: d.Source, Cap: d.Cap(),
		}}
	return g.Complete()
}

// Clearance is the doctor's written clearance that the answer holds, if it does.
func (d SafetyAnswered) Clearance() safety.Clearance {
	return safety.Clearance{Dye: d.ClearedDye, By: d.ClearedBy, Seen: d.ClearedOn}
}

// Cap is the cap that the answer sets.
func (d SafetyAnswered) Cap() safety.Cap {
	return safety.Cap{Max: d.MaxStrength, OffScalp: d.OffScalp, Hair: d.Hair}
}

// Rules are the figures that differ by region, with those that the salon has
// set for itself.
func (s *State) Rules() safety.Rules {
	return safety.RulesOf(s.Region).With(s.SkinTestHours, s.SkinTestDays)
}

// Setting is what answers are judged by besides themselves. Days are told in
// the place.
func (s *State) Setting(place *time.Location) safety.Setting {
	return safety.Setting{Opened: s.Opened.In(place), Rules: s.Rules(), Plan: s.Kinds()}
}

// Kinds is what is planned and mixed, as far as answers depend on it.
func (s *State) Kinds() (p safety.Plan) {
	for _, z := range s.Zones {
		for _, b := range z.Bands {
			if !z.Dropped {
				p.Add(b.Kind, b.Strength)
			}
		}
		for _, c := range z.Coats {
			p.Add(c.Family, c.Strength)
			p.Begun = p.Begun || safety.Lightener(c.Family)
		}
	}
	for _, b := range s.Bowls {
		if b.Emptied.IsZero() {
			p.Add(b.Family, b.Strength)
		}
	}
	return p
}

// checkAnswer judges an answer, whatever the asker says follows from it. Days
// are told in the place.
func (s *State) checkAnswer(d SafetyAnswered, at time.Time, place *time.Location) (Data, error) {
	if err := cmp.Or(text(d.Reason), text(d.Mistake), text(d.Note), short(d.ClearedDye), short(d.ClearedBy)); err != nil {
		return nil, err
	}
	out, err := safety.Judge(d.Question, d.Answer, s.Setting(place))
	if err != nil {
		return nil, err
	}
	all := SafetyAnswered{
		Question: d.Question, Answer: out.Answer, Outcome: out.Word,
		MaxStrength: out.Cap.Max, OffScalp: out.Cap.OffScalp, Hair: out.Cap.Hair,
		Until: out.Until, Final: out.Final, Why: out.Why, Source: out.Source, Reason: strings.TrimSpace(d.Reason),
	}
	if out.Final && all.Reason != "" {
		return nil, fmt.Errorf("%s (%s): no reason passes this, as nothing may touch hair after it: %s", d.Question, out.Answer, out.Why)
	}
	if out.Word == safety.Stop || out.Word == safety.Refer {
		if all.Reason, err = safety.Reason(d.Reason, safety.Reasons(d.Question, out.Answer, 0)); err != nil {
			return nil, fmt.Errorf("%s (%s): %w: %s", d.Question, out.Answer, err, out.Why)
		}
	}
	if all.Note = strings.TrimSpace(d.Note); out.Ask == "" {
		all.Note = ""
	} else if all.Note == "" {
		return nil, fmt.Errorf("%s (%s): type what it is, so that the products' instructions can be checked for it", d.Question, out.Answer)
	}
	if err := s.checkMistake(&all, d.Mistake); err != nil {
		return nil, err
	}
	now := at.In(place)
	if err := checkCleared(&all, d, out, now); err != nil {
		return nil, err
	}
	return all, s.checkTested(&all, d, now)
}

// checkMistake keeps why the answer that stood was a mistake, if that was a
// final stop and is another one.
func (s *State) checkMistake(all *SafetyAnswered, mistake string) error {
	was := s.stood(all.Question, s.last())
	if mistake = strings.TrimSpace(mistake); was == nil || !was.Given().Stands(all.Given()) || mistake == "" {
		return nil
	}
	if !IsReason(mistake) {
		return fmt.Errorf("%s: type why %q was answered by mistake, in %d words or more; without that the first answer stands", all.Question, was.Answer, ReasonWords)
	}
	all.Mistake = mistake
	return nil
}

// checkCleared keeps a doctor's written clearance, where one lifts the stop.
func checkCleared(all *SafetyAnswered, d SafetyAnswered, out safety.Outcome, now time.Time) error {
	dye, by, day := strings.TrimSpace(d.ClearedDye), strings.TrimSpace(d.ClearedBy), strings.TrimSpace(d.ClearedOn)
	if !out.Clears || dye == "" && by == "" && day == "" {
		return nil
	}
	if dye == "" || by == "" || day == "" {
		return fmt.Errorf("%s (%s): a doctor's written clearance names the dye; say which dye, which doctor or practice, and the day on which you saw it", d.Question, out.Answer)
	}
	seen, err := safety.ReadDay(day, now)
	if err != nil {
		return fmt.Errorf("%s (%s): the day on which the clearance was seen: %w", d.Question, out.Answer, err)
	}
	all.ClearedDye, all.ClearedBy, all.ClearedOn = dye, by, seen
	return nil
}

// checkTested keeps the day of a strand test that was passed. After one that
// failed it is needed, and is no earlier than the day on which that was logged:
// house rule, so that an old test clears no new one.
func (s *State) checkTested(all *SafetyAnswered, d SafetyAnswered, now time.Time) error {
	if all.Question != safety.Strand || all.Outcome != safety.GoOn {
		return nil
	}
	was := s.stood(safety.Strand, s.last())
	failed := was != nil && was.Given().Retest
	if strings.TrimSpace(d.Tested) == "" {
		return nil
	}
	day, err := safety.ReadDay(d.Tested, now)
	if err != nil {
		return fmt.Errorf("the day of the strand test: %w", err)
	}
	if failed && day < was.At.In(now.Location()).Format(time.DateOnly) {
		return fmt.Errorf("the strand test of %s is from before the one that failed: test another strand", day)
	}
	all.Tested = day
	return nil
}

// AnswersAt are the answers that stood at the moment at, in the order of
// asking: of each question the last one logged of those that had been given by
// then, unless a final stop stands. Where none had been given, later ones count,
// so that what is logged late is judged by what was asked since.
func (s *State) AnswersAt(at time.Time) []Answered {
	var standing []Answered
	for _, id := range safety.IDs() {
		if found := s.stood(id, at); found != nil {
			standing = append(standing, *found)
		}
	}
	return standing
}

// stood is the answer to the question that stood at the moment at; nil if none
// was ever given.
func (s *State) stood(question string, at time.Time) *Answered {
	var now, ever []*Answered
	for i := range s.Safety {
		if a := &s.Safety[i]; a.Question == question {
			if ever = append(ever, a); !a.At.After(at) {
				now = append(now, a)
			}
		}
	}
	if len(now) == 0 {
		now = ever
	}
	given := make([]safety.Given, len(now))
	for i, a := range now {
		given[i] = a.Given()
	}
	if i := safety.Standing(given); i >= 0 {
		return now[i]
	}
	return nil
}

// Stood reports whether the answer, the one at the place i of Safety, is the one
// that counts; another one to its question that does not is kept beside it.
func (s *State) Stood(i int) bool { return s.stood(s.Safety[i].Question, s.last()) == &s.Safety[i] }

// Answers are the answers that stand now, in the order of asking.
func (s *State) Answers() []Answered { return s.AnswersAt(s.last()) }

// Verdict is what follows from the answers that stood at the moment at.
func (s *State) Verdict(at time.Time) safety.Verdict {
	var given []safety.Given
	for _, a := range s.AnswersAt(at) {
		given = append(given, a.Given())
	}
	return safety.Judgement(s.tighter(given), s.Kinds())
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
	case BowlMixed:
		if err := s.checkPowder(data.(BowlMixed), at); err != nil {
			return err
		}
	case HeatOn:
	default:
		return nil
	}
	if err := s.checkReaction(data, at); err != nil {
		return err
	}
	if p := s.OpenPain(); p != nil && !at.Before(p.At) {
		return errors.New(p.Reaction.Words() + ", as reported: rinse all with cool running water, then note what was found, before anything else")
	}
	return s.checkEnded(at)
}

// checkPowder refuses to mix lightener before asthma was asked about, or while
// somebody has to be asked because of it: its dust is breathed by all who are
// near. Lightener that has touched hair already is not held up.
func (s *State) checkPowder(d BowlMixed, at time.Time) error {
	if !safety.Lightener(d.Family) || s.Kinds().Begun {
		return nil
	}
	if s.stood(safety.Airways, at) == nil {
		return &ErrUnasked{Questions: []string{safety.Airways}}
	}
	if of := s.Verdict(at).Of(safety.Airways); len(of) > 0 {
		return &ErrStopped{Answers: of}
	}
	return nil
}

// stopsBefore are the stops before data that may bring in another kind of
// product.
func (s *State) stopsBefore(data Data) []safety.Given {
	switch data.(type) {
	case PlanSet, PlanChanged, BowlMixed:
		return s.Verdict(s.last()).Stops
	}
	return nil
}

// dyed refuses what would put dye, or peroxide, into a plan that goes on only
// because it has none.
func (s *State) dyed(before []safety.Given, data Data) error {
	for _, g := range s.stopsBefore(data) {
		was := slices.ContainsFunc(before, func(o safety.Given) bool { return o.Question == g.Question })
		if g.Final && !was {
			return fmt.Errorf("after the answer to %s (%s) the work goes on only as it is planned now: %s", g.Question, g.Answer, safety.Lifts(g.Question, g.Answer))
		}
	}
	return nil
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
		if lifts := safety.Lifts(v.Stops[0].Question, v.Stops[0].Answer); lifts != "" && v.Stops[0].Final {
			a.Why += " No reason passes this, " + lifts + "."
		}
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
