package lift_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"

	"rinseby/timing/lift"
)

func prior(t testing.TB, p lift.Product, strength float64) lift.Prior {
	t.Helper()
	pr, err := lift.For(p, strength)
	require.NoError(t, err)
	return pr
}

func curve(t testing.TB, p lift.Prior, start lift.Start, checks ...lift.Check) *lift.Curve {
	t.Helper()
	c, err := lift.New(p, start, checks)
	require.NoError(t, err)
	return c
}

var six = lift.Start{Depth: 6, SD: lift.Eye}

// Heads on which the arithmetic is held against other ways of getting there.
var heads = map[string]struct {
	start  lift.Start
	checks []lift.Check
}{
	"nothing seen":           {six, nil},
	"one look":               {six, []lift.Check{{Minute: 10, Depth: 7.5}}},
	"three looks":            {six, []lift.Check{{Minute: 8, Depth: 7}, {Minute: 16, Depth: 8}, {Minute: 24, Depth: 8.5}}},
	"hardly lifts":           {lift.Start{Depth: 3, SD: 0.5}, []lift.Check{{Minute: 15, Depth: 3}, {Minute: 25, Depth: 3.5}, {Minute: 35, Depth: 3}}},
	"start all but unknown":  {lift.Start{Depth: 6.5, SD: 2}, []lift.Check{{Minute: 5, Depth: 7}, {Minute: 20, Depth: 8}}},
	"goes up in a moment":    {six, []lift.Check{{Minute: 3, Depth: 9}, {Minute: 6, Depth: 9.5}}},
	"looked at many times":   {six, []lift.Check{{5, 6.5}, {10, 7}, {15, 7.5}, {20, 8}, {25, 8}, {30, 8.5}, {35, 8.5}, {40, 9}}},
	"darker than it started": {six, []lift.Check{{10, 5}, {20, 4.5}, {30, 4}}},
}

// With tau known, and a gain that is far from zero, start and gain are
// Gaussian and so are the checks: the posterior has a closed form.
func TestAgainstTheConjugateNormal(t *testing.T) {
	for name, h := range heads {
		p := lift.Prior{Gain: 8, GainSD: 0.8, Tau: 15, Eye: 0.4}
		t.Run(name, func(t *testing.T) {
			n := len(h.checks)
			share := func(m float64) float64 { return 1 - math.Exp(-m/p.Tau) }
			mean, cov := mat.NewVecDense(2, []float64{h.start.Depth, p.Gain}), mat.NewSymDense(2, []float64{h.start.SD * h.start.SD, 0, 0, p.GainSD * p.GainSD})
			if n > 0 { // mean + K (y − X mean), with K = cov Xᵀ (X cov Xᵀ + eye² I)⁻¹
				x, y, noise := mat.NewDense(n, 2, nil), mat.NewVecDense(n, nil), mat.NewDiagDense(n, nil)
				for i, k := range h.checks {
					x.SetRow(i, []float64{1, share(k.Minute)})
					y.SetVec(i, k.Depth)
					noise.SetDiag(i, p.Eye*p.Eye)
				}
				var xc, s, gain, resid, kx, after mat.Dense
				xc.Mul(x, cov)
				s.Mul(&xc, x.T())
				s.Add(&s, noise)
				require.NoError(t, gain.Solve(&s, &xc))
				resid.Mul(x, mean)
				resid.Sub(y, &resid)
				var move mat.Dense
				move.Mul(gain.T(), &resid)
				kx.Mul(gain.T(), x)
				after.Mul(&kx, cov)
				after.Sub(cov, &after)
				mean = mat.NewVecDense(2, []float64{mean.AtVec(0) + move.At(0, 0), mean.AtVec(1) + move.At(1, 0)})
				cov = mat.NewSymDense(2, []float64{after.At(0, 0), after.At(0, 1), after.At(0, 1), after.At(1, 1)})
			}
			c := curve(t, p, h.start, h.checks...)
			for _, m := range []float64{0, 5, 20, 60} {
				f := share(m)
				want := mean.AtVec(0) + f*mean.AtVec(1)
				wantSD := math.Sqrt(cov.At(0, 0) + 2*f*cov.At(0, 1) + f*f*cov.At(1, 1))
				got, sd := c.DepthAt(m)
				assert.InDelta(t, want, got, 0.001, "minute %g", m)
				assert.InEpsilon(t, wantSD, sd, 0.002, "minute %g", m)
				assert.InDelta(t, distuv.Normal{Mu: want, Sigma: wantSD}.Survival(9), c.By(9, m), 0.001, "minute %g", m)
			}
		})
	}
}

