package lift_test

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"rinseby/timing/lift"
)

// drawn is a prior, a start and some checks, in the order of their minutes.
func drawn(t *rapid.T) (lift.Prior, lift.Start, []lift.Check) {
	p, err := lift.For(rapid.SampledFrom([]lift.Product{lift.Powder, lift.Clay, lift.Cream, lift.HighLift}).Draw(t, "product"),
		rapid.Float64Range(1, 12).Draw(t, "strength"))
	require.NoError(t, err)
	p.Eye = rapid.Float64Range(0.2, 1).Draw(t, "eye")
	start := lift.Start{Depth: rapid.Float64Range(1, 8).Draw(t, "start"), SD: rapid.Float64Range(0.2, 1.5).Draw(t, "sd")}
	checks := make([]lift.Check, rapid.IntRange(0, 5).Draw(t, "checks"))
	minute := 0.0
	for i := range checks {
		minute += rapid.Float64Range(1, 15).Draw(t, "wait")
		checks[i] = lift.Check{Minute: minute, Depth: float64(rapid.IntRange(2, 20).Draw(t, "halves")) / 2}
	}
	return p, start, checks
}

func TestMoreExposureIsNeverLessLift(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p, start, checks := drawn(t)
		c, err := lift.New(p, start, checks)
		require.NoError(t, err)
		target := rapid.Float64Range(1, 10).Draw(t, "target")
		before, by := -math.MaxFloat64, -1.0
		for _, m := range []float64{0, 1, 5, 20, 45, 90, 600, math.Inf(1)} {
			d, sd := c.DepthAt(m)
			b := c.By(target, m)
			require.GreaterOrEqual(t, d, before)
			require.GreaterOrEqual(t, b, by)
			require.LessOrEqual(t, b, 1.0)
			require.Greater(t, sd, 0.0)
			require.LessOrEqual(t, c.By(min(target+0.5, 10), m), b, "a lighter target is never met sooner")
			before, by = d, b
		}
		low, mid, high := c.Minutes(target, 0.1), c.Minutes(target, 0.5), c.Minutes(target, 0.9)
		require.LessOrEqual(t, low, mid)
		require.LessOrEqual(t, mid, high)
	})
}

// The last check is what the eye saw now. If it is lighter, nothing is later;
// an earlier one that is lighter may well say that the lift is flattening.
func TestALighterLastCheckNeverMakesItLater(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p, start, checks := drawn(t)
		if len(checks) == 0 {
			t.Skip("nothing seen")
		}
		target := rapid.Float64Range(2, 10).Draw(t, "target")
		last := &checks[len(checks)-1]
		c, err := lift.New(p, start, checks)
		require.NoError(t, err)
		lighter := slices.Clone(checks)
		lighter[len(lighter)-1].Depth = min(last.Depth+rapid.Float64Range(0.1, 2).Draw(t, "lighter"), 10)
		l, err := lift.New(p, start, lighter)
		require.NoError(t, err)
		for _, after := range []float64{0, 5, 20, 60} {
			m := last.Minute + after
			require.GreaterOrEqual(t, l.By(target, m), c.By(target, m)-1e-3, "minute %g", m)
		}
		a, err := c.Judge(target, last.Minute+20)
		require.NoError(t, err)
		b, err := l.Judge(target, last.Minute+20)
		require.NoError(t, err)
		require.GreaterOrEqual(t, b.Chance, a.Chance-1e-3)
	})
}

func TestACheckAtTheTargetSaysNow(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p, start, checks := drawn(t)
		target := rapid.Float64Range(1, 10).Draw(t, "target")
		at := 90.0
		checks = append(checks, lift.Check{Minute: at, Depth: rapid.Float64Range(target, 10).Draw(t, "seen")})
		c, err := lift.New(p, start, rapid.Permutation(checks).Draw(t, "order"))
		require.NoError(t, err)
		o, err := c.Judge(target, rapid.Float64Range(0, 200).Draw(t, "limit"))
		require.NoError(t, err)
		require.Equal(t, lift.Outlook{Verdict: lift.Met, Chance: 1, Low: at, Median: at, High: at}, o)
	})
}

