package pace

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// A LogNormal is the distribution of a time whose natural logarithm is normal.
type LogNormal struct {
	// Mu and Sigma are mean and standard deviation of the logarithm of the
	// time in minutes.
	Mu, Sigma float64
}

// Around is the log-normal with a median of so many minutes, and spread as
// the standard deviation of the logarithm: 0.2 is about a fifth either way.
func Around(minutes, spread float64) LogNormal {
	return LogNormal{Mu: math.Log(minutes), Sigma: spread}
}

// Median is in minutes.
func (l LogNormal) Median() float64 { return math.Exp(l.Mu) }

// Mean is in minutes.
func (l LogNormal) Mean() float64 { return math.Exp(l.Mu + l.Sigma*l.Sigma/2) }

// Variance is in square minutes.
func (l LogNormal) Variance() float64 {
	m := l.Mean()
	return math.Expm1(l.Sigma*l.Sigma) * m * m
}

// Quantile is the time in minutes that is not passed with probability p,
// 0 < p < 1.
func (l LogNormal) Quantile(p float64) float64 {
	return math.Exp(l.Mu + l.Sigma*distuv.UnitNormal.Quantile(p))
}

// Survival is the probability of more than so many minutes.
func (l LogNormal) Survival(minutes float64) float64 {
	if minutes <= 0 {
		return 1
	}
	return distuv.UnitNormal.Survival((math.Log(minutes) - l.Mu) / l.Sigma)
}

// Times is the sum of n independent times of this kind, by the log-normal of
// the same mean and variance. n is at least 1.
func (l LogNormal) Times(n int) LogNormal {
	v := batchVariance(l.Sigma*l.Sigma, float64(n))
	return LogNormal{Mu: l.Mu + math.Log(float64(n)) + (l.Sigma*l.Sigma-v)/2, Sigma: math.Sqrt(v)}
}

// Plus is the sum of two independent times, by the log-normal of the same
// mean and variance.
func (l LogNormal) Plus(o LogNormal) LogNormal {
	return matched(l.Mean()+o.Mean(), l.Variance()+o.Variance())
}

// matched is the log-normal of the given mean and variance.
func matched(mean, variance float64) LogNormal {
	v := math.Log1p(variance / (mean * mean))
	return LogNormal{Mu: math.Log(mean) - v/2, Sigma: math.Sqrt(v)}
}

// batchVariance is the variance of the logarithm of the mean of n log-normal
// times whose logarithms have variance v.
func batchVariance(v, n float64) float64 { return math.Log1p(math.Expm1(v) / n) }

// logDensity is that of a normal with mean 0 and variance v.
func logDensity(x, v float64) float64 {
	return -0.5 * (math.Log(2*math.Pi*v) + x*x/v)
}
