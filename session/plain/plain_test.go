package plain_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/session"
	"rinseby/session/formula"
	"rinseby/session/plain"
	"rinseby/session/safety"
)

var latest = time.Date(2026, 3, 3, 0, 0, 0, 0, time.UTC)

const opening = `{"when":"2026-03-02T09:00:00Z","kind":"service.opened","data":{"client":"Tove A."}}`

func Example() {
	log, err := plain.Read(strings.NewReader(opening+"\n"+
		`{"when":"2026-03-02T09:04:30Z","kind":"note.added","data":{"text":"warm base"}}`+"\n"), latest)
	if err != nil {
		fmt.Println(err)
		return
	}
	n := log.State().Notes[0]
	fmt.Println(log.State().Client, n.At.Format("15:04:05"), n.Text)
	// Output: Tove A. 09:04:30 warm base
}

func TestSameFileBecomesTheSameService(t *testing.T) {
	a, err := plain.Read(strings.NewReader(opening), latest)
	require.NoError(t, err)
	b, err := plain.Read(strings.NewReader(opening), latest)
	require.NoError(t, err)
	require.Equal(t, a.State().Service, b.State().Service)
	require.Regexp(t, `^20260302-0900-[0-9a-f]{8}$`, a.State().Service)
}

func TestALineMayLieEarlierThanTheOneBefore(t *testing.T) {
	l, err := plain.Read(strings.NewReader(opening+`
{"when":"2026-03-02T09:30:00Z","kind":"note.added","data":{"text":"later"}}

{"when":"2026-03-02T09:10:00Z","kind":"note.added","data":{"text":"logged late"}}`), latest)
	require.NoError(t, err)
	late := l.Events()[2]
	require.Equal(t, 20*time.Minute, late.Late())
	require.Equal(t, time.Date(2026, 3, 2, 9, 10, 0, 0, time.UTC), l.State().Notes[1].At)
}

func TestAnotherPromiseIsByTheClockOfItsLine(t *testing.T) {
	l, err := plain.Read(strings.NewReader(opening+`
{"when":"2026-03-02T11:30:00+02:00","kind":"promise.changed","data":{"promised":"2026-03-02T11:00:00Z","told":"the front desk"}}`), latest)
	require.NoError(t, err)
	require.Equal(t, time.Date(2026, 3, 2, 11, 0, 0, 0, time.UTC), l.State().Promised)
	require.Equal(t, "promised for 13:00, told: the front desk", l.State().Say(l.Events()[1].Data))
}

func TestBadInputNamesTheLine(t *testing.T) {
	for name, c := range map[string]struct{ text, want string }{
		"empty":               {"", "holds no line"},
		"no opening":          {`{"when":"2026-03-02T09:00:00Z","kind":"note.added","data":{"text":"x"}}`, "line 1: the service is not open yet"},
		"not JSON":            {opening + "\nhello", "line 2: not of the form"},
		"no time":             {opening + "\n" + `{"kind":"note.added","data":{"text":"x"}}`, `line 2: "when" is missing`},
		"future":              {opening + "\n" + `{"when":"2027-03-02T09:00:00Z","kind":"note.added","data":{"text":"x"}}`, "line 2: 2027-03-02T09:00:00Z is in the future"},
		"unknown kind":        {opening + "\n" + `{"when":"2026-03-02T09:01:00Z","kind":"note.sung","data":{}}`, `line 2: unknown kind of event "note.sung"`},
		"unknown field":       {opening + "\n" + `{"when":"2026-03-02T09:01:00Z","kind":"note.added","data":{"texts":"x"}}`, "line 2: data of note.added"},
		"unknown key":         {opening + "\n" + `{"when":"2026-03-02T09:01:00Z","kind":"note.added","data":{"text":"x"},"at":1}`, "line 2: not of the form"},
		"two on a line":       {opening + opening, "line 1: more than one value"},
		"rinse of nothing":    {opening + "\n" + `{"when":"2026-03-02T09:01:00Z","kind":"rinse.began","data":{"zones":["nape"]}}`, `line 2: there is no zone "nape"`},
		"before the opening":  {opening + "\n" + `{"when":"2026-03-02T08:59:00Z","kind":"note.added","data":{"text":"x"}}`, "line 2: "},
		"promise that passed": {opening + "\n" + `{"when":"2026-03-02T09:01:00Z","kind":"promise.changed","data":{"promised":"2026-03-02T09:00:00Z"}}`, "line 2: the time that the client is promised has passed"},
		"a line too long":     {opening + "\n" + strings.Repeat("x", plain.MaxLine+1), "line 2: longer than"},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := plain.Read(strings.NewReader(c.text), latest)
			require.ErrorContains(t, err, c.want)
		})
	}
}

func FuzzRead(f *testing.F) {
	f.Add(opening)
	f.Add(opening + "\n" + `{"when":"2026-03-02T09:01:00Z","kind":"note.added","data":{"text":"x"}}`)
	f.Fuzz(func(t *testing.T, text string) {
		l, err := plain.Read(strings.NewReader(text), latest)
		if err != nil {
			return
		}
		again, err := session.Fold(l.Events())
		require.NoError(t, err, "what is read folds again")
		require.Equal(t, l.State(), again.State())
	})
}

