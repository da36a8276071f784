package replay_test

import (
	"bytes"
	"reflect"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"rinseby/session"
	"rinseby/session/plain"
	"rinseby/session/replay"
	"rinseby/session/safety"
)

func redacted(t require.TestingT, l *session.Log) (*session.Log, string) {
	text, err := replay.Redact(l)
	require.NoError(t, err)
	again, err := plain.Read(bytes.NewReader(text), zero)
	require.NoError(t, err)
	return again, string(text)
}

// nameless takes every text, and the day, out of a value.
func nameless(v reflect.Value) {
	switch {
	case v.Type() == reflect.TypeFor[time.Time]():
		v.SetZero()
	case v.Type() == reflect.TypeFor[string]():
		v.SetString("")
	case v.Kind() == reflect.Pointer && !v.IsNil():
		nameless(v.Elem())
	case v.Kind() == reflect.Slice:
		for i := range v.Len() {
			nameless(v.Index(i))
		}
	case v.Kind() == reflect.Struct:
		for i := range v.NumField() {
			nameless(v.Field(i))
		}
	}
}

// figures are findings but for names, and but for what is said of the end,
// which rests on random numbers that are drawn by the service's id.
func figures(f *replay.Findings) *replay.Findings {
	f.Forecasts = nil
	nameless(reflect.ValueOf(f).Elem())
	return f
}

func TestRedactedDayHasTheSameFindings(t *testing.T) {
	l := ordinaryDay(t)
	again, text := redacted(t, l)
	assert.Equal(t, figures(review(t, l)), figures(review(t, again)))
	s := l.State()
	words := []string{s.Client, s.Stylist, "Ferry Stairs", s.ZoneList, s.Service, "invented:", "springs back", "gold", "beige", "lightened before", "2025", "Chalk", "Veil", "drying", "nape"}
	for _, z := range s.Zones {
		words = append(words, z.Name, `"`+z.ID+`"`)
	}
	for _, w := range words {
		assert.NotContains(t, text, w)
	}
	assert.Equal(t, replay.RedactedDay, again.State().Opened)
	twice, second := redacted(t, again)
	assert.Equal(t, text, second, "there is nothing more to take out")
	assert.Equal(t, again.State().Service, twice.State().Service)
}

func TestRedactedBreachesAreThoseOfTheService(t *testing.T) {
	l := breached(t).log
	again, _ := redacted(t, l)
	f := review(t, again)
	require.Len(t, f.Breaches, 5)
	assert.Equal(t, figures(review(t, l)), figures(f))
}

// exposures are what the coats of a service had.
func exposures(f *replay.Findings) []replay.ZoneFinding {
	figures(f)
	return f.Zones
}

func TestAnyServiceCanBeRedactedWithTheSameExposures(t *testing.T) {
	refused, coats, all := 0, 0, 0
	rapid.Check(t, func(rt *rapid.T) {
		c := randomService(rt, rapid.IntRange(5, 40).Draw(rt, "entries"))
		all++
		text, err := replay.Redact(c.log)
		if err != nil {
			refused++
			require.ErrorContains(rt, err, "would not pass the rules again")
			return
		}
		again, err := plain.Read(bytes.NewReader(text), zero)
		require.NoError(rt, err)
		require.NotContains(rt, string(text), "June")
		was, is := c.log.State(), again.State()
		n := 0
		for _, z := range was.Zones {
			if !z.Started() {
				continue
			}
			for n < len(is.Zones) && !is.Zones[n].Started() {
				n++
			}
			require.Less(rt, n, len(is.Zones))
			require.Len(rt, is.Zones[n].Coats, len(z.Coats))
			for i, co := range z.Coats {
				a, b := was.CoatTiming(co), is.CoatTiming(is.Zones[n].Coats[i])
				require.Equal(rt, a.Window, b.Window)
				require.InDelta(rt, a.Carried.Seconds(), b.Carried.Seconds(), 0.002)
				require.InDelta(rt, a.Last.Sub(a.First).Seconds(), b.Last.Sub(b.First).Seconds(), 0.002)
				require.Equal(rt, a.Off.IsZero(), b.Off.IsZero())
				if !a.Off.IsZero() {
					require.InDelta(rt, a.Oldest(a.Off).Seconds(), b.Oldest(b.Off).Seconds(), 0.002)
					require.InDelta(rt, a.Newest(a.Off).Seconds(), b.Newest(b.Off).Seconds(), 0.002)
				}
				coats++
			}
			n++
		}
	})
	require.NotZero(t, coats)
	t.Logf("%d of %d refused", refused, all)
	assert.Less(t, refused*5, all, "most can be exported")
}

