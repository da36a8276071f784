package session_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"rinseby/session"
	"rinseby/session/formula"
	"rinseby/session/safety"
)

func answer(question, answer, reason string) session.SafetyAnswered {
	return session.SafetyAnswered{Question: question, Answer: answer, Reason: reason}
}

// unasked is lightening without any question answered.
func unasked(t testing.TB) *chair {
	c := lightening(t)
	for range answered() {
		c.undo()
	}
	for range 3 { // two bowls, and what is asked before they are mixed
		c.undo()
	}
	require.Empty(t, c.state().Answers())
	return c
}

func TestNothingTouchesHairUnasked(t *testing.T) {
	c := unasked(t)
	var none *session.ErrUnasked
	require.ErrorAs(t, c.try(session.Do(bowl(root30, 20, 40))), &none)
	require.Equal(t, []string{safety.Airways}, none.Questions, "powder is mixed only once asthma was asked about")
	require.EqualError(t, none, "no lightener is mixed or put on before this is answered (y): Asthma, eczema or another known allergy?")
	c.do(airways(), bowl(root30, 20, 40), bowl(end20, 20, 40)) // mixing is no other harm
	c.do(session.EventVoided{Seq: c.last() - 2})
	for _, d := range []session.Data{place("z1", 1), session.CoatApplied{Zone: "z1", Coats: coats(session.Root, "b1")}, session.CoatRefreshed{Zone: "z1"}} {
		require.ErrorAs(t, c.try(session.Do(d)), &none)
		require.Len(t, none.Questions, len(safety.Questions()))
	}
	for i, a := range answered() {
		err := c.try(session.Do(place("z1", 1)))
		require.ErrorAs(t, err, &none)
		require.Len(t, none.Questions, len(answered())-i)
		require.Equal(t, a.(session.SafetyAnswered).Question, none.Questions[0])
		require.Equal(t, session.DoSafety, c.board().Next.Verb)
		c.do(a)
	}
	assert.ErrorContains(t, none, "before the safety questions are answered (y): 1 open")
	c.do(place("z1", 1))
}

func TestTheOutcomeIsNotTheAskersToSay(t *testing.T) {
	c := unasked(t)
	c.do(session.SafetyAnswered{Question: safety.Scalp, Answer: "sensitive", Outcome: safety.GoOn, MaxStrength: 18, Why: "I say so", Source: "me"})
	a := c.state().Answers()[0]
	assert.Equal(t, []any{safety.Capped, formula.Percent(0), true}, []any{a.Outcome, a.MaxStrength, a.OffScalp})
	assert.Contains(t, a.Source, "label texts")
	assert.NotContains(t, a.Why, "I say so")

	c.now = c.now.In(time.FixedZone("", 14*3600)) // where the 2nd of March is 23 hours old
	c.do(answer(safety.SkinTest, "2 days ago", ""))
	assert.Equal(t, "2026-02-28", c.state().Answers()[0].Answer, "days are told where the clock is")
	refuses(t, c, []refusal{
		no("no such answer", answer(safety.Age, "17", ""), `age: "17" is no answer: say "yes" or "no"`),
		no("a day to come", answer(safety.SkinTest, "2026-03-04", ""), "still to come"),
		no("a long reason", answer(safety.Age, "no", strings.Repeat("x", session.MaxText+1)), "too long"),
	})
}

// toning is lightening with a toner planned for later, so that there is dye in
// the plan.
func toning(t testing.TB) *chair {
	c := lightening(t)
	c.do(again("Toning", session.PlanZone{ID: "tone", Name: "Toner", Pieces: 1, Bands: []session.PlanBand{veil}}))
	return c
}

var veil = session.PlanBand{Band: session.Mid, Product: "Veil", Kind: formula.Demi, Strength: 1.5, Contact: formula.OffScalp, Condition: formula.Lightened}

