package session_test

import (
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/session"
	"rinseby/session/formula"
	"rinseby/timing"
	"rinseby/timing/lift"
)

// lifting is a chair at which depth 9 is wanted of natural hair of depth 6:
// the nape has four pieces of root at 30 vol, all in at minute 0, limit 45.
func lifting(t testing.TB) *chair {
	c := newChair(t)
	c.do(session.ServiceOpened{Service: "s1", Client: "June L."},
		session.ConsultationNoted{NaturalDepth: 6, TargetDepth: 9},
		session.PlanSet{Name: "Lightening", Action: formula.Lighten, Zones: []session.PlanZone{
			{Name: "Nape", Pieces: 4, Bands: []session.PlanBand{root30}},
			{Name: "Crown", Pieces: 4, Bands: []session.PlanBand{root30, end20}},
		}},
		row(root30, 10, 45), row(end20, 10, 45), bowl(root30, 30, 60), bowl(end20, 20, 40))
	c.do(answered()...)
	c.do(place("z1", 4))
	return c
}

func seen(depth float64) session.ZoneChecked { return session.ZoneChecked{Zone: "z1", Depth: depth} }

func (c *chair) lift(id string) (session.LiftLook, bool) {
	now := c.state().Line.Now(c.reading())
	return c.state().Lift(c.state().Zone(id), now)
}

// says is what the board says of the lift of a zone, empty if nothing.
func (c *chair) says(id string) string {
	l := c.zone(id).Lift
	if l == nil {
		return ""
	}
	return l.Text(func(at time.Time) string { return at.Format("15:04") })
}

func TestLiftOfAZoneWithChecksOnTheWay(t *testing.T) {
	c := lifting(t)
	c.at(8).do(seen(7))
	require.NotEmpty(t, c.says("z1"))
	c.at(14).do(seen(8))
	c.at(20).do(session.ZoneChecked{Zone: "z1", Depth: 8.5, Undertone: "gold"})
	l := c.zone("z1").Lift
	require.NotNil(t, l)
	assert.False(t, l.Guess)
	assert.Equal(t, "Nape", l.Of("Nape"), "it has one band")
	assert.Equal(t, c.zero.Add(20*time.Minute), l.Checked)
	assert.Equal(t, c.zero.Add(45*time.Minute), l.LimitAt)
	assert.Equal(t, "fitted to your checks, not chemistry", l.Basis())
	assert.InDelta(t, 8.5, l.Depth, 0.3)

	// the same by the engine, from the bare figures
	p, err := lift.For(lift.Powder, 9)
	require.NoError(t, err)
	curve, err := lift.New(p, lift.Start{Depth: 6, SD: lift.Eye}, []lift.Check{{Minute: 8, Depth: 7}, {Minute: 14, Depth: 8}, {Minute: 20, Depth: 8.5}})
	require.NoError(t, err)
	o, err := curve.Judge(9, 45)
	require.NoError(t, err)
	assert.Equal(t, o.Verdict, l.Verdict)
	assert.InDelta(t, o.Chance, l.Chance, 1e-9)
	assert.InDelta(t, o.Median, l.Median.Sub(c.zero).Minutes(), 1e-6)
	assert.Equal(t, c.offBy("z1"), 45.0, "it has no say in the limit")

	direct, ok := c.lift("z1")
	require.True(t, ok)
	assert.Equal(t, *l, direct)
}

func TestWhatTheScreenSaysOfALift(t *testing.T) {
	for _, k := range []struct {
		name   string
		checks map[float64]float64 // depth by minute
		tone   string
		at     float64
		want   string
	}{
		{"fast", map[float64]float64{6: 7.5, 12: 8.5}, "", 13, "will make it, about 09:17; limit 09:45"},
		{"fast, and it is time", map[float64]float64{6: 7.5, 12: 8.5}, "", 30, "will make it, about now: check it; limit 09:45"},
		{"in between", map[float64]float64{10: 7, 20: 8}, "", 20, "may not make it by 09:45, the limit"},
		{"stands still", map[float64]float64{10: 6.5, 20: 6.5, 30: 7}, "red-gold", 31,
			"will not: stop at the limit, 09:45, and plan a second visit; red-gold at last check: for the toner"},
		{"there", map[float64]float64{10: 8, 20: 9}, "Gold", 21, "light enough at the last check, 09:20; limit 09:45; Gold at last check: for the toner"},
		{"there and cool", map[float64]float64{20: 9}, "beige", 21, "light enough at the last check, 09:20; limit 09:45"},
		{"there, at the limit", map[float64]float64{20: 9}, "", 45, "light enough at the last check; at its limit since 09:45: rinse it now"},
		{"past the limit", map[float64]float64{6: 7.5, 12: 8.5}, "", 50, "at its limit since 09:45: rinse it now, and plan a second visit if it is not light enough"},
	} {
		t.Run(k.name, func(t *testing.T) {
			c := lifting(t)
			for m := range 60 {
				if d, ok := k.checks[float64(m)]; ok {
					check := seen(d)
					check.Undertone = k.tone
					c.at(float64(m)).do(check)
				}
			}
			assert.Equal(t, k.want, c.at(k.at).says("z1"))
		})
	}
}

