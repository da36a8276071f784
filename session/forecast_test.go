package session_test

import (
	"encoding/json"
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"rinseby/session"
	"rinseby/timing/pace"
)

func (c *chair) forecast(u session.Usuals) *session.Forecast {
	c.t.Helper()
	q, ok := c.state().AskForecast(moment(c.state(), c), u)
	require.True(c.t, ok, q.Why)
	f, err := q.Answer()
	require.NoError(c.t, err)
	return f
}

func wall(at time.Time) string { return at.Format("15:04") }

// mid is the even chance of the end, in minutes from the chair's start.
func (c *chair) mid(u session.Usuals) float64 {
	c.t.Helper()
	return c.forecast(u).End.P50.Sub(c.zero).Minutes()
}

// certain are usual times that hardly scatter, so that ends can be reckoned by
// hand.
func certain() session.Usuals {
	sure := func(m float64) pace.LogNormal { return pace.Around(m, 0.001) }
	p := pace.Default()
	p.Steps = map[string]pace.Usual{"lighten": {Minutes: 2, Unsure: 0.001, Noise: 0.02}}
	p.Level, p.Drift.Share, p.Slow.Share, p.SlowAgain, p.Gaps.Rate, p.Joins.Share = 0.001, 0, 0, 0, 0, 0
	return session.Usuals{Services: 9, Pace: p, Others: map[string]pace.LogNormal{
		"prepare": sure(6), "mix": sure(3), "walk": sure(2), "reseat": sure(2), "rinse": sure(4), "close": sure(5), "coat lighten": sure(3),
		"develop lighten": sure(30), "step drying": sure(20),
	}}
}

// roomy is a service in which no limit presses.
func roomy(t *testing.T) *chair { return lighteningIn(t, row(root30, 5, 90), row(end20, 5, 90)) }

// The chair of the tests has two zones of 4 and 6 pieces, both bowls mixed, and
// 20 minutes of drying to come.
func TestForecastOfWhatIsCertain(t *testing.T) {
	const rinses, after = 2 * 4.0, 20.0 + 5
	for _, tt := range []struct {
		name string
		do   func(c *chair)
		want float64 // minutes from the start
	}{
		{"before the first piece", func(*chair) {}, 20 + 30 + 4 + after}, // the first zone is off before the last is ready
		{"two pieces in", func(c *chair) { c.at(4).do(place("z1", 2)) }, 20 + 30 + 4 + after},
		{"at a piece for a minute", func(c *chair) { c.at(4).do(place("z1", 2)); c.at(5) }, 20 + 30 + 4 + after},
		{"a pause is no work", func(c *chair) {
			c.at(4).do(place("z1", 2), session.PauseBegan{})
			c.at(14)
		}, 30 + 30 + 4 + after},
		{"all in", func(c *chair) { c.at(8).do(place("z1", 4)); c.at(20).do(place("z2", 6)); c.at(30) }, 20 + 30 + 4 + after},
		{"at the basin", func(c *chair) {
			c.at(8).do(place("z1", 4))
			c.at(20).do(place("z2", 6))
			c.at(45).do(session.RinseBegan{Zones: []string{"z1", "z2"}})
			c.at(47)
		}, 45 + rinses + after},
		{"on the way back", func(c *chair) {
			c.at(8).do(place("z1", 4))
			c.at(25).do(session.RinseBegan{Zones: []string{"z1"}})
			c.at(29).do(session.RinseEnded{})
			c.at(30)
		}, 31 + 12 + 30 + 4 + after},
		{"drying", func(c *chair) {
			c.at(20).do(place("z1", 4), place("z2", 6))
			c.at(45).do(session.RinseBegan{Zones: []string{"z1", "z2"}})
			c.at(53).do(session.RinseEnded{})
			c.at(55).do(session.StepBegan{Step: "drying"})
			c.at(60)
		}, 53 + 20 + 5},
		{"at the till", func(c *chair) {
			c.at(20).do(place("z1", 4), place("z2", 6))
			c.at(45).do(session.RinseBegan{Zones: []string{"z1", "z2"}})
			c.at(53).do(session.RinseEnded{}, session.StepBegan{Step: "drying"})
			c.at(75).do(session.StepEnded{Step: "drying"})
			c.at(77)
		}, 75 + 5},
		{"a bowl is to be mixed", func(c *chair) {
			c.do(session.BowlEmptied{Bowl: "b1"})
			c.at(1)
		}, 3 + 20 + 30 + 4 + after},
		{"a bowl is past its working life", func(c *chair) { c.at(61) }, 61 + 3 + 20 + 30 + 4 + after}, // both are; hands have been at the first for long
		{"a pause while things develop holds nothing up", func(c *chair) {
			c.at(8).do(place("z1", 4))
			c.at(20).do(place("z2", 6), session.PauseBegan{})
			c.at(30)
		}, 20 + 30 + 4 + after},
	} {
		t.Run(tt.name, func(t *testing.T) {
			c := roomy(t)
			tt.do(c)
			assert.InDelta(t, tt.want, c.mid(certain()), 1.5)
		})
	}
}