func TestAStopNeedsAReason(t *testing.T) {
	for _, q := range safety.Questions() {
		for _, a := range q.Answers {
			t.Run(q.ID+" "+a.Word, func(t *testing.T) {
				c := toning(t)
				if a.Outcome.Ask != "" {
					err := c.try(session.Do(answer(q.ID, a.Word, "")))
					require.ErrorContains(t, err, "type what it is")
					c.do(session.SafetyAnswered{Question: q.ID, Answer: a.Word, Note: " hay fever tablets "}, place("z1", 1))
					assert.Equal(t, "hay fever tablets", c.stands(q.ID).Note)
					return
				}
				c.do(answer(q.ID, a.Word, ""))
				err := c.try(session.Do(place("z1", 1)))
				if a.Outcome.Word == safety.GoOn || a.Outcome.Word == safety.Capped || a.Outcome.Until != "" {
					require.NoError(t, err, "the strand test of these answers was passed")
					return
				}
				var stopped *session.ErrStopped
				require.ErrorAs(t, err, &stopped)
				require.ErrorAs(t, c.try(session.Do(session.CoatRefreshed{Zone: "z1"})), &stopped)
				if a.Outcome.Final {
					assert.ErrorContains(t, err, fmt.Sprintf("after the answer to %s (%s): no reason passes this", q.ID, a.Word))
					assert.ErrorContains(t, err, safety.Lifts(q.ID, a.Word))
					err = c.try(session.Do(answer(q.ID, a.Word, "the doctor was asked")))
					assert.ErrorContains(t, err, "no reason passes this, as nothing may touch hair after it: "+a.Outcome.Why)
					return
				}
				assert.ErrorContains(t, err, fmt.Sprintf("after the answer to %s (%s): answer it again", q.ID, a.Word))

				c.do(answer(q.ID, a.Word, "  "))
				require.Error(t, c.try(session.Do(place("z1", 1))), "a blank is no reason")
				c.do(answer(q.ID, a.Word, "the doctor was asked"))
				c.do(place("z1", 1))
				assert.Equal(t, "the doctor was asked", c.stands(q.ID).Reason)
				for i, reason := range safety.Reasons(q.ID, a.Word, 0) {
					c.do(answer(q.ID, a.Word, fmt.Sprint(i+1)), place("z1", 1))
					assert.Equal(t, reason, c.stands(q.ID).Reason, "the log keeps the words")
				}
			})
		}
	}
}

// stands is the answer to the question that counts.
func (c *chair) stands(question string) session.Answered {
	c.t.Helper()
	for _, a := range c.state().Answers() {
		if a.Question == question {
			return a
		}
	}
	c.t.Fatalf("%s is open", question)
	return session.Answered{}
}

func TestAPassedStrandTestLiftsHennaAndNoMetal(t *testing.T) {
	c := lightening(t)
	c.do(answer(safety.Deposits, "henna", ""), answer(safety.Strand, "not done, and the hair is in good order", ""))
	var stopped *session.ErrStopped
	require.ErrorAs(t, c.try(session.Do(place("z1", 1))), &stopped)
	c.do(answer(safety.Strand, "passed", ""))
	c.do(place("z1", 1))

	c = lightening(t)
	c.do(answer(safety.Deposits, "Metal salts or henna", "")) // as older lines say it
	assert.Equal(t, "metal salts", c.stands(safety.Deposits).Answer)
	err := c.try(session.Do(place("z1", 1)))
	require.ErrorAs(t, err, &stopped)
	assert.ErrorContains(t, err, "only a plan without peroxide or lightener")
	require.Error(t, c.try(session.Do(answer(safety.Deposits, "metal salts", "the strand stood it"))))

	c = newChair(t)
	glaze := veil
	glaze.Kind, glaze.Strength = formula.Semi, 0
	pure := session.BowlMixed{Product: "Veil", Family: formula.Semi, Mix: formula.Mix{Products: []formula.ProductPart{{Product: "Veil", Grams: 40}}}}
	c.do(session.ServiceOpened{Service: "s1", Client: "J"}, session.ConsultationNoted{},
		again("Glaze", session.PlanZone{ID: "g", Name: "G", Pieces: 2, Bands: []session.PlanBand{glaze}}), row(glaze, 5, 20), pure)
	c.do(answered()...)
	c.do(answer(safety.Deposits, "metal salts", ""), place("g", 1))
	again30 := again("More", session.PlanZone{ID: "l", Name: "L", Pieces: 1, Bands: []session.PlanBand{root30}})
	assert.ErrorContains(t, c.try(session.Do(again30)), "the work goes on only as it is planned now: only a plan without peroxide or lightener")
	require.Error(t, c.try(session.Do(bowl(veil, 20, 40))), "nor mixed")
}

