package safety_test

import (
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/session/formula"
	"rinseby/session/safety"
)

// opened is a Monday morning.
var opened = time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC)

// at is a service that was opened at the moment, in a salon that set nothing.
func at(opened time.Time) safety.Setting {
	return safety.Setting{Opened: opened, Rules: safety.RulesOf(safety.AnyRegion)}
}

// Part of the names of the sources that the duties are known from.
const (
	labels   = "label texts"
	training = "UK training texts"
	units    = "SHBHCLS005"
	metal    = "J. Soc. Cosmet. Chem. 12(3), 1961"
	house    = "house rule"
	memory   = "from memory, no source"
	practice = "common practice, no source"
	hse      = "UK HSE"

	persulfate = "PMC9489562"
)

func TestEveryAnswer(t *testing.T) {
	type want struct {
		word   safety.Word
		cap    safety.Cap
		until  string
		source []string
	}
	var (
		on    = func(source string) want { return want{safety.GoOn, safety.Cap{}, "", []string{source}} }
		stop  = func(source ...string) want { return want{safety.Stop, safety.Cap{}, "", source} }
		refer = func(source ...string) want { return want{safety.Refer, safety.Cap{}, "", source} }
		test  = func(source ...string) want { return want{safety.Stop, safety.Cap{}, safety.Strand, source} }
		limit = func(c safety.Cap, source ...string) want { return want{safety.Capped, c, "", source} }
	)
	table := map[string]map[string]want{
		safety.Age:      {"yes": on(labels), "no": stop(labels)},
		safety.Reaction: {"never": on(labels), "yes": stop(labels), "not sure": refer(house)},
		safety.Henna: {"never": on(labels), "yes, and the skin stayed well": refer(labels, house),
			"yes, and the skin reacted": stop(labels, memory)},
		safety.SkinTest: {"not done": stop(training), "there was a reaction": stop(labels)},
		safety.Health:   {"no": on(memory), "yes": refer(memory), "something else: ask what it is": on(house), "rather not say": refer(house)},
		safety.Airways: {"none": on(persulfate), "asthma": refer(persulfate, house), "eczema": refer("Fisher", house),
			"another allergy": refer(house), "more than one of these": refer(persulfate, house)},
		safety.Scalp: {"sound": on(labels), "sensitive": limit(safety.Cap{OffScalp: true}, labels, house),
			"broken, sore or with a rash": stop(labels)},
		safety.History: {"nothing, or colour only": on(practice),
			"lightened before":                limit(safety.Cap{Max: 6, Hair: formula.Lightened}, practice),
			"straightened, permed or damaged": test(units), "not known": test(units, house)},
		safety.Deposits: {"none": on(metal), "only hard or pool water": on(metal), "metal salts": stop(metal, house), "henna": test(metal),
			"a home colour nobody knows": test(metal, house)},
		safety.Strand: {"passed": on(units), "not done, and the hair is in good order": limit(safety.Cap{Max: 9}, house, practice),
			"not done, and the hair is at risk": stop(units), "failed": stop(units, practice)},
		safety.Ready: {"yes": on(hse), "not yet": stop(hse, practice)},
	}
	require.Len(t, safety.Questions(), len(table))
	for _, q := range safety.Questions() {
		require.Len(t, q.Answers, len(table[q.ID]), q.ID)
		for _, a := range q.Answers {
			w, ok := table[q.ID][a.Word]
			require.True(t, ok, "%s: %s", q.ID, a.Word)
			got, err := safety.Judge(q.ID, " "+strings.ToUpper(a.Word), at(opened))
			require.NoError(t, err)
			assert.Equal(t, []any{w.word, w.cap, w.until, a.Word}, []any{got.Word, got.Cap, got.Until, got.Answer}, "%s: %s", q.ID, a.Word)
			for _, s := range w.source {
				assert.Contains(t, got.Source, s, "%s: %s", q.ID, a.Word)
			}
			assert.Regexp(t, `^[A-Z0-9].*\.$`, got.Why, "a sentence")
			if strings.Contains(got.Source, labels) || strings.Contains(got.Source, training) {
				assert.True(t, strings.Contains(got.Source, "Finnish authority") || strings.Contains(got.Source, "secondary"), "it says how far it was read")
			}
		}
	}
}

