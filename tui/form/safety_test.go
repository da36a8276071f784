package form_test

import (
	"strings"
	"testing"
	"time"

	"github.com/charmbracelet/x/ansi"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/session"
	"rinseby/session/formula"
	"rinseby/session/safety"
	"rinseby/tui/form"
	"rinseby/tui/intent"
)

// inWords are the answers of an intent, in order.
func inWords(t *testing.T, in intent.Intent) (all []string) {
	t.Helper()
	l, ok := in.(intent.Log)
	require.True(t, ok, "%T", in)
	for _, c := range l.Commands {
		a := c.Data.(session.SafetyAnswered)
		require.Empty(t, a.Outcome, "what follows is not the form's to say")
		text := a.Question + ": " + a.Answer
		for _, more := range []string{a.Note, a.Mistake, a.Tested, a.ClearedDye, a.ClearedBy, a.ClearedOn} {
			if more != "" {
				text += " + " + more
			}
		}
		if a.Reason != "" {
			text += " / " + a.Reason
		}
		all = append(all, text)
	}
	return all
}

func TestSafetyAsksAll(t *testing.T) {
	c := newChair(t)
	c.do(session.ConsultationNoted{Scalp: "broken"})
	f := open(form.Safety(th, c.state(), time.UTC))
	assert.Contains(t, f.View(), "not asked")
	assert.Contains(t, f.View(), "All together: 11 not answered.", "nothing stands in for an answer")
	press(t, f, "right")
	assert.Contains(t, f.View(), "Go on. Old enough")
	assert.Contains(t, f.View(), "From: hair dye label texts")
	press(t, f, "enter", "right", "enter", "right", "enter", // never, never
		"right", "enter", "right", "enter", "right", "enter") // a skin test, no medicine, no asthma
	assert.Contains(t, f.View(), "Day of the test, as 28/2, 28 Feb or 2 days ago")
	press(t, f, "yesterday")
	assert.Contains(t, f.View(), "STOP. The skin test is too fresh")
	press(t, f, "wipe", "3 days ago", "enter", "right", "enter", "right", "enter", "right", "enter")
	press(t, f, "right", "enter", "right")
	assert.Contains(t, f.View(), "All together: go on.")
	got := press(t, f, "enter")
	assert.Equal(t, []string{"age: yes", "reaction: never", "black-henna: never", "skin-test: 3 days ago", "health: no", "airways: none", "scalp: sound",
		"history: nothing, or colour only", "deposits: none", "strand-test: passed", "ready: yes"}, inWords(t, got))
	assert.Equal(t, "Answers noted", got.(intent.Log).Say)
	c.carryOut(got)
	assert.True(t, c.state().Verdict(c.now).Clear())

	again := open(form.Safety(th, c.state(), time.UTC))
	assert.Nil(t, press(t, again, "save"))
	assert.Contains(t, again.View(), "! nothing was answered that was not before")
	press(t, again, "enter", "right", "enter", "right", "enter")
	assert.Contains(t, again.View(), "Which dye did a doctor clear in writing", "of the reaction alone")
	press(t, again, "enter", "enter", "enter")
	assert.Contains(t, again.View(), "Reason to go on all the same", "of the henna alone")
	assert.Equal(t, []string{"reaction: yes", "black-henna: yes, and the skin stayed well"}, inWords(t, press(t, again, "save")), "a stop without a reason is an answer, too")
}

func TestSafetyAsksForAReasonOnlyWhereOneIsNeeded(t *testing.T) {
	f := open(form.Safety(th, newChair(t).state(), time.UTC))
	press(t, f, "enter", "enter", "right", "right", "enter")
	assert.Contains(t, f.View(), "Reason to go on all the same; empty: it does not go on")
	assert.Contains(t, f.View(), "ASK FIRST. Black henna tattoos raise the risk")
	assert.Contains(t, f.View(), "1 to ask about, 10 not answered")
	press(t, f, "her doctor tested her")
	assert.Contains(t, f.View(), "All together: 1 to ask about, gone on with by reason, 10 not answered.")
	got := press(t, f, "save")
	assert.Equal(t, []string{"black-henna: yes, and the skin stayed well / her doctor tested her"}, inWords(t, got))
	assert.Contains(t, got.(intent.Log).Say, "still open: age, reaction")

	f = open(form.Safety(th, newChair(t).state(), time.UTC))
	press(t, f, "enter", "enter", "right", "right", "enter", "typed", "back", "left")
	assert.Equal(t, []string{"black-henna: never"}, inWords(t, press(t, f, "save")), "a reason that is not needed any more is not kept")
}

