package pace_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/timing/pace"
)

// services are closed services of a stylist who takes so long for a foil, with
// the given spreads of the pace between services and of single foils.
func services(n int, usual, level, noise float64) []pace.Past {
	r := rand.New(rand.NewPCG(8, 8))
	var out []pace.Past
	for range n {
		var s pace.Past
		day := level * r.NormFloat64()
		for range 40 {
			s.Observations = append(s.Observations, pace.Observation{
				Step: "foil", Units: 1, Took: minutes(usual * math.Exp(day+noise*r.NormFloat64())),
			})
		}
		out = append(out, s)
	}
	return out
}

// The usual time, and both spreads, are those that the services were made with.
func TestFitFindsWhatIsThere(t *testing.T) {
	p, err := pace.Fit(pace.Default().With("foil", 3), services(60, 1.4, 0.2, 0.35))
	require.NoError(t, err)
	u := p.Steps["foil"]
	assert.InEpsilon(t, 1.4, u.Minutes, 0.08)
	assert.InDelta(t, 0.35, u.Noise, 0.03)
	assert.InDelta(t, 0.2, p.Level, 0.04)
	assert.Less(t, u.Unsure, 0.06)
	assert.Equal(t, 60, p.Services)
}

// The more services, the less the stated time counts.
func TestFitWeighsWhatWasStated(t *testing.T) {
	start := pace.Default().With("foil", 3)
	last := 3.0
	for _, n := range []int{1, 3, 10, 30} {
		p, err := pace.Fit(start, services(n, 1.4, 0.001, 0.3))
		require.NoError(t, err)
		off := math.Abs(math.Log(p.Steps["foil"].Minutes / 1.4))
		assert.Less(t, off, last, "%d services", n)
		last = off + 0.02
	}
}

func TestFitWithoutServices(t *testing.T) {
	start := pace.Default().With("foil", 3)
	p, err := pace.Fit(start, []pace.Past{{}})
	require.NoError(t, err)
	assert.Equal(t, start, p)
	_, err = pace.Fit(start, []pace.Past{{Observations: []pace.Observation{{Step: "foil"}}}})
	assert.ErrorIs(t, err, pace.ErrPace)
}

func TestFitGivesTheSameAgain(t *testing.T) {
	a, err := pace.Fit(pace.Default(), services(5, 2, 0.1, 0.3))
	require.NoError(t, err)
	b, err := pace.Fit(pace.Default(), services(5, 2, 0.1, 0.3))
	require.NoError(t, err)
	assert.Equal(t, a, b)
}

func BenchmarkFit(b *testing.B) {
	past := services(60, 1.4, 0.2, 0.35)
	for b.Loop() {
		_, err := pace.Fit(pace.Default(), past)
		require.NoError(b, err)
	}
}