// The whole model by brute force: start, gain and the logarithm of tau are
// integrated numerically, straight from the formula of the curve.
func TestAgainstNumericalIntegration(t *testing.T) {
	p := prior(t, lift.Powder, 9)
	for name, h := range heads {
		t.Run(name, func(t *testing.T) {
			c := curve(t, p, h.start, h.checks...)
			for _, m := range []float64{12, 40} {
				met, depth := integrate(p, h.start, h.checks, 9, m)
				got, _ := c.DepthAt(m)
				assert.InDelta(t, met, c.By(9, m), 0.005, "minute %g", m)
				assert.InDelta(t, depth, got, 0.02, "minute %g", m)
			}
		})
	}
}

// integrate is the probability that the target is met after so many minutes,
// and the depth to be expected then.
func integrate(p lift.Prior, start lift.Start, checks []lift.Check, target, minute float64) (met, depth float64) {
	const points = 32
	gain, z := distuv.Normal{Mu: p.Gain, Sigma: p.GainSD}, distuv.UnitNormal
	begin := distuv.Normal{Mu: start.Depth, Sigma: start.SD}
	at := func(s, g, tau, m float64) float64 { return s + g*(1-math.Exp(-m/tau)) }
	density := func(s, g, tau float64) float64 {
		like := begin.Prob(s) * gain.Prob(g) * z.Prob(math.Log(tau/p.Tau)/p.TauSpread)
		for _, k := range checks {
			like *= z.Prob((k.Depth - at(s, g, tau, k.Minute)) / p.Eye)
		}
		return like
	}
	over := func(from func(g, tau float64) float64, what func(s, g, tau float64) float64) float64 {
		low, high := start.Depth-5*start.SD, start.Depth+5*start.SD
		return quad.Fixed(func(logTau float64) float64 {
			tau := math.Exp(logTau)
			return quad.Fixed(func(g float64) float64 {
				low := max(low, from(g, tau))
				if low >= high {
					return 0
				}
				return quad.Fixed(func(s float64) float64 {
					return density(s, g, tau) * what(s, g, tau)
				}, low, high, points, quad.Legendre{}, 0)
			}, 0, p.Gain+5*p.GainSD, points, quad.Legendre{}, 0)
		}, math.Log(p.Tau)-5*p.TauSpread, math.Log(p.Tau)+5*p.TauSpread, points, quad.Legendre{}, 0)
	}
	one := func(_, _, _ float64) float64 { return 1 }
	anywhere := func(_, _ float64) float64 { return math.Inf(-1) }
	// A step is not for Gauss–Legendre: the target is met where the start is
	// light enough, so there its integral begins.
	met = over(func(g, tau float64) float64 { return target - at(0, g, tau, minute) }, one)
	all := over(anywhere, one)
	depth = over(anywhere, func(s, g, tau float64) float64 { return at(s, g, tau, minute) })
	return met / all, depth / all
}

func TestMinutesIsTheInverseOfBy(t *testing.T) {
	p := prior(t, lift.Powder, 9)
	for name, h := range heads {
		c := curve(t, p, h.start, h.checks...)
		for _, share := range []float64{0.1, 0.5, 0.9} {
			m := c.Minutes(9, share)
			if math.IsInf(m, 1) {
				assert.Less(t, c.By(9, lift.MaxMinutes), share, name)
				continue
			}
			assert.GreaterOrEqual(t, c.By(9, m), share, name)
			if m > 0 {
				assert.Less(t, c.By(9, m-0.2), share, fmt.Sprint(name, " ", share))
			}
		}
	}
}
