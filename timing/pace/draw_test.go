package pace_test

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/timing/pace"
)

// take draws how long units take, sorted.
func take(m *pace.Model, n, units int, seed uint64) []float64 {
	d := m.Draws(n, units, seed)
	work := d.Work("foil", "", units)
	out := make([]float64, n)
	for i := range n {
		w := d.At(i)
		out[i] = w.Take(&work, 0)
	}
	slices.Sort(out)
	return out
}

// Draws come from the distribution that Predict gives.
func TestDrawsAgreeWithPredict(t *testing.T) {
	prior := pace.Default().With("foil", 2)
	prior.Gaps.Rate, prior.Joins.Share = 1e-9, 0
	m, err := pace.New(prior)
	require.NoError(t, err)
	observe(t, m, 12, 2.5)
	want, err := m.Predict("foil", "", 20, 0)
	require.NoError(t, err)
	got := take(m, 20000, 20, 5)
	for _, p := range []float64{0.1, 0.5, 0.9} {
		assert.InEpsilon(t, want.Quantile(p), got[int(p*20000)], 0.03, "at %g", p)
	}
}

// From one event to the next the middle moves by what was learned: with the
// same numbers by little, with others by luck too.
func TestDrawsDoNotFlicker(t *testing.T) {
	m := foils(t)
	observe(t, m, 20, 2)
	before := take(m, 400, 20, 5)[200]
	other := take(m, 400, 20, 6)[200]
	observe(t, m, 1, 2)
	after := take(m, 400, 20, 5)[200]
	assert.InDelta(t, before, after, 0.3)
	assert.InDelta(t, before, other, 2)
	assert.Equal(t, take(m, 400, 20, 5), take(m, 400, 20, 5))
}

// Who usually gets help at half is drawn to get it.
func TestDrawsOfAHelper(t *testing.T) {
	prior := pace.Default().With("foil", 2)
	prior.Gaps.Rate = 1e-9
	prior.Joins = pace.Joins{Share: 0, Mean: 0.5, SD: 0.01}
	alone, err := pace.New(prior)
	require.NoError(t, err)
	prior.Joins.Share = 1
	helped, err := pace.New(prior)
	require.NoError(t, err)
	half := (1 + 1/1.7) / 2
	assert.InEpsilon(t, half, take(helped, 4000, 40, 5)[2000]/take(alone, 4000, 40, 5)[2000], 0.03)
}

// What is left of a log-normal time that has run so long, and how probable it
// was: the closed form of the truncated distribution.
func TestDrawsOfWhatIsUnderWay(t *testing.T) {
	m := foils(t)
	d := m.Draws(8000, 0, 3)
	luck := d.Luck("cut")
	cut := pace.Around(30, 0.25)
	const since = 35.0
	left := make([]float64, d.Len())
	for i := range left {
		w := d.At(i)
		var p float64
		left[i], p = w.OtherSince(luck, cut, since)
		assert.InDelta(t, cut.Survival(since), p, 1e-12)
	}
	slices.Sort(left)
	for _, q := range []float64{0.1, 0.5, 0.9} {
		want := cut.Quantile(1-cut.Survival(since)*(1-q)) - since
		assert.InDelta(t, want, left[int(q*8000)], 0.4, "at %g", q)
	}
	whole := d.At(0)
	assert.Equal(t, 12.0, math.Round(whole.Other(luck, pace.Around(12, 0))))
}
