package replay_test

import (
	"math"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"rinseby/session"
	"rinseby/session/replay"
	"rinseby/timing/pace"
)

func review(t require.TestingT, l *session.Log) *replay.Findings {
	f, err := replay.Review(replay.New(l), session.Usuals{})
	require.NoError(t, err)
	return f
}

// breached is a service in which a limit, two openings and the working lives of
// two bowls are not kept:
//
//	10:00 and 14:00  two pieces of the nape each; the ends must be off 35 minutes
//	                 after the first, at 45:00, the roots 45 after it, at 55:00
//	47:13.250        the nape is off: the ends are 2 min 13.25 s over
//	50:00            the bowls, mixed at 0:00, are at the end of their lives
//	51:30            two pieces of the crown, 1 min 30 s after that
//	61:30            the crown is off after 10 minutes; the roots open after 20, the
//	                 ends after 15
func breached(t require.TestingT) *chair {
	c := ready(t)
	c.at(10).do(place("z1", 2)).at(14).do(place("z1", 2))
	c.at(40).do(session.RinseBegan{Zones: []string{"z1"}})
	c.now = zero.Add(47*time.Minute + 13*time.Second + 250*time.Millisecond)
	c.do(session.RinseEnded{})
	for _, b := range []string{"stale:b1", "stale:b2"} {
		c.at(51).do(session.WarningAcknowledged{Warning: b, Reason: "a new one was just used up"})
	}
	c.at(51.5).do(place("z2", 2), session.ZoneFinished{Zone: "z2"})
	c.at(56).do(session.RinseBegan{Zones: []string{"z2"}})
	c.at(61.5).do(session.RinseEnded{})
	return c.at(70).do(session.ServiceClosed{})
}

func TestBreachesAreFoundToTheSecond(t *testing.T) {
	f := review(t, breached(t).log)
	assert.Equal(t, []replay.Breach{
		{Kind: replay.Over, AtS: 45 * 60, ByS: 133.25, Zone: "Nape", Round: "Lightening", Band: session.End, Product: "Chalk 20 vol"},
		{Kind: replay.Stale, AtS: 50 * 60, ByS: 90, Zone: "Crown", Round: "Lightening", Band: session.Root, Product: "Chalk 30 vol", Bowl: "b1"},
		{Kind: replay.Stale, AtS: 50 * 60, ByS: 90, Zone: "Crown", Round: "Lightening", Band: session.End, Product: "Chalk 20 vol", Bowl: "b2"},
		{Kind: replay.Short, AtS: 61*60 + 30, ByS: 600, Zone: "Crown", Round: "Lightening", Band: session.Root, Product: "Chalk 30 vol"},
		{Kind: replay.Short, AtS: 61*60 + 30, ByS: 300, Zone: "Crown", Round: "Lightening", Band: session.End, Product: "Chalk 20 vol"},
	}, f.Breaches)
	nape := f.Zones[0].Coats[1]
	assert.Equal(t, session.End, nape.Band)
	assert.InDelta(t, 37*60+13.25, nape.OldestS, 1e-9, "from 10:00 to 47:13.25")
	assert.InDelta(t, 33*60+13.25, nape.NewestS, 1e-9, "from 14:00")
	assert.InDelta(t, 35*60, *nape.LimitS, 0)
	assert.InDelta(t, 35*60, *nape.PlannedLimitS, 0)
	assert.InDelta(t, 70*60, f.LengthS, 0)
	assert.InDelta(t, 150, f.MixedG, 0, "30 and 60 g, 20 and 40 g")

	keys := map[string]replay.WarningFinding{}
	for _, w := range f.Warnings {
		keys[w.Key] = w
	}
	// The tighter limit is 45:00. It closes in the last quarter of 35 minutes,
	// 8 min 45 s, and a breath later the warning shows; but at 40:00 the rinse
	// begins, and a zone that is rinsed does not close.
	assert.InDelta(t, 36*60+15.001, keys["closing:z1"].FromS, 1e-9)
	assert.InDelta(t, 40*60, keys["closing:z1"].ToS, 0.01)
	assert.InDelta(t, 45*60+0.001, keys["over:z1"].FromS, 1e-9)
	assert.InDelta(t, 47*60+13.25, keys["over:z1"].ToS, 0.01)
	stale := keys["stale:b1"]
	assert.InDelta(t, 50*60+0.001, stale.FromS, 1e-9)
	assert.InDelta(t, 51*60, *stale.AckedS, 0)
	assert.Equal(t, "a new one was just used up", stale.Reason)
	assert.Nil(t, keys["over:z1"].AckedS)
	assert.Equal(t, "alarm", keys["over:z1"].Level)
}

