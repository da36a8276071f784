package safety

import (
	"slices"
	"strings"
)

// A Given is an answer that was given.
type Given struct {
	Question string
	Reason   string // why the work goes on all the same; may be empty
	// Mistake is why the answer before this one was a mistake. Only that, or
	// what lifts it, takes a final stop away.
	Mistake string
	// TestedOn is the day of a repeated test.
	TestedOn string
	Clearance
	Outcome
}

// Complete fills in what lifts a final stop, as its answer tells.
func (g Given) Complete() Given {
	if out, ok := outcome(g.Question, g.Answer); ok && g.Final {
		g.Clears, g.NoPeroxide, g.Retest = out.Clears, out.NoPeroxide, out.Retest
	}
	return g
}

// alwaysFinal are the answers that no words ever passed. They are final in old
// records, too, which don't say so.
var alwaysFinal = []string{Age + ":no", SkinTest + ":there was a reaction", Scalp + ":broken, sore or with a rash"}

// Overruled reports whether a reason was typed that counts. After a final stop
// none does.
func (g Given) Overruled() bool {
	return strings.TrimSpace(g.Reason) != "" && !g.Final && !slices.Contains(alwaysFinal, g.Question+":"+g.Answer)
}

// Head is the answer to the question in a few words, as a cap is headed:
// "Sensitive scalp".
func Head(question, answer string) string {
	if out, ok := outcome(question, answer); ok && out.Head != "" {
		return out.Head
	}
	return question + ", " + answer
}

// Final reports whether the answer to the question is a stop that no words
// pass. It is told from the answer alone, however it was written down.
func Final(question, answer string) bool {
	out, _ := outcome(question, answer)
	return out.Final
}

// Stands reports whether the answer stays as it is after the one that was given
// next: another answer alone does not remove a final stop. What does is another
// answer that says why the first was a mistake, the same answer given again, as
// with a clearance, or a repeated test with its day. No words take away what a
// test showed.
func (g Given) Stands(next Given) bool {
	switch {
	case !g.Final || g.Word != Stop || next.Answer == g.Answer || IsReason(next.Mistake) && !g.OfTest():
		return false
	case g.Retest && next.Word == GoOn && next.TestedOn != "":
		return false
	}
	return true
}

// OfTest reports whether the answer is what a test showed.
func (g Given) OfTest() bool { return g.Question == SkinTest || g.Retest }

// Standing is the index of the answer that counts, among those to one question
// in the order in which they were given: the last, unless a final stop before it
// stands. It is -1 if there are none.
func Standing(given []Given) int {
	at := -1
	for i, g := range given {
		if at < 0 || !given[at].Stands(g) {
			at = i
		}
	}
	return at
}

// Lifted says what lets the work go on after a stop, as things are: empty if
// nothing does.
func (g Given) Lifted(plan Plan) string {
	switch {
	case g.Word != Stop:
	case g.Clears && g.Clearance.Given():
		return g.Clearance.String()
	case g.Clears && plan.Known && !plan.Dye:
		return "the plan holds no dye"
	case g.NoPeroxide && plan.Known && !plan.Peroxide:
		return "the plan holds no peroxide"
	}
	return ""
}

// A Verdict is what follows from all answers together.
type Verdict struct {
	Open   []string // ids of questions without an answer, in the order of asking
	Stops  []Given  // that hold: without a reason, and not lifted
	Refers []Given  // without a reason
	Caps   []Given  // reasons given for single coats are not known here
}

// Clear reports whether product may touch hair, within the caps.
func (v Verdict) Clear() bool { return len(v.Open) == 0 && len(v.Stops) == 0 && len(v.Refers) == 0 }

// Of are the stops and refers that are about the question.
func (v Verdict) Of(question string) (gs []Given) {
	for _, g := range slices.Concat(v.Stops, v.Refers) {
		if g.Question == question {
			gs = append(gs, g)
		}
	}
	return gs
}

// Judgement tells what follows from answers and the plan. Of those to one
// question the last counts, unless a final stop stands. Answers to unknown
// questions are left out; so is one whose outcome is not a [Word].
func Judgement(given []Given, plan Plan) Verdict {
	of := map[string][]Given{}
	for _, g := range given {
		of[g.Question] = append(of[g.Question], g)
	}
	last := map[string]Given{}
	for id, gs := range of {
		last[id] = gs[Standing(gs)]
	}
	var v Verdict
	for _, q := range all {
		g, ok := last[q.ID]
		switch {
		case !ok || !slices.Contains([]Word{GoOn, Capped, Stop, Refer}, g.Word):
			if plan.asks(q.ID) {
				v.Open = append(v.Open, q.ID)
			}
		case g.Word == Capped:
			v.Caps = append(v.Caps, g)
		case g.Overruled() || g.Word == GoOn || g.Lifted(plan) != "":
		case g.Word == Refer:
			v.Refers = append(v.Refers, g)
		case g.Until == "" || last[g.Until].Word != GoOn:
			v.Stops = append(v.Stops, g)
		}
	}
	return v
}
