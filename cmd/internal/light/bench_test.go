//go:build linux

package light_test

import (
	"fmt"
	"os/exec"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// A figure is what benchmarks measured, as medians.
type figure struct{ ns, allocs float64 }

// bench runs benchmarks of a package side by side, several times.
func bench(t *testing.T, pkg, pattern string, more ...string) map[string]figure {
	args := append([]string{"test", "-run", "^$", "-bench", pattern, "-benchmem", "-count", "7", pkg}, more...)
	text, err := exec.Command("go", args...).CombinedOutput()
	require.NoError(t, err, "%s", text)
	ns, allocs := map[string][]float64{}, map[string][]float64{}
	for line := range strings.SplitSeq(string(text), "\n") {
		f := strings.Fields(line)
		if len(f) < 4 || !strings.HasPrefix(f[0], "Benchmark") {
			continue
		}
		name, _, _ := strings.Cut(strings.TrimPrefix(f[0], "Benchmark"), "-")
		for i := 2; i+1 < len(f); i += 2 {
			v, err := strconv.ParseFloat(f[i], 64)
			require.NoError(t, err, line)
			switch f[i+1] {
			case "ns/op":
				ns[name] = append(ns[name], v)
			case "allocs/op":
				allocs[name] = append(allocs[name], v)
			}
		}
	}
	out := map[string]figure{}
	for name := range ns {
		out[name] = figure{median(ns[name]), median(allocs[name])}
	}
	return out
}

func micro(ns float64) string {
	switch {
	case ns >= 1e6:
		return fmt.Sprintf("%.1f ms", ns/1e6)
	case ns >= 1e3:
		return fmt.Sprintf("%.0f µs", ns/1e3)
	}
	return fmt.Sprintf("%.0f ns", ns)
}

// foldEvents is how many events BenchmarkFold folds: 7 and the 10 answers of the
// service, and 96 pieces.
const foldEvents = 113

func benches(t *testing.T) []row {
	chair := bench(t, "rinseby/tui/station", "^BenchmarkView$")["View"]
	floor := bench(t, "rinseby/tui/floor", "^BenchmarkView$")["View"]
	fold := bench(t, "rinseby/session", "^BenchmarkFold$")["Fold"]
	log := bench(t, "rinseby/session/journal", "^Benchmark(Read|ReadLeast|Append|AppendLeast)$")
	event := bench(t, "rinseby/session", "^Benchmark(AskForecast|AnswerForecast)$")
	plan := bench(t, "rinseby/session", "^BenchmarkTrips$")["Trips"]
	work := bench(t, "rinseby/session", "^BenchmarkWorkAhead$")["WorkAhead"]
	forecast := event["AskForecast"].ns + event["AnswerForecast"].ns
	return []row{
		{"chair at 120x40, 12 zones: draw", micro(chair.ns), "", "", "200 µs"},
		{"chair: allocations", fmt.Sprintf("%.0f", chair.allocs), "", "", "500"},
		{"floor with 200 services: draw", micro(floor.ns), "", "", "5 ms"},
		{"fold", fmt.Sprintf("%.2f M events/s", foldEvents/fold.ns*1e3), "", "", "1 M events/s"},
		{"read and verify 1,000 lines; the least: encoding/json", micro(log["Read"].ns), micro(log["ReadLeast"].ns), ratio(log["Read"].ns, log["ReadLeast"].ns), "1.3"},
		{"append; the least: one write and fsync", micro(log["Append"].ns), micro(log["AppendLeast"].ns), ratio(log["Append"].ns, log["AppendLeast"].ns), "1.1"},
		{"an event's plan, forecast and floor, off the key path", micro(plan.ns + forecast + work.ns), "a frame: 33 ms", ratio(plan.ns+forecast+work.ns, 33.3e6), "1"},
	}
}