func TestOneCheckIsNotReliedOn(t *testing.T) {
	for _, k := range []struct {
		name      string
		check, at float64 // minutes
		depth     float64
		want      string
	}{
		{"fast", 6, 7, 7.5, "look again at 09:11 before you rely on it; so far it will make it, about 09:18; limit 09:45"},
		{"fast, and not looked at since", 6, 17, 7.5, "look again now before you rely on it; so far it will make it, about 09:18; limit 09:45"},
		{"fast, and it is time", 6, 25, 7.5, "look again now before you rely on it; so far it will make it, about now; limit 09:45"},
		{"in between", 12, 13, 7, "look again at 09:17 before you rely on it; so far it may not make it by 09:45, the limit"},
		{"slow", 30, 31, 6.5, "look again at 09:35 before you rely on it; so far it will not: stop at the limit, 09:45, and plan a second visit"},
		{"slow, and the limit is near", 38, 42, 6.5, "will not: stop at the limit, 09:45, and plan a second visit"},
		{"there", 20, 21, 9, "light enough at the last check, 09:20; limit 09:45"},
		{"at the limit", 30, 46, 7, "at its limit since 09:45: rinse it now, and plan a second visit if it is not light enough"},
	} {
		t.Run(k.name, func(t *testing.T) {
			c := lifting(t)
			c.at(k.check).do(seen(k.depth))
			assert.Equal(t, k.want, c.at(k.at).says("z1"))
			l := c.zone("z1").Lift
			assert.Equal(t, "from one check only, not chemistry", l.Basis())
			assert.Equal(t, "one check only", l.Short())
			c.do(seen(k.depth))
			assert.NotContains(t, c.says("z1"), "rely on it")
			assert.Equal(t, "fitted to your checks, not chemistry", c.zone("z1").Lift.Basis())
			assert.Zero(t, c.zone("z1").Lift.Again)
		})
	}
}

// Whatever one check showed, the next look is due after it and before the limit,
// and the figures are those of the curve.
func TestTheNextLookIsBeforeTheLimit(t *testing.T) {
	for minute := 1; minute < 45; minute++ {
		for depth := 6.0; depth < 9; depth += 0.5 {
			c := lifting(t)
			c.at(float64(minute)).do(seen(depth))
			l, ok := c.lift("z1")
			require.True(t, ok)
			require.Equal(t, 1, l.Checks)
			if c.timed("z1").Phase == timing.Closing {
				require.Zero(t, l.Again, "depth %v at %d", depth, minute)
				continue
			}
			require.True(t, l.Again.Before(l.LimitAt), "depth %v at %d: %v", depth, minute, l.Again)
			require.False(t, l.Again.Before(l.Checked), "depth %v at %d: %v", depth, minute, l.Again)
			require.LessOrEqual(t, l.Again.Sub(l.Checked), 5*time.Minute)
		}
	}
}

func TestBeforeAnyCheckThereIsOnlyAGuessAndItIsNotShown(t *testing.T) {
	c := lifting(t)
	l, ok := c.at(5).lift("z1")
	require.True(t, ok)
	assert.True(t, l.Guess)
	assert.Equal(t, "a guess before any check, not chemistry", l.Basis())
	assert.Zero(t, l.Checked)
	assert.Empty(t, c.says("z1"))
	c.do(session.ZoneChecked{Zone: "z1", Feel: "springs back", Undertone: "red"})
	assert.Empty(t, c.says("z1"), "a look without a depth says nothing of the lift")
	c.at(10).do(place("z2", 4))
	_, ok = c.state().Lift(c.state().Zone("z2"), c.zero.Add(9*time.Minute))
	assert.False(t, ok, "nothing is on yet")
}

