package pace_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"

	"rinseby/timing/pace"
)

// Observing a constant with equal noise is the textbook's normal mean with a
// known variance: precisions add up, and means weigh by precision.
func TestGaussianIsTheConjugateNormalMean(t *testing.T) {
	ys := []float64{0.39, 0.50, 0.48, 0.29, 0.25, 0.32, 0.34, 0.48, 0.41, 0.45}
	g := pace.NewGaussian([]float64{0}, []float64{1})
	h := pace.Row{At: []int{0}, Value: []float64{1}}
	sum := 0.0
	for n, y := range ys {
		g.Observe(h, y, 0.1)
		sum += y
		precision := 1 + float64(n+1)/0.1
		require.InDelta(t, 1/precision, g.Cov.At(0, 0), 1e-12)
		require.InDelta(t, sum/0.1/precision, g.Mean.AtVec(0), 1e-12)
	}
	// The run of ten voltages around 0.4 with noise 0.1 and a first variance of
	// 1 is a tutorial's scalar example (after Welch and Bishop, "An Introduction
	// to the Kalman Filter"; figures from memory). Its first estimate: 0.355.
	first := pace.NewGaussian([]float64{0}, []float64{1})
	first.Observe(h, 0.39, 0.1)
	assert.InDelta(t, 0.355, first.Mean.AtVec(0), 5e-4)
	assert.InDelta(t, 0.091, first.Cov.At(0, 0), 5e-4)
}

// nile is the yearly flow of the Nile at Aswan, 1871 to 1970, in 10⁸ m³.
var nile = []float64{
	1120, 1160, 963, 1210, 1160, 1160, 813, 1230, 1370, 1140, 995, 935, 1110, 994, 1020, 960, 1180, 799, 958, 1140,
	1100, 1210, 1150, 1250, 1260, 1220, 1030, 1100, 774, 840, 874, 694, 940, 833, 701, 916, 692, 1020, 1050, 969,
	831, 726, 456, 824, 702, 1120, 1100, 832, 764, 821, 768, 845, 864, 862, 698, 845, 744, 796, 1040, 759,
	781, 865, 845, 944, 984, 897, 822, 1010, 771, 676, 649, 846, 812, 742, 801, 1040, 860, 874, 848, 890,
	744, 749, 838, 1050, 918, 986, 797, 923, 975, 815, 1020, 906, 901, 1170, 912, 746, 919, 718, 714, 740,
}

// The textbook's worked example: the local level model on the Nile's flow
// (Durbin and Koopman, "Time Series Analysis by State Space Methods", 2012,
// section 2.2). From a level of 0 with variance 10⁷, with the variances 15,099 of
// the flow and 1,469.1 of the level, the log-likelihood of all years but the
// first is -632.54421 (as the test suite of a public state-space library,
// StateSpaceModels.jl, has it), and the variance of the level goes to
// r·(q + √(q² + 4q))/2, where r is the former and q the ratio of the two.
func TestGaussianOnTheNile(t *testing.T) {
	const r, move = 15099.0, 1469.1
	h := pace.Row{At: []int{0}, Value: []float64{1}}
	g := pace.NewGaussian([]float64{0}, []float64{1e7})
	together := 0.0
	for year, y := range nile {
		density := g.Observe(h, y, r)
		if year > 0 {
			together += density
		}
		g.Cov.SetSym(0, 0, g.Cov.At(0, 0)+move)
	}
	assert.InDelta(t, -632.54421, together, 1e-4)
	q := move / r
	assert.InDelta(t, r*(q+math.Sqrt(q*q+4*q))/2, g.Cov.At(0, 0), 1e-6)
}

// row has the values at the places 0, 1, 2 …
func row(values []float64) (r pace.Row) {
	for i, v := range values {
		r.At, r.Value = append(r.At, i), append(r.Value, v)
	}
	return r
}

// A filter without motion is Bayesian linear regression: its state is the one
// that the normal equations give, and the densities it returns multiply to
// that of all observations together, here by the covariance of all.
func TestGaussianIsLinearRegression(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := rapid.IntRange(1, 4).Draw(t, "components")
		n := rapid.IntRange(1, 6).Draw(t, "observations")
		real := rapid.Float64Range(-2, 2)
		mean, variance := make([]float64, d), make([]float64, d)
		for i := range d {
			mean[i], variance[i] = real.Draw(t, "mean"), rapid.Float64Range(0.1, 2).Draw(t, "variance")
		}
		x, ys, noise := mat.NewDense(n, d, nil), make([]float64, n), rapid.Float64Range(0.1, 2).Draw(t, "noise")
		g := pace.NewGaussian(mean, variance)
		density := 0.0
		for i := range n {
			for j := range d {
				x.Set(i, j, real.Draw(t, "h"))
			}
			ys[i] = real.Draw(t, "y")
			density += g.Observe(row(x.RawRowView(i)), ys[i], noise)
		}
		prior := mat.NewDiagDense(d, variance)
		joint := mat.NewSymDense(n, nil)
		var xp, all mat.Dense
		xp.Mul(x, prior)
		all.Mul(&xp, x.T())
		for i := range n {
			for j := i; j < n; j++ {
				joint.SetSym(i, j, all.At(i, j))
			}
			joint.SetSym(i, i, all.At(i, i)+noise)
		}
		var at mat.VecDense
		at.MulVec(x, mat.NewVecDense(d, mean))
		var root mat.Cholesky
		require.True(t, root.Factorize(joint))
		var miss, solved mat.VecDense
		miss.SubVec(mat.NewVecDense(n, ys), &at)
		require.NoError(t, root.SolveVecTo(&solved, &miss))
		together := -0.5 * (float64(n)*math.Log(2*math.Pi) + root.LogDet() + mat.Dot(&miss, &solved))
		require.InDelta(t, together, density, 1e-8)

		var precision, inverse mat.Dense
		precision.Mul(x.T(), x)
		precision.Scale(1/noise, &precision)
		for i := range d {
			precision.Set(i, i, precision.At(i, i)+1/variance[i])
		}
		require.NoError(t, inverse.Inverse(&precision))
		require.True(t, mat.EqualApprox(&inverse, g.Cov, 1e-8))
	})
}

func TestGaussianPartly(t *testing.T) {
	h := pace.Row{At: []int{0}, Value: []float64{1}}
	full, half, none := pace.NewGaussian([]float64{0}, []float64{1}), pace.NewGaussian([]float64{0}, []float64{1}), pace.NewGaussian([]float64{0}, []float64{1})
	a := full.Observe(h, 1, 1)
	assert.Equal(t, a, half.ObservePartly(h, 1, 1, 0.5))
	none.ObservePartly(h, 1, 1, 0)
	assert.Zero(t, none.Mean.AtVec(0))
	assert.Equal(t, 1.0, none.Cov.At(0, 0))
	// Half N(0.5, 0.5), half N(0, 1): mean 1/4, variance 3/4 + 1/16.
	assert.InDelta(t, 0.25, half.Mean.AtVec(0), 1e-12)
	assert.InDelta(t, 0.8125, half.Cov.At(0, 0), 1e-12)
}

func TestGaussianRoot(t *testing.T) {
	g := pace.NewGaussian([]float64{0, 0}, []float64{4, 1})
	g.Grow(0, 0) // known exactly
	g.Observe(row([]float64{1, 1, 0}), 1, 0.5)
	l := g.Root()
	var back mat.Dense
	back.Mul(l, l.T())
	assert.True(t, mat.EqualApprox(&back, g.Cov, 1e-9))
}
