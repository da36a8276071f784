package session_test

import (
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/session"
	"rinseby/session/safety"
)

// A reaction, black henna or a skin test: lightener alone goes on, dye only
// with a doctor's word.
func TestDyeGoesOnOnlyWhenADoctorClearedIt(t *testing.T) {
	for _, a := range []session.SafetyAnswered{answer(safety.Reaction, "yes", ""), answer(safety.Henna, "yes, and the skin reacted", ""), answer(safety.SkinTest, "there was a reaction", "")} {
		t.Run(a.Question, func(t *testing.T) {
			c := toning(t)
			c.do(a)
			assert.Equal(t, session.DoFinish, c.board().Next.Verb)
			assert.Contains(t, c.board().Next.Why, "No reason passes this, only a doctor's written clearance that names the dye, or a plan without dye.")
			for _, half := range []session.SafetyAnswered{{ClearedBy: "Dr. Reed", ClearedOn: "1/3"}, {ClearedDye: "PPD", ClearedOn: "1/3"}, {ClearedDye: "PPD", ClearedBy: "Dr. Reed"}, {ClearedDye: "PPD", ClearedBy: " ", ClearedOn: "1/3"}} {
				half.Question, half.Answer = a.Question, a.Answer
				assert.ErrorContains(t, c.try(session.Do(half)), "a doctor's written clearance names the dye; say which dye, which doctor or practice, and the day on which you saw it")
			}
			full := a
			full.ClearedDye, full.ClearedBy, full.ClearedOn = "PPD", "Dr. Reed", "4/3" // an invented doctor
			full.ClearedOn = "2099-01-01"
			assert.ErrorContains(t, c.try(session.Do(full)), "still to come")
			full.ClearedOn = "soon"
			assert.ErrorContains(t, c.try(session.Do(full)), "the day on which the clearance was seen: \"soon\" is no day")
			full.ClearedOn = "1/3"
			c.do(full, place("z1", 1))
			assert.Equal(t, []string{"PPD", "Dr. Reed", "2026-03-01"}, []string{c.stands(a.Question).ClearedDye, c.stands(a.Question).ClearedBy, c.stands(a.Question).ClearedOn})
			assert.Contains(t, c.state().Say(c.stands(a.Question).SafetyAnswered), "cleared in writing for PPD by Dr. Reed, seen 2026-03-01")

			c = lightening(t)
			c.do(a, place("z1", 1)) // there is no dye in the plan
			err := c.try(session.Do(again("Toning", session.PlanZone{ID: "t", Name: "T", Pieces: 1, Bands: []session.PlanBand{veil}})))
			assert.ErrorContains(t, err, "the work goes on only as it is planned now: only a doctor's written clearance that names the dye, or a plan without dye")
			require.Error(t, c.try(session.Do(bowl(veil, 20, 40))))
			assert.NotEqual(t, session.DoRinse, c.board().Next.Verb, "what is on may stay")
			c.do(place("z1", 1), full, bowl(veil, 20, 40))
		})
	}
}

func TestAFailedStrandTestIsLiftedOnlyByAnother(t *testing.T) {
	c := lightening(t)
	c.do(answer(safety.Strand, "failed", ""))
	tested := func(day string) session.SafetyAnswered {
		return session.SafetyAnswered{Question: safety.Strand, Answer: "passed", Tested: day}
	}
	var stopped *session.ErrStopped
	for _, d := range []session.SafetyAnswered{tested(""), answer(safety.Strand, "not done, and the hair is in good order", "")} {
		c.do(d)
		require.ErrorAs(t, c.try(session.Do(place("z1", 1))), &stopped)
		assert.ErrorContains(t, stopped, "only a new test that is passed, with its day")
	}
	assert.ErrorContains(t, c.try(session.Do(tested("yesterday"))), "is from before the one that failed: test another strand")
	assert.ErrorContains(t, c.try(session.Do(tested("whenever"))), "the day of the strand test")
	c.do(tested("today"), place("z1", 1))
	assert.Equal(t, []string{"passed", "2026-03-02"}, []string{c.stands(safety.Strand).Answer, c.stands(safety.Strand).Tested})
}

