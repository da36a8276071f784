package pace_test

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/timing/pace"
)

func minutes(m float64) time.Duration { return time.Duration(m * float64(time.Minute)) }

func foils(t testing.TB) *pace.Model {
	m, err := pace.New(pace.Default().With("foil", 2))
	require.NoError(t, err)
	return m
}

func observe(t testing.TB, m *pace.Model, n int, took float64) {
	for range n {
		require.NoError(t, m.Observe(pace.Observation{Step: "foil", Units: 1, Took: minutes(took)}))
	}
}

func TestModelFollowsThePace(t *testing.T) {
	prior := pace.Default()
	prior.Steps["foil"] = pace.Usual{Minutes: 2, Noise: 0.3} // well known
	m, err := pace.New(prior)
	require.NoError(t, err)
	mean, sd := m.Today()
	assert.InDelta(t, 0, mean, 0.05, "as usual before anything is seen")
	observe(t, m, 30, 3)
	after, narrow := m.Today()
	assert.InDelta(t, math.Log(1.5), after, 0.1, "half as slow again")
	assert.Less(t, narrow, sd, "and surer")
	ahead, err := m.Predict("foil", "", 10, 0)
	require.NoError(t, err)
	assert.InDelta(t, 30, ahead.Median(), 3)
}

// A long gap is an interruption, not pace.
func TestModelTakesALongGapForAnInterruption(t *testing.T) {
	m := foils(t)
	observe(t, m, 20, 2)
	before, _ := m.Today()
	observe(t, m, 1, 25)
	after, _ := m.Today()
	assert.InDelta(t, before, after, 0.03)
}

// Pieces logged all at once tell of the pace nearly as well as one by one.
func TestModelLearnsFromBatches(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	single, batch := foils(t), foils(t)
	for range 5 {
		sum := 0.0
		for range 8 {
			took := 3 * math.Exp(0.3*r.NormFloat64())
			sum += took
			observe(t, single, 1, took)
		}
		require.NoError(t, batch.Observe(pace.Observation{Step: "foil", Units: 8, Took: minutes(sum)}))
	}
	a, sure := single.Today()
	b, unsure := batch.Today()
	assert.InDelta(t, a, b, 0.1)
	assert.InDelta(t, sure, unsure, 0.05)
	assert.Equal(t, 8, batch.Logged())
	assert.Equal(t, 1, single.Logged())
}

func TestModelKnowsHelpersFromPace(t *testing.T) {
	m := foils(t)
	observe(t, m, 15, 2)
	before, _ := m.Today()
	for range 15 {
		require.NoError(t, m.Observe(pace.Observation{Step: "foil", Units: 1, Took: minutes(1.15), Helpers: 1}))
	}
	after, _ := m.Today()
	assert.InDelta(t, before, after, 0.1, "one's own pace is the same")
	alone, err := m.Predict("foil", "", 10, 0)
	require.NoError(t, err)
	helped, err := m.Predict("foil", "", 10, 1)
	require.NoError(t, err)
	assert.InDelta(t, 2/1.15, alone.Median()/helped.Median(), 0.15)
}

func TestModelFindsASlowZone(t *testing.T) {
	prior := pace.Default().With("foil", 2)
	prior.Slow.Share = 0.3
	m, err := pace.New(prior)
	require.NoError(t, err)
	for i := range 24 {
		o := pace.Observation{Step: "foil", Zone: "nape", Units: 1, Took: 2 * time.Minute}
		if i >= 12 {
			o.Zone, o.Took = "crown", 4*time.Minute
		}
		require.NoError(t, m.Observe(o))
	}
	here, err := m.Predict("foil", "crown", 10, 0)
	require.NoError(t, err)
	there, err := m.Predict("foil", "fringe", 10, 0)
	require.NoError(t, err)
	assert.InDelta(t, 40, here.Median(), 5)
	assert.Less(t, there.Median(), 32.0, "the next zone need not be slow")
}

func TestModelRefuses(t *testing.T) {
	m := foils(t)
	for name, o := range map[string]pace.Observation{
		"no units":     {Step: "foil", Took: time.Minute},
		"no time":      {Step: "foil", Units: 1},
		"three days":   {Step: "foil", Units: 1, Took: 72 * time.Hour},
		"half helpers": {Step: "foil", Units: 1, Took: time.Minute, Helpers: math.NaN()},
		"unknown step": {Step: "weave", Units: 1, Took: time.Minute},
	} {
		assert.ErrorIs(t, m.Observe(o), pace.ErrPace, name)
	}
	_, err := m.Predict("weave", "", 1, 0)
	assert.ErrorContains(t, err, "state one")
	bad := pace.Default()
	bad.Level = -1
	_, err = pace.New(bad)
	assert.ErrorIs(t, err, pace.ErrPace)
}