func TestForecastFollowsWhatIsToCome(t *testing.T) {
	c := roomy(t)
	c.at(4).do(place("z1", 2))
	plain := c.mid(certain())
	c.do(session.PlanChanged{Change: session.ChangePieces, Zone: "z2", Pieces: 9})
	assert.InDelta(t, plain+6, c.mid(certain()), 1.5, "three pieces more")
	c.undo()
	c.do(session.HelperJoined{Name: "Sam"})
	assert.Less(t, c.mid(certain()), plain-4, "a helper")
	c.undo()
	set := again("Toning", session.PlanZone{Name: "All", Pieces: 2, MinutesPerPiece: 3, Bands: []session.PlanBand{veil10}})
	set.Action = "colour"
	c.do(set)
	f := c.forecast(certain())
	assert.InDelta(t, plain+3+6+25+4, f.End.P50.Sub(c.zero).Minutes(), 6, "a round more, of which only house figures are known")
	assert.Equal(t, []string{"how long it is left to develop is reckoned by a house rule, no source", "limit not set yet: All"}, f.Notes)
	assert.True(t, f.Zones[2].NoLimit)
}

func TestForecastOfBandsLeftForLater(t *testing.T) {
	later := root30
	later.Later = true
	c := newChair(t)
	c.do(session.ServiceOpened{Service: "s1", Client: "June L."}, session.ConsultationNoted{NaturalDepth: 6},
		session.PlanSet{Name: "Lightening", Action: "lighten", Zones: []session.PlanZone{{Name: "Nape", Pieces: 4, Bands: []session.PlanBand{end20, later}}}},
		row(root30, 20, 60), row(end20, 20, 60))
	c.do(answered()...)
	assert.InDelta(t, 6+8+(3+3)+30+4+5, c.mid(certain()), 1.5, "a fresh bowl, then the band, from which it develops")
	c.at(6).do(bowl(end20, 60, 90))
	c.at(14).do(place("z1", 4))
	c.at(17).do(bowl(root30, 60, 90))
	assert.InDelta(t, 17+3+30+4+5, c.mid(certain()), 1.5)
	c.at(20).do(session.CoatApplied{Zone: "z1", Coats: coats(session.Root, "b2")})
	assert.InDelta(t, 20+30+4+5, c.mid(certain()), 1.5)
}

// Two zones that are both partly on are taken as they are.
func TestForecastOfTwoZonesUnderWay(t *testing.T) {
	c := roomy(t)
	c.at(4).do(place("z1", 2))
	c.at(8).do(place("z2", 2))
	f := c.forecast(certain())
	assert.InDelta(t, 20+30+4+25, f.End.P50.Sub(c.zero).Minutes(), 1.5)
	require.Len(t, f.Zones, 2)
	for _, z := range f.Zones {
		assert.False(t, z.Applied.P50.IsZero(), z.Name)
	}
}

