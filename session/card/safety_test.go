package card_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/session"
	"rinseby/session/card"
	"rinseby/session/formula"
	"rinseby/session/safety"
)

func TestSafetyAndPainOnTheCard(t *testing.T) {
	c := live(t)
	say := func(q, a, reason string) session.SafetyAnswered {
		return session.SafetyAnswered{Question: q, Answer: a, Reason: reason}
	}
	c.at(700).do(say(safety.Henna, "yes, and the skin stayed well", "no *harm* in 2 tests"), say(safety.History, "lightened before", ""),
		say(safety.Deposits, "metal salts or henna", ""))
	strong := end20
	strong.Strength = 9
	c.do(row(strong, 10, 30, formula.NoHeat), session.WarningAcknowledged{Warning: "safety-cap:history:6:9", Reason: "only <the> tips"},
		session.PlanChanged{Change: session.ChangeAdd, Round: "r1", Add: &session.PlanZone{ID: "tips", Name: "Tips", Pieces: 1, Bands: []session.PlanBand{strong}}},
		session.PiecePlaced{Zone: "tips"})
	c.at(800).do(session.PainReported{Zone: "z1", Text: "burns | here"})
	got := card.Make(c.log, c.moment(800), nil)
	assert.Equal(t, []card.Pain{{At: c.moment(800), Zone: "z1", Text: "burns | here"}}, got.Pains, "no water yet")
	assert.Contains(t, got.Markdown(), "\n## Pain and reactions\n\n- 08:13:20, pain or burning, Nape: burns \\| here; not cleared; cool water for 0 of at least 20 min so far\n")
	require.NoError(t, c.try(session.RinseBegan{Zones: []string{"z1", "tips"}}))
	c.at(1500).do(session.RinseEnded{})
	assert.Contains(t, card.Make(c.log, c.moment(1500), nil).Markdown(), "not cleared; cool water for 11 of at least 20 min so far\n")
	c.at(2100).do(session.PainCleared{Note: "red, no blister"})

	got = card.Make(c.log, c.moment(2100), nil)
	md := got.Markdown()
	for _, line := range []string{
		"- Is the client 16 or older? yes (go on)\n",
		"- Ever a temporary tattoo of black henna? never (go on); another answer took its place later\n",
		"- Ever a temporary tattoo of black henna? yes, and the skin stayed well (refer: Black henna tattoos raise the risk of an allergy to hair dye: ask for more than a skin test.), gone on with: no \\*harm\\* in 2 tests\n",
		"worst counts: lightened before (cap: at most 20 vol on lightened hair or worse)\n",
		"on the hair? metal salts or henna (stop, until strand-test is passed: Metal may raise damage several-fold: test a strand first.)\n",
		"- Over the cap of history: 9 % where 6 % is the most: seen at 08:11:40 (reason: only \\<the\\> tips)\n",
		"- 08:13:20, pain or burning, Nape: burns \\| here; all off at 08:25:00; cool water for 21 of at least 20 min; 08:35:00, found: red, no blister; decided: the colour work ended\n",
	} {
		assert.Contains(t, md, line)
	}
	inertPage(t, md)
	last := map[string]card.Answer{}
	for i, a := range got.Safety {
		if i > 0 && got.Safety[i-1].Question == a.Question {
			assert.True(t, got.Safety[i-1].Replaced)
		}
		last[a.Question] = a
	}
	for _, q := range safety.Questions() {
		assert.Equal(t, q.Text, last[q.ID].Asked)
		assert.False(t, last[q.ID].Replaced, q.ID)
		assert.NotEmpty(t, last[q.ID].Source)
	}
	h := last[safety.History]
	assert.Equal(t, []any{safety.Capped, formula.Percent(6), formula.Lightened}, []any{h.Outcome, h.MaxStrength, h.Hair})
}

func TestOverridesStandWithTheSafetyAnswers(t *testing.T) {
	for key, words := range map[string]string{
		"safety-scalp:scalp": "On the scalp, against the cap of scalp",
		"over-cap:b1":        "Bowl b1 (Chalk 30 vol), over the legal cap on peroxide",
	} {
		c := live(t)
		c.do(session.WarningAcknowledged{Warning: key, Reason: "why"}, session.WarningAcknowledged{Warning: "over:z1", Reason: "else"})
		md := card.Make(c.log, c.now, nil).Markdown()
		_, answers, _ := strings.Cut(md, "\n## Safety answers\n")
		answers, _, _ = strings.Cut(answers, "\n## ")
		assert.Contains(t, answers, "- "+words+": seen at 08:10:00 (reason: why)\n")
		assert.NotContains(t, answers, "else")
		assert.Equal(t, 1, strings.Count(md, words))
	}
}