func TestAReasonBelongsToItsAnswer(t *testing.T) {
	c := newChair(t)
	c.do(answered()...)
	c.do(session.SafetyAnswered{Question: safety.Henna, Answer: "yes, and the skin stayed well", Reason: "her doctor tested her"},
		session.SafetyAnswered{Question: safety.SkinTest, Answer: "yesterday", Reason: "the maker says 24 h"})
	f := open(form.Safety(th, c.state(), time.UTC))
	assert.Contains(t, words(f), "All together: 1 stop, gone on with by reason, 1 to ask about, gone on with by reason.")
	press(t, f, "enter", "enter", "enter")
	assert.Contains(t, f.View(), "her doctor tested her", "it is offered with the answer that it is for")
	press(t, f, "back", "left", "right", "enter")
	assert.Contains(t, f.View(), "Reason to go on")
	assert.NotContains(t, f.View(), "her doctor", "of another answer it is none, and it does not come back")
	press(t, f, "enter", "enter", "enter", "enter", "wipe", "today") // another day
	assert.Contains(t, f.View(), "STOP. The skin test is")
	press(t, f, "enter")
	assert.NotContains(t, f.View(), "24 h")
	assert.Equal(t, []string{"black-henna: yes, and the skin stayed well", "skin-test: today"}, inWords(t, press(t, f, "save")))
}

func TestNoReasonIsAskedWhereNonePasses(t *testing.T) {
	f := open(form.Safety(th, newChair(t).state(), time.UTC))
	press(t, f, "right", "right")
	assert.Contains(t, strings.Join(strings.Fields(ansi.Strip(f.View())), " "), "STOP. Under 16: no dye and no lightener. Lightener has burnt the scalps of children. No reason passes this.")
	press(t, f, "enter", "enter", "enter")
	assert.Contains(t, f.View(), "Skin test for all products", "the next page is the next question")
	assert.Equal(t, []string{"age: no"}, inWords(t, press(t, f, "save")))
}

func TestSafetyMetalWaitsForTheStrandTest(t *testing.T) {
	c := newChair(t)
	c.do(answered()...)
	c.do(session.SafetyAnswered{Question: safety.Deposits, Answer: "henna"},
		session.SafetyAnswered{Question: safety.Scalp, Answer: "sensitive"},
		session.SafetyAnswered{Question: safety.Strand, Answer: "not done, and the hair is at risk"})
	f := open(form.Safety(th, c.state(), time.UTC))
	assert.Contains(t, f.View(), "2 to stop, 1 with a cap")
	press(t, f, "enter", "enter", "enter", "enter", "enter", "enter", "enter") // to the scalp, by way of the day
	assert.Contains(t, f.View(), "Go on, with nothing on the scalp.")
}

func TestWhereAndFound(t *testing.T) {
	c := lightening(t)
	c.do(session.PainReported{})
	f := open(form.Where(th, c.state().Zones, "nape", session.Burning))
	assert.Contains(t, f.View(), "Cool running water first, 20 minutes or more, then medical help")
	assert.Nil(t, press(t, f, "enter"))
	got := press(t, f, "burns", "enter", "enter")
	assert.Equal(t, saves("where it hurts", session.PainReported{Zone: "nape", Text: "burns"}), got)
	c.carryOut(got)

	c.do(session.RinseBegan{Zones: []string{"nape", "crown"}}, session.RinseEnded{})
	c.now = c.now.Add(7 * time.Minute)
	f = open(form.Found(th, c.board(), clock))
	assert.Contains(t, strings.Join(strings.Fields(f.View()), " "), "it is to run until 11:13, 13 min more")
	assert.Nil(t, press(t, f, "enter", "a little red", "enter"))
	assert.Contains(t, f.View(), "Why before 20 minutes of cool water")
	assert.Nil(t, press(t, f, "x", "enter"))
	assert.Contains(t, f.View(), "! let the water run, or type why it ends before 20 minutes, in 3 words or more")
	assert.Nil(t, press(t, f, "wipe", "it was a pin", "enter", "enter"))
	assert.Contains(t, f.View(), "! choose by right whether the work goes on or ends here")
	press(t, f, "right", "right")
	assert.Contains(t, f.View(), "Nothing is mixed or put on any more in this service")
	got = press(t, f, "left", "enter")
	assert.Equal(t, saves("what was found", session.PainCleared{Note: "a little red", Early: "it was a pin", GoesOn: true}), got)
	c.carryOut(got)
	assert.Nil(t, c.state().OpenPain())

	c.do(session.PainReported{})
	c.now = c.now.Add(20 * time.Minute)
	f = open(form.Found(th, c.board(), clock))
	assert.NotContains(t, f.View(), "Why before")
	c.carryOut(press(t, f, "well", "enter", "right", "right", "enter"))
	assert.True(t, c.state().Ended())
}