func TestForecastKeepsToLimits(t *testing.T) {
	c := newChair(t)
	c.do(session.ServiceOpened{Service: "s1", Client: "June L."}, session.ConsultationNoted{NaturalDepth: 6})
	set := session.PlanSet{Name: "Lightening", Action: "lighten"}
	for _, n := range []string{"A", "B", "C", "D"} {
		set.Zones = append(set.Zones, session.PlanZone{Name: n, Pieces: 8, Bands: []session.PlanBand{root30}})
	}
	c.do(set)
	c.do(answered()...)
	f := c.forecast(certain())
	assert.Len(t, f.Notes, 1, "no limit is guessed")
	assert.Equal(t, "limit not set yet: A, B, C and 1 more", f.Notes[0])
	free := f.End.P50
	c.do(row(root30, 10, 45))
	f = c.forecast(certain())
	assert.Empty(t, f.Notes)
	assert.InDelta(t, 2+3*4+2-5-session.TripMargin.Minutes(), f.End.P50.Sub(free).Minutes(), 1.5, "a trip on the way with what was on, and the last zone is off in time")
	assert.True(t, f.Zones[0].Off.P50.Before(f.Applied.P50))
}

func TestForecastAsksForWhatItNeeds(t *testing.T) {
	c := newChair(t)
	ask := func() (string, bool) {
		q, ok := c.state().AskForecast(moment(c.state(), c), session.Usuals{})
		return q.Why, ok
	}
	why, ok := ask()
	assert.Equal(t, []any{"", false}, []any{why, ok}, "nothing is open")
	c.do(session.ServiceOpened{Service: "s1", Client: "June L."}, session.ConsultationNoted{NaturalDepth: 6})
	why, _ = ask()
	assert.Equal(t, "plan the zones to see when it ends", why)
	c.do(session.PlanSet{Name: "Lightening", Action: "lighten", Zones: []session.PlanZone{{Name: "Nape", Pieces: 6, Bands: []session.PlanBand{root30}}}}, row(root30, 5, 45), bowl(root30, 30, 60))
	c.do(answered()...)
	first := c.forecast(session.Usuals{})
	assert.Contains(t, first.Notes[0], "no closed service tells of this stylist's times yet")
	assert.Contains(t, first.Notes[1], "no minutes per piece are known of Nape")
	assert.Zero(t, first.Paces[0].Usual)
	u := session.Usuals{Pace: pace.Default().With("lighten", 2)}
	_, known := c.state().AskForecast(moment(c.state(), c), u)
	assert.True(t, known, "the stylist's own is known")
	for i := range 3 {
		c.at(float64(3*i + 3)).do(place("z1", 1))
	}
	f := c.forecast(session.Usuals{})
	require.Len(t, f.Paces, 1)
	assert.Zero(t, f.Paces[0].Usual, "nobody said what is usual")
	assert.Greater(t, f.Paces[0].Now, first.Paces[0].Now+0.8, "three pieces tell of today")
	c.do(session.PainReported{})
	why, ok = ask()
	assert.Equal(t, []any{"pain was reported: see to it first; then the end can be told", false}, []any{why, ok})
	c.at(15).do(session.RinseBegan{Zones: []string{"z1"}})
	c.at(40).do(session.RinseEnded{}, session.PainCleared{Note: "it burnt"})
	f = c.forecast(certain())
	assert.InDelta(t, 40+5, f.End.P50.Sub(c.zero).Minutes(), 1.5, "the colour work ended, and what was to come does not")
	c.at(50).do(session.ReactionNoted{When: session.AskLeaving, How: session.HowWell}, session.ServiceClosed{})
	why, ok = ask()
	assert.Equal(t, []any{"", false}, []any{why, ok})
}

