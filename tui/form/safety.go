package form

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"rinseby/session"
	"rinseby/session/safety"
	"rinseby/tui/intent"
	"rinseby/tui/theme"
)

// typedDay stands for a day that is to be typed.
const typedDay = "day"

// An asked is a question and what is answered to it.
type asked struct {
	q           safety.Question
	before      session.SafetyAnswered // what stands so far
	word        string                 // empty: not asked
	day, reason string
	reasoned    string // the answer that the reason is for
	renew       func() // shows the reason
}

// answer is what is answered, in words.
func (a *asked) answer() string {
	if a.word == typedDay {
		return strings.TrimSpace(a.day)
	}
	return a.word
}

// keep empties the reason when the answer is another one than it was typed for.
func (a *asked) keep() {
	if answer := a.answer(); answer != a.reasoned {
		a.reasoned = answer
		if a.reason != "" {
			a.reason = ""
			a.renew()
		}
	}
}

// after has keep look at the answer after each key of the field.
func (a *asked) after(fd field) field {
	before := fd.sync
	fd.sync = func() {
		if before != nil {
			before()
		}
		a.keep()
	}
	return fd
}

// safetyHelp says what each question means, by its id. What follows from an
// answer, and where that is from, stands below the questions.
var safetyHelp = map[string]string{
	safety.Age:      "Labels of hair dye set an age. Ask, if you do not know.",
	safety.Reaction: "Any rash, swelling, blisters or bad itching after hair dye, however long ago, at home too.",
	safety.Henna:    "Black tattoos painted on the skin, as on holiday, can make an allergy to hair dye. Ask how the skin was after it.",
	safety.SkinTest: "A little of each product was put on the skin and watched, as its instructions say, the toner's too. Say which day, or what was seen.",
	safety.Health:   "Ask whether there is anything that a doctor treats, any medicine, or a pregnancy. You need not write down what.",
	safety.Scalp:    "Part the hair and look. Sensitive is tender without a wound; broken, sore or with a rash means no product at all.",
	safety.History:  "The worst thing that this hair went through, on any part that product will touch. It bounds the strength of developer.",
	safety.Deposits: "Metal salts (in some home colours), henna and hard water leave metal on hair, which can harm it when it is lightened.",
	safety.Strand:   "A strand of this hair was tried with the products of today, and looked at and stretched after it.",
	safety.Ready:    "The client said yes to what is planned, you wear gloves, and there is fresh air: dust of lightener is not to be breathed.",
}

// A safetyForm is the questions, and what they are judged by.
type safetyForm struct {
	form    *Form
	opened  time.Time // in the salon's time zone
	asked   []*asked
	byField map[[2]int]*asked // by page and field
}

// perPage are how many questions are on each page.
var perPage = []int{3, 2, 3, 2}

// Safety asks the safety questions, offering what was answered before and
// nothing else. Under the
// questions it tells what follows. Days are told in the place. Its intent logs
// one session.SafetyAnswered for each answer that is new; questions may be
// left for later.
func Safety(th *theme.Theme, s *session.State, place *time.Location) *Form {
	f := &safetyForm{opened: s.Opened.In(place), byField: map[[2]int]*asked{}}
	for _, q := range safety.Questions() {
		a := &asked{q: q}
		if i := slices.IndexFunc(s.Answers(), func(o session.Answered) bool { return o.Question == q.ID }); i >= 0 {
			a.before = s.Answers()[i].SafetyAnswered
			a.word, a.reason = a.before.Answer, a.before.Reason
		}
		if !slices.ContainsFunc(q.Answers, func(w safety.Answer) bool { return w.Word == a.word }) {
			if a.day, a.word = a.word, ""; q.Kind == safety.Day && a.day != "" {
				a.word = typedDay
			}
		}
		a.reasoned = a.answer()
		f.asked = append(f.asked, a)
	}
	f.form = start(th, Form{
		title:  "Safety questions",
		lead:   []string{"Nothing may touch hair before all are answered. The product's instructions come first."},
		pages:  f.pages(),
		live:   f.say,
		submit: f.submit,
	})
	f.toRefer()
	return f.form
}

// toRefer goes to the first question that someone has to be asked about, if
// that is all that stands in the way.
func (f *safetyForm) toRefer() {
	v := safety.Judgement(f.given())
	if len(v.Open) > 0 || len(v.Stops) > 0 || len(v.Refers) == 0 {
		return
	}
	for p := range f.form.pages {
		for i := range f.form.pages[p].fields {
			if a := f.byField[[2]int{p, i}]; a != nil && a.q.ID == v.Refers[0].Question {
				f.form.goTo(p, i)
				return
			}
		}
	}
}