// Pain lets two trips run at once, so that it is told, in no words.
func TestPainIsToldWhereTheRulesNeedIt(t *testing.T) {
	c := ready(t).at(10).do(place("z1", 4), place("z2", 6)).at(15).do(session.RinseBegan{Zones: []string{"z1"}})
	c.at(16).do(session.PainReported{Zone: "z2", Text: "burning"}, session.RinseBegan{Zones: []string{"z2"}})
	c.at(20).do(session.RinseEnded{Trip: "t1"}).at(40).do(session.RinseEnded{Trip: "t2"}).do(session.PainCleared{Note: "a red patch"}, session.ReactionNoted{When: session.AskLeaving, How: session.HowSame, Note: "June is sore"}, session.ServiceClosed{})
	again, text := redacted(t, c.log)
	assert.Contains(t, text, "pain.reported")
	assert.NotContains(t, text, "burning")
	assert.NotContains(t, text, "patch")
	assert.Equal(t, exposures(review(t, c.log)), exposures(review(t, again)))
}

// An old service was closed after pain without the question how it is: that
// nobody was asked is told, and no word more.
func TestThatNobodyWasAskedIsTold(t *testing.T) {
	c := ready(t).at(10).do(place("z1", 4), place("z2", 6)).at(15).do(session.RinseBegan{Zones: []string{"z1"}})
	c.at(16).do(session.PainReported{Zone: "z2"}, session.RinseBegan{Zones: []string{"z2"}})
	c.at(20).do(session.RinseEnded{Trip: "t1"}).at(40).do(session.RinseEnded{Trip: "t2"}).do(session.PainCleared{Note: "a red patch"})
	e := c.log.Events()[len(c.log.Events())-1]
	e.Seq, e.Data = e.Seq+1, session.ServiceClosed{}
	require.NoError(t, c.log.Append(e))
	again, text := redacted(t, c.log)
	assert.Contains(t, text, `"how":"not asked","note":"the reason was not kept"`)
	assert.False(t, again.State().Closed.IsZero())
}

// Which reaction it was is told only where rules rest on it.
func TestWhichReactionIsToldWhereTheRulesNeedIt(t *testing.T) {
	c := ready(t).at(10).do(place("z1", 4), place("z2", 6)).at(15).do(session.PainReported{Zone: "z1", Reaction: session.Hives, Text: "June's neck"})
	c.do(session.RinseBegan{Zones: []string{"z1"}}, session.RinseBegan{Zones: []string{"z2"}})
	c.at(30).do(session.RinseEnded{Trip: "t1"}, session.RinseEnded{Trip: "t2"}, session.PainCleared{Note: "June's neck"})
	c.do(session.ReactionNoted{When: session.AskLeaving, How: session.HowSame, Note: "June's neck"}, session.ServiceClosed{})
	c.at(60).do(session.ReactionNoted{When: session.AskLater, Reaction: session.Hives, Note: "June's neck"})
	_, text := redacted(t, c.log)
	assert.Contains(t, text, `"reaction":"hives"`)
	for _, word := range []string{"June", "neck", "later"} {
		assert.NotContains(t, text, word)
	}
	c = ready(t).at(10).do(place("z1", 4)).at(15).do(session.PainReported{Reaction: session.Hives}, session.RinseBegan{Zones: []string{"z1"}})
	c.at(30).do(session.RinseEnded{}, session.PainCleared{Note: "x"})
	_, text = redacted(t, c.log)
	assert.NotContains(t, text, "hives")
}

