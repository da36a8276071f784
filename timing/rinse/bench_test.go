package rinse_test

import (
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rinseby/timing/rinse"
)

// BenchmarkSolve plans 100 random heads of each kind, in seconds of grain 60,
// and reports the median and the worst time for one.
func BenchmarkSolve(b *testing.B) {
	for _, r := range []recipe{
		{zones: 12}, {zones: 12, strengths: rinse.Rising}, {zones: 12, midway: true}, {zones: 12, helper: true},
		{zones: 24}, {zones: 24, strengths: rinse.Rising},
		{zones: 12, strengths: rinse.Free}, {zones: 8, order: rinse.Open}, {zones: 12, order: rinse.Open},
	} {
		b.Run(r.name(), func(b *testing.B) {
			var took []time.Duration
			var proved, gap int
			for b.Loop() {
				took, proved, gap = took[:0], 0, 0
				for seed := range uint64(100) {
					r.seed, r.grain = seed, 60
					p := draw(r)
					start := time.Now()
					plan, err := rinse.Solve(p, rinse.Budget{Stop: func() bool { return time.Since(start) > time.Second }})
					took = append(took, time.Since(start))
					require.NoError(b, err)
					if plan.Proved {
						proved++
					}
					gap = max(gap, plan.Trips-plan.LowerBound.Trips)
				}
			}
			slices.Sort(took)
			b.ReportMetric(0, "ns/op")
			b.ReportMetric(float64(took[50].Microseconds())/1000, "median-ms")
			b.ReportMetric(float64(took[99].Microseconds())/1000, "worst-ms")
			b.ReportMetric(float64(proved), "proved-%")
			b.ReportMetric(float64(gap), "most-trips-gap")
		})
	}
}