func TestQuestionsFitAScreen(t *testing.T) {
	seen := map[string]bool{}
	require.LessOrEqual(t, len(safety.Questions()), 11)
	for _, q := range safety.Questions() {
		assert.Regexp(t, regexp.MustCompile(`^[a-z]+(-[a-z]+)*$`), q.ID)
		assert.False(t, seen[q.ID], q.ID)
		seen[q.ID] = true
		assert.LessOrEqual(t, len(q.Text), 76, q.Text)
		assert.NotEmpty(t, q.Source, q.ID)
		for i, a := range q.Answers {
			assert.LessOrEqual(t, len(a.Word), 48, a.Word)
			if i == 0 && q.Kind == safety.Choice {
				assert.Equal(t, safety.GoOn, a.Outcome.Word, "the first of %s goes on", q.ID)
			}
		}
	}
	first, _ := safety.Find(safety.Age)
	first.Answers[0].Word = "changed"
	again, _ := safety.Find(safety.Age)
	assert.Equal(t, "yes", again.Answers[0].Word, "what a caller changes stays with it")
}

func TestDayOfTheSkinTest(t *testing.T) {
	auckland := time.FixedZone("", 13*3600)
	for _, tt := range []struct {
		answer string
		now    time.Time
		kept   string
		word   safety.Word
		why    string
	}{
		{"2026-02-28", opened, "2026-02-28", safety.GoOn, "No reaction seen, "},
		{"2 days ago", opened, "2026-02-28", safety.GoOn, "No reaction seen, "},
		{" 7 Days Ago ", opened, "2026-02-23", safety.GoOn, "7 days before"},
		{"8 days ago", opened, "2026-02-22", safety.Stop, "8 days old, and here it is good for 7"},
		{"2025-03-02", opened, "2025-03-02", safety.Stop, "365 days old"},
		{"2026-03-01", opened, "2026-03-01", safety.Stop, "about 48 hours"},
		{"yesterday", opened, "2026-03-01", safety.Stop, "about 48 hours"},
		{"1 day ago", opened, "2026-03-01", safety.Stop, "about 48 hours"},
		{"today", opened, "2026-03-02", safety.Stop, "about 48 hours"},
		{"0 days ago", opened, "2026-03-02", safety.Stop, "about 48 hours"},
		// In Auckland it is the 3rd, though it is the 2nd in UTC.
		{"2026-03-01", time.Date(2026, 3, 3, 9, 0, 0, 0, auckland), "2026-03-01", safety.GoOn, "No reaction seen, "},
		{"2 days ago", time.Date(2026, 3, 3, 0, 30, 0, 0, auckland), "2026-03-01", safety.GoOn, "No reaction seen, "},
	} {
		got, err := safety.Judge(safety.SkinTest, tt.answer, at(tt.now))
		require.NoError(t, err, tt.answer)
		assert.Equal(t, []any{tt.kept, tt.word}, []any{got.Answer, got.Word}, tt.answer)
		assert.Contains(t, got.Why, tt.why)
		assert.NotEmpty(t, got.Source)
	}
	if berlin, err := time.LoadLocation("Europe/Berlin"); err == nil { // a day of 23 hours lies between
		got, err := safety.Judge(safety.SkinTest, "2026-03-28", at(time.Date(2026, 3, 30, 8, 0, 0, 0, berlin)))
		require.NoError(t, err)
		assert.Equal(t, safety.GoOn, got.Word)
	}
	for answer, says := range map[string]string{
		"2026-03-03": "still to come", "1900-01-01": "check the year", "": "is no day", "-1 days ago": "is no day", "x days ago": "is no day",
		"99999999999999999999 days ago": "is no day", "02/13": `type it as 28/2, 28 Feb, 2026-02-28 or 2 days ago, or answer "not done" or "there was a reaction"`,
		"3/3/2026": "still to come", "31/2": "is no day", "28.2.26": "is no day", "0/1": "is no day", "28 fe": "is no day", "28 foo": "is no day", "1/1/1900": "check the year",
		"yes": "is no day",
	} {
		_, err := safety.Judge(safety.SkinTest, answer, at(opened))
		assert.ErrorContains(t, err, says, answer)
		assert.NotContains(t, err.Error(), "skin-test", "the id means nothing to who types")
	}
}

func TestDayBeforeMonth(t *testing.T) {
	for answer, kept := range map[string]string{
		"28/2": "2026-02-28", "28.2.": "2026-02-28", "28.02.2026": "2026-02-28", "28/02/2026": "2026-02-28", "28 Feb": "2026-02-28", " 28. FEBRUARY ": "2026-02-28",
		"28feb": "2026-02-28", "28 Feb. 2026": "2026-02-28", "2/3": "2026-03-02", "3/2": "2026-02-03", "3/3": "2025-03-03", "20/11": "2025-11-20", "20 Nov": "2025-11-20",
		"20.11.2025": "2025-11-20", "20 sept 2025": "2025-09-20", "29/2": "2024-02-29", "1 may": "2025-05-01", "31.12": "2025-12-31",
	} {
		got, err := safety.Judge(safety.SkinTest, answer, at(opened))
		if assert.NoError(t, err, answer) {
			assert.Equal(t, kept, got.Answer, answer)
		}
	}
}