func TestCapsAreKeptOrPassedWithAReason(t *testing.T) {
	c := lightening(t)
	strong, scalp := root30, root30
	strong.Strength = 12
	scalp.Band, scalp.Contact = session.Mid, formula.OnScalp
	c.do(answer(safety.Strand, "not done, and the hair is in good order", ""), row(strong, 10, 40), forScalp(scalp, 10, 40),
		again("More", session.PlanZone{ID: "a", Name: "A", Pieces: 2, Bands: []session.PlanBand{strong}}, session.PlanZone{ID: "s", Name: "S", Pieces: 2, Bands: []session.PlanBand{scalp}}))
	c.do(place("z1", 1)) // 30 vol is no more than the cap

	var reason *session.ErrNeedsReason
	err := c.try(session.Do(bowl(strong, 30, 60)))
	require.ErrorAs(t, err, &reason, "a bowl is over the cap, too")
	assert.Equal(t, "safety-cap:strand-test:9:12", reason.Key)
	assert.ErrorContains(t, err, "No strand test: at most 30 vol. This is Chalk at 40 vol")
	c.do(session.WarningAcknowledged{Warning: reason.Key, Reason: " "})
	require.ErrorAs(t, c.try(session.Do(bowl(strong, 30, 60))), &reason, "a blank is no reason")
	c.do(session.WarningAcknowledged{Warning: reason.Key, Reason: "dark asked for it"}, bowl(strong, 30, 60), place("a", 1))

	c.do(answer(safety.Scalp, "sensitive", ""))
	require.ErrorAs(t, c.try(session.Do(place("s", 1))), &reason)
	assert.Equal(t, []string{"safety-scalp:scalp", "Sensitive scalp: nothing on the scalp. This puts Chalk on the scalp at S"}, []string{reason.Key, reason.Why})
	c.do(place("z1", 1)) // off the scalp
	c.do(session.WarningAcknowledged{Warning: reason.Key, Reason: "with a barrier cream"}, place("s", 1))
}

func TestACapOnLightenedHairLeavesNewGrowthAlone(t *testing.T) {
	c := lightening(t)
	c.do(answer(safety.History, "lightened before", ""))
	c.do(place("z1", 1)) // 30 vol on the roots, 20 vol on ends that were lightened
	ends := end20
	ends.Strength = 9
	c.do(row(ends, 10, 30), again("More", session.PlanZone{ID: "a", Name: "A", Pieces: 2, Bands: []session.PlanBand{ends}}))
	var reason *session.ErrNeedsReason
	require.ErrorAs(t, c.try(session.Do(place("a", 1))), &reason)
	assert.Equal(t, "safety-cap:history:6:9", reason.Key)
}

