package pace_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"gonum.org/v1/gonum/stat/distuv"

	"rinseby/timing/pace"
)

func TestLogNormalAgreesWithGonum(t *testing.T) {
	l := pace.Around(12, 0.4)
	other := distuv.LogNormal{Mu: l.Mu, Sigma: l.Sigma}
	assert.InDelta(t, other.Mean(), l.Mean(), 1e-9)
	assert.InDelta(t, other.Variance(), l.Variance(), 1e-9)
	for _, p := range []float64{0.05, 0.5, 0.9} {
		assert.InDelta(t, other.Quantile(p), l.Quantile(p), 1e-9)
		assert.InDelta(t, 1-p, l.Survival(l.Quantile(p)), 1e-9)
	}
	assert.Equal(t, 1.0, l.Survival(0))
}

// Fenton and Wilkinson: the log-normal of a sum has the sum's mean and
// variance, so the log of the mean of n has variance log(1 + (e^σ² − 1)/n).
func TestLogNormalSums(t *testing.T) {
	for _, c := range []struct {
		spread float64
		n      int
	}{{0.2, 3}, {0.3, 7}, {0.6, 2}, {0.6, 20}} {
		one := pace.Around(1.5, c.spread)
		sum := one.Times(c.n)
		n := float64(c.n)
		assert.InDelta(t, n*one.Mean(), sum.Mean(), 1e-9)
		assert.InDelta(t, n*one.Variance(), sum.Variance(), 1e-9)
		assert.InDelta(t, math.Log(1+(math.Exp(c.spread*c.spread)-1)/n), sum.Sigma*sum.Sigma, 1e-12)
		twice := one.Plus(one)
		assert.InDelta(t, one.Times(2).Mu, twice.Mu, 1e-9)
		assert.InDelta(t, one.Times(2).Sigma, twice.Sigma, 1e-9)

		// The true sum's quantiles, by drawing it.
		r := rand.New(rand.NewPCG(4, uint64(c.n)))
		below := map[float64]int{}
		for range 20000 {
			s := 0.0
			for range c.n {
				s += 1.5 * math.Exp(c.spread*r.NormFloat64())
			}
			for _, p := range []float64{0.1, 0.5, 0.9} {
				if s <= sum.Quantile(p) {
					below[p]++
				}
			}
		}
		for p, k := range below {
			assert.InDelta(t, p, float64(k)/20000, 0.015, "spread %g, %d units", c.spread, c.n)
		}
	}
	assert.Equal(t, pace.Around(3, 0.2), pace.Around(3, 0.2).Times(1))
}
