package safety

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"rinseby/session/formula"
)

// A Word says what follows from an answer.
type Word string

// The words.
const (
	GoOn   Word = "go on"
	Capped Word = "cap"   // go on, within a [Cap]
	Stop   Word = "stop"  // nothing may touch hair
	Refer  Word = "refer" // ask someone who knows; go on only with a reason
)

// A Kind is how a question is answered.
type Kind int

// The kinds.
const (
	Choice Kind = iota // by one of its words
	Day                // by a day, or by one of its words
)

// A Question is asked before product touches hair.
type Question struct {
	ID      string // small letters and -
	Text    string // as it is put to the client, in at most 76 characters
	Kind    Kind
	Answers []Answer // the first of a [Choice] goes on without a cap
	Source  string   // why it is asked at all
}

// An Answer is one word that a question may be answered by.
type Answer struct {
	Word    string // in at most 48 characters
	Outcome Outcome
}

// An Outcome is what follows from an answer.
type Outcome struct {
	Word   Word
	Answer string // as it is kept: a word of the question, or a day as 2026-02-28
	Cap    Cap    // of [Capped]
	Head   string // the answer in a few words, of [Capped]
	// Until is the id of the question whose answer lifts a stop, if that goes
	// on; empty if none does.
	Until string
	// Final is a stop that no reason passes.
	Final  bool
	Why    string // one sentence
	Source string
}

// A Cap bounds what may be put on. The zero Cap bounds nothing.
type Cap struct {
	// Max is the strongest developer, as bought or as blended; 0 is no bound.
	Max formula.Percent
	// OffScalp forbids product on the scalp.
	OffScalp bool
	// Hair limits the cap to hair in this condition or a worse one; empty
	// means all hair.
	Hair formula.Condition
}

// TooStrong reports whether developer of the strength is over the cap on hair
// in the condition. Strengths are compared as the trade names them, so that
// 9.1 % is no stronger than 30 vol.
func (c Cap) TooStrong(p formula.Percent, on formula.Condition) bool {
	return c.Max > 0 && c.covers(on) && !p.Nominal().AtMost(c.Max.Nominal())
}

// TooClose reports whether the contact is against the cap.
func (c Cap) TooClose(contact formula.Contact, on formula.Condition) bool {
	return c.OffScalp && c.covers(on) && contact != formula.OffScalp
}

func (c Cap) covers(on formula.Condition) bool {
	worst := formula.Conditions()
	return c.Hair == formula.AnyCondition || slices.Index(worst, on) >= slices.Index(worst, c.Hair)
}

// String is the cap in words: "at most 20 vol on lightened hair or worse".
func (c Cap) String() string {
	var parts []string
	if c.Max > 0 {
		parts = append(parts, "at most "+formula.Label(c.Max))
	}
	if c.OffScalp {
		parts = append(parts, "nothing on the scalp")
	}
	if len(parts) == 0 {
		return "no cap"
	}
	text := strings.Join(parts, ", ")
	if c.Hair != formula.AnyCondition {
		text += fmt.Sprintf(" on %s hair or worse", c.Hair)
	}
	return text
}

// Find returns the question with the id.
func Find(id string) (Question, bool) {
	for _, q := range Questions() {
		if q.ID == id {
			return q, true
		}
	}
	return Question{}, false
}

// Judge tells what follows from an answer. Now is when the service began, in
// the salon's time zone, which days are told by. A day may be given as
// 2026-02-28, "28/2", "28.2.2026", "28 Feb", "2 days ago", "yesterday" or "today". It fails on a question or
// an answer that is none, and on a day to come.
func Judge(id, answer string, now time.Time) (Outcome, error) {
	q, ok := Find(id)
	if !ok {
		var ids []string
		for _, q := range Questions() {
			ids = append(ids, q.ID)
		}
		return Outcome{}, fmt.Errorf("%q is no safety question: ask one of %s", id, strings.Join(ids, ", "))
	}
	var words []string
	for _, a := range q.Answers {
		if strings.EqualFold(strings.TrimSpace(answer), a.Word) {
			out := a.Outcome
			out.Answer = a.Word
			if out.Source == "" {
				out.Source = q.Source
			}
			return out, nil
		}
		words = append(words, fmt.Sprintf("%q", a.Word))
	}
	if q.Kind == Day {
		day, err := parseDay(answer, now)
		if err != nil {
			return Outcome{}, fmt.Errorf("%w, or answer %s", err, strings.Join(words, " or "))
		}
		return judgeDay(day, now)
	}
	return Outcome{}, fmt.Errorf("%s: %q is no answer: say %s", q.ID, answer, strings.Join(words, " or "))
}

// A Given is an answer that was given.
type Given struct {
	Question string
	Reason   string // why the work goes on all the same; may be empty
	Outcome
}

// Overruled reports whether a reason was typed that counts: one after a stop
// that is final is none.
func (g Given) Overruled() bool {
	return strings.TrimSpace(g.Reason) != "" && !Final(g.Question, g.Answer)
}

// Head is the answer to the question in a few words, as a cap is headed:
// "Sensitive scalp".
func Head(question, answer string) string {
	q, _ := Find(question)
	for _, a := range q.Answers {
		if a.Word == answer && a.Outcome.Head != "" {
			return a.Outcome.Head
		}
	}
	return question + ", " + answer
}

// Final reports whether the answer to the question is a stop that no reason
// passes. It is told from the answer alone, however it was written down.
func Final(question, answer string) bool {
	q, _ := Find(question)
	return slices.ContainsFunc(q.Answers, func(a Answer) bool { return a.Outcome.Final && a.Word == answer })
}

// A Verdict is what follows from all answers together.
type Verdict struct {
	Open   []string // ids of questions without an answer, in the order of asking
	Stops  []Given  // that hold: without a reason, and not lifted by another answer
	Refers []Given  // without a reason
	Caps   []Given  // reasons given for single coats are not known here
}

// Clear reports whether product may touch hair, within the caps.
func (v Verdict) Clear() bool { return len(v.Open) == 0 && len(v.Stops) == 0 && len(v.Refers) == 0 }

// Judgement tells what follows from answers, of which the last to a question
// counts. Answers to questions that are none are left out; one whose outcome
// is no [Word] counts as none.
func Judgement(given []Given) Verdict {
	last := map[string]Given{}
	for _, g := range given {
		last[g.Question] = g
	}
	var v Verdict
	for _, q := range Questions() {
		g, ok := last[q.ID]
		switch {
		case !ok || !slices.Contains([]Word{GoOn, Capped, Stop, Refer}, g.Word):
			v.Open = append(v.Open, q.ID)
		case g.Word == Capped:
			v.Caps = append(v.Caps, g)
		case g.Overruled() || g.Word == GoOn:
		case g.Word == Refer:
			v.Refers = append(v.Refers, g)
		case g.Until == "" || last[g.Until].Word != GoOn:
			v.Stops = append(v.Stops, g)
		}
	}
	return v
}
