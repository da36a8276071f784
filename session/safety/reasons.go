package safety

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"rinseby/session/formula"
)

// ReasonWords is the fewest words that a typed reason has: house rule, so that
// a slip of the keys does not count as one. A reason of the list of its own
// question is picked by one key.
const ReasonWords = 3

// IsReason reports whether a text has as many words as a typed reason must
// have.
func IsReason(text string) bool { return len(strings.Fields(text)) >= ReasonWords }

// ErrNoReason is wrapped by the error of [Reason].
var ErrNoReason = errors.New("that is no reason to go on")

// Reason is a reason in words: a number stands for a line of the list, from 1
// on, and anything else must be a line of it or a sentence. Empty text is none.
func Reason(text string, list []string) (string, error) {
	text = strings.TrimSpace(text)
	if n, err := strconv.Atoi(text); err == nil && n >= 1 && n <= len(list) {
		return list[n-1], nil
	}
	if text == "" || slices.Contains(list, text) || IsReason(text) {
		return text, nil
	}
	pick := ""
	if len(list) > 0 {
		var lines []string
		for i, r := range list {
			lines = append(lines, fmt.Sprintf("%d (%s)", i+1, r))
		}
		pick = "pick " + strings.Join(lines, ", ") + ", or "
	}
	return "", fmt.Errorf("%w: %stype it in %d words or more, or leave it empty", ErrNoReason, pick, ReasonWords)
}

// Reasons are the reasons that can be picked to go on after the answer to the
// question; none where a reason has to be typed, or where none passes. What is
// over a cap is of the strength used, which is 0 for what is on the scalp.
func Reasons(question, answer string, used formula.Percent) []string {
	out, _ := outcome(question, answer)
	if out.Final {
		return nil
	}
	list := make([]string, len(out.Reasons))
	for i, r := range out.Reasons {
		list[i] = strings.NewReplacer("{used}", formula.Label(used), "{cap}", formula.Label(out.Cap.Max)).Replace(r)
	}
	return list
}

// Said is the answer as it is shown: of a skin test that showed nothing no more
// than that and its day, since what it did not show may still be there.
func Said(question, answer string) string {
	if q := find(question); q != nil && q.Kind == Day {
		if _, err := time.Parse(dayLayout, answer); err == nil {
			return "no reaction seen, " + answer
		}
	}
	return answer
}

// outcome is what follows from a word of a question.
func outcome(question, answer string) (Outcome, bool) {
	if q := find(question); q != nil {
		for _, a := range q.Answers {
			if a.Word == answer {
				return a.Outcome, true
			}
		}
	}
	return Outcome{}, false
}

// Lifts says what lifts a stop that no words pass; empty if nothing does, or if
// words may pass it.
func Lifts(question, answer string) string {
	out, _ := outcome(question, answer)
	switch {
	case !out.Final:
		return ""
	case out.Clears:
		return "only a doctor's written clearance that names the dye, or a plan without dye"
	case out.NoPeroxide:
		return "only a plan without peroxide or lightener"
	case out.Retest:
		return "only a new test that is passed, with its day"
	}
	return ""
}

// A Clearance is a doctor's written word that a dye may be used. It is
// complete or it does not count: words alone clear nothing.
type Clearance struct {
	Dye  string // which dye it names
	By   string // which doctor or practice
	Seen string // the day on which it was seen, as 2026-02-28
}

// Given reports whether nothing of it is missing.
func (c Clearance) Given() bool {
	return strings.TrimSpace(c.Dye) != "" && strings.TrimSpace(c.By) != "" && c.Seen != ""
}

// String is the clearance in words.
func (c Clearance) String() string {
	return fmt.Sprintf("cleared in writing for %s by %s, seen %s", c.Dye, c.By, c.Seen)
}

// A Plan is what is planned and mixed, as far as answers depend on it.
type Plan struct {
	Known    bool // something is planned
	Dye      bool // something in it is no lightener; direct colour is dye, too
	Direct   bool // all dye in it is direct colour without developer
	Peroxide bool // something in it holds or gives off peroxide, as lightener does
	Lightens bool // there is lightener in it, which is mixed of powder
	Begun    bool // lightener has touched hair
}

// Add counts in a product of the kind, with developer of the strength.
func (p *Plan) Add(kind formula.Kind, strength formula.Percent) {
	lightener := Lightener(kind)
	direct := kind == formula.Semi && strength.AtMost(0)
	if !lightener {
		p.Direct = direct && (p.Direct || !p.Dye)
	}
	p.Known = true
	p.Dye = p.Dye || !lightener
	p.Lightens = p.Lightens || lightener
	// Persulfates give off peroxide whatever they are mixed with (from memory,
	// no source), so lightener counts at any strength.
	p.Peroxide = p.Peroxide || lightener || !strength.AtMost(0)
}

// Lightener reports whether the kind lightens without dye. High-lift colour is
// dye. A kind that is not known counts as dye.
func Lightener(kind formula.Kind) bool {
	return slices.Contains([]formula.Kind{formula.PowderLightener, formula.ClayLightener, formula.CreamLightener}, kind)
}

// asks reports whether the question is to be answered before anything touches
// hair. Asthma is asked before powder is mixed: where there is none, or where
// lightener is on hair already, nobody is held up by it.
func (p Plan) asks(question string) bool {
	return question != Airways || !p.Known || p.Lightens && !p.Begun
}