func TestAnAnswerChangedToAStopTakesAllOff(t *testing.T) {
	c := lightening(t)
	c.at(0).do(place("z1", 4))
	c.at(4).do(place("z2", 1))
	c.at(5).do(answer(safety.Scalp, "broken, sore or with a rash", ""))
	b := c.board()
	assert.Equal(t, []any{session.DoRinse, "STOP. Rinse Nape, Crown", []string{"z1", "z2"}}, []any{b.Next.Verb, b.Next.Text, b.Next.Zones})
	require.Equal(t, []any{"stopped:scalp", session.Alarm}, []any{b.Warnings[0].Key, b.Warnings[0].Level})
	c.ago(3, place("z2", 1)) // it went in before that was seen, and comes off with the rest
	assert.Equal(t, 2, c.zone("z2").Done)
	require.Error(t, c.try(session.Do(place("z2", 1))))
	require.NoError(t, c.try(c.board().Next.Commands...))
	assert.Equal(t, session.DoOff, c.board().Next.Verb)
	c.at(8).do(session.RinseEnded{})
	assert.Equal(t, "Begin: drying", c.board().Next.Text, "what is no colour goes on")
	c.do(session.StepBegan{Step: "drying"}, session.StepEnded{Step: "drying"})
	assert.Equal(t, []any{session.DoFinish, "STOPPED: finish the service"}, []any{c.board().Next.Verb, c.board().Next.Text})
	require.NoError(t, c.try(c.board().Next.Commands...))
}

func TestACapThatComesLaterTakesOffWhatIsOverIt(t *testing.T) {
	c := lightening(t)
	c.at(0).do(place("z1", 4))
	ends := session.PlanZone{ID: "e", Name: "E", Pieces: 1, Bands: []session.PlanBand{end20}}
	c.do(again("Ends", ends), place("e", 1))
	sensitive := root30
	sensitive.Condition = formula.Sensitive
	c.do(session.PlanChanged{Change: session.ChangeRename, Zone: "z1", Name: "Low"}, row(sensitive, 5, 20),
		session.PlanChanged{Change: session.ChangeBands, Zone: "z1", Bands: []session.PlanBand{sensitive, end20}})
	assert.NotEqual(t, session.DoRinse, c.at(1).board().Next.Verb)
	c.do(answer(safety.History, "lightened before", ""))
	b := c.board()
	assert.Equal(t, []any{session.DoRinse, []string{"z1"}}, []any{b.Next.Verb, b.Next.Zones}, "30 vol on hair that is now known to be worse")
	c.do(session.WarningAcknowledged{Warning: "safety-cap:history:6:9", Reason: "a minute more"})
	assert.NotEqual(t, session.DoRinse, c.board().Next.Verb)
}

func TestBeforeAnythingIsOnAStopLeadsOut(t *testing.T) {
	c := lightening(t)
	c.do(answer(safety.Age, "no", ""))
	a := c.board().Next
	assert.Equal(t, []any{session.DoFinish, "STOPPED: finish without colour"}, []any{a.Verb, a.Text})
	yes := answer(safety.Age, "yes", "")
	yes.Mistake = "it was her daughter's age"
	c.do(yes, answer(safety.Health, "yes", ""))
	a = c.board().Next
	assert.Equal(t, []any{session.DoSafety, "Ask first: health"}, []any{a.Verb, a.Text})
	assert.Empty(t, a.Commands, "a form asks for more")
}

func TestAnAnswerThatCoatsRestOnIsNotTakenBack(t *testing.T) {
	c := lightening(t)
	first := c.last() - len(answered()) + 1
	c.do(place("z1", 1))
	refuses(t, c, []refusal{no("an answer", session.EventVoided{Seq: first}, "answer the question again instead")})
	c.do(answer(safety.Age, "yes", "seen"))
	c.do(session.EventVoided{Seq: c.last()}, session.EventVoided{Seq: first + len(answered())}) // the piece
	c.do(session.EventVoided{Seq: first})
	var none *session.ErrUnasked
	require.ErrorAs(t, c.try(session.Do(place("z1", 1))), &none)
	assert.Equal(t, []string{safety.Age}, none.Questions)
}

// reached is what the log alone says of one question, told by hand.
func reached(events []session.Event, question string) (last *session.SafetyAnswered) {
	for _, e := range events {
		if a, ok := e.Data.(session.SafetyAnswered); ok && a.Question == question {
			last = &a
		}
	}
	return last
}

