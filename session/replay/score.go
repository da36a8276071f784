package replay

import (
	"fmt"
	"slices"
)

// A Ground is what there is to judge an answer by.
type Ground int

// The grounds.
const (
	Unknown Ground = iota // nothing
	Good                  // it did, or would have done, no harm
	Bad
)

// A Verdict is what an answer scores.
type Verdict string

// The verdicts.
const (
	Right    Verdict = "right"
	Wrong    Verdict = "wrong"
	NoGround Verdict = "no ground to judge"
)

// Judge says what choosing an option scores. The error says that there is no
// such option.
//
// A house rule, no source: right is what the planner would do, and what leaves
// no zone that was on past a limit and rinses none before it is open; of a
// depth, what was seen; of an amount, what the planner of amounts would mix.
// Where that can't be told of an option, or of none it holds, there is no score:
// then something else decided.
func (q Question) Judge(option int) (Verdict, error) {
	if option < 0 || option >= len(q.Options) {
		return "", fmt.Errorf("there is no answer %d: choose 1 to %d", option+1, len(q.Options))
	}
	right := func(a Answer) bool { return a.Planner && q.Kind != Check || a.Ground == Good }
	a := q.Options[option]
	switch {
	case right(a):
		return Right, nil
	case a.Ground == Bad && slices.ContainsFunc(q.Options, right):
		return Wrong, nil
	}
	return NoGround, nil
}

// A Tally counts answers.
type Tally struct{ Right, Wrong, NoGround int }

// A Sheet is the score of one who answers. The zero Sheet is ready for use.
type Sheet struct{ kinds map[Kind]Tally }

// Add scores an answer; see [Question.Judge].
func (s *Sheet) Add(q Question, option int) (Verdict, error) {
	v, err := q.Judge(option)
	if err != nil {
		return v, err
	}
	if s.kinds == nil {
		s.kinds = map[Kind]Tally{}
	}
	t := s.kinds[q.Kind]
	switch v {
	case Right:
		t.Right++
	case Wrong:
		t.Wrong++
	default:
		t.NoGround++
	}
	s.kinds[q.Kind] = t
	return v, nil
}

// Of is the score in questions of a kind.
func (s *Sheet) Of(k Kind) Tally { return s.kinds[k] }

// All is the score in all questions.
func (s *Sheet) All() (all Tally) {
	for _, t := range s.kinds {
		all.Right += t.Right
		all.Wrong += t.Wrong
		all.NoGround += t.NoGround
	}
	return all
}

// String says the score.
func (t Tally) String() string {
	text := fmt.Sprintf("%d of %d right", t.Right, t.Right+t.Wrong)
	if t.NoGround > 0 {
		text += fmt.Sprintf(", %d without ground to judge", t.NoGround)
	}
	return text
}