// secrets sets every text that somebody may type to a secret one.
func secrets(v reflect.Value) {
	switch {
	case v.Type() == reflect.TypeFor[string]():
		v.SetString("secret")
	case v.Kind() == reflect.Pointer:
		if v.Type().Elem().Kind() == reflect.Struct && v.Type().Elem() != reflect.TypeFor[time.Time]() {
			v.Set(reflect.New(v.Type().Elem()))
			secrets(v.Elem())
		}
	case v.Kind() == reflect.Slice && v.Type().Elem().Kind() != reflect.Uint8:
		v.Set(reflect.MakeSlice(v.Type(), 1, 1))
		secrets(v.Index(0))
	case v.Kind() == reflect.Struct && v.Type() != reflect.TypeFor[time.Time]():
		for i := range v.NumField() {
			if v.Field(i).CanSet() {
				secrets(v.Field(i))
			}
		}
	}
}

// Every kind of entry is known to the redactor, and nothing that somebody may
// type gets through it, whatever the field.
func TestNothingTypedGetsThrough(t *testing.T) {
	for _, kind := range session.Kinds() {
		t.Run(kind, func(t *testing.T) {
			empty, err := session.DecodeData(kind, []byte("{}"))
			require.NoError(t, err)
			v := reflect.New(reflect.TypeOf(empty)).Elem()
			secrets(v)
			text, err := replay.RedactData(v.Interface().(session.Data))
			require.NoError(t, err)
			assert.NotContains(t, text, "secret")
		})
	}
	for _, key := range []string{"secret", "stale:secret", "over:secret", "used-up:secret:root", "longer-limit:secret:30 vol", "longer-limit:powder lightener:secret vol", "safety-cap:history:6:9", "pain:7"} {
		text, err := replay.RedactData(session.WarningAcknowledged{Warning: key, Reason: "secret"})
		require.NoError(t, err)
		assert.Empty(t, text, key)
	}
}

// Pain, and the answers of a client of whom something was known, are not told.
func TestHealthIsNotTold(t *testing.T) {
	c := ready(t)
	c.do(session.SafetyAnswered{Question: "health", Answer: "yes", Reason: "the doctor said it is well"}, session.SafetyAnswered{Question: "reaction", Answer: "not sure", Reason: "asked her mother twice"})
	c.at(10).do(place("z1", 4)).at(20).do(session.PainReported{Zone: "z1", Text: "burning"}, session.RinseBegan{Zones: []string{"z1"}}).at(25).do(session.RinseEnded{})
	c.at(50).do(session.PainCleared{Note: "a red patch"}, session.ReactionNoted{When: session.AskLeaving, How: session.HowWorse, Note: "a red patch"}, session.ServiceClosed{Outcome: "sent to a doctor"})
	again, text := redacted(t, c.log)
	for _, word := range []string{"doctor", "not sure", "pain", "burning", "patch", "asked"} {
		assert.NotContains(t, strings.ToLower(text), word)
	}
	assert.Equal(t, exposures(review(t, c.log)), exposures(review(t, again)))
}

func TestRedactRefusesWhatIsNoService(t *testing.T) {
	_, err := replay.Redact(&session.Log{})
	assert.ErrorContains(t, err, "no entry")
}

// Figures of a cut and the words that are offered for it are kept; words of
// somebody's are not, nor is an entry of which nothing else is left.
func TestWhatIsKeptOfACut(t *testing.T) {
	held := 45.0
	c := ready(t).at(10).do(place("z1", 4), place("z2", 6)).at(20).do(session.RinseBegan{Zones: []string{"z1", "z2"}}).at(30).do(session.RinseEnded{})
	c.do(session.CutNoted{Section: "Nape", Guide: session.GuideTravelling, Elevation: &held, OverDirection: "Forward", LengthMM: 80, Texture: "blunt", Tool: "her old shears", Note: "as June likes it"},
		session.CutNoted{Section: "the cowlick", Guide: session.GuideNone, Texture: "chopped"},
		session.CutNoted{Section: "The  cowlick", Guide: session.GuideStationary},
		session.CutNoted{Section: "top", Note: "as June likes it"}, session.ServiceClosed{})
	again, text := redacted(t, c.log)
	for _, word := range []string{"June", "old", "cowlick", "chopped", `"top"`} {
		assert.NotContains(t, text, word)
	}
	cuts := again.State().Cuts
	require.Len(t, cuts, 2)
	assert.Equal(t, session.CutNoted{Section: "nape", Guide: session.GuideTravelling, Elevation: &held, OverDirection: "forward", LengthMM: 80, Texture: "blunt"}, cuts[0].CutNoted)
	assert.Equal(t, session.CutNoted{Section: "section 1", Guide: session.GuideStationary}, cuts[1].CutNoted)
}