func TestBreachOfAServiceWithoutWindows(t *testing.T) {
	events := breached(t).log.Events()
	for i, e := range events {
		if _, ok := e.Data.(session.WindowConfirmed); ok {
			events[i].Data = session.NoteAdded{Text: "no window"}
		}
	}
	l, err := session.Fold(events)
	require.NoError(t, err)
	f := review(t, l)
	require.NotEmpty(t, f.Breaches)
	assert.Equal(t, replay.Breach{Kind: replay.NoLimit, AtS: 600, Zone: "Nape", Round: "Lightening", Band: session.Root, Product: "Chalk 30 vol"}, f.Breaches[0])
}

// Every coat that is over is a breach that begins at its limit and lasts until it
// is off, whatever was moved and taken back, and nothing else is.
func TestBreachesOfAnyServiceLastFromLimitToRinse(t *testing.T) {
	over := 0
	rapid.Check(t, func(rt *rapid.T) {
		c := randomService(rt, rapid.IntRange(20, 50).Draw(rt, "entries"))
		tape := replay.New(c.log)
		both, err := replay.Compare(tape, tape) // plans and foresees nothing, so that it is quick
		if err != nil {
			return
		}
		found := slices.DeleteFunc(slices.Clone(both.A.Breaches), func(b replay.Breach) bool { return b.Kind != replay.Over })
		n := 0
		for _, z := range c.state().Zones {
			for _, co := range z.Coats {
				ct := c.state().CoatTiming(co)
				off := co.Off
				if off.IsZero() {
					off = tape.To()
				}
				if ct.Over(off) == 0 {
					continue
				}
				n++
				begins, by := ct.LimitAt().Sub(c.state().Opened).Seconds(), off.Sub(ct.LimitAt()).Seconds()
				require.True(rt, slices.ContainsFunc(found, func(b replay.Breach) bool {
					usedUp := ct.Carried > ct.Window.Limit // before first contact: then it is over by more than since
					return b.Zone == z.Name && b.Band == co.Band && math.Abs(b.AtS-begins) < 0.002 && (usedUp || math.Abs(b.ByS-by) < 0.002)
				}), "%s %s", z.Name, co.Band)
			}
		}
		require.Len(rt, found, n)
		over += n
	})
	require.NotZero(t, over)
}

// What is taken back, or put at another time, counts as it does for the state:
// a stale use that was moved into the life of the bowl is none.
func TestStaleUsesCountWhenTheyHappened(t *testing.T) {
	c := ready(t)
	c.at(51).do(session.WarningAcknowledged{Warning: "stale:b1", Reason: "r"}, session.WarningAcknowledged{Warning: "stale:b2", Reason: "r"})
	c.do(place("z1", 1))
	seq := c.state().Seq
	assert.Len(t, review(t, c.log).Breaches, 2)
	c.at(52).do(session.EventMoved{Seq: seq, To: zero.Add(49 * time.Minute)})
	assert.Empty(t, review(t, c.log).Breaches)
	c.at(53).do(session.CoatRefreshed{Zone: "z1"})
	f := review(t, c.log)
	require.Len(t, f.Breaches, 2)
	assert.InDelta(t, 180, f.Breaches[0].ByS, 0, "fresh product counts, too")
	c.at(54).do(session.EventVoided{Seq: c.state().Seq})
	assert.Empty(t, review(t, c.log).Breaches)
}