func TestAFinalStopIsNotAnsweredAway(t *testing.T) {
	c := lightening(t)
	c.do(answer(safety.Scalp, "broken, sore or with a rash", ""), answer(safety.Scalp, "sound", ""))
	var stopped *session.ErrStopped
	require.ErrorAs(t, c.try(session.Do(place("z1", 1))), &stopped)
	assert.Equal(t, "broken, sore or with a rash", c.stands(safety.Scalp).Answer)
	n := len(c.state().Safety)
	assert.Equal(t, []bool{true, false}, []bool{c.state().Stood(n - 2), c.state().Stood(n - 1)}, "both are kept")

	again := answer(safety.Scalp, "sound", "it looks well now")
	c.do(again)
	require.Error(t, c.try(session.Do(place("z1", 1))), "a reason to go on is none")
	again.Mistake = "wrong key"
	assert.ErrorContains(t, c.try(session.Do(again)), `type why "broken, sore or with a rash" was answered by mistake, in 3 words or more`)
	c.do(session.NoteAdded{Text: "x"})
	refuses(t, c, []refusal{
		no("nor taken back", session.EventVoided{Seq: c.last() - 3}, "scalp (broken, sore or with a rash) can't be taken back after other entries: answer it again, and say why that was a mistake"),
	})
	again.Mistake = "another client's answer"
	c.do(again, place("z1", 1))
	assert.Equal(t, "another client's answer", c.stands(safety.Scalp).Mistake)
	assert.Contains(t, c.state().Say(c.stands(safety.Scalp).SafetyAnswered), "the first answer was a mistake: another client's answer")

	c.do(answer(safety.Age, "no", "")) // a slip of the key, taken back at once
	c.undo()
	c.do(place("z1", 1))
	c.do(answer(safety.Age, "no", ""))
	c.at(5).ago(1, answer(safety.Age, "yes", ""))
	require.Error(t, c.try(session.Do(place("z1", 1))), "nor answered away by one logged late")
}

// What was written down before answers were final reads as it did.
func TestAnOldServiceGoesOnAsItWas(t *testing.T) {
	c := toning(t)
	old := session.Event{Seq: c.last() + 1, When: c.now, Recorded: c.reading(), Data: session.SafetyAnswered{Question: safety.Reaction, Answer: "yes", Outcome: safety.Stop, Reason: "her doctor tested her"}}
	require.NoError(t, c.log.Append(old))
	c.do(place("z1", 1))

	c = unasked(t)
	for _, d := range answered() { // asthma was not asked then, and lightener went on
		a := d.(session.SafetyAnswered)
		if a.Question != safety.Airways {
			c.do(a)
		}
	}
	seq := c.last()
	for _, d := range []session.Data{bowl(root30, 20, 40), bowl(end20, 20, 40), session.PiecePlaced{Zone: "z1", Count: 1, Coats: coats(session.Root, "b1")}} {
		seq++
		if b, ok := d.(session.BowlMixed); ok {
			b.Bowl = fmt.Sprintf("b%d", seq)
			d = b
		}
		if p, ok := d.(session.PiecePlaced); ok {
			p.Coats = coats(session.Root, fmt.Sprintf("b%d", seq-2))
			d = p
		}
		require.NoError(t, c.log.Append(session.Event{Seq: seq, When: c.now, Recorded: c.reading(), Data: d}))
	}
	require.Empty(t, c.state().Verdict(c.now).Open)
	require.NoError(t, c.try(session.Do(place("z1", 1))))
	require.NoError(t, c.try(session.Do(bowl(root30, 20, 40))))
	assert.NotEqual(t, session.DoSafety, c.board().Next.Verb)
}