// everSaid reports whether an answer was given at all; none here says that one
// was a mistake.
func everSaid(events []session.Event, answer string) bool {
	return slices.ContainsFunc(events, func(e session.Event) bool {
		a, ok := e.Data.(session.SafetyAnswered)
		return ok && a.Question+": "+a.Answer == answer
	})
}

// dyed reports whether anything that is planned or mixed is no lightener.
func dyed(s *session.State) bool {
	for _, z := range s.Zones {
		for _, b := range z.Bands {
			if b.Kind != formula.PowderLightener {
				return true
			}
		}
	}
	return false
}

func reasoned(events []session.Event, prefix string) bool {
	return slices.ContainsFunc(events, func(e session.Event) bool {
		a, ok := e.Data.(session.WarningAcknowledged)
		return ok && strings.HasPrefix(a.Warning, prefix) && strings.TrimSpace(a.Reason) != ""
	})
}

// harmless checks what was just put on against the log before it.
func harmless(t require.TestingT, c *chair, before []session.Event, zone string) {
	s := c.state()
	passed := reached(before, safety.Strand)
	for _, q := range safety.Questions() {
		a := reached(before, q.ID)
		require.NotNil(t, a, "%s is open", q.ID)
		for _, never := range []string{"age: no", "scalp: broken, sore or with a rash", "deposits: metal salts", "strand-test: failed"} {
			require.False(t, everSaid(before, never), "no reason passes %s, nor another answer", never)
		}
		if dyed(s) {
			for _, never := range []string{"reaction: yes", "black-henna: yes, and the skin reacted", "skin-test: there was a reaction"} {
				require.False(t, everSaid(before, never), "no reason passes %s where there is dye", never)
			}
		}
		if slices.ContainsFunc(q.Answers, func(w safety.Answer) bool { return w.Outcome.Final && everSaid(before, q.ID+": "+w.Word) }) {
			continue // it stands, whatever was said after it
		}
		lifted := a.Until == safety.Strand && passed != nil && passed.Answer == "passed"
		if a.Outcome == safety.Stop || a.Outcome == safety.Refer {
			require.True(t, a.Reason != "" || lifted, "%s says %s", q.ID, a.Outcome)
		}
	}
	for _, co := range s.Zone(zone).Coats {
		query := formula.Query{Product: co.Product, Kind: co.Family, Strength: co.Strength, Hair: formula.Hair{Contact: co.Contact, Condition: co.Condition}}
		r, ok := formula.Match(s.Windows, query)
		require.True(t, ok)
		require.LessOrEqual(t, s.CoatTiming(co).Window.Limit, r.Window.Limit, "no longer than the row that applies")
		if a := reached(before, safety.Strand); a.Answer == "not done, and the hair is in good order" && co.Strength > 9.2 {
			require.True(t, reasoned(before, "safety-cap:strand-test:"), "%v on hair of which no strand was tested", co.Strength)
		}
		if a := reached(before, safety.History); a.Answer == "lightened before" && co.Strength > 6.2 && (co.Condition == formula.Lightened || co.Condition == formula.Sensitive) {
			require.True(t, reasoned(before, "safety-cap:history:"), "%v on lightened hair", co.Strength)
		}
		if a := reached(before, safety.Scalp); a.Answer == "sensitive" && co.Contact == formula.OnScalp {
			require.True(t, reasoned(before, "safety-scalp:"), "on a sensitive scalp")
		}
	}
}

