package forecast

import (
	"fmt"
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"rinseby/timing/pace"
)

// sure is a model of whose pace nothing is unknown: a foil takes two minutes.
func sure(tb testing.TB) *pace.Model {
	p := pace.Default()
	p.Steps["foil"] = pace.Usual{Minutes: 2, Noise: 1e-6}
	p.Level, p.Gaps.Rate = 1e-6, 0
	p.Drift.Share, p.Slow.Share, p.Joins.Share = 0, 0, 0
	p.SlowAgain = 0
	m, err := pace.New(p)
	require.NoError(tb, err)
	return m
}

func fixed(m float64) pace.LogNormal { return pace.Around(m, 0) }

func mins(m float64) time.Duration { return minutes(m).Round(time.Second) }

func run(t *testing.T, in Input) Result {
	r, err := Run(in, sure(t), 20, 1)
	require.NoError(t, err)
	return r
}

func end(t *testing.T, in Input) time.Duration { return run(t, in).End.P50.Round(time.Second) }

func TestPolicy(t *testing.T) {
	foils := Zone{Name: "nape", Step: "foil", Units: 5, Opens: 10 * time.Minute, Limit: 40 * time.Minute, Rinse: around(4, 0)}
	with := func(change func(z *Zone)) Zone {
		z := foils
		change(&z)
		return z
	}
	on := func(name string, first, last float64) Zone {
		return with(func(z *Zone) { z.Name, z.Units, z.On, z.First, z.Last = name, 0, true, mins(first), mins(last) })
	}
	steps := []Step{{Name: "dry", Usual: fixed(20)}, {Name: "cut", Usual: fixed(30)}}
	for name, c := range map[string]struct {
		in   Input
		want float64
	}{
		"applied, walked, opened, rinsed": {Input{Rounds: [][]Zone{{foils}}, Walk: fixed(2)}, 10 + 10 + 4},
		"the walk outlasts the opening":   {Input{Rounds: [][]Zone{{foils}}, Walk: fixed(12)}, 10 + 12 + 4},
		"steps before and after":          {Input{Before: steps[:1], Rounds: [][]Zone{{foils}}, Steps: steps}, 20 + 24 + 50},
		"only steps":                      {Input{Steps: steps}, 50},
		"a step under way":                {Input{Steps: []Step{{Name: "dry", Usual: fixed(20), Since: mins(15)}, steps[1]}}, 5 + 30},
		"left to develop":                 {Input{Rounds: [][]Zone{{with(func(z *Zone) { z.Develop = fixed(22) })}}}, 10 + 22 + 4},
		"developed no longer than the limit": {
			Input{Rounds: [][]Zone{{with(func(z *Zone) { z.Develop = fixed(90) })}}}, 40,
		},
		"a bowl is mixed first": {Input{Rounds: [][]Zone{{with(func(z *Zone) { z.Mixes, z.Mix = 1, around(3, 0) })}}}, 3 + 24},
		"a band is coated later": {
			Input{Rounds: [][]Zone{{with(func(z *Zone) { z.Later, z.Coat = true, around(6, 0) })}}}, 10 + 6 + 10 + 4,
		},
		"rinsed one after the other": {
			Input{Rounds: [][]Zone{{on("nape", 30, 20), on("crown", 20, 12)}}, Basin: true}, 4 + 4,
		},
		"waits for the last to open, not for each in turn": {
			Input{Rounds: [][]Zone{{on("nape", 8, 7), on("crown", 4, 2)}}, Basin: true}, 8 + 4,
		},
		"water runs already": {
			Input{Rounds: [][]Zone{{with(func(z *Zone) {
				*z = on("nape", 30, 20)
				z.Rinsing = mins(3)
			})}}, Basin: true}, 1,
		},
		"a second round": {Input{Rounds: [][]Zone{{foils}, {foils}}, Walk: fixed(2)}, 24 + 24},
	} {
		t.Run(name, func(t *testing.T) { assert.InDelta(t, c.want, end(t, c.in).Minutes(), 0.02) })
	}
}

// The first zone can't wait until the last is on: it is rinsed on a trip of its
// own, once it is open, and the service takes that much longer.
func TestPolicyGoesToTheBasinInTime(t *testing.T) {
	for limit, want := range map[float64]float64{
		50: 40 + 2 + 4,  // after the second zone, which would end at 40
		45: 20 + 10 + 4, // before it; the walk there is over before it opens
		80: 60 + 2 + 4,  // no trip of its own is needed
	} {
		var zones []Zone
		for i := range 3 {
			zones = append(zones, Zone{
				Name: fmt.Sprint("zone ", i+1), Step: "foil", Units: 10, Opens: 10 * time.Minute,
				Limit: mins(limit), Rinse: around(4, 0),
			})
		}
		r := run(t, Input{Rounds: [][]Zone{zones}, Walk: fixed(2), Reseat: fixed(3)})
		assert.InDelta(t, want, r.Zones[0].Off.P50.Minutes(), 0.02, "limit %g", limit)
		for i, z := range r.Zones {
			began := z.Done.P50 - 20*time.Minute
			assert.LessOrEqual(t, (z.Off.P50 - began).Minutes(), limit+0.02, "limit %g, zone %d", limit, i+1)
		}
	}
}