func TestHeadsOfCaps(t *testing.T) {
	for _, q := range safety.Questions() {
		for _, a := range q.Answers {
			assert.Equal(t, a.Outcome.Word == safety.Capped, a.Outcome.Head != "", a.Word)
		}
	}
	assert.Equal(t, "Sensitive scalp", safety.Head(safety.Scalp, "sensitive"))
	assert.Equal(t, "star sign, fish", safety.Head("star sign", "fish"))
}

func TestJudgeRefuses(t *testing.T) {
	_, err := safety.Judge("skin test", "yes", at(opened))
	assert.ErrorContains(t, err, `"skin test" is no safety question: ask one of age, reaction, `)
	for _, answer := range []string{"", "maybe", "yes, "} {
		_, err = safety.Judge(safety.Age, answer, at(opened))
		assert.ErrorContains(t, err, `is no answer: say "yes" or "no"`)
	}
}

// given judges answers as they are written: "question: answer".
func given(t *testing.T, lines ...string) (all []safety.Given) {
	t.Helper()
	for _, l := range lines {
		id, answer, _ := strings.Cut(l, ": ")
		answer, reason, _ := strings.Cut(answer, " / ")
		out, err := safety.Judge(id, answer, at(opened))
		require.NoError(t, err)
		all = append(all, safety.Given{Question: id, Reason: reason, Outcome: out})
	}
	return all
}

func well(t *testing.T) (all []safety.Given) {
	for _, q := range safety.Questions() {
		answer := q.Answers[0].Word
		if q.Kind == safety.Day {
			answer = "2 days ago"
		}
		all = append(all, given(t, q.ID+": "+answer)...)
	}
	return all
}

func TestJudgement(t *testing.T) {
	v := safety.Judgement(nil, lightener)
	assert.Equal(t, []string{"age", "reaction", "black-henna", "skin-test", "health", "airways", "scalp", "history", "deposits", "strand-test", "ready"}, v.Open, "in the order of asking")
	assert.False(t, v.Clear())
	require.True(t, safety.Judgement(well(t), lightener).Clear())

	ids := func(gs []safety.Given) (all []string) {
		for _, g := range gs {
			all = append(all, g.Question)
		}
		return all
	}
	for name, tt := range map[string]struct {
		also         []string
		stops, refer []string
		caps         []string
	}{
		"a stop":                            {[]string{"age: no"}, []string{"age"}, nil, nil},
		"a stop with a reason":              {[]string{"ready: not yet / gloves come right after"}, nil, nil, nil},
		"no reason passes a reaction":       {[]string{"reaction: yes / her doctor tested her"}, []string{"reaction"}, nil, nil},
		"no reason passes an age":           {[]string{"age: no / a prop head"}, []string{"age"}, nil, nil},
		"nor a reaction to the test":        {[]string{"skin-test: there was a reaction / asked"}, []string{"skin-test"}, nil, nil},
		"nor a broken scalp":                {[]string{"scalp: broken, sore or with a rash / asked"}, []string{"scalp"}, nil, nil},
		"a blank is no reason":              {[]string{"age: no /  "}, []string{"age"}, nil, nil},
		"a refer":                           {[]string{"health: yes"}, nil, []string{"health"}, nil},
		"a refer with a reason":             {[]string{"health: yes / her doctor agrees"}, nil, nil, nil},
		"the last answer counts":            {[]string{"ready: not yet", "ready: yes"}, nil, nil, nil},
		"but a final stop stands":           {[]string{"age: no", "age: yes"}, []string{"age"}, nil, nil},
		"a reason of another answer is not": {[]string{"reaction: yes / x", "reaction: yes"}, []string{"reaction"}, nil, nil},
		"lifted by the strand test":         {[]string{"deposits: henna"}, nil, nil, nil},
		"metal is not":                      {[]string{"deposits: metal salts or henna"}, []string{"deposits"}, nil, nil},
		"no strand test":                    {[]string{"deposits: henna", "strand-test: not done, and the hair is in good order"}, []string{"deposits"}, nil, []string{"strand-test"}},
		"a strand test that failed":         {[]string{"history: not known", "strand-test: failed"}, []string{"history", "strand-test"}, nil, nil},
		"a strand test that was passed over": {[]string{"history: not known", "strand-test: failed / never mind"},
			[]string{"history", "strand-test"}, nil, nil},
		"caps": {[]string{"scalp: sensitive", "history: lightened before"}, nil, nil, []string{"scalp", "history"}},
	} {
		t.Run(name, func(t *testing.T) {
			v := safety.Judgement(append(well(t), given(t, tt.also...)...), toned)
			assert.Empty(t, v.Open)
			assert.Equal(t, [][]string{tt.stops, tt.refer, tt.caps}, [][]string{ids(v.Stops), ids(v.Refers), ids(v.Caps)})
			assert.Equal(t, len(tt.stops)+len(tt.refer) == 0, v.Clear())
		})
	}
	odd := append(well(t), safety.Given{Question: safety.Age, Outcome: safety.Outcome{Word: "fine"}}, safety.Given{Question: "star sign"})
	assert.Equal(t, []string{safety.Age}, safety.Judgement(odd, lightener).Open, "an unknown outcome answers nothing")
}

