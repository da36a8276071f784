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
	"rinseby/tui/widget"
)

// typedDay stands for a day that is to be typed.
const typedDay = "day"

// An asked is a question and what is answered to it.
type asked struct {
	q      safety.Question
	before session.SafetyAnswered // what stands so far
	word   string                 // empty: not asked
	day    string
	also
	lists    map[string]*why // reasons to pick, by the answer that they are for
	typed    string          // a reason that is typed
	typedFor string          // the answer that typed and also are for
	renew    []func()        // show what was emptied
}

// typing reports whether a reason is to be typed for the answer in hand.
func (a *asked) typing() bool {
	w := a.lists[a.word]
	return w == nil || w.pick == otherReason
}

// reason is why it goes on after the answer in hand, in words.
func (a *asked) reason() string {
	if !a.typing() {
		return a.lists[a.word].text()
	}
	return strings.TrimSpace(a.typed)
}

// also is what some answers ask for besides.
type also struct {
	note, mistake, tested string
	dye, by, seen         string // of a doctor's clearance
}

// answer is what is answered, in words.
func (a *asked) answer() string {
	if a.word == typedDay {
		return strings.TrimSpace(a.day)
	}
	return a.word
}

// keep empties what was typed for another answer.
func (a *asked) keep() {
	if answer := a.answer(); answer != a.typedFor {
		a.typedFor = answer
		a.also, a.typed = also{}, ""
		for _, w := range a.lists {
			w.pick = noReason
		}
		for _, renew := range a.renew {
			renew()
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

// data is the answer as it is logged.
func (a *asked) data() session.SafetyAnswered {
	return session.SafetyAnswered{Question: a.q.ID, Answer: a.answer(), Reason: a.reason(), Note: a.note, Mistake: a.mistake,
		Tested: a.tested, ClearedDye: a.dye, ClearedBy: a.by, ClearedOn: a.seen}
}

// safetyHelp says what each question means, by its id. What follows from an
// answer, and where that is from, stands below the questions.
var safetyHelp = map[string]string{
	safety.Age:      "Labels of hair dye set an age. Ask, if you do not know.",
	safety.Reaction: "Any rash, swelling, blisters or bad itching after hair dye, however long ago, at home too.",
	safety.Henna:    "Black tattoos painted on the skin, as on holiday, can make an allergy to hair dye. Ask how the skin was after it.",
	safety.SkinTest: "A little of each product was put on the skin and watched, as its instructions say, the toner's too. Say which day, or what was seen.",
	safety.Health:   "Yes is for pregnancy, an illness of the skin, or a treatment that weakens hair or skin. Anything else that a doctor treats: ask what it is, and read the products' instructions for it.",
	safety.Airways:  "Ask before you mix. Powder gives off dust that can set off asthma, yours too: mix it away from the client, where air moves. Say so if you have asthma yourself.",
	safety.Scalp:    "Part the hair and look. Sensitive is tender without a wound; broken, sore or with a rash means no product at all.",
	safety.History:  "The worst thing that this hair went through, on any part that product will touch. It bounds the strength of developer.",
	safety.Deposits: "Metal salts (in some home colours), henna and hard water leave metal on hair, which can harm it when it is lightened.",
	safety.Strand:   "A strand of this hair was tried with the products of today, and looked at and stretched after it.",
	safety.Ready:    "The client said yes to what is planned, you wear gloves, and there is fresh air: dust of lightener is not to be breathed.",
}

// A safetyForm is the questions, and what they are judged by.
type safetyForm struct {
	form    *Form
	in      safety.Setting
	asked   []*asked
	byField map[[2]int]*asked // by page and field
}

// noReason is a reason that was not picked yet.
const noReason = -2

// Safety asks the safety questions, offering what was answered before and
// nothing else. Under the
// questions it tells what follows. Days are told in the place. Its intent logs
// one session.SafetyAnswered for each answer that is new; questions may be
// left for later.
func Safety(th *theme.Theme, s *session.State, place *time.Location) *Form {
	f := &safetyForm{in: s.Setting(place), byField: map[[2]int]*asked{}}
	for _, q := range safety.Questions() {
		f.asked = append(f.asked, f.ask(q, s.Answers()))
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

// ask is the question with what stands so far.
func (f *safetyForm) ask(q safety.Question, standing []session.Answered) *asked {
	a := &asked{q: q, lists: map[string]*why{}}
	if i := slices.IndexFunc(standing, func(o session.Answered) bool { return o.Question == q.ID }); i >= 0 {
		d := standing[i].SafetyAnswered
		a.before, a.word, a.typed = d, d.Answer, d.Reason
		a.also = also{note: d.Note, mistake: d.Mistake, tested: d.Tested, dye: d.ClearedDye, by: d.ClearedBy, seen: d.ClearedOn}
	}
	if !slices.ContainsFunc(q.Answers, func(w safety.Answer) bool { return w.Word == a.word }) {
		if a.day, a.word = a.word, ""; q.Kind == safety.Day && a.day != "" {
			a.word = typedDay
		}
	}
	a.typedFor = a.answer()
	for _, w := range q.Answers {
		list := safety.Reasons(q.ID, w.Word, 0)
		if len(list) == 0 || w.Outcome.Word == safety.Capped {
			continue
		}
		own := &why{list: list, pick: noReason}
		if a.lists[w.Word] = own; w.Word != a.word || a.typed == "" {
			continue
		}
		if own.pick = slices.Index(list, a.typed); own.pick < 0 {
			own.pick = otherReason
		} else {
			a.typed = ""
		}
	}
	return a
}

// toRefer goes to the first question that someone has to be asked about, if
// that is all that stands in the way.
func (f *safetyForm) toRefer() {
	v := safety.Judgement(f.given(), f.in.Plan)
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

// What a page of questions may hold on a terminal of 60x20: so many lines, with
// an empty one between questions, of so many cells.
const (
	pageLines = 10
	pageCells = 56
)

// group is how many of the questions fit on a page; one always does.
func group(rest []*asked) int {
	lines := -1
	for i, a := range rest {
		lines += 2 + len(widget.Wrap(a.q.Text, pageCells))
		if i > 0 && lines > pageLines {
			return i
		}
	}
	return len(rest)
}

// pages are the questions in groups, each group followed by what some answers
// ask for: a day, a note, a clearance, a reason.
func (f *safetyForm) pages() (pages []page) {
	for rest := f.asked; len(rest) > 0; {
		n := group(rest)
		var questions page
		for i, a := range rest[:n] {
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
		for _, a := range rest[:n] {
			for _, p := range f.details(a) {
				for i, fd := range p.fields {
					switch {
					case fd.renew != nil:
						a.renew = append(a.renew, fd.renew)
					case fd.number != nil:
						a.renew = append(a.renew, fd.fill)
					}
					f.byField[[2]int{len(pages), i}] = a
				}
				pages = append(pages, p)
			}
		}
		rest = rest[n:]
	}
	return pages
}

// details are the pages of what some answers to a question ask for.
func (f *safetyForm) details(a *asked) (pages []page) {
	add := func(shown func() bool, fields ...field) {
		pages = append(pages, page{hidden: func() bool { return !shown() }, fields: fields})
	}
	if a.q.Kind == safety.Day {
		add(func() bool { return a.word == typedDay },
			a.after(text("Day of the test, as "+f.in.Opened.AddDate(0, 0, -2).Format("2/1, 2 Jan")+" or 2 days ago", &a.day, func(string) error {
				_, err := safety.Judge(a.q.ID, a.answer(), f.in)
				return err
			})).helped("The day on which these products were put on the skin, if nothing has shown since: day and month, as 2/1 or 2 Jan, or 2 days ago. Below it says whether that is enough."))
	}
	out := func() safety.Outcome {
		o, _ := safety.Judge(a.q.ID, a.answer(), f.in) // there is no outcome without an answer
		return o
	}
	if slices.ContainsFunc(a.q.Answers, func(w safety.Answer) bool { return w.Outcome.Ask != "" }) {
		add(func() bool { return out().Ask != "" }, text("What is it?", &a.note, needed(session.MaxText, "type what it is")).
			helped("The medicine or illness, as the client says it. Read the products' instructions for it. It is kept as a note on the record."))
	}
	if a.before.Final {
		f.detailsOfAnother(a, add)
	}
	if slices.ContainsFunc(a.q.Answers, func(w safety.Answer) bool { return w.Outcome.Clears }) {
		add(func() bool { return out().Clears },
			text("Which dye did a doctor clear in writing? Empty: none", &a.dye, upTo(session.MaxName)).
				helped("Only a doctor's paper that names the dye lets dye be used after this. Type the dye as it is written there. If it is left empty, no dye is used."),
			text("By which doctor or practice", &a.by, upTo(session.MaxName)).
				helped("The name on the doctor's paper. It goes on the record with the dye and the day."),
			text("Seen on which day, as 2/1, 2 Jan or today", &a.seen, day(f.in.Opened)).
				helped("The day on which you saw the paper yourself: day and month, as 2/1 or 2 Jan, or today."))
	}
	f.detailsOfReason(a, add)
	return pages
}

// detailsOfAnother ask what another answer than a final stop needs.
func (f *safetyForm) detailsOfAnother(a *asked, add func(func() bool, ...field)) {
	another := func() bool { return a.answer() != "" && a.answer() != a.before.Answer }
	retest := func() bool { return a.before.Given().Retest && a.word == "passed" }
	if a.q.ID == safety.Strand {
		add(func() bool { return another() && retest() }, text("Day of the repeated test, as 2/1, 2 Jan or today", &a.tested, day(f.in.Opened)).
			helped("The day on which another strand was tried after the one that failed. Without it the failed test stands."))
	}
	add(func() bool { return another() && !a.before.Given().OfTest() }, text("Why was \""+a.before.Answer+"\" a mistake? Empty: it stands", &a.mistake, sentence).
		helped("Another answer does not remove a stop: both are kept and shown. Only if the first was a slip, type how it happened, in 3 words or more."))
}

// detailsOfReason ask why the work goes on all the same.
func (f *safetyForm) detailsOfReason(a *asked, add func(func() bool, ...field)) {
	for _, w := range a.q.Answers {
		own := a.lists[w.Word]
		if own == nil {
			continue
		}
		choices := append(own.offered(), choice[int]{"none: it does not go on", noReason})
		add(func() bool { return f.needsReason(a) && a.word == w.Word }, numbered("Reason to go on all the same", &own.pick, choices).
			helped("Press the number of the one that is true. It goes on the record in these words."))
	}
	add(func() bool { return f.needsReason(a) && a.typing() }, text("Reason to go on all the same; empty: it does not go on", &a.typed, sentence).
		helped(fmt.Sprintf("After such an answer only a reason lets the work go on, such as what a doctor said, in %d words or more. It goes on the record. If it is left empty, nothing is mixed or put on.", session.ReasonWords)))
}

// day checks a day that has passed; an empty one will do, too.
func day(now time.Time) func(string) error {
	return func(text string) error {
		if strings.TrimSpace(text) == "" {
			return nil
		}
		_, err := safety.ReadDay(text, now)
		return err
	}
}

// given are the answers so far, as they are judged: a final stop that stood
// comes before what is answered now.
func (f *safetyForm) given() (all []safety.Given) {
	for _, a := range f.asked {
		if a.before.Final {
			all = append(all, a.before.Given())
		}
		out, err := safety.Judge(a.q.ID, a.answer(), f.in)
		if err != nil {
			continue
		}
		g := safety.Given{Question: a.q.ID, Outcome: out, Mistake: a.mistake, Clearance: safety.Clearance{Dye: a.dye, By: a.by}}
		if g.TestedOn, err = safety.ReadDay(a.tested, f.in.Opened); err != nil {
			g.TestedOn = ""
		}
		if g.Seen, err = safety.ReadDay(a.seen, f.in.Opened); err != nil {
			g.Seen = ""
		}
		if out.Word == safety.Stop || out.Word == safety.Refer {
			g.Reason = a.reason()
		}
		all = append(all, g)
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
	return safety.Judgement(given, f.in.Plan)
}

// say tells what follows from the answer in hand, and from all together.
func (f *safetyForm) say() (lines []string) {
	p, i := f.form.at()
	if a := f.byField[[2]int{p, i}]; a != nil {
		if out, err := safety.Judge(a.q.ID, a.answer(), f.in); err == nil {
			lines = append(lines, f.follows(a, out))
			defer func() { lines = append(lines, "From: "+out.Source+".") }() // last, as it may be cut
		}
	}
	v, all := safety.Judgement(f.given(), f.in.Plan), f.unreasoned()
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
func (f *safetyForm) follows(a *asked, out safety.Outcome) string {
	if first := a.before.Given(); a.before.Final && slices.ContainsFunc(f.given(), func(g safety.Given) bool {
		return g.Question == a.q.ID && first.Stands(g)
	}) {
		return fmt.Sprintf("STOP. %q stands, and this is kept beside it. %s", a.before.Answer, first.Why)
	}
	for _, g := range f.given() {
		if lifted := g.Lifted(f.in.Plan); g.Question == a.q.ID && lifted != "" {
			return "Go on, as " + lifted + ". " + out.Why
		}
	}
	switch out.Word {
	case safety.GoOn:
		return "Go on. " + out.Why
	case safety.Capped:
		return "Go on, with " + out.Cap.String() + ". " + out.Why
	case safety.Refer:
		return "ASK FIRST. " + out.Why
	}
	if !out.Final {
		return "STOP. " + out.Why
	}
	text := "STOP. " + out.Why + " No reason passes this"
	if lifts := safety.Lifts(a.q.ID, out.Answer); lifts != "" {
		text += ", " + lifts
	}
	return text + "."
}

func (f *safetyForm) submit() (intent.Intent, error) {
	var data []session.Data
	for _, a := range f.asked {
		d, was := a.data(), a.before
		if !f.needsReason(a) {
			d.Reason = ""
		}
		if d.Answer == "" || d == (session.SafetyAnswered{Question: a.q.ID, Answer: was.Answer, Reason: was.Reason, Note: was.Note, Mistake: was.Mistake,
			Tested: was.Tested, ClearedDye: was.ClearedDye, ClearedBy: was.ClearedBy, ClearedOn: was.ClearedOn}) {
			continue
		}
		data = append(data, d)
	}
	if len(data) == 0 {
		return nil, errors.New("nothing was answered that was not before: choose an answer, or leave with esc")
	}
	say := "Answers noted"
	if v := safety.Judgement(f.given(), f.in.Plan); len(v.Open) > 0 {
		say += ", still open: " + strings.Join(v.Open, ", ")
	}
	return logged(say, data...), nil
}

// sentence checks why it goes on; nothing typed will do, too.
func sentence(text string) error {
	if strings.TrimSpace(text) != "" && !session.IsReason(text) {
		return fmt.Errorf("that is no reason to go on: type it in %d words or more, or leave it empty", session.ReasonWords)
	}
	return upTo(session.MaxText)(text)
}
