package forecast

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"
)

// CRPS is the continuous ranked probability score of sorted samples, whose
// weights sum to 1, for what came true: E|X − x| − E|X − X'|/2 (Gneiting and
// Raftery 2007), in minutes. Smaller is better; it rewards ranges that hold
// and are narrow.
func CRPS(sorted []Sample, came float64) float64 {
	// The second term by one pass: of two samples the later in order takes the
	// weight that lies before it.
	near, apart, before, sum := 0.0, 0.0, 0.0, 0.0
	for _, s := range sorted {
		d := s.Minutes - came
		if d < 0 {
			d = -d
		}
		near += s.Weight * d
		apart += s.Weight * (s.Minutes*before - sum)
		before += s.Weight
		sum += s.Weight * s.Minutes
	}
	return near - apart
}

func sorted(minutes []float64) []Sample {
	var s []Sample
	slices.Sort(minutes)
	for _, m := range minutes {
		s = append(s, Sample{m, 1 / float64(len(minutes))})
	}
	return s
}

// For a normal distribution the score has a closed form (Gneiting and Raftery
// 2007, section 4.2): σ (z (2Φ(z) − 1) + 2φ(z) − 1/√π), z = (x − μ)/σ.
func TestCRPSOfANormal(t *testing.T) {
	n := distuv.Normal{Mu: 30, Sigma: 6}
	points := make([]float64, 4000)
	for i := range points {
		points[i] = n.Quantile((float64(i) + 0.5) / float64(len(points)))
	}
	samples := sorted(points)
	for _, came := range []float64{10, 24, 30, 33, 52} {
		z := (came - n.Mu) / n.Sigma
		u := distuv.UnitNormal
		want := n.Sigma * (z*(2*u.CDF(z)-1) + 2*u.Prob(z) - 1/math.Sqrt(math.Pi))
		assert.InDelta(t, want, CRPS(samples, came), 0.01, "at %g", came)
	}
}

// By its definition, E|X − x| − E|X − X'|/2, pair by pair, with any weights.
func TestCRPSIsItsDefinition(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		values := rapid.SliceOfN(rapid.Float64Range(0, 200), 1, 12).Draw(t, "minutes")
		slices.Sort(values)
		var s []Sample
		total := 0.0
		for _, v := range values {
			w := rapid.Float64Range(0.01, 1).Draw(t, "weight")
			s = append(s, Sample{v, w})
			total += w
		}
		for i := range s {
			s[i].Weight /= total
		}
		came := rapid.Float64Range(0, 200).Draw(t, "came")
		want := 0.0
		for _, a := range s {
			want += a.Weight * math.Abs(a.Minutes-came)
			for _, b := range s {
				want -= a.Weight * b.Weight * math.Abs(a.Minutes-b.Minutes) / 2
			}
		}
		assert.InDelta(t, want, CRPS(s, came), 1e-9)
	})
}

// A range that is too narrow, or too wide, scores worse than the true one.
func TestCRPSRewardsTheTruth(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	mean := func(width float64) float64 {
		n := distuv.Normal{Mu: 0, Sigma: width}
		points := make([]float64, 200)
		for i := range points {
			points[i] = n.Quantile((float64(i) + 0.5) / 200)
		}
		s, sum := sorted(points), 0.0
		for range 4000 {
			sum += CRPS(s, r.NormFloat64())
		}
		return sum / 4000
	}
	truth := mean(1)
	assert.Greater(t, mean(0.6), truth)
	assert.Greater(t, mean(1.6), truth)
}
