package safety_test

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/session/formula"
	"rinseby/session/safety"
)

// today is what each answer did before any of them was looked at anew: what
// words could pass, and what a passed strand test could. None may let more pass
// now. An answer that has another word now stands by its old one.
var today = []struct {
	answer                string
	word                  safety.Word
	byWords, byStrandTest bool
}{
	{"age: no", safety.Stop, false, false},
	{"reaction: yes", safety.Stop, true, false},
	{"reaction: not sure", safety.Refer, true, false},
	{"black-henna: yes, and the skin stayed well", safety.Refer, true, false},
	{"black-henna: yes, and the skin reacted", safety.Stop, true, false},
	{"skin-test: not done", safety.Stop, true, false},
	{"skin-test: there was a reaction", safety.Stop, false, false},
	{"skin-test: yesterday", safety.Stop, true, false},
	{"skin-test: 8 days ago", safety.Stop, true, false},
	{"health: yes", safety.Refer, true, false},
	{"health: rather not say", safety.Refer, true, false},
	{"scalp: sensitive", safety.Capped, true, false},
	{"scalp: broken, sore or with a rash", safety.Stop, false, false},
	{"history: lightened before", safety.Capped, true, false},
	{"history: straightened, permed or damaged", safety.Stop, true, true},
	{"history: not known", safety.Stop, true, true},
	{"deposits: metal salts or henna", safety.Stop, true, true},
	{"deposits: henna", safety.Stop, true, true},
	{"deposits: a home colour nobody knows", safety.Stop, true, true},
	{"strand-test: not done, and the hair is in good order", safety.Capped, true, false},
	{"strand-test: not done, and the hair is at risk", safety.Stop, true, false},
	{"strand-test: failed", safety.Stop, true, false},
	{"ready: not yet", safety.Stop, true, false},
}

func TestNoAnswerLetsMorePassThanBefore(t *testing.T) {
	known := map[string]bool{}
	for _, was := range today {
		id, answer, _ := strings.Cut(was.answer, ": ")
		known[was.answer] = true
		for _, plan := range []safety.Plan{toned, planOf(formula.Demi), planOf(formula.Permanent)} {
			out, err := safety.Judge(id, answer, safety.Setting{Opened: opened, Rules: safety.RulesOf(safety.AnyRegion), Plan: plan})
			require.NoError(t, err)
			assert.Equal(t, was.word, out.Word, was.answer)
			open := func(reason, tested string) bool {
				strand := given(t, "strand-test: "+tested)
				if id == safety.Strand {
					strand = nil
				}
				g := safety.Given{Question: id, Reason: reason, Outcome: out}
				return len(safety.Judgement(append(append(well(t), strand...), g), plan).Of(id)) == 0
			}
			const bare = "not done, and the hair is in good order"
			if was.word == safety.Capped {
				assert.NotZero(t, out.Cap)
				continue
			}
			assert.False(t, open("", bare), "%s stops", was.answer)
			assert.False(t, open("  ", bare), "%s: a blank", was.answer)
			if !was.byWords {
				assert.False(t, open("the doctor was asked", bare), "%s is passed by words", was.answer)
			}
			if !was.byStrandTest {
				assert.False(t, open("", "passed"), "%s is passed by a strand test", was.answer)
			}
		}
	}
	for _, q := range safety.Questions() { // whatever goes on now did so before, or is new
		for _, a := range q.Answers {
			switch key := q.ID + ": " + a.Word; {
			case a.Outcome.Word != safety.GoOn || known[key]:
			case q.ID == safety.Airways, key == "health: something else: ask what it is":
			default:
				assert.Contains(t, []string{"age: yes", "reaction: never", "black-henna: never", "health: no", "scalp: sound", "history: nothing, or colour only",
					"deposits: none", "deposits: only hard or pool water", "strand-test: passed", "ready: yes"}, key)
			}
		}
	}
}