func TestWhenThereIsNothingToSayOfALift(t *testing.T) {
	for name, change := range map[string]func(*chair){
		"no depth is wanted":  func(c *chair) { c.do(session.ConsultationNoted{NaturalDepth: 6}) },
		"no start and no say": func(c *chair) { c.do(session.ConsultationNoted{TargetDepth: 9}) },
		"pain":                func(c *chair) { c.do(session.PainReported{Text: "it burns"}) },
		"hair that can take no more": func(c *chair) {
			c.do(session.ZoneChecked{Zone: "z1", Feel: session.FeelMushy})
		},
		"at the basin": func(c *chair) { c.do(session.RinseBegan{Zones: []string{"z1"}}) },
		"rinsed":       func(c *chair) { c.do(session.RinseBegan{Zones: []string{"z1"}}, session.RinseEnded{}) },
	} {
		t.Run(name, func(t *testing.T) {
			c := lifting(t)
			c.at(12).do(seen(8))
			require.NotEmpty(t, c.says("z1"))
			change(c)
			assert.Empty(t, c.at(13).says("z1"))
		})
	}
}

// The limit is the oldest piece's; the target is met when the newest meets it.
func TestTheNewestPieceIsLaterLightEnough(t *testing.T) {
	median := func(late float64) session.LiftLook {
		c := lifting(t)
		c.at(0).do(place("z2", 3))
		if late > 0 {
			c.at(late)
		}
		c.do(place("z2", 1))
		c.at(16).do(session.ZoneChecked{Zone: "z2", Band: session.Root, Depth: 8})
		l := c.zone("z2").Lift
		require.NotNil(t, l)
		assert.Equal(t, session.Root, l.Band)
		return *l
	}
	at, late := median(0), median(10)
	assert.Equal(t, 10*time.Minute, late.Median.Sub(at.Median))
	assert.Less(t, late.Chance, at.Chance)
	assert.Equal(t, at.LimitAt, late.LimitAt)
	assert.InDelta(t, at.Depth, late.Depth, 1e-9, "a check now would be of the oldest")
}

func TestTheBandThatIsLastDecides(t *testing.T) {
	c := lifting(t)
	c.at(0).do(place("z2", 4))
	c.at(15).do(session.ZoneChecked{Zone: "z2", Band: session.Root, Depth: 6.5})
	assert.Equal(t, "Crown root", c.zone("z2").Lift.Of("Crown"), "of the ends nothing was seen")
	c.do(session.ZoneChecked{Zone: "z2", Band: session.End, Depth: 9})
	assert.Equal(t, session.Root, c.zone("z2").Lift.Band)
	c.at(25).do(session.ZoneChecked{Zone: "z2", Band: session.Root, Depth: 9})
	assert.Equal(t, lift.Met, c.zone("z2").Lift.Verdict)
	c.at(26).do(session.ZoneChecked{Zone: "z2", Depth: 8.5}) // of all bands
	assert.NotEqual(t, lift.Met, c.zone("z2").Lift.Verdict)
}

func TestADepthOnAnotherScaleIsConvertedInProportion(t *testing.T) {
	ten, twenty := lifting(t), lifting(t)
	ten.at(15).do(seen(8))
	twenty.at(15).do(session.ZoneChecked{Zone: "z1", Scale: 20, Depth: 1 + 7*19.0/9})
	a, b := ten.zone("z1").Lift, twenty.zone("z1").Lift
	assert.InDelta(t, a.Chance, b.Chance, 1e-9)
	assert.True(t, b.Rescaled)
	assert.Equal(t, "from one check only, on another scale, not chemistry", b.Basis())

	wanted := lifting(t)
	wanted.do(session.ConsultationNoted{Scale: 20, NaturalDepth: 1 + 5*19.0/9, TargetDepth: 1 + 8*19.0/9})
	wanted.at(15).do(session.ZoneChecked{Zone: "z1", Scale: 20, Depth: 1 + 7*19.0/9})
	w := wanted.zone("z1").Lift
	assert.False(t, w.Rescaled)
	assert.InDelta(t, a.Chance, w.Chance, 1e-9)
	assert.InDelta(t, 1+(a.Depth-1)*19/9, w.Depth, 1e-9, "it is told on the scale of the wanted depth")
	assert.InDelta(t, a.DepthSD*19/9, w.DepthSD, 1e-9)
}