func TestWords(t *testing.T) {
	p := prior(t, lift.Powder, 9)
	for _, c := range []struct {
		name   string
		checks []lift.Check
		limit  float64
		want   lift.Verdict
	}{
		{"well on the way", []lift.Check{{Minute: 8, Depth: 7.5}, {Minute: 16, Depth: 8.5}}, 45, lift.Will},
		{"slower", []lift.Check{{Minute: 10, Depth: 7}, {Minute: 20, Depth: 8}}, 45, lift.MayNot},
		{"the same with less time", []lift.Check{{Minute: 8, Depth: 7.5}, {Minute: 16, Depth: 8.5}}, 24, lift.MayNot},
		{"stands still", []lift.Check{{Minute: 10, Depth: 6.5}, {Minute: 20, Depth: 6.5}, {Minute: 30, Depth: 7}}, 45, lift.WillNot},
		{"no time left", []lift.Check{{Minute: 10, Depth: 7}}, 12, lift.WillNot},
		{"there", []lift.Check{{Minute: 10, Depth: 7.5}, {Minute: 20, Depth: 9}}, 45, lift.Met},
		{"was there, and at the next look was not", []lift.Check{{Minute: 20, Depth: 9}, {Minute: 26, Depth: 8.5}}, 45, lift.MayNot},
		{"nothing seen", nil, 45, lift.MayNot},
	} {
		t.Run(c.name, func(t *testing.T) {
			o, err := curve(t, p, six, c.checks...).Judge(9, c.limit)
			require.NoError(t, err)
			assert.Equal(t, c.want, o.Verdict, "%+v", o)
			assert.NotEmpty(t, o.Verdict.Advice())
			if o.Verdict == lift.WillNot {
				assert.Contains(t, o.Verdict.Advice(), "stop at the limit")
				assert.Contains(t, o.Verdict.Advice(), "second visit")
			}
		})
	}
	assert.Equal(t, "not known", lift.Verdict(9).String())
	assert.Empty(t, lift.Verdict(-1).Advice())
	text, err := lift.Will.MarshalText()
	require.NoError(t, err)
	assert.Equal(t, "will make it", string(text))
}

func TestAStrongerDeveloperIsFasterAndNoMore(t *testing.T) {
	weak, strong := prior(t, lift.Powder, 6), prior(t, lift.Powder, 12)
	assert.Less(t, strong.Tau, weak.Tau)
	assert.Equal(t, weak.Gain, strong.Gain)
}

func TestFiguresThatCanNotBeAreRefused(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	good := prior(t, lift.Powder, 9)
	for name, change := range map[string]func(*lift.Prior){
		"gain": func(p *lift.Prior) { p.Gain = 0 }, "gain nan": func(p *lift.Prior) { p.Gain = nan },
		"gain sd": func(p *lift.Prior) { p.GainSD = -1 }, "gain sd inf": func(p *lift.Prior) { p.GainSD = inf },
		"tau": func(p *lift.Prior) { p.Tau = 0 }, "tau long": func(p *lift.Prior) { p.Tau = 601 },
		"spread": func(p *lift.Prior) { p.TauSpread = -0.1 }, "spread nan": func(p *lift.Prior) { p.TauSpread = nan },
		"eye": func(p *lift.Prior) { p.Eye = 0 },
	} {
		p := good
		change(&p)
		_, err := lift.New(p, six, nil)
		require.ErrorIs(t, err, lift.ErrLift, name)
		assert.Contains(t, err.Error(), "give", name)
	}
	for _, s := range []lift.Start{{}, {Depth: 6}, {Depth: 0.5, SD: 1}, {Depth: 10.5, SD: 1}, {Depth: nan, SD: 1}, {Depth: 6, SD: inf}} {
		_, err := lift.New(good, s, nil)
		require.ErrorIs(t, err, lift.ErrLift)
		assert.Contains(t, err.Error(), "give a depth from 1 to 10")
	}
	for _, k := range []lift.Check{{Minute: -1, Depth: 7}, {Minute: nan, Depth: 7}, {Minute: inf, Depth: 7}, {Minute: 5, Depth: 0}, {Minute: 5, Depth: 11}, {Minute: 5, Depth: nan}} {
		_, err := lift.New(good, six, []lift.Check{k})
		require.ErrorIs(t, err, lift.ErrLift)
		assert.Contains(t, err.Error(), "give a depth from 1 to 10 and minutes")
	}
	for _, s := range []float64{0, -3, 18.1, nan, inf} {
		_, err := lift.For(lift.Clay, s)
		require.ErrorIs(t, err, lift.ErrLift)
		assert.Contains(t, err.Error(), "give its strength")
	}
	_, err := lift.For("shampoo", 6)
	require.ErrorIs(t, err, lift.ErrLift)
	assert.Contains(t, err.Error(), "name a powder, clay or cream lightener")
	c := curve(t, good, six)
	for _, bad := range []float64{0, 11, nan} {
		_, err = c.Judge(bad, 45)
		require.ErrorIs(t, err, lift.ErrLift)
	}
	for _, bad := range []float64{-1, nan, inf} {
		_, err = c.Judge(9, bad)
		require.ErrorIs(t, err, lift.ErrLift)
	}
}

func TestTheCallersChecksStayAsTheyWere(t *testing.T) {
	checks := []lift.Check{{Minute: 20, Depth: 8}, {Minute: 10, Depth: 7}}
	c := curve(t, prior(t, lift.Powder, 9), six, checks...)
	checks[0].Depth = 10
	o, err := c.Judge(9, 45)
	require.NoError(t, err)
	assert.NotEqual(t, lift.Met, o.Verdict)
}

func BenchmarkPosterior(b *testing.B) {
	p, h := prior(b, lift.Powder, 9), heads["three looks"]
	for b.Loop() {
		if _, err := lift.New(p, h.start, h.checks); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkPosteriorAndJudge(b *testing.B) {
	p, h := prior(b, lift.Powder, 9), heads["three looks"]
	for b.Loop() {
		c, err := lift.New(p, h.start, h.checks)
		if err != nil {
			b.Fatal(err)
		}
		if _, err := c.Judge(9, 45); err != nil {
			b.Fatal(err)
		}
	}
}