func TestWhatLiftsAFinalStop(t *testing.T) {
	doctor := safety.Clearance{Dye: "PPD", By: "the skin clinic", Seen: "2026-02-27"}
	retest := func(day string) safety.Given {
		g := given(t, "strand-test: passed")[0]
		g.TestedOn = day
		return g
	}
	cleared := func(answer string, c safety.Clearance) safety.Given {
		g := given(t, answer)[0]
		g.Clearance = c
		return g
	}
	mistake := func(answer, why string) safety.Given {
		g := given(t, answer)[0]
		g.Mistake = why
		return g
	}
	direct := safety.Plan{}
	direct.Add(formula.Semi, 0)
	one := func(answers string) []safety.Given { return given(t, answers) }
	for name, tt := range map[string]struct {
		answers []safety.Given
		plan    safety.Plan
		stops   bool
	}{
		"reaction, with dye":              {one("reaction: yes"), toned, true},
		"reaction, without dye":           {one("reaction: yes"), lightener, false},
		"reaction, nothing planned":       {one("reaction: yes"), safety.Plan{}, true},
		"reaction, direct dye":            {one("reaction: yes"), direct, true},
		"reaction, high lift is dye":      {one("reaction: yes"), planOf(formula.HighLift), true},
		"reaction, a kind nobody knows":   {one("reaction: yes"), planOf("foam"), true},
		"reaction, cleared":               {[]safety.Given{cleared("reaction: yes", doctor)}, toned, false},
		"reaction, cleared for nothing":   {[]safety.Given{cleared("reaction: yes", safety.Clearance{By: doctor.By, Seen: doctor.Seen})}, toned, true},
		"reaction, cleared by nobody":     {[]safety.Given{cleared("reaction: yes", safety.Clearance{Dye: "PPD", By: " ", Seen: doctor.Seen})}, toned, true},
		"reaction, cleared on no day":     {[]safety.Given{cleared("reaction: yes", safety.Clearance{Dye: "PPD", By: doctor.By})}, toned, true},
		"henna, cleared":                  {[]safety.Given{cleared("black-henna: yes, and the skin reacted", doctor)}, toned, false},
		"skin test, cleared":              {[]safety.Given{cleared("skin-test: there was a reaction", doctor)}, toned, false},
		"skin test, a second clear one":   {append(one("skin-test: there was a reaction"), one("skin-test: 2 days ago")...), toned, true},
		"under 16, cleared":               {[]safety.Given{cleared("age: no", doctor)}, toned, true},
		"under 16, without dye":           {one("age: no"), lightener, true},
		"a wound, cleared":                {[]safety.Given{cleared("scalp: broken, sore or with a rash", doctor)}, lightener, true},
		"metal, lightener":                {one("deposits: metal salts"), lightener, true},
		"metal, toner with developer":     {one("deposits: metal salts"), planOf(formula.Demi), true},
		"metal, direct colour":            {one("deposits: metal salts"), direct, false},
		"metal, cleared":                  {[]safety.Given{cleared("deposits: metal salts", doctor)}, lightener, true},
		"strand, again with its day":      {append(one("strand-test: failed"), retest("2026-03-02")), toned, false},
		"strand, again without":           {append(one("strand-test: failed"), retest("")), toned, true},
		"strand, then not done":           {append(one("strand-test: failed"), one("strand-test: not done, and the hair is in good order")...), toned, true},
		"a mistake":                       {append(one("age: no"), mistake("age: yes", "I pressed no by mistake")), toned, false},
		"a mistake in a word":             {append(one("age: no"), mistake("age: yes", "mistake")), toned, true},
		"a mistake, and answered again":   {append(one("age: no"), mistake("age: yes", "I pressed no by mistake"), one("age: no")[0]), toned, true},
		"answered twice, then a day more": {append(one("scalp: broken, sore or with a rash"), one("scalp: sound")[0], one("scalp: sensitive")[0]), toned, true},
	} {
		t.Run(name, func(t *testing.T) {
			v := safety.Judgement(append(well(t), tt.answers...), tt.plan)
			assert.Equal(t, tt.stops, len(v.Stops) > 0)
			assert.Equal(t, !tt.stops, v.Clear())
		})
	}
}