// A log can lack a scale: one that was put together by hand.
func TestAScaleThatWasNotNotedIsTheUsualOne(t *testing.T) {
	c := lifting(t)
	c.at(15).do(seen(8))
	noted := *c.zone("z1").Lift
	s := c.state()
	s.Consultation.Scale, s.Zone("z1").Checks[0].Scale = 0, 0
	assert.Equal(t, noted, *c.zone("z1").Lift)
}

func TestFreshProductBeginsACurveOfItsOwn(t *testing.T) {
	c := lifting(t)
	c.at(10).do(seen(7))
	c.at(20).do(seen(7.5))
	c.at(28).do(seen(7.5))
	before := c.at(29).zone("z1").Lift
	c.do(session.CoatRefreshed{Zone: "z1", Coats: []session.CoatOn{{Band: session.Root, Bowl: c.state().Bowls[0].ID}}})
	after := c.zone("z1").Lift
	require.NotNil(t, after, "the checks before count")
	assert.Greater(t, after.Chance, before.Chance)
	assert.InDelta(t, before.Depth, after.Depth, 0.05, "nothing jumps at the moment itself")
	assert.Equal(t, before.LimitAt, after.LimitAt, "the limit counts on")
	c.at(35).do(seen(9))
	assert.Equal(t, lift.Met, c.zone("z1").Lift.Verdict)
}

// Hair that was coated again, or lies under another zone, starts from what was
// last seen on it.
func TestTheStartIsWhatWasLastSeen(t *testing.T) {
	c := lifting(t)
	c.at(10).do(seen(7.5))
	c.at(20).do(session.RinseBegan{Zones: []string{"z1"}}, session.RinseEnded{})
	c.do(session.PlanSet{Name: "Again", Action: formula.Lighten, Zones: []session.PlanZone{
		{ID: "again", Name: "Nape again", Pieces: 4, SameHairAs: []string{"z1"}, Bands: []session.PlanBand{root30}},
	}}, bowl(root30, 30, 60))
	c.at(25).do(place("again", 4))
	l, ok := c.lift("again")
	require.True(t, ok, "it was seen before")
	assert.True(t, l.Guess)
	assert.InDelta(t, 7.5, l.Depth, 0.05)
}

func TestHairThatIsNotNaturalNeedsACheck(t *testing.T) {
	c := lifting(t)
	ends := session.PlanSet{Name: "Ends", Action: formula.Lighten, Zones: []session.PlanZone{
		{ID: "ends", Name: "Ends", Pieces: 4, Bands: []session.PlanBand{end20}},
	}}
	c.do(ends, place("ends", 4))
	_, ok := c.at(5).lift("ends")
	assert.False(t, ok, "the natural depth is not theirs")
	c.at(10).do(session.ZoneChecked{Zone: "ends", Depth: 8})
	l, ok := c.lift("ends")
	require.True(t, ok)
	assert.InDelta(t, 8, l.Depth, 0.4)
}

// No text, at whatever depth and minute, tells anyone to go on past the limit.
func TestNoTextOfALiftGoesPastTheLimit(t *testing.T) {
	for _, depth := range []float64{6, 7, 8, 8.5, 9} {
		c := lifting(t)
		c.at(15).do(seen(depth))
		for m := 15.0; m < 70; m += 2.5 {
			l, ok := c.at(m).lift("z1")
			require.True(t, ok)
			require.Equal(t, c.zero.Add(45*time.Minute), l.LimitAt)
			text := c.says("z1")
			require.Contains(t, text, "09:45", fmt.Sprint(depth, " ", m))
			if m >= 45 {
				require.Contains(t, text, "rinse it now")
			}
			if l.Verdict == lift.Will {
				require.False(t, l.Median.After(l.LimitAt))
			}
		}
	}
}

// busyLift is busy with two looks at each zone.
func BenchmarkLookWithChecks(b *testing.B) {
	c := busy(b)
	c.do(session.ConsultationNoted{NaturalDepth: 6, TargetDepth: 9})
	for i := range 24 {
		c.do(session.ZoneChecked{Zone: fmt.Sprintf("z%d", i/2+1), Band: session.Root, Depth: 7 + float64(i%2)})
	}
	now := c.state().Line.Now(c.reading())
	clock := func(at time.Time) string { return at.Format("15:04") }
	for b.Loop() {
		session.Look(c.state(), now, clock)
	}
}