// lines are a service that is ready for its first piece, and then the lines.
func lines(first string, more ...string) string {
	const at = `{"when":"2026-03-02T09:00:00Z","kind":`
	out := []string{first, at + `"consultation.noted"}`,
		at + `"plan.set","data":{"round":"r1","name":"One","action":"lighten","zones":[` + plainZone("a", "Nape", "") + `]}}`,
		at + `"window.confirmed","data":{"row":{"product":"Chalk","strength_pct":9,"limit_s":3000},"basis":"the product's instructions, typed by the user"}}`}
	for _, q := range safety.Questions() {
		a := q.Answers[0].Word
		if q.Kind == safety.Day {
			a = "2 days ago"
		}
		out = append(out, fmt.Sprintf(at+`"safety.answered","data":{"question":%q,"answer":%q}}`, q.ID, a))
	}
	out = append(out, at+`"bowl.mixed","data":{"bowl":"b1","product":"Chalk","product_kind":"powder lightener","mix":{"products":[{"product":"Chalk","grams":30}],"developers":[{"strength_pct":9,"grams":60}]}}}`)
	return strings.Join(append(out, more...), "\n")
}

func plainZone(id, name, more string) string {
	return fmt.Sprintf(`{"id":%q,"name":%q,"pieces":2%s,"bands":[{"band":"root","product":"Chalk","product_kind":"powder lightener","strength_pct":9,"contact":"off","condition":"natural"}]}`, id, name, more)
}

func line(clock, kind, data string) string {
	return fmt.Sprintf(`{"when":"2026-03-02T%s:00Z","kind":%q,"data":%s}`, clock, kind, data)
}

func TestRoundsOnOneNameAddUpInPlainLines(t *testing.T) {
	second := func(other string) string {
		return lines(opening, line("09:00", "piece.placed", `{"zone":"a"}`), line("09:40", "rinse.began", `{"zones":["a"]}`), line("09:45", "rinse.ended", `{}`),
			line("10:00", "plan.set", `{"name":"Two","action":"lighten","zones":[`+plainZone("b", "nape", other)+`]}`),
			line("10:00", "bowl.mixed", `{"product":"Chalk","product_kind":"powder lightener","mix":{"products":[{"product":"Chalk","grams":30}],"developers":[{"strength_pct":9,"grams":60}]}}`),
			line("10:00", "piece.placed", `{"zone":"b"}`))
	}
	for other, carried := range map[string]time.Duration{"": 45 * time.Minute, `,"other_hair":true`: 0} {
		l, err := plain.Read(strings.NewReader(second(other)), latest)
		require.NoError(t, err)
		s := l.State()
		require.Equal(t, carried, s.CoatTiming(s.Zone("b").Coats[0]).Carried, other)
	}
}

func TestWhatTheHairHadIsLookedUp(t *testing.T) {
	from := time.Date(2026, 3, 2, 8, 0, 0, 0, time.UTC)
	r := plain.Reader{Latest: latest, Had: func(client string, at time.Time) ([]session.HairHad, error) {
		require.Equal(t, "Tove A.", client)
		require.Equal(t, from.Add(time.Hour), at.UTC())
		return []session.HairHad{{Service: "early", Zone: "Nape", Band: session.Root, Action: formula.Lighten, Strength: 9, From: from, Seconds: 600}}, nil
	}}
	l, err := r.Read(strings.NewReader(lines(opening, line("09:05", "piece.placed", `{"zone":"a"}`))))
	require.NoError(t, err)
	require.Equal(t, 10*time.Minute, l.State().CoatTiming(l.State().Zone("a").Coats[0]).Carried)

	said := `{"when":"2026-03-02T09:00:00Z","kind":"service.opened","data":{"client":"Tove A.","had":[{"service":"x","zone":"nape","band":"root","action":"lighten","from":"2026-03-02T07:00:00Z","seconds":1200}]}}`
	l, err = r.Read(strings.NewReader(lines(said, line("09:05", "piece.placed", `{"zone":"a"}`))))
	require.NoError(t, err)
	require.Equal(t, 20*time.Minute, l.State().CoatTiming(l.State().Zone("a").Coats[0]).Carried, "what the lines say stands")
}

func TestARatioOutsideTheCatalogueIsAskedAbout(t *testing.T) {
	bowl := func(grams int, more string) string {
		return lines(opening, line("09:00", "bowl.mixed", fmt.Sprintf(`{"bowl":"wet","product":"chalk","product_kind":"powder lightener"%s,"mix":{"products":[{"product":"Chalk","grams":30}],"developers":[{"strength_pct":9,"grams":%d}]}}`, more, grams)))
	}
	r := plain.Reader{Latest: latest, Catalogue: formula.Starter()}
	_, err := r.Read(strings.NewReader(bowl(90, "")))
	require.ErrorContains(t, err, "bowl wet is mixed 1:3, and the catalogue has 1:1 to 1:2 for chalk: keep to that, or say that it is meant (ratio_outside)")
	l, err := r.Read(strings.NewReader(bowl(90, `,"ratio_outside":true`)))
	require.NoError(t, err)
	require.Equal(t, "1:1 to 1:2", l.State().Bowl("wet").RatioRange)
	l, err = r.Read(strings.NewReader(bowl(60, "")))
	require.NoError(t, err)
	require.Empty(t, l.State().Bowl("wet").RatioRange)
}

