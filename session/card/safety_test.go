package card_test

import (
	"strings"
	"testing"
	"time"

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
		say(safety.Deposits, "henna", ""))
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
		"- Ever a temporary tattoo of black henna? yes, and the skin stayed well (refer: Black henna tattoos raise the risk of an allergy to hair dye, as labels say: ask for more than a skin test.), gone on with: no \\*harm\\* in 2 tests\n",
		"worst counts: lightened before (cap: at most 20 vol on lightened hair or worse)\n",
		"on the hair? henna (stop, until strand-test is passed: Some henna holds metal, which may raise damage several-fold: test a strand first.)\n",
		"- Lightened before: 30 vol where 20 vol is the most: seen at 08:11:40 (reason: only \\<the\\> tips)\n",
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
		"safety-scalp:scalp": "Scalp, looked at today: product on the scalp",
		"over-cap:b1":        "Bowl b1 (Chalk 30 vol), over the legal cap on peroxide",
	} {
		c := live(t)
		c.old(session.WarningAcknowledged{Warning: key, Reason: "why"})
		c.do(session.WarningAcknowledged{Warning: "over:z1", Reason: "else"})
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
		"- Ask again the next day: feeling well now is no all-clear: it can still come after 45 minutes, or days later.\n",
	} {
		assert.Contains(t, md, line)
		assert.Contains(t, strings.Join(got.Text(4000), "\n")+"\n", strings.NewReplacer("\\", "").Replace(line))
	}
	inertPage(t, md)
	assert.Equal(t, []any{session.Itching, true, c.moment(900)}, []any{got.Pains[0].Reaction, got.Pains[0].Mild, *got.Pains[0].Looked})
	assert.Equal(t, []any{session.Emergency, c.moment(4400)}, []any{got.Pains[3].Reaction, *got.Pains[3].Helped})
	assert.Len(t, got.Asked, 4)
}

func TestTheCardShowsWhatLiftedAStop(t *testing.T) {
	c := live(t)
	no := session.SafetyAnswered{Question: safety.Age, Answer: "no"}
	yes := session.SafetyAnswered{Question: safety.Age, Answer: "yes"}
	wrong := yes
	wrong.Mistake = "that was her *sister*"
	lines := func() string { return card.Make(c.log, c.now, nil).Markdown() }
	c.at(700).do(no, yes)
	md := lines()
	assert.Contains(t, md, "- Is the client 16 or older? no (stop: Under 16: no dye and no lightener.")
	assert.Contains(t, md, "- Is the client 16 or older? yes (go on); it does not count, as the stop before it stands\n", "both answers")
	c.do(wrong)
	md = lines()
	assert.Contains(t, md, "scalps of children.); another answer took its place later\n")
	assert.Contains(t, md, "- Is the client 16 or older? yes (go on); the answer before it was a mistake: that was her \\*sister\\*\n")

	c.do(session.SafetyAnswered{Question: safety.Reaction, Answer: "yes", ClearedDye: "PPD", ClearedBy: "Dr. Reed", ClearedOn: "yesterday"},
		session.SafetyAnswered{Question: safety.Health, Answer: "something else: ask what it is", Note: "hay fever"},
		session.SafetyAnswered{Question: safety.Airways, Answer: "asthma", Reason: "1"},
		session.SafetyAnswered{Question: safety.Strand, Answer: "failed"}, session.SafetyAnswered{Question: safety.Strand, Answer: "passed", Tested: "today"})
	md = lines()
	for _, line := range []string{
		"; cleared in writing for PPD by Dr. Reed, seen " + c.now.AddDate(0, 0, -1).Format("2006-01-02") + "\n",
		"something else: ask what it is (go on); what it is: hay fever\n", "gone on with: the client's doctor said yes\n",
		"passed (go on); tested " + c.now.Format("2006-01-02") + "\n",
	} {
		assert.Contains(t, md, line)
	}
	got := card.Make(c.log, c.now, nil)
	assert.Equal(t, []any{safety.AnyRegion, formula.Percent(12), 48, 7}, []any{got.Rules.Region, got.Rules.PeroxideMax, got.Rules.SkinTestHours, got.Rules.SkinTestDays})
	assert.Contains(t, md, "- Rules of the region: none set, so the strictest. Mix: at most 12 % peroxide (Regulation (EC) 1223/2009")
}

func TestTheCardShowsTheRegionsRules(t *testing.T) {
	c := newChair(t)
	c.do(session.ServiceOpened{Service: "s", Client: "June L.", Region: safety.Canada, SkinTestHours: 12, SkinTestDays: 3})
	md := card.Make(c.log, c.now, nil).Markdown()
	assert.Contains(t, md, "- Rules of the region: canada. Mix: at most 12 % peroxide (house rule")
	assert.Contains(t, md, "Skin test: at least 12 hours before (the salon's own setting; else: Cosmetic Regulations C.R.C. c. 869 s. 22: 24 hours), good for 3 days")
	assert.Contains(t, md, "Emergency: 911")
	assert.Contains(t, md, "- This salon has set 12 hours before, where 24 are usual here: the products' instructions come first.\n")
	assert.NotContains(t, md, "good for 3 days, where")
}

// No card claims more of a test than what was seen.
func TestNothingIsCalledSafe(t *testing.T) {
	md := card.Make(live(t).log, time.Time{}, nil).Markdown()
	assert.Contains(t, md, "No colour on lashes or brows")
	assert.Contains(t, md, "which day, with nothing to see? no reaction seen, 2026-02-28 (go on)\n")
	for _, word := range strings.FieldsFunc(strings.ToLower(md), func(r rune) bool { return r < 'a' || r > 'z' }) {
		assert.NotEqual(t, "safe", word)
	}
}
