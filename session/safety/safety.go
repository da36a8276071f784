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
	// Final is a stop that no words pass. The next three say what lifts it, if
	// anything does.
	Final bool
	// Clears: a doctor's written [Clearance], or a plan without dye.
	Clears bool
	// NoPeroxide: a plan without peroxide.
	NoPeroxide bool
	// Retest: a later answer that goes on, with the day of the repeated test.
	Retest bool
	// Reasons are those that can be picked; see [Reasons].
	Reasons []string
	// Ask is what has to be noted with the answer; empty if nothing has.
	Ask    string
	Why    string // one sentence
	Source string
}

// A Setting is what an answer is judged by besides itself.
type Setting struct {
	// Opened is when the service began, in the salon's time zone, which days
	// are told by.
	Opened time.Time
	Rules  Rules
	Plan   Plan
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
	q := find(id)
	if q == nil {
		return Question{}, false
	}
	own := *q
	own.Answers = slices.Clone(q.Answers)
	return own, true
}

// Judge says what follows from an answer. A day may be given as 2026-02-28,
// "28/2", "28.2.2026", "28 Feb", "2 days ago", "yesterday" or "today". It fails
// on an unknown question, an unknown answer, and a day to come.
func Judge(id, answer string, in Setting) (Outcome, error) {
	q := find(id)
	if q == nil {
		return Outcome{}, fmt.Errorf("%q is no safety question: ask one of %s", id, strings.Join(IDs(), ", "))
	}
	var words []string
	if was, ok := formerly[id+": "+strings.ToLower(strings.TrimSpace(answer))]; ok {
		answer = was
	}
	for _, a := range q.Answers {
		if strings.EqualFold(strings.TrimSpace(answer), a.Word) {
			out := a.Outcome
			out.Answer = a.Word
			if q.ID == Age && out.Final {
				out.Why, out.Source = tooYoung(in.Plan)
			}
			if q.ID == SkinTest && !out.Final {
				out.Why, out.Source = untested(in.Rules)
			}
			if out.Source == "" {
				out.Source = q.Source
			}
			return out, nil
		}
		words = append(words, fmt.Sprintf("%q", a.Word))
	}
	if q.Kind == Day {
		day, err := parseDay(answer, in.Opened)
		if err != nil {
			return Outcome{}, fmt.Errorf("%w, or answer %s", err, strings.Join(words, " or "))
		}
		return judgeDay(day, in), nil
	}
	return Outcome{}, fmt.Errorf("%s: %q is no answer: say %s", q.ID, answer, strings.Join(words, " or "))
}