// Zones of one technique for which the plan states other minutes go by those,
// as long as nothing is known of the stylist.
func TestForecastGoesByThePlan(t *testing.T) {
	c := newChair(t)
	zone := func(name, technique string, m float64) session.PlanZone {
		return session.PlanZone{Name: name, Pieces: 10, Technique: technique, MinutesPerPiece: m, Bands: []session.PlanBand{root30}}
	}
	c.do(session.ServiceOpened{Service: "s1", Client: "June L."}, session.ConsultationNoted{NaturalDepth: 6},
		session.PlanSet{Name: "Lightening", Action: "lighten", Zones: []session.PlanZone{
			zone("A", "slice", 1), zone("B", "slice", 4), zone("C", "weave", 2), zone("D", "weave", 0)}})
	f := c.forecast(session.Usuals{})
	applied := make([]float64, 4)
	for i, z := range f.Zones {
		applied[i] = z.Applied.P50.Sub(c.zero).Minutes()
	}
	assert.InDelta(t, 40, applied[1]-applied[0], 5)
	assert.InDelta(t, 20, applied[2]-applied[1], 5)
	assert.InDelta(t, 20, applied[3]-applied[2], 5, "that of the technique's other zone")
	var said []string
	for _, p := range f.Paces {
		said = append(said, p.Technique)
	}
	assert.Equal(t, []string{"slice", "weave"}, said)
	assert.Equal(t, "weave: 2:00 min per piece, usually 2:00 min (as usual)", f.Paces[1].Say())
}

func TestForecastOfASlowDay(t *testing.T) {
	c := lightening(t)
	for i := range 4 {
		c.at(3 * float64(i+1)).do(place("z1", 1))
	}
	f := c.forecast(session.Usuals{})
	require.Len(t, f.Paces, 1)
	p := f.Paces[0]
	assert.Greater(t, p.Ratio, 1.2)
	assert.InDelta(t, p.Usual*p.Ratio, p.Now, 1e-9)
	assert.Regexp(t, `^lighten: 2:\d\d min per piece, usually 2:00 min \(\d\d % slower\)$`, p.Say())
	assert.Equal(t, "foil: 54 s per piece, usually 1:00 min (10 % faster)", session.PaceForecast{Technique: "foil", Usual: 1, Now: 0.9, Ratio: 0.9}.Say())
}

func TestForecastSaysThePromise(t *testing.T) {
	at := func(m int) time.Time { return time.Date(2026, 3, 2, 12, m, 0, 0, time.UTC) }
	f := session.Forecast{End: session.Moments{P10: at(28), P50: at(40), P90: at(58)}}
	assert.Equal(t, []string{"out of the chair about 12:40 (80 %: 12:28–12:58)"}, f.Lines(wall))
	f.Promised, f.Lasting = at(28), true
	for _, tt := range []struct {
		late float64
		want string
	}{
		{0.9, "probably 12 min late: tell the front desk"},
	} {
		f.Late = tt.late
		assert.Equal(t, tt.want, f.SayPromise(wall), "%g", tt.late)
	}
	f.Lasting = false
	for _, tt := range []struct {
		late float64
		want string
	}{
		{1, "may be late: 9 in 10"}, {0.51, "may be late: 5 in 10"}, {0.5, "may be late: 1 in 2"}, {0.33, "may be late: 1 in 3"}, {0.2, "may be late: 1 in 5"},
		{0.19, "on time: 8 in 10 that by 12:28"}, {0.1, "on time: 9 in 10 that by 12:28"}, {0, "on time: 9 in 10 that by 12:28"},
	} {
		f.Late = tt.late
		assert.Equal(t, tt.want, f.SayPromise(wall), "%g", tt.late)
	}
	f.Late, f.Told, f.Lasting = 0.9, at(5), true
	assert.Equal(t, "probably 12 min late, told 12:05", f.SayPromise(wall))
	z := session.ZoneForecast{Name: "Nape", Off: f.End, NoLimit: true}
	assert.Equal(t, "Nape: off about 12:40 (80 %: 12:28–12:58), no limit set", z.SayZone(wall))
	z.Applied, z.NoLimit = session.Moments{P50: at(20)}, false
	assert.Equal(t, "Nape: applied about 12:20, off about 12:40 (80 %: 12:28–12:58)", z.SayZone(wall))
	assert.Equal(t, "cut: over about 12:40 (80 %: 12:28–12:58)", session.StepForecast{Name: "cut", End: f.End}.SayStep(wall))
}