// With one step alone the ranges are the quantiles of its log-normal.
func TestRangesAreThoseOfALogNormal(t *testing.T) {
	cut := pace.Around(30, 0.3)
	r, err := Run(Input{Steps: []Step{{Name: "cut", Usual: cut}}}, sure(t), 20000, 3)
	require.NoError(t, err)
	for p, got := range map[float64]time.Duration{0.1: r.End.P10, 0.5: r.End.P50, 0.8: r.End.P80, 0.9: r.End.P90, 0.95: r.End.P95} {
		assert.InEpsilon(t, cut.Quantile(p), got.Minutes(), 0.01, "at %g", p)
	}
	wide, err := Run(Input{Steps: []Step{{Name: "cut", Usual: cut}}, Width: 2}, sure(t), 20000, 3)
	require.NoError(t, err)
	assert.InDelta(t, 2*(r.End.P90-r.End.P50).Minutes(), (wide.End.P90 - wide.End.P50).Minutes(), 0.01)
	assert.Equal(t, r.End.P50, wide.End.P50)
}

// Nothing ends before it begins, ranges are in order, and later parts end
// later: whatever the input.
func TestRunKeepsItsOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m, err := pace.New(pace.Default().With("foil", 2))
		require.NoError(t, err)
		in := Input{Walk: pace.Around(2, 0), Reseat: pace.Around(2, 0), Helpers: float64(rapid.IntRange(0, 2).Draw(t, "helpers"))}
		for k := range rapid.IntRange(0, 3).Draw(t, "rounds") {
			var zones []Zone
			for i := range rapid.IntRange(1, 6).Draw(t, "zones") {
				zones = append(zones, Zone{
					Name: fmt.Sprint(k, "/", i), Step: "foil", Units: rapid.IntRange(1, 20).Draw(t, "units"),
					Opens: mins(rapid.Float64Range(0, 30).Draw(t, "opens")), Limit: mins(rapid.Float64Range(0, 60).Draw(t, "limit")),
					Mixes: rapid.IntRange(0, 2).Draw(t, "mixes"), Mix: around(3, 0.3), Rinse: around(4, 0.2),
				})
			}
			in.Rounds = append(in.Rounds, zones)
		}
		for k := range rapid.IntRange(0, 3).Draw(t, "steps") {
			in.Steps = append(in.Steps, Step{Name: fmt.Sprint(k), Usual: pace.Around(10, 0.3)})
		}
		r, err := Run(in, m, 50, rapid.Uint64().Draw(t, "seed"))
		require.NoError(t, err)
		last := Range{}
		later := func(p Range) {
			assert.True(t, p.P10 <= p.P50 && p.P50 <= p.P80 && p.P80 <= p.P90 && p.P90 <= p.P95)
			assert.True(t, p.P10 >= last.P10 && p.P50 >= last.P50 && p.P95 >= last.P95)
			last = p
		}
		for _, z := range r.Zones {
			assert.LessOrEqual(t, z.Done.P50, z.Off.P50)
			assert.LessOrEqual(t, z.Off.P50, r.End.P50)
		}
		for _, s := range r.Steps {
			later(s.Done)
		}
		later(r.End.Range)
		again, err := Run(in, m, 50, 1)
		require.NoError(t, err)
		same, err := Run(in, m, 50, 1)
		require.NoError(t, err)
		assert.Equal(t, again, same)
	})
}

func TestRunRefuses(t *testing.T) {
	good := Zone{Name: "nape", Step: "foil", Units: 2, Rinse: around(4, 0)}
	change := func(f func(z *Zone)) Input {
		z := good
		f(&z)
		return Input{Rounds: [][]Zone{{z}}}
	}
	for name, in := range map[string]Input{
		"unknown step":        change(func(z *Zone) { z.Step = "weave" }),
		"nothing at all":      change(func(z *Zone) { z.Units = 0 }),
		"window below 0":      change(func(z *Zone) { z.Limit = -1 }),
		"contacts disordered": change(func(z *Zone) { z.On, z.Last = true, time.Minute }),
		"rinse of no time":    change(func(z *Zone) { z.Rinse.Mu = math.NaN() }),
		"on in a later round": {Rounds: [][]Zone{{good}, {{Name: "toner", On: true}}}},
		"step not under way":  {Rounds: [][]Zone{{good}}, Steps: []Step{{Name: "dry", Usual: fixed(2), Since: 1}}},
		"helpers":             {Helpers: math.NaN()},
	} {
		_, err := Run(in, sure(t), 20, 1)
		assert.ErrorIs(t, err, ErrForecast, name)
	}
	_, err := Run(Input{}, sure(t), 3, 1)
	assert.ErrorContains(t, err, "20 to 100,000")
}
