package replay_test

import (
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"rinseby/session"
	"rinseby/session/formula"
	"rinseby/session/replay"
)

func asked(t require.TestingT, tape *replay.Tape, at time.Time, kind replay.Kind) replay.Question {
	all := replay.Questions(tape)
	i := slices.IndexFunc(all, func(q replay.Question) bool { return q.At.Equal(at) && q.Kind == kind })
	require.GreaterOrEqual(t, i, 0, "nothing is asked at %s", at)
	return all[i]
}

func TestTheKnownBreachIsAskedAbout(t *testing.T) {
	tape := replay.New(ordinaryDay(t))
	// Side right went in from 10:15 and has 45 minutes: closing from 10:50 on.
	// Hands placed on, and set out at 10:57: off at 11:03.
	q := asked(t, tape, tape.From().Add(110*time.Minute), replay.Trip)
	assert.Equal(t, "What now? Side right must be off first, by 11:00.", q.Text)
	assert.Equal(t, "Place on", q.Done().Text)
	assert.Equal(t, "Side right: 48 min of 45 min, 3 min OVER.", q.Done().Led)
	assert.Equal(t, "Rinse Side right, Top left", q.Planner().Text)
	assert.Equal(t, "Computed: No zone went past its limit by it, and none was rinsed before it was open.", q.Planner().Led)
	for i, o := range q.Options {
		v, err := q.Judge(i)
		require.NoError(t, err)
		assert.Equal(t, !o.Done, v == replay.Right, o.Text)
	}

	// When hands set out it was too late for any option; the planner's is right.
	q = asked(t, tape, tape.From().Add(117*time.Minute), replay.Trip)
	assert.Equal(t, "Rinse Side right", q.Done().Text)
	assert.Equal(t, replay.Bad, q.Done().Ground)
	assert.Equal(t, replay.Bad, q.Planner().Ground)

	// Its strength had no part in it, as no weaker one has a longer row.
	for _, q := range replay.Questions(tape) {
		if q.Kind == replay.Strength && q.Zone == "side-right" {
			for i := range q.Options {
				v, err := q.Judge(i)
				require.NoError(t, err)
				assert.Equal(t, replay.NoGround, v)
			}
		}
	}
}

func TestDepthsAndAmountsAreAsked(t *testing.T) {
	tape := replay.New(ordinaryDay(t))
	seen := func(q replay.Question) (texts []string) {
		for _, o := range q.Options {
			texts = append(texts, o.Text)
		}
		return texts
	}
	check := asked(t, tape, tape.From().Add(53*time.Minute-session.Precision), replay.Check)
	assert.Equal(t, "How deep is the root of Nape left by now, of 10?", check.Text)
	assert.Equal(t, []string{"7", "8", "9", "10"}, seen(check))
	assert.Equal(t, "8", check.Done().Text)
	v, err := check.Judge(1)
	require.NoError(t, err)
	assert.Equal(t, replay.Right, v)

	mix := asked(t, tape, tape.From().Add(13*time.Minute-session.Precision), replay.Mix)
	assert.Equal(t, "How much of Chalk 20 vol is mixed?", mix.Text)
	assert.Equal(t, []string{"30 g", "60 g", "90 g"}, seen(mix))
	assert.True(t, mix.Done().Planner, "60 g is within a tenth of what the planner would mix")
}

func TestWhichStrengthIsAsked(t *testing.T) {
	// 45 minutes at 9 %, and 60 at 3 %: four pieces, on for 52 minutes.
	weak := root
	weak.Strength = 3
	c := &chair{t: t, log: &session.Log{}, now: zero, boot: "boot-a"}
	c.do(session.ServiceOpened{Service: "s1", Client: "June L."}, session.PlanSet{Name: "Lightening", Action: formula.Lighten,
		Zones: []session.PlanZone{zone("Nape", 4, root)}}, window(root, 20, 45), window(weak, 25, 60), bowl(root, 30, 60))
	c.do(answers()...)
	c.at(2).do(place("z1", 4))
	c.rinsed(50, 4, "z1")
	q := asked(t, replay.New(c.log), minute(2).Add(-session.Precision), replay.Strength)
	assert.Equal(t, "root 30 vol", q.Done().Text)
	assert.Equal(t, replay.Bad, q.Done().Ground, "52 of 45")
	assert.Equal(t, "root 10 vol", q.Planner().Text)
	assert.Equal(t, replay.Good, q.Planner().Ground, "52 of 60")
}