func TestForecastCountsThePromise(t *testing.T) {
	for late, promised := range map[float64]float64{1: 10, 0: 300} {
		c := newChair(t)
		at := c.zero.Add(time.Duration(promised * float64(time.Minute)))
		c.do(session.ServiceOpened{Service: "s1", Client: "June L.", Promised: &at}, session.PlanSet{Name: "L", Action: "lighten",
			Zones: []session.PlanZone{{Name: "Nape", Pieces: 6, Bands: []session.PlanBand{root30}}}})
		f := c.forecast(certain())
		assert.InDelta(t, late, f.Late, 1e-9)
		assert.Equal(t, at, f.Promised)
	}
}

// inOrder checks what must hold of any forecast.
func inOrder(t require.TestingT, f *session.Forecast) {
	ordered := func(m session.Moments) {
		require.False(t, m.P10.Before(f.At))
		for _, pair := range [][2]time.Time{{m.P10, m.P50}, {m.P50, m.P80}, {m.P80, m.P90}, {m.P90, m.P95}} {
			require.False(t, pair[1].Before(pair[0]))
		}
	}
	ordered(f.End)
	for _, z := range f.Zones {
		ordered(z.Off)
		if !z.Applied.P50.IsZero() {
			ordered(z.Applied)
			require.False(t, z.Off.P50.Before(z.Applied.P50), "%s is off before it is in", z.Name)
		}
		require.False(t, f.End.P50.Before(z.Off.P50))
	}
	for _, st := range f.Steps {
		ordered(st.End)
		require.False(t, f.End.P50.Before(st.End.P50))
	}
	require.GreaterOrEqual(t, f.Late, 0.0)
	require.LessOrEqual(t, f.Late, 1.0)
	for _, p := range f.Paces {
		require.Greater(t, p.Now, 0.0)
		require.False(t, math.IsInf(p.Ratio, 0))
	}
}

// A forecast at a moment is the same, to the last byte, whether or not anything
// was recorded later; and there is one at any moment of any service that was
func TestForecastKnowsNothingOfWhatComesLater(t *testing.T) {
	later, answered := 0, 0
	rapid.Check(t, func(rt *rapid.T) {
		x, ok := drawCut(rt, ready(t))
		if !ok {
			return
		}
		was, err := x.c.log.Until(x.at)
		require.NoError(rt, err)
		var text [2][]byte
		for i, l := range []*session.Log{x.then, was} {
			q, ok := l.State().AskForecast(x.at, session.Usuals{})
			if !ok {
				require.NotEmpty(rt, q.Why)
				return
			}
			f, err := q.Answer()
			require.NoError(rt, err)
			inOrder(rt, f)
			text[i], err = json.Marshal(f)
			require.NoError(rt, err)
		}
		require.Equal(rt, string(text[0]), string(text[1]))
		answered++
		later += x.c.last() - was.State().Seq
	})
	require.NotZero(t, later)
	require.NotZero(t, answered)
}

// Where nothing is known of the stylist, today's rinses tell how long one takes.
func TestForecastLearnsFromTodaysRinses(t *testing.T) {
	var ends []float64
	for _, rinse := range []float64{4, 9} {
		c := newChair(t)
		set := session.PlanSet{Name: "Lightening", Action: "lighten"}
		for _, n := range []string{"A", "B", "C", "D"} {
			set.Zones = append(set.Zones, session.PlanZone{Name: n, Pieces: 2, MinutesPerPiece: 2, Bands: []session.PlanBand{root30}})
		}
		c.do(session.ServiceOpened{Service: "s1", Client: "June L."}, session.ConsultationNoted{NaturalDepth: 6}, set, row(root30, 5, 90), bowl(root30, 60, 90))
		c.do(answered()...)
		c.at(10).do(place("z1", 2), place("z2", 2))
		c.at(20).do(session.RinseBegan{Zones: []string{"z1", "z2"}})
		c.at(20 + rinse).do(session.RinseEnded{Zones: []string{"z1"}})
		c.at(20 + 2*rinse).do(session.RinseEnded{})
		ends = append(ends, c.mid(session.Usuals{})-2*rinse)
	}
	assert.Greater(t, ends[1], ends[0]+2, "two rinses are to come")
}