func TestSafetyOpensAtWhatIsToBeAskedAbout(t *testing.T) {
	c := newChair(t)
	c.do(answered()...)
	c.do(session.SafetyAnswered{Question: safety.Health, Answer: "yes"})
	f := open(form.Safety(th, c.state(), time.UTC))
	assert.Contains(t, f.View(), "page 2 of")
	assert.Contains(t, f.View(), "ASK FIRST. Pregnancy, illness of the skin")
	press(t, f, "enter", "enter", "enter")
	assert.Contains(t, f.View(), "1: the client's doctor said yes")
	press(t, f, "3") // another reason
	assert.Contains(t, f.View(), "Reason to go on all the same; empty")
	got := press(t, f, "her doctor agrees", "save")
	assert.Equal(t, []string{"health: yes / her doctor agrees"}, inWords(t, got))

	f = open(form.Safety(th, c.state(), time.UTC)) // or one key
	press(t, f, "enter", "enter", "enter", "2")
	assert.Contains(t, f.View(), "Scalp, looked at today", "and on to the next question")
	got = press(t, f, "save")
	assert.Equal(t, []string{"health: yes / nothing that the products' instructions name"}, inWords(t, got))
	c.carryOut(got)
	f = open(form.Safety(th, c.state(), time.UTC))
	assert.Nil(t, press(t, f, "save"))
	assert.Contains(t, f.View(), "! nothing was answered that was not before", "what was picked is offered again")
	c.do(session.SafetyAnswered{Question: safety.Age, Answer: "no"})
	assert.Contains(t, open(form.Safety(th, c.state(), time.UTC)).View(), "page 1 of", "a stop comes first")
}

// What words never pass asks for what lifts it, and for nothing else.
func TestSafetyAsksForWhatLiftsAStop(t *testing.T) {
	c := newChair(t)
	c.do(answered()...)
	c.do(session.PlanSet{Name: "tone", Action: formula.Colour, Zones: []session.PlanZone{{ID: "tone", Name: "tone", Pieces: 1, Bands: []session.PlanBand{
		{Band: session.Mid, Product: "Veil", Kind: formula.Demi, Strength: 1.5, Contact: formula.OffScalp, Condition: formula.Lightened}}}}})
	f := open(form.Safety(th, c.state(), time.UTC))
	press(t, f, "enter", "right")
	assert.Contains(t, words(f), "No reason passes this, only a doctor's written clearance that names the dye, or a plan without dye.")
	press(t, f, "enter", "enter")
	assert.Contains(t, f.View(), "Which dye did a doctor clear in writing? Empty: none")
	assert.Contains(t, f.View(), "All together: 1 to stop.")
	press(t, f, "PPD", "enter", "Reed", "enter", "soon")
	assert.Contains(t, f.View(), "is no day")
	press(t, f, "wipe", "1/3")
	assert.Contains(t, f.View(), "All together: go on.")
	assert.Contains(t, words(f), "Go on, as cleared in writing for PPD by Reed, seen 2026-03-01. Not after a reaction")
	got := press(t, f, "save")
	assert.Equal(t, []string{"reaction: yes + PPD + Reed + 1/3"}, inWords(t, got))
	c.carryOut(got)
	assert.True(t, c.state().Verdict(c.now).Clear())

	c.do(session.SafetyAnswered{Question: safety.Strand, Answer: "failed"})
	f = open(form.Safety(th, c.state(), time.UTC))
	assert.Contains(t, f.View(), "All together: 1 to stop.")
	for !strings.Contains(f.View(), "│ \x1b[1mStrand test") {
		press(t, f, "enter")
	}
	press(t, f, "left", "left", "left")
	assert.Contains(t, words(f), `STOP. "failed" stands, and this is kept beside it.`)
	press(t, f, "enter", "enter")
	assert.Contains(t, f.View(), "Day of the repeated test")
	press(t, f, "today")
	got = press(t, f, "save")
	assert.Equal(t, []string{"strand-test: passed + today"}, inWords(t, got))
	c.carryOut(got)
	assert.True(t, c.state().Verdict(c.now).Clear())
}

func TestSafetySaysThatThePlanLiftsAStop(t *testing.T) {
	f := open(form.Safety(th, newChair(t).state(), time.UTC)) // lightener alone
	press(t, f, "enter", "enter", "right", "right", "right")
	assert.Contains(t, words(f), "Go on, as the plan holds no dye. Not after a reaction to black henna, as labels say")
	assert.Contains(t, f.View(), "All together: 10 not answered.")
}

func words(f *form.Form) string { return strings.Join(strings.Fields(ansi.Strip(f.View())), " ") }

