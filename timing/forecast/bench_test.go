package forecast

import (
	"testing"

	"github.com/stretchr/testify/require"

	"rinseby/timing/pace"
)

// BenchmarkRun is one forecast with 400 draws, early in a service of twelve
// zones and 96 pieces with a toning round and three steps after it.
func BenchmarkRun(b *testing.B) {
	in, m := fullHead(b)
	b.ReportAllocs()
	for b.Loop() {
		_, err := Run(in, m, 400, 1)
		require.NoError(b, err)
	}
}

// BenchmarkObserve is what the model takes to follow 48 pieces.
func BenchmarkObserve(b *testing.B) {
	prior := pace.Default().With("foil", 1.5)
	for b.Loop() {
		m, err := pace.New(prior)
		require.NoError(b, err)
		for _, o := range half() {
			require.NoError(b, m.Observe(o))
		}
	}
}