// The invented day, with figures worked out from its lines.
func TestReviewOfTheOrdinaryDay(t *testing.T) {
	f := review(t, ordinaryDay(t))
	// Side right: first contact at 10:15, 20 volume on lightened hair for 45
	// minutes at most, so off by 11:00, which is 7200 s from 9:00; off at 11:03.
	assert.Equal(t, []replay.Breach{{Kind: replay.Over, AtS: 7200, ByS: 180, Zone: "Side right", Round: "Lightening", Band: session.End, Product: "Chalk 20 vol"}}, f.Breaches)
	assert.Len(t, f.Zones, 11)
	assert.Len(t, f.Trips, 11)
	assert.InDelta(t, 14280, f.LengthS, 0, "closed at 12:58")
	// Nape left: first at 9:15, newest at 9:23, off at 9:59.
	nape := f.Zones[0].Coats[0]
	assert.Equal(t, []float64{900, 1380, 3540, 44 * 60, 36 * 60}, []float64{nape.FirstS, nape.LastS, *nape.OffS, nape.OldestS, nape.NewestS})
	assert.InDelta(t, 3*(90+60)+120, f.MixedG, 0, "three pairs of bowls of 90 and 60 g, and 120 g of toner")
	trip := f.Trips[0]
	assert.Equal(t, []string{"Nape left"}, trip.Zones)
	assert.InDelta(t, 54*60, trip.BeganS, 0)
	require.NotNil(t, trip.Said)
	assert.InDelta(t, 53*60, trip.Said.AtS, 0, "at the check before it")
	assert.Equal(t, "Nape left", trip.Said.Zones[0])
	assert.InDelta(t, trip.BeganS-trip.Said.LeaveS, trip.Said.LaterS, 0)
	require.Len(t, f.Forecasts, 5)
	for i, share := range []float64{0.1, 0.25, 0.5, 0.75, 0.9} {
		c := f.Forecasts[i]
		assert.InDelta(t, share, c.Share, 0)
		assert.Empty(t, c.Why)
		assert.InDelta(t, f.LengthS-*c.P50S, *c.LaterS, 0.002)
		assert.Equal(t, *c.P10S <= f.LengthS && f.LengthS <= *c.P90S, *c.Within)
		if i > 0 {
			assert.Greater(t, c.AtS, f.Forecasts[i-1].AtS)
		}
	}
}

func TestReviewOfALiveService(t *testing.T) {
	c := ready(t).at(10).do(place("z1", 4)).at(30).do(session.NoteAdded{Text: "x"})
	f := review(t, c.log)
	assert.False(t, f.Closed)
	assert.InDelta(t, 1800, f.LengthS, 0)
	assert.Nil(t, f.Zones[0].Coats[0].OffS)
	assert.InDelta(t, 1200, f.Zones[0].Coats[0].OldestS, 0)
	for _, c := range f.Forecasts {
		assert.Nil(t, c.LaterS)
	}
	opened := review(t, replay.New(c.log).Events(1))
	assert.Empty(t, opened.Zones)
	assert.Empty(t, opened.Forecasts)
	for _, s := range opened.Sections() {
		assert.NotEmpty(t, s.Lines, s.Title)
	}
}

func TestReviewByUsualTimesThatCanNotBe(t *testing.T) {
	_, err := replay.Review(replay.New(breached(t).log), session.Usuals{Pace: pace.Prior{Steps: map[string]pace.Usual{"lighten": {Minutes: -1}}}})
	assert.Error(t, err)
}

func TestCompare(t *testing.T) {
	a := breached(t)
	b := ready(t).at(10).do(place("z1", 4)).at(35).do(session.RinseBegan{Zones: []string{"z1"}}).at(41).do(session.RinseEnded{})
	c, err := replay.Compare(replay.New(a.log), replay.New(b.log))
	require.NoError(t, err)
	assert.False(t, c.SameList, "nothing was on the crown of the second, and no list is named")
	assert.NotEmpty(t, c.Note)
	require.Len(t, c.Zones, 2)
	nape := c.Zones[0]
	assert.Equal(t, "Nape", nape.Name)
	assert.InDelta(t, 37*60+13.25, nape.A.OldestS, 1e-9)
	assert.InDelta(t, 133.25, nape.A.OverS, 1e-9)
	assert.InDelta(t, 31*60, nape.B.OldestS, 0)
	assert.Zero(t, nape.B.OverS)
	assert.Nil(t, c.Zones[1].B)
	assert.Equal(t, []int{2, 1}, []int{c.A.Trips, c.B.Trips})
	assert.InDelta(t, 7*60+13.25+5.5*60, c.A.BasinS, 1e-9, "40:00 to 47:13.25, and 56:00 to 61:30")
	assert.Equal(t, []int{6, 4}, []int{c.A.Pieces, c.B.Pieces})
	assert.Len(t, c.A.Breaches, 5)
	again, err := replay.Compare(replay.New(a.log), replay.New(breached(t).log))
	require.NoError(t, err)
	assert.True(t, again.SameList)
	assert.Empty(t, again.Note)
	assert.Equal(t, again.A, again.B)
	_, err = replay.Compare(replay.New(a.log), replay.New(ready(t).log))
	assert.ErrorContains(t, err, "nothing was put on in service s1")
}