func TestWhoHasAsthmaIsKeptFromPowder(t *testing.T) {
	c := unasked(t)
	c.do(answer(safety.Airways, "asthma", ""))
	var stopped *session.ErrStopped
	require.ErrorAs(t, c.try(session.Do(bowl(root30, 20, 40))), &stopped)
	c.do(bowl(veil, 20, 40)) // no powder
	c.do(answer(safety.Airways, "asthma", "1"), bowl(root30, 20, 40))
	assert.Equal(t, "the client's doctor said yes", c.stands(safety.Airways).Reason)
	assert.Contains(t, c.stands(safety.Airways).Why, "mix far from the client, and keep the air moving")
}

func TestTheSalonsRegionRulesItsAnswers(t *testing.T) {
	opened := func(o session.ServiceOpened) *chair {
		c := newChair(t)
		o.Service, o.Client = "s1", "J"
		c.do(o, answer(safety.SkinTest, "yesterday", ""))
		return c
	}
	assert.Equal(t, safety.Stop, opened(session.ServiceOpened{}).stands(safety.SkinTest).Outcome)
	assert.Equal(t, safety.GoOn, opened(session.ServiceOpened{Region: safety.Canada}).stands(safety.SkinTest).Outcome)
	assert.Equal(t, safety.Stop, opened(session.ServiceOpened{Region: safety.Canada, SkinTestHours: 48}).stands(safety.SkinTest).Outcome)
	own := opened(session.ServiceOpened{Region: safety.EU, SkinTestHours: 24}).stands(safety.SkinTest)
	assert.Contains(t, own.Why, "This salon has set 24 hours before, where 48 are usual here")
	refuses(t, &chair{t: t, log: &session.Log{}, zero: own.At, now: own.At, boot: "b"}, []refusal{
		no("hours below none", session.ServiceOpened{Service: "s", Client: "J", SkinTestHours: -1}, "skin test: give 0 to 336 hours"),
		no("days without end", session.ServiceOpened{Service: "s", Client: "J", SkinTestDays: 367}, "0 to 366 days"),
	})
	strong := bowl(root30, 10, 90)
	strong.Mix.Developers[0].Strength = 18
	assert.ErrorContains(t, opened(session.ServiceOpened{Region: safety.UK}).try(session.Do(airways()), session.Do(strong)), "12 % is the most (UK law, (EC) 1223/2009 as kept)")
}

// One key never goes on after an answer that stops: a reason is a sentence.
func TestAReasonIsMoreThanAKey(t *testing.T) {
	c := newChair(t)
	c.do(session.ServiceOpened{Service: "s1", Client: "June L."})
	refuses(t, c, []refusal{
		no("a key", session.SafetyAnswered{Question: "black-henna", Answer: "yes, and the skin stayed well", Reason: "2"}, "that is no reason to go on: type it in 3 words or more, or leave it empty"),
		no("a key that is not in the list", session.SafetyAnswered{Question: "health", Answer: "yes", Reason: "3"}, "pick 1 (the client's doctor said yes), 2 (nothing that the products' instructions name), or type it in 3 words or more"),
		no("a word for a cap", session.WarningAcknowledged{Warning: "safety-cap:history:6:9", Reason: "because"}, "that is no reason to go on"),
		no("two words", session.SafetyAnswered{Question: "health", Answer: "yes", Reason: "all well"}, "in 3 words or more"),
	})
	c.do(session.SafetyAnswered{Question: "ready", Answer: "not yet"}, session.SafetyAnswered{Question: "ready", Answer: "yes", Reason: "x"},
		session.SafetyAnswered{Question: "health", Answer: "yes", Reason: "the doctor agrees"})
}

func TestAFinalStopIsNotLiftedByAnotherTime(t *testing.T) {
	c := lightening(t)
	c.at(1).do(session.SafetyAnswered{Question: safety.Strand, Answer: "passed", Tested: "1/3"})
	c.at(10).do(answer(safety.Strand, "failed", ""))
	failed := c.last()
	require.ErrorContains(t, c.try(session.Do(place("z1", 1))), "strand-test (failed)")
	for _, to := range []time.Duration{time.Second, 8 * time.Minute, 10 * time.Minute} {
		c.do(session.EventMoved{Seq: failed, To: c.zero.Add(to)})
		require.ErrorContains(t, c.try(session.Do(place("z1", 1))), "strand-test (failed)", to)
	}
}