func TestCap(t *testing.T) {
	light := safety.Cap{Max: 6, Hair: formula.Lightened}
	for _, tt := range []struct {
		cap  safety.Cap
		p    formula.Percent
		hair formula.Condition
		over bool
	}{
		{light, 6, formula.Lightened, false}, {light, 6.07, formula.Lightened, false}, {light, 6.2, formula.Lightened, true},
		{light, 9, formula.Natural, false}, {light, 9, formula.Coloured, false}, {light, 9, formula.Sensitive, true},
		{safety.Cap{Max: 9}, 9.11, formula.Natural, false}, {safety.Cap{Max: 9}, 12, formula.Natural, true},
		{safety.Cap{Max: 9}, 12, formula.AnyCondition, true}, {light, 12, formula.AnyCondition, false},
		{safety.Cap{OffScalp: true}, 18, formula.Natural, false}, {safety.Cap{}, 18, formula.Natural, false},
	} {
		assert.Equal(t, tt.over, tt.cap.TooStrong(tt.p, tt.hair), "%v: %v on %s", tt.cap, tt.p, tt.hair)
	}
	off := safety.Cap{OffScalp: true}
	assert.True(t, off.TooClose(formula.OnScalp, formula.Natural))
	assert.True(t, off.TooClose(formula.AnyContact, formula.Natural), "not known may be on it")
	assert.False(t, off.TooClose(formula.OffScalp, formula.Natural))
	assert.False(t, light.TooClose(formula.OnScalp, formula.Lightened))
	assert.Equal(t, "at most 20 vol on lightened hair or worse", light.String())
	assert.Equal(t, "nothing on the scalp", off.String())
	assert.Equal(t, "no cap", safety.Cap{}.String())
}

// lightener and toned are plans: without dye, and with it.
var (
	lightener = planOf(formula.PowderLightener)
	toned     = planOf(formula.PowderLightener, formula.Demi)
)

func planOf(kinds ...formula.Kind) (p safety.Plan) {
	for _, k := range kinds {
		p.Add(k, 6)
	}
	return p
}

func TestWhatWordsNeverPass(t *testing.T) {
	final := map[string]string{}
	for _, q := range safety.Questions() {
		for _, a := range q.Answers {
			out, err := safety.Judge(q.ID, a.Word, at(opened))
			require.NoError(t, err)
			assert.Equal(t, out.Final, safety.Final(q.ID, a.Word), a.Word)
			if !out.Final {
				assert.Empty(t, safety.Lifts(q.ID, a.Word))
				continue
			}
			assert.Equal(t, safety.Stop, out.Word)
			assert.Empty(t, safety.Reasons(q.ID, a.Word, 0), "nothing to pick")
			final[q.ID+": "+a.Word] = safety.Lifts(q.ID, a.Word)
		}
	}
	const doctor = "only a doctor's written clearance that names the dye, or a plan without dye"
	assert.Equal(t, map[string]string{
		"age: no": "", "scalp: broken, sore or with a rash": "",
		"reaction: yes": doctor, "black-henna: yes, and the skin reacted": doctor, "skin-test: there was a reaction": doctor,
		"deposits: metal salts": "only a plan without peroxide or lightener", "strand-test: failed": "only a new test that is passed, with its day",
	}, final)
	assert.False(t, safety.Final("star sign", "no"))
}