func TestReviewTellsWhatWasPromised(t *testing.T) {
	at := func(minutes int) *time.Time { at := zero.Add(time.Duration(minutes) * time.Minute); return &at }
	c := &chair{t: t, log: &session.Log{}, now: zero}
	c.do(session.ServiceOpened{Service: "s1", Client: "June L.", Promised: at(60)})
	c.at(40).do(session.PromiseChanged{Promised: at(90), Told: "the front desk"})
	c.at(95).do(session.NoteAdded{Text: "x"})
	f := review(t, c.log)
	assert.Equal(t, 5400.0, *f.PromisedS)
	by := []float64{3600, 5400}
	assert.Equal(t, []replay.PromiseFinding{{AtS: 0, PromisedS: &by[0]}, {AtS: 2400, PromisedS: &by[1], Told: "the front desk"}}, f.Promises)
	lines := f.Sections()[0].Lines
	assert.Contains(t, lines, "promised for 10:00:00; from 09:40:00 on 10:30:00; out 5 min 00 s later")
	assert.Contains(t, lines, "told at 09:40:00: the front desk")
	stop, ok := replay.New(c.log).Next(zero, replay.Promise)
	assert.True(t, ok)
	assert.Equal(t, *at(90), stop.At, "by the first time another one was promised")

	c.do(session.PromiseChanged{})
	f = review(t, c.log)
	assert.Nil(t, f.PromisedS)
	assert.Contains(t, f.Sections()[0].Lines, "promised for 10:00:00; from 09:40:00 on 10:30:00; from 10:35:00 on nothing")
	assert.Empty(t, review(t, breached(t).log).Promises)
}

// The review says which reaction it was, when all was off, how long the water
// ran, what was found, and how the client was then.
func TestReviewTellsOfReactions(t *testing.T) {
	c := ready(t).at(10).do(place("z1", 4)).at(15).do(session.PainReported{Zone: "z1", Reaction: session.Hives, Text: "neck"}, session.RinseBegan{Zones: []string{"z1"}})
	c.at(21).do(session.RinseEnded{}, session.PainCleared{Note: "gone down"})
	c.at(22).do(session.PainReported{Reaction: session.InEye}).at(42).do(session.PainCleared{Note: "clear"})
	c.do(session.ReactionNoted{When: session.AskLeaving, How: session.HowWell})
	f := review(t, c.log)
	require.Len(t, f.Reactions, 2)
	h, eye := f.Reactions[0], f.Reactions[1]
	assert.Equal(t, []any{session.Hives, "Nape", "neck", 15 * 60.0, 0.0}, []any{h.Reaction, h.Zone, h.Text, h.AtS, h.WaterS})
	assert.Equal(t, 21*60.0, *h.OffS)
	assert.Equal(t, []any{session.InEye, 20 * 60.0, "clear"}, []any{eye.Reaction, eye.WaterS, eye.Found})
	var lines []string
	for _, s := range f.Sections() {
		if s.Title == "Pain and reactions" {
			lines = s.Lines
		}
	}
	assert.Equal(t, []string{
		"09:15:00  hives, Nape, neck; all off at 09:21:00; 09:21:00 found: gone down",
		"09:22:00  product in the eye; water for 20 min 00 s; 09:42:00 found: clear",
		"09:42:00  asked before leaving: well",
	}, lines)
}