func TestPlainLinesAreAskedAboutTheScalpHeatAndBowls(t *testing.T) {
	demi := `{"bowl":"toner","product":"Veil","product_kind":"demi colour","mix":{"products":[{"product":"Veil","grams":30}],"developers":[{"strength_pct":9,"grams":60}]}}`
	for name, c := range map[string]struct {
		more []string
		want string
	}{
		"clay on the scalp": {[]string{line("09:00", "plan.set", `{"name":"Two","action":"lighten","zones":[`+
			strings.NewReplacer("powder", "clay", `"off"`, `"scalp"`).Replace(plainZone("b", "Top", ""))+`]}`)}, "is clay lightener, which is not for the scalp"},
		"30 vol on the scalp": {[]string{line("09:00", "plan.set", `{"name":"Two","action":"lighten","zones":[`+
			strings.Replace(plainZone("b", "Top", ""), `"off"`, `"scalp"`, 1)+`]}`), line("09:05", "piece.placed", `{"zone":"b"}`)}, "the catalogue has up to 20 vol for the scalp"},
		"heat": {[]string{line("09:05", "piece.placed", `{"zone":"a"}`), line("09:06", "heat.on", `{"zones":["a"]}`)}, "Peters 2000"},
		"another product": {[]string{line("09:00", "bowl.mixed", demi), line("09:05", "piece.placed", `{"zone":"a","coats":[{"band":"root","bowl":"toner"}]}`)},
			"bowl toner is Veil, demi colour, but the plan for the root of Nape is Chalk, powder lightener: change the plan"},
		"another kind": {[]string{line("09:00", "bowl.mixed", strings.ReplaceAll(demi, "Veil", "Chalk"))}, "correct the kind, or change the plan"},
	} {
		_, err := plain.Read(strings.NewReader(lines(opening, c.more...)), latest)
		require.ErrorContains(t, err, c.want, name)
	}
}

func TestAProductThatTheCatalogueKeepsOffTheScalp(t *testing.T) {
	cat, err := formula.Parse("own", []byte("[[product]]\nname = \"Chalk\"\nkind = \"powder lightener\"\noff_scalp = true\n"))
	require.NoError(t, err)
	l, err := plain.Reader{Latest: latest, Catalogue: cat}.Read(strings.NewReader(lines(opening)))
	require.NoError(t, err)
	require.True(t, l.State().Bowl("b1").OffScalp)
}

// What a key picks at the chair, a number picks in a line; what words don't pass
// there, they don't pass here.
func TestLinesGiveReasonsAsTheChairDoes(t *testing.T) {
	line := func(kind, data string) string {
		return `{"when":"2026-03-02T09:00:00Z","kind":"` + kind + `","data":` + data + "}\n"
	}
	opened := line("service.opened", `{"client":"June L.","region":"canada"}`)
	l, err := plain.Read(strings.NewReader(opened+
		line("safety.answered", `{"question":"skin-test","answer":"yesterday"}`)+
		line("safety.answered", `{"question":"health","answer":"yes","reason":"1"}`)+
		line("safety.answered", `{"question":"history","answer":"lightened before"}`)+
		line("warning.acknowledged", `{"warning":"safety-cap:history:6:9","reason":"1"}`)+
		line("safety.answered", `{"question":"age","answer":"no"}`)+
		line("safety.answered", `{"question":"age","answer":"yes"}`)), latest)
	require.NoError(t, err)
	s := l.State()
	assert.Equal(t, "strand test today stood 30 vol, over the cap of 20 vol", s.Acks[0].Reason)
	for _, a := range s.Answers() {
		switch a.Question {
		case "skin-test":
			assert.Equal(t, "go on", string(a.Outcome), "24 hours are the region's")
		case "health":
			assert.Equal(t, "the client's doctor said yes", a.Reason)
		case "age":
			assert.Equal(t, "no", a.Answer, "it is not answered away")
		}
	}
	for lines, says := range map[string]string{
		line("safety.answered", `{"question":"age","answer":"no","reason":"her mother is here"}`):                                                                              "line 2: age (no): no reason passes this",
		line("safety.answered", `{"question":"reaction","answer":"yes","cleared_dye":"PPD"}`):                                                                                  "a doctor's written clearance names the dye",
		line("warning.acknowledged", `{"warning":"over-cap:b1","reason":"the maker says so"}`):                                                                                 "no reason passes this, only a weaker mix",
		line("bowl.mixed", `{"product":"Veil","product_kind":"demi colour","mix":{"products":[{"product":"Veil","grams":10}],"developers":[{"strength_pct":18,"grams":90}]}}`): "12 % is the most (house rule, as EU law)",
	} {
		_, err := plain.Read(strings.NewReader(opened+lines), latest)
		assert.ErrorContains(t, err, says)
	}
}