func TestPainThatWasClearedEarlyOnTheCard(t *testing.T) {
	c := live(t)
	c.at(800).do(session.PainReported{})
	require.NoError(t, c.try(session.RinseBegan{Zones: []string{"z1"}}, session.RinseEnded{}))
	c.at(830).do(session.PainCleared{Note: "a pin", Early: "the *pin* was it", GoesOn: true})
	got := card.Make(c.log, c.moment(900), nil)
	p := got.Pains[0]
	assert.Equal(t, []any{30, 0.5, "the *pin* was it", true}, []any{p.WaterS, p.WaterMin, p.Early, *p.GoesOn})
	assert.Contains(t, got.Markdown(), "; cool water for 0 of at least 20 min, no longer because: the \\*pin\\* was it; 08:13:50, found: a pin; decided: the work went on\n")
}

// Every reaction says which it was, when, what was done, when all was off, how
// long water ran, and what was found; then how the client was, and to ask again.
func TestReactionsOnTheCard(t *testing.T) {
	c := live(t)
	c.at(700).do(session.PainReported{Reaction: session.Itching, LookAgain: true})
	c.at(900).do(session.ReactionNoted{When: session.AskLook, How: session.HowWell, Note: "calm"})
	c.at(1000).do(session.PainReported{Reaction: session.InEye, Text: "a splash | left"})
	c.at(2300).do(session.PainCleared{Note: "red; to eye care with Chalk", GoesOn: true})
	c.at(2400).do(session.PainReported{Reaction: session.Itching})
	require.NoError(t, c.try(session.RinseBegan{Zones: []string{"z1"}}))
	c.at(2500).do(session.RinseEnded{})
	c.at(3700).do(session.PainCleared{Note: "a red line", GoesOn: true})
	c.at(3800).do(session.PainReported{Reaction: session.Emergency, Text: safety.Signs[0]})
	c.at(4400).do(session.ReactionNoted{When: session.AskHelp}, session.PainCleared{Note: "to hospital"})
	c.do(session.ReactionNoted{When: session.AskLeaving, How: session.HowGone, Note: "taken to hospital at once"}, session.ServiceClosed{})
	c.at(90_000).do(session.ReactionNoted{When: session.AskLater, Reaction: session.Hives, Note: "back at home, *well*"})
	got := card.Make(c.log, c.moment(90_000), nil)
	md := got.Markdown()
	for _, line := range []string{
		"- 08:11:40, itching or tingling, mild; 08:15:00, looked at again: gone; 08:15:00, found: calm; decided: the work went on\n",
		"- 08:16:40, product in the eye: a splash \\| left; water over the eye for 21 of at least 20 min; 08:38:20, found: red; to eye care with Chalk; decided: the work went on\n",
		"- 08:40:00, itching or tingling, again; all off at 08:41:40; cool water for 21 of at least 20 min; 09:01:40, found: a red line; decided: the work went on\n",
		"- 09:03:20, EMERGENCY: swollen face, lips, tongue, hands or feet; 09:13:20, help had come; 09:13:20, found: to hospital; decided: the colour work ended\n",
		"- 09:13:20, asked before leaving: not asked: taken to hospital at once\n",
		"- 3 Mar 09:00:00, reported after the visit: hives: back at home, \\*well\\*\n",
		"- Ask again next day: feeling well now clears nobody: it can come after 45 minutes, and days later.\n",
	} {
		assert.Contains(t, md, line)
		assert.Contains(t, strings.Join(got.Text(4000), "\n")+"\n", strings.NewReplacer("\\", "").Replace(line))
	}
	inertPage(t, md)
	assert.Equal(t, []any{session.Itching, true, c.moment(900)}, []any{got.Pains[0].Reaction, got.Pains[0].Mild, *got.Pains[0].Looked})
	assert.Equal(t, []any{session.Emergency, c.moment(4400)}, []any{got.Pains[3].Reaction, *got.Pains[3].Helped})
	assert.Len(t, got.Asked, 4)
}