func TestReasonsArePickedOrTyped(t *testing.T) {
	list := safety.Reasons(safety.History, "lightened before", 9)
	require.NotEmpty(t, list)
	for _, text := range list {
		assert.Contains(t, text, "30 vol")
		assert.NotContains(t, text, "{")
	}
	assert.Contains(t, list[0], "20 vol", "and the cap")
	for _, q := range safety.Questions() {
		for _, a := range q.Answers {
			list := safety.Reasons(q.ID, a.Word, 12)
			if a.Outcome.Word == safety.Capped {
				assert.NotEmpty(t, list, a.Word)
			}
			assert.Less(t, len(list), 9, "one key each, and one for another")
			for _, r := range list {
				assert.True(t, safety.IsReason(r), "%q says why", r)
			}
		}
	}
	assert.Empty(t, safety.Reasons(safety.Henna, "yes, and the skin stayed well", 0), "it takes a sentence, as ever")
	for text, want := range map[string]string{"": "", "  ": "", "1": list[0], " 2 ": list[1], list[0]: list[0], "all of it stood": "all of it stood"} {
		got, err := safety.Reason(text, list)
		require.NoError(t, err, text)
		assert.Equal(t, want, got)
	}
	for _, text := range []string{"0", "3", "-1", "ok", "the maker", "x"} {
		_, err := safety.Reason(text, list)
		require.ErrorIs(t, err, safety.ErrNoReason, text)
		assert.ErrorContains(t, err, "pick 1 ("+list[0])
		assert.ErrorContains(t, err, "in 3 words or more")
	}
	_, err := safety.Reason("1", nil)
	require.ErrorIs(t, err, safety.ErrNoReason, "of no list")
	assert.NotContains(t, err.Error(), "pick")
}

func TestTooYoungSaysWhy(t *testing.T) {
	direct := safety.Plan{}
	direct.Add(formula.Semi, 0)
	both := direct
	both.Add(formula.Demi, 6)
	for name, tt := range map[string]struct {
		plan   safety.Plan
		why    string
		source []string
	}{
		"lightener":        {lightener, "burnt the scalps of children", []string{"Sydney burn units", "five of them children", "Greenland", house}},
		"dye":              {planOf(formula.Permanent), "as their labels say", []string{labels}},
		"direct":           {direct, "direct colour without developer", []string{house, labels}},
		"direct and toner": {both, "as their labels say", []string{labels}},
		"both":             {toned, "Labels of dye say so; lightener", []string{labels, "Sydney"}},
		"nothing yet":      {safety.Plan{}, "Labels of dye say so; lightener", []string{labels, "Sydney"}},
	} {
		out, err := safety.Judge(safety.Age, "no", safety.Setting{Opened: opened, Rules: safety.RulesOf(safety.EU), Plan: tt.plan})
		require.NoError(t, err)
		assert.True(t, out.Final)
		assert.Contains(t, out.Why, "Under 16: no dye and no lightener. ", name)
		assert.Contains(t, out.Why, tt.why, name)
		for _, s := range tt.source {
			assert.Contains(t, out.Source, s, name)
		}
	}
	out, err := safety.Judge(safety.Age, "no", at(opened))
	require.NoError(t, err)
	assert.NotContains(t, strings.ToLower(out.Why), "safe")
}

func TestAsthmaIsAskedOnlyBeforeLightener(t *testing.T) {
	rest := slices.DeleteFunc(well(t), func(g safety.Given) bool { return g.Question == safety.Airways })
	begun := lightener
	begun.Begun = true
	for name, tt := range map[string]struct {
		plan safety.Plan
		open bool
	}{
		"lightener": {lightener, true}, "with toner": {toned, true}, "colour alone": {planOf(formula.Demi), false},
		"nothing planned": {safety.Plan{}, true}, "lightener on hair already": {begun, false},
	} {
		assert.Equal(t, tt.open, len(safety.Judgement(rest, tt.plan).Open) == 1, name)
	}
	v := safety.Judgement(append(rest, given(t, "airways: asthma")...), planOf(formula.Demi))
	assert.Len(t, v.Refers, 1, "who has asthma is known, whatever is planned")
}

// No words take away what a test showed: a second clear skin test clears
// nobody, and a failed strand test asks for another one with its day.
func TestNoMistakeTakesAwayWhatATestShowed(t *testing.T) {
	const why = "I tested another one"
	for first, then := range map[string]string{"skin-test: there was a reaction": "skin-test: 2 days ago", "strand-test: failed": "strand-test: passed"} {
		g := given(t, then)[0]
		g.Mistake = why
		assert.True(t, given(t, first)[0].Stands(g), first)
	}
	g := given(t, "age: yes")[0]
	g.Mistake = "her sister was asked"
	assert.False(t, given(t, "age: no")[0].Stands(g), "a slip that was no test")
}