func TestAnyQuestionCanBeAnswered(t *testing.T) {
	kinds := map[replay.Kind]int{}
	rapid.Check(t, func(rt *rapid.T) {
		c := randomService(rt, rapid.IntRange(5, 25).Draw(rt, "entries"))
		tape := replay.New(c.log)
		all := replay.Questions(tape)
		require.Equal(rt, all, replay.Questions(replay.New(c.log)), "equal logs have equal questions")
		var last time.Time
		for _, q := range all {
			kinds[q.Kind]++
			require.False(rt, q.At.Before(last))
			last = q.At
			require.GreaterOrEqual(rt, len(q.Options), 2)
			require.LessOrEqual(rt, len(q.Options), 4)
			done, texts := 0, map[string]bool{}
			for i, o := range q.Options {
				require.False(rt, texts[o.Text], "%s is there twice", o.Text)
				texts[o.Text] = true
				require.NotEmpty(rt, o.Led, o.Text)
				if o.Done {
					done++
				}
				_, err := q.Judge(i)
				require.NoError(rt, err)
			}
			require.Equal(rt, 1, done, "%+v", q)
		}
	})
	for _, kind := range []replay.Kind{replay.Trip, replay.Check, replay.Mix, replay.Strength} {
		require.NotZero(t, kinds[kind], kind)
	}
}

func TestHostileNamesStayData(t *testing.T) {
	name := "Na\x1b[2Jpe\n%s\u202e"
	c := ready(t).do(session.PlanChanged{Change: session.ChangeRename, Zone: "z1", Name: name})
	c.at(2).do(place("z1", 4))
	c.rinsed(50, 4, "z1")
	tape := replay.New(c.log)
	q := asked(t, tape, minute(48), replay.Trip)
	assert.Equal(t, "Rinse "+name, q.Done().Text)
	a := whatIf(t, c.log, minute(20), replay.RinseNow{Zones: []string{"z1"}})
	assert.Contains(t, a.Change, name)
}

func TestASheetCountsByKind(t *testing.T) {
	good, bad, none := replay.Answer{Ground: replay.Good}, replay.Answer{Ground: replay.Bad}, replay.Answer{}
	trip := replay.Question{Kind: replay.Trip, Options: []replay.Answer{good, bad, none, {Planner: true, Ground: replay.Bad}}}
	check := replay.Question{Kind: replay.Check, Options: []replay.Answer{{Planner: true, Ground: replay.Bad}, good}}
	void := replay.Question{Kind: replay.Mix, Options: []replay.Answer{bad, bad}}
	var s replay.Sheet
	assert.Equal(t, replay.Tally{}, s.All())
	for _, tt := range []struct {
		q    replay.Question
		i    int
		want replay.Verdict
	}{
		{trip, 0, replay.Right}, {trip, 1, replay.Wrong}, {trip, 2, replay.NoGround}, {trip, 3, replay.Right},
		{check, 0, replay.Wrong}, {check, 1, replay.Right}, {void, 1, replay.NoGround},
	} {
		v, err := s.Add(tt.q, tt.i)
		require.NoError(t, err)
		assert.Equal(t, tt.want, v)
	}
	assert.Equal(t, replay.Tally{Right: 2, Wrong: 1, NoGround: 1}, s.Of(replay.Trip))
	assert.Equal(t, replay.Tally{Right: 3, Wrong: 2, NoGround: 2}, s.All())
	assert.Equal(t, "3 of 5 right, 2 without ground to judge", s.All().String())
	_, err := s.Add(trip, 4)
	require.EqualError(t, err, "there is no answer 5: choose 1 to 4")
	assert.Equal(t, 7, s.All().Right+s.All().Wrong+s.All().NoGround, "what was refused does not count")
}
