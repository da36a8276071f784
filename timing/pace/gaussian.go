package pace

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// A Gaussian is what is known of a state vector: its mean and covariance. It
// is the state of a Kalman filter.
type Gaussian struct {
	Mean *mat.VecDense
	Cov  *mat.SymDense
}

// NewGaussian has independent components with the given means and variances.
func NewGaussian(means, variances []float64) *Gaussian {
	g := &Gaussian{
		Mean: mat.NewVecDense(len(means), append([]float64(nil), means...)),
		Cov:  mat.NewSymDense(len(means), nil),
	}
	for i, v := range variances {
		g.Cov.SetSym(i, i, v)
	}
	return g
}

// Copy shares nothing with g.
func (g *Gaussian) Copy() *Gaussian {
	c := &Gaussian{Mean: mat.VecDenseCopyOf(g.Mean), Cov: mat.NewSymDense(g.Cov.SymmetricDim(), nil)}
	c.Cov.CopySym(g.Cov)
	return c
}

// Grow adds one component, independent of those before.
func (g *Gaussian) Grow(mean, variance float64) {
	n := g.Mean.Len()
	m := mat.NewVecDense(n+1, nil)
	copy(m.RawVector().Data, g.Mean.RawVector().Data)
	m.SetVec(n, mean)
	g.Mean = m
	g.Cov = g.Cov.GrowSym(1).(*mat.SymDense)
	g.Cov.SetSym(n, n, variance)
}

// A Row is a vector of few components that are not zero: those at the places
// At, none twice.
type Row struct {
	At    []int
	Value []float64
}

// Predict gives mean and variance of h·x, without noise.
func (g *Gaussian) Predict(h Row) (mean, variance float64) {
	cov := g.Cov.RawSymmetric()
	for k, i := range h.At {
		a := h.Value[k]
		mean += a * g.Mean.AtVec(i)
		for l, j := range h.At {
			variance += a * h.Value[l] * cov.Data[min(i, j)*cov.Stride+max(i, j)]
		}
	}
	return mean, max(variance, 0)
}

// Observe updates g by an observation y = h·x + noise of variance r, and
// returns the logarithm of the density that g gave to y before.
func (g *Gaussian) Observe(h Row, y, r float64) float64 { return g.ObservePartly(h, y, r, 1) }

// ObservePartly is Observe for an observation that tells of the state with
// probability share only, and else of nothing: the mixture of the updated and
// the former state is replaced by the Gaussian of the same mean and
// covariance. The density that is returned is that of a full observation.
func (g *Gaussian) ObservePartly(h Row, y, r, share float64) float64 {
	mean, variance := g.Predict(h)
	s := variance + r
	miss := y - mean
	ph := mat.NewVecDense(g.Mean.Len(), nil)
	cov, to := g.Cov.RawSymmetric(), ph.RawVector().Data
	for i := range to {
		for l, j := range h.At {
			to[i] += h.Value[l] * cov.Data[min(i, j)*cov.Stride+max(i, j)]
		}
	}
	// The full step moves the mean by ph·miss/s and takes ph·phᵀ/s off the
	// covariance; the spread between the two parts of the mixture comes on top.
	g.Mean.AddScaledVec(g.Mean, share*miss/s, ph)
	g.Cov.SymRankOne(g.Cov, -share/s+share*(1-share)*miss*miss/(s*s), ph)
	return logDensity(miss, s)
}

// Root is a lower triangular matrix l with l·lᵀ = Cov. Components that are
// known exactly have rows of zeros.
func (g *Gaussian) Root() *mat.TriDense {
	n := g.Cov.SymmetricDim()
	jittered := mat.NewSymDense(n, nil)
	jittered.CopySym(g.Cov)
	for i := range n {
		jittered.SetSym(i, i, g.Cov.At(i, i)+1e-12)
	}
	l := mat.NewTriDense(n, mat.Lower, nil)
	var c mat.Cholesky
	if c.Factorize(jittered) {
		c.LTo(l)
		return l
	}
	for i := range n { // rounding ate the correlations: spreads alone are left
		l.SetTri(i, i, math.Sqrt(max(g.Cov.At(i, i), 0)))
	}
	return l
}
