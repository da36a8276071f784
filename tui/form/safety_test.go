package form_test

import (
	"strings"
	"testing"
	"time"

	"github.com/charmbracelet/x/ansi"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/session"
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
	assert.Contains(t, f.View(), "All together: 10 not answered.", "nothing stands in for an answer")
	press(t, f, "right")
	assert.Contains(t, f.View(), "Go on. Old enough")
	assert.Contains(t, f.View(), "From: hair dye label texts")
	press(t, f, "enter", "right", "enter", "right", "enter", // never, never
		"right", "enter", "right", "enter") // a skin test, no medicine
	assert.Contains(t, f.View(), "Day of the test, as 28/2, 28 Feb or 2 days ago")
	press(t, f, "yesterday")
	assert.Contains(t, f.View(), "STOP. The skin test is too fresh")
	press(t, f, "wipe", "3 days ago", "enter", "right", "enter", "right", "enter", "right", "enter")
	press(t, f, "right", "enter", "right")
	assert.Contains(t, f.View(), "All together: go on.")
	got := press(t, f, "enter")
	assert.Equal(t, []string{"age: yes", "reaction: never", "black-henna: never", "skin-test: 3 days ago", "health: no", "scalp: sound",
		"history: nothing, or colour only", "deposits: none", "strand-test: passed", "ready: yes"}, inWords(t, got))
	assert.Equal(t, "Answers noted", got.(intent.Log).Say)
	c.carryOut(got)
	assert.True(t, c.state().Verdict(c.now).Clear())

	again := open(form.Safety(th, c.state(), time.UTC))
	assert.Nil(t, press(t, again, "save"))
	assert.Contains(t, again.View(), "! nothing was answered that was not before")
	press(t, again, "enter", "right", "enter", "enter")
	assert.Contains(t, again.View(), "Reason to go on all the same", "of the reaction alone")
	assert.Equal(t, []string{"reaction: yes"}, inWords(t, press(t, again, "save")), "a stop without a reason is an answer, too")
}

func TestSafetyAsksForAReasonOnlyWhereOneIsNeeded(t *testing.T) {
	f := open(form.Safety(th, newChair(t).state(), time.UTC))
	press(t, f, "enter", "right", "right", "enter", "enter")
	assert.Contains(t, f.View(), "Reason to go on all the same; empty: it does not go on")
	assert.Contains(t, f.View(), "STOP. Not after a reaction to hair dye")
	assert.Contains(t, f.View(), "1 to stop, 9 not answered")
	press(t, f, "her doctor tested her")
	assert.Contains(t, f.View(), "All together: 1 stop, gone on with by reason, 9 not answered.")
	got := press(t, f, "save")
	assert.Equal(t, []string{"reaction: yes / her doctor tested her"}, inWords(t, got))
	assert.Contains(t, got.(intent.Log).Say, "still open: age, black-henna")

	f = open(form.Safety(th, newChair(t).state(), time.UTC))
	press(t, f, "enter", "right", "right", "enter", "enter", "typed", "back", "back", "left")
	assert.Equal(t, []string{"reaction: never"}, inWords(t, press(t, f, "save")), "a reason that is not needed any more is not kept")
}

func TestAReasonBelongsToItsAnswer(t *testing.T) {
	c := newChair(t)
	c.do(answered()...)
	c.do(session.SafetyAnswered{Question: safety.Reaction, Answer: "yes", Reason: "her doctor tested her"},
		session.SafetyAnswered{Question: safety.SkinTest, Answer: "yesterday", Reason: "the maker says 24 h"})
	f := open(form.Safety(th, c.state(), time.UTC))
	assert.Contains(t, f.View(), "All together: 2 stop, gone on with by reason.")
	press(t, f, "enter", "enter", "enter")
	assert.Contains(t, f.View(), "her doctor tested her", "it is offered with the answer that it is for")
	press(t, f, "back", "back", "right")
	assert.Contains(t, f.View(), "ASK FIRST. A reaction that is not sure")
	press(t, f, "enter", "enter")
	assert.Contains(t, f.View(), "Reason to go on")
	assert.NotContains(t, f.View(), "her doctor", "of another answer it is none")
	press(t, f, "back", "back", "left", "enter", "enter")
	assert.NotContains(t, f.View(), "her doctor", "and it does not come back")
	press(t, f, "enter", "enter", "enter", "wipe", "today") // another day
	assert.Contains(t, f.View(), "STOP. The skin test is")
	press(t, f, "enter")
	assert.NotContains(t, f.View(), "24 h")
	assert.Equal(t, []string{"reaction: yes", "skin-test: today"}, inWords(t, press(t, f, "save")))
}

func TestNoReasonIsAskedWhereNonePasses(t *testing.T) {
	f := open(form.Safety(th, newChair(t).state(), time.UTC))
	press(t, f, "right", "right")
	assert.Contains(t, strings.Join(strings.Fields(ansi.Strip(f.View())), " "), "STOP. Hair dyes are not for anyone under 16, as their labels say. No reason passes this.")
	press(t, f, "enter", "enter", "enter")
	assert.Contains(t, f.View(), "Skin test for all products", "the next page is the next question")
	assert.Equal(t, []string{"age: no"}, inWords(t, press(t, f, "save")))
}

func TestSafetyMetalWaitsForTheStrandTest(t *testing.T) {
	c := newChair(t)
	c.do(answered()...)
	c.do(session.SafetyAnswered{Question: safety.Deposits, Answer: "metal salts or henna"},
		session.SafetyAnswered{Question: safety.Scalp, Answer: "sensitive"},
		session.SafetyAnswered{Question: safety.Strand, Answer: "not done, and the hair is at risk"})
	f := open(form.Safety(th, c.state(), time.UTC))
	assert.Contains(t, f.View(), "2 to stop, 1 with a cap")
	press(t, f, "enter", "enter", "enter", "enter", "enter", "enter") // to the scalp, by way of the day
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
	assert.Contains(t, f.View(), "ASK FIRST. Ask the client's doctor")
	press(t, f, "enter", "enter")
	assert.Contains(t, f.View(), "Reason to go on")
	got := press(t, f, "her doctor agrees", "save")
	assert.Equal(t, []string{"health: yes / her doctor agrees"}, inWords(t, got))
	c.do(session.SafetyAnswered{Question: safety.Age, Answer: "no"})
	assert.Contains(t, open(form.Safety(th, c.state(), time.UTC)).View(), "page 1 of", "a stop comes first")
}