func TestNoPathPutsOnWhatMayHarm(t *testing.T) {
	taken := map[string]int{}
	rapid.Check(t, func(rt *rapid.T) {
		c := newChair(quiet{t})
		d := draws{rt, c, 1}
		plan := session.PlanSet{Name: "R", Action: formula.Lighten}
		strengths := []formula.Percent{3, 6, 9, 12, 18}
		for i := range 3 {
			b := session.PlanBand{Band: session.Root, Product: "Chalk", Kind: formula.PowderLightener, Strength: rapid.SampledFrom(strengths).Draw(rt, "planned"),
				Contact: rapid.SampledFrom(formula.Contacts()).Draw(rt, "contact"), Condition: rapid.SampledFrom(formula.Conditions()).Draw(rt, "hair")}
			plan.Zones = append(plan.Zones, session.PlanZone{ID: fmt.Sprintf("q%d", i), Name: "Q", Pieces: 5, Bands: []session.PlanBand{b}})
		}
		c.do(session.ServiceOpened{Service: "s1", Client: "J"}, session.ConsultationNoted{}, plan)
		if rapid.Bool().Draw(rt, "toned") {
			c.do(again("Toning", session.PlanZone{ID: "t", Name: "T", Pieces: 1, Bands: []session.PlanBand{veil}}))
		}
		if rapid.Bool().Draw(rt, "all well") {
			c.do(answered()...)
		}
		for _, z := range plan.Zones { // all else is ready, so that only the answers stand in the way
			c.do(row(z.Bands[0], 5, 40), bowl(z.Bands[0], 10, 15))
		}
		var asked *session.ErrNeedsReason
		for range d.count(20, 60) {
			d.pass(false)
			zone, before := fmt.Sprintf("q%d", d.count(0, 2)), slices.Clone(c.log.Events())
			var cmd session.Data
			switch d.count(0, 9) {
			case 0, 1, 2:
				q := rapid.SampledFrom(safety.Questions()).Draw(rt, "question")
				words := []string{q.Answers[0].Word, q.Answers[0].Word, "3 days ago"}
				for _, a := range q.Answers {
					words = append(words, a.Word)
				}
				cmd = answer(q.ID, d.one("answer", words), d.one("reason", []string{"", "", " ", "asked"}))
			case 3, 4:
				b := plan.Zones[0].Bands[0]
				b.Strength = rapid.SampledFrom(strengths).Draw(rt, "strength")
				cmd = bowl(b, 10, float64(d.count(10, 90)))
			case 5:
				b := plan.Zones[d.count(0, 2)].Bands[0]
				cmd = row(b, 5, float64(d.count(10, 50)))
			case 6:
				if asked == nil {
					continue
				}
				cmd = session.WarningAcknowledged{Warning: asked.Key, Reason: d.one("why", []string{"", "because", "the maker says so", "1", "9"})}
			default:
				cmd = place(zone, 1)
			}
			err := c.try(session.Do(cmd))
			asErr[*session.ErrNeedsReason](err, &asked)
			if err != nil {
				continue
			}
			taken[cmd.Kind()]++
			switch m := cmd.(type) {
			case session.PiecePlaced:
				harmless(rt, c, before, zone)
			case session.BowlMixed:
				require.LessOrEqual(rt, float64(m.Mix.Ready()), 12.001, "nothing passes the legal cap")
			}
		}
	})
	for _, kind := range []string{"piece.placed", "bowl.mixed", "safety.answered", "warning.acknowledged"} {
		require.NotZero(t, taken[kind], "%s was never taken, so nothing was shown of it", kind)
	}
}

func asErr[E error](err error, into *E) {
	if e, ok := err.(E); ok {
		*into = e
	}
}

func TestReferenceListsTheQuestions(t *testing.T) {
	text := sections(t)["safety.answered"]
	for _, q := range safety.Questions() {
		assert.Contains(t, text, "| `"+q.ID+"` | "+q.Text+" | ")
		for _, a := range q.Answers {
			w := string(a.Outcome.Word)
			if a.Outcome.Final {
				w = "final " + w
			}
			if a.Outcome.Word == safety.Capped {
				w += ": " + a.Outcome.Cap.String()
			}
			if a.Outcome.Until != "" {
				w += " until the strand test passed"
			}
			assert.Contains(t, text, "`"+a.Word+"` ("+w+")", q.ID)
			for i, r := range a.Outcome.Reasons {
				said := strings.NewReplacer("{cap}", "CAP", "{used}", "STRENGTH").Replace(r)
				assert.Contains(t, text, fmt.Sprintf("%d: %s", i+1, said), q.ID)
			}
		}
	}
}

