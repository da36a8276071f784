package formula

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestGrowthIn42Days(t *testing.T) {
	for i, want := range []Spread{{9.66, 11.76, 13.86}, {13.062, 15.414, 17.766}, {15.036, 17.262, 19.488}} {
		g := GrowthGroups()[i]
		got, err := g.After(42)
		require.NoError(t, err)
		assert.InDelta(t, want.Low, got.Low, 1e-9, g.Basis)
		assert.InDelta(t, want.Middle, got.Middle, 1e-9, g.Basis)
		assert.InDelta(t, want.High, got.High, 1e-9, g.Basis)
		assert.InDelta(t, []float64{11.8, 15.4, 17.3}[i], got.Middle, 0.05, "as rounded")
		assert.Contains(t, g.Basis, GrowthSource)
	}
}

func TestAnyGrowth(t *testing.T) {
	g := AnyGrowth()
	assert.InDelta(t, 0.230, g.Low, 1e-12)
	assert.InDelta(t, 0.464, g.High, 1e-12)
	assert.InDelta(t, 0.347, g.Middle, 1e-12)
	assert.Contains(t, g.Basis, "no one of them chosen")
}

func TestOwnGrowth(t *testing.T) {
	g, err := OwnGrowth(12, 40)
	require.NoError(t, err)
	assert.InDelta(t, 0.275, g.Low, 1e-12)
	assert.InDelta(t, 0.3, g.Middle, 1e-12)
	assert.InDelta(t, 0.325, g.High, 1e-12)
	d, err := g.Days(15)
	require.NoError(t, err)
	assert.InDelta(t, 50, d.Middle, 1e-9)
	assert.InDelta(t, 15/0.325, d.Low, 1e-9, "grows fast: back early")
	assert.InDelta(t, 15/0.275, d.High, 1e-9)
	m, err := g.After(2 * DaysPerMonth)
	require.NoError(t, err)
	assert.InDelta(t, 18.26, m.Middle, 0.01, "two months")
	for _, c := range []struct {
		mm, days float64
		say      string
	}{
		{12, 0, "a rate needs 14 to"}, {12, -40, "a rate needs"}, {12, 1e9, "a rate needs"}, {12, math.NaN(), "a rate needs"},
		{0, 40, "not what hair does"}, {-1, 40, "not what hair does"}, {120, 40, "not what hair does"}, {math.NaN(), 40, "not what hair does"},
	} {
		_, err := OwnGrowth(c.mm, c.days)
		require.Error(t, err, "%v mm in %v days", c.mm, c.days)
		assert.Contains(t, err.Error(), c.say)
	}
}

func TestGrowthThereAndBack(t *testing.T) {
	for _, g := range append(GrowthGroups(), AnyGrowth()) {
		for _, mm := range []float64{1, 12, 40} {
			d, err := g.Days(mm)
			require.NoError(t, err)
			assert.True(t, d.Low < d.Middle && d.Middle < d.High)
			back, err := g.After(d.Middle)
			require.NoError(t, err)
			assert.InDelta(t, mm, back.Middle, 1e-9)
			back, err = g.After(d.Low)
			require.NoError(t, err)
			assert.InDelta(t, mm, back.High, 1e-9)
		}
	}
	for _, bad := range []float64{0, -1, 1e9, math.NaN()} {
		_, err := AnyGrowth().Days(bad)
		assert.Error(t, err)
	}
	for _, bad := range []float64{-1, 1e9, math.NaN()} {
		_, err := AnyGrowth().After(bad)
		assert.Error(t, err)
	}
}
