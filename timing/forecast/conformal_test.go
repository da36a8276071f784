package forecast

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
)

// However wrong a fixed range is, its width is learned until it holds in 80 of
// 100 services. Adaptive conformal inference promises that for any sequence
// (Gibbs and Candès 2021, proposition 4.1).
func TestConformalFindsTheWidth(t *testing.T) {
	for _, wrong := range []float64{0.4, 1, 2.5} {
		r := rand.New(rand.NewPCG(7, 7))
		var c Conformal
		hits := 0
		const past, judged = 400, 2000
		for n := range past + judged {
			width := c.At(0.5) * 1.2816 * 10 * wrong // 1.2816 standard deviations hold in 80 of 100
			mid := 100 * time.Minute
			half := time.Duration(width * float64(time.Minute))
			guess := Range{P10: mid - half, P50: mid, P90: mid + half}
			came := mid + time.Duration(10*r.NormFloat64()*float64(time.Minute))
			if n >= past && came >= guess.P10 && came <= guess.P90 {
				hits++
			}
			c = c.Learn(0.5, guess, came)
		}
		assert.False(t, outside(hits, judged, 0.78, 0.82), "%d of %d at %g", hits, judged, wrong)
		assert.InDelta(t, 1/wrong, c.At(0.5), 0.25/wrong)
		assert.Equal(t, 1.0, c.At(0.1), "each fifth of a service has a width of its own")
	}
}

func TestConformalStaysInBounds(t *testing.T) {
	var c Conformal
	assert.Equal(t, 1.0, c.At(-1), "before anything was learned")
	for range 1000 {
		c = c.Learn(1, Range{}, time.Hour)
	}
	assert.InDelta(t, math.Exp(2), c.At(1), 1e-9)
}