func TestAPlanOverACapIsSeenBeforeMixing(t *testing.T) {
	c := newChair(t)
	scalp := root30
	scalp.Contact = formula.OnScalp
	ends := end20
	ends.Strength = 9
	c.do(session.ServiceOpened{Service: "s1", Client: "J", Steps: []session.PlanStep{{Name: "wash", Before: true}}}, session.ConsultationNoted{},
		session.PlanSet{Name: "R", Action: formula.Lighten, Zones: []session.PlanZone{
			{ID: "top", Name: "Top", Pieces: 2, Bands: []session.PlanBand{root30, ends}}, {ID: "nape", Name: "Nape", Pieces: 2, Bands: []session.PlanBand{scalp}},
			{ID: "side", Name: "Side", Pieces: 2, Bands: []session.PlanBand{scalp}}}})
	c.do(answered()...)
	c.nextIs(session.DoBegin, "Begin: wash")
	c.do(answer(safety.Scalp, "sensitive", ""), answer(safety.History, "lightened before", ""))

	a := c.nextIs(session.DoPlan, "Change the plan: Top")
	assert.Equal(t, "Lightened before: at most 20 vol on lightened hair or worse. The plan puts Chalk at 30 vol on the end of Top.", a.Why)
	assert.Empty(t, a.Commands, "the plan's screen asks for more")
	c.do(session.PlanChanged{Change: session.ChangeBands, Zone: "top", Bands: []session.PlanBand{root30, end20}})
	a = c.nextIs(session.DoPlan, "Change the plan: Nape")
	assert.Equal(t, []any{"Sensitive scalp: nothing on the scalp. The plan puts Chalk on the scalp at Nape.", []string{"nape"}}, []any{a.Why, a.Zones})
	ws := c.board().Warnings
	require.Len(t, ws, 1, "of each cap the first")
	w := ws[0]
	assert.Equal(t, []any{"safety-scalp:scalp", session.Alert, true, false, a.Why}, []any{w.Key, w.Level, w.Reason, w.Acked, w.Text + "."})
	c.do(session.WarningAcknowledged{Warning: w.Key})
	c.nextIs(session.DoPlan, "Change the plan: Nape") // seen is not passed
	c.do(session.WarningAcknowledged{Warning: w.Key, Reason: "with a barrier cream"})
	assert.Empty(t, c.board().Warnings)
	c.nextIs(session.DoBegin, "Begin: wash") // the reason is for the cap, whatever the zone
}

func TestAPlanOverACapDoesNotHoldBackWhatIsOn(t *testing.T) {
	c := lightening(t)
	strong := root30
	strong.Strength, strong.Product = 12, "Rime"
	c.do(again("Later", session.PlanZone{ID: "l", Name: "L", Pieces: 1, Bands: []session.PlanBand{strong}}))
	c.at(0).do(place("z1", 4), place("z2", 6))
	c.do(answer(safety.Strand, "not done, and the hair is in good order", ""))
	assert.NotEqual(t, session.DoPlan, c.at(25).board().Next.Verb)
	c.do(session.RinseBegan{Zones: []string{"z1", "z2"}})
	c.at(35).do(session.RinseEnded{})
	a := c.nextIs(session.DoPlan, "Change the plan: L")
	assert.Equal(t, "No strand test: at most 30 vol. The plan puts Rime at 40 vol on the root of L.", a.Why)
	c.do(session.PlanChanged{Change: session.ChangeDrop, Zone: "l"})
	c.nextIs(session.DoBegin, "Begin: drying")
}
