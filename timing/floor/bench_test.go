package floor_test

import (
	"fmt"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rinseby/timing/floor"
)

// BenchmarkSolve tells the median and the worst time for a hundred problems of a
// kind, in seconds of grain; the share that was proved, and of those that can't
// be, the share of which the explanation was proved as well, within half a
// second. What lies at the edge is just made to fit, or to be a minute short.
func BenchmarkSolve(b *testing.B) {
	for _, size := range [][2]int{{2, 8}, {4, 8}, {6, 6}, {8, 4}} {
		for _, chemistry := range []bool{true, false} {
			for _, short := range []int{0, 60, 600} {
				name := fmt.Sprintf("chains=%d/tasks=%d/chemistry=%v/short=%ds", size[0], size[1], chemistry, short)
				b.Run(name, func(b *testing.B) { benchmark(b, size, chemistry, short, 100) })
			}
		}
	}
	for _, size := range [][2]int{{4, 32}, {16, 8}} {
		for _, short := range []int{0, 60} {
			name := fmt.Sprintf("chains=%d/tasks=%d/chemistry=true/short=%ds", size[0], size[1], short)
			b.Run(name, func(b *testing.B) { benchmark(b, size, true, short, 20) })
		}
	}
}

func benchmark(b *testing.B, size [2]int, chemistry bool, short, seeds int) {
	var problems []*floor.Problem
	for seed := range uint64(seeds) {
		p := draw(recipe{seed: seed, chains: size[0], tasks: size[1], chemistry: chemistry, grain: 60})
		plan, err := floor.Solve(later(p, -7200), floor.Budget{})
		require.NoError(b, err)
		problems = append(problems, later(p, plan.Late-7200-short))
	}
	var times []time.Duration
	sum, proved, cannot, explained := 0, 0, 0, 0
	b.ResetTimer()
	for range b.N {
		for _, p := range problems {
			start := time.Now()
			plan, err := floor.Solve(p, floor.Budget{Nodes: 1 << 30, Stop: func() bool { return time.Since(start) > 500*time.Millisecond }})
			times = append(times, time.Since(start))
			require.NoError(b, err)
			sum++
			if plan.Verdict != floor.Unproven {
				proved++
			}
			if plan.Collision != nil {
				cannot++
				if plan.Collision.Proved {
					explained++
				}
			}
		}
	}
	slices.Sort(times)
	b.ReportMetric(float64(times[len(times)/2].Microseconds())/1000, "median-ms")
	b.ReportMetric(float64(times[len(times)-1].Microseconds())/1000, "worst-ms")
	b.ReportMetric(float64(proved)/float64(sum), "proved")
	if cannot > 0 {
		b.ReportMetric(float64(explained)/float64(cannot), "explained")
	}
}

// BenchmarkFit tells the same of walk-ins of 25 minutes among four chains of
// eight tasks that have a quarter of an hour to spare.
func BenchmarkFit(b *testing.B) {
	var problems []*floor.Problem
	for seed := range uint64(100) {
		p := draw(recipe{seed: seed, chains: 4, tasks: 8, chemistry: seed%2 == 0, grain: 60})
		plan, err := floor.Solve(later(p, -7200), floor.Budget{})
		require.NoError(b, err)
		problems = append(problems, later(p, plan.Late-7200+900))
	}
	var times []time.Duration
	proved := 0
	b.ResetTimer()
	for range b.N {
		for _, p := range problems {
			start := time.Now()
			_, v, err := floor.Fit(p, "Ines", 1500, 0, 7200, floor.Budget{Nodes: 1 << 30, Stop: func() bool { return time.Since(start) > 500*time.Millisecond }})
			times = append(times, time.Since(start))
			require.NoError(b, err)
			if v != floor.Unproven {
				proved++
			}
		}
	}
	slices.Sort(times)
	b.ReportMetric(float64(times[len(times)/2].Microseconds())/1000, "median-ms")
	b.ReportMetric(float64(times[len(times)-1].Microseconds())/1000, "worst-ms")
	b.ReportMetric(float64(proved)/float64(len(times)), "proved")
}
