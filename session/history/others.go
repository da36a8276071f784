package history

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"

	"rinseby/session"
	"rinseby/timing/pace"
)

// others are the times of all stints but pieces that were seen, by
// [session.OtherKey].
func others(services []Service, seen map[string]Count) map[string]pace.LogNormal {
	logs, guesses := map[string][]float64{}, map[string]pace.LogNormal{}
	for _, s := range services {
		here := map[string]bool{}
		for name, minutes := range s.Steps { // what the newest states counts
			guesses[session.OtherKey(session.StintStep, name)] = session.StatedTime(minutes)
		}
		for _, st := range s.Stints {
			g := session.HouseTime(st.Kind)
			if g == (pace.LogNormal{}) || st.Units < 1 || st.Took < shortest || st.Took > longest {
				continue
			}
			k := session.OtherKey(st.Kind, st.Name)
			if _, guessed := guesses[k]; !guessed {
				guesses[k] = g
			}
			logs[k] = append(logs[k], math.Log(st.Took.Minutes()/float64(st.Units)))
			c := seen[k]
			c.Units++
			if !here[k] {
				here[k] = true
				c.Services++
			}
			seen[k] = c
		}
	}
	out := map[string]pace.LogNormal{}
	for k := range logs {
		out[k] = expect(guesses[k], logs[k])
	}
	return out
}

// How much a guess weighs: the median as so many times, the scatter as twice
// so many. House rules; common practice, no source.
const (
	guessTimes   = 2.0
	guessScatter = 2.0
)

// tails is how many robust spreads a time may lie off the middle. A spread is
// taken for no less than narrow of the guess's, so that many equal times, which
// are rounded ones, do not make all others count for nothing.
const (
	tails  = 2.5
	narrow = 0.5
)

// expect is what the next time may be expected at, after times of which the
// logarithms of the minutes are given; without any it is the guess.
//
// The logarithm is taken for normal with unknown mean and variance, with a
// normal-inverse-gamma prior: its mean, at the guess, weighs as much as two
// times, and its variance has a shape of two. What is expected of the next one
// is then a Student t (Murphy 2007, "Conjugate Bayesian analysis of the
// Gaussian distribution"; from memory). It is handed on as the log-normal with
// the same 10 % and 90 % points.
//
// First, each logarithm is limited to 2.5 robust spreads off the middle
// (winsorised): the median, and 1.4826 times the median of the distances from
// it, of the times together with three of the guess, its median and a spread
// to either side; at least half the guess's spread.
func expect(guess pace.LogNormal, logs []float64) pace.LogNormal {
	mu, spread := guess.Mu, guess.Sigma/widening(guessScatter, guessTimes)
	with := append(slices.Clone(logs), mu-spread, mu, mu+spread)
	middle := median(with)
	for i, x := range with {
		with[i] = math.Abs(x - middle)
	}
	reach := tails * max(1.4826*median(with), narrow*spread)
	logs = slices.Clone(logs)
	sum, square := 0.0, 0.0
	for i, x := range logs {
		logs[i] = min(max(x, middle-reach), middle+reach)
		sum += logs[i]
	}
	n := float64(len(logs))
	mean := sum / max(n, 1)
	for _, x := range logs {
		square += (x - mean) * (x - mean)
	}
	kappa, alpha := guessTimes+n, guessScatter+n/2
	beta := guessScatter*spread*spread + square/2 + guessTimes*n*(mean-mu)*(mean-mu)/(2*kappa)
	return pace.LogNormal{Mu: (guessTimes*mu + sum) / kappa, Sigma: math.Sqrt(beta/alpha) * widening(alpha, kappa)}
}

// widening is by how much the log-normal that stands for what is expected is
// wider than the scatter of single times is taken to be.
func widening(alpha, kappa float64) float64 {
	t := distuv.StudentsT{Sigma: 1, Nu: 2 * alpha}
	return math.Sqrt((kappa+1)/kappa) * t.Quantile(0.9) / distuv.UnitNormal.Quantile(0.9)
}

// median is that of at least one number; it sorts a copy.
func median(xs []float64) float64 {
	xs = slices.Sorted(slices.Values(xs))
	n := len(xs)
	return (xs[(n-1)/2] + xs[n/2]) / 2
}