// pages are the questions in groups, each group followed by what some answers
// ask for: a day, a reason.
func (f *safetyForm) pages() (pages []page) {
	rest := f.asked
	for _, n := range perPage {
		group := rest[:n]
		rest = rest[n:]
		var questions page
		for i, a := range group {
			choices := []choice[string]{{"not asked", ""}}
			if a.q.Kind == safety.Day {
				choices = append(choices, choice[string]{"done, and nothing to see: type the day", typedDay})
			}
			for _, w := range a.q.Answers {
				choices = append(choices, choice[string]{w.Word, w.Word})
			}
			questions.fields = append(questions.fields, a.after(turn(a.q.Text, &a.word, choices).helped(safetyHelp[a.q.ID])))
			f.byField[[2]int{len(pages), i}] = a
		}
		pages = append(pages, questions)
		for _, a := range group {
			if a.q.Kind == safety.Day {
				f.byField[[2]int{len(pages), 0}] = a
				pages = append(pages, page{hidden: func() bool { return a.word != typedDay }, fields: []field{
					a.after(text("Day of the test, as "+f.opened.AddDate(0, 0, -2).Format("2/1, 2 Jan")+" or 2 days ago", &a.day, func(string) error {
						_, err := safety.Judge(a.q.ID, a.answer(), f.opened)
						return err
					})).helped("The day on which these products were put on the skin, if nothing was to see since: day and month, as 2/1 or 2 Jan, or 2 days ago. Whether that serves is said below."),
				}})
			}
			f.byField[[2]int{len(pages), 0}] = a
			why := text("Reason to go on all the same; empty: it does not go on", &a.reason, reason).
				helped(fmt.Sprintf("Only a reason goes on after such an answer, as what a doctor said, in %d words or more. It stands on the record. Left empty, nothing is mixed or put on.", session.ReasonWords))
			a.renew = why.renew
			pages = append(pages, page{hidden: func() bool { return !f.needsReason(a) }, fields: []field{why}})
		}
	}
	return pages
}

// given are the answers so far, as they are judged.
func (f *safetyForm) given() (all []safety.Given) {
	for _, a := range f.asked {
		if out, err := safety.Judge(a.q.ID, a.answer(), f.opened); err == nil {
			g := safety.Given{Question: a.q.ID, Outcome: out}
			if out.Word == safety.Stop || out.Word == safety.Refer {
				g.Reason = a.reason
			}
			all = append(all, g)
		}
	}
	return all
}

// needsReason reports whether the answer, among the others, is one that only a
// reason goes on after. After a stop that is final none does.
func (f *safetyForm) needsReason(a *asked) bool {
	v := f.unreasoned()
	return slices.ContainsFunc(append(v.Stops, v.Refers...), func(g safety.Given) bool { return g.Question == a.q.ID && !g.Final })
}

// unreasoned is what follows from the answers if no reason is counted.
func (f *safetyForm) unreasoned() safety.Verdict {
	given := f.given()
	for i := range given {
		given[i].Reason = ""
	}
	return safety.Judgement(given)
}

// say tells what follows from the answer in hand, and from all together.
func (f *safetyForm) say() (lines []string) {
	p, i := f.form.at()
	if a := f.byField[[2]int{p, i}]; a != nil {
		if out, err := safety.Judge(a.q.ID, a.answer(), f.opened); err == nil {
			lines = append(lines, follows(out), "From: "+out.Source+".")
		}
	}
	v, all := safety.Judgement(f.given()), f.unreasoned()
	var sum []string
	for _, part := range []struct {
		n    int
		what string
	}{
		{len(v.Stops), "to stop"}, {len(all.Stops) - len(v.Stops), "stop, gone on with by reason"},
		{len(v.Refers), "to ask about"}, {len(all.Refers) - len(v.Refers), "to ask about, gone on with by reason"},
		{len(v.Caps), "with a cap"}, {len(v.Open), "not answered"},
	} {
		if part.n > 0 {
			sum = append(sum, fmt.Sprintf("%d %s", part.n, part.what))
		}
	}
	if len(sum) == 0 {
		sum = []string{"go on"}
	}
	return append(lines, "All together: "+strings.Join(sum, ", ")+".")
}

// follows says an outcome in words.
func follows(out safety.Outcome) string {
	switch out.Word {
	case safety.GoOn:
		return "Go on. " + out.Why
	case safety.Capped:
		return "Go on, with " + out.Cap.String() + ". " + out.Why
	case safety.Refer:
		return "ASK FIRST. " + out.Why
	}
	if out.Final {
		return "STOP. " + out.Why + " No reason passes this."
	}
	return "STOP. " + out.Why
}

func (f *safetyForm) submit() (intent.Intent, error) {
	var data []session.Data
	for _, a := range f.asked {
		answer, reason := a.answer(), strings.TrimSpace(a.reason)
		if !f.needsReason(a) {
			reason = ""
		}
		if answer == "" || answer == a.before.Answer && reason == a.before.Reason {
			continue
		}
		data = append(data, session.SafetyAnswered{Question: a.q.ID, Answer: answer, Reason: reason})
	}
	if len(data) == 0 {
		return nil, errors.New("nothing was answered that was not before: choose an answer, or leave with esc")
	}
	say := "Answers noted"
	if v := safety.Judgement(f.given()); len(v.Open) > 0 {
		say += ", still open: " + strings.Join(v.Open, ", ")
	}
	return logged(say, data...), nil
}

// reason checks why it goes on after an answer that stops; none is one, too.
func reason(text string) error {
	if strings.TrimSpace(text) != "" && !session.IsReason(text) {
		return fmt.Errorf("that is no reason to go on: type it in %d words or more, or leave it empty", session.ReasonWords)
	}
	return upTo(session.MaxText)(text)
}