func TestSafetyKeepsAStopBesideAnotherAnswer(t *testing.T) {
	c := newChair(t)
	c.do(answered()...)
	c.do(session.SafetyAnswered{Question: safety.Age, Answer: "no"})
	f := open(form.Safety(th, c.state(), time.UTC))
	press(t, f, "left")
	assert.Contains(t, words(f), `STOP. "no" stands, and this is kept beside it. Under 16`)
	press(t, f, "enter", "enter", "enter")
	assert.Contains(t, f.View(), `Why was "no" a mistake? Empty: it stands`)
	press(t, f, "oops")
	assert.Contains(t, f.View(), "in 3 words or more")
	press(t, f, "wipe", "it was her daughter's age")
	assert.Contains(t, f.View(), "All together: go on.")
	got := press(t, f, "save")
	assert.Equal(t, []string{"age: yes + it was her daughter's age"}, inWords(t, got))
	c.carryOut(got)
	assert.True(t, c.state().Verdict(c.now).Clear())
}

func TestSafetyNotesWhatItIs(t *testing.T) {
	c := newChair(t)
	c.do(answered()...)
	f := open(form.Safety(th, c.state(), time.UTC))
	press(t, f, "enter", "enter", "enter", "enter", "right", "right", "enter", "enter")
	press(t, f, "enter") // the day of the skin test
	assert.Contains(t, f.View(), "What is it?")
	assert.Nil(t, press(t, f, "enter"))
	assert.Contains(t, f.View(), "! type what it is")
	got := press(t, f, "hay fever tablets", "save")
	assert.Equal(t, []string{"health: something else: ask what it is + hay fever tablets"}, inWords(t, got))
	c.carryOut(got)
	assert.True(t, c.state().Verdict(c.now).Clear())
}

// A cap is passed by the key of a reason of its own list, which has its figures.
func TestACapIsPassedByOneKey(t *testing.T) {
	list := safety.Reasons(safety.History, "lightened before", 9)
	then := []session.Command{session.Do(note("", "x"))}
	ask := func() *form.Form {
		return open(form.Reason(th, form.Passing{Key: "safety-cap:history:6:9", Why: "too strong", Reasons: list,
			Check: func(r string) error { _, err := safety.Reason(r, list); return err }}, then))
	}
	f := ask()
	assert.Contains(t, words(f), "1: strand test today stood 30 vol, over the cap of 20 vol")
	got := press(t, f, "1")
	assert.Equal(t, intent.Log{Say: "Logged with your reason", Commands: []session.Command{
		session.Do(session.WarningAcknowledged{Warning: "safety-cap:history:6:9", Reason: list[0]}), then[0]}}, got)
	f = ask()
	assert.Nil(t, press(t, f, "9", "3"))
	assert.Nil(t, press(t, f, "ok", "enter"))
	assert.Contains(t, f.View(), "in 3 words or more")
	got = press(t, f, "wipe", "only the very ends", "enter")
	assert.Equal(t, "only the very ends", got.(intent.Log).Commands[0].Data.(session.WarningAcknowledged).Reason)

	f = ask() // in words, the number of the line is the reply
	spoken, err := f.Reply("2")
	require.NoError(t, err)
	assert.Equal(t, list[1], spoken.(intent.Log).Commands[0].Data.(session.WarningAcknowledged).Reason)
	assert.Equal(t, list[0], ask().Question().Options[0].Label, "without a second number")
}

// A page holds what fits, however many questions there are: on the smallest
// terminal, below the two lines of the chair, each question and its answer are
// seen, with all that follows from the one in hand.
func TestEveryQuestionFitsItsPage(t *testing.T) {
	f := form.Safety(th, newChair(t).state(), time.UTC)
	f.SetSize(60, 18)
	shown := func() string { return strings.Join(strings.Fields(strings.ReplaceAll(words(f), "│", "")), " ") }
	seen, left := map[string]bool{}, safety.Questions()
	for n := 0; len(left) > 0; n++ {
		require.Less(t, n, 200)
		helps, at := f.Helps()
		for _, h := range helps {
			title, _, _ := strings.Cut(h, "? ")
			title, _, _ = strings.Cut(title, ": ")
			assert.Contains(t, shown(), title)
		}
		if strings.HasPrefix(helps[at], left[0].Text) {
			seen[left[0].ID] = true
			for range left[0].Answers {
				press(t, f, "right")
				assert.Contains(t, shown(), left[0].Text, "whatever follows from it")
			}
			left = left[1:]
		}
		if strings.HasPrefix(helps[at], "What is it?") || strings.HasPrefix(helps[at], "Day of the test") {
			press(t, f, "2 days ago")
		}
		if len(left) > 0 {
			press(t, f, "enter")
		}
	}
	assert.Len(t, seen, len(safety.Questions()))
}