// Times that were promised are kept, who was told of them is not; an entry that
// told somebody and changed nothing is gone.
func TestWhatIsKeptOfAPromise(t *testing.T) {
	at := func(minutes int) *time.Time { at := zero.Add(time.Duration(minutes) * time.Minute); return &at }
	c := &chair{t: t, log: &session.Log{}, now: zero}
	c.do(session.ServiceOpened{Service: "s1", Client: "June L.", Promised: at(60)})
	c.at(10).do(session.PromiseChanged{Promised: at(60), Told: "June knows"}).at(20).do(session.PromiseChanged{Promised: at(90)})
	c.at(30).do(session.PromiseChanged{Promised: at(80), Told: "the front desk"}).do(session.EventVoided{Seq: 3})
	c.at(40).do(session.PromiseChanged{}).at(95).do(session.ServiceClosed{})
	again, text := redacted(t, c.log)
	assert.NotContains(t, text, "knows")
	assert.NotContains(t, text, "desk")
	assert.Len(t, again.Events(), 4)
	said := func(l *session.Log) string {
		s := l.State()
		return session.SayPromises(s.Promises, s.Opened, func(at time.Time) string { return at.Sub(s.Opened).String() })
	}
	assert.Equal(t, "1h0m0s; from 30m0s on 1h20m0s; from 40m0s on nothing", said(c.log))
	assert.Equal(t, said(c.log), said(again))
}

// older is the log as it was before asthma was asked about.
func older(t *testing.T, l *session.Log) *session.Log {
	t.Helper()
	var events []session.Event
	for _, e := range l.Events() {
		if a, ok := e.Data.(session.SafetyAnswered); !ok || a.Question != safety.Airways {
			e.Seq = len(events) + 1
			events = append(events, e)
		}
	}
	old, err := session.Fold(events)
	require.NoError(t, err)
	return old
}

func TestAnOlderServiceIsRedactedAndCarriedOn(t *testing.T) {
	old := older(t, ordinaryDay(t))
	require.Len(t, old.State().Safety, len(safety.Questions())-1)
	text, err := replay.Redact(old)
	require.NoError(t, err)
	again, err := plain.Read(bytes.NewReader(text), zero)
	require.NoError(t, err)
	assert.Len(t, again.State().Safety, len(safety.Questions()))
	assert.NotContains(t, string(text), "asthma")

	tape := replay.New(old)
	for _, e := range old.Events() {
		if _, mixed := e.Data.(session.BowlMixed); mixed {
			a := whatIf(t, old, tape.Moment(e.Seq-1), replay.Helper{})
			assert.Equal(t, []string{"asthma was not asked about then; here it is taken that there is none"}, a.Notes)
			same(t, old.State(), a.Log.State())
			return
		}
	}
	t.Fatal("no bowl was mixed")
}

func TestRedactedReasonsAreStillReasons(t *testing.T) {
	c := ready(t)
	c.do(session.WarningAcknowledged{Warning: "heat-over:z1", Reason: "June L. wants it so"},
		session.SafetyAnswered{Question: safety.Health, Answer: "something else: ask what it is", Note: "hay fever"},
		session.SafetyAnswered{Question: safety.Reaction, Answer: "yes", ClearedDye: "PPD", ClearedBy: "Dr. Reed", ClearedOn: "today"},
		session.SafetyAnswered{Question: safety.Reaction, Answer: "never", Mistake: "her sister had it"})
	text, err := replay.Redact(c.log)
	require.NoError(t, err)
	assert.Contains(t, string(text), "the reason was not kept")
	for _, word := range []string{"June", "hay", "PPD", "Reed", "sister", "cleared"} {
		assert.NotContains(t, string(text), word)
	}
}
